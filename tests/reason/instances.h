// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  Random lines in the manner of a stage, for measuring rules against each other: parts in a chain
  through four zones, modes within a part, taps along the chain, remote looks, checks of single
  parts, swaps, a spare that covers a span, a re-seat that mends one mode only, and a whole spare
  line as the service. Walks 8 to 90 s, taps 10 to 30, looks 3 to 8, part checks 5 to 40, swaps 20
  to 90, the spare line 240 to 420. All random; nobody measured a stage for it.
*/

#include "made_problem.h"

typedef struct {
  int n_parts, n_modes;
  int n_taps, n_looks, n_part_checks;
  int n_spans, n_reseats; ///< Repairs beside one swap a part
  double misread_prob;
  double round_s; ///< Every time rounded to this; 0 = not
} InstanceShape;

static inline double
instance_s(Rng* rng, const InstanceShape* shape, double low, double high)
{
  const double s = low + (high - low) * rng_unit(rng);
  return shape->round_s > 0.0 ? fmax(1.0, nearbyint(s / shape->round_s)) * shape->round_s : s;
}

static inline uint64_t
instance_parts(const InstanceShape* shape, int first, int last)
{
  uint64_t set = 0;
  for (int h = first * shape->n_modes; h < (last + 1) * shape->n_modes; ++h) {
    set |= UINT64_C(1) << h;
  }
  return set;
}

/// Sizes within MADE_HYPS, MADE_CHECKS and MADE_REPAIRS.
static inline void
instance_make(MadeProblem* made, const InstanceShape* shape, Rng* rng)
{
  const int n_hyps = shape->n_parts * shape->n_modes;
  double prob[MADE_HYPS];
  double sum = 0.0;
  for (int h = 0; h < n_hyps; ++h) {
    prob[h] = rng_log(rng, 0.02, 1.0);
    sum += prob[h];
  }
  for (int h = 0; h < n_hyps; ++h) {
    prob[h] /= sum;
  }
  made_init(made, prob, n_hyps);
  PolicyProblem* const p = &made->problem;
  p->n_zones = MADE_ZONES;
  for (int i = 0; i < MADE_ZONES; ++i) {
    for (int k = 0; k < i; ++k) {
      const double s = instance_s(rng, shape, 8.0, 90.0);
      made->walk_s[i * MADE_ZONES + k] = s;
      made->walk_s[k * MADE_ZONES + i] = s;
    }
  }
  made->person_zone[0] = rng_below(rng, MADE_ZONES);
  int zone[MADE_HYPS];
  for (int k = 0; k < shape->n_parts; ++k) { // The chain runs through the zones in order
    zone[k] = k * MADE_ZONES / shape->n_parts;
  }
  for (int i = 0; i < shape->n_taps; ++i) {
    const int part = shape->n_taps >= shape->n_parts - 1 ? i % (shape->n_parts - 1)
                                                         : rng_below(rng, shape->n_parts - 1);
    made_check(made, zone[part], instance_s(rng, shape, 10.0, 30.0), instance_parts(shape, 0, part),
               shape->misread_prob);
  }
  for (int i = 0; i < shape->n_looks; ++i) { // Shows some modes of the last parts, from anywhere
    const int part = shape->n_parts - 1 - rng_below(rng, 2);
    uint64_t set = 0;
    for (int m = 0; m < shape->n_modes; ++m) {
      set |= rng_below(rng, 3) ? UINT64_C(1) << (part * shape->n_modes + m) : 0;
    }
    made_check(made, POLICY_ANYWHERE, instance_s(rng, shape, 3.0, 8.0),
               set ? set : instance_parts(shape, part, part), shape->misread_prob);
  }
  for (int i = 0; i < shape->n_part_checks; ++i) {
    const int part = rng_below(rng, shape->n_parts);
    made_check(made, zone[part], instance_s(rng, shape, 5.0, 40.0),
               instance_parts(shape, part, part), shape->misread_prob);
  }
  for (int k = 0; k < shape->n_parts; ++k) {
    made_repair(made, zone[k], instance_s(rng, shape, 20.0, 90.0), instance_parts(shape, k, k));
  }
  for (int i = 0; i < shape->n_spans; ++i) {
    const int first = rng_below(rng, shape->n_parts - 1);
    made_repair(made, zone[first], instance_s(rng, shape, 20.0, 90.0),
                instance_parts(shape, first, first + 1));
  }
  for (int i = 0; i < shape->n_reseats; ++i) {
    const int part = rng_below(rng, shape->n_parts);
    made_repair(made, zone[part], instance_s(rng, shape, 20.0, 45.0),
                UINT64_C(1) << (part * shape->n_modes + rng_below(rng, shape->n_modes)));
  }
  p->service = (PolicyService){0, instance_s(rng, shape, 240.0, 420.0), 1, true};
}
