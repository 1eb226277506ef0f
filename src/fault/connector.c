// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/connector.h"

#include "base/table.h"
#include "base/text.h"
#include "stage/lists.h"

#include <ctype.h>
#include <string.h>

/*
  A row becomes a plan in one pass over its cells. Names come first, because wires, joins and pairs
  are written with them.
*/

const ListText*
connector_built_in(int* n);

enum { COLUMNS = 9, MAX_LENGTH = 16 };
static const char* const headings[COLUMNS] = {"connector", "also",  "near",  "far",    "shell",
                                              "wires",     "joins", "pairs", "figures"};

typedef struct {
  Arena* arena;
  const char* file;
  int count; ///< Of "1..N"
  Error* error;
} Reader;

static Status
refuse(const Reader* r, const TableCell* cell, const char* what)
{
  return error_set(r->error, STATUS_BAD_INPUT, r->file, cell->line, cell->column, "%s: \"%.80s\".",
                   what, cell->text);
}

// ---- Names ----

static Status
read_names(const Reader* r, const TableCell* cell, bool shell, const char* const** names, int* n)
{
  const char** const list = arena_array(r->arena, WIRING_CONTACTS + 1, sizeof(char*));
  if (!list) {
    return STATUS_NO_MEMORY;
  }
  int n_list = 0;
  int high = 0;
  if (text_begins(cell->text, "1..")) {
    high = text_same(cell->text + 3, "N") ? r->count : 0;
    if (!high && !text_whole(cell->text + 3, 2, WIRING_CONTACTS - 1, &high)) {
      return refuse(r, cell, "Contacts are 1..2 to 1..37, or a list of names");
    }
    for (; n_list < high; ++n_list) {
      list[n_list] = arena_format(r->arena, "%d", n_list + 1);
    }
  } else {
    for (const char* at = cell->text; *at;) {
      const size_t length = strcspn(at, " ");
      if (length == 0 || length > MAX_LENGTH || n_list == WIRING_CONTACTS - 1) {
        return refuse(r, cell,
                      "Contacts are 1 to 37 names of at most 16 letters, one blank between");
      }
      list[n_list++] = arena_text(r->arena, at, length);
      at += length + (at[length] == ' ');
    }
  }
  if (n_list == 0) {
    return refuse(r, cell, "An end without contacts");
  }
  list[n_list] = shell ? "shell" : "";
  for (int i = 0; i < n_list; ++i) {
    if (!list[i]) {
      return STATUS_NO_MEMORY;
    }
    for (int k = 0; k < i; ++k) {
      if (text_same(list[i], list[k])) {
        return refuse(r, cell, "Two contacts of one name");
      }
    }
  }
  *names = list;
  *n = n_list;
  return STATUS_OK;
}

const char*
connector_contact(const Connector* c, WiringPlace end, int contact)
{
  return contact >= 1 && contact <= wiring_contacts(&c->plan, end) ? c->contact[end][contact - 1]
                                                                   : "";
}

static bool
same_start(const char* text, const char* name, size_t n)
{
  for (size_t i = 0; i < n; ++i) {
    if (tolower((unsigned char)text[i]) != tolower((unsigned char)name[i])) {
      return false;
    }
  }
  return true;
}

int
connector_contact_at(const Connector* c, WiringPlace end, const char* text, int* length)
{
  size_t word = 0;
  while (isalpha((unsigned char)text[word])) {
    ++word;
  }
  int found = 0;
  size_t best = 0;
  for (int k = 1; k <= wiring_contacts(&c->plan, end); ++k) {
    const char* const name = connector_contact(c, end, k);
    const size_t n = strlen(name);
    if (word > 0) { // A word, perhaps cut short
      if (word <= n && same_start(text, name, word)) {
        const bool whole = word == n;
        found = !found || whole ? k : best == word + 1 ? found : -1;
        best = whole ? word + 1 : best;
      }
    } else if (strlen(text) >= n && same_start(text, name, n) && n > best &&
               !(isdigit((unsigned char)name[n - 1]) && isdigit((unsigned char)text[n]))) {
      found = k;
      best = n;
    }
  }
  *length = (int)(word > 0 ? word : best);
  return found;
}

// ---- Wires, joins, pairs ----

