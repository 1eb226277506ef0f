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
  bool sees;      ///< It differs from a good line
  bool is_shared; ///< `part` is a whole phrase
} PredictRow;

/// One paragraph a reading, in the order of the rows.
void
predict_rows_say(const Face* face, const PredictRow rows[], int n);

/// {"part": ..., "fault": ..., "shows": ..., "sees": ..., "values": values}; takes `values`.
json_t*
predict_row_json(const PredictRow* row, json_t* values);

/// `predict SHOW "drive N" CHECK`: the same for a drive line, at its amplifier. @param[out] sees
/// whether the check sees any fault.
Status
predict_drive(const Face* face, OpenShow* show, int drive, bool* sees);
