// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_route.h"

#include "face/http_asset.h"
#include "face/http_guard.h"
#include "face/http_question.h"
#include "face/json.h"
#include "face/json_in.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

enum { SMALL_BODY = 2048, FACTS_BODY_MOST = 64 * 1024 };

/// What a path needs of whoever asks.
typedef enum {
  NEEDS_NOTHING,
  NEEDS_TOKEN,  ///< Has joined, or asks from this box
  NEEDS_IMPORT, ///< May bring lists
  NEEDS_HERE    ///< Sits at this box
} Need;

typedef struct Path Path;

struct Path {
  const char* method;
  const char* path; ///< Behind /api/1/
  Need need;
  HttpStep (*answer)(HttpRoute* route, HttpRequest* request, const HttpGuest* guest);
};

static HttpStep
reply(HttpRequest* request, HttpReply made)
{
  request->reply = made;
  return HTTP_STEP_REPLY;
}

static bool
is_here(HttpRequest* request)
{
  char address[HTTP_ADDRESS_ROOM];
  http_guard_address(request->connection, address);
  return http_guard_is_loopback(address);
}

static bool
guest_of(HttpRoute* route, HttpRequest* request, HttpGuest* guest)
{
  const char* const token =
    MHD_lookup_connection_value(request->connection, MHD_COOKIE_KIND, "linewalk");
  return http_door_guest(route->door, token, is_here(request), http_clock_s(), guest);
}

// ---- me, join, leave ----

static json_t*
roles_json(void)
{
  json_t* const list = json_array();
  for (int r = 0; r < HTTP_ROLE_COUNT; ++r) {
    json_t* const one = json_object();
    json_object_set_new(one, "role", json_words(http_role_word((HttpRole)r)));
    json_object_set_new(one, "say", json_words(http_role_say((HttpRole)r)));
    json_object_set_new(one, "place", json_words(http_role_place((HttpRole)r)));
    json_array_append_new(list, one);
  }
  return list;
}

static json_t*
may_json(const HttpGuest* guest)
{
  const unsigned may = http_role_may(guest->role);
  json_t* const list = json_array();
  for (int t = 0; t < TELL_COUNT; ++t) {
    if (may & 1U << t) {
      json_array_append_new(list, json_words(tell_word((TellSort)t)));
    }
  }
  if (may & HTTP_MAY_IMPORT) {
    json_array_append_new(list, json_words("new"));
  }
  if (guest->is_here) {
    json_array_append_new(list, json_words("phones"));
    json_array_append_new(list, json_words("code"));
  }
  return list;
}

static json_t*
me_json(HttpRoute* route, const HttpGuest* guest, bool is_in)
{
  HttpState state;
  http_writer_state(route->writer, &state);
  json_t* const answer = json_answer(NULL);
  json_object_set_new(answer, "joined", json_boolean(is_in && guest->session > 0));
  json_object_set_new(answer, "needs_code", json_boolean(!is_in));
  json_object_set_new(answer, "here", json_boolean(guest->is_here));
  json_object_set_new(answer, "role",
                      is_in ? json_words(http_role_word(guest->role)) : json_null());
  json_object_set_new(answer, "place",
                      is_in ? json_words(http_role_place(guest->role)) : json_null());
  json_object_set_new(answer, "may", is_in ? may_json(guest) : json_array());
  json_object_set_new(answer, "roles", roles_json());
  json_object_set_new(answer, "clock_s", json_integer((json_int_t)time(NULL)));
  if (is_in) {
    const char* const slash = strrchr(state.path, '/');
    json_object_set_new(answer, "empty", json_boolean(!state.path[0]));
    json_object_set_new(answer, "show",
                        state.path[0] ? json_words(slash ? slash + 1 : state.path) : json_null());
    json_object_set_new(answer, "show_id", state.path[0] ? json_words(state.id) : json_null());
    json_object_set_new(answer, "seq", json_integer(state.seq));
    json_t* const stage = state.stage[0] ? json_loads(state.stage, 0, NULL) : NULL;
    if (stage) {
      (void)json_object_update(answer, stage);
      json_decref(stage);
    }
  }
  return answer;
}

static HttpStep
answer_me(HttpRoute* route, HttpRequest* request, const HttpGuest* guest)
{
  HttpGuest own;
  (void)guest;
  const bool is_in = guest_of(route, request, &own);
  return reply(request, http_reply_json(MHD_HTTP_OK, me_json(route, &own, is_in)));
}

