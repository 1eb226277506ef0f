// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "sheet/frame.h"
#include "sheet/letters.h"

/*
  A table of rows on framed pages: heads again on each page, every fifth row ruled heavier so that
  an eye does not slip, a row as high as its longest text needs.

  A cell is a text, a box to tick, or what phantom is: a mark that is filled or not and the word,
  because a mark alone is taken for dirt and a word alone is overlooked.
*/

enum { GRID_MAX_COLUMNS = 16 };

typedef enum {
  CELL_TEXT,
  CELL_TICK,     ///< An empty box
  CELL_FILLED,   ///< A filled mark before the text
  CELL_HOLLOW,   ///< A hollow one
  CELL_HALF,     ///< Half filled: ask
  CELL_INVERTED, ///< White on black
  CELL_BANDS     ///< A number as colour bands
} GridSort;

typedef struct {
  GridSort sort;
  const char* text;
} GridCell;

typedef struct {
  const char* head;
  double part; ///< Of the width, against the other columns' parts
  Letters how;
} GridColumn;

typedef struct {
  Frame* frame;
  const GridColumn* columns;
  int n_columns;
  double row_mm;            ///< Least height of a row
  double head_mm;           ///< 0 = usual
  double left_mm, right_mm; ///< Both 0 = the whole body
  int n_rows;               ///< So far
  double x_mm[GRID_MAX_COLUMNS + 1];
} Grid;

/// Settle how wide the columns are: for grid_row_mm before grid_begin.
void
grid_lay(Grid* grid);

/// The heads. `grid` has frame, columns, n_columns and row_mm.
void
grid_begin(Grid* grid);

/// A row [n_columns]; a fresh page first when it does not fit.
void
grid_row(Grid* grid, const GridCell cells[]);

/// The last rule.
void
grid_end(Grid* grid);

/// Height that `grid_row` would take [mm].
double
grid_row_mm(const Grid* grid, const GridCell cells[]);

/// What phantom a source gets, as a cell: filled "48 V", hollow "off", "NEVER" in white on black
/// when it may be hurt by it, half "ask".
GridCell
grid_phantom(const Plant* plant, const Input* input);
