// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/desk_talk.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

/*
  Forty rows in ninety seconds: the eye goes from screen to desk and back, so a row is one line,
  the usual answer is one key, and nothing is asked twice. A row is kept as soon as it is answered;
  whoever is called away leaves with q, or just goes.
*/

enum { ANSWER_BYTES = 400 };

Status
desk_rows(const Face* face, const OpenShow* show, const char* desk, DeskTalk* talk)
{
  DeskTalk out = {.desk = plant_desk(&show->plant, desk), .act = show->act};
  if (out.desk < 0) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "There is no desk \"%.40s\" in this show: write foh, mon or broadcast.", desk);
  }
  const ReadbackOrder order =
    face->args->order && text_same(face->args->order, "list") ? READBACK_BY_LIST : READBACK_BY_LINE;
  Status st;
  const Plant* now = NULL; // What a way round moved is to be read where it is
  TRY(st, show_as_moved(face, show, &now));
  TRY(st, readback_rows(face->arena, now, show->act, out.desk, order, &out.rows, &out.n_rows));
  for (int i = 0; i < out.n_rows; ++i) {
    out.n_left += !out.rows[i].is;
  }
  *talk = out;
  return STATUS_OK;
}

const char*
desk_row_say(Arena* arena, const ReadbackRow* row)
{
  return arena_format(arena, "%s, input %d, 48 V %s, pad %s, muted", row->name, row->input,
                      row->phantom == ANSWER_YES  ? "ON"
                      : row->phantom == ANSWER_NO ? "off"
                                                  : "as asked",
                      row->pad_in ? "IN" : "out");
}

static void
say_row(const Face* face, const DeskTalk* talk, int at)
{
  char lead[40];
  const ReadbackRow* const row = &talk->rows[at];
  const char* const text = desk_row_say(face->arena, row);
  (void)snprintf(lead, sizeof(lead), "%d/%d ch %d  ", at + 1, talk->n_rows, row->channel);
  screen_item(face->screen, PAINT_STRONG, lead, text ? text : "");
}

// One line of the input without its end; false when there is none.
static bool
next_answer(const Face* face, bool asks, char text[ANSWER_BYTES])
{
  if (asks) {
    (void)fputs("> ", face->screen->out);
    (void)fflush(face->screen->out);
  }
  if (!fgets(text, ANSWER_BYTES, stdin)) {
    return false;
  }
  if (!strchr(text, '\n')) { // What is longer than any answer is not cut into two
    for (int c = getchar(); c != EOF && c != '\n'; c = getchar()) {
    }
  }
  text[strcspn(text, "\r\n")] = '\0';
  return true;
}

typedef enum { ROW_NEXT, ROW_AGAIN, ROW_BACK, ROW_LEAVE } RowEnd;

static Status
answer_row(const Face* face, OpenShow* show, const DeskTalk* talk, int at, const char* text,
           const char** id, RowEnd* end)
{
  if (text_same(text, "q") || text_same(text, "b") || text_same(text, "?")) {
    *end = text_same(text, "q") ? ROW_LEAVE : text_same(text, "b") ? ROW_BACK : ROW_NEXT;
    return STATUS_OK;
  }
  FactBody body;
  const Plant* now = NULL;
  Status st = show_as_moved(face, show, &now);
  if (st != STATUS_OK) {
    return st;
  }
  st = readback_body(face->arena, now, talk->act, talk->desk, &talk->rows[at], text, &body,
                     face->error);
  if (st == STATUS_BAD_INPUT) { // Said, and asked again
    if (!face->args->json) {
      screen_say(face->screen, PAINT_WARN, "%s", face->error->text);
    }
    *face->error = (Error){0};
    *end = ROW_AGAIN;
    return STATUS_OK;
  }
  if (st != STATUS_OK) {
    return st;
  }
  bool is_new = false;
  TRY(st, show_tell(face, show, FACT_DESK_READ, &body, &is_new, id));
  *end = ROW_NEXT;
  return STATUS_OK;
}

Status
desk_talk(const Face* face, OpenShow* show, const char* desk, DeskTalk* talk)
{
  const bool says = !face->args->json;
  const bool asks = says && face->screen->is_terminal && isatty(STDIN_FILENO) == 1;
  Status st;
  TRY(st, desk_rows(face, show, desk, talk));
  const char** const ids = arena_array(face->arena, (size_t)talk->n_rows, sizeof(*ids));
  if (!ids) {
    return STATUS_NO_MEMORY;
  }
  if (says) {
    screen_say(face->screen, PAINT_STRONG, "%s, %s: %d of %d channels to read.", show->act_word,
               show->plant.desks[talk->desk].say, talk->n_left, talk->n_rows);
    screen_say(face->screen, PAINT_PLAIN,
               "Enter: as it says here. Else only what differs: 48, pad, open, in 4, ch 12, name "
               "snare btm, none. ? not read, b back, q leave.");
  }
  RowEnd end = ROW_NEXT;
  for (int at = 0; at < talk->n_rows && end != ROW_LEAVE;) {
    char text[ANSWER_BYTES];
    if (talk->rows[at].is && !ids[at] && end != ROW_BACK) {
      ++at; // Read another time
      continue;
    }
    if (says) {
      say_row(face, talk, at);
    }
    if (!next_answer(face, asks, text)) {
      break;
    }
    TRY(st, answer_row(face, show, talk, at, text, &ids[at], &end));
    if (end == ROW_BACK) {
      TRY(st, show_back(face, show, ids, &at));
    } else {
      at += end == ROW_NEXT;
    }
  }
  int n_read = 0;
  for (int i = 0; i < talk->n_rows; ++i) {
    n_read += ids[i] != NULL;
  }
  TRY(st, show_refold(face, show, false));
  TRY(st, desk_rows(face, show, desk, talk));
  talk->n_read = n_read;
  return STATUS_OK;
}
