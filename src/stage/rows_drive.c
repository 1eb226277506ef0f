// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"
#include "stage/rows.h"

/*
  The rows of drive lines.

    desk output -- processor output ===== drive line ===== amplifier input (zone)

  A drive line is known by its number; zone, outputs and delay are for people to find it by. The
  ohms of its two ends may be listed and mostly are not: then they are usual ones, and whoever
  answers with them says so.
*/

enum { MAX_DRIVES = 256 };

#define USUAL_CABLE_M 50.0    // Of a row that names no length: usual practice
#define USUAL_OUTPUT_OHM 50.0 // Each leg of an electronic output, 25 to 50: usual practice
#define USUAL_AMP_OHM 20000.0 // Between the legs of an amplifier's input: usual practice

static Status
check_number(const Draft* draft, const List* list, const TableRow* row, int number)
{
  for (int i = 0; i < draft->drives.n; ++i) {
    if (draft->drives.at[i].number == number) {
      return draft_bad(draft, list, row, FIELD_DRIVE_LINE,
                       "Drive line %d is listed twice: keep one row, or correct the number.",
                       number);
    }
  }
  if (draft->drives.n == MAX_DRIVES) {
    return error_set(draft->error, STATUS_LIMIT, list->name, row->line, 1,
                     "More than %d drive lines: split them over several shows.", MAX_DRIVES);
  }
  return STATUS_OK;
}

Status
rows_drive(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  DriveLine drive = {.zone_name = cell_text(list, row, FIELD_ZONE_NAME),
                     .desk_output = cell_text(list, row, FIELD_DESK_OUTPUT),
                     .is_assumed = !cell_text(list, row, FIELD_SOURCE_OHM)[0] ||
                                   !cell_text(list, row, FIELD_AMP_OHM)[0]};
  TRY(st, cell_whole(draft, list, row, FIELD_DRIVE_LINE, 1, 9999, 0, &drive.number));
  TRY(st, check_number(draft, list, row, drive.number));
  TRY(st, cell_whole(draft, list, row, FIELD_ZONE, 1, 9999, 0, &drive.zone));
  TRY(st, cell_whole(draft, list, row, FIELD_PROCESSOR_OUT, 1, 9999, 0, &drive.processor_out));
  TRY(st, cell_number(draft, list, row, FIELD_LENGTH_M, 0.0, 1000.0, -1.0, &drive.cable_m));
  TRY(st, cell_number(draft, list, row, FIELD_LEVEL_DBU, -80.0, 30.0, 0.0, &drive.level_dbu));
  TRY(st, cell_number(draft, list, row, FIELD_DELAY_MS, 0.0, 5000.0, 0.0, &drive.delay_ms));
  TRY(st, cell_number(draft, list, row, FIELD_SOURCE_OHM, 1.0, 1e4, USUAL_OUTPUT_OHM,
                      &drive.output_ohm));
  TRY(st, cell_number(draft, list, row, FIELD_AMP_OHM, 100.0, 1e6, USUAL_AMP_OHM, &drive.amp_ohm));
  TRY(st, cell_flag(draft, list, row, FIELD_LIFTED, &drive.is_lifted));
  if (drive.cable_m < 0.0) {
    drive.cable_m = USUAL_CABLE_M;
    TRY(st, draft_assume(draft, "%.80s, line %d: drive line %d is taken to be %g m long.",
                         list->name, row->line, drive.number, drive.cable_m));
  }
  if (!MAKE_ROOM(draft->arena, draft->drives)) {
    return draft_no_memory(draft);
  }
  draft->drives.at[draft->drives.n++] = drive;
  return STATUS_OK;
}
