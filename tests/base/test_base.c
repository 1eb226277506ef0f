// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/arena.h"
#include "base/rng.h"
#include "base/status.h"
#include "base/table.h"
#include "base/text.h"
#include "support/check.h"

#include <string.h>

static void
every_status_has_its_own_sentence(void** state)
{
  (void)state;
  for (int i = 0; i < STATUS_COUNT; ++i) {
    assert_true(strlen(status_text((Status)i)) > 4);
    for (int k = 0; k < i; ++k) {
      assert_string_not_equal(status_text((Status)i), status_text((Status)k));
    }
  }
  assert_string_equal(status_text((Status)99), "Unknown status.");
}

static void
error_text_is_cut_at_a_whole_character(void** state)
{
  (void)state;
  char longer[1200] = "";
  for (int i = 0; i < 599; ++i) {
    strcat(longer, "\xC3\xA9"); // Two bytes each: a blind cut would split one
  }
  for (int lead = 0; lead < 3; ++lead) {
    Error error;
    assert_int_equal(error_set(&error, STATUS_IO, NULL, 0, 0, "%.*s%s", lead, "ab", longer),
                     STATUS_IO);
    assert_true(text_is_utf8(error.text, strlen(error.text)));
  }
  assert_int_equal(error_set(NULL, STATUS_IO, NULL, 0, 0, "x"), STATUS_IO);
}

static void
arena_gives_zeroed_aligned_memory_and_takes_it_all_back(void** state)
{
  (void)state;
  FailingHeap heap = {0};
  const Allocator from = failing_allocator(&heap);
  Arena arena;
  arena_init(&arena, &from);
  for (size_t n = 0; n < 3000; n += 7) {
    unsigned char* const p = arena_array(&arena, n, 33);
    assert_non_null(p);
    assert_int_equal((uintptr_t)p % _Alignof(max_align_t), 0);
    for (size_t i = 0; i < n * 33; ++i) {
      assert_int_equal(p[i], 0);
    }
    memset(p, 0xAA, n * 33);
  }
  assert_null(arena_array(&arena, SIZE_MAX / 2, 3));
  arena_deinit(&arena);
  arena_deinit(&arena);
  assert_int_equal(heap.n_live, 0);
}

static const struct {
  const char* name;
  const char* bytes;
  Status want;
  int n_rows;
  int row, column;
  const char* cell;
  int line, at; ///< Place of that cell, or of the error
} tables[] = {
  {"nothing", "", STATUS_OK, 0, 0, 0, "", 0, 0},
  {"plain", "a,b\n1,2\n", STATUS_OK, 2, 1, 1, "2", 2, 3},
  {"no last line end", "a,b\n1,2", STATUS_OK, 2, 1, 1, "2", 2, 3},
  {"carriage returns", "a,b\r\n1,2\r\n", STATUS_OK, 2, 1, 0, "1", 2, 1},
  {"old line ends", "a,b\r1,2\r", STATUS_OK, 2, 1, 0, "1", 2, 1},
  {"semicolons, decimal comma", "a;b\n1,5;2\n", STATUS_OK, 2, 1, 0, "1,5", 2, 1},
  {"tabs", "a\tb\n\t2\n", STATUS_OK, 2, 1, 1, "2", 2, 2},
  {"byte order mark",
   "\xEF\xBB\xBF"
   "a,b\n",
   STATUS_OK, 1, 0, 0, "a", 1, 1},
  {"windows letters", "caf\xE9,\x80\n", STATUS_OK, 1, 0, 0, "caf\xC3\xA9", 1, 1},
  {"quoted delimiter", "\"a,b\",c\n", STATUS_OK, 1, 0, 0, "a,b", 1, 1},
  {"doubled quote", "\"a\"\"b\",c\n", STATUS_OK, 1, 0, 0, "a\"b", 1, 1},
  {"line end in quotes", "\"a\nb\",c\nd,e\n", STATUS_OK, 2, 1, 1, "e", 3, 3},
  {"blanks are trimmed", " a , b \n", STATUS_OK, 1, 0, 1, "b", 1, 6},
  {"empty rows go", "a,b\n\n,,\n1,2\n", STATUS_OK, 2, 1, 0, "1", 4, 1},
  {"short row", "a,b,c\n1\n", STATUS_OK, 2, 1, 2, "", 0, 0},
  {"a title has other commas", "Inputs, v3, final, really\na;b\n1;2\n3;4\n5;6\n", STATUS_OK, 5, 2,
   1, "2", 3, 3},
  {"decimal commas in every row", "a;b;c\n1;2,5;3\n2;3,5;4\n", STATUS_OK, 3, 2, 1, "3,5", 3, 3},
  {"the delimiter said", "sep=;\r\na;b\r\n1;2\r\n", STATUS_OK, 2, 1, 1, "2", 3, 3},
  {"unclosed quote", "a,b\n1,\"2\n", STATUS_BAD_INPUT, 0, 0, 0, "", 2, 3},
  {"text after quote", "a,b\n\"1\"x,2\n", STATUS_BAD_INPUT, 0, 0, 0, "", 2, 4},
};

