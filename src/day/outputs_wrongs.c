// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/outputs_inside.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

/*
  What may be wrong with each output, and what reaches several of them.

    circuit    its own: a pole, a link, a box, a driver, its channel; of a mix its return and what
               the desk sends
    amplifier  preset, switch, plugs exchanged with the one before it
    zone       drive line: contacts at either plug, its output, swapped with the zone before it
    cable      pairs crossed, from the amplifier's end or from a link on; pairs that were never
  made; a whole link or box

  Weights come from the odds list, rows "output" (usual practice, no source); what a drive line has
  of its own is shared out as fault/drive.h does it.
*/

// Before anything is read: that something is wrong with a circuit, and the weights of what (common
// practice, no source). The rows "output ..." of an odds list take their place.
#define BAD_PROB 0.04
#define ELSE_SHARE 0.02
#define DRIVE_USUAL 0.26 // A drive line or return with all that may be wrong with it
enum { MAX_LOCALS = 160, SET_MAX = 64 };

static double
weight(const Plant* plant, const char* fault, double usual)
{
  const double listed = plant_odds(plant, "output", fault);
  return listed > 0.0 ? listed : usual;
}

// ---- What may be wrong ----

typedef struct {
  Wrong* wrongs;
  double* prob;
  int n;
} Locals;

static void
add(Locals* l, WrongSort sort, FailMode mode, FailPart part, int at, int other, double prob)
{
  if (l->n < MAX_LOCALS && prob > 0.0) {
    l->wrongs[l->n] = (Wrong){sort, {mode, part, at, NULL}, other, NULL};
    l->prob[l->n++] = prob;
  }
}

// Of a cable of several pairs a whole link or box is shared by its circuits; one of them alone has
// lost only its own pole.
static void
add_parts(const Plant* plant, const Parts* p, int n_pairs, Locals* l)
{
  static const struct {
    FailMode mode;
    const char* row;
    double usual; ///< As connectors fail (SD-18: 61, 23, 16), reversed and the rest as assumed
  } runs[] = {{FAIL_OPEN, "open", 0.20},
              {FAIL_HIGH, "high", 0.05},
              {FAIL_SHORT, "short", 0.05},
              {FAIL_REVERSED, "reversed", 0.06}};
  for (size_t i = 0; i < sizeof(runs) / sizeof(runs[0]); ++i) {
    const double w = weight(plant, runs[i].row, runs[i].usual);
    add(l, WRONG_PART, runs[i].mode, FAIL_AT_CABLE, 0, -1, 0.5 * w);
    for (int k = 1; k < p->n_boxes; ++k) {
      add(l, WRONG_PART, runs[i].mode, FAIL_AT_LINK, k, -1, 0.5 * w / (p->n_boxes - 1) / n_pairs);
    }
  }
  const double driver = weight(plant, "driver open", 0.12);
  const double shorted = weight(plant, "driver short", 0.02);
  const double missing = weight(plant, "box missing", 0.06);
  const double turned = weight(plant, "driver reversed", 0.03);
  for (int k = 1; k <= p->n_boxes; ++k) {
    add(l, WRONG_PART, FAIL_OPEN, FAIL_AT_DRIVER, k, -1, driver / p->n_boxes);
    add(l, WRONG_PART, FAIL_SHORT, FAIL_AT_DRIVER, k, -1, shorted / p->n_boxes);
    add(l, WRONG_PART, FAIL_OPEN, FAIL_AT_BOX, k, -1, n_pairs > 1 ? 0.0 : missing / p->n_boxes);
    add(l, WRONG_PART, FAIL_REVERSED, FAIL_AT_BOX, k, -1, turned / p->n_boxes);
    add(l, WRONG_PART, FAIL_TAP, FAIL_AT_BOX, k, -1,
        p->is_line ? weight(plant, "wrong tap", 0.06) / p->n_boxes : 0.0);
  }
}

