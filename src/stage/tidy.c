// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/tidy_build.h"

#include "base/text.h"
#include "stage/cell.h"
#include "stage/range.h"

#include <string.h>

enum { ROW_TEXT_BYTES = 160 };

const char*
tidy_row_text(Arena* arena, const TableRow* row)
{
  TextOut out = {.arena = arena};
  const char* before = "";
  for (int c = 0; c < row->n_cells && out.n_bytes < ROW_TEXT_BYTES; ++c) {
    const char* const text = row->cells[c].text;
    if (text[0] && strcmp(text, before) != 0) { // A merge across says it in each cell
      text_add(&out, "%s%s", out.n_bytes ? " | " : "", text);
      before = text;
    }
  }
  const char* const whole = text_done(&out);
  size_t n = whole ? strlen(whole) : 0;
  if (n <= ROW_TEXT_BYTES) {
    return whole;
  }
  n = ROW_TEXT_BYTES;
  while (n > 0 && ((unsigned char)whole[n] & 0xC0) == 0x80) { // Not inside a character
    --n;
  }
  return arena_text(arena, whole, n);
}

// ---- Answers ----

static bool
may_be_answered(const List* list, const HeadingQuestion* question)
{
  return list->at[question->field] >= 0;
}

// Put what people said a word means in its place. The row gets cells of its own when it has to.
static Status
answer_cells(Tidy* tidy, TableRow* row)
{
  List* const list = tidy->list;
  bool is_own = false;
  for (const HeadingQuestion* q = heading_questions(); q->word; ++q) {
    const int c = list->at[q->field];
    if (!may_be_answered(list, q) || c >= row->n_cells || !row->cells[c].text[0]) {
      continue;
    }
    const char* const means = mapping_means(list->mapping, q->word, row->cells[c].text);
    if (!means) {
      continue;
    }
    if (!is_own) {
      TableCell* const cells = arena_grow(tidy->draft->arena, row->cells, (size_t)row->n_cells,
                                          (size_t)row->n_cells, sizeof(*cells));
      if (!cells) {
        return draft_no_memory(tidy->draft);
      }
      row->cells = cells;
      is_own = true;
    }
    row->cells[c].text = text_same(means, "nothing")  ? ""
                         : text_same(means, "itself") ? row->cells[c].text
                                                      : means;
  }
  return STATUS_OK;
}

// ---- What a row is ----

static bool
has_number(const Tidy* tidy, const TableRow* row)
{
  return tidy->number < FIELD_COUNT &&
         range_read(cell_text(tidy->list, row, tidy->number), "", &(int){0}, &(int){0});
}

// Whether the row says where or with what a source is plugged.
static bool
has_more(const List* list, const TableRow* row)
{
  return tidy_has(list, row, FIELD_KIND) || tidy_has(list, row, FIELD_BOX) ||
         tidy_has(list, row, FIELD_SOCKET) || tidy_has(list, row, FIELD_PATCH) ||
         tidy_has(list, row, FIELD_PHANTOM) ||
         (tidy_has(list, row, FIELD_LINE) &&
          range_read(cell_text(list, row, FIELD_LINE), "", &(int){0}, &(int){0}));
}

// The one text of a row that has only one, or the same in each cell; NULL when it has several.
static const char*
lone_text(const TableRow* row)
{
  const char* text = NULL;
  for (int c = 0; c < row->n_cells; ++c) {
    const char* const here = row->cells[c].text;
    if (here[0] && text && strcmp(here, text) != 0) {
      return NULL;
    }
    text = here[0] ? here : text;
  }
  return text;
}

static bool
repeats_headings(const List* list, const TableRow* row)
{
  int n_same = 0;
  for (int c = 0; c < row->n_cells; ++c) {
    if (row->cells[c].text[0]) {
      if (!text_same(row->cells[c].text, table_cell(&list->table.rows[0], c)->text)) {
        return false;
      }
      ++n_same;
    }
  }
  return n_same > 1;
}

// What sections are mostly called.
static bool
is_section_word(const char* text)
{
  char plain[48];
  heading_plain(text, plain, sizeof(plain));
  return heading_among(
    "drums|drumkit|kit|percussion|perc|guitars|gtrs|keys|keyboards|synths|vocals|"
    "vox|voices|bvs|backingvocals|brass|horns|strings|woodwind|winds|playback|"
    "tracks|spares|talkbacks|ambience|audience|others|misc|extras|rhythm|choir|"
    "electronics|acoustics|basses|radios|di|dis|line|lines|",
    plain);
}

