// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "stage/sheet.h"
#include "support/check.h"
#include "support/zipped.h"

#include <string.h>
#include <unistd.h>
#include <xlsxwriter.h>

/*
  The reader of workbooks: against a library that writes them (libxlsxwriter), against workbooks by
  hand for what that library never writes, and against those that mean harm.
*/

static const char*
csv_of(Arena* arena, const Table* table)
{
  const char* bytes = NULL;
  size_t n = 0;
  assert_int_equal(table_write(arena, table, &bytes, &n), STATUS_OK);
  assert_int_equal(strlen(bytes), n);
  return bytes;
}

static const char*
file_bytes(Arena* arena, const char* path, size_t* n)
{
  FILE* const file = fopen(path, "rb");
  char* const bytes = arena_array(arena, 1 << 20, 1);
  assert_non_null(file);
  assert_non_null(bytes);
  *n = fread(bytes, 1, 1 << 20, file);
  (void)fclose(file);
  return bytes;
}

// ---- What a spreadsheet holds, as a table ----

static void
write_book(const char* path, bool inline_words)
{
  lxw_workbook_options options = {.constant_memory = inline_words ? LXW_TRUE : LXW_FALSE};
  lxw_workbook* const book = workbook_new_opt(path, &options);
  lxw_worksheet* const sheet = workbook_add_worksheet(book, "Inputs & co");
  lxw_format* const date = workbook_add_format(book);
  lxw_format* const clock = workbook_add_format(book);
  lxw_format* const both = workbook_add_format(book);
  format_set_num_format(date, "dd.mm.yyyy");
  format_set_num_format(clock, "[h]:mm");
  format_set_num_format(both, "d mmm yyyy hh:mm");
  lxw_datetime noon = {2031, 6, 14, 12, 30, 0};
  worksheet_write_string(sheet, 0, 0, "Ch", NULL);
  worksheet_write_string(sheet, 0, 1, "Source, if any", NULL);
  worksheet_write_string(sheet, 0, 3, "Fl\xC3\xBCgelhorn", NULL);
  worksheet_write_number(sheet, 2, 0, 1, NULL);
  worksheet_write_string(sheet, 2, 1, "Kick\nin", NULL);
  worksheet_write_boolean(sheet, 2, 2, 1, NULL);
  worksheet_write_number(sheet, 2, 3, 2.5, NULL);
  worksheet_write_number(sheet, 3, 0, 0.1 + 0.2, NULL);
  worksheet_write_datetime(sheet, 3, 1, &noon, date);
  worksheet_write_datetime(sheet, 3, 2, &noon, both);
  worksheet_write_number(sheet, 3, 3, 0.75, clock);
  worksheet_write_formula_num(sheet, 4, 0, "=1+2", NULL, 3);
  worksheet_write_string(sheet, 4, 1, "say \"when\"; <& \t>", NULL);
  if (!inline_words) { // Not in one pass
    worksheet_merge_range(sheet, 5, 0, 7, 0, "drums", NULL);
    worksheet_write_string(sheet, 6, 1, "snare", NULL);
    worksheet_merge_range(sheet, 8, 0, 8, 3, "VOCALS", NULL);
  }
  lxw_worksheet* const second = workbook_add_worksheet(book, "Hotel");
  worksheet_write_string(second, 0, 0, "breakfast", NULL);
  worksheet_hide(second);
  assert_int_equal(workbook_close(book), LXW_NO_ERROR);
}

static const char sheet_says[] = "Ch,\"Source, if any\",,Fl\xC3\xBCgelhorn\n"
                                 "\n"
                                 "1,Kick in,TRUE,2.5\n"
                                 "0.3,2031-06-14,2031-06-14 12:30,18:00\n"
                                 "3,\"say \"\"when\"\"; <&  >\",,\n";

