// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/outputs_ask.h"
#include "face/outputs_view.h"
#include "face/tell.h"
#include "face/verb.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  `outputs`: loudspeaker circuits and monitor mixes. Without a name all of them by zone and the next
  step; with one, all about it; with CHECK=READING it is written down.
*/

#define USUAL_LOSS_DB 0.5
#define USUAL_VOLTS 20.0

Status
outputs_ask_look(OutputsAsk* a)
{
  Outputs* o = NULL;
  Status st;
  TRY(st, outputs_new(a->face->arena, &a->show->plant, &a->show->fold, &o));
  a->o = o;
  if (o->n == 0) {
    return error_set(
      a->face->error, STATUS_NOT_FOUND, NULL, 0, 0,
      "This show has no list of loudspeaker circuits or monitor mixes: import one with the "
      "columns circuit, amp and load_dcr_ohm, or mix and feeds.");
  }
  bool any = !a->name;
  for (int i = 0; i < o->n; ++i) {
    any = any || outputs_about(o->plant, i, a->name);
  }
  return any ? STATUS_OK
             : error_set(a->face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                         "There is no circuit, mix, amplifier or zone \"%.40s\" on the lists.",
                         a->name);
}

bool
outputs_ask_about(const OutputsAsk* a, int circuit)
{
  return !a->name || outputs_about(a->o->plant, circuit, a->name);
}

// The one circuit a name means, -1 when it means several.
static int
one_of(const OutputsAsk* a)
{
  int found = -1;
  int n = 0;
  for (int i = 0; i < a->o->n; ++i) {
    if (outputs_ask_about(a, i)) {
      found = i;
      ++n;
    }
  }
  return n == 1 ? found : -1;
}

// ---- JSON ----

static json_t*
round_json(const OutputsAsk* a, const OutputStop stops[], int n)
{
  json_t* const all = json_array();
  const Plant* const plant = a->o->plant;
  for (int i = 0; i < n; ++i) {
    if (!outputs_ask_about(a, stops[i].circuit)) {
      continue;
    }
    json_t* const one = json_object();
    json_object_set_new(one, "at",
                        json_words(stops[i].place >= 0 ? plant->places[stops[i].place] : ""));
    json_object_set_new(one, "check", json_words(outputs_check_word(stops[i].check)));
    json_object_set_new(one, "circuit", json_words(stops[i].name));
    json_object_set_new(one, "seconds", json_figure(stops[i].seconds));
    json_object_set_new(one, "done", json_boolean(stops[i].is_done));
    json_array_append_new(all, one);
  }
  return all;
}

static Status
answer(const OutputsAsk* a)
{
  const Face* const face = a->face;
  const OutputStop* stops = NULL;
  const int one = one_of(a);
  int n = 0;
  double walk_s = 0.0;
  OutputStep step;
  bool has = false;
  Status st;
  TRY(st, outputs_round(a->o, face->arena, -1, &stops, &n, &walk_s));
  TRY(st, outputs_next(a->o, face->arena, a->name, &step, &has));
  json_t* const object = json_answer(a->show->act_word);
  json_t* const rows = json_array();
  json_t* const drives = json_array();
  json_t* const steps = json_array();
  for (int i = 0; i < a->o->n; ++i) {
    if (outputs_ask_about(a, i)) {
      json_array_append_new(rows, outputs_json_row(a->o, i));
    }
  }
  if (has) {
    json_array_append_new(steps, outputs_json_step(a->o, &step));
  }
  for (int d = 0; d < a->o->n_drives; ++d) {
    if (outputs_ask_about(a, a->o->drives[d].circuits[0])) {
      json_t* const drive = outputs_json_drive(a->o, face->arena, d);
      if (!drive) {
        json_decref(drives);
        json_decref(rows);
        json_decref(steps);
        json_decref(object);
        return STATUS_NO_MEMORY;
      }
      json_array_append_new(drives, drive);
    }
  }
  json_object_set_new(object, "circuits", rows);
  json_object_set_new(object, "drives", drives);
  json_object_set_new(object, "steps", steps);
  json_object_set_new(object, "round", round_json(a, stops, n));
  json_object_set_new(object, "walk_s", json_figure(walk_s));
  json_object_set_new(object, "leads_ohm", json_figure(a->o->leads_ohm));
  json_object_set_new(object, "celsius", json_figure(a->o->air_c));
  json_object_set_new(object, "left_aside", json_words(a->o->left_aside));
  json_object_set_new(object, "entered", json_integer(a->n_entered));
  if (one >= 0) {
    json_t* const whole = outputs_json_whole(a->o, face->arena, one, &a->what);
    if (!whole) {
      json_decref(object);
      return STATUS_NO_MEMORY;
    }
    json_object_set_new(object, "circuit", whole);
  }
  return json_answer_print(object, face->args, face->screen->out, face->error);
}

