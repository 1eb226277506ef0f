// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/change.h"

#include "base/text.h"
#include "day/change_desk.h"
#include "day/crew.h"
#include "day/words.h"
#include "fault/paper.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/*
  plugged (what is where) -> allot (what belongs where) -> hands (who, in which order) -> steps.

  The hands own sockets by the plan as it was when nothing was told and nothing was taped off; with
  that the list of one person stays theirs while others tick.
*/

typedef struct {
  Arena* arena;
  const Plant* plant;
  const Fold* fold;
  const ChangeOptions* options;
  Change out;
  int n_hands;
  int start[HANDS_MAX]; ///< Where they are now
  int home[HANDS_MAX];  ///< Where they began
  int* owner;           ///< [n_lines]
  bool is_fresh;        ///< Plugged and sockets are those of the begin
  HandPlan plan;
  ChangePerson* people;
  ChangeStep* steps;
  int n_room;
  int* step_of_hand;              ///< [plan.n_steps] index in steps
  const int* number[PLANT_DESKS]; ///< [n_lines] channel of a line at a desk in the act before
  const int* number_after[PLANT_DESKS];
  bool* hot; ///< [n_lines] a plug of it is touched, or it is called otherwise
  const ChangeChannel* channels[PLANT_DESKS]; ///< [n_channels] what the desk sets
  int n_channels[PLANT_DESKS];
  int* lists; ///< Room for lists of numbers
  int n_lists, n_lists_room;
} Build;

// ---- Words on the wire ----

const char*
change_word(ChangeDo does)
{
  static const char* const words[] = {"keep", "move", "strike", "plug"};
  return (unsigned)does < 4 ? words[does] : "unknown";
}

const char*
change_does_word(ChangeDoes does)
{
  static const char* const words[] = {"mute", "phantom off", "strike", "move",
                                      "plug", "hold",        "patch",  "phantom on"};
  return (unsigned)does < 8 ? words[does] : "unknown";
}

const char*
change_ranges(Arena* arena, const int numbers[], int n)
{
  TextOut out = {.arena = arena};
  for (int i = 0; i < n;) {
    int last = i;
    while (last + 1 < n && numbers[last + 1] == numbers[last] + 1) {
      ++last;
    }
    const bool is_end = last + 1 == n;
    text_add(&out, i == 0 ? "%d" : is_end ? " and %d" : ", %d", numbers[i]);
    if (last > i) {
      text_add(&out, last == i + 1 && false ? "" : "-%d", numbers[last]);
    }
    i = last + 1;
  }
  return text_done(&out);
}

static int
by_value(const void* a, const void* b)
{
  return *(const int*)a - *(const int*)b;
}

// "channel 5", "channels 1-4 and 9" of lines at a desk.
static const char*
channels_say(Build* b, const int lines[], int n, const int* number)
{
  int* const at = arena_array(b->arena, (size_t)n, sizeof(int));
  if (!at) {
    return NULL;
  }
  for (int i = 0; i < n; ++i) {
    at[i] = number[lines[i]];
  }
  qsort(at, (size_t)n, sizeof(int), by_value);
  const char* const ranges = change_ranges(b->arena, at, n);
  return ranges ? arena_format(b->arena, "channel%s %s", n == 1 ? "" : "s", ranges) : NULL;
}

static const char*
act_name(const Build* b)
{
  return b->out.to < 0 ? "bare lines" : b->plant->acts[b->out.to].name;
}

// ---- Who ----

static bool
has_word(const char* text, const char* word)
{
  const size_t n = strlen(word);
  for (const char* at = text; *at; ++at) {
    if (strncasecmp(at, word, n) == 0) {
      return true;
    }
  }
  return false;
}

static bool
is_of_desk(const Plant* plant, int place)
{
  for (int d = 0; d < plant->n_desks; ++d) {
    if (plant->desks[d].place == place) {
      return true;
    }
  }
  return false;
}

// The hands of the stage: by what the crew list calls them, else whoever belongs to no desk.
static Status
find_hands(Build* b, const Crew* crew)
{
  const Plant* const plant = b->plant;
  const int most = b->options->n_hands > 0 ? b->options->n_hands : HANDS_MAX;
  for (int pass = 0; pass < 2 && b->n_hands == 0; ++pass) {
    for (int i = 0; i < crew->n_people && b->n_hands < most && b->n_hands < HANDS_MAX; ++i) {
      const NextPerson* const who = &crew->people[i];
      const bool named = has_word(who->role, "hand") || has_word(who->role, "patch");
      if (pass == 0 ? named : !is_of_desk(plant, who->home) && !has_word(who->role, "manager")) {
        b->home[b->n_hands] = who->home;
        b->people[b->n_hands++] = (ChangePerson){.role = who->role, .desk = -1};
      }
    }
  }
  while (b->n_hands < (b->options->n_hands > 0 ? b->options->n_hands : 1) &&
         b->n_hands < HANDS_MAX) {
    b->home[b->n_hands] = plant->n_boxes > 0 ? plant->boxes[0].place : 0;
    b->people[b->n_hands++] = (ChangePerson){.role = "whoever is on stage", .desk = -1};
  }
  for (int i = 0; i < b->n_hands; ++i) {
    int nth = 1;
    int n_same = 1;
    for (int k = 0; k < b->n_hands; ++k) {
      const bool same = k != i && text_same(b->people[k].role, b->people[i].role);
      nth += same && k < i;
      n_same += same;
    }
    b->people[i].name =
      n_same == 1 ? b->people[i].role : arena_format(b->arena, "%s %d", b->people[i].role, nth);
    if (!b->people[i].name) {
      return STATUS_NO_MEMORY;
    }
  }
  b->out.n_people = b->n_hands;
  return STATUS_OK;
}

