// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/plant.h"

/*
  By when there must be sound: what the person says, else what the running order and the clock say.

  Before an act begins its start is the deadline. While it is on, each source has a budget: a lead
  goes to its spare within seconds, other lines can wait for the end of a song. Budgets are rows of
  times.csv, "on air, WORD" for a source whose name has that word and "on air, any other" for the
  rest; the ones that come along are usual practice.

  Pure: the clock is the caller's.
*/

typedef enum { DEADLINE_NONE, DEADLINE_SAID, DEADLINE_ACT, DEADLINE_ON_AIR } DeadlineSort;

typedef struct {
  DeadlineSort sort;
  double seconds; ///< From now; 0 = none
  char by[8];     ///< "15:35"; "" when the clock is not known or it is a matter of seconds
} Deadline;

/**
   @param line Index, -1 = none in particular (no budget on air).
   @param today "2031-06-14", @param clock "15:22": local time; "" when not known.
   @param minutes What was said; 0 = nothing.
*/
Deadline
deadline_of(const Plant* plant, int act, int line, const char* today, const char* clock,
            double minutes);
