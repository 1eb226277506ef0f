// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_answer.h"

#include "base/text.h"
#include "face/http_log.h"
#include "face/http_pack.h"
#include "face/http_question.h"
#include "face/http_show.h"
#include "face/verb.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { KEPT_MAX = 256, TICK_S = 5 };

typedef struct {
  char* key;
  int64_t seq;
  int opened;
  int64_t tick;
  char etag[24];
  unsigned status;
  struct MHD_Response* response;
  struct MHD_Response* packed; ///< The same for who takes gzip; NULL = it is no smaller
  struct MHD_Response* same;   ///< 304
} Kept;

struct HttpAnswers {
  pthread_t thread;
  HttpQueue queue;
  HttpWriter* writer;
  HttpShow show;
  int opened;
  pthread_mutex_t lock;
  Kept kept[KEPT_MAX]; ///< Under the lock; the next one to go is at `next`
  int next;
};

// ---- What is kept ----

static int64_t
tick_now(const HttpRequest* request)
{
  const int64_t now_s = (int64_t)time(NULL);
  return request->is_timed ? now_s / TICK_S : now_s / 60;
}

static void
let_go(Kept* kept)
{
  if (kept->key) {
    free(kept->key);
    MHD_destroy_response(kept->response);
    MHD_destroy_response(kept->same);
    if (kept->packed) {
      MHD_destroy_response(kept->packed);
    }
  }
  *kept = (Kept){.key = NULL};
}

static Kept*
kept_of(HttpAnswers* answers, const char* key)
{
  for (int i = 0; i < KEPT_MAX; ++i) {
    if (answers->kept[i].key && !strcmp(answers->kept[i].key, key)) {
      return &answers->kept[i];
    }
  }
  return NULL;
}

bool
http_answers_give(HttpAnswers* answers, const HttpRequest* request, bool is_done,
                  enum MHD_Result* queued)
{
  HttpState state;
  http_writer_state(answers->writer, &state);
  (void)pthread_mutex_lock(&answers->lock);
  const Kept* const kept = kept_of(answers, request->key);
  const bool is_fresh = kept && kept->seq >= state.seq && kept->opened == state.opened &&
                        kept->tick == tick_now(request);
  const bool is_given = kept && (is_fresh || is_done);
  if (is_given) {
    const char* const has =
      MHD_lookup_connection_value(request->connection, MHD_HEADER_KIND, "If-None-Match");
    const bool is_same = has && kept->status == MHD_HTTP_OK && strstr(has, kept->etag);
    const bool is_packed =
      kept->packed && http_pack_takes(MHD_lookup_connection_value(
                        request->connection, MHD_HEADER_KIND, "Accept-Encoding"));
    *queued =
      MHD_queue_response(request->connection, is_same ? MHD_HTTP_NOT_MODIFIED : kept->status,
                         is_same     ? kept->same
                         : is_packed ? kept->packed
                                     : kept->response);
  }
  (void)pthread_mutex_unlock(&answers->lock);
  return is_given;
}

// FNV-1a, 64 bits: tells answers apart, guards nothing.
static uint64_t
hash_of(const char* bytes, size_t n)
{
  uint64_t hash = 14695981039346656037ULL;
  for (size_t i = 0; i < n; ++i) {
    hash = (hash ^ (unsigned char)bytes[i]) * 1099511628211ULL;
  }
  return hash;
}

// Answers are JSON, but for paper.
static const char*
type_of(const char* bytes, size_t n)
{
  if (bytes && n > 4 && !memcmp(bytes, "%PDF", 4)) {
    return "application/pdf";
  }
  return bytes && n > 5 && !memcmp(bytes, "<?xml", 5) ? "image/svg+xml" : "application/json";
}

// The answer again, packed; without a response when it would be no smaller.
static HttpReply
packed_of(const HttpReply* reply, const char* text, size_t n_text)
{
  char* packed = NULL;
  size_t n_packed = 0;
  HttpReply made = {reply->status, NULL};
  if (n_text >= HTTP_PACK_MIN_BYTES && http_pack_gzip(text, n_text, &packed, &n_packed)) {
    made = http_reply_text(reply->status, type_of(text, n_text), packed, n_packed);
    http_reply_header(&made, "Content-Encoding", "gzip");
  }
  return made;
}

