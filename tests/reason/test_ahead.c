// SPDX-License-Identifier: GPL-3.0-or-later
/*
  Looking ahead, held to the exact optimum. The reference instance R5 and its nine optima, the test
  sequencing and tap chain figures are own data computed by an exact solver before this code was
  written (one kept of a published shape, as said beside it); random lines are measured against
  tests/reason/exact.h, which shares nothing with the code under test but the tables.

  LINEWALK_LONG=1: 1,000 small lines a row instead of 60, 40 x 40 runs on large ones, 60 a clock.
*/
#include "exact.h"
#include "instances.h"
#include "reason/ahead.h"
#include "support/check.h"

// ---- Rules to play by ----

typedef struct {
  const char* name;
  AheadOptions options;
  PolicyGoal goal;
  bool repairs_only; ///< The first repair of the plan without checks
} Rule;

static Rule
rule_of(const char* name, AheadOptions options)
{
  return (Rule){name, options, POLICY_BY_SECONDS, false};
}

static Rule
two_steps(void)
{
  return rule_of("two-step", (AheadOptions){.depth = 2, .beam = 8, .deep_beam = 1, .kappa = 1.0});
}

static ExactMove
first_move(const PolicyProblem* now, const void* user)
{
  const Rule* const rule = user;
  Arena arena;
  arena_init(&arena, NULL);
  ExactMove move = {POLICY_SERVICE, 0};
  if (rule->repairs_only) {
    PolicyPlan plan = {0};
    assert_int_equal(policy_ecr(now, &arena, &plan), STATUS_OK);
    assert_true(plan.n_actions > 0);
    move = (ExactMove){plan.actions[0].kind, plan.actions[0].index};
  } else {
    AheadAnswer answer = {0};
    assert_int_equal(ahead_rank(now, rule->goal, &rule->options, &arena, &answer), STATUS_OK);
    assert_true(answer.n_choices > 0);
    move = (ExactMove){answer.choices[0].action.kind, answer.choices[0].action.index};
  }
  arena_deinit(&arena);
  return move;
}

// ---- The exact solver ----

/// Least expected seconds by trying everything, no table: hypotheses left, what is done, where.
static double
try_everything(const PolicyProblem* p, const double* left, unsigned checked, unsigned repaired,
               int zone)
{
  double mass = 0.0;
  for (int h = 0; h < p->n_hyps; ++h) {
    mass += left[h];
  }
  if (!(mass > 0.0)) {
    return 0.0;
  }
  double best = mass * exact_own_s(p, zone, p->service.zone, p->service.seconds);
  double after[MADE_HYPS];
  for (int i = 0; i < p->n_checks; ++i) {
    const PolicyCheck* const c = &p->checks[i];
    if (checked >> i & 1u) {
      continue;
    }
    double v = mass * exact_own_s(p, zone, c->zone, c->seconds);
    for (int o = 0; o < 2; ++o) {
      for (int h = 0; h < p->n_hyps; ++h) {
        after[h] = left[h] * c->like[o * p->n_hyps + h];
      }
      v += try_everything(p, after, checked | 1u << i, repaired, c->zone < 0 ? zone : c->zone);
    }
    best = fmin(best, v);
  }
  for (int r = 0; r < p->n_repairs; ++r) {
    const PolicyRepair* const repair = &p->repairs[r];
    if (repaired >> r & 1u) {
      continue;
    }
    for (int h = 0; h < p->n_hyps; ++h) {
      after[h] = left[h] * (1.0 - repair->fixes[h]);
    }
    best = fmin(best, mass * exact_own_s(p, zone, repair->zone, repair->seconds + p->verify_s) +
                        try_everything(p, after, checked, repaired | 1u << r,
                                       repair->zone < 0 ? zone : repair->zone));
  }
  return best;
}

static void
exact_solver_agrees_with_trying_everything(void** state)
{
  (void)state;
  const uint64_t seed = 70;
  Rng rng;
  rng_init(&rng, seed);
  const InstanceShape shape = {
    .n_parts = 3, .n_modes = 1, .n_taps = 2, .n_looks = 1, .n_spans = 1, .misread_prob = 0.05};
  for (int round = 0; round < 20; ++round) {
    char name[48];
    (void)snprintf(name, sizeof(name), "seed %d, round %d", (int)seed, round);
    MadeProblem made;
    instance_make(&made, &shape, &rng);
    Exact x;
    const double best = exact_solve(&made.problem, 0.0, &x);
    CHECK_NEAR(name, best, try_everything(&made.problem, made.prob, 0, 0, made.person_zone[0]),
               1e-9);
    exact_end(&x);
  }
}

