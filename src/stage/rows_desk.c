// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"
#include "stage/draft.h"

/*
  The rows of a list of desks: what an input is, because what a lost leg sounds like hangs on it.

      2 o--+            2 o--[each]--+
           [between]                earth
      3 o--+            3 o--[each]--+

  With 2 kohm between the legs a source that drives both loses 18 dB with one of them; with 1 kohm
  from each to earth, 6.
*/

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
