// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "sheet/grid.h"
#include "sheet/print.h"
#include "sheet/wording.h"

#include <math.h>

/*
  Desk strips: a name over each fader, ten to a strip at 25 mm (faders lie 25 to 30 mm apart; common
  practice, no source), one act a strip, to be lifted and put back. A channel the act does not use
  is an empty field to write on.
*/

#define PITCH_MM 25.0
#define LEAD_MM 24.0
#define STRIP_H_MM 20.0
#define NARROW_MM 12.0 ///< Lower than this a strip has no room for three rows
enum { A_STRIP = 10 }; ///< Fewer where the paper is shorter

static int
highest_channel(const Order* order)
{
  int highest = 0;
  for (int i = 0; i < order->plant->n_lines; ++i) {
    const bool is_used = plant_input(order->plant, order->act, i) &&
                         order->plant->lines[i].desk_input[order->desk] > 0;
    const int channel = is_used ? order_channel(order, order->desk, i) : 0;
    highest = channel > highest ? channel : highest;
  }
  return highest;
}

static int
line_on(const Order* order, int channel)
{
  for (int i = 0; i < order->plant->n_lines; ++i) {
    if (plant_input(order->plant, order->act, i) &&
        order->plant->lines[i].desk_input[order->desk] > 0 &&
        order_channel(order, order->desk, i) == channel) {
      return i;
    }
  }
  return -1;
}

static void
draw_field(const Order* order, Canvas* canvas, Room room, int channel)
{
  const Plant* const plant = order->plant;
  const int line = line_on(order, channel);
  const bool is_narrow = room.h_mm < NARROW_MM; // Two rows: there the name gets what there is
  const double third = room.h_mm * (is_narrow ? 0.38 : 0.27);
  const double x = room.x_mm + 1.2;
  const double wide = room.w_mm - 2.4;
  canvas_line(canvas, room.x_mm + room.w_mm, room.y_mm, room.x_mm + room.w_mm,
              room.y_mm + room.h_mm, 0.15);
  (void)letters_draw(canvas, (Room){x, room.y_mm + 0.3, wide * (is_narrow ? 0.24 : 0.40), third},
                     canvas_format(canvas, "%d", channel),
                     (Letters){.height_mm = third * 0.72, .least_mm = 1.0, .is_bold = true});
  if (line < 0) {
    return;
  }
  const Line* const at = &plant->lines[line];
  const Input* const input = plant_input(plant, order->act, line);
  const GridCell phantom = grid_phantom(plant, input);
  const bool never = phantom.sort == CELL_INVERTED;
  const DeskRow* const row = plant_desk_row(plant, order->act, order->desk, line);
  const char* const name = row && row->name && row->name[0] ? row->name : order_source(input);
  const char* const mark = never                         ? "NO 48 V"
                           : phantom.sort == CELL_FILLED ? "\xE2\x97\x8F 48 V"
                           : phantom.sort == CELL_HALF   ? "\xE2\x97\x90 48 V ask"
                                                         : "";
  const double mark_part = is_narrow ? 0.46 : 0.58;
  (void)letters_draw(
    canvas, (Room){x + wide * (1.0 - mark_part), room.y_mm + 0.3, wide * mark_part, third}, mark,
    (Letters){.height_mm = fmax(third * 0.5, fmin(1.7, third * 0.7)),
              .least_mm = 1.0,
              .is_bold = true,
              .align = LETTERS_END});
  const double foot = is_narrow ? 0.3 : third;
  (void)letters_draw(canvas,
                     (Room){x, room.y_mm + third + 0.6, wide, room.h_mm - third - foot - 0.9}, name,
                     (Letters){.height_mm = fmin(4.2, room.h_mm * (is_narrow ? 0.42 : 0.28)),
                               .least_mm = 1.6,
                               .lines = room.h_mm > 12.0 ? 2 : 1,
                               .is_bold = true,
                               .align = LETTERS_CENTRE});
  const char* const socket = canvas_format(canvas, "%s%d", plant->boxes[at->box].name, at->socket);
  if (is_narrow) {
    (void)letters_draw(
      canvas, (Room){x + wide * 0.25, room.y_mm + 0.3, wide * 0.28, third}, socket,
      (Letters){.height_mm = third * 0.6, .least_mm = 1.0, .align = LETTERS_CENTRE});
  } else {
    (void)letters_draw(
      canvas, (Room){x, room.y_mm + room.h_mm - third, wide, third - 0.4},
      canvas_format(canvas, "line %d  %s", at->number, socket),
      (Letters){.height_mm = third * 0.5, .least_mm = 1.0, .align = LETTERS_CENTRE});
  }
}

static void
draw_strip(const Order* order, Canvas* canvas, double x, double y, double high, int first,
           int n_fields)
{
  const double long_mm = LEAD_MM + n_fields * PITCH_MM;
  canvas_frame(canvas, (Room){x, y, long_mm, high}, 0.15);
  (void)letters_draw(
    canvas, (Room){x + 1.0, y + 0.4, LEAD_MM - 2.0, high * 0.5 - 0.5},
    order->plant->desks[order->desk].name,
    (Letters){.height_mm = fmin(3.4, high * 0.3), .least_mm = 1.2, .is_bold = true});
  (void)letters_draw(canvas, (Room){x + 1.0, y + high * 0.5, LEAD_MM - 2.0, high * 0.5 - 0.4},
                     order_stamp(order, canvas),
                     (Letters){.height_mm = fmin(2.4, high * 0.25), .least_mm = 1.0, .lines = 2});
  canvas_line(canvas, x + LEAD_MM, y, x + LEAD_MM, y + high, 0.4);
  for (int i = 0; i < n_fields; ++i) {
    draw_field(order, canvas, (Room){x + LEAD_MM + i * PITCH_MM, y, PITCH_MM, high}, first + i);
  }
}

void
sheet_strip(const Order* order, Canvas* canvas)
{
  const int highest = highest_channel(order);
  if (order->tape_mm > 0) {
    const double high = order_tape_high_mm(order->tape_mm);
    for (int first = 1; first == 1 || first <= highest; first += A_STRIP) {
      canvas_page(canvas, LEAD_MM + A_STRIP * PITCH_MM + 4.0, order->tape_mm);
      draw_strip(order, canvas, 2.0, (order->tape_mm - high) / 2.0, high, first, A_STRIP);
    }
    return;
  }
  Frame frame = {.order = order,
                 .canvas = canvas,
                 .title = canvas_format(canvas, "Strips, %s", order->plant->desks[order->desk].say),
                 .about = WORDING_STRIPS,
                 .is_of_act = true,
                 .is_wide = true};
  frame_begin(&frame);
  const int fit = (int)((frame.right_mm - frame.left_mm - LEAD_MM) / PITCH_MM);
  const int n_fields = fit < A_STRIP ? fit : A_STRIP;
  for (int first = 1; first == 1 || first <= highest; first += n_fields) {
    (void)frame_room(&frame, STRIP_H_MM + 5.0);
    draw_strip(order, canvas, frame.left_mm, frame.at_mm + 2.0, STRIP_H_MM, first, n_fields);
    frame.at_mm += STRIP_H_MM + 5.0;
  }
}
