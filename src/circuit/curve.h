// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  The three curves the circuits need, written out so that every compiler and C library gives the
  same last digit: log, exp, and Wright's omega, which is what a resistor and a diode in series
  make of a voltage (w + log w = x).

  Plain functions, any thread.
*/

/// Natural logarithm of a normal x > 0; within 2 ulp.
double
curve_log(double x);

/// e to the x, x held to [-700, 700]; within 2 ulp.
double
curve_exp(double x);

/// The w > 0 with w + log w = x, x held to [-700, 1e300]; within 4 ulp or 1e-15 of x's own scale.
double
curve_omega(double x);
