// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/card_design.h"

#include "base/text.h"
#include "face/json.h"
#include "fault/design.h"

#include <stdio.h>
#include <string.h>

typedef struct {
  Screen screen; ///< Of stderr
  int percent;
} Progress;

static void
show_progress(void* user, double part)
{
  Progress* const p = user;
  const int percent = (int)(100.0 * part);
  if (p->screen.is_terminal && percent != p->percent) {
    p->percent = percent;
    (void)fprintf(stderr, "\rsearching %3d %%%s", percent,
                  part >= 1.0 ? "\r                \r" : "");
    (void)fflush(stderr);
  }
}

// ---- The task ----

static Status
read_task(const Face* face, const Tester* like, DesignTask* task)
{
  const Args* const args = face->args;
  const char* const under = args->under;
  const bool both = !under || text_same(under, "both");
  *task = (DesignTask){.like = like,
                       .phantom = both || text_same(under, "phantom"),
                       .sender = both || text_same(under, "sender"),
                       .by = args->by && text_same(args->by, "lit") ? DESIGN_LIT : DESIGN_BRIGHT,
                       .most_a = 1e-3 * (args->most_ma > 0.0 ? args->most_ma : 30.0)};
  if (both) { // What there is
    task->phantom = card_fits(like, CARD_PHANTOM);
    task->sender = card_fits(like, CARD_SENDER);
  }
  if ((task->phantom && !card_fits(like, CARD_PHANTOM)) ||
      (task->sender && !card_fits(like, CARD_SENDER)) || (!task->phantom && !task->sender)) {
    return error_set(
      face->error, STATUS_BAD_INPUT, NULL, 0, 0,
      "Tester %.40s cannot be designed for \"%.20s\": write phantom (three contacts), "
      "sender (it has one) or both.",
      like->name, under ? under : "both");
  }
  if (args->by && !text_same(args->by, "lit") && !text_same(args->by, "brightness")) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "\"%.20s\" is no way to read lamps: write brightness or lit.", args->by);
  }
  return STATUS_OK;
}

// The same tester with other lamps in it.
static Status
other_lamps(const Face* face, Tester* like)
{
  const char* const said = face->args->lamp_volts;
  double volts[2] = {0.0, 0.0};
  char copy[40];
  if (!said) {
    return STATUS_OK;
  }
  (void)snprintf(copy, sizeof(copy), "%s", said);
  char* const middle = strchr(copy, ',');
  if (middle) {
    *middle = '\0';
  }
  bool good = middle && strlen(said) < sizeof(copy) && text_number(copy, 0.0, 6.0, &volts[0]) &&
              text_number(middle + 1, 0.0, 6.0, &volts[1]) && volts[0] + volts[1] > 0.0;
  for (int i = 0; i < 2; ++i) {
    good = good && (volts[i] == 0.0 || volts[i] >= 1.0);
  }
  if (!good) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "\"%.30s\" are no lamp volts: write green and red at 1 mA, 1 to 6 V, as "
                     "in 1.92,1.61; 0 for a colour that is not there.",
                     said);
  }
  TesterPart* const parts = arena_array(face->arena, (size_t)like->n_parts, sizeof(TesterPart));
  if (!parts) {
    return STATUS_NO_MEMORY;
  }
  memcpy(parts, like->parts, sizeof(TesterPart) * (size_t)like->n_parts);
  for (int i = 0; i < like->n_parts; ++i) {
    if (parts[i].sort == TESTER_LAMP) {
      parts[i].green_v = volts[0];
      parts[i].red_v = volts[1];
    }
  }
  like->parts = parts;
  return STATUS_OK;
}

// ---- Words ----

static const char*
supply_word(CardSituation situation)
{
  return situation == CARD_PHANTOM ? "phantom" : "sender";
}

static const char*
part_said(Arena* arena, const Tester* tester, const TesterPart* part)
{
  char from[8];
  char to[8];
  tester_contact_name(tester->connector, part->from, from);
  tester_contact_name(tester->connector, part->to, to);
  return part->sort == TESTER_LAMP
           ? arena_format(arena, "lamp %s to %s: %g ohm", from, to, part->ohm)
         : part->sort == TESTER_BATTERY
           ? arena_format(arena, "battery %s to %s: %g V, %g ohm", from, to, part->volts, part->ohm)
         : part->volts == 0.0
           ? arena_format(arena, "sender %s to %s: %g ohm", from, to, part->ohm)
           : arena_format(arena, "sender %s from %g V: %g ohm", from, part->volts, part->ohm);
}

static const char*
pairs_said(Arena* arena, const Design* d, const DesignPair pairs[], int n, bool with_score)
{
  enum { MOST = 8 };
  TextOut out = {.arena = arena};
  for (int i = 0; i < n && i < MOST; ++i) {
    text_add(&out, "%s%s and %s (%s", i ? "; " : "", d->faults[pairs[i].one].name,
             d->faults[pairs[i].two].name, supply_word(pairs[i].situation));
    text_add(&out, with_score ? ", %.2f)" : ")", pairs[i].score);
  }
  if (n > MOST) {
    text_add(&out, "; %d more", n - MOST);
  }
  return text_done(&out);
}

