// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/shared.h"

#include "fault/digital.h"
#include "fault/paper.h"

#include <stdlib.h>

typedef struct {
  Arena* arena;
  const Plant* plant;
  int act;
  SharedState* states;
  int n, room;
  double sum;  ///< Of the chances before paper was read
  double more; ///< What paper adds to it
  int failed;
} Build;

// A new state with room for its touches, which the caller fills; NULL when it cannot be or has no
// chance of being.
static SharedState*
add(Build* b, SharedSort sort, double prob, int n_touches, SharedTouch** touches)
{
  if (b->failed || prob <= 0.0) {
    return NULL;
  }
  if (b->n == b->room) {
    const int more = b->room ? b->room * 2 : 64;
    SharedState* const grown =
      arena_grow(b->arena, b->states, (size_t)b->room, (size_t)more, sizeof(SharedState));
    if (!grown) {
      b->failed = 1;
      return NULL;
    }
    b->states = grown;
    b->room = more;
  }
  *touches = arena_array(b->arena, (size_t)n_touches, sizeof(SharedTouch));
  if (!*touches) {
    b->failed = 1;
    return NULL;
  }
  b->states[b->n] = (SharedState){sort, prob, -1, -1, -1, -1, *touches, n_touches};
  b->sum += prob;
  return &b->states[b->n++];
}

static const Fault sound = {PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0};

static int
used(const Build* b, int line)
{
  return plant_input(b->plant, b->act, line) != NULL;
}

// A plug lands beside its socket far more often than across the box: weight 1 / distance^2.
static double
nearness(int a, int b)
{
  const double d = (double)abs(a - b);
  return 1.0 / (d * d);
}

// Wrong sockets. The list's share is per dead line; half of it goes to exchanges with a used
// neighbour, half to unused sockets (usual practice, no source), each divided by nearness.
static void
add_plugs(Build* b, int line)
{
  const Plant* const p = b->plant;
  const Line* const own = &p->lines[line];
  const double share = plant_odds(p, "plug", "wrong socket") * CATALOGUE_BAD_PROB;
  double near_used = 0.0;
  double near_free = 0.0;
  for (int k = 0; k < p->n_lines; ++k) {
    if (k != line && p->lines[k].box == own->box) {
      *(used(b, k) ? &near_used : &near_free) += nearness(p->lines[k].socket, own->socket);
    }
  }
  for (int k = 0; k < p->n_lines; ++k) {
    if (k == line || p->lines[k].box != own->box) {
      continue;
    }
    const double near = nearness(p->lines[k].socket, own->socket);
    SharedState* state = NULL;
    SharedTouch* t = NULL;
    if (!used(b, k)) {
      const double part = near_used > 0.0 ? 0.5 : 1.0;
      state = add(b, SHARED_MOVED, share * part * near / near_free, 2, &t);
    } else if (k > line) { // Each exchange once; both lines' shares meet in it
      const double part = near_free > 0.0 ? 0.5 : 1.0;
      state = add(b, SHARED_SWAP, share * part * near / near_used, 2, &t);
    }
    if (state) {
      t[0] = (SharedTouch){line, state->sort == SHARED_SWAP ? k : -1, sound};
      t[1] = (SharedTouch){k, line, sound};
      state->box = own->box;
      state->from = line;
      state->to = k;
    }
  }
}

static int
line_at(const Plant* p, int box, int socket)
{
  for (int k = 0; k < p->n_lines; ++k) {
    if (p->lines[k].box == box && p->lines[k].socket == socket) {
      return k;
    }
  }
  return -1;
}

static void
add_shift(Build* b, int box, int step)
{
  const Plant* const p = b->plant;
  const int n = p->boxes[box].n_sockets;
  // A whole box one off happens once where a single plug is wrong fifty times (no source).
  SharedTouch* t = NULL;
  SharedState* const s =
    add(b, SHARED_SHIFT, plant_odds(p, "plug", "wrong socket") * CATALOGUE_BAD_PROB / 50.0, n, &t);
  if (!s) {
    return;
  }
  s->box = box;
  s->from = step;
  int n_touches = 0;
  for (int socket = 1; socket <= n; ++socket) {
    const int here = line_at(p, box, socket);
    const int from = line_at(p, box, socket - step);
    if (here >= 0) {
      t[n_touches++] = (SharedTouch){here, from >= 0 && used(b, from) ? from : -1, sound};
    }
  }
  s->n_touches = n_touches;
}

