// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Any bytes as a list somebody brings. What must hold beside not crashing: a table that was read has
  sane places and UTF-8 in every cell; one that was not leaves the table alone and names a place.
*/

#include "must.h"

#include "base/table.h"
#include "base/text.h"

#include <string.h>

int
LLVMFuzzerTestOneInput(const uint8_t* bytes, size_t n_bytes)
{
  Arena arena;
  arena_init(&arena, NULL);
  Error error = {0};
  Table table = {.n_rows = -1};
  const Status status = table_read(&arena, "fuzz.csv", (const char*)bytes, n_bytes, &table, &error);
  if (status != STATUS_OK) {
    MUST(table.n_rows == -1 && error.status == status && error.text[0]);
    MUST(status != STATUS_BAD_INPUT || (error.line > 0 && error.column > 0));
  } else {
    int line = 0;
    for (int r = 0; r < table.n_rows; ++r) {
      MUST(table.rows[r].line > line && table.rows[r].n_cells > 0);
      line = table.rows[r].line;
      for (int c = 0; c < table.rows[r].n_cells; ++c) {
        const TableCell* const cell = &table.rows[r].cells[c];
        MUST(cell->line >= line && cell->column > 0);
        MUST(text_is_utf8(cell->text, strlen(cell->text)));
      }
      MUST(table_cell(&table.rows[r], table.rows[r].n_cells)->text[0] == '\0');
    }
  }
  arena_deinit(&arena);
  return 0;
}
