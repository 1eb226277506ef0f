// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "show/event.h"

/*
  The fold: a log of facts read from front to back, down to what holds today.

  It knows no stage: a place, an item, a way are words, and what they mean for a line is worked out
  in the rooms above. Words are compared as people type them, ignoring ASCII case and blanks
  around. "Newest" is by the order of the log and not by the time a fact claims, because the clock
  of a phone may be wrong and the log cannot.

  A fact is in force unless a `voided` in force names it; so voiding a void brings a fact back. A
  void counts only for facts before it, which makes this well defined: the last fact is in force,
  and every other one is decided by later ones.
*/

typedef struct FoldFact FoldFact;

struct FoldFact {
  Fact fact;     ///< Its texts are the caller's
  FactBody body; ///< Its texts are the arena's
  bool in_force;
  const FoldFact* voided_by; ///< The first void in force that names it; NULL = none
};

/// Facts by reference, in the order the field says.
typedef struct {
  const FoldFact* const* facts;
  size_t n_facts;
} FoldSet;

/// Today's state. Everything but `all` holds only facts in force.
typedef struct {
  FoldSet all;         ///< Log order, each id once, voided ones and voids included
  const FoldFact* act; ///< Newest act_in_force; NULL = none said
  FoldSet readings;    ///< By line, then log order
  FoldSet outputs;     ///< Readings of loudspeaker circuits and mixes; log order
  FoldSet steps;       ///< Taken, refused and done; by line, then log order
  FoldSet plugged;     ///< Newest for each place and act, by place and act; what "" = nothing there
  FoldSet taped_off;   ///< By item: those whose newest word is taped_off
  FoldSet cleared;     ///< By item: those whose newest word is cleared
  FoldSet moved;       ///< Newest for each line and act, by line and act; those back home left out
  FoldSet kit;         ///< Newest for each kit and place, by kit and place
  FoldSet lists;       ///< Newest for each list name, by name
  FoldSet desks;       ///< Newest read-back for each line, desk and act, in that order
  FoldSet holds;       ///< Newest for each desk and act, by desk and act
  FoldSet passes;      ///< Passes begun, who is ready, lines skipped; log order
  FoldSet notes;       ///< Log order
  FoldSet messages;    ///< And that they were seen; log order
} Fold;

/**
   Fold a log.

   @param facts [n_facts] In log order, with good ids; borrowed, must outlive `fold`. An id met
   again does not count again.
   @param[out] fold Lives in `arena`; untouched on error.
   @param error May be NULL; names the seq of a fact that cannot be read.
   @return STATUS_NO_MEMORY; STATUS_DAMAGED if a body is not one its kind can have.

   Pure: no clock, no files. Any thread. Time about n log n.
*/
Status
fold_make(Arena* arena, const Fact* facts, size_t n_facts, Fold* fold, Error* error);

/// The sets of a fold, for fold_add.
typedef enum {
  FOLD_ALL,
  FOLD_READINGS,
  FOLD_OUTPUTS,
  FOLD_STEPS,
  FOLD_PLUGGED,
  FOLD_TAPED_OFF,
  FOLD_CLEARED,
  FOLD_MOVED,
  FOLD_KIT,
  FOLD_LISTS,
  FOLD_DESKS,
  FOLD_HOLDS,
  FOLD_PASSES,
  FOLD_NOTES,
  FOLD_MESSAGES,
  FOLD_SETS
} FoldSetName;

/**
   The same fold with one more fact behind all others: what fold_make gives of the longer log, for
   the cost of that one fact.

   @param arena The fold's own, or one that lives as long.
   @param fold Of fold_make or of this; changed in place, so that sets taken from it before do not
   hold any more. Untouched on error, but for where its sets lie.
   @param room [FOLD_SETS] how much room each set has: all 0 after fold_make, then what this left.
   @param fact Behind the log's last one, its id not in the log; its texts must outlive `fold`.
   @return STATUS_NO for a `voided`, which changes what was before it: fold anew. STATUS_NO_MEMORY;
   STATUS_DAMAGED as fold_make.
*/
Status
fold_add(Arena* arena, Fold* fold, size_t room[FOLD_SETS], const Fact* fact, Error* error);

/// The part of `readings`, `steps` or `moved` that is about one line; empty if none is.
FoldSet
fold_of_line(FoldSet set, int line);

/// Whether the newest word about an item is that it is taped off.
bool
fold_is_taped_off(const Fold* fold, const char* item);

/// What is taken back in the place of a fact: the first of the lists it came in with, which takes
/// all of them back; else itself.
const FoldFact*
fold_undo_of(const Fold* fold, const FoldFact* fact);

/// Id of the fact an undo takes back: the newest in force that is not itself a void
/// nor a message (what was said cannot be unsaid). NULL if there
/// is none. Taking it back is a `voided` with this id.
const char*
fold_undo_id(const Fold* fold);
