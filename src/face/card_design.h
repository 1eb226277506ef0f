// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/show_open.h"
#include "stage/tester.h"

/// `card --design`: search the resistors of a tester built like `like` and say what came of it,
/// what it cannot tell and what no resistors can. Progress on a terminal only.
Status
card_design(const Face* face, const Tester* like);
