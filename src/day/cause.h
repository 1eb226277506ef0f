// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/step.h"
#include "day/world.h"

/*
  A hidden cause in words: what it is called, which one somebody means, what it was when all is
  told, and what is to be done with the part once there is sound.

  All texts live in `arena`; NULL = no memory. `base` is a situation of the cause's act. Pure.
*/

/// As a list has it: "cable in D5: open 3", or what a shared state says.
const char*
cause_say(Arena* arena, const Situation* base, const WorldCause* cause);

/// "It was this: the cable in D5 (contact 3 open)."
const char*
cause_truth(Arena* arena, const Situation* base, const WorldCause* cause);

/// What is to be done after a repair that helped. @param step The repair.
const char*
cause_mended(Arena* arena, const Situation* base, const WorldCause* cause, const Step* step);

/// What is to be done where the line runs on a way round and the fault is still there.
const char*
cause_passed(Arena* arena, const Situation* base, const WorldCause* cause);

/**
   The cause that somebody means: one whose words (cause_say) hold `text`, case aside.
   @param line Index of the line it is complained of on.
   @param[out] fits Words of up to 8 causes that hold the text [*n_fits]; also on
   STATUS_NO_SOLUTION.
   @return STATUS_OK for one cause, or one that `text` names in full; STATUS_NO_SOLUTION for none or
   several; STATUS_NO_MEMORY. `cause` is written on success only.
*/
Status
cause_of(Arena* arena, const Situation* base, int line, const char* text, WorldCause* cause,
         const char* fits[8], int* n_fits);
