// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/proof.h"
#include "sheet/grid.h"
#include "sheet/print.h"
#include "sheet/wording.h"

#include <stdio.h>

/*
  Proof sheet: what is handed over. Line by line the state at each desk, the readings it rests on
  and what none of them could have shown. Nothing is said to be proven that `lines` does not say.
*/

static const char*
counts(Canvas* canvas, const int n[STATE_COUNT])
{
  TextOut out = {.arena = canvas->arena};
  for (int s = 0; s < STATE_COUNT; ++s) {
    if (n[s] > 0) {
      text_add(&out, "%s%d %s", out.n_bytes ? ", " : "", n[s], proof_word((LineState)s));
    }
  }
  const char* const text = text_done(&out);
  return text ? text : "";
}

static bool
is_told_again(const Situation* situation, int at)
{
  const Seen* const seen = &situation->seen[at];
  for (int i = at + 1; i < situation->n_seen; ++i) {
    const Seen* const later = &situation->seen[i];
    if (later->line == seen->line && later->check.sort == seen->check.sort &&
        later->check.desk == seen->check.desk) {
      return true;
    }
  }
  return false;
}

// "level normal (foh), lamps GGG": the newest of each check.
static const char*
by_what(const Situation* situation, Canvas* canvas, int line)
{
  const Plant* const plant = situation->plant;
  TextOut out = {.arena = canvas->arena};
  for (int i = 0; i < situation->n_seen; ++i) {
    const Seen* const seen = &situation->seen[i];
    if (seen->line != line || is_told_again(situation, i)) {
      continue;
    }
    const char* const key =
      predict_key_text(canvas->arena, plant, situation->act, seen->check, line, seen->key);
    const bool at_desk = seen->check.desk >= 0;
    text_add(&out, "%s%s %s%s%s%s", out.n_bytes ? ", " : "", predict_check_word(seen->check.sort),
             key ? key : "", at_desk ? " (" : "",
             at_desk ? plant->desks[seen->check.desk].name : "", at_desk ? ")" : "");
  }
  const char* const text = text_done(&out);
  return text ? text : "";
}

static const char*
not_seen(Canvas* canvas, const LineProof* proof)
{
  TextOut out = {.arena = canvas->arena};
  for (int i = 0; i < proof->n_not_seen; ++i) {
    text_add(&out, "%s%s", i ? ", " : "", proof->not_seen[i]);
  }
  const char* const text = text_done(&out);
  return text ? text : "";
}

static GridCell
state_cell(LineState state)
{
  const char* const word = proof_word(state);
  switch (state) {
    case STATE_PROVEN:
      return (GridCell){CELL_FILLED, word};
    case STATE_BAD:
    case STATE_SUSPECT:
      return (GridCell){CELL_INVERTED, word};
    case STATE_UNUSED:
      return (GridCell){CELL_TEXT, ""};
    default:
      return (GridCell){CELL_HOLLOW, word};
  }
}

static void
draw_line(const Order* order, Grid* grid, const Situation* situation, int line,
          const LineProof* proof)
{
  const Plant* const plant = order->plant;
  Canvas* const canvas = grid->frame->canvas;
  const Line* const at = &plant->lines[line];
  const Input* const input = plant_input(plant, order->act, line);
  const int moved = situation->moved_to[line];
  const char* const socket =
    moved >= 0 ? canvas_format(canvas, "%s%d, runs on line %d", plant->boxes[at->box].name,
                               at->socket, plant->lines[moved].number)
               : canvas_format(canvas, "%s%d", plant->boxes[at->box].name, at->socket);
  GridCell cells[GRID_MAX_COLUMNS] = {{CELL_TEXT, canvas_format(canvas, "%d", at->number)},
                                      {CELL_TEXT, socket},
                                      {CELL_TEXT, input ? order_source(input) : ""}};
  int n = 3;
  for (int d = 0; d < plant->n_desks; ++d) {
    cells[n++] = state_cell(proof->at[d]);
  }
  const char* const seen = by_what(situation, canvas, line);
  const bool is_told = seen[0] && proof->n_not_seen > 0;
  cells[n++] = (GridCell){CELL_TEXT, seen};
  cells[n++] = (GridCell){CELL_TEXT, is_told ? canvas_format(canvas, "%s. Not seen: %s", proof->say,
                                                             not_seen(canvas, proof))
                                             : proof->say};
  grid_row(grid, cells);
}

