// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "circuit/chain.h"
#include "fault/predict.h"

/*
  From the plant's words to a circuit: the only place where a kind's plain numbers become ohms and
  farads, and where a fault becomes an edit.

      source --cable-- socket --tail--+-- pair (multicore) ---------- direct desk, phantom
      joint 0        1        2       3
                                      +-- transformer -- 10 m ------- isolated desk
                                      +-- transformer -- 10 m ------- isolated desk

  A line of a digital box ends in the box, so the copper is short and all desks share one leaf:

      source --cable-- socket -- preamplifier, phantom
      joint 0        1        2

  Cable constants: legs 0.08 ohm/m, shield 0.03 ohm/m, 60 pF/m between the legs, 100 pF/m from each
  leg to the shield, 10 pF/m from the shield to the room: typical of microphone cable, common
  practice, no source. Leg capacitances are taken 1 % apart and feed resistors 0.4 % (IEC 61938's
  pair match), because hum is nothing but imbalance. Desk input 2 kohm between the legs behind
  capacitors (five to ten times a 200 ohm source: Handbook for Sound Engineers, p. 1297).
*/

typedef struct {
  const Chain* chain;
  int n_desks;
  int desk_leaf[PLANT_DESKS];    ///< Element of each desk's leaf; of a digital box the same for all
  int desk_split[PLANT_DESKS];   ///< Element of its transformer; -1 on the direct side
  int cable, socket, tail, pair; ///< Elements; -1 = a line of a digital box has none
  ChainElement direct_off;       ///< The leaf that gives phantom, without it, for edits
  ChainElement source_off;       ///< The source without its drive
  int direct_desk;               ///< Gives phantom: on the direct side, or the owner of the box
} Template;

enum { TEMPLATE_JOINT_SOCKET = 1, TEMPLATE_MAX_EDITS = 4 };

/// What is plugged, as a kind; NULL = nothing.
Status
template_build(Arena* arena, const Plant* plant, int line, const Kind* kind, double cable_m,
               Template* out);

/// The edits of a fault; how many. Faults that are no circuit (muted, pad, patch) have none.
int
template_edits(const Template* t, const Fault* fault, ChainEdit edits[TEMPLATE_MAX_EDITS]);
