// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  A table as a sheet of a workbook, written by libxlsxwriter as a spreadsheet would hold it: what
  looks like a number is one, the rest are words.
*/

#include "base/table.h"
#include "base/text.h"

#include <string.h>
#include <xlsxwriter.h>

static inline void
book_sheet(lxw_worksheet* sheet, const Table* table)
{
  for (int r = 0; r < table->n_rows; ++r) {
    for (int c = 0; c < table->rows[r].n_cells; ++c) {
      const char* const text = table->rows[r].cells[c].text;
      const lxw_row_t row = (lxw_row_t)table->rows[r].line - 1;
      double number = 0.0;
      const bool is_number = !strchr(text, ',') && text[0] != '+' && text[0] != '0' &&
                             text_number(text, -1e9, 1e9, &number);
      if (is_number) {
        worksheet_write_number(sheet, row, (lxw_col_t)c, number, NULL);
      } else if (text[0]) {
        worksheet_write_string(sheet, row, (lxw_col_t)c, text, NULL);
      }
    }
  }
}
