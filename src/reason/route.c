// SPDX-License-Identifier: GPL-3.0-or-later
#include "reason/route.h"

#include <math.h>
#include <string.h>

/*
  The table is filled by sets in rising order, since a set is only ever reached from smaller ones.
  It is filled from the end of the walk: the least still to be paid from here, having been at this
  set and standing at that stop. So the order is read off forwards, first stop first, and ties can
  go to the lower number.
*/

/// Costs in whole microseconds: equal is equal, whatever the order they were added in.
static double
rounded(double cost)
{
  return nearbyint(cost * 1e6);
}

static bool
is_sound(const RouteProblem* p, RouteGoal goal)
{
  if (p->n < 0 || p->n > ROUTE_MAX || (goal == ROUTE_SOONEST && (p->comes_back || !p->weight))) {
    return false;
  }
  for (int i = 0; i < (p->n + 1) * (p->n + 1); ++i) {
    if (!(p->walk_s[i] >= 0.0) || !isfinite(p->walk_s[i])) {
      return false;
    }
  }
  for (int i = 0; i < p->n; ++i) {
    if (p->handle_s && (!(p->handle_s[i] >= 0.0) || !isfinite(p->handle_s[i]))) {
      return false;
    }
    if (goal == ROUTE_SOONEST && (!(p->weight[i] >= 0.0) || !isfinite(p->weight[i]))) {
      return false;
    }
  }
  return true;
}

static double
walk(const RouteProblem* p, int from, int to)
{
  return p->walk_s[from * (p->n + 1) + to];
}

/// What going from one stop to the next and handling it costs while `owed` is still owed.
static double
leg(const RouteProblem* p, RouteGoal goal, int from, int to, double owed)
{
  const double handle_s = p->handle_s ? p->handle_s[to] : 0.0;
  return goal == ROUTE_SHORTEST ? walk(p, from, to) : owed * (walk(p, from, to) + handle_s);
}

static double
way_back(const RouteProblem* p, int from)
{
  return p->comes_back ? walk(p, from, p->n) : 0.0;
}

/// What a whole order costs.
static double
cost_of(const RouteProblem* p, RouteGoal goal, const int* order)
{
  double owed = 0.0;
  for (int i = 0; goal == ROUTE_SOONEST && i < p->n; ++i) {
    owed += p->weight[i];
  }
  double cost = 0.0;
  int at = p->n;
  for (int i = 0; i < p->n; ++i) {
    cost += leg(p, goal, at, order[i], owed);
    owed -= goal == ROUTE_SOONEST ? p->weight[order[i]] : 0.0;
    at = order[i];
  }
  return cost + (p->n ? way_back(p, at) : 0.0);
}

// ---- Exact ----

static Status
order_exactly(const RouteProblem* p, RouteGoal goal, Arena* arena, int* order)
{
  const int n = p->n;
  const size_t n_sets = (size_t)1 << n;
  double* const rest = arena_array(arena, n_sets * (size_t)(n ? n : 1), sizeof(double));
  double* const owed = arena_array(arena, n_sets, sizeof(double));
  if (!rest || !owed) {
    return STATUS_NO_MEMORY;
  }
  const size_t all = n_sets - 1;
  for (size_t set = 0; set < n_sets; ++set) { // What is owed once these are found
    for (int i = 0; goal == ROUTE_SOONEST && i < n; ++i) {
      owed[set] += set >> i & 1u ? 0.0 : p->weight[i];
    }
  }
  for (int at = 0; at < n; ++at) {
    rest[all * (size_t)n + (size_t)at] = way_back(p, at);
  }
  for (size_t set = all; set-- > 1;) {
    for (int at = 0; at < n; ++at) {
      if (!(set >> at & 1u)) {
        continue;
      }
      double best = HUGE_VAL;
      for (int to = 0; to < n; ++to) {
        if (!(set >> to & 1u)) {
          const double cost = leg(p, goal, at, to, owed[set]) +
                              rest[(set | (size_t)1 << to) * (size_t)n + (size_t)to];
          best = cost < best ? cost : best;
        }
      }
      rest[set * (size_t)n + (size_t)at] = best;
    }
  }
  size_t set = 0;
  for (int k = 0, at = n; k < n; ++k) {
    int next = 0;
    double best = HUGE_VAL;
    for (int to = 0; to < n; ++to) {
      if (!(set >> to & 1u)) {
        const double cost =
          leg(p, goal, at, to, owed[set]) + rest[(set | (size_t)1 << to) * (size_t)n + (size_t)to];
        if (best == HUGE_VAL || rounded(cost) < rounded(best)) {
          next = to;
          best = cost;
        }
      }
    }
    order[k] = next;
    set |= (size_t)1 << next;
    at = next;
  }
  return STATUS_OK;
}

