// SPDX-License-Identifier: GPL-3.0-or-later
/*
  Proving: 48 lines told good one after the other by phantom and lamp, each time from the facts to
  the next screen; the whole answer with the best order, on the demo and on a festival of 8 acts on
  192 lines at three desks after a pass over all of them. The best of three runs.
*/
#include "day/proof.h"
#include "day/round.h"
#include "measure.h"

#include <stdio.h>
#include <stdlib.h>

enum { N_RUNS = 3, MAX_FACTS = 256 };

typedef struct {
  Arena arena;
  const Plant* plant;
  Fact facts[MAX_FACTS];
  size_t n;
} Log;

static void
tell(Log* log, FactKind kind, const FactBody* body)
{
  Fact* const fact = &log->facts[log->n];
  measure_must(log->n < MAX_FACTS && fact_make(&log->arena, kind, body, "2031-06-14T10:00:00Z", "",
                                               "", fact, NULL) == STATUS_OK,
               "a fact");
  fact->seq = (int64_t)++log->n;
}

// Where the pass stands, from the facts on.
static void
stand(Arena* arena, const Log* log, int act, bool is_whole, Prove* prove)
{
  const ProveAsk ask = {.box = -1, .line = -1};
  const RoundAsk about = {0, false, NULL, 0};
  Fold fold;
  Situation* s = NULL;
  Round round;
  measure_must(fold_make(arena, log->facts, log->n, &fold, NULL) == STATUS_OK, "no fold");
  measure_must(situation_new(arena, log->plant, act, &fold, &s) == STATUS_OK, "no situation");
  measure_must(prove_now(s, &fold, arena, &ask, prove) == STATUS_OK, "no pass");
  measure_must(!is_whole || round_plan(s, prove, arena, &about, &round) == STATUS_OK, "no order");
}

static void
measure(const char* name, const Log* log, int act)
{
  double best_ms = 1e9;
  for (int run = 0; run < N_RUNS; ++run) {
    Arena arena;
    Prove prove;
    arena_init(&arena, NULL);
    const double start_ms = measure_ms();
    stand(&arena, log, act, true, &prove);
    const double took_ms = measure_ms() - start_ms;
    best_ms = took_ms < best_ms ? took_ms : best_ms;
    arena_deinit(&arena);
  }
  printf("figure: prove_%s_ms %.3f ms\n", name, best_ms);
}

// Every line good, its facts folded and its screen made anew for each.
static void
entry(Log* log)
{
  const FactBody begun = {.how = "lamp", .act = ""};
  const double start_ms = measure_ms();
  int n = 0;
  tell(log, FACT_PASS_BEGUN, &begun);
  for (;; ++n) {
    Arena arena;
    Prove prove;
    arena_init(&arena, NULL);
    stand(&arena, log, -1, false, &prove);
    if (prove.at >= 0) {
      const ProveFact* const good = &prove.lines[prove.at].good;
      const FactBody body = {.line = good->line,
                             .check = "lamps",
                             .reading = arena_copy(&log->arena, good->reading),
                             .at = "socket",
                             .act = ""};
      tell(log, FACT_READING, &body);
    }
    arena_deinit(&arena);
    if (prove.at < 0) {
      break;
    }
  }
  measure_must(n == log->plant->n_lines, "not every line was told good");
  printf("figure: prove_line_ms %.3f ms\n", (measure_ms() - start_ms) / n);
  printf("figure: prove_lines %d lines\n", n);
}

static void
demo(void)
{
  Plant plant;
  Log* const log = calloc(1, sizeof(Log));
  measure_must(log != NULL, "no memory");
  arena_init(&log->arena, NULL);
  measure_demo(&log->arena, NULL, 0, &plant);
  log->plant = &plant;
  measure("demo", log, 0);
  measure("demo_bare", log, -1);
  entry(log);
  arena_deinit(&log->arena);
  free(log);
}

static void
festival(void)
{
  static const MeasureFestival ask = {.box_sockets = 48, .has_kit = true};
  Plant plant;
  Log* const log = calloc(1, sizeof(Log));
  measure_must(log != NULL, "no memory");
  arena_init(&log->arena, NULL);
  measure_festival(&log->arena, &ask, &plant);
  log->plant = &plant;
  const FactBody begun = {.how = "heard", .act = "act1"};
  tell(log, FACT_PASS_BEGUN, &begun);
  for (int l = 0; l < MEASURE_LINES; ++l) {
    const FactBody good = {
      .line = l + 1, .check = "level", .reading = "normal", .at = "foh", .act = "act1"};
    tell(log, FACT_READING, &good);
  }
  measure("8_acts_192_lines", log, 0);
  arena_deinit(&log->arena);
  free(log);
}

int
main(void)
{
  demo();
  festival();
  return 0;
}
