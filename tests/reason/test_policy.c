// SPDX-License-Identifier: GPL-3.0-or-later
/*
  Worked troubleshooting examples E2.1 to E2.7, R5 and the half-split table: own data, computed by
  brute force and by an exact solver before this code was written. Laws on random problems compare
  ahead_rank one step ahead with what the definitions say, built from policy_ecr and policy_chance,
  and those with a plain walk through the plan.
*/
#include "made_problem.h"
#include "reason/ahead.h"
#include "support/check.h"

static PolicyPlan
plan_of(const PolicyProblem* problem, Arena* arena)
{
  PolicyPlan plan = {0};
  assert_int_equal(policy_ecr(problem, arena, &plan), STATUS_OK);
  return plan;
}

static Status
ranked(const PolicyProblem* problem, PolicyGoal goal, Arena* arena, PolicyChoice** choices, int* n)
{
  const AheadOptions options = ahead_one_step();
  AheadAnswer answer;
  const Status st = ahead_rank(problem, goal, &options, arena, &answer);
  if (st == STATUS_OK && answer.choices) {
    *choices = answer.choices;
    *n = answer.n_choices;
  }
  return st;
}

static const PolicyChoice*
choice_of(const PolicyChoice* choices, int n, PolicyKind kind, int index)
{
  for (int i = 0; i < n; ++i) {
    if (choices[i].action.kind == kind && choices[i].action.index == index) {
      return &choices[i];
    }
  }
  return NULL;
}

// ---- Orders of repairs, by brute force ----

typedef struct {
  int n;
  int order[8], best_order[8];
  double best, worst;
} Orders;

/// Cost of certain, self-verifying repairs in this order in one zone, stopping when all is fixed.
static double
order_cost(const MadeProblem* made, const int* order, int n)
{
  double left[MADE_HYPS];
  double cost = 0.0;
  memcpy(left, made->prob, sizeof(left));
  for (int i = 0; i < n; ++i) {
    double mass = 0.0;
    for (int h = 0; h < made->problem.n_hyps; ++h) {
      mass += left[h];
      left[h] *= 1.0 - made->fixes[order[i]][h];
    }
    cost += mass * made->repairs[order[i]].seconds;
  }
  return cost;
}

static void
try_orders(const MadeProblem* made, Orders* all, int at)
{
  if (at == all->n) {
    const double cost = order_cost(made, all->order, all->n);
    all->worst = cost > all->worst ? cost : all->worst;
    if (cost < all->best) {
      all->best = cost;
      memcpy(all->best_order, all->order, sizeof(all->order));
    }
    return;
  }
  for (int i = at; i < all->n; ++i) {
    const int keep = all->order[at];
    all->order[at] = all->order[i];
    all->order[i] = keep;
    try_orders(made, all, at + 1);
    all->order[i] = all->order[at];
    all->order[at] = keep;
  }
}

static Orders
orders_of(const MadeProblem* made)
{
  Orders all = {.n = made->problem.n_repairs, .best = HUGE_VAL};
  for (int i = 0; i < all.n; ++i) {
    all.order[i] = i;
  }
  try_orders(made, &all, 0);
  return all;
}

/// Order by falling key, ties by index.
static void
order_by(const double* key, int n, int* order)
{
  for (int i = 0; i < n; ++i) {
    int k = i;
    for (; k > 0 && key[order[k - 1]] < key[i]; --k) {
      order[k] = order[k - 1];
    }
    order[k] = i;
  }
}

static void
single_faults_one_repair_each(void** state)
{
  (void)state;
  static const struct {
    const char* name;
    int n;
    double p[5], c[5];
    int order[5]; ///< 0-based; equal ratios by index
    double best, by_p, by_c, worst;
  } rows[] = {
    {"E2.1", 4, {.45, .25, .20, .10}, {30, 10, 60, 5}, {1, 3, 0, 2}, 45.25, 54.00, 45.50, 88.25},
    {"E2.2",
     4,
     {.50, .30, .15, .05},
     {100, 20, 40, 10},
     {1, 0, 3, 2},
     98.00,
     118.50,
     105.00,
     134.50},
    {"E2.3",
     5,
     {.20, .30, .10, .25, .15},
     {10, 45, 5, 60, 20},
     {0, 2, 4, 1, 3},
     67.75,
     97.00,
     67.75,
     106.25},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const int n = rows[i].n;
    MadeProblem made;
    made_init(&made, rows[i].p, n);
    double quick[5];
    for (int k = 0; k < n; ++k) {
      made_repair(&made, 0, rows[i].c[k], UINT64_C(1) << k);
      quick[k] = -rows[i].c[k];
    }
    Arena arena;
    arena_init(&arena, NULL);
    const PolicyPlan plan = plan_of(&made.problem, &arena);
    CHECK_NEAR(rows[i].name, plan.seconds, rows[i].best, 1e-9);
    CHECK_NEAR(rows[i].name, plan.left_prob, 0.0, 1e-15);
    assert_int_equal(plan.n_actions, n);
    for (int k = 0; k < n; ++k) {
      assert_int_equal(plan.actions[k].index, rows[i].order[k]);
    }
    const Orders all = orders_of(&made);
    CHECK_NEAR(rows[i].name, all.best, rows[i].best, 1e-9);
    CHECK_NEAR(rows[i].name, all.worst, rows[i].worst, 1e-9);
    int order[5];
    order_by(rows[i].p, n, order);
    CHECK_NEAR(rows[i].name, order_cost(&made, order, n), rows[i].by_p, 1e-9);
    order_by(quick, n, order);
    CHECK_NEAR(rows[i].name, order_cost(&made, order, n), rows[i].by_c, 1e-9);
    arena_deinit(&arena);
  }
}

