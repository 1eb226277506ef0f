// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/loan.h"

#include "base/text.h"
#include "day/words.h"

#include <stdio.h>
#include <string.h>

/*
  One run of facts for each line and act: the newest decides. When it gives the line back, the one
  before it says what there is to put back, and only those desks are asked that had followed it.
*/

static const char*
source_of(const Plant* plant, int act, int line, char text[16])
{
  const Input* const input = plant_input(plant, act, line);
  (void)snprintf(text, 16, "line %d", plant->lines[line].number % 100000);
  return input ? input->source : text;
}

static const char*
socket_of(Arena* arena, const Plant* plant, int line)
{
  const Line* const l = &plant->lines[line];
  return arena_format(arena, "%s%d", plant->boxes[l->box].name, l->socket);
}

const char*
loan_sort_word(WaySort sort)
{
  static const char* const words[WAY_COUNT] = {"back", "socket", "spare", "input",
                                               "feed", "side",   "lead"};
  return (unsigned)sort < WAY_COUNT ? words[sort] : "back";
}

// ---- Reading a way ----

static void
set_concerned(const Plant* plant, Loan* loan)
{
  const Line* const own = &plant->lines[loan->line];
  const Line* const to = &plant->lines[loan->to];
  for (int d = 0; d < plant->n_desks; ++d) {
    switch (loan->sort) {
      case WAY_SOCKET:
        loan->concerns[d] = own->desk_input[d] > 0 || to->desk_input[d] > 0;
        break;
      case WAY_SPARE:
        loan->concerns[d] = to->desk_input[d] > 0;
        break;
      case WAY_INPUT:
      case WAY_FEED:
      case WAY_SIDE:
        loan->concerns[d] = d == loan->desk || d == loan->other;
        break;
      default:
        loan->concerns[d] = false;
        break;
    }
  }
}

// "mon from foh", "mon side broadcast": two desks with a word between.
static bool
read_two_desks(const Plant* plant, const char* way, Loan* loan)
{
  static const struct {
    const char* word;
    WaySort sort;
  } words[] = {{" from ", WAY_FEED}, {" side ", WAY_SIDE}};
  for (size_t i = 0; i < sizeof(words) / sizeof(words[0]); ++i) {
    const char* const at = strstr(way, words[i].word);
    char first[40];
    if (at && at > way && (size_t)(at - way) < sizeof(first)) {
      (void)snprintf(first, sizeof(first), "%.*s", (int)(at - way), way);
      const int desk = plant_desk(plant, first);
      const int other = plant_desk(plant, at + strlen(words[i].word));
      if (desk >= 0 && other >= 0 && desk != other &&
          plant->lines[loan->line].desk_input[desk] > 0) {
        loan->sort = words[i].sort;
        loan->desk = desk;
        loan->other = other;
        return true;
      }
    }
  }
  return false;
}

// "foh 39"
static bool
read_input(const Plant* plant, const char* way, Loan* loan)
{
  const char* const blank = strrchr(way, ' ');
  char word[40];
  int number = 0;
  if (!blank || blank == way || (size_t)(blank - way) >= sizeof(word) ||
      !text_whole(blank + 1, 1, 9999, &number)) {
    return false;
  }
  (void)snprintf(word, sizeof(word), "%.*s", (int)(blank - way), way);
  const int desk = plant_desk(plant, word);
  const int own = desk >= 0 ? plant->lines[loan->line].desk_input[desk] : 0;
  if (own == 0 || own == number || plant_is_digital(plant, loan->line)) {
    return false;
  }
  loan->sort = WAY_INPUT;
  loan->desk = desk;
  loan->input = number;
  for (int l = 0; l < plant->n_lines; ++l) {
    loan->lender = plant->lines[l].desk_input[desk] == number ? l : loan->lender;
  }
  return true;
}