static void
say_design(const Face* face, const DesignTask* task, const Design* d)
{
  const bool bright = task->by == DESIGN_BRIGHT;
  screen_say(face->screen, PAINT_STRONG, "Tester of %d contacts like %s, for %s%s%s, read by %s",
             d->tester.n_contacts, task->like->name, task->phantom ? "phantom" : "",
             task->phantom && task->sender ? " and " : "", task->sender ? "its sender" : "",
             bright ? "brightness" : "lit, dark and colour");
  for (int i = 0; i < d->tester.n_parts; ++i) {
    const bool is_sender = d->tester.parts[i].sort == TESTER_SENDER;
    if (!is_sender || task->sender) {
      const char* const said = part_said(face->arena, &d->tester, &d->tester.parts[i]);
      screen_item(face->screen, PAINT_PLAIN, "  ", said ? said : "");
    }
  }
  if (d->margin >= DESIGN_SURE) {
    screen_say(face->screen, PAINT_GOOD, "Margin: every two faults differ in a colour.");
  } else {
    screen_say(
      face->screen, PAINT_GOOD,
      bright
        ? "Margin %.2f: the two faults hardest to tell differ by that ratio in their best lamp "
          "(2 is easy to see): %s and %s, %s."
        : "Margin %.2f of the 1 that is needed, worst for %s and %s, %s.",
      d->margin, d->faults[d->worst.one].name, d->faults[d->worst.two].name,
      supply_word(d->worst.situation));
  }
  if (d->n_untold > 0) {
    const char* const said = pairs_said(face->arena, d, d->untold, d->n_untold, true);
    screen_item(face->screen, PAINT_WARN, "Still alike: ", said ? said : "");
  }
  if (d->n_never > 0) {
    const char* const said = pairs_said(face->arena, d, d->never, d->n_never, false);
    screen_item(face->screen, PAINT_WARN, "No resistors can tell: ", said ? said : "");
  }
  if (d->tester.n_contacts == 3 && tester_count(&d->tester, TESTER_LAMP) >= 3) {
    screen_say(
      face->screen, PAINT_PLAIN,
      "And no choice at all: if three lamps between three contacts are lit on a good line, "
      "they stay lit in the same colours when the middle contact opens. Read brightness, or "
      "drive one contact at a time.");
  }
  screen_say(face->screen, PAINT_FAINT,
             "%ld settings tried; lamps kept to %g mA. Resistors of the E24 series; what is seen "
             "below 0.15 mA counts as dark.",
             d->n_tried, 1e3 * task->most_a);
}

// ---- JSON ----

static json_t*
pairs_json(const Design* d, const DesignPair pairs[], int n)
{
  json_t* const all = json_array();
  for (int i = 0; i < n; ++i) {
    json_t* const one = json_object();
    json_t* const faults = json_array();
    json_array_append_new(faults, json_words(d->faults[pairs[i].one].name));
    json_array_append_new(faults, json_words(d->faults[pairs[i].two].name));
    json_object_set_new(one, "faults", faults);
    json_object_set_new(one, "situation", json_words(supply_word(pairs[i].situation)));
    json_object_set_new(one, "margin",
                        pairs[i].score < DESIGN_SURE ? json_figure(pairs[i].score) : json_null());
    json_array_append_new(all, one);
  }
  return all;
}

static Status
answer(const Face* face, const DesignTask* task, const Design* d)
{
  static const char* const sorts[] = {"lamp", "battery", "sender"};
  json_t* const object = json_answer(NULL);
  json_t* const parts = json_array();
  json_t* const design = json_object();
  for (int i = 0; i < d->tester.n_parts; ++i) {
    const TesterPart* const p = &d->tester.parts[i];
    json_t* const one = json_object();
    char from[8];
    char to[8];
    tester_contact_name(d->tester.connector, p->from, from);
    tester_contact_name(d->tester.connector, p->to, to);
    json_object_set_new(one, "part", json_words(sorts[p->sort]));
    json_object_set_new(one, "from", json_words(from));
    json_object_set_new(one, "to", json_words(to));
    json_object_set_new(one, "ohm", json_figure(p->ohm));
    json_object_set_new(one, "volts", json_figure(p->volts));
    json_array_append_new(parts, one);
  }
  json_object_set_new(object, "tester", json_words(d->tester.name));
  json_object_set_new(object, "contacts", json_integer(d->tester.n_contacts));
  json_object_set_new(design, "by", json_words(task->by == DESIGN_BRIGHT ? "brightness" : "lit"));
  json_object_set_new(design, "parts", parts);
  json_object_set_new(design, "margin",
                      d->margin < DESIGN_SURE ? json_figure(d->margin) : json_null());
  json_object_set_new(design, "worst", pairs_json(d, &d->worst, d->margin < DESIGN_SURE ? 1 : 0));
  json_object_set_new(design, "untold", pairs_json(d, d->untold, d->n_untold));
  json_object_set_new(design, "never", pairs_json(d, d->never, d->n_never));
  json_object_set_new(design, "tried", json_integer(d->n_tried));
  json_object_set_new(object, "design", design);
  return json_answer_print(object, face->args, face->screen->out, face->error);
}

Status
card_design(const Face* face, const Tester* like)
{
  Tester with = *like;
  DesignTask task;
  Design design;
  Progress progress = {.percent = -1};
  Status st = STATUS_OK;
  TRY(st, other_lamps(face, &with));
  TRY(st, read_task(face, &with, &task));
  screen_init(&progress.screen, stderr);
  task.say = show_progress;
  task.user = &progress;
  st = design_search(face->arena, &task, &design);
  if (st == STATUS_NO_SOLUTION) {
    return error_set(face->error, st, NULL, 0, 0,
                     "No resistors of the series keep every lamp below %g mA: allow more with "
                     "--most-ma, or give the sender fewer volts.",
                     1e3 * task.most_a);
  }
  if (st != STATUS_OK) {
    return st;
  }
  if (face->args->json) {
    return answer(face, &task, &design);
  }
  say_design(face, &task, &design);
  return STATUS_OK;
}
