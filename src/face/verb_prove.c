// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/converse.h"
#include "face/line_view.h"
#include "face/prove_talk.h"
#include "face/prove_view.h"
#include "face/verb.h"

#include <stdio.h>
#include <string.h>

/*
  `prove`: line after line, one key each.

    facts --> situation --> where the pass stands --key--> facts ...

  As in `rescue` nothing is kept between two turns but the show itself; each turn has its own
  memory. What a key tells is a ready-made fact of day/prove and goes the way `saw` goes.
*/

enum { ANSWER_BYTES = 200 };

typedef struct {
  const Face* face;
  OpenShow* show;
  Keys keys;
  ProveAsk ask;
  Prove prove;
  const char* way;             ///< Chosen here, or by --way; NULL = that of the pass under way
  char note[PROVE_NOTE_BYTES]; ///< What to say above the next screen
} Talk;

// ---- Drawing ----

static void
draw_head(const Talk* talk, const Face* face)
{
  const Screen* const screen = face->screen;
  const Prove* const p = &talk->prove;
  screen_clear(screen);
  if (p->has_way) {
    const bool ear = pass_has_ear(p->way);
    screen_say(screen, PAINT_STRONG, "Prove: %s%s%s. %d of %d done.", pass_say(p->way),
               ear ? ", by the " : "", ear ? talk->show->plant.desks[p->desk].say : "",
               p->n[PROVE_GOOD] + p->n[PROVE_BAD],
               p->n[PROVE_GOOD] + p->n[PROVE_BAD] + p->n[PROVE_LEFT] + p->n[PROVE_SKIPPED]);
  } else {
    screen_say(screen, PAINT_STRONG, "Prove line after line, one key each.");
  }
  show_say_act(face, talk->show);
  if (talk->note[0]) {
    screen_say(screen, PAINT_WARN, "%s", talk->note);
  }
  if (p->order[0]) {
    screen_say(screen, PAINT_WARN, "%s", p->order);
  }
}

// Box after box by the way that finds most there, and what it cannot see.
static Status
draw_order(const Talk* talk, const Face* face)
{
  const Plant* const plant = &talk->show->plant;
  TextOut out = {.arena = face->arena};
  char seconds[32];
  Round round;
  Status st;
  TRY(st, prove_round(face, talk->show, &talk->ask, &talk->prove, &round));
  for (int i = 0; i < round.n_stops; ++i) {
    const RoundStop* const stop = &round.stops[i];
    const bool same_way = i > 0 && round.stops[i - 1].way == stop->way;
    text_add(&out, "%s%s%s%s",
             i == 0     ? ""
             : same_way ? ", "
                        : "; then ",
             same_way ? "" : pass_say(stop->way), same_way ? "" : ": ",
             plant->boxes[stop->box].name);
  }
  const char* const order = text_done(&out);
  if (!order) {
    return STATUS_NO_MEMORY;
  }
  if (round.n_stops > 0) {
    screen_gap(face->screen);
    screen_item(face->screen, PAINT_PLAIN, "Best order: ", order);
    screen_say(face->screen, PAINT_PLAIN, "%s%s%s with the walking; it should find %.1f faults.%s",
               round.who, round.who[0] ? ", " : "", screen_seconds(round.seconds, seconds),
               round.finds, round.is_best ? "" : " (A good order; too many stops for the best.)");
  }
  TextOut rest = {.arena = face->arena};
  for (int i = 0; i < round.n_unproven && i < 3; ++i) {
    text_add(&rest, "%s%s%s%s%s", i ? "; " : "", round.unproven[i].fault,
             round.unproven[i].say[0] ? " (" : "", round.unproven[i].say,
             round.unproven[i].say[0] ? ")" : "");
  }
  const char* const stays = text_done(&rest);
  if (stays && stays[0]) {
    screen_item(face->screen, PAINT_PLAIN, "Stays unproven: ", stays);
  }
  return stays ? STATUS_OK : STATUS_NO_MEMORY;
}

