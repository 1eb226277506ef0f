// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/draft.h"

#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { SENTENCE_BYTES = 400 };

Status
draft_no_memory(const Draft* draft)
{
  return error_set(draft->error, STATUS_NO_MEMORY, NULL, 0, 0,
                   "There is not enough memory for these lists.");
}

// A cell cut short can end inside a character: what is not UTF-8 any more is taken out.
static void
keep_characters(char* text)
{
  char* to = text;
  for (const char* from = text; *from;) {
    size_t n = 1;
    while (n < 4 && from[n] && !text_is_utf8(from, n)) {
      ++n;
    }
    const bool whole = text_is_utf8(from, n);
    n = whole ? n : 1;
    memmove(to, from, n);
    to += whole ? n : 0;
    from += n;
  }
  *to = '\0';
}

static const char*
sentence(Arena* arena, const char* format, va_list args)
{
  char text[SENTENCE_BYTES];
  (void)vsnprintf(text, sizeof(text), format, args);
  keep_characters(text);
  return arena_copy(arena, text);
}

Status
draft_assume(Draft* draft, const char* format, ...)
{
  va_list args;
  va_start(args, format);
  const char* const text = sentence(draft->arena, format, args);
  va_end(args);
  if (!text || !MAKE_ROOM(draft->arena, draft->assumed)) {
    return draft_no_memory(draft);
  }
  draft->assumed.at[draft->assumed.n++] = text;
  return STATUS_OK;
}

Status
draft_leave(Draft* draft, const char* format, ...)
{
  va_list args;
  va_start(args, format);
  const char* const text = sentence(draft->arena, format, args);
  va_end(args);
  if (!text || !MAKE_ROOM(draft->arena, draft->left_aside)) {
    return draft_no_memory(draft);
  }
  draft->left_aside.at[draft->left_aside.n++] = text;
  return STATUS_OK;
}

Status
draft_bad(const Draft* draft, const List* list, const TableRow* row, Field field,
          const char* format, ...)
{
  char text[SENTENCE_BYTES];
  va_list args;
  va_start(args, format);
  (void)vsnprintf(text, sizeof(text), format, args);
  va_end(args);
  keep_characters(text);
  const int column = field < FIELD_COUNT ? list->at[field] : 0;
  const int line = column >= 0 && column < row->n_cells ? row->cells[column].line : row->line;
  return error_set(draft->error, STATUS_BAD_INPUT, list->name, line, column + 1, "%s", text);
}

Status
draft_place(Draft* draft, const char* name, int* place)
{
  for (int i = 0; i < draft->places.n; ++i) {
    if (text_same(draft->places.at[i], name)) {
      *place = i;
      return STATUS_OK;
    }
  }
  if (draft->places.n == DRAFT_MAX_PLACES) {
    return error_set(draft->error, STATUS_LIMIT, NULL, 0, 0,
                     "The lists name more than %d places: is a column of free text read as places?",
                     DRAFT_MAX_PLACES);
  }
  if (!MAKE_ROOM(draft->arena, draft->places)) {
    return draft_no_memory(draft);
  }
  *place = draft->places.n++;
  draft->places.at[*place] = name;
  return STATUS_OK;
}

Status
draft_act(Draft* draft, const char* name, int* act)
{
  const Plant so_far = {.acts = draft->acts.at, .n_acts = draft->acts.n};
  *act = plant_act(&so_far, name);
  if (*act >= 0) {
    return STATUS_OK;
  }
  if (draft->acts.n == DRAFT_MAX_ACTS) {
    return error_set(draft->error, STATUS_LIMIT, NULL, 0, 0,
                     "The lists name more than %d acts: split them over several shows.",
                     DRAFT_MAX_ACTS);
  }
  // "act 2", "Act-2" and "2" are written act2, as on the wire
  char plain[48];
  heading_plain(name, plain, sizeof(plain));
  int number = 0;
  const char* word = name;
  if (text_whole(strncmp(plain, "act", 3) == 0 ? plain + 3 : plain, 0, 999, &number)) {
    word = arena_format(draft->arena, "act%d", number);
  }
  if (!word || !MAKE_ROOM(draft->arena, draft->acts)) {
    return draft_no_memory(draft);
  }
  *act = draft->acts.n++;
  draft->acts.at[*act] = (Act){word, "", "", ""};
  return STATUS_OK;
}

int
draft_box(const Draft* draft, const char* name)
{
  for (int i = 0; i < draft->boxes.n; ++i) {
    if (text_same(draft->boxes.at[i].box.name, name)) {
      return i;
    }
  }
  return -1;
}

Status
draft_box_named(Draft* draft, const char* name, int n_sockets, int* box)
{
  *box = draft_box(draft, name);
  if (draft->has_boxes) {
    return STATUS_OK;
  }
  if (*box < 0) {
    if (draft->boxes.n == DRAFT_MAX_BOXES) {
      return error_set(draft->error, STATUS_LIMIT, NULL, 0, 0,
                       "The lists name more than %d boxes: is another column read as the box?",
                       DRAFT_MAX_BOXES);
    }
    if (!MAKE_ROOM(draft->arena, draft->boxes)) {
      return draft_no_memory(draft);
    }
    *box = draft->boxes.n++;
    draft->boxes.at[*box].box = (Box){.name = name,
                                      .meaning = "",
                                      .where = "",
                                      .tail_m = -1.0,
                                      .tail_tag = "",
                                      .is_assumed = true,
                                      .clock = "",
                                      .power = ""};
    draft->boxes.at[*box].joins = "";
    draft->boxes.at[*box].spares = "";
  }
  Box* const at = &draft->boxes.at[*box].box;
  at->n_sockets = at->n_sockets < n_sockets ? n_sockets : at->n_sockets;
  return STATUS_OK;
}
