// SPDX-License-Identifier: GPL-3.0-or-later
#include "circuit/chain.h"

#include "circuit/curve.h"
#include "circuit/element.h"

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

typedef struct {
  int first_child; ///< First element beginning at the far joint, -1 none
  int next;        ///< Next element beginning at the same joint, -1 none
  int place;       ///< Number in walking order
  int last;        ///< Highest number beyond it, `place` if none
  View forward[2]; ///< By NumKind
  View backward[2];
  View half[2];     ///< Of a section: half of what lies across, worked out once
  bool has_half[2]; ///< Whether that is anything
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

static void
edit_apply(View v, const ChainEdit* edit, bool to_desk)
{
  switch (edit->change) {
    case CHAIN_SERIES:
      view_series_ohm(v, edit->a, edit->ohm);
      break;
    case CHAIN_SHUNT:
      num_gain(v.kind, v.g, port_pair(edit->a, edit->b), num_real(v.kind, num_siemens(edit->ohm)));
      break;
    case CHAIN_LEAK:
      num_gain(v.kind, v.e, edit->a, num_real(v.kind, num_siemens(edit->ohm)));
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
      edit_apply(v, edit, to_desk);
    }
  }
}

/// The port of the leaf in force at an element: its own, or the last it was replaced by.
static void
end_port(const Look* look, View v, int element)
{
  const ChainElement* const e = &look->chain->elements[element];
  const ChainLeaf* leaf = e->kind == CHAIN_LEAF ? &e->as.leaf : NULL;
  const ChainParts* parts = e->kind == CHAIN_PARTS ? &e->as.parts : NULL;
  for (int i = 0; i < look->n_edits; ++i) {
    const ChainEdit* const edit = &look->edits[i];
    if (edit->element == element && edit->change == CHAIN_REPLACE) {
      leaf = edit->parts ? NULL : edit->leaf;
      parts = edit->parts;
    }
  }
  if (parts) {
    element_parts(v, parts, &look->chain->tones);
  } else {
    element_leaf(v, leaf, &look->chain->tones);
  }
}

/// Whether an edit lies behind the message of an element in the given direction.
static bool
stale(const Look* look, int element, bool to_desk)
{
  const Node* const node = &look->chain->nodes[element];
  for (int i = 0; i < look->n_edits; ++i) {
    const int edited = look->edits[i].element;
    assert((unsigned)edited < (unsigned)look->chain->n_elements);
    const int place = look->chain->nodes[edited].place;
    const bool beyond = place > node->place && place <= node->last;
    if (to_desk ? !beyond : beyond || place == node->place) {
      return true;
    }
  }
  return false;
}

static void
pass(const Look* look, View v, int element, bool to_desk)
{
  const ChainElement* const e = &look->chain->elements[element];
  edits_apply(look, v, element, to_desk ? CHAIN_NEAR : CHAIN_FAR, to_desk);
  if (e->kind == CHAIN_SECTION) {
    const Node* const node = &look->chain->nodes[element];
    const bool has_half = node->has_half[look->kind];
    if (has_half) {
      view_sum(v, node->half[look->kind]);
    }
    view_series_all(v, e->as.section.series_ohm);
    if (has_half) {
      view_sum(v, node->half[look->kind]);
    }
  } else {
    element_pass(v, e, &look->chain->tones, to_desk);
  }
  edits_apply(look, v, element, to_desk ? CHAIN_FAR : CHAIN_NEAR, to_desk);
}

static void
backward(const Look* look, int element, View v);

/// The side of the desks at a joint, leaving one element out (-1: none), added to v, which is
/// taken for empty when `is_empty` and left untouched where nothing begins. Whether it is empty
/// yet.
static bool
add_beyond(const Look* look, int first, int except, View v, bool is_empty)
{
  for (int i = first; i >= 0; i = look->chain->nodes[i].next) {
    if (i == except) {
      continue;
    }
    if (is_empty) {
      backward(look, i, v);
    } else if (!stale(look, i, false)) {
      view_sum(v, look->chain->nodes[i].backward[look->kind]);
    } else {
      Scratch scratch;
      const View branch = view_scratch(look->kind, v.n, &scratch);
      backward(look, i, branch);
      view_sum(v, branch);
    }
    is_empty = false;
  }
  return is_empty;
}

/// The same by itself.
static void
beyond(const Look* look, int first, View v)
{
  if (add_beyond(look, first, -1, v, true)) {
    view_init(v);
  }
}

