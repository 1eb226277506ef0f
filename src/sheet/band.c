// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/band.h"

#include "sheet/letters.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char*
band_name(int digit)
{
  static const char* const names[] = {"black", "brown", "red",    "orange", "yellow",
                                      "green", "blue",  "violet", "grey",   "white"};
  return digit >= 0 && digit <= 9 ? names[digit] : "";
}

int
band_digits(int number, int digits[BAND_MOST])
{
  if (number < 0 || number > 999) {
    return 0;
  }
  int n = 0;
  if (number >= 100) {
    digits[n++] = number / 100;
  }
  digits[n++] = number / 10 % 10;
  digits[n++] = number % 10;
  return n;
}

const char*
band_words(int number, char text[32])
{
  int digits[BAND_MOST];
  const int n = band_digits(number, digits);
  text[0] = '\0';
  for (int i = 0; i < n; ++i) {
    const size_t at = strlen(text);
    (void)snprintf(text + at, 32 - at, "%s%s", i ? " " : "", band_name(digits[i]));
  }
  return text;
}

// Lines across a room at so many quarter right angles (0 flat, 1 falling, 2 upright, 3 rising).
static void
hatch(Canvas* canvas, Room room, int eighth, double step_mm)
{
  const double w = room.w_mm;
  const double h = room.h_mm;
  if (eighth == 0) {
    for (double y = step_mm / 2.0; y < h; y += step_mm) {
      canvas_line(canvas, room.x_mm, room.y_mm + y, room.x_mm + w, room.y_mm + y, 0.15);
    }
  } else if (eighth == 2) {
    for (double x = step_mm / 2.0; x < w; x += step_mm) {
      canvas_line(canvas, room.x_mm + x, room.y_mm, room.x_mm + x, room.y_mm + h, 0.15);
    }
  } else {
    // A slanted line enters at the top or at a side and leaves at the bottom or at the other
    for (double s = step_mm / 2.0; s < w + h; s += step_mm) {
      const double x0 = fmin(s, w);
      const double y0 = s - x0;
      const double y1 = fmin(s, h);
      const double x1 = s - y1;
      const bool rises = eighth == 3;
      canvas_line(canvas, room.x_mm + (rises ? x0 : w - x0), room.y_mm + y0,
                  room.x_mm + (rises ? x1 : w - x1), room.y_mm + y1, 0.15);
    }
  }
}

static void
dots(Canvas* canvas, Room room, double step_mm, double radius_mm)
{
  for (double y = step_mm / 2.0; y < room.h_mm; y += step_mm) {
    for (double x = step_mm / 2.0; x < room.w_mm; x += step_mm) {
      canvas_circle(canvas, room.x_mm + x, room.y_mm + y, radius_mm, 0.1, true);
    }
  }
}

static void
fill(Canvas* canvas, Room room, int digit)
{
  switch (digit) {
    case 0:
      canvas_fill(canvas, room, true);
      break;
    case 1:
      hatch(canvas, room, 1, 0.7);
      hatch(canvas, room, 3, 0.7);
      break;
    case 2:
      hatch(canvas, room, 2, 0.7);
      break;
    case 3:
      hatch(canvas, room, 2, 1.2);
      dots(canvas, room, 1.2, 0.18);
      break;
    case 4:
      dots(canvas, room, 0.9, 0.16);
      break;
    case 5:
      hatch(canvas, room, 1, 0.8);
      break;
    case 6:
      hatch(canvas, room, 0, 0.7);
      break;
    case 7:
      hatch(canvas, room, 3, 0.8);
      break;
    case 8:
      dots(canvas, room, 1.6, 0.16);
      break;
    default:
      break;
  }
}

void
band_draw(Canvas* canvas, Room room, int number)
{
  int digits[BAND_MOST];
  const int n = band_digits(number, digits);
  for (int i = 0; i < n; ++i) {
    const double w = room.w_mm / n;
    const Room band = {room.x_mm + i * w, room.y_mm, w, room.h_mm};
    char text[2] = {(char)('0' + digits[i]), '\0'};
    const double side = fmin(w, room.h_mm) * 0.68;
    const Room clear = {band.x_mm + (w - side * 0.85) / 2.0, band.y_mm + (room.h_mm - side) / 2.0,
                        side * 0.85, side};
    fill(canvas, band, digits[i]);
    canvas_fill(canvas, clear, false);
    canvas_frame(canvas, band, 0.2);
    (void)letters_draw(
      canvas, clear, text,
      (Letters){
        .height_mm = side * 0.8, .least_mm = side * 0.5, .is_bold = true, .align = LETTERS_CENTRE});
  }
}
