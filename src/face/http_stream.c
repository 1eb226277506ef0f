// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_stream.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  int64_t seq;
  char* text;
  size_t n_bytes;
} Event;

typedef struct Client Client;

struct Client {
  Client* next;
  Client* before;
  HttpStream* stream;
  struct MHD_Connection* connection;
  size_t at;     ///< Event it is in
  size_t offset; ///< Bytes of that it has
  char note[80]; ///< Words for it alone: "now", a heartbeat
  size_t n_note;
  size_t at_note;
  unsigned beat; ///< Heartbeats it has heard
  int session;
  bool owes_now; ///< Has read facts since it was last told "now"
  bool is_suspended;
  bool is_ended;
};

struct HttpStream {
  pthread_mutex_t lock;
  Event* events;
  size_t n_events;
  size_t room;
  Client* clients;
  int n_clients;
  int max_clients;
  unsigned beat;
};

HttpStream*
http_stream_new(int max_clients)
{
  HttpStream* const stream = calloc(1, sizeof(*stream));
  if (stream && pthread_mutex_init(&stream->lock, NULL) != 0) {
    free(stream);
    return NULL;
  }
  if (stream) {
    stream->max_clients = max_clients;
  }
  return stream;
}

static void
forget_events(HttpStream* stream)
{
  for (size_t i = 0; i < stream->n_events; ++i) {
    free(stream->events[i].text);
  }
  free(stream->events);
  stream->events = NULL;
  stream->n_events = stream->room = 0;
}

void
http_stream_free(HttpStream* stream)
{
  if (stream) {
    forget_events(stream);
    (void)pthread_mutex_destroy(&stream->lock);
    free(stream);
  }
}

// With the lock held.
static void
wake_all(HttpStream* stream)
{
  for (Client* c = stream->clients; c; c = c->next) {
    if (c->is_suspended) {
      c->is_suspended = false;
      MHD_resume_connection(c->connection);
    }
  }
}

void
http_stream_reset(HttpStream* stream)
{
  (void)pthread_mutex_lock(&stream->lock);
  forget_events(stream);
  for (Client* c = stream->clients; c; c = c->next) {
    c->is_ended = true;
  }
  wake_all(stream);
  (void)pthread_mutex_unlock(&stream->lock);
}

// ---- Events ----

void
http_stream_add(HttpStream* stream, int64_t seq, json_t* fact)
{
  char* const data =
    fact ? json_dumps(fact, JSON_COMPACT | JSON_PRESERVE_ORDER | JSON_REAL_PRECISION(15)) : NULL;
  const size_t room = data ? strlen(data) + 64 : 0;
  char* const text = data ? malloc(room) : NULL;
  json_decref(fact);
  if (text) {
    // A line break inside a text is escaped in JSON, so an event cannot be cut in two by its words
    (void)snprintf(text, room, "id: %lld\nevent: fact\ndata: %s\n\n", (long long)seq, data);
  }
  free(data);
  (void)pthread_mutex_lock(&stream->lock);
  if (text && stream->n_events == stream->room) {
    const size_t more = stream->room * 2 + 256;
    Event* const events = realloc(stream->events, more * sizeof(*events));
    if (events) {
      stream->events = events;
      stream->room = more;
    }
  }
  if (text && stream->n_events < stream->room) {
    stream->events[stream->n_events++] = (Event){seq, text, strlen(text)};
  } else {
    free(text);
  }
  (void)pthread_mutex_unlock(&stream->lock);
}

void
http_stream_wake(HttpStream* stream)
{
  (void)pthread_mutex_lock(&stream->lock);
  wake_all(stream);
  (void)pthread_mutex_unlock(&stream->lock);
}

void
http_stream_beat(HttpStream* stream)
{
  (void)pthread_mutex_lock(&stream->lock);
  ++stream->beat;
  wake_all(stream);
  (void)pthread_mutex_unlock(&stream->lock);
}

// ---- Clients ----

// Words for one client: how far the log is.
static void
note(Client* client, const char* event)
{
  const HttpStream* const stream = client->stream;
  const int64_t seq = stream->n_events ? stream->events[stream->n_events - 1].seq : 0;
  const int n = snprintf(client->note, sizeof(client->note), "event: %s\ndata: {\"seq\":%lld}\n\n",
                         event, (long long)seq);
  client->n_note = n > 0 ? (size_t)n : 0;
  client->at_note = 0;
}

// Move on by what fits of `text` [n_text] from *at on. @return how much that was.
static size_t
give(char* room, size_t n_room, const char* text, size_t n_text, size_t* at)
{
  const size_t left = n_text - *at;
  const size_t n = left < n_room ? left : n_room;
  memcpy(room, text + *at, n);
  *at += n;
  return n;
}

