// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/next.h"
#include "day/world.h"

/*
  A rescue to practise on: a hidden cause, somebody who plays, and a clock that counts the story's
  own seconds.

    WHERE --place--> WHAT --step--> (the world answers) --> WHERE | SOUND
      | w way round --> ROUND         | 0 another place
      | q leave --> LEFT

  A cause that takes more lines down is complained of line by line, as a line check comes to them:
  one every "see which channel is silent" on the clock.

  A place is chosen, then one of the things that can be done there, said as `rescue` says them but
  without a hint of what is likely. The world answers, misreadings included; walking, asking and
  handling are added to the clock, and people stay where the last step left them. Whoever plays may
  ask what the advice would do now; nothing tells otherwise. At the end the truth comes out, and the
  same advice plays the same world from the same start, so that the two times can be compared.

  A pure machine: no clock, no screen, no show. One thread: the predictor of the base is used.
*/

typedef enum {
  PRACTICE_WHERE, ///< Choose a place
  PRACTICE_WHAT,  ///< Choose what to do there
  PRACTICE_SOUND, ///< A repair helped
  PRACTICE_ROUND, ///< The way round was taken
  PRACTICE_LEFT   ///< Left, or no move left to count
} PracticeState;

typedef struct {
  int n_people;      ///< 1: one person at the desk does it all; 2: another one stands on stage;
                     ///< 0: the crew list
  bool asks;         ///< Steps for others cost "ask over the intercom"
  double deadline_s; ///< Sound must be back by then; 0 = none
  bool goes_round;   ///< The advice may end with the way round
} PracticeOptions;

enum { PRACTICE_CHOICES = 32, PRACTICE_MOVES = 56 };

typedef struct {
  char key;         ///< '1'..'9', 'a'.., '0' back, 'w' way round, '?' ask, 'q' leave
  const char* say;  ///< "To the house desk.", or the step in one sentence
  const Step* step; ///< NULL where the choice is no step
  double seconds;   ///< What it takes, walk and all; of a place the quickest thing there
  int n_steps;      ///< Of a place: how many things can be done there
} PracticeChoice;

typedef struct {
  PracticeState state;
  const char* complaint; ///< What somebody said at the beginning, a sentence
  const char* others;    ///< Other lines complained of by now, a sentence; "" = none
  const char* at;        ///< PRACTICE_WHAT: the place chosen; else ""
  PracticeChoice choices[PRACTICE_CHOICES];
  int n_choices;
} PracticeScreen;

/// One thing done.
typedef struct {
  double start_s, seconds;
  const char* who;
  const char* say;
  const char* answer; ///< What was seen or heard, in plain words
} PracticeMove;

/// A way round, or a new line across the stage where there is none.
typedef struct {
  const char* who;
  const char* say;
  double seconds;       ///< Walk and all
  const AroundWay* way; ///< NULL = a new line
  bool takes_plug;      ///< The source's plug goes along, and what hangs on it
} PracticeRound;

/// A complaint of another line that came in meanwhile.
typedef struct {
  double at_s;
  int line; ///< Index
  const char* say;
} PracticeHeard;

typedef struct {
  const char* truth; ///< A sentence
  const char* after; ///< What to do with the part now, in sentences; "" when left
  double seconds;    ///< Yours
  bool is_named;     ///< Sound by a repair, and its part was the likeliest by what was read
  double advice_s;   ///< What the advice takes on the same world
  int advice_steps;  ///< In how many steps
  bool advice_found; ///< By a repair; false = it ran out of steps and went round
  const Step* first; ///< Its first step, with why; NULL when it has none
  double floor_s;    ///< What it takes who knew the cause from the start
  double habit_s;    ///< What going by habit takes (see day/rehearse.h)
} PracticeEnd;

typedef struct Practice Practice;

/**
   Begin.
   @param base A situation of the world's act without readings; borrowed, its predictor is used.
   @param[out] practice Lives in `arena`, which all later calls take memory from; untouched on
   error. @return STATUS_OK; STATUS_BAD_ARG for more than two people by number; STATUS_NO_SOLUTION
   when nobody would notice anything; STATUS_NO_MEMORY.
*/
Status
practice_new(Arena* arena, const Situation* base, const World* world,
             const PracticeOptions* options, Practice** practice);

/// What to show now. @param[out] screen Untouched on error.
Status
practice_screen(const Practice* practice, PracticeScreen* screen);

/**
   A key of the screen. `?` changes nothing: see practice_advice.
   @return STATUS_OK; STATUS_BAD_ARG for a key that is not among the choices; STATUS_NO_MEMORY. On
   error nothing was done.
*/
Status
practice_key(Practice* practice, const PracticeScreen* screen, char key);

/// Do a step, as if it had been chosen.
Status
practice_take(Practice* practice, const Step* step);

/// Take the quickest way round, or run a new line where there is none. A way that takes a bad cable
/// along does not help: the rehearsal goes on, and that one is not offered again.
Status
practice_go_round(Practice* practice);

/// What the advice would do now (NULL when it would go round) and what it holds likely.
Status
practice_advice(const Practice* practice, const Step** step, const char** likely);

/// What the last step did to the odds: a sentence for the part that is likeliest, and one for the
/// part that was; "" before the first step. In the arena.
Status
practice_moved(const Practice* practice, const char** say);

/// The quickest way round that was not taken in vain.
Status
practice_round(const Practice* practice, PracticeRound* round);

/// Seconds of the story so far.
double
practice_seconds(const Practice* practice);

/// What was done so far, oldest first [*n]; borrowed.
const PracticeMove*
practice_moves(const Practice* practice, int* n);

/// Complaints of other lines so far, oldest first [*n]; borrowed.
const PracticeHeard*
practice_heard(const Practice* practice, int* n);

/// Whose line it is: index.
int
practice_line(const Practice* practice);

/// How it ends, whatever the state; plays the advice on the same world.
Status
practice_end(const Practice* practice, PracticeEnd* end);
