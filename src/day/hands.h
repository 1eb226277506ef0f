// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/allot.h"

/*
  Who of the stage pulls and plugs what, in which order.

  What one hand must do in one go (a plug that moves and what must be out of its way) is a *unit*;
  units are split between the hands so that the last of them is ready as early as can be, walking
  and handling together, and each hand walks the shortest way round (reason/route). At a box the
  hand does what is ready there, in the order of the sockets, and comes back for what had to wait.

  The split is made from how things stood when the change began and from the lists alone, so that
  nobody's work goes to somebody else because a step was done. What comes new goes to whom the
  socket belongs, or else to the hand with the least left to do. A hand who is done can take what
  others have not begun (hands_offer): offered while all goes by the plan, given when it is made
  anew.

  Up to 65,536 splits every one is tried; beyond that it is a search (day/hands_split.c), of which a
  test knows how far it is at most from what no split can beat. The orders are exact up to
  ROUTE_EXACT boxes. Units of one box that take equally long are then given out in the order of the
  sockets, so that a hand has neighbours.
*/

enum { HANDS_MAX = 8 };

typedef enum {
  HAND_STRIKE, ///< Pull what is not needed any more
  HAND_PLUG,   ///< Plug in, after pulling what was there
  HAND_MOVE,   ///< From one socket to another of the same box
  HAND_HOLD,   ///< Pull and take along
  HAND_CABLE,  ///< Pull, take the cable away, plug in again with another one
} HandDoes;

typedef struct {
  HandDoes does;
  int line;     ///< Socket
  int plug;     ///< What is pulled (STRIKE, HOLD) or put in
  int from;     ///< Line it comes from; -1 = it comes new
  int out;      ///< Plug that is pulled first; -1 = none
  int after[2]; ///< Steps that must be done before, -1 = none
  int unit;
  int hand;
  double handle_s, walk_s; ///< Its own time; the walk to it
  double start_s, end_s;   ///< From when hands may begin
} HandStep;

typedef struct {
  int start; ///< Place
  double walked_s, end_s;
  const int* order; ///< [n] steps
  int n;
} Hand;

typedef struct {
  HandStep* steps; ///< [n_steps]
  int n_steps;
  Hand hands[HANDS_MAX];
  int n_hands;
  double end_s; ///< When the last is ready
} HandPlan;

/// Seconds to pull a plug and to put one in: a third and two thirds of "move a plug at a box", or
/// rows of their own of that name.
#define HANDS_VISIT_S                                                                              \
  4.0 ///< Coming to a box: a look at the sheet and at the numbers. Usual practice
#define HANDS_PULL "pull a plug at a box"
#define HANDS_PUT "put a plug in at a box"
#define HANDS_CABLE "swap a cable"

/**
   What is left to do from `now` to `target`, as steps in units. Pure.
   @param now,now_at [n_lines], [n_plugs] as in Plugged.
   @param dead [n_lines] as in Plugged: cables to be changed where the plug stays; NULL = none.
   @param[out] steps [*n] in `arena`, without hands and times; untouched on error.
   @param[out] n_units Units.
*/
Status
hands_steps(Arena* arena, const Plant* plant, const int now[], const int now_at[],
            const int target[], const int target_at[], const char* const dead[], HandStep** steps,
            int* n, int* n_units);

/**
   Split and order.
   @param start [n_hands] places, 1 to HANDS_MAX hands.
   @param owner [n_lines] hand whose socket it is; -1 = nobody's yet; NULL = nobody owns anything.
   @param steps [n] from hands_steps; borrowed, its hands and times are filled.
   @param[out] plan Lives in `arena`; untouched on error.
*/
Status
hands_plan(Arena* arena, const Plant* plant, const int start[], int n_hands, const int owner[],
           HandStep* steps, int n, int n_units, HandPlan* plan);

/**
   What a hand with nothing left could take from the others so that all is ready earlier.
   @param plan From hands_plan, from `start` [plan->n_hands].
   @param begun [n_units] somebody has begun it: it stays theirs. So does what each does next.
   @param[out] take [n_units] units to take, untouched on error; none = nothing would help.
   @param[out] saves_s All is ready so much earlier, >= 0; 0 also where two others are last alike.
*/
Status
hands_offer(Arena* arena, const Plant* plant, const int start[], const HandPlan* plan, int n_units,
            const bool begun[], int hand, bool take[], double* saves_s);