static void
a_workbook_is_the_table_it_shows(void** state)
{
  (void)state;
  for (int inline_words = 0; inline_words < 2; ++inline_words) {
    char path[] = "/tmp/linewalk-test-XXXXXX";
    const int handle = mkstemp(path);
    assert_true(handle >= 0);
    (void)close(handle);
    write_book(path, inline_words);
    Arena arena;
    arena_init(&arena, NULL);
    size_t n = 0;
    const char* const bytes = file_bytes(&arena, path, &n);
    (void)unlink(path);
    Workbook book;
    Error error = {0};
    Table table;
    assert_true(sheet_is_workbook(bytes, n));
    if (sheet_open(&arena, "day.xlsx", bytes, n, &book, &error) != STATUS_OK ||
        sheet_read(&arena, &book, 0, &table, &error) != STATUS_OK) {
      fail_msg("%s", error.text);
    }
    assert_int_equal(book.n_sheets, 2);
    assert_string_equal(book.sheets[0].name, "Inputs & co");
    assert_false(book.sheets[0].is_hidden);
    assert_string_equal(book.sheets[1].name, "Hotel");
    assert_true(book.sheets[1].is_hidden);
    const char* const want =
      inline_words ? sheet_says
                   : arena_format(&arena, "%sdrums,,,\ndrums,snare,,\n\nVOCALS,,,\n", sheet_says);
    assert_string_equal(csv_of(&arena, &table), want);
    assert_int_equal(table.rows[1].line, 3);
    assert_int_equal(table.rows[1].cells[1].column, 2);
    assert_int_equal(sheet_read(&arena, &book, 1, &table, &error), STATUS_OK);
    assert_string_equal(csv_of(&arena, &table), "breakfast\n");
    // The table reads back from its CSV with every cell where it was
    Table again;
    assert_int_equal(table_read(&arena, "t", want, strlen(want), &again, &error), STATUS_OK);
    assert_string_equal(csv_of(&arena, &again), want);
    arena_deinit(&arena);
  }
}

#define CELLS(rows) "<worksheet><sheetData>" rows "</sheetData></worksheet>"
#define STYLES                                                                                     \
  "<styleSheet><numFmts><numFmt numFmtId='170' formatCode='\"day\" 0'/>"                           \
  "<numFmt numFmtId='171' formatCode='[$-407]yyyy-mm-dd;@'/></numFmts>"                            \
  "<cellStyleXfs><xf numFmtId='14'/></cellStyleXfs>"                                               \
  "<cellXfs><xf numFmtId='0'/><xf numFmtId='14'/><xf numFmtId='20'/><xf numFmtId='22'/>"           \
  "<xf numFmtId='170'/><xf numFmtId='171'/></cellXfs></styleSheet>"