static Status
find_desks(Build* b, const Crew* crew)
{
  const Plant* const plant = b->plant;
  for (int d = 0; d < plant->n_desks; ++d) {
    const char* role = NULL;
    for (int i = 0; i < crew->n_people && !role; ++i) {
      role = crew->people[i].home == plant->desks[d].place ? crew->people[i].role : NULL;
    }
    role = role ? role : arena_format(b->arena, "whoever is at the %s", plant->desks[d].say);
    if (!role) {
      return STATUS_NO_MEMORY;
    }
    b->people[b->out.n_people++] =
      (ChangePerson){.role = role, .name = role, .place = plant->desks[d].place, .desk = d};
  }
  return STATUS_OK;
}

// Whose sockets are whose: the plan before anything was told.
static Status
find_owners(Build* b)
{
  const Plant* const plant = b->plant;
  const AllotOptions allot = {.is_free = b->options->is_free, .ignores_tape = true};
  Plugged first;
  Allotment sockets;
  const size_t n_bytes = (size_t)plant->n_lines * sizeof(int);
  HandStep* steps = NULL;
  HandPlan plan;
  int n = 0;
  int n_units = 0;
  Status st;
  TRY(st, plugged_now(b->arena, plant, b->fold, b->out.from, b->out.to, &first));
  TRY(st, allot_sockets(b->arena, plant, b->fold,
                        &(Plugged){.from = first.from,
                                   .to = first.to,
                                   .plugs = first.plugs,
                                   .n_plugs = first.n_plugs,
                                   .before = first.before,
                                   .now = first.before,
                                   .before_at = first.before_at,
                                   .now_at = first.before_at},
                        &allot, &sockets));
  // Nothing told, nothing taped off: that is also how things stand
  b->is_fresh =
    memcmp(first.before, first.now, n_bytes) == 0 && (!b->fold || b->fold->taped_off.n_facts == 0);
  b->out.plugged = first;
  b->out.allotment = sockets;
  TRY(st, hands_steps(b->arena, plant, first.before, first.before_at, sockets.target,
                      sockets.target_at, &steps, &n, &n_units));
  TRY(st, hands_plan(b->arena, plant, b->home, b->n_hands, NULL, steps, n, n_units, &plan));
  b->owner = arena_array(b->arena, (size_t)plant->n_lines, sizeof(int));
  if (!b->owner) {
    return STATUS_NO_MEMORY;
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    b->owner[l] = -1;
  }
  for (int i = 0; i < n; ++i) {
    b->owner[steps[i].line] = steps[i].hand;
  }
  return STATUS_OK;
}

// Whoever told of a socket stands at its box.
static void
find_places(Build* b)
{
  int64_t newest[HANDS_MAX] = {0};
  for (int h = 0; h < b->n_hands; ++h) {
    b->start[h] = b->home[h];
  }
  for (int l = 0; l < b->plant->n_lines; ++l) {
    const FoldFact* const f = b->out.plugged.told[l];
    const int hand = f ? b->owner[l] : -1;
    if (hand >= 0 && f->fact.seq >= newest[hand]) {
      newest[hand] = f->fact.seq;
      b->start[hand] = b->plant->boxes[b->plant->lines[l].box].place;
    }
  }
  for (int h = 0; h < b->n_hands; ++h) {
    b->people[h].place = b->start[h];
  }
}

// ---- Steps ----

static int*
room_for(Build* b, int n)
{
  return arena_array(b->arena, (size_t)n + 1, sizeof(int));
}

static ChangeStep*
add_step(Build* b, ChangeDoes does, int person)
{
  ChangeStep* const step = &b->steps[b->out.n_steps++];
  *step = (ChangeStep){.does = does,
                       .person = person,
                       .place = b->people[person].place,
                       .desk = b->people[person].desk,
                       .line = -1,
                       .box = -1,
                       .plug = -1,
                       .from = -1,
                       .caution = ""};
  return step;
}

static const Input*
input_here(const Build* b, int plug)
{
  const Plug* const p = plug >= 0 ? &b->out.plugged.plugs[plug] : NULL;
  return p ? (p->next ? p->next : p->was) : NULL;
}

// What must never get phantom among what is in a socket now and what belongs there.
static const Input*
harmful_at(const Build* b, int line)
{
  const Input* const here = input_here(b, b->out.plugged.now[line]);
  const Input* const next = input_here(b, b->out.allotment.target[line]);
  return plant_is_harmful(b->plant, next) ? next : plant_is_harmful(b->plant, here) ? here : NULL;
}

static bool
wants_phantom(const Plant* plant, const Input* input)
{
  return input && !plant_is_harmful(plant, input) &&
         (paper_needs_phantom(plant, input) || input->wants_phantom == ANSWER_YES);
}

static bool
is_touched(const Build* b, int line)
{
  return b->out.plugged.now[line] != b->out.allotment.target[line];
}

static void
find_hot(Build* b)
{
  for (int l = 0; l < b->plant->n_lines; ++l) {
    const int here = b->out.plugged.before[l];
    const Plug* const plug = here >= 0 ? &b->out.plugged.plugs[here] : NULL;
    const bool renamed = plug && b->out.allotment.target[l] == here && plug->was && plug->next &&
                         !text_same(plug->was->source, plug->next->source);
    b->hot[l] = is_touched(b, l) || b->out.plugged.told[l] || renamed;
  }
}

typedef bool (*Wants)(const Build* b, int desk, int line, bool is_done);

static bool
wants_mute(const Build* b, int desk, int line, bool is_done)
{
  bool sets = false;
  for (int i = 0; i < b->n_channels[desk]; ++i) {
    sets = sets || b->channels[desk][i].line == line;
  }
  return (b->hot[line] || sets) &&
         !b->out.plugged.muted[desk * b->plant->n_lines + line] == !is_done;
}

