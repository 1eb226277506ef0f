// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"
#include "stage/rows.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

/*
  Kinds: what sort of thing a source is. A crew's row of a name that is known goes over ours, field
  by field; a name on an input list that no kinds list has is a kind too, of which everything must
  be asked.
*/

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

Status
rows_new_kind(Draft* draft, const char* name, int* kind)
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

Status
rows_source(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  const char* const name = cell_text(list, row, FIELD_KIND);
  int at = -1;
  for (int i = 0; i < draft->kinds.n; ++i) {
    at = text_same(draft->kinds.at[i].name, name) ? i : at;
  }
  if (at < 0) {
    TRY(st, rows_new_kind(draft, name, &at));
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
