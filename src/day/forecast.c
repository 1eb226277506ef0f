// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/forecast.h"

#include "base/rng.h"
#include "base/text.h"
#include "day/around.h"
#include "day/forecast_say.h"
#include "day/playout.h"
#include "day/repair.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/*
  Chance has one stream a line and draw, made of the seed and the two, so that a line that is no
  longer left changes nothing for the others, and every plan meets the same luck.

  What one person needs for a line is gap x hands, because the gaps in the log are those of
  everybody at work together. Of a gap the desks need what the times say of hearing a line.
*/

enum { PLANS_MAX = FORECAST_HELPS + 1, NORMALS = 4, BAD_LOOKED_AT = 6 };

/// A way round is told to every desk and plugged in one go: its time strays by half in ratio.
#define ROUND_SPREAD 0.4

typedef struct {
  ForecastHelp help;
  int n_hands;
  bool has_mender, is_straight, is_direct, goes_round, begins_now;
  const int* order;
  const double* walk_s;
  double sum_s;
  int n_in_time;
} Plan;

// What one draw makes of each line, by its index in the remains.
typedef struct {
  double work_s, pause_s, mend_s, round_s, wander;
} Luck;

typedef struct {
  Arena* arena;
  const Situation* s;
  const ForecastAsk* ask;
  Forecast* f;
  Plan plans[PLANS_MAX]; ///< The first is what goes on as it does
  int n_plans;
  double* way_s; ///< [n_lines] quickest way round what is told bad; 0 = none
  int mending;   ///< Index of the line somebody is at; -1 = nobody
  double listen_ratio;
  int n_draws;
  Luck* luck;       ///< [n_lines]
  PlayoutJob* jobs; ///< [n_lines]
  double* finish_s; ///< [n_draws] of the first plan
} Work;

const char*
forecast_clock(double after_midnight_s, char text[8])
{
  const long minute = (long)floor(after_midnight_s / 60.0);
  const int of_day = (int)(((minute % 1440) + 1440) % 1440);
  text[0] = (char)('0' + of_day / 600);
  text[1] = (char)('0' + of_day / 60 % 10);
  text[2] = ':';
  text[3] = (char)('0' + of_day % 60 / 10);
  text[4] = (char)('0' + of_day % 10);
  text[5] = '\0';
  return text;
}

// ---- By when ----

bool
forecast_clock_s(const char* text, double* seconds)
{
  const char* const colon = text ? strchr(text, ':') : NULL;
  char hours[4] = "";
  int hour = 0;
  int minute = 0;
  if (!colon || colon == text || colon - text > 2) {
    return false;
  }
  memcpy(hours, text, (size_t)(colon - text));
  if (!text_whole(hours, 0, 29, &hour) || strlen(colon + 1) != 2 ||
      !text_whole(colon + 1, 0, 59, &minute)) {
    return false;
  }
  *seconds = 3600.0 * hour + 60.0 * minute;
  return true;
}

static Status
set_time(Work* w)
{
  const Plant* const plant = w->s->plant;
  const Doors* const doors = &plant->doors;
  const double of_day_s = w->ask->now_s - w->ask->midnight_s;
  Forecast* const f = w->f;
  double at_s = 0.0;
  f->by_s = NAN;
  if (w->ask->by) {
    if (!forecast_clock_s(w->ask->by, &at_s)) {
      return STATUS_BAD_ARG;
    }
    f->by_sort = FORECAST_SAID;
    f->by_s = at_s - of_day_s + (at_s - of_day_s < -43200.0 ? 86400.0 : 0.0); // After midnight
  } else if (forecast_clock_s(doors->opens, &at_s)) {
    f->is_undated = !doors->date[0];
    const bool today = f->is_undated || (w->ask->today && !strcmp(doors->date, w->ask->today));
    f->by_sort = today ? FORECAST_DOORS : FORECAST_OTHER_DAY;
    f->by_s = today ? at_s - of_day_s : (double)NAN;
  }
  const Act* const act = w->s->act >= 0 ? &plant->acts[w->s->act] : NULL;
  double begins_s = 0.0;
  if (f->by_sort == FORECAST_DOORS && f->by_s < 0.0 && act &&
      forecast_clock_s(act->start, &begins_s) && begins_s > of_day_s &&
      (!act->date[0] || !strcmp(act->date, w->ask->today))) {
    f->by_sort = FORECAST_ACT;
    f->by_s = begins_s - of_day_s;
  }
  if (!isnan(f->by_s)) {
    (void)forecast_clock(of_day_s + f->by_s, f->by);
  }
  double checking_s = 0.0;
  if (f->going.n_visits == 0 && f->by_sort == FORECAST_DOORS &&
      forecast_clock_s(doors->checking, &checking_s) && checking_s > of_day_s &&
      checking_s < of_day_s + f->by_s) {
    f->start_s = checking_s - of_day_s;
  }
  return STATUS_OK;
}

