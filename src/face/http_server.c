// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_server.h"

#include "face/http_answer.h"
#include "face/http_guard.h"
#include "face/http_route.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

/*
  libmicrohttpd's callbacks, the socket, starting and stopping. What is asked and who may ask is in
  http_route.

  libmicrohttpd cuts a connection that is silent for `patience_s`, but one that sends a byte now and
  then would stay for ever, and so would a body that trickles. So each connection has a small record
  of when it began to ask; a watch thread looks once a second and shuts down the sockets of those
  that take too long. The record is let go under the same lock before libmicrohttpd closes the
  socket, so a number that another connection has by then is never shut.
*/

typedef struct Watched Watched;

struct Watched {
  Watched* next;
  Watched* before;
  int socket;
  int64_t since_s; ///< When it began to ask; 0 = it waits for an answer or has one
};

struct HttpServer {
  HttpOptions options;
  struct MHD_Daemon* daemon;
  HttpRoute route;
  int port;
  pthread_t watch;
  pthread_mutex_t lock;
  pthread_cond_t wake;
  bool is_stopping; ///< Under the lock
  Watched* watched; ///< Under the lock
  int n_visitors;   ///< Under the lock
};

int64_t
http_clock_s(void)
{
  struct timespec now = {0};
  (void)clock_gettime(CLOCK_MONOTONIC, &now);
  return now.tv_sec + 1; // Never 0
}

// ---- Slow ones ----

static void
watch_set(HttpServer* server, Watched* watched, int64_t since_s)
{
  if (watched) {
    (void)pthread_mutex_lock(&server->lock);
    watched->since_s = since_s;
    (void)pthread_mutex_unlock(&server->lock);
  }
}

static void
connection_changed(void* user, struct MHD_Connection* connection, void** context,
                   enum MHD_ConnectionNotificationCode what)
{
  HttpServer* const server = user;
  if (what == MHD_CONNECTION_NOTIFY_STARTED) {
    const union MHD_ConnectionInfo* const info =
      MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
    Watched* const watched = info ? calloc(1, sizeof(*watched)) : NULL;
    *context = watched;
    if (watched) {
      watched->socket = info->connect_fd;
      watched->since_s = http_clock_s();
      char address[HTTP_ADDRESS_ROOM];
      http_guard_address(connection, address);
      (void)pthread_mutex_lock(&server->lock);
      server->n_visitors += !http_guard_is_loopback(address);
      watched->next = server->watched;
      if (watched->next) {
        watched->next->before = watched;
      }
      server->watched = watched;
      (void)pthread_mutex_unlock(&server->lock);
    }
  } else if (*context) {
    Watched* const watched = *context;
    (void)pthread_mutex_lock(&server->lock);
    *(watched->before ? &watched->before->next : &server->watched) = watched->next;
    if (watched->next) {
      watched->next->before = watched->before;
    }
    (void)pthread_mutex_unlock(&server->lock);
    free(watched);
    *context = NULL;
  }
}

static Watched*
watched_of(struct MHD_Connection* connection)
{
  const union MHD_ConnectionInfo* const info =
    MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
  return info ? info->socket_context : NULL;
}

static void*
watch_over(void* user)
{
  HttpServer* const server = user;
  (void)pthread_mutex_lock(&server->lock);
  while (!server->is_stopping) {
    struct timespec until;
    (void)clock_gettime(CLOCK_REALTIME, &until);
    ++until.tv_sec;
    (void)pthread_cond_timedwait(&server->wake, &server->lock, &until);
    const int64_t now_s = http_clock_s();
    for (Watched* w = server->watched; w; w = w->next) {
      if (w->since_s > 0 && now_s - w->since_s > server->options.limits.request_s) {
        (void)shutdown(w->socket, SHUT_RDWR);
        w->since_s = 0;
      }
    }
  }
  (void)pthread_mutex_unlock(&server->lock);
  return NULL;
}

// ---- Requests ----

static void*
address_came(void* user, const char* raw, struct MHD_Connection* connection)
{
  HttpServer* const server = user;
  HttpRequest* const request = calloc(1, sizeof(*request));
  watch_set(server, watched_of(connection), http_clock_s());
  if (request) {
    arena_init(&request->arena, NULL);
    request->connection = connection;
    // One byte more than may be, so that too long is seen as too long
    request->raw = arena_text(&request->arena, raw, strnlen(raw, HTTP_QUERY_MAX_BYTES + 1));
  }
  return request;
}

