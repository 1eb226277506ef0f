// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"
#include "stage/rows.h"

#include "base/text.h"

#include <string.h>

/*
  Input lists: what an act plays, with what, on which channel. They are read as a whole, because
  what an empty cell means hangs on the others (ticks alone: an empty one is a no), and the act may
  be named by the file only.
*/

// Whether a list marks phantom with ticks alone, so that an empty cell beside them means no.
static bool
ticks_only(const List* list)
{
  bool ticks = false;
  for (int r = 1; r < list->table.n_rows; ++r) {
    Answer answer = ANSWER_ASK;
    const char* const text = cell_text(list, &list->table.rows[r], FIELD_PHANTOM);
    if (text[0] && cell_answer_of(text, &answer)) {
      if (answer != ANSWER_YES) {
        return false;
      }
      ticks = true;
    }
  }
  return ticks;
}

const char*
rows_act(Arena* arena, const List* list)
{
  const char* const file = list->name;
  const char* const answer = mapping_means(list->mapping, "act", file);
  if (answer) {
    return answer;
  }
  static const char* const drop[] = {"inputs", "input", "list", "channels", "channel",   "patch",
                                     "rider",  "final", "tech", "spec",     "techrider", "draft"};
  TextOut out = {.arena = arena};
  const char* const dot = strrchr(file, '.');
  const char* const end = dot && dot != file ? dot : file + strlen(file);
  for (const char* p = file; p < end;) {
    size_t n = 0;
    while (p + n < end && !strchr(" -_.", p[n])) {
      ++n;
    }
    bool kept = n > 0;
    for (size_t i = 0; i < sizeof(drop) / sizeof(drop[0]); ++i) {
      kept = kept && !(n == strlen(drop[i]) && text_begins(p, drop[i]));
    }
    const bool version = n >= 2 && (*p == 'v' || *p == 'V') && p[1] >= '0' && p[1] <= '9';
    if (kept && !version) {
      text_add(&out, "%s%.*s", out.n_bytes ? " " : "", (int)n, p);
    }
    p += n + 1;
  }
  const char* const act = text_done(&out);
  return act && !act[0] ? "act1" : act;
}

static Status
read_input_kind(Draft* draft, const List* list, const TableRow* row, int* kind)
{
  Status st = STATUS_OK;
  const char* const name = cell_text(list, row, FIELD_KIND);
  *kind = rows_kind(draft, name);
  if (*kind >= 0) {
    return STATUS_OK;
  }
  TRY(st, rows_new_kind(draft, name, kind));
  if (!name[0]) {
    draft->kinds.at[*kind].meaning = "source of a kind nobody named";
    return draft_assume(draft,
                        "%.80s, line %d: no microphone or DI is named here (nor perhaps on "
                        "later rows): phantom and what it can take must be asked.",
                        list->name, row->line);
  }
  draft->kinds.at[*kind].meaning = "kind that the kinds list does not know";
  return draft_assume(draft,
                      "%.80s, line %d: nobody has told what a \"%.60s\" is: whether it needs "
                      "or stands phantom must be asked.",
                      list->name, row->line, name);
}

static Status
read_input(Draft* draft, const List* list, const TableRow* row, const char* act, bool blank_is_no,
           bool* used)
{
  Status st = STATUS_OK;
  DraftInput in = {.list = list, .row = row, .input.list = list->name};
  const char* const own_act = cell_text(list, row, FIELD_ACT);
  in.input.source = cell_text(list, row, FIELD_SOURCE);
  in.input.stand = cell_text(list, row, FIELD_STAND);
  in.input.position = cell_text(list, row, FIELD_POSITION);
  in.input.note = cell_text(list, row, FIELD_NOTE);
  in.input.line = -1;
  in.through = cell_text(list, row, FIELD_THROUGH);
  TRY(st, draft_act(draft, own_act[0] ? own_act : act, &in.input.act));
  in.input.cable = cell_text(list, row, FIELD_TAG);
  *used = !((cell_says_nothing(in.input.source) || text_same(in.input.source, "spare") ||
             text_same(in.input.source, "unused")) &&
            cell_says_nothing(cell_text(list, row, FIELD_KIND)));
  if (!*used) {
    return STATUS_OK;
  }
  if (cell_says_nothing(in.input.source)) {
    return draft_bad(draft, list, row, FIELD_SOURCE,
                     "A row with a pickup and no source: write what plays here.");
  }
  int channel = 1;
  if (draft->inputs.n > 0 && draft->inputs.at[draft->inputs.n - 1].input.act == in.input.act) {
    channel = draft->inputs.at[draft->inputs.n - 1].input.channel + 1;
  }
  TRY(st, cell_whole(draft, list, row, FIELD_CHANNEL, 1, 9999, channel, &in.input.channel));
  TRY(st, cell_whole(draft, list, row, FIELD_LINE, 1, 9999, 0, &in.line));
  TRY(st, rows_patch(draft, list, row, &in.box, &in.socket, &in.line));
  in.input.is_placed = in.line > 0 || in.box[0];
  TRY(st, cell_answer(draft, list, row, FIELD_PHANTOM, blank_is_no ? ANSWER_NO : ANSWER_ASK,
                      &in.input.wants_phantom));
  TRY(st, read_input_kind(draft, list, row, &in.input.kind));
  in.input.is_must = text_same(cell_text(list, row, FIELD_MUST), "must");
  if (!in.input.is_must) {
    TRY(st, cell_flag(draft, list, row, FIELD_MUST, &in.input.is_must));
  }
  if (++draft->n_in_act[in.input.act] > PLANT_MAX_LINES) {
    return error_set(draft->error, STATUS_LIMIT, list->name, row->line, 1,
                     "More than %d inputs in one act: is it the right file?", PLANT_MAX_LINES);
  }
  if (!MAKE_ROOM(draft->arena, draft->inputs)) {
    return draft_no_memory(draft);
  }
  draft->inputs.at[draft->inputs.n++] = in;
  return STATUS_OK;
}

Status
rows_inputs(Draft* draft, const List* list)
{
  Status st = STATUS_OK;
  const char* const act = rows_act(draft->arena, list);
  int known = 0;
  if (!act) {
    return draft_no_memory(draft);
  }
  if (list->at[FIELD_ACT] < 0) {
    TRY(st, draft_act(draft, act, &known));
  }
  const bool blank_is_no = ticks_only(list);
  int n_unused = 0;
  int first = 0;
  for (int r = 1; r < list->table.n_rows; ++r) {
    const TableRow* const row = &list->table.rows[r];
    bool used = true;
    TRY(st, read_input(draft, list, row, act, blank_is_no, &used));
    n_unused += !used;
    first = !used && !first ? row->line : first;
  }
  if (n_unused > 0) {
    TRY(st, draft_leave(draft,
                        "%.80s: rows without a source are taken as not used (%d, the first "
                        "in line %d).",
                        list->name, n_unused, first));
  }
  if (blank_is_no) {
    return draft_assume(draft, "%.80s: an empty cell under \"%.40s\" is taken as no.", list->name,
                        cell_heading(list, FIELD_PHANTOM));
  }
  return STATUS_OK;
}
