// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/daypatch.h"

#include "base/rng.h"
#include "base/text.h"
#include "day/plugged.h"
#include "reason/assign.h"

#include <ctype.h>
#include <string.h>

/*
  Costs of one assignment, in tiers: sources left without, rules bent (a microphone in a box that is
  not its player's), plugs moved or wishes not met, then the order of the sockets.
*/

enum {
  TIER_WITHOUT,
  TIER_FAR,
  TIER_WISH,
  TIER_ORDER,
  TIERS,
  STARTS = 6,
  STARTS_SMALL = 200,
  SMALL = 16,
  SWEEPS = 12
};

typedef struct {
  Arena* arena;
  const Plant* plant;
  const bool* blocked;
  bool anew;
  bool* fixed;  ///< [n_inputs]
  bool* pinned; ///< [n_inputs] fixed, or a vocal's own line
  int* line;    ///< [n_inputs] the plan so far
} Work;

const char*
daypatch_word(DaypatchWay way)
{
  static const char* const words[DAYPATCH_WAYS] = {"families", "order", "fewest"};
  return (unsigned)way < DAYPATCH_WAYS ? words[way] : "fewest";
}

bool
daypatch_of(const char* word, DaypatchWay* way)
{
  for (int i = 0; i < DAYPATCH_WAYS; ++i) {
    if (text_same(word, daypatch_word((DaypatchWay)i))) {
      *way = (DaypatchWay)i;
      return true;
    }
  }
  return false;
}

// ---- What must hold ----

// The next word of letters and digits; false at the end.
static bool
next_word(const char** at, const char** word, size_t* n)
{
  while (**at && !isalnum((unsigned char)**at)) {
    ++*at;
  }
  *word = *at;
  while (isalnum((unsigned char)**at)) {
    ++*at;
  }
  *n = (size_t)(*at - *word);
  return *n > 0;
}

static bool
has_word(const char* text, const char* word, size_t n)
{
  const char* at = text;
  const char* one = NULL;
  size_t n_one = 0;
  while (next_word(&at, &one, &n_one)) {
    bool same = n_one == n;
    for (size_t i = 0; same && i < n; ++i) {
      same = tolower((unsigned char)one[i]) == tolower((unsigned char)word[i]);
    }
    if (same) {
      return true;
    }
  }
  return false;
}

static bool
box_fits(const Box* box, const char* position)
{
  const char* at = position;
  const char* word = NULL;
  size_t n = 0;
  bool any = false;
  while (next_word(&at, &word, &n)) {
    any = true;
    if (!has_word(box->meaning, word, n)) {
      return false;
    }
  }
  return any;
}

bool
daypatch_is_near(const Plant* plant, const Input* input, int line)
{
  bool any = false; // A position that no box goes by binds nobody
  for (int b = 0; b < plant->n_boxes; ++b) {
    any = any || box_fits(&plant->boxes[b], input->position);
  }
  return !any || box_fits(&plant->boxes[plant->lines[line].box], input->position);
}

bool
daypatch_may_use(const Plant* plant, const bool blocked[], const Input* input, int line)
{
  const Line* const l = &plant->lines[line];
  const Kind* const kind = &plant->kinds[input->kind];
  const int desk = plant_phantom_desk(plant, line);
  bool heard = false;
  for (int d = 0; d < plant->n_desks; ++d) {
    heard = heard || l->desk_input[d] > 0;
  }
  return heard && !l->is_spare && !(blocked && blocked[line]) &&
         (kind->needs_phantom != ANSWER_YES || (desk >= 0 && l->desk_input[desk] > 0));
}

// A box on the floor and its jack lead stand where the player is.
static bool
must_be_near(const Plant* plant, const Input* input)
{
  const Kind* const kind = &plant->kinds[input->kind];
  return !kind->is_microphone && !kind->is_radio;
}

// The second plug of a Y-lead sits where its list says.
static bool
is_y_end(const Plant* plant, int act, int line)
{
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    if (input->act == act && input->y_line == plant->lines[line].number) {
      return true;
    }
  }
  return false;
}

