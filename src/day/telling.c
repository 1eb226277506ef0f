// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/telling.h"

#include "base/text.h"
#include "day/reading.h"
#include "day/why.h"
#include "day/words.h"

#include <string.h>

static const char*
list_sockets(const Problem* p, const int lines[], int n)
{
  TextOut out = {.arena = p->arena};
  const Plant* const plant = p->s->plant;
  for (int i = 0; i < n; ++i) {
    const Line* const l = &plant->lines[harm_plug_at(p->s, lines[i])];
    const Input* const input = plant_input(plant, p->s->act, lines[i]);
    text_add(&out, "%s%s%d (%s)", i ? ", " : "", plant->boxes[l->box].name, l->socket,
             input ? input->source : "unknown");
  }
  return text_done(&out);
}

static WordsFill
common_fill(const Problem* p, int desk)
{
  const Plant* const plant = p->s->plant;
  const Line* const line = &plant->lines[p->line];
  const Input* const input = plant_input(plant, p->s->act, p->line);
  const int d = desk >= 0 ? desk : p->options->home_desk;
  return (WordsFill){
    .desk = plant->desks[d].say,
    .input = arena_format(p->arena, "%d", line->desk_input[d]),
    .source = input ? input->source : "the known-good microphone",
    .socket = arena_format(p->arena, "%s%d", plant->boxes[line->box].name, line->socket),
    .box = plant->boxes[line->box].name,
    .line = arena_format(p->arena, "%d", line->number),
  };
}

static bool
is_filled(const WordsFill* fill)
{
  return fill->input && fill->source && fill->socket && fill->line;
}

static Sentence
check_sentence(Check check, bool is_digital)
{
  static const Sentence sentences[CHECK_COUNT] = {
    WORDS_LEVEL, WORDS_TONE,       WORDS_HUM,       WORDS_CRACKLE, WORDS_POLARITY,
    WORDS_SEEN,  WORDS_LOOK_DESK,  WORDS_VOLTS,     WORDS_LAMPS,   WORDS_OHMS,
    WORDS_FLEX,  WORDS_SWAP_CABLE, WORDS_BOX_LAMPS, WORDS_HUNT,    WORDS_SENT};
  if (check.sort == CHECK_LOOK && check.desk >= 0 && is_digital) {
    return WORDS_LOOK_DIGITAL;
  }
  return check.sort == CHECK_LOOK && check.desk < 0 ? WORDS_LOOK_SOCKET : sentences[check.sort];
}

static bool
speaks_english_outcome(Check check, int key)
{
  return !(check.sort == CHECK_LOOK && check.desk < 0 && key < 10);
}