static Status
read_join(HttpRequest* request, const char** code, HttpRole* role, Error* error)
{
  static const char* const keys[] = {"code", "role", NULL};
  JsonIn in;
  JsonAt root;
  const char* word = NULL;
  Status st;
  TRY(st, json_in_read(&request->arena, NULL, request->body ? request->body : "", request->n_body,
                       &in, &root, error));
  st = json_in_keys(&in, &root, keys);
  st = st == STATUS_OK ? json_in_text(&in, &root, "code", 40, false, code) : st;
  st = st == STATUS_OK ? json_in_text(&in, &root, "role", 40, true, &word) : st;
  json_in_free(&in);
  if (st == STATUS_OK && !http_role_of(word, role)) {
    st = error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                   "There is no role \"%.40s\": house, monitors, broadcast, stage, amplifiers or "
                   "look.",
                   word);
  }
  return st;
}

static HttpStep
answer_join(HttpRoute* route, HttpRequest* request, const HttpGuest* guest)
{
  char address[HTTP_ADDRESS_ROOM];
  char token[HTTP_TOKEN_BYTES + 1];
  char text[200];
  const char* code = NULL;
  HttpRole role = HTTP_LOOK;
  int wait_s = 0;
  Error error = {0};
  HttpGuest own;
  (void)guest;
  Status st = read_join(request, &code, &role, &error);
  if (st != STATUS_OK) {
    return reply(request, http_reply_error(st, &error));
  }
  http_guard_address(request->connection, address);
  const bool is_in = guest_of(route, request, &own);
  if (is_in && own.session > 0 && !code) {
    http_door_change(route->door, own.session, role); // Joined before: takes another role
    own.role = role;
    return reply(request, http_reply_json(MHD_HTTP_OK, me_json(route, &own, true)));
  }
  st =
    http_door_join(route->door, code, role, own.is_here, address, http_clock_s(), token, &wait_s);
  if (st == STATUS_LIMIT) {
    HttpReply made = http_reply_say(MHD_HTTP_TOO_MANY_REQUESTS,
                                    "Too many wrong codes. Try again in %d s.", wait_s);
    (void)snprintf(text, sizeof(text), "%d", wait_s);
    http_reply_header(&made, "Retry-After", text);
    return reply(request, made);
  }
  if (st != STATUS_OK) {
    return reply(request, st == STATUS_NO
                            ? http_reply_say(MHD_HTTP_FORBIDDEN,
                                             "That is not the code of now. It stands on the screen "
                                             "of the box that serves this page.")
                            : http_reply_error(st, &error));
  }
  (void)http_door_guest(route->door, token, own.is_here, http_clock_s(), &own);
  HttpReply made = http_reply_json(MHD_HTTP_OK, me_json(route, &own, true));
  (void)snprintf(text, sizeof(text),
                 "linewalk=%s; Path=/; HttpOnly; SameSite=Strict; Max-Age=259200", token);
  http_reply_header(&made, "Set-Cookie", text);
  return reply(request, made);
}

static HttpStep
answer_leave(HttpRoute* route, HttpRequest* request, const HttpGuest* guest)
{
  (void)http_door_out(route->door, guest->session);
  if (guest->session > 0) {
    http_stream_end(route->stream, guest->session);
  }
  HttpReply made = http_reply_json(MHD_HTTP_OK, json_answer(NULL));
  http_reply_header(&made, "Set-Cookie", "linewalk=; Path=/; HttpOnly; SameSite=Strict; Max-Age=0");
  return reply(request, made);
}

// ---- phones, code: at this box alone ----

static HttpStep
answer_phones(HttpRoute* route, HttpRequest* request, const HttpGuest* guest)
{
  HttpJoined* const joined = arena_array(&request->arena, HTTP_MAX_SESSIONS, sizeof(*joined));
  (void)guest;
  if (!joined) {
    return HTTP_STEP_FAIL;
  }
  const int n = http_door_list(route->door, joined, HTTP_MAX_SESSIONS);
  const int64_t now_s = http_clock_s();
  json_t* const answer = json_answer(NULL);
  json_t* const list = json_array();
  for (int i = 0; i < n; ++i) {
    json_t* const one = json_object();
    json_object_set_new(one, "phone", json_integer(joined[i].session));
    json_object_set_new(one, "role", json_words(http_role_word(joined[i].role)));
    json_object_set_new(one, "address", json_words(joined[i].address));
    json_object_set_new(one, "joined_s", json_integer(now_s - joined[i].joined_s));
    json_object_set_new(one, "seen_s", json_integer(now_s - joined[i].seen_s));
    json_array_append_new(list, one);
  }
  json_object_set_new(answer, "phones", list);
  json_object_set_new(answer, "reading_along", json_integer(http_stream_count(route->stream)));
  return reply(request, http_reply_json(MHD_HTTP_OK, answer));
}

