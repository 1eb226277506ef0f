// SPDX-License-Identifier: GPL-3.0-or-later
/*
  One decision at the size of a bad day: 3,000 hypotheses (60 parts in 50 modes), 60 checks of two
  or three outcomes, 20 repairs, two people in four zones. The best of several runs is printed.
*/
#include "base/rng.h"
#include "reason/belief.h"
#include "reason/policy.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum {
  N_PARTS = 60,
  N_MODES = 50,
  N_HYPS = N_PARTS * N_MODES,
  N_CHECKS = 60,
  N_REPAIRS = 20,
  N_ZONES = 4,
  N_SEEDS = 3,
  N_RUNS = 15,
};

static double
now_ms(void)
{
  struct timespec t;
  (void)clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

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

/// Best of N_RUNS in ms; what = 0 rank, 1 rank against a clock, 2 merge, 3 merge and rank.
static double
time_policy(Day* day, int what, int* n_merged)
{
  double best = HUGE_VAL;
  for (int run = 0; run < N_RUNS; ++run) {
    Arena arena;
    arena_init(&arena, NULL);
    PolicyProblem merged = day->problem;
    PolicyChoice* choices = NULL;
    int n = 0;
    day->problem.deadline_s = what == 1 ? 180 : 0;
    const double start = now_ms();
    Status st = what >= 2 ? policy_merge(&day->problem, &arena, &merged, NULL) : STATUS_OK;
    if (st == STATUS_OK && what != 2) {
      st = policy_rank(what == 3 ? &merged : &day->problem,
                       what == 1 ? POLICY_BY_CHANCE : POLICY_BY_SECONDS, &arena, &choices, &n);
    }
    const double took = now_ms() - start;
    arena_deinit(&arena);
    if (st != STATUS_OK) {
      exit(1);
    }
    *n_merged = merged.n_hyps;
    best = took < best ? took : best;
  }
  return best;
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
    const double start = now_ms();
    const Status st = belief_update(belief, 0, like);
    const double took = now_ms() - start;
    best = st == STATUS_OK && took < best ? took : best;
  }
  arena_deinit(&arena);
  return best;
}

int
main(void)
{
  static const char* const names[] = {"reason_rank", "reason_rank_by_chance", "reason_merge",
                                      "reason_merge_and_rank"};
  Day* const day = malloc(sizeof(Day));
  if (!day) {
    return 1;
  }
  for (int what = 0; what < 4; ++what) {
    double worst = 0.0;
    int n_merged = 0;
    for (int seed = 1; seed <= N_SEEDS; ++seed) {
      make_day(day, (uint64_t)seed);
      const double took = time_policy(day, what, &n_merged);
      worst = took > worst ? took : worst;
    }
    printf("figure: %s_3000_60_20 %.3f ms\n", names[what], worst);
    if (what == 2) {
      printf("figure: reason_merged_of_3000 %d hypotheses\n", n_merged);
    }
  }
  printf("figure: reason_belief_update_48_lines_200_states %.3f ms\n", time_belief());
  free(day);
  return 0;
}
