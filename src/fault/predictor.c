// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/predict.h"

#include "circuit/lamp.h"
#include "fault/digital.h"
#include "fault/template.h"
#include "fault/tester.h"

#include <math.h>
#include <string.h>

/*
  Views from circuits, each distinct circuit solved once.

  Two conditions are the same circuit when the tail is as long, the same kind is plugged and the
  fault is the same: of 48 lines many share their views. The electrical part (Solved) is kept under
  that key in a hash table; a View adds what belongs to the one line.
*/

enum { HEADS = 1024, KNOWN_GOOD_KIND = -2, NOTHING_KIND = -1 };

#define ON_NO_TAIL (-1.0)
#define CABLE_M 10.0 // Of unknown length until a tag is given: the commonest, usual practice

typedef struct {
  double tail_m; ///< ON_NO_TAIL = in a digital box
  int kind;      ///< Index, or NOTHING_KIND, KNOWN_GOOD_KIND
  PartSort part;
  FaultMode mode;
  int a, b, desk;
} Key;

typedef struct Solved {
  Key key;
  struct Solved* next;
  double heard_db[PLANT_DESKS]; ///< At 1 kHz against the emf, supply included
  double bass_db[PLANT_DESKS];  ///< 100 Hz against 10 kHz
  double hum_db[PLANT_DESKS];   ///< Per volt of room
  int sign[PLANT_DESKS];
  double supply_v[2]; ///< At the source's legs against its contact 1
  double volts[2];
  char lamps[8];
  double lamps_a[TESTER_MAX_LAMPS];
  double r23_ohm;
} Solved;

typedef struct BuiltChain {
  double tail_m;
  int kind;
  Template t;
  struct BuiltChain* next;
} BuiltChain;

typedef struct Remembered {
  Condition condition;
  View view;
  struct Remembered* next;
} Remembered;

struct Predictor {
  Arena* arena;
  const Plant* plant;
  int act;
  Kind known_good;
  LampTester tester; ///< The crew's own for three contacts; without lamps when they have none
  const Meter* meter;
  BuiltChain* chains;
  Solved* solved[HEADS];
  Remembered* views[HEADS];
  int n_circuits, n_views;
};

Status
predictor_new(Arena* arena, const Plant* plant, int act, Predictor** predictor)
{
  Predictor* const p = arena_array(arena, 1, sizeof(Predictor));
  if (!p) {
    return STATUS_NO_MEMORY;
  }
  p->arena = arena;
  p->plant = plant;
  p->act = act;
  p->known_good = (Kind){.name = "known-good microphone",
                         .meaning = "moving-coil vocal microphone that was heard today",
                         .caution = "",
                         .drive = DRIVE_FLOATING,
                         .source_ohm = 200.0,
                         .r23_low_ohm = 50.0,
                         .r23_high_ohm = 600.0,
                         .level_dbu = -35.0,
                         .needs_phantom = ANSWER_NO,
                         .phantom_harmless = ANSWER_YES,
                         .runs_on_one_leg = ANSWER_NO,
                         .is_microphone = true};
  p->meter = plant_own_meter(plant);
  const Tester* const tester = plant_own_tester(plant, 3);
  Status st = STATUS_OK;
  TRY(st, tester ? tester_lamps(tester, &p->tester) : STATUS_OK);
  *predictor = p;
  return STATUS_OK;
}

static const Kind*
kind_of(const Predictor* p, int kind)
{
  return kind == NOTHING_KIND      ? NULL
         : kind == KNOWN_GOOD_KIND ? &p->known_good
                                   : &p->plant->kinds[kind];
}

static unsigned
mix(unsigned hash, int value)
{
  return (hash ^ (unsigned)value) * 16777619u; // FNV-1a
}

static unsigned
key_hash(const Key* k)
{
  unsigned h = mix(2166136261u, (int)(k->tail_m * 100.0));
  h = mix(mix(mix(h, k->kind), (int)k->part), (int)k->mode);
  return mix(mix(mix(h, k->a), k->b), k->desk) % HEADS;
}

static bool
key_same(const Key* x, const Key* y)
{
  return x->tail_m == y->tail_m && x->kind == y->kind && x->part == y->part && x->mode == y->mode &&
         x->a == y->a && x->b == y->b && x->desk == y->desk;
}

