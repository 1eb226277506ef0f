// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "reason/plan.h"

/*
  Plans of repairs alone, one after the other, each the best of its moment: by mass mended per
  second (walk, handling, verification), or by mass alone.

      repair, listen --sound--> done
                     --still--> repair, listen --sound--> done
                                               --still--> ... or the service, once that is cheaper

  Such a plan can be carried out as it stands, so its cost is an upper bound of what the best plan
  costs. With repairs that overlap in nothing, by mass per second is the best order there is
  (Smith 1956, the weighted shortest job first).

  Both functions use the table's scratch: one at a time. `reach` is what plan_reach says for
  `places`; `mass` [n_classes].
*/

/// Cost in mass-seconds of the greedy plan from here (ECR times mass), followed only until it has
/// cost `at_most`: what comes back is then that or more. `plan` may be NULL; its actions have room
/// for every repair and two more.
double
greedy_cost(PlanTable* table, const double* mass, const PlanPlaces* places, const PlanReach* reach,
            double at_most, PolicyPlan* plan);

/// Mass that is done within `left_s` from here: all of it when the service fits, else the better of
/// two greedy sequences of repairs that still fit, by mass per second and by mass.
double
greedy_in_time(PlanTable* table, const double* mass, const PlanPlaces* places,
               const PlanReach* reach, double left_s);
