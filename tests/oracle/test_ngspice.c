// SPDX-License-Identifier: GPL-3.0-or-later

/*
  ngspice as oracle (oracle/against.h). Random microphone lines (3 contacts, 2 to 8 sections,
  transformer, side branch) and random lines of 2, 4 and 8 contacts: jacks, loudspeaker circuits and
  whatever else ends made of branches can be, with adaptors, two sources on one line and side
  branches. 0 to 2 faults each, a tester of 0 to 6 lamps between any contacts, batteries, a meter.

  80 microphone lines and 40 of each other width; 2,000 of each with LINEWALK_LONG=1. Says
  "N passed, N failed"; without ngspice, skipped.
*/

#include "base/rng.h"
#include "oracle/against.h"

enum { ELEMENTS = 16, EDITS = 4, ENDS = 4, BRANCHES = 40 };

typedef struct {
  int n_contacts;
  int n_elements;
  int n_edits;
  ChainElement elements[ELEMENTS];
  ChainBranch branches[ENDS][BRANCHES];
  ChainEdit edits[EDITS];
  int joint;
  ChainSide side;
  LampTester tester;
} Case;

static ChainLeaf
random_source(Rng* rng)
{
  ChainLeaf s = chain_leaf_nothing();
  s.drive = (ChainDrive)rng_below(rng, 5);
  s.emf_v = 1.0;
  s.source_ohm = rng_log(rng, 20.0, 2000.0);
  s.leg_f = rng_log(rng, 1e-12, 1e-9);
  if (rng_below(rng, 3) == 0) {
    s.supply_ohm = rng_log(rng, 1000.0, 20000.0);
    s.load_ohm = s.supply_ohm > 5000.0 ? 0.0 : 3.0 * s.supply_ohm;
  }
  if (rng_below(rng, 4) == 0) {
    s.sender_v[0] = 12.0;
    s.sender_v[1] = 6.0;
    s.sender_ohm[0] = s.sender_ohm[1] = rng_log(rng, 50.0, 1000.0);
  }
  return s;
}

static ChainLeaf
random_desk(Rng* rng)
{
  ChainLeaf d = chain_leaf_nothing();
  if (rng_below(rng, 4) > 0) {
    d.feed_v = rng_below(rng, 4) > 0 ? 48.0 : 0.0;
    d.feed_ohm[0] = 6800.0;
    d.feed_ohm[1] = 6800.0 * (1.0 + 0.01 * (rng_unit(rng) - 0.5));
  }
  d.input_ohm = rng_below(rng, 2) > 0 ? 2000.0 : (double)INFINITY;
  d.leg_earth_ohm = isinf(d.input_ohm) ? 1000.0 : (double)INFINITY;
  d.input_blocked = rng_below(rng, 4) > 0;
  d.leg_earth_f[0] = d.leg_earth_f[1] = rng_log(rng, 1e-11, 1e-9);
  d.earth_ohm = rng_below(rng, 8) > 0 ? 0.01 : (double)INFINITY;
  return d;
}

static Section
random_section(Rng* rng)
{
  Section s = {.n = 3};
  for (int k = 0; k < 3; ++k) {
    s.series_ohm[k] = rng_log(rng, 0.01, 30.0);
    s.pair_f[k] = rng_log(rng, 1e-12, 2e-8);
    s.earth_f[k] = rng_log(rng, 1e-13, 1e-9);
    s.earth_siemens[k] = 2e-9;
  }
  return s;
}

static ChainTransformer
random_transformer(Rng* rng)
{
  return (ChainTransformer){.primary_ohm = rng_log(rng, 20.0, 500.0),
                            .secondary_ohm = rng_log(rng, 20.0, 500.0),
                            .primary_h = rng_log(rng, 0.5, 50.0),
                            .ratio = rng_below(rng, 2) > 0 ? 1.0 : rng_log(rng, 0.1, 10.0),
                            .block_f = rng_below(rng, 2) > 0 ? 47e-6 : (double)INFINITY,
                            .lift_ohm = rng_below(rng, 2) > 0 ? (double)INFINITY : 0.01,
                            .winding_f = rng_log(rng, 1e-11, 5e-10),
                            .insulation_ohm = 1e10};
}

