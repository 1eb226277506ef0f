// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/tester.h"

#include <math.h>

#define THERMAL_V 0.025852 // kT/q at 300 K
#define GREEN_SLOPE (1.9 * THERMAL_V)
#define RED_SLOPE (1.8 * THERMAL_V)
#define OWN_OHM 10.0

static LampDiode
diode(double forward_v, double slope_v)
{
  if (forward_v <= 0.0) {
    return (LampDiode){1e-100, 0.2, 1e6};
  }
  return lamp_diode(forward_v + 1e-3 * OWN_OHM, slope_v, OWN_OHM);
}

Status
tester_lamps(const Tester* tester, LampTester* out)
{
  LampTester lamps = {.n_lamps = 0};
  for (int i = 0; i < tester->n_parts; ++i) {
    const TesterPart* const p = &tester->parts[i];
    if (p->sort == TESTER_LAMP && lamps.n_lamps < LAMP_MAX) {
      lamps.lamps[lamps.n_lamps++] = (Lamp){
        p->from - 1, p->to - 1, p->ohm, diode(p->green_v, GREEN_SLOPE), diode(p->red_v, RED_SLOPE)};
    } else if (p->sort == TESTER_BATTERY && lamps.n_batteries < LAMP_BATTERIES) {
      lamps.batteries[lamps.n_batteries++] =
        (LampBattery){p->from - 1, p->to - 1, p->volts, p->ohm};
    } else if (p->sort != TESTER_SENDER) {
      return STATUS_BAD_ARG;
    }
  }
  Status st = STATUS_OK;
  TRY(st, lamp_ready(&lamps, tester->n_contacts));
  *out = lamps;
  return STATUS_OK;
}

void
tester_sender(const Tester* tester, double sign, Port* port)
{
  port_init(port, tester->n_contacts);
  for (int i = 0; i < tester->n_parts; ++i) {
    const TesterPart* const p = &tester->parts[i];
    if (p->sort != TESTER_SENDER) {
      continue;
    }
    if (p->to == 0) {
      port_source_to_earth(port, p->from - 1, sign * p->volts, p->ohm);
    } else {
      port_source(port, p->from - 1, p->to - 1, sign * p->volts, p->ohm);
    }
  }
}

double
tester_ohm(const Meter* meter, const Port* port)
{
  Port p;
  port_copy(&p, port);
  double v[PORT_MAX];
  port_source(&p, 1, 2, meter->emf_v, meter->ohm);
  (void)port_solve(&p, v);
  const double drop = v[1] - v[2];
  const double current_a = (meter->emf_v - drop) / meter->ohm;
  return current_a < 1e-9 ? (double)INFINITY : fabs(drop / current_a);
}
