// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Sheets of an act on a day that did not go as listed: a tail is taped off and a way round was
  taken. What they say is what the change says, and all sheets of an act say one thing.
*/

#include "sheet/paper.h"

#include "base/text.h"
#include "sheet/today.h"

#include <string.h>

static PaperSeen seen;

static void
print_act(Arena* arena, const char* word, const Order* order, int act)
{
  const PrintHow how = {
    .sort = CANVAS_COUNT, .see = paper_see, .see_user = &seen, .fonts = paper_fonts()};
  Print print = {0};
  seen.n = 0;
  assert_int_equal(print_sheet(arena, print_find(word), order, &act, 1, &how, &print, NULL),
                   STATUS_OK);
}

// Whether some row of the sheet begins with a socket and has a text in it.
static bool
row_has(const char* socket, const char* text)
{
  for (int i = 0; i < seen.n; ++i) {
    const CanvasMark* const one = &seen.marks[i];
    for (int k = 0; !strcmp(one->text, socket) && k < seen.n; ++k) {
      const CanvasMark* const two = &seen.marks[k];
      const double middle = one->room.y_mm + one->room.h_mm / 2.0;
      if (two->page == one->page && two->room.y_mm < middle &&
          two->room.y_mm + two->room.h_mm > middle && !strcmp(two->text, text)) {
        return true;
      }
    }
  }
  return false;
}

static bool
says(const char* words)
{
  for (int i = 0; i < seen.n; ++i) {
    if (strstr(seen.marks[i].text, words)) {
      return true;
    }
  }
  return false;
}

static void
check_row(const char* socket, const char* text, bool want)
{
  if (row_has(socket, text) != want) {
    fail_msg("%s: \"%s\" is %s", socket, text, want ? "missing" : "there");
  }
}

// The demo's act 2 with vocal lead (D5) gone round to D8, and tail C taped off.
static void
tell_day(Planted* p, const Plant* plant)
{
  planted_init(p, plant, "act2", 45);
  const FactBody way = {.line = 45, .way = "D8", .act = "act2"};
  const FactBody tape = {.item = "tail C", .why = "crackles"};
  planted_tell(p, FACT_MOVED, &way, "2031-06-14T15:50:00Z", "foh", "");
  planted_tell(p, FACT_TAPED_OFF, &tape, "2031-06-14T15:51:00Z", "stage", "");
}

static void
test_way_taken(void** state)
{
  Arena arena;
  Planted p;
  (void)state;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  planted_init(&p, plant, "act2", 45);
  const FactBody way = {.line = 45, .way = "D8", .act = "act2"};
  planted_tell(&p, FACT_MOVED, &way, "2031-06-14T15:50:00Z", "foh", "");
  Order order = paper_order(plant);
  order.fold = planted_fold(&p);
  order.desk = 0;
  const int act2 = plant_act(plant, "act2");
  print_act(&arena, "patch", &order, act2);
  check_row("D8", "vocal lead", true);
  check_row("D8", "NEVER", true);
  check_row("D5", "vocal lead", false);
  check_row("D5", "not to be used: way round", true);
  check_row("D5", "Out: leader speech.", true); // What act 1 had there
  assert_true(says("On a way round: vocal lead, line 45, runs on D8"));
  // All sheets of the act say one thing
  print_act(&arena, "inputs", &order, act2);
  check_row("D8", "vocal lead", true);
  check_row("D5", "vocal lead", false);
  print_act(&arena, "spares", &order, act2);
  assert_false(says("D8 (line 48)"));
  assert_false(says("D5 (line 45)"));
  print_act(&arena, "matrix", &order, act2);
  check_row("D8 spare", "NO 48 V: vocal lead", true);
  // The next act finds it there: by its list D5 is for the caller, and D8 is a spare again
  print_act(&arena, "patch", &order, plant_act(plant, "act3"));
  check_row("D8", "STRIKE", true);
  check_row("D8", "Out: vocal lead.", true);
  check_row("D5", "caller", true);
  check_row("D5", "NEW", true);
  assert_true(says("Not given back: vocal lead, line 45, runs on D8"));
  // Without it the caller finds the plug in D5: the same kind at the same place
  order.fold = NULL;
  print_act(&arena, "patch", &order, plant_act(plant, "act3"));
  check_row("D5", "KEEP", true);
  check_row("D5", "Stays: vocal lead.", true);
  planted_deinit(&p);
  arena_deinit(&arena);
}

