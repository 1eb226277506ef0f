// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/lists.h"
#include "support/check.h"
#include "support/folder.h"

#include <string.h>

#ifndef DEMO_DIR
#define DEMO_DIR "demo"
#endif

typedef struct {
  Arena arena;
  Plant plant;
} Demo;

static int
open_demo(void** state)
{
  static Demo demo;
  ListText lists[FOLDER_MAX_LISTS];
  arena_init(&demo.arena, NULL);
  const int n = folder_read(&demo.arena, DEMO_DIR, lists);
  *state = &demo;
  return lists_build(&demo.arena, lists, n, 0, &demo.plant, NULL) != STATUS_OK;
}

static int
close_demo(void** state)
{
  arena_deinit(&((Demo*)*state)->arena);
  return 0;
}

static void
sockets_are_found_as_people_type_them(void** state)
{
  const Plant* const plant = &((Demo*)*state)->plant;
  static const struct {
    const char* text;
    int number; ///< Of the line; 0 = there is none
  } cases[] = {
    {"A6", 6},       {"a6", 6},
    {"box A 6", 6},  {"box a6", 6},
    {"a-6", 6},      {"A/6", 6},
    {" A 6 ", 6},    {"D8", 48},
    {"Box D-8", 48}, {"box D socket 8", 48},
    {"A16", 16},     {"A17", 0},
    {"B13", 0},      {"E1", 0},
    {"A", 0},        {"A0", 0},
    {"A-0", 0},      {"6", 0},
    {"", 0},         {"box", 0},
    {"A6x", 0},      {"A 6 7", 0},
    {"AA6", 0},      {"A99999999999", 0},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    const int line = plant_socket(plant, cases[i].text);
    const int got = line < 0 ? 0 : plant->lines[line].number;
    if (got != cases[i].number) {
      fail_msg("\"%s\": got line %d, want %d", cases[i].text, got, cases[i].number);
    }
  }
}

static void
a_box_named_by_a_number_is_set_apart_from_its_socket(void** state)
{
  (void)state;
  static const char text[] = "box,sockets\n1,12\n11,12\n";
  const ListText list = {"boxes.csv", text, sizeof(text) - 1};
  Arena arena;
  arena_init(&arena, NULL);
  Plant plant;
  assert_int_equal(lists_build(&arena, &list, 1, 0, &plant, NULL), STATUS_OK);
  assert_int_equal(plant_socket(&plant, "112"), -1); // 1-12 or 11-2: not for us to say
  assert_int_equal(plant_socket(&plant, "1-12"), 11);
  assert_int_equal(plant_socket(&plant, "box 11 2"), 13);
  arena_deinit(&arena);
}

static void
words_find_lines_acts_desks_and_places(void** state)
{
  const Plant* const plant = &((Demo*)*state)->plant;
  for (int number = 1; number <= 48; ++number) {
    assert_int_equal(plant_line(plant, number), number - 1);
  }
  assert_int_equal(plant_line(plant, 0), -1);
  assert_int_equal(plant_line(plant, 49), -1);
  static const struct {
    const char* word;
    int act, desk, place;
  } cases[] = {
    {"act2", 1, -1, -1},  {"Act 2", 1, -1, -1}, {"2", 1, -1, -1},
    {"ACT-4", 3, -1, -1}, {"act5", -1, -1, -1}, {"act", -1, -1, -1},
    {"", -1, -1, -1},     {"foh", -1, 0, -1},   {"FOH", -1, 0, -1},
    {"house", -1, 0, -1}, {"h", -1, 0, -1},     {"monitor desk", -1, 1, -1},
    {"mon", -1, 1, -1},   {"broad", -1, 2, -1}, {"broadcast", -1, 2, -1},
    {"tower", -1, -1, 0}, {"Box A", -1, -1, 3}, {"kitchen", -1, -1, -1},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    const char* const word = cases[i].word;
    const int act = plant_act(plant, word);
    const int desk = plant_desk(plant, word);
    const int place = plant_place(plant, word);
    if (act != cases[i].act || desk != cases[i].desk || place != cases[i].place) {
      fail_msg("\"%s\": got act %d, desk %d, place %d", word, act, desk, place);
    }
  }
}

