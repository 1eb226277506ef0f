// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stdbool.h>

/*
  One loudspeaker circuit or monitor mix, as a list says it.

    desk output -- drive line or return pair -- amplifier channel ==== pair of poles ==== boxes
                                             \- in-ear transmitter

  A circuit is one amplifier channel and all that hangs on it: a pair of poles of a cable, boxes in
  parallel, in each one or more drivers of one band. Which poles carry which band is the list's to
  say; nothing here knows a usual order. A mix that ends in a transmitter has no amplifier and no
  ohms.

  Figures a list leaves out are 0 (ohms, lengths) or "" (words); what stands for them is decided in
  speaker/, which says so.
*/

enum { OUTPUT_MAX_POLES = 8, OUTPUT_MAX_BOXES = 16, OUTPUT_MAX_DRIVERS = 8 };

typedef enum {
  OUTPUT_SINGLE,  ///< One channel, one side of it earthed
  OUTPUT_BRIDGED, ///< Two channels against each other: no earthed side
  OUTPUT_PARALLEL ///< Two channels together into one load
} OutputMode;

typedef struct {
  const char* name;      ///< "1.2H"; of a mix "mix 3"
  int zone;              ///< 0 = none
  const char* zone_name; ///< "main house left"; of a mix its name, "drum fill"
  int mix;               ///< Number of the mix; 0 = a circuit of a zone
  const char* band;      ///< "low", "high", "sub", "full"; "" = not said
  const char* amp;       ///< "AL1"; "" = none: a transmitter
  int amp_channel;       ///< 0 = not said
  OutputMode mode;
  const char* transmitter;     ///< "in-ear transmitter 1"; "" = none
  int poles[OUTPUT_MAX_POLES]; ///< 0 = 1+, 1 = 1-, 2 = 2+ ...; first half feeds, second returns
  int n_poles;                 ///< 0 = not said; else even
  const char* pins;            ///< As written: "1+ 1-"
  const char* cable;           ///< Its name where the list gives one: circuits of one name share it
  double cable_m;
  double cable_mm2; ///< Of the copper; a gauge is turned into its section
  int awg;          ///< As the list has it; -1 = in mm2 or not said
  double link_m;    ///< Each link from box to box, same copper
  int n_boxes;      ///< In parallel, >= 1
  int n_drivers;    ///< Of this band in each box, in parallel; 0 = not said
  double nominal_ohm;
  double load_ohm;         ///< All boxes together at direct current, 20 C
  double cable_ohm;        ///< Out and back, as the list has it
  double expect_ohm;       ///< At the amplifier's end, as the list has it
  double box_missing_ohm;  ///< The same with one box less
  double driver_open_ohm;  ///< The same with one driver less
  double high_ohm;         ///< Passive boxes: the high driver behind its capacitor, one box
  double high_uf;          ///< And the capacitor
  double coil_mh;          ///< Inductance of one driver's coil
  double amp_min_ohm;      ///< Least the amplifier allows in this mode
  double amp_w;            ///< What it gives into the nominal load
  double line_v;           ///< 70 or 100: a line with transformers; 0 = low impedance
  double tap_w;            ///< Then what each box is set to
  const char* preset;      ///< Name of the preset its amplifier should have
  const char* note;        ///< "hang of 8, boxes 3-4"
  const char* desk_output; ///< Of a mix: "aux 8"
  const char* return_pair; ///< Of a mix: "R8"
  const char* place_name;  ///< Where its boxes (of a mix) or its amplifier stand, "" = not said
  int place;               ///< Index into places; -1 = not said
  bool is_stereo;          ///< A transmitter of two channels
} OutputCircuit;

/// "1+ 1-" as poles. Two poles, or as many feeding as returning ("1+ 2+ 1- 2-" when told apart by
/// their sign). @return How many, 0 when it is not of that shape (poles untouched).
int
output_poles(const char* text, int poles[OUTPUT_MAX_POLES]);

/// A pole as people write it: 0 is "1+", 3 is "2-". Static text; "?" out of range.
const char*
output_pole_text(int pole);
