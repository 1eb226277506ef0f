// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/http_reply.h"

#include <jansson.h>
#include <stdbool.h>
#include <stdint.h>

/*
  Live: every fact of the show as one server-sent event, and any number of phones reading along.

      events  [ 1 ][ 2 ][ 3 ][ 4 ] ...        one copy, shared
                ^         ^    ^
              phone     phone  head (most phones)

  A phone is nothing but a cursor, so one that does not read costs nothing and holds nobody up: its
  connection falls silent and is cut by its timeout, and when it is back it says the last event it
  saw (Last-Event-ID) and goes on from there. Since the log only grows, what it missed is always
  still here. After the last fact there is comes `event: now` with the seq: what a page waits for
  before it asks again how things stand. Every heartbeat a silent stream says `event: hb`, so that
  both ends notice when the other is gone.

  Any thread may add and wake; only the loop thread opens.
*/

typedef struct HttpStream HttpStream;

/// @return NULL: no memory.
HttpStream*
http_stream_new(int max_clients);

/// No client may be left: end them and stop the server first.
void
http_stream_free(HttpStream* stream);

/// Another show, or the first: forget all events and end all streams, so that they start anew.
void
http_stream_reset(HttpStream* stream);

/// The next fact of the log as an object, taken over; wakes nobody. One that cannot be kept (NULL,
/// no memory) is left out.
void
http_stream_add(HttpStream* stream, int64_t seq, json_t* fact);

/// What was added goes out.
void
http_stream_wake(HttpStream* stream);

/// A heartbeat for everybody who is silent.
void
http_stream_beat(HttpStream* stream);

/**
   The endless answer to one client.

   @param after_seq Go on behind this fact; -1 = from now on.
   @param session Whose it is, for http_stream_end; 0 = nobody's.
   @return 503 with a kind word when there are too many.
*/
HttpReply
http_stream_open(HttpStream* stream, struct MHD_Connection* connection, int64_t after_seq,
                 int session);

/// End the streams of a session: at their next breath.
void
http_stream_end(HttpStream* stream, int session);

/// End all of them and let nobody in any more.
void
http_stream_close(HttpStream* stream);

/// How many read along now.
int
http_stream_count(HttpStream* stream);
