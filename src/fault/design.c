// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/design.h"

#include "base/rng.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/*
  A setting is a list of resistors: lamps first, then the sender's values (tied branches share one).
  Ports depend on the sender's values alone, so they are kept for the last setting of these; lamps
  are solved on them. Pairs are judged as soon as both of their faults are solved, beginning with
  the pair that killed the last setting: most settings die after two solves.
*/

enum {
  MOST_EXHAUSTIVE = 200000,
  N_STARTS = 600,
  SAY_EVERY = 256,
  FEW_VALUES = 10,
  MOST_ROUNDS = 8
};

// E6 and E24: IEC 60063.
static const double e6_ohm[] = {47,   68,   100,  150,  220,  330,  470,  680,
                                1000, 1500, 2200, 3300, 4700, 6800, 10000};
static const double e24[] = {10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30,
                             33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91};
static const double usual_via_ohm[] = {10, 110, 220, 470, 1000};
static const double usual_divider_ohm[] = {100, 220, 470, 1000, 2200};

enum { N_FINE = 24 * 4 };

#define NEIGHBOURS_RATIO 1.7 // Five or six values of E24 on either side

typedef struct {
  bool is_lamp;
  int parts[TESTER_MAX_SENDER]; ///< Parts of the tester that this value sets
  int n_parts;
  const double* coarse_ohm;
  int n_coarse;
} Value;

typedef struct {
  double score[2]; ///< [0] minus the number of pairs not told (0 by lit or dark), [1] the margin
} Rank;

typedef struct {
  const DesignTask* task;
  Tester tester; ///< Being tried
  TesterPart parts[TESTER_MAX_LAMPS + TESTER_MAX_BATTERIES + TESTER_MAX_SENDER];
  Value values[DESIGN_MAX_VALUES];
  int n_values, n_lamps;
  double ohm[DESIGN_MAX_VALUES];
  double fine_ohm[N_FINE];
  int n_fine;
  CardFault faults[DESIGN_MAX_FAULTS];
  int n_faults;
  CardSituation supplies[DESIGN_SUPPLIES];
  int n_supplies;
  bool never[DESIGN_SUPPLIES][DESIGN_MAX_FAULTS][DESIGN_MAX_FAULTS]; ///< two < one
  Port ports[DESIGN_SUPPLIES][DESIGN_MAX_FAULTS];
  bool has_ports[DESIGN_SUPPLIES];
  LampTester lamps;
  double lamp_a[DESIGN_SUPPLIES][DESIGN_MAX_FAULTS][LAMP_MAX];
  bool is_solved[DESIGN_SUPPLIES][DESIGN_MAX_FAULTS];
  int killer[3]; ///< Supply, one, two
  long n_tried;
} Search;

// ---- Scores ----

static double
lamp_score(DesignBy by, double x_a, double y_a)
{
  if (by == DESIGN_BRIGHT) {
    if (fmin(fabs(x_a), fabs(y_a)) > DESIGN_SEEN_A && (x_a > 0.0) != (y_a > 0.0)) {
      return DESIGN_SURE;
    }
    const double x = fmax(fabs(x_a), DESIGN_SEEN_A);
    const double y = fmax(fabs(y_a), DESIGN_SEEN_A);
    return x > y ? x / y : y / x;
  }
  double best = 0.0;
  for (int colour = 0; colour < 2; ++colour) {
    const double x = fmax(colour ? -x_a : x_a, 1e-12);
    const double y = fmax(colour ? -y_a : y_a, 1e-12);
    best = fmax(best, fmin(x / DESIGN_LIT_A, DESIGN_SEEN_A / y));
    best = fmax(best, fmin(y / DESIGN_LIT_A, DESIGN_SEEN_A / x));
  }
  return best;
}

static double
needed(DesignBy by)
{
  return by == DESIGN_BRIGHT ? CARD_BRIGHT_RATIO : 1.0;
}

