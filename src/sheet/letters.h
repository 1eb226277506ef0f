// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "sheet/canvas.h"

/*
  A text into a room, whatever it is: it is set at the height that was wished, made smaller down to
  the least height that can still be read, broken over lines, and only then cut, with "..." to show
  it. It never leaves its room, so texts in rooms that do not overlap cannot collide. Scripts are
  shaped by Pango; a text from right to left begins at the right.

  Heights are those of capitals and digits. Rule: height = reading distance / 200 for easy reading,
  / 300 at the limit (common practice, no source).

  A character that no font of this machine has is set as "?", and the canvas gets a note that names
  the package to install.
*/

#define LETTERS_EASY_RATIO 200.0

/// Height to be read from so far away [mm].
double
letters_height_mm(double distance_m);

typedef enum { LETTERS_START, LETTERS_CENTRE, LETTERS_END } LettersAlign;

typedef struct {
  double height_mm; ///< Wished
  double least_mm;  ///< Smallest; 0 = as wished and no smaller
  int lines;        ///< Most lines, 0 = 1
  bool is_bold;
  LettersAlign align; ///< START: where the text's own script begins
  bool at_top;        ///< Else in the middle of its room's height
} Letters;

/// Draw. Nothing for "" or NULL, or where pages alone are counted. @return the height it got [mm],
/// 0 for nothing.
double
letters_draw(Canvas* canvas, Room room, const char* text, Letters how);

/// Height of a room so wide in which the text stands whole [mm], at most that of `how.lines` lines.
double
letters_needs_mm(Canvas* canvas, double w_mm, const char* text, Letters how);

/// Width of the text on one line at the wished height [mm].
double
letters_width_mm(Canvas* canvas, const char* text, double height_mm, bool is_bold);
