// SPDX-License-Identifier: GPL-3.0-or-later
#include "circuit/curve.h"

#include <stdint.h>
#include <string.h>

// log 2 cut so that a whole number times the first part is exact.
static const double log2_high = 0x1.62e42fee00000p-1;
static const double log2_low = 0x1.a39ef35793c76p-33;

/// x = 2^k m with m in [sqrt 1/2, sqrt 2); log m = 2 artanh s with s = (m - 1) / (m + 1).
double
curve_log(double x)
{
  uint64_t bits;
  memcpy(&bits, &x, sizeof(bits));
  int k = (int)(bits >> 52) - 1023;
  bits = (bits & 0x000fffffffffffffu) | 0x3ff0000000000000u;
  double m;
  memcpy(&m, &bits, sizeof(m));
  if (m > 1.4142135623730951) {
    m *= 0.5;
    ++k;
  }
  const double s = (m - 1.0) / (m + 1.0);
  const double q = s * s;
  // artanh's own series; q <= 0.0295, so the first term left out is below 1e-17 of the sum
  double sum = 1.0 / 21.0;
  sum = sum * q + 1.0 / 19.0;
  sum = sum * q + 1.0 / 17.0;
  sum = sum * q + 1.0 / 15.0;
  sum = sum * q + 1.0 / 13.0;
  sum = sum * q + 1.0 / 11.0;
  sum = sum * q + 1.0 / 9.0;
  sum = sum * q + 1.0 / 7.0;
  sum = sum * q + 1.0 / 5.0;
  sum = sum * q + 1.0 / 3.0;
  return (double)k * log2_high + (2.0 * s + (2.0 * s * q * sum + (double)k * log2_low));
}

/// x = k log 2 + r with |r| <= 0.35; e^r by its series.
double
curve_exp(double x)
{
  x = x < -700.0 ? -700.0 : x > 700.0 ? 700.0 : x;
  const int k = (int)(x * 1.4426950408889634 + (x < 0.0 ? -0.5 : 0.5));
  const double r = x - (double)k * log2_high - (double)k * log2_low;
  static const double over[] = {1.0 / 6227020800.0, 1.0 / 479001600.0, 1.0 / 39916800.0,
                                1.0 / 3628800.0,    1.0 / 362880.0,    1.0 / 40320.0,
                                1.0 / 5040.0,       1.0 / 720.0,       1.0 / 120.0,
                                1.0 / 24.0,         1.0 / 6.0,         0.5};
  double sum = over[0];
  for (int i = 1; i < 12; ++i) {
    sum = sum * r + over[i];
  }
  const uint64_t bits = (uint64_t)(k + 1023) << 52;
  double scale;
  memcpy(&scale, &bits, sizeof(scale));
  return (1.0 + (r + r * r * sum)) * scale;
}

/// Logarithm to 0.003, for a first guess; x as curve_log's.
static double
rough_log(double x)
{
  uint64_t bits;
  memcpy(&bits, &x, sizeof(bits));
  const int k = (int)(bits >> 52) - 1023;
  bits = (bits & 0x000fffffffffffffu) | 0x3ff0000000000000u;
  double m;
  memcpy(&m, &bits, sizeof(m));
  const double t = m - 1.0;
  return k * log2_high + t * (1.0 - t * (0.4707 - 0.1638 * t));
}

/*
  A first guess good to a few per cent, then two rounds of the fourth-order step of Fritsch, Shafer
  and Crowley (Algorithm 443, Communications of the ACM 16, 1973), which is for exactly this
  equation: with r = x - w - log w and t = (1 + w) (1 + w + 2 r / 3),
  w grows by the factor 1 + r / (1 + w) * (t - r / 2) / (t - r). What is left of an error r is about
  (r / w)^4 / 36 of w, so from x = 30 on, where a lit lamp lives, one round will do.
*/
double
curve_omega(double x)
{
  if (x < -36.0) {
    return curve_exp(x); // w = e^x (1 - e^x + ...), e^-36 is below half an ulp
  }
  double w;
  if (x < -1.0) {
    const double y = curve_exp(x);
    w = y / (1.0 + y);
  } else if (x < 3.0) {
    // Taylor about 1, where w(1) = 1 and w' = w / (1 + w)
    const double d = x - 1.0;
    w = 1.0 + d * (0.5 + d * (1.0 / 16.0 - d / 192.0));
  } else {
    const double y = rough_log(x);
    w = x - y + y / x;
  }
  for (int round = x > 30.0; round < 2; ++round) {
    const double r = x - w - curve_log(w);
    const double up = 1.0 + w;
    const double t = up * (up + (2.0 / 3.0) * r);
    w *= 1.0 + r / up * ((t - 0.5 * r) / (t - r));
  }
  return w;
}
