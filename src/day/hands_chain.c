// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/hands.h"

#include <stdlib.h>
#include <string.h>

/*
  Sockets are joined by what moves from one to another: each has one plug that wants in at most, and
  one that wants out, so they form chains and rings.

      chain:  D is pulled . C -> d . B -> c . new -> b        ring: A is held . B -> a . A -> b

  A chain is walked from the socket whose plug goes nowhere; a ring is opened by taking one plug in
  the hand. A move to another box is two steps, the pull at one box and the plug at the other.
*/

// ---- Steps ----

typedef struct {
  const Plant* plant;
  const int *now, *now_at, *target, *target_at;
  HandStep* steps;
  int n;
  int n_units;
  bool* seen; ///< [n_lines]
} Chain;

static int
box_of(const Plant* plant, int line)
{
  return plant->lines[line].box;
}

// Line the plug of this socket goes to; -1 = nowhere, or it stays.
static int
goes_to(const Chain* c, int line)
{
  const int plug = c->now[line];
  const int to = plug >= 0 ? c->target_at[plug] : -1;
  return to == line ? -1 : to;
}

// Line the plug comes from that belongs into this socket; -1 = it comes new, or is there.
static int
comes_from(const Chain* c, int line)
{
  const int plug = c->target[line];
  const int from = plug >= 0 ? c->now_at[plug] : -1;
  return from == line ? -1 : from;
}

static int
add(Chain* c, HandDoes does, int line, int plug, int from)
{
  c->steps[c->n] = (HandStep){.does = does,
                              .line = line,
                              .plug = plug,
                              .from = from,
                              .out = -1,
                              .after = {-1, -1},
                              .unit = c->n_units,
                              .hand = -1};
  return c->n++;
}

// What happens at one socket when it may be freed. @return the step after which the socket its plug
// came from is free; `freed` is the one that freed this one.
static int
fill(Chain* c, int line, int freed, int held)
{
  const int plug = c->target[line];
  const int here = c->now[line];
  const int from = comes_from(c, line);
  const bool is_out = here < 0 || goes_to(c, line) >= 0; // Empty, or emptied by then
  int step = -1;
  if (plug < 0) {
    return is_out ? freed : add(c, HAND_STRIKE, line, here, -1);
  }
  if (from >= 0 && (box_of(c->plant, from) != box_of(c->plant, line) || held >= 0)) {
    const int pull = held >= 0 ? held : add(c, HAND_HOLD, from, plug, line);
    step = add(c, HAND_PLUG, line, plug, from);
    c->steps[step].after[1] = pull;
    c->steps[step].after[0] = freed;
    c->steps[step].out = is_out ? -1 : here;
    return pull;
  }
  step = add(c, from >= 0 ? HAND_MOVE : HAND_PLUG, line, plug, from);
  c->steps[step].after[0] = freed;
  c->steps[step].out = is_out ? -1 : here;
  return step;
}

static void
walk_chain(Chain* c, int end)
{
  int freed = -1;
  for (int line = end; line >= 0 && !c->seen[line];) {
    const int from = comes_from(c, line);
    c->seen[line] = true;
    freed = fill(c, line, freed, -1);
    line = from;
  }
  ++c->n_units;
}

static void
walk_ring(Chain* c, int first)
{
  const int plug = c->now[first];
  const int held = add(c, HAND_HOLD, first, plug, c->target_at[plug]);
  int freed = held;
  for (int line = first; !c->seen[line];) {
    const int from = comes_from(c, line);
    c->seen[line] = true;
    freed = fill(c, line, freed, from == first ? held : -1);
    line = from;
  }
  ++c->n_units;
}

Status
hands_steps(Arena* arena, const Plant* plant, const int now[], const int now_at[],
            const int target[], const int target_at[], const char* const dead[], HandStep** steps,
            int* n, int* n_units)
{
  Chain c = {plant, now, now_at, target, target_at, NULL, 0, 0, NULL};
  c.steps = arena_array(arena, 2 * (size_t)plant->n_lines + 1, sizeof(HandStep));
  c.seen = arena_array(arena, (size_t)plant->n_lines, sizeof(bool));
  if (!c.steps || !c.seen) {
    return STATUS_NO_MEMORY;
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    c.seen[l] = now[l] == target[l];
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    if (!c.seen[l] && goes_to(&c, l) < 0) {
      walk_chain(&c, l);
    }
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    if (!c.seen[l]) {
      walk_ring(&c, l);
    }
  }
  for (int l = 0; dead && l < plant->n_lines; ++l) {
    if (dead[l] && now[l] >= 0 && now[l] == target[l]) {
      (void)add(&c, HAND_CABLE, l, now[l], -1);
      ++c.n_units;
    }
  }
  *steps = c.steps;
  *n = c.n;
  *n_units = c.n_units;
  return STATUS_OK;
}
