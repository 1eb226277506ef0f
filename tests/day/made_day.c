// SPDX-License-Identifier: GPL-3.0-or-later
#include "made_day.h"

#include "base/rng.h"
#include "base/text.h"
#include "day/repair.h"
#include "stage/lists.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FACTS_MAX = 2000, TRIES = 4, CLUMP_LINES = 6 };

#define STOP_S 1200.0

typedef struct {
  Arena* arena;
  const Plant* plant;
  Rng rng;
  Fact* facts;
  double* at_s;
  int n;
  double clock_s;
  double mean_s, least_s, drift, jump;
  int shape, jump_at;
  double next_break_s, break_every_s;
  bool failed;
} Day;

static const char* const desk_words[PLANT_DESKS] = {"foh", "mon", "broadcast"};

Status
made_plant(Arena* arena, int n_boxes, Plant* plant)
{
  TextOut boxes = {.arena = arena};
  TextOut lines = {.arena = arena};
  text_add(&boxes, "box,place,sockets,first_line\n");
  text_add(&lines, "line,box,socket,foh_input,mon_input,broadcast_input,spare\n");
  for (int b = 0; b < n_boxes; ++b) {
    text_add(&boxes, "%c,box %c,12,%d\n", 'A' + b, 'A' + b, 12 * b + 1);
    for (int i = 1; i <= 12; ++i) {
      const int l = 12 * b + i;
      text_add(&lines, "%d,%c,%d,%d,%d,%d,no\n", l, 'A' + b, i, l, l, l);
    }
  }
  const char* const box_text = text_done(&boxes);
  const char* const line_text = text_done(&lines);
  if (!box_text || !line_text) {
    return STATUS_NO_MEMORY;
  }
  const ListText lists[] = {{"boxes.csv", box_text, strlen(box_text)},
                            {"lines.csv", line_text, strlen(line_text)}};
  return lists_build(arena, lists, 2, 0, plant, NULL);
}

// ---- Telling ----

static void
tell(Day* d, int line, const char* check, const char* reading, const char* at)
{
  const FactBody body = {
    .line = d->plant->lines[line].number, .check = check, .reading = reading, .at = at};
  const int of_day = (int)floor(d->clock_s);
  const char* const time =
    arena_format(d->arena, "2031-06-14T%02d:%02d:%02d.%03dZ", of_day / 3600, of_day / 60 % 60,
                 of_day % 60, (int)((d->clock_s - of_day) * 1000.0));
  if (d->n == FACTS_MAX || !time ||
      fact_make(d->arena, FACT_READING, &body, time, "foh", "house desk", &d->facts[d->n], NULL) !=
        STATUS_OK) {
    d->failed = true;
    return;
  }
  d->facts[d->n].seq = d->n + 1;
  d->at_s[d->n++] = d->clock_s;
}

static void
hear(Day* d, int line, bool good)
{
  for (int k = 0; k < d->plant->n_desks; ++k) {
    d->clock_s += k > 0 ? 0.5 + 2.5 * rng_unit(&d->rng) : 0.0;
    tell(d, line, "level", good ? "normal" : "nothing", desk_words[k]);
  }
}

// ---- Time goes by ----

static double
wait_s(Rng* rng, double mean_s)
{
  return -mean_s * log(1.0 - rng_unit(rng));
}

static double
triangle_s(Rng* rng, double low, double peak, double high)
{
  const double u = rng_unit(rng);
  const double cut = (peak - low) / (high - low);
  return u < cut ? low + sqrt(u * (high - low) * (peak - low))
                 : high - sqrt((1.0 - u) * (high - low) * (high - peak));
}

static double
time_s(Day* d, const char* step)
{
  for (int i = 0; i < d->plant->n_times; ++i) {
    const StepTime* const t = &d->plant->times[i];
    if (text_same(t->step, step)) {
      const double slow_s = isfinite(t->slow_s) ? t->slow_s : 3.0 * t->usual_s;
      return triangle_s(&d->rng, t->quick_s, t->usual_s, slow_s);
    }
  }
  return 30.0;
}

