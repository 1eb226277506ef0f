// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Published values of loudspeaker lines, held by the circuit room and by circuit/conductor. Beside
  each: source and how it is known. S = seen in public text, M = from memory (verify the clause
  before calling it normative), C = computed from the stated formula. "Trap": a common and wrong
  belief.
*/

#include "circuit/chain.h"
#include "circuit/conductor.h"
#include "support/check.h"

/// A line of two conductors: what a 1 V amplifier sees and what its load gets.
typedef struct {
  double load_v;
  double load_w; ///< At 1 V
  double loop_ohm;
  double seen_ohm; ///< By the amplifier
} Loaded;

/// Loads in parallel at the end of a cable of `ohm` a conductor; the amplifier has no resistance.
static Loaded
loaded(double ohm, const double loads[], int n_loads)
{
  Arena arena;
  arena_init(&arena, NULL);
  ChainBranch amplifier[] = {{0, 1, 0.0, INFINITY, 1.0, 0.0, false},
                             {1, CHAIN_EARTH, 1.0, INFINITY, 0.0, 0.0, false}};
  ChainBranch boxes[4];
  double siemens = 0.0;
  for (int i = 0; i < n_loads; ++i) {
    boxes[i] = (ChainBranch){0, 1, loads[i], INFINITY, 0.0, 0.0, false};
    siemens += 1.0 / loads[i];
  }
  const ChainElement e[] = {
    {.kind = CHAIN_PARTS, .near = -1, .far = 0, .as.parts = {amplifier, 2}},
    {.kind = CHAIN_SECTION, .near = 0, .far = 1, .as.section = {.n = 2, .series_ohm = {ohm, ohm}}},
    {.kind = CHAIN_PARTS, .near = 1, .far = -1, .as.parts = {boxes, n_loads}}};
  const Chain* chain = NULL;
  ChainHeard heard[PORT_LANES];
  assert_int_equal(chain_build(&arena, 2, e, 3, NULL, &chain), STATUS_OK);
  chain_transfer_between(chain, 2, 0, 1, NULL, 0, heard);
  const double v = heard[1].re_v;
  arena_deinit(&arena);
  return (Loaded){v, v * v * siemens, 2.0 * ohm, 1.0 / (v * siemens)};
}

// Loss 20 log10(Z/(Z+Rloop)), Rloop = 2 L r, r the class 5 maximum of IEC 60228 (S). Share of the
// power and damping factor (rated load over loop, IEC 60268-3 M) C.
static void
cable_losses(void** state)
{
  (void)state;
  static const struct {
    double mm2, m, load_ohm, loop_ohm, db, power_percent, damping;
  } rows[] = {{1.5, 10, 8, 0.266, -0.28, 93.7, 30.1}, {2.5, 10, 8, 0.160, -0.17, 96.1, 50.1},
              {2.5, 50, 8, 0.798, -0.83, 82.7, 10.0}, {2.5, 50, 4, 0.798, -1.58, 69.5, 5.0},
              {4, 50, 8, 0.495, -0.52, 88.7, 16.2},   {4, 100, 8, 0.990, -1.01, 79.2, 8.1}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Conductor c;
    assert_int_equal(conductor_of_mm2(rows[i].mm2, &c), STATUS_OK);
    const Loaded l = loaded(c.max_ohm_per_m * rows[i].m, &rows[i].load_ohm, 1);
    CHECK_NEAR("loop", l.loop_ohm, rows[i].loop_ohm, 6e-4);
    CHECK_NEAR("loss", 20.0 * log10(l.load_v), rows[i].db, 6e-3);
    CHECK_NEAR("power", 100.0 * l.load_w * rows[i].load_ohm, rows[i].power_percent, 0.06);
    CHECK_NEAR("damping", rows[i].load_ohm / l.loop_ohm, rows[i].damping, 0.06);
  }
}

// Loops that cost 0.5, 1 and 3 dB. C.
static void
loop_limits(void** state)
{
  (void)state;
  static const double rows[][3] = {
    {0.474, 8, -0.5}, {0.237, 4, -0.5}, {0.976, 8, -1}, {3.30, 8, -3}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const Loaded l = loaded(0.5 * rows[i][0], &rows[i][1], 1);
    CHECK_NEAR("limit", 20.0 * log10(l.load_v), rows[i][2], 2e-3);
  }
}

// 8||8 4, 8||8||8 2.667, 8||4 2.667, two by two of 8 in series-parallel 8. The least impedance may
// be 80 % of the rated (IEC 60268-5:2003 16.1, S): 8 -> 6.4, two 3.2, three 2.13. C.
static void
parallel_boxes(void** state)
{
  (void)state;
  static const struct {
    double loads[3];
    int n;
    double want_ohm;
  } rows[] = {{{8, 8}, 2, 4.0},      {{8, 8, 8}, 3, 2.667},        {{8, 4}, 2, 2.667},
              {{16, 16}, 2, 8.0},    {{0.8 * 8}, 1, 6.4},          {{0.8 * 4}, 1, 3.2},
              {{0.8 * 16}, 1, 12.8}, {{0.8 * 8, 0.8 * 8}, 2, 3.2}, {{6.4, 6.4, 6.4}, 3, 2.13}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const Loaded l = loaded(0.0, rows[i].loads, rows[i].n);
    CHECK_NEAR("seen", l.seen_ohm, rows[i].want_ohm, 4e-3);
  }
}

