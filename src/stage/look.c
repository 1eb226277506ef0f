// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"
#include "stage/rows.h"
#include "stage/tidy.h"

#include "base/text.h"

#include <string.h>

/*
  A list looked at before it is taken: column by column, row by row, and what nobody can know but
  the person who brought it.

  Only what an answer would change is a question. Each word is asked for once, in the order a person
  reads: headings, rows, then the words below the headings. Every choice is a row of the list of
  answers, so what was answered is not asked again.
*/

enum { MAX_QUESTIONS = 400 };

typedef struct {
  Draft draft;
  const List* list;
  GROWING(ListQuestion) questions;
} Look;

static Status
no_memory(Look* look)
{
  return draft_no_memory(&look->draft);
}

// ---- Questions ----

static bool
is_asked(const Look* look, const char* under, const char* written)
{
  for (int i = 0; i < look->questions.n; ++i) {
    const ListAnswer* const answer = &look->questions.at[i].choices[0].answer;
    if (text_same(answer->under, under) && text_same(answer->written, written)) {
      return true;
    }
  }
  return false;
}

// Room for one more; NULL when there are enough or no memory is left (then `*st` says so).
static ListQuestion*
new_question(Look* look, int line, bool is_needed, const char* sentence, Status* st)
{
  if (look->questions.n == MAX_QUESTIONS) {
    return NULL;
  }
  if (!sentence || !MAKE_ROOM(look->draft.arena, look->questions)) {
    *st = no_memory(look);
    return NULL;
  }
  ListQuestion* const question = &look->questions.at[look->questions.n++];
  *question = (ListQuestion){.sentence = sentence, .line = line, .is_needed = is_needed};
  return question;
}

static void
add_choice(ListQuestion* question, char key, const char* under, const char* written,
           const char* means, const char* say)
{
  if (question->n_choices < LIST_MAX_CHOICES) {
    question->choices[question->n_choices++] = (ListChoice){key, {under, written, means}, say};
  }
}

static const char*
first_below(const List* list, int column)
{
  for (int r = 1; r < list->table.n_rows; ++r) {
    const char* const text = table_cell(&list->table.rows[r], column)->text;
    if (text[0]) {
      return text;
    }
  }
  return "";
}

static bool
is_claimed(const List* list, int column)
{
  for (int f = 0; f < FIELD_COUNT; ++f) {
    if (list->at[f] == column) {
      return true;
    }
  }
  return false;
}

// Which columns are what nobody knows.
static Status
ask_headings(Look* look)
{
  const List* const list = look->list;
  const TableRow* const head = &list->table.rows[0];
  const bool is_needed = list->at[FIELD_SOURCE] < 0;
  Status st = STATUS_OK;
  for (int c = 0; c < head->n_cells; ++c) {
    const char* const text = head->cells[c].text;
    const char* const example = first_below(list, c);
    if (!text[0] || !example[0] || is_claimed(list, c) || is_asked(look, "heading", text) ||
        mapping_means(list->mapping, "heading", text) ||
        (list->sort == LIST_INPUTS && heading_is_usual(text))) {
      continue;
    }
    ListQuestion* const question = new_question(
      look, head->line, is_needed,
      arena_format(look->draft.arena, "What stands under \"%.60s\" (\"%.40s\")?", text, example),
      &st);
    if (!question) {
      return st;
    }
    for (const HeadingQuestion* q = heading_questions(); q->word; ++q) {
      if (list->at[q->field] < 0) {
        add_choice(question, q->key, "heading", text, q->word, q->say);
      }
    }
    add_choice(question, '-', "heading", text, "kept", "something else: keep it with the list");
  }
  return st;
}