static void
draw_signs(Frame* frame)
{
  static const char* const names[] = {"handed over by", "taken over by", "at (time)"};
  Canvas* const canvas = frame->canvas;
  const double wide = (frame->right_mm - frame->left_mm) / 3.0;
  (void)frame_room(frame, 16.0);
  for (int i = 0; i < 3; ++i) {
    const double x = frame->left_mm + i * wide;
    canvas_line(canvas, x, frame->at_mm + 9.0, x + wide - 4.0, frame->at_mm + 9.0, 0.2);
    (void)letters_draw(canvas, (Room){x, frame->at_mm + 9.6, wide - 4.0, 4.0}, names[i],
                       (Letters){.height_mm = 2.2, .least_mm = 1.6});
  }
  frame->at_mm += 16.0;
}

static void
draw_all(const Order* order, Canvas* canvas, const Situation* situation, const LineProof* proofs)
{
  const Plant* const plant = order->plant;
  const Letters big = {.height_mm = 3.0, .least_mm = 2.0, .lines = 2, .is_bold = true};
  const Letters text = {.height_mm = 2.3, .least_mm = 1.7, .lines = 6};
  const Letters word = {.height_mm = 2.2, .least_mm = 1.6, .is_bold = true};
  int n[STATE_COUNT] = {0};
  for (int i = 0; i < plant->n_lines; ++i) {
    ++n[proofs[i].state];
  }
  GridColumn columns[GRID_MAX_COLUMNS] = {
    {"line", 11.0, big}, {"socket", 17.0, big}, {"source", 36.0, big}};
  int n_columns = 3;
  for (int d = 0; d < plant->n_desks; ++d) {
    columns[n_columns++] = (GridColumn){plant->desks[d].name, 23.0, word};
  }
  columns[n_columns++] = (GridColumn){"by what", 76.0, text};
  columns[n_columns++] = (GridColumn){"not seen, or why not", 76.0, text};
  Frame frame = {.order = order,
                 .canvas = canvas,
                 .title = "Proof sheet",
                 .about = counts(canvas, n),
                 .is_of_act = true,
                 .is_wide = true};
  frame_begin(&frame);
  frame_say(&frame, WORDING_PROOF, 2.3, false);
  if (situation->left_aside && situation->left_aside[0]) {
    frame_say(&frame, situation->left_aside, 2.3, true);
  }
  Grid grid = {.frame = &frame, .columns = columns, .n_columns = n_columns, .row_mm = 6.0};
  grid_begin(&grid);
  for (int i = 0; i < plant->n_lines; ++i) {
    if (proofs[i].state != STATE_UNUSED) {
      draw_line(order, &grid, situation, i, &proofs[i]);
    }
  }
  grid_end(&grid);
  draw_signs(&frame);
}

void
sheet_proof(const Order* order, Canvas* canvas)
{
  const int n = order->plant->n_lines;
  Situation* situation = NULL;
  LineProof* const proofs = arena_array(canvas->arena, (size_t)n, sizeof(*proofs));
  Status st = proofs ? canvas->status : STATUS_NO_MEMORY;
  if (st == STATUS_OK) {
    st = situation_new(canvas->arena, order->plant, order->act, order->fold, &situation);
  }
  for (int i = 0; i < n && st == STATUS_OK; ++i) {
    st = proof_line(situation, canvas->arena, i, &proofs[i]);
  }
  if (st == STATUS_OK) {
    draw_all(order, canvas, situation, proofs);
  } else {
    canvas->status = canvas->status == STATUS_OK ? st : canvas->status;
  }
}