static void
call_service_cuts_where_it_is_cheapest(void** state)
{
  (void)state;
  // E2.4: E2.1 with a service of 50; cut after k actions -> 50, 47.5, 46.25, 43.25, 45.25
  static const double p[4] = {.45, .25, .20, .10};
  static const double c[4] = {30, 10, 60, 5};
  static const double cut[5] = {50, 47.5, 46.25, 43.25, 45.25};
  static const int order[4] = {1, 3, 0, 2};
  Arena arena;
  arena_init(&arena, NULL);
  for (int k = 0; k <= 4; ++k) {
    MadeProblem made;
    made_init(&made, p, 4);
    for (int i = 0; i < 4; ++i) {
      made_repair(&made, 0, c[i], UINT64_C(1) << i)->allowed = false;
    }
    made.problem.service = (PolicyService){0, 50, 1, true};
    for (int i = 0; i < k; ++i) {
      made.repairs[order[i]].allowed = true;
    }
    const PolicyPlan plan = plan_of(&made.problem, &arena);
    CHECK_NEAR("best cut up to here", plan.seconds, fmin(cut[k], k == 4 ? cut[3] : HUGE_VAL), 1e-9);
    assert_int_equal(plan.n_actions, k < 4 ? k + 1 : 4);
    assert_int_equal(plan.actions[plan.n_actions - 1].kind, POLICY_SERVICE);
    CHECK_NEAR("ends the job", plan.left_prob, 0.0, 0.0);
  }
  // Repairs that cost less than it and leave nothing: no service in the plan
  MadeProblem sure;
  made_init(&sure, (double[]){.5, .5}, 2);
  made_repair(&sure, 0, 10, 1);
  made_repair(&sure, 0, 10, 2);
  sure.problem.service = (PolicyService){0, 50, 1, true};
  const PolicyPlan plan = plan_of(&sure.problem, &arena);
  assert_int_equal(plan.n_actions, 2);
  assert_int_equal(plan.actions[1].kind, POLICY_REPAIR);
  CHECK_NEAR("no service", plan.seconds, 15.0, 1e-12);
  arena_deinit(&arena);
}

static void
dependent_repairs_show_greedy_is_an_upper_bound(void** state)
{
  (void)state;
  // E2.5: greedy 3, 2, 1 -> 22.70 although 2, 1 -> 20.20
  MadeProblem made;
  made_init(&made, (double[]){.24, .11, .39, .26}, 4);
  made_repair(&made, 0, 20, 0xE);
  made_repair(&made, 0, 15, 0x7);
  made_repair(&made, 0, 10, 0x6);
  Arena arena;
  arena_init(&arena, NULL);
  const PolicyPlan plan = plan_of(&made.problem, &arena);
  CHECK_NEAR("greedy", plan.seconds, 22.70, 1e-9);
  assert_int_equal(plan.actions[0].index, 2);
  assert_int_equal(plan.actions[1].index, 1);
  assert_int_equal(plan.actions[2].index, 0);
  const Orders all = orders_of(&made);
  CHECK_NEAR("optimum", all.best, 20.20, 1e-9);
  assert_int_equal(all.best_order[0], 1);
  assert_int_equal(all.best_order[1], 0);
  arena_deinit(&arena);
}