static Status
built_chain(Predictor* p, int line, const Key* key, const Template** t)
{
  for (BuiltChain* c = p->chains; c; c = c->next) {
    if (c->tail_m == key->tail_m && c->kind == key->kind) {
      *t = &c->t;
      return STATUS_OK;
    }
  }
  BuiltChain* const c = arena_array(p->arena, 1, sizeof(BuiltChain));
  if (!c) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  TRY(st, template_build(p->arena, p->plant, line, kind_of(p, key->kind), CABLE_M, &c->t));
  c->tail_m = key->tail_m;
  c->kind = key->kind;
  c->next = p->chains;
  p->chains = c;
  *t = &c->t;
  return STATUS_OK;
}

// Ohms across 2-3 as the crew's meter reads them: a battery behind a resistance (never an ideal
// current: an open pair would have no solution).
static double
across_ohm(const Meter* meter, const Port* port)
{
  Port p;
  port_copy(&p, port);
  double v[PORT_MAX];
  port_source(&p, 1, 2, meter->emf_v, meter->ohm);
  (void)port_solve(&p, v);
  const double drop = v[1] - v[2];
  const double current_a = (meter->emf_v - drop) / meter->ohm;
  return current_a < 1e-9 ? (double)INFINITY : fabs(drop / current_a);
}

static Status
solve(Predictor* p, int line, const Key* key, const Fault* fault, const Solved** out)
{
  const unsigned head = key_hash(key);
  for (const Solved* s = p->solved[head]; s; s = s->next) {
    if (key_same(&s->key, key)) {
      *out = s;
      return STATUS_OK;
    }
  }
  Status st = STATUS_OK;
  const Template* t = NULL;
  TRY(st, built_chain(p, line, key, &t));
  Solved* const s = arena_array(p->arena, 1, sizeof(Solved));
  if (!s) {
    return STATUS_NO_MEMORY;
  }
  s->key = *key;
  ChainEdit edits[TEMPLATE_MAX_EDITS];
  const int n = template_edits(t, fault, edits);
  double v[PORT_MAX];
  for (int d = 0; d < t->n_desks; ++d) {
    ChainHeard heard[PORT_LANES];
    chain_transfer(t->chain, t->desk_leaf[d], edits, n, heard);
    s->heard_db[d] = heard[1].db;
    s->bass_db[d] = heard[0].db - heard[2].db;
    s->hum_db[d] = heard[3].db;
    s->sign[d] = heard[1].inverted ? -1 : 1;
  }
  (void)chain_leaf_volts(t->chain, 0, edits, n, v);
  s->supply_v[0] = v[1] - v[0];
  s->supply_v[1] = v[2] - v[0];
  Port port;
  chain_look(t->chain, TEMPLATE_JOINT_SOCKET, CHAIN_BOTH, edits, n, &port);
  (void)port_solve(&port, v);
  s->volts[0] = v[1] - v[0];
  s->volts[1] = v[2] - v[0];
  chain_look(t->chain, TEMPLATE_JOINT_SOCKET, CHAIN_TO_SOURCE, edits, n, &port);
  s->r23_ohm = across_ohm(p->meter, &port);
  chain_look(t->chain, TEMPLATE_JOINT_SOCKET, CHAIN_TO_DESK, edits, n, &port);
  TRY(st, lamp_solve(&p->tester, &port, s->lamps_a, NULL, NULL));
  lamp_picture(s->lamps_a, p->tester.n_lamps, s->lamps);
  s->next = p->solved[head];
  p->solved[head] = s;
  ++p->n_circuits;
  *out = s;
  return STATUS_OK;
}

// What a phantom-fed source makes of the supply it gets: dB to add, against a healthy line's.
// A circuit on one leg starves; whether it plays then is the kind's own answer (usual practice:
// it is weak by some 10 dB where it plays at all).
static double
supply_loss_db(const Kind* kind, const Solved* now, const Solved* healthy)
{
  if (!kind || kind->needs_phantom != ANSWER_YES) {
    return 0.0;
  }
  const double full = healthy->supply_v[0] + healthy->supply_v[1];
  const double share = full > 1.0 ? (now->supply_v[0] + now->supply_v[1]) / full : 0.0;
  const double least = now->supply_v[0] < now->supply_v[1] ? now->supply_v[0] : now->supply_v[1];
  if (share < 0.3 || least < -2.0) {
    return -300.0;
  }
  if (share > 0.85) {
    return 0.0;
  }
  return kind->runs_on_one_leg == ANSWER_YES  ? -10.0
         : kind->runs_on_one_leg == ANSWER_NO ? -300.0
                                              : -25.0;
}

