// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/mark.h"
#include "face/compare_view.h"
#include "face/desk_talk.h"
#include "face/tell.h"
#include "face/verb.h"

#include <stdio.h>
#include <string.h>

/*
  `compare`: where lists and desks disagree. By itself it looks at every act; with --act, and after
  something was read or told, at that one.
*/

static const char*
act_word(const OpenShow* show, int act)
{
  return act < 0 ? "bare lines" : show->plant.acts[act].name;
}

// ---- JSON ----

static json_t*
lists_json(const Face* face, const OpenShow* show, int only)
{
  const Loan* loans = NULL;
  int n_loans = 0;
  if (loan_list(face->arena, &show->plant, &show->fold, &loans, &n_loans) != STATUS_OK) {
    return NULL;
  }
  json_t* const lists = json_array();
  for (int a = 0; a < show->plant.n_acts; ++a) {
    char mark[MARK_ROOM];
    MarkHeld held[MARK_PLACES];
    const int n = mark_held(&show->plant, &show->fold, a, loans, n_loans, held);
    if ((only != COMPARE_EVERY_ACT && only != a) ||
        !mark_act(&show->plant, &show->fold, a, mark)[0]) {
      continue;
    }
    json_t* const one = json_object();
    json_t* const who = json_array();
    for (int i = 0; i < n; ++i) {
      static const char* const words[] = {[MARK_NOT_SAID] = "not said",
                                          [MARK_SAME] = "same",
                                          [MARK_OTHER] = "other",
                                          [MARK_BEHIND] = "behind"};
      json_t* const holds = json_object();
      json_object_set_new(holds, "place", json_words(held[i].place));
      json_object_set_new(holds, "holds", json_words(held[i].held));
      json_object_set_new(holds, "is", json_words(words[held[i].word]));
      json_array_append_new(who, holds);
    }
    json_object_set_new(one, "act", json_words(show->plant.acts[a].name));
    json_object_set_new(one, "list", json_words(mark));
    json_object_set_new(one, "held", who);
    json_array_append_new(lists, one);
  }
  return lists;
}

static json_t*
row_json(const OpenShow* show, const ReadbackRow* row)
{
  static const char* const answers[] = {
    [ANSWER_NO] = "no", [ANSWER_YES] = "yes", [ANSWER_ASK] = "ask"};
  json_t* const one = json_object();
  json_object_set_new(one, "line", json_integer(show->plant.lines[row->line].number));
  json_object_set_new(one, "channel", json_integer(row->channel));
  json_object_set_new(one, "name", json_words(row->name));
  json_object_set_new(one, "input", json_integer(row->input));
  json_object_set_new(one, "phantom", json_words(answers[row->phantom]));
  json_object_set_new(one, "pad", json_words(row->pad_in ? "in" : "out"));
  json_object_set_new(one, "read", json_boolean(row->is != NULL));
  return one;
}

static json_t*
rows_json(const OpenShow* show, const DeskTalk* talk)
{
  json_t* const rows = json_array();
  for (int i = 0; i < talk->n_rows; ++i) {
    json_array_append_new(rows, row_json(show, &talk->rows[i]));
  }
  return rows;
}

static Status
answer(const Face* face, const OpenShow* show, const Comparison* found, int only,
       const DeskTalk* talk)
{
  json_t* const object = json_answer(only == COMPARE_EVERY_ACT ? NULL : show->act_word);
  json_t* const list = json_array();
  for (int i = 0; i < found->n; ++i) {
    json_array_append_new(list, compare_view_json(show, &found->list[i]));
  }
  json_object_set_new(object, "disagreements", list);
  json_object_set_new(object, "not_compared",
                      json_list(found->not_compared, found->n_not_compared));
  json_object_set_new(object, "lists", lists_json(face, show, only));
  if (talk) {
    json_object_set_new(object, "desk", json_words(show->plant.desks[talk->desk].name));
    json_object_set_new(object, "rows", rows_json(show, talk));
    json_object_set_new(object, "read_now", json_integer(talk->n_read));
    json_object_set_new(object, "left", json_integer(talk->n_left));
  }
  return json_answer_print(object, face->args, face->screen->out, face->error);
}

// ---- Words ----

static void
say_act(const Face* face, const OpenShow* show, int act)
{
  char mark[MARK_ROOM];
  (void)mark_act(&show->plant, &show->fold, act, mark);
  screen_gap(face->screen);
  screen_say(face->screen, PAINT_STRONG, "%s%s%s", act_word(show, act), mark[0] ? ", list " : "",
             mark);
}

