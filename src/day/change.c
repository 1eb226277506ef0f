// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/change.h"

#include "base/text.h"
#include "day/change_build.h"
#include "day/change_desk.h"
#include "day/crew.h"
#include "day/need.h"
#include "day/words.h"

#include <string.h>

/*
  plugged (what is where) -> allot (what belongs where) -> hands (who, in which order) -> steps.

  Here is how the parts follow each other, and what comes of them: times, moves, what to leave out.
  Who works it is change_who.c, the steps are change_gate.c (desks) and change_hand.c.
*/

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
  static const char* const words[] = {"mute", "phantom off", "strike",     "move", "plug",
                                      "hold", "patch",       "phantom on", "cable"};
  return (unsigned)does < 9 ? words[does] : "unknown";
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
      text_add(&out, "-%d", numbers[last]);
    }
    i = last + 1;
  }
  return text_done(&out);
}

// ---- Steps ----

static void
find_hot(ChangeBuild* b)
{
  for (int l = 0; l < b->plant->n_lines; ++l) {
    const int here = b->out.plugged.before[l];
    const Plug* const plug = here >= 0 ? &b->out.plugged.plugs[here] : NULL;
    const bool renamed = plug && b->out.allotment.target[l] == here && plug->was && plug->next &&
                         !text_same(plug->was->source, plug->next->source);
    b->hot[l] = change_step_is_touched(b, l) || b->out.plugged.told[l] || renamed;
  }
}

// ---- Times ----

// Desks one after another through their own steps; what they wait for is there before.
static void
time_desks(ChangeBuild* b)
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
time_all(ChangeBuild* b)
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
add_steps(ChangeBuild* b)
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
    TRY(st, change_gate_mute(b, d));
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    TRY(st, change_gate_off(b, d));
  }
  time_desks(b);
  for (int i = 0; i < b->out.n_steps; ++i) {
    const double end_s = b->steps[i].start_s + b->steps[i].seconds;
    b->out.gate_s = !b->steps[i].is_done && end_s > b->out.gate_s ? end_s : b->out.gate_s;
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    TRY(st, change_hand_done(b, l));
  }
  for (int h = 0; h < b->n_hands; ++h) {
    for (int i = 0; i < b->plan.hands[h].n; ++i) {
      TRY(st, change_hand_add(b, h, i));
    }
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    TRY(st, change_gate_patch(b, d));
  }
  for (int box = 0; box < plant->n_boxes; ++box) {
    for (int d = 0; d < plant->n_desks; ++d) {
      TRY(st, change_gate_on(b, d, box));
    }
  }
  time_desks(b);
  time_all(b);
  return STATUS_OK;
}

