// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/tidy_build.h"

#include "base/text.h"
#include "stage/cell.h"
#include "stage/range.h"

/*
  A row that is an input, as a row of its own: several channels in one become so many, a box that is
  named once for several sockets is named in each, numbers lose what stands around them.
*/

bool
tidy_has(const List* list, const TableRow* row, Field field)
{
  return field < FIELD_COUNT && !cell_says_nothing(cell_text(list, row, field));
}

static Status
set_cell(Tidy* tidy, TableRow* row, Field field, const char* text)
{
  const int c = tidy->list->at[field];
  if (!text) {
    return draft_no_memory(tidy->draft);
  }
  if (c >= 0 && c < row->n_cells) {
    row->cells[c].text = text;
  }
  return STATUS_OK;
}

static Status
push(Tidy* tidy, const TableRow* row, TableRow* own)
{
  if (tidy->rows.n > DRAFT_MAX_ROWS) {
    return error_set(tidy->draft->error, STATUS_LIMIT, tidy->list->name, row->line, 1,
                     "This list of inputs has more than %d rows: is it the right file?",
                     DRAFT_MAX_ROWS);
  }
  *own = *row;
  own->cells = arena_grow(tidy->draft->arena, row->cells, (size_t)row->n_cells,
                          (size_t)row->n_cells, sizeof(TableCell));
  if (!own->cells || !MAKE_ROOM(tidy->draft->arena, tidy->rows)) {
    return draft_no_memory(tidy->draft);
  }
  tidy->rows.at[tidy->rows.n++] = *own;
  return STATUS_OK;
}

// The cell of socket, patch or line for input `i` of a row of `n`.
static Status
spread_place(Tidy* tidy, const TableRow* row, TableRow* own, Field field, int i, int n)
{
  const char* const text = cell_text(tidy->list, row, field);
  int first = 0;
  int n_places = 0;
  char name[48] = "";
  if (cell_says_nothing(text)) {
    return STATUS_OK;
  }
  const bool is_bare = range_read(text, cell_text(tidy->list, row, FIELD_BOX), &first, &n_places);
  if (!is_bare && !range_of_box(text, name, sizeof(name), &first, &n_places)) {
    return field == FIELD_BOX ? STATUS_OK // The name of a box, which all of them share
                              : draft_bad(tidy->draft, tidy->list, row, field,
                                          "%d channels in one row, and \"%.40s\" under \"%.40s\": "
                                          "write as many, as in B1-B%d.",
                                          n, text, cell_heading(tidy->list, field), n);
  }
  if (n_places != n) {
    return draft_bad(
      tidy->draft, tidy->list, row, field,
      "%d channels in one row, and %d under \"%.40s\" (\"%.40s\"): write as many, as "
      "in B1-B%d.",
      n, n_places, cell_heading(tidy->list, field), text, n);
  }
  return set_cell(tidy, own, field, arena_format(tidy->draft->arena, "%s%d", name, first + i));
}

// A row of n channels as n rows.
static Status
spread_row(Tidy* tidy, const TableRow* row, int first, int n)
{
  static const Field places[] = {FIELD_SOCKET, FIELD_PATCH, FIELD_LINE, FIELD_BOX};
  Arena* const arena = tidy->draft->arena;
  const char* const source = cell_text(tidy->list, row, FIELD_SOURCE);
  const char* const kind = cell_text(tidy->list, row, FIELD_KIND);
  Status st = STATUS_OK;
  for (int i = 0; i < n; ++i) {
    TableRow own;
    TRY(st, push(tidy, row, &own));
    for (size_t k = 0; k < sizeof(places) / sizeof(places[0]); ++k) {
      if (tidy->list->at[places[k]] >= 0) {
        TRY(st, spread_place(tidy, row, &own, places[k], i, n));
      }
    }
    TRY(st, set_cell(tidy, &own, tidy->number, arena_format(arena, "%d", first + i)));
    if (!cell_says_nothing(source)) {
      TRY(st, set_cell(tidy, &own, FIELD_SOURCE, range_name(arena, source, i, n)));
    }
    if (tidy->list->at[FIELD_KIND] >= 0) {
      TRY(st, set_cell(tidy, &own, FIELD_KIND, range_without_count(arena, kind, n)));
    }
  }
  if (cell_says_nothing(source)) {
    return STATUS_OK;
  }
  const char* const one = range_name(arena, source, 0, n);
  const char* const last = range_name(arena, source, n - 1, n);
  return one && last ? draft_assume(tidy->draft,
                                    "%.80s, line %d: channels %d to %d are taken as %d inputs, "
                                    "%.60s to %.60s.",
                                    tidy->list->name, row->line, first, first + n - 1, n, one, last)
                     : draft_no_memory(tidy->draft);
}

// A socket without a box is on the box of the row before.
static Status
carry_box(Tidy* tidy, TableRow* row)
{
  const List* const list = tidy->list;
  if (list->at[FIELD_BOX] < 0 || list->at[FIELD_BOX] >= row->n_cells) {
    return STATUS_OK;
  }
  if (tidy_has(list, row, FIELD_BOX)) {
    tidy->box = cell_text(list, row, FIELD_BOX);
    return STATUS_OK;
  }
  // Several channels may have a range here; what has its box with it needs none
  const char* const socket = cell_text(list, row, FIELD_SOCKET);
  if (!tidy->box || !range_read(socket, "", &(int){0}, &(int){0}) ||
      tidy_has(list, row, FIELD_PATCH)) {
    return STATUS_OK;
  }
  tidy->first_carried = tidy->n_carried == 0 ? row->line : tidy->first_carried;
  ++tidy->n_carried;
  TableCell* const cells = arena_grow(tidy->draft->arena, row->cells, (size_t)row->n_cells,
                                      (size_t)row->n_cells, sizeof(*cells));
  if (!cells) {
    return draft_no_memory(tidy->draft);
  }
  row->cells = cells;
  return set_cell(tidy, row, FIELD_BOX, tidy->box);
}

Status
tidy_take(Tidy* tidy, const TableRow* given)
{
  Status st = STATUS_OK;
  TableRow row = *given;
  int first = 0;
  int n = 1;
  TRY(st, carry_box(tidy, &row));
  const bool is_number = tidy->number < FIELD_COUNT &&
                         range_read(cell_text(tidy->list, &row, tidy->number), "", &first, &n);
  if (is_number && n > 1) {
    return spread_row(tidy, &row, first, n);
  }
  TableRow own;
  TRY(st, push(tidy, &row, &own));
  int line = 0;
  int n_lines = 0;
  const char* const line_text = cell_text(tidy->list, &own, FIELD_LINE); // "L7" is line 7
  if (tidy->number != FIELD_LINE && range_read(line_text, "L", &line, &n_lines) && n_lines == 1) {
    TRY(st, set_cell(tidy, &own, FIELD_LINE, arena_format(tidy->draft->arena, "%d", line)));
  }
  return is_number
           ? set_cell(tidy, &own, tidy->number, arena_format(tidy->draft->arena, "%d", first))
           : STATUS_OK;
}
