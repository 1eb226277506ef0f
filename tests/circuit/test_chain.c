// SPDX-License-Identifier: GPL-3.0-or-later
#include "circuit/chain.h"

#include "base/rng.h"
#include "circuit/curve.h"
#include "circuit/lamp.h"
#include "support/check.h"

#include <string.h>

static ChainLeaf
phantom_desk(void)
{
  ChainLeaf desk = chain_leaf_nothing();
  desk.feed_v = 48.0;
  desk.feed_ohm[0] = desk.feed_ohm[1] = 6800.0;
  desk.input_ohm = 2000.0;
  desk.input_blocked = true;
  desk.leg_earth_f[0] = desk.leg_earth_f[1] = 100e-12;
  desk.earth_ohm = 0.01;
  return desk;
}

static ChainLeaf
moving_coil(void)
{
  ChainLeaf mic = chain_leaf_nothing();
  mic.drive = CHAIN_DRIVE_FLOATING;
  mic.emf_v = 1.0;
  mic.source_ohm = 200.0;
  mic.leg_f = 20e-12;
  mic.room_f = 50e-12;
  return mic;
}

static Section
cable(double m)
{
  return (Section){.n = 3,
                   .series_ohm = {0.03 * m, 0.08 * m, 0.08 * m},
                   .pair_f = {100e-12 * m, 100e-12 * m, 60e-12 * m},
                   .room_f = {10e-12 * m}};
}

static ChainTransformer
isolated_side(void)
{
  return (ChainTransformer){.primary_ohm = 60.0,
                            .secondary_ohm = 60.0,
                            .primary_h = 5.0,
                            .ratio = 1.0,
                            .block_f = INFINITY,
                            .lift_ohm = INFINITY,
                            .winding_f = 100e-12,
                            .insulation_ohm = 1e10};
}

/*
    0 mic -o- 1: 10 m -o- 2: 60 m -o-+- 3: 20 m ----------------o- 4 house
           0           1           2 +- 5: transformer -o- 6 ---o- 7 monitors
                                     +- 8: transformer -o- 9 ---o- 10 broadcast
                                                       4,5     6,7
*/
enum { SPLIT_ELEMENTS = 11 };

static void
split_line(ChainElement e[SPLIT_ELEMENTS])
{
  memset(e, 0, SPLIT_ELEMENTS * sizeof(ChainElement));
  e[0] = (ChainElement){.kind = CHAIN_LEAF, .near = -1, .far = 0, .as.leaf = moving_coil()};
  e[1] = (ChainElement){.kind = CHAIN_SECTION, .near = 0, .far = 1, .as.section = cable(10)};
  e[2] = (ChainElement){.kind = CHAIN_SECTION, .near = 1, .far = 2, .as.section = cable(60)};
  e[3] = (ChainElement){.kind = CHAIN_SECTION, .near = 2, .far = 3, .as.section = cable(20)};
  e[4] = (ChainElement){.kind = CHAIN_LEAF, .near = 3, .far = -1, .as.leaf = phantom_desk()};
  for (int side = 0; side < 2; ++side) {
    const int i = 5 + 3 * side;
    e[i] = (ChainElement){
      .kind = CHAIN_TRANSFORMER, .near = 2, .far = 4 + 2 * side, .as.transformer = isolated_side()};
    e[i + 1] = (ChainElement){
      .kind = CHAIN_SECTION, .near = 4 + 2 * side, .far = 5 + 2 * side, .as.section = cable(75)};
    e[i + 2] = (ChainElement){
      .kind = CHAIN_LEAF, .near = 5 + 2 * side, .far = -1, .as.leaf = phantom_desk()};
    e[i + 2].as.leaf.feed_ohm[0] = e[i + 2].as.leaf.feed_ohm[1] = INFINITY;
  }
}

static const Chain*
build(Arena* arena, int n_contacts, const ChainElement* elements, int n_elements)
{
  const Chain* chain = NULL;
  assert_int_equal(chain_build(arena, n_contacts, elements, n_elements, NULL, &chain), STATUS_OK);
  return chain;
}

