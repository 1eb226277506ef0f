// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/compare.h"
#include "day/loan.h"
#include "day/words.h"

/*
  A comparison while it is made. Shared by the compare_* files and nobody else. What returns a text
  returns NULL without memory.
*/

typedef struct {
  Arena* arena;
  const Plant* plant;  ///< With the ways round of the act laid over it
  const Plant* listed; ///< As the lists have it: what the mark of a list is of
  const Loan* loans;   ///< [n_loans]
  int n_loans;
  const Fold* fold;
  Disagreement* list;
  int n, room;
  const char** not_compared;
  int n_not, not_room;
  int n_rows;
} CompareBuild;

/// One line at one desk in one act.
typedef struct {
  int act, desk, line;
  PaperLine found;
  const Input* input; ///< NULL on bare lines
  WordsFill fill;
} CompareAt;

// ---- Taking down (compare.c) ----

/// A disagreement, with its sentences filled in.
Status
compare_push(CompareBuild* c, Disagreement found, Sentence say, Sentence todo,
             const WordsFill* fill);

/// A sentence on what was not compared.
Status
compare_leave(CompareBuild* c, const char* sentence);

/// "act2", "bare lines"
const char*
compare_act(const CompareBuild* c, int act);

/// A number without places.
const char*
compare_whole(CompareBuild* c, double number);

/// "B3"
const char*
compare_socket(CompareBuild* c, int line);

/// What plays on a line by the lists, and as things are.
const char*
compare_source_listed(CompareBuild* c, int act, int line);
const char*
compare_source(CompareBuild* c, int act, int line);

// ---- One line at one desk (compare_line.c) ----

/// A disagreement there.
Disagreement
compare_of(const CompareAt* at, CompareWhat what, CompareSure sure);

/// All that can disagree there. `own_names`: the desk's names are its own business.
Status
compare_at(CompareBuild* c, CompareAt* at, bool own_names);

// ---- One desk, and what needs none (compare_desk.c, compare_list.c) ----

/// Ways round that a desk has not followed.
Status
compare_loans(CompareBuild* c, int act, bool is_only);
Status
compare_desks(CompareBuild* c, int act);
Status
compare_list(CompareBuild* c, int act);
Status
compare_inputs(CompareBuild* c);
Status
compare_versions(CompareBuild* c, int act);
Status
compare_plugs(CompareBuild* c, int act);
