// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/loan.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

/*
  One run of facts for each line and act: the newest decides. When it gives the line back, the one
  before it says what there is to put back, and only those desks are asked that had followed it.

  Names of ways are loan_name.c, sentences loan_say.c.
*/

static int
act_of(const Plant* plant, const FactBody* body)
{
  return body->act && body->act[0] ? plant_act(plant, body->act) : -1;
}

static bool
is_of(const FoldFact* f, const FactBody* body)
{
  return f->in_force && f->fact.kind == FACT_MOVED && f->body.line == body->line &&
         text_same(f->body.act ? f->body.act : "", body->act ? body->act : "");
}

// The desk a word of a fact names; the place of the teller where it names none.
static int
desk_of(const Plant* plant, const FoldFact* f, const char* word)
{
  const int desk = word && word[0] ? plant_desk(plant, word) : -1;
  return desk >= 0 || (word && word[0]) || !f->fact.place[0] ? desk
                                                             : plant_desk(plant, f->fact.place);
}

// "17 18 19": whether a number is among them.
static bool
has_number(const char* numbers, int number)
{
  for (const char* at = numbers ? numbers : ""; *at;) {
    const size_t n = strspn(at, "0123456789");
    char text[16];
    int one = 0;
    (void)snprintf(text, sizeof(text), "%.*s", (int)(n < 10 ? n : 10), at);
    if (n > 0 && text_whole(text, 1, FACT_LINE_MAX, &one) && one == number) {
      return true;
    }
    at += n > 0 ? n : 1;
  }
  return false;
}

// A desk that says, within a change between acts, that it has patched the line.
static bool
is_patched(const Plant* plant, const FoldFact* f, const Loan* loan)
{
  const FactBody* const b = &f->body;
  return f->fact.kind == FACT_CHANGE_STEP && b->step && text_same(b->step, "patch") && b->act &&
         plant_act(plant, b->act) == loan->act &&
         (has_number(b->detail, plant->lines[loan->line].number) ||
          has_number(b->detail, plant->lines[loan->to].number));
}

static void
set_followed(const Plant* plant, const Fold* fold, Loan* loan)
{
  for (size_t i = 0; i < fold->all.n_facts; ++i) {
    const FoldFact* const f = fold->all.facts[i];
    const FactBody* const b = &f->body;
    if (!f->in_force || f->fact.seq <= loan->seq) {
      continue;
    }
    int desk = -1;
    if (f->fact.kind == FACT_STEP_DONE && plant_line(plant, b->line) == loan->line && b->step &&
        text_begins(b->step, "way ") &&
        text_same(b->step + 4, loan->sort == WAY_NONE ? "back" : loan->way)) {
      desk = desk_of(plant, f, b->at);
    } else if (is_patched(plant, f, loan)) {
      desk = b->at ? plant_desk(plant, b->at) : -1;
    } else if (f->fact.kind == FACT_DESK_READ && (loan->act < 0 || act_of(plant, b) == loan->act)) {
      const int line = plant_line(plant, b->line);
      desk = line == loan->line || line == loan->to ? plant_desk(plant, b->desk) : -1;
    }
    if (desk >= 0 && desk < PLANT_DESKS) {
      loan->followed[desk] = true;
      loan->was_read[desk] = loan->was_read[desk] || f->fact.kind == FACT_DESK_READ;
    }
  }
}

// Desks that told which list they hold after a move: they may hold it as it was then.
static bool
told_what_it_holds(const Plant* plant, const Fold* fold, const Loan* loan, int desk)
{
  bool told = false;
  for (size_t i = 0; i < fold->all.n_facts; ++i) {
    const FoldFact* const f = fold->all.facts[i];
    told = told || (f->in_force && f->fact.kind == FACT_HOLDS && f->fact.seq > loan->seq &&
                    plant_desk(plant, f->body.desk) == desk);
  }
  return told;
}

// What a fact that gives a line back leaves to do: for every desk that may have followed any of the
// ways it ran on since it was at home. False when there is nothing.
static bool
read_back(const Plant* plant, const Fold* fold, const FoldFact* back, Loan* loan)
{
  const int act = act_of(plant, &back->body);
  const int line = plant_line(plant, back->body.line);
  bool concerns[PLANT_DESKS] = {false};
  bool any = false;
  Loan out = {.sort = WAY_NONE};
  for (size_t i = 0; i < fold->all.n_facts; ++i) {
    const FoldFact* const f = fold->all.facts[i];
    if (!is_of(f, &back->body) || f->fact.seq >= back->fact.seq) {
      continue;
    }
    if (!loan_read(plant, act, line, f->body.way, &out)) { // Home again, or a way of other lists
      memset(concerns, 0, sizeof(concerns));
      out.sort = WAY_NONE;
      continue;
    }
    out.seq = f->fact.seq;
    set_followed(plant, fold, &out);
    for (int d = 0; d < plant->n_desks; ++d) {
      concerns[d] = concerns[d] || (out.concerns[d] &&
                                    (out.followed[d] || told_what_it_holds(plant, fold, &out, d)));
    }
  }
  if (out.sort == WAY_NONE) {
    return false;
  }
  for (int d = 0; d < PLANT_DESKS; ++d) {
    out.concerns[d] = concerns[d];
    out.followed[d] = false;
    out.was_read[d] = false;
    any = any || concerns[d];
  }
  out.sort = WAY_NONE;
  out.id = back->fact.id;
  out.seq = back->fact.seq;
  set_followed(plant, fold, &out);
  *loan = out;
  return any;
}

