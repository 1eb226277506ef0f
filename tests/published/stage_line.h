// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  The plain line that the project's tables are worked out on:

      source -o- 10 m -o- 60 m -o- desk   0.08 ohm/m legs, shield 0.02 (10 m) and 0.03 (60 m)
              0 (1)    1 (2)    2 (3)     60 pF/m between the legs, 100 pF/m each to contact 1

  The box lies between the two, so "mic end" is joint 0, "box end" joint 1, "desk end" joint 2;
  faults at the box lie at the near end of element 2.
*/

#include "circuit/chain.h"

enum { LINE_ELEMENTS = 4, LINE_DESK = 3 };

static inline Section
line_cable(double m, double shield_ohm_per_m)
{
  return (Section){.n = 3,
                   .series_ohm = {shield_ohm_per_m * m, 0.08 * m, 0.08 * m},
                   .pair_f = {100e-12 * m, 100e-12 * m, 60e-12 * m},
                   .room_f = {10e-12 * m}};
}

static inline ChainLeaf
line_desk(void)
{
  ChainLeaf desk = chain_leaf_nothing();
  desk.feed_v = 48.0;
  desk.feed_ohm[0] = desk.feed_ohm[1] = 6810.0;
  desk.input_ohm = 2000.0;
  desk.input_blocked = true;
  desk.leg_earth_f[0] = desk.leg_earth_f[1] = 100e-12;
  desk.earth_ohm = 0.01;
  return desk;
}

static inline ChainLeaf
line_source(ChainDrive drive, double ohm)
{
  ChainLeaf source = chain_leaf_nothing();
  source.drive = drive;
  source.emf_v = 1.0;
  source.source_ohm = ohm;
  source.leg_f = 20e-12;
  source.room_f = 50e-12;
  return source;
}

static inline void
line_elements(ChainElement e[LINE_ELEMENTS], ChainLeaf source, ChainLeaf desk)
{
  e[0] = (ChainElement){.kind = CHAIN_LEAF, .near = -1, .far = 0, .as.leaf = source};
  e[1] =
    (ChainElement){.kind = CHAIN_SECTION, .near = 0, .far = 1, .as.section = line_cable(10, 0.02)};
  e[2] =
    (ChainElement){.kind = CHAIN_SECTION, .near = 1, .far = 2, .as.section = line_cable(60, 0.03)};
  e[3] = (ChainElement){.kind = CHAIN_LEAF, .near = 2, .far = -1, .as.leaf = desk};
}
