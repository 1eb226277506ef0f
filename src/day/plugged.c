// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/plugged.h"

#include "base/text.h"
#include "day/situation.h"
#include "fault/paper.h"

#include <stdlib.h>
#include <string.h>

/*
  Plugs are listed once: those of the act before in its order, then what comes new, then what was
  told and stands on neither list. Facts are read in the order of the log; a plug that is told to be
  in one socket is out of the one it was in.
*/

static const char* const step_words[CHANGE_STEP_COUNT] = {
#define CHANGE_STEP_WORD(name, word) word,
  CHANGE_STEP_LIST(CHANGE_STEP_WORD)
#undef CHANGE_STEP_WORD
};

const char*
change_step_word(ChangeStepSort sort)
{
  return (unsigned)sort < CHANGE_STEP_COUNT ? step_words[sort] : "unknown";
}

bool
change_step_is_of_desk(ChangeStepSort sort)
{
  return sort <= CHANGE_STEP_ON;
}

bool
change_step_of(const char* word, ChangeStepSort* sort)
{
  for (int i = 0; word && i < CHANGE_STEP_COUNT; ++i) {
    if (text_same(word, step_words[i])) {
      *sort = (ChangeStepSort)i;
      return true;
    }
  }
  return false;
}

const char*
plugged_name(const Plug* plug)
{
  return plug->next ? plug->next->source : plug->was ? plug->was->source : plug->stranger;
}

static bool
same_in_line(const Input* a, const Input* b)
{
  bool same = a->kind == b->kind && a->n_through == b->n_through && !a->y_line == !b->y_line &&
              a->y_kind == b->y_kind;
  for (int i = 0; same && i < a->n_through; ++i) {
    same = a->through[i] == b->through[i];
  }
  return same;
}

bool
plugged_may_stay(const Input* was, const Input* next)
{
  const bool is_near =
    !was->position[0] || !next->position[0] || text_same(was->position, next->position);
  // Their own microphone leaves with them
  const bool is_own = text_begins(was->stand, "own") || text_begins(next->stand, "own");
  return same_in_line(was, next) && is_near && !is_own;
}

// ---- Plugs ----

typedef struct {
  const Plant* plant;
  Plugged* p;
  int room;
} Work;

static int
add_plug(Work* w, Plug plug)
{
  if (w->p->n_plugs == w->room) {
    return -1;
  }
  w->p->before_at[w->p->n_plugs] = -1;
  w->p->now_at[w->p->n_plugs] = -1;
  w->p->plugs[w->p->n_plugs] = plug;
  return w->p->n_plugs++;
}

// The second plug of a Y-lead: the socket it is in by the list.
static int
listed_line(const Plant* plant, const Input* input, int leg)
{
  return leg == 0 ? input->line : plant_line(plant, input->y_line);
}

static void
put(int* at, int* where, int line, int plug)
{
  if (line < 0) {
    return;
  }
  if (at[line] >= 0) {
    where[at[line]] = -1;
  }
  if (plug >= 0 && where[plug] >= 0) {
    at[where[plug]] = -1;
  }
  at[line] = plug;
  if (plug >= 0) {
    where[plug] = line;
  }
}

static void
add_before(Work* w)
{
  const Plant* const plant = w->plant;
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    for (int leg = 0; input->act == w->p->from && leg < (input->y_line ? 2 : 1); ++leg) {
      const int plug = add_plug(w, (Plug){.was = input, .leg = leg});
      put(w->p->before, w->p->before_at, listed_line(plant, input, leg), plug);
    }
  }
}

static void
add_next(Work* w)
{
  const Plant* const plant = w->plant;
  const int n_before = w->p->n_plugs;
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    for (int leg = 0; input->act == w->p->to && leg < (input->y_line ? 2 : 1); ++leg) {
      int same = -1;
      for (int k = 0; same < 0 && k < n_before; ++k) {
        Plug* const plug = &w->p->plugs[k];
        same = !plug->next && plug->leg == leg && text_same(plug->was->source, input->source) &&
                   same_in_line(plug->was, input)
                 ? k
                 : -1;
      }
      if (same >= 0) {
        w->p->plugs[same].next = input;
      } else {
        (void)add_plug(w, (Plug){.next = input, .leg = leg});
      }
    }
  }
}

