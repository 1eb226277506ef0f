// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/template.h"

#include "fault/digital.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#define LEG_OHM_PER_M 0.08
#define SHIELD_OHM_PER_M 0.03
#define PAIR_F_PER_M 60e-12
#define LEG_SHIELD_F_PER_M 100e-12
#define ROOM_F_PER_M 10e-12
#define CONTACT_OHM 0.01 // Commonly quoted limit for this connector, from memory, not normative
#define PHANTOM_V 48.0   // IEC 61938, P48
#define FEED_OHM 6800.0  // IEC 61938, P48
#define ISOLATED_M 10.0  // From split to the desk beside it: usual practice
#define FAULT_HIGH_OHM 1000.0
#define FAULT_SHORT_OHM 0.1
#define FAULT_LEAK_OHM 1000.0
#define USUAL_SUPPLY_OHM 2200.0 // Of a kind that names none (assumed)
#define USUAL_DRAW_A 0.003
#define USUAL_CABLE_M 10.0 // At the other end of a Y-lead

ChainElement
template_cable(int near, int far, double length_m)
{
  ChainElement e = {.kind = CHAIN_SECTION, .near = near, .far = far};
  Section* const s = &e.as.section;
  s->n = 3;
  s->series_ohm[0] = SHIELD_OHM_PER_M * length_m + 2 * CONTACT_OHM;
  s->series_ohm[1] = LEG_OHM_PER_M * length_m + 2 * CONTACT_OHM;
  s->series_ohm[2] = LEG_OHM_PER_M * length_m + 2 * CONTACT_OHM;
  s->pair_f[port_pair(1, 2)] = PAIR_F_PER_M * length_m;
  s->pair_f[port_pair(0, 1)] = LEG_SHIELD_F_PER_M * length_m * 1.01;
  s->pair_f[port_pair(0, 2)] = LEG_SHIELD_F_PER_M * length_m * 0.99;
  s->room_f[0] = ROOM_F_PER_M * length_m;
  return e;
}

static ChainElement
contacts(int near, int far)
{
  ChainElement e = {.kind = CHAIN_SECTION, .near = near, .far = far};
  e.as.section.n = 3;
  for (int i = 0; i < 3; ++i) {
    e.as.section.series_ohm[i] = CONTACT_OHM;
  }
  return e;
}

// Resistors towards what phantom feeds; 0 = the kind takes nothing.
static double
supply_ohm(const Kind* kind)
{
  const bool fed = kind && (kind->needs_phantom == ANSWER_YES || kind->draw_a > 0.0);
  return !kind || (!fed && !(kind->supply_ohm > 0.0)) ? 0.0
         : kind->supply_ohm > 0.0                     ? kind->supply_ohm
                                                      : USUAL_SUPPLY_OHM;
}

static double
full_v(const Kind* kind)
{
  return kind->full_v > 0.0 ? kind->full_v : KIND_FULL_V;
}

double
template_supply_v(const Kind* kind, const Port* port, double* load_ohm)
{
  const double leg_ohm = supply_ohm(kind);
  *load_ohm = INFINITY;
  if (!(leg_ohm > 0.0)) {
    return 0.0;
  }
  // Where both resistors meet, unloaded and with 10 k: a straight line through two points
  double v[PORT_MAX];
  Port p = *port;
  port_shunt(&p, 1, 2, 2.0 * leg_ohm);
  (void)port_solve(&p, v);
  const double open_v = 0.5 * (v[1] + v[2]) - v[0];
  const double g = 1.0 / leg_ohm;
  const double test = 1e-4;
  const double sum = 2.0 * g + test;
  p = *port;
  port_shunt(&p, 1, 2, sum / (g * g));
  port_shunt(&p, 0, 1, sum / (g * test));
  port_shunt(&p, 0, 2, sum / (g * test));
  (void)port_solve(&p, v);
  const double loaded_v = (g * (v[1] + v[2]) + test * v[0]) / sum - v[0];
  const double knee_v = 0.5 * full_v(kind);
  const double draw_a = kind->draw_a > 0.0 ? kind->draw_a : USUAL_DRAW_A;
  if (fabs(loaded_v) < 1e-6 || fabs(open_v) < 1e-6) {
    *load_ohm = knee_v / draw_a;
    return 0.0; // Nothing behind it: a broken shield, phantom off
  }
  const double behind_ohm = (open_v / loaded_v - 1.0) / test;
  const double full_load_v = open_v - (open_v > 0.0 ? draw_a : -draw_a) * behind_ohm;
  const bool full = open_v > 0.0 ? full_load_v >= knee_v : full_load_v <= -knee_v;
  const double now_v = full ? full_load_v : open_v / (1.0 + behind_ohm * draw_a / knee_v);
  *load_ohm = full ? fabs(now_v) / draw_a : knee_v / draw_a;
  return now_v;
}

