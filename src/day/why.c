// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/why.h"

#include "day/words.h"

// Words for one suspect: part and fault, or what the shared state says.
static const char*
suspect_say(const Problem* p, const Suspect* suspect)
{
  if (suspect->state) {
    return shared_say(p->arena, p->s->plant, p->s->act, suspect->state);
  }
  char name[24];
  const char* const part =
    catalogue_part(p->arena, p->s->plant, p->s->act, p->line, &suspect->fault);
  return part ? catalogue_said(p->arena, part, catalogue_name(&suspect->fault, name)) : NULL;
}

// What a step costs whoever does it, as part of its reason.
static const char*
near_say(const Problem* p, const PolicyAction* action)
{
  const int own_s = (int)(action->own_s + 0.5);
  return action->walk_s < 0.5 ? arena_format(p->arena, "%d s from where you stand", own_s)
                              : arena_format(p->arena, "%d s with the walk", own_s);
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
  WordsFill fill = {.near = near_say(p, action)};
  if (named[0]) {
    fill.first = suspect_say(p, named[0]);
  }
  if (named[1]) {
    fill.second = suspect_say(p, named[1]);
  }
  if (!fill.near || (named[0] && !fill.first) || (named[1] && !fill.second)) {
    return STATUS_NO_MEMORY;
  }
  *why = p->s->n_seen == 0 && !named[0] ? words_say(p->arena, WORDS_WHY_FIRST, &fill)
         : named[1]
           ? words_say(p->arena, halves(p, check) ? WORDS_WHY_HALF : WORDS_WHY_SPLIT, &fill)
           : words_say(p->arena, WORDS_WHY_ONE, &fill);
  return *why ? STATUS_OK : STATUS_NO_MEMORY;
}

Status
why_repair(const Problem* p, const PolicyAction* action, const Suspect* first, double sum,
           const char** why)
{
  const WordsFill fill = {.first = first ? suspect_say(p, first) : "",
                          .odds = words_odds(p->arena, sum),
                          .near = near_say(p, action)};
  if (!fill.first || !fill.odds || !fill.near) {
    return STATUS_NO_MEMORY;
  }
  *why = words_say(p->arena, WORDS_WHY_REPAIR, &fill);
  return *why ? STATUS_OK : STATUS_NO_MEMORY;
}
