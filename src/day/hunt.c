// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/prove_say.h"

#include "day/harm.h"

#include <stdio.h>
#include <stdlib.h>

/*
  The hunt for one line: phantom on its channel alone, and the lamp says where it comes out.

  Nobody knows where phantom goes then, so everything that must not get it is out on the whole
  stage, as in any pass by lamp. First the sockets of its own box, from its own outwards (a plug or
  a pin one off is the commonest), then box after box, always the nearest next.

  Where it lights at its own socket, that is a lamp reading. Elsewhere the line of that socket comes
  in on the hunted channel's input: the patch is put right by saying so, and no plug moves.
*/

typedef struct {
  int line;
  int far; ///< Sockets from its own, in its own box
} Near;

static int
by_far(const void* a_, const void* b_)
{
  const Near* const a = a_;
  const Near* const b = b_;
  return a->far != b->far ? a->far - b->far : a->line - b->line;
}

static Status
add_spot(const Situation* s, Arena* arena, int line, int at, int desk, ProveSpot* spot)
{
  const Plant* const plant = s->plant;
  *spot = (ProveSpot){.line = at};
  if (at == line) {
    return prove_good(s, arena, line, PASS_LAMP, -1, &spot->found);
  }
  const char* const way =
    arena_format(arena, "%s %d", plant->desks[desk].name, plant->lines[line].desk_input[desk]);
  spot->found = (ProveFact){.verb = "saw",
                            .line = plant->lines[at].number,
                            .check = "move",
                            .reading = way,
                            .act = prove_act(s, PASS_LAMP, false)};
  return way ? STATUS_OK : STATUS_NO_MEMORY;
}

static int
nearest_box(const Plant* plant, int from, const bool done[])
{
  int best = -1;
  for (int b = 0; b < plant->n_boxes; ++b) {
    if (!done[b] && (best < 0 || plant_walk_s(plant, from, plant->boxes[b].place) <
                                   plant_walk_s(plant, from, plant->boxes[best].place))) {
      best = b;
    }
  }
  return best;
}

static Status
list_spots(const Situation* s, Arena* arena, int line, int desk, ProveHunt* hunt)
{
  const Plant* const plant = s->plant;
  const int own = plant->lines[line].box;
  ProveSpot* const spots = arena_array(arena, (size_t)plant->n_lines, sizeof(ProveSpot));
  Near* const near_ones = arena_array(arena, (size_t)plant->n_lines, sizeof(Near));
  bool* const done = arena_array(arena, (size_t)plant->n_boxes, sizeof(bool));
  Status st = STATUS_OK;
  if (!spots || !near_ones || !done) {
    return STATUS_NO_MEMORY;
  }
  for (int box = own; box >= 0; box = nearest_box(plant, plant->boxes[box].place, done)) {
    int n = 0;
    done[box] = true;
    for (int l = 0; l < plant->n_lines; ++l) {
      if (plant->lines[l].box == box) {
        near_ones[n++] =
          (Near){l, box == own ? abs(plant->lines[l].socket - plant->lines[line].socket) : 0};
      }
    }
    qsort(near_ones, (size_t)n, sizeof(Near), by_far);
    for (int i = 0; i < n; ++i) {
      TRY(st, add_spot(s, arena, line, near_ones[i].line, desk, &spots[hunt->n_spots++]));
    }
  }
  hunt->spots = spots;
  return STATUS_OK;
}

Status
prove_hunt(const Situation* s, const Fold* fold, Arena* arena, int line, ProveHunt* hunt)
{
  const Plant* const plant = s->plant;
  const ProveAsk ask = {.has_way = true, .way = PASS_LAMP, .box = -1, .line = -1};
  const int desk = plant_phantom_desk(plant, line);
  Prove p;
  Status st = STATUS_OK;
  if (desk < 0 || !plant->lines[line].desk_input[desk]) {
    return STATUS_NOT_FOUND;
  }
  TRY(st, prove_now(s, fold, arena, &ask, &p));
  char input[32];
  (void)snprintf(input, sizeof(input), "input %d", plant->lines[line].desk_input[desk]);
  const WordsFill fill = {.input = input, .desk = plant->desks[desk].say};
  ProveHunt out = {.say = words_say(arena, WORDS_PROVE_HUNT, &fill),
                   .caution = prove_unplug_say(s, arena, PASS_LAMP),
                   .ready = p.ready,
                   .n_ready = p.n_ready};
  if (!out.say || !out.caution) {
    return STATUS_NO_MEMORY;
  }
  if (p.state == PROVE_CHOOSE) {
    out.begin = p.begin;
  }
  TRY(st, list_spots(s, arena, line, desk, &out));
  *hunt = out;
  return STATUS_OK;
}
