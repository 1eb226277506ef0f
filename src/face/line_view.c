// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/line_view.h"

#include "day/rescue.h"
#include "fault/digital.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char*
line_socket(const Plant* plant, int line, char text[40])
{
  const Line* const l = &plant->lines[line];
  (void)snprintf(text, 40, "%.20s%d", plant->boxes[l->box].name, l->socket);
  return text;
}

const char*
line_source(const OpenShow* show, int line)
{
  const Input* const input = plant_input(&show->plant, show->act, line);
  return input ? input->source : "";
}

Paint
line_paint(LineState state)
{
  switch (state) {
    case STATE_PROVEN:
      return PAINT_GOOD;
    case STATE_SUSPECT:
    case STATE_MOVED:
      return PAINT_WARN;
    case STATE_BAD:
      return PAINT_BAD;
    default:
      return PAINT_PLAIN;
  }
}

// ---- Parts ----

static const char*
sort_word(PartSort sort)
{
  static const char* const words[PART_COUNT] = {
    [PART_SOURCE] = "source", [PART_THROUGH] = "in-line", [PART_CABLE] = "cable",
    [PART_PLUG] = "plug",     [PART_SOCKET] = "socket",   [PART_PREAMP] = "preamp",
    [PART_LEAD] = "lead",     [PART_POWER] = "power",     [PART_CLOCK] = "clock",
    [PART_OWNER] = "owner",   [PART_TAIL] = "tail",       [PART_SPLIT] = "split",
    [PART_PAIR] = "pair",     [PART_DESK] = "desk",       [PART_TESTER] = "tester",
    [PART_ELSE] = "else",
  };
  return (unsigned)sort < PART_COUNT && words[sort] ? words[sort] : "else";
}

// The desk a part belongs to: only these two count desks there.
static const char*
part_desk(const Plant* plant, const Fault* fault)
{
  const bool has = (fault->part == PART_SPLIT || fault->part == PART_DESK) && fault->desk >= 0;
  return has && fault->desk < plant->n_desks ? plant->desks[fault->desk].name : NULL;
}

// The part of a line in which something shared is wrong, and what the wire calls it.
static Fault
shared_fault(const SharedState* state, const Fault* touched)
{
  Fault fault = {PART_PLUG, FAULT_WRONG_SOCKET, 0, 0, -1, 0};
  switch (state->sort) {
    case SHARED_TAIL:
      fault.part = PART_TAIL;
      fault.mode = FAULT_NOT_LOCKED;
      break;
    case SHARED_SPLIT_SIDE:
      fault = (Fault){PART_SPLIT, FAULT_DEAD, 0, 0, state->desk, 0};
      break;
    case SHARED_DESK:
      fault = (Fault){PART_DESK, FAULT_DEAD, 0, 0, state->desk, 0};
      break;
    case SHARED_BANK:
      fault = (Fault){PART_DESK, FAULT_PHANTOM_OFF, 0, 0, state->desk, 0};
      break;
    default:
      fault = digital_is_state(state->sort) ? *touched : fault;
      break;
  }
  if (fault.part == PART_DESK && fault.desk < 0) {
    fault.desk = touched->desk >= 0 ? touched->desk : 0;
  }
  return fault;
}

static int
by_place(const void* a_, const void* b_)
{
  const Fault* const a = a_;
  const Fault* const b = b_;
  return a->part != b->part ? (int)a->part - (int)b->part : a->desk - b->desk;
}

typedef struct {
  Fault fault;
  LineOdds odds;
} Row;

static int
row_order(const void* a_, const void* b_)
{
  const Row* const a = a_;
  const Row* const b = b_;
  const int order = by_place(&a->fault, &b->fault);
  return order ? order : (a->odds.prob < b->odds.prob) - (a->odds.prob > b->odds.prob);
}