// Text in capitals, or that ends in a colon, or has lines around it, or is a usual name.
static bool
looks_like_section(const char* text)
{
  const size_t n = strlen(text);
  bool has_small = false;
  int n_capital = 0;
  for (const char* p = text; *p; ++p) {
    has_small = has_small || (*p >= 'a' && *p <= 'z');
    n_capital += *p >= 'A' && *p <= 'Z';
  }
  return n > 0 && (is_section_word(text) || text[n - 1] == ':' || text[0] == '-' ||
                   text[0] == '=' || text[0] == '*' || (!has_small && n_capital > 3));
}

// "Page 1 of 2" stands between pages and is the name of nothing.
static bool
looks_like_page(const char* text)
{
  return text_begins(text, "page ") || text_begins(text, "seite ") ||
         text_begins(text, "continued") || text_begins(text, "(continued");
}

// Whether what stands where the number should be is what stands over numbers: "#", "No".
static bool
heads_numbers(const char* text)
{
  char plain[48];
  heading_plain(text, plain, sizeof(plain));
  return !plain[0] || heading_among("no|nr|number|ch|channel|input|", plain);
}

static TidyLooks
look_at(const Tidy* tidy, const TableRow* row, bool is_above)
{
  const List* const list = tidy->list;
  const char* const lone = lone_text(row);
  const bool source = tidy_has(list, row, FIELD_SOURCE);
  if (repeats_headings(list, row)) {
    return LOOK_HEADING;
  }
  if (row->n_cells == 1 && strpbrk(row->cells[0].text, ";|\t")) {
    return LOOK_INPUT; // Cut in another way than the headings: rows.c says so
  }
  if (has_number(tidy, row)) {
    return LOOK_INPUT;
  }
  if (lone && list->table.rows[0].n_cells > 1) {
    if (tidy->is_numbered || !source) {
      return LOOK_LONE;
    }
    return looks_like_section(lone) ? LOOK_LONE : LOOK_INPUT;
  }
  if (tidy->is_numbered && is_above && tidy_has(list, row, tidy->number)) {
    return LOOK_WORDS;
  }
  if (has_more(list, row)) {
    return LOOK_INPUT;
  }
  return source && !tidy->is_numbered ? LOOK_INPUT : LOOK_WORDS;
}

static void
find_numbering(Tidy* tidy)
{
  static const Field fields[] = {FIELD_CHANNEL, FIELD_LINE, FIELD_COUNT};
  const List* const list = tidy->list;
  for (int i = 0; i < 3 && !tidy->is_numbered; ++i) {
    int n_sources = 0;
    int n_numbers = 0;
    tidy->number = fields[i];
    for (int r = 1; r < list->table.n_rows; ++r) {
      const TableRow* const row = &list->table.rows[r];
      n_sources += tidy_has(list, row, FIELD_SOURCE);
      n_numbers += tidy_has(list, row, FIELD_SOURCE) && has_number(tidy, row);
    }
    tidy->is_numbered = n_numbers > 0 && 2 * n_numbers >= n_sources;
  }
}

static Status
put_aside(Tidy* tidy, const TableRow* row, ListRowUse use, AsideSure sure)
{
  const char* const text = tidy_row_text(tidy->draft->arena, row);
  if (!text || !MAKE_ROOM(tidy->draft->arena, tidy->aside)) {
    return draft_no_memory(tidy->draft);
  }
  tidy->aside.at[tidy->aside.n++] = (AsideRow){row->line, use, text, sure};
  return STATUS_OK;
}

