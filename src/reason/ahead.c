// SPDX-License-Identifier: GPL-3.0-or-later
#include "reason/ahead.h"

#include "reason/entropy.h"
#include "reason/greedy.h"

#include <math.h>
#include <string.h>

/*
  Values are in mass: seconds times the probability of getting there, chances as probability of
  getting there and being done. Nothing is normalised on the way, so outcomes simply add.

  Most of the time goes into the last step: for every check, every outcome's class masses (a dot
  product over the hypotheses) and a leaf. Two bounds save what cannot win: an action whose own
  seconds and cheapest direct repairs already cost more than the best so far is not looked at, and
  one is dropped as soon as the outcomes priced so far do.
*/

typedef struct {
  double seconds;
  double chance;
} Worth;

/// An action at a node, for one person.
typedef struct {
  PolicyAction action;
  int zone;
  int usable; ///< Repairs: index in the table's usable ones
  Worth worth;
} Candidate;

/// What is within reach of everybody once one person has moved, for all steps that move them there.
typedef struct {
  long node, direct_node; ///< Which node each was worked out for
  PlanReach* reach;       ///< [n_usable]
  double* direct;         ///< [n_classes]
} Spot;

/// Room for one node under way.
typedef struct {
  long node;        ///< Counted through the whole search
  double* rows;     ///< [n_rows] the child being looked at
  double* mass;     ///< [n_classes] the node's
  double* outcomes; ///< [POLICY_MAX_OUTCOMES][n_classes]
  Spot* spots;      ///< [n_people][n_zones]
  const Spot* spot; ///< Where the step being looked at leads
  PlanReach* reach; ///< [n_usable] from where people stand at the node
  Candidate* candidates;
} Level;

typedef struct {
  const PolicyProblem* problem;
  PolicyGoal goal;
  PlanTable table;
  const double** like;  ///< [n_checks] rows of its outcomes, one after the other
  const double** first; ///< [n_checks] class masses of its outcomes when it is made now
  bool* checked;        ///< [n_checks] on this path
  double kappa_s;       ///< Seconds per bit; 0 = ECR alone
  bool clocked;
  long n_leaves, budget; ///< budget 0 = none
  long n_nodes;
  bool is_over;                  ///< Beyond the budget: whatever comes back counts for nothing
  Level levels[AHEAD_MAX_DEPTH]; ///< As many as steps are looked ahead
} Search;

AheadOptions
ahead_one_step(void)
{
  return (AheadOptions){.depth = 1, .beam = 1, .deep_beam = 1};
}

AheadOptions
ahead_usual(void)
{
  return (AheadOptions){.depth = 4, .beam = 8, .deep_beam = 3, .n_leaves = 20000, .kappa = 0.0};
}

/// Microseconds and 1e-9 of chance: what differs by less is a tie.
static double
rounded(double x, double steps)
{
  return nearbyint(x * steps);
}

static int
compare(PolicyGoal goal, Worth a, Worth b)
{
  const double chance = rounded(b.chance, 1e9) - rounded(a.chance, 1e9);
  if (goal == POLICY_BY_CHANCE && chance != 0.0) {
    return chance < 0.0 ? -1 : 1;
  }
  const double seconds = rounded(a.seconds, 1e6) - rounded(b.seconds, 1e6);
  return seconds < 0.0 ? -1 : seconds > 0.0;
}

static double
dot(const double* a, const double* b, int n)
{
  double sum = 0.0;
  for (int i = 0; i < n; ++i) {
    sum += a[i] * b[i];
  }
  return sum;
}

/// Seconds of a leaf, followed only until they are `at_most`.
static double
leaf_seconds(Search* s, const Level* level, const double* mass, const PlanPlaces* places,
             double at_most)
{
  const int n = s->table.n_classes;
  double seconds = HUGE_VAL;
  if (s->kappa_s > 0.0) {
    seconds = s->kappa_s * entropy_bits(mass, n, plan_total(&s->table, mass)) +
              dot(mass, level->spot->direct, n);
    at_most = seconds < at_most ? seconds : at_most;
  }
  const double ecr = greedy_cost(&s->table, mass, places, level->spot->reach, at_most, NULL);
  return ecr < seconds ? ecr : seconds;
}

