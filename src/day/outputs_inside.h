// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/outputs.h"

/*
  How outputs.c makes its answer, in this order; each step needs what those before it left. All
  memory is the arena's; @return STATUS_OK, STATUS_NO_MEMORY.
*/

/// Readings of the day: o->seen, leads, air, what was left aside.
Status
outputs_take(Arena* arena, const Plant* plant, const Fold* fold, Outputs* o);

/// Each against its like: ohms and twins of `standing` [o->n]. Needs parts and seen.
Status
outputs_judge(Arena* arena, Outputs* o, OutputStanding* standing);

/// Drive lines and returns, their faults and what each shows: o->drives, o->drive_of.
Status
outputs_drives(Arena* arena, Outputs* o);

/// List what may be wrong with every circuit (o->locals) and with several at once (o->shared), and
/// start the odds. Needs plant, n, parts and drives.
Status
outputs_wrongs(Arena* arena, Outputs* o);

/// How each circuit stands, once the odds are weighed.
Status
outputs_stand(Arena* arena, Outputs* o, const Fold* fold, OutputStanding* standing);

/// How each drive line stands; `standing` [o->n_drives]. Needs the circuits' standing.
Status
outputs_stand_drives(Arena* arena, const Outputs* o, OutputDriveStanding* standing);

/// Whether a reading is what a healthy circuit shows.
bool
outputs_is_good(const Outputs* o, const OutputSeen* seen);

/// Whether a reading that is not good speaks against this circuit.
bool
outputs_tells_of(const Outputs* o, int circuit, const OutputSeen* seen);

/// Whether two circuits should read the same.
bool
outputs_alike(const OutputCircuit* a, const OutputCircuit* b);

/// A reading of impedance: whether a healthy circuit shows it, and its chance under a fault
/// [1/ohm].
bool
outputs_impedance_is_good(const Outputs* o, const OutputSeen* seen);
double
outputs_impedance_like(const Outputs* o, int circuit, const Wrong* wrong, const OutputSeen* seen);
