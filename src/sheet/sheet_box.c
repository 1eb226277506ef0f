// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/grid.h"
#include "sheet/print.h"
#include "sheet/square.h"
#include "sheet/wording.h"

#include <math.h>
#include <stdio.h>

/*
  Box labels: a letter to be read across the stage, and one label a socket.

      +--------------------------------------+
      | A7   line 7   * 48 V        +------+ |     A7 is read from SOCKET_M; the code opens the line
      | floor tom                   |  QR  | |     on the crew page
      | act2, list QLR 2            +------+ |
      +--------------------------------------+

  On paper in columns to cut; on tape each on its own length. A code needs 16.5 mm at least, so 9
  and 12 mm tape have none: there the line's number is the way in, since a number typed anywhere on
  the crew page goes to that line.
*/

#define LETTER_M 8.0 ///< The box letter is read from here
#define SOCKET_M 1.5
#define NEAR_M 0.6
#define CELL_W_MM 63.0
#define CELL_H_MM 23.0
#define STAMP_W_MM 18.0 ///< On narrow tape
#define MODULE_MOST_MM 0.62

typedef struct {
  const char* id;
  const char* line;
  const char* source;
  GridCell phantom;
  const char* stamp;
  const char* address;
} Label;

static Label
label_of(const Order* order, Canvas* canvas, int box, int socket)
{
  const Plant* const plant = order->plant;
  const int line = order_socket_line(plant, box, socket);
  const Input* const input = line >= 0 ? plant_input(plant, order->act, line) : NULL;
  const bool is_spare = line >= 0 && plant->lines[line].is_spare;
  return (Label){canvas_format(canvas, "%s%d", plant->boxes[box].name, socket),
                 line >= 0 ? canvas_format(canvas, "line %d", plant->lines[line].number)
                           : "no line",
                 input      ? order_source(input)
                 : is_spare ? "spare"
                            : "",
                 grid_phantom(plant, input),
                 order_stamp(order, canvas),
                 line >= 0 ? order_line_address(order, canvas, plant->lines[line].number) : NULL};
}

// Mark and word; white on black where it must never be. @return the width it took.
static double
draw_phantom(Canvas* canvas, Room room, const GridCell* cell)
{
  if (!cell->text[0] || cell->sort == CELL_HOLLOW) {
    return 0.0;
  }
  const double x = room.x_mm;
  const double letters = fmin(2.6, room.h_mm * 0.6);
  const bool is_never = cell->sort == CELL_INVERTED;
  const char* const word = is_never ? "NO 48 V" : cell->sort == CELL_HALF ? "48 V ask" : cell->text;
  const double r = letters * 0.5;
  const double mark = is_never ? 0.6 : 2.0 * r + 0.8;
  const double wide =
    fmin(letters_width_mm(canvas, word, letters, true) + 0.4, room.w_mm - mark - 0.6);
  if (is_never) {
    canvas_fill(canvas, (Room){x, room.y_mm, wide + 1.2, room.h_mm}, true);
    if (canvas->cairo) {
      cairo_set_source_rgb(canvas->cairo, 1.0, 1.0, 1.0);
    }
  } else {
    canvas_circle(canvas, x + r, room.y_mm + room.h_mm / 2.0, r, 0.25, cell->sort == CELL_FILLED);
  }
  (void)letters_draw(canvas, (Room){x + mark, room.y_mm, wide, room.h_mm}, word,
                     (Letters){.height_mm = letters, .least_mm = letters * 0.6, .is_bold = true});
  if (canvas->cairo) {
    cairo_set_source_rgb(canvas->cairo, 0.0, 0.0, 0.0);
  }
  return mark + wide + 0.6;
}

