// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/outputs_say.h"
#include "day/outputs_trouble.h"
#include "reason/ahead.h"

#include <stdlib.h>
#include <string.h>

/*
  What to do next about an output: the odds of one circuit, the checks and repairs that can be made
  on it, and reason/ahead, as on the input side.

  A step that needs the plug out (ohms) or in (what plays) and does not find it so becomes the step
  that makes it so; ohms are never advised on a circuit that may be live.
*/

// ---- Words ----

// What speaks for it: the most likely faults it tells apart, or what it would end. Whatever is
// wrong with a drive line is one of them.
static const char*
why_of(const OutputTrouble* t)
{
  TextOut out = {.arena = t->arena};
  double drive = 0.0;
  bool drive_said = false;
  int n = 0;
  for (int h = 0; h < t->n_hyps; ++h) {
    drive += t->hyps[h].wrong.sort == WRONG_DRIVE ? t->prob[h] : 0.0;
  }
  for (int h = 0; h < t->n_hyps && n < 2; ++h) {
    const Wrong* const w = &t->hyps[h].wrong;
    const bool is_drive = w->sort == WRONG_DRIVE;
    const char* const fault = outputs_fault_text(t->o, t->arena, t->circuit, w);
    const char* const part =
      is_drive ? outputs_drive_text(&t->o->drives[t->o->drive_of[t->circuit]], t->o, t->arena)
               : outputs_part_text(t->o, t->arena, t->circuit, w);
    if (!fault || !part) {
      return NULL;
    }
    if (w->sort != WRONG_NONE && !(is_drive && drive_said)) {
      text_add(&out, "%s%s%s, %s (about %.0f in 100)", n++ ? "; then " : "Most likely ", fault,
               is_drive ? " or its like" : "", part, 100.0 * (is_drive ? drive : t->prob[h]));
      drive_said = drive_said || is_drive;
    }
  }
  text_add(&out, ".");
  return text_done(&out);
}

// What cannot be mended now is written down: by the stage's own rule, the show goes on.
static Status
tell_note(const OutputTrouble* t, OutputStep* step)
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
  const bool wants_out = check == OUT_OHMS || check == OUT_IMPEDANCE;
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
tell(const OutputTrouble* t, const PolicyChoice* choice, OutputStep* step)
{
  const Outputs* const o = t->o;
  const OutputCircuit* const c = &o->plant->outputs[t->circuit];
  OutputStep s = {.circuit = t->circuit, .name = c->name, .for_what = "", .at = ""};
  Status st = STATUS_OK;
  s.seconds = choice->action.own_s;
  s.why = why_of(t);
  if (choice->action.kind == POLICY_REPAIR) {
    const OutputFixPlan* const f = &t->fixes[choice->action.index];
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
    const OutputPlan* const p = &t->plans[choice->action.index];
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
paper_first(const OutputTrouble* t, OutputAdvice* advice)
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

// Routing changed in vain is the next fault. Where a look costs as much as such a change, to one
// part in twenty, the look comes first: odds and seconds are not known better than that.
#define AS_MUCH_RATIO 1.05

static void
look_first(const OutputTrouble* t, PolicyChoice choices[], int n)
{
  int look = 0;
  while (look < n && choices[look].action.kind != POLICY_CHECK) {
    ++look;
  }
  if (look < n && look > 0 && choices[0].action.kind == POLICY_REPAIR &&
      outputs_is_routing(t->fixes[choices[0].action.index].fix) &&
      choices[look].seconds <= AS_MUCH_RATIO * choices[0].seconds) {
    const PolicyChoice first = choices[look];
    memmove(&choices[1], &choices[0], (size_t)look * sizeof(first));
    choices[0] = first;
  }
}

Status
outputs_advise(const Outputs* o, Arena* arena, int circuit, OutputAdvice* advice)
{
  Status st = STATUS_OK;
  OutputAdvice out = {.n_steps = 0};
  OutputTrouble* const t = arena_array(arena, 1, sizeof(OutputTrouble));
  if (!t) {
    return STATUS_NO_MEMORY;
  }
  *t = (OutputTrouble){.o = o, .arena = arena, .circuit = circuit};
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
  TRY(st, outputs_add_checks(t));
  TRY(st, outputs_add_fixes(t));
  const int people[] = {outputs_stands_at(o, circuit)};
  double walk_s[N_ZONES * N_ZONES];
  outputs_walks(o, circuit, walk_s);
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
  look_first(t, answer.choices, answer.n_choices);
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
