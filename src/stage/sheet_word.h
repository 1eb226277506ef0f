// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/sheet_part.h"

#include <stddef.h>

/*
  The words of a workbook's parts: attributes by name, and text that comes in pieces. Private to
  the stage room.
*/

/// How a number is meant, by its style.
enum { SHEET_NUMBER, SHEET_DATE, SHEET_TIME, SHEET_BOTH };

enum { SHEET_MAX_STYLES = 65536 };

/// Text that grows while a part is read; all zero to begin with, `n` = 0 to begin anew.
typedef struct {
  char* text; ///< [n], ended by a zero once something was added; in the part's arena
  size_t n;
  size_t room;
} SheetWord;

/// An attribute by its name without prefix; NULL when there is none. `attributes` as in SheetPart.
const char*
sheet_attribute(const char** attributes, const char* name);

/// More text behind it. Too much of it for one cell, or no memory: the part is stopped and the word
/// stays as it was.
void
sheet_word_add(SheetPart* part, SheetWord* word, const char* text, size_t n);

/// A copy with escapes put right (ISO/IEC 29500-1, 22.9.2.19), line ends as blanks and none at the
/// ends; "" for nothing, NULL without memory.
const char*
sheet_word_copy(Arena* arena, const char* text, size_t n);
