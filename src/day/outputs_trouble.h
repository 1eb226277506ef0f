// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/outputs.h"
#include "reason/policy.h"

/*
  One circuit in trouble: its odds, and what can be checked and mended, as reason/policy.h takes
  them. Zones are where a person stands: at the amplifiers, at the boxes, at the desk.
*/

enum { ZONE_AMPS, ZONE_BOXES, ZONE_DESK, N_ZONES };
enum { MAX_CHECKS = 48, MAX_REPAIRS = 40, MAX_HYPS = 600 };

typedef struct {
  OutputCheck check;
  int at;
} OutputPlan;

typedef struct {
  OutputFix fix;
  int at;
} OutputFixPlan;

typedef struct {
  const Outputs* o;
  Arena* arena;
  int circuit;
  const OutputSuspect* hyps;
  double* prob;
  int n_hyps;
  OutputPlan plans[MAX_CHECKS];
  PolicyCheck checks[MAX_CHECKS];
  int n_checks;
  OutputFixPlan fixes[MAX_REPAIRS];
  PolicyRepair repairs[MAX_REPAIRS];
  int n_repairs;
} OutputTrouble;

/// What can be checked. Needs o, arena, circuit, hyps. @return STATUS_OK, STATUS_NO_MEMORY.
Status
outputs_add_checks(OutputTrouble* trouble);

/// What can be mended. As above.
Status
outputs_add_fixes(OutputTrouble* trouble);

/// Whether it changes what goes where: in vain it is the next fault.
bool
outputs_is_routing(OutputFix fix);

/// Seconds between the zones for a circuit: from row to column.
void
outputs_walks(const Outputs* outputs, int circuit, double walk_s[N_ZONES * N_ZONES]);

/// Zone where the last thing was done about a circuit.
int
outputs_stands_at(const Outputs* outputs, int circuit);
