// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "sheet/band.h"
#include "sheet/grid.h"
#include "sheet/print.h"
#include "sheet/wording.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  Patch sheet of an act, as a hand plugs: box by box and socket by socket, each box a block to cut
  out and tape on it. The last columns are the difference from the act before, which is what
  everybody wants on paper: KEEP, MOVE, STRIKE or NEW, and what was there.
*/

#define ROW_MM 6.6
#define BLOCK_HEAD_MM 19.0
#define CAUTION_MM 9.0
#define HEADS_MM 6.0

typedef struct {
  const char* word; ///< "" where nothing was and nothing comes
  const char* was;
} Change;

// Where the act before had a source of that name; -1 = nowhere.
static int
line_of(const Plant* plant, int act, const char* source)
{
  for (int i = 0; i < plant->n_inputs && act >= 0; ++i) {
    const Input* const input = &plant->inputs[i];
    if (input->act == act && input->line >= 0 && input->source[0] &&
        text_same(input->source, source)) {
      return input->line;
    }
  }
  return -1;
}

static const char*
socket_name(const Plant* plant, Canvas* canvas, int line)
{
  return canvas_format(canvas, "%s%d", plant->boxes[plant->lines[line].box].name,
                       plant->lines[line].socket);
}

// What a hand does at one socket between the two acts.
static Change
change_at(const Order* order, Canvas* canvas, int line)
{
  const Plant* const plant = order->plant;
  const int before = order_before(order);
  const Input* const is = plant_input(plant, order->act, line);
  const Input* const was = before >= 0 ? plant_input(plant, before, line) : NULL;
  const int goes = was ? line_of(plant, order->act, was->source) : -1;
  const char* const left =
    !was ? ""
    : goes >= 0 && goes != line
      ? canvas_format(canvas, "%s, goes to %s", order_source(was), socket_name(plant, canvas, goes))
      : order_source(was);
  if (!is) {
    return (Change){!was ? "" : goes >= 0 ? "MOVE AWAY" : "STRIKE", left};
  }
  if (was && text_same(is->source, was->source) && is->kind == was->kind) {
    return (Change){"KEEP", "the same"};
  }
  const int from = line_of(plant, before, is->source);
  if (from >= 0 && from != line) {
    return (Change){canvas_format(canvas, "MOVE from %s", socket_name(plant, canvas, from)), left};
  }
  return (Change){from == line ? "NEW kind" : "NEW", left};
}

static bool
has_harm(const Order* order, int box)
{
  const Plant* const plant = order->plant;
  for (int i = 0; i < plant->n_lines; ++i) {
    const Input* const input = plant_input(plant, order->act, i);
    if (plant->lines[i].box == box && input && plant_is_harmful(plant, input)) {
      return true;
    }
  }
  return false;
}

enum { COLUMNS = 9 };

static void
cells_of(const Order* order, Canvas* canvas, int box, int socket, GridCell cells[COLUMNS])
{
  const Plant* const plant = order->plant;
  const int line = order_socket_line(plant, box, socket);
  const Input* const input = line >= 0 ? plant_input(plant, order->act, line) : NULL;
  const Change change = line >= 0 ? change_at(order, canvas, line) : (Change){"", ""};
  const bool is_spare = line >= 0 && plant->lines[line].is_spare;
  const char* const number =
    line >= 0 ? canvas_format(canvas, "%d", plant->lines[line].number) : "";
  const GridCell made[COLUMNS] = {
    {CELL_TEXT, canvas_format(canvas, "%s%d", plant->boxes[box].name, socket)},
    {CELL_TEXT, line >= 0 ? number : "none"},
    {CELL_BANDS, number},
    {CELL_TEXT, input      ? order_source(input)
                : is_spare ? "spare"
                           : ""},
    grid_phantom(plant, input),
    {CELL_TEXT, input ? plant->kinds[input->kind].name : ""},
    {CELL_TEXT, input ? input->stand : ""},
    {CELL_TEXT, change.word},
    {CELL_TEXT, change.was},
  };
  memcpy(cells, made, sizeof(made));
}

