// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/status.h"

#include <stdbool.h>

/*
  How many ohms a conductor may have, and by which rule.

  What a conductor should read end to end is its copper, its contacts and nothing else:

      contact --- length x ohms per metre at this temperature --- contact

  The figure per metre is a *maximum* where a standard gives one (IEC 60228 gives nothing else; good
  cable reads some 11 to 16 % below it), so a lower reading is always fine and only a higher one
  says anything. Where there is no standard the figure is an estimate and called so. Every limit
  carries where it is from.

  What is heard is another matter: no limit for continuity says anything of it. One ohm in one leg
  of a balanced line leaves 80 dB of common-mode rejection at an input of 10 kohm a leg; see
  conductor_rejection_db.

  Pure; any thread. Ohms at 20 C unless said.
*/

/// Copper of one conductor. All figures > 0.
typedef struct {
  double mm2;
  double max_ohm_per_m;  ///< Largest a good one has at 20 C
  double pure_ohm_per_m; ///< Solid copper of that section, 1/58 ohm mm2/m
  bool is_estimate;      ///< No table has this section
  const char* source;    ///< For people
} Conductor;

/// One contact, mated: commonly quoted for audio connectors, from memory, not normative.
#define CONDUCTOR_CONTACT_OHM 0.010

/// Resistivity of annealed copper at 20 C: 1/58 ohm mm2/m (IEC 60028:1925).
#define CONDUCTOR_COPPER_OHM_MM2_PER_M (1.0 / 58.0)

/// What stranding, lay and tolerance add in the table's small sections (IEC 60228 class 5, 0.5 to 1
/// mm2, against solid copper); used as an estimate where the table has no row.
#define CONDUCTOR_STRANDED_RATIO 1.131

/// Insulation between any two contacts: IPC/WHMA-A-620 default for short assemblies, from memory.
#define CONDUCTOR_INSULATION_OHM 100e6

/// A section in mm2. The table's rows (IEC 60228 class 5, plain copper) are met within 0.5 %;
/// anything else from 0.03 to 50 is an estimate. @return STATUS_OK, STATUS_BAD_ARG; untouched on
/// error.
Status
conductor_of_mm2(double mm2, Conductor* conductor);

/// A gauge, 0 to 40. Diameter 0.127 mm x 92^((36 - n) / 39) (ASTM B258), solid; the largest a
/// stranded one has is an estimate. @return STATUS_OK, STATUS_BAD_ARG; untouched on error.
Status
conductor_of_awg(int gauge, Conductor* conductor);

/// The diameter of a gauge in mm (ASTM B258), any whole number.
double
conductor_awg_mm(int gauge);

/// IEC 60228 class 5 at 20 C in ohm/km, tinned if asked; 0 where the table has no such row.
double
conductor_iec60228_ohm_per_km(double mm2, bool tinned);

/// Ohms at `celsius` of what has `ohm_20c` at 20 C: x (234.5 + t) / 254.5, which is 0.00393 per
/// kelvin (IEC 60028; IEC 60228 annex, from memory). The correction table of IEC 60228 is rounded
/// to 0.004 per kelvin and differs by up to 0.3 % from 5 to 60 C: conductor_table_factor gives that
/// one.
double
conductor_at_c(double ohm_20c, double celsius);

/// Factor of the table in IEC 60228 from `celsius` to 20 C: 1 / (1 + 0.004 (t - 20)).
double
conductor_table_factor(double celsius);

typedef enum {
  CONDUCTOR_BY_COPPER, ///< Length and section, and contacts
  CONDUCTOR_BY_620     ///< IPC/WHMA-A-620, nothing else agreed, class 3
} ConductorRule;

typedef struct {
  double ohm;         ///< The limit; NAN where there is too little to say one
  double copper_ohm;  ///< Part of it that is length of copper; 0 if not known
  bool is_flat;       ///< Does not depend on the cable: rejects good long ones
  const char* source; ///< For people: the rule, and how far to trust it
} ConductorLimit;

/**
   The limit of one conductor, end to end.

   BY_COPPER: copper at `celsius` + n_contacts x CONDUCTOR_CONTACT_OHM; needs length and conductor.
   BY_620: the larger of 2 ohm and 1 ohm + copper; 2 ohm alone when the cable is not known. (Table
   19-2 says "2 ohm, or 1 ohm + conductor resistance"; seen in a secondary copy; a flat 2 ohm would
   reject good cables of 0.22 mm2 from about 22 m on.)

   @param conductor NULL = not known. @param length_m <= 0 = not known.
*/
ConductorLimit
conductor_limit(ConductorRule rule, const Conductor* conductor, double length_m, double celsius,
                int n_contacts);

/**
   Common-mode rejection left by unequal legs, the bridge exactly:
   20 log10(1 / |Z/(Z + a) - Z/(Z + b)|), a and b the source's leg with its conductor, Z the input's
   common-mode impedance per leg. INFINITY for equal legs. Whitlock, JAES June 1995; at one
   frequency, resistive.
*/
double
conductor_rejection_db(double leg_a_ohm, double leg_b_ohm, double common_ohm);
