// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "day/rescue.h"
#include "stage/lists.h"
#include "support/check.h"

#include <string.h>

/*
  The cautions as a law, on random shows: random kinds in random boxes, some of them digital, behind
  one to three desks,
  random kit, random things seen, plugs moved and repairs tried. Whatever is advised then,

    - phantom goes on, or a tester's current flows, only where no ribbon, unbalanced or "ask" source
      can be met, or its plug is named and pulled first in the same step;
    - where a digital box comes back with settings nobody can see (its power, its owner) every such
      source on it is named and unplugged first; before its lead goes in, its owner's desk looks at
      the phantom of each; the whole box is muted for either;
    - where a plug, phantom or a tester is touched the step asks for its mute, names what to mute,
      sends to in-ears and headphones;
    - a sender drives current through nothing but a cable that is out at both ends;
    - nothing needs kit that the show does not have.

  The rule is written here from those sentences alone; it shares nothing with `harm_allows`.
  200 shows, or 10,000 with LINEWALK_LONG=1; LINEWALK_SEED repeats one.
*/

enum { MAX_FACTS = 48, MAX_BOXES = 3, MAX_SOCKETS = 10 };

typedef struct {
  Arena arena;
  Rng rng;
  Plant plant;
  int act;
  int line; ///< The one most was seen of
  Fact facts[MAX_FACTS];
  size_t n_facts;
  const Situation* s;
  uint64_t seed;
} Show;

typedef struct {
  long n_steps, n_repairs, n_phantom, n_unplugged, n_tester, n_plugging;
  long by_check[CHECK_COUNT], by_repair[REPAIR_COUNT];
} Tally;

static bool
chance(Show* w, int percent)
{
  return rng_below(&w->rng, 100) < percent;
}

static void
random_kinds(Show* w, const Plant* base)
{
  const int n = base->n_kinds + 6;
  Kind* const kinds = arena_array(&w->arena, (size_t)n, sizeof(Kind));
  memcpy(kinds, base->kinds, (size_t)base->n_kinds * sizeof(Kind));
  for (int i = base->n_kinds; i < n; ++i) { // Any mixture of what a kind can be
    Kind* const k = &kinds[i];
    *k = kinds[rng_below(&w->rng, base->n_kinds)];
    k->drive = (Drive)rng_below(&w->rng, 4);
    k->needs_phantom = (Answer)rng_below(&w->rng, 3);
    k->is_ribbon = chance(w, 20);
    k->phantom_harmless =
      k->is_ribbon || k->drive == DRIVE_UNBALANCED ? ANSWER_NO : (Answer)rng_below(&w->rng, 3);
    k->has_battery = chance(w, 30);
    k->has_switch = chance(w, 30);
    k->is_microphone = chance(w, 60);
  }
  w->plant.kinds = kinds;
  w->plant.n_kinds = n;
}

static int
random_thing(Show* w, InlineSort sort)
{
  int at = -1;
  for (int i = 0; i < w->plant.n_inlines; ++i) {
    if (w->plant.inlines[i].sort == sort && (at < 0 || chance(w, 50))) {
      at = i;
    }
  }
  return at;
}

// Anything may stand in line, a second source hang on a socket, a source go to two sockets in two
// boxes, and lines of different boxes share a panel.
static void
random_things(Show* w, Input* inputs, int n)
{
  for (int i = 0; i < n; ++i) {
    Input* const in = &inputs[i];
    if (chance(w, 30)) {
      in->through[in->n_through++] = random_thing(w, (InlineSort)rng_below(&w->rng, INLINE_Y));
    }
    if (chance(w, 40)) {
      in->through[in->n_through++] = random_thing(w, INLINE_PANEL);
    }
    Input* const other = &inputs[rng_below(&w->rng, n)];
    if (chance(w, 10) && !in->y_line) {
      in->through[in->n_through++] = random_thing(w, INLINE_Y);
      in->y_kind = 1 + rng_below(&w->rng, w->plant.n_kinds);
    } else if (chance(w, 15) && other != in && other->act == in->act && !in->y_line &&
               !in->y_kind && !other->y_line && !other->y_kind) {
      in->through[in->n_through++] = random_thing(w, INLINE_Y);
      other->through[other->n_through++] = in->through[in->n_through - 1];
      in->y_line = w->plant.lines[other->line].number;
      other->y_line = w->plant.lines[in->line].number;
    }
  }
}

