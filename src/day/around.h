// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/situation.h"

/*
  Ways round: routes that bring the sound back without knowing the fault. A spare source that is
  live already, a spare socket of the same box, of the nearest other box, another input at one desk,
  the spare network lead of a digital box. Never a socket or line that this act or the next one
  needs, nothing taped off, and no route through a part that is itself under suspicion.
*/

typedef struct {
  int desk;        ///< Index
  const char* say; ///< What that desk must do
} AroundDesk;

typedef struct {
  const char* say; ///< One sentence
  const char* way; ///< What `moved` records: "D8", "line 43", "box E"
  int uses_line;   ///< Index of the spare line; -1 = none
  double seconds;
  int people;
  const char* caution;
  AroundDesk desks[PLANT_DESKS];
  int n_desks;
} AroundWay;

/// Ways round for a line, quickest first; [*n] in `arena`, may be 0.
Status
around_ways(const Situation* situation, Arena* arena, int line, const AroundWay** ways, int* n);
