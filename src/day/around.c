// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/around.h"

#include "base/text.h"
#include "day/harm.h"
#include "day/proof.h"
#include "day/repair.h"
#include "day/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/*
  Candidates are tried in the order of preference of each box, and odds are asked for only where
  everything else says yes, because this runs before every step of a rescue.
*/

#define STAGE_M_PER_S 0.8 // 20 m on stage round gear in 25 s (usual practice)

typedef struct {
  const Situation* s;
  Arena* arena;
  int line;
  int at; ///< Where the plug is now
  const Input* input;
  const char* source;
  const Suspect* suspects;
  int n_suspects;
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
number_say(Build* b, int number)
{
  return keep(b, arena_format(b->arena, "%d", number));
}

static const char*
socket_name(Build* b, int line)
{
  const Line* const l = &b->s->plant->lines[line];
  return keep(b, arena_format(b->arena, "%s%d", b->s->plant->boxes[l->box].name, l->socket));
}

// ---- What must not be used ----

bool
around_is_needed(const Plant* plant, int act, int line)
{
  if (plant_input(plant, act, line)) {
    return true;
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    if (input->act == act && input->y_line && plant_line(plant, input->y_line) == line) {
      return true;
    }
  }
  return false;
}

// Not in this act and not in the next. What is moved on bare lines is moved in every act.
static bool
is_free(const Plant* plant, int act, int line)
{
  const int first = act < 0 ? 0 : act;
  const int last = act < 0 ? plant->n_acts - 1 : act + 1;
  for (int a = first; a <= last && a < plant->n_acts; ++a) {
    if (around_is_needed(plant, a, line)) {
      return false;
    }
  }
  return true;
}

// The next act that needs a line, -1 = none.
static int
needed_in(const Plant* plant, int act, int line)
{
  for (int a = act + 1; a < plant->n_acts; ++a) {
    if (around_is_needed(plant, a, line)) {
      return a;
    }
  }
  return -1;
}

// "tail C", "pair 22": a word and what it counts.
static bool
names(const char* item, const char* word, const char* what)
{
  return text_begins(item, word) && text_same(item + strlen(word), what);
}

static bool
numbers(const char* item, const char* word, int number)
{
  char text[16];
  (void)snprintf(text, sizeof(text), "%d", number);
  return number > 0 && names(item, word, text);
}

bool
around_is_taped(const Situation* s, int line)
{
  const Line* const l = &s->plant->lines[line];
  const Box* const box = &s->plant->boxes[l->box];
  for (int i = 0; i < s->n_taped; ++i) {
    const char* const item = s->taped[i];
    if (plant_socket(s->plant, item) == line || names(item, "box ", box->name) ||
        names(item, "tail ", box->name) || (box->tail_tag[0] && text_same(item, box->tail_tag)) ||
        numbers(item, "line ", l->number) || numbers(item, "pair ", l->pair) ||
        numbers(item, "split ", l->split_channel)) {
      return true;
    }
  }
  return false;
}

static bool
is_input_taped(const Situation* s, int line, int desk)
{
  for (int i = 0; i < s->n_taped; ++i) {
    int at = -1;
    int d = -1;
    if (situation_place(s->plant, s->taped[i], &at, &d) && at == line && d == desk) {
      return true;
    }
  }
  return false;
}

// Odds that the copper of a line is bad, whatever plays on it.
static double
copper_prob(Build* b, int line)
{
  const Suspect* list = NULL;
  int n = 0;
  double sum = 0.0;
  if (situation_suspects(b->s, b->arena, line, &list, &n) != STATUS_OK) {
    b->failed = true;
    return 1.0;
  }
  for (int i = 0; i < n; ++i) {
    const PartSort part = list[i].fault.part;
    const bool is_source =
      part == PART_SOURCE || part == PART_THROUGH || part == PART_CABLE || part == PART_ELSE;
    const bool counts = list[i].state ? !shared_moves_plugs(list[i].state->sort)
                                      : list[i].fault.mode != FAULT_NONE && !is_source;
    sum += counts ? list[i].prob : 0.0;
  }
  return sum;
}

// A box that is itself the trouble, its tail or what a digital one shares, as a whole.
static bool
is_box_bad(Build* b, int line)
{
  const SharedState* box = NULL;
  double prob = 0.0;
  double own = 0.0;
  for (int i = 0; i < b->n_suspects; ++i) { // Of the own line also what only its source needs
    const SharedState* const state = b->suspects[i].state;
    own += state && shared_is_of_box(state->sort) ? b->suspects[i].prob : 0.0;
  }
  b->failed = b->failed || proof_box(b->s, b->arena, line, &box, &prob) != STATUS_OK;
  const Line* const lines = b->s->plant->lines;
  return prob > PROOF_SUSPECT_PROB ||
         (lines[line].box == lines[b->line].box && own > PROOF_SUSPECT_PROB);
}

static bool
is_unused(const Build* b, int line)
{
  const Situation* const s = b->s;
  bool taken = s->is_told[line] || s->is_accused[line] || around_is_taped(s, line);
  for (int i = 0; i < s->n_loans; ++i) {
    taken = taken || loan_occupies(&s->loans[i], line);
  }
  for (int i = 0; i < s->n_seen; ++i) { // Rehearsed readings are in no log
    const Seen* const seen = &s->seen[i];
    taken =
      taken || (seen->line == line && seen->check.sort == CHECK_LEVEL && seen->key != LEVEL_NORMAL);
  }
  return !taken;
}

// Whether a source may go to a line at all: what needs phantom must get it there.
static bool
gives_what_it_needs(const Plant* plant, const Input* input, int line)
{
  const bool needs = input && plant->kinds[input->kind].needs_phantom == ANSWER_YES;
  const int desk = plant_phantom_desk(plant, line);
  return !needs || (desk >= 0 && plant->lines[line].desk_input[desk] > 0);
}

static bool
is_heard_somewhere(const Plant* plant, int line)
{
  bool any = false;
  for (int d = 0; d < plant->n_desks; ++d) {
    any = any || plant->lines[line].desk_input[d] > 0;
  }
  return any;
}

static bool
may_use(const Build* b, int line)
{
  const Situation* const s = b->s;
  return line != b->line && line != b->at && is_free(s->plant, s->act, line) &&
         is_unused(b, line) && is_heard_somewhere(s->plant, line) &&
         gives_what_it_needs(s->plant, b->input, line);
}

// ---- How much of the trouble a way goes round ----

static bool
goes_round(const AroundWay* way, const Loan* as, const Suspect* suspect)
{
  const SharedState* const state = suspect->state;
  const PartSort part = suspect->fault.part;
  switch (way->sort) {
    case WAY_SOCKET:
      if (state) { // Plugs are seen to be wrong when one is taken in hand
        return shared_moves_plugs(state->sort) || !shared_touch(state, way->uses_line);
      }
      return !(part == PART_SOURCE || part == PART_THROUGH || part == PART_CABLE);
    case WAY_SPARE:
      return !state || shared_moves_plugs(state->sort) || !shared_touch(state, way->uses_line);
    case WAY_INPUT:
      return repair_fixes(REPAIR_INPUT, as->desk, state, &suspect->fault);
    case WAY_FEED:
      return repair_fixes(REPAIR_INPUT, as->desk, state, &suspect->fault) ||
             repair_fixes(REPAIR_SIDE, as->desk, state, &suspect->fault);
    case WAY_SIDE:
      return repair_fixes(REPAIR_SIDE, as->desk, state, &suspect->fault);
    default:
      return state && (state->sort == SHARED_LEAD || state->sort == SHARED_LEAD_HELD);
  }
}

static double
helps_prob(const Build* b, const AroundWay* way, const Loan* as)
{
  double all = 0.0;
  double sum = 0.0;
  bool trouble = false;
  for (int i = 0; i < b->s->n_seen; ++i) {
    trouble =
      trouble || (b->s->seen[i].line == b->line && situation_is_complaint(b->s, &b->s->seen[i]));
  }
  for (int i = 0; i < b->n_suspects; ++i) {
    const Suspect* const x = &b->suspects[i];
    if (x->state || x->fault.mode != FAULT_NONE) {
      all += x->prob;
      sum += goes_round(way, as, x) ? x->prob : 0.0;
    }
  }
  return trouble && all > 0.0 ? sum / all : -1.0;
}

// Odds of what one desk's own part of the line would be mended by.
static double
mended_prob(const Build* b, RepairSort repair, int desk)
{
  double sum = 0.0;
  for (int i = 0; i < b->n_suspects; ++i) {
    const Suspect* const x = &b->suspects[i];
    sum += repair_fixes(repair, desk, x->state, &x->fault) ? x->prob : 0.0;
  }
  return sum;
}

// ---- Putting one down ----

// What is the same for every way: its name read back as the loan it will be, and what follows.
static void
finish(Build* b, AroundWay* way)
{
  const Plant* const plant = b->s->plant;
  Loan as;
  if (b->failed || !loan_read(plant, b->s->act, b->line, way->way, &as)) {
    return;
  }
  way->costs = way->costs ? way->costs : "";
  way->helps_prob = helps_prob(b, way, &as);
  way->n_desks = 0;
  for (int d = 0; d < plant->n_desks; ++d) {
    if (as.concerns[d]) {
      way->desks[way->n_desks++] = (AroundDesk){d, keep(b, loan_desk_say(b->arena, plant, &as, d))};
    }
  }
  ++b->n;
}

static double
ask_s(const Plant* plant)
{
  return plant_time_s(plant, "ask over the intercom and be answered", 20.0);
}

static double
patch_s(const Plant* plant)
{
  return plant_time_s(plant, "soft patch one input at one desk", 15.0);
}

// ---- Another socket ----

// The length in the name of a spare cable, "spare microphone cable 10 m"; 0 = none is said.
static double
kit_length_m(const KitItem* item)
{
  const char* digits = item->name;
  double length_m = 0.0;
  if (item->count <= 0 || !(text_begins(item->name, "spare microphone cable") ||
                            text_begins(item->name, "spare cable"))) {
    return 0.0;
  }
  while (*digits && !(*digits >= '0' && *digits <= '9')) {
    ++digits;
  }
  return sscanf(digits, "%6lf", &length_m) == 1 ? length_m : 0.0;
}

// The shortest cable that reaches so far further, or two put together. False when there is none;
// without a list of the kit one is assumed.
static bool
find_cable(const Plant* plant, double further_m, double* cable_m)
{
  double best_m = INFINITY;
  bool any_length = false;
  for (int i = 0; i < plant->n_kit; ++i) {
    const double first_m = kit_length_m(&plant->kit[i]);
    any_length = any_length || first_m > 0.0;
    for (int k = -1; k < plant->n_kit && first_m > 0.0; ++k) {
      const double second_m = k < 0                               ? 0.0
                              : k == i && plant->kit[i].count < 2 ? 0.0
                                                                  : kit_length_m(&plant->kit[k]);
      const double both_m = first_m + second_m;
      best_m = both_m >= further_m && both_m < best_m ? both_m : best_m;
    }
  }
  const bool is_assumed =
    plant->n_kit == 0 || (!any_length && (plant_kit(plant, "spare cable") > 0 ||
                                          plant_kit(plant, "spare microphone cable") > 0));
  *cable_m = is_assumed ? ceil(further_m) : best_m;
  return is_assumed || isfinite(best_m);
}

// How far apart two boxes are, by what it takes to walk; the shorter of there and back, for one of
// them may lead through the crowd.
static double
between_m(const Plant* plant, int a, int b)
{
  const int from = plant->boxes[a].place;
  const int to = plant->boxes[b].place;
  return STAGE_M_PER_S * fmin(plant_walk_s(plant, from, to), plant_walk_s(plant, to, from));
}

// Spares before lines that an act was given, those nobody needs again before those of a later act,
// the nearest socket first.
static bool
is_better(const Build* b, int line, int than)
{
  const Plant* const plant = b->s->plant;
  const Line* const x = &plant->lines[line];
  const Line* const y = &plant->lines[than];
  const Line* const own = &plant->lines[b->at];
  const bool later_x = needed_in(plant, b->s->act, line) >= 0;
  const bool later_y = needed_in(plant, b->s->act, than) >= 0;
  if (x->is_spare != y->is_spare) {
    return x->is_spare;
  }
  if (later_x != later_y) {
    return later_y;
  }
  return x->box == own->box ? abs(x->socket - own->socket) < abs(y->socket - own->socket) : false;
}

static Sentence
socket_sentence(const Build* b, int to, double cable_m)
{
  const bool spare = b->s->plant->lines[to].is_spare;
  return !b->input       ? WORDS_AROUND_BARE // The microphone that is walked goes there by itself
         : cable_m > 0.0 ? spare ? WORDS_AROUND_LONGER : WORDS_AROUND_FREE_LONGER
         : spare         ? WORDS_AROUND_SOCKET
                         : WORDS_AROUND_FREE;
}

static const char*
socket_costs(Build* b, int to, const char* name)
{
  const Plant* const plant = b->s->plant;
  const int later = needed_in(plant, b->s->act, to);
  WordsFill fill = {.way = name, .source = b->source};
  for (int d = 0; d < plant->n_desks; ++d) {
    if (plant->lines[b->line].desk_input[d] > 0 && plant->lines[to].desk_input[d] == 0) {
      fill.desk = plant->desks[d].say;
      return keep(b, words_say(b->arena, WORDS_AROUND_COST_SHORT, &fill));
    }
  }
  fill.who = later >= 0 ? plant->acts[later].name : "";
  return later < 0 ? "" : keep(b, words_say(b->arena, WORDS_AROUND_COST_LATER, &fill));
}

static void
add_socket(Build* b, int to, double cable_m)
{
  const Plant* const plant = b->s->plant;
  const Line* const own = &plant->lines[b->at];
  const char* const name = socket_name(b, to);
  const WordsFill fill = {.source = b->source,
                          .socket = socket_name(b, b->at),
                          .way = name,
                          .found = name,
                          .line = number_say(b, own->number),
                          .item = keep(b, arena_format(b->arena, "%g", cable_m)),
                          .unplug = b->source};
  AroundWay* const way = &b->ways[b->n];
  // Nobody knows whether phantom is on where the plug goes
  const bool harmful = plant_is_harmful(plant, b->input);
  *way = (AroundWay){
    .sort = WAY_SOCKET, .uses_line = to, .desk = -1, .lender = -1, .way = name, .cable_m = cable_m};
  way->say = keep(b, words_say(b->arena, socket_sentence(b, to, cable_m), &fill));
  way->caution =
    keep(b, words_say(b->arena, harmful ? WORDS_NO_PHANTOM_TWO : WORDS_MUTE_TWO, &fill));
  way->costs = socket_costs(b, to, name);
  finish(b, way);
  // Desks patch while the plug is on its way; the last of them is waited for.
  way->seconds =
    ask_s(plant) + plant_time_s(plant, "move a plug at a box", 30.0) +
    (cable_m > 0.0 ? plant_time_s(plant, "fetch a spare cable", 30.0) : 0.0) +
    plant_walk_s(plant, plant->boxes[own->box].place, plant->boxes[plant->lines[to].box].place) +
    patch_s(plant) * (way->n_desks > 0 ? 1.0 : 0.0);
  way->people = 1 + way->n_desks;
}

// The best free socket of each box. Suspicion is looked at last: it takes the odds of a line.
static void
add_sockets(Build* b)
{
  const Plant* const plant = b->s->plant;
  const int own = plant->lines[b->at].box;
  for (int box = 0; box < plant->n_boxes; ++box) {
    double cable_m = 0.0;
    // On bare lines nothing is plugged that would have to reach
    if (box != own && b->input && !find_cable(plant, between_m(plant, own, box), &cable_m)) {
      continue;
    }
    bool tried[PLANT_MAX_LINES] = {false};
    for (bool found = false, is_left = true; !found && is_left;) {
      int best = -1;
      for (int l = 0; l < plant->n_lines; ++l) {
        if (plant->lines[l].box == box && !tried[l] && may_use(b, l) &&
            (best < 0 || is_better(b, l, best))) {
          best = l;
        }
      }
      is_left = best >= 0;
      if (best >= 0) {
        tried[best] = true;
        found = copper_prob(b, best) <= PROOF_SUSPECT_PROB && !is_box_bad(b, best);
      }
      if (found) {
        add_socket(b, best, cable_m);
      }
    }
  }
}

// ---- A source that is ready ----

// "vocal lead spare" for "vocal lead": plugged, and nothing against it.
static void
add_live_spare(Build* b)
{
  const Plant* const plant = b->s->plant;
  for (int i = 0; b->input && i < plant->n_inputs; ++i) {
    const Input* const other = &plant->inputs[i];
    const size_t n = strlen(b->input->source);
    if (other->act != b->s->act || other->line < 0 || other == b->input || other->line == b->line ||
        !text_begins(other->source, b->input->source) || !text_same(other->source + n, "spare") ||
        !is_heard_somewhere(plant, other->line)) {
      continue;
    }
    bool moved = b->s->is_accused[other->line] || around_is_taped(b->s, other->line);
    for (int k = 0; k < b->s->n_loans; ++k) {
      moved = moved || loan_occupies(&b->s->loans[k], other->line);
    }
    if (moved || copper_prob(b, other->line) > PROOF_SUSPECT_PROB || is_box_bad(b, other->line)) {
      continue;
    }
    const char* const number = number_say(b, plant->lines[other->line].number);
    const WordsFill fill = {.spare = other->source, .way = number, .source = b->source};
    AroundWay* const way = &b->ways[b->n];
    *way = (AroundWay){
      .sort = WAY_SPARE, .uses_line = other->line, .desk = -1, .lender = -1, .caution = ""};
    way->say = keep(b, words_say(b->arena, WORDS_AROUND_SPARE, &fill));
    way->way = keep(b, arena_format(b->arena, "line %s", number));
    way->seconds = plant_time_s(plant, "see which channel is silent", 5.0);
    way->people = 1;
    finish(b, way);
  }
}

// ---- One desk alone ----

// A desk that does not hear it, while `hears` does; -1 = it is not so.
static int
one_deaf_desk(const Build* b, int* hears)
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
add_input(Build* b, int desk)
{
  const Plant* const plant = b->s->plant;
  const int own = plant->lines[b->line].desk_input[desk];
  int best = -1;
  for (int l = 0; l < plant->n_lines; ++l) {
    const Line* const x = &plant->lines[l];
    const Line* const y = best >= 0 ? &plant->lines[best] : NULL;
    if (x->desk_input[desk] > 0 && x->desk_input[desk] != own && !plant_is_digital(plant, l) &&
        may_use(b, l) && !is_input_taped(b->s, l, desk) &&
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
                    .line = number_say(b, plant->lines[b->line].number),
                    .input = number_say(b, own),
                    .way = number_say(b, input)};
  AroundWay* const way = &b->ways[b->n];
  *way = (AroundWay){.sort = WAY_INPUT, .uses_line = -1, .desk = desk, .lender = best};
  way->say = keep(b, words_say(b->arena, WORDS_AROUND_INPUT, &fill));
  way->way = keep(b, arena_format(b->arena, "%s %d", plant->desks[desk].name, input));
  way->caution = keep(b, words_say(b->arena, harmful ? WORDS_NO_PHANTOM : WORDS_MUTE, &fill));
  fill.line = number_say(b, plant->lines[best].number);
  way->costs = keep(b, words_say(b->arena, WORDS_AROUND_COST_INPUT, &fill));
  way->seconds = ask_s(plant) + plant_time_s(plant, "move a plug at a box", 30.0) + patch_s(plant);
  way->people = 1;
  finish(b, way);
}

static void
add_feed(Build* b, int desk, int from)
{
  const Plant* const plant = b->s->plant;
  const WordsFill fill = {.desk = plant->desks[desk].say,
                          .found = plant->desks[from].say,
                          .source = b->source,
                          .line = number_say(b, plant->lines[b->line].number)};
  AroundWay* const way = &b->ways[b->n];
  *way = (AroundWay){.sort = WAY_FEED, .uses_line = -1, .desk = desk, .lender = -1};
  way->say = keep(b, words_say(b->arena, WORDS_AROUND_FEED, &fill));
  way->way =
    keep(b, arena_format(b->arena, "%s from %s", plant->desks[desk].name, plant->desks[from].name));
  way->caution = keep(b, words_say(b->arena, WORDS_MUTE, &fill));
  way->costs = keep(b, words_say(b->arena, WORDS_AROUND_COST_GAIN, &fill));
  way->seconds = ask_s(plant) + 2.0 * patch_s(plant); // One sends, then the other patches
  way->people = 2;
  finish(b, way);
}

// Only a desk that matters less gives its side away, and the direct side only where nobody's
// phantom hangs on it.
static int
other_side(const Build* b, int desk)
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
add_side(Build* b, int desk)
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
                          .line = number_say(b, plant->lines[b->line].number)};
  const bool direct = plant->desks[desk].is_direct;
  const bool harmful = plant_is_harmful(plant, b->input);
  AroundWay* const way = &b->ways[b->n];
  *way = (AroundWay){.sort = WAY_SIDE, .uses_line = -1, .desk = desk, .lender = -1};
  way->say = keep(b, words_say(b->arena, WORDS_AROUND_SIDE, &fill));
  way->way = keep(
    b, arena_format(b->arena, "%s side %s", plant->desks[desk].name, plant->desks[other].name));
  way->caution = keep(b, words_say(b->arena, harmful ? WORDS_NO_PHANTOM : WORDS_MUTE, &fill));
  way->costs =
    keep(b, words_say(b->arena, direct ? WORDS_AROUND_COST_DIRECT : WORDS_AROUND_COST_SIDE, &fill));
  way->seconds = ask_s(plant) + plant_time_s(plant, "move a plug at a box", 30.0) +
                 plant_walk_s(plant, plant->boxes[plant->lines[b->at].box].place, split);
  way->people = 3;
  finish(b, way);
}