static void
draw_ways(const Talk* talk, const Face* face)
{
  const Situation* const s = talk->show->situation;
  screen_gap(face->screen);
  for (int w = 0; w < PASS_WAYS; ++w) {
    const char* const refusal = pass_refusal(s, (PassWay)w);
    char seconds[32];
    if (refusal) {
      screen_item(face->screen, PAINT_FAINT, "  -  ", refusal);
    } else {
      const char* const text =
        arena_format(face->arena, "about %s a line (usual practice)",
                     screen_seconds(pass_line_s(s->plant, (PassWay)w), seconds));
      prove_draw_key(face, (char)('1' + w), pass_say((PassWay)w), text ? text : "");
    }
  }
  prove_draw_key(face, 'q', "leave", "");
}

static const ProveReady*
next_ready(const Prove* p)
{
  for (int i = 0; i < p->n_ready; ++i) {
    if (!p->ready[i].is_ready) {
      return &p->ready[i];
    }
  }
  return NULL;
}

static void
draw_ready(const Talk* talk, const Face* face)
{
  const ProveReady* const ready = next_ready(&talk->prove);
  screen_gap(face->screen);
  screen_item(face->screen, PAINT_BAD, "FIRST: ", ready ? ready->say : "");
  screen_gap(face->screen);
  prove_draw_key(face, 'y', "it is so", "they have said so themselves");
  prove_draw_key(face, 'q', "leave", "");
}

static void
draw_line(const Talk* talk, const Face* face)
{
  const Prove* const p = &talk->prove;
  const Plant* const plant = &talk->show->plant;
  const int line = p->lines[p->at].line;
  const char* const source = line_source(talk->show, line);
  char socket[40];
  screen_gap(face->screen);
  screen_say(face->screen, PAINT_STRONG, "%s, line %d%s%s%s", line_socket(plant, line, socket),
             plant->lines[line].number, source[0] ? ", " : "", source,
             p->lines[p->at].is == PROVE_SKIPPED ? " (skipped before)" : "");
  if (p->caution[0]) {
    screen_item(face->screen, PAINT_BAD, "FIRST: ", p->caution);
  }
  screen_say(face->screen, PAINT_PLAIN, "%s", p->say);
  if (p->n_gaps > 0) {
    char first[40];
    screen_say(face->screen, PAINT_WARN, "%d before here not done; the first: %s.", p->n_gaps,
               line_socket(plant, p->lines[p->gaps[0]].line, first));
  }
  screen_gap(face->screen);
  for (int i = 0; i < p->n_keys; ++i) {
    prove_draw_key(face, p->keys[i].key, p->keys[i].word, p->keys[i].say);
  }
}

static void
draw_commands(const Talk* talk, const Face* face)
{
  const Prove* const p = &talk->prove;
  char socket[40];
  if (p->state == PROVE_GO) {
    prove_draw_key(face, 't', "all good to", "several at once; asks up to which socket");
    prove_draw_key(face, 'g', "go to", "another line; asks which");
  }
  if (p->last >= 0) {
    const char* const undo = arena_format(
      face->arena, "undo %s", line_socket(&talk->show->plant, p->lines[p->last].line, socket));
    prove_draw_key(face, 'u', undo ? undo : "undo", "");
  }
  prove_draw_key(face, 'q', "leave", "");
}

static Status
draw(const Talk* talk, const Face* face)
{
  const Prove* const p = &talk->prove;
  Status st;
  draw_head(talk, face);
  switch (p->state) {
    case PROVE_CHOOSE:
      TRY(st, draw_order(talk, face));
      draw_ways(talk, face);
      break;
    case PROVE_READY:
      draw_ready(talk, face);
      break;
    case PROVE_GO:
      draw_line(talk, face);
      draw_commands(talk, face);
      break;
    case PROVE_DONE:
      screen_gap(face->screen);
      draw_commands(talk, face);
      break;
  }
  screen_gap(face->screen);
  return STATUS_OK;
}

