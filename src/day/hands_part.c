// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/hands_part.h"

#include "reason/route.h"

#include <string.h>

/*
  What a hand's time is, and to whom a unit goes. A walk over a set of boxes is asked for again and
  again while splits are compared, so it is kept.
*/

static double
handling_s(const HandParting* s, const HandStep* step)
{
  const double out_s = step->out >= 0 ? s->pull_s : 0.0;
  switch (step->does) {
    case HAND_STRIKE:
    case HAND_HOLD:
      return s->pull_s;
    case HAND_MOVE:
      return out_s + s->pull_s + s->put_s;
    case HAND_CABLE:
      return s->cable_s;
    case HAND_PLUG:
      break;
  }
  return out_s + s->put_s;
}

Status
hand_parting_init(HandParting* s)
{
  const Plant* const plant = s->plant;
  const double move_s = plant_time_s(plant, "move a plug at a box", 30.0);
  s->pull_s = plant_time_s(plant, HANDS_PULL, move_s / 3.0);
  s->cable_s = plant_time_s(plant, HANDS_CABLE, 30.0);
  s->put_s = plant_time_s(plant, HANDS_PUT, move_s * 2.0 / 3.0);
  s->box_at = arena_array(s->arena, (size_t)plant->n_boxes, sizeof(int));
  s->boxes = arena_array(s->arena, (size_t)plant->n_boxes, sizeof(int));
  s->unit_boxes = arena_array(s->arena, (size_t)s->n_units, sizeof(*s->unit_boxes));
  s->unit_s = arena_array(s->arena, (size_t)s->n_units, sizeof(double));
  s->unit_hand = arena_array(s->arena, (size_t)s->n_units, sizeof(int));
  if (!s->box_at || !s->boxes || !s->unit_boxes || !s->unit_s || !s->unit_hand) {
    return STATUS_NO_MEMORY;
  }
  for (int b = 0; b < plant->n_boxes; ++b) {
    s->box_at[b] = -1;
  }
  for (int u = 0; u < s->n_units; ++u) {
    s->unit_hand[u] = -1;
  }
  for (int i = 0; i < s->n; ++i) {
    const int box = plant->lines[s->steps[i].line].box;
    if (s->box_at[box] < 0) {
      if (s->n_boxes == ROUTE_MAX - 1) {
        return STATUS_LIMIT;
      }
      s->box_at[box] = s->n_boxes;
      s->boxes[s->n_boxes++] = box;
    }
    s->steps[i].handle_s = handling_s(s, &s->steps[i]);
    s->unit_boxes[s->steps[i].unit] |= 1ull << s->box_at[box];
    s->unit_s[s->steps[i].unit] += s->steps[i].handle_s;
  }
  s->count = arena_array(s->arena, (size_t)s->n_hands * (size_t)s->n_boxes, sizeof(int));
  if (!s->count) {
    return STATUS_NO_MEMORY;
  }
  if (s->n_boxes <= HANDS_MASK_BOXES) {
    const size_t n_known = (size_t)s->n_hands << s->n_boxes;
    s->known = arena_array(s->arena, n_known, sizeof(double));
    if (!s->known) {
      return STATUS_NO_MEMORY;
    }
    for (size_t i = 0; i < n_known; ++i) {
      s->known[i] = -1.0;
    }
  }
  return STATUS_OK;
}

// The walk of a hand over a set of boxes; `order` [n] may be NULL.
Status
hand_parting_walk(HandParting* s, int start, unsigned long long set, int* order, int* n_order,
                  double* walk_s)
{
  const Plant* const plant = s->plant;
  int stops[ROUTE_MAX];
  int n = 0;
  Route route;
  Status st;
  for (int b = 0; b < s->n_boxes; ++b) {
    if (set >> b & 1u) {
      stops[n++] = b;
    }
  }
  Arena scratch;
  arena_init(&scratch, &s->arena->from);
  double* const legs = arena_array(&scratch, (size_t)(n + 1) * (size_t)(n + 1), sizeof(double));
  if (!legs) {
    arena_deinit(&scratch);
    return STATUS_NO_MEMORY;
  }
  for (int a = 0; a <= n; ++a) {
    for (int b = 0; b <= n; ++b) {
      const int from = a < n ? plant->boxes[s->boxes[stops[a]]].place : start;
      const int to = b < n ? plant->boxes[s->boxes[stops[b]]].place : start;
      legs[a * (n + 1) + b] = plant_walk_s(plant, from, to);
    }
  }
  const RouteProblem problem = {.n = n, .walk_s = legs};
  st = route_plan(&problem, ROUTE_SHORTEST, &scratch, &route);
  if (st == STATUS_OK) {
    *walk_s = route.walked_s;
    for (int i = 0; order && i < n; ++i) {
      order[i] = stops[route.order[i]];
    }
    if (order) {
      *n_order = n;
    }
  }
  arena_deinit(&scratch);
  return st;
}

