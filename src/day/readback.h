// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "show/fold.h"
#include "stage/plant.h"

/*
  Reading a desk back: what it really has, row by row, against what the list says it should have.

    12 of 40   channel 12   congas low   takes input 12   48 V off   pad out   muted
    same, or only what differs: "48", "pad", "in 4", "name snare btm", "none"

  Every row that was answered is a fact of its own (desk_read), so a read-back can be left at any
  row and taken up again, by somebody else too, and undone row by row. A row that was not answered
  is not known and never taken for agreement. The facts lie over the desk's list, if there is one.
*/

/// One row to be read.
typedef struct {
  int line;          ///< Index
  int channel;       ///< Where to look: the desk's own order where it is known
  const char* name;  ///< What the channel should be called
  int input;         ///< The physical input it should take, by the desk's numbers
  Answer phantom;    ///< Should be on at this desk; ANSWER_ASK = nobody knows
  bool pad_in;       ///< Should be in
  const DeskRow* is; ///< As read back before; NULL = not read yet
} ReadbackRow;

/// How a desk has its channels when none of them is known yet.
typedef enum {
  READBACK_BY_LINE, ///< The desk's inputs in order: channel 17 takes input 17
  READBACK_BY_LIST  ///< The order of the act's own list
} ReadbackOrder;

/**
   The rows of a desk in an act (-1 = bare lines), in the order of its channels.
   @param[out] rows [*n] in `arena`, borrows the plant; untouched on error.
   @return STATUS_OK, STATUS_NO_MEMORY.
*/
Status
readback_rows(Arena* arena, const Plant* plant, int act, int desk, ReadbackOrder order,
              ReadbackRow** rows, int* n);

/**
   The body of the fact that a row was read.

   @param differs  "" when the row is as it should be; else what differs, parts set apart by commas:
     48 [on | off], pad [in | out | DB], mute [on | off] or open, in N, ch N, name TEXT, or none for
     a channel that is not there. A bare 48, pad or mute means: the other way round than it should.
   @param[out] body  Texts in `arena`; untouched on error.
   @return STATUS_BAD_INPUT with what may be written; STATUS_NO_MEMORY.
*/
Status
readback_body(Arena* arena, const Plant* plant, int act, int desk, const ReadbackRow* row,
              const char* differs, FactBody* body, Error* error);

/**
   Lay what was read back over the rows of the desks' lists.

   @param base    [n_base] rows as the lists have them.
   @param[out] rows [*n] in `arena`: those of `base` that no read-back speaks of, and the read ones.
   @return STATUS_OK, STATUS_NO_MEMORY. Facts that do not fit the plant are left out.
*/
Status
readback_overlay(Arena* arena, const Plant* plant, const DeskRow* base, int n_base,
                 const Fold* fold, const DeskRow** rows, int* n);
