// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/line_view.h"
#include "face/prove_talk.h"
#include "face/prove_view.h"

#include <stdio.h>

/*
  `prove --hunt`: one socket after the other with the lamp, until it lights.
*/

typedef struct {
  OpenShow* show;
  Keys* keys;
  int line; ///< Hunted
  int spot; ///< Which socket is tried
  char note[PROVE_NOTE_BYTES];
} Talk;

static Status
hunt_now(const Face* face, const OpenShow* show, int* line, ProveHunt* hunt)
{
  Status st;
  TRY(st, show_line(face, show, face->args->hunt, line));
  const char* const refusal = pass_refusal(show->situation, PASS_LAMP);
  if (refusal) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0, "%s", refusal);
  }
  st = prove_hunt(show->situation, &show->fold, face->arena, *line, hunt);
  return st == STATUS_NOT_FOUND
           ? error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "No desk gives line %d phantom: it cannot be found by lamp.",
                       show->plant.lines[*line].number)
           : st;
}

static Status
draw_hunt(const Talk* talk, const Face* face, const ProveHunt* hunt)
{
  const Screen* const screen = face->screen;
  const Plant* const plant = &talk->show->plant;
  char socket[40];
  screen_clear(screen);
  screen_say(screen, PAINT_STRONG, "Hunt for line %d.", plant->lines[talk->line].number);
  show_say_act(face, talk->show);
  if (talk->note[0]) {
    screen_say(screen, PAINT_WARN, "%s", talk->note);
  }
  screen_gap(screen);
  for (int i = 0; i < hunt->n_ready; ++i) {
    if (!hunt->ready[i].is_ready) {
      screen_item(screen, PAINT_BAD, "FIRST: ", hunt->ready[i].say);
      screen_gap(screen);
      prove_draw_key(face, 'y', "it is so", "they have said so themselves");
      prove_draw_key(face, 'q', "leave", "");
      screen_gap(screen);
      return STATUS_OK;
    }
  }
  screen_say(screen, PAINT_PLAIN, "%s", hunt->say);
  screen_say(screen, PAINT_STRONG, "Lamp tester into %s: does it light?",
             line_socket(plant, hunt->spots[talk->spot].line, socket));
  screen_gap(screen);
  prove_draw_key(face, 'y', "yes", "it lights here");
  prove_draw_key(face, 'n', "no", "dark, on to the next");
  prove_draw_key(face, 'b', "back", "the one before");
  prove_draw_key(face, 'q', "leave", "");
  screen_gap(screen);
  return STATUS_OK;
}

// The hunt has shown what one desk gets. The others have it alike when plugs before the split are
// exchanged, and as listed when the exchange lies behind it: no phantom tells, an ear does.
static void
say_others(const Face* face, const Plant* plant, int hunted, const ProveSpot* spot)
{
  const int* const found = plant->lines[spot->line].desk_input;
  const int* const own = plant->lines[hunted].desk_input;
  char socket[40];
  (void)line_socket(plant, spot->line, socket);
  for (int d = 0; d < plant->n_desks; ++d) {
    if (plant->desks[d].is_direct || found[d] == 0) {
      continue;
    }
    if (own[d] > 0) {
      screen_say(face->screen, PAINT_WARN,
                 "The %s may have %s wrong too: on %d if plugs before the split are exchanged, on "
                 "%d if not. Hear it there: prove --way microphone --from %s --go %s.",
                 plant->desks[d].say, socket, own[d], found[d], plant->desks[d].name, socket);
    } else {
      screen_say(face->screen, PAINT_WARN,
                 "The %s may have %s wrong too: hear it there (prove --way microphone --from %s "
                 "--go %s).",
                 plant->desks[d].say, socket, plant->desks[d].name, socket);
    }
  }
}

static Status
say_found(Talk* talk, const Face* face, const ProveSpot* spot)
{
  const Plant* const plant = &talk->show->plant;
  char own[40];
  char found[40];
  Status st;
  talk->note[0] = '\0';
  TRY(st, prove_tell(face, talk->show, &spot->found, NULL, talk->note));
  if (talk->note[0]) {
    screen_say(face->screen, PAINT_WARN, "%s", talk->note);
    return STATUS_NO;
  }
  (void)line_socket(plant, talk->line, own);
  (void)line_socket(plant, spot->line, found);
  if (spot->line == talk->line) {
    screen_say(face->screen, PAINT_GOOD, "Line %d comes out at %s, as the list says.",
               plant->lines[talk->line].number, own);
  } else {
    screen_say(face->screen, PAINT_GOOD,
               "Line %d comes out at %s, not at %s. Written down: what is plugged into %s comes in "
               "on %s. Patch the desks so; what %s itself comes in on is not known yet.",
               plant->lines[talk->line].number, found, own, found, spot->found.reading, own);
  }
  if (spot->line != talk->line) {
    say_others(face, plant, talk->line, spot);
  }
  screen_say(face->screen, PAINT_WARN,
             "Phantom off again on this channel, and wait 5 s before anything is plugged.");
  return STATUS_OK;
}

// One socket of a hunt, or one who is not ready.
static Status
turn(void* talk_, const Face* face, bool* done)
{
  Talk* const talk = talk_;
  ProveHunt hunt;
  const ProveReady* ready = NULL;
  Status st;
  TRY(st, show_situate(face, talk->show, -1));
  TRY(st, hunt_now(face, talk->show, &talk->line, &hunt));
  if (hunt.begin.verb) {
    TRY(st, prove_tell(face, talk->show, &hunt.begin, NULL, talk->note));
    TRY(st, show_again(face, talk->show));
    TRY(st, show_situate(face, talk->show, -1));
    TRY(st, hunt_now(face, talk->show, &talk->line, &hunt));
  }
  for (int i = hunt.n_ready - 1; i >= 0; --i) {
    ready = hunt.ready[i].is_ready ? ready : &hunt.ready[i];
  }
  TRY(st, draw_hunt(talk, face, &hunt));
  const int key = keys_next(talk->keys, face->screen, 0);
  talk->note[0] = '\0';
  *done = key == KEY_END || key == 'q' || (key == 'y' && !ready);
  if (key == 'y') {
    return ready ? prove_tell(face, talk->show, &ready->fact, NULL, talk->note)
                 : say_found(talk, face, &hunt.spots[talk->spot]);
  }
  if (*done) {
    return STATUS_NO;
  }
  if (!ready && (key == 'n' || key == 'b')) {
    talk->spot += key == 'n' ? 1 : hunt.n_spots - 1;
    talk->spot %= hunt.n_spots;
  } else {
    (void)snprintf(talk->note, sizeof(talk->note), "%s",
                   ready ? "Nothing goes on before that is said."
                         : "That key is not among the choices.");
  }
  return STATUS_OK;
}

Status
prove_hunt_talk(const Face* face, OpenShow* show, Keys* keys)
{
  Talk talk = {.show = show, .keys = keys, .line = -1};
  keys_init(keys, face->screen);
  keys->clock_says = "in this pass";
  return converse(face, show, turn, &talk);
}

Status
prove_hunt_now(const Face* face, OpenShow* show)
{
  ProveHunt hunt;
  int line = -1;
  Status st;
  TRY(st, show_situate(face, show, -1));
  TRY(st, hunt_now(face, show, &line, &hunt));
  return prove_hunt_answer(face, show, line, &hunt);
}
