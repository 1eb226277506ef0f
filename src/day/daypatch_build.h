// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/daypatch.h"

/*
  A patch for the day while it is made. Shared by the daypatch_* files and nobody else.
*/

typedef struct {
  Arena* arena;
  const Plant* plant;
  const DaypatchOptions* options;
  bool* fixed;    ///< [n_inputs]
  bool* pinned;   ///< [n_inputs] fixed, or a voice's own line
  int* line;      ///< [n_inputs] where what is pinned is; else -1
  int* need;      ///< [n_inputs]
  bool* is_voice; ///< [n_inputs]
  bool* near;     ///< [n_inputs x n_lines]
  bool* may;      ///< [n_inputs x n_lines] by itself, nobody else looked at
  int* holder;    ///< [n_acts x n_lines] the input pinned there; n_inputs = the end of a Y-lead; -1
} DaypatchBuild;

// ---- What must hold (daypatch_hold.c) ----

/// All of DaypatchBuild behind `options`, what lists give pinned.
Status
daypatch_hold_init(DaypatchBuild* b);

/// Give each voice its line, as far as nobody that is missed more goes without for it.
Status
daypatch_hold_voices(DaypatchBuild* b);

/// Whether an input may have a line, nobody else but what is pinned looked at.
bool
daypatch_hold_allows(const DaypatchBuild* b, int input, int line);

/// The next word of letters and digits; false at the end.
bool
daypatch_hold_word(const char** at, const char** word, size_t* n);

bool
daypatch_hold_has_word(const char* text, const char* word, size_t n);

// ---- One act by assignment (daypatch_act.c) ----

/// What a source on a line costs besides what must hold; `user` is the caller's.
typedef short (*DaypatchCost)(const DaypatchBuild* b, const void* user, int input, int line);

/**
   The best sockets for one act: first what is left out missed least, then the fewest microphones
   far from their players, then the least of `cost_of`, then what comes late in the list left out,
   then the lowest sockets.
   @param cost_of NULL = all of that but the first is no matter.
   @param[in,out] line [n_inputs] those of the act are written; NULL = none are.
   @param[out] lost Sum of what is needed and left out; may be NULL.
*/
Status
daypatch_act(const DaypatchBuild* b, int act, DaypatchCost cost_of, const void* user, int line[],
             long* lost);

// ---- Moves, and the fewest (daypatch_fewest.c) ----

/// n_moved, moved, n_short, lost, n_far and n_loose of `line`.
void
daypatch_count(const DaypatchBuild* b, const int line[], Daypatch* out);

/// The bound for a patch that leaves so many without.
Status
daypatch_least(const DaypatchBuild* b, int n_short, int* least);

Status
daypatch_fewest(const DaypatchBuild* b, int line[]);

// ---- Wishes (daypatch_wish.c) ----

/// [n_inputs] the line each would like, -1 = none is left for it.
void
daypatch_wish_in_order(const DaypatchBuild* b, int wish[]);
void
daypatch_wish_by_family(const DaypatchBuild* b, int wish[]);

/// Every act with its wishes met as far as can be.
Status
daypatch_wish_meet(const DaypatchBuild* b, const int wish[], int line[]);
