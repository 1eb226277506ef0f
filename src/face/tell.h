// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/show_open.h"

/*
  What somebody tells, made a fact: checked against the plant, so that a fact nobody could
  understand later never gets in.

  The command line and the crew page tell the same things. Both fill a Telling with the words as
  they were typed or sent, and get back the one fact that says so, or a sentence why not. Nothing
  is written here.
*/

/// name, word on the wire
#define TELL_LIST(X)                                                                               \
  X(TELL_SAW, "saw")                                                                               \
  X(TELL_PLUG, "plug")                                                                             \
  X(TELL_TAPE, "tape")                                                                             \
  X(TELL_CLEAR, "clear")                                                                           \
  X(TELL_UNDO, "undo")                                                                             \
  X(TELL_NOW, "now")                                                                               \
  X(TELL_KIT, "kit")                                                                               \
  X(TELL_TAKE, "take")                                                                             \
  X(TELL_REFUSE, "refuse")                                                                         \
  X(TELL_DONE, "done")                                                                             \
  X(TELL_SAY, "say")                                                                               \
  X(TELL_SEEN, "seen")                                                                             \
  X(TELL_READ, "read")                                                                             \
  X(TELL_HOLDS, "holds")                                                                           \
  X(TELL_CHANGE, "change")                                                                         \
  X(TELL_PASS, "pass")                                                                             \
  X(TELL_READY, "ready")                                                                           \
  X(TELL_SKIP, "skip")                                                                             \
  X(TELL_OUTPUT, "output")

typedef enum {
#define TELL_ENUM(name, word) name,
  TELL_LIST(TELL_ENUM)
#undef TELL_ENUM
    TELL_COUNT
} TellSort;

/// The words of one telling; NULL = not given. `at` and `act` stand for --at and --act.
typedef struct {
  TellSort sort;
  const char* line;    ///< As people call it: number, socket, source
  const char* circuit; ///< Of TELL_OUTPUT: circuit, mix, amplifier, zone, meter or air
  const char* check;   ///< "move": the line runs on way `reading` now
  const char* reading; ///< For TELL_READ: what differs, NULL or "" = as it should be
  const char* at;      ///< For TELL_READ, TELL_HOLDS, TELL_READY, TELL_SKIP: the desk (or "stage")
  const char* place;
  const char* what; ///< For TELL_HOLDS: the version; for TELL_PASS: the way (day/pass.h)
  const char* item;
  const char* why;
  const char* step;   ///< As crew_step_word words it; or NULL and `check` with `at`
  const char* act;    ///< For TELL_NOW: the act to put in force
  const char* of;     ///< Id of the fact this one is about; for an undo NULL = the newest
  const char* to;     ///< Place a message goes to
  const char* before; ///< For TELL_CHANGE: the act that gives way to the one that answers
  const char* lines;  ///< For TELL_CHANGE: numbers of the lines a desk did it for, "17 18"
  const char* text;
  int seconds; ///< -1 = not given
  int breaks;  ///< Counted breaks, >= 0
  int count;   ///< -1 = not given
  bool is_urgent;
} Telling;

/// The fact it makes.
typedef struct {
  FactKind kind;
  FactBody body;   ///< Texts in face->arena, the plant or the telling
  int line;        ///< Index of the line it is about; -1 = none
  const char* say; ///< One sentence: what is written down; for STATUS_NO why it is not
} Told;

/// The word of a sort; never NULL.
const char*
tell_word(TellSort sort);

/**
   Check one telling against the show and make its fact. Settles the act (face->args->act, the one
   in force, or the first that uses the line) and leaves it in `show`.

   @param[out] told On STATUS_OK whole; on STATUS_NO (an item that stays taped off) only `say` and
   `kind`; untouched on error.
   @return STATUS_OK, STATUS_NO, STATUS_BAD_ARG (a word is missing), STATUS_BAD_INPUT with a
   sentence, STATUS_NOT_FOUND (an undo of a fact that is not there or does not count any more),
   STATUS_NO_MEMORY.
*/
Status
tell_check(const Face* face, OpenShow* show, const Telling* telling, Told* told);

/// A fact in a few words, as an undo names it; NULL = no memory.
const char*
tell_said(Arena* arena, const FoldFact* fact);

/// The same with what else goes when it is taken back; NULL = no memory.
const char*
tell_undone(const Face* face, const OpenShow* show, const FoldFact* taken_back);

/// The fact of an id; NULL when there is none.
const FoldFact*
tell_fact(const OpenShow* show, const char* id);
