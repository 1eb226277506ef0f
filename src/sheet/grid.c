// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/grid.h"

#include "base/text.h"
#include "sheet/band.h"

#include <math.h>

#define PAD_MM 1.1  ///< Beside a text
#define OVER_MM 0.8 ///< Over and under one that makes its row high
#define MARK_MM 1.3 ///< Radius
#define HEAD_ROW_MM 6.4
#define THIN_MM 0.12
#define HEAVY_MM 0.55

static double
indent_mm(GridSort sort)
{
  return sort == CELL_FILLED || sort == CELL_HOLLOW || sort == CELL_HALF ? 2.0 * MARK_MM + 1.0
                                                                         : 0.0;
}

static void
draw_heads(Grid* grid)
{
  Canvas* const canvas = grid->frame->canvas;
  const double y = grid->frame->at_mm;
  const double high = grid->head_mm > 0.0 ? grid->head_mm : HEAD_ROW_MM;
  for (int c = 0; c < grid->n_columns; ++c) {
    const double w = grid->x_mm[c + 1] - grid->x_mm[c];
    (void)letters_draw(canvas, (Room){grid->x_mm[c] + PAD_MM, y, w - 2.0 * PAD_MM, high - 0.6},
                       grid->columns[c].head,
                       (Letters){.height_mm = 2.1,
                                 .least_mm = 1.8,
                                 .lines = 2,
                                 .is_bold = true,
                                 .align = grid->columns[c].how.align});
  }
  canvas_line(canvas, grid->left_mm, y + high, grid->right_mm, y + high, HEAVY_MM);
  grid->frame->at_mm = y + high;
}

void
grid_lay(Grid* grid)
{
  double parts = 0.0;
  if (grid->right_mm <= grid->left_mm) {
    grid->left_mm = grid->frame->left_mm;
    grid->right_mm = grid->frame->right_mm;
  }
  for (int c = 0; c < grid->n_columns; ++c) {
    parts += grid->columns[c].part;
  }
  grid->x_mm[0] = grid->left_mm;
  for (int c = 0; c < grid->n_columns; ++c) {
    grid->x_mm[c + 1] =
      grid->x_mm[c] + (grid->right_mm - grid->left_mm) * grid->columns[c].part / parts;
  }
}

void
grid_begin(Grid* grid)
{
  grid_lay(grid);
  grid->n_rows = 0;
  (void)frame_room(grid->frame, HEAD_ROW_MM + 2.0 * grid->row_mm);
  draw_heads(grid);
}

double
grid_row_mm(const Grid* grid, const GridCell cells[])
{
  double high = grid->row_mm;
  for (int c = 0; c < grid->n_columns; ++c) {
    const double w = grid->x_mm[c + 1] - grid->x_mm[c] - 2.0 * PAD_MM - indent_mm(cells[c].sort);
    if (cells[c].text && cells[c].text[0] && cells[c].sort != CELL_BANDS) {
      high =
        fmax(high, letters_needs_mm(grid->frame->canvas, w, cells[c].text, grid->columns[c].how) +
                     2.0 * OVER_MM);
    }
  }
  return high;
}

static void
draw_mark(Canvas* canvas, GridSort sort, double x, double y)
{
  canvas_circle(canvas, x, y, MARK_MM, 0.3, sort == CELL_FILLED);
  if (sort == CELL_HALF && canvas->cairo) {
    cairo_new_path(canvas->cairo);
    cairo_arc(canvas->cairo, x, y, MARK_MM, 1.5707963267948966, 4.71238898038469);
    cairo_close_path(canvas->cairo);
    cairo_fill(canvas->cairo);
  }
}

static void
draw_cell(const Grid* grid, int c, const GridCell* cell, double y, double high)
{
  Canvas* const canvas = grid->frame->canvas;
  const double x = grid->x_mm[c] + PAD_MM;
  const double w = grid->x_mm[c + 1] - grid->x_mm[c] - 2.0 * PAD_MM;
  const double indent = indent_mm(cell->sort);
  if (cell->sort == CELL_TICK) {
    const double side = fmin(4.0, fmin(w, high - 1.0));
    canvas_frame(canvas, (Room){x + (w - side) / 2.0, y + (high - side) / 2.0, side, side}, 0.3);
    return;
  }
  int number = 0;
  if (cell->sort == CELL_BANDS) {
    if (cell->text && text_whole(cell->text, 0, 999, &number)) {
      band_draw(canvas, (Room){x, y + 1.0, w, high - 2.0}, number);
    }
    return;
  }
  if (indent > 0.0) {
    draw_mark(canvas, cell->sort, x + MARK_MM, y + high / 2.0);
  }
  if (cell->sort == CELL_INVERTED) {
    canvas_fill(canvas, (Room){x - 0.5, y + 0.5, w + 1.0, high - 1.0}, true);
    if (canvas->cairo) {
      cairo_set_source_rgb(canvas->cairo, 1.0, 1.0, 1.0);
    }
  }
  (void)letters_draw(canvas, (Room){x + indent, y + PAD_MM / 2.0, w - indent, high - PAD_MM},
                     cell->text, grid->columns[c].how);
  if (cell->sort == CELL_INVERTED && canvas->cairo) {
    cairo_set_source_rgb(canvas->cairo, 0.0, 0.0, 0.0);
  }
}

void
grid_row(Grid* grid, const GridCell cells[])
{
  Canvas* const canvas = grid->frame->canvas;
  const double high = grid_row_mm(grid, cells);
  if (frame_room(grid->frame, high)) {
    draw_heads(grid);
  }
  const double y = grid->frame->at_mm;
  for (int c = 0; c < grid->n_columns; ++c) {
    draw_cell(grid, c, &cells[c], y, high);
    canvas_line(canvas, grid->x_mm[c], y, grid->x_mm[c], y + high, THIN_MM);
  }
  canvas_line(canvas, grid->right_mm, y, grid->right_mm, y + high, THIN_MM);
  ++grid->n_rows;
  canvas_line(canvas, grid->left_mm, y + high, grid->right_mm, y + high,
              grid->n_rows % 5 == 0 ? HEAVY_MM : THIN_MM);
  grid->frame->at_mm = y + high;
}

void
grid_end(Grid* grid)
{
  canvas_line(grid->frame->canvas, grid->left_mm, grid->frame->at_mm, grid->right_mm,
              grid->frame->at_mm, HEAVY_MM);
  grid->frame->at_mm += 3.0;
}

GridCell
grid_phantom(const Plant* plant, const Input* input)
{
  if (!input) {
    return (GridCell){CELL_TEXT, ""};
  }
  if (input->wants_phantom == ANSWER_YES) {
    return (GridCell){CELL_FILLED, "48 V"};
  }
  if (plant_is_harmful(plant, input)) {
    return (GridCell){CELL_INVERTED, "NEVER"};
  }
  return input->wants_phantom == ANSWER_ASK ? (GridCell){CELL_HALF, "ask"}
                                            : (GridCell){CELL_HOLLOW, "off"};
}
