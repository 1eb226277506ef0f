// SPDX-License-Identifier: GPL-3.0-or-later
/*
  Rehearsals on the demo event: rules against each other, what certainty is worth, and the laws of a
  world that answers for itself.

  LINEWALK_LONG=1: 500 runs a setting, 2,000 for certainty.
*/
#include "day/planted.h"
#include "day/rehearse.h"

#include <string.h>

typedef struct {
  Arena arena;
  const Plant* plant;
  const Situation** bases;
} Stage;

/// In place: predictors keep the arena's address.
static void
stage_init(Stage* stage)
{
  arena_init(&stage->arena, NULL);
  stage->plant = planted_demo(&stage->arena);
  stage->bases = arena_array(&stage->arena, (size_t)stage->plant->n_acts, sizeof(Situation*));
  for (int a = 0; a < stage->plant->n_acts; ++a) {
    Situation* s = NULL;
    assert_int_equal(situation_new(&stage->arena, stage->plant, a, NULL, &s), STATUS_OK);
    stage->bases[a] = s;
  }
}

static void
say_table(const char* setting, const RehearseTable* t)
{
  for (int r = 0; r < REHEARSE_RULES; ++r) {
    const RehearseScore* const s = &t->scores[r];
    char name[96];
    (void)snprintf(name, sizeof(name), "rehearse_%s_%s", setting,
                   rehearse_rule_word((RehearseRule)r));
    check_figure(name, s->mean_s, "s");
    printf("%-28s %-15s mean %6.1f +- %4.1f  p50 %5.0f  p95 %5.0f  in time %.2f  named %.2f\n",
           setting, rehearse_rule_word((RehearseRule)r), s->mean_s, s->se_s, s->p50_s, s->p95_s,
           s->on_time, s->named_right);
  }
}

static void
rules_against_each_other(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  static const struct {
    const char* name;
    RehearseOptions o;
  } rows[] = {
    {"silent_two", {1, 0, -1, false, false, 2, 0.0}},
    {"silent_one", {1, 0, -1, false, false, 1, 0.0}},
    {"asked_two", {1, 0, -1, false, true, 2, 0.0}},
    {"round_two", {1, 0, -1, true, false, 2, 0.0}},
    {"clock_two", {1, 0, -1, false, false, 2, 120.0}},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    RehearseOptions o = rows[i].o;
    o.n_runs = check_count(6, 500);
    RehearseTable table;
    assert_int_equal(rehearse_auto(&stage.arena, stage.bases, &o, NULL, NULL, &table), STATUS_OK);
    say_table(rows[i].name, &table);
    for (int k = 0; k <= 10; ++k) {
      if (table.trust.n_said[k]) {
        printf("  said %.1f: %d, right %.3f\n", k / 10.0, table.trust.n_said[k],
               table.trust.n_right[k] / (double)table.trust.n_said[k]);
      }
    }
  }
  arena_deinit(&stage.arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(rules_against_each_other),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
