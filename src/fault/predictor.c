// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/outcome.h"
#include "fault/predict.h"

#include "base/text.h"
#include "circuit/lamp.h"
#include "fault/card.h"
#include "fault/digital.h"
#include "fault/template.h"
#include "fault/tester.h"

#include <math.h>
#include <string.h>

/*
  Views from circuits, each distinct circuit solved once.

  Two conditions are the same circuit when the tail is as long, the same kind is plugged through the
  same things and the fault is the same: of 48 lines many share their views. The electrical part
  (Solved) is kept under that key in a hash table; a View adds what belongs to the one line.
*/

enum { HEADS = 1024, KNOWN_GOOD_KIND = -2, NOTHING_KIND = -1 };

#define ON_NO_TAIL (-1.0)
#define NO_Y (-2.0)
#define STARVED_DB 20.0 // At its least working volts (assumed)
#define CABLE_M 10.0    // Of unknown length until a tag is given: the commonest, usual practice

/// A line as built: what the circuit hangs on before any fault.
typedef struct {
  double tail_m; ///< ON_NO_TAIL = in a digital box
  int kind;      ///< Index, or NOTHING_KIND, KNOWN_GOOD_KIND
  int things[TEMPLATE_MAX_THINGS];
  int n_things;
  double y_tail_m; ///< Y-lead's other tail, or ON_NO_TAIL, NO_Y
  int y_kind;      ///< Index, or NOTHING_KIND
} Build;

typedef struct {
  Build build;
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
  double inside_v; ///< What phantom leaves for the source's circuit, against its contact 1
  bool on_one_leg; ///< And all of it comes by one leg
  bool is_fed;     ///< The two above mean something
  double volts[2];
  double desk_volts[PLANT_DESKS][2];
  char lamps[8];
  double lamps_a[TESTER_MAX_LAMPS];
  char sent[8];
  double sent_a[TESTER_MAX_LAMPS];
  double legs_a[2];
  double r23_ohm;
} Solved;

typedef struct BuiltChain {
  Build build;
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
  const Tester* own; ///< NULL = they have none
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
  p->own = plant_own_tester(plant, 3);
  Status st = STATUS_OK;
  TRY(st, p->own ? tester_lamps(p->own, &p->tester) : STATUS_OK);
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
  const Build* const b = &k->build;
  unsigned h = mix(2166136261u, (int)(b->tail_m * 100.0));
  h = mix(mix(h, (int)(b->y_tail_m * 100.0)), b->y_kind);
  for (int i = 0; i < b->n_things; ++i) {
    h = mix(h, b->things[i]);
  }
  h = mix(mix(mix(h, b->kind), (int)k->part), (int)k->mode);
  return mix(mix(mix(h, k->a), k->b), k->desk) % HEADS;
}

static bool
build_same(const Build* x, const Build* y)
{
  bool same = x->tail_m == y->tail_m && x->kind == y->kind && x->n_things == y->n_things &&
              x->y_tail_m == y->y_tail_m && x->y_kind == y->y_kind;
  for (int i = 0; same && i < x->n_things; ++i) {
    same = x->things[i] == y->things[i];
  }
  return same;
}

static bool
key_same(const Key* x, const Key* y)
{
  return build_same(&x->build, &y->build) && x->part == y->part && x->mode == y->mode &&
         x->a == y->a && x->b == y->b && x->desk == y->desk;
}

static Status
built_chain(Predictor* p, int line, int y_line, const Build* build, const Template** t)
{
  for (BuiltChain* c = p->chains; c; c = c->next) {
    if (build_same(&c->build, build)) {
      *t = &c->t;
      return STATUS_OK;
    }
  }
  BuiltChain* const c = arena_array(p->arena, 1, sizeof(BuiltChain));
  if (!c) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  TemplateWant want = {.line = line,
                       .kind = kind_of(p, build->kind),
                       .cable_m = CABLE_M,
                       .n_things = build->n_things,
                       .y_line = y_line,
                       .y_kind = kind_of(p, build->y_kind)};
  for (int i = 0; i < build->n_things; ++i) {
    want.things[i] = &p->plant->inlines[build->things[i]];
  }
  TRY(st, template_build(p->arena, p->plant, &want, &c->t));
  c->build = *build;
  c->next = p->chains;
  p->chains = c;
  *t = &c->t;
  return STATUS_OK;
}

