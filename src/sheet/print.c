// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/print.h"

#include "base/text.h"
#include "sheet/fonts.h"

#include <string.h>

static const PrintSheet sheets[] = {
  {"inputs", "Input list", "each desk's channels, 48 V, sockets and boxes to tick", PRINT_OF_DESKS,
   false, false, sheet_inputs},
  {"patch", "Patch sheet", "what goes into each box, and what was there before", PRINT_OF_ACT,
   false, false, sheet_patch},
  {"matrix", "Matrix of the day", "every line in every act, for the split", PRINT_OF_DAY, false,
   true, sheet_matrix},
  {"boxes", "Box labels", "a letter for each box and a label for each socket", PRINT_OF_ACT, true,
   false, sheet_box},
  {"cables", "Cable labels", "both ends of each cable, read in both directions", PRINT_OF_DAY, true,
   false, sheet_cable},
  {"strips", "Desk strips", "names over the faders of each desk", PRINT_OF_DESKS, true, false,
   sheet_strip},
  {"spares", "Spares card", "free sockets, spare lines, kit and spare cables", PRINT_OF_ACT, false,
   false, sheet_spares},
  {"tags", "Fault tags", "what is taped off, and blank ones", PRINT_OF_DAY, false, false,
   sheet_tag},
  {"tester", "Tester card", "what each fault shows on the crew's tester", PRINT_OF_DAY, false,
   false, sheet_tester},
  {"speakers", "Loudspeaker card", "what each circuit should read, and room for what it does",
   PRINT_OF_DAY, false, false, sheet_speaker},
  {"monitors", "Monitor card", "mixes, returns, what feeds them", PRINT_OF_DAY, false, false,
   sheet_monitor},
  {"plot", "Stage plot", "boxes, sources and desks as places have them", PRINT_OF_ACT, false, false,
   sheet_plot},
  {"proof", "Proof sheet", "what is proven, by what, and what was not seen, for the hand-over",
   PRINT_OF_ACT, false, false, sheet_proof},
};
enum { N_SHEETS = sizeof(sheets) / sizeof(sheets[0]) };

int
print_sheets(const PrintSheet** list)
{
  *list = sheets;
  return N_SHEETS;
}

const PrintSheet*
print_find(const char* word)
{
  for (int i = 0; i < N_SHEETS; ++i) {
    if (text_same(sheets[i].word, word)) {
      return &sheets[i];
    }
  }
  return NULL;
}

static void
draw_desks(const PrintSheet* sheet, const Order* order, Canvas* canvas)
{
  for (int d = 0; d < order->plant->n_desks; ++d) {
    if (order->desk == ORDER_ALL_DESKS || order->desk == d) {
      Order one = *order;
      one.desk = d;
      sheet->draw(&one, canvas);
    }
  }
}

static void
draw_all(const PrintSheet* sheet, const Order* order, const int acts[], int n_acts, Canvas* canvas)
{
  if (sheet->scope == PRINT_OF_DAY) {
    sheet->draw(order, canvas);
  }
  for (int i = 0; sheet->scope != PRINT_OF_DAY && i < n_acts; ++i) {
    Order one = *order;
    one.act = acts[i];
    one.plant = &order_today(&one)->plant;
    if (order_today(&one)->n_says > 0) {
      canvas_note(canvas,
                  "%s: ways round or what is taped off change its list; its sheets say how.",
                  order_act(&one));
    }
    if (sheet->scope == PRINT_OF_DESKS) {
      draw_desks(sheet, &one, canvas);
    } else {
      sheet->draw(&one, canvas);
    }
  }
}

// How the acts that are drawn stand today: [acts + 1].
static Status
make_today(Arena* arena, const PrintSheet* sheet, const Order* order, const int acts[], int n_acts,
           const Today* const** today)
{
  const int n = order->plant->n_acts + 1;
  const Today** const list = arena_array(arena, (size_t)n, sizeof(*list));
  Status st = list ? STATUS_OK : STATUS_NO_MEMORY;
  for (int a = 0; a < n && st == STATUS_OK; ++a) {
    const int act = a == n - 1 ? -1 : a;
    bool is_drawn = sheet->shows_acts && act >= 0;
    for (int i = 0; i < n_acts && sheet->scope != PRINT_OF_DAY; ++i) {
      is_drawn = is_drawn || acts[i] == act;
    }
    Today* const one = is_drawn ? arena_array(arena, 1, sizeof(*one)) : NULL;
    if (is_drawn) {
      st = one ? today_make(arena, order->plant, order->fold, act, one) : STATUS_NO_MEMORY;
      list[a] = one;
    }
  }
  *today = list;
  return st;
}

