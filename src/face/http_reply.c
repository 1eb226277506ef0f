// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_reply.h"

#include "face/json.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void
http_reply_guard(struct MHD_Response* response)
{
  static const char* const headers[][2] = {
    // blob: and data: media are the page's own, for keeping the screen awake
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
     "connect-src 'self'; media-src 'self' data: blob:; font-src 'self'; manifest-src 'self'; "
     "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
    {"X-Content-Type-Options", "nosniff"},
    {"Referrer-Policy", "no-referrer"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
  };
  for (size_t i = 0; i < sizeof(headers) / sizeof(headers[0]); ++i) {
    (void)MHD_add_response_header(response, headers[i][0], headers[i][1]);
  }
}

HttpReply
http_reply_text(unsigned status, const char* type, char* text, size_t n_bytes)
{
  HttpReply reply = {status, NULL};
  if (!text) {
    return reply;
  }
  reply.response = MHD_create_response_from_buffer(n_bytes, text, MHD_RESPMEM_MUST_FREE);
  if (!reply.response) {
    free(text);
    return reply;
  }
  http_reply_guard(reply.response);
  (void)MHD_add_response_header(reply.response, "Content-Type", type);
  (void)MHD_add_response_header(reply.response, "Cache-Control", "no-cache");
  return reply;
}

HttpReply
http_reply_json(unsigned status, json_t* object)
{
  char* const text =
    object ? json_dumps(object, JSON_COMPACT | JSON_PRESERVE_ORDER | JSON_REAL_PRECISION(10))
           : NULL;
  json_decref(object);
  return http_reply_text(status, "application/json", text, text ? strlen(text) : 0);
}

HttpReply
http_reply_say(unsigned status, const char* format, ...)
{
  char text[600];
  va_list args;
  va_start(args, format);
  (void)vsnprintf(text, sizeof(text), format, args);
  va_end(args);
  json_t* const answer = json_answer(NULL);
  json_object_set_new(answer, "error", json_words(text));
  return http_reply_json(status, answer);
}

unsigned
http_reply_status(Status status)
{
  switch (status) {
    case STATUS_OK:
    case STATUS_NO:
      return MHD_HTTP_OK;
    case STATUS_BAD_ARG:
    case STATUS_BAD_INPUT:
    case STATUS_NO_SOLUTION:
      return MHD_HTTP_BAD_REQUEST;
    case STATUS_NOT_FOUND:
      return MHD_HTTP_NOT_FOUND;
    case STATUS_EXISTS:
      return MHD_HTTP_CONFLICT;
    case STATUS_LIMIT:
      return MHD_HTTP_CONTENT_TOO_LARGE;
    case STATUS_FULL:
      return MHD_HTTP_INSUFFICIENT_STORAGE;
    case STATUS_LOCKED:
    case STATUS_NO_MEMORY:
      return MHD_HTTP_SERVICE_UNAVAILABLE;
    default:
      return MHD_HTTP_INTERNAL_SERVER_ERROR;
  }
}

HttpReply
http_reply_error(Status status, const Error* error)
{
  json_t* const answer = json_answer(NULL);
  json_object_set_new(answer, "error",
                      json_words(error->text[0] ? error->text : status_text(status)));
  if (error->file[0]) {
    json_object_set_new(answer, "file", json_words(error->file));
  }
  if (error->line > 0) {
    json_object_set_new(answer, "line", json_integer(error->line));
    json_object_set_new(answer, "column", json_integer(error->column));
  }
  return http_reply_json(http_reply_status(status), answer);
}

void
http_reply_header(HttpReply* reply, const char* name, const char* value)
{
  if (reply->response) {
    (void)MHD_add_response_header(reply->response, name, value);
  }
}

enum MHD_Result
http_reply_queue(HttpReply* reply, struct MHD_Connection* connection)
{
  const enum MHD_Result queued =
    reply->response ? MHD_queue_response(connection, reply->status, reply->response) : MHD_NO;
  http_reply_drop(reply);
  return queued; // MHD_NO closes the connection: the phone asks again
}

void
http_reply_drop(HttpReply* reply)
{
  if (reply->response) {
    MHD_destroy_response(reply->response);
  }
  *reply = (HttpReply){0, NULL};
}
