// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/http_request.h"
#include "face/http_stream.h"
#include "show/event.h"

#include <stdint.h>

/*
  The writer: the one thread that owns the show file.

  Facts that wait when it is free go to the disk in one transaction (group commit); each is answered
  after that, never before. What another program wrote into the same show is picked up within half
  a second and goes to the phones like any other fact.
*/

typedef struct HttpWriter HttpWriter;

enum { HTTP_STAGE_ROOM = 8192 };

/// What everybody may know of the show now. Plain data.
typedef struct {
  char path[400];        ///< "" = there is no show yet
  char id[FACT_ID_ROOM]; ///< Id of its first fact: the same show has the same
  int64_t seq;
  char stage[HTTP_STAGE_ROOM]; ///< Boxes and desks as a JSON object, for `me`; "" = none
  int opened;                  ///< Counts up whenever another show is opened
} HttpState;

/// Start the thread. @param path NULL = no show yet.
/// @return what opening the show said, after it was opened; then there is no thread.
Status
http_writer_start(const char* path, HttpStream* stream, int heartbeat_s, HttpWriter** writer,
                  Error* error);

/// HTTP_FACTS and HTTP_NEW go here. False: it is stopping.
bool
http_writer_push(HttpWriter* writer, HttpRequest* request);

void
http_writer_state(HttpWriter* writer, HttpState* state);

/// Let nothing more in, finish what is in line and wait for the thread.
void
http_writer_close(HttpWriter* writer);

/// After http_writer_close, when nobody asks any more: fold the write-ahead log into the show and
/// close it.
Status
http_writer_free(HttpWriter* writer, Error* error);
