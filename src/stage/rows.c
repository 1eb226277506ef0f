// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"
#include "stage/digital.h"
#include "stage/draft.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  The rows of one list, as things. One function a sort of list; all of them stop at the first cell
  that makes no sense, because half an import is worse than none.
*/

// ---- Kinds ----

bool
draft_goes_by(const char* also, const char* name)
{
  char plain[48];
  heading_plain(name, plain, sizeof(plain));
  const char* p = also;
  while (*p) {
    const char* const end = strchr(p, '|');
    const size_t n = end ? (size_t)(end - p) : strlen(p);
    char one[48];
    char other[48];
    (void)snprintf(one, sizeof(one), "%.*s", (int)n, p);
    heading_plain(one, other, sizeof(other));
    if (plain[0] && strcmp(other, plain) == 0) {
      return true;
    }
    p += n + (end ? 1 : 0);
  }
  return false;
}

int
draft_kind(const Draft* draft, const char* name)
{
  for (int i = 0; i < draft->kinds.n; ++i) {
    if (text_same(draft->kinds.at[i].name, name)) {
      return i;
    }
  }
  for (int i = 0; i < draft->also.n; ++i) {
    if (draft_goes_by(draft->also.at[i], name)) {
      return i;
    }
  }
  return -1;
}

static Status
new_kind(Draft* draft, const char* name, int* kind)
{
  if (draft->kinds.n == DRAFT_MAX_KINDS) {
    return error_set(draft->error, STATUS_LIMIT, NULL, 0, 0,
                     "The lists name more than %d kinds: is a column of free text read as kinds?",
                     DRAFT_MAX_KINDS);
  }
  if (!MAKE_ROOM(draft->arena, draft->kinds) || !MAKE_ROOM(draft->arena, draft->also)) {
    return draft_no_memory(draft);
  }
  *kind = draft->kinds.n++;
  draft->also.at[draft->also.n++] = "";
  draft->kinds.at[*kind] = (Kind){.name = name,
                                  .meaning = "",
                                  .caution = "",
                                  .figures = "assumed",
                                  .full_v = KIND_FULL_V,
                                  .least_v = KIND_LEAST_V,
                                  .drive = DRIVE_FLOATING,
                                  .source_ohm = 200.0,
                                  .level_dbu = -35.0,
                                  .needs_phantom = ANSWER_ASK,
                                  .phantom_harmless = ANSWER_ASK,
                                  .runs_on_one_leg = ANSWER_ASK,
                                  .is_microphone = true,
                                  .is_assumed = true};
  return STATUS_OK;
}

static Status
read_drive(const Draft* draft, const List* list, const TableRow* row, Drive* drive)
{
  static const char* const words[] = {"floating", "both legs", "one leg", "unbalanced"};
  const char* const text = cell_text(list, row, FIELD_DRIVE);
  if (!text[0]) {
    return STATUS_OK;
  }
  for (int i = 0; i < 4; ++i) {
    if (text_same(text, words[i])) {
      *drive = (Drive)i;
      return STATUS_OK;
    }
  }
  return draft_bad(draft, list, row, FIELD_DRIVE,
                   "\"%.40s\" is no drive: write floating, both legs, one leg or unbalanced.",
                   text);
}

