// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "stage/sheet.h"
#include "stage/sheet_word.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/*
  From the cells of a sheet to a table: which cell is where, what its number means, which cells are
  one. Rows and cells may come without their place and then follow the one before.
*/

enum { MAX_MERGES = 20000 };

typedef struct {
  int row, column, n_rows;
} Merge;

typedef struct {
  SheetPart part;
  const Workbook* book;
  TableRow* rows;
  int n_rows;
  int room;
  int n_cells;
  size_t n_bytes; ///< Of text in cells
  // The row and the cell that are being read
  TableCell cells[TABLE_MAX_CELLS];
  int n_row_cells;
  int row;
  int column; ///< From 0
  char type[12];
  int style;
  bool in_cell, in_value, in_phonetic;
  SheetWord word;
  Merge* merges;
  int n_merges;
  int merge_room;
} CellPart;

// "AB12" as column from 0 and row; what is missing stays as it was.
static void
read_reference(const char* text, int* column, int* row)
{
  int c = 0;
  while (*text >= 'A' && *text <= 'Z' && c < 100000) {
    c = c * 26 + (*text++ - 'A' + 1);
  }
  int r = 0;
  while (*text >= '0' && *text <= '9' && r < 100000000) {
    r = r * 10 + (*text++ - '0');
  }
  *column = c > 0 ? c - 1 : *column;
  *row = r > 0 ? r : *row;
}

static void
read_merge(CellPart* cells, const char* text)
{
  const char* const colon = strchr(text, ':');
  int column = -1;
  int row = 0;
  int last_column = -1;
  int last_row = 0;
  if (!colon) {
    return;
  }
  read_reference(text, &column, &row);
  read_reference(colon + 1, &last_column, &last_row);
  if (column < 0 || column >= TABLE_MAX_CELLS || row < 1 || last_row <= row) {
    return;
  }
  if (cells->n_merges == MAX_MERGES) {
    sheet_part_stop(&cells->part, STATUS_LIMIT, "This sheet has more than %d merged cells.",
                    MAX_MERGES);
    return;
  }
  if (cells->n_merges == cells->merge_room) {
    const int room = cells->merge_room * 2 + 64;
    Merge* const more = arena_grow(cells->part.arena, cells->merges, (size_t)cells->n_merges,
                                   (size_t)room, sizeof(*more));
    if (!more) {
      sheet_part_no_memory(&cells->part);
      return;
    }
    cells->merges = more;
    cells->merge_room = room;
  }
  cells->merges[cells->n_merges++] = (Merge){row, column, last_row - row + 1};
}

static void
cells_start(SheetPart* part, const char* name, const char** attributes)
{
  CellPart* const cells = (CellPart*)part;
  if (!strcmp(name, "row")) {
    const char* const number = sheet_attribute(attributes, "r");
    int row = cells->row + 1;
    if (number) {
      read_reference(number, &(int){0}, &row);
    }
    cells->row = row;
    cells->column = -1;
    cells->n_row_cells = 0;
  } else if (!strcmp(name, "c")) {
    const char* const reference = sheet_attribute(attributes, "r");
    const char* const type = sheet_attribute(attributes, "t");
    const char* const style = sheet_attribute(attributes, "s");
    ++cells->column;
    if (reference) {
      read_reference(reference, &cells->column, &(int){0});
    }
    (void)snprintf(cells->type, sizeof(cells->type), "%s", type ? type : "n");
    cells->style = 0;
    if (style) {
      (void)text_whole(style, 0, SHEET_MAX_STYLES, &cells->style);
    }
    cells->word.n = 0;
    cells->in_cell = true;
  } else if (!strcmp(name, "v") || !strcmp(name, "t")) {
    cells->in_value = cells->in_cell;
  } else if (!strcmp(name, "rPh")) {
    cells->in_phonetic = true;
  } else if (!strcmp(name, "mergeCell")) {
    const char* const reference = sheet_attribute(attributes, "ref");
    if (reference) {
      read_merge(cells, reference);
    }
  }
}

static void
cells_text(SheetPart* part, const char* text, size_t n)
{
  CellPart* const cells = (CellPart*)part;
  if (cells->in_value && !cells->in_phonetic) {
    sheet_word_add(part, &cells->word, text, n);
  }
}

enum { LAST_DAY = 2958465 }; // The end of the year 9999

