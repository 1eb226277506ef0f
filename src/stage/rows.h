// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/draft.h"

/*
  Readers of rows: one list's table into the draft, things of one sort a file.

      rows_read --> by the sort of the list --> rows_box, rows_line, rows_inputs, ...

  A reader takes one row (of input lists: the whole list, because what an empty cell means hangs on
  the others), adds what it says to the draft and returns STATUS_OK; STATUS_BAD_INPUT with file,
  line, column and a way out in `draft->error`; STATUS_LIMIT; STATUS_NO_MEMORY. What it added before
  an error stays in the draft, which is thrown away then.

  Private to the stage room.
*/

/// Read the rows of one list into the draft. Errors carry the place and a way out.
Status
rows_read(Draft* draft, const List* list);

/// One row of a list of kinds. What it does not say stays as it was.
Status
rows_source(Draft* draft, const List* list, const TableRow* row);

/// A kind nobody has described, of which everything must be asked. @param[out] kind Its index.
Status
rows_new_kind(Draft* draft, const char* name, int* kind);

/// One row of a list of boxes, and one of lines.
Status
rows_box(Draft* draft, const List* list, const TableRow* row);
Status
rows_line(Draft* draft, const List* list, const TableRow* row);

/// The box and socket a row names, in one column or two; "" and 0 when it names none. A bare number
/// in a patch column is a line, and `line` is left as it was where there is none.
Status
rows_patch(Draft* draft, const List* list, const TableRow* row, const char** box, int* socket,
           int* line);

/// A whole input list.
Status
rows_inputs(Draft* draft, const List* list);

/// One row of a desk patch (a channel of a desk), and one of a list of splits.
Status
rows_desk_channel(Draft* draft, const List* list, const TableRow* row);
Status
rows_split(Draft* draft, const List* list, const TableRow* row);

/// One row of items, crew, ways between places, kit.
Status
rows_item(Draft* draft, const List* list, const TableRow* row);
Status
rows_person(Draft* draft, const List* list, const TableRow* row);
Status
rows_walk(Draft* draft, const List* list, const TableRow* row);
Status
rows_kit(Draft* draft, const List* list, const TableRow* row);

/// One row of a running order, and one of which version of a list each place has.
Status
rows_day(Draft* draft, const List* list, const TableRow* row);
Status
rows_version(Draft* draft, const List* list, const TableRow* row);

/// One row of times, starting odds, chances of misreading, what is missed most.
Status
rows_time(Draft* draft, const List* list, const TableRow* row);
Status
rows_odds(Draft* draft, const List* list, const TableRow* row);
Status
rows_misread(Draft* draft, const List* list, const TableRow* row);
Status
rows_needed(Draft* draft, const List* list, const TableRow* row);

/// One row of a list of in-line things.
Status
rows_inline(Draft* draft, const List* list, const TableRow* row);

/// What the inputs of an act say is in line, as indices; all of them are on their lines by now.
Status
rows_through(Draft* draft, const Plant* so_far, int act);

/// One row of a list of desks: what their inputs are.
Status
rows_desk_input(Draft* draft, const List* list, const TableRow* row);

/// Says which desks have an input on that list and no line. Comes after all lists are read.
Status
rows_desk_inputs_used(Draft* draft);

/// One row of a list of drive lines.
Status
rows_drive(Draft* draft, const List* list, const TableRow* row);

/// One row of a list of loudspeaker circuits, and one of monitor mixes.
Status
rows_output(Draft* draft, const List* list, const TableRow* row);
Status
rows_monitor(Draft* draft, const List* list, const TableRow* row);

/// One row of a list of testers or meters.
Status
rows_tester(Draft* draft, const List* list, const TableRow* row);

/// Testers are complete: each has a lamp. Comes after all lists are read.
Status
rows_testers_whole(Draft* draft);

/// The act of an input list: as somebody answered, else by its file name, which is what is left
/// without the words for an input list, a version mark and the ending. "inputs-act2.csv" is act2,
/// "Act 3 input list v2.csv" is Act 3. NULL when there is no memory.
const char*
rows_act(Arena* arena, const List* list);

/// Cuts "B7", "B-7", "box B 7" into box (where it begins, how long it is) and socket; false when it
/// is not of that shape.
bool
rows_cut_patch(const char* text, size_t* at, size_t* n_name, int* socket);

/// The kind somebody wrote: by draft_kind, else without remarks ("own condenser (pair)"); -1 =
/// none.
int
rows_kind(const Draft* draft, const char* name);

/// Which of the three desks a word means ("house", "mons", "truck"), -1 = none of them.
int
rows_desk(const char* text);
