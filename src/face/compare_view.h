// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/compare.h"
#include "face/json.h"
#include "face/show_open.h"

/*
  A disagreement between lists and desks, as several verbs show it.
*/

/// {"what", "act", "desk", "line", "say", "do", "sure", "harm", "caution"}.
json_t*
compare_view_json(const OpenShow* show, const Disagreement* disagreement);

/// Line and place, what is the matter, what comes first, what to do.
void
compare_view_say(const Face* face, const OpenShow* show, const Disagreement* disagreement);

/// What disagrees about one line in the act that answers: [*n] in `face->arena`.
Status
compare_view_of_line(const Face* face, const OpenShow* show, int line, const Disagreement** list,
                     int* n);

/// The same as words under "On paper:", nothing when all agrees.
Status
compare_view_say_line(const Face* face, const OpenShow* show, int line);

/// The same as an array added to `answer` under "paper".
Status
compare_view_json_line(const Face* face, const OpenShow* show, int line, json_t* answer);