static void
one_tap_in_a_chain(void** state)
{
  (void)state;
  // E2.6: four parts, swap 40, tap 10
  MadeProblem made;
  made_init(&made, (double[]){.25, .25, .25, .25}, 4);
  for (int k = 0; k < 4; ++k) {
    made_repair(&made, 0, 40, UINT64_C(1) << k);
  }
  made_check(&made, 0, 10, 0x1, 0.0);
  made_check(&made, 0, 10, 0x3, 0.0);
  Arena arena;
  arena_init(&arena, NULL);
  CHECK_NEAR("repairs only", plan_of(&made.problem, &arena).seconds, 100.0, 1e-9);
  PolicyChoice* choices = NULL;
  int n = 0;
  assert_int_equal(ranked(&made.problem, POLICY_BY_SECONDS, &arena, &choices, &n), STATUS_OK);
  assert_int_equal(n, 6);
  assert_int_equal(choices[0].action.kind, POLICY_CHECK);
  assert_int_equal(choices[0].action.index, 1);
  CHECK_NEAR("middle tap", choices[0].seconds, 70.0, 1e-9);
  CHECK_NEAR("first tap", choice_of(choices, n, POLICY_CHECK, 0)->seconds, 80.0, 1e-9);
  // Four equal repairs: ties by index
  for (int k = 0; k < 4; ++k) {
    assert_int_equal(choices[2 + k].action.kind, POLICY_REPAIR);
    assert_int_equal(choices[2 + k].action.index, k);
    CHECK_NEAR("repair first", choices[2 + k].seconds, 100.0, 1e-9);
  }
  arena_deinit(&arena);
}

static void
misreading_and_walking(void** state)
{
  (void)state;
  // E2.7: test first = 58 + 72 e, repairs 62 and 110; repair first from e = 1/18
  static const double misread[] = {0.0, .02, .05, 1.0 / 18 - 1e-6, 1.0 / 18 + 1e-6, .10};
  for (size_t i = 0; i < sizeof(misread) / sizeof(misread[0]); ++i) {
    const double e = misread[i];
    MadeProblem made;
    made_init(&made, (double[]){.6, .4}, 2);
    made.problem.n_zones = 2;
    made.walk_s[1] = made.walk_s[2] = 20;
    made_repair(&made, 0, 30, 1);
    made_repair(&made, 1, 60, 2);
    made_check(&made, 0, 8, 1, e);
    Arena arena;
    arena_init(&arena, NULL);
    PolicyChoice* choices = NULL;
    int n = 0;
    assert_int_equal(ranked(&made.problem, POLICY_BY_SECONDS, &arena, &choices, &n), STATUS_OK);
    CHECK_NEAR("tap", choice_of(choices, n, POLICY_CHECK, 0)->seconds, 58 + 72 * e, 1e-9);
    CHECK_NEAR("A, B", choice_of(choices, n, POLICY_REPAIR, 0)->seconds, 62, 1e-9);
    CHECK_NEAR("B, A", choice_of(choices, n, POLICY_REPAIR, 1)->seconds, 110, 1e-9);
    CHECK_NEAR("walk to B", choice_of(choices, n, POLICY_REPAIR, 1)->action.walk_s, 20, 0);
    assert_int_equal(choices[0].action.kind, e < 1.0 / 18 ? POLICY_CHECK : POLICY_REPAIR);
    arena_deinit(&arena);
  }
}

static void
reference_instance_r5(void** state)
{
  (void)state;
  enum { TAP_AFTER_BOX = 1, CONSOLE_LOOK = 3 };
  static const struct {
    const char* name;
    double misread;
    int zone;
    double ecr, one_test;
    int test;
  } rows[] = {
    {"0, stage", 0, 0, 88.75, 73.50, CONSOLE_LOOK},
    {"0, box", 0, 1, 103.75, 79.25, TAP_AFTER_BOX},
    {"0, console", 0, 2, 112.75, 105.00, CONSOLE_LOOK},
    {".02, stage", .02, 0, 88.75, 75.72, CONSOLE_LOOK},
    {".02, box", .02, 1, 103.75, 81.35, TAP_AFTER_BOX},
    {".02, console", .02, 2, 112.75, 105.96, CONSOLE_LOOK},
    {".10, stage", .10, 0, 88.75, 84.60, CONSOLE_LOOK},
    {".10, box", .10, 1, 103.75, 89.75, TAP_AFTER_BOX},
    {".10, console", .10, 2, 112.75, 109.80, CONSOLE_LOOK},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    MadeProblem made;
    made_r5(&made, rows[i].misread, rows[i].zone);
    Arena arena;
    arena_init(&arena, NULL);
    CHECK_NEAR(rows[i].name, plan_of(&made.problem, &arena).seconds, rows[i].ecr, 1e-9);
    PolicyChoice* choices = NULL;
    int n = 0;
    assert_int_equal(ranked(&made.problem, POLICY_BY_SECONDS, &arena, &choices, &n), STATUS_OK);
    assert_int_equal(choices[0].action.kind, POLICY_CHECK);
    assert_int_equal(choices[0].action.index, rows[i].test);
    CHECK_NEAR(rows[i].name, choices[0].seconds, rows[i].one_test, 1e-2);
    arena_deinit(&arena);
  }
}

// ---- Half split ----

