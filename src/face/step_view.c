// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/step_view.h"

#include "day/words.h"
#include "face/line_view.h"

#include <stdio.h>
#include <stdlib.h>

static const char* const does_words[] = {"check", "repair", "move", "ask"};

Status
step_options(const Face* face, const OpenShow* show, int line, NextOptions* options,
             Deadline* deadline)
{
  const Args* const args = face->args;
  char today[16];
  char clock[8];
  show_clock_now(today, clock);
  *deadline = deadline_of(&show->plant, show->act, line, today, clock, args->minutes);
  NextOptions out = {.deadline_s = deadline->seconds, .nobody_answers = args->nobody_answers};
  if (args->from) {
    out.home_desk = plant_desk(&show->plant, args->from);
  }
  if (out.home_desk < 0) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "There is no desk \"%.60s\" in this show: foh, mon or broadcast.", args->from);
  }
  *options = out;
  return STATUS_OK;
}

json_t*
step_json(const Plant* plant, const Step* step)
{
  json_t* const object = json_object();
  json_object_set_new(object, "line", json_integer(plant->lines[step->line].number));
  json_object_set_new(object, "who", json_words(step->who));
  json_object_set_new(object, "at", json_words(step->at));
  json_object_set_new(object, "does", json_words(does_words[step->does]));
  json_object_set_new(object, "check", json_words(step->check_word));
  json_object_set_new(object, "say", json_words(step->say));
  json_object_set_new(object, "why", json_words(step->why));
  json_object_set_new(object, "caution", json_words(step->caution));
  json_object_set_new(object, "seconds", json_figure(step->seconds));
  json_object_set_new(object, "expected_s", json_figure(step->expected_s));
  json_object_set_new(object, "chance", json_figure(step->chance));
  json_object_set_new(object, "readings", json_list(step->readings, step->n_readings));
  json_object_set_new(object, "reading_says", json_list(step->reading_says, step->n_readings));
  json_object_set_new(object, "mute", json_boolean(step->needs_mute));
  json_t* const unplug = json_array();
  for (int i = 0; i < step->n_unplug; ++i) {
    json_array_append_new(unplug, json_integer(plant->lines[step->unplug[i]].number));
  }
  json_object_set_new(object, "unplug", unplug);
  return object;
}

// Caution, step, why, how long and what `saw` takes.
static void
say_body(const Face* face, const Step* step)
{
  const Screen* const screen = face->screen;
  char seconds[32];
  if (step->caution && step->caution[0]) {
    screen_item(screen, PAINT_BAD, "First: ", step->caution);
  }
  screen_say(screen, PAINT_STRONG, "%s: %s", step->who, step->say);
  if (step->why && step->why[0]) {
    screen_say(screen, PAINT_PLAIN, "%s", step->why);
  }
  screen_say(screen, PAINT_PLAIN, "About %s (usual practice).",
             screen_seconds(step->seconds, seconds));
  for (int i = 0; i < step->n_readings && step->check_word; ++i) {
    const char* const text = arena_format(face->arena, "%s=%s%s%s", step->check_word,
                                          step->readings[i], step->reading_says[i] ? ": " : "",
                                          step->reading_says[i] ? step->reading_says[i] : "");
    screen_item(screen, PAINT_PLAIN, "  - ", text ? text : "");
  }
}

// "10 lines of box C", "31 lines at the monitor desk".
static const char*
lines_say(const Face* face, const OpenShow* show, const ShareStep* shared)
{
  const Plant* const plant = &show->plant;
  const SharedState* const state = shared->state;
  bool one_box = true;
  for (int i = 1; i < shared->n_lines; ++i) {
    one_box = one_box && plant->lines[shared->lines[i]].box == plant->lines[shared->lines[0]].box;
  }
  const char* const what = shared_say(face->arena, plant, show->act, state);
  const char* const where =
    state->desk >= 0 ? arena_format(face->arena, "at the %s", plant->desks[state->desk].say)
    : one_box        ? arena_format(face->arena, "of box %s",
                                    plant->boxes[plant->lines[shared->lines[0]].box].name)
                     : "together";
  return what && where ? arena_format(face->arena, "%d lines %s: %s", shared->n_lines, where, what)
                       : NULL;
}

void
step_shared_say(const Face* face, const OpenShow* show, const Crew* crew, const ShareStep* shared)
{
  const Step* const step = shared->step;
  char socket[40];
  const char* const source = line_source(show, step->line);
  const char* const all = shared->n_lines > 1 ? lines_say(face, show, shared) : NULL;
  if (all) {
    screen_say(face->screen, PAINT_STRONG, "%s", all);
  } else {
    screen_say(face->screen, PAINT_STRONG, "%d, %s%s%s", show->plant.lines[step->line].number,
               line_socket(&show->plant, step->line, socket), source[0] ? ", " : "", source);
  }
  say_body(face, step);
  if (shared->ear >= 0) {
    screen_say(face->screen, PAINT_PLAIN, "%s listens at the %s.", crew->people[shared->ear].role,
               show->plant.desks[step->ear_desk].say);
  }
}

