// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/notation.h"

#include "support/check.h"

#include <string.h>

/*
  Rows of what people write down, what it says contact by contact, and at which column a wrong word
  is named.
*/

static Connector
cable(Arena* arena, const char* name)
{
  Connector c;
  Error error = {0};
  if (connector_find(arena, name, &c, &error) != STATUS_OK) {
    fail_msg("%s: %s", name, error.text);
  }
  return c;
}

// Marks between near contact `near` and the far contacts, as j (joined), a (apart), . (not
// measured).
static void
marks(const Connector* c, const WiringSeen* seen, int near, char text[WIRING_CONTACTS + 1])
{
  const int n = wiring_contacts(&c->plan, WIRING_FAR);
  for (int far = 1; far <= n; ++far) {
    const int mark = seen->mark[wiring_node(WIRING_NEAR, near)][wiring_node(WIRING_FAR, far)];
    text[far - 1] = mark == WIRING_JOINED ? 'j' : mark == WIRING_APART ? 'a' : '.';
  }
  text[n] = '\0';
}

static const struct {
  const char* cable;
  const char* text;
  const char* near[5]; ///< Marks of near contacts 1, 2, ... to the far ones (the shell last)
} wired_rows[] = {
  {"3-pin", "1-1 2-3 3-2", {"jaa.", "aaj.", "aja.", "...."}},
  {"3-pin", "1=1;2:2,3  3>2", {"jaa.", "ajj.", "aja.", "...."}},
  {"3-pin", "1->1 2 open 3 nothing", {"jaa.", "aaa.", "aaa.", "...."}},
  {"3-pin", "2-open 3=0", {"....", "aaa.", "aaa.", "...."}},
  {"3-pin", "2-2? 1-1", {"jaa.", ".j..", "...."}},
  {"3-pin", "rest right", {"jaa.", "aja.", "aaj.", "...."}},
  {"3-pin", "2-3 REST GOOD", {"jaa.", "aaj.", "aaj.", "...."}},
  {"3-pin", "shell-1 1..3 right", {"jaaa", "ajaa", "aaja", "jaaa"}},
  {"3-pin", "1-1 2-2 3-3 shell open", {"jaaa", "ajaa", "aaja", "aaaa"}},
  {"jack stereo", "t-t r-s sleeve-ring", {"jaa", "aaj", "aja"}},
  {"jack to 3-pin", "tip-2 s-1,3", {"aja", "jaj"}},
  {"jack to 3-pin", "rest right", {"aja", "jaj"}},
  {"3-pin to jack", "rest right", {"aj", "ja", "aj"}},
  {"4-pole", "1+=1+ 1--1- 2+-2- 2-:2+", {"jaaa", "ajaa", "aaaj", "aaja"}},
  {"4-pole one pair", "rest right", {"jaaa", "ajaa", "aaaa", "aaaa"}},
  {"multipin 5", "1-1 2..4 right 5-5", {"jaaaa.", "ajaaa.", "aajaa.", "aaaja.", "aaaaj."}},
};

static void
test_wired(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(wired_rows) / sizeof(wired_rows[0]); ++i) {
    Arena arena;
    WiringSeen seen;
    Error error = {0};
    arena_init(&arena, NULL);
    memset(&seen, 0, sizeof(seen));
    const Connector c = cable(&arena, wired_rows[i].cable);
    if (notation_wired(&c, "--wired", wired_rows[i].text, &seen, &error) != STATUS_OK) {
      fail_msg("%s \"%s\": %s", wired_rows[i].cable, wired_rows[i].text, error.text);
    }
    for (int near = 1; near <= 5 && wired_rows[i].near[near - 1]; ++near) {
      char got[WIRING_CONTACTS + 1];
      marks(&c, &seen, near, got);
      if (strcmp(got, wired_rows[i].near[near - 1]) != 0) {
        fail_msg("%s \"%s\": near %d %s, want %s", wired_rows[i].cable, wired_rows[i].text, near,
                 got, wired_rows[i].near[near - 1]);
      }
    }
    arena_deinit(&arena);
  }
}

static const struct {
  const char* what; ///< wired, near, ohms, plan
  const char* cable;
  const char* text;
  int column;
} bad_rows[] = {
  {"wired", "3-pin", "", 1},
  {"wired", "3-pin", "   ", 4},
  {"wired", "3-pin", "1-1 4-2", 5},
  {"wired", "3-pin", "1-1 2-4", 7},
  {"wired", "3-pin", "1-1 1-2", 5},
  {"wired", "3-pin", "1-1 2", 5},
  {"wired", "3-pin", "1-1 2-2;3-3x", 11},
  {"wired", "3-pin", "12-1", 1},
  {"wired", "3-pin", "1-1 rest wrong", 5},
  {"wired", "3-pin", "1-1 rest right rest right", 16},
  {"wired", "3-pin", "3..1 right", 2},
  {"wired", "3-pin", "1..3", 2},
  {"wired", "3-pin", "1-2,", 5},
  {"wired", "jack stereo", "q-t", 1},
  {"wired", "jack stereo", "tips-t", 1},
  {"wired", "4-pole", "1-1+", 1}, // Contact 1-, and then no stroke
  {"near", "3-pin", "1-1", 1},
  {"near", "3-pin", "none 1-2", 6},
  {"near", "3-pin", "1", 1},
  {"near", "3-pin", "1-2 3", 5},
  {"near", "3-pin", "1-9", 3},
  {"ohms", "3-pin", "1=0.4 2=", 9},
  {"ohms", "3-pin", "1=0.4 2=-3", 9},
  {"ohms", "3-pin", "1=0.4 1=3", 7},
  {"ohms", "3-pin", "1=0.4.5", 3},
  {"ohms", "3-pin", "k=0.4", 1},
  {"plan", "3-pin", "1-1? 2-2", 1},
  {"plan", "3-pin", "1 open", 1},
};