// ---- Good, where exact takes too long ----

/// `from` with the run of `length` at `first` taken out and put in before what was at `before` (n =
/// at the end), turned round if `turned`.
static void
moved(const int* from, int n, int first, int length, int before, bool turned, int* to)
{
  int k = 0;
  for (int i = 0; i <= n; ++i) {
    if (i == before) {
      for (int r = 0; r < length; ++r) {
        to[k++] = from[first + (turned ? length - 1 - r : r)];
      }
    }
    if (i < n && (i < first || i >= first + length)) {
      to[k++] = from[i];
    }
  }
}

/// The nearest stop next (soonest: the most weight for the time it takes), again and again; then
/// runs of stops moved and turned until no such move makes it better.
static void
order_well(const RouteProblem* p, RouteGoal goal, int* order, int* trial)
{
  enum { LONGEST_RUN = 8 };
  const int n = p->n;
  for (int k = 0, at = n; k < n; ++k) {
    int next = -1;
    double least = HUGE_VAL;
    for (int to = 0; to < n; ++to) {
      bool is_done = false;
      for (int i = 0; i < k; ++i) {
        is_done = is_done || order[i] == to;
      }
      const double s = leg(p, goal, at, to, 1.0);
      const double price = goal == ROUTE_SOONEST ? (s + 1e-3) / (p->weight[to] + 1e-9) : s;
      if (!is_done && (next < 0 || price < least)) {
        next = to;
        least = price;
      }
    }
    order[k] = at = next;
  }
  double best = cost_of(p, goal, order);
  for (bool is_better = true; is_better;) {
    is_better = false;
    for (int length = 1; length <= LONGEST_RUN && length <= n; ++length) {
      for (int first = 0; first + length <= n; ++first) {
        for (int before = 0; before <= n; ++before) {
          for (int turned = 0; turned < (length > 1 ? 2 : 1); ++turned) {
            if (before > first && before < first + length) {
              continue;
            }
            moved(order, n, first, length, before == first ? first + length : before, turned,
                  trial);
            const double cost = cost_of(p, goal, trial);
            if (rounded(cost) < rounded(best)) { // Whole microseconds: it cannot go on for ever
              best = cost;
              memcpy(order, trial, (size_t)n * sizeof(int));
              is_better = true;
            }
          }
        }
      }
    }
  }
}

Status
route_plan(const RouteProblem* p, RouteGoal goal, Arena* arena, Route* route)
{
  if (!is_sound(p, goal)) {
    return STATUS_BAD_ARG;
  }
  const size_t n = (size_t)p->n;
  Route made = {.order = arena_array(arena, n, sizeof(int)),
                .found_s = arena_array(arena, n, sizeof(double)),
                .is_exact = p->n <= ROUTE_EXACT};
  int* const trial = arena_array(arena, n, sizeof(int));
  if (!made.order || !made.found_s || !trial) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  if (made.is_exact) {
    TRY(st, order_exactly(p, goal, arena, made.order));
  } else {
    order_well(p, goal, made.order, trial);
  }
  int at = p->n;
  double now_s = 0.0;
  for (int i = 0; i < p->n; ++i) {
    const int stop = made.order[i];
    made.walked_s += walk(p, at, stop);
    now_s += walk(p, at, stop) + (p->handle_s ? p->handle_s[stop] : 0.0);
    made.found_s[i] = now_s;
    made.waited += goal == ROUTE_SOONEST ? p->weight[stop] * now_s : 0.0;
    at = stop;
  }
  made.walked_s += p->n ? way_back(p, at) : 0.0;
  *route = made;
  return STATUS_OK;
}
