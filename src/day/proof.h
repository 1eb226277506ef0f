// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/situation.h"

/*
  The state of a line at each desk, and of all lines: design's seven words, and what was not seen.
  The two limits are data of the situation's plant (usual values PROOF_GOOD_PROB,
  PROOF_SUSPECT_PROB).
*/

typedef enum {
  STATE_UNUSED,
  STATE_PROVEN,
  STATE_MOVED,
  STATE_UNPROVEN,
  STATE_SUSPECT,
  STATE_BAD,
  STATE_COUNT ///< The order is from good to bad: the worst of the desks is the line's
} LineState;

#define PROOF_GOOD_PROB 0.02
#define PROOF_SUSPECT_PROB 0.2

typedef struct {
  LineState state;           ///< Worst of the desks
  LineState at[PLANT_DESKS]; ///< STATE_UNUSED where the desk has no input for it
  const char* not_seen[12];  ///< Faults no reading so far could have shown
  int n_not_seen;
  const char* say; ///< "nothing read yet", "monitor desk not heard; 2-3 crossing not seen"
} LineProof;

/// Newest word about a line at a desk: -1 nothing read, 0 it sounds good, 1 bad now.
int
proof_heard(const Situation* situation, int line, int desk);

/// The likeliest trouble of a line's whole box (its tail; power, leads, clock or owner of a digital
/// box) that this line would suffer from, and its odds; NULL and 0 when there is none.
Status
proof_box(const Situation* situation, Arena* arena, int line, const SharedState** box,
          double* prob);

Status
proof_line(const Situation* situation, Arena* arena, int line, LineProof* proof);

/// "proven", "unproven", "suspect", "bad", "moved", "unused"
const char*
proof_word(LineState state);
