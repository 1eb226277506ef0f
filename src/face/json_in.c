// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/json_in.h"

#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/// Where the scanner is in text that jansson has found to be JSON.
typedef struct {
  const char* at;
  const char* end;
} Scan;

static void
skip_blanks(Scan* s)
{
  while (s->at < s->end && (*s->at == ' ' || *s->at == '\t' || *s->at == '\n' || *s->at == '\r')) {
    ++s->at;
  }
}

// Past a string's closing quote; `at` stands on the opening one.
static void
skip_string(Scan* s)
{
  ++s->at;
  while (s->at < s->end && *s->at != '"') {
    s->at += *s->at == '\\' && s->end - s->at > 1 ? 2 : 1;
  }
  s->at += s->at < s->end;
}

// Past a whole value, brackets counted outside strings.
static void
skip_value(Scan* s)
{
  int depth = 0;
  skip_blanks(s);
  do {
    const char c = s->at < s->end ? *s->at : '\0';
    if (c == '"') {
      skip_string(s);
      continue;
    }
    depth += c == '{' || c == '[';
    depth -= c == '}' || c == ']';
    ++s->at;
    if (depth == 0 && c != '}' && c != ']') {
      // A number or word: to its end
      while (s->at < s->end && !strchr(",]} \t\r\n", *s->at)) {
        ++s->at;
      }
    }
  } while (depth > 0 && s->at < s->end);
}

// Onto the member or item that the road's last step names; false when it is not there as spelled.
static bool
step(Scan* s, const JsonAt* at)
{
  ++s->at; // The bracket
  for (size_t i = 0; s->at < s->end; ++i) {
    skip_blanks(s);
    if (s->at >= s->end || *s->at == '}' || *s->at == ']') {
      return false;
    }
    const char* const begin = s->at;
    if (at->key) {
      skip_string(s);
      const size_t n = (size_t)(s->at - begin);
      const bool same = n == strlen(at->key) + 2 && !memcmp(begin + 1, at->key, n - 2);
      if (same && !at->value) {
        s->at = begin; // Stands for the key itself
        return true;
      }
      skip_blanks(s);
      ++s->at; // The colon
      skip_blanks(s);
      if (same) {
        return true;
      }
    } else if (i == at->index) {
      return true;
    }
    skip_value(s);
    skip_blanks(s);
    s->at += s->at < s->end && *s->at == ',';
  }
  return false;
}

// As far along the road as the text goes.
static const char*
find(const JsonIn* in, const JsonAt* at)
{
  const JsonAt* road[JSON_IN_DEPTH + 2];
  int n = 0;
  for (; at->up && n < JSON_IN_DEPTH + 2; at = at->up) {
    road[n++] = at;
  }
  Scan s = {in->text, in->text + in->n_bytes};
  skip_blanks(&s);
  while (n > 0) {
    const char* const here = s.at;
    if (s.at >= s.end || !step(&s, road[--n])) {
      return here;
    }
  }
  return s.at;
}

Status
json_in_wrong(const JsonIn* in, const JsonAt* at, const char* format, ...)
{
  char words[sizeof(in->error->text)];
  va_list list;
  va_start(list, format);
  (void)vsnprintf(words, sizeof(words), format, list);
  va_end(list);
  int line = 1;
  const char* begin = in->text;
  const char* const place = find(in, at);
  for (const char* c = in->text; c < place; ++c) {
    if (*c == '\n') {
      ++line;
      begin = c + 1;
    }
  }
  return error_set(in->error, STATUS_BAD_INPUT, in->file, line, (int)(place - begin) + 1, "%s",
                   words);
}

// Brackets nested too deep for the roads we keep. Strings are skipped as the scanner does.
static bool
is_deep(const char* text, size_t n_bytes)
{
  Scan s = {text, text + n_bytes};
  int depth = 0;
  while (s.at < s.end) {
    if (*s.at == '"') {
      skip_string(&s);
      continue;
    }
    depth += *s.at == '{' || *s.at == '[';
    depth -= *s.at == '}' || *s.at == ']';
    if (depth > JSON_IN_DEPTH) {
      return true;
    }
    ++s.at;
  }
  return false;
}

