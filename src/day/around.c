// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/around.h"

#include "base/text.h"
#include "day/words.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  const Situation* s;
  Arena* arena;
  int line;
  AroundWay* ways;
  int n;
  bool failed;
} Build;

static const char*
keep(Build* b, const char* text)
{
  b->failed = b->failed || !text;
  return text ? text : "";
}

static const char*
socket_name(Build* b, int line)
{
  const Line* const l = &b->s->plant->lines[line];
  return keep(b, arena_format(b->arena, "%s%d", b->s->plant->boxes[l->box].name, l->socket));
}

static bool
is_taped(const Situation* s, const char* name)
{
  for (int i = 0; i < s->n_taped; ++i) {
    if (text_same(s->taped[i], name)) {
      return true;
    }
  }
  return false;
}

// Odds that the whole of a box is the trouble, its tail or what a digital one shares, seen from one
// of its lines.
static Status
box_prob(const Situation* s, Arena* arena, int line, double* prob)
{
  const Suspect* list = NULL;
  int n = 0;
  double sum = 0.0;
  Status st;
  TRY(st, situation_suspects(s, arena, line, &list, &n));
  for (int i = 0; i < n; ++i) {
    const SharedState* const state = list[i].state;
    const bool whole = state && shared_is_of_box(state->sort);
    sum += whole ? list[i].prob : 0.0;
  }
  *prob = sum;
  return STATUS_OK;
}

// Nobody else runs on it, it is not taped off and no reading speaks against it.
static bool
is_spare(Build* b, int line)
{
  const Situation* const s = b->s;
  const char* const name = socket_name(b, line);
  if (!name || !plant_is_free(s->plant, s->act, line) || is_taped(s, name)) {
    return false;
  }
  for (int l = 0; l < s->plant->n_lines; ++l) {
    if (s->moved_to[l] == line) {
      return false;
    }
  }
  for (int i = 0; i < s->n_seen; ++i) {
    if (s->seen[i].line == line && s->seen[i].check.sort == CHECK_LEVEL &&
        s->seen[i].key != LEVEL_NORMAL) {
      return false;
    }
  }
  return true;
}

// In a digital box the new preamplifier is not set at all: that is for the desk that owns it.
static Sentence
patch_sentence(const Build* b, int to, int desk)
{
  const Plant* const plant = b->s->plant;
  const Input* const input = plant_input(plant, b->s->act, b->line);
  if (!plant_is_digital(plant, to) || plant_phantom_desk(plant, to) != desk) {
    return WORDS_AROUND_DESK;
  }
  const Kind* const kind = input ? &plant->kinds[input->kind] : NULL;
  const bool fed = kind && kind->needs_phantom == ANSWER_YES && !plant_is_harmful(plant, input);
  return fed ? WORDS_AROUND_OWNER_FED : WORDS_AROUND_OWNER;
}

static void
desks_patch(Build* b, AroundWay* way, int to, const char* source)
{
  const Plant* const plant = b->s->plant;
  for (int d = 0; d < plant->n_desks; ++d) {
    if (plant->lines[to].desk_input[d] == 0) {
      continue;
    }
    const WordsFill fill = {.input =
                              keep(b, arena_format(b->arena, "%d", plant->lines[to].desk_input[d])),
                            .source = source};
    way->desks[way->n_desks++] =
      (AroundDesk){d, keep(b, words_say(b->arena, patch_sentence(b, to, d), &fill))};
  }
}

// The best free socket of each box: nearest to the plug in its own box, the first in others.
static void
add_sockets(Build* b)
{
  const Situation* const s = b->s;
  const Plant* const plant = s->plant;
  const Line* const own = &plant->lines[b->line];
  const Input* const input = plant_input(plant, s->act, b->line);
  const char* const source = input ? input->source : "the known-good microphone";
  if (!input && s->act >= 0) {
    return; // Nothing plays here in this act
  }
  const double ask_s = plant_time_s(plant, "ask over the intercom and be answered", 20.0);
  const double plug_s = plant_time_s(plant, "move a plug at a box", 30.0);
  const double patch_s = plant_time_s(plant, "soft patch one input at one desk", 15.0);
  double box_bad_prob = 0.0;
  b->failed = b->failed || box_prob(s, b->arena, b->line, &box_bad_prob) != STATUS_OK;
  const bool box_bad = box_bad_prob > 0.2;
  for (int box = 0; box < plant->n_boxes; ++box) {
    int best = -1;
    for (int l = 0; l < plant->n_lines; ++l) {
      if (plant->lines[l].box == box && l != b->line && is_spare(b, l) &&
          (best < 0 || (box == own->box && abs(plant->lines[l].socket - own->socket) <
                                             abs(plant->lines[best].socket - own->socket)))) {
        best = l;
      }
    }
    if (best < 0 || (box == own->box && box_bad)) {
      continue;
    }
    const char* const socket = socket_name(b, b->line);
    const char* const name = socket_name(b, best);
    const char* const number = keep(b, arena_format(b->arena, "%d", own->number));
    const WordsFill fill = {.source = source,
                            .socket = socket,
                            .way = name,
                            .found = name,
                            .line = number,
                            .unplug = source};
    AroundWay* const way = &b->ways[b->n++];
    way->say = keep(b, words_say(b->arena, WORDS_AROUND_SOCKET, &fill));
    way->way = name;
    way->uses_line = best;
    // Nobody knows whether phantom is on where the plug goes
    const bool harmful = plant_is_harmful(plant, input);
    way->caution =
      keep(b, words_say(b->arena, harmful ? WORDS_NO_PHANTOM_TWO : WORDS_MUTE_TWO, &fill));
    desks_patch(b, way, best, source);
    // Desks patch while the plug is on its way; the last of them is waited for.
    way->seconds = ask_s + plug_s +
                   plant_walk_s(plant, plant->boxes[own->box].place, plant->boxes[box].place) +
                   patch_s * (way->n_desks > 0 ? 1.0 : 0.0);
    way->people = 1 + way->n_desks;
  }
}

