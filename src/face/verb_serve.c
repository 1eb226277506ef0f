// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_server.h"
#include "face/json.h"
#include "face/verb.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

/*
  `serve`: the crew page and its API, until Ctrl-C.
*/

enum { PORT = 8017 };

static Status
say_where(const Face* face, HttpServer* server)
{
  const int port = http_server_port(server);
  if (face->args->json) {
    HttpState state;
    http_server_state(server, &state);
    json_t* const answer = json_answer(NULL);
    json_object_set_new(answer, "show", state.path[0] ? json_words(state.path) : json_null());
    json_object_set_new(answer, "port", json_integer(port));
    json_object_set_new(answer, "lan", json_boolean(face->args->lan));
    const Status st = json_answer_print(answer, face->args, face->screen->out, face->error);
    (void)fflush(face->screen->out);
    return st;
  }
  screen_say(face->screen, PAINT_STRONG, "Serving. Open http://127.0.0.1:%d/ in a browser.", port);
  screen_say(face->screen, PAINT_PLAIN, "Ctrl-C stops it; every fact that was answered is kept.");
  (void)fflush(face->screen->out);
  return STATUS_OK;
}

static void
wait_for_end(const sigset_t* signals, int stop_after_s)
{
  const struct timespec until = {stop_after_s, 0};
  int got = -1;
  do {
    got = stop_after_s > 0 ? sigtimedwait(signals, NULL, &until) : sigwaitinfo(signals, NULL);
  } while (got < 0 && errno == EINTR);
}

Status
verb_serve(const Face* face)
{
  const Args* const args = face->args;
  HttpServer* server = NULL;
  sigset_t signals;
  Status st;
  const HttpOptions options = {.path = args->n_words > 0 ? args->words[0] : NULL,
                               .port = args->port >= 0 ? args->port : PORT,
                               .lan = args->lan,
                               .limits = HTTP_LIMITS};
  // Before any thread starts, so that all of them leave these to us
  (void)sigemptyset(&signals);
  (void)sigaddset(&signals, SIGINT);
  (void)sigaddset(&signals, SIGTERM);
  (void)sigaddset(&signals, SIGHUP);
  (void)pthread_sigmask(SIG_BLOCK, &signals, NULL);
  (void)signal(SIGPIPE, SIG_IGN);
  TRY(st, http_server_start(&options, &server, face->error));
  st = say_where(face, server);
  if (st == STATUS_OK) {
    wait_for_end(&signals, args->stop_after_s);
  }
  const Status stopped = http_server_stop(server, st == STATUS_OK ? face->error : NULL);
  st = st == STATUS_OK ? stopped : st;
  if (st == STATUS_OK && !args->json) {
    screen_say(face->screen, PAINT_PLAIN, "Stopped. The show is one file, with every fact in it.");
  }
  return st;
}