static void
test_errors_name_the_column(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(bad_rows) / sizeof(bad_rows[0]); ++i) {
    Arena arena;
    WiringSeen seen;
    Error error = {0};
    double ohm[WIRING_CONTACTS] = {-1};
    arena_init(&arena, NULL);
    memset(&seen, 0, sizeof(seen));
    const Connector c = cable(&arena, bad_rows[i].cable);
    WiringPlan plan = c.plan;
    const char* const text = bad_rows[i].text;
    const Status st =
      bad_rows[i].what[0] == 'w'   ? notation_wired(&c, "it", text, &seen, &error)
      : bad_rows[i].what[0] == 'n' ? notation_within(&c, WIRING_NEAR, "it", text, &seen, &error)
      : bad_rows[i].what[0] == 'o' ? notation_ohms(&c, "it", text, ohm, &error)
                                   : notation_plan(&arena, &c, "it", text, &plan, &error);
    if (st != STATUS_BAD_INPUT || error.column != bad_rows[i].column || error.line != 1) {
      fail_msg("%s \"%s\": status %d column %d, want column %d: %s", bad_rows[i].what, text, st,
               error.column, bad_rows[i].column, error.text);
    }
    CHECK_NEAR("ohms untouched", ohm[0], -1, 0);
    arena_deinit(&arena);
  }
}

static void
test_within(void** state)
{
  (void)state;
  // Near contacts 1, 2, 3, shell: marks of 1-2, 1-3, 2-3, 1-shell
  static const struct {
    const char *text, *marks;
  } rows[] = {{"none", "aaa."}, {"1-2", "jaa."},     {"1-2-3", "jjj."}, {"1=2;3=2", "jjj."},
              {"1-2?", "j..."}, {"shell-1", "aaaj"}, {"1,3", "aja."}};
  Arena arena;
  arena_init(&arena, NULL);
  const Connector c = cable(&arena, "3-pin");
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    static const int pairs[4][2] = {{1, 2}, {1, 3}, {2, 3}, {1, 4}};
    WiringSeen seen;
    Error error = {0};
    char got[5] = "";
    memset(&seen, 0, sizeof(seen));
    if (notation_within(&c, WIRING_FAR, "--far", rows[i].text, &seen, &error) != STATUS_OK) {
      fail_msg("%s: %s", rows[i].text, error.text);
    }
    for (int p = 0; p < 4; ++p) {
      const int mark =
        seen.mark[wiring_node(WIRING_FAR, pairs[p][0])][wiring_node(WIRING_FAR, pairs[p][1])];
      got[p] = mark == WIRING_JOINED ? 'j' : mark == WIRING_APART ? 'a' : '.';
    }
    if (strcmp(got, rows[i].marks) != 0) {
      fail_msg("%s: %s, want %s", rows[i].text, got, rows[i].marks);
    }
  }
  arena_deinit(&arena);
}

static void
test_ohms(void** state)
{
  (void)state;
  Arena arena;
  double ohm[WIRING_CONTACTS];
  Error error = {0};
  arena_init(&arena, NULL);
  const Connector c = cable(&arena, "3-pin");
  assert_int_equal(notation_ohms(&c, "--ohms", "1=0.4 2 2,2k 3:open", ohm, &error), STATUS_OK);
  CHECK_NEAR("point", ohm[0], 0.4, 1e-12);
  CHECK_NEAR("comma and k", ohm[1], 2200, 1e-9);
  assert_true(isinf(ohm[2]) && isnan(ohm[3]));
  arena_deinit(&arena);
}

static void
test_a_plan_of_ones_own(void** state)
{
  (void)state;
  Arena arena;
  WiringPlan plan;
  Error error = {0};
  arena_init(&arena, NULL);
  const Connector c = cable(&arena, "4-pole");
  assert_int_equal(notation_plan(&arena, &c, "--plan", "1+=1+,2+ 1-=1-", &plan, &error), STATUS_OK);
  assert_int_equal(plan.n_wires, 3);
  assert_int_equal(plan.wires[1].near, 1);
  assert_int_equal(plan.wires[1].far, 3);
  assert_int_equal(wiring_check(&plan), STATUS_OK);
  arena_deinit(&arena);
}

