// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/hands_part.h"

#include <math.h>
#include <string.h>

/*
  Which hand gets which units, so that the last is ready as early as can be.

  Few units: every split is tried. Else a search. Single units are moved and exchanged as long as
  that helps; where it does not help any more, everything one hand has at a box goes to another hand
  (which saves a walk, and no single unit can show that), and the search goes on from there; what
  came of it is kept if it is better. Units of the same boxes and the same seconds are alike, so one
  of each sort is tried. All of it within a number of tries and in one order: the same answer for
  the same numbers.

  How far that is from the best is measured: tests/day/test_hands.c has a lower bound.
*/

// ---- Few units: every split ----

enum { TRY_ALL = 1 << 16 }; ///< Up to so many splits every one is tried

static long
n_splits(const HandParting* s)
{
  long n = 1;
  for (int u = 0; u < s->n_units && n <= TRY_ALL; ++u) {
    n *= s->n_hands;
  }
  return n;
}

// Few units: the best split there is.
static Status
try_all(HandParting* s, double end_s[HANDS_MAX])
{
  int* const best = arena_array(s->arena, (size_t)s->n_units, sizeof(int));
  HandScore best_score = hand_parting_score(end_s, s->n_hands);
  Status st;
  if (!best) {
    return STATUS_NO_MEMORY;
  }
  memcpy(best, s->unit_hand, (size_t)s->n_units * sizeof(int));
  const long n = n_splits(s);
  for (long split = 0; split < n; ++split) {
    double tried[HANDS_MAX] = {0.0};
    long rest = split;
    for (int u = 0; u < s->n_units; ++u) {
      if (s->unit_hand[u] != (int)(rest % s->n_hands)) {
        hand_parting_give(s, u, (int)(rest % s->n_hands));
      }
      rest /= s->n_hands;
    }
    for (int h = 0; h < s->n_hands; ++h) {
      TRY(st, hand_parting_time(s, h, -1, -1, &tried[h]));
    }
    const HandScore score = hand_parting_score(tried, s->n_hands);
    if (hand_parting_is_better(score, best_score)) {
      best_score = score;
      memcpy(best, s->unit_hand, (size_t)s->n_units * sizeof(int));
    }
  }
  for (int u = 0; u < s->n_units; ++u) {
    hand_parting_give(s, u, best[u]);
  }
  return STATUS_OK;
}

// ---- Many units: a search ----

enum { TRIES = 200000 }; ///< Splits looked at

typedef struct {
  HandParting* s;
  double* end_s; ///< [n_hands]
  int* sort;     ///< [n_units] sort of unit, from 0
  int n_sorts;
  int* one;  ///< [n_hands x n_sorts] a unit of that sort the hand has; -1 = none
  int* kept; ///< [n_units]
  int n_tries;
} Search;

static bool
is_same_sort(const HandParting* s, int a, int b)
{
  return s->unit_boxes[a] == s->unit_boxes[b] && fabs(s->unit_s[a] - s->unit_s[b]) < 1e-9;
}

static void
note_sorts(Search* w)
{
  for (int i = 0; i < w->s->n_hands * w->n_sorts; ++i) {
    w->one[i] = -1;
  }
  for (int u = w->s->n_units; u-- > 0;) {
    w->one[w->s->unit_hand[u] * w->n_sorts + w->sort[u]] = u;
  }
}

static Status
search_init(Search* w)
{
  HandParting* const s = w->s;
  w->sort = arena_array(s->arena, (size_t)s->n_units, sizeof(int));
  w->kept = arena_array(s->arena, (size_t)s->n_units, sizeof(int));
  if (!w->sort || !w->kept) {
    return STATUS_NO_MEMORY;
  }
  for (int u = 0; u < s->n_units; ++u) {
    int same = 0;
    while (same < u && !is_same_sort(s, same, u)) {
      ++same;
    }
    w->sort[u] = same < u ? w->sort[same] : w->n_sorts++;
  }
  w->one = arena_array(s->arena, (size_t)s->n_hands * (size_t)w->n_sorts, sizeof(int));
  return w->one ? STATUS_OK : STATUS_NO_MEMORY;
}

// One unit of a goes to b, and one of b's (-1: none) to a, if the last is ready earlier then.
static Status
try_exchange(Search* w, int a, int u, int b, int v, bool* done)
{
  HandParting* const s = w->s;
  double tried[HANDS_MAX];
  Status st;
  ++w->n_tries;
  memcpy(tried, w->end_s, sizeof(tried));
  TRY(st, hand_parting_time(s, a, u, v, &tried[a]));
  TRY(st, hand_parting_time(s, b, v, u, &tried[b]));
  *done = hand_parting_is_better(hand_parting_score(tried, s->n_hands),
                                 hand_parting_score(w->end_s, s->n_hands));
  if (*done) {
    hand_parting_give(s, u, b);
    if (v >= 0) {
      hand_parting_give(s, v, a);
    }
    memcpy(w->end_s, tried, sizeof(tried));
    note_sorts(w);
  }
  return STATUS_OK;
}