/// Expected taps until one part is left, always taking the best-ranked tap.
static double
expected_taps(int low, int n, int n_parts)
{
  if (n == 1) {
    return 0.0;
  }
  double prob[16] = {0};
  for (int k = 0; k < n; ++k) {
    prob[low + k] = 1.0 / n;
  }
  MadeProblem made;
  made_init(&made, prob, n_parts);
  for (int k = 0; k < n_parts; ++k) {
    made_repair(&made, 0, 1000.0, UINT64_C(1) << k);
  }
  for (int k = 1; k < n_parts; ++k) {
    made_check(&made, 0, 1.0, (UINT64_C(1) << k) - 1, 0.0);
  }
  Arena arena;
  arena_init(&arena, NULL);
  PolicyChoice* choices = NULL;
  int n_choices = 0;
  assert_int_equal(ranked(&made.problem, POLICY_BY_SECONDS, &arena, &choices, &n_choices),
                   STATUS_OK);
  assert_int_equal(choices[0].action.kind, POLICY_CHECK);
  const int split = choices[0].action.index + 1 - low;
  arena_deinit(&arena);
  assert_in_range(split, 1, n - 1);
  return 1.0 + expected_taps(low, split, n_parts) * split / n +
         expected_taps(low + split, n - split, n_parts) * (n - split) / n;
}

static void
half_split_of_equal_parts(void** state)
{
  (void)state;
  static const double want[17] = {0,      0,   1.0000, 1.6667, 2,      2.4,    2.6667, 2.8571, 3,
                                  3.2222, 3.4, 3.5455, 3.6667, 3.7692, 3.8571, 3.9333, 4};
  for (int n = 2; n <= 16; ++n) {
    char name[16];
    (void)snprintf(name, sizeof(name), "n = %d", n);
    const double k = ceil(log2(n));
    const double got = expected_taps(0, n, n);
    CHECK_NEAR(name, got, want[n], 5e-5);
    CHECK_NEAR(name, got, k - (exp2(k) - n) / n, 1e-12); // Closed form, reasoning 3
  }
}

// ---- Laws ----

static void
odds_over_cost_is_optimal(void** state)
{
  (void)state;
  const uint64_t seed = 30;
  Rng rng;
  rng_init(&rng, seed);
  for (int round = 0; round < 1000; ++round) {
    char name[48];
    (void)snprintf(name, sizeof(name), "seed %d, round %d", (int)seed, round);
    double p[6];
    double sum = 0.0;
    for (int k = 0; k < 6; ++k) {
      p[k] = rng_log(&rng, 1e-3, 1.0);
      sum += p[k];
    }
    for (int k = 0; k < 6; ++k) {
      p[k] /= sum;
    }
    MadeProblem made;
    made_init(&made, p, 6);
    for (int k = 0; k < 6; ++k) {
      made_repair(&made, 0, rng_log(&rng, 1.0, 300.0), UINT64_C(1) << k);
    }
    Arena arena;
    arena_init(&arena, NULL);
    CHECK_NEAR(name, plan_of(&made.problem, &arena).seconds, orders_of(&made).best, 1e-9);
    arena_deinit(&arena);
  }
}

/// Plain walk through a plan: everybody's place, all hypotheses, nothing grouped.
static double
walked_cost(const PolicyProblem* p, const PolicyPlan* plan, double* left_prob)
{
  int zone[MADE_PEOPLE];
  double left[MADE_HYPS];
  memcpy(zone, p->person_zone, (size_t)p->n_people * sizeof(int));
  memcpy(left, p->prob, (size_t)p->n_hyps * sizeof(double));
  double cost = 0.0;
  *left_prob = 1.0;
  for (int i = 0; i < plan->n_actions; ++i) {
    const PolicyAction* const a = &plan->actions[i];
    const bool service = a->kind == POLICY_SERVICE;
    const PolicyRepair* const repair = service ? NULL : &p->repairs[a->index];
    const int to = service ? p->service.zone : repair->zone;
    double own = service ? p->service.seconds : repair->seconds + p->verify_s;
    own += to < 0 ? 0.0 : p->walk_s[zone[a->person] * p->n_zones + to];
    zone[a->person] = to < 0 ? zone[a->person] : to;
    cost += *left_prob * own;
    *left_prob = 0.0;
    for (int h = 0; h < p->n_hyps; ++h) {
      left[h] *= service ? 0.0 : 1.0 - repair->fixes[h];
      *left_prob += left[h];
    }
  }
  return cost;
}

