// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "sheet/order.h"

/*
  The sheets there are, and printing one.

      Order --sheet_*--> Canvas (count) --> pages of each act
                     \-> Canvas (PDF or picture) --> bytes

  A sheet is drawn twice: once to count its pages, so that each can say "page 1 of 2". Everything
  lives in the caller's arena. Reads files only to find the machine's fonts.
*/

typedef enum {
  PRINT_OF_DAY,  ///< One for the day
  PRINT_OF_ACT,  ///< One an act
  PRINT_OF_DESKS ///< One an act and a desk
} PrintScope;

typedef void (*PrintDraw)(const Order* order, Canvas* canvas);

typedef struct {
  const char* word;  ///< "patch": on the command line, in an address, in a file name
  const char* title; ///< "Patch sheet"
  const char* does;  ///< What it is for, a phrase
  PrintScope scope;
  bool takes_tape; ///< Labels: --tape means something
  bool shows_acts; ///< Of the day, and what each act has where
  PrintDraw draw;
} PrintSheet;

/// The sheets in the order they are needed. @return how many.
int
print_sheets(const PrintSheet** sheets);

/// NULL when there is none of that word.
const PrintSheet*
print_find(const char* word);

/// How a sheet came out.
typedef struct {
  const char* bytes; ///< NULL for a count
  size_t n_bytes;
  int n_pages;
  const char* const* notes; ///< Sentences for whoever prints
  int n_notes;
  CanvasLack lacks[CANVAS_MAX_LACKS]; ///< What stands as "?", by the package to install
  int n_lacks;
  int n_codes; ///< QR codes on it
} Print;

typedef struct {
  CanvasSort sort;
  int page;      ///< Of CANVAS_PICTURE, from 1
  CanvasSee see; ///< NULL = nobody listens
  void* see_user;
  struct CanvasFonts* fonts; ///< Borrowed: one set for many sheets; NULL = this sheet's own
} PrintHow;

/**
   Print a sheet.

   @param acts [n_acts] indices, -1 = bare lines: one after the other; a sheet of the day takes none
   of them. `order->act` is not looked at.
   @param[out] print Untouched on error.
   @return STATUS_OK; STATUS_NOT_FOUND: no such page; STATUS_NO_MEMORY; STATUS_LIMIT; STATUS_IO: no
   font.
*/
Status
print_sheet(Arena* arena, const PrintSheet* sheet, const Order* order, const int acts[], int n_acts,
            const PrintHow* how, Print* print, Error* error);

// clang-format off
void sheet_inputs(const Order* order, Canvas* canvas);
void sheet_patch(const Order* order, Canvas* canvas);
void sheet_matrix(const Order* order, Canvas* canvas);
void sheet_box(const Order* order, Canvas* canvas);
void sheet_cable(const Order* order, Canvas* canvas);
void sheet_strip(const Order* order, Canvas* canvas);
void sheet_spares(const Order* order, Canvas* canvas);
void sheet_tag(const Order* order, Canvas* canvas);
void sheet_tester(const Order* order, Canvas* canvas);
void sheet_speaker(const Order* order, Canvas* canvas);
void sheet_monitor(const Order* order, Canvas* canvas);
void sheet_plot(const Order* order, Canvas* canvas);
void sheet_proof(const Order* order, Canvas* canvas);
// clang-format on
