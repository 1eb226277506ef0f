// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/draft.h"

/*
  Digital boxes on the boxes list: what a row says of one, and what is assumed where it is silent.

  Private to the stage room. A box is digital when its `kind` says so, or, with no word there, when
  the row names an owner, network leads, a clock or a power source.
*/

/// Read kind, owner, leads, clock and power of a row into the box; a tail on a digital box, or
/// these columns on an analogue one, are left aside and said. STATUS_BAD_INPUT with the place and a
/// way out.
Status
digital_read(Draft* draft, const List* list, const TableRow* row, DraftBox* box);

/// Pair and split channel of a line of a digital box: there are none; numbers that a list gives it
/// all the same are left aside and said.
Status
digital_read_line(Draft* draft, const List* list, const TableRow* row, Line* line);

/// Fill what the list did not say of its digital boxes, one sentence a box. Desks must be known.
Status
digital_assume(Draft* draft);

/// Whether every box is digital, so that there is no tail, split or multicore at all.
bool
digital_only(const Draft* draft);