typedef struct {
  const PrintSheet* sheet;
  const Order* order;
  const int* acts;
  int n_acts;
} Task;

// How many pages, and those of each section into `totals`.
static Status
count_pages(Arena* arena, const Task* task, CanvasFonts* fonts, int totals[CANVAS_MAX_SECTIONS],
            int* n_totals, int* n_pages)
{
  const CanvasJob job = {.sort = CANVAS_COUNT, .is_dry = true, .fonts = fonts};
  const char* bytes = NULL;
  size_t n_bytes = 0;
  Canvas canvas;
  canvas_init(arena, &job, &canvas);
  draw_all(task->sheet, task->order, task->acts, task->n_acts, &canvas);
  const Status st = canvas_done(&canvas, &bytes, &n_bytes);
  memcpy(totals, canvas.sections, sizeof(canvas.sections));
  *n_totals = canvas.section + 1;
  *n_pages = canvas.n_pages;
  canvas_free(&canvas);
  return st;
}

static Status
draw_pages(Arena* arena, const Task* task, const CanvasJob* job, Print* print)
{
  const char* bytes = NULL;
  size_t n_bytes = 0;
  Canvas canvas;
  canvas_init(arena, job, &canvas);
  draw_all(task->sheet, task->order, task->acts, task->n_acts, &canvas);
  Status st = canvas_done(&canvas, &bytes, &n_bytes);
  const char** const notes = arena_array(arena, (size_t)canvas.n_notes, sizeof(*notes));
  st = st == STATUS_OK && !notes ? STATUS_NO_MEMORY : st;
  if (st == STATUS_OK) {
    memcpy(notes, canvas.notes, (size_t)canvas.n_notes * sizeof(*notes));
    *print = (Print){.bytes = bytes,
                     .n_bytes = n_bytes,
                     .n_pages = canvas.n_pages,
                     .notes = notes,
                     .n_notes = canvas.n_notes,
                     .n_lacks = canvas.n_lacks,
                     .n_codes = canvas.n_codes};
    memcpy(print->lacks, canvas.lacks, sizeof(canvas.lacks));
  }
  canvas_free(&canvas);
  return st;
}

static Status
print_with(Arena* arena, const Task* task, const PrintHow* how, CanvasFonts* fonts, Print* print,
           Error* error)
{
  int* const totals = arena_array(arena, CANVAS_MAX_SECTIONS, sizeof(*totals));
  int n_totals = 0;
  int n_pages = 0;
  Status st;
  if (!totals) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, count_pages(arena, task, fonts, totals, &n_totals, &n_pages));
  if (how->sort == CANVAS_PICTURE && (how->page < 1 || how->page > n_pages)) {
    return error_set(error, STATUS_NOT_FOUND, NULL, 0, 0, "There is no page %d: this sheet has %d.",
                     how->page, n_pages);
  }
  const CanvasJob job = {.sort = how->sort,
                         .picture_page = how->page,
                         .title = task->sheet->title,
                         .date = task->order->date,
                         .totals = totals,
                         .n_totals = n_totals,
                         .fonts = fonts,
                         .see = how->see,
                         .see_user = how->see_user};
  return draw_pages(arena, task, &job, print);
}

Status
print_sheet(Arena* arena, const PrintSheet* sheet, const Order* order, const int acts[], int n_acts,
            const PrintHow* how, Print* print, Error* error)
{
  Order own = *order;
  const Task task = {sheet, &own, acts, n_acts};
  CanvasFonts* fonts = NULL;
  Status st;
  own.listed = order->plant;
  TRY(st, make_today(arena, sheet, order, acts, n_acts, &own.today));
  if (how->fonts) {
    return print_with(arena, &task, how, how->fonts, print, error);
  }
  TRY(st, fonts_new(&fonts, error));
  st = print_with(arena, &task, how, fonts, print, error);
  fonts_free(fonts);
  return st;
}