// ---- Reference instance R5 ----

static void
nine_optima_of_r5(void** state)
{
  (void)state;
  enum { AFTER_BOX = 1, CONSOLE_LOOK = 3, SWAP_CABLE = 1 };
  static const struct {
    double misread;
    int zone;
    double optimum;
    ExactMove first;
  } rows[] = {
    {0, 0, 72.25, {POLICY_CHECK, CONSOLE_LOOK}},
    {0, 1, 72.25, {POLICY_CHECK, AFTER_BOX}},
    {0, 2, 94.00, {POLICY_CHECK, CONSOLE_LOOK}},
    {.02, 0, 74.8613, {POLICY_CHECK, CONSOLE_LOOK}},
    {.02, 1, 74.4829, {POLICY_CHECK, AFTER_BOX}},
    {.02, 2, 95.9512, {POLICY_CHECK, CONSOLE_LOOK}},
    {.10, 0, 80.4250, {POLICY_REPAIR, SWAP_CABLE}}, // One step ahead says console look: wrong
    {.10, 1, 83.6725, {POLICY_CHECK, AFTER_BOX}},
    {.10, 2, 103.7800, {POLICY_CHECK, CONSOLE_LOOK}},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    char name[40];
    (void)snprintf(name, sizeof(name), "misread %.2f, zone %d", rows[i].misread, rows[i].zone);
    MadeProblem made;
    made_r5(&made, rows[i].misread, rows[i].zone);
    Exact x;
    CHECK_NEAR(name, exact_solve(&made.problem, 0.0, &x), rows[i].optimum, 1e-3);
    exact_end(&x);
    const Rule rule = rule_of("usual", ahead_usual());
    const ExactMove first = first_move(&made.problem, &rule);
    if (first.kind != rows[i].first.kind || first.index != rows[i].first.index) {
      fail_msg("%s: first step is kind %d, number %d", name, (int)first.kind, first.index);
    }
    const double played = exact_play(&made.problem, &made.problem, 0.0, first_move, &rule);
    CHECK_NEAR(name, played, rows[i].optimum, 1e-3);
  }
}

// ---- Naming the state by tests ----

/// Repairs so dear that each state is named by tests before one is tried, if tests can name it.
#define DEAR_S 1000.0

static void
test_sequencing(void** state)
{
  (void)state;
  // Priors and matrix: shape as remembered from the literature on test sequencing, numbers own
  // data (reasoning 3); optimum 2.12, information gain alone 2.71.
  static const char* const rows[5] = {"00000", "01001", "00110", "10011", "11000"};
  static const double priors[5] = {.70, .01, .02, .10, .17};
  MadeProblem made;
  made_init(&made, priors, 5);
  for (int t = 0; t < 5; ++t) {
    uint64_t shows = 0;
    for (int s = 0; s < 5; ++s) {
      shows |= rows[s][t] == '1' ? UINT64_C(1) << s : 0;
    }
    made_check(&made, 0, 1.0, shows, 0.0);
  }
  for (int s = 0; s < 5; ++s) {
    made_repair(&made, 0, DEAR_S, UINT64_C(1) << s);
  }
  Exact x;
  CHECK_NEAR("optimum", exact_solve(&made.problem, 0.0, &x) - DEAR_S, 2.12, 1e-9);
  exact_end(&x);
  const Rule usual = rule_of("usual", ahead_usual());
  CHECK_NEAR("three steps ahead",
             exact_play(&made.problem, &made.problem, 0.0, first_move, &usual) - DEAR_S, 2.12,
             1e-9);
}