static bool
wants_off(const Build* b, int desk, int line, bool is_done)
{
  const FoldFact* const told = b->out.plugged.fed_by[line];
  if (plant_phantom_desk(b->plant, line) != desk) {
    return false;
  }
  return is_done
           ? told && !b->out.plugged.fed[line] && b->hot[line]
           : is_touched(b, line) && (b->out.plugged.fed[line] || (harmful_at(b, line) && !told));
}

// The harmful sources of lines, "section left and section right"; NULL = none, "" = no memory.
static const char*
harmful_say(Build* b, const int lines[], int n)
{
  TextOut out = {.arena = b->arena};
  int n_found = 0;
  int n_said = 0;
  for (int i = 0; i < n; ++i) {
    n_found += harmful_at(b, lines[i]) != NULL;
  }
  for (int i = 0; i < n; ++i) {
    const Input* const input = harmful_at(b, lines[i]);
    if (input) {
      ++n_said;
      text_add(&out, "%s%s", n_said == 1 ? "" : n_said == n_found ? " and " : ", ", input->source);
    }
  }
  const char* const text = text_done(&out);
  return n_found == 0 ? NULL : text ? text : "";
}

static const Fact*
newest_of(const Build* b, ChangeDoes does, int desk, const int lines[], int n)
{
  const FoldFact* newest = NULL;
  const int n_lines = b->plant->n_lines;
  for (int i = 0; i < n; ++i) {
    const FoldFact* const f =
      does == CHANGE_DOES_MUTE    ? b->out.plugged.muted[desk * n_lines + lines[i]]
      : does == CHANGE_DOES_PATCH ? b->out.plugged.patched[desk * n_lines + lines[i]]
                                  : b->out.plugged.fed_by[lines[i]];
    newest = f && (!newest || f->fact.seq > newest->fact.seq) ? f : newest;
  }
  return newest ? &newest->fact : NULL;
}

static const char*
key_of(Build* b, ChangeDoes does, int desk, int box, bool is_done)
{
  return arena_format(b->arena, "%s %s%s%s%s", change_does_word(does), b->plant->desks[desk].name,
                      box >= 0 ? " " : "", box >= 0 ? b->plant->boxes[box].name : "",
                      is_done ? " done" : "");
}

static bool
has_text(const ChangeStep* step)
{
  return step->key && step->say && step->why && step->caution;
}

static void
depend(ChangeStep* step, int* after, int on)
{
  for (int i = 0; i < step->n_after; ++i) {
    if (after[i] == on) {
      return;
    }
  }
  after[step->n_after++] = on;
}

static bool
is_gate(const ChangeStep* step)
{
  return !step->is_done && (step->does == CHANGE_DOES_MUTE || step->does == CHANGE_DOES_OFF);
}

static bool
is_for(const ChangeStep* step, int line)
{
  for (int i = 0; i < step->n_lines; ++i) {
    if (step->lines[i] == line) {
      return true;
    }
  }
  return false;
}

// Phantom is not touched before every desk that has one of the lines is muted.
static Status
wait_for_mutes(Build* b, ChangeStep* step)
{
  int* const after = room_for(b, b->out.n_steps);
  if (!after) {
    return STATUS_NO_MEMORY;
  }
  step->after = after;
  for (int i = 0; step->does == CHANGE_DOES_OFF && i < b->out.n_steps; ++i) {
    const ChangeStep* const other = &b->steps[i];
    for (int k = 0; k < step->n_lines; ++k) {
      if (is_gate(other) && other->does == CHANGE_DOES_MUTE && is_for(other, step->lines[k])) {
        depend(step, after, i);
      }
    }
  }
  return STATUS_OK;
}

// Muting and phantom off: one step for what is left, one for what is done.
static Status
add_gate(Build* b, int desk, ChangeDoes does, Wants wants)
{
  for (int pass = 0; pass < 2; ++pass) {
    const bool is_done = pass == 0;
    int* const lines = room_for(b, b->plant->n_lines);
    int n = 0;
    if (!lines) {
      return STATUS_NO_MEMORY;
    }
    for (int l = 0; l < b->plant->n_lines; ++l) {
      if (b->plant->lines[l].desk_input[desk] > 0 && wants(b, desk, l, is_done)) {
        lines[n++] = l;
      }
    }
    if (n == 0) {
      continue;
    }
    const char* const harmful = harmful_say(b, lines, n);
    if (harmful && !harmful[0]) {
      return STATUS_NO_MEMORY;
    }
    const WordsFill fill = {.desk = b->plant->desks[desk].say,
                            .input = channels_say(b, lines, n, b->number[desk]),
                            .unplug = harmful};
    ChangeStep* const step = add_step(b, does, b->n_hands + desk);
    const bool is_mute = does == CHANGE_DOES_MUTE;
    step->key = key_of(b, does, desk, -1, is_done);
    step->say = words_say(b->arena, is_mute ? WORDS_CHANGE_MUTE : WORDS_CHANGE_OFF, &fill);
    step->why = words_say(b->arena,
                          is_mute   ? WORDS_CHANGE_WHY_MUTE
                          : harmful ? WORDS_CHANGE_WHY_LOOK
                                    : WORDS_CHANGE_WHY_OFF,
                          &fill);
    step->caution = is_mute ? "" : words_say(b->arena, WORDS_CHANGE_CAUTION_MUTED, &fill);
    step->lines = lines;
    step->n_lines = n;
    step->seconds = is_mute ? CHANGE_MUTE_S : CHANGE_PHANTOM_S * n + CHANGE_WAIT_S;
    step->is_done = is_done;
    step->done_by = is_done ? newest_of(b, does, desk, lines, n) : NULL;
    if (!fill.input || !has_text(step) || wait_for_mutes(b, step) != STATUS_OK) {
      return STATUS_NO_MEMORY;
    }
  }
  return STATUS_OK;
}

