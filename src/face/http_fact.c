// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_fact.h"

#include "face/json_in.h"

#include <string.h>

/*
  A table says which member of a fact goes where, so that what is not in it is refused by name.
*/

typedef struct {
  const char* key;
  size_t offset; ///< Of a text in Telling
  size_t most_bytes;
} TextMember;

typedef struct {
  const char* key;
  size_t offset; ///< Of an int in Telling
  int high;
} WholeMember;

static const TextMember texts[] = {
  {"circuit", offsetof(Telling, circuit), FACT_WORD_BYTES},
  {"check", offsetof(Telling, check), FACT_WORD_BYTES},
  {"reading", offsetof(Telling, reading), FACT_WORD_BYTES},
  {"at", offsetof(Telling, at), FACT_WORD_BYTES},
  {"place", offsetof(Telling, place), FACT_WORD_BYTES},
  {"what", offsetof(Telling, what), FACT_WORD_BYTES},
  {"item", offsetof(Telling, item), FACT_WORD_BYTES},
  {"why", offsetof(Telling, why), 500},
  {"because", offsetof(Telling, why), 500},
  {"step", offsetof(Telling, step), FACT_WORD_BYTES},
  {"to", offsetof(Telling, to), 40},
  {"text", offsetof(Telling, text), 500},
  {"of", offsetof(Telling, of), FACT_WORD_BYTES},
  {"fact", offsetof(Telling, of), FACT_WORD_BYTES},
  {"from", offsetof(Telling, before), FACT_WORD_BYTES},
  {"lines", offsetof(Telling, lines), 6 * PLANT_MAX_LINES},
};

static const WholeMember wholes[] = {
  {"seconds", offsetof(Telling, seconds), 86400},
  {"breaks", offsetof(Telling, breaks), 100000},
  {"count", offsetof(Telling, count), FACT_COUNT_MAX},
};

static const char* const keys[] = {
  "id",      "verb", "age_s", "act",  "line",   "check", "reading", "at",      "place",
  "what",    "item", "why",   "step", "of",     "fact",  "seconds", "breaks",  "count",
  "because", "to",   "text",  "who",  "urgent", "from",  "lines",   "circuit", NULL};

static const char* const verbs[] = {
#define FACT_VERB(name, word) word,
  TELL_LIST(FACT_VERB)
#undef FACT_VERB
    NULL};

// A line is a number or a text, since people call it either way.
static Status
read_line(const JsonIn* in, const JsonAt* at, const char** line)
{
  const JsonAt member = json_in_member(at, "line");
  if (json_is_integer(member.value)) {
    const json_int_t number = json_integer_value(member.value);
    if (number < 1 || number > FACT_LINE_MAX) {
      return json_in_wrong(in, &member, "A line has a number from 1 to %d.", FACT_LINE_MAX);
    }
    *line = arena_format(in->arena, "%d", (int)number);
    return *line ? STATUS_OK : STATUS_NO_MEMORY;
  }
  return json_in_text(in, at, "line", FACT_WORD_BYTES, false, line);
}

static Status
read_one(const JsonIn* in, const JsonAt* at, HttpFact* fact)
{
  Telling* const t = &fact->telling;
  int verb = 0;
  Status st;
  TRY(st, json_in_text(in, at, "id", FACT_ID_ROOM - 1, true, &fact->id));
  TRY(st, json_in_keys(in, at, keys));
  TRY(st, json_in_word(in, at, "verb", verbs, true, &verb));
  t->sort = (TellSort)verb;
  TRY(st, json_in_number(in, at, "age_s", 0.0, 1e12, false, &fact->age_s));
  fact->age_s = fact->age_s > HTTP_AGE_MAX_S ? HTTP_AGE_MAX_S : fact->age_s;
  TRY(st, json_in_text(in, at, "act", FACT_WORD_BYTES, t->sort == TELL_NOW, &fact->act));
  TRY(st, json_in_text(in, at, "who", FACT_WORD_BYTES, false, &fact->who));
  TRY(st, json_in_bool(in, at, "urgent", &t->is_urgent));
  TRY(st, read_line(in, at, &t->line));
  for (size_t i = 0; i < sizeof(texts) / sizeof(texts[0]); ++i) {
    const char** const where = (const char**)(void*)((char*)t + texts[i].offset);
    TRY(st, json_in_text(in, at, texts[i].key, texts[i].most_bytes, false, where));
  }
  for (size_t i = 0; i < sizeof(wholes) / sizeof(wholes[0]); ++i) {
    int* const where = (int*)(void*)((char*)t + wholes[i].offset);
    double value = *where;
    TRY(st, json_in_number(in, at, wholes[i].key, 0.0, wholes[i].high, false, &value));
    *where = (int)value;
  }
  if (t->sort == TELL_REFUSE && t->why && !strcmp(t->why, "other")) {
    t->why = "somebody else did";
  }
  if (t->sort == TELL_NOW) {
    t->act = fact->act;
    fact->act = NULL;
  }
  return STATUS_OK;
}

