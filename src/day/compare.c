// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/compare.h"

#include "base/text.h"
#include "day/mark.h"
#include "day/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/*
  Line by line at each desk, since that is how it is put right. Of a crossing each of its two lines
  sees its own half:

    channel 3 "snare top"    takes 4     line 3: its channel, 3, takes 4
    channel 4 "snare bottom" takes 3     line 4: its channel, 4, takes 3

  Whether names or patches are crossed is told by the order of the channels: where each takes the
  input of its own number, the names are wrong; else the patch.
*/

enum { SAID_LINES = 10 }; // Numbers in one sentence of what was not compared

typedef struct {
  Arena* arena;
  const Plant* plant;  ///< With the ways round of the act laid over it
  const Plant* listed; ///< As the lists have it: what the mark of a list is of
  const Loan* loans;   ///< [n_loans]
  int n_loans;
  const Fold* fold;
  Disagreement* list;
  int n, room;
  const char** not_compared;
  int n_not, not_room;
  int n_rows;
} Compare;

// ---- Taking down ----

static Status
push(Compare* c, Disagreement found, Sentence say, Sentence todo, const WordsFill* fill)
{
  if (c->n == c->room) {
    const int room = c->room * 2 + 16;
    Disagreement* const more =
      arena_grow(c->arena, c->list, (size_t)c->n, (size_t)room, sizeof(*more));
    if (!more) {
      return STATUS_NO_MEMORY;
    }
    c->list = more;
    c->room = room;
  }
  found.say = words_say(c->arena, say, fill);
  found.todo = words_say(c->arena, todo, fill);
  found.caution = found.caution ? found.caution : "";
  c->list[c->n++] = found;
  return found.say && found.todo ? STATUS_OK : STATUS_NO_MEMORY;
}

static Status
leave(Compare* c, const char* sentence)
{
  if (c->n_not == c->not_room) {
    const int room = c->not_room * 2 + 16;
    const char** const more =
      arena_grow(c->arena, c->not_compared, (size_t)c->n_not, (size_t)room, sizeof(*more));
    if (!more) {
      return STATUS_NO_MEMORY;
    }
    c->not_compared = more;
    c->not_room = room;
  }
  c->not_compared[c->n_not++] = sentence;
  return sentence ? STATUS_OK : STATUS_NO_MEMORY;
}

static const char*
act_name(const Compare* c, int act)
{
  return act < 0 ? "bare lines" : c->plant->acts[act].name;
}

static const char*
whole(Compare* c, double number)
{
  return arena_format(c->arena, "%d", (int)lround(number));
}

static const char*
socket_of(Compare* c, int line)
{
  const Line* const l = &c->plant->lines[line];
  return arena_format(c->arena, "%s%d", c->plant->boxes[l->box].name, l->socket);
}

static const char*
source_of_listed(Compare* c, int act, int line)
{
  const Input* const input = plant_input(c->listed, act, line);
  return input ? input->source : arena_format(c->arena, "line %d", c->listed->lines[line].number);
}

static const char*
source_of(Compare* c, int act, int line)
{
  const Input* const input = plant_input(c->plant, act, line);
  return input     ? input->source
         : act < 0 ? arena_format(c->arena, "line %d", c->plant->lines[line].number)
                   : "nothing";
}

// ---- One line at one desk ----

typedef struct {
  int act, desk, line;
  PaperLine found;
  const Input* input; ///< NULL on bare lines
  WordsFill fill;
} At;

static Disagreement
of(const At* at, CompareWhat what, CompareSure sure)
{
  return (Disagreement){what, at->act, at->desk, false, at->line, false, sure, "", "", ""};
}

static const char*
mute_first(Compare* c, const At* at)
{
  return words_say(c->arena, WORDS_MUTE_PHANTOM, &at->fill);
}

