// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/key.h"
#include "face/show_open.h"

/*
  A conversation: how it stands, a screen, a key, a fact; and again.

    facts --> situation --> screen --key--> facts ...

  Nothing is kept between two turns but the show, its fold and what the verb itself remembers; each
  turn has memory of its own. Facts told meanwhile, here or by others, are there in the next turn.
*/

/// One turn; `done` ends the conversation. Texts in `face->arena` are gone with the turn. The facts
/// so far are taken in already; after telling some, show_again takes them in too.
typedef Status (*ConverseTurn)(void* talk, const Face* face, bool* done);

/// Turn after turn until one is done or fails. @return what the last turn returned; STATUS_NO does
/// not end it by itself.
Status
converse(const Face* face, OpenShow* show, ConverseTurn turn, void* talk);

/// Close the show behind a conversation that ended with `st`, and raise the signal that ended it.
/// @return `st`, or why the show could not be closed.
Status
converse_close(const Face* face, OpenShow* show, const Keys* keys, Status st);
