// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/card.h"

/*
  Which resistors make a tester that tells most faults apart.

  What stays: which lamps lie between which contacts, their forward volts, the sender's batteries
  and branches. What is searched: the resistor of each lamp and of each branch of the sender
  (branches of one contact that have the same resistor keep having the same: a divider stays one of
  halves).

  **Margin.** Of two faults, each lamp gives a score; the best lamp's score is the pair's, and the
  worst pair's score is the tester's margin.

    by brightness   lit in different colours: no limit (DESIGN_SURE). Else the ratio of the two
                    currents, each counted as 0.15 mA at least: below that nobody sees a thing.
                    2 is easy to see (CARD_BRIGHT_RATIO).
    by lit or dark  for either colour: the least of (current of the one that is lit) / 0.3 mA and
                    0.15 mA / (current of the other that way): what is lit must be well above, what
                    is dark well below a guard band from 0.15 to 0.3 mA. 1 is needed.

  Faults: none, each contact open, each pair short, each pair crossed (the ten basic ones of three
  contacts). A pair that shows the same currents whatever the resistors are (crossed 2-3 under
  phantom) is left out and listed as never told. By brightness a setting that tells more pairs
  (score 2) comes first, then the larger margin; by lit or dark the larger margin.

  **Search.** All settings of coarse values while they are few enough, else fixed pseudo-random
  ones; from the best of them each resistor in turn is moved along the fine values until nothing
  improves. What the cable shows for a setting of the sender is worked out once for all lamps on it,
  and a setting is dropped at the first pair that makes it worse than the best. Same task, same
  answer. Pure; any thread.
*/

#define DESIGN_SURE 1e9
#define DESIGN_SEEN_A 0.15e-3
#define DESIGN_LIT_A 0.3e-3

typedef enum { DESIGN_BRIGHT, DESIGN_LIT } DesignBy;

enum {
  DESIGN_MAX_VALUES = TESTER_MAX_LAMPS + TESTER_MAX_SENDER,
  DESIGN_MAX_FAULTS = 1 + 8 + 2 * 28,
  DESIGN_SUPPLIES = 2, ///< Phantom, sender
  DESIGN_BEST = 8      ///< How many coarse settings are refined
};

/// Told now and then what has been done, from 0 to 1; NULL = nobody asks.
typedef void (*DesignSay)(void* user, double part);

typedef struct {
  const Tester* like;
  bool phantom, sender; ///< Which supplies count; the worse of the two when both do
  DesignBy by;
  double most_a;             ///< No lamp above this in any of the faults
  const double* lamp_ohm;    ///< [n_lamp_ohm] coarse, ascending; NULL = E6 from 47 to 10 k
  const double* via_ohm;     ///< [n_via_ohm] of branches that stand alone; NULL = some E values
  const double* divider_ohm; ///< [n_divider_ohm] of equal branches
  int n_lamp_ohm, n_via_ohm, n_divider_ohm;
  bool coarse_only; ///< No refinement
  DesignSay say;
  void* user;
} DesignTask;

/// Two faults in one supply.
typedef struct {
  CardSituation situation;
  int one, two; ///< Indices in the design's faults
  double score;
} DesignPair;

typedef struct {
  CardFault faults[DESIGN_MAX_FAULTS];
  int n_faults;
  Tester tester; ///< `like` with the found resistors; parts in the arena
  double margin; ///< 0 when no setting keeps the lamps within most_a
  DesignPair worst;
  const DesignPair*
    untold; ///< Pairs under what is needed (2, or 1 by lit or dark), not counting...
  int n_untold;
  const DesignPair* never; ///< ... those that no resistors can tell
  int n_never;
  long n_tried;
} Design;

/**
   Search.

   @param[out] out Untouched on error.
   @return STATUS_OK; STATUS_BAD_ARG when no supply fits the tester (see card_fits) or a list of
   values is not positive; STATUS_NO_MEMORY; STATUS_NO_SOLUTION when every setting asks more than
   most_a of a lamp.
*/
Status
design_search(Arena* arena, const DesignTask* task, Design* out);

/// The margin of a tester as it is, with the same definitions.
Status
design_judge(Arena* arena, const DesignTask* task, const Tester* tester, Design* out);
