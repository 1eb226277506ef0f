// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_query.h"

#include "base/text.h"

#include <string.h>

/*
  One pass: the raw text is cut at "?", "&" and "=", and each piece unescaped by itself, so that an
  escaped "&" or "=" is a letter and not a border. "+" is a blank behind "?" (as forms send it) and
  a plus before it.
*/

static int
hex_digit(char c)
{
  return c >= '0' && c <= '9'   ? c - '0'
         : c >= 'a' && c <= 'f' ? c - 'a' + 10
         : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                : -1;
}

static Status
unescape(Arena* arena, const char* raw, size_t n_raw, bool plus_is_blank, const char** text,
         Error* error)
{
  char* const out = arena_array(arena, n_raw + 1, 1);
  size_t n = 0;
  if (!out) {
    return STATUS_NO_MEMORY;
  }
  for (size_t i = 0; i < n_raw; ++i) {
    unsigned char c = (unsigned char)raw[i];
    if (c == '%') {
      const int high = i + 2 < n_raw ? hex_digit(raw[i + 1]) : -1;
      const int low = high >= 0 ? hex_digit(raw[i + 2]) : -1;
      if (low < 0) {
        return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                         "A percent sign in the address escapes nothing.");
      }
      c = (unsigned char)(high * 16 + low);
      i += 2;
    } else if (c == '+' && plus_is_blank) {
      c = ' ';
    }
    if (c < 0x20 || c == 0x7F) {
      return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "There is a control character in the address.");
    }
    out[n++] = (char)c;
  }
  if (!text_is_utf8(out, n)) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0, "The address is not UTF-8.");
  }
  *text = out;
  return STATUS_OK;
}

static Status
add_word(Arena* arena, const char* raw, size_t n_raw, HttpQuery* query, Error* error)
{
  const char* const equals = memchr(raw, '=', n_raw);
  const size_t n_name = equals ? (size_t)(equals - raw) : n_raw;
  HttpWord word = {"", ""};
  Status st;
  if (query->n_words == HTTP_QUERY_MAX_WORDS) {
    return error_set(error, STATUS_LIMIT, NULL, 0, 0, "There are too many words in the address.");
  }
  TRY(st, unescape(arena, raw, n_name, true, &word.name, error));
  if (equals) {
    TRY(st, unescape(arena, equals + 1, n_raw - n_name - 1, true, &word.value, error));
  }
  if (http_query_word(query, word.name)) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0, "\"%.60s\" is there twice.", word.name);
  }
  query->words[query->n_words++] = word;
  return STATUS_OK;
}

Status
http_query_read(Arena* arena, const char* raw, HttpQuery* query, Error* error)
{
  HttpQuery read = {.path = ""};
  Status st;
  if (strnlen(raw, HTTP_QUERY_MAX_BYTES + 1) > HTTP_QUERY_MAX_BYTES) {
    return error_set(error, STATUS_LIMIT, NULL, 0, 0, "The address is too long.");
  }
  const char* const mark = strchr(raw, '?');
  TRY(st,
      unescape(arena, raw, mark ? (size_t)(mark - raw) : strlen(raw), false, &read.path, error));
  for (const char* at = mark ? mark + 1 : NULL; at;) {
    const char* const next = strchr(at, '&');
    const size_t n = next ? (size_t)(next - at) : strlen(at);
    if (n > 0) {
      TRY(st, add_word(arena, at, n, &read, error));
    }
    at = next ? next + 1 : NULL;
  }
  *query = read;
  return STATUS_OK;
}

const char*
http_query_word(const HttpQuery* query, const char* name)
{
  for (int i = 0; i < query->n_words; ++i) {
    if (!strcmp(query->words[i].name, name)) {
      return query->words[i].value;
    }
  }
  return NULL;
}