static ChainEdit
random_fault(Rng* rng, int n, int element)
{
  ChainEdit f = {.element = element, .end = (ChainEnd)rng_below(rng, 2), .a = rng_below(rng, n)};
  f.b = (f.a + 1 + rng_below(rng, n - 1)) % n;
  switch (rng_below(rng, 5)) {
    case 0:
      f.ohm = (double)INFINITY;
      break;
    case 1:
      f.ohm = rng_log(rng, 1.0, 1e9);
      break;
    case 2:
      f.change = CHAIN_SHUNT;
      f.ohm = rng_log(rng, 1e-3, 10.0);
      break;
    case 3:
      f.change = rng_below(rng, 2) > 0 ? CHAIN_SHUNT : CHAIN_LEAK;
      f.ohm = rng_log(rng, 10.0, 1e9);
      break;
    default:
      f.change = CHAIN_PERMUTE;
      for (int k = 0; k < n; ++k) {
        f.map[k] = (uint8_t)(k == f.a ? f.b : k == f.b ? f.a : k);
      }
  }
  return f;
}

static void
microphone_case(Rng* rng, Case* c)
{
  memset(c, 0, sizeof(*c));
  c->n_contacts = 3;
  const int n_sections = 2 + rng_below(rng, 7);
  const int transformer = rng_below(rng, 4) == 0 ? 1 + rng_below(rng, n_sections) : -1;
  int n = 0;
  c->elements[n++] =
    (ChainElement){.kind = CHAIN_LEAF, .near = -1, .far = 0, .as.leaf = random_source(rng)};
  for (int i = 1; i <= n_sections; ++i, ++n) {
    c->elements[n] = (ChainElement){.kind = CHAIN_SECTION, .near = i - 1, .far = i};
    if (i == transformer) {
      c->elements[n].kind = CHAIN_TRANSFORMER;
      c->elements[n].as.transformer = random_transformer(rng);
    } else {
      c->elements[n].as.section = random_section(rng);
    }
  }
  c->elements[n++] =
    (ChainElement){.kind = CHAIN_LEAF, .near = n_sections, .far = -1, .as.leaf = random_desk(rng)};
  if (rng_below(rng, 3) == 0) {
    const int at = rng_below(rng, n_sections);
    c->elements[n++] = (ChainElement){
      .kind = CHAIN_SECTION, .near = at, .far = n_sections + 1, .as.section = random_section(rng)};
    c->elements[n++] = (ChainElement){
      .kind = CHAIN_LEAF, .near = n_sections + 1, .far = -1, .as.leaf = random_desk(rng)};
  }
  c->n_elements = n;
  for (int n_faults = rng_below(rng, 3); n_faults > 0; --n_faults) {
    c->edits[c->n_edits++] = random_fault(rng, 3, 1 + rng_below(rng, n_sections));
  }
  c->joint = rng_below(rng, n_sections + 1);
  c->side = (ChainSide)rng_below(rng, 3);
  c->tester.n_lamps = rng_below(rng, LAMP_MAX + 1);
  for (int i = 0; i < c->tester.n_lamps; ++i) {
    const int a = rng_below(rng, 3);
    c->tester.lamps[i] =
      (Lamp){a, (a + 1 + rng_below(rng, 2)) % 3, rng_log(rng, 47.0, 1e4), lamp_green(), lamp_red()};
  }
  if (rng_below(rng, 2) > 0) { // A meter
    c->tester.batteries[c->tester.n_batteries++] = (LampBattery){1, 2, 0.0, 1e7};
  }
  if (rng_below(rng, 3) == 0) {
    const int a = rng_below(rng, 3);
    c->tester.batteries[c->tester.n_batteries++] = (LampBattery){a, (a + 1) % 3, 9.0, 1000.0};
  }
  lamp_ready(&c->tester, 3);
}

