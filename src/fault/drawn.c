// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/drawn.h"

#include <math.h>
#include <string.h>

/*
  Four frequencies ride in one chain, so a drawing of more builds several; direct current is read
  off the first. A current through a joint is what the near side, alone, draws at the volts that the
  whole circuit has there; a current through a branch is its volts less its source over what it is.
*/

enum { DRAWN_CHAINS = DRAWN_TONES / PORT_LANES };

typedef struct {
  const Drawn* drawn;
  const Chain* chains[DRAWN_CHAINS]; ///< Tones 0..3, 4..7, ...
} Bench;

static Status
build(Arena* arena, const Drawn* d, Bench* bench)
{
  *bench = (Bench){.drawn = d};
  for (int first = 0; first < d->n_tones; first += PORT_LANES) {
    PortTones tones;
    for (int lane = 0; lane < PORT_LANES; ++lane) {
      // A lane too many repeats the last tone
      const DrawnTone* const tone = &d->tones[first + lane < d->n_tones ? first + lane : first];
      tones.hz[lane] = tone->hz;
      tones.emf_v[lane] = tone->emf_ratio;
      tones.room_v[lane] = tone->room_v;
    }
    Status st;
    TRY(st, chain_build(arena, d->n_contacts, d->elements, d->n_elements, &tones,
                        &bench->chains[first / PORT_LANES]));
  }
  return STATUS_OK;
}

/// Which contacts are joined to which by branches of their own, [n] a group number for each;
/// `joins` says it of a pair, by port_pair.
static void
groups(int n, const bool joins[PORT_PAIRS], int group[])
{
  for (int i = 0; i < n; ++i) {
    group[i] = i;
  }
  for (int a = 0; a < n; ++a) {
    for (int b = 0; b < a; ++b) {
      if (joins[port_pair(a, b)] && group[a] != group[b]) {
        const int old = group[a];
        for (int i = 0; i < n; ++i) {
          group[i] = group[i] == old ? group[b] : group[i];
        }
      }
    }
  }
}

static void
direct_groups(const Port* port, int group[])
{
  bool joins[PORT_PAIRS];
  for (int i = 0; i < PORT_PAIRS; ++i) {
    joins[i] = i < port->n * (port->n - 1) / 2 && port->g[i] > 0.0;
  }
  groups(port->n, joins, group);
}

static void
signal_groups(const PortAc* port, int lane, int group[])
{
  bool joins[PORT_PAIRS];
  for (int i = 0; i < PORT_PAIRS; ++i) {
    joins[i] =
      i < port->n * (port->n - 1) / 2 && (port->g[i].re[lane] != 0.0 || port->g[i].im[lane] != 0.0);
  }
  groups(port->n, joins, group);
}

/// Volts to earth made volts against one contact; NAN where nothing ties the two together.
static void
against(const Port* port, uint32_t floating, int contact, const double earth_v[], double out_v[])
{
  int group[PORT_MAX];
  direct_groups(port, group);
  const double zero_v = earth_v[contact];
  for (int i = 0; i < port->n; ++i) {
    const bool tied =
      i == contact || group[i] == group[contact] || !(floating & (1u << i | 1u << contact));
    out_v[i] = tied ? earth_v[i] - zero_v : (double)NAN;
  }
}

static void
see(const Bench* bench, const DrawnLook* look, DrawnSeen* seen)
{
  const Drawn* const d = bench->drawn;
  Port port;
  double earth_v[PORT_MAX];
  chain_look(bench->chains[0], look->joint, look->side, d->edits, d->n_edits, &port);
  const uint32_t floating = port_solve(&port, earth_v);
  against(&port, floating, look->against, earth_v, seen->contact_v);
  Port near;
  chain_look(bench->chains[0], look->joint, CHAIN_TO_SOURCE, d->edits, d->n_edits, &near);
  for (int i = 0; i < port.n; ++i) {
    double a = near.e[i] * earth_v[i] - near.j[i];
    for (int k = 0; k < port.n; ++k) {
      if (k != i) {
        const double into_a = near.t[port_pair(i, k)]; // From the lower contact into the higher
        a += near.g[port_pair(i, k)] * (earth_v[i] - earth_v[k]) - (i > k ? into_a : -into_a);
      }
    }
    seen->near_a[i] = look->side == CHAIN_BOTH ? a : (double)NAN;
  }
}

