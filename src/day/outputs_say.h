// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/outputs.h"

/// What to do in one sentence: a check, a repair, or to make a plug ready for one. In `arena`; NULL
/// = no memory.
const char*
outputs_say_check(const Outputs* o, Arena* arena, int circuit, OutputCheck check, int at);
const char*
outputs_say_fix(const Outputs* o, Arena* arena, int circuit, OutputFix fix, int at);
const char*
outputs_say_ask(const Outputs* o, Arena* arena, int circuit, bool unplug);