static Status
read_kind(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  const char* const name = cell_text(list, row, FIELD_KIND);
  int at = -1;
  for (int i = 0; i < draft->kinds.n; ++i) {
    at = text_same(draft->kinds.at[i].name, name) ? i : at;
  }
  if (at < 0) {
    TRY(st, new_kind(draft, name, &at));
    draft->kinds.at[at].is_assumed = false;
  }
  Kind kind = draft->kinds.at[at];
  kind.meaning = list->at[FIELD_MEANING] >= 0 ? cell_text(list, row, FIELD_MEANING) : kind.meaning;
  kind.caution = list->at[FIELD_CAUTION] >= 0 ? cell_text(list, row, FIELD_CAUTION) : kind.caution;
  if (cell_text(list, row, FIELD_ALSO)[0]) {
    draft->also.at[at] = cell_text(list, row, FIELD_ALSO);
  }
  double draw_ma = kind.draw_a * 1e3;
  double low_ma = 0.0;
  double high_ma = 0.0;
  TRY(st, cell_answer(draft, list, row, FIELD_NEEDS, kind.needs_phantom, &kind.needs_phantom));
  TRY(st,
      cell_answer(draft, list, row, FIELD_HARMLESS, kind.phantom_harmless, &kind.phantom_harmless));
  TRY(st,
      cell_answer(draft, list, row, FIELD_ONE_LEG, kind.runs_on_one_leg, &kind.runs_on_one_leg));
  TRY(st,
      cell_number(draft, list, row, FIELD_R23_LOW, 0.0, 1e6, kind.r23_low_ohm, &kind.r23_low_ohm));
  TRY(st, cell_number(draft, list, row, FIELD_R23_HIGH, kind.r23_low_ohm, 1e6, kind.r23_high_ohm,
                      &kind.r23_high_ohm));
  TRY(st, read_drive(draft, list, row, &kind.drive));
  TRY(st,
      cell_number(draft, list, row, FIELD_SOURCE_OHM, 0.1, 1e6, kind.source_ohm, &kind.source_ohm));
  TRY(st,
      cell_number(draft, list, row, FIELD_SUPPLY_OHM, 0.0, 1e6, kind.supply_ohm, &kind.supply_ohm));
  TRY(st, cell_number(draft, list, row, FIELD_P48_LOW, 0.0, 14.1, 0.0, &low_ma));
  TRY(st, cell_number(draft, list, row, FIELD_P48_HIGH, low_ma, 14.1, low_ma, &high_ma));
  // A range without a figure of its own only moves a draw that lies outside of it
  if (cell_text(list, row, FIELD_P48_HIGH)[0] && (draw_ma < low_ma || draw_ma > high_ma)) {
    draw_ma = (low_ma + high_ma) / 2.0;
  }
  TRY(st, cell_number(draft, list, row, FIELD_DRAW_MA, 0.0, 14.1, draw_ma, &draw_ma));
  TRY(st, cell_number(draft, list, row, FIELD_LEVEL_DBU, -120.0, 40.0, kind.level_dbu,
                      &kind.level_dbu));
  TRY(st, cell_flag(draft, list, row, FIELD_BATTERY, &kind.has_battery));
  TRY(st, cell_flag(draft, list, row, FIELD_SWITCH, &kind.has_switch));
  TRY(st, cell_flag(draft, list, row, FIELD_RADIO, &kind.is_radio));
  TRY(st, cell_flag(draft, list, row, FIELD_MICROPHONE, &kind.is_microphone));
  TRY(st, cell_flag(draft, list, row, FIELD_RIBBON, &kind.is_ribbon));
  TRY(st, cell_number(draft, list, row, FIELD_FULL_V, 0.1, 52.0, kind.full_v, &kind.full_v));
  TRY(st,
      cell_number(draft, list, row, FIELD_LEAST_V, 0.0, kind.full_v,
                  kind.least_v < kind.full_v ? kind.least_v : kind.full_v / 3.0, &kind.least_v));
  TRY(st, cell_number(draft, list, row, FIELD_PAD_DB, 0.0, 60.0, kind.pad_db, &kind.pad_db));
  TRY(st, cell_number(draft, list, row, FIELD_LOW_LEVEL_DB, 0.0, 60.0, kind.low_level_db,
                      &kind.low_level_db));
  TRY(st, cell_flag(draft, list, row, FIELD_LIFT, &kind.has_lift));
  TRY(st, cell_flag(draft, list, row, FIELD_JACK, &kind.has_jack));
  TRY(st, cell_flag(draft, list, row, FIELD_AB, &kind.needs_ab));
  if (cell_text(list, row, FIELD_FIGURES)[0]) {
    kind.figures = cell_text(list, row, FIELD_FIGURES);
  }
  kind.draw_a = draw_ma / 1e3;
  draft->kinds.at[at] = kind;
  return STATUS_OK;
}

// ---- Boxes and lines ----

