// SPDX-License-Identifier: GPL-3.0-or-later
#include "circuit/chain.h"

#include "base/rng.h"
#include "support/check.h"

#include <string.h>

/// A branch of a resistor and a signal.
static ChainBranch
branch(int a, int b, double ohm, double emf_v)
{
  return (ChainBranch){.a = a, .b = b, .ohm = ohm, .series_f = INFINITY, .emf_v = emf_v};
}

static ChainBranch
capacitor(int a, int b, double farad)
{
  return (ChainBranch){.a = a, .b = b, .series_f = farad};
}

static ChainElement
parts_element(int near, int far, const ChainBranch* branches, int n_branches)
{
  return (ChainElement){
    .kind = CHAIN_PARTS, .near = near, .far = far, .as.parts = {branches, n_branches}};
}

static ChainElement
adaptor_element(int near, int far, ChainAdaptor adaptor)
{
  return (ChainElement){.kind = CHAIN_ADAPTOR, .near = near, .far = far, .as.adaptor = adaptor};
}

static ChainElement
cable_element(int near, int far, int n, double ohm)
{
  ChainElement e = {.kind = CHAIN_SECTION, .near = near, .far = far};
  e.as.section.n = n;
  for (int i = 0; i < n; ++i) {
    e.as.section.series_ohm[i] = ohm;
  }
  return e;
}

static const Chain*
build(Arena* arena, int n_contacts, const ChainElement* elements, int n_elements)
{
  const Chain* chain = NULL;
  assert_int_equal(chain_build(arena, n_contacts, elements, n_elements, NULL, &chain), STATUS_OK);
  return chain;
}

static void
jack_line_by_hand(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  // A pickup of 10 k, 6 m of 100 pF/m and an input of 1 M: 0.1 V per volt would be -20 dB
  const ChainBranch pickup[] = {branch(1, 0, 10e3, 1.0)};
  const ChainBranch input[] = {branch(1, 0, 1e6, 0.0), branch(0, CHAIN_EARTH, 0.01, 0.0)};
  ChainElement e[] = {parts_element(-1, 0, pickup, 1), cable_element(0, 1, 2, 0.2),
                      parts_element(1, -1, input, 2)};
  e[1].as.section.pair_f[0] = 600e-12;
  const Chain* const chain = build(&arena, 2, e, 3);
  ChainHeard heard[PORT_LANES];
  chain_transfer_between(chain, 2, 1, 0, NULL, 0, heard);
  for (int lane = 0; lane < 3; ++lane) {
    const double hz = (const double[]){100.0, 1000.0, 10000.0}[lane];
    // 1 / (1 + 10 k (1 / 1 M + j w 600 pF)), the cable's fraction of an ohm left out
    const double re = 1.0 + 0.01;
    const double im = 10e3 * 2.0 * 3.14159265358979 * hz * 600e-12;
    const double size = 1.0 / sqrt(re * re + im * im);
    CHECK_NEAR("pickup into 1 M", heard[lane].db, 20.0 * log10(size), 1e-3);
    CHECK_NEAR("in phase part", heard[lane].re_v, re * size * size, 1e-4);
  }
  chain_transfer_between(chain, 2, 0, 1, NULL, 0, heard);
  assert_true(heard[1].inverted);
  chain_transfer_between(chain, 2, 0, CHAIN_EARTH, NULL, 0, heard);
  assert_true(heard[1].db < -150.0); // The sleeve is earthed
  Port port;
  double v[2];
  chain_look(chain, 1, CHAIN_TO_SOURCE, NULL, 0, &port);
  port_source(&port, 1, 0, 9.0, 1000.0);
  assert_int_equal(port_solve(&port, v), 3); // Nothing holds it: only differences
  CHECK_NEAR("9 V meter reads 10 k and the lead", v[1] - v[0], 9.0 * 10000.4 / 11000.4, 1e-12);
  arena_deinit(&arena);
}

