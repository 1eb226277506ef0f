// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/range.h"

#include "base/text.h"
#include "stage/heading.h"

#include <stdio.h>
#include <string.h>

// Bytes of the dash at `p`: ASCII, or hyphen, non-breaking hyphen, figure dash, en dash, em dash,
// bar (E2 80 90 to 95), minus (E2 88 92); 0 = none.
static size_t
dash_bytes(const char* p)
{
  if (*p == '-') {
    return 1;
  }
  const bool is_dash =
    !strncmp(p, "\xE2\x80", 2) && (unsigned char)p[2] >= 0x90 && (unsigned char)p[2] <= 0x95;
  return is_dash || !strncmp(p, "\xE2\x88\x92", 3) ? 3 : 0;
}

static const char*
skip_blanks(const char* p)
{
  return p + strspn(p, " ");
}

static bool
is_letter(char c)
{
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

// Over the word that may stand before a number: "ch", "no.", "#", or the name of the box.
static const char*
skip_word(const char* p, const char* name)
{
  p = skip_blanks(p);
  const size_t n_name = strlen(name);
  if (n_name > 0 && text_begins(p, name)) {
    p += n_name;
    return p + strspn(p, " -/._:#");
  }
  char word[12] = "";
  size_t n = 0;
  while (n < sizeof(word) - 2 && is_letter(p[n])) {
    ++n;
  }
  if (n > 0) {
    (void)snprintf(word, sizeof(word), "%.*s", (int)n, p);
    char plain[12];
    heading_plain(word, plain, sizeof(plain));
    if (!heading_among("ch|chan|channel|in|input|no|nr|line|ln|", plain)) {
      return p;
    }
    p += n;
  }
  return p + strspn(p, " .:#");
}

// One number of up to four digits; NULL when there is none.
static const char*
read_number(const char* p, int* number)
{
  const size_t n = strspn(p, "0123456789");
  char digits[6] = "";
  if (n == 0 || n > 4) {
    return NULL;
  }
  (void)snprintf(digits, sizeof(digits), "%.*s", (int)n, p);
  return text_whole(digits, 1, 9999, number) ? p + n : NULL;
}

// Over "-", "to", ".." (then `is_span`) or one of / + & , between two numbers; NULL = none.
static const char*
read_between(const char* p, bool* is_span)
{
  p = skip_blanks(p);
  *is_span = true;
  if (dash_bytes(p)) {
    return p + dash_bytes(p);
  }
  if (!strncmp(p, "..", 2)) {
    return p + 2 + strspn(p + 2, ".");
  }
  if (text_begins(p, "to ") || text_begins(p, "thru ")) {
    return strchr(p, ' ');
  }
  *is_span = false;
  return *p && strchr("/+&,", *p) ? p + 1 : NULL;
}

bool
range_read(const char* text, const char* name, int* first, int* n)
{
  int from = 0;
  const char* p = read_number(skip_word(text, name), &from);
  int last = from;
  for (bool is_span = false; p && !is_span;) {
    const char* const end = skip_blanks(p);
    if (!*end || ((*end == '.' || *end == ')') && !*skip_blanks(end + 1))) {
      break;
    }
    int next = 0;
    p = read_between(p, &is_span);
    p = p ? read_number(skip_word(p, name), &next) : NULL;
    if (!p || (is_span ? last != from || next <= last : next != last + 1)) {
      return false;
    }
    last = next;
    if (is_span && *skip_blanks(p)) {
      return false;
    }
  }
  if (!p || last - from >= RANGE_MOST) {
    return false;
  }
  *first = from;
  *n = last - from + 1;
  return true;
}

bool
range_of_box(const char* text, char* name, size_t size, int* first, int* n)
{
  text = text_begins(text, "box ") ? text + 4 : text;
  const size_t n_head = strcspn(text, "0123456789");
  size_t n_name = n_head;
  while (n_name > 0 && strchr(" -/._:#", text[n_name - 1])) {
    --n_name;
  }
  if (n_name == 0 || n_name >= size || !text[n_head]) {
    return false;
  }
  memcpy(name, text, n_name);
  name[n_name] = '\0';
  return range_read(text + n_head, name, first, n);
}

// ---- Names ----

// Where piece `i` begins and how long it is; the number of pieces.
static int
cut_pieces(const char* text, int i, const char** piece, size_t* n_piece)
{
  int n = 0;
  for (const char* p = text;; ++n) {
    const size_t len = strcspn(p, "/,+&");
    if (n == i) {
      const size_t n_blank = strspn(p, " ");
      *piece = n_blank < len ? p + n_blank : p;
      *n_piece = n_blank < len ? len - n_blank : 0;
      while (*n_piece > 0 && (*piece)[*n_piece - 1] == ' ') {
        --*n_piece;
      }
    }
    if (!p[len]) {
      return n + 1;
    }
    p += len + 1;
  }
}

const char*
range_without_count(Arena* arena, const char* text, int n)
{
  char before[16];
  char behind[16];
  int said = 0;
  (void)snprintf(before, sizeof(before), "%d", n);
  (void)snprintf(behind, sizeof(behind), "x%d", n);
  // "4x clip", "4 x clip"
  const size_t n_digits = strspn(text, "0123456789");
  char digits[6] = "";
  if (n_digits > 0 && n_digits < sizeof(digits)) {
    memcpy(digits, text, n_digits);
    const char* p = skip_blanks(text + n_digits);
    const bool is_times = (*p == 'x' || *p == 'X') && (p[1] == ' ' || p > text + n_digits);
    const bool is_sign = !strncmp(p, "\xC3\x97", 2);
    if (text_whole(digits, n, n, &said) && (is_times || is_sign)) {
      return arena_copy(arena, skip_blanks(p + (is_sign ? 2 : 1)));
    }
  }
  // "clip x4"
  const size_t len = strlen(text);
  const size_t n_behind = strlen(behind);
  if (len > n_behind + 1 && text[len - n_behind - 1] == ' ' &&
      text_same(text + len - n_behind, behind)) {
    return arena_text(arena, text, len - n_behind - 1);
  }
  return arena_copy(arena, text);
}

const char*
range_name(Arena* arena, const char* text, int i, int n)
{
  text = range_without_count(arena, text, n);
  if (!text) {
    return NULL;
  }
  const char* piece = text;
  size_t n_piece = strlen(text);
  if (cut_pieces(text, i, &piece, &n_piece) == n && n_piece > 0) {
    // "Keys L/R": the words before the first short piece belong to all
    const char* first = text;
    size_t n_first = 0;
    (void)cut_pieces(text, 0, &first, &n_first);
    size_t n_head = n_first;
    while (n_head > 0 && first[n_head - 1] != ' ') {
      --n_head;
    }
    return n_piece <= 2 && i > 0 && n_head > 0
             ? arena_format(arena, "%.*s%.*s", (int)n_head, first, (int)n_piece, piece)
             : arena_text(arena, piece, n_piece);
  }
  // "Keys LR", "Keys stereo"
  static const char* const stereo[] = {" lr", " l+r", " l/r", " st", " st.", " stereo"};
  const size_t len = strlen(text);
  for (size_t k = 0; n == 2 && k < sizeof(stereo) / sizeof(stereo[0]); ++k) {
    const size_t n_tail = strlen(stereo[k]);
    if (len > n_tail && text[len - n_tail] == ' ' &&
        text_same(text + len - n_tail + 1, stereo[k] + 1)) {
      return arena_format(arena, "%.*s %s", (int)(len - n_tail), text, i == 0 ? "L" : "R");
    }
  }
  return arena_format(arena, "%s %d", text, i + 1);
}
