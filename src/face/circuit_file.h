// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/drawn.h"
#include "fault/feed.h"

/*
  A circuit written down by hand: JSON of our own, described in docs/circuits.md.

  A file asks one of two things: what a line shows (`elements`, with faults, testers, frequencies
  and places to look at), or whether a feed runs a microphone (`feed` and `microphone`, with cable
  and what is in line). Everything the reader does not know is an error with line, column and a way
  out; nothing is guessed but the defaults that docs/circuits.md lists.
*/

/// What the file asks when it asks about a feed.
typedef struct {
  const Feed* variants; ///< [n_variants]
  int n_variants;
  Feed feed;
  FeedWay way;
  FeedMicrophone microphone;
  const char* microphone_name; ///< NULL = not said
} FeedQuestion;

typedef struct {
  const char* title; ///< NULL = not said
  bool is_feed;
  Drawn drawn;       ///< Unless is_feed
  FeedQuestion feed; ///< If is_feed
} CircuitFile;

/**
   Read one.

   @param file Name for errors, borrowed as long as the result lives.
   @param[out] out Lives in the arena; untouched on error.
   @return STATUS_OK; STATUS_BAD_INPUT with the place and what to do; STATUS_LIMIT;
   STATUS_NO_MEMORY. No I/O; any thread.
*/
Status
circuit_file_read(Arena* arena, const char* file, const char* bytes, size_t n_bytes,
                  CircuitFile* out, Error* error);
