// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "reason/belief.h"
#include "support/check.h"

#include <stdbool.h>

// ---- Noisy-OR: shared causes over lines (Heckerman's quickscore; own example, computed) ----

enum { N_CAUSES = 3, N_OR_LINES = 4 };

static const double or_prior[N_CAUSES] = {.02, .03, .05}; // Box power, multicore, one cable
static const double or_leak = .01;
static const double or_q[N_OR_LINES][N_CAUSES] = {{.9, .8, 0},
                                                  {.9, .8, 0},
                                                  {.9, 0, .7},
                                                  {.9, 0, 0}};

static double
or_bad_prob(int line, int causes)
{
  double good = 1.0 - or_leak;
  for (int k = 0; k < N_CAUSES; ++k) {
    good *= causes >> k & 1 ? 1.0 - or_q[line][k] : 1.0;
  }
  return 1.0 - good;
}

static double
or_causes_prob(int causes)
{
  double prob = 1.0;
  for (int k = 0; k < N_CAUSES; ++k) {
    prob *= causes >> k & 1 ? or_prior[k] : 1.0 - or_prior[k];
  }
  return prob;
}

/// P(F+, F-) = sum over subsets S of F+ of (-1)^|S| prod (1 - leak) prod_j [...]; reasoning 4.
static double
quickscore(int bad)
{
  double sum = 0.0;
  for (int s = 0; s < 1 << N_OR_LINES; ++s) {
    if (s & ~bad) {
      continue;
    }
    double sign = 1.0;
    double leaks = 1.0;
    for (int line = 0; line < N_OR_LINES; ++line) {
      sign *= s >> line & 1 ? -1.0 : 1.0;
      leaks *= (s | ~bad) >> line & 1 ? 1.0 - or_leak : 1.0;
    }
    double causes = 1.0;
    for (int k = 0; k < N_CAUSES; ++k) {
      double spared = 1.0;
      for (int line = 0; line < N_OR_LINES; ++line) {
        spared *= (s | ~bad) >> line & 1 ? 1.0 - or_q[line][k] : 1.0;
      }
      causes *= or_prior[k] * spared + (1.0 - or_prior[k]);
    }
    sum += sign * leaks * causes;
  }
  return sum;
}

static double
enumerated(int bad)
{
  double sum = 0.0;
  for (int causes = 0; causes < 1 << N_CAUSES; ++causes) {
    double prob = or_causes_prob(causes);
    for (int line = 0; line < N_OR_LINES; ++line) {
      const double p = or_bad_prob(line, causes);
      prob *= bad >> line & 1 ? p : 1.0 - p;
    }
    sum += prob;
  }
  return sum;
}

static void
noisy_or_is_quickscore_is_enumeration(void** state)
{
  (void)state;
  static const struct {
    const char* name;
    int bad;
    double findings, cause[N_CAUSES];
  } rows[] = {
    {"1, 2", 0x3, 0.01812951, {0.00852, 0.98682, 0.01554}},
    {"1, 2, 3, 4", 0xF, 0.01331244, {0.99936, 0.03592, 0.05411}},
    {"3", 0x4, 0.04125165, {0.00041, 0.00124, 0.78693}},
    {"1, 2, 3", 0x7, 0.00230191, {0.63504, 0.38556, 0.32137}},
  };
  enum { N_STATES = 1 << N_CAUSES };
  static const int n_locals[N_OR_LINES] = {2, 2, 2, 2};
  static const double leak[2] = {1.0 - .01, .01};
  static const double* const priors[N_OR_LINES] = {leak, leak, leak, leak};
  static const int line_of[N_OR_LINES] = {0, 1, 2, 3};
  static const int locals[2] = {0, 1};
  double given[N_STATES][N_OR_LINES][2];
  BeliefGroup groups[N_STATES][N_OR_LINES];
  BeliefState states[N_STATES];
  for (int s = 0; s < N_STATES; ++s) {
    for (int line = 0; line < N_OR_LINES; ++line) {
      given[s][line][1] = or_bad_prob(line, s);
      given[s][line][0] = 1.0 - given[s][line][1];
      groups[s][line] = (BeliefGroup){1, &line_of[line], 2, given[s][line], locals};
    }
    states[s] = (BeliefState){or_causes_prob(s), s ? N_OR_LINES : 0, groups[s]};
  }
  const BeliefModel model = {N_OR_LINES, n_locals, priors, N_STATES, states};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    Belief* belief = NULL;
    assert_int_equal(belief_init(&arena, &model, &belief), STATUS_OK);
    for (int line = 0; line < N_OR_LINES; ++line) {
      double like[2 * N_STATES];
      for (int h = 0; h < belief_n_hyps(belief, line); ++h) {
        like[h] = belief_hyp(belief, line, h).local == (rows[i].bad >> line & 1);
      }
      assert_int_equal(belief_update(belief, line, like), STATUS_OK);
    }
    const double findings = exp(belief_evidence_log(belief));
    CHECK_NEAR(rows[i].name, findings, rows[i].findings, 5e-9);
    CHECK_NEAR(rows[i].name, findings, quickscore(rows[i].bad), 1e-12);
    CHECK_NEAR(rows[i].name, findings, enumerated(rows[i].bad), 1e-12);
    double prob[N_STATES];
    belief_states(belief, prob);
    for (int k = 0; k < N_CAUSES; ++k) {
      double sum = 0.0;
      for (int s = 0; s < N_STATES; ++s) {
        sum += s >> k & 1 ? prob[s] : 0.0;
      }
      CHECK_NEAR(rows[i].name, sum, rows[i].cause[k], 5e-6);
    }
    arena_deinit(&arena);
  }
}