// A phantom-fed circuit takes what current it is left: its load goes into the edits (0 or 1 more),
// so that volts are what a meter would read with the circuit as well or badly fed as it is.
static int
settle_supply(const Template* t, const Kind* kind, ChainEdit edits[], int n, ChainLeaf* fed,
              Solved* s)
{
  Port port;
  double v[PORT_MAX];
  if (!isfinite(t->source.supply_ohm)) {
    return 0;
  }
  *fed = t->source;
  chain_look(t->chain, 0, CHAIN_TO_DESK, edits, n, &port);
  s->inside_v = template_supply_v(kind, &port, &fed->load_ohm);
  edits[n] = (ChainEdit){.element = 0, .end = CHAIN_FAR, .change = CHAIN_REPLACE, .leaf = fed};
  (void)chain_leaf_volts(t->chain, 0, edits, n + 1, v);
  const double by_two = v[1] - v[0] - s->inside_v; // Volts across each supply resistor
  const double by_three = v[2] - v[0] - s->inside_v;
  const double more = fmax(fabs(by_two), fabs(by_three));
  s->on_one_leg = more > 0.1 && fmin(by_two, by_three) < 0.2 * more;
  return 1;
}

// Current out of a joint into one side of it, in contacts 2 and 3: what a meter in line sees.
static void
legs_current(const Port* side, const double v[], double legs_a[2])
{
  for (int leg = 0; leg < 2; ++leg) {
    const int c = 1 + leg;
    double sum_a = side->e[c] * v[c] - side->j[c];
    for (int other = 0; other < side->n; ++other) {
      sum_a += other != c ? side->g[port_pair(c, other)] * (v[c] - v[other]) : 0.0;
    }
    legs_a[leg] = sum_a;
  }
}

// The cable alone between sender and lamps: only its own faults count.
static Status
send_through(const Predictor* p, const Key* key, Solved* s)
{
  if (!p->own || !card_fits(p->own, CARD_SENDER)) {
    return STATUS_OK;
  }
  CardFault fault = {.mode = FAULT_NONE};
  if (key->part == PART_CABLE) { // Ohms as in fault/template
    fault = (CardFault){.mode = key->mode, .a = key->a, .b = key->b};
    fault.ohm = key->mode == FAULT_SHORT ? 0.1 : 1000.0;
  }
  for (int i = 0; i < 3; ++i) {
    fault.map[i] = (uint8_t)(key->mode == FAULT_ROTATED ? (i + 1) % 3
                             : i + 1 == key->a          ? key->b - 1
                             : i + 1 == key->b          ? key->a - 1
                                                        : i);
  }
  Port port;
  Status st = STATUS_OK;
  card_cable(p->own, &fault, CABLE_M, &port);
  TRY(st, lamp_solve(&p->tester, &port, s->sent_a, NULL, NULL));
  lamp_picture(s->sent_a, p->tester.n_lamps, s->sent);
  return STATUS_OK;
}