static double
leaf_chance(Search* s, const Level* level, const double* mass, const PlanPlaces* places,
            double left_s)
{
  ++s->n_leaves;
  s->is_over = s->is_over || (s->budget > 0 && s->n_leaves > s->budget);
  return s->clocked ? greedy_in_time(&s->table, mass, places, level->spot->reach, left_s) : 0.0;
}

/// What is within reach once `person` stands elsewhere: the same for every step of the node that
/// leads there, and for each of its outcomes. Only the repair being tried has its own `direct`, as
/// it leaves its classes to others; only the entropy leaf asks for it.
static void
reach_on(Search* s, Level* level, const PlanPlaces* places, const PolicyAction* action)
{
  Spot* const spot =
    &level->spots[action->person * s->problem->n_zones + places->zone[action->person]];
  if (spot->node != level->node) {
    plan_reach(&s->table, places, spot->reach);
    spot->node = level->node;
  }
  const bool is_own = action->kind == POLICY_REPAIR;
  if (is_own ? s->kappa_s > 0.0 : spot->direct_node != level->node) {
    plan_direct(&s->table, places, spot->reach, spot->direct);
    spot->direct_node = is_own ? 0 : level->node;
  }
  level->spot = spot;
}

/// What the outcomes so far leave for the last one; where that is nothing, rounding may not make it
/// less.
static void
take_away(const double* mass, int n, double* left)
{
  for (int c = 0; c < n; ++c) {
    const double rest = left[c] - mass[c];
    left[c] = rest > 0.0 ? rest : 0.0;
  }
}

/// Class masses of each outcome of a check from `rows` into `level->outcomes`; what is known (the
/// first step) is handed out as it stands.
static const double*
outcomes_of(const Search* s, const Level* level, const double* rows, int index)
{
  const int n = s->table.n_classes;
  const int last = s->problem->checks[index].n_outcomes - 1;
  if (rows == s->table.prior) {
    return s->first[index];
  }
  double* const left = level->outcomes + (size_t)last * n;
  memcpy(left, level->mass, (size_t)n * sizeof(double));
  for (int o = 0; o < last; ++o) {
    double* const mass = level->outcomes + (size_t)o * n;
    plan_weigh(&s->table, rows, s->like[index] + (size_t)o * s->table.n_rows, mass);
    take_away(mass, n, left);
  }
  return level->outcomes;
}

/// Worth of a candidate read off at leaves right behind it. With `limit` it is given up (seconds
/// HUGE_VAL, the chance at most what it has) as soon as it cannot be better than that.
static Worth
step_once(Search* s, Level* level, const double* rows, const PlanPlaces* from, double left_s,
          const Candidate* c, double total, const Worth* limit)
{
  const PolicyAction* const a = &c->action;
  Worth worth = {total * a->own_s, 0.0};
  const bool in_time = a->own_s <= left_s;
  if (a->kind == POLICY_SERVICE) {
    worth.chance = s->clocked && in_time ? total : 0.0;
    return worth;
  }
  PlanPlaces places = *from;
  plan_move(&places, a->person, c->zone);
  const int n = s->table.n_classes;
  left_s -= a->own_s;
  if (a->kind == POLICY_REPAIR) {
    memcpy(level->outcomes, level->mass, (size_t)n * sizeof(double));
    const double mended = plan_apply(&s->table, c->usable, level->outcomes);
    s->table.done[c->usable] = true;
    reach_on(s, level, &places, a);
    worth.chance = leaf_chance(s, level, level->outcomes, &places, left_s) +
                   (s->clocked && in_time ? mended : 0.0);
    worth.seconds += leaf_seconds(s, level, level->outcomes, &places, HUGE_VAL);
    s->table.done[c->usable] = false;
    return worth;
  }
  const bool by_seconds = limit && s->goal == POLICY_BY_SECONDS;
  reach_on(s, level, &places, a);
  if (by_seconds && worth.seconds + dot(level->mass, level->spot->direct, n) > limit->seconds) {
    worth.seconds = HUGE_VAL;
    return worth;
  }
  const int n_outcomes = s->problem->checks[a->index].n_outcomes;
  const double* const outcomes = outcomes_of(s, level, rows, a->index);
  for (int o = 0; o < n_outcomes; ++o) {
    worth.chance += leaf_chance(s, level, outcomes + (size_t)o * n, &places, left_s);
  }
  if (limit && !by_seconds && compare(s->goal, (Worth){0.0, worth.chance}, *limit) > 0) {
    worth.seconds = HUGE_VAL;
    return worth;
  }
  const double most = by_seconds ? limit->seconds : HUGE_VAL;
  for (int o = 0; o < n_outcomes && worth.seconds <= most; ++o) {
    worth.seconds +=
      leaf_seconds(s, level, outcomes + (size_t)o * n, &places, most - worth.seconds);
  }
  worth.seconds = worth.seconds <= most ? worth.seconds : HUGE_VAL;
  return worth;
}

