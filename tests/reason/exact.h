// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  The best that can be done at all, for small problems: one person, certain repairs that show at
  once whether they helped, two outcomes a check, each check and repair at most once. A state is
  (result of every check, repairs tried, where the person is); with a clock also the time left, in
  steps. Every state's value follows from states with more done, so one pass backwards gives the
  optimum exactly; and whatever rule somebody plays by is valued exactly over the same states,
  without chance. Written from the definitions: nothing of reason/ is used here but the tables.
*/

#include "made_problem.h"

#include <stdlib.h>

enum { EXACT_CHECKS = 7, EXACT_REPAIRS = 7 };

/// An action of a state: checks, then repairs, then the service.
typedef struct {
  PolicyKind kind;
  int index;
} ExactMove;

typedef struct {
  int n_cells; ///< Results of all checks, base 3 (0 not made, 1 + outcome)
  int n_masks;
  int n_zones;
  int n_steps;   ///< Time left in steps, 0 to n_steps - 1; 1 without a clock
  double step_s; ///< Seconds a step; 0 without a clock
  int power[EXACT_CHECKS + 1];
  double* mass;  ///< [n_cells x n_masks] probability left
  double* value; ///< Cost in mass-seconds, or mass done in time
} Exact;

static inline size_t
exact_at(const Exact* x, int cell, int mask, int zone, int step)
{
  return (((size_t)cell * (size_t)x->n_masks + (size_t)mask) * (size_t)x->n_zones + (size_t)zone) *
           (size_t)x->n_steps +
         (size_t)step;
}

/// What is left of each hypothesis in a state; returns the sum.
static inline double
exact_left(const PolicyProblem* p, const Exact* x, int cell, int mask, double* left)
{
  double sum = 0.0;
  for (int h = 0; h < p->n_hyps; ++h) {
    double w = p->prob[h];
    for (int i = 0; i < p->n_checks; ++i) {
      const int done = cell / x->power[i] % 3;
      w *= done ? p->checks[i].like[(done - 1) * p->n_hyps + h] : 1.0;
    }
    for (int r = 0; r < p->n_repairs; ++r) {
      w *= mask >> r & 1 ? 1.0 - p->repairs[r].fixes[h] : 1.0;
    }
    left[h] = w;
    sum += w;
  }
  return sum;
}

/// The mass of every state. As exact_left has it, to the last bit: the factors come in the same
/// order, but those of the checks once a cell, and each repair's behind the repairs before it.
static inline void
exact_masses(const PolicyProblem* p, const Exact* x)
{
  double left[1 << EXACT_REPAIRS][MADE_HYPS];
  for (int cell = 0; cell < x->n_cells; ++cell) {
    (void)exact_left(p, x, cell, 0, left[0]);
    for (int mask = 0; mask < x->n_masks; ++mask) {
      int last = 0; // The repair tried with the highest number
      while (mask >> (last + 1)) {
        ++last;
      }
      const double* const before = left[mask & ~(1 << last)];
      double sum = 0.0;
      for (int h = 0; h < p->n_hyps; ++h) {
        if (mask) {
          left[mask][h] = before[h] * (1.0 - p->repairs[last].fixes[h]);
        }
        sum += left[mask][h];
      }
      x->mass[cell * x->n_masks + mask] = sum;
    }
  }
}

static inline Exact
exact_states(const PolicyProblem* p, double step_s)
{
  Exact x = {.n_masks = 1 << p->n_repairs, .n_zones = p->n_zones, .n_steps = 1, .step_s = step_s};
  x.power[0] = 1;
  for (int i = 0; i < p->n_checks; ++i) {
    x.power[i + 1] = x.power[i] * 3;
  }
  x.n_cells = x.power[p->n_checks];
  if (step_s > 0.0) {
    x.n_steps = (int)lround(p->deadline_s / step_s) + 1;
  }
  x.value = calloc(exact_at(&x, x.n_cells, 0, 0, 0), sizeof(double));
  x.mass = calloc((size_t)x.n_cells * (size_t)x.n_masks, sizeof(double));
  if (!x.value || !x.mass) {
    abort(); // A test without memory cannot say anything
  }
  exact_masses(p, &x);
  return x;
}

