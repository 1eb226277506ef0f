// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/situation.h"

/*
  Ways round: routes that bring the sound back without knowing the fault.

    a spare source that is plugged and ready        "vocal lead spare" for "vocal lead"
    a spare socket of the same box                  nearest to the own one
    a spare line of another box                     with a longer cable, if there is one at hand
    a line that is free in this act and the next    its act is over, or comes later
    another input at one desk                       where that desk's own input is suspect
    one desk fed from another one that hears it     where one desk alone hears nothing
    another side of the split                       the same, and what it costs
    the spare network lead of a digital box

  Never over a line that this act or the next one needs (on bare lines: that any act needs, for what
  is moved then stays moved all day), that something is plugged in or runs on already, that is taped
  off, that a reading of any act speaks against or the odds hold suspect. Only the direct side of a
  passive split gives phantom (common practice, no source): a source that needs phantom never leaves
  it, and never goes to a line whose direct side no desk has.
*/

typedef struct {
  int desk;        ///< Index
  const char* say; ///< What that desk must do
} AroundDesk;

typedef struct {
  WaySort sort;
  const char* say; ///< One sentence
  const char*
    way;         ///< What `moved` records, see day/loan.h: "D8", "line 43", "box E", "mon from foh"
  int uses_line; ///< Index of the line whose socket or source it uses; -1 = none
  int desk;      ///< WAY_INPUT, WAY_FEED, WAY_SIDE: the desk that has it another way; else -1
  int lender;    ///< WAY_INPUT: index of the line whose desk input it uses; else -1
  double seconds;
  int people;
  double cable_m; ///< Spare cable put between; 0 = none
  double
    helps_prob; ///< Odds that what is wrong is gone round; < 0 = nothing speaks against the line
  const char* caution;
  const char* costs; ///< What is lost by it, "" = nothing
  AroundDesk desks[PLANT_DESKS];
  int n_desks;
} AroundWay;

/// Ways round for a line, quickest first, then by how many must act; [*n] in `arena`, may be 0.
Status
around_ways(const Situation* situation, Arena* arena, int line, const AroundWay** ways, int* n);

/// Whether an act needs a line: it plugs something in it, or a Y-lead of it ends there.
bool
around_is_needed(const Plant* plant, int act, int line);

/// Whether something taped off lies on a line: its socket, its tail, its box, its pair or itself.
bool
around_is_taped(const Situation* situation, int line);
