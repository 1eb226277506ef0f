// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/rng.h"
#include "day/repair.h"
#include "day/situation.h"

/*
  A stage with something wrong on it, and nobody to ask but itself.

  One cause is hidden: a fault of one line or a shared state, drawn by the same odds as the advice
  believes in. The world answers a check with what the cause's own circuit shows, read by a person
  who errs as often as the list of misreadings says, and a repair with whether it helped: one that
  is made for the cause helps REPAIR_HELPS_PROB of the times, because a spare may be bad and a hand
  may slip. It knows nothing of any belief.

  Chance comes from a seed. Two rules that ask the same question of the same world get the same
  answer: each answer has its own stream, made of the seed and the question.
*/

typedef struct {
  int act;  ///< Index
  int line; ///< Index of the line that somebody complains of
  Fault fault;
  const SharedState* state; ///< NULL = the fault is the line's own
} WorldCause;

typedef struct {
  const Plant* plant;
  Predictor* predictor; ///< Of the cause's act; one thread
  WorldCause cause;
  Condition condition;
  uint64_t seed;
} World;

/// What can be drawn in an act, with its odds.
typedef struct WorldUrn WorldUrn;

/**
   Everything the catalogue and the shared states list for an act on lines in use. What it cannot
   name (something else) and a lying tester are left out.
   @param base A situation of the act without readings; borrowed.
   @param[out] urn Lives in `arena`; untouched on error. @return STATUS_OK; STATUS_NO_SOLUTION when
   nothing can be drawn; STATUS_NO_MEMORY.
*/
Status
world_urn(Arena* arena, const Situation* base, const WorldUrn** urn);

/// Draw a cause and hide it, until one is drawn that somebody at `desk` notices first; -1 = at any
/// desk. The odds list says what is wrong with a line as one desk reports it, so that only draws
/// for one desk have its shares: each further desk brings its own settings. `seed` is the world's
/// own; what goes unnoticed takes the next. @param[out] world Untouched on error. @return
/// STATUS_OK; STATUS_NO_SOLUTION when a thousand draws went unnoticed; STATUS_NO_MEMORY.
Status
world_draw(const WorldUrn* urn, Rng* rng, uint64_t seed, int desk, World* world);

/// Hide a given cause. @return STATUS_NO_SOLUTION when nobody notices it in this world.
Status
world_hide(const Situation* base, const WorldCause* cause, uint64_t seed, World* world);

/// What somebody notices first: level, else hum, else crackle, at the first desk that hears
/// anything wrong; misreading included. STATUS_NO_SOLUTION when nobody does.
Status
world_complaint(const World* world, Check* check, int* key);

/// The lines that may be complained of besides: those with a source that a shared cause touches,
/// onwards from the world's own and then from the first one; none for a fault of one line.
/// @return How many, at most `most`.
int
world_others(const World* world, int lines[], int most);

/// What somebody notices on one of them: as world_complaint.
Status
world_complaint_on(const World* world, int line, Check* check, int* key);

/// What a person reads when they make a check on the world's line; misreading included.
Status
world_check(const World* world, Check check, int* key);

/// Whether a repair helped, at the given attempt of it (0 = the first).
bool
world_repair(const World* world, RepairSort repair, int desk, int attempt);

/// Whether a way round brings the sound back: over another line (-1 = a network lead), and with the
/// plug and all that hangs on it taken along or left where they are.
bool
world_goes_round(const World* world, int over_line, bool takes_plug);

/// Whether a suspect names the part that is at fault: for a shared cause the very state.
bool
world_is_part(const World* world, const Suspect* suspect);
