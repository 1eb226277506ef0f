// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/hands.h"

#include "day/hands_part.h"
#include "reason/route.h"

/*
  In which order a hand goes round: the shortest way over the boxes where it has something left, at
  each box what is ready there in the order of the sockets, and round again for what had to wait.
*/

static bool
is_ready(const bool* done, const HandStep* step)
{
  return (step->after[0] < 0 || done[step->after[0]]) &&
         (step->after[1] < 0 || done[step->after[1]]);
}

// One round over the boxes where this hand has something left.
static Status
round_of(HandParting* s, int hand, bool* done, int* place, double* clock_s, Hand* out, int* order)
{
  int boxes[ROUTE_MAX];
  int n_boxes = 0;
  double walk_s = 0.0;
  unsigned long long set = 0;
  Status st;
  for (int i = 0; i < s->n; ++i) {
    if (s->steps[i].hand == hand && !done[i]) {
      set |= 1ull << s->box_at[s->plant->lines[s->steps[i].line].box];
    }
  }
  TRY(st, hand_parting_walk(s, *place, set, boxes, &n_boxes, &walk_s));
  for (int b = 0; b < n_boxes; ++b) {
    const int box = s->boxes[boxes[b]];
    for (bool comes = true;; comes = false) {
      int next = -1;
      for (int i = 0; i < s->n; ++i) {
        const HandStep* const step = &s->steps[i];
        if (step->hand == hand && !done[i] && s->plant->lines[step->line].box == box &&
            is_ready(done, step) &&
            (next < 0 ||
             s->plant->lines[step->line].socket < s->plant->lines[s->steps[next].line].socket)) {
          next = i;
        }
      }
      if (next < 0) {
        break;
      }
      HandStep* const step = &s->steps[next];
      const double way_s = plant_walk_s(s->plant, *place, s->plant->boxes[box].place);
      step->walk_s = way_s + (comes ? HANDS_VISIT_S : 0.0);
      step->start_s = *clock_s + step->walk_s;
      step->end_s = step->start_s + step->handle_s;
      out->walked_s += way_s;
      *place = s->plant->boxes[box].place;
      *clock_s = step->end_s;
      done[next] = true;
      order[out->n++] = next;
    }
  }
  return STATUS_OK;
}

static Status
order_hand(HandParting* s, int hand, Hand* out)
{
  bool* const done = arena_array(s->arena, (size_t)s->n, sizeof(bool));
  int* const order = arena_array(s->arena, (size_t)s->n, sizeof(int));
  int place = s->start[hand];
  double clock_s = 0.0;
  int n_mine = 0;
  Status st;
  if (!done || !order) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < s->n; ++i) {
    s->steps[i].hand = s->unit_hand[s->steps[i].unit];
    n_mine += s->steps[i].hand == hand;
  }
  *out = (Hand){.start = place, .order = order};
  while (out->n < n_mine) {
    TRY(st, round_of(s, hand, done, &place, &clock_s, out, order));
  }
  out->end_s = clock_s;
  return STATUS_OK;
}

Status
hands_plan(Arena* arena, const Plant* plant, const int start[], int n_hands, const int owner[],
           HandStep* steps, int n, int n_units, HandPlan* plan)
{
  HandParting s = {.arena = arena,
                   .plant = plant,
                   .start = start,
                   .n_hands = n_hands,
                   .steps = steps,
                   .n = n,
                   .n_units = n_units};
  HandPlan out = {.steps = steps, .n_steps = n, .n_hands = n_hands};
  double end_s[HANDS_MAX] = {0.0};
  Status st;
  if (n_hands < 1 || n_hands > HANDS_MAX) {
    return STATUS_BAD_ARG;
  }
  TRY(st, hand_parting_init(&s));
  bool owned = false;
  for (int i = 0; owner && i < n; ++i) {
    const int unit = steps[i].unit;
    const int mine = owner[steps[i].line];
    if (s.unit_hand[unit] < 0 && mine >= 0 && mine < n_hands) {
      hand_parting_give(&s, unit, mine);
      owned = true;
    }
  }
  for (int h = 0; h < n_hands; ++h) {
    TRY(st, hand_parting_time(&s, h, -1, -1, &end_s[h]));
  }
  TRY(st, hand_parting_give_out(&s, end_s));
  if (!owned) {
    TRY(st, hand_parting_split(&s, end_s));
  }
  for (int h = 0; h < n_hands; ++h) {
    TRY(st, order_hand(&s, h, &out.hands[h]));
    out.end_s = out.hands[h].end_s > out.end_s ? out.hands[h].end_s : out.end_s;
  }
  *plan = out;
  return STATUS_OK;
}