// ---- Random models against plain enumeration of everything ----

enum { N_LINES = 4, N_LOCALS = 3, MOST_STATES = 5, MOST_HYPS = 6 };

typedef struct {
  int n_locals[N_LINES];
  double prior[N_LINES][N_LOCALS];
  const double* priors[N_LINES];
  int lines[MOST_STATES][N_LINES];
  double given[MOST_STATES][N_LINES][MOST_HYPS];
  int local[MOST_STATES][N_LINES][MOST_HYPS * N_LINES];
  BeliefGroup groups[MOST_STATES][N_LINES];
  BeliefState states[MOST_STATES];
  BeliefModel model;
} Made;

static void
make_odds(Rng* rng, double* prob, int n)
{
  double sum = 0.0;
  for (int i = 0; i < n; ++i) {
    prob[i] = rng_log(rng, 1e-4, 1.0);
    sum += prob[i];
  }
  for (int i = 0; i < n; ++i) {
    prob[i] /= sum;
  }
}

/// Lines are dealt in a random order into groups of one or two; some are left alone.
static void
make_model(Made* made, Rng* rng)
{
  double state_prob[MOST_STATES];
  const int n_states = 2 + rng_below(rng, MOST_STATES - 1);
  make_odds(rng, state_prob, n_states);
  for (int line = 0; line < N_LINES; ++line) {
    made->n_locals[line] = N_LOCALS;
    make_odds(rng, made->prior[line], N_LOCALS);
    made->priors[line] = made->prior[line];
  }
  for (int s = 0; s < n_states; ++s) {
    int n_groups = 0;
    int* const dealt = made->lines[s];
    for (int k = 0; k < N_LINES; ++k) {
      const int at = rng_below(rng, k + 1);
      dealt[k] = dealt[at];
      dealt[at] = k;
    }
    for (int k = 0; s && k < N_LINES;) {
      const int take = 1 + rng_below(rng, 2);
      if (rng_below(rng, 3) && k + take <= N_LINES) {
        const int n_hyps = 1 + rng_below(rng, MOST_HYPS);
        make_odds(rng, made->given[s][n_groups], n_hyps);
        for (int i = 0; i < n_hyps * take; ++i) {
          made->local[s][n_groups][i] = rng_below(rng, N_LOCALS);
        }
        made->groups[s][n_groups] = (BeliefGroup){take, dealt + k, n_hyps, made->given[s][n_groups],
                                                  made->local[s][n_groups]};
        ++n_groups;
      }
      k += take;
    }
    made->states[s] = (BeliefState){state_prob[s], n_groups, made->groups[s]};
  }
  made->model = (BeliefModel){N_LINES, made->n_locals, made->priors, n_states, made->states};
}

enum { MOST_ROWS = N_LOCALS + MOST_STATES * MOST_HYPS, N_READINGS = 12 };

typedef struct {
  int line;
  double like[MOST_ROWS];
} Reading;

