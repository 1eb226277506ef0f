// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/rehearse.h"

#include "day/crew.h"
#include "reason/ahead.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { HOME_DESK = 0 }; ///< Where the engineer stands who notices: the first on the list
enum { MAX_SEEN = 64, MAX_STEPS = 48, MAX_PEOPLE = 2 };

/// One run under way.
typedef struct {
  Arena* arena; ///< Of the run
  const Situation* base;
  const RehearseOptions* options;
  World world;
  RehearseRule rule;
  NextPerson* people;
  NextOptions next;
  Seen seen[MAX_SEEN];
  int n_seen;
  double spent_s;
  const Situation* s; ///< After what was seen so far
  NextProblem now;
  RehearseTrust* trust;
} Run;

const char*
rehearse_rule_word(RehearseRule rule)
{
  static const char* const words[REHEARSE_RULES] = {"ours",       "one-step", "odds-over-cost",
                                                    "half-split", "habit",    "floor"};
  return words[rule];
}

void
rehearse_without_paper(Plant* plant)
{
  plant->desk_rows = NULL;
  plant->n_desk_rows = 0;
}

// ---- Rules ----

static PolicyAction
nothing(void)
{
  return (PolicyAction){.kind = POLICY_SERVICE, .person = -1};
}

/// The action with a walk from where its nearest person stands; person -1 when nobody can.
static PolicyAction
action_of(const PolicyProblem* p, PolicyKind kind, int index)
{
  const bool check = kind == POLICY_CHECK;
  const bool repair = kind == POLICY_REPAIR;
  const uint32_t people = (check    ? p->checks[index].people
                           : repair ? p->repairs[index].people
                                    : p->service.people) &
                          p->free_people;
  const int zone = check    ? p->checks[index].zone
                   : repair ? p->repairs[index].zone
                            : p->service.zone;
  PolicyAction a = {.kind = kind, .index = index, .person = -1};
  for (int i = 0; i < p->n_people; ++i) {
    const double walk =
      zone == POLICY_ANYWHERE ? 0.0 : p->walk_s[p->person_zone[i] * p->n_zones + zone];
    if ((people >> i & 1u) && (a.person < 0 || walk < a.walk_s)) {
      a.person = i;
      a.walk_s = walk;
    }
  }
  a.own_s = a.walk_s + (check    ? p->checks[index].seconds
                        : repair ? p->repairs[index].seconds + p->verify_s
                                 : p->service.seconds);
  return a;
}

static Status
by_looking_ahead(Run* r, bool once, PolicyAction* action)
{
  const AheadOptions options = once ? ahead_one_step() : ahead_usual();
  AheadAnswer answer = {0};
  PolicyProblem merged;
  Status st = STATUS_OK;
  TRY(st, policy_merge(&r->now.problem, r->arena, &merged, NULL));
  TRY(st, ahead_rank(&merged, merged.deadline_s > 0.0 ? POLICY_BY_CHANCE : POLICY_BY_SECONDS,
                     &options, r->arena, &answer));
  *action = answer.n_choices ? answer.choices[0].action : nothing();
  return STATUS_OK;
}

static bool
has_check(const Run* r, CheckSort sort, int desk, PolicyAction* action)
{
  for (int i = 0; i < r->now.problem.n_checks; ++i) {
    if (r->now.checks[i].sort == sort && r->now.checks[i].desk == desk) {
      *action = action_of(&r->now.problem, POLICY_CHECK, i);
      return action->person >= 0;
    }
  }
  return false;
}

static bool
has_repair(const Run* r, RepairSort sort, int desk, PolicyAction* action)
{
  for (int i = 0; i < r->now.problem.n_repairs; ++i) {
    if (r->now.repairs[i] == sort && (desk < 0 || r->now.repair_desks[i] == desk)) {
      *action = action_of(&r->now.problem, POLICY_REPAIR, i);
      return action->person >= 0;
    }
  }
  return false;
}