// The plug that is called so: before the change by the list of the act before, else by that of the
// act after first; `line` helps where a name stands twice.
static int
plug_of(Work* w, const char* source, int line, bool is_before)
{
  int best = -1;
  int best_rank = 0;
  for (int i = 0; i < w->p->n_plugs; ++i) {
    const Plug* const plug = &w->p->plugs[i];
    const bool next = !is_before && plug->next && text_same(plug->next->source, source);
    const bool was = plug->was && text_same(plug->was->source, source);
    const Input* const input = next ? plug->next : plug->was;
    const int rank = plug->stranger ? (text_same(plug->stranger, source) ? 1 : 0)
                     : !next && !was
                       ? 0
                       : (next ? 4 : 2) + (listed_line(w->plant, input, plug->leg) == line);
    if (rank > best_rank) {
      best = i;
      best_rank = rank;
    }
  }
  return best >= 0 ? best : add_plug(w, (Plug){.stranger = source});
}

// ---- Facts ----

static bool
is_act(const Plant* plant, int act, const char* name)
{
  return act < 0 ? name && (!name[0] || text_same(name, "bare lines"))
                 : name && text_same(name, plant->acts[act].name);
}

bool
plugged_is_of(const Plant* plant, const FoldFact* f, int from, int to)
{
  return f->body.from && is_act(plant, from, f->body.from) && is_act(plant, to, f->body.act);
}

bool
plugged_names_line(const Plant* plant, const FoldFact* f, int line)
{
  for (const char* at = f->body.detail ? f->body.detail : ""; *at;) {
    char* end = NULL;
    const long number = strtol(at, &end, 10);
    if (end == at) {
      break;
    }
    if (number == plant->lines[line].number) {
      return true;
    }
    at = end;
  }
  return false;
}

static int
socket_of(const Plant* plant, const char* place)
{
  int line = -1;
  int desk = -1;
  return place && situation_place(plant, place, &line, &desk) && desk < 0 ? line : -1;
}

static void
take_plug(Work* w, int* at, int* where, const FoldFact* f)
{
  const FactBody* const b = &f->body;
  int line = -1;
  int plug = -1;
  if (f->fact.kind == FACT_PLUGGED) {
    line = socket_of(w->plant, b->place);
    plug = line >= 0 && b->what && b->what[0] ? plug_of(w, b->what, line, at == w->p->before) : -1;
  } else { // A line that runs on another socket took its plug along; a live spare did not
    const int own = plant_line(w->plant, b->line);
    const Input* const to = own >= 0 ? plant_input(w->plant, w->p->to, own) : NULL;
    const Input* const from = own >= 0 ? plant_input(w->plant, w->p->from, own) : NULL;
    const Input* const input = at == w->p->before ? from : to;
    line = !input ? -1 : b->way[0] ? socket_of(w->plant, b->way) : own;
    plug = line >= 0 ? plug_of(w, input->source, own, at == w->p->before) : -1;
    line = plug >= 0 ? line : -1;
  }
  put(at, where, line, plug);
  if (line >= 0 && at == w->p->now) {
    w->p->told[line] = f;
  }
}

// What is said of one line.
static void
take_line(Work* w, const FoldFact* f, ChangeStepSort sort, int desk, int line)
{
  Plugged* const p = w->p;
  const int here = desk * w->plant->n_lines + line;
  switch (sort) {
    case CHANGE_STEP_MUTE:
    case CHANGE_STEP_HEARD_MUTE:
      p->muted[here] = f;
      break;
    case CHANGE_STEP_PATCH:
      p->patched[here] = f;
      break;
    case CHANGE_STEP_OFF:
    case CHANGE_STEP_HEARD_OFF:
    case CHANGE_STEP_ON:
      p->fed[line] = sort == CHANGE_STEP_ON;
      p->fed_by[line] = f;
      break;
    case CHANGE_STEP_ANYWAY:
      p->anyway[line] = f;
      break;
    case CHANGE_STEP_TAKE:
      p->taken[line] = f;
      break;
    default:
      break;
  }
}

