// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/outputs.h"
#include "speaker/cable.h"
#include "speaker/limit.h"

/*
  Figures of one circuit that its screen and its JSON both show: load, cable and power, and what
  each fault would read. Pure but for the arena; one thread.
*/

typedef struct {
  LimitLoad load;
  double loop_ohm, loop_max_ohm;
  CableFigures cable;
  double longest_m, section_mm2;
  bool has_section;
  CableWatts watts;
  int n_drivers;
  double low_hz, high_hz; ///< What the power is worked out at; equal = one frequency
  PartsPower power;       ///< From the circuit itself
  PartsLine line;         ///< Of a 70 or 100 V line
  double volts_full;      ///< Of the power the list gives; 0 = not said
} OutputLoad;

/// What figures are worked out for.
typedef struct {
  double loss_db;         ///< The cable lengths
  double volts;           ///< The power
  double low_hz, high_hz; ///< And its frequency or band; 0 = what is usual for the circuit's band
} OutputFor;

OutputLoad
outputs_load(const Outputs* outputs, int circuit, const OutputFor* what);

enum { OUTPUT_MAX_ROWS = 40 };

// What each fault reads and how likely it is now, most likely first; equal ones (which of two
// boxes) stand together.
typedef struct {
  const char* fault;
  const char* part;
  double prob;
  double ohm;
  const char* plays;
} OutputRow;

/// @param[out] rows, n Untouched on error. @return STATUS_OK, STATUS_NO_MEMORY.
Status
outputs_rows(const Outputs* outputs, Arena* arena, int circuit, OutputRow rows[OUTPUT_MAX_ROWS],
             int* n);
