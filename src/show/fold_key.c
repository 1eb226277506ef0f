// SPDX-License-Identifier: GPL-3.0-or-later
#include "show/fold_key.h"

#include <string.h>

/*
  Words are compared as people type them; everything else is a field of the fact.
*/

static unsigned char
lower(char c)
{
  return (unsigned char)(c >= 'A' && c <= 'Z' ? c + ('a' - 'A') : c);
}

static bool
is_blank(char c)
{
  return c == ' ' || c == '\t';
}

// Orders words so that exactly those text_same calls equal compare as 0.
static int
word_order(const char* a, const char* b)
{
  while (is_blank(*a)) {
    ++a;
  }
  while (is_blank(*b)) {
    ++b;
  }
  size_t n_a = strlen(a);
  size_t n_b = strlen(b);
  while (n_a && is_blank(a[n_a - 1])) {
    --n_a;
  }
  while (n_b && is_blank(b[n_b - 1])) {
    --n_b;
  }
  for (size_t i = 0; i < n_a && i < n_b; ++i) {
    if (lower(a[i]) != lower(b[i])) {
      return lower(a[i]) < lower(b[i]) ? -1 : 1;
    }
  }
  return (n_a > n_b) - (n_a < n_b);
}

int
fold_key_order(const FoldKey* a, const FoldKey* b)
{
  if (a->shelf != b->shelf) {
    return a->shelf < b->shelf ? -1 : 1;
  }
  if (a->line != b->line) {
    return a->line < b->line ? -1 : 1;
  }
  const int first = word_order(a->word[0], b->word[0]);
  return first ? first : word_order(a->word[1], b->word[1]);
}

static const char*
word(const char* text)
{
  return text ? text : "";
}

FoldKey
fold_key(const FoldFact* entry, size_t position)
{
  const FactBody* const b = &entry->body;
  switch (entry->fact.kind) {
    case FACT_READING:
      return (FoldKey){SHELF_READINGS, b->line, {"", ""}, position, entry};
    case FACT_OUTPUT_READING:
      return (FoldKey){SHELF_OUTPUTS, 0, {"", ""}, position, entry};
    case FACT_STEP_TAKEN:
    case FACT_STEP_REFUSED:
    case FACT_STEP_DONE:
      return (FoldKey){SHELF_STEPS, b->line, {"", ""}, position, entry};
    case FACT_PLUGGED:
      return (FoldKey){SHELF_PLUGGED, 0, {b->place, word(b->act)}, position, entry};
    case FACT_TAPED_OFF:
    case FACT_CLEARED:
      return (FoldKey){SHELF_ITEMS, 0, {b->item, ""}, position, entry};
    case FACT_MOVED:
      return (FoldKey){SHELF_MOVED, b->line, {word(b->act), ""}, position, entry};
    case FACT_KIT:
      return (FoldKey){SHELF_KIT, 0, {b->kit, word(b->place)}, position, entry};
    case FACT_LIST_IMPORTED:
      return (FoldKey){SHELF_LISTS, 0, {b->list, ""}, position, entry};
    case FACT_DESK_READ:
      return (FoldKey){SHELF_DESKS, b->line, {b->desk, word(b->act)}, position, entry};
    case FACT_HOLDS:
      return (FoldKey){SHELF_HOLDS, 0, {b->desk, word(b->act)}, position, entry};
    case FACT_PASS_BEGUN:
    case FACT_READY:
    case FACT_SKIPPED:
      return (FoldKey){SHELF_PASSES, 0, {"", ""}, position, entry};
    case FACT_NOTE:
      return (FoldKey){SHELF_NOTES, 0, {"", ""}, position, entry};
    case FACT_MESSAGE:
    case FACT_MESSAGE_SEEN:
      return (FoldKey){SHELF_MESSAGES, 0, {"", ""}, position, entry};
    case FACT_ACT_IN_FORCE:
      return (FoldKey){SHELF_ACT, 0, {"", ""}, position, entry};
    case FACT_CHANGE_STEP: // Read from `all`: its order in the log is what counts
    case FACT_VOIDED:
    case FACT_KIND_COUNT:
      break;
  }
  return (FoldKey){SHELF_NONE, 0, {"", ""}, position, entry};
}