// As much as fits; with the lock held.
static size_t
fill(Client* client, char* room, size_t n_room)
{
  const HttpStream* const stream = client->stream;
  size_t n = 0;
  while (n < n_room) {
    if (client->at_note < client->n_note) {
      n += give(room + n, n_room - n, client->note, client->n_note, &client->at_note);
    } else if (client->at < stream->n_events) {
      const Event* const event = &stream->events[client->at];
      client->owes_now = true;
      n += give(room + n, n_room - n, event->text, event->n_bytes, &client->offset);
      if (client->offset == event->n_bytes) {
        client->offset = 0;
        ++client->at;
      }
    } else if (client->owes_now) {
      client->owes_now = false;
      note(client, "now");
    } else {
      break;
    }
  }
  return n;
}

static ssize_t
read_on(void* user, uint64_t position, char* room, size_t n_room)
{
  Client* const client = user;
  HttpStream* const stream = client->stream;
  (void)position;
  (void)pthread_mutex_lock(&stream->lock);
  ssize_t n = MHD_CONTENT_READER_END_OF_STREAM;
  if (!client->is_ended) {
    n = (ssize_t)fill(client, room, n_room);
    if (n == 0 && client->beat != stream->beat) {
      note(client, "hb");
      n = (ssize_t)fill(client, room, n_room);
    }
    client->beat = stream->beat; // Whoever hears anything needs no heartbeat
    if (n == 0) {
      client->is_suspended = true;
      MHD_suspend_connection(client->connection);
    }
  }
  (void)pthread_mutex_unlock(&stream->lock);
  return n;
}

static void
leave(void* user)
{
  Client* const client = user;
  HttpStream* const stream = client->stream;
  (void)pthread_mutex_lock(&stream->lock);
  *(client->before ? &client->before->next : &stream->clients) = client->next;
  if (client->next) {
    client->next->before = client->before;
  }
  --stream->n_clients;
  (void)pthread_mutex_unlock(&stream->lock);
  free(client);
}

// The first event behind a seq; with the lock held.
static size_t
place_behind(const HttpStream* stream, int64_t seq)
{
  size_t low = 0;
  size_t high = stream->n_events;
  while (low < high) {
    const size_t middle = low + (high - low) / 2;
    if (stream->events[middle].seq <= seq) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low;
}

static bool
join(HttpStream* stream, Client* client, int64_t after_seq)
{
  (void)pthread_mutex_lock(&stream->lock);
  const bool has_room = stream->n_clients < stream->max_clients;
  if (has_room) {
    client->at = after_seq < 0 ? stream->n_events : place_behind(stream, after_seq);
    client->beat = stream->beat;
    client->next = stream->clients;
    if (client->next) {
      client->next->before = client;
    }
    stream->clients = client;
    ++stream->n_clients;
  }
  (void)pthread_mutex_unlock(&stream->lock);
  return has_room;
}

HttpReply
http_stream_open(HttpStream* stream, struct MHD_Connection* connection, int64_t after_seq,
                 int session)
{
  Client* const client = calloc(1, sizeof(*client));
  if (!client) {
    return http_reply_say(MHD_HTTP_SERVICE_UNAVAILABLE, "There is not enough memory.");
  }
  // First thing everybody hears is how far the log is
  *client =
    (Client){.stream = stream, .connection = connection, .session = session, .owes_now = true};
  if (!join(stream, client, after_seq)) {
    free(client);
    HttpReply full = http_reply_say(MHD_HTTP_SERVICE_UNAVAILABLE,
                                    "Too many phones read along already: this one asks again in a "
                                    "while. Close pages that nobody looks at.");
    http_reply_header(&full, "Retry-After", "20");
    return full;
  }
  HttpReply reply = {
    MHD_HTTP_OK, MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, 8192, read_on, client, leave)};
  if (!reply.response) {
    leave(client);
    return reply;
  }
  http_reply_guard(reply.response);
  http_reply_header(&reply, "Content-Type", "text/event-stream");
  http_reply_header(&reply, "Cache-Control", "no-store");
  return reply;
}

void
http_stream_end(HttpStream* stream, int session)
{
  (void)pthread_mutex_lock(&stream->lock);
  for (Client* c = stream->clients; c; c = c->next) {
    c->is_ended = c->is_ended || c->session == session;
  }
  wake_all(stream);
  (void)pthread_mutex_unlock(&stream->lock);
}

void
http_stream_close(HttpStream* stream)
{
  (void)pthread_mutex_lock(&stream->lock);
  stream->max_clients = 0;
  for (Client* c = stream->clients; c; c = c->next) {
    c->is_ended = true;
  }
  wake_all(stream);
  (void)pthread_mutex_unlock(&stream->lock);
}

int
http_stream_count(HttpStream* stream)
{
  (void)pthread_mutex_lock(&stream->lock);
  const int n = stream->n_clients;
  (void)pthread_mutex_unlock(&stream->lock);
  return n;
}
