// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/change_build.h"

#include "base/text.h"
#include "day/words.h"

/*
  The steps of the hands, in words: what comes out of a socket, what goes in, and why there. Each
  waits for the gates of the lines it touches and for the plug that frees its socket.
*/

static Sentence
hand_sentence(const HandStep* h, ChangeDoes* does)
{
  static const ChangeDoes all[] = {[HAND_STRIKE] = CHANGE_DOES_STRIKE,
                                   [HAND_PLUG] = CHANGE_DOES_PLUG,
                                   [HAND_MOVE] = CHANGE_DOES_MOVE,
                                   [HAND_HOLD] = CHANGE_DOES_HOLD,
                                   [HAND_CABLE] = CHANGE_DOES_CABLE};
  const bool is_in = h->does == HAND_PLUG && h->from >= 0;
  *does = all[h->does];
  switch (h->does) {
    case HAND_STRIKE:
      return WORDS_CHANGE_STRIKE;
    case HAND_HOLD:
      return WORDS_CHANGE_HOLD;
    case HAND_MOVE:
      return h->out >= 0 ? WORDS_CHANGE_MOVE_OVER : WORDS_CHANGE_MOVE;
    case HAND_CABLE:
      return WORDS_CHANGE_CABLE;
    case HAND_PLUG:
      break;
  }
  return is_in ? (h->out >= 0 ? WORDS_CHANGE_IN_OVER : WORDS_CHANGE_IN)
               : (h->out >= 0 ? WORDS_CHANGE_OVER : WORDS_CHANGE_PLUG);
}

static const char*
why_plug(ChangeBuild* b, int plug, int line, const WordsFill* fill)
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

// The cable that is taped off of what a step puts in; NULL = none.
static const char*
dead_at(const ChangeBuild* b, const HandStep* h)
{
  const char* const here = b->out.plugged.dead[h->line];
  return here ? here : h->from >= 0 ? b->out.plugged.dead[h->from] : NULL;
}

// Which cable it takes, where not any will do.
static const char*
with_cable(ChangeBuild* b, const HandStep* h, const char* say, double* cable_m)
{
  const bool is_in = h->does == HAND_PLUG || h->does == HAND_MOVE || h->does == HAND_CABLE;
  const char* const dead = is_in && h->does != HAND_CABLE ? dead_at(b, h) : NULL;
  *cable_m = is_in ? b->out.allotment.cable_m[h->line] : 0.0;
  if (say && dead) {
    say = words_say(b->arena, WORDS_CHANGE_OTHER_CABLE, &(WordsFill){.first = say, .item = dead});
  }
  if (say && *cable_m > 0.0) {
    const char* const metres = arena_format(b->arena, "%g", *cable_m);
    say = metres ? words_say(b->arena, WORDS_CHANGE_LONG_CABLE,
                             &(WordsFill){.first = say, .item = metres})
                 : NULL;
  }
  return say;
}

