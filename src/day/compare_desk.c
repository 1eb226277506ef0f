// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/compare_build.h"

#include "base/text.h"
#include "day/mark.h"
#include "day/words.h"

#include <math.h>
#include <string.h>

/*
  One desk in one act: every line it should have, what it has besides, who has not followed a way
  round, and what could not be compared, many lines in one sentence.
*/

enum { SAID_LINES = 10 }; // Numbers in one sentence of what was not compared

typedef enum { NOT_READ, NO_PHANTOM, NO_PAD, NO_GAIN, NO_MUTE, NO_NAME, IS_STALE, GAPS } Gap;

static Status
say_gap(CompareBuild* c, int act, int desk, const char* what, const int* lines, int n)
{
  TextOut out = {.arena = c->arena};
  text_add(&out, "%s, %s: %s on %d line%s (", compare_act(c, act), c->plant->desks[desk].say, what,
           n, n == 1 ? "" : "s");
  for (int i = 0; i < n && i < SAID_LINES; ++i) {
    text_add(&out, "%s%d", i > 0 ? ", " : "", lines[i]);
  }
  if (n > SAID_LINES) {
    text_add(&out, " and %d more", n - SAID_LINES);
  }
  text_add(&out, ").");
  return compare_leave(c, text_done(&out));
}

// Whether what a desk has on a line is from before a way round that touches it.
static bool
is_stale(const CompareBuild* c, int act, int desk, int line)
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
has_gap(const CompareBuild* c, const CompareAt* at, Gap gap)
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
say_gaps(CompareBuild* c, int act, int desk, const CompareAt* all, int n)
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
Status
compare_loans(CompareBuild* c, int act, bool is_only)
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
                              .source = compare_source_listed(c, act, loan->line),
                              .way = loan->way,
                              .line = compare_whole(c, c->listed->lines[loan->line].number)};
      Disagreement found = {COMPARE_PATCH,   act, d,  false, loan->line, false,
                            COMPARE_CERTAIN, "",  "", ""};
      if (!fill.source || !fill.line) {
        return STATUS_NO_MEMORY;
      }
      TRY(st, compare_push(c, found,
                           loan->sort == WAY_NONE ? WORDS_PAPER_MOVED_BACK : WORDS_PAPER_MOVED,
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
compare_extra(CompareBuild* c, int act, int desk, bool own_names)
{
  for (int i = 0; act >= 0 && i < c->plant->n_desk_rows; ++i) {
    const DeskRow* const row = &c->plant->desk_rows[i];
    const int line = row->line > 0 ? plant_line(c->plant, row->line) : -1;
    if (row->act != act || row->desk != desk || line < 0 || plant_input(c->plant, act, line) ||
        is_stale(c, act, desk, line)) {
      continue;
    }
    CompareAt at = {act, desk, line, {0}, NULL, {0}};
    at.fill = (WordsFill){.desk = c->plant->desks[desk].say,
                          .input = compare_whole(c, row->channel),
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
      TRY(st, compare_push(c, compare_of(&at, COMPARE_SPARE, COMPARE_ASK), WORDS_PAPER_SPARE_DESK,
                           WORDS_PAPER_EXTRA_DO, &at.fill));
    } else if (name == PAPER_NAME_STRANGE && !left_over && !own_names) {
      TRY(st, compare_push(c, compare_of(&at, COMPARE_NAME, COMPARE_ASK), WORDS_PAPER_EXTRA,
                           WORDS_PAPER_EXTRA_DO, &at.fill));
    }
  }
  return STATUS_OK;
}

// @param[out] is_read  Whether the desk has any row of the act, or nothing to have.
static Status
compare_desk(CompareBuild* c, int act, int desk, bool* is_read)
{
  Status st = STATUS_OK;
  const Plant* const plant = c->plant;
  CompareAt* const all = arena_array(c->arena, (size_t)plant->n_lines, sizeof(CompareAt));
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
    CompareAt* const at = &all[n++];
    *at = (CompareAt){.act = act, .desk = desk, .line = l, .input = input};
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
    TRY(st, compare_leave(
              c, arena_format(c->arena,
                              "%s, %s: %d channels go by names that are in no list; whether "
                              "they are on the right lines is not compared.",
                              compare_act(c, act), plant->desks[desk].say, n_strange)));
  }
  TRY(st, compare_extra(c, act, desk, own_names));
  return say_gaps(c, act, desk, all, n);
}

Status
compare_desks(CompareBuild* c, int act)
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
  return compare_leave(c,
                       !names ? NULL
                       : n_not == c->plant->n_desks
                         ? arena_format(c->arena, "%s: no desk is read.", compare_act(c, act))
                         : arena_format(c->arena, "%s: not read: %s.", compare_act(c, act), names));
}
