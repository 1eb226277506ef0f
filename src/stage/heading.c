// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/heading_table.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

/*
  Which sort of list a table is and which of its columns is what: every sort claims headings by
  their plain names, and the row (or the two rows) of which most is claimed are the headings.
*/

enum { PLAIN_BYTES = 48 };

void
heading_plain(const char* text, char* plain, size_t size)
{
  size_t n = 0;
  for (; *text && n + 1 < size; ++text) {
    const char c = *text;
    if (!strncmp(text, "\xEF\xB8\x8F", 3)) { // "As a picture", behind a tick
      text += 2;
      continue;
    }
    if (c >= 'A' && c <= 'Z') {
      plain[n++] = (char)(c - 'A' + 'a');
    } else if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || (unsigned char)c >= 0x80) {
      plain[n++] = c;
    }
  }
  plain[n] = '\0';
}

bool
heading_among(const char* names, const char* plain)
{
  const size_t n = strlen(plain);
  for (const char* p = names; n > 0 && *p; p = strchr(p, '|') + 1) {
    if (strncmp(p, plain, n) == 0 && p[n] == '|') {
      return true;
    }
  }
  return false;
}

typedef struct {
  char plain[TABLE_MAX_CELLS][PLAIN_BYTES];
  char also[TABLE_MAX_CELLS][PLAIN_BYTES]; ///< "" = goes by one name only
  bool is_taken[TABLE_MAX_CELLS];
  int n;
} PlainRow;

static bool
goes_by(const char* plain, const char* name, size_t n)
{
  return strncmp(plain, name, n) == 0 && plain[n] == '\0';
}

// The column that goes by one of the names, the first name first; -1 when none does.
static int
find_column(const PlainRow* row, const char* names)
{
  for (const char* p = names; *p; p = strchr(p, '|') + 1) {
    const size_t n = (size_t)(strchr(p, '|') - p);
    for (int c = 0; c < row->n; ++c) {
      if (!row->is_taken[c] &&
          (goes_by(row->plain[c], p, n) || (row->also[c][0] && goes_by(row->also[c], p, n)))) {
        return c;
      }
    }
  }
  return -1;
}

// A second "Ch" is the socket when there is a box: the one beside it. Without a box it is nothing.
static void
settle_socket(PlainRow* row, int at[FIELD_COUNT], int* n_claimed)
{
  const int socket = at[FIELD_SOCKET];
  if (socket < 0 || !heading_among("ch|no|nr|channel|number|input|", row->plain[socket])) {
    return;
  }
  if (at[FIELD_BOX] < 0) {
    at[FIELD_SOCKET] = -1;
    row->is_taken[socket] = false;
    --*n_claimed;
  } else if (at[FIELD_CHANNEL] == at[FIELD_BOX] + 1) {
    at[FIELD_SOCKET] = at[FIELD_CHANNEL];
    at[FIELD_CHANNEL] = socket;
  }
}

// Fills `at` and says how many headings the sort claims; 0 when it lacks a needed one.
static int
claim(PlainRow* row, ListSort sort, int at[FIELD_COUNT])
{
  for (int i = 0; i < FIELD_COUNT; ++i) {
    at[i] = -1;
  }
  memset(row->is_taken, 0, sizeof(row->is_taken));
  int n = 0;
  const Heading* const headings = heading_of(sort, &n);
  int n_claimed = 0;
  for (int k = 0; k < n; ++k) {
    const int c = find_column(row, headings[k].names);
    at[headings[k].field] = c;
    if (c < 0 && headings[k].weight == NEED) {
      return 0;
    }
    if (c >= 0) {
      row->is_taken[c] = true;
      ++n_claimed;
    }
  }
  // "name" is what plays only on a list that is otherwise one of inputs: boxes have names too, and
  // much has a description
  const char* const by = sort == LIST_INPUTS && at[FIELD_SOURCE] >= 0 && at[FIELD_CHANNEL] < 0
                           ? row->plain[at[FIELD_SOURCE]]
                           : "";
  if (heading_among("what|description|item|", by) ||
      (heading_among("name|", by) && at[FIELD_KIND] < 0 && at[FIELD_PHANTOM] < 0)) {
    return 0;
  }
  if (sort == LIST_INPUTS) {
    settle_socket(row, at, &n_claimed);
  }
  bool any = false;
  bool wants_any = false;
  for (int k = 0; k < n; ++k) {
    const bool has = at[headings[k].field] >= 0;
    wants_any = wants_any || headings[k].weight == ANY;
    any = any || (headings[k].weight == ANY && has);
  }
  const bool bare_names = sort == LIST_INPUTS && row->n == 1; // One column of sources will do
  return !wants_any || any || bare_names ? n_claimed : 0;
}

