// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/lists.h"

#include "base/text.h"
#include "stage/rows.h"
#include "stage/tidy.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/*
  Which lists count, and in which order they are read.

  The order of the lists in the call only says which of two versions is the newer one. They are
  read sort by sort (kinds before inputs, boxes before lines), input lists in the order of their
  acts, so the same lists give the same plant whatever order a folder or a mail had them in.
*/

// Sorts in reading order: what a list may name comes before the list.
static const ListSort order[] = {
  LIST_KINDS,  LIST_INLINE,     LIST_TIMES,    LIST_ODDS,     LIST_MISREAD, LIST_TESTERS,
  LIST_METERS, LIST_PLACES,     LIST_DAY,      LIST_BOXES,    LIST_LINES,   LIST_SPLIT,
  LIST_INPUTS, LIST_DESK_PATCH, LIST_VERSIONS, LIST_ITEMS,    LIST_CREW,    LIST_KIT,
  LIST_DRIVES, LIST_DESKS,      LIST_OUTPUTS,  LIST_MONITORS, LIST_NEEDED};

static bool
has_word(const char* text, const char* word)
{
  for (; *text; ++text) {
    if (text_begins(text, word)) {
      return true;
    }
  }
  return false;
}

// ---- Which of them count ----

// Whether a later list stands for an earlier one: same sort and file, or the inputs of one act.
static Status
same_list(Arena* arena, const List* one, const List* two, bool* same)
{
  *same = one->sort == two->sort && one->sort != LIST_UNKNOWN && !one->is_built_in;
  if (!*same || strcasecmp(one->name, two->name) == 0) {
    return STATUS_OK;
  }
  if (one->sort != LIST_INPUTS || one->at[FIELD_ACT] >= 0 || two->at[FIELD_ACT] >= 0) {
    *same = false;
    return STATUS_OK;
  }
  const char* const act = rows_act(arena, one);
  const char* const other = rows_act(arena, two);
  if (!act || !other) {
    return STATUS_NO_MEMORY;
  }
  const Act acts[] = {{act, "", "", ""}};
  const Plant plant = {.acts = acts, .n_acts = 1};
  *same = plant_act(&plant, other) == 0;
  return STATUS_OK;
}

// How many rows of an input list are no inputs, and the first of each sort.
static Status
name_aside(Draft* draft, const List* list)
{
  static const char* const words[][2] = {
    [LIST_ROW_TITLE] = {"row of title", "rows of title"},
    [LIST_ROW_HEADING] = {"row of headings again", "rows of headings again"},
    [LIST_ROW_SECTION] = {"section", "sections"},
    [LIST_ROW_NOTE] = {"note", "notes"},
    [LIST_ROW_LEFT_OUT] = {"row left out as said", "rows left out as said"}};
  TextOut out = {.arena = draft->arena};
  for (int use = LIST_ROW_TITLE; use <= LIST_ROW_LEFT_OUT; ++use) {
    int n = 0;
    int first = 0;
    for (int i = 0; i < list->n_aside; ++i) {
      first = (int)list->aside[i].use == use && n == 0 ? list->aside[i].line : first;
      n += (int)list->aside[i].use == use;
    }
    if (n > 0) {
      text_add(&out, "%s%d %s (%sline %d)", out.n_bytes ? ", " : "", n, words[use][n > 1],
               n > 1 ? "the first in " : "", first);
    }
  }
  const char* const rows = text_done(&out);
  if (!rows) {
    return draft_no_memory(draft);
  }
  return rows[0] ? draft_leave(draft, "%.80s: %d rows are no inputs: %s.", list->name,
                               list->n_aside, rows)
                 : STATUS_OK;
}

