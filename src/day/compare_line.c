// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/compare_build.h"

#include "base/text.h"
#include "day/words.h"

#include <math.h>

/*
  Line by line at each desk, since that is how it is put right. Of a crossing each of its two lines
  sees its own half:

    channel 3 "snare top"    takes 4     line 3: its channel, 3, takes 4
    channel 4 "snare bottom" takes 3     line 4: its channel, 4, takes 3

  Whether names or patches are crossed is told by the order of the channels: where each takes the
  input of its own number, the names are wrong; else the patch.
*/

Disagreement
compare_of(const CompareAt* at, CompareWhat what, CompareSure sure)
{
  return (Disagreement){what, at->act, at->desk, false, at->line, false, sure, "", "", ""};
}

static const char*
mute_first(CompareBuild* c, const CompareAt* at)
{
  return words_say(c->arena, WORDS_MUTE_PHANTOM, &at->fill);
}

static Status
phantom_at_owner(CompareBuild* c, CompareAt* at)
{
  const Kind* const kind = &c->plant->kinds[at->input->kind];
  Disagreement found = compare_of(at, COMPARE_PHANTOM, COMPARE_CERTAIN);
  at->fill.item = kind->meaning[0] ? kind->meaning : kind->name;
  found.caution = mute_first(c, at);
  if (!found.caution) {
    return STATUS_NO_MEMORY;
  }
  if (paper_needs_phantom(c->plant, at->input)) {
    return compare_push(c, found, kind->has_battery ? WORDS_PAPER_BATTERY : WORDS_PAPER_SILENT,
                        WORDS_PAPER_SILENT_DO, &at->fill);
  }
  found.harms = plant_is_harmful(c->plant, at->input);
  return compare_push(c, found, found.harms ? WORDS_PAPER_HARM : WORDS_PAPER_NEEDLESS,
                      found.harms ? WORDS_PAPER_HARM_DO : WORDS_PAPER_NEEDLESS_DO, &at->fill);
}

static Status
compare_phantom(CompareBuild* c, CompareAt* at)
{
  const Plant* const plant = c->plant;
  if (paper_says_of(plant, at->act, at->desk, at->line, &at->found, PAPER_PHANTOM) !=
      PAPER_DISAGREES) {
    return STATUS_OK;
  }
  if (paper_phantom_gets_there(plant, at->desk, at->line)) {
    return phantom_at_owner(c, at);
  }
  at->fill.found = plant->desks[plant_phantom_desk(plant, at->line)].say;
  return compare_push(c, compare_of(at, COMPARE_PHANTOM, COMPARE_CERTAIN),
                      plant_is_digital(plant, at->line) ? WORDS_PAPER_BEHIND_BOX
                                                        : WORDS_PAPER_BEHIND,
                      WORDS_PAPER_BEHIND_DO, &at->fill);
}

static Status
compare_level(CompareBuild* c, CompareAt* at)
{
  const DeskRow* const row = at->found.takes;
  const double level_dbu = paper_level_dbu(c->plant, at->act, at->line);
  if (paper_says_of(c->plant, at->act, at->desk, at->line, &at->found, PAPER_PAD) ==
      PAPER_DISAGREES) {
    const bool is_in = row->pad_db > 0.0;
    at->fill.first = compare_whole(c, row->pad_db);
    return !at->fill.first
             ? STATUS_NO_MEMORY
             : compare_push(c, compare_of(at, COMPARE_PAD, COMPARE_LIKELY),
                            is_in ? WORDS_PAPER_PAD_IN : WORDS_PAPER_PAD_OUT,
                            is_in ? WORDS_PAPER_PAD_IN_DO : WORDS_PAPER_PAD_OUT_DO, &at->fill);
  }
  if (paper_says_of(c->plant, at->act, at->desk, at->line, &at->found, PAPER_GAIN) !=
      PAPER_DISAGREES) {
    return STATUS_OK;
  }
  const double pad_db = isnan(row->pad_db) ? 0.0 : row->pad_db;
  const double off_db = level_dbu + row->gain_db - pad_db;
  at->fill.first = compare_whole(c, row->gain_db);
  at->fill.second = compare_whole(c, fabs(off_db));
  at->fill.way = compare_whole(c, row->gain_db - off_db);
  return !at->fill.first || !at->fill.second || !at->fill.way
           ? STATUS_NO_MEMORY
           : compare_push(c, compare_of(at, COMPARE_GAIN, COMPARE_LIKELY),
                          off_db < 0.0 ? WORDS_PAPER_GAIN_LOW : WORDS_PAPER_GAIN_HIGH,
                          WORDS_PAPER_GAIN_DO, &at->fill);
}

