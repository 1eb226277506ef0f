// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/lists_talk.h"

#include "base/text.h"

#include <string.h>
#include <unistd.h>

enum { WIDE_COLUMNS = 64 }; ///< From here on a table reads better than sentences

// ---- Answers ----

static Status
take_answers(const Face* face, Talk* talk, const ListAnswer* answers, int n)
{
  const char* bytes = NULL;
  size_t n_bytes = 0;
  Status st;
  if (n == 0) {
    return STATUS_OK;
  }
  TRY(st,
      lists_answer(face->arena, talk->lists, talk->n, answers, n, &bytes, &n_bytes, face->error));
  int at = 0;
  while (at < talk->n && !text_same(talk->lists[at].name, LISTS_MAPPING)) {
    ++at;
  }
  talk->lists[at] = (ListText){LISTS_MAPPING, bytes, n_bytes};
  talk->n += at == talk->n;
  talk->has_answers = true;
  talk->n_answers += n;
  return STATUS_OK;
}

// "phantom:own=no": under, written, means. What is written may hold colons and equal signs.
static Status
read_answer(const Face* face, const char* text, ListAnswer* answer)
{
  const char* const colon = strchr(text, ':');
  const char* const equals = strrchr(text, '=');
  if (!colon || !equals || equals < colon) {
    return error_set(
      face->error, STATUS_BAD_ARG, NULL, 0, 0,
      "--means takes under which heading, a colon, what is written there, =, and what "
      "it means, as in \"phantom:own=no\", not \"%.60s\".",
      text);
  }
  answer->under = arena_text(face->arena, text, (size_t)(colon - text));
  answer->written = arena_text(face->arena, colon + 1, (size_t)(equals - colon - 1));
  answer->means = arena_copy(face->arena, equals + 1);
  return answer->under && answer->written && answer->means
           ? STATUS_OK
           : error_set(face->error, STATUS_NO_MEMORY, NULL, 0, 0, "There is not enough memory.");
}

Status
talk_init(const Face* face, const ListText* lists, int n, int at, Talk* talk)
{
  const Args* const args = face->args;
  ListAnswer answers[ARGS_MANY_MAX + 1];
  int n_answers = 0;
  Status st;
  *talk = (Talk){.lists = arena_grow(face->arena, lists, (size_t)n, (size_t)n + 1, sizeof(*lists)),
                 .n = n};
  if (!talk->lists) {
    return error_set(face->error, STATUS_NO_MEMORY, NULL, 0, 0, "There is not enough memory.");
  }
  keys_init(&talk->keys, face->screen);
  talk->keys.clock_says = "with these lists";
  talk->is_asking = !args->json && (talk->keys.is_keys || args->ask);
  for (int i = 0; i < args->means.n; ++i) {
    TRY(st, read_answer(face, args->means.text[i], &answers[n_answers++]));
  }
  if (args->act && at >= 0) {
    answers[n_answers++] = (ListAnswer){"act", lists[at].name, args->act};
  }
  return take_answers(face, talk, answers, n_answers);
}

// ---- What was understood ----

static const char*
use_word(ListRowUse use)
{
  static const char* const words[] = {[LIST_ROW_TITLE] = "title",
                                      [LIST_ROW_HEADING] = "headings",
                                      [LIST_ROW_SECTION] = "section",
                                      [LIST_ROW_NOTE] = "note",
                                      [LIST_ROW_LEFT_OUT] = "left out"};
  return words[use];
}

static void
say_column(const Face* face, const ListColumn* column)
{
  const Screen* const screen = face->screen;
  const char* const means = column->means ? column->means : "kept, not used";
  const Paint paint = column->means ? PAINT_PLAIN : PAINT_WARN;
  if (screen->width < WIDE_COLUMNS) {
    const char* const text = arena_format(face->arena, "%s: %s%s%s%s", column->heading, means,
                                          column->example[0] ? ", as in \"" : "", column->example,
                                          column->example[0] ? "\"" : "");
    screen_item(screen, paint, "- ", text ? text : "");
    return;
  }
  (void)fputs("  ", screen->out);
  screen_cell(screen, PAINT_PLAIN, column->heading, 20);
  (void)fputs("  ", screen->out);
  screen_cell(screen, paint, means, 24);
  (void)fputs("  ", screen->out);
  screen_cell(screen, PAINT_FAINT, column->example, -(screen->width - 52));
  (void)fputc('\n', screen->out);
}

static void
say_row(const Face* face, const ListRow* row)
{
  const char* const lead = arena_format(face->arena, "  row %d, %s%s: ", row->line,
                                        use_word(row->use), row->by_answer ? " as you said" : "");
  screen_item(face->screen, PAINT_PLAIN, lead ? lead : "", row->text);
}