static void
random_stage(Show* w)
{
  static const char* const box_names[MAX_BOXES] = {"A", "B", "C"};
  static const char* const places[] = {"tower", "split", "monitors", "box A", "box B", "box C"};
  static const Desk desks[PLANT_DESKS] = {{"foh", "house desk", 0, true, 0.0, 0.0},
                                          {"mon", "monitor desk", 2, false, 0.0, 0.0},
                                          {"broadcast", "broadcast desk", 2, false, 0.0, 0.0}};
  Plant* const p = &w->plant;
  Box* const boxes = arena_array(&w->arena, MAX_BOXES, sizeof(Box));
  Line* const lines = arena_array(&w->arena, MAX_BOXES * MAX_SOCKETS, sizeof(Line));
  double* const walk = arena_array(&w->arena, 36, sizeof(double));
  p->boxes = boxes;
  p->lines = lines;
  p->n_boxes = 1 + rng_below(&w->rng, MAX_BOXES);
  p->n_lines = 0;
  memcpy(p->desks, desks, sizeof(desks));
  p->n_desks = 1 + rng_below(&w->rng, PLANT_DESKS);
  for (int b = 0; b < p->n_boxes; ++b) {
    boxes[b] = (Box){.name = box_names[b],
                     .meaning = "",
                     .place = 3 + b,
                     .n_sockets = 3 + rng_below(&w->rng, MAX_SOCKETS - 2),
                     .first_line = p->n_lines + 1,
                     .tail_m = chance(w, 50) ? 10.0 : 20.0,
                     .tail_tag = "",
                     .clock = "",
                     .power = ""};
    if (chance(w, 40)) {
      boxes[b].is_digital = true;
      boxes[b].tail_m = 0.0;
      boxes[b].owner = rng_below(&w->rng, p->n_desks);
      boxes[b].n_leads = 1 + rng_below(&w->rng, 2);
      boxes[b].clock = "house desk";
      boxes[b].power = "stage mains";
    }
    for (int k = 1; k <= boxes[b].n_sockets; ++k) {
      Line* const l = &lines[p->n_lines++];
      const int pair = boxes[b].is_digital ? 0 : p->n_lines;
      *l = (Line){p->n_lines, b, k, pair, pair, {0}, false};
      for (int d = 0; d < p->n_desks; ++d) {
        l->desk_input[d] = d == 0 || chance(w, 80) ? p->n_lines : 0;
      }
    }
  }
  for (int i = 0; i < 36; ++i) {
    walk[i] = i % 7 ? 5.0 + rng_below(&w->rng, 90) : 0.0;
  }
  p->places = places;
  p->n_places = 6;
  p->walk_s = walk;
  p->split = (Split){.name = "S1",
                     .primary_ohm = 60.0,
                     .secondary_ohm = 60.0,
                     .primary_h = 5.0,
                     .is_blocked = chance(w, 50),
                     .is_lifted = true};
  p->multicore_m = 75.0;
}

static void
random_acts(Show* w)
{
  static const Act acts[] = {{"act1", "", "", ""}, {"act2", "", "", ""}};
  Plant* const p = &w->plant;
  Input* const inputs = arena_array(&w->arena, 2 * (size_t)p->n_lines, sizeof(Input));
  p->acts = acts;
  p->n_acts = 2;
  p->inputs = inputs;
  p->n_inputs = 0;
  for (int a = 0; a < 2; ++a) {
    for (int l = 0; l < p->n_lines; ++l) {
      if (chance(w, 70)) {
        const int kind = rng_below(&w->rng, p->n_kinds);
        inputs[p->n_inputs++] =
          (Input){.act = a,
                  .channel = l + 1,
                  .source = arena_format(&w->arena, "source %d of %d", l + 1, a + 1),
                  .kind = kind,
                  .wants_phantom = (Answer)rng_below(&w->rng, 3),
                  .stand = "",
                  .position = "",
                  .note = "",
                  .cable = "",
                  .line = l};
      }
    }
  }
  if (chance(w, 70)) {
    random_things(w, inputs, p->n_inputs);
  }
}

