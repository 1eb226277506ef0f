// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/outputs_trouble.h"

#include "base/text.h"

#include <math.h>

/*
  What can be checked and mended about an output, how long it takes, and where.

  Checks at links and boxes of a hang are not made at all: nobody works under or on one. Seconds are
  common practice without a source; rows of the show's own times.csv stand over them, and walking is
  that of its list of places where it knows both ends.
*/

static double
time_of(const Plant* plant, const char* row, double usual)
{
  return plant_time_s(plant, row, usual);
}

// ---- Checks ----

// Whatever nobody listed shows what everything else shows on average, so that no check looks worth
// making for its sake.
static void
blur_else(const OutputTrouble* t, double like[], int n_outcomes)
{
  for (int h = 0; h < t->n_hyps; ++h) {
    if (t->hyps[h].wrong.sort != WRONG_ELSE) {
      continue;
    }
    for (int k = 0; k < n_outcomes; ++k) {
      double sum = 0.0;
      double all = 0.0;
      for (int i = 0; i < t->n_hyps; ++i) {
        sum += i == h ? 0.0 : t->prob[i] * like[k * t->n_hyps + i];
        all += i == h ? 0.0 : t->prob[i];
      }
      like[k * t->n_hyps + h] = all > 0.0 ? sum / all : 1.0 / n_outcomes;
    }
  }
}

// Ohms as outcomes: figures that a person can tell apart, one open among them. Each hypothesis
// shows one of them and the others by misreading.
static Status
ohm_outcomes(OutputTrouble* t, OutputCheck check, int at, PolicyCheck* out)
{
  double values[POLICY_MAX_OUTCOMES];
  int n = 0;
  int* const of = arena_array(t->arena, (size_t)t->n_hyps, sizeof(int));
  double* const like =
    arena_array(t->arena, (size_t)t->n_hyps * POLICY_MAX_OUTCOMES, sizeof(double));
  if (!of || !like) {
    return STATUS_NO_MEMORY;
  }
  for (int h = 0; h < t->n_hyps; ++h) {
    const Wrong* const w = &t->hyps[h].wrong;
    const double ohm = check == OUT_IMPEDANCE ? outputs_impedance(t->o, t->circuit, w)
                                              : outputs_ohm(t->o, t->circuit, w, at);
    of[h] = -1;
    for (int k = 0; k < n && !isnan(ohm); ++k) {
      const bool same = isinf(ohm) || isinf(values[k])
                          ? isinf(ohm) && isinf(values[k])
                          : fabs(ohm - values[k]) < 0.12 * fmax(ohm, values[k]) + 0.1;
      of[h] = of[h] < 0 && same ? k : of[h];
    }
    if (of[h] < 0 && !isnan(ohm) && n < POLICY_MAX_OUTCOMES - 1 &&
        t->hyps[h].wrong.sort != WRONG_ELSE) {
      values[n] = ohm;
      of[h] = n++;
    }
  }
  const int n_outcomes = n + 1; // The last: something else
  const double m = 0.03;
  for (int h = 0; h < t->n_hyps; ++h) {
    for (int k = 0; k < n_outcomes; ++k) {
      like[k * t->n_hyps + h] = of[h] < 0    ? 1.0 / n_outcomes
                                : of[h] == k ? 1.0 - m + m / n_outcomes
                                             : m / n_outcomes;
    }
  }
  blur_else(t, like, n_outcomes);
  out->n_outcomes = n_outcomes;
  out->like = like;
  return STATUS_OK;
}