/// What follows an action by the definition: a new problem, its odds normalised.
static void
follow(MadeProblem* made, const PolicyAction* action, int zone, const double* weight, double mass,
       Arena* arena, double* seconds, double* chance)
{
  PolicyProblem* const p = &made->problem;
  const PolicyProblem keep = *p;
  const int keep_zone = made->person_zone[action->person];
  double prob[MADE_HYPS];
  for (int h = 0; h < p->n_hyps; ++h) {
    prob[h] = weight[h] / mass;
  }
  p->prob = prob;
  made->person_zone[action->person] = zone < 0 ? keep_zone : zone;
  *seconds += mass * plan_of(p, arena).seconds;
  p->deadline_s -= action->own_s;
  double c = 0.0;
  if (keep.deadline_s > 0.0 && p->deadline_s >= 0.0) {
    assert_int_equal(policy_chance(p, arena, &c), STATUS_OK);
  }
  *chance += mass * c;
  *p = keep;
  made->person_zone[action->person] = keep_zone;
}

static void
check_choice(const char* name, MadeProblem* made, const PolicyChoice* choice, Arena* arena)
{
  const PolicyProblem* const p = &made->problem;
  const PolicyAction* const a = &choice->action;
  double seconds = a->own_s;
  double chance = 0.0;
  double weight[MADE_HYPS];
  double mass = 0.0;
  if (a->kind == POLICY_CHECK) {
    const PolicyCheck* const check = &p->checks[a->index];
    assert_true(check->allowed && (check->people & p->free_people) >> a->person & 1);
    for (int o = 0; o < check->n_outcomes; ++o) {
      mass = 0.0;
      for (int h = 0; h < p->n_hyps; ++h) {
        weight[h] = p->prob[h] * check->like[o * p->n_hyps + h];
        mass += weight[h];
      }
      follow(made, a, check->zone, weight, mass, arena, &seconds, &chance);
    }
  } else if (a->kind == POLICY_REPAIR) {
    PolicyRepair* const repair = &made->repairs[a->index];
    assert_true(repair->allowed && (repair->people & p->free_people) >> a->person & 1);
    for (int h = 0; h < p->n_hyps; ++h) {
      weight[h] = p->prob[h] * (1.0 - repair->fixes[h]);
      mass += weight[h];
    }
    repair->allowed = false;
    if (mass > 0.0) {
      follow(made, a, repair->zone, weight, mass, arena, &seconds, &chance);
    }
    repair->allowed = true;
    chance += p->deadline_s > 0.0 && a->own_s <= p->deadline_s ? 1.0 - mass : 0.0;
  } else {
    assert_true(p->service.allowed);
    chance = p->deadline_s > 0.0 && a->own_s <= p->deadline_s ? 1.0 : 0.0;
  }
  CHECK_NEAR(name, choice->seconds, seconds, 1e-8);
  CHECK_NEAR(name, choice->chance, chance, 1e-11);
}

static void
random_problems_are_priced_as_defined(void** state)
{
  (void)state;
  const uint64_t seed = 31;
  Rng rng;
  rng_init(&rng, seed);
  for (int round = 0; round < 300; ++round) {
    char name[48];
    (void)snprintf(name, sizeof(name), "seed %d, round %d", (int)seed, round);
    MadeProblem made;
    made_random(&made, &rng);
    assert_int_equal(policy_valid(&made.problem), STATUS_OK);
    Arena arena;
    arena_init(&arena, NULL);
    const PolicyPlan plan = plan_of(&made.problem, &arena);
    double left = 1.0;
    CHECK_NEAR(name, plan.seconds, walked_cost(&made.problem, &plan, &left), 1e-9);
    CHECK_NEAR(name, plan.left_prob, left, 1e-12);
    const PolicyGoal goal = round % 2 ? POLICY_BY_CHANCE : POLICY_BY_SECONDS;
    PolicyChoice* choices = NULL;
    int n = 0;
    assert_int_equal(ranked(&made.problem, goal, &arena, &choices, &n), STATUS_OK);
    int n_want = made.problem.service.allowed ? 1 : 0;
    for (int i = 0; i < made.problem.n_checks; ++i) {
      const uint32_t able = made.problem.free_people & ((1u << made.problem.n_people) - 1);
      n_want += made.checks[i].allowed && (made.checks[i].people & able);
    }
    for (int i = 0; i < made.problem.n_repairs; ++i) {
      const uint32_t able = made.problem.free_people & ((1u << made.problem.n_people) - 1);
      n_want += made.repairs[i].allowed && (made.repairs[i].people & able);
    }
    assert_int_equal(n, n_want);
    for (int i = 0; i < n; ++i) {
      check_choice(name, &made, &choices[i], &arena);
      if (i && goal == POLICY_BY_SECONDS) {
        assert_true(choices[i].seconds >= choices[i - 1].seconds - 1e-6);
      } else if (i) {
        assert_true(choices[i].chance <= choices[i - 1].chance + 1e-9);
      }
    }
    arena_deinit(&arena);
  }
}

