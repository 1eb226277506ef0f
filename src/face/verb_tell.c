// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/line_view.h"
#include "face/tell.h"
#include "face/verb.h"

#include <string.h>

/*
  Verbs that add a fact: saw, plug, tape, clear, undo. tell.c checks each against the plant; here
  its words are taken from the command line, and the answer is how things stand after it.
*/

typedef Status (*Teller)(const Face* face, OpenShow* show);

static Status
with_show(const Face* face, Teller teller)
{
  OpenShow show;
  Status st;
  TRY(st, show_open(face, face->args->words[0], STORE_WRITE, &show));
  st = teller(face, &show);
  const Status closed = store_close(show.store, st == STATUS_OK ? face->error : NULL);
  return st == STATUS_OK ? closed : st;
}

static json_t*
told_json(const OpenShow* show, const char* kind, const char* id, bool is_new)
{
  json_t* const answer = json_answer(show->act_word);
  json_object_set_new(answer, "fact", json_words(kind));
  json_object_set_new(answer, "id", json_words(id));
  json_object_set_new(answer, "counted", json_boolean(is_new));
  return answer;
}

// How things stand on a line after a fact about it.
static Status
answer_told(const Face* face, OpenShow* show, const Told* told, const char* id, bool is_new)
{
  const int line = told->line;
  const FactKind kind = told->kind;
  Status st;
  TRY(st, show_refold(face, show, false));
  TRY(st, show_situate(face, show, line));
  if (face->args->json) {
    json_t* const answer = told_json(show, fact_kind_word(kind), id, is_new);
    json_t* const one = line_json(face, show, line, true);
    if (!one) {
      json_decref(answer);
      return STATUS_NO_MEMORY;
    }
    json_object_set_new(answer, "line", one);
    return json_answer_print(answer, face->args, face->screen->out, face->error);
  }
  screen_say(face->screen, PAINT_PLAIN, "%s%s", told->say,
             is_new ? "" : " It was told before and does not count again.");
  show_say_act(face, show);
  if (kind == FACT_READING && show->act >= 0 && !plant_input(&show->plant, show->act, line)) {
    screen_say(face->screen, PAINT_WARN,
               "Nothing plays on line %d in this act. If another line was meant, take it back with "
               "undo.",
               show->plant.lines[line].number);
  }
  return line_say_now(face, show, line);
}

static Telling
telling_of(const Face* face, TellSort sort)
{
  const Args* const args = face->args;
  return (Telling){.sort = sort,
                   .at = args->at,
                   .why = args->why,
                   .seconds = args->seconds,
                   .breaks = args->breaks,
                   .count = -1};
}

// What is about a line.
static Status
tell_line(const Face* face, OpenShow* show, const Telling* telling)
{
  bool is_new = false;
  const char* id = NULL;
  Told told;
  Status st;
  TRY(st, tell_check(face, show, telling, &told));
  TRY(st, show_tell(face, show, told.kind, &told.body, &is_new, &id));
  return answer_told(face, show, &told, id, is_new);
}

// ---- saw, plug ----

// "swap cable=better", in one word of the shell or in several.
static Status
read_saw(const Face* face, Telling* telling)
{
  TextOut all = {.arena = face->arena};
  for (int i = 2; i < face->args->n_words; ++i) {
    text_add(&all, "%s%s", i > 2 ? " " : "", face->args->words[i]);
  }
  const char* const text = text_done(&all);
  const char* const equals = text ? strchr(text, '=') : NULL;
  if (!text) {
    return STATUS_NO_MEMORY;
  }
  if (!equals || equals == text || !equals[1] || strchr(equals + 1, '=')) {
    return error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                     "Write one CHECK=READING, as in level=nothing or \"swap cable=better\": see "
                     "\"linewalk help saw\".");
  }
  telling->check = arena_text(face->arena, text, (size_t)(equals - text));
  telling->reading = equals + 1;
  return telling->check ? STATUS_OK : STATUS_NO_MEMORY;
}

static Status
tell_saw(const Face* face, OpenShow* show)
{
  Telling telling = telling_of(face, TELL_SAW);
  telling.line = face->args->words[1];
  Status st;
  TRY(st, read_saw(face, &telling));
  return tell_line(face, show, &telling);
}