static Status
check_step(const Problem* p, const PolicyChoice* choice, Step* step)
{
  const ProblemCheck* const plan = &p->plans[choice->action.index];
  const Check c = plan->check;
  WordsFill fill = common_fill(p, c.desk);
  char lamps[PREDICT_LAMPS_BYTES];
  predict_lamps(p->s->plant, lamps);
  fill.lamps = lamps;
  if (!is_filled(&fill)) {
    return STATUS_NO_MEMORY;
  }
  const bool is_digital = plant_is_digital(p->s->plant, p->line);
  const int n_words = is_digital && c.sort == CHECK_LOOK ? LOOK_LOST + 1 : 6;
  step->does = STEP_CHECK;
  step->check = c;
  step->desk = c.desk;
  step->check_word = predict_check_word(c.sort);
  const bool at_desk = c.desk >= 0 && c.sort != CHECK_HUNT && c.sort != CHECK_CRACKLE;
  step->at = at_desk ? p->s->plant->desks[c.desk].name : fill.socket;
  step->say = words_say(p->arena, check_sentence(c, is_digital), &fill);
  step->caution = "";
  memcpy(step->unplug, plan->unplug, sizeof(step->unplug));
  step->n_unplug = plan->n_unplug;
  if (c.sort == CHECK_LAMPS || c.sort == CHECK_VOLTS) {
    step->needs_mute = true;
    fill.unplug = list_sockets(p, plan->unplug, plan->n_unplug);
    if (!fill.unplug) {
      return STATUS_NO_MEMORY;
    }
    step->caution = words_say(p->arena, plan->n_unplug ? WORDS_UNPLUG : WORDS_MUTE_PHANTOM, &fill);
  } else if (c.sort == CHECK_OHMS || c.sort == CHECK_FLEX || c.sort == CHECK_SENT ||
             c.sort == CHECK_HUNT || c.sort == CHECK_CRACKLE) {
    step->needs_mute = true;
    const bool no_phantom = harm_is(p->s, p->line);
    step->caution = words_say(p->arena,
                              harm_has_ribbon(p->s, p->line)                    ? WORDS_RIBBON
                              : no_phantom                                      ? WORDS_NO_PHANTOM
                              : c.sort == CHECK_HUNT || c.sort == CHECK_CRACKLE ? WORDS_MUTE_LISTEN
                                                                                : WORDS_MUTE,
                              &fill);
  }
  for (int k = 0; k < plan->n_keys && step->n_readings < STEP_MAX_READINGS; ++k) {
    if (speaks_english_outcome(c, plan->keys[k])) {
      const char* const text =
        predict_key_text(p->arena, p->s->plant, p->s->act, c, p->line, plan->keys[k]);
      if (!text) {
        return STATUS_NO_MEMORY;
      }
      step->readings[step->n_readings++] = text;
    }
  }
  // The plain words a person may say that nothing in the odds expects
  for (int key = 0;
       key < n_words && step->n_readings < STEP_MAX_READINGS &&
       !(c.sort == CHECK_LOOK && c.desk < 0) && c.sort != CHECK_LAMPS && c.sort != CHECK_SENT;
       ++key) {
    const char* const text = predict_key_text(p->arena, p->s->plant, p->s->act, c, p->line, key);
    if (!text) {
      return STATUS_NO_MEMORY;
    }
    bool listed = strcmp(text, "?") == 0;
    for (int i = 0; i < step->n_readings; ++i) {
      listed = listed || text_same(step->readings[i], text);
    }
    if (!listed) {
      step->readings[step->n_readings++] = text;
    }
  }
  step->why = "";
  return p->is_plain ? STATUS_OK : why_check(p, &choice->action, &step->why);
}

// What a repair mends most likely, and how likely all it mends is.
static const Suspect*
mended(const Problem* p, const ProblemRepair* plan, double* sum)
{
  const Suspect* first = NULL;
  *sum = 0.0;
  for (int i = 0; i < p->n_rows; ++i) {
    const Suspect* const row = &p->rows[i];
    if ((row->state || row->fault.mode != FAULT_NONE) &&
        repair_fixes(plan->sort, plan->desk, row->state, &row->fault)) {
      first = first ? first : row;
      *sum += row->prob;
    }
  }
  return first;
}

// Which caution a repair needs; fills its gaps. `other` is the second socket a plug is moved at.
static Status
repair_caution(const Problem* p, const ProblemRepair* plan, int other, WordsFill* fill,
               Sentence* caution)
{
  const Plant* const plant = p->s->plant;
  const bool harmful = harm_is(p->s, p->line);
  *caution = harmful ? WORDS_NO_PHANTOM : WORDS_MUTE;
  if (plan->gives_phantom) {
    *caution = plan->n_unplug ? WORDS_UNPLUG : WORDS_MUTE_PHANTOM;
    fill->unplug = list_sockets(p, plan->unplug, plan->n_unplug);
    return fill->unplug ? STATUS_OK : STATUS_NO_MEMORY;
  }
  if (plan->sort == REPAIR_LEAD) {
    int harmed[8];
    int n = 0;
    const bool named = harm_in_box(p->s, p->line, harmed, &n);
    *caution = !named ? WORDS_BOX_LEAD_ALL : n ? WORDS_BOX_LEAD : WORDS_BOX_CAUTION;
    fill->desk = plant->desks[plant_phantom_desk(plant, p->line)].say;
    fill->unplug = list_sockets(p, harmed, n);
    return fill->unplug ? STATUS_OK : STATUS_NO_MEMORY;
  }
  if (plan->n_unplug && problem_is_of_box(plan->sort)) {
    *caution = WORDS_BOX_UNPLUG;
    fill->unplug = list_sockets(p, plan->unplug, plan->n_unplug);
    return fill->unplug ? STATUS_OK : STATUS_NO_MEMORY;
  }
  if (plan->sort == REPAIR_TAIL || problem_is_of_box(plan->sort)) {
    *caution = plan->unplug_all ? WORDS_BOX_UNPLUG_ALL : WORDS_BOX_CAUTION;
  } else if (other >= 0) {
    const Line* const l = &plant->lines[other];
    int harmed[2];
    int n = 0;
    if (harmful) {
      harmed[n++] = p->line;
    }
    if (harm_is(p->s, other)) {
      harmed[n++] = other;
    }
    *caution = n ? WORDS_NO_PHANTOM_TWO : WORDS_MUTE_TWO;
    fill->found = arena_format(p->arena, "%s%d", plant->boxes[l->box].name, l->socket);
    fill->unplug = list_sockets(p, harmed, n);
    return fill->found && fill->unplug ? STATUS_OK : STATUS_NO_MEMORY;
  } else if (plan->sort == REPAIR_PLUG) {
    *caution = harmful ? WORDS_NO_PHANTOM_BOX : WORDS_BOX_CAUTION;
  } else if (harmful && harm_has_ribbon(p->s, p->line) && plan->sort != REPAIR_INPUT) {
    *caution = WORDS_RIBBON;
  }
  return STATUS_OK;
}

