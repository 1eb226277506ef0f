// SPDX-License-Identifier: GPL-3.0-or-later
#include "circuit/chain.h"

#include "circuit/curve.h"
#include "circuit/kernel.h"

/*
  Messages. `forward` of an element is the port its far end shows looking back at the source,
  `backward` the port its near end shows looking on to the desks. At a joint the side of the source
  is the forward message of the element ending there, the side of the desks the sum of the backward
  messages of those beginning there; what enters an element is the source's side plus its siblings.

  A message is stale when an edit lies behind it: for `forward` anywhere but strictly beyond the
  element, for `backward` in it or beyond. Elements are numbered in walking order so that "beyond"
  is an interval.
*/

enum { ELEMENTS_MAX = 256 }; // Bounds the recursion

/// What joins contacts 1 and 3 inside an unbalanced source [ohm]: a short wire.
#define JOIN_OHM 0.01

typedef struct {
  int first_child; ///< First element beginning at the far joint, -1 none
  int next;        ///< Next element beginning at the same joint, -1 none
  int place;       ///< Number in walking order
  int last;        ///< Highest number beyond it, `place` if none
  View forward[2]; ///< By NumKind
  View backward[2];
} Node;

struct Chain {
  int n;
  int n_elements;
  int n_joints;
  const ChainElement* elements;
  Node* nodes;
  const int* parent; ///< [n_joints] element ending at the joint
  PortTones tones;
};

/// One look: what every step of it needs.
typedef struct {
  const Chain* chain;
  NumKind kind;
  const ChainEdit* edits;
  int n_edits;
} Look;

ChainLeaf
chain_leaf_nothing(void)
{
  return (ChainLeaf){.drive = CHAIN_DRIVE_NONE,
                     .source_ohm = INFINITY,
                     .supply_ohm = INFINITY,
                     .sender_ohm = {INFINITY, INFINITY},
                     .feed_ohm = {INFINITY, INFINITY},
                     .input_ohm = INFINITY,
                     .leg_earth_ohm = INFINITY,
                     .earth_ohm = INFINITY};
}

static double
siemens(double ohm)
{
  return 1.0 / fmax(ohm, PORT_SHORT_OHM);
}

static const PortTones*
tones_of(const Look* look)
{
  return look->kind == NUM_AC ? &look->chain->tones : NULL;
}

static void
shunt(const Look* look, View v, int a, int b, double ohm, double farad)
{
  view_admit(v, v.g, port_pair(a, b), &look->chain->tones, siemens(ohm), farad);
}

static void
earth(const Look* look, View v, int contact, double ohm, double farad)
{
  view_admit(v, v.e, contact, &look->chain->tones, siemens(ohm), farad);
}

/// The same source in every lane, times the lane's factor: plus into a, minus into b.
static void
drive(const Look* look, View v, int a, int b, double current_a)
{
  const Num current = num_scale(NUM_AC, num_lanes(look->chain->tones.emf_v), current_a);
  num_gain(NUM_AC, v.j, a, current);
  num_gain(NUM_AC, v.j, b, num_scale(NUM_AC, current, -1.0));
}

static void
leaf_source(const Look* look, View v, const ChainLeaf* leaf)
{
  const bool ac = look->kind == NUM_AC;
  const double current_a = leaf->emf_v * siemens(leaf->source_ohm);
  switch (leaf->drive) {
    case CHAIN_DRIVE_NONE:
      break;
    case CHAIN_DRIVE_FLOATING:
      shunt(look, v, 1, 2, leaf->source_ohm, 0.0);
      if (ac) {
        drive(look, v, 1, 2, current_a);
      }
      break;
    case CHAIN_DRIVE_BOTH:
    case CHAIN_DRIVE_ONE:
      if (ac) {
        const bool both = leaf->drive == CHAIN_DRIVE_BOTH;
        shunt(look, v, 0, 1, leaf->source_ohm, 0.0);
        shunt(look, v, 0, 2, leaf->source_ohm, 0.0);
        drive(look, v, 1, both ? 2 : 0, both ? 0.5 * current_a : current_a);
      }
      break;
    case CHAIN_DRIVE_UNBALANCED:
      shunt(look, v, 0, 2, JOIN_OHM, 0.0);
      shunt(look, v, 0, 1, leaf->source_ohm, 0.0);
      if (ac) {
        drive(look, v, 1, 0, current_a);
      }
      break;
  }
}