// By hand, from ISO/IEC 29500-1 18.3 (cells), 18.4 (words), 18.8.30 (number formats); serial 36526
// is 2000-01-01, 61 is 1900-03-01, 2958465 is 9999-12-31
static const struct {
  const char* name;
  const char* sheet;
  const char* words;
  const char* want; ///< As CSV
} readings[] = {
  {"no places given", CELLS("<row><c><v>1</v></c><c><v>2</v></c></row><row><c><v>3</v></c></row>"),
   NULL, "1,2\n3,\n"},
  {"prefixed names",
   "<x:worksheet xmlns:x='x'><x:sheetData><x:row r='2'><x:c r='B2'><x:v>7</x:v>"
   "</x:c></x:row></x:sheetData></x:worksheet>",
   NULL, "\n,7\n"},
  {"rich text is its words", CELLS("<row r='1'><c r='A1' t='s'><v>1</v></c></row>"),
   "<sst><si><t>no</t></si><si><r><t>Kick </t></r><r><rPr><b/></rPr><t xml:space='preserve'>in"
   "</t></r><rPh sb='0' eb='1'><t>kikku</t></rPh></si></sst>",
   "Kick in\n"},
  {"inline words",
   CELLS("<row r='1'><c r='A1' t='inlineStr'><is><t>a</t></is></c>"
         "<c r='C1' t='str'><f>A1</f><v>b</v></c></row>"),
   NULL, "a,,b\n"},
  {"characters by number",
   CELLS(
     "<row><c t='str'><v>a_x000D__x000a_b_x005F_x0041_</v></c><c t='str'><v>_x00</v></c></row>"),
   NULL, "a  b_x0041_,_x00\n"},
  {"an error stays what it says", CELLS("<row><c t='e'><v>#N/A</v></c></row>"), NULL, "#N/A\n"},
  {"booleans", CELLS("<row><c t='b'><v>1</v></c><c t='b'><v>0</v></c></row>"), NULL,
   "TRUE,FALSE\n"},
  {"dates by number",
   CELLS("<row><c s='1'><v>36526</v></c><c s='2'><v>0.7604166666666666</v></c>"
         "<c s='3'><v>36526.5</v></c><c s='1'><v>61</v></c>"
         "<c s='1'><v>2958465</v></c></row>"),
   NULL, "2000-01-01,18:15,2000-01-01 12:00,1900-03-01,9999-12-31\n"},
  {"quoted day is no date, bracketed language is none",
   CELLS("<row><c s='4'><v>5</v></c><c s='5'><v>36526</v></c><c s='0'><v>36526</v></c></row>"),
   NULL, "5,2000-01-01,36526\n"},
  {"a date no calendar has", CELLS("<row><c s='1'><v>-4</v></c><c s='1'><v>1e9</v></c></row>"),
   NULL, "-4,1000000000\n"},
  {"nearly midnight", CELLS("<row><c s='3'><v>36525.99999</v></c></row>"), NULL, "2000-01-01\n"},
  {"exponents", CELLS("<row><c><v>1.2E+1</v></c><c><v>4.7E-6</v></c></row>"), NULL, "12,4.7e-06\n"},
  {"empty rows and cells are nothing",
   CELLS("<row r='1'/><row r='4'><c r='A4' s='1'/><c r='B4'><v>x</v></c></row>"), NULL,
   "\n\n\n,x\n"},
  {"merged sideways keeps its first", CELLS("<row r='1'><c r='A1'><v>1</v></c></row>") "", NULL,
   "1\n"},
};