static void
check_same(const char* name, const PolicyChoice* a, int n_a, const PolicyChoice* b, int n_b)
{
  if (n_a != n_b) {
    fail_msg("%s: %d choices and %d", name, n_a, n_b);
  }
  for (int i = 0; i < n_a; ++i) {
    if (a[i].action.kind != b[i].action.kind || a[i].action.index != b[i].action.index ||
        a[i].action.person != b[i].action.person) {
      fail_msg("%s: place %d differs", name, i);
    }
    CHECK_NEAR(name, a[i].seconds, b[i].seconds, 1e-9);
    CHECK_NEAR(name, a[i].chance, b[i].chance, 1e-12);
  }
}

static void
merging_changes_nothing(void** state)
{
  (void)state;
  const uint64_t seed = 32;
  Rng rng;
  rng_init(&rng, seed);
  int n_before = 0;
  int n_after = 0;
  for (int round = 0; round < 300; ++round) {
    char name[48];
    (void)snprintf(name, sizeof(name), "seed %d, round %d", (int)seed, round);
    MadeProblem made;
    made_random(&made, &rng);
    Arena arena;
    arena_init(&arena, NULL);
    PolicyProblem merged;
    int* merged_of = NULL;
    assert_int_equal(policy_merge(&made.problem, &arena, &merged, &merged_of), STATUS_OK);
    assert_int_equal(policy_valid(&merged), STATUS_OK);
    n_before += made.problem.n_hyps;
    n_after += merged.n_hyps;
    double mass[MADE_HYPS] = {0};
    for (int h = 0; h < made.problem.n_hyps; ++h) {
      assert_in_range(merged_of[h], 0, merged.n_hyps - 1);
      mass[merged_of[h]] += made.prob[h];
    }
    for (int m = 0; m < merged.n_hyps; ++m) {
      CHECK_NEAR(name, merged.prob[m], mass[m], 0.0);
    }
    PolicyChoice* choices[2] = {NULL, NULL};
    int n[2] = {0, 0};
    for (int side = 0; side < 2; ++side) {
      assert_int_equal(
        ranked(side ? &merged : &made.problem, POLICY_BY_CHANCE, &arena, &choices[side], &n[side]),
        STATUS_OK);
    }
    check_same(name, choices[0], n[0], choices[1], n[1]);
    CHECK_NEAR(name, plan_of(&made.problem, &arena).seconds, plan_of(&merged, &arena).seconds,
               1e-9);
    arena_deinit(&arena);
  }
  assert_true(n_after * 4 < n_before * 3); // Half of the columns are copies
}

static void
permuting_hypotheses_permutes_nothing_else(void** state)
{
  (void)state;
  const uint64_t seed = 33;
  Rng rng;
  rng_init(&rng, seed);
  for (int round = 0; round < 300; ++round) {
    char name[48];
    (void)snprintf(name, sizeof(name), "seed %d, round %d", (int)seed, round);
    MadeProblem made;
    MadeProblem other;
    made_random(&made, &rng);
    other = made;
    const int n_hyps = made.problem.n_hyps;
    int to[MADE_HYPS] = {0};
    for (int h = 0; h < n_hyps; ++h) {
      const int at = rng_below(&rng, h + 1);
      to[h] = to[at];
      to[at] = h;
    }
    for (int h = 0; h < n_hyps; ++h) {
      other.prob[to[h]] = made.prob[h];
      for (int c = 0; c < made.problem.n_checks; ++c) {
        for (int o = 0; o < made.checks[c].n_outcomes; ++o) {
          other.like[c][o * n_hyps + to[h]] = made.like[c][o * n_hyps + h];
        }
        other.checks[c].like = other.like[c];
      }
      for (int r = 0; r < made.problem.n_repairs; ++r) {
        other.fixes[r][to[h]] = made.fixes[r][h];
        other.repairs[r].fixes = other.fixes[r];
      }
    }
    other.problem.prob = other.prob;
    other.problem.checks = other.checks;
    other.problem.repairs = other.repairs;
    Arena arena;
    arena_init(&arena, NULL);
    PolicyChoice* choices[2] = {NULL, NULL};
    int n[2] = {0, 0};
    for (int side = 0; side < 2; ++side) {
      assert_int_equal(ranked(side ? &other.problem : &made.problem, POLICY_BY_SECONDS, &arena,
                              &choices[side], &n[side]),
                       STATUS_OK);
    }
    check_same(name, choices[0], n[0], choices[1], n[1]);
    arena_deinit(&arena);
  }
}

// ---- People, clock, flags ----