/// Put a branch to an end under way.
static void
put(ChainBranch out[BRANCHES], int* n, ChainBranch b)
{
  out[(*n)++] = b;
}

static ChainBranch
resistor(int a, int b, double ohm)
{
  return (ChainBranch){.a = a, .b = b, .ohm = ohm, .series_f = INFINITY};
}

/// An end that drives: an amplifier channel on each pair with its minus pole earthed, a pickup on
/// each pair that floats, a sender's batteries, or a microphone fed between its contacts.
static int
source_branches(Rng* rng, int n_contacts, ChainBranch out[BRANCHES])
{
  int n = 0;
  const int sort = rng_below(rng, 4);
  for (int pair = 0; pair < n_contacts / 2; ++pair) {
    const int plus = 2 * pair;
    const int minus = plus + 1;
    ChainBranch b = resistor(plus, minus, sort == 0 ? 0.05 : rng_log(rng, 20.0, 20000.0));
    b.emf_v = 1.0 - 0.3 * pair;
    if (sort == 2) {
      b.battery_v = 9.0 + pair;
      b.direct_only = rng_below(rng, 2) > 0;
    } else if (sort == 3) {
      b.series_f = rng_log(rng, 1e-7, 1e-4);
      put(out, &n, resistor(plus, minus, rng_log(rng, 500.0, 20000.0)));
      out[n - 1].direct_only = true;
    }
    put(out, &n, b);
    if (sort == 0) {
      put(out, &n, resistor(minus, CHAIN_EARTH, 0.01));
    } else {
      put(out, &n,
          (ChainBranch){.a = minus, .b = CHAIN_ROOM, .series_f = rng_log(rng, 1e-12, 1e-10)});
    }
  }
  return n;
}

/// An end that takes: loudspeakers on each pair, feeds to earth, a battery between contacts through
/// two resistors (A-B), an input behind capacitors.
static int
load_branches(Rng* rng, int n_contacts, ChainBranch out[BRANCHES])
{
  int n = 0;
  for (int pair = 0; pair < n_contacts / 2; ++pair) {
    const int a = 2 * pair;
    const int b = a + 1;
    switch (rng_below(rng, 5)) {
      case 0:
        put(out, &n, resistor(a, b, rng_log(rng, 2.0, 16.0)));
        break;
      case 1: // Behind a capacitor, as a tweeter
        put(out, &n, resistor(a, b, 8.0));
        out[n - 1].series_f = rng_log(rng, 1e-6, 1e-5);
        break;
      case 2:
        put(out, &n, resistor(a, b, rng_log(rng, 100.0, 1000.0)));
        out[n - 1].battery_v = 12.0;
        put(out, &n, resistor(b, CHAIN_EARTH, 0.01));
        break;
      case 3:
        put(out, &n, resistor(a, CHAIN_EARTH, 6800.0));
        out[n - 1].battery_v = 48.0;
        put(out, &n, resistor(b, CHAIN_EARTH, 6827.0));
        out[n - 1].battery_v = 48.0;
        put(out, &n, resistor(a, b, 2000.0));
        out[n - 1].series_f = 10e-6;
        break;
      default:
        put(out, &n, resistor(a, b, rng_log(rng, 1e4, 1e6)));
        put(out, &n, resistor(b, CHAIN_EARTH, 0.01));
        break;
    }
    put(out, &n, (ChainBranch){.a = a, .b = CHAIN_EARTH, .series_f = rng_log(rng, 1e-11, 1e-9)});
  }
  return n;
}