// ---- Steps of the hands ----

static Sentence
hand_sentence(const HandStep* h, ChangeDoes* does)
{
  static const ChangeDoes all[] = {[HAND_STRIKE] = CHANGE_DOES_STRIKE,
                                   [HAND_PLUG] = CHANGE_DOES_PLUG,
                                   [HAND_MOVE] = CHANGE_DOES_MOVE,
                                   [HAND_HOLD] = CHANGE_DOES_HOLD};
  const bool is_in = h->does == HAND_PLUG && h->from >= 0;
  *does = all[h->does];
  switch (h->does) {
    case HAND_STRIKE:
      return WORDS_CHANGE_STRIKE;
    case HAND_HOLD:
      return WORDS_CHANGE_HOLD;
    case HAND_MOVE:
      return h->out >= 0 ? WORDS_CHANGE_MOVE_OVER : WORDS_CHANGE_MOVE;
    case HAND_PLUG:
      break;
  }
  return is_in ? (h->out >= 0 ? WORDS_CHANGE_IN_OVER : WORDS_CHANGE_IN)
               : (h->out >= 0 ? WORDS_CHANGE_OVER : WORDS_CHANGE_PLUG);
}

static const char*
why_plug(Build* b, int plug, int line, const WordsFill* fill)
{
  const Plug* const p = &b->out.plugged.plugs[plug];
  const int listed = p->leg == 0 ? p->next->line : plant_line(b->plant, p->next->y_line);
  const AllotWhy why = b->out.allotment.why[plug];
  WordsFill own = *fill;
  own.found = listed >= 0 ? b->out.allotment.taped[listed] : NULL;
  (void)line;
  return words_say(b->arena,
                   why == ALLOT_LISTED                 ? WORDS_CHANGE_WHY_LISTED
                   : why == ALLOT_INSTEAD && own.found ? WORDS_CHANGE_WHY_INSTEAD
                                                       : WORDS_CHANGE_WHY_CHOSEN,
                   &own);
}

static Status
word_hand(Build* b, ChangeStep* step, const HandStep* h)
{
  const Plant* const plant = b->plant;
  const int desk = plant_phantom_desk(plant, h->line);
  const Input* const harmful = harmful_at(b, h->line);
  const bool off = b->out.plugged.fed[h->line] || b->out.plugged.fed_by[h->line];
  const WordsFill fill = {.box = plant->boxes[plant->lines[h->line].box].name,
                          .socket = allot_socket(b->arena, plant, h->line),
                          .source = plugged_name(&b->out.plugged.plugs[h->plug]),
                          .found = h->out >= 0 ? plugged_name(&b->out.plugged.plugs[h->out]) : NULL,
                          .way = h->from >= 0 ? allot_socket(b->arena, plant, h->from) : "",
                          .line = arena_format(b->arena, "%d", plant->lines[h->line].number),
                          .desk = plant->desks[desk].say,
                          .item = act_name(b),
                          .unplug = harmful ? harmful->source : NULL};
  const Sentence sentence = hand_sentence(h, &step->does);
  step->key = h->does == HAND_HOLD && b->out.allotment.target[h->line] >= 0
                ? arena_format(b->arena, "%s out", fill.socket)
                : fill.socket;
  step->say = words_say(b->arena, sentence, &fill);
  step->why = h->does == HAND_STRIKE ? words_say(b->arena, WORDS_CHANGE_WHY_STRIKE, &fill)
              : h->does == HAND_HOLD ? words_say(b->arena, WORDS_CHANGE_WHY_HOLD, &fill)
                                     : why_plug(b, h->plug, h->line, &fill);
  step->caution =
    words_say(b->arena,
              harmful && plant->kinds[harmful->kind].is_ribbon ? WORDS_CHANGE_CAUTION_RIBBON
              : harmful                                        ? WORDS_CHANGE_CAUTION_HARM
              : off                                            ? WORDS_CHANGE_CAUTION_OFF
                                                               : WORDS_CHANGE_CAUTION,
              &fill);
  return fill.socket && fill.way && fill.line && has_text(step) ? STATUS_OK : STATUS_NO_MEMORY;
}

// A socket that is as it must be, because somebody told so.
static Status
add_done(Build* b, int line)
{
  const Plant* const plant = b->plant;
  const FoldFact* const told = b->out.plugged.told[line];
  const int target = b->out.allotment.target[line];
  const int before = b->out.plugged.before[line];
  const int plug = target >= 0 ? target : before;
  if (!told || is_touched(b, line) || (target >= 0 && before == target) || plug < 0) {
    return STATUS_OK;
  }
  const int from = target >= 0 ? b->out.plugged.before_at[target] : -1;
  const bool moves = target >= 0 && from >= 0 && plant->lines[from].box == plant->lines[line].box;
  const HandStep h = {.does = target < 0 ? HAND_STRIKE
                              : moves    ? HAND_MOVE
                                         : HAND_PLUG,
                      .line = line,
                      .plug = plug,
                      .from = from,
                      .out = -1};
  const int hand = b->owner[line] >= 0 ? b->owner[line] : 0;
  ChangeStep* const step = add_step(b, CHANGE_DOES_PLUG, hand);
  Status st;
  TRY(st, word_hand(b, step, &h));
  step->caution = "";
  step->place = plant->boxes[plant->lines[line].box].place;
  step->line = line;
  step->plug = plug;
  step->from = from;
  step->is_done = true;
  step->done_by = &told->fact;
  return STATUS_OK;
}

