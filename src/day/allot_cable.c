// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/allot_build.h"

#include "base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/*
  Microphone cables by length and number. What reaches further also reaches less far, so there are
  enough cables when for every length no more plugs need one that long than there are of that length
  and more. For the player's own box any usual cable does; of those a list often has only some, so
  too few of them is said and forbids nothing.
*/

static int
by_length(const void* a_, const void* b_)
{
  const double a = *(const double*)a_;
  const double b = *(const double*)b_;
  return (a > b) - (a < b);
}

// Cables taped off by their socket: nobody knows which those are, so the shortest that reach a box.
static int
n_unnamed(const AllotBuild* w)
{
  int n = 0;
  for (size_t i = 0; w->fold && i < w->fold->taped_off.n_facts; ++i) {
    n += text_begins(w->fold->taped_off.facts[i]->body.item, "cable ");
  }
  return w->options->ignores_tape ? 0 : n;
}

Status
allot_cable_init(AllotBuild* w)
{
  const Plant* const plant = w->plant;
  w->cables_m = arena_array(w->arena, (size_t)plant->n_items, sizeof(double));
  w->reach_m = arena_array(w->arena, (size_t)w->p->n_plugs, sizeof(double));
  w->out.cable_m = arena_array(w->arena, (size_t)plant->n_lines, sizeof(double));
  w->need_m = arena_array(w->arena, (size_t)plant->n_lines, sizeof(double));
  if (!w->need_m || !w->cables_m || !w->reach_m || !w->out.cable_m) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < plant->n_items; ++i) {
    const Item* const item = &plant->items[i];
    const bool is_taped =
      w->fold && !w->options->ignores_tape && fold_is_taped_off(w->fold, item->tag);
    if (text_begins(item->kind, "mic")) {
      w->are_listed = true;
      if ((!item->state[0] || text_same(item->state, "good")) && !is_taped) {
        w->cables_m[w->n_cables++] = item->length_m;
      }
    }
  }
  qsort(w->cables_m, (size_t)w->n_cables, sizeof(double), by_length);
  const int n_own = allot_cable_count(w, CABLE_OWN_BOX_M);
  for (int k = n_unnamed(w); k > 0 && n_own > 0; --k) {
    const int at = w->n_cables - allot_cable_count(w, CABLE_OWN_BOX_M);
    if (at < w->n_cables) {
      memmove(&w->cables_m[at], &w->cables_m[at + 1],
              (size_t)(w->n_cables - at - 1) * sizeof(double));
      --w->n_cables;
    }
  }
  const double longest_m = !w->are_listed     ? HUGE_VAL
                           : w->n_cables == 0 ? CABLE_OWN_BOX_M
                                              : w->cables_m[w->n_cables - 1];
  for (int i = 0; i < w->p->n_plugs; ++i) {
    w->reach_m[i] = longest_m > CABLE_OWN_BOX_M ? longest_m : CABLE_OWN_BOX_M;
  }
  return STATUS_OK;
}

double
allot_cable_m(const Plant* plant, int home, int box)
{
  return home < 0 || home == box
           ? 0.0
           : CABLE_M_PER_S * plant_walk_s(plant, plant->boxes[home].place, plant->boxes[box].place);
}

int
allot_cable_count(const AllotBuild* w, double metres)
{
  int n = 0;
  for (int i = 0; i < w->n_cables; ++i) {
    n += w->cables_m[i] >= metres - 1e-9;
  }
  return n;
}

// What the plug of a line needs; 0 = it is at its own box, or there is none.
static double
needed_m(const AllotBuild* w, int line)
{
  const int plug = w->out.target[line];
  const Input* const input = plug >= 0 ? w->p->plugs[plug].next : NULL;
  // The second plug of a Y-lead is the lead's
  const double metres =
    !input || w->p->plugs[plug].leg > 0
      ? 0.0
      : allot_cable_m(w->plant, allot_home_box(w->plant, input), w->plant->lines[line].box);
  return metres > 0.0 ? CABLE_OWN_BOX_M + metres : 0.0;
}

int
allot_cable_excess(AllotBuild* w, double* metres)
{
  const int n_lines = w->plant->n_lines;
  int excess = 0;
  *metres = 0.0;
  for (int l = 0; l < n_lines; ++l) {
    w->need_m[l] = needed_m(w, l);
  }
  for (int l = 0; w->are_listed && l < n_lines; ++l) {
    const double need = w->need_m[l];
    int n = 0;
    for (int k = 0; need > *metres && k < n_lines; ++k) {
      n += w->need_m[k] >= need - 1e-9;
    }
    if (n > 0 && n > allot_cable_count(w, need)) {
      excess = n - allot_cable_count(w, need);
      *metres = need;
    }
  }
  return excess;
}

// Who needs least takes the shortest that reaches.
Status
allot_cable_lengths(AllotBuild* w)
{
  bool* const used = arena_array(w->arena, (size_t)w->n_cables, sizeof(bool));
  if (!used) {
    return STATUS_NO_MEMORY;
  }
  for (;;) {
    int line = -1;
    for (int l = 0; l < w->plant->n_lines; ++l) {
      const bool open = w->need_m[l] > 0.0 && w->out.cable_m[l] <= 0.0;
      line = open && (line < 0 || w->need_m[l] < w->need_m[line]) ? l : line;
    }
    if (line < 0) {
      return STATUS_OK;
    }
    double metres = w->need_m[line]; // No list says: the length itself
    for (int i = 0; i < w->n_cables; ++i) {
      if (!used[i] && w->cables_m[i] >= w->need_m[line] - 1e-9) {
        used[i] = true;
        metres = w->cables_m[i];
        break;
      }
    }
    w->out.cable_m[line] = ceil(metres);
  }
}