static void
leaf_port(const Look* look, View v, const ChainLeaf* leaf)
{
  const bool ac = look->kind == NUM_AC;
  view_init(v);
  leaf_source(look, v, leaf);
  for (int leg = 0; leg < 2; ++leg) {
    const int contact = leg + 1;
    if (ac) {
      shunt(look, v, 0, contact, INFINITY, leaf->leg_f);
    } else {
      const double sender_a = leaf->sender_v[leg] * siemens(leaf->sender_ohm[leg]);
      shunt(look, v, 0, contact, leaf->supply_ohm, 0.0);
      shunt(look, v, 0, contact, leaf->sender_ohm[leg], 0.0);
      v.j[contact] += sender_a;
      v.j[0] -= sender_a;
      v.j[contact] += leaf->feed_v * siemens(leaf->feed_ohm[leg]);
    }
    earth(look, v, contact, leaf->feed_ohm[leg], leaf->leg_earth_f[leg]);
    if (ac || !leaf->input_blocked) {
      earth(look, v, contact, leaf->leg_earth_ohm, 0.0);
    }
  }
  if (ac || !leaf->input_blocked) {
    shunt(look, v, 1, 2, leaf->input_ohm, 0.0);
  }
  earth(look, v, 0, leaf->earth_ohm, leaf->room_f);
  if (ac && leaf->room_f != 0.0) {
    view_room(v, 0, &look->chain->tones, leaf->room_f);
  }
}

/// The primary's own parts, at the primary's contacts: coil, winding and capacitors from the core
/// outwards, or from outside inwards. Direct current meets a resistor, or nothing behind
/// capacitors.
static void
primary(const Look* look, View v, const ChainTransformer* t, bool outwards)
{
  const bool blocked = isfinite(t->block_f);
  const PortTones* const tones = tones_of(look);
  for (int step = 0; step < 3; ++step) {
    switch (outwards ? 2 - step : step) {
      case 0:
        for (int leg = 1; blocked && leg <= 2; ++leg) {
          const Num z = num_inverse(NUM_AC, num_admittance(look->kind, tones, 0.0, t->block_f));
          view_series(v, leg, &z, look->kind == NUM_DC);
        }
        break;
      case 1:
        for (int leg = 1; look->kind == NUM_AC && leg <= 2; ++leg) {
          view_series_ohm(v, leg, 0.5 * t->primary_ohm);
        }
        break;
      default:
        if (look->kind == NUM_AC) {
          // 1 / (j w L), written as the inverse of the admittance a capacitance of L would have
          num_gain(NUM_AC, v.g, port_pair(1, 2),
                   num_inverse(NUM_AC, num_admittance(NUM_AC, tones, 0.0, t->primary_h)));
        } else {
          shunt(look, v, 1, 2, t->primary_ohm, 0.0);
        }
        break;
    }
  }
}

static void
secondary(const Look* look, View v, const ChainTransformer* t)
{
  if (look->kind == NUM_DC) {
    shunt(look, v, 1, 2, t->secondary_ohm, 0.0);
    return;
  }
  view_series_ohm(v, 1, 0.5 * t->secondary_ohm);
  view_series_ohm(v, 2, 0.5 * t->secondary_ohm);
}

/// Across the core, contacts 1 and 2 becoming the other winding's; ratio is old turns over new.
static void
core(const Look* look, View v, const ChainTransformer* t, double ratio)
{
  const int n = v.n;
  const int width = num_width(v.kind);
  assert(n >= 3 && n + 2 <= PORT_MAX);
  const View wide = {v.kind, n + 2, v.g, v.e, v.j};
  memset(v.g + n * (n - 1) / 2 * width, 0, (size_t)((2 * n + 1) * width) * sizeof(double));
  memset(v.e + n * width, 0, (size_t)(2 * width) * sizeof(double));
  memset(v.j + n * width, 0, (size_t)(2 * width) * sizeof(double));
  for (int leg = 0; leg < 2; ++leg) {
    shunt(look, wide, 1 + leg, n + leg, 2.0 * t->insulation_ohm, 0.5 * t->winding_f);
  }
  uint8_t map[2 * PORT_MAX]; // Roomier than needed: compilers fill it eight at a time
  if (v.kind == NUM_AC) {
    view_transformer(wide, 1, 2, n, n + 1, ratio);
    // Left: 0, 3 .. n - 1, new pair. Wanted: 0, new pair, 3 .. n - 1.
    for (int i = 0; i < n; ++i) {
      map[i] = (uint8_t)(i == 0 ? 0 : i <= 2 ? n - 3 + i : i - 2);
    }
    view_permute(v, map);
  } else {
    view_series(wide, 1, NULL, true);
    view_series(wide, 2, NULL, true);
    for (int i = 0; i < n + 2; ++i) {
      map[i] = (uint8_t)(i == 1 || i == 2 ? n - 1 + i : i >= n ? i - n + 1 : i);
    }
    view_permute(wide, map);
  }
}