static Status
solve(Predictor* p, int line, int y_line, const Key* key, const Fault* fault, const Solved** out)
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
  TRY(st, built_chain(p, line, y_line, &key->build, &t));
  Solved* const s = arena_array(p->arena, 1, sizeof(Solved));
  if (!s) {
    return STATUS_NO_MEMORY;
  }
  s->key = *key;
  ChainEdit edits[TEMPLATE_MAX_EDITS + 1];
  int n = template_edits(t, fault, edits);
  double v[PORT_MAX];
  ChainLeaf fed;
  const Kind* const kind = kind_of(p, key->build.kind);
  if (kind && key->part != PART_SOURCE) {
    const int n_more = settle_supply(t, kind, edits, n, &fed, s);
    s->is_fed = n_more > 0;
    n += n_more;
  }
  for (int d = 0; d < t->n_desks; ++d) {
    ChainHeard heard[PORT_LANES];
    chain_transfer(t->chain, t->desk_leaf[d], edits, n, heard);
    s->heard_db[d] = heard[1].db;
    s->bass_db[d] = heard[0].db - heard[2].db;
    s->hum_db[d] = heard[3].db;
    s->sign[d] = heard[1].inverted ? -1 : 1;
    (void)chain_leaf_volts(t->chain, t->desk_leaf[d], edits, n, v);
    s->desk_volts[d][0] = v[1] - v[0];
    s->desk_volts[d][1] = v[2] - v[0];
  }
  Port port;
  chain_look(t->chain, t->joint_socket, CHAIN_BOTH, edits, n, &port);
  (void)port_solve(&port, v);
  s->volts[0] = v[1] - v[0];
  s->volts[1] = v[2] - v[0];
  chain_look(t->chain, t->joint_socket, CHAIN_TO_SOURCE, edits, n, &port);
  legs_current(&port, v, s->legs_a);
  s->r23_ohm = tester_ohm(p->meter, &port);
  chain_look(t->chain, t->joint_socket, CHAIN_TO_DESK, edits, n, &port);
  TRY(st, lamp_solve(&p->tester, &port, s->lamps_a, NULL, NULL));
  lamp_picture(s->lamps_a, p->tester.n_lamps, s->lamps);
  TRY(st, send_through(p, key, s));
  s->next = p->solved[head];
  p->solved[head] = s;
  ++p->n_circuits;
  *out = s;
  return STATUS_OK;
}

// What a phantom-fed source makes of the supply it gets [dB to add]: nothing below its least
// working volts, all of it from its full ones on, weaker between. One leg alone feeds only what
// runs on one leg; where nobody knows that it is weak, somewhere between both.
static double
supply_loss_db(const Kind* kind, const Solved* now)
{
  if (!kind || kind->needs_phantom != ANSWER_YES) {
    return 0.0;
  }
  const double full_v = kind->full_v > 0.0 ? kind->full_v : KIND_FULL_V;
  const double least_v = kind->full_v > 0.0 ? kind->least_v : KIND_LEAST_V;
  if (now->inside_v < least_v || (now->on_one_leg && kind->runs_on_one_leg == ANSWER_NO)) {
    return -300.0;
  }
  const double weak_db =
    now->inside_v >= full_v ? 0.0 : -STARVED_DB * (full_v - now->inside_v) / (full_v - least_v);
  return now->on_one_leg && kind->runs_on_one_leg == ANSWER_ASK ? fmin(weak_db, -25.0) : weak_db;
}

static int
first_of(const Plant* plant, InlineSort sort, const char* name)
{
  int at = -1;
  for (int i = 0; i < plant->n_inlines; ++i) {
    if (plant->inlines[i].sort == sort && (at < 0 || text_same(plant->inlines[i].name, name))) {
      at = i;
    }
  }
  return at;
}

// Roughly what a pad takes: series over shunt. A wrong pad is the one furthest from the right one.
static int
other_pad(const Plant* plant, int right)
{
  const Inline* const own = &plant->inlines[right];
  int at = right;
  double most = 0.0;
  for (int i = 0; i < plant->n_inlines; ++i) {
    const Inline* const pad = &plant->inlines[i];
    if (pad->sort == INLINE_PAD && i != right) {
      const double far =
        fabs(log((pad->series_ohm / pad->shunt_ohm) / (own->series_ohm / own->shunt_ohm)));
      at = far > most ? i : at;
      most = fmax(far, most);
    }
  }
  return at;
}

// What really stands in line: by the list, but for what a fault leaves out, mixes up or leaves in.
static void
put_things(const Plant* plant, const Input* input, const Fault* f, Build* b)
{
  const bool through = f->part == PART_THROUGH;
  for (int i = 0; input && i < input->n_through; ++i) {
    if (through && f->desk == i && f->mode == FAULT_MISSING) {
      continue;
    }
    const bool wrong = through && f->desk == i && f->mode == FAULT_WRONG_LEVEL;
    b->things[b->n_things++] = wrong ? other_pad(plant, input->through[i]) : input->through[i];
  }
  if (through && f->desk < 0) {
    const int left = f->mode == FAULT_PAD_IN ? first_of(plant, INLINE_PAD, "pad 20")
                                             : first_of(plant, INLINE_CROSSED, "");
    if (left >= 0) {
      b->things[b->n_things++] = left;
    }
  }
}