static bool
is_allowed(const Work* w, int i, int line)
{
  const Input* const input = &w->plant->inputs[i];
  if (w->pinned[i]) {
    return w->line[i] == line;
  }
  for (int k = 0; k < w->plant->n_inputs; ++k) { // Nobody else gets what is another's for good
    if (w->pinned[k] && w->plant->inputs[k].act == input->act && w->line[k] == line) {
      return false;
    }
  }
  return !is_y_end(w->plant, input->act, line) &&
         daypatch_may_use(w->plant, w->blocked, input, line) &&
         (!must_be_near(w->plant, input) || daypatch_is_near(w->plant, input, line));
}

static bool
is_vocal(const Plant* plant, const Input* input)
{
  return has_word(input->source, "vocal", 5) ||
         has_word(plant->kinds[input->kind].name, "vocal", 5);
}

// Whether some input of an act has a line already.
static bool
is_taken(const Work* w, int act, int line)
{
  for (int i = 0; i < w->plant->n_inputs; ++i) {
    const Input* const input = &w->plant->inputs[i];
    if (input->act == act &&
        (w->line[i] == line || (input->y_line && plant_line(w->plant, input->y_line) == line))) {
      return true;
    }
  }
  return false;
}

// One line for a name in all acts that have it: the line a list gives it, or the first that is free
// in all of them, near its player first.
static void
pin_vocal(Work* w, int first)
{
  const Plant* const plant = w->plant;
  const char* const name = plant->inputs[first].source;
  int best = -1;
  for (int i = 0; i < plant->n_inputs && best < 0; ++i) {
    best = w->fixed[i] && text_same(plant->inputs[i].source, name) ? w->line[i] : -1;
  }
  for (int near = 1; near >= 0 && best < 0; --near) {
    for (int l = 0; l < plant->n_lines && best < 0; ++l) {
      bool good = true;
      for (int i = 0; i < plant->n_inputs && good; ++i) {
        const Input* const input = &plant->inputs[i];
        good = !text_same(input->source, name) || w->pinned[i] ||
               (is_allowed(w, i, l) && !is_taken(w, input->act, l) &&
                (!near || daypatch_is_near(plant, input, l)));
      }
      best = good ? l : -1;
    }
  }
  for (int i = 0; i < plant->n_inputs && best >= 0; ++i) {
    if (text_same(plant->inputs[i].source, name) && !w->pinned[i] && is_allowed(w, i, best) &&
        !is_taken(w, plant->inputs[i].act, best)) {
      w->line[i] = best;
      w->pinned[i] = true;
    }
  }
}

static void
pin(Work* w)
{
  const Plant* const plant = w->plant;
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    w->fixed[i] = w->pinned[i] = !w->anew && input->is_placed && input->line >= 0;
    w->line[i] = w->fixed[i] ? input->line : -1;
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    if (!w->pinned[i] && is_vocal(plant, &plant->inputs[i])) {
      pin_vocal(w, i);
    }
  }
}

// ---- Moves ----

static bool
serves(const Plant* plant, int was, int next)
{
  const Input* const a = &plant->inputs[was];
  const Input* const b = &plant->inputs[next];
  return (text_same(a->source, b->source) && a->kind == b->kind) || plugged_may_stay(a, b);
}

static int
input_at(const Plant* plant, const int line[], int act, int at)
{
  for (int i = 0; i < plant->n_inputs; ++i) {
    if (plant->inputs[i].act == act && line[i] == at) {
      return i;
    }
  }
  return -1;
}

static bool
is_moved(const Plant* plant, const int line[], int i)
{
  const int act = plant->inputs[i].act;
  const int was = act > 0 && line[i] >= 0 ? input_at(plant, line, act - 1, line[i]) : -1;
  return act > 0 && line[i] >= 0 && (was < 0 || !serves(plant, was, i));
}

static void
count(const Work* w, const int line[], Daypatch* out)
{
  const Plant* const plant = w->plant;
  out->n_moved = out->n_short = out->n_far = 0;
  for (int a = 0; a < plant->n_acts; ++a) {
    out->moved[a] = 0;
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    const int moved = is_moved(plant, line, i);
    out->moved[plant->inputs[i].act] += moved;
    out->n_moved += moved;
    out->n_short += line[i] < 0;
    out->n_far += line[i] >= 0 && !daypatch_is_near(plant, &plant->inputs[i], line[i]);
  }
}

// ---- One act by assignment ----