static HttpStep
answer_out(HttpRoute* route, HttpRequest* request, const HttpGuest* guest)
{
  static const char* const keys[] = {"out", NULL};
  JsonIn in;
  JsonAt root;
  Error error = {0};
  double number = 0.0;
  (void)guest;
  Status st = json_in_read(&request->arena, NULL, request->body ? request->body : "",
                           request->n_body, &in, &root, &error);
  if (st == STATUS_OK) {
    st = json_in_keys(&in, &root, keys);
    st = st == STATUS_OK ? json_in_number(&in, &root, "out", 1.0, 1e9, true, &number) : st;
    json_in_free(&in);
  }
  if (st == STATUS_OK && !http_door_out(route->door, (int)number)) {
    st = error_set(&error, STATUS_NOT_FOUND, NULL, 0, 0, "There is no phone %d.", (int)number);
  }
  if (st != STATUS_OK) {
    return reply(request, http_reply_error(st, &error));
  }
  http_stream_end(route->stream, (int)number);
  return answer_phones(route, request, NULL);
}

static HttpStep
answer_code(HttpRoute* route, HttpRequest* request, const HttpGuest* guest)
{
  char code[HTTP_CODE_LETTERS + 1];
  (void)guest;
  http_door_code(route->door, code);
  json_t* const answer = json_answer(NULL);
  json_object_set_new(answer, "code", json_words(code));
  json_object_set_new(answer, "lan", json_boolean(route->lan));
  return reply(request, http_reply_json(MHD_HTTP_OK, answer));
}

static HttpStep
answer_new_code(HttpRoute* route, HttpRequest* request, const HttpGuest* guest)
{
  (void)http_door_renew(route->door);
  return answer_code(route, request, guest);
}

// ---- stream ----

static HttpStep
answer_stream(HttpRoute* route, HttpRequest* request, const HttpGuest* guest)
{
  const char* text =
    MHD_lookup_connection_value(request->connection, MHD_HEADER_KIND, "Last-Event-ID");
  text = text ? text : http_query_word(&request->query, "after");
  int64_t after_seq = -1;
  if (text && *text) {
    after_seq = 0;
    for (const char* c = text; *c; ++c) {
      if (*c < '0' || *c > '9' || c - text > 17) {
        return reply(request,
                     http_reply_say(MHD_HTTP_BAD_REQUEST,
                                    "\"%.40s\" is no place in the log: give a number.", text));
      }
      after_seq = after_seq * 10 + (*c - '0');
    }
  }
  return reply(request,
               http_stream_open(route->stream, request->connection, after_seq, guest->session));
}

// ---- What a worker does ----

static HttpStep
to_writer(HttpRoute* route, HttpRequest* request, const HttpGuest* guest, HttpTask task)
{
  request->task = task;
  request->role = http_role_say(guest->role);
  request->place = http_role_place(guest->role);
  request->may = http_role_may(guest->role);
  return http_writer_push(route->writer, request)
           ? HTTP_STEP_WAIT
           : reply(request, http_reply_say(MHD_HTTP_SERVICE_UNAVAILABLE,
                                           "The server is stopping: keep it and send it again."));
}

static HttpStep
answer_facts(HttpRoute* route, HttpRequest* request, const HttpGuest* guest)
{
  return to_writer(route, request, guest, HTTP_FACTS);
}

static HttpStep
answer_new(HttpRoute* route, HttpRequest* request, const HttpGuest* guest)
{
  return to_writer(route, request, guest, HTTP_NEW);
}

static HttpStep
answer_question(HttpRoute* route, HttpRequest* request, const char* verb)
{
  Error error = {0};
  enum MHD_Result queued = MHD_NO;
  const Status st = http_question_words(request, verb, &error);
  if (st != STATUS_OK) {
    return reply(request, http_reply_error(st, &error));
  }
  request->task = HTTP_ASK;
  if (http_answers_give(route->answers, request, false, &queued)) {
    return queued == MHD_YES ? HTTP_STEP_QUEUED : HTTP_STEP_FAIL;
  }
  return http_answers_push(route->answers, request)
           ? HTTP_STEP_WAIT
           : reply(request,
                   http_reply_say(MHD_HTTP_SERVICE_UNAVAILABLE, "The server is stopping."));
}

HttpStep
http_route_done(HttpRoute* route, HttpRequest* request)
{
  enum MHD_Result queued = MHD_NO;
  if (request->task != HTTP_ASK) {
    return HTTP_STEP_REPLY;
  }
  return http_answers_give(route->answers, request, true, &queued)
           ? (queued == MHD_YES ? HTTP_STEP_QUEUED : HTTP_STEP_FAIL)
           : reply(request, http_reply_say(MHD_HTTP_SERVICE_UNAVAILABLE,
                                           "There is not enough memory for this answer."));
}

// ---- The table ----

