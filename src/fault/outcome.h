// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/catalogue.h"
#include "fault/predict.h"

/*
  What faults that no circuit knows do to what is heard: switches, jacks, batteries and radio of a
  source, things in line, mutes, patches and phantom of a desk. Each changes a view that was solved
  without them and leaves alone what is not its own. Hum levels and shares are usual practice, no
  source. Pure; any thread.
*/

/// A fault of the source itself.
void
outcome_source(View* v, const Kind* kind, const Fault* f);

/// A fault of a thing in line between the source and its cable.
void
outcome_through(View* v, const Plant* plant, const Input* input, const Fault* f);

/// A fault at a desk.
void
outcome_desk(View* v, const Fault* f);

/// Phantom where it must not be.
void
outcome_phantom_on(View* v, const Kind* kind, const Fault* f);