// Where a code has room beside the words.
static void
draw_large(Canvas* canvas, Room room, const Label* label)
{
  const double side = square_draw(canvas, room, MODULE_MOST_MM, label->address);
  if (label->address && side == 0.0) {
    canvas_note(canvas, "No QR codes: the address is too long for them, a shorter one would fit.");
  }
  const double wide = room.w_mm - (side > 0.0 ? side + 0.5 : 0.0);
  const double id_mm = letters_height_mm(SOCKET_M);
  const double top = fmin(id_mm + 1.4, room.h_mm * 0.5);
  const double id_w = fmin(letters_width_mm(canvas, label->id, id_mm, true) + 0.4, wide * 0.62);
  (void)letters_draw(canvas, (Room){room.x_mm, room.y_mm, id_w, top}, label->id,
                     (Letters){.height_mm = id_mm, .least_mm = 3.0, .is_bold = true});
  const double x = room.x_mm + id_w + 1.5;
  const double rest = wide - id_w - 1.5;
  (void)letters_draw(canvas, (Room){x, room.y_mm, rest, top * 0.5}, label->line,
                     (Letters){.height_mm = letters_height_mm(NEAR_M), .least_mm = 1.4});
  (void)draw_phantom(canvas, (Room){x, room.y_mm + top * 0.54, rest, top * 0.44}, &label->phantom);
  const double foot = 2.6;
  (void)letters_draw(
    canvas, (Room){room.x_mm, room.y_mm + top + 0.6, wide, room.h_mm - top - foot - 0.8},
    label->source, (Letters){.height_mm = 3.6, .least_mm = 1.8, .lines = 2, .is_bold = true});
  (void)letters_draw(canvas, (Room){room.x_mm, room.y_mm + room.h_mm - foot, wide, foot},
                     label->stamp, (Letters){.height_mm = 1.7, .least_mm = 1.0});
}

// Narrow tape: the socket large, beside it two lines.
static void
draw_small(Canvas* canvas, Room room, const Label* label)
{
  const double id_mm = fmin(letters_height_mm(SOCKET_M), room.h_mm - 0.2);
  const double id_w = letters_width_mm(canvas, label->id, id_mm, true) + 0.4;
  const double x = room.x_mm + id_w + 2.0;
  const double rest = room.w_mm - id_w - 2.0 - STAMP_W_MM - 1.0;
  const double half = room.h_mm / 2.0;
  (void)letters_draw(canvas, (Room){room.x_mm, room.y_mm, id_w, room.h_mm}, label->id,
                     (Letters){.height_mm = id_mm, .least_mm = 3.0, .is_bold = true});
  (void)letters_draw(
    canvas, (Room){x, room.y_mm, rest, half - 0.2}, label->source,
    (Letters){.height_mm = fmin(3.2, half * 0.72), .least_mm = 1.4, .is_bold = true});
  const double line_w = letters_width_mm(canvas, label->line, fmin(2.4, half * 0.6), false) + 0.4;
  (void)letters_draw(canvas, (Room){x, room.y_mm + half + 0.2, line_w, half - 0.2}, label->line,
                     (Letters){.height_mm = fmin(2.4, half * 0.6), .least_mm = 1.2});
  (void)draw_phantom(
    canvas, (Room){x + line_w + 1.5, room.y_mm + half + 0.2, rest - line_w - 1.5, half - 0.2},
    &label->phantom);
  (void)letters_draw(
    canvas, (Room){x + rest + 1.0, room.y_mm, STAMP_W_MM, room.h_mm}, label->stamp,
    (Letters){.height_mm = 1.9, .least_mm = 1.2, .lines = 3, .align = LETTERS_END});
}

// ---- On tape ----

static void
draw_tape(const Order* order, Canvas* canvas)
{
  const double wide = order->tape_mm;
  const double high = order_tape_high_mm(order->tape_mm);
  const double edge = (wide - high) / 2.0;
  const double long_mm = high >= 16.5 ? 72.0 : 76.0;
  if (high < letters_height_mm(SOCKET_M)) {
    canvas_note(canvas, "On %d mm tape the socket's digits are %.1f mm high: read from %.1f m.",
                order->tape_mm, high - 0.2, (high - 0.2) * LETTERS_EASY_RATIO / 1000.0);
  }
  if (high < 16.5 && order->address && order->address[0]) {
    canvas_note(
      canvas,
      "No QR codes on %d mm tape: their squares would be smaller than 0.5 mm. On the crew "
      "page, type the line's number and Enter.",
      order->tape_mm);
  }
  for (int b = 0; b < order->plant->n_boxes; ++b) {
    for (int s = 1; s <= order->plant->boxes[b].n_sockets; ++s) {
      const Label label = label_of(order, canvas, b, s);
      const Room room = {2.0, edge, long_mm - 4.0, high};
      canvas_page(canvas, long_mm, wide);
      (high >= 16.5 ? draw_large : draw_small)(canvas, room, &label);
    }
  }
}

