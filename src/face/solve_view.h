// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/circuit_file.h"
#include "face/show_open.h"

#include <jansson.h>

/*
  What `solve` answers, in words for people and as JSON.
*/

/// What may hurt in this circuit; "" = nothing that it shows.
const char*
solve_caution(const CircuitFile* file, const DrawnAnswer* answer);

/// Put the answer's keys into `object`.
void
solve_line_json(const CircuitFile* file, const DrawnAnswer* answer, json_t* object);

/// The object of the key "feed".
json_t*
solve_feed_json(const FeedQuestion* question, const FeedAnswer* answer);

/// @return STATUS_NO_MEMORY when a sentence could not be made.
Status
solve_line_say(const Face* face, const CircuitFile* file, const DrawnAnswer* answer);

Status
solve_feed_say(const Face* face, const CircuitFile* file, const FeedAnswer* answer);
