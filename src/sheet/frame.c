// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/frame.h"

#include "base/text.h"
#include "day/mark.h"
#include "sheet/letters.h"
#include "sheet/wording.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define MARGIN_MM 10.0
#define FOOT_MM 6.0
#define HEAD_MM 19.0
#define MARK_W_MM 46.0

static const char*
made(Canvas* canvas, const char* text)
{
  if (!text) {
    canvas->status = canvas->status == STATUS_OK ? STATUS_NO_MEMORY : canvas->status;
  }
  return text ? text : "";
}

// "act2, 15:35 to 16:35"
static const char*
when(const Frame* frame)
{
  const Order* const order = frame->order;
  const Act* const act = order->act >= 0 ? &order->plant->acts[order->act] : NULL;
  if (!frame->is_of_act) {
    return "the whole day";
  }
  if (!act || !act->start || !act->start[0]) {
    return order_act(order);
  }
  return act->end && act->end[0]
           ? canvas_format(frame->canvas, "%s, %s to %s", act->name, act->start, act->end)
           : canvas_format(frame->canvas, "%s, %s", act->name, act->start);
}

// The mark of the act's list; of a sheet of the day those of all acts, which go stale too.
static const char*
marks(const Frame* frame)
{
  TextOut out = {.arena = frame->canvas->arena};
  char mark[MARK_ROOM];
  if (frame->is_of_act) {
    return canvas_format(frame->canvas, "%s", order_mark(frame->order, mark));
  }
  for (int a = 0; a < frame->order->plant->n_acts; ++a) {
    if (mark_act(frame->order->listed, frame->order->fold, a, mark)[0]) {
      text_add(&out, "%s%s %s", out.n_bytes ? ", " : "", frame->order->plant->acts[a].name, mark);
    }
  }
  return made(frame->canvas, text_done(&out));
}

static void
draw_head(const Frame* frame)
{
  Canvas* const canvas = frame->canvas;
  const double left = frame->left_mm;
  const double wide = frame->right_mm - left;
  const char* const mark = marks(frame);
  const bool has_mark = frame->is_of_act && mark[0];
  const int n_changed = has_mark ? order_today(frame->order)->n_changed : 0;
  const double text_w = wide - (has_mark ? MARK_W_MM + 4.0 : 0.0);
  (void)letters_draw(canvas, (Room){left, MARGIN_MM, text_w * 0.56, 7.5}, frame->title,
                     (Letters){.height_mm = 5.0, .least_mm = 3.0, .is_bold = true});
  (void)letters_draw(
    canvas, (Room){left + text_w * 0.58, MARGIN_MM, text_w * 0.42, 7.5}, when(frame),
    (Letters){.height_mm = 4.0, .least_mm = 2.0, .is_bold = true, .align = LETTERS_END});
  (void)letters_draw(canvas, (Room){left, MARGIN_MM + 8.5, text_w, 7.5},
                     frame->is_of_act  ? frame->about
                     : frame->about[0] ? frame->about
                                       : mark,
                     (Letters){.height_mm = 2.4, .least_mm = 1.9, .lines = 2});
  if (has_mark) {
    const Room box = {frame->right_mm - MARK_W_MM, MARGIN_MM, MARK_W_MM, 15.0};
    canvas_frame(canvas, box, 0.6);
    (void)letters_draw(
      canvas, (Room){box.x_mm + 2.0, box.y_mm + 1.0, box.w_mm - 4.0, 9.6}, mark,
      (Letters){.height_mm = 7.5, .least_mm = 4.0, .is_bold = true, .align = LETTERS_CENTRE});
    (void)letters_draw(canvas, (Room){box.x_mm + 1.0, box.y_mm + 11.2, box.w_mm - 2.0, 3.0},
                       n_changed ? canvas_format(canvas, "and %d changed today", n_changed)
                                 : WORDING_MARK,
                       (Letters){.height_mm = 2.0, .least_mm = 1.5, .align = LETTERS_CENTRE});
  }
  canvas_line(canvas, left, MARGIN_MM + HEAD_MM - 2.0, frame->right_mm, MARGIN_MM + HEAD_MM - 2.0,
              0.5);
}

