// SPDX-License-Identifier: GPL-3.0-or-later
/*
  Between acts: the twelve ordered pairs of the demo's four acts, a new plan after a tail died, and
  a festival of 8 acts on 192 lines, from each act to the next, with listed sockets and with sockets
  to be chosen. The best of five runs.
*/
#include "day/change.h"
#include "measure.h"

#include <stdio.h>

enum { N_RUNS = 5, N_DEMO = 13 };

// Pairs of acts that follow each other, or all of them.
static void
measure(const char* name, const Plant* plant, const Fold* fold, bool all, bool is_free)
{
  double best_ms = 1e12;
  int n_plans = 0;
  int n_plugs = 0;
  for (int run = 0; run < N_RUNS; ++run) {
    const double start_ms = measure_ms();
    n_plans = 0;
    n_plugs = 0;
    for (int from = 0; from < plant->n_acts; ++from) {
      for (int to = 0; to < plant->n_acts; ++to) {
        Arena arena;
        Change change;
        const ChangeOptions options = {.is_free = is_free};
        if (from == to || (!all && to != from + 1)) {
          continue;
        }
        arena_init(&arena, NULL);
        measure_must(change_plan(&arena, plant, fold, from, to, &options, &change) == STATUS_OK,
                     "no plan");
        n_plugs += change.n_moved + change.n_plugged;
        ++n_plans;
        arena_deinit(&arena);
      }
    }
    const double took_ms = measure_ms() - start_ms;
    best_ms = took_ms < best_ms ? took_ms : best_ms;
  }
  printf("figure: change_%s_ms %.2f ms\n", name, best_ms);
  printf("figure: change_%s_plans %d plans\n", name, n_plans);
  printf("figure: change_%s_plugs %d plugs\n", name, n_plugs);
}

static void
demo(void)
{
  static const char* const names[N_DEMO] = {"boxes.csv",
                                            "lines.csv",
                                            "split.csv",
                                            "kinds.csv",
                                            "inputs-act1.csv",
                                            "inputs-act2.csv",
                                            "inputs-act3.csv",
                                            "inputs-act4.csv",
                                            "places.csv",
                                            "crew.csv",
                                            "times.csv",
                                            "cables.csv",
                                            "desk-patch-asfound.csv"};
  Arena arena;
  Plant plant;
  Fold fold;
  Fact fact;
  arena_init(&arena, NULL);
  measure_demo(&arena, names, N_DEMO, &plant);
  measure("demo_12_pairs", &plant, NULL, true, false);
  measure("demo_12_pairs_chosen", &plant, NULL, true, true);
  const FactBody body = {.item = "tail B"};
  measure_must(fact_make(&arena, FACT_TAPED_OFF, &body, "2031-06-14T17:55:00Z", "", "", &fact,
                         NULL) == STATUS_OK,
               "no fact");
  measure_must(fold_make(&arena, &fact, 1, &fold, NULL) == STATUS_OK, "no fold");
  measure("demo_12_pairs_tail_out", &plant, &fold, true, false);
  arena_deinit(&arena);
}

static void
festival(void)
{
  static const MeasureFestival ask = {
    .box_sockets = 24, .wanders = true, .desks = MEASURE_AS_LISTED};
  Arena arena;
  Plant plant;
  arena_init(&arena, NULL);
  measure_festival(&arena, &ask, &plant);
  measure("8_acts_192_lines", &plant, NULL, false, false);
  measure("8_acts_192_lines_chosen", &plant, NULL, false, true);
  arena_deinit(&arena);
}

int
main(void)
{
  demo();
  festival();
  return 0;
}
