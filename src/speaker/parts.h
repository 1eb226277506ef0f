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
