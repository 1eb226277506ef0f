// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  How open a question is: the entropy of masses that need not sum to one.
*/

/// Entropy in bits of `mass` [n] over `total`, their sum, times `total`: the mass of a node times
/// what is not known there. 0 for nothing. Within 1e-12 of the exact value for each term, and the
/// same on every machine.
double
entropy_bits(const double* mass, int n, double total);
