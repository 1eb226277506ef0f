// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/problem.h"

/*
  A choice of the engine, told: who, where, what and why, the caution first where there is one, and
  what may come of it.
*/

/// @param[out] step Words live in the problem's arena; untouched on error. The choice is a check or
/// a repair of the problem, never the service.
Status
telling_step(const Problem* problem, const PolicyChoice* choice, Step* step);
