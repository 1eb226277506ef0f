// SPDX-License-Identifier: GPL-3.0-or-later
#include "speaker/parts.h"

#include "circuit/conductor.h"

#include <math.h>
#include <string.h>

// Loop of so many metres, as pure copper and at most; false when the section is not known.
static bool
loop_of(double length_m, double mm2, int n_pairs, double* pure_ohm, double* max_ohm)
{
  Conductor c;
  if (!(length_m > 0.0 && mm2 > 0.0) || conductor_of_mm2(mm2, &c) != STATUS_OK) {
    return false;
  }
  *pure_ohm = 2.0 * length_m * c.pure_ohm_per_m / n_pairs;
  *max_ohm = 2.0 * length_m * c.max_ohm_per_m / n_pairs;
  return true;
}

Parts
parts_of(const OutputCircuit* c)
{
  Parts p = {0};
  const int n_pairs = c->n_poles >= 2 ? c->n_poles / 2 : 1;
  double most = 0.0;
  if (c->transmitter[0]) {
    return p;
  }
  p.n_boxes = c->n_boxes >= 1 ? c->n_boxes : 1;
  p.n_drivers = c->n_drivers >= 1 ? c->n_drivers : 1;
  p.drivers_are_assumed = c->n_drivers < 1;
  if (!loop_of(c->cable_m, c->cable_mm2, n_pairs, &p.cable_ohm, &p.cable_max_ohm)) {
    p.cable_ohm = c->cable_ohm;
    p.cable_max_ohm = c->cable_ohm;
    p.cable_is_listed = true;
  }
  (void)loop_of(c->link_m, c->cable_mm2, n_pairs, &p.link_ohm, &most);
  p.is_line = c->line_v > 0.0;
  if (p.is_line) {
    return p;
  }
  p.load_is_assumed = !(c->load_ohm > 0.0);
  p.load_ohm = p.load_is_assumed ? PARTS_DCR_RATIO * c->nominal_ohm : c->load_ohm;
  p.has_ohms = p.load_ohm > 0.0;
  p.driver_ohm = p.load_ohm * p.n_boxes * p.n_drivers;
  p.high_ohm = c->high_ohm;
  p.high_f = c->high_uf * 1e-6;
  p.coil_h = c->coil_mh * 1e-3;
  return p;
}

// ---- The network ----

typedef struct {
  Network* net;
  const Parts* parts;
  const Fail* fail;
  double cable_factor, coil_factor;
  int* driver;
} Builder;

static bool
is_at(const Fail* fail, FailMode mode, FailPart part, int at)
{
  return fail->mode == mode && fail->part == part && fail->at == at;
}

static int
ohm(Builder* b, double value)
{
  return network_add(b->net, NETWORK_OHM, value);
}

static int
series(Builder* b, int one, int two)
{
  return network_join(b->net, NETWORK_SERIES, one, two);
}

static int
parallel(Builder* b, int one, int two)
{
  return one < 0 ? two : network_join(b->net, NETWORK_PARALLEL, one, two);
}

// One box: its drivers in parallel, a passive one's high driver behind its capacitor.
static int
build_box(Builder* b, const Parts* parts, int box)
{
  int all = -1;
  for (int d = 0; d < parts->n_drivers; ++d) {
    const bool first = d == 0;
    const double coil = first && is_at(b->fail, FAIL_SHORT, FAIL_AT_DRIVER, box) ? 0.0
                        : first && is_at(b->fail, FAIL_OPEN, FAIL_AT_DRIVER, box)
                          ? (double)INFINITY
                          : parts->driver_ohm;
    const int node = ohm(b, coil * b->coil_factor);
    if (b->driver && parts == b->parts) {
      b->driver[(box - 1) * parts->n_drivers + d] = node;
    }
    const int coil_node = parts->coil_h > 0.0
                            ? series(b, node, network_add(b->net, NETWORK_HENRY, parts->coil_h))
                            : node;
    all = parallel(b, all, coil_node);
  }
  if (parts->high_ohm > 0.0 && parts->high_f > 0.0) {
    const int capacitor = network_add(b->net, NETWORK_FARAD, parts->high_f);
    all = parallel(b, all, series(b, capacitor, ohm(b, parts->high_ohm * b->coil_factor)));
  }
  if (is_at(b->fail, FAIL_OPEN, FAIL_AT_BOX, box)) {
    all = series(b, all, ohm(b, INFINITY));
  }
  return all;
}

// A run of two conductors with its own fault: a wire, and perhaps a short behind it.
static int
build_run(Builder* b, FailPart part, int at, double loop_ohm, int behind, int* wire)
{
  const Fail* const f = b->fail;
  double run = loop_ohm * b->cable_factor;
  if (is_at(f, FAIL_OPEN, part, at)) {
    run = INFINITY;
  } else if (is_at(f, FAIL_HIGH, part, at)) {
    run += PARTS_HIGH_OHM;
  } else if (is_at(f, FAIL_SHORT, part, at)) {
    // Somewhere along it; half way is taken
    const int half = ohm(b, 0.5 * run);
    const int rest = series(b, ohm(b, 0.5 * run), behind);
    *wire = half;
    return series(b, half, parallel(b, ohm(b, 0.0), rest));
  }
  *wire = ohm(b, run);
  return series(b, *wire, behind);
}