static void
transformer_pass(const Look* look, View v, const ChainTransformer* t, bool to_desk)
{
  if (to_desk) {
    primary(look, v, t, false);
    core(look, v, t, t->ratio);
    secondary(look, v, t);
  }
  view_series_ohm(v, 0, t->lift_ohm);
  if (!to_desk) {
    secondary(look, v, t);
    core(look, v, t, 1.0 / t->ratio);
    primary(look, v, t, true);
  }
}

static void
edit_apply(const Look* look, View v, const ChainEdit* edit, bool to_desk)
{
  switch (edit->change) {
    case CHAIN_SERIES:
      view_series_ohm(v, edit->a, edit->ohm);
      break;
    case CHAIN_SHUNT:
      shunt(look, v, edit->a, edit->b, edit->ohm, 0.0);
      break;
    case CHAIN_LEAK:
      earth(look, v, edit->a, edit->ohm, 0.0);
      break;
    case CHAIN_PERMUTE: {
      uint8_t back[PORT_MAX];
      for (int i = 0; i < v.n; ++i) {
        back[edit->map[i]] = (uint8_t)i;
      }
      view_permute(v, to_desk ? edit->map : back);
      break;
    }
    case CHAIN_REPLACE:
      break;
  }
}

/// All faults at one end of an element, met in the order of travel.
static void
edits_apply(const Look* look, View v, int element, ChainEnd end, bool to_desk)
{
  for (int i = 0; i < look->n_edits; ++i) {
    const ChainEdit* const edit = &look->edits[to_desk ? i : look->n_edits - 1 - i];
    if (edit->element == element && edit->end == end) {
      edit_apply(look, v, edit, to_desk);
    }
  }
}

static const ChainLeaf*
leaf_in_force(const Look* look, int element)
{
  const ChainLeaf* leaf = &look->chain->elements[element].as.leaf;
  for (int i = 0; i < look->n_edits; ++i) {
    if (look->edits[i].element == element && look->edits[i].change == CHAIN_REPLACE) {
      leaf = look->edits[i].leaf;
    }
  }
  return leaf;
}

/// Whether an edit lies behind the message of an element in the given direction.
static bool
stale(const Look* look, int element, bool to_desk)
{
  const Node* const node = &look->chain->nodes[element];
  for (int i = 0; i < look->n_edits; ++i) {
    assert(look->edits[i].element >= 0 && look->edits[i].element < look->chain->n_elements);
    const int place = look->chain->nodes[look->edits[i].element].place;
    const bool beyond = place > node->place && place <= node->last;
    if (to_desk ? !beyond : beyond || place == node->place) {
      return true;
    }
  }
  return false;
}

static void
element_pass(const Look* look, View v, int element, bool to_desk)
{
  const ChainElement* const e = &look->chain->elements[element];
  edits_apply(look, v, element, to_desk ? CHAIN_NEAR : CHAIN_FAR, to_desk);
  if (e->kind == CHAIN_SECTION) {
    view_section(v, &e->as.section, tones_of(look));
  } else {
    transformer_pass(look, v, &e->as.transformer, to_desk);
  }
  edits_apply(look, v, element, to_desk ? CHAIN_FAR : CHAIN_NEAR, to_desk);
}

static void
backward(const Look* look, int element, View v);

/// The side of the desks at a joint, leaving one element out (-1: none), added to v.
static void
add_beyond(const Look* look, int first, int except, View v)
{
  for (int i = first; i >= 0; i = look->chain->nodes[i].next) {
    if (i == except) {
      continue;
    }
    const View kept = look->chain->nodes[i].backward[look->kind];
    if (!stale(look, i, false)) {
      view_sum(v, kept);
    } else {
      Scratch scratch;
      const View branch = view_scratch(look->kind, v.n, &scratch);
      backward(look, i, branch);
      view_sum(v, branch);
    }
  }
}