static Status
name_columns(Draft* draft, const List* list)
{
  TextOut out = {.arena = draft->arena};
  const TableRow* const row = &list->table.rows[0];
  for (int c = 0; c < row->n_cells; ++c) {
    bool used = !row->cells[c].text[0];
    for (int f = 0; f < FIELD_COUNT; ++f) {
      used = used || list->at[f] == c;
    }
    if (!used) {
      text_add(&out, "%s%.60s", out.n_bytes ? ", " : "", row->cells[c].text);
    }
  }
  const char* const columns = text_done(&out);
  if (!columns) {
    return draft_no_memory(draft);
  }
  if (list->sort == LIST_UNKNOWN) {
    return draft_leave(draft,
                       "%.80s is left aside: no list of the plant has these columns (%.200s).",
                       list->name, columns);
  }
  Status st = STATUS_OK;
  if (list->n_title > 0 && list->sort != LIST_INPUTS) {
    TRY(st, draft_leave(draft, "%.80s: %d rows above the headings are not read.", list->name,
                        list->n_title));
  }
  TRY(st, name_aside(draft, list));
  return columns[0] ? draft_leave(draft, "%.80s: columns not used: %.250s.", list->name, columns)
                    : STATUS_OK;
}

// Marks what does not count and says so.
static Status
check_cut(const List* list, Error* error)
{
  const TableRow* const row = &list->table.rows[0];
  const char* const other = row->n_cells == 1 ? strpbrk(row->cells[0].text, "|:;,\t^~") : NULL;
  if (!other) {
    return STATUS_OK;
  }
  return error_set(error, STATUS_BAD_INPUT, list->name, row->line, 1,
                   "The headings are not cut into columns, they are set apart by \"%c\": save the "
                   "list with commas, semicolons or tabs.",
                   *other);
}

// A list that is none of any sort may have been meant to be one.
static Status
check_sort(const List* list, Error* error)
{
  Status st = STATUS_OK;
  if (list->sort != LIST_UNKNOWN) {
    return STATUS_OK;
  }
  TRY(st, check_cut(list, error));
  const ListSort hint = heading_hint(list->name);
  const char* const missing = hint == LIST_UNKNOWN ? NULL : heading_missing(&list->table, hint);
  if (missing) {
    return error_set(error, STATUS_BAD_INPUT, list->name, list->table.rows[0].line, 1,
                     "By its name this is a list of %s, but it has no column \"%.*s\": add that "
                     "heading to the first row, or give the file another name.",
                     lists_word(hint), (int)strcspn(missing, "|"), missing);
  }
  return STATUS_OK;
}

static Status
choose(Draft* draft, const List* lists, int n_lists, bool* counts)
{
  Status st = STATUS_OK;
  int morning = -1;
  int n_known = 0;
  int n_given = 0;
  for (int i = 0; i < n_lists; ++i) {
    TRY(st, check_sort(&lists[i], draft->error));
    counts[i] = lists[i].sort != LIST_UNKNOWN;
    n_given += !lists[i].is_built_in && lists[i].sort != LIST_MAPPING;
    n_known +=
      !lists[i].is_built_in && lists[i].sort != LIST_UNKNOWN && lists[i].sort != LIST_MAPPING;
    if (lists[i].sort == LIST_ITEMS && has_word(lists[i].name, "morning")) {
      morning = i;
    }
  }
  if (n_given > 0 && n_known == 0) {
    const List* const list = &lists[n_lists - 1];
    return error_set(draft->error, STATUS_BAD_INPUT, list->name, list->table.rows[0].line, 1,
                     "No list of a plant has these columns: an input list needs at least the "
                     "headings channel and source.");
  }
  for (int i = 0; i < n_lists; ++i) {
    bool replaced = false;
    int by = 0;
    for (int k = i + 1; k < n_lists && !replaced; ++k) {
      if (same_list(draft->arena, &lists[i], &lists[k], &replaced) != STATUS_OK) {
        return draft_no_memory(draft);
      }
      by = k;
    }
    if (replaced) {
      counts[i] = false;
      TRY(st, draft_leave(draft, "%.80s does not count: %.80s, imported later, takes its place.",
                          lists[i].name, lists[by].name));
    } else if (lists[i].sort == LIST_ITEMS && morning >= 0 && i != morning) {
      counts[i] = false;
      TRY(st,
          draft_leave(draft, "%.80s does not count: %.80s is how the gear stands in the morning.",
                      lists[i].name, lists[morning].name));
    } else if (!lists[i].is_built_in) {
      TRY(st, name_columns(draft, &lists[i]));
    }
  }
  return STATUS_OK;
}

