// SPDX-License-Identifier: GPL-3.0-or-later

/*
  The advice on the demo event, word by word and bit by bit: for every line of every act the first
  step, its reason and its numbers, then a few rehearsals to their end. Whatever compiler built it
  must print the same, or two boxes beside one stage could send a person to two places.
*/

#include "day/next.h"
#include "day/planted.h"
#include "day/rehearse.h"

#include <stdio.h>
#include <string.h>

static void
print_step(const Plant* plant, int line, const NextAdvice* advice)
{
  for (int i = 0; i < advice->n_steps; ++i) {
    const Step* const step = &advice->steps[i];
    printf("%d %s | %s | %s | %a %a %a\n", plant->lines[line].number, step->who, step->say,
           step->why, step->seconds, advice->seconds, advice->chance);
  }
}

static bool
first_steps(const Plant* plant, const Situation* base, Arena* arena)
{
  const Check level = {CHECK_LEVEL, 0};
  for (int l = 0; l < plant->n_lines; ++l) {
    const Seen silent = {.line = l, .check = level, .key = LEVEL_NOTHING};
    const NextOptions options = {.looks_once = l % 8 != 0, .deadline_s = l % 3 ? 0.0 : 120.0};
    Situation* s = NULL;
    NextAdvice advice = {0};
    if (situation_after(arena, base, &silent, 1, &s) != STATUS_OK ||
        next_advise(s, arena, l, &options, &advice) != STATUS_OK) {
      return false;
    }
    print_step(plant, l, &advice);
  }
  return true;
}

int
main(void)
{
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  const Situation** const bases = arena_array(&arena, (size_t)plant->n_acts, sizeof(Situation*));
  for (int a = 0; a < plant->n_acts; ++a) {
    Situation* s = NULL;
    if (situation_new(&arena, plant, a, NULL, &s) != STATUS_OK || !first_steps(plant, s, &arena)) {
      return 1;
    }
    bases[a] = s;
  }
  const RehearseOptions options = {5, 4, -1, false, true, 2, 0.0};
  RehearseTable table;
  if (rehearse_auto(&arena, bases, &options, NULL, NULL, &table) != STATUS_OK) {
    return 1;
  }
  for (int r = 0; r < REHEARSE_RULES; ++r) {
    printf("%s %a %a\n", rehearse_rule_word((RehearseRule)r), table.scores[r].mean_s,
           table.scores[r].named_right);
  }
  arena_deinit(&arena);
  return 0;
}