static bool
is_newest(const Fold* fold, const FoldFact* fact)
{
  for (size_t i = 0; i < fold->all.n_facts; ++i) {
    const FoldFact* const f = fold->all.facts[i];
    if (is_of(f, &fact->body) && f->fact.seq > fact->fact.seq) {
      return false;
    }
  }
  return true;
}

static bool
fits(const Plant* plant, const FactBody* body)
{
  const bool known = !body->act || !body->act[0] || plant_act(plant, body->act) >= 0;
  return known && body->way && plant_line(plant, body->line) >= 0;
}

Status
loan_list(Arena* arena, const Plant* plant, const Fold* fold, const Loan** loans, int* n)
{
  size_t n_room = 0;
  for (size_t i = 0; fold && i < fold->all.n_facts; ++i) {
    n_room += fold->all.facts[i]->fact.kind == FACT_MOVED;
  }
  Loan* const list = arena_array(arena, n_room, sizeof(Loan));
  if (!list) {
    return STATUS_NO_MEMORY;
  }
  int n_list = 0;
  for (size_t i = 0; n_room > 0 && i < fold->moved.n_facts; ++i) {
    const FoldFact* const f = fold->moved.facts[i];
    Loan* const loan = &list[n_list];
    if (fits(plant, &f->body) && loan_read(plant, act_of(plant, &f->body),
                                           plant_line(plant, f->body.line), f->body.way, loan)) {
      loan->id = f->fact.id;
      loan->seq = f->fact.seq;
      set_followed(plant, fold, loan);
      ++n_list;
    }
  }
  for (size_t i = 0; n_room > 0 && i < fold->all.n_facts; ++i) {
    const FoldFact* const f = fold->all.facts[i];
    if (f->in_force && f->fact.kind == FACT_MOVED && fits(plant, &f->body) && !f->body.way[0] &&
        is_newest(fold, f) && read_back(plant, fold, f, &list[n_list])) {
      ++n_list;
    }
  }
  *loans = list;
  *n = n_list;
  return STATUS_OK;
}

const Loan*
loan_of(const Loan loans[], int n, int act, int line)
{
  const Loan* found = NULL;
  for (int i = 0; i < n; ++i) {
    const Loan* const loan = &loans[i];
    // One told in the act itself counts more than one of the bare lines
    if (loan->sort != WAY_NONE && loan->line == line && (loan->act < 0 || loan->act == act)) {
      found = found && found->act >= 0 ? found : loan;
    }
  }
  return found;
}

int
loan_plug_at(const Plant* plant, const Loan loans[], int n, int act, int line)
{
  const Loan* const loan = loan_of(loans, n, act, line);
  // Whoever uses a source that is live already leaves the plug where it was
  const bool moves = loan && (loan->sort == WAY_SOCKET || loan->sort == WAY_SPARE) &&
                     !plant_input(plant, act, loan->to);
  return moves ? loan->to : line;
}

bool
loan_is_due(const Loan* loan, int act)
{
  return loan->sort != WAY_NONE && loan->act >= 0 && loan->act < act;
}

bool
loan_occupies(const Loan* loan, int line)
{
  switch (loan->sort) {
    case WAY_SOCKET:
    case WAY_SPARE:
      return loan->to == line || loan->line == line;
    case WAY_INPUT:
      return loan->lender == line;
    default:
      return false;
  }
}

// ---- Laid over the lists ----

static void
lay_one(const Plant* plant, const Loan* loan, int act, Line* lines, Input* inputs)
{
  if (loan->sort == WAY_SOCKET && !plant_input(plant, act, loan->to)) {
    lines[loan->to].is_spare = false; // It is what the list has now
    for (int i = 0; i < plant->n_inputs; ++i) {
      if (plant->inputs[i].act == act && plant->inputs[i].line == loan->line) {
        inputs[i].line = loan->to;
      }
    }
  } else if (loan->sort == WAY_INPUT) {
    if (loan->lender >= 0) {
      lines[loan->lender].desk_input[loan->desk] = 0;
    }
    lines[loan->line].desk_input[loan->desk] = loan->input;
  } else if (loan->sort ==
             WAY_FEED) { // Which input the feed comes in on is the desk's own business
    lines[loan->line].desk_input[loan->desk] = 0;
  }
}

Status
loan_lay(Arena* arena, const Plant* plant, const Loan loans[], int n, int act, Plant* laid)
{
  bool any = false;
  for (int l = 0; l < plant->n_lines; ++l) {
    any = any || loan_of(loans, n, act, l);
  }
  if (!any) {
    *laid = *plant;
    return STATUS_OK;
  }
  Line* const lines = arena_array(arena, (size_t)plant->n_lines, sizeof(Line));
  Input* const inputs = arena_array(arena, (size_t)plant->n_inputs, sizeof(Input));
  if (!lines || !inputs) {
    return STATUS_NO_MEMORY;
  }
  memcpy(lines, plant->lines, (size_t)plant->n_lines * sizeof(Line));
  if (plant->n_inputs > 0) {
    memcpy(inputs, plant->inputs, (size_t)plant->n_inputs * sizeof(Input));
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    const Loan* const loan = loan_of(loans, n, act, l);
    if (loan) {
      lay_one(plant, loan, act, lines, inputs);
    }
  }
  *laid = *plant;
  laid->lines = lines;
  laid->inputs = inputs;
  return STATUS_OK;
}