static Status
phantom_at_owner(Compare* c, At* at)
{
  const Kind* const kind = &c->plant->kinds[at->input->kind];
  Disagreement found = of(at, COMPARE_PHANTOM, COMPARE_CERTAIN);
  at->fill.item = kind->meaning[0] ? kind->meaning : kind->name;
  found.caution = mute_first(c, at);
  if (!found.caution) {
    return STATUS_NO_MEMORY;
  }
  if (paper_needs_phantom(c->plant, at->input)) {
    return push(c, found, kind->has_battery ? WORDS_PAPER_BATTERY : WORDS_PAPER_SILENT,
                WORDS_PAPER_SILENT_DO, &at->fill);
  }
  found.harms = plant_is_harmful(c->plant, at->input);
  return push(c, found, found.harms ? WORDS_PAPER_HARM : WORDS_PAPER_NEEDLESS,
              found.harms ? WORDS_PAPER_HARM_DO : WORDS_PAPER_NEEDLESS_DO, &at->fill);
}

static Status
compare_phantom(Compare* c, At* at)
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
  return push(c, of(at, COMPARE_PHANTOM, COMPARE_CERTAIN),
              plant_is_digital(plant, at->line) ? WORDS_PAPER_BEHIND_BOX : WORDS_PAPER_BEHIND,
              WORDS_PAPER_BEHIND_DO, &at->fill);
}

static Status
compare_level(Compare* c, At* at)
{
  const DeskRow* const row = at->found.takes;
  const double level_dbu = paper_level_dbu(c->plant, at->act, at->line);
  if (paper_says_of(c->plant, at->act, at->desk, at->line, &at->found, PAPER_PAD) ==
      PAPER_DISAGREES) {
    const bool is_in = row->pad_db > 0.0;
    at->fill.first = whole(c, row->pad_db);
    return !at->fill.first
             ? STATUS_NO_MEMORY
             : push(c, of(at, COMPARE_PAD, COMPARE_LIKELY),
                    is_in ? WORDS_PAPER_PAD_IN : WORDS_PAPER_PAD_OUT,
                    is_in ? WORDS_PAPER_PAD_IN_DO : WORDS_PAPER_PAD_OUT_DO, &at->fill);
  }
  if (paper_says_of(c->plant, at->act, at->desk, at->line, &at->found, PAPER_GAIN) !=
      PAPER_DISAGREES) {
    return STATUS_OK;
  }
  const double pad_db = isnan(row->pad_db) ? 0.0 : row->pad_db;
  const double off_db = level_dbu + row->gain_db - pad_db;
  at->fill.first = whole(c, row->gain_db);
  at->fill.second = whole(c, fabs(off_db));
  at->fill.way = whole(c, row->gain_db - off_db);
  return !at->fill.first || !at->fill.second || !at->fill.way
           ? STATUS_NO_MEMORY
           : push(c, of(at, COMPARE_GAIN, COMPARE_LIKELY),
                  off_db < 0.0 ? WORDS_PAPER_GAIN_LOW : WORDS_PAPER_GAIN_HIGH, WORDS_PAPER_GAIN_DO,
                  &at->fill);
}

static bool
is_straight(const Compare* c, int desk, const DeskRow* row)
{
  const int line = row->line > 0 ? plant_line(c->plant, row->line) : -1;
  return line >= 0 && c->plant->lines[line].desk_input[desk] == row->channel;
}

// The channel with the source's name takes something else.
static Status
compare_named(Compare* c, At* at)
{
  const DeskRow* const named = at->found.named;
  const DeskRow* const takes = at->found.takes;
  if (takes && at->found.name == PAPER_NAME_OTHER && is_straight(c, at->desk, takes) &&
      is_straight(c, at->desk, named)) {
    at->fill.input = whole(c, takes->channel);
    at->fill.found = takes->name;
    return !at->fill.input ? STATUS_NO_MEMORY
                           : push(c, of(at, COMPARE_NAME, COMPARE_CERTAIN), WORDS_PAPER_NAME,
                                  WORDS_PAPER_NAME_DO, &at->fill);
  }
  const int other = named->line > 0 ? plant_line(c->plant, named->line) : -1;
  const bool is_used = other >= 0 && (at->act < 0 || plant_input(c->plant, at->act, other));
  at->fill.input = whole(c, named->channel);
  at->fill.found = named->name;
  at->fill.first = other >= 0 ? whole(c, c->plant->lines[other].desk_input[at->desk]) : "";
  at->fill.second = other >= 0 ? source_of(c, at->act, other) : "";
  if (!at->fill.input || !at->fill.first || !at->fill.second) {
    return STATUS_NO_MEMORY;
  }
  return push(c, of(at, COMPARE_PATCH, COMPARE_CERTAIN),
              other < 0 ? WORDS_PAPER_NO_INPUT
              : is_used ? WORDS_PAPER_PATCH
                        : WORDS_PAPER_PATCH_FREE,
              WORDS_PAPER_PATCH_DO, &at->fill);
}