Status
json_in_read(Arena* arena, const char* file, const char* text, size_t n_bytes, JsonIn* in,
             JsonAt* root, Error* error)
{
  if (n_bytes > JSON_IN_MAX_BYTES || is_deep(text, n_bytes)) {
    return error_set(error, STATUS_LIMIT, file, 0, 0,
                     "This is larger or nested deeper than any circuit: is it the right file?");
  }
  json_error_t at;
  json_t* const value = json_loadb(text, n_bytes, JSON_REJECT_DUPLICATES, &at);
  // Where memory runs out jansson mostly says nothing at all
  if (!value && (!at.text[0] || json_error_code(&at) == json_error_out_of_memory)) {
    return error_set(error, STATUS_NO_MEMORY, NULL, 0, 0, "There is not enough memory.");
  }
  if (!value) {
    return error_set(error, STATUS_BAD_INPUT, file, at.line, at.column > 0 ? at.column : 1,
                     "This is not JSON here (%.120s): put it right and ask again.", at.text);
  }
  *in = (JsonIn){arena, file, text, n_bytes, error, value};
  *root = (JsonAt){NULL, NULL, 0, value};
  return STATUS_OK;
}

void
json_in_free(JsonIn* in)
{
  json_decref(in->root);
  in->root = NULL;
}

// Letters to change, add or drop to make one word the other, counted up to 3; case ignored.
static int
distance(const char* a, const char* b)
{
  enum { LONGEST = 40 };
  int row[LONGEST + 1];
  const size_t n_a = strlen(a);
  const size_t n_b = strlen(b);
  if (n_a > LONGEST || n_b > LONGEST) {
    return 99;
  }
  for (int k = 0; k <= (int)n_b; ++k) {
    row[k] = k;
  }
  for (int i = 1; i <= (int)n_a; ++i) {
    int corner = row[0];
    row[0] = i;
    for (int k = 1; k <= (int)n_b; ++k) {
      const char x[2] = {a[i - 1], 0};
      const char y[2] = {b[k - 1], 0};
      const int swap = corner + !(x[0] == y[0] || (x[0] != ' ' && text_same(x, y)));
      const int best = row[k] < row[k - 1] ? row[k] + 1 : row[k - 1] + 1;
      corner = row[k];
      row[k] = swap < best ? swap : best;
    }
  }
  return row[n_b];
}

const char*
json_in_nearest(const char* word, const char* const words[])
{
  const char* nearest = NULL;
  int best = 1 + (int)strlen(word) / 3; // A third of the letters may be wrong
  for (int i = 0; words[i]; ++i) {
    const bool begins = strlen(word) >= 3 && (text_begins(words[i], word));
    const int d = begins ? 1 : distance(word, words[i]);
    if (d <= best && (!nearest || d < best)) {
      best = d;
      nearest = words[i];
    }
  }
  return nearest;
}

// "a", "b" or "c" of a list, cut to what a sentence bears.
static void
list_words(const char* const words[], char out[240])
{
  size_t n = 0;
  out[0] = '\0';
  for (int i = 0; words[i] && n + strlen(words[i]) + 8 < 240; ++i) {
    n += (size_t)snprintf(out + n, 240 - n, "%s%s", i ? ", " : "", words[i]);
  }
}

Status
json_in_keys(const JsonIn* in, const JsonAt* at, const char* const keys[])
{
  if (!json_is_object(at->value)) {
    return json_in_wrong(in, at, "Here should stand an object: { ... }.");
  }
  const char* key;
  json_t* value;
  json_object_foreach(at->value, key, value)
  {
    bool is_known = false;
    for (int i = 0; keys[i] && !is_known; ++i) {
      is_known = !strcmp(keys[i], key);
    }
    if (!is_known) {
      const JsonAt wrong = {at, key, 0, NULL};
      const char* const nearest = json_in_nearest(key, keys);
      char all[240];
      list_words(keys, all);
      return nearest
               ? json_in_wrong(in, &wrong, "There is no key \"%.40s\" here: did you mean \"%s\"?",
                               key, nearest)
               : json_in_wrong(in, &wrong, "There is no key \"%.40s\" here; there are %s.", key,
                               all);
    }
  }
  return STATUS_OK;
}

