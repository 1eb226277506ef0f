// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/planted.h"
#include "sheet/print.h"

/*
  What the tests of printed sheets share: the demo event, an event of twelve hard names, whatever
  was drawn written down, and other programs asked what they make of a PDF.
*/

enum { PAPER_MARKS = 20000, PAPER_NAMES = 12, PAPER_TEXT = 512 };

typedef struct {
  CanvasMark marks[PAPER_MARKS];       ///< [n]
  char texts[PAPER_MARKS][PAPER_TEXT]; ///< What marks[].text points at: the first bytes
  int n;
} PaperSeen;

/// A CanvasSee; `user` is a PaperSeen.
void
paper_see(void* user, const CanvasMark* mark);

/// Twelve names that paper is afraid of; [4] is emoji, [5] is empty, [6] has 400 letters in one.
extern const char* const paper_names[PAPER_NAMES];

/// Two boxes, twelve lines, two acts, cables, kit: every text of a list one of the hard names.
const Plant*
paper_hard(Arena* arena);

/// Print every act of an order; fails the test when it cannot be.
Print
paper_print(Arena* arena, const char* word, const Order* order, CanvasSort sort, PaperSeen* seen);

/// One set of fonts for all prints of a program: reading them is most of a small print.
struct CanvasFonts*
paper_fonts(void);

/// An order for A4 with an address, nothing told.
Order
paper_order(const Plant* plant);

/// A PDF in a file that lasts until the next call; its path.
const char*
paper_file(const Print* print);

/// What a command says, zero-ended, in `arena`; fails the test unless it ends with `want`.
const char*
paper_ask(Arena* arena, int want, const char* format, ...) __attribute__((format(printf, 3, 4)));