static bool
all_understood(const ListLook* look)
{
  bool all = look->n_aside == 0 && look->n_questions == 0;
  for (int i = 0; i < look->n_columns; ++i) {
    all = all && (look->columns[i].means || !look->columns[i].example[0]);
  }
  return all;
}

static void
say_look(const Face* face, const char* name, const ListLook* look)
{
  const Screen* const screen = face->screen;
  if (look->sort == LIST_UNKNOWN) {
    screen_say(screen, PAINT_STRONG, "%s: no list is known by these columns.", name);
  } else if (all_understood(look)) {
    screen_say(screen, PAINT_STRONG, "%s: a list of %s; all %d columns and %d rows are understood.",
               name, lists_word(look->sort), look->n_columns, look->n_rows);
  } else {
    screen_say(screen, PAINT_STRONG, "%s: a list of %s. Its columns:", name,
               lists_word(look->sort));
    for (int i = 0; i < look->n_columns; ++i) {
      say_column(face, &look->columns[i]);
    }
  }
  if (look->act) {
    screen_say(screen, PAINT_PLAIN, "The act is %s (--act names another).", look->act);
  }
  if (look->n_aside > 0) {
    screen_say(screen, PAINT_PLAIN, "%d rows are inputs%s; %d are not:", look->n_rows,
               look->n_unused ? ", some of them not used" : "", look->n_aside);
    for (int i = 0; i < look->n_aside; ++i) {
      say_row(face, &look->rows[i]);
    }
  }
  screen_gap(screen);
}

// ---- Asking ----

static Status
ask_one(const Face* face, Talk* talk, const ListQuestion* question, int n_left)
{
  const Screen* const screen = face->screen;
  screen_say(screen, PAINT_STRONG, "%s", question->sentence);
  for (int i = 0; i < question->n_choices; ++i) {
    const char lead[] = {' ', ' ', question->choices[i].key, ' ', ' ', '\0'};
    screen_item(screen, PAINT_PLAIN, lead, question->choices[i].say);
  }
  screen_item(screen, PAINT_FAINT, "  q  ",
              n_left > 1 ? arena_format(face->arena, "ask no more (%d questions are left)", n_left)
                         : "do not ask");
  for (;;) {
    const int key = keys_next(&talk->keys, screen, 0.0);
    if (key == KEY_LATER) {
      continue;
    }
    if (key == KEY_END || key == 'q') {
      talk->is_over = true;
      return STATUS_OK;
    }
    for (int i = 0; i < question->n_choices; ++i) {
      if (key == question->choices[i].key) {
        return take_answers(face, talk, &question->choices[i].answer, 1);
      }
    }
    screen_say(screen, PAINT_PLAIN, "That key is none of them.");
  }
}

// ---- Questions for those who are not there ----

// The option that answers, in quotes a shell understands.
static const char*
option_text(Arena* arena, const ListAnswer* answer, const char* means)
{
  const char quote = strchr(answer->written, '\'') ? '"' : '\'';
  return arena_format(arena, "--means %c%s:%s=%s%c", quote, answer->under, answer->written, means,
                      quote);
}

// The choices under one heading and word, from choice `i` on; how many these are.
static int
choices_text(Arena* arena, const ListQuestion* question, int i, const char** text)
{
  const ListAnswer* const first = &question->choices[i].answer;
  TextOut out = {.arena = arena};
  int n = 0;
  for (; i + n < question->n_choices &&
         text_same(question->choices[i + n].answer.under, first->under);
       ++n) {
    const ListChoice* const choice = &question->choices[i + n];
    text_add(&out, "%s%s (%s)", n ? ", " : "", choice->answer.means, choice->say);
  }
  *text = text_done(&out);
  *text = *text ? *text : "";
  return n;
}

// `said` holds the choices said before: the same are not said again.
static void
say_question(const Face* face, const ListQuestion* question, const char** said)
{
  const Screen* const screen = face->screen;
  screen_item(screen, question->is_needed ? PAINT_WARN : PAINT_PLAIN, "- ", question->sentence);
  for (int i = 0; i < question->n_choices;) {
    const char* choices = "";
    const int n = choices_text(face->arena, question, i, &choices);
    const ListAnswer* const first = &question->choices[i].answer;
    const char* const option = option_text(face->arena, first, n > 1 ? "..." : first->means);
    screen_item(screen, PAINT_PLAIN, "  ", option ? option : "");
    if (n > 1 && !strcmp(choices, *said)) {
      screen_item(screen, PAINT_PLAIN, "    ... as above", "");
    } else {
      screen_item(screen, PAINT_PLAIN, n > 1 ? "    ... is " : "    which is ", choices);
      *said = n > 1 ? choices : *said;
    }
    i += n;
  }
}

