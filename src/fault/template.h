// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "circuit/chain.h"
#include "fault/predict.h"

/*
  From the plant's words to a circuit: the only place where a kind's plain numbers become ohms and
  farads, and where a fault becomes an edit.

      source --[things]--cable--[panel]-- socket --tail--+-- pair (multicore) ---- direct desk,
      joint 0                          joint_socket      |                         phantom
                                                         +-- transformer -- 10 m -- isolated desk
                                                         +-- transformer -- 10 m -- isolated desk

  In-line things stand as the input list has them. A Y-lead to a second socket begins another line
  like this one at its joint, with its own cable, tail, pair and desks; one with a second source has
  that source there on a cable of its own. A parallel split has contacts where the transformers are.

  A line of a digital box ends in the box, so the copper is short and all desks share one leaf:

      source --[things]--cable--[panel]-- socket -- preamplifier, phantom

  Cable constants: legs 0.08 ohm/m, shield 0.03 ohm/m, 60 pF/m between the legs, 100 pF/m from each
  leg to the shield, 10 pF/m from the shield to the room: typical of microphone cable, common
  practice, no source. Leg capacitances are taken 1 % apart and feed resistors 0.4 % (IEC 61938's
  pair match), because hum is nothing but imbalance. A desk's input is what the desks list says,
  else 2 kohm between the legs (plant_desk_input), behind capacitors.
*/

enum { TEMPLATE_MAX_EDITS = 4, TEMPLATE_MAX_THINGS = INPUT_MAX_THROUGH + 1 };

typedef struct {
  const Chain* chain;
  int n_desks;
  int desk_leaf[PLANT_DESKS];      ///< Element of each desk's leaf; of a digital box one for all
  int desk_split[PLANT_DESKS];     ///< Element of its transformer; -1 on the direct side
  int cable, socket, tail, pair;   ///< Elements; -1 = a line of a digital box has none
  int things[TEMPLATE_MAX_THINGS]; ///< Element where each in-line thing begins
  int n_things;
  int joint_socket;           ///< Where the plug meets the box
  ChainElement direct_off;    ///< The leaf that gives phantom, without it, for edits
  ChainElement source_off;    ///< The source without its drive: broken or switched off
  ChainElement source_silent; ///< The source whole and without a signal
  ChainLeaf source;           ///< The source as it is
  int direct_desk;            ///< Gives phantom: on the direct side, or the owner of the box
} Template;

/// What a line is built from.
typedef struct {
  int line;                                  ///< Index: its box and tail
  const Kind* kind;                          ///< What is plugged; NULL = nothing
  double cable_m;                            ///< Its cable [m]
  const Inline* things[TEMPLATE_MAX_THINGS]; ///< What really stands in line, from the source on
  int n_things;
  int y_line;         ///< Y-lead to a second socket: index of its line; -1 = none
  const Kind* y_kind; ///< Y-lead with a second source; NULL = none
} TemplateWant;

Status
template_build(Arena* arena, const Plant* plant, const TemplateWant* want, Template* out);

/**
   What phantom leaves for the circuit of a source, and the load it then is: full current from half
   its working volts on, in proportion below (assumed). The resistors of a kind that needs phantom
   and names none are 2.2 kohm, its current 3 mA (assumed).

   @param port     What the source's contacts see.
   @param[out] load_ohm For ChainLeaf.load_ohm. @return Volts behind the supply resistors against
   contact 1; 0 and INFINITY for a kind that takes nothing.
*/
double
template_supply_v(const Kind* kind, const Port* port, double* load_ohm);

/// A piece of the cable above with a contact resistance at both ends.
ChainElement
template_cable(int near, int far, double length_m);

/// The edits of what can be wrong with contacts (1 to 3) at one end of an element; how many, 0 for
/// a mode that is none of contacts. High is 1 kohm, a short 0.1 ohm, a leak 1 kohm.
int
template_contacts(FaultMode mode, int contact_a, int contact_b, int element, ChainEnd end,
                  ChainEdit edits[TEMPLATE_MAX_EDITS]);

/// The edits of a fault; how many. Faults that are no circuit (muted, pad, patch) have none.
int
template_edits(const Template* t, const Fault* fault, ChainEdit edits[TEMPLATE_MAX_EDITS]);
