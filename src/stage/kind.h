// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stdbool.h>

/*
  What sort of thing a source is, as plain numbers a practitioner can edit (kinds/sources.csv, or a
  kinds list in the crew's own import). A row names a circuit template in words; fault/template
  turns the words into a circuit, so this room knows no circuit.
*/

typedef enum { ANSWER_NO, ANSWER_YES, ANSWER_ASK } Answer; ///< ASK also stands for "unknown"

/// How the source drives the line; column `drive` of the kinds list.
typedef enum {
  DRIVE_FLOATING,  ///< "floating": coil or transformer between contacts 2 and 3
  DRIVE_BOTH,      ///< "both legs": electronic output, each leg against contact 1
  DRIVE_ONE,       ///< "one leg": contact 2 driven, contact 3 balanced by the same resistance
  DRIVE_UNBALANCED ///< "unbalanced": contacts 1 and 3 joined
} Drive;

/// Working volts of a phantom-fed circuit whose row names none: it runs from a 9 V battery too, and
/// gives up at a third of that (assumed).
#define KIND_FULL_V 9.0
#define KIND_LEAST_V 3.0

typedef struct {
  const char* name;    ///< "dyn-vocal"
  const char* meaning; ///< "moving-coil vocal microphone"
  const char* caution; ///< May be ""
  const char* figures; ///< Where the numbers are from: "usual practice", "assumed", a data sheet
  Drive drive;
  double source_ohm; ///< Between contacts 2 and 3 (floating), else twice the leg's own [ohm], > 0
  double r23_low_ohm, r23_high_ohm; ///< What a meter reads across 2-3; both 0 = unknown
  double supply_ohm; ///< Resistor from each leg into the circuit that phantom feeds [ohm]; 0 = none
  double draw_a;     ///< What it draws from phantom in all [A]; 0 = nothing
  double full_v;     ///< Its circuit works in full from here on [V], behind its supply resistors
  double least_v;    ///< Below this it is dead [V], <= full_v; weak between the two
  double pad_db;     ///< Its own pad [dB]; 0 = it has none
  double low_level_db; ///< How much lower its output is with its level switch at the other setting
                       ///< [dB]; 0 = it has no such switch
  double level_dbu;    ///< Usual level at the line when played [dBu], for gain advice
  Answer needs_phantom;
  Answer phantom_harmless; ///< NO and ASK both forbid advice that puts phantom on it
  Answer runs_on_one_leg;
  bool has_battery;   ///< May run on its own battery, which hides missing phantom
  bool has_switch;    ///< Can be switched off by hand
  bool is_radio;      ///< A receiver: the microphone itself is elsewhere
  bool is_microphone; ///< Swapped by hand at a stand; else a box or an output
  bool has_lift;      ///< A switch lifts contact 1 of its output, against hum loops
  bool has_jack;      ///< Fed by a jack that may not be home
  bool needs_ab;      ///< Fed by 12 V between contacts 2 and 3: never by phantom
  bool is_ribbon;     ///< No tester current, phantom off before plugging
  bool is_assumed;    ///< The list named a kind nobody knows: kept, to be asked for
} Kind;
