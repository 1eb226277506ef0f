// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/rescue.h"
#include "support/check.h"

/*
  A rescue played without a person: a hidden cause sits on the demo event, the advice asks, the
  world answers as the cause's own circuit would, and everything runs through facts and fold as in a
  show.
*/

typedef struct {
  const Plant* plant;
  int act;
  int line;          ///< Index
  Fault fault;       ///< Local cause, FAULT_NONE when shared
  SharedSort shared; ///< Shared cause, SHARED_NONE when local
  int other;         ///< Line index the cause touches too, -1
  Fact facts[64];
  size_t n_facts;
  Arena arena;
} Planted;

/// Reads the demo event's lists; fails the test when they cannot be read.
const Plant*
planted_demo(Arena* arena);

/// The same for the event in a folder below the demo's.
const Plant*
planted_event(Arena* arena, const char* below);

void
planted_init(Planted* p, const Plant* plant, const char* act, int line_number);

void
planted_deinit(Planted* p);

/// One reading fact as a person would tell it.
void
planted_saw(Planted* p, const char* check, const char* reading, const char* at);

/// The same for another line, by number.
void
planted_saw_line(Planted* p, int line_number, const char* check, const char* reading,
                 const char* at);

/// Any fact, with its time and who told it from where.
void
planted_tell(Planted* p, FactKind kind, const FactBody* body, const char* time, const char* place,
             const char* role);

/// The facts so far, folded.
const Fold*
planted_fold(Planted* p);

/// The situation after all facts so far, in the planted arena.
const Situation*
planted_situation(Planted* p);

/// What the hidden cause answers to a step, in `arena` text.
const char*
planted_answer(Planted* p, const Situation* s, const Step* step);

/// Plays until there is sound, nothing is left or 12 steps; returns seconds, prints when `loud`.
/// `*named` says whether the first suspect was the cause when sound came back.
double
planted_play(Planted* p, const NextOptions* options, bool loud, bool* named, int* n_steps);

/// Whether the row of the line supposes the hidden cause.
bool
planted_is_cause(const Planted* p, const Suspect* suspect);

/// Whether it names the right part (for a shared cause: the very state). What a repair that helped
/// can prove is the part; which contact it was is for the tester afterwards.
bool
planted_same_part(const Planted* p, const Suspect* suspect);
