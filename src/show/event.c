// SPDX-License-Identifier: GPL-3.0-or-later
#include "show/event.h"

#include "base/text.h"

#include <errno.h>
#include <jansson.h>
#include <stddef.h>
#include <string.h>
#include <sys/random.h>
#include <time.h>

/*
  Bodies go through one table in both directions, so that what can be written can be read and
  nothing else. jansson reads them because it refuses a key given twice, bad UTF-8, numbers out of
  range and text after the end; SQLite's own JSON check lets the first of these pass.
*/

typedef enum { FIELD_END, FIELD_TEXT, FIELD_WHOLE } FieldType;

typedef enum {
  FIELD_FREE,   ///< May be left out
  FIELD_NEEDED, ///< Must be there
  FIELD_FILLED, ///< Must be there and, as text, not be empty
} FieldNeed;

typedef struct {
  const char* key;
  size_t offset; ///< In FactBody
  FieldType type;
  FieldNeed need;
  int low, high; ///< Of a whole number
} Field;

#define TEXT(name, need)                                                                           \
  {                                                                                                \
#name, offsetof(FactBody, name), FIELD_TEXT, need, 0, 0                                        \
  }
#define WHOLE(name, need, low, high)                                                               \
  {                                                                                                \
#name, offsetof(FactBody, name), FIELD_WHOLE, need, low, high                                  \
  }
#define LINE(need) WHOLE(line, need, 1, FACT_LINE_MAX)

enum { FIELDS_MAX = 10 };

static const Field fields[FACT_KIND_COUNT][FIELDS_MAX] = {
  [FACT_PLUGGED] = {TEXT(place, FIELD_FILLED), TEXT(what, FIELD_NEEDED), TEXT(act, FIELD_FREE),
                    TEXT(from, FIELD_FREE)},
  [FACT_READING] = {LINE(FIELD_NEEDED), TEXT(check, FIELD_FILLED), TEXT(reading, FIELD_FILLED),
                    TEXT(at, FIELD_FREE), TEXT(desk, FIELD_FREE), TEXT(act, FIELD_FREE)},
  [FACT_OUTPUT_READING] = {TEXT(circuit, FIELD_FILLED), TEXT(check, FIELD_FILLED),
                           TEXT(reading, FIELD_FILLED), TEXT(at, FIELD_FREE)},
  [FACT_TAPED_OFF] = {TEXT(item, FIELD_FILLED), TEXT(why, FIELD_FREE)},
  [FACT_CLEARED] = {TEXT(item, FIELD_FILLED), WHOLE(seconds, FIELD_FREE, 0, FACT_COUNT_MAX),
                    TEXT(how, FIELD_FREE)},
  [FACT_MOVED] = {LINE(FIELD_NEEDED), TEXT(way, FIELD_NEEDED), TEXT(act, FIELD_FREE),
                  TEXT(detail, FIELD_FREE), TEXT(from, FIELD_FREE)},
  [FACT_STEP_TAKEN] = {LINE(FIELD_NEEDED), TEXT(step, FIELD_FILLED), TEXT(at, FIELD_FREE),
                       WHOLE(seconds, FIELD_FREE, 0, FACT_COUNT_MAX)},
  [FACT_STEP_REFUSED] = {LINE(FIELD_NEEDED), TEXT(step, FIELD_FILLED), TEXT(why, FIELD_FILLED),
                         TEXT(at, FIELD_FREE)},
  [FACT_STEP_DONE] = {LINE(FIELD_NEEDED), TEXT(step, FIELD_FILLED), TEXT(at, FIELD_FREE)},
  [FACT_LIST_IMPORTED] = {TEXT(list, FIELD_FILLED), TEXT(version, FIELD_NEEDED),
                          TEXT(text, FIELD_NEEDED), TEXT(file, FIELD_FREE), TEXT(act, FIELD_FREE),
                          TEXT(id, FIELD_FREE)},
  [FACT_KIT] = {TEXT(kit, FIELD_FILLED), WHOLE(count, FIELD_NEEDED, 0, FACT_COUNT_MAX),
                TEXT(place, FIELD_FREE)},
  [FACT_ACT_IN_FORCE] = {TEXT(act, FIELD_NEEDED)},
  [FACT_DESK_READ] = {TEXT(desk, FIELD_FILLED), LINE(FIELD_NEEDED), TEXT(act, FIELD_FREE),
                      WHOLE(channel, FIELD_FREE, 1, FACT_LINE_MAX), TEXT(name, FIELD_FREE),
                      TEXT(patch, FIELD_FREE), TEXT(phantom, FIELD_FREE), TEXT(pad, FIELD_FREE),
                      TEXT(muted, FIELD_FREE)},
  [FACT_HOLDS] = {TEXT(desk, FIELD_FILLED), TEXT(version, FIELD_FILLED), TEXT(act, FIELD_FREE)},
  [FACT_CHANGE_STEP] = {TEXT(act, FIELD_NEEDED), TEXT(from, FIELD_NEEDED), TEXT(step, FIELD_FILLED),
                        TEXT(at, FIELD_FREE), TEXT(detail, FIELD_FREE)},
  [FACT_PASS_BEGUN] = {TEXT(how, FIELD_FILLED), TEXT(act, FIELD_FREE)},
  [FACT_READY] = {TEXT(desk, FIELD_FILLED), TEXT(act, FIELD_FREE)},
  [FACT_SKIPPED] = {LINE(FIELD_NEEDED), TEXT(act, FIELD_FREE), TEXT(desk, FIELD_FREE),
                    TEXT(why, FIELD_FREE)},
  [FACT_NOTE] = {TEXT(text, FIELD_FILLED), LINE(FIELD_FREE), TEXT(item, FIELD_FREE)},
  [FACT_MESSAGE] = {TEXT(to, FIELD_FILLED), TEXT(text, FIELD_FILLED), LINE(FIELD_FREE),
                    WHOLE(urgent, FIELD_FREE, 0, 1)},
  [FACT_MESSAGE_SEEN] = {TEXT(id, FIELD_FILLED)},
  [FACT_VOIDED] = {TEXT(id, FIELD_FILLED), TEXT(why, FIELD_FREE)},
};