static Status
add_hand_step(Build* b, int hand, int nth)
{
  const int at = b->plan.hands[hand].order[nth];
  const HandStep* const h = &b->plan.steps[at];
  const int n_gates = b->out.n_steps;
  int* const after = room_for(b, 2 * b->plant->n_desks + 2);
  ChangeStep* const step = add_step(b, CHANGE_DOES_PLUG, hand);
  Status st;
  if (!after) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, word_hand(b, step, h));
  step->place = b->plant->boxes[b->plant->lines[h->line].box].place;
  step->line = h->line;
  step->plug = h->plug;
  step->from = h->from;
  step->seconds = h->walk_s + h->handle_s;
  step->start_s = b->out.gate_s + h->start_s - h->walk_s;
  step->after = after;
  for (int i = 0; i < n_gates; ++i) {
    if (is_gate(&b->steps[i]) &&
        (is_for(&b->steps[i], h->line) || (h->from >= 0 && is_for(&b->steps[i], h->from)))) {
      depend(step, after, i);
    }
  }
  for (int k = 0; k < 2; ++k) {
    if (h->after[k] >= 0) {
      depend(step, after, b->step_of_hand[h->after[k]]);
    }
  }
  b->step_of_hand[at] = (int)(step - b->steps);
  return STATUS_OK;
}

// ---- Setting the channels, and phantom on ----

static double
patch_s(const Build* b, const ChangeChannel* channel)
{
  const double soft_s = plant_time_s(b->plant, "soft patch one input at one desk", 15.0);
  return (channel->moves_input ? soft_s : 0.0) + (channel->renames ? CHANGE_NAME_S : 0.0) +
         (channel->moves_pad ? CHANGE_NAME_S : 0.0);
}

static Status
add_patch(Build* b, int desk)
{
  const ChangeChannel* const all = b->channels[desk];
  const int n_all = b->n_channels[desk];
  for (int pass = 0; pass < 2; ++pass) {
    const bool is_done = pass == 0;
    int* const lines = room_for(b, n_all);
    int* const after = room_for(b, 1);
    ChangeChannel* const channels = arena_array(b->arena, (size_t)n_all, sizeof(*channels));
    int n = 0;
    double seconds = 0.0;
    if (!lines || !channels || !after) {
      return STATUS_NO_MEMORY;
    }
    for (int i = 0; i < n_all; ++i) {
      const FoldFact* const told = b->out.plugged.patched[desk * b->plant->n_lines + all[i].line];
      const bool only_phantom = !all[i].moves_input && !all[i].renames && !all[i].moves_pad;
      if (!told == !is_done && !only_phantom) {
        seconds += patch_s(b, &all[i]);
        lines[n] = all[i].line;
        channels[n++] = all[i];
      }
    }
    if (n == 0) {
      continue;
    }
    const WordsFill fill = {.desk = b->plant->desks[desk].say,
                            .item = act_name(b),
                            .input = channels_say(b, lines, n, b->number_after[desk])};
    ChangeStep* const step = add_step(b, CHANGE_DOES_PATCH, b->n_hands + desk);
    step->key = key_of(b, CHANGE_DOES_PATCH, desk, -1, is_done);
    step->say = words_say(b->arena, WORDS_CHANGE_PATCH, &fill);
    step->why = words_say(b->arena, WORDS_CHANGE_WHY_PATCH, &fill);
    step->caution = words_say(b->arena, WORDS_CHANGE_CAUTION_SCENE, &fill);
    step->lines = lines;
    step->n_lines = n;
    step->channels = channels;
    step->n_channels = n;
    step->seconds = seconds;
    step->is_done = is_done;
    step->done_by = is_done ? newest_of(b, CHANGE_DOES_PATCH, desk, lines, n) : NULL;
    step->after = after;
    for (int i = 0; i < b->out.n_steps; ++i) {
      if (is_gate(&b->steps[i]) && b->steps[i].desk == desk &&
          b->steps[i].does == CHANGE_DOES_MUTE) {
        depend(step, after, i);
      }
    }
    if (!fill.input || !has_text(step)) {
      return STATUS_NO_MEMORY;
    }
  }
  return STATUS_OK;
}

static bool
wants_on(const Build* b, int desk, int line, bool is_done)
{
  const int plug = b->out.allotment.target[line];
  const Input* const next = plug >= 0 ? b->out.plugged.plugs[plug].next : NULL;
  const bool is_fed =
    b->out.plugged.fed[line] && !(is_touched(b, line) && b->out.plugged.fed[line]);
  return plant_phantom_desk(b->plant, line) == desk && wants_phantom(b->plant, next) &&
         (is_done ? is_fed && b->out.plugged.fed_by[line] : !is_fed);
}