static void
tables_read_as_people_keep_them(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(tables) / sizeof(tables[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    Table table = {0};
    Error error = {0};
    const Status st =
      table_read(&arena, "t.csv", tables[i].bytes, strlen(tables[i].bytes), &table, &error);
    if (st != tables[i].want) {
      fail_msg("%s: got status %d, want %d", tables[i].name, (int)st, (int)tables[i].want);
    }
    if (st != STATUS_OK) {
      assert_int_equal(error.line, tables[i].line);
      assert_int_equal(error.column, tables[i].at);
      assert_string_equal(error.file, "t.csv");
    } else {
      if (table.n_rows != tables[i].n_rows) {
        fail_msg("%s: got %d rows, want %d", tables[i].name, table.n_rows, tables[i].n_rows);
      }
      if (table.n_rows) {
        const TableCell* const cell = table_cell(&table.rows[tables[i].row], tables[i].column);
        if (strcmp(cell->text, tables[i].cell) || cell->line != tables[i].line ||
            cell->column != tables[i].at) {
          fail_msg("%s: got \"%s\" at %d:%d, want \"%s\" at %d:%d", tables[i].name, cell->text,
                   cell->line, cell->column, tables[i].cell, tables[i].line, tables[i].at);
        }
      }
    }
    arena_deinit(&arena);
  }
}

static void
a_zero_byte_is_no_table(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  Table table = {.n_rows = 77};
  Error error = {0};
  assert_int_equal(table_read(&arena, "t", "a,b\nc\0d", 7, &table, &error), STATUS_BAD_INPUT);
  assert_int_equal(error.line, 2);
  assert_int_equal(error.column, 2);
  assert_int_equal(table.n_rows, 77);
  arena_deinit(&arena);
}

// U+00FC is one unit, U+1F941 the pair D83E DD41; a lone half becomes U+FFFD
static void
utf16_is_read_by_its_mark(void** state)
{
  (void)state;
  static const char little[] = "\xFF\xFE"
                               "a\0,\0\xFC\0\n\0\x3E\xD8\x41\xDD\x3E\xD8";
  static const char big[] = "\xFE\xFF"
                            "\0a\0,\0\xFC\0\n\xD8\x3E\xDD\x41\xD8\x3E";
  static const char cut[] = "\xFF\xFE"
                            "a\0,\0\xFC\0\n\0\x3E\xD8\x41\xDD\x3E\xD8\x61";
  static const struct {
    const char* bytes;
    size_t n;
  } twins[] = {{little, sizeof(little) - 1}, {big, sizeof(big) - 1}, {cut, sizeof(cut) - 1}};
  for (size_t i = 0; i < 3; ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    Table table;
    assert_int_equal(table_read(&arena, "t", twins[i].bytes, twins[i].n, &table, NULL), STATUS_OK);
    assert_int_equal(table.n_rows, 2);
    assert_int_equal(table.was_windows_1252, 0);
    assert_string_equal(table.rows[0].cells[1].text, "\xC3\xBC");
    assert_string_equal(table.rows[1].cells[0].text, "\xF0\x9F\xA5\x81\xEF\xBF\xBD");
    arena_deinit(&arena);
  }
}

static void
a_word_is_found_in_either_case(void** state)
{
  (void)state;
  assert_true(text_has("stage hands, SL", "Stage Hand"));
  assert_true(text_has("stage hands, SL", "sl"));
  assert_true(text_has("", ""));
  assert_false(text_has("", "a"));
  assert_false(text_has("stage han", "hand"));
}

// A million rows, and a file that is nothing but delimiters, stop before they take the memory
static void
a_flood_is_no_table(void** state)
{
  (void)state;
  enum { N_BYTES = 3200 * 1000 };
  static const char* const floods[] = {"1,a\n", ",,,,,,,,,\n", "\n,\n"};
  for (size_t i = 0; i < 3; ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    char* const bytes = arena_array(&arena, N_BYTES, 1);
    assert_non_null(bytes);
    const size_t n = strlen(floods[i]);
    for (size_t k = 0; k < N_BYTES; ++k) {
      bytes[k] = floods[i][k % n];
    }
    Table table = {.n_rows = 77};
    Error error = {0};
    assert_int_equal(table_read(&arena, "t", bytes, N_BYTES, &table, &error), STATUS_LIMIT);
    assert_non_null(strstr(error.text, "more rows and cells than any list"));
    assert_int_equal(table.n_rows, 77);
    arena_deinit(&arena);
  }
}

static void
table_survives_every_failed_allocation(void** state)
{
  (void)state;
  char bytes[6000] = "";
  size_t n = 0;
  while (n < sizeof(bytes) - 40) {
    n += (size_t)snprintf(bytes + n, sizeof(bytes) - n, "one,\"two \"\"2\",three\xE9\n");
  }
  int n_failed = 0;
  for (int at = 1;; ++at) {
    FailingHeap heap = {0, at, 0};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &from);
    Table table = {.n_rows = -1};
    const Status st = table_read(&arena, "t", bytes, n, &table, NULL);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    if (st == STATUS_OK) {
      break;
    }
    assert_int_equal(st, STATUS_NO_MEMORY);
    assert_int_equal(table.n_rows, -1);
    ++n_failed;
  }
  assert_true(n_failed >= 3);
}

