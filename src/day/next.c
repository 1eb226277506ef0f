// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/next.h"

#include "day/problem.h"
#include "day/telling.h"
#include "reason/ahead.h"

enum { MAX_STEPS = 8 };

Status
next_problem(const Situation* s, Arena* arena, int line, const NextOptions* options,
             NextProblem* problem)
{
  Problem* p = NULL;
  Check* const checks = arena_array(arena, PROBLEM_MAX_CHECKS, sizeof(Check));
  RepairSort* const repairs = arena_array(arena, PROBLEM_MAX_REPAIRS, sizeof(RepairSort));
  int* const desks = arena_array(arena, PROBLEM_MAX_REPAIRS, sizeof(int));
  if (!checks || !repairs || !desks) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  TRY(st, problem_new(s, arena, line, options, &p));
  for (int i = 0; i < p->policy.n_checks; ++i) {
    checks[i] = p->plans[i].check;
  }
  for (int i = 0; i < p->policy.n_repairs; ++i) {
    repairs[i] = p->repair_plans[i].sort;
    desks[i] = p->repair_plans[i].desk;
  }
  *problem = (NextProblem){p->policy, p->rows, checks, repairs, desks};
  return STATUS_OK;
}

Status
next_advise(const Situation* s, Arena* arena, int line, const NextOptions* options,
            NextAdvice* advice)
{
  Problem* p = NULL;
  Step* const steps = arena_array(arena, MAX_STEPS, sizeof(Step));
  if (!steps) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  TRY(st, problem_new(s, arena, line, options, &p));
  NextAdvice out = {.steps = steps, .is_usual = true};
  PolicyProblem merged;
  const AheadOptions ahead = options->looks_once ? ahead_one_step() : ahead_usual();
  AheadAnswer answer;
  TRY(st, policy_merge(&p->policy, arena, &merged, NULL));
  TRY(st, ahead_rank(&merged, options->deadline_s > 0.0 ? POLICY_BY_CHANCE : POLICY_BY_SECONDS,
                     &ahead, arena, &answer));
  const PolicyChoice* const choices = answer.choices;
  const int n = answer.n_choices;
  out.goes_round = n > 0 && choices[0].action.kind == POLICY_SERVICE;
  for (int i = 0; i < n && out.n_steps < MAX_STEPS; ++i) {
    // The new line is what is left when nothing else is: rescue says so
    if (choices[i].action.kind != POLICY_SERVICE) {
      TRY(st, telling_step(p, &choices[i], &steps[out.n_steps++]));
    }
  }
  if (n) {
    out.seconds = choices[0].seconds;
    out.chance = choices[0].chance;
  }
  *advice = out;
  return STATUS_OK;
}

// A choice by hand: who is nearest, and what it takes from there. Person -1 when nobody can.
static PolicyChoice
by_hand(const Problem* problem, PolicyKind kind, int index)
{
  const PolicyProblem* const p = &problem->policy;
  const bool check = kind == POLICY_CHECK;
  const int zone = check ? p->checks[index].zone : p->repairs[index].zone;
  const uint32_t people = (check ? p->checks[index].people : p->repairs[index].people);
  PolicyAction a = {.kind = kind, .index = index, .person = -1};
  for (int i = 0; i < p->n_people; ++i) {
    const double walk =
      zone == POLICY_ANYWHERE ? 0.0 : p->walk_s[p->person_zone[i] * p->n_zones + zone];
    if ((people & p->free_people) >> i & 1u && (a.person < 0 || walk < a.walk_s)) {
      a.person = i;
      a.walk_s = walk;
    }
  }
  a.own_s = a.walk_s + (check ? p->checks[index].seconds : p->repairs[index].seconds + p->verify_s);
  return (PolicyChoice){.action = a};
}

Status
next_choices(const Situation* s, Arena* arena, int line, const NextOptions* options,
             const Step** steps, int* n)
{
  Problem* p = NULL;
  Step* const all = arena_array(arena, PROBLEM_MAX_CHECKS + PROBLEM_MAX_REPAIRS, sizeof(Step));
  if (!all) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  TRY(st, problem_new(s, arena, line, options, &p));
  p->is_plain = true;
  int at = 0;
  for (int i = 0; i < p->policy.n_checks + p->policy.n_repairs; ++i) {
    const bool check = i < p->policy.n_checks;
    const PolicyChoice choice =
      by_hand(p, check ? POLICY_CHECK : POLICY_REPAIR, check ? i : i - p->policy.n_checks);
    if (choice.action.person >= 0) {
      TRY(st, telling_step(p, &choice, &all[at++]));
    }
  }
  *steps = all;
  *n = at;
  return STATUS_OK;
}
