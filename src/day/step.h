// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/repair.h"
#include "day/situation.h"

/*
  A step: one thing to do, for one person, at one place, with what can come of it.

  What a step does to the stage beyond its own line (who must listen, whether phantom may come on,
  whether a plug moves) follows from what it is; whoever shares steps out reads it from there.
*/

typedef enum { STEP_CHECK, STEP_REPAIR, STEP_MOVE, STEP_ASK } StepDoes;

enum { STEP_MAX_READINGS = 9 };

typedef struct {
  int line;        ///< Index
  const char* who; ///< Role, or "whoever is on stage"
  const char* at;  ///< Place on the wire: "A6", "foh"
  StepDoes does;
  Check check;            ///< For STEP_CHECK
  RepairSort repair;      ///< For STEP_REPAIR
  int desk;               ///< Desk concerned, -1 = none
  const char* check_word; ///< What `saw` takes: "seen", or "swap cable" for a repair
  const char* say;        ///< One sentence: what to do
  const char* why;        ///< One sentence: why this
  const char* caution;    ///< "" when there is none
  double seconds;         ///< Walk and handling
  double expected_s;      ///< Until there is sound, at most about
  double chance;          ///< Within the deadline; 0 without one
  const char* readings[STEP_MAX_READINGS];     ///< As `saw` takes them
  const char* reading_says[STEP_MAX_READINGS]; ///< The same as a choice in plain words
  int n_readings;
  int unplug[8]; ///< Lines whose plug must be pulled first (phantom would reach them)
  int n_unplug;
  bool needs_mute;
  int person;   ///< Who, as index into the people asked about
  int place;    ///< Where they will stand, index into the plant's places
  int ear_desk; ///< Desk where somebody else must listen meanwhile; -1 = one person is enough
  bool brings_phantom; ///< Phantom may come on while it is done
  bool moves_plug;     ///< A plug may leave or enter a socket
} Step;

/// What a step does to the stage: its ear, phantom and plugs, from what it is alone. A repair at a
/// desk counts as one that brings phantom unless it is known better.
void
step_touch(Step* step);

/// The word of a step as facts carry it ("volts at socket", "swap settings at foh"), from what it
/// does and at which desk; in `arena`, NULL = no memory.
const char*
step_word(Arena* arena, const Plant* plant, const Step* step);