// Whatever two hands can pass to each other with profit. *any: something was.
static Status
exchange(Search* w, int a, int b, bool* any)
{
  Status st;
  for (int t = 0; t < w->n_sorts; ++t) {
    for (int other = -1; other < w->n_sorts && w->n_tries < TRIES; ++other) {
      const int u = w->one[a * w->n_sorts + t];
      const int v = other >= 0 ? w->one[b * w->n_sorts + other] : -1;
      bool done = false;
      if (u >= 0 && (other < 0 || v >= 0) && other != t) {
        TRY(st, try_exchange(w, a, u, b, v, &done));
        *any = *any || done;
        other -= done; // The same again, as long as it helps
      }
    }
  }
  return STATUS_OK;
}

static Status
improve(Search* w)
{
  Status st;
  note_sorts(w);
  for (bool again = true; again && w->n_tries < TRIES;) {
    again = false;
    for (int a = 0; a < w->s->n_hands; ++a) {
      for (int b = 0; b < w->s->n_hands; ++b) {
        if (a != b) {
          TRY(st, exchange(w, a, b, &again));
        }
      }
    }
  }
  return STATUS_OK;
}

static Status
time_all(Search* w)
{
  Status st;
  for (int h = 0; h < w->s->n_hands; ++h) {
    TRY(st, hand_parting_time(w->s, h, -1, -1, &w->end_s[h]));
  }
  return STATUS_OK;
}

// Everything one hand has at a box to another, and on from there. *better: kept.
static Status
try_box(Search* w, int a, int box, int b, bool* better)
{
  HandParting* const s = w->s;
  const HandScore before = hand_parting_score(w->end_s, s->n_hands);
  double end_s[HANDS_MAX];
  Status st;
  *better = false;
  memcpy(end_s, w->end_s, sizeof(end_s));
  memcpy(w->kept, s->unit_hand, (size_t)s->n_units * sizeof(int));
  for (int u = 0; u < s->n_units; ++u) {
    if (s->unit_hand[u] == a && s->unit_boxes[u] >> box & 1u) {
      hand_parting_give(s, u, b);
    }
  }
  TRY(st, time_all(w));
  TRY(st, improve(w));
  *better = hand_parting_is_better(hand_parting_score(w->end_s, s->n_hands), before);
  for (int u = 0; !*better && u < s->n_units; ++u) {
    hand_parting_give(s, u, w->kept[u]);
  }
  if (!*better) {
    memcpy(w->end_s, end_s, sizeof(end_s));
  }
  return STATUS_OK;
}

static Status
search(HandParting* s, double end_s[HANDS_MAX])
{
  Search w = {.s = s, .end_s = end_s};
  Status st;
  TRY(st, search_init(&w));
  TRY(st, improve(&w));
  for (bool again = true; again && w.n_tries < TRIES;) {
    again = false;
    for (int a = 0; a < s->n_hands; ++a) {
      for (int i = 0; i < s->n_boxes * s->n_hands && w.n_tries < TRIES; ++i) {
        const int box = i / s->n_hands;
        const int b = i % s->n_hands;
        bool better = false;
        if (a != b && s->count[a * s->n_boxes + box] > 0) {
          TRY(st, try_box(&w, a, box, b, &better));
          again = again || better;
        }
      }
    }
  }
  return STATUS_OK;
}

static bool
is_alike(const HandParting* s, int a, int b)
{
  const unsigned long long set = s->unit_boxes[a];
  return !(set & (set - 1)) && is_same_sort(s, a, b);
}

// Neighbours to one hand, where it makes no difference to anybody's time. Units come in the order
// of their sockets.
static void
tidy(HandParting* s)
{
  for (int u = 0; u < s->n_units; ++u) {
    for (int v = u + 1; v < s->n_units; ++v) {
      if (s->unit_hand[v] < s->unit_hand[u] && is_alike(s, u, v)) {
        const int hand = s->unit_hand[u];
        s->unit_hand[u] = s->unit_hand[v];
        s->unit_hand[v] = hand;
      }
    }
  }
}

Status
hand_parting_split(HandParting* s, double end_s[HANDS_MAX])
{
  Status st;
  TRY(st, n_splits(s) <= TRY_ALL ? try_all(s, end_s) : search(s, end_s));
  tidy(s);
  return STATUS_OK;
}