static inline double
exact_own_s(const PolicyProblem* p, int from, int zone, double seconds)
{
  return (zone < 0 ? 0.0 : p->walk_s[from * p->n_zones + zone]) + seconds;
}

/// Value of one move in a state where `mass` is left: its own share and the states it leads to.
/// HUGE_VAL (or -1 against a clock) when it cannot be made.
static inline double
exact_move(const PolicyProblem* p, const Exact* x, int cell, int mask, int zone, int step,
           ExactMove move, double mass)
{
  const bool clocked = x->step_s > 0.0;
  const bool check = move.kind == POLICY_CHECK;
  const bool repair = move.kind == POLICY_REPAIR;
  const int to = check    ? p->checks[move.index].zone
                 : repair ? p->repairs[move.index].zone
                          : p->service.zone;
  const double handling = check    ? p->checks[move.index].seconds
                          : repair ? p->repairs[move.index].seconds + p->verify_s
                                   : p->service.seconds;
  const double own_s = exact_own_s(p, zone, to, handling);
  const int later = clocked ? step - (int)lround(own_s / x->step_s) : 0;
  const int there = to < 0 ? zone : to;
  if (later < 0) {
    return -1.0;
  }
  double value = clocked ? 0.0 : mass * own_s;
  if (check) {
    for (int o = 1; o <= 2; ++o) {
      value += x->value[exact_at(x, cell + o * x->power[move.index], mask, there, later)];
    }
    return value;
  }
  if (repair) {
    const int after = mask | 1 << move.index;
    value += x->value[exact_at(x, cell, after, there, later)];
    if (clocked) {
      value += mass - x->mass[cell * x->n_masks + after];
    }
    return value;
  }
  return clocked ? mass : value;
}

/// Moves open in a state; returns how many.
static inline int
exact_moves(const PolicyProblem* p, const Exact* x, int cell, int mask, ExactMove* moves)
{
  int n = 0;
  for (int i = 0; i < p->n_checks; ++i) {
    if (cell / x->power[i] % 3 == 0) {
      moves[n++] = (ExactMove){POLICY_CHECK, i};
    }
  }
  for (int r = 0; r < p->n_repairs; ++r) {
    if (!(mask >> r & 1)) {
      moves[n++] = (ExactMove){POLICY_REPAIR, r};
    }
  }
  if (p->service.allowed) {
    moves[n++] = (ExactMove){POLICY_SERVICE, 0};
  }
  return n;
}

/// Fill in the best value of every state; returns that of the beginning: least expected seconds, or
/// with `step_s` the best chance of being done by the deadline. Caller frees with exact_end.
static inline double
exact_solve(const PolicyProblem* p, double step_s, Exact* out)
{
  Exact x = exact_states(p, step_s);
  const bool clocked = step_s > 0.0;
  ExactMove moves[EXACT_CHECKS + EXACT_REPAIRS + 1];
  for (int cell = x.n_cells - 1; cell >= 0; --cell) {
    for (int mask = x.n_masks - 1; mask >= 0; --mask) {
      const double mass = x.mass[cell * x.n_masks + mask];
      const int n = exact_moves(p, &x, cell, mask, moves);
      for (int zone = 0; zone < x.n_zones; ++zone) {
        for (int step = 0; step < x.n_steps; ++step) {
          double best = clocked || !(mass > 0.0) ? 0.0 : HUGE_VAL;
          for (int i = 0; i < n && mass > 0.0; ++i) {
            const double v = exact_move(p, &x, cell, mask, zone, step, moves[i], mass);
            best = clocked ? fmax(best, v) : fmin(best, v);
          }
          x.value[exact_at(&x, cell, mask, zone, step)] = best;
        }
      }
    }
  }
  *out = x;
  return x.value[exact_at(&x, 0, 0, p->person_zone[0], x.n_steps - 1)];
}

