// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/loan.h"
#include "fault/predict.h"
#include "reason/belief.h"
#include "show/fold.h"
#include "stage/plant.h"

/*
  Where things stand in one act: the plant, what was seen of it today, and the odds that follow.

  A situation is built from the plant and the fold of the show's facts; it holds one Belief over all
  lines (their local faults and the shared states) and the predictor that says what each fault would
  show. It never changes the show: a new fact means a new situation.

  Looks share what misleads them. A look at the same thing again is with the chance
  plant_again_prob a copy of the one before it, so three equal looks are not three proofs. And a
  loose contact stands, open or closed, as it did at the look before with the same chance, whatever
  was looked at: still looks alone hardly clear it, moving it does.

  Readings of a line count since the part they speak of was last touched: a plug moved, a cable
  swapped or a tail re-seated makes what was seen of it before a story about the old part. What was
  taped off, or came back from its way round, has to be proven anew: complaints stay, good readings
  from before do not count.

  What was heard or measured on the bare lines was the known-good microphone in the socket: in an
  act it speaks of the line from there on, and neither of the act's source nor of its cable.
*/

/// One reading as taken in.
typedef struct {
  int line; ///< Index
  Check check;
  int key;
  const char* item; ///< For CHECK_SWAP: what was swapped; else NULL
  bool is_walked;   ///< On the bare line, the known-good microphone in the socket (nothing for a
                    ///< meter at a desk), not of the act's source
  int64_t seq;      ///< Of its fact in the log; 0 = of no log
} Seen;

/// One hypothesis of a line, with what to call it.
typedef struct {
  int row;                  ///< In the belief's flat list of the line
  const SharedState* state; ///< NULL while nothing shared is wrong
  Fault fault;              ///< FAULT_NONE where the state says all
  double prob;
} Suspect;

typedef struct {
  const Plant* plant;
  int act; ///< Index; -1 = bare lines
  Predictor* predictor;
  Belief* belief;
  BeliefModel model;
  const Fault* const* locals; ///< [n_lines][model.n_locals]
  const SharedState* states;
  int n_states;
  const Seen* seen; ///< In order
  int n_seen;
  const char* const* taped; ///< Tags and sockets taped off
  int n_taped;
  const char* const* refused; ///< Steps that cannot be done now, "LINE|step"
  int n_refused;
  const int* moved_to; ///< [n_lines] line index it runs on now; -1 = on its own way, its own index
                       ///< = the line stays, but one desk or its box has it another way
  const Loan* loans;   ///< [n_loans] ways round that were taken, of every act
  int n_loans;
  const bool* is_told;       ///< [n_lines] somebody said that a plug is in its socket
  const bool* is_accused;    ///< [n_lines] the newest word on it, in whatever act, is against it
  const bool* stays_plugged; ///< [n_lines] one desk alone has it another way: no plug moved
  const char* const*
    repaired_by;             ///< [n_lines] item of the repair that brought the sound back and
                             ///< after which nothing was read yet: the odds are then of what it was
  const char* const* judged; ///< [n_lines] what the part that was taken out showed at the bench:
                             ///< "open 3", "sound"; NULL = not judged, or the story went on since
  double* const* open_now; ///< [n_lines] NULL while no look says how its loose contacts stand, else
                           ///< [rows of the line] chance that they are open at the next look
  const char* left_aside;  ///< Facts that no longer fit the plant, one sentence; "" if none
} Situation;

/// Check word of the fact that tells what a cable showed after it was taken out of its line; the
/// reading is the names of its faults ("open 3, short 1-2") or "sound".
#define SITUATION_JUDGED "judge cable"

/// A part that was the fault shows it at the bench, unless it comes and goes; a part that was not
/// shows one by chance. Usual practice, no source.
#define SITUATION_JUDGED_SHOWS_PROB 0.95
#define SITUATION_JUDGED_HIDES_PROB 0.60
#define SITUATION_JUDGED_CHANCE_PROB 0.001

