// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/play_view.h"

#include "face/json.h"
#include "face/line_view.h"
#include "face/step_view.h"

#include <stdio.h>
#include <string.h>

static const char* const state_words[] = {"where", "what", "sound", "round", "left"};

// ---- Words ----

const char*
play_view_clock(double seconds, char text[16])
{
  const int s = (int)(seconds + 0.5);
  (void)snprintf(text, 16, "%d:%02d", s / 60, s % 60);
  return text;
}

void
play_view_head(const Play* play)
{
  const Screen* const screen = play->face->screen;
  const int line = practice_line(play->practice);
  char socket[40];
  char now[16];
  const bool watch = play->face->args->watch;
  screen_say(screen, PAINT_STRONG, "%d, %s, %s, %s%s%s", play->show->plant.lines[line].number,
             line_socket(&play->show->plant, line, socket), line_source(play->show, line),
             play->show->act_word, watch ? "" : "; the story's clock stands at ",
             watch ? "" : play_view_clock(practice_seconds(play->practice), now));
  screen_say(screen, PAINT_PLAIN, "%s", play->screen.complaint);
  if (play->screen.others[0]) {
    screen_say(screen, PAINT_STRONG, "%s", play->screen.others);
  }
  screen_gap(screen);
}

void
play_view_move(const Play* play, const PracticeMove* move)
{
  char lead[32];
  char start[16];
  (void)snprintf(lead, sizeof(lead), "%5s  ", play_view_clock(move->start_s, start));
  const char* const text = arena_format(play->face->arena, "%s: %s", move->who, move->say);
  screen_item(play->face->screen, PAINT_PLAIN, lead, text ? text : "");
  (void)snprintf(lead, sizeof(lead), "%5s  ",
                 play_view_clock(move->start_s + move->seconds, start));
  const char* const answer = arena_format(play->face->arena, "-> %s.", move->answer);
  screen_item(play->face->screen, PAINT_STRONG, lead, answer ? answer : "");
}

static void
draw_hint(const Play* play)
{
  const Screen* const screen = play->face->screen;
  screen_say(screen, PAINT_PLAIN, "%s", play->likely);
  if (!play->hint) {
    screen_say(screen, PAINT_STRONG,
               "The advice: nothing left here that is worth the time; go round it.");
  } else {
    const char* const text =
      arena_format(play->face->arena, "%s: %s", play->hint->who, play->hint->say);
    if (play->hint->caution[0]) {
      screen_item(screen, PAINT_BAD, "First: ", play->hint->caution);
    }
    screen_item(screen, PAINT_STRONG, "The advice: ", text ? text : "");
    screen_say(screen, PAINT_PLAIN, "%s", play->hint->why);
  }
  screen_gap(screen);
}

enum { MAX_SHARED = 3 };

/// Cautions that several choices share, so that each is said once; how many.
static int
shared_cautions(const PracticeScreen* s, const char* shared[MAX_SHARED])
{
  int n_shared = 0;
  for (int i = 0; i < s->n_choices && n_shared < MAX_SHARED; ++i) {
    const char* const caution = s->choices[i].step ? s->choices[i].step->caution : "";
    bool known = !caution[0];
    bool again = false;
    for (int k = 0; k < n_shared; ++k) {
      known = known || !strcmp(shared[k], caution);
    }
    for (int k = i + 1; k < s->n_choices; ++k) {
      again = again || (s->choices[k].step && !strcmp(s->choices[k].step->caution, caution));
    }
    if (!known && again) {
      shared[n_shared++] = caution;
    }
  }
  return n_shared;
}

static const char* const marks[MAX_SHARED] = {"*", "**", "***"};