// A spare of the same source that is live already: "vocal lead spare" for "vocal lead".
static void
add_live_spare(Build* b)
{
  const Plant* const plant = b->s->plant;
  const Input* const input = plant_input(plant, b->s->act, b->line);
  for (int i = 0; input && i < plant->n_inputs; ++i) {
    const Input* const other = &plant->inputs[i];
    const size_t n = strlen(input->source);
    if (other->act != b->s->act || other->line < 0 || other == input ||
        !text_begins(other->source, input->source) || !text_same(other->source + n, "spare")) {
      continue;
    }
    const char* const number =
      keep(b, arena_format(b->arena, "%d", plant->lines[other->line].number));
    WordsFill fill = {.spare = other->source, .way = number, .source = input->source};
    AroundWay* const way = &b->ways[b->n++];
    way->say = keep(b, words_say(b->arena, WORDS_AROUND_SPARE, &fill));
    way->way = keep(b, arena_format(b->arena, "line %s", number));
    way->uses_line = other->line;
    way->caution = "";
    for (int d = 0; d < plant->n_desks; ++d) {
      if (plant->lines[other->line].desk_input[d]) {
        fill.input = keep(b, arena_format(b->arena, "%d", plant->lines[other->line].desk_input[d]));
        way->desks[way->n_desks++] =
          (AroundDesk){d, keep(b, words_say(b->arena, WORDS_AROUND_SPARE_DESK, &fill))};
      }
    }
    way->seconds = plant_time_s(plant, "see which channel is silent", 5.0);
    way->people = 1;
  }
}

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
static void
add_spare_lead(Build* b)
{
  const Situation* const s = b->s;
  const Plant* const plant = s->plant;
  const int at = plant->lines[b->line].box;
  if (!plant_is_digital(plant, b->line) || !plant_kit(plant, "spare network lead") ||
      (s->act >= 0 && !plant_input(plant, s->act, b->line))) {
    return;
  }
  const WordsFill fill = {.box = plant->boxes[at].name,
                          .desk = plant->desks[plant->boxes[at].owner].say};
  const bool harmful = has_harmful(s, at);
  AroundWay* const way = &b->ways[b->n++];
  way->say = keep(b, words_say(b->arena, WORDS_AROUND_LEAD, &fill));
  way->way = keep(b, arena_format(b->arena, "box %s", fill.box));
  way->uses_line = -1;
  way->caution =
    keep(b, words_say(b->arena, harmful ? WORDS_BOX_LEAD_ALL : WORDS_BOX_CAUTION, &fill));
  way->seconds = plant_time_s(plant, "ask over the intercom and be answered", 20.0) +
                 plant_time_s(plant, "fetch a spare cable", 30.0) +
                 plant_time_s(plant, "lock or swap a network lead", 40.0);
  way->people = 1;
}

static int
quicker(const void* a, const void* b)
{
  const AroundWay* const x = a;
  const AroundWay* const y = b;
  return x->seconds != y->seconds ? (x->seconds < y->seconds ? -1 : 1)
                                  : x->uses_line - y->uses_line;
}

Status
around_ways(const Situation* s, Arena* arena, int line, const AroundWay** ways, int* n)
{
  Build b = {s, arena, line, NULL, 0, false};
  b.ways =
    arena_array(arena, (size_t)(s->plant->n_boxes + s->plant->n_inputs + 2), sizeof(AroundWay));
  if (!b.ways) {
    return STATUS_NO_MEMORY;
  }
  add_live_spare(&b);
  add_sockets(&b);
  add_spare_lead(&b);
  if (b.failed) {
    return STATUS_NO_MEMORY;
  }
  qsort(b.ways, (size_t)b.n, sizeof(AroundWay), quicker);
  *ways = b.ways;
  *n = b.n;
  return STATUS_OK;
}