/**
   Build a situation.
   @param act Index, -1 for bare lines.
   @param fold Facts in force; NULL for none.
   @param[out] situation Lives in `arena`, borrows the plant; untouched on error.
   @return STATUS_OK, STATUS_NO_MEMORY. A reading that cannot be understood is left aside, said in
   `left_aside`, and never silently taken for something else.
*/
Status
situation_new(Arena* arena, const Plant* plant, int act, const Fold* fold, Situation** situation);

/// The act in force: the last `now`, else the running order and the clock on the day of the show
/// (an undated running order does not decide), else the first act that uses `line` (-1: the first
/// act). `today` "2031-06-14" and `clock` "15:22" from the caller. -1 = bare lines.
int
situation_act(const Plant* plant, const Fold* fold, const char* today, const char* clock, int line);

/**
   The same plant and act after other readings: `seen` [n_seen] in order, borrowed. Everything that
   is no reading (taped off, moved, refused) stays as in `base`, whose predictor, and what it has
   worked out, is shared: one thread. Nothing but the last reading of a line may be a repair that
   helped. Memory and errors as situation_new.
*/
Status
situation_after(Arena* arena, const Situation* base, const Seen* seen, int n_seen,
                Situation** situation);

/// What a line is like when a shared state holds that touches it, or else has a fault of its own.
Condition
situation_supposed(const Plant* plant, int act, int line, const SharedState* state,
                   const Fault* fault);

/// What the row of a line's flat list supposes.
Condition
situation_condition(const Situation* situation, int line, int row);

/// What is in a line's socket while a check is made on a line in order: the act's source (index),
/// the known-good microphone, or nothing (-1; PREDICT_EMPTY for a meter at a desk on the bare
/// lines, which needs nobody on stage). `is_walked` as in Seen.
int
situation_plugged(const Situation* situation, int line, Check check, bool is_walked);

/// One reading as the log has it, in numbers; false when it no longer fits the plant.
bool
situation_read(const Situation* situation, const FactBody* body, Seen* seen);

/// Whether a reading speaks against its line: not what a healthy, rightly plugged line shows.
bool
situation_is_complaint(const Situation* situation, const Seen* seen);

/// Whether a reading is just what a line in order, rightly plugged, shows. A repair never is.
bool
situation_is_sound(const Situation* situation, const Seen* seen);

/// Odds of a line, most likely first; rows that mean the same are one. [*n] in `arena`.
Status
situation_suspects(const Situation* situation, Arena* arena, int line, const Suspect** suspects,
                   int* n);

/// What the same odds were before anything was read, by row of the line's flat list (Suspect.row):
/// [*n] in `arena`. On the same footing: once something speaks against the line, of what it may be.
Status
situation_before(const Situation* situation, Arena* arena, int line, const double** prob, int* n);

/// Two suspects a person would call by one name: same part (and desk), or the same shared state.
bool
situation_same_part(const Suspect* a, const Suspect* b);

/// The part or shared state with the most odds in all its faults, and those odds; NULL when there
/// is none. `list` [n] as situation_suspects gives it.
const Suspect*
situation_top(const Suspect list[], int n, double* prob);

/// What a row shows to whoever looks.
typedef struct {
  const View* view;
  const View* known; ///< With the known-good microphone in the socket; NULL unless asked for
  bool tester_lies;  ///< Whatever the tester says means nothing
} Sight;

/// What a row shows; with `hunts` also to a known-good microphone. Views are the predictor's.
Status
situation_sight(const Situation* situation, int line, int row, bool hunts, Sight* sight);

/// Chances of readings under what a row shows (for CHECK_HUNT one that hunts). `probs` [n_keys].
void
situation_probs(const Situation* situation, int line, const Sight* sight, Check check,
                const int* keys, int n_keys, double* probs);

/// Chance of one reading for a row.
Status
situation_prob(const Situation* situation, int line, int row, Check check, int key, double* prob);

/// A place on the wire ("A6", "foh 33", "foh", "mon", "socket", "A6/mic") as line and desk (-1 = at
/// the socket); `line` is filled only when the text names one. False when it names no place.
bool
situation_place(const Plant* plant, const char* text, int* line, int* desk);
