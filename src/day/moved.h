// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/situation.h"

/*
  What came between two situations, said as odds before and now: of the part that is likeliest now,
  and of the one that was.
*/

/**
   @param was,now Two situations of one plant and act. @param line Index.
   @param[out] say A sentence or two, "" where nothing can be named; in `arena`, untouched on error.
   @return STATUS_OK; STATUS_NO_MEMORY. One thread: their predictor may be used.
*/
Status
moved_say(Arena* arena, const Situation* was, const Situation* now, int line, const char** say);
