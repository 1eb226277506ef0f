// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/around.h"
#include "day/repair.h"
#include "day/situation.h"
#include "reason/policy.h"

/*
  The next step for a silent or bad line.

  The odds of a situation, the checks that can be made and the repairs that can be tried are made
  one flat problem for reason/policy; its best first actions come back as steps a person can be
  told: who, where, what, why, with the caution first where there is one. Steps that would hurt
  something are not in the problem at all; `next_allowed` is that rule, and a law in the tests.
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

typedef struct {
  const Step* steps; ///< Best first; the first of each free person comes before second choices
  int n_steps;
  double seconds;  ///< Expected until sound with the first step
  double chance;   ///< Before the deadline
  bool goes_round; ///< What ends a search is a better bet than any step
  bool is_usual;   ///< Odds or times are usual practice, not learned
} NextAdvice;

/// Somebody who can be asked to do something.
typedef struct {
  const char* role;
  int home;  ///< Place they belong to: a desk's place makes them that desk's, any other the stage's
  int place; ///< Where they are now
  bool is_busy; ///< Not to be asked now
} NextPerson;

typedef struct {
  double deadline_s;   ///< 0 = none
  bool nobody_answers; ///< Only what the person at the desk and the stage can do unasked
  int home_desk;       ///< Desk of the person asking; its looks cost no asking
  double since_s;      ///< Seconds since the trouble began: at 60 the way round comes first
  const NextPerson*
    people; ///< [n_people] instead of the crew list; NULL = as listed, where they start
  int n_people;
  bool is_silent;  ///< Nobody needs asking: steps cost their own seconds alone
  bool goes_round; ///< The quickest way round ends a search; else a whole new line does
  bool looks_once; ///< Rank by one step ahead alone
} NextOptions;

/// The flat problem behind the advice, for whoever wants to rank it by another rule.
typedef struct {
  PolicyProblem problem;     ///< Hypotheses are the line's suspects, most likely first
  const Suspect* suspects;   ///< [problem.n_hyps]
  const Check* checks;       ///< [problem.n_checks]
  const RepairSort* repairs; ///< [problem.n_repairs]
  const int* repair_desks;   ///< [problem.n_repairs] -1 = none
} NextProblem;

/// @param[out] advice Lives in `arena`; no steps when nothing is wrong and nothing is left to
/// check.
Status
next_advise(const Situation* situation, Arena* arena, int line, const NextOptions* options,
            NextAdvice* advice);

/**
   Everything that can be done now, for whoever wants to choose for themselves: every check and
   every repair of the problem, in its order, worded without a hint of what the odds hold likely
   (`why` is empty), with cautions, and with seconds from where its nearest person stands. What
   nobody can do is left out.
   @param[out] steps [*n] in `arena`; untouched on error.
*/
Status
next_choices(const Situation* situation, Arena* arena, int line, const NextOptions* options,
             const Step** steps, int* n);

/// A reading as `saw` takes it, as a choice in plain words; in `arena`, NULL = no memory.
const char*
next_reading_say(const Situation* situation, Arena* arena, int line, Check check,
                 const char* reading);

/// The problem of a line; lives in `arena`, untouched on error. The service is what ends a search.
Status
next_problem(const Situation* situation, Arena* arena, int line, const NextOptions* options,
             NextProblem* problem);

/// What a step does to the stage: its ear, phantom and plugs, from what it is alone. A repair at a
/// desk counts as one that brings phantom unless it is known better.
void
next_touch(Step* step);

/// Whether a check may be advised at all on a line, and which plugs must be pulled first: phantom
/// and a tester's current never meet a ribbon, an unbalanced or an "ask" source, wherever its plug
/// really is. Repairs are always allowed; what they may say of phantom is decided with their words.
bool
next_allowed(const Situation* situation, int line, StepDoes does, Check check, RepairSort repair,
             int unplug[8], int* n_unplug);
