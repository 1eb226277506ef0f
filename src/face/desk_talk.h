// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/readback.h"
#include "face/show_open.h"

/*
  A desk read back by hand: its channels one after the other, a key or a few letters each.
*/

typedef struct {
  int desk, act;
  ReadbackRow* rows; ///< [n_rows] as they stand after it
  int n_rows;
  int n_read; ///< Answered now
  int n_left; ///< Not read yet
} DeskTalk;

/// The desk and the rows to be read, without reading any. @return STATUS_BAD_INPUT: no such desk.
Status
desk_rows(const Face* face, const OpenShow* show, const char* desk, DeskTalk* talk);

/**
   Go through the rows that are not read yet, from standard input: each answer is on disk before the
   next row is shown. Ends at the last row, at "q", or with the input.
   @param show  Open for writing, its act settled; holds the new facts afterwards.
*/
Status
desk_talk(const Face* face, OpenShow* show, const char* desk, DeskTalk* talk);

/// "channel 12   congas low   takes input 12, 48 V off, pad out, muted"; in `arena`, NULL = no
/// memory.
const char*
desk_row_say(Arena* arena, const ReadbackRow* row);