static bool
saw(const Run* r, CheckSort sort, int desk, int key)
{
  for (int i = 0; i < r->n_seen; ++i) {
    if (r->seen[i].check.sort == sort && r->seen[i].check.desk == desk && r->seen[i].key == key) {
      return true;
    }
  }
  return false;
}

static Status
by_odds_over_cost(Run* r, PolicyAction* action)
{
  const int home = r->next.home_desk;
  if (has_check(r, CHECK_SEEN, home, action)) {
    return STATUS_OK;
  }
  if (saw(r, CHECK_SEEN, home, SEEN_YES) && has_repair(r, REPAIR_DESK, home, action)) {
    return STATUS_OK;
  }
  for (int d = 0; d < r->base->plant->n_desks; ++d) {
    if (d != home && has_check(r, CHECK_LEVEL, d, action)) {
      bool asked = false; // One other desk is enough
      for (int k = 0; k < r->base->plant->n_desks; ++k) {
        for (int key = LEVEL_NOTHING; key <= LEVEL_OVER; ++key) {
          asked = asked || (k != home && saw(r, CHECK_LEVEL, k, key));
        }
      }
      if (!asked) {
        return STATUS_OK;
      }
    }
  }
  PolicyPlan plan = {0};
  Status st = STATUS_OK;
  TRY(st, policy_ecr(&r->now.problem, r->arena, &plan));
  *action = plan.n_actions ? plan.actions[0] : nothing();
  return STATUS_OK;
}

static void
by_half_split(const Run* r, PolicyAction* action)
{
  const PolicyProblem* const p = &r->now.problem;
  double best_mends = 0.0;
  int best = -1;
  for (int i = 0; i < p->n_repairs; ++i) {
    double mends = 0.0;
    for (int h = 0; h < p->n_hyps; ++h) {
      mends += p->prob[h] * p->repairs[i].fixes[h];
    }
    if (mends > best_mends + 1e-12) {
      best_mends = mends;
      best = i;
    }
  }
  *action = best >= 0 ? action_of(p, POLICY_REPAIR, best) : nothing();
  if (best_mends >= 2.0 / 3.0) {
    return;
  }
  double even = 0.05; // What splits less than this does not split
  for (int i = 0; i < p->n_checks; ++i) {
    double most = 0.0;
    for (int o = 0; o < p->checks[i].n_outcomes; ++o) {
      double sum = 0.0;
      for (int h = 0; h < p->n_hyps; ++h) {
        sum += p->prob[h] * p->checks[i].like[(size_t)o * p->n_hyps + h];
      }
      most = sum > most ? sum : most;
    }
    const PolicyAction a = action_of(p, POLICY_CHECK, i);
    if (a.person >= 0 && 1.0 - most > even + 1e-12) {
      even = 1.0 - most;
      *action = a;
    }
  }
}

static int
attempts(const Run* r, RepairSort sort, int desk)
{
  int n = 0;
  for (int i = 0; i < r->n_seen; ++i) {
    const Seen* const seen = &r->seen[i];
    n += seen->check.sort == CHECK_SWAP && seen->check.desk == desk &&
         !strcmp(seen->item, repair_word(sort));
  }
  return n;
}

/// Everything once, in the order of habit; only then again.
static void
by_habit(const Run* r, PolicyAction* action)
{
  static const RepairSort first[] = {REPAIR_SOURCE, REPAIR_CABLE, REPAIR_SOCKET};
  for (int again = 0; again < 2; ++again) {
    for (size_t i = 0; i < sizeof(first) / sizeof(first[0]); ++i) {
      if (attempts(r, first[i], -1) <= again && has_repair(r, first[i], -1, action)) {
        return;
      }
    }
    for (int d = 0; d < r->base->plant->n_desks; ++d) {
      if (attempts(r, REPAIR_DESK, d) <= again && has_repair(r, REPAIR_DESK, d, action)) {
        return;
      }
    }
    // On, part by part, to the desk
    for (int i = 0; i < r->now.problem.n_repairs && !r->options->goes_round; ++i) {
      *action = action_of(&r->now.problem, POLICY_REPAIR, i);
      if (attempts(r, r->now.repairs[i], r->now.repair_desks[i]) <= again && action->person >= 0) {
        return;
      }
    }
  }
  *action = nothing();
}

