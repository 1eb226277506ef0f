// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/hands.h"

#include "reason/route.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/*
  Sockets are joined by what moves from one to another: each has one plug that wants in at most, and
  one that wants out, so they form chains and rings.

      chain:  D is pulled . C -> d . B -> c . new -> b        ring: A is held . B -> a . A -> b

  A chain is walked from the socket whose plug goes nowhere; a ring is opened by taking one plug in
  the hand. A move to another box is two steps, the pull at one box and the plug at the other.
*/

// ---- Steps ----

typedef struct {
  const Plant* plant;
  const int *now, *now_at, *target, *target_at;
  HandStep* steps;
  int n;
  int n_units;
  bool* seen; ///< [n_lines]
} Chain;

static int
box_of(const Plant* plant, int line)
{
  return plant->lines[line].box;
}

// Line the plug of this socket goes to; -1 = nowhere, or it stays.
static int
goes_to(const Chain* c, int line)
{
  const int plug = c->now[line];
  const int to = plug >= 0 ? c->target_at[plug] : -1;
  return to == line ? -1 : to;
}

// Line the plug comes from that belongs into this socket; -1 = it comes new, or is there.
static int
comes_from(const Chain* c, int line)
{
  const int plug = c->target[line];
  const int from = plug >= 0 ? c->now_at[plug] : -1;
  return from == line ? -1 : from;
}

static int
add(Chain* c, HandDoes does, int line, int plug, int from)
{
  c->steps[c->n] = (HandStep){.does = does,
                              .line = line,
                              .plug = plug,
                              .from = from,
                              .out = -1,
                              .after = {-1, -1},
                              .unit = c->n_units,
                              .hand = -1};
  return c->n++;
}

// What happens at one socket when it may be freed. @return the step after which the socket its plug
// came from is free; `freed` is the one that freed this one.
static int
fill(Chain* c, int line, int freed, int held)
{
  const int plug = c->target[line];
  const int here = c->now[line];
  const int from = comes_from(c, line);
  const bool is_out = here < 0 || goes_to(c, line) >= 0; // Empty, or emptied by then
  int step = -1;
  if (plug < 0) {
    return is_out ? freed : add(c, HAND_STRIKE, line, here, -1);
  }
  if (from >= 0 && (box_of(c->plant, from) != box_of(c->plant, line) || held >= 0)) {
    const int pull = held >= 0 ? held : add(c, HAND_HOLD, from, plug, line);
    step = add(c, HAND_PLUG, line, plug, from);
    c->steps[step].after[1] = pull;
    c->steps[step].after[0] = freed;
    c->steps[step].out = is_out ? -1 : here;
    return pull;
  }
  step = add(c, from >= 0 ? HAND_MOVE : HAND_PLUG, line, plug, from);
  c->steps[step].after[0] = freed;
  c->steps[step].out = is_out ? -1 : here;
  return step;
}

static void
walk_chain(Chain* c, int end)
{
  int freed = -1;
  for (int line = end; line >= 0 && !c->seen[line];) {
    const int from = comes_from(c, line);
    c->seen[line] = true;
    freed = fill(c, line, freed, -1);
    line = from;
  }
  ++c->n_units;
}

static void
walk_ring(Chain* c, int first)
{
  const int plug = c->now[first];
  const int held = add(c, HAND_HOLD, first, plug, c->target_at[plug]);
  int freed = held;
  for (int line = first; !c->seen[line];) {
    const int from = comes_from(c, line);
    c->seen[line] = true;
    freed = fill(c, line, freed, from == first ? held : -1);
    line = from;
  }
  ++c->n_units;
}

