// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/judge.h"
#include "day/repair.h"
#include "day/rescue.h"
#include "face/heap_talk.h"
#include "face/json.h"
#include "face/tester_open.h"
#include "face/verb.h"
#include "fault/notation.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  `judge`: options into readings, the verdict onto the screen, and, when a show is named, into
  facts: a faulty cable is taped off, one that stood its flexing is cleared, and of one that was
  taken out of a line the line learns what it showed.
*/

// ---- Readings ----

// "jack to 3-pin" may come as one word of the shell or as several.
static Status
read_connector(const Face* face, Connector* connector)
{
  TextOut name = {.arena = face->arena};
  for (int i = 0; i < face->args->n_words; ++i) {
    text_add(&name, "%s%s", i ? " " : "", face->args->words[i]);
  }
  const char* const text = text_done(&name);
  Status st;
  if (!text) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, connector_find(face->arena, text, connector, face->error));
  return face->args->plan ? notation_plan(face->arena, connector, "--plan", face->args->plan,
                                          &connector->plan, face->error)
                          : STATUS_OK;
}

static Status
read_seen(const Face* face, const Connector* connector, JudgeReadings* r)
{
  const Args* const args = face->args;
  Status st;
  if (args->wired) {
    TRY(st, notation_wired(connector, "--wired", args->wired, &r->seen, face->error));
  }
  if (args->near_end) {
    TRY(st,
        notation_within(connector, WIRING_NEAR, "--near", args->near_end, &r->seen, face->error));
  }
  if (args->far_end) {
    TRY(st, notation_within(connector, WIRING_FAR, "--far", args->far_end, &r->seen, face->error));
  }
  r->has_wiring = args->wired || args->near_end || args->far_end;
  if (args->ohms) {
    TRY(st, notation_ohms(connector, "--ohms", args->ohms, r->ohm, face->error));
    r->has_ohms = true;
  }
  return STATUS_OK;
}

static Status
read_conductor(const Face* face, Conductor* conductor, JudgeReadings* r)
{
  const Args* const args = face->args;
  if (args->section_mm2 > 0.0 && args->awg >= 0) {
    return error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0, "Give --section or --awg, not both.");
  }
  const bool known = args->section_mm2 > 0.0 || args->awg >= 0;
  Status st = STATUS_OK;
  if (known) {
    TRY(st, args->awg >= 0 ? conductor_of_awg(args->awg, conductor)
                           : conductor_of_mm2(args->section_mm2, conductor));
  }
  r->conductor = known ? conductor : NULL;
  r->length_m = args->length_m;
  r->celsius = args->celsius;
  r->rule = args->limit && text_same(args->limit, "620") ? CONDUCTOR_BY_620 : CONDUCTOR_BY_COPPER;
  r->insulation_ohm = args->insulation_mohm < 0.0 ? (double)NAN : 1e6 * args->insulation_mohm;
  r->breaks = args->flex;
  r->seconds = args->seconds;
  return STATUS_OK;
}

static Status
find_tester(const Face* face, const OpenShow* show, int n, const Tester** tester)
{
  const char* const name = face->args->tester;
  if (!show) {
    return tester_open(face, name, NULL, n, NULL, tester);
  }
  *tester = name ? plant_tester(&show->plant, name) : plant_own_tester(&show->plant, n);
  return *tester
           ? STATUS_OK
           : error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "This show has no such tester: its lamps are a row each of a testers list.");
}

static Status
read_lamps(const Face* face, const OpenShow* show, const Connector* connector, Card cards[2],
           JudgeReadings* r)
{
  const int n = connector->plan.n[WIRING_NEAR];
  const Tester* tester = NULL;
  Status st;
  TRY(st, find_tester(face, show, n, &tester));
  if (tester->n_contacts != n || n != connector->plan.n[WIRING_FAR]) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "The tester \"%.40s\" is for %d contacts at both ends, not for this cable.",
                     tester->name, tester->n_contacts);
  }
  const bool sender = card_fits(tester, CARD_SENDER);
  if (!sender && !card_fits(tester, CARD_ALONE)) {
    return error_set(
      face->error, STATUS_BAD_INPUT, NULL, 0, 0,
      "The tester \"%.40s\" has no sender and no battery: it reads a line under phantom, not a "
      "cable by itself.",
      tester->name);
  }
  TRY(st, card_build(face->arena, tester, sender ? CARD_SENDER : CARD_ALONE, &cards[0]));
  r->card = &cards[0];
  if (sender) {
    TRY(st, card_build(face->arena, tester, CARD_REVERSED, &cards[1]));
    r->reversed = &cards[1];
  }
  r->picture = face->args->lamps;
  return STATUS_OK;
}

// ---- The answer ----

static Paint
state_paint(JudgeState state)
{
  return state == JUDGE_SOUND ? PAINT_GOOD : state == JUDGE_NOT_SOUND ? PAINT_BAD : PAINT_WARN;
}

static void
say_items(const Face* face, const char* lead, const char* const* texts, int n)
{
  for (int i = 0; i < n; ++i) {
    screen_item(face->screen, PAINT_PLAIN, lead, texts[i]);
  }
}

