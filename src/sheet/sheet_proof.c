// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/proof.h"
#include "day/rescue.h"
#include "sheet/grid.h"
#include "sheet/print.h"
#include "sheet/wording.h"

#include <string.h>

/*
  Proof sheet: what is handed over. Line by line the state at each desk, the readings it rests on,
  when each was taken, and what none of them could have shown; then what is lived with. Nothing is
  said to be proven that `lines` does not say, and a reading from before a part was changed is not
  put beside those from after.

  Times are those of the log, in UTC: a sheet that went by the clock of the machine it is printed on
  would not be the same sheet on the next one.
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

// "7 proven, 19 unproven. Newest word: 2031-06-14 17:52 UTC": how it stands, and how old that is.
static const char*
about(const Order* order, Canvas* canvas, const int n[STATE_COUNT])
{
  const char* newest = "";
  for (size_t i = 0; order->fold && i < order->fold->readings.n_facts; ++i) {
    const char* const time = order->fold->readings.facts[i]->fact.time;
    newest = strlen(time) >= 16 && strcmp(time, newest) > 0 ? time : newest;
  }
  return newest[0] ? canvas_format(canvas, "%s. Newest reading: %.10s %.5s UTC.", counts(canvas, n),
                                   newest, newest + 11)
                   : canvas_format(canvas, "%s. Nothing has been read yet.", counts(canvas, n));
}

// "17:52", when a reading was told; "" where the log does not say.
static const char*
told_at(const Order* order, Canvas* canvas, int64_t seq)
{
  for (size_t i = 0; order->fold && seq > 0 && i < order->fold->all.n_facts; ++i) {
    const FoldFact* const fact = order->fold->all.facts[i];
    if (fact->fact.seq == seq && strlen(fact->fact.time) >= 16) {
      return canvas_format(canvas, " %.5s", fact->fact.time + 11);
    }
  }
  return "";
}

// Whether a later reading of the line takes the place of this one.
static bool
is_told_again(const Situation* situation, int at)
{
  const Seen* const seen = &situation->seen[at];
  for (int i = at + 1; i < situation->n_seen; ++i) {
    const Seen* const later = &situation->seen[i];
    if (later->line == seen->line && later->check.sort == seen->check.sort &&
        later->check.desk == seen->check.desk && later->is_walked == seen->is_walked) {
      return true;
    }
  }
  return false;
}

// Whether a part was changed after this reading.
static bool
is_from_before(const Situation* situation, int at)
{
  for (int i = at + 1; i < situation->n_seen; ++i) {
    const Seen* const later = &situation->seen[i];
    if (later->line == situation->seen[at].line && later->check.sort == CHECK_SWAP) {
      return true;
    }
  }
  return false;
}

// One reading behind others; of the same check that showed the same only where and when.
static void
add_seen(const Order* order, Canvas* canvas, const Situation* situation, int at, const Seen* before,
         TextOut* out)
{
  const Plant* const plant = situation->plant;
  const Seen* const seen = &situation->seen[at];
  const bool is_swap = seen->check.sort == CHECK_SWAP;
  const bool is_same = before && !is_swap && before->check.sort == seen->check.sort &&
                       before->key == seen->key && before->is_walked == seen->is_walked;
  const char* const desk = seen->check.desk >= 0 ? plant->desks[seen->check.desk].name : "";
  const char* const when = told_at(order, canvas, seen->seq);
  if (is_same) {
    text_add(out, ",%s%s%s", desk[0] ? " " : "", desk, when);
    return;
  }
  const char* const key =
    predict_key_text(canvas->arena, plant, situation->act, seen->check, seen->line, seen->key);
  text_add(out, "%s%s%s%s %s%s%s%s%s", out->n_bytes ? "; " : "",
           is_swap ? "changed " : predict_check_word(seen->check.sort),
           is_swap && seen->item ? seen->item : "", is_swap ? ":" : "", key ? key : "",
           seen->is_walked ? " (microphone walked)" : "", desk[0] ? ": " : "", desk, when);
}

// "level normal: foh 17:52, mon 17:53; lamps GGG 17:58": the newest of each check since a part was
// changed, and behind it those from before that.
static const char*
by_what(const Order* order, Canvas* canvas, const Situation* situation, int line)
{
  TextOut out = {.arena = canvas->arena};
  TextOut old = {.arena = canvas->arena};
  const Seen* last[2] = {NULL, NULL};
  for (int i = 0; i < situation->n_seen; ++i) {
    if (situation->seen[i].line == line && !is_told_again(situation, i)) {
      const int is_old = is_from_before(situation, i);
      add_seen(order, canvas, situation, i, last[is_old], is_old ? &old : &out);
      last[is_old] = &situation->seen[i];
    }
  }
  const char* const before = text_done(&old);
  if (before && before[0]) {
    text_add(&out, "%sBefore that: %s", out.n_bytes ? ". " : "", before);
  }
  const char* const text = text_done(&out);
  return text ? text : "";
}

// "open 1, 3, crossed 2-3": a fault's word once for all its contacts.
static const char*
not_seen(Canvas* canvas, const LineProof* proof)
{
  TextOut out = {.arena = canvas->arena};
  const char* before = "";
  size_t n_before = 0;
  for (int i = 0; i < proof->n_not_seen; ++i) {
    const char* const fault = proof->not_seen[i];
    const char* const blank = strrchr(fault, ' ');
    const size_t n = blank ? (size_t)(blank - fault) : 0;
    const bool is_same = n > 0 && n == n_before && strncmp(fault, before, n) == 0;
    text_add(&out, "%s%s", i ? ", " : "", is_same ? blank + 1 : fault);
    before = fault;
    n_before = n;
  }
  const char* const text = text_done(&out);
  return text ? text : "";
}

// What the line's sentence says beside faults that were not seen: "monitor desk not heard". The
// faults follow in full.
static const char*
said_of(Canvas* canvas, const LineProof* proof)
{
  static const char end[] = "not seen";
  const size_t n = strlen(proof->say);
  const bool ends_so = n >= sizeof(end) - 1 && strcmp(proof->say + n - (sizeof(end) - 1), end) == 0;
  const char* const cut = strrchr(proof->say, ';');
  return !ends_so ? proof->say
         : cut    ? canvas_format(canvas, "%.*s", (int)(cut - proof->say), proof->say)
                  : "";
}

// What is missing of a line, and of one that may be bad what it most likely is.
static const char*
why_not(Canvas* canvas, const Situation* situation, int line, const LineProof* proof, bool is_read)
{
  const bool is_doubted = proof->state == STATE_SUSPECT || proof->state == STATE_BAD;
  const char* const likely = is_doubted ? rescue_likely(situation, canvas->arena, line) : "";
  if (!likely) {
    canvas->status = canvas->status == STATUS_OK ? STATUS_NO_MEMORY : canvas->status;
    return "";
  }
  const bool says_more = is_read && proof->n_not_seen > 0;
  const char* const said = says_more ? said_of(canvas, proof) : proof->say;
  return canvas_format(canvas, "%s%s%s%s%s%s", said, said[0] && says_more ? ". " : "",
                       says_more ? "Not seen: " : "", says_more ? not_seen(canvas, proof) : "",
                       likely[0] ? ". " : "", likely);
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
  const Plant* const plant = order->listed; // A line that runs elsewhere keeps its number here
  Canvas* const canvas = grid->frame->canvas;
  const Line* const at = &plant->lines[line];
  const Input* const input = plant_input(plant, order->act, line);
  const int moved = situation->moved_to[line];
  const char* const own = canvas_format(canvas, "%s%d", plant->boxes[at->box].name, at->socket);
  const Line* const on = moved >= 0 && moved != line ? &plant->lines[moved] : NULL;
  const char* const socket =
    on ? canvas_format(canvas, "%s, on %s%d", own, plant->boxes[on->box].name, on->socket) : own;
  GridCell cells[GRID_MAX_COLUMNS] = {{CELL_TEXT, canvas_format(canvas, "%d", at->number)},
                                      {CELL_TEXT, socket},
                                      {CELL_TEXT, input ? order_source(input) : ""}};
  int n = 3;
  for (int d = 0; d < plant->n_desks; ++d) {
    cells[n++] = state_cell(proof->at[d]);
  }
  const char* const seen = by_what(order, canvas, situation, line);
  cells[n++] = (GridCell){CELL_TEXT, seen};
  cells[n++] = (GridCell){CELL_TEXT, why_not(canvas, situation, line, proof, seen[0] != '\0')};
  grid_row(grid, cells);
}

// What is lived with: taped off, gone round, taken for granted. Said too when there is nothing.
static void
draw_lived_with(const Order* order, Frame* frame)
{
  Canvas* const canvas = frame->canvas;
  const FoldSet taped = order->fold ? order->fold->taped_off : (FoldSet){NULL, 0};
  const Today* const today = order_today(order);
  frame_head(frame, "Lived with");
  for (size_t i = 0; i < taped.n_facts; ++i) {
    const FoldFact* const fact = taped.facts[i];
    const char* const why = fact->body.why ? fact->body.why : "";
    frame_say(frame,
              canvas_format(canvas, "Taped off: %s%s%s, since %.10s %.5s.", fact->body.item,
                            why[0] ? ", " : "", why, fact->fact.time,
                            strlen(fact->fact.time) >= 16 ? fact->fact.time + 11 : ""),
              2.3, false);
  }
  if (taped.n_facts == 0) {
    frame_say(frame, "Nothing is taped off.", 2.3, false);
  }
  frame_say(frame,
            today->n_says > 0 ? "Ways round and other sockets than listed: as this sheet begins."
                              : "No way round is in use, every source is where its list has it.",
            2.3, false);
  if (order->plant->n_assumed > 0) {
    frame_say(frame,
              canvas_format(canvas, "Taken for granted where no list says it: %d things.",
                            order->plant->n_assumed),
              2.3, false);
  }
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
  const Plant* const plant = order->listed;
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
    columns[n_columns++] = (GridColumn){plant->desks[d].name, 22.0, word};
  }
  columns[n_columns++] = (GridColumn){"by what, and when (UTC)", 84.0, text};
  columns[n_columns++] = (GridColumn){"not seen, or why not", 72.0, text};
  Frame frame = {.order = order,
                 .canvas = canvas,
                 .title = "Proof sheet",
                 .about = about(order, canvas, n),
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
  draw_lived_with(order, &frame);
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
    st = situation_new(canvas->arena, order->listed, order->act, order->fold, &situation);
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
