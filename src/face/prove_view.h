// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/prove.h"
#include "day/round.h"
#include "face/json.h"
#include "face/show_open.h"
#include "face/tell.h"

/*
  Proving, for other programs; and its ready-made facts as tellings.
*/

/// The way that --way and --meter name, by its word; NULL when there is none, or they do not go
/// together.
const char*
prove_way(const Args* args);

/// @return STATUS_BAD_ARG when --meter goes with another way than volts.
Status
prove_check_way(const Face* face);

/// What the options ask for: --way, --meter, --from, --go and the box in the second word. Wants a
/// situation.
/// @return STATUS_BAD_INPUT with what there is.
Status
prove_ask(const Face* face, const OpenShow* show, ProveAsk* ask);

/// The best order for the people and the kit at hand.
Status
prove_round(const Face* face, const OpenShow* show, const ProveAsk* ask, const Prove* prove,
            Round* round);

/// The whole answer of `prove --json`. `round` NULL: no order was asked for.
Status
prove_answer(const Face* face, const OpenShow* show, const ProveAsk* ask, const Prove* prove,
             const Round* round);

/// The answer of `prove --hunt LINE --json`.
Status
prove_hunt_answer(const Face* face, const OpenShow* show, int line, const ProveHunt* hunt);

/// A fact as it is told; `answer` is what a key asked for, NULL = nothing. Texts in face->arena.
/// @return STATUS_NO_MEMORY.
Status
prove_telling(const Face* face, const ProveFact* fact, const char* answer, Telling* telling);