static void
say_verdict(const Face* face, const Connector* connector, const Judgement* j, const char* told)
{
  const Screen* const screen = face->screen;
  screen_item(screen, PAINT_WARN, "First: ", j->caution);
  screen_gap(screen);
  screen_say(screen, state_paint(j->state), "%s%s%s: %s", face->args->tag ? face->args->tag : "",
             face->args->tag ? ", " : "", connector->name, j->headline);
  if (j->wired[0]) {
    screen_say(screen, PAINT_PLAIN, "Wired: %s", j->wired);
  }
  for (int i = 0; i < j->n_faults; ++i) {
    screen_item(screen, PAINT_STRONG, "- ", j->faults[i].say);
  }
  say_items(face, "- ", j->found, j->n_found);
  if (j->limit[0]) {
    screen_item(screen, PAINT_PLAIN, "- ", j->limit);
  }
  if (j->n_cannot > 0) {
    screen_gap(screen);
    screen_say(screen, PAINT_PLAIN, "These readings cannot tell:");
    say_items(face, "- ", j->cannot, j->n_cannot);
  }
  screen_gap(screen);
  for (int i = 0; i < j->n_todo; ++i) {
    char lead[16];
    (void)snprintf(lead, sizeof(lead), "%d. ", i + 1);
    screen_item(screen, PAINT_STRONG, lead, j->todo[i]);
  }
  if (told) {
    screen_gap(screen);
    screen_say(screen, PAINT_PLAIN, "%s", told);
  }
}

static json_t*
verdict_json(const Connector* connector, const Judgement* j, const char* told)
{
  json_t* const answer = json_answer(NULL);
  json_t* const faults = json_array();
  json_t* const ohms = json_array();
  for (int i = 0; i < j->n_faults; ++i) {
    json_t* const one = json_object();
    json_object_set_new(one, "fault", json_words(j->faults[i].name));
    json_object_set_new(one, "where", json_words(j->faults[i].where));
    json_object_set_new(one, "say", json_words(j->faults[i].say));
    json_array_append_new(faults, one);
  }
  for (int i = 0; i < j->n_ohms; ++i) {
    json_t* const one = json_object();
    json_object_set_new(one, "contact", json_words(j->ohms[i].contact));
    json_object_set_new(one, "ohm", json_figure(j->ohms[i].ohm));
    json_object_set_new(one, "limit_ohm", json_figure(j->ohms[i].limit_ohm));
    json_array_append_new(ohms, one);
  }
  json_object_set_new(answer, "cable", json_words(connector->name));
  json_object_set_new(answer, "state", json_words(judge_state_word(j->state)));
  json_object_set_new(answer, "headline", json_words(j->headline));
  json_object_set_new(answer, "wired", json_words(j->wired));
  json_object_set_new(answer, "wired_as", json_words(j->wired_as));
  json_object_set_new(answer, "faults", faults);
  json_object_set_new(answer, "ohms", ohms);
  json_object_set_new(answer, "limit", json_words(j->limit));
  json_object_set_new(answer, "balance_ohm", json_figure(j->balance_ohm));
  json_object_set_new(answer, "rejection_db", json_figure(j->rejection_db));
  json_object_set_new(answer, "found", json_list(j->found, j->n_found));
  json_object_set_new(answer, "cannot_tell", json_list(j->cannot, j->n_cannot));
  json_object_set_new(answer, "do", json_list(j->todo, j->n_todo));
  json_object_set_new(answer, "caution", json_words(j->caution));
  json_object_set_new(answer, "told", json_words(told));
  return answer;
}

// ---- Into the show ----

static Status
tell_item(const Face* face, OpenShow* show, const Judgement* j, const char* names,
          const char** said)
{
  const char* const tag = face->args->tag;
  const bool stood = face->args->flex == 0 && face->args->seconds >= JUDGE_FLEX_S;
  const bool is_taped = fold_is_taped_off(&show->fold, tag);
  bool is_new = false;
  FactKind kind = FACT_NOTE;
  FactBody body = {.item = tag};
  if (j->state == JUDGE_NOT_SOUND) {
    kind = FACT_TAPED_OFF;
    body.why = arena_format(face->arena, "judged: %s", names);
    *said = arena_format(face->arena, "%s is taped off in the show (%s).", tag, names);
  } else if (j->state == JUDGE_SOUND && stood && is_taped) {
    kind = FACT_CLEARED;
    body.seconds = face->args->seconds;
    body.how = "flex check, 0 breaks";
    *said = arena_format(face->arena, "%s is cleared in the show: it stood %d s of flexing.", tag,
                         face->args->seconds);
  } else {
    body.text = arena_format(face->arena, "judged: %s", judge_state_word(j->state));
    *said = arena_format(face->arena, "Noted in the show: %s, %s.%s", tag,
                         judge_state_word(j->state), is_taped ? " It stays taped off." : "");
  }
  return *said ? show_tell(face, show, kind, &body, &is_new, NULL) : STATUS_NO_MEMORY;
}

