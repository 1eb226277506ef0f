// SPDX-License-Identifier: GPL-3.0-or-later
#include "circuit/lamp.h"

#include "circuit/curve.h"

#include <math.h>

/*
  Newton with lamps as chords. In each round every lamp is a conductance and a current source
  touching its curve at the volts of the last round; the net of these is solved exactly. The misfit
  is the difference between a lamp's own current and its straight line's. The step is taken whole if
  the worst misfit at least halves; otherwise only as far as the net's energy along it falls. The
  energy of resistors, batteries and lamps is convex, so such a step always descends: a contact that
  hangs on dark lamps alone asks for far too much and gets just enough to light one. A part of a
  step leaves the other part of the error before it: the net is settled when what each lamp would
  have to be wrong by, for all to fit, is below a picoampere.
*/

enum { ROUNDS_MAX = 100 };

#define SETTLED_A 1e-12

LampDiode
lamp_diode(double forward_v, double slope_v, double series_ohm)
{
  const double junction_v = forward_v - 1e-3 * series_ohm;
  return (LampDiode){1e-3 * curve_exp(-junction_v / slope_v), slope_v, series_ohm};
}

/// kT/q at 300 K [V]
#define THERMAL_V 0.025852

LampDiode
lamp_green(void)
{
  return (LampDiode){1e-20, 1.9 * THERMAL_V, 10.0};
}

LampDiode
lamp_red(void)
{
  return (LampDiode){1e-18, 1.8 * THERMAL_V, 10.0};
}

static bool
diode_is_sound(const LampDiode* d)
{
  return d->saturation_a >= 1e-100 && d->saturation_a <= 1e-9 && d->slope_v >= 0.01 &&
         d->slope_v <= 0.2 && d->series_ohm >= 0.0 && d->series_ohm <= 1e6;
}

static LampCurve
curve_of(const LampDiode* d, double resistor_ohm)
{
  const double ohm = resistor_ohm + d->series_ohm;
  const double ratio = d->saturation_a * ohm / d->slope_v;
  return (LampCurve){1.0 / d->slope_v, curve_log(ratio) + ratio, d->slope_v / ohm, d->saturation_a};
}

Status
lamp_ready(LampTester* tester, int n)
{
  if (tester->n_lamps < 0 || tester->n_lamps > LAMP_MAX || tester->n_batteries < 0 ||
      tester->n_batteries > LAMP_BATTERIES) {
    return STATUS_BAD_ARG;
  }
  for (int i = 0; i < tester->n_lamps; ++i) {
    const Lamp* const l = &tester->lamps[i];
    if (l->a < 0 || l->a >= n || l->b < 0 || l->b >= n || l->a == l->b || !(l->ohm >= 1e-3) ||
        !(l->ohm <= 1e9) || !diode_is_sound(&l->green) || !diode_is_sound(&l->red)) {
      return STATUS_BAD_ARG;
    }
  }
  for (int i = 0; i < tester->n_batteries; ++i) {
    const LampBattery* const b = &tester->batteries[i];
    if (b->a < 0 || b->a >= n || b->b < -1 || b->b >= n || b->a == b->b ||
        !(fabs(b->emf_v) <= 1e4) || !(b->ohm > 0.0)) {
      return STATUS_BAD_ARG;
    }
  }
  for (int i = 0; i < tester->n_lamps; ++i) {
    const Lamp* const l = &tester->lamps[i];
    tester->curves[i][0] = curve_of(&l->green, l->ohm);
    tester->curves[i][1] = curve_of(&l->red, l->ohm);
  }
  return STATUS_OK;
}

double
lamp_current(const LampTester* tester, int lamp, double across_v, double* slope_siemens)
{
  const LampCurve* const c = &tester->curves[lamp][across_v < 0.0];
  const double w = curve_omega(fabs(across_v) * c->over_slope + c->offset);
  const double current_a = c->scale_a * w - c->saturation_a;
  *slope_siemens = c->scale_a * c->over_slope * (w / (1.0 + w));
  return across_v < 0.0 ? -current_a : current_a;
}