static void
tables_answer_and_fall_back(void** state)
{
  const Plant* const plant = &((Demo*)*state)->plant;
  CHECK_NEAR("time", plant_time_s(plant, "swap a cable", 1.0), 30.0, 0.0);
  CHECK_NEAR("time, none", plant_time_s(plant, "paint a wall", 7.5), 7.5, 0.0);
  CHECK_NEAR("misread", plant_misread_prob(plant, "lamps"), 0.03, 0.0);
  CHECK_NEAR("misread, none", plant_misread_prob(plant, "smell"), 0.05, 0.0);
  CHECK_NEAR("odds", plant_odds(plant, "cable", "open"), 0.21, 0.0);
  CHECK_NEAR("odds, none", plant_odds(plant, "cable", "jealous"), 0.0, 0.0);
  double sum = 0.0;
  int n_special = 0; // Rows of what only some lines have come on top, and say so
  for (int i = 0; i < plant->n_odds; ++i) {
    if (!strcmp(plant->odds[i].where, "look again") ||
        !strcmp(plant->odds[i].where, "loose contact")) {
      continue; // How looks hang together: no share of what is wrong
    }
    const bool special = strstr(plant->odds[i].source, " only") != NULL;
    sum += special ? 0.0 : plant->odds[i].share;
    n_special += special;
  }
  CHECK_NEAR("all odds that any line has", sum, 1.0, 1e-12);
  assert_true(n_special > 0 && n_special < plant->n_odds);
  assert_int_equal(plant_kit(plant, "spare microphone cable"), 10);
  assert_int_equal(plant_kit(plant, "Lamp"), 1);
  assert_int_equal(plant_kit(plant, "oscilloscope"), 0);
  for (int i = 0; i < plant->n_times; ++i) {
    const bool never = strcmp(plant->times[i].step, "ask over the intercom and be answered") == 0;
    assert_int_equal(isinf(plant->times[i].slow_s), never);
    assert_true(plant->times[i].quick_s <= plant->times[i].usual_s);
  }
}

static void
walking_is_as_listed(void** state)
{
  const Plant* const plant = &((Demo*)*state)->plant;
  const int tower = plant_place(plant, "tower");
  const int split = plant_place(plant, "split");
  const int box_d = plant_place(plant, "box D");
  CHECK_NEAR("out", plant_walk_s(plant, tower, split), 90.0, 0.0);
  CHECK_NEAR("back", plant_walk_s(plant, split, tower), 85.0, 0.0);
  CHECK_NEAR("uneven", plant_walk_s(plant, split, box_d), 12.0, 0.0);
  CHECK_NEAR("the other way", plant_walk_s(plant, box_d, split), 15.0, 0.0);
  CHECK_NEAR("staying", plant_walk_s(plant, split, split), 0.0, 0.0);
  CHECK_NEAR("nowhere", plant_walk_s(plant, -1, split), 0.0, 0.0);
  for (int i = 0; i < plant->n_places; ++i) {
    for (int k = 0; k < plant->n_places; ++k) {
      assert_int_equal(plant_walk_s(plant, i, k) > 0.0, i != k);
    }
  }
}

static void
a_line_is_free_when_this_act_and_the_next_leave_it(void** state)
{
  const Plant* const plant = &((Demo*)*state)->plant;
  static const struct {
    int act;
    const char* socket;
    bool want;
  } cases[] = {
    {0, "A15", true},                    // A spare, in every act
    {3, "A15", true},                    // Nothing comes after the last act
    {0, "A3", false},                    // Snare in act 1
    {0, "A1", false},                    // Free in act 1, kick in act 2
    {2, "A1", false},                    // Free in act 3, kick in act 4
    {-1, "A3", false},                   // Bare lines come before act 1
    {-1, "A1", true},  {1, "D6", false}, // Free in act 2, dance board in act 3
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    const bool got = plant_is_free(plant, cases[i].act, plant_socket(plant, cases[i].socket));
    if (got != cases[i].want) {
      fail_msg("%s in act index %d: got %d", cases[i].socket, cases[i].act, got);
    }
  }
  assert_false(plant_is_free(plant, 0, -1));
  assert_null(plant_input(plant, -1, 0));
  assert_null(plant_desk_row(plant, 0, 0, -1));
}

static void
desks_have_what_they_were_found_with(void** state)
{
  const Plant* const plant = &((Demo*)*state)->plant;
  // A pad left in on house line 33 before the acts
  CHECK_NEAR("pad", plant_desk_row(plant, -1, 0, plant_line(plant, 33))->pad_db, 20.0, 0.0);
  assert_null(plant_desk_row(plant, -1, 1, plant_line(plant, 33)));
  // Monitors on an older list in act 3; house soft patch crossed in act 4
  assert_string_equal(plant_desk_row(plant, 2, 1, plant_line(plant, 41))->name, "vocal SRC");
  assert_int_equal(plant_desk_row(plant, 3, 0, plant_line(plant, 4))->channel, 3);
  assert_int_equal(plant_desk_row(plant, 1, 0, plant_line(plant, 21))->gives_phantom, ANSWER_NO);
  assert_int_equal(plant_desk_row(plant, 3, 0, plant_line(plant, 20))->gives_phantom, ANSWER_YES);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(sockets_are_found_as_people_type_them),
    cmocka_unit_test(a_box_named_by_a_number_is_set_apart_from_its_socket),
    cmocka_unit_test(words_find_lines_acts_desks_and_places),
    cmocka_unit_test(tables_answer_and_fall_back),
    cmocka_unit_test(walking_is_as_listed),
    cmocka_unit_test(a_line_is_free_when_this_act_and_the_next_leave_it),
    cmocka_unit_test(desks_have_what_they_were_found_with),
  };
  return cmocka_run_group_tests(tests, open_demo, close_demo);
}
