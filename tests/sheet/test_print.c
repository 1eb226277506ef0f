// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Printed sheets: colours and heights against their rules, hard names that must not touch, bytes
  that must not change, and what other programs make of the files.
*/

#include "base/text.h"
#include "sheet/band.h"
#include "sheet/fonts.h"
#include "sheet/letters.h"
#include "sheet/paper.h"

#include <string.h>

static PaperSeen seen;

// ---- Colours ----

static void
test_colours(void** state)
{
  // IEC 60062 (colour code of resistors), digits 0 to 9
  static const char* const names[] = {"black", "brown", "red",    "orange", "yellow",
                                      "green", "blue",  "violet", "grey",   "white"};
  (void)state;
  for (int n = 0; n <= 99; ++n) {
    char want[32];
    char got[32];
    int digits[BAND_MOST];
    (void)snprintf(want, sizeof(want), "%s %s", names[n / 10], names[n % 10]);
    assert_string_equal(band_words(n, got), want);
    assert_int_equal(band_digits(n, digits), 2);
    assert_int_equal(digits[0], n / 10);
    assert_int_equal(digits[1], n % 10);
  }
  char got[32];
  assert_string_equal(band_words(27, got), "red violet");
  assert_string_equal(band_words(192, got), "brown white red");
  assert_string_equal(band_words(1000, got), "");
  assert_string_equal(band_name(10), "");
  assert_string_equal(band_name(-1), "");
}

// The digit stands over its bands, first digit first.
static void
test_digits_over(void** state)
{
  Arena arena;
  Canvas canvas;
  (void)state;
  arena_init(&arena, NULL);
  CanvasFonts* fonts = NULL;
  assert_int_equal(fonts_new(&fonts, NULL), STATUS_OK);
  const CanvasJob job = {.sort = CANVAS_COUNT, .fonts = fonts, .see = paper_see, .see_user = &seen};
  canvas_init(&arena, &job, &canvas);
  for (int n = 0; n <= 99; ++n) {
    seen.n = 0;
    canvas_page(&canvas, 40, 20);
    band_draw(&canvas, (Room){5, 5, 12, 5}, n);
    assert_int_equal(seen.n, 2);
    assert_int_equal(seen.marks[0].text[0], '0' + n / 10);
    assert_int_equal(seen.marks[1].text[0], '0' + n % 10);
    assert_true(seen.marks[0].ink.x_mm < seen.marks[1].ink.x_mm);
  }
  canvas_free(&canvas);
  fonts_free(fonts);
  arena_deinit(&arena);
}

// ---- Heights ----

static const CanvasMark*
mark_of(const char* text)
{
  for (int i = 0; i < seen.n; ++i) {
    if (seen.marks[i].sort == MARK_TEXT && !strcmp(seen.marks[i].text, text)) {
      return &seen.marks[i];
    }
  }
  fail_msg("no \"%s\" on the sheet", text);
  return NULL;
}

static void
test_heights(void** state)
{
  // Height = reading distance / 200
  static const struct {
    const char* sheet;
    const char* text;
    int tape_mm;
    double distance_m;
  } rows[] = {
    {"boxes", "A", 0, 8.0},        // Across the stage
    {"boxes", "A7", 0, 1.5},       // Standing over the box
    {"boxes", "A7", 24, 1.5},      //
    {"boxes", "A7", 12, 1.5},      //
    {"boxes", "line 7", 0, 0.6},   // Bent down to it
    {"cables", "M041", 0, 0.7},    // In the hand
    {"inputs", "kick in", 0, 0.6}, // On the desk: 12 point is 3.1 mm
    {"patch", "A7", 0, 0.6},       // At the box
  };
  Arena plants;
  Arena arena;
  (void)state;
  arena_init(&plants, NULL);
  const Plant* const plant = planted_demo(&plants);
  CHECK_NEAR("1.5 m", letters_height_mm(1.5), 7.5, 1e-12);
  CHECK_NEAR("8 m", letters_height_mm(8.0), 40.0, 1e-12);
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const int act2 = plant_act(plant, "act2");
    const PrintHow how = {
      .sort = CANVAS_COUNT, .see = paper_see, .see_user = &seen, .fonts = paper_fonts()};
    Print print = {0};
    Order order = paper_order(plant);
    arena_init(&arena, NULL);
    order.tape_mm = rows[i].tape_mm;
    order.desk = 0;
    seen.n = 0;
    assert_int_equal(
      print_sheet(&arena, print_find(rows[i].sheet), &order, &act2, 1, &how, &print, NULL),
      STATUS_OK);
    const CanvasMark* const mark = mark_of(rows[i].text);
    // Black as high as promised: digits and capitals, 2 % for their curves
    const bool upright = strspn(rows[i].text, "A7M041") == strlen(rows[i].text);
    if (mark->height_mm < rows[i].distance_m * 5.0 - 1e-9 ||
        (upright && mark->ink.h_mm < rows[i].distance_m * 5.0 * 0.98)) {
      fail_msg("%s %s on %d mm: %.2f mm high, %.2f mm of black, want %.2f", rows[i].sheet,
               rows[i].text, rows[i].tape_mm, mark->height_mm, mark->ink.h_mm,
               rows[i].distance_m * 5.0);
    }
    arena_deinit(&arena);
  }
  arena_deinit(&plants);
}

