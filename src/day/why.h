// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/problem.h"

/*
  Why a step: one reason in words, built from the model. What a check would tell apart, how likely
  what a repair mends is, and what either costs whoever does it.
*/

/// Why a check of the problem. @param[out] why In the problem's arena; untouched on error.
Status
why_check(const Problem* problem, const PolicyAction* action, const char** why);

/// Why a repair: `first` is the likeliest suspect it mends (NULL = none), `sum` all it mends.
Status
why_repair(const Problem* problem, const PolicyAction* action, const Suspect* first, double sum,
           const char** why);