static Status
tell_line(const Face* face, OpenShow* show, const Judgement* j, const char* names,
          const char** said)
{
  int line = -1;
  bool is_new = false;
  Status st;
  TRY(st, show_find(face, show, face->args->line, &line));
  const char* const swapped = show->situation->repaired_by[line];
  RepairSort repair;
  if (!swapped || !repair_of(swapped, &repair) || repair != REPAIR_CABLE) {
    return error_set(
      face->error, STATUS_BAD_INPUT, NULL, 0, 0,
      "No cable was taken out of line %d for a better one: tell that first, with \"linewalk saw "
      "SHOW %d 'swap cable=better'\".",
      show->plant.lines[line].number, show->plant.lines[line].number);
  }
  if (j->state != JUDGE_NOT_SOUND && j->state != JUDGE_SOUND) {
    *said = arena_format(face->arena, "Line %d learns nothing from it yet: %s.",
                         show->plant.lines[line].number, judge_state_word(j->state));
    return *said ? STATUS_OK : STATUS_NO_MEMORY;
  }
  const FactBody body = {.line = show->plant.lines[line].number,
                         .check = SITUATION_JUDGED,
                         .reading = j->state == JUDGE_SOUND ? "sound" : names,
                         .act = show->act < 0 ? "" : show->act_word};
  TRY(st, show_tell(face, show, FACT_READING, &body, &is_new, NULL));
  TRY(st, show_refold(face, show, false));
  TRY(st, show_situate(face, show, line));
  *said = rescue_likely(show->situation, face->arena, line);
  return *said ? STATUS_OK : STATUS_NO_MEMORY;
}

static Status
tell(const Face* face, OpenShow* show, const Judgement* j, const char** told)
{
  const char* const names = judge_fault_names(face->arena, j);
  const char* item = "";
  const char* line = "";
  Status st;
  if (!names) {
    return STATUS_NO_MEMORY;
  }
  // The line first: it may refuse, and then nothing is written
  if (face->args->line) {
    TRY(st, tell_line(face, show, j, names, &line));
  }
  if (face->args->tag) {
    TRY(st, tell_item(face, show, j, names, &item));
  }
  *told = arena_format(face->arena, "%s%s%s", item, item[0] && line[0] ? " " : "", line);
  return *told ? STATUS_OK : STATUS_NO_MEMORY;
}

static Status
judge_one(const Face* face, const Connector* connector, OpenShow* show)
{
  const Args* const args = face->args;
  JudgeReadings* const r = arena_array(face->arena, 1, sizeof(JudgeReadings));
  Judgement* const j = arena_array(face->arena, 1, sizeof(Judgement));
  Conductor conductor;
  Card cards[2];
  const char* told = NULL;
  Status st;
  if (!r || !j) {
    return STATUS_NO_MEMORY;
  }
  r->connector = connector;
  TRY(st, read_seen(face, connector, r));
  TRY(st, read_conductor(face, &conductor, r));
  if (args->lamps) {
    TRY(st, read_lamps(face, show, connector, cards, r));
  }
  TRY(st, judge_cable(face->arena, r, j, face->error));
  if (show && (args->tag || args->line)) {
    TRY(st, tell(face, show, j, &told));
  }
  if (args->json) {
    TRY(st,
        json_answer_print(verdict_json(connector, j, told), args, face->screen->out, face->error));
  } else {
    say_verdict(face, connector, j, told);
  }
  return j->state == JUDGE_SOUND ? STATUS_OK : STATUS_NO;
}

// What goes with what, before anything is read.
static Status
check_options(const Face* face)
{
  const Args* const args = face->args;
  const bool reads = args->wired || args->near_end || args->far_end || args->ohms || args->lamps ||
                     args->flex >= 0 || args->insulation_mohm >= 0.0 || args->tag || args->line;
  const char* wrong = NULL;
  if (args->heap && (reads || args->show)) {
    wrong = "--heap asks for tags and readings itself: leave the other readings out.";
  } else if (!args->show && args->line) {
    wrong = "--line needs --show.";
  } else if (args->show && !args->tag && !args->line && !args->lamps) {
    wrong = "--show needs --tag or --line: which cable, or which line did it come out of?";
  } else if (args->tester && !args->lamps) {
    wrong = "--tester needs --lamps.";
  } else if (args->seconds >= 0 && args->flex < 0) {
    wrong = "--seconds needs --flex: how many breaks were counted?";
  }
  return wrong ? error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0, "%s", wrong) : STATUS_OK;
}

Status
verb_judge(const Face* face)
{
  Connector connector;
  OpenShow show;
  Status st;
  TRY(st, check_options(face));
  TRY(st, read_connector(face, &connector));
  if (face->args->heap) {
    return heap_talk(face, &connector);
  }
  if (!face->args->show) {
    return judge_one(face, &connector, NULL);
  }
  TRY(st, show_open(face, face->args->show, STORE_WRITE, &show));
  st = judge_one(face, &connector, &show);
  const bool said = st == STATUS_OK || st == STATUS_NO;
  const Status closed = store_close(show.store, said ? face->error : NULL);
  return said && closed != STATUS_OK ? closed : st;
}
