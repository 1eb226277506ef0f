// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_new.h"

#include "base/text.h"
#include "face/json.h"
#include "face/show_make.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

enum { FILES_MAX = 100, NAME_MAX_BYTES = 100, SAME_NAME_MAX = 99 };

typedef struct {
  ListFiles files;
  int n_lines;
  const char* name; ///< Of the show file; NULL = ours
  bool is_try;
} Wish;

static Status
wrong(const Face* face, const char* what)
{
  return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0, "%s", what);
}

// ---- Bytes ----

static int
digit_64(char c)
{
  static const char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  const char* const at = c ? strchr(digits, c) : NULL;
  return at ? (int)(at - digits) : -1;
}

// RFC 4648, section 4; NULL for what is none.
static char*
from_base64(Arena* arena, const char* text, size_t n_text, size_t* n_bytes)
{
  char* const bytes = arena_array(arena, n_text / 4 * 3 + 4, 1);
  unsigned held = 0;
  int n_bits = 0;
  size_t n = 0;
  size_t i = 0;
  for (; bytes && i < n_text && text[i] != '='; ++i) {
    const int digit = digit_64(text[i]);
    if (digit < 0) {
      return NULL;
    }
    held = (held << 6 | (unsigned)digit) & 0xFFFFU;
    n_bits += 6;
    if (n_bits >= 8) {
      n_bits -= 8;
      bytes[n++] = (char)(unsigned char)(held >> n_bits & 0xFFU);
    }
  }
  *n_bytes = n;
  return n_text - i <= 2 ? bytes : NULL;
}

static Status
add_file(const Face* face, json_t* file, ListFiles* files)
{
  const json_t* const name = json_object_get(file, "name");
  const json_t* const text = json_object_get(file, "text");
  const json_t* const code = json_object_get(file, "base64");
  size_t n_bytes = 0;
  const char* bytes = NULL;
  if (!json_is_string(name) || json_string_length(name) == 0 ||
      json_string_length(name) > NAME_MAX_BYTES ||
      (!json_is_string(text) && !json_is_string(code))) {
    return wrong(face, "A file is {\"name\": ..., \"text\": ...} or with \"base64\".");
  }
  const char* const own = arena_copy(face->arena, json_string_value(name));
  if (json_is_string(code)) {
    bytes = from_base64(face->arena, json_string_value(code), json_string_length(code), &n_bytes);
  } else {
    n_bytes = json_string_length(text);
    bytes = arena_text(face->arena, json_string_value(text), n_bytes);
  }
  if (!own || !bytes) {
    return wrong(face, "The bytes of a file could not be read: send them again.");
  }
  return list_files_add_bytes(face, files, own, bytes, n_bytes);
}

static Status
add_demo(const Face* face, ListFiles* files)
{
  int n = 0;
  const ListText* const lists = http_demo_lists(&n);
  Status st;
  for (int i = 0; i < n; ++i) {
    TRY(st, list_files_add_bytes(face, files, lists[i].name, lists[i].bytes, lists[i].n_bytes));
  }
  return STATUS_OK;
}

// ---- The wish ----

static bool
is_name(const char* name)
{
  for (const char* c = name; *c; ++c) {
    if (!isalnum((unsigned char)*c) && !strchr(" -_.", *c)) {
      return false;
    }
  }
  return name[0] && name[0] != '.' && strlen(name) <= NAME_MAX_BYTES;
}

static Status
read_members(const Face* face, json_t* root, Wish* wish)
{
  json_t* const files = json_object_get(root, "files");
  const json_t* const lines = json_object_get(root, "lines");
  const json_t* const name = json_object_get(root, "name");
  const bool is_demo = json_is_true(json_object_get(root, "demo"));
  Status st;
  if (!json_is_object(root) || json_array_size(files) > FILES_MAX ||
      (lines && (!json_is_integer(lines) || json_integer_value(lines) < 1 ||
                 json_integer_value(lines) > PLANT_MAX_LINES))) {
    return wrong(face, "Send {\"files\": [...]}, {\"lines\": N} (1 to 512) or {\"demo\": true}.");
  }
  if (name && (!json_is_string(name) || !is_name(json_string_value(name)))) {
    return wrong(face, "A show's name is letters, digits, blanks and dashes.");
  }
  for (size_t i = 0; i < json_array_size(files); ++i) {
    TRY(st, add_file(face, json_array_get(files, i), &wish->files));
  }
  if (is_demo) {
    TRY(st, add_demo(face, &wish->files));
  }
  wish->n_lines = lines ? (int)json_integer_value(lines) : 0;
  wish->is_try = json_is_true(json_object_get(root, "try"));
  wish->name = name ? arena_copy(face->arena, json_string_value(name)) : NULL;
  return wish->files.n > 0 || wish->n_lines > 0
           ? STATUS_OK
           : wrong(face, "Nothing was sent: lists, a number of lines, or the demo.");
}

