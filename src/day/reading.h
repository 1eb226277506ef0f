// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/situation.h"

/*
  Readings as plain words: what a person says who has looked, beside the word `saw` takes.
*/

/// A reading of a check as a choice in plain words; CHECK_SWAP is whether a repair helped. In
/// `arena` or static, NULL = no memory.
const char*
reading_say(const Situation* situation, Arena* arena, int line, Check check, const char* reading);
