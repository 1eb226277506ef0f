// SPDX-License-Identifier: GPL-3.0-or-later
#include "reason/policy.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/*
  What a repair plan costs depends only on how much probability each *class* has, a class being the
  hypotheses that every usable repair fixes equally well. Thousands of hypotheses make tens of
  classes, so an outcome of a check is first summed into class masses, and all planning is done on
  those. Masses are never normalised: costs are linear in them, so that the sum over outcomes of
  P(o) ECR(odds | o) is the plain sum of what the plans cost in mass.

  A Bench is that compact form of a problem plus the room to plan in.
*/

/// State of a plan under way; copied freely.
typedef struct {
  int zone[POLICY_MAX_PEOPLE];
} Places;

typedef struct {
  const PolicyProblem* problem;
  int n_classes;
  int* order;       ///< [n_hyps] hypotheses by class, in a class by index
  int* class_first; ///< [n_classes + 1] into `order`
  double* fixes;    ///< [n_usable x n_classes]
  int n_usable;
  int* usable;   ///< [n_usable] repairs that are allowed and that somebody can do
  bool* done;    ///< [n_usable] tried already, when a plan starts
  bool* tried;   ///< [n_usable] scratch of the plan
  double* mass;  ///< [n_classes] scratch of the plan
  double* prior; ///< [n_classes]
} Bench;

/// Four lanes, always joined in the same way: fast, and equal on every machine.
static double
sum_products(const double* a, const double* b, int n)
{
  double lane[4] = {0.0, 0.0, 0.0, 0.0};
  int i = 0;
  for (; i + 4 <= n; i += 4) {
    for (int k = 0; k < 4; ++k) {
      lane[k] += a[i + k] * b[i + k];
    }
  }
  for (int k = 0; i < n; ++i, ++k) {
    lane[k] += a[i] * b[i];
  }
  return (lane[0] + lane[1]) + (lane[2] + lane[3]);
}

static double
sum_plain(const double* a, int n)
{
  double sum = 0.0;
  for (int i = 0; i < n; ++i) {
    sum += a[i];
  }
  return sum;
}

static double
walk_between(const PolicyProblem* problem, int from, int to)
{
  return to == POLICY_ANYWHERE ? 0.0 : problem->walk_s[from * problem->n_zones + to];
}

/// Those of `people` that exist and are free.
static uint32_t
able(const PolicyProblem* problem, uint32_t people)
{
  return people & problem->free_people & (UINT32_MAX >> (POLICY_MAX_PEOPLE - problem->n_people));
}

/// Who of `people` gets to the zone first; -1 when nobody may.
static int
nearest(const PolicyProblem* problem, const Places* places, uint32_t people, int zone,
        double* walk_s)
{
  int best = -1;
  for (int p = 0; p < problem->n_people; ++p) {
    if (!(able(problem, people) & (UINT32_C(1) << p))) {
      continue;
    }
    const double w = walk_between(problem, places->zone[p], zone);
    if (best < 0 || w < *walk_s) {
      best = p;
      *walk_s = w;
    }
  }
  return best;
}

static void
move(Places* places, int person, int zone)
{
  if (zone != POLICY_ANYWHERE) {
    places->zone[person] = zone;
  }
}

static Places
places_of(const PolicyProblem* problem)
{
  Places places = {{0}};
  memcpy(places.zone, problem->person_zone, (size_t)problem->n_people * sizeof(int));
  return places;
}

// ---- Hypotheses with equal columns ----

typedef struct {
  uint64_t hash;
  int index;
} HashedColumn;

static int
compare_hashed(const void* a, const void* b)
{
  const HashedColumn* const x = a;
  const HashedColumn* const y = b;
  return x->hash != y->hash ? (x->hash < y->hash ? -1 : 1)
                            : (x->index > y->index) - (x->index < y->index);
}

static bool
columns_equal(const double* const* rows, int n_rows, int a, int b)
{
  for (int r = 0; r < n_rows; ++r) {
    if (rows[r][a] != rows[r][b]) {
      return false;
    }
  }
  return true;
}

