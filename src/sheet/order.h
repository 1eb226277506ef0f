// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "sheet/canvas.h"
#include "sheet/today.h"
#include "show/fold.h"
#include "stage/plant.h"

/*
  What is to be printed of what: the plant and what was told today, the act, the paper, and what
  stands on every sheet. Plain data, borrowed; read-only.
*/

typedef enum { PAPER_A4, PAPER_LETTER } OrderPaper;

/// Every desk.
enum { ORDER_ALL_DESKS = -1 };

typedef struct {
  const Plant* plant; ///< The lists; while a sheet of an act is drawn, that act's Today.plant
  const Fold* fold;   ///< NULL = nothing told
  const char* show;   ///< Name of the show, "" = none
  int act;            ///< Index; -1 = bare lines
  int desk;           ///< Index or ORDER_ALL_DESKS
  OrderPaper paper;
  int tape_mm;         ///< 0 = labels on paper, to be cut; 9, 12 or 24 = on tape of that width
  const char* date;    ///< As it is to stand there, "" = none
  const char* address; ///< Of the crew page, without a slash at its end: "http://10.0.0.5:8017";
                       ///< "" = no QR codes
  const char* owner;   ///< Whose cables they are, "" = not said
  // Filled while a sheet is drawn
  const Plant* listed;       ///< The lists as they are: for states and marks
  const Today* const* today; ///< [acts + 1] of each act that is drawn, else NULL; bare lines last
} Order;

/// Size of the paper, upright [mm]: ISO 216 A4; Letter 8.5 x 11 inch.
void
order_paper_mm(const Order* order, double* w_mm, double* h_mm);

/// How much of a tape's width a label printer reaches: 6.5 of 9, 9 of 12, 18 of 24 mm (usual
/// practice, no source). 0 for another width.
double
order_tape_high_mm(int tape_mm);

/// Name of the act, "bare lines" for none.
const char*
order_act(const Order* order);

/// The mark of its list, "" when it has none. `mark` as mark_act.
const char*
order_mark(const Order* order, char mark[16]);

/// "act2, list QLR 2", with ", 3 changed" behind it where today has 3 sources elsewhere than the
/// list; in the canvas's arena.
const char*
order_stamp(const Order* order, Canvas* canvas);

/// How the order's act stands today; NULL where no act is drawn.
const Today*
order_today(const Order* order);

/// What an act has on a line today, NULL = nothing.
const Input*
order_input(const Order* order, int act, int line);

/// The act played before this one, -1 for the first and for bare lines.
int
order_before(const Order* order);

/// Address that opens a line on the crew page, in the arena; NULL without one.
const char*
order_line_address(const Order* order, Canvas* canvas, int line_number);

/// The line of a socket of a box, index, -1 = none.
int
order_socket_line(const Plant* plant, int box, int socket);

/// The channel a desk has for a line: its own patch, else the order of the act's list, else 0.
int
order_channel(const Order* order, int desk, int line);

/// What a source is called on paper: "(no name)" for one without.
const char*
order_source(const Input* input);