// "A=B": contacts of two ends; `at` moves behind it. False: it is none.
static bool
read_pair(const Connector* c, WiringPlace first, WiringPlace second, const char** at, int* a,
          int* b)
{
  int length = 0;
  *a = connector_contact_at(c, first, *at, &length);
  if (*a < 1 || (*at)[length] != '=') {
    return false;
  }
  *at += length + 1;
  *b = connector_contact_at(c, second, *at, &length);
  *at += length;
  if (*b < 1 || (**at && **at != ' ')) {
    return false;
  }
  *at += **at == ' ';
  return true;
}

static Status
read_wires(const Reader* r, const TableCell* cell, Connector* c)
{
  WiringWire* const wires = arena_array(r->arena, WIRING_WIRES, sizeof(WiringWire));
  if (!wires) {
    return STATUS_NO_MEMORY;
  }
  int n = 0;
  if (text_same(cell->text, "straight")) {
    if (c->plan.n[0] != c->plan.n[1]) {
      return refuse(r, cell, "Straight needs as many contacts at both ends");
    }
    for (; n < c->plan.n[0]; ++n) {
      wires[n] = (WiringWire){n + 1, n + 1};
    }
  } else {
    for (const char* at = cell->text; *at; ++n) {
      if (n == WIRING_WIRES ||
          !read_pair(c, WIRING_NEAR, WIRING_FAR, &at, &wires[n].near, &wires[n].far)) {
        return refuse(r, cell, "Wires are \"straight\", or near=far for each, one blank between");
      }
    }
  }
  c->plan.wires = wires;
  c->plan.n_wires = n;
  return n > 0 ? STATUS_OK : refuse(r, cell, "A cable without wires");
}

static Status
read_joins(const Reader* r, const TableCell* cell, Connector* c)
{
  WiringJoin* const joins = arena_array(r->arena, WIRING_CONTACTS, sizeof(WiringJoin));
  if (!joins) {
    return STATUS_NO_MEMORY;
  }
  int n = 0;
  for (const char* at = cell->text; *at; ++n) {
    const bool far = text_begins(at, "far ");
    WiringJoin* const join = &joins[n];
    if (n == WIRING_CONTACTS || (!far && !text_begins(at, "near "))) {
      return refuse(r, cell, "Joins are \"near A=B\" or \"far A=B\"");
    }
    at += far ? 4 : 5;
    join->end = far ? WIRING_FAR : WIRING_NEAR;
    if (!read_pair(c, join->end, join->end, &at, &join->a, &join->b) || join->a == join->b) {
      return refuse(r, cell, "Joins are \"near A=B\" or \"far A=B\"");
    }
  }
  c->plan.joins = joins;
  c->plan.n_joins = n;
  return STATUS_OK;
}

static Status
read_pairs(const Reader* r, const TableCell* cell, Connector* c)
{
  for (const char* at = cell->text; *at; ++c->n_pairs) {
    if (c->n_pairs == CONNECTOR_PAIRS ||
        !read_pair(c, WIRING_NEAR, WIRING_NEAR, &at, &c->pairs[c->n_pairs][0],
                   &c->pairs[c->n_pairs][1])) {
      return refuse(r, cell, "Pairs are A=B of near contacts, one blank between");
    }
  }
  return STATUS_OK;
}

static Status
read_row(const Reader* r, const TableRow* row, Connector* connector)
{
  Connector c = {.name = arena_copy(r->arena, table_cell(row, 0)->text),
                 .figures = arena_copy(r->arena, table_cell(row, 8)->text)};
  const TableCell* const shell = table_cell(row, 4);
  Status st;
  if (!c.name || !c.figures) {
    return STATUS_NO_MEMORY;
  }
  if (!c.name[0]) {
    return refuse(r, table_cell(row, 0), "A row without a name");
  }
  if (!text_same(shell->text, "yes") && !text_same(shell->text, "no")) {
    return refuse(r, shell, "shell is yes or no");
  }
  const bool has_shell = text_same(shell->text, "yes");
  for (int end = 0; end < 2; ++end) {
    TRY(st, read_names(r, table_cell(row, 2 + end), has_shell, &c.contact[end], &c.plan.n[end]));
    c.plan.has_shell[end] = has_shell;
  }
  TRY(st, read_wires(r, table_cell(row, 5), &c));
  TRY(st, read_joins(r, table_cell(row, 6), &c));
  TRY(st, read_pairs(r, table_cell(row, 7), &c));
  c.same_ends = c.plan.n[0] == c.plan.n[1];
  for (int i = 0; i < c.plan.n[0] && c.same_ends; ++i) {
    c.same_ends = text_same(c.contact[0][i], c.contact[1][i]);
  }
  *connector = c;
  return STATUS_OK;
}

