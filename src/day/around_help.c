// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/around_build.h"
#include "day/repair.h"

/*
  How much of what may be wrong a way goes round: the odds of the faults and shared states that it
  leaves behind, over the odds of all.

      plug in another socket   leaves socket, tail, pair, split, preamplifier and desk input behind;
                               takes along source, in-line things and cable, and at each desk the
                               channel: patched anew it is still muted if it was
      spare source             leaves everything of the line behind, its channels too
      one desk another way     what is that desk's own input or side of the split
*/

static bool
goes_round(const AroundWay* way, const Loan* as, const Suspect* suspect)
{
  const SharedState* const state = suspect->state;
  const PartSort part = suspect->fault.part;
  switch (way->sort) {
    case WAY_SOCKET:
      if (state) { // Plugs are seen to be wrong when one is taken in hand
        return shared_moves_plugs(state->sort) || !shared_touch(state, way->uses_line);
      }
      if (part == PART_DESK && suspect->fault.mode == FAULT_MUTED) {
        return false; // The channel stays, whatever is patched to it
      }
      return !(part == PART_SOURCE || part == PART_THROUGH || part == PART_CABLE);
    case WAY_SPARE:
      return !state || shared_moves_plugs(state->sort) || !shared_touch(state, way->uses_line);
    case WAY_INPUT:
      return repair_fixes(REPAIR_INPUT, as->desk, state, &suspect->fault);
    case WAY_FEED:
      return repair_fixes(REPAIR_INPUT, as->desk, state, &suspect->fault) ||
             repair_fixes(REPAIR_SIDE, as->desk, state, &suspect->fault);
    case WAY_SIDE:
      return repair_fixes(REPAIR_SIDE, as->desk, state, &suspect->fault);
    default:
      return state && (state->sort == SHARED_LEAD || state->sort == SHARED_LEAD_HELD);
  }
}

double
around_helps_prob(const AroundBuild* b, const AroundWay* way, const Loan* as)
{
  double all = 0.0;
  double sum = 0.0;
  bool trouble = false;
  for (int i = 0; i < b->s->n_seen; ++i) {
    trouble =
      trouble || (b->s->seen[i].line == b->line && situation_is_complaint(b->s, &b->s->seen[i]));
  }
  for (int i = 0; i < b->n_suspects; ++i) {
    const Suspect* const x = &b->suspects[i];
    if (x->state || x->fault.mode != FAULT_NONE) {
      all += x->prob;
      sum += goes_round(way, as, x) ? x->prob : 0.0;
    }
  }
  return trouble && all > 0.0 ? sum / all : -1.0;
}

// Odds of what one desk's own part of the line would be mended by.
double
around_mended_prob(const AroundBuild* b, RepairSort repair, int desk)
{
  double sum = 0.0;
  for (int i = 0; i < b->n_suspects; ++i) {
    const Suspect* const x = &b->suspects[i];
    sum += repair_fixes(repair, desk, x->state, &x->fault) ? x->prob : 0.0;
  }
  return sum;
}