static void
random_kit_and_crew(Show* w)
{
  static const char* const names[] = {"lamp tester",
                                      "sender",
                                      "hand meter",
                                      "known-good vocal microphone",
                                      "spare microphone cable 10 m",
                                      "headphones",
                                      "spare network lead"};
  static const Person people[] = {{"house engineer", "tower", 0, 1},
                                  {"monitor engineer", "stage left", 2, 1},
                                  {"stage patch", "stage", 1, 2}};
  KitItem* const kit = arena_array(&w->arena, 7, sizeof(KitItem));
  Plant* const p = &w->plant;
  p->kit = kit;
  p->n_kit = 0;
  for (int i = 0; i < 7 && chance(w, 90); ++i) {
    if (chance(w, 75)) {
      kit[p->n_kit++] = (KitItem){names[i], rng_below(&w->rng, 3), 1};
    }
  }
  p->people = people;
  p->n_people = chance(w, 70) ? 3 : 0;
  p->desk_rows = NULL;
  p->n_desk_rows = 0;
}

static void
append(Show* w, FactKind kind, const FactBody* body)
{
  Error error = {0};
  Fact* const fact = &w->facts[w->n_facts];
  if (fact_make(&w->arena, kind, body, "2031-06-14T15:22:00Z", "", "", fact, &error) != STATUS_OK) {
    fail_msg("fact: %s", error.text);
  }
  fact->seq = (int64_t)++w->n_facts;
}

static void
random_reading(Show* w, int line)
{
  const Plant* const p = &w->plant;
  const Check check = {(CheckSort)rng_below(&w->rng, CHECK_COUNT), rng_below(&w->rng, p->n_desks)};
  FactBody body = {.line = p->lines[line].number,
                   .act = w->act >= 0 ? p->acts[w->act].name : "",
                   .at = chance(w, 30) ? "socket" : p->desks[check.desk].name};
  if (check.sort == CHECK_SWAP) {
    body.check = arena_format(&w->arena, "swap %s",
                              repair_word((RepairSort)(1 + rng_below(&w->rng, REPAIR_COUNT - 1))));
    body.reading = "same";
  } else {
    body.check = predict_check_word(check.sort);
    body.reading = predict_key_text(&w->arena, p, w->act, check, line, rng_below(&w->rng, 6));
    if (check.sort == CHECK_LAMPS) {
      body.reading = "GGG";
    } else if (check.sort == CHECK_SEEN && chance(w, 50)) {
      body.reading = arena_format(&w->arena, "on %d", 1 + rng_below(&w->rng, p->n_lines));
    } else if (strcmp(body.reading, "?") == 0) {
      return;
    }
  }
  append(w, FACT_READING, &body);
}

// Nobody can look at a desk now: what is left to advise are hands on stage.
static void
refuse_looks(Show* w, int line)
{
  static const CheckSort looks[] = {CHECK_LEVEL,    CHECK_TONE, CHECK_HUM,
                                    CHECK_POLARITY, CHECK_SEEN, CHECK_LOOK};
  for (int d = 0; d < w->plant.n_desks; ++d) {
    for (size_t i = 0; i < sizeof(looks) / sizeof(looks[0]); ++i) {
      const FactBody body = {.line = w->plant.lines[line].number,
                             .why = "cannot",
                             .step =
                               arena_format(&w->arena, "%s at %s", predict_check_word(looks[i]),
                                            w->plant.desks[d].name)};
      append(w, FACT_STEP_REFUSED, &body);
    }
  }
}

static void
random_show(Show* w, const Plant* base, uint64_t seed)
{
  memset(w, 0, sizeof(*w));
  arena_init(&w->arena, NULL);
  rng_init(&w->rng, seed);
  w->seed = seed;
  w->plant = *base;
  random_kinds(w, base);
  random_stage(w);
  random_acts(w);
  random_kit_and_crew(w);
  w->act = chance(w, 90) ? rng_below(&w->rng, 2) : -1;
  const int line = w->line = rng_below(&w->rng, w->plant.n_lines);
  for (int i = rng_below(&w->rng, 6); i > 0; --i) {
    random_reading(w, chance(w, 75) ? line : rng_below(&w->rng, w->plant.n_lines));
  }
  for (int i = chance(w, 40) ? 2 : 0; i > 0; --i) {
    const Line* const from = &w->plant.lines[rng_below(&w->rng, w->plant.n_lines)];
    const Line* const to = &w->plant.lines[rng_below(&w->rng, w->plant.n_lines)];
    const FactBody body = {
      .line = from->number,
      .act = w->act >= 0 ? w->plant.acts[w->act].name : "",
      .way = arena_format(&w->arena, "%s%d", w->plant.boxes[to->box].name, to->socket)};
    append(w, FACT_MOVED, &body);
  }
  if (chance(w, 70)) {
    refuse_looks(w, line);
  }
  Fold* const fold = arena_array(&w->arena, 1, sizeof(Fold));
  Situation* s = NULL;
  Error error = {0};
  assert_int_equal(fold_make(&w->arena, w->facts, w->n_facts, fold, &error), STATUS_OK);
  assert_int_equal(situation_new(&w->arena, &w->plant, w->act, fold, &s), STATUS_OK);
  w->s = s;
}