// Day and time of a serial number from 0 to LAST_DAY; NULL without memory. (That spreadsheets have
// a 29 February 1900 shifts days before it by one; no list of a show is that old.)
static const char*
date_text(Arena* arena, const Workbook* book, double serial, int meant)
{
  int day = (int)floor(serial);
  int minute = (int)lround((serial - floor(serial)) * 24.0 * 60.0);
  day += minute == 24 * 60;
  minute %= 24 * 60;
  if (meant == SHEET_TIME || (meant == SHEET_BOTH && day == 0)) {
    return arena_format(arena, "%02d:%02d", minute / 60, minute % 60);
  }
  // Days since 1899-12-30 (1904-01-01 is 1462 of them) to a date: Gregorian, from 1 March of year 0
  // in eras of 400 years of 146,097 days
  long z = day + (book->is_1904 ? 1462L : 0L) + 693899L;
  const long era = z / 146097;
  z %= 146097;
  const long year_of_era = (z - z / 1460 + z / 36524 - z / 146096) / 365;
  const long day_of_year = z - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
  const long m = (5 * day_of_year + 2) / 153;
  const long d = day_of_year - (153 * m + 2) / 5 + 1;
  const long month = m < 10 ? m + 3 : m - 9;
  const long year = year_of_era + era * 400 + (month <= 2);
  if (meant == SHEET_BOTH && minute > 0) {
    return arena_format(arena, "%04ld-%02ld-%02ld %02d:%02d", year, month, d, minute / 60,
                        minute % 60);
  }
  return arena_format(arena, "%04ld-%02ld-%02ld", year, month, d);
}

// The text of the cell that has just ended; NULL after stopping the part.
static const char*
cell_value(CellPart* cells)
{
  Arena* const arena = cells->part.arena;
  const Workbook* const book = cells->book;
  const char* const raw = sheet_word_copy(arena, cells->word.text, cells->word.n);
  const char* text = raw;
  if (raw && raw[0] && !strcmp(cells->type, "s")) {
    int at = -1;
    if (!text_whole(raw, 0, book->n_words - 1, &at)) {
      sheet_part_stop(
        &cells->part, STATUS_BAD_INPUT,
        "A cell of row %d names a word that the workbook does not have: save it again "
        "from where it was made.",
        cells->row);
      return NULL;
    }
    return book->words[at];
  }
  if (raw && raw[0] && !strcmp(cells->type, "b")) {
    return !strcmp(raw, "0") ? "FALSE" : "TRUE";
  }
  if (raw && raw[0] && !strcmp(cells->type, "n")) {
    char* end = NULL;
    const double value = strtod(raw, &end); // The program never leaves the C locale
    const int meant = cells->style < book->n_styles ? book->styles[cells->style] : SHEET_NUMBER;
    const bool is_day = meant != SHEET_NUMBER && value >= 0.0 && value <= LAST_DAY;
    if (end && !*end && isfinite(value)) {
      text = is_day ? date_text(arena, book, value, meant) : arena_format(arena, "%.15g", value);
    }
  }
  if (!text) {
    sheet_part_no_memory(&cells->part);
  }
  return text;
}

static void
cell_end(CellPart* cells)
{
  cells->in_cell = cells->in_value = false;
  const char* const text = cells->word.n ? cell_value(cells) : "";
  if (!text || !text[0]) {
    return;
  }
  if (cells->column >= TABLE_MAX_CELLS) {
    sheet_part_stop(&cells->part, STATUS_LIMIT,
                    "Row %d has text in a cell beyond number %d: is it the right sheet?",
                    cells->row, TABLE_MAX_CELLS);
    return;
  }
  for (int c = cells->n_row_cells; c <= cells->column; ++c) {
    cells->cells[c] = (TableCell){"", cells->row, c + 1};
  }
  cells->n_row_cells = cells->n_row_cells > cells->column ? cells->n_row_cells : cells->column + 1;
  cells->cells[cells->column].text = text;
  cells->n_bytes += strlen(text);
  if (cells->n_bytes > SHEET_MAX_TEXT_BYTES) {
    sheet_part_stop(&cells->part, STATUS_LIMIT,
                    "This sheet holds more text than any list: is it "
                    "the right one?");
  }
}

static void
row_end(CellPart* cells)
{
  const int n = cells->n_row_cells;
  if (n == 0) {
    return;
  }
  cells->n_cells += n;
  const int last = cells->n_rows ? cells->rows[cells->n_rows - 1].line : 0;
  if (cells->n_rows == SHEET_MAX_ROWS || cells->row > SHEET_MAX_ROW ||
      cells->n_cells > SHEET_MAX_CELLS) {
    sheet_part_stop(&cells->part, STATUS_LIMIT,
                    "This sheet goes on to row %d, which is more than any list: is it the right "
                    "one?",
                    cells->row);
    return;
  }
  if (cells->row <= last) {
    sheet_part_stop(&cells->part, STATUS_BAD_INPUT,
                    "Row %d comes after row %d: the workbook is damaged, save it again from where "
                    "it was made.",
                    cells->row, last);
    return;
  }
  TableCell* const own = arena_array(cells->part.arena, (size_t)n, sizeof(TableCell));
  if (cells->n_rows == cells->room) {
    const int room = cells->room * 2 + 64;
    TableRow* const more = arena_grow(cells->part.arena, cells->rows, (size_t)cells->n_rows,
                                      (size_t)room, sizeof(*more));
    cells->room = more ? room : cells->room;
    cells->rows = more ? more : cells->rows;
  }
  if (!own || cells->n_rows == cells->room) {
    sheet_part_no_memory(&cells->part);
    return;
  }
  memcpy(own, cells->cells, (size_t)n * sizeof(TableCell));
  cells->rows[cells->n_rows++] = (TableRow){own, n, cells->row};
  cells->n_row_cells = 0;
}

