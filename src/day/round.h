// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/next.h"
#include "day/prove.h"

/*
  The best order of boxes and ways: the round that finds most of the expected trouble soonest.

  A stop is a box gone through in one way. What it is expected to find is the odds, now, of all
  faults of its lines that the good reading of that way would show away and that nothing has shown
  away yet; a fault that two ways would see counts for the one that finds more of the box a second.
  One person walks the stops, the sum of finds times when they are found being least (reason/route:
  the best order there is up to ROUTE_EXACT stops).

  Times and odds are usual practice until the crew's own log knows better. Pure but for the
  situation's predictor: one thread.
*/

enum { ROUND_UNPROVEN = 8 };

/// A second way through a box that finds less is no stop: once in a hundred days.
#define ROUND_LEAST_FINDS 0.01

typedef struct {
  int box;
  PassWay way;
  int n_lines;
  double finds;   ///< Expected number of faults
  double walk_s;  ///< From the stop before
  double seconds; ///< At the box
  double done_s;  ///< From the start
} RoundStop;

typedef struct {
  const char* fault; ///< By its name
  double prob;       ///< Expected number of lines that have it
  const char* say;   ///< The cheapest check that would see it; "" when none at hand would
} RoundUnproven;

typedef struct {
  const RoundStop* stops; ///< [n_stops] in order
  int n_stops;
  const char* who; ///< Whose walk it is; "" with nobody listed
  double seconds, finds;
  bool is_best;                  ///< No other order is better
  const RoundUnproven* unproven; ///< [n_unproven] what the whole round cannot see, likeliest first
  int n_unproven;
} Round;

typedef struct {
  int desk;                 ///< Who listens
  bool nobody_answers;      ///< Only ways that need nobody at the other end
  const NextPerson* people; ///< [n_people]
  int n_people;
} RoundAsk;

/// @param prove The pass under way: what it has answered is not gone through again by its way.
/// @param[out] round In `arena`; untouched on error. @return STATUS_OK, STATUS_NO_MEMORY.
Status
round_plan(const Situation* situation, const Prove* prove, Arena* arena, const RoundAsk* ask,
           Round* round);
