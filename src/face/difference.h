// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"
#include "stage/plant.h"

/*
  What a newer list changes, in words, before it is taken: two plants side by side, source by source
  and socket by socket, never cell by cell, because what a crew asks is "what is different on
  stage".
*/

enum { DIFFERENCE_MAX = 400 }; ///< Sentences; the last then says how many more there are

/**
   Sentences of what is different in `now` against `before`: [*n], may be 0.
   @return STATUS_OK, STATUS_NO_MEMORY. Both plants are borrowed.
*/
Status
difference_plants(Arena* arena, const Plant* before, const Plant* now,
                  const char* const** sentences, int* n);
