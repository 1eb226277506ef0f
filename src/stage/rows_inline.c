// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"
#include "stage/rows.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

/*
  In-line things: their own list, and the column of an input list that says which stand between a
  source and its socket.

    through: pad 20 + y-lead to B7        the same source also feeds socket B7
             y-lead with dyn-vocal        a second source hangs on the same socket
             P07                          an item of the stores whose kind is an in-line thing

  What nobody has told is an error here: a thing in the line that the model leaves out would make
  every answer about that line wrong.
*/

static const char* const sort_words[INLINE_SORTS] = {
  "pad", "polarity adaptor", "unbalanced adaptor", "transformer", "A-B supply", "Y-lead", "panel"};

static Status
read_sort(const Draft* draft, const List* list, const TableRow* row, InlineSort* sort)
{
  const char* const text = cell_text(list, row, FIELD_INLINE_SORT);
  char plain[32];
  heading_plain(text, plain, sizeof(plain));
  for (int i = 0; i < INLINE_SORTS; ++i) {
    char word[32];
    heading_plain(sort_words[i], word, sizeof(word));
    if (strcmp(plain, word) == 0) {
      *sort = (InlineSort)i;
      return STATUS_OK;
    }
  }
  return draft_bad(draft, list, row, FIELD_INLINE_SORT,
                   "\"%.40s\" is no sort of in-line thing: write pad, polarity adaptor, unbalanced "
                   "adaptor, transformer, A-B supply, Y-lead or panel.",
                   text);
}

static int
find_inline(const Draft* draft, const char* name)
{
  for (int i = 0; i < draft->inlines.n; ++i) {
    if (text_same(draft->inlines.at[i].name, name)) {
      return i;
    }
  }
  for (int i = 0; i < draft->inline_also.n; ++i) {
    if (draft_goes_by(draft->inline_also.at[i], name)) {
      return i;
    }
  }
  return -1;
}

static Status
check_inline(const Draft* draft, const List* list, const TableRow* row, const Inline* thing)
{
  const bool coil = thing->sort == INLINE_TRANSFORMER || thing->sort == INLINE_SUPPLY;
  if (thing->sort == INLINE_PAD && !(thing->shunt_ohm > 0.0 && thing->series_ohm > 0.0)) {
    return draft_bad(draft, list, row, FIELD_INLINE,
                     "A pad needs its resistors: write series_ohm (in each leg) and shunt_ohm "
                     "(across the legs on the desk's side).");
  }
  if (coil && !(thing->primary_ohm > 0.0 && thing->secondary_ohm > 0.0)) {
    return draft_bad(draft, list, row, FIELD_INLINE,
                     "Its windings are missing: write primary_ohm and secondary_ohm.");
  }
  return STATUS_OK;
}

Status
rows_inline(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  const char* const name = cell_text(list, row, FIELD_INLINE);
  int at = 0;
  while (at < draft->inlines.n && !text_same(draft->inlines.at[at].name, name)) {
    ++at;
  }
  if (at == DRAFT_MAX_INLINES) {
    return error_set(draft->error, STATUS_LIMIT, list->name, row->line, 0,
                     "More than %d in-line things: is it the right file?", DRAFT_MAX_INLINES);
  }
  Inline thing = {.name = name,
                  .meaning = cell_text(list, row, FIELD_MEANING),
                  .caution = cell_text(list, row, FIELD_CAUTION),
                  .figures = cell_text(list, row, FIELD_FIGURES)};
  TRY(st, read_sort(draft, list, row, &thing.sort));
  TRY(st, cell_number(draft, list, row, FIELD_SERIES_OHM, 0.0, 1e6, 0.0, &thing.series_ohm));
  TRY(st, cell_number(draft, list, row, FIELD_SHUNT_OHM, 0.0, 1e6, 0.0, &thing.shunt_ohm));
  TRY(st, cell_number(draft, list, row, FIELD_PRIMARY_OHM, 0.1, 1e4, 0.0, &thing.primary_ohm));
  TRY(st, cell_number(draft, list, row, FIELD_SECONDARY_OHM, 0.1, 1e4, 0.0, &thing.secondary_ohm));
  TRY(st, cell_number(draft, list, row, FIELD_PRIMARY_H, 0.001, 1e3, 5.0, &thing.primary_h));
  TRY(st, cell_number(draft, list, row, FIELD_RATIO, 0.01, 100.0, 1.0, &thing.ratio));
  TRY(st, cell_flag(draft, list, row, FIELD_LIFTED, &thing.is_lifted));
  TRY(st, check_inline(draft, list, row, &thing));
  if (at == draft->inlines.n) {
    if (!MAKE_ROOM(draft->arena, draft->inlines) || !MAKE_ROOM(draft->arena, draft->inline_also)) {
      return draft_no_memory(draft);
    }
    draft->inline_also.at[draft->inline_also.n++] = "";
    ++draft->inlines.n;
  }
  draft->inlines.at[at] = thing;
  if (cell_text(list, row, FIELD_ALSO)[0]) {
    draft->inline_also.at[at] = cell_text(list, row, FIELD_ALSO);
  }
  return STATUS_OK;
}

