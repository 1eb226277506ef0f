// SPDX-License-Identifier: GPL-3.0-or-later

/*
  One checksum over everything the circuit engine gives on random circuits, bit for bit.
  tests/numbers builds this with each compiler at -O0 and -O3 and compares what they print: the
  engine's results may not depend on who compiled it, or two boxes could give different advice.
*/

#include "base/rng.h"
#include "circuit/lamp.h"
#include "circuit/port.h"
#include "circuit/section.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/// FNV-1a, 64 bits (Fowler, Noll, Vo), over the bytes of doubles.
static void
sum_up(uint64_t* sum, const double* values, int n)
{
  for (int i = 0; i < n; ++i) {
    uint64_t bits = 0;
    memcpy(&bits, &values[i], sizeof(bits));
    for (int b = 0; b < 64; b += 8) {
      *sum = (*sum ^ (bits >> b & 0xFF)) * UINT64_C(0x100000001B3);
    }
  }
}

static Section
random_section(Rng* rng, int n)
{
  Section section = {.n = n};
  for (int i = 0; i < n; ++i) {
    section.series_ohm[i] = rng_below(rng, 12) ? rng_log(rng, 1e-3, 1e3) : INFINITY;
    section.room_f[i] = rng_log(rng, 1e-13, 1e-11);
    for (int k = 0; k < i; ++k) {
      section.pair_siemens[port_pair(k, i)] = rng_below(rng, 6) ? 1e-9 : rng_log(rng, 1e-6, 1.0);
      section.pair_f[port_pair(k, i)] = rng_log(rng, 1e-12, 1e-8);
    }
  }
  return section;
}

static void
one_line(Rng* rng, uint64_t* sum)
{
  const PortTones tones = {{50.0, 100.0, 1e3, 1e4}, {0.0, 1.0, 1.0, 1.0}, {230.0, 0.0, 0.0, 0.0}};
  const int n = 3 + rng_below(rng, 2);
  Port dc;
  PortAc ac;
  port_init(&dc, n);
  port_ac_init(&ac, n);
  for (int i = 0; i < n; ++i) {
    port_source_to_earth(&dc, i, i ? 48.0 : 0.0, i ? rng_log(rng, 6e3, 7e3) : 0.1);
    PortNumber y = {0};
    for (int lane = 0; lane < PORT_LANES; ++lane) {
      y.re[lane] = rng_log(rng, 1e-6, 1e-1);
      y.im[lane] = rng_log(rng, 1e-9, 1e-3);
    }
    port_ac_earth(&ac, i, &y);
    port_ac_inject(&ac, i, &y);
  }
  for (int n_left = 2 + rng_below(rng, 7); n_left > 0; --n_left) {
    const Section section = random_section(rng, n);
    section_pass(&section, &dc);
    section_pass_ac(&section, &tones, &ac);
  }
  double volts[PORT_MAX];
  PortNumber ac_volts[PORT_MAX];
  (void)port_solve(&dc, volts);
  (void)port_ac_solve(&ac, ac_volts);
  sum_up(sum, volts, n);
  for (int i = 0; i < n; ++i) {
    sum_up(sum, ac_volts[i].re, PORT_LANES);
    sum_up(sum, ac_volts[i].im, PORT_LANES);
  }
  LampTester tester = {.n_lamps = 3};
  for (int i = 0; i < 3; ++i) {
    tester.lamps[i] = (Lamp){i ? 2 : 1,
                             i == 1 ? 0
                             : i    ? 1
                                    : 0,
                             rng_log(rng, 300.0, 5e3), lamp_green(), lamp_red()};
  }
  double lamp_a[LAMP_MAX];
  int n_rounds = 0;
  if (lamp_ready(&tester, n) == STATUS_OK &&
      lamp_solve(&tester, &dc, lamp_a, volts, &n_rounds) == STATUS_OK) {
    sum_up(sum, lamp_a, 3);
    sum_up(sum, volts, n);
  }
}

int
main(void)
{
  uint64_t sum = UINT64_C(0xCBF29CE484222325);
  Rng rng;
  rng_init(&rng, 4);
  for (int i = 0; i < 2000; ++i) {
    one_line(&rng, &sum);
  }
  printf("%016" PRIx64 "\n", sum);
  return 0;
}
