// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stdbool.h>

/*
  The rest of a pass over lines, played to its end.

      hands 1   [walk and plug ][listen][ mend  ][walk and plug ] ...
      hands 2   [walk and plug    ]     [listen] ...
      desks                     [ line 1 ]     [ line 2 ]

  Whoever on stage is free first takes the next line of the list. The desks hear one line after the
  other, in the order of the list. What a line shows to be wrong is mended by whoever found it, or,
  where there is a mender, by them, one after the other, while the pass goes on.

  One more person on stage is never later: who starts a line is the first to be free, so with one
  more every line begins no later, and by that is heard and done no later (a law in the tests).
*/

enum { PLAYOUT_HANDS = 8 }; ///< More people on stage than that count as that many

typedef struct {
  double hand_s;   ///< Walking and plugging, pauses included
  double listen_s; ///< At the desks
  double mend_s;   ///< 0 = nothing is wrong
} PlayoutJob;

/// Seconds until the last line is done; 0 for no lines. `n_hands` >= 1. Pure.
double
playout_finish_s(const PlayoutJob jobs[], int n_jobs, int n_hands, bool has_mender);