static bool
is_other_build(const Fault* f)
{
  return f->part == PART_THROUGH && (f->desk < 0 || f->mode == FAULT_MISSING ||
                                     f->mode == FAULT_WRONG_LEVEL || f->mode == FAULT_FLAT_BATTERY);
}

static double
tail_of(const Plant* plant, int line)
{
  return plant_is_digital(plant, line) ? ON_NO_TAIL : plant->boxes[plant->lines[line].box].tail_m;
}

// The second socket of a Y-lead; -1 = none.
static int
y_line_of(const Plant* plant, const Input* input)
{
  return input && input->y_line ? plant_line(plant, input->y_line) : -1;
}

/// `input` is what the list plugs there; NULL = nothing, or the known-good microphone.
static Key
key_for(const Predictor* p, int line, int kind, const Input* input, const Fault* f)
{
  const Plant* const plant = p->plant;
  // What is no circuit must not split the cache; loose is solved as open.
  const bool setting =
    f->part == PART_SOURCE &&
    (f->mode == FAULT_PAD_IN || f->mode == FAULT_LIFT || f->mode == FAULT_WRONG_LEVEL);
  const bool in_box = f->part >= PART_PREAMP && f->part <= PART_OWNER;
  const bool circuit = (!in_box || digital_cuts_phantom(f)) && f->part != PART_ELSE &&
                       f->part != PART_PLUG && f->part != PART_TESTER && !setting &&
                       !is_other_build(f) && (f->part != PART_DESK || f->mode == FAULT_PHANTOM_OFF);
  const int y_line = y_line_of(plant, input);
  Key key = {.build = {.tail_m = tail_of(plant, line),
                       .kind = kind,
                       .y_tail_m = y_line >= 0 ? tail_of(plant, y_line) : NO_Y,
                       .y_kind = input && input->y_kind ? input->y_kind - 1 : NOTHING_KIND},
             .part = PART_ELSE,
             .mode = FAULT_NONE,
             .desk = -1};
  put_things(plant, input, f, &key.build);
  if (circuit && in_box) { // Whatever takes phantom away, the socket is the same without it
    key.part = PART_PREAMP;
    key.mode = FAULT_PHANTOM_OFF;
  } else if (circuit) {
    key.part = f->part;
    key.mode = f->mode;
    if (f->mode == FAULT_LOOSE) {
      key.mode = FAULT_OPEN;
    } else if (f->part == PART_SOURCE) { // Broken or switched off; else whole, and without a signal
      key.mode = f->mode == FAULT_DEAD || f->mode == FAULT_OFF ? FAULT_DEAD : FAULT_JACK_OUT;
    }
    key.a = f->a;
    key.b = f->b;
    key.desk = f->part == PART_SPLIT || f->part == PART_THROUGH ? f->desk : -1;
  }
  return key;
}

