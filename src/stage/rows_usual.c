// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"
#include "stage/rows.h"

#include "base/text.h"

#include <math.h>

/*
  Times, odds, chances of misreading and what is missed most: the crew's rows go over the built-in
  ones, a row of its own name at a time.
*/

Status
rows_time(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  StepTime time = {.step = cell_text(list, row, FIELD_STEP),
                   .source = cell_text(list, row, FIELD_SOURCE)};
  int at = 0;
  while (at < draft->times.n && !text_same(draft->times.at[at].step, time.step)) {
    ++at;
  }
  TRY(st, cell_number(draft, list, row, FIELD_USUAL, 0.0, 36000.0, 0.0, &time.usual_s));
  TRY(st,
      cell_number(draft, list, row, FIELD_QUICK, 0.0, time.usual_s, time.usual_s, &time.quick_s));
  if (text_same(cell_text(list, row, FIELD_SLOW), "never")) {
    time.slow_s = INFINITY;
  } else {
    TRY(st, cell_number(draft, list, row, FIELD_SLOW, time.usual_s, 36000.0, time.usual_s,
                        &time.slow_s));
  }
  if (at == draft->times.n) {
    if (!MAKE_ROOM(draft->arena, draft->times)) {
      return draft_no_memory(draft);
    }
    ++draft->times.n;
  }
  draft->times.at[at] = time;
  return STATUS_OK;
}

Status
rows_odds(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  StartOdds odds = {cell_text(list, row, FIELD_WHERE), cell_text(list, row, FIELD_FAULT), 0.0,
                    cell_text(list, row, FIELD_SOURCE)};
  int at = 0;
  while (at < draft->odds.n && !(text_same(draft->odds.at[at].where, odds.where) &&
                                 text_same(draft->odds.at[at].fault, odds.fault))) {
    ++at;
  }
  TRY(st, cell_number(draft, list, row, FIELD_SHARE, 0.0, 1.0, 0.0, &odds.share));
  if (at == draft->odds.n) {
    if (!MAKE_ROOM(draft->arena, draft->odds)) {
      return draft_no_memory(draft);
    }
    ++draft->odds.n;
  }
  draft->odds.at[at] = odds;
  return STATUS_OK;
}

Status
rows_misread(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  Misread misread = {cell_text(list, row, FIELD_CHECK), 0.0, cell_text(list, row, FIELD_SOURCE)};
  int at = 0;
  while (at < draft->misreads.n && !text_same(draft->misreads.at[at].check, misread.check)) {
    ++at;
  }
  // Never zero: nobody reads a lamp rightly every time
  TRY(st, cell_number(draft, list, row, FIELD_PROB, 0.0001, 0.49, 0.05, &misread.prob));
  if (at == draft->misreads.n) {
    if (!MAKE_ROOM(draft->arena, draft->misreads)) {
      return draft_no_memory(draft);
    }
    ++draft->misreads.n;
  }
  draft->misreads.at[at] = misread;
  return STATUS_OK;
}

Status
rows_needed(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  Needed needed = {.plays = cell_text(list, row, FIELD_PLAYS),
                   .beside = cell_text(list, row, FIELD_BESIDE),
                   .needed = NEEDED_MUST,
                   .source = cell_text(list, row, FIELD_SOURCE)};
  int at = 0;
  while (at < draft->needed.n && !(text_same(draft->needed.at[at].plays, needed.plays) &&
                                   text_same(draft->needed.at[at].beside, needed.beside))) {
    ++at;
  }
  if (!text_same(cell_text(list, row, FIELD_NEEDED), "must")) { // Else 1 (first to go) to 9
    TRY(st, cell_whole(draft, list, row, FIELD_NEEDED, 1, NEEDED_VOICE, 0, &needed.needed));
  }
  TRY(st, cell_flag(draft, list, row, FIELD_VOICE, &needed.is_voice));
  TRY(st, cell_flag(draft, list, row, FIELD_SHARE, &needed.shares));
  if (at == draft->needed.n) {
    if (!MAKE_ROOM(draft->arena, draft->needed)) {
      return draft_no_memory(draft);
    }
    ++draft->needed.n;
  }
  draft->needed.at[at] = needed;
  return STATUS_OK;
}
