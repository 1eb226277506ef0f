// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/outputs_inside.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

/*
  What each fault of an output shows, and how likely a reading is under it.

  Ohms are Gaussian about what the circuit would read (speaker/parts.h), as wide as it is known:
  2.5 % where three of its like were read, 6 % where only the temperature is known, 8 % by the list
  alone; 0.02 ohm beside it. What a drive line makes of a tone, of hum and of polarity at the
  amplifier's input is solved (day/outputs_drive.c), and what the boxes then play follows from the
  level that arrives. What else is heard is a table of shares (common practice, no source): a
  missing box is a quiet patch to one ear and nothing to another. Misreading is never ruled out.
*/

#define WIDE_TWINS 0.025
#define WIDE_WARM 0.06
#define WIDE_LIST 0.08
#define METER_OHM 0.02 // What a hand meter shows beside the truth, leads taken off
#define SHORT_OHM 0.15 // How far a short may be from its own figure: fingers, whiskers
#define RANGE_OHM 40.0 // What a misreading may show instead
#define OPEN_OHM_RATIO 0.97

static const Fail no_fail = {FAIL_NONE, FAIL_AT_CABLE, 0, NULL};

static double
misread(const Plant* plant, OutputCheck check)
{
  static const char* const rows[OUT_CHECKS] = {"look",  "look",     "level", "hum",  "seen", "ohms",
                                               "level", "polarity", "level", "ohms", "swap"};
  return plant_misread_prob(plant, rows[check]);
}

// ---- Ohms ----

double
outputs_ohm(const Outputs* o, int circuit, const Wrong* wrong, int at)
{
  const Parts* parts = &o->parts[circuit];
  PartsView v;
  if (wrong->sort == WRONG_NOT_MADE) {
    return at <= OUT_AT_AMP ? (double)INFINITY : (double)NAN;
  }
  if (wrong->sort == WRONG_PLUGS && wrong->other >= 0) {
    parts = &o->parts[wrong->other];
  }
  parts_view(parts, wrong->sort == WRONG_PART ? &wrong->fail : &no_fail, 20.0, 20.0, &v);
  if (!v.is_known || at >= parts->n_boxes) {
    return (double)NAN;
  }
  return at == OUT_AT_AMP ? v.amp_ohm : at == OUT_AT_CABLE ? v.far_open_ohm : v.link_ohm[at - 1];
}

// How much more than the list all its like read today, and how well that is known.
static double
scale_of(const Outputs* o, int circuit, double* wide)
{
  const OutputStanding* const s = &o->standing[circuit];
  if (s->twin.n_like >= 3 && s->expect_ohm > 0.0 && !isnan(s->twin.should_ohm)) {
    *wide = WIDE_TWINS;
    return s->twin.should_ohm / s->expect_ohm;
  }
  if (s->twin.has_scale) {
    *wide = WIDE_WARM;
    return (234.5 + s->twin.celsius) / 254.5;
  }
  *wide = WIDE_LIST;
  return 1.0;
}

static double
ohms_like(const Outputs* o, int circuit, const Wrong* wrong, const OutputSeen* seen)
{
  const double m = misread(o->plant, OUT_OHMS);
  const double ohm = outputs_ohm(o, circuit, wrong, seen->at);
  double wide = 0.0;
  if (isnan(ohm)) { // A transformer, or nothing to go by: only an open tells
    return isinf(seen->ohm) ? 0.2 : 0.8 / RANGE_OHM;
  }
  if (isinf(seen->ohm) || isinf(ohm)) {
    return isinf(seen->ohm) == isinf(ohm) ? 1.0 - m : isinf(seen->ohm) ? m : m / RANGE_OHM;
  }
  const double want = ohm * scale_of(o, circuit, &wide);
  const double sigma = ohm < 0.5 ? SHORT_OHM : hypot(wide * want, METER_OHM);
  const double z = (seen->ohm - want) / sigma;
  return (1.0 - m) * exp(-0.5 * z * z) / (2.50662827463 * sigma) + m / RANGE_OHM;
}

// ---- What is heard ----

// Of a list of shares that sum to 1, one, misreading let in.
static double
share(const double shares[], int n, int key, double m)
{
  const double p = key >= 0 && key < n ? shares[key] : 0.0;
  return (1.0 - m) * p + m / n;
}

