// SPDX-License-Identifier: GPL-3.0-or-later
#include "speaker/parts.h"

#include <math.h>

/*
  Watts of a circuit from its own parts, and what taps put on a 70 or 100 V line.

      amplifier o--[ cable ]--+--[ coil R L ]--+        every node of the network knows its watts;
                              |                |        drivers and cable are picked out by theirs
                o-------------+--[ C ][ high ]-+
*/

enum { POINTS_AN_OCTAVE = 12, MAX_POINTS = 12 * 12 };

static const Fail no_fail = {FAIL_NONE, FAIL_AT_CABLE, 0, NULL};

// The most that any high driver gets: resistors that are neither the cable, a link nor a low coil
// stand behind a capacitor, and only they do.
static double
high_watts(const Network* net, const double watts[])
{
  double most = 0.0;
  for (int i = 0; i < net->n; ++i) {
    const NetworkNode* const node = &net->nodes[i];
    if (node->kind == NETWORK_SERIES && net->nodes[node->a].kind == NETWORK_FARAD) {
      most = fmax(most, watts[node->b]);
    }
  }
  return most;
}

PartsPower
parts_power(const Parts* parts, double low_hz, double high_hz, double volts)
{
  PartsPower p = {.coil_is_known = parts->coil_h > 0.0};
  Network net;
  double watts[NETWORK_MAX];
  int driver[OUTPUT_MAX_BOXES * OUTPUT_MAX_DRIVERS];
  int cable = -1;
  if (!parts_network(parts, &no_fail, 20.0, 20.0, &net, driver, &cable)) {
    return (PartsPower){0};
  }
  const double octaves = log2(high_hz / low_hz);
  const int asked = 1 + (int)ceil(octaves * POINTS_AN_OCTAVE);
  const int n = asked < MAX_POINTS ? asked : MAX_POINTS;
  double drivers[OUTPUT_MAX_BOXES * OUTPUT_MAX_DRIVERS] = {0.0};
  const int n_drivers = parts->n_boxes * parts->n_drivers;
  double weights = 0.0;
  for (int i = 0; i < n; ++i) {
    const double hz = n > 1 ? low_hz * exp2(octaves * i / (n - 1)) : low_hz;
    const double weight = n > 1 && (i == 0 || i == n - 1) ? 0.5 : 1.0; // Trapezes
    network_watts(&net, hz, volts, watts);
    weights += weight;
    p.drawn_w += weight * watts[net.n - 1];
    p.cable_w += weight * watts[cable];
    p.high_w += weight * high_watts(&net, watts);
    for (int d = 0; d < n_drivers; ++d) {
      drivers[d] += weight * watts[driver[d]];
    }
  }
  for (int d = 0; d < n_drivers; ++d) {
    p.driver_w = fmax(p.driver_w, drivers[d] / weights);
  }
  p.drawn_w /= weights;
  p.cable_w /= weights;
  p.high_w /= weights;
  p.size_ohm = network_size_ohm(network_ac(&net, sqrt(low_hz * high_hz), NULL));
  p.is_known = true;
  return p;
}

PartsLine
parts_line(const OutputCircuit* c)
{
  const double square = c->line_v * c->line_v;
  const double boxes = c->n_boxes >= 1 ? c->n_boxes : 1;
  if (!(c->line_v > 0.0 && c->tap_w > 0.0)) {
    return (PartsLine){0};
  }
  PartsLine line = {.is_known = true,
                    .taps_w = boxes * c->tap_w,
                    .amp_w = c->amp_w,
                    .size_ohm = square / (boxes * c->tap_w),
                    .missing_ohm =
                      boxes > 1.0 ? square / ((boxes - 1.0) * c->tap_w) : (double)INFINITY,
                    .tap_high_ohm = square / ((boxes + 1.0) * c->tap_w)};
  line.of_amp_ratio = c->amp_w > 0.0 ? line.taps_w / c->amp_w : 0.0;
  line.is_too_much = line.of_amp_ratio > PARTS_LINE_SHARE;
  return line;
}