// ---- Words ----

static void
say_counts(const OutputsAsk* a)
{
  int n_of[OUTPUT_BAD + 1] = {0};
  int n = 0;
  for (int i = 0; i < a->o->n; ++i) {
    if (outputs_ask_about(a, i)) {
      ++n_of[a->o->standing[i].state];
      ++n;
    }
  }
  screen_say(a->face->screen,
             n_of[OUTPUT_BAD]       ? PAINT_BAD
             : n_of[OUTPUT_SUSPECT] ? PAINT_WARN
                                    : PAINT_PLAIN,
             "%d circuits and mixes: %d proven, %d unproven, %d suspect, %d bad.", n,
             n_of[OUTPUT_PROVEN], n_of[OUTPUT_UNPROVEN], n_of[OUTPUT_SUSPECT], n_of[OUTPUT_BAD]);
  if (a->o->leads_ohm > 0.0) {
    screen_say(a->face->screen, PAINT_PLAIN, "The meter's leads of %.2f ohm are taken off.",
               a->o->leads_ohm);
  }
  if (!isnan(a->o->air_c)) {
    screen_say(a->face->screen, PAINT_PLAIN, "Temperature entered: %.0f C.", a->o->air_c);
  }
  if (a->o->left_aside[0]) {
    screen_item(a->face->screen, PAINT_WARN, "Left aside: ", a->o->left_aside);
  }
}

static Status
say(const OutputsAsk* a)
{
  const Face* const face = a->face;
  const int one = one_of(a);
  OutputStep step;
  bool has = false;
  Status st = STATUS_OK;
  if (one >= 0) {
    TRY(st, outputs_say_whole(face, a->o, one, &a->what));
  } else {
    say_counts(a);
    for (int d = 0; a->name && d < a->o->n_drives; ++d) {
      if (outputs_ask_about(a, a->o->drives[d].circuits[0])) {
        outputs_say_drive(face, a->o, d);
      }
    }
    for (int i = 0; a->name && i < a->o->n; ++i) {
      if (outputs_ask_about(a, i)) {
        const OutputStanding* const s = &a->o->standing[i];
        screen_cell(face->screen, PAINT_STRONG, a->o->plant->outputs[i].name, 7);
        screen_cell(face->screen, outputs_paint(s->state), outputs_state_word(s->state), 9);
        screen_rest(face->screen, PAINT_PLAIN, 16, 16, s->say);
      }
    }
    if (!a->name) {
      outputs_say_zones(face, a->o);
    }
  }
  TRY(st, outputs_next(a->o, face->arena, a->name, &step, &has));
  screen_gap(face->screen);
  if (has) {
    outputs_say_step(face, &step);
  } else {
    screen_say(face->screen, PAINT_GOOD, "Nothing is left to read.");
  }
  return STATUS_OK;
}

// ---- Telling ----

// One fact, with the checks of every telling.
Status
outputs_ask_tell(OutputsAsk* a, const char* circuit, const char* check, const char* reading,
                 const char* at, const char** said, const char** id)
{
  const Telling telling = {.sort = TELL_OUTPUT,
                           .circuit = circuit,
                           .check = check,
                           .reading = reading,
                           .at = at,
                           .seconds = -1,
                           .count = -1};
  bool is_new = false;
  Told told;
  Status st;
  TRY(st, tell_check(a->face, a->show, &telling, &told));
  TRY(st, show_tell(a->face, a->show, told.kind, &told.body, &is_new, id));
  TRY(st, show_refold(a->face, a->show, false));
  *said = told.say;
  ++a->n_entered;
  return outputs_ask_look(a);
}

