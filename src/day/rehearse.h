// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/next.h"
#include "day/world.h"

/*
  Rehearsals without people: hidden faults found by different rules, with the same questions, walks,
  handling times and misreadings for all, so that what a rule is worth can be told in seconds.

  A run hides one cause that the engineer at the first desk notices, tells what that was, and lets a
  rule act until a repair helped, a way round is taken (where the rehearsal has them) or a new line
  has been run across the stage. The clock adds what each step takes; people stay where the last
  step left them. A step by somebody else than the person who asks costs the intercom when `asks` is
  set.

    ours            looks ahead as `next` does
    one-step        the same, one step ahead
    odds-over-cost  the best simple crew: watches the meter, asks whether another desk hears it,
                    looks at the desk first when only the meter moves, then repairs by odds per
                    second
    half-split      asks whatever splits what is left most evenly, whatever it takes; repairs once
                    one repair mends two thirds of it
    habit           microphone, cable, other socket, every desk, each once; then the way round, or
                    part by part on to the desk, and all of it once more
    floor           knows the cause: the quickest repair for it and one listen, again if it failed
*/

typedef enum {
  REHEARSE_OURS,
  REHEARSE_ONE_STEP,
  REHEARSE_ODDS_OVER_COST,
  REHEARSE_HALF_SPLIT,
  REHEARSE_HABIT,
  REHEARSE_FLOOR,
  REHEARSE_RULES
} RehearseRule;

typedef struct {
  uint64_t seed;
  int n_runs;        ///< >= 1
  int act;           ///< Index; -1 = each run's act by chance, among those with inputs
  bool goes_round;   ///< Every rule may end with the quickest way round
  bool asks;         ///< Steps for others cost "ask over the intercom"
  int n_people;      ///< 1: one person at the desk does it all; 2: one at the desk, one on stage
  double deadline_s; ///< 0 = none
} RehearseOptions;

typedef struct {
  double mean_s, se_s, p50_s, p95_s;
  double on_time;     ///< Share done by the deadline; without one within REHEARSE_ON_TIME_S
  double named_right; ///< Share where a repair helped and the part then called likeliest was it
} RehearseScore;

#define REHEARSE_ON_TIME_S 60.0

/// How often what `ours` said with some certainty was so, by tenths of certainty.
typedef struct {
  int n_said[11]; ///< [tenths] how often a part was called likeliest at about this
  int n_right[11];
} RehearseTrust;

typedef struct {
  RehearseScore scores[REHEARSE_RULES];
  RehearseTrust trust;
} RehearseTable;

/// Take what the desks' own lists say out of a plant that is to be rehearsed on. What paper finds
/// before the day is nobody's to find by ear, and lines it speaks against would be drawn again and
/// again: hidden faults come by the odds list alone.
void
rehearse_without_paper(Plant* plant);

/// Told after every run; may be NULL.
typedef void (*RehearseTick)(void* user, int n_done, int n_runs);

/**
   Rehearse.
   @param bases [plant->n_acts] situations of every act without readings; those of other acts than
   `options->act` may be NULL when that names one. Their predictors are used: one thread.
   @param[out] table Untouched on error. @return STATUS_OK; STATUS_BAD_ARG; STATUS_NO_SOLUTION when
   no act has anything to rehearse; STATUS_NO_MEMORY. Pure: time is counted, never taken.
*/
Status
rehearse_auto(Arena* arena, const Situation* const bases[], const RehearseOptions* options,
              RehearseTick tick, void* user, RehearseTable* table);

/**
   One rule on one hidden fault, with nobody to play. @param options As above; 0 people = the crew
   list; its seed, runs and act are not looked at. @param[out] seconds Until a repair helped, or to
   what ends a search; untouched on error. @return As rehearse_auto.
*/
Status
rehearse_one(Arena* arena, const Situation* base, const World* world, RehearseRule rule,
             const RehearseOptions* options, double* seconds);

/**
   Who is there to be asked: one person at a desk, or another one at the box of a line too, or (0)
   everybody on the crew list where they start. @param[out] people [*n] in `arena`; untouched on
   error.
*/
Status
rehearse_people(Arena* arena, const Plant* plant, int n_people, int desk, int line,
                NextPerson** people, int* n);

/// "ours", "one-step", ...
const char*
rehearse_rule_word(RehearseRule rule);
