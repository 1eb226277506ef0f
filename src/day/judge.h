// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "circuit/conductor.h"
#include "fault/card.h"
#include "fault/connector.h"

/*
  One cable, judged from what a person has: what is wired to what, ohms, insulation, the picture of
  a lamp tester, breaks counted while it was flexed. Any of them may be missing; what is missing is
  said, because a cable is only as sound as what was read of it.

      wiring  ->  opens, shorts, crossings, and where if that shows     fault/wiring
      ohms    ->  high resistance, against the limit that applies       circuit/conductor
      flex    ->  what comes and goes: 60 s without a break clears it
      lamps   ->  the faults that look like this picture                fault/card

  Every verdict says: what is wired to what, which fault, at which end if that can be told, against
  which limit and where that is from, what these readings cannot tell, and what to do.

  Sentences are whole templates at the head of judge*.c. Pure; any thread.
*/

enum {
  JUDGE_FLEX_S = 60,  ///< A flex check clears after so long without a break (rule of the house)
  JUDGE_SAYINGS = 24, ///< Sentences of one kind
  JUDGE_FAULTS = 24,  ///< Faults named; more are "several"
};

typedef struct {
  const Connector* connector;
  bool has_wiring; ///< Anything in `seen`
  WiringSeen seen;
  bool has_ohms;
  double ohm[WIRING_CONTACTS]; ///< By near contact: NAN = not measured, INFINITY = open
  double length_m;             ///< 0 = not known
  const Conductor* conductor;  ///< NULL = not known
  double celsius;              ///< Of the cable; 20 unless said
  ConductorRule rule;
  double insulation_ohm; ///< Lowest between any two contacts; NAN = not measured
  int breaks;            ///< While flexed; -1 = not flexed
  int seconds;           ///< How long; -1 = not said
  const Card* card;      ///< NULL = no lamps
  const Card*
    reversed; ///< The same tester with its sender's battery the wrong way; NULL = it has none
  const char* picture;
} JudgeReadings;

typedef enum {
  JUDGE_SOUND,       ///< As far as these readings go
  JUDGE_NOT_SOUND,   ///< A fault shows
  JUDGE_NOT_CLEARED, ///< Flexed too short, no break
  JUDGE_NOT_PROVEN   ///< Nothing wrong seen, but too little was read
} JudgeState;

typedef struct {
  const char* name;  ///< "open 3", "short 1-2", "crossed 2-3", "high 2", "loose", "leak"
  const char* where; ///< "near end", "far end", "not told"
  const char* say;   ///< One sentence
} JudgeFault;

typedef struct {
  const char* contact;
  double ohm;
  double limit_ohm; ///< NAN = none applied
} JudgeOhms;

typedef struct {
  JudgeState state;
  const char* headline;
  const char* wired;    ///< "1-1 2-3 3-2" as far as known; "" if not measured
  const char* wired_as; ///< Name of another cable that is wired just so; "" = none
  JudgeFault faults[JUDGE_FAULTS];
  int n_faults;
  JudgeOhms ohms[WIRING_CONTACTS];
  int n_ohms;
  const char* limit;   ///< Which limit was applied and where it is from; "" = no ohms
  double balance_ohm;  ///< Largest difference between the two legs of a pair; NAN = not known
  double rejection_db; ///< What that leaves at 10 kohm a leg; NAN = not known
  const char* found[JUDGE_SAYINGS]; ///< Other findings
  int n_found;
  const char* cannot[JUDGE_SAYINGS]; ///< What these readings cannot tell
  int n_cannot;
  const char* todo[JUDGE_SAYINGS]; ///< What to do, in order
  int n_todo;
  const char* caution;
} Judgement;

/// "sound", "not sound", "not cleared", "not proven".
const char*
judge_state_word(JudgeState state);

/// What is said before any cable of this kind is put on a tester. Never NULL.
const char*
judge_caution(const Connector* connector);

/**
   Judge.
   @param[out] out Texts in `arena`; untouched on error.
   @return STATUS_OK; STATUS_BAD_ARG when nothing at all was read; STATUS_NO_MEMORY;
   STATUS_BAD_INPUT with a sentence when the picture is none of this tester.
*/
Status
judge_cable(Arena* arena, const JudgeReadings* readings, Judgement* out, Error* error);

/// All fault names as one text, "open 3, short 1-2"; "" if none.
const char*
judge_fault_names(Arena* arena, const Judgement* judgement);
