// SPDX-License-Identifier: GPL-3.0-or-later

/*
  One number for everything the circuit room computes: a fixed sweep of lines, faults, looks, lamps
  and frequencies, every result's bits folded in (FNV-1a). Must not depend on compiler or level.
*/

#include "base/rng.h"
#include "circuit/lamp.h"
#include "published/stage_line.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

static void
fold(uint64_t* sum, const double* values, size_t n)
{
  for (size_t i = 0; i < n; ++i) {
    const double value = values[i] == 0.0 ? 0.0 : values[i]; // One zero, whatever its sign
    unsigned char bytes[sizeof(value)];
    memcpy(bytes, &value, sizeof(value));
    for (size_t k = 0; k < sizeof(value); ++k) {
      *sum = (*sum ^ bytes[k]) * 1099511628211u;
    }
  }
}

int
main(void)
{
  uint64_t sum = 14695981039346656037u;
  Rng rng;
  rng_init(&rng, 77);
  for (int round = 0; round < 2000; ++round) {
    Arena arena;
    arena_init(&arena, NULL);
    ChainElement e[LINE_ELEMENTS + 2];
    line_elements(e, line_source((ChainDrive)(round % 5), rng_log(&rng, 20.0, 2000.0)),
                  line_desk());
    e[4] = (ChainElement){.kind = CHAIN_TRANSFORMER,
                          .near = 1,
                          .far = 3,
                          .as.transformer = {60.0, 60.0, 5.0, rng_log(&rng, 0.1, 10.0), 47e-6,
                                             round % 2 ? INFINITY : 0.01, 1e-10, 1e10}};
    e[5] = e[3];
    e[5].near = 3;
    const Chain* chain = NULL;
    if (chain_build(&arena, 3, e, 6, NULL, &chain) != STATUS_OK) {
      return 1;
    }
    ChainEdit edit = {.element = 1 + rng_below(&rng, 2),
                      .change = (ChainChange)rng_below(&rng, 4),
                      .a = rng_below(&rng, 3),
                      .ohm = rng_log(&rng, 0.1, 1e6),
                      .map = {1, 2, 0}};
    edit.b = (edit.a + 1) % 3;
    LampTester tester = {.n_lamps = 3,
                         .lamps = {{1, 0, rng_log(&rng, 47, 1e4), lamp_green(), lamp_red()},
                                   {2, 0, rng_log(&rng, 47, 1e4), lamp_green(), lamp_red()},
                                   {1, 2, rng_log(&rng, 47, 1e4), lamp_green(), lamp_red()}}};
    lamp_ready(&tester, 3);
    for (int joint = 0; joint < chain_joints(chain); ++joint) {
      Port port;
      PortAc ac;
      PortNumber ac_v[3];
      double lamp_a[3], v[3];
      chain_look(chain, joint, (ChainSide)(round % 3), &edit, 1, &port);
      if (lamp_solve(&tester, &port, lamp_a, v, NULL) != STATUS_OK) {
        return 1;
      }
      fold(&sum, lamp_a, 3);
      fold(&sum, v, 3);
      chain_look_ac(chain, joint, CHAIN_BOTH, &edit, 1, &ac);
      port_ac_solve(&ac, ac_v);
      for (int k = 0; k < 3; ++k) {
        fold(&sum, ac_v[k].re, PORT_LANES);
        fold(&sum, ac_v[k].im, PORT_LANES);
      }
    }
    ChainHeard heard[PORT_LANES];
    chain_transfer(chain, 5, &edit, 1, heard);
    for (int lane = 0; lane < PORT_LANES; ++lane) {
      fold(&sum, &heard[lane].db, 1);
    }
    arena_deinit(&arena);
  }
  printf("%016llx\n", (unsigned long long)sum);
  return 0;
}
