// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Published values of microphone feeds, held by the table in kinds/feeds.csv and by fault/feed; and
  of lamps, held by circuit/lamp. Beside each: source and how it is known. S = seen in public text,
  M = from memory (verify the clause before calling it normative), C = computed from the stated
  formula, T = common practice of the trade, no source. "Trap": a common and wrong belief.
*/

#include "circuit/lamp.h"
#include "fault/feed.h"
#include "support/check.h"

#include <string.h>

/// Electronics of a constant draw that need nothing in particular.
static FeedMicrophone
electronics(double draw_a)
{
  return (FeedMicrophone){FEED_MIC_PHANTOM, NAN, NAN, NAN, NAN, draw_a, NAN, NAN};
}

static Feed
feed_of(Arena* arena, const char* name)
{
  const Feed* feeds = NULL;
  int n = 0;
  assert_int_equal(feed_variants(arena, &feeds, &n), STATUS_OK);
  const Feed* const feed = feed_find(feeds, n, name);
  assert_non_null(feed);
  return *feed;
}

static FeedAnswer
judged(Arena* arena, const Feed* feed, const FeedWay* way, FeedMicrophone microphone)
{
  static const FeedWay nothing = {0};
  const Feed* feeds = NULL;
  int n = 0;
  FeedAnswer answer;
  assert_int_equal(feed_variants(arena, &feeds, &n), STATUS_OK);
  assert_int_equal(feed_judge(feeds, n, feed, way ? way : &nothing, &microphone, &answer),
                   STATUS_OK);
  return answer;
}

// IEC 61938 variants. Supply, tolerance, resistors, current: S note.com/yokohama_mic (P48, P24,
// P12), soundonsound.com/glossary/phantom-power (P12L, SP48, 22 mW, 520 mW, 170 mW, 100 mW); volts
// and powers left: C. The powers are those within the standard's current.
static void
variants(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  static const struct {
    const char* name;
    double supply_v, tolerance_v, leg_ohm, greatest_a, left_v, left_w, most_w, most_a;
  } rows[] = {
    {"P48", 48, 4, 6800, 10e-3, 14.0, 140e-3, 169.4e-3, 7.06e-3},
    {"P24", 24, 4, 1200, 10e-3, 18.0, 180e-3, 180.0e-3, 10e-3},
    {"P12", 12, 1, 680, 15e-3, 6.9, 103.5e-3, 103.5e-3, 15e-3},
    {"P12L", 12, NAN, 3300, 4e-3, 5.4, 21.6e-3, 21.8e-3, 3.64e-3},
    {"SP48", 48, NAN, 2200, 22e-3, 23.8, 523.6e-3, 523.6e-3, 21.82e-3},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const Feed feed = feed_of(&arena, rows[i].name);
    CHECK_NEAR(rows[i].name, feed.supply_v, rows[i].supply_v, 0.0);
    CHECK_NEAR(rows[i].name, feed.leg_ohm, rows[i].leg_ohm, 0.0);
    CHECK_NEAR(rows[i].name, feed.greatest_a, rows[i].greatest_a, 1e-15);
    assert_true(isnan(rows[i].tolerance_v) ? isnan(feed.tolerance_v)
                                           : feed.tolerance_v == rows[i].tolerance_v);
    assert_true(feed.mark == 'S' && strstr(feed.source, "IEC 61938") && !feed.between_legs);
    const FeedAnswer a = judged(&arena, &feed, NULL, electronics(rows[i].greatest_a));
    CHECK_NEAR(rows[i].name, a.leg_v, rows[i].left_v, 0.005);
    CHECK_NEAR(rows[i].name, a.power_w, rows[i].left_w, 5e-5);
    CHECK_NEAR(rows[i].name, a.left_a, 0.0, 1e-12);
    CHECK_NEAR(rows[i].name, a.available_w, rows[i].most_w, 5e-5);
    CHECK_NEAR(rows[i].name, a.available_a, rows[i].most_a, 5e-6);
  }
  arena_deinit(&arena);
}

