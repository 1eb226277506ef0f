// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/daypatch_build.h"

/*
  Families and list order: each source has one line it would like, and the assignment meets as many
  of these wishes as what must hold leaves room for.
*/

static bool
is_free_for(const DaypatchBuild* b, const int wish[], int input, int line)
{
  for (int k = 0; k < b->plant->n_inputs; ++k) {
    const bool here = wish[k] == line || (b->pinned[k] && b->line[k] == line);
    if (k != input && b->plant->inputs[k].act == b->plant->inputs[input].act && here) {
      return false;
    }
  }
  return true;
}

static int
first_free(const DaypatchBuild* b, const int wish[], int input)
{
  const int n_lines = b->plant->n_lines;
  for (int near = 1; near >= 0; --near) {
    for (int l = 0; l < n_lines; ++l) {
      if (daypatch_hold_allows(b, input, l) && is_free_for(b, wish, input, l) &&
          (!near || b->near[input * n_lines + l])) {
        return l;
      }
    }
  }
  return -1;
}

void
daypatch_wish_in_order(const DaypatchBuild* b, int wish[])
{
  for (int i = 0; i < b->plant->n_inputs; ++i) {
    wish[i] = b->pinned[i] ? b->line[i] : -1;
  }
  for (int i = 0; i < b->plant->n_inputs; ++i) { // By act, then list order
    wish[i] = wish[i] >= 0 ? wish[i] : first_free(b, wish, i);
  }
}

// ---- Families ----

// "guitar 2 alt" is a guitar: the first word, and what plays it where it plays.
static bool
is_family(const Input* a, const Input* b)
{
  const char* at = a->source;
  const char* word = NULL;
  size_t n = 0;
  const char* other_at = b->source;
  const char* other = NULL;
  size_t n_other = 0;
  return daypatch_hold_word(&at, &word, &n) && daypatch_hold_word(&other_at, &other, &n_other) &&
         n == n_other && daypatch_hold_has_word(other, word, n) &&
         text_same(a->position, b->position);
}

// The how-manieth of its family an input is in its act.
static int
place_in_family(const Plant* plant, int input)
{
  int n = 0;
  for (int k = 0; k < input; ++k) {
    n += plant->inputs[k].act == plant->inputs[input].act &&
         is_family(&plant->inputs[k], &plant->inputs[input]);
  }
  return n;
}

// The j-th of a family has one line in every act: the first that is allowed in all of them and that
// no other family has.
void
daypatch_wish_by_family(const DaypatchBuild* b, int wish[])
{
  const Plant* const plant = b->plant;
  for (int i = 0; i < plant->n_inputs; ++i) {
    wish[i] = b->pinned[i] ? b->line[i] : -1;
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    int best = -1;
    for (int l = 0; l < plant->n_lines && best < 0 && wish[i] < 0; ++l) {
      bool good = true;
      for (int k = 0; k < plant->n_inputs && good; ++k) {
        const bool mine = is_family(&plant->inputs[i], &plant->inputs[k]) &&
                          place_in_family(plant, k) == place_in_family(plant, i);
        good =
          mine ? wish[k] >= 0 || (daypatch_hold_allows(b, k, l) && b->near[k * plant->n_lines + l])
               : wish[k] != l;
      }
      best = good ? l : -1;
    }
    for (int k = i; k < plant->n_inputs && best >= 0; ++k) {
      if (wish[k] < 0 && is_family(&plant->inputs[i], &plant->inputs[k]) &&
          place_in_family(plant, k) == place_in_family(plant, i)) {
        wish[k] = best;
      }
    }
  }
}

// ---- Meeting them ----

static short
cost_of_wish(const DaypatchBuild* b, const void* user, int input, int line)
{
  const int* const wish = user;
  (void)b;
  return wish[input] != line;
}

Status
daypatch_wish_meet(const DaypatchBuild* b, const int wish[], int line[])
{
  Status st = STATUS_OK;
  for (int a = 0; a < b->plant->n_acts; ++a) {
    TRY(st, daypatch_act(b, a, cost_of_wish, wish, line, NULL));
  }
  return STATUS_OK;
}