static void
say_summary(const Talk* talk, const Face* face)
{
  const Prove* const p = &talk->prove;
  const Plant* const plant = &talk->show->plant;
  if (p->has_way) {
    if (talk->ask.box >= 0) {
      screen_say(face->screen, PAINT_STRONG, "Box %s: %s.", plant->boxes[talk->ask.box].name,
                 p->summary);
    } else {
      screen_say(face->screen, PAINT_STRONG, "All boxes: %s.", p->summary);
    }
  }
}

// ---- Telling ----

// One more line of the input, behind a key that asks for something; false at its end.
static bool
read_answer(const Face* face, const char* prompt, char text[ANSWER_BYTES])
{
  if (face->screen->is_terminal) {
    (void)fputs(prompt, face->screen->out);
    (void)fflush(face->screen->out);
  }
  if (!fgets(text, ANSWER_BYTES, stdin)) {
    return false;
  }
  text[strcspn(text, "\r\n")] = '\0';
  return true;
}

// All of the box that are left, up to a socket.
static Status
all_good(Talk* talk, const Face* face)
{
  const Prove* const p = &talk->prove;
  const Plant* const plant = &talk->show->plant;
  const int box = plant->lines[p->lines[p->at].line].box;
  char text[ANSWER_BYTES];
  int socket = 0;
  if (!read_answer(face, "All good up to which socket? ", text)) {
    return STATUS_OK;
  }
  const int named = plant_socket(plant, text);
  if (named >= 0 && plant->lines[named].box == box) {
    socket = plant->lines[named].socket;
  } else if (!text_whole(text, 1, plant->boxes[box].n_sockets, &socket)) {
    (void)snprintf(talk->note, sizeof(talk->note), "There is no socket \"%.40s\" in box %.20s.",
                   text, plant->boxes[box].name);
    return STATUS_OK;
  }
  Status st = STATUS_OK;
  for (int i = 0; i < p->n_lines && st == STATUS_OK; ++i) {
    const Line* const line = &plant->lines[p->lines[i].line];
    if (line->box == box && line->socket <= socket && p->lines[i].is == PROVE_LEFT) {
      st = prove_tell(face, talk->show, &p->lines[i].good, NULL, talk->note);
    }
  }
  return st;
}

static Status
go_to(Talk* talk, const Face* face)
{
  char text[ANSWER_BYTES];
  int line = -1;
  if (!read_answer(face, "Which line or socket? ", text)) {
    return STATUS_OK;
  }
  const Status st = show_line(face, talk->show, text, &line);
  if (st == STATUS_BAD_INPUT) {
    (void)snprintf(talk->note, sizeof(talk->note), "%s", face->error->text);
    *face->error = (Error){0};
    return STATUS_OK;
  }
  talk->ask.line = line;
  return st;
}

static Status
answer_line(Talk* talk, const Face* face, char key)
{
  const Prove* const p = &talk->prove;
  talk->ask.line = -1;
  for (int i = 0; i < p->n_keys && p->state == PROVE_GO; ++i) {
    const ProveKey* const k = &p->keys[i];
    if (k->key != key) {
      continue;
    }
    char text[ANSWER_BYTES];
    const bool asks = k->asks != PROVE_ASKS_NOTHING;
    if (asks &&
        !read_answer(face,
                     k->asks == PROVE_ASKS_INPUT ? "On which input? " : "Which lamps, as in G.R? ",
                     text)) {
      return STATUS_OK;
    }
    if (!strcmp(k->fact.verb, "say")) {
      (void)snprintf(talk->note, sizeof(talk->note), "Sent to %s: %s", k->fact.to, k->fact.text);
      talk->ask.line = p->lines[p->at].line;
    }
    return prove_tell(face, talk->show, &k->fact, asks ? text : NULL, talk->note);
  }
  if (key == 'u' && p->take_back.verb) {
    talk->ask.line = p->lines[p->last].line;
    (void)snprintf(talk->note, sizeof(talk->note), "Taken back.");
    return prove_tell(face, talk->show, &p->take_back, NULL, talk->note);
  }
  if (p->state == PROVE_GO && (key == 't' || key == 'g')) {
    return key == 't' ? all_good(talk, face) : go_to(talk, face);
  }
  (void)snprintf(talk->note, sizeof(talk->note), "That key is not among the choices.");
  return STATUS_OK;
}

