// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"

#include <stdbool.h>
#include <stddef.h>

/*
  Words: comparing them as people type them, reading numbers out of them, and building longer ones.
  All text inside is UTF-8 ended by a zero; bytes from outside are made so at the door.
*/

/// Same word, ignoring ASCII case and surrounding blanks; other letters must match exactly.
bool
text_same(const char* a, const char* b);

/// Whether `text` begins with `start`, ignoring ASCII case.
bool
text_begins(const char* text, const char* start);

/// Whether `word` stands anywhere in `text`, A to Z alike in both cases; "" does. Pure.
bool
text_has(const char* text, const char* word);

/// Whether the bytes are well-formed UTF-8 (no overlong forms, surrogates or zeros).
bool
text_is_utf8(const char* bytes, size_t n_bytes);

/// UTF-8 copy of Windows-1252 bytes; the five unassigned codes become U+FFFD. NULL: no memory.
char*
text_from_windows_1252(Arena* arena, const char* bytes, size_t n_bytes, size_t* n_out);

/// UTF-8 copy of UTF-16 bytes behind their byte order mark (FF FE or FE FF); what is no pair
/// becomes U+FFFD. NULL: no memory.
char*
text_from_utf16(Arena* arena, const char* bytes, size_t n_bytes, size_t* n_out);

/// Bytes from outside as UTF-8: as they stand when they are, else by their mark UTF-16, else
/// Windows-1252. `*n_out` bytes; NULL: no memory. `was_windows_1252` may be NULL.
const char*
text_from_outside(Arena* arena, const char* bytes, size_t n_bytes, size_t* n_out,
                  bool* was_windows_1252);

/// A whole number, nothing else, in [low, high]. Untouched when it is not one.
bool
text_whole(const char* text, int low, int high, int* value);

/// A decimal number in [low, high], with a point or a comma for the fraction (one of them, once).
/// Untouched when it is not one. Does not depend on the locale.
bool
text_number(const char* text, double low, double high, double* value);

/// A growing text in an arena. Start with all zero plus `arena`; after the first failed growth
/// `failed` stays set and further adds do nothing, so a long composition checks once at its end.
typedef struct {
  Arena* arena;
  char* text; ///< NULL until something was added
  size_t n_bytes;
  size_t n_room;
  bool failed;
} TextOut;

void
text_add(TextOut* out, const char* format, ...) __attribute__((format(printf, 2, 3)));

/// What has been built, "" if nothing; NULL if memory ran out on the way.
const char*
text_done(const TextOut* out);

/// Columns a text takes on a terminal: characters, wide East Asian ones counted as two, combining
/// marks as none. Good enough for names; not a full width table.
int
text_width(const char* text);
