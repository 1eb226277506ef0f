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
  everybody wants on paper: KEEP, MOVE, STRIKE or NEW, and what a hand does, in the words of the
  change (day/change), which knows what is taped off, which ways were taken and what was told.
*/

#define ROW_MM 6.6
#define BLOCK_HEAD_MM 19.0
#define CAUTION_MM 9.0
#define HEADS_MM 6.4

// KEEP, MOVE, STRIKE or NEW, as the change has it; "" where nothing was and nothing comes.
static const char*
word_at(const Order* order, Canvas* canvas, int line)
{
  const Today* const today = order_today(order);
  const ChangeMove* out = NULL;
  const ChangeMove* in = NULL;
  const char* word = "";
  today_at(today, line, &out, &in);
  for (int i = 0; i < today->n_moves && !in && !out; ++i) {
    word = today->moves[i].from == line ? "MOVE" : word; // It goes from here, and nothing comes
  }
  const ChangeMove* const move = in ? in : out;
  if (move) {
    word = move->does == CHANGE_KEEP     ? "KEEP"
           : move->does == CHANGE_MOVE   ? "MOVE"
           : move->does == CHANGE_STRIKE ? "STRIKE"
                                         : "NEW";
  }
  const bool is_done = move && move->is_done && move->does != CHANGE_KEEP;
  return is_done ? canvas_format(canvas, "%s, done", word) : word;
}

static const char*
row_at(const Order* order, Canvas* canvas, int line)
{
  const Today* const today = order_today(order);
  const char* const row =
    change_row(canvas->arena, order->plant, today->moves, today->n_moves, line);
  if (!row) {
    canvas->status = canvas->status == STATUS_OK ? STATUS_NO_MEMORY : canvas->status;
  }
  return row ? row : "";
}

// What goes into a socket, or why nothing does.
static const char*
source_at(const Order* order, Canvas* canvas, int line, const Plug* plug)
{
  const Today* const today = order_today(order);
  if (plug && plug->next) {
    return plug->leg == 0 ? order_source(plug->next)
                          : canvas_format(canvas, "%s, its second plug", order_source(plug->next));
  }
  return today->taped[line]  ? canvas_format(canvas, "taped off: %s", today->taped[line])
         : today->lent[line] ? "not to be used: way round"
         : order->plant->lines[line].is_spare ? "spare"
                                              : "";
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
  const Today* const today = order_today(order);
  const int line = order_socket_line(plant, box, socket);
  const ChangeMove* out = NULL;
  const ChangeMove* in = NULL;
  today_at(today, line, &out, &in);
  const Plug* const plug = in ? &today->plugs[in->plug] : NULL;
  const Input* const input = plug ? plug->next : NULL;
  const char* const number =
    line >= 0 ? canvas_format(canvas, "%d", plant->lines[line].number) : "";
  const GridCell made[COLUMNS] = {
    {CELL_TEXT, canvas_format(canvas, "%s%d", plant->boxes[box].name, socket)},
    {CELL_TEXT, line >= 0 ? number : "none"},
    {CELL_BANDS, number},
    {CELL_TEXT, line >= 0 ? source_at(order, canvas, line, plug) : ""},
    grid_phantom(plant, input),
    {CELL_TEXT, input ? plant->kinds[input->kind].name : ""},
    {CELL_TEXT, input ? input->stand : ""},
    {CELL_TEXT, line >= 0 ? word_at(order, canvas, line) : ""},
    {CELL_TEXT, line >= 0 ? row_at(order, canvas, line) : ""},
  };
  memcpy(cells, made, sizeof(made));
}

static void
draw_block_head(const Order* order, Frame* frame, const Box* box, bool is_first)
{
  Canvas* const canvas = frame->canvas;
  const double y = frame->at_mm + 2.0;
  const double x = frame->left_mm;
  char sockets[80];
  if (is_first) { // Else the block above has ended in a cut
    canvas_dashes(canvas, x, y - 1.0, frame->right_mm, y - 1.0);
  }
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
  const Letters row = {.height_mm = 2.5, .least_mm = 1.9, .lines = 4};
  const Letters word = {.height_mm = 2.7, .least_mm = 2.0, .lines = 2, .is_bold = true};
  const GridColumn columns[] = {
    {"socket", 15.0, big},  {"line", 12.0, big},     {"colours", 13.0, plain},
    {"source", 38.0, name}, {"phantom", 19.0, word}, {"kind", 22.0, plain},
    {"stand", 18.0, plain}, {"do", 17.0, word},      {"and", 36.0, row}};
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
  const bool is_first = frame_room(frame, fmin(need_mm, frame->bottom_mm - frame->top_mm));
  draw_block_head(order, frame, box, is_first || b == 0);
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