static ChainAdaptor
random_adaptor(Rng* rng, int n)
{
  ChainAdaptor a = chain_adaptor_straight();
  for (int swaps = rng_below(rng, 3); swaps > 0; --swaps) {
    const int c = rng_below(rng, n);
    const int d = rng_below(rng, n);
    const int8_t swap = a.map[c];
    a.map[c] = a.map[d];
    a.map[d] = swap;
  }
  if (rng_below(rng, 4) == 0) {
    a.map[rng_below(rng, n)] = -1;
  }
  if (rng_below(rng, 3) == 0) {
    a.join_ohm[rng_below(rng, n * (n - 1) / 2)] = rng_log(rng, 0.01, 1e4);
  }
  return a;
}

static ChainElement
wide_piece(Rng* rng, int n, int near, int far)
{
  ChainElement e = {.kind = CHAIN_SECTION, .near = near, .far = far};
  if (rng_below(rng, 4) == 0) {
    e.kind = CHAIN_ADAPTOR;
    e.as.adaptor = random_adaptor(rng, n);
    return e;
  }
  Section* const s = &e.as.section;
  s->n = n;
  for (int k = 0; k < n; ++k) {
    s->series_ohm[k] = rng_log(rng, 0.01, 30.0);
    s->earth_f[k] = rng_log(rng, 1e-13, 1e-9);
    s->earth_siemens[k] = 2e-9;
  }
  for (int k = 0; k < n * (n - 1) / 2; ++k) {
    s->pair_f[k] = rng_log(rng, 1e-12, 2e-8);
  }
  return e;
}

static ChainElement
wide_end(Case* c, int end, int near, int far, int n_branches)
{
  return (ChainElement){
    .kind = CHAIN_PARTS, .near = near, .far = far, .as.parts = {c->branches[end], n_branches}};
}

static void
wide_case(Rng* rng, int n_contacts, Case* c)
{
  memset(c, 0, sizeof(*c));
  c->n_contacts = n_contacts;
  const int n_pieces = 2 + rng_below(rng, 5);
  int n = 0;
  c->elements[n++] = wide_end(c, 0, -1, 0, source_branches(rng, n_contacts, c->branches[0]));
  for (int i = 1; i <= n_pieces; ++i) {
    c->elements[n++] = wide_piece(rng, n_contacts, i - 1, i);
  }
  c->elements[n++] = wide_end(c, 1, n_pieces, -1, load_branches(rng, n_contacts, c->branches[1]));
  if (rng_below(rng, 3) == 0) { // A second source on the line: a Y-lead
    c->elements[n++] = wide_end(c, 2, rng_below(rng, n_pieces), -1,
                                source_branches(rng, n_contacts, c->branches[2]));
  }
  if (rng_below(rng, 3) == 0) {
    c->elements[n++] = wide_piece(rng, n_contacts, rng_below(rng, n_pieces), n_pieces + 1);
    c->elements[n++] =
      wide_end(c, 3, n_pieces + 1, -1, load_branches(rng, n_contacts, c->branches[3]));
  }
  c->n_elements = n;
  for (int n_faults = rng_below(rng, 3); n_faults > 0; --n_faults) {
    c->edits[c->n_edits++] = random_fault(rng, n_contacts, 1 + rng_below(rng, n_pieces));
  }
  c->joint = rng_below(rng, n_pieces + 1);
  c->side = (ChainSide)rng_below(rng, 3);
  c->tester.n_lamps = rng_below(rng, 3) > 0 ? 1 + rng_below(rng, LAMP_MAX) : 0;
  for (int i = 0; i < c->tester.n_lamps; ++i) {
    const int a = rng_below(rng, n_contacts);
    c->tester.lamps[i] = (Lamp){a, (a + 1 + rng_below(rng, n_contacts - 1)) % n_contacts,
                                rng_log(rng, 47.0, 1e4), lamp_green(), lamp_red()};
  }
  c->tester.n_batteries = rng_below(rng, 3);
  for (int i = 0; i < c->tester.n_batteries; ++i) {
    const int a = rng_below(rng, n_contacts);
    const int b =
      rng_below(rng, 4) > 0 ? (a + 1 + rng_below(rng, n_contacts - 1)) % n_contacts : -1;
    c->tester.batteries[i] = (LampBattery){a, b, 9.0 + 3.0 * i, rng_log(rng, 10.0, 1000.0)};
  }
  lamp_ready(&c->tester, n_contacts);
}

