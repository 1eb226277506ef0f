// SPDX-License-Identifier: GPL-3.0-or-later
/*
  Loudspeaker circuits of the demo event: where all 47 stand after 44 readings of ohms, and the next
  step for each of them. The best of five runs.
*/
#include "base/text.h"
#include "day/outputs.h"
#include "measure.h"

#include <stdio.h>

enum { N_RUNS = 5, N_LISTS = 3 };

static void
read_ohms(Arena* arena, const Plant* plant, Fold* fold)
{
  Fact* const facts = arena_array(arena, (size_t)plant->n_outputs, sizeof(Fact));
  size_t n = 0;
  measure_must(facts != NULL, "no memory");
  for (int i = 0; i < plant->n_outputs; ++i) {
    const OutputCircuit* const c = &plant->outputs[i];
    const FactBody body = {
      .circuit = c->name, .check = "ohms", .reading = arena_format(arena, "%.2f", c->expect_ohm)};
    if (c->expect_ohm > 0.0) {
      measure_must(fact_make(arena, FACT_OUTPUT_READING, &body, "2031-06-14T09:00:00Z", "", "",
                             &facts[n], NULL) == STATUS_OK,
                   "no fact");
      facts[n].seq = (int64_t)n + 1;
      ++n;
    }
  }
  measure_must(fold_make(arena, facts, n, fold, NULL) == STATUS_OK, "no fold");
}

int
main(void)
{
  static const char* const names[N_LISTS] = {"outputs.csv", "monitors.csv", "places.csv"};
  Arena kept;
  Plant plant;
  Fold fold;
  double stand_ms = 1e9;
  double advise_ms = 1e9;
  arena_init(&kept, NULL);
  measure_demo(&kept, names, N_LISTS, &plant);
  read_ohms(&kept, &plant, &fold);
  for (int run = 0; run < N_RUNS; ++run) {
    Arena arena;
    Outputs* o = NULL;
    arena_init(&arena, NULL);
    const double start_ms = measure_ms();
    measure_must(outputs_new(&arena, &plant, &fold, &o) == STATUS_OK, "no memory");
    const double between_ms = measure_ms();
    for (int i = 0; i < o->n; ++i) {
      OutputAdvice advice;
      measure_must(outputs_advise(o, &arena, i, &advice) == STATUS_OK, "no memory");
    }
    const double end_ms = measure_ms();
    stand_ms = between_ms - start_ms < stand_ms ? between_ms - start_ms : stand_ms;
    advise_ms = end_ms - between_ms < advise_ms ? end_ms - between_ms : advise_ms;
    arena_deinit(&arena);
  }
  printf("figure: outputs_stand_ms %.3f ms\n", stand_ms);
  printf("figure: outputs_advise_ms %.3f ms_a_circuit\n", advise_ms / plant.n_outputs);
  arena_deinit(&kept);
  return 0;
}