// ---- Plans ----

static int
first_box(const Work* w)
{
  const Remains* const r = &w->f->remains;
  const int after = w->f->going.last_line;
  const int box = after >= 0       ? w->s->plant->lines[after].box
                  : r->n_lines > 0 ? w->s->plant->lines[r->lines[0].line].box
                                   : -1;
  for (int b = 0; b < r->n_boxes; ++b) {
    if (r->boxes[b].box == box) {
      return b;
    }
  }
  return 0;
}

static int
left_in_box(const Work* w, int box)
{
  int n = 0;
  for (int i = 0; i < w->f->remains.n_lines; ++i) {
    n += w->s->plant->lines[w->f->remains.lines[i].line].box == box;
  }
  return n;
}

static Status
add_plan(Work* w, ForecastHelpSort sort, int first, bool is_shortest, Plan** added)
{
  const size_t n = (size_t)w->f->remains.n_lines;
  int* const order = arena_array(w->arena, n, sizeof(int));
  double* const walk_s = arena_array(w->arena, n, sizeof(double));
  Status st = STATUS_OK;
  if (!order || !walk_s) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, remains_order(&w->f->remains, w->arena, first, w->f->going.last_line, is_shortest, order,
                        walk_s));
  *added = &w->plans[w->n_plans++];
  **added = (Plan){.help = {sort, "", -1, 0.0, NAN},
                   .n_hands = w->f->going.n_hands,
                   .order = order,
                   .walk_s = walk_s};
  return STATUS_OK;
}

// The box that is gone to last as things go: where somebody else would begin.
static int
far_box(const Work* w)
{
  const Remains* const r = &w->f->remains;
  const int here = first_box(w);
  int far = -1;
  for (int k = 1; k < r->n_boxes; ++k) {
    const int b = (here + k) % r->n_boxes;
    far = left_in_box(w, r->boxes[b].box) > 0 ? b : far;
  }
  return far;
}

static Status
find_ways(Work* w)
{
  const Remains* const r = &w->f->remains;
  int n_looked = 0;
  Status st = STATUS_OK;
  for (int i = 0; i < r->n_lines && n_looked < BAD_LOOKED_AT; ++i) {
    const AroundWay* ways = NULL;
    int n = 0;
    if (r->lines[i].is_bad && w->s->act >= 0) {
      TRY(st, around_ways(w->s, w->arena, r->lines[i].line, &ways, &n));
      w->way_s[i] = n > 0 ? ways[0].seconds : 0.0;
      ++n_looked;
    }
  }
  return STATUS_OK;
}

static Status
make_plans(Work* w, bool only_first)
{
  const Remains* const r = &w->f->remains;
  const int here = first_box(w);
  double expected = 0.0;
  bool has_way = false;
  bool has_isolated = false;
  Plan* p = NULL;
  Status st = STATUS_OK;
  TRY(st, add_plan(w, FORECAST_ORDER, here, false, &p));
  if (only_first || r->n_lines == 0) {
    return STATUS_OK;
  }
  for (int i = 0; i < r->n_lines; ++i) {
    expected += r->lines[i].bad_prob;
    has_way = has_way || w->way_s[i] > 0.0;
    has_isolated = has_isolated || r->lines[i].n_desks > r->lines[i].n_direct;
  }
  const int far = far_box(w);
  if (r->n_lines > 1 && w->f->going.n_hands < PLAYOUT_HANDS) {
    TRY(st, add_plan(w, FORECAST_PROVER, here, false, &p));
    p->n_hands += 1;
    p->help.box = far >= 0 ? r->boxes[far].box : -1;
  }
  if (expected > 0.05) {
    TRY(st, add_plan(w, FORECAST_MENDER, here, false, &p));
    p->has_mender = true;
  }
  if (w->f->start_s > 0.0) {
    TRY(st, add_plan(w, FORECAST_BEGIN, here, false, &p));
    p->begins_now = true;
  }
  if (has_way) {
    TRY(st, add_plan(w, FORECAST_ROUND, here, false, &p));
    p->goes_round = true;
  }
  if (w->f->going.pace.n_pauses >= 0.5) {
    TRY(st, add_plan(w, FORECAST_NO_PAUSE, here, false, &p));
    p->is_straight = true;
  }
  if (has_isolated) {
    TRY(st, add_plan(w, FORECAST_DIRECT, here, false, &p));
    p->is_direct = true;
  }
  for (int b = 0; b < r->n_boxes && w->n_plans < PLANS_MAX; ++b) {
    if (left_in_box(w, r->boxes[b].box) > 0 && left_in_box(w, r->boxes[b].box) < r->n_lines) {
      TRY(st, add_plan(w, FORECAST_ORDER, b, true, &p));
      p->help.box = r->boxes[b].box;
    }
  }
  return STATUS_OK;
}

