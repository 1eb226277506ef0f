// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/pass.h"
#include "day/words.h"
#include "face/compare_view.h"
#include "face/line_view.h"
#include "face/loan_view.h"
#include "face/verb.h"

#include <stdio.h>
#include <string.h>

/*
  `lines` and `line`: how things stand.

  The number comes first, because it is what is said aloud; the state is a word. On a wide screen
  what is missing stands beside it, on a narrow one (a phone held upright, a split terminal) below
  it, and only where something speaks against the line.
*/

enum { NARROW = 60, SOURCE_COLUMNS = 18, LEAD_COLUMNS = 18 };

static const char*
desks_differ(const Face* face, const Plant* plant, int line, const LineProof* proof)
{
  TextOut out = {.arena = face->arena};
  for (int d = 0; d < plant->n_desks; ++d) {
    if (plant->lines[line].desk_input[d] > 0 && proof->at[d] != proof->state) {
      text_add(&out, "%s: %s; ", plant->desks[d].say, proof_word(proof->at[d]));
    }
  }
  text_add(&out, "%s", proof->say);
  return text_done(&out);
}

// What would see most of what was not seen; "" for a line that is not in question, or when nothing
// at hand would.
static Status
see_next(const Face* face, const OpenShow* show, int line, const LineProof* proof, const char** say)
{
  PassLine all;
  Status st;
  *say = "";
  bool any = false;
  for (int i = 0; i < show->situation->n_seen; ++i) {
    any = any || show->situation->seen[i].line == line;
  }
  if (!any || (proof->state != STATE_UNPROVEN && proof->state != STATE_PROVEN)) {
    return STATUS_OK;
  }
  TRY(st, pass_line(show->situation, face->arena, line, &all));
  *say = all.best >= 0 ? pass_check_say(face->arena, &show->plant, &all.checks[all.best]) : "";
  return *say ? STATUS_OK : STATUS_NO_MEMORY;
}

static Status
say_row(const Face* face, const OpenShow* show, int line, const LineProof* proof)
{
  const Screen* const screen = face->screen;
  const Plant* const plant = &show->plant;
  const char* source = line_source(show, line);
  char number[16];
  char socket[40];
  (void)snprintf(number, sizeof(number), "%3d ", plant->lines[line].number);
  (void)line_socket(plant, line, socket);
  if (!source[0]) {
    source = show->act < 0 ? "" : plant->lines[line].is_spare ? "(spare)" : "-";
  }
  const char* rest = proof->state == STATE_UNUSED ? "" : desks_differ(face, plant, line, proof);
  const char* next = "";
  Status st = STATUS_OK;
  TRY(st, rest ? see_next(face, show, line, proof, &next) : STATUS_NO_MEMORY);
  rest = next[0] ? arena_format(face->arena, "%s; cheapest: %s", rest, next) : rest;
  if (!rest) {
    return STATUS_NO_MEMORY;
  }
  screen_cell(screen, PAINT_STRONG, number, 0);
  screen_cell(screen, PAINT_PLAIN, socket, 4);
  screen_cell(screen, line_paint(proof->state), proof_word(proof->state), 9);
  if (screen->width < NARROW) {
    screen_cell(screen, PAINT_PLAIN, source, LEAD_COLUMNS - 1 - screen->width);
    screen_gap(screen);
    if (proof->state == STATE_BAD || proof->state == STATE_SUSPECT || proof->state == STATE_MOVED) {
      screen_item(screen, PAINT_PLAIN, "    ", rest);
    }
  } else if (!rest[0]) {
    screen_cell(screen, PAINT_PLAIN, source, -SOURCE_COLUMNS);
    screen_gap(screen);
  } else {
    screen_cell(screen, PAINT_PLAIN, source, SOURCE_COLUMNS);
    screen_cell(screen, PAINT_PLAIN, " ", 1);
    screen_rest(screen, PAINT_PLAIN, LEAD_COLUMNS + SOURCE_COLUMNS, LEAD_COLUMNS + SOURCE_COLUMNS,
                rest);
  }
  return STATUS_OK;
}

// "about 4 in 10 (before: about 2 in 10)"; what was before only where it is known and another word.
static const char*
odds_say(const Face* face, double prob, double before)
{
  const char* const now = words_odds(face->arena, prob);
  const char* const then = before < 0.0 ? now : words_odds(face->arena, before);
  if (!now || !then) {
    return NULL;
  }
  return strcmp(now, then) == 0 ? now : arena_format(face->arena, "%s (before: %s)", now, then);
}

