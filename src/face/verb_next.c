// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/rescue.h"
#include "day/words.h"
#include "face/line_view.h"
#include "face/step_view.h"
#include "face/verb.h"

#include <string.h>

/*
  `next` and `around`: what to do now, and how to do without.

  Without a line, `next` looks at the worst lines first and gives each free person one step; with
  nothing wrong it takes the first line that is not proven.
*/

enum { NEXT_LINES = 4, NEXT_STEPS = 12 }; ///< Lines looked at, steps shown

typedef struct {
  int lines[NEXT_LINES];
  int n_lines;
  const Step* steps[NEXT_STEPS];
  int n_steps;
  double seconds; ///< Of the first line
  double chance;
  bool is_usual;
} Plan;

static Status
worst_lines(const Face* face, const OpenShow* show, Plan* plan)
{
  static const LineState wanted[] = {STATE_BAD, STATE_SUSPECT, STATE_UNPROVEN};
  for (size_t w = 0; w < sizeof(wanted) / sizeof(wanted[0]); ++w) {
    for (int l = 0; l < show->plant.n_lines; ++l) {
      LineProof proof;
      Status st;
      TRY(st, proof_line(show->situation, face->arena, l, &proof));
      const int room = wanted[w] == STATE_UNPROVEN ? 1 : NEXT_LINES;
      if (proof.state == wanted[w] && plan->n_lines < room) {
        plan->lines[plan->n_lines++] = l;
      }
    }
  }
  return STATUS_OK;
}

// One line: all its steps. Several: the first for each person, worst line first.
static void
add_steps(Plan* plan, const NextAdvice* advice, bool is_only)
{
  for (int i = 0; i < advice->n_steps && plan->n_steps < NEXT_STEPS; ++i) {
    bool is_busy = false;
    for (int k = 0; !is_only && k < plan->n_steps; ++k) {
      is_busy = is_busy || text_same(plan->steps[k]->who, advice->steps[i].who);
    }
    if (!is_busy) {
      plan->steps[plan->n_steps++] = &advice->steps[i];
    }
  }
}

static Status
make_plan(const Face* face, OpenShow* show, Plan* plan)
{
  NextOptions options;
  Status st;
  if (face->args->n_words == 2) {
    TRY(st, show_find(face, show, face->args->words[1], &plan->lines[0]));
    plan->n_lines = 1;
  } else {
    TRY(st, show_situate(face, show, -1));
    TRY(st, worst_lines(face, show, plan));
  }
  TRY(st, step_options(face, show, &options));
  for (int i = 0; i < plan->n_lines; ++i) {
    NextAdvice advice;
    TRY(st, next_advise(show->situation, face->arena, plan->lines[i], &options, &advice));
    add_steps(plan, &advice, plan->n_lines == 1);
    if (i == 0) {
      plan->seconds = advice.seconds;
      plan->chance = advice.chance;
      plan->is_usual = advice.is_usual;
    }
  }
  return STATUS_OK;
}

static Status
answer_next(const Face* face, const OpenShow* show, const Plan* plan)
{
  json_t* const answer = json_answer(show->act_word);
  json_t* const steps = json_array();
  json_t* const odds = json_array();
  Status st = STATUS_OK;
  for (int i = 0; i < plan->n_steps; ++i) {
    json_array_append_new(steps, step_json(&show->plant, plan->steps[i]));
  }
  for (int i = 0; st == STATUS_OK && i < plan->n_lines; ++i) {
    st = step_odds_json(face, show, plan->lines[i], odds);
  }
  json_object_set_new(answer, "steps", steps);
  json_object_set_new(answer, "odds", odds);
  json_object_set_new(answer, "seconds", json_figure(plan->seconds));
  json_object_set_new(answer, "chance",
                      face->args->minutes > 0 ? json_figure(plan->chance) : json_null());
  json_object_set_new(answer, "usual_practice", json_boolean(plan->is_usual));
  const Status printed = json_answer_print(answer, face->args, stdout, face->error);
  return st == STATUS_OK ? printed : st;
}

