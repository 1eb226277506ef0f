// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/json.h"
#include "face/show_open.h"

/*
  Ways round that were taken, on the screen and in JSON: where a line runs, which desk follows, and
  what gives it back. show_act first.
*/

typedef struct {
  const Loan* loans; ///< [n] as loan_list gives them
  int n;
} LoanView;

/// The loans of the show. @return STATUS_NO_MEMORY.
Status
loan_view(const Face* face, const OpenShow* show, LoanView* view);

/// One loan as an object; NULL on failure.
json_t*
loan_view_json(const Face* face, const OpenShow* show, const Loan* loan);

/// The loans of the act that answers (of one line, -1 = all) as an array; NULL on failure.
json_t*
loan_view_moved_json(const Face* face, const OpenShow* show, const LoanView* view, int line);

/// Those of acts that are over and must be given back; NULL on failure.
json_t*
loan_view_due_json(const Face* face, const OpenShow* show, const LoanView* view);

/// Where it runs, which desk follows and which has not said so.
Status
loan_view_say(const Face* face, const OpenShow* show, const Loan* loan);

/// What is still to be given back, with who does what; says nothing when there is nothing.
Status
loan_view_say_due(const Face* face, const OpenShow* show, const LoanView* view);

/// Whether it counts in the act that answers and not as one given back.
bool
loan_view_is_now(const OpenShow* show, const Loan* loan);
