// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "show/event.h"
#include "support/check.h"

#include "facts.h"

#include <jansson.h>
#include <string.h>

#define GOOD_ID "0123456789abcdef0123456789ABCDEF"

static void
kinds_and_their_words(void** state)
{
  (void)state;
  for (int k = 0; k < FACT_KIND_COUNT; ++k) {
    FactKind kind = FACT_KIND_COUNT;
    assert_true(fact_kind_of(fact_kind_word((FactKind)k), &kind));
    assert_int_equal(kind, k);
  }
  FactKind kind = FACT_KIT;
  assert_false(fact_kind_of("Reading", &kind));
  assert_int_equal(kind, FACT_KIT);
  assert_string_equal(fact_kind_word((FactKind)99), "unknown");
}

static const struct {
  const char* name;
  FactKind kind;
  const char* json;
  Status want;
  const char* says; ///< Canonical form, or a piece of the error
} bodies[] = {
  {"reading", FACT_READING, " { \"reading\" : \"G.R\", \"line\":41, \"check\":\"lamps\" } ",
   STATUS_OK, "{\"check\":\"lamps\",\"line\":41,\"reading\":\"G.R\"}"},
  {"an output's ohms", FACT_OUTPUT_READING,
   "{\"reading\":\"1.62\",\"check\":\"ohms\",\"circuit\":\"1.2H\",\"at\":\"amp\"}", STATUS_OK,
   "{\"at\":\"amp\",\"check\":\"ohms\",\"circuit\":\"1.2H\",\"reading\":\"1.62\"}"},
  {"ohms of nothing", FACT_OUTPUT_READING, "{\"reading\":\"1.62\",\"check\":\"ohms\"}",
   STATUS_BAD_INPUT, "circuit"},
  {"escapes", FACT_NOTE, "{\"text\":\"\\u00e9\\n\\\"\"}", STATUS_OK,
   "{\"text\":\"\xC3\xA9\\n\\\"\"}"},
  {"nothing plugged", FACT_PLUGGED, "{\"place\":\"A6\",\"what\":\"\"}", STATUS_OK,
   "{\"place\":\"A6\",\"what\":\"\"}"},
  {"count nought", FACT_KIT, "{\"kit\":\"meter\",\"count\":0}", STATUS_OK,
   "{\"count\":0,\"kit\":\"meter\"}"},
  {"a message", FACT_MESSAGE, "{\"to\":\"stage\",\"text\":\"call me\",\"urgent\":1}", STATUS_OK,
   "{\"text\":\"call me\",\"to\":\"stage\",\"urgent\":1}"},
  {"a message to nobody", FACT_MESSAGE, "{\"to\":\"\",\"text\":\"a\"}", STATUS_BAD_INPUT, "empty"},
  {"urgent twice over", FACT_MESSAGE, "{\"to\":\"all\",\"text\":\"a\",\"urgent\":2}",
   STATUS_BAD_INPUT, "from 0 to 1"},
  {"seen of no id", FACT_MESSAGE_SEEN, "{\"id\":\"x y\"}", STATUS_BAD_INPUT, "not the id"},
  {"hands full", FACT_STEP_REFUSED, "{\"line\":1,\"step\":\"s\",\"why\":\"busy\"}", STATUS_OK,
   "{\"line\":1,\"step\":\"s\",\"why\":\"busy\"}"},
  {"bare lines", FACT_ACT_IN_FORCE, "{\"act\":\"\"}", STATUS_OK, "{\"act\":\"\"}"},
  {"a desk read back", FACT_DESK_READ,
   "{\"patch\":\"none\",\"line\":4,\"desk\":\"foh\",\"channel\":3}", STATUS_OK,
   "{\"channel\":3,\"desk\":\"foh\",\"line\":4,\"patch\":\"none\"}"},
  {"a desk read back without a line", FACT_DESK_READ, "{\"desk\":\"foh\"}", STATUS_BAD_INPUT,
   "line"},
  {"a channel nought", FACT_DESK_READ, "{\"desk\":\"foh\",\"line\":1,\"channel\":0}",
   STATUS_BAD_INPUT, "from 1"},
  {"holds nothing", FACT_HOLDS, "{\"desk\":\"foh\",\"version\":\"\"}", STATUS_BAD_INPUT, "empty"},
  {"a pass on bare lines", FACT_PASS_BEGUN, "{\"how\":\"lamp\",\"act\":\"\"}", STATUS_OK,
   "{\"act\":\"\",\"how\":\"lamp\"}"},
  {"a pass by nothing", FACT_PASS_BEGUN, "{\"how\":\"\"}", STATUS_BAD_INPUT, "empty"},
  {"nobody ready", FACT_READY, "{\"act\":\"act1\"}", STATUS_BAD_INPUT, "desk"},
  {"a line skipped", FACT_SKIPPED, "{\"line\":7,\"desk\":\"foh\"}", STATUS_OK,
   "{\"desk\":\"foh\",\"line\":7}"},
  {"no line skipped", FACT_SKIPPED, "{\"why\":\"later\"}", STATUS_BAD_INPUT, "line"},
  {"key twice", FACT_NOTE, "{\"text\":\"a\",\"text\":\"b\"}", STATUS_BAD_INPUT, "duplicate"},
  {"unknown key", FACT_NOTE, "{\"text\":\"a\",\"txet\":\"b\"}", STATUS_BAD_INPUT, "txet"},
  {"missing key", FACT_READING, "{\"line\":4,\"check\":\"lamps\"}", STATUS_BAD_INPUT,
   "\"reading\""},
  {"empty word", FACT_TAPED_OFF, "{\"item\":\"\"}", STATUS_BAD_INPUT, "empty"},
  {"line as text", FACT_NOTE, "{\"text\":\"a\",\"line\":\"4\"}", STATUS_BAD_INPUT, "whole number"},
  {"line nought", FACT_NOTE, "{\"text\":\"a\",\"line\":0}", STATUS_BAD_INPUT, "from 1"},
  {"line too high", FACT_NOTE, "{\"text\":\"a\",\"line\":100000}", STATUS_BAD_INPUT, "99999"},
  {"line beyond 64 bits", FACT_NOTE, "{\"text\":\"a\",\"line\":99999999999999999999}",
   STATUS_BAD_INPUT, "JSON"},
  {"line with a fraction", FACT_NOTE, "{\"text\":\"a\",\"line\":4.0}", STATUS_BAD_INPUT, "whole"},
  {"number as text", FACT_NOTE, "{\"text\":5}", STATUS_BAD_INPUT, "must be text"},
  {"null", FACT_NOTE, "{\"text\":null}", STATUS_BAD_INPUT, "must be text"},
  {"array", FACT_NOTE, "[]", STATUS_BAD_INPUT, "object"},
  {"nothing", FACT_NOTE, "", STATUS_BAD_INPUT, "JSON"},
  {"two objects", FACT_NOTE, "{\"text\":\"a\"}{}", STATUS_BAD_INPUT, "JSON"},
  {"bad UTF-8", FACT_NOTE, "{\"text\":\"\xC3\"}", STATUS_BAD_INPUT, "JSON"},
  {"zero in text", FACT_NOTE, "{\"text\":\"a\\u0000b\"}", STATUS_BAD_INPUT, "JSON"},
  {"other reason", FACT_STEP_REFUSED, "{\"line\":1,\"step\":\"s\",\"why\":\"no\"}",
   STATUS_BAD_INPUT, "cannot"},
  {"void of no id", FACT_VOIDED, "{\"id\":\"x y\"}", STATUS_BAD_INPUT, "not the id"},
};

