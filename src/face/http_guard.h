// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/http_reply.h"

#include <stdbool.h>
#include <stddef.h>

/*
  Requests that no page of ours sends.

  A browser that has our page open is also open to others. One of those may send a form to us, or
  have its own name point at our address (DNS rebinding) and so read what we answer. The first
  shows in Origin and in the type of the body, the second in Host: nobody can make a name point at
  us that is already an address, so only addresses, "localhost" and names without a dot or ending
  in ".local" are taken.
*/

/// The address of the other end into `text` (HTTP_ADDRESS_ROOM bytes); "" when unknown.
void
http_guard_address(struct MHD_Connection* connection, char* text);

/// 127.0.0.1 or ::1: this box itself. The other addresses of 127.0.0.0/8 count as strangers, which
/// harms nobody and lets tests be some.
bool
http_guard_is_loopback(const char* address);

/// Whether a Host is one of ours: "192.168.1.5:8017", "[::1]", "localhost", "box.local", "box".
bool
http_guard_host_is_good(const char* host);

/// Whether an Origin is this Host's own.
bool
http_guard_origin_is_good(const char* origin, const char* host);

/// @param[out] refused When false.
bool
http_guard_host(struct MHD_Connection* connection, HttpReply* refused);

/// Origin, type and size of the body of a POST. @param[out] refused When false.
bool
http_guard_write(struct MHD_Connection* connection, size_t most_bytes, HttpReply* refused);
