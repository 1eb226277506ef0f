// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/situation.h"

#include "base/text.h"
#include "day/repair.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MAX_LOCALS = CATALOGUE_MAX_FAULTS };

static bool
by_tester(CheckSort sort)
{
  return sort == CHECK_VOLTS || sort == CHECK_LAMPS || sort == CHECK_OHMS || sort == CHECK_FLEX ||
         sort == CHECK_SENT;
}

// Looks and listens at a desk: no contact moves by them.
static bool
is_still(Check check)
{
  return check.sort == CHECK_LEVEL || check.sort == CHECK_TONE || check.sort == CHECK_HUM ||
         check.sort == CHECK_POLARITY || check.sort == CHECK_SEEN ||
         (check.sort == CHECK_LOOK && check.desk >= 0);
}

// The shared state of a row as far as it says what the line is; a lying tester says nothing of
// that.
static const SharedState*
row_state(const Situation* s, const BeliefHyp* hyp)
{
  const SharedState* const state = hyp->state ? &s->states[hyp->state] : NULL;
  return state && state->sort == SHARED_TESTER ? NULL : state;
}

static Status
build_model(Arena* arena, Situation* s)
{
  const Plant* const plant = s->plant;
  const size_t n_lines = (size_t)plant->n_lines;
  const Fault** const locals = arena_array(arena, n_lines, sizeof(Fault*));
  int* const n_locals = arena_array(arena, n_lines, sizeof(int));
  const double** const prob = arena_array(arena, n_lines, sizeof(double*));
  if (!locals || !n_locals || !prob) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  for (int l = 0; l < plant->n_lines; ++l) {
    TRY(st, catalogue_line(arena, plant, s->act, l, &locals[l], &n_locals[l]));
    double* const p = arena_array(arena, (size_t)n_locals[l], sizeof(double));
    if (!p) {
      return STATUS_NO_MEMORY;
    }
    for (int i = 0; i < n_locals[l]; ++i) {
      p[i] = locals[l][i].prob;
    }
    prob[l] = p;
  }
  bool tester = false;
  for (int i = 0; i < s->n_seen; ++i) {
    tester = tester || by_tester(s->seen[i].check.sort);
  }
  TRY(st, shared_list(arena, plant, s->act, tester, &s->states, &s->n_states));
  BeliefState* const states = arena_array(arena, (size_t)s->n_states, sizeof(BeliefState));
  double* const one = arena_array(arena, 1, sizeof(double));
  int* const first = arena_array(arena, 1, sizeof(int));
  if (!states || !one || !first) {
    return STATUS_NO_MEMORY;
  }
  int* const counting = arena_array(arena, MAX_LOCALS, sizeof(int));
  if (!counting) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < MAX_LOCALS; ++i) {
    counting[i] = i;
  }
  *one = 1.0; // Every touched line is one hypothesis: what the state makes of it
  for (int i = 0; i < s->n_states; ++i) {
    const SharedState* const shared = &s->states[i];
    BeliefGroup* const groups = arena_array(arena, (size_t)shared->n_touches, sizeof(BeliefGroup));
    if (!groups) {
      return STATUS_NO_MEMORY;
    }
    for (int k = 0; k < shared->n_touches; ++k) {
      const int line = shared->touches[k].line;
      // A lying tester says nothing about the lines: each keeps all its own faults.
      groups[k] =
        shared->sort == SHARED_TESTER
          ? (BeliefGroup){1, &shared->touches[k].line, n_locals[line], prob[line], counting}
          : (BeliefGroup){1, &shared->touches[k].line, 1, one, first};
    }
    states[i] = (BeliefState){shared->prob, shared->n_touches, groups};
  }
  s->locals = locals;
  s->model = (BeliefModel){plant->n_lines, n_locals, prob, s->n_states, states};
  return belief_init(arena, &s->model, &s->belief);
}

Condition
situation_supposed(const Plant* plant, int act, int line, const SharedState* state,
                   const Fault* fault)
{
  const bool used = act < 0 || plant_input(plant, act, line) != NULL;
  const SharedTouch* const touch = state ? shared_touch(state, line) : NULL;
  if (!touch) {
    return (Condition){line, used ? line : -1, line, *fault};
  }
  int own_at = touch->plugged == line ? line : -1;
  for (int i = 0; i < state->n_touches; ++i) {
    if (state->touches[i].plugged == line) {
      own_at = state->touches[i].line;
    }
  }
  if (!shared_moves_plugs(state->sort)) {
    return (Condition){line, used ? line : -1, line, touch->fault};
  }
  return (Condition){line, touch->plugged, own_at, touch->fault};
}

Condition
situation_condition(const Situation* s, int line, int row)
{
  const BeliefHyp hyp = belief_hyp(s->belief, line, row);
  return situation_supposed(s->plant, s->act, line, row_state(s, &hyp),
                            &s->locals[line][hyp.local]);
}

