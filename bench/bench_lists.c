// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Lists imported: 200 input lists of 64 rows with a title, two-row headings, sections, ranges and
  several words for phantom, each read, looked at (what was understood, what must be asked) and
  built into a plant; once as CSV and once as XLSX workbooks, whose unpacking is in the figure.
*/

#include "measure.h"
#include "stage/lists.h"
#include "stage/sheet.h"
#include "support/zipped.h"

#include "base/text.h"

enum { N_LISTS = 200, N_ROWS = 64 };

typedef struct {
  const char* bytes;
  size_t n_bytes;
} File;

// List number i: every row differs a little from list to list.
static File
make_csv(Arena* arena, int i)
{
  static const char* const phantoms[] = {"yes", "x", "no", "-", "48V", "off"};
  static const char* const kinds[] = {"dynamic", "condenser", "active DI", "passive DI",
                                      "vocal mic"};
  TextOut out = {.arena = arena};
  text_add(&out, "Input list %d,,,,,,\nCh,Source,Mic,,Stand,Pos.,Patch\n,,Type,48V,,,\n", i);
  for (int r = 1; r <= N_ROWS; ++r) {
    if (r % 16 == 1) {
      text_add(&out, "SECTION %d,,,,,,\n", r);
    }
    text_add(&out, "%d,source %d of %d,%s,%s,boom,riser %d,%c%d\n", r, r, i, kinds[(r + i) % 5],
             phantoms[(r + i) % 6], r % 5, 'A' + (r - 1) / 12, (r - 1) % 12 + 1);
  }
  const char* const text = text_done(&out);
  return (File){text, text ? strlen(text) : 0};
}

static File
make_book(Arena* arena, const File* csv)
{
  Table table;
  File book = {NULL, 0};
  TextOut out = {.arena = arena};
  if (table_read(arena, "t", csv->bytes, csv->n_bytes, &table, NULL) != STATUS_OK) {
    return book;
  }
  text_add(&out, "<worksheet><sheetData>");
  for (int r = 0; r < table.n_rows; ++r) {
    text_add(&out, "<row r=\"%d\">", table.rows[r].line);
    for (int c = 0; c < table.rows[r].n_cells; ++c) {
      text_add(&out, "<c r=\"%c%d\" t=\"inlineStr\"><is><t>%s</t></is></c>", 'A' + c,
               table.rows[r].line, table.rows[r].cells[c].text);
    }
    text_add(&out, "</row>");
  }
  text_add(&out, "</sheetData></worksheet>");
  const char* const sheet = text_done(&out);
  book.bytes = sheet ? zipped_sheet(arena, sheet, NULL, NULL, &book.n_bytes) : NULL;
  return book;
}

static int
import_one(const File* file, bool is_book, long* n_inputs)
{
  Arena arena;
  Workbook book;
  Table table;
  ListLook look;
  Plant plant;
  Error error = {0};
  ListText list = {"inputs-act1.csv", file->bytes, file->n_bytes};
  arena_init(&arena, NULL);
  Status st = STATUS_OK;
  if (is_book) {
    st = sheet_open(&arena, "t.xlsx", file->bytes, file->n_bytes, &book, &error);
    st = st == STATUS_OK ? sheet_read(&arena, &book, 0, &table, &error) : st;
    st = st == STATUS_OK ? table_write(&arena, &table, &list.bytes, &list.n_bytes) : st;
  }
  st = st == STATUS_OK ? lists_look(&arena, &list, 1, 0, &look, &error) : st;
  st = st == STATUS_OK ? lists_build(&arena, &list, 1, 0, &plant, &error) : st;
  *n_inputs += st == STATUS_OK ? plant.n_inputs : 0;
  if (st != STATUS_OK) {
    (void)fprintf(stderr, "%d:%d: %s\n", error.line, error.column, error.text);
  }
  arena_deinit(&arena);
  return st != STATUS_OK;
}

int
main(void)
{
  Arena shelf;
  arena_init(&shelf, NULL);
  File csv[N_LISTS];
  File books[N_LISTS];
  int failed = 0;
  for (int i = 0; i < N_LISTS; ++i) {
    csv[i] = make_csv(&shelf, i + 1);
    books[i] = make_book(&shelf, &csv[i]);
    failed |= !csv[i].bytes || !books[i].bytes;
  }
  for (int is_book = 0; is_book <= 1 && !failed; ++is_book) {
    long n_inputs = 0;
    const double start_s = measure_s();
    for (int i = 0; i < N_LISTS; ++i) {
      failed |= import_one(is_book ? &books[i] : &csv[i], is_book, &n_inputs);
    }
    const double spent_s = measure_s() - start_s;
    const char* const name = is_book ? "xlsx" : "csv";
    printf("figure: import_200_lists_%s_milliseconds %.4g ms\n", name, 1e3 * spent_s);
    printf("figure: import_one_list_%s_milliseconds %.3g ms\n", name, 1e3 * spent_s / N_LISTS);
    printf("%s: %ld inputs in %d lists\n", name, n_inputs, N_LISTS);
    failed |= n_inputs != (long)N_LISTS * N_ROWS;
  }
  arena_deinit(&shelf);
  return failed;
}