static void
backward(const Look* look, int element, View v)
{
  const Node* const node = &look->chain->nodes[element];
  if (!stale(look, element, false)) {
    view_copy(v, node->backward[look->kind]);
  } else if (look->chain->elements[element].kind == CHAIN_LEAF) {
    leaf_port(look, v, leaf_in_force(look, element));
    edits_apply(look, v, element, CHAIN_NEAR, false);
  } else {
    view_init(v);
    add_beyond(look, node->first_child, -1, v);
    element_pass(look, v, element, false);
  }
}

static void
forward(const Look* look, int element, View v)
{
  const Chain* const chain = look->chain;
  if (!stale(look, element, true)) {
    view_copy(v, chain->nodes[element].forward[look->kind]);
  } else if (element == 0) {
    leaf_port(look, v, leaf_in_force(look, 0));
    edits_apply(look, v, 0, CHAIN_FAR, true);
  } else {
    const int before = chain->parent[chain->elements[element].near];
    forward(look, before, v);
    add_beyond(look, chain->nodes[before].first_child, element, v);
    element_pass(look, v, element, true);
  }
}

static void
look_at(const Look* look, int joint, ChainSide side, View v)
{
  assert(joint >= 0 && joint < look->chain->n_joints);
  const int parent = look->chain->parent[joint];
  if (side == CHAIN_TO_DESK) {
    view_init(v);
  } else {
    forward(look, parent, v);
  }
  if (side != CHAIN_TO_SOURCE) {
    add_beyond(look, look->chain->nodes[parent].first_child, -1, v);
  }
}

/// Inside a leaf, past its faults, everything plugged.
static void
look_inside(const Look* look, int leaf, View v)
{
  const Chain* const chain = look->chain;
  assert(leaf >= 0 && leaf < chain->n_elements && chain->elements[leaf].kind == CHAIN_LEAF);
  if (leaf == 0) {
    view_init(v);
    add_beyond(look, chain->nodes[0].first_child, -1, v);
    edits_apply(look, v, 0, CHAIN_FAR, false);
  } else {
    const int before = chain->parent[chain->elements[leaf].near];
    forward(look, before, v);
    add_beyond(look, chain->nodes[before].first_child, leaf, v);
    edits_apply(look, v, leaf, CHAIN_NEAR, true);
  }
  Scratch scratch;
  const View own = view_scratch(look->kind, v.n, &scratch);
  leaf_port(look, own, leaf_in_force(look, leaf));
  view_sum(v, own);
}

static bool
fits(double value, double low, double high)
{
  return value >= low && value <= high;
}

static bool
all_fit(const double values[], int n, double low, double high)
{
  for (int i = 0; i < n; ++i) {
    if (!fits(values[i], low, high)) {
      return false;
    }
  }
  return true;
}

static bool
section_is_sound(const Section* s, int n)
{
  const int pairs = n * (n - 1) / 2;
  return s->n == n && all_fit(s->series_ohm, n, 0.0, INFINITY) &&
         all_fit(s->pair_siemens, pairs, 0.0, 1e6) && all_fit(s->pair_f, pairs, 0.0, 1.0) &&
         all_fit(s->earth_siemens, n, 0.0, 1e6) && all_fit(s->earth_f, n, 0.0, 1.0) &&
         all_fit(s->room_f, n, 0.0, 1.0);
}

static bool
transformer_is_sound(const ChainTransformer* t, int n)
{
  return n + 2 <= PORT_MAX && fits(t->primary_ohm, 0.0, 1e9) && fits(t->secondary_ohm, 0.0, 1e9) &&
         fits(t->primary_h, 1e-9, 1e9) && fits(t->ratio, 1e-6, 1e6) &&
         fits(t->block_f, 1e-15, INFINITY) && fits(t->lift_ohm, 0.0, INFINITY) &&
         fits(t->winding_f, 0.0, 1.0) && fits(t->insulation_ohm, 0.0, INFINITY);
}