/// Number the distinct columns of `rows` in the order of their first member.
static Status
group_columns(Arena* arena, const double* const* rows, int n_rows, int n, int* group_of,
              int* n_groups)
{
  HashedColumn* const column = arena_array(arena, (size_t)n, sizeof(HashedColumn));
  int* const first = arena_array(arena, (size_t)n, sizeof(int));
  if (!column || !first) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < n; ++i) {
    column[i].index = i;
  }
  for (int r = 0; r < n_rows; ++r) {
    for (int i = 0; i < n; ++i) {
      const double x = rows[r][i] + 0.0; // Makes one zero of -0 and 0
      uint64_t bits = 0;
      memcpy(&bits, &x, sizeof(bits));
      const uint64_t h = (column[i].hash ^ bits) * UINT64_C(0x9E3779B97F4A7C15);
      column[i].hash = h ^ (h >> 29);
    }
  }
  qsort(column, (size_t)n, sizeof(HashedColumn), compare_hashed);
  for (int i = 0, run = 0; i < n; ++i) {
    run = column[i].hash == column[run].hash ? run : i;
    int k = run; // The first equal one of the same hash; a collision is only longer
    while (k < i && !columns_equal(rows, n_rows, column[k].index, column[i].index)) {
      ++k;
    }
    first[column[i].index] = column[k].index;
  }
  int n_found = 0;
  for (int i = 0; i < n; ++i) {
    group_of[i] = first[i] == i ? n_found++ : group_of[first[i]];
  }
  *n_groups = n_found;
  return STATUS_OK;
}

// ---- Sound input ----

static bool
zone_is_sound(const PolicyProblem* problem, int zone)
{
  return zone >= POLICY_ANYWHERE && zone < problem->n_zones;
}

static bool
action_is_sound(const PolicyProblem* problem, int zone, double seconds)
{
  return zone_is_sound(problem, zone) && seconds >= 0.0 && isfinite(seconds);
}

