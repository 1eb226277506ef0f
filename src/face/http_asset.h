// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/http_reply.h"

/*
  The page the program carries. A path is looked up in a table and nowhere else: there is no folder
  to leave.
*/

/// The answer for a path: compressed where the other end takes that, 304 where it has it. Without
/// a page "/" says in plain words how to get one.
HttpReply
http_asset_reply(struct MHD_Connection* connection, const char* path);
