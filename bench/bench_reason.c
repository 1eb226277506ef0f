// SPDX-License-Identifier: GPL-3.0-or-later
/*
  One decision at the size of a bad day: 3,000 hypotheses (60 parts in 50 modes), 60 checks of two
  or three outcomes, 20 repairs, two people in four zones; 20 different days, the best of three runs
  each.
*/
#include "base/rng.h"
#include "measure.h"
#include "reason/ahead.h"
#include "reason/belief.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum {
  N_PARTS = 60,
  N_MODES = 50,
  N_HYPS = N_PARTS * N_MODES,
  N_CHECKS = 60,
  N_REPAIRS = 20,
  N_ZONES = 4,
  N_DAYS = 20,
  N_RUNS = 3,
};

typedef struct {
  double prob[N_HYPS];
  double like[N_CHECKS][3 * N_HYPS];
  double fixes[N_REPAIRS][N_HYPS];
  PolicyCheck checks[N_CHECKS];
  PolicyRepair repairs[N_REPAIRS];
  double walk_s[N_ZONES * N_ZONES];
  int person_zone[2];
  PolicyProblem problem;
} Day;

/// Taps see everything before their part, the others a random set of modes; misread 0.02.
static void
make_day(Day* day, uint64_t seed)
{
  Rng rng;
  rng_init(&rng, seed);
  double sum = 0.0;
  for (int h = 0; h < N_HYPS; ++h) {
    day->prob[h] = rng_log(&rng, 1e-4, 1.0);
    sum += day->prob[h];
  }
  for (int h = 0; h < N_HYPS; ++h) {
    day->prob[h] /= sum;
  }
  for (int c = 0; c < N_CHECKS; ++c) {
    const int n = 2 + c % 2;
    const bool tap = c % 3 == 0;
    for (int h = 0; h < N_HYPS; ++h) {
      const int part = h / N_MODES;
      const int mode = h % N_MODES;
      const int shows = tap ? part <= c : (mode * 7 + part * (c % 5 == 0) + c * 13) % 11 % n;
      for (int o = 0; o < n; ++o) {
        day->like[c][o * N_HYPS + h] = o == shows ? .98 : .02 / (n - 1);
      }
    }
    day->checks[c] = (PolicyCheck){
      rng_below(&rng, N_ZONES), rng_log(&rng, 3, 40), 1u + (unsigned)c % 3, n, day->like[c], true};
  }
  for (int r = 0; r < N_REPAIRS; ++r) {
    const int first = rng_below(&rng, N_PARTS);
    const int last = first + rng_below(&rng, 8);
    for (int h = 0; h < N_HYPS; ++h) {
      day->fixes[r][h] = h / N_MODES >= first && h / N_MODES <= last;
    }
    day->repairs[r] = (PolicyRepair){rng_below(&rng, N_ZONES), rng_log(&rng, 20, 90),
                                     1u + (unsigned)r % 3, day->fixes[r], true};
  }
  for (int i = 0; i < N_ZONES * N_ZONES; ++i) {
    day->walk_s[i] = i % (N_ZONES + 1) ? rng_log(&rng, 8, 90) : 0.0;
  }
  day->person_zone[1] = 2;
  day->problem = (PolicyProblem){.n_hyps = N_HYPS,
                                 .prob = day->prob,
                                 .n_checks = N_CHECKS,
                                 .checks = day->checks,
                                 .n_repairs = N_REPAIRS,
                                 .repairs = day->repairs,
                                 .service = {0, 300, 3, true},
                                 .verify_s = 3,
                                 .n_zones = N_ZONES,
                                 .walk_s = day->walk_s,
                                 .n_people = 2,
                                 .person_zone = day->person_zone,
                                 .free_people = 3};
}

typedef enum { TIME_ECR, TIME_ONE, TIME_TWO, TIME_USUAL, TIME_MERGE, TIME_COUNT } What;

static int
compare_doubles(const void* a, const void* b)
{
  const double x = *(const double*)a;
  const double y = *(const double*)b;
  return (x > y) - (x < y);
}

/// One first decision in ms; against a clock with `deadline_s` above 0.
static double
time_decision(Day* day, What what, double deadline_s, long* n_leaves)
{
  AheadOptions options = what == TIME_ONE ? ahead_one_step() : ahead_usual();
  options.depth = what == TIME_TWO ? 2 : options.depth;
  Arena arena;
  arena_init(&arena, NULL);
  PolicyProblem merged;
  PolicyPlan plan;
  AheadAnswer answer = {0};
  day->problem.deadline_s = deadline_s;
  const double start = measure_ms();
  const Status st =
    what == TIME_ECR ? policy_ecr(&day->problem, &arena, &plan)
    : what == TIME_MERGE
      ? policy_merge(&day->problem, &arena, &merged, NULL)
      : ahead_rank(&day->problem, deadline_s > 0.0 ? POLICY_BY_CHANCE : POLICY_BY_SECONDS, &options,
                   &arena, &answer);
  const double took = measure_ms() - start;
  arena_deinit(&arena);
  if (st != STATUS_OK) {
    exit(1);
  }
  *n_leaves = answer.n_leaves;
  return took;
}