// Every field of FactBody once: what a writer looks through to find one its kind does not know.
static const Field all_fields[] = {
  LINE(FIELD_FREE),
  WHOLE(count, FIELD_FREE, 0, 0),
  WHOLE(seconds, FIELD_FREE, 0, 0),
  TEXT(act, FIELD_FREE),
  TEXT(at, FIELD_FREE),
  TEXT(check, FIELD_FREE),
  TEXT(circuit, FIELD_FREE),
  TEXT(desk, FIELD_FREE),
  TEXT(detail, FIELD_FREE),
  TEXT(file, FIELD_FREE),
  TEXT(from, FIELD_FREE),
  TEXT(how, FIELD_FREE),
  TEXT(id, FIELD_FREE),
  TEXT(item, FIELD_FREE),
  TEXT(kit, FIELD_FREE),
  TEXT(list, FIELD_FREE),
  TEXT(place, FIELD_FREE),
  TEXT(reading, FIELD_FREE),
  TEXT(step, FIELD_FREE),
  TEXT(text, FIELD_FREE),
  TEXT(version, FIELD_FREE),
  TEXT(way, FIELD_FREE),
  TEXT(what, FIELD_FREE),
  TEXT(why, FIELD_FREE),
  TEXT(to, FIELD_FREE),
  WHOLE(urgent, FIELD_FREE, 0, 0),
  WHOLE(channel, FIELD_FREE, 0, 0),
  TEXT(muted, FIELD_FREE),
  TEXT(name, FIELD_FREE),
  TEXT(pad, FIELD_FREE),
  TEXT(patch, FIELD_FREE),
  TEXT(phantom, FIELD_FREE),
};

static const char* const kind_words[FACT_KIND_COUNT] = {
#define FACT_KIND_WORD(name, word) word,
  FACT_KIND_LIST(FACT_KIND_WORD)
#undef FACT_KIND_WORD
};

const char*
fact_kind_word(FactKind kind)
{
  return (unsigned)kind < FACT_KIND_COUNT ? kind_words[kind] : "unknown";
}

bool
fact_kind_of(const char* word, FactKind* kind)
{
  for (int k = 0; k < FACT_KIND_COUNT; ++k) {
    if (!strcmp(word, kind_words[k])) {
      *kind = (FactKind)k;
      return true;
    }
  }
  return false;
}