static void
loudspeakers_by_hand(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  // Four poles: two amplifier channels of 0.05 ohm, 20 m of 2.5 mm2 (0.16 ohm a wire), 8 and 4 ohm.
  // The channels' minus poles share the amplifier's earth.
  const ChainBranch amplifier[] = {branch(0, 1, 0.05, 1.0), branch(2, 3, 0.05, -0.5),
                                   branch(1, CHAIN_EARTH, 0.01, 0.0),
                                   branch(3, CHAIN_EARTH, 0.01, 0.0)};
  const ChainBranch speakers[] = {branch(0, 1, 8.0, 0.0), branch(2, 3, 4.0, 0.0)};
  const ChainElement e[] = {parts_element(-1, 0, amplifier, 4), cable_element(0, 1, 4, 0.16),
                            parts_element(1, -1, speakers, 2)};
  const Chain* const chain = build(&arena, 4, e, 3);
  ChainHeard heard[PORT_LANES];
  chain_transfer_between(chain, 2, 0, 1, NULL, 0, heard);
  CHECK_NEAR("8 ohm", heard[1].re_v, 8.0 / 8.37, 1e-12);
  chain_transfer_between(chain, 2, 2, 3, NULL, 0, heard);
  CHECK_NEAR("4 ohm, the other way round", heard[1].re_v, -0.5 * 4.0 / 4.37, 1e-12);
  assert_true(heard[1].inverted);
  // 1+ open: the first is silent, the second as before
  const ChainEdit open = {.element = 1, .end = CHAIN_FAR, .a = 0, .ohm = INFINITY};
  chain_transfer_between(chain, 2, 0, 1, &open, 1, heard);
  assert_true(heard[1].db < -250.0);
  chain_transfer_between(chain, 2, 2, 3, &open, 1, heard);
  CHECK_NEAR("the second plays on", heard[1].re_v, -0.5 * 4.0 / 4.37, 1e-12);
  // 1+ crossed with 2+: the 8 ohm hangs between 2's plus and 1's minus, both minus near earth
  const ChainEdit cross = {
    .element = 1, .end = CHAIN_FAR, .change = CHAIN_PERMUTE, .map = {2, 1, 0, 3}};
  chain_transfer_between(chain, 2, 0, 1, &cross, 1, heard);
  CHECK_NEAR("crossed poles", heard[1].re_v, -0.5, 0.03);
  // What an ohmmeter says at the amplifier's plug
  Port port;
  double v[4];
  chain_look(chain, 0, CHAIN_TO_DESK, NULL, 0, &port);
  port_source(&port, 0, 1, 1.0, 8.32);
  port_solve(&port, v);
  CHECK_NEAR("8 ohm and the wires", v[0] - v[1], 0.5, 1e-12);
  arena_deinit(&arena);
}

static void
eight_poles_and_an_adaptor(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  // A break-out: the far pair 0 1 is the eight-pole cable's third pair; the others end here
  const ChainBranch amplifier[] = {branch(4, 5, 0.05, 1.0), branch(5, CHAIN_EARTH, 0.01, 0.0),
                                   branch(0, 1, 0.05, 1.0)};
  const ChainBranch speaker[] = {branch(0, 1, 8.0, 0.0)};
  ChainAdaptor out = chain_adaptor_straight();
  memset(out.map, -1, sizeof(out.map));
  out.map[0] = 4;
  out.map[1] = 5;
  const ChainElement e[] = {parts_element(-1, 0, amplifier, 3), cable_element(0, 1, 8, 0.1),
                            adaptor_element(1, 2, out), parts_element(2, -1, speaker, 1)};
  const Chain* const chain = build(&arena, 8, e, 4);
  ChainHeard heard[PORT_LANES];
  chain_transfer_between(chain, 3, 0, 1, NULL, 0, heard);
  CHECK_NEAR("third pair plays", heard[1].re_v, 8.0 / 8.25, 1e-12);
  Port port;
  double v[8];
  chain_look(chain, 1, CHAIN_TO_DESK, NULL, 0, &port);
  port_source(&port, 4, 5, 1.0, 8.0);
  port_source(&port, 0, 1, 1.0, 8.0);
  assert_int_equal(port_solve(&port, v), 255);
  CHECK_NEAR("third pair: the loudspeaker", v[4] - v[5], 0.5, 1e-12);
  CHECK_NEAR("first pair: nothing", v[0] - v[1], 1.0, 1e-12);
  chain_look(chain, 2, CHAIN_TO_SOURCE, NULL, 0, &port);
  for (int c = 2; c < 8; ++c) {
    CHECK_NEAR("a contact that leads nowhere", port.e[c], 0.0, 0.0);
    for (int a = 0; a < c; ++a) {
      CHECK_NEAR("nor to its neighbours", port.g[port_pair(a, c)], 0.0, 0.0);
    }
  }
  // Unbalanced into a balanced line: tip to 2, sleeve to 1, and 3 joined to 1 in the plug
  const ChainBranch tip[] = {branch(1, 0, 100.0, 1.0)};
  const ChainBranch desk[] = {branch(1, 2, 900.0, 0.0), branch(0, CHAIN_EARTH, 0.01, 0.0)};
  ChainAdaptor joined = chain_adaptor_straight();
  joined.map[2] = -1;
  joined.join_ohm[port_pair(0, 2)] = 0.0;
  const ChainElement f[] = {parts_element(-1, 0, tip, 1), adaptor_element(0, 1, joined),
                            parts_element(1, -1, desk, 2)};
  chain_transfer(build(&arena, 3, f, 3), 2, NULL, 0, heard);
  CHECK_NEAR("tip to 2, 3 joined to 1", heard[1].re_v, 0.9, 1e-8);
  arena_deinit(&arena);
}

