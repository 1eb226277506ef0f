// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"
#include "stage/rows.h"

#include "base/text.h"

#include <string.h>

/*
  The rows of testers and meters.

  A tester is as many rows as it has parts; what stands once (contacts, connector, note, figures)
  may stand in any of its rows and counts from the first that says it. A list that names a tester
  replaces the tester of that name whole: half of ours and half of theirs would be neither.
*/

enum { USUAL_CONTACTS = 3, MAX_TESTERS = 64 };

static Status
new_tester(Draft* draft, const List* list, const TableRow* row, const char* name,
           DraftTester** tester)
{
  int at = 0;
  while (at < draft->testers.n && !text_same(draft->testers.at[at].tester.name, name)) {
    ++at;
  }
  if (at < draft->testers.n && draft->testers.at[at].list == list) {
    *tester = &draft->testers.at[at];
    return STATUS_OK;
  }
  if (at == draft->testers.n) {
    if (at == MAX_TESTERS) {
      return error_set(draft->error, STATUS_LIMIT, list->name, row->line, 1,
                       "More than %d testers: keep those that are on site.", MAX_TESTERS);
    }
    if (!MAKE_ROOM(draft->arena, draft->testers)) {
      return draft_no_memory(draft);
    }
    ++draft->testers.n;
  }
  draft->testers.at[at] = (DraftTester){
    .list = list, .row = row, .tester = {.name = name, .connector = "", .note = "", .figures = ""}};
  *tester = &draft->testers.at[at];
  return STATUS_OK;
}

// What stands once a tester.
static Status
read_whole(const Draft* draft, const List* list, const TableRow* row, DraftTester* at)
{
  static const char* const connectors[] = {"3-pin", "jack", "4-pole", "8-pole"};
  Tester* const t = &at->tester;
  Status st = STATUS_OK;
  int contacts = 0;
  TRY(st, cell_whole(draft, list, row, FIELD_CONTACTS, TESTER_MIN_CONTACTS, TESTER_MAX_CONTACTS, 0,
                     &contacts));
  if (contacts && t->n_contacts && contacts != t->n_contacts) {
    return draft_bad(draft, list, row, FIELD_CONTACTS,
                     "Tester %.40s has %d contacts by an earlier row and %d by this one: write the "
                     "number once.",
                     t->name, t->n_contacts, contacts);
  }
  t->n_contacts = contacts ? contacts : t->n_contacts;
  const char* const connector = cell_text(list, row, FIELD_CONNECTOR);
  for (size_t i = 0; i < sizeof(connectors) / sizeof(connectors[0]) && connector[0]; ++i) {
    if (text_same(connector, connectors[i])) {
      t->connector = connectors[i];
    }
  }
  if (connector[0] && !text_same(connector, t->connector)) {
    return draft_bad(draft, list, row, FIELD_CONNECTOR,
                     "\"%.40s\" is no connector: write 3-pin, jack, 4-pole or 8-pole, or leave the "
                     "cell empty and number the contacts.",
                     connector);
  }
  if (!t->n_contacts && connector[0]) { // The connector says it
    t->n_contacts = t->connector[0] == '4' ? 4 : t->connector[0] == '8' ? 8 : USUAL_CONTACTS;
  }
  t->note = t->note[0] ? t->note : cell_text(list, row, FIELD_NOTE);
  t->figures = t->figures[0] ? t->figures : cell_text(list, row, FIELD_FIGURES);
  return STATUS_OK;
}

static Status
read_contact(const Draft* draft, const List* list, const TableRow* row, Field field,
             const Tester* tester, bool may_be_earth, int* contact)
{
  const char* const text = cell_text(list, row, field);
  const int at = tester_contact_of(tester->connector, text);
  const int most = tester->n_contacts ? tester->n_contacts : USUAL_CONTACTS;
  if (at < (may_be_earth ? 0 : 1) || at > most) {
    return draft_bad(draft, list, row, field,
                     "\"%.40s\" is no contact of tester %.40s: write 1 to %d%s; more contacts "
                     "stand under \"contacts\" in its first row.",
                     text, tester->name, most, may_be_earth ? ", or earth" : "");
  }
  *contact = at;
  return STATUS_OK;
}