static void
request_ended(void* user, struct MHD_Connection* connection, void** context,
              enum MHD_RequestTerminationCode why)
{
  HttpServer* const server = user;
  HttpRequest* const request = *context;
  (void)why;
  watch_set(server, watched_of(connection), 0); // Idle ones fall to the timeout
  if (request) {
    http_reply_drop(&request->reply);
    free(request->body);
    arena_deinit(&request->arena);
    free(request);
    *context = NULL;
  }
}

static bool
take_body(HttpRequest* request, const char* bytes, size_t n)
{
  if (request->n_body + n > request->room_body) {
    const size_t room = request->room_body * 2 + n + 1024;
    char* const body = realloc(request->body, room);
    if (!body) {
      return false;
    }
    request->body = body;
    request->room_body = room;
  }
  memcpy(request->body + request->n_body, bytes, n);
  request->n_body += n;
  return true;
}

static enum MHD_Result
asked(void* user, struct MHD_Connection* connection, const char* url, const char* method,
      const char* version, const char* data, size_t* n_data, void** context)
{
  HttpServer* const server = user;
  HttpRequest* const request = *context;
  (void)url;
  (void)version;
  if (!request || !request->raw) {
    return MHD_NO;
  }
  if (!request->is_read) {
    request->is_read = true;
    const HttpStep step = http_route_head(&server->route, request, method);
    if (step == HTTP_STEP_BODY) {
      return MHD_YES;
    }
    watch_set(server, watched_of(connection), 0);
    return step == HTTP_STEP_WAIT     ? MHD_YES
           : step == HTTP_STEP_QUEUED ? MHD_YES
                                      : http_reply_queue(&request->reply, connection);
  }
  if (*n_data > 0) {
    const bool fits = request->n_body + *n_data <= http_route_body_max(&server->route, request);
    const bool taken = fits && take_body(request, data, *n_data);
    *n_data = 0;
    return taken ? MHD_YES : MHD_NO; // Longer than its head said: nobody who means well
  }
  watch_set(server, watched_of(connection), 0);
  const HttpStep step = request->is_done ? http_route_done(&server->route, request)
                                         : http_route_body(&server->route, request);
  return step == HTTP_STEP_REPLY  ? http_reply_queue(&request->reply, connection)
         : step == HTTP_STEP_FAIL ? MHD_NO
                                  : MHD_YES;
}

// ---- Starting and stopping ----

static void
raise_files(int n_connections)
{
  struct rlimit limit;
  const rlim_t wanted = (rlim_t)n_connections + 100;
  if (getrlimit(RLIMIT_NOFILE, &limit) == 0 && limit.rlim_cur < wanted) {
    limit.rlim_cur = limit.rlim_max < wanted ? limit.rlim_max : wanted;
    (void)setrlimit(RLIMIT_NOFILE, &limit);
  }
}

static int
listen_at(const HttpOptions* options, Error* error)
{
  const int yes = 1;
  struct sockaddr_in address = {.sin_family = AF_INET, .sin_port = htons((uint16_t)options->port)};
  address.sin_addr.s_addr = htonl(options->lan ? INADDR_ANY : INADDR_LOOPBACK);
  const int made = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  if (made < 0) {
    (void)error_set(error, STATUS_IO, NULL, 0, 0, "No socket could be made: %s.", strerror(errno));
    return -1;
  }
  (void)setsockopt(made, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof(yes));
  if (bind(made, (const struct sockaddr*)&address, sizeof(address)) != 0 ||
      listen(made, 512) != 0) {
    const int why = errno;
    (void)close(made);
    (void)error_set(
      error, why == EADDRINUSE ? STATUS_LOCKED : STATUS_IO, NULL, 0, 0,
      why == EADDRINUSE
        ? "Port %d is taken: another server runs there already, or give --port another "
          "number (0 finds a free one)."
        : "Port %d cannot be used here: give --port a number from 1024 up, or 0.",
      options->port);
    return -1;
  }
  return made;
}

static Status
start_daemon(HttpServer* server, int listening, Error* error)
{
  const HttpLimits* const limits = &server->options.limits;
  server->daemon = MHD_start_daemon(
    MHD_USE_AUTO | MHD_USE_INTERNAL_POLLING_THREAD | MHD_ALLOW_SUSPEND_RESUME, 0, NULL, NULL, asked,
    server, MHD_OPTION_LISTEN_SOCKET, listening, MHD_OPTION_CONNECTION_LIMIT,
    (unsigned)limits->connections, MHD_OPTION_PER_IP_CONNECTION_LIMIT, (unsigned)limits->address,
    MHD_OPTION_CONNECTION_TIMEOUT, (unsigned)limits->patience_s, MHD_OPTION_CONNECTION_MEMORY_LIMIT,
    (size_t)24 * 1024, MHD_OPTION_URI_LOG_CALLBACK, address_came, server,
    MHD_OPTION_NOTIFY_COMPLETED, request_ended, server, MHD_OPTION_NOTIFY_CONNECTION,
    connection_changed, server, MHD_OPTION_END);
  return server->daemon
           ? STATUS_OK
           : error_set(error, STATUS_IO, NULL, 0, 0, "The server could not be started here.");
}

