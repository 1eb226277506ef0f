// SPDX-License-Identifier: GPL-3.0-or-later

/*
  One number for everything the circuit room computes: a fixed sweep of microphone lines and of
  lines of two to eight contacts, with faults, looks, lamps and frequencies, every result's bits
  folded in (FNV-1a; Fowler, Noll, Vo). Must not depend on compiler or level, or two boxes could
  give different advice.
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

static bool
microphone_lines(uint64_t* sum)
{
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
      return false;
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
        return false;
      }
      fold(sum, lamp_a, 3);
      fold(sum, v, 3);
      chain_look_ac(chain, joint, CHAIN_BOTH, &edit, 1, &ac);
      port_ac_solve(&ac, ac_v);
      for (int k = 0; k < 3; ++k) {
        fold(sum, ac_v[k].re, PORT_LANES);
        fold(sum, ac_v[k].im, PORT_LANES);
      }
    }
    ChainHeard heard[PORT_LANES];
    chain_transfer(chain, 5, &edit, 1, heard);
    for (int lane = 0; lane < PORT_LANES; ++lane) {
      fold(sum, &heard[lane].db, 1);
    }
    arena_deinit(&arena);
  }
  return true;
}

/// Branches of every sort at an end of n contacts.
static int
random_branches(Rng* rng, int n, ChainBranch out[2 * PORT_MAX])
{
  for (int i = 0; i < 2 * n; ++i) {
    out[i] = (ChainBranch){.a = i % n,
                           .b = i < n ? CHAIN_EARTH - rng_below(rng, 2)
                                      : (i + 1 + rng_below(rng, n - 1)) % n,
                           .ohm = rng_log(rng, 1.0, 1e5),
                           .series_f = rng_below(rng, 3) ? (double)INFINITY : 1e-6,
                           .emf_v = rng_unit(rng),
                           .battery_v = 24.0 * rng_unit(rng),
                           .direct_only = rng_below(rng, 6) == 0};
  }
  return 2 * n;
}

static bool
wide_lines(uint64_t* sum)
{
  Rng rng;
  rng_init(&rng, 4);
  for (int round = 0; round < 2000; ++round) {
    const int n = 2 + round % (PORT_MAX - 1);
    ChainBranch branches[2][2 * PORT_MAX] = {{{0}}};
    ChainElement e[5] = {{.kind = CHAIN_PARTS, .near = -1, .far = 0},
                         {.kind = CHAIN_SECTION, .near = 0, .far = 1},
                         {.kind = CHAIN_ADAPTOR, .near = 1, .far = 2},
                         {.kind = CHAIN_SECTION, .near = 2, .far = 3},
                         {.kind = CHAIN_PARTS, .near = 3, .far = -1}};
    for (int end = 0; end < 2; ++end) {
      const int n_branches = random_branches(&rng, n, branches[end]);
      e[4 * end].as.parts = (ChainParts){branches[end], n_branches};
      Section* const s = &e[1 + 2 * end].as.section;
      s->n = n;
      for (int i = 0; i < n; ++i) {
        s->series_ohm[i] = rng_below(&rng, 12) ? rng_log(&rng, 1e-3, 1e3) : (double)INFINITY;
        s->room_f[i] = rng_log(&rng, 1e-13, 1e-11);
        for (int k = 0; k < i; ++k) {
          s->pair_siemens[port_pair(k, i)] = rng_below(&rng, 6) ? 1e-9 : rng_log(&rng, 1e-6, 1.0);
          s->pair_f[port_pair(k, i)] = rng_log(&rng, 1e-12, 1e-8);
        }
      }
    }
    e[2].as.adaptor = chain_adaptor_straight();
    const int last = e[2].as.adaptor.map[n - 1];
    e[2].as.adaptor.map[n - 1] = e[2].as.adaptor.map[0];
    e[2].as.adaptor.map[0] = (int8_t)(round % 3 ? last : -1);
    Arena arena;
    arena_init(&arena, NULL);
    const Chain* chain = NULL;
    if (chain_build(&arena, n, e, 5, NULL, &chain) != STATUS_OK) {
      return false;
    }
    ChainEdit edit = {.element = 1 + 2 * rng_below(&rng, 2),
                      .change = (ChainChange)rng_below(&rng, 4),
                      .a = rng_below(&rng, n),
                      .ohm = rng_log(&rng, 0.1, 1e6)};
    edit.b = (edit.a + 1) % n;
    for (int i = 0; i < n; ++i) {
      edit.map[i] = (uint8_t)((i + 1) % n);
    }
    LampTester tester = {.n_lamps = 3};
    for (int i = 0; i < 3; ++i) {
      const int at = rng_below(&rng, n);
      tester.lamps[i] =
        (Lamp){at, (at + 1) % n, rng_log(&rng, 300.0, 5e3), lamp_green(), lamp_red()};
    }
    if (lamp_ready(&tester, n) != STATUS_OK) {
      return false;
    }
    for (int joint = 0; joint < chain_joints(chain); ++joint) {
      Port port;
      PortAc ac;
      PortNumber ac_v[PORT_MAX];
      double lamp_a[3], v[PORT_MAX];
      chain_look(chain, joint, (ChainSide)(round % 3), &edit, 1, &port);
      (void)port_solve(&port, v);
      fold(sum, v, (size_t)n);
      if (lamp_solve(&tester, &port, lamp_a, v, NULL) == STATUS_OK) {
        fold(sum, lamp_a, 3);
        fold(sum, v, (size_t)n);
      }
      chain_look_ac(chain, joint, (ChainSide)(round % 3), &edit, 1, &ac);
      (void)port_ac_solve(&ac, ac_v);
      for (int k = 0; k < n; ++k) {
        fold(sum, ac_v[k].re, PORT_LANES);
        fold(sum, ac_v[k].im, PORT_LANES);
      }
    }
    arena_deinit(&arena);
  }
  return true;
}

int
main(void)
{
  uint64_t sum = 14695981039346656037u;
  if (!microphone_lines(&sum) || !wide_lines(&sum)) {
    return 1;
  }
  printf("%016llx\n", (unsigned long long)sum);
  return 0;
}
