// SPDX-License-Identifier: GPL-3.0-or-later
#include "circuit/conductor.h"

#include <math.h>
#include <stddef.h>

/*
  IEC 60228, classes 5 and 6, largest DC resistance at 20 C. Two public copies of the table agree;
  the standard itself was not seen. It starts at 0.5 mm2 and leaves out telecom and signal cable, so
  there is no row for the 0.22 mm2 of most microphone cable.
*/
static const struct {
  double mm2, plain_ohm_per_km, tinned_ohm_per_km;
} table[] = {
  {0.5, 39.0, 40.1}, {0.75, 26.0, 26.7}, {1, 19.5, 20.0},  {1.5, 13.3, 13.7}, {2.5, 7.98, 8.21},
  {4, 4.95, 5.09},   {6, 3.30, 3.39},    {10, 1.91, 1.95}, {16, 1.21, 1.24},
};
enum { N_TABLE = sizeof(table) / sizeof(table[0]) };

double
conductor_iec60228_ohm_per_km(double mm2, bool tinned)
{
  for (int i = 0; i < N_TABLE; ++i) {
    if (fabs(mm2 - table[i].mm2) <= 0.005 * table[i].mm2) {
      return tinned ? table[i].tinned_ohm_per_km : table[i].plain_ohm_per_km;
    }
  }
  return 0.0;
}

Status
conductor_of_mm2(double mm2, Conductor* conductor)
{
  if (!(mm2 >= 0.03 && mm2 <= 50.0)) {
    return STATUS_BAD_ARG;
  }
  const double row = conductor_iec60228_ohm_per_km(mm2, false);
  const double pure = CONDUCTOR_COPPER_OHM_MM2_PER_M / mm2;
  *conductor =
    row > 0.0
      ? (Conductor){mm2, row / 1000.0, pure, false,
                    "IEC 60228 class 5, plain copper (a maximum; from public copies of the table)"}
      : (Conductor){
          mm2, pure * CONDUCTOR_STRANDED_RATIO, pure, true,
          "estimate: solid copper 1/58 ohm mm2/m, and 13 % for stranding; IEC 60228 has no "
          "such section"};
  return STATUS_OK;
}

double
conductor_awg_mm(int gauge)
{
  return 0.127 * pow(92.0, (36.0 - gauge) / 39.0);
}

Status
conductor_of_awg(int gauge, Conductor* conductor)
{
  if (gauge < 0 || gauge > 40) {
    return STATUS_BAD_ARG;
  }
  const double pi = 3.14159265358979323846;
  const double mm2 = 0.25 * pi * conductor_awg_mm(gauge) * conductor_awg_mm(gauge);
  const double pure = CONDUCTOR_COPPER_OHM_MM2_PER_M / mm2;
  *conductor = (Conductor){mm2, pure * CONDUCTOR_STRANDED_RATIO, pure, true,
                           "estimate: ASTM B258 diameter, solid copper, and 13 % for stranding"};
  return STATUS_OK;
}

double
conductor_at_c(double ohm_20c, double celsius)
{
  return ohm_20c * (234.5 + celsius) / 254.5;
}

double
conductor_table_factor(double celsius)
{
  return 1.0 / (1.0 + 0.004 * (celsius - 20.0));
}

ConductorLimit
conductor_limit(ConductorRule rule, const Conductor* conductor, double length_m, double celsius,
                int n_contacts)
{
  const bool known = conductor && length_m > 0.0;
  const double copper = known ? conductor_at_c(length_m * conductor->max_ohm_per_m, celsius) : 0.0;
  if (rule == CONDUCTOR_BY_620) {
    const bool flat = !known || 1.0 + copper <= 2.0;
    return (ConductorLimit){flat ? 2.0 : 1.0 + copper, copper, flat,
                            flat
                              ? "IPC/WHMA-A-620, nothing else agreed: 2 ohm (from a secondary copy)"
                              : "IPC/WHMA-A-620, nothing else agreed: 1 ohm + conductor (from a "
                                "secondary copy)"};
  }
  return (ConductorLimit){known ? copper + n_contacts * CONDUCTOR_CONTACT_OHM : (double)NAN, copper,
                          false, known ? conductor->source : "no length or section given"};
}

double
conductor_rejection_db(double leg_a_ohm, double leg_b_ohm, double common_ohm)
{
  const double a = common_ohm / (common_ohm + leg_a_ohm);
  const double b = common_ohm / (common_ohm + leg_b_ohm);
  return a == b ? (double)INFINITY : -20.0 * log10(fabs(a - b));
}
