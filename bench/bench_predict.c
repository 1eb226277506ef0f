// SPDX-License-Identifier: GPL-3.0-or-later

/*
  The prediction table of the whole demo event: every fault of every line in every act, with the
  line's own source and with the known-good microphone, and what each check would show of it. Equal
  circuits are solved once, so the circuits stay far fewer than the views. Then the seconds that one
  answer takes: the situation of an act, and the advice for one line and for all of them.
  LINEWALK_DEMO names the folder of the lists (default "demo").
*/

#include "day/next.h"
#include "measure.h"

#include <stdio.h>

// One row: what each check shows of one condition.
static long
show_rows(const Plant* plant, int line, const View* view, const View* known)
{
  long n_rows = 0;
  for (int sort = 0; sort < CHECK_COUNT; ++sort) {
    for (int d = -1; sort != CHECK_SWAP && d < plant->n_desks; ++d) {
      const bool at_desk = sort <= CHECK_SEEN;
      if (d < 0 ? !at_desk : (at_desk || sort == CHECK_LOOK) && plant->lines[line].desk_input[d]) {
        int keys[PREDICT_MAX_KEYS];
        n_rows += predict_keys(plant, line, (Check){(CheckSort)sort, d}, view, known, keys);
      }
    }
  }
  return n_rows;
}

static bool
whole_table(const Plant* plant)
{
  int n_views = 0;
  int n_circuits = 0;
  long n_rows = 0;
  const double start_s = measure_s();
  for (int act = 0; act < plant->n_acts; ++act) {
    Arena arena;
    Predictor* predictor = NULL;
    arena_init(&arena, NULL);
    bool ok = predictor_new(&arena, plant, act, &predictor) == STATUS_OK;
    for (int l = 0; ok && l < plant->n_lines; ++l) {
      const Fault* faults = NULL;
      int n = 0;
      ok = catalogue_line(&arena, plant, act, l, &faults, &n) == STATUS_OK;
      for (int i = 0; ok && i < n; ++i) {
        const int own = plant_input(plant, act, l) ? l : -1;
        const Condition planned = {l, own, l, faults[i]};
        const Condition good = {l, PREDICT_KNOWN_GOOD, l, faults[i]};
        const View* view = NULL;
        const View* known = NULL;
        ok = predictor_view(predictor, &planned, &view) == STATUS_OK &&
             predictor_view(predictor, &good, &known) == STATUS_OK;
        n_rows += ok ? show_rows(plant, l, view, known) : 0;
      }
    }
    int c = 0;
    int v = 0;
    if (ok) {
      predictor_counts(predictor, &c, &v);
    }
    n_circuits += c;
    n_views += v;
    arena_deinit(&arena);
    if (!ok) {
      return false;
    }
  }
  printf("figure: predict_table_views %d views\n", n_views);
  printf("figure: predict_table_circuits %d circuits\n", n_circuits);
  printf("figure: predict_table_rows %ld rows\n", n_rows);
  printf("figure: predict_table_seconds %.4f s\n", measure_s() - start_s);
  return true;
}

static bool
advice(const Plant* plant, int act)
{
  static const NextOptions options = {0};
  Arena arena;
  Situation* s = NULL;
  NextAdvice out = {0};
  arena_init(&arena, NULL);
  double start_s = measure_s();
  bool ok = situation_new(&arena, plant, act, NULL, &s) == STATUS_OK;
  printf("figure: situation_seconds %.4f s\n", measure_s() - start_s);
  start_s = measure_s();
  ok = ok && next_advise(s, &arena, 0, &options, &out) == STATUS_OK;
  printf("figure: next_one_line_seconds %.4f s\n", measure_s() - start_s);
  for (int once = 0; once < 2; ++once) { // As for the line asked about, and as for all others
    const NextOptions looks = {.looks_once = once};
    start_s = measure_s();
    for (int l = 0; ok && l < plant->n_lines; ++l) {
      ok = next_advise(s, &arena, l, &looks, &out) == STATUS_OK;
    }
    printf("figure: next_all_%d_lines%s_seconds %.4f s\n", plant->n_lines,
           once ? "_one_step_ahead" : "", measure_s() - start_s);
  }
  arena_deinit(&arena);
  return ok;
}

int
main(void)
{
  Arena arena;
  Plant plant;
  arena_init(&arena, NULL);
  measure_demo(&arena, NULL, 0, &plant);
  const bool ok = whole_table(&plant) && advice(&plant, plant.n_acts > 1 ? 1 : 0);
  arena_deinit(&arena);
  return ok ? 0 : 4;
}
