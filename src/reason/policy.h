// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"

#include <stdbool.h>
#include <stdint.h>

/*
  What to do next: a check that tells the hypotheses apart, a repair that may end the trouble, or
  the call-service action that ends the job whatever the cause.

  Exactly one of a flat list of hypotheses is true. People stand in zones; an action costs the walk
  of whoever does it, then its own seconds; a repair is followed by a verification and, when it did
  not help, only shifts the odds. The yardstick is ECR, the expected seconds of a plan that checks
  nothing more: repairs in greedy order of odds per second (walk included, the person moves), cut by
  the service where that is cheapest. It is the exact cost of a plan that can be carried out, so it
  bounds the optimum from above ("at most about"). Which action to take first is reason/ahead's
  business.

  Against a clock seconds are the wrong yardstick; then the chance of being done in time decides,
  with the better of two greedy repair sequences that still fit as its leaf.

  Sources: Kadane and Simon 1977 (odds over cost); Heckerman, Breese and Rommelse 1995 (ECR, ECO,
  call service).

  Same numbers in, same order out: no clock, fixed order of every sum, ties by index.
  All functions may run in any thread; they only read the problem and take memory from `arena`,
  which gets it back when the caller ends it.
*/

enum {
  POLICY_MAX_OUTCOMES = 8,
  POLICY_MAX_PEOPLE = 32,
  POLICY_ANYWHERE = -1, ///< As the zone of an action: no walk, nobody moves
};

/// People are bits: 1u << index.
typedef struct {
  int zone;
  double seconds;     ///< >= 0
  uint32_t people;    ///< Who can do it
  int n_outcomes;     ///< 1 to POLICY_MAX_OUTCOMES
  const double* like; ///< [n_outcomes x n_hyps] row-major; over the outcomes each sums to 1
  bool allowed;       ///< false: done already, no kit, or not safe now
} PolicyCheck;

typedef struct {
  int zone;
  double seconds; ///< >= 0, verification not included
  uint32_t people;
  const double* fixes; ///< [n_hyps] 0 to 1: chance that it ends this trouble
  bool allowed;
} PolicyRepair;

/// The way round: ends the job from any hypothesis.
typedef struct {
  int zone;
  double seconds; ///< >= 0
  uint32_t people;
  bool allowed;
} PolicyService;

typedef struct {
  int n_hyps;         ///< >= 1
  const double* prob; ///< [n_hyps], sums to 1 within 1e-6
  int n_checks;
  const PolicyCheck* checks; ///< [n_checks]
  int n_repairs;
  const PolicyRepair* repairs; ///< [n_repairs]
  PolicyService service;
  double verify_s; ///< After every repair, >= 0
  int n_zones;
  const double* walk_s;   ///< [n_zones x n_zones] from row to column, >= 0
  int n_people;           ///< 1 to POLICY_MAX_PEOPLE
  const int* person_zone; ///< [n_people]
  uint32_t free_people;   ///< Who may be asked to do anything
  double deadline_s;      ///< From now; 0 = no deadline
} PolicyProblem;

typedef enum { POLICY_CHECK, POLICY_REPAIR, POLICY_SERVICE } PolicyKind;

typedef enum {
  POLICY_BY_SECONDS, ///< Fewest expected seconds first
  POLICY_BY_CHANCE,  ///< Best chance of being done by the deadline first, then seconds
} PolicyGoal;

/// One action of a plan.
typedef struct {
  PolicyKind kind;
  int index;     ///< In checks or repairs; 0 for the service
  int person;    ///< Who does it
  double walk_s; ///< Their walk before it
  double own_s;  ///< Walk, handling and, for a repair, verification
} PolicyAction;

typedef struct {
  double seconds;   ///< Expected seconds (ECR)
  double left_prob; ///< Chance that all of it was in vain; 0 when it ends with the service
  int n_actions;
  PolicyAction* actions; ///< [n_actions] repairs in order, the service last if it is used at all
} PolicyPlan;

typedef struct {
  PolicyAction action;
  double seconds; ///< Expected seconds until the end when this comes first
  double chance;  ///< Probability of being done by the deadline; 0 without a deadline
} PolicyChoice;

/**
   Look at every number of a problem.

   @return STATUS_OK; STATUS_BAD_ARG when a range or sum stated above does not hold.
*/
Status
policy_valid(const PolicyProblem* problem);

/**
   The plan without further checks: repairs greedily by odds per second, cut by the service where
   that is cheapest. What no repair can fix costs nothing more when there is no service: it is
   `left_prob`.

   @param[out] plan Lives in the arena; untouched on error.
   @return STATUS_OK; STATUS_BAD_ARG (odds do not sum to 1, zones or people out of range);
   STATUS_NO_MEMORY.
*/
Status
policy_ecr(const PolicyProblem* problem, Arena* arena, PolicyPlan* plan);

/// Chance of being done within `deadline_s` without further checks: 1 when the service fits, else
/// the better of two greedy repair sequences that still fit, by odds per second and by odds.
/// @param[out] chance Untouched on error. @return As policy_ecr.
Status
policy_chance(const PolicyProblem* problem, Arena* arena, double* chance);

/**
   Merge hypotheses that no allowed check or repair can tell apart: no result changes, and the work
   is less. Merged hypotheses are in the order of their first member.

   @param[out] merged Lives in the arena, but borrows people, zones and walks from `problem`.
   @param[out] merged_of [n_hyps] in the arena: where each hypothesis went. May be NULL.
   @return STATUS_OK; STATUS_BAD_ARG; STATUS_NO_MEMORY. Outputs untouched on error.
*/
Status
policy_merge(const PolicyProblem* problem, Arena* arena, PolicyProblem* merged, int** merged_of);