static void
weighted_tap_chain(void** state)
{
  (void)state;
  // Unequal parts and tap costs, optimum by interval dynamic programming (reasoning 3): 49.0, first
  // tap 3; unit costs 2.90, first tap 3.
  static const double p[8] = {.05, .10, .30, .05, .20, .10, .15, .05};
  static const double cost[2][7] = {{20, 10, 10, 40, 40, 10, 10}, {1, 1, 1, 1, 1, 1, 1}};
  static const double want[2] = {49.0, 2.90};
  for (int row = 0; row < 2; ++row) {
    // Best cost to name one of parts low..high, and where the first tap goes.
    double best[8][8] = {{0}};
    int first[8][8] = {{0}};
    for (int length = 2; length <= 8; ++length) {
      for (int low = 0; low + length <= 8; ++low) {
        const int high = low + length - 1;
        double mass = 0.0;
        for (int k = low; k <= high; ++k) {
          mass += p[k];
        }
        best[low][high] = HUGE_VAL;
        for (int tap = low; tap < high; ++tap) {
          const double v = mass * cost[row][tap] + best[low][tap] + best[tap + 1][high];
          if (v < best[low][high]) {
            best[low][high] = v;
            first[low][high] = tap + 1;
          }
        }
      }
    }
    CHECK_NEAR("interval programme", best[0][7], want[row], 1e-9);
    assert_int_equal(first[0][7], 3);
    MadeProblem made;
    made_init(&made, p, 8);
    for (int tap = 0; tap < 7; ++tap) {
      made_check(&made, 0, cost[row][tap], (UINT64_C(2) << tap) - 1, 0.0);
    }
    for (int k = 0; k < 8; ++k) {
      made_repair(&made, 0, DEAR_S, UINT64_C(1) << k);
    }
    const Rule usual = rule_of("usual", ahead_usual());
    const ExactMove move = first_move(&made.problem, &usual);
    assert_int_equal(move.kind, POLICY_CHECK);
    assert_int_equal(move.index + 1, 3);
  }
}

// ---- Small lines against the optimum ----

typedef struct {
  double sum, square, most;
  int n, n_exact;
} Regret;

static void
regret_add(Regret* r, double value)
{
  r->sum += value;
  r->square += value * value;
  r->most = fmax(r->most, value);
  r->n_exact += value < 1e-9;
  ++r->n;
}

static double
regret_mean(const Regret* r)
{
  return r->sum / r->n;
}

/// Standard error of the mean.
static double
regret_se(const Regret* r)
{
  const double mean = regret_mean(r);
  return sqrt(fmax(0.0, r->square / r->n - mean * mean) / r->n);
}

static void
regret_say(const char* rule, const char* row, const Regret* r)
{
  char name[64];
  (void)snprintf(name, sizeof(name), "ahead_regret_%s_%s", rule, row);
  check_figure(name, 100.0 * regret_mean(r), "%");
  (void)snprintf(name, sizeof(name), "ahead_regret_se_%s_%s", rule, row);
  check_figure(name, 100.0 * regret_se(r), "%");
}

/// Normal, mean 0, spread 1: Box and Muller.
static double
rng_normal(Rng* rng)
{
  const double radius = sqrt(-2.0 * log(1.0 - rng_unit(rng)));
  return radius * cos(2.0 * 3.14159265358979323846 * rng_unit(rng));
}