// Volts at a desk's input on the bare lines: nobody is on stage to plug anything.
static bool
is_of_empty(const Situation* s, Check check, bool is_walked)
{
  return check.sort == CHECK_VOLTS && check.desk >= 0 && (is_walked || s->act < 0);
}

int
situation_plugged(const Situation* s, int line, Check check, bool is_walked)
{
  const bool used = s->act < 0 || plant_input(s->plant, s->act, line) != NULL;
  return is_of_empty(s, check, is_walked) ? PREDICT_EMPTY
         : is_walked                      ? PREDICT_KNOWN_GOOD
         : used                           ? line
                                          : -1;
}

// What a row supposes while a check is made: on the bare line no plug of the act is there.
static Condition
seen_condition(const Situation* s, int line, int row, Check check, bool is_walked)
{
  Condition own = situation_condition(s, line, row);
  if (is_walked || is_of_empty(s, check, is_walked)) {
    own.plugged = situation_plugged(s, line, check, is_walked);
    own.own_at = line;
  }
  return own;
}

Status
situation_sight(const Situation* s, int line, int row, bool hunts, Sight* sight)
{
  const Condition condition = situation_condition(s, line, row);
  const BeliefHyp hyp = belief_hyp(s->belief, line, row);
  Sight made = {.tester_lies = hyp.state && !row_state(s, &hyp)};
  Status st = STATUS_OK;
  TRY(st, predictor_view(s->predictor, &condition, &made.view));
  if (hunts && !made.view->is_anything) {
    const Condition good = {line, PREDICT_KNOWN_GOOD, line, condition.fault};
    TRY(st, predictor_view(s->predictor, &good, &made.known));
  }
  *sight = made;
  return STATUS_OK;
}

void
situation_probs(const Situation* s, int line, const Sight* sight, Check check, const int* keys,
                int n_keys, double* probs)
{
  static const View anything = {.is_anything = true};
  const bool lies = sight->tester_lies && by_tester(check.sort);
  predict_probs(s->plant, line, check, lies ? &anything : sight->view,
                check.sort == CHECK_HUNT ? sight->known : NULL, keys, n_keys, probs);
}

// Chance of a reading under a row, its loose contact open with chance `open_prob`; < 0 = as the
// line's looks so far leave it.
static Status
row_prob(const Situation* s, int row, const Seen* seen, double open_prob, double* prob)
{
  const int line = seen->line;
  const Check check = seen->check;
  const int key = seen->key;
  const Condition condition = seen_condition(s, line, row, check, seen->is_walked);
  const View* view = NULL;
  const View* known = NULL;
  Status st = STATUS_OK;
  TRY(st, predictor_view(s->predictor, &condition, &view));
  if (check.sort == CHECK_HUNT && !view->is_anything) {
    const Condition good = {line, PREDICT_KNOWN_GOOD, line, condition.fault};
    TRY(st, predictor_view(s->predictor, &good, &known));
  }
  const BeliefHyp hyp = belief_hyp(s->belief, line, row);
  static const View anything = {.is_anything = true};
  const bool lies = hyp.state && !row_state(s, &hyp) && by_tester(check.sort);
  if (is_still(check) && view->is_loose && view->open_prob > 0.0 && !lies) {
    const double now = open_prob >= 0.0    ? open_prob
                       : s->open_now[line] ? s->open_now[line][row]
                                           : view->open_prob;
    View stands = *view;
    stands.open_prob = now;
    *prob = predict_prob(s->plant, line, check, &stands, known, key);
    return STATUS_OK;
  }
  *prob = predict_prob(s->plant, line, check, lies ? &anything : view, known, key);
  return STATUS_OK;
}

Status
situation_prob(const Situation* s, int line, int row, Check check, int key, double* prob)
{
  const Seen seen = {.line = line, .check = check, .key = key};
  return row_prob(s, row, &seen, -1.0, prob);
}

static double
swap_prob(const Situation* s, int line, int row, const char* item, int desk, int key)
{
  const BeliefHyp hyp = belief_hyp(s->belief, line, row);
  const SharedState* const state = row_state(s, &hyp);
  const Fault* const fault = &s->locals[line][hyp.local];
  if (!state && fault->mode == FAULT_SOMETHING_ELSE) {
    return 0.5;
  }
  RepairSort repair = REPAIR_CABLE;
  (void)repair_of(item, &repair);
  const bool fixes =
    repair_fixes(repair, desk, state, fault) || (!state && fault->mode == FAULT_NONE);
  const double better = fixes ? REPAIR_HELPS_PROB : plant_misread_prob(s->plant, "swap");
  return key == SWAP_BETTER ? better : 1.0 - better;
}

