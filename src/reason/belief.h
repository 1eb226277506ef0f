// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"

/*
  What is probably wrong, after everything that was read.

  There are lines, and on each line exactly one *local* is true (one of them usually "none", one
  usually "something else"). Over them stands one *shared state* out of a list (state 0: none),
  such as one cause that reaches many lines at once. A line that the state leaves alone keeps its
  own locals; the lines that it touches are tied into *groups*, each an explicit list of joint
  hypotheses. Given the state, groups and untouched lines are independent, so

      P(readings) = sum_s P(s) * prod_{untouched l} sum_f P(f) L(f) * prod_{groups} sum_h P(h) L(h)

  is exact for what is listed, at the price of the listing. Lines that a state touches but does not
  tie to each other are one group each.

        state     line 0        line 1        line 2        line 3
        0 none    [locals]      [locals]      [locals]      [locals]
        1         [==== group 0: pairs ===]   [group 1]     [locals]

  Likelihoods are any finite numbers >= 0: only their ratios matter to odds. Weights are kept as
  ratio times power of two, so neither hundreds of readings nor a hypothesis that is revived after
  them loses anything to underflow. Every sum runs in the order of the indices.
*/

/// Joint hypotheses of the lines that one state ties together.
typedef struct {
  int n_lines;        ///< >= 1
  const int* lines;   ///< [n_lines] distinct; no other group of the same state has any of them
  int n_hyps;         ///< >= 1
  const double* prob; ///< [n_hyps] given the state; sums to 1
  const int* local;   ///< [n_hyps x n_lines] row-major: which local each line then has
} BeliefGroup;

typedef struct {
  double prob; ///< Prior of this state
  int n_groups;
  const BeliefGroup* groups; ///< [n_groups]
} BeliefState;

typedef struct {
  int n_lines;
  const int* n_locals;       ///< [n_lines], each >= 1
  const double* const* prob; ///< [n_lines][n_locals of it] priors; each line sums to 1
  int n_states;              ///< >= 1
  const BeliefState* states; ///< [n_states]; priors sum to 1; state 0 has no groups
} BeliefModel;

/// One row of a line's flat list of hypotheses: first its locals while no state touches it, then
/// the hypotheses of each group that has this line, by state.
typedef struct {
  int state; ///< 0 stands for "none, or any state that leaves this line alone"
  int group; ///< Index in the state's groups; -1 in the rows of state 0
  int hyp;   ///< Index in the group; in the rows of state 0 the local
  int local; ///< What this line's local is then
} BeliefHyp;

typedef struct Belief Belief;

/**
   Start from the priors.

   @param model Borrowed together with its arrays as long as the belief is used.
   @param[out] belief Lives in the arena.

   @return STATUS_OK; STATUS_BAD_ARG when an index is out of its range, a line is touched twice by
   one state, a prior is negative or not finite or a sum differs from 1 by more than 1e-9;
   STATUS_LIMIT beyond 2^30 hypotheses in all; STATUS_NO_MEMORY. A belief belongs to one thread at a
   time.
*/
Status
belief_init(Arena* arena, const BeliefModel* model, Belief** belief);

/// Back to the priors.
void
belief_reset(Belief* belief);

/// Length of the flat list of a line: its locals plus the hypotheses of all groups that have it.
int
belief_n_hyps(const Belief* belief, int line);

/// Row `index` of that list.
BeliefHyp
belief_hyp(const Belief* belief, int line, int index);

/**
   Take one reading of one line in. Readings are independent given the hypothesis, and their order
   does not matter beyond rounding.

   @param like [belief_n_hyps(line)] chance of this very reading under each row of the flat list.

   @return STATUS_OK; STATUS_BAD_ARG when a likelihood is negative or not finite;
   STATUS_NO_SOLUTION when nothing in the list can explain the reading. On error the belief is as
   it was. Allocates nothing.
*/
Status
belief_update(Belief* belief, int line, const double* like);

/**
   The same for many readings in a row: the odds over the states, which cost states times lines, are
   worked out once, by belief_settle behind the last one, and nothing may be asked before. The
   result is that of belief_update to the last bit.

   @return belief_update_later: STATUS_OK or STATUS_BAD_ARG; belief_settle: STATUS_OK or
   STATUS_NO_SOLUTION, and then only belief_reset helps.
*/
Status
belief_update_later(Belief* belief, int line, const double* like);

Status
belief_settle(Belief* belief);

/// Odds of each state. @param[out] prob [n_states], sums to 1.
void
belief_states(const Belief* belief, double* prob);

/// Odds of each row of a line's flat list. @param[out] prob [belief_n_hyps(line)], sums to 1.
void
belief_hyps(const Belief* belief, int line, double* prob);

/// Odds of each local of a line, over all states. @param[out] prob [n_locals], sums to 1.
void
belief_locals(const Belief* belief, int line, double* prob);

/// Natural log of the probability of all readings so far; 0 before the first.
double
belief_evidence_log(const Belief* belief);

/**
   Keep room for what no list names: raise prob[other] to `floor_prob` when it is below, and scale
   the rest so that the sum is 1 as before. Give such a hypothesis the same likelihood for every
   outcome of a check (1 / number of outcomes): a reading then never speaks for it by itself, it
   only grows when everything named is contradicted.

   @param[in,out] prob [n] summing to 1. Without other mass, prob[other] becomes 1.
   @param floor_prob In [0, 1].
*/
void
belief_keep_other(double* prob, int n, int other, double floor_prob);