static inline void
exact_end(Exact* x)
{
  free(x->value);
  free(x->mass);
  x->value = NULL;
  x->mass = NULL;
}

/// A rule to play by: the first move for a problem whose odds, places and clock are those of now.
typedef ExactMove (*ExactRule)(const PolicyProblem* now, const void* user);

typedef struct {
  const PolicyProblem* truth;
  const PolicyProblem* belief; ///< What the rule believes; the same sizes
  ExactRule rule;
  const void* user;
  Exact x; ///< Values not yet known are NAN
} ExactPlay;

static inline double
exact_follow(ExactPlay* play, int cell, int mask, int zone, int step)
{
  const PolicyProblem* const p = play->truth;
  Exact* const x = &play->x;
  double* const value = &x->value[exact_at(x, cell, mask, zone, step)];
  if (!isnan(*value)) {
    return *value;
  }
  double believed[MADE_HYPS];
  const double mass = x->mass[cell * x->n_masks + mask];
  const double sum = exact_left(play->belief, x, cell, mask, believed);
  if (!(mass > 0.0) || !(sum > 0.0)) {
    *value = 0.0;
    return 0.0;
  }
  PolicyCheck checks[EXACT_CHECKS];
  PolicyRepair repairs[EXACT_REPAIRS];
  PolicyProblem now = *play->belief;
  for (int h = 0; h < now.n_hyps; ++h) {
    believed[h] /= sum;
  }
  for (int i = 0; i < now.n_checks; ++i) {
    checks[i] = now.checks[i];
    checks[i].allowed = cell / x->power[i] % 3 == 0;
  }
  for (int r = 0; r < now.n_repairs; ++r) {
    repairs[r] = now.repairs[r];
    repairs[r].allowed = !(mask >> r & 1);
  }
  now.prob = believed;
  now.checks = checks;
  now.repairs = repairs;
  now.person_zone = &zone;
  now.deadline_s = x->step_s > 0.0 ? step * x->step_s : 0.0;
  if (x->step_s > 0.0 && step == 0) {
    *value = 0.0;
    return 0.0;
  }
  const ExactMove move = play->rule(&now, play->user);
  // The states behind it first, then the move's value from them.
  const bool check = move.kind == POLICY_CHECK;
  if (move.kind != POLICY_SERVICE) {
    const int to = check ? p->checks[move.index].zone : p->repairs[move.index].zone;
    const double handling =
      check ? p->checks[move.index].seconds : p->repairs[move.index].seconds + p->verify_s;
    const int later =
      x->step_s > 0.0 ? step - (int)lround(exact_own_s(p, zone, to, handling) / x->step_s) : 0;
    const int there = to < 0 ? zone : to;
    if (later < 0) {
      *value = 0.0; // Too late with this move, and nothing else is tried
      return 0.0;
    }
    if (check) {
      (void)exact_follow(play, cell + x->power[move.index], mask, there, later);
      (void)exact_follow(play, cell + 2 * x->power[move.index], mask, there, later);
    } else {
      (void)exact_follow(play, cell, mask | 1 << move.index, there, later);
    }
  }
  const double v = exact_move(p, x, cell, mask, zone, step, move, mass);
  *value = v < 0.0 ? 0.0 : v;
  return *value;
}

/// What a rule comes to, exactly: expected seconds, or with `step_s` its chance in time.
static inline double
exact_play(const PolicyProblem* truth, const PolicyProblem* belief, double step_s, ExactRule rule,
           const void* user)
{
  ExactPlay play = {truth, belief, rule, user, exact_states(truth, step_s)};
  const size_t n = exact_at(&play.x, play.x.n_cells, 0, 0, 0);
  for (size_t i = 0; i < n; ++i) {
    play.x.value[i] = (double)NAN;
  }
  const double v = exact_follow(&play, 0, 0, truth->person_zone[0], play.x.n_steps - 1);
  exact_end(&play.x);
  return v;
}