static Status
add_on(Build* b, int desk, int box)
{
  for (int pass = 0; pass < 2; ++pass) {
    const bool is_done = pass == 0;
    int* const lines = room_for(b, b->plant->n_lines);
    int* const after = room_for(b, b->out.n_steps);
    TextOut names = {.arena = b->arena};
    int n = 0;
    if (!lines || !after) {
      return STATUS_NO_MEMORY;
    }
    for (int l = 0; l < b->plant->n_lines; ++l) {
      if (b->plant->lines[l].box == box && b->plant->lines[l].desk_input[desk] > 0 &&
          wants_on(b, desk, l, is_done)) {
        text_add(&names, "%s%s", n > 0 ? ", " : "",
                 b->out.plugged.plugs[b->out.allotment.target[l]].next->source);
        lines[n++] = l;
      }
    }
    if (n == 0) {
      continue;
    }
    const WordsFill fill = {.desk = b->plant->desks[desk].say,
                            .box = b->plant->boxes[box].name,
                            .input = channels_say(b, lines, n, b->number_after[desk]),
                            .source = text_done(&names)};
    ChangeStep* const step = add_step(b, CHANGE_DOES_ON, b->n_hands + desk);
    step->key = key_of(b, CHANGE_DOES_ON, desk, box, is_done);
    step->say = words_say(b->arena, WORDS_CHANGE_ON, &fill);
    step->why = words_say(b->arena, WORDS_CHANGE_WHY_ON, &fill);
    step->caution = words_say(b->arena, WORDS_CHANGE_CAUTION_MUTED, &fill);
    step->lines = lines;
    step->n_lines = n;
    step->box = box;
    step->seconds = CHANGE_PHANTOM_S * n;
    step->is_done = is_done;
    step->done_by = is_done ? newest_of(b, CHANGE_DOES_ON, desk, lines, n) : NULL;
    step->after = after;
    for (int i = 0; i < b->out.n_steps - 1; ++i) {
      const ChangeStep* const other = &b->steps[i];
      const bool here = other->line >= 0 && b->plant->lines[other->line].box == box;
      const bool mutes = is_gate(other) && other->does == CHANGE_DOES_MUTE;
      bool for_one = false;
      for (int k = 0; mutes && k < n; ++k) {
        for_one = for_one || is_for(other, lines[k]);
      }
      if (!other->is_done && (here || for_one)) {
        depend(step, after, i);
      }
    }
    if (!fill.input || !fill.source || !has_text(step)) {
      return STATUS_NO_MEMORY;
    }
  }
  return STATUS_OK;
}

// ---- Times ----

// Desks one after another through their own steps; what they wait for is there before.
static void
time_desks(Build* b)
{
  double* clock_s[PLANT_DESKS];
  double clocks[PLANT_DESKS] = {0.0};
  for (int d = 0; d < b->plant->n_desks; ++d) {
    clock_s[d] = &clocks[d];
  }
  for (int i = 0; i < b->out.n_steps; ++i) {
    ChangeStep* const step = &b->steps[i];
    if (step->desk < 0 || step->is_done) {
      continue;
    }
    double begin_s = *clock_s[step->desk];
    for (int k = 0; k < step->n_after; ++k) {
      const ChangeStep* const before = &b->steps[step->after[k]];
      const double end_s = before->start_s + before->seconds;
      begin_s = end_s > begin_s ? end_s : begin_s;
    }
    step->start_s = begin_s;
    *clock_s[step->desk] = begin_s + step->seconds;
  }
}

static void
time_all(Build* b)
{
  for (int i = 0; i < b->out.n_steps; ++i) {
    const ChangeStep* const step = &b->steps[i];
    const double end_s = step->start_s + step->seconds;
    if (!step->is_done) {
      b->out.seconds = end_s > b->out.seconds ? end_s : b->out.seconds;
      double* const own_s = &b->people[step->person].seconds;
      *own_s = end_s > *own_s ? end_s : *own_s;
    }
  }
}

static Status
add_steps(Build* b)
{
  const Plant* const plant = b->plant;
  Status st;
  for (int d = 0; d < plant->n_desks; ++d) {
    TRY(st, change_desk_numbers(b->arena, plant, &b->out.plugged, &b->out.allotment, d, true,
                                &b->number[d]));
    TRY(st, change_desk_numbers(b->arena, plant, &b->out.plugged, &b->out.allotment, d, false,
                                &b->number_after[d]));
    TRY(st, change_desk_channels(b->arena, plant, &b->out.plugged, &b->out.allotment, d,
                                 &b->channels[d], &b->n_channels[d]));
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    TRY(st, add_gate(b, d, CHANGE_DOES_MUTE, wants_mute));
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    TRY(st, add_gate(b, d, CHANGE_DOES_OFF, wants_off));
  }
  time_desks(b);
  for (int i = 0; i < b->out.n_steps; ++i) {
    const double end_s = b->steps[i].start_s + b->steps[i].seconds;
    b->out.gate_s = !b->steps[i].is_done && end_s > b->out.gate_s ? end_s : b->out.gate_s;
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    TRY(st, add_done(b, l));
  }
  for (int h = 0; h < b->n_hands; ++h) {
    for (int i = 0; i < b->plan.hands[h].n; ++i) {
      TRY(st, add_hand_step(b, h, i));
    }
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    TRY(st, add_patch(b, d));
  }
  for (int box = 0; box < plant->n_boxes; ++box) {
    for (int d = 0; d < plant->n_desks; ++d) {
      TRY(st, add_on(b, d, box));
    }
  }
  time_desks(b);
  time_all(b);
  return STATUS_OK;
}

// Each person's own, done ones first.
static Status
list_people(Build* b)
{
  for (int p = 0; p < b->out.n_people; ++p) {
    int* const mine = room_for(b, b->out.n_steps);
    int n = 0;
    if (!mine) {
      return STATUS_NO_MEMORY;
    }
    for (int pass = 0; pass < 2; ++pass) {
      for (int i = 0; i < b->out.n_steps; ++i) {
        if (b->steps[i].person == p && b->steps[i].is_done == (pass == 0)) {
          mine[n++] = i;
        }
      }
    }
    b->people[p].steps = mine;
    b->people[p].n_steps = n;
  }
  return STATUS_OK;
}

// ---- Moves ----

static int
step_at(const Build* b, int line, bool puts)
{
  for (int i = 0; i < b->out.n_steps; ++i) {
    const ChangeStep* const step = &b->steps[i];
    const bool put = step->does == CHANGE_DOES_PLUG || step->does == CHANGE_DOES_MOVE;
    if (step->line == line && (put || (!puts && step->does == CHANGE_DOES_STRIKE))) {
      return i;
    }
  }
  return -1;
}