static void
bodies_read_as_the_table_says(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(bodies) / sizeof(bodies[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    const Fact fact = {
      GOOD_ID, 0, FACTS_TIME, "", "", bodies[i].kind, bodies[i].json, strlen(bodies[i].json)};
    Fact canonical = {.id = "untouched"};
    FactBody body = {.line = -7};
    Error error = {0};
    const Status st = fact_check(&arena, &fact, &body, &canonical, &error);
    const char* const said = st == STATUS_OK ? canonical.body : error.text;
    if (st != bodies[i].want ||
        (st == STATUS_OK ? strcmp(said, bodies[i].says) != 0 : !strstr(said, bodies[i].says))) {
      fail_msg("%s: status %d, \"%s\"", bodies[i].name, (int)st, said);
    }
    if (st == STATUS_OK) {
      const char* json = NULL;
      size_t n = 0;
      assert_int_equal(fact_body_write(&arena, bodies[i].kind, &body, &json, &n, NULL), STATUS_OK);
      assert_string_equal(json, canonical.body);
      assert_int_equal(n, canonical.n_body);
    } else {
      assert_string_equal(canonical.id, "untouched");
      assert_int_equal(body.line, -7);
    }
    arena_deinit(&arena);
  }
}

static const struct {
  const char* time;
  Status want;
} times[] = {
  {"2031-06-14T15:22:07Z", STATUS_OK},
  {"2031-06-14T15:22:07.5Z", STATUS_OK},
  {"2031-06-14T15:22:60Z", STATUS_OK},
  {"2031-06-14T15:22:07.Z", STATUS_BAD_INPUT},
  {"2031-06-14T15:22:07", STATUS_BAD_INPUT},
  {"2031-06-14 15:22:07Z", STATUS_BAD_INPUT},
  {"2031-13-14T15:22:07Z", STATUS_BAD_INPUT},
  {"2031-06-14T24:22:07Z", STATUS_BAD_INPUT},
  {"2031-06-14T15:22:07+1Z", STATUS_BAD_INPUT},
  {"", STATUS_BAD_INPUT},
  {"Z", STATUS_BAD_INPUT},
  {"2031-06-14T15:22:07.123456789123Z", STATUS_BAD_INPUT},
};

static void
heads_are_checked(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Fact good = {GOOD_ID, 0, FACTS_TIME, "split", "stage", FACT_NOTE, "{\"text\":\"a\"}", 12};
  for (size_t i = 0; i < sizeof(times) / sizeof(times[0]); ++i) {
    Fact fact = good;
    fact.time = times[i].time;
    if (fact_check(&arena, &fact, NULL, NULL, NULL) != times[i].want) {
      fail_msg("time \"%s\"", times[i].time);
    }
  }
  char now[FACT_TIME_ROOM];
  fact_time_now(now);
  Fact fact = good;
  fact.time = now;
  assert_int_equal(fact_check(&arena, &fact, NULL, NULL, NULL), STATUS_OK);
  static const char* const ids[] = {"", "1234567", "1234 678", "12345678'", GOOD_ID GOOD_ID "0"};
  for (size_t i = 0; i < sizeof(ids) / sizeof(ids[0]); ++i) {
    fact = good;
    fact.id = ids[i];
    assert_int_equal(fact_check(&arena, &fact, NULL, NULL, NULL), STATUS_BAD_INPUT);
  }
  char longer[FACT_WORD_BYTES + 2];
  memset(longer, 'x', sizeof(longer) - 1);
  longer[sizeof(longer) - 1] = '\0';
  const char* const places[] = {longer, "\xFF", NULL};
  for (size_t i = 0; i < sizeof(places) / sizeof(places[0]); ++i) {
    fact = good;
    fact.place = places[i];
    assert_int_equal(fact_check(&arena, &fact, NULL, NULL, NULL), STATUS_BAD_INPUT);
  }
  fact = good;
  fact.kind = FACT_KIND_COUNT;
  assert_int_equal(fact_check(&arena, &fact, NULL, NULL, NULL), STATUS_BAD_ARG);
  arena_deinit(&arena);
}

static void
ids_are_new_every_time(void** state)
{
  (void)state;
  char a[FACT_ID_ROOM];
  char b[FACT_ID_ROOM];
  assert_int_equal(fact_id_new(a), STATUS_OK);
  assert_int_equal(fact_id_new(b), STATUS_OK);
  assert_int_equal(strlen(a), 32);
  assert_int_equal(strspn(a, "0123456789abcdef"), 32);
  assert_string_not_equal(a, b);
}

static void
sizes_are_limited(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const size_t n = FACT_BODY_BYTES;
  char* const text = arena_array(&arena, n + 1, 1);
  memset(text, 'x', n);
  const char* json = NULL;
  size_t n_json = 0;
  Error error;
  const FactBody note = {.text = text};
  assert_int_equal(fact_body_write(&arena, FACT_NOTE, &note, &json, &n_json, &error), STATUS_LIMIT);
  assert_null(json);
  const FactBody list = {.list = "l", .version = "", .text = text};
  assert_int_equal(fact_body_write(&arena, FACT_LIST_IMPORTED, &list, &json, &n_json, &error),
                   STATUS_OK);
  FactBody back;
  assert_int_equal(fact_body_read(&arena, FACT_LIST_IMPORTED, json, n_json, &back, &error),
                   STATUS_OK);
  assert_string_equal(back.text, text);
  assert_int_equal(fact_body_read(&arena, FACT_NOTE, json, n_json, &back, &error), STATUS_LIMIT);
  const FactBody wrong = {.text = "a", .desk = "foh"};
  assert_int_equal(fact_body_write(&arena, FACT_NOTE, &wrong, &json, &n_json, &error),
                   STATUS_BAD_ARG);
  const FactBody bad = {.text = "\xE9"};
  assert_int_equal(fact_body_write(&arena, FACT_NOTE, &bad, &json, &n_json, &error),
                   STATUS_BAD_INPUT);
  arena_deinit(&arena);
}

// jansson's memory goes through here, counted with ours.
static FailingHeap* json_heap;
static bool json_was_refused; ///< The request that failed was jansson's

static void*
json_get(size_t n_bytes)
{
  void* const block = failing_get(json_heap, n_bytes);
  json_was_refused = json_was_refused || !block;
  return block;
}

static void
json_put(void* block)
{
  if (block) {
    failing_put(json_heap, block);
  }
}

static void
event_survives_every_failed_allocation(void** state)
{
  (void)state;
  json_object_seed(1);
  json_malloc_t get = NULL;
  json_free_t put = NULL;
  json_get_alloc_funcs(&get, &put);
  int n_failed = 0;
  int n_called_bad = 0;
  for (int at = 1;; ++at) {
    FailingHeap heap = {0, at, 0};
    json_heap = &heap;
    json_was_refused = false;
    json_set_alloc_funcs(json_get, json_put);
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &from);
    const FactBody body = {.line = 41, .check = "lamps", .reading = "G.R", .at = "A6", .act = "a"};
    Fact fact = {.id = "untouched"};
    FactBody back = {.line = -7};
    Status st = fact_make(&arena, FACT_READING, &body, FACTS_TIME, "split", "stage", &fact, NULL);
    if (st == STATUS_OK) {
      FILE* const out = fopen("/dev/null", "w");
      st = fact_body_read(&arena, fact.kind, fact.body, fact.n_body, &back, NULL);
      st = st == STATUS_OK ? fact_json_line(out, &fact) : st;
      (void)fclose(out);
    }
    arena_deinit(&arena);
    json_set_alloc_funcs(get, put);
    if (heap.n_live != 0) {
      fail_msg("request %d: %d blocks not given back", at, heap.n_live);
    }
    if (st == STATUS_OK) {
      break;
    }
    n_called_bad += st == STATUS_BAD_INPUT && json_was_refused; // See body_load
    if (st != STATUS_NO_MEMORY && !(st == STATUS_BAD_INPUT && json_was_refused)) {
      fail_msg("request %d: status %d", at, (int)st);
    }
    ++n_failed;
  }
  printf("%d requests failed in turn, %d of them called bad input\n", n_failed, n_called_bad);
  assert_true(n_called_bad * 4 < n_failed);
  assert_true(n_failed > 40);
}

