// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_pack.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <zlib.h>

// Whether a weight, behind a coding's name and up to its comma, is 0: ";q=0", "; q=0.000".
static bool
is_ruled_out(const char* weight, const char* end)
{
  while (weight < end && strchr("; \t", *weight)) {
    ++weight;
  }
  if (end - weight < 3 || strncasecmp(weight, "q=0", 3) != 0) {
    return false;
  }
  for (weight += 3; weight < end; ++weight) {
    if (*weight >= '1' && *weight <= '9') {
      return false;
    }
  }
  return true;
}

bool
http_pack_takes(const char* codings)
{
  bool any = false;
  while (codings && *codings) {
    codings += strspn(codings, ", \t");
    const char* const end = codings + strcspn(codings, ",");
    const size_t n_name = strcspn(codings, ",; \t");
    const bool is_out = is_ruled_out(codings + n_name, end);
    if (n_name == 4 && !strncasecmp(codings, "gzip", 4)) {
      return !is_out; // Named itself, it is not what "*" stands for
    }
    any = any || (n_name == 1 && *codings == '*' && !is_out);
    codings = end;
  }
  return any;
}

bool
http_pack_gzip(const char* bytes, size_t n_bytes, char** packed, size_t* n_packed)
{
  enum { GZIP = 15 + 16, MEMORY = 8 }; // zlib.h: the widest window and 16 for gzip's own frame
  z_stream z = {.zalloc = Z_NULL};
  if (n_bytes < 2 || n_bytes > UINT_MAX ||
      deflateInit2(&z, Z_DEFAULT_COMPRESSION, Z_DEFLATED, GZIP, MEMORY, Z_DEFAULT_STRATEGY) !=
        Z_OK) {
    return false;
  }
  // One byte less than it is: what does not fit is not worth sending packed
  char* const out = malloc(n_bytes - 1);
  z.next_in = (z_const Bytef*)bytes;
  z.avail_in = (uInt)n_bytes;
  z.next_out = (Bytef*)out;
  z.avail_out = (uInt)(n_bytes - 1);
  const bool is_packed = out && deflate(&z, Z_FINISH) == Z_STREAM_END;
  const size_t n = (size_t)z.total_out;
  (void)deflateEnd(&z);
  if (!is_packed) {
    free(out);
    return false;
  }
  *packed = out;
  *n_packed = n;
  return true;
}
