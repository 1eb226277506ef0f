// SPDX-License-Identifier: GPL-3.0-or-later
#include "show/fold_key.h"

#include <string.h>

/*
  One more fact into a fold, without folding anew: it is the newest of everything, so it goes behind
  those of its key, or takes the place of the one of its key where only the newest counts.

      readings   3 3 7 7 9        + reading of 7    -->  3 3 7 7 7 9
      plugged    A1 A6 B2         + plug in A6      -->  A1 (A6) B2      the new one in its place
      moved      3 7              + 7 back home     -->  3

  A set's array has room for more than it holds and is copied, twice as large, when it is full; what
  fold_make made is full. So a fact costs a search among the facts of its set and one move of
  references, whatever the length of the log.
*/

enum { ROOM_LEAST = 16 };

static FoldSet*
set_of(Fold* fold, FoldSetName name)
{
  FoldSet* const sets[FOLD_SETS] = {
    [FOLD_ALL] = &fold->all,           [FOLD_READINGS] = &fold->readings,
    [FOLD_OUTPUTS] = &fold->outputs,   [FOLD_STEPS] = &fold->steps,
    [FOLD_PLUGGED] = &fold->plugged,   [FOLD_TAPED_OFF] = &fold->taped_off,
    [FOLD_CLEARED] = &fold->cleared,   [FOLD_MOVED] = &fold->moved,
    [FOLD_KIT] = &fold->kit,           [FOLD_LISTS] = &fold->lists,
    [FOLD_DESKS] = &fold->desks,       [FOLD_HOLDS] = &fold->holds,
    [FOLD_PASSES] = &fold->passes,     [FOLD_NOTES] = &fold->notes,
    [FOLD_MESSAGES] = &fold->messages,
  };
  return sets[name];
}

typedef struct {
  FoldSetName name; ///< FOLD_ALL = in no other set
  bool newest_only;
} Place;

static Place
place_of(const FoldKey* key)
{
  switch (key->shelf) {
    case SHELF_READINGS:
      return (Place){FOLD_READINGS, false};
    case SHELF_OUTPUTS:
      return (Place){FOLD_OUTPUTS, false};
    case SHELF_STEPS:
      return (Place){FOLD_STEPS, false};
    case SHELF_PLUGGED:
      return (Place){FOLD_PLUGGED, true};
    case SHELF_ITEMS:
      return (Place){key->entry->fact.kind == FACT_TAPED_OFF ? FOLD_TAPED_OFF : FOLD_CLEARED, true};
    case SHELF_MOVED:
      return (Place){FOLD_MOVED, true};
    case SHELF_KIT:
      return (Place){FOLD_KIT, true};
    case SHELF_LISTS:
      return (Place){FOLD_LISTS, true};
    case SHELF_DESKS:
      return (Place){FOLD_DESKS, true};
    case SHELF_HOLDS:
      return (Place){FOLD_HOLDS, true};
    case SHELF_PASSES:
      return (Place){FOLD_PASSES, false};
    case SHELF_NOTES:
      return (Place){FOLD_NOTES, false};
    case SHELF_MESSAGES:
      return (Place){FOLD_MESSAGES, false};
    case SHELF_ACT:
    case SHELF_NONE:
      break;
  }
  return (Place){FOLD_ALL, false};
}

// Room for one more, the set itself as it was.
static Status
make_room(Arena* arena, Fold* fold, FoldSetName name, size_t room[FOLD_SETS])
{
  FoldSet* const set = set_of(fold, name);
  if (set->n_facts < room[name]) {
    return STATUS_OK;
  }
  const size_t more = set->n_facts < ROOM_LEAST ? ROOM_LEAST : 2 * set->n_facts;
  const FoldFact** const grown =
    arena_grow(arena, set->facts, set->n_facts, more, sizeof(FoldFact*));
  if (!grown) {
    return STATUS_NO_MEMORY;
  }
  set->facts = grown;
  room[name] = more;
  return STATUS_OK;
}

