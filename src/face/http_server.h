// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/http_door.h"
#include "face/http_writer.h"

/*
  The server: one event-loop thread (libmicrohttpd), one writer that owns the show file, one thread
  that answers questions.

      phones ==== loop ---- facts -----> writer ---- show file
                   |  \                    |
                   |   `-- questions --> answers (reads the same file)
                   `------ streams <------ new facts

  The loop thread never waits for a disk or an analysis: it judges a request by its head, answers
  what it can, and hands the rest on with the connection suspended. Nothing outside the page it
  carries and the one show is ever read for anybody.
*/

/// What may be asked of it at most; each has an option of `serve --limits`.
typedef struct {
  int address;     ///< Connections of one address at once
  int connections; ///< In all
  int streams;     ///< Phones that read along
  int body_bytes;  ///< Of facts
  int list_bytes;  ///< Of lists, imported or for a new show
  int patience_s;  ///< A connection that says nothing, or does not take what it is sent
  int request_s;   ///< From the first byte of a request to its last
  int heartbeat_s;
} HttpLimits;

#define HTTP_LIMITS                                                                                \
  ((HttpLimits){.address = 64,                                                                     \
                .connections = 1500,                                                               \
                .streams = 1000,                                                                   \
                .body_bytes = 64 * 1024,                                                           \
                .list_bytes = 8 * 1024 * 1024,                                                     \
                .patience_s = 30,                                                                  \
                .request_s = 20,                                                                   \
                .heartbeat_s = 10})

typedef struct {
  const char* path; ///< The show; NULL = none yet
  int port;         ///< 0 = any free one
  bool lan;         ///< Every network of this box; else loopback alone
  HttpLimits limits;
} HttpOptions;

typedef struct HttpServer HttpServer;

/// Seconds of a clock that only goes forward; never 0.
int64_t
http_clock_s(void);

/// Start listening. @return what opening the show said; STATUS_LOCKED when the port is taken;
/// STATUS_IO, STATUS_NO_MEMORY.
Status
http_server_start(const HttpOptions* options, HttpServer** server, Error* error);

/// The port it listens at.
int
http_server_port(const HttpServer* server);

/// Code, sessions: for the keys of the terminal.
HttpDoor*
http_server_door(HttpServer* server);

/// How far the log is.
void
http_server_state(HttpServer* server, HttpState* state);

/// How many phones read along.
int
http_server_streams(HttpServer* server);

/// How many connections came from other boxes so far.
int
http_server_visitors(HttpServer* server);

/// Put one out: its token is no good any more and its stream ends. False: no such session.
bool
http_server_out(HttpServer* server, int session);

/// Take nothing more in, answer what is in line, close the show as one file. @return as
/// store_close.
Status
http_server_stop(HttpServer* server, Error* error);