// From one line to the next: a least time, then a sum of waits; breaks come by the clock.
static void
work(Day* d, int k, int n)
{
  const double along = n > 1 ? (double)k / (n - 1) : 0.0;
  const double mean_s = d->mean_s * (1.0 + d->drift * along) * (k >= d->jump_at ? d->jump : 1.0);
  double gap_s = d->least_s * mean_s;
  for (int i = 0; i < d->shape; ++i) {
    gap_s += wait_s(&d->rng, mean_s * (1.0 - d->least_s) / d->shape);
  }
  d->clock_s += gap_s;
  if (d->clock_s > d->next_break_s) {
    d->clock_s += 120.0 + 420.0 * rng_unit(&d->rng);
    d->next_break_s = d->clock_s + wait_s(&d->rng, d->break_every_s);
  }
}

// ---- Faults: what a share of the odds list says, kind by kind ----

typedef struct {
  const char* where;
  MendKind kind;
} Share;

static const Share shares[] = {{"cable", MEND_CABLE},         {"plug", MEND_PLUG},
                               {"desk", MEND_DESK},           {"box socket", MEND_SOCKET},
                               {"multicore pair", MEND_DEEP}, {"split side", MEND_DEEP},
                               {"desk input", MEND_DEEP},     {"something else", MEND_DEEP}};
enum { N_SHARES = sizeof(shares) / sizeof(shares[0]) };

// -1 = the line is good. No plugs are in the wrong socket and no cable is there but the one that is
// walked along, which is known to be good: those shares count a third, for tails and adaptors.
static int
fault_of(Day* d)
{
  double u = rng_unit(&d->rng) / CATALOGUE_BAD_PROB;
  for (int i = 0; i < d->plant->n_odds; ++i) {
    for (int k = 0; k < N_SHARES; ++k) {
      if (text_same(d->plant->odds[i].where, shares[k].where)) {
        u -= d->plant->odds[i].share * (k < 2 ? 1.0 / 3.0 : 1.0);
        if (u < 0.0) {
          return (int)shares[k].kind;
        }
      }
    }
  }
  return -1;
}

// Tried as habit has it, until the right thing is tried; one try in seventeen fails.
static void
mend(Day* d, int line, MendKind kind)
{
  static const struct {
    MendKind kind;
    const char* step;
    const char* swap;
  } habit[TRIES] = {{MEND_CABLE, "swap a cable", "swap cable"},
                    {MEND_PLUG, "move a plug at a box", "swap plug"},
                    {MEND_DESK, "look at one channel at a desk", "swap desk"},
                    {MEND_SOCKET, "move a plug at a box", "swap socket"}};
  d->clock_s += time_s(d, "see which channel is silent");
  d->clock_s += time_s(d, "ask over the intercom and be answered");
  for (int i = 0; i < TRIES; ++i) {
    d->clock_s += time_s(d, habit[i].step);
    if (habit[i].kind == kind && rng_unit(&d->rng) < REPAIR_HELPS_PROB) {
      tell(d, line, habit[i].swap, "better", NULL);
      return;
    }
    tell(d, line, habit[i].swap, "same", NULL);
  }
  d->clock_s += time_s(d, "unlock, look at and lock a multipin");
  tell(d, line, "swap tail", "better", NULL);
}

// ---- The day ----

static void
draw_crew(Day* d, int n)
{
  Rng* const rng = &d->rng;
  d->mean_s = 11.0 + 21.0 * rng_unit(rng);
  d->least_s = 0.3 + 0.4 * rng_unit(rng);
  d->shape = 1 + rng_below(rng, 4);
  d->drift = -0.25 + 0.6 * rng_unit(rng);
  d->jump_at = rng_unit(rng) < 0.3 ? rng_below(rng, n) : n;
  d->jump = 0.75 + 0.6 * rng_unit(rng);
  d->break_every_s = 900.0 + 3600.0 * rng_unit(rng);
  d->clock_s = 10.0 * 3600.0 + 3600.0 * rng_unit(rng);
  d->next_break_s = d->clock_s + wait_s(rng, d->break_every_s);
}

