// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"
#include "base/table.h"

#include <stdbool.h>

/*
  Workbooks as spreadsheets save them (XLSX: Office Open XML, ISO/IEC 29500-1, in a zip).

      bytes --zip--> workbook.xml: names of sheets
                     sharedStrings.xml, styles.xml: words, and which numbers are dates
                     worksheets/sheetN.xml  --expat-->  Table

  A sheet becomes the same Table a CSV file gives, so that everything behind it knows one shape:
  `line` is the row of the sheet, `column` the cell in it (1 = A). Shared and inline strings are
  words, rich text is its words without the paint, booleans are TRUE and FALSE, dates are
  2031-06-14, times 18:15, other numbers are written as short as they read back. Formulas count by
  the value saved with them. Line ends in a cell become blanks. Of merged cells the first keeps the
  text; where the merge is several rows high, its first column says it in each of these rows that
  has anything else. Rows without any text are left out, the
  others are all as wide as the widest.

  Nothing of the file is believed: sizes said in it are not used, and what comes out of the zip is
  counted while it comes. Document types (and with them all entities but the five of XML) are
  refused; other parts of the workbook (pictures, macros, links) are never opened.
*/

enum {
  SHEET_MAX_PART_BYTES = 48 * 1024 * 1024, ///< Of one part, unpacked
  SHEET_MAX_TEXT_BYTES = 32 * 1024 * 1024, ///< Of all cells of a sheet
  SHEET_MAX_ROWS = 50000,                  ///< With text in them
  SHEET_MAX_ROW = 200000,                  ///< Number of the last row with text
  SHEET_MAX_CELLS = 1000000,               ///< In one sheet, gaps in rows included
  SHEET_MAX_SHEETS = 256
};

typedef struct {
  const char* name;
  const char* part; ///< Where it lies in the zip
  bool is_hidden;
} SheetName;

/// A workbook, opened: words and styles are read, sheets are not. Lives in the arena; borrows the
/// bytes and the file's name.
typedef struct {
  const char* file;
  const char* bytes;
  size_t n_bytes;
  const SheetName* sheets; ///< [n_sheets], in the order of the tabs
  int n_sheets;
  const char* const* words; ///< [n_words] shared strings
  int n_words;
  const unsigned char* styles; ///< [n_styles] how a number is meant: see sheet_word.h
  int n_styles;
  bool is_1904; ///< Days are counted from 1904
} Workbook;

/// Whether bytes are a zip, or the older box of binary workbooks and locked ones: then sheet_open
/// is the door to take, which refuses the latter with a sentence.
bool
sheet_is_workbook(const char* bytes, size_t n_bytes);

/**
   Open a workbook.

   @param file For errors, borrowed.
   @param[out] book Untouched on error.
   @return STATUS_BAD_INPUT (no workbook, damaged, locked with a password, binary, a document type
   in it), STATUS_LIMIT (more than this header allows), STATUS_NO_MEMORY.

   Pure, from bytes to words: touches no file. Any thread.
*/
Status
sheet_open(Arena* arena, const char* file, const char* bytes, size_t n_bytes, Workbook* book,
           Error* error);

/// Read one sheet as a table. Errors as sheet_open, with the row where there is one; `table` is
/// untouched on error.
Status
sheet_read(Arena* arena, const Workbook* book, int sheet, Table* table, Error* error);
