// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/plant.h"

/*
  Which source is missed most where not all can be had: too few sockets (patch), too few minutes
  (change --minutes). One order for both, and it is data: kinds/needed.csv and the crew's own rows
  over it, usual practice without a source. An input list marks its own in a column "must".

  For a source, the first that applies:

    the list marks it as a must                       NEEDED_MUST
    a row is its whole name ("keys R")                that row
    it is the second of a pair of its act             the row of the pair ("R" beside "L")
    rows whose words all begin words of its name      the greatest of them
    the same with the name of its kind (dyn-vocal)
    else                                              NEEDED_USUAL

  Pure; any thread.
*/

/// How much a source is missed: 1 (first to go) to NEEDED_MUST.
int
need_of(const Plant* plant, const Input* input);

/// Whether it is a voice, by its name or its kind.
bool
need_is_voice(const Plant* plant, const Input* input);

/// Whether it is the second of a pair of its act: "kick out" where there is a "kick in".
bool
need_is_second(const Plant* plant, const Input* input);

/// The other one of its pair in its act that can go on one line with it (keys L and R, played
/// mono); NULL = none.
const Input*
need_sharer(const Plant* plant, const Input* input);

/// The other one of its pair in its act: one goes on without the other. NULL = none.
const Input*
need_twin(const Plant* plant, const Input* input);
