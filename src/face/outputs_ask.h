// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/outputs.h"
#include "face/outputs_load.h"
#include "face/screen.h"
#include "face/show_open.h"

/*
  What `outputs` was asked, while it is answered: the show, how its circuits stand now, and whom it
  is about. One thread; everything lives in the face's arena.
*/

typedef struct {
  const Face* face;
  OpenShow* show;
  const Outputs* o;
  const char* name; ///< NULL = all
  OutputFor what;
  int n_entered;
} OutputsAsk;

/// Where the circuits stand now. @return STATUS_OK; STATUS_NOT_FOUND when the show has none,
/// STATUS_BAD_INPUT when none is of that name; `o` untouched then.
Status
outputs_ask_look(OutputsAsk* ask);

/// Whether it is asked about this circuit.
bool
outputs_ask_about(const OutputsAsk* ask, int circuit);

/// Tell one fact, with the checks of every telling, and look again. @param[out] said What to say of
/// it; @param[out] id Of the fact. Both untouched on error.
Status
outputs_ask_tell(OutputsAsk* ask, const char* circuit, const char* check, const char* reading,
                 const char* at, const char** said, const char** id);

/// Walk a meter through all circuits asked about: one number and Enter each, an amplifier's plug
/// asked for once.
Status
outputs_enter(OutputsAsk* ask);
