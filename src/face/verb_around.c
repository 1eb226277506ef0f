// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/line_view.h"
#include "face/loan_view.h"
#include "face/step_view.h"
#include "face/tell.h"
#include "face/verb.h"

/*
  `around`: how to do without a line, and what came of it. A way that is taken is a loan: every desk
  it concerns is asked to follow and says so with --follows; --back gives it back. Without a line it
  shows the loans there are.
*/

typedef struct {
  int line; ///< -1 = none given
  const AroundWay* ways;
  int n_ways;
  const AroundWay* taken; ///< NULL = none
  LoanView loans;
  const char* told; ///< What was written down; NULL = nothing
} Around;

static Status
put_down(const Face* face, OpenShow* show, const Telling* telling, Around* around)
{
  Told told;
  bool is_new = false;
  Status st;
  TRY(st, tell_check(face, show, telling, &told));
  TRY(st, show_tell(face, show, told.kind, &told.body, &is_new, NULL));
  TRY(st, show_refold(face, show, false));
  TRY(st, show_situate(face, show, around->line));
  around->told = told.say;
  return loan_view(face, show, &around->loans);
}

static Telling
telling_of(const Face* face, TellSort sort)
{
  return (Telling){
    .sort = sort, .line = face->args->words[1], .check = "move", .seconds = -1, .count = -1};
}

static Status
take_way(const Face* face, OpenShow* show, Around* around)
{
  const int take = face->args->take;
  if (take > around->n_ways) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "There is no way round number %d: there are %d.", take, around->n_ways);
  }
  Telling telling = telling_of(face, TELL_SAW);
  around->taken = &around->ways[take - 1];
  telling.reading = around->taken->way;
  return put_down(face, show, &telling, around);
}

// The newest thing a desk can follow on this line: a way taken, or one given back.
static const Loan*
newest_of_line(const Around* around, const OpenShow* show)
{
  const Loan* newest = NULL;
  for (int i = 0; i < around->loans.n; ++i) {
    const Loan* const loan = &around->loans.loans[i];
    const bool counts = loan->line == around->line && (loan->act < 0 || loan->act == show->act);
    newest = counts && (!newest || loan->seq > newest->seq) ? loan : newest;
  }
  return newest;
}

static Status
follow(const Face* face, OpenShow* show, Around* around)
{
  const Loan* const loan = newest_of_line(around, show);
  Telling telling = telling_of(face, TELL_DONE);
  if (!loan) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "Line %d is on its own way in %s: there is nothing to follow.",
                     show->plant.lines[around->line].number, show->act_word);
  }
  telling.step = loan_step(face->arena, loan);
  telling.at = face->args->follows;
  return telling.step ? put_down(face, show, &telling, around) : STATUS_NO_MEMORY;
}

static Status
tell(const Face* face, OpenShow* show, Around* around)
{
  const Args* const args = face->args;
  const int n = (args->take > 0) + args->back + (args->follows != NULL);
  if (n > 1 || (n > 0 && around->line < 0)) {
    return error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                     n > 1 ? "One at a time: --take, --back or --follows."
                           : "Of which line? Write around SHOW LINE and then the option.");
  }
  if (args->take > 0) {
    return take_way(face, show, around);
  }
  if (args->back) {
    Telling telling = telling_of(face, TELL_SAW);
    telling.reading = "back";
    return put_down(face, show, &telling, around);
  }
  return args->follows ? follow(face, show, around) : STATUS_OK;
}

// ---- Saying it ----

static Status
answer(const Face* face, const OpenShow* show, const Around* around)
{
  const Args* const args = face->args;
  json_t* const object = json_answer(show->act_word);
  json_t* const list = json_array();
  json_t* const moved = loan_view_moved_json(face, show, &around->loans, around->line);
  json_t* const due = loan_view_due_json(face, show, &around->loans);
  for (int i = 0; i < around->n_ways; ++i) {
    json_array_append_new(list, way_json(&show->plant, &around->ways[i]));
  }
  json_object_set_new(object, "list", json_words(show_mark(face, show)));
  json_object_set_new(object, "line",
                      around->line >= 0 ? json_integer(show->plant.lines[around->line].number)
                                        : json_null());
  json_object_set_new(object, "ways", list);
  json_object_set_new(object, "taken", args->take > 0 ? json_integer(args->take) : json_null());
  if (!moved || !due || json_object_set(object, "moved", moved) != 0 ||
      json_object_set(object, "give_back", due) != 0) {
    json_decref(moved);
    json_decref(due);
    json_decref(object);
    return STATUS_NO_MEMORY;
  }
  json_decref(moved);
  json_decref(due);
  json_object_set_new(object, "usual_practice", json_true());
  return json_answer_print(object, args, face->screen->out, face->error);
}

static Status
say_loans(const Face* face, const OpenShow* show, const Around* around, int* n)
{
  Status st;
  for (int i = 0; i < around->loans.n; ++i) {
    const Loan* const loan = &around->loans.loans[i];
    if ((around->line < 0 || loan->line == around->line) &&
        (loan->act < 0 || loan->act == show->act)) {
      TRY(st, loan_view_say(face, show, loan));
      ++*n;
    }
  }
  return loan_view_say_due(face, show, &around->loans);
}

static Status
say(const Face* face, const OpenShow* show, const Around* around)
{
  int n_loans = 0;
  Status st;
  show_say_act(face, show);
  if (around->told) {
    screen_say(face->screen, PAINT_STRONG, "%s", around->told);
  }
  if (around->taken) {
    way_say(face, show, around->taken, face->args->take);
  }
  TRY(st, say_loans(face, show, around, &n_loans));
  if (around->line < 0) {
    for (int i = 0; i < around->loans.n; ++i) {
      n_loans += loan_is_due(&around->loans.loans[i], show->act);
    }
    if (n_loans == 0) {
      screen_say(face->screen, PAINT_PLAIN, "Every line is on its own way.");
    }
    return STATUS_OK;
  }
  if (around->told) {
    return STATUS_OK;
  }
  if (around->n_ways == 0) {
    screen_say(face->screen, PAINT_PLAIN,
               "There is no way round line %d that this act and the next one leave free.",
               show->plant.lines[around->line].number);
    return STATUS_NO;
  }
  for (int i = 0; i < around->n_ways; ++i) {
    way_say(face, show, &around->ways[i], i + 1);
  }
  return STATUS_OK;
}

static Status
run(const Face* face, OpenShow* show)
{
  Around around = {.line = -1};
  Status st;
  if (face->args->n_words == 2) {
    TRY(st, show_find(face, show, face->args->words[1], &around.line));
    TRY(st, around_ways(show->situation, face->arena, around.line, &around.ways, &around.n_ways));
  } else {
    TRY(st, show_act(face, show, -1));
  }
  TRY(st, loan_view(face, show, &around.loans));
  TRY(st, tell(face, show, &around));
  if (face->args->json) {
    TRY(st, answer(face, show, &around));
    return around.line < 0 || around.told || around.n_ways > 0 ? STATUS_OK : STATUS_NO;
  }
  return say(face, show, &around);
}

Status
verb_around(const Face* face)
{
  const Args* const args = face->args;
  const bool writes = args->take > 0 || args->back || args->follows;
  OpenShow show;
  Status st;
  TRY(st, show_open(face, args->words[0], writes ? STORE_WRITE : STORE_READ, &show));
  st = run(face, &show);
  const bool said = st == STATUS_OK || st == STATUS_NO;
  const Status closed = store_close(show.store, said ? face->error : NULL);
  return said && closed != STATUS_OK ? closed : st;
}