// The same rows shorted: one leg to contact 1, both. C. Over the tolerances of P48 (44 to 52 V, 10
// %) one leg gives 5.88 to 8.50 mA and both 11.8 to 17.0, which is more than the 10 mA "maximum":
// that one limits the microphone (trap).
static void
short_currents(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  static const struct {
    const char* name;
    double one_leg_a, both_a;
  } rows[] = {{"P48", 7.059e-3, 14.118e-3},
              {"P24", 20.0e-3, 40.0e-3},
              {"P12", 17.65e-3, 35.29e-3},
              {"P12L", 3.64e-3, 7.27e-3},
              {"SP48", 21.82e-3, 43.64e-3}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const Feed feed = feed_of(&arena, rows[i].name);
    for (int legs = 1; legs <= 2; ++legs) {
      Port port;
      double v[3];
      port_init(&port, 3);
      port_earth(&port, 0, 1e-6);
      port_source_to_earth(&port, 1, feed.supply_v, feed.leg_ohm);
      port_source_to_earth(&port, 2, feed.supply_v, feed.leg_ohm);
      port_shunt(&port, 0, 1, 0.0);
      if (legs == 2) {
        port_shunt(&port, 0, 2, 0.0);
      }
      port_solve(&port, v);
      const double short_a = (2.0 * feed.supply_v - v[1] - v[2]) / feed.leg_ohm;
      CHECK_NEAR(rows[i].name, short_a, legs == 1 ? rows[i].one_leg_a : rows[i].both_a, 6e-6);
    }
  }
  const Feed p48 = feed_of(&arena, "P48");
  const double high_a = (p48.supply_v + p48.tolerance_v) / (0.9 * p48.leg_ohm);
  const double low_a = (p48.supply_v - p48.tolerance_v) / (1.1 * p48.leg_ohm);
  CHECK_NEAR("one leg at most", high_a, 8.50e-3, 5e-6);
  CHECK_NEAR("one leg at least", low_a, 5.88e-3, 5e-6);
  CHECK_NEAR("both at most", 2.0 * high_a, 17.0e-3, 5e-5);
  CHECK_NEAR("both at least", 2.0 * low_a, 11.8e-3, 5e-5);
  assert_true(2.0 * low_a > p48.greatest_a);
  // Feeds of 0.4 % apart: 27.2 ohm
  CHECK_NEAR("pair match", 0.004 * p48.leg_ohm, 27.2, 1e-9);
  CHECK_NEAR("tolerance of the resistors", p48.leg_tolerance_ratio, 0.1, 1e-12);
  arena_deinit(&arena);
}

// Trap: "P48, at most 240 mW". 240 mW is what a P24 of no current limit would give at 20 mA; P48
// gives 169.4 mW at 24 V, at 52 V 198.8, with resistors 10 % low besides 220.9. C.
static void
trap_240_mw(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  Feed p48 = feed_of(&arena, "P48");
  FeedAnswer a = judged(&arena, &p48, NULL, electronics(48.0 / 6800.0));
  CHECK_NEAR("at the best current half the volts are left", a.leg_v, 24.0, 1e-9);
  CHECK_NEAR("P48 best", a.power_w, 169.4e-3, 5e-5);
  p48.supply_v += p48.tolerance_v;
  CHECK_NEAR("52 V", judged(&arena, &p48, NULL, electronics(0.0)).available_w, 198.8e-3, 5e-5);
  p48.leg_ohm *= 1.0 - p48.leg_tolerance_ratio;
  a = judged(&arena, &p48, NULL, electronics(0.0));
  CHECK_NEAR("52 V, 6120 ohm", a.available_w, 220.9e-3, 5e-5);
  assert_true(a.available_w < 0.240);
  Feed p24 = feed_of(&arena, "P24");
  p24.greatest_a = NAN;
  a = judged(&arena, &p24, NULL, electronics(0.0));
  CHECK_NEAR("P24 without its limit", a.available_w, 240e-3, 1e-9);
  CHECK_NEAR("at", a.available_a, 20e-3, 1e-12);
  arena_deinit(&arena);
}