static void
more_sources_than_one(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  // A Y-lead: 200 and 600 ohm sources on one line of 2 k
  for (int turn = 0; turn < 2; ++turn) {
    const double second_v = turn == 0 ? 1.0 : -1.0;
    const ChainBranch one[] = {branch(1, 2, 200.0, 1.0)};
    const ChainBranch two[] = {branch(1, 2, 600.0, second_v)};
    const ChainBranch desk[] = {branch(1, 2, 2000.0, 0.0), branch(0, CHAIN_EARTH, 0.01, 0.0),
                                branch(1, 0, 1e5, 0.0), branch(2, 0, 1e5, 0.0)};
    const ChainElement e[] = {parts_element(-1, 0, one, 1), parts_element(0, -1, two, 1),
                              cable_element(0, 1, 3, 0.0), parts_element(1, -1, desk, 4)};
    ChainHeard heard[PORT_LANES];
    chain_transfer(build(&arena, 3, e, 4), 3, NULL, 0, heard);
    const double siemens = 1.0 / 200.0 + 1.0 / 600.0 + 1.0 / 2000.0 + 1.0 / 2e5;
    CHECK_NEAR("two sources", heard[0].re_v, (1.0 / 200.0 + second_v / 600.0) / siemens, 1e-12);
    // Unplugging the second leaves the first
    const ChainParts none = {NULL, 0};
    const ChainEdit gone = {.element = 1, .change = CHAIN_REPLACE, .parts = &none};
    chain_transfer(build(&arena, 3, e, 4), 3, &gone, 1, heard);
    CHECK_NEAR("one source", heard[0].re_v, 1.0 / 200.0 / (siemens - 1.0 / 600.0), 1e-12);
  }
  arena_deinit(&arena);
}

