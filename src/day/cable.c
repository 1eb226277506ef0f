// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/cable.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/*
  Cables are a sorted row of lengths, and whoever uses one takes it out. Who needs what is asked in
  the order of the lists, so that the same lists leave the same cables.
*/

static int
by_length(const void* a_, const void* b_)
{
  const double a = *(const double*)a_;
  const double b = *(const double*)b_;
  return (a > b) - (a < b);
}

double
cable_between_m(const Plant* plant, int box, int other)
{
  const int from = plant->boxes[box].place;
  const int to = plant->boxes[other].place;
  return CABLE_M_PER_S * fmin(plant_walk_s(plant, from, to), plant_walk_s(plant, to, from));
}

// ---- What there is ----

// The length in the name of a spare cable, "spare microphone cable 10 m"; 0 = none is said.
static double
spare_length_m(const KitItem* item)
{
  const char* digits = item->name;
  double length_m = 0.0;
  if (!text_begins(item->name, "spare microphone cable") &&
      !text_begins(item->name, "spare cable")) {
    return 0.0;
  }
  while (*digits && !(*digits >= '0' && *digits <= '9')) {
    ++digits;
  }
  return sscanf(digits, "%6lf", &length_m) == 1 ? length_m : 0.0;
}

static bool
is_taped(const char* const taped[], int n_taped, const char* tag)
{
  bool found = false;
  for (int i = 0; i < n_taped; ++i) {
    found = found || (tag[0] && text_same(taped[i], tag));
  }
  return found;
}

// The tag an input of the act names is not there for anybody else.
static bool
is_named(const Plant* plant, int act, const char* tag)
{
  bool named = false;
  for (int i = 0; i < plant->n_inputs; ++i) {
    named = named || (plant->inputs[i].act == act && tag[0] && plant->inputs[i].cable &&
                      text_same(plant->inputs[i].cable, tag));
  }
  return named;
}

// How many plugs of an act have a cable that no list names.
static int
n_unnamed(const Plant* plant, int act)
{
  int n = 0;
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    bool found = false;
    for (int k = 0; k < plant->n_items && input->cable && input->cable[0]; ++k) {
      found = found || text_same(plant->items[k].tag, input->cable);
    }
    n += input->act == act && input->line >= 0 && !found;
  }
  return n;
}

static void
take_out(Cables* left, int at)
{
  memmove(&left->length_m[at], &left->length_m[at + 1],
          (size_t)(left->n - at - 1) * sizeof(double));
  --left->n;
}

// The index of the shortest that reaches, -1 = none does.
static int
shortest(const Cables* left, double reach_m)
{
  int at = 0;
  while (at < left->n && left->length_m[at] < reach_m - 1e-9) {
    ++at;
  }
  return at < left->n ? at : -1;
}

// ---- Finding one ----

// The pair of indices of the shortest cable, or of two; false when nothing reaches. `second` -1 =
// one is enough.
static bool
find(const Cables* left, double reach_m, int* first, int* second)
{
  double best_m = INFINITY;
  const int one = shortest(left, reach_m);
  *first = one;
  *second = -1;
  best_m = one >= 0 ? left->length_m[one] : best_m;
  for (int i = 0; i < left->n; ++i) {
    for (int k = i + 1; k < left->n; ++k) {
      const double both_m = left->length_m[i] + left->length_m[k];
      if (both_m >= reach_m - 1e-9 && both_m < best_m) {
        best_m = both_m;
        *first = i;
        *second = k;
      }
    }
  }
  return isfinite(best_m);
}

bool
cable_find(const Cables* left, double reach_m, double* length_m)
{
  int first = -1;
  int second = -1;
  if (left->is_assumed) {
    *length_m = ceil(reach_m);
    return true;
  }
  if (!find(left, reach_m, &first, &second)) {
    return false;
  }
  *length_m = left->length_m[first] + (second >= 0 ? left->length_m[second] : 0.0);
  return true;
}

// ---- What is left over ----

// What the ways round in force took.
static void
take_loans(const Plant* plant, int act, const Loan loans[], int n_loans, Cables* left)
{
  for (int i = 0; i < n_loans; ++i) {
    const Loan* const loan = &loans[i];
    const int own = plant->lines[loan->line].box;
    const int other = plant->lines[loan->to].box;
    int first = -1;
    int second = -1;
    if (loan->sort == WAY_SOCKET && own != other && (loan->act < 0 || loan->act == act) &&
        find(left, cable_between_m(plant, own, other), &first, &second)) {
      if (second >= 0) { // The higher index first
        take_out(left, second);
      }
      take_out(left, first);
    }
  }
}

Status
cable_left(Arena* arena, const Plant* plant, const char* const taped[], int n_taped, int act,
           const Loan loans[], int n_loans, Cables* left)
{
  Cables out = {0};
  bool is_said = false; // Somebody names a length
  size_t room = (size_t)plant->n_items;
  for (int i = 0; i < plant->n_kit; ++i) {
    if (spare_length_m(&plant->kit[i]) > 0.0) {
      is_said = true;
      room += plant->kit[i].count > 0 ? (size_t)plant->kit[i].count : 0;
    }
  }
  out.length_m = arena_array(arena, room, sizeof(double));
  if (!out.length_m) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < plant->n_kit; ++i) {
    for (int k = 0; k < plant->kit[i].count && spare_length_m(&plant->kit[i]) > 0.0; ++k) {
      out.length_m[out.n++] = spare_length_m(&plant->kit[i]);
    }
  }
  const bool any = plant->n_kit == 0 || plant_kit(plant, "spare cable") > 0 ||
                   plant_kit(plant, "spare microphone cable") > 0;
  const bool by_list = !is_said && any;
  for (int i = 0; by_list && i < plant->n_items; ++i) {
    const Item* const item = &plant->items[i];
    if (text_begins(item->kind, "mic")) {
      is_said = true;
      if ((!item->state[0] || text_same(item->state, "good")) &&
          !is_taped(taped, n_taped, item->tag) && !is_named(plant, act, item->tag)) {
        out.length_m[out.n++] = item->length_m;
      }
    }
  }
  qsort(out.length_m, (size_t)out.n, sizeof(double), by_length);
  for (int k = by_list && act >= 0 ? n_unnamed(plant, act) : 0; k > 0 && out.n > 0; --k) {
    const int at = shortest(&out, CABLE_OWN_BOX_M);
    take_out(&out, at >= 0 ? at : out.n - 1);
  }
  out.is_assumed = !is_said && any;
  take_loans(plant, act, loans, n_loans, &out);
  *left = out;
  return STATUS_OK;
}
