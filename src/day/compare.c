// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/compare.h"

#include "day/compare_build.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/*
  Act by act: the list itself, versions and plugs (compare_list), then desk by desk (compare_desk),
  line by line (compare_line). Here is what they take down, and the order of all of it.
*/

// ---- Taking down ----

Status
compare_push(CompareBuild* c, Disagreement found, Sentence say, Sentence todo,
             const WordsFill* fill)
{
  if (c->n == c->room) {
    const int room = c->room * 2 + 16;
    Disagreement* const more =
      arena_grow(c->arena, c->list, (size_t)c->n, (size_t)room, sizeof(*more));
    if (!more) {
      return STATUS_NO_MEMORY;
    }
    c->list = more;
    c->room = room;
  }
  found.say = words_say(c->arena, say, fill);
  found.todo = words_say(c->arena, todo, fill);
  found.caution = found.caution ? found.caution : "";
  c->list[c->n++] = found;
  return found.say && found.todo ? STATUS_OK : STATUS_NO_MEMORY;
}

Status
compare_leave(CompareBuild* c, const char* sentence)
{
  if (c->n_not == c->not_room) {
    const int room = c->not_room * 2 + 16;
    const char** const more =
      arena_grow(c->arena, c->not_compared, (size_t)c->n_not, (size_t)room, sizeof(*more));
    if (!more) {
      return STATUS_NO_MEMORY;
    }
    c->not_compared = more;
    c->not_room = room;
  }
  c->not_compared[c->n_not++] = sentence;
  return sentence ? STATUS_OK : STATUS_NO_MEMORY;
}

const char*
compare_act(const CompareBuild* c, int act)
{
  return act < 0 ? "bare lines" : c->plant->acts[act].name;
}

const char*
compare_whole(CompareBuild* c, double number)
{
  return arena_format(c->arena, "%d", (int)lround(number));
}

const char*
compare_socket(CompareBuild* c, int line)
{
  const Line* const l = &c->plant->lines[line];
  return arena_format(c->arena, "%s%d", c->plant->boxes[l->box].name, l->socket);
}

const char*
compare_source_listed(CompareBuild* c, int act, int line)
{
  const Input* const input = plant_input(c->listed, act, line);
  return input ? input->source : arena_format(c->arena, "line %d", c->listed->lines[line].number);
}

const char*
compare_source(CompareBuild* c, int act, int line)
{
  const Input* const input = plant_input(c->plant, act, line);
  return input     ? input->source
         : act < 0 ? arena_format(c->arena, "line %d", c->plant->lines[line].number)
                   : "nothing";
}

// ---- All of it ----

static int
rank(const Disagreement* d)
{
  return d->harms ? 0 : d->what == COMPARE_VERSION ? 1 : 2;
}

static int
by_weight(const void* a_, const void* b_)
{
  const Disagreement* const a = a_;
  const Disagreement* const b = b_;
  const int ways[] = {a->act - b->act,   rank(a) - rank(b),           a->line - b->line,
                      a->desk - b->desk, (int)a->what - (int)b->what, strcmp(a->say, b->say)};
  for (size_t i = 0; i < sizeof(ways) / sizeof(ways[0]); ++i) {
    if (ways[i]) {
      return ways[i];
    }
  }
  return 0;
}

Status
compare_all(Arena* arena, const Plant* plant, const Fold* fold, int act, Comparison* comparison)
{
  CompareBuild c = {.arena = arena, .listed = plant, .fold = fold};
  Status st = STATUS_OK;
  TRY(st, loan_list(arena, plant, fold, &c.loans, &c.n_loans));
  for (int a = -1; a < plant->n_acts; ++a) {
    if (act != COMPARE_EVERY_ACT && act != a) {
      continue;
    }
    Plant laid;
    TRY(st, loan_lay(arena, plant, c.loans, c.n_loans, a, &laid));
    c.plant = &laid;
    TRY(st, a < 0 ? compare_inputs(&c) : compare_versions(&c, a));
    TRY(st, compare_loans(&c, a, act != COMPARE_EVERY_ACT));
    if (a >= 0) {
      TRY(st, compare_list(&c, a));
    }
    TRY(st, compare_desks(&c, a));
    TRY(st, compare_plugs(&c, a));
  }
  if (c.n > 0) {
    qsort(c.list, (size_t)c.n, sizeof(*c.list), by_weight);
  }
  *comparison = (Comparison){c.list, c.n, c.not_compared, c.n_not, c.n_rows};
  return STATUS_OK;
}

const char*
compare_word(CompareWhat what)
{
  static const char* const words[COMPARE_SORTS] = {
#define COMPARE_WORD(name, word) word,
    COMPARE_LIST(COMPARE_WORD)
#undef COMPARE_WORD
  };
  return words[what];
}

const char*
compare_sure(CompareSure sure)
{
  return sure == COMPARE_CERTAIN ? "certain" : sure == COMPARE_LIKELY ? "likely" : "ask";
}
