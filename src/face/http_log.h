// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/show_open.h"

#include <jansson.h>

/*
  Facts of the log as a page reads them, one object each, the same in the stream and in the history.

      {"seq": 22, "id": "...", "at_s": 1795629105.862, "place": "foh", "role": "house desk",
       "kind": "reading", "line": 45, "say": "line 45: level=nothing", "void": false, "body": {...}}

  `body` is the body of the fact (show/event.h) without the text of lists. Pure; any thread.
*/

enum { HTTP_LOG_MOST = 500 }; ///< Facts in one answer

/// One fact; NULL = no memory.
json_t*
http_log_json(Arena* arena, const FoldFact* fact);

/**
   The facts behind `after`, newest last, at most `limit` of the newest (1 to HTTP_LOG_MOST).

   @param line Only those about this line number; 0 = all.
   @return the answer's object; NULL = no memory.
*/
json_t*
http_log_answer(Arena* arena, const OpenShow* show, int64_t after, int line, int limit);