/// Everything but the long tables, which policy_rank meets anyway.
static bool
problem_is_sound(const PolicyProblem* problem)
{
  if (problem->n_hyps < 1 || problem->n_people < 1 || problem->n_people > POLICY_MAX_PEOPLE ||
      problem->n_checks < 0 || problem->n_repairs < 0 || problem->n_zones < 1 ||
      !(problem->verify_s >= 0.0) || !(problem->deadline_s >= 0.0)) {
    return false;
  }
  for (int i = 0; i < problem->n_people; ++i) {
    if (problem->person_zone[i] < 0 || problem->person_zone[i] >= problem->n_zones) {
      return false;
    }
  }
  for (int i = 0; i < problem->n_zones * problem->n_zones; ++i) {
    if (!(problem->walk_s[i] >= 0.0) || !isfinite(problem->walk_s[i])) {
      return false;
    }
  }
  for (int i = 0; i < problem->n_checks; ++i) {
    const PolicyCheck* const check = &problem->checks[i];
    if (!action_is_sound(problem, check->zone, check->seconds) || check->n_outcomes < 1 ||
        check->n_outcomes > POLICY_MAX_OUTCOMES) {
      return false;
    }
  }
  for (int i = 0; i < problem->n_repairs; ++i) {
    if (!action_is_sound(problem, problem->repairs[i].zone, problem->repairs[i].seconds)) {
      return false;
    }
  }
  double sum = 0.0;
  for (int h = 0; h < problem->n_hyps; ++h) {
    if (!(problem->prob[h] >= 0.0)) {
      return false;
    }
    sum += problem->prob[h];
  }
  return fabs(sum - 1.0) <= 1e-6 &&
         (!problem->service.allowed ||
          action_is_sound(problem, problem->service.zone, problem->service.seconds));
}

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
  if (!problem_is_sound(problem)) {
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

// ---- The bench ----

/// Mass of each class when hypothesis h weighs prob[h] * like[h]; `like` NULL means 1.
static void
weigh_classes(const Bench* bench, const double* like, double* mass)
{
  const double* const prob = bench->problem->prob;
  for (int c = 0; c < bench->n_classes; ++c) {
    double lane[4] = {0.0, 0.0, 0.0, 0.0};
    for (int i = bench->class_first[c], k = 0; i < bench->class_first[c + 1];
         ++i, k = (k + 1) & 3) {
      const int h = bench->order[i];
      lane[k] += like ? prob[h] * like[h] : prob[h];
    }
    mass[c] = (lane[0] + lane[1]) + (lane[2] + lane[3]);
  }
}

static Status
bench_init(Bench* bench, const PolicyProblem* problem, Arena* arena)
{
  if (!problem_is_sound(problem)) {
    return STATUS_BAD_ARG;
  }
  const size_t n_hyps = (size_t)problem->n_hyps;
  const size_t n_repairs = (size_t)problem->n_repairs;
  *bench = (Bench){.problem = problem,
                   .order = arena_array(arena, n_hyps, sizeof(int)),
                   .class_first = arena_array(arena, n_hyps + 1, sizeof(int)),
                   .usable = arena_array(arena, n_repairs, sizeof(int)),
                   .done = arena_array(arena, n_repairs, sizeof(bool)),
                   .tried = arena_array(arena, n_repairs, sizeof(bool))};
  int* const class_of = arena_array(arena, n_hyps, sizeof(int));
  const double** const rows = arena_array(arena, n_repairs, sizeof(double*));
  if (!bench->order || !bench->class_first || !bench->usable || !bench->done || !bench->tried ||
      !class_of || !rows) {
    return STATUS_NO_MEMORY;
  }
  for (int r = 0; r < problem->n_repairs; ++r) {
    const PolicyRepair* const repair = &problem->repairs[r];
    if (repair->allowed && able(problem, repair->people)) {
      rows[bench->n_usable] = repair->fixes;
      bench->usable[bench->n_usable++] = r;
    }
  }
  Status st = STATUS_OK;
  TRY(st,
      group_columns(arena, rows, bench->n_usable, problem->n_hyps, class_of, &bench->n_classes));
  const int n_classes = bench->n_classes;
  bench->fixes = arena_array(arena, (size_t)bench->n_usable * (size_t)n_classes, sizeof(double));
  bench->mass = arena_array(arena, (size_t)n_classes, sizeof(double));
  bench->prior = arena_array(arena, (size_t)n_classes, sizeof(double));
  int* const fill = arena_array(arena, (size_t)n_classes, sizeof(int));
  if (!bench->fixes || !bench->mass || !bench->prior || !fill) {
    return STATUS_NO_MEMORY;
  }
  for (int h = 0; h < problem->n_hyps; ++h) {
    ++bench->class_first[class_of[h] + 1];
  }
  for (int c = 0; c < n_classes; ++c) {
    bench->class_first[c + 1] += bench->class_first[c];
    fill[c] = bench->class_first[c];
  }
  for (int h = 0; h < problem->n_hyps; ++h) {
    bench->order[fill[class_of[h]]++] = h;
  }
  for (int u = 0; u < bench->n_usable; ++u) {
    for (int c = 0; c < n_classes; ++c) {
      bench->fixes[u * n_classes + c] = rows[u][bench->order[bench->class_first[c]]];
    }
  }
  weigh_classes(bench, NULL, bench->prior);
  return STATUS_OK;
}

static PolicyAction
repair_action(const Bench* bench, const Places* places, int u)
{
  const PolicyProblem* const problem = bench->problem;
  const PolicyRepair* const repair = &problem->repairs[bench->usable[u]];
  PolicyAction action = {.kind = POLICY_REPAIR, .index = bench->usable[u]};
  action.person = nearest(problem, places, repair->people, repair->zone, &action.walk_s);
  action.own_s = action.walk_s + repair->seconds + problem->verify_s;
  return action;
}

/// Whether there is a service and somebody to do it.
static bool
service_action(const PolicyProblem* problem, const Places* places, PolicyAction* action)
{
  const PolicyService* const service = &problem->service;
  *action = (PolicyAction){.kind = POLICY_SERVICE, .person = -1};
  if (service->allowed) {
    action->person = nearest(problem, places, service->people, service->zone, &action->walk_s);
    action->own_s = action->walk_s + service->seconds;
  }
  return action->person >= 0;
}

/// Take away what repair u fixes.
static void
apply_repair(const Bench* bench, int u, double* mass)
{
  const double* const fixes = bench->fixes + (size_t)u * bench->n_classes;
  for (int c = 0; c < bench->n_classes; ++c) {
    mass[c] *= 1.0 - fixes[c];
  }
}

/// Greedy choice among untried repairs that fix something and take at most `limit_s`: by mass per
/// second, or by mass alone. A later one must be better by more than rounding. -1 when none is
/// left.
static int
best_repair(const Bench* bench, const Places* places, double limit_s, bool per_second,
            PolicyAction* action, double* fixed_mass)
{
  int best = -1;
  double best_cost = 1.0;
  for (int u = 0; u < bench->n_usable; ++u) {
    if (bench->tried[u]) {
      continue;
    }
    const PolicyAction a = repair_action(bench, places, u);
    const double p =
      sum_products(bench->fixes + (size_t)u * bench->n_classes, bench->mass, bench->n_classes);
    const double cost = per_second ? a.own_s : 1.0;
    if (p > 0.0 && a.own_s <= limit_s &&
        (best < 0 || p * best_cost > *fixed_mass * cost * (1.0 + 1e-12))) {
      best = u;
      best_cost = cost;
      *fixed_mass = p;
      *action = a;
    }
  }
  return best;
}

/// Cost in mass-seconds of the greedy plan from here. With `plan`, also what it does.
static double
plan_repairs(Bench* bench, const double* mass, Places places, PolicyPlan* plan)
{
  const PolicyProblem* const problem = bench->problem;
  memcpy(bench->mass, mass, (size_t)bench->n_classes * sizeof(double));
  memcpy(bench->tried, bench->done, (size_t)bench->n_usable * sizeof(bool));
  double left = sum_plain(bench->mass, bench->n_classes);
  double spent = 0.0;
  double best = HUGE_VAL;
  int n_actions = 0;
  PolicyAction action;
  for (;;) {
    if (service_action(problem, &places, &action) && spent + left * action.own_s < best) {
      best = spent + left * action.own_s;
      if (plan) {
        plan->n_actions = n_actions + 1;
        plan->actions[problem->n_repairs + 1] = action; // Put in its place at the end
      }
    }
    double fixed = 0.0;
    const int u = best_repair(bench, &places, HUGE_VAL, true, &action, &fixed);
    if (u < 0) {
      break;
    }
    spent += left * action.own_s;
    bench->tried[u] = true;
    move(&places, action.person, problem->repairs[action.index].zone);
    apply_repair(bench, u, bench->mass);
    left = sum_plain(bench->mass, bench->n_classes);
    if (plan) {
      plan->actions[n_actions] = action;
    }
    ++n_actions;
  }
  // With a service, running out of repairs is an end only when nothing is left to repair.
  const bool runs_out = best == HUGE_VAL || (left <= 0.0 && spent <= best);
  if (plan) {
    if (runs_out) {
      plan->n_actions = n_actions;
      plan->left_prob = left;
    } else {
      plan->left_prob = 0.0;
      plan->actions[plan->n_actions - 1] = plan->actions[problem->n_repairs + 1];
    }
  }
  return runs_out ? spent : best;
}

/// Mass that a greedy sequence of repairs repairs within `left_s`.
static double
repaired_in_time(Bench* bench, const double* mass, Places places, double left_s, bool per_second)
{
  memcpy(bench->mass, mass, (size_t)bench->n_classes * sizeof(double));
  memcpy(bench->tried, bench->done, (size_t)bench->n_usable * sizeof(bool));
  double repaired = 0.0;
  for (;;) {
    PolicyAction action;
    double fixed = 0.0;
    const int u = best_repair(bench, &places, left_s, per_second, &action, &fixed);
    if (u < 0) {
      return repaired;
    }
    repaired += fixed;
    left_s -= action.own_s;
    bench->tried[u] = true;
    move(&places, action.person, bench->problem->repairs[action.index].zone);
    apply_repair(bench, u, bench->mass);
  }
}

/// Mass that is done within `left_s` from here.
static double
done_in_time(Bench* bench, const double* mass, Places places, double left_s)
{
  if (!(left_s >= 0.0)) {
    return 0.0;
  }
  PolicyAction service;
  if (service_action(bench->problem, &places, &service) && service.own_s <= left_s) {
    return sum_plain(mass, bench->n_classes);
  }
  const double by_rate = repaired_in_time(bench, mass, places, left_s, true);
  const double by_odds = repaired_in_time(bench, mass, places, left_s, false);
  return by_rate >= by_odds ? by_rate : by_odds;
}

// ---- Asked from outside ----

Status
policy_ecr(const PolicyProblem* problem, Arena* arena, PolicyPlan* plan)
{
  Bench bench;
  Status st = STATUS_OK;
  TRY(st, bench_init(&bench, problem, arena));
  PolicyPlan made = {0};
  made.actions = arena_array(arena, (size_t)problem->n_repairs + 2, sizeof(PolicyAction));
  if (!made.actions) {
    return STATUS_NO_MEMORY;
  }
  made.seconds = plan_repairs(&bench, bench.prior, places_of(problem), &made);
  *plan = made;
  return STATUS_OK;
}

Status
policy_chance(const PolicyProblem* problem, Arena* arena, double* chance)
{
  Bench bench;
  Status st = STATUS_OK;
  TRY(st, bench_init(&bench, problem, arena));
  *chance = done_in_time(&bench, bench.prior, places_of(problem), problem->deadline_s);
  return STATUS_OK;
}

/// Microseconds and 1e-9 of chance: what differs by less is a tie.
static double
rounded(double x, double steps)
{
  return nearbyint(x * steps);
}

static int
compare_choices(const PolicyChoice* a, const PolicyChoice* b, PolicyGoal goal)
{
  const double chance = rounded(b->chance, 1e9) - rounded(a->chance, 1e9);
  if (goal == POLICY_BY_CHANCE && chance != 0.0) {
    return chance < 0.0 ? -1 : 1;
  }
  const double seconds = rounded(a->seconds, 1e6) - rounded(b->seconds, 1e6);
  return seconds < 0.0 ? -1 : seconds > 0.0;
}

/// What follows when `person` has done the action: price it, and keep it if it is the best person.
/// `after` is [n_after x n_classes] of the masses that are not done yet, `done_mass` of those that
/// are.
static void
consider(Bench* bench, PolicyGoal goal, PolicyAction action, int zone, const double* after,
         int n_after, double done_mass, PolicyChoice* best)
{
  const PolicyProblem* const problem = bench->problem;
  Places places = places_of(problem);
  move(&places, action.person, zone);
  PolicyChoice choice = {.action = action, .seconds = action.own_s};
  const double left_s = problem->deadline_s - action.own_s;
  choice.chance = problem->deadline_s > 0.0 && left_s >= 0.0 ? done_mass : 0.0;
  for (int o = 0; o < n_after; ++o) {
    const double* const mass = after + (size_t)o * bench->n_classes;
    choice.seconds += plan_repairs(bench, mass, places, NULL);
    if (problem->deadline_s > 0.0) {
      choice.chance += done_in_time(bench, mass, places, left_s);
    }
  }
  const int order = best->action.person < 0 ? -1 : compare_choices(&choice, best, goal);
  if (order < 0 || (order == 0 && action.walk_s < best->action.walk_s)) {
    *best = choice;
  }
}

/// Prices an action for everybody who can do it; false when nobody can.
static bool
price(Bench* bench, PolicyGoal goal, PolicyAction action, int zone, uint32_t people,
      const double* after, int n_after, double done_mass, PolicyChoice* best)
{
  const PolicyProblem* const problem = bench->problem;
  best->action.person = -1;
  const double handling_s = action.own_s;
  for (int p = 0; p < problem->n_people; ++p) {
    if (able(problem, people) & (UINT32_C(1) << p)) {
      action.person = p;
      action.walk_s = walk_between(problem, problem->person_zone[p], zone);
      action.own_s = action.walk_s + handling_s;
      consider(bench, goal, action, zone, after, n_after, done_mass, best);
    }
  }
  return best->action.person >= 0;
}

/// Masses after each outcome of a check; false when the outcomes do not add up to all there is.
static bool
weigh_outcomes(const Bench* bench, const PolicyCheck* check, double* after)
{
  double sum = 0.0;
  for (int o = 0; o < check->n_outcomes; ++o) {
    double* const mass = after + (size_t)o * bench->n_classes;
    weigh_classes(bench, check->like + (size_t)o * bench->problem->n_hyps, mass);
    sum += sum_plain(mass, bench->n_classes);
  }
  return fabs(sum - sum_plain(bench->prior, bench->n_classes)) <= 1e-6;
}

Status
policy_rank(const PolicyProblem* problem, PolicyGoal goal, Arena* arena, PolicyChoice** choices,
            int* n_choices)
{
  Bench bench;
  Status st = STATUS_OK;
  TRY(st, bench_init(&bench, problem, arena));
  const size_t n_most = (size_t)problem->n_checks + (size_t)problem->n_repairs + 1;
  PolicyChoice* const list = arena_array(arena, n_most, sizeof(PolicyChoice));
  double* const after =
    arena_array(arena, (size_t)POLICY_MAX_OUTCOMES * (size_t)bench.n_classes, sizeof(double));
  if (!list || !after) {
    return STATUS_NO_MEMORY;
  }
  int n = 0;
  for (int i = 0; i < problem->n_checks; ++i) {
    const PolicyCheck* const check = &problem->checks[i];
    if (!check->allowed || !able(problem, check->people)) {
      continue;
    }
    if (!weigh_outcomes(&bench, check, after)) {
      return STATUS_BAD_ARG;
    }
    const PolicyAction action = {.kind = POLICY_CHECK, .index = i, .own_s = check->seconds};
    n += price(&bench, goal, action, check->zone, check->people, after, check->n_outcomes, 0.0,
               &list[n]);
  }
  const double all = sum_plain(bench.prior, bench.n_classes);
  for (int u = 0; u < bench.n_usable; ++u) {
    const PolicyRepair* const repair = &problem->repairs[bench.usable[u]];
    memcpy(after, bench.prior, (size_t)bench.n_classes * sizeof(double));
    apply_repair(&bench, u, after);
    const double fixed =
      sum_products(bench.fixes + (size_t)u * bench.n_classes, bench.prior, bench.n_classes);
    const PolicyAction action = {.kind = POLICY_REPAIR,
                                 .index = bench.usable[u],
                                 .own_s = repair->seconds + problem->verify_s};
    bench.done[u] = true;
    n += price(&bench, goal, action, repair->zone, repair->people, after, 1, fixed, &list[n]);
    bench.done[u] = false;
  }
  if (problem->service.allowed) {
    const PolicyAction action = {.kind = POLICY_SERVICE, .own_s = problem->service.seconds};
    n += price(&bench, goal, action, problem->service.zone, problem->service.people, NULL, 0, all,
               &list[n]);
  }
  // The list is short and its order on equal values must be kept: insertion.
  for (int i = 1; i < n; ++i) {
    const PolicyChoice moving = list[i];
    int k = i;
    for (; k > 0 && compare_choices(&moving, &list[k - 1], goal) < 0; --k) {
      list[k] = list[k - 1];
    }
    list[k] = moving;
  }
  *choices = list;
  *n_choices = n;
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
  if (!problem_is_sound(problem)) {
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
  TRY(st, group_columns(arena, rows, n_rows, problem->n_hyps, group_of, &n));
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
