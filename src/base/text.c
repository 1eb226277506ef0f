// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"

#include <ctype.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

static int
lower(char c)
{
  return c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : (unsigned char)c;
}

static bool
blank(char c)
{
  return c == ' ' || c == '\t';
}

bool
text_same(const char* a, const char* b)
{
  while (blank(*a)) {
    ++a;
  }
  while (blank(*b)) {
    ++b;
  }
  size_t n = strlen(a);
  size_t m = strlen(b);
  while (n > 0 && blank(a[n - 1])) {
    --n;
  }
  while (m > 0 && blank(b[m - 1])) {
    --m;
  }
  if (n != m) {
    return false;
  }
  for (size_t i = 0; i < n; ++i) {
    if (lower(a[i]) != lower(b[i])) {
      return false;
    }
  }
  return true;
}

bool
text_begins(const char* text, const char* start)
{
  for (; *start; ++text, ++start) {
    if (lower(*text) != lower(*start)) {
      return false;
    }
  }
  return true;
}

bool
text_has(const char* text, const char* word)
{
  while (*text && !text_begins(text, word)) {
    ++text;
  }
  return *text || !*word;
}

// Length of the well-formed sequence at p (1..4), 0 if there is none. Table 3-7 of the Unicode
// Standard, chapter 3: which second bytes may follow which first byte.
static size_t
utf8_length(const unsigned char* p, size_t n)
{
  const unsigned char c = p[0];
  if (c == 0) {
    return 0;
  }
  if (c < 0x80) {
    return 1;
  }
  size_t want = 0;
  unsigned low = 0x80;
  unsigned high = 0xBF;
  if (c >= 0xC2 && c <= 0xDF) {
    want = 2;
  } else if (c >= 0xE0 && c <= 0xEF) {
    want = 3;
    low = c == 0xE0 ? 0xA0 : 0x80;
    high = c == 0xED ? 0x9F : 0xBF;
  } else if (c >= 0xF0 && c <= 0xF4) {
    want = 4;
    low = c == 0xF0 ? 0x90 : 0x80;
    high = c == 0xF4 ? 0x8F : 0xBF;
  }
  if (want == 0 || want > n || p[1] < low || p[1] > high) {
    return 0;
  }
  for (size_t i = 2; i < want; ++i) {
    if ((p[i] & 0xC0) != 0x80) {
      return 0;
    }
  }
  return want;
}

bool
text_is_utf8(const char* bytes, size_t n_bytes)
{
  const unsigned char* p = (const unsigned char*)bytes;
  for (size_t i = 0; i < n_bytes;) {
    const size_t step = utf8_length(p + i, n_bytes - i);
    if (step == 0) {
      return false;
    }
    i += step;
  }
  return true;
}

// Windows-1252 differs from Latin-1 only here (Unicode Consortium mapping table CP1252.TXT).
static const uint16_t windows_1252_upper[32] = {
  0x20AC, 0xFFFD, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
  0x2039, 0x0152, 0xFFFD, 0x017D, 0xFFFD, 0xFFFD, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
  0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0xFFFD, 0x017E, 0x0178};

char*
text_from_windows_1252(Arena* arena, const char* bytes, size_t n_bytes, size_t* n_out)
{
  char* const out = arena_array(arena, n_bytes * 3 + 1, 1);
  if (!out) {
    return NULL;
  }
  size_t n = 0;
  for (size_t i = 0; i < n_bytes; ++i) {
    const unsigned char c = (unsigned char)bytes[i];
    const unsigned u = c >= 0x80 && c <= 0x9F ? windows_1252_upper[c - 0x80] : c;
    if (u < 0x80) {
      out[n++] = (char)u;
    } else if (u < 0x800) {
      out[n++] = (char)(0xC0u | (u >> 6));
      out[n++] = (char)(0x80u | (u & 0x3Fu));
    } else {
      out[n++] = (char)(0xE0u | (u >> 12));
      out[n++] = (char)(0x80u | ((u >> 6) & 0x3Fu));
      out[n++] = (char)(0x80u | (u & 0x3Fu));
    }
  }
  *n_out = n;
  return out;
}

static size_t
put_utf8(char* to, unsigned code)
{
  if (code < 0x80) {
    to[0] = (char)code;
    return 1;
  }
  if (code < 0x800) {
    to[0] = (char)(0xC0 | code >> 6);
    to[1] = (char)(0x80 | (code & 0x3F));
    return 2;
  }
  if (code < 0x10000) {
    to[0] = (char)(0xE0 | code >> 12);
    to[1] = (char)(0x80 | (code >> 6 & 0x3F));
    to[2] = (char)(0x80 | (code & 0x3F));
    return 3;
  }
  to[0] = (char)(0xF0 | code >> 18);
  to[1] = (char)(0x80 | (code >> 12 & 0x3F));
  to[2] = (char)(0x80 | (code >> 6 & 0x3F));
  to[3] = (char)(0x80 | (code & 0x3F));
  return 4;
}

static unsigned
utf16_unit(const char* bytes, size_t at, bool is_little)
{
  const unsigned char* const two = (const unsigned char*)bytes + at;
  return is_little ? two[0] | (unsigned)two[1] << 8 : (unsigned)two[0] << 8 | two[1];
}

