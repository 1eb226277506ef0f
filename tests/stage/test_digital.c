// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "stage/lists.h"
#include "support/check.h"

#include <string.h>

/*
  Digital boxes on the lists: what a row may say, what is assumed where it says nothing, and what an
  event of both sorts of boxes becomes. Expected values follow from the sentences of docs/adding.md
  ("A digital box") alone.
*/

static Status
build(Arena* arena, const char* boxes, const char* lines, Plant* plant, Error* error)
{
  static const char inputs[] = "channel,source,pickup,phantom,box,socket\n"
                               "1,voice,dyn-vocal,no,E,1\n2,hat,cond-small,yes,E,2\n";
  ListText lists[3] = {{"boxes.csv", boxes, strlen(boxes)},
                       {"inputs-act1.csv", inputs, sizeof(inputs) - 1},
                       {"lines.csv", lines, lines ? strlen(lines) : 0}};
  return lists_build(arena, lists, lines ? 3 : 2, 0, plant, error);
}

static bool
says(const char* const* sentences, int n, const char* part)
{
  for (int i = 0; i < n; ++i) {
    if (strstr(sentences[i], part)) {
      return true;
    }
  }
  return false;
}

// ---- What a row says ----

static const struct {
  const char* name;
  const char* boxes;
  bool is_digital;
  int owner, n_leads; ///< Of box E; the owner among the desks that are there: one
  const char *clock, *power;
  const char* assumed;    ///< Part of a sentence; NULL = nothing is assumed of the box
  const char* left_aside; ///< The same
} rows[] = {
  {"all said", "box,sockets,kind,owner,leads,clock,power\nE,4,digital,mon,2,word clock,riser\n",
   true, 0, 2, "word clock", "riser", NULL, NULL},
  {"usual words", "Stagebox;Ways;Kind;Gain owner;Network leads\nE;4;Digital;House;1\n", true, 0, 1,
   "house desk", "stage mains", "its clock follows the house desk", NULL},
  {"kind alone", "box,sockets,kind\nE,4,digital\n", true, 0, 1, "house desk", "stage mains",
   "the house desk owns its gain and phantom; it has one network lead; its clock follows the house "
   "desk; its power comes from the stage",
   NULL},
  {"known by its owner", "box,sockets,owner\nE,4,mon\n", true, 0, 1, "monitor desk", "stage mains",
   "it has one network lead", NULL},
  {"dashes say nothing", "box,sockets,kind,owner,leads\nE,4,digital,-,n/a\n", true, 0, 1,
   "house desk", "stage mains", "the house desk owns", NULL},
  {"analogue", "box,sockets,kind,tail_m\nE,4,analogue,15\n", false, 0, 0, "", "", NULL, NULL},
  {"no word", "box,sockets,kind,tail_m\nE,4,,15\n", false, 0, 0, "", "", NULL, NULL},
  {"an analogue box has no owner", "box,sockets,kind,owner,tail_m\nE,4,analogue,mon,15\n", false, 0,
   0, "", "", NULL, "its owner, leads, clock and power are not used"},
  {"a digital box has no tail",
   "box,sockets,kind,owner,leads,clock,power,tail_m\n"
   "E,4,digital,foh,1,house desk,riser,15\n",
   true, 0, 1, "house desk", "riser", NULL, "has no tail"},
};

static void
a_row_is_read_as_meant(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    Plant plant;
    Error error = {0};
    if (build(&arena, rows[i].boxes, NULL, &plant, &error) != STATUS_OK) {
      fail_msg("%s: %s", rows[i].name, error.text);
    }
    const Box* const box = &plant.boxes[0];
    if (box->is_digital != rows[i].is_digital || box->owner != rows[i].owner ||
        box->n_leads != rows[i].n_leads || strcmp(box->clock, rows[i].clock) != 0 ||
        strcmp(box->power, rows[i].power) != 0) {
      fail_msg("%s: digital %d, owner %d, %d leads, clock \"%s\", power \"%s\"", rows[i].name,
               box->is_digital, box->owner, box->n_leads, box->clock, box->power);
    }
    const bool assumed = says(plant.assumed, plant.n_assumed, "Digital box E");
    if (assumed != (rows[i].assumed != NULL) ||
        (rows[i].assumed && !says(plant.assumed, plant.n_assumed, rows[i].assumed))) {
      fail_msg("%s: what is assumed is not what is said", rows[i].name);
    }
    if (rows[i].left_aside && !says(plant.left_aside, plant.n_left_aside, rows[i].left_aside)) {
      fail_msg("%s: \"%s\" is not left aside", rows[i].name, rows[i].left_aside);
    }
    assert_int_equal(plant.lines[0].pair, rows[i].is_digital ? 0 : 1);
    assert_int_equal(plant_is_digital(&plant, 0), rows[i].is_digital);
    assert_int_equal(plant_phantom_desk(&plant, 0), rows[i].owner);
    if (rows[i].is_digital) {
      CHECK_NEAR(rows[i].name, box->tail_m, 0.0, 0.0);
    }
    arena_deinit(&arena);
  }
}

