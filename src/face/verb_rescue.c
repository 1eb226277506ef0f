// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/rescue.h"
#include "face/converse.h"
#include "face/line_view.h"
#include "face/step_view.h"
#include "face/verb.h"

#include <stdio.h>
#include <string.h>

/*
  `rescue`: the conversation of day/rescue, drawn.

    facts --> situation --> screen --key--> fact --> facts ...

  Nothing is kept between two turns but the show itself and which of the steps in hand is being
  answered; each turn has its own memory. Whoever
  leaves and comes back goes on where the facts stand.
*/

enum { ROUND_FIRST_S = 60 }; ///< From here the way round comes first: the screen is drawn again

typedef struct {
  const Face* face;
  OpenShow* show;
  int line;
  Keys keys;
  Crew crew;
  RescueScreen screen;
  int at;           ///< Which step in hand is answered
  const char* note; ///< What to say above the next screen, "" = nothing
} Talk;

static const char* const state_words[] = {"step", "round", "wait", "done", "stuck"};

// ---- Drawing ----

static void
draw_head(const Talk* talk, const Face* face)
{
  const Screen* const screen = face->screen;
  const OpenShow* const show = talk->show;
  const int s = (int)keys_seconds(&talk->keys);
  char socket[40];
  screen_clear(screen);
  screen_say(screen, PAINT_STRONG, "%d, %s, %s", show->plant.lines[talk->line].number,
             line_socket(&show->plant, talk->line, socket), line_source(show, talk->line));
  show_say_act(face, show);
  if (!screen->has_escapes) { // Where the clock does not run by itself
    screen_say(screen, PAINT_PLAIN, "%d:%02d on this line.", s / 60, s % 60);
  }
  if (talk->note[0]) {
    screen_say(screen, PAINT_WARN, "%s", talk->note);
  }
  screen_gap(screen);
}

// Who listens while a step is done, and what others do meanwhile.
static void
draw_others(const Talk* talk, const Face* face)
{
  const RescueScreen* const r = &talk->screen;
  const Screen* const screen = face->screen;
  const ShareStep* const own = &r->in_hand[r->at];
  if (r->step && own->ear >= 0) {
    screen_say(screen, PAINT_PLAIN, "%s listens at the %s.", talk->crew.people[own->ear].role,
               talk->show->plant.desks[r->step->ear_desk].say);
  }
  for (int i = 0; i < r->n_in_hand; ++i) {
    const Step* const step = r->in_hand[i].step;
    if (i == r->at) {
      continue;
    }
    if (step->caution[0]) {
      screen_item(screen, PAINT_BAD, "Meanwhile, FIRST: ", step->caution);
    }
    screen_say(screen, PAINT_PLAIN, "%s%s: %s", step->caution[0] ? "" : "Meanwhile, ", step->who,
               step->say);
  }
}

static void
draw_step(const Talk* talk, const Face* face)
{
  const RescueScreen* const r = &talk->screen;
  const Screen* const screen = face->screen;
  if (r->caution && r->caution[0]) {
    screen_item(screen, PAINT_BAD, "FIRST: ", r->caution);
    screen_gap(screen);
  }
  if (r->state == RESCUE_STEP && r->step) {
    screen_say(screen, PAINT_STRONG, "%s: %s", r->step->who, r->headline);
  } else {
    screen_say(screen, PAINT_STRONG, "%s", r->headline);
  }
  for (int i = 0; r->state == RESCUE_ROUND && i < r->ways[0].n_desks; ++i) {
    const AroundDesk* const desk = &r->ways[0].desks[i];
    const char* const text =
      arena_format(face->arena, "%s: %s", talk->show->plant.desks[desk->desk].say, desk->say);
    screen_item(screen, PAINT_PLAIN, "  ", text ? text : "");
  }
  screen_gap(screen);
  if (r->why && r->why[0]) {
    screen_say(screen, PAINT_PLAIN, "%s", r->why);
  }
  if (r->likely && r->likely[0]) {
    screen_say(screen, PAINT_PLAIN, "%s (From usual practice and what was read.)", r->likely);
  }
  if (r->state == RESCUE_ROUND && r->step) {
    screen_gap(screen);
    if (r->step->caution && r->step->caution[0]) {
      screen_item(screen, PAINT_BAD, "Or go on looking. FIRST: ", r->step->caution);
    }
    screen_say(screen, PAINT_PLAIN, "%s%s: %s",
               r->step->caution && r->step->caution[0] ? "" : "Or go on looking. ", r->step->who,
               r->step->say);
  }
  if (r->n_in_hand > 0) {
    draw_others(talk, face);
  }
}

static void
draw(const Talk* talk, const Face* face)
{
  const RescueScreen* const r = &talk->screen;
  draw_head(talk, face);
  draw_step(talk, face);
  screen_gap(face->screen);
  for (int i = 0; i < r->n_choices; ++i) {
    char lead[8];
    (void)snprintf(lead, sizeof(lead), "  %c  ", r->choices[i].key);
    screen_item(face->screen, PAINT_PLAIN, lead, r->choices[i].say);
  }
  screen_gap(face->screen);
}