static bool
leaf_is_sound(const ChainLeaf* l)
{
  return fits(l->emf_v, -1e6, 1e6) && fits(l->source_ohm, PORT_SHORT_OHM, INFINITY) &&
         fits(l->supply_ohm, 0.0, INFINITY) && all_fit(l->sender_v, 2, -1e6, 1e6) &&
         all_fit(l->sender_ohm, 2, PORT_SHORT_OHM, INFINITY) && fits(l->leg_f, 0.0, 1.0) &&
         fits(l->room_f, 0.0, 1.0) && fits(l->feed_v, -1e6, 1e6) &&
         all_fit(l->feed_ohm, 2, PORT_SHORT_OHM, INFINITY) && fits(l->input_ohm, 0.0, INFINITY) &&
         fits(l->leg_earth_ohm, 0.0, INFINITY) && all_fit(l->leg_earth_f, 2, 0.0, 1.0) &&
         fits(l->earth_ohm, 0.0, INFINITY);
}

static bool
element_is_sound(const ChainElement* e, int n)
{
  switch (e->kind) {
    case CHAIN_SECTION:
      return section_is_sound(&e->as.section, n);
    case CHAIN_TRANSFORMER:
      return transformer_is_sound(&e->as.transformer, n);
    case CHAIN_LEAF:
      return leaf_is_sound(&e->as.leaf);
  }
  return false;
}

/// The drawing must be a tree: each joint the far end of exactly one element, named before use.
static bool
is_a_tree(const ChainElement elements[], int n_elements, int n_joints)
{
  bool ended[ELEMENTS_MAX] = {false};
  for (int i = 0; i < n_elements; ++i) {
    const ChainElement* const e = &elements[i];
    const bool leaf = e->kind == CHAIN_LEAF;
    if (i == 0 ? !leaf || e->near != -1 || e->far != 0
               : e->near < 0 || e->near >= n_joints || !ended[e->near]) {
      return false;
    }
    if (i == 0 || !leaf) {
      if (e->far < 0 || e->far >= n_joints || ended[e->far]) {
        return false;
      }
      ended[e->far] = true;
    } else if (e->far != -1) {
      return false;
    }
  }
  return true;
}

/// Number elements in walking order and link those that begin at one joint, first named first.
static void
walk(Node nodes[], int element, int* place)
{
  nodes[element].place = (*place)++;
  for (int i = nodes[element].first_child; i >= 0; i = nodes[i].next) {
    walk(nodes, i, place);
  }
  nodes[element].last = *place - 1;
}

static void
link_nodes(Node nodes[], const ChainElement elements[], int n_elements, const int parent[])
{
  for (int i = 0; i < n_elements; ++i) {
    nodes[i].first_child = nodes[i].next = -1;
  }
  for (int i = n_elements - 1; i > 0; --i) {
    Node* const before = &nodes[parent[elements[i].near]];
    nodes[i].next = before->first_child;
    before->first_child = i;
  }
  int place = 0;
  walk(nodes, 0, &place);
}

static bool
message_room(Arena* arena, NumKind kind, int n, View* v)
{
  const int width = num_width(kind);
  const int pairs = n * (n - 1) / 2;
  double* const room = arena_array(arena, (size_t)((pairs + 2 * n) * width), sizeof(double));
  if (!room) {
    return false;
  }
  *v = (View){kind, n, room, room + pairs * width, room + (pairs + n) * width};
  return true;
}

/// Work out the healthy messages of one kind: backward from the desks, then forward.
static void
keep_messages(const Chain* chain, NumKind kind)
{
  for (int way = 0; way < 2; ++way) {
    for (int k = 0; k < chain->n_elements; ++k) {
      const int i = way == 0 ? chain->n_elements - 1 - k : k;
      const ChainElement* const e = &chain->elements[i];
      Scratch scratch;
      const View v = view_scratch(kind, chain->n, &scratch);
      // Every message only rests on ones already kept, so nothing counts as stale but itself.
      const ChainEdit itself = {.element = i, .change = CHAIN_REPLACE, .leaf = &e->as.leaf};
      const Look look = {chain, kind, &itself, 1};
      if (way == 0 && i > 0) {
        backward(&look, i, v);
        view_copy(chain->nodes[i].backward[kind], v);
      } else if (way == 1 && (i == 0 || e->far >= 0)) {
        forward(&look, i, v);
        view_copy(chain->nodes[i].forward[kind], v);
      }
    }
  }
}