Status
verb_saw(const Face* face)
{
  return with_show(face, tell_saw);
}

static Status
tell_plug(const Face* face, OpenShow* show)
{
  Telling telling = telling_of(face, TELL_PLUG);
  telling.place = face->args->words[1];
  telling.what = face->args->words[2];
  return tell_line(face, show, &telling);
}

Status
verb_plug(const Face* face)
{
  return with_show(face, tell_plug);
}

// ---- tape, clear ----

static Status
answer_item(const Face* face, const OpenShow* show, const Told* told, const char* id, bool is_new)
{
  if (face->args->json) {
    json_t* const answer = told_json(show, id ? fact_kind_word(told->kind) : NULL, id, is_new);
    json_object_set_new(answer, "item", json_words(face->args->words[1]));
    json_object_set_new(answer, "taped_off",
                        json_boolean(fold_is_taped_off(&show->fold, face->args->words[1])));
    json_object_set_new(answer, "say", json_words(told->say));
    return json_answer_print(answer, face->args, face->screen->out, face->error);
  }
  screen_say(face->screen, PAINT_PLAIN, "%s%s", told->say,
             is_new || !id ? "" : " It was told before and does not count again.");
  return STATUS_OK;
}

static Status
tell_item(const Face* face, OpenShow* show, TellSort sort)
{
  Telling telling = telling_of(face, sort);
  telling.item = face->args->words[1];
  bool is_new = false;
  const char* id = NULL;
  Told told;
  Status st = tell_check(face, show, &telling, &told);
  if (st == STATUS_NO) {
    TRY(st, answer_item(face, show, &told, NULL, false));
    return STATUS_NO;
  }
  if (st != STATUS_OK) {
    return st;
  }
  TRY(st, show_tell(face, show, told.kind, &told.body, &is_new, &id));
  TRY(st, show_refold(face, show, false));
  return answer_item(face, show, &told, id, is_new);
}

static Status
tell_tape(const Face* face, OpenShow* show)
{
  return tell_item(face, show, TELL_TAPE);
}

Status
verb_tape(const Face* face)
{
  return with_show(face, tell_tape);
}

static Status
tell_clear(const Face* face, OpenShow* show)
{
  return tell_item(face, show, TELL_CLEAR);
}

Status
verb_clear(const Face* face)
{
  return with_show(face, tell_clear);
}

// ---- undo ----

static Status
tell_undo(const Face* face, OpenShow* show)
{
  const FoldFact* const newest = tell_fact(show, fold_undo_id(&show->fold));
  const Args* const args = face->args;
  Status st;
  TRY(st, show_act(face, show, -1));
  if (!newest || !strcmp(newest->fact.role, SHOW_BEGINS)) {
    if (args->json) {
      json_t* const answer = json_answer(show->act_word);
      json_object_set_new(answer, "undone", json_null());
      TRY(st, json_answer_print(answer, args, face->screen->out, face->error));
    } else {
      screen_say(face->screen, PAINT_PLAIN,
                 "There is nothing left to take back: the lists the show began with stay.");
    }
    return STATUS_NO;
  }
  const Telling telling = {.sort = TELL_UNDO, .of = newest->fact.id, .why = args->why};
  const char* const said = tell_undone(face, show, newest);
  const char* made = NULL;
  bool is_new = false;
  Told told;
  TRY(st, tell_check(face, show, &telling, &told));
  TRY(st, show_tell(face, show, told.kind, &told.body, &is_new, &made));
  TRY(st, show_refold(face, show, false));
  TRY(st, show_act(face, show, -1));
  if (args->json) {
    json_t* const answer = told_json(show, "voided", made, true);
    json_t* const undone = json_object();
    json_object_set_new(undone, "id", json_words(newest->fact.id));
    json_object_set_new(undone, "fact", json_words(fact_kind_word(newest->fact.kind)));
    json_object_set_new(undone, "say", json_words(said));
    json_object_set_new(answer, "undone", undone);
    return json_answer_print(answer, args, face->screen->out, face->error);
  }
  screen_say(face->screen, PAINT_PLAIN, "Taken back: %s.", said ? said : "");
  show_say_act(face, show);
  return STATUS_OK;
}

Status
verb_undo(const Face* face)
{
  return with_show(face, tell_undo);
}
