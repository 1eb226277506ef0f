// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stdbool.h>
#include <stdio.h>

/*
  Words on a terminal, or in a pipe.

  Colour and weight only on a terminal, never alone: the word always says the same. NO_COLOR (any
  value) or TERM=dumb means not one escape byte. The width is COLUMNS if set, else the terminal's,
  else 80; lines break between words, and control characters that came in with somebody's list are
  shown as blanks, so that a name cannot write on the screen by itself.
*/

typedef struct {
  FILE* out;
  bool is_terminal;
  bool has_escapes; ///< May be painted and cleared
  int width;        ///< Columns, 20 to 200
} Screen;

typedef enum { PAINT_PLAIN, PAINT_STRONG, PAINT_GOOD, PAINT_WARN, PAINT_BAD, PAINT_FAINT } Paint;

/// Look at the stream and the environment.
void
screen_init(Screen* screen, FILE* out);

/// One paragraph: `lead` at the start of its first line, following lines indented by as much.
/// The lead is not broken. Ends with a new line.
void
screen_item(const Screen* screen, Paint paint, const char* lead, const char* text);

/// A formatted paragraph without a lead, at most 1,500 bytes.
void
screen_say(const Screen* screen, Paint paint, const char* format, ...)
  __attribute__((format(printf, 3, 4)));

/// A text cut and filled to `columns` (0 = as long as it is; below 0 = cut only), without a new
/// line.
void
screen_cell(const Screen* screen, Paint paint, const char* text, int columns);

/// Go on at `column` with a text that wraps and is indented to `indent`; ends with a new line.
void
screen_rest(const Screen* screen, Paint paint, int column, int indent, const char* text);

/// An empty line.
void
screen_gap(const Screen* screen);

/// Clear the terminal and go to its top; nothing where escapes are not wanted.
void
screen_clear(const Screen* screen);

/// "25 s", "1 min 40 s", "12 min" into `text`.
const char*
screen_seconds(double seconds, char text[32]);
