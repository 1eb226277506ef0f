// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_answer.h"

#include "base/text.h"
#include "face/http_log.h"
#include "face/http_show.h"
#include "face/verb.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { KEPT_MAX = 256, WORDS_MAX = 3, ARGV_MAX = 4 + HTTP_QUERY_MAX_WORDS, TICK_S = 5 };

// A verb as it may be asked. `words` in their order, a "?" behind one that may be left out;
// `options` are names as in ArgsVerb. What writes, what names a file and what talks is not here.
typedef struct {
  const char* verb;
  const char* words[WORDS_MAX];
  const char* options;
  bool has_show; ///< The show is its first word
  bool is_timed; ///< Counts seconds
} Question;

static const Question questions[] = {
  {"lines", {NULL}, "parts", true, false},
  {"line", {"line"}, "", true, false},
  {"next", {"line?"}, "minutes nobody-answers from", true, true},
  {"prove", {"box?"}, "way hunt go nobody-answers from", true, false},
  {"patch", {"way?"}, "anew", true, false},
  {"around", {"line?"}, "from", true, false},
  {"forecast", {NULL}, "by hands", true, false},
  {"predict", {"line", "check"}, "at", true, false},
  {"now", {NULL}, "", true, false},
  {"change", {"from", "to"}, "minutes hands choose", true, true},
  {"compare", {NULL}, "rows order", true, false},
  {"outputs", {"circuit?"}, "loss volts", true, false},
  {"sheet", {"what?"}, "from paper tape date page-address owner picture about", true, false},
  {"kit", {NULL}, "", true, false},
  {"facts", {"after?", "line?", "limit?"}, "", true, false},
  {"judge",
   {"connector"},
   "wired near far plan ohms length section awg celsius limit insulation flex lamps tester",
   false,
   false},
  {"help", {"verb?"}, "", false, false},
};
enum { N_QUESTIONS = sizeof(questions) / sizeof(questions[0]) };

