// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "stage/sheet.h"
#include "support/book.h"
#include "support/check.h"
#include "support/folder.h"

#include <unistd.h>

/*
  Lists as people send them. Each file in ugly/ is named after what is ugly about it; beside it
  stands, written by hand, what it means:

      column HEADING kept                         a column that is used for nothing
      asks must|may UNDER WRITTEN                 a question, in the order they are asked
      answer UNDER:WRITTEN=MEANS                  what the test answers; then nothing is asked any
  more row LINE title|heading|section|note TEXT    no input input CH SOURCE | KIND | PHANTOM |
  SOCKET | STAND | POSITION | NOTE

  Each also goes through a workbook that holds the same cells, and means the same there.
*/

enum { MOST_BYTES = 1 << 16 };

static const char* const answer_words[] = {"no", "yes", "ask"};
static const char* const use_words[] = {"title", "heading", "section", "note", "left out"};

static void
say_inputs(TextOut* out, const Plant* plant)
{
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const in = &plant->inputs[i];
    text_add(out, "input %d %s | %s | %s | ", in->channel, in->source, plant->kinds[in->kind].name,
             answer_words[in->wants_phantom]);
    if (in->line >= 0) {
      const Line* const line = &plant->lines[in->line];
      text_add(out, "%s%d", plant->boxes[line->box].name, line->socket);
    } else {
      text_add(out, "nowhere");
    }
    text_add(out, " | %s | %s |%s%s\n", in->stand, in->position, in->note[0] ? " " : "", in->note);
  }
}

static void
say_rows(TextOut* out, const ListLook* look)
{
  for (int i = 0; i < look->n_aside; ++i) {
    text_add(out, "row %d %s %s\n", look->rows[i].line, use_words[look->rows[i].use],
             look->rows[i].text);
  }
}

static void
say_questions(TextOut* out, const ListLook* look)
{
  for (int i = 0; i < look->n_columns; ++i) {
    const ListColumn* const column = &look->columns[i];
    bool is_asked = false;
    for (int k = 0; k < look->n_questions; ++k) {
      is_asked =
        is_asked || text_same(look->questions[k].choices[0].answer.written, column->heading);
    }
    if (!column->means && !is_asked) {
      text_add(out, "column %s kept\n", column->heading);
    }
  }
  for (int i = 0; i < look->n_questions; ++i) {
    const ListQuestion* const question = &look->questions[i];
    text_add(out, "asks %s %s %s\n", question->is_needed ? "must" : "may",
             question->choices[0].answer.under, question->choices[0].answer.written);
  }
}

// The answers of an expectation, [*n] of them.
static void
read_answers(Arena* arena, const char* want, ListAnswer answers[16], int* n)
{
  *n = 0;
  for (const char* p = want; *p;) {
    const size_t len = strcspn(p, "\n");
    if (text_begins(p, "answer ")) {
      const char* const line = arena_text(arena, p + 7, len - 7);
      const char* const colon = strchr(line, ':');
      const char* const equals = strrchr(line, '=');
      assert_true(colon && equals && *n < 16);
      answers[(*n)++] =
        (ListAnswer){arena_text(arena, line, (size_t)(colon - line)),
                     arena_text(arena, colon + 1, (size_t)(equals - colon - 1)), equals + 1};
    }
    p += len + (p[len] == '\n');
  }
}

static void
need(const char* name, Status st, const Error* error)
{
  if (st != STATUS_OK) {
    fail_msg("%s: %s:%d:%d: %s", name, error->file, error->line, error->column, error->text);
  }
}

