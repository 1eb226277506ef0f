// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/rehearse_view.h"

#include "day/rehearse.h"
#include "face/json.h"

#include <stdio.h>
#include <time.h>

/*
  The tables of `rehearse --auto`.

  Where no option asks for a setting, the words give every one: one person and two, asked and not
  (one person asks nobody), with the way round and without, with a deadline and without. JSON is one
  setting an answer.
*/

#define USUAL_DEADLINE_S 120.0 // What faults may take of a changeover in all: usual practice
enum { TABLE_COLUMNS = 66 };   ///< Narrower than this, each rule is a sentence

typedef struct {
  Screen screen; ///< Of stderr
  int percent;
} Progress;

static void
show_progress(void* user, int n_done, int n_runs)
{
  Progress* const p = user;
  const int percent = (int)(100.0 * n_done / n_runs);
  if (p->screen.is_terminal && percent != p->percent) {
    p->percent = percent;
    (void)fprintf(stderr, "\rrehearsing %3d %%%s", percent,
                  n_done == n_runs ? "\r                 \r" : "");
    (void)fflush(stderr);
  }
}

static double
asking_s(const Plant* plant)
{
  return plant_time_s(plant, "ask over the intercom and be answered", 20.0);
}

// ---- One setting ----

static Status
run(const Face* face, const Situation* const bases[], const RehearseOptions* options,
    RehearseTable* table)
{
  Progress progress = {.percent = -1};
  screen_init(&progress.screen, stderr);
  const Status st = rehearse_auto(face->arena, bases, options, show_progress, &progress, table);
  if (st == STATUS_NO_SOLUTION) {
    return error_set(face->error, st, NULL, 0, 0,
                     "Nothing to rehearse: no line of the act has a source with a fault that "
                     "somebody would notice.");
  }
  return st;
}

static void
say_setting(const Face* face, const OpenShow* show, const RehearseOptions* o)
{
  char deadline[32];
  char asked[32] = "";
  (void)snprintf(asked, sizeof(asked), "%.0f s to ask", asking_s(&show->plant));
  screen_say(face->screen, PAINT_STRONG,
             "%s, %s, %s, %s%s:", o->n_people == 1 ? "One person" : "Two people",
             o->n_people == 1 ? "nobody to ask"
             : o->asks        ? asked
                              : "no time lost asking",
             o->goes_round ? "ways round taken" : "no way round",
             o->deadline_s > 0.0 ? "sound wanted within " : "no deadline",
             o->deadline_s > 0.0 ? screen_seconds(o->deadline_s, deadline) : "");
}

static void
say_trust(const Face* face, const RehearseTrust* trust)
{
  const int n = trust->n_said[9];
  if (n == 0) {
    screen_say(face->screen, PAINT_PLAIN, "ours never called a part likeliest at about 9 in 10.");
    return;
  }
  screen_say(face->screen, PAINT_PLAIN,
             "ours called a part likeliest at about 9 in 10 %d times; %.0f in 100 times it was.", n,
             100.0 * trust->n_right[9] / n);
}

static void
say_table(const Face* face, const RehearseTable* table, double deadline_s)
{
  const Screen* const screen = face->screen;
  char limit[32];
  (void)screen_seconds(deadline_s > 0.0 ? deadline_s : REHEARSE_ON_TIME_S, limit);
  if (screen->width >= TABLE_COLUMNS) {
    char head[64];
    (void)snprintf(head, sizeof(head), "within %s", limit);
    (void)fprintf(screen->out, "  %-14s %7s %6s %7s %8s %14s %6s\n", "rule", "mean s", "+- s",
                  "half by", "95 % by", head, "named");
  }
  for (int r = 0; r < REHEARSE_RULES; ++r) {
    const RehearseScore* const s = &table->scores[r];
    const char* const word = rehearse_rule_word((RehearseRule)r);
    if (screen->width >= TABLE_COLUMNS) {
      (void)fprintf(screen->out, "  %-14s %7.1f %6.1f %7.0f %8.0f %12.0f %% %4.0f %%\n", word,
                    s->mean_s, s->se_s, s->p50_s, s->p95_s, 100.0 * s->on_time,
                    100.0 * s->named_right);
      continue;
    }
    screen_say(screen, PAINT_PLAIN,
               "%s: %.1f s +- %.1f on average, half by %.0f s, 95 in 100 by %.0f s; within %s %.0f "
               "%%; named right %.0f %%",
               word, s->mean_s, s->se_s, s->p50_s, s->p95_s, limit, 100.0 * s->on_time,
               100.0 * s->named_right);
  }
}

