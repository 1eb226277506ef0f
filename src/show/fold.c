// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "show/fold_key.h"

#include <stdlib.h>
#include <string.h>

/*
  One sort does most of the work. Every fact in force gets a key (shelf, line, two words, position
  in the log); sorted by it, each set of the fold is one stretch of the same array, and the newest
  of its kind is the last of a run of equal keys.
*/

static int
key_compare(const void* a_, const void* b_)
{
  const FoldKey* const a = a_;
  const FoldKey* const b = b_;
  const int order = fold_key_order(a, b);
  return order ? order : (a->position > b->position) - (a->position < b->position);
}

/* Each id once */

typedef struct {
  const char* id;
  size_t position;
} IdPlace;

static int
id_compare(const void* a_, const void* b_)
{
  const IdPlace* const a = a_;
  const IdPlace* const b = b_;
  const int order = strcmp(a->id, b->id);
  return order ? order : (a->position > b->position) - (a->position < b->position);
}

static int
id_find(const void* id, const void* place)
{
  return strcmp(id, ((const IdPlace*)place)->id);
}

// Sorted places of the first of each id; `first[i]` says whether fact i is one.
static size_t
ids_sort(const Fact* facts, size_t n_facts, IdPlace* ids, bool* first)
{
  size_t n_ids = 0;
  for (size_t i = 0; i < n_facts; ++i) {
    ids[i] = (IdPlace){facts[i].id, i};
  }
  qsort(ids, n_facts, sizeof(IdPlace), id_compare);
  for (size_t i = 0; i < n_facts; ++i) {
    if (n_ids == 0 || strcmp(ids[n_ids - 1].id, ids[i].id) != 0) {
      ids[n_ids++] = ids[i];
      first[ids[i].position] = true;
    }
  }
  return n_ids;
}

// Lists that came in together name the first of them.
static bool
came_with(const FoldFact* list, const FoldFact* first)
{
  return list->fact.kind == FACT_LIST_IMPORTED && list->body.id &&
         !strcmp(list->body.id, first->fact.id);
}

// From the last fact to the first: when a void is met, everything that could void it is decided.
static void
voids_settle(FoldFact* entries, size_t n_entries, const IdPlace* ids, size_t n_ids,
             const size_t* entry_at)
{
  for (size_t i = n_entries; i-- > 0;) {
    FoldFact* const e = &entries[i];
    e->in_force = !e->voided_by;
    if (!e->in_force || e->fact.kind != FACT_VOIDED) {
      continue;
    }
    const IdPlace* const named = bsearch(e->body.id, ids, n_ids, sizeof(IdPlace), id_find);
    if (named && entry_at[named->position] < i) {
      const size_t at = entry_at[named->position];
      entries[at].voided_by = e;
      for (size_t k = at + 1; k < i && entries[at].fact.kind == FACT_LIST_IMPORTED; ++k) {
        if (came_with(&entries[k], &entries[at])) {
          entries[k].voided_by = e;
        }
      }
    }
  }
}

/* Shelves to sets */

typedef bool (*Wanted)(const FoldFact* entry);

static bool
every_one(const FoldFact* entry)
{
  (void)entry;
  return true;
}

static bool
is_taped_off(const FoldFact* entry)
{
  return entry->fact.kind == FACT_TAPED_OFF;
}

static bool
is_cleared(const FoldFact* entry)
{
  return entry->fact.kind == FACT_CLEARED;
}

static bool
is_away(const FoldFact* entry)
{
  return *entry->body.way != '\0';
}

typedef struct {
  const FoldKey* keys; ///< Sorted
  size_t n_keys;
  const FoldFact** room; ///< Where the next set's references go
} Shelves;

static FoldSet
set_of(Shelves* shelves, FoldShelf shelf, bool newest_only, Wanted wanted)
{
  FoldSet set = {shelves->room, 0};
  for (size_t i = 0; i < shelves->n_keys; ++i) {
    const FoldKey* const key = &shelves->keys[i];
    const bool run_goes_on = i + 1 < shelves->n_keys && fold_key_order(key, key + 1) == 0;
    if (key->shelf == shelf && !(newest_only && run_goes_on) && wanted(key->entry)) {
      shelves->room[set.n_facts++] = key->entry;
    }
  }
  shelves->room += set.n_facts;
  return set;
}

static Status
entries_read(Arena* arena, const Fact* facts, size_t n_facts, const bool* first, FoldFact* entries,
             size_t* entry_at, Error* error)
{
  size_t n = 0;
  for (size_t i = 0; i < n_facts; ++i) {
    if (!first[i]) {
      continue;
    }
    FoldFact* const e = &entries[n];
    Error why = {0};
    e->fact = facts[i];
    const Status st =
      fact_body_read(arena, e->fact.kind, e->fact.body, e->fact.n_body, &e->body, &why);
    if (st != STATUS_OK) {
      return error_set(error, st == STATUS_NO_MEMORY ? st : STATUS_DAMAGED, NULL, 0, 0,
                       "Fact %lld of the show cannot be read: %s", (long long)e->fact.seq,
                       why.text);
    }
    entry_at[i] = n++;
  }
  return STATUS_OK;
}