json_t*
step_shared_json(const Plant* plant, const Crew* crew, const ShareStep* shared)
{
  static const char* const when[] = {"now", "meanwhile", "instead"};
  json_t* const object = step_json(plant, shared->step);
  json_t* const lines = json_array();
  for (int i = 0; i < shared->n_lines; ++i) {
    json_array_append_new(lines, json_integer(plant->lines[shared->lines[i]].number));
  }
  json_object_set_new(object, "lines", lines);
  json_object_set_new(object, "when", json_words(when[shared->when]));
  json_object_set_new(object, "listens",
                      shared->ear >= 0 ? json_words(crew->people[shared->ear].role) : json_null());
  return object;
}

json_t*
way_json(const Plant* plant, const AroundWay* way)
{
  json_t* const object = json_object();
  json_object_set_new(object, "say", json_words(way->say));
  json_object_set_new(object, "way", json_words(way->way));
  json_object_set_new(object, "seconds", json_figure(way->seconds));
  json_object_set_new(object, "people", json_integer(way->people));
  char socket[40];
  json_object_set_new(
    object, "uses",
    json_words(way->uses_line >= 0 ? line_socket(plant, way->uses_line, socket) : way->way));
  json_object_set_new(object, "sort", json_words(loan_sort_word(way->sort)));
  json_object_set_new(object, "cable_m", json_figure(way->cable_m));
  json_object_set_new(object, "helps",
                      way->helps_prob >= 0.0 ? json_figure(way->helps_prob) : json_null());
  json_object_set_new(object, "costs", json_words(way->costs));
  json_object_set_new(object, "caution", json_words(way->caution ? way->caution : ""));
  json_t* const desks = json_array();
  for (int i = 0; i < way->n_desks; ++i) {
    json_t* const desk = json_object();
    json_object_set_new(desk, "desk", json_words(plant->desks[way->desks[i].desk].name));
    json_object_set_new(desk, "do", json_words(way->desks[i].say));
    json_array_append_new(desks, desk);
  }
  json_object_set_new(object, "desks", desks);
  return object;
}

void
way_say(const Face* face, const OpenShow* show, const AroundWay* way, int number)
{
  char lead[16];
  char seconds[32];
  (void)snprintf(lead, sizeof(lead), "%d  ", number);
  if (way->caution && way->caution[0]) {
    const char* const first = arena_format(face->arena, "First: %s", way->caution);
    screen_item(face->screen, PAINT_BAD, lead, first ? first : way->caution);
    (void)snprintf(lead, sizeof(lead), "   ");
  }
  screen_item(face->screen, PAINT_STRONG, lead, way->say);
  for (int i = 0; i < way->n_desks; ++i) {
    const char* const text = arena_format(
      face->arena, "%s: %s", show->plant.desks[way->desks[i].desk].say, way->desks[i].say);
    screen_item(face->screen, PAINT_PLAIN, "   ", text ? text : "");
  }
  if (way->costs[0]) {
    screen_item(face->screen, PAINT_WARN, "   ", way->costs);
  }
  const char* const time = arena_format(face->arena, "About %s, %d %s (usual practice).",
                                        screen_seconds(way->seconds, seconds), way->people,
                                        way->people == 1 ? "person" : "people");
  screen_item(face->screen, PAINT_PLAIN, "   ", time ? time : "");
  const char* const odds = way->helps_prob >= 0.0 ? words_odds(face->arena, way->helps_prob) : NULL;
  const char* const helps =
    odds ? arena_format(face->arena, "It goes round what is wrong: %s.", odds) : NULL;
  if (helps) {
    screen_item(face->screen, PAINT_PLAIN, "   ", helps);
  }
}

typedef struct {
  const LinePart* part;
  const LineOdds* odds;
} Likely;

static int
more_likely(const void* a_, const void* b_)
{
  const Likely* const a = a_;
  const Likely* const b = b_;
  if (a->odds->prob != b->odds->prob) {
    return a->odds->prob > b->odds->prob ? -1 : 1;
  }
  return (a->odds > b->odds) - (a->odds < b->odds); // Parts lie in one array, in order
}

Status
step_odds_json(const Face* face, const OpenShow* show, int line, json_t* list)
{
  LinePart* parts = NULL;
  int n = 0;
  int n_all = 0;
  Status st;
  TRY(st, line_parts(face, show, line, &parts, &n));
  for (int i = 0; i < n; ++i) {
    n_all += parts[i].n_odds;
  }
  Likely* const all = arena_array(face->arena, (size_t)n_all, sizeof(*all));
  if (!all) {
    return STATUS_NO_MEMORY;
  }
  int at = 0;
  for (int i = 0; i < n; ++i) {
    for (int k = 0; k < parts[i].n_odds; ++k) {
      all[at++] = (Likely){&parts[i], &parts[i].odds[k]};
    }
  }
  qsort(all, (size_t)n_all, sizeof(*all), more_likely);
  for (int i = 0; i < n_all && all[i].odds->prob >= 0.01; ++i) {
    json_t* const one = json_object();
    json_object_set_new(one, "line", json_integer(show->plant.lines[line].number));
    json_object_set_new(one, "part", json_words(all[i].part->part));
    json_object_set_new(one, "fault", json_words(all[i].odds->fault));
    if (all[i].odds->say) {
      json_object_set_new(one, "say", json_words(all[i].odds->say));
    }
    json_object_set_new(one, "prob", json_figure(all[i].odds->prob));
    json_array_append_new(list, one);
  }
  return STATUS_OK;
}