// Order of names in which "act10" comes after "act9".
static int
by_natural_name(const char* a, const char* b)
{
  for (;; ++a, ++b) {
    if (*a >= '0' && *a <= '9' && *b >= '0' && *b <= '9') {
      while (*a == '0') {
        ++a;
      }
      while (*b == '0') {
        ++b;
      }
      const size_t n = strspn(a, "0123456789");
      const size_t m = strspn(b, "0123456789");
      const int way = n != m ? (n < m ? -1 : 1) : strncmp(a, b, n);
      if (way) {
        return way;
      }
      a += n;
      b += m;
    }
    const char one[2] = {*a, '\0'};
    const char two[2] = {*b, '\0'};
    const int way = strcasecmp(one, two);
    if (way || !*a) {
      return way;
    }
  }
}

static int
by_list_name(const void* a, const void* b)
{
  const List* const one = *(const List* const*)a;
  const List* const two = *(const List* const*)b;
  const int way = two->is_built_in - one->is_built_in; // Built-in rows first, the crew's over them
  return way ? way : by_natural_name(one->name, two->name);
}

static Status
read_in_order(Draft* draft, const List* lists, int n_lists, const bool* counts)
{
  Status st = STATUS_OK;
  const List** const sorted = arena_array(draft->arena, (size_t)n_lists, sizeof(const List*));
  if (!sorted) {
    return draft_no_memory(draft);
  }
  for (size_t s = 0; s < sizeof(order) / sizeof(order[0]); ++s) {
    int n = 0;
    for (int i = 0; i < n_lists; ++i) {
      if (counts[i] && lists[i].sort == order[s]) {
        sorted[n++] = &lists[i];
      }
    }
    qsort(sorted, (size_t)n, sizeof(sorted[0]), by_list_name);
    for (int i = 0; i < n; ++i) {
      TRY(st, rows_read(draft, sorted[i]));
    }
  }
  return STATUS_OK;
}

// ---- The finished plant ----

// From the three desks a list can name to those that are there.
static void
renumber_desks(Draft* draft)
{
  int to[PLANT_DESKS] = {0};
  int n = 0;
  for (int k = 0; k < PLANT_DESKS; ++k) {
    to[k] = n;
    n += draft->has_desk[k];
  }
  for (int i = 0; i < draft->lines.n; ++i) {
    Line* const line = &draft->lines.at[i];
    int inputs[PLANT_DESKS] = {0};
    for (int k = 0; k < PLANT_DESKS; ++k) {
      if (draft->has_desk[k]) {
        inputs[to[k]] = line->desk_input[k];
      }
    }
    memcpy(line->desk_input, inputs, sizeof(inputs));
  }
  for (int b = 0; b < draft->boxes.n; ++b) {
    Box* const box = &draft->boxes.at[b].box;
    box->owner = box->is_digital ? to[box->owner] : 0;
  }
  for (int i = 0; i < draft->desk_rows.n; ++i) {
    draft->desk_rows.at[i].desk_row.desk = to[draft->desk_rows.at[i].desk_row.desk];
  }
}