// Solves a fault unless that was done; false when a lamp gets more than it may.
static bool
solve(Search* s, int supply, int fault)
{
  if (s->is_solved[supply][fault]) {
    return true;
  }
  double* const lamp_a = s->lamp_a[supply][fault];
  if (lamp_solve(&s->lamps, &s->ports[supply][fault], lamp_a, NULL, NULL) != STATUS_OK) {
    return false;
  }
  for (int k = 0; k < s->n_lamps; ++k) {
    if (!(fabs(lamp_a[k]) <= s->task->most_a)) {
      return false;
    }
  }
  s->is_solved[supply][fault] = true;
  return true;
}

static double
pair_score(const Search* s, int supply, int one, int two)
{
  double best = 0.0;
  for (int k = 0; k < s->n_lamps && best < DESIGN_SURE; ++k) {
    best =
      fmax(best, lamp_score(s->task->by, s->lamp_a[supply][one][k], s->lamp_a[supply][two][k]));
  }
  return best;
}

static bool
is_better(const Rank* a, const Rank* b)
{
  return a->score[0] != b->score[0] ? a->score[0] > b->score[0] : a->score[1] > b->score[1];
}

// ---- Settings ----

static void
set_value(Search* s, int value, double ohm)
{
  const Value* const v = &s->values[value];
  if (s->ohm[value] == ohm) {
    return;
  }
  s->ohm[value] = ohm;
  for (int i = 0; i < v->n_parts; ++i) {
    s->parts[v->parts[i]].ohm = ohm;
  }
  for (int k = 0; k < s->n_supplies && !v->is_lamp; ++k) {
    s->has_ports[k] = s->has_ports[k] && s->supplies[k] != CARD_SENDER;
  }
}

// Ready to solve: ports of the sender as it is now, lamps as they are now.
static bool
begin(Search* s)
{
  for (int k = 0; k < s->n_supplies; ++k) {
    for (int f = 0; !s->has_ports[k] && f < s->n_faults; ++f) {
      card_port(&s->tester, s->supplies[k], &s->faults[f], &s->ports[k][f]);
    }
    s->has_ports[k] = true;
  }
  memset(s->is_solved, 0, sizeof(s->is_solved));
  ++s->n_tried;
  return tester_lamps(&s->tester, &s->lamps) == STATUS_OK;
}

// The rank of the setting, if it is better than `floor`.
static bool
try_setting(Search* s, const Rank* floor, Rank* rank)
{
  Rank now = {{0.0, DESIGN_SURE}};
  const double need = needed(s->task->by);
  if (!begin(s)) {
    return false;
  }
  for (int step = -1; step < s->n_supplies * s->n_faults * s->n_faults; ++step) {
    const int supply = step < 0 ? s->killer[0] : step / (s->n_faults * s->n_faults);
    const int one = step < 0 ? s->killer[1] : step / s->n_faults % s->n_faults;
    const int two = step < 0 ? s->killer[2] : step % s->n_faults;
    if (two >= one || s->never[supply][one][two]) {
      if (two == 0 && one == 0 && step >= 0 && !solve(s, supply, 0)) {
        return false;
      }
      continue;
    }
    if (!solve(s, supply, one) || !solve(s, supply, two)) {
      return false;
    }
    const double score = pair_score(s, supply, one, two);
    const bool told = step < 0 || score >= need || s->task->by == DESIGN_LIT;
    now.score[0] -= told ? 0.0 : 1.0;
    now.score[1] = fmin(now.score[1], score);
    // By brightness the first number can only fall, the second too
    Rank most = now;
    if (step < 0 && score < need && s->task->by == DESIGN_BRIGHT) {
      most.score[0] -= 1.0;
    }
    if (!is_better(&most, floor)) {
      s->killer[0] = supply;
      s->killer[1] = one;
      s->killer[2] = two;
      return false;
    }
  }
  *rank = now;
  return true;
}

// ---- Setting up ----

