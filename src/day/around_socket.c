// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/around_build.h"
#include "day/cable.h"
#include "day/proof.h"
#include "day/words.h"

#include <stdlib.h>
#include <string.h>

/*
  The plug in another socket, or another source that is plugged and ready.

  Of each box the best free socket is offered. Candidates are tried in the order of preference, and
  suspicion is looked at last: it takes the odds of a line.
*/

// ---- Another socket ----

// Spares before lines that an act was given, those nobody needs again before those of a later act,
// the nearest socket first.
static bool
is_better(const AroundBuild* b, int line, int than)
{
  const Plant* const plant = b->s->plant;
  const Line* const x = &plant->lines[line];
  const Line* const y = &plant->lines[than];
  const Line* const own = &plant->lines[b->at];
  const bool later_x = around_needed_in(plant, b->s->act, line) >= 0;
  const bool later_y = around_needed_in(plant, b->s->act, than) >= 0;
  if (x->is_spare != y->is_spare) {
    return x->is_spare;
  }
  if (later_x != later_y) {
    return later_y;
  }
  return x->box == own->box ? abs(x->socket - own->socket) < abs(y->socket - own->socket) : false;
}

static Sentence
socket_sentence(const AroundBuild* b, int to, double cable_m)
{
  const bool spare = b->s->plant->lines[to].is_spare;
  return !b->input       ? WORDS_AROUND_BARE // The microphone that is walked goes there by itself
         : cable_m > 0.0 ? spare ? WORDS_AROUND_LONGER : WORDS_AROUND_FREE_LONGER
         : spare         ? WORDS_AROUND_SOCKET
                         : WORDS_AROUND_FREE;
}

static const char*
socket_costs(AroundBuild* b, int to, const char* name)
{
  const Plant* const plant = b->s->plant;
  const int later = around_needed_in(plant, b->s->act, to);
  WordsFill fill = {.way = name, .source = b->source};
  for (int d = 0; d < plant->n_desks; ++d) {
    if (plant->lines[b->line].desk_input[d] > 0 && plant->lines[to].desk_input[d] == 0) {
      fill.desk = plant->desks[d].say;
      return around_keep(b, words_say(b->arena, WORDS_AROUND_COST_SHORT, &fill));
    }
  }
  fill.who = later >= 0 ? plant->acts[later].name : "";
  return later < 0 ? "" : around_keep(b, words_say(b->arena, WORDS_AROUND_COST_LATER, &fill));
}

static void
add_socket(AroundBuild* b, int to, double cable_m)
{
  const Plant* const plant = b->s->plant;
  const Line* const own = &plant->lines[b->at];
  const char* const name = around_socket(b, to);
  const WordsFill fill = {.source = b->source,
                          .socket = around_socket(b, b->at),
                          .way = name,
                          .found = name,
                          .line = around_number(b, own->number),
                          .item = around_keep(b, arena_format(b->arena, "%g", cable_m)),
                          .unplug = b->source};
  AroundWay* const way = &b->ways[b->n];
  // Nobody knows whether phantom is on where the plug goes
  const bool harmful = plant_is_harmful(plant, b->input);
  *way = (AroundWay){
    .sort = WAY_SOCKET, .uses_line = to, .desk = -1, .lender = -1, .way = name, .cable_m = cable_m};
  way->say = around_keep(b, words_say(b->arena, socket_sentence(b, to, cable_m), &fill));
  way->caution =
    around_keep(b, words_say(b->arena, harmful ? WORDS_NO_PHANTOM_TWO : WORDS_MUTE_TWO, &fill));
  way->costs = socket_costs(b, to, name);
  around_finish(b, way);
  // Desks patch while the plug is on its way; the last of them is waited for.
  way->seconds =
    around_ask_s(plant) + plant_time_s(plant, "move a plug at a box", 30.0) +
    (cable_m > 0.0 ? plant_time_s(plant, "fetch a spare cable", 30.0) : 0.0) +
    plant_walk_s(plant, plant->boxes[own->box].place, plant->boxes[plant->lines[to].box].place) +
    around_patch_s(plant) * (way->n_desks > 0 ? 1.0 : 0.0);
  way->people = 1 + way->n_desks;
}

// The best free socket of each box. Suspicion is looked at last: it takes the odds of a line.
void
around_add_sockets(AroundBuild* b)
{
  const Plant* const plant = b->s->plant;
  const int own = plant->lines[b->at].box;
  Cables left;
  if (cable_left(b->arena, plant, b->s->taped, b->s->n_taped, b->s->act, b->s->loans, b->s->n_loans,
                 &left) != STATUS_OK) {
    b->failed = true;
    return;
  }
  for (int box = 0; box < plant->n_boxes; ++box) {
    double cable_m = 0.0;
    // On bare lines nothing is plugged that would have to reach
    if (box != own && b->input && !cable_find(&left, cable_between_m(plant, own, box), &cable_m)) {
      continue;
    }
    bool tried[PLANT_MAX_LINES] = {false};
    for (bool found = false, is_left = true; !found && is_left;) {
      int best = -1;
      for (int l = 0; l < plant->n_lines; ++l) {
        if (plant->lines[l].box == box && !tried[l] && around_may_use(b, l) &&
            (best < 0 || is_better(b, l, best))) {
          best = l;
        }
      }
      is_left = best >= 0;
      if (best >= 0) {
        tried[best] = true;
        found = around_copper_prob(b, best) <= PROOF_SUSPECT_PROB && !around_is_box_bad(b, best);
      }
      if (found) {
        add_socket(b, best, cable_m);
      }
    }
  }
}

// ---- A source that is ready ----

// "vocal lead spare" for "vocal lead": plugged, and nothing against it.
void
around_add_spare(AroundBuild* b)
{
  const Plant* const plant = b->s->plant;
  for (int i = 0; b->input && i < plant->n_inputs; ++i) {
    const Input* const other = &plant->inputs[i];
    const size_t n = strlen(b->input->source);
    if (other->act != b->s->act || other->line < 0 || other == b->input || other->line == b->line ||
        !text_begins(other->source, b->input->source) || !text_same(other->source + n, "spare") ||
        !around_is_heard(plant, other->line)) {
      continue;
    }
    bool moved = b->s->is_accused[other->line] || around_is_taped(b->s, other->line);
    for (int k = 0; k < b->s->n_loans; ++k) {
      moved = moved || loan_occupies(&b->s->loans[k], other->line);
    }
    if (moved || around_copper_prob(b, other->line) > PROOF_SUSPECT_PROB ||
        around_is_box_bad(b, other->line)) {
      continue;
    }
    const char* const number = around_number(b, plant->lines[other->line].number);
    const WordsFill fill = {.spare = other->source, .way = number, .source = b->source};
    AroundWay* const way = &b->ways[b->n];
    *way = (AroundWay){
      .sort = WAY_SPARE, .uses_line = other->line, .desk = -1, .lender = -1, .caution = ""};
    way->say = around_keep(b, words_say(b->arena, WORDS_AROUND_SPARE, &fill));
    way->way = around_keep(b, arena_format(b->arena, "line %s", number));
    way->seconds = plant_time_s(plant, "see which channel is silent", 5.0);
    way->people = 1;
    around_finish(b, way);
  }
}