// DIN 45595: 12 V between the legs, 180 ohm in each, plus on 2. S de.zxc.wiki/wiki/Tonaderspeisung,
// ips.org.uk/encyclopedia/tonader-power-t-power. Harm: C, 12/560 = 21.43 mA, 91.8 mW; a 2-3 short
// draws 33.3 mA; at best 100 mW.
static void
between_the_legs(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Feed ab = feed_of(&arena, "T12");
  assert_true(ab.between_legs && ab.supply_v == 12.0 && ab.leg_ohm == 180.0);
  static const struct {
    const char* name;
    FeedMicSort sort;
    double coil_ohm, coil_a, coil_w;
  } rows[] = {
    {"moving coil", FEED_MIC_COIL, 200.0, 21.43e-3, 91.8e-3},
    {"ribbon", FEED_MIC_RIBBON, 200.0, 21.43e-3, 91.8e-3},
    {"2-3 short", FEED_MIC_TRANSFORMER, 0.0, 33.3e-3, 0.0},
    {"the most heat", FEED_MIC_COIL, 360.0, 16.67e-3, 100.0e-3},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const FeedAnswer a =
      judged(&arena, &ab, NULL,
             (FeedMicrophone){rows[i].sort, NAN, NAN, NAN, NAN, NAN, NAN, rows[i].coil_ohm});
    CHECK_NEAR(rows[i].name, a.coil_a, rows[i].coil_a, 4e-5);
    CHECK_NEAR(rows[i].name, a.coil_w, rows[i].coil_w, 5e-5);
    assert_int_equal(a.verdict, FEED_HARMFUL);
    assert_non_null(strstr(a.caution, "Do not plug it"));
  }
  CHECK_NEAR("most for electronics", judged(&arena, &ab, NULL, electronics(NAN)).available_w, 0.1,
             1e-12);
  arena_deinit(&arena);
}

// T: a 12 V feed runs microphones specified for 12 to 48 V, with what current is left; one that
// needs more is refused. Figures C: 12 - 3 mA x 340 = 10.98 V; the bottom of P12 leaves 9.98 V.
static void
twelve_to_forty_eight(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  static const struct {
    const char* name;
    double from_v, to_v, draw_a;
    FeedVerdict verdict;
    double left_a;
  } rows[] = {
    {"P12", 12, 48, 3e-3, FEED_RUNS, 12e-3},     {"P24", 12, 48, 3e-3, FEED_RUNS, 7e-3},
    {"P48", 12, 48, 3e-3, FEED_RUNS, 7e-3},      {"SP48", 12, 48, 3e-3, FEED_RUNS, 19e-3},
    {"P12", 12, 48, NAN, FEED_RUNS, NAN},        {"P12", 48, 48, 3e-3, FEED_RUNS_NOT, 12e-3},
    {"P24", 48, 48, 3e-3, FEED_RUNS_NOT, 7e-3},  {"P12", 48, 48, NAN, FEED_RUNS_NOT, NAN},
    {"P12L", 12, 48, 3e-3, FEED_RUNS_NOT, 1e-3}, {"P12", 12, 48, 16e-3, FEED_OUTSIDE, -1e-3},
    {"P48", 12, 24, 3e-3, FEED_HARMFUL, NAN},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const Feed feed = feed_of(&arena, rows[i].name);
    FeedMicrophone m = electronics(rows[i].draw_a);
    m.feed_least_v = rows[i].from_v;
    m.feed_greatest_v = rows[i].to_v;
    // 50 m of 0.22 mm2, three conductors: 78.4 ohm/km (C, 1/58)
    const FeedWay cable = {.cable_leg_ohm = 3.92, .cable_shield_ohm = 3.92};
    const FeedAnswer a = judged(&arena, &feed, &cable, m);
    if (a.verdict != rows[i].verdict) {
      fail_msg("row %zu %s: %s (%s)", i, rows[i].name, feed_verdict_word(a.verdict), a.reason);
    }
    if (isnan(rows[i].left_a)) {
      assert_true(isnan(a.left_a)); // What it draws here is not known
    } else {
      CHECK_NEAR(rows[i].name, a.left_a, rows[i].left_a, 1e-12);
    }
  }
  arena_deinit(&arena);
}

