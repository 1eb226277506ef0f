// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/change_build.h"

#include "base/text.h"
#include "day/words.h"

/*
  The desks' steps. Muting and phantom off stand before any plug is touched, for whoever touches it:
  gates. Setting the channels and phantom on come behind, phantom box by box as soon as everything
  is plugged there.
*/

typedef bool (*Wants)(const ChangeBuild* b, int desk, int line, bool is_done);

static bool
wants_mute(const ChangeBuild* b, int desk, int line, bool is_done)
{
  bool sets = false;
  for (int i = 0; i < b->n_channels[desk]; ++i) {
    sets = sets || b->channels[desk][i].line == line;
  }
  return (b->hot[line] || sets) &&
         !b->out.plugged.muted[desk * b->plant->n_lines + line] == !is_done;
}

static bool
wants_off(const ChangeBuild* b, int desk, int line, bool is_done)
{
  const FoldFact* const told = b->out.plugged.fed_by[line];
  if (plant_phantom_desk(b->plant, line) != desk) {
    return false;
  }
  return is_done ? told && !b->out.plugged.fed[line] && b->hot[line]
                 : change_step_is_touched(b, line) &&
                     (b->out.plugged.fed[line] || (change_step_harmful(b, line) && !told));
}

// The harmful sources of lines, "section left and section right"; NULL = none, "" = no memory.
static const char*
harmful_say(ChangeBuild* b, const int lines[], int n)
{
  TextOut out = {.arena = b->arena};
  int n_found = 0;
  int n_said = 0;
  for (int i = 0; i < n; ++i) {
    n_found += change_step_harmful(b, lines[i]) != NULL;
  }
  for (int i = 0; i < n; ++i) {
    const Input* const input = change_step_harmful(b, lines[i]);
    if (input) {
      ++n_said;
      text_add(&out, "%s%s", n_said == 1 ? "" : n_said == n_found ? " and " : ", ", input->source);
    }
  }
  const char* const text = text_done(&out);
  return n_found == 0 ? NULL : text ? text : "";
}

// Phantom is not touched before every desk that has one of the lines is muted.
static Status
wait_for_mutes(ChangeBuild* b, ChangeStep* step)
{
  int* const after = change_step_room(b, b->out.n_steps);
  if (!after) {
    return STATUS_NO_MEMORY;
  }
  step->after = after;
  for (int i = 0; step->does == CHANGE_DOES_OFF && i < b->out.n_steps; ++i) {
    const ChangeStep* const other = &b->steps[i];
    for (int k = 0; k < step->n_lines; ++k) {
      if (change_is_gate(other) && other->does == CHANGE_DOES_MUTE &&
          change_step_is_for(other, step->lines[k])) {
        change_step_wait(step, after, i);
      }
    }
  }
  return STATUS_OK;
}

// Muting and phantom off: one step for what is left, one for what is done.
static Status
add_gate(ChangeBuild* b, int desk, ChangeDoes does, Wants wants)
{
  for (int pass = 0; pass < 2; ++pass) {
    const bool is_done = pass == 0;
    int* const lines = change_step_room(b, b->plant->n_lines);
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
                            .input = change_step_channels(b, lines, n, b->number[desk]),
                            .unplug = harmful};
    ChangeStep* const step = change_step_add(b, does, b->n_hands + desk);
    const bool is_mute = does == CHANGE_DOES_MUTE;
    step->key = change_step_key(b, does, desk, -1, is_done);
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
    step->done_by = is_done ? change_step_newest(b, does, desk, lines, n, &step->is_heard) : NULL;
    if (!fill.input || !change_step_is_whole(step) || wait_for_mutes(b, step) != STATUS_OK) {
      return STATUS_NO_MEMORY;
    }
  }
  return STATUS_OK;
}

// ---- Setting the channels, and phantom on ----

static double
patch_s(const ChangeBuild* b, const ChangeChannel* channel)
{
  const double soft_s = plant_time_s(b->plant, "soft patch one input at one desk", 15.0);
  return (channel->moves_input ? soft_s : 0.0) + (channel->renames ? CHANGE_NAME_S : 0.0) +
         (channel->moves_pad ? CHANGE_NAME_S : 0.0);
}