static void
draw_foot(const Frame* frame)
{
  Canvas* const canvas = frame->canvas;
  const double y = frame->h_mm - MARGIN_MM - FOOT_MM + 2.0;
  const double wide = frame->right_mm - frame->left_mm;
  const int total = canvas_total(canvas);
  const Order* const order = frame->order;
  char page[64];
  (void)snprintf(page, sizeof(page), total ? "page %d of %d" : "page %d", canvas->section_page,
                 total);
  const char* const stamp = frame->is_of_act ? order_stamp(order, canvas) : marks(frame);
  const char* const show = order->show && order->show[0] ? order->show : "";
  const char* const date = order->date && order->date[0] ? order->date : "";
  const char* const middle =
    canvas_format(canvas, "%s%s%s", show, show[0] && date[0] ? ", " : "", date);
  canvas_line(canvas, frame->left_mm, y - 1.0, frame->right_mm, y - 1.0, 0.2);
  (void)letters_draw(canvas, (Room){frame->left_mm, y, wide * 0.46, 4.0}, stamp,
                     (Letters){.height_mm = 2.4, .least_mm = 1.2, .is_bold = true});
  (void)letters_draw(canvas, (Room){frame->left_mm + wide * 0.48, y, wide * 0.30, 4.0}, middle,
                     (Letters){.height_mm = 2.0, .least_mm = 1.2, .align = LETTERS_CENTRE});
  (void)letters_draw(canvas, (Room){frame->left_mm + wide * 0.80, y, wide * 0.20, 4.0}, page,
                     (Letters){.height_mm = 2.4, .least_mm = 1.2, .align = LETTERS_END});
}

void
frame_next(Frame* frame)
{
  canvas_page(frame->canvas, frame->w_mm, frame->h_mm);
  draw_head(frame);
  draw_foot(frame);
  frame->at_mm = frame->top_mm;
}

// What of the act is not as its list has it stands over everything else.
static void
say_today(Frame* frame)
{
  const Today* const today = frame->is_of_act ? order_today(frame->order) : NULL;
  TextOut out = {.arena = frame->canvas->arena};
  for (int i = 0; today && i < today->n_says; ++i) {
    text_add(&out, "%s%s", i ? " " : WORDING_TODAY, today->says[i]);
  }
  const char* const text = made(frame->canvas, text_done(&out));
  if (text[0]) {
    frame_say(frame, text, 2.4, true);
  }
}

void
frame_begin(Frame* frame)
{
  double short_mm = 0.0;
  double long_mm = 0.0;
  order_paper_mm(frame->order, &short_mm, &long_mm);
  frame->about = frame->about ? frame->about : "";
  frame->w_mm = frame->is_wide ? long_mm : short_mm;
  frame->h_mm = frame->is_wide ? short_mm : long_mm;
  frame->left_mm = MARGIN_MM;
  frame->right_mm = frame->w_mm - MARGIN_MM;
  frame->top_mm = MARGIN_MM + HEAD_MM;
  frame->bottom_mm = frame->h_mm - MARGIN_MM - FOOT_MM - 1.0;
  canvas_section(frame->canvas);
  frame_next(frame);
  say_today(frame);
}

bool
frame_room(Frame* frame, double need_mm)
{
  if (frame->at_mm + need_mm <= frame->bottom_mm + 1e-9) {
    return false;
  }
  frame_next(frame);
  return true;
}

void
frame_say(Frame* frame, const char* text, double height_mm, bool is_caution)
{
  Canvas* const canvas = frame->canvas;
  const double inset = is_caution ? 9.0 : 0.0;
  const double wide = frame->right_mm - frame->left_mm - inset - (is_caution ? 2.0 : 0.0);
  const Letters how = {.height_mm = height_mm,
                       .least_mm = height_mm * 0.8,
                       .lines = 16,
                       .is_bold = is_caution,
                       .at_top = true};
  const double high = letters_needs_mm(canvas, wide, text, how);
  const double pad = is_caution ? 1.6 : 0.6;
  (void)frame_room(frame, high + 2.0 * pad + 1.0);
  const double y = frame->at_mm;
  (void)letters_draw(canvas, (Room){frame->left_mm + inset, y + pad, wide, high + 0.1}, text, how);
  if (is_caution) {
    const double middle = y + pad + high / 2.0;
    canvas_frame(
      canvas, (Room){frame->left_mm, y, frame->right_mm - frame->left_mm, high + 2.0 * pad}, 0.5);
    if (canvas->cairo) {
      cairo_set_line_width(canvas->cairo, 0.5);
      cairo_move_to(canvas->cairo, frame->left_mm + 1.6, middle + 2.3);
      cairo_line_to(canvas->cairo, frame->left_mm + 4.4, middle - 2.5);
      cairo_line_to(canvas->cairo, frame->left_mm + 7.2, middle + 2.3);
      cairo_close_path(canvas->cairo);
      cairo_stroke(canvas->cairo);
    }
    canvas_line(canvas, frame->left_mm + 4.4, middle - 1.0, frame->left_mm + 4.4, middle + 0.8,
                0.5);
    canvas_circle(canvas, frame->left_mm + 4.4, middle + 1.5, 0.3, 0.1, true);
  }
  frame->at_mm = y + high + 2.0 * pad + 1.4;
}

void
frame_head(Frame* frame, const char* text)
{
  (void)frame_room(frame, 20.0);
  (void)letters_draw(
    frame->canvas,
    (Room){frame->left_mm, frame->at_mm + 1.0, frame->right_mm - frame->left_mm, 6.0}, text,
    (Letters){.height_mm = 3.4, .least_mm = 2.4, .is_bold = true});
  frame->at_mm += 8.0;
}