static bool
compare(int number, const Case* c, const PortTones* tones, AgainstTally* dc, AgainstTally* ac)
{
  Arena arena;
  arena_init(&arena, NULL);
  const Chain* chain = NULL;
  const bool built =
    chain_build(&arena, c->n_contacts, c->elements, c->n_elements, tones, &chain) == STATUS_OK &&
    against_line(number, chain, tones, c->edits, c->n_edits, c->joint, c->side, &c->tester, dc, ac);
  arena_deinit(&arena);
  return built;
}

static int
say(int n_contacts, int n_lines, const AgainstTally* dc, const AgainstTally* ac)
{
  printf("figure: oracle_%d_lines %d lines\n", n_contacts, n_lines);
  printf("figure: oracle_%d_lamp_currents %d compared\n", n_contacts, dc->n_lamps);
  printf("figure: oracle_%d_lamps_lit_dark_differ %d lamps\n", n_contacts, dc->n_flips);
  printf("figure: oracle_%d_lamp_worst %.2g relative\n", n_contacts, dc->worst_lamp);
  printf("figure: oracle_%d_direct_volts %d compared\n", n_contacts, dc->n_volts);
  printf("figure: oracle_%d_ac_volts %d compared\n", n_contacts, ac->n_volts);
  printf("figure: oracle_%d_beyond_bound %d values\n", n_contacts, dc->n_failed + ac->n_failed);
  const AgainstTally* const both[] = {dc, ac};
  for (int i = 0; i < 2; ++i) {
    const AgainstTally* const t = both[i];
    printf("%d contacts, %s: %d looks, %d lamps, %d volts, worst volt %.2g, %d decided, "
           "%d refused, %d failed\n",
           n_contacts, i == 0 ? "direct" : "alternating", t->n_looks, t->n_lamps, t->n_volts,
           t->worst_volt, t->n_decided, t->n_refused, t->n_failed);
  }
  const bool too_many = dc->n_refused > n_lines / 4 || ac->n_refused > n_lines / 4;
  return dc->n_flips + dc->n_failed + ac->n_failed + too_many;
}

int
main(void)
{
  if (system("command -v ngspice >/dev/null 2>&1") != 0) {
    printf("ngspice is not here: skipped\n1 passed, 0 failed\n");
    return 0;
  }
  const char* const longer = getenv("LINEWALK_LONG");
  const bool is_long = longer && longer[0] == '1';
  const PortTones tones = {.hz = {50.0, 100.0, 1000.0, 10000.0}, .emf_v = {1, 1, 1, 1}};
  static const int widths[] = {3, 2, 4, 8};
  int n_all = 0;
  int n_bad = 0;
  printf("seed 2026; deck: %s", against_options);
  for (size_t w = 0; w < sizeof(widths) / sizeof(widths[0]); ++w) {
    const int n_lines = is_long ? 2000 : widths[w] == 3 ? 80 : 40;
    AgainstTally dc = {0};
    AgainstTally ac = {0};
    Rng rng;
    rng_init(&rng, 2026);
    for (int i = 0; i < n_lines; ++i) {
      static Case c; // Large
      if (widths[w] == 3) {
        microphone_case(&rng, &c);
      } else {
        wide_case(&rng, widths[w], &c);
      }
      if (!compare(i, &c, &tones, &dc, &ac)) {
        printf("line %d cannot be built\n", i);
        ++n_bad;
      }
    }
    n_bad += say(widths[w], n_lines, &dc, &ac);
    n_all += 2 * n_lines;
  }
  printf("%d passed, %d failed\n", n_all > n_bad ? n_all - n_bad : 0,
         n_bad); // A look can fail often
  return n_bad != 0;
}
