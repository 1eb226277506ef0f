// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/mend.h"
#include "day/proof.h"

/*
  What is left to prove in the act in force, as work: which lines still want a visit, how likely
  something is found there and of what kind, and what would be found on many lines at once.

  A line is needed when the act plugs a source into it (bare lines: every line). It is ready when
  it is proven, or runs on a way round; every other one wants a visit. A visit that lacks only some
  of the desks is that part of a visit. What is known to be bad is found for certain.
*/

typedef struct {
  int line;
  double share;        ///< Of a visit, in (0, 1]
  double direct_share; ///< The same with the isolated sides left out; 0 = nothing is left then
  int n_desks;         ///< Desks not heard yet, and of those the ones on the direct side
  int n_direct;
  double bad_prob;              ///< Something of its own is found
  double kind_prob[MEND_KINDS]; ///< Running sums, the last is 1
  bool is_bad;                  ///< Told bad now
} RemainsLine;

typedef struct {
  double prob;
  MendKind kind;
  int line; ///< First of `lines` it shows on
} RemainsState;

typedef struct {
  int box; ///< Index
  int n_needed, n_ready, n_bad;
} RemainsBox;

typedef struct {
  const Situation* situation;
  const RemainsLine* lines; ///< [n_lines] in the order of the plant
  int n_lines;
  const RemainsState* states; ///< [n_states] that show on a line that is left
  int n_states;
  const RemainsBox* boxes; ///< [n_boxes] those that are needed
  int n_boxes;
  int n_needed, n_ready, n_moved, n_bad;
  int n_heard; ///< Left although every desk heard them good: another check is missing
  double mend_s[MEND_KINDS];
} Remains;

/// @param[out] remains Lives in `arena`, borrows the situation; untouched on error. @return
/// STATUS_NO_MEMORY.
Status
remains_read(Arena* arena, const Situation* situation, Remains* remains);

/**
   An order to go through what is left: the lines of `boxes` in turn, each box by its sockets.

   @param first Index into `boxes`: begun with. @param after Line last told, -1 = none: with its
   own box first it goes on behind that line and comes back to what lies before it.
   @param is_shortest The rest by the shortest walk; else by the plant.
   @param[out] order [n_lines] indices into `lines`; told-bad lines last.
   @param[out] walk_s [n_lines] walking before each.
   @return STATUS_NO_MEMORY.
*/
Status
remains_order(const Remains* remains, Arena* arena, int first, int after, bool is_shortest,
              int order[], double walk_s[]);
