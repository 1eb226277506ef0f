// SPDX-License-Identifier: GPL-3.0-or-later
#include "show/store.h"
#include "support/check.h"

#include <string.h>
#include <unistd.h>

static void
a_fact_appended_twice_counts_once(void** state)
{
  (void)state;
  char dir[] = "/tmp/show-XXXXXX";
  assert_non_null(mkdtemp(dir));
  Arena arena;
  arena_init(&arena, NULL);
  const char* const path = arena_format(&arena, "%s/day.show", dir);
  Store* store = NULL;
  Error error = {0};
  if (store_create(&arena, path, &store, &error)) {
    fail_msg("%s", error.text);
  }
  const FactBody body = {.line = 41, .check = "lamps", .reading = "G.R", .at = "A6"};
  Fact fact;
  assert_int_equal(
    fact_make(&arena, FACT_READING, &body, "2031-06-14T15:22:07Z", "split", "stage", &fact, &error),
    STATUS_OK);
  size_t n_new = 9;
  assert_int_equal(store_append(store, &fact, 1, &n_new, &error), STATUS_OK);
  assert_int_equal(n_new, 1);
  assert_int_equal(store_append(store, &fact, 1, &n_new, &error), STATUS_OK);
  assert_int_equal(n_new, 0);
  assert_int_equal(store_close(store, &error), STATUS_OK);
  assert_int_equal(store_open(&arena, path, STORE_WRITE, &store, &error), STATUS_OK);
  Fact* facts = NULL;
  size_t n_facts = 0;
  assert_int_equal(store_facts(store, &arena, 0, &facts, &n_facts, &error), STATUS_OK);
  assert_int_equal(n_facts, 1);
  assert_string_equal(facts[0].body,
                      "{\"at\":\"A6\",\"check\":\"lamps\",\"line\":41,\"reading\":\"G.R\"}");
  assert_int_equal(
    store_void(store, facts[0].id, NULL, "2031-06-14T15:22:09Z", "", "", NULL, &error), STATUS_OK);
  assert_int_equal(store_export(store, STORE_JSON_LINES, stdout, &error), STATUS_OK);
  assert_int_equal(store_backup(store, arena_format(&arena, "%s/copy.show", dir), false, &error),
                   STATUS_OK);
  assert_int_equal(store_close(store, &error), STATUS_OK);
  assert_int_equal(unlink(path), 0);
  assert_int_equal(unlink(arena_format(&arena, "%s/copy.show", dir)), 0);
  assert_int_equal(rmdir(dir), 0);
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_fact_appended_twice_counts_once),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
