// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/http_reply.h"
#include "face/show_open.h"

/*
  The first show, from what somebody drags into the page:

      {"files": [{"name": "inputs.csv", "text": "..."}, {"name": "patch.xlsx", "base64": "..."}]}
      {"lines": 48}      {"demo": true}

  With "try" nothing is made: the answer says what was understood, list by list, or where it was
  not, so that the page can have it mended and ask again.
*/

/// The lists of the demo event, compiled in. [*n]
const ListText*
http_demo_lists(int* n);

/**
   Understand, and make the show unless it is only tried.

   @param[out] path The file that was made, in `arena`; NULL = none was.
   @return the answer, also when something was wrong. Writes into the folder it runs in and nowhere
   else: a name is letters, digits, blanks, dots and dashes.
*/
HttpReply
http_new_take(Arena* arena, const char* body, size_t n_body, const char** path);