Status
hands_steps(Arena* arena, const Plant* plant, const int now[], const int now_at[],
            const int target[], const int target_at[], HandStep** steps, int* n, int* n_units)
{
  Chain c = {plant, now, now_at, target, target_at, NULL, 0, 0, NULL};
  c.steps = arena_array(arena, 2 * (size_t)plant->n_lines + 1, sizeof(HandStep));
  c.seen = arena_array(arena, (size_t)plant->n_lines, sizeof(bool));
  if (!c.steps || !c.seen) {
    return STATUS_NO_MEMORY;
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    c.seen[l] = now[l] == target[l];
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    if (!c.seen[l] && goes_to(&c, l) < 0) {
      walk_chain(&c, l);
    }
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    if (!c.seen[l]) {
      walk_ring(&c, l);
    }
  }
  *steps = c.steps;
  *n = c.n;
  *n_units = c.n_units;
  return STATUS_OK;
}

// ---- Who ----

enum { MASK_BOXES = 12 }; ///< Up to this many boxes every set of them has its walk looked up

typedef struct {
  Arena* arena;
  const Plant* plant;
  const int* start;
  int n_hands;
  HandStep* steps;
  int n;
  int n_units;
  int* box_at; ///< [n_boxes] place in `boxes`; -1 = nothing to do there
  int* boxes;  ///< [n_boxes] boxes with something to do
  int n_boxes;
  unsigned long long* unit_boxes; ///< [n_units] set of them
  double* unit_s;                 ///< [n_units] handling
  int* count;                     ///< [n_hands x n_boxes] units of the hand there
  double load_s[HANDS_MAX];
  int* unit_hand; ///< [n_units]
  double* known;  ///< [n_hands << n_boxes] walks looked up; below 0 = not yet; NULL: too many
  double pull_s, put_s;
} Parting;

// The walk of a hand over a set of boxes; `order` [n] may be NULL.
static Status
walk(Parting* s, int start, unsigned long long set, int* order, int* n_order, double* walk_s)
{
  const Plant* const plant = s->plant;
  int stops[64];
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
time_of(Parting* s, int hand, unsigned long long set, double handle_s, double* end_s)
{
  double walk_s = 0.0;
  Status st;
  double* const known = s->known ? &s->known[((size_t)hand << s->n_boxes) + (size_t)set] : NULL;
  if (known && *known >= 0.0) {
    *end_s = *known + handle_s;
    return STATUS_OK;
  }
  TRY(st, walk(s, s->start[hand], set, NULL, NULL, &walk_s));
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
static Status
hand_time(Parting* s, int hand, int without, int with, double* end_s)
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

static void
give(Parting* s, int unit, int hand)
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

typedef struct {
  double last_s, sum_s; ///< When the last is ready; all hands' seconds together
} Score;

static bool
is_better(Score a, Score b)
{
  return a.last_s < b.last_s - 1e-6 || (a.last_s < b.last_s + 1e-6 && a.sum_s < b.sum_s - 1e-6);
}

static Score
score_of(const double end_s[], int n)
{
  Score score = {0.0, 0.0};
  for (int h = 0; h < n; ++h) {
    score.last_s = end_s[h] > score.last_s ? end_s[h] : score.last_s;
    score.sum_s += end_s[h];
  }
  return score;
}

// Longest units first, each to the hand that is then ready first.
static Status
give_out(Parting* s, double end_s[HANDS_MAX])
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
    Score best_score = {0.0, 0.0};
    double best_end_s = 0.0;
    for (int h = 0; h < s->n_hands; ++h) {
      double tried[HANDS_MAX];
      memcpy(tried, end_s, sizeof(tried));
      TRY(st, hand_time(s, h, -1, unit, &tried[h]));
      const Score score = {tried[h], score_of(tried, s->n_hands).sum_s};
      if (h == 0 || is_better(score, best_score)) {
        best = h;
        best_score = score;
        best_end_s = tried[h];
      }
    }
    give(s, unit, best);
    end_s[best] = best_end_s;
  }
}