typedef struct {
  char* key;
  int64_t seq;
  int opened;
  int64_t tick;
  char etag[24];
  unsigned status;
  struct MHD_Response* response;
  struct MHD_Response* same; ///< 304
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

// ---- Words ----

static const Question*
question_of(const char* verb)
{
  for (int i = 0; i < N_QUESTIONS; ++i) {
    if (!strcmp(questions[i].verb, verb)) {
      return &questions[i];
    }
  }
  return NULL;
}

static bool
is_word(const char* pattern, const char* name)
{
  const size_t n = strlen(name);
  return !strncmp(pattern, name, n) && (!pattern[n] || !strcmp(pattern + n, "?"));
}

// The option of a long name that this question takes; NULL when there is none.
static const ArgsOption*
option_of(const Question* question, const char* name)
{
  const char* const sets[] = {question->options, "act"};
  for (int s = 0; s < 2; ++s) {
    const char* names = sets[s];
    for (const ArgsOption* option; (option = args_next(&names));) {
      if (!strcmp(option->name, name)) {
        return option;
      }
    }
  }
  return NULL;
}

static Status
add_option(HttpRequest* request, const Question* question, const HttpWord* word, Error* error)
{
  for (int i = 0; i < WORDS_MAX && question->words[i]; ++i) {
    if (is_word(question->words[i], word->name)) {
      return STATUS_OK;
    }
  }
  const ArgsOption* const option = option_of(question, word->name);
  if (!option) {
    return error_set(error, STATUS_BAD_ARG, NULL, 0, 0, "\"%.40s\" is no word of \"%s\" here.",
                     word->name, question->verb);
  }
  if (!option->value && !strcmp(word->value, "0")) {
    return STATUS_OK;
  }
  request->argv[request->argc] =
    option->value ? arena_format(&request->arena, "--%s=%s", option->name, word->value)
                  : arena_format(&request->arena, "--%s", option->name);
  return request->argv[request->argc++] ? STATUS_OK : STATUS_NO_MEMORY;
}

static Status
add_words(HttpRequest* request, const Question* question, TextOut* key, Error* error)
{
  static const char* const behind[] = {"--json", "--", "SHOW"};
  for (int i = 0; i < (question->has_show ? 3 : 2); ++i) {
    request->argv[request->argc] = arena_copy(&request->arena, behind[i]);
    if (!request->argv[request->argc++]) {
      return STATUS_NO_MEMORY;
    }
  }
  for (int i = 0; i < WORDS_MAX && question->words[i]; ++i) {
    const char* const pattern = question->words[i];
    const size_t n = strcspn(pattern, "?");
    const char* value = NULL;
    for (int k = 0; k < request->query.n_words; ++k) {
      if (is_word(pattern, request->query.words[k].name)) {
        value = request->query.words[k].value;
      }
    }
    if (!value && !pattern[n]) {
      return error_set(error, STATUS_BAD_ARG, NULL, 0, 0, "\"%s\" needs \"%.*s\".", question->verb,
                       (int)n, pattern);
    }
    if (value) {
      text_add(key, "%s=", pattern);
      request->argv[request->argc] = arena_copy(&request->arena, value);
      if (!request->argv[request->argc++]) {
        return STATUS_NO_MEMORY;
      }
    }
  }
  return STATUS_OK;
}

Status
http_answers_words(HttpRequest* request, const char* verb, Error* error)
{
  const Question* const question = question_of(verb);
  Status st;
  if (!question) {
    return error_set(error, STATUS_NOT_FOUND, NULL, 0, 0,
                     "There is no \"%.40s\" to ask for: docs/api.md lists what there is.", verb);
  }
  request->argv = arena_array(&request->arena, ARGV_MAX + WORDS_MAX + 1, sizeof(char*));
  if (!request->argv) {
    return STATUS_NO_MEMORY;
  }
  request->argc = 0;
  request->argv[request->argc++] = arena_copy(&request->arena, verb);
  if (!request->argv[0]) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < request->query.n_words; ++i) {
    TRY(st, add_option(request, question, &request->query.words[i], error));
  }
  TextOut key = {.arena = &request->arena};
  TRY(st, add_words(request, question, &key, error));
  for (int i = 0; i < request->argc; ++i) {
    text_add(&key, "%s\x1f", request->argv[i]);
  }
  request->key = text_done(&key);
  request->is_timed = question->is_timed;
  return request->key ? STATUS_OK : STATUS_NO_MEMORY;
}

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
    *queued =
      MHD_queue_response(request->connection, is_same ? MHD_HTTP_NOT_MODIFIED : kept->status,
                         is_same ? kept->same : kept->response);
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

static void
keep(HttpAnswers* answers, const HttpRequest* request, Kept made, HttpReply* reply,
     const char* text, size_t n_text)
{
  char seq[24];
  HttpReply same = http_reply_text(MHD_HTTP_NOT_MODIFIED, "application/json", calloc(1, 1), 0);
  made.key = malloc(strlen(request->key) + 1);
  if (!reply->response || !same.response || !made.key) {
    http_reply_drop(reply);
    http_reply_drop(&same);
    free(made.key);
    return;
  }
  (void)snprintf(made.etag, sizeof(made.etag), "\"%016llx\"",
                 (unsigned long long)hash_of(text, n_text));
  (void)snprintf(seq, sizeof(seq), "%lld", (long long)made.seq);
  for (int i = 0; i < 2; ++i) {
    HttpReply* const r = i ? &same : reply;
    http_reply_header(r, "ETag", made.etag);
    http_reply_header(r, "Linewalk-Seq", seq);
  }
  strcpy(made.key, request->key);
  made.status = reply->status;
  made.response = reply->response;
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
  const Question* const question = question_of(request->argv[0]);
  char* copy[ARGV_MAX + WORDS_MAX + 1]; // getopt puts them into another order
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

// Answers are JSON, but for paper.
static const char*
type_of(const char* bytes, size_t n)
{
  if (bytes && n > 4 && !memcmp(bytes, "%PDF", 4)) {
    return "application/pdf";
  }
  return bytes && n > 5 && !memcmp(bytes, "<?xml", 5) ? "image/svg+xml" : "application/json";
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
    http_reply_header(&reply, "Linewalk-Answer", st == STATUS_NO ? "no" : "yes");
  } else {
    free(text);
    text = NULL;
    n = 0;
    reply = http_reply_error(st == STATUS_OK ? STATUS_NO_MEMORY : st, &error);
  }
  keep(answers, request, made, &reply, text ? text : "", n);
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