static void
small_lines(void** state)
{
  (void)state;
  // 5 parts in 2 modes, 7 checks, 7 repairs (the service is one): reasoning 7.2, own generator.
  static const struct {
    const char* name;
    uint64_t seed;
    double misread;
    double prior_spread; ///< Believed priors are off by exp(spread N)
    double limit;        ///< On the mean less two standard errors
    double limit_short;
  } rows[] = {
    {"e02_seed1", 1, .02, 0, .003, .006},       {"e02_seed2", 2, .02, 0, .003, .006},
    {"e10_seed3", 3, .10, 0, .003, .006},       {"e00_seed4", 4, .00, 0, .003, .006},
    {"priors_off_seed5", 5, .02, .7, .06, .06},
  };
  enum { ONE_STEP, TWO_STEPS, USUAL, USUAL_ENTROPY, RULES }; // The second and fourth when long only
  Rule rules[RULES] = {rule_of("one-step", ahead_one_step()), two_steps(),
                       rule_of("usual", ahead_usual()), rule_of("usual-entropy", ahead_usual())};
  rules[USUAL_ENTROPY].options.kappa = 1.0;
  const bool is_long = check_count(0, 1) != 0;
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    // In the short size the first row alone has all 60: the others show that they run.
    const int n = check_count(i == 0 ? 60 : 3, 1000);
    const InstanceShape shape = {.n_parts = 5,
                                 .n_modes = 2,
                                 .n_taps = 4,
                                 .n_looks = 1,
                                 .n_part_checks = 2,
                                 .n_spans = 1,
                                 .misread_prob = rows[i].misread};
    Rng rng;
    rng_init(&rng, rows[i].seed);
    Regret regret[RULES] = {{0}};
    for (int k = 0; k < n; ++k) {
      MadeProblem made;
      instance_make(&made, &shape, &rng);
      PolicyProblem belief = made.problem;
      double prob[MADE_HYPS];
      double sum = 0.0;
      for (int h = 0; h < belief.n_hyps; ++h) {
        prob[h] = made.prob[h] *
                  (rows[i].prior_spread > 0.0 ? exp(rows[i].prior_spread * rng_normal(&rng)) : 1.0);
        sum += prob[h];
      }
      for (int h = 0; h < belief.n_hyps; ++h) {
        prob[h] /= sum;
      }
      belief.prob = prob;
      Exact x;
      const double best = exact_solve(&made.problem, 0.0, &x);
      exact_end(&x);
      for (int r = 0; r < RULES; r += is_long ? 1 : 2) {
        const double v = exact_play(&made.problem, &belief, 0.0, first_move, &rules[r]) / best - 1;
        assert_true(v > -1e-9); // Nobody beats the optimum
        regret_add(&regret[r], v);
      }
    }
    for (int r = 0; r < RULES; r += is_long ? 1 : 2) {
      regret_say(rules[r].name, rows[i].name, &regret[r]);
    }
    const double sure = regret_mean(&regret[USUAL]) - 2.0 * regret_se(&regret[USUAL]);
    if (!(sure <= (is_long ? rows[i].limit : rows[i].limit_short))) {
      fail_msg("%s: mean regret %.3f %% less two standard errors of %.3f %%", rows[i].name,
               100.0 * regret_mean(&regret[USUAL]), 100.0 * regret_se(&regret[USUAL]));
    }
    if (i < 2 && (is_long || i == 0)) { // The yardstick: known to lose 1 to 2 % where e is .02
      const double mean = regret_mean(&regret[ONE_STEP]);
      const double slack = is_long ? 0.0 : 2.0 * regret_se(&regret[ONE_STEP]);
      if (mean + slack < .01 || mean - slack > .02) {
        fail_msg("%s: one-step regret %.3f %%", rows[i].name, 100.0 * mean);
      }
    }
  }
}

// ---- Large lines ----

/// Seconds until done by a rule on a hidden fault; check c shows outcome 1 when u[c] says so, the
/// same for every rule.
static double
play_large(const PolicyProblem* p, const Rule* rule, int truth, const double* u, double deadline_s)
{
  double prob[MADE_HYPS];
  PolicyCheck checks[MADE_CHECKS];
  PolicyRepair repairs[MADE_REPAIRS];
  PolicyProblem now = *p;
  int zone = p->person_zone[0];
  memcpy(prob, p->prob, sizeof(double) * (size_t)p->n_hyps);
  memcpy(checks, p->checks, sizeof(PolicyCheck) * (size_t)p->n_checks);
  memcpy(repairs, p->repairs, sizeof(PolicyRepair) * (size_t)p->n_repairs);
  now.prob = prob;
  now.checks = checks;
  now.repairs = repairs;
  now.person_zone = &zone;
  double spent = 0.0;
  for (;;) {
    now.deadline_s = fmax(0.0, deadline_s - spent);
    Rule with_clock = *rule;
    with_clock.goal = now.deadline_s > 0.0 ? rule->goal : POLICY_BY_SECONDS;
    const ExactMove move = first_move(&now, &with_clock);
    if (move.kind == POLICY_SERVICE) {
      return spent + exact_own_s(p, zone, p->service.zone, p->service.seconds);
    }
    double sum = 0.0;
    double weight[MADE_HYPS];
    if (move.kind == POLICY_REPAIR) {
      PolicyRepair* const repair = &repairs[move.index];
      spent += exact_own_s(p, zone, repair->zone, repair->seconds + p->verify_s);
      if (repair->fixes[truth] > 0.5) {
        return spent;
      }
      zone = repair->zone < 0 ? zone : repair->zone;
      repair->allowed = false;
      for (int h = 0; h < p->n_hyps; ++h) {
        weight[h] = 1.0 - repair->fixes[h];
      }
    } else {
      PolicyCheck* const check = &checks[move.index];
      const int o = u[move.index] < check->like[p->n_hyps + truth];
      spent += exact_own_s(p, zone, check->zone, check->seconds);
      zone = check->zone < 0 ? zone : check->zone;
      check->allowed = false;
      memcpy(weight, check->like + (size_t)o * p->n_hyps, sizeof(double) * (size_t)p->n_hyps);
    }
    for (int h = 0; h < p->n_hyps; ++h) {
      prob[h] *= weight[h];
      sum += prob[h];
    }
    for (int h = 0; h < p->n_hyps; ++h) {
      prob[h] /= sum;
    }
  }
}