static void
batteries_and_capacitors(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  // 12 V between the legs through 180 ohm each (DIN 45595's figures), a 200 ohm coil: 21.43 mA
  const ChainBranch coil[] = {branch(1, 2, 200.0, 1.0)};
  ChainBranch feed[] = {branch(1, 0, 180.0, 0.0),
                        branch(2, 0, 180.0, 0.0),
                        branch(0, CHAIN_EARTH, 0.01, 0.0),
                        capacitor(1, 2, 1e-6),
                        {.a = 1, .b = 2, .ohm = 1000.0, .series_f = 10e-6}};
  feed[0].battery_v = 12.0;
  const ChainElement e[] = {parts_element(-1, 0, coil, 1), cable_element(0, 1, 3, 0.0),
                            parts_element(1, -1, feed, 5)};
  const Chain* const chain = build(&arena, 3, e, 3);
  double v[3];
  assert_int_equal(chain_leaf_volts(chain, 0, NULL, 0, v), 0);
  CHECK_NEAR("through the coil", (v[1] - v[2]) / 200.0, 12.0 / 560.0, 1e-12);
  // Signal: 200 ohm into 360 beside 1 uF beside (1 k + 10 uF); the battery is a wire
  ChainHeard heard[PORT_LANES];
  chain_transfer(chain, 2, NULL, 0, heard);
  const double w = 2.0 * 3.14159265358979 * 1000.0;
  const double x = 1.0 / (w * 10e-6);
  const double re = 1.0 / 200.0 + 1.0 / 360.0 + 1000.0 / (1e6 + x * x);
  const double im = w * 1e-6 + x / (1e6 + x * x);
  CHECK_NEAR("real part", heard[1].re_v, re / 200.0 / (re * re + im * im), 1e-10);
  CHECK_NEAR("imaginary part", heard[1].im_v, -im / 200.0 / (re * re + im * im), 1e-10);
  // A leaf of the other kind in its place, and back
  ChainLeaf desk = chain_leaf_nothing();
  desk.feed_v = 48.0;
  desk.feed_ohm[0] = desk.feed_ohm[1] = 6800.0;
  desk.earth_ohm = 0.01;
  const ChainEdit phantom = {.element = 2, .change = CHAIN_REPLACE, .leaf = &desk};
  assert_int_equal(chain_leaf_volts(chain, 0, &phantom, 1, v), 0);
  CHECK_NEAR("phantom instead", v[1], 48.0, 1e-9);
  const ChainParts parts = {feed, 5};
  const ChainEdit back[] = {phantom, {.element = 2, .change = CHAIN_REPLACE, .parts = &parts}};
  assert_int_equal(chain_leaf_volts(chain, 0, back, 2, v), 0);
  CHECK_NEAR("the last one counts", (v[1] - v[2]) / 200.0, 12.0 / 560.0, 1e-12);
  arena_deinit(&arena);
}

enum { SPELLED = 24 };

/// A leaf's numbers written as branches.
static int
spell(const ChainLeaf* l, ChainBranch out[SPELLED])
{
  int n = 0;
  switch (l->drive) {
    case CHAIN_DRIVE_NONE:
      break;
    case CHAIN_DRIVE_FLOATING:
      out[n++] = branch(1, 2, l->source_ohm, l->emf_v);
      break;
    case CHAIN_DRIVE_BOTH:
    case CHAIN_DRIVE_ONE:
      for (int leg = 1; leg <= 2; ++leg) { // A capacitor no signal notices: 1 kF
        out[n++] = (ChainBranch){.a = leg, .b = 0, .ohm = l->source_ohm, .series_f = 1e3};
      }
      out[0].emf_v = l->drive == CHAIN_DRIVE_BOTH ? 0.5 * l->emf_v : l->emf_v;
      out[1].emf_v = l->drive == CHAIN_DRIVE_BOTH ? -0.5 * l->emf_v : 0.0;
      break;
    case CHAIN_DRIVE_UNBALANCED:
      out[n++] = branch(2, 0, 0.01, 0.0);
      out[n++] = branch(1, 0, l->source_ohm, l->emf_v);
      break;
  }
  for (int leg = 0; leg < 2; ++leg) {
    const int contact = leg + 1;
    if (l->leg_f > 0.0) {
      out[n++] = capacitor(contact, 0, l->leg_f);
    }
    if (l->leg_earth_f[leg] > 0.0) {
      out[n++] = capacitor(contact, CHAIN_EARTH, l->leg_earth_f[leg]);
    }
    // Two resistors that meet at a load, as the delta they are: both ends of it by hand
    const double meet = l->load_ohm > 0.0 ? 2.0 + l->supply_ohm / l->load_ohm : 1.0;
    out[n] = branch(contact, 0, meet > 1.0 ? meet * l->load_ohm : l->supply_ohm, 0.0);
    out[n++].direct_only = true;
    if (meet > 1.0 && leg == 0) {
      out[n] = branch(1, 2, meet * l->supply_ohm, 0.0);
      out[n++].direct_only = true;
    }
    out[n] = branch(contact, 0, l->sender_ohm[leg], 0.0);
    out[n].battery_v = l->sender_v[leg];
    out[n++].direct_only = true;
    out[n] = branch(contact, CHAIN_EARTH, l->feed_ohm[leg], 0.0);
    out[n++].battery_v = l->feed_v;
    out[n] = branch(contact, CHAIN_EARTH, l->leg_earth_ohm, 0.0);
    out[n++].series_f = l->input_blocked ? 1e3 : (double)INFINITY;
  }
  out[n] = branch(1, 2, l->input_ohm, 0.0);
  out[n++].series_f = l->input_blocked ? 1e3 : (double)INFINITY;
  out[n++] = branch(0, CHAIN_EARTH, l->earth_ohm, 0.0);
  if (l->room_f > 0.0) {
    out[n++] = capacitor(0, CHAIN_ROOM, l->room_f);
  }
  assert_true(n <= SPELLED);
  return n;
}

