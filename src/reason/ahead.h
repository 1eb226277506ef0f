// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "reason/policy.h"

/*
  Which action first, looked at some steps ahead.

      now --- check --+-- nothing --- repair --- leaf          each branch: its seconds (walk,
          \           \-- sound  --- check  --+- leaf          handling, verification) times the
           \                                  \- leaf          chance of getting there
            \-- repair --- not mended --- ...

  One step ahead an action is priced by what it costs itself plus what is left after it, read off at
  a leaf. Two steps ahead the best `beam` actions are opened: after each of their outcomes every
  check and every repair is tried again, and the best of those counts. Further steps are looked at
  one by one with `deep_beam`, as long as the leaves stay under a budget; a step that would not is
  given up and the one before it stands. What looks better than the best opened one is opened too;
  those opened are compared at the deeper value and stand before the rest, which keep their order.

  A leaf is ECR, the greedy plan of repairs cut by the service: the cost of something that can be
  done, so that what is promised is an upper bound ("at most about"). With `kappa` it is the lesser
  of ECR and kappa H + direct: H the entropy of the repair classes in bits, `direct` the cheapest
  single repair of each class from here, kappa in units of the seconds a bit costs at the best rate
  the first step has. That says what further checks could make of it, and is neither bound nor
  promise, so the usual options leave it out; tests/reason/test_ahead measures both, long size.

  Against a clock the chance of being done in time is what is compared (leaf: policy_chance), and
  seconds only where chances tie.

  Source: Heckerman, Breese and Rommelse 1995 (one step, ECR).

  There is no clock in here and nothing depends on speed: the work is counted in leaves. Every sum
  has a fixed order, ties go by index: same problem, same answer, on every machine.
*/

enum { AHEAD_MAX_DEPTH = 6 };

typedef struct {
  int depth;     ///< 1 to AHEAD_MAX_DEPTH
  int beam;      ///< Actions opened at each node of the second step, >= 1
  int deep_beam; ///< The same from the third step on, >= 1
  long n_leaves; ///< Budget in leaves looked at in all; what lies within two steps always is. 0 =
                 ///< no third step
  double kappa;  ///< Factor on the entropy leaf, >= 1 to be cautious; 0 = ECR alone
} AheadOptions;

/// One step, ECR leaf: the plain rule of odds against cost with one check in between.
AheadOptions
ahead_one_step(void);

/// Two steps with beam 8, a third and fourth with beam 3 within 20,000 leaves, ECR leaf.
AheadOptions
ahead_usual(void);

typedef struct {
  PolicyChoice* choices; ///< [n_choices] best first, in the arena
  int n_choices;
  int depth;     ///< Steps ahead that the order rests on
  long n_leaves; ///< Leaves looked at, an unfinished third step included
} AheadAnswer;

/**
   Every action that is allowed and that somebody free can do, best first. At the first step each is
   priced for every person able to do it and listed once, with the best of them (nearest on a tie,
   then by index); further ahead the nearest person acts. Values are compared rounded to a
   microsecond and 1e-9 of chance; ties go to checks before repairs before the service, then by
   index. What a path has checked or tried once is not tried again on it.

   @param[out] answer Untouched on error.
   @return STATUS_OK, also with nothing to do (no choices); STATUS_BAD_ARG when the problem is not
   sound, a check's outcomes do not add up or an option is out of its range; STATUS_NO_MEMORY.
   Any thread; memory from `arena`.
*/
Status
ahead_rank(const PolicyProblem* problem, PolicyGoal goal, const AheadOptions* options, Arena* arena,
           AheadAnswer* answer);