/// A lamp's chord (touching its curve) in a round, and where the round left it.
typedef struct {
  int pair;
  double slope_siemens;
  double across_v;  ///< Where the chord touches
  double current_a; ///< There
} Chord;

/// The straight line's current.
static double
chord_a(const Chord* chord, double across_v)
{
  return chord->current_a + chord->slope_siemens * (across_v - chord->across_v);
}

/// Twice the power the linear part and the chords take from a step: the fall of the energy's slope.
static double
step_power(const Port* port, const LampTester* tester, const Chord chords[], const double step_v[])
{
  double sum = 0.0;
  for (int b = 0; b < port->n; ++b) {
    sum += port->e[b] * step_v[b] * step_v[b];
    for (int a = 0; a < b; ++a) {
      const double d = step_v[a] - step_v[b];
      sum += port->g[port_pair(a, b)] * d * d;
    }
  }
  for (int i = 0; i < tester->n_lamps; ++i) {
    const double d = step_v[tester->lamps[i].a] - step_v[tester->lamps[i].b];
    sum += chords[i].slope_siemens * d * d;
  }
  return sum;
}

/// How much of a step to take, 0 to 1: where the energy is least along it. The energy's slope
/// starts at minus the step's power and is known to rise; false position, with the end that stays
/// put halved (Illinois), finds its zero well enough: a quarter of the start will do.
static double
step_part(const Port* port, const LampTester* tester, const Chord chords[], const double from_v[],
          const double to_v[])
{
  double step_v[PORT_MAX];
  for (int i = 0; i < port->n; ++i) {
    step_v[i] = to_v[i] - from_v[i];
  }
  const double power_w = step_power(port, tester, chords, step_v);
  double low = 0.0;
  double high = 1.0;
  double low_w = -power_w;
  double high_w = 0.0;
  int stayed = 0;
  double part = 1.0;
  for (int k = 0; k < 40; ++k) {
    // The straight part's slope at `part` is (part - 1) times its power; the lamps add their misfit
    double slope_w = (part - 1.0) * power_w;
    for (int i = 0; i < tester->n_lamps; ++i) {
      const Lamp* const l = &tester->lamps[i];
      const double across_v = from_v[l->a] - from_v[l->b];
      const double rise_v = step_v[l->a] - step_v[l->b];
      double unused;
      const double at_v = across_v + part * rise_v;
      slope_w += rise_v * (lamp_current(tester, i, at_v, &unused) - chord_a(&chords[i], at_v));
    }
    if (fabs(slope_w) <= 0.25 * power_w || (part == 1.0 && slope_w < 0.0)) {
      break;
    }
    if (slope_w < 0.0) {
      low = part;
      low_w = slope_w;
      high_w *= stayed < 0 ? 0.5 : 1.0;
      stayed = -1;
    } else {
      high = part;
      high_w = slope_w;
      low_w *= stayed > 0 ? 0.5 : 1.0;
      stayed = 1;
    }
    part = low + (high - low) * low_w / (low_w - high_w);
  }
  return part;
}

/// Solve with the chords in place of the lamps.
static void
solve_chords(const Port* port, const LampTester* tester, const Chord chords[], double contact_v[])
{
  Port all;
  port_copy(&all, port);
  for (int i = 0; i < tester->n_lamps; ++i) {
    const Lamp* const l = &tester->lamps[i];
    const double rest_a = chords[i].current_a - chords[i].slope_siemens * chords[i].across_v;
    all.g[chords[i].pair] += chords[i].slope_siemens;
    all.t[chords[i].pair] += l->a < l->b ? rest_a : -rest_a;
  }
  port_solve(&all, contact_v);
}

