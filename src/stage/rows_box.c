// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"
#include "stage/digital.h"
#include "stage/rows.h"

#include "base/text.h"

#include <string.h>

/*
  Boxes and the lines behind their sockets: the copper. A number or a socket that two rows claim is
  refused with both places, because a line that is two things is the fault people hunt longest.
*/

Status
rows_box(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  DraftBox box = {.list = list,
                  .row = row,
                  .joins = cell_text(list, row, FIELD_JOINS),
                  .spares = cell_text(list, row, FIELD_SPARES)};
  int last = 0;
  box.box.name = cell_text(list, row, FIELD_BOX);
  box.box.meaning = cell_text(list, row, FIELD_NAME);
  box.box.where = cell_text(list, row, FIELD_PLACE);
  box.box.tail_tag = cell_text(list, row, FIELD_TAIL);
  if (text_begins(box.box.name, "box ")) {
    box.box.name += 4;
  }
  if (draft_box(draft, box.box.name) >= 0) {
    return draft_bad(draft, list, row, FIELD_BOX,
                     "Box %.40s is listed twice: keep one row, or give the other its own name.",
                     box.box.name);
  }
  if (draft->boxes.n == DRAFT_MAX_BOXES) {
    return error_set(draft->error, STATUS_LIMIT, list->name, row->line, 0,
                     "More than %d boxes: split them over several shows.", DRAFT_MAX_BOXES);
  }
  for (int i = 0; box.box.tail_tag[0] && i < draft->boxes.n; ++i) {
    if (text_same(draft->boxes.at[i].box.tail_tag, box.box.tail_tag)) {
      return draft_bad(draft, list, row, FIELD_TAIL,
                       "Tail %.40s is plugged at box %.40s and at box %.40s: one of them has "
                       "another tail.",
                       box.box.tail_tag, draft->boxes.at[i].box.name, box.box.name);
    }
  }
  TRY(st, cell_whole(draft, list, row, FIELD_SOCKETS, 1, DRAFT_MAX_SOCKETS, 0, &box.box.n_sockets));
  TRY(st,
      cell_whole(draft, list, row, FIELD_FIRST_LINE, 1, PLANT_MAX_LINES, 0, &box.box.first_line));
  TRY(st, cell_whole(draft, list, row, FIELD_LAST_LINE, 1, PLANT_MAX_LINES, 0, &last));
  TRY(st, cell_number(draft, list, row, FIELD_TAIL_M, 0.0, 1000.0, -1.0, &box.box.tail_m));
  TRY(st, digital_read(draft, list, row, &box));
  if (last && box.box.first_line && last != box.box.first_line + box.box.n_sockets - 1) {
    return draft_bad(draft, list, row, FIELD_LAST_LINE,
                     "Box %.40s has %d sockets from line %d on, which ends at line %d and not at "
                     "%d: correct one of the three.",
                     box.box.name, box.box.n_sockets, box.box.first_line,
                     box.box.first_line + box.box.n_sockets - 1, last);
  }
  if (!MAKE_ROOM(draft->arena, draft->boxes)) {
    return draft_no_memory(draft);
  }
  draft->boxes.at[draft->boxes.n++] = box;
  return STATUS_OK;
}

bool
rows_cut_patch(const char* text, size_t* at, size_t* n_name, int* socket)
{
  size_t n = strlen(text);
  while (n > 0 && text[n - 1] >= '0' && text[n - 1] <= '9') {
    --n;
  }
  *at = text_begins(text, "box ") ? 4 : 0;
  size_t end = n;
  while (end > *at && strchr(" -/._:#", text[end - 1])) {
    --end;
  }
  *n_name = end - *at;
  return end > *at && text_whole(text + n, 1, DRAFT_MAX_SOCKETS, socket);
}

// The box and socket of a row, in one column or two; "" and 0 when it names none. A bare number in
// a patch column is a line.
Status
rows_patch(Draft* draft, const List* list, const TableRow* row, const char** box, int* socket,
           int* line)
{
  Status st = STATUS_OK;
  const char* const name = cell_text(list, row, FIELD_BOX);
  const char* const number = cell_text(list, row, FIELD_SOCKET);
  *box = "";
  *socket = 0;
  // Where box and socket stand in one cell: the column may go by any of the three names
  Field field = FIELD_PATCH;
  if (cell_says_nothing(cell_text(list, row, FIELD_PATCH))) {
    if (cell_says_nothing(name) && cell_says_nothing(number)) {
      return STATUS_OK;
    }
    if (list->at[FIELD_BOX] >= 0 && cell_says_nothing(name)) {
      return draft_bad(draft, list, row, FIELD_BOX,
                       "Socket %.40s is named without its box: write the box too.", number);
    }
    if (list->at[FIELD_BOX] >= 0 && !cell_says_nothing(number)) {
      *box = text_begins(name, "box ") ? name + 4 : name;
      return cell_whole(draft, list, row, FIELD_SOCKET, 1, DRAFT_MAX_SOCKETS, 0, socket);
    }
    field = list->at[FIELD_BOX] >= 0 ? FIELD_BOX : FIELD_SOCKET;
  }
  const char* const patch = cell_text(list, row, field);
  size_t at = 0;
  size_t n = 0;
  if (field != FIELD_BOX && text_whole(patch, 1, 9999, line)) {
    return STATUS_OK;
  }
  if (!rows_cut_patch(patch, &at, &n, socket)) {
    return draft_bad(draft, list, row, field,
                     "\"%.40s\" is no box and socket: write the box and the number, as in B7.",
                     patch);
  }
  *box = arena_text(draft->arena, patch + at, n);
  return *box ? st : draft_no_memory(draft);
}