// ---- What cannot be ----

static const struct {
  const char* boxes;
  const char* lines;
  int line, column;
  const char* says;
} bad[] = {
  {"box,sockets,kind\nE,4,submarine\n", NULL, 2, 3, "write analogue or digital"},
  {"box,sockets,kind,owner\nE,4,digital,nobody\n", NULL, 2, 4, "write foh, mon or broadcast"},
  {"box,sockets,kind,leads\nE,4,digital,3\n", NULL, 2, 4, "3"},
  {"box,sockets,kind,leads\nE,4,digital,two\n", NULL, 2, 4, "two"},
};

static void
bad_rows_say_where_and_what_to_write(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    Plant plant;
    Error error = {0};
    assert_int_equal(build(&arena, bad[i].boxes, bad[i].lines, &plant, &error), STATUS_BAD_INPUT);
    if (error.line != bad[i].line || error.column != bad[i].column ||
        !strstr(error.text, bad[i].says)) {
      fail_msg("%zu: %s:%d:%d: %s", i, error.file, error.line, error.column, error.text);
    }
    arena_deinit(&arena);
  }
}

// ---- Both sorts in one event ----

static void
both_sorts_share_an_event(void** state)
{
  (void)state;
  static const char boxes[] = "box,sockets,first_line,kind,owner,leads,clock,power,tail_m\n"
                              "A,4,1,,,,,,20\nE,4,5,digital,mon,2,house desk,riser,\n";
  static const char lines[] = "line,box,socket,multicore_pair,split_channel,foh_input,mon_input\n"
                              "1,A,1,1,1,1,1\n2,A,2,2,2,2,2\n3,A,3,3,3,3,3\n4,A,4,4,4,4,4\n"
                              "5,E,1,,,5,5\n6,E,2,-,-,6,6\n7,E,3,7,,7,7\n8,E,4,,,8,8\n";
  Arena arena;
  arena_init(&arena, NULL);
  Plant plant;
  Error error = {0};
  assert_int_equal(build(&arena, boxes, lines, &plant, &error), STATUS_OK);
  assert_int_equal(plant.n_lines, 8);
  assert_int_equal(plant.n_desks, 2);
  for (int l = 0; l < 8; ++l) {
    assert_int_equal(plant_is_digital(&plant, l), l >= 4);
    assert_int_equal(plant.lines[l].pair, l < 4 ? l + 1 : 0);
    assert_int_equal(plant.lines[l].split_channel, l < 4 ? l + 1 : 0);
    assert_int_equal(plant_phantom_desk(&plant, l), l < 4 ? 0 : 1); // Direct side; owner
  }
  // The one number that a line of a digital box was given all the same
  assert_true(says(plant.left_aside, plant.n_left_aside, "line 7 is on digital box E"));
  assert_false(says(plant.left_aside, plant.n_left_aside, "line 6"));
  assert_true(
    says(plant.assumed, plant.n_assumed, "No split list")); // Box A still goes through one
  arena_deinit(&arena);
}

// An owner whom no other list names is a desk of the event, whatever order the desks stand in.
static void
an_owner_is_a_desk(void** state)
{
  (void)state;
  static const char boxes[] = "box,sockets,kind,owner\nE,4,digital,broadcast\nF,4,digital,mon\n";
  Arena arena;
  arena_init(&arena, NULL);
  Plant plant;
  Error error = {0};
  assert_int_equal(build(&arena, boxes, NULL, &plant, &error), STATUS_OK);
  assert_int_equal(plant.n_desks, 2);
  assert_string_equal(plant.desks[plant.boxes[0].owner].name, "broadcast");
  assert_string_equal(plant.desks[plant.boxes[1].owner].name, "mon");
  assert_string_equal(plant.split.name, ""); // Nothing to split
  assert_false(says(plant.assumed, plant.n_assumed, "plit"));
  assert_false(says(plant.assumed, plant.n_assumed, "multicore"));
  assert_int_equal(plant_place(&plant, "split"), -1);
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_row_is_read_as_meant),
    cmocka_unit_test(bad_rows_say_where_and_what_to_write),
    cmocka_unit_test(both_sorts_share_an_event),
    cmocka_unit_test(an_owner_is_a_desk),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