// The band gets lows only, or highs only: what is left of it.
static bool
is_low(const OutputCircuit* c)
{
  return text_same(c->band, "low") || text_same(c->band, "sub") || text_same(c->band, "full");
}

// What its drive line does with this wrong: of a healthy line unless it is the line's own; NULL =
// nobody said what feeds it.
static const OutputDriveFault*
drive_of(const Outputs* o, int circuit, const Wrong* w)
{
  const int d = o->drive_of[circuit];
  return w->sort == WRONG_DRIVE ? w->drive : d >= 0 ? &o->drives[d].faults[0] : NULL;
}

// Nothing reaches its boxes, whatever they are.
static bool
is_silent(const Wrong* w)
{
  return w->sort == WRONG_OFF || w->sort == WRONG_CHANNEL || w->sort == WRONG_NOT_MADE ||
         (w->sort == WRONG_DRIVE && w->drive->sign == 0);
}

static void
plays_of(const Outputs* o, int circuit, const Wrong* w, int box, double s[PLAYS_WORDS])
{
  static const double right[] = {0.94, 0.01, 0.02, 0.02, 0.01};
  static const double silent[] = {0.01, 0.94, 0.03, 0.01, 0.01};
  static const double less[] = {0.25, 0.02, 0.48, 0.24, 0.01};
  static const double rough[] = {0.25, 0.01, 0.40, 0.33, 0.01};
  static const double folded[] = {0.15, 0.02, 0.63, 0.19, 0.01};
  static const double low[] = {0.05, 0.03, 0.86, 0.05, 0.01};
  static const double bad_contact[] = {0.55, 0.02, 0.40, 0.02, 0.01};
  static const double preset_high[] = {0.15, 0.45, 0.10, 0.25, 0.05};
  static const double preset_low[] = {0.62, 0.05, 0.13, 0.19, 0.01};
  static const double other[] = {0.02, 0.18, 0.05, 0.10, 0.65};
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const double* from = right;
  PartsView v;
  switch (w->sort) {
    case WRONG_OFF:
    case WRONG_CHANNEL:
    case WRONG_NOT_MADE:
      from = silent;
      break;
    case WRONG_PRESET:
      from = is_low(c) ? preset_low : preset_high;
      break;
    case WRONG_DRIVE: // By the level that arrives
      for (int k = 0; k < PLAYS_WORDS; ++k) {
        s[k] = w->drive->tone[OUT_TONE_NORMAL] * right[k] + w->drive->tone[OUT_TONE_LOW] * low[k] +
               w->drive->tone[OUT_TONE_NOTHING] * silent[k];
      }
      return;
    case WRONG_DRIVE_OTHER:
    case WRONG_CONTENT:
    case WRONG_PLUGS:
      from = other;
      break;
    case WRONG_PART:
      parts_view(&o->parts[circuit], &w->fail, 20.0, 20.0, &v);
      if (v.is_other) {
        from = box && box < v.other_from ? right : other;
      } else if (box > 0) {
        from = v.share[box - 1] <= 0.0 ? silent : v.share[box - 1] < 1.0 ? rough : right;
      } else {
        double sum = 0.0;
        int up = 0;
        int down = 0;
        const int n = o->parts[circuit].n_boxes;
        for (int k = 0; k < n; ++k) {
          sum += v.share[k];
          up += v.sign[k] > 0;
          down += v.sign[k] < 0;
        }
        from =
          sum <= 0.0   ? silent
          : up && down ? folded
          : sum < n - 1e-9
            ? (w->fail.part == FAIL_AT_DRIVER && o->parts[circuit].n_drivers > 1 ? rough : less)
          : v.volts_ratio < 0.9 ? bad_contact
                                : right;
      }
      break;
    default:
      break;
  }
  memcpy(s, from, sizeof(right));
}

