// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "base/text.h"
#include "day/daypatch_build.h"
#include "day/plugged.h"
#include "reason/assign.h"

#include <string.h>

/*
  As few plugs moved over the day as can be.

      act 1      act 2      act 3        one act anew, its neighbours held:
        o----------o          o          a source on a line costs a plug when the act before has
        o          o----------o          nothing there that serves it, and a plug when it serves
                                         nothing the act after has there
  Act by act against both neighbours, there and back, until nothing gets better; from several
  starts, both other ways among them, the rest by chance with a fixed seed.
*/

enum { STARTS = 6, STARTS_SMALL = 200, SMALL = 16, SWEEPS = 12 };

static bool
serves(const Plant* plant, int was, int next)
{
  const Input* const a = &plant->inputs[was];
  const Input* const b = &plant->inputs[next];
  return (text_same(a->source, b->source) && a->kind == b->kind) || plugged_may_stay(a, b);
}

// ---- Counting ----

static int
input_at(const Plant* plant, const int line[], int act, int at)
{
  for (int i = 0; i < plant->n_inputs; ++i) {
    if (plant->inputs[i].act == act && line[i] == at) {
      return i;
    }
  }
  return -1;
}

static bool
is_moved(const Plant* plant, const int line[], int input)
{
  const int act = plant->inputs[input].act;
  const int was = act > 0 && line[input] >= 0 ? input_at(plant, line, act - 1, line[input]) : -1;
  return act > 0 && line[input] >= 0 && (was < 0 || !serves(plant, was, input));
}

// A voice that is not where its name was in the last act that had it.
static bool
is_loose(const DaypatchBuild* b, const int line[], int input)
{
  for (int k = input - 1; b->is_voice[input] && line[input] >= 0 && k >= 0; --k) {
    if (b->plant->inputs[k].act < b->plant->inputs[input].act && line[k] >= 0 &&
        text_same(b->plant->inputs[k].source, b->plant->inputs[input].source)) {
      return line[k] != line[input];
    }
  }
  return false;
}

void
daypatch_count(const DaypatchBuild* b, const int line[], Daypatch* out)
{
  const Plant* const plant = b->plant;
  out->n_moved = out->n_short = out->lost = out->n_far = out->n_loose = 0;
  for (int a = 0; a < plant->n_acts; ++a) {
    out->moved[a] = 0;
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    const int moved = is_moved(plant, line, i);
    out->moved[plant->inputs[i].act] += moved;
    out->n_moved += moved;
    out->n_short += line[i] < 0;
    out->lost += line[i] < 0 ? b->need[i] : 0;
    out->n_far += line[i] >= 0 && !b->near[i * plant->n_lines + line[i]];
    out->n_loose += is_loose(b, line, i);
  }
}

// ---- One act against its neighbours ----

typedef struct {
  const int* before; ///< [n_lines] input of the act before, -1 = none; NULL = there is no such act
  const int* after;  ///< [n_lines] of the act after
} Neighbours;

static short
cost_of_moves(const DaypatchBuild* b, const void* user, int input, int line)
{
  const Neighbours* const n = user;
  const int was = n->before ? n->before[line] : -1;
  const int next = n->after[line];
  return (short)((n->before && (was < 0 || !serves(b->plant, was, input))) +
                 (next >= 0 && !serves(b->plant, input, next)));
}

static Status
settle(const DaypatchBuild* b, int act, int line[])
{
  const Plant* const plant = b->plant;
  int at[2][PLANT_MAX_LINES]; // The acts before and after
  for (int l = 0; l < plant->n_lines; ++l) {
    at[0][l] = at[1][l] = -1;
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    const int side = plant->inputs[i].act - act;
    if ((side == -1 || side == 1) && line[i] >= 0) {
      at[side == 1][line[i]] = i;
    }
  }
  const Neighbours neighbours = {act > 0 ? at[0] : NULL, at[1]};
  return daypatch_act(b, act, cost_of_moves, &neighbours, line, NULL);
}

static Status
improve(const DaypatchBuild* b, int line[], int kept[], Daypatch* at)
{
  const Plant* const plant = b->plant;
  const size_t bytes = (size_t)plant->n_inputs * sizeof(int);
  Status st = STATUS_OK;
  daypatch_count(b, line, at);
  for (int sweep = 0; sweep < SWEEPS; ++sweep) {
    bool any = false;
    for (int k = 0; k < 2 * plant->n_acts; ++k) {
      const int act = k < plant->n_acts ? k : 2 * plant->n_acts - 1 - k;
      Daypatch now = *at;
      memcpy(kept, line, bytes);
      TRY(st, settle(b, act, line));
      daypatch_count(b, line, &now);
      if (now.n_moved < at->n_moved) {
        any = true;
        *at = now;
      } else if (now.n_moved > at->n_moved) {
        memcpy(line, kept, bytes);
      }
    }
    if (!any) {
      break;
    }
  }
  daypatch_count(b, line, at);
  return STATUS_OK;
}

