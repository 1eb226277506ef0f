// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/practice.h"
#include "face/json.h"
#include "face/key.h"
#include "face/line_view.h"
#include "face/rehearse_tell.h"
#include "face/rehearse_view.h"
#include "face/step_view.h"
#include "face/verb.h"

#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

/*
  `rehearse`: day/practice drawn, and the seed that makes it the same again.

  The show is opened to be read and nothing else; the hidden fault lives in memory alone. Readings
  and plugs of the day do not count: it is the event as the lists have it.
*/

enum { MAX_DRAWS = 100000 }; ///< For a fault of one given line

typedef struct {
  const Face* face;
  OpenShow* show;
  Situation* base;
  int seed;
  Practice* practice;
  PracticeScreen screen;
  Keys keys;
  const char* note; ///< Above the choices, "" = nothing
  const Step* hint; ///< Asked for; NULL = not
  const char* likely;
} Play;

static const char* const state_words[] = {"where", "what", "sound", "round", "left"};

static const char*
clock_text(double seconds, char text[16])
{
  const int s = (int)(seconds + 0.5);
  (void)snprintf(text, 16, "%d:%02d", s / 60, s % 60);
  return text;
}

// ---- The hidden fault ----

static Status
nothing_there(const Face* face)
{
  return error_set(face->error, STATUS_NO_SOLUTION, NULL, 0, 0,
                   "Nothing to rehearse: no line of the act has a source with a fault that "
                   "somebody would notice.");
}

/// An act with sources by chance, unless the act is settled.
static int
draw_act(const OpenShow* show, Rng* rng)
{
  int n = 0;
  int acts[PLANT_MAX_LINES];
  for (int a = 0; a < show->plant.n_acts && n < PLANT_MAX_LINES; ++a) {
    bool has = false;
    for (int l = 0; l < show->plant.n_lines && !has; ++l) {
      has = plant_input(&show->plant, a, l) != NULL;
    }
    if (has) {
      acts[n++] = a;
    }
  }
  return n ? acts[rng_below(rng, n)] : -1;
}

static Status
hide_named(Play* play, int line, World* world)
{
  const Face* const face = play->face;
  const char* fits[8];
  int n = 0;
  WorldCause cause;
  const Status st =
    practice_cause_of(face->arena, play->base, line, face->args->hide, &cause, fits, &n);
  if (st == STATUS_NO_SOLUTION && n == 0) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "No fault of line %d is called \"%.60s\": \"linewalk predict\" lists them, as "
                     "in \"cable: open 3\".",
                     play->show->plant.lines[line].number, face->args->hide);
  }
  if (st == STATUS_NO_SOLUTION) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "More than one fault of line %d holds \"%.60s\": \"%.80s\", \"%.80s\"%s.",
                     play->show->plant.lines[line].number, face->args->hide, fits[0],
                     n > 1 ? fits[1] : fits[0], n > 2 ? " and others" : "");
  }
  if (st != STATUS_OK) {
    return st;
  }
  return world_hide(play->base, &cause, (uint64_t)play->seed, world) == STATUS_OK
           ? STATUS_OK
           : error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "Nobody notices \"%.60s\" on line %d with --seed %d: nothing to find.",
                       face->args->hide, play->show->plant.lines[line].number, play->seed);
}

static Status
hide_drawn(Play* play, int line, Rng* rng, World* world)
{
  const WorldUrn* urn = NULL;
  Status st = world_urn(play->face->arena, play->base, &urn);
  if (st != STATUS_OK) {
    return st == STATUS_NO_SOLUTION ? nothing_there(play->face) : st;
  }
  for (int i = 0; i < MAX_DRAWS; ++i) {
    st = world_draw(urn, rng, (uint64_t)play->seed, -1, world);
    if (st != STATUS_OK) {
      return st == STATUS_NO_SOLUTION ? nothing_there(play->face) : st;
    }
    if (line < 0 || world->cause.line == line) {
      return STATUS_OK;
    }
  }
  return nothing_there(play->face);
}

