// SPDX-License-Identifier: GPL-3.0-or-later

/*
  fault/feed: each verdict and its sentence, the sums against the circuit room, what is refused, and
  every allocation failed once.
*/

#include "base/rng.h"
#include "circuit/section.h"
#include "fault/feed.h"
#include "support/check.h"

#include <string.h>

#define NOTHING                                                                                    \
  {                                                                                                \
    0, 0, 0, 0, 0, false                                                                           \
  }

static const FeedMicrophone unknown = {FEED_MIC_UNKNOWN, NAN, NAN, NAN, NAN, NAN, NAN, NAN};

typedef struct {
  Arena arena;
  const Feed* feeds;
  int n;
} Known;

static void
known_init(Known* k)
{
  arena_init(&k->arena, NULL);
  assert_int_equal(feed_variants(&k->arena, &k->feeds, &k->n), STATUS_OK);
}

static void
verdicts(void** state)
{
  (void)state;
  Known k;
  known_init(&k);
  // By hand: V = supply - (draw + in line) x (leg / 2 + shield) for phantom
  static const struct {
    const char* name;
    const char* feed;
    FeedWay way;
    FeedMicrophone m;
    FeedVerdict verdict;
    double leg_v, draw_a, left_a, coil_a;
    const char* says;
    const char* caution;
  } rows[] = {
    {"condenser on P48",
     "P48",
     NOTHING,
     {FEED_MIC_PHANTOM, NAN, NAN, 9, 52, 4e-3, NAN, NAN},
     FEED_RUNS,
     34.4,
     4e-3,
     6e-3,
     0,
     "34.4 V arrive on each leg",
     ""},
    {"100 m of cable",
     "P48",
     {8, 3, 0, 0, 0, false},
     {FEED_MIC_PHANTOM, NAN, NAN, 9, 52, 4e-3, NAN, NAN},
     FEED_RUNS,
     34.372,
     4e-3,
     6e-3,
     0,
     "34.4 V",
     ""},
    {"a resistor as load",
     "P48",
     NOTHING,
     {FEED_MIC_PHANTOM, NAN, NAN, 21, 52, NAN, 3400, NAN},
     FEED_UNKNOWN,
     24.0,
     24.0 / 3400,
     10e-3 - 24.0 / 3400,
     0,
     "bottom of its tolerance",
     ""},
    {"just enough",
     "P48",
     NOTHING,
     {FEED_MIC_PHANTOM, NAN, NAN, 34, 52, 4e-3, NAN, NAN},
     FEED_UNKNOWN,
     34.4,
     4e-3,
     6e-3,
     0,
     "measure this one",
     ""},
    {"too little",
     "P12",
     NOTHING,
     {FEED_MIC_PHANTOM, NAN, NAN, 11, 52, 6e-3, NAN, NAN},
     FEED_RUNS_NOT,
     9.96,
     6e-3,
     9e-3,
     0,
     "Only 10.0 V arrive",
     ""},
    {"more than there is",
     "P12L",
     NOTHING,
     {FEED_MIC_PHANTOM, NAN, NAN, 5, 52, 9e-3, NAN, NAN},
     FEED_RUNS_NOT,
     0,
     9e-3,
     -5e-3,
     0,
     "more than this feed can push",
     ""},
    {"over the limit",
     "P48",
     NOTHING,
     {FEED_MIC_PHANTOM, NAN, NAN, 9, 52, 11e-3, NAN, NAN},
     FEED_OUTSIDE,
     10.6,
     11e-3,
     -1e-3,
     0,
     "lets a microphone draw 10 mA",
     ""},
    {"in line, drawing too",
     "P48",
     {0, 0, 100, 1.5, 3e-3, false},
     {FEED_MIC_PHANTOM, NAN, NAN, 9, 52, 4e-3, NAN, NAN},
     FEED_RUNS,
     22.35,
     4e-3,
     3e-3,
     0,
     "4.00 mA; it needs 9.0 V",
     ""},
    {"in line, passing none",
     "P48",
     {0, 0, 0, 0, 3e-3, true},
     {FEED_MIC_PHANTOM, NAN, NAN, 9, 52, 4e-3, NAN, NAN},
     FEED_RUNS_NOT,
     0,
     0,
     0,
     0,
     "passes none on",
     ""},
    {"coil behind such a thing",
     "P48",
     {0, 0, 0, 0, 3e-3, true},
     {FEED_MIC_COIL, NAN, NAN, NAN, NAN, NAN, NAN, 200},
     FEED_RUNS,
     0,
     0,
     0,
     0,
     "needs none",
     ""},
    {"too many volts",
     "P48",
     NOTHING,
     {FEED_MIC_PHANTOM, NAN, NAN, 3, 10, 1e-3, NAN, NAN},
     FEED_HARMFUL,
     44.6,
     1e-3,
     9e-3,
     0,
     "no more than 10.0 V",
     "Do not plug it"},
    {"needs not known",
     "P48",
     NOTHING,
     {FEED_MIC_PHANTOM, NAN, NAN, NAN, NAN, 4e-3, NAN, NAN},
     FEED_UNKNOWN,
     34.4,
     4e-3,
     6e-3,
     0,
     "is not known",
     ""},
    {"draw not known, enough whatever",
     "P48",
     NOTHING,
     {FEED_MIC_PHANTOM, NAN, NAN, 9, NAN, NAN, NAN, NAN},
     FEED_RUNS,
     NAN,
     NAN,
     NAN,
     0,
     "14.0 V still arrive",
     ""},
    {"draw not known, perhaps not",
     "P48",
     NOTHING,
     {FEED_MIC_PHANTOM, NAN, NAN, 20, NAN, NAN, NAN, NAN},
     FEED_UNKNOWN,
     NAN,
     NAN,
     NAN,
     0,
     "is not known",
     ""},
    {"coil on phantom",
     "P48",
     NOTHING,
     {FEED_MIC_COIL, NAN, NAN, NAN, NAN, NAN, NAN, 200},
     FEED_RUNS,
     48,
     0,
     10e-3,
     0,
     "no direct current",
     "6.9 mA"},
    {"ribbon on phantom",
     "P48",
     NOTHING,
     {FEED_MIC_RIBBON, NAN, NAN, NAN, NAN, NAN, NAN, NAN},
     FEED_HARMFUL,
     48,
     0,
     10e-3,
     0,
     "needs no feed",
     "wait 5 s"},
    {"A-B electronics on A-B",
     "A-B",
     {1, 9, 0, 0, 0, false},
     {FEED_MIC_AB, NAN, NAN, 7, 12, 8e-3, NAN, NAN},
     FEED_RUNS,
     NAN,
     8e-3,
     NAN,
     0,
     "9.1 V arrive between 2 and 3",
     ""},
    {"A-B electronics on phantom",
     "P48",
     NOTHING,
     {FEED_MIC_AB, NAN, NAN, 7, 12, 8e-3, NAN, NAN},
     FEED_RUNS_NOT,
     48,
     NAN,
     NAN,
     NAN,
     "puts no volts there",
     "keep phantom off"},
    {"phantom electronics on A-B",
     "A-B",
     NOTHING,
     {FEED_MIC_PHANTOM, NAN, NAN, 9, 52, 4e-3, NAN, NAN},
     FEED_HARMFUL,
     NAN,
     NAN,
     NAN,
     NAN,
     "between the legs",
     "Do not plug it"},
    {"what is it",
     "P48",
     NOTHING,
     {FEED_MIC_UNKNOWN, NAN, NAN, NAN, NAN, NAN, NAN, NAN},
     FEED_UNKNOWN,
     NAN,
     NAN,
     NAN,
     NAN,
     "not known",
     "Feed off"},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    FeedAnswer a;
    const Feed* const feed = feed_find(k.feeds, k.n, rows[i].feed);
    assert_int_equal(feed_judge(k.feeds, k.n, feed, &rows[i].way, &rows[i].m, &a), STATUS_OK);
    if (a.verdict != rows[i].verdict || !strstr(a.reason, rows[i].says) ||
        !strstr(a.caution, rows[i].caution) || (rows[i].caution[0] == 0) != (a.caution[0] == 0)) {
      fail_msg("%s: %s. %s / %s", rows[i].name, feed_verdict_word(a.verdict), a.reason, a.caution);
    }
    const double pairs[][2] = {{a.leg_v, rows[i].leg_v},
                               {a.draw_a, rows[i].draw_a},
                               {a.left_a, rows[i].left_a},
                               {a.coil_a, rows[i].coil_a}};
    for (size_t p = 0; p < 4; ++p) {
      if (isnan(pairs[p][1])) {
        assert_true(isnan(pairs[p][0]));
      } else {
        CHECK_NEAR(rows[i].name, pairs[p][0], pairs[p][1], 1e-9);
      }
    }
  }
  arena_deinit(&k.arena);
}

