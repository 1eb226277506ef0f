// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/outputs.h"

#include "base/text.h"

/*
  The round: what is read where. At each place paper comes first, then drive lines, then ohms with
  the plugs out; what plays is heard when they are in again. Places in walking order, always the
  nearest that is left.
*/

static double
time_of(const Plant* plant, const char* row, double usual)
{
  return plant_time_s(plant, row, usual);
}

// Places in walking order: always the nearest that is left.
static int
order_places(const Outputs* o, int from, int order[], double* walk_s)
{
  const Plant* const plant = o->plant;
  bool wanted[256] = {false};
  int n = 0;
  int at = from;
  for (int i = 0; i < o->n; ++i) {
    if (o->place[i] >= 0 && o->place[i] < 256) {
      wanted[o->place[i]] = true;
    }
  }
  *walk_s = 0.0;
  for (;;) {
    int next = -1;
    for (int p = 0; p < plant->n_places && p < 256; ++p) {
      const double s = at < 0 ? 0.0 : plant_walk_s(plant, at, p);
      if (wanted[p] && (next < 0 || s < (at < 0 ? 0.0 : plant_walk_s(plant, at, next)))) {
        next = p;
      }
    }
    if (next < 0) {
      return n;
    }
    *walk_s += at < 0 ? 0.0 : plant_walk_s(plant, at, next);
    wanted[next] = false;
    order[n++] = next;
    at = next;
  }
}

static void
add_stop(const Outputs* o, OutputStop* stops, int* n, int circuit, OutputCheck check,
         double seconds)
{
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  for (int i = 0; i < *n; ++i) {
    const OutputCircuit* const other = &o->plant->outputs[stops[i].circuit];
    const bool amp = check == OUT_PRESET && c->amp[0] && text_same(c->amp, other->amp) &&
                     text_same(c->preset, other->preset);
    const bool zone = check == OUT_TONE && !c->mix && !other->mix && c->zone == other->zone;
    if (stops[i].check == check && (amp || zone)) {
      return; // One stop for all of them
    }
  }
  stops[(*n)++] =
    (OutputStop){o->place[circuit], check,   circuit,
                 c->name,           seconds, (o->standing[circuit].seen >> check & 1u) != 0};
}

Status
outputs_round(const Outputs* o, Arena* arena, int from, const OutputStop** stops, int* n,
              double* walk_s)
{
  const Plant* const plant = o->plant;
  OutputStop* const out = arena_array(arena, (size_t)o->n * 5 + 1, sizeof(OutputStop));
  int order[257];
  double walk = 0.0;
  int m = 0;
  if (!out) {
    return STATUS_NO_MEMORY;
  }
  const int n_places = order_places(o, from, order, &walk);
  order[n_places] = -1; // And those whose place nobody said
  static const OutputCheck phases[] = {OUT_PRESET, OUT_TONE,  OUT_OHMS,
                                       OUT_NAME,   OUT_PLAYS, OUT_PULSE};
  for (int p = 0; p <= n_places; ++p) {
    for (int phase = 0; phase < 4; ++phase) {
      for (int i = 0; i < o->n; ++i) {
        const OutputCircuit* const c = &plant->outputs[i];
        const bool wanted = phases[phase] == OUT_PRESET ? c->preset[0] != '\0'
                            : phases[phase] == OUT_TONE ? !c->mix
                            : phases[phase] == OUT_OHMS ? o->parts[i].has_ohms
                                                        : c->transmitter[0] != '\0';
        if (o->place[i] == order[p] && wanted) {
          add_stop(o, out, &m, i, phases[phase],
                   phases[phase] == OUT_OHMS   ? time_of(plant, "measure volts or ohms", 15.0)
                   : phases[phase] == OUT_TONE ? time_of(plant, "tone at an amplifier", 20.0)
                   : phases[phase] == OUT_NAME ? time_of(plant, "name an output", 15.0)
                                               : time_of(plant, "read a preset", 6.0));
        }
      }
    }
  }
  for (int phase = 4; phase < 6; ++phase) {
    for (int i = 0; i < o->n; ++i) {
      if (!plant->outputs[i].transmitter[0]) {
        add_stop(o, out, &m, i, phases[phase],
                 phases[phase] == OUT_PLAYS ? time_of(plant, "listen to a circuit", 15.0) : 10.0);
      }
    }
  }
  *stops = out;
  *n = m;
  if (walk_s) {
    *walk_s = walk;
  }
  return STATUS_OK;
}

Status
outputs_next(const Outputs* o, Arena* arena, const char* name, OutputStep* step, bool* has)
{
  int worst = -1;
  Status st = STATUS_OK;
  *has = false;
  for (int i = 0; i < o->n; ++i) {
    const OutputStanding* const s = &o->standing[i];
    const bool about = !name || outputs_about(o->plant, i, name);
    if (about && s->state >= OUTPUT_SUSPECT && !s->is_noted &&
        (worst < 0 || s->state > o->standing[worst].state)) {
      worst = i;
    }
  }
  if (worst >= 0) {
    OutputAdvice advice;
    TRY(st, outputs_advise(o, arena, worst, &advice));
    if (advice.n_steps > 0) {
      *step = advice.steps[0];
      *has = true;
      return STATUS_OK;
    }
  }
  const OutputStop* stops = NULL;
  int n = 0;
  TRY(st, outputs_round(o, arena, -1, &stops, &n, NULL));
  for (int i = 0; i < n && !*has; ++i) {
    if (!stops[i].is_done && !o->standing[stops[i].circuit].is_noted &&
        (!name || outputs_about(o->plant, stops[i].circuit, name))) {
      TRY(st, outputs_routine(o, arena, stops[i].circuit, stops[i].check, 0, step));
      step->seconds = stops[i].seconds;
      *has = true;
    }
  }
  return STATUS_OK;
}