static void
elements_mean_what_the_standard_says(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(readings) / sizeof(readings[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    size_t n = 0;
    const char* const bytes =
      zipped_sheet(&arena, readings[i].sheet, readings[i].words, STYLES, &n);
    Workbook book;
    Error error = {0};
    Table table;
    if (sheet_open(&arena, "t.xlsx", bytes, n, &book, &error) != STATUS_OK ||
        sheet_read(&arena, &book, 0, &table, &error) != STATUS_OK) {
      fail_msg("%s: %s", readings[i].name, error.text);
    }
    const char* const got = csv_of(&arena, &table);
    if (strcmp(got, readings[i].want) != 0) {
      fail_msg("%s: got\n%swant\n%s", readings[i].name, got, readings[i].want);
    }
    arena_deinit(&arena);
  }
}

static void
days_may_be_counted_from_1904(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const ZippedPart parts[] = {
    {"xl/workbook.xml",
     "<workbook xmlns:r='r'><workbookPr date1904='1'/><sheets><sheet name='One' r:id='a'/>"
     "<sheet name='Lost' r:id='b'/></sheets></workbook>",
     0},
    {"xl/_rels/workbook.xml.rels",
     "<Relationships><Relationship Id='a' Target='/xl/worksheets/sheet1.xml'/>"
     "<Relationship Id='b' Target='worksheets/sheet2.xml'/></Relationships>",
     0},
    {"xl/worksheets/sheet1.xml", CELLS("<row><c s='1'><v>0</v></c></row>"), 0},
    {"xl/styles.xml", STYLES, 0}};
  size_t n = 0;
  const char* const bytes = zipped(&arena, parts, 4, &n);
  Workbook book;
  Error error = {0};
  Table table = {.n_rows = -7};
  assert_int_equal(sheet_open(&arena, "t.xlsx", bytes, n, &book, &error), STATUS_OK);
  assert_int_equal(sheet_read(&arena, &book, 1, &table, &error), STATUS_BAD_INPUT);
  assert_non_null(strstr(error.text, "\"Lost\""));
  assert_int_equal(table.n_rows, -7);
  assert_int_equal(sheet_read(&arena, &book, 0, &table, &error), STATUS_OK);
  assert_string_equal(csv_of(&arena, &table), "1904-01-01\n");
  arena_deinit(&arena);
}

// ---- What means harm ----

static const char*
repeated(Arena* arena, const char* before, const char* piece, size_t n, const char* after)
{
  const size_t a = strlen(before);
  const size_t p = strlen(piece);
  char* const text = arena_array(arena, a + n * p + strlen(after) + 1, 1);
  assert_non_null(text);
  memcpy(text, before, a);
  for (size_t i = 0; i < n; ++i) {
    memcpy(text + a + i * p, piece, p);
  }
  (void)strcpy(text + a + n * p, after);
  return text;
}

#define LAUGHS                                                                                     \
  "<!DOCTYPE w [<!ENTITY a 'ha'><!ENTITY b '&a;&a;&a;&a;&a;&a;&a;&a;'>"                            \
  "<!ENTITY c '&b;&b;&b;&b;&b;&b;&b;&b;'><!ENTITY d '&c;&c;&c;&c;&c;&c;&c;&c;'>]>"

static const struct {
  const char* name;
  const char* before; ///< The sheet: before, n times the piece, after
  const char* piece;
  size_t n;
  const char* after;
  const char* words;
  Status want;
  const char* part; ///< Of the sentence
} harmful[] = {
  {"a bomb of blanks", "<worksheet>", "                                ", 2000000, "</worksheet>",
   NULL, STATUS_LIMIT, "unpacks to more than"},
  {"a million rows", "<worksheet><sheetData>", "<row><c><v>1</v></c></row>", 1000000,
   "</sheetData></worksheet>", NULL, STATUS_LIMIT, "more than any list"},
  {"the last row a sheet can have", "<worksheet><sheetData>", "", 0,
   "<row r='1048576'><c><v>1</v></c></row></sheetData></worksheet>", NULL, STATUS_LIMIT,
   "goes on to row 1048576"},
  {"far to the right", "<worksheet><sheetData>", "", 0,
   "<row r='1'><c r='XFD1'><v>1</v></c></row></sheetData></worksheet>", NULL, STATUS_LIMIT,
   "beyond number 512"},
  {"one long word, everywhere", "<worksheet><sheetData>", "<row><c t='s'><v>0</v></c></row>", 2000,
   "</sheetData></worksheet>", "long", STATUS_LIMIT, "more text than any list"},
  {"one cell without end", "<worksheet><sheetData><row><c t='inlineStr'><is><t>",
   "0123456789abcdef", 10000, "</t></is></c></row></sheetData></worksheet>", NULL, STATUS_LIMIT,
   "A cell holds more than"},
  {"rows wide and many", "<worksheet><sheetData>", "<row><c r='SR1'><v>1</v></c></row>", 2500,
   "</sheetData></worksheet>", NULL, STATUS_LIMIT, "more than any list"},
  {"entities in entities", LAUGHS "<worksheet><sheetData><row><c t='str'><v>&d;</v></c></row>", "",
   0, "</sheetData></worksheet>", NULL, STATUS_BAD_INPUT, "document type"},
  {"an entity from a file",
   "<!DOCTYPE w [<!ENTITY a SYSTEM 'file:///etc/hostname'>]><worksheet>&a;", "", 0, "</worksheet>",
   NULL, STATUS_BAD_INPUT, "document type"},
  {"an entity nobody declared", "<worksheet>&a;", "", 0, "</worksheet>", NULL, STATUS_BAD_INPUT,
   "damaged"},
  {"a well of elements", "<worksheet>", "<a>", 100000, "", NULL, STATUS_BAD_INPUT, "nested deeper"},
  {"never closed", "<worksheet><sheetData><row>", "", 0, "", NULL, STATUS_BAD_INPUT, "damaged"},
  {"rows backwards", "<worksheet><sheetData>", "", 0,
   "<row r='5'><c><v>1</v></c></row><row r='4'><c><v>1</v></c></row></sheetData></worksheet>", NULL,
   STATUS_BAD_INPUT, "Row 4 comes after row 5"},
  {"a word nobody wrote", "<worksheet><sheetData>", "", 0,
   "<row><c t='s'><v>9</v></c></row></sheetData></worksheet>", NULL, STATUS_BAD_INPUT,
   "names a word"},
  {"merged all over", "<worksheet><sheetData><row><c><v>1</v></c></row></sheetData><mergeCells>",
   "<mergeCell ref='A1:A1048576'/>", 30000, "</mergeCells></worksheet>", NULL, STATUS_LIMIT,
   "merged cells"},
};

static void
what_means_harm_is_refused(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(harmful) / sizeof(harmful[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    const char* const words =
      harmful[i].words
        ? repeated(&arena, "<sst><si><t>", "0123456789abcdef", 4000, "</t></si></sst>")
        : NULL;
    const char* const sheet =
      repeated(&arena, harmful[i].before, harmful[i].piece, harmful[i].n, harmful[i].after);
    size_t n = 0;
    const char* const bytes = zipped_sheet(&arena, sheet, words, NULL, &n);
    Workbook book;
    Error error = {0};
    Table table = {.n_rows = -7};
    Status st = sheet_open(&arena, "t.xlsx", bytes, n, &book, &error);
    st = st == STATUS_OK ? sheet_read(&arena, &book, 0, &table, &error) : st;
    if (st != harmful[i].want || !strstr(error.text, harmful[i].part) || table.n_rows != -7 ||
        strcmp(error.file, "t.xlsx") != 0) {
      fail_msg("%s: got %d \"%s\"", harmful[i].name, (int)st, error.text);
    }
    arena_deinit(&arena);
  }
}

static void
no_workbook_is_said_to_be_none(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  static const ZippedPart other[] = {{"readme.txt", "hello", 0}};
  static const ZippedPart empty[] = {{"xl/workbook.xml", "<workbook/>", 0}};
  size_t n_other = 0;
  size_t n_empty = 0;
  size_t n_good = 0;
  const char* const zip = zipped(&arena, other, 1, &n_other);
  const char* const none = zipped(&arena, empty, 1, &n_empty);
  const char* const good =
    zipped_sheet(&arena, CELLS("<row><c><v>1</v></c></row>"), NULL, NULL, &n_good);
  const struct {
    const char* name;
    const char* bytes;
    size_t n;
    const char* part;
  } cases[] = {
    {"another zip", zip, n_other, "no workbook"},
    {"no sheets", none, n_empty, "names no sheets"},
    {"binary or locked", "\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", 8, "locked with a password"},
    {"cut in half", good, n_good / 2, "damaged"},
    {"only its first bytes", good, 4, "damaged"}};
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    Workbook book = {.n_sheets = -7};
    Error error = {0};
    assert_true(sheet_is_workbook(cases[i].bytes, cases[i].n));
    if (sheet_open(&arena, "t.xlsx", cases[i].bytes, cases[i].n, &book, &error) !=
          STATUS_BAD_INPUT ||
        !strstr(error.text, cases[i].part) || book.n_sheets != -7) {
      fail_msg("%s: \"%s\"", cases[i].name, error.text);
    }
  }
  assert_false(sheet_is_workbook("channel,source\n", 15));
  assert_false(sheet_is_workbook("PK", 2));
  arena_deinit(&arena);
}

// Every size and sum in the zip's headers set to lies: the reader errs or reads, and stays inside.
static void
sizes_that_lie_are_not_believed(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  size_t n = 0;
  const char* const sheet = repeated(&arena, "<worksheet><sheetData>", "<row><c><v>1</v></c></row>",
                                     300, "</sheetData></worksheet>");
  const char* const good = zipped_sheet(&arena, sheet, NULL, NULL, &n);
  char* const bytes = arena_text(&arena, good, n);
  int n_tried = 0;
  int n_read = 0;
  for (size_t at = 0; at + 46 < n; ++at) {
    const bool is_entry = !memcmp(good + at, "PK\x01\x02", 4);
    if (!is_entry && memcmp(good + at, "PK\x03\x04", 4) != 0) {
      continue;
    }
    // Sum, packed size, unpacked size: 14, 18, 22 of a local header, two further in the directory
    for (size_t field = 0; field < 3; ++field) {
      static const char lies[][5] = {{0}, "\xFF\xFF\xFF\x7F", "\xFF\xFF\xFF\xFF", "\x01\0\0\0"};
      for (size_t k = 0; k < 4; ++k) {
        const size_t place = at + 14 + field * 4 + (is_entry ? 2 : 0);
        memcpy(bytes, good, n);
        memcpy(bytes + place, lies[k], 4);
        Workbook book;
        Error error = {0};
        Table table = {.n_rows = -7};
        Status st = sheet_open(&arena, "t.xlsx", bytes, n, &book, &error);
        st = st == STATUS_OK ? sheet_read(&arena, &book, 0, &table, &error) : st;
        ++n_tried;
        n_read += st == STATUS_OK;
        if (st == STATUS_OK ? table.n_rows != 300 : table.n_rows != -7 || !error.text[0]) {
          fail_msg("header at %zu, field %zu, lie %zu: %d, %d rows, \"%s\"", at, field, k, (int)st,
                   table.n_rows, error.text);
        }
      }
    }
  }
  assert_true(n_tried >= 70 && n_read < n_tried);
  arena_deinit(&arena);
}

static void
every_allocation_may_fail(void** state)
{
  (void)state;
  Arena shelf;
  arena_init(&shelf, NULL);
  size_t n = 0;
  const char* const sheet =
    repeated(&shelf, "<worksheet><sheetData>",
             "<row><c t='s'><v>1</v></c><c s='1'><v>36526</v></c><c><v>2.5</v></c></row>", 100,
             "</sheetData><mergeCells><mergeCell ref='A1:A9'/><mergeCell ref='E1:E9'/></mergeCells>"
             "</worksheet>");
  const char* const bytes =
    zipped_sheet(&shelf, sheet, "<sst><si><t>a</t></si><si><t>b</t></si></sst>", STYLES, &n);
  int n_requests = 1;
  for (int fail_at = 0; fail_at <= n_requests; ++fail_at) {
    FailingHeap heap = {.fail_at = fail_at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &from);
    Workbook book;
    Error error = {0};
    Table table = {.n_rows = -7};
    const char* csv = NULL;
    size_t n_csv = 0;
    Status st = sheet_open(&arena, "t.xlsx", bytes, n, &book, &error);
    st = st == STATUS_OK ? sheet_read(&arena, &book, 0, &table, &error) : st;
    const bool is_read = st == STATUS_OK;
    st = is_read ? table_write(&arena, &table, &csv, &n_csv) : st;
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    if (fail_at == 0) {
      assert_int_equal(st, STATUS_OK);
      n_requests = heap.n_requests;
      continue;
    }
    assert_int_equal(st, STATUS_NO_MEMORY);
    assert_true(is_read || (error.status == STATUS_NO_MEMORY && table.n_rows == -7));
  }
  assert_true(n_requests > 100);
  arena_deinit(&shelf);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_workbook_is_the_table_it_shows),
    cmocka_unit_test(elements_mean_what_the_standard_says),
    cmocka_unit_test(days_may_be_counted_from_1904),
    cmocka_unit_test(what_means_harm_is_refused),
    cmocka_unit_test(no_workbook_is_said_to_be_none),
    cmocka_unit_test(sizes_that_lie_are_not_believed),
    cmocka_unit_test(every_allocation_may_fail),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