/// Place of (state, group, hyp) in the flat list of a line.
static int
row_of(const Belief* belief, int line, int state, int group, int hyp)
{
  for (int i = 0; i < belief_n_hyps(belief, line); ++i) {
    const BeliefHyp h = belief_hyp(belief, line, i);
    if (h.state == state && h.group == group && h.hyp == hyp) {
      return i;
    }
  }
  fail_msg("line %d has no row %d %d %d", line, state, group, hyp);
  return -1;
}

typedef struct {
  double total, state[MOST_STATES], local[N_LINES][N_LOCALS], row[N_LINES][MOST_ROWS];
} Answer;

/// Walk through one state's joint hypotheses: block by block, every choice with every other.
static void
enumerate(const Belief* belief, const BeliefModel* model, const Reading* readings, int n_readings,
          int s, int next_line, int next_group, double weight, int* row, int* local, Answer* answer)
{
  const BeliefState* const state = &model->states[s];
  if (next_group < state->n_groups) {
    const BeliefGroup* const group = &state->groups[next_group];
    for (int h = 0; h < group->n_hyps; ++h) {
      for (int k = 0; k < group->n_lines; ++k) {
        row[group->lines[k]] = row_of(belief, group->lines[k], s, next_group, h);
        local[group->lines[k]] = group->local[h * group->n_lines + k];
      }
      enumerate(belief, model, readings, n_readings, s, next_line, next_group + 1,
                weight * group->prob[h], row, local, answer);
    }
    return;
  }
  if (next_line < N_LINES) {
    bool touched = false;
    for (int g = 0; g < state->n_groups; ++g) {
      for (int k = 0; k < state->groups[g].n_lines; ++k) {
        touched = touched || state->groups[g].lines[k] == next_line;
      }
    }
    for (int f = 0; f < (touched ? 1 : N_LOCALS); ++f) {
      if (!touched) {
        row[next_line] = local[next_line] = f;
      }
      enumerate(belief, model, readings, n_readings, s, next_line + 1, next_group,
                weight * (touched ? 1.0 : model->prob[next_line][f]), row, local, answer);
    }
    return;
  }
  for (int i = 0; i < n_readings; ++i) {
    weight *= readings[i].like[row[readings[i].line]];
  }
  answer->total += weight;
  answer->state[s] += weight;
  for (int line = 0; line < N_LINES; ++line) {
    answer->local[line][local[line]] += weight;
    answer->row[line][row[line]] += weight;
  }
}

static void
check_answer(const char* name, const Belief* belief, const BeliefModel* model, const Answer* want,
             double tolerance)
{
  double prob[MOST_ROWS];
  belief_states(belief, prob);
  double sum = 0.0;
  for (int s = 0; s < model->n_states; ++s) {
    CHECK_NEAR(name, prob[s], want->state[s] / want->total, tolerance);
    sum += prob[s];
  }
  CHECK_NEAR(name, sum, 1.0, 1e-12);
  CHECK_NEAR(name, belief_evidence_log(belief), log(want->total), 1e-11);
  for (int line = 0; line < N_LINES; ++line) {
    belief_locals(belief, line, prob);
    sum = 0.0;
    for (int f = 0; f < N_LOCALS; ++f) {
      CHECK_NEAR(name, prob[f], want->local[line][f] / want->total, tolerance);
      sum += prob[f];
    }
    CHECK_NEAR(name, sum, 1.0, 1e-12);
    belief_hyps(belief, line, prob);
    for (int i = 0; i < belief_n_hyps(belief, line); ++i) {
      CHECK_NEAR(name, prob[i], want->row[line][i] / want->total, tolerance);
    }
  }
}