// What every form of an answer carries; `is_said`: a verb gave it, and said yes or no.
static void
put_headers(HttpReply* reply, const Kept* made, bool is_said, bool is_no)
{
  char seq[24];
  (void)snprintf(seq, sizeof(seq), "%lld", (long long)made->seq);
  http_reply_header(reply, "ETag", made->etag);
  http_reply_header(reply, "Linewalk-Seq", seq);
  http_reply_header(reply, "Vary", "Accept-Encoding");
  if (is_said) {
    http_reply_header(reply, "Linewalk-Answer", is_no ? "no" : "yes");
  }
}

// Takes `reply` over; `text` [n_text] is what it says, still owned by it ("" for an error).
static void
keep(HttpAnswers* answers, const HttpRequest* request, Kept made, HttpReply* reply,
     const char* text, size_t n_text, Status st)
{
  const bool is_said = n_text > 0;
  HttpReply same = http_reply_text(MHD_HTTP_NOT_MODIFIED, "application/json", calloc(1, 1), 0);
  made.key = malloc(strlen(request->key) + 1);
  if (!reply->response || !same.response || !made.key) {
    http_reply_drop(reply);
    http_reply_drop(&same);
    free(made.key);
    return;
  }
  HttpReply packed = packed_of(reply, text, n_text);
  // Weak: packed or not, it says the same (RFC 9110, 8.8.3.3)
  (void)snprintf(made.etag, sizeof(made.etag), "W/\"%016llx\"",
                 (unsigned long long)hash_of(text, n_text));
  put_headers(reply, &made, is_said, st == STATUS_NO);
  put_headers(&packed, &made, is_said, st == STATUS_NO);
  put_headers(&same, &made, false, false);
  strcpy(made.key, request->key);
  made.status = reply->status;
  made.response = reply->response;
  made.packed = packed.response;
  made.same = same.response;
  (void)pthread_mutex_lock(&answers->lock);
  Kept* place = kept_of(answers, request->key);
  if (!place) {
    place = &answers->kept[answers->next];
    answers->next = (answers->next + 1) % KEPT_MAX;
  }
  let_go(place);
  *place = made;
  (void)pthread_mutex_unlock(&answers->lock);
}

// ---- Asking ----

// Whatever is open is the show of now.
static Status
renew(HttpAnswers* answers, Kept* made, Error* error)
{
  HttpState state;
  http_writer_state(answers->writer, &state);
  Status st = STATUS_OK;
  if (state.opened != answers->opened) {
    (void)http_show_close(&answers->show, NULL);
    TRY(st, http_show_open(&answers->show, state.path, STORE_READ_AGAIN, error));
    answers->opened = state.opened;
  } else if (answers->show.is_open) {
    TRY(st, http_show_renew(&answers->show, NULL, error));
  }
  made->opened = state.opened;
  made->seq = answers->show.is_open ? answers->show.seq : 0;
  return STATUS_OK;
}

// The history: the one question that is no verb.
static Status
run_facts(HttpAnswers* answers, const HttpRequest* request, char** text, size_t* n, Error* error)
{
  static const char* const names[] = {"after", "line", "limit"};
  int given[] = {0, 0, HTTP_LOG_MOST};
  const int lows[] = {0, 1, 1};
  const int highs[] = {INT_MAX, FACT_LINE_MAX, HTTP_LOG_MOST};
  Arena arena;
  if (!answers->show.is_open) {
    return error_set(error, STATUS_NOT_FOUND, NULL, 0, 0, "There is no show yet.");
  }
  for (int i = 0; i < 3; ++i) {
    const char* const word = http_query_word(&request->query, names[i]);
    if (word && !text_whole(word, lows[i], highs[i], &given[i])) {
      return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0, "%s: \"%.40s\" is no number for it.",
                       names[i], word);
    }
  }
  arena_init(&arena, NULL);
  json_t* const answer = http_log_answer(&arena, &answers->show.show, given[0], given[1], given[2]);
  *text = answer ? json_dumps(answer, JSON_COMPACT | JSON_PRESERVE_ORDER | JSON_REAL_PRECISION(15))
                 : NULL;
  json_decref(answer);
  arena_deinit(&arena);
  *n = *text ? strlen(*text) : 0;
  return *text ? STATUS_OK : STATUS_NO_MEMORY;
}

