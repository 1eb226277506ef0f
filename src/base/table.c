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

static char
find_delimiter(const char* bytes, size_t n_bytes)
{
  int counts[3] = {0, 0, 0};
  bool quoted = false;
  bool any = false;
  for (size_t i = 0; i < n_bytes; ++i) {
    const char c = bytes[i];
    if (!quoted && line_end((unsigned char)c)) {
      if (any) {
        break;
      }
      continue;
    }
    any = any || (c != ' ');
    if (c == '"') {
      quoted = !quoted;
    } else if (!quoted) {
      counts[0] += c == ',';
      counts[1] += c == ';';
      counts[2] += c == '\t';
    }
  }
  const int best =
    counts[1] > counts[0] ? (counts[2] > counts[1] ? 2 : 1) : (counts[2] > counts[0] ? 2 : 0);
  return best == 0 ? ',' : best == 1 ? ';' : '\t';
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
  const char* const zero = n_bytes ? memchr(bytes, 0, n_bytes) : NULL;
  if (zero) {
    int line = 1;
    int column = 1;
    for (const char* p = bytes; p < zero; ++p) {
      line += *p == '\n';
      column = *p == '\n' ? 1 : column + 1;
    }
    return error_set(error, STATUS_BAD_INPUT, file, line, column,
                     "There is a zero byte here: this is not a text table. Save it as CSV, UTF-8.");
  }
  if (!text_is_utf8(bytes, n_bytes)) {
    out.was_windows_1252 = 1;
    bytes = text_from_windows_1252(arena, bytes, n_bytes, &n_bytes);
    if (!bytes) {
      return STATUS_NO_MEMORY;
    }
  }
  out.delimiter = find_delimiter(bytes, n_bytes);
  Cursor c = {bytes, n_bytes, 0, 1, 1};
  int room = 0;
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
