// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Any bytes as a workbook somebody brings, and what is in it as a list. Chance seldom makes a zip,
  so the first byte says how the rest is taken: 0 a whole workbook; else the parts of one, set apart
  by zero bytes (sheet, words, styles), which are zipped here.

  What must hold: a table that was read is as narrow, short and wide as the header says, its lines
  go up, every cell is UTF-8 without a line end, and its CSV reads back as the same table; what was
  not read leaves the table alone and says why. The list is then looked at, built, and looked at
  with the answers of its own questions: none of them is asked again.
*/

#include "must.h"

#include "base/text.h"
#include "stage/lists.h"
#include "stage/sheet.h"
#include "support/zipped.h"

#include <string.h>

static void
check_table(Arena* arena, const Table* table, ListText* list)
{
  int line = 0;
  MUST(table->n_rows <= SHEET_MAX_ROWS);
  for (int r = 0; r < table->n_rows; ++r) {
    const TableRow* const row = &table->rows[r];
    MUST(row->line > line && row->line <= SHEET_MAX_ROW);
    MUST(row->n_cells > 0 && row->n_cells <= TABLE_MAX_CELLS);
    line = row->line;
    for (int c = 0; c < row->n_cells; ++c) {
      MUST(text_is_utf8(row->cells[c].text, strlen(row->cells[c].text)));
      MUST(!strpbrk(row->cells[c].text, "\r\n"));
      MUST(row->cells[c].line == line && row->cells[c].column == c + 1);
    }
  }
  MUST(table_write(arena, table, &list->bytes, &list->n_bytes) == STATUS_OK);
  Table again;
  Error error = {0};
  MUST(table_read(arena, "again", list->bytes, list->n_bytes, &again, &error) == STATUS_OK);
  MUST(again.n_rows <= table->n_rows); // A row of blanks alone is none
}

// Ask, answer with the first choice, ask again: no question is asked twice, and none for ever.
static void
check_list(Arena* arena, const ListText* list)
{
  ListText lists[2] = {*list, {LISTS_MAPPING, "under,written,means\n", 20}};
  ListLook look = {.n_rows = -7};
  Plant plant = {.n_lines = -7};
  Error error = {0};
  Status st = lists_build(arena, lists, 1, 0, &plant, &error);
  MUST(st == STATUS_OK ? plant.n_lines > 0 : plant.n_lines == -7 && error.text[0]);
  for (int i = 0; i < 12; ++i) {
    st = lists_look(arena, lists, 2, 0, &look, &error);
    MUST(st == STATUS_OK || error.text[0]);
    if (st != STATUS_OK || look.n_questions == 0) {
      return;
    }
    const ListQuestion* const question = &look.questions[0];
    MUST(question->n_choices > 0 && question->line > 0);
    const ListAnswer answer = question->choices[i % question->n_choices].answer;
    MUST(lists_answer(arena, lists, 2, &answer, 1, &lists[1].bytes, &lists[1].n_bytes, &error) ==
           STATUS_OK ||
         error.text[0]);
  }
}

// The bytes as one part after the other.
static const char*
zip_parts(Arena* arena, const char* bytes, size_t n_bytes, size_t* n_zip)
{
  const char* parts[3] = {NULL, NULL, NULL};
  for (int i = 0; i < 3 && n_bytes > 0; ++i) {
    const char* const end = memchr(bytes, 0, n_bytes);
    const size_t n = end ? (size_t)(end - bytes) : n_bytes;
    parts[i] = arena_text(arena, bytes, n);
    const size_t n_over = end ? n + 1 : n;
    bytes += n_over;
    n_bytes -= n_over;
  }
  return zipped_sheet(arena, parts[0] && parts[0][0] ? parts[0] : " ",
                      parts[1] && parts[1][0] ? parts[1] : NULL,
                      parts[2] && parts[2][0] ? parts[2] : NULL, n_zip);
}

int
LLVMFuzzerTestOneInput(const uint8_t* bytes, size_t n_bytes)
{
  if (n_bytes < 2) {
    return 0;
  }
  Arena arena;
  arena_init(&arena, NULL);
  size_t n_zip = n_bytes - 1;
  const char* zip = (const char*)bytes + 1;
  if (bytes[0] != 0) {
    zip = zip_parts(&arena, zip, n_zip, &n_zip);
  }
  Workbook book = {.n_sheets = -7};
  Table table = {.n_rows = -7};
  Error error = {0};
  Status st = sheet_open(&arena, "fuzz.xlsx", zip, n_zip, &book, &error);
  MUST(st == STATUS_OK ? book.n_sheets > 0 : book.n_sheets == -7 && error.text[0]);
  for (int i = 0; st == STATUS_OK && i < book.n_sheets && i < 3; ++i) {
    ListText list = {.name = "inputs-act1.csv"};
    table.n_rows = -7;
    const Status read = sheet_read(&arena, &book, i, &table, &error);
    MUST(read == STATUS_OK || (table.n_rows == -7 && error.text[0]));
    if (read == STATUS_OK) {
      check_table(&arena, &table, &list);
      check_list(&arena, &list);
    }
  }
  arena_deinit(&arena);
  return 0;
}