// The line is good as far as the desk that hears it: what is left is one desk's own side and input.
static void
add_one_desk(Build* b)
{
  const Plant* const plant = b->s->plant;
  int hears = -1;
  const int deaf = one_deaf_desk(b, &hears);
  if (deaf < 0 || plant_is_digital(plant, b->line) || b->at != b->line) {
    return;
  }
  const double side = mended_prob(b, REPAIR_SIDE, deaf);
  const double input = mended_prob(b, REPAIR_INPUT, deaf);
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
static void
add_spare_lead(Build* b)
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
  way->say = keep(b, words_say(b->arena, WORDS_AROUND_LEAD, &fill));
  way->way = keep(b, arena_format(b->arena, "box %s", fill.box));
  way->caution =
    keep(b, words_say(b->arena, harmful ? WORDS_BOX_LEAD_ALL : WORDS_BOX_CAUTION, &fill));
  way->seconds = ask_s(plant) + plant_time_s(plant, "fetch a spare cable", 30.0) +
                 plant_time_s(plant, "lock or swap a network lead", 40.0);
  way->people = 1;
  finish(b, way);
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
  Build b = {.s = s,
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
    add_live_spare(&b);
    add_sockets(&b);
    add_one_desk(&b);
    add_spare_lead(&b);
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