Status
made_day(Arena* arena, const Plant* plant, MadeSort sort, uint64_t seed, MadeDay* day)
{
  const int n = plant->n_lines;
  Day d = {.arena = arena,
           .plant = plant,
           .facts = arena_array(arena, FACTS_MAX, sizeof(Fact)),
           .at_s = arena_array(arena, FACTS_MAX, sizeof(double))};
  int* const late = arena_array(arena, (size_t)n, sizeof(int));
  MendKind* const late_kind = arena_array(arena, (size_t)n, sizeof(MendKind));
  int n_late = 0;
  if (!d.facts || !d.at_s || !late || !late_kind) {
    return STATUS_NO_MEMORY;
  }
  rng_init(&d.rng, seed);
  (void)rng_bits(&d.rng);
  draw_crew(&d, n);
  const bool leaves = rng_unit(&d.rng) < 1.0 / 3.0;
  const double begun_s = d.clock_s;
  // A usual day draws nothing here: its seeds stand in the plot
  const int twist_at = sort == MADE_USUAL           ? n
                       : sort == MADE_TWICE_AS_SLOW ? n / 4 + rng_below(&d.rng, n / 2)
                                                    : rng_below(&d.rng, n);
  for (int l = 0; l < n; ++l) {
    int kind = fault_of(&d);
    if (sort == MADE_TWICE_AS_SLOW && l == twist_at) {
      d.mean_s *= 2.0;
    }
    if (sort == MADE_STOP && l == twist_at) {
      d.clock_s += STOP_S;
    }
    if (sort == MADE_CLUMP && l >= twist_at && l < twist_at + CLUMP_LINES &&
        plant->lines[l].box == plant->lines[twist_at].box && rng_unit(&d.rng) < 0.8) {
      kind = MEND_DEEP;
    }
    work(&d, l, n);
    hear(&d, l, kind < 0);
    if (kind >= 0 && leaves && rng_unit(&d.rng) < 0.5) {
      late[n_late] = l;
      late_kind[n_late++] = (MendKind)kind;
    } else if (kind >= 0) {
      mend(&d, l, (MendKind)kind);
      d.clock_s += 2.0 + 6.0 * rng_unit(&d.rng);
      hear(&d, l, true);
    }
  }
  for (int i = 0; i < n_late; ++i) {
    mend(&d, late[i], late_kind[i]);
    d.clock_s += 2.0 + 6.0 * rng_unit(&d.rng);
    hear(&d, late[i], true);
  }
  double day_s = 0.0;
  (void)going_time_s("2031-06-14T00:00:00Z", &day_s);
  // One in ten is asked as they begin; else anywhere in the first nine tenths
  const double at = rng_unit(&d.rng);
  const double part = rng_unit(&d.rng);
  const double now_s = at < 0.1 ? begun_s : begun_s + 0.9 * part * (d.clock_s - begun_s);
  int n_told = 0;
  while (n_told < d.n && d.at_s[n_told] <= now_s) {
    ++n_told;
  }
  if (d.failed) {
    return STATUS_NO_MEMORY;
  }
  *day = (MadeDay){plant, n_told, d.facts, day_s + now_s, day_s + d.clock_s};
  return STATUS_OK;
}

// ---- How forecasts did ----

static Status
one_day(const Plant* plant, MadeSort sort, uint64_t seed, int n_draws, MadeTally* t)
{
  Arena arena;
  arena_init(&arena, NULL);
  MadeDay day;
  Fold fold;
  Situation* s = NULL;
  Forecast f;
  Status st = made_day(&arena, plant, sort, seed, &day);
  st = st == STATUS_OK ? fold_make(&arena, day.facts, (size_t)day.n_facts, &fold, NULL) : st;
  st = st == STATUS_OK ? situation_new(&arena, plant, -1, &fold, &s) : st;
  const ForecastAsk ask = {.now_s = day.now_s, .today = "", .n_draws = n_draws, .seed = seed};
  st = st == STATUS_OK ? forecast_make(&arena, s, &fold, &ask, &f) : st;
  if (st == STATUS_OK && !f.is_ready) {
    const double truth_s = day.done_s - day.now_s;
    int n_before = 0;
    for (int i = 0; i < f.n_draws; ++i) {
      n_before += f.finish_s[i] < truth_s;
    }
    const double place = (n_before + 0.5) / (f.n_draws + 1.0);
    ++t->n;
    t->n_held += truth_s >= f.low_s && truth_s <= f.high_s;
    t->n_below += truth_s < f.low_s;
    t->width_s += f.high_s - f.low_s;
    for (int i = 0; i < MADE_BINS; ++i) {
      t->n_within[i] += 2.0 * fabs(place - 0.5) <= 0.1 * (i + 1);
    }
    // A time by which somebody wants it, from hardly to easily
    Rng rng;
    rng_init(&rng, seed ^ 0x5bd1e995U);
    const double by_s = f.middle_s * (0.5 + 1.2 * rng_unit(&rng));
    int n_in_time = 0;
    for (int i = 0; i < f.n_draws; ++i) {
      n_in_time += f.finish_s[i] <= by_s;
    }
    const double chance = (n_in_time + 0.5) / (f.n_draws + 1.0);
    const int bin = chance < 1.0 ? (int)(chance * MADE_BINS) : MADE_BINS - 1;
    ++t->n_said[bin];
    t->n_came[bin] += truth_s <= by_s;
  }
  arena_deinit(&arena);
  return st;
}