static void
swap_in(Candidate* list, int n, PolicyGoal goal)
{
  // The list is short and its order on equal values must be kept: insertion.
  for (int i = 1; i < n; ++i) {
    const Candidate moving = list[i];
    int k = i;
    for (; k > 0 && compare(goal, moving.worth, list[k - 1].worth) < 0; --k) {
      list[k] = list[k - 1];
    }
    list[k] = moving;
  }
}

/// Every action somebody could do from here: checks, repairs, the service. With `person` -1 the
/// nearest one does it. Returns how many.
static int
gather(Search* s, const PlanPlaces* places, int person, Candidate* list)
{
  const PolicyProblem* const p = s->problem;
  int n = 0;
  for (int i = 0; i < p->n_checks; ++i) {
    const PolicyCheck* const check = &p->checks[i];
    if (!check->allowed || s->checked[i]) {
      continue;
    }
    Candidate c = {.action = {.kind = POLICY_CHECK, .index = i, .person = person},
                   .zone = check->zone};
    if (person < 0) {
      c.action.person = plan_nearest(p, places, check->people, check->zone, &c.action.walk_s);
    } else {
      c.action.walk_s = plan_walk(p, places->zone[person], check->zone);
    }
    c.action.own_s = c.action.walk_s + check->seconds;
    if (c.action.person >= 0 && (plan_able(p, check->people) >> c.action.person & 1u)) {
      list[n++] = c;
    }
  }
  for (int u = 0; u < s->table.n_usable; ++u) {
    const PolicyRepair* const repair = &p->repairs[s->table.usable[u]];
    Candidate c = {.usable = u, .zone = repair->zone};
    if (s->table.done[u] || (person >= 0 && !(plan_able(p, repair->people) >> person & 1u))) {
      continue;
    }
    c.action = plan_repair(&s->table, places, u);
    if (person >= 0) {
      c.action.person = person;
      c.action.walk_s = plan_walk(p, places->zone[person], repair->zone);
      c.action.own_s = c.action.walk_s + repair->seconds + p->verify_s;
    }
    list[n++] = c;
  }
  Candidate service = {.zone = p->service.zone};
  if (plan_service(p, places, &service.action) &&
      (person < 0 || (plan_able(p, p->service.people) >> person & 1u))) {
    if (person >= 0) {
      service.action.person = person;
      service.action.walk_s = plan_walk(p, places->zone[person], p->service.zone);
      service.action.own_s = service.action.walk_s + p->service.seconds;
    }
    list[n++] = service;
  }
  return n;
}

static Worth
node(Search* s, int at, const double* rows, const PlanPlaces* places, double left_s, int depth,
     int beam);