// A part a line, and below it those of its faults that have odds to speak of.
static Status
say_parts(const Face* face, const LinePart* parts, int n)
{
  for (int i = 0; i < n; ++i) {
    const LinePart* const part = &parts[i];
    const char* const odds = odds_say(face, part->prob, part->before);
    const char* const text =
      odds ? arena_format(face->arena, "%s: %s, %s", part->part, part->state, odds) : NULL;
    if (!text) {
      return STATUS_NO_MEMORY;
    }
    screen_item(face->screen, !strcmp(part->state, "suspect") ? PAINT_WARN : PAINT_PLAIN, "  ",
                text);
    for (int k = 0; k < part->n_odds && k < 3 && part->odds[k].prob >= 0.0095; ++k) {
      const LineOdds* const o = &part->odds[k];
      const char* const each = odds_say(face, o->prob, o->before);
      const char* const fault =
        each ? arena_format(face->arena, "%s: %s", o->say ? o->say : o->spoken, each) : NULL;
      if (!fault) {
        return STATUS_NO_MEMORY;
      }
      screen_item(face->screen, PAINT_PLAIN, "    ", fault);
    }
  }
  return STATUS_OK;
}

static Status
say_lines(const Face* face, const OpenShow* show)
{
  int n[STATE_COUNT] = {0};
  const int n_lines = show->plant.n_lines;
  LineProof* const proofs = arena_array(face->arena, (size_t)n_lines, sizeof(*proofs));
  if (!proofs) {
    return STATUS_NO_MEMORY;
  }
  Status st;
  for (int l = 0; l < n_lines; ++l) {
    TRY(st, proof_line(show->situation, face->arena, l, &proofs[l]));
    ++n[proofs[l].state];
  }
  show_say_act(face, show);
  TextOut sum = {.arena = face->arena};
  for (int s = STATE_COUNT - 1; s >= 0; --s) {
    if (n[s] > 0) {
      text_add(&sum, "%s%d %s", sum.n_bytes ? ", " : "", n[s], proof_word((LineState)s));
    }
  }
  const char* const summed = text_done(&sum);
  screen_say(face->screen, PAINT_STRONG, "%d lines: %s.", n_lines, summed ? summed : "");
  for (int l = 0; l < n_lines; ++l) {
    TRY(st, say_row(face, show, l, &proofs[l]));
    if (face->args->parts && proofs[l].state != STATE_UNUSED) {
      LinePart* parts = NULL;
      int n_parts = 0;
      TRY(st, line_parts(face, show, l, &parts, &n_parts));
      TRY(st, say_parts(face, parts, n_parts));
    }
  }
  if (show->plant.n_assumed > 0) {
    screen_say(face->screen, PAINT_PLAIN, "%d things are assumed; the first: %s",
               show->plant.n_assumed, show->plant.assumed[0]);
  }
  return STATUS_OK;
}

static Status
answer_lines(const Face* face, const OpenShow* show)
{
  json_t* const answer = json_answer(show->act_word);
  json_object_set_new(answer, "list", json_words(show_mark(face, show)));
  json_t* const list = json_array();
  for (int l = 0; l < show->plant.n_lines; ++l) {
    json_t* const one = line_json(face, show, l, false);
    if (!one) {
      json_decref(list);
      json_decref(answer);
      return STATUS_NO_MEMORY;
    }
    if (face->args->parts) {
      json_object_set_new(one, "parts", line_parts_json(face, show, l));
    }
    LineProof proof;
    const char* next = "";
    if (proof_line(show->situation, face->arena, l, &proof) != STATUS_OK ||
        see_next(face, show, l, &proof, &next) != STATUS_OK) {
      json_decref(one);
      json_decref(list);
      json_decref(answer);
      return STATUS_NO_MEMORY;
    }
    json_object_set_new(one, "cheapest", json_words(next));
    json_array_append_new(list, one);
  }
  json_object_set_new(answer, "lines", list);
  json_object_set_new(answer, "assumed", json_list(show->plant.assumed, show->plant.n_assumed));
  json_object_set_new(answer, "left_aside", json_words(show->situation->left_aside));
  return json_answer_print(answer, face->args, face->screen->out, face->error);
}

Status
verb_lines(const Face* face)
{
  OpenShow show;
  Status st;
  TRY(st, show_open(face, face->args->words[0], STORE_READ, &show));
  st = show_situate(face, &show, -1);
  if (st == STATUS_OK) {
    st = face->args->json ? answer_lines(face, &show) : say_lines(face, &show);
  }
  (void)store_close(show.store, NULL);
  return st;
}

// ---- line ----

static void
say_read(const Face* face, const OpenShow* show, int line)
{
  const FoldSet read = fold_of_line(show->fold.readings, show->plant.lines[line].number);
  if (read.n_facts == 0) {
    screen_say(face->screen, PAINT_PLAIN, "Nothing has been read on this line.");
    return;
  }
  screen_say(face->screen, PAINT_STRONG, "Read so far (times in UTC):");
  for (size_t i = 0; i < read.n_facts; ++i) {
    const FactBody* const b = &read.facts[i]->body;
    const char* const time = read.facts[i]->fact.time;
    const char* const text =
      arena_format(face->arena, "%.8s %s=%s%s%s%s%s", strlen(time) > 11 ? time + 11 : "", b->check,
                   b->reading, b->at && b->at[0] ? " at " : "", b->at ? b->at : "",
                   b->act && b->act[0] ? ", " : "", b->act ? b->act : "");
    screen_item(face->screen, PAINT_PLAIN, "  ", text ? text : "");
  }
}