static Status
word_hand(ChangeBuild* b, ChangeStep* step, const HandStep* h)
{
  const Plant* const plant = b->plant;
  const int desk = plant_phantom_desk(plant, h->line);
  const Input* const harmful = change_step_harmful(b, h->line);
  const bool off = b->out.plugged.fed[h->line] || b->out.plugged.fed_by[h->line];
  const WordsFill fill = {.box = plant->boxes[plant->lines[h->line].box].name,
                          .socket = allot_socket(b->arena, plant, h->line),
                          .source = plugged_name(&b->out.plugged.plugs[h->plug]),
                          .found = h->out >= 0 ? plugged_name(&b->out.plugged.plugs[h->out]) : NULL,
                          .way = h->from >= 0 ? allot_socket(b->arena, plant, h->from) : "",
                          .line = arena_format(b->arena, "%d", plant->lines[h->line].number),
                          .desk = plant->desks[desk].say,
                          .item = change_step_act(b),
                          .unplug = harmful ? harmful->source : NULL};
  const Sentence sentence = hand_sentence(h, &step->does);
  step->key = h->does == HAND_HOLD && b->out.allotment.target[h->line] >= 0
                ? arena_format(b->arena, "%s out", fill.socket)
                : fill.socket;
  step->say = with_cable(b, h, words_say(b->arena, sentence, &fill), &step->cable_m);
  step->why = h->does == HAND_STRIKE ? words_say(b->arena, WORDS_CHANGE_WHY_STRIKE, &fill)
              : h->does == HAND_HOLD ? words_say(b->arena, WORDS_CHANGE_WHY_HOLD, &fill)
              : h->does == HAND_CABLE
                ? words_say(b->arena, WORDS_CHANGE_WHY_CABLE,
                            &(WordsFill){.item = dead_at(b, h), .source = fill.source})
                : why_plug(b, h->plug, h->line, &fill);
  step->caution =
    words_say(b->arena,
              harmful && plant->kinds[harmful->kind].is_ribbon ? WORDS_CHANGE_CAUTION_RIBBON
              : harmful                                        ? WORDS_CHANGE_CAUTION_HARM
              : off                                            ? WORDS_CHANGE_CAUTION_OFF
                                                               : WORDS_CHANGE_CAUTION,
              &fill);
  return fill.socket && fill.way && fill.line && change_step_is_whole(step) ? STATUS_OK
                                                                            : STATUS_NO_MEMORY;
}

// A socket that is as it must be, because somebody told so.
Status
change_hand_done(ChangeBuild* b, int line)
{
  const Plant* const plant = b->plant;
  const FoldFact* const told = b->out.plugged.told[line];
  const int target = b->out.allotment.target[line];
  const int before = b->out.plugged.before[line];
  const int plug = target >= 0 ? target : before;
  const bool stays = target >= 0 && before == target;
  if (!told || change_step_is_touched(b, line) || (stays && !b->out.plugged.cabled[line]) ||
      plug < 0) {
    return STATUS_OK;
  }
  const int from = target >= 0 && !stays ? b->out.plugged.before_at[target] : -1;
  const bool moves = target >= 0 && from >= 0 && plant->lines[from].box == plant->lines[line].box;
  const HandStep h = {.does = target < 0 ? HAND_STRIKE
                              : stays    ? HAND_CABLE
                              : moves    ? HAND_MOVE
                                         : HAND_PLUG,
                      .line = line,
                      .plug = plug,
                      .from = from,
                      .out = -1};
  const int hand = b->owner[line] >= 0 ? b->owner[line] : 0;
  ChangeStep* const step = change_step_add(b, CHANGE_DOES_PLUG, hand);
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

// Whether a line must not be touched before a desk has done this; somebody may have gone on anyway.
static bool
bars(const ChangeBuild* b, const ChangeStep* gate, int line)
{
  return line >= 0 && change_is_gate(gate) && change_step_is_for(gate, line) &&
         !b->out.plugged.anyway[line];
}

Status
change_hand_add(ChangeBuild* b, int hand, int nth)
{
  const int at = b->plan.hands[hand].order[nth];
  const HandStep* const h = &b->plan.steps[at];
  const int n_gates = b->out.n_steps;
  int* const after = change_step_room(b, 2 * b->plant->n_desks + 2);
  ChangeStep* const step = change_step_add(b, CHANGE_DOES_PLUG, hand);
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
    if (bars(b, &b->steps[i], h->line) || bars(b, &b->steps[i], h->from)) {
      change_step_wait(step, after, i);
    }
  }
  const FoldFact* const anyway = b->out.plugged.anyway[h->line];
  const FoldFact* const taken = b->out.plugged.taken[h->line];
  step->anyway = anyway ? &anyway->fact : NULL;
  step->taken = taken && text_same(taken->body.at, b->people[hand].name) ? &taken->fact : NULL;
  for (int k = 0; k < 2; ++k) {
    if (h->after[k] >= 0) {
      change_step_wait(step, after, b->step_of_hand[h->after[k]]);
    }
  }
  b->step_of_hand[at] = (int)(step - b->steps);
  return STATUS_OK;
}
