// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"

#include <stdbool.h>
#include <stddef.h>

/*
  Numbers and ranges of them as input lists have them: "7", "07", "Ch 7", "#7", "7.", "13-16",
  "13 to 16", "13/14", "13 + 14", "B1-B4", "B 1-4".

  Private to the stage room. Pure.
*/

enum { RANGE_MOST = 64 }; ///< Channels in one range

/**
   Read a number or a range of following numbers from 1 to 9999.

   @param name  A box whose name may stand before each number, "" = none may.
   @param[out] first, n  Untouched when the text is no such thing. A range goes up; numbers set
   apart by / + & , follow each other.
*/
bool
range_read(const char* text, const char* name, int* first, int* n);

/// "B1-B4": the box before the first number into `name` [size] and the rest as a range. false when
/// there is no name before it or the rest is no range.
bool
range_of_box(const char* text, char* name, size_t size, int* first, int* n);

/**
   What source number `i` of `n` is called when the list has one name for all: "Keys L/R" gives
   "Keys L" and "Keys R", "Trumpet/Sax" each its own, "4x Brass" gives "Brass 1" to "Brass 4".
   @return NULL when there is no memory.
*/
const char*
range_name(Arena* arena, const char* text, int i, int n);

/// The text without a count before or behind it, when it is this one: "4x clip" is "clip" of 4.
/// @return NULL when there is no memory.
const char*
range_without_count(Arena* arena, const char* text, int n);