static Status
compare_patch(Compare* c, At* at, bool own_names)
{
  const PaperLine* const found = &at->found;
  if (found->takes && found->name == PAPER_NAME_OWN) {
    return STATUS_OK;
  }
  at->fill.way = whole(c, c->plant->lines[at->line].desk_input[at->desk]);
  if (!at->fill.way) {
    return STATUS_NO_MEMORY;
  }
  if (found->named) {
    return compare_named(c, at);
  }
  if (!found->takes) {
    return push(c, of(at, COMPARE_PATCH, COMPARE_CERTAIN), WORDS_PAPER_NO_CHANNEL,
                WORDS_PAPER_NO_CHANNEL_DO, &at->fill);
  }
  at->fill.found = found->takes->name;
  if (found->name == PAPER_NAME_OTHER) {
    return push(c, of(at, COMPARE_NAME, COMPARE_CERTAIN), WORDS_PAPER_NAME, WORDS_PAPER_NAME_DO,
                &at->fill);
  }
  return found->name == PAPER_NAME_NONE || own_names || at->act < 0
           ? STATUS_OK
           : push(c, of(at, COMPARE_NAME, COMPARE_ASK), WORDS_PAPER_STRANGE, WORDS_PAPER_STRANGE_DO,
                  &at->fill);
}

static Status
compare_at(Compare* c, At* at, bool own_names)
{
  Status st = STATUS_OK;
  const DeskRow* const row = at->found.takes;
  at->fill = (WordsFill){.desk = c->plant->desks[at->desk].say,
                         .source = source_of(c, at->act, at->line),
                         .socket = socket_of(c, at->line),
                         .box = c->plant->boxes[c->plant->lines[at->line].box].name,
                         .line = whole(c, c->plant->lines[at->line].number),
                         .input = whole(c, row ? row->channel : 0)};
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
  return row->is_muted != ANSWER_NO ? STATUS_OK
                                    : push(c, of(at, COMPARE_MUTE, COMPARE_ASK), WORDS_PAPER_MUTE,
                                           WORDS_PAPER_MUTE_DO, &at->fill);
}

// ---- One desk in one act ----

typedef enum { NOT_READ, NO_PHANTOM, NO_PAD, NO_GAIN, NO_MUTE, NO_NAME, IS_STALE, GAPS } Gap;

static Status
say_gap(Compare* c, int act, int desk, const char* what, const int* lines, int n)
{
  TextOut out = {.arena = c->arena};
  text_add(&out, "%s, %s: %s on %d line%s (", act_name(c, act), c->plant->desks[desk].say, what, n,
           n == 1 ? "" : "s");
  for (int i = 0; i < n && i < SAID_LINES; ++i) {
    text_add(&out, "%s%d", i > 0 ? ", " : "", lines[i]);
  }
  if (n > SAID_LINES) {
    text_add(&out, " and %d more", n - SAID_LINES);
  }
  text_add(&out, ").");
  return leave(c, text_done(&out));
}

// Whether what a desk has on a line is from before a way round that touches it.
static bool
is_stale(const Compare* c, int act, int desk, int line)
{
  bool stale = false;
  for (int i = 0; i < c->n_loans; ++i) {
    const Loan* const loan = &c->loans[i];
    const bool touches = loan->line == line || loan->to == line || loan->lender == line;
    stale = stale || (touches && (loan->act < 0 || loan->act == act) && loan->concerns[desk] &&
                      !loan->was_read[desk]);
  }
  return stale;
}

static bool
has_gap(const Compare* c, const At* at, Gap gap)
{
  const DeskRow* const row = at->found.takes;
  const bool sets =
    !plant_is_digital(c->plant, at->line) || at->desk == plant_phantom_desk(c->plant, at->line);
  switch (gap) {
    case IS_STALE:
      return is_stale(c, at->act, at->desk, at->line);
    case NOT_READ: // Another's channel that takes this line too says nothing of its own
      return (!row || at->found.name == PAPER_NAME_OTHER) && !at->found.named && !at->found.read &&
             !at->found.is_listed;
    case NO_PHANTOM:
      return row && at->act >= 0 && row->gives_phantom == ANSWER_ASK &&
             paper_phantom_gets_there(c->plant, at->desk, at->line);
    case NO_PAD:
      return row && sets && isnan(row->pad_db);
    case NO_GAIN:
      return row && sets && isnan(row->gain_db);
    case NO_MUTE:
      return row && row->is_muted == ANSWER_ASK;
    default:
      return row && at->found.name == PAPER_NAME_NONE;
  }
}

