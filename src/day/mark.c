// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/mark.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

/*
  Letters: every row is hashed by itself (FNV-1a, 64 bits, offset and prime as published by its
  authors) and the hashes are added, so the order of the rows does not count.

  Number: the newest version that the list of versions knows, counted on by the lists that were
  taken in after it; without one, how often the list was taken in.

  A way round that was taken makes a newer list: where the line runs is hashed with its row, and
  every move there and back counts the number on. Undone, both are what they were. Whoever held the
  list as it was before some moves, and has said of each of them that they follow, holds the list in
  force.
*/

typedef struct {
  const Plant* plant;
  const Fold* fold; ///< NULL = no facts
  int act;
  int64_t until; ///< Moves of the log up to here count
} Moves;

#define HASH_OFFSET 14695981039346656037u // FNV-1a, 64 bits: Fowler, Noll, Vo
#define HASH_PRIME 1099511628211u

static uint64_t
hash_text(uint64_t hash, const char* text)
{
  for (const char* p = text ? text : ""; *p; ++p) {
    hash = (hash ^ (unsigned char)*p) * HASH_PRIME;
  }
  return (hash ^ 0x1F) * HASH_PRIME; // A cell ends here: "ab" "c" is not "a" "bc"
}

static uint64_t
hash_number(uint64_t hash, int number)
{
  char text[16];
  (void)snprintf(text, sizeof(text), "%d", number);
  return hash_text(hash, text);
}

static bool
is_move_of(const Moves* m, const FoldFact* f, int line)
{
  const bool of_act = !f->body.act || !f->body.act[0] || plant_act(m->plant, f->body.act) == m->act;
  return f->in_force && f->fact.kind == FACT_MOVED && of_act && f->fact.seq <= m->until &&
         plant_line(m->plant, f->body.line) == line;
}

// The way a line runs on after the moves that count; "" = its own. One told in the act itself
// counts more than one of the bare lines.
static const char*
way_of(const Moves* m, int line)
{
  const char* ways[2] = {"", ""};
  for (size_t i = 0; m->fold && line >= 0 && i < m->fold->all.n_facts; ++i) {
    const FoldFact* const f = m->fold->all.facts[i];
    if (is_move_of(m, f, line)) {
      ways[f->body.act && f->body.act[0] ? 0 : 1] = f->body.way;
    }
  }
  return ways[0][0] ? ways[0] : ways[1];
}

// How often a line that the act's list has was moved, there or back.
static int
n_moves(const Moves* m)
{
  int n = 0;
  for (size_t i = 0; m->fold && i < m->fold->all.n_facts; ++i) {
    const FoldFact* const f = m->fold->all.facts[i];
    const int line = f->fact.kind == FACT_MOVED ? plant_line(m->plant, f->body.line) : -1;
    n += line >= 0 && is_move_of(m, f, line) && plant_input(m->plant, m->act, line);
  }
  return n;
}

static uint64_t
hash_input(const Moves* m, const Input* input)
{
  const Plant* const plant = m->plant;
  uint64_t hash = hash_number(HASH_OFFSET, input->channel);
  hash = hash_text(hash, input->source);
  hash = hash_text(hash, plant->kinds[input->kind].name);
  hash = hash_number(hash, (int)input->wants_phantom);
  hash = hash_text(hash, input->stand);
  hash = hash_text(hash, input->position);
  hash = hash_text(hash, input->note);
  hash = hash_text(hash, input->cable);
  const Line* const line = input->line >= 0 ? &plant->lines[input->line] : NULL;
  hash = hash_text(hash, line ? plant->boxes[line->box].name : "");
  hash = hash_number(hash, line ? line->socket : 0);
  for (int i = 0; i < input->n_through; ++i) {
    hash = hash_text(hash, plant->inlines[input->through[i]].name);
  }
  const char* const way = way_of(m, input->line);
  return way[0] ? hash_text(hash, way) : hash;
}

