// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/why.h"

#include "day/proof.h"
#include "day/words.h"

#define RULED_OUT_PROB 0.1 // Below it the stage side is said to be fine, most likely (assumed)

// Words for one suspect: part and fault, or what the shared state says.
static const char*
suspect_say(const Problem* p, const Suspect* suspect)
{
  if (suspect->state) {
    return shared_say(p->arena, p->s->plant, p->s->act, suspect->state);
  }
  char spoken[CATALOGUE_SPOKEN_BYTES];
  const char* const part =
    catalogue_part(p->arena, p->s->plant, p->s->act, p->line, &suspect->fault);
  return part ? catalogue_said(p->arena, part, catalogue_spoken(&suspect->fault, spoken)) : NULL;
}

// What a step costs whoever does it, as part of its reason.
static const char*
near_say(const Problem* p, const PolicyAction* action)
{
  const bool walks = action->walk_s >= 0.5;
  const bool asks =
    problem_ask_s(p, action->kind == POLICY_CHECK ? p->checks[action->index].people
                                                  : p->repairs[action->index].people) > 0.0;
  return arena_format(p->arena,
                      walks && asks ? "%d s with asking and the walk"
                      : walks       ? "%d s with the walk"
                      : asks        ? "%d s, asking included"
                                    : "%d s from where you stand",
                      (int)(action->own_s + 0.5));
}

// Whether a check parts what is left about evenly: its likeliest reading has no more than two
// thirds of the odds, and no less than a third.
static bool
halves(const Problem* p, const PolicyCheck* check)
{
  double most = 0.0;
  for (int k = 0; k < check->n_outcomes; ++k) {
    double mass = 0.0;
    for (int i = 0; i < p->n_rows; ++i) {
      mass += p->prob[i] * check->like[k * p->n_rows + i];
    }
    most = mass > most ? mass : most;
  }
  return most > 1.0 / 3.0 && most < 2.0 / 3.0;
}

// What a check would tell apart: two things, two faults of one part with the part said once, or
// one.
static const char*
pair_say(const Problem* p, const PolicyCheck* check, const Suspect* const named[2],
         const char* near)
{
  WordsFill fill = {.near = near};
  const Suspect* const a = named[0];
  const Suspect* const b = named[1];
  const bool half = b && halves(p, check);
  if (!near || !a) {
    return near ? words_say(p->arena, WORDS_WHY_FIRST, &fill) : NULL;
  }
  if (b && !a->state && situation_same_part(a, b)) {
    char spoken[2][CATALOGUE_SPOKEN_BYTES];
    fill.item = catalogue_part(p->arena, p->s->plant, p->s->act, p->line, &a->fault);
    fill.first = catalogue_spoken(&a->fault, spoken[0]);
    fill.second = catalogue_spoken(&b->fault, spoken[1]);
    return fill.item ? words_say(p->arena, half ? WORDS_WHY_HALF_PART : WORDS_WHY_SPLIT_PART, &fill)
                     : NULL;
  }
  fill.first = suspect_say(p, a);
  fill.second = b ? suspect_say(p, b) : "";
  if (!fill.first || !fill.second) {
    return NULL;
  }
  return words_say(p->arena, half ? WORDS_WHY_HALF : b ? WORDS_WHY_SPLIT : WORDS_WHY_ONE, &fill);
}

// Whether a row says that something before the split is wrong, where every desk would hear it.
static bool
is_on_stage_side(const Suspect* row)
{
  return row->state ? row->state->sort != SHARED_SPLIT_SIDE && row->state->sort != SHARED_DESK
                    : row->fault.mode != FAULT_NONE && row->fault.part < PART_SPLIT;
}

// A reason before the reason, where one desk hears what another misses and the odds follow: that
// rules the stage side out. "" when there is nothing to say.
static const char*
heard_say(const Problem* p)
{
  int here = -1;
  bool missed = false;
  for (int d = 0; d < p->s->plant->n_desks; ++d) {
    const int word = p->s->plant->lines[p->line].desk_input[d] ? proof_heard(p->s, p->line, d) : -1;
    here = word == 0 && here < 0 ? d : here;
    missed = missed || word == 1;
  }
  double sum = 0.0;
  for (int i = 0; i < p->n_rows; ++i) {
    sum += is_on_stage_side(&p->rows[i]) ? p->prob[i] : 0.0;
  }
  if (here < 0 || !missed || sum > RULED_OUT_PROB) {
    return "";
  }
  const WordsFill fill = {.desk = p->s->plant->desks[here].say};
  return words_say(p->arena, WORDS_WHY_HEARD, &fill);
}

// The whole reason: what is ruled out, then why the step. NULL when there is no memory.
static const char*
after_heard(const Problem* p, const char* why)
{
  const char* const heard = heard_say(p);
  return !heard || !why || !heard[0] ? (heard ? why : NULL)
                                     : arena_format(p->arena, "%s %s", heard, why);
}

// The two likeliest suspects that the check's likeliest readings would name differently.
Status
why_check(const Problem* p, const PolicyAction* action, const char** why)
{
  const PolicyCheck* const check = &p->checks[action->index];
  int shows[2] = {-1, -1};
  const Suspect* named[2] = {NULL, NULL};
  for (int i = 0; i < p->n_rows && !named[1]; ++i) {
    if (!p->rows[i].state &&
        (p->rows[i].fault.mode == FAULT_NONE || p->rows[i].fault.mode == FAULT_SOMETHING_ELSE)) {
      continue;
    }
    int best = 0;
    for (int k = 1; k < check->n_outcomes; ++k) {
      if (check->like[k * p->n_rows + i] > check->like[best * p->n_rows + i]) {
        best = k;
      }
    }
    if (shows[0] < 0 || best != shows[0]) {
      const int at = shows[0] < 0 ? 0 : 1;
      shows[at] = best;
      named[at] = &p->rows[i];
    }
  }
  *why = after_heard(p, pair_say(p, check, named, near_say(p, action)));
  return *why ? STATUS_OK : STATUS_NO_MEMORY;
}

Status
why_repair(const Problem* p, const PolicyAction* action, const Suspect* first, double sum,
           const char** why)
{
  // A spare may be bad, a swap may go wrong
  const WordsFill fill = {.first = first ? suspect_say(p, first) : "",
                          .odds = words_odds(p->arena, REPAIR_HELPS_PROB * sum),
                          .near = near_say(p, action)};
  if (!fill.first || !fill.odds || !fill.near) {
    return STATUS_NO_MEMORY;
  }
  *why = after_heard(p, words_say(p->arena, WORDS_WHY_REPAIR, &fill));
  return *why ? STATUS_OK : STATUS_NO_MEMORY;
}