static void
by_knowing(const Run* r, PolicyAction* action)
{
  double best_s = HUGE_VAL;
  *action = nothing();
  for (int i = 0; i < r->now.problem.n_repairs; ++i) {
    const PolicyAction a = action_of(&r->now.problem, POLICY_REPAIR, i);
    if (a.person >= 0 && a.own_s < best_s &&
        repair_fixes(r->now.repairs[i], r->now.repair_desks[i], r->world.cause.state,
                     &r->world.cause.fault)) {
      best_s = a.own_s;
      *action = a;
    }
  }
  const PolicyAction service = action_of(&r->now.problem, POLICY_SERVICE, 0);
  if (r->options->goes_round && service.person >= 0 && service.own_s < best_s) {
    *action = nothing();
  }
}

static Status
choose(Run* r, PolicyAction* action)
{
  Status st = STATUS_OK;
  switch (r->rule) {
    case REHEARSE_OURS:
    case REHEARSE_ONE_STEP:
      TRY(st, by_looking_ahead(r, r->rule == REHEARSE_ONE_STEP, action));
      break;
    case REHEARSE_ODDS_OVER_COST:
      TRY(st, by_odds_over_cost(r, action));
      break;
    case REHEARSE_HALF_SPLIT:
      by_half_split(r, action);
      break;
    case REHEARSE_HABIT:
      by_habit(r, action);
      break;
    default:
      by_knowing(r, action);
      break;
  }
  if (action->kind == POLICY_SERVICE) {
    *action = action_of(&r->now.problem, POLICY_SERVICE, 0);
  }
  return STATUS_OK;
}

// ---- A run ----

static Status
take_in(Run* r, Check check, int key, const char* item)
{
  if (r->n_seen < MAX_SEEN) {
    r->seen[r->n_seen++] =
      (Seen){.line = r->world.cause.line, .check = check, .key = key, .item = item};
  }
  Situation* after = NULL;
  Status st = STATUS_OK;
  TRY(st, situation_after(r->arena, r->base, r->seen, r->n_seen, &after));
  r->s = after;
  return STATUS_OK;
}

/// Whether the likeliest part is the one at fault, and at what odds it is called so.
static Status
likeliest(const Run* r, bool* is_right, double* prob)
{
  const Suspect* list = NULL;
  int n = 0;
  Status st = STATUS_OK;
  TRY(st, situation_suspects(r->s, r->arena, r->world.cause.line, &list, &n));
  const Suspect* const top = situation_top(list, n, prob);
  *is_right = top && world_is_part(&r->world, top);
  return STATUS_OK;
}

static Status
act_on(Run* r, const PolicyAction* a, bool* is_done, bool* is_named)
{
  const NextProblem* const now = &r->now;
  const int zone = a->kind == POLICY_CHECK    ? now->problem.checks[a->index].zone
                   : a->kind == POLICY_REPAIR ? now->problem.repairs[a->index].zone
                                              : now->problem.service.zone;
  r->spent_s += a->own_s;
  if (zone != POLICY_ANYWHERE) {
    r->people[a->person].place = zone;
  }
  Status st = STATUS_OK;
  double prob = 0.0;
  if (a->kind == POLICY_SERVICE) {
    *is_done = true;
    return STATUS_OK;
  }
  if (a->kind == POLICY_CHECK) {
    int key = 0;
    TRY(st, world_check(&r->world, now->checks[a->index], &key));
    return take_in(r, now->checks[a->index], key, NULL);
  }
  const RepairSort sort = now->repairs[a->index];
  const int desk = now->repair_desks[a->index];
  *is_done = world_repair(&r->world, sort, desk, attempts(r, sort, desk));
  TRY(st,
      take_in(r, (Check){CHECK_SWAP, desk}, *is_done ? SWAP_BETTER : SWAP_SAME, repair_word(sort)));
  if (*is_done) {
    TRY(st, likeliest(r, is_named, &prob));
  }
  return STATUS_OK;
}

