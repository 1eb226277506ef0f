// SPDX-License-Identifier: GPL-3.0-or-later
#include "circuit/lamp.h"

#include "base/rng.h"
#include "circuit/curve.h"
#include "support/check.h"

#include <float.h>
#include <string.h>

static void
curves_keep_their_digits(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 21);
  for (int round = 0; round < 20000; ++round) {
    const double x = rng_log(&rng, 1e-300, 1e300);
    CHECK_NEAR("log", curve_log(x), log(x), 2.0 * DBL_EPSILON * fmax(fabs(log(x)), 1.0));
    const double y = 1400.0 * rng_unit(&rng) - 700.0;
    CHECK_NEAR("exp", curve_exp(y), exp(y), 3.0 * DBL_EPSILON * exp(y));
    const double z = round % 2 == 0 ? 760.0 * rng_unit(&rng) - 60.0 : rng_log(&rng, 1e-6, 1e6);
    const double w = curve_omega(z);
    // Long double, because near z = 0 the sum of the two parts loses what they have
    const long double back = (long double)w + logl((long double)w);
    CHECK_NEAR("omega", (double)back, z, 6.0 * DBL_EPSILON * fmax(fabs(z), 1.0));
  }
  CHECK_NEAR("omega of 1 is 1", curve_omega(1.0), 1.0, 0.0);
  CHECK_NEAR("the constant with w e^w = 1", curve_omega(0.0), 0.5671432904097838730, 3e-16);
}

static LampTester
one_lamp(double ohm)
{
  LampTester tester = {
    .n_lamps = 1,
    .lamps = {{1, 0, ohm, lamp_diode(1.92, 0.05, 10.0), lamp_diode(1.61, 0.045, 10.0)}}};
  assert_int_equal(lamp_ready(&tester, 3), STATUS_OK);
  return tester;
}

static void
one_lamp_by_hand(void** state)
{
  (void)state;
  // A 1 mA lamp: choose the battery so that 1 mA flows exactly; forward volts are then as stated
  const LampTester tester = one_lamp(470.0);
  for (int way = 0; way < 2; ++way) {
    const double sign = way == 0 ? 1.0 : -1.0;
    const double forward_v = way == 0 ? 1.92 : 1.61;
    Port port;
    port_init(&port, 3);
    port_earth(&port, 0, 0.01);
    port_source(&port, 1, 0, sign * (forward_v + 1e-3 * (470.0 + 1000.0)), 1000.0);
    double lamp_a[1], v[3];
    int n_rounds;
    assert_int_equal(lamp_solve(&tester, &port, lamp_a, v, &n_rounds), STATUS_OK);
    CHECK_NEAR("1 mA", lamp_a[0], sign * 1e-3, 1e-11);
    CHECK_NEAR("across", v[1] - v[0], sign * (forward_v + 0.47), 1e-8);
  }
  // The same from a battery in the tester itself
  LampTester own = one_lamp(470.0);
  own.n_batteries = 1;
  own.batteries[0] = (LampBattery){1, 0, 1.92 + 1.47, 1000.0};
  Port empty;
  port_init(&empty, 3);
  double lamp_a[1];
  assert_int_equal(lamp_solve(&own, &empty, lamp_a, NULL, NULL), STATUS_OK);
  CHECK_NEAR("own battery", lamp_a[0], 1e-3, 1e-11);
  // Nothing connected: dark, and exactly so
  const LampTester alone = one_lamp(470.0);
  assert_int_equal(lamp_solve(&alone, &empty, lamp_a, NULL, NULL), STATUS_OK);
  CHECK_NEAR("nothing", lamp_a[0], 0.0, 1e-15);
}

static void
pictures(void** state)
{
  (void)state;
  char text[LAMP_MAX + 1];
  const double lamp_a[] = {0.3e-3, -0.3e-3, 0.299e-3, -0.05e-3, 0.0499e-3, 0.0};
  lamp_picture(lamp_a, 6, text);
  assert_string_equal(text, "GRdd..");
  lamp_picture(lamp_a, 0, text);
  assert_string_equal(text, "");
}

static void
bad_testers_are_refused(void** state)
{
  (void)state;
  const Lamp good = {1, 0, 470.0, lamp_green(), lamp_red()};
  Lamp bad[6];
  for (int i = 0; i < 6; ++i) {
    bad[i] = good;
  }
  bad[0].a = 3;
  bad[1].b = 1;
  bad[2].ohm = 0.0;
  bad[3].ohm = NAN;
  bad[4].red.slope_v = 0.0;
  bad[5].green.saturation_a = NAN;
  for (int i = 0; i < 6; ++i) {
    LampTester tester = {.n_lamps = 1, .lamps = {bad[i]}};
    assert_int_equal(lamp_ready(&tester, 3), STATUS_BAD_ARG);
  }
  LampTester tester = {.n_lamps = LAMP_MAX + 1};
  assert_int_equal(lamp_ready(&tester, 3), STATUS_BAD_ARG);
  tester = (LampTester){.n_batteries = 1, .batteries = {{0, 0, 9.0, 1.0}}};
  assert_int_equal(lamp_ready(&tester, 3), STATUS_BAD_ARG);
}