Status
fact_id_new(char id[FACT_ID_ROOM])
{
  unsigned char bits[16];
  ssize_t n = -1;
  do {
    n = getrandom(bits, sizeof(bits), 0); // Up to 256 bytes come whole once the pool is ready
  } while (n < 0 && errno == EINTR);
  if (n != (ssize_t)sizeof(bits)) {
    return STATUS_IO;
  }
  for (size_t i = 0; i < sizeof(bits); ++i) {
    (void)snprintf(id + 2 * i, 3, "%02x", bits[i]);
  }
  return STATUS_OK;
}

void
fact_time_before(double age_s, char time[FACT_TIME_ROOM])
{
  struct timespec now = {0};
  struct tm utc = {0};
  (void)clock_gettime(CLOCK_REALTIME, &now);
  const int64_t age_ms = age_s > 0.0 && age_s < 1e9 ? (int64_t)(age_s * 1000.0) : 0;
  const int64_t ms = (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000 - age_ms;
  const time_t seconds = (time_t)(ms / 1000);
  (void)gmtime_r(&seconds, &utc);
  const size_t n = strftime(time, FACT_TIME_ROOM, "%Y-%m-%dT%H:%M:%S", &utc);
  (void)snprintf(time + n, FACT_TIME_ROOM - n, ".%03dZ", (int)(ms % 1000));
}

void
fact_time_now(char time[FACT_TIME_ROOM])
{
  fact_time_before(0.0, time);
}

static bool
id_is_good(const char* id)
{
  static const char letters[] = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-";
  const size_t n = id ? strnlen(id, FACT_ID_ROOM) : 0;
  return n >= 8 && n < FACT_ID_ROOM && strspn(id, letters) == n;
}

// "2031-06-14T15:22:07" then an optional fraction, then Z. Fixed places sort as they stand.
static bool
time_is_good(const char* time)
{
  static const char shape[] = "dddd-dd-ddTdd:dd:dd";
  static const struct {
    int at, low, high;
  } parts[] = {{5, 1, 12}, {8, 1, 31}, {11, 0, 23}, {14, 0, 59}, {17, 0, 60}};
  const size_t n = time ? strnlen(time, FACT_TIME_ROOM) : 0;
  if (n < sizeof(shape) || n >= FACT_TIME_ROOM || time[n - 1] != 'Z') {
    return false;
  }
  for (size_t i = 0; i < sizeof(shape) - 1; ++i) {
    if (shape[i] == 'd' ? time[i] < '0' || time[i] > '9' : time[i] != shape[i]) {
      return false;
    }
  }
  for (size_t p = 0; p < sizeof(parts) / sizeof(parts[0]); ++p) {
    const int value = 10 * (time[parts[p].at] - '0') + time[parts[p].at + 1] - '0';
    if (value < parts[p].low || value > parts[p].high) {
      return false;
    }
  }
  const char* const rest = time + sizeof(shape) - 1;
  return *rest == 'Z' || (*rest == '.' && n > sizeof(shape) + 1 &&
                          strspn(rest + 1, "0123456789") == n - sizeof(shape) - 1);
}

static const Field*
field_of(FactKind kind, const char* key)
{
  for (const Field* f = fields[kind]; f < fields[kind] + FIELDS_MAX && f->type; ++f) {
    if (!strcmp(f->key, key)) {
      return f;
    }
  }
  return NULL;
}

// One value of the object into its field. The text is borrowed from the JSON value.
static Status
field_take(FactKind kind, const Field* f, const json_t* value, FactBody* body, Error* error)
{
  if (f->type == FIELD_TEXT) {
    if (!json_is_string(value)) {
      return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0, "%s: \"%s\" must be text.",
                       fact_kind_word(kind), f->key);
    }
    if (f->need == FIELD_FILLED && !*json_string_value(value)) {
      return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0, "%s: \"%s\" must not be empty.",
                       fact_kind_word(kind), f->key);
    }
    *(const char**)((char*)body + f->offset) = json_string_value(value);
    return STATUS_OK;
  }
  const json_int_t whole = json_integer_value(value);
  if (!json_is_integer(value) || whole < f->low || whole > f->high) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "%s: \"%s\" must be a whole number from %d to %d.", fact_kind_word(kind),
                     f->key, f->low, f->high);
  }
  *(int*)((char*)body + f->offset) = (int)whole;
  return STATUS_OK;
}

