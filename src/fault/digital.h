// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/predict.h"
#include "fault/shared.h"

/*
  What is peculiar to lines of a digital box: their faults, the shared states of a box, and what
  both make of a view.

      source --cable-- socket, preamplifier (48 V, 2 kohm) ==network lead(s)== every desk
                                 box: power, clock, owner

  The copper ends in the box, so volts, lamps and ohms at the socket come from the same circuits as
  on any line (fault/template builds them); behind the preamplifier all is numbers, which are there
  for every desk alike or for none. One desk owns the box: its gain, phantom and pad count, and
  those that the other desks show mean nothing.
*/

enum { DIGITAL_MAX_FAULTS = 6 + 2 * PLANT_DESKS, DIGITAL_MAX_STATES = 6 };

/// The faults between the socket and the desks of a digital line, the desks' own included, with
/// their chances before any reading. `kind` of what is plugged, NULL = nothing. Returns how many.
int
digital_faults(const Plant* plant, int line, const Kind* kind, Fault faults[DIGITAL_MAX_FAULTS]);

/// A shared state of a box: every line of the box has `fault` in it.
typedef struct {
  SharedSort sort;
  double prob;
  Fault fault;
} DigitalState;

/// The shared states of a digital box; none for an analogue one. Returns how many.
int
digital_states(const Plant* plant, int act, int box, DigitalState states[DIGITAL_MAX_STATES]);

/// Whether a shared state is one of a digital box.
bool
digital_is_state(SharedSort sort);

/// Whether a fault takes phantom away from the socket: the one way in which what is wrong in a box
/// changes a circuit.
bool
digital_cuts_phantom(const Fault* fault);

/// What a fault of the box makes of a view that its circuit has filled already.
void
digital_apply(View* view, const Plant* plant, int line, const Fault* fault);

/// A part of a digital box as a person says it: "preamplifier E7", "the network lead of box E"; in
/// `arena`, NULL when there is no memory or the part is none of a box.
const char*
digital_part(Arena* arena, const Plant* plant, int line, const Fault* fault);

/// One phrase for a shared state of a box; in `arena`, NULL as above.
const char*
digital_say(Arena* arena, const Plant* plant, const SharedState* state);
