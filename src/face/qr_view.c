// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/qr_view.h"

#include <qrencode.h>

enum { BORDER = 4 };

static bool
is_dark(const QRcode* code, int row, int column)
{
  return row >= 0 && column >= 0 && row < code->width && column < code->width &&
         (code->data[row * code->width + column] & 1) != 0;
}

bool
qr_view_say(const Screen* screen, const char* text)
{
  QRcode* const code = QRcode_encodeString8bit(text, 0, QR_ECLEVEL_L);
  const bool fits = code && code->width + 2 * BORDER <= screen->width;
  for (int row = -BORDER; fits && row < code->width + BORDER; row += 2) {
    (void)fputs(screen->has_escapes ? "\033[30;107m" : "", screen->out);
    for (int column = -BORDER; column < code->width + BORDER; ++column) {
      static const char* const halves[] = {" ", "\xE2\x96\x84", "\xE2\x96\x80", "\xE2\x96\x88"};
      const bool upper = is_dark(code, row, column) == screen->has_escapes;
      const bool lower = is_dark(code, row + 1, column) == screen->has_escapes;
      (void)fputs(halves[upper * 2 + lower], screen->out);
    }
    (void)fputs(screen->has_escapes ? "\033[0m\n" : "\n", screen->out);
  }
  QRcode_free(code);
  return fits;
}