// A battery in a box: 18 V of 20 ohm inside, 680 ohm a leg, a microphone that draws 5 mA and needs
// 9 V: 18 - 5 mA x (340 + 20) = 16.2 V.
static void
battery_feed(void** state)
{
  (void)state;
  Known k;
  known_init(&k);
  const Feed own = {"two 9 V batteries", "", 18, NAN, 680, NAN, 20, false, NAN, "", 0};
  const FeedWay way = {0};
  FeedMicrophone m = {FEED_MIC_PHANTOM, NAN, NAN, 9, 52, 5e-3, NAN, NAN};
  FeedAnswer a;
  assert_int_equal(feed_judge(k.feeds, k.n, &own, &way, &m, &a), STATUS_OK);
  assert_int_equal(a.verdict, FEED_RUNS);
  CHECK_NEAR("battery", a.leg_v, 16.2, 1e-12);
  assert_true(isnan(a.left_a));
  // "12 to 48 V" on it: P12's bottom, 11 - 1.7 = 9.3 V, is less; "24 to 48": 20 - 3 = 17 is more
  m = (FeedMicrophone){FEED_MIC_PHANTOM, 12, 48, NAN, NAN, 5e-3, NAN, NAN};
  assert_int_equal(feed_judge(k.feeds, k.n, &own, &way, &m, &a), STATUS_OK);
  assert_int_equal(a.verdict, FEED_RUNS);
  CHECK_NEAR("needs", a.needed_v, 9.3, 1e-12);
  m.feed_least_v = 24;
  assert_int_equal(feed_judge(k.feeds, k.n, &own, &way, &m, &a), STATUS_OK);
  assert_int_equal(a.verdict, FEED_RUNS_NOT);
  CHECK_NEAR("needs", a.needed_v, 17.0, 1e-12);
  arena_deinit(&k.arena);
}