// Each person's own, done ones first.
static Status
list_people(ChangeBuild* b)
{
  for (int p = 0; p < b->out.n_people; ++p) {
    int* const mine = change_step_room(b, b->out.n_steps);
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
step_at(const ChangeBuild* b, int line, bool puts)
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
list_moves(ChangeBuild* b)
{
  ChangeMove* moves = NULL;
  Status st;
  TRY(st, change_moves(b->arena, b->plant, &b->out.plugged, &b->out.allotment, &moves,
                       &b->out.n_moves));
  for (int i = 0; i < b->out.n_moves; ++i) {
    ChangeMove* const move = &moves[i];
    move->step =
      move->does == CHANGE_KEEP ? -1 : step_at(b, move->line, move->does != CHANGE_STRIKE);
    b->out.n_kept += move->does == CHANGE_KEEP;
    b->out.n_moved += move->does == CHANGE_MOVE;
    b->out.n_struck += move->does == CHANGE_STRIKE;
    b->out.n_plugged += move->does == CHANGE_PLUG;
  }
  b->out.moves = moves;
  return STATUS_OK;
}

// ---- Time is short ----

// What to do without next: of whoever is ready last the source that is easiest missed, the last of
// the list first. -1 = only voices are left.
static int
next_to_leave(const ChangeBuild* b, const HandPlan* plan)
{
  int best = -1;
  int best_weight = NEEDED_VOICE;
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
    const int weight = need_of(b->plant, input);
    if (weight < best_weight || (weight == best_weight && best >= 0 &&
                                 input->channel > b->out.plugged.plugs[best].next->channel)) {
      best = h->plug;
      best_weight = weight;
    }
  }
  return best;
}

static Status
leave_out(ChangeBuild* b)
{
  const Plant* const plant = b->plant;
  const double limit_s = b->options->deadline_s > 0.0 ? b->options->deadline_s : 0.0;
  const double rest_s = b->out.seconds - b->plan.end_s; // What desks do before and after
  int* const target = change_step_room(b, plant->n_lines);
  int* const target_at = change_step_room(b, b->out.plugged.n_plugs);
  ChangeLeave* const leave =
    arena_array(b->arena, (size_t)b->out.plugged.n_plugs, sizeof(ChangeLeave));
  HandPlan plan = b->plan;
  int n_units = 0;
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
    const Input* const twin = need_twin(plant, input);
    target[target_at[plug]] = -1;
    target_at[plug] = -1;
    TRY(st, change_take_plan(b, &b->out.plugged, target, target_at, b->start, &plan, &n_units));
    const WordsFill fill = {.source = input->source, .first = twin ? twin->source : ""};
    const bool paired = need_is_second(plant, input);
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
add_note(ChangeBuild* b, const char** notes, const char* text)
{
  notes[b->out.n_notes++] = text;
  return text ? STATUS_OK : STATUS_NO_MEMORY;
}

// Lines somebody went on with while a desk has not muted yet: "B3".
static Status
note_anyway(ChangeBuild* b, const char** notes)
{
  const int n_lines = b->plant->n_lines;
  Status st;
  for (int l = 0; l < n_lines; ++l) {
    const FoldFact* const f = b->out.plugged.anyway[l];
    TextOut desks = {.arena = b->arena};
    for (int i = 0; f && i < b->out.n_steps; ++i) {
      const ChangeStep* const gate = &b->steps[i];
      if (change_is_gate(gate) && change_step_is_for(gate, l)) {
        text_add(&desks, "%s%s (%s)", desks.n_bytes ? ", " : "", b->plant->desks[gate->desk].say,
                 change_does_word(gate->does));
      }
    }
    if (desks.n_bytes > 0) {
      const WordsFill fill = {.socket = allot_socket(b->arena, b->plant, l),
                              .desk = text_done(&desks),
                              .who = f->fact.role[0] ? f->fact.role : "Somebody"};
      TRY(st, add_note(b, notes,
                       fill.socket && fill.desk ? words_say(b->arena, WORDS_CHANGE_ANYWAY, &fill)
                                                : NULL));
    }
  }
  return STATUS_OK;
}

static Status
list_notes(ChangeBuild* b)
{
  const Plant* const plant = b->plant;
  const size_t room = (size_t)(plant->n_inputs + plant->n_lines + b->out.allotment.n_bent) + 8;
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
  TRY(st, note_anyway(b, notes));
  for (int i = 0; i < b->out.allotment.n_bent; ++i) {
    TRY(st, add_note(b, notes, b->out.allotment.bent[i]));
  }
  b->out.notes = notes;
  return STATUS_OK;
}

// ---- All of it ----

static Status
take_room(ChangeBuild* b)
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
  ChangeBuild b = {.arena = arena, .plant = plant, .fold = fold, .options = options};
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
  TRY(st, change_who_hands(&b, &crew));
  TRY(st, change_who_desks(&b, &crew));
  TRY(st, change_who_owners(&b));
  if (!b.is_fresh) {
    TRY(st, plugged_now(arena, plant, fold, from, to, &b.out.plugged));
    TRY(st, allot_sockets(arena, plant, fold, &b.out.plugged, &allot, &b.out.allotment));
  }
  TRY(st, change_take_owners(&b));
  change_who_places(&b, &b.out.plugged, b.start);
  for (int h = 0; h < b.n_hands; ++h) {
    b.people[h].place = b.start[h];
  }
  find_hot(&b);
  TRY(st, change_take_plan(&b, &b.out.plugged, b.out.allotment.target, b.out.allotment.target_at,
                           b.start, &b.plan, &b.n_units));
  b.step_of_hand = arena_array(arena, (size_t)b.plan.n_steps, sizeof(int));
  if (!b.step_of_hand) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, add_steps(&b));
  TRY(st, list_people(&b));
  TRY(st, change_take_offers(&b));
  TRY(st, list_moves(&b));
  TRY(st, leave_out(&b));
  TRY(st, list_notes(&b));
  b.out.steps = b.steps;
  b.out.people = b.people;
  *change = b.out;
  return STATUS_OK;
}
