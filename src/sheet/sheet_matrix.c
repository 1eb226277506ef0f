// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/grid.h"
#include "sheet/print.h"
#include "sheet/wording.h"

/*
  Matrix of the day: lines down, acts across; what is taped up at the split. Ten acts a table, in
  landscape from six on.
*/

enum { ACTS_A_TABLE = 10, ACTS_UPRIGHT = 5, FIXED = 3 };

// Phantom stands before the name: a name that is too long is cut at its end.
static GridCell
cell_of(const Order* order, Canvas* canvas, int act, int line)
{
  const Plant* const plant = order->plant;
  const Input* const input = order_input(order, act, line);
  if (!input) {
    return (GridCell){CELL_TEXT, ""};
  }
  const GridCell phantom = grid_phantom(plant, input);
  switch (phantom.sort) {
    case CELL_FILLED:
      return (GridCell){CELL_FILLED, canvas_format(canvas, "48 V: %s", order_source(input))};
    case CELL_INVERTED:
      return (GridCell){CELL_INVERTED, canvas_format(canvas, "NO 48 V: %s", order_source(input))};
    case CELL_HALF:
      return (GridCell){CELL_HALF, canvas_format(canvas, "48 V ask: %s", order_source(input))};
    default:
      return (GridCell){CELL_TEXT, order_source(input)};
  }
}

static void
draw_table(const Order* order, Frame* frame, int first, int n_acts)
{
  const Plant* const plant = order->plant;
  Canvas* const canvas = frame->canvas;
  const Letters big = {.height_mm = 3.2, .least_mm = 2.2, .is_bold = true};
  const Letters name = {.height_mm = 2.7, .least_mm = 1.8, .lines = 2};
  GridColumn columns[GRID_MAX_COLUMNS] = {
    {"line", 12.0, big},
    {"colours", 13.0, big},
    {"socket", 18.0, {.height_mm = 3.0, .least_mm = 1.6, .is_bold = true}}};
  for (int a = 0; a < n_acts; ++a) {
    columns[FIXED + a] =
      (GridColumn){plant->acts[first + a].name, (frame->is_wide ? 230.0 : 150.0) / n_acts, name};
  }
  Grid grid = {.frame = frame, .columns = columns, .n_columns = FIXED + n_acts, .row_mm = 6.2};
  grid_begin(&grid);
  for (int i = 0; i < plant->n_lines; ++i) {
    const Line* const line = &plant->lines[i];
    const char* const number = canvas_format(canvas, "%d", line->number);
    GridCell cells[GRID_MAX_COLUMNS] = {
      {CELL_TEXT, number},
      {CELL_BANDS, number},
      {CELL_TEXT, canvas_format(canvas, line->is_spare ? "%s%d spare" : "%s%d",
                                plant->boxes[line->box].name, line->socket)}};
    for (int a = 0; a < n_acts; ++a) {
      cells[FIXED + a] = cell_of(order, canvas, first + a, i);
    }
    grid_row(&grid, cells);
  }
  grid_end(&grid);
}

void
sheet_matrix(const Order* order, Canvas* canvas)
{
  const int n_acts = order->plant->n_acts;
  Frame frame = {.order = order,
                 .canvas = canvas,
                 .title = "Matrix of the day",
                 .about = "",
                 .is_wide = n_acts > ACTS_UPRIGHT};
  frame_begin(&frame);
  frame_say(&frame, WORDING_PLUG, 2.2, true);
  frame_say(&frame, WORDING_BANDS, 2.0, false);
  for (int first = 0; first == 0 || first < n_acts; first += ACTS_A_TABLE) {
    if (first > 0) {
      frame_next(&frame);
    }
    draw_table(order, &frame, first, n_acts - first < ACTS_A_TABLE ? n_acts - first : ACTS_A_TABLE);
  }
}