// ---- One draw ----

static Rng
stream_of(uint64_t seed, int draw, int line)
{
  Rng mix;
  rng_init(&mix, seed + (uint64_t)draw * 0x9e3779b1U);
  Rng out;
  rng_init(&out, rng_bits(&mix) ^ ((uint64_t)(line + 2) * 0xd1342543de82ef95U));
  return out;
}

// Two at a time from two uniform numbers (Box and Muller 1958).
static void
normals(Rng* rng, double z[NORMALS])
{
  for (int i = 0; i < NORMALS; i += 2) {
    const double radius = sqrt(-2.0 * log(1.0 - rng_unit(rng)));
    const double turn = 6.28318530717958647692 * rng_unit(rng);
    z[i] = radius * cos(turn);
    z[i + 1] = radius * sin(turn);
  }
}

static double
search_s(const Remains* r, MendKind kind, double again, double log_ratio)
{
  const double own_s = r->mend_s[kind] - (kind > 0 ? r->mend_s[kind - 1] : 0.0);
  return (r->mend_s[kind] + (again > REPAIR_HELPS_PROB ? own_s : 0.0)) * exp(log_ratio);
}

static MendKind
kind_at(const RemainsLine* line, double unit)
{
  int k = 0;
  while (k + 1 < MEND_KINDS && line->kind_prob[k] <= unit) {
    ++k;
  }
  return (MendKind)k;
}

// The day's own luck: the pace, how well this crew mends, what takes many lines down.
typedef struct {
  PaceCell cell;
  PaceGap first; ///< The gap that is under way
  double mend_log;
  double to_test_s; ///< What a pass by lamp or meter still has before it
  int state;        ///< Index into the remains' states; -1 = none
  double state_again;
  double state_z;
} Today;

static Today
draw_today(const Work* w, int draw)
{
  const Going* const going = &w->f->going;
  const Remains* const r = &w->f->remains;
  Rng rng = stream_of(w->ask->seed ? w->ask->seed : FORECAST_SEED, draw, -1);
  double z[NORMALS];
  Today today = {.cell = pace_pick(&going->pace, rng_unit(&rng)), .state = -1};
  const double first = rng_unit(&rng);
  double shared = rng_unit(&rng);
  today.state_again = rng_unit(&rng);
  normals(&rng, z);
  today.first = pace_gap(&going->pace, &today.cell, going->is_mending ? 0.0 : going->waited_s,
                         first, z[0], z[1]);
  today.mend_log = going->mend_log + going->mend_spread * z[2];
  today.state_z = z[3];
  if (going->n_to_test > 0) {
    // So many gaps of one crew: their mean, pauses as they come
    const Pace* const pace = &going->by_tester[going->kind];
    const PaceCell cell = pace_pick(pace, rng_unit(&rng));
    today.to_test_s =
      going->n_to_test *
      (cell.mean_s +
       cell.pause_prob * exp(pace->pause_logs + 0.5 * pace->pause_spread * pace->pause_spread));
  }
  for (int i = 0; i < r->n_states && today.state < 0; ++i) {
    today.state = shared < r->states[i].prob ? i : -1;
    shared -= r->states[i].prob;
  }
  return today;
}

static void
draw_lines(Work* w, const Today* today, int draw)
{
  const Remains* const r = &w->f->remains;
  for (int i = 0; i < r->n_lines; ++i) {
    const RemainsLine* const line = &r->lines[i];
    Luck* const luck = &w->luck[i];
    Rng rng = stream_of(w->ask->seed ? w->ask->seed : FORECAST_SEED, draw, line->line);
    double z[NORMALS];
    const double found = rng_unit(&rng);
    const double kind = rng_unit(&rng);
    const double again = rng_unit(&rng);
    const double pause = rng_unit(&rng);
    normals(&rng, z);
    const PaceGap gap = pace_gap(&w->f->going.pace, &today->cell, 0.0, pause, z[0], z[1]);
    *luck = (Luck){.work_s = gap.work_s, .pause_s = gap.pause_s, .wander = z[3]};
    if (found < line->bad_prob) {
      luck->mend_s = search_s(r, kind_at(line, kind), again, today->mend_log + MEND_SPREAD * z[2]);
    }
    luck->round_s = w->way_s[i] > 0.0 ? w->way_s[i] * exp(ROUND_SPREAD * z[2]) : luck->mend_s;
    if (i == w->mending) {
      // Drawn among the searches that are not over by now
      const double middle = log(r->mend_s[kind_at(line, kind)]) + today->mend_log;
      luck->mend_s = pace_rest_s(middle, MEND_SPREAD, w->f->going.waited_s, z[2]);
    }
  }
  if (today->state >= 0) {
    const RemainsState* const state = &r->states[today->state];
    const double more_s =
      search_s(r, state->kind, today->state_again, today->mend_log + MEND_SPREAD * today->state_z);
    w->luck[state->line].mend_s += more_s;
    w->luck[state->line].round_s += more_s;
  }
}

