// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "reason/policy.h"

/*
  The compact form of a problem that policy, greedy and ahead do their sums on.

  What a plan costs depends only on how much probability each *class* has, a class being the
  hypotheses that every usable repair fixes equally well. Thousands of hypotheses make tens of
  classes, so whatever was read is first summed into class masses, and planning is done on those.
  Masses are never normalised: costs are linear in them, so that the sum over outcomes of
  P(o) ECR(odds | o) is the plain sum of what the plans cost in mass.

      rows   | class 0 . . . pad | class 1 . pad | class 2 . . . . . . |     hypotheses by class
      mass   |      sum          |     sum       |       sum           |

  A class fills whole blocks of PLAN_LANES rows (the rest weigh nothing), so that a class mass is a
  dot product of blocks: eight running sums, always joined in the same way. Equal on every machine,
  whatever the compiler's flags.

  A table is scratch memory too: one thread at a time.
*/

enum { PLAN_LANES = 8 };

/// Where everybody stands; copied freely.
typedef struct {
  int zone[POLICY_MAX_PEOPLE];
} PlanPlaces;

/// What a usable repair takes from where everybody stands.
typedef struct {
  double own_s; ///< Walk, handling, verification
  double walk_s;
  int person;
} PlanReach;

typedef struct {
  const PolicyProblem* problem;
  int n_rows;    ///< Hypotheses and padding; a multiple of PLAN_LANES
  int* row_of;   ///< [n_hyps] row of each hypothesis
  double* prior; ///< [n_rows]
  int n_classes;
  int* class_first;   ///< [n_classes + 1] first row of each class
  double* prior_mass; ///< [n_classes]
  int n_usable;
  int* usable;      ///< [n_usable] repairs that are allowed and that somebody can do
  int* cover_first; ///< [n_usable + 1] into `cover` and `cover_fixes`
  int* cover;       ///< Classes that a repair fixes with some chance
  double* cover_fixes;
  int* overlap_first; ///< [n_usable + 1] into `overlap`
  int* overlap;       ///< The other usable repairs that share a class with one
  PlanReach* from;    ///< [n_zones][n_usable] what a repair takes from each zone; no person
  uint32_t* able;     ///< [n_usable] who can do it and is free
  bool* done;         ///< [n_usable] tried already when a plan starts: the caller's to set
  double* mass;       ///< [n_classes] scratch
  double* mends;      ///< [n_usable] scratch: how much of `mass` each would mend
  int* open;          ///< [n_usable] scratch: those not tried, in order
  PlanReach* now;     ///< [n_usable] scratch
} PlanTable;

/// Every number of a problem but its long tables (likelihoods, chances of a repair).
bool
plan_sound(const PolicyProblem* problem);

/// @return STATUS_OK; STATUS_BAD_ARG when the problem is not sound (its long tables are not looked
/// at); STATUS_NO_MEMORY. Borrows the problem, lives in the arena.
Status
plan_init(PlanTable* table, const PolicyProblem* problem, Arena* arena);

/// Number the distinct columns of `rows` [n_rows][n] in the order of their first member.
/// @param[out] group_of [n]. @return STATUS_OK, STATUS_NO_MEMORY.
Status
plan_group_columns(Arena* arena, const double* const* rows, int n_rows, int n, int* group_of,
                   int* n_groups);

/// Values by hypothesis as rows; padding keeps what it has: `rows` [n_rows] fresh from an arena.
void
plan_spread(const PlanTable* table, const double* by_hyp, double* rows);

/// Class masses of `rows`, each row times `like` where it is not NULL. `mass` [n_classes].
void
plan_weigh(const PlanTable* table, const double* rows, const double* like, double* mass);

/// All mass of all classes.
double
plan_total(const PlanTable* table, const double* mass);

PlanPlaces
plan_places(const PolicyProblem* problem);

void
plan_move(PlanPlaces* places, int person, int zone);

/// Those of `people` that exist and are free.
uint32_t
plan_able(const PolicyProblem* problem, uint32_t people);

/// Who of `people` gets to the zone first; -1 when nobody may, `walk_s` then untouched.
int
plan_nearest(const PolicyProblem* problem, const PlanPlaces* places, uint32_t people, int zone,
             double* walk_s);

double
plan_walk(const PolicyProblem* problem, int from, int to);

/// What usable repair `u` takes from here, verification included.
PolicyAction
plan_repair(const PlanTable* table, const PlanPlaces* places, int u);

/// Whether there is a service and somebody to do it.
bool
plan_service(const PolicyProblem* problem, const PlanPlaces* places, PolicyAction* action);

/// Take away what usable repair `u` fixes; returns how much that was.
double
plan_apply(const PlanTable* table, int u, double* mass);

/// The nearest person for usable repair `u` and what it takes; the first by index on a tie.
PlanReach
plan_reach_of(const PlanTable* table, const PlanPlaces* places, int u);

/// What every usable repair takes from here, done or not. `reach` [n_usable].
void
plan_reach(const PlanTable* table, const PlanPlaces* places, PlanReach* reach);

/// The least seconds in which each class can be ended from here by one untried repair (its seconds
/// over its chance) or by the service; 0 for a class nothing ends. `reach` as plan_reach has it for
/// these places; `direct_s` [n_classes].
void
plan_direct(const PlanTable* table, const PlanPlaces* places, const PlanReach* reach,
            double* direct_s);