// Run the verb; what it printed is `text` [*n], from malloc.
static Status
run_verb(HttpAnswers* answers, const HttpRequest* request, char** text, size_t* n, Error* error)
{
  const Verb* const verb = verb_find(request->argv[0]);
  const HttpQuestion* const question = http_question_of(request->argv[0]);
  char* copy[HTTP_QUESTION_ARGV_MAX + 1]; // getopt puts them into another order
  Args args;
  Arena arena;
  if (!verb || !question) {
    return STATUS_NOT_FOUND;
  }
  if (question->has_show && !answers->show.is_open) {
    return error_set(error, STATUS_NOT_FOUND, NULL, 0, 0, "There is no show yet.");
  }
  for (int i = 0; i <= request->argc; ++i) {
    copy[i] = request->argv[i];
  }
  Status st;
  TRY(st, args_read(&verb->args, request->argc, copy, &args, error));
  FILE* const out = open_memstream(text, n);
  if (!out) {
    return STATUS_NO_MEMORY;
  }
  arena_init(&arena, NULL);
  const Screen screen = {out, false, false, 80};
  const Face face = {&arena, &args, &screen, error,
                     question->has_show ? &answers->show.show : NULL};
  st = verb->run(&face);
  arena_deinit(&arena);
  if (fclose(out) != 0 && st == STATUS_OK) {
    st = STATUS_NO_MEMORY;
  }
  return st;
}

static void
take(HttpAnswers* answers, HttpRequest* request)
{
  Kept made = {.tick = tick_now(request)};
  char* text = NULL;
  size_t n = 0;
  Error error = {0};
  Status st = renew(answers, &made, &error);
  if (st == STATUS_OK) {
    st = (strcmp(request->argv[0], "facts") ? run_verb : run_facts)(answers, request, &text, &n,
                                                                    &error);
  }
  const bool is_said = (st == STATUS_OK || st == STATUS_NO) && n > 0;
  HttpReply reply;
  if (is_said) {
    reply = http_reply_text(MHD_HTTP_OK, type_of(text, n), text, n);
  } else {
    free(text);
    text = NULL;
    n = 0;
    reply = http_reply_error(st == STATUS_OK ? STATUS_NO_MEMORY : st, &error);
  }
  keep(answers, request, made, &reply, text ? text : "", n, st);
  http_request_done(request, (HttpReply){0, NULL});
}

// Somebody before in line asked the same.
static bool
is_there(HttpAnswers* answers, const HttpRequest* request)
{
  HttpState state;
  http_writer_state(answers->writer, &state);
  (void)pthread_mutex_lock(&answers->lock);
  const Kept* const kept = kept_of(answers, request->key);
  const bool is_fresh = kept && kept->seq >= state.seq && kept->opened == state.opened &&
                        kept->tick == tick_now(request);
  (void)pthread_mutex_unlock(&answers->lock);
  return is_fresh;
}

static void*
run(void* user)
{
  HttpAnswers* const answers = user;
  bool is_closed = false;
  for (HttpRequest* all = NULL; all || !is_closed;) {
    all = http_queue_take(&answers->queue, 60000, &is_closed);
    for (HttpRequest* r = all; r;) {
      HttpRequest* const next = r->next;
      if (is_there(answers, r)) {
        http_request_done(r, (HttpReply){0, NULL});
      } else {
        take(answers, r);
      }
      r = next;
    }
  }
  return NULL;
}

Status
http_answers_start(HttpWriter* writer, HttpAnswers** answers, Error* error)
{
  HttpAnswers* const made = calloc(1, sizeof(*made));
  if (!made || pthread_mutex_init(&made->lock, NULL) != 0) {
    free(made);
    return STATUS_NO_MEMORY;
  }
  made->writer = writer;
  Status st = http_queue_init(&made->queue);
  if (st == STATUS_OK && pthread_create(&made->thread, NULL, run, made) != 0) {
    http_queue_deinit(&made->queue);
    st = error_set(error, STATUS_NO_MEMORY, NULL, 0, 0, "No thread could be started.");
  }
  if (st != STATUS_OK) {
    (void)pthread_mutex_destroy(&made->lock);
    free(made);
    return st;
  }
  *answers = made;
  return STATUS_OK;
}

bool
http_answers_push(HttpAnswers* answers, HttpRequest* request)
{
  return http_queue_push(&answers->queue, request);
}

void
http_answers_close(HttpAnswers* answers)
{
  http_queue_close(&answers->queue);
  (void)pthread_join(answers->thread, NULL);
}

void
http_answers_free(HttpAnswers* answers)
{
  for (int i = 0; i < KEPT_MAX; ++i) {
    let_go(&answers->kept[i]);
  }
  (void)http_show_close(&answers->show, NULL);
  http_queue_deinit(&answers->queue);
  (void)pthread_mutex_destroy(&answers->lock);
  free(answers);
}
