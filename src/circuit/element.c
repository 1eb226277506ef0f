// SPDX-License-Identifier: GPL-3.0-or-later
#include "circuit/element.h"

/// What joins contacts 1 and 3 inside an unbalanced source [ohm]: a short wire.
#define JOIN_OHM 0.01

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

ChainAdaptor
chain_adaptor_straight(void)
{
  ChainAdaptor a;
  for (int c = 0; c < PORT_MAX; ++c) {
    a.map[c] = (int8_t)c;
  }
  for (int i = 0; i < PORT_PAIRS; ++i) {
    a.join_ohm[i] = INFINITY;
  }
  return a;
}

static void
shunt(const PortTones* tones, View v, int a, int b, double ohm, double farad)
{
  view_admit(v, v.g, port_pair(a, b), tones, num_siemens(ohm), farad);
}

static void
earth(const PortTones* tones, View v, int contact, double ohm, double farad)
{
  view_admit(v, v.e, contact, tones, num_siemens(ohm), farad);
}

/// The same source in every lane, times the lane's factor: plus into a, minus into b.
static void
drive(const PortTones* tones, View v, int a, int b, double current_a)
{
  const Num current = num_scale(NUM_AC, num_lanes(tones->emf_v), current_a);
  kernel_drive(NUM_AC, v, b, a, current);
}

static void
leaf_source(const PortTones* tones, View v, const ChainLeaf* leaf)
{
  const bool ac = v.kind == NUM_AC;
  const double current_a = leaf->emf_v * num_siemens(leaf->source_ohm);
  switch (leaf->drive) {
    case CHAIN_DRIVE_NONE:
      break;
    case CHAIN_DRIVE_FLOATING:
      shunt(tones, v, 1, 2, leaf->source_ohm, 0.0);
      if (ac) {
        drive(tones, v, 1, 2, current_a);
      }
      break;
    case CHAIN_DRIVE_BOTH:
    case CHAIN_DRIVE_ONE:
      if (ac) {
        const bool both = leaf->drive == CHAIN_DRIVE_BOTH;
        shunt(tones, v, 0, 1, leaf->source_ohm, 0.0);
        shunt(tones, v, 0, 2, leaf->source_ohm, 0.0);
        drive(tones, v, 1, both ? 2 : 0, both ? 0.5 * current_a : current_a);
      }
      break;
    case CHAIN_DRIVE_UNBALANCED:
      shunt(tones, v, 0, 2, JOIN_OHM, 0.0);
      shunt(tones, v, 0, 1, leaf->source_ohm, 0.0);
      if (ac) {
        drive(tones, v, 1, 0, current_a);
      }
      break;
  }
}

/// The circuit that phantom feeds: two resistors to one point, a load from there to contact 1. The
/// point is taken out by the star-mesh rule.
static void
supply(const PortTones* tones, View v, const ChainLeaf* leaf)
{
  if (!isfinite(leaf->supply_ohm) || !(leaf->load_ohm > 0.0)) {
    shunt(tones, v, 0, 1, leaf->supply_ohm, 0.0);
    shunt(tones, v, 0, 2, leaf->supply_ohm, 0.0);
    return;
  }
  const double leg = num_siemens(leaf->supply_ohm);
  const double load = num_siemens(leaf->load_ohm);
  const double sum = 2.0 * leg + load;
  shunt(tones, v, 1, 2, sum / (leg * leg), 0.0);
  shunt(tones, v, 0, 1, load > 0.0 ? sum / (leg * load) : (double)INFINITY, 0.0);
  shunt(tones, v, 0, 2, load > 0.0 ? sum / (leg * load) : (double)INFINITY, 0.0);
}

