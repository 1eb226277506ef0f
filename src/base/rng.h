// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stdint.h>

/*
  Chance that can be repeated: the same seed gives the same numbers on every machine.
  SplitMix64 (Steele, Lea, Flood 2014, "Fast splittable pseudorandom number generators"):
  one 64-bit counter, a fixed mixing. For tests, rehearsals and benchmarks; never for secrets.
*/

typedef struct {
  uint64_t counter;
} Rng;

/// Start at a seed; any value is as good as another.
void
rng_init(Rng* rng, uint64_t seed);

/// The next 64 bits.
uint64_t
rng_bits(Rng* rng);

/// Uniform in [0, 1), 53 bits.
double
rng_unit(Rng* rng);

/// Uniform whole number in [0, n); n > 0. Bias below 2^-32 for n < 2^32.
int
rng_below(Rng* rng, int n);

/// Log-uniform in [low, high]; both > 0.
double
rng_log(Rng* rng, double low, double high);
