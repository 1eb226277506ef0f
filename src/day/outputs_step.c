// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/outputs_say.h"
#include "reason/ahead.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/*
  What to do next about an output: the odds of one circuit, the checks and repairs that can be made
  on it, and reason/ahead, as on the input side.

  A step that needs the plug out (ohms) or in (what plays) and does not find it so becomes the step
  that makes it so; ohms are never advised on a circuit that may be live. Checks at links and boxes
  of a hang are not made at all: nobody works under or on one.

  Seconds are common practice without a source; rows of the show's own times.csv stand over them.
*/

enum { ZONE_AMPS, ZONE_BOXES, ZONE_DESK, N_ZONES };
enum { MAX_CHECKS = 48, MAX_REPAIRS = 40, MAX_HYPS = 600 };

static double
time_of(const Plant* plant, const char* row, double usual)
{
  return plant_time_s(plant, row, usual);
}

typedef struct {
  OutputCheck check;
  int at;
} Plan;

typedef struct {
  OutputFix fix;
  int at;
} FixPlan;

typedef struct {
  const Outputs* o;
  Arena* arena;
  int circuit;
  const OutputSuspect* hyps;
  double* prob;
  int n_hyps;
  Plan plans[MAX_CHECKS];
  PolicyCheck checks[MAX_CHECKS];
  int n_checks;
  FixPlan fixes[MAX_REPAIRS];
  PolicyRepair repairs[MAX_REPAIRS];
  int n_repairs;
} Trouble;

// ---- Checks ----

// Whatever nobody listed shows what everything else shows on average, so that no check looks worth
// making for its sake.
static void
blur_else(const Trouble* t, double like[], int n_outcomes)
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
ohm_outcomes(Trouble* t, int at, PolicyCheck* check)
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
    const double ohm = outputs_ohm(t->o, t->circuit, &t->hyps[h].wrong, at);
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
  check->n_outcomes = n_outcomes;
  check->like = like;
  return STATUS_OK;
}

static Status
word_outcomes(Trouble* t, OutputCheck check, int at, PolicyCheck* out)
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
add_check(Trouble* t, OutputCheck check, int at, int zone, double seconds)
{
  PolicyCheck c = {.zone = zone, .seconds = seconds, .people = 1, .allowed = true};
  Status st = STATUS_OK;
  if (t->n_checks == MAX_CHECKS || was_done(t->o, t->circuit, check, at)) {
    return STATUS_OK;
  }
  TRY(st, check == OUT_OHMS ? ohm_outcomes(t, at, &c) : word_outcomes(t, check, at, &c));
  t->plans[t->n_checks] = (Plan){check, at};
  t->checks[t->n_checks++] = c;
  return STATUS_OK;
}

static Status
add_checks(Trouble* t)
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
  TRY(st, add_check(t, OUT_PULSE, 0, ZONE_BOXES, plug + 10.0));
  for (int k = 1; k <= n_boxes && n_boxes > 1 && !hangs; ++k) {
    TRY(st, add_check(t, OUT_PULSE, k, ZONE_BOXES, plug + 10.0));
    TRY(st, add_check(t, OUT_PLAYS, k, ZONE_BOXES, plug + 12.0));
  }
  if (o->parts[t->circuit].has_ohms && !hangs) {
    for (int k = 1; k < n_boxes; ++k) {
      TRY(st, add_check(t, OUT_OHMS, k, ZONE_BOXES, unplug + 20.0));
    }
    TRY(st, add_check(t, OUT_OHMS, OUT_AT_CABLE, ZONE_BOXES, unplug + 25.0));
  }
  return STATUS_OK;
}

// ---- Repairs ----

static Status
add_fix(Trouble* t, OutputFix fix, int at, int zone, double seconds)
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
    t->fixes[t->n_repairs] = (FixPlan){fix, at};
    t->repairs[t->n_repairs++] = (PolicyRepair){
      .zone = zone, .seconds = seconds, .people = 1, .fixes = fixes, .allowed = true};
  }
  return STATUS_OK;
}

