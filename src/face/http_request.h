// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "face/http_query.h"
#include "face/http_reply.h"

#include <pthread.h>
#include <stdbool.h>

/*
  One request on its way: read by the loop thread, answered by it at once or handed to a worker.

      loop thread            worker
      read, suspend -- queue --> work, reply
      queue reply <-- resume ---'

  A request belongs to the loop thread, to a queue or to a worker, never to two of them. While a
  worker has it its connection is suspended, so nothing of it is freed; the worker's last touch is
  http_request_done.
*/

/// What a worker is to do.
typedef enum { HTTP_ASK, HTTP_FACTS, HTTP_NEW } HttpTask;

typedef struct HttpRequest HttpRequest;

struct HttpRequest {
  HttpRequest* next;
  struct MHD_Connection* connection;
  Arena arena; ///< Lives as long as the request
  char* raw;   ///< The address as it came
  HttpQuery query;
  bool is_get;
  bool is_read; ///< The header has been judged
  char* body;   ///< From malloc; n_body bytes
  size_t n_body;
  size_t room_body;
  HttpTask task;
  const char* role;  ///< Of whoever asks, as facts carry it
  const char* place; ///< Where they stand
  unsigned may;      ///< A bit for each TellSort
  char** argv;       ///< HTTP_ASK: the verb and its words
  int argc;
  const char* key; ///< HTTP_ASK: the same in one text
  bool is_timed;   ///< HTTP_ASK: the answer changes with the clock
  bool is_done;    ///< The reply stands
  HttpReply reply;
};

/// A line of requests between two threads, first come first served.
typedef struct {
  pthread_mutex_t lock;
  pthread_cond_t more;
  HttpRequest* first;
  HttpRequest* last;
  bool is_closed;
} HttpQueue;

/// @return STATUS_NO_MEMORY.
Status
http_queue_init(HttpQueue* queue);

void
http_queue_deinit(HttpQueue* queue);

/// Suspend the connection and put the request in line. Loop thread. False after http_queue_close:
/// then nothing was done.
bool
http_queue_push(HttpQueue* queue, HttpRequest* request);

/// Everything in line, in order; waits up to `wait_ms` for something. NULL: nothing came.
/// @param[out] is_closed Nothing more will come.
HttpRequest*
http_queue_take(HttpQueue* queue, int wait_ms, bool* is_closed);

/// Nothing more is let in; whoever waits wakes.
void
http_queue_close(HttpQueue* queue);

/// The reply stands: wake the connection. The request is not the worker's any more.
void
http_request_done(HttpRequest* request, HttpReply reply);