// What is said of each of "17 18 19".
static void
take_step(Work* w, const FoldFact* f)
{
  const FactBody* const b = &f->body;
  const int desk = b->at ? plant_desk(w->plant, b->at) : -1;
  ChangeStepSort sort;
  if (!change_step_of(b->step, &sort) ||
      (desk < 0 && sort != CHANGE_STEP_ANYWAY && sort != CHANGE_STEP_TAKE)) {
    return;
  }
  for (int l = 0; l < w->plant->n_lines; ++l) {
    if (plugged_names_line(w->plant, f, l)) {
      take_line(w, f, sort, desk, l);
    }
  }
}

// From which place of the log on facts belong to this change; *known says whether the log itself
// says when the act before began.
static size_t
begin_of(const Plant* plant, const Fold* fold, int from, int to, bool* known)
{
  size_t begin = 0;
  *known = false;
  for (size_t i = 0; i < fold->all.n_facts; ++i) {
    const FoldFact* const f = fold->all.facts[i];
    const bool anew = f->fact.kind == FACT_CHANGE_STEP && plugged_is_of(plant, f, from, to) &&
                      text_same(f->body.step, step_words[CHANGE_STEP_BEGIN]);
    const bool in_force = f->fact.kind == FACT_ACT_IN_FORCE && is_act(plant, from, f->body.act);
    if (f->in_force && (anew || in_force)) {
      begin = i;
      *known = true;
    }
  }
  return begin;
}

// Back on its own way counts where the change says so: then the plug is in its own socket again.
static bool
is_plug_fact(const FoldFact* f)
{
  return f->in_force && (f->fact.kind == FACT_PLUGGED ||
                         (f->fact.kind == FACT_MOVED && (f->body.way[0] || f->body.from)));
}

static void
take_facts(Work* w, const Fold* fold)
{
  const Plant* const plant = w->plant;
  bool known = false;
  const size_t begin = begin_of(plant, fold, w->p->from, w->p->to, &known);
  w->p->begin = begin;
  // As the act before really was, whatever the change made of it is told under the act after
  for (size_t i = 0; i < fold->all.n_facts && w->p->from >= 0; ++i) {
    const FoldFact* const f = fold->all.facts[i];
    if (is_plug_fact(f) && is_act(plant, w->p->from, f->body.act)) {
      take_plug(w, w->p->before, w->p->before_at, f);
    }
  }
  memcpy(w->p->now, w->p->before, (size_t)plant->n_lines * sizeof(int));
  memcpy(w->p->now_at, w->p->before_at, (size_t)w->p->n_plugs * sizeof(int));
  for (size_t i = begin; i < fold->all.n_facts; ++i) {
    const FoldFact* const f = fold->all.facts[i];
    const bool named = f->in_force && plugged_is_of(plant, f, w->p->from, w->p->to);
    if (is_plug_fact(f) &&
        (named || (known && !f->body.from && is_act(plant, w->p->to, f->body.act)))) {
      take_plug(w, w->p->now, w->p->now_at, f);
    } else if (named && f->fact.kind == FACT_CHANGE_STEP) {
      take_step(w, f);
    }
  }
}

// ---- Cables ----

// The tag the lists have for what a socket holds now; "" = none.
static const char*
tag_at(const Work* w, int line)
{
  const int at = w->p->now[line];
  const Plug* const plug = at >= 0 ? &w->p->plugs[at] : NULL;
  const Input* const input = !plug ? NULL : plug->was ? plug->was : plug->next;
  return input ? input->cable : "";
}

// Whether something was told plugged in a socket after a fact: then it hangs on another cable.
static bool
is_plugged_since(const Plant* plant, const Fold* fold, int line, int64_t seq)
{
  for (size_t i = fold->all.n_facts; i-- > 0 && fold->all.facts[i]->fact.seq > seq;) {
    const FoldFact* const f = fold->all.facts[i];
    const FactBody* const b = &f->body;
    const char* const place = f->fact.kind == FACT_PLUGGED ? b->place : b->way;
    if (is_plug_fact(f) && place && place[0] && socket_of(plant, place) == line) {
      return true;
    }
    if (is_plug_fact(f) && f->fact.kind == FACT_MOVED && !b->way[0] &&
        plant_line(plant, b->line) == line) {
      return true;
    }
  }
  return false;
}