// ---- The rule ----

static const Kind*
kind_at(const Show* w, int line)
{
  const Input* const input = plant_input(&w->plant, w->act, line);
  return input ? &w->plant.kinds[input->kind] : NULL;
}

static bool
kind_hurts(const Kind* k)
{
  return k && (k->is_ribbon || k->needs_ab || k->drive == DRIVE_UNBALANCED ||
               k->phantom_harmless != ANSWER_YES);
}

static bool
hangs_hurt(const Show* w, int line)
{
  const Input* const in = plant_input(&w->plant, w->act, line);
  bool hurt = kind_hurts(kind_at(w, line));
  for (int i = 0; in && i < in->n_through; ++i) {
    hurt = hurt || w->plant.inlines[in->through[i]].sort == INLINE_JOINED;
  }
  return hurt || (in && in->y_kind && kind_hurts(&w->plant.kinds[in->y_kind - 1]));
}

// Whatever phantom on this line can reach: its source, what hangs beside it on a Y-lead, what hangs
// on the other line of one.
static bool
hurts(const Show* w, int line)
{
  const Input* const in = plant_input(&w->plant, w->act, line);
  const int other = in && in->y_line ? plant_line(&w->plant, in->y_line) : -1;
  return hangs_hurt(w, line) || (other >= 0 && hangs_hurt(w, other));
}

// Patched one hole off at a stage panel, a source of another line through it sits in this socket.
static bool
share_a_panel(const Show* w, int line, int other)
{
  const Input* const a = plant_input(&w->plant, w->act, line);
  const Input* const b = plant_input(&w->plant, w->act, other);
  for (int i = 0; a && b && i < a->n_through; ++i) {
    for (int k = 0; k < b->n_through; ++k) {
      if (a->through[i] == b->through[k] && w->plant.inlines[a->through[i]].sort == INLINE_PANEL) {
        return true;
      }
    }
  }
  return false;
}

// The socket a source's plug is in: its own, or the free one it was moved to.
static int
sits_at(const Show* w, int line)
{
  const int to = w->s->moved_to[line];
  return to < 0 || kind_at(w, to) ? line : to;
}

static const char*
socket_text(Show* w, int line)
{
  const Line* const l = &w->plant.lines[line];
  return arena_format(&w->arena, "%s%d", w->plant.boxes[l->box].name, l->socket);
}

// Whether a sentence names a socket: "A1" but not the start of "A10".
static bool
names(const char* say, const char* socket)
{
  const size_t n = strlen(socket);
  for (const char* at = strstr(say, socket); at; at = strstr(at + 1, socket)) {
    if (!(at[n] >= '0' && at[n] <= '9')) {
      return true;
    }
  }
  return false;
}

static void
broken(const Show* w, const Step* step, const char* law)
{
  fail_msg("seed %llu, act %d, line %d, %s: %s\n  say: %s\n  caution: %s",
           (unsigned long long)w->seed, w->act, w->plant.lines[step->line].number, step->check_word,
           law, step->say, step->caution);
}

// Odds that the plug of another line sits in this one's socket.
static double
odds_here(Show* w, int line, int other)
{
  const Suspect* list = NULL;
  int n = 0;
  double sum = 0.0;
  assert_int_equal(situation_suspects(w->s, &w->arena, line, &list, &n), STATUS_OK);
  for (int i = 0; i < n; ++i) {
    for (int k = 0; list[i].state && k < list[i].state->n_touches; ++k) {
      const SharedTouch* const t = &list[i].state->touches[k];
      sum += t->line == line && t->plugged == other ? list[i].prob : 0.0;
    }
  }
  return sum;
}