// What the list says stands in line, as a person names it.
static const char*
things_say(const Problem* p)
{
  const Plant* const plant = p->s->plant;
  const Input* const input = plant_input(plant, p->s->act, p->line);
  TextOut out = {.arena = p->arena};
  for (int i = 0; input && i < input->n_through; ++i) {
    text_add(&out, "%s%s", i ? ", then " : "", plant->inlines[input->through[i]].name);
  }
  return input && input->n_through ? text_done(&out) : "nothing";
}

// The switches a source has, by its kind.
static Sentence
switch_sentence(const Problem* p)
{
  const Input* const input = plant_input(p->s->plant, p->s->act, p->line);
  const Kind* const kind = input ? &p->s->plant->kinds[input->kind] : NULL;
  return kind && kind->is_radio                           ? WORDS_SWITCH_RADIO
         : kind && (kind->has_jack || kind->pad_db > 0.0) ? WORDS_SWITCH_BOX
                                                          : WORDS_SWITCH;
}

static Status
repair_step(const Problem* p, const PolicyChoice* choice, Step* step)
{
  static const Sentence sentences[REPAIR_COUNT] = {
    WORDS_STUCK, WORDS_SWITCH, WORDS_SWAP_SOURCE, WORDS_SWAP_CABLE, WORDS_PLUG, WORDS_DESK,
    WORDS_TAIL,  WORDS_INPUT,  WORDS_SIDE,        WORDS_SOCKET,     WORDS_LEAD, WORDS_POWER,
    WORDS_CLOCK, WORDS_OWNER,  WORDS_LIFT,        WORDS_INLINE};
  const Plant* const plant = p->s->plant;
  const ProblemRepair* const plan = &p->repair_plans[choice->action.index];
  double sum = 0.0;
  const Suspect* const first = mended(p, plan, &sum);
  WordsFill fill = common_fill(p, plan->desk);
  if (!is_filled(&fill)) {
    return STATUS_NO_MEMORY;
  }
  Sentence sentence = plan->gives_phantom ? WORDS_DESK_PHANTOM : sentences[plan->sort];
  if (plant_is_digital(plant, p->line)) {
    const Box* const box = &plant->boxes[plant->lines[p->line].box];
    sentence = plan->sort == REPAIR_DESK && plan->desk != box->owner ? WORDS_DESK_GUEST : sentence;
    sentence = plan->sort == REPAIR_LEAD && plant_kit(plant, "spare network lead")
                 ? WORDS_LEAD_SPARE
                 : sentence;
    fill.item = plan->sort == REPAIR_POWER ? box->power : box->clock;
  }
  const bool takes_phantom = plan->sort == REPAIR_DESK && harm_is(p->s, p->line) &&
                             plant_phantom_desk(plant, p->line) == plan->desk;
  if (takes_phantom && sentence == WORDS_DESK) {
    sentence = WORDS_DESK_NO_PHANTOM;
  }
  if (plan->sort == REPAIR_INLINE) {
    const bool panel = !p->is_plain && first && first->state && first->state->sort == SHARED_PANEL;
    sentence = panel ? WORDS_PANEL : sentence;
    fill.item = things_say(p);
  } else if (plan->sort == REPAIR_SWITCH) {
    sentence = switch_sentence(p);
  }
  Status st = STATUS_OK;
  int other = -1; // The second socket a plug is moved at
  if (p->is_plain) {
    // Which plug, which setting: for the odds to say
  } else if (plan->sort == REPAIR_PLUG && first && first->state && first->prob > 0.5 * sum) {
    const SharedState* const state = first->state;
    if (state->sort == SHARED_SWAP || state->sort == SHARED_MOVED) {
      other = state->from == p->line ? state->to : state->from;
      const Line* const l = &plant->lines[other];
      fill.found = arena_format(p->arena, "%s%d", plant->boxes[l->box].name, l->socket);
      if (!fill.found) {
        return STATUS_NO_MEMORY;
      }
      sentence = state->sort == SHARED_SWAP ? WORDS_PLUG_SWAP : WORDS_PLUG_FROM;
    }
  } else if (plan->gives_phantom && first && !first->state &&
             first->fault.mode == FAULT_PHANTOM_OFF && first->prob > 0.5 * sum) {
    sentence = WORDS_PHANTOM;
  } else if (plan->gives_phantom && first && first->state && first->state->sort == SHARED_PHANTOM) {
    sentence = WORDS_PHANTOM_BOX;
  }
  for (int i = 0; i < p->n_ways && !fill.way; ++i) {
    if (p->ways[i].sort == WAY_SOCKET) {
      fill.way = p->ways[i].way;
      other = plan->sort == REPAIR_SOCKET ? p->ways[i].uses_line : other;
    }
  }
  if (plan->sort == REPAIR_INLINE && !fill.item) {
    return STATUS_NO_MEMORY;
  }
  step->does = STEP_REPAIR;
  step->repair = plan->sort;
  step->desk = plan->desk;
  step->check_word = arena_format(p->arena, "swap %s", repair_word(plan->sort));
  step->at = plan->desk >= 0             ? plant->desks[plan->desk].name
             : plan->sort == REPAIR_TAIL ? arena_format(p->arena, "tail %s", fill.box)
                                         : fill.socket;
  step->say = words_say(p->arena, sentence, &fill);
  step->why = "";
  memcpy(step->unplug, plan->unplug, sizeof(step->unplug));
  step->n_unplug = plan->n_unplug;
  step->needs_mute = plan->gives_phantom || takes_phantom ||
                     (plan->sort != REPAIR_DESK && plan->sort != REPAIR_SIDE);
  Sentence caution = WORDS_MUTE;
  TRY(st, repair_caution(p, plan, other, &fill, &caution));
  step->caution = step->needs_mute ? words_say(p->arena, caution, &fill) : "";
  step->readings[0] = "better";
  step->readings[1] = "same";
  step->n_readings = 2;
  return p->is_plain ? STATUS_OK : why_repair(p, &choice->action, first, sum, &step->why);
}