void
element_leaf(View v, const ChainLeaf* leaf, const PortTones* tones)
{
  const bool ac = v.kind == NUM_AC;
  assert(v.n >= 3);
  view_init(v);
  leaf_source(tones, v, leaf);
  for (int leg = 0; leg < 2; ++leg) {
    const int contact = leg + 1;
    if (ac) {
      shunt(tones, v, 0, contact, INFINITY, leaf->leg_f);
    } else {
      const double sender_a = leaf->sender_v[leg] * num_siemens(leaf->sender_ohm[leg]);
      shunt(tones, v, 0, contact, leaf->sender_ohm[leg], 0.0);
      kernel_drive(NUM_DC, v, 0, contact, num_real(NUM_DC, sender_a));
      v.j[contact] += leaf->feed_v * num_siemens(leaf->feed_ohm[leg]);
    }
    earth(tones, v, contact, leaf->feed_ohm[leg], leaf->leg_earth_f[leg]);
    if (ac || !leaf->input_blocked) {
      earth(tones, v, contact, leaf->leg_earth_ohm, 0.0);
    }
  }
  if (!ac) {
    supply(tones, v, leaf);
  }
  if (ac || !leaf->input_blocked) {
    shunt(tones, v, 1, 2, leaf->input_ohm, 0.0);
  }
  earth(tones, v, 0, leaf->earth_ohm, leaf->room_f);
  if (ac && leaf->room_f != 0.0) {
    view_room(v, 0, tones, leaf->room_f);
  }
}

void
element_parts(View v, const ChainParts* parts, const PortTones* tones)
{
  view_init(v);
  for (int i = 0; i < parts->n_branches; ++i) {
    const ChainBranch* const b = &parts->branches[i];
    assert(b->a >= 0 && b->a < v.n && b->b < v.n && b->a != b->b);
    const bool has_capacitor = isfinite(b->series_f);
    if (v.kind == NUM_DC ? has_capacitor : b->direct_only) {
      continue;
    }
    Num y = num_real(v.kind, num_siemens(b->ohm));
    if (has_capacitor) { // y_c / (1 + ohm y_c): exact without a resistor, and without a capacitor
      const Num y_c = num_admittance(NUM_AC, tones, 0.0, b->series_f);
      y = num_mul(NUM_AC, y_c,
                  num_inverse(NUM_AC, num_add(NUM_AC, num_real(NUM_AC, 1.0),
                                              num_scale(NUM_AC, y_c, b->ohm))));
      if (isinf(b->ohm)) {
        y = num_real(NUM_AC, 0.0);
      }
    }
    num_gain(v.kind, b->b < 0 ? v.e : v.g, b->b < 0 ? b->a : port_pair(b->a, b->b), y);
    Num volts;
    if (v.kind == NUM_DC) {
      volts = num_real(NUM_DC, b->battery_v);
    } else {
      volts = num_scale(NUM_AC, num_lanes(tones->emf_v), b->emf_v);
      if (b->b == CHAIN_ROOM) {
        volts = num_add(NUM_AC, volts, num_lanes(tones->room_v));
      }
    }
    const Num current = num_mul(v.kind, y, volts);
    if (b->b >= 0) {
      kernel_drive(v.kind, v, b->b, b->a, current);
    } else {
      num_gain(v.kind, v.j, b->a, current);
    }
  }
}

/// The primary's own parts, at the primary's contacts: coil, winding and capacitors from the core
/// outwards, or from outside inwards. Direct current meets a resistor, or nothing behind
/// capacitors.
static void
primary(const PortTones* tones, View v, const ChainTransformer* t, bool outwards)
{
  const bool blocked = isfinite(t->block_f);
  for (int step = 0; step < 3; ++step) {
    switch (outwards ? 2 - step : step) {
      case 0:
        for (int leg = 1; blocked && leg <= 2; ++leg) {
          const Num z = num_inverse(NUM_AC, num_admittance(v.kind, tones, 0.0, t->block_f));
          if (v.kind == NUM_DC) {
            view_open(v, leg);
          } else {
            view_series(v, leg, &z);
          }
        }
        break;
      case 1:
        for (int leg = 1; v.kind == NUM_AC && leg <= 2; ++leg) {
          view_series_ohm(v, leg, 0.5 * t->primary_ohm);
        }
        break;
      default:
        if (v.kind == NUM_AC) {
          // 1 / (j w L), written as the inverse of the admittance a capacitance of L would have
          num_gain(NUM_AC, v.g, port_pair(1, 2),
                   num_inverse(NUM_AC, num_admittance(NUM_AC, tones, 0.0, t->primary_h)));
        } else {
          shunt(tones, v, 1, 2, t->primary_ohm, 0.0);
        }
        break;
    }
  }
}