static void
must_unplug(Show* w, const Step* step, int line)
{
  bool listed = false;
  for (int i = 0; i < step->n_unplug; ++i) {
    listed = listed || step->unplug[i] == line;
  }
  if (!listed) {
    broken(w, step, "phantom can reach a source that must not get it");
  }
  if (!names(step->caution, socket_text(w, sits_at(w, line))) ||
      !strstr(step->caution, "Unplug ")) {
    broken(w, step, "the caution does not say which plug to pull");
  }
}

static bool
phantom_goes_on(const Step* step)
{
  return (step->does == STEP_CHECK &&
          (step->check.sort == CHECK_VOLTS || step->check.sort == CHECK_LAMPS)) ||
         (step->does == STEP_REPAIR && strstr(step->say, "hantom on"));
}

static void
check_phantom(Show* w, const Step* step)
{
  const Plant* const p = &w->plant;
  const bool look_only = step->does == STEP_REPAIR; // Whoever mends a desk knows the plug, mostly
  const Box* const box = &p->boxes[p->lines[step->line].box];
  if (step->does == STEP_REPAIR &&
      !(box->is_digital ? box->owner == step->desk : p->desks[step->desk].is_direct)) {
    broken(w, step, "this desk gives no phantom");
  }
  for (int l = 0; l < p->n_lines; ++l) {
    if (!hurts(w, l)) {
      continue;
    }
    if (l != step->line && share_a_panel(w, step->line, l) &&
        (step->does == STEP_REPAIR || step->check.sort == CHECK_VOLTS)) {
      broken(w, step, "phantom goes on behind a panel that may bring what must not get it");
    }
    if (l == step->line) {
      if (step->does == STEP_REPAIR || step->check.sort == CHECK_VOLTS) {
        broken(w, step, "phantom goes on with a source plugged that must not get it");
      }
      must_unplug(w, step, l);
    } else if (sits_at(w, l) == step->line ||
               (look_only ? odds_here(w, step->line, l) > 2e-3
                          : p->lines[sits_at(w, l)].box == p->lines[step->line].box)) {
      must_unplug(w, step, l);
    }
  }
}

static bool
is_of_box(const Step* step)
{
  return step->does == STEP_REPAIR &&
         (step->repair == REPAIR_LEAD || step->repair == REPAIR_POWER ||
          step->repair == REPAIR_CLOCK || step->repair == REPAIR_OWNER);
}

static void
check_box(Show* w, const Step* step)
{
  const int box = w->plant.lines[step->line].box;
  if (!w->plant.boxes[box].is_digital) {
    broken(w, step, "this box has no network, clock or owner");
  }
  if (!strstr(step->caution,
              arena_format(&w->arena, "Mute all lines of box %s", w->plant.boxes[box].name))) {
    broken(w, step, "the whole box is not muted");
  }
  const bool all = strstr(step->caution, "every source of") != NULL;
  for (int l = 0; l < w->plant.n_lines && step->repair != REPAIR_CLOCK && !all; ++l) {
    if (!hurts(w, l) || w->plant.lines[sits_at(w, l)].box != box) {
      continue;
    }
    if (step->repair != REPAIR_LEAD) {
      must_unplug(w, step, l);
    } else if (!strstr(step->caution, "phantom is set off for") ||
               !names(step->caution, socket_text(w, sits_at(w, l)))) {
      broken(w, step, "nobody looks at the phantom of a source that must not get it");
    }
  }
}

static void
check_meter(Show* w, const Step* step)
{
  for (int l = 0; l < w->plant.n_lines; ++l) {
    if (hurts(w, l) && (l == step->line || share_a_panel(w, step->line, l) ||
                        w->plant.lines[sits_at(w, l)].box == w->plant.lines[step->line].box)) {
      broken(w, step, "a meter's current may flow through what must not have it");
    }
  }
  const Input* const in = plant_input(&w->plant, w->act, step->line);
  if (in && in->y_line) {
    broken(w, step, "a meter on a Y-lead meets the phantom of the other line");
  }
}

// A sender's current must find nothing but the cable: out at both ends, and a ribbon's cable only
// after phantom is off and 5 s have gone by.
static void
check_sender(Show* w, const Step* step)
{
  if (!strstr(step->say, "out at both ends") || !strstr(step->say, "nothing else on it")) {
    broken(w, step, "a sender's current may flow through more than the cable");
  }
  const Kind* const kind = kind_at(w, step->line);
  if (hurts(w, step->line) && !strstr(step->caution, "hantom")) {
    broken(w, step, "the cable of what must not get phantom is touched and nobody is told");
  }
  if (kind && kind->is_ribbon && !strstr(step->caution, "5 s")) {
    broken(w, step, "a ribbon's cable is pulled without the wait");
  }
}

