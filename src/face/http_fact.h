// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/tell.h"

/*
  Facts as a phone sends them:

      {"facts": [{"id": "...", "verb": "saw", "line": 45, "check": "level", "reading": "nothing",
                  "at": "foh", "age_s": 3.2}]}

  A body that is no such list is refused whole, with line and column. In a list each fact stands for
  itself: one that cannot be read is refused with a sentence, and the others go on. A fact carries
  how long ago it happened by the phone's own timer, so that a phone with a wrong clock does no
  harm.
*/

enum {
  HTTP_FACTS_MAX = 200,         ///< In one body
  HTTP_FACTS_BYTES = 64 * 1024, ///< Of one body
  HTTP_AGE_MAX_S = 7 * 86400,   ///< Older ones count as that old
};

typedef struct {
  const char* id; ///< As sent, good or not; "" = none
  Telling telling;
  const char* who; ///< Role of the crew list whose step it is; NULL = that of whoever tells
  const char* act; ///< Answers for this act; NULL = the one in force
  double age_s;    ///< >= 0
  const char* no;  ///< Why it cannot be read; NULL = it can
} HttpFact;

/**
   Read a body.

   @param[out] facts [*n] in `arena`, as are their texts; untouched on error.
   @return STATUS_BAD_INPUT with line and column; STATUS_LIMIT; STATUS_NO_MEMORY. Pure, any thread.
*/
Status
http_fact_read(Arena* arena, const char* text, size_t n_text, HttpFact** facts, int* n,
               Error* error);

/// Whether a fact of the log can be what this telling made when it came before: same kind, and none
/// of its words speaks against it. What the show adds by itself (the act in force) may have
/// changed.
bool
http_fact_is_same(const HttpFact* fact, const FoldFact* known);
