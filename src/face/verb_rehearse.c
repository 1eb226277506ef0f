// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/cause.h"
#include "day/rehearse.h"
#include "face/play_view.h"
#include "face/rehearse_tell.h"
#include "face/rehearse_view.h"
#include "face/verb.h"

#include <signal.h>
#include <stdio.h>
#include <time.h>

/*
  `rehearse`: a fault is hidden, somebody plays, and the seed makes it the same again.

  The show is opened to be read and nothing else; the hidden fault lives in memory alone. Readings
  and plugs of the day do not count: it is the event as the lists have it.
*/

enum { MAX_DRAWS = 100000 }; ///< For a fault of one given line

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
  const Status st = cause_of(face->arena, play->base, line, face->args->hide, &cause, fits, &n);
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
    TRY(st, play_view_json(play, &end));
  } else {
    int n = 0;
    const PracticeMove* const moves = practice_moves(play->practice, &n);
    if (n > 0 && !play->face->args->watch) {
      screen_clear(play->face->screen);
      play_view_head(play);
      play_view_move(play, &moves[n - 1]);
      screen_gap(play->face->screen);
    }
    play_view_end(play, &end);
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
      TRY(st, play_view_json(play, NULL));
    } else {
      play_view_turn(play);
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
    TRY(st, play_view_json(play, NULL));
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
    (void)snprintf(lead, sizeof(lead), "%5s  ", play_view_clock(move->start_s, start));
    const char* const text = arena_format(play->face->arena, "%s: %s", move->who, move->say);
    screen_item(screen, PAINT_STRONG, lead, text ? text : "");
    if (step) {
      screen_item(screen, PAINT_PLAIN, "       ", step->why);
    }
    (void)snprintf(lead, sizeof(lead), "%5s  ",
                   play_view_clock(move->start_s + move->seconds, start));
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
    play_view_head(play);
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
  rehearse_without_paper(&show.plant);
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