static Status
add_move(Build* b, ChangeMove* moves, ChangeMove move)
{
  const Plug* const plug = &b->out.plugged.plugs[move.plug];
  const int before = b->out.plugged.before[move.line];
  const Plug* const was = before >= 0 ? &b->out.plugged.plugs[before] : NULL;
  move.was = !was ? "" : was->was ? was->was->source : was->stranger;
  const bool leaves = move.does == CHANGE_STRIKE;
  move.source = leaves && plug->was ? plug->was->source : plugged_name(plug);
  move.why = b->out.allotment.why[move.plug];
  move.step = move.does == CHANGE_KEEP ? -1 : step_at(b, move.line, !leaves);
  const WordsFill fill = {.socket = allot_socket(b->arena, b->plant, move.line),
                          .box = b->plant->boxes[b->plant->lines[move.line].box].name,
                          .source = move.source,
                          .found = move.was,
                          .way = move.from >= 0 ? allot_socket(b->arena, b->plant, move.from) : ""};
  const Sentence sentence = leaves                             ? WORDS_CHANGE_STRIKE
                            : move.does == CHANGE_PLUG         ? WORDS_CHANGE_PLUG
                            : move.does == CHANGE_MOVE         ? WORDS_CHANGE_MOVE
                            : text_same(move.was, move.source) ? WORDS_CHANGE_KEEP
                                                               : WORDS_CHANGE_KEEP_AS;
  move.say = words_say(b->arena, sentence, &fill);
  if (!fill.socket || !fill.way || !move.say) {
    return STATUS_NO_MEMORY;
  }
  moves[b->out.n_moves++] = move;
  b->out.n_kept += move.does == CHANGE_KEEP;
  b->out.n_moved += move.does == CHANGE_MOVE;
  b->out.n_struck += leaves;
  b->out.n_plugged += move.does == CHANGE_PLUG;
  return STATUS_OK;
}

static Status
list_moves(Build* b)
{
  const Plugged* const p = &b->out.plugged;
  const Allotment* const a = &b->out.allotment;
  ChangeMove* const moves =
    arena_array(b->arena, 3 * (size_t)b->plant->n_lines, sizeof(ChangeMove));
  Status st;
  if (!moves) {
    return STATUS_NO_MEMORY;
  }
  for (int l = 0; l < b->plant->n_lines; ++l) {
    const int before = p->before[l];
    const int now = p->now[l];
    const int target = a->target[l];
    if (before >= 0 && a->target_at[before] < 0) {
      TRY(st, add_move(b, moves,
                       (ChangeMove){.does = CHANGE_STRIKE,
                                    .line = l,
                                    .from = -1,
                                    .plug = before,
                                    .is_done = p->now_at[before] != l}));
    }
    if (now >= 0 && now != before && a->target_at[now] < 0) { // Plugged meanwhile, and not needed
      TRY(st, add_move(b, moves,
                       (ChangeMove){CHANGE_STRIKE, l, -1, now, NULL, NULL, NULL, false,
                                    ALLOT_LISTED, -1}));
    }
    if (target >= 0) {
      const int from = p->before_at[target] >= 0 ? p->before_at[target]
                       : p->now_at[target] != l  ? p->now_at[target]
                                                 : -1;
      const bool stays = from == l && now == target;
      TRY(st, add_move(b, moves,
                       (ChangeMove){.does = stays                    ? CHANGE_KEEP
                                            : from >= 0 && from != l ? CHANGE_MOVE
                                                                     : CHANGE_PLUG,
                                    .line = l,
                                    .from = from == l && !stays ? -1 : from,
                                    .plug = target,
                                    .is_done = now == target}));
    }
  }
  b->out.moves = moves;
  return STATUS_OK;
}

// ---- Time is short ----

static Status
plan_hands(Build* b, const int* target, const int* target_at, HandPlan* plan)
{
  const Plugged* const p = &b->out.plugged;
  HandStep* steps = NULL;
  int n = 0;
  int n_units = 0;
  Status st;
  TRY(st,
      hands_steps(b->arena, b->plant, p->now, p->now_at, target, target_at, &steps, &n, &n_units));
  return hands_plan(b->arena, b->plant, b->start, b->n_hands, b->owner, steps, n, n_units, plan);
}

// What to do without next: of whoever is ready last the source that is easiest missed, the last of
// the list first. -1 = only voices are left.
static int
next_to_leave(const Build* b, const HandPlan* plan)
{
  int best = -1;
  int best_weight = 3;
  int last = 0;
  for (int h = 0; h < plan->n_hands; ++h) {
    last = plan->hands[h].end_s > plan->hands[last].end_s ? h : last;
  }
  for (int i = 0; i < plan->n_steps; ++i) {
    const HandStep* const h = &plan->steps[i];
    if (h->hand != last || (h->does != HAND_PLUG && h->does != HAND_MOVE)) {
      continue;
    }
    const Input* const input = b->out.plugged.plugs[h->plug].next;
    const int weight = allot_weight(b->plant, input);
    if (weight < best_weight || (weight == best_weight && best >= 0 &&
                                 input->channel > b->out.plugged.plugs[best].next->channel)) {
      best = h->plug;
      best_weight = weight;
    }
  }
  return best;
}