static Status
rows_of(const Face* face, const OpenShow* show, int line, Row** rows, int* n)
{
  const Suspect* suspects = NULL;
  int n_suspects = 0;
  Status st;
  TRY(st, situation_suspects(show->situation, face->arena, line, &suspects, &n_suspects));
  Row* const all = arena_array(face->arena, (size_t)n_suspects, sizeof(*all));
  if (!all) {
    return STATUS_NO_MEMORY;
  }
  int n_all = 0;
  for (int i = 0; i < n_suspects; ++i) {
    const Suspect* const s = &suspects[i];
    if (!s->state && s->fault.mode == FAULT_NONE) {
      continue; // Nothing is wrong
    }
    char name[24];
    const Fault fault = s->state ? shared_fault(s->state, &s->fault) : s->fault;
    const char* const word = arena_copy(face->arena, catalogue_name(&fault, name));
    const char* const say =
      s->state ? shared_say(face->arena, &show->plant, show->act, s->state) : NULL;
    char said[CATALOGUE_SPOKEN_BYTES];
    const char* const spoken = arena_copy(face->arena, catalogue_spoken(&fault, said));
    if (!word || !spoken || (s->state && !say)) {
      return STATUS_NO_MEMORY;
    }
    all[n_all++] = (Row){fault, {word, say, spoken, s->prob, -1.0, s->row}};
  }
  qsort(all, (size_t)n_all, sizeof(*all), row_order);
  *rows = all;
  *n = n_all;
  return STATUS_OK;
}

Status
line_parts(const Face* face, const OpenShow* show, int line, LinePart** parts, int* n)
{
  Row* rows = NULL;
  int n_rows = 0;
  LineProof proof;
  Status st;
  TRY(st, proof_line(show->situation, face->arena, line, &proof));
  TRY(st, rows_of(face, show, line, &rows, &n_rows));
  LinePart* const all = arena_array(face->arena, (size_t)n_rows, sizeof(*all));
  LineOdds* const odds = arena_array(face->arena, (size_t)n_rows, sizeof(*odds));
  if (!all || !odds) {
    return STATUS_NO_MEMORY;
  }
  int n_all = 0;
  for (int i = 0; i < n_rows; ++i) {
    odds[i] = rows[i].odds;
    if (i == 0 || by_place(&rows[i - 1].fault, &rows[i].fault) != 0) {
      const char* const part =
        catalogue_part(face->arena, &show->plant, show->act, line, &rows[i].fault);
      if (!part) {
        return STATUS_NO_MEMORY;
      }
      const Fault* const f = &rows[i].fault;
      all[n_all++] =
        (LinePart){part, sort_word(f->part), part_desk(&show->plant, f), "", &odds[i], 0, 0, -1.0};
    }
    all[n_all - 1].n_odds += 1;
    all[n_all - 1].prob += odds[i].prob;
  }
  for (int i = 0; i < n_all; ++i) {
    // A part is never called better than its line
    all[i].state = proof.state == STATE_UNUSED        ? "unused"
                   : all[i].prob > PROOF_SUSPECT_PROB ? "suspect"
                   : proof.state == STATE_PROVEN      ? "proven"
                                                      : "unproven";
  }
  *parts = all;
  *n = n_all;
  return STATUS_OK;
}

static void
part_head(json_t* object, const LinePart* part)
{
  json_object_set_new(object, "part", json_words(part->part));
  json_object_set_new(object, "is", json_words(part->is));
  json_object_set_new(object, "desk", json_words(part->desk));
  json_object_set_new(object, "state", json_words(part->state));
}

json_t*
line_parts_json(const Face* face, const OpenShow* show, int line)
{
  LinePart* parts = NULL;
  int n = 0;
  if (line_parts(face, show, line, &parts, &n) != STATUS_OK) {
    return NULL;
  }
  json_t* const list = json_array();
  for (int i = 0; i < n; ++i) {
    json_t* const part = json_object();
    part_head(part, &parts[i]);
    json_object_set_new(part, "prob", json_figure(parts[i].prob));
    json_array_append_new(list, part);
  }
  return list;
}