char*
text_from_utf16(Arena* arena, const char* bytes, size_t n_bytes, size_t* n_out)
{
  char* const text = arena_array(arena, n_bytes / 2 * 3 + 1, 1);
  if (!text) {
    return NULL;
  }
  const bool is_little = n_bytes > 0 && (unsigned char)bytes[0] == 0xFF;
  size_t n = 0;
  for (size_t i = 2; i + 1 < n_bytes; i += 2) {
    unsigned code = utf16_unit(bytes, i, is_little);
    if (code >= 0xD800 && code < 0xE000) {
      const unsigned low = i + 3 < n_bytes ? utf16_unit(bytes, i + 2, is_little) : 0;
      const bool is_pair = code < 0xDC00 && low >= 0xDC00 && low < 0xE000;
      code = is_pair ? 0x10000 + ((code - 0xD800) << 10) + (low - 0xDC00) : 0xFFFD;
      i += is_pair ? 2 : 0;
    }
    n += put_utf8(text + n, code);
  }
  *n_out = n;
  return text;
}

const char*
text_from_outside(Arena* arena, const char* bytes, size_t n_bytes, size_t* n_out,
                  bool* was_windows_1252)
{
  const bool is_utf16 =
    n_bytes >= 2 && (!memcmp(bytes, "\xFF\xFE", 2) || !memcmp(bytes, "\xFE\xFF", 2));
  const bool is_utf8 = !is_utf16 && text_is_utf8(bytes, n_bytes);
  if (was_windows_1252) {
    *was_windows_1252 = !is_utf16 && !is_utf8;
  }
  if (is_utf8) {
    *n_out = n_bytes;
    return n_bytes ? bytes : "";
  }
  return is_utf16 ? text_from_utf16(arena, bytes, n_bytes, n_out)
                  : text_from_windows_1252(arena, bytes, n_bytes, n_out);
}

bool
text_whole(const char* text, int low, int high, int* value)
{
  while (blank(*text)) {
    ++text;
  }
  const bool negative = *text == '-';
  text += *text == '-' || *text == '+';
  if (*text < '0' || *text > '9') {
    return false;
  }
  long long n = 0;
  for (; *text >= '0' && *text <= '9'; ++text) {
    n = n * 10 + (*text - '0');
    if (n > INT32_MAX) {
      return false;
    }
  }
  while (blank(*text)) {
    ++text;
  }
  n = negative ? -n : n;
  if (*text || n < low || n > high) {
    return false;
  }
  *value = (int)n;
  return true;
}

bool
text_number(const char* text, double low, double high, double* value)
{
  while (blank(*text)) {
    ++text;
  }
  const bool negative = *text == '-';
  text += *text == '-' || *text == '+';
  double n = 0.0;
  double scale = 1.0;
  bool fraction = false;
  int n_digits = 0;
  for (; (*text >= '0' && *text <= '9') || ((*text == '.' || *text == ',') && !fraction); ++text) {
    if (*text == '.' || *text == ',') {
      fraction = true;
      continue;
    }
    if (++n_digits > 15) {
      return false;
    }
    n = n * 10.0 + (*text - '0');
    scale *= fraction ? 10.0 : 1.0;
  }
  while (blank(*text)) {
    ++text;
  }
  n = (negative ? -n : n) / scale;
  if (*text || n_digits == 0 || n < low || n > high) {
    return false;
  }
  *value = n;
  return true;
}

void
text_add(TextOut* out, const char* format, ...)
{
  if (out->failed) {
    return;
  }
  va_list args;
  va_start(args, format);
  va_list again;
  va_copy(again, args);
  const int n = vsnprintf(NULL, 0, format, args);
  va_end(args);
  if (n < 0) {
    out->failed = true;
  } else if (out->n_bytes + (size_t)n + 1 > out->n_room) {
    const size_t room = (out->n_bytes + (size_t)n + 1) * 2 + 64;
    char* const grown = arena_grow(out->arena, out->text, out->n_bytes, room, 1);
    out->failed = !grown;
    if (grown) {
      out->text = grown;
      out->n_room = room;
    }
  }
  if (!out->failed) {
    (void)vsnprintf(out->text + out->n_bytes, (size_t)n + 1, format, again);
    out->n_bytes += (size_t)n;
  }
  va_end(again);
}

const char*
text_done(const TextOut* out)
{
  return out->failed ? NULL : out->text ? out->text : "";
}

int
text_width(const char* text)
{
  const unsigned char* p = (const unsigned char*)text;
  size_t n = strlen(text);
  int width = 0;
  while (n > 0) {
    const size_t step = utf8_length(p, n);
    if (step == 3) {
      const unsigned u = ((p[0] & 0x0Fu) << 12) | ((p[1] & 0x3Fu) << 6) | (p[2] & 0x3Fu);
      const bool wide = (u >= 0x1100 && u <= 0x115F) || (u >= 0x2E80 && u <= 0xA4CF) ||
                        (u >= 0xAC00 && u <= 0xD7A3) || (u >= 0xF900 && u <= 0xFAFF) ||
                        (u >= 0xFF00 && u <= 0xFF60);
      width += wide ? 2 : u >= 0x20D0 && u <= 0x20FF ? 0 : 1;
    } else if (step == 2) {
      const unsigned u = ((p[0] & 0x1Fu) << 6) | (p[1] & 0x3Fu);
      width += u >= 0x0300 && u <= 0x036F ? 0 : 1;
    } else {
      width += step == 4 ? 2 : 1;
    }
    p += step ? step : 1;
    n -= step ? step : 1;
  }
  return width;
}