static ChainLeaf
random_leaf(Rng* rng)
{
  ChainLeaf l = chain_leaf_nothing();
  l.drive = (ChainDrive)rng_below(rng, 5);
  l.emf_v = 1.0;
  l.source_ohm = rng_log(rng, 20.0, 2000.0);
  if (rng_below(rng, 2) > 0) {
    l.supply_ohm = rng_log(rng, 1e3, 1e5);
    l.load_ohm = rng_below(rng, 2) > 0 ? rng_log(rng, 1e2, 1e5) : 0.0;
  }
  if (rng_below(rng, 3) == 0) {
    l.sender_v[0] = 12.0;
    l.sender_v[1] = 6.0;
    l.sender_ohm[0] = l.sender_ohm[1] = 110.0;
  }
  l.leg_f = rng_log(rng, 1e-12, 1e-9);
  l.room_f = rng_log(rng, 1e-12, 1e-10);
  if (rng_below(rng, 2) > 0) {
    l.feed_v = 48.0;
    l.feed_ohm[0] = 6800.0;
    l.feed_ohm[1] = 6827.0;
  }
  if (rng_below(rng, 2) > 0) {
    l.input_ohm = 2000.0;
  } else {
    l.leg_earth_ohm = 1000.0;
  }
  l.input_blocked = rng_below(rng, 2) > 0;
  l.leg_earth_f[0] = l.leg_earth_f[1] = 100e-12;
  if (rng_below(rng, 4) > 0) {
    l.earth_ohm = 0.01;
  }
  return l;
}

static void
parts_spell_a_leaf(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 41);
  print_message("seed 41\n");
  for (int round = 0; round < 500; ++round) {
    Arena arena;
    arena_init(&arena, NULL);
    ChainLeaf leaf[2] = {random_leaf(&rng), random_leaf(&rng)};
    ChainElement e[3] = {{.kind = CHAIN_LEAF, .near = -1, .far = 0, .as.leaf = leaf[0]},
                         cable_element(0, 1, 3, 5.0),
                         {.kind = CHAIN_LEAF, .near = 1, .far = -1, .as.leaf = leaf[1]}};
    ChainElement f[3];
    memcpy(f, e, sizeof(f));
    ChainBranch spelled[2][SPELLED];
    for (int end = 0; end < 2; ++end) {
      const int n = spell(&leaf[end], spelled[end]);
      f[2 * end] = parts_element(e[2 * end].near, e[2 * end].far, spelled[end], n);
    }
    const Chain* const chain = build(&arena, 3, e, 3);
    const Chain* const other = build(&arena, 3, f, 3);
    memset(spelled, 0, sizeof(spelled)); // The chain has its own
    for (int at = 0; at < 3; at += 2) {
      ChainHeard want[PORT_LANES], got[PORT_LANES];
      chain_transfer(chain, at, NULL, 0, want);
      chain_transfer(other, at, NULL, 0, got);
      for (int lane = 0; lane < PORT_LANES; ++lane) {
        CHECK_NEAR("signal", got[lane].re_v, want[lane].re_v, 1e-8);
        CHECK_NEAR("signal", got[lane].im_v, want[lane].im_v, 1e-8);
      }
      double v[3], w[3];
      const uint32_t floats = chain_leaf_volts(chain, at, NULL, 0, v);
      assert_int_equal(chain_leaf_volts(other, at, NULL, 0, w), floats);
      for (int c = 0; c < 3; ++c) {
        CHECK_NEAR("direct", w[c], v[c], 1e-9);
      }
    }
    arena_deinit(&arena);
  }
}

enum { TREE = 9 };

/// A random tree of n contacts: source, cable, adaptor, cable, a side branch with an adaptor of its
/// own, ends made of branches.
typedef struct {
  ChainElement e[TREE];
  ChainBranch branches[3][12];
} Tree;