// 9 mm tape cannot hold 7.5 mm: it says so instead.
static void
test_narrow_tape_says_so(void** state)
{
  Arena arena;
  (void)state;
  arena_init(&arena, NULL);
  Order order = paper_order(planted_demo(&arena));
  order.tape_mm = 9;
  const Print print = paper_print(&arena, "boxes", &order, CANVAS_COUNT, NULL);
  assert_int_equal(print.n_pages, 4 * 48); // Four acts, 48 sockets
  assert_true(print.n_notes == 2);
  assert_non_null(strstr(print.notes[0], "read from 1.3 m"));
  assert_non_null(strstr(print.notes[1], "No QR codes on 9 mm tape"));
  arena_deinit(&arena);
}

// ---- Nothing touches ----

static double
common(double a, double a_long, double b, double b_long)
{
  return fmin(a + a_long, b + b_long) - fmax(a, b);
}

static bool
overlap(Room a, Room b)
{
  const double hair_mm = 0.05;
  return common(a.x_mm, a.w_mm, b.x_mm, b.w_mm) > hair_mm &&
         common(a.y_mm, a.h_mm, b.y_mm, b.h_mm) > hair_mm;
}

static void
check_apart(const char* name)
{
  for (int i = 0; i < seen.n; ++i) {
    const CanvasMark* const one = &seen.marks[i];
    const double hair_mm = 0.05;
    const Room* const in = &one->ink;
    const Room* const room = &one->room;
    if (in->x_mm < -hair_mm || in->y_mm < -hair_mm ||
        in->x_mm + in->w_mm > one->page_w_mm + hair_mm ||
        in->y_mm + in->h_mm > one->page_h_mm + hair_mm) {
      fail_msg("%s page %d: leaves the paper", name, one->page);
    }
    if (in->x_mm < room->x_mm - hair_mm || in->y_mm < room->y_mm - hair_mm ||
        in->x_mm + in->w_mm > room->x_mm + room->w_mm + hair_mm ||
        in->y_mm + in->h_mm > room->y_mm + room->h_mm + hair_mm) {
      fail_msg("%s page %d: leaves its room: %.2f %.2f %.2f %.2f in %.2f %.2f %.2f %.2f", name,
               one->page, in->x_mm, in->y_mm, in->w_mm, in->h_mm, room->x_mm, room->y_mm,
               room->w_mm, room->h_mm);
    }
    for (int k = i + 1; k < seen.n && seen.marks[k].page == one->page; ++k) {
      const CanvasMark* const two = &seen.marks[k];
      // A code is kept clear with its quiet zone
      const Room a = one->sort == MARK_CODE ? one->room : one->ink;
      const Room b = two->sort == MARK_CODE ? two->room : two->ink;
      if (overlap(a, b)) {
        fail_msg("%s page %d: marks %d and %d touch: %.2f %.2f %.2f %.2f and %.2f %.2f %.2f %.2f",
                 name, one->page, i, k, a.x_mm, a.y_mm, a.w_mm, a.h_mm, b.x_mm, b.y_mm, b.w_mm,
                 b.h_mm);
      }
    }
  }
}

