// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Published values of loudspeaker circuits, held by the speaker room. Beside each: source and how it
  is known. S = seen in public text, M = from memory (verify the clause before calling it
  normative), C = computed from the stated formula, common practice = no source. "Trap": a common
  and wrong belief. tests/published/test_loudspeaker_values.c holds the circuit room to the same
  figures.
*/

#include "circuit/conductor.h"
#include "speaker/cable.h"
#include "speaker/limit.h"
#include "speaker/parts.h"
#include "speaker/twin.h"
#include "support/check.h"

// IEC 60228 classes 5 and 6, largest ohms at 20 C per km, plain and tinned. S: two public copies.
static void
sections(void** state)
{
  (void)state;
  static const double rows[][4] = {
    // mm2, plain, tinned, plain / ideal 1000/(58 A) (C)
    {0.5, 39.0, 40.1, 1.131}, {0.75, 26.0, 26.7, 1.131}, {1, 19.5, 20.0, 1.131},
    {1.5, 13.3, 13.7, 1.157}, {2.5, 7.98, 8.21, 1.157},  {4, 4.95, 5.09, 1.148},
    {6, 3.30, 3.39, 1.148},   {10, 1.91, 1.95, 1.108},   {16, 1.21, 1.24, 1.123}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Conductor c;
    assert_int_equal(conductor_of_mm2(rows[i][0], &c), STATUS_OK);
    CHECK_NEAR("plain", conductor_iec60228_ohm_per_km(rows[i][0], false), rows[i][1], 1e-12);
    CHECK_NEAR("tinned", conductor_iec60228_ohm_per_km(rows[i][0], true), rows[i][2], 1e-12);
    CHECK_NEAR("largest", 1000.0 * c.max_ohm_per_m, rows[i][1], 1e-9);
    // Trap: these are maxima, 11 to 16 % above pure copper
    CHECK_NEAR("ratio", c.max_ohm_per_m / c.pure_ohm_per_m, rows[i][3], 1e-3);
  }
}

// ASTM B258: d = 0.127 mm x 92^((36 - n) / 39). Resistances C with 1/58, within 0.2 % of a public
// table (S).
static void
gauges(void** state)
{
  (void)state;
  static const double rows[][4] = {
    // AWG, mm, mm2, ohm/km
    {10, 2.588, 5.261, 3.277}, {11, 2.305, 4.172, 4.132}, {12, 2.053, 3.309, 5.211},
    {13, 1.828, 2.624, 6.571}, {14, 1.628, 2.081, 8.286}, {15, 1.450, 1.650, 10.45},
    {16, 1.291, 1.309, 13.17}, {17, 1.150, 1.038, 16.61}, {18, 1.024, 0.823, 20.95},
    {19, 0.912, 0.653, 26.41}, {20, 0.812, 0.518, 33.31}, {21, 0.723, 0.410, 42.00},
    {22, 0.644, 0.326, 52.96}, {23, 0.573, 0.258, 66.79}, {24, 0.511, 0.205, 84.22},
    {25, 0.455, 0.162, 106.2}, {26, 0.405, 0.129, 133.9}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const int gauge = (int)rows[i][0];
    Conductor c;
    assert_int_equal(conductor_of_awg(gauge, &c), STATUS_OK);
    CHECK_NEAR("diameter", conductor_awg_mm(gauge), rows[i][1], 6e-4);
    CHECK_NEAR("section", c.mm2, rows[i][2], 6e-4);
    CHECK_NEAR("per km", 1000.0 * c.pure_ohm_per_m, rows[i][3], 5e-4 * rows[i][3]);
  }
  CHECK_NEAR("step", conductor_awg_mm(10) / conductor_awg_mm(11), 1.1229322, 1e-7);
}

// Two temperature coefficients, by name. IEC 60028: 0.00393 /K (M), as (234.5 + t) / 254.5 (IEC
// 60228 annex, M). The correction table of IEC 60228: 0.004 /K (S). Trap: they are not the same.
static void
temperature(void** state)
{
  (void)state;
  static const double table[][2] = {{5, 1.064}, {10, 1.042}, {30, 0.962}, {40, 0.926}, {60, 0.862}};
  for (size_t i = 0; i < sizeof(table) / sizeof(table[0]); ++i) {
    CHECK_NEAR("IEC 60228 table", conductor_table_factor(table[i][0]), table[i][1], 6e-4);
    CHECK_NEAR("IEC 60028", 1.0 / conductor_at_c(1.0, table[i][0]), table[i][1],
               3e-3 * table[i][1]);
  }
  CHECK_NEAR("IEC 60028, 40 C", 1.0 / conductor_at_c(1.0, 40.0), 0.92714, 6e-6);
  CHECK_NEAR("IEC 60028, 60 C", 1.0 / conductor_at_c(1.0, 60.0), 0.8642, 6e-5);
  Conductor c; // 100 m of pair, largest: 1.596 ohm at 20 C, 1.847 at 60 C (C)
  assert_int_equal(conductor_of_mm2(2.5, &c), STATUS_OK);
  CHECK_NEAR("20 C", 200.0 * c.max_ohm_per_m, 1.596, 6e-4);
  CHECK_NEAR("60 C", conductor_at_c(200.0 * c.max_ohm_per_m, 60.0), 1.847, 6e-4);
  // Copper reads 3.9 % more for each 10 K: common practice, no source; 10 / 254.5 = 3.93 % (C)
  CHECK_NEAR("10 K", conductor_at_c(1.0, 30.0), 1.039, 6e-4);
}

