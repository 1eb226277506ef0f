// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/prove.h"
#include "day/words.h"

/*
  What is said while lines are proven, and which facts the keys tell. Private to prove*.c. Texts
  live in the arena; functions of a Status leave their results untouched on error.
*/

/// The act in the facts of a way: its readings (`of_pass` false) or who is ready for it.
const char*
prove_act(const Situation* situation, PassWay way, bool of_pass);

/// Everybody who must be ready for a way, and who has been since a place in the log.
Status
prove_ready(const Situation* situation, const Fold* fold, Arena* arena, PassWay way, int64_t since,
            const ProveReady** ready, int* n);

/// What stage must unplug before phantom goes on lines whose far end is not proven, and what stays
/// plugged where a way is about the sources. NULL: no memory.
const char*
prove_unplug_say(const Situation* situation, Arena* arena, PassWay way);

/// What a reading that is not as on a good line found, in a few words.
Status
prove_found(const Situation* situation, Arena* arena, const Seen* seen, const char** found);

/// The fact that tells a line good.
Status
prove_good(const Situation* situation, Arena* arena, int line, PassWay way, int desk,
           ProveFact* fact);

/// What to do at the line it stands at, and its keys.
Status
prove_keys(const Situation* situation, Arena* arena, Prove* prove);

/// Whether the last answer looks like a mistake in the order.
Status
prove_order(const Situation* situation, Arena* arena, Prove* prove);

Status
prove_summary(const Situation* situation, Arena* arena, int box, Prove* prove);

/// "A6", into `text`.
const char*
prove_socket(const Plant* plant, int line, char text[40]);