/// Each kind of decision over many different days, one after the other in the same run.
static void
time_policy(Day* day)
{
  static const char* const names[TIME_COUNT] = {"odds_over_cost", "one_step", "two_steps_beam_8",
                                                "usual", "merge"};
  static double took[TIME_COUNT][2][N_DAYS];
  long most[TIME_COUNT] = {0};
  for (int k = 0; k < N_DAYS; ++k) {
    make_day(day, (uint64_t)k + 1);
    for (int what = 0; what < TIME_COUNT; ++what) {
      for (int clocked = 0; clocked < 2; ++clocked) {
        double best = HUGE_VAL;
        for (int run = 0; run < N_RUNS; ++run) {
          long n_leaves = 0;
          const double ms = time_decision(day, (What)what, clocked ? 180.0 : 0.0, &n_leaves);
          best = ms < best ? ms : best;
          most[what] = n_leaves > most[what] ? n_leaves : most[what];
        }
        took[what][clocked][k] = best;
      }
    }
  }
  for (int what = 0; what < TIME_COUNT; ++what) {
    for (int clocked = 0; clocked < 2; ++clocked) {
      double* const list = took[what][clocked];
      qsort(list, N_DAYS, sizeof(double), compare_doubles);
      const char* const how = clocked ? "_against_a_clock" : "";
      printf("figure: reason_%s%s_p50 %.3f ms\n", names[what], how, list[N_DAYS / 2]);
      printf("figure: reason_%s%s_p99 %.3f ms\n", names[what], how, list[N_DAYS * 99 / 100]);
    }
    printf("figure: reason_%s_leaves %ld at_most\n", names[what], most[what]);
  }
}

/// One reading on 48 lines of 60 locals under 200 states that touch 12 lines each.
static double
time_belief(void)
{
  enum { N_LINES = 48, N_LOCALS = 60, N_STATES = 200, N_TOUCHED = 12 };
  static double prior[N_LOCALS];
  static int locals[N_LOCALS];
  static int n_locals[N_LINES];
  static const double* priors[N_LINES];
  static int lines[N_STATES][N_TOUCHED];
  static BeliefGroup groups[N_STATES][N_TOUCHED];
  static BeliefState states[N_STATES];
  for (int f = 0; f < N_LOCALS; ++f) {
    prior[f] = 1.0 / N_LOCALS;
    locals[f] = f;
  }
  for (int line = 0; line < N_LINES; ++line) {
    n_locals[line] = N_LOCALS;
    priors[line] = prior;
  }
  for (int s = 0; s < N_STATES; ++s) {
    for (int k = 0; k < N_TOUCHED; ++k) {
      lines[s][k] = s % 4 * N_TOUCHED + k;
      groups[s][k] = (BeliefGroup){1, &lines[s][k], N_LOCALS, prior, locals};
    }
    states[s] = (BeliefState){1.0 / N_STATES, s ? N_TOUCHED : 0, groups[s]};
  }
  const BeliefModel model = {N_LINES, n_locals, priors, N_STATES, states};
  Arena arena;
  arena_init(&arena, NULL);
  Belief* belief = NULL;
  if (belief_init(&arena, &model, &belief) != STATUS_OK) {
    exit(1);
  }
  const int n = belief_n_hyps(belief, 0);
  double* const like = arena_array(&arena, (size_t)n, sizeof(double));
  Rng rng;
  rng_init(&rng, 1);
  double best = HUGE_VAL;
  for (int run = 0; like && run < 100; ++run) {
    for (int i = 0; i < n; ++i) {
      like[i] = rng_log(&rng, 1e-3, 1.0);
    }
    const double start = measure_ms();
    const Status st = belief_update(belief, 0, like);
    const double took = measure_ms() - start;
    best = st == STATUS_OK && took < best ? took : best;
  }
  arena_deinit(&arena);
  return best;
}

int
main(void)
{
  Day* const day = malloc(sizeof(Day));
  if (!day) {
    return 1;
  }
  time_policy(day);
  printf("figure: reason_belief_update_48_lines_200_states %.3f ms\n", time_belief());
  free(day);
  return 0;
}
