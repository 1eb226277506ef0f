// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "sheet/order.h"

/*
  What every sheet of paper has at its head and foot, so that nobody works from a stale one without
  seeing it: the act and its time, what the sheet is, the mark of the list large at the right, and
  at the foot mark, act, page of how many, and the date if one was asked for. The body lies between
  `top_mm` and `bottom_mm`; whoever fills it moves `at_mm` down and takes a new page when it is
  full.
*/

typedef struct {
  const Order* order;
  Canvas* canvas;
  const char* title;
  const char* about; ///< One line under the title, "" = none
  bool is_of_act;    ///< Else of the whole day: no act, the marks of all acts in small
  bool is_wide;      ///< Landscape
  double w_mm, h_mm;
  double left_mm, right_mm; ///< Of the body
  double top_mm, bottom_mm;
  double at_mm; ///< How far down the body is filled
} Frame;

/// First page of a section. `frame` has order, canvas, title, about, is_of_act and is_wide.
void
frame_begin(Frame* frame);

/// The next page of the same section.
void
frame_next(Frame* frame);

/// A fresh page unless so much is left on this one. @return whether there was one.
bool
frame_room(Frame* frame, double need_mm);

/// A sentence over the whole width; `is_caution` puts it into a frame with a mark before it.
void
frame_say(Frame* frame, const char* text, double height_mm, bool is_caution);

/// A heading in the body.
void
frame_head(Frame* frame, const char* text);