// A return, its plugs swapped with the one beside it, and the desk sending another mix into it.
static void
add_return(const Outputs* o, int circuit, Locals* l)
{
  const Plant* const plant = o->plant;
  const OutputDrive* const d = &o->drives[o->drive_of[circuit]];
  const double all = weight(plant, "drive line", DRIVE_USUAL);
  for (int i = 1; i < d->n_faults; ++i) {
    const int at = l->n;
    add(l, WRONG_DRIVE, FAIL_NONE, FAIL_AT_CABLE, 0, -1, all * d->faults[i].share);
    if (l->n > at) {
      l->wrongs[at].drive = &d->faults[i];
    }
  }
  for (int i = 0; i < plant->n_outputs; ++i) {
    const int apart = abs(plant->outputs[i].mix - plant->outputs[circuit].mix);
    if (plant->outputs[i].mix && apart == 1) { // Beside it on the panel, and at the desk
      add(l, WRONG_DRIVE_OTHER, FAIL_NONE, FAIL_AT_CABLE, 0, i, all * 0.5 * d->swapped_share);
      add(l, WRONG_CONTENT, FAIL_NONE, FAIL_AT_CABLE, 0, i, 0.5 * weight(plant, "wrong mix", 0.06));
    }
  }
}

static Status
locals_of(Arena* arena, const Outputs* o, int circuit, Locals* l)
{
  const Plant* const plant = o->plant;
  const Parts* const parts = o->parts;
  const OutputCircuit* const c = &plant->outputs[circuit];
  l->wrongs = arena_array(arena, MAX_LOCALS + 2, sizeof(Wrong));
  l->prob = arena_array(arena, MAX_LOCALS + 2, sizeof(double));
  if (!l->wrongs || !l->prob) {
    return STATUS_NO_MEMORY;
  }
  l->n = 1;
  l->wrongs[0] = (Wrong){.sort = WRONG_NONE, .other = -1};
  add(l, WRONG_CHANNEL, FAIL_NONE, FAIL_AT_CABLE, 0, -1, weight(plant, "channel off", 0.10));
  if (parts[circuit].n_boxes > 0) {
    int set[SET_MAX];
    add_parts(plant, &parts[circuit], outputs_cable(plant, circuit, set, SET_MAX), l);
  }
  if (c->mix) { // Its own return; a zone's drive line is shared and comes below
    add_return(o, circuit, l);
  }
  add(l, WRONG_ELSE, FAIL_NONE, FAIL_AT_CABLE, 0, -1, ELSE_SHARE);
  double sum = 0.0;
  for (int i = 1; i < l->n; ++i) {
    sum += l->prob[i];
  }
  for (int i = 1; i < l->n; ++i) {
    l->prob[i] *= BAD_PROB / sum;
  }
  l->prob[0] = 1.0 - BAD_PROB;
  return STATUS_OK;
}

typedef struct {
  Arena* arena;
  OutputShared* at;
  double* prob;
  int n, room;
} Shares;

enum { MAX_SHARED = 2000 };

static Status
add_shared(Shares* s, const int circuits[], const Wrong wrongs[], int n, double prob,
           const char* say)
{
  int* const who = arena_array(s->arena, (size_t)n, sizeof(int));
  Wrong* const what = arena_array(s->arena, (size_t)n, sizeof(Wrong));
  if (!who || !what || !say) {
    return STATUS_NO_MEMORY;
  }
  if (n == 0 || s->n == s->room) {
    return STATUS_OK;
  }
  memcpy(who, circuits, (size_t)n * sizeof(int));
  memcpy(what, wrongs, (size_t)n * sizeof(Wrong));
  s->at[s->n] = (OutputShared){who, what, n, say};
  s->prob[s->n++] = prob;
  return STATUS_OK;
}

// The same thing wrong with all circuits of a set.
static Status
add_same(Shares* s, const int circuits[], int n, WrongSort sort, double prob, const char* say)
{
  Wrong wrongs[SET_MAX];
  for (int i = 0; i < n; ++i) {
    wrongs[i] = (Wrong){.sort = sort, .other = -1};
  }
  return add_shared(s, circuits, wrongs, n, prob, say);
}

// Circuits of one amplifier.
static int
set_of(const Plant* plant, const char* amp, int set[SET_MAX])
{
  int n = 0;
  for (int i = 0; i < plant->n_outputs && n < SET_MAX; ++i) {
    if (text_same(plant->outputs[i].amp, amp)) {
      set[n++] = i;
    }
  }
  return n;
}

