// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/change_view.h"
#include "face/step_view.h"
#include "face/tell.h"
#include "face/verb.h"

#include <string.h>

/*
  `change`: from one act to the next. It answers for the act it goes to; --done, --takes and --begin
  write down what was done, with the same facts that a tick on the page sends. A hand's step that
  waits for a desk's word is refused without --anyway; what the page sends is taken as it comes, for
  the page asks first and a tick that waited in a phone is what was done.
*/

static Status
find_act(const Face* face, const OpenShow* show, const char* word, int* act)
{
  const Plant* const plant = &show->plant;
  *act = plant_act(plant, word);
  if (*act >= 0 || text_same(word, "bare lines") || text_same(word, "nothing")) {
    return STATUS_OK;
  }
  TextOut all = {.arena = face->arena};
  for (int a = 0; a < plant->n_acts; ++a) {
    text_add(&all, "%s%s", a > 0 ? ", " : "", plant->acts[a].name);
  }
  const char* const names = text_done(&all);
  return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                   "There is no act \"%.40s\": %.200s, or bare lines.", word, names ? names : "");
}

// Minutes since midnight of "17:50"; -1 = none.
static int
minute_of(const char* clock)
{
  const bool good = clock && strlen(clock) >= 5 && clock[2] == ':';
  return good
           ? 60 * (10 * (clock[0] - '0') + clock[1] - '0') + 10 * (clock[3] - '0') + clock[4] - '0'
           : -1;
}

// What is said, else the start of the act on the day itself: how long there is, or how late it is.
static Deadline
deadline(const Face* face, const OpenShow* show, int to, double* late_s)
{
  char today[16];
  char clock[8];
  show_clock_now(today, clock);
  Deadline out = deadline_of(&show->plant, to, -1, today, clock, face->args->minutes);
  const Act* const act = to >= 0 ? &show->plant.acts[to] : NULL;
  const int start = act ? minute_of(act->start) : -1;
  const int now = minute_of(clock);
  *late_s = 0.0;
  if (out.sort == DEADLINE_SAID) {
    return out;
  }
  out = out.sort == DEADLINE_ACT ? out : (Deadline){DEADLINE_NONE, 0.0, ""};
  if (act && act->date[0] && text_same(act->date, today) && start >= 0 && now >= start) {
    *late_s = 60.0 * (now - start) + 1.0; // Its minute has begun
    memcpy(out.by, act->start, 6);
    out.by[5] = '\0';
  }
  return out;
}

static Status
plan(const Face* face, OpenShow* show, int from, int to, const Deadline* by, double late_s,
     Change* change)
{
  char now[FACT_TIME_ROOM];
  fact_time_now(now);
  const ChangeOptions options = {.now = now,
                                 .n_hands = face->args->n_hands,
                                 .is_free = face->args->choose,
                                 .deadline_s = late_s > 0.0 ? -late_s : by->seconds};
  return change_plan(face->arena, &show->plant, &show->fold, from, to, &options, change);
}

// A fact of the change, as the page would send it.
static Status
tell(const Face* face, OpenShow* show, const Telling* telling, const char* act, const char* who)
{
  Args args = *face->args;
  args.act = act;
  args.role = args.role ? args.role : who;
  const Face own = {face->arena, &args, face->screen, face->error, face->kept};
  Told told;
  bool is_new = false;
  Status st;
  TRY(st, tell_check(&own, show, telling, &told));
  TRY(st, show_tell(&own, show, told.kind, &told.body, &is_new, NULL));
  if (!args.json) {
    screen_say(face->screen, PAINT_PLAIN, "%s", told.say);
  }
  return show_refold(face, show, false);
}

static Status
tell_tick(const Face* face, OpenShow* show, const ChangeTick* tick, const char* from,
          const char* act)
{
  const Telling telling = {.sort = TELL_CHANGE,
                           .before = from,
                           .place = tick->place,
                           .what = tick->what,
                           .step = tick->step,
                           .at = tick->at,
                           .lines = tick->lines,
                           .seconds = -1,
                           .count = -1};
  return tell(face, show, &telling, act, tick->who);
}