// dB = 20 log10(Z / (Z + Rloop)), Rloop = 2 L r, class 5 maxima; damping = rated load over loop
// (IEC 60268-3 M). All C.
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
    const CableFigures f = cable_figures(2.0 * rows[i].m * c.max_ohm_per_m, rows[i].load_ohm, 0.0);
    CHECK_NEAR("loop", f.loop_ohm, rows[i].loop_ohm, 6e-4);
    CHECK_NEAR("loss", f.loss_db, rows[i].db, 6e-3); // To 0.01 dB
    CHECK_NEAR("power", 100.0 * f.load_ratio, rows[i].power_percent, 0.06);
    CHECK_NEAR("damping", f.damping_ratio, rows[i].damping, 0.06);
    // The other way round: that loss allows that length, and no smaller section
    CHECK_NEAR("longest", cable_longest_m(&c, rows[i].load_ohm, -f.loss_db), rows[i].m, 1e-9);
    CHECK_NEAR("section", cable_section_mm2(rows[i].m, rows[i].load_ohm, -f.loss_db + 1e-9),
               rows[i].mm2, 0.0);
    CHECK_NEAR(
      "one larger",
      (double)(cable_section_mm2(rows[i].m, rows[i].load_ohm, -f.loss_db - 1e-6) > rows[i].mm2),
      1.0, 0.0);
  }
  CHECK_NEAR("0.5 dB at 8", cable_loop_for(8, 0.5), 0.474, 6e-4);
  CHECK_NEAR("0.5 dB at 4", cable_loop_for(4, 0.5), 0.237, 6e-4);
  CHECK_NEAR("1 dB at 8", cable_loop_for(8, 1.0), 0.976, 6e-4);
  CHECK_NEAR("3 dB at 8", cable_loop_for(8, 3.0), 3.30, 6e-3);
  CHECK_NEAR("none of the table", cable_section_mm2(2000.0, 2.0, 0.1), 0.0, 0.0);
}

// forums.audioholics.com thread 107897 (S): 24.5 V, 8 ohm, 160 ft of AWG 10, 0.00204 ohm/ft of
// loop: 72 W in all, 3 in the cable, 69 in the load; recomputed 72.09 / 2.83 / 69.26 W, -0.347 dB
// (C). Trap: what the cable takes (9.1 %) and what the load loses (17.3 %) differ about 2 : 1.
static void
power_in_the_cable(void** state)
{
  (void)state;
  const CableWatts w = cable_watts(160 * 0.00204, 8.0, 24.5);
  CHECK_NEAR("drawn", w.drawn_w, 72.09, 6e-3);
  CHECK_NEAR("cable", w.cable_w, 2.83, 6e-3);
  CHECK_NEAR("load", w.load_w, 69.26, 6e-3);
  CHECK_NEAR("loss", cable_figures(160 * 0.00204, 8.0, 0.0).loss_db, -0.347, 6e-4);
  const CableFigures trap = cable_figures(0.798, 8.0, 0.0);
  CHECK_NEAR("in the cable", 100.0 * trap.cable_ratio, 9.1, 0.06);
  CHECK_NEAR("lost by the load", 100.0 * (1.0 - trap.load_ratio), 17.3, 0.06);
}