static Status
read_table(const Reader* r, const char* bytes, size_t n_bytes, Table* table)
{
  Status st;
  TRY(st, table_read(r->arena, r->file, bytes, n_bytes, table, r->error));
  for (int i = 0; i < COLUMNS; ++i) {
    if (table->n_rows < 2 || !text_same(table_cell(&table->rows[0], i)->text, headings[i])) {
      return error_set(
        r->error, STATUS_BAD_INPUT, r->file, 1, 1,
        "A list of connectors has the columns connector, also, near, far, shell, wires, "
        "joins, pairs, figures, and a row for each.");
    }
  }
  return STATUS_OK;
}

Status
connector_read(Arena* arena, const char* file, const char* bytes, size_t n_bytes, int count,
               const Connector** list, int* n, Error* error)
{
  const Reader r = {arena, file, count ? count : WIRING_CONTACTS - 1, error};
  Table table;
  Status st;
  TRY(st, read_table(&r, bytes, n_bytes, &table));
  Connector* const all = arena_array(arena, (size_t)table.n_rows, sizeof(Connector));
  if (!all) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 1; i < table.n_rows; ++i) {
    TRY(st, read_row(&r, &table.rows[i], &all[i - 1]));
    if (strcmp(table_cell(&table.rows[i], 2)->text, "1..N") == 0) {
      all[i - 1].name = arena_format(arena, "%s %d", all[i - 1].name, r.count);
      if (!all[i - 1].name) {
        return STATUS_NO_MEMORY;
      }
    }
  }
  *list = all;
  *n = table.n_rows - 1;
  return STATUS_OK;
}

Status
connector_list(Arena* arena, const Connector** list, int* n)
{
  int n_lists = 0;
  const ListText* const text = connector_built_in(&n_lists);
  return connector_read(arena, text->name, text->bytes, text->n_bytes, 0, list, n, NULL);
}

// Whether `name` is this row's, or one of its other names.
static bool
is_called(const TableRow* row, const char* name)
{
  bool found = text_same(table_cell(row, 0)->text, name);
  for (const char* at = table_cell(row, 1)->text; *at && !found;) {
    const size_t n = strcspn(at, "|");
    found = n == strlen(name) && same_start(name, at, n);
    at += n + (at[n] == '|');
  }
  return found;
}

// Whether its contacts are "1..N", as many as the name says.
static bool
has_any_count(const TableRow* row)
{
  return strcmp(table_cell(row, 2)->text, "1..N") == 0;
}

Status
connector_find(Arena* arena, const char* name, Connector* connector, Error* error)
{
  int n_lists = 0;
  const ListText* const text = connector_built_in(&n_lists);
  Reader r = {arena, text->name, WIRING_CONTACTS - 1, error};
  Table table;
  Status st;
  TRY(st, read_table(&r, text->bytes, text->n_bytes, &table));
  const char* const blank = strrchr(name, ' ');
  char* const stem = blank ? arena_text(arena, name, (size_t)(blank - name)) : NULL;
  int count = 0;
  const bool counted = blank && text_whole(blank + 1, 2, WIRING_CONTACTS - 1, &count);
  if (blank && !stem) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 1; i < table.n_rows; ++i) {
    const TableRow* const row = &table.rows[i];
    const bool any = has_any_count(row);
    if (any ? !counted || !is_called(row, stem) : !is_called(row, name)) {
      continue;
    }
    r.count = any ? count : r.count;
    Connector found;
    TRY(st, read_row(&r, row, &found));
    found.name = any ? arena_format(arena, "%s %d", found.name, count) : found.name;
    if (!found.name) {
      return STATUS_NO_MEMORY;
    }
    *connector = found;
    return STATUS_OK;
  }
  TextOut all = {.arena = arena};
  for (int i = 1; i < table.n_rows; ++i) {
    const TableRow* const row = &table.rows[i];
    text_add(&all, "%s%s%s", i > 1 ? ", " : "", table_cell(row, 0)->text,
             has_any_count(row) ? " N" : "");
  }
  const char* const there_are = text_done(&all);
  return there_are ? error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                               "There is no cable \"%.60s\". There are: %s (N from 2 to 37).", name,
                               there_are)
                   : STATUS_NO_MEMORY;
}
