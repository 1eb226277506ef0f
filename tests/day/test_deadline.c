// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/deadline.h"
#include "day/words.h"
#include "support/check.h"

#include <string.h>

/*
  By when there must be sound. Times of the day by hand; budgets of a source are the rows of the
  list given here.
*/

static const Act acts[] = {{"act2", "15:35", "16:35", "2031-06-14"},
                           {"late", "23:50", "23:59", ""}};
static const Input inputs[] = {{.act = 0, .source = "vocal lead", .line = 0},
                               {.act = 0, .source = "keys 1 L", .line = 1},
                               {.act = 0, .source = "leader's click", .line = 2}};
static const Line lines[] = {{1, 0, 1, 1, 1, {1, 0, 0}, false},
                             {2, 0, 2, 2, 2, {2, 0, 0}, false},
                             {3, 0, 3, 3, 3, {3, 0, 0}, false}};
static const StepTime times[] = {{"on air, lead", 5.0, 5.0, 10.0, "usual practice"},
                                 {"on air, any other", 120.0, 200.0, 240.0, "usual practice"}};

static const struct {
  const char* name;
  int act, line;
  const char *today, *clock;
  double minutes;
  DeadlineSort sort;
  double want_s;
  const char* by;
} rows[] = {
  {"what was said", 0, 0, "2031-06-14", "15:22", 3.0, DEADLINE_SAID, 180.0, "15:25"},
  {"said over midnight", 0, 0, "", "23:58", 4.0, DEADLINE_SAID, 240.0, "00:02"},
  {"said, no clock", 0, 0, "", "", 3.0, DEADLINE_SAID, 180.0, ""},
  {"said, half a minute", 0, 0, "", "15:22", 0.5, DEADLINE_SAID, 30.0, ""},
  {"until the act begins", 0, 0, "2031-06-14", "15:22", 0.0, DEADLINE_ACT, 780.0, "15:35"},
  {"another day", 0, 0, "2031-06-15", "15:22", 0.0, DEADLINE_NONE, 0.0, ""},
  {"an act without a date", 1, 0, "2031-06-14", "23:00", 0.0, DEADLINE_NONE, 0.0, ""},
  {"a lead on air", 0, 0, "2031-06-14", "15:35", 0.0, DEADLINE_ON_AIR, 5.0, ""},
  {"keys on air", 0, 1, "2031-06-14", "16:00", 0.0, DEADLINE_ON_AIR, 200.0, "16:03"},
  {"a word that only begins so", 0, 2, "2031-06-14", "16:00", 0.0, DEADLINE_ON_AIR, 200.0, "16:03"},
  {"no line on air", 0, -1, "2031-06-14", "16:00", 0.0, DEADLINE_NONE, 0.0, ""},
  {"after the act", 0, 0, "2031-06-14", "16:35", 0.0, DEADLINE_NONE, 0.0, ""},
  {"bare lines", -1, 0, "2031-06-14", "16:00", 0.0, DEADLINE_NONE, 0.0, ""},
};

static void
the_clock_says_by_when(void** state)
{
  (void)state;
  const Plant plant = {.acts = acts,
                       .n_acts = 2,
                       .inputs = inputs,
                       .n_inputs = 3,
                       .lines = lines,
                       .n_lines = 3,
                       .times = times,
                       .n_times = 2};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const Deadline d =
      deadline_of(&plant, rows[i].act, rows[i].line, rows[i].today, rows[i].clock, rows[i].minutes);
    if (d.sort != rows[i].sort || d.seconds != rows[i].want_s || strcmp(d.by, rows[i].by) != 0) {
      fail_msg("%s: sort %d, %.1f s by \"%s\"; want %d, %.1f by \"%s\"", rows[i].name, (int)d.sort,
               d.seconds, d.by, (int)rows[i].sort, rows[i].want_s, rows[i].by);
    }
  }
}

static void
chances_are_told_in_tenths(void** state)
{
  (void)state;
  static const struct {
    double prob;
    const char* want;
  } said[] = {
    {0.0, "less than 1 in 10"},   {0.049, "less than 1 in 10"}, {0.05, "about 1 in 10"},
    {0.68, "about 7 in 10"},      {0.949, "about 9 in 10"},     {0.951, "better than 9 in 10"},
    {1.0, "better than 9 in 10"},
  };
  Arena arena;
  arena_init(&arena, NULL);
  for (size_t i = 0; i < sizeof(said) / sizeof(said[0]); ++i) {
    assert_string_equal(words_chance(&arena, said[i].prob), said[i].want);
  }
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_clock_says_by_when),
    cmocka_unit_test(chances_are_told_in_tenths),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