static Status
say_gaps(Compare* c, int act, int desk, const At* all, int n)
{
  static const char* const words[GAPS] = {[NOT_READ] = "not read",
                                          [NO_PHANTOM] = "phantom not said",
                                          [NO_PAD] = "pad not said",
                                          [NO_GAIN] = "gain not said",
                                          [NO_MUTE] = "mute not said",
                                          [NO_NAME] = "no name",
                                          [IS_STALE] = "not read since it was moved"};
  Status st = STATUS_OK;
  int* const lines = arena_array(c->arena, (size_t)n, sizeof(int));
  if (!lines) {
    return STATUS_NO_MEMORY;
  }
  for (int gap = 0; gap < GAPS; ++gap) {
    int n_lines = 0;
    for (int i = 0; i < n; ++i) {
      if (has_gap(c, &all[i], (Gap)gap)) {
        lines[n_lines++] = c->plant->lines[all[i].line].number;
      }
    }
    if (n_lines > 0) {
      TRY(st, say_gap(c, act, desk, words[gap], lines, n_lines));
    }
  }
  return STATUS_OK;
}

// Desks that a way round concerns and that have not said that they follow.
static Status
compare_loans(Compare* c, int act, bool is_only)
{
  Status st = STATUS_OK;
  MarkHeld held[MARK_PLACES];
  const int n_held = act < 0 ? 0 : mark_held(c->listed, c->fold, act, c->loans, c->n_loans, held);
  for (int i = 0; i < c->n_loans; ++i) {
    const Loan* const loan = &c->loans[i];
    // What was moved on bare lines is said there; of one act alone it is said with that act
    const bool counts = loan->act == act || (loan->act < 0 && is_only);
    if (!counts || (act >= 0 && !plant_input(c->listed, act, loan->line))) {
      continue;
    }
    for (int d = 0; d < c->plant->n_desks; ++d) {
      bool follows = !loan->concerns[d] || loan->followed[d];
      for (int k = 0; k < n_held; ++k) {
        follows = follows || (held[k].desk == d && held[k].word == MARK_SAME);
      }
      if (follows) {
        continue;
      }
      const WordsFill fill = {.desk = c->plant->desks[d].say,
                              .source = source_of_listed(c, act, loan->line),
                              .way = loan->way,
                              .line = whole(c, c->listed->lines[loan->line].number)};
      Disagreement found = {COMPARE_PATCH,   act, d,  false, loan->line, false,
                            COMPARE_CERTAIN, "",  "", ""};
      if (!fill.source || !fill.line) {
        return STATUS_NO_MEMORY;
      }
      TRY(st, push(c, found, loan->sort == WAY_NONE ? WORDS_PAPER_MOVED_BACK : WORDS_PAPER_MOVED,
                   WORDS_PAPER_VERSION_DO, &fill));
      c->list[c->n - 1].todo = loan_desk_say(c->arena, c->listed, loan, d);
      if (!c->list[c->n - 1].todo) {
        return STATUS_NO_MEMORY;
      }
    }
  }
  return STATUS_OK;
}