static void
say_next(const Face* face, const OpenShow* show, const Plan* plan)
{
  char text[32];
  show_say_act(face, show);
  if (plan->n_steps == 0) {
    screen_say(face->screen, PAINT_PLAIN,
               "There is no step to take: nothing speaks against these lines, or nothing is left "
               "to check with the kit at hand.");
    return;
  }
  int n_said = 0;
  for (int i = 0; i < plan->n_steps; ++i) {
    bool is_busy = false; // One step for each person; second choices are in the JSON
    for (int k = 0; k < i; ++k) {
      is_busy = is_busy || text_same(plan->steps[k]->who, plan->steps[i]->who);
    }
    if (is_busy) {
      continue;
    }
    screen_gap(face->screen);
    if (n_said++ == 1) {
      screen_say(face->screen, PAINT_PLAIN, "Meanwhile, or instead:");
    }
    step_say(face, show, plan->steps[i]);
  }
  screen_gap(face->screen);
  const char* const likely = rescue_likely(show->situation, face->arena, plan->lines[0]);
  screen_say(face->screen, PAINT_PLAIN, "%s", likely ? likely : "");
  screen_say(face->screen, PAINT_PLAIN, "Sound in about %s, usual practice.",
             screen_seconds(plan->seconds, text));
  if (face->args->minutes > 0) {
    screen_say(face->screen, PAINT_PLAIN, "In time: %s.", words_odds(face->arena, plan->chance));
  }
}

Status
verb_next(const Face* face)
{
  OpenShow show;
  Plan plan = {.n_lines = 0};
  Status st;
  TRY(st, show_open(face, face->args->words[0], STORE_READ, &show));
  st = make_plan(face, &show, &plan);
  if (st == STATUS_OK && face->args->json) {
    st = answer_next(face, &show, &plan);
  } else if (st == STATUS_OK) {
    say_next(face, &show, &plan);
  }
  (void)store_close(show.store, NULL);
  return st == STATUS_OK && plan.n_steps == 0 ? STATUS_NO : st;
}

// ---- around ----

static Status
take_way(const Face* face, OpenShow* show, int line, const AroundWay* ways, int n)
{
  const int take = face->args->take;
  if (take > n) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "There is no way round number %d: there are %d.", take, n);
  }
  const FactBody body = {.line = show->plant.lines[line].number,
                         .way = ways[take - 1].way,
                         .act = show->act < 0 ? "" : show->act_word,
                         .detail = ways[take - 1].say};
  bool is_new = false;
  return show_tell(face, show, FACT_MOVED, &body, &is_new, NULL);
}

static Status
run_around(const Face* face, OpenShow* show)
{
  const Args* const args = face->args;
  const AroundWay* ways = NULL;
  int line = -1;
  int n = 0;
  Status st;
  TRY(st, show_find(face, show, args->words[1], &line));
  TRY(st, around_ways(show->situation, face->arena, line, &ways, &n));
  if (args->take > 0) {
    TRY(st, take_way(face, show, line, ways, n));
  }
  if (args->json) {
    json_t* const answer = json_answer(show->act_word);
    json_t* const list = json_array();
    for (int i = 0; i < n; ++i) {
      json_array_append_new(list, way_json(&show->plant, &ways[i]));
    }
    json_object_set_new(answer, "line", json_integer(show->plant.lines[line].number));
    json_object_set_new(answer, "ways", list);
    json_object_set_new(answer, "taken", args->take > 0 ? json_integer(args->take) : json_null());
    json_object_set_new(answer, "usual_practice", json_true());
    TRY(st, json_answer_print(answer, args, stdout, face->error));
    return n > 0 ? STATUS_OK : STATUS_NO;
  }
  show_say_act(face, show);
  if (args->take > 0) {
    way_say(face, show, &ways[args->take - 1], args->take);
    screen_say(face->screen, PAINT_STRONG, "Written down: line %d runs on way %d now.",
               show->plant.lines[line].number, args->take);
    return STATUS_OK;
  }
  if (n == 0) {
    screen_say(face->screen, PAINT_PLAIN,
               "There is no way round line %d that this act and the next one leave free.",
               show->plant.lines[line].number);
    return STATUS_NO;
  }
  for (int i = 0; i < n; ++i) {
    way_say(face, show, &ways[i], i + 1);
  }
  return STATUS_OK;
}

Status
verb_around(const Face* face)
{
  OpenShow show;
  Status st;
  TRY(st, show_open(face, face->args->words[0], face->args->take > 0 ? STORE_WRITE : STORE_READ,
                    &show));
  st = run_around(face, &show);
  const bool said = st == STATUS_OK || st == STATUS_NO;
  const Status closed = store_close(show.store, said ? face->error : NULL);
  return said && closed != STATUS_OK ? closed : st;
}