static Status
word_outcomes(OutputTrouble* t, OutputCheck check, int at, PolicyCheck* out)
{
  int n = 0;
  while (outputs_key_word(check, n)) {
    ++n;
  }
  const bool names = check == OUT_NAME || check == OUT_PLAYS;
  const int n_all = n + names;
  double* const like =
    arena_array(t->arena, (size_t)t->n_hyps * POLICY_MAX_OUTCOMES, sizeof(double));
  if (!like) {
    return STATUS_NO_MEMORY;
  }
  for (int h = 0; h < t->n_hyps; ++h) {
    double sum = 0.0;
    const Wrong* const w = &t->hyps[h].wrong;
    for (int k = 0; k < n_all; ++k) {
      const bool named = k == n; // Somebody else's name: whose is told by the fault itself
      const OutputSeen seen = {.circuit = t->circuit,
                               .check = check,
                               .at = at,
                               .key =
                                 named ? (w->other >= 0 ? OUT_KEY_ON + w->other : OUT_KEY_ON) : k};
      const double p = outputs_like(t->o, t->circuit, w, &seen);
      like[k * t->n_hyps + h] = p;
      sum += p;
    }
    for (int k = 0; k < n_all; ++k) {
      like[k * t->n_hyps + h] /= sum;
    }
  }
  blur_else(t, like, n_all);
  out->n_outcomes = n_all;
  out->like = like;
  return STATUS_OK;
}

static bool
was_done(const Outputs* o, int circuit, OutputCheck check, int at)
{
  for (int i = 0; i < o->n_seen; ++i) {
    const OutputSeen* const s = &o->seen[i];
    const OutputCircuit* const a = &o->plant->outputs[s->circuit];
    const OutputCircuit* const b = &o->plant->outputs[circuit];
    const bool same =
      s->circuit == circuit ||
      ((check == OUT_PRESET || check == OUT_LIGHT) && a->amp[0] && text_same(a->amp, b->amp)) ||
      ((check == OUT_TONE || check == OUT_HUM) && a->zone && a->zone == b->zone && !a->mix &&
       !b->mix);
    if (same && s->check == check && s->at == at) {
      return true;
    }
  }
  return false;
}

static Status
add_check(OutputTrouble* t, OutputCheck check, int at, int zone, double seconds)
{
  PolicyCheck c = {.zone = zone, .seconds = seconds, .people = 1, .allowed = true};
  Status st = STATUS_OK;
  if (t->n_checks == MAX_CHECKS || was_done(t->o, t->circuit, check, at)) {
    return STATUS_OK;
  }
  TRY(st, check == OUT_OHMS || check == OUT_IMPEDANCE ? ohm_outcomes(t, check, at, &c)
                                                      : word_outcomes(t, check, at, &c));
  t->plans[t->n_checks] = (OutputPlan){check, at};
  t->checks[t->n_checks++] = c;
  return STATUS_OK;
}

static bool
has_impedance_meter(const Plant* plant)
{
  for (int i = 0; i < plant->n_kit; ++i) {
    if (plant->kit[i].count > 0 && text_begins(plant->kit[i].name, "impedance meter")) {
      return true;
    }
  }
  return false;
}