static bool
is_straight(const CompareBuild* c, int desk, const DeskRow* row)
{
  const int line = row->line > 0 ? plant_line(c->plant, row->line) : -1;
  return line >= 0 && c->plant->lines[line].desk_input[desk] == row->channel;
}

// The channel with the source's name takes something else.
static Status
compare_named(CompareBuild* c, CompareAt* at)
{
  const DeskRow* const named = at->found.named;
  const DeskRow* const takes = at->found.takes;
  if (takes && at->found.name == PAPER_NAME_OTHER && is_straight(c, at->desk, takes) &&
      is_straight(c, at->desk, named)) {
    at->fill.input = compare_whole(c, takes->channel);
    at->fill.found = takes->name;
    return !at->fill.input ? STATUS_NO_MEMORY
                           : compare_push(c, compare_of(at, COMPARE_NAME, COMPARE_CERTAIN),
                                          WORDS_PAPER_NAME, WORDS_PAPER_NAME_DO, &at->fill);
  }
  const int other = named->line > 0 ? plant_line(c->plant, named->line) : -1;
  const bool is_used = other >= 0 && (at->act < 0 || plant_input(c->plant, at->act, other));
  at->fill.input = compare_whole(c, named->channel);
  at->fill.found = named->name;
  at->fill.first = other >= 0 ? compare_whole(c, c->plant->lines[other].desk_input[at->desk]) : "";
  at->fill.second = other >= 0 ? compare_source(c, at->act, other) : "";
  if (!at->fill.input || !at->fill.first || !at->fill.second) {
    return STATUS_NO_MEMORY;
  }
  return compare_push(c, compare_of(at, COMPARE_PATCH, COMPARE_CERTAIN),
                      other < 0 ? WORDS_PAPER_NO_INPUT
                      : is_used ? WORDS_PAPER_PATCH
                                : WORDS_PAPER_PATCH_FREE,
                      WORDS_PAPER_PATCH_DO, &at->fill);
}

static Status
compare_patch(CompareBuild* c, CompareAt* at, bool own_names)
{
  const PaperLine* const found = &at->found;
  if (found->takes && found->name == PAPER_NAME_OWN) {
    return STATUS_OK;
  }
  at->fill.way = compare_whole(c, c->plant->lines[at->line].desk_input[at->desk]);
  if (!at->fill.way) {
    return STATUS_NO_MEMORY;
  }
  if (found->named) {
    return compare_named(c, at);
  }
  if (!found->takes) {
    return compare_push(c, compare_of(at, COMPARE_PATCH, COMPARE_CERTAIN), WORDS_PAPER_NO_CHANNEL,
                        WORDS_PAPER_NO_CHANNEL_DO, &at->fill);
  }
  at->fill.found = found->takes->name;
  if (found->name == PAPER_NAME_OTHER) {
    return compare_push(c, compare_of(at, COMPARE_NAME, COMPARE_CERTAIN), WORDS_PAPER_NAME,
                        WORDS_PAPER_NAME_DO, &at->fill);
  }
  return found->name == PAPER_NAME_NONE || own_names || at->act < 0
           ? STATUS_OK
           : compare_push(c, compare_of(at, COMPARE_NAME, COMPARE_ASK), WORDS_PAPER_STRANGE,
                          WORDS_PAPER_STRANGE_DO, &at->fill);
}

Status
compare_at(CompareBuild* c, CompareAt* at, bool own_names)
{
  Status st = STATUS_OK;
  const DeskRow* const row = at->found.takes;
  at->fill = (WordsFill){.desk = c->plant->desks[at->desk].say,
                         .source = compare_source(c, at->act, at->line),
                         .socket = compare_socket(c, at->line),
                         .box = c->plant->boxes[c->plant->lines[at->line].box].name,
                         .line = compare_whole(c, c->plant->lines[at->line].number),
                         .input = compare_whole(c, row ? row->channel : 0)};
  if (!at->fill.source || !at->fill.socket || !at->fill.line || !at->fill.input) {
    return STATUS_NO_MEMORY;
  }
  const WordsFill fill = at->fill;
  TRY(st, compare_patch(c, at, own_names));
  if (!row) {
    return STATUS_OK;
  }
  at->fill = fill;
  TRY(st, compare_phantom(c, at));
  at->fill = fill;
  TRY(st, compare_level(c, at));
  at->fill = fill;
  return row->is_muted != ANSWER_NO
           ? STATUS_OK
           : compare_push(c, compare_of(at, COMPARE_MUTE, COMPARE_ASK), WORDS_PAPER_MUTE,
                          WORDS_PAPER_MUTE_DO, &at->fill);
}
