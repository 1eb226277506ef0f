// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "show/fold.h"

/*
  Where a fact stands in a fold: on which shelf, and by which words. Private to fold*.c.

  Sorted by it, each set of the fold is one stretch, and the newest of its kind is the last of a run
  of equal keys.
*/

typedef enum {
  SHELF_READINGS,
  SHELF_OUTPUTS,
  SHELF_STEPS,
  SHELF_PLUGGED,
  SHELF_ITEMS,
  SHELF_MOVED,
  SHELF_KIT,
  SHELF_LISTS,
  SHELF_DESKS,
  SHELF_HOLDS,
  SHELF_PASSES,
  SHELF_NOTES,
  SHELF_MESSAGES,
  SHELF_ACT,
  SHELF_NONE,
} FoldShelf;

typedef struct {
  FoldShelf shelf;
  int line;
  const char* word[2];
  size_t position; ///< In the log; makes the order total
  const FoldFact* entry;
} FoldKey;

/// The key of a fact in force. `position` in the log makes an order of keys total.
FoldKey
fold_key(const FoldFact* entry, size_t position);

/// Below 0, 0 or above 0 by shelf, line and words; the position does not count.
int
fold_key_order(const FoldKey* a, const FoldKey* b);
