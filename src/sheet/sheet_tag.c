// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/frame.h"
#include "sheet/letters.h"
#include "sheet/print.h"
#include "sheet/wording.h"

#include <math.h>

/*
  Fault tags, eight a page: one filled in for each thing that is taped off, then blank ones, so that
  there is a tag at hand for the next.
*/

enum { A_PAGE = 8, COLUMNS = 2, FIELDS = 6 };

static void
draw_tag(Canvas* canvas, Room room, const char* item, const char* why, const char* when)
{
  static const char* const names[FIELDS] = {"number",  "end",  "contact",
                                            "symptom", "date", "give to"};
  const char* const said[FIELDS] = {item, "", "", why, when, ""};
  const double inner = room.w_mm - 6.0;
  const Room bar = {room.x_mm + 2.0, room.y_mm + 2.0, room.w_mm - 4.0, 12.0};
  canvas_frame(canvas, room, 0.12);
  canvas_circle(canvas, room.x_mm + 6.0, room.y_mm + room.h_mm - 5.0, 2.2, 0.2, false);
  canvas_fill(canvas, bar, true);
  if (canvas->cairo) {
    cairo_set_source_rgb(canvas->cairo, 1.0, 1.0, 1.0);
  }
  (void)letters_draw(
    canvas, (Room){bar.x_mm + 2.0, bar.y_mm + 0.5, bar.w_mm - 4.0, 11.0}, "QUARANTINE",
    (Letters){.height_mm = 8.0, .least_mm = 4.0, .is_bold = true, .align = LETTERS_CENTRE});
  if (canvas->cairo) {
    cairo_set_source_rgb(canvas->cairo, 0.0, 0.0, 0.0);
  }
  const double top = room.y_mm + 16.0;
  const double step = (room.h_mm - 16.0 - 11.0) / (FIELDS / 2 + 1);
  for (int f = 0; f < FIELDS; ++f) {
    // number and end, contact and date, symptom alone, give to alone
    static const int rows[FIELDS] = {0, 0, 1, 2, 1, 3};
    static const int halves[FIELDS] = {0, 1, 0, 2, 1, 2};
    const double wide = halves[f] == 2 ? inner : inner / 2.0 - 1.5;
    const double x = room.x_mm + 3.0 + (halves[f] == 1 ? inner / 2.0 + 1.5 : 0.0);
    const double y = top + rows[f] * step;
    const double name_w = 15.5;
    (void)letters_draw(canvas, (Room){x, y, name_w, step - 0.8}, names[f],
                       (Letters){.height_mm = 2.1, .least_mm = 1.5});
    (void)letters_draw(
      canvas, (Room){x + name_w + 0.5, y, wide - name_w - 0.5, step - 0.8}, said[f],
      (Letters){.height_mm = f == 0 ? 4.5 : 2.8, .least_mm = 1.5, .lines = 2, .is_bold = true});
    canvas_line(canvas, x + name_w, y + step - 0.4, x + wide, y + step - 0.4, 0.2);
  }
  (void)letters_draw(canvas,
                     (Room){room.x_mm + 10.0, room.y_mm + room.h_mm - 9.5, room.w_mm - 12.0, 8.5},
                     WORDING_TAG, (Letters){.height_mm = 2.1, .least_mm = 1.6, .lines = 3});
}

void
sheet_tag(const Order* order, Canvas* canvas)
{
  const FoldSet taped = order->fold ? order->fold->taped_off : (FoldSet){NULL, 0};
  const int n_filled = (int)taped.n_facts;
  const int n = n_filled % A_PAGE == 0 ? n_filled + A_PAGE : (n_filled / A_PAGE + 1) * A_PAGE;
  Frame frame = {.order = order, .canvas = canvas, .title = "Fault tags", .about = WORDING_TAGS};
  frame_begin(&frame);
  const double wide = (frame.right_mm - frame.left_mm) / COLUMNS;
  const double high = floor((frame.bottom_mm - frame.top_mm) / (A_PAGE / COLUMNS) - 0.5);
  for (int i = 0; i < n; ++i) {
    const FoldFact* const fact = i < n_filled ? taped.facts[i] : NULL;
    if (i > 0 && i % A_PAGE == 0) {
      frame_next(&frame);
    }
    const Room room = {frame.left_mm + i % COLUMNS * wide,
                       frame.top_mm + i % A_PAGE / COLUMNS * high, wide, high};
    // The day it was told is part of what was told; the time of printing is not
    draw_tag(canvas, room, fact ? fact->body.item : "",
             fact && fact->body.why ? fact->body.why : "",
             fact ? canvas_format(canvas, "%.10s", fact->fact.time) : "");
  }
}
