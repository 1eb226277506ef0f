// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"
#include "stage/plant.h"

#include <stddef.h>

/*
  What could be wrong with one line, and how likely each thing is before anything was seen.

  A fault sits in a part of the line. Parts in order from source to desk:

    source, in-line things, cable, plug (is it in the right socket?), socket, tail, split, pair,
    desk; source, in-line things, cable, plug, socket, preamplifier, network lead, power, clock,
    owner, desk (digital box)

  The starting shares come from the odds list (what share of dead or bad lines a fault has); how a
  share divides among contacts is fixed here and said beside each row. A share is turned into a
  probability with CATALOGUE_BAD_PROB, the chance that a line is bad at all.

  Faults of one line alone are *local*. What touches several lines (a plug in the neighbour's
  socket, a tail not locked, a desk) is a *shared state*: see fault/shared.h.
*/

typedef enum {
  PART_SOURCE,
  PART_THROUGH, ///< What stands in line between source and socket, or should, or should not
  PART_CABLE,
  PART_PLUG,
  PART_SOCKET,
  PART_PREAMP, ///< To PART_OWNER: of a digital box, see fault/digital.h
  PART_LEAD,
  PART_POWER,
  PART_CLOCK,
  PART_OWNER, ///< Which desk sets gain, phantom and pad
  PART_TAIL,
  PART_SPLIT,
  PART_PAIR,
  PART_DESK,
  PART_TESTER,
  PART_ELSE,
  PART_COUNT
} PartSort;

typedef enum {
  FAULT_NONE,
  FAULT_OPEN,    ///< contact a
  FAULT_HIGH,    ///< contact a
  FAULT_SHORT,   ///< contacts a-b
  FAULT_LEAK,    ///< contacts a-b
  FAULT_CROSSED, ///< contacts a-b
  FAULT_ROTATED,
  FAULT_LOOSE, ///< contact a, comes and goes
  FAULT_DEAD,
  FAULT_OFF,
  FAULT_FLAT_BATTERY,
  FAULT_PHANTOM_OFF,
  FAULT_PAD_IN,
  FAULT_WRONG_LEVEL,
  FAULT_MUTED,
  FAULT_WRONG_PATCH,
  FAULT_WRONG_SOCKET,
  FAULT_NOT_LOCKED,
  FAULT_NOISY,
  FAULT_LEAD_OUT, ///< Lead a, or leads a and b; 0 = the only one
  FAULT_NO_POWER,
  FAULT_WRONG_CLOCK,
  FAULT_WRONG_OWNER,
  FAULT_PHANTOM_ON, ///< A desk gives it to a source that must not get it
  FAULT_LIFT,       ///< A hum loop that the source's lift switch would open
  FAULT_JACK_OUT,   ///< The jack into a box is not home
  FAULT_LOST,       ///< A receiver without its transmitter: comes and goes
  FAULT_MISSING,    ///< A thing that should stand in line
  FAULT_SOMETHING_ELSE,
  FAULT_MODE_COUNT
} FaultMode;

typedef struct {
  PartSort part;
  FaultMode mode;
  int a, b; ///< Contacts 1..3, 0 where the mode has none
  int desk; ///< PART_SPLIT, PART_DESK: which; for what the owner of a digital box sets: the owner.
            ///< PART_THROUGH: which thing, counted from the source, -1 one that the list does not
            ///< have. -1 otherwise
  double prob; ///< Before any reading, > 0
} Fault;

/// Most faults a line can have.
enum { CATALOGUE_MAX_FAULTS = 192 };

/// Chance that any given line has some fault when it is first plugged: usual practice, 1 in 50
/// ("expect one bad line a day" of 48); replaced by the crew's own log later.
#define CATALOGUE_BAD_PROB 0.02

/**
   The local faults of a line in an act, FAULT_NONE first and FAULT_SOMETHING_ELSE last.

   What the desks have on paper counts as a reading: see fault/paper.h.

   @param act  Index, or -1 for bare lines (a known-good microphone is walked: no source faults).
   @param[out] faults [*n], in `arena`, probabilities summing to 1; untouched on error.
   @return STATUS_OK, STATUS_NO_MEMORY.
*/
Status
catalogue_line(Arena* arena, const Plant* plant, int act, int line, const Fault** faults, int* n);

enum { CATALOGUE_SPOKEN_BYTES = 40 };

/// The fault as the wire says it: "open 3", "short 1-2", "phantom off", ... into `text`.
const char*
catalogue_name(const Fault* fault, char text[24]);

/// The same as a person says it: "contact 3 open", "2 and 3 shorted", "a flat battery", into
/// `text`.
const char*
catalogue_spoken(const Fault* fault, char text[CATALOGUE_SPOKEN_BYTES]);

/// The part as a person says it: "microphone cable", "socket A6", "house desk input 33", ...
/// in `arena`; NULL when there is no memory.
const char*
catalogue_part(Arena* arena, const Plant* plant, int act, int line, const Fault* fault);

/// Part and fault in one phrase: "house desk input 33 (the pad in)", "the source (keys 1 L, a hum
/// loop)".
const char*
catalogue_said(Arena* arena, const char* part, const char* fault);

/// Same part, mode, contacts and desk.
int
catalogue_same(const Fault* a, const Fault* b);
