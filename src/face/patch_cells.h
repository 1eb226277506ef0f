// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/daypatch.h"
#include "face/show_open.h"

/// The list number `at` of a show with the sockets of a plan in it; what is left without has its
/// cells emptied. @param[out] newer `bytes` and `n_bytes` in the face's arena; untouched on error.
/// @return STATUS_BAD_INPUT, said, for a list without a column of sources; STATUS_NO_MEMORY.
Status
patch_cells(const Face* face, const OpenShow* show, const Daypatch* plan, int at, ListText* newer);

/// Whether every source sits where the plan has it once the lists were read again as `now`.
/// @return STATUS_BAD_INPUT, said, when one does not.
Status
patch_cells_check(const Face* face, const OpenShow* show, const Daypatch* plan, const Plant* now);
