// SPDX-License-Identifier: GPL-3.0-or-later
#include "circuit/port.h"

#include "base/rng.h"
#include "circuit/section.h"
#include "support/check.h"

#include <string.h>

/// A random port of n contacts; with `tied`, every contact has a path to earth.
static Port
random_port(Rng* rng, int n, bool tied)
{
  Port port;
  port_init(&port, n);
  for (int b = 1; b < n; ++b) {
    for (int a = 0; a < b; ++a) {
      if (rng_below(rng, 4) > 0) {
        port_shunt(&port, a, b, rng_log(rng, 1e-2, 1e8));
      }
    }
  }
  for (int i = 0; i < n; ++i) {
    if (tied || rng_below(rng, 2) > 0) {
      port_source_to_earth(&port, i, 10.0 * rng_unit(rng) - 5.0, rng_log(rng, 1e-2, 1e6));
    }
  }
  return port;
}

static void
hand_rows(void** state)
{
  (void)state;
  Port port;
  double v[PORT_MAX];
  // 48 V through 6.8 k on two legs, 10 k across from leg 2 to contact 1, contact 1 to earth by 0.01
  port_init(&port, 3);
  port_earth(&port, 0, 0.01);
  port_source_to_earth(&port, 1, 48.0, 6800.0);
  port_source_to_earth(&port, 2, 48.0, 6800.0);
  port_shunt(&port, 1, 0, 10000.0);
  assert_int_equal(port_solve(&port, v), 0);
  const double current_a = 48.0 / 16800.01;
  CHECK_NEAR("leg 2", v[1], 48.0 - 6800.0 * current_a, 1e-12);
  CHECK_NEAR("leg 3", v[2], 48.0, 1e-12);
  CHECK_NEAR("contact 1", v[0], 0.01 * current_a, 1e-15);
  // A wire of 0 ohm changes nothing at all, an open leaves an exact nothing
  Port wire = port;
  port_series(&wire, 1, 0.0);
  assert_memory_equal(wire.g, port.g, 3 * sizeof(double));
  assert_memory_equal(wire.t, port.t, 3 * sizeof(double));
  assert_memory_equal(wire.e, port.e, 3 * sizeof(double));
  assert_memory_equal(wire.j, port.j, 3 * sizeof(double));
  Port cut = port;
  port_open(&cut, 1);
  assert_true(cut.g[port_pair(0, 1)] == 0.0 && cut.g[port_pair(1, 2)] == 0.0);
  assert_true(cut.e[1] == 0.0 && cut.j[1] == 0.0);
  assert_int_equal(port_solve(&cut, v), 1 << 1);
  CHECK_NEAR("leg 3 when leg 2 is cut", v[2], 48.0, 1e-12);
  CHECK_NEAR("contact 1 still fed through the load", v[0], 0.01 * current_a, 1e-15);
  // A floating battery: the difference is right, the group is reported
  port_init(&port, 3);
  port_source(&port, 1, 2, 9.0, 1000.0);
  port_shunt(&port, 1, 2, 2000.0);
  port_earth(&port, 0, 1.0);
  assert_int_equal(port_solve(&port, v), 6);
  CHECK_NEAR("floating battery", v[1] - v[2], 6.0, 1e-12);
}

static void
crossing_is_a_swap_and_back(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 11);
  for (int round = 0; round < 200; ++round) {
    const int n = 2 + rng_below(&rng, PORT_MAX - 1);
    const Port port = random_port(&rng, n, true);
    uint8_t map[PORT_MAX];
    for (int i = 0; i < n; ++i) {
      map[i] = (uint8_t)((i + 1) % n);
    }
    Port turned = port;
    double v[PORT_MAX], w[PORT_MAX];
    port_permute(&turned, map);
    port_solve(&port, v);
    port_solve(&turned, w);
    for (int i = 0; i < n; ++i) {
      CHECK_NEAR("rotated", w[i], v[map[i]], 1e-9);
    }
    for (int i = 1; i < n; ++i) {
      port_permute(&turned, map);
    }
    assert_memory_equal(turned.g, port.g, (size_t)(n * (n - 1) / 2) * sizeof(double));
  }
}