static Status
share_amps(const Plant* plant, Shares* s)
{
  int before[SET_MAX];
  int n_before = 0;
  Status st = STATUS_OK;
  for (int i = 0; i < plant->n_outputs; ++i) {
    const OutputCircuit* const c = &plant->outputs[i];
    int set[SET_MAX];
    const int n = c->amp[0] ? set_of(plant, c->amp, set) : 0;
    if (n == 0 || set[0] != i) {
      continue;
    }
    TRY(st, add_same(s, set, n, WRONG_PRESET, weight(plant, "wrong preset", 0.10) * BAD_PROB,
                     arena_format(s->arena, "preset of %s", c->amp)));
    TRY(st, add_same(s, set, n, WRONG_OFF, weight(plant, "amplifier off", 0.06) * BAD_PROB,
                     arena_format(s->arena, "%s is off", c->amp)));
    // Plugs exchanged with the amplifier before it, pole for pole
    Wrong wrongs[SET_MAX];
    int who[SET_MAX];
    int m = 0;
    for (int k = 0; k < n && k < n_before && m + 2 <= SET_MAX; ++k) {
      who[m] = before[k];
      wrongs[m++] = (Wrong){.sort = WRONG_PLUGS, .other = set[k]};
      who[m] = set[k];
      wrongs[m++] = (Wrong){.sort = WRONG_PLUGS, .other = before[k]};
    }
    TRY(st, add_shared(s, who, wrongs, m, weight(plant, "plugs swapped", 0.04) * BAD_PROB,
                       arena_format(s->arena, "plugs of %s and the amplifier before it", c->amp)));
    memcpy(before, set, sizeof(before));
    n_before = n;
  }
  return STATUS_OK;
}

// A fault of a drive line reaches all that it feeds.
static Status
share_drives(const Outputs* o, Shares* s)
{
  const double all = weight(o->plant, "drive line", DRIVE_USUAL) * BAD_PROB;
  const OutputDrive* before = NULL;
  Status st = STATUS_OK;
  for (int i = 0; i < o->n_drives; ++i) {
    const OutputDrive* const d = &o->drives[i];
    const int n = d->n < SET_MAX / 2 ? d->n : SET_MAX / 2;
    const char* const say = arena_format(s->arena, "drive line of zone %d", d->zone);
    Wrong wrongs[SET_MAX];
    int who[SET_MAX];
    int m = 0;
    for (int f = 1; !d->mix && f < d->n_faults; ++f) {
      for (int k = 0; k < n; ++k) {
        wrongs[k] = (Wrong){.sort = WRONG_DRIVE, .other = -1, .drive = &d->faults[f]};
      }
      TRY(st, add_shared(s, d->circuits, wrongs, n, all * d->faults[f].share, say));
    }
    if (d->mix) {
      continue;
    }
    for (int k = 0; before && k < n; ++k) {
      who[m] = d->circuits[k];
      wrongs[m++] = (Wrong){.sort = WRONG_DRIVE_OTHER, .other = before->circuits[0]};
    }
    for (int k = 0; before && k < before->n && k < SET_MAX / 2; ++k) {
      who[m] = before->circuits[k];
      wrongs[m++] = (Wrong){.sort = WRONG_DRIVE_OTHER, .other = d->circuits[0]};
    }
    TRY(st, add_shared(
              s, who, wrongs, m, all * 0.5 * d->swapped_share,
              arena_format(s->arena, "drive lines of zone %d and the zone before it", d->zone)));
    before = d;
  }
  return STATUS_OK;
}

