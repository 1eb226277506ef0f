// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/change.h"
#include "support/check.h"

/*
  A change played on a stage that knows only the lists, what is in each socket, and the rules: it
  shares nothing with what made the plan. Any rule broken fails the running test.

    nothing is pulled or put in while a desk that has the line is not muted, or while phantom is on
    nothing goes into a socket that is taken or taped off, nothing is in two places
    phantom is not touched on a line that a desk has unmuted, and never on for what it may harm
    a person is at one place at a time and walks as long as the list of places says
*/

enum { REPLAY_LINES = 64, REPLAY_FACTS = 400 };

typedef struct {
  const Plant* plant;
  int from, to;
  const char* in[REPLAY_LINES]; ///< Source in the socket; NULL = empty
  bool fed[REPLAY_LINES];       ///< Phantom is on
  bool muted[PLANT_DESKS][REPLAY_LINES];
  bool taped[REPLAY_LINES];
  Arena arena;
  Fact facts[REPLAY_FACTS];
  size_t n_facts;
  const char* where; ///< For messages
} Replay;

/// The stage as the act before leaves it by its list.
void
replay_init(Replay* r, const Plant* plant, int from, int to);

void
replay_deinit(Replay* r);

/// Plays the steps of a plan by the times it gives them, `n` of them at most, those done left out.
/// @return how many were played. Each becomes the fact that a tick makes of it.
int
replay_play(Replay* r, const Change* change, int n);

/// Tape on a whole tail.
void
replay_tape_tail(Replay* r, int box);

/// Everything told so far.
const Fold*
replay_fold(Replay* r);

/// Whether everybody of the act after is plugged, but `n_short` of them, and nothing else is.
void
replay_check_end(const Replay* r, int n_short);
