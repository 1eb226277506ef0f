// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/prove.h"
#include "face/converse.h"

/*
  What the conversations about proving share: a pass (verb_prove.c) and the hunt (prove_hunt.c).
*/

enum { PROVE_NOTE_BYTES = 400 };

/// A key and what it means; on a narrow screen its word alone.
void
prove_draw_key(const Face* face, char key, const char* word, const char* say);

/// Tell a ready-made fact through the same checks as every other. `answer` as prove_telling has it.
/// A refusal is no error: it is put into `note`, to be said above the next screen.
Status
prove_tell(const Face* face, OpenShow* show, const ProveFact* fact, const char* answer,
           char note[PROVE_NOTE_BYTES]);

/// The hunt for --hunt as a conversation. @return STATUS_OK when the line was found, STATUS_NO when
/// it was left.
Status
prove_hunt_talk(const Face* face, OpenShow* show, Keys* keys);

/// The same as one answer, for other programs.
Status
prove_hunt_now(const Face* face, OpenShow* show);
