// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/status.h"

#include <jansson.h>
#include <microhttpd.h>
#include <stddef.h>

/*
  Answers on the wire, each with the headers that every answer carries: nothing from elsewhere is
  loaded or run, nothing frames us, nobody sniffs types, nothing is kept that may change.

  A reply owns its response until it is queued or dropped; libmicrohttpd counts the holders, so one
  response may answer many. Any thread.
*/

typedef struct {
  unsigned status;               ///< HTTP; 0 = nothing yet
  struct MHD_Response* response; ///< NULL where memory ran out
} HttpReply;

/// A text that the reply takes over (from malloc); NULL gives an empty reply.
HttpReply
http_reply_text(unsigned status, const char* type, char* text, size_t n_bytes);

/// An object, taken over, as JSON on one line.
HttpReply
http_reply_json(unsigned status, json_t* object);

/// {"format":1,"error":"sentence"}
HttpReply
http_reply_say(unsigned status, const char* format, ...) __attribute__((format(printf, 2, 3)));

/// What went wrong, with file, line and column where there are some; the HTTP status that fits.
HttpReply
http_reply_error(Status status, const Error* error);

/// The HTTP status that fits a Status.
unsigned
http_reply_status(Status status);

/// Add a header; nothing on a reply without a response.
void
http_reply_header(HttpReply* reply, const char* name, const char* value);

/// Hand it to libmicrohttpd and let go of it.
enum MHD_Result
http_reply_queue(HttpReply* reply, struct MHD_Connection* connection);

/// Let go of it unsent. Legal on an empty one.
void
http_reply_drop(HttpReply* reply);

/// The headers of every answer, onto a response made elsewhere.
void
http_reply_guard(struct MHD_Response* response);