static void
secondary(const PortTones* tones, View v, const ChainTransformer* t)
{
  if (v.kind == NUM_DC) {
    shunt(tones, v, 1, 2, t->secondary_ohm, 0.0);
    return;
  }
  view_series_ohm(v, 1, 0.5 * t->secondary_ohm);
  view_series_ohm(v, 2, 0.5 * t->secondary_ohm);
}

/// Across the core, contacts 1 and 2 becoming the other winding's; ratio is old turns over new.
static void
core(const PortTones* tones, View v, const ChainTransformer* t, double ratio)
{
  const int n = v.n;
  const int width = num_width(v.kind);
  assert(n >= 3 && n + 2 <= PORT_MAX);
  const View wide = {v.kind, n + 2, v.g, v.t, v.e, v.j};
  memset(v.g + n * (n - 1) / 2 * width, 0, (size_t)((2 * n + 1) * width) * sizeof(double));
  memset(v.t + n * (n - 1) / 2 * width, 0, (size_t)((2 * n + 1) * width) * sizeof(double));
  memset(v.e + n * width, 0, (size_t)(2 * width) * sizeof(double));
  memset(v.j + n * width, 0, (size_t)(2 * width) * sizeof(double));
  for (int leg = 0; leg < 2; ++leg) {
    shunt(tones, wide, 1 + leg, n + leg, 2.0 * t->insulation_ohm, 0.5 * t->winding_f);
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
    view_open(wide, 1);
    view_open(wide, 2);
    for (int i = 0; i < n + 2; ++i) {
      map[i] = (uint8_t)(i == 1 || i == 2 ? n - 1 + i : i >= n ? i - n + 1 : i);
    }
    view_permute(wide, map);
  }
}

static void
transformer_pass(const PortTones* tones, View v, const ChainTransformer* t, bool to_desk)
{
  if (to_desk) {
    primary(tones, v, t, false);
    core(tones, v, t, t->ratio);
    secondary(tones, v, t);
  }
  view_series_ohm(v, 0, t->lift_ohm);
  if (!to_desk) {
    secondary(tones, v, t);
    core(tones, v, t, 1.0 / t->ratio);
    primary(tones, v, t, true);
  }
}

/// An adaptor's map made whole: near contacts that nothing maps to fill the far contacts that lead
/// nowhere, in order.
static void
adaptor_permutation(const ChainAdaptor* a, int n, uint8_t map[PORT_MAX], bool is_led[PORT_MAX])
{
  for (int c = 0; c < n; ++c) {
    is_led[c] = false;
  }
  for (int c = 0; c < n; ++c) {
    if (a->map[c] >= 0) {
      is_led[a->map[c]] = true;
    }
  }
  int spare = 0;
  for (int c = 0; c < n; ++c) {
    if (a->map[c] < 0) {
      while (is_led[spare]) {
        ++spare;
      }
      map[c] = (uint8_t)spare++;
    } else {
      map[c] = (uint8_t)a->map[c];
    }
  }
}

static void
adaptor_pass(const PortTones* tones, View v, const ChainAdaptor* a, bool to_desk)
{
  uint8_t map[PORT_MAX], back[PORT_MAX];
  bool is_led[PORT_MAX];
  adaptor_permutation(a, v.n, map, is_led);
  for (int c = 0; to_desk && c < v.n; ++c) {
    if (!is_led[c]) {
      view_open(v, c);
    }
    back[map[c]] = (uint8_t)c;
  }
  if (to_desk) {
    view_permute(v, map);
  }
  for (int i = 0; i < v.n * (v.n - 1) / 2; ++i) {
    if (isfinite(a->join_ohm[i])) {
      view_admit(v, v.g, i, tones, num_siemens(a->join_ohm[i]), 0.0);
    }
  }
  for (int c = 0; !to_desk && c < v.n; ++c) {
    if (a->map[c] < 0) {
      view_open(v, c);
    }
    back[map[c]] = (uint8_t)c;
  }
  if (!to_desk) {
    view_permute(v, back);
  }
}

