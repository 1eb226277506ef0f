// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Twins: what is off, against what is like it; the sun, one bad circuit and a few readings do not
  fool it.
*/

#include "base/rng.h"
#include "speaker/twin.h"
#include "support/check.h"

static TwinReading
reading(int like, int hang, double ohm, double expect)
{
  return (TwinReading){like, hang, ohm, expect, NAN, NAN};
}

static void
medians(void** state)
{
  (void)state;
  double odd[] = {5.0, 1.0, 3.0};
  double even[] = {4.0, 1.0, 3.0, 2.0};
  CHECK_NEAR("odd", twin_median(odd, 3), 3.0, 0.0);
  CHECK_NEAR("even", twin_median(even, 4), 2.5, 0.0);
}

// Two hangs of eight high circuits of 5.62 ohm. One open driver reads 11.02: 96 % up.
static void
one_open_driver_is_off(void** state)
{
  (void)state;
  TwinReading r[8];
  TwinVerdict v[8];
  for (int i = 0; i < 8; ++i) {
    r[i] = reading(0, i / 4, 5.62 + 0.02 * (i % 3), 5.62);
  }
  r[1].ohm = 11.02;
  twin_judge(r, 8, v);
  for (int i = 0; i < 8; ++i) {
    assert_int_equal(v[i].is_off, i == 1);
    assert_int_equal(v[i].n_like, 7);
  }
  CHECK_NEAR("off by", v[1].off_ratio, 11.02 / 5.64 - 1.0, 0.01);
  CHECK_NEAR("should", v[1].should_ohm, 5.64, 0.02);
}

// House left stands in the sun at 50 C and reads 11.8 % up (234.5 + 50 over 254.5), house right at
// 20 C does not: nothing is off, with the temperature entered or found out.
static void
a_hang_in_the_sun_is_not_off(void** state)
{
  (void)state;
  for (int given = 0; given < 2; ++given) {
    TwinReading r[24];
    TwinVerdict v[24];
    const double expect[] = {1.62, 3.12, 5.62};
    for (int i = 0; i < 24; ++i) {
      const int hang = i / 12;
      r[i] = reading(i % 3, hang, expect[i % 3] * (hang ? 1.0 : 284.5 / 254.5), expect[i % 3]);
      r[i].celsius = given ? (hang ? 20.0 : 50.0) : (double)NAN;
    }
    twin_judge(r, 24, v);
    for (int i = 0; i < 24; ++i) {
      assert_false(v[i].is_off);
      assert_int_equal(v[i].scale_is_given, given);
      CHECK_NEAR("temperature", v[i].celsius, i < 12 ? 50.0 : 20.0, 1e-6);
    }
    r[5].ohm *= 1.09; // 9 % over its like, cold or hot
    twin_judge(r, 24, v);
    assert_true(v[5].is_off);
  }
}

// Never by the list alone: a load nobody has a twin of, half as much again as listed.
static void
alone_is_never_off(void** state)
{
  (void)state;
  TwinReading r[] = {reading(0, 0, 8.4, 5.6), reading(1, 1, 5.6, 5.6)};
  TwinVerdict v[2];
  twin_judge(r, 2, v);
  assert_false(v[0].is_off);
  assert_int_equal(v[0].n_like, 0);
  assert_true(isnan(v[0].should_ohm));
  // Its own last reading says so
  r[0].last_ohm = 5.7;
  twin_judge(r, 2, v);
  assert_true(v[0].is_off && v[0].off_by_own);
  CHECK_NEAR("own", v[0].own_ratio, 8.4 / 5.7 - 1.0, 1e-9);
}

// Of two that have only each other, the one further from its list.
static void
of_two_the_odd_one(void** state)
{
  (void)state;
  TwinReading r[] = {reading(0, 0, 5.86, 3.06), reading(0, 1, 3.07, 3.06)};
  TwinVerdict v[2];
  twin_judge(r, 2, v);
  assert_true(v[0].is_off);
  assert_false(v[1].is_off);
}

// All warmer than in the morning: nothing changed.
static void
the_day_grows_warmer(void** state)
{
  (void)state;
  TwinReading r[6];
  TwinVerdict v[6];
  for (int i = 0; i < 6; ++i) {
    r[i] = reading(i, i, 5.62 * 1.10, 5.62); // No twins
    r[i].last_ohm = 5.62;
  }
  r[3].ohm = 5.62 * 1.25;
  twin_judge(r, 6, v);
  for (int i = 0; i < 6; ++i) {
    assert_int_equal(v[i].is_off, i == 3);
  }
}

// A fault of one circuit in a random system, each driver 2 % its own and each hang at a temperature
// of its own: found, and nothing else is called off.
static void
random_systems(void** state)
{
  (void)state;
  const uint64_t seed = 77;
  const int n_rounds = check_count(500, 20000);
  int n_found = 0, n_false = 0;
  Rng rng;
  rng_init(&rng, seed);
  printf("seed %llu\n", (unsigned long long)seed);
  for (int round = 0; round < n_rounds; ++round) {
    TwinReading r[32];
    TwinVerdict v[32];
    double warm[4];
    for (int h = 0; h < 4; ++h) {
      warm[h] = (234.5 + 5.0 + 45.0 * rng_unit(&rng)) / 254.5;
    }
    const int bad = rng_below(&rng, 32);
    for (int i = 0; i < 32; ++i) {
      const double own = 1.0 + 0.02 * (rng_unit(&rng) + rng_unit(&rng) - 1.0);
      const double expect = 1.0 + i % 4;
      r[i] = reading(i % 4, i / 8, expect * warm[i / 8] * own * (i == bad ? 1.29 : 1.0), expect);
    }
    twin_judge(r, 32, v);
    for (int i = 0; i < 32; ++i) {
      n_found += i == bad && v[i].is_off;
      n_false += i != bad && v[i].is_off;
    }
  }
  check_figure("twin_driver_of_four_found", 100.0 * n_found / n_rounds, "%");
  check_figure("twin_false_alarms", 100.0 * n_false / (31.0 * n_rounds), "%");
  assert_int_equal(n_found, n_rounds);
  assert_int_equal(n_false, 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(medians),
    cmocka_unit_test(one_open_driver_is_off),
    cmocka_unit_test(a_hang_in_the_sun_is_not_off),
    cmocka_unit_test(alone_is_never_off),
    cmocka_unit_test(of_two_the_odd_one),
    cmocka_unit_test(the_day_grows_warmer),
    cmocka_unit_test(random_systems),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
