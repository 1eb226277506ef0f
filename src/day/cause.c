// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/cause.h"

#include "base/text.h"
#include "day/words.h"

#include <ctype.h>
#include <string.h>

const char*
cause_say(Arena* arena, const Situation* base, const WorldCause* cause)
{
  if (cause->state) {
    return shared_say(arena, base->plant, base->act, cause->state);
  }
  char name[24];
  const char* const part =
    catalogue_part(arena, base->plant, base->act, cause->line, &cause->fault);
  return part ? arena_format(arena, "%s: %s", part, catalogue_name(&cause->fault, name)) : NULL;
}

const char*
cause_truth(Arena* arena, const Situation* base, const WorldCause* cause)
{
  WordsFill fill = {0};
  if (cause->state) {
    fill.first = cause_say(arena, base, cause);
  } else {
    char spoken[CATALOGUE_SPOKEN_BYTES];
    const char* const part =
      catalogue_part(arena, base->plant, base->act, cause->line, &cause->fault);
    fill.first = part ? catalogue_said(arena, part, catalogue_spoken(&cause->fault, spoken)) : NULL;
  }
  return fill.first ? words_say(arena, WORDS_TRUTH, &fill) : NULL;
}

static const char*
line_sentence(Arena* arena, const Situation* base, int line, int desk, Sentence sentence)
{
  const Plant* const plant = base->plant;
  const Line* const l = &plant->lines[line];
  const Input* const input = plant_input(plant, base->act, line);
  const int d = desk >= 0 ? desk : 0;
  const WordsFill fill = {.desk = plant->desks[d].say,
                          .input = arena_format(arena, "%d", l->desk_input[d]),
                          .source = input ? input->source : "the known-good microphone",
                          .box = plant->boxes[l->box].name,
                          .line = arena_format(arena, "%d", l->number),
                          .socket =
                            arena_format(arena, "%s%d", plant->boxes[l->box].name, l->socket)};
  return fill.input && fill.line && fill.socket ? words_say(arena, sentence, &fill) : NULL;
}

const char*
cause_mended(Arena* arena, const Situation* base, const WorldCause* cause, const Step* step)
{
  static const Sentence sentences[REPAIR_COUNT] = {
    [REPAIR_SWITCH] = WORDS_AFTER_SWITCH, [REPAIR_SOURCE] = WORDS_AFTER_SOURCE,
    [REPAIR_CABLE] = WORDS_AFTER_CABLE,   [REPAIR_PLUG] = WORDS_AFTER_PLUG,
    [REPAIR_DESK] = WORDS_AFTER_DESK,     [REPAIR_TAIL] = WORDS_AFTER_TAIL,
    [REPAIR_INPUT] = WORDS_AFTER_INPUT,   [REPAIR_SIDE] = WORDS_AFTER_SIDE,
    [REPAIR_SOCKET] = WORDS_AFTER_SOCKET, [REPAIR_LEAD] = WORDS_AFTER_BOX,
    [REPAIR_POWER] = WORDS_AFTER_BOX,     [REPAIR_CLOCK] = WORDS_AFTER_DESK,
    [REPAIR_OWNER] = WORDS_AFTER_DESK,    [REPAIR_LIFT] = WORDS_AFTER_LIFT,
    [REPAIR_INLINE] = WORDS_AFTER_INLINE};
  const bool bank = cause->state && cause->state->sort == SHARED_BANK;
  return line_sentence(arena, base, cause->line, step->desk,
                       bank ? WORDS_AFTER_BANK : sentences[step->repair]);
}

const char*
cause_passed(Arena* arena, const Situation* base, const WorldCause* cause)
{
  return line_sentence(arena, base, cause->line, -1, WORDS_AFTER_ROUND);
}

static bool
holds(const char* text, const char* part)
{
  const size_t n = strlen(part);
  for (; *text; ++text) {
    size_t i = 0;
    while (i < n && text[i] && tolower((unsigned char)text[i]) == tolower((unsigned char)part[i])) {
      ++i;
    }
    if (i == n) {
      return true;
    }
  }
  return false;
}

Status
cause_of(Arena* arena, const Situation* base, int line, const char* text, WorldCause* cause,
         const char* fits[8], int* n_fits)
{
  static const Fault none = {PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0};
  const int n_locals = base->model.n_locals[line];
  WorldCause only = {0};
  bool is_exact = false;
  int n = 0;
  *n_fits = 0;
  for (int i = 0; i < n_locals + base->n_states - 1; ++i) {
    const SharedState* const state = i < n_locals ? NULL : &base->states[i - n_locals + 1];
    const Fault* const fault = state ? &none : &base->locals[line][i];
    if (state ? state->sort == SHARED_TESTER || !shared_touch(state, line)
              : fault->mode == FAULT_NONE || fault->mode == FAULT_SOMETHING_ELSE) {
      continue;
    }
    const WorldCause one = {base->act, line, *fault, state};
    const char* const say = cause_say(arena, base, &one);
    if (!say) {
      return STATUS_NO_MEMORY;
    }
    const bool exact = text_same(say, text);
    if (holds(say, text) && !is_exact) {
      only = one;
      is_exact = exact;
      ++n;
      if (*n_fits < 8) {
        fits[(*n_fits)++] = say;
      }
    }
  }
  if (n != 1 && !is_exact) {
    return STATUS_NO_SOLUTION;
  }
  *cause = only;
  return STATUS_OK;
}