Status
made_tally(const Plant* const plants[], int n_plants, MadeSort sort, int first, int n, int n_draws,
           MadeTally* tally)
{
  MadeTally t = {0};
  for (int i = first; i < first + n; ++i) {
    Status st;
    TRY(st, one_day(plants[i % n_plants], sort, (uint64_t)i + 1, n_draws, &t));
  }
  t.width_s /= t.n > 0 ? t.n : 1;
  *tally = t;
  return STATUS_OK;
}

// ---- The plot ----

static void
panel(TextOut* out, double x, const char* title, const char* across, const char* up)
{
  text_add(out, "<g transform=\"translate(%.0f 60)\">\n", x);
  text_add(out, "<text x=\"0\" y=\"-28\" font-size=\"16\" font-weight=\"bold\">%s</text>\n", title);
  for (int i = 0; i <= 5; ++i) {
    const double at = 60.0 * i;
    text_add(out,
             "<path d=\"M0 %.0fH300M%.0f 0V300\" stroke=\"#c8ccc4\" fill=\"none\"/>\n"
             "<text x=\"%.0f\" y=\"320\" text-anchor=\"middle\">%d</text>\n"
             "<text x=\"-8\" y=\"%.0f\" text-anchor=\"end\">%d</text>\n",
             at, at, at, 20 * i, 304.0 - at, 20 * i);
  }
  text_add(out, "<path d=\"M0 300L300 0\" stroke=\"#5a656c\" stroke-dasharray=\"6 4\"/>\n");
  text_add(out, "<text x=\"150\" y=\"342\" text-anchor=\"middle\">%s</text>\n", across);
  text_add(out, "<text x=\"0\" y=\"-8\">%s</text>\n", up);
}

// A share with twice its standard error on both sides.
static void
dot(TextOut* out, double stated, int n_yes, int n)
{
  if (n > 0) {
    const double share = (double)n_yes / n;
    const double error = 2.0 * sqrt(fmax(share * (1.0 - share), 0.0025) / n);
    text_add(out,
             "<path d=\"M%.1f %.1fV%.1f\" stroke=\"#0a3a74\" stroke-width=\"2\"/>"
             "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"5\" fill=\"#0a3a74\"><title>%d of %d</title>"
             "</circle>\n",
             300.0 * stated, 300.0 - 300.0 * fmin(share + error, 1.0),
             300.0 - 300.0 * fmax(share - error, 0.0), 300.0 * stated, 300.0 - 300.0 * share, n_yes,
             n);
  }
}

const char*
made_plot(Arena* arena, const MadeTally* t)
{
  TextOut out = {.arena = arena};
  text_add(&out,
           "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 800 450\" font-family=\"sans-"
           "serif\" font-size=\"13\" fill=\"#080c0f\">\n"
           "<!-- SPDX-License-Identifier: GPL-3.0-or-later. Made by tests/day/forecast_plot; "
           "\"make long\" makes it again and compares. -->\n"
           "<title>How forecasts held over %d made days</title>\n"
           "<rect width=\"800\" height=\"450\" fill=\"#ffffff\"/>\n",
           t->n);
  panel(&out, 60.0, "Bands", "stated: the middle ... in 100", "days that ended in it, in 100");
  for (int i = 0; i + 1 < MADE_BINS; ++i) {
    dot(&out, 0.1 * (i + 1), t->n_within[i], t->n);
  }
  text_add(&out, "</g>\n");
  panel(&out, 460.0, "Chances", "stated chance of being in time, in 100", "days that were, in 100");
  for (int i = 0; i < MADE_BINS; ++i) {
    dot(&out, 0.1 * i + 0.05, t->n_came[i], t->n_said[i]);
  }
  text_add(&out,
           "</g>\n<text x=\"60\" y=\"432\">%d days by other rules than the forecast's own; the 80 "
           "in 100 band held %.1f in 100. Bars: twice the standard error.</text>\n</svg>\n",
           t->n, 100.0 * t->n_held / t->n);
  return text_done(&out);
}
