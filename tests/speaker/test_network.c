// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Networks of resistors, coils and capacitors: rows worked out by hand, and laws on random ones.
*/

#include "base/rng.h"
#include "speaker/network.h"
#include "support/check.h"

static int
add(Network* n, NetworkKind kind, double value)
{
  const int at = network_add(n, kind, value);
  assert_true(at >= 0);
  return at;
}

static int
join(Network* n, NetworkKind kind, int a, int b)
{
  const int at = network_join(n, kind, a, b);
  assert_true(at >= 0);
  return at;
}

// 8 ohm parallel to (20 uF in series with 8 ohm), behind 1 ohm. At direct current 9 ohm. At
// 1 / (2 pi 8 x 20e-6) = 994.718 Hz the branch is 8 - 8j: 8 || (8 - 8j) = (64 - 64j) / (16 - 8j) =
// 64 (1 - j)(16 + 8j) / 320 = 64 (24 - 8j) / 320 = 4.8 - 1.6j; with the ohm 5.8 - 1.6j: 6.0166 ohm
// at -15.422 degrees.
static void
a_passive_box_by_hand(void** state)
{
  (void)state;
  Network n = {0};
  const int low = add(&n, NETWORK_OHM, 8.0);
  const int c = add(&n, NETWORK_FARAD, 20e-6);
  const int high = add(&n, NETWORK_OHM, 8.0);
  const int both = join(&n, NETWORK_PARALLEL, low, join(&n, NETWORK_SERIES, c, high));
  const int wire = add(&n, NETWORK_OHM, 1.0);
  join(&n, NETWORK_SERIES, wire, both);
  CHECK_NEAR("direct", network_dc(&n, NULL), 9.0, 1e-12);
  const NetworkOhm z = network_ac(&n, 994.71839432, NULL);
  CHECK_NEAR("re", z.re_ohm, 5.8, 1e-8);
  CHECK_NEAR("im", z.im_ohm, -1.6, 1e-8);
  CHECK_NEAR("size", network_size_ohm(z), 6.01664, 1e-5);
  CHECK_NEAR("phase", network_phase_deg(z), -15.4222, 1e-4);
  // 6.01664 V drive 1 A: 1 W in the wire, |4.8 - 1.6j|^2 / 8 = 3.2 W in the low driver, and
  // 25.6 / 128 x 8 = 1.6 W in the high one
  double watts[16];
  network_watts(&n, 994.71839432, network_size_ohm(z), watts);
  CHECK_NEAR("wire", watts[wire], 1.0, 1e-9);
  CHECK_NEAR("low", watts[low], 3.2, 1e-8);
  CHECK_NEAR("high", watts[high], 1.6, 1e-8);
  CHECK_NEAR("capacitor", watts[c], 0.0, 1e-12);
  network_watts(&n, 0.0, 9.0, watts); // 1 A, all of it through the low driver
  CHECK_NEAR("low", watts[low], 8.0, 1e-12);
  CHECK_NEAR("high", watts[high], 0.0, 0.0);
}

static void
open_and_short_are_exact(void** state)
{
  (void)state;
  Network n = {0};
  const int a = add(&n, NETWORK_OHM, INFINITY);
  const int b = add(&n, NETWORK_OHM, 5.0);
  const int both = join(&n, NETWORK_PARALLEL, a, b);
  CHECK_NEAR("open beside 5", network_dc(&n, NULL), 5.0, 0.0);
  const int zero = add(&n, NETWORK_OHM, 0.0);
  const int shorted = join(&n, NETWORK_PARALLEL, both, zero);
  CHECK_NEAR("short beside 5", network_dc(&n, NULL), 0.0, 0.0);
  join(&n, NETWORK_SERIES, shorted, add(&n, NETWORK_FARAD, 1e-6));
  assert_true(isinf(network_dc(&n, NULL)));
  assert_false(network_ac(&n, 100.0, NULL).is_open);
  const int whole = n.n - 1;
  join(&n, NETWORK_SERIES, whole, add(&n, NETWORK_OHM, INFINITY));
  assert_true(network_ac(&n, 100.0, NULL).is_open);
  assert_true(isinf(network_size_ohm(network_ac(&n, 100.0, NULL))));
  assert_int_equal(network_join(&n, NETWORK_SERIES, -1, 0), -1);
  while (n.n < NETWORK_MAX) {
    (void)network_add(&n, NETWORK_OHM, 1.0);
  }
  assert_int_equal(network_add(&n, NETWORK_OHM, 1.0), -1);
}

static int
random_part(Network* n, Rng* rng, int depth)
{
  const int what = rng_below(rng, depth > 0 ? 5 : 3);
  switch (what) {
    case 0:
      return add(n, NETWORK_OHM, rng_log(rng, 0.01, 100.0));
    case 1:
      return add(n, NETWORK_HENRY, rng_log(rng, 1e-5, 1e-1));
    case 2:
      return add(n, NETWORK_FARAD, rng_log(rng, 1e-7, 1e-2));
    default: {
      const int a = random_part(n, rng, depth - 1);
      return join(n, what == 3 ? NETWORK_SERIES : NETWORK_PARALLEL, a,
                  random_part(n, rng, depth - 1));
    }
  }
}

// What is turned into heat in the resistors is what the whole draws; passive: never a negative
// resistance. More resistance in series never draws more at direct current.
static void
random_networks_keep_the_laws(void** state)
{
  (void)state;
  const uint64_t seed = 4711;
  Rng rng;
  rng_init(&rng, seed);
  printf("seed %llu\n", (unsigned long long)seed);
  for (int round = 0; round < check_count(2000, 100000); ++round) {
    Network n = {0};
    double watts[NETWORK_MAX];
    const int first = add(&n, NETWORK_OHM, 0.1);
    join(&n, NETWORK_SERIES, first, random_part(&n, &rng, 5));
    const double hz = rng_log(&rng, 20.0, 20000.0);
    const NetworkOhm z = network_ac(&n, hz, NULL);
    assert_true(!z.is_open && z.re_ohm >= 0.1 - 1e-9 * network_size_ohm(z));
    network_watts(&n, hz, 10.0, watts);
    double sum = 0.0;
    for (int i = 0; i < n.n; ++i) {
      sum += n.nodes[i].kind == NETWORK_OHM ? watts[i] : 0.0;
    }
    const double drawn = 100.0 * z.re_ohm / (network_size_ohm(z) * network_size_ohm(z));
    CHECK_NEAR("heat", sum, drawn, 1e-6 * drawn + 1e-12);
    const double before = network_dc(&n, NULL);
    n.nodes[0].value += 1.0;
    assert_true(isinf(before) ? isinf(network_dc(&n, NULL))
                              : network_dc(&n, NULL) > before + 0.999);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_passive_box_by_hand),
    cmocka_unit_test(open_and_short_are_exact),
    cmocka_unit_test(random_networks_keep_the_laws),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