static Status
tell_words(OutputsAsk* a, const char** said)
{
  const Args* const args = a->face->args;
  TextOut all = {.arena = a->face->arena};
  for (int i = 2; i < args->n_words; ++i) {
    text_add(&all, "%s%s", i > 2 ? " " : "", args->words[i]);
  }
  const char* const text = text_done(&all);
  const char* const equals = text ? strchr(text, '=') : NULL;
  if (!text) {
    return STATUS_NO_MEMORY;
  }
  if (!equals || equals == text || !equals[1]) {
    return error_set(
      a->face->error, STATUS_BAD_ARG, NULL, 0, 0,
      "Write one CHECK=READING, as in ohms=1.62, plays=right or \"swap link 1=better\".");
  }
  const char* const check = arena_text(a->face->arena, text, (size_t)(equals - text));
  const char* id = NULL;
  return check ? outputs_ask_tell(a, args->words[1], check, equals + 1, args->at, said, &id)
               : STATUS_NO_MEMORY;
}

// ---- Doing it ----

static Status
run(OutputsAsk* a)
{
  const Args* const args = a->face->args;
  const char* said = NULL;
  Status st;
  TRY(st, show_act(a->face, a->show, -1));
  if (args->n_words > 2) {
    a->name = NULL;
    TRY(st, outputs_ask_look(a));
    TRY(st, tell_words(a, &said));
    const bool of_none = text_same(args->words[1], "meter") || text_same(args->words[1], "air");
    a->name = of_none ? NULL : args->words[1];
  } else {
    a->name = args->n_words > 1 ? args->words[1] : NULL;
    TRY(st, outputs_ask_look(a));
  }
  if (args->card) {
    return outputs_say_card(a->face, a->o, a->name);
  }
  if (args->enter) {
    TRY(st, outputs_enter(a));
  }
  if (args->json) {
    TRY(st, answer(a));
  } else {
    if (said) {
      screen_say(a->face->screen, PAINT_PLAIN, "%s", said);
      screen_gap(a->face->screen);
    }
    TRY(st, say(a));
  }
  for (int i = 0; i < a->o->n; ++i) {
    if (outputs_ask_about(a, i) && a->o->standing[i].state >= OUTPUT_SUSPECT) {
      return STATUS_NO;
    }
  }
  return STATUS_OK;
}

// "1000" or "100-4000".
static Status
band_of(const char* text, OutputFor* what, Error* error)
{
  char low[24] = "";
  if (!text) {
    return STATUS_OK;
  }
  const size_t n = strcspn(text, "-");
  if (n < sizeof(low)) {
    memcpy(low, text, n);
    low[n] = '\0';
  }
  what->high_hz = 0.0;
  if (!text_number(low, 1.0, 1e5, &what->low_hz) ||
      (text[n] &&
       (!text_number(text + n + 1, 1.0, 1e5, &what->high_hz) || what->high_hz < what->low_hz))) {
    return error_set(error, STATUS_BAD_ARG, NULL, 0, 0,
                     "\"%.40s\" is no frequency and no band: write --hz 1000, or --hz 100-4000.",
                     text);
  }
  return STATUS_OK;
}

Status
verb_outputs(const Face* face)
{
  const Args* const args = face->args;
  const bool writes = args->enter || args->n_words > 2;
  OpenShow show;
  Status st;
  TRY(st, show_open(face, args->words[0], writes ? STORE_WRITE : STORE_READ, &show));
  OutputsAsk ask = {.face = face,
                    .show = &show,
                    .what = {.loss_db = args->loss_db > 0.0 ? args->loss_db : USUAL_LOSS_DB,
                             .volts = args->volts > 0.0 ? args->volts : USUAL_VOLTS}};
  st = band_of(args->hz, &ask.what, face->error);
  st = st == STATUS_OK ? run(&ask) : st;
  const Status closed = writes ? show_close(face, &show) : STATUS_OK;
  if (!writes) {
    (void)store_close(show.store, NULL);
  }
  return st == STATUS_OK || st == STATUS_NO ? (closed == STATUS_OK ? st : closed) : st;
}