static void
check_all_apart(const Plant* plant, bool is_long)
{
  static const int tapes[] = {0, 9, 12, 24};
  const PrintSheet* sheets = NULL;
  const int n = print_sheets(&sheets);
  for (int i = 0; i < n; ++i) {
    for (int t = 0; t < (sheets[i].takes_tape ? 4 : 1); ++t) {
      for (int paper = 0; paper < 2; ++paper) {
        // Every sheet on Letter, which is the shorter one, every second on A4 too; tape once
        if (!is_long && paper == 0 && (i % 2 != 0 || tapes[t] > 0)) {
          continue;
        }
        Arena arena;
        arena_init(&arena, NULL);
        Order order = paper_order(plant);
        order.tape_mm = tapes[t];
        order.paper = paper ? PAPER_LETTER : PAPER_A4;
        order.date = "2031-06-14";
        (void)paper_print(&arena, sheets[i].word, &order, CANVAS_COUNT, &seen);
        assert_true(seen.n > 0);
        check_apart(sheets[i].word);
        arena_deinit(&arena);
      }
    }
  }
}

static void
test_hard_names_apart(void** state)
{
  Arena arena;
  (void)state;
  arena_init(&arena, NULL);
  check_all_apart(paper_hard(&arena), check_count(0, 1) == 1);
  arena_deinit(&arena);
}

static void
test_demo_apart(void** state)
{
  Arena arena;
  (void)state;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  if (check_count(0, 1) == 1) {
    check_all_apart(plant, true);
  } else {
    static const char* const few[] = {"patch", "plot", "strips", "monitors"};
    for (int i = 0; i < 4; ++i) {
      const Order order = paper_order(plant);
      (void)paper_print(&arena, few[i], &order, CANVAS_COUNT, &seen);
      check_apart(few[i]);
    }
  }
  arena_deinit(&arena);
}

// ---- Letters nobody has ----

static bool
has_note(const Print* print, const char* words)
{
  for (int i = 0; i < print->n_notes; ++i) {
    if (strstr(print->notes[i], words)) {
      return true;
    }
  }
  return false;
}

static void
test_lacking_letters(void** state)
{
  static const struct {
    const char* text;
    const char* package;
  } rows[] = {
    {"\xF3\xB0\x80\x80 private", "fonts-noto-core"}, // U+F0000: no font can have it
    {"\xF0\xB3\x80\x80", "fonts-noto-cjk"},          // U+33000: not given out yet
  };
  Arena arena;
  (void)state;
  for (size_t i = 0; i < 2; ++i) {
    arena_init(&arena, NULL);
    const Plant* const demo = planted_demo(&arena);
    Plant plant = *demo;
    Input* const inputs = arena_grow(&arena, plant.inputs, (size_t)plant.n_inputs,
                                     (size_t)plant.n_inputs, sizeof(*inputs));
    inputs[0].source = rows[i].text;
    plant.inputs = inputs;
    const Order order = paper_order(&plant);
    const Print print = paper_print(&arena, "patch", &order, CANVAS_PDF, NULL);
    assert_int_equal(print.n_lacks, 1);
    assert_string_equal(print.lacks[0].package, rows[i].package);
    // A box with numbers in it is what nobody shall get
    const char* const text =
      paper_ask(&arena, 0, "pdftotext -layout %s - 2>&1", paper_file(&print));
    assert_null(strstr(text, "0F0"));
    assert_non_null(strchr(text, '?'));
    arena_deinit(&arena);
  }
  arena_init(&arena, NULL);
  const Order order = paper_order(planted_demo(&arena));
  const Print print = paper_print(&arena, "strips", &order, CANVAS_COUNT, NULL);
  assert_int_equal(print.n_lacks, 0);
  arena_deinit(&arena);
}