static void
phantom_line_by_hand(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  ChainElement e[] = {
    {.kind = CHAIN_LEAF, .near = -1, .far = 0, .as.leaf = chain_leaf_nothing()},
    {.kind = CHAIN_SECTION, .near = 0, .far = 1, .as.section = cable(100)},
    {.kind = CHAIN_LEAF, .near = 1, .far = -1, .as.leaf = phantom_desk()},
  };
  ChainLeaf* const mic = &e[0].as.leaf;
  mic->drive = CHAIN_DRIVE_BOTH;
  mic->source_ohm = 50.0;
  mic->supply_ohm = 10000.0;
  const Chain* const chain = build(&arena, 3, e, 3);
  double v[3];
  assert_int_equal(chain_leaf_volts(chain, 0, NULL, 0, v), 0);
  // 48 V through 6800 + 8 + 10000 a leg; both come back through 3.01 ohm
  const double leg_a = 48.0 / (6800.0 + 8.0 + 10000.0 + 2.0 * 3.01);
  CHECK_NEAR("supply inside the source", v[1] - v[0], 10000.0 * leg_a, 1e-9);
  CHECK_NEAR("rise of contact 1", v[0], 2.0 * leg_a * 3.01, 1e-12);
  // Two supply resistors of 2.2 k that meet at 7.5 k: 4.5 k a leg of each half
  ChainLeaf fed = *mic;
  fed.supply_ohm = 2200.0;
  fed.load_ohm = 7500.0;
  const ChainEdit condenser = {0, CHAIN_FAR, CHAIN_REPLACE, 0, 0, 0.0, {0}, &fed, NULL};
  assert_int_equal(chain_leaf_volts(chain, 0, &condenser, 1, v), 0);
  const double fed_a = 48.0 / (6800.0 + 8.0 + 2200.0 + 2.0 * (7500.0 + 3.01));
  CHECK_NEAR("leg of what is fed", v[1] - v[0], (2200.0 + 2.0 * 7500.0) * fed_a, 1e-9);
  CHECK_NEAR("both legs alike", v[2], v[1], 1e-9);
  const ChainEdit open1 = {1, CHAIN_FAR, CHAIN_SERIES, 0, 0, INFINITY, {0}, NULL, NULL};
  assert_int_equal(chain_leaf_volts(chain, 0, &open1, 1, v), 0);
  CHECK_NEAR("no return, no supply", v[1] - v[0], 0.0, 1e-9);
  ChainLeaf dead = *mic;
  dead.supply_ohm = INFINITY;
  const ChainEdit replaced = {0, CHAIN_FAR, CHAIN_REPLACE, 0, 0, 0.0, {0}, &dead, NULL};
  assert_int_equal(chain_leaf_volts(chain, 0, &replaced, 1, v), 0);
  CHECK_NEAR("nothing draws", v[1] - v[0], 48.0, 1e-9);
  // The same edit seen at the joint outside, unplugged: to the desk nothing changed
  Port port;
  double w[3];
  chain_look(chain, 0, CHAIN_TO_DESK, &replaced, 1, &port);
  port_solve(&port, w);
  CHECK_NEAR("towards the desk", w[1] - w[0], 48.0, 1e-9);
  chain_look(chain, 0, CHAIN_TO_SOURCE, &replaced, 1, &port);
  assert_int_equal(port_solve(&port, w), 7);
  arena_deinit(&arena);
}

static ChainEdit
random_edit(Rng* rng, const ChainElement* e, int n_elements, const ChainLeaf* other)
{
  ChainEdit edit = {.element = rng_below(rng, n_elements), .ohm = rng_log(rng, 0.1, 1e6)};
  const ChainElement* const at = &e[edit.element];
  edit.end = at->near < 0 ? CHAIN_FAR : at->far < 0 ? CHAIN_NEAR : (ChainEnd)rng_below(rng, 2);
  edit.change = (ChainChange)rng_below(rng, at->kind == CHAIN_LEAF ? 5 : 4);
  edit.a = rng_below(rng, 3);
  edit.b = (edit.a + 1 + rng_below(rng, 2)) % 3;
  if (edit.change == CHAIN_SERIES && rng_below(rng, 2) > 0) {
    edit.ohm = INFINITY;
  }
  const int turn = rng_below(rng, 3);
  for (int i = 0; i < 3; ++i) {
    edit.map[i] = (uint8_t)((i + turn) % 3);
  }
  edit.leaf = other;
  return edit;
}

