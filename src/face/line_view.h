// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/proof.h"
#include "face/json.h"
#include "face/show_open.h"

/*
  One line as `lines` and `line` show it, in words and in JSON. Other verbs answer with the same
  object, so that a program needs to learn it once.
*/

/// What may be wrong in one part of a line; `fault` as the wire says it.
typedef struct {
  const char* fault;
  const char* say;    ///< For what touches several lines: the whole phrase; else NULL
  const char* spoken; ///< The fault as people say it
  double prob;
  double before; ///< Before anything was read; < 0 until line_before
  int row;       ///< In the situation's list of the line
} LineOdds;

typedef struct {
  const char* part; ///< As people say it
  const char* is;   ///< Which sort, one word: "source", "cable", "tail", "desk", ...
  const char* desk; ///< The desk it belongs to; NULL = no desk's alone
  const char* state;
  LineOdds* odds; ///< [n_odds], most likely first
  int n_odds;
  double prob;   ///< Of all of them
  double before; ///< The same before anything was read; < 0 until line_before
} LinePart;

/// The parts of a line in order from source to desk. [*n] in face->arena.
Status
line_parts(const Face* face, const OpenShow* show, int line, LinePart** parts, int* n);

/// Fills in what the odds of these parts of the line were before anything was read.
Status
line_before(const Face* face, const OpenShow* show, int line, LinePart* parts, int n);

/// The object of `lines` for one line; with "parts" if asked. NULL on failure.
json_t*
line_json(const Face* face, const OpenShow* show, int line, bool with_parts);

/// Its parts in short, for the picture of all lines: no odds, but their sum. NULL on failure.
json_t*
line_parts_json(const Face* face, const OpenShow* show, int line);

/// "D5" into `text`.
const char*
line_socket(const Plant* plant, int line, char text[40]);

/// The source of the act in force on a line, "" when it has none.
const char*
line_source(const OpenShow* show, int line);

/// How a state is painted; the word always stands beside it.
Paint
line_paint(LineState state);

/// One sentence on how a line stands now: after a fact was taken in.
Status
line_say_now(const Face* face, OpenShow* show, int line);