static const Path paths[] = {
  {"GET", "me", NEEDS_NOTHING, answer_me},      {"POST", "join", NEEDS_NOTHING, answer_join},
  {"POST", "leave", NEEDS_TOKEN, answer_leave}, {"GET", "stream", NEEDS_TOKEN, answer_stream},
  {"POST", "facts", NEEDS_TOKEN, answer_facts}, {"POST", "new", NEEDS_IMPORT, answer_new},
  {"GET", "phones", NEEDS_HERE, answer_phones}, {"POST", "phones", NEEDS_HERE, answer_out},
  {"GET", "code", NEEDS_HERE, answer_code},     {"POST", "code", NEEDS_HERE, answer_new_code},
};
enum { N_PATHS = sizeof(paths) / sizeof(paths[0]) };

static const Path*
path_of(const char* method, const char* name)
{
  for (int i = 0; i < N_PATHS; ++i) {
    if (!strcmp(paths[i].path, name) && !strcmp(paths[i].method, method)) {
      return &paths[i];
    }
  }
  return NULL;
}

static const char*
behind_api(const HttpRequest* request)
{
  static const char start[] = "/api/1/";
  return strncmp(request->query.path, start, sizeof(start) - 1)
           ? NULL
           : request->query.path + sizeof(start) - 1;
}

// Whether whoever asks may; else the reply stands.
static bool
is_let(HttpRoute* route, HttpRequest* request, Need need, HttpGuest* guest)
{
  const bool is_in = guest_of(route, request, guest);
  const bool may = need != NEEDS_IMPORT || (http_role_may(guest->role) & HTTP_MAY_IMPORT) != 0;
  if (need == NEEDS_NOTHING || (is_in && may && (need != NEEDS_HERE || guest->is_here))) {
    return true;
  }
  request->reply =
    !is_in ? http_reply_say(MHD_HTTP_UNAUTHORIZED, "Join first, with the code that stands on the "
                                                   "screen of the box that serves this page.")
           : http_reply_say(MHD_HTTP_FORBIDDEN, need == NEEDS_HERE
                                                  ? "That is for whoever sits at the box itself."
                                                  : "That is not for this role.");
  return false;
}

size_t
http_route_body_max(const HttpRoute* route, const HttpRequest* request)
{
  const char* const name = behind_api(request);
  if (name && !strcmp(name, "facts")) {
    return (size_t)route->limits.body_bytes;
  }
  return name && !strcmp(name, "new") ? (size_t)route->limits.list_bytes : SMALL_BODY;
}

static HttpStep
head_of_post(HttpRoute* route, HttpRequest* request)
{
  HttpReply refused;
  if (!http_guard_write(request->connection, http_route_body_max(route, request), &refused)) {
    return reply(request, refused);
  }
  return HTTP_STEP_BODY;
}

HttpStep
http_route_head(HttpRoute* route, HttpRequest* request, const char* method)
{
  Error error = {0};
  HttpGuest guest;
  HttpReply refused;
  if (!http_guard_host(request->connection, &refused)) {
    return reply(request, refused);
  }
  const Status st = http_query_read(&request->arena, request->raw, &request->query, &error);
  if (st != STATUS_OK) {
    return reply(request, http_reply_error(st, &error));
  }
  const bool is_get = !strcmp(method, "GET") || !strcmp(method, "HEAD");
  const bool is_post = !strcmp(method, "POST");
  const char* const name = behind_api(request);
  if (!is_get && !is_post) {
    return reply(request, http_reply_say(MHD_HTTP_METHOD_NOT_ALLOWED, "GET and POST are known."));
  }
  request->is_get = is_get;
  if (!name) {
    return is_get ? HTTP_STEP_BODY
                  : reply(request, http_reply_say(MHD_HTTP_NOT_FOUND, "There is nothing here."));
  }
  const Path* const path = path_of(is_get ? "GET" : "POST", name);
  if (!path && is_post) {
    return reply(request, http_reply_say(MHD_HTTP_NOT_FOUND, "There is nothing to post to here."));
  }
  if (!is_let(route, request, path ? path->need : NEEDS_TOKEN, &guest)) {
    return HTTP_STEP_REPLY;
  }
  // A GET too is answered when it is whole: an answer before that would close the connection
  return is_post ? head_of_post(route, request) : HTTP_STEP_BODY;
}

HttpStep
http_route_body(HttpRoute* route, HttpRequest* request)
{
  HttpGuest guest;
  const char* const name = behind_api(request);
  if (!name) {
    return reply(request, http_asset_reply(request->connection, request->query.path));
  }
  const Path* const path = path_of(request->is_get ? "GET" : "POST", name);
  // Asked again: who was put out while the body came in is out
  if (!is_let(route, request, path ? path->need : NEEDS_TOKEN, &guest)) {
    return HTTP_STEP_REPLY;
  }
  return path ? path->answer(route, request, &guest) : answer_question(route, request, name);
}
