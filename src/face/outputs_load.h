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
  double volts_full; ///< Of the power the list gives; 0 = not said
} OutputLoad;

/// @param loss_db What the cable lengths, @param volts what the power is worked out for.
OutputLoad
outputs_load(const Outputs* outputs, int circuit, double loss_db, double volts);

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
