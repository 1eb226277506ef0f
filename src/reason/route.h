// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"

#include <stdbool.h>

/*
  In which order one person goes round.

      start --walk--> stop, handling --walk--> stop, handling --> ... (--walk--> back to the start)

  Two questions have the same shape. *Shortest*: the least walking in all, handling being the same
  in any order. *Soonest*: what is found at a stop is worth its weight from the moment it is found,
  so the least sum of weights times the time they wait; a heavy stop far away may then come before
  three light ones near by.

  Both are a sum over the walk of what is still owed while a leg lasts: everything (shortest: 1
  while a leg is left) or the weights not yet found (soonest). So one table answers both: the least
  cost of having been at a set of stops and standing at the last of them (Held and Karp 1962;
  Bellman 1962), exact up to ROUTE_EXACT stops. For more, the nearest next and then runs of stops
  moved and turned until nothing gets better; the answer says so.

  Walking times need not be the same in both directions: with a case in hand nobody goes through the
  crowd as fast as out of it.
*/

enum {
  ROUTE_EXACT = 16, ///< Stops up to which the order is the best there is
  ROUTE_MAX = 64    ///< Stops
};

typedef enum { ROUTE_SHORTEST, ROUTE_SOONEST } RouteGoal;

typedef struct {
  int n;                  ///< Stops, 0 to ROUTE_MAX
  const double* walk_s;   ///< [n + 1][n + 1] from row to column; the last is where it starts
  const double* handle_s; ///< [n] time spent at each stop; NULL = none
  const double* weight;   ///< [n] for ROUTE_SOONEST, >= 0; else NULL
  bool comes_back;        ///< The way back to the start counts (ROUTE_SHORTEST)
} RouteProblem;

typedef struct {
  int* order;      ///< [n] stops in the order they are visited, in the arena
  double* found_s; ///< [n] by place in the order: when its handling is done
  double walked_s; ///< Walking in all, the way back included where it counts
  double waited;   ///< ROUTE_SOONEST: sum of weight times when it is found; else 0
  bool is_exact;   ///< No other order is better
} Route;

/**
   The best order. Where two are equally good the one that comes first by its stops' numbers, as far
   as whole microseconds can tell them apart.

   @param[out] route Lives in `arena`; untouched on error.
   @return STATUS_OK, also for no stops; STATUS_BAD_ARG for a number that is negative or not finite,
   or a way back with ROUTE_SOONEST; STATUS_NO_MEMORY. Pure; any thread. Exact: n^2 2^n steps and
   9 bytes times n 2^n of scratch (about 9 MB for 16 stops).
*/
Status
route_plan(const RouteProblem* problem, RouteGoal goal, Arena* arena, Route* route);