static Status
add_fixes(Trouble* t)
{
  const OutputCircuit* const c = &t->o->plant->outputs[t->circuit];
  const int n_boxes = t->o->parts[t->circuit].n_boxes;
  const bool hangs = outputs_hangs(c);
  Status st = STATUS_OK;
  TRY(st, add_fix(t, FIX_PRESET, 0, ZONE_AMPS, 15.0));
  TRY(st, add_fix(t, FIX_SWITCH, 0, ZONE_AMPS, 10.0));
  TRY(st, add_fix(t, FIX_DRIVE, 0, ZONE_AMPS, 60.0));
  TRY(st, add_fix(t, FIX_PATCH, 0, ZONE_DESK, 25.0));
  TRY(st, add_fix(t, FIX_PLUG, 0, ZONE_AMPS, 20.0));
  // A hang comes down for its cable only with its riggers: 10 min are usual practice
  TRY(st, add_fix(t, FIX_CABLE, 0, ZONE_BOXES, hangs ? 240.0 : 90.0));
  for (int k = 1; k <= n_boxes; ++k) {
    if (k < n_boxes) {
      TRY(st, add_fix(t, FIX_LINK, k, ZONE_BOXES, hangs ? 660.0 : 60.0));
    }
    TRY(st, add_fix(t, FIX_BOX, k, ZONE_BOXES, hangs ? 900.0 : 240.0));
  }
  return STATUS_OK;
}

// ---- Words ----

// What speaks for it: the most likely faults it tells apart, or what it would end.
static const char*
why_of(const Trouble* t)
{
  TextOut out = {.arena = t->arena};
  int n = 0;
  for (int h = 0; h < t->n_hyps && n < 2; ++h) {
    const Wrong* const w = &t->hyps[h].wrong;
    const char* const fault = outputs_fault_text(t->o, t->arena, t->circuit, w);
    const char* const part = outputs_part_text(t->o, t->arena, t->circuit, w);
    if (!fault || !part) {
      return NULL;
    }
    if (w->sort != WRONG_NONE) {
      text_add(&out, "%s%s, %s (about %.0f in 100)", n++ ? "; then " : "Most likely ", fault, part,
               100.0 * t->prob[h]);
    }
  }
  text_add(&out, ".");
  return text_done(&out);
}

// What cannot be mended now is written down: by the stage's own rule, the show goes on.
static Status
tell_note(const Trouble* t, OutputStep* step)
{
  const OutputCircuit* const c = &t->o->plant->outputs[t->circuit];
  OutputStep s = {.circuit = t->circuit,
                  .does = OUTPUT_DOES_REPAIR,
                  .name = c->name,
                  .at = "",
                  .for_what = "",
                  .check = outputs_fix_text(t->arena, FIX_NOTE, 0),
                  .check_sort = OUT_REPAIR,
                  .fix = FIX_NOTE,
                  .seconds = 15.0,
                  .readings = {"noted"},
                  .n_readings = 1};
  s.say =
    outputs_hangs(c)
      ? arena_format(t->arena,
                     "%s: write it down and live with it, or turn its twin down 3 dB; mend it when "
                     "the hang is down.",
                     c->name)
      : arena_format(t->arena,
                     "%s: write it down and live with it for now; nothing that is left to try is "
                     "worth its time.",
                     c->name);
  s.why = why_of(t);
  s.caution = outputs_caution(c, OUTPUT_DOES_REPAIR, OUT_REPAIR, FIX_BOX);
  *step = s;
  return s.say && s.why ? STATUS_OK : STATUS_NO_MEMORY;
}