Status
lamp_solve(const LampTester* tester, const Port* port, double lamp_a[], double contact_v[],
           int* n_rounds)
{
  Port with;
  port_copy(&with, port);
  for (int i = 0; i < tester->n_batteries; ++i) {
    const LampBattery* const b = &tester->batteries[i];
    if (b->b < 0) {
      port_source_to_earth(&with, b->a, b->emf_v, b->ohm);
    } else {
      port_source(&with, b->a, b->b, b->emf_v, b->ohm);
    }
  }
  const int n_lamps = tester->n_lamps;
  Chord chords[LAMP_MAX];
  for (int i = 0; i < n_lamps; ++i) {
    const Lamp* const l = &tester->lamps[i];
    chords[i] = (Chord){port_pair(l->a, l->b), 1.0 / l->ohm, 0.0, 0.0};
  }
  double old_v[PORT_MAX] = {0};
  double error_a[LAMP_MAX] = {0}; // What each lamp would have to be wrong by, for all to fit
  double worst_a = (double)INFINITY;
  for (int round = 1; round <= ROUNDS_MAX; ++round) {
    double v[PORT_MAX];
    double current_a[LAMP_MAX];
    double misfit_a[LAMP_MAX];
    double slope[LAMP_MAX];
    double worst_now_a = 0.0;
    solve_chords(&with, tester, chords, v);
    for (int i = 0; i < n_lamps; ++i) {
      const Lamp* const l = &tester->lamps[i];
      const double across_v = v[l->a] - v[l->b];
      current_a[i] = lamp_current(tester, i, across_v, &slope[i]);
      misfit_a[i] = current_a[i] - chord_a(&chords[i], across_v);
      worst_now_a = fmax(worst_now_a, fabs(misfit_a[i]));
    }
    if (worst_now_a > SETTLED_A && worst_now_a > 0.5 * worst_a) {
      const double part = step_part(&with, tester, chords, old_v, v);
      for (int i = 0; i < with.n; ++i) {
        v[i] = old_v[i] + part * (v[i] - old_v[i]);
      }
      for (int i = 0; i < n_lamps; ++i) {
        const Lamp* const l = &tester->lamps[i];
        const double across_v = v[l->a] - v[l->b];
        current_a[i] = lamp_current(tester, i, across_v, &slope[i]);
        misfit_a[i] = (1.0 - part) * error_a[i] + current_a[i] - chord_a(&chords[i], across_v);
      }
    }
    double worst_error_a = 0.0;
    for (int i = 0; i < n_lamps; ++i) {
      error_a[i] = misfit_a[i];
      worst_error_a = fmax(worst_error_a, fabs(error_a[i]));
    }
    if (worst_error_a <= SETTLED_A) {
      for (int i = 0; i < n_lamps; ++i) {
        lamp_a[i] = current_a[i];
      }
      for (int i = 0; contact_v && i < with.n; ++i) {
        contact_v[i] = v[i];
      }
      if (n_rounds) {
        *n_rounds = round;
      }
      return STATUS_OK;
    }
    worst_a = worst_now_a;
    for (int i = 0; i < with.n; ++i) {
      old_v[i] = v[i];
    }
    for (int i = 0; i < n_lamps; ++i) {
      const Lamp* const l = &tester->lamps[i];
      chords[i].slope_siemens = slope[i];
      chords[i].across_v = v[l->a] - v[l->b];
      chords[i].current_a = current_a[i];
    }
  }
  return STATUS_NO_SOLUTION;
}

void
lamp_picture(const double lamp_a[], int n_lamps, char text[])
{
  for (int i = 0; i < n_lamps; ++i) {
    const double size_a = fabs(lamp_a[i]);
    text[i] = size_a < LAMP_DIM_A ? '.' : size_a < LAMP_LIT_A ? 'd' : lamp_a[i] > 0.0 ? 'G' : 'R';
  }
  text[n_lamps] = '\0';
}