// ---- What stands between ----

static Status
bad_through(const Draft* draft, const DraftInput* in, const char* word)
{
  return draft_bad(
    draft, in->list, in->row, FIELD_THROUGH,
    "Nobody has told what \"%.60s\" is: write a name of the in-line list (such as pad "
    "20, polarity adaptor, isolating box, y-lead to B7, panel), several joined by +, "
    "or add its row there.",
    word);
}

// "y-lead to B7", "y-lead with dyn-vocal": cuts the word at its " to " or " with ".
static char*
cut(char* word, const char* at)
{
  for (char* p = word; *p; ++p) {
    if (text_begins(p, at)) {
      *p = '\0';
      return p + strlen(at);
    }
  }
  return NULL;
}

static Status
read_y(Draft* draft, const Plant* so_far, DraftInput* in, const char* to, const char* with)
{
  if (with) {
    const int kind = draft_kind(draft, with);
    if (kind < 0) {
      return draft_bad(draft, in->list, in->row, FIELD_THROUGH,
                       "\"%.40s\" is no kind of source: write one of the kinds list.", with);
    }
    in->input.y_kind = kind + 1;
    return STATUS_OK;
  }
  const int line = to ? plant_socket(so_far, to) : -1;
  if (line < 0 || line == in->input.line) {
    return draft_bad(draft, in->list, in->row, FIELD_THROUGH,
                     "A Y-lead needs its other end: write \"y-lead to B7\" for a second socket, or "
                     "\"y-lead with dyn-vocal\" for a second source on this one.");
  }
  in->input.y_line = so_far->lines[line].number;
  return STATUS_OK;
}

// The kind of an item that goes by this tag, NULL when there is none.
static const char*
kind_of_tag(const Draft* draft, const char* tag)
{
  for (int i = 0; i < draft->items.n; ++i) {
    if (text_same(draft->items.at[i].item.tag, tag)) {
      return draft->items.at[i].item.kind;
    }
  }
  return NULL;
}

static Status
read_one(Draft* draft, const Plant* so_far, DraftInput* in, char* word)
{
  int thing = find_inline(draft, word);
  char* to = NULL;
  char* with = NULL;
  if (thing < 0) {
    to = cut(word, " to ");
    with = to ? NULL : cut(word, " with ");
    thing = find_inline(draft, word);
  }
  if (thing < 0 && !to && !with && kind_of_tag(draft, word)) {
    thing = find_inline(draft, kind_of_tag(draft, word));
  }
  const bool is_y = thing >= 0 && draft->inlines.at[thing].sort == INLINE_Y;
  if (thing < 0 || ((to || with) && !is_y)) {
    return bad_through(draft, in, word);
  }
  Input* const input = &in->input;
  if (input->n_through == INPUT_MAX_THROUGH || (is_y && (input->y_line || input->y_kind))) {
    return draft_bad(draft, in->list, in->row, FIELD_THROUGH,
                     "At most %d things, and one Y-lead, between a source and its socket.",
                     INPUT_MAX_THROUGH);
  }
  input->through[input->n_through++] = thing;
  return is_y ? read_y(draft, so_far, in, to, with) : STATUS_OK;
}

static Status
read_all(Draft* draft, const Plant* so_far, DraftInput* in)
{
  Status st = STATUS_OK;
  const char* p = in->through;
  while (*p) {
    const size_t n = strcspn(p, "+");
    char word[96];
    (void)snprintf(word, sizeof(word), "%.*s", (int)(n < sizeof(word) ? n : sizeof(word) - 1), p);
    char* from = word;
    while (*from == ' ') {
      ++from;
    }
    for (char* end = from + strlen(from); end > from && end[-1] == ' ';) {
      *--end = '\0';
    }
    if (!cell_says_nothing(from)) {
      TRY(st, read_one(draft, so_far, in, from));
    }
    p += n + (p[n] ? 1 : 0);
  }
  return STATUS_OK;
}

