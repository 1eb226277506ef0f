// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/change.h"

/*
  What one desk sets for the act after: which channel takes which line, what it is called, pad and
  phantom, each against what the same channel had in the act before.
*/

/// Channels whose settings are not the same in both acts, by number; those of lines without a
/// source are left out (they stay muted). [*n] in `arena`. @return STATUS_OK, STATUS_NO_MEMORY.
Status
change_desk_channels(Arena* arena, const Plant* plant, const Plugged* plugged,
                     const Allotment* allotment, int desk, const ChangeChannel** channels, int* n);

/// The channel a desk has for a line: that of the act after, or with `before` of the act before;
/// its input's number when neither is known; 0 = the line does not go there.
Status
change_desk_numbers(Arena* arena, const Plant* plant, const Plugged* plugged,
                    const Allotment* allotment, int desk, bool before, const int** of_line);