// Of twelve hard names each is on the sheet as it is, or the package for it is named.
static void
test_hard_names_come_back(void** state)
{
  // What must be found of each again: the shaping of the others is not pdftotext's to undo
  static const char* const parts[PAPER_NAMES] = {"tambourine",
                                                 NULL,
                                                 "G\xC5\xBC"
                                                 "eg\xC5\xBC\xC3\xB3\xC5\x82ka",
                                                 "\xE4\xB8\x89\xE5\x91\xB3",
                                                 "vocal",
                                                 "(no name)",
                                                 "WWWWWWWW",
                                                 "(lead)",
                                                 NULL,
                                                 NULL,
                                                 "a voice that goes on",
                                                 "quoted"};
  Arena arena;
  (void)state;
  arena_init(&arena, NULL);
  const Order order = paper_order(paper_hard(&arena));
  const Print print = paper_print(&arena, "patch", &order, CANVAS_PDF, NULL);
  const char* const text = paper_ask(&arena, 0, "pdftotext %s - 2>&1", paper_file(&print));
  for (int i = 0; i < PAPER_NAMES; ++i) {
    if (parts[i] && !strstr(text, parts[i]) && print.n_lacks == 0) {
      fail_msg("name %d: no \"%s\" in what pdftotext reads", i, parts[i]);
    }
  }
  assert_non_null(strstr(text, "tambourine"));
  assert_non_null(strstr(text, parts[2]));
  assert_non_null(strstr(text, "(no name)"));
  assert_non_null(strstr(text, "MOVE"));
  assert_true(has_note(&print, "ends in"));
  for (int i = 0; i < print.n_lacks; ++i) {
    assert_true(text_begins(print.lacks[i].package, "fonts-"));
  }
  arena_deinit(&arena);
}

// ---- What is on a sheet ----

static int
count_of(const char* text, const char* words)
{
  int n = 0;
  for (const char* at = strstr(text, words); at; at = strstr(at + 1, words)) {
    ++n;
  }
  return n;
}

static void
test_patch_says_what_to_do(void** state)
{
  // From the demo's own lists: act1 to act2 (inputs-act1.csv, inputs-act2.csv)
  Arena arena;
  (void)state;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  const int act2 = plant_act(plant, "act2");
  const PrintHow how = {.sort = CANVAS_PDF, .fonts = paper_fonts()};
  const Order order = paper_order(plant);
  Print print = {0};
  assert_int_equal(print_sheet(&arena, print_find("patch"), &order, &act2, 1, &how, &print, NULL),
                   STATUS_OK);
  const char* const text = paper_ask(&arena, 0, "pdftotext -layout %s - 2>&1", paper_file(&print));
  // hi-hat (A5) and both overheads (A10, A11) are in both acts; snare (A3), backing track L (C9),
  // announce mic (D3) and leader speech (D5) are other names for what stays: same kind, same place
  assert_int_equal(count_of(text, "KEEP"), 7);
  assert_int_equal(count_of(text, "Stays."), 3);
  assert_non_null(strstr(text, "Stays: snare."));
  // timpani (A9) leaves and nothing comes; so do the brass and strings past C5 but for two
  assert_non_null(strstr(text, "STRIKE"));
  assert_non_null(strstr(text, "timpani"));
  // The ribbon and the two unbalanced or line outputs: never, and the caution that goes with it
  assert_int_equal(count_of(text, "NEVER  "), 3);
  assert_true(count_of(text, "wait 5 s") >= 4);
  assert_true(count_of(text, "muted at every desk") >= 4);
  // Phantom as a word wherever the list says yes
  int n_fed = 0;
  for (int i = 0; i < plant->n_inputs; ++i) {
    n_fed += plant->inputs[i].act == act2 && plant->inputs[i].wants_phantom == ANSWER_YES;
  }
  assert_int_equal(count_of(text, "48 V"), n_fed);
  arena_deinit(&arena);
}

static void
test_stamp_on_every_page(void** state)
{
  Arena arena;
  (void)state;
  arena_init(&arena, NULL);
  Order order = paper_order(planted_demo(&arena));
  order.date = "2031-06-14";
  const Print print = paper_print(&arena, "inputs", &order, CANVAS_PDF, NULL);
  const char* const file = paper_file(&print);
  for (int page = 1; page <= print.n_pages; ++page) {
    const char* const text =
      paper_ask(&arena, 0, "pdftotext -f %d -l %d -layout %s - 2>&1", page, page, file);
    assert_non_null(strstr(text, ", list ")); // "act2, list WBK 2"
    assert_non_null(strstr(text, "page "));
    assert_non_null(strstr(text, " of "));
    assert_non_null(strstr(text, "2031-06-14"));
  }
  arena_deinit(&arena);
}

// ---- Files ----

