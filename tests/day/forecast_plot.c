// SPDX-License-Identifier: GPL-3.0-or-later
/*
  Prints the calibration plot of docs/forecast.svg: forecast_plot > docs/forecast.svg. Takes about a
  minute in a release build. Other days: forecast_plot DAYS FIRST SORT, the sort as MadeSort has it.
*/
#include "made_day.h"

#include <stdio.h>
#include <stdlib.h>

int
main(int argc, char** argv)
{
  const int n = argc > 1 ? atoi(argv[1]) : MADE_PLOT_DAYS;
  const int first = argc > 2 ? atoi(argv[2]) : 0;
  const MadeSort sort = argc > 3 ? (MadeSort)(atoi(argv[3]) % MADE_SORTS) : MADE_USUAL;
  Plant plants[2];
  const Plant* const both[2] = {&plants[0], &plants[1]};
  MadeTally tally;
  Arena arena;
  arena_init(&arena, NULL);
  const bool good = made_plant(&arena, 4, &plants[0]) == STATUS_OK &&
                    made_plant(&arena, 2, &plants[1]) == STATUS_OK &&
                    made_tally(both, 2, sort, first, n, MADE_PLOT_DRAWS, &tally) == STATUS_OK;
  const char* const plot = good ? made_plot(&arena, &tally) : NULL;
  if (plot) {
    (void)fputs(plot, stdout);
    (void)fprintf(stderr, "%d days: held %d, before the band %d, mean band %.1f min\n", tally.n,
                  tally.n_held, tally.n_below, tally.width_s / 60.0);
    for (int i = 0; i < MADE_BINS; ++i) {
      (void)fprintf(stderr, "band %d: %.1f; chance %d-%d: %d of %d\n", 10 * (i + 1),
                    100.0 * tally.n_within[i] / tally.n, 10 * i, 10 * i + 10, tally.n_came[i],
                    tally.n_said[i]);
    }
  }
  arena_deinit(&arena);
  return plot ? 0 : 1;
}