static bool
touches_plugs(const Step* step)
{
  if (step->does == STEP_CHECK) {
    switch (step->check.sort) {
      case CHECK_VOLTS:
      case CHECK_LAMPS:
      case CHECK_OHMS:
      case CHECK_FLEX:
      case CHECK_SENT:
      case CHECK_HUNT:
      case CHECK_CRACKLE:
        return true;
      default:
        return false;
    }
  }
  return step->repair != REPAIR_DESK && step->repair != REPAIR_SIDE;
}

static bool
says_mute(const char* caution)
{
  return (strstr(caution, "Mute ") || strstr(caution, "mute ")) && strstr(caution, "every desk") &&
         strstr(caution, "in-ears") && strstr(caution, "headphones");
}

static void
check_mute(Show* w, const Step* step)
{
  if (!step->needs_mute || !says_mute(step->caution)) {
    broken(w, step, "no mute");
  }
  const Line* const own = &w->plant.lines[step->line];
  const bool named =
    names(step->caution, arena_format(&w->arena, "line %d", own->number)) ||
    names(step->caution, socket_text(w, step->line)) ||
    strstr(step->caution, arena_format(&w->arena, "of box %s", w->plant.boxes[own->box].name));
  if (!named) {
    broken(w, step, "the mute does not name the line");
  }
  if (step->does != STEP_REPAIR || step->repair == REPAIR_TAIL || is_of_box(step)) {
    return;
  }
  for (int l = 0; l < w->plant.n_lines; ++l) { // Every socket a plug leaves or goes to
    if (l == step->line || !names(step->say, socket_text(w, l))) {
      continue;
    }
    if (!names(step->caution, socket_text(w, l))) {
      broken(w, step, "a second plug is moved and its line not muted");
    }
    if (hurts(w, l) && !strstr(step->caution, "hantom")) {
      broken(w, step, "the other plug must not meet phantom and nobody is told");
    }
  }
  if (touches_plugs(step) && step->repair != REPAIR_SWITCH && hurts(w, step->line) &&
      !strstr(step->caution, "hantom")) {
    broken(w, step, "plugging what must not get phantom, and nobody is told");
  }
  const Kind* const kind = kind_at(w, step->line);
  if (kind && kind->is_ribbon && !strstr(step->caution, "5 s") && step->repair != REPAIR_INPUT &&
      step->repair != REPAIR_SWITCH) {
    broken(w, step, "a ribbon is plugged without the wait");
  }
}

static bool
has(const Show* w, const char* item)
{
  int n = 0;
  for (int i = 0; i < w->plant.n_kit; ++i) {
    n += strncmp(w->plant.kit[i].name, item, strlen(item)) == 0 ? w->plant.kit[i].count : 0;
  }
  return n > 0;
}

static void
check_kit(const Show* w, const Step* step)
{
  const char* needs = NULL;
  if (step->does == STEP_CHECK) {
    needs = step->check.sort == CHECK_VOLTS || step->check.sort == CHECK_OHMS ? "hand meter"
            : step->check.sort == CHECK_LAMPS || step->check.sort == CHECK_FLEX ||
                step->check.sort == CHECK_SENT
              ? "lamp tester"
            : step->check.sort == CHECK_HUNT ? "known-good"
                                             : NULL;
  } else if (step->repair == REPAIR_CABLE && w->plant.n_kit > 0) {
    needs = "spare microphone cable";
  } else if (strstr(step->say, "spare lead")) {
    needs = "spare network lead";
  }
  if (step->does == STEP_CHECK && step->check.sort == CHECK_BOX &&
      !w->plant.boxes[w->plant.lines[step->line].box].is_digital) {
    broken(w, step, "this box has no lamps");
  }
  if (step->does == STEP_CHECK && step->check.sort == CHECK_SENT && !has(w, "sender")) {
    broken(w, step, "there is no sender");
  }
  if (needs && !has(w, needs)) {
    broken(w, step, "needs kit that is not there");
  }
}

