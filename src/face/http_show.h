// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/show_open.h"

/*
  A show that stays loaded while it is served, brought up to date when its log has grown.

  A new fact is taken in by itself (show_follow). Only when a list, the kit or something taken back
  may have changed the plant are all facts folded again and the plant built anew. One thread each;
  two threads have two of these.
*/

typedef struct {
  OpenShow show; ///< What verbs look at
  int64_t seq;   ///< Last fact in it
  Arena held;    ///< The store and the path
  Arena built;   ///< The plant, and the facts it was built from
  Arena folded;  ///< The facts since, one behind the other
  bool is_open;
  bool is_half; ///< A new fact was taken in by half: all are folded anew
} HttpShow;

/// Open a show. @return as store_open and lists_build; `kept` is closed then, and may be opened
/// again.
Status
http_show_open(HttpShow* kept, const char* path, StoreMode mode, Error* error);

/// Read what has come since, if there is anything. On error the old state stays.
/// @param[out] is_new Whether there was; may be NULL.
Status
http_show_renew(HttpShow* kept, bool* is_new, Error* error);

/// Legal on one that is not open.
Status
http_show_close(HttpShow* kept, Error* error);