static double
play(const Work* w, const Plan* plan, const Today* today)
{
  const Remains* const r = &w->f->remains;
  const double hands = w->f->going.n_hands;
  double wandered = 0.0;
  int n = 0;
  if (w->mending >= 0) {
    const Luck* const luck = &w->luck[w->mending];
    w->jobs[n++] = (PlayoutJob){0.0, 0.0, plan->goes_round ? luck->round_s : luck->mend_s};
  }
  for (int k = 0; k < r->n_lines; ++k) {
    const int i = plan->order[k];
    const RemainsLine* const line = &r->lines[i];
    const Luck* const luck = &w->luck[i];
    const bool is_first = n == 0 && w->f->going.waited_s > 0.0;
    double share = line->share;
    double listen = w->listen_ratio;
    if (i == w->mending) {
      continue;
    }
    if (plan->is_direct) {
      if (line->n_direct == 0) {
        continue;
      }
      // The hands' part stays, the desks' is that of fewer desks
      const double part = (double)line->n_direct / line->n_desks;
      share *= 1.0 - listen + listen * part;
      listen = listen * part / (1.0 - listen + listen * part);
    }
    wandered += PACE_WANDER_RATIO * luck->wander;
    const double gap_s = is_first ? today->first.work_s : luck->work_s * share * exp(wandered);
    const double pause_s = plan->is_straight ? 0.0
                           : is_first        ? today->first.pause_s
                                             : luck->pause_s;
    const double mend_s = plan->goes_round ? luck->round_s : luck->mend_s;
    w->jobs[n++] = (PlayoutJob){plan->walk_s[k] + pause_s + gap_s * fmax(hands - listen, 0.0),
                                gap_s * listen, mend_s};
  }
  return (plan->begins_now ? 0.0 : w->f->start_s) + today->to_test_s +
         playout_finish_s(w->jobs, n, plan->n_hands, plan->has_mender);
}

// ---- Many draws ----

static int
by_size(const void* a_, const void* b_)
{
  const double a = *(const double*)a_;
  const double b = *(const double*)b_;
  return (a > b) - (a < b);
}

// Between the two nearest of a sorted list.
static double
share_at(const double sorted[], int n, double prob)
{
  const double at = prob * n - 0.5;
  const int low = at <= 0.0 ? 0 : (int)at < n - 1 ? (int)at : n - 1;
  const int high = low + 1 < n ? low + 1 : low;
  const double part = fmin(fmax(at - low, 0.0), 1.0);
  return sorted[low] + part * (sorted[high] - sorted[low]);
}

static void
play_all(Work* w)
{
  const double by_s = w->f->by_s;
  for (int d = 0; d < w->n_draws; ++d) {
    const Today today = draw_today(w, d);
    draw_lines(w, &today, d);
    for (int p = 0; p < w->n_plans; ++p) {
      Plan* const plan = &w->plans[p];
      const double done_s = play(w, plan, &today);
      plan->sum_s += done_s;
      plan->n_in_time += done_s <= by_s;
      if (p == 0) {
        w->finish_s[d] = done_s;
      }
    }
  }
  qsort(w->finish_s, (size_t)w->n_draws, sizeof(double), by_size);
  w->f->low_s = share_at(w->finish_s, w->n_draws, FORECAST_LOW_PROB);
  w->f->middle_s = share_at(w->finish_s, w->n_draws, 0.5);
  w->f->high_s = share_at(w->finish_s, w->n_draws, FORECAST_HIGH_PROB);
}

// So many draws say no more than this: none is never impossible, all is never certain.
static double
chance_of(const Work* w, const Plan* plan)
{
  return isnan(w->f->by_s)   ? (double)NAN
         : w->f->by_s <= 0.0 ? 0.0
                             : (plan->n_in_time + 0.5) / (w->n_draws + 1.0);
}

