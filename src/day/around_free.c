// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/around_build.h"
#include "day/proof.h"

#include <stdio.h>
#include <string.h>

/*
  What a way round must not use. What lists, tape, facts and loans say is asked first; odds are
  asked for only where everything else says yes, because this runs before every step of a rescue.
*/

// ---- What must not be used ----

bool
around_is_needed(const Plant* plant, int act, int line)
{
  if (plant_input(plant, act, line)) {
    return true;
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    if (input->act == act && input->y_line && plant_line(plant, input->y_line) == line) {
      return true;
    }
  }
  return false;
}

// Not in this act and not in the next. What is moved on bare lines is moved in every act.
static bool
is_free(const Plant* plant, int act, int line)
{
  const int first = act < 0 ? 0 : act;
  const int last = act < 0 ? plant->n_acts - 1 : act + 1;
  for (int a = first; a <= last && a < plant->n_acts; ++a) {
    if (around_is_needed(plant, a, line)) {
      return false;
    }
  }
  return true;
}

// The next act that needs a line, -1 = none.
int
around_needed_in(const Plant* plant, int act, int line)
{
  for (int a = act + 1; a < plant->n_acts; ++a) {
    if (around_is_needed(plant, a, line)) {
      return a;
    }
  }
  return -1;
}

// "tail C", "pair 22": a word and what it counts.
static bool
names(const char* item, const char* word, const char* what)
{
  return text_begins(item, word) && text_same(item + strlen(word), what);
}

static bool
numbers(const char* item, const char* word, int number)
{
  char text[16];
  (void)snprintf(text, sizeof(text), "%d", number);
  return number > 0 && names(item, word, text);
}

bool
around_is_taped(const Situation* s, int line)
{
  const Line* const l = &s->plant->lines[line];
  const Box* const box = &s->plant->boxes[l->box];
  for (int i = 0; i < s->n_taped; ++i) {
    const char* const item = s->taped[i];
    if (plant_socket(s->plant, item) == line || names(item, "box ", box->name) ||
        names(item, "tail ", box->name) || (box->tail_tag[0] && text_same(item, box->tail_tag)) ||
        numbers(item, "line ", l->number) || numbers(item, "pair ", l->pair) ||
        numbers(item, "split ", l->split_channel)) {
      return true;
    }
  }
  return false;
}

bool
around_is_input_taped(const Situation* s, int line, int desk)
{
  for (int i = 0; i < s->n_taped; ++i) {
    int at = -1;
    int d = -1;
    if (situation_place(s->plant, s->taped[i], &at, &d) && at == line && d == desk) {
      return true;
    }
  }
  return false;
}

// Odds that the copper of a line is bad, whatever plays on it.
double
around_copper_prob(AroundBuild* b, int line)
{
  const Suspect* list = NULL;
  int n = 0;
  double sum = 0.0;
  if (situation_suspects(b->s, b->arena, line, &list, &n) != STATUS_OK) {
    b->failed = true;
    return 1.0;
  }
  for (int i = 0; i < n; ++i) {
    const PartSort part = list[i].fault.part;
    const bool is_source =
      part == PART_SOURCE || part == PART_THROUGH || part == PART_CABLE || part == PART_ELSE;
    const bool counts = list[i].state ? !shared_moves_plugs(list[i].state->sort)
                                      : list[i].fault.mode != FAULT_NONE && !is_source;
    sum += counts ? list[i].prob : 0.0;
  }
  return sum;
}

// A box that is itself the trouble, its tail or what a digital one shares, as a whole.
bool
around_is_box_bad(AroundBuild* b, int line)
{
  const SharedState* box = NULL;
  double prob = 0.0;
  double own = 0.0;
  for (int i = 0; i < b->n_suspects; ++i) { // Of the own line also what only its source needs
    const SharedState* const state = b->suspects[i].state;
    own += state && shared_is_of_box(state->sort) ? b->suspects[i].prob : 0.0;
  }
  b->failed = b->failed || proof_box(b->s, b->arena, line, &box, &prob) != STATUS_OK;
  const Line* const lines = b->s->plant->lines;
  return prob > PROOF_SUSPECT_PROB ||
         (lines[line].box == lines[b->line].box && own > PROOF_SUSPECT_PROB);
}

static bool
is_unused(const AroundBuild* b, int line)
{
  const Situation* const s = b->s;
  bool taken = s->is_told[line] || s->is_accused[line] || around_is_taped(s, line);
  for (int i = 0; i < s->n_loans; ++i) {
    taken = taken || loan_occupies(&s->loans[i], line);
  }
  for (int i = 0; i < s->n_seen; ++i) { // Rehearsed readings are in no log
    const Seen* const seen = &s->seen[i];
    taken =
      taken || (seen->line == line && seen->check.sort == CHECK_LEVEL && seen->key != LEVEL_NORMAL);
  }
  return !taken;
}

// Whether a source may go to a line at all: what needs phantom must get it there.
static bool
gives_what_it_needs(const Plant* plant, const Input* input, int line)
{
  const bool needs = input && plant->kinds[input->kind].needs_phantom == ANSWER_YES;
  const int desk = plant_phantom_desk(plant, line);
  return !needs || (desk >= 0 && plant->lines[line].desk_input[desk] > 0);
}

bool
around_is_heard(const Plant* plant, int line)
{
  bool any = false;
  for (int d = 0; d < plant->n_desks; ++d) {
    any = any || plant->lines[line].desk_input[d] > 0;
  }
  return any;
}

bool
around_may_use(const AroundBuild* b, int line)
{
  const Situation* const s = b->s;
  return line != b->line && line != b->at && is_free(s->plant, s->act, line) &&
         is_unused(b, line) && around_is_heard(s->plant, line) &&
         gives_what_it_needs(s->plant, b->input, line);
}