Status
line_before(const Face* face, const OpenShow* show, int line, LinePart* parts, int n)
{
  const double* prob = NULL;
  int n_rows = 0;
  Status st;
  TRY(st, situation_before(show->situation, face->arena, line, &prob, &n_rows));
  for (int i = 0; i < n; ++i) {
    parts[i].before = 0.0;
    for (int k = 0; k < parts[i].n_odds; ++k) {
      parts[i].odds[k].before = prob[parts[i].odds[k].row];
      parts[i].before += parts[i].odds[k].before;
    }
  }
  return STATUS_OK;
}

static json_t*
parts_json(const Face* face, const OpenShow* show, int line)
{
  LinePart* parts = NULL;
  int n = 0;
  if (line_parts(face, show, line, &parts, &n) != STATUS_OK ||
      line_before(face, show, line, parts, n) != STATUS_OK) {
    return NULL;
  }
  json_t* const list = json_array();
  for (int i = 0; i < n; ++i) {
    json_t* const part = json_object();
    json_t* const odds = json_array();
    part_head(part, &parts[i]);
    for (int k = 0; k < parts[i].n_odds; ++k) {
      json_t* const one = json_object();
      json_object_set_new(one, "fault", json_words(parts[i].odds[k].fault));
      if (parts[i].odds[k].say) {
        json_object_set_new(one, "say", json_words(parts[i].odds[k].say));
      }
      json_object_set_new(one, "prob", json_figure(parts[i].odds[k].prob));
      json_object_set_new(one, "before", json_figure(parts[i].odds[k].before));
      json_array_append_new(odds, one);
    }
    json_object_set_new(part, "prob", json_figure(parts[i].prob));
    json_object_set_new(part, "before", json_figure(parts[i].before));
    json_object_set_new(part, "odds", odds);
    json_array_append_new(list, part);
  }
  return list;
}

json_t*
line_json(const Face* face, const OpenShow* show, int line, bool with_parts)
{
  const Plant* const plant = &show->plant;
  const Line* const l = &plant->lines[line];
  LineProof proof;
  if (proof_line(show->situation, face->arena, line, &proof) != STATUS_OK) {
    return NULL;
  }
  json_t* const object = json_object();
  json_object_set_new(object, "line", json_integer(l->number));
  json_object_set_new(object, "source", json_words(line_source(show, line)));
  json_object_set_new(object, "box", json_words(plant->boxes[l->box].name));
  json_object_set_new(object, "socket", json_integer(l->socket));
  json_object_set_new(object, "spare", json_boolean(l->is_spare));
  json_object_set_new(object, "state", json_words(proof_word(proof.state)));
  json_t* const at = json_object();
  for (int d = 0; d < plant->n_desks; ++d) {
    if (l->desk_input[d] > 0) {
      json_object_set_new(at, plant->desks[d].name, json_words(proof_word(proof.at[d])));
    }
  }
  json_object_set_new(object, "at", at);
  json_object_set_new(object, "not_seen", json_list(proof.not_seen, proof.n_not_seen));
  json_object_set_new(object, "say", json_words(proof.say));
  if (show->situation->moved_to[line] >= 0) {
    json_object_set_new(object, "runs_on",
                        json_integer(plant->lines[show->situation->moved_to[line]].number));
    const Loan* const loan =
      loan_of(show->situation->loans, show->situation->n_loans, show->act, line);
    json_object_set_new(object, "way", json_words(loan ? loan->way : NULL));
  }
  if (with_parts) {
    json_object_set_new(object, "parts", parts_json(face, show, line));
    json_object_set_new(object, "likely",
                        json_words(rescue_likely(show->situation, face->arena, line)));
    json_object_set_new(object, "usual_practice", json_true());
  }
  return object;
}

Status
line_say_now(const Face* face, OpenShow* show, int line)
{
  LineProof proof;
  Status st;
  TRY(st, proof_line(show->situation, face->arena, line, &proof));
  const char* const likely = rescue_likely(show->situation, face->arena, line);
  screen_say(face->screen, line_paint(proof.state), "Line %d is %s%s%s.",
             show->plant.lines[line].number, proof_word(proof.state), proof.say[0] ? ": " : "",
             proof.say);
  if (likely && likely[0]) {
    screen_say(face->screen, PAINT_PLAIN, "%s", likely);
  }
  return STATUS_OK;
}