/// Laws on random symmetric feeds and random testers: a 2-3 crossing under phantom changes no lamp
/// at all, and turning every supply round mirrors every colour of a tester with equal diodes.
static void
crossing_and_mirror_laws(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 22);
  for (int round = 0; round < 2000; ++round) {
    Port port;
    port_init(&port, 3);
    port_earth(&port, 0, 0.01);
    const double feed_ohm = rng_log(&rng, 100.0, 10000.0);
    port_source_to_earth(&port, 1, 48.0, feed_ohm);
    port_source_to_earth(&port, 2, 48.0, feed_ohm);
    LampTester tester = {.n_lamps = rng_below(&rng, LAMP_MAX + 1)};
    const LampDiode diode = lamp_diode(1.5 + rng_unit(&rng), 0.03 + 0.05 * rng_unit(&rng), 5.0);
    for (int i = 0; i < tester.n_lamps; ++i) {
      const int a = rng_below(&rng, 3);
      tester.lamps[i] =
        (Lamp){a, (a + 1 + rng_below(&rng, 2)) % 3, rng_log(&rng, 47.0, 1e4), diode, diode};
    }
    assert_int_equal(lamp_ready(&tester, 3), STATUS_OK);
    Port crossed = port;
    port_permute(&crossed, (const uint8_t[]){0, 2, 1});
    Port turned = port;
    for (int i = 0; i < 3; ++i) {
      turned.j[i] = -turned.j[i];
      turned.t[i] = -turned.t[i];
    }
    double straight_a[LAMP_MAX], crossed_a[LAMP_MAX], turned_a[LAMP_MAX];
    assert_int_equal(lamp_solve(&tester, &port, straight_a, NULL, NULL), STATUS_OK);
    assert_int_equal(lamp_solve(&tester, &crossed, crossed_a, NULL, NULL), STATUS_OK);
    assert_int_equal(lamp_solve(&tester, &turned, turned_a, NULL, NULL), STATUS_OK);
    for (int i = 0; i < tester.n_lamps; ++i) {
      CHECK_NEAR("crossing", crossed_a[i], straight_a[i], 0.0);
      CHECK_NEAR("mirror", turned_a[i], -straight_a[i], 1e-11);
    }
  }
}

/// Contacts that hang on dark lamps alone, floating batteries, leaks of gigohms, milliohm shorts
/// beside them: every random tester settles, and its currents satisfy each lamp's own law at the
/// volts given.
static void
every_tester_settles(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 23);
  const int n_rounds_wanted = check_count(20000, 1000000);
  int most = 0;
  int n_unsettled = 0;
  for (int round = 0; round < n_rounds_wanted; ++round) {
    const int n = 2 + rng_below(&rng, round % 2 ? 3 : PORT_MAX - 1);
    Port port;
    port_init(&port, n);
    LampTester tester = {.n_lamps = rng_below(&rng, LAMP_MAX + 1),
                         .n_batteries = rng_below(&rng, 3)};
    for (int i = 0; i < n; ++i) {
      switch (rng_below(&rng, 4)) {
        case 0:
          port_source_to_earth(&port, i, 48.0, rng_log(&rng, 600.0, 10000.0));
          break;
        case 1:
          port_earth(&port, i, rng_log(&rng, 1e-2, 1e12));
          break;
        case 2:
          port_shunt(&port, i, (i + 1) % n, rng_log(&rng, 1e-3, 1e12));
          break;
        default: // Hangs in the air
          break;
      }
    }
    for (int i = 0; i < tester.n_lamps; ++i) {
      const int a = rng_below(&rng, n);
      tester.lamps[i] = (Lamp){a, (a + 1 + rng_below(&rng, n - 1)) % n, rng_log(&rng, 47.0, 1e4),
                               lamp_green(), lamp_red()};
    }
    for (int i = 0; i < tester.n_batteries; ++i) {
      const int a = rng_below(&rng, n);
      tester.batteries[i] = (LampBattery){a, (a + 1) % n, 12.0, rng_log(&rng, 1.0, 1000.0)};
    }
    assert_int_equal(lamp_ready(&tester, n), STATUS_OK);
    double lamp_a[LAMP_MAX], v[PORT_MAX];
    int n_rounds = 0;
    if (lamp_solve(&tester, &port, lamp_a, v, &n_rounds) != STATUS_OK) {
      ++n_unsettled;
      continue;
    }
    most = n_rounds > most ? n_rounds : most;
    for (int i = 0; i < tester.n_lamps; ++i) {
      double slope;
      const Lamp* const l = &tester.lamps[i];
      CHECK_NEAR("own law", lamp_a[i], lamp_current(&tester, i, v[l->a] - v[l->b], &slope), 0.0);
      assert_true(slope > 0.0);
    }
  }
  print_message("seed 23\n");
  check_figure("lamp_nets", n_rounds_wanted, "nets");
  check_figure("lamp_most_rounds", most, "rounds");
  check_figure("lamp_unsettled", n_unsettled, "nets");
  assert_int_equal(n_unsettled, 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(curves_keep_their_digits),
    cmocka_unit_test(one_lamp_by_hand),
    cmocka_unit_test(pictures),
    cmocka_unit_test(bad_testers_are_refused),
    cmocka_unit_test(crossing_and_mirror_laws),
    cmocka_unit_test(every_tester_settles),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
