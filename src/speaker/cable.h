// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "circuit/conductor.h"

/*
  What a loudspeaker cable takes away.

      amplifier o--[amp]--[ r L ]--+
                                  [Z]      loop = 2 r L
                o---------[ r L ]--+

  Loss is that of the load's volts, 20 log10(Z / (Z + loop)). What the cable turns into heat and
  what the load misses are two figures, about 1 : 2, because the load sees fewer volts besides.
  Lengths are those of the cable, ohms per metre those of one conductor (circuit/conductor.h).

  Pure; any thread. The load is taken as a plain resistance.
*/

typedef struct {
  double loop_ohm;
  double loss_db;     ///< Of the load's volts, <= 0
  double load_ratio;  ///< Power in the load against that without cable
  double cable_ratio; ///< Of the power drawn, what the cable turns into heat
  double
    damping_ratio; ///< Load over amplifier and loop (IEC 60268-3, from memory); INFINITY = none
} CableFigures;

/// @param load_ohm > 0. @param loop_ohm, amp_ohm >= 0.
CableFigures
cable_figures(double loop_ohm, double load_ohm, double amp_ohm);

/// Watts at `volts` of the amplifier: drawn, in the cable, in the load.
typedef struct {
  double drawn_w, cable_w, load_w;
} CableWatts;

CableWatts
cable_watts(double loop_ohm, double load_ohm, double volts);

/// Loop that costs so many decibels (> 0) on a load.
double
cable_loop_for(double load_ohm, double loss_db);

/// Longest cable that costs no more than `loss_db`, by the largest ohms its section may have.
double
cable_longest_m(const Conductor* conductor, double load_ohm, double loss_db);

/// Smallest section of IEC 60228 that costs no more than `loss_db` on so many metres; 0 = none of
/// the table does.
double
cable_section_mm2(double length_m, double load_ohm, double loss_db);