static Status
finish(const Problem* p, const PolicyChoice* choice, Step* step)
{
  const PolicyAction* const action = &choice->action;
  step->line = p->line;
  step->person = action->person;
  step->place =
    action->kind == POLICY_CHECK ? p->checks[action->index].zone : p->repairs[action->index].zone;
  step_touch(step);
  if (step->does == STEP_REPAIR && step->repair == REPAIR_DESK) {
    step->brings_phantom = p->repair_plans[action->index].gives_phantom;
  }
  step->who = p->roles[choice->action.person];
  step->seconds = choice->action.own_s;
  step->expected_s = choice->seconds;
  step->chance = choice->chance;
  const Check read = step->does == STEP_REPAIR ? (Check){CHECK_SWAP, step->desk} : step->check;
  for (int i = 0; i < step->n_readings; ++i) {
    step->reading_says[i] =
      step->readings[i] ? reading_say(p->s, p->arena, p->line, read, step->readings[i]) : NULL;
    if (!step->reading_says[i]) {
      return STATUS_NO_MEMORY;
    }
  }
  return step->say && step->why && step->caution && step->at && step->check_word ? STATUS_OK
                                                                                 : STATUS_NO_MEMORY;
}

Status
telling_step(const Problem* p, const PolicyChoice* choice, Step* step)
{
  Step out = {.desk = -1};
  Status st = STATUS_OK;
  TRY(st, choice->action.kind == POLICY_CHECK ? check_step(p, choice, &out)
                                              : repair_step(p, choice, &out));
  TRY(st, finish(p, choice, &out));
  *step = out;
  return STATUS_OK;
}
