// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/practice.h"
#include "face/show_open.h"

/// `rehearse --tell`: let the advice play to the end, told as Markdown: each step with who, what,
/// why and what came of it, what it did to the odds, what to do with the part, and the seconds
/// beside those of others. @param practice At its beginning.
Status
rehearse_tell(const Face* face, const OpenShow* show, Practice* practice);
