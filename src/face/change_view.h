// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/change.h"
#include "day/deadline.h"
#include "face/json.h"
#include "face/show_open.h"

/*
  What a change looks like from outside: the facts its steps become (change_tick.c), the answer
  (change_json.c), the words (change_view.c).
*/

/// What is told of a step.
typedef enum {
  CHANGE_TELL_DONE,
  CHANGE_TELL_HEARD,  ///< Of a muting or a phantom off: the desk was heard saying so
  CHANGE_TELL_ANYWAY, ///< Of a hand's step: it does not wait for desks any longer
} ChangeTell;

/// One fact of a change: the words of the "change" of docs/api.md.
typedef struct {
  const char* id; ///< The same for everybody who tells it as things stand now
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
                 const ChangeStep* step, ChangeTell tell, ChangeTick* tick);

/// The fact by which a hand takes what it is offered.
Status
change_view_take(const Face* face, const OpenShow* show, const Change* change,
                 const ChangePerson* person, ChangeTick* tick);

/// "B5, B6" of an offer, and whose they are, "stage patch and stage sound hands 2".
Status
change_view_offer(const Face* face, const OpenShow* show, const Change* change,
                  const ChangePerson* person, const char** sockets, const char** names);

/// The act as it is called: "bare lines".
const char*
change_view_act(const OpenShow* show, int act);

/// How it stands against the deadline; "" = there is none; NULL = no memory.
const char*
change_view_deadline(const Face* face, const Change* change, const Deadline* deadline,
                     double late_s);

/// The whole answer; NULL = no memory. `deadline` as deadline_of has it, `late_s` above 0 when it
/// is past.
json_t*
change_view_json(const Face* face, const OpenShow* show, const Change* change,
                 const Deadline* deadline, double late_s);

/// In words, for people.
Status
change_view_say(const Face* face, const OpenShow* show, const Change* change,
                const Deadline* deadline, double late_s);