static void
take_cables(Work* w, const Fold* fold)
{
  const Plant* const plant = w->plant;
  for (size_t i = 0; i < fold->taped_off.n_facts; ++i) {
    const FoldFact* const f = fold->taped_off.facts[i];
    const char* const item = f->body.item;
    const int named = text_begins(item, "cable ") ? socket_of(plant, item + 6) : -1;
    for (int l = 0; l < plant->n_lines; ++l) {
      const char* const tag = tag_at(w, l);
      const bool is_it = l == named || (tag[0] && text_same(tag, item));
      w->p->cabled[l] = w->p->cabled[l] || is_it;
      if (is_it && !is_plugged_since(plant, fold, l, f->fact.seq)) {
        w->p->dead[l] = item;
      }
    }
  }
}

static void
take_phantom(Work* w)
{
  const Plant* const plant = w->plant;
  for (int l = 0; l < plant->n_lines; ++l) {
    const int plug = w->p->before[l];
    const Input* const input = plug >= 0 ? w->p->plugs[plug].was : NULL;
    const DeskRow* const row = plant_desk_row(plant, w->p->from, plant_phantom_desk(plant, l), l);
    // By the list, or by what the desk is known to have
    w->p->fed[l] =
      (input && (paper_needs_phantom(plant, input) ||
                 (!plant_is_harmful(plant, input) && input->wants_phantom == ANSWER_YES))) ||
      (row && row->gives_phantom == ANSWER_YES);
  }
}

Status
plugged_now(Arena* arena, const Plant* plant, const Fold* fold, int from, int to, Plugged* plugged)
{
  static const Fold nothing;
  const Fold* const facts = fold ? fold : &nothing;
  const size_t n_lines = (size_t)plant->n_lines;
  const size_t n_desk = n_lines * (size_t)plant->n_desks;
  Plugged out = {.from = from, .to = to};
  size_t room = 0;
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    room += input->act == from || input->act == to ? (input->y_line ? 2 : 1) : 0;
  }
  for (size_t i = 0; i < facts->all.n_facts; ++i) {
    room += is_plug_fact(facts->all.facts[i]); // Each may name a stranger
  }
  Work w = {plant, &out, (int)room};
  out.plugs = arena_array(arena, room, sizeof(*out.plugs));
  out.before_at = arena_array(arena, room, sizeof(int));
  out.now_at = arena_array(arena, room, sizeof(int));
  out.before = arena_array(arena, n_lines, sizeof(int));
  out.now = arena_array(arena, n_lines, sizeof(int));
  out.told = arena_array(arena, n_lines, sizeof(FoldFact*));
  out.muted = arena_array(arena, n_desk, sizeof(FoldFact*));
  out.patched = arena_array(arena, n_desk, sizeof(FoldFact*));
  out.fed_by = arena_array(arena, n_lines, sizeof(FoldFact*));
  out.fed = arena_array(arena, n_lines, sizeof(bool));
  out.anyway = arena_array(arena, n_lines, sizeof(FoldFact*));
  out.taken = arena_array(arena, n_lines, sizeof(FoldFact*));
  out.dead = arena_array(arena, n_lines, sizeof(char*));
  out.cabled = arena_array(arena, n_lines, sizeof(bool));
  if (!out.plugs || !out.before_at || !out.now_at || !out.before || !out.now || !out.told ||
      !out.muted || !out.patched || !out.fed_by || !out.fed || !out.anyway || !out.taken ||
      !out.dead || !out.cabled) {
    return STATUS_NO_MEMORY;
  }
  for (size_t l = 0; l < n_lines; ++l) {
    out.before[l] = -1;
  }
  add_before(&w);
  add_next(&w);
  take_phantom(&w);
  take_facts(&w, facts);
  take_cables(&w, facts);
  *plugged = out;
  return STATUS_OK;
}
