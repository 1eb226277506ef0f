// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/hands.h"

/*
  A split of units between hands while it is made. Shared by the hands_* files and nobody else.

  A hand's time is the shortest walk over the boxes it has something to do at, a visit to each, and
  the handling of its units. Where one box makes it come back it takes longer; hands_plan says so.
*/

enum { HANDS_MASK_BOXES = 12 }; ///< Up to this many boxes every set of them has its walk kept

typedef struct {
  Arena* arena;
  const Plant* plant;
  const int* start;
  int n_hands;
  HandStep* steps;
  int n;
  int n_units;
  int* box_at; ///< [n_boxes] place in `boxes`; -1 = nothing to do there
  int* boxes;  ///< [n_boxes] boxes with something to do
  int n_boxes;
  unsigned long long* unit_boxes; ///< [n_units] set of them
  double* unit_s;                 ///< [n_units] handling
  int* count;                     ///< [n_hands x n_boxes] units of the hand there
  double load_s[HANDS_MAX];
  int* unit_hand; ///< [n_units]
  double* known;  ///< [n_hands << n_boxes] walks looked up; below 0 = not yet; NULL: too many
  double pull_s, put_s, cable_s;
} HandParting;

/// When the last is ready; all hands' seconds together.
typedef struct {
  double last_s, sum_s;
} HandScore;

/// Fills what follows from the steps; nothing is given to anybody. `s` holds arena, plant, start,
/// n_hands, steps, n and n_units. @return STATUS_OK, STATUS_NO_MEMORY, STATUS_LIMIT.
Status
hand_parting_init(HandParting* s);

/// The shortest walk over a set of boxes; `order` [ROUTE_MAX] may be NULL.
Status
hand_parting_walk(HandParting* s, int start, unsigned long long set, int* order, int* n_order,
                  double* walk_s);

/// A hand's time when it had one unit less and one more; -1 = none.
Status
hand_parting_time(HandParting* s, int hand, int without, int with, double* end_s);

/// A unit goes to a hand, from whoever had it.
void
hand_parting_give(HandParting* s, int unit, int hand);

HandScore
hand_parting_score(const double end_s[], int n);

bool
hand_parting_is_better(HandScore a, HandScore b);

/// Units nobody has, each to the hand that is then ready first; `end_s` [n_hands] is kept up.
Status
hand_parting_give_out(HandParting* s, double end_s[HANDS_MAX]);

/// The split of everything that is ready earliest, as far as it is found.
Status
hand_parting_split(HandParting* s, double end_s[HANDS_MAX]);
