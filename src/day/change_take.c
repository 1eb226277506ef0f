// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/change_build.h"

#include "base/text.h"

#include <string.h>

/*
  Whose socket is whose once the change runs.

      plan of the begin -> owners --take--> owners --tape: anew, from where all stand--> owners ...

  Facts are read in the order of the log, so that everybody works out the same owners and nobody's
  step goes to somebody else while they walk to it. "take" gives lines to the hand it names. After a
  tape what is left is split again at that moment: what is new goes to whoever has least to do, and
  hands who were done by then get what others had not begun. Later ticks change none of that.
*/

Status
change_take_plan(ChangeBuild* b, const Plugged* plugged, const int* target, const int* target_at,
                 const int start[], HandPlan* plan, int* n_units)
{
  HandStep* steps = NULL;
  int n = 0;
  Status st;
  TRY(st, hands_steps(b->arena, b->plant, plugged->now, plugged->now_at, target, target_at,
                      plugged->dead, &steps, &n, n_units));
  return hands_plan(b->arena, b->plant, start, b->n_hands, b->owner, steps, n, *n_units, plan);
}

// A plug that is in somebody's hand: they have begun.
static Status
find_begun(ChangeBuild* b, const Plugged* plugged, const HandPlan* plan, int n_units,
           const bool** begun)
{
  bool* const out = arena_array(b->arena, (size_t)n_units, sizeof(bool));
  if (!out) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < plan->n_steps; ++i) {
    const int plug = plan->steps[i].plug;
    const bool is_held = plugged->before_at[plug] >= 0 && plugged->now_at[plug] < 0;
    out[plan->steps[i].unit] = out[plan->steps[i].unit] || is_held;
  }
  *begun = out;
  return STATUS_OK;
}

// ---- While it runs ----

// The log as it stood after one of its facts.
static Status
cut_after(ChangeBuild* b, size_t at, Fold* cut)
{
  const FoldSet* const taped = &b->fold->taped_off;
  const FoldFact** const left = arena_array(b->arena, taped->n_facts, sizeof(*left));
  if (!left) {
    return STATUS_NO_MEMORY;
  }
  *cut = *b->fold;
  cut->all.n_facts = at + 1;
  cut->taped_off = (FoldSet){left, 0};
  for (size_t i = 0; i < taped->n_facts; ++i) {
    if (taped->facts[i]->fact.seq <= b->fold->all.facts[at]->fact.seq) {
      left[cut->taped_off.n_facts++] = taped->facts[i];
    }
  }
  return STATUS_OK;
}

// Whether a hand still had something to do before this was new.
static bool
has_own(const ChangeBuild* b, const HandPlan* plan, int hand)
{
  for (int i = 0; i < plan->n_steps; ++i) {
    if (b->owner[plan->steps[i].line] == hand) {
      return true;
    }
  }
  return false;
}

// Something was taped off: who does what from here on.
static Status
split_anew(ChangeBuild* b, size_t at)
{
  const AllotOptions allot = {.is_free = b->options->is_free};
  int start[HANDS_MAX];
  Fold cut;
  Plugged then;
  Allotment sockets;
  HandPlan plan;
  int n_units = 0;
  const bool* begun = NULL;
  Status st;
  TRY(st, cut_after(b, at, &cut));
  TRY(st, plugged_now(b->arena, b->plant, &cut, b->out.from, b->out.to, &then));
  TRY(st, allot_sockets(b->arena, b->plant, &cut, &then, &allot, &sockets));
  change_who_places(b, &then, start);
  TRY(st, change_take_plan(b, &then, sockets.target, sockets.target_at, start, &plan, &n_units));
  TRY(st, find_begun(b, &then, &plan, n_units, &begun));
  bool* const take = arena_array(b->arena, (size_t)n_units, sizeof(bool));
  if (!take) {
    return STATUS_NO_MEMORY;
  }
  for (int h = 0; h < b->n_hands; ++h) {
    double saves_s = 0.0;
    if (has_own(b, &plan, h)) {
      continue;
    }
    TRY(st, hands_offer(b->arena, b->plant, start, &plan, n_units, begun, h, take, &saves_s));
    for (int i = 0; i < plan.n_steps; ++i) {
      plan.steps[i].hand = take[plan.steps[i].unit] ? h : plan.steps[i].hand;
    }
  }
  for (int i = 0; i < plan.n_steps; ++i) {
    b->owner[plan.steps[i].line] = plan.steps[i].hand;
  }
  return STATUS_OK;
}

static int
hand_of(const ChangeBuild* b, const char* name)
{
  for (int h = 0; name && h < b->n_hands; ++h) {
    if (text_same(b->people[h].name, name)) {
      return h;
    }
  }
  return -1;
}

static void
take_over(ChangeBuild* b, const FoldFact* f)
{
  const int hand = hand_of(b, f->body.at);
  for (int l = 0; hand >= 0 && l < b->plant->n_lines; ++l) {
    if (plugged_names_line(b->plant, f, l)) {
      b->owner[l] = hand;
    }
  }
}

Status
change_take_owners(ChangeBuild* b)
{
  Status st;
  if (b->is_fresh) {
    return STATUS_OK;
  }
  for (size_t i = b->out.plugged.begin; i < b->fold->all.n_facts; ++i) {
    const FoldFact* const f = b->fold->all.facts[i];
    const FoldFact* const next = i + 1 < b->fold->all.n_facts ? b->fold->all.facts[i + 1] : NULL;
    ChangeStepSort sort;
    if (!f->in_force) {
      continue;
    }
    // Of tapes in a row the last
    if (f->fact.kind == FACT_TAPED_OFF && (!next || next->fact.kind != FACT_TAPED_OFF)) {
      TRY(st, split_anew(b, i));
    } else if (f->fact.kind == FACT_CHANGE_STEP &&
               plugged_is_of(b->plant, f, b->out.from, b->out.to) &&
               change_step_of(f->body.step, &sort) && sort == CHANGE_STEP_TAKE) {
      take_over(b, f);
    }
  }
  return STATUS_OK;
}

// ---- Offers ----

static Status
offer(ChangeBuild* b, int hand, const bool* begun)
{
  ChangePerson* const person = &b->people[hand];
  bool* const take = arena_array(b->arena, (size_t)b->n_units, sizeof(bool));
  int* const steps = change_step_room(b, b->plan.n_steps);
  Status st;
  if (!take || !steps) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, hands_offer(b->arena, b->plant, b->start, &b->plan, b->n_units, begun, hand, take,
                      &person->offer_s));
  // In the order those do them whose they are
  for (int h = 0; h < b->n_hands; ++h) {
    for (int i = 0; i < b->plan.hands[h].n; ++i) {
      const int at = b->plan.hands[h].order[i];
      if (take[b->plan.steps[at].unit]) {
        steps[person->n_offer++] = b->step_of_hand[at];
      }
    }
  }
  person->offer = steps;
  return STATUS_OK;
}

Status
change_take_offers(ChangeBuild* b)
{
  const bool* begun = NULL;
  Status st;
  TRY(st, find_begun(b, &b->out.plugged, &b->plan, b->n_units, &begun));
  for (int h = 0; h < b->n_hands; ++h) {
    if (b->plan.hands[h].n == 0 && b->plan.n_steps > 0) {
      TRY(st, offer(b, h, begun));
    }
  }
  return STATUS_OK;
}
