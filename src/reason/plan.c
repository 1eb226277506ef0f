// SPDX-License-Identifier: GPL-3.0-or-later
#include "reason/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

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

Status
plan_group_columns(Arena* arena, const double* const* rows, int n_rows, int n, int* group_of,
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

bool
plan_sound(const PolicyProblem* problem)
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

// ---- The table ----

void
plan_spread(const PlanTable* table, const double* by_hyp, double* rows)
{
  for (int h = 0; h < table->problem->n_hyps; ++h) {
    rows[table->row_of[h]] = by_hyp[h];
  }
}

/// Two lanes in one register: the compiler's vector, each lane with its plain meaning, at home in
/// any array of doubles.
typedef double Lanes2 __attribute__((vector_size(16), aligned(8), may_alias));

static double
joined(Lanes2 a, Lanes2 b, Lanes2 c, Lanes2 d)
{
  const Lanes2 sum = (a + c) + (b + d);
  return sum[0] + sum[1];
}

void
plan_weigh(const PlanTable* table, const double* rows, const double* like, double* mass)
{
  for (int c = 0; c < table->n_classes; ++c) {
    const Lanes2* w = (const Lanes2*)(rows + table->class_first[c]);
    const Lanes2* const end = (const Lanes2*)(rows + table->class_first[c + 1]);
    Lanes2 lane[4] = {{0.0, 0.0}, {0.0, 0.0}, {0.0, 0.0}, {0.0, 0.0}};
    if (like) {
      const Lanes2* l = (const Lanes2*)(like + table->class_first[c]);
      for (; w < end; w += 4, l += 4) {
        lane[0] += w[0] * l[0];
        lane[1] += w[1] * l[1];
        lane[2] += w[2] * l[2];
        lane[3] += w[3] * l[3];
      }
    } else {
      for (; w < end; w += 4) {
        lane[0] += w[0];
        lane[1] += w[1];
        lane[2] += w[2];
        lane[3] += w[3];
      }
    }
    mass[c] = joined(lane[0], lane[1], lane[2], lane[3]);
  }
}

double
plan_total(const PlanTable* table, const double* mass)
{
  double lane[4] = {0.0, 0.0, 0.0, 0.0};
  int c = 0;
  for (; c + 4 <= table->n_classes; c += 4) {
    lane[0] += mass[c];
    lane[1] += mass[c + 1];
    lane[2] += mass[c + 2];
    lane[3] += mass[c + 3];
  }
  for (int k = 0; c < table->n_classes; ++c, ++k) {
    lane[k] += mass[c];
  }
  return (lane[0] + lane[2]) + (lane[1] + lane[3]);
}

static bool
table_rooms(PlanTable* table, Arena* arena)
{
  const size_t n_usable = (size_t)table->n_usable;
  const size_t n_classes = (size_t)table->n_classes;
  table->class_first = arena_array(arena, n_classes + 1, sizeof(int));
  table->mass = arena_array(arena, n_classes, sizeof(double));
  table->cover_first = arena_array(arena, n_usable + 1, sizeof(int));
  table->cover = arena_array(arena, n_usable * n_classes, sizeof(int));
  table->cover_fixes = arena_array(arena, n_usable * n_classes, sizeof(double));
  table->overlap_first = arena_array(arena, n_usable + 1, sizeof(int));
  table->overlap = arena_array(arena, n_usable * n_usable, sizeof(int));
  table->from = arena_array(arena, (size_t)table->problem->n_zones * n_usable, sizeof(PlanReach));
  table->done = arena_array(arena, n_usable, sizeof(bool));
  table->mends = arena_array(arena, n_usable, sizeof(double));
  table->open = arena_array(arena, n_usable, sizeof(int));
  table->able = arena_array(arena, n_usable, sizeof(uint32_t));
  table->now = arena_array(arena, n_usable, sizeof(PlanReach));
  return table->class_first && table->mass && table->cover_first && table->cover &&
         table->cover_fixes && table->overlap_first && table->overlap && table->from &&
         table->done && table->mends && table->open && table->able && table->now;
}

static bool
share_a_class(const PlanTable* table, int u, int v)
{
  int i = table->cover_first[u];
  int k = table->cover_first[v];
  while (i < table->cover_first[u + 1] && k < table->cover_first[v + 1]) {
    if (table->cover[i] == table->cover[k]) {
      return true;
    }
    // Both lists rise
    if (table->cover[i] < table->cover[k]) {
      ++i;
    } else {
      ++k;
    }
  }
  return false;
}

static void
find_overlaps(PlanTable* table)
{
  int n = 0;
  for (int u = 0; u < table->n_usable; ++u) {
    for (int v = 0; v < table->n_usable; ++v) {
      if (v != u && share_a_class(table, u, v)) {
        table->overlap[n++] = v;
      }
    }
    table->overlap_first[u + 1] = n;
  }
}

static void
measure_walks(PlanTable* table)
{
  const PolicyProblem* const problem = table->problem;
  for (int z = 0; z < problem->n_zones; ++z) {
    for (int u = 0; u < table->n_usable; ++u) {
      const PolicyRepair* const repair = &problem->repairs[table->usable[u]];
      PlanReach* const reach = &table->from[z * table->n_usable + u];
      reach->person = -1;
      reach->walk_s = plan_walk(problem, z, repair->zone);
      reach->own_s = reach->walk_s + repair->seconds + problem->verify_s;
    }
  }
}

Status
plan_init(PlanTable* table, const PolicyProblem* problem, Arena* arena)
{
  if (!plan_sound(problem)) {
    return STATUS_BAD_ARG;
  }
  const size_t n_hyps = (size_t)problem->n_hyps;
  const size_t n_repairs = (size_t)problem->n_repairs;
  PlanTable t = {.problem = problem,
                 .row_of = arena_array(arena, n_hyps, sizeof(int)),
                 .usable = arena_array(arena, n_repairs, sizeof(int))};
  int* const class_of = arena_array(arena, n_hyps, sizeof(int));
  int* const member = arena_array(arena, n_hyps, sizeof(int));
  const double** const fixes = arena_array(arena, n_repairs, sizeof(double*));
  if (!t.row_of || !t.usable || !class_of || !member || !fixes) {
    return STATUS_NO_MEMORY;
  }
  for (int r = 0; r < problem->n_repairs; ++r) {
    if (problem->repairs[r].allowed && plan_able(problem, problem->repairs[r].people)) {
      fixes[t.n_usable] = problem->repairs[r].fixes;
      t.usable[t.n_usable++] = r;
    }
  }
  Status st = STATUS_OK;
  TRY(st, plan_group_columns(arena, fixes, t.n_usable, problem->n_hyps, class_of, &t.n_classes));
  if (!table_rooms(&t, arena)) {
    return STATUS_NO_MEMORY;
  }
  for (int h = problem->n_hyps - 1; h >= 0; --h) {
    member[class_of[h]] = h; // The first of its class
    ++t.class_first[class_of[h] + 1];
  }
  for (int u = 0; u < t.n_usable; ++u) {
    t.able[u] = plan_able(problem, problem->repairs[t.usable[u]].people);
    int n = t.cover_first[u];
    for (int c = 0; c < t.n_classes; ++c) {
      const double part = fixes[u][member[c]];
      if (part != 0.0) {
        t.cover[n] = c;
        t.cover_fixes[n++] = part;
      }
    }
    t.cover_first[u + 1] = n;
  }
  find_overlaps(&t);
  measure_walks(&t);
  for (int c = 0; c < t.n_classes; ++c) {
    const int whole = (t.class_first[c + 1] + PLAN_LANES - 1) / PLAN_LANES * PLAN_LANES;
    t.class_first[c + 1] = t.class_first[c] + whole;
    member[c] = t.class_first[c];
  }
  t.n_rows = t.class_first[t.n_classes];
  for (int h = 0; h < problem->n_hyps; ++h) {
    t.row_of[h] = member[class_of[h]]++;
  }
  t.prior = arena_array(arena, (size_t)t.n_rows, sizeof(double));
  t.prior_mass = arena_array(arena, (size_t)t.n_classes, sizeof(double));
  if (!t.prior || !t.prior_mass) {
    return STATUS_NO_MEMORY;
  }
  plan_spread(&t, problem->prob, t.prior);
  plan_weigh(&t, t.prior, NULL, t.prior_mass);
  *table = t;
  return STATUS_OK;
}

// ---- People ----

double
plan_walk(const PolicyProblem* problem, int from, int to)
{
  return to == POLICY_ANYWHERE ? 0.0 : problem->walk_s[from * problem->n_zones + to];
}

uint32_t
plan_able(const PolicyProblem* problem, uint32_t people)
{
  return people & problem->free_people & (UINT32_MAX >> (POLICY_MAX_PEOPLE - problem->n_people));
}

int
plan_nearest(const PolicyProblem* problem, const PlanPlaces* places, uint32_t people, int zone,
             double* walk_s)
{
  uint32_t able = plan_able(problem, people);
  int best = -1;
  for (int p = 0; able; ++p, able >>= 1) {
    const double w = able & 1u ? plan_walk(problem, places->zone[p], zone) : HUGE_VAL;
    if (able & 1u && (best < 0 || w < *walk_s)) {
      best = p;
      *walk_s = w;
    }
  }
  return best;
}

void
plan_move(PlanPlaces* places, int person, int zone)
{
  if (zone != POLICY_ANYWHERE) {
    places->zone[person] = zone;
  }
}

PlanPlaces
plan_places(const PolicyProblem* problem)
{
  PlanPlaces places = {{0}};
  memcpy(places.zone, problem->person_zone, (size_t)problem->n_people * sizeof(int));
  return places;
}

// ---- Plans of repairs ----

PlanReach
plan_reach_of(const PlanTable* table, const PlanPlaces* places, int u)
{
  PlanReach reach = {0.0, 0.0, -1};
  uint32_t able = table->able[u];
  for (int person = 0; able; ++person, able >>= 1) {
    if (able & 1u) {
      const PlanReach* const theirs = &table->from[places->zone[person] * table->n_usable + u];
      if (reach.person < 0 || theirs->walk_s < reach.walk_s) {
        reach = *theirs;
        reach.person = person;
      }
    }
  }
  return reach;
}

void
plan_reach(const PlanTable* table, const PlanPlaces* places, PlanReach* reach)
{
  for (int u = 0; u < table->n_usable; ++u) {
    reach[u] = plan_reach_of(table, places, u);
  }
}

PolicyAction
plan_repair(const PlanTable* table, const PlanPlaces* places, int u)
{
  const PlanReach reach = plan_reach_of(table, places, u);
  return (PolicyAction){POLICY_REPAIR, table->usable[u], reach.person, reach.walk_s, reach.own_s};
}

bool
plan_service(const PolicyProblem* problem, const PlanPlaces* places, PolicyAction* action)
{
  const PolicyService* const service = &problem->service;
  *action = (PolicyAction){.kind = POLICY_SERVICE, .person = -1};
  if (service->allowed) {
    action->person = plan_nearest(problem, places, service->people, service->zone, &action->walk_s);
    action->own_s = action->walk_s + service->seconds;
  }
  return action->person >= 0;
}

double
plan_apply(const PlanTable* table, int u, double* mass)
{
  double gone = 0.0;
  for (int i = table->cover_first[u]; i < table->cover_first[u + 1]; ++i) {
    const double part = mass[table->cover[i]] * table->cover_fixes[i];
    gone += part;
    mass[table->cover[i]] *= 1.0 - table->cover_fixes[i];
  }
  return gone;
}

void
plan_direct(const PlanTable* table, const PlanPlaces* places, const PlanReach* reach,
            double* direct_s)
{
  PolicyAction service;
  const bool served = plan_service(table->problem, places, &service);
  for (int c = 0; c < table->n_classes; ++c) {
    direct_s[c] = served ? service.own_s : HUGE_VAL;
  }
  for (int u = 0; u < table->n_usable; ++u) {
    if (table->done[u]) {
      continue;
    }
    for (int i = table->cover_first[u]; i < table->cover_first[u + 1]; ++i) {
      const double s = reach[u].own_s / table->cover_fixes[i];
      direct_s[table->cover[i]] = s < direct_s[table->cover[i]] ? s : direct_s[table->cover[i]];
    }
  }
  for (int c = 0; c < table->n_classes; ++c) {
    direct_s[c] = direct_s[c] == HUGE_VAL ? 0.0 : direct_s[c];
  }
}