static ChainElement
source(const Kind* kind, int near, int far)
{
  ChainElement e = {.kind = CHAIN_LEAF, .near = near, .far = far};
  ChainLeaf leaf = chain_leaf_nothing();
  if (kind) {
    static const ChainDrive drives[] = {CHAIN_DRIVE_FLOATING, CHAIN_DRIVE_BOTH, CHAIN_DRIVE_ONE,
                                        CHAIN_DRIVE_UNBALANCED};
    leaf.drive = drives[kind->drive];
    leaf.emf_v = 1.0;
    leaf.source_ohm = kind->drive == DRIVE_FLOATING || kind->drive == DRIVE_UNBALANCED
                        ? kind->source_ohm
                        : kind->source_ohm / 2.0;
    if (supply_ohm(kind) > 0.0) { // As loaded as on a good line
      const double draw_a = kind->draw_a > 0.0 ? kind->draw_a : USUAL_DRAW_A;
      const double inside_v = PHANTOM_V - 0.5 * draw_a * (FEED_OHM + supply_ohm(kind));
      leaf.supply_ohm = supply_ohm(kind);
      leaf.load_ohm = fmax(inside_v, 0.5 * full_v(kind)) / draw_a;
    }
    leaf.leg_f =
      20e-12; // Legs to the body, body to the room: strays of a hand-held body, no source
    leaf.room_f = 50e-12;
  }
  e.as.leaf = leaf;
  return e;
}

static ChainElement
desk(int near, bool is_direct, const Desk* listed)
{
  ChainElement e = {.kind = CHAIN_LEAF, .near = near, .far = -1};
  ChainLeaf leaf = chain_leaf_nothing();
  leaf.feed_v = is_direct ? PHANTOM_V : 0.0;
  leaf.feed_ohm[0] = FEED_OHM;
  leaf.feed_ohm[1] = FEED_OHM * 1.004; // IEC 61938: pairs match within 0.4 %
  (void)plant_desk_input(listed, &leaf.input_ohm, &leaf.leg_earth_ohm);
  leaf.input_blocked = true;
  leaf.leg_earth_f[0] = 100e-12;
  leaf.leg_earth_f[1] = 100e-12;
  leaf.earth_ohm = 0.01;
  e.as.leaf = leaf;
  return e;
}

static ChainElement
transformer(int near, int far, const ChainTransformer* t)
{
  ChainElement e = {.kind = CHAIN_TRANSFORMER, .near = near, .far = far};
  e.as.transformer = *t;
  e.as.transformer.winding_f =
    200e-12; // Real barriers leak: 10 Gohm, 50 to 500 pF between windings
  e.as.transformer.insulation_ohm = 10e9;
  return e;
}