static void
backward(const Look* look, int element, View v)
{
  const Node* const node = &look->chain->nodes[element];
  if (!stale(look, element, false)) {
    view_copy(v, node->backward[look->kind]);
  } else if (element_is_end(&look->chain->elements[element])) {
    end_port(look, v, element);
    edits_apply(look, v, element, CHAIN_NEAR, false);
  } else {
    beyond(look, node->first_child, v);
    pass(look, v, element, false);
  }
}

static void
forward(const Look* look, int element, View v)
{
  const Chain* const chain = look->chain;
  if (!stale(look, element, true)) {
    view_copy(v, chain->nodes[element].forward[look->kind]);
  } else if (element == 0) {
    end_port(look, v, 0);
    edits_apply(look, v, 0, CHAIN_FAR, true);
  } else {
    const int before = chain->parent[chain->elements[element].near];
    forward(look, before, v);
    add_beyond(look, chain->nodes[before].first_child, element, v, false);
    pass(look, v, element, true);
  }
}

static void
look_at(const Look* look, int joint, ChainSide side, View v)
{
  assert(joint >= 0 && joint < look->chain->n_joints);
  const int parent = look->chain->parent[joint];
  const int first = look->chain->nodes[parent].first_child;
  if (side == CHAIN_TO_DESK) {
    beyond(look, first, v);
    return;
  }
  forward(look, parent, v);
  if (side == CHAIN_BOTH) {
    add_beyond(look, first, -1, v, false);
  }
}

/// Inside a leaf, past its faults, everything plugged.
static void
look_inside(const Look* look, int leaf, View v)
{
  const Chain* const chain = look->chain;
  assert(leaf >= 0 && leaf < chain->n_elements && element_is_end(&chain->elements[leaf]));
  if (leaf == 0) {
    beyond(look, chain->nodes[0].first_child, v);
    edits_apply(look, v, 0, CHAIN_FAR, false);
  } else {
    const int before = chain->parent[chain->elements[leaf].near];
    forward(look, before, v);
    add_beyond(look, chain->nodes[before].first_child, leaf, v, false);
    edits_apply(look, v, leaf, CHAIN_NEAR, true);
  }
  Scratch scratch;
  const View own = view_scratch(look->kind, v.n, &scratch);
  end_port(look, own, leaf);
  view_sum(v, own);
}

