// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_writer.h"

#include "base/text.h"
#include "day/plugged.h"
#include "face/http_fact.h"
#include "face/http_log.h"
#include "face/http_new.h"
#include "face/http_show.h"
#include "face/http_stage.h"
#include "face/json.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/*
  A batch is everything that waits. Facts of all its requests are checked one after the other
  against the show as it is, and gathered; what cannot be checked before they are in the log (an
  undo, a second word on one id) has them written first. Then the batch is written, the phones get
  the new facts, and only then the requests their answers.
*/

enum { BATCH_MAX = 1000, POLL_MS = 500 };

struct HttpWriter {
  pthread_t thread;
  HttpQueue queue;
  HttpStream* stream;
  int heartbeat_s;
  HttpShow kept;
  bool is_stale; ///< The log has facts that what we check against hangs on
  pthread_mutex_t lock;
  HttpState state; ///< Under the lock
};

// How it went with one fact of a request.
typedef struct {
  const HttpFact* sent;
  int pending; ///< Its place among the facts gathered; -1 = none
  int64_t seq; ///< 0 = not in the log
  const char* is;
  const char* say;
} Outcome;

typedef struct {
  HttpRequest* request;
  Outcome* outcomes; ///< [n]
  int n;
  bool is_answered;
} Part;

typedef struct {
  HttpWriter* writer;
  Arena arena;
  Part* parts;
  int n_parts;
  Fact* facts;  ///< [n_facts] gathered, not written yet
  Outcome** of; ///< [n_facts] whose it is
  int n_facts;
} Batch;

void
http_writer_state(HttpWriter* writer, HttpState* state)
{
  (void)pthread_mutex_lock(&writer->lock);
  *state = writer->state;
  (void)pthread_mutex_unlock(&writer->lock);
}

static void
publish(HttpWriter* writer, bool is_opened)
{
  char* const stage = http_stage_text(&writer->kept.show);
  const HttpShow* const kept = &writer->kept;
  const FoldSet all = kept->show.fold.all;
  (void)pthread_mutex_lock(&writer->lock);
  HttpState* const state = &writer->state;
  state->seq = kept->seq;
  state->stage[0] = '\0';
  if (stage && strlen(stage) < sizeof(state->stage)) {
    strcpy(state->stage, stage);
  }
  if (is_opened) {
    (void)snprintf(state->path, sizeof(state->path), "%s", kept->show.path);
    (void)snprintf(state->id, sizeof(state->id), "%s", all.n_facts ? all.facts[0]->fact.id : "");
    ++state->opened;
  }
  (void)pthread_mutex_unlock(&writer->lock);
  free(stage);
}

// Whether what is checked hangs on this fact: ohms do on an amplifier that is unplugged.
static bool
makes_stale(const Told* told)
{
  const FactKind kind = told->kind;
  const bool is_mark = kind == FACT_OUTPUT_READING && text_same(told->body.check, "amplifier");
  return is_mark || kind == FACT_LIST_IMPORTED || kind == FACT_KIT || kind == FACT_ACT_IN_FORCE ||
         kind == FACT_VOIDED || kind == FACT_TAPED_OFF || kind == FACT_CLEARED ||
         kind == FACT_MOVED;
}

// Facts of the fold behind a seq, to the phones.
static void
send_behind(HttpWriter* writer, int64_t seq)
{
  const FoldSet all = writer->kept.show.fold.all;
  Arena arena;
  size_t first = all.n_facts;
  arena_init(&arena, NULL);
  while (first > 0 && all.facts[first - 1]->fact.seq > seq) {
    --first;
  }
  for (size_t i = first; i < all.n_facts; ++i) {
    http_stream_add(writer->stream, all.facts[i]->fact.seq, http_log_json(&arena, all.facts[i]));
  }
  http_stream_wake(writer->stream);
  arena_deinit(&arena);
}

// Bring the show up to date and give what is new to the phones.
static Status
catch_up(HttpWriter* writer, Error* error)
{
  const int64_t before = writer->kept.seq;
  bool is_new = false;
  Status st;
  TRY(st, http_show_renew(&writer->kept, &is_new, error));
  if (is_new) {
    publish(writer, false);
    send_behind(writer, before);
  }
  return STATUS_OK;
}

// ---- Writing ----

static const FoldFact*
known(const HttpWriter* writer, const char* id)
{
  return tell_fact(&writer->kept.show, id);
}

