// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/digital.h"
#include "stage/rows.h"

#include "base/text.h"
#include "stage/cell.h"

/*
  What is assumed of a digital box is what hurts least when it is wrong: one network lead (a second
  one nobody listed may never have been made), its clock from the desk that owns it, the house desk
  as the owner, its power from the stage (usual practice, no source).
*/

// Whether the word of a kind means a digital box; false in `known` for a word that means neither.
static bool
says_digital(const char* word, bool* known)
{
  static const char* const yes[] = {"digital", "network", "remote"};
  static const char* const no[] = {"analogue", "analog", "copper", "passive"};
  *known = true;
  for (size_t i = 0; i < sizeof(yes) / sizeof(yes[0]); ++i) {
    if (text_same(word, yes[i])) {
      return true;
    }
  }
  for (size_t i = 0; i < sizeof(no) / sizeof(no[0]); ++i) {
    if (text_same(word, no[i])) {
      return false;
    }
  }
  *known = cell_says_nothing(word);
  return false;
}

// A cell as text, "" when it is empty or says so in words.
static const char*
said(const List* list, const TableRow* row, Field field)
{
  const char* const text = cell_text(list, row, field);
  return cell_says_nothing(text) ? "" : text;
}

static Status
leave_tail(Draft* draft, const List* list, const TableRow* row, DraftBox* box)
{
  const bool has_tail = box->box.tail_m > 0.0 || box->box.tail_tag[0];
  box->box.tail_m = 0.0;
  box->box.tail_tag = "";
  return has_tail ? draft_leave(draft,
                                "%.80s, line %d: box %.40s is digital and has no tail: its tail "
                                "is not used.",
                                list->name, row->line, box->box.name)
                  : STATUS_OK;
}

Status
digital_read(Draft* draft, const List* list, const TableRow* row, DraftBox* box)
{
  static const Field own[] = {FIELD_OWNER, FIELD_LEADS, FIELD_CLOCK, FIELD_POWER};
  Status st = STATUS_OK;
  bool known = true;
  const char* const kind = cell_text(list, row, FIELD_KIND);
  Box* const b = &box->box;
  bool any = false;
  for (int i = 0; i < 4; ++i) {
    any = any || said(list, row, own[i])[0];
  }
  b->clock = "";
  b->power = "";
  b->is_digital = says_digital(kind, &known) || (cell_says_nothing(kind) && any);
  if (!known) {
    return draft_bad(draft, list, row, FIELD_KIND,
                     "\"%.40s\" is no kind of box: write analogue or digital.", kind);
  }
  if (!b->is_digital) {
    return any ? draft_leave(draft,
                             "%.80s, line %d: box %.40s is analogue: its owner, leads, clock and "
                             "power are not used.",
                             list->name, row->line, b->name)
               : STATUS_OK;
  }
  const char* const owner = said(list, row, FIELD_OWNER);
  b->owner = owner[0] ? rows_desk(owner) : -1;
  b->clock = said(list, row, FIELD_CLOCK);
  b->power = said(list, row, FIELD_POWER);
  if (owner[0] && b->owner < 0) {
    return draft_bad(draft, list, row, FIELD_OWNER,
                     "\"%.40s\" is none of the desks: write foh, mon or broadcast.", owner);
  }
  if (b->owner >= 0) {
    draft->has_desk[b->owner] = true;
  }
  if (said(list, row, FIELD_LEADS)[0]) {
    TRY(st, cell_whole(draft, list, row, FIELD_LEADS, 1, 2, 1, &b->n_leads));
  }
  return leave_tail(draft, list, row, box);
}

Status
digital_read_line(Draft* draft, const List* list, const TableRow* row, Line* line)
{
  line->pair = 0;
  line->split_channel = 0;
  if (!said(list, row, FIELD_PAIR)[0] && !said(list, row, FIELD_SPLIT_CHANNEL)[0]) {
    return STATUS_OK;
  }
  return draft_leave(draft,
                     "%.80s: line %d is on digital box %.40s, which has no pair and no split: the "
                     "numbers there are not used.",
                     list->name, line->number, draft->boxes.at[line->box].box.name);
}

bool
digital_only(const Draft* draft)
{
  bool only = draft->boxes.n > 0;
  for (int b = 0; b < draft->boxes.n; ++b) {
    only = only && draft->boxes.at[b].box.is_digital;
  }
  return only;
}

Status
digital_assume(Draft* draft)
{
  static const char* const say[PLANT_DESKS] = {"house desk", "monitor desk", "broadcast desk"};
  Status st = STATUS_OK;
  for (int b = 0; b < draft->boxes.n; ++b) {
    Box* const box = &draft->boxes.at[b].box;
    if (!box->is_digital) {
      continue;
    }
    TextOut out = {.arena = draft->arena};
    if (box->owner < 0) {
      box->owner = draft->has_desk[DESK_FOH]   ? DESK_FOH
                   : draft->has_desk[DESK_MON] ? DESK_MON
                                               : DESK_BROADCAST;
      text_add(&out, "; the %s owns its gain and phantom", say[box->owner]);
    }
    if (box->n_leads == 0) {
      box->n_leads = 1;
      text_add(&out, "; it has one network lead");
    }
    if (!box->clock[0]) {
      box->clock = say[box->owner];
      text_add(&out, "; its clock follows the %s", box->clock);
    }
    if (!box->power[0]) {
      box->power = "stage mains";
      text_add(&out, "; its power comes from the stage");
    }
    const char* const unsaid = out.n_bytes ? text_done(&out) : "";
    if (!unsaid) {
      return draft_no_memory(draft);
    }
    if (unsaid[0]) {
      TRY(st, draft_assume(draft, "Digital box %.40s, not listed and assumed: %s.", box->name,
                           unsaid + 2));
    }
  }
  return st;
}
