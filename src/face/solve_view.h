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

// ---- Between the words and the JSON ----

/// Where an element hangs on the line.
const DrawnJoint*
solve_joint_of(const Drawn* d, int element);

/// "bright", "dim", "dark" or what it is called.
const char*
solve_lamp_word(double current_a);

/// Names of the two contacts an ear listens across.
void
solve_ear_contacts(const Drawn* d, const DrawnEar* ear, const char* out[2]);

/// Name of the branch an ear listens to.
const char*
solve_branch_name(const Drawn* d, const DrawnEar* ear);

/// Whether the microphone runs on this variant of the feed.
bool
solve_would_run(const FeedQuestion* q, int variant);