// What a source costs on a line: a wish, or the plugs moved against both neighbours.
typedef short (*CostOf)(const Work* w, const int line[], const int wish[], int i, int at);

static short
cost_of_wish(const Work* w, const int line[], const int wish[], int i, int at)
{
  (void)w;
  (void)line;
  return wish[i] != at;
}

static short
cost_of_moves(const Work* w, const int line[], const int wish[], int i, int at)
{
  const Plant* const plant = w->plant;
  const int act = plant->inputs[i].act;
  const int was = act > 0 ? input_at(plant, line, act - 1, at) : -1;
  const int next = act + 1 < plant->n_acts ? input_at(plant, line, act + 1, at) : -1;
  (void)wish;
  return (short)((act > 0 && (was < 0 || !serves(plant, was, i))) +
                 (next >= 0 && !serves(plant, i, next)));
}

// A row a source of the act, a column a line; what the neighbours keep in a socket that nobody gets
// counts the same whoever leaves it.
static Status
settle(const Work* w, int act, const int wish[], CostOf cost_of, int line[])
{
  const Plant* const plant = w->plant;
  const int n_lines = plant->n_lines;
  int n = 0;
  for (int i = 0; i < plant->n_inputs; ++i) {
    n += plant->inputs[i].act == act;
  }
  if (n == 0) {
    return STATUS_OK;
  }
  Arena* const arena = w->arena;
  const size_t n_cells = (size_t)n * (size_t)n_lines;
  unsigned char* const allowed = arena_array(arena, n_cells, 1);
  short* const cost = arena_array(arena, n_cells * TIERS, sizeof(short));
  short* const without = arena_array(arena, (size_t)n * TIERS, sizeof(short));
  int* const rows = arena_array(arena, (size_t)n, sizeof(int));
  if (!allowed || !cost || !without || !rows) {
    return STATUS_NO_MEMORY;
  }
  n = 0;
  for (int i = 0; i < plant->n_inputs; ++i) {
    if (plant->inputs[i].act == act) {
      rows[n++] = i;
    }
  }
  for (int r = 0; r < n; ++r) {
    without[r * TIERS + TIER_WITHOUT] = 1;
    for (int l = 0; l < n_lines; ++l) {
      const int i = rows[r];
      short* const c = &cost[(r * n_lines + l) * TIERS];
      allowed[r * n_lines + l] = is_allowed(w, i, l);
      c[TIER_FAR] = !daypatch_is_near(plant, &plant->inputs[i], l);
      c[TIER_WISH] = cost_of(w, line, wish, i, l);
      c[TIER_ORDER] = (short)l;
    }
  }
  const AssignProblem problem = {n, n_lines, TIERS, allowed, cost, without};
  Assignment found;
  Status st = STATUS_OK;
  TRY(st, assign_best(&problem, arena, &found));
  for (int r = 0; r < n; ++r) {
    line[rows[r]] = found.column[r];
  }
  return STATUS_OK;
}

// ---- The ways ----

static bool
is_free_for(const Work* w, const int wish[], int i, int line)
{
  for (int k = 0; k < w->plant->n_inputs; ++k) {
    const bool here = wish[k] == line || (w->pinned[k] && w->line[k] == line);
    if (k != i && w->plant->inputs[k].act == w->plant->inputs[i].act && here) {
      return false;
    }
  }
  return true;
}

static int
first_free(const Work* w, const int wish[], int i)
{
  for (int near = 1; near >= 0; --near) {
    for (int l = 0; l < w->plant->n_lines; ++l) {
      if (is_allowed(w, i, l) && is_free_for(w, wish, i, l) &&
          (!near || daypatch_is_near(w->plant, &w->plant->inputs[i], l))) {
        return l;
      }
    }
  }
  return -1;
}

static void
wish_in_order(const Work* w, int wish[])
{
  for (int i = 0; i < w->plant->n_inputs; ++i) {
    wish[i] = w->pinned[i] ? w->line[i] : -1;
  }
  for (int i = 0; i < w->plant->n_inputs; ++i) { // By act, then list order
    wish[i] = wish[i] >= 0 ? wish[i] : first_free(w, wish, i);
  }
}

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
  return next_word(&at, &word, &n) && next_word(&other_at, &other, &n_other) && n == n_other &&
         has_word(other, word, n) && text_same(a->position, b->position);
}

