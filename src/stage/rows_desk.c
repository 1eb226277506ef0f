// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"
#include "stage/rows.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  Desks: what each of their channels is set to, how the split feeds them, and the rows of a list of
  desks: what an input is, because what a lost leg sounds like hangs on it.

      2 o--+            2 o--[each]--+
           [between]                earth
      3 o--+            3 o--[each]--+

  With 2 kohm between the legs a source that drives both loses 18 dB with one of them; with 1 kohm
  from each to earth, 6.
*/

int
rows_desk(const char* text)
{
  static const char* const words[PLANT_DESKS] = {
    "|foh|house|frontofhouse|housedesk|fohdesk|", "|mon|monitor|monitors|monitordesk|mondesk|mons|",
    "|broadcast|truck|recording|record|broadcastdesk|stream|"};
  char plain[48];
  char barred[52];
  heading_plain(text, plain, sizeof(plain));
  (void)snprintf(barred, sizeof(barred), "|%s|", plain);
  for (int i = 0; plain[0] && i < PLANT_DESKS; ++i) {
    if (strstr(words[i], barred)) {
      return i;
    }
  }
  return -1;
}

Status
rows_desk_channel(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  DeskRow out = {.act = -1, .name = cell_text(list, row, FIELD_NAME)};
  out.desk = rows_desk(cell_text(list, row, FIELD_DESK));
  if (out.desk < 0) {
    return draft_bad(draft, list, row, FIELD_DESK,
                     "\"%.40s\" is none of the desks: write foh, mon or broadcast.",
                     cell_text(list, row, FIELD_DESK));
  }
  const char* const act = cell_text(list, row, FIELD_ACT);
  if (act[0] && !text_same(act, "bare lines") && !text_same(act, "bare")) {
    TRY(st, draft_act(draft, act, &out.act));
  }
  TRY(st, cell_whole(draft, list, row, FIELD_CHANNEL, 1, 9999, 0, &out.channel));
  TRY(st, cell_whole(draft, list, row, FIELD_LINE, 0, 9999, 0, &out.line));
  TRY(st, cell_answer(draft, list, row, FIELD_PHANTOM, ANSWER_ASK, &out.gives_phantom));
  TRY(st, cell_number(draft, list, row, FIELD_PAD_DB, -60.0, 60.0, (double)NAN, &out.pad_db));
  TRY(st, cell_number(draft, list, row, FIELD_GAIN_DB, -60.0, 100.0, (double)NAN, &out.gain_db));
  TRY(st, cell_answer(draft, list, row, FIELD_MUTED, ANSWER_ASK, &out.is_muted));
  out.pad_db = fabs(out.pad_db);
  draft->has_desk[out.desk] = true;
  if (!MAKE_ROOM(draft->arena, draft->desk_rows)) {
    return draft_no_memory(draft);
  }
  draft->desk_rows.at[draft->desk_rows.n++] = (DraftDeskRow){out, list, row};
  return STATUS_OK;
}

Status
rows_split(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  if (draft->has_split) {
    return draft_leave(draft,
                       "%.80s, line %d: a second split (%.40s) is not used: every line is "
                       "taken to go through %.40s.",
                       list->name, row->line, cell_text(list, row, FIELD_SPLIT), draft->split.name);
  }
  Split split = {.name = cell_text(list, row, FIELD_SPLIT), .is_lifted = true};
  const char* const direct = cell_text(list, row, FIELD_DIRECT);
  if (direct[0]) {
    draft->direct = rows_desk(direct);
    if (draft->direct < 0) {
      return draft_bad(draft, list, row, FIELD_DIRECT,
                       "\"%.40s\" is none of the desks: write foh, mon or broadcast.", direct);
    }
  }
  TRY(st, cell_number(draft, list, row, FIELD_PRIMARY_OHM, 0.1, 10000.0, 60.0, &split.primary_ohm));
  TRY(st,
      cell_number(draft, list, row, FIELD_SECONDARY_OHM, 0.1, 10000.0, 60.0, &split.secondary_ohm));
  TRY(st, cell_number(draft, list, row, FIELD_PRIMARY_H, 0.001, 1000.0, 5.0, &split.primary_h));
  TRY(st, cell_flag(draft, list, row, FIELD_BLOCKED, &split.is_blocked));
  TRY(st, cell_flag(draft, list, row, FIELD_LIFTED, &split.is_lifted));
  TRY(st, cell_flag(draft, list, row, FIELD_PARALLEL, &split.is_parallel));
  draft->split = split;
  draft->has_split = true;
  return STATUS_OK;
}

// ---- What their inputs are ----

static const char* const names[PLANT_DESKS] = {"foh", "mon", "broadcast"};

Status
rows_desk_input(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  double between_ohm = 0.0;
  double each_ohm = 0.0;
  const int desk = rows_desk(cell_text(list, row, FIELD_DESK));
  if (desk < 0) {
    return draft_bad(draft, list, row, FIELD_DESK,
                     "\"%.40s\" is none of the desks: write foh, mon or broadcast.",
                     cell_text(list, row, FIELD_DESK));
  }
  TRY(st, cell_number(draft, list, row, FIELD_BETWEEN_OHM, 100.0, 1e6, 0.0, &between_ohm));
  TRY(st, cell_number(draft, list, row, FIELD_EACH_OHM, 100.0, 1e6, 0.0, &each_ohm));
  if (!(between_ohm > 0.0) && !(each_ohm > 0.0)) {
    return draft_bad(draft, list, row, FIELD_DESK,
                     "This row does not say what the inputs of %s are: write the ohms between the "
                     "legs (2000), from each leg to earth (1000), or both; or take the row out.",
                     names[desk]);
  }
  if (draft->between_ohm[desk] > 0.0 || draft->each_ohm[desk] > 0.0) {
    return draft_bad(draft, list, row, FIELD_DESK, "Desk %s is listed twice: keep one row.",
                     names[desk]);
  }
  draft->between_ohm[desk] = between_ohm;
  draft->each_ohm[desk] = each_ohm;
  return STATUS_OK;
}

Status
rows_desk_inputs_used(Draft* draft)
{
  Status st = STATUS_OK;
  for (int k = 0; k < PLANT_DESKS; ++k) {
    if ((draft->between_ohm[k] > 0.0 || draft->each_ohm[k] > 0.0) && !draft->has_desk[k]) {
      TRY(st, draft_leave(draft, "The inputs of desk %s are listed, but no line goes there.",
                          names[k]));
    }
  }
  return STATUS_OK;
}
