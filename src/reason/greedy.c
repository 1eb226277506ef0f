// SPDX-License-Identifier: GPL-3.0-or-later
#include "reason/greedy.h"

#include <math.h>
#include <string.h>

/*
  What each repair would mend is kept beside the masses; a repair that was tried changes it only for
  those that share a class with it.
*/

static double
mends_of(const PlanTable* table, int u)
{
  double p = 0.0;
  for (int i = table->cover_first[u]; i < table->cover_first[u + 1]; ++i) {
    p += table->cover_fixes[i] * table->mass[table->cover[i]];
  }
  return p;
}

/// The scratch of one greedy sequence; returns how many repairs are open. What mends nothing now
/// never will: masses only go.
static int
start(PlanTable* table, const double* mass, const PlanReach* reach)
{
  memcpy(table->mass, mass, (size_t)table->n_classes * sizeof(double));
  int n = 0;
  for (int u = 0; u < table->n_usable; ++u) {
    table->mends[u] = table->done[u] ? 0.0 : mends_of(table, u);
    if (table->mends[u] > 0.0) {
      table->now[u] = reach[u];
      table->open[n++] = u;
    }
  }
  return n;
}

/// Where in `open` the greedy choice stands, among those that mend something and take at most
/// `limit_s`: by mass per second, or by mass alone. A later one must be better by more than
/// rounding. -1 when none is left.
static int
best_repair(const PlanTable* table, int n_open, double limit_s, bool per_second)
{
  int best = -1;
  double best_cost = 1.0;
  double best_mends = 0.0;
  for (int i = 0; i < n_open; ++i) {
    const int u = table->open[i];
    const double mends = table->mends[u];
    const double own_s = table->now[u].own_s;
    const double cost = per_second ? own_s : 1.0;
    if (mends > 0.0 && own_s <= limit_s &&
        (best < 0 || mends * best_cost > best_mends * cost * (1.0 + 1e-12))) {
      best = i;
      best_cost = cost;
      best_mends = mends;
    }
  }
  return best;
}

/// Do it: the person moves, the mass goes. Returns how much went.
static double
take(PlanTable* table, int at, int* n_open, PlanPlaces* places)
{
  const int u = table->open[at];
  const int person = table->now[u].person;
  const int zone = table->problem->repairs[table->usable[u]].zone;
  --*n_open;
  for (int i = at; i < *n_open; ++i) {
    table->open[i] = table->open[i + 1];
  }
  if (zone != POLICY_ANYWHERE && places->zone[person] != zone) {
    places->zone[person] = zone;
    for (int i = 0; i < *n_open; ++i) {
      const int v = table->open[i];
      if (table->able[v] >> person & 1u) {
        table->now[v] = plan_reach_of(table, places, v);
      }
    }
  }
  const double gone = plan_apply(table, u, table->mass);
  for (int i = table->overlap_first[u]; i < table->overlap_first[u + 1]; ++i) {
    const int v = table->overlap[i];
    table->mends[v] = table->done[v] ? 0.0 : mends_of(table, v);
  }
  return gone;
}

static PolicyAction
action_of(const PlanTable* table, const PlanReach* reach, int u)
{
  return (PolicyAction){POLICY_REPAIR, table->usable[u], reach[u].person, reach[u].walk_s,
                        reach[u].own_s};
}

double
greedy_cost(PlanTable* table, const double* mass, const PlanPlaces* from, const PlanReach* reach,
            double at_most, PolicyPlan* plan)
{
  const PolicyProblem* const problem = table->problem;
  PlanPlaces places = *from;
  int n_open = start(table, mass, reach);
  double left = plan_total(table, table->mass);
  double spent = 0.0;
  double best = HUGE_VAL;
  int n_actions = 0;
  PolicyAction service;
  while (spent <= best && spent < at_most) {
    if (plan_service(problem, &places, &service) && spent + left * service.own_s < best) {
      best = spent + left * service.own_s;
      if (plan) {
        plan->n_actions = n_actions + 1;
        plan->actions[problem->n_repairs + 1] = service; // Put in its place at the end
      }
    }
    const int at = best_repair(table, n_open, HUGE_VAL, true);
    if (at < 0) {
      break;
    }
    const int u = table->open[at];
    spent += left * table->now[u].own_s;
    if (plan) {
      plan->actions[n_actions] = action_of(table, table->now, u);
    }
    ++n_actions;
    (void)take(table, at, &n_open, &places);
    left = plan_total(table, table->mass);
  }
  // With a service, running out of repairs is an end only when nothing is left to repair.
  const bool runs_out = best == HUGE_VAL || (left <= 0.0 && spent <= best);
  if (plan) {
    plan->left_prob = runs_out ? left : 0.0;
    if (runs_out) {
      plan->n_actions = n_actions;
    } else {
      plan->actions[plan->n_actions - 1] = plan->actions[problem->n_repairs + 1];
    }
  }
  return runs_out ? spent : best;
}

/// Mass that a greedy sequence of repairs repairs within `left_s`.
static double
repaired_in_time(PlanTable* table, const double* mass, const PlanPlaces* from,
                 const PlanReach* reach, double left_s, bool per_second)
{
  PlanPlaces places = *from;
  int n_open = start(table, mass, reach);
  double repaired = 0.0;
  for (;;) {
    const int at = best_repair(table, n_open, left_s, per_second);
    if (at < 0) {
      return repaired;
    }
    left_s -= table->now[table->open[at]].own_s;
    repaired += take(table, at, &n_open, &places);
  }
}

double
greedy_in_time(PlanTable* table, const double* mass, const PlanPlaces* places,
               const PlanReach* reach, double left_s)
{
  PolicyAction service;
  if (!(left_s >= 0.0)) {
    return 0.0;
  }
  if (plan_service(table->problem, places, &service) && service.own_s <= left_s) {
    return plan_total(table, mass);
  }
  const double by_rate = repaired_in_time(table, mass, places, reach, left_s, true);
  const double by_odds = repaired_in_time(table, mass, places, reach, left_s, false);
  return by_rate >= by_odds ? by_rate : by_odds;
}