static ChainElement
split_side(int near, int far, const Split* split)
{
  if (split->is_parallel) {
    ChainElement e = contacts(near, far);
    if (split->is_lifted) {
      e.as.section.series_ohm[0] = INFINITY;
    }
    return e;
  }
  return transformer(near, far,
                     &(ChainTransformer){.primary_ohm = split->primary_ohm,
                                         .secondary_ohm = split->secondary_ohm,
                                         .primary_h = split->primary_h,
                                         .ratio = 1.0,
                                         .block_f = split->is_blocked ? 47e-6 : (double)INFINITY,
                                         .lift_ohm = split->is_lifted ? (double)INFINITY : 0.0});
}

// A tree on the way: elements so far and the joint that the next one begins at.
typedef struct {
  ChainElement e[64];
  int n;
  int joint; ///< Here the line goes on
  int n_joints;
  const Plant* plant;
} Tree;

static ChainElement*
grow(Tree* tree, ChainElement element)
{
  assert(tree->n < (int)(sizeof(tree->e) / sizeof(tree->e[0])));
  element.near = tree->joint;
  element.far = tree->n_joints;
  tree->e[tree->n] = element;
  if (element.kind == CHAIN_LEAF) {
    tree->e[tree->n].far = -1;
  } else {
    tree->joint = tree->n_joints++;
  }
  return &tree->e[tree->n++];
}

// From a tail's far end to every desk.
static void
grow_desks(Tree* tree, Template* t)
{
  const Plant* const plant = tree->plant;
  const int split = tree->joint;
  int direct = 0;
  for (int d = 0; d < plant->n_desks; ++d) {
    direct = plant->desks[d].is_direct ? d : direct;
  }
  const int pair = tree->n;
  (void)grow(tree, template_cable(0, 0, plant->multicore_m));
  const int direct_leaf = tree->n;
  (void)grow(tree, desk(0, true, &plant->desks[direct]));
  if (t) {
    t->pair = pair;
    t->direct_desk = direct;
    t->desk_leaf[direct] = direct_leaf;
    t->desk_split[direct] = -1;
    t->direct_off = tree->e[direct_leaf];
    t->direct_off.as.leaf.feed_v = 0.0;
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    if (d == direct) {
      continue;
    }
    tree->joint = split;
    const int side = tree->n;
    (void)grow(tree, split_side(0, 0, &plant->split));
    (void)grow(tree, template_cable(0, 0, ISOLATED_M));
    const int leaf = tree->n;
    (void)grow(tree, desk(0, false, &plant->desks[d]));
    if (t) {
      t->desk_split[d] = side;
      t->desk_leaf[d] = leaf;
    }
  }
  tree->joint = split;
}

// A preamplifier in a box is a desk input that stands at the socket.
static void
grow_preamplifier(Tree* tree, int line, Template* t)
{
  const int leaf = tree->n;
  (void)grow(tree, desk(0, true, NULL)); // A box has inputs of its own
  if (t) {
    t->tail = -1;
    t->pair = -1;
    t->direct_desk = plant_phantom_desk(tree->plant, line);
    for (int d = 0; d < tree->plant->n_desks; ++d) {
      t->desk_leaf[d] = leaf;
      t->desk_split[d] = -1;
    }
    t->direct_off = tree->e[leaf];
    t->direct_off.as.leaf.feed_v = 0.0;
  }
}

// From a box socket on.
static void
grow_line(Tree* tree, int line, Template* t)
{
  const Box* const box = &tree->plant->boxes[tree->plant->lines[line].box];
  if (box->is_digital) {
    grow_preamplifier(tree, line, t);
    return;
  }
  if (t) {
    t->tail = tree->n;
  }
  (void)grow(tree, template_cable(0, 0, box->tail_m));
  grow_desks(tree, t);
}

// What else hangs on a Y-lead, from the joint where it forks.
static void
grow_fork(Tree* tree, const TemplateWant* want)
{
  const int fork = tree->joint;
  if (want->y_kind) {
    (void)grow(tree, template_cable(0, 0, USUAL_CABLE_M));
    ChainElement second = source(want->y_kind, 0, -1);
    second.as.leaf.emf_v = 0.0; // The line is judged by its first source: the other keeps quiet
    (void)grow(tree, second);
  } else if (want->y_line >= 0) {
    (void)grow(tree, template_cable(0, 0, USUAL_CABLE_M));
    grow_line(tree, want->y_line, NULL);
  }
  tree->joint = fork;
}

