// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/change.h"
#include "day/deadline.h"
#include "face/json.h"
#include "face/show_open.h"

/// One fact a step that is done becomes: the words of the "change" of docs/api.md.
typedef struct {
  const char* id; ///< The same for everybody who ticks the step as it stands now
  const char* place;
  const char* what;
  const char* step;
  const char* at;
  const char* lines;
  const char* who;
} ChangeTick;

/// The fact of a step that is not done; texts in `face->arena`. @return STATUS_NO_MEMORY.
Status
change_view_tick(const Face* face, const OpenShow* show, const Change* change,
                 const ChangeStep* step, ChangeTick* tick);

/// The whole answer; NULL = no memory. `deadline` as deadline_of has it, `late_s` above 0 when it
/// is past.
json_t*
change_view_json(const Face* face, const OpenShow* show, const Change* change,
                 const Deadline* deadline, double late_s);

/// In words, for people.
Status
change_view_say(const Face* face, const OpenShow* show, const Change* change,
                const Deadline* deadline, double late_s);