static void
random_models_agree_with_enumeration_in_any_order(void** state)
{
  (void)state;
  const uint64_t seed = 20;
  Rng rng;
  rng_init(&rng, seed);
  for (int round = 0; round < 60; ++round) {
    char name[64];
    (void)snprintf(name, sizeof(name), "seed %d, round %d", (int)seed, round);
    static Made made;
    make_model(&made, &rng);
    Arena arena;
    arena_init(&arena, NULL);
    Belief* belief = NULL;
    assert_int_equal(belief_init(&arena, &made.model, &belief), STATUS_OK);
    CHECK_NEAR(name, belief_evidence_log(belief), 0.0, 1e-12);
    Reading readings[N_READINGS];
    for (int i = 0; i < N_READINGS; ++i) {
      readings[i].line = rng_below(&rng, N_LINES);
      for (int k = 0; k < MOST_ROWS; ++k) {
        readings[i].like[k] = rng_below(&rng, 10) ? rng_log(&rng, 1e-3, 1.0) : 1e-9;
      }
      assert_int_equal(belief_update(belief, readings[i].line, readings[i].like), STATUS_OK);
    }
    Answer want = {0};
    for (int s = 0; s < made.model.n_states; ++s) {
      int row[N_LINES];
      int local[N_LINES];
      enumerate(belief, &made.model, readings, N_READINGS, s, 0, 0, made.states[s].prob, row, local,
                &want);
    }
    check_answer(name, belief, &made.model, &want, 1e-12);
    belief_reset(belief);
    for (int i = N_READINGS - 1; i >= 0; --i) {
      assert_int_equal(belief_update(belief, readings[i].line, readings[i].like), STATUS_OK);
    }
    check_answer(name, belief, &made.model, &want, 1e-12);
    // Put off and settled once: the same to the last bit
    Belief* later = NULL;
    assert_int_equal(belief_init(&arena, &made.model, &later), STATUS_OK);
    belief_reset(belief);
    for (int i = 0; i < N_READINGS; ++i) {
      assert_int_equal(belief_update(belief, readings[i].line, readings[i].like), STATUS_OK);
      assert_int_equal(belief_update_later(later, readings[i].line, readings[i].like), STATUS_OK);
    }
    assert_int_equal(belief_settle(later), STATUS_OK);
    for (int line = 0; line < N_LINES; ++line) {
      double a[MOST_ROWS];
      double b[MOST_ROWS];
      belief_hyps(belief, line, a);
      belief_hyps(later, line, b);
      assert_memory_equal(a, b, sizeof(double) * (size_t)belief_n_hyps(belief, line));
    }
    assert_true(belief_evidence_log(belief) == belief_evidence_log(later));
    const double nothing[MOST_ROWS] = {0.0};
    assert_int_equal(belief_update_later(later, 0, nothing), STATUS_OK);
    assert_int_equal(belief_settle(later), STATUS_NO_SOLUTION);
    belief_reset(later);
    assert_int_equal(belief_settle(later), STATUS_OK);
    arena_deinit(&arena);
  }
}

// ---- Small laws ----

static const int two_locals[2] = {3, 2};
static const double line0[3] = {.7, .2, .1};
static const double line1[2] = {.9, .1};
static const double* const two_priors[2] = {line0, line1};
static const int both[2] = {0, 1};
static const double pair_prob[2] = {.5, .5};
static const int pair_local[4] = {1, 1, 2, 0};
static const BeliefGroup pair = {2, both, 2, pair_prob, pair_local};
static const BeliefState two_states[2] = {{.99, 0, NULL}, {.01, 1, &pair}};
static const BeliefModel two = {2, two_locals, two_priors, 2, two_states};

static void
hundreds_of_readings_do_not_underflow_and_can_be_revived(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  Belief* belief = NULL;
  assert_int_equal(belief_init(&arena, &two, &belief), STATUS_OK);
  static const double against[5] = {1e-6, 1e-3, 1e-6, 1e-6, 1e-6};
  static const double back[5] = {1e-3, 1e-6, 1e-3, 1e-3, 1e-3};
  double before[5];
  double prob[5];
  belief_hyps(belief, 0, before);
  for (int i = 0; i < 400; ++i) {
    assert_int_equal(belief_update(belief, 0, against), STATUS_OK);
  }
  belief_hyps(belief, 0, prob);
  CHECK_NEAR("one is left", prob[1], 1.0, 1e-12);
  CHECK_NEAR("evidence", belief_evidence_log(belief), 400 * log(1e-3) + log(.99 * .2), 1e-9);
  for (int i = 0; i < 400; ++i) {
    assert_int_equal(belief_update(belief, 0, back), STATUS_OK);
  }
  belief_hyps(belief, 0, prob);
  for (int i = 0; i < 5; ++i) {
    CHECK_NEAR("all as before", prob[i], before[i], 1e-12);
  }
  arena_deinit(&arena);
}

