// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/predict_rows.h"

#include "base/text.h"

#include <string.h>

// All faults that show what row `first` shows.
static void
say_alike(const Face* face, const PredictRow rows[], int n, int first)
{
  TextOut out = {.arena = face->arena};
  const char* part = ""; // Said last: its faults stand behind it
  for (int k = first; k < n; ++k) {
    const PredictRow* const row = &rows[k];
    if (strcmp(row->shows, rows[first].shows) != 0) {
      continue;
    }
    if (!strcmp(row->fault, "none")) {
      text_add(&out, "a good line");
    } else if (row->is_shared) {
      text_add(&out, "%s%s", out.n_bytes ? "; " : "", row->part);
    } else if (!strcmp(part, row->part)) {
      text_add(&out, ", %s", row->fault);
    } else {
      text_add(&out, "%s%s: %s", out.n_bytes ? "; " : "", row->part, row->fault);
    }
    part = row->part;
  }
  const char* const lead = arena_format(face->arena, "%s: ", rows[first].shows);
  const char* const text = text_done(&out);
  screen_cell(face->screen, PAINT_STRONG, lead ? lead : "", 0);
  screen_rest(face->screen, PAINT_PLAIN, text_width(lead ? lead : ""), 4, text ? text : "");
}

void
predict_rows_say(const Face* face, const PredictRow rows[], int n)
{
  for (int i = 0; i < n; ++i) {
    bool is_said = false;
    for (int k = 0; k < i; ++k) {
      is_said = is_said || !strcmp(rows[k].shows, rows[i].shows);
    }
    if (!is_said) {
      say_alike(face, rows, n, i);
    }
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