static Status
ask_rows(Look* look)
{
  Status st = STATUS_OK;
  for (int i = 0; i < look->list->n_aside; ++i) {
    const AsideRow* const row = &look->list->aside[i];
    if (row->sure < ASIDE_LIKELY || is_asked(look, "row", row->text)) {
      continue;
    }
    const bool is_section = row->use == LIST_ROW_SECTION;
    const bool is_heading = row->use == LIST_ROW_HEADING;
    ListQuestion* const question = new_question(
      look, row->line, row->sure == ASIDE_OPEN,
      arena_format(look->draft.arena, "What is row %d, \"%.80s\"?", row->line, row->text), &st);
    if (!question) {
      return st;
    }
    add_choice(question, 'i', "row", row->text, "input", "an input");
    add_choice(question, is_section ? 'n' : 's', "row", row->text, is_section ? "note" : "section",
               is_section ? "a note" : "the name of a section");
    add_choice(question,
               is_section   ? 's'
               : is_heading ? 'h'
                            : 'n',
               "row", row->text,
               is_section   ? "section"
               : is_heading ? "heading"
                            : "note",
               is_section   ? "the name of a section"
               : is_heading ? "a second row of headings"
                            : "a note");
  }
  return st;
}

// Whether a cell under this question makes sense as it stands.
static bool
makes_sense(const List* list, const TableRow* row, const HeadingQuestion* question)
{
  const char* const text = cell_text(list, row, question->field);
  if (!text[0]) {
    return true;
  }
  Answer answer;
  switch (question->field) {
    case FIELD_CHANNEL:
      return text_whole(text, 1, 9999, &(int){0});
    case FIELD_LINE:
      return text_whole(text, 1, 9999, &(int){0});
    case FIELD_PHANTOM:
      return cell_answer_of(text, &answer);
    case FIELD_BOX: // Alone it has the socket with it
      return cell_says_nothing(text) || !cell_says_nothing(cell_text(list, row, FIELD_SOCKET)) ||
             !cell_says_nothing(cell_text(list, row, FIELD_PATCH)) ||
             rows_cut_patch(text, &(size_t){0}, &(size_t){0}, &(int){0});
    case FIELD_SOCKET:
      return cell_says_nothing(text) || text_whole(text, 1, DRAFT_MAX_SOCKETS, &(int){0}) ||
             (list->at[FIELD_BOX] < 0 &&
              rows_cut_patch(text, &(size_t){0}, &(size_t){0}, &(int){0}));
    case FIELD_PATCH:
      return cell_says_nothing(text) || text_whole(text, 1, 9999, &(int){0}) ||
             rows_cut_patch(text, &(size_t){0}, &(size_t){0}, &(int){0});
    default:
      return true;
  }
}

static Status
ask_word(Look* look, const TableRow* row, const HeadingQuestion* q)
{
  Status st = STATUS_OK;
  const List* const list = look->list;
  const char* const text = cell_text(list, row, q->field);
  const char* const source = cell_text(list, row, FIELD_SOURCE);
  ListQuestion* const question =
    new_question(look, row->line, true,
                 arena_format(look->draft.arena,
                              "Row %d, %.40s: what does \"%.60s\" under \"%.40s\" "
                              "mean?",
                              row->line, source[0] ? source : "without a source", text,
                              cell_heading(list, q->field)),
                 &st);
  if (!question) {
    return st;
  }
  if (q->field == FIELD_PHANTOM) {
    add_choice(question, 'y', q->word, text, "yes", "phantom is wanted");
    add_choice(question, 'n', q->word, text, "no", "no phantom");
    add_choice(question, 'a', q->word, text, "ask", "nobody knows: it must be asked");
    return STATUS_OK;
  }
  const char* const whole = tidy_row_text(look->draft.arena, row);
  if (!whole) {
    return no_memory(look);
  }
  add_choice(question, '0', q->word, text, "nothing", "nothing: read it as an empty cell");
  add_choice(question, 'n', "row", whole, "note", "the row is a note");
  add_choice(question, 'o', "row", whole, "left out", "leave the row out");
  return STATUS_OK;
}

