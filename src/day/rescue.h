// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/around.h"
#include "day/proof.h"
#include "day/share.h"
#include "show/event.h"

/*
  The conversation of a rescue as a state machine: what to show now, and which fact each answer
  makes. Faces only draw it and hand keys back.

    STEP --number--> fact, new situation --> STEP | ROUND | WAIT | STUCK | DONE
      | w way round   | u undo   | c cannot do that   | e somebody else did   | m the other step

  The machine keeps nothing itself: everything follows from the show's facts, so a phone and a desk
  see the same conversation, and undo is only a void.

  Who is asked is day/share's to say: a step that needs two people only when somebody stands at each
  end, nobody twice, and whoever is free and can help meanwhile gets a look of their own. A step
  that somebody took already stays theirs until they answer.
*/

typedef enum {
  RESCUE_STEP,  ///< A step; answers are its readings
  RESCUE_ROUND, ///< A way round stands first; answers: done, show the step instead
  RESCUE_WAIT,  ///< Everybody is busy
  RESCUE_DONE,  ///< There is sound
  RESCUE_STUCK  ///< Nothing left to try: said so, with what is most likely
} RescueState;

typedef struct {
  char key;        ///< '1'..'9', 'w', 'u', 'c', 'e', 'm', 'q'
  const char* say; ///< "nothing arrives"
} RescueChoice;

enum { RESCUE_MAX_IN_HAND = 4 };

typedef struct {
  RescueState state;
  const Step* step;                      ///< The one the choices answer; NULL = none
  ShareStep in_hand[RESCUE_MAX_IN_HAND]; ///< The first, then what others do meanwhile
  int n_in_hand;
  int at;                ///< Which of them `step` is
  const AroundWay* ways; ///< Always: quickest first
  int n_ways;
  const char* headline; ///< The one large sentence
  const char* why;
  const char* caution; ///< "" if none
  const char* likely;  ///< "Most likely: ..., about 6 in 10"; "It is ..." only when proven
  RescueChoice choices[15];
  int n_choices;
} RescueScreen;

/**
   What to show now.

   @param crew Who is where and busy; `options` takes its people from it.
   @param at Which step in hand is answered, 0 = the first; one that is not there is the first.
   @param[out] screen Lives in `arena`, borrows the crew; untouched on error.
*/
Status
rescue_with(const Situation* situation, Arena* arena, int line, const NextOptions* options,
            const Crew* crew, int at, RescueScreen* screen);

/// The same with the crew as it is listed, nobody busy yet, and the first step.
Status
rescue_screen(const Situation* situation, Arena* arena, int line, const NextOptions* options,
              RescueScreen* screen);

/**
   The fact an answer makes.
   @return STATUS_OK with kind and body; STATUS_NO for keys that make no fact ('q'; 'm': the next
   step in hand; 'u': the face voids the newest fact); STATUS_BAD_ARG for a key that is not among
   the choices.
*/
Status
rescue_answer(const Situation* situation, Arena* arena, const RescueScreen* screen, int line,
              char key, FactKind* kind, FactBody* body);

/// The spoken summary of odds for a line: "Most likely: the cable in D5, about 4 in 10; perhaps
/// contact 2 open."
const char*
rescue_likely(const Situation* situation, Arena* arena, int line);
