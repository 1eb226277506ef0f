// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/square.h"

#include <math.h>
#include <qrencode.h>

// The strongest correction that takes no more room than the weakest.
static QRcode*
encode(const char* text)
{
  static const QRecLevel levels[] = {QR_ECLEVEL_M, QR_ECLEVEL_Q};
  QRcode* best = text && text[0] ? QRcode_encodeString8bit(text, 0, QR_ECLEVEL_L) : NULL;
  for (int i = 0; best && i < 2; ++i) {
    QRcode* const code = QRcode_encodeString8bit(text, 0, levels[i]);
    if (code && code->width == best->width) {
      QRcode_free(best);
      best = code;
    } else {
      QRcode_free(code);
    }
  }
  return best;
}

int
square_modules(const char* text)
{
  QRcode* const code = encode(text);
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

bool
square_draw(Canvas* canvas, double x_mm, double y_mm, double side_mm, double most_mm,
            const char* text)
{
  QRcode* const code = encode(text);
  if (!code) {
    return false;
  }
  const int n = code->width + 2 * SQUARE_BORDER;
  const double module_mm = fmin(side_mm / n, most_mm);
  if (module_mm < SQUARE_LEAST_MM - 1e-9) {
    QRcode_free(code);
    return false;
  }
  const double margin_mm = (side_mm - module_mm * code->width) / 2.0;
  const double border_mm = SQUARE_BORDER * module_mm;
  const Room ink = {x_mm + margin_mm, y_mm + margin_mm, module_mm * code->width,
                    module_mm * code->width};
  const Room room = {ink.x_mm - border_mm, ink.y_mm - border_mm, module_mm * n, module_mm * n};
  if (canvas->cairo) {
    fill(canvas->cairo, code, ink.x_mm, ink.y_mm, module_mm);
  }
  canvas_report(canvas, MARK_CODE, ink, room, module_mm, text, false);
  QRcode_free(code);
  return true;
}
