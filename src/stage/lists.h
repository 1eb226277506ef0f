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
  LIST_NEEDED, ///< Which sources are missed most
  LIST_TESTERS,
  LIST_METERS,
  LIST_KIT,
  LIST_VERSIONS,
  LIST_DRIVES,
  LIST_DESKS,
  LIST_MAPPING, ///< What people answered about lists
  LIST_OUTPUTS, ///< Loudspeaker circuits
  LIST_MONITORS ///< Monitor mixes
} ListSort;

/// What a row of a list is when it is none of its things.
typedef enum {
  LIST_ROW_TITLE,   ///< Above the headings
  LIST_ROW_HEADING, ///< The headings again, or a second row of them
  LIST_ROW_SECTION, ///< "DRUMS"
  LIST_ROW_NOTE,    ///< Words below or between
  LIST_ROW_LEFT_OUT ///< Because somebody said so
} ListRowUse;

/// One list: a name (file name without folder) and its bytes, borrowed for the call.
typedef struct {
  const char* name;
  const char* bytes;
  size_t n_bytes;
} ListText;

/// What a table is, by its headings. @return LIST_UNKNOWN also when there is no memory in `arena`,
/// where headings of two rows are put together.
ListSort
lists_sort(Arena* arena, const Table* table);

/// "boxes", "inputs", ...: the word of a sort, for screens and for facts.
const char*
lists_word(ListSort sort);

/**
   Build a plant from lists.

   @param lists   [n_lists], in the order they were imported; the built-in lists (kinds, in-line,
   times, odds, misread, needed, testers, meters: kinds/ in the sources) come first and are always
   there.
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

// ---- What was understood, and what has to be asked ----

/// A column of a list.
typedef struct {
  const char* heading;
  const char* means;   ///< "what plays"; NULL = kept, and used for nothing
  const char* example; ///< The first text below it, "" = there is none
  bool by_answer;
} ListColumn;

/// A row that is none of the list's things.
typedef struct {
  int line;
  ListRowUse use;
  const char* text;
  bool by_answer;
} ListRow;

/// An answer, as a row of the list of answers (mapping.csv) keeps it: what a word written under
/// something means. See docs/lists.md.
typedef struct {
  const char* under;
  const char* written;
  const char* means;
} ListAnswer;

typedef struct {
  char key;
  ListAnswer answer;
  const char* say; ///< "the microphone or DI"
} ListChoice;

enum { LIST_MAX_CHOICES = 16 };

typedef struct {
  const char* sentence;
  int line;       ///< Row of the list it is about
  bool is_needed; ///< Without an answer the list cannot be taken; else the last choice stands
  ListChoice choices[LIST_MAX_CHOICES];
  int n_choices;
} ListQuestion;

typedef struct {
  ListSort sort;
  const char* why; ///< What it is known by
  const char* act; ///< Of an input list without a column for it; else NULL
  int n_rows;      ///< Rows that are used
  int n_unused;    ///< Of those, without a source
  const ListColumn* columns;
  int n_columns;
  const ListRow* rows;
  int n_aside;
  const ListQuestion* questions;
  int n_questions;
} ListLook;

/// The name of the list of answers in a show.
#define LISTS_MAPPING "mapping.csv"

/**
   How list number `at` is understood among the others (whose answers and kinds count).

   @param[out] look Lives in `arena`; untouched on error.
   @return as lists_build for what no answer mends; what an answer would mend is a question instead.
   Pure; any thread.
*/
Status
lists_look(Arena* arena, const ListText* lists, int n_lists, int at, ListLook* look, Error* error);

/// The list of answers of these lists with more answers over it, as CSV. @return STATUS_BAD_INPUT
/// when an answer is under nothing that can be asked; STATUS_NO_MEMORY; as lists_build.
Status
lists_answer(Arena* arena, const ListText* lists, int n_lists, const ListAnswer* answers,
             int n_answers, const char** bytes, size_t* n_bytes, Error* error);

/// The built-in lists [*n], compiled in from kinds/.
const ListText*
lists_built_in(int* n);
