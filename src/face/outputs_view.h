// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/outputs.h"
#include "face/json.h"
#include "face/outputs_load.h"
#include "face/screen.h"
#include "face/show_open.h"

/*
  Loudspeaker circuits and mixes on a screen and in JSON: what `outputs` answers.
*/

/// "proven", "unproven", "suspect", "bad".
const char*
outputs_state_word(OutputState state);

Paint
outputs_paint(OutputState state);

/// One circuit in a list.
json_t*
outputs_json_row(const Outputs* outputs, int circuit);

/// One circuit with its load, cable, power, links, odds and what each fault would read. NULL = no
/// memory.
json_t*
outputs_json_whole(const Outputs* outputs, Arena* arena, int circuit, const OutputFor* what);

/// A drive line or a return. NULL = no memory.
json_t*
outputs_json_drive(const Outputs* outputs, Arena* arena, int drive);

json_t*
outputs_json_step(const Outputs* outputs, const OutputStep* step);

/// The same as words.
Status
outputs_say_whole(const Face* face, const Outputs* outputs, int circuit, const OutputFor* what);

void
outputs_say_step(const Face* face, const OutputStep* step);

/// A drive line or a return in one line: its name, its state, what feeds it and what is missing.
void
outputs_say_drive(const Face* face, const Outputs* outputs, int drive);

/// All circuits by zone, each zone's drive line before them, in the order of the audience: zones as
/// they are listed, mixes last.
void
outputs_say_zones(const Face* face, const Outputs* outputs);

/// The loudspeaker card of a circuit, an amplifier or a zone (`name` NULL = all), by zone: circuit,
/// poles, expected ohms, room for what was got. Plain text, for paper.
Status
outputs_say_card(const Face* face, const Outputs* outputs, const char* name);