static void
a_line_without_explanation_leaves_the_shared_state(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  Belief* belief = NULL;
  assert_int_equal(belief_init(&arena, &two, &belief), STATUS_OK);
  // No local of line 0 explains it, one pair does; then line 1 as that pair does not have it.
  assert_int_equal(belief_update(belief, 0, (double[]){0, 0, 0, 0, 1}), STATUS_OK);
  double prob[5];
  belief_states(belief, prob);
  CHECK_NEAR("none", prob[0], 0.0, 0.0);
  CHECK_NEAR("shared", prob[1], 1.0, 1e-15);
  belief_locals(belief, 1, prob);
  CHECK_NEAR("the pair's other end", prob[0], 1.0, 1e-15);
  const double evidence = belief_evidence_log(belief);
  CHECK_NEAR("evidence", evidence, log(.01 * .5), 1e-12);
  static const struct {
    const char* name;
    double like[4];
    Status want;
  } rows[] = {
    {"explained by nothing", {1, 1, 1, 0}, STATUS_NO_SOLUTION},
    {"negative", {1, 1, 1, -1e-9}, STATUS_BAD_ARG},
    {"not a number", {NAN, 1, 1, 1}, STATUS_BAD_ARG},
    {"endless", {1, HUGE_VAL, 1, 1}, STATUS_BAD_ARG},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    if (belief_update(belief, 1, rows[i].like) != rows[i].want) {
      fail_msg("%s: other status", rows[i].name);
    }
    belief_locals(belief, 1, prob);
    CHECK_NEAR(rows[i].name, prob[0], 1.0, 1e-15);
    CHECK_NEAR(rows[i].name, belief_evidence_log(belief), evidence, 0.0);
  }
  belief_reset(belief);
  belief_states(belief, prob);
  CHECK_NEAR("reset", prob[1], .01, 1e-15);
  arena_deinit(&arena);
}

static void
permuting_locals_permutes_odds(void** state)
{
  (void)state;
  const uint64_t seed = 21;
  Rng rng;
  rng_init(&rng, seed);
  for (int round = 0; round < 200; ++round) {
    enum { N = 40 };
    double prior[2][N];
    double like[2][N];
    int to[N] = {0};
    make_odds(&rng, prior[0], N);
    for (int i = 0; i < N; ++i) {
      const int at = rng_below(&rng, i + 1);
      to[i] = to[at];
      to[at] = i;
    }
    double prob[2][N];
    Arena arena;
    arena_init(&arena, NULL);
    for (int side = 0; side < 2; ++side) {
      for (int i = 0; i < N; ++i) {
        like[0][i] = side ? like[0][i] : rng_unit(&rng);
        prior[1][to[i]] = prior[0][i];
        like[1][to[i]] = like[0][i];
      }
      const int n = N;
      const double* const priors[1] = {prior[side]};
      const BeliefState none = {1.0, 0, NULL};
      const BeliefModel model = {1, &n, priors, 1, &none};
      Belief* belief = NULL;
      assert_int_equal(belief_init(&arena, &model, &belief), STATUS_OK);
      assert_int_equal(belief_update(belief, 0, like[side]), STATUS_OK);
      belief_hyps(belief, 0, prob[side]);
    }
    for (int i = 0; i < N; ++i) {
      CHECK_NEAR("seed 21", prob[1][to[i]], prob[0][i], 1e-14);
    }
    arena_deinit(&arena);
  }
}

