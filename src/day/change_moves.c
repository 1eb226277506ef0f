// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/change.h"
#include "day/words.h"

#include "base/text.h"

/*
  What happens to each plug between two acts, without who does it and when: what was where, held
  against what belongs where. Screens take it with the steps of a change, paper takes it alone.
*/

typedef struct {
  Arena* arena;
  const Plant* plant;
  const Plugged* plugged;
  const Allotment* allotment;
  ChangeMove* moves;
  int n;
} Moves;

static const char*
was_in(const Moves* m, int line)
{
  const int before = m->plugged->before[line];
  const Plug* const was = before >= 0 ? &m->plugged->plugs[before] : NULL;
  return !was ? "" : was->was ? was->was->source : was->stranger;
}

static Status
add_move(Moves* m, ChangeMove move)
{
  const Plug* const plug = &m->plugged->plugs[move.plug];
  const bool leaves = move.does == CHANGE_STRIKE;
  move.was = was_in(m, move.line);
  move.source = leaves && plug->was ? plug->was->source : plugged_name(plug);
  move.why = m->allotment->why[move.plug];
  move.step = -1;
  const WordsFill fill = {.socket = allot_socket(m->arena, m->plant, move.line),
                          .box = m->plant->boxes[m->plant->lines[move.line].box].name,
                          .source = move.source,
                          .found = move.was,
                          .way = move.from >= 0 ? allot_socket(m->arena, m->plant, move.from) : ""};
  const Sentence sentence = leaves                             ? WORDS_CHANGE_STRIKE
                            : move.does == CHANGE_PLUG         ? WORDS_CHANGE_PLUG
                            : move.does == CHANGE_MOVE         ? WORDS_CHANGE_MOVE
                            : text_same(move.was, move.source) ? WORDS_CHANGE_KEEP
                                                               : WORDS_CHANGE_KEEP_AS;
  move.say = words_say(m->arena, sentence, &fill);
  if (!fill.socket || !fill.way || !move.say) {
    return STATUS_NO_MEMORY;
  }
  m->moves[m->n++] = move;
  return STATUS_OK;
}

static Status
moves_of(Moves* m, int line)
{
  const Plugged* const p = m->plugged;
  const Allotment* const a = m->allotment;
  const int before = p->before[line];
  const int now = p->now[line];
  const int target = a->target[line];
  Status st = STATUS_OK;
  if (before >= 0 && a->target_at[before] < 0) {
    TRY(st, add_move(m, (ChangeMove){.does = CHANGE_STRIKE,
                                     .line = line,
                                     .from = -1,
                                     .plug = before,
                                     .is_done = p->now_at[before] != line}));
  }
  if (now >= 0 && now != before && a->target_at[now] < 0) { // Plugged meanwhile, and not needed
    TRY(st,
        add_move(m, (ChangeMove){.does = CHANGE_STRIKE, .line = line, .from = -1, .plug = now}));
  }
  if (target < 0) {
    return STATUS_OK;
  }
  const int from = p->before_at[target] >= 0   ? p->before_at[target]
                   : p->now_at[target] != line ? p->now_at[target]
                                               : -1;
  const bool stays = from == line && now == target;
  return add_move(m, (ChangeMove){.does = stays                       ? CHANGE_KEEP
                                          : from >= 0 && from != line ? CHANGE_MOVE
                                                                      : CHANGE_PLUG,
                                  .line = line,
                                  .from = from == line && !stays ? -1 : from,
                                  .plug = target,
                                  .is_done = now == target});
}

Status
change_moves(Arena* arena, const Plant* plant, const Plugged* plugged, const Allotment* allotment,
             ChangeMove** moves, int* n)
{
  Moves m = {arena, plant, plugged, allotment, NULL, 0};
  Status st = STATUS_OK;
  m.moves = arena_array(arena, 3 * (size_t)plant->n_lines, sizeof(*m.moves));
  if (!m.moves) {
    return STATUS_NO_MEMORY;
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    TRY(st, moves_of(&m, l));
  }
  *moves = m.moves;
  *n = m.n;
  return STATUS_OK;
}

const char*
change_row(Arena* arena, const Plant* plant, const ChangeMove moves[], int n, int line)
{
  const ChangeMove* in = NULL;   // What belongs there
  const ChangeMove* out = NULL;  // What is not needed any more
  const ChangeMove* gone = NULL; // What goes from there to another socket
  for (int i = 0; i < n; ++i) {
    const ChangeMove* const move = &moves[i];
    const bool strikes = move->does == CHANGE_STRIKE;
    in = move->line == line && !strikes ? move : in;
    out = move->line == line && strikes ? move : out;
    gone = move->from == line && move->line != line ? move : gone;
  }
  const WordsFill fill = {.source = out ? out->source : "",
                          .found = in ? in->was : "",
                          .way = in && in->from >= 0 ? allot_socket(arena, plant, in->from) : ""};
  const WordsFill along = {.source = gone ? gone->source : "",
                           .way = gone ? allot_socket(arena, plant, gone->line) : ""};
  if (!fill.way || !along.way) {
    return NULL;
  }
  TextOut row = {.arena = arena};
  if (in && in->does == CHANGE_KEEP) {
    return words_say(
      arena, text_same(in->was, in->source) ? WORDS_CHANGE_ROW_KEEP : WORDS_CHANGE_ROW_KEEP_AS,
      &fill);
  }
  const char* const parts[] = {
    gone ? words_say(arena, WORDS_CHANGE_ROW_HOLD, &along) : "",
    out ? words_say(arena, WORDS_CHANGE_ROW_OUT, &fill) : "",
    in && in->does == CHANGE_MOVE ? words_say(arena, WORDS_CHANGE_ROW_CAME, &fill) : ""};
  for (int i = 0; i < 3; ++i) {
    if (!parts[i]) {
      return NULL;
    }
    text_add(&row, "%s%s", row.n_bytes && parts[i][0] ? " " : "", parts[i]);
  }
  return text_done(&row);
}
