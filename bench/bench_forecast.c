// SPDX-License-Identifier: GPL-3.0-or-later
/*
  A forecast with its history half through a day: the bare lines of the demo event, and a festival
  of 8 acts on 192 lines at three desks. Beside it what it has to stand on anyway, the odds of the
  situation, and what is asked: 1 s and 5 s. The best of three runs.
*/
#include "day/forecast.h"
#include "measure.h"

#include <stdio.h>

enum { N_RUNS = 3, N_DEMO = 9 };

// Half of the lines heard at every desk, one in 20 s.
static void
tell_half(Arena* arena, const Plant* plant, int act, Fact facts[], size_t* n)
{
  *n = 0;
  for (int l = 0; l < plant->n_lines / 2; ++l) {
    for (int d = 0; d < plant->n_desks; ++d) {
      const FactBody body = {.line = plant->lines[l].number,
                             .check = "level",
                             .reading = "normal",
                             .at = plant->desks[d].name,
                             .act = act < 0 ? "" : plant->acts[act].name};
      const int at = 20 * l + 2 * d;
      const char* const time =
        arena_format(arena, "2031-06-14T%02d:%02d:%02dZ", 10 + at / 3600, at / 60 % 60, at % 60);
      measure_must(time && fact_make(arena, FACT_READING, &body, time, "foh", "house desk",
                                     &facts[*n], NULL) == STATUS_OK,
                   "facts");
      facts[*n].seq = (int64_t)*n + 1;
      ++*n;
    }
  }
}

static void
measure(const char* name, const Plant* plant, int act)
{
  static Fact facts[PLANT_MAX_LINES * PLANT_DESKS];
  double best_ms[3] = {1e9, 1e9, 1e9};
  size_t n_facts = 0;
  double begun_s = 0.0;
  Arena told;
  arena_init(&told, NULL);
  tell_half(&told, plant, act, facts, &n_facts);
  measure_must(going_time_s("2031-06-14T10:00:00Z", &begun_s), "time");
  for (int run = 0; run < N_RUNS; ++run) {
    Arena arena;
    Fold fold;
    Situation* situation = NULL;
    Forecast forecast;
    const ForecastPoint* points = NULL;
    int n_points = 0;
    double at_ms[4];
    arena_init(&arena, NULL);
    measure_must(fold_make(&arena, facts, n_facts, &fold, NULL) == STATUS_OK, "fold");
    const ForecastAsk ask = {.now_s = begun_s + 10.0 * plant->n_lines + 5.0,
                             .midnight_s = begun_s - 36000.0,
                             .today = "2031-06-14",
                             .by = "14:00"};
    at_ms[0] = measure_ms();
    measure_must(situation_new(&arena, plant, act, &fold, &situation) == STATUS_OK, "situation");
    at_ms[1] = measure_ms();
    measure_must(forecast_make(&arena, situation, &fold, &ask, &forecast) == STATUS_OK, "forecast");
    at_ms[2] = measure_ms();
    measure_must(forecast_past(&arena, situation, &fold, &ask, &points, &n_points) == STATUS_OK,
                 "past");
    at_ms[3] = measure_ms();
    measure_must(!forecast.is_ready && n_points > 1, "half a day");
    for (int i = 0; i < 3; ++i) {
      const double took_ms = at_ms[i + 1] - at_ms[i];
      best_ms[i] = took_ms < best_ms[i] ? took_ms : best_ms[i];
    }
    arena_deinit(&arena);
  }
  printf("figure: forecast_%s_situation_ms %.1f ms\n", name, best_ms[0]);
  printf("figure: forecast_%s_ms %.1f ms\n", name, best_ms[1]);
  printf("figure: forecast_%s_history_ms %.1f ms\n", name, best_ms[2]);
  printf("figure: forecast_%s_answer_ms %.1f ms\n", name, best_ms[0] + best_ms[1] + best_ms[2]);
  printf("figure: forecast_%s_asked_ms %d at_most\n", name, act < 0 ? 1000 : 5000);
  arena_deinit(&told);
}

static void
demo(void)
{
  static const char* const names[N_DEMO] = {"boxes.csv",       "lines.csv",       "split.csv",
                                            "kinds.csv",       "inputs-act1.csv", "inputs-act2.csv",
                                            "inputs-act3.csv", "inputs-act4.csv", "places.csv"};
  Arena arena;
  Plant plant;
  arena_init(&arena, NULL);
  measure_demo(&arena, names, N_DEMO, &plant);
  measure("demo", &plant, -1);
  arena_deinit(&arena);
}

static void
festival(void)
{
  static const MeasureFestival ask = {.box_sockets = 48};
  Arena arena;
  Plant plant;
  arena_init(&arena, NULL);
  measure_festival(&arena, &ask, &plant);
  measure("8_acts_192_lines", &plant, 0);
  arena_deinit(&arena);
}

int
main(void)
{
  demo();
  festival();
  return 0;
}