// Law: the sums are the circuit room's, for any feed, cable and load.
static void
as_the_circuit(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 20261125);
  printf("seed 20261125\n");
  Known k;
  known_init(&k);
  const int n = check_count(2000, 20000);
  for (int i = 0; i < n; ++i) {
    const bool between = rng_unit(&rng) < 0.4;
    const Feed feed = {.name = "",
                       .also = "",
                       .supply_v = 5.0 + 45.0 * rng_unit(&rng),
                       .tolerance_v = NAN,
                       .leg_ohm = 50.0 + 7000.0 * rng_unit(&rng),
                       .leg_tolerance_ratio = NAN,
                       .between_legs = between,
                       .greatest_a = NAN,
                       .source = ""};
    const FeedWay way = {.cable_leg_ohm = 20.0 * rng_unit(&rng),
                         .cable_shield_ohm = 20.0 * rng_unit(&rng)};
    FeedMicrophone m = unknown;
    m.sort = between ? FEED_MIC_AB : FEED_MIC_PHANTOM;
    m.contacts_least_v = 1.0;
    m.load_ohm = 100.0 + 20000.0 * rng_unit(&rng);
    FeedAnswer a;
    assert_int_equal(feed_judge(k.feeds, k.n, &feed, &way, &m, &a), STATUS_OK);
    Port port;
    double v[3];
    port_init(&port, 3);
    port_earth(&port, 0, 0.0);
    if (between) {
      port_source(&port, 1, 0, feed.supply_v, feed.leg_ohm);
      port_shunt(&port, 2, 0, feed.leg_ohm);
    } else {
      port_source_to_earth(&port, 1, feed.supply_v, feed.leg_ohm);
      port_source_to_earth(&port, 2, feed.supply_v, feed.leg_ohm);
    }
    const Section cable = {
      .n = 3, .series_ohm = {way.cable_shield_ohm, way.cable_leg_ohm, way.cable_leg_ohm}};
    section_pass(&cable, &port);
    if (between) {
      port_shunt(&port, 1, 2, m.load_ohm);
    } else {
      port_shunt(&port, 0, 1, 2.0 * m.load_ohm);
      port_shunt(&port, 0, 2, 2.0 * m.load_ohm);
    }
    port_solve(&port, v);
    const double want_v = between ? v[1] - v[2] : v[1] - v[0];
    CHECK_NEAR("volts", between ? a.between_v : a.leg_v, want_v, 1e-6 * feed.supply_v);
    CHECK_NEAR("power", a.power_w, want_v * want_v / m.load_ohm, 1e-5 * a.power_w);
    assert_true(a.power_w <= a.available_w * (1.0 + 1e-12));
  }
  arena_deinit(&k.arena);
}

