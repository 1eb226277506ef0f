// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/predict_rows.h"

#include "base/text.h"

#include <string.h>

// Whether two whole phrases differ in the socket alone: length of what stands before it, 0 = no.
static size_t
same_but_socket(const PredictRow* a, const PredictRow* b)
{
  const char* const at = a->socket ? strstr(a->part, a->socket) : NULL;
  const char* const of = b->socket ? strstr(b->part, b->socket) : NULL;
  const size_t n = at ? (size_t)(at - a->part) : 0;
  const bool same = at && of && n == (size_t)(of - b->part) && !strncmp(a->part, b->part, n) &&
                    !strcmp(at + strlen(a->socket), of + strlen(b->socket));
  return same ? n : 0;
}

static bool
is_alike(const PredictRow* a, const PredictRow* b)
{
  return !strcmp(a->shows, b->shows);
}

static bool
is_open(const PredictRow* row)
{
  return !strcmp(row->shows, "anything");
}

// The phrase of row `k`, and of all after it that differ in the socket alone: "the plugs in A1 and
// one of A2, A3 are exchanged".
static void
add_phrase(const PredictRow rows[], int n, int k, TextOut* out)
{
  text_add(out, "%s", out->n_bytes ? "; " : "");
  size_t before = 0;
  for (int i = k + 1; i < n && !before; ++i) {
    before = is_alike(&rows[i], &rows[k]) ? same_but_socket(&rows[k], &rows[i]) : 0;
  }
  if (!before) {
    text_add(out, "%s", rows[k].part);
    return;
  }
  text_add(out, "%.*sone of %s", (int)before, rows[k].part, rows[k].socket);
  for (int i = k + 1; i < n; ++i) {
    if (is_alike(&rows[i], &rows[k]) && same_but_socket(&rows[k], &rows[i])) {
      text_add(out, ", %s", rows[i].socket);
    }
  }
  text_add(out, "%s", rows[k].part + before + strlen(rows[k].socket));
}

// All faults that show what row `as` shows, a good line left out.
static const char*
faults_say(const Face* face, const PredictRow rows[], int n, int as)
{
  TextOut out = {.arena = face->arena};
  const char* part = ""; // Said last: its faults stand behind it
  for (int k = 0; k < n; ++k) {
    const PredictRow* const row = &rows[k];
    bool is_said = !is_alike(row, &rows[as]) || !strcmp(row->fault, "none");
    for (int i = 0; i < k && !is_said; ++i) {
      is_said = is_alike(&rows[i], row) && same_but_socket(&rows[i], row);
    }
    if (is_said) {
      continue;
    }
    if (row->is_shared) {
      add_phrase(rows, n, k, &out);
    } else if (is_open(row)) { // It sits nowhere in particular
      text_add(&out, "%s%s", out.n_bytes ? ", " : "", row->fault);
    } else if (!strcmp(part, row->part)) {
      text_add(&out, ", %s", row->fault);
    } else {
      text_add(&out, "%s%s: %s", out.n_bytes ? "; " : "", row->part, row->fault);
    }
    part = row->part;
  }
  return text_done(&out);
}

static void
say_list(const Face* face, const char* lead, const char* text)
{
  if (lead && text && text[0]) {
    screen_cell(face->screen, PAINT_STRONG, lead, 0);
    screen_rest(face->screen, PAINT_PLAIN, text_width(lead), 4, text);
  }
}

void
predict_rows_say(const Face* face, const PredictRow rows[], int n)
{
  int open = 0;
  if (n > 0) {
    screen_say(face->screen, PAINT_STRONG, "A good line: %s", rows[0].shows);
  }
  for (int i = 1; i < n; ++i) {
    bool is_said = is_alike(&rows[i], &rows[0]);
    for (int k = 0; k < i; ++k) {
      is_said = is_said || is_alike(&rows[k], &rows[i]);
    }
    if (!is_said && is_open(&rows[i])) {
      open = i;
    } else if (!is_said) {
      say_list(face, arena_format(face->arena, "%s: ", rows[i].shows),
               faults_say(face, rows, n, i));
    }
  }
  if (n > 0) {
    say_list(face, "Looks like a good line: ", faults_say(face, rows, n, 0));
  }
  if (open > 0) {
    say_list(face, "Could show anything: ", faults_say(face, rows, n, open));
  }
}

json_t*
predict_row_json(const PredictRow* row, json_t* values)
{
  json_t* const one = json_object();
  json_object_set_new(one, "part", json_words(row->part));
  json_object_set_new(one, "fault", json_words(row->fault));
  json_object_set_new(one, "shows", json_words(row->shows));
  json_object_set_new(one, "sees", json_boolean(row->sees));
  json_object_set_new(one, "values", values);
  return one;
}