// What a list means, in the words of an expectation.
static const char*
meaning(Arena* arena, const ListText* list, const char* want)
{
  Error error = {0};
  ListLook look;
  Plant plant;
  ListAnswer answers[16];
  int n_answers = 0;
  TextOut out = {.arena = arena};
  ListText lists[2] = {*list};
  need(list->name, lists_look(arena, lists, 1, 0, &look, &error), &error);
  say_questions(&out, &look);
  read_answers(arena, want, answers, &n_answers);
  for (int i = 0; i < n_answers; ++i) {
    text_add(&out, "answer %s:%s=%s\n", answers[i].under, answers[i].written, answers[i].means);
  }
  lists[1].name = LISTS_MAPPING;
  need(
    list->name,
    lists_answer(arena, lists, 1, answers, n_answers, &lists[1].bytes, &lists[1].n_bytes, &error),
    &error);
  need(list->name, lists_look(arena, lists, 2, 0, &look, &error), &error);
  if (look.n_questions > 0) {
    fail_msg("%s: asks again: %s", list->name, look.questions[0].sentence);
  }
  say_rows(&out, &look);
  need(list->name, lists_build(arena, lists, 2, 0, &plant, &error), &error);
  say_inputs(&out, &plant);
  return text_done(&out);
}

// The same cells in a workbook, read back as the text a show keeps.
static ListText
twin(Arena* arena, const ListText* list)
{
  Error error = {0};
  Table table;
  char path[] = "/tmp/linewalk-test-XXXXXX";
  const int handle = mkstemp(path);
  assert_true(handle >= 0);
  (void)close(handle);
  need(list->name, table_read(arena, list->name, list->bytes, list->n_bytes, &table, &error),
       &error);
  lxw_workbook* const book = workbook_new(path);
  book_sheet(workbook_add_worksheet(book, "Inputs"), &table);
  assert_int_equal(workbook_close(book), LXW_NO_ERROR);
  FILE* const file = fopen(path, "rb");
  char* const bytes = arena_array(arena, MOST_BYTES, 1);
  assert_true(file && bytes);
  const size_t n = fread(bytes, 1, MOST_BYTES, file);
  (void)fclose(file);
  (void)unlink(path);
  Workbook opened;
  ListText out = {.name = list->name};
  need(list->name, sheet_open(arena, "twin.xlsx", bytes, n, &opened, &error), &error);
  need(list->name, sheet_read(arena, &opened, 0, &table, &error), &error);
  assert_int_equal(table_write(arena, &table, &out.bytes, &out.n_bytes), STATUS_OK);
  return out;
}

// The lines that are read differ where a cell holds a line end: rows of a sheet do not.
static const char*
without_lines(Arena* arena, const char* text)
{
  char* const copy = arena_copy(arena, text);
  for (char* p = copy; p && (p = strstr(p, "row ")); p += 4) {
    for (char* digit = p + 4; *digit >= '0' && *digit <= '9'; ++digit) {
      *digit = '*';
    }
  }
  return copy;
}

static void
ugly_lists_mean_what_stands_beside_them(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  ListText lists[FOLDER_MAX_LISTS];
  const int n = folder_read(&arena, UGLY_DIR, lists);
  assert_true(n >= 16);
  for (int i = 0; i < n; ++i) {
    const char* const dot = strrchr(lists[i].name, '.');
    const char* const name =
      arena_format(&arena, "%.*s.txt", (int)(dot - lists[i].name), lists[i].name);
    const char* const want = folder_read_list(&arena, UGLY_DIR, name).bytes;
    const char* const got = meaning(&arena, &lists[i], want);
    if (strcmp(got, want) != 0) {
      fail_msg("%s means\n%s\nand should mean\n%s", lists[i].name, got, want);
    }
    const ListText workbook = twin(&arena, &lists[i]);
    const char* const also = meaning(&arena, &workbook, want);
    if (strcmp(without_lines(&arena, also), without_lines(&arena, want)) != 0) {
      fail_msg("the workbook of %s means\n%s\nand should mean\n%s", lists[i].name, also, want);
    }
  }
  print_message("%d ugly lists, each also as a workbook\n", n);
  arena_deinit(&arena);
}

// ---- The same list in any clothes ----

typedef struct {
  const char* names[8]; ///< What the column may be called
} Clothes;