static void
the_nearest_able_person_goes_and_stays_there(void** state)
{
  (void)state;
  MadeProblem made;
  made_init(&made, (double[]){.7, .3}, 2);
  made.problem.n_zones = 2;
  made.walk_s[1] = made.walk_s[2] = 45;
  made.problem.n_people = 2;
  made.person_zone[1] = 1;
  made_repair(&made, 1, 10, 1);
  made_repair(&made, 1, 10, 2)->people = 1; // Only person 0, who is far away
  Arena arena;
  arena_init(&arena, NULL);
  PolicyPlan plan = plan_of(&made.problem, &arena);
  assert_int_equal(plan.actions[0].person, 1);
  CHECK_NEAR("near", plan.actions[0].walk_s, 0.0, 0.0);
  assert_int_equal(plan.actions[1].person, 0);
  CHECK_NEAR("far", plan.actions[1].own_s, 55.0, 0.0);
  CHECK_NEAR("plan", plan.seconds, 10 + .3 * 55, 1e-12);
  made.person_zone[1] = 0; // Both equally far: the first goes
  assert_int_equal(plan_of(&made.problem, &arena).actions[0].person, 0);
  made.person_zone[1] = 1;
  made.problem.free_people = 1; // Person 0 alone walks once and is there
  plan = plan_of(&made.problem, &arena);
  CHECK_NEAR("one walk", plan.seconds, 55 + .3 * 10, 1e-12);
  made.problem.free_people = 2;
  plan = plan_of(&made.problem, &arena);
  assert_int_equal(plan.n_actions, 1);
  CHECK_NEAR("nobody for the rest", plan.left_prob, .3, 1e-15);
  made.problem.free_people = 0;
  plan = plan_of(&made.problem, &arena);
  assert_int_equal(plan.n_actions, 0);
  PolicyChoice* choices = NULL;
  int n = -1;
  assert_int_equal(ranked(&made.problem, POLICY_BY_SECONDS, &arena, &choices, &n), STATUS_OK);
  assert_int_equal(n, 0);
  arena_deinit(&arena);
}

static void
the_better_of_two_sequences_that_fit(void** state)
{
  (void)state;
  static const struct {
    const char* name;
    double deadline, service; ///< Service seconds, 0 = none
    double want;
  } rows[] = {
    {"nothing fits", 4, 0, 0},
    {"only the quick one", 5, 0, .2}, // a: .2 in 5 s, b: .5 in 30 s, c: .3 in 28 s
    {"by rate 5 + 28 beats 30 alone? no", 33, 0, .5},
    {"by rate a, b", 35, 0, .7},
    {"all", 63, 0, 1.0},
    {"service fits", 40, 40, 1.0},
    {"service does not", 35, 40, .7},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    MadeProblem made;
    made_init(&made, (double[]){.2, .5, .3}, 3);
    made_repair(&made, 0, 5, 1);
    made_repair(&made, 0, 30, 2);
    made_repair(&made, 0, 28, 4);
    made.problem.deadline_s = rows[i].deadline;
    made.problem.service = (PolicyService){0, rows[i].service, 1, rows[i].service > 0};
    Arena arena;
    arena_init(&arena, NULL);
    double chance = -1.0;
    assert_int_equal(policy_chance(&made.problem, &arena, &chance), STATUS_OK);
    CHECK_NEAR(rows[i].name, chance, rows[i].want, 1e-12);
    arena_deinit(&arena);
  }
  // Two goals, two answers: .4 in 10 s leaves no time for .5 in 30 s within 35 s
  MadeProblem made;
  made_init(&made, (double[]){.4, .5, .1}, 3);
  made_repair(&made, 0, 10, 1);
  made_repair(&made, 0, 30, 2);
  made.problem.deadline_s = 35;
  Arena arena;
  arena_init(&arena, NULL);
  PolicyChoice* choices = NULL;
  int n = 0;
  assert_int_equal(ranked(&made.problem, POLICY_BY_SECONDS, &arena, &choices, &n), STATUS_OK);
  assert_int_equal(choices[0].action.index, 0);
  CHECK_NEAR("quick one", choices[0].chance, .4, 1e-12);
  assert_int_equal(ranked(&made.problem, POLICY_BY_CHANCE, &arena, &choices, &n), STATUS_OK);
  assert_int_equal(choices[0].action.index, 1);
  CHECK_NEAR("likely one", choices[0].chance, .5, 1e-12);
  arena_deinit(&arena);
}

