// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/difference.h"

#include "base/text.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

typedef struct {
  Arena* arena;
  const char** at; ///< [DIFFERENCE_MAX]
  int n;
  int n_more; ///< Beyond the room
  bool failed;
} Words;

__attribute__((format(printf, 2, 3))) static void
say(Words* words, const char* format, ...)
{
  if (words->n == DIFFERENCE_MAX - 1) {
    ++words->n_more;
    return;
  }
  char text[400];
  va_list args;
  va_start(args, format);
  (void)vsnprintf(text, sizeof(text), format, args);
  va_end(args);
  words->at[words->n] = arena_copy(words->arena, text);
  if (words->at[words->n]) {
    ++words->n;
  } else {
    words->failed = true;
  }
}

static const char*
socket_of(const Plant* plant, int line, char text[40])
{
  if (line < 0) {
    return "no line";
  }
  const Line* const l = &plant->lines[line];
  (void)snprintf(text, 40, "%.20s%d", plant->boxes[l->box].name, l->socket);
  return text;
}

static const Input*
find_input(const Plant* plant, const char* act, const char* source)
{
  for (int i = 0; i < plant->n_inputs; ++i) {
    if (text_same(plant->acts[plant->inputs[i].act].name, act) &&
        text_same(plant->inputs[i].source, source)) {
      return &plant->inputs[i];
    }
  }
  return NULL;
}

static const char*
answer_word(Answer answer)
{
  return answer == ANSWER_YES ? "yes" : answer == ANSWER_NO ? "no" : "not said";
}

static void
difference_input(Words* words, const Plant* before, const Plant* now, const Input* a,
                 const Input* b)
{
  const char* const act = now->acts[b->act].name;
  char from[40];
  char to[40];
  if (strcmp(socket_of(before, a->line, from), socket_of(now, b->line, to)) != 0) {
    say(words, "%s: %s moves from %s to %s.", act, b->source, socket_of(before, a->line, from),
        socket_of(now, b->line, to));
  }
  if (!text_same(before->kinds[a->kind].name, now->kinds[b->kind].name)) {
    say(words, "%s: %s is now a %s, it was a %s.", act, b->source, now->kinds[b->kind].name,
        before->kinds[a->kind].name);
  }
  if (a->wants_phantom != b->wants_phantom) {
    say(words, "%s: phantom for %s: %s, it was %s.", act, b->source, answer_word(b->wants_phantom),
        answer_word(a->wants_phantom));
  }
  if (a->channel != b->channel) {
    say(words, "%s: %s is channel %d of the list, it was %d.", act, b->source, b->channel,
        a->channel);
  }
  if (!text_same(a->stand, b->stand) || !text_same(a->position, b->position) ||
      !text_same(a->note, b->note)) {
    say(words, "%s: stand, position or note of %s changes.", act, b->source);
  }
}

static void
difference_inputs(Words* words, const Plant* before, const Plant* now)
{
  for (int i = 0; i < now->n_inputs; ++i) {
    const Input* const b = &now->inputs[i];
    const char* const act = now->acts[b->act].name;
    const Input* const a = find_input(before, act, b->source);
    char to[40];
    if (a) {
      difference_input(words, before, now, a, b);
    } else {
      say(words, "%s: %s is new, in %s.", act, b->source, socket_of(now, b->line, to));
    }
  }
  for (int i = 0; i < before->n_inputs; ++i) {
    const Input* const a = &before->inputs[i];
    const char* const act = before->acts[a->act].name;
    char from[40];
    if (!find_input(now, act, a->source)) {
      say(words, "%s: %s is dropped; it was in %s.", act, a->source,
          socket_of(before, a->line, from));
    }
  }
}