static Status
tie_values(Search* s)
{
  const DesignTask* const task = s->task;
  for (int i = 0; i < s->tester.n_parts; ++i) {
    const TesterPart* const p = &s->parts[i];
    int at = s->n_values;
    for (int v = s->n_lamps; v < s->n_values && p->sort == TESTER_SENDER; ++v) {
      const TesterPart* const other = &s->parts[s->values[v].parts[0]];
      at = other->from == p->from && other->ohm == p->ohm ? v : at;
    }
    if (p->sort == TESTER_BATTERY || (p->sort == TESTER_SENDER && !task->sender)) {
      continue;
    }
    if (p->sort == TESTER_LAMP && s->n_lamps != s->n_values) {
      return STATUS_BAD_ARG; // Lamps stand first (design_begin sees to it)
    }
    Value* const v = &s->values[at];
    if (at == s->n_values) {
      *v = (Value){.is_lamp = p->sort == TESTER_LAMP};
      s->ohm[s->n_values++] = p->ohm;
      s->n_lamps += v->is_lamp;
    }
    v->parts[v->n_parts++] = i;
  }
  for (int i = 0; i < s->n_values; ++i) {
    Value* const v = &s->values[i];
    const bool alone = v->n_parts == 1;
    v->coarse_ohm = v->is_lamp ? task->lamp_ohm : alone ? task->via_ohm : task->divider_ohm;
    v->n_coarse = v->is_lamp ? task->n_lamp_ohm : alone ? task->n_via_ohm : task->n_divider_ohm;
    if (!v->coarse_ohm) {
      v->coarse_ohm = v->is_lamp ? e6_ohm : alone ? usual_via_ohm : usual_divider_ohm;
      v->n_coarse = v->is_lamp ? 15 : 5;
    }
    for (int k = 0; k < v->n_coarse; ++k) {
      if (!(v->coarse_ohm[k] > 0.0)) {
        return STATUS_BAD_ARG;
      }
    }
  }
  return STATUS_OK;
}

static Status
set_up(const DesignTask* task, const Tester* like, Search* s)
{
  memset(s, 0, sizeof(*s));
  s->task = task;
  s->tester = *like;
  s->tester.parts = s->parts;
  s->tester.n_parts = 0;
  for (int sort = TESTER_LAMP; sort <= TESTER_SENDER; ++sort) {
    for (int i = 0; i < like->n_parts; ++i) {
      if (like->parts[i].sort == (TesterPartSort)sort) {
        s->parts[s->tester.n_parts++] = like->parts[i];
      }
    }
  }
  const bool fits[] = {task->phantom, task->sender};
  const CardSituation supplies[] = {CARD_PHANTOM, CARD_SENDER};
  for (int k = 0; k < DESIGN_SUPPLIES; ++k) {
    if (fits[k]) {
      if (!card_fits(like, supplies[k])) {
        return STATUS_BAD_ARG;
      }
      s->supplies[s->n_supplies++] = supplies[k];
    }
  }
  if (s->n_supplies == 0) {
    return STATUS_BAD_ARG;
  }
  CardFault all[CARD_MAX_FAULTS];
  const int n = card_faults(like->n_contacts, like->connector, all);
  for (int i = 0; i < n; ++i) {
    const FaultMode mode = all[i].mode;
    if (mode == FAULT_NONE || mode == FAULT_OPEN || mode == FAULT_SHORT ||
        (mode == FAULT_CROSSED && all[i].n_pairs == 1)) {
      s->faults[s->n_faults++] = all[i];
    }
  }
  double decade = 1.0;
  for (int i = 0; i < N_FINE; ++i) {
    s->fine_ohm[s->n_fine++] = e24[i % 24] * decade;
    decade *= i % 24 == 23 ? 10.0 : 1.0;
  }
  s->killer[1] = 1;
  Status st = STATUS_OK;
  TRY(st, tie_values(s));
  return STATUS_OK;
}

