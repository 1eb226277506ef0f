// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Any bytes as the body of a fact, the JSON that phones and other programs send. The first byte
  picks the kind. What must hold: what was read can be written in canonical form, that form reads
  back and writes as the same bytes; what was refused leaves the body alone and says why.
*/

#include "must.h"

#include "show/event.h"

#include <string.h>

int
LLVMFuzzerTestOneInput(const uint8_t* bytes, size_t n_bytes)
{
  if (n_bytes == 0) {
    return 0;
  }
  Arena arena;
  arena_init(&arena, NULL);
  Error error = {0};
  const FactKind kind = (FactKind)(bytes[0] % FACT_KIND_COUNT);
  FactBody body = {.line = -1};
  const Status status =
    fact_body_read(&arena, kind, (const char*)bytes + 1, n_bytes - 1, &body, &error);
  if (status != STATUS_OK) {
    MUST(body.line == -1 && error.status == status && error.text[0]);
  } else {
    const char* once = NULL;
    const char* twice = NULL;
    size_t n_once = 0;
    size_t n_twice = 0;
    FactBody again = {0};
    MUST(fact_body_write(&arena, kind, &body, &once, &n_once, &error) == STATUS_OK);
    MUST(fact_body_read(&arena, kind, once, n_once, &again, &error) == STATUS_OK);
    MUST(fact_body_write(&arena, kind, &again, &twice, &n_twice, &error) == STATUS_OK);
    MUST(n_once == n_twice && memcmp(once, twice, n_once) == 0);
  }
  arena_deinit(&arena);
  return 0;
}
