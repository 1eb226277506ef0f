// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "sheet/grid.h"
#include "sheet/print.h"
#include "sheet/wording.h"

#include <stdlib.h>
#include <string.h>

/*
  Input list of one desk in one act: in the order of its channels, 12 points and more, 48 V as a
  mark and the word, an empty box for each desk that has to hear it.
*/

#define TWELVE_POINTS_MM (12.0 * 25.4 / 72.0 * 1493.0 / 2048.0) ///< Capitals of 12 point

typedef struct {
  int line; ///< Index, -1 = on no line
  int channel;
  const Input* input;
} Row;

static int
by_channel(const void* a, const void* b)
{
  const Row* const one = a;
  const Row* const two = b;
  return one->channel != two->channel
           ? (one->channel > two->channel) - (one->channel < two->channel)
           : (one->line > two->line) - (one->line < two->line);
}

static int
collect(const Order* order, Row* rows)
{
  const Plant* const plant = order->plant;
  int n = 0;
  for (int i = 0; i < plant->n_inputs && order->act >= 0; ++i) {
    const Input* const input = &plant->inputs[i];
    const bool is_here = input->line < 0 || plant->lines[input->line].desk_input[order->desk] > 0;
    if (input->act == order->act && is_here) {
      const int channel =
        input->line < 0 ? input->channel : order_channel(order, order->desk, input->line);
      rows[n++] = (Row){input->line, channel, input};
    }
  }
  for (int i = 0; i < plant->n_lines && order->act < 0; ++i) {
    if (plant->lines[i].desk_input[order->desk] > 0) {
      const int channel = order_channel(order, order->desk, i);
      rows[n++] = (Row){i, channel ? channel : plant->lines[i].number, NULL};
    }
  }
  qsort(rows, (size_t)n, sizeof(*rows), by_channel);
  return n;
}

static void
draw_row(const Order* order, Grid* grid, const Row* row)
{
  Canvas* const canvas = grid->frame->canvas;
  const Plant* const plant = order->plant;
  const Line* const line = row->line >= 0 ? &plant->lines[row->line] : NULL;
  const Input* const input = row->input;
  const char* const socket =
    line ? canvas_format(canvas, "%s%d", plant->boxes[line->box].name, line->socket) : "none";
  GridCell cells[GRID_MAX_COLUMNS] = {
    {CELL_TEXT, canvas_format(canvas, "%d", row->channel)},
    {CELL_TEXT, line ? canvas_format(canvas, "%d", line->number) : "none"},
    {CELL_TEXT, input ? order_source(input) : ""},
    {CELL_TEXT, input ? plant->kinds[input->kind].name : ""},
    grid_phantom(plant, input),
    {CELL_TEXT, socket},
    {CELL_TEXT, input ? input->stand : ""},
    {CELL_TEXT, input ? input->note : ""},
  };
  for (int d = 0; d < plant->n_desks; ++d) {
    cells[8 + d] = (GridCell){CELL_TICK, NULL};
  }
  grid_row(grid, cells);
}

void
sheet_inputs(const Order* order, Canvas* canvas)
{
  const Plant* const plant = order->plant;
  const Desk* const desk = &plant->desks[order->desk];
  const Letters big = {
    .height_mm = TWELVE_POINTS_MM, .least_mm = TWELVE_POINTS_MM, .is_bold = true};
  // A number is made smaller before it is cut: "1..." is none
  const Letters figure = {.height_mm = TWELVE_POINTS_MM, .least_mm = 1.8, .is_bold = true};
  const Letters name = {
    .height_mm = TWELVE_POINTS_MM + 0.2, .least_mm = TWELVE_POINTS_MM, .lines = 3, .is_bold = true};
  const Letters small = {.height_mm = TWELVE_POINTS_MM, .least_mm = 1.9, .lines = 3};
  const Letters note = {.height_mm = TWELVE_POINTS_MM, .least_mm = 1.9, .lines = 5};
  Row* const rows = arena_array(
    canvas->arena, (size_t)(plant->n_inputs > plant->n_lines ? plant->n_inputs : plant->n_lines),
    sizeof(*rows));
  if (!rows) {
    canvas->status = STATUS_NO_MEMORY;
    return;
  }
  const int n = collect(order, rows);
  const double wide = n > 0 && rows[n - 1].channel > 99 ? 2.5 : 0.0; // Three figures
  GridColumn columns[GRID_MAX_COLUMNS] = {
    {"ch", wide + 9.5, figure}, {"line", wide + 10.5, figure}, {"source", 45.0, name},
    {"kind", 22.0, small},      {"phantom", 20.5, big},        {"socket", 13.5, figure},
    {"stand", 20.0, small},     {"note", 27.0, note},
  };
  for (int d = 0; d < plant->n_desks; ++d) {
    columns[8 + d] =
      (GridColumn){text_begins(plant->desks[d].name, "broad") ? "brd" : plant->desks[d].name,
                   8.0,
                   {.align = LETTERS_CENTRE}};
  }
  Frame frame = {.order = order,
                 .canvas = canvas,
                 .title = canvas_format(canvas, "Inputs, %s", desk->say),
                 .about = WORDING_INPUTS,
                 .is_of_act = true};
  frame_begin(&frame);
  frame_say(&frame, WORDING_PHANTOM_DESK, 2.4, true);
  Grid grid = {.frame = &frame, .columns = columns, .n_columns = 8 + plant->n_desks, .row_mm = 6.0};
  grid_begin(&grid);
  for (int i = 0; i < n; ++i) {
    draw_row(order, &grid, &rows[i]);
  }
  grid_end(&grid);
}
