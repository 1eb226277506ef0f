// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/rescue.h"
#include "day/share.h"
#include "day/words.h"
#include "face/compare_view.h"
#include "face/line_view.h"
#include "face/loan_view.h"
#include "face/step_view.h"
#include "face/verb.h"

#include <math.h>

/*
  `next`: what to do now.

  Without a line, `next` looks at the worst lines first and gives everybody who is free a step; with
  nothing wrong it takes the first line that is not proven. With --give the steps are written down
  as taken by those they go to, so that the next one knows who is busy.
*/

typedef struct {
  int* lines; ///< Worst first
  int n_lines;
  Crew crew;
  SharePlan shared;
  Deadline deadline; ///< Of the first line
} Plan;

static Status
worst_lines(const Face* face, const OpenShow* show, Plan* plan)
{
  static const LineState wanted[] = {STATE_BAD, STATE_SUSPECT, STATE_UNPROVEN};
  const size_t n_all = (size_t)show->plant.n_lines;
  LineState* const states = arena_array(face->arena, n_all, sizeof(*states));
  if (!states) {
    return STATUS_NO_MEMORY;
  }
  for (int l = 0; l < show->plant.n_lines; ++l) {
    LineProof proof;
    Status st;
    TRY(st, proof_line(show->situation, face->arena, l, &proof));
    states[l] = proof.state;
  }
  for (size_t w = 0; w < sizeof(wanted) / sizeof(wanted[0]); ++w) {
    for (int l = 0; l < show->plant.n_lines; ++l) {
      // With nothing wrong one line to prove is enough
      if (states[l] == wanted[w] && (wanted[w] != STATE_UNPROVEN || plan->n_lines == 0)) {
        plan->lines[plan->n_lines++] = l;
      }
    }
  }
  return STATUS_OK;
}

static Status
make_plan(const Face* face, OpenShow* show, Plan* plan)
{
  NextOptions options;
  Status st;
  const bool is_asked = face->args->n_words == 2;
  plan->lines = arena_array(face->arena, (size_t)show->plant.n_lines + 1, sizeof(int));
  if (!plan->lines) {
    return STATUS_NO_MEMORY;
  }
  if (is_asked) {
    TRY(st, show_find(face, show, face->args->words[1], &plan->lines[0]));
    plan->n_lines = 1;
  } else {
    TRY(st, show_situate(face, show, -1));
    TRY(st, worst_lines(face, show, plan));
  }
  TRY(st,
      step_options(face, show, plan->n_lines > 0 ? plan->lines[0] : -1, &options, &plan->deadline));
  char now[FACT_TIME_ROOM];
  fact_time_now(now);
  TRY(st, crew_now(face->arena, &show->plant, &show->fold, now, options.home_desk,
                   plan->n_lines > 0 ? plan->lines[0] : -1, &plan->crew));
  return share_plan(show->situation, face->arena, plan->lines, plan->n_lines, &options, &plan->crew,
                    is_asked, &plan->shared);
}

// Writes down who takes which step.
static Status
give(const Face* face, OpenShow* show, const Plan* plan)
{
  char now[FACT_TIME_ROOM];
  fact_time_now(now);
  for (int i = 0; i < plan->shared.n_steps; ++i) {
    const ShareStep* const s = &plan->shared.steps[i];
    const FactBody body = {.line = show->plant.lines[s->step->line].number,
                           .step = step_word(face->arena, &show->plant, s->step),
                           .at = s->step->at,
                           .seconds = (int)ceil(s->step->seconds)};
    Fact fact;
    Status st;
    if (s->when == SHARE_INSTEAD) {
      continue;
    }
    if (!body.step) {
      return STATUS_NO_MEMORY;
    }
    TRY(st,
        fact_make(face->arena, FACT_STEP_TAKEN, &body, now, "", s->step->who, &fact, face->error));
    TRY(st, store_append(show->store, &fact, 1, NULL, face->error));
  }
  return STATUS_OK;
}

// ---- Saying it ----