// Every row that the program carries can be judged with, and no name stands for two.
static void
rows(void** state)
{
  (void)state;
  Known k;
  known_init(&k);
  const FeedWay way = {0};
  assert_true(k.n >= 6);
  for (int i = 0; i < k.n; ++i) {
    FeedAnswer a;
    assert_int_equal(feed_judge(k.feeds, k.n, &k.feeds[i], &way, &unknown, &a), STATUS_OK);
    assert_ptr_equal(feed_find(k.feeds, k.n, k.feeds[i].name), &k.feeds[i]);
    assert_true((k.feeds[i].mark == 'S' || k.feeds[i].mark == 'M') && k.feeds[i].source[0]);
  }
  arena_deinit(&k.arena);
}

static void
refused(void** state)
{
  (void)state;
  Known k;
  known_init(&k);
  const FeedWay way = {0};
  const double bad[] = {-1.0, INFINITY};
  for (size_t i = 0; i < 2; ++i) {
    Feed feed = k.feeds[0];
    FeedMicrophone m = unknown;
    FeedWay odd = way;
    FeedAnswer a = {.leg_v = -7.0};
    feed.supply_v = bad[i];
    assert_int_equal(feed_judge(k.feeds, k.n, &feed, &way, &m, &a), STATUS_BAD_ARG);
    m.draw_a = bad[i];
    assert_int_equal(feed_judge(k.feeds, k.n, &k.feeds[0], &way, &m, &a), STATUS_BAD_ARG);
    odd.cable_leg_ohm = bad[i];
    assert_int_equal(feed_judge(k.feeds, k.n, &k.feeds[0], &odd, &unknown, &a), STATUS_BAD_ARG);
    CHECK_NEAR("untouched", a.leg_v, -7.0, 0.0);
  }
  assert_null(feed_find(k.feeds, k.n, "P49"));
  assert_ptr_equal(feed_find(k.feeds, k.n, " p48 "), &k.feeds[0]);
  assert_ptr_equal(feed_find(k.feeds, k.n, "48 v PHANTOM"), &k.feeds[0]);
  assert_string_equal(feed_verdict_word((FeedVerdict)99), "unknown");
  arena_deinit(&k.arena);
}

static void
every_allocation_fails_once(void** state)
{
  (void)state;
  for (int fail_at = 1;; ++fail_at) {
    FailingHeap heap = {.fail_at = fail_at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    const Feed* feeds = NULL;
    int n = -1;
    arena_init(&arena, &from);
    const Status status = feed_variants(&arena, &feeds, &n);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    if (heap.n_requests < fail_at) {
      assert_int_equal(status, STATUS_OK);
      assert_true(fail_at > 1);
      return;
    }
    assert_int_equal(status, STATUS_NO_MEMORY);
    assert_true(!feeds && n == -1);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(verdicts),       cmocka_unit_test(battery_feed),
    cmocka_unit_test(as_the_circuit), cmocka_unit_test(refused),
    cmocka_unit_test(rows),           cmocka_unit_test(every_allocation_fails_once),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