static Status
read_part(const Draft* draft, const List* list, const TableRow* row, const Tester* tester,
          TesterPart* part)
{
  static const char* const words[] = {"lamp", "battery", "sender"};
  Status st = STATUS_OK;
  const char* const word = cell_text(list, row, FIELD_PART);
  int sort = 0;
  while (sort < 3 && !text_same(word, words[sort])) {
    ++sort;
  }
  if (sort == 3) {
    return draft_bad(draft, list, row, FIELD_PART,
                     "\"%.40s\" is no part of a tester: write lamp, battery or sender.", word);
  }
  TesterPart p = {.sort = (TesterPartSort)sort};
  const bool is_lamp = p.sort == TESTER_LAMP;
  TRY(st, read_contact(draft, list, row, FIELD_FROM, tester, false, &p.from));
  TRY(st, read_contact(draft, list, row, FIELD_TO, tester, !is_lamp, &p.to));
  if (p.from == p.to) {
    return draft_bad(draft, list, row, FIELD_TO,
                     "This %s begins and ends at contact %s: write its two contacts.", words[sort],
                     cell_text(list, row, FIELD_TO));
  }
  TRY(st, cell_number(draft, list, row, FIELD_OHM, 0.1, 1e6, 0.0, &p.ohm));
  TRY(st, cell_number(draft, list, row, FIELD_VOLTS, -60.0, 60.0, 0.0, &p.volts));
  TRY(st, cell_number(draft, list, row, FIELD_GREEN_V, 0.0, 6.0, 0.0, &p.green_v));
  TRY(st, cell_number(draft, list, row, FIELD_RED_V, 0.0, 6.0, 0.0, &p.red_v));
  if (is_lamp && p.volts != 0.0) {
    return draft_bad(draft, list, row, FIELD_VOLTS,
                     "A lamp has no volts of its own: leave the cell empty, and write its forward "
                     "volts at 1 mA under green_v and red_v.");
  }
  for (int i = 0; i < 2;
       ++i) { // No lamp drops less than a volt (infrared ones 1.1): a mistyped figure
    const double forward_v = i == 0 ? p.green_v : p.red_v;
    if (forward_v > 0.0 && (!is_lamp || forward_v < 1.0)) {
      return draft_bad(draft, list, row, i == 0 ? FIELD_GREEN_V : FIELD_RED_V,
                       "Forward volts at 1 mA belong to a lamp and are 1 to 6 V (0 = shows "
                       "nothing that way): 1.6 to 1.9 for red and green ones.");
    }
  }
  if (is_lamp && p.green_v == 0.0 && p.red_v == 0.0) {
    return draft_bad(draft, list, row, FIELD_GREEN_V,
                     "This lamp shows nothing either way: write its forward volts at 1 mA under "
                     "green_v, red_v or both.");
  }
  *part = p;
  return STATUS_OK;
}

static Status
read_tester(Draft* draft, const List* list, const TableRow* row)
{
  static const int most[] = {TESTER_MAX_LAMPS, TESTER_MAX_BATTERIES, TESTER_MAX_SENDER};
  static const char* const many[] = {"lamps", "batteries", "branches of a sender"};
  Status st = STATUS_OK;
  DraftTester* t = NULL;
  TesterPart part = {0};
  TRY(st, new_tester(draft, list, row, cell_text(list, row, FIELD_TESTER), &t));
  TRY(st, read_whole(draft, list, row, t));
  TRY(st, read_part(draft, list, row, &t->tester, &part));
  const Tester now = {.parts = t->parts.at, .n_parts = t->parts.n};
  if (tester_count(&now, part.sort) == most[part.sort]) {
    return draft_bad(draft, list, row, FIELD_PART, "Tester %.40s has more than %d %s: too many.",
                     t->tester.name, most[part.sort], many[part.sort]);
  }
  if (!MAKE_ROOM(draft->arena, t->parts)) {
    return draft_no_memory(draft);
  }
  t->parts.at[t->parts.n++] = part;
  return STATUS_OK;
}

static Status
read_meter(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  Meter meter = {.name = cell_text(list, row, FIELD_METER),
                 .note = cell_text(list, row, FIELD_NOTE),
                 .figures = cell_text(list, row, FIELD_FIGURES)};
  int at = 0;
  while (at < draft->meters.n && !text_same(draft->meters.at[at].name, meter.name)) {
    ++at;
  }
  TRY(st, cell_number(draft, list, row, FIELD_VOLTS, 0.01, 60.0, 0.0, &meter.emf_v));
  TRY(st, cell_number(draft, list, row, FIELD_OHM, 1.0, 1e7, 0.0, &meter.ohm));
  if (at == draft->meters.n) {
    if (!MAKE_ROOM(draft->arena, draft->meters)) {
      return draft_no_memory(draft);
    }
    ++draft->meters.n;
  }
  draft->meters.at[at] = meter;
  return STATUS_OK;
}

Status
rows_tester(Draft* draft, const List* list, const TableRow* row)
{
  return list->sort == LIST_METERS ? read_meter(draft, list, row) : read_tester(draft, list, row);
}

Status
rows_testers_whole(Draft* draft)
{
  for (int i = 0; i < draft->testers.n; ++i) {
    DraftTester* const t = &draft->testers.at[i];
    t->tester.n_contacts = t->tester.n_contacts ? t->tester.n_contacts : USUAL_CONTACTS;
    t->tester.parts = t->parts.at;
    t->tester.n_parts = t->parts.n;
    t->tester.is_own = !t->list->is_built_in;
    if (tester_count(&t->tester, TESTER_LAMP) == 0) {
      return draft_bad(draft, t->list, t->row, FIELD_PART,
                       "Tester %.40s has no lamp: write a row for each.", t->tester.name);
    }
  }
  return STATUS_OK;
}