// The how-manieth of its family an input is in its act.
static int
place_in_family(const Plant* plant, int i)
{
  int n = 0;
  for (int k = 0; k < i; ++k) {
    n += plant->inputs[k].act == plant->inputs[i].act &&
         is_family(&plant->inputs[k], &plant->inputs[i]);
  }
  return n;
}

// The j-th of a family has one line in every act: the first that is allowed in all of them and that
// no other family has.
static void
wish_by_family(const Work* w, int wish[])
{
  const Plant* const plant = w->plant;
  for (int i = 0; i < plant->n_inputs; ++i) {
    wish[i] = w->pinned[i] ? w->line[i] : -1;
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    int best = -1;
    for (int l = 0; l < plant->n_lines && best < 0 && wish[i] < 0; ++l) {
      bool good = true;
      for (int k = 0; k < plant->n_inputs && good; ++k) {
        const bool mine = is_family(&plant->inputs[i], &plant->inputs[k]) &&
                          place_in_family(plant, k) == place_in_family(plant, i);
        good = mine ? wish[k] >= 0 ||
                        (is_allowed(w, k, l) && daypatch_is_near(plant, &plant->inputs[k], l))
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

static Status
by_wish(const Work* w, const int wish[], int line[])
{
  Status st = STATUS_OK;
  for (int a = 0; a < w->plant->n_acts; ++a) {
    TRY(st, settle(w, a, wish, cost_of_wish, line));
  }
  return STATUS_OK;
}

static bool
is_better(const Daypatch* a, const Daypatch* b)
{
  return a->n_short != b->n_short ? a->n_short < b->n_short : a->n_moved < b->n_moved;
}

// Act by act against both neighbours, there and back, until nothing gets better.
static Status
improve(const Work* w, int line[], Daypatch* at)
{
  const Plant* const plant = w->plant;
  const size_t bytes = (size_t)plant->n_inputs * sizeof(int);
  int* const kept = arena_array(w->arena, (size_t)plant->n_inputs, sizeof(int));
  if (!kept) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  count(w, line, at);
  for (int sweep = 0; sweep < SWEEPS; ++sweep) {
    bool any = false;
    for (int k = 0; k < 2 * plant->n_acts; ++k) {
      const int act = k < plant->n_acts ? k : 2 * plant->n_acts - 1 - k;
      Daypatch now = *at;
      memcpy(kept, line, bytes);
      TRY(st, settle(w, act, NULL, cost_of_moves, line));
      count(w, line, &now);
      if (is_better(&now, at)) {
        any = true;
        *at = now;
      } else if (is_better(at, &now)) {
        memcpy(line, kept, bytes);
      }
    }
    if (!any) {
      break;
    }
  }
  count(w, line, at);
  return STATUS_OK;
}

// Each changeover by itself: the most plugs that could stay if sockets were no matter.
static Status
least_moves(const Work* w, int n_short, int* least)
{
  const Plant* const plant = w->plant;
  Status st = STATUS_OK;
  int sum = 0;
  for (int act = 1; act < plant->n_acts; ++act) {
    int first[2] = {-1, -1};
    int n[2] = {0, 0};
    for (int i = 0; i < plant->n_inputs; ++i) {
      for (int k = 0; k < 2; ++k) {
        if (plant->inputs[i].act == act - 1 + k) {
          first[k] = first[k] < 0 ? i : first[k];
          ++n[k];
        }
      }
    }
    if (n[0] == 0 || n[1] == 0) {
      sum += n[1];
      continue;
    }
    const size_t n_cells = (size_t)n[1] * (size_t)n[0];
    unsigned char* const allowed = arena_array(w->arena, n_cells, 1);
    short* const cost = arena_array(w->arena, n_cells, sizeof(short));
    short* const without = arena_array(w->arena, (size_t)n[1], sizeof(short));
    if (!allowed || !cost || !without) {
      return STATUS_NO_MEMORY;
    }
    for (int r = 0; r < n[1]; ++r) {
      without[r] = 1;
      for (int c = 0; c < n[0]; ++c) {
        const int next = first[1] + r;
        const int was = first[0] + c;
        bool both = false;
        for (int l = 0; l < plant->n_lines && !both; ++l) {
          both = is_allowed(w, next, l) && is_allowed(w, was, l);
        }
        allowed[r * n[0] + c] = both && serves(plant, was, next);
      }
    }
    const AssignProblem problem = {n[1], n[0], 1, allowed, cost, without};
    Assignment found;
    TRY(st, assign_best(&problem, w->arena, &found));
    sum += found.n_without;
  }
  *least = sum > n_short ? sum - n_short : 0; // What has no socket is not moved
  return STATUS_OK;
}

static Status
fewest(const Work* w, int line[], Daypatch* out)
{
  const Plant* const plant = w->plant;
  const size_t n = (size_t)plant->n_inputs;
  int* const wish = arena_array(w->arena, n, sizeof(int));
  int* const now = arena_array(w->arena, n, sizeof(int));
  int* const moved[2] = {out->moved, arena_array(w->arena, (size_t)plant->n_acts, sizeof(int))};
  if (!wish || !now || !moved[1]) {
    return STATUS_NO_MEMORY;
  }
  Rng rng;
  Status st = STATUS_OK;
  Daypatch best = {.n_short = -1};
  rng_init(&rng, 1);
  // A small day is searched from many more starts: there one is soon done
  const int n_starts = plant->n_inputs <= SMALL ? STARTS_SMALL : STARTS;
  for (int start = 0; start < n_starts && (best.n_short < 0 || best.n_moved > out->least);
       ++start) {
    Daypatch at = {.moved = moved[1]};
    if (start < 2) { // Both other ways, then chance
      (start == 0 ? wish_by_family : wish_in_order)(w, wish);
    } else {
      for (size_t i = 0; i < n; ++i) {
        wish[i] = rng_below(&rng, plant->n_lines);
      }
    }
    for (size_t i = 0; i < n; ++i) {
      now[i] = -1;
    }
    TRY(st, by_wish(w, wish, now));
    TRY(st, improve(w, now, &at));
    if (best.n_short < 0 || is_better(&at, &best)) {
      best = at;
      memcpy(line, now, n * sizeof(int));
      TRY(st, least_moves(w, best.n_short, &out->least));
    }
  }
  return STATUS_OK;
}

Status
daypatch_plan(Arena* arena, const Plant* plant, const bool blocked[], bool anew, DaypatchWay way,
              Daypatch* patch)
{
  const size_t n = (size_t)plant->n_inputs;
  Work w = {arena, plant, blocked, anew, NULL, NULL, NULL};
  Daypatch out = {0};
  w.fixed = arena_array(arena, n, sizeof(bool));
  w.pinned = arena_array(arena, n, sizeof(bool));
  w.line = arena_array(arena, n, sizeof(int));
  out.line = arena_array(arena, n, sizeof(int));
  out.moved = arena_array(arena, (size_t)plant->n_acts + 1, sizeof(int));
  int* const wish = arena_array(arena, n, sizeof(int));
  if (!w.fixed || !w.pinned || !w.line || !out.line || !out.moved || !wish) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  pin(&w);
  for (size_t i = 0; i < n; ++i) {
    out.line[i] = -1;
  }
  if (way == DAYPATCH_FEWEST) {
    TRY(st, fewest(&w, out.line, &out));
  } else {
    (way == DAYPATCH_FAMILIES ? wish_by_family : wish_in_order)(&w, wish);
    TRY(st, by_wish(&w, wish, out.line));
  }
  count(&w, out.line, &out);
  TRY(st, least_moves(&w, out.n_short, &out.least));
  out.fixed = w.fixed;
  *patch = out;
  return STATUS_OK;
}

int
daypatch_sharer(const Plant* plant, int i)
{
  const Input* const input = &plant->inputs[i];
  const size_t n = strlen(input->source);
  if (n < 3 || input->source[n - 2] != ' ' || toupper((unsigned char)input->source[n - 1]) != 'L') {
    return -1;
  }
  for (int k = 0; k < plant->n_inputs; ++k) {
    const Input* const other = &plant->inputs[k];
    if (other->act == input->act && strlen(other->source) == n &&
        !strncmp(other->source, input->source, n - 1) &&
        toupper((unsigned char)other->source[n - 1]) == 'R') {
      return k;
    }
  }
  return -1;
}
