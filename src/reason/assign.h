// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"

/*
  Who gets what: rows (sources) to columns (sockets), each column to one row at most, at the least
  cost in all.

      row --cost--> column --1--> sink
         \--cost of going without--> sink

  Costs come in tiers, and a tier never gives way to a later one: first the fewest sources left
  without a socket, among those answers the fewest rules bent, among those the fewest plugs moved,
  and so on. Weights that put the tiers into one number would grow out of whole numbers at a few
  hundred rows, so each tier is a sum of its own: whatever an optimum of one tier can never use (by
  the dual prices that come with it) is taken away before the next is looked at, and what is left
  are exactly the optima of the tiers so far.

  The sums are min-cost flows by GLPK's out-of-kilter routine (Fulkerson 1961): whole numbers, the
  same answer for the same numbers on every machine.
*/

enum { ASSIGN_TIERS = 5, ASSIGN_MAX = 1024, ASSIGN_MAX_COST = 10000 };

typedef struct {
  int n_rows, n_columns;        ///< 0 to ASSIGN_MAX each
  int n_tiers;                  ///< 1 to ASSIGN_TIERS
  const unsigned char* allowed; ///< [n_rows x n_columns] 0 = this row must not have this column
  const short* cost;    ///< [n_rows x n_columns x n_tiers] 0 to ASSIGN_MAX_COST; not read where not
                        ///< allowed
  const short* without; ///< [n_rows x n_tiers] of leaving the row without
} AssignProblem;

typedef struct {
  int* column;             ///< [n_rows] in the arena; -1 = without
  long cost[ASSIGN_TIERS]; ///< Sum of each tier, those of rows left without among them
  int n_without;
} Assignment;

/**
   The best assignment.

   @param[out] assignment Lives in `arena`; untouched on error.
   @return STATUS_OK; STATUS_BAD_ARG for a size or cost out of range; STATUS_NO_MEMORY, also when
   the memory runs out inside GLPK. Leaves nothing behind: GLPK's environment of this thread is
   freed, and it prints nothing. Any thread; a caller with an environment of its own loses it.
*/
Status
assign_best(const AssignProblem* problem, Arena* arena, Assignment* assignment);
