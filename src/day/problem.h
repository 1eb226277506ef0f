// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/harm.h"
#include "day/next.h"

/*
  The flat problem behind the advice on one line, with what the rows of the problem stand for.

  Hypotheses are the line's suspects, most likely first. Checks carry the chance of each reading
  under each suspect, repairs the chance that they end it; both who may do them, where and how long
  it takes, asking included. What would hurt something, was refused, was read already (a second look
  shares the cause of a misreading with the first) or nobody can do is not in it.
*/

enum { PROBLEM_MAX_CHECKS = 40, PROBLEM_MAX_REPAIRS = 24 };

typedef struct {
  Check check;
  int keys[POLICY_MAX_OUTCOMES]; ///< The last outcome is "anything else"
  int n_keys;
  int unplug[HARM_MAX_UNPLUG];
  int n_unplug;
} ProblemCheck;

typedef struct {
  RepairSort sort;
  int desk;
  bool gives_phantom;
  bool unplug_all; ///< More must be unplugged than a step can name
  int unplug[HARM_MAX_UNPLUG];
  int n_unplug;
} ProblemRepair;

typedef struct {
  const Situation* s;
  Arena* arena;
  const NextOptions* options;
  int line;
  bool is_plain;       ///< Say nothing of what is likely
  const Suspect* rows; ///< [n_rows] those that count, most likely first
  int n_rows;
  double* prob;  ///< [n_rows] sum to 1
  Sight* sights; ///< [n_rows]
  ProblemCheck plans[PROBLEM_MAX_CHECKS];
  PolicyCheck checks[PROBLEM_MAX_CHECKS];
  ProblemRepair repair_plans[PROBLEM_MAX_REPAIRS];
  PolicyRepair repairs[PROBLEM_MAX_REPAIRS];
  PolicyProblem policy;
  const char* roles[POLICY_MAX_PEOPLE];
  int zones[POLICY_MAX_PEOPLE];
  uint32_t at_desk[PLANT_DESKS], on_stage; ///< Who may do what is done there, a bit a person
  const AroundWay* ways;
  int n_ways;
} Problem;

/// @param[out] problem Lives in `arena`, borrows the situation and the options; untouched on error.
Status
problem_new(const Situation* situation, Arena* arena, int line, const NextOptions* options,
            Problem** problem);

/// Seconds it takes to tell one of these people what to do: the intercom, or, with nobody there,
/// finding them by voice; 0 where the person asking does it themselves.
double
problem_ask_s(const Problem* problem, uint32_t people);

/// Whether a repair is to a digital box as a whole.
bool
problem_is_of_box(RepairSort sort);