// Every built-in cable is a good plan, and sound when it is wired as it should be.
static void
test_every_connector(void** state)
{
  (void)state;
  Arena arena;
  const Connector* list = NULL;
  int n = 0;
  arena_init(&arena, NULL);
  assert_int_equal(connector_list(&arena, &list, &n), STATUS_OK);
  assert_true(n >= 15);
  for (int i = 0; i < n; ++i) {
    WiringSeen seen;
    WiringVerdict v;
    Connector again;
    Error error = {0};
    assert_int_equal(wiring_check(&list[i].plan), STATUS_OK);
    assert_int_equal(connector_find(&arena, list[i].name, &again, &error), STATUS_OK);
    assert_string_equal(again.name, list[i].name);
    memset(&seen, 0, sizeof(seen));
    assert_int_equal(notation_wired(&list[i], "--wired", "rest right", &seen, &error), STATUS_OK);
    assert_int_equal(
      notation_within(&list[i], WIRING_NEAR, "--near",
                      list[i].plan.n_joins && list[i].plan.joins[0].end == WIRING_NEAR ? "1-3"
                                                                                       : "none",
                      &seen, &error),
      STATUS_OK);
    assert_int_equal(notation_within(&list[i], WIRING_FAR, "--far",
                                     list[i].plan.n_joins && list[i].plan.joins[0].end == WIRING_FAR
                                       ? "1-3"
                                       : "none",
                                     &seen, &error),
                     STATUS_OK);
    assert_int_equal(wiring_judge(&arena, &list[i].plan, &seen, &v), STATUS_OK);
    if (v.clashes || v.n_groups || v.n_wires_unknown || v.n_pairs_unknown) {
      fail_msg("%s: clashes %d, groups %d, unknown %d and %d", list[i].name, v.clashes, v.n_groups,
               v.n_wires_unknown, v.n_pairs_unknown);
    }
  }
  Connector none;
  Error error = {0};
  assert_int_equal(connector_find(&arena, "multipin 38", &none, &error), STATUS_BAD_INPUT);
  assert_int_equal(connector_find(&arena, "string", &none, &error), STATUS_BAD_INPUT);
  assert_non_null(strstr(error.text, "8-pole"));
  arena_deinit(&arena);
}

static void
test_bad_connector_lists(void** state)
{
  (void)state;
#define HEAD "connector,also,near,far,shell,wires,joins,pairs,figures\n"
  static const struct {
    const char* text;
    int line, column;
  } rows[] = {{"cable,near\nx,1\n", 1, 1},
              {HEAD "x,,1 2,1 2,maybe,straight,,,\n", 2, 12},
              {HEAD "x,,1 2,1 2 3,no,straight,,,\n", 2, 17},
              {HEAD "x,,1 1,1 2,no,straight,,,\n", 2, 4},
              {HEAD "x,,1..40,1..40,no,straight,,,\n", 2, 4},
              {HEAD "x,,1 2,1 2,no,1=3,,,\n", 2, 15},
              {HEAD "x,,1 2,1 2,no,,,,\n", 2, 15},
              {HEAD "x,,1 2,1 2,no,straight,1=2,,\n", 2, 24},
              {HEAD "x,,1 2,1 2,no,straight,far 1=1,,\n", 2, 24},
              {HEAD "x,,1 2,1 2,no,straight,,1-2,\n", 2, 25},
              {HEAD ",,1 2,1 2,no,straight,,,\n", 2, 1}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Arena arena;
    const Connector* list = NULL;
    int n = -1;
    Error error = {0};
    arena_init(&arena, NULL);
    const Status st =
      connector_read(&arena, "own.csv", rows[i].text, strlen(rows[i].text), 0, &list, &n, &error);
    if (st != STATUS_BAD_INPUT || error.line != rows[i].line || error.column != rows[i].column ||
        n != -1) {
      fail_msg("row %zu: status %d at %d:%d, want %d:%d: %s", i, st, error.line, error.column,
               rows[i].line, rows[i].column, error.text);
    }
    arena_deinit(&arena);
  }
}

static void
test_every_allocation_fails_once(void** state)
{
  (void)state;
  for (int fail_at = 0, n = 1; fail_at <= n; ++fail_at) {
    FailingHeap heap = {.fail_at = fail_at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    Connector c = {.n_pairs = -1};
    arena_init(&arena, &from);
    const Status st = connector_find(&arena, "multipin 12", &c, NULL);
    assert_int_equal(st, fail_at ? STATUS_NO_MEMORY : STATUS_OK);
    assert_true(fail_at ? c.n_pairs == -1 : c.plan.n[0] == 12);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    n = fail_at ? n : heap.n_requests;
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_wired),
    cmocka_unit_test(test_errors_name_the_column),
    cmocka_unit_test(test_within),
    cmocka_unit_test(test_ohms),
    cmocka_unit_test(test_a_plan_of_ones_own),
    cmocka_unit_test(test_every_connector),
    cmocka_unit_test(test_bad_connector_lists),
    cmocka_unit_test(test_every_allocation_fails_once),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
