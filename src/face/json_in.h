// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"

#include <jansson.h>
#include <stdbool.h>

/*
  JSON that a person wrote by hand, read so that a mistake is shown where it stands.

  jansson does the reading and refuses what is no JSON, a key given twice, bad UTF-8 and numbers out
  of range; but it forgets where a value stood. So a reader keeps the road it came (JsonAt), and
  when something is wrong the road is walked once more through the text to find line and column.
  Every reading function says what is wrong in one sentence and what would be right; an unknown key
  or word gets the nearest known one.
*/

enum { JSON_IN_MAX_BYTES = 1024 * 1024, JSON_IN_DEPTH = 32 };

typedef struct {
  Arena* arena;
  const char* file; ///< For errors
  const char* text; ///< [n_bytes]
  size_t n_bytes;
  Error* error;
  json_t* root; ///< Freed by json_in_free
} JsonIn;

/// A value and the road to it.
typedef struct JsonAt {
  const struct JsonAt* up; ///< NULL at the root
  const char* key;         ///< Name in an object; NULL in an array
  size_t index;            ///< Place in an array
  json_t* value;           ///< Borrowed; NULL = not there
} JsonAt;

/**
   Read the text.

   @param[out] in Keeps the text, borrowed. On success to be freed with json_in_free.
   @return STATUS_OK; STATUS_BAD_INPUT with line and column; STATUS_LIMIT over JSON_IN_MAX_BYTES or
   nested deeper than JSON_IN_DEPTH; STATUS_NO_MEMORY.
*/
Status
json_in_read(Arena* arena, const char* file, const char* text, size_t n_bytes, JsonIn* in,
             JsonAt* root, Error* error);

void
json_in_free(JsonIn* in);

/// An error at a value: fills line and column. For a key that is not there, at its object.
Status
json_in_wrong(const JsonIn* in, const JsonAt* at, const char* format, ...)
  __attribute__((format(printf, 3, 4)));

/// Error unless the value is an object whose keys are all among `keys` (ended by NULL).
Status
json_in_keys(const JsonIn* in, const JsonAt* at, const char* const keys[]);

/// A member of an object; `value` NULL when it is not there or null.
JsonAt
json_in_member(const JsonAt* at, const char* key);

/// An item of an array.
JsonAt
json_in_item(const JsonAt* at, size_t index);

/// How many items; an error unless it is an array of `low` to `high`.
Status
json_in_count(const JsonIn* in, const JsonAt* at, size_t low, size_t high, size_t* n);

/// A number in [low, high]. Left alone when not there, unless `needed`.
Status
json_in_number(const JsonIn* in, const JsonAt* at, const char* key, double low, double high,
               bool needed, double* value);

/// true or false. Left alone when not there.
Status
json_in_bool(const JsonIn* in, const JsonAt* at, const char* key, bool* value);

/// A text of 1 to `max_bytes` bytes without control characters, in the arena. Left alone when not
/// there, unless `needed`.
Status
json_in_text(const JsonIn* in, const JsonAt* at, const char* key, size_t max_bytes, bool needed,
             const char** text);

/// The text of a value itself.
Status
json_in_text_at(const JsonIn* in, const JsonAt* at, size_t max_bytes, const char** text);

/// One of `words` (ended by NULL), case ignored: its index. Left alone when not there, unless
/// `needed`.
Status
json_in_word(const JsonIn* in, const JsonAt* at, const char* key, const char* const words[],
             bool needed, int* index);

/// The word that a mistyped one is nearest to, NULL when none is near. `words` ended by NULL.
const char*
json_in_nearest(const char* word, const char* const words[]);