static const char*
choice_text(Arena* arena, const PracticeChoice* c, const char* const shared[], int n_shared)
{
  char seconds[32];
  const char* const caution = c->step ? c->step->caution : "";
  const char* mark = "";
  for (int i = 0; i < n_shared; ++i) {
    mark = strcmp(caution, shared[i]) ? mark : marks[i];
  }
  (void)screen_seconds(c->seconds, seconds);
  return c->n_steps ? arena_format(arena, "%s %d thing%s to do, from %s", c->say, c->n_steps,
                                   c->n_steps == 1 ? "" : "s", seconds)
         : c->seconds > 0.0
           ? arena_format(arena, "%s (%s%s%s)%s%s", c->say, seconds, mark[0] ? ", " : "", mark,
                          caution[0] && !mark[0] ? " First: " : "", mark[0] ? "" : caution)
           : c->say;
}

void
play_view_turn(const Play* play)
{
  const Screen* const screen = play->face->screen;
  const PracticeScreen* const s = &play->screen;
  int n = 0;
  const PracticeMove* const moves = practice_moves(play->practice, &n);
  const char* shared[MAX_SHARED];
  const int n_shared = shared_cautions(s, shared);
  screen_clear(screen);
  play_view_head(play);
  if (n > 0 && !play->likely && !s->at[0]) {
    play_view_move(play, &moves[n - 1]);
    screen_gap(screen);
  }
  if (play->note[0]) {
    screen_say(screen, PAINT_WARN, "%s", play->note);
    screen_gap(screen);
  }
  if (play->likely) {
    draw_hint(play);
  }
  if (s->at[0]) {
    screen_say(screen, PAINT_STRONG, "%s", s->at);
  }
  for (int i = 0; i < s->n_choices; ++i) {
    const PracticeChoice* const c = &s->choices[i];
    char lead[8];
    if (s->at[0] && !c->step) {
      continue;
    }
    (void)snprintf(lead, sizeof(lead), "  %c  ", c->key);
    const char* const text = choice_text(play->face->arena, c, shared, n_shared);
    screen_item(screen, PAINT_PLAIN, lead, text ? text : "");
  }
  for (int i = 0; i < n_shared; ++i) {
    char lead[16];
    (void)snprintf(lead, sizeof(lead), "%4s First: ", marks[i]);
    screen_item(screen, PAINT_BAD, lead, shared[i]);
  }
  if (s->at[0]) { // What the screen before has in full
    screen_item(screen, PAINT_PLAIN, "  0  ",
                "somewhere else; w go round; ? what would the advice do; q leave");
  }
  screen_gap(screen);
}

void
play_view_end(const Play* play, const PracticeEnd* end)
{
  const Screen* const screen = play->face->screen;
  char yours[32];
  char its[32];
  const PracticeState state = play->screen.state;
  screen_say(screen, PAINT_STRONG, "%s", end->truth);
  if (end->after[0]) {
    screen_say(screen, PAINT_PLAIN, "%s", end->after);
  }
  (void)screen_seconds(end->seconds, yours);
  (void)screen_seconds(end->advice_s, its);
  if (!play->face->args->watch) {
    screen_say(screen, PAINT_PLAIN, "%s %s.",
               state == PRACTICE_SOUND   ? "You had sound again after"
               : state == PRACTICE_ROUND ? "You went round it in"
                                         : "You left after",
               yours);
    screen_say(screen, PAINT_PLAIN, "The advice takes %s on the same fault, in %d step%s%s.", its,
               end->advice_steps, end->advice_steps == 1 ? "" : "s",
               end->advice_found ? "" : ", and goes round it at last");
    if (end->first) {
      const char* const text = arena_format(play->face->arena, "%s: %s %s", end->first->who,
                                            end->first->say, end->first->why);
      screen_item(screen, PAINT_PLAIN, "It begins: ", text ? text : "");
    }
    screen_say(screen, PAINT_PLAIN,
               "Who knows the cause from the start takes %s; going by habit takes %s.",
               screen_seconds(end->floor_s, yours), screen_seconds(end->habit_s, its));
  }
  const Args* const args = play->face->args;
  const bool has_line = args->n_words > 1;
  screen_say(screen, PAINT_PLAIN,
             "The same again: linewalk rehearse %s%s%s%s%s%s --seed %d --act %s%s%s",
             play->show->path, has_line ? " " : "", has_line ? args->words[1] : "",
             args->hide ? " --hide \"" : "", args->hide ? args->hide : "", args->hide ? "\"" : "",
             play->seed, strchr(play->show->act_word, ' ') ? "\"" : "", play->show->act_word,
             strchr(play->show->act_word, ' ') ? "\"" : "");
}