static const Clothes headings[] = {
  {{"Ch", "CH.", "No", "#", "channel no.", "Input No", "chan", "KANAL"}},
  {{"Source", "INSTRUMENT", "source name", "Input Name", "Instrument / source", "sourcename",
    "Channel name", "Quelle"}},
  {{"Mic/DI", "MIC", "Microphone", "mic or DI", "Mic type", "Mics", "pickup", "Mic / DI / line"}},
  {{"48V", "+48 V", "Phantom", "P48", "PHANTOM POWER", "48v phantom", "Phant.", "48 volts"}},
  {{"Stand", "STANDS", "Mic stand", "stand type", "mount", "Stativ", "boom", "Stand/clip"}},
  {{"Pos.", "Position", "WHERE", "stage pos", "Location", "place", "Stage position", "Pos"}},
  {{"Note", "NOTES", "Remarks", "Comments", "Info", "comment", "Remark", "Bemerkung"}},
  {{"Box/Socket", "PATCH", "Stage patch", "box & socket", "Input patch", "patch point", "boxsocket",
    "Box + Socket"}},
};

enum { N_COLUMNS = 8, N_TRIES = 40 };

static const char* const phantoms[3][6] = {{"no", "off", "-", "N", "0", "nein"},
                                           {"yes", "x", "ON", "48V", "\xE2\x9C\x93", "Y"},
                                           {"?", "ask", "tbc", "?", "unknown", "TBA"}};

static const char*
patch_text(Arena* arena, Rng* rng, const Plant* plant, const Line* line)
{
  static const char* const betweens[] = {"", "-", " ", "/", " - ", "."};
  return arena_format(arena, "%s%s%s%d", rng_below(rng, 4) ? "" : "box ",
                      plant->boxes[line->box].name, betweens[rng_below(rng, 6)], line->socket);
}

static void
put_cell(TextOut* out, const char* text, char delimiter, bool is_first)
{
  text_add(out, "%s\"", is_first ? "" : (char[]){delimiter, '\0'});
  for (const char* p = text; *p; ++p) {
    text_add(out, *p == '"' ? "\"\"" : "%c", *p);
  }
  text_add(out, "\"");
}

static void
put_lone(TextOut* out, Rng* rng, const char* text, char delimiter)
{
  const int at = rng_below(rng, 2);
  for (int c = 0; c < N_COLUMNS; ++c) {
    put_cell(out, c == at ? text : "", delimiter, c == 0);
  }
  text_add(out, "\r\n");
}

static ListText
dressed(Arena* arena, Rng* rng, const Plant* plant)
{
  const char delimiter = ",;\t"[rng_below(rng, 3)];
  int order[N_COLUMNS] = {0};
  for (int i = 0; i < N_COLUMNS; ++i) {
    const int k = rng_below(rng, i + 1);
    order[i] = order[k];
    order[k] = i;
  }
  TextOut out = {.arena = arena};
  text_add(&out, "%s", rng_below(rng, 2) ? "\xEF\xBB\xBF" : "");
  for (int n = rng_below(rng, 4); n > 0; --n) {
    put_lone(&out, rng, n == 1 ? "Version 7, of the bus" : "THE PAPER LANTERNS", delimiter);
  }
  for (int c = 0; c < N_COLUMNS; ++c) {
    put_cell(&out, headings[order[c]].names[rng_below(rng, 8)], delimiter, c == 0);
  }
  text_add(&out, "\n");
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const in = &plant->inputs[i];
    if (!rng_below(rng, 6)) {
      put_lone(&out, rng, rng_below(rng, 2) ? "== here be trumpets ==" : "VOCALS", delimiter);
    }
    const char* const cells[N_COLUMNS] = {
      arena_format(arena, rng_below(rng, 3) ? "%d" : "Ch %02d", in->channel),
      in->source,
      plant->kinds[in->kind].name,
      phantoms[in->wants_phantom][rng_below(rng, 6)],
      in->stand,
      in->position,
      in->note,
      patch_text(arena, rng, plant, &plant->lines[in->line])};
    for (int c = 0; c < N_COLUMNS; ++c) {
      put_cell(&out, cells[order[c]], delimiter, c == 0);
    }
    text_add(&out, rng_below(rng, 2) ? "\r\n" : "\n");
  }
  for (int n = rng_below(rng, 3); n > 0; --n) {
    put_lone(&out, rng, "We bring our own stands:", delimiter);
  }
  const char* const bytes = text_done(&out);
  assert_non_null(bytes);
  return (ListText){"inputs-act4.csv", bytes, strlen(bytes)};
}

