// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/table.h"

#include "base/text.h"

#include <string.h>

// Reading position; `line` and `column` are those of the byte at `at`.
typedef struct {
  const char* bytes;
  size_t n_bytes;
  size_t at;
  int line;
  int column;
} Cursor;

static int
peek(const Cursor* c)
{
  return c->at < c->n_bytes ? (unsigned char)c->bytes[c->at] : -1;
}

static void
step(Cursor* c)
{
  const char was = c->bytes[c->at++];
  const bool crlf = was == '\r' && peek(c) == '\n';
  if (was == '\n' || (was == '\r' && !crlf)) {
    ++c->line;
    c->column = 1;
  } else {
    ++c->column;
  }
}

static bool
line_end(int c)
{
  return c == '\n' || c == '\r';
}

enum { LOOK_ROWS = 40, LOOK_MOST = 64 };

// How often each delimiter stands outside quotes in the first rows that hold anything [*n_rows][3].
static void
count_delimiters(const char* bytes, size_t n_bytes, int counts[LOOK_ROWS][3], int* n_rows)
{
  bool quoted = false;
  bool any = false;
  int r = 0;
  memset(counts, 0, LOOK_ROWS * sizeof(counts[0]));
  for (size_t i = 0; i < n_bytes && r < LOOK_ROWS; ++i) {
    const char c = bytes[i];
    if (!quoted && line_end((unsigned char)c)) {
      r += any;
      any = false;
      continue;
    }
    any = any || (c != ' ');
    if (c == '"') {
      quoted = !quoted;
    } else if (!quoted) {
      counts[r][0] += c == ',';
      counts[r][1] += c == ';';
      counts[r][2] += c == '\t';
    }
  }
  *n_rows = r + (any && r < LOOK_ROWS);
}

// The delimiter that cuts the first rows most evenly into most cells: a title, a decimal comma or a
// comma in a note is not in every row. Between equals the one of the first row, then the comma.
static char
find_delimiter(const char* bytes, size_t n_bytes)
{
  int counts[LOOK_ROWS][3];
  int n_rows = 0;
  count_delimiters(bytes, n_bytes, counts, &n_rows);
  int best = 0;
  int best_score = -1;
  for (int d = 0; d < 3; ++d) {
    int rows_of[LOOK_MOST + 1] = {0};
    int score = 0;
    for (int r = 0; r < n_rows; ++r) {
      const int n = counts[r][d] < LOOK_MOST ? counts[r][d] : LOOK_MOST;
      score = n * ++rows_of[n] > score ? n * rows_of[n] : score;
    }
    if (score > best_score || (score == best_score && counts[0][d] > counts[0][best])) {
      best = d;
      best_score = score;
    }
  }
  return ",;\t"[best];
}

// One cell at the cursor, which ends on the delimiter, line end or end of the bytes.
static Status
read_cell(Arena* arena, const char* file, Cursor* c, char delimiter, TableCell* cell, Error* error)
{
  while (peek(c) == ' ' || (peek(c) == '\t' && delimiter != '\t')) {
    step(c);
  }
  cell->line = c->line;
  cell->column = c->column;
  if (peek(c) != '"') {
    const size_t start = c->at;
    while (peek(c) >= 0 && peek(c) != (unsigned char)delimiter && !line_end(peek(c))) {
      step(c);
    }
    size_t end = c->at;
    while (end > start && (c->bytes[end - 1] == ' ' || c->bytes[end - 1] == '\t')) {
      --end;
    }
    cell->text = arena_text(arena, c->bytes + start, end - start);
    return cell->text ? STATUS_OK : STATUS_NO_MEMORY;
  }
  step(c);
  const size_t start = c->at;
  size_t n = 0;
  for (;; ++n) { // First pass counts, so that the cell takes exactly its room
    const int now = peek(c);
    if (now < 0) {
      return error_set(error, STATUS_BAD_INPUT, file, cell->line, cell->column,
                       "A quote is opened here and never closed: add the closing quote.");
    }
    step(c);
    if (now == '"') {
      if (peek(c) != '"') {
        break;
      }
      step(c);
    }
  }
  char* const text = arena_array(arena, n + 1, 1);
  if (!text) {
    return STATUS_NO_MEMORY;
  }
  const char* from = c->bytes + start;
  for (size_t i = 0; i < n; ++i) {
    text[i] = *from;
    from += *from == '"' ? 2 : 1;
  }
  cell->text = text;
  while (peek(c) == ' ') {
    step(c);
  }
  if (peek(c) >= 0 && peek(c) != (unsigned char)delimiter && !line_end(peek(c))) {
    return error_set(error, STATUS_BAD_INPUT, file, c->line, c->column,
                     "There is text after a closing quote: put the whole cell inside the quotes "
                     "and double any quote in it.");
  }
  return STATUS_OK;
}

static Status
read_row(Arena* arena, const char* file, Cursor* c, char delimiter, TableRow* row, Error* error)
{
  Status st = STATUS_OK;
  int room = 0;
  row->cells = NULL;
  row->n_cells = 0;
  row->line = c->line;
  for (;;) {
    if (row->n_cells == TABLE_MAX_CELLS) {
      return error_set(error, STATUS_LIMIT, file, c->line, c->column,
                       "This row has more than %d cells: is it the right file?", TABLE_MAX_CELLS);
    }
    if (row->n_cells == room) {
      const int more = room ? room * 2 : 16;
      row->cells = arena_grow(arena, row->cells, (size_t)room, (size_t)more, sizeof(TableCell));
      if (!row->cells) {
        return STATUS_NO_MEMORY;
      }
      room = more;
    }
    TRY(st, read_cell(arena, file, c, delimiter, &row->cells[row->n_cells], error));
    ++row->n_cells;
    if (peek(c) != (unsigned char)delimiter) {
      break;
    }
    step(c);
  }
  while (line_end(peek(c))) { // A "\r\n" is one end
    const int was = peek(c);
    step(c);
    if (was == '\n' || peek(c) != '\n') {
      break;
    }
  }
  return STATUS_OK;
}

