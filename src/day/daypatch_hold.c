// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/daypatch_build.h"
#include "day/need.h"

#include <ctype.h>
#include <string.h>

/*
  What must hold, whichever way a day is patched.

  All that two names can say to each other is worked out once into tables (`near`, `may`), for the
  assignment asks for each cell of each act many times.

  A voice's one line is looked for after what lists give: near its player first, then from the
  lowest socket. Each act's loss (what is needed and left out) with the line held must be what it is
  with no line held; where no line does that, the one that holds in most acts is held in those.
*/

bool
daypatch_hold_word(const char** at, const char** word, size_t* n)
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

bool
daypatch_hold_has_word(const char* text, const char* word, size_t n)
{
  const char* at = text;
  const char* one = NULL;
  size_t n_one = 0;
  while (daypatch_hold_word(&at, &one, &n_one)) {
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

// ---- A source and a line ----

static bool
box_fits(const Box* box, const char* position)
{
  const char* at = position;
  const char* word = NULL;
  size_t n = 0;
  bool any = false;
  while (daypatch_hold_word(&at, &word, &n)) {
    any = true;
    if (!daypatch_hold_has_word(box->meaning, word, n)) {
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

bool
daypatch_hold_allows(const DaypatchBuild* b, int input, int line)
{
  const int n_lines = b->plant->n_lines;
  const int holder = b->holder[b->plant->inputs[input].act * n_lines + line];
  // Nobody else gets what is another's for good
  return b->pinned[input] ? b->line[input] == line : holder < 0 && b->may[input * n_lines + line];
}

// ---- What lists give ----

static Status
take_room(DaypatchBuild* b)
{
  const size_t n = (size_t)b->plant->n_inputs;
  const size_t n_lines = (size_t)b->plant->n_lines;
  b->fixed = arena_array(b->arena, n, sizeof(bool));
  b->pinned = arena_array(b->arena, n, sizeof(bool));
  b->line = arena_array(b->arena, n, sizeof(int));
  b->need = arena_array(b->arena, n, sizeof(int));
  b->is_voice = arena_array(b->arena, n, sizeof(bool));
  b->near = arena_array(b->arena, n * n_lines, sizeof(bool));
  b->may = arena_array(b->arena, n * n_lines, sizeof(bool));
  b->holder = arena_array(b->arena, (size_t)b->plant->n_acts * n_lines, sizeof(int));
  return b->fixed && b->pinned && b->line && b->need && b->is_voice && b->near && b->may &&
             b->holder
           ? STATUS_OK
           : STATUS_NO_MEMORY;
}

static void
pin(DaypatchBuild* b, int input, int line)
{
  b->line[input] = line;
  b->pinned[input] = true;
  b->holder[b->plant->inputs[input].act * b->plant->n_lines + line] = input;
}

static void
unpin(DaypatchBuild* b, int input)
{
  b->holder[b->plant->inputs[input].act * b->plant->n_lines + b->line[input]] = -1;
  b->line[input] = -1;
  b->pinned[input] = false;
}

Status
daypatch_hold_init(DaypatchBuild* b)
{
  const Plant* const plant = b->plant;
  Status st = STATUS_OK;
  TRY(st, take_room(b));
  for (int k = 0; k < plant->n_acts * plant->n_lines; ++k) {
    b->holder[k] = -1;
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    const int y_line = input->y_line ? plant_line(plant, input->y_line) : -1;
    b->line[i] = -1;
    b->need[i] = need_of(plant, input);
    b->is_voice[i] = need_is_voice(plant, input);
    for (int l = 0; l < plant->n_lines; ++l) {
      const bool is_near = daypatch_is_near(plant, input, l);
      b->near[i * plant->n_lines + l] = is_near;
      b->may[i * plant->n_lines + l] = daypatch_may_use(plant, b->options->blocked, input, l) &&
                                       (is_near || !must_be_near(plant, input));
    }
    if (y_line >= 0) { // The second plug of a Y-lead sits where its list says
      b->holder[input->act * plant->n_lines + y_line] = plant->n_inputs;
    }
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    b->fixed[i] = !b->options->anew && input->is_placed && input->line >= 0;
    if (b->fixed[i]) {
      pin(b, i, input->line);
    }
  }
  return STATUS_OK;
}

// ---- A voice's one line ----

static bool
has_name(const DaypatchBuild* b, int input, int name)
{
  return text_same(b->plant->inputs[input].source, b->plant->inputs[name].source);
}

// The open input of a name in its act; a list that has a name twice binds the first alone.
static bool
is_open(const DaypatchBuild* b, int input, int name)
{
  bool open = has_name(b, input, name) && !b->pinned[input];
  for (int k = 0; k < input && open; ++k) {
    open = b->plant->inputs[k].act != b->plant->inputs[input].act || !has_name(b, k, name);
  }
  return open;
}

// In how many acts a name could have a line; -1 = not in all that have it open.
static int
n_open(const DaypatchBuild* b, int name, int line, bool near)
{
  int n = 0;
  for (int i = 0; i < b->plant->n_inputs; ++i) {
    if (is_open(b, i, name)) {
      if (!daypatch_hold_allows(b, i, line) || (near && !b->near[i * b->plant->n_lines + line])) {
        return -1;
      }
      ++n;
    }
  }
  return n;
}

// Pins the name to a line wherever that costs nobody his socket. @param[out] n_held in so many.
static Status
try_line(DaypatchBuild* b, int name, int line, const long base[], int* n_held)
{
  Status st = STATUS_OK;
  *n_held = 0;
  for (int i = 0; i < b->plant->n_inputs; ++i) {
    long lost = 0;
    if (!is_open(b, i, name) || !daypatch_hold_allows(b, i, line)) {
      continue;
    }
    pin(b, i, line);
    TRY(st, daypatch_act(b, b->plant->inputs[i].act, NULL, NULL, NULL, &lost));
    if (lost > base[b->plant->inputs[i].act]) {
      unpin(b, i);
    } else {
      ++*n_held;
    }
  }
  return STATUS_OK;
}

static void
let_go(DaypatchBuild* b, int name, int line)
{
  for (int i = 0; i < b->plant->n_inputs; ++i) {
    if (has_name(b, i, name) && b->pinned[i] && !b->fixed[i] && b->line[i] == line) {
      unpin(b, i);
    }
  }
}

// The line a list gives the name, else the first that costs nobody anything in any act, else the
// one that does so in most.
static Status
pin_name(DaypatchBuild* b, int name, const long base[])
{
  const int n_lines = b->plant->n_lines;
  Status st = STATUS_OK;
  int best = -1;
  int best_n = 0;
  int n = 0;
  for (int i = 0; i < b->plant->n_inputs; ++i) {
    if (b->fixed[i] && has_name(b, i, name)) {
      return try_line(b, name, b->line[i], base, &n);
    }
  }
  for (int pass = 0; pass < 3; ++pass) { // Near in all acts, open in all, open in some
    for (int l = 0; l < n_lines; ++l) {
      const int n_want = n_open(b, name, l, pass == 0);
      if (pass < 2 && n_want <= 0) {
        continue;
      }
      TRY(st, try_line(b, name, l, base, &n));
      if (pass < 2 && n == n_want) {
        return STATUS_OK;
      }
      let_go(b, name, l);
      if (n > best_n) {
        best = l;
        best_n = n;
      }
    }
  }
  return best >= 0 ? try_line(b, name, best, base, &n) : STATUS_OK;
}

Status
daypatch_hold_voices(DaypatchBuild* b)
{
  const Plant* const plant = b->plant;
  long* const base = arena_array(b->arena, (size_t)plant->n_acts + 1, sizeof(long));
  bool* const is_tried = arena_array(b->arena, (size_t)plant->n_inputs, sizeof(bool));
  Status st = STATUS_OK;
  if (!base || !is_tried) {
    return STATUS_NO_MEMORY;
  }
  for (int a = 0; a < plant->n_acts; ++a) {
    TRY(st, daypatch_act(b, a, NULL, NULL, NULL, &base[a]));
  }
  for (int need = NEEDED_MUST; need > 0; --need) { // Who is missed most chooses first
    for (int i = 0; i < plant->n_inputs; ++i) {
      if (!b->is_voice[i] || b->need[i] != need || b->pinned[i] || is_tried[i]) {
        continue;
      }
      for (int k = 0; k < plant->n_inputs; ++k) {
        is_tried[k] = is_tried[k] || has_name(b, k, i);
      }
      TRY(st, pin_name(b, i, base));
    }
  }
  return STATUS_OK;
}
