// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/outputs_inside.h"

#include "base/text.h"
#include "speaker/limit.h"

#include <math.h>

/*
  What an impedance meter reads, for whoever has one.

      70 or 100 V      volts squared over the watts of all taps, at 1 kHz, about
      low impedance    the nominal load, its boxes and drivers as the fault leaves them

  A rated impedance is a name more than a figure: at the lowest point of the range it may be 80 % of
  it (IEC 60268-5:2003, 16.1), at a resonance several times as much. So a single reading tells
  little by the list (a quarter either way, assumed) and much against its like at the same
  frequency: 15 % (common practice, no source).
*/

#define WIDE_LIST 0.25
#define WIDE_LIKE 0.07 // 15 % off is two of these
#define LIKE_OFF_RATIO 0.15
#define LIST_LOW_RATIO 0.6
#define LIST_HIGH_RATIO 1.8
#define SAME_HZ_RATIO 0.02
#define RANGE_OHM 40.0
enum { ENOUGH_LIKE = 3 };

static double
line_ohm(const OutputCircuit* c, const Parts* p, const Fail* f)
{
  const PartsLine line = parts_line(c);
  int n = p->n_boxes;
  if (!line.is_known) {
    return (double)NAN;
  }
  const bool is_gone = f->mode == FAIL_OPEN;
  if (is_gone && f->part == FAIL_AT_CABLE) {
    return (double)INFINITY;
  }
  if (f->mode == FAIL_SHORT) { // Half the way of copper, at most
    return 0.5 * p->cable_ohm;
  }
  n = is_gone ? (f->part == FAIL_AT_LINK ? f->at : n - 1) : f->mode == FAIL_TAP ? n + 1 : n;
  if (n < 1) {
    return (double)INFINITY;
  }
  return line.size_ohm * p->n_boxes / n + p->cable_ohm +
         (f->mode == FAIL_HIGH ? PARTS_HIGH_OHM : 0.0);
}

double
outputs_impedance(const Outputs* o, int circuit, const Wrong* w)
{
  static const Fail good = {FAIL_NONE, FAIL_AT_CABLE, 0, NULL};
  static const Wrong none = {.sort = WRONG_NONE, .other = -1};
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const Parts* const p = &o->parts[circuit];
  if (w->sort == WRONG_NOT_MADE) {
    return (double)INFINITY;
  }
  if (p->is_line) {
    return line_ohm(c, p, w->sort == WRONG_PART ? &w->fail : &good);
  }
  const double now = outputs_ohm(o, circuit, w, OUT_AT_AMP);
  const double well = outputs_ohm(o, circuit, &none, OUT_AT_AMP) - p->cable_ohm;
  if (isnan(now) || isinf(now) || !(c->nominal_ohm > 0.0 && well > 0.0)) {
    return isinf(now) ? now : (double)NAN;
  }
  // What is behind the cable as much above or below its direct ohms as the nominal is above them
  return p->cable_ohm + fmax(now - p->cable_ohm, 0.0) * c->nominal_ohm / well;
}

double
outputs_impedance_off(const Outputs* o, const OutputSeen* seen, int point, int* n_like)
{
  static const Wrong none = {.sort = WRONG_NONE, .other = -1};
  double likes[TWIN_MAX];
  int n = 0;
  for (int i = 0; i < o->n_seen && n < TWIN_MAX; ++i) {
    const OutputSeen* const r = &o->seen[i];
    const bool other =
      r->check == OUT_IMPEDANCE && r->circuit != seen->circuit &&
      outputs_alike(&o->plant->outputs[r->circuit], &o->plant->outputs[seen->circuit]);
    for (int k = 0; other && k < r->n_points && n < TWIN_MAX; ++k) {
      const double apart = fabs(r->point_hz[k] - seen->point_hz[point]);
      if (apart <= SAME_HZ_RATIO * seen->point_hz[point] && !isinf(r->point_ohm[k])) {
        likes[n++] = r->point_ohm[k];
      }
    }
  }
  const double want = n ? twin_median(likes, n) : outputs_impedance(o, seen->circuit, &none);
  *n_like = n;
  return isnan(want) || isinf(want) || !(want > 0.0) ? (double)NAN
                                                     : seen->point_ohm[point] / want - 1.0;
}

// Below three of its like one bad one among them moves what it is held against: then it is off only
// when it is further from its list than they are.
static bool
is_off(const Outputs* o, const OutputSeen* seen, int point)
{
  static const Wrong none = {.sort = WRONG_NONE, .other = -1};
  int n_like = 0;
  const double read = seen->point_ohm[point];
  const double off = outputs_impedance_off(o, seen, point, &n_like);
  const double list = outputs_impedance(o, seen->circuit, &none);
  if (isnan(off)) {
    return false;
  }
  if (n_like == 0) { // A cone's resonance lifts it several times, and nothing is wrong
    return off < LIST_LOW_RATIO - 1.0 ||
           (o->parts[seen->circuit].is_line && off > LIST_HIGH_RATIO - 1.0);
  }
  const double like = read / (1.0 + off);
  return fabs(off) > LIKE_OFF_RATIO &&
         (n_like >= ENOUGH_LIKE || isnan(list) || fabs(log(read / list)) > fabs(log(like / list)));
}

bool
outputs_impedance_is_good(const Outputs* o, const OutputSeen* seen)
{
  for (int k = 0; k < seen->n_points; ++k) {
    if (isinf(seen->point_ohm[k]) || is_off(o, seen, k)) {
      return false;
    }
  }
  return true;
}

// The points of one reading hang together, so one of them counts: the one furthest from a good
// circuit; by the list alone, of a circuit without transformers, the lowest, which no resonance
// lifts.
double
outputs_impedance_like(const Outputs* o, int circuit, const Wrong* w, const OutputSeen* seen)
{
  static const Wrong none = {.sort = WRONG_NONE, .other = -1};
  const double m = plant_misread_prob(o->plant, "ohms");
  int at = 0;
  int n_like = 0;
  double most = -1.0;
  for (int k = 0; k < seen->n_points; ++k) {
    const double off = isinf(seen->point_ohm[k]) ? 1e9 : outputs_impedance_off(o, seen, k, &n_like);
    const bool lowest = n_like < ENOUGH_LIKE && !o->parts[circuit].is_line;
    const double counts = lowest ? 1e6 / (1.0 + seen->point_ohm[k]) : fabs(off);
    if (counts > most) {
      most = counts;
      at = k;
    }
  }
  const double read = seen->point_ohm[at];
  const double want = outputs_impedance(o, circuit, w);
  const double good = outputs_impedance(o, circuit, &none);
  if (isnan(want) || isnan(good)) {
    return isinf(read) ? 0.2 : 0.8 / RANGE_OHM;
  }
  if (isinf(read) || isinf(want)) {
    return isinf(read) == isinf(want) ? 1.0 - m : isinf(read) ? m : m / RANGE_OHM;
  }
  // Where its like were read, they say what a good one reads
  const double off = isinf(read) ? 0.0 : outputs_impedance_off(o, seen, at, &n_like);
  const double scale =
    n_like >= ENOUGH_LIKE && !isnan(off) && good > 0.0 ? read / (1.0 + off) / good : 1.0;
  const double mean = want * scale;
  const double sigma = fmax((n_like >= ENOUGH_LIKE ? WIDE_LIKE : WIDE_LIST) * mean, 0.15);
  const double z = (read - mean) / sigma;
  return (1.0 - m) * exp(-0.5 * z * z) / (2.50662827463 * sigma) + m / RANGE_OHM;
}
