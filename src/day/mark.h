// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/loan.h"
#include "show/fold.h"
#include "stage/plant.h"

/*
  The mark of a list: three letters and a number, "QLR 3", short enough to compare aloud.

  The number is the version, as people count. The letters come from what the list says (its sources,
  their kinds, phantom, channels, sockets, stands, positions and notes), so two lists that both call
  themselves version 3 and are not the same do not have the same mark; order of rows, order of
  columns and headings do not count. Letters are consonants whose names are not easily taken for one
  another, no two alike in a mark (our own choice, no source): 720 of them, so two lists that differ
  get the same letters about once in 720 times.

  Who holds which is told by the list of versions, and over it by facts of today.
*/

enum { MARK_ROOM = 16, MARK_PLACES = PLANT_DESKS + 1 };

typedef enum {
  MARK_NOT_SAID, ///< Nobody said what this place holds
  MARK_SAME,     ///< The list in force
  MARK_OTHER,    ///< Another one
  MARK_BEHIND    ///< As it was before a way round was taken that this place has not followed
} MarkWord;

/// What one place holds of an act's list.
typedef struct {
  const char* place; ///< "foh", "mon", "broadcast", "stage"
  const char* say;   ///< "house desk", "stage"
  int desk;          ///< Index into the plant's desks; -1 = the stage
  const char* held;  ///< As it was told; "" = not said
  MarkWord word;
} MarkHeld;

/// The mark of an act's list, "" for bare lines or an act without inputs. `fold` NULL: no facts.
const char*
mark_act(const Plant* plant, const Fold* fold, int act, char mark[MARK_ROOM]);

/// Whether two ways to name a version mean one: "3", "v3", "QLR 3", "qlr3", "QLR". What one of them
/// does not say is not compared.
bool
mark_same(const char* a, const char* b);

/// What the desks and the stage hold of an act's list; `loans` [n_loans] as loan_list gives them
/// for the same fold. @return How many of `held` are filled.
int
mark_held(const Plant* plant, const Fold* fold, int act, const Loan loans[], int n_loans,
          MarkHeld held[MARK_PLACES]);

/// Whether `place` names a desk or the stage; its word on the wire, NULL when it does not.
const char*
mark_place(const Plant* plant, const char* place);
