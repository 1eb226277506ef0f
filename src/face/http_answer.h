// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/http_request.h"
#include "face/http_writer.h"

/*
  Questions: what `linewalk VERB SHOW ... --json` answers, over HTTP.

  One thread has the show loaded and runs the verb's own function on it, so that page and command
  line cannot differ. An answer is kept for as long as the log has not grown and the minute is the
  same (five seconds for what counts seconds), packed once, and then given to everybody who asks
  the same. face/http_question says what may be asked.
*/

typedef struct HttpAnswers HttpAnswers;

Status
http_answers_start(HttpWriter* writer, HttpAnswers** answers, Error* error);

/// Queue the answer if it is there already (304 when If-None-Match has it). Loop thread.
/// @param is_done The request was worked on: its answer may be a moment old by now.
/// @return false: it is not there.
bool
http_answers_give(HttpAnswers* answers, const HttpRequest* request, bool is_done,
                  enum MHD_Result* queued);

/// Put it in line. False: stopping.
bool
http_answers_push(HttpAnswers* answers, HttpRequest* request);

/// Let nothing more in, answer what is in line and wait for the thread.
void
http_answers_close(HttpAnswers* answers);

/// After http_answers_close, when nobody asks any more.
void
http_answers_free(HttpAnswers* answers);