static void
pulse_of(const Outputs* o, int circuit, const Wrong* w, int box, double s[3])
{
  PartsView v;
  const int n = o->parts[circuit].n_boxes > 0 ? o->parts[circuit].n_boxes : 1;
  parts_view(&o->parts[circuit], w->sort == WRONG_PART ? &w->fail : &no_fail, 20.0, 20.0, &v);
  const bool silent = is_silent(w);
  double sum[3] = {0.0, 0.0, 0.0};
  // Without a box named it is whichever one was stood at
  for (int k = 1; k <= n; ++k) {
    const int sign = o->parts[circuit].n_boxes > 0 ? v.sign[k - 1] : 1;
    const int turned = w->sort == WRONG_DRIVE ? w->drive->sign * sign : sign;
    const int key = silent || turned == 0 ? PULSE_NOTHING
                    : turned < 0          ? PULSE_INVERTED
                                          : PULSE_SAME;
    if (!box || box == k) {
      sum[key] += box ? 1.0 : 1.0 / n;
    }
  }
  memcpy(s, sum, sizeof(sum));
}

// ---- All of it ----

// Chances of the words of a check; how many there are.
static int
shares_of(const Outputs* o, int circuit, const Wrong* w, OutputCheck check, int at,
          double s[PLAYS_WORDS])
{
  PartsView v;
  memset(s, 0, PLAYS_WORDS * sizeof(double));
  switch (check) {
    case OUT_PRESET:
      s[w->sort == WRONG_PRESET] = 1.0;
      return 2;
    case OUT_LIGHT:
      parts_view(&o->parts[circuit], w->sort == WRONG_PART ? &w->fail : &no_fail, 20.0, 20.0, &v);
      s[w->sort == WRONG_OFF                                  ? LIGHT_DARK
        : w->sort == WRONG_PART && w->fail.mode == FAIL_SHORT ? LIGHT_PROTECTS
                                                              : LIGHT_FINE] = 1.0;
      return 3;
    case OUT_TONE:
    case OUT_HUM: {
      // Nothing of its own output arrives at a plug that was swapped
      static const double gone[] = {0.02, 0.01, 0.97};
      static const double fine[] = {0.96, 0.03, 0.01};
      const OutputDriveFault* const drive = drive_of(o, circuit, w);
      const bool tone = check == OUT_TONE;
      memcpy(s,
             tone && w->sort == WRONG_DRIVE_OTHER ? gone
             : !drive                             ? fine
             : tone                               ? drive->tone
                                                  : drive->hum,
             sizeof(gone));
      return 3;
    }
    case OUT_NAME: {
      const bool silent =
        is_silent(w) || (w->sort == WRONG_PART && w->fail.part == FAIL_AT_CABLE &&
                         (w->fail.mode == FAIL_OPEN || w->fail.mode == FAIL_SHORT));
      s[NAME_YES] = w->sort == WRONG_DRIVE_OTHER || w->sort == WRONG_PLUGS ? 0.03
                    : silent                                               ? 0.02
                                                                           : 0.98;
      s[NAME_NOTHING] = silent ? 0.98 : w->sort == WRONG_DRIVE_OTHER ? 0.02 : 1.0 - s[0];
      return 3; // The third: it is somebody else's name
    }
    case OUT_PLAYS:
      plays_of(o, circuit, w, at, s);
      return PLAYS_WORDS;
    case OUT_PULSE:
      pulse_of(o, circuit, w, at, s);
      return 3;
    case OUT_SUM:
      // Two circuits that play together: it takes an odd number of turned boxes
      s[SUM_WEAKER] = (w->sort == WRONG_PART && w->fail.mode == FAIL_REVERSED) ||
                          (w->sort == WRONG_DRIVE && w->drive->sign < 0)
                        ? 0.93
                      : w->sort == WRONG_NONE ? 0.02
                                              : 0.1;
      s[SUM_LOUDER] = 1.0 - s[SUM_WEAKER];
      return 2;
    default:
      return 0;
  }
}

