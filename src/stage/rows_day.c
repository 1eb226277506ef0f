// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"
#include "stage/rows.h"

#include "base/text.h"

#include <string.h>

/*
  The day: which act is on when, when doors open, and which version of a list each place has.
*/

static bool
has_words(const char* text, const char* words)
{
  for (; *text; ++text) {
    if (text_begins(text, words)) {
      return true;
    }
  }
  return false;
}

// When doors open and when lines are first checked: the first row of each.
static Status
read_doors(Draft* draft, const List* list, const TableRow* row, const char* what)
{
  Status st = STATUS_OK;
  Doors* const doors = &draft->doors;
  if (!doors->opens[0] && text_begins(what, "doors")) {
    TRY(st, cell_clock(draft, list, row, FIELD_START, &doors->opens));
    TRY(st, cell_date(draft, list, row, FIELD_DATE, &doors->date));
  }
  return !doors->checking[0] && has_words(what, "line check")
           ? cell_clock(draft, list, row, FIELD_START, &doors->checking)
           : STATUS_OK;
}

// A row "act 2 on" puts the act into the running order; beside that only doors and the line check
// are this room's business.
Status
rows_day(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  const char* const what = cell_text(list, row, FIELD_WHAT);
  const size_t n = strlen(what);
  TRY(st, read_doors(draft, list, row, what));
  if (n < 4 || !text_same(what + n - 3, "on") || what[n - 3] != ' ') {
    return STATUS_OK;
  }
  char* const name = arena_text(draft->arena, what, n - 3);
  if (!name) {
    return draft_no_memory(draft);
  }
  if (!text_begins(name, "act") && !text_same(name, cell_text(list, row, FIELD_WHO))) {
    return STATUS_OK;
  }
  int act = 0;
  TRY(st, draft_act(draft, name, &act));
  Act* const at = &draft->acts.at[act];
  if (at->start[0]) {
    return draft_bad(draft, list, row, FIELD_WHAT,
                     "%.40s is on twice in this running order: give the second set a name of its "
                     "own.",
                     at->name);
  }
  TRY(st, cell_clock(draft, list, row, FIELD_START, &at->start));
  TRY(st, cell_clock(draft, list, row, FIELD_END, &at->end));
  return cell_date(draft, list, row, FIELD_DATE, &at->date);
}

Status
rows_version(Draft* draft, const List* list, const TableRow* row)
{
  ListVersion version = {cell_text(list, row, FIELD_ACT),
                         cell_text(list, row, FIELD_VERSION),
                         {cell_text(list, row, FIELD_FOH), cell_text(list, row, FIELD_MON),
                          cell_text(list, row, FIELD_BROADCAST), cell_text(list, row, FIELD_STAGE)},
                         list->name};
  if (!MAKE_ROOM(draft->arena, draft->versions)) {
    return draft_no_memory(draft);
  }
  draft->versions.at[draft->versions.n++] = version;
  return STATUS_OK;
}