static bool
is_again(const Seen* a, const Seen* b)
{
  return a->line == b->line && a->check.sort == b->check.sort && a->check.desk == b->check.desk &&
         a->is_walked == b->is_walked;
}

// Chance of a look given the look before it at the same thing: a copy of that one, or a fresh one.
//     again * [same reading]  +  (1 - again) * p
// So a second equal look adds little, and one that differs counts in full. `like` is p, the chance
// of this look alone.
static double
given_before(const Situation* s, int at, double like)
{
  const Seen* const seen = &s->seen[at];
  const double again = plant_again_prob(s->plant);
  for (int i = at - 1; i >= 0; --i) {
    if (is_again(&s->seen[i], seen)) {
      return (s->seen[i].key == seen->key ? again : 0.0) + (1.0 - again) * like;
    }
  }
  return like;
}

// How the loose contacts of a line stand after a look, for the next one: what the look says of it,
//     open' = open * P(look | open) / P(look)
// and then as before with the chance of looks that share their cause, else anew.
static Status
follow_contacts(Situation* s, Arena* arena, int at)
{
  const Seen* const seen = &s->seen[at];
  const int n = belief_n_hyps(s->belief, seen->line);
  const double again = plant_again_prob(s->plant);
  const double anew = plant_still_open_prob(s->plant);
  double** const open_now = (double**)s->open_now;
  Status st = STATUS_OK;
  if (!open_now[seen->line]) {
    open_now[seen->line] = arena_array(arena, (size_t)n, sizeof(double));
    if (!open_now[seen->line]) {
      return STATUS_NO_MEMORY;
    }
    for (int row = 0; row < n; ++row) {
      open_now[seen->line][row] = anew;
    }
  }
  double* const open = open_now[seen->line];
  for (int row = 0; row < n; ++row) {
    const BeliefHyp hyp = belief_hyp(s->belief, seen->line, row);
    if (!is_still(seen->check)) { // Hands were on it
      open[row] = anew;
      continue;
    }
    if (row_state(s, &hyp) || s->locals[seen->line][hyp.local].mode != FAULT_LOOSE) {
      continue;
    }
    double if_open = 0.0;
    double if_closed = 0.0;
    TRY(st, row_prob(s, row, seen, 1.0, &if_open));
    TRY(st, row_prob(s, row, seen, 0.0, &if_closed));
    if_open = given_before(s, at, if_open) * open[row];
    if_closed = given_before(s, at, if_closed) * (1.0 - open[row]);
    const double stood = if_open / (if_open + if_closed);
    open[row] = again * stood + (1.0 - again) * anew;
  }
  return STATUS_OK;
}

static Status
take(Situation* s, Arena* arena, int at)
{
  const Seen* const seen = &s->seen[at];
  const int n = belief_n_hyps(s->belief, seen->line);
  double* const like = arena_array(arena, (size_t)n, sizeof(double));
  if (!like) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  for (int row = 0; row < n; ++row) {
    if (seen->check.sort == CHECK_SWAP) {
      like[row] = swap_prob(s, seen->line, row, seen->item, seen->check.desk, seen->key);
    } else {
      TRY(st, row_prob(s, row, seen, -1.0, &like[row]));
      like[row] = given_before(s, at, like[row]);
    }
  }
  TRY(st, belief_update_later(s->belief, seen->line, like));
  return follow_contacts(s, arena, at);
}

bool
situation_place(const Plant* plant, const char* text, int* line, int* desk)
{
  if (!text || !text[0] || text_same(text, "socket")) {
    *desk = -1;
    return text && text[0];
  }
  char word[64];
  (void)snprintf(word, sizeof(word), "%s", text);
  char* const slash = strchr(word, '/');
  if (slash) {
    *slash = '\0';
  }
  const int at = plant_socket(plant, word);
  if (at >= 0) {
    *line = at;
    *desk = -1;
    return true;
  }
  char* const blank = strrchr(word, ' ');
  int number = 0;
  if (blank && text_whole(blank + 1, 1, 9999, &number)) {
    *blank = '\0';
  }
  const int d = plant_desk(plant, word);
  if (d < 0) {
    return false;
  }
  *desk = d;
  for (int l = 0; number && l < plant->n_lines; ++l) {
    if (plant->lines[l].desk_input[d] == number) {
      *line = l;
    }
  }
  return true;
}

static bool
at_a_desk(CheckSort sort)
{
  return sort <= CHECK_SEEN;
}

// Whether what is in the socket decides what a check shows.
static bool
with_microphone(Check check)
{
  return check.sort <= CHECK_SEEN || check.sort == CHECK_VOLTS || check.sort == CHECK_OHMS ||
         check.sort == CHECK_FLEX || check.sort == CHECK_SENT;
}

