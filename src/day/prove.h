// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/crew.h"
#include "day/pass.h"

/*
  Proving line after line: where a pass stands.

    pass begun --every desk has muted, stage has unplugged--> socket after socket, one key each
                                                               | skipped ones and gaps once more
                                                               v
                                                              done

  Everything follows from the facts in force: which way the pass goes, who is ready, what was read
  of each line since, what was skipped. Nothing is remembered beside them, so two phones and a
  terminal may work on one pass, and whoever comes back goes on where it stands. A pass belongs to
  its act and its way; another way is another pass, and everybody gets ready anew.

  What a key tells is given as ready-made facts, in the words `saw`, `skip`, `say`, `undo` take;
  they go through the same checks as any other. A pass by ear is one desk's: each desk answers for
  what it hears, and none for another.

  Pure but for the situation's predictor: one thread. All results live in the arena.
*/

typedef enum { PROVE_UNUSED, PROVE_LEFT, PROVE_GOOD, PROVE_BAD, PROVE_SKIPPED, PROVE_IS } ProveIs;

typedef enum {
  PROVE_CHOOSE, ///< No pass: the ways, and the best order
  PROVE_READY,  ///< Begun, but not everybody is ready
  PROVE_GO,     ///< At a socket
  PROVE_DONE    ///< Nothing is left, gaps and skipped ones neither
} ProveState;

/// A fact to be told, in the words of the wire; NULL = not in it.
typedef struct {
  const char* verb; ///< "saw", "skip", "say", "undo", "pass", "ready"
  int line;         ///< Number; 0 = none
  const char *check, *reading, *at, *what, *to, *text, *fact, *act;
  bool is_urgent;
} ProveFact;

/// What a key asks for before it can be told.
typedef enum { PROVE_ASKS_NOTHING, PROVE_ASKS_INPUT, PROVE_ASKS_PICTURE } ProveAsks;

typedef struct {
  char key;
  const char* word; ///< "yes", "no", ...: the word of the answer
  const char* say;  ///< "it sounds right"
  ProveFact fact;   ///< With PROVE_ASKS_INPUT its reading is "on ", with PICTURE "": add the answer
  ProveAsks asks;
} ProveKey;

enum { PROVE_MAX_KEYS = 10 };

typedef struct {
  int line; ///< Index
  ProveIs is;
  const char* found; ///< What is the matter: "contact 3 open", "no phantom"; "" where nothing is
  const char* fact;  ///< Id of the newest fact of the pass about it; NULL = none
  int64_t seq;       ///< Of that fact; 0 = none
  double at_s;       ///< When, seconds since 1970; < 0 = not known
  int input;         ///< At the desk that listens or gives phantom, as it is now; 0 = none
  ProveFact good;    ///< What tells it good
} ProveLine;

typedef struct {
  const char* place; ///< "foh", "stage"
  const char* say;   ///< What to do, whole
  bool is_ready;
  ProveFact fact;
} ProveReady;

typedef struct {
  bool has_way;
  PassWay way; ///< Else that of the newest pass of the act
  int desk;    ///< Who listens; index
  int box;     ///< Only this one; -1 = all
  int line;    ///< Go to this one; -1 = the next
} ProveAsk;

typedef struct {
  bool has_way;
  PassWay way;
  ProveState state;
  int desk; ///< Whose ear or phantom
  const ProveReady* ready;
  int n_ready;
  ProveFact begin;        ///< Begins the pass; for PROVE_CHOOSE with a way
  const ProveLine* lines; ///< [n_lines] by box, in socket order; all boxes
  int n_lines;
  int at;          ///< Index into `lines`; -1 = none
  int last;        ///< Newest answered, index into `lines`; -1 = none
  const char* say; ///< What to do at `at`; "" without one
  const char* caution;
  ProveKey keys[PROVE_MAX_KEYS];
  int n_keys;
  const int* gaps; ///< [n_gaps] indices into `lines`: left out before the last one answered
  int n_gaps;
  const char* order;   ///< An order mistake, one or two sentences; ""
  ProveFact take_back; ///< The undo of the last answer; verb NULL = there is none
  int n[PROVE_IS];     ///< Of the box asked for, or all
  double pace_s;       ///< Median seconds between two answers of this pass; 0 = too few to say
  double left_s;       ///< For what is left, skipped ones included, by pace or usual practice
  const char* summary; ///< In one breath
} Prove;

/// @param[out] prove Untouched on error. @return STATUS_OK, STATUS_NO_MEMORY.
Status
prove_now(const Situation* situation, const Fold* fold, Arena* arena, const ProveAsk* ask,
          Prove* prove);

/// "unused", "left", "good", "bad", "skipped"
const char*
prove_word(ProveIs is);

/// One socket of a hunt.
typedef struct {
  int line;        ///< Whose socket
  ProveFact found; ///< The lamp lights here: the line is named, and where it differs the patch is
                   ///< put right
} ProveSpot;

typedef struct {
  const char* say; ///< Phantom on one channel, walk the lamp
  const char* caution;
  ProveFact begin;         ///< A hunt is a pass by lamp: verb NULL when one is under way
  const ProveReady* ready; ///< As for any pass by lamp
  int n_ready;
  const ProveSpot* spots; ///< [n_spots] in walking order, likeliest box first
  int n_spots;
} ProveHunt;

/// The hunt for the socket of one line whose far end is not known. @return STATUS_NOT_FOUND when no
/// desk gives it phantom.
Status
prove_hunt(const Situation* situation, const Fold* fold, Arena* arena, int line, ProveHunt* hunt);