// Where the first key above this one stands.
static size_t
behind(const FoldSet* set, const FoldKey* key)
{
  size_t low = 0;
  size_t high = set->n_facts;
  while (low < high) {
    const size_t middle = low + (high - low) / 2;
    const FoldKey other = fold_key(set->facts[middle], 0);
    if (fold_key_order(&other, key) <= 0) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low;
}

static bool
is_of_key(const FoldSet* set, size_t at, const FoldKey* key)
{
  const FoldKey other = fold_key(set->facts[at], 0);
  return fold_key_order(&other, key) == 0;
}

static void
put(FoldSet* set, size_t at, const FoldFact* entry)
{
  const FoldFact** const facts = (const FoldFact**)set->facts; // Of make_room
  memmove(&facts[at + 1], &facts[at], (set->n_facts - at) * sizeof(*facts));
  facts[at] = entry;
  ++set->n_facts;
}

// Only of arrays that have room, which are ours.
static void
take_out(FoldSet* set, const FoldKey* key)
{
  const size_t at = behind(set, key);
  if (at > 0 && is_of_key(set, at - 1, key)) {
    const FoldFact** const facts = (const FoldFact**)set->facts;
    memmove(&facts[at - 1], &facts[at], (set->n_facts - at) * sizeof(*facts));
    --set->n_facts;
  }
}

static Status
entry_read(Arena* arena, const Fact* fact, FoldFact** entry, Error* error)
{
  FoldFact* const e = arena_array(arena, 1, sizeof(FoldFact));
  Error why = {0};
  if (!e) {
    return error_set(error, STATUS_NO_MEMORY, NULL, 0, 0, "%s", status_text(STATUS_NO_MEMORY));
  }
  e->fact = *fact;
  e->in_force = true;
  const Status st = fact_body_read(arena, fact->kind, fact->body, fact->n_body, &e->body, &why);
  if (st != STATUS_OK) {
    return error_set(error, st == STATUS_NO_MEMORY ? st : STATUS_DAMAGED, NULL, 0, 0,
                     "Fact %lld of the show cannot be read: %s", (long long)fact->seq, why.text);
  }
  *entry = e;
  return STATUS_OK;
}

Status
fold_add(Arena* arena, Fold* fold, size_t room[FOLD_SETS], const Fact* fact, Error* error)
{
  FoldFact* entry = NULL;
  Status st = STATUS_OK;
  if (fact->kind == FACT_VOIDED) {
    return STATUS_NO;
  }
  TRY(st, entry_read(arena, fact, &entry, error));
  const FoldKey key = fold_key(entry, fold->all.n_facts);
  const Place place = place_of(&key);
  const bool is_item = key.shelf == SHELF_ITEMS;
  const FoldSetName needed[] = {FOLD_ALL, place.name, is_item ? FOLD_TAPED_OFF : place.name,
                                is_item ? FOLD_CLEARED : place.name};
  for (size_t i = 0; i < sizeof(needed) / sizeof(needed[0]); ++i) {
    if (make_room(arena, fold, needed[i], room) != STATUS_OK) {
      return error_set(error, STATUS_NO_MEMORY, NULL, 0, 0, "%s", status_text(STATUS_NO_MEMORY));
    }
  }
  put(&fold->all, fold->all.n_facts, entry);
  if (key.shelf == SHELF_ACT) {
    fold->act = entry;
  }
  if (is_item) {
    take_out(&fold->taped_off, &key);
    take_out(&fold->cleared, &key);
  } else if (place.newest_only) {
    take_out(set_of(fold, place.name), &key);
  }
  const bool is_home = key.shelf == SHELF_MOVED && !*entry->body.way;
  if (place.name != FOLD_ALL && !is_home) {
    FoldSet* const set = set_of(fold, place.name);
    put(set, behind(set, &key), entry);
  }
  return STATUS_OK;
}