// forums.audioholics.com thread 107897 (S): 24.5 V, 8 ohm, 160 ft of AWG 10, 0.00204 ohm/ft of
// loop: 72 W in all, 3 in the cable, 69 in the load; recomputed 72.09 / 2.83 / 69.26 W, -0.347 dB
// (C). Trap: "power in the cable" is not "power lost by the load": the load sees fewer volts
// besides. With 50 m of 2.5 mm2 on 8 ohm the cable takes 9.1 % of what is drawn, the load
// loses 17.3 %.
static void
power_in_the_cable(void** state)
{
  (void)state;
  const double eight[] = {8.0};
  const Loaded l = loaded(0.5 * 160 * 0.00204, eight, 1);
  const double square = 24.5 * 24.5;
  const double all_w = square * l.load_v * l.load_v / 8.0 * (8.0 + l.loop_ohm) / 8.0;
  CHECK_NEAR("loop", l.loop_ohm, 0.3264, 1e-9);
  CHECK_NEAR("in all", all_w, 72.09, 6e-3);
  CHECK_NEAR("in the load", square * l.load_w, 69.26, 6e-3);
  CHECK_NEAR("in the cable", all_w - square * l.load_w, 2.83, 6e-3);
  CHECK_NEAR("loss", 20.0 * log10(l.load_v), -0.347, 6e-4);
  const Loaded trap = loaded(0.399, eight, 1);
  const double drawn_w = trap.load_v / 8.0; // 1 V times the current
  CHECK_NEAR("in the cable", 100.0 * (drawn_w - trap.load_w) / drawn_w, 9.1, 0.06);
  CHECK_NEAR("lost by the load", 100.0 * (1.0 - 8.0 * trap.load_w), 17.3, 0.06);
}

// A public table for 100 ft (S): AWG 16 0.86 / 1.65 dB at 8 / 4 ohm, AWG 18 1.33 / 2.49; with ASTM
// B258 values 0.83 / 1.59 and 1.29 / 2.41 (C): its resistances are some 4 % high.
static void
gauge_losses(void** state)
{
  (void)state;
  static const struct {
    int gauge;
    double load_ohm, computed_db, table_db;
  } rows[] = {
    {16, 8, -0.83, -0.86}, {16, 4, -1.59, -1.65}, {18, 8, -1.29, -1.33}, {18, 4, -2.41, -2.49}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Conductor c;
    assert_int_equal(conductor_of_awg(rows[i].gauge, &c), STATUS_OK);
    const double db = 20.0 * log10(loaded(c.pure_ohm_per_m * 30.48, &rows[i].load_ohm, 1).load_v);
    CHECK_NEAR("100 ft", db, rows[i].computed_db, 6e-3);
    assert_true(db > rows[i].table_db && db < 0.95 * rows[i].table_db);
  }
}

// Pairs exchanged on a bi-amplified 4-pole cable put the low band into the other driver; the two
// poles of a pair exchanged turn its polarity. C.
static void
poles_exchanged(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  ChainBranch low_only[] = {{0, 1, 0.05, INFINITY, 1.0, 0.0, false},
                            {1, CHAIN_EARTH, 0.01, INFINITY, 0.0, 0.0, false},
                            {2, 3, 0.05, INFINITY, 0.0, 0.0, false},
                            {3, CHAIN_EARTH, 0.01, INFINITY, 0.0, 0.0, false}};
  ChainBranch drivers[] = {{0, 1, 8.0, INFINITY, 0.0, 0.0, false},
                           {2, 3, 8.0, INFINITY, 0.0, 0.0, false}};
  const ChainElement e[] = {{.kind = CHAIN_PARTS, .near = -1, .far = 0, .as.parts = {low_only, 4}},
                            {.kind = CHAIN_SECTION,
                             .near = 0,
                             .far = 1,
                             .as.section = {.n = 4, .series_ohm = {0.2, 0.2, 0.2, 0.2}}},
                            {.kind = CHAIN_PARTS, .near = 1, .far = -1, .as.parts = {drivers, 2}}};
  static const struct {
    uint8_t map[4];
    double low, high; ///< What each driver gets of the low band, sign included
  } rows[] = {{{0, 1, 2, 3}, 0.946, 0.0}, {{2, 3, 0, 1}, 0.0, 0.946}, {{1, 0, 2, 3}, -0.946, 0.0}};
  const Chain* chain = NULL;
  assert_int_equal(chain_build(&arena, 4, e, 3, NULL, &chain), STATUS_OK);
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    ChainEdit edit = {.element = 1, .end = CHAIN_FAR, .change = CHAIN_PERMUTE};
    for (int k = 0; k < 4; ++k) {
      edit.map[k] = rows[i].map[k];
    }
    for (int driver = 0; driver < 2; ++driver) {
      ChainHeard heard[PORT_LANES];
      chain_transfer_between(chain, 2, 2 * driver, 2 * driver + 1, &edit, 1, heard);
      CHECK_NEAR("driver", heard[1].re_v, driver ? rows[i].high : rows[i].low, 1e-3);
    }
  }
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(cable_losses),   cmocka_unit_test(loop_limits),
    cmocka_unit_test(parallel_boxes), cmocka_unit_test(power_in_the_cable),
    cmocka_unit_test(gauge_losses),   cmocka_unit_test(poles_exchanged),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