static void
test_same_bytes(void** state)
{
  const PrintSheet* sheets = NULL;
  const int n = print_sheets(&sheets);
  (void)state;
  for (int i = 0; i < n; ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    const Order order = paper_order(paper_hard(&arena));
    if (i % 4 != 0 && check_count(0, 1) == 0) { // Every fourth in the short run
      arena_deinit(&arena);
      continue;
    }
    const Print one = paper_print(&arena, sheets[i].word, &order, CANVAS_PDF, NULL);
    if (check_count(0, 1) == 1) { // In the short run two builds are held together (test_builds)
      const Print two = paper_print(&arena, sheets[i].word, &order, CANVAS_PDF, NULL);
      assert_int_equal(one.n_bytes, two.n_bytes);
      assert_memory_equal(one.bytes, two.bytes, one.n_bytes);
    }
    const char* const file = paper_file(&one);
    (void)paper_ask(&arena, 0, "qpdf --check %s 2>&1", file);
    const char* const about = paper_ask(&arena, 0, "pdfinfo %s 2>&1", file);
    assert_null(strstr(about, "CreationDate"));
    assert_null(strstr(about, "ModDate"));
    arena_deinit(&arena);
  }
}

static void
test_date_when_asked(void** state)
{
  Arena arena;
  (void)state;
  arena_init(&arena, NULL);
  Order order = paper_order(planted_demo(&arena));
  order.date = "2031-06-14";
  const Print print = paper_print(&arena, "tags", &order, CANVAS_PDF, NULL);
  assert_non_null(
    strstr(paper_ask(&arena, 0, "pdfinfo -rawdates %s 2>&1", paper_file(&print)), "20310614"));
  arena_deinit(&arena);
}

static void
test_pictures(void** state)
{
  Arena arena;
  Error error = {0};
  Print print = {0};
  (void)state;
  arena_init(&arena, NULL);
  const Order order = paper_order(planted_demo(&arena));
  const int act = 1;
  const PrintHow second = {.sort = CANVAS_PICTURE, .page = 2, .fonts = paper_fonts()};
  const PrintHow past = {.sort = CANVAS_PICTURE, .page = 99};
  const PrintSheet* const patch = print_find("patch");
  assert_int_equal(print_sheet(&arena, patch, &order, &act, 1, &second, &print, &error), STATUS_OK);
  assert_memory_equal(print.bytes, "<?xml", 5);
  assert_null(strstr(print.bytes, "<script"));
  assert_int_equal(print_sheet(&arena, patch, &order, &act, 1, &past, &print, &error),
                   STATUS_NOT_FOUND);
  assert_non_null(strstr(error.text, "There is no page 99"));
  arena_deinit(&arena);
}

// ---- Memory ----

static void
test_no_memory(void** state)
{
  Arena kept;
  FailingHeap heap = {0};
  const Allocator from = failing_allocator(&heap);
  const PrintHow how = {.sort = CANVAS_PDF, .fonts = paper_fonts()};
  const int act = 0;
  Print print = {0};
  (void)state;
  arena_init(&kept, NULL);
  const Order order = paper_order(paper_hard(&kept));
  const PrintSheet* const sheet = print_find("spares");
  Arena arena;
  arena_init(&arena, &from);
  assert_int_equal(print_sheet(&arena, sheet, &order, &act, 1, &how, &print, NULL), STATUS_OK);
  arena_deinit(&arena);
  const int n = heap.n_requests;
  const int step = failing_step(n, 8);
  for (int i = 1; i <= n; i += step) {
    const Print before = {.n_pages = -7};
    Print after = before;
    heap = (FailingHeap){.fail_at = i};
    arena_init(&arena, &from);
    const Status st = print_sheet(&arena, sheet, &order, &act, 1, &how, &after, NULL);
    arena_deinit(&arena);
    if (st != STATUS_NO_MEMORY || after.n_pages != -7 || heap.n_live != 0) {
      fail_msg("request %d of %d: %s, %d pages, %d blocks live", i, n, status_text(st),
               after.n_pages, heap.n_live);
    }
  }
  arena_deinit(&kept);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_colours),
    cmocka_unit_test(test_digits_over),
    cmocka_unit_test(test_heights),
    cmocka_unit_test(test_narrow_tape_says_so),
    cmocka_unit_test(test_hard_names_apart),
    cmocka_unit_test(test_demo_apart),
    cmocka_unit_test(test_lacking_letters),
    cmocka_unit_test(test_hard_names_come_back),
    cmocka_unit_test(test_patch_says_what_to_do),
    cmocka_unit_test(test_stamp_on_every_page),
    cmocka_unit_test(test_same_bytes),
    cmocka_unit_test(test_date_when_asked),
    cmocka_unit_test(test_pictures),
    cmocka_unit_test(test_no_memory),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