bool
situation_read(const Situation* s, const FactBody* body, Seen* seen)
{
  const Plant* const plant = s->plant;
  const int line = plant_line(plant, body->line);
  if (line < 0 || !body->check || !body->reading) {
    return false;
  }
  Seen out = {.line = line, .check = {CHECK_LEVEL, -1}};
  int place_line = line;
  const char* const at = body->desk && body->desk[0] ? body->desk : body->at;
  const bool placed = situation_place(plant, at, &place_line, &out.check.desk);
  if (text_begins(body->check, "swap")) {
    out.check.sort = CHECK_SWAP;
    out.item = strchr(body->check, ' ') ? strchr(body->check, ' ') + 1 : "cable";
  } else if (!predict_check_of(body->check, &out.check.sort)) {
    return false;
  }
  if (out.check.sort == CHECK_BOX && !plant_is_digital(plant, line)) {
    return false;
  }
  if (at_a_desk(out.check.sort) || out.check.sort == CHECK_HUNT ||
      (out.check.sort == CHECK_LOOK && !placed)) {
    out.check.desk = out.check.desk >= 0 ? out.check.desk : 0;
  } else if (out.check.sort == CHECK_VOLTS && out.check.desk >= 0) {
    if (plant_is_digital(plant, line)) { // Its copper ends in the box
      return false;
    }
  } else if (out.check.sort != CHECK_LOOK && out.check.sort != CHECK_SWAP) {
    out.check.desk = -1;
  }
  if (predict_key_of(plant, s->act, out.check, line, body->reading, &out.key, NULL) != STATUS_OK) {
    return false;
  }
  // "" is the bare lines; an act that nobody named is the one in force
  out.is_walked = s->act >= 0 && body->act && !body->act[0] && with_microphone(out.check);
  *seen = out;
  return true;
}

static bool
speaks_for(const Situation* s, const FactBody* body)
{
  return !body->act || !body->act[0] || plant_act(s->plant, body->act) == s->act;
}

// Log position from which readings of a line count because its plug was moved.
static int64_t
plugged_seq(const Situation* s, const Fold* fold, int line)
{
  int64_t seq = 0;
  for (size_t i = 0; i < fold->plugged.n_facts; ++i) {
    const FoldFact* const f = fold->plugged.facts[i];
    int at = -1;
    int desk = -1;
    if (situation_place(s->plant, f->body.place, &at, &desk) && at == line && f->fact.seq > seq) {
      seq = f->fact.seq;
    }
  }
  return seq;
}

// Whether a tag, a socket, a tail or a box names a part of the line. A cable's tag is known where
// the act's list has it.
static bool
is_part(const Situation* s, int line, const char* item)
{
  const Line* const copper = &s->plant->lines[line];
  const Box* const box = &s->plant->boxes[copper->box];
  const Input* const input = plant_input(s->plant, s->act, line);
  const char* const name =
    text_begins(item, "tail ") || text_begins(item, "box ") ? strchr(item, ' ') + 1 : item;
  return plant_socket(s->plant, item) == line || text_same(name, box->name) ||
         (box->tail_tag[0] && text_same(item, box->tail_tag)) ||
         (input && input->cable[0] && text_same(item, input->cable));
}

// Log position from which a good reading of a line counts: a part of it was taped off, or came back
// from that, or the line is back from its way round.
static int64_t
doubted_seq(const Situation* s, const Fold* fold, int line)
{
  int64_t seq = 0;
  for (size_t i = 0; i < fold->all.n_facts; ++i) {
    const FoldFact* const f = fold->all.facts[i];
    const bool item = f->fact.kind == FACT_TAPED_OFF || f->fact.kind == FACT_CLEARED;
    const bool back = f->fact.kind == FACT_MOVED && !f->body.way[0] &&
                      plant_line(s->plant, f->body.line) == line && speaks_for(s, &f->body);
    if (f->in_force && (back || (item && is_part(s, line, f->body.item)))) {
      seq = f->fact.seq;
    }
  }
  return seq;
}

bool
situation_is_sound(const Situation* s, const Seen* seen)
{
  const int plugged = situation_plugged(s, seen->line, seen->check, seen->is_walked);
  const Condition good = {seen->line, plugged, seen->line, {PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0}};
  const View* view = NULL;
  return seen->check.sort != CHECK_SWAP &&
         predictor_view(s->predictor, &good, &view) == STATUS_OK &&
         seen->key == predict_shows(s->plant, seen->line, seen->check, view, view);
}

static Status
leave_aside(Situation* s, Arena* arena, const FactBody* body)
{
  s->left_aside = arena_format(arena, "%s%sA reading of line %d (%s=%s) does not fit this show.",
                               s->left_aside, s->left_aside[0] ? " " : "", body->line,
                               body->check ? body->check : "", body->reading ? body->reading : "");
  return s->left_aside ? STATUS_OK : STATUS_NO_MEMORY;
}