/// What lies between two contacts with every source dead: volts for one ampere. Where nothing joins
/// them there is no such sum.
static void
measure(const Bench* bench, const DrawnLook* look, DrawnSeen* seen)
{
  const Drawn* const d = bench->drawn;
  const int a = look->ohm_a;
  const int b = look->ohm_b;
  Port port;
  double v[PORT_MAX];
  int group[PORT_MAX];
  chain_look(bench->chains[0], look->joint, look->side, d->edits, d->n_edits, &port);
  memset(port.j, 0, sizeof(port.j));
  memset(port.t, 0, sizeof(port.t));
  direct_groups(&port, group);
  const uint32_t floating = port_solve(&port, v);
  const bool joined = group[a] == group[b] || !(floating & (1u << a | 1u << b));
  port.t[port_pair(a, b)] = a > b ? 1.0 : -1.0;
  (void)port_solve(&port, v);
  seen->direct_ohm = joined ? v[a] - v[b] : (double)INFINITY;
  for (int i = 0; i < d->n_tones; ++i) {
    const int lane = i % PORT_LANES;
    PortAc ac;
    PortNumber ac_v[PORT_MAX];
    chain_look_ac(bench->chains[i / PORT_LANES], look->joint, look->side, d->edits, d->n_edits,
                  &ac);
    memset(ac.j, 0, sizeof(ac.j));
    memset(ac.t, 0, sizeof(ac.t));
    ac.t[port_pair(a, b)].re[lane] = a > b ? 1.0 : -1.0;
    const uint32_t alone = port_ac_solve(&ac, ac_v);
    signal_groups(&ac, lane, group);
    const bool apart = group[a] != group[b] && (alone & (1u << a | 1u << b));
    seen->ohm[i] =
      apart ? (double)INFINITY
            : hypot(ac_v[a].re[lane] - ac_v[b].re[lane], ac_v[a].im[lane] - ac_v[b].im[lane]);
  }
}

static void
light(const Bench* bench, const DrawnTester* tester, DrawnLit* lit)
{
  const Drawn* const d = bench->drawn;
  Port port;
  double earth_v[PORT_MAX];
  chain_look(bench->chains[0], tester->joint, tester->side, d->edits, d->n_edits, &port);
  lit->status = lamp_solve(&tester->lamps, &port, lit->lamp_a, earth_v, NULL);
  if (lit->status != STATUS_OK) {
    return;
  }
  lamp_picture(lit->lamp_a, tester->lamps.n_lamps, lit->picture);
  // What floats is settled with the tester's own branches in place, at any conductance
  for (int i = 0; i < tester->lamps.n_lamps; ++i) {
    port_shunt(&port, tester->lamps.lamps[i].a, tester->lamps.lamps[i].b, 1.0);
  }
  for (int i = 0; i < tester->lamps.n_batteries; ++i) {
    const LampBattery* const b = &tester->lamps.batteries[i];
    if (b->b < 0) {
      port_earth(&port, b->a, 1.0);
    } else {
      port_shunt(&port, b->a, b->b, 1.0);
    }
  }
  double ignored_v[PORT_MAX];
  against(&port, port_solve(&port, ignored_v), 0, earth_v, lit->contact_v);
}

static double
wave(double hz)
{
  return 2.0 * 3.14159265358979323846 * hz;
}

/// Current of a branch at one frequency, from the volts across it.
static double
branch_current_a(const ChainBranch* b, const DrawnTone* tone, const ChainHeard* heard)
{
  if (b->direct_only || b->b == CHAIN_ROOM) {
    return b->direct_only ? 0.0 : (double)NAN;
  }
  const double re_v = heard->re_v - b->emf_v * tone->emf_ratio;
  const double im_ohm = isfinite(b->series_f) ? -1.0 / (wave(tone->hz) * b->series_f) : 0.0;
  const double ohm = isfinite(b->series_f) ? b->ohm : fmax(b->ohm, PORT_SHORT_OHM);
  return hypot(re_v, heard->im_v) / hypot(ohm, im_ohm);
}

static void
hear(const Bench* bench, const DrawnEar* ear, int a, int b, const ChainBranch* branch)
{
  const Drawn* const d = bench->drawn;
  for (int i = 0; i < d->n_tones; ++i) {
    ChainHeard hurt[PORT_LANES], well[PORT_LANES];
    const Chain* const chain = bench->chains[i / PORT_LANES];
    const int lane = i % PORT_LANES;
    chain_transfer_between(chain, ear->element, a, b, d->edits, d->n_edits, hurt);
    chain_transfer_between(chain, ear->element, a, b, NULL, 0, well);
    const ChainHeard* const h = &hurt[lane];
    const bool silent = h->db <= CHAIN_SILENT_DB;
    ear->heard[i] =
      (DrawnHeard){.dbv = h->db,
                   .change_db = d->n_edits > 0 ? h->db - well[lane].db : (double)NAN,
                   .sign = silent        ? 0
                           : h->inverted ? -1
                                         : 1,
                   .current_a = branch ? branch_current_a(branch, &d->tones[i], h) : (double)NAN};
  }
}