/// Worth of a candidate with `depth` >= 1 further steps behind it.
static Worth
step_on(Search* s, int at, const double* rows, const PlanPlaces* from, double left_s,
        const Candidate* c, double total, int depth, int beam)
{
  Level* const level = &s->levels[at];
  const PolicyAction* const a = &c->action;
  Worth worth = {total * a->own_s, 0.0};
  const bool in_time = a->own_s <= left_s;
  if (a->kind == POLICY_SERVICE) {
    worth.chance = s->clocked && in_time ? total : 0.0;
    return worth;
  }
  PlanPlaces places = *from;
  plan_move(&places, a->person, c->zone);
  left_s -= a->own_s;
  const PlanTable* const table = &s->table;
  if (a->kind == POLICY_REPAIR) {
    memcpy(level->rows, rows, (size_t)table->n_rows * sizeof(double));
    double mended = 0.0;
    for (int i = table->cover_first[c->usable]; i < table->cover_first[c->usable + 1]; ++i) {
      const int class = table->cover[i];
      mended += level->mass[class] * table->cover_fixes[i];
      for (int r = table->class_first[class]; r < table->class_first[class + 1]; ++r) {
        level->rows[r] *= 1.0 - table->cover_fixes[i];
      }
    }
    s->table.done[c->usable] = true;
    const Worth rest = node(s, at + 1, level->rows, &places, left_s, depth, beam);
    s->table.done[c->usable] = false;
    worth.seconds += rest.seconds;
    worth.chance = rest.chance + (s->clocked && in_time ? mended : 0.0);
    return worth;
  }
  const PolicyCheck* const check = &s->problem->checks[a->index];
  s->checked[a->index] = true;
  for (int o = 0; o < check->n_outcomes && !s->is_over; ++o) {
    const double* const like = s->like[a->index] + (size_t)o * table->n_rows;
    for (int r = 0; r < table->n_rows; ++r) {
      level->rows[r] = rows[r] * like[r];
    }
    const Worth rest = node(s, at + 1, level->rows, &places, left_s, depth, beam);
    worth.seconds += rest.seconds;
    worth.chance += rest.chance;
  }
  s->checked[a->index] = false;
  return worth;
}

/// The best that can be done from a node, looking `depth` >= 1 steps ahead: any action, or no more
/// checks at all.
static Worth
node(Search* s, int at, const double* rows, const PlanPlaces* places, double left_s, int depth,
     int beam)
{
  Level* const level = &s->levels[at];
  level->node = ++s->n_nodes;
  plan_weigh(&s->table, rows, NULL, level->mass);
  const double total = plan_total(&s->table, level->mass);
  Worth best = {0.0, 0.0};
  if (!(total > 0.0)) {
    return best;
  }
  plan_reach(&s->table, places, level->reach);
  best.seconds = greedy_cost(&s->table, level->mass, places, level->reach, HUGE_VAL, NULL);
  best.chance =
    s->clocked ? greedy_in_time(&s->table, level->mass, places, level->reach, left_s) : 0.0;
  const int n = gather(s, places, -1, level->candidates);
  for (int i = 0; i < n && !s->is_over; ++i) {
    Candidate* const c = &level->candidates[i];
    c->worth = step_once(s, level, rows, places, left_s, c, total, depth == 1 ? &best : NULL);
    if (depth == 1 && compare(s->goal, c->worth, best) < 0) {
      best = c->worth;
    }
  }
  if (depth == 1 || s->is_over) {
    return best;
  }
  swap_in(level->candidates, n, s->goal);
  for (int i = 0; i < n && i < beam && !s->is_over; ++i) {
    const Worth worth =
      step_on(s, at, rows, places, left_s, &level->candidates[i], total, depth - 1, beam);
    if (compare(s->goal, worth, best) < 0) {
      best = worth;
    }
  }
  return best;
}

/// Seconds per bit of the best check from here; 0 when none tells anything.
static double
seconds_per_bit(const Search* s, const Level* level, const Candidate* list, int n)
{
  const double total = plan_total(&s->table, level->mass);
  const double now = entropy_bits(level->mass, s->table.n_classes, total);
  double best = 0.0;
  for (int i = 0; i < n; ++i) {
    const PolicyAction* const a = &list[i].action;
    if (a->kind != POLICY_CHECK) {
      continue;
    }
    const PolicyCheck* const check = &s->problem->checks[a->index];
    double after = 0.0;
    for (int o = 0; o < check->n_outcomes; ++o) {
      const double* const mass = s->first[a->index] + (size_t)o * s->table.n_classes;
      after += entropy_bits(mass, s->table.n_classes, plan_total(&s->table, mass));
    }
    const double told = now - after;
    const double rate = told > 1e-9 ? told / (a->own_s > 1e-3 ? a->own_s : 1e-3) : 0.0;
    best = rate > best ? rate : best;
  }
  return best > 0.0 ? 1.0 / best : 0.0;
}

