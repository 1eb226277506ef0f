// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "circuit/chain.h"
#include "circuit/kernel.h"

/*
  What each kind of element does to a port, in either kind of current. Private to this room: a
  chain decides which elements to walk and in which direction, this file what happens in one.
  Nothing here allocates; `tones` is used for NUM_AC only.
*/

static inline bool
element_is_end(const ChainElement* e)
{
  return e->kind == CHAIN_LEAF || e->kind == CHAIN_PARTS;
}

/// The port of a leaf alone; v.n >= 3.
void
element_leaf(View v, const ChainLeaf* leaf, const PortTones* tones);

/// The port of branches alone.
void
element_parts(View v, const ChainParts* parts, const PortTones* tones);

/// Pass a port from the near end to the far one (`to_desk`) or back.
void
element_pass(View v, const ChainElement* e, const PortTones* tones, bool to_desk);

/// Whether every number of an element is in its range for a line of n contacts.
bool
element_is_sound(const ChainElement* e, int n);