// IEC 60268-5:2003 + A1:2007, 16.1 (S): least impedance 80 % of the rated. Parallel loads C.
static void
loads(void** state)
{
  (void)state;
  static const struct {
    double nominal_ohm; ///< Of all boxes together
    double least_ohm;
  } rows[] = {{8, 6.4}, {4, 3.2}, {16, 12.8}, {8.0 / 3.0, 2.13}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const OutputCircuit c = {.nominal_ohm = rows[i].nominal_ohm, .n_boxes = 1};
    CHECK_NEAR("80 %", limit_load(&c).least_ohm, rows[i].least_ohm, 4e-3);
  }
  static const struct {
    double ohms[3];
    int n;
    double want_ohm;
  } parallel[] = {
    {{8, 8}, 2, 4.0}, {{8, 8, 8}, 3, 2.667}, {{8, 4}, 2, 2.667}, {{6.4, 6.4}, 2, 3.2}};
  for (size_t i = 0; i < sizeof(parallel) / sizeof(parallel[0]); ++i) {
    Network net = {0};
    int all = network_add(&net, NETWORK_OHM, parallel[i].ohms[0]);
    for (int k = 1; k < parallel[i].n; ++k) {
      const int one = network_add(&net, NETWORK_OHM, parallel[i].ohms[k]);
      all = network_join(&net, NETWORK_PARALLEL, all, one);
    }
    CHECK_NEAR("parallel", network_dc(&net, NULL), parallel[i].want_ohm, 4e-4);
  }
  Network four = {0}; // Two by two of 8 ohm
  int pair[2];
  for (int k = 0; k < 2; ++k) {
    const int one = network_add(&four, NETWORK_OHM, 8.0);
    const int two = network_add(&four, NETWORK_OHM, 8.0);
    pair[k] = network_join(&four, NETWORK_SERIES, one, two);
  }
  assert_true(network_join(&four, NETWORK_PARALLEL, pair[0], pair[1]) >= 0);
  CHECK_NEAR("2 x 2 of 8", network_dc(&four, NULL), 8.0, 1e-12);
}

// V = sqrt(P Z), C. 50 V AC is where extra low voltage ends (IEC 61140, IEC 60364-4-41 cl. 414: S);
// 71 V ordinary and 120 V professional apparatus at an audio terminal (IEC 60065 9.1.1.1: S).
static void
volts(void** state)
{
  (void)state;
  static const double rows[][4] = {// V rms, W in 8, 4, 2 ohm
                                   {12, 18.0, 36.0, 72.0},
                                   {25, 78.1, 156.2, 312.5},
                                   {50, 312.5, 625, 1250},
                                   {71, 630.1, 1260.2, 2520.5},
                                   {120, 1800, 3600, 7200}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    for (int k = 0; k < 3; ++k) {
      CHECK_NEAR("watts", limit_watts(rows[i][0], 8.0 / (1 << k)), rows[i][k + 1], 0.06);
      CHECK_NEAR("volts", limit_volts(rows[i][k + 1], 8.0 / (1 << k)), rows[i][0], 0.02);
    }
  }
  CHECK_NEAR("312.5 W into 8 ohm", limit_volts(312.5, 8.0), 50.0, 1e-12);
  assert_int_equal(limit_of_volts(limit_volts(300, 4)), LIMIT_BELOW); // 34.6 V
  assert_int_equal(limit_of_volts(limit_volts(320, 8)), LIMIT_OVER_ELV);
  assert_int_equal(limit_of_volts(50.0), LIMIT_BELOW);
  assert_int_equal(limit_of_volts(71.0), LIMIT_OVER_ELV);
  assert_int_equal(limit_of_volts(100.0), LIMIT_OVER_ORDINARY);                    // A 100 V line
  assert_int_equal(limit_of_volts(limit_volts(2500, 8)), LIMIT_OVER_PROFESSIONAL); // 141 V
  CHECK_NEAR("extra low", LIMIT_ELV_V, 50, 0);
  CHECK_NEAR("ordinary", LIMIT_ORDINARY_V, 71, 0);
  CHECK_NEAR("professional", LIMIT_PROFESSIONAL_V, 120, 0);
}

// Common practice, no source: a healthy load reads 0.65 to 0.8 of its nominal, below 0.6 is
// suspect; compare twins, not absolutes, and more than 8 % is off.
static void
trade_facts(void** state)
{
  (void)state;
  const Parts p = parts_of(&(OutputCircuit){.transmitter = "", .nominal_ohm = 8, .n_boxes = 1});
  assert_true(p.load_ohm >= 0.65 * 8 && p.load_ohm <= 0.8 * 8 && p.load_is_assumed);
  CHECK_NEAR("low", PARTS_DCR_LOW_RATIO, 0.65, 0);
  CHECK_NEAR("high", PARTS_DCR_HIGH_RATIO, 0.8, 0);
  CHECK_NEAR("suspect", PARTS_DCR_SUSPECT_RATIO, 0.6, 0);
  CHECK_NEAR("twins", TWIN_OFF_RATIO, 0.08, 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(sections),
    cmocka_unit_test(gauges),
    cmocka_unit_test(temperature),
    cmocka_unit_test(cable_losses),
    cmocka_unit_test(power_in_the_cable),
    cmocka_unit_test(loads),
    cmocka_unit_test(volts),
    cmocka_unit_test(trade_facts),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
