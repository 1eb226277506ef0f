// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/compare_view.h"

#include "face/line_view.h"

#include <stdio.h>

static const char*
act_word(const OpenShow* show, int act)
{
  return act < 0 ? "bare lines" : show->plant.acts[act].name;
}

static const char*
desk_word(const OpenShow* show, const Disagreement* d)
{
  return d->stage ? "stage" : d->desk >= 0 ? show->plant.desks[d->desk].name : NULL;
}

json_t*
compare_view_json(const OpenShow* show, const Disagreement* d)
{
  json_t* const one = json_object();
  json_object_set_new(one, "what", json_words(compare_word(d->what)));
  json_object_set_new(one, "act", json_words(act_word(show, d->act)));
  json_object_set_new(one, "desk", json_words(desk_word(show, d)));
  json_object_set_new(one, "line",
                      d->line >= 0 ? json_integer(show->plant.lines[d->line].number) : json_null());
  json_object_set_new(one, "say", json_words(d->say));
  json_object_set_new(one, "do", json_words(d->todo));
  json_object_set_new(one, "sure", json_words(compare_sure(d->sure)));
  json_object_set_new(one, "harm", json_boolean(d->harms));
  json_object_set_new(one, "caution", json_words(d->caution));
  return one;
}

void
compare_view_say(const Face* face, const OpenShow* show, const Disagreement* d)
{
  char lead[16] = "   - ";
  char socket[40] = "";
  const Plant* const plant = &show->plant;
  if (d->line >= 0) {
    (void)snprintf(lead, sizeof(lead), "%4d ", plant->lines[d->line].number);
    (void)line_socket(plant, d->line, socket);
  }
  const char* const desk = d->stage       ? "stage"
                           : d->desk >= 0 ? plant->desks[d->desk].say
                                          : "the list";
  const char* const text =
    arena_format(face->arena, "%s%s%s: %s", socket, socket[0] ? ", " : "", desk, d->say);
  const char* const todo =
    arena_format(face->arena, "%s%s", d->todo,
                 d->sure == COMPARE_ASK      ? " It may be meant so: ask."
                 : d->sure == COMPARE_LIKELY ? " Judged by usual levels (usual practice)."
                                             : "");
  screen_item(face->screen, d->harms ? PAINT_BAD : PAINT_WARN, lead, text ? text : d->say);
  if (d->caution[0]) {
    screen_item(face->screen, PAINT_PLAIN, "     First: ", d->caution);
  }
  screen_item(face->screen, PAINT_PLAIN, "     ", todo ? todo : d->todo);
}

Status
compare_view_of_line(const Face* face, const OpenShow* show, int line, const Disagreement** list,
                     int* n)
{
  Comparison found;
  Status st;
  TRY(st, compare_all(face->arena, &show->plant, &show->fold, show->act, &found));
  Disagreement* const kept = arena_array(face->arena, (size_t)found.n, sizeof(*kept));
  if (!kept) {
    return STATUS_NO_MEMORY;
  }
  int n_kept = 0;
  for (int i = 0; i < found.n; ++i) {
    if (found.list[i].line == line) {
      kept[n_kept++] = found.list[i];
    }
  }
  *list = kept;
  *n = n_kept;
  return STATUS_OK;
}

Status
compare_view_say_line(const Face* face, const OpenShow* show, int line)
{
  const Disagreement* list = NULL;
  int n = 0;
  Status st;
  TRY(st, compare_view_of_line(face, show, line, &list, &n));
  if (n > 0) {
    screen_say(face->screen, PAINT_STRONG, "On paper, and it counts in the odds like a reading:");
  }
  for (int i = 0; i < n; ++i) {
    compare_view_say(face, show, &list[i]);
  }
  return STATUS_OK;
}

Status
compare_view_json_line(const Face* face, const OpenShow* show, int line, json_t* answer)
{
  const Disagreement* found = NULL;
  int n = 0;
  Status st;
  TRY(st, compare_view_of_line(face, show, line, &found, &n));
  json_t* const list = json_array();
  for (int i = 0; i < n; ++i) {
    json_array_append_new(list, compare_view_json(show, &found[i]));
  }
  return json_object_set_new(answer, "paper", list) == 0 ? STATUS_OK : STATUS_NO_MEMORY;
}
