// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/next.h"
#include "face/json.h"
#include "face/show_open.h"

/*
  A step and a way round, as several verbs show them.
*/

/// The options of --minutes, --nobody-answers and --from. @return STATUS_BAD_INPUT: no such desk.
Status
step_options(const Face* face, const OpenShow* show, NextOptions* options);

json_t*
step_json(const Plant* plant, const Step* step);

/// Caution first, then the sentence, why, who and how long, and what `saw` takes.
void
step_say(const Face* face, const OpenShow* show, const Step* step);

json_t*
way_json(const Plant* plant, const AroundWay* way);

void
way_say(const Face* face, const OpenShow* show, const AroundWay* way, int number);

/// The odds of a line above 1 in 100: [{"line","part","fault","prob"}], most likely first, added to
/// `list`.
Status
step_odds_json(const Face* face, const OpenShow* show, int line, json_t* list);