static Status
start_parts(HttpServer* server, Error* error)
{
  HttpRoute* const route = &server->route;
  const HttpOptions* const options = &server->options;
  Status st;
  route->limits = options->limits;
  route->lan = options->lan;
  route->port = server->port;
  route->door = http_door_new();
  route->stream = http_stream_new(options->limits.streams);
  if (!route->door || !route->stream) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, http_writer_start(options->path, route->stream, options->limits.heartbeat_s,
                            &route->writer, error));
  if (options->path && strlen(options->path) < 500) {
    char kept[600];
    (void)snprintf(kept, sizeof(kept), "%s.phones", options->path);
    http_door_keep(route->door, kept, http_clock_s());
  }
  return http_answers_start(route->writer, &route->answers, error);
}

// The workers first, so that every connection that waits for one gets its answer, then the streams,
// then the loop; what they all use goes last. libmicrohttpd cannot stop while a connection is
// suspended, and behind these steps none is and none can be.
static Status
stop_parts(HttpServer* server, Error* error)
{
  HttpRoute* const route = &server->route;
  Status st = STATUS_OK;
  if (route->answers) {
    http_answers_close(route->answers);
  }
  if (route->writer) {
    http_writer_close(route->writer);
  }
  if (route->stream) {
    http_stream_close(route->stream);
  }
  if (server->daemon) {
    MHD_stop_daemon(server->daemon);
  }
  if (route->answers) {
    http_answers_free(route->answers); // Its look into the show closes before the writer's
  }
  if (route->writer) {
    st = http_writer_free(route->writer, error);
  }
  http_stream_free(route->stream);
  http_door_free(route->door);
  return st;
}

Status
http_server_start(const HttpOptions* options, HttpServer** server, Error* error)
{
  HttpServer* const made = calloc(1, sizeof(*made));
  if (!made) {
    return STATUS_NO_MEMORY;
  }
  made->options = *options;
  (void)pthread_mutex_init(&made->lock, NULL);
  (void)pthread_cond_init(&made->wake, NULL);
  raise_files(options->limits.connections);
  const int listening = listen_at(options, error);
  Status st = listening >= 0 ? STATUS_OK : error->status;
  if (st == STATUS_OK) {
    struct sockaddr_in bound = {.sin_port = 0};
    socklen_t n_bound = sizeof(bound);
    (void)getsockname(listening, (struct sockaddr*)&bound, &n_bound);
    made->port = ntohs(bound.sin_port);
    st = start_parts(made, error);
  }
  st = st == STATUS_OK ? start_daemon(made, listening, error) : st;
  if (st == STATUS_OK && pthread_create(&made->watch, NULL, watch_over, made) != 0) {
    st = error_set(error, STATUS_NO_MEMORY, NULL, 0, 0, "No thread could be started.");
  }
  if (st != STATUS_OK) {
    if (listening >= 0 && !made->daemon) {
      (void)close(listening);
    }
    (void)stop_parts(made, NULL);
    free(made);
    return st;
  }
  *server = made;
  return STATUS_OK;
}

int
http_server_port(const HttpServer* server)
{
  return server->port;
}

HttpDoor*
http_server_door(HttpServer* server)
{
  return server->route.door;
}

void
http_server_state(HttpServer* server, HttpState* state)
{
  http_writer_state(server->route.writer, state);
}

int
http_server_streams(HttpServer* server)
{
  return http_stream_count(server->route.stream);
}

int
http_server_visitors(HttpServer* server)
{
  (void)pthread_mutex_lock(&server->lock);
  const int n = server->n_visitors;
  (void)pthread_mutex_unlock(&server->lock);
  return n;
}

bool
http_server_out(HttpServer* server, int session)
{
  const bool is_out = http_door_out(server->route.door, session);
  http_stream_end(server->route.stream, session);
  return is_out;
}

Status
http_server_stop(HttpServer* server, Error* error)
{
  (void)pthread_mutex_lock(&server->lock);
  server->is_stopping = true;
  (void)pthread_cond_signal(&server->wake);
  (void)pthread_mutex_unlock(&server->lock);
  (void)pthread_join(server->watch, NULL);
  const Status st = stop_parts(server, error);
  (void)pthread_cond_destroy(&server->wake);
  (void)pthread_mutex_destroy(&server->lock);
  free(server);
  return st;
}