static bool
is_better(const ForecastHelp* a, const ForecastHelp* b)
{
  if (!isnan(a->chance) && fabs(a->chance - b->chance) >= FORECAST_HELPS_PROB) {
    return a->chance > b->chance;
  }
  return a->sooner_s > b->sooner_s;
}

// Those that help, most first; of several orders the best alone.
static Status
rank_helps(Work* w)
{
  Forecast* const f = w->f;
  ForecastHelp* const helps = arena_array(w->arena, FORECAST_HELPS, sizeof(*helps));
  bool has_order = false;
  if (!helps) {
    return STATUS_NO_MEMORY;
  }
  for (int p = 1; p < w->n_plans; ++p) {
    ForecastHelp help = w->plans[p].help;
    help.sooner_s = (w->plans[0].sum_s - w->plans[p].sum_s) / w->n_draws;
    help.chance = chance_of(w, &w->plans[p]);
    const bool more = !isnan(f->chance) && help.chance - f->chance >= FORECAST_HELPS_PROB;
    const bool is_kept = (help.sooner_s >= FORECAST_HELPS_S || (more && help.sooner_s > 0.0)) &&
                         (help.sort != FORECAST_DIRECT || f->chance < FORECAST_GIVE_UP_PROB);
    int at = f->n_helps;
    while (is_kept && at > 0 && is_better(&help, &helps[at - 1])) {
      helps[at] = helps[at - 1];
      --at;
    }
    if (is_kept) {
      helps[at] = help;
      ++f->n_helps;
    }
  }
  int n = 0;
  for (int i = 0; i < f->n_helps; ++i) {
    if (helps[i].sort != FORECAST_ORDER || !has_order) {
      has_order = has_order || helps[i].sort == FORECAST_ORDER;
      helps[n++] = helps[i];
    }
  }
  f->n_helps = n;
  f->helps = helps;
  Status st = STATUS_OK;
  for (int i = 0; i < n; ++i) {
    TRY(st, forecast_say_help(w->arena, w->s->plant, f, &helps[i]));
  }
  return STATUS_OK;
}

Status
forecast_foretell(Arena* arena, const Situation* s, const Fold* fold, const ForecastAsk* ask,
                  bool is_past, Forecast* out)
{
  Work w = {.arena = arena, .s = s, .ask = ask, .f = out, .mending = -1};
  Status st = STATUS_OK;
  TRY(st, going_read(arena, s, fold, ask->now_s, ask->n_hands, &out->going));
  TRY(st, remains_read(arena, s, &out->remains));
  TRY(st, set_time(&w));
  const Remains* const r = &out->remains;
  const size_t n = (size_t)r->n_lines;
  w.n_draws = ask->n_draws > 0 ? ask->n_draws : FORECAST_DRAWS;
  w.way_s = arena_array(arena, n, sizeof(double));
  w.luck = arena_array(arena, n, sizeof(Luck));
  w.jobs = arena_array(arena, n, sizeof(PlayoutJob));
  w.finish_s = arena_array(arena, (size_t)w.n_draws, sizeof(double));
  if (!w.way_s || !w.luck || !w.jobs || !w.finish_s) {
    return STATUS_NO_MEMORY;
  }
  out->is_ready = r->n_lines == 0;
  if (out->is_ready) {
    out->start_s = 0.0;
    out->chance = isnan(out->by_s) ? (double)NAN : 1.0;
    return STATUS_OK;
  }
  for (int i = 0; i < r->n_lines; ++i) {
    w.mending = out->going.is_mending && r->lines[i].line == out->going.last_line ? i : w.mending;
  }
  out->going.is_mending = w.mending >= 0;
  const StepTime line = going_line_time(s->plant, s->act);
  w.listen_ratio = fmin(going_listen_time(s->plant, s->act).usual_s / fmax(line.usual_s, 1.0), 0.9);
  if (!is_past) {
    TRY(st, find_ways(&w));
  }
  TRY(st, make_plans(&w, is_past));
  play_all(&w);
  out->finish_s = w.finish_s;
  out->n_draws = w.n_draws;
  out->chance = chance_of(&w, &w.plans[0]);
  return is_past ? STATUS_OK : rank_helps(&w);
}

Status
forecast_make(Arena* arena, const Situation* situation, const Fold* fold, const ForecastAsk* ask,
              Forecast* forecast)
{
  Forecast out = {.say = "", .rests_on = ""};
  Status st = STATUS_OK;
  TRY(st, forecast_foretell(arena, situation, fold, ask, false, &out));
  TRY(st, forecast_say(arena, situation->plant, ask, &out));
  *forecast = out;
  return STATUS_OK;
}