// Small lamps, utilitiesbunker.com table (S): red 2.0 V (1.8 to 2.2), old green 2.1 (1.9 to 2.3) at
// 20 mA; 0.1 to 0.2 V less at 1 mA (M, diode law).
static double
forward_v(LampDiode d, double current_a)
{
  return d.slope_v * log(1.0 + current_a / d.saturation_a) + d.series_ohm * current_a;
}

static void
lamp_volts(void** state)
{
  (void)state;
  const LampDiode green = lamp_green();
  CHECK_NEAR("green at 1 mA", forward_v(green, 1e-3), 1.92, 0.015);
  assert_true(forward_v(green, 20e-3) >= 1.9 && forward_v(green, 20e-3) <= 2.3);
  // A red of 2.0 V at 20 mA by the same law: 1.85 at 1 mA
  const LampDiode red = lamp_diode(1.85, 0.05, 0.0);
  CHECK_NEAR("red at 20 mA", forward_v(red, 20e-3), 2.0, 1e-3);
  for (int i = 0; i < 2; ++i) {
    const LampDiode d = i ? red : lamp_diode(1.92, 0.05, 0.0);
    const double less_v = forward_v(d, 20e-3) - forward_v(d, 1e-3);
    assert_true(less_v >= 0.1 && less_v <= 0.2);
  }
}

// A red lamp of 2.0 V without a resistor of its own (C): 2 to 1 on P48 (48 - 2)/6800 = 6.76 mA, on
// P12 14.7 mA, 2 to 3 on A-B 27.8 mA, 2 to 3 on healthy phantom nothing. The lamp is built to drop
// 2.0 V at the current in question, so that the figure is the published sum and not the diode's.
static void
lamp_currents(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  static const struct {
    const char* feed;
    int a, b;
    double want_a, tolerance_a;
  } rows[] = {{"P48", 1, 0, 6.76e-3, 5e-6},
              {"P12", 1, 0, 14.7e-3, 6e-5},
              {"A-B", 1, 2, 27.8e-3, 5e-5},
              {"P48", 1, 2, 0.0, 1e-9}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const Feed feed = feed_of(&arena, rows[i].feed);
    Port port;
    port_init(&port, 3);
    port_earth(&port, 0, 1e-6);
    if (feed.between_legs) {
      port_source(&port, 1, 0, feed.supply_v, feed.leg_ohm);
      port_shunt(&port, 2, 0, feed.leg_ohm);
    } else {
      port_source_to_earth(&port, 1, feed.supply_v, feed.leg_ohm);
      port_source_to_earth(&port, 2, feed.supply_v, feed.leg_ohm);
    }
    const double at_1_ma_v = 2.0 - 0.05 * log(fmax(rows[i].want_a, 1e-3) / 1e-3);
    const LampDiode red = lamp_diode(at_1_ma_v, 0.05, 0.0);
    LampTester tester = {.n_lamps = 1, .lamps = {{rows[i].a, rows[i].b, 1e-3, red, red}}};
    double lamp_a[LAMP_MAX];
    assert_int_equal(lamp_ready(&tester, 3), STATUS_OK);
    assert_int_equal(lamp_solve(&tester, &port, lamp_a, NULL, NULL), STATUS_OK);
    CHECK_NEAR(rows[i].feed, lamp_a[0], rows[i].want_a, rows[i].tolerance_a);
  }
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(variants),
    cmocka_unit_test(trap_240_mw),
    cmocka_unit_test(short_currents),
    cmocka_unit_test(between_the_legs),
    cmocka_unit_test(twelve_to_forty_eight),
    cmocka_unit_test(lamp_volts),
    cmocka_unit_test(lamp_currents),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