// Pairs that show the same currents in each of several settings far apart: no resistors tell them.
static void
find_never(Search* s)
{
  Rng rng;
  rng_init(&rng, 1);
  for (int k = 0; k < s->n_supplies; ++k) {
    for (int one = 0; one < s->n_faults; ++one) {
      for (int two = 0; two < one; ++two) {
        s->never[k][one][two] = true;
      }
    }
  }
  double own_ohm[DESIGN_MAX_VALUES];
  memcpy(own_ohm, s->ohm, sizeof(own_ohm));
  for (int probe = 0; probe < 12; ++probe) {
    for (int i = 0; i < s->n_values && probe > 0; ++i) {
      set_value(s, i, s->values[i].coarse_ohm[rng_below(&rng, s->values[i].n_coarse)]);
    }
    (void)begin(s);
    for (int k = 0; k < s->n_supplies; ++k) {
      for (int f = 0; f < s->n_faults; ++f) {
        s->is_solved[k][f] =
          lamp_solve(&s->lamps, &s->ports[k][f], s->lamp_a[k][f], NULL, NULL) == STATUS_OK;
      }
      for (int one = 0; one < s->n_faults; ++one) {
        for (int two = 0; two < one; ++two) {
          for (int lamp = 0; lamp < s->n_lamps; ++lamp) {
            const double differ_a = fabs(s->lamp_a[k][one][lamp] - s->lamp_a[k][two][lamp]);
            if (s->is_solved[k][one] && s->is_solved[k][two] && differ_a > 1e-6) {
              s->never[k][one][two] = false;
            }
          }
        }
      }
    }
  }
  for (int i = 0; i < s->n_values; ++i) {
    set_value(s, i, own_ohm[i]);
  }
}

// ---- The search ----

typedef struct {
  Rank rank;
  double ohm[DESIGN_MAX_VALUES];
} Found;

// Keeps the best settings in order; of equals the earlier one stands first.
static void
keep(Found best[DESIGN_BEST], int* n, const Search* s, const Rank* rank)
{
  int at = *n < DESIGN_BEST ? (*n)++ : DESIGN_BEST - 1;
  while (at > 0 && is_better(rank, &best[at - 1].rank)) {
    best[at] = best[at - 1];
    --at;
  }
  best[at].rank = *rank;
  memcpy(best[at].ohm, s->ohm, sizeof(s->ohm));
}

static const Rank nothing = {{-1e18, 0.0}};

static void
say(const DesignTask* task, double part)
{
  if (task->say) {
    task->say(task->user, part);
  }
}

// All coarse settings, the sender's values outermost so that ports are kept.
static void
try_all(Search* s, long n_all, Found best[DESIGN_BEST], int* n)
{
  for (long at = 0; at < n_all; ++at) {
    long rest = at;
    for (int i = 0; i < s->n_values; ++i) {
      const Value* const v = &s->values[i];
      set_value(s, i, v->coarse_ohm[rest % v->n_coarse]);
      rest /= v->n_coarse;
    }
    Rank rank;
    if (try_setting(s, *n == DESIGN_BEST ? &best[DESIGN_BEST - 1].rank : &nothing, &rank)) {
      keep(best, n, s, &rank);
    }
    if (at % SAY_EVERY == 0) {
      say(s->task, 0.7 * (double)at / (double)n_all);
    }
  }
}

static void
try_some(Search* s, Found best[DESIGN_BEST], int* n)
{
  Rng rng;
  rng_init(&rng, 2);
  for (int at = 0; at < N_STARTS; ++at) {
    for (int i = 0; i < s->n_values && at > 0; ++i) { // The first is the tester as it is
      set_value(s, i, s->values[i].coarse_ohm[rng_below(&rng, s->values[i].n_coarse)]);
    }
    Rank rank;
    if (try_setting(s, *n == DESIGN_BEST ? &best[DESIGN_BEST - 1].rank : &nothing, &rank)) {
      keep(best, n, s, &rank);
    }
    say(s->task, 0.3 * at / N_STARTS);
  }
}

// Moves one resistor after the other to its best fine value until a round changes nothing: in the
// first round anywhere, then to one of its neighbours.
static void
climb(Search* s, Found* found, double from_part, double to_part)
{
  for (int i = 0; i < s->n_values; ++i) {
    set_value(s, i, found->ohm[i]);
  }
  bool moved = true;
  for (int round = 0; moved && round < MOST_ROUNDS; ++round) {
    moved = false;
    for (int i = 0; i < s->n_values; ++i) {
      const bool is_lamp = s->values[i].is_lamp;
      const double was_ohm = found->ohm[i];
      double best_ohm = was_ohm;
      for (int k = 0; k < s->n_fine; ++k) {
        // Lamps 47 ohm to 10 k, the sender's own resistors 10 ohm to 2.2 k
        const double ohm = s->fine_ohm[k];
        Rank rank;
        const bool is_far = ohm > was_ohm * NEIGHBOURS_RATIO || ohm < was_ohm / NEIGHBOURS_RATIO;
        if (ohm < (is_lamp ? 47.0 : 10.0) || ohm > (is_lamp ? 10e3 : 2200.0) ||
            (is_far && round > 0)) {
          continue;
        }
        set_value(s, i, ohm);
        if (try_setting(s, &found->rank, &rank)) {
          found->rank = rank;
          best_ohm = ohm;
          moved = true;
        }
      }
      found->ohm[i] = best_ohm;
      set_value(s, i, best_ohm);
    }
    say(s->task, from_part + (to_part - from_part) * (round + 1) / MOST_ROUNDS);
  }
}

