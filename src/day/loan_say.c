// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/loan.h"

#include "day/words.h"

#include <stdio.h>

/*
  A loan in sentences: what each desk does to follow, and what gives it back.
*/

static const char*
source_of(const Plant* plant, int act, int line, char text[16])
{
  const Input* const input = plant_input(plant, act, line);
  (void)snprintf(text, 16, "line %d", plant->lines[line].number % 100000);
  return input ? input->source : text;
}

static const char*
socket_of(Arena* arena, const Plant* plant, int line)
{
  const Line* const l = &plant->lines[line];
  return arena_format(arena, "%s%d", plant->boxes[l->box].name, l->socket);
}

const char*
loan_step(Arena* arena, const Loan* loan)
{
  return arena_format(arena, "way %s", loan->sort == WAY_NONE ? "back" : loan->way);
}

static const char*
number_say(Arena* arena, int number)
{
  return arena_format(arena, "%d", number);
}

// In a digital box the new preamplifier is not set at all: that is for the desk that owns it.
static Sentence
patch_sentence(const Plant* plant, const Loan* loan, int desk)
{
  const Input* const input = plant_input(plant, loan->act, loan->line);
  if (!plant_is_digital(plant, loan->to) || plant_phantom_desk(plant, loan->to) != desk) {
    return WORDS_AROUND_DESK;
  }
  const Kind* const kind = input ? &plant->kinds[input->kind] : NULL;
  const bool fed = kind && kind->needs_phantom == ANSWER_YES && !plant_is_harmful(plant, input);
  return fed ? WORDS_AROUND_OWNER_FED : WORDS_AROUND_OWNER;
}

static Sentence
desk_sentence(const Plant* plant, const Loan* loan, int desk)
{
  const bool first = desk == loan->desk;
  switch (loan->sort) {
    case WAY_SOCKET:
      return plant->lines[loan->to].desk_input[desk] > 0 ? patch_sentence(plant, loan, desk)
                                                         : WORDS_AROUND_WITHOUT;
    case WAY_SPARE:
      return WORDS_AROUND_SPARE_DESK;
    case WAY_INPUT:
      return WORDS_AROUND_INPUT_DESK;
    case WAY_FEED:
      return first ? WORDS_AROUND_FEED_TO : WORDS_AROUND_FEED_FROM;
    case WAY_SIDE:
      return first ? WORDS_AROUND_SIDE_DESK : WORDS_AROUND_WITHOUT;
    default:
      break;
  }
  switch (loan->was) {
    case WAY_SPARE:
      return WORDS_BACK_SPARE_DESK;
    case WAY_INPUT:
      return WORDS_BACK_INPUT_DESK;
    case WAY_FEED:
      return first ? WORDS_BACK_DESK : WORDS_BACK_FEED_FROM;
    case WAY_SIDE:
      return WORDS_BACK_SIDE_DESK;
    default:
      return WORDS_BACK_DESK;
  }
}

const char*
loan_desk_say(Arena* arena, const Plant* plant, const Loan* loan, int desk)
{
  if (!loan->concerns[desk]) {
    return "";
  }
  const bool away = loan->sort != WAY_NONE;
  const int runs_on = away ? loan->to : loan->line;
  char own[16];
  char second[16];
  const WordsFill fill = {
    .desk = plant->desks[desk].say,
    .found =
      loan->other >= 0 ? plant->desks[desk == loan->desk ? loan->other : loan->desk].say : "",
    .source = source_of(plant, loan->act, loan->line, own),
    .spare = source_of(plant, loan->act, loan->to, second),
    .line = number_say(arena, plant->lines[loan->line].number),
    .input = number_say(
      arena, plant->lines[away && loan->sort != WAY_INPUT ? runs_on : loan->line].desk_input[desk]),
    .way = number_say(arena, loan->input)};
  return fill.line && fill.input && fill.way
           ? words_say(arena, desk_sentence(plant, loan, desk), &fill)
           : NULL;
}