// A check as a step; where its plug is not as it must be, the step that makes it so.
static Status
tell_check_step(const Outputs* o, Arena* arena, int circuit, OutputCheck check, int at,
                OutputStep* step)
{
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const bool unplugged = o->standing[circuit].is_unplugged;
  const bool wants_out = check == OUT_OHMS;
  const bool wants_in =
    check == OUT_PLAYS || check == OUT_PULSE || check == OUT_SUM || check == OUT_NAME;
  OutputStep s = *step;
  s.circuit = circuit;
  s.name = c->name;
  s.for_what = "";
  s.at = "";
  s.check_sort = check;
  s.at_number = at;
  if (!c->transmitter[0] && ((wants_out && !unplugged) || (wants_in && unplugged))) {
    s.does = OUTPUT_DOES_ASK;
    s.name = c->amp[0] ? c->amp : c->name;
    s.check = OUTPUTS_MARK;
    s.for_what = outputs_check_word(check);
    s.say = outputs_say_ask(o, arena, circuit, wants_out);
    s.readings[s.n_readings++] = wants_out ? OUTPUTS_UNPLUGGED : OUTPUTS_PLUGGED;
  } else {
    s.does = OUTPUT_DOES_CHECK;
    s.check = outputs_check_word(check);
    s.at = outputs_at_text(arena, check, at);
    s.say = outputs_say_check(o, arena, circuit, check, at);
    for (int k = 0; outputs_key_word(check, k) && s.n_readings < OUTPUT_MAX_READINGS; ++k) {
      s.readings[s.n_readings++] = outputs_key_word(check, k);
    }
  }
  s.caution = outputs_caution(c, s.does, check, FIX_PRESET);
  if (!s.say || !s.check || !s.at) {
    return STATUS_NO_MEMORY;
  }
  *step = s;
  return STATUS_OK;
}

Status
outputs_routine(const Outputs* o, Arena* arena, int circuit, OutputCheck check, int at,
                OutputStep* step)
{
  OutputStep s = {.why = "Next on the round.", .seconds = 15.0};
  Status st;
  TRY(st, tell_check_step(o, arena, circuit, check, at, &s));
  *step = s;
  return STATUS_OK;
}

static Status
tell(const Trouble* t, const PolicyChoice* choice, OutputStep* step)
{
  const Outputs* const o = t->o;
  const OutputCircuit* const c = &o->plant->outputs[t->circuit];
  OutputStep s = {.circuit = t->circuit, .name = c->name, .for_what = "", .at = ""};
  Status st = STATUS_OK;
  s.seconds = choice->action.own_s;
  s.why = why_of(t);
  if (choice->action.kind == POLICY_REPAIR) {
    const FixPlan* const f = &t->fixes[choice->action.index];
    s.does = OUTPUT_DOES_REPAIR;
    s.fix = f->fix;
    s.at_number = f->at;
    s.check_sort = OUT_REPAIR;
    s.check = outputs_fix_text(t->arena, f->fix, f->at);
    s.say = outputs_say_fix(o, t->arena, t->circuit, f->fix, f->at);
    s.readings[s.n_readings++] = "better";
    s.readings[s.n_readings++] = "same";
    s.caution = outputs_caution(c, s.does, OUT_REPAIR, f->fix);
  } else {
    const Plan* const p = &t->plans[choice->action.index];
    TRY(st, tell_check_step(o, t->arena, t->circuit, p->check, p->at, &s));
  }
  if (!s.say || !s.why || !s.check) {
    return STATUS_NO_MEMORY;
  }
  *step = s;
  return st;
}

// Paper before cable: the name of a preset costs seconds and no plug, so it is read before ohms or
// boxes as soon as it may be the cause.
#define PAPER_PROB 0.03

static void
paper_first(const Trouble* t, OutputAdvice* advice)
{
  double prob = 0.0;
  for (int h = 0; h < t->n_hyps; ++h) {
    prob += t->hyps[h].wrong.sort == WRONG_PRESET ? t->prob[h] : 0.0;
  }
  for (int i = 1; i < advice->n_steps && prob > PAPER_PROB; ++i) {
    if (advice->steps[i].does == OUTPUT_DOES_CHECK && advice->steps[i].check_sort == OUT_PRESET) {
      const OutputStep preset = advice->steps[i];
      memmove(&advice->steps[1], &advice->steps[0], (size_t)i * sizeof(preset));
      advice->steps[0] = preset;
      return;
    }
  }
}

