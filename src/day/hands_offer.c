// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/hands_part.h"

#include <string.h>

/*
  What a hand who is done could take from others. Each time the hand who is ready last gives one
  unit, the one after which the later of the two is ready first, as long as that is earlier than
  before. What somebody has begun stays theirs, and so does what stands first on their list: they
  are on their way to it.
*/

enum { WORTH_S = 1 }; ///< Less earlier is not worth the walk

static int
last_but(const HandParting* s, const double end_s[], int hand)
{
  int last = -1;
  for (int h = 0; h < s->n_hands; ++h) {
    if (h != hand && (last < 0 || end_s[h] > end_s[last] + 1e-9)) {
      last = h;
    }
  }
  return last;
}

// The unit of one hand that is best given to the other; -1 = none makes it earlier.
static Status
best_of(HandParting* s, const bool* fixed, int from, int to, const double end_s[], int* unit)
{
  double best_s = end_s[from] - WORTH_S;
  double best_sum_s = 0.0;
  Status st;
  *unit = -1;
  for (int u = 0; u < s->n_units; ++u) {
    double less_s = 0.0;
    double more_s = 0.0;
    if (fixed[u] || s->unit_hand[u] != from) {
      continue;
    }
    TRY(st, hand_parting_time(s, from, u, -1, &less_s));
    TRY(st, hand_parting_time(s, to, -1, u, &more_s));
    const double later_s = less_s > more_s ? less_s : more_s;
    const bool same = *unit >= 0 && later_s < best_s + 1e-9;
    if (later_s < best_s - 1e-9 || (same && less_s + more_s < best_sum_s - 1e-9)) {
      best_s = later_s;
      best_sum_s = less_s + more_s;
      *unit = u;
    }
  }
  return STATUS_OK;
}

Status
hands_offer(Arena* arena, const Plant* plant, const int start[], const HandPlan* plan, int n_units,
            const bool begun[], int hand, bool take[], double* saves_s)
{
  HandParting s = {.arena = arena,
                   .plant = plant,
                   .start = start,
                   .n_hands = plan->n_hands,
                   .steps = plan->steps,
                   .n = plan->n_steps,
                   .n_units = n_units};
  double end_s[HANDS_MAX] = {0.0};
  Status st;
  bool* const fixed = arena_array(arena, (size_t)n_units, sizeof(bool));
  bool* const taken = arena_array(arena, (size_t)n_units, sizeof(bool));
  if (!fixed || !taken) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, hand_parting_init(&s));
  for (int i = 0; i < plan->n_steps; ++i) {
    if (s.unit_hand[plan->steps[i].unit] < 0) {
      hand_parting_give(&s, plan->steps[i].unit, plan->steps[i].hand);
    }
  }
  memcpy(fixed, begun, (size_t)n_units * sizeof(bool));
  for (int h = 0; h < s.n_hands; ++h) {
    TRY(st, hand_parting_time(&s, h, -1, -1, &end_s[h]));
    if (plan->hands[h].n > 0) {
      fixed[plan->steps[plan->hands[h].order[0]].unit] = true;
    }
  }
  const double before_s = hand_parting_score(end_s, s.n_hands).last_s;
  for (int from = last_but(&s, end_s, hand); from >= 0; from = last_but(&s, end_s, hand)) {
    int unit = -1;
    TRY(st, best_of(&s, fixed, from, hand, end_s, &unit));
    if (unit < 0) {
      break;
    }
    taken[unit] = true;
    hand_parting_give(&s, unit, hand);
    TRY(st, hand_parting_time(&s, from, -1, -1, &end_s[from]));
    TRY(st, hand_parting_time(&s, hand, -1, -1, &end_s[hand]));
  }
  *saves_s = before_s - hand_parting_score(end_s, s.n_hands).last_s;
  memcpy(take, taken, (size_t)n_units * sizeof(bool));
  return STATUS_OK;
}