// What a hand's step waits for is said, and written down that it did not where that is wanted.
static Status
open_gates(const Face* face, OpenShow* show, const Change* change, const ChangeStep* step,
           const char* from, const char* act)
{
  TextOut keys = {.arena = face->arena};
  ChangeTick tick;
  Status st;
  for (int k = change_waits(change, step, 0); k >= 0; k = change_waits(change, step, k + 1)) {
    text_add(&keys, "%s\"%s\"", keys.n_bytes ? ", " : "", change->steps[step->after[k]].key);
  }
  if (keys.n_bytes == 0 || step->desk >= 0) {
    return STATUS_OK;
  }
  const char* const waits = text_done(&keys);
  if (!face->args->anyway) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "%.40s waits for %.200s: a plug pulled on an open line pops in the "
                     "loudspeakers. Tell those as done when the desk says so; with --anyway this "
                     "is done all the same, and it is written down.",
                     step->key, waits ? waits : "a desk");
  }
  TRY(st, change_view_tick(face, show, change, step, CHANGE_TELL_ANYWAY, &tick));
  return tell_tick(face, show, &tick, from, act);
}

static Status
tell_take(const Face* face, OpenShow* show, const Change* change, const char* from, const char* act)
{
  for (int p = 0; p < change->n_people; ++p) {
    const ChangePerson* const person = &change->people[p];
    ChangeTick tick;
    Status st;
    if (!text_same(person->name, face->args->takes)) {
      continue;
    }
    if (person->n_offer == 0) {
      return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "There is nothing for %.60s to take over: %s.", person->name,
                       person->seconds > 0.0 ? "their own steps are not done"
                                             : "nothing would be ready earlier");
    }
    TRY(st, change_view_take(face, show, change, person, &tick));
    return tell_tick(face, show, &tick, from, act);
  }
  return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                   "Nobody in this change is called \"%.60s\": write a name as it is listed.",
                   face->args->takes);
}

static Status
tell_done(const Face* face, OpenShow* show, const Change* change, const char* from, const char* act)
{
  for (int i = 0; i < change->n_steps; ++i) {
    const ChangeStep* const step = &change->steps[i];
    ChangeTick tick;
    Status st;
    if (!text_same(step->key, face->args->done)) {
      continue;
    }
    if (step->is_done) {
      return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "\"%.40s\" is done already; undo takes it back.", step->key);
    }
    TRY(st, open_gates(face, show, change, step, from, act));
    TRY(st, change_view_tick(face, show, change, step, CHANGE_TELL_DONE, &tick));
    return tell_tick(face, show, &tick, from, act);
  }
  return error_set(
    face->error, STATUS_BAD_INPUT, NULL, 0, 0,
    "There is no step \"%.40s\" left in this change: write a socket (B3) or a desk's "
    "step (mute foh), as it is listed.",
    face->args->done);
}

static Status
run(const Face* face, OpenShow* show)
{
  const Args* const args = face->args;
  int from = -1;
  int to = -1;
  double late_s = 0.0;
  Change change;
  Status st;
  TRY(st, find_act(face, show, args->words[1], &from));
  TRY(st, find_act(face, show, args->words[2], &to));
  if (from == to) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "Both are %.60s: a change goes from one act to another.",
                     from < 0 ? "bare lines" : show->plant.acts[from].name);
  }
  const char* const from_word = from < 0 ? "bare lines" : show->plant.acts[from].name;
  const char* const to_word = to < 0 ? "bare lines" : show->plant.acts[to].name;
  if (args->begin) {
    const Telling telling = {.sort = TELL_CHANGE, .before = from_word, .step = "begin"};
    TRY(st, tell(face, show, &telling, to_word, ""));
  }
  const Deadline by = deadline(face, show, to, &late_s);
  TRY(st, plan(face, show, from, to, &by, late_s, &change));
  if (args->done || args->takes) {
    TRY(st, args->done ? tell_done(face, show, &change, from_word, to_word)
                       : tell_take(face, show, &change, from_word, to_word));
    TRY(st, plan(face, show, from, to, &by, late_s, &change));
  }
  show->act = to;
  show->act_word = to_word;
  if (args->json) {
    TRY(st, json_answer_print(change_view_json(face, show, &change, &by, late_s), args,
                              face->screen->out, face->error));
  } else {
    TRY(st, change_view_say(face, show, &change, &by, late_s));
  }
  return change.allotment.n_shorts > 0 || !change.fits ? STATUS_NO : STATUS_OK;
}

Status
verb_change(const Face* face)
{
  const bool writes = face->args->done || face->args->begin || face->args->takes;
  OpenShow show;
  Status st;
  TRY(st, show_open(face, face->args->words[0], writes ? STORE_WRITE : STORE_READ, &show));
  st = run(face, &show);
  const bool said = st == STATUS_OK || st == STATUS_NO;
  const Status closed = store_close(show.store, said ? face->error : NULL);
  return said && closed != STATUS_OK ? closed : st;
}