static Status
leave_questions(const Face* face, const char* path, const ListLook* look)
{
  int n_needed = 0;
  int line = 0;
  const char* said = "";
  for (int i = 0; i < look->n_questions; ++i) {
    line = look->questions[i].is_needed && n_needed == 0 ? look->questions[i].line : line;
    n_needed += look->questions[i].is_needed;
  }
  if (!face->args->json) {
    for (int needed = 1; needed >= 0; --needed) {
      const int n = needed ? n_needed : look->n_questions - n_needed;
      if (n > 0) {
        screen_say(face->screen, PAINT_STRONG,
                   needed ? "To be answered before the list can be taken (%d):"
                          : "May be answered (%d); else it is taken as said last:",
                   n);
      }
      for (int i = 0; i < look->n_questions; ++i) {
        if (look->questions[i].is_needed == (needed == 1)) {
          say_question(face, &look->questions[i], &said);
        }
      }
    }
    if (look->n_questions > 0) {
      screen_gap(face->screen);
    }
  }
  return n_needed == 0
           ? STATUS_OK
           : error_set(face->error, STATUS_BAD_INPUT, path, line, 0,
                       "%d %s to be answered before this list can be taken: on a terminal with a "
                       "key, else with --means as said above.",
                       n_needed, n_needed == 1 ? "question has" : "questions have");
}

Status
talk_over(const Face* face, Talk* talk, const ListSource* source, int at, TalkWhen when,
          ListLook* look)
{
  Status st;
  TRY(st, lists_look(face->arena, talk->lists, talk->n, at, look, face->error));
  if (!face->args->json && (when == TALK_ALWAYS || !all_understood(look))) {
    say_look(face, talk->lists[at].name, look);
  }
  const bool had_questions = look->n_questions > 0;
  while (talk->is_asking && !talk->is_over && look->n_questions > 0) {
    const int n_before = talk->n_answers;
    TRY(st, ask_one(face, talk, &look->questions[0], look->n_questions));
    if (talk->n_answers > n_before) {
      TRY(st, lists_look(face->arena, talk->lists, talk->n, at, look, face->error));
    }
  }
  if (talk->is_asking && had_questions) {
    screen_gap(face->screen);
    say_look(face, talk->lists[at].name, look);
  }
  return leave_questions(face, source->path, look);
}

// ---- JSON ----

static json_t*
json_question(const ListQuestion* question)
{
  json_t* const one = json_object();
  json_t* const choices = json_array();
  json_object_set_new(one, "question", json_words(question->sentence));
  json_object_set_new(one, "row", json_integer(question->line));
  json_object_set_new(one, "needed", json_boolean(question->is_needed));
  for (int i = 0; i < question->n_choices; ++i) {
    const ListChoice* const choice = &question->choices[i];
    json_t* const said = json_object();
    json_object_set_new(said, "under", json_words(choice->answer.under));
    json_object_set_new(said, "written", json_words(choice->answer.written));
    json_object_set_new(said, "means", json_words(choice->answer.means));
    json_object_set_new(said, "say", json_words(choice->say));
    json_array_append_new(choices, said);
  }
  json_object_set_new(one, "choices", choices);
  return one;
}

void
talk_json(json_t* answer, const ListLook* look)
{
  json_t* const columns = json_array();
  json_t* const rows = json_array();
  json_t* const questions = json_array();
  for (int i = 0; i < look->n_columns; ++i) {
    json_t* const column = json_object();
    json_object_set_new(column, "heading", json_words(look->columns[i].heading));
    json_object_set_new(column, "means",
                        look->columns[i].means ? json_words(look->columns[i].means) : json_null());
    json_object_set_new(column, "example", json_words(look->columns[i].example));
    json_array_append_new(columns, column);
  }
  for (int i = 0; i < look->n_aside; ++i) {
    json_t* const row = json_object();
    json_object_set_new(row, "row", json_integer(look->rows[i].line));
    json_object_set_new(row, "is", json_words(use_word(look->rows[i].use)));
    json_object_set_new(row, "text", json_words(look->rows[i].text));
    json_array_append_new(rows, row);
  }
  for (int i = 0; i < look->n_questions; ++i) {
    json_array_append_new(questions, json_question(&look->questions[i]));
  }
  json_object_set_new(answer, "sort", json_words(lists_word(look->sort)));
  json_object_set_new(answer, "used_rows", json_integer(look->n_rows));
  json_object_set_new(answer, "columns", columns);
  json_object_set_new(answer, "other_rows", rows);
  json_object_set_new(answer, "questions", questions);
}