static void
add_group(Build* b, SharedSort sort, int box, int desk, int first, int last, double prob,
          Fault fault)
{
  const Plant* const p = b->plant;
  SharedTouch* t = NULL;
  SharedState* const s = add(b, sort, prob, p->n_lines, &t);
  if (!s) {
    return;
  }
  s->box = box;
  s->desk = desk;
  s->from = first;
  s->to = last;
  int n_touches = 0;
  for (int k = 0; k < p->n_lines; ++k) {
    const int input = desk >= 0 ? p->lines[k].desk_input[desk] : 0;
    const bool copper = sort == SHARED_SPLIT_SIDE || sort == SHARED_BANK;
    if ((box >= 0 && p->lines[k].box != box) || (desk >= 0 && input == 0) ||
        (copper && plant_is_digital(p, k)) ||
        (sort == SHARED_BANK && (input < first || input > last))) {
      continue;
    }
    t[n_touches++] = (SharedTouch){k, used(b, k) ? k : -1, fault};
  }
  s->n_touches = n_touches;
}

// The panel an input goes through, -1 = none.
static int
panel_of(const Plant* plant, const Input* input)
{
  for (int i = 0; input && i < input->n_through; ++i) {
    if (plant->inlines[input->through[i]].sort == INLINE_PANEL) {
      return input->through[i];
    }
  }
  return -1;
}

// Every plug of a panel one hole up or down, its holes in the order of the lines they lead to.
static void
add_panel(Build* b, int panel, int step)
{
  const Plant* const p = b->plant;
  int at[PLANT_MAX_LINES];
  int n = 0;
  for (int k = 0; k < p->n_lines; ++k) {
    if (panel_of(p, plant_input(p, b->act, k)) == panel) {
      at[n++] = k;
    }
  }
  SharedTouch* t = NULL;
  SharedState* const s =
    n > 1 ? add(b, SHARED_PANEL, plant_odds(p, "panel", "one off") * CATALOGUE_BAD_PROB, n, &t)
          : NULL;
  for (int i = 0; s && i < n; ++i) {
    const int from = i - step;
    t[i] = (SharedTouch){at[i], from >= 0 && from < n ? at[from] : -1, sound};
  }
  if (s) {
    s->from = panel;
    s->to = step;
  }
}

// What a Y-lead's two lines lose together: their source, or both at its short.
static void
add_y(Build* b, int line)
{
  static const struct {
    PartSort part;
    FaultMode mode;
    int a, b;
    double weight;
  } rows[] = {{PART_SOURCE, FAULT_DEAD, 0, 0, 0.85}, {PART_THROUGH, FAULT_SHORT, 2, 3, 0.15}};
  const Plant* const p = b->plant;
  const Input* const input = plant_input(p, b->act, line);
  const int other = input && input->y_line ? plant_line(p, input->y_line) : -1;
  const Input* const same = other >= 0 ? plant_input(p, b->act, other) : NULL;
  if (other < line || !same) { // Each pair once
    return;
  }
  const double share =
    plant_odds(p, "source", "dead, switched off or flat battery") * CATALOGUE_BAD_PROB;
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    SharedTouch* t = NULL;
    SharedState* const s = add(b, SHARED_Y, share * rows[i].weight, 2, &t);
    for (int k = 0; s && k < 2; ++k) {
      const Input* const at = k == 0 ? input : same;
      int y = 0;
      while (y + 1 < at->n_through && p->inlines[at->through[y]].sort != INLINE_Y) {
        ++y;
      }
      t[k] = (SharedTouch){k == 0 ? line : other,
                           k == 0 ? line : other,
                           {rows[i].part, rows[i].mode, rows[i].a, rows[i].b,
                            rows[i].part == PART_THROUGH ? y : -1, 1.0}};
    }
    if (s) {
      s->from = line;
      s->to = other;
    }
  }
}

