// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/change.h"
#include "day/loan.h"

/*
  An act as it is to be plugged today, for paper.

      lists --> ways taken laid over --> what is taped off gone round --> `plant`
                                 \------ moves from the act before ------> `moves`

  Every sheet of an act is drawn from this one plant, so that input list, patch sheet, labels and
  strips cannot name two sockets for one source; and what of it is not as the act's list has it is
  said in `says`, so that no sheet is stale, or new, without saying so. States and marks are those
  of the lists as they stand: they know of ways taken by themselves.
*/

typedef struct {
  Plant plant; ///< The lists with today laid over them
  const Plug*
    plugs; ///< What moves and stays: ChangeMove.plug is an index of it; NULL on bare lines
  const ChangeMove* moves;
  int n_moves;              ///< From the act before (of the first: from an empty stage)
  const char* const* taped; ///< [n_lines] what is taped off on that way; NULL = nothing
  const bool* lent;         ///< [n_lines] a way round has it, or left it for a reason
  const char* const* says;
  int n_says;    ///< Sentences
  int n_changed; ///< Sources on another socket than the act's list has them on, or on none
} Today;

/**
   @param act Index, -1 = bare lines: ways taken alone.
   @param fold NULL = nothing told.
   @param[out] today Lives in `arena`, borrows plant and fold; untouched on error.
   @return STATUS_OK, STATUS_NO_MEMORY, STATUS_LIMIT. Pure; any thread.
*/
Status
today_make(Arena* arena, const Plant* plant, const Fold* fold, int act, Today* today);

/// What comes out of a socket and what goes in, NULL = nothing of that sort. What stays is `in`.
void
today_at(const Today* today, int line, const ChangeMove** out, const ChangeMove** in);