// Two lines cannot share a pair, a split channel or an input of a desk.
static Status
check_shared(const Draft* draft, const List* list, const TableRow* row, const Line* line)
{
  static const Field fields[] = {FIELD_PAIR, FIELD_SPLIT_CHANNEL, FIELD_FOH, FIELD_MON,
                                 FIELD_BROADCAST};
  const int mine[] = {line->pair, line->split_channel, line->desk_input[0], line->desk_input[1],
                      line->desk_input[2]};
  for (int i = 0; i < draft->lines.n; ++i) {
    const Line* const other = &draft->lines.at[i];
    const int theirs[] = {other->pair, other->split_channel, other->desk_input[0],
                          other->desk_input[1], other->desk_input[2]};
    for (int k = 0; k < 5; ++k) {
      if (list->at[fields[k]] >= 0 && mine[k] && mine[k] == theirs[k]) {
        return draft_bad(draft, list, row, fields[k],
                         "%d under \"%.40s\" is already taken by line %d: correct one of the two.",
                         mine[k], cell_heading(list, fields[k]), other->number);
      }
    }
  }
  return STATUS_OK;
}

Status
rows_line(Draft* draft, const List* list, const TableRow* row)
{
  static const Field desks[PLANT_DESKS] = {FIELD_FOH, FIELD_MON, FIELD_BROADCAST};
  Status st = STATUS_OK;
  Line line = {0};
  const char* box = "";
  TRY(st, cell_whole(draft, list, row, FIELD_LINE, 1, 9999, 0, &line.number));
  TRY(st, rows_patch(draft, list, row, &box, &line.socket, &(int){0}));
  if (!box[0]) {
    return draft_bad(draft, list, row, list->at[FIELD_BOX] >= 0 ? FIELD_BOX : FIELD_PATCH,
                     "Line %d has no box and socket: write them, or take the row out.",
                     line.number);
  }
  TRY(st, draft_box_named(draft, box, line.socket, &line.box));
  if (line.box < 0) {
    return draft_bad(draft, list, row, list->at[FIELD_BOX] >= 0 ? FIELD_BOX : FIELD_PATCH,
                     "There is no box %.40s on the boxes list: add it there, or correct the name "
                     "here.",
                     box);
  }
  if (draft->lines.n == PLANT_MAX_LINES) {
    return error_set(draft->error, STATUS_LIMIT, list->name, row->line, 0,
                     "More than %d lines: split them over several shows.", PLANT_MAX_LINES);
  }
  const Box* const at = &draft->boxes.at[line.box].box;
  if (line.socket > at->n_sockets) {
    return draft_bad(draft, list, row, list->at[FIELD_SOCKET] >= 0 ? FIELD_SOCKET : FIELD_BOX,
                     "Box %.40s has %d sockets, so there is no socket %d: correct one of the two.",
                     at->name, at->n_sockets, line.socket);
  }
  if (at->first_line && line.number != at->first_line + line.socket - 1) {
    return draft_bad(draft, list, row, FIELD_LINE,
                     "Socket %.40s%d is line %d by the boxes list (it begins at line %d), and line "
                     "%d here: correct one of the two.",
                     at->name, line.socket, at->first_line + line.socket - 1, at->first_line,
                     line.number);
  }
  for (int i = 0; i < draft->lines.n; ++i) {
    const Line* const other = &draft->lines.at[i];
    if (other->number == line.number) {
      return draft_bad(draft, list, row, FIELD_LINE,
                       "Line %d is listed twice: keep one row, or correct the number.",
                       line.number);
    }
    if (other->box == line.box && other->socket == line.socket) {
      return draft_bad(draft, list, row, list->at[FIELD_SOCKET] >= 0 ? FIELD_SOCKET : FIELD_BOX,
                       "Socket %.40s%d already carries line %d: one socket has one line.", at->name,
                       line.socket, other->number);
    }
  }
  if (at->is_digital) {
    TRY(st, digital_read_line(draft, list, row, &line));
  } else {
    TRY(st, cell_whole(draft, list, row, FIELD_PAIR, 1, 9999, line.number, &line.pair));
    TRY(st, cell_whole(draft, list, row, FIELD_SPLIT_CHANNEL, 1, 9999, line.number,
                       &line.split_channel));
  }
  for (int k = 0; k < PLANT_DESKS; ++k) {
    TRY(st, cell_whole(draft, list, row, desks[k], 0, 9999, 0, &line.desk_input[k]));
    draft->has_desk[k] = draft->has_desk[k] || line.desk_input[k] > 0;
  }
  TRY(st, check_shared(draft, list, row, &line));
  TRY(st, cell_flag(draft, list, row, FIELD_SPARE, &line.is_spare));
  if (!MAKE_ROOM(draft->arena, draft->lines)) {
    return draft_no_memory(draft);
  }
  draft->lines.at[draft->lines.n++] = line;
  return STATUS_OK;
}
