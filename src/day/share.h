// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/crew.h"

/*
  Steps for everybody who is free, at once.

  Lines come worst first; lines that one thing has taken down together (a tail, a desk, two plugs
  exchanged) are one, and get one step. Each gets the best step that fits to what is already being
  done; then, line by line, whoever is still free gets what helps meanwhile, if it pays: a look or
  a listen that leaves the first step alone and saves seconds on average, whatever that one finds.

  When nobody answers, one person is found by voice, and beyond that only people beside whoever asks
  are given anything to do or to listen to.

  What may be done at the same time is `share_together`, and a law in the tests: no two people at
  one joint, at one desk or with one thing of the kit; on one line nothing is touched while
  somebody listens; and nobody moves a plug anywhere while another step may turn phantom on.
*/

typedef enum { SHARE_NOW, SHARE_MEANWHILE, SHARE_INSTEAD } ShareWhen;

typedef struct {
  const Step* step;
  ShareWhen when;
  const int* lines; ///< [n_lines] all it serves, the step's own first
  int n_lines;
  const SharedState* state; ///< What took them down together; NULL = one line
  int ear;                  ///< Who listens at the other end, index into the people; -1 = nobody
  double saves_s;           ///< SHARE_MEANWHILE: expected seconds saved
} ShareStep;

typedef struct {
  const ShareStep* steps; ///< [n_steps] now, then meanwhile, then (with `wants_others`) instead
  int n_steps;
  double seconds;  ///< Until there is sound on the first line
  double chance;   ///< Of that before the deadline; 0 without one
  bool goes_round; ///< What ends a search on the first line is a better bet than any step
  bool is_usual;
} SharePlan;

/// Seconds a meanwhile step must save on average; less is not worth telling somebody. Assumed.
#define SHARE_PAYS_S 1.0

/// Whether two steps may be done at the same time by two people. Symmetric.
bool
share_together(const Situation* situation, const Step* a, const Step* b);

/// Whether a step may be done beside others that are being done, the kit counted.
bool
share_fits(const Situation* situation, const Step* const others[], int n_others, const Step* step);

/**
   @param lines [n_lines] worst first, distinct.
   @param options Its people are taken from `crew`.
   @param wants_others One line was asked about: also what could be done instead.
   @param[out] plan Lives in `arena`; untouched on error.
   @return As next_advise.
*/
Status
share_plan(const Situation* situation, Arena* arena, const int lines[], int n_lines,
           const NextOptions* options, const Crew* crew, bool wants_others, SharePlan* plan);
