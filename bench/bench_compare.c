// SPDX-License-Identifier: GPL-3.0-or-later
/*
  Lists against desks: the demo event, and a festival of 8 acts on 192 lines at three desks that all
  have everything (4,608 channels), a hundred of them with something wrong. The best of five runs.
*/
#include "day/compare.h"
#include "measure.h"

#include <stdio.h>

enum { N_RUNS = 5, N_DEMO = 10 };

static void
measure(const char* name, const Plant* plant)
{
  double best_ms = 1e9;
  Comparison found = {0};
  for (int run = 0; run < N_RUNS; ++run) {
    Arena arena;
    arena_init(&arena, NULL);
    const double start_ms = measure_ms();
    measure_must(compare_all(&arena, plant, NULL, COMPARE_EVERY_ACT, &found) == STATUS_OK,
                 "no memory");
    const double took_ms = measure_ms() - start_ms;
    best_ms = took_ms < best_ms ? took_ms : best_ms;
    arena_deinit(&arena);
  }
  printf("figure: compare_%s_ms %.3f ms\n", name, best_ms);
  printf("figure: compare_%s_channels %d channels\n", name, found.n_rows);
  printf("figure: compare_%s_found %d disagreements\n", name, found.n);
}

static void
demo(void)
{
  static const char* const names[N_DEMO] = {"boxes.csv",         "lines.csv",
                                            "split.csv",         "kinds.csv",
                                            "inputs-act1.csv",   "inputs-act2.csv",
                                            "inputs-act3.csv",   "inputs-act4.csv",
                                            "list-versions.csv", "desk-patch-asfound.csv"};
  Arena arena;
  Plant plant;
  arena_init(&arena, NULL);
  measure_demo(&arena, names, N_DEMO, &plant);
  measure("demo", &plant);
  arena_deinit(&arena);
}

static void
festival(void)
{
  static const MeasureFestival ask = {.box_sockets = 48, .desks = MEASURE_HUNDRED_WRONG};
  Arena arena;
  Plant plant;
  arena_init(&arena, NULL);
  measure_festival(&arena, &ask, &plant);
  measure("8_acts_192_lines", &plant);
  arena_deinit(&arena);
}

int
main(void)
{
  demo();
  festival();
  return 0;
}
