// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  A served show, and clients of it on plain sockets, for the programs of this folder. Loopback only,
  at a port the system chose. Whatever cannot go on says so and ends the program.
*/

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

typedef struct {
  pid_t pid;
  int port;
} Served;

static inline void
give_up(const char* what)
{
  printf("FAIL: %s: %s\n0 passed, 1 failed\n", what, strerror(errno));
  exit(1);
}

static inline double
clock_ms(void)
{
  struct timespec now = {0};
  (void)clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static inline void
wait_ms(double ms)
{
  const struct timespec t = {(time_t)(ms / 1000), (long)(ms * 1e6) % 1000000000L};
  (void)nanosleep(&t, NULL);
}

/// Run `program serve show --port 0 --json` and read where it listens.
static inline Served
served_start(const char* program, const char* show, const char* limits)
{
  int said[2];
  char line[400] = "";
  if (pipe(said) != 0) {
    give_up("pipe");
  }
  const pid_t pid = fork();
  if (pid < 0) {
    give_up("fork");
  }
  if (pid == 0) {
    (void)dup2(said[1], STDOUT_FILENO);
    (void)close(said[0]);
    (void)close(said[1]);
    (void)execl(program, program, "serve", show, "--port", "0", "--json", "--limits", limits,
                (char*)NULL);
    _exit(127);
  }
  (void)close(said[1]);
  FILE* const in = fdopen(said[0], "r");
  const char* const got = in && fgets(line, sizeof(line), in) ? strstr(line, "\"port\":") : NULL;
  if (!got) {
    give_up("the server said no port");
  }
  (void)fclose(in);
  return (Served){pid, atoi(got + 7)};
}

/// End it with a signal. @return its exit code; -1 when the signal ended it.
static inline int
served_end(const Served* served, int sign)
{
  int how = 0;
  (void)kill(served->pid, sign);
  while (waitpid(served->pid, &how, 0) < 0 && errno == EINTR) {
  }
  return WIFEXITED(how) ? WEXITSTATUS(how) : -1;
}

/// Whether it still runs.
static inline bool
served_runs(const Served* served)
{
  int how = 0;
  return waitpid(served->pid, &how, WNOHANG) == 0;
}

static inline int
client_connect(int port)
{
  const int one = socket(AF_INET, SOCK_STREAM, 0);
  struct sockaddr_in to = {.sin_family = AF_INET, .sin_port = htons((unsigned short)port)};
  const int yes = 1; // Head and body are two packets, which should not wait for each other
  to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  (void)setsockopt(one, IPPROTO_TCP, TCP_NODELAY, &yes, sizeof(yes));
  if (one < 0 || connect(one, (const struct sockaddr*)&to, sizeof(to)) != 0) {
    if (one >= 0) {
      (void)close(one);
    }
    return -1;
  }
  return one;
}

static inline bool
client_send(int to, const char* bytes, size_t n)
{
  for (size_t at = 0; at < n;) {
    const ssize_t sent = send(to, bytes + at, n - at, MSG_NOSIGNAL);
    if (sent <= 0) {
      return false;
    }
    at += (size_t)sent;
  }
  return true;
}

/// Read one answer with a Content-Length; the body, zero-ended, into `body`. @return the HTTP
/// status; 0 when the connection ended first.
static inline int
client_answer(int from, char* body, size_t n_room)
{
  char head[8192];
  size_t n = 0;
  char* end = NULL;
  while (!end && n < sizeof(head) - 1) {
    const ssize_t got = recv(from, head + n, sizeof(head) - 1 - n, 0);
    if (got <= 0) {
      return 0;
    }
    n += (size_t)got;
    head[n] = '\0';
    end = strstr(head, "\r\n\r\n");
  }
  const char* const length = end ? strstr(head, "Content-Length: ") : NULL;
  size_t left = length && length < end ? strtoul(length + 16, NULL, 10) : 0;
  size_t n_body = end ? n - (size_t)(end + 4 - head) : 0;
  if (!end || n_body > n_room - 1) {
    return 0;
  }
  memcpy(body, end + 4, n_body);
  while (n_body < left && n_body < n_room - 1) {
    const ssize_t got = recv(from, body + n_body, n_room - 1 - n_body, 0);
    if (got <= 0) {
      return 0;
    }
    n_body += (size_t)got;
  }
  body[n_body] = '\0';
  return atoi(head + 9);
}

static inline int
client_post(int to, const char* path, const char* json, char* body, size_t n_room)
{
  char head[400];
  const int n = snprintf(head, sizeof(head),
                         "POST /api/1/%s HTTP/1.1\r\nHost: localhost\r\nContent-Type: "
                         "application/json\r\nContent-Length: %zu\r\n\r\n",
                         path, strlen(json));
  return client_send(to, head, (size_t)n) && client_send(to, json, strlen(json))
           ? client_answer(to, body, n_room)
           : 0;
}

static inline int
client_get(int to, const char* path, char* body, size_t n_room)
{
  char head[400];
  const int n = snprintf(head, sizeof(head), "GET %s HTTP/1.1\r\nHost: localhost\r\n\r\n", path);
  return client_send(to, head, (size_t)n) ? client_answer(to, body, n_room) : 0;
}