/// The same line with faults written as elements of their own and nothing kept: what a look must
/// give whatever was kept.
static void
edits_equal_a_line_rebuilt(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 31);
  for (int round = 0; round < 300; ++round) {
    Arena arena;
    arena_init(&arena, NULL);
    ChainElement e[SPLIT_ELEMENTS];
    split_line(e);
    const Chain* const chain = build(&arena, 3, e, SPLIT_ELEMENTS);
    // One edit of those a section can hold, in a section: fold it into a section before or after
    const int at = (const int[]){1, 2, 3, 6, 9}[rng_below(&rng, 5)];
    const int contact = rng_below(&rng, 3);
    const ChainEdit edit = {.element = at,
                            .end = (ChainEnd)rng_below(&rng, 2),
                            .change = (ChainChange)rng_below(&rng, 3),
                            .a = contact,
                            .b = (contact + 1) % 3,
                            .ohm = rng_log(&rng, 1.0, 1e6)};
    Section fault = {.n = 3};
    if (edit.change == CHAIN_SERIES) {
      fault.series_ohm[edit.a] = edit.ohm;
    } else if (edit.change == CHAIN_SHUNT) {
      fault.pair_siemens[port_pair(edit.a, edit.b)] = 1.0 / edit.ohm;
    } else {
      fault.earth_siemens[edit.a] = 1.0 / edit.ohm;
    }
    // Rebuilt: the joint numbers of the split line plus one new joint, 8, inside the section
    ChainElement r[SPLIT_ELEMENTS + 1];
    int n = 0;
    for (int i = 0; i < SPLIT_ELEMENTS; ++i) {
      r[n++] = e[i];
      if (i == at) {
        r[n] = r[n - 1];
        r[n - 1].far = 8;
        r[n].near = 8;
        r[edit.end == CHAIN_NEAR ? n - 1 : n].as.section = fault;
        ++n;
      }
    }
    const Chain* const rebuilt = build(&arena, 3, r, n);
    for (int joint = 0; joint < chain_joints(chain); ++joint) {
      for (int side = CHAIN_TO_SOURCE; side <= CHAIN_BOTH; ++side) {
        Port a, b;
        chain_look(chain, joint, (ChainSide)side, &edit, 1, &a);
        chain_look(rebuilt, joint, (ChainSide)side, NULL, 0, &b);
        for (int i = 0; i < 3; ++i) {
          CHECK_NEAR("g", a.g[i], b.g[i], 1e-12 * (fabs(b.g[i]) + 1e-9));
          CHECK_NEAR("t", a.t[i], b.t[i], 1e-12 * (fabs(b.t[i]) + 1e-9));
          CHECK_NEAR("e", a.e[i], b.e[i], 1e-12 * (fabs(b.e[i]) + 1e-9));
          CHECK_NEAR("j", a.j[i], b.j[i], 1e-12 * (fabs(b.j[i]) + 1e-9));
        }
      }
    }
    const int leaf = (const int[]){4, 7, 10}[rng_below(&rng, 3)];
    ChainHeard heard[PORT_LANES], again[PORT_LANES];
    chain_transfer(chain, leaf, &edit, 1, heard);
    chain_transfer(rebuilt, leaf + (at < leaf), NULL, 0, again);
    for (int lane = 0; lane < PORT_LANES; ++lane) {
      CHECK_NEAR("heard", heard[lane].re_v, again[lane].re_v, 1e-9);
      CHECK_NEAR("heard", heard[lane].im_v, again[lane].im_v, 1e-9);
    }
    arena_deinit(&arena);
  }
}