static void
grow_thing(Tree* tree, const TemplateWant* want, const Inline* thing)
{
  ChainElement e = contacts(0, 0);
  for (int i = 0; i < 3 && thing->series_ohm > 0.0 && thing->sort != INLINE_PAD; ++i) {
    e.as.section.series_ohm[i] = thing->series_ohm;
  }
  switch (thing->sort) {
    case INLINE_PAD:
      e.as.section.series_ohm[1] = e.as.section.series_ohm[2] = thing->series_ohm;
      (void)grow(tree, e);
      e = contacts(0, 0);
      e.as.section.pair_siemens[port_pair(1, 2)] = 1.0 / thing->shunt_ohm;
      break;
    case INLINE_CROSSED:
      e.kind = CHAIN_ADAPTOR;
      e.as.adaptor = chain_adaptor_straight();
      e.as.adaptor.map[1] = 2;
      e.as.adaptor.map[2] = 1;
      break;
    case INLINE_JOINED:
      e.as.section.pair_siemens[port_pair(0, 2)] = 1.0 / CONTACT_OHM;
      break;
    case INLINE_TRANSFORMER:
    case INLINE_SUPPLY:
      e = transformer(0, 0,
                      &(ChainTransformer){.primary_ohm = thing->primary_ohm,
                                          .secondary_ohm = thing->secondary_ohm,
                                          .primary_h = thing->primary_h,
                                          .ratio = thing->ratio,
                                          .block_f = INFINITY,
                                          .lift_ohm = thing->is_lifted ? (double)INFINITY : 0.0});
      break;
    case INLINE_Y:
      grow_fork(tree, want);
      break;
    default:
      break;
  }
  (void)grow(tree, e);
}

Status
template_build(Arena* arena, const Plant* plant, const TemplateWant* want, Template* out)
{
  Tree* const tree = arena_array(arena, 1, sizeof(Tree));
  if (!tree) {
    return STATUS_NO_MEMORY;
  }
  tree->plant = plant;
  Template t = {.n_desks = plant->n_desks, .n_things = want->n_things};
  tree->e[tree->n++] = source(want->kind, -1, 0);
  tree->n_joints = 1;
  t.source = tree->e[0].as.leaf;
  t.source_off = tree->e[0];
  t.source_off.as.leaf.drive = CHAIN_DRIVE_NONE;
  t.source_silent = tree->e[0];
  t.source_silent.as.leaf.emf_v = 0.0;
  for (int i = 0; i < want->n_things; ++i) {
    t.things[i] = tree->n;
    if (want->things[i]->sort != INLINE_PANEL) {
      grow_thing(tree, want, want->things[i]);
    }
  }
  t.cable = tree->n;
  (void)grow(tree, template_cable(0, 0, want->kind ? want->cable_m : 0.01));
  for (int i = 0; i < want->n_things; ++i) {
    if (want->things[i]->sort ==
        INLINE_PANEL) { // Near the boxes, on the socket's side of the cable
      t.things[i] = tree->n;
      grow_thing(tree, want, want->things[i]);
    }
  }
  t.joint_socket = tree->joint;
  t.socket = tree->n;
  (void)grow(tree, contacts(0, 0));
  grow_line(tree, want->line, &t);
  Status st = STATUS_OK;
  TRY(st, chain_build(arena, 3, tree->e, tree->n, NULL, &t.chain));
  *out = t;
  return STATUS_OK;
}

static ChainEdit
change(int element, ChainEnd end, ChainChange what, int a, int b, double ohm)
{
  return (ChainEdit){.element = element, .end = end, .change = what, .a = a, .b = b, .ohm = ohm};
}

