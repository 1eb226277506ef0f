// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_log.h"

#include "day/crew.h"
#include "face/json.h"
#include "face/tell.h"

#include <stdlib.h>
#include <string.h>

// Seconds since 1970 with the fraction the time carries; null for what is no time.
static json_t*
time_json(const char* time)
{
  double seconds = 0.0;
  if (!crew_time_s(time, &seconds)) {
    return json_null();
  }
  const char* const point = strchr(time, '.');
  return json_real(seconds + (point ? strtod(point, NULL) : 0.0));
}

json_t*
http_log_json(Arena* arena, const FoldFact* fact)
{
  const Fact* const f = &fact->fact;
  json_t* const body = json_loadb(f->body, f->n_body, 0, NULL);
  json_t* const object = json_object();
  if (f->kind == FACT_LIST_IMPORTED) {
    (void)json_object_del(body, "text");
  }
  json_object_set_new(object, "seq", json_integer(f->seq));
  json_object_set_new(object, "id", json_words(f->id));
  json_object_set_new(object, "at_s", time_json(f->time));
  json_object_set_new(object, "place", json_words(f->place));
  json_object_set_new(object, "role", json_words(f->role));
  json_object_set_new(object, "kind", json_words(fact_kind_word(f->kind)));
  json_object_set_new(object, "line",
                      fact->body.line > 0 ? json_integer(fact->body.line) : json_null());
  json_object_set_new(object, "say", json_words(tell_said(arena, fact)));
  json_object_set_new(object, "void", json_boolean(!fact->in_force));
  json_object_set_new(object, "body", body);
  if (body) {
    return object;
  }
  json_decref(object);
  return NULL;
}

static bool
is_wanted(const FoldFact* fact, int64_t after, int line)
{
  return fact->fact.seq > after && (line == 0 || fact->body.line == line);
}

json_t*
http_log_answer(Arena* arena, const OpenShow* show, int64_t after, int line, int limit)
{
  const FoldSet all = show->fold.all;
  size_t first = all.n_facts;
  for (int n = 0; first > 0 && n < limit; --first) {
    n += is_wanted(all.facts[first - 1], after, line);
  }
  json_t* const answer = json_answer(NULL);
  json_t* const list = json_array();
  for (size_t i = first; i < all.n_facts; ++i) {
    if (is_wanted(all.facts[i], after, line)) {
      json_array_append_new(list, http_log_json(arena, all.facts[i]));
    }
  }
  json_object_set_new(answer, "seq",
                      json_integer(all.n_facts ? all.facts[all.n_facts - 1]->fact.seq : 0));
  json_object_set_new(answer, "facts", list);
  return answer;
}