// Pairs of one cable: crossed two by two, in the cable or in a link; pairs that were never made.
static Status
share_cables(const Plant* plant, const Parts* parts, Shares* s)
{
  Status st = STATUS_OK;
  for (int i = 0; i < plant->n_outputs; ++i) {
    int set[SET_MAX];
    const int n = outputs_cable(plant, i, set, SET_MAX);
    if (n < 2 || set[0] != i) {
      continue;
    }
    for (int a = 0; a < n; ++a) {
      for (int b = a + 1; b < n; ++b) {
        const int links = parts[set[a]].n_boxes - 1;
        for (int at = 0; at <= links; ++at) {
          const int who[] = {set[a], set[b]};
          const FailPart part = at ? FAIL_AT_LINK : FAIL_AT_CABLE;
          const Wrong wrongs[] = {
            {WRONG_PART, {FAIL_CROSSED, part, at, &parts[set[b]]}, set[b], NULL},
            {WRONG_PART, {FAIL_CROSSED, part, at, &parts[set[a]]}, set[a], NULL}};
          TRY(st,
              add_shared(s, who, wrongs, 2,
                         weight(plant, "pairs crossed", 0.04) * BAD_PROB / (links + 1),
                         arena_format(s->arena, "pairs of %s and %s", plant->outputs[set[a]].name,
                                      plant->outputs[set[b]].name)));
        }
      }
    }
    // A link that is out, a box that is not there: all its pairs at once
    const int n_boxes = parts[i].n_boxes;
    for (int at = 1; at <= n_boxes; ++at) {
      for (int link = 0; link < (at < n_boxes ? 2 : 1); ++link) {
        Wrong wrongs[SET_MAX];
        for (int k = 0; k < n; ++k) {
          wrongs[k] =
            (Wrong){WRONG_PART, {FAIL_OPEN, link ? FAIL_AT_LINK : FAIL_AT_BOX, at, NULL}, -1, NULL};
        }
        TRY(st,
            add_shared(s, set, wrongs, n,
                       weight(plant, link ? "link out" : "box missing", 0.06) * BAD_PROB / n_boxes,
                       arena_format(s->arena, link ? "link %d" : "box %d", at)));
      }
    }
    // Only the first pair, or all but the last, has copper
    for (int made = 1; made < n; ++made) {
      int who[SET_MAX];
      int m = 0;
      for (int k = 0; k < n; ++k) {
        if (plant->outputs[set[k]].poles[0] >= 2 * made) {
          who[m++] = set[k];
        }
      }
      TRY(st, add_same(s, who, m, WRONG_NOT_MADE, weight(plant, "pair not made", 0.06) * BAD_PROB,
                       arena_format(s->arena, "cable of %s with %d pairs made",
                                    plant->outputs[i].amp, made)));
    }
  }
  return STATUS_OK;
}

// ---- The belief ----

Status
outputs_wrongs(Arena* arena, Outputs* o)
{
  const int n = o->n;
  Status st = STATUS_OK;
  int* const n_locals = arena_array(arena, (size_t)n, sizeof(int));
  const double** const prob = arena_array(arena, (size_t)n, sizeof(double*));
  const Wrong** const locals = arena_array(arena, (size_t)n, sizeof(Wrong*));
  Shares s = {arena, arena_array(arena, MAX_SHARED, sizeof(OutputShared)),
              arena_array(arena, MAX_SHARED, sizeof(double)), 0, MAX_SHARED - 1};
  if (!n_locals || !prob || !locals || !s.at || !s.prob) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < n; ++i) {
    Locals l = {0};
    TRY(st, locals_of(arena, o, i, &l));
    n_locals[i] = l.n;
    prob[i] = l.prob;
    locals[i] = l.wrongs;
  }
  TRY(st, share_amps(o->plant, &s));
  TRY(st, share_drives(o, &s));
  TRY(st, share_cables(o->plant, o->parts, &s));
  BeliefState* const states = arena_array(arena, (size_t)s.n + 1, sizeof(BeliefState));
  static const double one[] = {1.0};
  static const int none[] = {0};
  double left = 1.0;
  if (!states) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < s.n; ++i) {
    left -= s.prob[i];
  }
  // Many shared causes must not crowd out that nothing is shared
  const double squeeze = left < 0.5 ? 0.5 / (1.0 - left) : 1.0;
  double sum = 0.0;
  for (int i = 0; i < s.n; ++i) {
    BeliefGroup* const groups = arena_array(arena, (size_t)s.at[i].n, sizeof(BeliefGroup));
    if (!groups) {
      return STATUS_NO_MEMORY;
    }
    for (int k = 0; k < s.at[i].n; ++k) {
      groups[k] = (BeliefGroup){1, &s.at[i].circuits[k], 1, one, none};
    }
    states[i + 1] = (BeliefState){s.prob[i] * squeeze, s.at[i].n, groups};
    sum += states[i + 1].prob;
  }
  states[0] = (BeliefState){1.0 - sum, 0, NULL};
  o->locals = locals;
  o->shared = s.at;
  o->n_shared = s.n;
  o->model = (BeliefModel){n, n_locals, prob, s.n + 1, states};
  return belief_init(arena, &o->model, &o->belief);
}