// What a row without an input is: by an answer, else by its looks and where it stands.
static Status
judge_row(Tidy* tidy, int r, bool* is_input)
{
  static const char* const words[] = {[LIST_ROW_TITLE] = "title",
                                      [LIST_ROW_HEADING] = "heading",
                                      [LIST_ROW_SECTION] = "section",
                                      [LIST_ROW_NOTE] = "note",
                                      [LIST_ROW_LEFT_OUT] = "left out"};
  const TableRow* const row = &tidy->list->table.rows[r];
  const TidyLooks looks = tidy->looks[r];
  const char* answer = NULL;
  if (tidy->list->mapping && tidy->list->mapping->n_rows > 0) {
    const char* const text = tidy_row_text(tidy->draft->arena, row);
    if (!text) {
      return draft_no_memory(tidy->draft);
    }
    answer = mapping_means(tidy->list->mapping, "row", text);
  }
  for (int use = 0; answer && use <= LIST_ROW_LEFT_OUT; ++use) {
    if (text_same(answer, words[use])) {
      *is_input = false;
      return put_aside(tidy, row, (ListRowUse)use, ASIDE_SAID);
    }
  }
  *is_input = looks == LOOK_INPUT || (answer && text_same(answer, "input"));
  if (*is_input) {
    return STATUS_OK;
  }
  if (looks == LOOK_HEADING) {
    return put_aside(tidy, row, LIST_ROW_HEADING, ASIDE_SURE);
  }
  const bool source = tidy_has(tidy->list, row, FIELD_SOURCE);
  if (looks == LOOK_LONE) {
    const char* const text = lone_text(row);
    const bool is_note = r > tidy->last || looks_like_page(text);
    const AsideSure sure = !source || looks_like_section(text) || looks_like_page(text) ? ASIDE_SURE
                           : is_note ? ASIDE_LIKELY
                                     : ASIDE_OPEN;
    return put_aside(tidy, row, is_note ? LIST_ROW_NOTE : LIST_ROW_SECTION, sure);
  }
  // Several words and no input: a second row of headings where the list begins, else a note. One
  // that has a source in the midst of the list stays, so that its number is asked for
  const bool has_word = tidy->number < FIELD_COUNT && tidy_has(tidy->list, row, tidy->number);
  if (r < tidy->first) {
    const bool is_sure = !source || heads_numbers(cell_text(tidy->list, row, tidy->number));
    return put_aside(tidy, row, LIST_ROW_HEADING,
                     is_sure                     ? ASIDE_SURE
                     : has_more(tidy->list, row) ? ASIDE_OPEN
                                                 : ASIDE_LIKELY);
  }
  *is_input = source && r < tidy->last;
  return *is_input
           ? STATUS_OK
           : put_aside(tidy, row, LIST_ROW_NOTE, source && !has_word ? ASIDE_LIKELY : ASIDE_SURE);
}

// ---- All of it ----

static Status
titles_aside(Tidy* tidy)
{
  Status st = STATUS_OK;
  for (int i = 0; i < tidy->list->n_title; ++i) {
    TRY(st, put_aside(tidy, &tidy->list->titles[i], LIST_ROW_TITLE, ASIDE_SURE));
  }
  return STATUS_OK;
}

static Status
take_rows(Tidy* tidy)
{
  Status st = STATUS_OK;
  const Table* const table = &tidy->list->table;
  TRY(st, titles_aside(tidy));
  if (!MAKE_ROOM(tidy->draft->arena, tidy->rows)) {
    return draft_no_memory(tidy->draft);
  }
  tidy->rows.at[tidy->rows.n++] = table->rows[0];
  for (int r = 1; r < table->n_rows; ++r) {
    bool is_input = true;
    TRY(st, judge_row(tidy, r, &is_input));
    if (is_input) {
      TRY(st, tidy_take(tidy, &table->rows[r]));
    }
  }
  return STATUS_OK;
}

Status
tidy_rows(Draft* draft, List* list)
{
  Status st = STATUS_OK;
  Tidy tidy = {.draft = draft, .list = list, .number = FIELD_COUNT};
  for (int r = 1; r < list->table.n_rows; ++r) {
    TRY(st, answer_cells(&tidy, &list->table.rows[r]));
  }
  find_numbering(&tidy);
  tidy.looks = arena_array(draft->arena, (size_t)list->table.n_rows, sizeof(TidyLooks));
  if (!tidy.looks) {
    return draft_no_memory(draft);
  }
  for (int r = 1; r < list->table.n_rows; ++r) {
    tidy.looks[r] = look_at(&tidy, &list->table.rows[r], !tidy.first);
    tidy.first = tidy.looks[r] == LOOK_INPUT && !tidy.first ? r : tidy.first;
    tidy.last = tidy.looks[r] == LOOK_INPUT ? r : tidy.last;
  }
  for (int r = 1; r < list->table.n_rows && !tidy.first; ++r) {
    tidy.looks[r] = LOOK_INPUT; // None looks like one: rows.c says what is missing
  }
  TRY(st, take_rows(&tidy));
  if (tidy.n_carried > 0) {
    TRY(st, draft_assume(draft,
                         "%.80s: %d sockets are named without a box and are taken to be on "
                         "the box above them (the first in line %d).",
                         list->name, tidy.n_carried, tidy.first_carried));
  }
  list->aside = tidy.aside.at;
  list->n_aside = tidy.aside.n;
  list->table.rows = tidy.rows.at;
  list->table.n_rows = tidy.rows.n;
  return STATUS_OK;
}