double
outputs_like(const Outputs* o, int circuit, const Wrong* w, const OutputSeen* seen)
{
  double s[PLAYS_WORDS];
  if (seen->check == OUT_OHMS) {
    return w->sort == WRONG_ELSE ? (isinf(seen->ohm) ? 0.3 : 0.7 / RANGE_OHM)
                                 : ohms_like(o, circuit, w, seen);
  }
  if (seen->check == OUT_IMPEDANCE) {
    return w->sort == WRONG_ELSE ? (isinf(seen->point_ohm[0]) ? 0.3 : 0.7 / RANGE_OHM)
                                 : outputs_impedance_like(o, circuit, w, seen);
  }
  if (seen->check == OUT_REPAIR) { // "same" speaks against what it would have ended
    if (seen->fix == FIX_NOTE) {
      return 1.0;
    }
    const double fixed = w->sort == WRONG_NONE ? 0.0 : outputs_fixes(seen->fix, seen->at, w);
    return seen->key == 0 ? 0.02 + 0.96 * fixed : 0.98 - 0.96 * fixed;
  }
  const double m = misread(o->plant, seen->check);
  const int n = shares_of(o, circuit, w, seen->check, seen->at, s);
  if (w->sort == WRONG_ELSE) {
    return 1.0 / n;
  }
  if (seen->check == OUT_TONE || seen->check == OUT_HUM) {
    return s[seen->key]; // Misreading is in it
  }
  if (seen->key >= OUT_KEY_ON) {
    const bool theirs = (w->sort == WRONG_DRIVE_OTHER || w->sort == WRONG_PLUGS ||
                         (w->sort == WRONG_CONTENT && seen->check == OUT_PLAYS)) &&
                        w->other == seen->key - OUT_KEY_ON;
    const bool crossed =
      w->sort == WRONG_PART && w->fail.mode == FAIL_CROSSED && w->other == seen->key - OUT_KEY_ON;
    return theirs ? 0.9 : crossed && seen->check == OUT_PLAYS ? 0.6 : m / n;
  }
  return share(s, n, seen->key, m);
}

int
outputs_shows(const Outputs* o, int circuit, const Wrong* w, OutputCheck check, int at, double* ohm)
{
  double s[PLAYS_WORDS];
  if (check == OUT_OHMS) {
    *ohm = outputs_ohm(o, circuit, w, at);
    return 0;
  }
  const bool by_name = (w->sort == WRONG_DRIVE_OTHER || w->sort == WRONG_PLUGS ||
                        (w->sort == WRONG_CONTENT && check == OUT_PLAYS)) &&
                       w->other >= 0;
  if (by_name && (check == OUT_NAME || check == OUT_PLAYS)) {
    return OUT_KEY_ON + w->other;
  }
  const int n = shares_of(o, circuit, w, check, at, s);
  int best = 0;
  for (int k = 1; k < n; ++k) {
    best = s[k] > s[best] ? k : best;
  }
  return best;
}

double
outputs_fixes(OutputFix fix, int at, const Wrong* w)
{
  const Fail* const f = &w->fail;
  switch (w->sort) {
    case WRONG_PRESET:
      return fix == FIX_PRESET;
    case WRONG_OFF:
    case WRONG_CHANNEL:
      return fix == FIX_SWITCH ? 0.9 : 0.0;
    case WRONG_DRIVE:
      if (w->drive->fault.part != DRIVE_OUTPUT) { // Another pair, other plugs
        return fix == FIX_DRIVE ? 0.95 : 0.0;
      }
      return w->drive->fault.mode == FAULT_MUTED ? (fix == FIX_UNMUTE ? 0.95 : 0.0)
                                                 : (fix == FIX_OUTPUT ? 0.9 : 0.0);
    case WRONG_CONTENT:
      return fix == FIX_CONTENT ? 0.95 : 0.0;
    case WRONG_DRIVE_OTHER:
      return fix == FIX_PATCH ? 0.98 : 0.0;
    case WRONG_PLUGS:
      return fix == FIX_PLUG ? 0.98 : 0.0;
    case WRONG_NOT_MADE:
      return fix == FIX_CABLE ? 0.98 : 0.0;
    case WRONG_PART:
      break;
    default:
      return 0.0;
  }
  switch (f->part) {
    case FAIL_AT_CABLE:
      // A plug that was not turned home reads open
      return fix == FIX_CABLE                                                    ? 0.98
             : fix == FIX_PLUG && (f->mode == FAIL_OPEN || f->mode == FAIL_HIGH) ? 0.5
                                                                                 : 0.0;
    case FAIL_AT_LINK:
      return fix == FIX_LINK && at == f->at ? 0.98 : 0.0;
    default:
      if (f->mode == FAIL_TAP) {
        return fix == FIX_TAP && at == f->at ? 0.98 : 0.0;
      }
      return fix == FIX_BOX && at == f->at ? 0.95 : 0.0;
  }
}