// Boxes from `box` on, as seen at the plug that goes into it. From a crossing on it is the other
// pair's boxes that hang there.
static int
build_from(Builder* b, int box)
{
  const Fail* const f = b->fail;
  const bool crossed = f->mode == FAIL_CROSSED && f->other;
  const int last = !crossed                    ? b->parts->n_boxes
                   : f->other->n_boxes > f->at ? f->other->n_boxes
                                               : f->at;
  int all = -1;
  for (int k = last; k >= box; --k) {
    int wire = -1;
    all = all < 0 ? -1 : build_run(b, FAIL_AT_LINK, k, b->parts->link_ohm, all, &wire);
    all = parallel(b, all, build_box(b, crossed && k > f->at ? f->other : b->parts, k));
  }
  return all < 0 ? ohm(b, INFINITY) : all;
}

static bool
build(const Parts* parts, const Fail* fail, double cable_c, double coil_c, int from_link,
      Network* net, int driver[], int* cable)
{
  Builder b = {net, parts, fail, conductor_at_c(1.0, cable_c), conductor_at_c(1.0, coil_c), driver};
  int wire = -1;
  net->n = 0;
  const int boxes = build_from(&b, from_link + 1);
  const int whole = from_link == 0
                      ? build_run(&b, FAIL_AT_CABLE, 0, parts->cable_ohm, boxes, &wire)
                      : build_run(&b, FAIL_AT_LINK, from_link, parts->link_ohm, boxes, &wire);
  if (cable) {
    *cable = wire;
  }
  return whole >= 0 && whole == net->n - 1;
}

bool
parts_network(const Parts* parts, const Fail* fail, double cable_c, double coil_c, Network* net,
              int driver[], int* cable)
{
  return parts->has_ohms && build(parts, fail, cable_c, coil_c, 0, net, driver, cable);
}

// ---- What is seen ----

// What plays, box by box: dead behind an open or a short, turned round behind what is reversed.
static void
view_boxes(const Parts* parts, const Fail* fail, PartsView* v)
{
  for (int box = 1; box <= parts->n_boxes; ++box) {
    const bool behind =
      fail->part == FAIL_AT_CABLE || (fail->part == FAIL_AT_LINK && box > fail->at);
    const bool itself =
      (fail->part == FAIL_AT_BOX || fail->part == FAIL_AT_DRIVER) && box == fail->at;
    double share = 1.0;
    int sign = 1;
    if (fail->mode == FAIL_OPEN && (behind || (itself && fail->part == FAIL_AT_BOX))) {
      share = 0.0;
    } else if (fail->mode == FAIL_OPEN && itself) {
      share = 1.0 - 1.0 / parts->n_drivers;
    } else if (fail->mode == FAIL_SHORT) {
      share = 0.0; // The amplifier protects itself, and all of it is silent
    } else if (fail->mode == FAIL_REVERSED && (behind || itself)) {
      sign = -1;
    }
    v->share[box - 1] = share;
    v->sign[box - 1] = share > 0.0 ? sign : 0;
  }
}

void
parts_view(const Parts* parts, const Fail* fail, double cable_c, double coil_c, PartsView* view)
{
  static const Fail good = {FAIL_NONE, FAIL_AT_CABLE, 0, NULL};
  Network net;
  memset(view, 0, sizeof(*view));
  view->volts_ratio = 1.0;
  view_boxes(parts, fail, view);
  if (fail->mode == FAIL_CROSSED) {
    view->is_other = true;
    view->other_from = fail->at + 1;
  }
  if (!parts->has_ohms || (fail->mode == FAIL_CROSSED && !(fail->other && fail->other->has_ohms))) {
    return;
  }
  view->is_known = build(parts, fail, cable_c, coil_c, 0, &net, NULL, NULL);
  view->amp_ohm = network_dc(&net, NULL);
  for (int k = 1; k < parts->n_boxes && k < OUTPUT_MAX_BOXES; ++k) {
    view->link_ohm[k - 1] = build(parts, fail, cable_c, coil_c, k, &net, NULL, NULL)
                              ? network_dc(&net, NULL)
                              : (double)NAN;
  }
  const bool shorts = is_at(fail, FAIL_SHORT, FAIL_AT_CABLE, 0);
  view->far_open_ohm =
    shorts ? 0.5 * parts->cable_ohm * conductor_at_c(1.0, cable_c) : (double)INFINITY;
  if (is_at(fail, FAIL_HIGH, FAIL_AT_CABLE, 0) &&
      build(parts, &good, cable_c, coil_c, 0, &net, NULL, NULL)) {
    view->volts_ratio = network_dc(&net, NULL) / view->amp_ohm;
  }
}
