// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/json.h"
#include "face/show_open.h"

/*
  Rows of `predict`, said: faults that show the same stand together, because what a check cannot
  tell apart is the point of asking.
*/

typedef struct {
  const char* part;
  const char* fault; ///< "none" for the good line
  const char* shows;
  bool sees;          ///< It differs from a good line
  bool is_shared;     ///< `part` is a whole phrase
  const char* socket; ///< What such a phrase names beside the line's own socket; NULL: nothing
} PredictRow;

/// What a good line (row 0) shows; a paragraph a reading that differs from it; last what looks like
/// a good line all the same. Phrases that differ in `socket` alone become one.
void
predict_rows_say(const Face* face, const PredictRow rows[], int n);

/// {"part": ..., "fault": ..., "shows": ..., "sees": ..., "values": values}; takes `values`.
json_t*
predict_row_json(const PredictRow* row, json_t* values);

/// `predict SHOW "drive N" CHECK`: the same for a drive line, at its amplifier. @param[out] sees
/// whether the check sees any fault.
Status
predict_drive(const Face* face, OpenShow* show, int drive, bool* sees);