// Everything gathered into the log. One that the log refuses is told so and the others go on; when
// the log cannot be written at all, all of them are told.
static Status
write_gathered(Batch* batch, Error* error)
{
  HttpWriter* const writer = batch->writer;
  Status st = STATUS_OK;
  while (batch->n_facts > 0) {
    *error = (Error){0};
    st = store_append(writer->kept.show.store, batch->facts, (size_t)batch->n_facts, NULL, error);
    const int bad = st != STATUS_OK ? error->line : 0;
    if (bad < 1 || bad > batch->n_facts) {
      break;
    }
    Outcome* const refused = batch->of[bad - 1];
    refused->is = "refused";
    refused->say = arena_copy(&batch->arena, error->text);
    refused->pending = -1;
    for (int i = bad; i < batch->n_facts; ++i) {
      batch->facts[i - 1] = batch->facts[i];
      batch->of[i - 1] = batch->of[i];
      --batch->of[i - 1]->pending;
    }
    --batch->n_facts;
    st = STATUS_OK;
  }
  if (st == STATUS_OK && batch->n_facts > 0) {
    st = catch_up(writer, error);
  }
  if (st == STATUS_OK) {
    for (int i = 0; i < batch->n_facts; ++i) {
      const FoldFact* const in = known(writer, batch->facts[i].id);
      batch->of[i]->seq = in ? in->fact.seq : 0;
    }
    batch->n_facts = 0;
  }
  return st;
}

// ---- One fact ----

static void
refuse(Outcome* outcome, const char* why)
{
  outcome->is = "refused";
  outcome->say = why;
}

// "known" when the log has it already. False when it has not.
static bool
is_told_before(Batch* batch, Outcome* outcome)
{
  const FoldFact* const before = known(batch->writer, outcome->sent->id);
  if (!before) {
    return false;
  }
  if (http_fact_is_same(outcome->sent, before)) {
    outcome->is = "known";
    outcome->say = "It was told before and does not count again.";
    outcome->seq = before->fact.seq;
  } else {
    refuse(outcome, "This id stands for another fact already: a new fact needs a new id.");
  }
  return true;
}

static bool
is_gathered(const Batch* batch, const char* id)
{
  for (int i = 0; i < batch->n_facts; ++i) {
    if (!strcmp(batch->facts[i].id, id)) {
      return true;
    }
  }
  return false;
}

static Status
gather(Batch* batch, const HttpRequest* request, Outcome* outcome, const Told* told)
{
  char time[FACT_TIME_ROOM];
  Error error = {0};
  Fact fact;
  Status st;
  fact_time_before(outcome->sent->age_s, time);
  const char* const role = http_stage_role(&batch->writer->kept.show.plant, request->place,
                                           outcome->sent->who, request->role);
  st = fact_make(&batch->arena, told->kind, &told->body, time, request->place, role, &fact, &error);
  if (st == STATUS_OK) {
    fact.id = outcome->sent->id;
    st = fact_check(&batch->arena, &fact, NULL, NULL, &error);
  }
  if (st == STATUS_NO_MEMORY) {
    return st;
  }
  if (st != STATUS_OK) {
    refuse(outcome, arena_copy(&batch->arena, error.text));
    return STATUS_OK;
  }
  outcome->is = "new";
  outcome->say = told->say;
  outcome->pending = batch->n_facts;
  batch->facts[batch->n_facts] = fact;
  batch->of[batch->n_facts++] = outcome;
  return STATUS_OK;
}

static Status
take_one(Batch* batch, const HttpRequest* request, Outcome* outcome, Error* error)
{
  HttpWriter* const writer = batch->writer;
  const HttpFact* const sent = outcome->sent;
  Status st;
  if (sent->no) {
    refuse(outcome, sent->no);
    return STATUS_OK;
  }
  const TellSort sort = sent->telling.sort;
  if (!(request->may & 1U << sort)) {
    refuse(outcome, arena_format(&batch->arena, "\"%s\" is not for this role (%s).",
                                 tell_word(sort), request->role));
    return STATUS_OK;
  }
  ChangeStepSort step;
  if (sort == TELL_CHANGE && change_step_of(sent->telling.step, &step) &&
      change_step_is_of_desk(step) && plant_desk(&writer->kept.show.plant, request->place) < 0) {
    refuse(outcome, "Only a desk can say that: ask it to.");
    return STATUS_OK;
  }
  const bool needs_all = sort == TELL_UNDO || sort == TELL_CLEAR || sort == TELL_SEEN ||
                         is_gathered(batch, sent->id) || batch->n_facts == BATCH_MAX;
  if (batch->n_facts > 0 && (needs_all || writer->is_stale)) {
    TRY(st, write_gathered(batch, error));
    writer->is_stale = false;
  }
  if (is_told_before(batch, outcome)) {
    return STATUS_OK;
  }
  const Args args = {.act = sent->act, .seconds = -1, .seed = -1};
  Error own = {0};
  const Face face = {&batch->arena, &args, NULL, &own, NULL};
  Told told;
  OpenShow show = writer->kept.show;
  st = tell_check(&face, &show, &sent->telling, &told);
  if (st == STATUS_NO_MEMORY) {
    return st;
  }
  if (st != STATUS_OK) {
    const char* const why = st == STATUS_NO ? told.say : own.text[0] ? own.text : status_text(st);
    refuse(outcome, arena_copy(&batch->arena, why));
    return STATUS_OK;
  }
  TRY(st, gather(batch, request, outcome, &told));
  writer->is_stale = writer->is_stale || makes_stale(&told);
  return STATUS_OK;
}

