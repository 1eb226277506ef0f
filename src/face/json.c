// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/json.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

json_t*
json_answer(const char* act)
{
  json_t* const answer = json_object();
  json_object_set_new(answer, "format", json_integer(1));
  if (act) {
    json_object_set_new(answer, "act", json_words(act));
  }
  return answer;
}

json_t*
json_figure(double value)
{
  return isfinite(value) ? json_real(value) : json_null();
}

json_t*
json_words(const char* text)
{
  json_t* const words = text ? json_string(text) : NULL;
  return words ? words : json_null();
}

json_t*
json_list(const char* const* texts, int n)
{
  json_t* const list = json_array();
  for (int i = 0; i < n; ++i) {
    json_array_append_new(list, json_words(texts[i]));
  }
  return list;
}

Status
json_answer_print(json_t* answer, const Args* args, FILE* out, Error* error)
{
  // Ten digits: more than any figure here is worth, and few enough to read
  const size_t flags =
    JSON_PRESERVE_ORDER | JSON_REAL_PRECISION(10) | (args->pretty ? JSON_INDENT(2) : JSON_COMPACT);
  char* const text = answer ? json_dumps(answer, flags) : NULL;
  json_decref(answer);
  if (!text) {
    return error_set(error, STATUS_NO_MEMORY, NULL, 0, 0, "There is not enough memory to answer.");
  }
  const int good = fprintf(out, "%s\n", text) >= 0;
  free(text);
  return good ? STATUS_OK
              : error_set(error, STATUS_IO, NULL, 0, 0, "The answer could not be written: %s.",
                          strerror(errno));
}
