// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/draft.h"
#include "stage/tidy.h"

#include "base/text.h"

#include <string.h>

/*
  Opening lists: bytes into tables with clean cells, their sorts and columns, what people answered,
  and of input lists the rows that are inputs. What cannot be a list is refused here, with a way
  out.
*/

// One character at `p` that is a blank of some sort: its bytes, 0 = none. Control characters are
// (names go on terminals and into sentences; the C1 controls are C2 80 to C2 9F in UTF-8), and so
// are the blanks that do not break and those without width.
static size_t
blank_bytes(const char* p)
{
  const unsigned char one = (unsigned char)p[0];
  const unsigned char two = one ? (unsigned char)p[1] : 0;
  if ((one && one <= ' ') || one == 0x7F) {
    return 1;
  }
  if (one == 0xC2 && two >= 0x80 && two <= 0xA0) {
    return 2;
  }
  const bool is_three = !strncmp(p, "\xE2\x80\xAF", 3) || !strncmp(p, "\xE2\x80\x8B", 3) ||
                        !strncmp(p, "\xEF\xBB\xBF", 3);
  return is_three ? 3 : 0;
}

// Any run of blanks in a cell becomes one, none at its ends: a name with a line end in it is one
// name.
static void
clean_cells(Table* table)
{
  for (int r = 0; r < table->n_rows; ++r) {
    for (int c = 0; c < table->rows[r].n_cells; ++c) {
      char* to = (char*)table->rows[r].cells[c].text;
      const char* const start = to;
      bool is_owed = false;
      for (const char* p = to; *p;) {
        const size_t n = blank_bytes(p);
        if (n > 0) {
          is_owed = to > start;
          p += n;
          continue;
        }
        if (is_owed) {
          *to++ = ' ';
          is_owed = false;
        }
        *to++ = *p++;
      }
      if (*to) {
        *to = '\0';
      }
    }
  }
}

// A row that holds nothing but blanks of other sorts is none.
static void
drop_empty_rows(Table* table)
{
  int n = 0;
  for (int r = 0; r < table->n_rows; ++r) {
    bool is_full = false;
    for (int c = 0; c < table->rows[r].n_cells; ++c) {
      is_full = is_full || table->rows[r].cells[c].text[0];
    }
    if (is_full) {
      table->rows[n++] = table->rows[r];
    }
  }
  table->n_rows = n;
}

static Status
open_table(Arena* arena, const ListText* text, bool is_built_in, List* list, Error* error)
{
  list->name = arena_copy(arena, text->name);
  list->is_built_in = is_built_in;
  if (!list->name) {
    return error_set(error, STATUS_NO_MEMORY, NULL, 0, 0,
                     "There is not enough memory for these lists.");
  }
  const Status st = table_read(arena, list->name, text->bytes, text->n_bytes, &list->table, error);
  if (st == STATUS_NO_MEMORY) {
    return error_set(error, st, NULL, 0, 0, "There is not enough memory for these lists.");
  }
  if (st != STATUS_OK) {
    return st;
  }
  clean_cells(&list->table);
  drop_empty_rows(&list->table);
  return list->table.n_rows > 0
           ? STATUS_OK
           : error_set(
               error, STATUS_BAD_INPUT, list->name, 1, 1,
               "This list is empty: save it again from where it was made, or leave it out.");
}

static Status
check_length(const List* list, Error* error)
{
  const bool long_sort = list->sort == LIST_INPUTS || list->sort == LIST_ITEMS ||
                         list->sort == LIST_DESK_PATCH || list->sort == LIST_UNKNOWN;
  const int n_max = long_sort ? DRAFT_MAX_ROWS : DRAFT_MAX_FEW;
  return list->table.n_rows <= n_max + 1
           ? STATUS_OK
           : error_set(error, STATUS_LIMIT, list->name, list->table.rows[n_max + 1].line, 1,
                       "This list of %s has more than %d rows: is it the right file? If it is, "
                       "keep the rows of this show.",
                       lists_word(list->sort), n_max);
}

// The sort of a list that was opened, and the rows that are its things.
static Status
sort_list(Draft* draft, List* list)
{
  Status st = STATUS_OK;
  if (heading_find(draft->arena, list) != STATUS_OK) {
    return draft_no_memory(draft);
  }
  TRY(st, check_length(list, draft->error));
  return list->sort == LIST_INPUTS && !list->is_built_in ? tidy_rows(draft, list) : STATUS_OK;
}

Status
lists_mapping(Draft* draft, const ListText* lists, int n_lists, Mapping* mapping)
{
  Status st = STATUS_OK;
  List* const all = arena_array(draft->arena, (size_t)n_lists, sizeof(List));
  const Table** const tables = arena_array(draft->arena, (size_t)n_lists, sizeof(*tables));
  if (!all || !tables) {
    return draft_no_memory(draft);
  }
  for (int i = 0; i < n_lists; ++i) {
    TRY(st, open_table(draft->arena, &lists[i], false, &all[i], draft->error));
    tables[i] = &all[i].table;
  }
  return mapping_read(draft->arena, tables, n_lists, mapping, draft->error);
}

Status
lists_open(Draft* draft, const ListText* lists, int n_lists, List** opened, int* n)
{
  Status st = STATUS_OK;
  int n_own = 0;
  const ListText* const own = lists_built_in(&n_own);
  const int n_all = n_own + n_lists;
  List* const all = arena_array(draft->arena, (size_t)n_all, sizeof(List));
  const Table** const tables = arena_array(draft->arena, (size_t)n_all, sizeof(*tables));
  Mapping* const mapping = arena_array(draft->arena, 1, sizeof(*mapping));
  if (!all || !tables || !mapping) {
    return draft_no_memory(draft);
  }
  for (int i = 0; i < n_all; ++i) {
    TRY(st, open_table(draft->arena, i < n_own ? &own[i] : &lists[i - n_own], i < n_own, &all[i],
                       draft->error));
    tables[i] = &all[i].table;
  }
  TRY(st, mapping_read(draft->arena, tables, n_all, mapping, draft->error));
  for (int i = 0; i < n_all; ++i) {
    all[i].mapping = i < n_own ? NULL : mapping;
    TRY(st, sort_list(draft, &all[i]));
  }
  *opened = all;
  *n = n_all;
  return STATUS_OK;
}
