// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/square.h"

#include <math.h>
#include <qrencode.h>

static QRcode*
encode(const char* text, QRecLevel level)
{
  return text && text[0] ? QRcode_encodeString8bit(text, 0, level) : NULL;
}

// More correction where it takes no more room.
static QRcode*
encode_well(const char* text)
{
  QRcode* const weak = encode(text, QR_ECLEVEL_L);
  QRcode* const strong = weak ? encode(text, QR_ECLEVEL_M) : NULL;
  const bool is_strong = strong && strong->width == weak->width;
  QRcode_free(is_strong ? weak : strong);
  return is_strong ? strong : weak;
}

int
square_modules(const char* text)
{
  QRcode* const code = encode(text, QR_ECLEVEL_L);
  const int n = code ? code->width + 2 * SQUARE_BORDER : 0;
  QRcode_free(code);
  return n;
}

// One path for all squares: filled at once, neighbours leave no hair between them.
static void
fill(cairo_t* cairo, const QRcode* code, double x_mm, double y_mm, double module_mm)
{
  cairo_new_path(cairo);
  for (int row = 0; row < code->width; ++row) {
    for (int column = 0; column < code->width; ++column) {
      int end = column;
      while (end < code->width && (code->data[row * code->width + end] & 1)) {
        ++end;
      }
      if (end > column) {
        cairo_rectangle(cairo, x_mm + column * module_mm, y_mm + row * module_mm,
                        (end - column) * module_mm, module_mm);
        column = end;
      }
    }
  }
  cairo_fill(cairo);
}

double
square_draw(Canvas* canvas, Room room, double most_mm, const char* text)
{
  QRcode* const code = canvas->job.is_dry ? encode(text, QR_ECLEVEL_L) : encode_well(text);
  if (!code) {
    return 0.0;
  }
  const int n = code->width + 2 * SQUARE_BORDER;
  const double module_mm = fmin(fmin(room.w_mm, room.h_mm) / n, most_mm);
  const double side_mm = module_mm * n;
  const double border_mm = SQUARE_BORDER * module_mm;
  if (module_mm < SQUARE_LEAST_MM - 1e-9) {
    QRcode_free(code);
    return 0.0;
  }
  const Room all = {room.x_mm + room.w_mm - side_mm, room.y_mm + (room.h_mm - side_mm) / 2.0,
                    side_mm, side_mm};
  const Room ink = {all.x_mm + border_mm, all.y_mm + border_mm, module_mm * code->width,
                    module_mm * code->width};
  if (canvas->cairo) {
    fill(canvas->cairo, code, ink.x_mm, ink.y_mm, module_mm);
  }
  canvas_report(canvas, MARK_CODE, ink, all, module_mm, text, false);
  QRcode_free(code);
  return side_mm;
}
