// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  A policy problem that owns its tables, for tests and the bench: filled by hand row by row, or at
  random from a seed.
*/

#include "base/rng.h"
#include "reason/policy.h"

#include <math.h>
#include <string.h>

enum { MADE_HYPS = 64, MADE_CHECKS = 48, MADE_REPAIRS = 24, MADE_ZONES = 4, MADE_PEOPLE = 4 };

/// Most of each in a problem made at random.
enum { MADE_RANDOM_HYPS = 48, MADE_RANDOM_CHECKS = 16, MADE_RANDOM_REPAIRS = 16 };

typedef struct {
  double prob[MADE_HYPS];
  double like[MADE_CHECKS][POLICY_MAX_OUTCOMES * MADE_HYPS];
  PolicyCheck checks[MADE_CHECKS];
  double fixes[MADE_REPAIRS][MADE_HYPS];
  PolicyRepair repairs[MADE_REPAIRS];
  double walk_s[MADE_ZONES * MADE_ZONES];
  int person_zone[MADE_PEOPLE];
  PolicyProblem problem;
} MadeProblem;

/// One person in zone 0 of one zone; nothing to do yet.
static inline void
made_init(MadeProblem* made, const double* prob, int n_hyps)
{
  memset(made, 0, sizeof(*made));
  memcpy(made->prob, prob, (size_t)n_hyps * sizeof(double));
  made->problem = (PolicyProblem){.n_hyps = n_hyps,
                                  .prob = made->prob,
                                  .checks = made->checks,
                                  .repairs = made->repairs,
                                  .n_zones = 1,
                                  .walk_s = made->walk_s,
                                  .n_people = 1,
                                  .person_zone = made->person_zone,
                                  .free_people = ~UINT32_C(0)};
}

/// Repair that fixes the hypotheses in the bit set for certain.
static inline PolicyRepair*
made_repair(MadeProblem* made, int zone, double seconds, uint64_t fixed)
{
  const int r = made->problem.n_repairs++;
  for (int h = 0; h < made->problem.n_hyps; ++h) {
    made->fixes[r][h] = (double)(fixed >> h & 1);
  }
  made->repairs[r] = (PolicyRepair){zone, seconds, ~UINT32_C(0), made->fixes[r], true};
  return &made->repairs[r];
}

/// Check of two outcomes: outcome 1 for the hypotheses in the bit set, misread with `misread_prob`.
static inline PolicyCheck*
made_check(MadeProblem* made, int zone, double seconds, uint64_t shows, double misread_prob)
{
  const int c = made->problem.n_checks++;
  const int n_hyps = made->problem.n_hyps;
  for (int h = 0; h < n_hyps; ++h) {
    const double one = shows >> h & 1 ? 1.0 - misread_prob : misread_prob;
    made->like[c][h] = 1.0 - one;
    made->like[c][n_hyps + h] = one;
  }
  made->checks[c] = (PolicyCheck){zone, seconds, ~UINT32_C(0), 2, made->like[c], true};
  return &made->checks[c];
}

