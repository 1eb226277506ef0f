// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/sheet_word.h"

#include <stdbool.h>
#include <string.h>

/*
  A parser hands the text of an element over in pieces, wherever its own buffer happened to end, so
  a word grows until its element closes. What it may come to in all is counted here.
*/

enum { CELL_BYTES = 128 * 1024 }; // A spreadsheet holds 32,767 characters in a cell

const char*
sheet_attribute(const char** attributes, const char* name)
{
  for (; attributes && attributes[0]; attributes += 2) {
    const char* const colon = strchr(attributes[0], ':');
    if (!strcmp(colon ? colon + 1 : attributes[0], name)) {
      return attributes[1];
    }
  }
  return NULL;
}

void
sheet_word_add(SheetPart* part, SheetWord* word, const char* text, size_t n)
{
  if (word->n + n > CELL_BYTES) {
    sheet_part_stop(part, STATUS_LIMIT, "A cell holds more than %d bytes: is it the right file?",
                    CELL_BYTES);
    return;
  }
  if (word->n + n + 1 > word->room) {
    const size_t room = (word->n + n + 1) * 2 + 64;
    char* const more = arena_grow(part->arena, word->text, word->n, room, 1);
    if (!more) {
      sheet_part_no_memory(part);
      return;
    }
    word->text = more;
    word->room = room;
  }
  memcpy(word->text + word->n, text, n);
  word->n += n;
  word->text[word->n] = '\0';
}

// Code of "_x000D_" at `p`, 0 = it is none: how characters that XML cannot hold are written
// (ISO/IEC 29500-1, 22.9.2.19), and the underscore before such a word.
static unsigned
escape_at(const char* p)
{
  unsigned code = 0;
  if (p[0] != '_' || p[1] != 'x') {
    return 0;
  }
  for (int i = 2; i < 6; ++i) {
    const char* const digits = "0123456789abcdef0123456789ABCDEF";
    const char* const at = p[i] ? strchr(digits, p[i]) : NULL;
    if (!at) {
      return 0;
    }
    code = code * 16 + (unsigned)((at - digits) % 16);
  }
  return p[6] == '_' ? code : 0;
}

// Puts escapes right in place: those of ASCII, which is all that spreadsheets write.
static void
undo_escapes(char* text)
{
  char* to = text;
  for (const char* p = text; *p;) {
    const unsigned code = escape_at(p);
    const bool is_ascii = code > 0 && code < 0x80;
    *to++ = is_ascii ? (char)code : *p;
    p += is_ascii ? 7 : 1;
  }
  *to = '\0';
}

const char*
sheet_word_copy(Arena* arena, const char* text, size_t n)
{
  size_t from = 0;
  while (from < n && (unsigned char)text[from] <= ' ') {
    ++from;
  }
  while (n > from && (unsigned char)text[n - 1] <= ' ') {
    --n;
  }
  if (from == n) {
    return "";
  }
  char* const copy = arena_text(arena, text + from, n - from);
  if (copy) {
    undo_escapes(copy);
  }
  for (char* p = copy; p && *p; ++p) {
    *p = *p == '\n' || *p == '\r' || *p == '\t' ? ' ' : *p;
  }
  return copy;
}
