// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/output.h"

/*
  How far a circuit may go: volts that hurt people, ohms that hurt amplifiers.

  Volts decide, not watts: 300 W into 4 ohm are 34.6 V, 320 W into 8 ohm are over 50 V. Equipment
  rules tolerate more on audio terminals (71 and 120 V) than is extra low voltage (50 V, and 25 V
  where it may be touched), so a certified amplifier is not one that may be touched. Lines of 70 and
  100 V are over it by design.
*/

#define LIMIT_TOUCH_V 25.0 ///< AC, touchable without insulation, dry: IEC 60364-4-41 414.4.5 (seen)
#define LIMIT_WET_V 12.0   ///< The same otherwise (wet): from memory
#define LIMIT_ELV_V 50.0   ///< Extra low voltage, AC rms: IEC 61140, IEC 60364-4-41 cl. 414 (seen)
#define LIMIT_ORDINARY_V 71.0      ///< Audio terminal, other apparatus: IEC 60065 9.1.1.1 (seen)
#define LIMIT_PROFESSIONAL_V 120.0 ///< Audio terminal, professional: IEC 60065 9.1.1.1 (seen)

/// A rated load's impedance may fall to this share of it: IEC 60268-5:2003 + A1:2007, 16.1 (seen).
#define LIMIT_LEAST_RATIO 0.8

/// Volts of a power into a load, and back.
double
limit_volts(double watts, double ohm);
double
limit_watts(double volts, double ohm);

typedef enum {
  LIMIT_BELOW,            ///< Under 50 V
  LIMIT_OVER_ELV,         ///< Over 50 V
  LIMIT_OVER_ORDINARY,    ///< Over 71 V
  LIMIT_OVER_PROFESSIONAL ///< Over 120 V
} LimitVolts;

LimitVolts
limit_of_volts(double volts);

/// In a few words, the rule named.
const char*
limit_volts_text(LimitVolts limit);

/// The load an amplifier channel gets, and whether it may.
typedef struct {
  double nominal_ohm;      ///< All boxes in parallel as rated; 0 = not known
  double least_ohm;        ///< The lowest it may fall to: 80 % of it
  double channel_ohm;      ///< What each channel works into: half when bridged, twice when parallel
  double allowed_ohm;      ///< Least nominal load the amplifier allows
  bool allowed_is_assumed; ///< The list does not say: 2 ohm a channel, 4 bridged, 1 in parallel
                           ///< (usual practice)
  bool is_too_low;         ///< The nominal load is below what is allowed
} LimitLoad;

LimitLoad
limit_load(const OutputCircuit* circuit);
