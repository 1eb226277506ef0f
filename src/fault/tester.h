// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "circuit/lamp.h"
#include "stage/tester.h"

/*
  From a tester's words to a circuit.

      lamps' end                      sender's end
      resistor + lamp: LampTester     branches between contacts: a Port

  A lamp of data gives its junction's volts at 1 mA; slope and series resistance are those of the
  usual small lamps (circuit/lamp.h). A colour that is not there is a junction so high that 60 V
  drive less than 20 microamperes through it: dark. What a lamp does against its direction is left
  out: a real one wants a diode across it, as reverse ratings are some 5 V.
*/

/// The lamps' end, ready for lamp_solve. STATUS_BAD_ARG for data that no list could have given.
Status
tester_lamps(const Tester* tester, LampTester* out);

/// What the plug of the sender shows, alone: `sign` 1, or -1 with its battery the wrong way round.
void
tester_sender(const Tester* tester, double sign, Port* port);

/// Ohms across contacts 2-3 of a port as a meter reads them: a battery behind a resistance (never
/// an ideal current: an open pair would have no solution). INFINITY = open.
double
tester_ohm(const Meter* meter, const Port* port);
