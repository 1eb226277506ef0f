// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/repair.h"

#include "base/text.h"

static const char* const item_words[REPAIR_COUNT] = {
  "",     "battery", "source", "cable", "plug",  "settings", "tail", "input",
  "side", "socket",  "lead",   "power", "clock", "owner",    "lift", "in-line"};

const char*
repair_word(RepairSort repair)
{
  return repair < REPAIR_COUNT ? item_words[repair] : "";
}

bool
repair_of(const char* word, RepairSort* repair)
{
  for (int i = 1; i < REPAIR_COUNT; ++i) {
    if (text_same(word, item_words[i])) {
      *repair = (RepairSort)i;
      return true;
    }
  }
  if (text_same(word, "microphone") || text_same(word, "mic") || text_same(word, "di")) {
    *repair = REPAIR_SOURCE;
    return true;
  }
  if (text_same(word, "desk") || text_same(word, "switch")) {
    *repair = text_same(word, "desk") ? REPAIR_DESK : REPAIR_SWITCH;
    return true;
  }
  *repair = REPAIR_CABLE;
  return word[0] != '\0';
}

static bool
fixes_state(RepairSort repair, int desk, const SharedState* state)
{
  switch (state->sort) {
    case SHARED_SWAP:
    case SHARED_MOVED:
    case SHARED_SHIFT:
      return repair == REPAIR_PLUG;
    case SHARED_PANEL:
      return repair == REPAIR_INLINE;
    case SHARED_Y:
      return repair_fixes(repair, desk, NULL, &state->touches[0].fault);
    case SHARED_TAIL:
      return repair == REPAIR_TAIL;
    case SHARED_SPLIT_SIDE:
      return repair == REPAIR_SIDE && state->desk == desk;
    case SHARED_LEAD:
    case SHARED_LEAD_HELD:
      return repair == REPAIR_LEAD;
    case SHARED_POWER:
      return repair == REPAIR_POWER;
    case SHARED_CLOCK:
      return repair == REPAIR_CLOCK;
    case SHARED_OWNER:
      return repair == REPAIR_OWNER;
    case SHARED_PHANTOM:
    case SHARED_BANK:
      return repair == REPAIR_DESK && state->desk == desk;
    default:
      return false;
  }
}

bool
repair_fixes(RepairSort repair, int desk, const SharedState* state, const Fault* fault)
{
  if (state) {
    return fixes_state(repair, desk, state);
  }
  switch (fault->part) {
    case PART_SOURCE:
      if (fault->mode == FAULT_LIFT) { // Another box of the same sort hums too
        return repair == REPAIR_LIFT;
      }
      return repair == REPAIR_SOURCE || (repair == REPAIR_SWITCH && fault->mode != FAULT_DEAD);
    case PART_THROUGH:
      return repair == REPAIR_INLINE;
    case PART_CABLE:
      return repair == REPAIR_CABLE;
    case PART_SOCKET:
    case PART_TAIL:
    case PART_PAIR:
      return repair == REPAIR_SOCKET;
    case PART_SPLIT:
      return repair == REPAIR_SIDE && fault->desk == desk;
    case PART_PREAMP: // Its settings are the owner's, so that is where they are put right
      return fault->mode == FAULT_DEAD || fault->mode == FAULT_NOISY
               ? repair == REPAIR_SOCKET
               : repair == REPAIR_DESK && fault->desk == desk;
    case PART_DESK:
      return fault->desk == desk &&
             (fault->mode == FAULT_DEAD ? repair == REPAIR_INPUT : repair == REPAIR_DESK);
    default:
      return false;
  }
}