Status
outputs_add_checks(OutputTrouble* t)
{
  const Outputs* const o = t->o;
  const Plant* const plant = o->plant;
  const OutputCircuit* const c = &plant->outputs[t->circuit];
  const int n_boxes = o->parts[t->circuit].n_boxes;
  const bool hangs = outputs_hangs(c);
  const double unplug = o->standing[t->circuit].is_unplugged ? 0.0 : 10.0;
  const double plug = o->standing[t->circuit].is_unplugged ? 10.0 : 0.0;
  Status st = STATUS_OK;
  if (c->transmitter[0]) {
    return add_check(t, OUT_NAME, 0, ZONE_DESK, time_of(plant, "name an output", 15.0));
  }
  TRY(st, add_check(t, OUT_LIGHT, 0, ZONE_AMPS, time_of(plant, "look at an amplifier", 4.0)));
  if (c->preset[0]) {
    TRY(st, add_check(t, OUT_PRESET, 0, ZONE_AMPS, time_of(plant, "read a preset", 6.0)));
  }
  TRY(st, add_check(t, OUT_TONE, 0, ZONE_AMPS, time_of(plant, "tone at an amplifier", 20.0)));
  TRY(st, add_check(t, OUT_HUM, 0, ZONE_AMPS, 15.0));
  TRY(st, add_check(t, OUT_NAME, 0, ZONE_DESK, time_of(plant, "name an output", 15.0)));
  TRY(st,
      add_check(t, OUT_PLAYS, 0, ZONE_BOXES, plug + time_of(plant, "listen to a circuit", 15.0)));
  TRY(st, add_check(t, OUT_SUM, 0, ZONE_BOXES, plug + 25.0));
  if (o->parts[t->circuit].has_ohms || o->parts[t->circuit].is_line) {
    TRY(st, add_check(t, OUT_OHMS, OUT_AT_AMP, ZONE_AMPS,
                      unplug + time_of(plant, "measure volts or ohms", 15.0)));
  }
  if (o->parts[t->circuit].is_line && has_impedance_meter(plant)) {
    TRY(st, add_check(t, OUT_IMPEDANCE, 0, ZONE_AMPS,
                      unplug + time_of(plant, "measure volts or ohms", 15.0)));
  }
  TRY(st, add_check(t, OUT_PULSE, 0, ZONE_BOXES, plug + 10.0));
  for (int k = 1; k <= n_boxes && n_boxes > 1 && !hangs; ++k) {
    TRY(st, add_check(t, OUT_PULSE, k, ZONE_BOXES, plug + 10.0));
    TRY(st, add_check(t, OUT_PLAYS, k, ZONE_BOXES, plug + 12.0));
  }
  if (o->parts[t->circuit].has_ohms && !hangs) {
    // One plug pulled and read into, at the box: the cable's or a link's
    TRY(st, add_check(t, OUT_OHMS, OUT_AT_CABLE, ZONE_BOXES, unplug + 20.0));
    for (int k = 1; k < n_boxes; ++k) {
      TRY(st, add_check(t, OUT_OHMS, k, ZONE_BOXES, unplug + 20.0));
    }
  }
  return STATUS_OK;
}

// ---- Repairs ----

bool
outputs_is_routing(OutputFix fix)
{
  return fix == FIX_PATCH || fix == FIX_OUTPUT || fix == FIX_CONTENT;
}

static Status
add_fix(OutputTrouble* t, OutputFix fix, int at, int zone, double seconds)
{
  double* const fixes = arena_array(t->arena, (size_t)t->n_hyps, sizeof(double));
  double any = 0.0;
  if (!fixes) {
    return STATUS_NO_MEMORY;
  }
  for (int h = 0; h < t->n_hyps; ++h) {
    fixes[h] = outputs_fixes(fix, at, &t->hyps[h].wrong);
    any = fmax(any, fixes[h]);
  }
  for (int i = 0; i < t->o->n_seen; ++i) { // Tried already
    const OutputSeen* const s = &t->o->seen[i];
    any = s->circuit == t->circuit && s->check == OUT_REPAIR && s->fix == fix && s->at == at ? 0.0
                                                                                             : any;
  }
  if (any > 0.0 && t->n_repairs < MAX_REPAIRS) {
    // Routing that was changed in vain is put back, or it is the next fault: its time again
    double helps = 0.0;
    for (int h = 0; h < t->n_hyps; ++h) {
      helps += t->prob[h] * fixes[h];
    }
    seconds += outputs_is_routing(fix) ? (1.0 - helps) * seconds : 0.0;
    t->fixes[t->n_repairs] = (OutputFixPlan){fix, at};
    t->repairs[t->n_repairs++] = (PolicyRepair){
      .zone = zone, .seconds = seconds, .people = 1, .fixes = fixes, .allowed = true};
  }
  return STATUS_OK;
}