JsonAt
json_in_member(const JsonAt* at, const char* key)
{
  json_t* const value = json_object_get(at->value, key);
  return (JsonAt){at, key, 0, json_is_null(value) ? NULL : value};
}

JsonAt
json_in_item(const JsonAt* at, size_t index)
{
  return (JsonAt){at, NULL, index, json_array_get(at->value, index)};
}

Status
json_in_count(const JsonIn* in, const JsonAt* at, size_t low, size_t high, size_t* n)
{
  if (!json_is_array(at->value)) {
    return json_in_wrong(in, at, "Here should stand a list: [ ... ].");
  }
  const size_t count = json_array_size(at->value);
  if (count < low || count > high) {
    return json_in_wrong(in, at, "This list has %zu entries; it takes %zu to %zu.", count, low,
                         high);
  }
  *n = count;
  return STATUS_OK;
}

// The member, or an error that it is missing, said at its object.
static Status
member(const JsonIn* in, const JsonAt* at, const char* key, bool needed, JsonAt* out)
{
  *out = json_in_member(at, key);
  return !out->value && needed ? json_in_wrong(in, at, "\"%s\" is missing here.", key) : STATUS_OK;
}

Status
json_in_number(const JsonIn* in, const JsonAt* at, const char* key, double low, double high,
               bool needed, double* value)
{
  JsonAt here;
  Status st;
  TRY(st, member(in, at, key, needed, &here));
  if (!here.value) {
    return STATUS_OK;
  }
  const double number = json_number_value(here.value);
  if (!json_is_number(here.value) || !(number >= low && number <= high)) {
    return json_in_wrong(in, &here, "\"%s\" should be a number from %g to %g.", key, low, high);
  }
  *value = number;
  return STATUS_OK;
}

Status
json_in_bool(const JsonIn* in, const JsonAt* at, const char* key, bool* value)
{
  const JsonAt here = json_in_member(at, key);
  if (here.value && !json_is_boolean(here.value)) {
    return json_in_wrong(in, &here, "\"%s\" should be true or false.", key);
  }
  *value = here.value ? json_is_true(here.value) : *value;
  return STATUS_OK;
}

Status
json_in_text_at(const JsonIn* in, const JsonAt* at, size_t max_bytes, const char** text)
{
  const char* const words = json_string_value(at->value);
  if (!words) {
    return json_in_wrong(in, at, "Here should stand a text in quotes.");
  }
  const size_t n = strlen(words);
  if (n == 0 || n > max_bytes) {
    return json_in_wrong(in, at, "This text has %zu bytes; it takes 1 to %zu.", n, max_bytes);
  }
  for (const char* c = words; *c; ++c) {
    if ((unsigned char)*c < 0x20 || *c == 0x7f) {
      return json_in_wrong(in, at, "This text has a control character in it: take it out.");
    }
  }
  const char* const copy = arena_copy(in->arena, words);
  if (!copy) {
    return error_set(in->error, STATUS_NO_MEMORY, NULL, 0, 0, "There is not enough memory.");
  }
  *text = copy;
  return STATUS_OK;
}

Status
json_in_text(const JsonIn* in, const JsonAt* at, const char* key, size_t max_bytes, bool needed,
             const char** text)
{
  JsonAt here;
  Status st;
  TRY(st, member(in, at, key, needed, &here));
  return here.value ? json_in_text_at(in, &here, max_bytes, text) : STATUS_OK;
}

Status
json_in_word(const JsonIn* in, const JsonAt* at, const char* key, const char* const words[],
             bool needed, int* index)
{
  const char* text = NULL;
  Status st;
  TRY(st, json_in_text(in, at, key, 60, needed, &text));
  if (!text) {
    return STATUS_OK;
  }
  for (int i = 0; words[i]; ++i) {
    if (text_same(text, words[i])) {
      *index = i;
      return STATUS_OK;
    }
  }
  const JsonAt here = json_in_member(at, key);
  const char* const nearest = json_in_nearest(text, words);
  char all[240];
  list_words(words, all);
  return nearest ? json_in_wrong(in, &here, "There is no %s \"%s\": did you mean \"%s\"?", key,
                                 text, nearest)
                 : json_in_wrong(in, &here, "There is no %s \"%s\"; there are %s.", key, text, all);
}