static void
any_clothes_give_the_same_show(void** state)
{
  (void)state;
  const uint64_t seed = 20310615;
  Rng rng;
  rng_init(&rng, seed);
  const int n_tries = check_count(N_TRIES, 2000);
  print_message("seed %llu, %d dresses\n", (unsigned long long)seed, n_tries);
  for (int i = 0; i < n_tries; ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    Error error = {0};
    Plant plant;
    ListText lists[2] = {folder_read_list(&arena, DEMO_DIR, "boxes.csv"),
                         folder_read_list(&arena, DEMO_DIR, "inputs-act4.csv")};
    need("as it stands", lists_build(&arena, lists, 2, 0, &plant, &error), &error);
    TextOut want = {.arena = &arena};
    say_inputs(&want, &plant);
    lists[1] = dressed(&arena, &rng, &plant);
    ListLook look;
    need(lists[1].bytes, lists_look(&arena, lists, 2, 1, &look, &error), &error);
    need(lists[1].bytes, lists_build(&arena, lists, 2, 0, &plant, &error), &error);
    TextOut got = {.arena = &arena};
    say_inputs(&got, &plant);
    if (look.n_questions > 0 || strcmp(text_done(&got), text_done(&want)) != 0) {
      fail_msg("dress %d, %d questions:\n%s\ngave\n%s\nnot\n%s", i, look.n_questions,
               lists[1].bytes, text_done(&got), text_done(&want));
    }
    arena_deinit(&arena);
  }
}

// ---- Merged cells ----

static void
merged_cells_say_what_they_show(void** state)
{
  (void)state;
  char path[] = "/tmp/linewalk-test-XXXXXX";
  const int handle = mkstemp(path);
  assert_true(handle >= 0);
  (void)close(handle);
  lxw_workbook* const book = workbook_new(path);
  lxw_worksheet* const sheet = workbook_add_worksheet(book, "Inputs");
  worksheet_merge_range(sheet, 0, 0, 0, 4, "The Night Tram", NULL);
  worksheet_merge_range(sheet, 1, 0, 2, 0, "Ch", NULL);
  worksheet_merge_range(sheet, 1, 1, 2, 1, "Source", NULL);
  worksheet_merge_range(sheet, 1, 2, 1, 3, "Stage box", NULL);
  worksheet_merge_range(sheet, 1, 4, 2, 4, "48V", NULL);
  worksheet_write_string(sheet, 2, 2, "Box", NULL);
  worksheet_write_string(sheet, 2, 3, "Socket", NULL);
  worksheet_merge_range(sheet, 3, 0, 3, 4, "DRUMS", NULL);
  static const char* const sources[] = {"Kick", "Hat", "Snare"};
  for (int i = 0; i < 3; ++i) {
    worksheet_write_number(sheet, (lxw_row_t)(4 + i), 0, i + 1, NULL);
    worksheet_write_string(sheet, (lxw_row_t)(4 + i), 1, sources[i], NULL);
    worksheet_write_number(sheet, (lxw_row_t)(4 + i), 3, i + 1, NULL);
  }
  worksheet_merge_range(sheet, 4, 2, 6, 2, "B", NULL);
  worksheet_merge_range(sheet, 5, 4, 6, 4, "x", NULL);
  assert_int_equal(workbook_close(book), LXW_NO_ERROR);
  Arena arena;
  arena_init(&arena, NULL);
  FILE* const file = fopen(path, "rb");
  char* const bytes = arena_array(&arena, MOST_BYTES, 1);
  assert_true(file && bytes);
  const size_t n = fread(bytes, 1, MOST_BYTES, file);
  (void)fclose(file);
  (void)unlink(path);
  Error error = {0};
  Workbook opened;
  Table table;
  ListText list = {.name = "inputs.csv"};
  need("open", sheet_open(&arena, "t.xlsx", bytes, n, &opened, &error), &error);
  need("read", sheet_read(&arena, &opened, 0, &table, &error), &error);
  assert_int_equal(table_write(&arena, &table, &list.bytes, &list.n_bytes), STATUS_OK);
  const char* const got = meaning(&arena, &list, "");
  assert_string_equal(got, "row 1 title The Night Tram\n"
                           "row 2 title Ch | Source | Stage box | 48V\n"
                           "row 4 section DRUMS\n"
                           "input 1 Kick |  | no | B1 |  |  |\n"
                           "input 2 Hat |  | yes | B2 |  |  |\n"
                           "input 3 Snare |  | yes | B3 |  |  |\n");
  arena_deinit(&arena);
}

