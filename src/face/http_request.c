// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_request.h"

#include <time.h>

Status
http_queue_init(HttpQueue* queue)
{
  *queue = (HttpQueue){.first = NULL};
  if (pthread_mutex_init(&queue->lock, NULL) != 0) {
    return STATUS_NO_MEMORY;
  }
  if (pthread_cond_init(&queue->more, NULL) != 0) {
    (void)pthread_mutex_destroy(&queue->lock);
    return STATUS_NO_MEMORY;
  }
  return STATUS_OK;
}

void
http_queue_deinit(HttpQueue* queue)
{
  (void)pthread_cond_destroy(&queue->more);
  (void)pthread_mutex_destroy(&queue->lock);
}

bool
http_queue_push(HttpQueue* queue, HttpRequest* request)
{
  (void)pthread_mutex_lock(&queue->lock);
  const bool is_let_in = !queue->is_closed;
  if (is_let_in) {
    // Under the lock, so that no worker can resume what is not suspended yet
    MHD_suspend_connection(request->connection);
    request->next = NULL;
    if (queue->last) {
      queue->last->next = request;
    } else {
      queue->first = request;
    }
    queue->last = request;
    (void)pthread_cond_signal(&queue->more);
  }
  (void)pthread_mutex_unlock(&queue->lock);
  return is_let_in;
}

HttpRequest*
http_queue_take(HttpQueue* queue, int wait_ms, bool* is_closed)
{
  struct timespec until;
  (void)clock_gettime(CLOCK_REALTIME, &until);
  until.tv_sec += wait_ms / 1000;
  until.tv_nsec += (long)(wait_ms % 1000) * 1000000L;
  if (until.tv_nsec >= 1000000000L) {
    until.tv_nsec -= 1000000000L;
    ++until.tv_sec;
  }
  (void)pthread_mutex_lock(&queue->lock);
  int rc = 0;
  while (!queue->first && !queue->is_closed && rc == 0) {
    rc = pthread_cond_timedwait(&queue->more, &queue->lock, &until);
  }
  HttpRequest* const all = queue->first;
  queue->first = queue->last = NULL;
  *is_closed = queue->is_closed;
  (void)pthread_mutex_unlock(&queue->lock);
  return all;
}

void
http_queue_close(HttpQueue* queue)
{
  (void)pthread_mutex_lock(&queue->lock);
  queue->is_closed = true;
  (void)pthread_cond_broadcast(&queue->more);
  (void)pthread_mutex_unlock(&queue->lock);
}

void
http_request_done(HttpRequest* request, HttpReply reply)
{
  struct MHD_Connection* const connection = request->connection;
  request->reply = reply;
  request->is_done = true;
  // libmicrohttpd takes a lock on both sides of this, which hands the request over
  MHD_resume_connection(connection);
}