static void
large_lines(void** state)
{
  (void)state;
  // 10 parts in 6 modes, 43 checks, 21 repairs, misread .02: reasoning 7.4, own generator. Looking
  // ahead is at least 2 % better than one step (two sets of the prototype gave 3.3 and 6.0) and at
  // least 25 % better than repairs alone.
  const uint64_t seed = 301;
  const int n_lines = check_count(3, 40);
  const int n_runs = check_count(3, 40);
  const InstanceShape shape = {.n_parts = 10,
                               .n_modes = 6,
                               .n_taps = 9,
                               .n_looks = 4,
                               .n_part_checks = 30,
                               .n_spans = 4,
                               .n_reseats = 7,
                               .misread_prob = .02};
  Rule rules[] = {rule_of("one-step", ahead_one_step()), rule_of("usual", ahead_usual()),
                  rule_of("odds-over-cost", ahead_one_step())};
  rules[2].repairs_only = true;
  Regret against_one[3] = {{0}};
  double mean_s[3] = {0.0, 0.0, 0.0};
  Rng rng;
  rng_init(&rng, seed);
  for (int k = 0; k < n_lines; ++k) {
    MadeProblem made;
    instance_make(&made, &shape, &rng);
    double mean[3] = {0.0, 0.0, 0.0};
    for (int run = 0; run < n_runs; ++run) {
      double u[MADE_CHECKS];
      for (int c = 0; c < MADE_CHECKS; ++c) {
        u[c] = rng_unit(&rng);
      }
      int truth = 0;
      const double x = rng_unit(&rng);
      for (double sum = made.prob[0]; sum < x && truth + 1 < made.problem.n_hyps;) {
        sum += made.prob[++truth];
      }
      for (int r = 0; r < 3; ++r) {
        mean[r] += play_large(&made.problem, &rules[r], truth, u, 0.0) / n_runs;
      }
    }
    for (int r = 0; r < 3; ++r) {
      regret_add(&against_one[r], mean[r] / mean[0] - 1.0);
      mean_s[r] += mean[r] / n_lines;
    }
  }
  check_figure("ahead_large_one_step", mean_s[0], "s");
  check_figure("ahead_large_usual", mean_s[1], "s");
  check_figure("ahead_large_odds_over_cost", mean_s[2], "s");
  check_figure("ahead_large_usual_against_one_step", 100.0 * regret_mean(&against_one[1]), "%");
  check_figure("ahead_large_paired_se", 100.0 * regret_se(&against_one[1]), "%");
  if (mean_s[1] > (check_count(0, 1) ? 0.75 : 0.9) * mean_s[2]) {
    fail_msg("seed %d: %.1f s, repairs alone %.1f s", (int)seed, mean_s[1], mean_s[2]);
  }
  if (check_count(0, 1) &&
      (regret_mean(&against_one[1]) > -0.02 || regret_se(&against_one[1]) > 0.01)) {
    fail_msg("seed %d: %.2f %% +- %.2f against one step", (int)seed,
             100.0 * regret_mean(&against_one[1]), 100.0 * regret_se(&against_one[1]));
  }
}

// ---- Against the clock ----

