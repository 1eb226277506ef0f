// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stdbool.h>
#include <stddef.h>

/*
  Answers made small for the air: gzip (RFC 1952), for who takes it.

  Radio is what a crew's network is short of: every fact makes every phone ask again, and the words
  of 48 lines repeat each other. Same bytes in, same bytes out: no time stands in the packet. Pure;
  any thread.
*/

/// Below this many bytes an answer fits one packet of the network as it is.
enum { HTTP_PACK_MIN_BYTES = 1000 };

/**
   Whether who asks takes gzip.

   @param codings The value of Accept-Encoding (RFC 9110, 12.5.3): "br, gzip;q=0.8"; NULL = none.
   A "*" stands for gzip where gzip itself is not named; a weight of 0 rules it out.
*/
bool
http_pack_takes(const char* codings);

/**
   Pack `bytes` [n_bytes].

   @param[out] packed From malloc, the caller's to free. Untouched on false.
   @param[out] n_packed Its size, below n_bytes. Untouched on false.
   @return false: it would be no smaller, or memory ran out. Then the bytes go as they are.
*/
bool
http_pack_gzip(const char* bytes, size_t n_bytes, char** packed, size_t* n_packed);