static Status
ask_words(Look* look)
{
  Status st = STATUS_OK;
  for (const HeadingQuestion* q = heading_questions(); q->word; ++q) {
    for (int r = 1; look->list->at[q->field] >= 0 && r < look->list->table.n_rows; ++r) {
      const TableRow* const row = &look->list->table.rows[r];
      if (!makes_sense(look->list, row, q) &&
          !is_asked(look, q->word, cell_text(look->list, row, q->field))) {
        TRY(st, ask_word(look, row, q));
      }
    }
  }
  return st;
}

// ---- Kinds ----

static Status
ask_kind(Look* look, const TableRow* row)
{
  static const struct {
    char key;
    const char* kind;
  } kinds[] = {{'d', "dyn-inst"},  {'v', "dyn-vocal"},  {'c', "cond-small"}, {'l', "cond-large"},
               {'k', "cond-clip"}, {'b', "cond-bound"}, {'r', "ribbon"},     {'p', "di-passive"},
               {'a', "di-active"}, {'w', "rx-line"},    {'i', "line-bal"},   {'u', "line-unbal"},
               {'t', "tb-mic"}};
  Status st = STATUS_OK;
  const char* const text = cell_text(look->list, row, FIELD_KIND);
  ListQuestion* const question = new_question(
    look, row->line, false,
    arena_format(look->draft.arena, "Row %d, %.40s: what is \"%.60s\"? Phantom depends on it.",
                 row->line, cell_text(look->list, row, FIELD_SOURCE), text),
    &st);
  if (!question) {
    return st;
  }
  for (size_t i = 0; i < sizeof(kinds) / sizeof(kinds[0]); ++i) {
    const int at = draft_kind(&look->draft, kinds[i].kind);
    if (at >= 0) {
      add_choice(question, kinds[i].key, "pickup", text, look->draft.kinds.at[at].name,
                 look->draft.kinds.at[at].meaning);
    }
  }
  add_choice(question, '-', "pickup", text, "itself", "unknown: phantom must be asked");
  return STATUS_OK;
}

static Status
ask_kinds(Look* look)
{
  Status st = STATUS_OK;
  const List* const list = look->list;
  for (int r = 1; list->at[FIELD_KIND] >= 0 && r < list->table.n_rows; ++r) {
    const TableRow* const row = &list->table.rows[r];
    const char* const text = cell_text(list, row, FIELD_KIND);
    if (text[0] && !cell_says_nothing(text) && rows_kind(&look->draft, text) < 0 &&
        !is_asked(look, "pickup", text) && !mapping_means(list->mapping, "pickup", text)) {
      TRY(st, ask_kind(look, row));
    }
  }
  return st;
}

// ---- What was understood ----

static Status
look_columns(Look* look, ListLook* out)
{
  const List* const list = look->list;
  const TableRow* const head = &list->table.rows[0];
  ListColumn* const columns =
    arena_array(look->draft.arena, (size_t)head->n_cells, sizeof(*columns));
  if (!columns) {
    return no_memory(look);
  }
  int n = 0;
  for (int c = 0; c < head->n_cells; ++c) {
    if (!head->cells[c].text[0]) {
      continue;
    }
    ListColumn* const column = &columns[n++];
    *column = (ListColumn){head->cells[c].text, NULL, first_below(list, c),
                           mapping_means(list->mapping, "heading", head->cells[c].text) != NULL};
    for (int f = 0; f < FIELD_COUNT; ++f) {
      if (list->at[f] == c) {
        column->means = heading_say(list->sort, (Field)f, look->draft.arena);
        if (!column->means) {
          return no_memory(look);
        }
      }
    }
  }
  out->columns = columns;
  out->n_columns = n;
  return STATUS_OK;
}