static void
deadlines(void** state)
{
  (void)state;
  // 4 parts in 2 modes, all times in steps of 5 s: reasoning 7.6, own generator. Within .005 of the
  // exact chance on average; the least expected seconds give away several points.
  static const struct {
    double deadline_s;
    uint64_t seed;
  } rows[] = {{90, 2}, {120, 1}, {180, 3}};
  const int n = check_count(3, 60);
  const InstanceShape shape = {.n_parts = 4,
                               .n_modes = 2,
                               .n_taps = 3,
                               .n_looks = 1,
                               .n_part_checks = 2,
                               .n_spans = 1,
                               .misread_prob = .02,
                               .round_s = 5.0};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Rule by_chance = rule_of("by-chance", ahead_usual());
    by_chance.goal = POLICY_BY_CHANCE;
    const Rule by_seconds = rule_of("by-seconds", ahead_usual());
    double sum[3] = {0.0, 0.0, 0.0};
    Rng rng;
    rng_init(&rng, rows[i].seed);
    for (int k = 0; k < n; ++k) {
      MadeProblem made;
      instance_make(&made, &shape, &rng);
      made.problem.deadline_s = rows[i].deadline_s;
      Exact x;
      const double best = exact_solve(&made.problem, shape.round_s, &x);
      exact_end(&x);
      const double chance =
        exact_play(&made.problem, &made.problem, shape.round_s, first_move, &by_chance);
      assert_true(chance <= best + 1e-9);
      sum[0] += best / n;
      sum[1] += chance / n;
      sum[2] +=
        exact_play(&made.problem, &made.problem, shape.round_s, first_move, &by_seconds) / n;
    }
    char name[64];
    (void)snprintf(name, sizeof(name), "ahead_deadline_%.0f_best", rows[i].deadline_s);
    check_figure(name, sum[0], "chance");
    (void)snprintf(name, sizeof(name), "ahead_deadline_%.0f_by_chance", rows[i].deadline_s);
    check_figure(name, sum[1], "chance");
    (void)snprintf(name, sizeof(name), "ahead_deadline_%.0f_by_seconds", rows[i].deadline_s);
    check_figure(name, sum[2], "chance");
    CHECK_NEAR(name, sum[1], sum[0], 0.005);
    assert_true(sum[2] < sum[1]);
  }
}

// ---- Laws ----

static void
looking_further_keeps_the_order_of_things(void** state)
{
  (void)state;
  // Merging hypotheses changes nothing; the budget is kept; each action stands once; two steps
  // with ECR leaves never promise more seconds than one step does for the action chosen.
  const uint64_t seed = 71;
  Rng rng;
  rng_init(&rng, seed);
  for (int round = 0; round < 40; ++round) {
    char name[48];
    (void)snprintf(name, sizeof(name), "seed %d, round %d", (int)seed, round);
    MadeProblem made;
    made_random(&made, &rng);
    Arena arena;
    arena_init(&arena, NULL);
    PolicyProblem merged;
    assert_int_equal(policy_merge(&made.problem, &arena, &merged, NULL), STATUS_OK);
    const PolicyGoal goal = round % 2 ? POLICY_BY_CHANCE : POLICY_BY_SECONDS;
    AheadOptions options = ahead_usual();
    options.n_leaves = 1500;
    AheadAnswer all = {0};
    AheadAnswer less = {0};
    assert_int_equal(ahead_rank(&made.problem, goal, &options, &arena, &all), STATUS_OK);
    assert_int_equal(ahead_rank(&merged, goal, &options, &arena, &less), STATUS_OK);
    assert_int_equal(all.n_choices, less.n_choices);
    assert_int_equal(all.depth, less.depth);
    for (int i = 0; i < all.n_choices; ++i) {
      CHECK_NEAR(name, all.choices[i].seconds, less.choices[i].seconds, 1e-6);
      CHECK_NEAR(name, all.choices[i].chance, less.choices[i].chance, 1e-9);
      for (int k = 0; k < i; ++k) {
        assert_true(all.choices[i].action.kind != all.choices[k].action.kind ||
                    all.choices[i].action.index != all.choices[k].action.index);
      }
    }
    const AheadOptions one = ahead_one_step();
    AheadOptions two = one;
    two.depth = 2;
    two.beam = 1000;
    AheadAnswer first = {0};
    AheadAnswer second = {0};
    assert_int_equal(ahead_rank(&made.problem, POLICY_BY_SECONDS, &one, &arena, &first), STATUS_OK);
    assert_int_equal(ahead_rank(&made.problem, POLICY_BY_SECONDS, &two, &arena, &second),
                     STATUS_OK);
    assert_int_equal(first.n_choices, second.n_choices);
    for (int i = 0; i < first.n_choices; ++i) {
      for (int k = 0; k < second.n_choices; ++k) {
        if (first.choices[i].action.kind == second.choices[k].action.kind &&
            first.choices[i].action.index == second.choices[k].action.index) {
          assert_true(second.choices[k].seconds <= first.choices[i].seconds + 1e-6);
        }
      }
    }
    arena_deinit(&arena);
  }
}

