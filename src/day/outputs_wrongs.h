// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/outputs.h"

/// List what may be wrong with every circuit (o->locals) and with several at once (o->shared), and
/// start the odds. `o` needs plant, n and parts; all in `arena`. @return STATUS_OK,
/// STATUS_NO_MEMORY.
Status
outputs_wrongs(Arena* arena, Outputs* o);