// ---- One request ----

static Status
take_part(Batch* batch, Part* part, Error* error)
{
  HttpRequest* const request = part->request;
  HttpFact* facts = NULL;
  int n = 0;
  Status st;
  if (!batch->writer->kept.is_open) {
    return error_set(error, STATUS_NOT_FOUND, NULL, 0, 0, "There is no show yet.");
  }
  TRY(st, http_fact_read(&batch->arena, request->body, request->n_body, &facts, &n, error));
  part->outcomes = arena_array(&batch->arena, (size_t)n, sizeof(Outcome));
  if (!part->outcomes) {
    return STATUS_NO_MEMORY;
  }
  part->n = n;
  for (int i = 0; i < n; ++i) {
    part->outcomes[i] = (Outcome){&facts[i], -1, 0, "refused", NULL};
    TRY(st, take_one(batch, request, &part->outcomes[i], error));
  }
  return STATUS_OK;
}

static HttpReply
part_reply(const HttpWriter* writer, const Part* part)
{
  json_t* const answer = json_answer(NULL);
  json_t* const list = json_array();
  for (int i = 0; i < part->n; ++i) {
    const Outcome* const o = &part->outcomes[i];
    json_t* const one = json_object();
    json_object_set_new(one, "id", json_words(o->sent->id));
    json_object_set_new(one, "seq", o->seq > 0 ? json_integer(o->seq) : json_null());
    json_object_set_new(one, "is", json_words(o->is));
    json_object_set_new(one, "say", json_words(o->say ? o->say : ""));
    json_array_append_new(list, one);
  }
  json_object_set_new(answer, "seq", json_integer(writer->kept.seq));
  json_object_set_new(answer, "facts", list);
  return http_reply_json(MHD_HTTP_OK, answer);
}

static bool
has_pending(const Part* part)
{
  for (int i = 0; i < part->n; ++i) {
    if (part->outcomes[i].pending >= 0 && part->outcomes[i].seq == 0) {
      return true;
    }
  }
  return false;
}

static void
answer(Part* part, HttpReply reply)
{
  part->is_answered = true;
  http_request_done(part->request, reply);
}

static void
take_batch(HttpWriter* writer, HttpRequest* first)
{
  Batch batch = {.writer = writer};
  arena_init(&batch.arena, NULL);
  for (const HttpRequest* r = first; r; r = r->next) {
    ++batch.n_parts;
  }
  batch.parts = arena_array(&batch.arena, (size_t)batch.n_parts, sizeof(Part));
  batch.facts = arena_array(&batch.arena, BATCH_MAX, sizeof(Fact));
  batch.of = arena_array(&batch.arena, BATCH_MAX, sizeof(Outcome*));
  if (!batch.parts || !batch.facts || !batch.of) {
    for (HttpRequest* r = first; r;) {
      HttpRequest* const next = r->next;
      http_request_done(r, http_reply_say(MHD_HTTP_SERVICE_UNAVAILABLE,
                                          "There is not enough memory: send it again."));
      r = next;
    }
    arena_deinit(&batch.arena);
    return;
  }
  Error error = {0};
  Status st = STATUS_OK;
  int n = 0;
  for (HttpRequest* r = first; r; ++n) {
    HttpRequest* const next = r->next;
    Part* const part = &batch.parts[n];
    *part = (Part){.request = r};
    error = (Error){0};
    st = take_part(&batch, part, &error);
    if (st != STATUS_OK && !has_pending(part)) {
      answer(part, http_reply_error(st, &error));
    }
    r = next;
  }
  error = (Error){0};
  st = write_gathered(&batch, &error);
  writer->is_stale = false;
  for (int i = 0; i < batch.n_parts; ++i) {
    Part* const part = &batch.parts[i];
    if (!part->is_answered) {
      answer(part, st != STATUS_OK && has_pending(part) ? http_reply_error(st, &error)
                                                        : part_reply(writer, part));
    }
  }
  arena_deinit(&batch.arena);
}

