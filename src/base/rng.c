// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"

#include <math.h>

void
rng_init(Rng* rng, uint64_t seed)
{
  rng->counter = seed;
}

uint64_t
rng_bits(Rng* rng)
{
  uint64_t z = (rng->counter += 0x9E3779B97F4A7C15u);
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
  return z ^ (z >> 31);
}

double
rng_unit(Rng* rng)
{
  return (double)(rng_bits(rng) >> 11) * 0x1p-53;
}

int
rng_below(Rng* rng, int n)
{
  return (int)(((rng_bits(rng) >> 32) * (uint64_t)n) >> 32);
}

double
rng_log(Rng* rng, double low, double high)
{
  return exp(log(low) + rng_unit(rng) * (log(high) - log(low)));
}
