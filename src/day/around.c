// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/around.h"

#include "day/around_build.h"
#include "day/harm.h"

#include <stdlib.h>

/*
  free (what must not be used), socket, desk (the ways) and help (what each is worth) are files of
  their own; here a way is put down and all are put in order.
*/

const char*
around_keep(AroundBuild* b, const char* text)
{
  b->failed = b->failed || !text;
  return text ? text : "";
}

const char*
around_number(AroundBuild* b, int number)
{
  return around_keep(b, arena_format(b->arena, "%d", number));
}

const char*
around_socket(AroundBuild* b, int line)
{
  const Line* const l = &b->s->plant->lines[line];
  return around_keep(b, arena_format(b->arena, "%s%d", b->s->plant->boxes[l->box].name, l->socket));
}

// ---- Putting one down ----

// What is the same for every way: its name read back as the loan it will be, and what follows.
void
around_finish(AroundBuild* b, AroundWay* way)
{
  const Plant* const plant = b->s->plant;
  Loan as;
  if (b->failed || !loan_read(plant, b->s->act, b->line, way->way, &as)) {
    return;
  }
  way->costs = way->costs ? way->costs : "";
  way->helps_prob = around_helps_prob(b, way, &as);
  way->n_desks = 0;
  for (int d = 0; d < plant->n_desks; ++d) {
    if (as.concerns[d]) {
      way->desks[way->n_desks++] =
        (AroundDesk){d, around_keep(b, loan_desk_say(b->arena, plant, &as, d))};
    }
  }
  ++b->n;
}

double
around_ask_s(const Plant* plant)
{
  return plant_time_s(plant, "ask over the intercom and be answered", 20.0);
}

double
around_patch_s(const Plant* plant)
{
  return plant_time_s(plant, "soft patch one input at one desk", 15.0);
}

// ---- All of them ----

static int
quicker(const void* a, const void* b)
{
  const AroundWay* const x = a;
  const AroundWay* const y = b;
  return x->seconds != y->seconds       ? (x->seconds < y->seconds ? -1 : 1)
         : x->people != y->people       ? x->people - y->people
         : x->uses_line != y->uses_line ? x->uses_line - y->uses_line
                                        : (int)x->sort - (int)y->sort;
}

Status
around_ways(const Situation* s, Arena* arena, int line, const AroundWay** ways, int* n)
{
  const Plant* const plant = s->plant;
  AroundBuild b = {.s = s,
                   .arena = arena,
                   .line = line,
                   .at = harm_plug_at(s, line),
                   .input = plant_input(plant, s->act, line)};
  b.source = b.input ? b.input->source : arena_format(arena, "line %d", plant->lines[line].number);
  // A way a box, one a spare source, and input, feed, side, lead
  b.ways = arena_array(arena, (size_t)(plant->n_boxes + plant->n_inputs + 4), sizeof(AroundWay));
  if (!b.ways || !b.source) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  TRY(st, situation_suspects(s, arena, line, &b.suspects, &b.n_suspects));
  if (b.input || s->act < 0) { // Else nothing plays here in this act
    around_add_spare(&b);
    around_add_sockets(&b);
    around_add_desk(&b);
    around_add_lead(&b);
  }
  if (b.failed) {
    return STATUS_NO_MEMORY;
  }
  if (b.n > 1) {
    qsort(b.ways, (size_t)b.n, sizeof(AroundWay), quicker);
  }
  *ways = b.ways;
  *n = b.n;
  return STATUS_OK;
}