// What a desk has on lines where the list has nothing.
static Status
compare_extra(Compare* c, int act, int desk, bool own_names)
{
  for (int i = 0; act >= 0 && i < c->plant->n_desk_rows; ++i) {
    const DeskRow* const row = &c->plant->desk_rows[i];
    const int line = row->line > 0 ? plant_line(c->plant, row->line) : -1;
    if (row->act != act || row->desk != desk || line < 0 || plant_input(c->plant, act, line) ||
        is_stale(c, act, desk, line)) {
      continue;
    }
    At at = {act, desk, line, {0}, NULL, {0}};
    at.fill = (WordsFill){.desk = c->plant->desks[desk].say,
                          .input = whole(c, row->channel),
                          .source = row->name,
                          .found = row->name[0] ? row->name : "a source"};
    if (!at.fill.input) {
      return STATUS_NO_MEMORY;
    }
    int other = -1;
    Status st = STATUS_OK;
    const PaperName name = paper_name(c->plant, act, line, row->name, &other);
    bool left_over = false; // From the act before: as that act's list has it
    for (int a = 0; a < c->plant->n_acts; ++a) {
      const Input* const was = plant_input(c->plant, a, line);
      left_over = left_over || (was && text_same(was->source, row->name));
    }
    if (c->plant->lines[line].is_spare) {
      TRY(st, push(c, of(&at, COMPARE_SPARE, COMPARE_ASK), WORDS_PAPER_SPARE_DESK,
                   WORDS_PAPER_EXTRA_DO, &at.fill));
    } else if (name == PAPER_NAME_STRANGE && !left_over && !own_names) {
      TRY(st, push(c, of(&at, COMPARE_NAME, COMPARE_ASK), WORDS_PAPER_EXTRA, WORDS_PAPER_EXTRA_DO,
                   &at.fill));
    }
  }
  return STATUS_OK;
}

// @param[out] is_read  Whether the desk has any row of the act, or nothing to have.
static Status
compare_desk(Compare* c, int act, int desk, bool* is_read)
{
  Status st = STATUS_OK;
  const Plant* const plant = c->plant;
  At* const all = arena_array(c->arena, (size_t)plant->n_lines, sizeof(At));
  int n = 0;
  int n_rows = 0;
  int n_strange = 0;
  if (!all) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < plant->n_desk_rows; ++i) {
    n_rows += plant->desk_rows[i].act == act && plant->desk_rows[i].desk == desk;
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    const Input* const input = plant_input(plant, act, l);
    if (plant->lines[l].desk_input[desk] == 0 || (act >= 0 && !input)) {
      continue;
    }
    At* const at = &all[n++];
    *at = (At){.act = act, .desk = desk, .line = l, .input = input};
    paper_line(plant, act, desk, l, &at->found);
    n_strange += at->found.takes && at->found.name == PAPER_NAME_STRANGE;
  }
  *is_read = n_rows > 0 || n == 0;
  c->n_rows += n_rows;
  if (n_rows == 0) {
    return STATUS_OK;
  }
  // A desk where many names are in no list goes by names of its own: each by itself is no news
  const bool own_names = n_strange > 3 && 3 * n_strange > n;
  for (int i = 0; i < n; ++i) {
    if (!has_gap(c, &all[i], NOT_READ) && !is_stale(c, act, desk, all[i].line)) {
      TRY(st, compare_at(c, &all[i], own_names));
    }
  }
  if (own_names) {
    TRY(st, leave(c, arena_format(c->arena,
                                  "%s, %s: %d channels go by names that are in no list; whether "
                                  "they are on the right lines is not compared.",
                                  act_name(c, act), plant->desks[desk].say, n_strange)));
  }
  TRY(st, compare_extra(c, act, desk, own_names));
  return say_gaps(c, act, desk, all, n);
}

static Status
compare_desks(Compare* c, int act)
{
  Status st = STATUS_OK;
  TextOut out = {.arena = c->arena};
  int n_not = 0;
  for (int d = 0; d < c->plant->n_desks; ++d) {
    bool is_read = false;
    TRY(st, compare_desk(c, act, d, &is_read));
    if (!is_read) {
      text_add(&out, "%s%s", n_not > 0 ? ", " : "", c->plant->desks[d].say);
      ++n_not;
    }
  }
  const char* const names = text_done(&out);
  if (n_not == 0) {
    return STATUS_OK;
  }
  return leave(c, !names ? NULL
                  : n_not == c->plant->n_desks
                    ? arena_format(c->arena, "%s: no desk is read.", act_name(c, act))
                    : arena_format(c->arena, "%s: not read: %s.", act_name(c, act), names));
}

// ---- The list itself ----