// What a crew says is plugged in a socket counts like a look at it. Sockets of unused lines count
// too: a source found there is a source found elsewhere. False for what is no source of this act (a
// tag).
static bool
plugged_seen(const Situation* s, const FactBody* body, Seen* seen)
{
  int line = -1;
  int desk = -1;
  if (!body->what || !situation_place(s->plant, body->place, &line, &desk) || line < 0 ||
      desk >= 0) {
    return false;
  }
  *seen = (Seen){.line = line, .check = {CHECK_LOOK, -1}};
  return predict_key_of(s->plant, s->act, seen->check, line, body->what[0] ? body->what : "nothing",
                        &seen->key, NULL) == STATUS_OK;
}

// What a cable showed after it was taken out speaks of the old story and never of the new part.
static bool
is_judgement(const FactBody* body)
{
  return body->check && body->reading && text_same(body->check, SITUATION_JUDGED);
}

static void
keep_judgements(Situation* s, const Fold* fold, const int64_t helped[], const char** judged)
{
  for (size_t i = 0; i < fold->readings.n_facts; ++i) {
    const FoldFact* const f = fold->readings.facts[i];
    const int line = plant_line(s->plant, f->body.line);
    RepairSort repair;
    if (line >= 0 && is_judgement(&f->body) && speaks_for(s, &f->body) && s->repaired_by[line] &&
        f->fact.seq > helped[line] && repair_of(s->repaired_by[line], &repair) &&
        repair == REPAIR_CABLE) {
      judged[line] = f->body.reading;
    }
  }
  s->judged = judged;
}

// Whether a fault is one of "open 3, short 1-2".
static bool
names_fault(const char* reading, const Fault* fault)
{
  char name[24];
  const size_t n = strlen(catalogue_name(fault, name));
  for (const char* at = reading; *at;) {
    const size_t length = strcspn(at, ",");
    if ((length == n && !strncmp(at, name, n)) ||
        (fault->mode == FAULT_ROTATED && text_begins(at, name))) { // "rotated 1-2-3"
      return true;
    }
    at += length;
    at += strspn(at, ", ");
  }
  return false;
}

static Status
take_judgement(Situation* s, Arena* arena, int line)
{
  const char* const reading = s->judged[line];
  const int n = belief_n_hyps(s->belief, line);
  double* const like = arena_array(arena, (size_t)n, sizeof(double));
  if (!like) {
    return STATUS_NO_MEMORY;
  }
  const bool sound = text_same(reading, "sound");
  for (int row = 0; row < n; ++row) {
    const BeliefHyp hyp = belief_hyp(s->belief, line, row);
    const Fault* const fault = &s->locals[line][hyp.local];
    const bool cable = !row_state(s, &hyp) && fault->part == PART_CABLE;
    const double hides =
      fault->mode == FAULT_LOOSE ? SITUATION_JUDGED_HIDES_PROB : 1.0 - SITUATION_JUDGED_SHOWS_PROB;
    like[row] = sound ? cable ? hides : 1.0 - SITUATION_JUDGED_CHANCE_PROB
                : cable && names_fault(reading, fault) ? 1.0 - hides
                                                       : SITUATION_JUDGED_CHANCE_PROB;
  }
  return belief_update_later(s->belief, line, like);
}