Status
outputs_advise(const Outputs* o, Arena* arena, int circuit, OutputAdvice* advice)
{
  Status st = STATUS_OK;
  OutputAdvice out = {.n_steps = 0};
  Trouble* const t = arena_array(arena, 1, sizeof(Trouble));
  if (!t) {
    return STATUS_NO_MEMORY;
  }
  *t = (Trouble){.o = o, .arena = arena, .circuit = circuit};
  const OutputSuspect* all = NULL;
  int n_all = 0;
  TRY(st, outputs_suspects(o, arena, circuit, &all, &n_all));
  OutputSuspect* const hyps = arena_array(arena, (size_t)n_all, sizeof(OutputSuspect));
  t->prob = arena_array(arena, (size_t)n_all, sizeof(double));
  if (!hyps || !t->prob) {
    return STATUS_NO_MEMORY;
  }
  // That nothing is wrong needs no step once something is known to be: then what is left is asked
  const bool trouble =
    o->standing[circuit].state == OUTPUT_BAD || o->standing[circuit].state == OUTPUT_SUSPECT;
  double sum = 0.0;
  for (int i = 0; i < n_all && t->n_hyps < MAX_HYPS; ++i) {
    if ((trouble && all[i].wrong.sort == WRONG_NONE) || all[i].prob < 1e-7) {
      continue;
    }
    hyps[t->n_hyps] = all[i];
    t->prob[t->n_hyps++] = all[i].prob;
    sum += all[i].prob;
  }
  t->hyps = hyps;
  for (int i = 0; i < t->n_hyps; ++i) {
    t->prob[i] /= sum;
  }
  if (t->n_hyps == 0 || o->standing[circuit].state == OUTPUT_PROVEN) {
    *advice = out;
    return STATUS_OK;
  }
  TRY(st, add_checks(t));
  TRY(st, add_fixes(t));
  static const int people[] = {ZONE_AMPS};
  // Between the rack, the boxes and the desk: assumed; the round goes by the list of places
  static const double walk_s[] = {0, 15, 20, 15, 0, 25, 20, 25, 0};
  const PolicyProblem problem = {.n_hyps = t->n_hyps,
                                 .prob = t->prob,
                                 .n_checks = t->n_checks,
                                 .checks = t->checks,
                                 .n_repairs = t->n_repairs,
                                 .repairs = t->repairs,
                                 .service = {POLICY_ANYWHERE, 600.0, 1, true},
                                 .verify_s = 10.0,
                                 .n_zones = N_ZONES,
                                 .walk_s = walk_s,
                                 .n_people = 1,
                                 .person_zone = people,
                                 .free_people = 1};
  PolicyProblem merged;
  AheadAnswer answer;
  AheadOptions ahead = ahead_usual();
  ahead.n_leaves = 0; // Two steps: fifty circuits are asked about at once
  TRY(st, policy_merge(&problem, arena, &merged, NULL));
  TRY(st, ahead_rank(&merged, POLICY_BY_SECONDS, &ahead, arena, &answer));
  for (int i = 0; i < answer.n_choices; ++i) {
    if (answer.choices[i].action.kind == POLICY_SERVICE) {
      if (trouble && !o->standing[circuit].is_noted && out.n_steps < OUTPUT_MAX_STEPS) {
        TRY(st, tell_note(t, &out.steps[out.n_steps++]));
      }
      break; // What comes behind it is worth less than nothing
    }
    const bool preset = answer.choices[i].action.kind == POLICY_CHECK &&
                        t->plans[answer.choices[i].action.index].check == OUT_PRESET;
    if (out.n_steps < OUTPUT_MAX_STEPS - !preset) { // One place is kept for it
      TRY(st, tell(t, &answer.choices[i], &out.steps[out.n_steps++]));
    }
  }
  paper_first(t, &out);
  out.seconds = answer.n_choices ? answer.choices[0].seconds : 0.0;
  *advice = out;
  return STATUS_OK;
}
