// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "sheet/canvas.h"

/*
  A number as colour bands, for tails and multicores that are marked with coloured tape: the code of
  IEC 60062, as on resistors.

      0 black  1 brown  2 red  3 orange  4 yellow  5 green  6 blue  7 violet  8 grey  9 white

  Two bands, tens then units (27 = red violet, 5 = black green), three from 100 on; the first band
  is the one nearest the connector. A printer here has black only, and one man in twelve does not
  see all colours: each band is a pattern of its own with the digit over it. Patterns are those of
  heraldry where it has one (from memory), for brown, orange and grey our own.
*/

enum { BAND_MOST = 3 };

/// "black" for 0 to "white" for 9; "" outside.
const char*
band_name(int digit);

/// Digits of a number's bands, first band first. @return how many, 0 below 0 or over 999.
int
band_digits(int number, int digits[BAND_MOST]);

/// "red violet" in `text` [32]; "" when it has no bands.
const char*
band_words(int number, char text[32]);

/// Bands side by side in a room.
void
band_draw(Canvas* canvas, Room room, int number);