/// The drawing must be a tree: each joint the far end of exactly one element, named before use.
static bool
is_a_tree(const ChainElement elements[], int n_elements, int n_joints)
{
  bool ended[ELEMENTS_MAX] = {false};
  for (int i = 0; i < n_elements; ++i) {
    const ChainElement* const e = &elements[i];
    const bool leaf = element_is_end(e);
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
  double* const room = arena_array(arena, (size_t)((pairs + n) * 2 * width), sizeof(double));
  if (!room) {
    return false;
  }
  *v = (View){
    kind, n, room, room + pairs * width, room + 2 * pairs * width, room + (2 * pairs + n) * width};
  return true;
}

/// Work out half of what lies across every section.
static void
keep_halves(const Chain* chain, NumKind kind)
{
  const PortTones* const tones = kind == NUM_AC ? &chain->tones : NULL;
  for (int i = 0; i < chain->n_elements; ++i) {
    Node* const node = &chain->nodes[i];
    const Section* const s = &chain->elements[i].as.section;
    node->has_half[kind] = false;
    if (chain->elements[i].kind == CHAIN_SECTION) {
      view_init(node->half[kind]);
      view_section_half(node->half[kind], s, tones);
      for (int k = 0; k < chain->n; ++k) {
        node->has_half[kind] |= s->earth_siemens[k] != 0.0;
        node->has_half[kind] |= tones && (s->earth_f[k] != 0.0 || s->room_f[k] != 0.0);
      }
      for (int k = 0; k < chain->n * (chain->n - 1) / 2; ++k) {
        node->has_half[kind] |= s->pair_siemens[k] != 0.0 || (tones && s->pair_f[k] != 0.0);
      }
    }
  }
}

/// Work out the healthy messages of one kind: backward from the desks, then forward.
static void
keep_messages(const Chain* chain, NumKind kind)
{
  keep_halves(chain, kind);
  for (int way = 0; way < 2; ++way) {
    for (int k = 0; k < chain->n_elements; ++k) {
      const int i = way == 0 ? chain->n_elements - 1 - k : k;
      const ChainElement* const e = &chain->elements[i];
      Scratch scratch;
      const View v = view_scratch(kind, chain->n, &scratch);
      // Every message only rests on ones already kept, so nothing counts as stale but itself.
      ChainEdit itself = {.element = i, .change = CHAIN_REPLACE, .leaf = &e->as.leaf};
      itself.parts = e->kind == CHAIN_PARTS ? &e->as.parts : NULL;
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

static bool
tones_are_sound(const PortTones* tones)
{
  for (int lane = 0; lane < PORT_LANES; ++lane) {
    if (!(tones->hz[lane] >= 1e-6 && tones->hz[lane] <= 1e9)) {
      return false;
    }
  }
  return true;
}

/// The elements were copied; let the branches they point to be ours as well.
static bool
copy_branches(Arena* arena, ChainElement elements[], int n_elements)
{
  for (int i = 0; i < n_elements; ++i) {
    ChainParts* const parts = &elements[i].as.parts;
    if (elements[i].kind == CHAIN_PARTS && parts->n_branches > 0) {
      const size_t n = (size_t)parts->n_branches;
      ChainBranch* const ours = arena_array(arena, n, sizeof(ChainBranch));
      if (!ours) {
        return false;
      }
      memcpy(ours, parts->branches, n * sizeof(ChainBranch));
      parts->branches = ours;
    }
  }
  return true;
}

static const PortTones usual_tones = {.hz = {100.0, 1000.0, 10000.0, 50.0},
                                      .emf_v = {1.0, 1.0, 1.0, 0.0},
                                      .room_v = {0.0, 0.0, 0.0, 1.0}};

Status
chain_build(Arena* arena, int n_contacts, const ChainElement elements[], int n_elements,
            const PortTones* tones, const Chain** chain)
{
  tones = tones ? tones : &usual_tones;
  if (n_contacts < 2 || n_contacts > PORT_MAX || n_elements < 1 || n_elements > ELEMENTS_MAX ||
      !tones_are_sound(tones)) {
    return STATUS_BAD_ARG;
  }
  int n_joints = 0;
  for (int i = 0; i < n_elements; ++i) {
    if (!element_is_sound(&elements[i], n_contacts)) {
      return STATUS_BAD_ARG;
    }
    n_joints += i == 0 || !element_is_end(&elements[i]);
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
          !message_room(arena, (NumKind)kind, n_contacts, &nodes[i].backward[kind]) ||
          (elements[i].kind == CHAIN_SECTION &&
           !message_room(arena, (NumKind)kind, n_contacts, &nodes[i].half[kind]))) {
        return STATUS_NO_MEMORY;
      }
    }
    if (elements[i].far >= 0) {
      parent[elements[i].far] = i;
    }
  }
  memcpy(copy, elements, (size_t)n_elements * sizeof(ChainElement));
  if (!copy_branches(arena, copy, n_elements)) {
    return STATUS_NO_MEMORY;
  }
  link_nodes(nodes, copy, n_elements, parent);
  *made = (Chain){n_contacts, n_elements, n_joints, copy, nodes, parent, *tones};
  keep_messages(made, NUM_DC);
  keep_messages(made, NUM_AC);
  *chain = made;
  return STATUS_OK;
}

const ChainElement*
chain_elements(const Chain* chain, int* n_elements)
{
  *n_elements = chain->n_elements;
  return chain->elements;
}

int
chain_contacts(const Chain* chain)
{
  return chain->n;
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
chain_transfer_between(const Chain* chain, int leaf, int a, int b, const ChainEdit edits[],
                       int n_edits, ChainHeard heard[PORT_LANES])
{
  const Look look = {chain, NUM_AC, edits, n_edits};
  assert(a >= 0 && a < chain->n && b >= -1 && b < chain->n && a != b);
  Scratch scratch;
  const View v = view_scratch(NUM_AC, chain->n, &scratch);
  look_inside(&look, leaf, v);
  PortNumber contact_v[PORT_MAX + 1] = {{{0}, {0}}}; // [0] is earth
  view_solve(v, contact_v[1].re);
  for (int lane = 0; lane < PORT_LANES; ++lane) {
    const double re_v = contact_v[1 + a].re[lane] - contact_v[1 + b].re[lane];
    const double im_v = contact_v[1 + a].im[lane] - contact_v[1 + b].im[lane];
    const double size = re_v * re_v + im_v * im_v;
    const double db =
      size > 0.0 ? curve_log(size) * (10.0 / 2.302585092994045684) : CHAIN_SILENT_DB;
    heard[lane] = (ChainHeard){re_v, im_v, fmax(db, CHAIN_SILENT_DB), re_v < 0.0};
  }
}

void
chain_transfer(const Chain* chain, int leaf, const ChainEdit edits[], int n_edits,
               ChainHeard heard[PORT_LANES])
{
  chain_transfer_between(chain, leaf, 1, 2, edits, n_edits, heard);
}
