// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/around.h"
#include "day/step.h"
#include "reason/policy.h"

/*
  The next step for a silent or bad line.

  The odds of a situation, the checks that can be made and the repairs that can be tried are made
  one flat problem for reason/policy; its best first actions come back as steps a person can be
  told: who, where, what, why, with the caution first where there is one. Steps that would hurt
  something are not in the problem at all; day/harm is that rule, and a law in the tests.
*/

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

/// The problem of a line; lives in `arena`, untouched on error. The service is what ends a search.
Status
next_problem(const Situation* situation, Arena* arena, int line, const NextOptions* options,
             NextProblem* problem);