static Status
one_setting(const Face* face, const OpenShow* show, const Situation* const bases[],
            const RehearseOptions* options)
{
  RehearseTable table;
  Status st = STATUS_OK;
  TRY(st, run(face, bases, options, &table));
  say_setting(face, show, options);
  say_table(face, &table, options->deadline_s);
  say_trust(face, &table.trust);
  screen_gap(face->screen);
  (void)fflush(face->screen->out);
  return STATUS_OK;
}

static Status
all_settings(const Face* face, const OpenShow* show, const Situation* const bases[],
             const RehearseOptions* usual)
{
  Status st = STATUS_OK;
  for (int i = 0; i < 16; ++i) {
    RehearseOptions o = *usual;
    o.n_people = i & 8 ? 2 : 1;
    o.asks = (i & 4) != 0;
    o.goes_round = (i & 2) != 0;
    o.deadline_s = i & 1 ? USUAL_DEADLINE_S : 0.0;
    if (!(o.asks && o.n_people == 1)) {
      TRY(st, one_setting(face, show, bases, &o));
    }
  }
  return STATUS_OK;
}

static Status
in_json(const Face* face, const OpenShow* show, const Situation* const bases[],
        const RehearseOptions* o)
{
  RehearseTable table;
  Status st = STATUS_OK;
  TRY(st, run(face, bases, o, &table));
  json_t* const answer = json_answer(o->act >= 0 ? show->act_word : NULL);
  json_object_set_new(answer, "seed", json_integer((json_int_t)o->seed));
  json_object_set_new(answer, "runs", json_integer(o->n_runs));
  json_object_set_new(answer, "ways_round", json_boolean(o->goes_round));
  json_object_set_new(answer, "asked_s", json_figure(o->asks ? asking_s(&show->plant) : 0.0));
  json_object_set_new(answer, "people", json_integer(o->n_people));
  json_object_set_new(answer, "deadline_s",
                      o->deadline_s > 0.0 ? json_figure(o->deadline_s) : json_null());
  json_t* const policies = json_array();
  for (int r = 0; r < REHEARSE_RULES; ++r) {
    const RehearseScore* const s = &table.scores[r];
    json_t* const one = json_object();
    json_object_set_new(one, "policy", json_words(rehearse_rule_word((RehearseRule)r)));
    json_object_set_new(one, "mean_s", json_figure(s->mean_s));
    json_object_set_new(one, "se_s", json_figure(s->se_s));
    json_object_set_new(one, "p50_s", json_figure(s->p50_s));
    json_object_set_new(one, "p95_s", json_figure(s->p95_s));
    json_object_set_new(one, "on_time", json_figure(s->on_time));
    json_object_set_new(one, "named_right", json_figure(s->named_right));
    json_array_append_new(policies, one);
  }
  json_object_set_new(answer, "policies", policies);
  json_t* const trust = json_array();
  for (int tenth = 0; tenth <= 10; ++tenth) {
    if (table.trust.n_said[tenth]) {
      json_t* const one = json_object();
      json_object_set_new(one, "said", json_figure(tenth / 10.0));
      json_object_set_new(one, "times", json_integer(table.trust.n_said[tenth]));
      json_object_set_new(
        one, "right", json_figure(table.trust.n_right[tenth] / (double)table.trust.n_said[tenth]));
      json_array_append_new(trust, one);
    }
  }
  json_object_set_new(answer, "trust", trust);
  return json_answer_print(answer, face->args, face->screen->out, face->error);
}

Status
rehearse_view(const Face* face, const OpenShow* show)
{
  const Args* const args = face->args;
  const Plant* const plant = &show->plant;
  const int act = args->act ? show->act : -1;
  const Situation** const bases =
    arena_array(face->arena, (size_t)plant->n_acts + 1, sizeof(Situation*));
  if (!bases) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  for (int a = 0; a < plant->n_acts; ++a) {
    Situation* base = NULL;
    if (act < 0 || act == a) {
      TRY(st, situation_new(face->arena, plant, a, NULL, &base));
    }
    bases[a] = base;
  }
  const RehearseOptions options = {.seed = (uint64_t)args->seed,
                                   .n_runs = args->n_runs,
                                   .act = act,
                                   .goes_round = args->ways_round,
                                   .asks = args->asked,
                                   .n_people = args->n_people ? args->n_people : 1,
                                   .deadline_s = args->minutes * 60.0};
  if (args->json) {
    return in_json(face, show, bases, &options);
  }
  screen_say(
    face->screen, PAINT_PLAIN,
    "%d hidden faults a table, %s; walks, handling times and misreadings of this show. The "
    "same again: --seed %d.",
    args->n_runs, act < 0 ? "in acts by chance" : show->act_word, args->seed);
  screen_gap(face->screen);
  return args->ways_round || args->asked || args->n_people || args->minutes > 0.0
           ? one_setting(face, show, bases, &options)
           : all_settings(face, show, bases, &options);
}