static void
add_things(Build* b)
{
  const Plant* const p = b->plant;
  for (int i = 0; b->act >= 0 && i < p->n_inlines; ++i) {
    if (p->inlines[i].sort == INLINE_PANEL) {
      add_panel(b, i, 1);
      add_panel(b, i, -1);
    }
  }
  for (int k = 0; b->act >= 0 && k < p->n_lines; ++k) {
    add_y(b, k);
  }
}

// Whether any line goes through the split at all.
static bool
has_copper(const Plant* plant)
{
  bool copper = false;
  for (int x = 0; x < plant->n_boxes; ++x) {
    copper = copper || !plant->boxes[x].is_digital;
  }
  return copper;
}

// What the desk's list says of the newest state, if it is of that sort: phantom off on many lines.
static void
read_paper(Build* b, SharedSort sort, int desk, int box, int first)
{
  SharedState* const s = b->n > 0 ? &b->states[b->n - 1] : NULL;
  if (!b->failed && s && s->sort == sort) {
    const double prob = s->prob;
    s->prob *= paper_many_ratio(b->plant, b->act, desk, box, first, first + 7, prob);
    b->more += s->prob - prob;
  }
}

static void
add_digital(Build* b, int box)
{
  DigitalState states[DIGITAL_MAX_STATES];
  const int n = digital_states(b->plant, b->act, box, states);
  for (int i = 0; i < n; ++i) {
    const int n_before = b->n;
    add_group(b, states[i].sort, box, -1, 0, 0, states[i].prob, states[i].fault);
    if (b->n > n_before) { // The desk that owns the box mends it, whoever has the line
      b->states[n_before].desk = states[i].fault.desk;
      read_paper(b, SHARED_PHANTOM, states[i].fault.desk, box, 0);
    }
  }
}

Status
shared_list(Arena* arena, const Plant* plant, int act, bool with_tester, const SharedState** states,
            int* n)
{
  Build b = {arena, plant, act, NULL, 0, 0, 0.0, 0.0, 0};
  SharedTouch* no_touches = NULL;
  (void)add(&b, SHARED_NONE, 1.0, 0, &no_touches);
  b.sum = 0.0;
  for (int k = 0; k < plant->n_lines; ++k) {
    if (used(&b, k)) {
      add_plugs(&b, k);
    }
  }
  add_things(&b);
  // One multipin, side or desk serves many lines: its share per dead line is its own chance a day.
  const double tail = plant_odds(plant, "tail", "not locked") * CATALOGUE_BAD_PROB;
  for (int x = 0; x < plant->n_boxes; ++x) {
    if (act >= 0) {
      add_shift(&b, x, 1);
      add_shift(&b, x, -1);
    }
    add_digital(&b, x);
    if (plant->boxes[x].is_digital) {
      continue;
    }
    add_group(&b, SHARED_TAIL, x, -1, 0, 0, tail,
              (Fault){PART_TAIL, FAULT_NOT_LOCKED, 0, 0, -1, 1});
  }
  const double side = plant_odds(plant, "split side", "open") * CATALOGUE_BAD_PROB / 4.0;
  for (int d = 0; d < plant->n_desks; ++d) {
    if (!plant->desks[d].is_direct && has_copper(plant)) {
      add_group(&b, SHARED_SPLIT_SIDE, -1, d, 0, 0, side,
                (Fault){PART_SPLIT, FAULT_OPEN, 2, 0, d, 1.0});
    }
    add_group(&b, SHARED_DESK, -1, d, 0, 0, side, (Fault){PART_DESK, FAULT_DEAD, 0, 0, d, 1.0});
    int last = 0;
    for (int k = 0; k < plant->n_lines; ++k) {
      const int input = plant_is_digital(plant, k) ? 0 : plant->lines[k].desk_input[d];
      last = input > last ? input : last;
    }
    for (int first = 1; plant->desks[d].is_direct && first <= last; first += 8) {
      add_group(&b, SHARED_BANK, -1, d, first, first + 7,
                plant_odds(plant, "desk", "phantom off") * CATALOGUE_BAD_PROB / 20.0,
                (Fault){PART_DESK, FAULT_PHANTOM_OFF, 0, 0, d, 1.0});
      read_paper(&b, SHARED_BANK, d, -1, first);
    }
  }
  if (with_tester) { // A flat battery, a broken lead: 1 in 100 of the times it is used, assumed
    add_group(&b, SHARED_TESTER, -1, -1, 0, 0, 0.01,
              (Fault){PART_TESTER, FAULT_DEAD, 0, 0, -1, 1.0});
  }
  if (b.failed) {
    return STATUS_NO_MEMORY;
  }
  b.states[0].prob = 1.0 - b.sum > 0.5 ? 1.0 - b.sum : 0.5;
  const double all = b.states[0].prob + b.sum + b.more;
  for (int i = 0; i < b.n; ++i) {
    b.states[i].prob /= all;
  }
  *states = b.states;
  *n = b.n;
  return STATUS_OK;
}