Status
table_read(Arena* arena, const char* file, const char* bytes, size_t n_bytes, Table* table,
           Error* error)
{
  if (n_bytes > TABLE_MAX_BYTES) {
    return error_set(error, STATUS_LIMIT, file, 0, 0, "The file is larger than %d MB.",
                     TABLE_MAX_BYTES / (1024 * 1024));
  }
  Table out = {.file = file};
  if (n_bytes >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) {
    bytes += 3;
    n_bytes -= 3;
  }
  bool was_windows_1252 = false;
  const char* const text = text_from_outside(arena, bytes, n_bytes, &n_bytes, &was_windows_1252);
  if (!text) {
    return STATUS_NO_MEMORY;
  }
  bytes = text;
  out.was_windows_1252 = was_windows_1252;
  const char* const zero = n_bytes ? memchr(bytes, 0, n_bytes) : NULL;
  if (zero) {
    int at = 1;
    int column = 1;
    for (const char* p = bytes; p < zero; ++p) {
      at += *p == '\n';
      column = *p == '\n' ? 1 : column + 1;
    }
    return error_set(error, STATUS_BAD_INPUT, file, at, column,
                     "There is a zero byte here: this is not a text table. Save it as CSV, UTF-8.");
  }
  // A first line "sep=;" is what some spreadsheets write for others of their kind
  int line = 1;
  if (n_bytes >= 6 && text_begins(bytes, "sep=") && line_end((unsigned char)bytes[5])) {
    const size_t n_line = bytes[5] == '\r' && n_bytes > 6 && bytes[6] == '\n' ? 7 : 6;
    bytes += n_line;
    n_bytes -= n_line;
    line = 2;
  }
  out.delimiter = find_delimiter(bytes, n_bytes);
  Cursor c = {bytes, n_bytes, 0, line, 1};
  int room = 0;
  int n_cells = 0;
  while (peek(&c) >= 0) {
    TableRow row;
    const Status st = read_row(arena, file, &c, out.delimiter, &row, error);
    if (st != STATUS_OK) {
      return st == STATUS_NO_MEMORY
               ? error_set(error, st, file, 0, 0, "There is not enough memory for this table.")
               : st;
    }
    bool empty = true;
    for (int i = 0; i < row.n_cells; ++i) {
      empty = empty && !row.cells[i].text[0];
    }
    n_cells += row.n_cells;
    if (out.n_rows == TABLE_MAX_ROWS || n_cells > TABLE_MAX_ALL_CELLS) {
      return error_set(error, STATUS_LIMIT, file, row.line, 1,
                       "This table has more rows and cells than any list: is it the right file?");
    }
    if (empty) {
      continue;
    }
    if (out.n_rows == room) {
      const int more = room ? room * 2 : 64;
      out.rows = arena_grow(arena, out.rows, (size_t)room, (size_t)more, sizeof(TableRow));
      if (!out.rows) {
        return error_set(error, STATUS_NO_MEMORY, file, 0, 0,
                         "There is not enough memory for this table.");
      }
      room = more;
    }
    out.rows[out.n_rows++] = row;
  }
  *table = out;
  return STATUS_OK;
}

const TableCell*
table_cell(const TableRow* row, int column)
{
  static const TableCell none = {"", 0, 0};
  return column >= 0 && column < row->n_cells ? &row->cells[column] : &none;
}

// ---- Writing ----

static bool
wants_quotes(const char* text)
{
  return strpbrk(text, ",;\t\"") || text[0] == ' ' || (text[0] && text[strlen(text) - 1] == ' ');
}

// Bytes a cell takes, written to `to` unless that is NULL.
static size_t
write_cell(const char* text, char* to)
{
  const bool quoted = wants_quotes(text);
  size_t n = 0;
  char none;
#define PUT(c)                                                                                     \
  do {                                                                                             \
    *(to ? to + n : &none) = (c);                                                                  \
    ++n;                                                                                           \
  } while (0)
  if (quoted) {
    PUT('"');
  }
  for (; *text; ++text) {
    PUT(line_end((unsigned char)*text) ? ' ' : *text);
    if (*text == '"') {
      PUT('"');
    }
  }
  if (quoted) {
    PUT('"');
  }
#undef PUT
  return n;
}

// Bytes of the whole table, written to `to` unless that is NULL.
static size_t
write_rows(const Table* table, char* to)
{
  size_t n = 0;
  int line = 1;
  for (int r = 0; r < table->n_rows; ++r) {
    const TableRow* const row = &table->rows[r];
    for (; line < row->line; ++line, ++n) {
      if (to) {
        to[n] = '\n';
      }
    }
    for (int c = 0; c < row->n_cells; ++c) {
      if (c > 0) {
        if (to) {
          to[n] = ',';
        }
        ++n;
      }
      n += write_cell(row->cells[c].text, to ? to + n : NULL);
    }
    if (to) {
      to[n] = '\n';
    }
    ++n;
    ++line;
  }
  return n;
}

Status
table_write(Arena* arena, const Table* table, const char** bytes, size_t* n_bytes)
{
  const size_t n = write_rows(table, NULL);
  if (n > TABLE_MAX_BYTES) {
    return STATUS_LIMIT;
  }
  char* const text = arena_array(arena, n + 1, 1);
  if (!text) {
    return STATUS_NO_MEMORY;
  }
  *n_bytes = write_rows(table, text);
  *bytes = text;
  return STATUS_OK;
}
