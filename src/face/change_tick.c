// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/change_view.h"

#include "base/text.h"
#include "day/words.h"

#include <stdio.h>
#include <string.h>

/*
  What is told of a change, as one fact each: a step that is done, a desk that was heard saying that
  it is muted, a step that does not wait any longer, what a hand takes over from another.
*/

const char*
change_view_act(const OpenShow* show, int act)
{
  return act < 0 ? "bare lines" : show->plant.acts[act].name;
}

static const char*
act_told(const OpenShow* show, int act)
{
  return act < 0 ? "" : show->plant.acts[act].name;
}

// FNV-1a, 64 bits: tells steps apart, guards nothing.
static uint64_t
hash_of(const char* text)
{
  uint64_t hash = 14695981039346656037ULL;
  for (; *text; ++text) {
    hash = (hash ^ (unsigned char)*text) * 1099511628211ULL;
  }
  return hash;
}

// The same told by two phones is one fact; after an undo it is a new one.
static const char*
tick_id(const Face* face, const OpenShow* show, const Change* change, const char* key,
        const char* rest)
{
  const char* const whole = arena_format(face->arena, "%s|%s|%s|%s", act_told(show, change->from),
                                         act_told(show, change->to), key, rest);
  if (!whole) {
    return NULL;
  }
  char start[40];
  int n = 0;
  (void)snprintf(start, sizeof(start), "change-%016llx-", (unsigned long long)hash_of(whole));
  for (size_t i = 0; i < show->fold.all.n_facts; ++i) {
    n += !strncmp(show->fold.all.facts[i]->fact.id, start, strlen(start));
  }
  return arena_format(face->arena, "%s%d", start, n + 1);
}

static const char*
lines_text(const Face* face, const OpenShow* show, const ChangeStep* step)
{
  TextOut out = {.arena = face->arena};
  for (int i = 0; i < step->n_lines; ++i) {
    text_add(&out, "%s%d", i > 0 ? " " : "", show->plant.lines[step->lines[i]].number);
  }
  return text_done(&out);
}

// "17 21" of steps of hands: every socket they touch.
static const char*
touched_text(const Face* face, const OpenShow* show, const Change* change, const int steps[], int n)
{
  TextOut out = {.arena = face->arena};
  for (int i = 0; i < n; ++i) {
    const ChangeStep* const step = &change->steps[steps[i]];
    text_add(&out, "%s%d", i > 0 ? " " : "", show->plant.lines[step->line].number);
    if (step->does == CHANGE_DOES_MOVE) {
      text_add(&out, " %d", show->plant.lines[step->from].number);
    }
  }
  return text_done(&out);
}

Status
change_view_tick(const Face* face, const OpenShow* show, const Change* change,
                 const ChangeStep* step, ChangeTell tell, ChangeTick* tick)
{
  ChangeTick out = {.who = change->people[step->person].role};
  const char* rest = NULL;
  if (tell == CHANGE_TELL_ANYWAY) {
    const int at = (int)(step - change->steps);
    out.step = change_step_word(CHANGE_STEP_ANYWAY);
    rest = out.lines = touched_text(face, show, change, &at, 1);
  } else if (step->desk >= 0) {
    out.step = tell == CHANGE_TELL_HEARD
                 ? change_step_word(step->does == CHANGE_DOES_MUTE ? CHANGE_STEP_HEARD_MUTE
                                                                   : CHANGE_STEP_HEARD_OFF)
               : step->does == CHANGE_DOES_PATCH ? change_step_word(CHANGE_STEP_PATCH)
                                                 : change_does_word(step->does);
    out.at = show->plant.desks[step->desk].name;
    out.who = tell == CHANGE_TELL_HEARD ? NULL : out.who; // Whoever heard it says so
    rest = out.lines = lines_text(face, show, step);
  } else {
    const bool is_in = step->does != CHANGE_DOES_STRIKE && step->does != CHANGE_DOES_HOLD;
    out.place = allot_socket(face->arena, &show->plant, step->line);
    rest = out.what = is_in ? plugged_name(&change->plugged.plugs[step->plug]) : "nothing";
    rest = out.place ? rest : NULL;
  }
  const char* const key = arena_format(
    face->arena, "%s%s", tell != CHANGE_TELL_DONE && out.step ? out.step : "", step->key);
  out.id = rest && key ? tick_id(face, show, change, key, rest) : NULL;
  if (!out.id) {
    return STATUS_NO_MEMORY;
  }
  *tick = out;
  return STATUS_OK;
}

Status
change_view_take(const Face* face, const OpenShow* show, const Change* change,
                 const ChangePerson* person, ChangeTick* tick)
{
  ChangeTick out = {.step = change_step_word(CHANGE_STEP_TAKE),
                    .at = person->name,
                    .who = person->role,
                    .lines = touched_text(face, show, change, person->offer, person->n_offer)};
  out.id = out.lines ? tick_id(face, show, change, person->name, out.lines) : NULL;
  if (!out.id) {
    return STATUS_NO_MEMORY;
  }
  *tick = out;
  return STATUS_OK;
}

Status
change_view_offer(const Face* face, const OpenShow* show, const Change* change,
                  const ChangePerson* person, const char** sockets, const char** names)
{
  TextOut at = {.arena = face->arena};
  TextOut who = {.arena = face->arena};
  for (int i = 0; i < person->n_offer; ++i) {
    const ChangeStep* const step = &change->steps[person->offer[i]];
    const char* const socket = allot_socket(face->arena, &show->plant, step->line);
    const bool is_first =
      i == 0 || change->steps[person->offer[i - 1]].person != step->person; // They come by person
    if (!socket) {
      return STATUS_NO_MEMORY;
    }
    text_add(&at, "%s%s", i == 0 ? "" : i + 1 == person->n_offer ? " and " : ", ", socket);
    if (is_first) {
      text_add(&who, "%s%s", i == 0 ? "" : " and ", change->people[step->person].name);
    }
  }
  *sockets = text_done(&at);
  *names = text_done(&who);
  return *sockets && *names ? STATUS_OK : STATUS_NO_MEMORY;
}