// ---- What makes no sense ----

static const struct {
  const char* name;
  const char* bytes;
  int line, column;
  const char* part;
} bad[] = {
  {"four channels, two sockets", "ch,source,patch\n1-4,horn,B1-B2\n", 2, 3,
   "4 channels in one row, and 2 under \"patch\""},
  {"two channels, one socket", "ch,source,patch\n1-2,keys,B1\n", 2, 3, "as in B1-B2"},
  {"two channels, upstage", "ch,source,patch\n1-2,keys,upstage\n", 2, 3, "2 channels in one row"},
  {"a day for a socket", "ch,source,box,socket\n1,keys,B,2031-03-04\n", 2, 4,
   "is a date, which spreadsheets make of"},
  {"a range that goes down", "ch,source,mic\n1,a,dyn\n2,b,dyn\n9-3,keys,dyn\n", 4, 1,
   "whole number"},
  {"an answer without a meaning", "under,written,means\nphantom,own,\n", 2, 3, "is empty"},
  {"an answer under nothing", "under,written,means\nweather,own,no\n", 2, 1, "none of heading"},
};

static void
what_makes_no_sense_names_its_place(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    const ListText lists[] = {{"inputs.csv", bad[i].bytes, strlen(bad[i].bytes)},
                              {"inputs-b.csv", "ch,source\n1,kick\n", 17}};
    Plant plant = {.n_lines = -7};
    Error error = {0};
    const Status st = lists_build(&arena, lists, 2, 0, &plant, &error);
    if (st != STATUS_BAD_INPUT || error.line != bad[i].line || error.column != bad[i].column ||
        !strstr(error.text, bad[i].part) || plant.n_lines != -7) {
      fail_msg("%s: got %d at %d:%d \"%s\"", bad[i].name, (int)st, error.line, error.column,
               error.text);
    }
    arena_deinit(&arena);
  }
}

static void
every_allocation_may_fail(void** state)
{
  (void)state;
  Arena shelf;
  arena_init(&shelf, NULL);
  ListText lists[FOLDER_MAX_LISTS];
  const int n = folder_read(&shelf, UGLY_DIR, lists);
  static const ListAnswer answers[] = {{"phantom", "own", "no"}, {"heading", "FX", "kept"}};
  for (int i = 0; i < n; ++i) {
    int n_requests = 1;
    int step = 1;
    for (int fail_at = 0; fail_at <= n_requests; fail_at += step) {
      FailingHeap heap = {.fail_at = fail_at};
      const Allocator from = failing_allocator(&heap);
      Arena arena;
      arena_init(&arena, &from);
      ListLook look = {.n_rows = -7};
      const char* bytes = NULL;
      size_t n_bytes = 0;
      Error error = {0};
      Status st = lists_answer(&arena, &lists[i], 1, answers, 2, &bytes, &n_bytes, &error);
      const ListText both[] = {lists[i], {LISTS_MAPPING, bytes, n_bytes}};
      st = st == STATUS_OK ? lists_look(&arena, both, 2, 0, &look, &error) : st;
      arena_deinit(&arena);
      assert_int_equal(heap.n_live, 0);
      if (fail_at == 0) {
        assert_int_equal(st, STATUS_OK);
        n_requests = heap.n_requests;
        step = failing_step(n_requests, 60);
        continue;
      }
      assert_int_equal(st, STATUS_NO_MEMORY);
      assert_int_equal(error.status, STATUS_NO_MEMORY);
      assert_int_equal(look.n_rows, -7);
    }
  }
  arena_deinit(&shelf);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(ugly_lists_mean_what_stands_beside_them),
    cmocka_unit_test(any_clothes_give_the_same_show),
    cmocka_unit_test(merged_cells_say_what_they_show),
    cmocka_unit_test(what_makes_no_sense_names_its_place),
    cmocka_unit_test(every_allocation_may_fail),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