static void
series_leaves_open_volts_alone_and_open_is_its_limit(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 12);
  for (int round = 0; round < 500; ++round) {
    const int n = 2 + rng_below(&rng, PORT_MAX - 1);
    const Port port = random_port(&rng, n, true);
    const int k = rng_below(&rng, n);
    Port behind = port;
    double v[PORT_MAX], w[PORT_MAX];
    port_series(&behind, k, rng_log(&rng, 1e-3, 1e6));
    port_solve(&port, v);
    port_solve(&behind, w);
    for (int i = 0; i < n; ++i) {
      CHECK_NEAR("no current, no drop", w[i], v[i], 1e-9); // Also k: nothing draws there
    }
    Port cut = port;
    Port nearly = port;
    port_open(&cut, k);
    port_series(&nearly, k, 1e18);
    port_solve(&cut, v);
    port_solve(&nearly, w);
    for (int i = 0; i < n; ++i) {
      if (i != k) {
        CHECK_NEAR("open is the limit", w[i], v[i], 1e-9);
      }
    }
  }
}

/// The complex half at one frequency with only resistances must agree with the real half, and a
/// transformer of ratio r must carry a resistance over as 1 / r^2.
static void
both_halves_agree(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 13);
  for (int round = 0; round < 200; ++round) {
    const int n = 3 + rng_below(&rng, PORT_MAX - 2);
    Port port = random_port(&rng, n, true);
    PortAc ac;
    port_ac_init(&ac, n);
    for (int i = 0; i < n * (n - 1) / 2; ++i) {
      for (int lane = 0; lane < PORT_LANES; ++lane) {
        ac.g[i].re[lane] = port.g[i];
        ac.t[i].re[lane] = port.t[i];
      }
    }
    for (int i = 0; i < n; ++i) {
      for (int lane = 0; lane < PORT_LANES; ++lane) {
        ac.e[i].re[lane] = port.e[i];
        ac.j[i].re[lane] = port.j[i];
      }
    }
    const double ohm = rng_log(&rng, 1e-2, 1e6);
    const PortNumber z = {{ohm, ohm, ohm, ohm}, {0}};
    port_series(&port, 1, ohm);
    port_ac_series(&ac, 1, &z);
    port_open(&port, 2);
    port_ac_open(&ac, 2);
    double v[PORT_MAX];
    PortNumber w[PORT_MAX];
    assert_int_equal(port_solve(&port, v), port_ac_solve(&ac, w));
    for (int i = 0; i < n; ++i) {
      for (int lane = 0; lane < PORT_LANES; ++lane) {
        CHECK_NEAR("real in complex", w[i].re[lane], v[i], 1e-9);
        CHECK_NEAR("real in complex", w[i].im[lane], 0.0, 1e-12);
      }
    }
  }
  Port port;
  double v[PORT_MAX];
  port_init(&port, 5);
  port_source(&port, 1, 2, 8.0, 400.0);
  port_earth(&port, 1, 1e9);
  port_earth(&port, 2, 1e9);
  port_transformer(&port, 1, 2, 3, 4, 2.0);
  assert_int_equal(port.n, 3);
  port_earth(&port, 2, 1.0);
  port_shunt(&port, 1, 2, 300.0);
  port_solve(&port, v);
  // The 2 Gohm of leakage takes half a microvolt
  CHECK_NEAR("8 V behind 400 ohm by 2:1 is 4 V behind 100", v[1] - v[2], 3.0, 1e-6);
}

static void
section_is_the_same_from_both_ends(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 14);
  for (int round = 0; round < 100; ++round) {
    Section s = {.n = 3, .series_ohm = {3.0, 8.0, 9.0}};
    for (int i = 0; i < 3; ++i) {
      s.pair_siemens[i] = 1.0 / rng_log(&rng, 1e2, 1e9);
      s.earth_siemens[i] = 1.0 / rng_log(&rng, 1e2, 1e9);
      s.pair_f[i] = rng_log(&rng, 1e-12, 1e-6);
      s.room_f[i] = rng_log(&rng, 1e-12, 1e-6);
    }
    // Left + right joined at either end of the section gives the same far volts
    const Port left = random_port(&rng, 3, true);
    const Port right = random_port(&rng, 3, true);
    Port a = left;
    Port b = right;
    section_pass(&s, &a);
    section_pass(&s, &b);
    port_sum(&a, &right);
    port_sum(&b, &left);
    double va[3], vb[3], vl[3];
    port_solve(&a, va);
    port_solve(&b, vb);
    // Volts at the right end seen again from the left: drive the left port by a stiff copy of vb
    Port stiff = right;
    Port hold;
    port_init(&hold, 3);
    for (int i = 0; i < 3; ++i) {
      port_source_to_earth(&hold, i, vb[i], 1e-6);
    }
    section_pass(&s, &hold);
    port_sum(&stiff, &hold);
    port_solve(&stiff, vl);
    for (int i = 0; i < 3; ++i) {
      CHECK_NEAR("both ends", vl[i], va[i], 1e-5);
    }
  }
}

