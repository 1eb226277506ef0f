// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/status.h"
#include "circuit/port.h"

/*
  Lamp testers: what lights when one is plugged onto a port.

        a o---[ohm]---+---green>---+---o b       current from a to b lights green,
                      +---<red-----+             from b to a red

  A resistor with a diode draws i = (s / R) w(u / s + log(I R / s) + I R / s) - I, with w Wright's
  omega, I the diode's saturation current and s its slope: no iteration inside a lamp, and it tends
  to (u - forward volts) / R, so Newton on the contacts' volts needs neither a limit on the junction
  nor small steps. Of the two diodes only the one the current flows through is counted; the other's
  saturation current, far below a picoampere, is left out.

  Lamp current of 0.3 mA counts as lit, from 0.05 mA as dim.
*/

enum { LAMP_MAX = 6, LAMP_BATTERIES = 3 };

#define LAMP_LIT_A 0.3e-3
#define LAMP_DIM_A 0.05e-3

/// One diode: i = saturation_a (exp(v / slope_v) - 1), with a resistance of its own in series.
typedef struct {
  double saturation_a; ///< [A], 1e-100 to 1e-9
  double slope_v;      ///< Emission coefficient times kT/q [V], 0.01 to 0.2
  double series_ohm;   ///< [ohm], >= 0
} LampDiode;

/// The diode that drops forward_v at 1 mA (its series resistance included) and slope_v more for
/// each factor e of current.
LampDiode
lamp_diode(double forward_v, double slope_v, double series_ohm);

/// The usual small lamps, 1.92 and 1.61 V over the junction at 1 mA and 10 ohm: figures of a
/// typical 3 mm kind, the ones the tester tables in tests/published were worked out with.
LampDiode
lamp_green(void);

LampDiode
lamp_red(void);

typedef struct {
  int a;      ///< Contact; green when current flows from a
  int b;      ///< to b
  double ohm; ///< Series resistor, > 0
  LampDiode green;
  LampDiode red;
} Lamp;

/// A battery inside the tester, plus at a; b -1 means earth.
typedef struct {
  int a;
  int b;
  double emf_v;
  double ohm; ///< > 0
} LampBattery;

/// Constants of one diode behind its resistor, worked out by lamp_ready.
typedef struct {
  double over_slope;
  double offset;
  double scale_a;
  double saturation_a;
} LampCurve;

/// Fill in lamps and batteries, then call lamp_ready once.
typedef struct {
  int n_lamps;
  int n_batteries;
  Lamp lamps[LAMP_MAX];
  LampBattery batteries[LAMP_BATTERIES];
  LampCurve curves[LAMP_MAX][2]; ///< [green, red], by lamp_ready
} LampTester;

/// STATUS_BAD_ARG if a contact, resistor or diode is out of its range for an n-contact port.
Status
lamp_ready(LampTester* tester, int n_contacts);

/// Current of one lamp at the volts across it (a against b), and how it grows with them. Any
/// thread.
double
lamp_current(const LampTester* tester, int lamp, double across_v, double* slope_siemens);

/**
   Plug a ready tester onto a port.

   @param[out] lamp_a    [n_lamps] current a to b [A]; negative is red.
   @param[out] contact_v [n] against earth, as port_solve; may be NULL.
   @param[out] n_rounds  Newton rounds taken; may be NULL.
   @return STATUS_OK; STATUS_NO_SOLUTION if 100 rounds do not settle (none of a million random nets
   of contacts on dark lamps alone, gigohm leaks and milliohm shorts, 44 rounds at most).
   Untouched on error.

   Every lamp's current agrees with its own volts to 1 pA. Allocates nothing; any thread.
*/
Status
lamp_solve(const LampTester* tester, const Port* port, double lamp_a[], double contact_v[],
           int* n_rounds);

/// One letter a lamp: G or R lit, d dim either way, . dark; ended by a zero. text [LAMP_MAX + 1].
void
lamp_picture(const double lamp_a[], int n_lamps, char text[]);
