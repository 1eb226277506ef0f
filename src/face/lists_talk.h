// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/json.h"
#include "face/key.h"
#include "face/list_files.h"

/*
  A list talked over before it is taken: what was understood next to what was not, and the questions
  that are left, asked in place. What people answer becomes the list of answers (mapping.csv) among
  the lists, so that nothing is asked twice.
*/

typedef struct {
  ListText* lists; ///< [n] All lists of the show; one more has room
  int n;
  bool has_answers; ///< The list of answers is new
  int n_answers;    ///< New answers
  bool is_asking;   ///< Somebody is there to be asked
  bool is_over;     ///< They want no more questions
  Keys keys;
} Talk;

/// Begin with lists [n]; takes what --means and (for list `at`, unless below 0) --act answer.
Status
talk_init(const Face* face, const ListText* lists, int n, int at, Talk* talk);

/// Whether a list is said when all of it is understood.
typedef enum { TALK_ALWAYS, TALK_IF_ODD } TalkWhen;

/**
   Look at list `at`, say it (unless JSON), and ask what is not known.

   @param[out] look As it is understood in the end, with the questions nobody answered.
   @return STATUS_BAD_INPUT, with the place of the first, when questions are left without whose
   answer the list cannot be taken: they are on the screen with the option that answers each. `look`
   is set then too.
*/
Status
talk_over(const Face* face, Talk* talk, const ListSource* source, int at, TalkWhen when,
          ListLook* look);

/// "understood": columns, rows and questions into an answer.
void
talk_json(json_t* answer, const ListLook* look);
