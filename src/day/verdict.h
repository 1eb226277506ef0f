// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/judge.h"

/*
  A judgement while it is being written: what was read, what the wiring makes of it, the sentences
  so far, and what the state and the things to do will rest on. Private to judge.c and judge_*.c.

  A text that could not be made for want of memory is taken in as NULL and remembered, so that a
  sentence can be passed on as it was formatted; the judgement as a whole then fails.
*/

#define SAY_OPEN_EITHER "Which end broke does not show."
#define SAY_NOT_MEASURED "Not measured: %s."

typedef struct {
  Arena* arena;
  const JudgeReadings* in;
  WiringWire wires[WIRING_ALL]; ///< [n_wires] the wires the cable should have
  int n_wires;
  WiringVerdict v; ///< Once judge_wiring was there
  Judgement out;
  bool crossed;       ///< Something is crossed, perhaps on purpose
  bool high;          ///< A conductor reads too high
  bool damp;          ///< A leak was measured
  bool wants_reading; ///< Nothing is proven without another reading
  bool read_again;    ///< Readings contradict each other
  bool no_memory;
} Verdict;

/// Texts are borrowed; beyond JUDGE_SAYINGS (JUDGE_FAULTS) they are left out.
void
verdict_find(Verdict* verdict, const char* text);

void
verdict_cannot(Verdict* verdict, const char* text);

void
verdict_todo(Verdict* verdict, const char* text);

void
verdict_fault(Verdict* verdict, const char* name, const char* where, const char* say);

/// A contact as its connector calls it, counted from 1.
const char*
verdict_contact(const Verdict* verdict, WiringPlace end, int contact);

/// The same for a node of the wiring.
const char*
verdict_node(const Verdict* verdict, int node);

/// What stands between two contacts: "1-2", or "1+/2+" where a stroke could be read as a pole.
const char*
verdict_stroke(const char* name);

/// A wire by its near contact, or its far one where it has none.
const char*
verdict_wire(const Verdict* verdict, int wire);

/// Index of the wire at a contact; 0 when there is none.
int
verdict_wire_at(const Verdict* verdict, WiringPlace end, int contact);

/// "1-2-3" in the arena; NULL = no memory.
const char*
verdict_join(const Verdict* verdict, const char* const names[], int n);

/// What the wiring shows, in judge_wiring.c. @return STATUS_OK, STATUS_NO_MEMORY.
Status
judge_wiring(Verdict* verdict);

/// What ohms end to end show, in judge_ohms.c.
void
judge_ohms(Verdict* verdict);

/// What an insulation meter shows, in judge_ohms.c.
void
judge_insulation(Verdict* verdict);
