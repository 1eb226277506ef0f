// SPDX-License-Identifier: GPL-3.0-or-later

/*
  book_of OUT.xlsx LIST.csv...: a workbook with each list on a sheet of the list's name. For tests
  that want the twin of a list.
*/

#include "support/book.h"

#include <stdio.h>

enum { MOST_BYTES = 1 << 20 };

static int
add_sheet(Arena* arena, lxw_workbook* book, const char* path)
{
  FILE* const file = fopen(path, "rb");
  char* const bytes = arena_array(arena, MOST_BYTES, 1);
  Table table;
  Error error = {0};
  if (!file || !bytes) {
    (void)fprintf(stderr, "book_of: cannot read %s\n", path);
    return 1;
  }
  const size_t n = fread(bytes, 1, MOST_BYTES, file);
  (void)fclose(file);
  if (table_read(arena, path, bytes, n, &table, &error) != STATUS_OK) {
    (void)fprintf(stderr, "book_of: %s:%d:%d: %s\n", path, error.line, error.column, error.text);
    return 1;
  }
  const char* const slash = strrchr(path, '/');
  const char* const base = slash ? slash + 1 : path;
  const char* const dot = strrchr(base, '.');
  size_t n_name = dot ? (size_t)(dot - base) : strlen(base);
  n_name = n_name < 31 ? n_name : 31; // A sheet's name has no more letters
  lxw_worksheet* const sheet = workbook_add_worksheet(book, arena_text(arena, base, n_name));
  if (sheet) {
    book_sheet(sheet, &table);
  }
  return sheet ? 0 : 1;
}

int
main(int argc, char** argv)
{
  Arena arena;
  arena_init(&arena, NULL);
  lxw_workbook* const book = argc > 2 ? workbook_new(argv[1]) : NULL;
  int failed = book ? 0 : 1;
  for (int i = 2; i < argc && !failed; ++i) {
    failed = add_sheet(&arena, book, argv[i]);
  }
  failed = book && workbook_close(book) != LXW_NO_ERROR ? 1 : failed;
  arena_deinit(&arena);
  return failed;
}
