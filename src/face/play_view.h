// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/practice.h"
#include "face/key.h"
#include "face/show_open.h"

/*
  A rehearsal on the screen: the last thing done, what can be done now, and how it ended; the same
  as one line of JSON a turn. A turn fits a terminal of 80 columns and about 24 rows.
*/

/// A rehearsal under way and what its next screen shows besides.
typedef struct {
  const Face* face;
  OpenShow* show;
  Situation* base;
  int seed;
  Practice* practice;
  PracticeScreen screen;
  Keys keys;
  const char* note; ///< Above the choices, "" = nothing
  const Step* hint; ///< Asked for; NULL = not
  const char* likely;
} Play;

/// "1:05" into `text`.
const char*
play_view_clock(double seconds, char text[16]);

/// Whose line, the story's clock, and who complained of what.
void
play_view_head(const Play* play);

/// A thing done: who did what, and what came of it.
void
play_view_move(const Play* play, const PracticeMove* move);

/// The whole screen of a turn.
void
play_view_turn(const Play* play);

/// What it was, what to do with the part, the seconds beside those of others, and the same again.
void
play_view_end(const Play* play, const PracticeEnd* end);

/// A turn in JSON; `end` NULL while it lasts.
Status
play_view_json(const Play* play, const PracticeEnd* end);