/// The likelihoods by row; false when there is no memory or a check's outcomes do not add up.
static Status
take_checks(Search* s, Arena* arena)
{
  const PolicyProblem* const p = s->problem;
  const size_t n_rows = (size_t)s->table.n_rows;
  const size_t n_classes = (size_t)s->table.n_classes;
  size_t n_outcomes = 0;
  for (int i = 0; i < p->n_checks; ++i) {
    n_outcomes += (size_t)p->checks[i].n_outcomes;
  }
  s->like = arena_array(arena, (size_t)p->n_checks, sizeof(double*));
  s->first = arena_array(arena, (size_t)p->n_checks, sizeof(double*));
  s->checked = arena_array(arena, (size_t)p->n_checks, sizeof(bool));
  double* rows = arena_array(arena, n_outcomes * n_rows, sizeof(double));
  double* mass = arena_array(arena, n_outcomes * n_classes, sizeof(double));
  if (!s->like || !s->first || !s->checked || !rows || !mass) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < p->n_checks; ++i) {
    const PolicyCheck* const check = &p->checks[i];
    if (!check->allowed || !plan_able(p, check->people)) {
      s->checked[i] = true; // Out of the question on every path
      continue;
    }
    s->like[i] = rows;
    s->first[i] = mass;
    double sum = 0.0;
    for (int o = 0; o < check->n_outcomes; ++o) {
      plan_spread(&s->table, check->like + (size_t)o * p->n_hyps, rows);
      plan_weigh(&s->table, s->table.prior, rows, mass);
      sum += plan_total(&s->table, mass);
      rows += n_rows;
      mass += n_classes;
    }
    if (!(fabs(sum - plan_total(&s->table, s->table.prior_mass)) <= 1e-6)) {
      return STATUS_BAD_ARG;
    }
  }
  return STATUS_OK;
}

static Status
take_levels(Search* s, int depth, Arena* arena)
{
  const PolicyProblem* const p = s->problem;
  const size_t n_classes = (size_t)s->table.n_classes;
  // At the first step every person is tried for every action.
  const size_t n_actions = (size_t)p->n_checks + (size_t)p->n_repairs + 1;
  const size_t n_spots = (size_t)p->n_people * (size_t)p->n_zones;
  for (int i = 0; i < depth; ++i) {
    Level* const level = &s->levels[i];
    level->rows = arena_array(arena, (size_t)s->table.n_rows, sizeof(double));
    level->mass = arena_array(arena, n_classes, sizeof(double));
    level->outcomes = arena_array(arena, n_classes * POLICY_MAX_OUTCOMES, sizeof(double));
    level->spots = arena_array(arena, n_spots, sizeof(Spot));
    level->reach = arena_array(arena, (size_t)s->table.n_usable, sizeof(PlanReach));
    level->candidates = arena_array(arena, n_actions, sizeof(Candidate));
    if (!level->rows || !level->mass || !level->outcomes || !level->spots || !level->reach ||
        !level->candidates) {
      return STATUS_NO_MEMORY;
    }
    for (size_t k = 0; k < n_spots; ++k) {
      level->spots[k].reach = arena_array(arena, (size_t)s->table.n_usable, sizeof(PlanReach));
      level->spots[k].direct = arena_array(arena, n_classes, sizeof(double));
      if (!level->spots[k].reach || !level->spots[k].direct) {
        return STATUS_NO_MEMORY;
      }
    }
  }
  return STATUS_OK;
}

/// First step for every person who can: each action once in `list`, with the best person.
static int
first_steps(Search* s, const PlanPlaces* places, double left_s, double total, Candidate* list)
{
  const PolicyProblem* const p = s->problem;
  Level* const level = &s->levels[0];
  int n = 0;
  level->node = ++s->n_nodes;
  for (int person = 0; person < p->n_people; ++person) {
    const int m = gather(s, places, person, level->candidates);
    for (int i = 0; i < m; ++i) {
      Candidate c = level->candidates[i];
      c.worth = step_once(s, level, s->table.prior, places, left_s, &c, total, NULL);
      int k = 0;
      while (k < n &&
             (list[k].action.kind != c.action.kind || list[k].action.index != c.action.index)) {
        ++k;
      }
      const int order = k == n ? -1 : compare(s->goal, c.worth, list[k].worth);
      if (order < 0 || (order == 0 && c.action.walk_s < list[k].action.walk_s)) {
        list[k] = c;
      }
      n += k == n;
    }
  }
  return n;
}