static void
say(const Face* face, const OpenShow* show, const Comparison* found, int only)
{
  const Screen* const screen = face->screen;
  int n_harm = 0;
  TextOut marks = {.arena = face->arena};
  for (int i = 0; i < found->n; ++i) {
    n_harm += found->list[i].harms;
  }
  for (int a = 0; a < show->plant.n_acts; ++a) {
    char mark[MARK_ROOM];
    if ((only == COMPARE_EVERY_ACT || only == a) &&
        mark_act(&show->plant, &show->fold, a, mark)[0]) {
      text_add(&marks, "%s%s %s", marks.n_bytes ? ", " : "", show->plant.acts[a].name, mark);
    }
  }
  const char* const all = text_done(&marks);
  if (all && all[0]) {
    screen_item(screen, PAINT_PLAIN, "Lists in force: ", all);
  }
  if (found->n == 0) {
    screen_say(screen, found->n_rows > 0 ? PAINT_GOOD : PAINT_PLAIN,
               found->n_rows > 0 ? "Nothing disagrees in what was compared (%d channels)."
                                 : "Nothing disagrees, but no desk was read.",
               found->n_rows);
  } else if (n_harm > 0) {
    screen_say(screen, PAINT_BAD, "%d disagree; %d of them can hurt a source.", found->n, n_harm);
  } else {
    screen_say(screen, PAINT_WARN, found->n == 1 ? "1 disagrees." : "%d disagree.", found->n);
  }
  for (int i = 0; i < found->n; ++i) {
    if (i == 0 || found->list[i - 1].act != found->list[i].act) {
      say_act(face, show, found->list[i].act);
    }
    compare_view_say(face, show, &found->list[i]);
  }
  if (found->n_not_compared > 0) {
    screen_gap(screen);
    screen_say(screen, PAINT_STRONG, "Not compared:");
    for (int i = 0; i < found->n_not_compared; ++i) {
      screen_item(screen, PAINT_PLAIN, "  - ", found->not_compared[i]);
    }
  }
}

static void
say_rows(const Face* face, const OpenShow* show, const DeskTalk* talk)
{
  screen_say(face->screen, PAINT_STRONG, "%s, %s: %d channels, %d not read yet.", show->act_word,
             show->plant.desks[talk->desk].say, talk->n_rows, talk->n_left);
  for (int i = 0; i < talk->n_rows; ++i) {
    char lead[24];
    const char* const text = desk_row_say(face->arena, &talk->rows[i]);
    (void)snprintf(lead, sizeof(lead), "%s ch %-3d ", talk->rows[i].is ? "read" : "  - ",
                   talk->rows[i].channel);
    screen_item(face->screen, PAINT_PLAIN, lead, text ? text : "");
  }
}

// ---- Doing it ----

// "mon QLR 3", "mon=3": who, and which.
static Status
tell_holds(const Face* face, OpenShow* show, Told* told)
{
  const char* const text = face->args->holds;
  const size_t n = strcspn(text, " =");
  const char* const place = arena_text(face->arena, text, n);
  const Telling telling = {.sort = TELL_HOLDS,
                           .at = place,
                           .what = text[n] ? text + n + 1 : "",
                           .seconds = -1,
                           .count = -1};
  bool is_new = false;
  Status st;
  if (!place) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, tell_check(face, show, &telling, told));
  TRY(st, show_tell(face, show, told->kind, &told->body, &is_new, NULL));
  return show_refold(face, show, false);
}

static void
keep_desk(Comparison* found, int desk, Disagreement* kept)
{
  int n = 0;
  for (int i = 0; i < found->n; ++i) {
    if (found->list[i].desk == desk) {
      kept[n++] = found->list[i];
    }
  }
  found->list = kept;
  found->n = n;
}

static Status
run(const Face* face, OpenShow* show)
{
  const Args* const args = face->args;
  const bool of_one = args->act || args->read || args->rows || args->holds;
  DeskTalk talk = {0};
  Told told = {0};
  Comparison found;
  Status st;
  TRY(st, show_act(face, show, -1));
  if (args->holds) {
    TRY(st, tell_holds(face, show, &told));
  }
  if (args->read) {
    TRY(st, desk_talk(face, show, args->read, &talk));
  } else if (args->rows) {
    TRY(st, desk_rows(face, show, args->rows, &talk));
  }
  const int only = of_one ? show->act : COMPARE_EVERY_ACT;
  TRY(st, compare_all(face->arena, &show->plant, &show->fold, only, &found));
  if (args->read || args->rows) {
    Disagreement* const kept = arena_array(face->arena, (size_t)found.n, sizeof(*kept));
    if (!kept) {
      return STATUS_NO_MEMORY;
    }
    keep_desk(&found, talk.desk, kept);
  }
  if (args->json) {
    TRY(st, answer(face, show, &found, only, args->read || args->rows ? &talk : NULL));
  } else {
    if (args->holds) {
      screen_say(face->screen, PAINT_PLAIN, "%s", told.say);
    }
    if (args->rows) {
      say_rows(face, show, &talk);
      screen_gap(face->screen);
    } else if (args->read) {
      screen_gap(face->screen);
      screen_say(face->screen, PAINT_STRONG, "%d channels read now, %d left.", talk.n_read,
                 talk.n_left);
    }
    say(face, show, &found, only);
  }
  return found.n > 0 ? STATUS_NO : STATUS_OK;
}

Status
verb_compare(const Face* face)
{
  const bool writes = face->args->read || face->args->holds;
  OpenShow show;
  Status st;
  TRY(st, show_open(face, face->args->words[0], writes ? STORE_WRITE : STORE_READ, &show));
  st = run(face, &show);
  const Status closed = writes ? show_close(face, &show) : STATUS_OK;
  if (!writes) {
    (void)store_close(show.store, NULL);
  }
  return st == STATUS_OK || st == STATUS_NO ? (closed == STATUS_OK ? st : closed) : st;
}
