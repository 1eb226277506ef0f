// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/shared.h"

#include <stdbool.h>

/*
  Repairs: what can be tried on a line, which faults each one ends, and its word on the wire.
  A repair is told as `swap ITEM=better` or `swap ITEM=same`.
*/

typedef enum {
  REPAIR_NONE,
  REPAIR_SWITCH, ///< Source: switch, battery, pad, jack, level switch
  REPAIR_SOURCE, ///< Swap the source
  REPAIR_CABLE,  ///< Swap the cable
  REPAIR_PLUG,   ///< Put the plug in its right socket
  REPAIR_DESK,   ///< Put the desk's settings right
  REPAIR_TAIL,   ///< Unlock, look, lock the tail
  REPAIR_INPUT,  ///< Another input at that desk
  REPAIR_SIDE,   ///< Feed that desk another way
  REPAIR_SOCKET, ///< Another socket of the box
  REPAIR_LEAD,   ///< Digital box: lock its network lead, or put the spare one in
  REPAIR_POWER,  ///< Digital box: give it power
  REPAIR_CLOCK,  ///< Digital box: set whom its clock follows
  REPAIR_OWNER,  ///< Digital box: give gain back to the desk that should own it
  REPAIR_LIFT,   ///< The lift switch of the source's own box
  REPAIR_INLINE, ///< What stands in line: in, out, right one, right hole
  REPAIR_COUNT
} RepairSort;

/// Chance that a repair ends a fault it is made for: a spare may be bad, a swap may go wrong. Usual
/// practice, no source.
#define REPAIR_HELPS_PROB 0.94

/// "source", "cable", "plug", ...: the item of `swap ITEM`.
const char*
repair_word(RepairSort repair);

/// The repair of an item word; a word that is no repair (a tag such as M041) is a cable. False for
/// "".
bool
repair_of(const char* word, RepairSort* repair);

/// Whether a repair (at a desk where it has one, else -1) ends this fault or shared state.
bool
repair_fixes(RepairSort repair, int desk, const SharedState* state, const Fault* fault);