static void
same_problem_same_answer(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 72);
  MadeProblem made;
  made_random(&made, &rng);
  const AheadOptions options = ahead_usual();
  AheadAnswer answers[2];
  Arena arena[2];
  for (int k = 0; k < 2; ++k) {
    arena_init(&arena[k], NULL);
    assert_int_equal(ahead_rank(&made.problem, POLICY_BY_SECONDS, &options, &arena[k], &answers[k]),
                     STATUS_OK);
  }
  assert_int_equal(answers[0].n_leaves, answers[1].n_leaves);
  for (int i = 0; i < answers[0].n_choices; ++i) {
    CHECK_NEAR("to the last bit", answers[0].choices[i].seconds, answers[1].choices[i].seconds,
               0.0);
  }
  arena_deinit(&arena[0]);
  arena_deinit(&arena[1]);
}

static void
options_out_of_range_are_refused(void** state)
{
  (void)state;
  static const AheadOptions rows[] = {
    {.depth = 0, .beam = 1, .deep_beam = 1},
    {.depth = AHEAD_MAX_DEPTH + 1, .beam = 1, .deep_beam = 1},
    {.depth = 2, .beam = 0, .deep_beam = 1},
    {.depth = 3, .beam = 1, .deep_beam = 0},
    {.depth = 3, .beam = 1, .deep_beam = 1, .n_leaves = -1},
    {.depth = 2, .beam = 1, .deep_beam = 1, .kappa = -1.0},
    {.depth = 2, .beam = 1, .deep_beam = 1, .kappa = HUGE_VAL},
  };
  Rng rng;
  rng_init(&rng, 73);
  MadeProblem made;
  made_random(&made, &rng);
  Arena arena;
  arena_init(&arena, NULL);
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    AheadAnswer answer = {.n_choices = -7};
    assert_int_equal(ahead_rank(&made.problem, POLICY_BY_SECONDS, &rows[i], &arena, &answer),
                     STATUS_BAD_ARG);
    assert_int_equal(answer.n_choices, -7);
  }
  arena_deinit(&arena);
}

static void
every_allocation_can_fail(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 74);
  MadeProblem made;
  made_random(&made, &rng);
  const AheadOptions options = ahead_usual();
  int n = 1;
  int step = 1;
  for (int fail_at = 0; fail_at <= n; fail_at += step) { // First a good run, which counts
    FailingHeap heap = {0, fail_at, 0};
    const Allocator allocator = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &allocator);
    AheadAnswer answer = {.n_choices = -7};
    const Status st = ahead_rank(&made.problem, POLICY_BY_SECONDS, &options, &arena, &answer);
    assert_int_equal(st, fail_at ? STATUS_NO_MEMORY : STATUS_OK);
    assert_true(fail_at ? answer.n_choices == -7 : answer.n_choices > 0);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    if (fail_at == 0) {
      n = heap.n_requests;
      step = failing_step(n, 400);
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(exact_solver_agrees_with_trying_everything),
    cmocka_unit_test(nine_optima_of_r5),
    cmocka_unit_test(test_sequencing),
    cmocka_unit_test(weighted_tap_chain),
    cmocka_unit_test(small_lines),
    cmocka_unit_test(large_lines),
    cmocka_unit_test(deadlines),
    cmocka_unit_test(looking_further_keeps_the_order_of_things),
    cmocka_unit_test(same_problem_same_answer),
    cmocka_unit_test(options_out_of_range_are_refused),
    cmocka_unit_test(every_allocation_can_fail),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