static Status
compare_list_phantom(Compare* c, const Input* input)
{
  const Kind* const kind = &c->plant->kinds[input->kind];
  const bool needs = paper_needs_phantom(c->plant, input) && input->wants_phantom == ANSWER_NO;
  // What must be asked of anyway may be right on the list: only what is known to hurt speaks up
  const bool harms = input->wants_phantom == ANSWER_YES && plant_is_harmful(c->plant, input) &&
                     kind->phantom_harmless != ANSWER_ASK;
  if (!needs && !harms) {
    return STATUS_OK;
  }
  const WordsFill fill = {.source = input->source,
                          .item = kind->meaning[0] ? kind->meaning : kind->name};
  Disagreement found = {COMPARE_PHANTOM, input->act,      -1, false, input->line,
                        harms,           COMPARE_CERTAIN, "", "",    ""};
  return push(c, found, needs ? WORDS_PAPER_LIST_NEEDS : WORDS_PAPER_LIST_HARM, WORDS_PAPER_LIST_DO,
              &fill);
}

static Status
compare_list(Compare* c, int act)
{
  Status st = STATUS_OK;
  const Plant* const plant = c->plant;
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    if (input->act != act) {
      continue;
    }
    Disagreement found = {COMPARE_SOCKET,  act, -1, false, input->line, false,
                          COMPARE_CERTAIN, "",  "", ""};
    WordsFill fill = {.source = input->source};
    TRY(st, compare_list_phantom(c, input));
    if (input->line < 0) {
      TRY(st, push(c, found, WORDS_PAPER_NO_LINE, WORDS_PAPER_NO_LINE_DO, &fill));
      continue;
    }
    const Input* const first = plant_input(plant, act, input->line);
    fill.socket = socket_of(c, input->line);
    fill.found = first->source;
    if (!fill.socket) {
      return STATUS_NO_MEMORY;
    }
    if (first != input) {
      TRY(st, push(c, found, WORDS_PAPER_TWICE, WORDS_PAPER_TWICE_DO, &fill));
    }
    if (plant->lines[input->line].is_spare) {
      found.what = COMPARE_SPARE;
      TRY(st, push(c, found, WORDS_PAPER_SPARE, WORDS_PAPER_SPARE_DO, &fill));
    }
    if (plant->kinds[input->kind].is_assumed) {
      TRY(st, leave(c, arena_format(c->arena,
                                    "%s, line %d: nobody has told what a \"%s\" needs and stands.",
                                    act_name(c, act), plant->lines[input->line].number,
                                    plant->kinds[input->kind].name)));
    }
  }
  return STATUS_OK;
}

// Two lines on one input of a desk: a slip in the lines list.
static Status
compare_inputs(Compare* c)
{
  Status st = STATUS_OK;
  const Plant* const plant = c->plant;
  for (int d = 0; d < plant->n_desks; ++d) {
    for (int l = 0; l < plant->n_lines; ++l) {
      for (int k = 0; k < plant->n_lines; ++k) {
        const int input = plant->lines[l].desk_input[d];
        if (k == l || input == 0 || plant->lines[k].desk_input[d] != input) {
          continue;
        }
        const WordsFill fill = {.desk = plant->desks[d].say,
                                .input = whole(c, input),
                                .way = whole(c, plant->lines[k].number)};
        if (!fill.input || !fill.way) {
          return STATUS_NO_MEMORY;
        }
        TRY(st, push(c,
                     (Disagreement){COMPARE_SOCKET, -1, d, false, l, false, COMPARE_CERTAIN, "", "",
                                    ""},
                     WORDS_PAPER_INPUT_TWICE, WORDS_PAPER_INPUT_TWICE_DO, &fill));
      }
    }
  }
  return STATUS_OK;
}

// ---- What was told today ----

static Status
compare_versions(Compare* c, int act)
{
  Status st = STATUS_OK;
  MarkHeld held[MARK_PLACES];
  char mark[MARK_ROOM];
  const int n = mark_held(c->listed, c->fold, act, c->loans, c->n_loans, held);
  TextOut out = {.arena = c->arena};
  int n_not = 0;
  (void)mark_act(c->listed, c->fold, act, mark);
  for (int i = 0; i < n; ++i) {
    if (held[i].word == MARK_NOT_SAID) {
      text_add(&out, "%s%s", n_not > 0 ? ", " : "", held[i].say);
      ++n_not;
    } else if (held[i].word == MARK_OTHER) {
      const bool number_alone = strspn(held[i].held, "0123456789") == strlen(held[i].held);
      const WordsFill fill = {
        .desk = held[i].say,
        .found = arena_format(c->arena, "%s%s", number_alone ? "version " : "", held[i].held),
        .first = mark};
      if (!fill.found) {
        return STATUS_NO_MEMORY;
      }
      TRY(st, push(c,
                   (Disagreement){COMPARE_VERSION, act, held[i].desk, held[i].desk < 0, -1, false,
                                  COMPARE_CERTAIN, "", "", ""},
                   WORDS_PAPER_VERSION, WORDS_PAPER_VERSION_DO, &fill));
    }
  }
  const char* const names = text_done(&out);
  return n_not == 0
           ? STATUS_OK
           : leave(c, names ? arena_format(c->arena, "%s: which list is held, not said: %s.",
                                           act_name(c, act), names)
                            : NULL);
}

