// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/outputs_view.h"
#include "face/tell.h"
#include "face/verb.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/*
  `outputs`: loudspeaker circuits and monitor mixes. Without a name all of them by zone and the next
  step; with one, all about it; with CHECK=READING it is written down. `--enter` walks a meter
  through all circuits: one number and Enter each, an amplifier's plug asked for once.
*/

#define USUAL_LOSS_DB 0.5
#define USUAL_VOLTS 20.0

enum { LINE_BYTES = 200 };

typedef struct {
  const Face* face;
  OpenShow* show;
  const Outputs* o;
  const char* name; ///< NULL = all
  double loss_db, volts;
  int n_entered;
} Ask;

static Status
look(Ask* a)
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

static bool
is_about(const Ask* a, int circuit)
{
  return !a->name || outputs_about(a->o->plant, circuit, a->name);
}

// The one circuit a name means, -1 when it means several.
static int
one_of(const Ask* a)
{
  int found = -1;
  int n = 0;
  for (int i = 0; i < a->o->n; ++i) {
    if (is_about(a, i)) {
      found = i;
      ++n;
    }
  }
  return n == 1 ? found : -1;
}

// ---- JSON ----

static json_t*
round_json(const Ask* a, const OutputStop stops[], int n)
{
  json_t* const all = json_array();
  const Plant* const plant = a->o->plant;
  for (int i = 0; i < n; ++i) {
    if (!is_about(a, stops[i].circuit)) {
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
answer(const Ask* a)
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
  TRY(st, outputs_next(face, a->o, a->name, &step, &has));
  json_t* const object = json_answer(a->show->act_word);
  json_t* const rows = json_array();
  json_t* const steps = json_array();
  for (int i = 0; i < a->o->n; ++i) {
    if (is_about(a, i)) {
      json_array_append_new(rows, outputs_json_row(a->o, i));
    }
  }
  if (has) {
    json_array_append_new(steps, outputs_json_step(a->o, &step));
  }
  json_object_set_new(object, "circuits", rows);
  json_object_set_new(object, "steps", steps);
  json_object_set_new(object, "round", round_json(a, stops, n));
  json_object_set_new(object, "walk_s", json_figure(walk_s));
  json_object_set_new(object, "leads_ohm", json_figure(a->o->leads_ohm));
  json_object_set_new(object, "celsius", json_figure(a->o->air_c));
  json_object_set_new(object, "left_aside", json_words(a->o->left_aside));
  json_object_set_new(object, "entered", json_integer(a->n_entered));
  if (one >= 0) {
    json_t* const whole = outputs_json_whole(a->o, face->arena, one, a->loss_db, a->volts);
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
say_counts(const Ask* a)
{
  int n_of[OUTPUT_BAD + 1] = {0};
  int n = 0;
  for (int i = 0; i < a->o->n; ++i) {
    if (is_about(a, i)) {
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
say(const Ask* a)
{
  const Face* const face = a->face;
  const int one = one_of(a);
  OutputStep step;
  bool has = false;
  Status st = STATUS_OK;
  if (one >= 0) {
    TRY(st, outputs_say_whole(face, a->o, one, a->loss_db, a->volts));
  } else {
    say_counts(a);
    for (int i = 0; a->name && i < a->o->n; ++i) {
      if (is_about(a, i)) {
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
  TRY(st, outputs_next(face, a->o, a->name, &step, &has));
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
static Status
tell(Ask* a, const char* circuit, const char* check, const char* reading, const char* at,
     const char** said, const char** id)
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
  return look(a);
}

static Status
tell_words(Ask* a, const char** said)
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
  return check ? tell(a, args->words[1], check, equals + 1, args->at, said, &id) : STATUS_NO_MEMORY;
}

// ---- Entering one after the other ----

static bool
next_line(const Ask* a, bool asks, char text[LINE_BYTES])
{
  if (asks) {
    (void)fputs("> ", a->face->screen->out);
    (void)fflush(a->face->screen->out);
  }
  if (!fgets(text, LINE_BYTES, stdin)) {
    return false;
  }
  if (!strchr(text, '\n')) {
    for (int c = getchar(); c != EOF && c != '\n'; c = getchar()) {
    }
  }
  text[strcspn(text, "\r\n")] = '\0';
  return true;
}

typedef enum { ENTRY_NEXT, ENTRY_AGAIN, ENTRY_BACK, ENTRY_SKIP_AMP, ENTRY_LEAVE } EntryEnd;

// The plug of this circuit's amplifier must be out, and somebody must say so.
static Status
ask_unplugged(Ask* a, int circuit, bool asks, EntryEnd* end)
{
  const OutputCircuit* const c = &a->o->plant->outputs[circuit];
  const char* const amp = c->amp[0] ? c->amp : c->name;
  const int place = a->o->place[circuit];
  char text[LINE_BYTES];
  const char* said = NULL;
  const char* id = NULL;
  if (!a->face->args->json) {
    screen_gap(a->face->screen);
    screen_item(a->face->screen, PAINT_WARN,
                "Caution: ", outputs_caution(c, OUTPUT_DOES_CHECK, OUT_OHMS, FIX_PRESET));
    screen_say(
      a->face->screen, PAINT_STRONG,
      "%s%s%s: is its loudspeaker plug out? y = out, n = leave it out of this walk, q = leave.",
      amp, place >= 0 ? ", " : "", place >= 0 ? a->o->plant->places[place] : "");
  }
  for (;;) {
    if (!next_line(a, asks, text) || text_same(text, "q")) {
      *end = ENTRY_LEAVE;
      return STATUS_OK;
    }
    if (text_same(text, "n")) {
      *end = ENTRY_SKIP_AMP;
      return STATUS_OK;
    }
    if (text_same(text, "y")) {
      *end = ENTRY_NEXT;
      return tell(a, amp, OUTPUTS_MARK, OUTPUTS_UNPLUGGED, NULL, &said, &id);
    }
    if (!a->face->args->json) {
      screen_say(a->face->screen, PAINT_WARN, "y, n or q.");
    }
  }
}

static void
say_entered(const Ask* a, int circuit)
{
  const OutputStanding* const s = &a->o->standing[circuit];
  if (a->face->args->json) {
    return;
  }
  if (s->state >= OUTPUT_SUSPECT) {
    screen_say(a->face->screen, outputs_paint(s->state), "  %s: %s", outputs_state_word(s->state),
               s->say);
  } else if (s->twin.n_like > 0) {
    screen_say(a->face->screen, PAINT_FAINT, "  %+.1f %% against %d of its like",
               100.0 * s->twin.off_ratio, s->twin.n_like);
  }
}

static Status
enter_one(Ask* a, int circuit, bool asks, const char** id, EntryEnd* end)
{
  const OutputCircuit* const c = &a->o->plant->outputs[circuit];
  const OutputStanding* const s = &a->o->standing[circuit];
  char text[LINE_BYTES];
  const char* said = NULL;
  if (!a->face->args->json) {
    screen_say(a->face->screen, PAINT_STRONG, "%s  %s  %s  should read %.2f", c->name, c->amp,
               c->pins, s->now_ohm);
  }
  *end = ENTRY_LEAVE;
  if (!next_line(a, asks, text) || text_same(text, "q")) {
    return STATUS_OK;
  }
  if (!text[0] || text_same(text, "?") || text_same(text, "b")) {
    *end = text_same(text, "b") ? ENTRY_BACK : ENTRY_NEXT;
    return STATUS_OK;
  }
  const char* const kept = arena_copy(a->face->arena, text);
  if (!kept) {
    return STATUS_NO_MEMORY;
  }
  const Status st = tell(a, c->name, "ohms", kept, NULL, &said, id);
  *end = st == STATUS_BAD_INPUT ? ENTRY_AGAIN : ENTRY_NEXT;
  if (st == STATUS_BAD_INPUT) { // Said, and asked again
    if (!a->face->args->json) {
      screen_say(a->face->screen, PAINT_WARN, "%s", a->face->error->text);
    }
    *a->face->error = (Error){0};
    return STATUS_OK;
  }
  if (st == STATUS_OK) {
    say_entered(a, circuit);
  }
  return st;
}

// Back to the one answered last: what it read counts no more.
static Status
go_back(Ask* a, const char** ids, int* at)
{
  int back = *at - 1;
  while (back >= 0 && !ids[back]) {
    --back;
  }
  if (back < 0) {
    return STATUS_OK;
  }
  char now[FACT_TIME_ROOM];
  char made[FACT_ID_ROOM];
  Status st;
  fact_time_now(now);
  TRY(st, store_void(a->show->store, ids[back], "read again", now, "",
                     a->face->args->role ? a->face->args->role : "", made, a->face->error));
  TRY(st, show_refold(a->face, a->show, false));
  ids[back] = NULL;
  *at = back;
  return look(a);
}

static Status
enter(Ask* a)
{
  const bool asks =
    !a->face->args->json && a->face->screen->is_terminal && isatty(STDIN_FILENO) == 1;
  const OutputStop* stops = NULL;
  int n = 0;
  int at = 0;
  const char* skipped = NULL;
  Status st;
  TRY(st, outputs_round(a->o, a->face->arena, -1, &stops, &n, NULL));
  const char** const ids = arena_array(a->face->arena, (size_t)n + 1, sizeof(*ids));
  if (!ids) {
    return STATUS_NO_MEMORY;
  }
  if (!a->face->args->json) {
    screen_say(a->face->screen, PAINT_PLAIN,
               "One number and Enter a circuit; o = open, s = short, Enter alone = not now, b = "
               "back, q = leave. "
               "Short the meter's leads first: \"outputs SHOW meter leads=0.12\" takes them off.");
  }
  while (at < n) {
    const int circuit = stops[at].circuit;
    const char* const amp = a->o->plant->outputs[circuit].amp;
    EntryEnd end = ENTRY_NEXT;
    if (stops[at].check != OUT_OHMS || !is_about(a, circuit) ||
        (a->o->standing[circuit].has_ohms && !ids[at] && stops[at].is_done) ||
        (skipped && text_same(skipped, amp))) {
      ++at;
      continue;
    }
    if (!a->o->standing[circuit].is_unplugged) {
      TRY(st, ask_unplugged(a, circuit, asks, &end));
    }
    if (end == ENTRY_NEXT) {
      TRY(st, enter_one(a, circuit, asks, &ids[at], &end));
    }
    if (end == ENTRY_LEAVE) {
      return STATUS_OK;
    }
    if (end == ENTRY_SKIP_AMP) {
      skipped = amp;
    } else if (end == ENTRY_BACK) {
      TRY(st, go_back(a, ids, &at));
    } else if (end == ENTRY_NEXT) {
      ++at;
    }
  }
  return STATUS_OK;
}

// ---- Doing it ----

static Status
run(Ask* a)
{
  const Args* const args = a->face->args;
  const char* said = NULL;
  Status st;
  TRY(st, show_act(a->face, a->show, -1));
  if (args->n_words > 2) {
    a->name = NULL;
    TRY(st, look(a));
    TRY(st, tell_words(a, &said));
    const bool of_none = text_same(args->words[1], "meter") || text_same(args->words[1], "air");
    a->name = of_none ? NULL : args->words[1];
  } else {
    a->name = args->n_words > 1 ? args->words[1] : NULL;
    TRY(st, look(a));
  }
  if (args->card) {
    return outputs_say_card(a->face, a->o, a->name);
  }
  if (args->enter) {
    TRY(st, enter(a));
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
    if (is_about(a, i) && a->o->standing[i].state >= OUTPUT_SUSPECT) {
      return STATUS_NO;
    }
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
  Ask ask = {.face = face,
             .show = &show,
             .loss_db = args->loss_db > 0.0 ? args->loss_db : USUAL_LOSS_DB,
             .volts = args->volts > 0.0 ? args->volts : USUAL_VOLTS};
  st = run(&ask);
  const Status closed = writes ? show_close(face, &show) : STATUS_OK;
  if (!writes) {
    (void)store_close(show.store, NULL);
  }
  return st == STATUS_OK || st == STATUS_NO ? (closed == STATUS_OK ? st : closed) : st;
}
