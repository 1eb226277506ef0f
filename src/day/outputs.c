// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/outputs_inside.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

/*
  From readings over hypotheses to odds, and where things are. What is read, held against, listed
  and said of it stands in the files beside this one (day/outputs_inside.h).
*/

// ---- Where things are ----

bool
outputs_hangs(const OutputCircuit* c)
{
  for (const char* p = c->note; *p; ++p) {
    if (text_begins(p, "hang") || text_begins(p, "flown")) {
      return true;
    }
  }
  return false;
}

// "amps house left" for a zone whose name says "house left"; a mix's amplifiers stand with the
// monitor desk; what says nothing stands at the first amplifier place.
static int
place_of(const Plant* plant, const OutputCircuit* c)
{
  int first = -1;
  if (!c->mix && c->place >= 0) {
    return c->place;
  }
  if (c->mix) {
    return plant_place(plant, "monitors");
  }
  for (int i = 0; i < plant->n_places; ++i) {
    const char* const place = plant->places[i];
    const bool is_amps = text_begins(place, "amps");
    const char* const side =
      is_amps ? place + strcspn(place, " ") + strspn(place + strcspn(place, " "), " ") : place;
    first = is_amps && first < 0 ? i : first;
    for (const char* p = c->zone_name; side[0] && *p; ++p) {
      if (text_begins(p, side)) {
        return i;
      }
    }
  }
  return first;
}

int
outputs_cable(const Plant* plant, int circuit, int circuits[], int max)
{
  const OutputCircuit* const own = &plant->outputs[circuit];
  int n = 0;
  bool apart = true;
  for (int i = 0; i < plant->n_outputs && n < max; ++i) {
    const OutputCircuit* const c = &plant->outputs[i];
    const bool named = own->cable[0] && text_same(own->cable, c->cable);
    // Without a name: the same amplifier and place, other poles
    const bool likely = !own->cable[0] && !c->cable[0] && own->amp[0] &&
                        text_same(own->amp, c->amp) && own->n_poles && c->n_poles &&
                        own->zone == c->zone && own->mix == c->mix;
    if (i == circuit || named || likely) {
      circuits[n++] = i;
    }
  }
  for (int i = 0; i < n; ++i) {
    for (int k = 0; k < i; ++k) {
      apart = apart && plant->outputs[circuits[i]].poles[0] != plant->outputs[circuits[k]].poles[0];
    }
  }
  if (!apart) { // Two on one pair: cables of their own
    circuits[0] = circuit;
    return 1;
  }
  return n;
}

// ---- The belief ----

Wrong
outputs_wrong(const Outputs* o, int circuit, int row)
{
  const BeliefHyp h = belief_hyp(o->belief, circuit, row);
  if (h.group < 0) {
    return o->locals[circuit][h.local];
  }
  return o->shared[h.state - 1].wrongs[h.group];
}

static Status
weigh(Arena* arena, Outputs* o)
{
  for (int i = 0; i < o->n_seen; ++i) {
    const OutputSeen* const seen = &o->seen[i];
    const int rows = belief_n_hyps(o->belief, seen->circuit);
    double* const like = arena_array(arena, (size_t)rows, sizeof(double));
    if (!like) {
      return STATUS_NO_MEMORY;
    }
    for (int r = 0; r < rows; ++r) {
      const Wrong w = outputs_wrong(o, seen->circuit, r);
      like[r] = outputs_like(o, seen->circuit, &w, seen);
    }
    (void)belief_update(o->belief, seen->circuit, like); // Nothing has no chance: it cannot fail
  }
  return STATUS_OK;
}

// ---- Odds ----

#define EXPLAINS_RATIO 1.5 // Assumed

static bool
same_wrong(const Wrong* a, const Wrong* b)
{
  return a->sort == b->sort && a->other == b->other && a->fail.mode == b->fail.mode &&
         a->fail.part == b->fail.part && a->fail.at == b->fail.at && a->drive == b->drive;
}

static int
by_prob(const void* a, const void* b)
{
  const OutputSuspect* const one = a;
  const OutputSuspect* const two = b;
  return one->prob > two->prob ? -1 : one->prob < two->prob;
}