static ChainAdaptor
random_adaptor(Rng* rng, int n)
{
  ChainAdaptor a = chain_adaptor_straight();
  for (int c = n - 1; c > 0; --c) {
    const int d = rng_below(rng, c + 1);
    const int8_t swap = a.map[c];
    a.map[c] = a.map[d];
    a.map[d] = swap;
  }
  if (rng_below(rng, 2) > 0) {
    a.map[rng_below(rng, n)] = -1;
  }
  if (rng_below(rng, 2) > 0) {
    a.join_ohm[rng_below(rng, n * (n - 1) / 2)] = rng_log(rng, 0.01, 1e4);
  }
  return a;
}

static void
random_tree(Rng* rng, int n, Tree* t)
{
  static const int places[3][2] = {{-1, 0}, {3, -1}, {5, -1}};
  static const int at[3] = {0, 4, 7};
  memset(t, 0, sizeof(*t));
  for (int end = 0; end < 3; ++end) {
    const int n_branches = n + rng_below(rng, 5);
    for (int i = 0; i < n_branches; ++i) {
      ChainBranch* const b = &t->branches[end][i];
      b->a = i < n ? i : rng_below(rng, n); // Every contact has a way to earth
      b->b = i < n ? CHAIN_EARTH - rng_below(rng, 2) : (b->a + 1 + rng_below(rng, n - 1)) % n;
      b->ohm = rng_log(rng, 1.0, 1e5);
      b->series_f = rng_below(rng, 3) == 0 ? rng_log(rng, 1e-9, 1e-4) : (double)INFINITY;
      b->emf_v = rng_below(rng, 2) > 0 ? rng_unit(rng) : 0.0;
      b->battery_v = rng_below(rng, 2) > 0 ? 48.0 * rng_unit(rng) : 0.0;
      b->direct_only = rng_below(rng, 8) == 0;
    }
    t->e[at[end]] = parts_element(places[end][0], places[end][1], t->branches[end], n_branches);
  }
  static const int cables[][3] = {{1, 0, 1}, {3, 2, 3}, {6, 4, 5}};
  for (int i = 0; i < 3; ++i) {
    ChainElement* const e = &t->e[cables[i][0]];
    *e = cable_element(cables[i][1], cables[i][2], n, 0.0);
    for (int c = 0; c < n; ++c) {
      e->as.section.series_ohm[c] = rng_log(rng, 0.1, 100.0);
      e->as.section.earth_siemens[c] = 1e-9;
      e->as.section.room_f[c] = rng_log(rng, 1e-12, 1e-9);
    }
    for (int p = 0; p < n * (n - 1) / 2; ++p) {
      e->as.section.pair_f[p] = rng_log(rng, 1e-12, 1e-8);
    }
  }
  t->e[2] = adaptor_element(1, 2, random_adaptor(rng, n));
  t->e[5] = adaptor_element(1, 4, random_adaptor(rng, n));
  t->e[8] = adaptor_element(2, 6, random_adaptor(rng, n)); // Leads to an open plug
}

static ChainEdit
random_edit(Rng* rng, int n)
{
  ChainEdit edit = {.element = 1 + 2 * rng_below(rng, 2),
                    .end = (ChainEnd)rng_below(rng, 2),
                    .change = (ChainChange)rng_below(rng, 4),
                    .a = rng_below(rng, n),
                    .ohm = rng_below(rng, 3) > 0 ? rng_log(rng, 0.1, 1e6) : (double)INFINITY};
  edit.b = (edit.a + 1 + rng_below(rng, n - 1)) % n;
  const int turn = rng_below(rng, n);
  for (int c = 0; c < n; ++c) {
    edit.map[c] = (uint8_t)((c + turn) % n);
  }
  return edit;
}

