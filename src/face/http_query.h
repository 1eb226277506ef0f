// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"

/*
  The address of a request, as it came over the wire: a path, and behind "?" words by name.

      /api/1/line?line=45&act=act%202

  Everything is refused that nobody who means well would send: a name twice, bytes that are no
  UTF-8, control characters, a percent sign that escapes nothing. A path is never used as one on
  the disk, so ".." in it is a name like any other, and names nothing.
*/

enum {
  HTTP_QUERY_MAX_BYTES = 2048, ///< Of the whole address
  HTTP_QUERY_MAX_WORDS = 24,
};

typedef struct {
  const char* name;
  const char* value;
} HttpWord;

typedef struct {
  const char* path;
  HttpWord words[HTTP_QUERY_MAX_WORDS];
  int n_words;
} HttpQuery;

/**
   Read an address.

   @param raw Zero-ended, still escaped.
   @param[out] query Texts live in `arena`; untouched on error.
   @return STATUS_BAD_INPUT with a sentence; STATUS_LIMIT (too long, too many words);
   STATUS_NO_MEMORY.
*/
Status
http_query_read(Arena* arena, const char* raw, HttpQuery* query, Error* error);

/// The value of a name; NULL when it was not given.
const char*
http_query_word(const HttpQuery* query, const char* name);