static int
whole_in(const char* text)
{
  int number = 0;
  const char* p = text;
  while (*p && !(*p >= '0' && *p <= '9')) {
    ++p;
  }
  char digits[8] = "";
  const size_t n = strspn(p, "0123456789");
  (void)snprintf(digits, sizeof(digits), "%.*s", (int)(n < 7 ? n : 7), p);
  return n > 0 && text_whole(digits, 0, 999999, &number) ? number : 0;
}

// How often a list was taken in after `seq`; its first time does not make a newer version.
static int
taken_in(const Fold* fold, const char* list, int64_t seq, int* all)
{
  int n_after = 0;
  *all = 0;
  for (size_t i = 0; fold && list && i < fold->all.n_facts; ++i) {
    const FoldFact* const f = fold->all.facts[i];
    if (f->in_force && f->fact.kind == FACT_LIST_IMPORTED && text_same(f->body.list, list)) {
      n_after += *all > 0 && f->fact.seq > seq;
      ++*all;
    }
  }
  return n_after;
}

static int64_t
newest_seq(const Fold* fold, const char* list)
{
  int64_t seq = 0;
  for (size_t i = 0; fold && list && i < fold->lists.n_facts; ++i) {
    const FoldFact* const f = fold->lists.facts[i];
    seq = text_same(f->body.list, list) ? f->fact.seq : seq;
  }
  return seq;
}

static int
number_of(const Plant* plant, const Fold* fold, int act, const char* list)
{
  int newest = 0;
  const char* versions = NULL;
  for (int i = 0; i < plant->n_versions; ++i) {
    const ListVersion* const v = &plant->versions[i];
    const int number = plant_act(plant, v->act) == act ? whole_in(v->version) : 0;
    if (number > newest) {
      newest = number;
      versions = v->list;
    }
  }
  int all = 0;
  const int after = taken_in(fold, list, newest_seq(fold, versions), &all);
  return newest > 0 ? newest + after : all > 0 ? all : 1;
}

static const char*
mark_until(const Moves* m, char mark[MARK_ROOM])
{
  const Plant* const plant = m->plant;
  const int act = m->act;
  static const char letters[] = "BHKLMQRWXY";
  enum { N = sizeof(letters) - 1 };
  uint64_t sum = 0;
  int n_inputs = 0;
  const char* list = NULL;
  mark[0] = '\0';
  for (int i = 0; act >= 0 && i < plant->n_inputs; ++i) {
    if (plant->inputs[i].act == act) {
      sum += hash_input(m, &plant->inputs[i]);
      list = list ? list : plant->inputs[i].list;
      ++n_inputs;
    }
  }
  if (n_inputs == 0) {
    return mark;
  }
  sum ^= sum >> 32; // The low bits of a sum of products alone know little of the high ones
  int take[3];
  for (int i = 0; i < 3; ++i) {
    take[i] = (int)(sum % (uint64_t)(N - i));
    sum /= (uint64_t)(N - i);
  }
  char left[N + 1];
  memcpy(left, letters, sizeof(left));
  char three[4] = "";
  for (int i = 0; i < 3; ++i) { // Without putting back, so that no letter comes twice
    three[i] = left[take[i]];
    memmove(&left[take[i]], &left[take[i] + 1], strlen(&left[take[i]]));
  }
  const int number = number_of(plant, m->fold, act, list) + n_moves(m);
  (void)snprintf(mark, MARK_ROOM, "%s %d", three, number % 1000000);
  return mark;
}

const char*
mark_act(const Plant* plant, const Fold* fold, int act, char mark[MARK_ROOM])
{
  const Moves all = {plant, fold, act, INT64_MAX};
  return mark_until(&all, mark);
}

// Whether a desk has said of every loan that came after some moves that it follows.
static bool
has_followed(const Loan loans[], int n, int act, int desk, int64_t after)
{
  for (int i = 0; i < n; ++i) {
    const Loan* const loan = &loans[i];
    if ((loan->act < 0 || loan->act == act) && loan->seq > after && desk >= 0 &&
        loan->concerns[desk] && !loan->followed[desk]) {
      return false;
    }
  }
  return true;
}