// Whether the later of two readings of one kind at one place says that all is well again.
static bool
is_taken_back(const Outputs* o, int circuit, int at)
{
  const OutputSeen* const bad = &o->seen[at];
  for (int i = at + 1; i < o->n_seen; ++i) {
    const OutputSeen* const r = &o->seen[i];
    if (r->check == bad->check && r->at == bad->at && outputs_tells_of(o, circuit, r) &&
        outputs_is_good(o, r)) {
      return true;
    }
  }
  return false;
}

// Once something is known to be wrong, what explains no bad reading better than a healthy circuit
// does is as far from it as that.
static bool
explains(const Outputs* o, int circuit, const Wrong* w)
{
  static const Wrong none = {.sort = WRONG_NONE, .other = -1};
  if (w->sort == WRONG_ELSE) {
    return true;
  }
  for (int i = 0; i < o->n_seen; ++i) {
    const OutputSeen* const r = &o->seen[i];
    if (outputs_tells_of(o, circuit, r) && !outputs_is_good(o, r) &&
        outputs_like(o, circuit, w, r) > EXPLAINS_RATIO * outputs_like(o, circuit, &none, r) &&
        !is_taken_back(o, circuit, i)) {
      return true;
    }
  }
  return false;
}

Status
outputs_suspects(const Outputs* o, Arena* arena, int circuit, const OutputSuspect** list, int* n)
{
  const int rows = belief_n_hyps(o->belief, circuit);
  double* const prob = arena_array(arena, (size_t)rows, sizeof(double));
  OutputSuspect* const out = arena_array(arena, (size_t)rows, sizeof(OutputSuspect));
  const bool is_bad = o->standing[circuit].state == OUTPUT_BAD;
  double sum = 0.0;
  int m = 0;
  if (!prob || !out) {
    return STATUS_NO_MEMORY;
  }
  belief_hyps(o->belief, circuit, prob);
  for (int r = 0; r < rows; ++r) {
    const Wrong w = outputs_wrong(o, circuit, r);
    int k = 0;
    if (is_bad && !explains(o, circuit, &w)) {
      continue;
    }
    sum += prob[r];
    while (k < m && !same_wrong(&out[k].wrong, &w)) {
      ++k;
    }
    out[k].wrong = w;
    out[k].prob += prob[r];
    m += k == m;
  }
  for (int k = 0; k < m && sum > 0.0; ++k) {
    out[k].prob /= sum;
  }
  qsort(out, (size_t)m, sizeof(*out), by_prob);
  *list = out;
  *n = m;
  return STATUS_OK;
}

Status
outputs_new(Arena* arena, const Plant* plant, const Fold* fold, Outputs** outputs)
{
  Status st = STATUS_OK;
  Outputs* const o = arena_array(arena, 1, sizeof(Outputs));
  Parts* const parts = arena_array(arena, (size_t)plant->n_outputs, sizeof(Parts));
  int* const place = arena_array(arena, (size_t)plant->n_outputs, sizeof(int));
  OutputStanding* const standing =
    arena_array(arena, (size_t)plant->n_outputs, sizeof(OutputStanding));
  if (!o || !parts || !place || !standing) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < plant->n_outputs; ++i) {
    parts[i] = parts_of(&plant->outputs[i]);
    place[i] = place_of(plant, &plant->outputs[i]);
  }
  *o = (Outputs){.plant = plant,
                 .n = plant->n_outputs,
                 .parts = parts,
                 .place = place,
                 .standing = standing,
                 .left_aside = ""};
  TRY(st, outputs_take(arena, plant, fold, o));
  TRY(st, outputs_judge(arena, o, standing));
  if (o->n > 0) {
    TRY(st, outputs_drives(arena, o));
    TRY(st, outputs_wrongs(arena, o));
    TRY(st, weigh(arena, o));
    TRY(st, outputs_stand(arena, o, fold, standing));
    OutputDriveStanding* const drives =
      arena_array(arena, (size_t)o->n_drives, sizeof(OutputDriveStanding));
    if (!drives) {
      return STATUS_NO_MEMORY;
    }
    TRY(st, outputs_stand_drives(arena, o, drives));
    o->drive_standing = drives;
  }
  *outputs = o;
  return STATUS_OK;
}
