// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/change_build.h"

#include "base/text.h"
#include "fault/paper.h"

#include <stdlib.h>

/*
  What every sort of step is made of: whom it waits for, which lines it is about, by which key it is
  told as done.
*/

static int
by_value(const void* a, const void* b)
{
  return *(const int*)a - *(const int*)b;
}

// "channel 5", "channels 1-4 and 9" of lines at a desk.
const char*
change_step_channels(ChangeBuild* b, const int lines[], int n, const int* number)
{
  int* const at = arena_array(b->arena, (size_t)n, sizeof(int));
  if (!at) {
    return NULL;
  }
  for (int i = 0; i < n; ++i) {
    at[i] = number[lines[i]];
  }
  qsort(at, (size_t)n, sizeof(int), by_value);
  const char* const ranges = change_ranges(b->arena, at, n);
  return ranges ? arena_format(b->arena, "channel%s %s", n == 1 ? "" : "s", ranges) : NULL;
}

const char*
change_step_act(const ChangeBuild* b)
{
  return b->out.to < 0 ? "bare lines" : b->plant->acts[b->out.to].name;
}

int*
change_step_room(ChangeBuild* b, int n)
{
  return arena_array(b->arena, (size_t)n + 1, sizeof(int));
}

ChangeStep*
change_step_add(ChangeBuild* b, ChangeDoes does, int person)
{
  ChangeStep* const step = &b->steps[b->out.n_steps++];
  *step = (ChangeStep){.does = does,
                       .person = person,
                       .place = b->people[person].place,
                       .desk = b->people[person].desk,
                       .line = -1,
                       .box = -1,
                       .plug = -1,
                       .from = -1,
                       .caution = ""};
  return step;
}

static const Input*
input_here(const ChangeBuild* b, int plug)
{
  const Plug* const p = plug >= 0 ? &b->out.plugged.plugs[plug] : NULL;
  return p ? (p->next ? p->next : p->was) : NULL;
}

// What must never get phantom among what is in a socket now and what belongs there.
const Input*
change_step_harmful(const ChangeBuild* b, int line)
{
  const Input* const here = input_here(b, b->out.plugged.now[line]);
  const Input* const next = input_here(b, b->out.allotment.target[line]);
  return plant_is_harmful(b->plant, next) ? next : plant_is_harmful(b->plant, here) ? here : NULL;
}

bool
change_step_wants_phantom(const Plant* plant, const Input* input)
{
  return input && !plant_is_harmful(plant, input) &&
         (paper_needs_phantom(plant, input) || input->wants_phantom == ANSWER_YES);
}

bool
change_step_is_touched(const ChangeBuild* b, int line)
{
  const int target = b->out.allotment.target[line];
  return b->out.plugged.now[line] != target || (target >= 0 && b->out.plugged.dead[line]);
}

const Fact*
change_step_newest(const ChangeBuild* b, ChangeDoes does, int desk, const int lines[], int n,
                   bool* is_heard)
{
  const FoldFact* newest = NULL;
  const int n_lines = b->plant->n_lines;
  for (int i = 0; i < n; ++i) {
    const FoldFact* const f =
      does == CHANGE_DOES_MUTE    ? b->out.plugged.muted[desk * n_lines + lines[i]]
      : does == CHANGE_DOES_PATCH ? b->out.plugged.patched[desk * n_lines + lines[i]]
                                  : b->out.plugged.fed_by[lines[i]];
    newest = f && (!newest || f->fact.seq > newest->fact.seq) ? f : newest;
  }
  if (is_heard && newest) {
    *is_heard = text_begins(newest->body.step, "heard ");
  }
  return newest ? &newest->fact : NULL;
}

const char*
change_step_key(ChangeBuild* b, ChangeDoes does, int desk, int box, bool is_done)
{
  return arena_format(b->arena, "%s %s%s%s%s", change_does_word(does), b->plant->desks[desk].name,
                      box >= 0 ? " " : "", box >= 0 ? b->plant->boxes[box].name : "",
                      is_done ? " done" : "");
}

bool
change_step_is_whole(const ChangeStep* step)
{
  return step->key && step->say && step->why && step->caution;
}

void
change_step_wait(ChangeStep* step, int* after, int on)
{
  for (int i = 0; i < step->n_after; ++i) {
    if (after[i] == on) {
      return;
    }
  }
  after[step->n_after++] = on;
}

bool
change_is_gate(const ChangeStep* step)
{
  return !step->is_done && (step->does == CHANGE_DOES_MUTE || step->does == CHANGE_DOES_OFF);
}

int
change_waits(const Change* change, const ChangeStep* step, int from)
{
  for (int i = from; i < step->n_after; ++i) {
    if (change_is_gate(&change->steps[step->after[i]])) {
      return i;
    }
  }
  return -1;
}

bool
change_step_is_for(const ChangeStep* step, int line)
{
  for (int i = 0; i < step->n_lines; ++i) {
    if (step->lines[i] == line) {
      return true;
    }
  }
  return false;
}