// What somebody holds against the list as it was after every number of moves, the newest first.
static MarkWord
word_for(const Moves* all, const char* held, int desk, const Loan loans[], int n)
{
  char mark[MARK_ROOM];
  if (mark_same(held, mark_until(all, mark))) {
    return MARK_SAME;
  }
  for (size_t i = all->fold ? all->fold->all.n_facts : 0; i-- > 0;) {
    const FoldFact* const f = all->fold->all.facts[i];
    const int line = f->fact.kind == FACT_MOVED ? plant_line(all->plant, f->body.line) : -1;
    if (line < 0 || !is_move_of(all, f, line) || !plant_input(all->plant, all->act, line)) {
      continue;
    }
    Moves before = *all;
    before.until = f->fact.seq - 1;
    if (mark_same(held, mark_until(&before, mark))) {
      return has_followed(loans, n, all->act, desk, before.until) ? MARK_SAME : MARK_BEHIND;
    }
  }
  return MARK_OTHER;
}

// The letters of a version as it was told; "v" and words for a version say nothing.
static void
letters_of(const char* text, char letters[8])
{
  size_t n = 0;
  for (const char* p = text; *p && n < 7; ++p) {
    if ((*p >= 'a' && *p <= 'z') || (*p >= 'A' && *p <= 'Z')) {
      letters[n++] = (char)(*p >= 'a' ? *p - 'a' + 'A' : *p);
    }
  }
  letters[n] = '\0';
  if (n != 3) {
    letters[0] = '\0';
  }
}

bool
mark_same(const char* a, const char* b)
{
  char letters_a[8];
  char letters_b[8];
  letters_of(a, letters_a);
  letters_of(b, letters_b);
  const int number_a = whole_in(a);
  const int number_b = whole_in(b);
  const bool letters = letters_a[0] && letters_b[0];
  const bool numbers = number_a > 0 && number_b > 0;
  if (!letters && !numbers) {
    return text_same(a, b);
  }
  return (!letters || !strcmp(letters_a, letters_b)) && (!numbers || number_a == number_b);
}

static const char* const places[MARK_PLACES] = {"foh", "mon", "broadcast", "stage"};

const char*
mark_place(const Plant* plant, const char* place)
{
  if (text_same(place, places[PLANT_DESKS])) {
    return places[PLANT_DESKS];
  }
  const int desk = plant_desk(plant, place);
  return desk >= 0 ? plant->desks[desk].name : NULL;
}

int
mark_held(const Plant* plant, const Fold* fold, int act, const Loan loans[], int n_loans,
          MarkHeld held[MARK_PLACES])
{
  const Moves all = {plant, fold, act, INT64_MAX};
  char mark[MARK_ROOM];
  int n = 0;
  (void)mark_act(plant, fold, act, mark);
  for (int k = 0; k < MARK_PLACES && mark[0]; ++k) {
    const int desk = k < PLANT_DESKS ? plant_desk(plant, places[k]) : -1;
    if (k < PLANT_DESKS && desk < 0) {
      continue;
    }
    MarkHeld one = {places[k], desk >= 0 ? plant->desks[desk].say : places[k], desk, "",
                    MARK_NOT_SAID};
    for (int i = 0; i < plant->n_versions; ++i) {
      const ListVersion* const v = &plant->versions[i];
      one.held = v->has[k][0] && plant_act(plant, v->act) == act ? v->has[k] : one.held;
    }
    for (size_t i = 0; fold && i < fold->holds.n_facts; ++i) {
      const FactBody* const b = &fold->holds.facts[i]->body;
      if (text_same(b->desk, places[k]) && b->act && plant_act(plant, b->act) == act) {
        one.held = b->version;
      }
    }
    one.word = !one.held[0] ? MARK_NOT_SAID : word_for(&all, one.held, one.desk, loans, n_loans);
    held[n++] = one;
  }
  return n;
}