static Status
read_wish(const Face* face, const char* body, size_t n_body, Wish* wish)
{
  json_error_t at;
  json_t* const root = json_loadb(body, n_body, JSON_REJECT_DUPLICATES, &at);
  if (!root) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, at.line, at.column > 0 ? at.column : 1,
                     "This is not JSON here (%.120s).", at.text);
  }
  const Status st = read_members(face, root, wish);
  json_decref(root);
  return st;
}

// ---- The answer ----

// Each list as it was understood.
static json_t*
lists_json(const Face* face, const ListFiles* files)
{
  json_t* const list = json_array();
  for (int i = 0; i < files->n; ++i) {
    const ListText* const l = &files->lists[i];
    Table table = {0};
    Error unused = {0};
    json_t* const one = json_object();
    const bool is_read =
      table_read(face->arena, l->name, l->bytes, l->n_bytes, &table, &unused) == STATUS_OK;
    const ListSort sort =
      is_read && table.n_rows > 0 ? lists_sort(face->arena, &table) : LIST_UNKNOWN;
    json_object_set_new(one, "name", json_words(l->name));
    json_object_set_new(one, "is",
                        sort == LIST_UNKNOWN ? json_null() : json_words(lists_word(sort)));
    json_object_set_new(one, "rows", json_integer(table.n_rows > 0 ? table.n_rows - 1 : 0));
    json_object_set_new(one, "text",
                        text_is_utf8(l->bytes, l->n_bytes) ? json_stringn(l->bytes, l->n_bytes)
                                                           : json_null());
    json_array_append_new(list, one);
  }
  return list;
}

// The name asked for, or the first of ours that is free.
static Status
make(const Face* face, const Wish* wish, const char** path)
{
  const size_t n = wish->name ? strlen(wish->name) : 0;
  const char* const tail = n > 5 && text_same(wish->name + n - 5, ".show") ? "" : ".show";
  for (int i = 1; i <= SAME_NAME_MAX; ++i) {
    const char* const name = wish->name ? arena_format(face->arena, "%s%s", wish->name, tail)
                             : i == 1   ? "day.show"
                                        : arena_format(face->arena, "day-%d.show", i);
    if (!name) {
      return STATUS_NO_MEMORY;
    }
    *face->error = (Error){0};
    const Status st = show_make(face, name, &wish->files, wish->n_lines);
    if (st != STATUS_EXISTS || wish->name) {
      *path = st == STATUS_OK ? name : NULL;
      return st;
    }
  }
  return STATUS_EXISTS;
}

HttpReply
http_new_take(Arena* arena, const char* body, size_t n_body, const char** path)
{
  const Args args = {.seconds = -1, .seed = -1};
  Error error = {0};
  const Face face = {arena, &args, NULL, &error, NULL};
  Wish wish = {.n_lines = 0};
  Plant plant;
  *path = NULL;
  Status st = read_wish(&face, body ? body : "", n_body, &wish);
  if (st == STATUS_OK) {
    st = lists_build(arena, wish.files.lists, wish.files.n, wish.n_lines, &plant, &error);
  }
  const bool is_understood = st == STATUS_OK;
  if (is_understood && !wish.is_try) {
    st = make(&face, &wish, path);
  }
  if (st != STATUS_OK && (wish.files.n == 0 || is_understood)) {
    return http_reply_error(st, &error);
  }
  json_t* const answer = json_answer(NULL);
  json_object_set_new(answer, "show", json_words(*path));
  json_object_set_new(answer, "lists", lists_json(&face, &wish.files));
  if (is_understood) {
    show_make_json(answer, &plant);
    return http_reply_json(MHD_HTTP_OK, answer);
  }
  json_object_set_new(answer, "error", json_words(error.text));
  json_object_set_new(answer, "file", json_words(error.file));
  json_object_set_new(answer, "line", json_integer(error.line));
  json_object_set_new(answer, "column", json_integer(error.column));
  return http_reply_json(http_reply_status(st), answer);
}