static Status
begin(Play* play)
{
  const Face* const face = play->face;
  const Args* const args = face->args;
  OpenShow* const show = play->show;
  int line = -1;
  Rng rng;
  Status st = STATUS_OK;
  rng_init(&rng, (uint64_t)play->seed);
  if (args->n_words > 1) {
    TRY(st, show_act(face, show, -1));
    TRY(st, show_line(face, show, args->words[1], &line));
    TRY(st, show_act(face, show, line));
  } else if (!args->act) {
    show->act = draw_act(show, &rng);
    show->act_word = show->act < 0 ? "bare lines" : show->plant.acts[show->act].name;
  }
  if (show->act < 0) {
    return nothing_there(face);
  }
  TRY(st, situation_new(face->arena, &show->plant, show->act, NULL, &play->base));
  World world;
  TRY(st, args->hide ? hide_named(play, line, &world) : hide_drawn(play, line, &rng, &world));
  const PracticeOptions options = {.n_people = args->n_people ? args->n_people
                                               : args->tell   ? 0
                                                              : 2,
                                   .asks = args->asked,
                                   .deadline_s = args->minutes * 60.0,
                                   .goes_round = args->ways_round};
  return practice_new(face->arena, play->base, &world, &options, &play->practice);
}

// ---- Words ----

static void
draw_head(const Play* play)
{
  const Screen* const screen = play->face->screen;
  const int line = practice_line(play->practice);
  char socket[40];
  char now[16];
  const bool watch = play->face->args->watch;
  screen_say(screen, PAINT_STRONG, "%d, %s, %s, %s%s%s", play->show->plant.lines[line].number,
             line_socket(&play->show->plant, line, socket), line_source(play->show, line),
             play->show->act_word, watch ? "" : "; the story's clock stands at ",
             watch ? "" : clock_text(practice_seconds(play->practice), now));
  screen_say(screen, PAINT_PLAIN, "%s", play->screen.complaint);
  if (play->screen.others[0]) {
    screen_say(screen, PAINT_STRONG, "%s", play->screen.others);
  }
  screen_gap(screen);
}

