// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/rows.h"

#include "base/text.h"
#include "stage/cell.h"

#include <string.h>

/*
  The rows of one list, as things: first what any list must keep, then row by row with the reader of
  its sort (rows_*.c). All of them stop at the first cell that makes no sense, because half an
  import is worse than none.
*/

// What any list must keep: needed cells there, nothing beyond the headings.
static Status
check_row(const Draft* draft, const List* list, const TableRow* row)
{
  const int n_columns = list->table.rows[0].n_cells;
  for (int f = 0; f < FIELD_COUNT; ++f) {
    const bool placed =
      list->sort == LIST_INPUTS && (f == FIELD_SOURCE || f == FIELD_BOX || f == FIELD_SOCKET ||
                                    f == FIELD_PATCH || f == FIELD_LINE);
    if (list->at[f] < 0 || !(placed || heading_needs(list->sort, (Field)f))) {
      continue;
    }
    if (list->at[f] >= row->n_cells) {
      if (row->n_cells == 1 && strpbrk(row->cells[0].text, ",;|\t")) {
        return draft_bad(draft, list, row, FIELD_COUNT,
                         "This row is not cut where the headings are: use one delimiter in the "
                         "whole file.");
      }
      return draft_bad(draft, list, row, (Field)f,
                       "This row has %d cells and ends before \"%.40s\" in column %d: write the "
                       "missing cells.",
                       row->n_cells, cell_heading(list, (Field)f), list->at[f] + 1);
    }
    const bool may_be_empty = placed || (list->sort == LIST_DESK_PATCH && f == FIELD_LINE);
    if (!may_be_empty && !row->cells[list->at[f]].text[0]) {
      return draft_bad(draft, list, row, (Field)f,
                       "The cell under \"%.40s\" is empty: write it, or take the row out.",
                       cell_heading(list, (Field)f));
    }
  }
  for (int c = n_columns; c < row->n_cells; ++c) {
    if (row->cells[c].text[0]) {
      return error_set(draft->error, STATUS_BAD_INPUT, list->name, row->cells[c].line, c + 1,
                       "This row has %d cells and there are %d headings: put a cell that contains "
                       "the delimiter (a decimal comma?) into quotes.",
                       row->n_cells, n_columns);
    }
  }
  return STATUS_OK;
}

// On lists that are looked up by a word, the word stands once.
static Status
check_double(const Draft* draft, const List* list, int r)
{
  static const Field keys[][2] = {
    [LIST_INLINE] = {FIELD_INLINE, FIELD_INLINE}, [LIST_KINDS] = {FIELD_KIND, FIELD_KIND},
    [LIST_TIMES] = {FIELD_STEP, FIELD_STEP},      [LIST_ODDS] = {FIELD_WHERE, FIELD_FAULT},
    [LIST_MISREAD] = {FIELD_CHECK, FIELD_CHECK},  [LIST_METERS] = {FIELD_METER, FIELD_METER},
    [LIST_PLACES] = {FIELD_FROM, FIELD_TO},       [LIST_NEEDED] = {FIELD_PLAYS, FIELD_BESIDE}};
  if (list->sort != LIST_KINDS && list->sort != LIST_INLINE && list->sort != LIST_TIMES &&
      list->sort != LIST_ODDS && list->sort != LIST_MISREAD && list->sort != LIST_METERS &&
      list->sort != LIST_PLACES && list->sort != LIST_NEEDED) {
    return STATUS_OK;
  }
  const TableRow* const row = &list->table.rows[r];
  const Field one = keys[list->sort][0];
  const Field two = keys[list->sort][1];
  for (int k = 1; k < r; ++k) {
    const TableRow* const other = &list->table.rows[k];
    if (text_same(cell_text(list, row, one), cell_text(list, other, one)) &&
        text_same(cell_text(list, row, two), cell_text(list, other, two))) {
      return draft_bad(draft, list, row, one,
                       "\"%.60s\" is listed twice (also in line %d): keep one row.",
                       cell_text(list, row, one), other->line);
    }
  }
  return STATUS_OK;
}

static Status
read_row(Draft* draft, const List* list, const TableRow* row)
{
  switch (list->sort) {
    case LIST_BOXES:
      return rows_box(draft, list, row);
    case LIST_LINES:
      return rows_line(draft, list, row);
    case LIST_KINDS:
      return rows_source(draft, list, row);
    case LIST_INLINE:
      return rows_inline(draft, list, row);
    case LIST_ITEMS:
      return rows_item(draft, list, row);
    case LIST_DESK_PATCH:
      return rows_desk_channel(draft, list, row);
    case LIST_CREW:
      return rows_person(draft, list, row);
    case LIST_DAY:
      return rows_day(draft, list, row);
    case LIST_SPLIT:
      return rows_split(draft, list, row);
    case LIST_PLACES:
      return rows_walk(draft, list, row);
    case LIST_TIMES:
      return rows_time(draft, list, row);
    case LIST_ODDS:
      return rows_odds(draft, list, row);
    case LIST_MISREAD:
      return rows_misread(draft, list, row);
    case LIST_NEEDED:
      return rows_needed(draft, list, row);
    case LIST_TESTERS:
    case LIST_METERS:
      return rows_tester(draft, list, row);
    case LIST_KIT:
      return rows_kit(draft, list, row);
    case LIST_VERSIONS:
      return rows_version(draft, list, row);
    case LIST_DESKS:
      return rows_desk_input(draft, list, row);
    case LIST_DRIVES:
      return rows_drive(draft, list, row);
    case LIST_OUTPUTS:
      return rows_output(draft, list, row);
    case LIST_MONITORS:
      return rows_monitor(draft, list, row);
    case LIST_INPUTS:  // Read as a whole
    case LIST_MAPPING: // Read before all others
    case LIST_UNKNOWN:
      break;
  }
  return STATUS_OK;
}

Status
rows_read(Draft* draft, const List* list)
{
  Status st = STATUS_OK;
  for (int r = 1; r < list->table.n_rows; ++r) {
    TRY(st, check_row(draft, list, &list->table.rows[r]));
    TRY(st, check_double(draft, list, r));
  }
  draft->has_boxes = draft->has_boxes || list->sort == LIST_BOXES;
  if (list->sort == LIST_INPUTS) {
    return rows_inputs(draft, list);
  }
  for (int r = 1; r < list->table.n_rows; ++r) {
    TRY(st, read_row(draft, list, &list->table.rows[r]));
  }
  return STATUS_OK;
}