static Status
draw_json(const Talk* talk, const Face* face)
{
  const RescueScreen* const r = &talk->screen;
  const Plant* const plant = &talk->show->plant;
  json_t* const answer = json_answer(talk->show->act_word);
  json_object_set_new(answer, "line", json_integer(plant->lines[talk->line].number));
  json_object_set_new(answer, "state", json_words(state_words[r->state]));
  json_object_set_new(answer, "headline", json_words(r->headline));
  json_object_set_new(answer, "why", json_words(r->why));
  json_object_set_new(answer, "caution", json_words(r->caution));
  json_object_set_new(answer, "likely", json_words(r->likely));
  json_object_set_new(answer, "note", json_words(talk->note));
  json_object_set_new(answer, "step",
                      r->step ? step_shared_json(plant, &talk->crew, &r->in_hand[r->at])
                              : json_null());
  json_t* const others = json_array();
  for (int i = 0; i < r->n_in_hand; ++i) {
    if (i != r->at) {
      json_array_append_new(others, step_shared_json(plant, &talk->crew, &r->in_hand[i]));
    }
  }
  json_object_set_new(answer, "meanwhile", others);
  json_t* const ways = json_array();
  for (int i = 0; i < r->n_ways; ++i) {
    json_array_append_new(ways, way_json(plant, &r->ways[i]));
  }
  json_object_set_new(answer, "ways", ways);
  json_t* const choices = json_array();
  for (int i = 0; i < r->n_choices; ++i) {
    json_t* const choice = json_object();
    const char key[2] = {r->choices[i].key, '\0'};
    json_object_set_new(choice, "key", json_words(key));
    json_object_set_new(choice, "say", json_words(r->choices[i].say));
    json_array_append_new(choices, choice);
  }
  json_object_set_new(answer, "choices", choices);
  json_object_set_new(answer, "since_s", json_figure(keys_seconds(&talk->keys)));
  return json_answer_print(answer, face->args, face->screen->out, face->error);
}

// ---- Answers ----

static Status
take_back(Talk* talk, const Face* face)
{
  const char* const id = fold_undo_id(&talk->show->fold);
  const FoldSet all = talk->show->fold.all;
  for (size_t i = 0; id && i < all.n_facts; ++i) {
    // Only what was said of this line: the newest fact may be somebody else's
    if (!strcmp(all.facts[i]->fact.id, id) &&
        all.facts[i]->body.line == talk->show->plant.lines[talk->line].number) {
      char now[FACT_TIME_ROOM];
      fact_time_now(now);
      const Args* const args = face->args;
      talk->note = "Taken back.";
      return store_void(talk->show->store, id, NULL, now, args->from ? args->from : "",
                        args->role ? args->role : "", NULL, face->error);
    }
  }
  talk->note = "The newest fact of this show is not about this line: nothing taken back.";
  return STATUS_OK;
}

static Status
answer_key(Talk* talk, const Face* face, char key)
{
  talk->note = "";
  FactKind kind;
  FactBody body;
  const Status st =
    rescue_answer(talk->show->situation, face->arena, &talk->screen, talk->line, key, &kind, &body);
  if (st == STATUS_BAD_ARG) {
    talk->note = "That key is not among the choices.";
    return STATUS_OK;
  }
  if (key == 'm') {
    talk->at = (talk->screen.at + 1) % talk->screen.n_in_hand;
    return STATUS_OK;
  }
  talk->at = 0;
  if (st == STATUS_NO) {
    return key == 'u' ? take_back(talk, face) : STATUS_OK;
  }
  bool is_new = false;
  return st != STATUS_OK ? st : show_tell(face, talk->show, kind, &body, &is_new, NULL);
}

// One turn: how it stands, the screen, a key, the fact. `done` when the conversation is over.
static Status
turn(void* talk_, const Face* face, bool* done)
{
  Talk* const talk = talk_;
  OpenShow* const show = talk->show;
  NextOptions options;
  Deadline deadline;
  Status st;
  TRY(st, show_situate(face, show, talk->line));
  TRY(st, step_options(face, show, talk->line, &options, &deadline));
  options.since_s = keys_seconds(&talk->keys);
  char now[FACT_TIME_ROOM];
  fact_time_now(now);
  TRY(st, crew_now(face->arena, &show->plant, &show->fold, now, options.home_desk, talk->line,
                   &talk->crew));
  TRY(st, rescue_with(show->situation, face->arena, talk->line, &options, &talk->crew, talk->at,
                      &talk->screen));
  if (face->args->json) {
    TRY(st, draw_json(talk, face));
  } else {
    draw(talk, face);
  }
  const int key =
    keys_next(&talk->keys, face->screen, options.since_s < ROUND_FIRST_S ? ROUND_FIRST_S : 0);
  if (key == KEY_LATER) {
    return STATUS_OK;
  }
  *done = key == KEY_END || key == 'q';
  return *done ? STATUS_OK : answer_key(talk, face, (char)key);
}

Status
verb_rescue(const Face* face)
{
  OpenShow show;
  Talk talk = {.face = face, .show = &show, .note = ""};
  Status st;
  TRY(st, show_open(face, face->args->words[0], STORE_WRITE, &show));
  st = show_find(face, &show, face->args->words[1], &talk.line);
  if (st == STATUS_OK) {
    keys_init(&talk.keys, face->screen);
    st = converse(face, &show, turn, &talk);
    st = st == STATUS_OK && talk.screen.state != RESCUE_DONE ? STATUS_NO : st;
  }
  return converse_close(face, &show, &talk.keys, st);
}