bool
shared_moves_plugs(SharedSort sort)
{
  return sort == SHARED_SWAP || sort == SHARED_MOVED || sort == SHARED_SHIFT ||
         sort == SHARED_PANEL;
}

bool
shared_is_of_box(SharedSort sort)
{
  return sort == SHARED_TAIL || (digital_is_state(sort) && sort != SHARED_LEAD_HELD);
}

const SharedTouch*
shared_touch(const SharedState* state, int line)
{
  for (int i = 0; i < state->n_touches; ++i) {
    if (state->touches[i].line == line) {
      return &state->touches[i];
    }
  }
  return NULL;
}

const char*
shared_say(Arena* arena, const Plant* plant, int act, const SharedState* state)
{
  const Line* const from =
    state->from >= 0 && state->from < plant->n_lines ? &plant->lines[state->from] : NULL;
  const Line* const to =
    state->to >= 0 && state->to < plant->n_lines ? &plant->lines[state->to] : NULL;
  const char* const box = state->box >= 0 ? plant->boxes[state->box].name : "";
  const char* const desk = state->desk >= 0 ? plant->desks[state->desk].say : "";
  const bool of_line = state->sort != SHARED_SHIFT && state->sort != SHARED_PANEL;
  const Input* const input = from && of_line ? plant_input(plant, act, state->from) : NULL;
  switch (state->sort) {
    case SHARED_SWAP:
      return arena_format(arena, "the plugs in %s%d and %s%d are exchanged", box, from->socket, box,
                          to->socket);
    case SHARED_MOVED:
      return arena_format(arena, "the plug of %s is in %s%d instead of %s%d",
                          input ? input->source : "the source", box, to->socket, box, from->socket);
    case SHARED_SHIFT:
      return arena_format(arena, "every plug of box %s is one socket too %s", box,
                          state->from > 0 ? "high" : "low");
    case SHARED_PANEL:
      return arena_format(arena, "every plug of the %s is one hole too %s",
                          plant->inlines[state->from].name, state->to > 0 ? "high" : "low");
    case SHARED_Y:
      return arena_format(arena, "%s, which feeds two lines by its Y-lead, is %s",
                          input ? input->source : "the source",
                          state->touches[0].fault.part == PART_SOURCE ? "dead" : "shorted in it");
    case SHARED_TAIL:
      return arena_format(arena, "the tail of box %s is not locked home", box);
    case SHARED_SPLIT_SIDE:
      return arena_format(arena, "the split's whole side to the %s is dead", desk);
    case SHARED_DESK:
      return arena_format(arena, "the %s hears nothing on any line", desk);
    case SHARED_TESTER:
      return arena_copy(arena, "the tester itself is at fault");
    case SHARED_BANK:
      return arena_format(arena, "phantom is off on inputs %d to %d of the %s", state->from,
                          state->to, desk);
    case SHARED_LEAD:
    case SHARED_LEAD_HELD:
    case SHARED_POWER:
    case SHARED_CLOCK:
    case SHARED_OWNER:
    case SHARED_PHANTOM:
      return digital_say(arena, plant, state);
    default:
      return arena_copy(arena, "nothing shared is wrong");
  }
}