// The answer of the setting that stands in `s`: every pair once more, nothing cut short.
static Status
report(Arena* arena, Search* s, Design* out)
{
  const int most = s->n_supplies * s->n_faults * (s->n_faults - 1) / 2;
  TesterPart* const parts = arena_array(arena, (size_t)s->tester.n_parts, sizeof(TesterPart));
  DesignPair* const untold = arena_array(arena, (size_t)most, sizeof(DesignPair));
  DesignPair* const never = arena_array(arena, (size_t)most, sizeof(DesignPair));
  if (!parts || !untold || !never) {
    return STATUS_NO_MEMORY;
  }
  Design d = {.n_faults = s->n_faults, .untold = untold, .never = never, .margin = DESIGN_SURE};
  memcpy(d.faults, s->faults, sizeof(d.faults));
  memcpy(parts, s->parts, sizeof(TesterPart) * (size_t)s->tester.n_parts);
  d.tester = s->tester;
  d.tester.parts = parts;
  (void)begin(s);
  for (int k = 0; k < s->n_supplies; ++k) {
    for (int one = 0; one < s->n_faults; ++one) {
      if (!solve(s, k, one)) {
        return STATUS_NO_SOLUTION;
      }
      for (int two = 0; two < one; ++two) {
        const DesignPair pair = {s->supplies[k], two, one, pair_score(s, k, one, two)};
        if (s->never[k][one][two]) {
          never[d.n_never++] = pair;
          continue;
        }
        if (pair.score < d.margin) {
          d.margin = pair.score;
          d.worst = pair;
        }
        if (pair.score < needed(s->task->by)) {
          untold[d.n_untold++] = pair;
        }
      }
    }
  }
  d.n_tried = s->n_tried;
  *out = d;
  return STATUS_OK;
}

Status
design_judge(Arena* arena, const DesignTask* task, const Tester* tester, Design* out)
{
  Search* const s = arena_array(arena, 1, sizeof(Search));
  if (!s) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  TRY(st, set_up(task, tester, s));
  find_never(s);
  return report(arena, s, out);
}

Status
design_search(Arena* arena, const DesignTask* task, Design* out)
{
  Search* const s = arena_array(arena, 1, sizeof(Search));
  if (!s) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  TRY(st, set_up(task, task->like, s));
  find_never(s);
  Found best[DESIGN_BEST];
  int n = 0;
  double n_all = 1.0;
  for (int i = 0; i < s->n_values; ++i) {
    n_all *= s->values[i].n_coarse;
  }
  if (n_all <= MOST_EXHAUSTIVE) {
    try_all(s, (long)n_all, best, &n);
  } else {
    try_some(s, best, &n);
  }
  if (n == 0) {
    return STATUS_NO_SOLUTION;
  }
  int winner = 0;
  n = s->n_values > FEW_VALUES && n > 3 ? 3 : n; // Many resistors: a climb takes seconds by itself
  for (int i = 0; i < n && !task->coarse_only; ++i) {
    climb(s, &best[i], 0.7 + 0.3 * i / n, 0.7 + 0.3 * (i + 1) / n);
    winner = is_better(&best[i].rank, &best[winner].rank) ? i : winner;
  }
  for (int i = 0; i < s->n_values; ++i) {
    set_value(s, i, best[winner].ohm[i]);
  }
  st = report(arena, s, out);
  say(task, 1.0);
  return st;
}
