// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"
#include "stage/rows.h"

#include "base/text.h"

/*
  What is at hand: items with tags, people, the ways between places, kit.
*/

Status
rows_item(Draft* draft, const List* list, const TableRow* row)
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

Status
rows_person(Draft* draft, const List* list, const TableRow* row)
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

Status
rows_walk(Draft* draft, const List* list, const TableRow* row)
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

Status
rows_kit(Draft* draft, const List* list, const TableRow* row)
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