static Status
leave_out(Build* b)
{
  const Plant* const plant = b->plant;
  const double limit_s = b->options->deadline_s > 0.0 ? b->options->deadline_s : 0.0;
  const double rest_s = b->out.seconds - b->plan.end_s; // What desks do before and after
  int* const target = room_for(b, plant->n_lines);
  int* const target_at = room_for(b, b->out.plugged.n_plugs);
  ChangeLeave* const leave =
    arena_array(b->arena, (size_t)b->out.plugged.n_plugs, sizeof(ChangeLeave));
  HandPlan plan = b->plan;
  Status st;
  b->out.left_s = b->out.seconds;
  b->out.fits = b->options->deadline_s == 0.0 || b->out.seconds <= limit_s;
  if (!target || !target_at || !leave) {
    return STATUS_NO_MEMORY;
  }
  memcpy(target, b->out.allotment.target, (size_t)plant->n_lines * sizeof(int));
  memcpy(target_at, b->out.allotment.target_at, (size_t)b->out.plugged.n_plugs * sizeof(int));
  while (b->options->deadline_s != 0.0 && b->out.left_s > limit_s) {
    const int plug = next_to_leave(b, &plan);
    if (plug < 0) {
      break;
    }
    const Input* const input = b->out.plugged.plugs[plug].next;
    const Input* const twin = allot_twin(plant, input);
    target[target_at[plug]] = -1;
    target_at[plug] = -1;
    TRY(st, plan_hands(b, target, target_at, &plan));
    const WordsFill fill = {.source = input->source, .first = twin ? twin->source : ""};
    const bool paired = twin && allot_weight(plant, input) == 1;
    const char* const why =
      words_say(b->arena, paired ? WORDS_CHANGE_LEAVE_PAIR : WORDS_CHANGE_LEAVE, &fill);
    if (!why) {
      return STATUS_NO_MEMORY;
    }
    b->out.left_s = rest_s + plan.end_s;
    leave[b->out.n_leave++] = (ChangeLeave){plug, b->out.seconds - b->out.left_s, why};
  }
  b->out.leave = leave;
  return STATUS_OK;
}

// ---- Notes ----

static Status
add_note(Build* b, const char** notes, const char* text)
{
  notes[b->out.n_notes++] = text;
  return text ? STATUS_OK : STATUS_NO_MEMORY;
}

static Status
list_notes(Build* b)
{
  const Plant* const plant = b->plant;
  const size_t room = (size_t)(plant->n_inputs + b->out.allotment.n_bent) + 8;
  const char** const notes = arena_array(b->arena, room, sizeof(char*));
  const int acts[2] = {b->out.from, b->out.to};
  Status st;
  if (!notes) {
    return STATUS_NO_MEMORY;
  }
  for (int k = 0; k < 2; ++k) {
    int n = 0;
    for (int i = 0; i < plant->n_inputs; ++i) {
      const Input* const input = &plant->inputs[i];
      bool twice = false;
      for (int j = 0; j < i && input->act == acts[k]; ++j) {
        twice = twice || (plant->inputs[j].act == acts[k] &&
                          text_same(plant->inputs[j].source, input->source));
      }
      n += input->act == acts[k];
      if (twice) {
        TRY(st, add_note(b, notes,
                         arena_format(b->arena,
                                      "The list of %s has \"%s\" twice: which of the two is meant "
                                      "is taken from the socket. Give one another name.",
                                      plant->acts[acts[k]].name, input->source)));
      }
    }
    if (n == 0 && acts[k] >= 0) {
      TRY(st,
          add_note(b, notes,
                   arena_format(b->arena, "There is no input list of %s: nothing is known of it.",
                                plant->acts[acts[k]].name)));
    }
  }
  for (int i = 0; i < b->out.allotment.n_bent; ++i) {
    TRY(st, add_note(b, notes, b->out.allotment.bent[i]));
  }
  b->out.notes = notes;
  return STATUS_OK;
}

// ---- All of it ----

static Status
take_room(Build* b)
{
  const Plant* const plant = b->plant;
  const size_t n_lines = (size_t)plant->n_lines;
  const size_t n_desk_steps = (size_t)plant->n_desks * (6 + 2 * (size_t)plant->n_boxes);
  b->people = arena_array(b->arena, HANDS_MAX + PLANT_DESKS, sizeof(ChangePerson));
  b->steps = arena_array(b->arena, 3 * n_lines + n_desk_steps + 1, sizeof(ChangeStep));
  b->hot = arena_array(b->arena, n_lines, sizeof(bool));
  return b->people && b->steps && b->hot ? STATUS_OK : STATUS_NO_MEMORY;
}

Status
change_plan(Arena* arena, const Plant* plant, const Fold* fold, int from, int to,
            const ChangeOptions* options, Change* change)
{
  Build b = {.arena = arena, .plant = plant, .fold = fold, .options = options};
  const AllotOptions allot = {.is_free = options->is_free};
  Crew crew;
  Status st;
  if (from == to || from < -1 || to < -1 || from >= plant->n_acts || to >= plant->n_acts) {
    return STATUS_BAD_ARG;
  }
  b.out.from = from;
  b.out.to = to;
  TRY(st, take_room(&b));
  TRY(st, crew_now(arena, plant, fold, options->now ? options->now : "", 0, -1, &crew));
  TRY(st, find_hands(&b, &crew));
  TRY(st, find_desks(&b, &crew));
  TRY(st, find_owners(&b));
  if (!b.is_fresh) {
    TRY(st, plugged_now(arena, plant, fold, from, to, &b.out.plugged));
    TRY(st, allot_sockets(arena, plant, fold, &b.out.plugged, &allot, &b.out.allotment));
  }
  find_places(&b);
  find_hot(&b);
  TRY(st, plan_hands(&b, b.out.allotment.target, b.out.allotment.target_at, &b.plan));
  b.step_of_hand = arena_array(arena, (size_t)b.plan.n_steps, sizeof(int));
  if (!b.step_of_hand) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, add_steps(&b));
  TRY(st, list_people(&b));
  TRY(st, list_moves(&b));
  TRY(st, leave_out(&b));
  TRY(st, list_notes(&b));
  b.out.steps = b.steps;
  b.out.people = b.people;
  *change = b.out;
  return STATUS_OK;
}