bool
loan_read(const Plant* plant, int act, int line, const char* way, Loan* loan)
{
  Loan out = {
    .act = act, .line = line, .to = line, .desk = -1, .other = -1, .lender = -1, .way = way};
  int number = 0;
  if (line < 0 || line >= plant->n_lines || !way || !way[0]) {
    return false;
  }
  const Box* const box = &plant->boxes[plant->lines[line].box];
  if (text_begins(way, "box ") && text_same(way + 4, box->name)) {
    if (!box->is_digital) {
      return false;
    }
    out.sort = WAY_LEAD;
  } else if (!read_two_desks(plant, way, &out) && !read_input(plant, way, &out)) {
    out.to = text_begins(way, "line ") && text_whole(way + 5, 1, FACT_LINE_MAX, &number)
               ? plant_line(plant, number)
               : plant_socket(plant, way);
    if (out.to < 0 || out.to == line) {
      return false;
    }
    out.sort = plant_input(plant, act, out.to) ? WAY_SPARE : WAY_SOCKET;
  }
  out.was = out.sort;
  set_concerned(plant, &out);
  *loan = out;
  return true;
}

// ---- The loans of a show ----

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

// ---- Saying it ----

const char*
loan_step(Arena* arena, const Loan* loan)
{
  return arena_format(arena, "way %s", loan->sort == WAY_NONE ? "back" : loan->way);
}

static const char*
number_say(Arena* arena, int number)
{
  return arena_format(arena, "%d", number);
}

// In a digital box the new preamplifier is not set at all: that is for the desk that owns it.
static Sentence
patch_sentence(const Plant* plant, const Loan* loan, int desk)
{
  const Input* const input = plant_input(plant, loan->act, loan->line);
  if (!plant_is_digital(plant, loan->to) || plant_phantom_desk(plant, loan->to) != desk) {
    return WORDS_AROUND_DESK;
  }
  const Kind* const kind = input ? &plant->kinds[input->kind] : NULL;
  const bool fed = kind && kind->needs_phantom == ANSWER_YES && !plant_is_harmful(plant, input);
  return fed ? WORDS_AROUND_OWNER_FED : WORDS_AROUND_OWNER;
}

static Sentence
desk_sentence(const Plant* plant, const Loan* loan, int desk)
{
  const bool first = desk == loan->desk;
  switch (loan->sort) {
    case WAY_SOCKET:
      return plant->lines[loan->to].desk_input[desk] > 0 ? patch_sentence(plant, loan, desk)
                                                         : WORDS_AROUND_WITHOUT;
    case WAY_SPARE:
      return WORDS_AROUND_SPARE_DESK;
    case WAY_INPUT:
      return WORDS_AROUND_INPUT_DESK;
    case WAY_FEED:
      return first ? WORDS_AROUND_FEED_TO : WORDS_AROUND_FEED_FROM;
    case WAY_SIDE:
      return first ? WORDS_AROUND_SIDE_DESK : WORDS_AROUND_WITHOUT;
    default:
      break;
  }
  switch (loan->was) {
    case WAY_SPARE:
      return WORDS_BACK_SPARE_DESK;
    case WAY_INPUT:
      return WORDS_BACK_INPUT_DESK;
    case WAY_FEED:
      return first ? WORDS_BACK_DESK : WORDS_BACK_FEED_FROM;
    case WAY_SIDE:
      return WORDS_BACK_SIDE_DESK;
    default:
      return WORDS_BACK_DESK;
  }
}

const char*
loan_desk_say(Arena* arena, const Plant* plant, const Loan* loan, int desk)
{
  if (!loan->concerns[desk]) {
    return "";
  }
  const bool away = loan->sort != WAY_NONE;
  const int runs_on = away ? loan->to : loan->line;
  char own[16];
  char second[16];
  const WordsFill fill = {
    .desk = plant->desks[desk].say,
    .found =
      loan->other >= 0 ? plant->desks[desk == loan->desk ? loan->other : loan->desk].say : "",
    .source = source_of(plant, loan->act, loan->line, own),
    .spare = source_of(plant, loan->act, loan->to, second),
    .line = number_say(arena, plant->lines[loan->line].number),
    .input = number_say(
      arena, plant->lines[away && loan->sort != WAY_INPUT ? runs_on : loan->line].desk_input[desk]),
    .way = number_say(arena, loan->input)};
  return fill.line && fill.input && fill.way
           ? words_say(arena, desk_sentence(plant, loan, desk), &fill)
           : NULL;
}