// ---- On paper ----

static void
draw_letter(const Order* order, Frame* frame, const Box* box)
{
  Canvas* const canvas = frame->canvas;
  const double big = letters_height_mm(LETTER_M);
  const double high = big + 12.0;
  const double wide = frame->right_mm - frame->left_mm;
  (void)frame_room(frame, high + 4.0 + CELL_H_MM);
  const Room room = {frame->left_mm, frame->at_mm + 1.0, wide, high};
  canvas_frame(canvas, room, 0.3);
  const double letter_w = fmin(letters_width_mm(canvas, box->name, big, true) + 1.0, wide * 0.6);
  (void)letters_draw(canvas, (Room){room.x_mm + 4.0, room.y_mm + 3.0, letter_w, high - 6.0},
                     box->name, (Letters){.height_mm = big, .least_mm = 8.0, .is_bold = true});
  const double x = room.x_mm + letter_w + 10.0;
  const double rest = room.x_mm + wide - x - 3.0;
  (void)letters_draw(canvas, (Room){x, room.y_mm + 4.0, rest, 22.0}, box->meaning,
                     (Letters){.height_mm = 7.5, .least_mm = 3.0, .lines = 3, .is_bold = true});
  (void)letters_draw(
    canvas, (Room){x, room.y_mm + 28.0, rest, 8.0},
    canvas_format(canvas, "lines %d to %d", box->first_line, box->first_line + box->n_sockets - 1),
    (Letters){.height_mm = 5.0, .least_mm = 3.0});
  (void)letters_draw(canvas, (Room){x, room.y_mm + 38.0, rest, 8.0}, order_stamp(order, canvas),
                     (Letters){.height_mm = 3.4, .least_mm = 2.0});
  frame->at_mm += high + 4.0;
}

static void
draw_cells(const Order* order, Frame* frame, int b)
{
  Canvas* const canvas = frame->canvas;
  const int n = order->plant->boxes[b].n_sockets;
  const int n_columns = (int)((frame->right_mm - frame->left_mm) / CELL_W_MM);
  const double wide = (frame->right_mm - frame->left_mm) / n_columns;
  for (int first = 0; first < n; first += n_columns) {
    (void)frame_room(frame, CELL_H_MM);
    for (int c = 0; c < n_columns && first + c < n; ++c) {
      const Label label = label_of(order, canvas, b, first + c + 1);
      const Room cell = {frame->left_mm + c * wide, frame->at_mm, wide, CELL_H_MM};
      canvas_frame(canvas, cell, 0.12);
      draw_large(canvas, (Room){cell.x_mm + 1.5, cell.y_mm + 1.2, wide - 2.2, CELL_H_MM - 2.0},
                 &label);
    }
    frame->at_mm += CELL_H_MM;
  }
}

void
sheet_box(const Order* order, Canvas* canvas)
{
  if (order->tape_mm > 0) {
    draw_tape(order, canvas);
    return;
  }
  Frame frame = {.order = order,
                 .canvas = canvas,
                 .title = "Box labels",
                 .about = order->address && order->address[0] ? WORDING_BOXES : WORDING_BOXES_BARE,
                 .is_of_act = true};
  frame_begin(&frame);
  for (int b = 0; b < order->plant->n_boxes; ++b) {
    if (b > 0) {
      frame_next(&frame);
    }
    draw_letter(order, &frame, &order->plant->boxes[b]);
    draw_cells(order, &frame, b);
  }
}
