// SPDX-License-Identifier: GPL-3.0-or-later
#include "reason/entropy.h"

#include <math.h>

/// log2 of x > 0 by frexp and the series of atanh: within 1e-13, and the same on every machine,
/// which a library's is not (it picks its code by the processor).
static double
log2_of(double x)
{
  int exponent = 0;
  double m = frexp(x, &exponent);
  if (m < 0.70710678118654752) {
    m *= 2.0;
    --exponent;
  }
  const double z = (m - 1.0) / (m + 1.0); // |z| <= 0.1716
  const double q = z * z;
  const double series =
    1.0 +
    q * (1.0 / 3 +
         q * (1.0 / 5 +
              q * (1.0 / 7 + q * (1.0 / 9 + q * (1.0 / 11 + q * (1.0 / 13 + q * (1.0 / 15)))))));
  return exponent + 2.8853900817779268 * z * series; // 2 / ln 2
}

double
entropy_bits(const double* mass, int n, double total)
{
  double sum = 0.0;
  for (int c = 0; c < n; ++c) {
    sum += mass[c] > 0.0 ? mass[c] * log2_of(total / mass[c]) : 0.0;
  }
  return sum;
}