/// Looking from any joint at both sides, a solved line has the same volts at its leaves: the volts
/// of a joint next to a leaf are those inside the leaf, when no fault lies between.
static void
every_joint_sees_the_same_line(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 32);
  Arena arena;
  arena_init(&arena, NULL);
  ChainElement e[SPLIT_ELEMENTS];
  split_line(e);
  const Chain* const chain = build(&arena, 3, e, SPLIT_ELEMENTS);
  ChainLeaf other = chain_leaf_nothing();
  other.sender_v[0] = 12.0;
  other.sender_v[1] = 6.0;
  other.sender_ohm[0] = 110.0;
  other.sender_ohm[1] = 110.0;
  other.earth_ohm = 1e5;
  for (int round = 0; round < 1000; ++round) {
    ChainEdit edits[3];
    const int n_edits = rng_below(&rng, 4);
    for (int i = 0; i < n_edits; ++i) {
      edits[i] = random_edit(&rng, e, SPLIT_ELEMENTS, &other);
    }
    static const struct {
      int joint, leaf;
    } pairs[] = {{0, 0}, {3, 4}, {5, 7}, {7, 10}};
    for (size_t k = 0; k < sizeof(pairs) / sizeof(pairs[0]); ++k) {
      bool between = false;
      for (int i = 0; i < n_edits; ++i) {
        between |= edits[i].element == pairs[k].leaf && edits[i].change != CHAIN_REPLACE;
      }
      if (between) {
        continue;
      }
      Port port;
      double at_joint[3], inside[3];
      chain_look(chain, pairs[k].joint, CHAIN_BOTH, edits, n_edits, &port);
      const uint32_t floats = port_solve(&port, at_joint);
      assert_int_equal(chain_leaf_volts(chain, pairs[k].leaf, edits, n_edits, inside), floats);
      for (int i = 0; i < 3; ++i) {
        if (floats == 0) {
          CHECK_NEAR("inside = outside", inside[i], at_joint[i], 1e-7);
        }
      }
      PortAc ac;
      PortNumber ac_v[3];
      ChainHeard heard[PORT_LANES];
      chain_look_ac(chain, pairs[k].joint, CHAIN_BOTH, edits, n_edits, &ac);
      port_ac_solve(&ac, ac_v);
      chain_transfer(chain, pairs[k].leaf, edits, n_edits, heard);
      for (int lane = 0; lane < PORT_LANES; ++lane) {
        CHECK_NEAR("signal", heard[lane].re_v, ac_v[1].re[lane] - ac_v[2].re[lane], 1e-9);
        CHECK_NEAR("signal", heard[lane].im_v, ac_v[1].im[lane] - ac_v[2].im[lane], 1e-9);
      }
    }
  }
  arena_deinit(&arena);
}

/// Exchanging legs 2 and 3 of everything exchanges what is seen; contacts beyond 3 that nothing
/// hangs on change nothing; two crossings in one place are none.
static void
exchange_laws(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 33);
  Arena arena;
  arena_init(&arena, NULL);
  ChainElement e[SPLIT_ELEMENTS];
  split_line(e);
  const Chain* const chain = build(&arena, 3, e, SPLIT_ELEMENTS);
  for (int i = 0; i < SPLIT_ELEMENTS; ++i) {
    if (e[i].kind == CHAIN_SECTION) {
      Section* const s = &e[i].as.section;
      const Section old = *s;
      s->n = 5;
      memset(s->pair_f, 0, sizeof(s->pair_f));
      for (int b = 1; b < 3; ++b) {
        for (int a = 0; a < b; ++a) {
          s->pair_f[port_pair(a, b)] = old.pair_f[port_pair(a, b)];
        }
      }
    }
  }
  const Chain* const wide = build(&arena, 5, e, SPLIT_ELEMENTS);
  for (int round = 0; round < 500; ++round) {
    ChainEdit edit[3];
    edit[0] = random_edit(&rng, e, SPLIT_ELEMENTS, &e[7].as.leaf);
    edit[0].map[3] = 3;
    edit[0].map[4] = 4;
    edit[1] = edit[2] = (ChainEdit){.element = 2, .change = CHAIN_PERMUTE, .map = {0, 2, 1, 3, 4}};
    ChainEdit swapped = edit[0];
    const int swap[] = {0, 2, 1};
    swapped.a = swap[edit[0].a];
    swapped.b = swap[edit[0].b];
    for (int i = 0; i < 3; ++i) {
      swapped.map[swap[i]] = (uint8_t)swap[edit[0].map[i]];
    }
    const int leaf = (const int[]){4, 7, 10}[rng_below(&rng, 3)];
    ChainHeard a[PORT_LANES], b[PORT_LANES], c[PORT_LANES], d[PORT_LANES];
    chain_transfer(chain, leaf, edit, 1, a);
    chain_transfer(chain, leaf, &swapped, 1, b);
    chain_transfer(wide, leaf, edit, 1, c);
    chain_transfer(chain, leaf, edit, 3, d);
    for (int lane = 0; lane < 3; ++lane) { // The last lane's drive, the room, is not exchanged
      CHECK_NEAR("legs exchanged", b[lane].re_v, a[lane].re_v, 1e-9);
      CHECK_NEAR("five contacts", c[lane].re_v, a[lane].re_v, 1e-9);
      CHECK_NEAR("crossed twice", d[lane].re_v, a[lane].re_v, 1e-9);
    }
    Port p, q;
    double v[5], w[5];
    chain_look(chain, 5, CHAIN_BOTH, edit, 1, &p);
    chain_look(wide, 5, CHAIN_BOTH, edit, 1, &q);
    if (port_solve(&p, v) == 0) {
      port_solve(&q, w);
      for (int i = 0; i < 3; ++i) {
        CHECK_NEAR("five contacts", w[i], v[i], 1e-7);
      }
    }
  }
  arena_deinit(&arena);
}