Status
change_gate_patch(ChangeBuild* b, int desk)
{
  const ChangeChannel* const all = b->channels[desk];
  const int n_all = b->n_channels[desk];
  for (int pass = 0; pass < 2; ++pass) {
    const bool is_done = pass == 0;
    int* const lines = change_step_room(b, n_all);
    int* const after = change_step_room(b, 1);
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
                            .item = change_step_act(b),
                            .input = change_step_channels(b, lines, n, b->number_after[desk])};
    ChangeStep* const step = change_step_add(b, CHANGE_DOES_PATCH, b->n_hands + desk);
    step->key = change_step_key(b, CHANGE_DOES_PATCH, desk, -1, is_done);
    step->say = words_say(b->arena, WORDS_CHANGE_PATCH, &fill);
    step->why = words_say(b->arena, WORDS_CHANGE_WHY_PATCH, &fill);
    step->caution = words_say(b->arena, WORDS_CHANGE_CAUTION_SCENE, &fill);
    step->lines = lines;
    step->n_lines = n;
    step->channels = channels;
    step->n_channels = n;
    step->seconds = seconds;
    step->is_done = is_done;
    step->done_by = is_done ? change_step_newest(b, CHANGE_DOES_PATCH, desk, lines, n, NULL) : NULL;
    step->after = after;
    for (int i = 0; i < b->out.n_steps; ++i) {
      if (change_is_gate(&b->steps[i]) && b->steps[i].desk == desk &&
          b->steps[i].does == CHANGE_DOES_MUTE) {
        change_step_wait(step, after, i);
      }
    }
    if (!fill.input || !change_step_is_whole(step)) {
      return STATUS_NO_MEMORY;
    }
  }
  return STATUS_OK;
}

static bool
wants_on(const ChangeBuild* b, int desk, int line, bool is_done)
{
  const int plug = b->out.allotment.target[line];
  const Input* const next = plug >= 0 ? b->out.plugged.plugs[plug].next : NULL;
  const bool is_fed =
    b->out.plugged.fed[line] && !(change_step_is_touched(b, line) && b->out.plugged.fed[line]);
  return plant_phantom_desk(b->plant, line) == desk && change_step_wants_phantom(b->plant, next) &&
         (is_done ? is_fed && b->out.plugged.fed_by[line] : !is_fed);
}

Status
change_gate_on(ChangeBuild* b, int desk, int box)
{
  for (int pass = 0; pass < 2; ++pass) {
    const bool is_done = pass == 0;
    int* const lines = change_step_room(b, b->plant->n_lines);
    int* const after = change_step_room(b, b->out.n_steps);
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
                            .input = change_step_channels(b, lines, n, b->number_after[desk]),
                            .source = text_done(&names)};
    ChangeStep* const step = change_step_add(b, CHANGE_DOES_ON, b->n_hands + desk);
    step->key = change_step_key(b, CHANGE_DOES_ON, desk, box, is_done);
    step->say = words_say(b->arena, WORDS_CHANGE_ON, &fill);
    step->why = words_say(b->arena, WORDS_CHANGE_WHY_ON, &fill);
    step->caution = words_say(b->arena, WORDS_CHANGE_CAUTION_MUTED, &fill);
    step->lines = lines;
    step->n_lines = n;
    step->box = box;
    step->seconds = CHANGE_PHANTOM_S * n;
    step->is_done = is_done;
    step->done_by = is_done ? change_step_newest(b, CHANGE_DOES_ON, desk, lines, n, NULL) : NULL;
    step->after = after;
    for (int i = 0; i < b->out.n_steps - 1; ++i) {
      const ChangeStep* const other = &b->steps[i];
      const bool here = other->line >= 0 && b->plant->lines[other->line].box == box;
      const bool mutes = change_is_gate(other) && other->does == CHANGE_DOES_MUTE;
      bool for_one = false;
      for (int k = 0; mutes && k < n; ++k) {
        for_one = for_one || change_step_is_for(other, lines[k]);
      }
      if (!other->is_done && (here || for_one)) {
        change_step_wait(step, after, i);
      }
    }
    if (!fill.input || !fill.source || !change_step_is_whole(step)) {
      return STATUS_NO_MEMORY;
    }
  }
  return STATUS_OK;
}

Status
change_gate_mute(ChangeBuild* b, int desk)
{
  return add_gate(b, desk, CHANGE_DOES_MUTE, wants_mute);
}

Status
change_gate_off(ChangeBuild* b, int desk)
{
  return add_gate(b, desk, CHANGE_DOES_OFF, wants_off);
}