static Status
read_all(JsonIn* in, const JsonAt* root, HttpFact** facts, int* n, Error* error)
{
  static const char* const root_keys[] = {"facts", NULL};
  size_t count = 0;
  Status st;
  TRY(st, json_in_keys(in, root, root_keys));
  const JsonAt list = json_in_member(root, "facts");
  TRY(st, json_in_count(in, &list, 1, HTTP_FACTS_MAX, &count));
  HttpFact* const read = arena_array(in->arena, count, sizeof(*read));
  if (!read) {
    return STATUS_NO_MEMORY;
  }
  for (size_t i = 0; i < count; ++i) {
    Error own = {0};
    const JsonAt at = json_in_item(&list, i);
    read[i] = (HttpFact){.id = "", .telling = {.seconds = -1, .count = -1}};
    in->error = &own;
    st = read_one(in, &at, &read[i]);
    in->error = error;
    if (st == STATUS_NO_MEMORY) {
      return st;
    }
    if (st != STATUS_OK) {
      read[i].no = arena_copy(in->arena, own.text[0] ? own.text : status_text(st));
      if (!read[i].no) {
        return STATUS_NO_MEMORY;
      }
    }
  }
  *facts = read;
  *n = (int)count;
  return STATUS_OK;
}

Status
http_fact_read(Arena* arena, const char* text, size_t n_text, HttpFact** facts, int* n,
               Error* error)
{
  JsonIn in;
  JsonAt root;
  Status st;
  if (n_text > HTTP_FACTS_BYTES) {
    return error_set(error, STATUS_LIMIT, NULL, 0, 0, "That is more than %d bytes at once.",
                     HTTP_FACTS_BYTES);
  }
  TRY(st, json_in_read(arena, NULL, text, n_text, &in, &root, error));
  st = read_all(&in, &root, facts, n, error);
  json_in_free(&in);
  return st;
}

static bool
agrees(const char* told, const char* known)
{
  return !told || !known || !strcmp(told, known);
}

bool
http_fact_is_same(const HttpFact* fact, const FoldFact* known)
{
  static const FactKind kinds[TELL_COUNT] = {
    [TELL_SAW] = FACT_READING,
    [TELL_PLUG] = FACT_PLUGGED,
    [TELL_TAPE] = FACT_TAPED_OFF,
    [TELL_CLEAR] = FACT_CLEARED,
    [TELL_UNDO] = FACT_VOIDED,
    [TELL_NOW] = FACT_ACT_IN_FORCE,
    [TELL_KIT] = FACT_KIT,
    [TELL_TAKE] = FACT_STEP_TAKEN,
    [TELL_REFUSE] = FACT_STEP_REFUSED,
    [TELL_READ] = FACT_DESK_READ,
    [TELL_HOLDS] = FACT_HOLDS,
    [TELL_PASS] = FACT_PASS_BEGUN,
    [TELL_READY] = FACT_READY,
    [TELL_SKIP] = FACT_SKIPPED,
    [TELL_OUTPUT] = FACT_OUTPUT_READING,
  };
  const Telling* const t = &fact->telling;
  const FactBody* const b = &known->body;
  const FactKind kind = known->fact.kind;
  if (t->sort == TELL_CHANGE) { // A plug tells of its place, a desk of its step
    const bool is_step = kind == FACT_CHANGE_STEP;
    return (is_step || kind == FACT_PLUGGED || kind == FACT_MOVED) && agrees(t->before, b->from) &&
           agrees(t->step, b->step) && agrees(t->at, b->at) && agrees(t->lines, b->detail) &&
           agrees(t->place, kind == FACT_MOVED && b->way[0] ? b->way : b->place);
  }
  if (kind == FACT_MOVED && t->sort == TELL_SAW) {
    return agrees(t->reading, b->way);
  }
  if (kind == FACT_PASS_BEGUN && !agrees(t->what, b->how)) {
    return false;
  }
  return kind == kinds[t->sort] && agrees(t->check, b->check) && agrees(t->circuit, b->circuit) &&
         agrees(t->reading, b->reading) && agrees(t->item, kind == FACT_KIT ? b->kit : b->item) &&
         agrees(t->step, b->step) && agrees(t->text, b->text) && agrees(t->of, b->id);
}