// ---- The bound ----

// The most plugs that could stay from one act to the next, if sockets were no matter, are the least
// that move.
static Status
least_of_act(const DaypatchBuild* b, int act, Arena* arena, int* least)
{
  const Plant* const plant = b->plant;
  int first[2] = {-1, -1};
  int n[2] = {0, 0};
  for (int i = 0; i < plant->n_inputs; ++i) {
    for (int k = 0; k < 2; ++k) {
      if (plant->inputs[i].act == act - 1 + k) {
        first[k] = first[k] < 0 ? i : first[k];
        ++n[k];
      }
    }
  }
  *least = n[1];
  if (n[0] == 0 || n[1] == 0) {
    return STATUS_OK;
  }
  const size_t n_cells = (size_t)n[1] * (size_t)n[0];
  unsigned char* const allowed = arena_array(arena, n_cells, 1);
  short* const cost = arena_array(arena, n_cells, sizeof(short));
  short* const without = arena_array(arena, (size_t)n[1], sizeof(short));
  if (!allowed || !cost || !without) {
    return STATUS_NO_MEMORY;
  }
  for (int r = 0; r < n[1]; ++r) {
    without[r] = 1;
    for (int c = 0; c < n[0]; ++c) {
      const int next = first[1] + r;
      const int was = first[0] + c;
      bool both = false;
      for (int l = 0; l < plant->n_lines && !both; ++l) {
        both = daypatch_hold_allows(b, next, l) && daypatch_hold_allows(b, was, l);
      }
      allowed[r * n[0] + c] = both && serves(plant, was, next);
    }
  }
  const AssignProblem problem = {n[1], n[0], 1, allowed, cost, without};
  Assignment found;
  Status st = STATUS_OK;
  TRY(st, assign_best(&problem, arena, &found));
  *least = found.n_without;
  return STATUS_OK;
}

Status
daypatch_least(const DaypatchBuild* b, int n_short, int* least)
{
  Status st = STATUS_OK;
  int sum = 0;
  for (int act = 1; act < b->plant->n_acts; ++act) {
    Arena scratch;
    int one = 0;
    arena_init(&scratch, &b->arena->from);
    st = least_of_act(b, act, &scratch, &one);
    arena_deinit(&scratch);
    if (st != STATUS_OK) {
      return st;
    }
    sum += one;
  }
  *least = sum > n_short ? sum - n_short : 0; // What has no socket is not moved
  return STATUS_OK;
}

// ---- From several starts ----

Status
daypatch_fewest(const DaypatchBuild* b, int line[])
{
  const Plant* const plant = b->plant;
  const size_t n = (size_t)plant->n_inputs;
  int* const wish = arena_array(b->arena, n, sizeof(int));
  int* const now = arena_array(b->arena, n, sizeof(int));
  int* const kept = arena_array(b->arena, n, sizeof(int));
  int* const moved = arena_array(b->arena, (size_t)plant->n_acts + 1, sizeof(int));
  if (!wish || !now || !kept || !moved) {
    return STATUS_NO_MEMORY;
  }
  Rng rng;
  Status st = STATUS_OK;
  int best = -1;
  int least = 0;
  rng_init(&rng, 1);
  // A small day is searched from many more starts: there one is soon done
  const int n_starts = plant->n_inputs <= SMALL ? STARTS_SMALL : STARTS;
  for (int start = 0; start < n_starts && (best < 0 || best > least); ++start) {
    Daypatch at = {.moved = moved};
    if (start < 2) { // Both other ways, then chance
      (start == 0 ? daypatch_wish_by_family : daypatch_wish_in_order)(b, wish);
    } else {
      for (size_t i = 0; i < n; ++i) {
        wish[i] = rng_below(&rng, plant->n_lines);
      }
    }
    TRY(st, daypatch_wish_meet(b, wish, now));
    TRY(st, improve(b, now, kept, &at));
    if (best < 0 || at.n_moved < best) {
      if (best < 0) {
        TRY(st, daypatch_least(b, at.n_short, &least));
      }
      best = at.n_moved;
      memcpy(line, now, n * sizeof(int));
    }
  }
  return STATUS_OK;
}