static Sentence
back_sentence(const Loan* loan)
{
  static const Sentence says[WAY_COUNT] = {
    [WAY_SOCKET] = WORDS_BACK_SOCKET, [WAY_SPARE] = WORDS_BACK_SPARE,
    [WAY_INPUT] = WORDS_BACK_INPUT,   [WAY_FEED] = WORDS_BACK_FEED,
    [WAY_SIDE] = WORDS_BACK_SIDE,     [WAY_LEAD] = WORDS_BACK_LEAD};
  return says[loan->was];
}

// Hands at a plug: muted, and phantom off where what hangs on it must not get it.
static Sentence
back_caution(const Plant* plant, const Loan* loan)
{
  const bool harmful = plant_is_harmful(plant, plant_input(plant, loan->act, loan->line));
  switch (loan->was) {
    case WAY_SOCKET:
      return harmful ? WORDS_NO_PHANTOM_TWO : WORDS_MUTE_TWO;
    case WAY_INPUT:
    case WAY_SIDE:
      return harmful ? WORDS_NO_PHANTOM : WORDS_MUTE;
    case WAY_LEAD:
      return WORDS_BOX_CAUTION;
    default:
      return WORDS_COUNT;
  }
}

Status
loan_back(Arena* arena, const Plant* plant, const Loan* loan, LoanBack* back)
{
  char own[16];
  char second[16];
  const int box = plant->lines[loan->line].box;
  const int split = plant_place(plant, "split");
  const WordsFill fill = {
    .source = source_of(plant, loan->act, loan->line, own),
    .spare = source_of(plant, loan->act, loan->to, second),
    .socket = socket_of(arena, plant, loan->line),
    .way = socket_of(arena, plant, loan->to),
    .found = loan->other >= 0 ? plant->desks[loan->other].say : socket_of(arena, plant, loan->to),
    .unplug = source_of(plant, loan->act, loan->line, own),
    .line = number_say(arena, plant->lines[loan->line].number),
    .input =
      number_say(arena, loan->desk >= 0 ? plant->lines[loan->line].desk_input[loan->desk] : 0),
    .desk = loan->desk >= 0 ? plant->desks[loan->desk].say : "",
    .box = plant->boxes[box].name};
  LoanBack out = {.caution = "", .place = -1, .desk = -1};
  if (!fill.socket || !fill.way || !fill.found || !fill.line || !fill.input) {
    return STATUS_NO_MEMORY;
  }
  const Sentence caution = back_caution(plant, loan);
  out.say = words_say(arena, back_sentence(loan), &fill);
  out.caution = caution == WORDS_COUNT ? "" : words_say(arena, caution, &fill);
  if (loan->was == WAY_INPUT || loan->was == WAY_FEED) {
    out.desk = loan->desk;
  } else if (loan->was != WAY_SPARE) {
    out.place =
      loan->was == WAY_SIDE && split >= 0 ? split : plant->boxes[plant->lines[loan->to].box].place;
  }
  Loan home = *loan;
  home.sort = WAY_NONE;
  for (int d = 0; d < PLANT_DESKS; ++d) {
    out.desks[d] = d < plant->n_desks ? loan_desk_say(arena, plant, &home, d) : "";
    if (!out.desks[d]) {
      return STATUS_NO_MEMORY;
    }
  }
  if (!out.say || !out.caution) {
    return STATUS_NO_MEMORY;
  }
  *back = out;
  return STATUS_OK;
}

const char*
loan_say(Arena* arena, const Plant* plant, const Loan* loan)
{
  char own[16];
  const char* const source = source_of(plant, loan->act, loan->line, own);
  const char* const when = loan->act < 0 ? "before the first act" : plant->acts[loan->act].name;
  return arena_format(arena, "%s, line %d, runs on %s (taken in %s)", source,
                      plant->lines[loan->line].number, loan->way, when);
}