static Status
body_take(FactKind kind, json_t* object, FactBody* body, Error* error)
{
  Status st = STATUS_OK;
  if (!json_is_object(object)) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0, "%s: the body must be a JSON object.",
                     fact_kind_word(kind));
  }
  const char* key = NULL;
  json_t* value = NULL;
  json_object_foreach(object, key, value)
  {
    const Field* const f = field_of(kind, key);
    if (!f) {
      return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0, "%s: there is no \"%.60s\" in it.",
                       fact_kind_word(kind), key);
    }
    TRY(st, field_take(kind, f, value, body, error));
  }
  for (const Field* f = fields[kind]; f < fields[kind] + FIELDS_MAX && f->type; ++f) {
    if (f->need != FIELD_FREE && !json_object_get(object, f->key)) {
      return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0, "%s: \"%s\" is missing.",
                       fact_kind_word(kind), f->key);
    }
  }
  if (kind == FACT_STEP_REFUSED && strcmp(body->why, "cannot") != 0 &&
      strcmp(body->why, "somebody else did") != 0 && strcmp(body->why, "busy") != 0) {
    return error_set(
      error, STATUS_BAD_INPUT, NULL, 0, 0,
      "step_refused: \"why\" must be \"cannot\", \"somebody else did\" or \"busy\".");
  }
  const bool names = kind == FACT_VOIDED || kind == FACT_MESSAGE_SEEN || body->id;
  if (names && !id_is_good(body->id)) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0, "%s: \"id\" is not the id of a fact.",
                     fact_kind_word(kind));
  }
  return STATUS_OK;
}

// The borrowed texts move from the JSON values into the arena.
static Status
body_keep(Arena* arena, FactKind kind, FactBody* body)
{
  for (const Field* f = fields[kind]; f < fields[kind] + FIELDS_MAX && f->type; ++f) {
    const char** const place = (const char**)((char*)body + f->offset);
    if (f->type == FIELD_TEXT && *place && !(*place = arena_copy(arena, *place))) {
      return STATUS_NO_MEMORY;
    }
  }
  return STATUS_OK;
}

static Status
body_dump(Arena* arena, FactKind kind, const json_t* object, const char** json, size_t* n_json,
          Error* error)
{
  const size_t limit = kind == FACT_LIST_IMPORTED ? FACT_LIST_BYTES : FACT_BODY_BYTES;
  const size_t flags = JSON_COMPACT | JSON_SORT_KEYS;
  const size_t n = json_dumpb(object, NULL, 0, flags);
  if (n > limit) {
    return error_set(error, STATUS_LIMIT, NULL, 0, 0,
                     "%s: a body may hold %zu bytes, this has %zu.", fact_kind_word(kind), limit,
                     n);
  }
  char* const text = n ? arena_array(arena, n + 1, 1) : NULL;
  if (!text || json_dumpb(object, text, n, flags) != n) {
    return error_set(error, STATUS_NO_MEMORY, NULL, 0, 0, "%s", status_text(STATUS_NO_MEMORY));
  }
  *json = text;
  *n_json = n;
  return STATUS_OK;
}

static Status
body_load(FactKind kind, const char* json, size_t n_json, json_t** object, Error* error)
{
  if ((unsigned)kind >= FACT_KIND_COUNT || !json) {
    return error_set(error, STATUS_BAD_ARG, NULL, 0, 0, "There is no such kind of fact.");
  }
  const size_t limit = kind == FACT_LIST_IMPORTED ? FACT_LIST_BYTES : FACT_BODY_BYTES;
  if (n_json > limit) {
    return error_set(error, STATUS_LIMIT, NULL, 0, 0,
                     "%s: a body may hold %zu bytes, this has %zu.", fact_kind_word(kind), limit,
                     n_json);
  }
  json_error_t at;
  *object = json_loadb(json, n_json, JSON_REJECT_DUPLICATES, &at);
  if (*object) {
    return STATUS_OK;
  }
  // jansson says nothing at all in most places where its memory runs out, and in one (a long
  // string) calls it an invalid token: that one cannot be told from bad input.
  if (!at.text[0] || json_error_code(&at) == json_error_out_of_memory) {
    return error_set(error, STATUS_NO_MEMORY, NULL, 0, 0, "%s", status_text(STATUS_NO_MEMORY));
  }
  return error_set(error, STATUS_BAD_INPUT, NULL, at.line, at.column,
                   "%s: the body is not right JSON: %s.", fact_kind_word(kind), at.text);
}

