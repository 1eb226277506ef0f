// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/allot.h"

/*
  An assignment while it is made. Shared by the allot_* files and nobody else.
*/

typedef struct {
  Arena* arena;
  const Plant* plant;
  const Fold* fold;
  Plugged* p;
  const AllotOptions* options;
  Allotment out;
  int* rows; ///< [n_rows] plugs
  int n_rows;
  int* columns; ///< [n_columns] lines
  int n_columns;
  bool* after;      ///< [n_lines] the act after the next has a source there
  double* reach_m;  ///< [n_plugs] no cable longer than that for this one
  double* cables_m; ///< [n_cables] good microphone cables, the shortest first
  int n_cables;
  double* need_m;  ///< [n_lines] cable to another box, by allot_cable_excess; 0 = any will do
  bool are_listed; ///< Some list has microphone cables
  bool failed;
} AllotBuild;

// ---- Sources (allot_source.c) ----

/// The box its player is at: its own listed one, else that of most inputs that stand where it
/// stands, else one whose name says so. -1 = nobody knows.
int
allot_home_box(const Plant* plant, const Input* input);

// ---- What is taped off (allot_tape.c) ----

/// Fills `out.taped`.
Status
allot_tape(AllotBuild* w);

// ---- Cables (allot_cable.c) ----

/// The good ones, by length.
Status
allot_cable_init(AllotBuild* w);

/// Metres from a player's box to another one, on top of what reaches their own.
double
allot_cable_m(const Plant* plant, int home, int box);

/// How many good ones are that long at least.
int
allot_cable_count(const AllotBuild* w, double metres);

/// The longest that a plan in `out` needs more of than there are, and how many too many; 0 = none.
int
allot_cable_excess(AllotBuild* w, double* metres);

/// Which length each plug that goes to another box takes, after allot_cable_excess: `out.cable_m`.
Status
allot_cable_lengths(AllotBuild* w);