// ---- Finding the row, or the two rows, of headings ----

static void
put_plain(const List* list, const char* text, char plain[PLAIN_BYTES])
{
  const char* const means = mapping_means(list->mapping, "heading", text);
  if (means && text_same(means, "kept")) {
    plain[0] = '\0';
    return;
  }
  heading_plain(means ? means : text, plain, PLAIN_BYTES);
  if (!plain[0] && (text_same(text, "#") || text_same(text, "\xE2\x84\x96"))) { // A numero sign
    memcpy(plain, "no", 3);
  }
}

static void
plain_row(const List* list, int r, PlainRow* row)
{
  row->n = list->table.rows[r].n_cells;
  for (int c = 0; c < row->n; ++c) {
    put_plain(list, list->table.rows[r].cells[c].text, row->plain[c]);
    row->also[c][0] = '\0';
  }
}

// Two rows as one: "Stage box" over "Socket" and nothing over the cells beside it. The lower word
// says what the column is, both together say it more exactly.
static void
plain_two(const List* list, int r, PlainRow* row)
{
  const TableRow* const upper = &list->table.rows[r];
  const TableRow* const lower = &list->table.rows[r + 1];
  const char* group = "";
  row->n = upper->n_cells > lower->n_cells ? upper->n_cells : lower->n_cells;
  for (int c = 0; c < row->n; ++c) {
    const char* const over = table_cell(upper, c)->text;
    const char* const under = table_cell(lower, c)->text;
    group = over[0] ? over : under[0] ? group : "";
    put_plain(list, under[0] ? under : over, row->also[c]);
    char both[2 * PLAIN_BYTES];
    (void)snprintf(both, sizeof(both), "%.*s %.*s", PLAIN_BYTES - 2, group, PLAIN_BYTES - 2,
                   under[0] ? under : "");
    put_plain(list, under[0] ? both : over, row->plain[c]);
  }
}

// Whether most cells of the lower row are headings that were claimed: else it is a row of the list.
static bool
lower_row_counts(const List* list, int r, const PlainRow* row)
{
  const TableRow* const lower = &list->table.rows[r + 1];
  int n = 0;
  int n_claimed = 0;
  for (int c = 0; c < lower->n_cells; ++c) {
    n += lower->cells[c].text[0] != '\0';
    n_claimed += lower->cells[c].text[0] && row->is_taken[c];
  }
  return 2 * n_claimed > n;
}

typedef struct {
  int score; ///< Twice the claims, and one for a single row
  int row;
  bool is_two;
  ListSort sort;
  int at[FIELD_COUNT];
} Found;

static void
try_rows(const List* list, int r, bool is_two, PlainRow* row, Found* found)
{
  if (is_two) {
    plain_two(list, r, row);
  } else {
    plain_row(list, r, row);
  }
  for (int s = LIST_UNKNOWN + 1; s <= LIST_MONITORS; ++s) {
    int at[FIELD_COUNT];
    const int n = claim(row, (ListSort)s, at);
    const int score = 2 * n + !is_two;
    // One word of a title that is also a heading is no heading row
    if (n > (r > 0 || is_two) && score > found->score &&
        (!is_two || lower_row_counts(list, r, row))) {
      *found = (Found){.score = score, .row = r, .is_two = is_two, .sort = (ListSort)s};
      memcpy(found->at, at, sizeof(at));
    }
  }
}

static Status
join_rows(Arena* arena, List* list, int r)
{
  const TableRow* const upper = &list->table.rows[r];
  TableRow* const lower = &list->table.rows[r + 1];
  const int n = upper->n_cells > lower->n_cells ? upper->n_cells : lower->n_cells;
  TableCell* const cells = arena_array(arena, (size_t)n, sizeof(*cells));
  if (!cells) {
    return STATUS_NO_MEMORY;
  }
  const char* group = "";
  for (int c = 0; c < n; ++c) {
    const TableCell* const over = table_cell(upper, c);
    const TableCell* const under = table_cell(lower, c);
    group = over->text[0] ? over->text : under->text[0] ? group : "";
    cells[c] = under->text[0] ? *under : *over;
    if (under->text[0] && group[0] && !text_same(group, under->text)) {
      cells[c].text = arena_format(arena, "%s %s", group, under->text);
    }
    if (!cells[c].text) {
      return STATUS_NO_MEMORY;
    }
  }
  *lower = (TableRow){cells, n, lower->line};
  return STATUS_OK;
}

