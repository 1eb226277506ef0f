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
#define INPUT_OHM 2000.0
#define ISOLATED_M 10.0 // From split to the desk beside it: usual practice
#define FAULT_HIGH_OHM 1000.0
#define FAULT_SHORT_OHM 0.1
#define FAULT_LEAK_OHM 1000.0

static ChainElement
cable(int near, int far, double length_m)
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

static ChainElement
source(const Kind* kind)
{
  ChainElement e = {.kind = CHAIN_LEAF, .near = -1, .far = 0};
  ChainLeaf leaf = chain_leaf_nothing();
  if (kind) {
    static const ChainDrive drives[] = {CHAIN_DRIVE_FLOATING, CHAIN_DRIVE_BOTH, CHAIN_DRIVE_ONE,
                                        CHAIN_DRIVE_UNBALANCED};
    leaf.drive = drives[kind->drive];
    leaf.emf_v = 1.0;
    leaf.source_ohm = kind->drive == DRIVE_FLOATING || kind->drive == DRIVE_UNBALANCED
                        ? kind->source_ohm
                        : kind->source_ohm / 2.0;
    leaf.supply_ohm = kind->supply_ohm > 0.0 ? kind->supply_ohm : (double)INFINITY;
    leaf.leg_f =
      20e-12; // Legs to the body, body to the room: strays of a hand-held body, no source
    leaf.room_f = 50e-12;
  }
  e.as.leaf = leaf;
  return e;
}

static ChainElement
desk(int near, bool is_direct)
{
  ChainElement e = {.kind = CHAIN_LEAF, .near = near, .far = -1};
  ChainLeaf leaf = chain_leaf_nothing();
  leaf.feed_v = is_direct ? PHANTOM_V : 0.0;
  leaf.feed_ohm[0] = FEED_OHM;
  leaf.feed_ohm[1] = FEED_OHM * 1.004; // IEC 61938: pairs match within 0.4 %
  leaf.input_ohm = INPUT_OHM;
  leaf.input_blocked = true;
  leaf.leg_earth_f[0] = 100e-12;
  leaf.leg_earth_f[1] = 100e-12;
  leaf.earth_ohm = 0.01;
  e.as.leaf = leaf;
  return e;
}

static ChainElement
transformer(int near, int far, const Split* split)
{
  ChainElement e = {.kind = CHAIN_TRANSFORMER, .near = near, .far = far};
  e.as.transformer = (ChainTransformer){
    .primary_ohm = split->primary_ohm,
    .secondary_ohm = split->secondary_ohm,
    .primary_h = split->primary_h,
    .ratio = 1.0,
    .block_f = split->is_blocked ? 47e-6 : (double)INFINITY,
    .lift_ohm = split->is_lifted ? (double)INFINITY : 0.0,
    .winding_f = 200e-12, // Real barriers leak: 10 Gohm and 50 to 500 pF between windings
    .insulation_ohm = 10e9,
  };
  return e;
}

// A preamplifier in a box is a desk input that stands at the socket.
static int
preamplifier(ChainElement* e, int n, const Plant* plant, int line, Template* t)
{
  t->tail = -1;
  t->pair = -1;
  t->direct_desk = plant_phantom_desk(plant, line);
  for (int d = 0; d < plant->n_desks; ++d) {
    t->desk_leaf[d] = n;
    t->desk_split[d] = -1;
  }
  e[n] = desk(2, true);
  t->direct_off = e[n];
  t->direct_off.as.leaf.feed_v = 0.0;
  return n + 1;
}

Status
template_build(Arena* arena, const Plant* plant, int line, const Kind* kind, double cable_m,
               Template* out)
{
  const Line* const copper = &plant->lines[line];
  const Box* const box = &plant->boxes[copper->box];
  Template t = {.n_desks = plant->n_desks, .cable = 1, .socket = 2, .tail = 3, .pair = 4};
  ChainElement e[5 + 3 * PLANT_DESKS];
  int n = 0;
  e[n++] = source(kind);
  e[n++] = cable(0, 1, kind ? cable_m : 0.01);
  e[n++] = contacts(1, 2);
  t.source_off = e[0];
  t.source_off.as.leaf.drive = CHAIN_DRIVE_NONE;
  Status st = STATUS_OK;
  if (box->is_digital) {
    n = preamplifier(e, n, plant, line, &t);
    TRY(st, chain_build(arena, 3, e, n, NULL, &t.chain));
    *out = t;
    return STATUS_OK;
  }
  e[n++] = cable(2, 3, box->tail_m);
  int joint = 4;
  t.direct_desk = 0;
  for (int d = 0; d < plant->n_desks; ++d) { // The pair must be element 4
    if (plant->desks[d].is_direct) {
      t.direct_desk = d;
    }
  }
  e[n++] = cable(3, joint, plant->multicore_m);
  t.desk_leaf[t.direct_desk] = n;
  t.desk_split[t.direct_desk] = -1;
  e[n] = desk(joint++, true);
  t.direct_off = e[n++];
  t.direct_off.as.leaf.feed_v = 0.0;
  for (int d = 0; d < plant->n_desks; ++d) {
    if (d == t.direct_desk) {
      continue;
    }
    t.desk_split[d] = n;
    e[n++] = transformer(3, joint, &plant->split);
    e[n++] = cable(joint, joint + 1, ISOLATED_M);
    t.desk_leaf[d] = n;
    e[n++] = desk(joint + 1, false);
    joint += 2;
  }
  TRY(st, chain_build(arena, 3, e, n, NULL, &t.chain));
  *out = t;
  return STATUS_OK;
}

static ChainEdit
change(int element, ChainEnd end, ChainChange what, int a, int b, double ohm)
{
  return (ChainEdit){.element = element, .end = end, .change = what, .a = a, .b = b, .ohm = ohm};
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
      if (fault->mode == FAULT_DEAD || fault->mode == FAULT_OFF ||
          fault->mode == FAULT_FLAT_BATTERY) {
        edits[0] = change(0, CHAIN_FAR, CHAIN_REPLACE, 0, 0, 0.0);
        edits[0].leaf = &t->source_off.as.leaf;
        return 1;
      }
      return 0;
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
  const int a = fault->a - 1;
  const int b = fault->b - 1;
  switch (fault->mode) {
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
                        fault->mode == FAULT_SHORT ? FAULT_SHORT_OHM : FAULT_LEAK_OHM);
      return 1;
    case FAULT_CROSSED:
    case FAULT_ROTATED: {
      edits[0] = change(element, end, CHAIN_PERMUTE, 0, 0, 0.0);
      for (int i = 0; i < 3; ++i) {
        edits[0].map[i] = (uint8_t)(fault->mode == FAULT_ROTATED ? (i + 1) % 3
                                    : i == a                     ? b
                                    : i == b                     ? a
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