static const struct {
  const char* text;
  int ok;
  double want;
} numbers[] = {{"1", 1, 1.0},     {"2.5", 1, 2.5},  {"2,5", 1, 2.5}, {" -3 ", 1, -3.0},
               {"1,000.5", 0, 0}, {"", 0, 0},       {".", 0, 0},     {"1e3", 0, 0},
               {"5 m", 0, 0},     {"5000", 0, 0.0}, {"nan", 0, 0}};

static void
numbers_read_with_point_or_comma(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(numbers) / sizeof(numbers[0]); ++i) {
    double got = -99.0;
    const int ok = text_number(numbers[i].text, -10.0, 1000.0, &got);
    if (ok != numbers[i].ok) {
      fail_msg("\"%s\": got %d, want %d", numbers[i].text, ok, numbers[i].ok);
    }
    CHECK_NEAR(numbers[i].text, got, ok ? numbers[i].want : -99.0, 0.0);
  }
  int whole = -7;
  assert_true(text_whole(" 48 ", 1, 64, &whole));
  assert_int_equal(whole, 48);
  assert_false(text_whole("99999999999999999999", 1, 64, &whole));
  assert_false(text_whole("4x", 1, 64, &whole));
  assert_false(text_whole("-3", 0, 64, &whole));
  assert_int_equal(whole, 48);
}

static void
chance_repeats_and_is_even(void** state)
{
  (void)state;
  Rng a;
  Rng b;
  rng_init(&a, 7);
  rng_init(&b, 7);
  int counts[6] = {0};
  double sum = 0.0;
  for (int i = 0; i < 60000; ++i) {
    assert_true(rng_bits(&a) == rng_bits(&b));
    ++counts[rng_below(&a, 6)];
    (void)rng_below(&b, 6);
    const double u = rng_unit(&a);
    (void)rng_unit(&b);
    assert_true(u >= 0.0 && u < 1.0);
    sum += u;
  }
  for (int i = 0; i < 6; ++i) {
    assert_in_range(counts[i], 9500, 10500); // 5 standard deviations are 456
  }
  CHECK_NEAR("mean", sum / 60000.0, 0.5, 0.006);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(every_status_has_its_own_sentence),
    cmocka_unit_test(error_text_is_cut_at_a_whole_character),
    cmocka_unit_test(arena_gives_zeroed_aligned_memory_and_takes_it_all_back),
    cmocka_unit_test(tables_read_as_people_keep_them),
    cmocka_unit_test(a_zero_byte_is_no_table),
    cmocka_unit_test(utf16_is_read_by_its_mark),
    cmocka_unit_test(a_word_is_found_in_either_case),
    cmocka_unit_test(a_flood_is_no_table),
    cmocka_unit_test(table_survives_every_failed_allocation),
    cmocka_unit_test(numbers_read_with_point_or_comma),
    cmocka_unit_test(chance_repeats_and_is_even),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