static Status
compare_plugs(Compare* c, int act)
{
  for (size_t i = 0; c->fold && i < c->fold->plugged.n_facts; ++i) {
    const FactBody* const b = &c->fold->plugged.facts[i]->body;
    const int line = b->place ? plant_socket(c->plant, b->place) : -1;
    const int told = b->act && b->act[0] ? plant_act(c->plant, b->act) : -1;
    const Input* const input = line >= 0 ? plant_input(c->plant, act, line) : NULL;
    if (told != act || line < 0 || !b->what || !b->what[0] ||
        (input && text_same(input->source, b->what))) {
      continue;
    }
    const WordsFill fill = {
      .found = b->what, .socket = socket_of(c, line), .source = input ? input->source : "nothing"};
    Status st = STATUS_OK;
    if (!fill.socket) {
      return STATUS_NO_MEMORY;
    }
    TRY(st, push(c,
                 (Disagreement){COMPARE_SOCKET, act, -1, false, line, false, COMPARE_CERTAIN, "",
                                "", ""},
                 WORDS_PAPER_PLUGGED, WORDS_PAPER_PLUGGED_DO, &fill));
  }
  return STATUS_OK;
}

// ---- All of it ----

static int
rank(const Disagreement* d)
{
  return d->harms ? 0 : d->what == COMPARE_VERSION ? 1 : 2;
}

static int
by_weight(const void* a_, const void* b_)
{
  const Disagreement* const a = a_;
  const Disagreement* const b = b_;
  const int ways[] = {a->act - b->act,   rank(a) - rank(b),           a->line - b->line,
                      a->desk - b->desk, (int)a->what - (int)b->what, strcmp(a->say, b->say)};
  for (size_t i = 0; i < sizeof(ways) / sizeof(ways[0]); ++i) {
    if (ways[i]) {
      return ways[i];
    }
  }
  return 0;
}

Status
compare_all(Arena* arena, const Plant* plant, const Fold* fold, int act, Comparison* comparison)
{
  Compare c = {.arena = arena, .listed = plant, .fold = fold};
  Status st = STATUS_OK;
  TRY(st, loan_list(arena, plant, fold, &c.loans, &c.n_loans));
  for (int a = -1; a < plant->n_acts; ++a) {
    if (act != COMPARE_EVERY_ACT && act != a) {
      continue;
    }
    Plant laid;
    TRY(st, loan_lay(arena, plant, c.loans, c.n_loans, a, &laid));
    c.plant = &laid;
    TRY(st, a < 0 ? compare_inputs(&c) : compare_versions(&c, a));
    TRY(st, compare_loans(&c, a, act != COMPARE_EVERY_ACT));
    if (a >= 0) {
      TRY(st, compare_list(&c, a));
    }
    TRY(st, compare_desks(&c, a));
    TRY(st, compare_plugs(&c, a));
  }
  if (c.n > 0) {
    qsort(c.list, (size_t)c.n, sizeof(*c.list), by_weight);
  }
  *comparison = (Comparison){c.list, c.n, c.not_compared, c.n_not, c.n_rows};
  return STATUS_OK;
}

const char*
compare_word(CompareWhat what)
{
  static const char* const words[COMPARE_SORTS] = {
#define COMPARE_WORD(name, word) word,
    COMPARE_LIST(COMPARE_WORD)
#undef COMPARE_WORD
  };
  return words[what];
}

const char*
compare_sure(CompareSure sure)
{
  return sure == COMPARE_CERTAIN ? "certain" : sure == COMPARE_LIKELY ? "likely" : "ask";
}
