// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/screen.h"
#include "face/verb.h"

/*
  Every help text, in one table, so that it can be read through. The examples are run one after the
  other by the tests, in the order of the verbs, beside the demo lists.
*/

/// All verbs with one phrase each.
void
help_all(const Screen* screen);

/// The page of one verb.
void
help_verb(const Screen* screen, const Verb* verb);