static const PortTones usual_tones = {.hz = {100.0, 1000.0, 10000.0, 50.0},
                                      .emf_v = {1.0, 1.0, 1.0, 0.0},
                                      .room_v = {0.0, 0.0, 0.0, 1.0}};

Status
chain_build(Arena* arena, int n_contacts, const ChainElement elements[], int n_elements,
            const PortTones* tones, const Chain** chain)
{
  tones = tones ? tones : &usual_tones;
  if (n_contacts < 3 || n_contacts > PORT_MAX || n_elements < 1 || n_elements > ELEMENTS_MAX ||
      !all_fit(tones->hz, PORT_LANES, 1e-6, 1e9)) {
    return STATUS_BAD_ARG;
  }
  int n_joints = 0;
  for (int i = 0; i < n_elements; ++i) {
    if (!element_is_sound(&elements[i], n_contacts)) {
      return STATUS_BAD_ARG;
    }
    n_joints += i == 0 || elements[i].kind != CHAIN_LEAF;
  }
  if (!is_a_tree(elements, n_elements, n_joints)) {
    return STATUS_BAD_ARG;
  }
  Chain* const made = arena_array(arena, 1, sizeof(Chain));
  ChainElement* const copy = arena_array(arena, (size_t)n_elements, sizeof(ChainElement));
  Node* const nodes = arena_array(arena, (size_t)n_elements, sizeof(Node));
  int* const parent = arena_array(arena, (size_t)n_joints, sizeof(int));
  if (!made || !copy || !nodes || !parent) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < n_elements; ++i) {
    for (int kind = NUM_DC; kind <= NUM_AC; ++kind) {
      if (!message_room(arena, (NumKind)kind, n_contacts, &nodes[i].forward[kind]) ||
          !message_room(arena, (NumKind)kind, n_contacts, &nodes[i].backward[kind])) {
        return STATUS_NO_MEMORY;
      }
    }
    if (elements[i].far >= 0) {
      parent[elements[i].far] = i;
    }
  }
  memcpy(copy, elements, (size_t)n_elements * sizeof(ChainElement));
  link_nodes(nodes, copy, n_elements, parent);
  *made = (Chain){n_contacts, n_elements, n_joints, copy, nodes, parent, *tones};
  keep_messages(made, NUM_DC);
  keep_messages(made, NUM_AC);
  *chain = made;
  return STATUS_OK;
}

int
chain_joints(const Chain* chain)
{
  return chain->n_joints;
}

void
chain_look(const Chain* chain, int joint, ChainSide side, const ChainEdit edits[], int n_edits,
           Port* port)
{
  const Look look = {chain, NUM_DC, edits, n_edits};
  port->n = chain->n;
  look_at(&look, joint, side, view_dc(port));
}

void
chain_look_ac(const Chain* chain, int joint, ChainSide side, const ChainEdit edits[], int n_edits,
              PortAc* port)
{
  const Look look = {chain, NUM_AC, edits, n_edits};
  port->n = chain->n;
  look_at(&look, joint, side, view_ac(port));
}

uint32_t
chain_leaf_volts(const Chain* chain, int leaf, const ChainEdit edits[], int n_edits,
                 double contact_v[])
{
  const Look look = {chain, NUM_DC, edits, n_edits};
  Scratch scratch;
  const View v = view_scratch(NUM_DC, chain->n, &scratch);
  look_inside(&look, leaf, v);
  return view_solve(v, contact_v);
}

void
chain_transfer(const Chain* chain, int leaf, const ChainEdit edits[], int n_edits,
               ChainHeard heard[PORT_LANES])
{
  const Look look = {chain, NUM_AC, edits, n_edits};
  Scratch scratch;
  const View v = view_scratch(NUM_AC, chain->n, &scratch);
  look_inside(&look, leaf, v);
  PortNumber contact_v[PORT_MAX];
  view_solve(v, contact_v[0].re);
  for (int lane = 0; lane < PORT_LANES; ++lane) {
    const double re_v = contact_v[1].re[lane] - contact_v[2].re[lane];
    const double im_v = contact_v[1].im[lane] - contact_v[2].im[lane];
    const double size = re_v * re_v + im_v * im_v;
    const double db =
      size > 0.0 ? curve_log(size) * (10.0 / 2.302585092994045684) : CHAIN_SILENT_DB;
    heard[lane] = (ChainHeard){re_v, im_v, fmax(db, CHAIN_SILENT_DB), re_v < 0.0};
  }
}
