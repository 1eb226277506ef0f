// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"

#include <stddef.h>

/*
  A table as people keep it: comma, semicolon or tab between cells; quotes as RFC 4180; with or
  without a byte order mark; UTF-8, UTF-16 with its mark, or Windows-1252; any line ending. Every
  cell keeps the line and column where it began, because what a person needs from an error is the
  place.

  The delimiter is the one of , ; tab that cuts the first rows most evenly into most cells (a title
  has none, and a decimal comma is not in every row); between equals the one of the first non-empty
  row; a table of one column has none and reads as commas. Rows may have different lengths: whether
  that matters is for the reader of the table to say. Rows that are wholly empty are left out.
*/

typedef struct {
  const char* text; ///< UTF-8, blanks at both ends trimmed unless quoted; never NULL
  int line;         ///< 1-based line where the cell begins
  int column;       ///< 1-based byte column in that line
} TableCell;

typedef struct {
  TableCell* cells;
  int n_cells;
  int line; ///< Line where the row begins
} TableRow;

typedef struct {
  const char* file; ///< As given to table_read
  TableRow* rows;   ///< [n_rows]; rows[0] is the heading row where there is one
  int n_rows;
  char delimiter;
  int was_windows_1252; ///< 1 when the bytes were not UTF-8 and were taken as Windows-1252
} Table;

enum {
  TABLE_MAX_BYTES = 64 * 1024 * 1024,
  TABLE_MAX_CELLS = 512,        ///< In one row
  TABLE_MAX_ROWS = 200000,      ///< With text in them
  TABLE_MAX_ALL_CELLS = 2000000 ///< In all rows together
};

/**
   Read a whole table from bytes.

   @param file  Name for errors, borrowed for as long as the table lives.
   @param[out] table Lives in `arena`; untouched on error.
   @return STATUS_OK (also for no bytes: no rows); STATUS_BAD_INPUT with line and column for an
   unclosed quote, text after a closing quote, or a zero byte; STATUS_LIMIT for more than
   TABLE_MAX_BYTES, TABLE_MAX_CELLS, TABLE_MAX_ROWS or TABLE_MAX_ALL_CELLS; STATUS_NO_MEMORY.

   Pure; any thread. Source of the quoting rules: RFC 4180, section 2.
*/
Status
table_read(Arena* arena, const char* file, const char* bytes, size_t n_bytes, Table* table,
           Error* error);

/// The cell of a row, or an empty one at the row's end when the row is shorter. Never NULL.
const TableCell*
table_cell(const TableRow* row, int column);

/**
   Write a table as CSV: commas, quotes where they are needed, "\n" at line ends, and empty lines
   where the rows of the table leave lines out, so that reading it gives the same cells in the same
   lines. Line ends inside cells become blanks for the same reason.

   @param[out] bytes Zero-ended, in `arena`; untouched on error. @param[out] n_bytes Without the
   zero. @return STATUS_NO_MEMORY; STATUS_LIMIT over TABLE_MAX_BYTES. Pure; any thread.
*/
Status
table_write(Arena* arena, const Table* table, const char** bytes, size_t* n_bytes);