static void
test_taped_tail(void** state)
{
  Arena arena;
  Planted p;
  (void)state;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  const int act3 = plant_act(plant, "act3");
  tell_day(&p, plant);
  Order order = paper_order(plant);
  order.fold = planted_fold(&p);
  order.desk = 0;
  print_act(&arena, "patch", &order, act3);
  // Act 3 has four sources on box C (inputs-act3.csv): none of them is sent there
  static const char* const listed[] = {"squeezebox L", "squeezebox R", "whistle", "pipes"};
  for (int i = 0; i < 4; ++i) {
    char socket[8];
    (void)snprintf(socket, sizeof(socket), "C%d", i + 1);
    check_row(socket, listed[i], false);
    check_row(socket, "taped off: tail C", true);
  }
  assert_true(says("Tail C is taped off, so squeezebox L goes on"));
  assert_true(says("WXK 3, 4 changed"));
  print_act(&arena, "spares", &order, act3);
  assert_false(says("C11 (line 39)"));
  print_act(&arena, "inputs", &order, act3);
  assert_false(row_has("C1", "squeezebox L"));
  assert_true(says("squeezebox L"));
  planted_deinit(&p);
  arena_deinit(&arena);
}

// Paper, terminal and phone: one plan. Of every two acts that follow each other, as listed and on
// that day; act 2 itself has a way of its own then, which is its list for paper.
static void
test_as_the_change(void** state)
{
  static const ChangeOptions usual = {.now = "2031-06-14T16:40:00Z"};
  Arena arena;
  Planted p;
  (void)state;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  tell_day(&p, plant);
  for (int told = 0; told < 2; ++told) {
    const Fold* const fold = told ? planted_fold(&p) : NULL;
    const int first = told ? plant_act(plant, "act3") : 1;
    const int last = told || check_count(0, 1) ? plant->n_acts - 1 : 1;
    for (int act = first; act <= last - (told && !check_count(0, 1)); ++act) {
      Today today;
      Change change;
      assert_int_equal(today_make(&arena, plant, fold, act, &today), STATUS_OK);
      assert_int_equal(change_plan(&arena, plant, fold, act - 1, act, &usual, &change), STATUS_OK);
      if (today.n_moves != change.n_moves) {
        fail_msg("act %d: %d moves on paper, %d on the screen", act, today.n_moves, change.n_moves);
      }
      for (int i = 0; i < change.n_moves; ++i) {
        const ChangeMove* const a = &today.moves[i];
        const ChangeMove* const b = &change.moves[i];
        assert_int_equal(a->does, b->does);
        assert_int_equal(a->line, b->line);
        assert_int_equal(a->from, b->from);
        assert_string_equal(a->say, b->say);
        assert_int_equal(a->is_done, b->is_done);
      }
    }
  }
  planted_deinit(&p);
  arena_deinit(&arena);
}

static void
test_rows(void** state)
{
  // What the hand does beside plugging in what the sheet names, by hand from the moves
  static const ChangeMove moves[] = {
    {.does = CHANGE_KEEP, .line = 0, .from = 0, .source = "snare", .was = "snare"},
    {.does = CHANGE_KEEP, .line = 1, .from = 1, .source = "shaker", .was = "overhead L"},
    {.does = CHANGE_STRIKE, .line = 2, .from = -1, .source = "tuba", .was = "tuba"},
    {.does = CHANGE_PLUG, .line = 2, .from = -1, .source = "pipes", .was = "tuba"},
    {.does = CHANGE_MOVE, .line = 3, .from = 4, .source = "acoustic DI", .was = ""},
    {.does = CHANGE_PLUG, .line = 5, .from = -1, .source = "fiddle", .was = ""},
  };
  static const char* const want[] = {"Stays.",
                                     "Stays: overhead L.",
                                     "Out: tuba.",
                                     "From A5.",
                                     "Out: acoustic DI, take it along to A4.",
                                     "",
                                     ""};
  Arena arena;
  (void)state;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  for (int line = 0; line < 7; ++line) {
    assert_string_equal(change_row(&arena, plant, moves, 6, line), want[line]);
  }
  arena_deinit(&arena);
}

static void
test_no_memory(void** state)
{
  Arena kept;
  FailingHeap heap = {0};
  Planted p;
  const Allocator from = failing_allocator(&heap);
  (void)state;
  arena_init(&kept, NULL);
  const Plant* const plant = planted_demo(&kept);
  tell_day(&p, plant);
  const Fold* const fold = planted_fold(&p);
  const int act3 = plant_act(plant, "act3");
  Arena arena;
  Today today;
  arena_init(&arena, &from);
  assert_int_equal(today_make(&arena, plant, fold, act3, &today), STATUS_OK);
  arena_deinit(&arena);
  const int n = heap.n_requests;
  for (int i = 1; i <= n; i += failing_step(n, 30)) {
    Today after = {.n_says = -7};
    heap = (FailingHeap){.fail_at = i};
    arena_init(&arena, &from);
    const Status st = today_make(&arena, plant, fold, act3, &after);
    arena_deinit(&arena);
    if (st != STATUS_NO_MEMORY || after.n_says != -7 || heap.n_live != 0) {
      fail_msg("request %d of %d: %s, %d blocks live", i, n, status_text(st), heap.n_live);
    }
  }
  planted_deinit(&p);
  arena_deinit(&kept);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_way_taken),
                                     cmocka_unit_test(test_taped_tail),
                                     cmocka_unit_test(test_as_the_change),
                                     cmocka_unit_test(test_rows), cmocka_unit_test(test_no_memory)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