// ---- JSON ----

static json_t*
move_json(const PracticeMove* move)
{
  json_t* const one = json_object();
  json_object_set_new(one, "start_s", json_figure(move->start_s));
  json_object_set_new(one, "seconds", json_figure(move->seconds));
  json_object_set_new(one, "who", json_words(move->who));
  json_object_set_new(one, "say", json_words(move->say));
  json_object_set_new(one, "answer", json_words(move->answer));
  return one;
}

static json_t*
choices_json(const PracticeScreen* s)
{
  json_t* const list = json_array();
  for (int i = 0; i < s->n_choices; ++i) {
    const PracticeChoice* const c = &s->choices[i];
    const char key[2] = {c->key, '\0'};
    json_t* const one = json_object();
    json_object_set_new(one, "key", json_words(key));
    json_object_set_new(one, "say", json_words(c->say));
    json_object_set_new(one, "caution", json_words(c->step ? c->step->caution : ""));
    json_object_set_new(one, "seconds", json_figure(c->seconds));
    json_array_append_new(list, one);
  }
  return list;
}

Status
play_view_json(const Play* play, const PracticeEnd* end)
{
  int n = 0;
  const PracticeMove* const moves = practice_moves(play->practice, &n);
  const PracticeScreen* const s = &play->screen;
  const Plant* const plant = &play->show->plant;
  json_t* const answer = json_answer(play->show->act_word);
  json_object_set_new(answer, "seed", json_integer(play->seed));
  json_object_set_new(answer, "line",
                      json_integer(plant->lines[practice_line(play->practice)].number));
  json_object_set_new(answer, "state", json_words(state_words[s->state]));
  json_object_set_new(answer, "complaint", json_words(s->complaint));
  json_object_set_new(answer, "others", json_words(s->others));
  json_object_set_new(answer, "seconds", json_figure(practice_seconds(play->practice)));
  json_object_set_new(answer, "note", json_words(play->note));
  json_object_set_new(answer, "at", json_words(s->at));
  json_object_set_new(answer, "last", n ? move_json(&moves[n - 1]) : json_null());
  json_object_set_new(answer, "choices", choices_json(s));
  json_object_set_new(answer, "likely", json_words(play->likely));
  json_object_set_new(answer, "advice", play->hint ? step_json(plant, play->hint) : json_null());
  if (end) {
    json_t* const last = json_object();
    json_object_set_new(last, "truth", json_words(end->truth));
    json_object_set_new(last, "after", json_words(end->after));
    json_object_set_new(last, "seconds", json_figure(end->seconds));
    json_object_set_new(last, "named_right", json_boolean(end->is_named));
    json_object_set_new(last, "advice_s", json_figure(end->advice_s));
    json_object_set_new(last, "advice_steps", json_integer(end->advice_steps));
    json_object_set_new(last, "advice_found", json_boolean(end->advice_found));
    json_object_set_new(last, "floor_s", json_figure(end->floor_s));
    json_object_set_new(last, "habit_s", json_figure(end->habit_s));
    json_object_set_new(last, "first", end->first ? step_json(plant, end->first) : json_null());
    json_object_set_new(answer, "end", last);
  } else {
    json_object_set_new(answer, "end", json_null());
  }
  return json_answer_print(answer, play->face->args, play->face->screen->out, play->face->error);
}
