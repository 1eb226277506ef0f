// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/forecast_say.h"

/*
  The forecast as it was: the log is folded up to earlier moments, and each is asked what it would
  have foretold.
*/

// One moment: the facts up to and with number `n_facts` - 1 of the log.
static Status
look_back(Arena* arena, const Situation* s, const Fact facts[], size_t n_facts,
          const ForecastAsk* ask, double at_s, ForecastPoint* point)
{
  Fold fold;
  Situation* then = NULL;
  Forecast was = {.say = "", .rests_on = ""};
  ForecastAsk asked = *ask;
  Status st = STATUS_OK;
  asked.now_s = at_s;
  asked.n_draws = FORECAST_PAST_DRAWS;
  TRY(st, fold_make(arena, facts, n_facts, &fold, NULL));
  TRY(st, situation_new(arena, s->plant, s->act, &fold, &then));
  TRY(st, forecast_foretell(arena, then, &fold, &asked, true, &was));
  *point =
    (ForecastPoint){facts[n_facts - 1].seq, at_s, was.chance, at_s + was.low_s, at_s + was.high_s,
                    was.remains.n_ready};
  return STATUS_OK;
}

// Facts from the first reading of this session on, where something may have been proven.
static int
moments(const Fold* fold, const ForecastAsk* ask, int at[])
{
  int n = 0;
  double last_s = 0.0;
  for (size_t i = 0; i < fold->all.n_facts; ++i) {
    const Fact* const fact = &fold->all.facts[i]->fact;
    double at_s = 0.0;
    if (fact->kind != FACT_READING || !going_time_s(fact->time, &at_s) || at_s > ask->now_s ||
        ask->now_s - at_s >= GOING_DAY_S) {
      continue;
    }
    n = n > 0 && at_s - last_s > 2.0 * PACE_SESSION_S ? 0 : n; // A session of its own
    at[n++] = (int)i;
    last_s = at_s;
  }
  return n;
}

Status
forecast_past(Arena* arena, const Situation* s, const Fold* fold, const ForecastAsk* ask,
              const ForecastPoint** points, int* n)
{
  const size_t n_facts = fold->all.n_facts;
  Fact* const facts = arena_array(arena, n_facts, sizeof(*facts));
  int* const at = arena_array(arena, n_facts, sizeof(int));
  ForecastPoint* const made = arena_array(arena, FORECAST_PAST, sizeof(*made));
  Status st = STATUS_OK;
  if (!facts || !at || !made) {
    return STATUS_NO_MEMORY;
  }
  for (size_t i = 0; i < n_facts; ++i) {
    facts[i] = fold->all.facts[i]->fact;
  }
  const int n_moments = moments(fold, ask, at);
  const int by_work = FORECAST_PAST_WORK / (s->plant->n_lines > 0 ? s->plant->n_lines : 1);
  const int most = by_work < FORECAST_PAST ? by_work : FORECAST_PAST;
  const int n_points = n_moments < most ? n_moments : most;
  for (int p = 0; p < n_points && st == STATUS_OK; ++p) {
    // The last moment, and the others evenly before it
    const int k = n_points > 1 ? (int)((int64_t)p * (n_moments - 1) / (n_points - 1)) : 0;
    double at_s = 0.0;
    (void)going_time_s(facts[at[k]].time, &at_s);
    Arena scratch;
    arena_init(&scratch, &arena->from);
    st = look_back(&scratch, s, facts, (size_t)at[k] + 1, ask, at_s, &made[p]);
    arena_deinit(&scratch);
  }
  if (st == STATUS_OK) {
    *points = made;
    *n = n_points;
  }
  return st;
}