int
template_contacts(FaultMode mode, int contact_a, int contact_b, int element, ChainEnd end,
                  ChainEdit edits[TEMPLATE_MAX_EDITS])
{
  const int a = contact_a - 1;
  const int b = contact_b - 1;
  switch (mode) {
    case FAULT_OPEN:
    case FAULT_LOOSE:
      edits[0] = change(element, end, CHAIN_SERIES, a, 0, INFINITY);
      return 1;
    case FAULT_HIGH:
      edits[0] = change(element, end, CHAIN_SERIES, a, 0, FAULT_HIGH_OHM);
      return 1;
    case FAULT_SHORT:
    case FAULT_LEAK:
      edits[0] = change(element, end, CHAIN_SHUNT, a, b,
                        mode == FAULT_SHORT ? FAULT_SHORT_OHM : FAULT_LEAK_OHM);
      return 1;
    case FAULT_CROSSED:
    case FAULT_ROTATED: {
      edits[0] = change(element, end, CHAIN_PERMUTE, 0, 0, 0.0);
      for (int i = 0; i < 3; ++i) {
        edits[0].map[i] = (uint8_t)(mode == FAULT_ROTATED ? (i + 1) % 3
                                    : i == a              ? b
                                    : i == b              ? a
                                                          : i);
      }
      return 1;
    }
    case FAULT_NOT_LOCKED:
      for (int i = 0; i < 3; ++i) {
        edits[i] = change(element, end, CHAIN_SERIES, i, 0, INFINITY);
      }
      return 3;
    default:
      return 0;
  }
}

int
template_edits(const Template* t, const Fault* fault, ChainEdit edits[TEMPLATE_MAX_EDITS])
{
  static const int unused = -1;
  int element = unused;
  if (digital_cuts_phantom(fault)) {
    edits[0] = change(t->desk_leaf[t->direct_desk], CHAIN_NEAR, CHAIN_REPLACE, 0, 0, 0.0);
    edits[0].leaf = &t->direct_off.as.leaf;
    return 1;
  }
  ChainEnd end = CHAIN_NEAR; // Cables fail at the source's (female) end more than at the other
  switch (fault->part) {
    case PART_SOURCE:
      if (fault->mode == FAULT_DEAD || fault->mode == FAULT_JACK_OUT) {
        edits[0] = change(0, CHAIN_FAR, CHAIN_REPLACE, 0, 0, 0.0);
        edits[0].leaf =
          fault->mode == FAULT_DEAD ? &t->source_off.as.leaf : &t->source_silent.as.leaf;
        return 1;
      }
      return 0;
    case PART_THROUGH:
      if (fault->desk < 0 || fault->desk >= t->n_things) {
        return 0; // Something left in, or left out: another line is built
      }
      element = t->things[fault->desk];
      break;
    case PART_CABLE:
      element = t->cable;
      // A broken shield hums most when it breaks at the end towards the desk; either end breaks
      // alike for everything else, so that end stands for both.
      end = fault->a == 1 && fault->b == 0 ? CHAIN_FAR : CHAIN_NEAR;
      break;
    case PART_SOCKET:
      element = t->socket;
      break;
    case PART_TAIL:
      element = t->tail;
      end = CHAIN_FAR;
      break;
    case PART_PAIR:
      element = t->pair;
      break;
    case PART_SPLIT:
      if (fault->desk < 0 || t->desk_split[fault->desk] < 0) {
        return 0;
      }
      element = t->desk_split[fault->desk];
      end = CHAIN_FAR;
      break;
    case PART_DESK:
      if (fault->mode == FAULT_PHANTOM_OFF) {
        edits[0] = change(t->desk_leaf[t->direct_desk], CHAIN_NEAR, CHAIN_REPLACE, 0, 0, 0.0);
        edits[0].leaf = &t->direct_off.as.leaf;
        return 1;
      }
      return 0;
    default:
      return 0;
  }
  return template_contacts(fault->mode, fault->a, fault->b, element, end, edits);
}
