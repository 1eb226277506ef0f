// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/daypatch.h"

#include "base/text.h"
#include "day/daypatch_build.h"
#include "day/need.h"

#include <stdlib.h>

/*
  hold (what must hold, voices to their lines) -> wish or fewest -> count -> who is left without.

  Who could share: a source is left out only where nothing that is needed less could give way, so
  what may help is two sources of the act on one line (a pair whose row in kinds/needed.csv says
  that it shares, as keys L and R do), the one left out among them or on the line that comes free.
*/

const char*
daypatch_word(DaypatchWay way)
{
  static const char* const words[DAYPATCH_WAYS] = {"families", "order", "fewest"};
  return (unsigned)way < DAYPATCH_WAYS ? words[way] : "fewest";
}

bool
daypatch_of(const char* word, DaypatchWay* way)
{
  for (int i = 0; i < DAYPATCH_WAYS; ++i) {
    if (text_same(word, daypatch_word((DaypatchWay)i))) {
      *way = (DaypatchWay)i;
      return true;
    }
  }
  return false;
}

// ---- Who is left without ----

// The other one of a pair that can go on one line; -1 = none.
static int
sharer(const Plant* plant, int input)
{
  const Input* const other = need_sharer(plant, &plant->inputs[input]);
  return other ? (int)(other - plant->inputs) : -1;
}

// Whose line would help a source: its own other one, else one of a pair that both have a socket,
// one of them good for it. `given` [n_inputs] have helped somebody already.
static void
find_share(const DaypatchBuild* b, const int line[], bool given[], DaypatchShort* one)
{
  const Plant* const plant = b->plant;
  const int own = sharer(plant, one->input);
  one->share = own >= 0 && line[own] >= 0 && !given[own] ? own : -1;
  one->with = one->share >= 0 ? one->input : -1;
  for (int i = 0; i < plant->n_inputs && one->share < 0; ++i) {
    const int other = line[i] >= 0 ? sharer(plant, i) : -1;
    if (plant->inputs[i].act == plant->inputs[one->input].act && other >= 0 && line[other] >= 0 &&
        !given[i] && !given[other] && b->may[one->input * plant->n_lines + line[other]]) {
      one->share = i;
      one->with = other;
    }
  }
  if (one->share >= 0) {
    given[one->share] = given[one->with] = true;
  }
}

static int
by_act_and_need(const void* a, const void* b)
{
  const DaypatchShort* const x = a;
  const DaypatchShort* const y = b; // Of one act the need, then the list; `share` is the act here
  return x->share != y->share ? x->share - y->share
         : x->need != y->need ? y->need - x->need
                              : x->input - y->input;
}

static Status
find_shorts(const DaypatchBuild* b, Daypatch* out)
{
  const size_t n = (size_t)b->plant->n_inputs;
  DaypatchShort* const shorts = arena_array(b->arena, n, sizeof(*shorts));
  bool* const given = arena_array(b->arena, n, sizeof(bool));
  int n_shorts = 0;
  if (!shorts || !given) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < b->plant->n_inputs; ++i) {
    if (out->line[i] < 0) {
      shorts[n_shorts++] = (DaypatchShort){i, b->need[i], b->plant->inputs[i].act, -1};
    }
  }
  if (n_shorts > 1) {
    qsort(shorts, (size_t)n_shorts, sizeof(*shorts), by_act_and_need);
  }
  for (int i = 0; i < n_shorts; ++i) {
    find_share(b, out->line, given, &shorts[i]);
  }
  out->shorts = shorts;
  return STATUS_OK;
}

// ---- All of it ----

Status
daypatch_plan(Arena* arena, const Plant* plant, const DaypatchOptions* options, DaypatchWay way,
              Daypatch* patch)
{
  const size_t n = (size_t)plant->n_inputs;
  DaypatchBuild b = {.arena = arena, .plant = plant, .options = options};
  Daypatch out = {0};
  out.line = arena_array(arena, n, sizeof(int));
  out.moved = arena_array(arena, (size_t)plant->n_acts + 1, sizeof(int));
  int* const wish = arena_array(arena, n, sizeof(int));
  if (!out.line || !out.moved || !wish) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  TRY(st, daypatch_hold_init(&b));
  if (!options->voices_move) {
    TRY(st, daypatch_hold_voices(&b));
  }
  if (way == DAYPATCH_FEWEST) {
    TRY(st, daypatch_fewest(&b, out.line));
  } else {
    (way == DAYPATCH_FAMILIES ? daypatch_wish_by_family : daypatch_wish_in_order)(&b, wish);
    TRY(st, daypatch_wish_meet(&b, wish, out.line));
  }
  daypatch_count(&b, out.line, &out);
  TRY(st, daypatch_least(&b, out.n_short, &out.least));
  TRY(st, find_shorts(&b, &out));
  out.fixed = b.fixed;
  *patch = out;
  return STATUS_OK;
}