Status
outputs_add_fixes(OutputTrouble* t)
{
  const OutputCircuit* const c = &t->o->plant->outputs[t->circuit];
  const int n_boxes = t->o->parts[t->circuit].n_boxes;
  const bool hangs = outputs_hangs(c);
  Status st = STATUS_OK;
  TRY(st, add_fix(t, FIX_PRESET, 0, ZONE_AMPS, 15.0));
  TRY(st, add_fix(t, FIX_SWITCH, 0, ZONE_AMPS, 10.0));
  TRY(st, add_fix(t, FIX_DRIVE, 0, ZONE_AMPS, 60.0));
  TRY(st, add_fix(t, FIX_PATCH, 0, ZONE_DESK, 25.0));
  TRY(st, add_fix(t, FIX_UNMUTE, 0, ZONE_DESK, 10.0));
  TRY(st, add_fix(t, FIX_OUTPUT, 0, ZONE_DESK, 45.0));
  TRY(st, add_fix(t, FIX_CONTENT, 0, ZONE_DESK, 15.0));
  TRY(st, add_fix(t, FIX_PLUG, 0, ZONE_AMPS, 20.0));
  // A hang comes down for its cable only with its riggers: 10 min are usual practice
  TRY(st, add_fix(t, FIX_CABLE, 0, ZONE_BOXES, hangs ? 240.0 : 90.0));
  for (int k = 1; k <= n_boxes; ++k) {
    if (k < n_boxes) {
      TRY(st, add_fix(t, FIX_LINK, k, ZONE_BOXES, hangs ? 660.0 : 60.0));
    }
    TRY(st, add_fix(t, FIX_BOX, k, ZONE_BOXES, hangs ? 900.0 : 240.0));
    if (t->o->parts[t->circuit].is_line) {
      TRY(st, add_fix(t, FIX_TAP, k, ZONE_BOXES, hangs ? 600.0 : 90.0));
    }
  }
  return STATUS_OK;
}

// ---- Walking ----

// Between the rack, the boxes and the desk: by the list of places where it knows both, else
// assumed. Whoever stands at the desk does what is asked: it is never further than a question and
// its answer.
void
outputs_walks(const Outputs* o, int circuit, double walk_s[N_ZONES * N_ZONES])
{
  static const double assumed_s[] = {0, 15, 20, 15, 0, 25, 20, 25, 0};
  const Plant* const plant = o->plant;
  const OutputCircuit* const c = &plant->outputs[circuit];
  const double ask_s = time_of(plant, "ask over the intercom and be answered", 20.0);
  const int places[N_ZONES] = {[ZONE_AMPS] = o->place[circuit],
                               [ZONE_BOXES] = c->mix ? c->place : -1,
                               [ZONE_DESK] = c->mix ? plant_place(plant, "monitors")
                                                    : plant_place(plant, "tower")};
  for (int a = 0; a < N_ZONES; ++a) {
    for (int b = 0; b < N_ZONES; ++b) {
      const bool known = places[a] >= 0 && places[b] >= 0;
      const double s = a == b  ? 0.0
                       : known ? plant_walk_s(plant, places[a], places[b])
                               : assumed_s[a * N_ZONES + b];
      walk_s[a * N_ZONES + b] = b == ZONE_DESK ? fmin(s, ask_s) : s;
    }
  }
}

// Where the last thing was done about this circuit. Who starts, starts at the amplifiers: the first
// thing told is a complaint, from anybody's ears.
int
outputs_stands_at(const Outputs* o, int circuit)
{
  int zone = ZONE_AMPS;
  int n = 0;
  for (int i = 0; i < o->n_seen; ++i) {
    const OutputSeen* const s = &o->seen[i];
    const bool fix = s->check == OUT_REPAIR;
    const bool boxes = s->check == OUT_PLAYS || s->check == OUT_PULSE || s->check == OUT_SUM ||
                       (s->check == OUT_OHMS && s->at != OUT_AT_AMP) ||
                       (fix && (s->fix == FIX_CABLE || s->fix == FIX_LINK || s->fix == FIX_BOX));
    if (s->circuit == circuit && (n++ || s->check == OUT_OHMS)) {
      zone = boxes ? ZONE_BOXES : ZONE_AMPS;
    }
  }
  return zone;
}