/// Sources between contacts put nothing into earth as a whole, however little ties the contacts to
/// it: the currents e v sum to nothing, to the digits of the largest of them. With the two ends of
/// a source kept as numbers of their own a 1 V source of 100 ohm tied by gigohms is a nanovolt off.
static void
sources_between_contacts_lift_nothing(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 15);
  print_message("seed 15\n");
  for (int round = 0; round < check_count(2000, 100000); ++round) {
    const int n = 2 + rng_below(&rng, PORT_MAX - 1);
    Port port;
    uint8_t map[PORT_MAX];
    port_init(&port, n);
    for (int i = 0; i < n; ++i) {
      port_earth(&port, i, rng_log(&rng, 1e8, 1e10));
      port_source(&port, i, (i + 1) % n, 1.0 - 2.0 * rng_unit(&rng), rng_log(&rng, 10.0, 1e4));
      map[i] = (uint8_t)((i + round) % n);
    }
    port_permute(&port, map);
    double v[PORT_MAX];
    assert_int_equal(port_solve(&port, v), 0);
    double sum_a = 0.0;
    double most_a = 0.0;
    for (int i = 0; i < n; ++i) {
      sum_a += port.e[i] * v[i];
      most_a = fmax(most_a, fabs(port.e[i] * v[i]));
    }
    CHECK_NEAR("nothing into earth", sum_a, 0.0, 1e-12 * most_a);
  }
  // Two legs alike, through sections alike: what ties the third contact stands in the middle
  for (int round = 0; round < 500; ++round) {
    Port port;
    port_init(&port, 3);
    port_source(&port, 1, 2, 1.0, rng_log(&rng, 10.0, 1e3));
    for (int n_sections = 1 + rng_below(&rng, 6); n_sections > 0; --n_sections) {
      const double leg_ohm = rng_log(&rng, 0.01, 1e4);
      const Section s = {.n = 3,
                         .series_ohm = {rng_log(&rng, 0.01, 1e4), leg_ohm, leg_ohm},
                         .pair_siemens = {1e-10, 1e-10, rng_log(&rng, 1e-9, 1e-3)},
                         .earth_siemens = {1e-9, 1e-9, 1e-9}};
      section_pass(&s, &port);
    }
    double v[3];
    port_solve(&port, v);
    CHECK_NEAR("the middle", v[0], 0.0, 1e-14);
    CHECK_NEAR("the legs", v[1] + v[2], 0.0, 1e-14);
  }
}

/// Three contacts have sums of their own, written out: to the bit those of four contacts of which
/// one leads nowhere.
static void
three_contacts_as_any_number(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 16);
  print_message("seed 16\n");
  for (int round = 0; round < 5000; ++round) {
    Port three = random_port(&rng, 3, rng_below(&rng, 4) > 0);
    if (rng_below(&rng, 2) > 0) {
      port_source(&three, rng_below(&rng, 2), 2, 9.0, rng_log(&rng, 1.0, 1e4));
    }
    const Section s = {.n = 3,
                       .series_ohm = {rng_log(&rng, 0.01, 1e3),
                                      rng_below(&rng, 3) ? 0.0 : (double)INFINITY,
                                      rng_log(&rng, 0.01, 1e3)}};
    Section wide = s;
    Port four;
    wide.n = 4;
    port_copy(&four, &three);
    four.n = 4;
    four.e[3] = four.j[3] = 0.0;
    for (int a = 0; a < 3; ++a) {
      four.g[port_pair(a, 3)] = four.t[port_pair(a, 3)] = 0.0;
    }
    section_pass(&s, &three);
    section_pass(&wide, &four);
    double v[3], w[4];
    const uint32_t floats = port_solve(&three, v);
    assert_int_equal(port_solve(&four, w), floats | 8);
    for (int i = 0; i < 3; ++i) {
      assert_true(v[i] == w[i]);
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(hand_rows),
    cmocka_unit_test(crossing_is_a_swap_and_back),
    cmocka_unit_test(series_leaves_open_volts_alone_and_open_is_its_limit),
    cmocka_unit_test(both_halves_agree),
    cmocka_unit_test(section_is_the_same_from_both_ends),
    cmocka_unit_test(sources_between_contacts_lift_nothing),
    cmocka_unit_test(three_contacts_as_any_number),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