void
element_pass(View v, const ChainElement* e, const PortTones* tones, bool to_desk)
{
  switch (e->kind) {
    case CHAIN_SECTION:
      view_section(v, &e->as.section, v.kind == NUM_AC ? tones : NULL); // A chain keeps the halves
      break;
    case CHAIN_TRANSFORMER:
      transformer_pass(tones, v, &e->as.transformer, to_desk);
      break;
    case CHAIN_ADAPTOR:
      adaptor_pass(tones, v, &e->as.adaptor, to_desk);
      break;
    case CHAIN_LEAF:
    case CHAIN_PARTS:
      assert(!"an end is not passed through");
      break;
  }
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
  return n >= 3 && n + 2 <= PORT_MAX && fits(t->primary_ohm, 0.0, 1e9) &&
         fits(t->secondary_ohm, 0.0, 1e9) && fits(t->primary_h, 1e-9, 1e9) &&
         fits(t->ratio, 1e-6, 1e6) && fits(t->block_f, 1e-15, INFINITY) &&
         fits(t->lift_ohm, 0.0, INFINITY) && fits(t->winding_f, 0.0, 1.0) &&
         fits(t->insulation_ohm, 0.0, INFINITY);
}

static bool
leaf_is_sound(const ChainLeaf* l, int n)
{
  return n >= 3 && fits(l->emf_v, -1e6, 1e6) && fits(l->source_ohm, PORT_SHORT_OHM, INFINITY) &&
         fits(l->supply_ohm, 0.0, INFINITY) && fits(l->load_ohm, 0.0, INFINITY) &&
         all_fit(l->sender_v, 2, -1e6, 1e6) &&
         all_fit(l->sender_ohm, 2, PORT_SHORT_OHM, INFINITY) && fits(l->leg_f, 0.0, 1.0) &&
         fits(l->room_f, 0.0, 1.0) && fits(l->feed_v, -1e6, 1e6) &&
         all_fit(l->feed_ohm, 2, PORT_SHORT_OHM, INFINITY) && fits(l->input_ohm, 0.0, INFINITY) &&
         fits(l->leg_earth_ohm, 0.0, INFINITY) && all_fit(l->leg_earth_f, 2, 0.0, 1.0) &&
         fits(l->earth_ohm, 0.0, INFINITY);
}

static bool
parts_are_sound(const ChainParts* p, int n)
{
  if (p->n_branches < 0 || p->n_branches > CHAIN_BRANCHES_MAX ||
      (p->n_branches > 0 && !p->branches)) {
    return false;
  }
  for (int i = 0; i < p->n_branches; ++i) {
    const ChainBranch* const b = &p->branches[i];
    if (b->a < 0 || b->a >= n || b->b < CHAIN_ROOM || b->b >= n || b->a == b->b ||
        !fits(b->ohm, 0.0, INFINITY) || !fits(b->series_f, 1e-18, INFINITY) ||
        !fits(b->emf_v, -1e6, 1e6) || !fits(b->battery_v, -1e6, 1e6)) {
      return false;
    }
  }
  return true;
}

static bool
adaptor_is_sound(const ChainAdaptor* a, int n)
{
  bool is_led[PORT_MAX] = {false};
  for (int c = 0; c < n; ++c) {
    if (a->map[c] < -1 || a->map[c] >= n || (a->map[c] >= 0 && is_led[a->map[c]])) {
      return false;
    }
    if (a->map[c] >= 0) {
      is_led[a->map[c]] = true;
    }
  }
  return all_fit(a->join_ohm, n * (n - 1) / 2, 0.0, INFINITY);
}

bool
element_is_sound(const ChainElement* e, int n)
{
  switch (e->kind) {
    case CHAIN_SECTION:
      return section_is_sound(&e->as.section, n);
    case CHAIN_TRANSFORMER:
      return transformer_is_sound(&e->as.transformer, n);
    case CHAIN_ADAPTOR:
      return adaptor_is_sound(&e->as.adaptor, n);
    case CHAIN_LEAF:
      return leaf_is_sound(&e->as.leaf, n);
    case CHAIN_PARTS:
      return parts_are_sound(&e->as.parts, n);
  }
  return false;
}