/// The same tree with every contact c called to[c].
static void
rename_tree(const Tree* from, int n, const int to[], Tree* t)
{
  *t = *from;
  static const int at[3] = {0, 4, 7};
  for (int end = 0; end < 3; ++end) {
    for (int i = 0; i < t->e[at[end]].as.parts.n_branches; ++i) {
      ChainBranch* const b = &t->branches[end][i];
      b->a = to[b->a];
      b->b = b->b < 0 ? b->b : to[b->b];
    }
    t->e[at[end]].as.parts.branches = t->branches[end];
  }
  for (int i = 1; i < TREE; ++i) {
    const ChainElement* const old = &from->e[i];
    ChainElement* const e = &t->e[i];
    for (int b = 0; b < n; ++b) {
      if (e->kind == CHAIN_SECTION) {
        e->as.section.series_ohm[to[b]] = old->as.section.series_ohm[b];
        e->as.section.room_f[to[b]] = old->as.section.room_f[b];
      } else if (e->kind == CHAIN_ADAPTOR) {
        const int near = old->as.adaptor.map[b];
        e->as.adaptor.map[to[b]] = (int8_t)(near < 0 ? -1 : to[near]);
      }
      for (int a = 0; a < b; ++a) {
        const int was = port_pair(a, b);
        const int is = port_pair(to[a], to[b]);
        if (e->kind == CHAIN_SECTION) {
          e->as.section.pair_f[is] = old->as.section.pair_f[was];
        } else if (e->kind == CHAIN_ADAPTOR) {
          e->as.adaptor.join_ohm[is] = old->as.adaptor.join_ohm[was];
        }
      }
    }
  }
}

/// Calling the contacts otherwise everywhere gives the same volts under their new names; a straight
/// adaptor in the way changes no bit.
static void
renamed_and_straight(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 42);
  print_message("seed 42\n");
  for (int round = 0; round < check_count(700, 20000); ++round) {
    const int n = 2 + round % 7;
    Arena arena;
    arena_init(&arena, NULL);
    Tree tree, other;
    random_tree(&rng, n, &tree);
    int to[PORT_MAX];
    for (int c = 0; c < n; ++c) {
      to[c] = c;
    }
    for (int c = n - 1; c > 0; --c) {
      const int d = rng_below(&rng, c + 1);
      const int swap = to[c];
      to[c] = to[d];
      to[d] = swap;
    }
    rename_tree(&tree, n, to, &other);
    const ChainEdit edit = random_edit(&rng, n);
    ChainEdit renamed = edit;
    renamed.a = to[edit.a];
    renamed.b = to[edit.b];
    for (int c = 0; c < n; ++c) {
      renamed.map[to[c]] = (uint8_t)to[edit.map[c]];
    }
    const Chain* const chain = build(&arena, n, tree.e, TREE);
    const Chain* const again = build(&arena, n, other.e, TREE);
    // A straight adaptor between the source's cable and what follows, behind a new joint 7
    ChainElement longer[TREE + 1];
    memcpy(longer, tree.e, 2 * sizeof(*longer));
    memcpy(longer + 3, tree.e + 2, (TREE - 2) * sizeof(*longer));
    longer[1].far = 7;
    longer[2] = adaptor_element(7, 1, chain_adaptor_straight());
    const Chain* const straight = build(&arena, n, longer, TREE + 1);
    ChainEdit shifted = edit;
    shifted.element += edit.element > 1;
    for (int joint = 0; joint < 7; ++joint) {
      Port p, q, r;
      double v[PORT_MAX], w[PORT_MAX], x[PORT_MAX];
      chain_look(chain, joint, CHAIN_BOTH, &edit, 1, &p);
      chain_look(again, joint, CHAIN_BOTH, &renamed, 1, &q);
      chain_look(straight, joint, CHAIN_BOTH, &shifted, 1, &r);
      const uint32_t floats = port_solve(&p, v);
      port_solve(&q, w);
      assert_int_equal(port_solve(&r, x), floats);
      for (int c = 0; c < n; ++c) {
        if ((floats >> c & 1) == 0) {
          CHECK_NEAR("renamed, direct", w[to[c]], v[c], 1e-7);
        }
        assert_true(x[c] == v[c]);
      }
      PortAc ac, bc;
      PortNumber ac_v[PORT_MAX], bc_v[PORT_MAX];
      chain_look_ac(chain, joint, CHAIN_BOTH, &edit, 1, &ac);
      chain_look_ac(again, joint, CHAIN_BOTH, &renamed, 1, &bc);
      port_ac_solve(&ac, ac_v);
      port_ac_solve(&bc, bc_v);
      for (int c = 0; c < n; ++c) {
        for (int lane = 0; lane < PORT_LANES; ++lane) {
          CHECK_NEAR("renamed", bc_v[to[c]].re[lane], ac_v[c].re[lane], 1e-7);
          CHECK_NEAR("renamed", bc_v[to[c]].im[lane], ac_v[c].im[lane], 1e-7);
        }
      }
    }
    const int a = rng_below(&rng, n);
    const int b = (a + 1 + rng_below(&rng, n - 1)) % n;
    ChainHeard want[PORT_LANES], got[PORT_LANES];
    chain_transfer_between(chain, 4, a, b, &edit, 1, want);
    chain_transfer_between(again, 4, to[a], to[b], &renamed, 1, got);
    for (int lane = 0; lane < PORT_LANES; ++lane) {
      CHECK_NEAR("renamed, heard", got[lane].re_v, want[lane].re_v, 1e-7);
    }
    arena_deinit(&arena);
  }
}