static int
before(const Candidate* a, const Candidate* b)
{
  return a->action.kind != b->action.kind ? a->action.kind < b->action.kind
                                          : a->action.index < b->action.index;
}

/// The order ties are settled in: checks, repairs, the service, each by index.
static void
by_index(Candidate* list, int n)
{
  for (int i = 1; i < n; ++i) {
    const Candidate moving = list[i];
    int k = i;
    for (; k > 0 && before(&moving, &list[k - 1]); --k) {
      list[k] = list[k - 1];
    }
    list[k] = moving;
  }
}

/// Open the first `beam` of the list `depth` further steps, and whatever else still looks better
/// than the best of those opened; sort those by what came out and leave the rest behind them.
/// False, and nothing changed, when the budget ran out.
static bool
look_on(Search* s, const PlanPlaces* places, double left_s, double total, Candidate* list, int n,
        int depth, int beam, Candidate* room)
{
  int m = 0;
  Worth best = {HUGE_VAL, -1.0};
  for (; m < n && (m < beam || compare(s->goal, list[m].worth, best) < 0); ++m) {
    room[m] = list[m];
    room[m].worth = step_on(s, 0, s->table.prior, places, left_s, &list[m], total, depth, beam);
    if (s->is_over) {
      return false;
    }
    best = compare(s->goal, room[m].worth, best) < 0 ? room[m].worth : best;
  }
  by_index(room, m);
  swap_in(room, m, s->goal);
  memcpy(list, room, (size_t)m * sizeof(Candidate));
  return true;
}

static bool
options_are_sound(const AheadOptions* o)
{
  return o->depth >= 1 && o->depth <= AHEAD_MAX_DEPTH && o->beam >= 1 && o->deep_beam >= 1 &&
         o->n_leaves >= 0 && o->kappa >= 0.0 && isfinite(o->kappa);
}

Status
ahead_rank(const PolicyProblem* problem, PolicyGoal goal, const AheadOptions* options, Arena* arena,
           AheadAnswer* answer)
{
  Status st = STATUS_OK;
  Search s = {.problem = problem, .goal = goal};
  if (!options_are_sound(options)) {
    return STATUS_BAD_ARG;
  }
  TRY(st, plan_init(&s.table, problem, arena));
  TRY(st, take_levels(&s, options->depth, arena));
  TRY(st, take_checks(&s, arena));
  const size_t n_most = (size_t)problem->n_checks + (size_t)problem->n_repairs + 1;
  Candidate* const list = arena_array(arena, n_most, sizeof(Candidate));
  Candidate* const room = arena_array(arena, n_most, sizeof(Candidate));
  PolicyChoice* const choices = arena_array(arena, n_most, sizeof(PolicyChoice));
  if (!list || !room || !choices) {
    return STATUS_NO_MEMORY;
  }
  s.clocked = problem->deadline_s > 0.0;
  const double left_s = s.clocked ? problem->deadline_s : HUGE_VAL;
  const PlanPlaces places = plan_places(problem);
  Level* const top = &s.levels[0];
  memcpy(top->mass, s.table.prior_mass, (size_t)s.table.n_classes * sizeof(double));
  const double total = plan_total(&s.table, top->mass);
  if (options->kappa > 0.0) {
    const int m = gather(&s, &places, -1, top->candidates);
    s.kappa_s = options->kappa * seconds_per_bit(&s, top, top->candidates, m);
  }
  const int n = first_steps(&s, &places, left_s, total, list);
  by_index(list, n);
  swap_in(list, n, goal);
  int depth = 1;
  if (options->depth >= 2) {
    (void)look_on(&s, &places, left_s, total, list, n, 1, options->beam, room);
    depth = 2;
  }
  s.budget = options->n_leaves;
  s.is_over = s.n_leaves > s.budget;
  while (depth >= 2 && depth < options->depth && !s.is_over &&
         look_on(&s, &places, left_s, total, list, n, depth, options->deep_beam, room)) {
    ++depth;
  }
  for (int i = 0; i < n; ++i) {
    choices[i] = (PolicyChoice){list[i].action, list[i].worth.seconds, list[i].worth.chance};
  }
  *answer = (AheadAnswer){choices, n, depth, s.n_leaves};
  return STATUS_OK;
}
