// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/around_build.h"
#include "day/proof.h"
#include "day/repair.h"
#include "day/words.h"

#include <stdlib.h>

/*
  Where one desk alone hears nothing the line is good as far as the desk that hears it: what is left
  is that desk's own side of the split and its own input. And the spare lead of a digital box.
*/

// ---- One desk alone ----

// A desk that does not hear it, while `hears` does; -1 = it is not so.
static int
one_deaf_desk(const AroundBuild* b, int* hears)
{
  const Plant* const plant = b->s->plant;
  int deaf = -1;
  int n_deaf = 0;
  *hears = -1;
  for (int d = 0; d < plant->n_desks; ++d) {
    const int word = plant->lines[b->line].desk_input[d] > 0 ? proof_heard(b->s, b->line, d) : -1;
    *hears = word == 0 && *hears < 0 ? d : *hears;
    deaf = word == 1 ? d : deaf;
    n_deaf += word == 1;
  }
  return n_deaf == 1 && *hears >= 0 ? deaf : -1;
}

static void
add_input(AroundBuild* b, int desk)
{
  const Plant* const plant = b->s->plant;
  const int own = plant->lines[b->line].desk_input[desk];
  int best = -1;
  for (int l = 0; l < plant->n_lines; ++l) {
    const Line* const x = &plant->lines[l];
    const Line* const y = best >= 0 ? &plant->lines[best] : NULL;
    if (x->desk_input[desk] > 0 && x->desk_input[desk] != own && !plant_is_digital(plant, l) &&
        around_may_use(b, l) && !around_is_input_taped(b->s, l, desk) &&
        (!y || (x->is_spare && !y->is_spare) ||
         (x->is_spare == y->is_spare &&
          abs(x->desk_input[desk] - own) < abs(y->desk_input[desk] - own)))) {
      best = l;
    }
  }
  if (best < 0) {
    return;
  }
  const int input = plant->lines[best].desk_input[desk];
  const bool harmful = plant_is_harmful(plant, b->input);
  WordsFill fill = {.desk = plant->desks[desk].say,
                    .source = b->source,
                    .line = around_number(b, plant->lines[b->line].number),
                    .input = around_number(b, own),
                    .way = around_number(b, input)};
  AroundWay* const way = &b->ways[b->n];
  *way = (AroundWay){.sort = WAY_INPUT, .uses_line = -1, .desk = desk, .lender = best};
  way->say = around_keep(b, words_say(b->arena, WORDS_AROUND_INPUT, &fill));
  way->way = around_keep(b, arena_format(b->arena, "%s %d", plant->desks[desk].name, input));
  way->caution =
    around_keep(b, words_say(b->arena, harmful ? WORDS_NO_PHANTOM : WORDS_MUTE, &fill));
  fill.line = around_number(b, plant->lines[best].number);
  way->costs = around_keep(b, words_say(b->arena, WORDS_AROUND_COST_INPUT, &fill));
  way->seconds =
    around_ask_s(plant) + plant_time_s(plant, "move a plug at a box", 30.0) + around_patch_s(plant);
  way->people = 1;
  around_finish(b, way);
}

static void
add_feed(AroundBuild* b, int desk, int from)
{
  const Plant* const plant = b->s->plant;
  const WordsFill fill = {.desk = plant->desks[desk].say,
                          .found = plant->desks[from].say,
                          .source = b->source,
                          .line = around_number(b, plant->lines[b->line].number)};
  AroundWay* const way = &b->ways[b->n];
  *way = (AroundWay){.sort = WAY_FEED, .uses_line = -1, .desk = desk, .lender = -1};
  way->say = around_keep(b, words_say(b->arena, WORDS_AROUND_FEED, &fill));
  way->way = around_keep(
    b, arena_format(b->arena, "%s from %s", plant->desks[desk].name, plant->desks[from].name));
  way->caution = around_keep(b, words_say(b->arena, WORDS_MUTE, &fill));
  way->costs = around_keep(b, words_say(b->arena, WORDS_AROUND_COST_GAIN, &fill));
  way->seconds =
    around_ask_s(plant) + 2.0 * around_patch_s(plant); // One sends, then the other patches
  way->people = 2;
  around_finish(b, way);
}

