// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "show/fold.h"
#include "stage/plant.h"

/*
  What is plugged where while one act gives way to the next.

    list of the act before --+                              +-- facts of this change
    what was told in it -----+--> before  ------------------+--> now

  A *plug* is what a hand pulls and puts in: the box end of a cable with what hangs on it. It serves
  an input of the act before, of the act after, or, when both name the same source of the same kind,
  of both. A Y-lead has two of them.

  What counts as told in this change: every fact that names both acts, and every plain "plugged" or
  "moved" of the act after that came behind the word that the act before is in force. What was told
  before that, at a rehearsal or in the morning, is another story; the step "begin" starts it anew.

  Desks tell their steps too: muted, phantom off, patched, phantom on, each for the lines it names.
  The stage tells what it heard a desk say ("heard mute"), that it went on with lines before every
  desk had said so ("anyway"), and that a hand took over what was another's ("take", at: the hand).

  A cable that is taped off ("cable B3", or the tag the list has for it) is dead in its socket until
  something is told plugged there after the tape.
*/

/// Steps of a change that no plug tells of; words of the fact `change_step`.
#define CHANGE_STEP_LIST(X)                                                                        \
  X(CHANGE_STEP_BEGIN, "begin")                                                                    \
  X(CHANGE_STEP_MUTE, "mute")                                                                      \
  X(CHANGE_STEP_OFF, "phantom off")                                                                \
  X(CHANGE_STEP_PATCH, "patch")                                                                    \
  X(CHANGE_STEP_ON, "phantom on")                                                                  \
  X(CHANGE_STEP_HEARD_MUTE, "heard mute")                                                          \
  X(CHANGE_STEP_HEARD_OFF, "heard phantom off")                                                    \
  X(CHANGE_STEP_ANYWAY, "anyway")                                                                  \
  X(CHANGE_STEP_TAKE, "take")

typedef enum {
#define CHANGE_STEP_ENUM(name, word) name,
  CHANGE_STEP_LIST(CHANGE_STEP_ENUM)
#undef CHANGE_STEP_ENUM
    CHANGE_STEP_COUNT
} ChangeStepSort;

typedef struct {
  const Input* was;     ///< In the act before; NULL = it comes new
  const Input* next;    ///< In the act after; NULL = not needed any more
  int leg;              ///< 1 = the second plug of a Y-lead
  const char* stranger; ///< What was told that neither list has; else NULL
} Plug;

typedef struct {
  int from, to; ///< Acts; -1 = bare lines, nothing plugged
  Plug* plugs;  ///< [n_plugs]
  int n_plugs;
  int* before;              ///< [n_lines] plug when the change began; -1 = empty
  int* now;                 ///< [n_lines]
  int* before_at;           ///< [n_plugs] line it was in; -1 = in none
  int* now_at;              ///< [n_plugs]
  const FoldFact** told;    ///< [n_lines] what this change last told of the socket; NULL = nothing
  const FoldFact** muted;   ///< [n_desks x n_lines] NULL = the desk has not said so
  const FoldFact** patched; ///< [n_desks x n_lines]
  const FoldFact** fed_by;  ///< [n_lines] what last told phantom on or off; NULL = nothing
  bool* fed;                ///< [n_lines] phantom is on, as far as lists and facts say
  const FoldFact** anyway;  ///< [n_lines] gone on with before every desk had said it is muted
  const FoldFact** taken;   ///< [n_lines] what last gave it to another hand; NULL = nothing
  const char** dead;        ///< [n_lines] the cable that is taped off, as it is called; NULL = none
  bool* cabled;             ///< [n_lines] a cable of it is taped off, changed meanwhile or not
  size_t begin;             ///< From this place of the log on facts count as told in this change
} Plugged;

/**
   @param from,to Acts, -1 = bare lines; not the same.
   @param fold NULL = nothing told.
   @param[out] plugged Lives in `arena`, borrows plant and fold; untouched on error.
   @return STATUS_OK, STATUS_NO_MEMORY. Facts that do not fit the plant are left aside. Pure.
*/
Status
plugged_now(Arena* arena, const Plant* plant, const Fold* fold, int from, int to, Plugged* plugged);

/// Whether a fact belongs to the change of two acts as far as its words go ("told in this change"
/// needs the log too).
bool
plugged_is_of(const Plant* plant, const FoldFact* fact, int from, int to);

/// Whether the numbers in a fact's detail, "17 18", have that of a line (index).
bool
plugged_names_line(const Plant* plant, const FoldFact* fact, int line);

/// What a plug is called: in the act after where it has a name there.
const char*
plugged_name(const Plug* plug);

/// Whether one plug may stay in its socket and serve the other input: same kind, same things in
/// line, not far from where it was, and not the player's own.
bool
plugged_may_stay(const Input* was, const Input* next);

/// Whether only the desk itself can tell such a step.
bool
change_step_is_of_desk(ChangeStepSort sort);

/// The word of a step; never NULL.
const char*
change_step_word(ChangeStepSort sort);

/// False: no such step.
bool
change_step_of(const char* word, ChangeStepSort* sort);
