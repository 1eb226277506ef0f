// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"
#include "base/table.h"
#include "stage/plant.h"

/*
  Lists as the crew keep them, turned into a plant.

  A list is recognised by its headings, not by its file name (an input list of one act takes the
  act's name from the file name: "inputs-act2.csv" is act2). Lists may come in any order and a
  later one of the same sort and name replaces the earlier. Column order does not matter, usual
  heading names are recognised in any case, unknown columns are named in `left_aside`. No row is
  dropped silently: a row that cannot be used is an error with file, line, column and a way out,
  and nothing is built.
*/

/// What a table turned out to be.
typedef enum {
  LIST_UNKNOWN,
  LIST_BOXES,
  LIST_LINES,
  LIST_INPUTS,
  LIST_KINDS,
  LIST_INLINE,
  LIST_ITEMS,
  LIST_DESK_PATCH,
  LIST_CREW,
  LIST_DAY,
  LIST_SPLIT,
  LIST_PLACES,
  LIST_TIMES,
  LIST_ODDS,
  LIST_MISREAD,
  LIST_TESTERS,
  LIST_METERS,
  LIST_KIT,
  LIST_VERSIONS,
  LIST_DRIVES,
  LIST_DESKS,
  LIST_OTHER_ROOM ///< Known, but for a room that is not built yet (outputs, monitors)
} ListSort;

/// One list: a name (file name without folder) and its bytes, borrowed for the call.
typedef struct {
  const char* name;
  const char* bytes;
  size_t n_bytes;
} ListText;

/// What a table is, by its headings; `why` names the columns it was known by or lacks.
ListSort
lists_sort(const Table* table, const char** why);

/// "boxes", "inputs", ...: the word of a sort, for screens and for facts.
const char*
lists_word(ListSort sort);

/**
   Build a plant from lists.

   @param lists   [n_lists], in the order they were imported; the built-in lists (kinds, in-line,
   times, odds, misread, testers, meters: kinds/ in the sources) come first and are always there.
   @param n_bare_lines  With no boxes and no lines list: how many lines to assume (0 = as many as
   the input lists need, 48 if there are none). Assumed plants have boxes of 12, tails of 15 m, a 50
   m multicore, one desk (house) and no split.
   @param[out] plant  Lives in `arena`; untouched on error.
   @return STATUS_OK; STATUS_BAD_INPUT with the place and a way out (duplicate socket, item plugged
   twice, unknown box, line beyond its box, cable over 1 km, negative counts, ...);
   STATUS_LIMIT; STATUS_NO_MEMORY. Pure; any thread.
*/
Status
lists_build(Arena* arena, const ListText* lists, int n_lists, int n_bare_lines, Plant* plant,
            Error* error);

/// The built-in lists [*n], compiled in from kinds/.
const ListText*
lists_built_in(int* n);
