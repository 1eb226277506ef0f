// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/lists.h"
#include "support/check.h"

#include <string.h>

/*
  What stands between a source and its socket, as an input list tells it.
*/

static const char boxes_csv[] = "box,sockets,first_line\nA,8,1\nB,4,9\n";

static Status
build(Arena* arena, const char* inputs, const char* items, Plant* plant, Error* error)
{
  const ListText lists[] = {{"boxes.csv", boxes_csv, sizeof(boxes_csv) - 1},
                            {"inputs-act1.csv", inputs, strlen(inputs)},
                            {"cables.csv", items ? items : "", items ? strlen(items) : 0}};
  return lists_build(arena, lists, items ? 3 : 2, 0, plant, error);
}

static const Inline*
thing(const Plant* plant, int line, int i)
{
  const Input* const input = plant_input(plant, 0, plant_line(plant, line));
  assert_non_null(input);
  assert_true(i < input->n_through);
  return &plant->inlines[input->through[i]];
}

static void
things_are_found_by_name_and_by_tag(void** state)
{
  (void)state;
  static const char inputs[] = "channel,source,pickup,phantom,box,socket,through\n"
                               "1,snare,dyn-inst,no,A,1,Pad 20 + POLARITY ADAPTOR\n"
                               "2,keys,line-unbal,no,A,2,iso box + P07\n"
                               "3,voice,dyn-vocal,no,A,3,y-lead to B1\n"
                               "4,voice again,dyn-vocal,no,B,1,\n"
                               "5,old ribbon,dyn-inst,no,A,5,y-lead with ribbon\n"
                               "6,film mic,cond-ab,no,A,6,\n"
                               "7,piano,cond-small,yes,A,7,isolating box\n"
                               "8,flute,dyn-inst,no,A,8,-\n";
  static const char items[] = "cable,kind,length_m,state\nP07,panel,0,good\n";
  Arena arena;
  arena_init(&arena, NULL);
  Plant plant;
  Error error = {0};
  if (build(&arena, inputs, items, &plant, &error) != STATUS_OK) {
    fail_msg("%s:%d:%d: %s", error.file, error.line, error.column, error.text);
  }
  assert_int_equal(thing(&plant, 1, 0)->sort, INLINE_PAD);
  assert_int_equal(thing(&plant, 1, 1)->sort, INLINE_CROSSED);
  assert_int_equal(thing(&plant, 2, 0)->sort, INLINE_TRANSFORMER);
  assert_int_equal(thing(&plant, 2, 1)->sort, INLINE_PANEL);
  assert_int_equal(thing(&plant, 6, 0)->sort, INLINE_SUPPLY); // Nobody named it: assumed, and said
  const Input* const voice = plant_input(&plant, 0, plant_line(&plant, 3));
  const Input* const again = plant_input(&plant, 0, plant_line(&plant, 9));
  assert_int_equal(voice->y_line, 9);
  assert_int_equal(again->y_line, 3); // Both ends know of each other
  assert_int_equal(thing(&plant, 9, 0)->sort, INLINE_Y);
  const Input* const two = plant_input(&plant, 0, plant_line(&plant, 5));
  assert_string_equal(plant.kinds[two->y_kind - 1].name, "ribbon");
  assert_int_equal(plant_input(&plant, 0, plant_line(&plant, 8))->n_through, 0);
  assert_true(plant_is_inverted(&plant, plant_input(&plant, 0, plant_line(&plant, 1))));
  assert_false(plant_is_inverted(&plant, voice));
  int n_said = 0;
  for (int i = 0; i < plant.n_assumed; ++i) {
    n_said += strstr(plant.assumed[i], "film mic is fed A-B") != NULL;
    n_said += strstr(plant.assumed[i], "piano needs phantom") != NULL;
  }
  assert_int_equal(n_said, 2);
  arena_deinit(&arena);
}