static void
check_advice(Show* w, int line, Tally* tally)
{
  const NextOptions options = {.deadline_s = chance(w, 30) ? 300.0 : 0.0,
                               .nobody_answers = chance(w, 30),
                               .home_desk = rng_below(&w->rng, w->plant.n_desks)};
  NextAdvice advice = {0};
  assert_int_equal(next_advise(w->s, &w->arena, line, &options, &advice), STATUS_OK);
  for (int i = 0; i < advice.n_steps; ++i) {
    const Step* const step = &advice.steps[i];
    assert_int_equal(step->line, line);
    if (strchr(step->say, '?') != strrchr(step->say, '?') || strchr(step->caution, '?')) {
      broken(w, step, "a gap was left open");
    }
    ++*(step->does == STEP_CHECK ? &tally->by_check[step->check.sort]
                                 : &tally->by_repair[step->repair]);
    ++tally->n_steps;
    check_kit(w, step);
    if (phantom_goes_on(step)) {
      ++tally->n_phantom;
      tally->n_unplugged += step->n_unplug > 0;
      check_phantom(w, step);
    }
    if (is_of_box(step)) {
      check_box(w, step);
    }
    if (step->does == STEP_CHECK && step->check.sort == CHECK_OHMS) {
      check_meter(w, step);
    }
    if (step->does == STEP_CHECK && step->check.sort == CHECK_SENT) {
      check_sender(w, step);
    }
    if (touches_plugs(step) || phantom_goes_on(step) || strstr(step->say, "hantom off")) {
      ++tally->n_plugging;
      check_mute(w, step);
    }
  }
  const AroundWay* ways = NULL;
  int n = 0;
  assert_int_equal(around_ways(w->s, &w->arena, line, &ways, &n), STATUS_OK);
  for (int i = 0; i < n; ++i) {
    const bool told = !hurts(w, line) || strstr(ways[i].caution, "hantom off") ||
                      strstr(ways[i].caution, "phantom is set off for every source");
    if (!says_mute(ways[i].caution) || !names(ways[i].caution, ways[i].way) || !told) {
      fail_msg("seed %llu: way round \"%s\" with \"%s\"", (unsigned long long)w->seed, ways[i].say,
               ways[i].caution);
    }
  }
}

static void
no_step_hurts_anything(void** state)
{
  (void)state;
  const char* const from = getenv("LINEWALK_SEED");
  const uint64_t seed = from ? strtoull(from, NULL, 0) : 20310614u;
  const int n_shows = getenv("LINEWALK_LONG") ? 10000 : 200;
  printf("seed %llu, %d shows\n", (unsigned long long)seed, n_shows);
  Arena arena;
  arena_init(&arena, NULL);
  Plant base;
  Error error = {0};
  assert_int_equal(lists_build(&arena, NULL, 0, 4, &base, &error), STATUS_OK);
  Tally tally = {0};
  for (int i = 0; i < n_shows; ++i) {
    Show w;
    random_show(&w, &base, seed + (uint64_t)i);
    check_advice(&w, w.line, &tally);
    check_advice(&w, rng_below(&w.rng, w.plant.n_lines), &tally);
    arena_deinit(&w.arena);
  }
  arena_deinit(&arena);
  printf("%ld steps; phantom goes on in %ld, %ld of them after unplugging; mute in %ld\n",
         tally.n_steps, tally.n_phantom, tally.n_unplugged, tally.n_plugging);
  for (int i = 0; i < CHECK_COUNT; ++i) {
    printf("%s %ld  ", predict_check_word((CheckSort)i), tally.by_check[i]);
  }
  for (int i = 1; i < REPAIR_COUNT; ++i) {
    printf("swap %s %ld  ", repair_word((RepairSort)i), tally.by_repair[i]);
  }
  printf("\n");
  assert_true(tally.n_unplugged > 0); // The law was put to the test
  assert_true(tally.by_check[CHECK_SENT] > 0 && tally.by_check[CHECK_VOLTS] > 0 &&
              tally.by_check[CHECK_LAMPS] > 0 && tally.by_repair[REPAIR_DESK] > 0 &&
              tally.by_repair[REPAIR_PLUG] > 0 && tally.by_check[CHECK_BOX] > 0 &&
              tally.by_repair[REPAIR_LEAD] > 0 && tally.by_repair[REPAIR_POWER] > 0 &&
              tally.by_repair[REPAIR_CLOCK] > 0 && tally.by_repair[REPAIR_OWNER] > 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(no_step_hurts_anything),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
