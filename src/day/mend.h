// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/shared.h"

/*
  How long it takes to find what is wrong with a line and mend it or go round it, roughly: for
  looking ahead over a whole pass, where `next` is asked only once it has happened.

  A crew tries things in the order of chance per second: look at the desk, the plug, the cable, the
  source, another socket, the tail. A fault of a kind costs everything up to its own, seeing it and
  telling somebody first. Seconds are the crew's own times; how far a search strays from them is
  MEND_SPREAD.
*/

typedef enum {
  MEND_DESK, ///< Mute, patch, phantom, pad: at a desk
  MEND_PLUG, ///< In the wrong socket
  MEND_CABLE,
  MEND_SOURCE, ///< The source and what stands in line
  MEND_SOCKET, ///< Another socket of the box, told to every desk
  MEND_DEEP,   ///< Tail, split, multicore, desk input, and what nobody can name
  MEND_KINDS
} MendKind;

/// Standard deviation of the log of the time a search takes: from quick and slow of "swap a cable"
/// and "move a plug at a box" (1 to 4 and 1 to 6; usual practice).
#define MEND_SPREAD 0.6

MendKind
mend_kind_of_fault(const Fault* fault);

MendKind
mend_kind_of_state(const SharedState* state);

/// Seconds by kind, usual practice or the crew's times; each at least that of the kind before it.
void
mend_times(const Plant* plant, double seconds[MEND_KINDS]);
