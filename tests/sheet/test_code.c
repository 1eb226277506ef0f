// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Every QR code of the labels read again: the page as a printer of 150 and of 300 dots an inch would
  have it (pdftoppm), each code cut out of it by its own room, and read by zbar.
*/

#include "sheet/paper.h"
#include "sheet/square.h"

#include <string.h>

static PaperSeen seen;

typedef struct {
  int w, h;
  unsigned char* grey; ///< [w x h]
} Page;

static Page
read_page(Arena* arena, const char* path)
{
  Page page = {0};
  int most = 0;
  FILE* const in = fopen(path, "rb");
  assert_non_null(in);
  assert_int_equal(fscanf(in, "P5 %d %d %d", &page.w, &page.h, &most), 3);
  assert_int_equal(fgetc(in), '\n');
  const size_t n = (size_t)page.w * (size_t)page.h;
  page.grey = arena_array(arena, n, 1);
  assert_true(fread(page.grey, 1, n, in) == n);
  (void)fclose(in);
  return page;
}

static void
cut_out(const Page* page, Room room, double dots_per_mm, const char* path)
{
  const int x0 = (int)ceil(room.x_mm * dots_per_mm);
  const int y0 = (int)ceil(room.y_mm * dots_per_mm);
  const int w = (int)floor(room.w_mm * dots_per_mm);
  const int h = (int)floor(room.h_mm * dots_per_mm);
  FILE* const out = fopen(path, "wb");
  assert_non_null(out);
  assert_true(x0 >= 0 && y0 >= 0 && x0 + w <= page->w && y0 + h <= page->h);
  (void)fprintf(out, "P5\n%d %d\n255\n", w, h);
  for (int y = 0; y < h; ++y) {
    assert_true(fwrite(page->grey + (size_t)(y0 + y) * (size_t)page->w + x0, 1, (size_t)w, out) ==
                (size_t)w);
  }
  assert_int_equal(fclose(out), 0);
}

// Every code of one page at one resolution. @return how many.
static int
read_codes(const char* file, int page_number, int dpi)
{
  Arena arena;
  int n = 0;
  arena_init(&arena, NULL);
  const char* const root = arena_format(&arena, "%.*s", (int)strlen(file) - 4, file);
  (void)paper_ask(&arena, 0, "pdftoppm -gray -r %d -f %d -l %d -singlefile %s %s 2>&1", dpi,
                  page_number, page_number, file, root);
  const Page page = read_page(&arena, arena_format(&arena, "%s.pgm", root));
  for (int i = 0; i < seen.n; ++i) {
    const CanvasMark* const mark = &seen.marks[i];
    if (mark->sort == MARK_CODE && mark->page == page_number) {
      cut_out(&page, mark->room, dpi / 25.4, arena_format(&arena, "%s-%03d.pgm", root, n));
      ++n;
    }
  }
  if (n > 0) {
    const char* const said =
      paper_ask(&arena, 0, "zbarimg -q --raw -Sdisable -Sqrcode.enable %s-*.pgm 2>/dev/null", root);
    const char* at = said;
    for (int i = 0; i < seen.n; ++i) {
      const CanvasMark* const mark = &seen.marks[i];
      if (mark->sort == MARK_CODE && mark->page == page_number) {
        const size_t length = strcspn(at, "\n");
        if (strlen(mark->text) != length || strncmp(at, mark->text, length) != 0) {
          fail_msg("page %d at %d dpi: read \"%.*s\"", page_number, dpi, (int)length, at);
        }
        at += length + (at[length] == '\n');
      }
    }
    assert_string_equal(at, "");
  }
  (void)paper_ask(&arena, 0, "rm -f %s-*.pgm %s.pgm", root, root);
  arena_deinit(&arena);
  return n;
}

static int
read_sheet(int tape_mm, int most_pages)
{
  static const int dpis[] = {150, 300};
  Arena arena;
  int n = 0;
  arena_init(&arena, NULL);
  Order order = paper_order(planted_demo(&arena));
  order.tape_mm = tape_mm;
  const Print print = paper_print(&arena, "boxes", &order, CANVAS_PDF, &seen);
  const char* const file = paper_file(&print);
  for (int page = 1; page <= print.n_pages && page <= most_pages; ++page) {
    for (int d = 0; d < 2; ++d) {
      n += read_codes(file, page, dpis[d]);
    }
  }
  arena_deinit(&arena);
  return n;
}

static void
test_codes_are_read(void** state)
{
  (void)state;
  const int on_paper = read_sheet(0, check_count(1, 1000));
  const int on_tape = read_sheet(24, check_count(2, 1000));
  assert_int_equal(on_paper, check_count(16, 4 * 48) * 2);
  assert_int_equal(on_tape, check_count(2, 4 * 48) * 2);
  check_figure("qr_codes_read", on_paper + on_tape, "1");
}

static void
test_modules(void** state)
{
  Arena arena;
  (void)state;
  arena_init(&arena, NULL);
  for (int tape = 0; tape <= 24; tape += 24) {
    Order order = paper_order(planted_demo(&arena));
    order.tape_mm = tape;
    (void)paper_print(&arena, "boxes", &order, CANVAS_COUNT, &seen);
    for (int i = 0; i < seen.n; ++i) {
      const CanvasMark* const mark = &seen.marks[i];
      if (mark->sort == MARK_CODE) {
        // Half a millimetre and a border of four (ISO/IEC 18004)
        assert_true(mark->height_mm >= 0.5);
        CHECK_NEAR("border", mark->ink.x_mm - mark->room.x_mm, 4.0 * mark->height_mm, 1e-6);
        CHECK_NEAR("border", mark->ink.y_mm - mark->room.y_mm, 4.0 * mark->height_mm, 1e-6);
      }
    }
  }
  // 25 modules for up to 32 bytes at the weakest correction (version 2-L, ISO/IEC 18004)
  assert_int_equal(square_modules("http://192.168.100.100:8017/#192"), 25 + 8);
  assert_int_equal(square_modules(""), 0);
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_codes_are_read),
    cmocka_unit_test(test_modules),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