// Units move or are exchanged between hands as long as the last one gets ready earlier.
static Status
improve(Parting* s, double end_s[HANDS_MAX])
{
  Status st;
  for (bool again = true; again;) {
    again = false;
    for (int u = 0; u < s->n_units && !again; ++u) {
      const int a = s->unit_hand[u];
      for (int b = 0; b < s->n_hands && !again; ++b) {
        for (int v = -1; v < s->n_units && !again; ++v) {
          if (b == a ||
              (v >= 0 && (s->unit_hand[v] != b || (s->unit_boxes[v] == s->unit_boxes[u] &&
                                                   fabs(s->unit_s[v] - s->unit_s[u]) < 1e-9)))) {
            continue;
          }
          double tried[HANDS_MAX];
          memcpy(tried, end_s, sizeof(tried));
          TRY(st, hand_time(s, a, u, v, &tried[a]));
          TRY(st, hand_time(s, b, v, u, &tried[b]));
          if (is_better(score_of(tried, s->n_hands), score_of(end_s, s->n_hands))) {
            give(s, u, b);
            if (v >= 0) {
              give(s, v, a);
            }
            memcpy(end_s, tried, sizeof(tried));
            again = true;
          }
        }
      }
    }
  }
  return STATUS_OK;
}

enum { TRY_ALL = 1 << 16 }; ///< Up to so many splits every one is tried

static long
n_splits(const Parting* s)
{
  long n = 1;
  for (int u = 0; u < s->n_units && n <= TRY_ALL; ++u) {
    n *= s->n_hands;
  }
  return n;
}

// Few units: the best split there is.
static Status
try_all(Parting* s, double end_s[HANDS_MAX])
{
  int* const best = arena_array(s->arena, (size_t)s->n_units, sizeof(int));
  Score best_score = score_of(end_s, s->n_hands);
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
        give(s, u, (int)(rest % s->n_hands));
      }
      rest /= s->n_hands;
    }
    for (int h = 0; h < s->n_hands; ++h) {
      TRY(st, hand_time(s, h, -1, -1, &tried[h]));
    }
    const Score score = score_of(tried, s->n_hands);
    if (is_better(score, best_score)) {
      best_score = score;
      memcpy(best, s->unit_hand, (size_t)s->n_units * sizeof(int));
    }
  }
  for (int u = 0; u < s->n_units; ++u) {
    give(s, u, best[u]);
  }
  return STATUS_OK;
}

static bool
is_alike(const Parting* s, int a, int b)
{
  const unsigned long long set = s->unit_boxes[a];
  return set == s->unit_boxes[b] && !(set & (set - 1)) && fabs(s->unit_s[a] - s->unit_s[b]) < 1e-9;
}

// Neighbours to one hand, where it makes no difference to anybody's time. Units come in the order
// of their sockets.
static void
tidy(Parting* s)
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

static double
handling_s(const Parting* s, const HandStep* step)
{
  const double out_s = step->out >= 0 ? s->pull_s : 0.0;
  switch (step->does) {
    case HAND_STRIKE:
    case HAND_HOLD:
      return s->pull_s;
    case HAND_MOVE:
      return out_s + s->pull_s + s->put_s;
    case HAND_PLUG:
      break;
  }
  return out_s + s->put_s;
}