Status
rehearse_people(Arena* arena, const Plant* plant, int n_people, int desk, int line,
                NextPerson** people, int* n)
{
  if (n_people == 0) {
    Crew crew;
    Status st = STATUS_OK;
    TRY(st, crew_now(arena, plant, NULL, "", desk, line, &crew));
    *people = crew.people;
    *n = crew.n_people;
    return STATUS_OK;
  }
  const int at_desk = plant->desks[desk].place;
  const int on_stage = plant->boxes[plant->lines[line].box].place;
  NextPerson* const two = arena_array(arena, MAX_PEOPLE, sizeof(NextPerson));
  if (!two) {
    return STATUS_NO_MEMORY;
  }
  two[0] = (NextPerson){"engineer", at_desk, at_desk, false};
  two[1] = (NextPerson){"stage hand", on_stage, on_stage, false};
  *people = two;
  *n = n_people;
  return STATUS_OK;
}

static Status
play(Run* r, double* seconds, bool* is_named)
{
  Check check;
  int key = 0;
  Status st = STATUS_OK;
  TRY(st, world_complaint(&r->world, &check, &key));
  r->next.home_desk = check.desk;
  TRY(st, rehearse_people(r->arena, r->base->plant, r->options->n_people, check.desk,
                          r->world.cause.line, &r->people, &r->next.n_people));
  r->next.people = r->people;
  r->next.is_silent = !r->options->asks;
  r->next.goes_round = r->options->goes_round;
  TRY(st, take_in(r, check, key, NULL));
  bool is_done = false;
  *is_named = false;
  for (int step = 0; step < MAX_STEPS && !is_done; ++step) {
    PolicyAction action = nothing();
    const double left_s = r->options->deadline_s - r->spent_s;
    r->next.deadline_s = r->options->deadline_s > 0.0 && left_s > 0.0 ? left_s : 0.0;
    TRY(st, next_problem(r->s, r->arena, r->world.cause.line, &r->next, &r->now));
    if (r->trust && step > 0) {
      double prob = 0.0;
      bool is_right = false;
      TRY(st, likeliest(r, &is_right, &prob));
      const int tenth = (int)(prob * 10.0 + 0.5);
      ++r->trust->n_said[tenth];
      r->trust->n_right[tenth] += is_right;
    }
    TRY(st, choose(r, &action));
    if (action.person < 0) {
      break; // Nobody can do anything more: counted as it stands
    }
    TRY(st, act_on(r, &action, &is_done, is_named));
  }
  *seconds = r->spent_s;
  return STATUS_OK;
}

Status
rehearse_one(Arena* arena, const Situation* base, const World* world, RehearseRule rule,
             const RehearseOptions* options, double* seconds)
{
  Run* const run = arena_array(arena, 1, sizeof(Run));
  bool is_named = false;
  if (!run) {
    return STATUS_NO_MEMORY;
  }
  if (options->n_people < 0 || options->n_people > MAX_PEOPLE) {
    return STATUS_BAD_ARG;
  }
  *run = (Run){.arena = arena, .base = base, .options = options, .world = *world, .rule = rule};
  return play(run, seconds, &is_named);
}

// ---- All runs ----

static int
shorter(const void* a, const void* b)
{
  const double x = *(const double*)a;
  const double y = *(const double*)b;
  return (x > y) - (x < y);
}