// Call columns that have text and no heading by their number.
static Status
name_columns(Arena* arena, List* list)
{
  TableRow* const head = &list->table.rows[0];
  TableCell* cells = NULL;
  for (int c = 0; c < head->n_cells; ++c) {
    bool has_text = false;
    for (int r = 1; r < list->table.n_rows && !has_text && !head->cells[c].text[0]; ++r) {
      has_text = table_cell(&list->table.rows[r], c)->text[0] != '\0';
    }
    if (has_text) {
      cells = cells ? cells
                    : arena_grow(arena, head->cells, (size_t)head->n_cells, (size_t)head->n_cells,
                                 sizeof(*cells));
      const char* const name = cells ? arena_format(arena, "column %d", c + 1) : NULL;
      if (!name) {
        return STATUS_NO_MEMORY;
      }
      cells[c].text = name;
    }
  }
  head->cells = cells ? cells : head->cells;
  return STATUS_OK;
}

// A list that begins with its first row: a number in a cell, and more than one cell.
static bool
begins_at_once(const Table* table)
{
  const TableRow* const row = &table->rows[0];
  int n_full = 0;
  bool has_number = false;
  for (int c = 0; c < row->n_cells; ++c) {
    n_full += row->cells[c].text[0] != '\0';
    has_number = has_number || text_whole(row->cells[c].text, 1, 9999, &(int){0});
  }
  return has_number && n_full > 1;
}

// The same table under headings "column 1", "column 2" ...
static Status
put_headings(Arena* arena, List* list)
{
  const Table* const table = &list->table;
  TableRow* const rows = arena_array(arena, (size_t)table->n_rows + 1, sizeof(*rows));
  int n = 0;
  for (int r = 0; r < table->n_rows; ++r) {
    n = table->rows[r].n_cells > n ? table->rows[r].n_cells : n;
  }
  TableCell* const cells = arena_array(arena, (size_t)n, sizeof(*cells));
  if (!rows || !cells) {
    return STATUS_NO_MEMORY;
  }
  for (int c = 0; c < n; ++c) {
    cells[c] = (TableCell){arena_format(arena, "column %d", c + 1), 1, c + 1};
    if (!cells[c].text) {
      return STATUS_NO_MEMORY;
    }
  }
  rows[0] = (TableRow){cells, n, table->rows[0].line};
  memcpy(rows + 1, table->rows, (size_t)table->n_rows * sizeof(*rows));
  list->table.rows = rows;
  ++list->table.n_rows;
  list->has_no_headings = true;
  return STATUS_OK;
}

static Status
find_in(Arena* arena, List* list, PlainRow* row)
{
  Status st = STATUS_OK;
  Found found = {.sort = LIST_UNKNOWN};
  const int n_rows = list->table.n_rows;
  const int n_look = list->is_built_in || list->has_no_headings ? 1 : HEADING_MAX_TITLE + 1;
  // Headings do not stand far below a row that could be taken for them
  for (int r = 0; r < n_rows && r < n_look && (found.score == 0 || r <= found.row + 6); ++r) {
    try_rows(list, r, false, row, &found);
    if (r + 1 < n_rows && n_look > 1) {
      try_rows(list, r, true, row, &found);
    }
  }
  list->sort = found.sort;
  if (found.sort == LIST_UNKNOWN) {
    return STATUS_OK;
  }
  if (found.is_two) {
    TRY(st, join_rows(arena, list, found.row));
  }
  memcpy(list->at, found.at, sizeof(found.at));
  list->titles = list->table.rows;
  list->n_title = found.row;
  list->table.rows += found.row + found.is_two;
  list->table.n_rows -= found.row + found.is_two;
  return list->is_built_in ? STATUS_OK : name_columns(arena, list);
}

Status
heading_find(Arena* arena, List* list)
{
  Status st = STATUS_OK;
  list->sort = LIST_UNKNOWN;
  for (int i = 0; i < FIELD_COUNT; ++i) {
    list->at[i] = -1;
  }
  PlainRow* const row = arena_array(arena, 1, sizeof(*row));
  if (!row) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, find_in(arena, list, row));
  if (list->sort == LIST_UNKNOWN && list->table.n_rows > 0 && !list->is_built_in &&
      begins_at_once(&list->table)) {
    TRY(st, put_headings(arena, list));
    return find_in(arena, list, row);
  }
  return STATUS_OK;
}

ListSort
lists_sort(Arena* arena, const Table* table)
{
  // The caller's rows stay as they are where two become one
  List list = {.table = *table};
  list.table.rows =
    arena_grow(arena, table->rows, (size_t)table->n_rows, (size_t)table->n_rows, sizeof(TableRow));
  if (!list.table.rows) {
    return LIST_UNKNOWN;
  }
  return heading_find(arena, &list) == STATUS_OK ? list.sort : LIST_UNKNOWN;
}