// ---- The show ----

static Status
open_show(HttpWriter* writer, const char* path, Error* error)
{
  Status st;
  TRY(st, http_show_open(&writer->kept, path, STORE_WRITE, error));
  http_stream_reset(writer->stream);
  publish(writer, true);
  send_behind(writer, 0);
  return STATUS_OK;
}

// The first show. There is one show a server: another one is another server's.
static void
make_show(HttpWriter* writer, HttpRequest* request)
{
  const char* path = NULL;
  Arena arena;
  Error error = {0};
  if (writer->kept.is_open) {
    http_request_done(request, http_reply_say(MHD_HTTP_CONFLICT,
                                              "There is a show already: start a server without "
                                              "one to make another."));
    return;
  }
  arena_init(&arena, NULL);
  HttpReply reply = http_new_take(&arena, request->body, request->n_body, &path);
  const Status st = path ? open_show(writer, path, &error) : STATUS_OK;
  if (st != STATUS_OK) {
    http_reply_drop(&reply);
    reply = http_reply_error(st, &error);
  }
  arena_deinit(&arena);
  http_request_done(request, reply);
}

// Requests for a first show, answered; the others are left, in order.
static HttpRequest*
take_new(HttpWriter* writer, HttpRequest* all)
{
  HttpRequest* left = NULL;
  HttpRequest** end = &left;
  for (HttpRequest* r = all; r;) {
    HttpRequest* const next = r->next;
    if (r->task == HTTP_NEW) {
      make_show(writer, r);
    } else {
      r->next = NULL;
      *end = r;
      end = &r->next;
    }
    r = next;
  }
  return left;
}

// ---- The thread ----

static int64_t
seconds_now(void)
{
  struct timespec now = {0};
  (void)clock_gettime(CLOCK_MONOTONIC, &now);
  return now.tv_sec;
}

static void*
run(void* user)
{
  HttpWriter* const writer = user;
  int64_t beat_s = seconds_now();
  bool is_closed = false;
  for (HttpRequest* all = NULL; all || !is_closed;) {
    all = http_queue_take(&writer->queue, POLL_MS, &is_closed);
    all = take_new(writer, all);
    if (all) {
      take_batch(writer, all);
    } else if (writer->kept.is_open) {
      (void)catch_up(writer, NULL); // Another program may be writing too; else next time
    }
    if (seconds_now() - beat_s >= writer->heartbeat_s) {
      beat_s = seconds_now();
      http_stream_beat(writer->stream);
    }
  }
  return NULL;
}

Status
http_writer_start(const char* path, HttpStream* stream, int heartbeat_s, HttpWriter** writer,
                  Error* error)
{
  HttpWriter* const made = calloc(1, sizeof(*made));
  if (!made || pthread_mutex_init(&made->lock, NULL) != 0) {
    free(made);
    return STATUS_NO_MEMORY;
  }
  made->stream = stream;
  made->heartbeat_s = heartbeat_s;
  Status st = http_queue_init(&made->queue);
  if (st == STATUS_OK) {
    st = path ? open_show(made, path, error) : STATUS_OK;
    if (st == STATUS_OK && pthread_create(&made->thread, NULL, run, made) != 0) {
      st = error_set(error, STATUS_NO_MEMORY, NULL, 0, 0, "No thread could be started.");
    }
    if (st != STATUS_OK) {
      (void)http_show_close(&made->kept, NULL);
      http_queue_deinit(&made->queue);
    }
  }
  if (st != STATUS_OK) {
    (void)pthread_mutex_destroy(&made->lock);
    free(made);
    return st;
  }
  *writer = made;
  return STATUS_OK;
}

bool
http_writer_push(HttpWriter* writer, HttpRequest* request)
{
  return http_queue_push(&writer->queue, request);
}

void
http_writer_close(HttpWriter* writer)
{
  http_queue_close(&writer->queue);
  (void)pthread_join(writer->thread, NULL);
}

Status
http_writer_free(HttpWriter* writer, Error* error)
{
  const Status st = http_show_close(&writer->kept, error);
  http_queue_deinit(&writer->queue);
  (void)pthread_mutex_destroy(&writer->lock);
  free(writer);
  return st;
}