// A repair that helped ends the story of its line: what was read before speaks of the old part. As
// long as nothing was read after it the old story stays, as what the fault had been.
static Status
read_readings(Situation* s, Arena* arena, const Fold* fold)
{
  const size_t n = fold->readings.n_facts;
  const size_t n_lines = (size_t)s->plant->n_lines;
  const size_t n_room = n + fold->plugged.n_facts;
  Seen* const all = arena_array(arena, n_room, sizeof(Seen));
  int64_t* const seq = arena_array(arena, n_room, sizeof(int64_t));
  int64_t* const since = arena_array(arena, n_lines, sizeof(int64_t));
  int64_t* const helped = arena_array(arena, n_lines, sizeof(int64_t));
  int64_t* const newest = arena_array(arena, n_lines, sizeof(int64_t));
  int64_t* const doubted = arena_array(arena, n_lines, sizeof(int64_t));
  const char** const repaired = arena_array(arena, n_lines, sizeof(char*));
  const char** const judged = arena_array(arena, n_lines, sizeof(char*));
  if (!all || !seq || !since || !helped || !newest || !doubted || !repaired || !judged) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  size_t n_all = 0;
  for (int l = 0; l < s->plant->n_lines; ++l) {
    since[l] = plugged_seq(s, fold, l);
    doubted[l] = doubted_seq(s, fold, l);
  }
  for (size_t i = 0; i < n; ++i) {
    const FoldFact* const f = fold->readings.facts[i];
    Seen now;
    if (!speaks_for(s, &f->body) || is_judgement(&f->body)) {
      continue;
    }
    if (!situation_read(s, &f->body, &now)) {
      TRY(st, leave_aside(s, arena, &f->body));
      continue;
    }
    if (f->fact.seq <= since[now.line] ||
        (f->fact.seq <= doubted[now.line] && situation_is_sound(s, &now))) {
      continue;
    }
    now.seq = f->fact.seq;
    all[n_all] = now;
    seq[n_all++] = f->fact.seq;
    newest[now.line] = f->fact.seq;
    if (now.check.sort == CHECK_SWAP && now.key == SWAP_BETTER) {
      helped[now.line] = f->fact.seq;
      repaired[now.line] = now.item;
    }
  }
  for (size_t i = 0; i < fold->plugged.n_facts; ++i) {
    const FoldFact* const f = fold->plugged.facts[i];
    Seen now;
    if (speaks_for(s, &f->body) && plugged_seen(s, &f->body, &now)) {
      all[n_all] = now;
      seq[n_all++] = f->fact.seq;
      newest[now.line] = f->fact.seq > newest[now.line] ? f->fact.seq : newest[now.line];
    }
  }
  Seen* const seen = all; // Kept in place: never more than were read
  for (size_t i = 0; i < n_all; ++i) {
    const int line = all[i].line;
    const bool later = newest[line] > helped[line];
    if (helped[line] && later) {
      repaired[line] = NULL;
    }
    if (!helped[line] || !later || seq[i] > helped[line]) {
      seen[s->n_seen++] = all[i];
    }
  }
  s->seen = seen;
  s->repaired_by = repaired;
  keep_judgements(s, fold, helped, judged);
  return STATUS_OK;
}

// What a reading says of the copper it was made on: +1 for it, -1 against it, 0 nothing.
static int
word_on(const FactBody* body)
{
  static const struct {
    const char *check, *good, *quiet; ///< Anything else is against it
  } words[] = {{"level", "normal", NULL},
               {"hum", NULL, "none"},
               {"crackle", NULL, "none"},
               {"seen", "yes", NULL},
               {"flex", "passes", NULL}};
  if (text_begins(body->check, "swap")) {
    return text_same(body->reading, "better") ? 1 : 0;
  }
  for (size_t i = 0; i < sizeof(words) / sizeof(words[0]); ++i) {
    if (text_same(body->check, words[i].check)) {
      return words[i].good && text_same(body->reading, words[i].good)     ? 1
             : words[i].quiet && text_same(body->reading, words[i].quiet) ? 0
                                                                          : -1;
    }
  }
  return 0;
}

// Sockets that somebody said are taken, and lines whose newest word of the day is a complaint: no
// way round leads over them, whatever the act it was said in.
static Status
read_words(Situation* s, Arena* arena, const Fold* fold)
{
  bool* const told = arena_array(arena, (size_t)s->plant->n_lines, sizeof(bool));
  bool* const accused = arena_array(arena, (size_t)s->plant->n_lines, sizeof(bool));
  if (!told || !accused) {
    return STATUS_NO_MEMORY;
  }
  for (size_t i = 0; i < fold->plugged.n_facts; ++i) {
    const FactBody* const b = &fold->plugged.facts[i]->body;
    int line = -1;
    int desk = -1;
    if (b->what && speaks_for(s, b) && situation_place(s->plant, b->place, &line, &desk) &&
        line >= 0 && desk < 0) {
      told[line] = b->what[0] != '\0';
    }
  }
  for (size_t i = 0; i < fold->readings.n_facts; ++i) { // By line, then in order
    const FactBody* const b = &fold->readings.facts[i]->body;
    const int line = plant_line(s->plant, b->line);
    const int word = line >= 0 && b->check && b->reading ? word_on(b) : 0;
    if (word != 0) {
      accused[line] = word < 0;
    }
  }
  s->is_told = told;
  s->is_accused = accused;
  return STATUS_OK;
}