/// Direct current and volts of one branch. A branch that conducts ties its two contacts together,
/// so their difference means something even where both float.
static void
branch_direct(const ChainBranch* b, const double earth_v[], uint32_t floating, DrawnEar* ear)
{
  const bool blocked = isfinite(b->series_f) || b->b == CHAIN_ROOM || isinf(b->ohm);
  const double far_v = b->b >= 0 ? earth_v[b->b] : 0.0;
  const uint32_t both = 1u << b->a | (b->b >= 0 ? 1u << b->b : 0u);
  ear->across_v = blocked && (floating & both) ? (double)NAN : earth_v[b->a] - far_v;
  ear->through_a =
    blocked ? 0.0 : (earth_v[b->a] - far_v - b->battery_v) / fmax(b->ohm, PORT_SHORT_OHM);
}

static Status
listen(Arena* arena, const Bench* bench, DrawnAnswer* answer)
{
  const Drawn* const d = bench->drawn;
  int n_ears = 0;
  for (int i = 0; i < d->n_elements; ++i) {
    n_ears += d->about[i].is_desk;
    n_ears += d->elements[i].kind == CHAIN_PARTS ? d->elements[i].as.parts.n_branches : 0;
  }
  answer->ears = arena_array(arena, (size_t)n_ears, sizeof(DrawnEar));
  answer->inside = arena_array(arena, (size_t)d->n_elements, sizeof(DrawnInside));
  DrawnHeard* heard = arena_array(arena, (size_t)(n_ears * d->n_tones), sizeof(DrawnHeard));
  if (!answer->ears || !answer->inside || !heard) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < d->n_elements; ++i) {
    const ChainElement* const e = &d->elements[i];
    if (e->kind != CHAIN_LEAF && e->kind != CHAIN_PARTS) {
      continue;
    }
    double earth_v[PORT_MAX];
    const uint32_t floating = chain_leaf_volts(bench->chains[0], i, d->edits, d->n_edits, earth_v);
    if (e->kind == CHAIN_LEAF) {
      DrawnInside* const inside = &answer->inside[answer->n_inside++];
      inside->element = i;
      inside->coil_a = e->as.leaf.drive == CHAIN_DRIVE_FLOATING
                         ? (earth_v[1] - earth_v[2]) / e->as.leaf.source_ohm
                         : (double)NAN;
      for (int c = 0; c < d->n_contacts; ++c) {
        inside->contact_v[c] = floating & (1u | 1u << c) ? (double)NAN : earth_v[c] - earth_v[0];
      }
    }
    const int n_branches = e->kind == CHAIN_PARTS ? e->as.parts.n_branches : 0;
    for (int b = d->about[i].is_desk ? -1 : 0; b < n_branches; ++b) {
      DrawnEar* const ear = &answer->ears[answer->n_ears++];
      *ear = (DrawnEar){i, b, NAN, NAN, heard};
      heard += d->n_tones;
      if (b < 0) {
        ear->across_v = floating & 6u ? (double)NAN : earth_v[1] - earth_v[2];
        hear(bench, ear, 1, 2, NULL);
        continue;
      }
      const ChainBranch* const branch = &e->as.parts.branches[b];
      branch_direct(branch, earth_v, floating, ear);
      hear(bench, ear, branch->a, branch->b >= 0 ? branch->b : CHAIN_EARTH, branch);
    }
  }
  return STATUS_OK;
}

Status
drawn_solve(Arena* arena, const Drawn* drawn, DrawnAnswer* answer)
{
  Bench bench;
  DrawnAnswer a = {0};
  Status st;
  if (drawn->n_tones < 1 || drawn->n_tones > DRAWN_TONES) {
    return STATUS_BAD_ARG;
  }
  TRY(st, build(arena, drawn, &bench));
  a.seen = arena_array(arena, (size_t)drawn->n_looks, sizeof(DrawnSeen));
  a.lit = arena_array(arena, (size_t)drawn->n_testers, sizeof(DrawnLit));
  if (!a.seen || !a.lit) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < drawn->n_looks; ++i) {
    see(&bench, &drawn->looks[i], &a.seen[i]);
    if (drawn->looks[i].ohm_a >= 0) {
      a.seen[i].ohm = arena_array(arena, (size_t)drawn->n_tones, sizeof(double));
      if (!a.seen[i].ohm) {
        return STATUS_NO_MEMORY;
      }
      measure(&bench, &drawn->looks[i], &a.seen[i]);
    }
  }
  for (int i = 0; i < drawn->n_testers; ++i) {
    light(&bench, &drawn->testers[i], &a.lit[i]);
  }
  TRY(st, listen(arena, &bench, &a));
  *answer = a;
  return STATUS_OK;
}