static Sentence
back_sentence(const Loan* loan)
{
  static const Sentence says[WAY_COUNT] = {
    [WAY_SOCKET] = WORDS_BACK_SOCKET, [WAY_SPARE] = WORDS_BACK_SPARE,
    [WAY_INPUT] = WORDS_BACK_INPUT,   [WAY_FEED] = WORDS_BACK_FEED,
    [WAY_SIDE] = WORDS_BACK_SIDE,     [WAY_LEAD] = WORDS_BACK_LEAD};
  return says[loan->was];
}

// Hands at a plug: muted, and phantom off where what hangs on it must not get it.
static Sentence
back_caution(const Plant* plant, const Loan* loan)
{
  const bool harmful = plant_is_harmful(plant, plant_input(plant, loan->act, loan->line));
  switch (loan->was) {
    case WAY_SOCKET:
      return harmful ? WORDS_NO_PHANTOM_TWO : WORDS_MUTE_TWO;
    case WAY_INPUT:
    case WAY_SIDE:
      return harmful ? WORDS_NO_PHANTOM : WORDS_MUTE;
    case WAY_LEAD:
      return WORDS_BOX_CAUTION;
    default:
      return WORDS_COUNT;
  }
}

Status
loan_back(Arena* arena, const Plant* plant, const Loan* loan, LoanBack* back)
{
  char own[16];
  char second[16];
  const int box = plant->lines[loan->line].box;
  const int split = plant_place(plant, "split");
  const WordsFill fill = {
    .source = source_of(plant, loan->act, loan->line, own),
    .spare = source_of(plant, loan->act, loan->to, second),
    .socket = socket_of(arena, plant, loan->line),
    .way = socket_of(arena, plant, loan->to),
    .found = loan->other >= 0 ? plant->desks[loan->other].say : socket_of(arena, plant, loan->to),
    .unplug = source_of(plant, loan->act, loan->line, own),
    .line = number_say(arena, plant->lines[loan->line].number),
    .input =
      number_say(arena, loan->desk >= 0 ? plant->lines[loan->line].desk_input[loan->desk] : 0),
    .desk = loan->desk >= 0 ? plant->desks[loan->desk].say : "",
    .box = plant->boxes[box].name};
  LoanBack out = {.caution = "", .place = -1, .desk = -1};
  if (!fill.socket || !fill.way || !fill.found || !fill.line || !fill.input) {
    return STATUS_NO_MEMORY;
  }
  const Sentence caution = back_caution(plant, loan);
  out.say = words_say(arena, back_sentence(loan), &fill);
  out.caution = caution == WORDS_COUNT ? "" : words_say(arena, caution, &fill);
  if (loan->was == WAY_INPUT || loan->was == WAY_FEED) {
    out.desk = loan->desk;
  } else if (loan->was != WAY_SPARE) {
    out.place =
      loan->was == WAY_SIDE && split >= 0 ? split : plant->boxes[plant->lines[loan->to].box].place;
  }
  Loan home = *loan;
  home.sort = WAY_NONE;
  for (int d = 0; d < PLANT_DESKS; ++d) {
    out.desks[d] = d < plant->n_desks ? loan_desk_say(arena, plant, &home, d) : "";
    if (!out.desks[d]) {
      return STATUS_NO_MEMORY;
    }
  }
  if (!out.say || !out.caution) {
    return STATUS_NO_MEMORY;
  }
  *back = out;
  return STATUS_OK;
}

const char*
loan_say(Arena* arena, const Plant* plant, const Loan* loan)
{
  char own[16];
  const char* const source = source_of(plant, loan->act, loan->line, own);
  const char* const when = loan->act < 0 ? "before the first act" : plant->acts[loan->act].name;
  return arena_format(arena, "%s, line %d, runs on %s (taken in %s)", source,
                      plant->lines[loan->line].number, loan->way, when);
}