// Seconds until a hand with these boxes and this handling is ready.
static Status
time_of(HandParting* s, int hand, unsigned long long set, double handle_s, double* end_s)
{
  double walk_s = 0.0;
  Status st;
  double* const known = s->known ? &s->known[((size_t)hand << s->n_boxes) + (size_t)set] : NULL;
  if (known && *known >= 0.0) {
    *end_s = *known + handle_s;
    return STATUS_OK;
  }
  TRY(st, hand_parting_walk(s, s->start[hand], set, NULL, NULL, &walk_s));
  for (int b = 0; b < s->n_boxes; ++b) {
    walk_s += set >> b & 1u ? HANDS_VISIT_S : 0.0;
  }
  if (known) {
    *known = walk_s;
  }
  *end_s = walk_s + handle_s;
  return STATUS_OK;
}

// A hand's time when it had one unit less and one more; -1 = none.
Status
hand_parting_time(HandParting* s, int hand, int without, int with, double* end_s)
{
  const int* const count = &s->count[hand * s->n_boxes];
  const unsigned long long less = without >= 0 ? s->unit_boxes[without] : 0;
  unsigned long long set = with >= 0 ? s->unit_boxes[with] : 0;
  const double handle_s = s->load_s[hand] - (without >= 0 ? s->unit_s[without] : 0.0) +
                          (with >= 0 ? s->unit_s[with] : 0.0);
  for (int b = 0; b < s->n_boxes; ++b) {
    set |= count[b] - (int)(less >> b & 1u) > 0 ? 1ull << b : 0;
  }
  return time_of(s, hand, set, handle_s, end_s);
}

void
hand_parting_give(HandParting* s, int unit, int hand)
{
  const int was = s->unit_hand[unit];
  for (int b = 0; b < s->n_boxes; ++b) {
    const int here = (int)(s->unit_boxes[unit] >> b & 1u);
    if (was >= 0) {
      s->count[was * s->n_boxes + b] -= here;
    }
    s->count[hand * s->n_boxes + b] += here;
  }
  if (was >= 0) {
    s->load_s[was] -= s->unit_s[unit];
  }
  s->load_s[hand] += s->unit_s[unit];
  s->unit_hand[unit] = hand;
}

bool
hand_parting_is_better(HandScore a, HandScore b)
{
  return a.last_s < b.last_s - 1e-6 || (a.last_s < b.last_s + 1e-6 && a.sum_s < b.sum_s - 1e-6);
}

HandScore
hand_parting_score(const double end_s[], int n)
{
  HandScore score = {0.0, 0.0};
  for (int h = 0; h < n; ++h) {
    score.last_s = end_s[h] > score.last_s ? end_s[h] : score.last_s;
    score.sum_s += end_s[h];
  }
  return score;
}

// Longest units first, each to the hand that is then ready first.
Status
hand_parting_give_out(HandParting* s, double end_s[HANDS_MAX])
{
  Status st;
  for (;;) {
    int unit = -1;
    for (int u = 0; u < s->n_units; ++u) {
      if (s->unit_hand[u] < 0 && (unit < 0 || s->unit_s[u] > s->unit_s[unit] + 1e-9)) {
        unit = u;
      }
    }
    if (unit < 0) {
      return STATUS_OK;
    }
    int best = 0;
    HandScore best_score = {0.0, 0.0};
    double best_end_s = 0.0;
    for (int h = 0; h < s->n_hands; ++h) {
      double tried[HANDS_MAX];
      memcpy(tried, end_s, sizeof(tried));
      TRY(st, hand_parting_time(s, h, -1, unit, &tried[h]));
      const HandScore score = {tried[h], hand_parting_score(tried, s->n_hands).sum_s};
      if (h == 0 || hand_parting_is_better(score, best_score)) {
        best = h;
        best_score = score;
        best_end_s = tried[h];
      }
    }
    hand_parting_give(s, unit, best);
    end_s[best] = best_end_s;
  }
}
