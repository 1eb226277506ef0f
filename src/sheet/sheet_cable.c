// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "sheet/grid.h"
#include "sheet/print.h"
#include "sheet/wording.h"

#include <math.h>

/*
  Cable labels: two a cable, one for each end, 25 to 75 mm from the connector under clear
  heat-shrink (common practice, no source). The number stands on each twice, once the other way up,
  so that it is read whichever way the end lies.

      | M041           | 1#0W     |      the dashes are where it folds around the cable
      | 10 m  OWNER    | (turned) |
*/

#define HAND_M 0.7 ///< Read from here
#define CELL_W_MM 47.0
#define CELL_H_MM 13.0

static void
draw_half(const Order* order, Canvas* canvas, const Item* item, double wide, double high)
{
  const double tag = high * 0.42; // On wide tape as large as its length allows
  const double top = high * 0.62;
  const double foot = high - top - 0.3;
  const double small = fmin(foot * 0.66, 3.2);
  const char* const owner = order->owner ? order->owner : "";
  const char* const length =
    item->length_m > 0.0 ? canvas_format(canvas, "%g m", item->length_m) : "";
  const double length_w =
    length[0] ? fmin(wide * 0.5, letters_width_mm(canvas, length, small, true) + 0.4) : 0.0;
  (void)letters_draw(
    canvas, (Room){0.0, 0.0, wide, top}, item->tag,
    (Letters){.height_mm = tag, .least_mm = 1.6, .is_bold = true, .align = LETTERS_CENTRE});
  (void)letters_draw(canvas, (Room){0.0, top + 0.3, length_w, foot}, length,
                     (Letters){.height_mm = small, .least_mm = 1.2, .is_bold = true});
  (void)letters_draw(canvas, (Room){length_w + 1.5, top + 0.3, wide - length_w - 1.5, foot}, owner,
                     (Letters){.height_mm = small * 0.9, .least_mm = 1.0});
}

static void
draw_label(const Order* order, Canvas* canvas, const Item* item, Room room)
{
  const double half = room.w_mm / 2.0 - 0.8;
  cairo_matrix_t before = canvas_turn(canvas, room.x_mm, room.y_mm, 0);
  draw_half(order, canvas, item, half, room.h_mm);
  canvas_back(canvas, before);
  before = canvas_turn(canvas, room.x_mm + room.w_mm, room.y_mm + room.h_mm, 2);
  draw_half(order, canvas, item, half, room.h_mm);
  canvas_back(canvas, before);
  canvas_dashes(canvas, room.x_mm + room.w_mm / 2.0, room.y_mm, room.x_mm + room.w_mm / 2.0,
                room.y_mm + room.h_mm);
}

static bool
is_labelled(const Item* item)
{
  return item->tag && item->tag[0] && !text_same(item->state, "bin");
}

static void
draw_tape(const Order* order, Canvas* canvas)
{
  const double high = order_tape_high_mm(order->tape_mm);
  const double edge = (order->tape_mm - high) / 2.0;
  const double long_mm = high < 10.0 ? 46.0 : 60.0;
  for (int i = 0; i < order->plant->n_items; ++i) {
    for (int end = 0; end < 2 && is_labelled(&order->plant->items[i]); ++end) {
      canvas_page(canvas, long_mm, order->tape_mm);
      draw_label(order, canvas, &order->plant->items[i], (Room){2.0, edge, long_mm - 4.0, high});
    }
  }
  if (canvas->n_pages == 0) {
    canvas_page(canvas, long_mm, order->tape_mm);
    (void)letters_draw(canvas, (Room){2.0, edge, long_mm - 4.0, high}, WORDING_NO_CABLES,
                       (Letters){.height_mm = 2.0, .least_mm = 1.2, .lines = 2});
  }
}

void
sheet_cable(const Order* order, Canvas* canvas)
{
  int n = 0;
  if (order->tape_mm > 0) {
    draw_tape(order, canvas);
    return;
  }
  Frame frame = {
    .order = order, .canvas = canvas, .title = "Cable labels", .about = WORDING_CABLES};
  frame_begin(&frame);
  const int n_columns = (int)((frame.right_mm - frame.left_mm) / CELL_W_MM);
  for (int i = 0; i < order->plant->n_items; ++i) {
    for (int end = 0; end < 2 && is_labelled(&order->plant->items[i]); ++end) {
      if (n % n_columns == 0) {
        frame.at_mm += n ? CELL_H_MM : 0.0;
        (void)frame_room(&frame, CELL_H_MM);
      }
      const Room cell = {frame.left_mm + n % n_columns * CELL_W_MM, frame.at_mm, CELL_W_MM,
                         CELL_H_MM};
      canvas_frame(canvas, cell, 0.12);
      draw_label(order, canvas, &order->plant->items[i],
                 (Room){cell.x_mm + 1.5, cell.y_mm + 1.5, CELL_W_MM - 3.0, CELL_H_MM - 3.0});
      ++n;
    }
  }
  if (n == 0) {
    frame_say(&frame, WORDING_NO_CABLES, 3.0, false);
  }
}
