// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "fault/card.h"
#include "sheet/grid.h"
#include "sheet/print.h"
#include "sheet/wording.h"

#include <stdio.h>
#include <string.h>

/*
  The card in the lid of the crew's own tester: picture by picture which faults show it. What a good
  cable shows comes first, with the faults that look no different beside it, because those are what
  a green light does not clear.
*/

static const char* const titles[CARD_SITUATIONS] = {
  "Under phantom", "With its sender", "Sender battery the wrong way round", "By its own battery"};
static const char* const how[CARD_SITUATIONS] = {WORDING_LAMPS_PHANTOM, WORDING_LAMPS_SENDER, "",
                                                 WORDING_LAMPS_ALONE};

// Faults that look as row `row` does: "open 1, 3; 1k in 2". The row's own only if it is a fault.
static const char*
faults_of(Canvas* canvas, const Card* card, int row)
{
  TextOut out = {.arena = canvas->arena};
  char before[CARD_NAME_BYTES] = "";
  for (int k = row == 0 ? 1 : row; k < card->n_rows; ++k) {
    char name[CARD_NAME_BYTES];
    if (card->rows[k].looks_as != row) {
      continue;
    }
    card_fault_say(&card->rows[k].fault, name);
    char* const blank = strrchr(name, ' ');
    const size_t n = blank ? (size_t)(blank - name) : strlen(name);
    if (blank && strlen(before) == n && !strncmp(before, name, n)) {
      text_add(&out, ", %s", blank + 1);
    } else {
      text_add(&out, "%s%s", out.n_bytes ? "; " : "", name);
    }
    (void)snprintf(before, sizeof(before), "%.*s", (int)n, name);
  }
  const char* const text = text_done(&out);
  return text ? text : "";
}

static void
draw_card(Frame* frame, const Card* card)
{
  Canvas* const canvas = frame->canvas;
  const Letters lamp = {.height_mm = 2.6, .least_mm = 1.8, .is_bold = true};
  const Letters text = {.height_mm = 2.8, .least_mm = 2.0, .lines = 4};
  GridColumn columns[GRID_MAX_COLUMNS];
  char names[LAMP_MAX][16];
  for (int k = 0; k < card->n_lamps; ++k) {
    card_lamp_name(card->tester, k, names[k]);
    columns[k] = (GridColumn){names[k], 18.0, lamp};
  }
  columns[card->n_lamps] = (GridColumn){"means", 190.0 - 18.0 * card->n_lamps, text};
  frame_head(frame, titles[card->situation]);
  frame_say(frame, how[card->situation], 2.3, false);
  Grid grid = {.frame = frame, .columns = columns, .n_columns = card->n_lamps + 1, .row_mm = 6.4};
  grid_begin(&grid);
  for (int r = 0; r < card->n_rows; ++r) {
    GridCell cells[GRID_MAX_COLUMNS];
    char letters[LAMP_MAX + 1];
    if (card->rows[r].looks_as != r) {
      continue;
    }
    card_read(&card->rows[r], letters);
    for (int k = 0; k < card->n_lamps; ++k) {
      cells[k] = letters[k] == 'G'   ? (GridCell){CELL_HOLLOW, "green"}
                 : letters[k] == 'R' ? (GridCell){CELL_FILLED, "red"}
                                     : (GridCell){CELL_TEXT, "dark"};
    }
    const char* const faults = faults_of(canvas, card, r);
    cells[card->n_lamps] =
      (GridCell){CELL_TEXT, r > 0       ? faults
                            : faults[0] ? canvas_format(canvas, "GOOD. Looks the same: %s", faults)
                                        : "GOOD"};
    grid_row(&grid, cells);
  }
  grid_end(&grid);
}

void
sheet_tester(const Order* order, Canvas* canvas)
{
  const Tester* const tester = plant_own_tester(order->plant, 3);
  Frame frame = {.order = order,
                 .canvas = canvas,
                 .title =
                   tester ? canvas_format(canvas, "Tester card: %s", tester->name) : "Tester card",
                 .about = tester ? tester->note : ""};
  frame_begin(&frame);
  frame_say(&frame, WORDING_TESTER, 2.4, true);
  if (!tester) {
    frame_say(&frame, WORDING_NO_TESTER, 3.0, false);
    return;
  }
  frame_say(&frame, WORDING_LAMPS, 2.3, false);
  static const CardSituation situations[] = {CARD_SENDER, CARD_PHANTOM, CARD_ALONE};
  for (int i = 0; i < 3; ++i) {
    Card card;
    if (!card_fits(tester, situations[i])) {
      continue;
    }
    const Status st = card_build(canvas->arena, tester, situations[i], &card);
    if (st != STATUS_OK) {
      canvas->status = canvas->status == STATUS_OK ? st : canvas->status;
      return;
    }
    draw_card(&frame, &card);
  }
}