static void
transformer_carries_volts_and_ohms(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  ChainElement e[] = {
    {.kind = CHAIN_LEAF, .near = -1, .far = 0, .as.leaf = moving_coil()},
    {.kind = CHAIN_TRANSFORMER, .near = 0, .far = 1, .as.transformer = isolated_side()},
    {.kind = CHAIN_LEAF, .near = 1, .far = -1, .as.leaf = chain_leaf_nothing()},
  };
  e[0].as.leaf.leg_f = 0.0;
  e[1].as.transformer.ratio = 2.0;
  e[1].as.transformer.winding_f = 0.0;
  e[2].as.leaf.earth_ohm = 0.01;
  e[2].as.leaf.input_ohm = 500.0;
  const Chain* const chain = build(&arena, 3, e, 3);
  ChainHeard heard[PORT_LANES];
  chain_transfer(chain, 2, NULL, 0, heard);
  // 500 + 60 ohm look like 2240 at the primary, beside 5 H; 1 V through 200 + 60
  for (int lane = 0; lane < 3; ++lane) {
    const double x = 2.0 * 3.14159265358979 * (const double[]){100.0, 1000.0, 10000.0}[lane] * 5.0;
    // Volts across the core = Z / (Z + 260), Z = j x 2240 / (2240 + j x)
    const double den_re = 260.0 * 2240.0;
    const double den_im = x * (2240.0 + 260.0);
    const double core = x * 2240.0 / sqrt(den_re * den_re + den_im * den_im);
    const double size =
      sqrt(heard[lane].re_v * heard[lane].re_v + heard[lane].im_v * heard[lane].im_v);
    CHECK_NEAR("half the volts", size, 0.5 * core * 500.0 / 560.0, 1e-8);
    CHECK_NEAR("in decibels", heard[lane].db, 20.0 * log10(size), 1e-9);
    assert_false(heard[lane].inverted);
  }
  Port port;
  double v[3];
  chain_look(chain, 0, CHAIN_TO_DESK, NULL, 0, &port);
  port_source(&port, 1, 2, 1.0, 60.0);
  port_solve(&port, v);
  CHECK_NEAR("the primary is 60 ohm to direct current", v[1] - v[2], 0.5, 1e-7);
  arena_deinit(&arena);
}

static void
bad_trees_and_no_memory(void** state)
{
  (void)state;
  ChainElement e[SPLIT_ELEMENTS];
  const Chain* const sentinel = (const Chain*)(const void*)e;
  for (int row = 0; row < 12; ++row) {
    split_line(e);
    switch (row) {
      case 0:
        e[0].near = 0;
        break;
      case 1:
        e[0].kind = CHAIN_SECTION;
        break;
      case 2:
        e[2].near = 2;
        break; // Begins at its own end
      case 3:
        e[2].far = 1;
        break; // A joint with two ends: a loop
      case 4:
        e[4].near = 9;
        break;
      case 5:
        e[4].far = 8;
        break;
      case 6:
        e[1].as.section.n = 4;
        break;
      case 7:
        e[1].as.section.series_ohm[1] = -1.0;
        break;
      case 8:
        e[1].as.section.pair_f[0] = NAN;
        break;
      case 9:
        e[5].as.transformer.primary_h = 0.0;
        break;
      case 10:
        e[5].as.transformer.ratio = NAN;
        break;
      default:
        e[4].as.leaf.feed_ohm[1] = -5.0;
        break;
    }
    Arena arena;
    arena_init(&arena, NULL);
    const Chain* chain = sentinel;
    assert_int_equal(chain_build(&arena, 3, e, SPLIT_ELEMENTS, NULL, &chain), STATUS_BAD_ARG);
    assert_ptr_equal(chain, sentinel);
    arena_deinit(&arena);
  }
  split_line(e);
  for (int fail_at = 1;; ++fail_at) {
    FailingHeap heap = {.fail_at = fail_at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &from);
    const Chain* chain = sentinel;
    const Status status = chain_build(&arena, 3, e, SPLIT_ELEMENTS, NULL, &chain);
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
    cmocka_unit_test(phantom_line_by_hand),
    cmocka_unit_test(edits_equal_a_line_rebuilt),
    cmocka_unit_test(every_joint_sees_the_same_line),
    cmocka_unit_test(exchange_laws),
    cmocka_unit_test(transformer_carries_volts_and_ohms),
    cmocka_unit_test(bad_trees_and_no_memory),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