static Status
look_rows(Look* look, ListLook* out)
{
  const List* const list = look->list;
  ListRow* const rows = arena_array(look->draft.arena, (size_t)list->n_aside, sizeof(*rows));
  if (!rows) {
    return no_memory(look);
  }
  for (int i = 0; i < list->n_aside; ++i) {
    const AsideRow* const row = &list->aside[i];
    rows[i] = (ListRow){row->line, row->use, row->text, row->sure == ASIDE_SAID};
  }
  out->rows = rows;
  out->n_aside = list->n_aside;
  out->n_rows = list->table.n_rows - 1;
  for (int r = 1; r < list->table.n_rows && list->sort == LIST_INPUTS; ++r) {
    out->n_unused += cell_says_nothing(cell_text(list, &list->table.rows[r], FIELD_SOURCE)) &&
                     cell_says_nothing(cell_text(list, &list->table.rows[r], FIELD_KIND));
  }
  return STATUS_OK;
}

// A list of no known sort is asked about from its first row of several cells on.
static void
skip_titles(List* list)
{
  while (list->table.n_rows > 1) {
    int n = 0;
    for (int c = 0; c < list->table.rows[0].n_cells; ++c) {
      n += list->table.rows[0].cells[c].text[0] != '\0';
    }
    if (n > 1) {
      return;
    }
    ++list->table.rows;
    --list->table.n_rows;
  }
}

static Status
ask(Look* look)
{
  Status st = STATUS_OK;
  if (look->list->sort == LIST_INPUTS || look->list->sort == LIST_UNKNOWN) {
    TRY(st, ask_headings(look));
  }
  if (look->list->sort == LIST_INPUTS) {
    TRY(st, ask_rows(look));
    TRY(st, ask_words(look));
    TRY(st, ask_kinds(look));
  }
  return st;
}

Status
lists_look(Arena* arena, const ListText* lists, int n_lists, int at, ListLook* look, Error* error)
{
  Status st = STATUS_OK;
  Look work = {.draft = {.arena = arena, .error = error, .split = {.name = ""}}};
  ListLook out = {.sort = LIST_UNKNOWN};
  List* all = NULL;
  int n = 0;
  TRY(st, lists_open(&work.draft, lists, n_lists, &all, &n));
  for (int i = 0; i < n; ++i) {
    if (all[i].sort == LIST_KINDS) {
      TRY(st, rows_read(&work.draft, &all[i]));
    }
  }
  List* const list = &all[n - n_lists + at];
  if (list->sort == LIST_UNKNOWN) {
    skip_titles(list);
  }
  work.list = list;
  out.sort = list->sort;
  out.why = heading_why(list->sort);
  if (list->sort == LIST_INPUTS && list->at[FIELD_ACT] < 0) {
    out.act = rows_act(arena, list);
    if (!out.act) {
      return no_memory(&work);
    }
  }
  TRY(st, look_columns(&work, &out));
  TRY(st, look_rows(&work, &out));
  TRY(st, ask(&work));
  out.questions = work.questions.at;
  out.n_questions = work.questions.n;
  *look = out;
  return STATUS_OK;
}

Status
lists_answer(Arena* arena, const ListText* lists, int n_lists, const ListAnswer* answers,
             int n_answers, const char** bytes, size_t* n_bytes, Error* error)
{
  Status st = STATUS_OK;
  Draft draft = {.arena = arena, .error = error, .split = {.name = ""}, .doors = {"", "", ""}};
  Mapping mapping;
  MappingRow* const rows = arena_array(arena, (size_t)n_answers, sizeof(*rows));
  if (!rows) {
    return draft_no_memory(&draft);
  }
  for (int i = 0; i < n_answers; ++i) {
    rows[i] = (MappingRow){answers[i].under, answers[i].written, answers[i].means};
    if (!mapping_is_under(rows[i].under) || !rows[i].written[0] || !rows[i].means[0]) {
      return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "\"%.40s:%.40s=%.40s\" answers nothing that is asked: write under which "
                       "heading, a colon, what is written there, =, and what it means.",
                       rows[i].under, rows[i].written, rows[i].means);
    }
  }
  TRY(st, lists_mapping(&draft, lists, n_lists, &mapping));
  st = mapping_write(arena, &mapping, rows, n_answers, bytes, n_bytes);
  return st == STATUS_NO_MEMORY ? draft_no_memory(&draft) : st;
}