static Key
key_for(const Predictor* p, int line, int kind, const Fault* f)
{
  // What is no circuit must not split the cache; loose is solved as open.
  const bool is_digital = plant_is_digital(p->plant, line);
  const bool in_box = f->part >= PART_PREAMP && f->part <= PART_OWNER;
  const bool circuit = (!in_box || digital_cuts_phantom(f)) && f->part != PART_ELSE &&
                       f->part != PART_PLUG && f->part != PART_TESTER &&
                       (f->part != PART_DESK || f->mode == FAULT_PHANTOM_OFF);
  const double tail_m = p->plant->boxes[p->plant->lines[line].box].tail_m;
  Key key = {is_digital ? ON_NO_TAIL : tail_m, kind, PART_ELSE, FAULT_NONE, 0, 0, -1};
  if (circuit && in_box) { // Whatever takes phantom away, the socket is the same without it
    key.part = PART_PREAMP;
    key.mode = FAULT_PHANTOM_OFF;
  } else if (circuit) {
    key.part = f->part;
    key.mode = f->mode == FAULT_LOOSE                                  ? FAULT_OPEN
               : f->mode == FAULT_OFF || f->mode == FAULT_FLAT_BATTERY ? FAULT_DEAD
                                                                       : f->mode;
    key.a = f->a;
    key.b = f->b;
    key.desk = f->part == PART_SPLIT ? f->desk : -1;
  }
  return key;
}

static void
apply_desk(View* v, const Fault* f)
{
  const int d = f->desk;
  if (f->part != PART_DESK || d < 0) {
    return;
  }
  switch (f->mode) {
    case FAULT_MUTED:
      v->level_db[d] = -300.0;
      v->look[d] = LOOK_MUTED;
      break;
    case FAULT_PAD_IN: // 20 dB, the usual pad
      v->level_db[d] -= 20.0;
      v->meter_db[d] -= 20.0;
      v->look[d] = LOOK_PAD;
      break;
    case FAULT_WRONG_LEVEL:
      v->level_db[d] -= 20.0;
      v->meter_db[d] -= 20.0;
      v->look[d] = LOOK_GAIN;
      break;
    case FAULT_WRONG_PATCH:
      v->level_db[d] = -300.0;
      v->meter_db[d] = -30.0; // Which meter a wrong patch shows depends on the desk: half and half
      v->look[d] = LOOK_PATCH;
      break;
    case FAULT_DEAD:
      v->level_db[d] = -300.0;
      v->meter_db[d] = -300.0;
      break;
    case FAULT_PHANTOM_OFF:
      v->look[d] = LOOK_PHANTOM;
      break;
    default:
      break;
  }
}