static Status
read_facts(Situation* s, Arena* arena, const Fold* fold)
{
  const Plant* const plant = s->plant;
  Status st = STATUS_OK;
  const char** const taped = arena_array(arena, fold->taped_off.n_facts, sizeof(char*));
  const char** const refused = arena_array(arena, fold->steps.n_facts, sizeof(char*));
  int* const moved = arena_array(arena, (size_t)plant->n_lines, sizeof(int));
  bool* const stays = arena_array(arena, (size_t)plant->n_lines, sizeof(bool));
  if (!taped || !refused || !moved || !stays) {
    return STATUS_NO_MEMORY;
  }
  for (size_t i = 0; i < fold->taped_off.n_facts; ++i) {
    taped[s->n_taped++] = fold->taped_off.facts[i]->body.item;
  }
  for (size_t i = 0; i < fold->steps.n_facts; ++i) {
    const FoldFact* const f = fold->steps.facts[i];
    // Who is busy hands a step back; that says nothing about the step
    const bool is_busy = f->body.why && !strcmp(f->body.why, "busy");
    if (f->fact.kind == FACT_STEP_REFUSED && f->body.step && !is_busy) {
      refused[s->n_refused] = arena_format(arena, "%d|%s", f->body.line, f->body.step);
      if (!refused[s->n_refused++]) {
        return STATUS_NO_MEMORY;
      }
    }
  }
  TRY(st, loan_list(arena, plant, fold, &s->loans, &s->n_loans));
  for (int l = 0; l < plant->n_lines; ++l) {
    const Loan* const loan = loan_of(s->loans, s->n_loans, s->act, l);
    moved[l] = loan ? loan->to : -1;
    stays[l] = loan && loan->desk >= 0;
  }
  TRY(st, read_words(s, arena, fold));
  s->taped = taped;
  s->refused = refused;
  s->moved_to = moved;
  s->stays_plugged = stays;
  return read_readings(s, arena, fold);
}

Status
situation_new(Arena* arena, const Plant* plant, int act, const Fold* fold, Situation** situation)
{
  static const Fold nothing;
  Situation* const s = arena_array(arena, 1, sizeof(Situation));
  if (!s) {
    return STATUS_NO_MEMORY;
  }
  s->plant = plant;
  s->act = act;
  s->left_aside = "";
  s->open_now = arena_array(arena, (size_t)plant->n_lines, sizeof(double*));
  if (!s->open_now) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  TRY(st, predictor_new(arena, plant, act, &s->predictor));
  TRY(st, read_facts(s, arena, fold ? fold : &nothing));
  TRY(st, build_model(arena, s));
  for (int i = 0; i < s->n_seen; ++i) {
    TRY(st, take(s, arena, i));
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    if (s->judged[l]) {
      TRY(st, take_judgement(s, arena, l));
    }
  }
  TRY(st, belief_settle(s->belief));
  *situation = s;
  return STATUS_OK;
}

Status
situation_after(Arena* arena, const Situation* base, const Seen* seen, int n_seen,
                Situation** situation)
{
  Situation* const s = arena_array(arena, 1, sizeof(Situation));
  const char** const repaired = arena_array(arena, (size_t)base->plant->n_lines, sizeof(char*));
  if (!s || !repaired) {
    return STATUS_NO_MEMORY;
  }
  *s = *base;
  s->seen = seen;
  s->n_seen = n_seen;
  for (int i = 0; i < n_seen; ++i) {
    const bool helped = seen[i].check.sort == CHECK_SWAP && seen[i].key == SWAP_BETTER;
    repaired[seen[i].line] = helped ? seen[i].item : NULL;
  }
  s->repaired_by = repaired;
  s->open_now = arena_array(arena, (size_t)base->plant->n_lines, sizeof(double*));
  if (!s->open_now) {
    return STATUS_NO_MEMORY;
  }
  Status st = STATUS_OK;
  TRY(st, build_model(arena, s));
  for (int i = 0; i < n_seen; ++i) {
    TRY(st, take(s, arena, i));
  }
  TRY(st, belief_settle(s->belief));
  *situation = s;
  return STATUS_OK;
}

int
situation_act(const Plant* plant, const Fold* fold, const char* today, const char* clock, int line)
{
  if (fold && fold->act) {
    return fold->act->body.act && fold->act->body.act[0] ? plant_act(plant, fold->act->body.act)
                                                         : -1;
  }
  for (int a = 0; a < plant->n_acts; ++a) {
    const Act* const act = &plant->acts[a];
    if (act->date[0] && today && clock && strcmp(act->date, today) == 0 && act->end[0] &&
        strcmp(clock, act->end) < 0) {
      return a; // On now, or the next to come on the day of the show
    }
  }
  for (int a = 0; a < plant->n_acts; ++a) {
    if (line < 0 || plant_input(plant, a, line)) {
      return a;
    }
  }
  return plant->n_acts ? 0 : -1;
}

bool
situation_is_complaint(const Situation* s, const Seen* seen)
{
  const Input* const input = plant_input(s->plant, s->act, seen->line);
  switch (seen->check.sort) {
    case CHECK_LEVEL:
      return seen->key != LEVEL_NORMAL;
    case CHECK_LOOK: // Settings, or another source in the socket than its own
      return seen->check.desk >= 0 ? seen->key != LOOK_FINE
                                   : seen->key != PREDICT_SOURCE + seen->line;
    case CHECK_LAMPS: // Behind a passive split a healthy line shows a fault's picture too
    case CHECK_VOLTS:
      return false;
    case CHECK_SENT: { // A good cable alone has one picture, whatever the line
      const Condition good = {
        seen->line, seen->line, seen->line, {PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0}};
      const View* view = NULL;
      return predictor_view(s->predictor, &good, &view) == STATUS_OK &&
             seen->key != predict_shows(s->plant, seen->line, seen->check, view, NULL);
    }
    case CHECK_POLARITY: // Turned round on purpose is right
      return (seen->key == POLARITY_INVERTED) !=
             (!seen->is_walked && plant_is_inverted(s->plant, input));
    case CHECK_SWAP:
      return seen->key == SWAP_SAME;
    default: // The first word of every other check is the healthy one
      return seen->key != 0;
  }
}

