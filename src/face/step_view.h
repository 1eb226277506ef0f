// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/deadline.h"
#include "day/share.h"
#include "face/json.h"
#include "face/show_open.h"

/*
  A step and a way round, as several verbs show them.
*/

/// The options of --minutes, --nobody-answers and --from; without --minutes the clock and the
/// running order say by when `line` must sound. @return STATUS_BAD_INPUT: no such desk.
Status
step_options(const Face* face, const OpenShow* show, int line, NextOptions* options,
             Deadline* deadline);

json_t*
step_json(const Plant* plant, const Step* step);

/// A step of a plan for everybody: the step, whom it serves, when, and who listens meanwhile.
json_t*
step_shared_json(const Plant* plant, const Crew* crew, const ShareStep* shared);

/// Caution first, then the sentence, why, who and how long, and what `saw` takes.
void
step_shared_say(const Face* face, const OpenShow* show, const Crew* crew, const ShareStep* shared);

json_t*
way_json(const Plant* plant, const AroundWay* way);

void
way_say(const Face* face, const OpenShow* show, const AroundWay* way, int number);

/// The odds of a line above 1 in 100: [{"line","part","fault","prob"}], most likely first, added to
/// `list`.
Status
step_odds_json(const Face* face, const OpenShow* show, int line, json_t* list);
