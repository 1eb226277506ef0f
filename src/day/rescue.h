// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/around.h"
#include "day/next.h"
#include "day/proof.h"
#include "show/event.h"

/*
  The conversation of a rescue as a state machine: what to show now, and which fact each answer
  makes. Faces only draw it and hand keys back.

    ASK_READING --number--> fact, new situation --> ASK_READING | SOUND_CHECK | DONE
        | w way round       | u undo    | c cannot do that    | e somebody else did

  The machine keeps nothing itself: everything follows from the show's facts, so a phone and a desk
  see the same conversation, and undo is only a void.
*/

typedef enum {
  RESCUE_STEP,  ///< A step; answers are its readings
  RESCUE_ROUND, ///< A way round stands first; answers: done, show the step instead
  RESCUE_DONE,  ///< There is sound
  RESCUE_STUCK  ///< Nothing left to try: said so, with what is most likely
} RescueState;

typedef struct {
  char key;        ///< '1'..'9', 'w', 'u', 'c', 'e', 'q'
  const char* say; ///< "nothing arrives"
} RescueChoice;

typedef struct {
  RescueState state;
  const Step* step;      ///< RESCUE_STEP
  const AroundWay* ways; ///< Always: quickest first
  int n_ways;
  const char* headline; ///< The one large sentence
  const char* why;
  const char* caution; ///< "" if none
  const char* likely;  ///< "Most likely: ..., about 6 in 10"; "It is ..." only when proven
  RescueChoice choices[14];
  int n_choices;
} RescueScreen;

/// What to show now. Lives in `arena`.
Status
rescue_screen(const Situation* situation, Arena* arena, int line, const NextOptions* options,
              RescueScreen* screen);

/**
   The fact an answer makes.
   @return STATUS_OK with kind and body; STATUS_NO for keys that make no fact ('q', 'u': the face
   voids the newest fact); STATUS_BAD_ARG for a key that is not among the choices.
*/
Status
rescue_answer(const Situation* situation, Arena* arena, const RescueScreen* screen, int line,
              char key, FactKind* kind, FactBody* body);

/// The spoken summary of odds for a line: "Most likely: the cable in D5, about 4 in 10; perhaps
/// contact 2 open."
const char*
rescue_likely(const Situation* situation, Arena* arena, int line);
