// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/http_lan.h"
#include "face/http_server.h"
#include "face/json.h"
#include "face/qr_view.h"
#include "face/verb.h"

#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

/*
  `serve`: the crew page and its API, until Ctrl-C. While it runs, lines typed at its terminal renew
  the code, list the phones and put one out; in a pipe nothing is read.
*/

enum {
  PORT = 8017,
  LOOK_MS = 200,      ///< How often keys and signals are looked at
  NOBODY_CAME_S = 90, ///< Then the usual reason for it is said
};

typedef struct {
  const Face* face;
  HttpServer* server;
  int64_t began_s;
  bool said_nobody;
} Console;

// ---- Where it is ----

static void
code_of(HttpServer* server, char text[HTTP_CODE_LETTERS + 2])
{
  char code[HTTP_CODE_LETTERS + 1];
  http_door_code(http_server_door(server), code);
  (void)snprintf(text, HTTP_CODE_LETTERS + 2, "%.3s %.3s", code, code + 3);
}

static void
say_code(const Face* face, HttpServer* server)
{
  HttpLan lans[HTTP_LAN_MAX];
  char code[HTTP_CODE_LETTERS + 2];
  char link[160];
  code_of(server, code);
  const int n = http_lan_list(lans);
  screen_say(face->screen, PAINT_STRONG, "Join code: %s", code);
  if (n > 0) {
    (void)snprintf(link, sizeof(link), "http://%s:%d/#join=%.3s%.3s", lans[0].address,
                   http_server_port(server), code, code + 4);
    if (qr_view_say(face->screen, link)) {
      screen_say(face->screen, PAINT_PLAIN, "Point a phone's camera at it: %s", link);
    }
  }
}

static void
say_lan(const Face* face, HttpServer* server)
{
  const Screen* const screen = face->screen;
  HttpLan lans[HTTP_LAN_MAX];
  const int n = http_lan_list(lans);
  if (n == 0) {
    screen_say(screen, PAINT_WARN,
               "This box is on no network now: join one, then start again. Phones have nothing to "
               "reach yet.");
    return;
  }
  screen_say(screen, PAINT_PLAIN,
             n > 1 ? "Phones reach it at the address of the network they "
                     "are on themselves:"
                   : "Phones on the same network reach it at:");
  for (int i = 0; i < n; ++i) {
    const char* const text =
      arena_format(face->arena, "http://%s:%d/ (%s%s)", lans[i].address, http_server_port(server),
                   lans[i].name, lans[i].is_wireless ? ", Wi-Fi" : "");
    screen_item(screen, PAINT_STRONG, "  ", text ? text : "");
  }
  say_code(face, server);
  screen_item(
    screen, PAINT_PLAIN, "- ",
    "A phone that says this Wi-Fi has no internet: answer that it stays, and switch mobile "
    "data off. Else it leaves for the mobile network.");
  screen_item(screen, PAINT_PLAIN, "- ",
              "Phones on this Wi-Fi that wait and wait for the page: the access point keeps them "
              "apart (\"client isolation\", a guest network), and phones cannot see this box. "
              "Switch that off, or use another network.");
  screen_item(screen, PAINT_PLAIN, "- ",
              "Nothing is encrypted: whoever is on this network can read along.");
}