static void
bad_problems_are_refused(void** state)
{
  (void)state;
  enum { N_SHORT = 10, N_ALL = 14 };
  for (int bad = 0; bad < N_ALL; ++bad) {
    MadeProblem made;
    made_r5(&made, .02, 0);
    PolicyProblem* const p = &made.problem;
    switch (bad) {
      case 0:
        p->n_hyps = 0;
        break;
      case 1:
        made.prob[0] = .2;
        break;
      case 2:
        made.prob[0] = NAN;
        break;
      case 3:
        made.person_zone[0] = 3;
        break;
      case 4:
        p->n_people = POLICY_MAX_PEOPLE + 1;
        break;
      case 5:
        made.walk_s[1] = -1;
        break;
      case 6:
        made.repairs[0].seconds = HUGE_VAL;
        break;
      case 7:
        made.checks[0].zone = 3;
        break;
      case 8:
        made.checks[0].n_outcomes = POLICY_MAX_OUTCOMES + 1;
        break;
      case 9:
        p->service = (PolicyService){0, NAN, 1, true};
        break;
      case 10:
        made.like[0][1] = .5;
        break;
      case 11:
        made.like[0][1] = NAN;
        break;
      case 12:
        made.fixes[0][1] = 1.5;
        break;
      default:
        made.fixes[0][1] = NAN;
        break;
    }
    Arena arena;
    arena_init(&arena, NULL);
    PolicyPlan plan = {.n_actions = -1};
    PolicyChoice* choices = NULL;
    int n = -1;
    assert_int_equal(policy_valid(p), STATUS_BAD_ARG);
    if (bad < N_SHORT) {
      double chance = -1;
      PolicyProblem merged = {.n_hyps = -1};
      assert_int_equal(policy_ecr(p, &arena, &plan), STATUS_BAD_ARG);
      assert_int_equal(policy_chance(p, &arena, &chance), STATUS_BAD_ARG);
      assert_int_equal(policy_merge(p, &arena, &merged, NULL), STATUS_BAD_ARG);
      assert_int_equal(plan.n_actions + merged.n_hyps, -2);
    }
    if (bad < 12) {
      assert_int_equal(ranked(p, POLICY_BY_SECONDS, &arena, &choices, &n), STATUS_BAD_ARG);
      assert_int_equal(n, -1);
    }
    arena_deinit(&arena);
  }
}

static void
every_allocation_can_fail(void** state)
{
  (void)state;
  enum { N = 70000 }; // Long enough for a block of its own per array
  double* const prob = calloc(N, sizeof(double));
  double* const flat = calloc(2 * (size_t)N, sizeof(double));
  double* const fixes = calloc(N, sizeof(double));
  for (int h = 0; h < N; ++h) {
    prob[h] = 1.0 / N;
    flat[h] = (double)h / N; // All different: nothing merges
    flat[N + h] = 1.0 - flat[h];
    fixes[h] = flat[h];
  }
  MadeProblem made;
  made_init(&made, prob, 1);
  made.prob[0] = 1.0;
  made_check(&made, 0, 1, 0, 0)->like = flat;
  made_repair(&made, 0, 1, 0)->fixes = fixes;
  made.problem.n_hyps = N;
  made.problem.prob = prob;
  int n_failed = 0;
  for (int what = 0; what < 4; ++what) {
    for (int at = 1;; ++at) {
      FailingHeap heap = {0, at, 0};
      const Allocator from = failing_allocator(&heap);
      Arena arena;
      arena_init(&arena, &from);
      PolicyPlan plan = {.n_actions = -1};
      PolicyChoice* choices = NULL;
      int n = -1;
      double chance = -1.0;
      PolicyProblem merged = {.n_hyps = -1};
      const Status st = what == 0   ? policy_ecr(&made.problem, &arena, &plan)
                        : what == 1 ? ranked(&made.problem, POLICY_BY_SECONDS, &arena, &choices, &n)
                        : what == 2 ? policy_chance(&made.problem, &arena, &chance)
                                    : policy_merge(&made.problem, &arena, &merged, NULL);
      arena_deinit(&arena);
      assert_int_equal(heap.n_live, 0);
      if (st == STATUS_OK) {
        break;
      }
      assert_int_equal(st, STATUS_NO_MEMORY);
      assert_true(plan.n_actions == -1 && n == -1 && chance < 0.0 && merged.n_hyps == -1);
      ++n_failed;
    }
  }
  assert_true(n_failed >= 30);
  free(prob);
  free(flat);
  free(fixes);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(single_faults_one_repair_each),
    cmocka_unit_test(call_service_cuts_where_it_is_cheapest),
    cmocka_unit_test(dependent_repairs_show_greedy_is_an_upper_bound),
    cmocka_unit_test(one_tap_in_a_chain),
    cmocka_unit_test(misreading_and_walking),
    cmocka_unit_test(reference_instance_r5),
    cmocka_unit_test(half_split_of_equal_parts),
    cmocka_unit_test(odds_over_cost_is_optimal),
    cmocka_unit_test(random_problems_are_priced_as_defined),
    cmocka_unit_test(merging_changes_nothing),
    cmocka_unit_test(permuting_hypotheses_permutes_nothing_else),
    cmocka_unit_test(the_nearest_able_person_goes_and_stays_there),
    cmocka_unit_test(the_better_of_two_sequences_that_fit),
    cmocka_unit_test(bad_problems_are_refused),
    cmocka_unit_test(every_allocation_can_fail),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