static void
draw_block_head(const Order* order, Frame* frame, const Box* box)
{
  Canvas* const canvas = frame->canvas;
  const double y = frame->at_mm + 2.0;
  const double x = frame->left_mm;
  char sockets[80];
  canvas_dashes(canvas, x, y - 1.0, frame->right_mm, y - 1.0);
  canvas_fill(canvas, (Room){x, y + 0.5, 22.0, 16.0}, true);
  if (canvas->cairo) {
    cairo_set_source_rgb(canvas->cairo, 1.0, 1.0, 1.0);
  }
  (void)letters_draw(
    canvas, (Room){x + 1.0, y + 1.0, 20.0, 15.0}, box->name,
    (Letters){.height_mm = 12.0, .least_mm = 3.0, .is_bold = true, .align = LETTERS_CENTRE});
  if (canvas->cairo) {
    cairo_set_source_rgb(canvas->cairo, 0.0, 0.0, 0.0);
  }
  const double wide = frame->right_mm - x - 26.0;
  (void)letters_draw(canvas, (Room){x + 26.0, y + 0.5, wide * 0.6, 8.0},
                     box->meaning[0] ? box->meaning : box->name,
                     (Letters){.height_mm = 4.2, .least_mm = 2.4, .lines = 2, .is_bold = true});
  (void)snprintf(sockets, sizeof(sockets), "sockets 1 to %d are lines %d to %d", box->n_sockets,
                 box->first_line, box->first_line + box->n_sockets - 1);
  (void)letters_draw(canvas, (Room){x + 26.0, y + 9.0, wide * 0.6, 7.0}, sockets,
                     (Letters){.height_mm = 2.6, .least_mm = 2.0});
  (void)letters_draw(
    canvas, (Room){x + 26.0 + wide * 0.62, y + 0.5, wide * 0.38, 8.0}, order_stamp(order, canvas),
    (Letters){.height_mm = 3.4, .least_mm = 2.0, .is_bold = true, .align = LETTERS_END});
  (void)letters_draw(
    canvas, (Room){x + 26.0 + wide * 0.62, y + 9.0, wide * 0.38, 7.0},
    order_before(order) >= 0
      ? canvas_format(canvas, "after %s", order->plant->acts[order_before(order)].name)
      : "",
    (Letters){.height_mm = 2.6, .least_mm = 2.0, .align = LETTERS_END});
  frame->at_mm = y + BLOCK_HEAD_MM - 1.0;
}

static void
draw_block(const Order* order, Frame* frame, int b)
{
  const Box* const box = &order->plant->boxes[b];
  const Letters big = {.height_mm = 4.0, .least_mm = 2.4, .is_bold = true};
  const Letters name = {.height_mm = 3.5, .least_mm = 2.3, .lines = 3, .is_bold = true};
  const Letters plain = {.height_mm = 2.7, .least_mm = 1.9, .lines = 2};
  const Letters word = {.height_mm = 2.7, .least_mm = 2.0, .lines = 2, .is_bold = true};
  const GridColumn columns[] = {
    {"socket", 15.0, big},  {"line", 12.0, big},     {"colours", 13.0, plain},
    {"source", 40.0, name}, {"phantom", 20.0, word}, {"kind", 23.0, plain},
    {"stand", 19.0, plain}, {"do", 21.0, word},      {"was there before", 27.0, plain}};
  Grid grid = {.frame = frame,
               .columns = columns,
               .n_columns = sizeof(columns) / sizeof(columns[0]),
               .row_mm = ROW_MM};
  // A box stands on one page where it can: half a block on a box is a block too little
  double need_mm =
    BLOCK_HEAD_MM + 1.0 + CAUTION_MM + (has_harm(order, b) ? CAUTION_MM : 0.0) + HEADS_MM + 4.0;
  grid_lay(&grid);
  for (int s = 1; s <= box->n_sockets; ++s) {
    GridCell cells[COLUMNS];
    cells_of(order, frame->canvas, b, s, cells);
    need_mm += grid_row_mm(&grid, cells);
  }
  (void)frame_room(frame, fmin(need_mm, frame->bottom_mm - frame->top_mm));
  draw_block_head(order, frame, box);
  frame_say(frame, WORDING_PLUG, 2.2, true);
  if (has_harm(order, b)) {
    frame_say(frame, WORDING_RIBBON, 2.2, true);
  }
  grid_begin(&grid);
  for (int s = 1; s <= box->n_sockets; ++s) {
    GridCell cells[COLUMNS];
    cells_of(order, frame->canvas, b, s, cells);
    grid_row(&grid, cells);
  }
  grid_end(&grid);
  canvas_dashes(frame->canvas, frame->left_mm, frame->at_mm, frame->right_mm, frame->at_mm);
}

void
sheet_patch(const Order* order, Canvas* canvas)
{
  Frame frame = {.order = order,
                 .canvas = canvas,
                 .title = "Patch sheet",
                 .about = order_before(order) >= 0 ? WORDING_PATCH " " WORDING_BANDS
                                                   : WORDING_PATCH " " WORDING_NOTHING_BEFORE,
                 .is_of_act = true};
  frame_begin(&frame);
  for (int b = 0; b < order->plant->n_boxes; ++b) {
    draw_block(order, &frame, b);
  }
}