/// Everything at random: up to 3 people in 4 zones, imperfect repairs, a service half the time,
/// things not allowed, people not able. Half of the hypotheses copy the columns of another one.
static inline void
made_random(MadeProblem* made, Rng* rng)
{
  double prob[MADE_HYPS];
  double sum = 0.0;
  const int n_hyps = 2 + rng_below(rng, MADE_RANDOM_HYPS - 1);
  for (int h = 0; h < n_hyps; ++h) {
    prob[h] = rng_log(rng, 1e-4, 1.0);
    sum += prob[h];
  }
  for (int h = 0; h < n_hyps; ++h) {
    prob[h] /= sum;
  }
  made_init(made, prob, n_hyps);
  PolicyProblem* const p = &made->problem;
  int like_that_of[MADE_HYPS];
  for (int h = 0; h < n_hyps; ++h) {
    like_that_of[h] = rng_below(rng, 2) ? rng_below(rng, h + 1) : h;
  }
  p->n_zones = MADE_ZONES;
  for (int i = 0; i < MADE_ZONES; ++i) {
    for (int k = 0; k < i; ++k) {
      made->walk_s[i * MADE_ZONES + k] = rng_log(rng, 8.0, 90.0);
      made->walk_s[k * MADE_ZONES + i] = rng_log(rng, 8.0, 90.0);
    }
  }
  p->n_people = 1 + rng_below(rng, 3);
  p->free_people = rng_below(rng, 4) ? ~UINT32_C(0) : UINT32_C(1);
  for (int i = 0; i < p->n_people; ++i) {
    made->person_zone[i] = rng_below(rng, MADE_ZONES);
  }
  p->verify_s = rng_below(rng, 2) ? 4.0 : 0.0;
  const int n_checks = 1 + rng_below(rng, MADE_RANDOM_CHECKS);
  for (int c = 0; c < n_checks; ++c) {
    PolicyCheck* const check =
      made_check(made, rng_below(rng, MADE_ZONES + 1) - 1, rng_log(rng, 3.0, 40.0), 0, 0.0);
    check->n_outcomes = 1 + rng_below(rng, POLICY_MAX_OUTCOMES);
    check->people = 1u + (unsigned)rng_below(rng, 7);
    check->allowed = rng_below(rng, 6) != 0;
    for (int h = 0; h < n_hyps; ++h) {
      double* const like = made->like[c] + h;
      double all = 0.0;
      for (int o = 0; o < check->n_outcomes; ++o) {
        like[o * n_hyps] = rng_below(rng, 3) ? rng_unit(rng) : 1e-3;
        all += like[o * n_hyps];
      }
      for (int o = 0; o < check->n_outcomes; ++o) {
        like[o * n_hyps] = like_that_of[h] < h ? made->like[c][like_that_of[h] + o * n_hyps]
                                               : like[o * n_hyps] / all;
      }
    }
  }
  const int n_repairs = rng_below(rng, MADE_RANDOM_REPAIRS + 1);
  for (int r = 0; r < n_repairs; ++r) {
    PolicyRepair* const repair =
      made_repair(made, rng_below(rng, MADE_ZONES + 1) - 1, rng_log(rng, 20.0, 90.0), 0);
    repair->people = 1u + (unsigned)rng_below(rng, 7);
    repair->allowed = rng_below(rng, 6) != 0;
    for (int h = 0; h < n_hyps; ++h) {
      made->fixes[r][h] = like_that_of[h] < h ? made->fixes[r][like_that_of[h]]
                          : rng_below(rng, 4) ? 0.0
                                              : (double)rng_below(rng, 11) / 10.0;
    }
  }
  p->service = (PolicyService){rng_below(rng, MADE_ZONES), rng_log(rng, 60.0, 400.0), 7,
                               rng_below(rng, 2) != 0};
  p->deadline_s = rng_below(rng, 2) ? rng_log(rng, 30.0, 400.0) : 0.0;
}

/// Reference instance R5 (reasoning 2, own data): stage, box and console; mic, mic cable, box,
/// multicore, console input. The whole spare line is the last repair.
static inline void
made_r5(MadeProblem* made, double misread_prob, int start_zone)
{
  static const double walk[9] = {0, 15, 45, 15, 0, 30, 45, 30, 0};
  made_init(made, (double[]){.10, .40, .10, .25, .15}, 5);
  made->problem.n_zones = 3;
  memcpy(made->walk_s, walk, sizeof(walk));
  made->person_zone[0] = start_zone;
  made_check(made, 0, 20, 0x03, misread_prob);              // Tap after the cable
  made_check(made, 1, 15, 0x07, misread_prob);              // Tap after the box
  made_check(made, 2, 10, 0x0F, misread_prob);              // Tap after the multicore
  made_check(made, POLICY_ANYWHERE, 5, 0x10, misread_prob); // Remote look at the console
  made_check(made, 0, 25, 0x02, misread_prob);              // Continuity of the cable
  made_repair(made, 0, 30, 0x01);                           // Swap the microphone
  made_repair(made, 0, 25, 0x02);                           // Swap the cable
  made_repair(made, 1, 20, 0x04);                           // Spare box channel
  made_repair(made, 1, 60, 0x0C);                           // Spare pair
  made_repair(made, 2, 15, 0x10);                           // Other console input
  made_repair(made, 0, 240, 0x1F);                          // Whole spare line
}