static void
draw_move(const Play* play, const PracticeMove* move)
{
  char lead[32];
  char start[16];
  (void)snprintf(lead, sizeof(lead), "%5s  ", clock_text(move->start_s, start));
  const char* const text = arena_format(play->face->arena, "%s: %s", move->who, move->say);
  screen_item(play->face->screen, PAINT_PLAIN, lead, text ? text : "");
  (void)snprintf(lead, sizeof(lead), "%5s  ", clock_text(move->start_s + move->seconds, start));
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

static void
draw(const Play* play)
{
  const Screen* const screen = play->face->screen;
  const PracticeScreen* const s = &play->screen;
  int n = 0;
  const PracticeMove* const moves = practice_moves(play->practice, &n);
  const char* shared[MAX_SHARED];
  const int n_shared = shared_cautions(s, shared);
  screen_clear(screen);
  draw_head(play);
  if (n > 0 && !play->likely && !s->at[0]) {
    draw_move(play, &moves[n - 1]);
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

static void
draw_end(const Play* play, const PracticeEnd* end)
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

static Status
draw_json(const Play* play, const PracticeEnd* end)
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

// ---- Playing ----

static bool
is_over(const Play* play)
{
  return play->screen.state != PRACTICE_WHERE && play->screen.state != PRACTICE_WHAT;
}

static Status
finish(Play* play)
{
  PracticeEnd end;
  Status st = STATUS_OK;
  TRY(st, practice_end(play->practice, &end));
  if (play->face->args->json) {
    TRY(st, draw_json(play, &end));
  } else {
    int n = 0;
    const PracticeMove* const moves = practice_moves(play->practice, &n);
    if (n > 0 && !play->face->args->watch) {
      screen_clear(play->face->screen);
      draw_head(play);
      draw_move(play, &moves[n - 1]);
      screen_gap(play->face->screen);
    }
    draw_end(play, &end);
  }
  return play->screen.state == PRACTICE_LEFT ? STATUS_NO : STATUS_OK;
}

static Status
answer_key(Play* play, int key)
{
  play->note = "";
  play->hint = NULL;
  play->likely = NULL;
  if (key == KEY_END) {
    key = 'q';
  }
  const Status st = practice_key(play->practice, &play->screen, (char)key);
  if (st == STATUS_BAD_ARG) {
    play->note = "That key is not among the choices.";
    return STATUS_OK;
  }
  return st == STATUS_OK && key == '?' ? practice_advice(play->practice, &play->hint, &play->likely)
                                       : st;
}

static Status
play_by_hand(Play* play)
{
  Status st = STATUS_OK;
  TRY(st, practice_screen(play->practice, &play->screen));
  while (!is_over(play)) {
    if (play->face->args->json) {
      TRY(st, draw_json(play, NULL));
    } else {
      draw(play);
    }
    const int key = keys_next(&play->keys, play->face->screen, 0);
    if (key != KEY_LATER) {
      TRY(st, answer_key(play, key));
    }
    TRY(st, practice_screen(play->practice, &play->screen));
  }
  return finish(play);
}

/// One step of the advice: what it holds, what it does and why, what came of it.
static Status
watch_step(Play* play)
{
  const Screen* const screen = play->face->screen;
  Status st = STATUS_OK;
  char lead[32];
  char start[16];
  TRY(st, practice_advice(play->practice, &play->hint, &play->likely));
  if (play->face->args->json) {
    TRY(st, draw_json(play, NULL));
  } else {
    screen_item(screen, PAINT_PLAIN, "       ", play->likely);
    if (play->hint && play->hint->caution[0]) {
      screen_item(screen, PAINT_BAD, "       First: ", play->hint->caution);
    }
  }
  const Step* const step = play->hint;
  TRY(st, step ? practice_take(play->practice, step) : practice_go_round(play->practice));
  if (!play->face->args->json) {
    int n = 0;
    const PracticeMove* const move = &practice_moves(play->practice, &n)[n - 1];
    (void)snprintf(lead, sizeof(lead), "%5s  ", clock_text(move->start_s, start));
    const char* const text = arena_format(play->face->arena, "%s: %s", move->who, move->say);
    screen_item(screen, PAINT_STRONG, lead, text ? text : "");
    if (step) {
      screen_item(screen, PAINT_PLAIN, "       ", step->why);
    }
    (void)snprintf(lead, sizeof(lead), "%5s  ", clock_text(move->start_s + move->seconds, start));
    const char* const answer = arena_format(play->face->arena, "-> %s.", move->answer);
    screen_item(screen, PAINT_STRONG, lead, answer ? answer : "");
    screen_gap(screen);
  }
  return practice_screen(play->practice, &play->screen);
}

static Status
play_by_advice(Play* play)
{
  Status st = STATUS_OK;
  TRY(st, practice_screen(play->practice, &play->screen));
  if (!play->face->args->json) {
    draw_head(play);
  }
  while (!is_over(play)) {
    TRY(st, watch_step(play));
  }
  return finish(play);
}

static Status
check_words(const Face* face)
{
  const Args* const args = face->args;
  const char* const wrong =
    args->n_runs && (args->hide || args->watch || args->tell || args->n_words > 1)
      ? "--auto takes no LINE, no --hide, no --watch and no --tell."
    : !args->n_runs && args->ways_round && !args->watch && !args->tell
      ? "--ways-round is for --auto, --watch and --tell: by hand w goes round."
    : args->tell && args->json        ? "--tell is Markdown, for people: JSON comes with --watch."
    : args->hide && args->n_words < 2 ? "--hide needs the LINE on which somebody complains."
                                      : NULL;
  return wrong ? error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0, "%s", wrong) : STATUS_OK;
}

Status
verb_rehearse(const Face* face)
{
  OpenShow show;
  Args args = *face->args;
  Status st = STATUS_OK;
  TRY(st, check_words(face));
  if (args.seed < 0) {
    struct timespec now;
    (void)clock_gettime(CLOCK_REALTIME, &now);
    args.seed = (int)((now.tv_sec * 1000 + now.tv_nsec / 1000000) % 1000000);
  }
  const Face own = {face->arena, &args, face->screen, face->error, face->kept};
  TRY(st, show_open(&own, args.words[0], STORE_READ, &show));
  Play play = {.face = &own, .show = &show, .seed = args.seed, .note = ""};
  st = args.act ? show_act(&own, &show, -1) : STATUS_OK;
  if (st == STATUS_OK && args.n_runs && args.act && show.act < 0) {
    st = nothing_there(&own);
  }
  if (st == STATUS_OK && args.n_runs) {
    st = rehearse_view(&own, &show);
  } else if (st == STATUS_OK) {
    keys_init(&play.keys, own.screen);
    play.keys.clock_says = "of your own time";
    st = begin(&play);
    st = st != STATUS_OK ? st
         : args.tell     ? rehearse_tell(&own, &show, play.practice)
         : args.watch    ? play_by_advice(&play)
                         : play_by_hand(&play);
  }
  const bool said = st == STATUS_OK || st == STATUS_NO;
  const Status closed = store_close(show.store, said ? face->error : NULL);
  if (play.keys.signal) {
    (void)fflush(stdout);
    (void)raise(play.keys.signal);
  }
  return said && closed != STATUS_OK ? closed : st;
}