// Both results of one parse; either may be NULL.
static Status
body_parse(Arena* arena, FactKind kind, const char* json, size_t n_json, FactBody* body,
           const char** canonical, size_t* n_canonical, Error* error)
{
  json_t* object = NULL;
  FactBody found = {0};
  Status st = STATUS_OK;
  TRY(st, body_load(kind, json, n_json, &object, error));
  st = body_take(kind, object, &found, error);
  if (st == STATUS_OK && body && (st = body_keep(arena, kind, &found)) != STATUS_OK) {
    (void)error_set(error, st, NULL, 0, 0, "%s", status_text(st));
  }
  if (st == STATUS_OK && canonical) {
    st = body_dump(arena, kind, object, canonical, n_canonical, error);
  }
  json_decref(object);
  if (st == STATUS_OK && body) {
    *body = found;
  }
  return st;
}

Status
fact_body_read(Arena* arena, FactKind kind, const char* json, size_t n_json, FactBody* body,
               Error* error)
{
  return body_parse(arena, kind, json, n_json, body, NULL, NULL, error);
}

static json_t*
field_value(const Field* f, const FactBody* body)
{
  if (f->type == FIELD_TEXT) {
    const char* const text = *(const char* const*)((const char*)body + f->offset);
    return text ? json_string(text) : NULL;
  }
  return json_integer(*(const int*)((const char*)body + f->offset));
}

static bool
field_is_given(const Field* f, const FactBody* body)
{
  return f->type == FIELD_TEXT ? *(const char* const*)((const char*)body + f->offset) != NULL
                               : *(const int*)((const char*)body + f->offset) != 0;
}

Status
fact_body_write(Arena* arena, FactKind kind, const FactBody* body, const char** json,
                size_t* n_json, Error* error)
{
  if ((unsigned)kind >= FACT_KIND_COUNT) {
    return error_set(error, STATUS_BAD_ARG, NULL, 0, 0, "There is no such kind of fact.");
  }
  for (size_t i = 0; i < sizeof(all_fields) / sizeof(all_fields[0]); ++i) {
    const Field* const f = &all_fields[i];
    if (!field_is_given(f, body)) {
      continue;
    }
    if (!field_of(kind, f->key)) {
      return error_set(error, STATUS_BAD_ARG, NULL, 0, 0, "%s: there is no \"%s\" in it.",
                       fact_kind_word(kind), f->key);
    }
    if (f->type == FIELD_TEXT) {
      const char* const text = *(const char* const*)((const char*)body + f->offset);
      if (!text_is_utf8(text, strlen(text))) {
        return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0, "%s: \"%s\" is not UTF-8 text.",
                         fact_kind_word(kind), f->key);
      }
    }
  }
  json_t* const object = json_object();
  Status st = object ? STATUS_OK : STATUS_NO_MEMORY;
  for (const Field* f = fields[kind]; st == STATUS_OK && f < fields[kind] + FIELDS_MAX && f->type;
       ++f) {
    if ((field_is_given(f, body) || (f->type == FIELD_WHOLE && f->need != FIELD_FREE)) &&
        json_object_set_new(object, f->key, field_value(f, body)) != 0) {
      st = STATUS_NO_MEMORY;
    }
  }
  if (st == STATUS_OK) {
    FactBody found = {0};
    st = body_take(kind, object, &found, error);
    if (st == STATUS_OK) {
      st = body_dump(arena, kind, object, json, n_json, error);
    }
  } else {
    (void)error_set(error, st, NULL, 0, 0, "%s", status_text(st));
  }
  json_decref(object);
  return st;
}

Status
fact_make(Arena* arena, FactKind kind, const FactBody* body, const char* time, const char* place,
          const char* role, Fact* fact, Error* error)
{
  char id[FACT_ID_ROOM] = "";
  Status st = fact_id_new(id);
  if (st != STATUS_OK) {
    return error_set(error, st, NULL, 0, 0, "The system gives no random numbers.");
  }
  const Fact draft = {.id = id, .time = time, .place = place, .role = role, .kind = kind};
  Fact made = draft;
  TRY(st, fact_body_write(arena, kind, body, &made.body, &made.n_body, error));
  return fact_check(arena, &made, NULL, fact, error);
}