static void
difference_lines(Words* words, const Plant* before, const Plant* now)
{
  for (int i = 0; i < now->n_lines; ++i) {
    const Line* const b = &now->lines[i];
    const int at = plant_line(before, b->number);
    if (at < 0) {
      say(words, "Line %d is new.", b->number);
      continue;
    }
    const Line* const a = &before->lines[at];
    char from[40];
    char to[40];
    if (strcmp(socket_of(before, at, from), socket_of(now, i, to)) != 0) {
      say(words, "Line %d is %s, it was %s.", b->number, to, from);
    }
    if (a->pair != b->pair || a->split_channel != b->split_channel) {
      say(words, "Line %d takes pair %d and split channel %d; it took %d and %d.", b->number,
          b->pair, b->split_channel, a->pair, a->split_channel);
    }
    for (int d = 0; d < now->n_desks && d < before->n_desks; ++d) {
      if (a->desk_input[d] != b->desk_input[d]) {
        say(words, "Line %d: input %d at the %s, it was %d.", b->number, b->desk_input[d],
            now->desks[d].say, a->desk_input[d]);
      }
    }
    if (a->is_spare != b->is_spare) {
      say(words, "Line %d is %s a spare.", b->number, b->is_spare ? "now" : "no longer");
    }
  }
  for (int i = 0; i < before->n_lines; ++i) {
    if (plant_line(now, before->lines[i].number) < 0) {
      say(words, "Line %d is gone.", before->lines[i].number);
    }
  }
}

// The same number, or not said both times.
static bool
same_db(double a, double b)
{
  return a == b || (isnan(a) && isnan(b));
}

static void
difference_desks(Words* words, const Plant* before, const Plant* now)
{
  for (int i = 0; i < now->n_desk_rows; ++i) {
    const DeskRow* const b = &now->desk_rows[i];
    const int act = b->act < 0 ? -1 : plant_act(before, now->acts[b->act].name);
    const int line = b->line > 0 ? plant_line(before, b->line) : -1;
    const DeskRow* const a = line < 0 || (b->act >= 0 && act < 0) || b->desk >= before->n_desks
                               ? NULL
                               : plant_desk_row(before, act, b->desk, line);
    const char* const act_word = b->act < 0 ? "bare lines" : now->acts[b->act].name;
    if (!a && before->n_desk_rows > 0 && line >= 0) {
      say(words, "%s, %s: line %d is new on channel %d.", act_word, now->desks[b->desk].say,
          b->line, b->channel);
    } else if (a && (a->channel != b->channel || !text_same(a->name, b->name) ||
                     a->gives_phantom != b->gives_phantom || !same_db(a->pad_db, b->pad_db) ||
                     !same_db(a->gain_db, b->gain_db) || a->is_muted != b->is_muted)) {
      say(words, "%s, %s: the settings of line %d change.", act_word, now->desks[b->desk].say,
          b->line);
    }
  }
}

static void
difference_count(Words* words, const char* what, int before, int now)
{
  if (before != now) {
    say(words, "%s: %d rows, there were %d.", what, now, before);
  }
}

Status
difference_plants(Arena* arena, const Plant* before, const Plant* now,
                  const char* const** sentences, int* n)
{
  Words words = {arena, arena_array(arena, DIFFERENCE_MAX, sizeof(char*)), 0, 0, false};
  if (!words.at) {
    return STATUS_NO_MEMORY;
  }
  difference_lines(&words, before, now);
  difference_inputs(&words, before, now);
  difference_desks(&words, before, now);
  difference_count(&words, "Boxes", before->n_boxes, now->n_boxes);
  difference_count(&words, "Acts", before->n_acts, now->n_acts);
  difference_count(&words, "Kinds", before->n_kinds, now->n_kinds);
  difference_count(&words, "Items", before->n_items, now->n_items);
  difference_count(&words, "Desk rows", before->n_desk_rows, now->n_desk_rows);
  difference_count(&words, "Crew", before->n_people, now->n_people);
  difference_count(&words, "Places", before->n_places, now->n_places);
  difference_count(&words, "Times", before->n_times, now->n_times);
  difference_count(&words, "Odds", before->n_odds, now->n_odds);
  difference_count(&words, "Chances of misreading", before->n_misreads, now->n_misreads);
  difference_count(&words, "Which are missed most", before->n_needed, now->n_needed);
  difference_count(&words, "Kit", before->n_kit, now->n_kit);
  difference_count(&words, "List versions", before->n_versions, now->n_versions);
  if (words.n_more > 0) {
    words.at[words.n] = arena_format(arena, "And %d more changes.", words.n_more);
    words.failed = words.failed || !words.at[words.n];
    ++words.n;
  }
  if (words.failed) {
    return STATUS_NO_MEMORY;
  }
  *sentences = words.at;
  *n = words.n;
  return STATUS_OK;
}