static json_t*
busy_json(const OpenShow* show, const Crew* crew)
{
  json_t* const list = json_array();
  for (int i = 0; i < crew->n_tasks; ++i) {
    const CrewTask* const task = &crew->tasks[i];
    json_t* const one = json_object();
    json_object_set_new(one, "who", json_words(crew->people[task->person].role));
    json_object_set_new(one, "line", json_integer(show->plant.lines[task->step.line].number));
    json_object_set_new(one, "since_s", json_figure(task->age_s));
    json_object_set_new(one, "answers", json_boolean(!task->is_late));
    json_array_append_new(list, one);
  }
  return list;
}

// "about 7 in 10 before 15:35"; NULL without a deadline.
static const char*
deadline_say(const Face* face, const Plan* plan)
{
  const Deadline* const d = &plan->deadline;
  const char* const chance = words_chance(face->arena, plan->shared.chance);
  if (d->sort == DEADLINE_NONE || !chance) {
    return NULL;
  }
  char text[32];
  return d->sort == DEADLINE_ON_AIR
           ? arena_format(face->arena, "%s within %s, on air (usual practice)", chance,
                          screen_seconds(d->seconds, text))
         : d->by[0]
           ? arena_format(face->arena, "%s before %s", chance, d->by)
           : arena_format(face->arena, "%s within %s", chance, screen_seconds(d->seconds, text));
}

static json_t*
deadline_json(const Face* face, const Plan* plan)
{
  static const char* const why[] = {"none", "said", "act", "on air"};
  if (plan->deadline.sort == DEADLINE_NONE) {
    return json_null();
  }
  json_t* const object = json_object();
  json_object_set_new(object, "seconds", json_figure(plan->deadline.seconds));
  json_object_set_new(object, "by", json_words(plan->deadline.by));
  json_object_set_new(object, "why", json_words(why[plan->deadline.sort]));
  json_object_set_new(object, "say", json_words(deadline_say(face, plan)));
  return object;
}

static Status
answer_next(const Face* face, const OpenShow* show, const Plan* plan)
{
  json_t* const answer = json_answer(show->act_word);
  json_object_set_new(answer, "list", json_words(show_mark(face, show)));
  json_t* const steps = json_array();
  json_t* const odds = json_array();
  Status st = STATUS_OK;
  for (int i = 0; i < plan->shared.n_steps; ++i) {
    json_array_append_new(steps,
                          step_shared_json(&show->plant, &plan->crew, &plan->shared.steps[i]));
  }
  // Odds of the lines that get a step
  for (int i = 0; st == STATUS_OK && i < plan->shared.n_steps; ++i) {
    if (plan->shared.steps[i].when == SHARE_NOW) {
      st = step_odds_json(face, show, plan->shared.steps[i].step->line, odds);
    }
  }
  json_object_set_new(answer, "steps", steps);
  json_object_set_new(answer, "busy", busy_json(show, &plan->crew));
  LoanView loans;
  json_t* const due =
    loan_view(face, show, &loans) == STATUS_OK ? loan_view_due_json(face, show, &loans) : NULL;
  st = due && json_object_set_new(answer, "give_back", due) == 0 ? st : STATUS_NO_MEMORY;
  json_object_set_new(answer, "odds", odds);
  json_object_set_new(answer, "seconds", json_figure(plan->shared.seconds));
  json_object_set_new(answer, "chance",
                      plan->deadline.seconds > 0.0 ? json_figure(plan->shared.chance)
                                                   : json_null());
  json_object_set_new(answer, "deadline", deadline_json(face, plan));
  json_object_set_new(answer, "usual_practice", json_boolean(plan->shared.is_usual));
  if (st == STATUS_OK) {
    // Of no line when there is no step
    const int line = plan->shared.n_steps > 0 ? plan->shared.steps[0].step->line : -1;
    st = compare_view_json_line(face, show, line, answer);
  }
  const Status printed = json_answer_print(answer, face->args, face->screen->out, face->error);
  return st == STATUS_OK ? printed : st;
}