static Status
prepare(Parting* s)
{
  const Plant* const plant = s->plant;
  const double move_s = plant_time_s(plant, "move a plug at a box", 30.0);
  s->pull_s = plant_time_s(plant, HANDS_PULL, move_s / 3.0);
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
    const int box = box_of(plant, s->steps[i].line);
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
  if (s->n_boxes <= MASK_BOXES) {
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

// ---- In which order ----

static bool
is_ready(const bool* done, const HandStep* step)
{
  return (step->after[0] < 0 || done[step->after[0]]) &&
         (step->after[1] < 0 || done[step->after[1]]);
}

// One round over the boxes where this hand has something left.
static Status
round_of(Parting* s, int hand, bool* done, int* place, double* clock_s, Hand* out, int* order)
{
  int boxes[64];
  int n_boxes = 0;
  double walk_s = 0.0;
  unsigned long long set = 0;
  Status st;
  for (int i = 0; i < s->n; ++i) {
    if (s->steps[i].hand == hand && !done[i]) {
      set |= 1ull << s->box_at[box_of(s->plant, s->steps[i].line)];
    }
  }
  TRY(st, walk(s, *place, set, boxes, &n_boxes, &walk_s));
  for (int b = 0; b < n_boxes; ++b) {
    const int box = s->boxes[boxes[b]];
    for (bool comes = true;; comes = false) {
      int next = -1;
      for (int i = 0; i < s->n; ++i) {
        const HandStep* const step = &s->steps[i];
        if (step->hand == hand && !done[i] && box_of(s->plant, step->line) == box &&
            is_ready(done, step) &&
            (next < 0 ||
             s->plant->lines[step->line].socket < s->plant->lines[s->steps[next].line].socket)) {
          next = i;
        }
      }
      if (next < 0) {
        break;
      }
      HandStep* const step = &s->steps[next];
      const double way_s = plant_walk_s(s->plant, *place, s->plant->boxes[box].place);
      step->walk_s = way_s + (comes ? HANDS_VISIT_S : 0.0);
      step->start_s = *clock_s + step->walk_s;
      step->end_s = step->start_s + step->handle_s;
      out->walked_s += way_s;
      *place = s->plant->boxes[box].place;
      *clock_s = step->end_s;
      done[next] = true;
      order[out->n++] = next;
    }
  }
  return STATUS_OK;
}

static Status
order_hand(Parting* s, int hand, Hand* out)
{
  bool* const done = arena_array(s->arena, (size_t)s->n, sizeof(bool));
  int* const order = arena_array(s->arena, (size_t)s->n, sizeof(int));
  int place = s->start[hand];
  double clock_s = 0.0;
  int n_mine = 0;
  Status st;
  if (!done || !order) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < s->n; ++i) {
    s->steps[i].hand = s->unit_hand[s->steps[i].unit];
    n_mine += s->steps[i].hand == hand;
  }
  *out = (Hand){.start = place, .order = order};
  while (out->n < n_mine) {
    TRY(st, round_of(s, hand, done, &place, &clock_s, out, order));
  }
  out->end_s = clock_s;
  return STATUS_OK;
}

Status
hands_plan(Arena* arena, const Plant* plant, const int start[], int n_hands, const int owner[],
           HandStep* steps, int n, int n_units, HandPlan* plan)
{
  Parting s = {.arena = arena,
               .plant = plant,
               .start = start,
               .n_hands = n_hands,
               .steps = steps,
               .n = n,
               .n_units = n_units};
  HandPlan out = {.steps = steps, .n_steps = n, .n_hands = n_hands};
  double end_s[HANDS_MAX] = {0.0};
  Status st;
  if (n_hands < 1 || n_hands > HANDS_MAX) {
    return STATUS_BAD_ARG;
  }
  TRY(st, prepare(&s));
  bool owned = false;
  for (int i = 0; owner && i < n; ++i) {
    const int unit = steps[i].unit;
    const int mine = owner[steps[i].line];
    if (s.unit_hand[unit] < 0 && mine >= 0 && mine < n_hands) {
      give(&s, unit, mine);
      owned = true;
    }
  }
  for (int h = 0; h < n_hands; ++h) {
    TRY(st, hand_time(&s, h, -1, -1, &end_s[h]));
  }
  TRY(st, give_out(&s, end_s));
  if (!owned) {
    TRY(st, n_splits(&s) <= TRY_ALL ? try_all(&s, end_s) : improve(&s, end_s));
    tidy(&s);
  }
  for (int h = 0; h < n_hands; ++h) {
    TRY(st, order_hand(&s, h, &out.hands[h]));
    out.end_s = out.hands[h].end_s > out.end_s ? out.hands[h].end_s : out.end_s;
  }
  *plan = out;
  return STATUS_OK;
}
