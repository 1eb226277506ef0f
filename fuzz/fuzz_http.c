// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Any bytes from the network: as the address of a request, as facts, as Host and Origin. The first
  byte picks which. What must hold: what was read is UTF-8 without control characters and within its
  bounds, no name stands twice; what was refused leaves its outputs alone and says why.
*/

#include "must.h"

#include "base/text.h"
#include "face/http_fact.h"
#include "face/http_guard.h"
#include "face/http_query.h"

#include <string.h>

static void
is_clean(const char* text)
{
  MUST(text_is_utf8(text, strlen(text)));
  for (const char* c = text; *c; ++c) {
    MUST((unsigned char)*c >= 0x20 && *c != 0x7F);
  }
}

static void
try_address(Arena* arena, const char* text)
{
  Error error = {0};
  HttpQuery query = {.n_words = -1};
  const Status status = http_query_read(arena, text, &query, &error);
  if (status != STATUS_OK) {
    MUST(query.n_words == -1 && error.status == status && error.text[0]);
    return;
  }
  MUST(query.n_words >= 0 && query.n_words <= HTTP_QUERY_MAX_WORDS);
  is_clean(query.path);
  for (int i = 0; i < query.n_words; ++i) {
    is_clean(query.words[i].name);
    is_clean(query.words[i].value);
    MUST(http_query_word(&query, query.words[i].name) == query.words[i].value);
  }
}

static void
try_facts(Arena* arena, const char* bytes, size_t n_bytes)
{
  Error error = {0};
  HttpFact* facts = NULL;
  int n = -1;
  const Status status = http_fact_read(arena, bytes, n_bytes, &facts, &n, &error);
  if (status != STATUS_OK) {
    MUST(n == -1 && !facts && error.status == status && error.text[0]);
    return;
  }
  MUST(n >= 1 && n <= HTTP_FACTS_MAX);
  for (int i = 0; i < n; ++i) {
    is_clean(facts[i].id);
    if (facts[i].no) {
      MUST(facts[i].no[0]);
      continue;
    }
    MUST((unsigned)facts[i].telling.sort < TELL_COUNT);
    MUST(facts[i].age_s >= 0.0 && facts[i].age_s <= HTTP_AGE_MAX_S);
    MUST(facts[i].telling.seconds >= -1 && facts[i].telling.seconds <= 86400);
    if (facts[i].telling.text) {
      is_clean(facts[i].telling.text);
    }
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t* bytes, size_t n_bytes)
{
  if (n_bytes == 0) {
    return 0;
  }
  Arena arena;
  arena_init(&arena, NULL);
  const char* const text = arena_text(&arena, (const char*)bytes + 1, n_bytes - 1);
  MUST(text);
  switch (bytes[0] % 3) {
    case 0:
      try_address(&arena, text);
      break;
    case 1:
      try_facts(&arena, text, n_bytes - 1);
      break;
    default:
      if (http_guard_host_is_good(text)) {
        is_clean(text);
        MUST(!strpbrk(text, "/@?# "));
        MUST(!http_guard_origin_is_good(text, text));
      }
      break;
  }
  arena_deinit(&arena);
  return 0;
}