static void
cells_end(SheetPart* part, const char* name)
{
  CellPart* const cells = (CellPart*)part;
  if (!strcmp(name, "c")) {
    cell_end(cells);
  } else if (!strcmp(name, "row")) {
    row_end(cells);
  } else if (!strcmp(name, "v") || !strcmp(name, "t")) {
    cells->in_value = false;
  } else if (!strcmp(name, "rPh")) {
    cells->in_phonetic = false;
  }
}

static int
row_at(const CellPart* cells, int number)
{
  int low = 0;
  int high = cells->n_rows;
  while (low < high) {
    const int middle = (low + high) / 2;
    if (cells->rows[middle].line < number) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low;
}

// Say what stands in a high merge in each of its rows that has anything else.
static Status
fill_merges(CellPart* cells)
{
  int n_filled = 0;
  for (int i = 0; i < cells->n_merges; ++i) {
    const Merge* const merge = &cells->merges[i];
    const int top = row_at(cells, merge->row);
    if (top == cells->n_rows || cells->rows[top].line != merge->row) {
      continue;
    }
    const char* const text = table_cell(&cells->rows[top], merge->column)->text;
    for (int r = top + 1;
         text[0] && r < cells->n_rows && cells->rows[r].line < merge->row + merge->n_rows; ++r) {
      TableRow* const row = &cells->rows[r];
      cells->n_bytes += strlen(text);
      if (++n_filled > SHEET_MAX_CELLS || cells->n_bytes > SHEET_MAX_TEXT_BYTES) {
        return error_set(cells->part.error, STATUS_LIMIT, cells->part.file, row->line, 0,
                         "This sheet holds more merged cells than any list.");
      }
      if (merge->column >= row->n_cells) {
        TableCell* const more = arena_grow(cells->part.arena, row->cells, (size_t)row->n_cells,
                                           (size_t)merge->column + 1, sizeof(*more));
        if (!more) {
          return error_set(cells->part.error, STATUS_NO_MEMORY, cells->part.file, 0, 0,
                           "There is not enough memory for this workbook.");
        }
        for (int c = row->n_cells; c <= merge->column; ++c) {
          more[c] = (TableCell){"", row->line, c + 1};
        }
        row->cells = more;
        row->n_cells = merge->column + 1;
      }
      if (!row->cells[merge->column].text[0]) {
        row->cells[merge->column].text = text;
      }
    }
  }
  return STATUS_OK;
}

// A sheet is as wide in each row: empty cells at the end of a row are there too, as in the CSV a
// spreadsheet saves. (One that is very wide somewhere stays as it is.)
static Status
fill_rows(CellPart* cells)
{
  int n = 0;
  for (int r = 0; r < cells->n_rows; ++r) {
    n = cells->rows[r].n_cells > n ? cells->rows[r].n_cells : n;
  }
  for (int r = 0; r < cells->n_rows && (long)n * cells->n_rows <= SHEET_MAX_CELLS; ++r) {
    TableRow* const row = &cells->rows[r];
    if (row->n_cells == n) {
      continue;
    }
    TableCell* const more =
      arena_grow(cells->part.arena, row->cells, (size_t)row->n_cells, (size_t)n, sizeof(*more));
    if (!more) {
      return error_set(cells->part.error, STATUS_NO_MEMORY, cells->part.file, 0, 0,
                       "There is not enough memory for this workbook.");
    }
    for (int c = row->n_cells; c < n; ++c) {
      more[c] = (TableCell){"", row->line, c + 1};
    }
    row->cells = more;
    row->n_cells = n;
  }
  return STATUS_OK;
}

Status
sheet_read(Arena* arena, const Workbook* book, int sheet, Table* table, Error* error)
{
  Status st = STATUS_OK;
  CellPart* const cells = arena_array(arena, 1, sizeof(*cells));
  if (!cells) {
    return error_set(error, STATUS_NO_MEMORY, book->file, 0, 0,
                     "There is not enough memory for this workbook.");
  }
  cells->part = (SheetPart){.arena = arena,
                            .file = book->file,
                            .error = error,
                            .start = cells_start,
                            .text = cells_text,
                            .end = cells_end};
  cells->book = book;
  cells->column = -1;
  st = sheet_part_read(&cells->part, book->bytes, book->n_bytes, book->sheets[sheet].part);
  if (st == STATUS_NOT_FOUND) {
    return error_set(error, STATUS_BAD_INPUT, book->file, 0, 0,
                     "Sheet \"%.60s\" is named in this workbook and not in it: save it again from "
                     "where it was made.",
                     book->sheets[sheet].name);
  }
  if (st != STATUS_OK) {
    return st;
  }
  TRY(st, fill_merges(cells));
  TRY(st, fill_rows(cells));
  *table =
    (Table){.file = book->file, .rows = cells->rows, .n_rows = cells->n_rows, .delimiter = ','};
  return STATUS_OK;
}
