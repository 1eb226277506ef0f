// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/show_open.h"

/*
  The verbs. Each reads what it needs of the show, answers on the screen or in JSON, and returns
  STATUS_OK, STATUS_NO when the answer is "no" (said by the verb itself), or an error for main to
  print. Which words and options a verb gets was settled before by args_read.
*/

typedef Status (*VerbRun)(const Face* face);

typedef struct {
  ArgsVerb args;
  VerbRun run;
} Verb;

/// NULL when there is none of that name.
const Verb*
verb_find(const char* name);

// clang-format off
Status verb_new(const Face* face);
Status verb_import(const Face* face);
Status verb_export(const Face* face);
Status verb_backup(const Face* face);
Status verb_now(const Face* face);
Status verb_kit(const Face* face);
Status verb_lines(const Face* face);
Status verb_line(const Face* face);
Status verb_saw(const Face* face);
Status verb_plug(const Face* face);
Status verb_tape(const Face* face);
Status verb_clear(const Face* face);
Status verb_undo(const Face* face);
Status verb_compare(const Face* face);
Status verb_change(const Face* face);
Status verb_outputs(const Face* face);
Status verb_next(const Face* face);
Status verb_rescue(const Face* face);
Status verb_prove(const Face* face);
Status verb_rehearse(const Face* face);
Status verb_around(const Face* face);
Status verb_patch(const Face* face);
Status verb_forecast(const Face* face);
Status verb_predict(const Face* face);
Status verb_solve(const Face* face);
Status verb_card(const Face* face);
Status verb_judge(const Face* face);
Status verb_sheet(const Face* face);
Status verb_serve(const Face* face);
Status verb_help(const Face* face);
// clang-format on