static Status
read_box(Draft* draft, const List* list, const TableRow* row)
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
static Status
read_patch(Draft* draft, const List* list, const TableRow* row, const char** box, int* socket,
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

static Status
read_line(Draft* draft, const List* list, const TableRow* row)
{
  static const Field desks[PLANT_DESKS] = {FIELD_FOH, FIELD_MON, FIELD_BROADCAST};
  Status st = STATUS_OK;
  Line line = {0};
  const char* box = "";
  TRY(st, cell_whole(draft, list, row, FIELD_LINE, 1, 9999, 0, &line.number));
  TRY(st, read_patch(draft, list, row, &box, &line.socket, &(int){0}));
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

// ---- Inputs ----

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

int
rows_kind(const Draft* draft, const char* name)
{
  static const char* const leads[] = {"any ", "own ", "our ", "house ", "a "};
  int kind = draft_kind(draft, name);
  // "condenser (pair)": what stands in brackets is a remark
  char bare[80];
  const size_t n = strcspn(name, "(");
  if (kind >= 0 || n >= sizeof(bare)) {
    return kind;
  }
  memcpy(bare, name, n);
  bare[n] = '\0';
  kind = n > 0 && name[n] ? draft_kind(draft, bare) : -1;
  for (size_t i = 0; kind < 0 && i < sizeof(leads) / sizeof(leads[0]); ++i) {
    kind = text_begins(bare, leads[i]) ? draft_kind(draft, bare + strlen(leads[i])) : -1;
  }
  return kind;
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
  TRY(st, new_kind(draft, name, kind));
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
  TRY(st, read_patch(draft, list, row, &in.box, &in.socket, &in.line));
  in.input.is_placed = in.line > 0 || in.box[0];
  TRY(st, cell_answer(draft, list, row, FIELD_PHANTOM, blank_is_no ? ANSWER_NO : ANSWER_ASK,
                      &in.input.wants_phantom));
  TRY(st, read_input_kind(draft, list, row, &in.input.kind));
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

static Status
read_inputs(Draft* draft, const List* list)
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

// ---- Desks ----

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

static Status
read_desk_row(Draft* draft, const List* list, const TableRow* row)
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

static Status
read_split(Draft* draft, const List* list, const TableRow* row)
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

// ---- Items, people, places, kit ----

static Status
read_item(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  Item item = {.tag = cell_text(list, row, FIELD_TAG),
               .kind = cell_text(list, row, FIELD_KIND),
               .poles = cell_text(list, row, FIELD_POLES),
               .last_test = "",
               .state = cell_text(list, row, FIELD_STATE),
               .history = cell_text(list, row, FIELD_HISTORY)};
  static const char* const states[] = {"good", "quarantine", "repair", "bin"};
  bool known = !item.state[0];
  for (size_t i = 0; i < sizeof(states) / sizeof(states[0]); ++i) {
    if (text_same(item.state, states[i])) {
      item.state = states[i];
      known = true;
    }
  }
  if (!known) {
    return draft_bad(draft, list, row, FIELD_STATE,
                     "\"%.40s\" is no state of an item: write good, quarantine, repair or bin.",
                     item.state);
  }
  item.state = item.state[0] ? item.state : "good";
  TRY(st, cell_date(draft, list, row, FIELD_LAST_TEST, &item.last_test));
  TRY(st, cell_number(draft, list, row, FIELD_LENGTH_M, 0.0, 1000.0, 0.0, &item.length_m));
  TRY(st, cell_whole(draft, list, row, FIELD_MATINGS, 0, 1000000, 0, &item.n_matings));
  if (!MAKE_ROOM(draft->arena, draft->items)) {
    return draft_no_memory(draft);
  }
  draft->items.at[draft->items.n++] = (DraftItem){item, list, row};
  return STATUS_OK;
}

static Status
read_person(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  Person person = {.role = cell_text(list, row, FIELD_ROLE),
                   .where = cell_text(list, row, FIELD_PLACE)};
  TRY(st, cell_whole(draft, list, row, FIELD_COUNT_OF, 0, 999, 1, &person.count));
  TRY(st,
      cell_place(draft, list, row, list->at[FIELD_STARTS_AT] >= 0 ? FIELD_STARTS_AT : FIELD_PLACE,
                 &person.place));
  if (!MAKE_ROOM(draft->arena, draft->people)) {
    return draft_no_memory(draft);
  }
  draft->people.at[draft->people.n++] = person;
  return STATUS_OK;
}

static Status
read_walk(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  Walk walk = {0};
  TRY(st, draft_place(draft, cell_text(list, row, FIELD_FROM), &walk.from));
  TRY(st, draft_place(draft, cell_text(list, row, FIELD_TO), &walk.to));
  TRY(st, cell_number(draft, list, row, FIELD_SECONDS, 0.0, 36000.0, 0.0, &walk.seconds));
  if (!MAKE_ROOM(draft->arena, draft->walks)) {
    return draft_no_memory(draft);
  }
  draft->walks.at[draft->walks.n++] = walk;
  return STATUS_OK;
}

static Status
read_kit(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  KitItem item = {.name = cell_text(list, row, FIELD_KIT)};
  TRY(st, cell_whole(draft, list, row, FIELD_COUNT_OF, 0, 9999, 1, &item.count));
  TRY(st, cell_place(draft, list, row, FIELD_PLACE, &item.place));
  if (!MAKE_ROOM(draft->arena, draft->kit)) {
    return draft_no_memory(draft);
  }
  draft->kit.at[draft->kit.n++] = item;
  return STATUS_OK;
}

// ---- The day ----

static bool
has_words(const char* text, const char* words)
{
  for (; *text; ++text) {
    if (text_begins(text, words)) {
      return true;
    }
  }
  return false;
}

// When doors open and when lines are first checked: the first row of each.
static Status
read_doors(Draft* draft, const List* list, const TableRow* row, const char* what)
{
  Status st = STATUS_OK;
  Doors* const doors = &draft->doors;
  if (!doors->opens[0] && text_begins(what, "doors")) {
    TRY(st, cell_clock(draft, list, row, FIELD_START, &doors->opens));
    TRY(st, cell_date(draft, list, row, FIELD_DATE, &doors->date));
  }
  return !doors->checking[0] && has_words(what, "line check")
           ? cell_clock(draft, list, row, FIELD_START, &doors->checking)
           : STATUS_OK;
}

// A row "act 2 on" puts the act into the running order; beside that only doors and the line check
// are this room's business.
static Status
read_day(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  const char* const what = cell_text(list, row, FIELD_WHAT);
  const size_t n = strlen(what);
  TRY(st, read_doors(draft, list, row, what));
  if (n < 4 || !text_same(what + n - 3, "on") || what[n - 3] != ' ') {
    return STATUS_OK;
  }
  char* const name = arena_text(draft->arena, what, n - 3);
  if (!name) {
    return draft_no_memory(draft);
  }
  if (!text_begins(name, "act") && !text_same(name, cell_text(list, row, FIELD_WHO))) {
    return STATUS_OK;
  }
  int act = 0;
  TRY(st, draft_act(draft, name, &act));
  Act* const at = &draft->acts.at[act];
  if (at->start[0]) {
    return draft_bad(draft, list, row, FIELD_WHAT,
                     "%.40s is on twice in this running order: give the second set a name of its "
                     "own.",
                     at->name);
  }
  TRY(st, cell_clock(draft, list, row, FIELD_START, &at->start));
  TRY(st, cell_clock(draft, list, row, FIELD_END, &at->end));
  return cell_date(draft, list, row, FIELD_DATE, &at->date);
}

static Status
read_version(Draft* draft, const List* list, const TableRow* row)
{
  ListVersion version = {cell_text(list, row, FIELD_ACT),
                         cell_text(list, row, FIELD_VERSION),
                         {cell_text(list, row, FIELD_FOH), cell_text(list, row, FIELD_MON),
                          cell_text(list, row, FIELD_BROADCAST), cell_text(list, row, FIELD_STAGE)},
                         list->name};
  if (!MAKE_ROOM(draft->arena, draft->versions)) {
    return draft_no_memory(draft);
  }
  draft->versions.at[draft->versions.n++] = version;
  return STATUS_OK;
}

// ---- Times, odds, misreading: the crew's rows go over the built-in ones ----

static Status
read_time(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  StepTime time = {.step = cell_text(list, row, FIELD_STEP),
                   .source = cell_text(list, row, FIELD_SOURCE)};
  int at = 0;
  while (at < draft->times.n && !text_same(draft->times.at[at].step, time.step)) {
    ++at;
  }
  TRY(st, cell_number(draft, list, row, FIELD_USUAL, 0.0, 36000.0, 0.0, &time.usual_s));
  TRY(st,
      cell_number(draft, list, row, FIELD_QUICK, 0.0, time.usual_s, time.usual_s, &time.quick_s));
  if (text_same(cell_text(list, row, FIELD_SLOW), "never")) {
    time.slow_s = INFINITY;
  } else {
    TRY(st, cell_number(draft, list, row, FIELD_SLOW, time.usual_s, 36000.0, time.usual_s,
                        &time.slow_s));
  }
  if (at == draft->times.n) {
    if (!MAKE_ROOM(draft->arena, draft->times)) {
      return draft_no_memory(draft);
    }
    ++draft->times.n;
  }
  draft->times.at[at] = time;
  return STATUS_OK;
}

static Status
read_odds(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  StartOdds odds = {cell_text(list, row, FIELD_WHERE), cell_text(list, row, FIELD_FAULT), 0.0,
                    cell_text(list, row, FIELD_SOURCE)};
  int at = 0;
  while (at < draft->odds.n && !(text_same(draft->odds.at[at].where, odds.where) &&
                                 text_same(draft->odds.at[at].fault, odds.fault))) {
    ++at;
  }
  TRY(st, cell_number(draft, list, row, FIELD_SHARE, 0.0, 1.0, 0.0, &odds.share));
  if (at == draft->odds.n) {
    if (!MAKE_ROOM(draft->arena, draft->odds)) {
      return draft_no_memory(draft);
    }
    ++draft->odds.n;
  }
  draft->odds.at[at] = odds;
  return STATUS_OK;
}

static Status
read_misread(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  Misread misread = {cell_text(list, row, FIELD_CHECK), 0.0, cell_text(list, row, FIELD_SOURCE)};
  int at = 0;
  while (at < draft->misreads.n && !text_same(draft->misreads.at[at].check, misread.check)) {
    ++at;
  }
  // Never zero: nobody reads a lamp rightly every time
  TRY(st, cell_number(draft, list, row, FIELD_PROB, 0.0001, 0.49, 0.05, &misread.prob));
  if (at == draft->misreads.n) {
    if (!MAKE_ROOM(draft->arena, draft->misreads)) {
      return draft_no_memory(draft);
    }
    ++draft->misreads.n;
  }
  draft->misreads.at[at] = misread;
  return STATUS_OK;
}

// ---- All of them ----

// What any list must keep: needed cells there, nothing beyond the headings.
static Status
check_row(const Draft* draft, const List* list, const TableRow* row)
{
  const int n_columns = list->table.rows[0].n_cells;
  for (int f = 0; f < FIELD_COUNT; ++f) {
    const bool placed =
      list->sort == LIST_INPUTS && (f == FIELD_SOURCE || f == FIELD_BOX || f == FIELD_SOCKET ||
                                    f == FIELD_PATCH || f == FIELD_LINE);
    if (list->at[f] < 0 || !(placed || heading_needs(list->sort, (Field)f))) {
      continue;
    }
    if (list->at[f] >= row->n_cells) {
      if (row->n_cells == 1 && strpbrk(row->cells[0].text, ",;|\t")) {
        return draft_bad(draft, list, row, FIELD_COUNT,
                         "This row is not cut where the headings are: use one delimiter in the "
                         "whole file.");
      }
      return draft_bad(draft, list, row, (Field)f,
                       "This row has %d cells and ends before \"%.40s\" in column %d: write the "
                       "missing cells.",
                       row->n_cells, cell_heading(list, (Field)f), list->at[f] + 1);
    }
    const bool may_be_empty = placed || (list->sort == LIST_DESK_PATCH && f == FIELD_LINE);
    if (!may_be_empty && !row->cells[list->at[f]].text[0]) {
      return draft_bad(draft, list, row, (Field)f,
                       "The cell under \"%.40s\" is empty: write it, or take the row out.",
                       cell_heading(list, (Field)f));
    }
  }
  for (int c = n_columns; c < row->n_cells; ++c) {
    if (row->cells[c].text[0]) {
      return error_set(draft->error, STATUS_BAD_INPUT, list->name, row->cells[c].line, c + 1,
                       "This row has %d cells and there are %d headings: put a cell that contains "
                       "the delimiter (a decimal comma?) into quotes.",
                       row->n_cells, n_columns);
    }
  }
  return STATUS_OK;
}

// On lists that are looked up by a word, the word stands once.
static Status
check_double(const Draft* draft, const List* list, int r)
{
  static const Field keys[][2] = {
    [LIST_INLINE] = {FIELD_INLINE, FIELD_INLINE}, [LIST_KINDS] = {FIELD_KIND, FIELD_KIND},
    [LIST_TIMES] = {FIELD_STEP, FIELD_STEP},      [LIST_ODDS] = {FIELD_WHERE, FIELD_FAULT},
    [LIST_MISREAD] = {FIELD_CHECK, FIELD_CHECK},  [LIST_METERS] = {FIELD_METER, FIELD_METER},
    [LIST_PLACES] = {FIELD_FROM, FIELD_TO}};
  if (list->sort != LIST_KINDS && list->sort != LIST_INLINE && list->sort != LIST_TIMES &&
      list->sort != LIST_ODDS && list->sort != LIST_MISREAD && list->sort != LIST_METERS &&
      list->sort != LIST_PLACES) {
    return STATUS_OK;
  }
  const TableRow* const row = &list->table.rows[r];
  const Field one = keys[list->sort][0];
  const Field two = keys[list->sort][1];
  for (int k = 1; k < r; ++k) {
    const TableRow* const other = &list->table.rows[k];
    if (text_same(cell_text(list, row, one), cell_text(list, other, one)) &&
        text_same(cell_text(list, row, two), cell_text(list, other, two))) {
      return draft_bad(draft, list, row, one,
                       "\"%.60s\" is listed twice (also in line %d): keep one row.",
                       cell_text(list, row, one), other->line);
    }
  }
  return STATUS_OK;
}

static Status
read_row(Draft* draft, const List* list, const TableRow* row)
{
  switch (list->sort) {
    case LIST_BOXES:
      return read_box(draft, list, row);
    case LIST_LINES:
      return read_line(draft, list, row);
    case LIST_KINDS:
      return read_kind(draft, list, row);
    case LIST_INLINE:
      return rows_inline(draft, list, row);
    case LIST_ITEMS:
      return read_item(draft, list, row);
    case LIST_DESK_PATCH:
      return read_desk_row(draft, list, row);
    case LIST_CREW:
      return read_person(draft, list, row);
    case LIST_DAY:
      return read_day(draft, list, row);
    case LIST_SPLIT:
      return read_split(draft, list, row);
    case LIST_PLACES:
      return read_walk(draft, list, row);
    case LIST_TIMES:
      return read_time(draft, list, row);
    case LIST_ODDS:
      return read_odds(draft, list, row);
    case LIST_MISREAD:
      return read_misread(draft, list, row);
    case LIST_TESTERS:
    case LIST_METERS:
      return rows_tester(draft, list, row);
    case LIST_KIT:
      return read_kit(draft, list, row);
    case LIST_VERSIONS:
      return read_version(draft, list, row);
    case LIST_DESKS:
      return rows_desk_input(draft, list, row);
    case LIST_DRIVES:
      return rows_drive(draft, list, row);
    case LIST_OUTPUTS:
      return rows_output(draft, list, row);
    case LIST_MONITORS:
      return rows_monitor(draft, list, row);
    case LIST_INPUTS:  // Read as a whole
    case LIST_MAPPING: // Read before all others
    case LIST_UNKNOWN:
      break;
  }
  return STATUS_OK;
}

Status
rows_read(Draft* draft, const List* list)
{
  Status st = STATUS_OK;
  for (int r = 1; r < list->table.n_rows; ++r) {
    TRY(st, check_row(draft, list, &list->table.rows[r]));
    TRY(st, check_double(draft, list, r));
  }
  draft->has_boxes = draft->has_boxes || list->sort == LIST_BOXES;
  if (list->sort == LIST_INPUTS) {
    return read_inputs(draft, list);
  }
  for (int r = 1; r < list->table.n_rows; ++r) {
    TRY(st, read_row(draft, list, &list->table.rows[r]));
  }
  return STATUS_OK;
}