static Status
say_line(const Face* face, OpenShow* show, int line)
{
  const Plant* const plant = &show->plant;
  const Line* const l = &plant->lines[line];
  LinePart* parts = NULL;
  int n = 0;
  char socket[40];
  LineProof proof;
  Status st;
  TRY(st, line_parts(face, show, line, &parts, &n));
  TRY(st, line_before(face, show, line, parts, n));
  TRY(st, proof_line(show->situation, face->arena, line, &proof));
  const char* const source = line_source(show, line);
  screen_say(face->screen, PAINT_STRONG, "%d, %s, %s", l->number, line_socket(plant, line, socket),
             source[0] ? source : "no source in this act");
  show_say_act(face, show);
  TRY(st, line_say_now(face, show, line));
  LoanView loans;
  TRY(st, loan_view(face, show, &loans));
  for (int i = 0; i < loans.n; ++i) {
    if (loans.loans[i].line == line && loan_view_is_now(show, &loans.loans[i])) {
      TRY(st, loan_view_say(face, show, &loans.loans[i]));
    }
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    if (l->desk_input[d] > 0) {
      const char* const text = arena_format(face->arena, "%s, input %d: %s", plant->desks[d].say,
                                            l->desk_input[d], proof_word(proof.at[d]));
      screen_item(face->screen, line_paint(proof.at[d]), "  ", text ? text : "");
    }
  }
  say_read(face, show, line);
  TRY(st, compare_view_say_line(face, show, line));
  screen_say(
    face->screen, PAINT_STRONG,
    "Part by part, from source to desk (odds from usual practice and what was read; before: "
    "with nothing read):");
  return say_parts(face, parts, n);
}

// Every fault that no reading so far could have shown, likeliest first, with what would.
static Status
add_unseen(const Face* face, const OpenShow* show, int line, json_t* answer)
{
  PassLine all;
  Status st;
  TRY(st, pass_line(show->situation, face->arena, line, &all));
  json_t* const list = json_array();
  for (;;) {
    PassFault* next = NULL;
    for (int i = 0; i < all.n; ++i) {
      PassFault* const f = &all.faults[i];
      next = !f->is_seen && f->prob >= 0.0 && (!next || f->prob > next->prob) ? f : next;
    }
    if (!next) {
      break;
    }
    char name[24];
    const PassCheck* const check = next->best >= 0 ? &all.checks[next->best] : NULL;
    const int desk = check ? check->check.desk : -1;
    json_t* const one = json_object();
    json_object_set_new(
      one, "part",
      json_words(catalogue_part(face->arena, &show->plant, show->act, line, next->fault)));
    json_object_set_new(one, "fault", json_words(catalogue_name(next->fault, name)));
    json_object_set_new(one, "prob", json_figure(next->prob));
    json_object_set_new(one, "check",
                        json_words(check ? predict_check_word(check->check.sort) : NULL));
    json_object_set_new(one, "at",
                        json_words(!check      ? NULL
                                   : desk >= 0 ? show->plant.desks[desk].name
                                               : "socket"));
    json_object_set_new(one, "seconds", check ? json_figure(check->seconds) : json_null());
    json_array_append_new(list, one);
    next->prob = -1.0; // Told
  }
  json_object_set_new(answer, "unseen", list);
  return STATUS_OK;
}

static Status
answer_line(const Face* face, const OpenShow* show, int line)
{
  json_t* const answer = json_answer(show->act_word);
  json_object_set_new(answer, "list", json_words(show_mark(face, show)));
  json_t* const one = line_json(face, show, line, true);
  if (!one || json_object_update(answer, one) != 0 ||
      compare_view_json_line(face, show, line, answer) != STATUS_OK ||
      add_unseen(face, show, line, answer) != STATUS_OK) {
    json_decref(one);
    json_decref(answer);
    return STATUS_NO_MEMORY;
  }
  json_decref(one);
  LoanView loans;
  json_t* const moved = loan_view(face, show, &loans) == STATUS_OK
                          ? loan_view_moved_json(face, show, &loans, line)
                          : NULL;
  if (!moved || json_object_set_new(answer, "moved", moved) != 0) {
    json_decref(answer);
    return STATUS_NO_MEMORY;
  }
  json_object_set_new(answer, "left_aside", json_words(show->situation->left_aside));
  return json_answer_print(answer, face->args, face->screen->out, face->error);
}

Status
verb_line(const Face* face)
{
  OpenShow show;
  int line = -1;
  Status st;
  TRY(st, show_open(face, face->args->words[0], STORE_READ, &show));
  st = show_find(face, &show, face->args->words[1], &line);
  if (st == STATUS_OK) {
    st = face->args->json ? answer_line(face, &show, line) : say_line(face, &show, line);
  }
  (void)store_close(show.store, NULL);
  return st;
}
