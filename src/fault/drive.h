// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/catalogue.h"
#include "fault/predict.h"
#include "fault/template.h"

/*
  One drive line: what could be wrong with it, and what each check at the amplifier would show.

      processor output       plug                      plug       amplifier input
                  +--[50]--o 2 =======================  2 o--[10k]--+
        half, half|        |        drive line          |           | earth
                  +--[50]--o 3 =======================  3 o--[10k]--+
        its earth ---------o 1 =======================  1 o--------- its earth, or lifted
                             ^ output end   amplifier end ^

  The output is electronic and drives both legs against its own earth, half the signal on each; 25
  to 50 ohm in each leg, 50 unless the list says otherwise (usual practice). It is taken to let
  direct current through and its halves to be independent: one that is coupled crosswise keeps its
  level when a leg is shorted to 1. The input is 20 kohm between the legs, as half of it from each
  to earth (usual practice), its two halves 1 % apart (assumed: ordinary resistors). The cable is
  that of fault/template.h.

  Hum comes from two things. The earths of the two places differ by 10 mV (assumed, no source),
  which is on both legs alike and stays out of a balanced input until one leg is lost; and the
  room's mains (230 V) couples into the shield. Only which of none, audible and loud it is should be
  believed.
*/

typedef enum { DRIVE_NOWHERE, DRIVE_OUTPUT, DRIVE_AT_OUTPUT, DRIVE_AT_AMPLIFIER } DrivePart;

typedef struct {
  DrivePart part; ///< DRIVE_OUTPUT: the processor's output itself; NOWHERE: none, something else
  FaultMode mode; ///< FAULT_WRONG_SOCKET: plugs swapped with drive `other`
  int a, b;       ///< Contacts 1..3, 0 where the mode has none
  int other;      ///< Index of a drive line, -1 = none
  double prob;    ///< Before any reading, > 0
} DriveFault;

/**
   What could be wrong with a drive line, FAULT_NONE first and FAULT_SOMETHING_ELSE last. Shares
   come from the odds list (usual practice), opens, poor contacts and shorts as those of connectors
   in general (SD-18: 61, 23, 16), contacts and both ends alike. Plugs are swapped with the drive
   lines that stand beside it in the list.

   @param drive Index into plant->drives. @param[out] faults [*n], in `arena`, probabilities summing
   to 1; untouched on error. @return STATUS_OK, STATUS_NO_MEMORY.
*/
Status
drive_faults(Arena* arena, const Plant* plant, int drive, const DriveFault** faults, int* n);

enum { DRIVE_ELEMENT_OUTPUT, DRIVE_ELEMENT_CABLE, DRIVE_ELEMENT_AMP, DRIVE_JOINT_AMP = 1 };

/// A drive line as a circuit; lives in its arena and stays where it is.
typedef struct {
  const Chain* chain;      ///< Output, cable, amplifier input: elements and joint as above
  ChainBranch playing[3];  ///< The output with its signal
  ChainBranch humming[3];  ///< Without it, its earth apart from the amplifier's
  ChainBranch amp[3];      ///< The input; contact 1 is its last branch, not there when lifted
  ChainParts humming_part; ///< For an edit of the output
  double level_db;         ///< Of the good line at 1 kHz, against the emf
  double bass_db;          ///< And 100 Hz against 10 kHz
  double r23_ohm;          ///< And across 2-3 at the amplifier's plug, as the meter reads it
} DriveCircuit;

/// @return STATUS_OK, STATUS_BAD_ARG for a drive line no list could have given, STATUS_NO_MEMORY.
Status
drive_build(Arena* arena, const Meter* meter, const DriveLine* drive, const DriveCircuit** circuit);

/// The edits of a fault of contacts; how many. A swap, a mute, a dead output have none.
int
drive_edits(const DriveFault* fault, ChainEdit edits[TEMPLATE_MAX_EDITS]);

/// What the amplifier's end shows, the output playing a tone on this drive line alone.
typedef struct {
  bool is_anything; ///< "Something else": any reading is as likely as any other
  double level_db;  ///< 1 kHz against a good line [dB]; CHAIN_SILENT_DB = nothing arrives
  double bass_db;   ///< 100 Hz against 10 kHz, change from a good line [dB]
  int sign;         ///< +1, -1; 0 = nothing to tell it from
  double hum_dbv;   ///< Without a tone [dBV]
  double r23_ohm;   ///< At the plug, amplifier unplugged, output muted; INFINITY = open
  int arrives_at;   ///< Index of the drive line at whose amplifier the tone arrives; -1 = none
} DriveView;

/// Any thread; allocates nothing.
void
drive_view(const DriveCircuit* circuit, const Meter* meter, int drive, const DriveFault* fault,
           DriveView* view);

/// Whether a check can be made at an amplifier: level, tone, hum, polarity, seen, ohms.
bool
drive_can(CheckSort sort);

enum { DRIVE_NOTHING = -1 }; ///< Key of tone and polarity where nothing arrives

/// The key a view shows most likely; hum is judged by what an amplifier makes of it, 40 dB less
/// than the gain of a line check (usual practice). Keys as in fault/predict.h, "on N" by drive
/// number.
int
drive_shows(const Plant* plant, const DriveCircuit* circuit, CheckSort sort, const DriveView* view);

enum { DRIVE_WORDS = 5 };

/// Chance of each word of the level (LEVEL_NOTHING on) or the hum (HUM_NONE on) at the amplifier's
/// end, misreading included: > 0, sums to 1; hum has three words, its last two are 0.
void
drive_words(const Plant* plant, const DriveCircuit* circuit, CheckSort sort, const DriveView* view,
            double probs[DRIVE_WORDS]);

/// A key as text, in `arena`; NULL = no memory.
const char*
drive_key_text(Arena* arena, const Plant* plant, CheckSort sort, int key);

/// The part as a person says it; a whole phrase for swapped plugs. In `arena`, NULL = no memory.
const char*
drive_part(Arena* arena, const Plant* plant, int drive, const DriveFault* fault);

/// What must be so before the check is made: nothing may become loud, nobody works on an
/// amplifier's outputs.
const char*
drive_caution(CheckSort sort);