// The picture with small letters for lamps that are lit as on a good line but have half its current
// or less, and the chance that a person says so: it grows with the ratio, to 4 in 5 (no source).
static double
weak_picture(const Predictor* p, const Solved* now, const Solved* good, bool sent, char text[8])
{
  const double* const now_a = sent ? now->sent_a : now->lamps_a;
  const double* const good_a = sent ? good->sent_a : good->lamps_a;
  const char* const letters = sent ? now->sent : now->lamps;
  double worst = 1.0;
  memcpy(text, letters, 8);
  for (int i = 0; i < p->tester.n_lamps && letters[i]; ++i) {
    const char was = sent ? good->sent[i] : good->lamps[i];
    const bool lit = letters[i] == 'G' || letters[i] == 'R';
    const double ratio = lit && letters[i] == was ? good_a[i] / now_a[i] : 1.0;
    if (ratio >= CARD_BRIGHT_RATIO) {
      text[i] = letters[i] == 'G' ? 'g' : 'r';
      worst = ratio > worst ? ratio : worst;
    }
  }
  return worst > 1.0 ? 0.8 / (1.0 + exp(-(worst - CARD_BRIGHT_RATIO) * 1.0986 / 0.5)) : 0.0;
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
  if ((c->plugged == PREDICT_KNOWN_GOOD || c->plugged == PREDICT_EMPTY) &&
      (fault.part == PART_SOURCE || fault.part == PART_THROUGH || fault.part == PART_CABLE)) {
    fault = (Fault){PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0}; // On its own good cable, or on none
  }
  const Kind* const k = kind_of(p, kind);
  // The known-good microphone is heard against itself, whatever the line is planned for.
  const bool walked = c->plugged == PREDICT_KNOWN_GOOD;
  const Kind* const k_planned = walked ? k : kind_of(p, planned_kind);
  static const Fault none = {PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0};
  Status st = STATUS_OK;
  const Key now_key = key_for(p, c->line, kind, here, &fault);
  const Key own_key = key_for(p, c->line, kind, here, &none);
  const Key reference_key =
    key_for(p, c->line, walked ? kind : planned_kind, walked ? NULL : planned, &none);
  const Solved* now = NULL;
  const Solved* own = NULL;
  const Solved* reference = NULL;
  TRY(st, solve(p, c->line, y_line_of(plant, here), &now_key, &fault, &now));
  TRY(st, solve(p, c->line, y_line_of(plant, here), &own_key, &none, &own));
  TRY(st, solve(p, c->line, walked ? -1 : y_line_of(plant, planned), &reference_key, &none,
                &reference));
  const bool loose = fault.mode == FAULT_LOOSE;
  const Solved* const steady = loose ? own : now;
  // A source that wants phantom and sits where nobody gives any is silent however good the copper.
  const bool no_phantom = k && k->needs_phantom == ANSWER_YES && planned && k != k_planned &&
                          k_planned->needs_phantom != ANSWER_YES;
  const bool phantom_gone =
    (fault.part == PART_DESK && fault.mode == FAULT_PHANTOM_OFF) || digital_cuts_phantom(&fault);
  double loss_db = no_phantom ? -300.0 : supply_loss_db(k, steady);
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
    v->open_prob =
      fault.a == 1 && !(k && k->needs_phantom == ANSWER_YES) ? 0.0 : plant_still_open_prob(plant);
  }
  v->is_wet = fault.mode == FAULT_LEAK;
  outcome_source(v, k, &fault);
  outcome_through(v, plant, here, &fault);
  outcome_phantom_on(v, k, &fault);
  outcome_desk(v, &fault);
  digital_apply(v, plant, c->line, &fault);
  v->plugged = c->plugged;
  memcpy(v->volts, steady->volts, sizeof(v->volts));
  memcpy(v->desk_volts, steady->desk_volts, sizeof(v->desk_volts));
  memcpy(v->lamps, steady->lamps, sizeof(v->lamps));
  memcpy(v->lamps_a, steady->lamps_a, sizeof(v->lamps_a));
  v->weak_prob = weak_picture(p, steady, own, false, v->lamps_weak);
  memcpy(v->sent, steady->sent, sizeof(v->sent));
  memcpy(v->sent_a, steady->sent_a, sizeof(v->sent_a));
  v->sent_weak_prob = weak_picture(p, steady, own, true, v->sent_weak);
  memcpy(v->legs_a, steady->legs_a, sizeof(v->legs_a));
  v->source_v = steady->is_fed ? steady->inside_v : (double)NAN;
  v->r23_ohm = steady->r23_ohm;
  if (fault.part == PART_SOURCE && fault.mode == FAULT_DEAD && k && k->drive == DRIVE_FLOATING) {
    v->r23_ohm = INFINITY; // A dead coil is an open one far more often than a shorted one
  }
  v->r23_planned_low = k_planned->r23_low_ohm;
  v->r23_planned_high = k_planned->r23_high_ohm;
  if (planned && !walked) {
    plant_r23_ohm(plant, planned, &v->r23_planned_low, &v->r23_planned_high);
  }
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