static void
bad_models_are_refused(void** state)
{
  (void)state;
  static const double short_prob[3] = {.7, .2, .05};
  static const double* const short_priors[2] = {short_prob, line1};
  static const int twice[2] = {0, 0};
  static const int outside[2] = {0, 2};
  static const int wrong_local[4] = {1, 1, 2, 2};
  static const double negative[2] = {1.5, -.5};
  const BeliefGroup bad_groups[] = {
    {2, twice, 2, pair_prob, pair_local}, {2, outside, 2, pair_prob, pair_local},
    {2, both, 2, pair_prob, wrong_local}, {2, both, 2, negative, pair_local},
    {0, both, 2, pair_prob, pair_local},  {2, both, 0, pair_prob, pair_local},
  };
  const BeliefGroup overlap[2] = {pair, pair};
  const BeliefState none = {.99, 0, NULL};
  Arena arena;
  arena_init(&arena, NULL);
  Belief* belief = NULL;
  for (size_t i = 0; i < sizeof(bad_groups) / sizeof(bad_groups[0]); ++i) {
    const BeliefState states[2] = {none, {.01, 1, &bad_groups[i]}};
    const BeliefModel model = {2, two_locals, two_priors, 2, states};
    assert_int_equal(belief_init(&arena, &model, &belief), STATUS_BAD_ARG);
  }
  const BeliefState doubled[2] = {none, {.01, 2, overlap}};
  const BeliefState first_touches[2] = {{.99, 1, &pair}, {.01, 0, NULL}};
  const BeliefModel models[] = {
    {2, two_locals, two_priors, 2, doubled},      {2, two_locals, two_priors, 2, first_touches},
    {2, two_locals, short_priors, 2, two_states}, {2, two_locals, two_priors, 1, two_states},
    {2, two_locals, two_priors, 0, two_states},
  };
  for (size_t i = 0; i < sizeof(models) / sizeof(models[0]); ++i) {
    assert_int_equal(belief_init(&arena, &models[i], &belief), STATUS_BAD_ARG);
  }
  assert_null(belief);
  arena_deinit(&arena);
}

static void
something_else_keeps_its_floor(void** state)
{
  (void)state;
  double prob[3] = {.6, .39, .01};
  belief_keep_other(prob, 3, 2, .05);
  CHECK_NEAR("other", prob[2], .05, 0.0);
  CHECK_NEAR("ratio", prob[0] / prob[1], .6 / .39, 1e-15);
  CHECK_NEAR("sum", prob[0] + prob[1] + prob[2], 1.0, 1e-15);
  belief_keep_other(prob, 3, 2, .02);
  CHECK_NEAR("above the floor", prob[2], .05, 0.0);
  double alone[2] = {0.0, 0.0};
  belief_keep_other(alone, 2, 0, .1);
  CHECK_NEAR("alone", alone[0], 1.0, 0.0);
}

static void
every_allocation_can_fail(void** state)
{
  (void)state;
  enum { N = 6000, N_BIG_LINES = 12000 }; // So that every array needs its own block
  int* const n_locals = malloc(N_BIG_LINES * sizeof(int));
  const double** const priors = malloc(N_BIG_LINES * sizeof(double*));
  int* const lines = malloc(N_BIG_LINES * sizeof(int));
  double* const long_prior = calloc(N, sizeof(double));
  int* const locals = calloc(N, sizeof(int));
  BeliefGroup* const groups = malloc(N_BIG_LINES * sizeof(BeliefGroup));
  static const double sure[1] = {1.0};
  long_prior[0] = 1.0;
  for (int i = 0; i < N_BIG_LINES; ++i) {
    n_locals[i] = i ? 1 : N;
    priors[i] = i ? sure : long_prior;
    lines[i] = i;
    groups[i] = (BeliefGroup){1, &lines[i], 1, sure, locals};
  }
  const BeliefState states[2] = {{.5, 0, NULL}, {.5, N_BIG_LINES, groups}};
  const BeliefModel model = {N_BIG_LINES, n_locals, priors, 2, states};
  int n_failed = 0;
  for (int at = 1;; ++at) {
    FailingHeap heap = {0, at, 0};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &from);
    Belief* belief = NULL;
    const Status st = belief_init(&arena, &model, &belief);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    if (st == STATUS_OK) {
      break;
    }
    assert_int_equal(st, STATUS_NO_MEMORY);
    assert_null(belief);
    ++n_failed;
  }
  assert_true(n_failed >= 8);
  free(n_locals);
  free(priors);
  free(lines);
  free(long_prior);
  free(locals);
  free(groups);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(noisy_or_is_quickscore_is_enumeration),
    cmocka_unit_test(random_models_agree_with_enumeration_in_any_order),
    cmocka_unit_test(hundreds_of_readings_do_not_underflow_and_can_be_revived),
    cmocka_unit_test(a_line_without_explanation_leaves_the_shared_state),
    cmocka_unit_test(permuting_locals_permutes_odds),
    cmocka_unit_test(bad_models_are_refused),
    cmocka_unit_test(something_else_keeps_its_floor),
    cmocka_unit_test(every_allocation_can_fail),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