Status
fold_make(Arena* arena, const Fact* facts, size_t n_facts, Fold* fold, Error* error)
{
  IdPlace* const ids = arena_array(arena, n_facts, sizeof(IdPlace));
  bool* const first = arena_array(arena, n_facts, sizeof(bool));
  size_t* const entry_at = arena_array(arena, n_facts, sizeof(size_t));
  FoldFact* const entries = arena_array(arena, n_facts, sizeof(FoldFact));
  FoldKey* const keys = arena_array(arena, n_facts, sizeof(FoldKey));
  // Each fact stands once in `all` and at most once in one of the other sets.
  const FoldFact** const room = arena_array(arena, 2 * n_facts, sizeof(FoldFact*));
  if (!ids || !first || !entry_at || !entries || !keys || !room) {
    return error_set(error, STATUS_NO_MEMORY, NULL, 0, 0, "%s", status_text(STATUS_NO_MEMORY));
  }
  Status st = STATUS_OK;
  const size_t n_ids = ids_sort(facts, n_facts, ids, first);
  TRY(st, entries_read(arena, facts, n_facts, first, entries, entry_at, error));
  voids_settle(entries, n_ids, ids, n_ids, entry_at);

  Shelves shelves = {keys, 0, room + n_ids};
  for (size_t i = 0; i < n_ids; ++i) {
    room[i] = &entries[i];
    if (entries[i].in_force) {
      keys[shelves.n_keys++] = fold_key(&entries[i], i);
    }
  }
  qsort(keys, shelves.n_keys, sizeof(FoldKey), key_compare);
  const FoldSet acts = set_of(&shelves, SHELF_ACT, true, every_one);
  const Fold made = {
    .all = {room, n_ids},
    .act = acts.n_facts ? acts.facts[0] : NULL,
    .readings = set_of(&shelves, SHELF_READINGS, false, every_one),
    .outputs = set_of(&shelves, SHELF_OUTPUTS, false, every_one),
    .steps = set_of(&shelves, SHELF_STEPS, false, every_one),
    .plugged = set_of(&shelves, SHELF_PLUGGED, true, every_one),
    .taped_off = set_of(&shelves, SHELF_ITEMS, true, is_taped_off),
    .cleared = set_of(&shelves, SHELF_ITEMS, true, is_cleared),
    .moved = set_of(&shelves, SHELF_MOVED, true, is_away),
    .kit = set_of(&shelves, SHELF_KIT, true, every_one),
    .lists = set_of(&shelves, SHELF_LISTS, true, every_one),
    .desks = set_of(&shelves, SHELF_DESKS, true, every_one),
    .holds = set_of(&shelves, SHELF_HOLDS, true, every_one),
    .passes = set_of(&shelves, SHELF_PASSES, false, every_one),
    .notes = set_of(&shelves, SHELF_NOTES, false, every_one),
    .messages = set_of(&shelves, SHELF_MESSAGES, false, every_one),
  };
  *fold = made;
  return STATUS_OK;
}

FoldSet
fold_of_line(FoldSet set, int line)
{
  size_t low = 0;
  size_t high = set.n_facts;
  while (low < high) {
    const size_t middle = low + (high - low) / 2;
    if (set.facts[middle]->body.line < line) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  size_t end = low;
  while (end < set.n_facts && set.facts[end]->body.line == line) {
    ++end;
  }
  return (FoldSet){set.facts + low, end - low};
}

bool
fold_is_taped_off(const Fold* fold, const char* item)
{
  for (size_t i = 0; i < fold->taped_off.n_facts; ++i) {
    if (text_same(fold->taped_off.facts[i]->body.item, item)) {
      return true;
    }
  }
  return false;
}

const char*
fold_undo_id(const Fold* fold)
{
  for (size_t i = fold->all.n_facts; i-- > 0;) {
    const FactKind kind = fold->all.facts[i]->fact.kind;
    const bool is_talk = kind == FACT_MESSAGE || kind == FACT_MESSAGE_SEEN;
    if (fold->all.facts[i]->in_force && kind != FACT_VOIDED && !is_talk) {
      return fold_undo_of(fold, fold->all.facts[i])->fact.id;
    }
  }
  return NULL;
}

const FoldFact*
fold_undo_of(const Fold* fold, const FoldFact* fact)
{
  for (size_t i = 0; i < fold->all.n_facts; ++i) {
    const FoldFact* const first = fold->all.facts[i];
    if (first == fact) {
      break;
    }
    if (first->in_force && first->fact.kind == FACT_LIST_IMPORTED && came_with(fact, first)) {
      return first;
    }
  }
  return fact;
}