static void
what_is_refused(void** state)
{
  (void)state;
  const Chain* const sentinel = (const Chain*)(const void*)&state;
  ChainBranch b[] = {branch(1, 0, 200.0, 1.0), branch(0, CHAIN_EARTH, 0.01, 0.0)};
  for (int row = 0; row < 14; ++row) {
    ChainBranch bad[2] = {b[0], b[1]};
    ChainElement e[] = {parts_element(-1, 0, bad, 2), cable_element(0, 1, 2, 1.0),
                        adaptor_element(1, 2, chain_adaptor_straight()),
                        parts_element(2, -1, b, 2)};
    Status want = STATUS_BAD_ARG;
    int n = 2;
    switch (row) {
      case 0:
        want = STATUS_OK;
        break;
      case 1:
        bad[0].a = 2;
        break;
      case 2:
        bad[0].b = 1;
        break; // To itself
      case 3:
        bad[0].b = -3;
        break;
      case 4:
        bad[0].ohm = -1.0;
        break;
      case 5:
        bad[0].series_f = 0.0;
        break; // Nothing said is not "no capacitor"
      case 6:
        bad[0].emf_v = NAN;
        break;
      case 7:
        bad[0].battery_v = INFINITY;
        break;
      case 8:
        e[2].as.adaptor.map[1] = 0;
        break; // Two far contacts on one near one
      case 9:
        e[2].as.adaptor.map[1] = 2;
        break;
      case 10:
        e[2].as.adaptor.join_ohm[0] = -1.0;
        break;
      case 11: // Two contacts have no legs 2 and 3
        e[3].kind = CHAIN_LEAF;
        e[3].as.leaf = chain_leaf_nothing();
        break;
      case 12:
        e[2].kind = CHAIN_TRANSFORMER;
        e[2].as.transformer = (ChainTransformer){60, 60, 5, 1, INFINITY, INFINITY, 0, 1e10};
        break;
      default:
        n = 1;
        break;
    }
    Arena arena;
    arena_init(&arena, NULL);
    const Chain* chain = sentinel;
    assert_int_equal(chain_build(&arena, n, e, 4, NULL, &chain), want);
    assert_true((chain == sentinel) == (want != STATUS_OK));
    arena_deinit(&arena);
  }
  const ChainElement e[] = {parts_element(-1, 0, b, 2), cable_element(0, 1, 2, 1.0),
                            parts_element(1, -1, b, 2)};
  for (int fail_at = 1;; ++fail_at) {
    FailingHeap heap = {.fail_at = fail_at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &from);
    const Chain* chain = sentinel;
    const Status status = chain_build(&arena, 2, e, 3, NULL, &chain);
    const bool all = heap.n_requests < fail_at;
    assert_int_equal(status, all ? STATUS_OK : STATUS_NO_MEMORY);
    assert_true(all || chain == sentinel);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    if (all) {
      assert_true(fail_at > 1);
      break;
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(jack_line_by_hand),          cmocka_unit_test(loudspeakers_by_hand),
    cmocka_unit_test(eight_poles_and_an_adaptor), cmocka_unit_test(more_sources_than_one),
    cmocka_unit_test(batteries_and_capacitors),   cmocka_unit_test(parts_spell_a_leaf),
    cmocka_unit_test(renamed_and_straight),       cmocka_unit_test(what_is_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