static Status
say_where(const Face* face, HttpServer* server)
{
  const int port = http_server_port(server);
  HttpState state;
  http_server_state(server, &state);
  if (face->args->json) {
    char code[HTTP_CODE_LETTERS + 1];
    http_door_code(http_server_door(server), code);
    json_t* const answer = json_answer(NULL);
    json_object_set_new(answer, "show", state.path[0] ? json_words(state.path) : json_null());
    json_object_set_new(answer, "port", json_integer(port));
    json_object_set_new(answer, "lan", json_boolean(face->args->lan));
    json_object_set_new(answer, "code", json_words(code));
    const Status st = json_answer_print(answer, face->args, face->screen->out, face->error);
    (void)fflush(face->screen->out);
    return st;
  }
  if (face->args->lan) {
    say_lan(face, server);
  }
  screen_say(face->screen, PAINT_STRONG, "Open http://127.0.0.1:%d/ in a browser%s.", port,
             face->args->lan ? " on this box" : "");
  if (!state.path[0]) {
    screen_say(
      face->screen, PAINT_PLAIN,
      "There is no show yet: the page makes one from your lists, from a number of lines, or "
      "the demo. It will lie in this folder.");
  }
  if (face->screen->is_terminal && isatty(STDIN_FILENO) == 1) {
    screen_say(face->screen, PAINT_PLAIN, "%sCtrl-C stops it.",
               face->args->lan
                 ? "Type c for a new code, p for the phones, \"out 3\" to put phone 3 "
                   "out. "
                 : "");
  } else {
    screen_say(face->screen, PAINT_PLAIN, "Ctrl-C stops it.");
  }
  (void)fflush(face->screen->out);
  return STATUS_OK;
}

// ---- Keys ----

static int64_t
seconds_now(void)
{
  struct timespec now = {0};
  (void)clock_gettime(CLOCK_MONOTONIC, &now);
  return now.tv_sec;
}

static void
say_phones(const Console* console)
{
  enum { MOST = 60 };
  HttpJoined joined[MOST];
  const Screen* const screen = console->face->screen;
  const int n = http_door_list(http_server_door(console->server), joined, MOST);
  screen_say(screen, PAINT_STRONG, "%d joined, %d reading along.", n,
             http_server_streams(console->server));
  for (int i = 0; i < n; ++i) {
    char seen[32];
    char text[200];
    (void)snprintf(text, sizeof(text), "%d: %s, %s, seen %s ago", joined[i].session,
                   http_role_say(joined[i].role), joined[i].address,
                   screen_seconds((double)(http_clock_s() - joined[i].seen_s), seen));
    screen_item(screen, PAINT_PLAIN, "  ", text);
  }
}

static void
take_line(const Console* console, const char* line)
{
  const Face* const face = console->face;
  int number = 0;
  if (text_same(line, "c")) {
    (void)http_door_renew(http_server_door(console->server));
    say_code(face, console->server);
    screen_say(face->screen, PAINT_PLAIN, "Whoever is in stays in.");
  } else if (text_same(line, "p")) {
    say_phones(console);
  } else if (text_begins(line, "out ") && text_whole(line + 4, 1, 1000000, &number)) {
    screen_say(face->screen, PAINT_PLAIN,
               http_server_out(console->server, number)
                 ? "Phone %d is out. It can come back with the code: type c for a new one."
                 : "There is no phone %d: p lists them.",
               number);
  } else if (line[0]) {
    screen_say(face->screen, PAINT_PLAIN,
               "c: new join code. p: the phones. out 3: put phone 3 out. Ctrl-C: stop.");
  }
  (void)fflush(face->screen->out);
}

static void
look_at_keys(const Console* console)
{
  struct pollfd keys = {.fd = STDIN_FILENO, .events = POLLIN};
  char line[80];
  if (poll(&keys, 1, 0) == 1 && (keys.revents & POLLIN) && fgets(line, sizeof(line), stdin)) {
    line[strcspn(line, "\r\n")] = '\0';
    take_line(console, line);
  }
}

// With nobody on the network after a while, the usual reason.
static void
look_for_phones(Console* console)
{
  const Face* const face = console->face;
  if (face->args->lan && !face->args->json && !console->said_nobody &&
      seconds_now() - console->began_s > NOBODY_CAME_S) {
    console->said_nobody = true;
    if (http_server_visitors(console->server) == 0) {
      screen_say(face->screen, PAINT_WARN,
                 "No phone has reached this box yet. If phones are trying: are they on the same "
                 "Wi-Fi, with mobile data off? If they are, the access point keeps them apart "
                 "(client isolation): phones cannot see this box. A firewall on this box does the "
                 "same: let TCP port %d in.",
                 http_server_port(console->server));
      (void)fflush(face->screen->out);
    }
  }
}

