// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/situation.h"

/*
  What must never be hurt, and where it may hang.

  Phantom and a tester's current never meet a ribbon, an unbalanced or an "ask" source ("ask" is as
  good as no), wherever its plug really is: in its own socket, in the wrong one of its box, on a way
  round, at the other end of a Y-lead, one hole off in a stage patch panel. A law in the tests holds
  every step to this, written there again from the rule alone.

  Lists of lines whose plug must be out first hold at most 8: more than that no step can name, and
  what needs them is not advised. Pure; any thread.
*/

enum { HARM_MAX_UNPLUG = 8 };

/// A plug this likely to sit in the socket is pulled before phantom goes on.
#define HARM_PROB 1e-3

/// Whether the source of a line must never get phantom or a tester's current.
bool
harm_is(const Situation* situation, int line);

/// Whether a ribbon is on the line, be it at the other end of a Y-lead.
bool
harm_has_ribbon(const Situation* situation, int line);

/// Where the plug of a line's source is now: a way round over a spare line takes the plug along,
/// one over a line that is live already, or to a desk input alone, leaves it where it was.
int
harm_plug_at(const Situation* situation, int line);

/// Whether a check may be advised at all on a line, and which plugs must be pulled first.
bool
harm_allows(const Situation* situation, int line, Check check, int unplug[HARM_MAX_UNPLUG],
            int* n_unplug);

/// Whether putting a desk right may switch phantom on for this line, and which plugs must be out
/// first: harmful ones that may sit in its socket, by the odds `rows` [n_rows] or by a move.
bool
harm_takes_phantom(const Situation* situation, int line, int desk, const Suspect rows[], int n_rows,
                   int unplug[HARM_MAX_UNPLUG], int* n_unplug);

/// The harmful sources plugged in a line's box; false when they are more than a step can name. They
/// must be out before a box gets power or another owner: it comes back with settings nobody has
/// seen here, phantom among them. A lead that goes in again finds the box as it was.
bool
harm_in_box(const Situation* situation, int line, int unplug[HARM_MAX_UNPLUG], int* n_unplug);