static Status
finish(Draft* draft, Plant* plant)
{
  Status st = STATUS_OK;
  double* walk_s = NULL;
  TRY(st, assume_walks(draft, &walk_s));
  TRY(st, rows_testers_whole(draft));
  TRY(st, rows_desk_inputs_used(draft));
  renumber_desks(draft);
  Box* const boxes = arena_array(draft->arena, (size_t)draft->boxes.n, sizeof(Box));
  Input* const inputs = arena_array(draft->arena, (size_t)draft->inputs.n, sizeof(Input));
  Tester* const testers = arena_array(draft->arena, (size_t)draft->testers.n, sizeof(Tester));
  DeskRow* const rows = arena_array(draft->arena, (size_t)draft->desk_rows.n, sizeof(DeskRow));
  Item* const items = arena_array(draft->arena, (size_t)draft->items.n, sizeof(Item));
  if (!boxes || !inputs || !rows || !items || !testers) {
    return draft_no_memory(draft);
  }
  for (int i = 0; i < draft->boxes.n; ++i) {
    boxes[i] = draft->boxes.at[i].box;
  }
  for (int i = 0; i < draft->inputs.n; ++i) {
    inputs[i] = draft->inputs.at[i].input;
  }
  for (int i = 0; i < draft->desk_rows.n; ++i) {
    rows[i] = draft->desk_rows.at[i].desk_row;
  }
  for (int i = 0; i < draft->items.n; ++i) {
    items[i] = draft->items.at[i].item;
  }
  for (int i = 0; i < draft->testers.n; ++i) {
    testers[i] = draft->testers.at[i].tester;
  }
  Plant out = {.name = "",
               .kinds = draft->kinds.at,
               .n_kinds = draft->kinds.n,
               .inlines = draft->inlines.at,
               .n_inlines = draft->inlines.n,
               .boxes = boxes,
               .n_boxes = draft->boxes.n,
               .lines = draft->lines.at,
               .n_lines = draft->lines.n,
               .acts = draft->acts.at,
               .n_acts = draft->acts.n,
               .inputs = inputs,
               .n_inputs = draft->inputs.n,
               .desk_rows = rows,
               .n_desk_rows = draft->desk_rows.n,
               .items = items,
               .n_items = draft->items.n,
               .people = draft->people.at,
               .n_people = draft->people.n,
               .places = draft->places.at,
               .n_places = draft->places.n,
               .walk_s = walk_s,
               .times = draft->times.at,
               .n_times = draft->times.n,
               .odds = draft->odds.at,
               .n_odds = draft->odds.n,
               .misreads = draft->misreads.at,
               .n_misreads = draft->misreads.n,
               .needed = draft->needed.at,
               .n_needed = draft->needed.n,
               .kit = draft->kit.at,
               .n_kit = draft->kit.n,
               .testers = testers,
               .n_testers = draft->testers.n,
               .meters = draft->meters.at,
               .n_meters = draft->meters.n,
               .split = draft->split,
               .drives = draft->drives.at,
               .n_drives = draft->drives.n,
               .outputs = draft->outputs.at,
               .n_outputs = draft->outputs.n,
               .versions = draft->versions.at,
               .n_versions = draft->versions.n,
               .doors = draft->doors,
               .multicore_m = draft->multicore_m,
               .assumed = draft->assumed.at,
               .n_assumed = draft->assumed.n,
               .left_aside = draft->left_aside.at,
               .n_left_aside = draft->left_aside.n};
  assume_desks(draft, &out);
  *plant = out;
  return STATUS_OK;
}

Status
lists_build(Arena* arena, const ListText* lists, int n_lists, int n_bare_lines, Plant* plant,
            Error* error)
{
  Status st = STATUS_OK;
  Draft draft = {.arena = arena, .error = error, .split = {.name = ""}, .doors = {"", "", ""}};
  List* all = NULL;
  int n = 0;
  if (n_bare_lines < 0 || n_bare_lines > PLANT_MAX_LINES) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "%d lines cannot be: write a number from 1 to %d.", n_bare_lines,
                     PLANT_MAX_LINES);
  }
  TRY(st, lists_open(&draft, lists, n_lists, &all, &n));
  bool* const counts = arena_array(arena, (size_t)n, sizeof(bool));
  if (!counts) {
    return draft_no_memory(&draft);
  }
  TRY(st, choose(&draft, all, n, counts));
  TRY(st, read_in_order(&draft, all, n, counts));
  TRY(st, assume_plant(&draft, n_bare_lines));
  TRY(st, assume_items(&draft));
  TRY(st, assume_inputs(&draft));
  TRY(st, assume_desk_rows(&draft));
  return finish(&draft, plant);
}
