// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "base/text.h"
#include "stage/lists.h"
#include "support/check.h"
#include "support/folder.h"

#include <string.h>

#ifndef DEMO_DIR
#define DEMO_DIR "demo"
#endif

static void
build_demo(Arena* arena, Plant* plant)
{
  ListText lists[FOLDER_MAX_LISTS];
  Error error = {0};
  const int n = folder_read(arena, DEMO_DIR, lists);
  if (lists_build(arena, lists, n, 0, plant, &error) != STATUS_OK) {
    fail_msg("%s:%d:%d: %s", error.file, error.line, error.column, error.text);
  }
}

// ---- The reference event ----

static void
the_demo_is_a_whole_plant(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  Plant plant;
  build_demo(&arena, &plant);
  static const int n_inputs[] = {16, 28, 20, 40};
  assert_int_equal(plant.n_lines, 48);
  assert_int_equal(plant.n_boxes, 4);
  assert_int_equal(plant.n_desks, 3);
  assert_int_equal(plant.n_acts, 4);
  assert_int_equal(plant.n_kinds, 13);
  assert_int_equal(plant.n_items, 194);
  for (int act = 0; act < 4; ++act) {
    int n = 0;
    for (int i = 0; i < plant.n_inputs; ++i) {
      const Input* const input = &plant.inputs[i];
      if (input->act != act) {
        continue;
      }
      ++n;
      assert_in_range(input->line, 0, plant.n_lines - 1);
      const Line* const line = &plant.lines[input->line];
      assert_int_equal(line->number, plant.boxes[line->box].first_line + line->socket - 1);
      assert_ptr_equal(plant_input(&plant, act, input->line), input);
      assert_int_equal(input->channel, n);
      for (int desk = 0; desk < 3; ++desk) {
        const DeskRow* const row = plant_desk_row(&plant, act, desk, input->line);
        const bool forgotten = act == 3 && desk == 2 && n > 38; // Broadcast is on an older list
        assert_int_equal(!row, forgotten);
      }
    }
    assert_int_equal(n, n_inputs[act]);
  }
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_demo_is_a_whole_plant),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
