// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/need.h"
#include "stage/lists.h"
#include "support/check.h"

#include <string.h>

/*
  Which source is missed most: rows by hand, from kinds/needed.csv as it stands (usual practice, no
  source) and a crew's own rows over it.
*/

static const char inputs[] = "act,channel,source,pickup,must\n"
                             "one,1,kick in,dyn-inst,\n"
                             "one,2,kick out,dyn-inst,\n"
                             "one,3,bass DI,di-passive,\n"
                             "one,4,bass mic,dyn-inst,\n"
                             "one,5,guitar,dyn-inst,\n"
                             "one,6,guitar alt,dyn-inst,no\n"
                             "one,7,keys L,di-passive,\n"
                             "one,8,keys R,di-passive,\n"
                             "one,9,Vocals 2,dyn-inst,\n"
                             "one,10,Lead Vocal,dyn-inst,\n"
                             "one,11,Lead Vocal spare,dyn-inst,\n"
                             "one,12,Anna,dyn-vocal,\n"
                             "one,13,saw,cond-small,x\n"
                             "one,14,horn,cond-small,\n"
                             "one,15,audience R,cond-small,\n"
                             "two,1,kick out,dyn-inst,\n"
                             "two,2,horn spare,dyn-inst,must\n";

static const struct {
  const char *act, *source;
  int need;
  const char* twin; ///< NULL = none
  bool is_voice;
  int by_crew; ///< With the crew's rows over ours
} rows[] = {
  {"one", "kick in", 8, "kick out", false, 8},
  {"one", "kick out", 2, "kick in", false, 1}, // Beside the first of its pair
  {"two", "kick out", 8, NULL, false, 8},      // Alone it is the kick
  {"one", "bass DI", 8, "bass mic", false, 8},
  {"one", "bass mic", 2, "bass DI", false, 2},
  {"one", "guitar", 7, "guitar alt", false, 7},
  {"one", "guitar alt", 2, "guitar", false, 2},
  {"one", "keys L", 7, "keys R", false, 7},
  {"one", "keys R", 2, "keys L", false, 10}, // A row that is the whole name
  {"one", "Vocals 2", 9, NULL, true, 9},     // By the begin of a word
  {"one", "Lead Vocal", 10, "Lead Vocal spare", true, 10},
  {"one", "Lead Vocal spare", 2, "Lead Vocal", true, 2},
  {"one", "Anna", 9, NULL, true, 9}, // By her microphone
  {"one", "saw", 10, NULL, false, 10},
  {"one", "horn", 5, NULL, false, 6}, // No row of ours: usual
  {"one", "audience R", 1, NULL, false, 1},
  {"two", "horn spare", 10, NULL, false, 10},
};

static const char crew[] = "plays,beside,needed\n"
                           "keys R,,must\n"
                           "out,in,1\n"
                           "horn,,6\n";

static const Input*
input_of(const Plant* plant, const char* act, const char* source)
{
  for (int i = 0; i < plant->n_inputs; ++i) {
    if (plant->inputs[i].act == plant_act(plant, act) && !strcmp(plant->inputs[i].source, source)) {
      return &plant->inputs[i];
    }
  }
  fail_msg("no %s in %s", source, act);
  return NULL;
}

static void
each_source_by_the_first_rule_that_applies(void** state)
{
  (void)state;
  const ListText lists[] = {{"inputs.csv", inputs, sizeof(inputs) - 1},
                            {"needed.csv", crew, sizeof(crew) - 1}};
  for (int with_crew = 0; with_crew < 2; ++with_crew) {
    Arena arena;
    Plant plant;
    Error error = {0};
    arena_init(&arena, NULL);
    if (lists_build(&arena, lists, 1 + with_crew, 0, &plant, &error) != STATUS_OK) {
      fail_msg("%s", error.text);
    }
    for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
      const Input* const input = input_of(&plant, rows[i].act, rows[i].source);
      const Input* const twin = need_twin(&plant, input);
      const int want = with_crew ? rows[i].by_crew : rows[i].need;
      if (need_of(&plant, input) != want || need_is_voice(&plant, input) != rows[i].is_voice ||
          strcmp(twin ? twin->source : "", rows[i].twin ? rows[i].twin : "") != 0) {
        fail_msg("%s of %s: %d, want %d; voice %d, twin %s", rows[i].source, rows[i].act,
                 need_of(&plant, input), want, need_is_voice(&plant, input),
                 twin ? twin->source : "none");
      }
    }
    arena_deinit(&arena);
  }
}

static void
a_wrong_row_is_refused_with_its_place(void** state)
{
  (void)state;
  static const struct {
    const char* text;
    int line;
  } bad[] = {{"plays,needed\nkick,10\n", 2},
             {"plays,needed\nkick,8\nsnare,much\n", 3},
             {"plays,beside,needed\nR,L,2\nR,L,3\n", 3},
             {"plays,needed\nkick,\n", 2}};
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    const ListText list = {"needed.csv", bad[i].text, strlen(bad[i].text)};
    Arena arena;
    Plant plant;
    Error error = {0};
    arena_init(&arena, NULL);
    assert_int_equal(lists_build(&arena, &list, 1, 0, &plant, &error), STATUS_BAD_INPUT);
    if (error.line != bad[i].line) {
      fail_msg("%s: line %d, want %d: %s", bad[i].text, error.line, bad[i].line, error.text);
    }
    arena_deinit(&arena);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(each_source_by_the_first_rule_that_applies),
    cmocka_unit_test(a_wrong_row_is_refused_with_its_place),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
