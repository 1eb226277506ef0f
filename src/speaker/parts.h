// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "speaker/network.h"
#include "stage/output.h"

/*
  A circuit as parts, and what it reads with one of them at fault.

      amplifier's end                 link 1                  link 2
        o---[ cable ]---+---[ box 1 ]--o  o--+---[ box 2 ]--o  o--+---[ box 3 ]
        ^               ^                    ^
     "amp"     "cable": this end unplugged   "link 1": its plug pulled out of box 1

  Boxes hang in parallel, one linked on from the other; in each are one or more drivers of the band
  in parallel. A passive box has its high driver behind a capacitor: at direct current only the low
  one shows. Where the list gives no ohms, a healthy load is taken as 0.7 of its nominal (0.65 to
  0.8 is common practice, no source).

  The reading expected is that of pure copper (1/58 ohm mm2/m, IEC 60028) between the terminals, the
  meter's leads nulled: tables of conductors are maxima, and 11 to 16 % above it. The largest good
  reading is with the maximum of IEC 60228.

  Everything is ohms; nothing here decides what a reading means. Pure; any thread.
*/

/// Share of the nominal that a healthy load reads where the list gives none: common practice, no
/// source (0.65 to 0.8; below 0.6 is suspect).
#define PARTS_DCR_RATIO 0.7
#define PARTS_DCR_LOW_RATIO 0.65
#define PARTS_DCR_HIGH_RATIO 0.8
#define PARTS_DCR_SUSPECT_RATIO 0.6

/// A contact that is bad but not open: assumed.
#define PARTS_HIGH_OHM 1.5

typedef struct {
  bool has_ohms;     ///< false: a transmitter, or nothing is known; the rest is 0
  bool is_line;      ///< 70 or 100 V: transformers, whose direct ohms nobody lists
  double load_ohm;   ///< All boxes, 20 C; 0 for a line
  double driver_ohm; ///< One driver, 20 C
  int n_boxes, n_drivers;
  double cable_ohm;     ///< Loop, 20 C, pure copper, or what the list says where it has no length
  double cable_max_ohm; ///< Loop, 20 C, most a good one has
  double link_ohm;      ///< Loop of one link; 0 = not said
  double high_ohm;      ///< One box; 0 = none or not said
  double high_f;
  double coil_h;            ///< Inductance of one driver's coil; 0 = not said
  bool load_is_assumed;     ///< From the nominal
  bool cable_is_listed;     ///< The list's own ohms, no length or section to check them by
  bool drivers_are_assumed; ///< Nobody says how many: one
} Parts;

Parts
parts_of(const OutputCircuit* circuit);

typedef enum {
  FAIL_NONE,
  FAIL_OPEN,     ///< A pole (FAIL_AT_CABLE, FAIL_AT_LINK), a driver (FAIL_AT_DRIVER), a whole box
  FAIL_HIGH,     ///< A contact of PARTS_HIGH_OHM
  FAIL_SHORT,    ///< Pole to pole, or a driver's coil
  FAIL_REVERSED, ///< Plus and minus
  FAIL_CROSSED,  ///< With the pair of another circuit, from here on
  FAIL_TAP,      ///< A box of a 70 or 100 V line a tap too high: twice its watts
  FAIL_SOMETHING_ELSE
} FailMode;

typedef enum { FAIL_AT_CABLE, FAIL_AT_LINK, FAIL_AT_BOX, FAIL_AT_DRIVER } FailPart;

typedef struct {
  FailMode mode;
  FailPart part;
  int at;             ///< Link or box, from 1; 0 for the cable
  const Parts* other; ///< FAIL_CROSSED: what the other pair has
} Fail;

/// What is seen of a circuit with a fault.
typedef struct {
  bool is_known;       ///< false: nothing can be said of ohms (a line, a transmitter)
  double amp_ohm;      ///< At the amplifier's end; INFINITY = open
  double far_open_ohm; ///< The same with the cable unplugged from box 1
  double
    link_ohm[OUTPUT_MAX_BOXES];   ///< [n_boxes - 1] into link k + 1, its plug pulled from box k + 1
  int sign[OUTPUT_MAX_BOXES];     ///< [n_boxes] how each box moves: 1, -1; 0 = it does not play
  double share[OUTPUT_MAX_BOXES]; ///< [n_boxes] of its drivers, how many play: 0 to 1
  double volts_ratio;             ///< What arrives at the boxes against a good circuit
  bool is_other;                  ///< Boxes from `other_from` on get another circuit's band
  int other_from;
} PartsView;

/// @param cable_c, coil_c Degrees Celsius of the cable and of the coils.
void
parts_view(const Parts* parts, const Fail* fail, double cable_c, double coil_c, PartsView* view);

/// The network behind the amplifier's plug. `driver` (may be NULL) takes the node of each driver
/// [n_boxes x n_drivers], low ones; `cable` that of the cable. @return false when it has too many
/// parts.
bool
parts_network(const Parts* parts, const Fail* fail, double cable_c, double coil_c, Network* net,
              int driver[], int* cable);

// ---- Power ----

/// What the circuit itself takes at a frequency or over a band, copper at 20 C.
typedef struct {
  bool is_known;           ///< false: a line or a transmitter; the rest is 0
  bool coil_is_known;      ///< false: no inductance listed, coils count as their direct ohms
  double size_ohm;         ///< |Z| at the amplifier's end; of a band at its middle
  double drawn_w, cable_w; ///< cable: the one to the first box
  double driver_w, high_w; ///< The low driver, and the high one, that get most
} PartsPower;

/**
   Watts at `volts` rms of the amplifier. Over a band the volts are spread evenly over its octaves
   (pink noise), and the watts are the mean over the logarithm of the frequency, 12 points an
   octave. Cones are taken to stand still: a resonance lifts |Z| and takes less.
   @param low_hz > 0. @param high_hz >= low_hz; equal = one frequency.
*/
PartsPower
parts_power(const Parts* parts, double low_hz, double high_hz, double volts);

/// What is put on a 70 or 100 V line.
typedef struct {
  bool is_known;       ///< The list says volts and tap
  double taps_w;       ///< All boxes together
  double amp_w;        ///< What the amplifier gives; 0 = not said
  double of_amp_ratio; ///< Taps over amplifier; 0 = not known
  bool is_too_much;    ///< Over PARTS_LINE_SHARE
  double size_ohm;     ///< V squared over the watts: what an impedance meter reads at 1 kHz, about
  double missing_ohm;  ///< With one box less; INFINITY = it was the only one
  double tap_high_ohm; ///< With one box a tap too high: twice its watts
} PartsLine;

/// Share of an amplifier's watts that taps may add up to: usual practice, no source.
#define PARTS_LINE_SHARE 0.8

PartsLine
parts_line(const OutputCircuit* circuit);