static void
wait_for_end(Console* console, const sigset_t* signals, int stop_after_s)
{
  const struct timespec look = {0, LOOK_MS * 1000000L};
  const bool has_keys = console->face->screen->is_terminal && isatty(STDIN_FILENO) == 1;
  for (;;) {
    if (sigtimedwait(signals, NULL, &look) > 0 ||
        (stop_after_s > 0 && seconds_now() - console->began_s >= stop_after_s)) {
      return;
    }
    if (has_keys) {
      look_at_keys(console);
    }
    look_for_phones(console);
  }
}

// ---- Limits ----

// "address=200 streams=600"
static Status
read_limits(const Face* face, HttpLimits* limits)
{
  const struct {
    const char* name;
    int* value;
    int low, high;
  } known[] = {
    {"address", &limits->address, 1, 100000},
    {"connections", &limits->connections, 1, 100000},
    {"streams", &limits->streams, 1, 100000},
    {"body", &limits->body_bytes, 1024, 64 * 1024},
    {"lists", &limits->list_bytes, 1024, 64 * 1024 * 1024},
    {"patience", &limits->patience_s, 1, 3600},
    {"request", &limits->request_s, 1, 3600},
    {"heartbeat", &limits->heartbeat_s, 1, 60},
  };
  const char* at = face->args->limits ? face->args->limits : "";
  while (*at) {
    const size_t n = strcspn(at, " ,");
    const char* const word = arena_text(face->arena, at, n);
    bool good = n == 0;
    for (size_t i = 0; word && n > 0 && i < sizeof(known) / sizeof(known[0]); ++i) {
      const size_t n_name = strlen(known[i].name);
      if (!strncmp(word, known[i].name, n_name) && word[n_name] == '=') {
        good = text_whole(word + n_name + 1, known[i].low, known[i].high, known[i].value);
      }
    }
    if (!good) {
      return error_set(
        face->error, STATUS_BAD_ARG, NULL, 0, 0,
        "\"%.40s\" is no limit: address, connections, streams, body, lists, patience, "
        "request or heartbeat, as in \"address=200 streams=600\".",
        word ? word : "");
    }
    at += n;
    at += *at != '\0';
  }
  return STATUS_OK;
}

Status
verb_serve(const Face* face)
{
  const Args* const args = face->args;
  Console console = {.face = face};
  sigset_t signals;
  Status st;
  HttpOptions options = {.path = args->n_words > 0 ? args->words[0] : NULL,
                         .port = args->port >= 0 ? args->port : PORT,
                         .lan = args->lan,
                         .limits = HTTP_LIMITS};
  TRY(st, read_limits(face, &options.limits));
  // Before any thread starts, so that all of them leave these to us
  (void)sigemptyset(&signals);
  (void)sigaddset(&signals, SIGINT);
  (void)sigaddset(&signals, SIGTERM);
  (void)sigaddset(&signals, SIGHUP);
  (void)pthread_sigmask(SIG_BLOCK, &signals, NULL);
  (void)signal(SIGPIPE, SIG_IGN);
  TRY(st, http_server_start(&options, &console.server, face->error));
  console.began_s = seconds_now();
  st = say_where(face, console.server);
  if (st == STATUS_OK) {
    wait_for_end(&console, &signals, args->stop_after_s);
  }
  const Status stopped = http_server_stop(console.server, st == STATUS_OK ? face->error : NULL);
  st = st == STATUS_OK ? stopped : st;
  if (st == STATUS_OK && !args->json) {
    screen_say(face->screen, PAINT_PLAIN, "Stopped. Every fact that was answered is in the show.");
  }
  return st;
}
