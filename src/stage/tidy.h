// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/draft.h"

/*
  An input list as people send it, turned into one that has a row an input.

      before                                   after
      DRUMS                                    (section)
      1      Kick      Model 7   B1            1   Kick    dyn-kick  B  1
      2-3    OH L/R    cond x2   B2-3          2   OH L    cond      B  2
                                               3   OH R    cond      B  3
      Page 1 of 2: ring if anything is open    (note)

  Answers of people are put in place of what they wrote; sections, notes and repeated headings are
  taken out and kept in `aside` with their rows; a row of several channels becomes so many; a box
  that is named once for several sockets is named in each; channel numbers lose what stands around
  them. Nothing is thrown away: what is no input is in `aside`, what makes no sense stays for rows.c
  to refuse with its place.

  Private to the stage room.
*/

/// Tidy an input list in place; its table is a new one in the arena. What had to be taken for
/// granted is said in `draft->assumed`. @return STATUS_BAD_INPUT with the place (several channels
/// and another number of sockets), STATUS_LIMIT, STATUS_NO_MEMORY.
Status
tidy_rows(Draft* draft, List* list);

/// The cells of a row between bars, as a mapping knows the row; NULL when there is no memory.
const char*
tidy_row_text(Arena* arena, const TableRow* row);