static Status
make_view(Predictor* p, const Condition* c, View* v)
{
  const Plant* const plant = p->plant;
  const Input* const planned = plant_input(plant, p->act, c->line);
  const Input* const here = c->plugged >= 0 ? plant_input(plant, p->act, c->plugged) : NULL;
  const int planned_kind = planned ? planned->kind : KNOWN_GOOD_KIND;
  const int kind = c->plugged == PREDICT_KNOWN_GOOD ? KNOWN_GOOD_KIND
                   : here                           ? here->kind
                   : c->plugged == c->line          ? KNOWN_GOOD_KIND // Bare lines: it is walked
                                                    : NOTHING_KIND;
  memset(v, 0, sizeof(*v));
  if (c->fault.mode == FAULT_SOMETHING_ELSE) {
    v->is_anything = true;
    return STATUS_OK;
  }
  Fault fault = c->fault;
  if (kind == KNOWN_GOOD_KIND && c->plugged == PREDICT_KNOWN_GOOD &&
      (fault.part == PART_SOURCE || fault.part == PART_CABLE)) {
    fault = (Fault){PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0}; // On its own good cable
  }
  const Kind* const k = kind_of(p, kind);
  // The known-good microphone is heard against itself, whatever the line is planned for.
  const bool walked = c->plugged == PREDICT_KNOWN_GOOD;
  const Kind* const k_planned = walked ? k : kind_of(p, planned_kind);
  static const Fault none = {PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0};
  Status st = STATUS_OK;
  const Key now_key = key_for(p, c->line, kind, &fault);
  const Key own_key = key_for(p, c->line, kind, &none);
  const Key reference_key = key_for(p, c->line, walked ? kind : planned_kind, &none);
  const Solved* now = NULL;
  const Solved* own = NULL;
  const Solved* reference = NULL;
  TRY(st, solve(p, c->line, &now_key, &fault, &now));
  TRY(st, solve(p, c->line, &own_key, &none, &own));
  TRY(st, solve(p, c->line, &reference_key, &none, &reference));
  const bool loose = fault.mode == FAULT_LOOSE;
  const Solved* const steady = loose ? own : now;
  // A source that wants phantom and sits where nobody gives any is silent however good the copper.
  const bool no_phantom = k && k->needs_phantom == ANSWER_YES && planned && k != k_planned &&
                          k_planned->needs_phantom != ANSWER_YES;
  const bool phantom_gone =
    (fault.part == PART_DESK && fault.mode == FAULT_PHANTOM_OFF) || digital_cuts_phantom(&fault);
  double loss_db = no_phantom ? -300.0 : supply_loss_db(k, steady, own);
  if (k && k->has_battery && (no_phantom || phantom_gone) && loss_db < 0.0) {
    loss_db = 0.0; // It may live on its battery: nobody knows
    v->open_prob = 0.7;
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    // Another source in this socket plays at its own level; whoever listens allows for half of
    // that.
    const double own_db = k ? 0.5 * (k->level_dbu - k_planned->level_dbu) : -300.0;
    v->level_db[d] = v->meter_db[d] =
      steady->heard_db[d] - reference->heard_db[d] + own_db + loss_db;
    v->bass_db[d] = k ? steady->bass_db[d] - own->bass_db[d] : 0.0;
    v->sign[d] = steady->sign[d];
    v->hum_dbv[d] = k ? now->hum_db[d] + 47.2 : -200.0; // 230 V of room potential: 20 log10(230)
    v->look[d] = LOOK_FINE;
    v->arrives_at[d] = c->own_at;
  }
  if (loose) {
    v->is_loose = true;
    v->open_prob = fault.a == 1 && !(k && k->needs_phantom == ANSWER_YES) ? 0.0 : 0.5;
  }
  v->is_wet = fault.mode == FAULT_LEAK;
  apply_desk(v, &fault);
  digital_apply(v, plant, c->line, &fault);
  v->plugged = c->plugged;
  memcpy(v->volts, steady->volts, sizeof(v->volts));
  memcpy(v->lamps, steady->lamps, sizeof(v->lamps));
  memcpy(v->lamps_a, steady->lamps_a, sizeof(v->lamps_a));
  v->r23_ohm = steady->r23_ohm;
  if (fault.part == PART_SOURCE && fault.mode == FAULT_DEAD && k && k->drive == DRIVE_FLOATING) {
    v->r23_ohm = INFINITY; // A dead coil is an open one far more often than a shorted one
  }
  v->r23_planned_low = k_planned->r23_low_ohm;
  v->r23_planned_high = k_planned->r23_high_ohm;
  return STATUS_OK;
}

static bool
condition_same(const Condition* x, const Condition* y)
{
  return x->line == y->line && x->plugged == y->plugged && x->own_at == y->own_at &&
         catalogue_same(&x->fault, &y->fault);
}

Status
predictor_view(Predictor* p, const Condition* c, const View** view)
{
  unsigned h = mix(mix(2166136261u, c->line), c->plugged);
  h = mix(mix(mix(h, c->own_at), (int)c->fault.part), (int)c->fault.mode);
  h = mix(mix(mix(h, c->fault.a), c->fault.b), c->fault.desk) % HEADS;
  for (Remembered* r = p->views[h]; r; r = r->next) {
    if (condition_same(&r->condition, c)) {
      *view = &r->view;
      return STATUS_OK;
    }
  }
  Remembered* const r = arena_array(p->arena, 1, sizeof(Remembered));
  if (!r) {
    return STATUS_NO_MEMORY;
  }
  r->condition = *c;
  Status st = STATUS_OK;
  TRY(st, make_view(p, c, &r->view));
  r->next = p->views[h];
  p->views[h] = r;
  ++p->n_views;
  *view = &r->view;
  return STATUS_OK;
}

void
predictor_counts(const Predictor* p, int* n_circuits, int* n_views)
{
  *n_circuits = p->n_circuits;
  *n_views = p->n_views;
}