static Status
answer_key(Talk* talk, const Face* face, char key)
{
  const Prove* const p = &talk->prove;
  talk->note[0] = '\0';
  if (p->state == PROVE_CHOOSE) {
    const int way = key - '1';
    if (way >= 0 && way < PASS_WAYS && !pass_refusal(talk->show->situation, (PassWay)way)) {
      talk->way = pass_word((PassWay)way);
    } else {
      (void)snprintf(talk->note, sizeof(talk->note), "That key is not among the choices.");
    }
    return STATUS_OK;
  }
  if (p->state == PROVE_READY) {
    const ProveReady* const ready = next_ready(p);
    if (key == 'y' && ready) {
      return prove_tell(face, talk->show, &ready->fact, NULL, talk->note);
    }
    (void)snprintf(talk->note, sizeof(talk->note), "Nothing goes on before that is said.");
    return STATUS_OK;
  }
  return answer_line(talk, face, key);
}

// ---- Turns ----

static Status
look(Talk* talk, const Face* face)
{
  Status st;
  TRY(st, show_situate(face, talk->show, -1));
  const int line = talk->ask.line;
  Args args = *face->args;
  args.way = talk->way;
  args.meter = talk->way ? NULL : args.meter;
  args.go = NULL;
  const Face asked = {face->arena, &args, face->screen, face->error, face->kept};
  TRY(st, prove_ask(&asked, talk->show, &talk->ask));
  talk->ask.line = line;
  const char* const refusal =
    talk->ask.has_way ? pass_refusal(talk->show->situation, talk->ask.way) : NULL;
  if (refusal) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0, "%s", refusal);
  }
  return prove_now(talk->show->situation, &talk->show->fold, face->arena, &talk->ask, &talk->prove);
}

static Status
turn(void* talk_, const Face* face, bool* done)
{
  Talk* const talk = talk_;
  Status st;
  TRY(st, look(talk, face));
  if (talk->prove.state == PROVE_CHOOSE && talk->way) {
    TRY(st, prove_tell(face, talk->show, &talk->prove.begin, NULL, talk->note));
    TRY(st, show_again(face, talk->show));
    TRY(st, look(talk, face));
  }
  TRY(st, draw(talk, face));
  const int key = keys_next(&talk->keys, face->screen, 0);
  *done = key == KEY_END || key == 'q';
  if (*done) {
    say_summary(talk, face);
    return talk->prove.state == PROVE_DONE && talk->prove.n[PROVE_BAD] == 0 ? STATUS_OK : STATUS_NO;
  }
  return key == KEY_LATER ? STATUS_OK : answer_key(talk, face, (char)key);
}

// ---- Answers at once ----

static Status
answer_now(const Face* face, OpenShow* show)
{
  ProveAsk ask;
  Prove prove;
  Status st;
  TRY(st, show_situate(face, show, -1));
  TRY(st, prove_ask(face, show, &ask));
  TRY(st, prove_now(show->situation, &show->fold, face->arena, &ask, &prove));
  Round round;
  if (ask.box >= 0) {
    return prove_answer(face, show, &ask, &prove, NULL);
  }
  TRY(st, prove_round(face, show, &ask, &prove, &round));
  return prove_answer(face, show, &ask, &prove, &round);
}

Status
verb_prove(const Face* face)
{
  const Args* const args = face->args;
  OpenShow show;
  Talk talk = {.face = face, .show = &show, .way = prove_way(args), .ask = {.line = -1}};
  Status st;
  TRY(st, prove_check_way(face));
  TRY(st, show_open(face, args->words[0], args->json ? STORE_READ : STORE_WRITE, &show));
  if (args->hunt) {
    st = args->json ? prove_hunt_now(face, &show) : prove_hunt_talk(face, &show, &talk.keys);
  } else if (args->json) {
    st = answer_now(face, &show);
  } else {
    keys_init(&talk.keys, face->screen);
    talk.keys.clock_says = "in this pass";
    st = converse(face, &show, turn, &talk);
  }
  return converse_close(face, &show, &talk.keys, st);
}
