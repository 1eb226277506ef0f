// SPDX-License-Identifier: GPL-3.0-or-later
#include "speaker/limit.h"

#include <math.h>

// Least nominal load of a channel where nobody says: usual practice, no source.
static const double usual_least_ohm[] =
  {[OUTPUT_SINGLE] = 2.0, [OUTPUT_BRIDGED] = 4.0, [OUTPUT_PARALLEL] = 1.0};

double
limit_volts(double watts, double ohm)
{
  return sqrt(watts * ohm);
}

double
limit_watts(double volts, double ohm)
{
  return volts * volts / ohm;
}

LimitVolts
limit_of_volts(double volts)
{
  return volts > LIMIT_PROFESSIONAL_V ? LIMIT_OVER_PROFESSIONAL
         : volts > LIMIT_ORDINARY_V   ? LIMIT_OVER_ORDINARY
         : volts > LIMIT_ELV_V        ? LIMIT_OVER_ELV
                                      : LIMIT_BELOW;
}

const char*
limit_volts_text(LimitVolts limit)
{
  static const char* const texts[] = {
    [LIMIT_BELOW] = "below 50 V (extra low voltage, IEC 61140)",
    [LIMIT_OVER_ELV] = "over 50 V: no extra low voltage any more (IEC 61140)",
    [LIMIT_OVER_ORDINARY] = "over 71 V: more than ordinary apparatus may have on a terminal that "
                            "can be touched (IEC 60065 9.1.1.1)",
    [LIMIT_OVER_PROFESSIONAL] = "over 120 V: more than professional apparatus may have on a "
                                "terminal that can be touched (IEC 60065 9.1.1.1)"};
  return texts[limit];
}

LimitLoad
limit_load(const OutputCircuit* circuit)
{
  const double line_ohm =
    circuit->line_v > 0.0 && circuit->tap_w > 0.0
      ? circuit->line_v * circuit->line_v / (circuit->tap_w * circuit->n_boxes)
      : 0.0;
  const double nominal = line_ohm > 0.0 ? line_ohm : circuit->nominal_ohm;
  const bool is_said = circuit->amp_min_ohm > 0.0;
  LimitLoad load = {.nominal_ohm = nominal,
                    .least_ohm = LIMIT_LEAST_RATIO * nominal,
                    .channel_ohm = circuit->mode == OUTPUT_BRIDGED    ? 0.5 * nominal
                                   : circuit->mode == OUTPUT_PARALLEL ? 2.0 * nominal
                                                                      : nominal,
                    .allowed_ohm = is_said ? circuit->amp_min_ohm : usual_least_ohm[circuit->mode],
                    .allowed_is_assumed = !is_said};
  // A list rounds: 2.67 against 2.7 is no difference
  load.is_too_low = nominal > 0.0 && nominal < 0.98 * load.allowed_ohm;
  return load;
}