// Only a desk that matters less gives its side away, and the direct side only where nobody's
// phantom hangs on it.
static int
other_side(const AroundBuild* b, int desk)
{
  const Plant* const plant = b->s->plant;
  const bool fed = b->input && plant->kinds[b->input->kind].needs_phantom == ANSWER_YES;
  const bool may_leave = b->input && !fed && !plant_is_harmful(plant, b->input);
  if (plant->split.is_parallel || (plant->desks[desk].is_direct && !may_leave)) {
    return -1;
  }
  for (int d = plant->n_desks - 1; d > desk; --d) {
    if (plant->lines[b->line].desk_input[d] > 0 && !plant->desks[d].is_direct) {
      return d;
    }
  }
  return -1;
}

static void
add_side(AroundBuild* b, int desk)
{
  const Plant* const plant = b->s->plant;
  const int other = other_side(b, desk);
  const int split = plant_place(plant, "split");
  if (other < 0) {
    return;
  }
  const WordsFill fill = {.desk = plant->desks[desk].say,
                          .found = plant->desks[other].say,
                          .source = b->source,
                          .line = around_number(b, plant->lines[b->line].number)};
  const bool direct = plant->desks[desk].is_direct;
  const bool harmful = plant_is_harmful(plant, b->input);
  AroundWay* const way = &b->ways[b->n];
  *way = (AroundWay){.sort = WAY_SIDE, .uses_line = -1, .desk = desk, .lender = -1};
  way->say = around_keep(b, words_say(b->arena, WORDS_AROUND_SIDE, &fill));
  way->way = around_keep(
    b, arena_format(b->arena, "%s side %s", plant->desks[desk].name, plant->desks[other].name));
  way->caution =
    around_keep(b, words_say(b->arena, harmful ? WORDS_NO_PHANTOM : WORDS_MUTE, &fill));
  way->costs = around_keep(
    b, words_say(b->arena, direct ? WORDS_AROUND_COST_DIRECT : WORDS_AROUND_COST_SIDE, &fill));
  way->seconds = around_ask_s(plant) + plant_time_s(plant, "move a plug at a box", 30.0) +
                 plant_walk_s(plant, plant->boxes[plant->lines[b->at].box].place, split);
  way->people = 3;
  around_finish(b, way);
}

// The line is good as far as the desk that hears it: what is left is one desk's own side and input.
void
around_add_desk(AroundBuild* b)
{
  const Plant* const plant = b->s->plant;
  int hears = -1;
  const int deaf = one_deaf_desk(b, &hears);
  if (deaf < 0 || plant_is_digital(plant, b->line) || b->at != b->line) {
    return;
  }
  const double side = around_mended_prob(b, REPAIR_SIDE, deaf);
  const double input = around_mended_prob(b, REPAIR_INPUT, deaf);
  if (input > PROOF_SUSPECT_PROB && side <= PROOF_SUSPECT_PROB) {
    add_input(b, deaf);
  }
  add_feed(b, deaf, hears);
  if (side > PROOF_SUSPECT_PROB) {
    add_side(b, deaf);
  }
}

// ---- A digital box ----

static bool
has_harmful(const Situation* s, int box)
{
  const Plant* const plant = s->plant;
  for (int l = 0; l < plant->n_lines; ++l) {
    const Input* const input = plant->lines[l].box == box ? plant_input(plant, s->act, l) : NULL;
    if (plant_is_harmful(plant, input)) {
      return true;
    }
  }
  return false;
}

// The spare network lead carries every line of the box again, whichever end of the old one is at
// fault. The box keeps its settings meanwhile; its owner looks at the phantom of what must not get
// it.
void
around_add_lead(AroundBuild* b)
{
  const Situation* const s = b->s;
  const Plant* const plant = s->plant;
  const int at = plant->lines[b->line].box;
  if (!plant_is_digital(plant, b->line) || !plant_kit(plant, "spare network lead")) {
    return;
  }
  const WordsFill fill = {.box = plant->boxes[at].name,
                          .desk = plant->desks[plant->boxes[at].owner].say};
  const bool harmful = has_harmful(s, at);
  AroundWay* const way = &b->ways[b->n];
  *way = (AroundWay){.sort = WAY_LEAD, .uses_line = -1, .desk = -1, .lender = -1};
  way->say = around_keep(b, words_say(b->arena, WORDS_AROUND_LEAD, &fill));
  way->way = around_keep(b, arena_format(b->arena, "box %s", fill.box));
  way->caution =
    around_keep(b, words_say(b->arena, harmful ? WORDS_BOX_LEAD_ALL : WORDS_BOX_CAUTION, &fill));
  way->seconds = around_ask_s(plant) + plant_time_s(plant, "fetch a spare cable", 30.0) +
                 plant_time_s(plant, "lock or swap a network lead", 40.0);
  way->people = 1;
  around_finish(b, way);
}