static RehearseScore
score_of(double* seconds, int n, int n_named, double deadline_s)
{
  RehearseScore score = {.named_right = n_named / (double)n};
  double square = 0.0;
  const double limit_s = deadline_s > 0.0 ? deadline_s : REHEARSE_ON_TIME_S;
  for (int i = 0; i < n; ++i) {
    score.mean_s += seconds[i] / n;
    score.on_time += (seconds[i] <= limit_s) / (double)n;
  }
  for (int i = 0; i < n; ++i) {
    square += (seconds[i] - score.mean_s) * (seconds[i] - score.mean_s);
  }
  score.se_s = n > 1 ? sqrt(square / (n - 1) / n) : 0.0;
  qsort(seconds, (size_t)n, sizeof(double), shorter);
  score.p50_s = seconds[n / 2];
  score.p95_s = seconds[(n * 95) / 100];
  return score;
}

/// The urns of the acts that can be rehearsed; how many.
static Status
fill_urns(Arena* arena, const Situation* const bases[], const RehearseOptions* o,
          const WorldUrn** urns, int* acts, int* n)
{
  const Plant* plant = NULL;
  for (int a = o->act >= 0 ? o->act : 0; !plant; ++a) {
    plant = bases[a]->plant;
  }
  for (int a = 0; a < plant->n_acts; ++a) {
    if (o->act >= 0 && a != o->act) {
      continue;
    }
    const Status st = world_urn(arena, bases[a], &urns[*n]);
    if (st == STATUS_OK) {
      acts[(*n)++] = a;
    } else if (st != STATUS_NO_SOLUTION) {
      return st;
    }
  }
  return *n ? STATUS_OK : STATUS_NO_SOLUTION;
}

Status
rehearse_auto(Arena* arena, const Situation* const bases[], const RehearseOptions* o,
              RehearseTick tick, void* user, RehearseTable* table)
{
  if (o->n_runs < 1 || o->n_people < 1 || o->n_people > MAX_PEOPLE || !(o->deadline_s >= 0.0)) {
    return STATUS_BAD_ARG;
  }
  const int n_acts = bases[o->act >= 0 ? o->act : 0]->plant->n_acts;
  const WorldUrn** const urns = arena_array(arena, (size_t)n_acts, sizeof(WorldUrn*));
  int* const acts = arena_array(arena, (size_t)n_acts, sizeof(int));
  double* const seconds = arena_array(arena, (size_t)o->n_runs * REHEARSE_RULES, sizeof(double));
  Run* const run = arena_array(arena, 1, sizeof(Run));
  if (!urns || !acts || !seconds || !run) {
    return STATUS_NO_MEMORY;
  }
  int n_urns = 0;
  Status st = STATUS_OK;
  TRY(st, fill_urns(arena, bases, o, urns, acts, &n_urns));
  RehearseTable out;
  memset(&out, 0, sizeof(out));
  int n_named[REHEARSE_RULES] = {0};
  Rng rng;
  rng_init(&rng, o->seed);
  for (int i = 0; i < o->n_runs; ++i) {
    const int which = rng_below(&rng, n_urns);
    const uint64_t seed = rng_bits(&rng);
    World world;
    TRY(st, world_draw(urns[which], &rng, seed, HOME_DESK, &world));
    for (int rule = 0; rule < REHEARSE_RULES; ++rule) {
      Arena of_run;
      arena_init(&of_run, NULL);
      *run = (Run){.arena = &of_run,
                   .base = bases[acts[which]],
                   .options = o,
                   .world = world,
                   .rule = (RehearseRule)rule,
                   .trust = rule == REHEARSE_OURS ? &out.trust : NULL};
      bool is_named = false;
      st = play(run, &seconds[(size_t)rule * o->n_runs + i], &is_named);
      n_named[rule] += is_named;
      arena_deinit(&of_run);
      if (st != STATUS_OK) {
        return st;
      }
    }
    if (tick) {
      tick(user, i + 1, o->n_runs);
    }
  }
  for (int rule = 0; rule < REHEARSE_RULES; ++rule) {
    out.scores[rule] =
      score_of(seconds + (size_t)rule * o->n_runs, o->n_runs, n_named[rule], o->deadline_s);
  }
  *table = out;
  return STATUS_OK;
}