static int
more_likely(const void* a, const void* b)
{
  const Suspect* const x = a;
  const Suspect* const y = b;
  return x->prob != y->prob ? (x->prob > y->prob ? -1 : 1) : x->row - y->row;
}

// Once something speaks against the line the question is what it is, no longer whether: an
// unheard-of row of misreadings is left to "something else".
static bool
is_complained_of(const Situation* s, int line)
{
  bool complaint = false;
  for (int i = 0; i < s->n_seen; ++i) {
    complaint = complaint || (s->seen[i].line == line && situation_is_complaint(s, &s->seen[i]));
  }
  return complaint;
}

static bool
is_in_order(const Situation* s, int line, int row)
{
  const BeliefHyp hyp = belief_hyp(s->belief, line, row);
  return !row_state(s, &hyp) && s->locals[line][hyp.local].mode == FAULT_NONE;
}

Status
situation_before(const Situation* s, Arena* arena, int line, const double** prob, int* n)
{
  const int n_rows = belief_n_hyps(s->belief, line);
  double* const before = arena_array(arena, (size_t)n_rows, sizeof(double));
  Belief* start = NULL;
  Status st = STATUS_OK;
  if (!before) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, belief_init(arena, &s->model, &start));
  belief_hyps(start, line, before);
  double sum = 0.0;
  for (int row = 0; row < n_rows; ++row) {
    before[row] = is_complained_of(s, line) && is_in_order(s, line, row) ? 0.0 : before[row];
    sum += before[row];
  }
  for (int row = 0; row < n_rows && sum > 0.0; ++row) {
    before[row] /= sum;
  }
  *prob = before;
  *n = n_rows;
  return STATUS_OK;
}

Status
situation_suspects(const Situation* s, Arena* arena, int line, const Suspect** suspects, int* n)
{
  const int n_rows = belief_n_hyps(s->belief, line);
  double* const prob = arena_array(arena, (size_t)n_rows, sizeof(double));
  Suspect* const list = arena_array(arena, (size_t)n_rows, sizeof(Suspect));
  if (!prob || !list) {
    return STATUS_NO_MEMORY;
  }
  const bool complaint = is_complained_of(s, line);
  belief_hyps(s->belief, line, prob);
  int n_list = 0;
  double sum = 0.0;
  for (int row = 0; row < n_rows; ++row) {
    const BeliefHyp hyp = belief_hyp(s->belief, line, row);
    const SharedState* const state = row_state(s, &hyp);
    const Suspect now = {
      row, state, state ? shared_touch(state, line)->fault : s->locals[line][hyp.local], prob[row]};
    if (!complaint || now.state || now.fault.mode != FAULT_NONE) {
      list[n_list++] = now;
      sum += now.prob;
    }
  }
  for (int i = 0; i < n_list && sum > 0.0; ++i) {
    list[i].prob /= sum;
  }
  qsort(list, (size_t)n_list, sizeof(Suspect), more_likely);
  *suspects = list;
  *n = n_list;
  return STATUS_OK;
}

bool
situation_same_part(const Suspect* a, const Suspect* b)
{
  if ((a->state != NULL) != (b->state != NULL)) {
    return false;
  }
  const SharedState* const x = a->state;
  const SharedState* const y = b->state;
  return x ? x->sort == y->sort && x->box == y->box && x->desk == y->desk && x->from == y->from &&
               x->to == y->to
           : a->fault.part == b->fault.part && a->fault.desk == b->fault.desk;
}

const Suspect*
situation_top(const Suspect list[], int n, double* sum)
{
  const Suspect* top = NULL;
  *sum = 0.0;
  for (int i = 0; i < n; ++i) {
    if (!list[i].state &&
        (list[i].fault.mode == FAULT_NONE || list[i].fault.mode == FAULT_SOMETHING_ELSE)) {
      continue;
    }
    double all = 0.0;
    for (int k = 0; k < n; ++k) {
      all += situation_same_part(&list[i], &list[k]) ? list[k].prob : 0.0;
    }
    if (all > *sum + 1e-12) {
      *sum = all;
      top = &list[i]; // The list is by odds: the part's likeliest fault comes first
    }
  }
  return top;
}
