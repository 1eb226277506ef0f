// SPDX-License-Identifier: GPL-3.0-or-later
#include "reason/policy.h"

#include "reason/greedy.h"

#include <math.h>
#include <string.h>

static bool
check_is_sound(const PolicyCheck* check, int n_hyps)
{
  for (int h = 0; h < n_hyps; ++h) {
    double sum = 0.0;
    for (int o = 0; o < check->n_outcomes; ++o) {
      const double like = check->like[(size_t)o * n_hyps + h];
      if (!(like >= 0.0)) {
        return false;
      }
      sum += like;
    }
    if (!(fabs(sum - 1.0) <= 1e-6)) {
      return false;
    }
  }
  return true;
}

Status
policy_valid(const PolicyProblem* problem)
{
  if (!plan_sound(problem)) {
    return STATUS_BAD_ARG;
  }
  for (int i = 0; i < problem->n_checks; ++i) {
    if (!check_is_sound(&problem->checks[i], problem->n_hyps)) {
      return STATUS_BAD_ARG;
    }
  }
  for (int i = 0; i < problem->n_repairs; ++i) {
    for (int h = 0; h < problem->n_hyps; ++h) {
      const double fixes = problem->repairs[i].fixes[h];
      if (!(fixes >= 0.0 && fixes <= 1.0)) {
        return STATUS_BAD_ARG;
      }
    }
  }
  return STATUS_OK;
}

// ---- Asked from outside ----

Status
policy_ecr(const PolicyProblem* problem, Arena* arena, PolicyPlan* plan)
{
  PlanTable table;
  Status st = STATUS_OK;
  TRY(st, plan_init(&table, problem, arena));
  PolicyPlan made = {0};
  made.actions = arena_array(arena, (size_t)problem->n_repairs + 2, sizeof(PolicyAction));
  PlanReach* const reach = arena_array(arena, (size_t)table.n_usable, sizeof(PlanReach));
  if (!made.actions || !reach) {
    return STATUS_NO_MEMORY;
  }
  const PlanPlaces places = plan_places(problem);
  plan_reach(&table, &places, reach);
  made.seconds = greedy_cost(&table, table.prior_mass, &places, reach, HUGE_VAL, &made);
  *plan = made;
  return STATUS_OK;
}

Status
policy_chance(const PolicyProblem* problem, Arena* arena, double* chance)
{
  PlanTable table;
  Status st = STATUS_OK;
  TRY(st, plan_init(&table, problem, arena));
  PlanReach* const reach = arena_array(arena, (size_t)table.n_usable, sizeof(PlanReach));
  if (!reach) {
    return STATUS_NO_MEMORY;
  }
  const PlanPlaces places = plan_places(problem);
  plan_reach(&table, &places, reach);
  *chance = greedy_in_time(&table, table.prior_mass, &places, reach, problem->deadline_s);
  return STATUS_OK;
}

/// One row with its columns merged: that of each group's first member.
static double*
merged_row(Arena* arena, const double* rows, int n_rows, int n_hyps, const int* merged_of,
           int n_merged)
{
  double* const to = arena_array(arena, (size_t)n_rows * (size_t)n_merged, sizeof(double));
  for (int r = 0; to && r < n_rows; ++r) {
    for (int h = n_hyps - 1; h >= 0; --h) { // Backwards, so that the first member has the last word
      to[(size_t)r * n_merged + merged_of[h]] = rows[(size_t)r * n_hyps + h];
    }
  }
  return to;
}

Status
policy_merge(const PolicyProblem* problem, Arena* arena, PolicyProblem* merged, int** merged_of)
{
  if (!plan_sound(problem)) {
    return STATUS_BAD_ARG;
  }
  const size_t n_hyps = (size_t)problem->n_hyps;
  const size_t n_most =
    (size_t)problem->n_checks * POLICY_MAX_OUTCOMES + (size_t)problem->n_repairs;
  const double** const rows = arena_array(arena, n_most, sizeof(double*));
  int* const group_of = arena_array(arena, n_hyps, sizeof(int));
  PolicyCheck* const checks = arena_array(arena, (size_t)problem->n_checks, sizeof(PolicyCheck));
  PolicyRepair* const repairs =
    arena_array(arena, (size_t)problem->n_repairs, sizeof(PolicyRepair));
  if (!rows || !group_of || !checks || !repairs) {
    return STATUS_NO_MEMORY;
  }
  int n_rows = 0;
  for (int i = 0; i < problem->n_checks; ++i) {
    for (int o = 0; problem->checks[i].allowed && o < problem->checks[i].n_outcomes; ++o) {
      rows[n_rows++] = problem->checks[i].like + (size_t)o * n_hyps;
    }
  }
  for (int i = 0; i < problem->n_repairs; ++i) {
    if (problem->repairs[i].allowed) {
      rows[n_rows++] = problem->repairs[i].fixes;
    }
  }
  Status st = STATUS_OK;
  int n = 0;
  TRY(st, plan_group_columns(arena, rows, n_rows, problem->n_hyps, group_of, &n));
  double* const prob = arena_array(arena, (size_t)n, sizeof(double));
  if (!prob) {
    return STATUS_NO_MEMORY;
  }
  for (size_t h = 0; h < n_hyps; ++h) {
    prob[group_of[h]] += problem->prob[h];
  }
  for (int i = 0; i < problem->n_checks; ++i) {
    checks[i] = problem->checks[i];
    checks[i].like =
      merged_row(arena, checks[i].like, checks[i].n_outcomes, problem->n_hyps, group_of, n);
    if (!checks[i].like) {
      return STATUS_NO_MEMORY;
    }
  }
  for (int i = 0; i < problem->n_repairs; ++i) {
    repairs[i] = problem->repairs[i];
    repairs[i].fixes = merged_row(arena, repairs[i].fixes, 1, problem->n_hyps, group_of, n);
    if (!repairs[i].fixes) {
      return STATUS_NO_MEMORY;
    }
  }
  *merged = *problem;
  merged->n_hyps = n;
  merged->prob = prob;
  merged->checks = checks;
  merged->repairs = repairs;
  if (merged_of) {
    *merged_of = group_of;
  }
  return STATUS_OK;
}