// Harm does not stop at the name of a row: it comes through Y-leads and adaptors.
static void
harm_is_seen_through_what_stands_between(void** state)
{
  (void)state;
  static const char inputs[] = "channel,source,pickup,phantom,box,socket,through\n"
                               "1,ribbon,ribbon,no,A,1,y-lead to B1\n"
                               "2,same mic,dyn-inst,no,B,1,\n"
                               "3,two,dyn-inst,no,A,3,y-lead with ribbon\n"
                               "4,keys,di-passive,no,A,4,unbalanced adaptor\n"
                               "5,film,cond-ab,no,A,5,a-b supply\n"
                               "6,track,play-iso,no,A,6,pad 20\n"
                               "7,radio,rx-line,no,A,7,isolating box\n"
                               "8,laptop,line-unbal,no,A,8,isolating box\n"
                               "9,voice,dyn-vocal,no,B,2,polarity adaptor\n";
  static const struct {
    int line;
    bool harmful;
  } rows[] = {{1, true},  {9, true}, {3, true}, {4, true},  {5, true},
              {6, false}, {7, true}, {8, true}, {10, false}};
  Arena arena;
  arena_init(&arena, NULL);
  Plant plant;
  Error error = {0};
  assert_int_equal(build(&arena, inputs, NULL, &plant, &error), STATUS_OK);
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const Input* const input = plant_input(&plant, 0, plant_line(&plant, rows[i].line));
    if (plant_is_harmful(&plant, input) != rows[i].harmful) {
      fail_msg("line %d: %d", rows[i].line, rows[i].harmful);
    }
  }
  assert_false(plant_is_harmful(&plant, NULL));
  arena_deinit(&arena);
}

static void
what_makes_no_sense_is_refused_with_its_place(void** state)
{
  (void)state;
  static const struct {
    const char* through;
    const char* says;
  } rows[] = {{"magic box", "magic box"},     {"pad 20 to B1", "pad 20"},
              {"y-lead", "other end"},        {"y-lead to A1", "other end"},
              {"y-lead to Z9", "other end"},  {"y-lead to B3", "no row in this act"},
              {"y-lead with spoon", "spoon"}, {"pad 20+pad 20+pad 20+pad 20+pad 20", "At most 4"}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    char inputs[256];
    (void)snprintf(inputs, sizeof(inputs),
                   "channel,source,pickup,box,socket,through\n1,kick,dyn-kick,A,1,%s\n",
                   rows[i].through);
    Plant plant = {.n_lines = -1};
    Error error = {0};
    assert_int_equal(build(&arena, inputs, NULL, &plant, &error), STATUS_BAD_INPUT);
    assert_int_equal(plant.n_lines, -1);
    if (error.line != 2 || error.column != 6 || !strstr(error.text, rows[i].says)) {
      fail_msg("%s: line %d, column %d: %s", rows[i].through, error.line, error.column, error.text);
    }
    arena_deinit(&arena);
  }
}

static void
a_crews_own_thing_goes_over_ours(void** state)
{
  (void)state;
  static const char own[] = "in-line,sort,series_ohm,shunt_ohm,primary_ohm,secondary_ohm\n"
                            "pad 20,pad,470,120,,\nhum stopper,transformer,,,40,45\n";
  static const char bad[] = "in-line,sort,series_ohm\nmy pad,pad,470\n";
  static const char inputs[] =
    "channel,source,pickup,box,socket,through\n1,kick,dyn-kick,A,1,pad 20+hum stopper\n";
  Arena arena;
  arena_init(&arena, NULL);
  ListText lists[] = {{"boxes.csv", boxes_csv, sizeof(boxes_csv) - 1},
                      {"inputs-act1.csv", inputs, sizeof(inputs) - 1},
                      {"inline.csv", own, sizeof(own) - 1}};
  Plant plant;
  Error error = {0};
  assert_int_equal(lists_build(&arena, lists, 3, 0, &plant, &error), STATUS_OK);
  CHECK_NEAR("own pad", thing(&plant, 1, 0)->series_ohm, 470.0, 0.0);
  CHECK_NEAR("own box", thing(&plant, 1, 1)->secondary_ohm, 45.0, 0.0);
  lists[2] = (ListText){"inline.csv", bad, sizeof(bad) - 1};
  assert_int_equal(lists_build(&arena, lists, 3, 0, &plant, &error), STATUS_BAD_INPUT);
  assert_non_null(strstr(error.text, "shunt_ohm"));
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(things_are_found_by_name_and_by_tag),
    cmocka_unit_test(harm_is_seen_through_what_stands_between),
    cmocka_unit_test(what_makes_no_sense_is_refused_with_its_place),
    cmocka_unit_test(a_crews_own_thing_goes_over_ours),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
