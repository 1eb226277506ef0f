// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/paper.h"
#include "show/fold.h"

/*
  Paper before cable: where lists, desks and what was said of them do not agree.

    act's list --+
    kinds -------+--> what should be --\
                                        >-- disagreements, and what could not be compared
    desk's rows, read or listed --------/
    versions held, plugs told of --/

  Each disagreement is one line at one desk in one act (one that touches two lines comes once for
  each), with what is the matter, what to do, and how sure it is. What nobody read or said stands
  among what was not compared and is never taken for agreement. A desk's own order of channels and
  its short names are its own business.

  The desks are taken to stand as they should before an act is plugged: muted.
*/

/// name, word on the wire
#define COMPARE_LIST(X)                                                                            \
  X(COMPARE_PHANTOM, "phantom")                                                                    \
  X(COMPARE_PATCH, "patch")                                                                        \
  X(COMPARE_NAME, "name")                                                                          \
  X(COMPARE_VERSION, "version")                                                                    \
  X(COMPARE_PAD, "pad")                                                                            \
  X(COMPARE_GAIN, "gain")                                                                          \
  X(COMPARE_MUTE, "mute")                                                                          \
  X(COMPARE_SOCKET, "socket")                                                                      \
  X(COMPARE_SPARE, "spare")

typedef enum {
#define COMPARE_ENUM(name, word) name,
  COMPARE_LIST(COMPARE_ENUM)
#undef COMPARE_ENUM
    COMPARE_SORTS
} CompareWhat;

typedef enum {
  COMPARE_CERTAIN, ///< Both cannot be right
  COMPARE_LIKELY,  ///< Rests on usual levels
  COMPARE_ASK      ///< May be meant so
} CompareSure;

typedef struct {
  CompareWhat what;
  int act;    ///< -1 = bare lines
  int desk;   ///< -1 = none: the list itself, or the stage
  bool stage; ///< What the stage holds
  int line;   ///< Index; -1 = of no line
  bool harms; ///< May hurt a source: comes first, before anything is plugged
  CompareSure sure;
  const char* say;     ///< One sentence: what is the matter
  const char* todo;    ///< One sentence
  const char* caution; ///< "" = none
} Disagreement;

typedef struct {
  const Disagreement* list; ///< By act; in it harm first, then versions, then by line and desk
  int n;
  const char* const* not_compared; ///< Sentences
  int n_not_compared;
  int n_rows; ///< Rows of desks that were looked at
} Comparison;

/// Every act, and bare lines.
enum { COMPARE_EVERY_ACT = -2 };

/**
   Compare.
   @param act  Index, -1 = bare lines, COMPARE_EVERY_ACT.
   @param fold Facts in force: versions held, plugs told of; NULL = none. What was read back from
   desks is in the plant's rows already (readback_overlay).
   @param[out] comparison Lives in `arena`, borrows the plant; untouched on error.
   @return STATUS_OK, STATUS_NO_MEMORY. Pure; any thread.
*/
Status
compare_all(Arena* arena, const Plant* plant, const Fold* fold, int act, Comparison* comparison);

/// "phantom", "patch", ...; never NULL.
const char*
compare_word(CompareWhat what);

/// "certain", "likely", "ask"; never NULL.
const char*
compare_sure(CompareSure sure);
