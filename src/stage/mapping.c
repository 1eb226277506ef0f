// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/mapping.h"

#include "base/text.h"
#include "stage/heading.h"

#include <string.h>

enum { MAX_ANSWERS = 2000, PLAIN_BYTES = 96 };

static const char* const names[] = {"under", "written", "means"};

// Column of each of the three names; false when one is missing.
static bool
find_columns(const Table* table, int at[3])
{
  bool all = table->n_rows > 0;
  for (int i = 0; all && i < 3; ++i) {
    at[i] = -1;
    for (int c = 0; c < table->rows[0].n_cells; ++c) {
      char plain[PLAIN_BYTES];
      heading_plain(table->rows[0].cells[c].text, plain, sizeof(plain));
      at[i] = strcmp(plain, names[i]) == 0 ? c : at[i];
    }
    all = at[i] >= 0;
  }
  return all;
}

bool
mapping_is(const Table* table)
{
  int at[3];
  return find_columns(table, at);
}

static bool
same_written(const char* under, const char* a, const char* b)
{
  if (text_same(a, b)) {
    return true;
  }
  if (!text_same(under, "heading")) {
    return false;
  }
  char one[PLAIN_BYTES];
  char two[PLAIN_BYTES];
  heading_plain(a, one, sizeof(one));
  heading_plain(b, two, sizeof(two));
  return one[0] && strcmp(one, two) == 0;
}

// Put a row over the one that says the same written, or behind the others.
static void
put(MappingRow* rows, int* n, const MappingRow* row)
{
  for (int i = 0; i < *n; ++i) {
    if (text_same(rows[i].under, row->under) &&
        same_written(row->under, rows[i].written, row->written)) {
      rows[i] = *row;
      return;
    }
  }
  rows[(*n)++] = *row;
}

bool
mapping_is_under(const char* word)
{
  return heading_question(word) || text_same(word, "heading") || text_same(word, "row") ||
         text_same(word, "act");
}

static Status
read_row(const Table* table, const TableRow* row, const int at[3], MappingRow* out, Error* error)
{
  for (int i = 0; i < 3; ++i) {
    const char* const text = table_cell(row, at[i])->text;
    if (!text[0]) {
      return error_set(
        error, STATUS_BAD_INPUT, table->file, row->line, at[i] + 1,
        "The cell under \"%s\" is empty: write it (\"nothing\" if a word means that), "
        "or take the row out.",
        names[i]);
    }
  }
  *out = (MappingRow){table_cell(row, at[0])->text, table_cell(row, at[1])->text,
                      table_cell(row, at[2])->text};
  if (!mapping_is_under(out->under)) {
    return error_set(error, STATUS_BAD_INPUT, table->file, row->line, at[0] + 1,
                     "\"%.40s\" is none of heading, row, act, pickup, phantom, channel, line, box, "
                     "socket and patch: under which of them was it written?",
                     out->under);
  }
  return STATUS_OK;
}

Status
mapping_read(Arena* arena, const Table* const* tables, int n_tables, Mapping* mapping, Error* error)
{
  int room = 0;
  int at[3];
  for (int i = 0; i < n_tables; ++i) {
    room += mapping_is(tables[i]) ? tables[i]->n_rows : 0;
  }
  if (room > MAX_ANSWERS) {
    return error_set(error, STATUS_LIMIT, NULL, 0, 0,
                     "There are more than %d answers about lists: is it the right file?",
                     MAX_ANSWERS);
  }
  MappingRow* const rows = arena_array(arena, (size_t)room, sizeof(*rows));
  if (!rows) {
    return error_set(error, STATUS_NO_MEMORY, NULL, 0, 0,
                     "There is not enough memory for these lists.");
  }
  int n = 0;
  for (int i = 0; i < n_tables; ++i) {
    if (!find_columns(tables[i], at)) {
      continue;
    }
    for (int r = 1; r < tables[i]->n_rows; ++r) {
      MappingRow row;
      Status st;
      TRY(st, read_row(tables[i], &tables[i]->rows[r], at, &row, error));
      put(rows, &n, &row);
    }
  }
  *mapping = (Mapping){rows, n};
  return STATUS_OK;
}

const char*
mapping_means(const Mapping* mapping, const char* under, const char* written)
{
  for (int i = 0; mapping && i < mapping->n_rows; ++i) {
    const MappingRow* const row = &mapping->rows[i];
    if (text_same(row->under, under) && same_written(under, row->written, written)) {
      return row->means;
    }
  }
  return NULL;
}

Status
mapping_write(Arena* arena, const Mapping* mapping, const MappingRow* more, int n_more,
              const char** bytes, size_t* n_bytes)
{
  MappingRow* const rows =
    arena_array(arena, (size_t)mapping->n_rows + (size_t)n_more, sizeof(*rows));
  const size_t n_most = (size_t)mapping->n_rows + (size_t)n_more + 1;
  TableCell* const cells = arena_array(arena, 3 * n_most, sizeof(*cells));
  TableRow* const lines = arena_array(arena, n_most, sizeof(*lines));
  if (!rows || !cells || !lines) {
    return STATUS_NO_MEMORY;
  }
  int n = mapping->n_rows;
  if (n > 0) {
    memcpy(rows, mapping->rows, (size_t)n * sizeof(*rows));
  }
  for (int i = 0; i < n_more; ++i) {
    put(rows, &n, &more[i]);
  }
  for (int r = 0; r <= n; ++r) {
    const char* const texts[3] = {r ? rows[r - 1].under : names[0],
                                  r ? rows[r - 1].written : names[1],
                                  r ? rows[r - 1].means : names[2]};
    for (int i = 0; i < 3; ++i) {
      cells[3 * r + i] = (TableCell){texts[i], r + 1, i + 1};
    }
    lines[r] = (TableRow){&cells[(size_t)3 * (size_t)r], 3, r + 1};
  }
  const Table table = {.rows = lines, .n_rows = n + 1, .delimiter = ','};
  return table_write(arena, &table, bytes, n_bytes);
}
