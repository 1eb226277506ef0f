// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/patch_cells.h"

#include "base/table.h"
#include "base/text.h"
#include "face/line_view.h"

/*
  A list is written by setting its box and socket cells, everything else in it stays. Rows are found
  by what plays in them, in the order in which the plant read them.
*/

// The column with one of these headings; one is added at the end when there is none.
static Status
column_of(Arena* arena, Table* table, int head, const char* const names[], int* column)
{
  TableRow* const row = &table->rows[head];
  for (int c = 0; c < row->n_cells; ++c) {
    for (int k = 0; names[k]; ++k) {
      if (text_same(row->cells[c].text, names[k])) {
        *column = c;
        return STATUS_OK;
      }
    }
  }
  int widest = 0;
  for (int r = 0; r < table->n_rows; ++r) {
    widest = table->rows[r].n_cells > widest ? table->rows[r].n_cells : widest;
  }
  *column = widest;
  TableCell* const cells = arena_array(arena, (size_t)widest + 1, sizeof(TableCell));
  if (!cells) {
    return STATUS_NO_MEMORY;
  }
  for (int c = 0; c <= widest; ++c) {
    cells[c] = c < row->n_cells ? row->cells[c] : (TableCell){"", row->line, 1};
  }
  cells[widest].text = names[0];
  row->cells = cells;
  row->n_cells = widest + 1;
  return STATUS_OK;
}

static Status
set_cell(Arena* arena, TableRow* row, int column, const char* text)
{
  if (!text) {
    return STATUS_NO_MEMORY;
  }
  if (column >= row->n_cells) {
    TableCell* const cells = arena_array(arena, (size_t)column + 1, sizeof(TableCell));
    if (!cells) {
      return STATUS_NO_MEMORY;
    }
    for (int c = 0; c <= column; ++c) {
      cells[c] = c < row->n_cells ? row->cells[c] : (TableCell){"", row->line, 1};
    }
    row->cells = cells;
    row->n_cells = column + 1;
  }
  row->cells[column].text = text;
  return STATUS_OK;
}

// The heading row: the first with a cell that names the sources; -1 = there is none.
static int
heading_of(const Table* table, int* source)
{
  static const char* const names[] = {"source", "instrument", "input", "name", "what", NULL};
  for (int k = 0; names[k]; ++k) {
    for (int r = 0; r < table->n_rows && r < 20; ++r) {
      for (int c = 0; c < table->rows[r].n_cells; ++c) {
        if (text_same(table->rows[r].cells[c].text, names[k])) {
          *source = c;
          return r;
        }
      }
    }
  }
  return -1;
}

Status
patch_cells(const Face* face, const OpenShow* show, const Daypatch* plan, int at, ListText* newer)
{
  static const char* const boxes[] = {"box", "stage box", NULL};
  static const char* const sockets[] = {"socket", "box socket", NULL};
  const ListText* const list = &show->lists[at];
  const Plant* const plant = &show->plant;
  Table table;
  int source = 0;
  int box = 0;
  int socket = 0;
  Status st;
  TRY(st, table_read(face->arena, list->name, list->bytes, list->n_bytes, &table, face->error));
  const int head = heading_of(&table, &source);
  if (head < 0) {
    return error_set(
      face->error, STATUS_BAD_INPUT, list->name, 1, 1,
      "No column of this list is called \"source\": call it so, that the sockets can "
      "be written beside it.");
  }
  TRY(st, column_of(face->arena, &table, head, boxes, &box));
  TRY(st, column_of(face->arena, &table, head, sockets, &socket));
  int next = 0; // Rows come in the order of the inputs
  for (int r = head + 1; r < table.n_rows; ++r) {
    TableRow* const row = &table.rows[r];
    const char* const text = table_cell(row, source)->text;
    int i = next;
    while (i < plant->n_inputs && !(text_same(plant->inputs[i].list, list->name) &&
                                    text_same(plant->inputs[i].source, text))) {
      ++i;
    }
    if (i == plant->n_inputs) {
      continue; // A section, a note, a row without a source
    }
    next = i + 1;
    if (plan->fixed[i]) {
      continue;
    }
    if (plan->line[i] < 0) { // Its old socket may be another's now
      TRY(st, set_cell(face->arena, row, box, ""));
      TRY(st, set_cell(face->arena, row, socket, ""));
      continue;
    }
    const Line* const line = &plant->lines[plan->line[i]];
    TRY(st, set_cell(face->arena, row, box, plant->boxes[line->box].name));
    TRY(st, set_cell(face->arena, row, socket, arena_format(face->arena, "%d", line->socket)));
  }
  return table_write(face->arena, &table, &newer->bytes, &newer->n_bytes);
}

Status
patch_cells_check(const Face* face, const OpenShow* show, const Daypatch* plan, const Plant* now)
{
  const Plant* const plant = &show->plant;
  for (int i = 0; i < plant->n_inputs; ++i) {
    if (plan->line[i] >= 0 &&
        (i >= now->n_inputs || !text_same(now->inputs[i].source, plant->inputs[i].source) ||
         now->inputs[i].line != plan->line[i])) {
      char want[40];
      return error_set(face->error, STATUS_BAD_INPUT, plant->inputs[i].list, 0, 0,
                       "The sockets cannot be written into this list (%.60s, %s): give it a column "
                       "box and a column socket, and no other that says where.",
                       plant->inputs[i].source, line_socket(plant, plan->line[i], want));
    }
  }
  return STATUS_OK;
}
