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
    a plug that gets another cable is pulled by the same rules and is what it was
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

/// Tape on anything: "cable B3".
void
replay_tape(Replay* r, const char* item);

/// The desk of a muting or a phantom off is heard saying so, it does not tell it itself.
void
replay_hear(Replay* r, const Change* change, const ChangeStep* step);

/// A step of a hand goes on before the desks have said so; what comes of it is not judged.
void
replay_anyway(Replay* r, const Change* change, const ChangeStep* step);

/// A hand takes over what it is offered.
void
replay_take(Replay* r, const Change* change, const ChangePerson* person);

/// Whether there are good microphone cables enough for what is plugged away from the box its list
/// names: the one that needs the longest takes the longest.
void
replay_check_cables(const Replay* r);

/// Tape on a whole tail.
void
replay_tape_tail(Replay* r, int box);

/// Everything told so far.
const Fold*
replay_fold(Replay* r);

/// Whether everybody of the act after is plugged, but `n_short` of them, and nothing else is.
void
replay_check_end(const Replay* r, int n_short);
