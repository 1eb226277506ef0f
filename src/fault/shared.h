// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"
#include "fault/catalogue.h"

#include <stdbool.h>

/*
  What could be wrong with several lines at once: the enumerated shared states.

  Each state says, for every line it touches, what is plugged there instead or which fault the line
  has; lines it does not touch keep their own local faults. State 0 is "none of these". What the
  list leaves out (two shared states at once, a plug in another box) is part of *something else*.
*/

typedef enum {
  SHARED_NONE,
  SHARED_SWAP,       ///< Two plugs of a box exchanged
  SHARED_MOVED,      ///< One plug in an unused socket of its box
  SHARED_SHIFT,      ///< Every plug of a box one socket up or down
  SHARED_TAIL,       ///< A tail not locked home
  SHARED_SPLIT_SIDE, ///< A whole isolated side of the split dead
  SHARED_DESK,       ///< A desk hears nothing at all (power, clock, wrong scene: all muted)
  SHARED_BANK,       ///< Phantom off on eight inputs of the direct desk
  SHARED_LEAD,       ///< The network lead(s) of a digital box out: nothing at any desk
  SHARED_LEAD_HELD,  ///< The first of two out, the second carries the box: nobody hears it
  SHARED_POWER,      ///< A digital box without power
  SHARED_CLOCK,      ///< A digital box follows the wrong clock: it clicks
  SHARED_OWNER,      ///< Another desk owns the gain of a digital box
  SHARED_PHANTOM,    ///< Phantom off in a digital box, or set at a desk that does not own it
  SHARED_PANEL,      ///< Every line of a stage patch panel one hole off
  SHARED_Y,          ///< A source on two lines by a Y-lead is dead, or the Y-lead shorted
  SHARED_TESTER, ///< The tester lies: lines keep their own local faults, its readings mean nothing
} SharedSort;

typedef struct {
  int line;    ///< Index into the plant's lines
  int plugged; ///< Line index whose source (and cable) is plugged here; -1 = nothing
  Fault fault; ///< FAULT_NONE, or the fault this line shows in this state
} SharedTouch;

typedef struct {
  SharedSort sort;
  double prob;
  int box, desk; ///< -1 where they do not apply
  int from, to; ///< Line indices for SWAP and MOVED (source of `from` sits in `to`); step for SHIFT
  const SharedTouch* touches;
  int n_touches;
} SharedState;

/**
   The shared states of an act (-1 = bare lines: no plugs to be wrong).
   @param with_tester Whether a tester was used at all, so that it may be at fault itself.
   @param[out] states [*n] in `arena`, probabilities sum to 1; untouched on error.
*/
Status
shared_list(Arena* arena, const Plant* plant, int act, bool with_tester, const SharedState** states,
            int* n);

/// Whether a state puts plugs where they do not belong: its touches then say what sits where.
bool
shared_moves_plugs(SharedSort sort);

/// Whether a state takes every line of its box down or wrong at every desk: its tail, or the power,
/// leads, clock or owner of a digital box.
bool
shared_is_of_box(SharedSort sort);

/// What the state says of one line, NULL when it does not touch it.
const SharedTouch*
shared_touch(const SharedState* state, int line);

/// One phrase: "the plug of vocal lead is in D6 instead of D5"; in `arena`, NULL = no memory.
const char*
shared_say(Arena* arena, const Plant* plant, int act, const SharedState* state);
