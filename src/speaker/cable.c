// SPDX-License-Identifier: GPL-3.0-or-later
#include "speaker/cable.h"

#include <math.h>

CableFigures
cable_figures(double loop_ohm, double load_ohm, double amp_ohm)
{
  const double share = load_ohm / (load_ohm + loop_ohm);
  const double behind = amp_ohm + loop_ohm;
  return (CableFigures){.loop_ohm = loop_ohm,
                        .loss_db = 20.0 * log10(share),
                        .load_ratio = share * share,
                        .cable_ratio = 1.0 - share,
                        .damping_ratio = behind > 0.0 ? load_ohm / behind : (double)INFINITY};
}

CableWatts
cable_watts(double loop_ohm, double load_ohm, double volts)
{
  const double amps = volts / (loop_ohm + load_ohm);
  return (CableWatts){volts * amps, amps * amps * loop_ohm, amps * amps * load_ohm};
}

double
cable_loop_for(double load_ohm, double loss_db)
{
  return load_ohm * (pow(10.0, loss_db / 20.0) - 1.0);
}

double
cable_longest_m(const Conductor* conductor, double load_ohm, double loss_db)
{
  return cable_loop_for(load_ohm, loss_db) / (2.0 * conductor->max_ohm_per_m);
}

double
cable_section_mm2(double length_m, double load_ohm, double loss_db)
{
  static const double rows[] = {0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0};
  const double most_ohm = cable_loop_for(load_ohm, loss_db);
  for (unsigned i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const double loop = 2.0 * length_m * conductor_iec60228_ohm_per_km(rows[i], false) / 1000.0;
    if (loop <= most_ohm) {
      return rows[i];
    }
  }
  return 0.0;
}