static void
lines_of_csv_and_json(void** state)
{
  (void)state;
  const Fact fact = {
    GOOD_ID, 3, FACTS_TIME, "box A, riser", "stage", FACT_NOTE, "{\"text\":\"a\\\"b\"}", 15};
  char got[600] = "";
  FILE* const out = fmemopen(got, sizeof(got), "w");
  assert_int_equal(fact_csv_head(out), STATUS_OK);
  assert_int_equal(fact_csv_line(out, &fact), STATUS_OK);
  assert_int_equal(fact_json_line(out, &fact), STATUS_OK);
  (void)fclose(out);
  assert_string_equal(got, "seq,id,time,place,role,kind,body\r\n"
                           "3," GOOD_ID "," FACTS_TIME
                           ",\"box A, riser\",stage,note,\"{\"\"text\"\":\"\"a\\\"\"b\"\"}\"\r\n"
                           "{\"seq\":3,\"id\":\"" GOOD_ID "\",\"time\":\"" FACTS_TIME
                           "\",\"place\":\"box A, riser\",\"role\":\"stage\",\"kind\":\"note\","
                           "\"body\":{\"text\":\"a\\\"b\"}}\n");
  FILE* const full = fopen("/dev/full", "w");
  (void)setvbuf(full, NULL, _IONBF, 0);
  assert_int_equal(fact_csv_line(full, &fact), STATUS_FULL);
  (void)fclose(full);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(kinds_and_their_words),
    cmocka_unit_test(bodies_read_as_the_table_says),
    cmocka_unit_test(heads_are_checked),
    cmocka_unit_test(ids_are_new_every_time),
    cmocka_unit_test(sizes_are_limited),
    cmocka_unit_test(event_survives_every_failed_allocation),
    cmocka_unit_test(lines_of_csv_and_json),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