static void
say_busy(const Face* face, const OpenShow* show, const Crew* crew)
{
  for (int i = 0; i < crew->n_tasks; ++i) {
    const CrewTask* const task = &crew->tasks[i];
    const Line* const line = &show->plant.lines[task->step.line];
    char text[32];
    screen_say(face->screen, task->is_late ? PAINT_WARN : PAINT_PLAIN,
               task->is_late
                 ? "%s has not answered about line %d for %s: this goes on without them."
                 : "%s is busy with line %d (for %s).",
               crew->people[task->person].role, line->number, screen_seconds(task->age_s, text));
  }
}

// What lists and desks say against the line, because the odds follow it too.
static void
say_paper(const Face* face, const OpenShow* show, int line)
{
  const Disagreement* list = NULL;
  int n = 0;
  if (compare_view_of_line(face, show, line, &list, &n) != STATUS_OK) {
    return;
  }
  for (int i = 0; i < n; ++i) {
    const char* const where = list[i].desk >= 0 ? show->plant.desks[list[i].desk].say : "the list";
    const char* const text = arena_format(face->arena, "%s: %s", where, list[i].say);
    screen_item(face->screen, PAINT_PLAIN, "On paper, ", text ? text : list[i].say);
  }
}

static void
say_next(const Face* face, const OpenShow* show, const Plan* plan)
{
  char text[32];
  show_say_act(face, show);
  LoanView loans;
  if (loan_view(face, show, &loans) == STATUS_OK) {
    (void)loan_view_say_due(face, show, &loans);
  }
  say_busy(face, show, &plan->crew);
  if (plan->shared.n_steps == 0) {
    screen_say(face->screen, PAINT_PLAIN,
               plan->crew.n_tasks > 0
                 ? "Nobody else has to do anything now: wait for the answers."
                 : "There is no step to take: nothing speaks against these lines, or nothing is "
                   "left to check with the kit at hand.");
    return;
  }
  bool said_meanwhile = false;
  for (int i = 0; i < plan->shared.n_steps; ++i) {
    const ShareStep* const s = &plan->shared.steps[i];
    if (s->when == SHARE_INSTEAD) {
      break; // In the JSON
    }
    screen_gap(face->screen);
    if (s->when == SHARE_MEANWHILE && !said_meanwhile) {
      screen_say(face->screen, PAINT_PLAIN, "Meanwhile:");
      said_meanwhile = true;
    }
    step_shared_say(face, show, &plan->crew, s);
  }
  screen_gap(face->screen);
  const char* const likely =
    rescue_likely(show->situation, face->arena, plan->shared.steps[0].step->line);
  screen_say(face->screen, PAINT_PLAIN, "%s", likely ? likely : "");
  say_paper(face, show, plan->shared.steps[0].step->line);
  screen_say(face->screen, PAINT_PLAIN, "Sound in about %s, usual practice.",
             screen_seconds(plan->shared.seconds, text));
  const char* const in_time = deadline_say(face, plan);
  if (in_time) {
    screen_say(face->screen, PAINT_PLAIN, "Sound in time: %s.", in_time);
  }
  if (face->args->give) {
    screen_say(face->screen, PAINT_PLAIN,
               "Written down who took what; whoever is done says so with saw --role.");
  }
}

Status
verb_next(const Face* face)
{
  OpenShow show;
  Plan plan = {.n_lines = 0};
  Status st;
  const StoreMode mode = face->args->give ? STORE_WRITE : STORE_READ;
  TRY(st, show_open(face, face->args->words[0], mode, &show));
  st = make_plan(face, &show, &plan);
  if (st == STATUS_OK && face->args->give) {
    st = give(face, &show, &plan);
  }
  if (st == STATUS_OK && face->args->json) {
    st = answer_next(face, &show, &plan);
  } else if (st == STATUS_OK) {
    say_next(face, &show, &plan);
  }
  const Status closed = store_close(show.store, st == STATUS_OK ? face->error : NULL);
  st = st == STATUS_OK ? closed : st;
  return st == STATUS_OK && plan.shared.n_steps == 0 ? STATUS_NO : st;
}