static DraftInput*
input_on(Draft* draft, const Plant* so_far, int act, int number)
{
  for (int i = 0; i < draft->inputs.n; ++i) {
    DraftInput* const in = &draft->inputs.at[i];
    if (in->input.act == act && in->input.line >= 0 &&
        so_far->lines[in->input.line].number == number) {
      return in;
    }
  }
  return NULL;
}

// One end of a Y-lead names the other; the other may name none but this one.
static Status
pair_ends(Draft* draft, const Plant* so_far, DraftInput* in)
{
  const int own = so_far->lines[in->input.line].number;
  DraftInput* const other = input_on(draft, so_far, in->input.act, in->input.y_line);
  if (!other) {
    return draft_bad(draft, in->list, in->row, FIELD_THROUGH,
                     "The Y-lead of \"%.40s\" goes to line %d, which has no row in this act: write "
                     "one, with the same source.",
                     in->input.source, in->input.y_line);
  }
  if (other->input.y_line && other->input.y_line != own) {
    return draft_bad(draft, in->list, in->row, FIELD_THROUGH,
                     "The Y-lead of \"%.40s\" goes to line %d, whose own goes to line %d: correct "
                     "one of the two.",
                     in->input.source, in->input.y_line, other->input.y_line);
  }
  if (!other->input.y_line && other->input.n_through < INPUT_MAX_THROUGH) {
    int y = 0;
    while (draft->inlines.at[in->input.through[y]].sort != INLINE_Y) {
      ++y;
    }
    other->input.through[other->input.n_through++] = in->input.through[y];
  }
  other->input.y_line = own;
  return STATUS_OK;
}

// A source that needs phantom behind what lets no direct current through is silent by plan; an A-B
// source without its supply is taken to have one of the list's.
static Status
look_at_supply(Draft* draft, DraftInput* in)
{
  const Kind* const kind = &draft->kinds.at[in->input.kind];
  bool blocked = false;
  bool supplied = false;
  for (int i = 0; i < in->input.n_through; ++i) {
    const InlineSort sort = draft->inlines.at[in->input.through[i]].sort;
    blocked = blocked || sort == INLINE_TRANSFORMER || sort == INLINE_SUPPLY;
    supplied = supplied || sort == INLINE_SUPPLY;
  }
  if (kind->needs_phantom == ANSWER_YES && blocked) {
    return draft_assume(draft,
                        "%.80s, line %d: %.60s needs phantom, and what stands between it and its "
                        "socket lets none through: it will not sound that way.",
                        in->list->name, in->row->line, in->input.source);
  }
  if (!kind->needs_ab || supplied || in->input.n_through == INPUT_MAX_THROUGH) {
    return STATUS_OK;
  }
  for (int i = 0; i < draft->inlines.n; ++i) {
    if (draft->inlines.at[i].sort == INLINE_SUPPLY) {
      memmove(&in->input.through[1], &in->input.through[0],
              (size_t)in->input.n_through * sizeof(int));
      in->input.through[0] = i;
      ++in->input.n_through;
      return draft_assume(draft,
                          "%.80s, line %d: %.60s is fed A-B and no supply is named: the %.40s is "
                          "taken to be in its line.",
                          in->list->name, in->row->line, in->input.source,
                          draft->inlines.at[i].name);
    }
  }
  return STATUS_OK;
}

Status
rows_through(Draft* draft, const Plant* so_far, int act)
{
  Status st = STATUS_OK;
  for (int i = 0; i < draft->inputs.n; ++i) {
    DraftInput* const in = &draft->inputs.at[i];
    if (in->input.act == act && in->input.line >= 0 && in->through) {
      TRY(st, read_all(draft, so_far, in));
      TRY(st, look_at_supply(draft, in));
    }
  }
  for (int i = 0; i < draft->inputs.n; ++i) {
    DraftInput* const in = &draft->inputs.at[i];
    if (in->input.act == act && in->input.line >= 0 && in->input.y_line) {
      TRY(st, pair_ends(draft, so_far, in));
    }
  }
  return STATUS_OK;
}