static bool
word_is_good(const char* word)
{
  const size_t n = word ? strnlen(word, FACT_WORD_BYTES + 1) : FACT_WORD_BYTES + 1;
  return n <= FACT_WORD_BYTES && text_is_utf8(word, n);
}

Status
fact_check(Arena* arena, const Fact* fact, FactBody* body, Fact* canonical, Error* error)
{
  if (!id_is_good(fact->id)) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "The id of a fact must be 8 to 64 letters, digits or hyphens.");
  }
  if (!time_is_good(fact->time)) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "The time of a fact must be UTC, written like 2031-06-14T15:22:07Z.");
  }
  if (!word_is_good(fact->place) || !word_is_good(fact->role)) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "Place and role of a fact must be UTF-8 text of at most %d bytes.",
                     FACT_WORD_BYTES);
  }
  Status st = STATUS_OK;
  FactBody found = {0};
  Fact made = *fact;
  TRY(st, body_parse(arena, fact->kind, fact->body, fact->n_body, body ? &found : NULL,
                     canonical ? &made.body : NULL, &made.n_body, error));
  if (canonical) {
    made.id = arena_copy(arena, fact->id);
    made.time = arena_copy(arena, fact->time);
    made.place = arena_copy(arena, fact->place);
    made.role = arena_copy(arena, fact->role);
    if (!made.id || !made.time || !made.place || !made.role) {
      return error_set(error, STATUS_NO_MEMORY, NULL, 0, 0, "%s", status_text(STATUS_NO_MEMORY));
    }
    *canonical = made;
  }
  if (body) {
    *body = found;
  }
  return STATUS_OK;
}

bool
fact_same(const Fact* a, const Fact* b)
{
  return a->kind == b->kind && !strcmp(a->place, b->place) && !strcmp(a->role, b->role) &&
         a->n_body == b->n_body && !memcmp(a->body, b->body, a->n_body);
}

static Status
stream_status(FILE* out)
{
  if (!ferror(out)) {
    return STATUS_OK;
  }
  return errno == ENOSPC ? STATUS_FULL : STATUS_IO;
}

Status
fact_csv_head(FILE* out)
{
  (void)fputs("seq,id,time,place,role,kind,body\r\n", out);
  return stream_status(out);
}

static void
csv_cell(FILE* out, const char* text)
{
  if (!strpbrk(text, ",\"\r\n;")) {
    (void)fputs(text, out);
    return;
  }
  (void)fputc('"', out);
  for (; *text; ++text) {
    if (*text == '"') {
      (void)fputc('"', out);
    }
    (void)fputc(*text, out);
  }
  (void)fputc('"', out);
}

Status
fact_csv_line(FILE* out, const Fact* fact)
{
  (void)fprintf(out, "%lld", (long long)fact->seq);
  const char* const cells[] = {
    fact->id, fact->time, fact->place, fact->role, fact_kind_word(fact->kind), fact->body};
  for (size_t i = 0; i < sizeof(cells) / sizeof(cells[0]); ++i) {
    (void)fputc(',', out);
    csv_cell(out, cells[i]);
  }
  (void)fputs("\r\n", out);
  return stream_status(out);
}

Status
fact_json_line(FILE* out, const Fact* fact)
{
  json_t* body = NULL;
  Status st = STATUS_OK;
  TRY(st, body_load(fact->kind, fact->body, fact->n_body, &body, NULL));
  json_t* const line =
    json_pack("{s:I, s:s, s:s, s:s, s:s, s:s, s:o}", "seq", (json_int_t)fact->seq, "id", fact->id,
              "time", fact->time, "place", fact->place, "role", fact->role, "kind",
              fact_kind_word(fact->kind), "body", body);
  if (!line) {
    return STATUS_NO_MEMORY; // json_pack has let go of the body
  }
  const int rc = json_dumpf(line, out, JSON_COMPACT);
  json_decref(line);
  (void)fputc('\n', out);
  st = stream_status(out);
  return st == STATUS_OK && rc ? STATUS_NO_MEMORY : st;
}
