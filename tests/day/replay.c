// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/replay.h"

#include "base/text.h"

#include <string.h>

static const Input*
input_of(const Replay* r, int act, const char* source)
{
  for (int i = 0; i < r->plant->n_inputs; ++i) {
    if (r->plant->inputs[i].act == act && text_same(r->plant->inputs[i].source, source)) {
      return &r->plant->inputs[i];
    }
  }
  return NULL;
}

static const char*
socket_of(const Replay* r, int line)
{
  static char text[40];
  const Line* const l = &r->plant->lines[line];
  (void)snprintf(text, sizeof(text), "%s%d", r->plant->boxes[l->box].name, l->socket);
  return text;
}

void
replay_init(Replay* r, const Plant* plant, int from, int to)
{
  memset(r, 0, sizeof(*r));
  r->plant = plant;
  r->from = from;
  r->to = to;
  r->where = "";
  arena_init(&r->arena, NULL);
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    if (input->act == from && input->line >= 0) {
      r->in[input->line] = input->source;
      // What the list says, and a condenser does not play without
      r->fed[input->line] = input->wants_phantom == ANSWER_YES;
    }
  }
}

void
replay_deinit(Replay* r)
{
  arena_deinit(&r->arena);
}

const Fold*
replay_fold(Replay* r)
{
  Fold* const fold = arena_array(&r->arena, 1, sizeof(*fold));
  Error error = {0};
  if (fold_make(&r->arena, r->facts, r->n_facts, fold, &error) != STATUS_OK) {
    fail_msg("%s", error.text);
  }
  return fold;
}

static void
tell(Replay* r, FactKind kind, const FactBody* body, const char* role)
{
  assert_true(r->n_facts < REPLAY_FACTS);
  assert_int_equal(
    fact_make(&r->arena, kind, body, "2031-06-14T17:52:00Z", "", role, &r->facts[r->n_facts], NULL),
    STATUS_OK);
  r->facts[r->n_facts].seq = (int64_t)r->n_facts + 1;
  ++r->n_facts;
}

// ---- Rules ----

static void
check_muted(const Replay* r, int line, const char* what)
{
  for (int d = 0; d < r->plant->n_desks; ++d) {
    if (r->plant->lines[line].desk_input[d] > 0 && !r->muted[d][line]) {
      fail_msg("%s: %s at %s while the %s has it open", r->where, what, socket_of(r, line),
               r->plant->desks[d].say);
    }
  }
}

static void
check_hands_off(const Replay* r, int line, const char* what)
{
  check_muted(r, line, what);
  if (r->fed[line]) {
    fail_msg("%s: %s at %s with phantom on", r->where, what, socket_of(r, line));
  }
}

static void
pull(Replay* r, int line, const char* source)
{
  check_hands_off(r, line, "pull");
  if (!r->in[line] || (source && !text_same(r->in[line], source))) {
    fail_msg("%s: %s is not in %s, %s is", r->where, source ? source : "a plug", socket_of(r, line),
             r->in[line] ? r->in[line] : "nothing");
  }
  r->in[line] = NULL;
}

static void
put_in(Replay* r, int line, const char* source)
{
  check_hands_off(r, line, "plug");
  if (r->in[line]) {
    fail_msg("%s: %s goes into %s, where %s is", r->where, source, socket_of(r, line), r->in[line]);
  }
  if (r->taped[line]) {
    fail_msg("%s: %s goes into %s, which is taped off", r->where, source, socket_of(r, line));
  }
  for (int l = 0; l < r->plant->n_lines; ++l) {
    if (r->in[l] && text_same(r->in[l], source)) {
      fail_msg("%s: %s goes into a second socket", r->where, source);
    }
  }
  const Input* const input = input_of(r, r->to, source);
  if (!input) {
    fail_msg("%s: %s is no source of the act", r->where, source);
  }
  r->in[line] = source;
}

void
replay_tape(Replay* r, const char* item)
{
  tell(r, FACT_TAPED_OFF, &(FactBody){.item = arena_copy(&r->arena, item)}, "");
}

void
replay_tape_tail(Replay* r, int box)
{
  const char* const item = arena_format(&r->arena, "tail %s", r->plant->boxes[box].name);
  for (int l = 0; l < r->plant->n_lines; ++l) {
    r->taped[l] = r->taped[l] || r->plant->lines[l].box == box;
  }
  replay_tape(r, item);
}

static const char*
line_numbers(Replay* r, const int lines[], int n)
{
  TextOut out = {.arena = &r->arena};
  for (int i = 0; i < n; ++i) {
    text_add(&out, "%s%d", i ? " " : "", r->plant->lines[lines[i]].number);
  }
  return text_done(&out);
}

static void
tell_step(Replay* r, const char* word, const char* at, const char* lines, const char* role)
{
  tell(r, FACT_CHANGE_STEP,
       &(FactBody){.from = r->plant->acts[r->from].name,
                   .act = r->plant->acts[r->to].name,
                   .step = word,
                   .at = at,
                   .detail = lines},
       role);
}

void
replay_hear(Replay* r, const Change* change, const ChangeStep* step)
{
  (void)change;
  for (int i = 0; i < step->n_lines; ++i) {
    if (step->does == CHANGE_DOES_MUTE) {
      r->muted[step->desk][step->lines[i]] = true;
    } else {
      r->fed[step->lines[i]] = false;
    }
  }
  tell_step(r, step->does == CHANGE_DOES_MUTE ? "heard mute" : "heard phantom off",
            r->plant->desks[step->desk].name, line_numbers(r, step->lines, step->n_lines),
            "stage patch");
}

void
replay_anyway(Replay* r, const Change* change, const ChangeStep* step)
{
  tell_step(r, "anyway", NULL, line_numbers(r, &step->line, 1), change->people[step->person].role);
}

void
replay_take(Replay* r, const Change* change, const ChangePerson* person)
{
  int lines[2 * REPLAY_LINES];
  int n = 0;
  for (int i = 0; i < person->n_offer; ++i) {
    lines[n++] = change->steps[person->offer[i]].line;
  }
  tell_step(r, "take", person->name, line_numbers(r, lines, n), person->role);
}

void
replay_check_cables(const Replay* r)
{
  double need_m[REPLAY_LINES];
  bool used[1000] = {false};
  int n = 0;
  for (int l = 0; l < r->plant->n_lines; ++l) {
    const Input* const input = r->in[l] ? input_of(r, r->to, r->in[l]) : NULL;
    const int own = input && input->line >= 0 ? r->plant->lines[input->line].box : -1;
    const int here = r->plant->lines[l].box;
    if (own >= 0 && own != here) { // 5 m, and 0.8 m for each second between the boxes
      need_m[n++] =
        5.0 + 0.8 * plant_walk_s(r->plant, r->plant->boxes[own].place, r->plant->boxes[here].place);
    }
  }
  for (; n > 0; --n) {
    int most = 0;
    int longest = -1;
    for (int i = 1; i < n; ++i) {
      most = need_m[i] > need_m[most] ? i : most;
    }
    for (int i = 0; i < r->plant->n_items; ++i) {
      const Item* const item = &r->plant->items[i];
      if (text_begins(item->kind, "mic") && text_same(item->state, "good") && !used[i] &&
          (longest < 0 || item->length_m > r->plant->items[longest].length_m)) {
        longest = i;
      }
    }
    if (longest < 0 || r->plant->items[longest].length_m < need_m[most] - 1e-9) {
      fail_msg("%s: no cable of %g m is left", r->where, need_m[most]);
      return;
    }
    used[longest] = true;
    need_m[most] = need_m[n - 1];
  }
}

static void
play_desk(Replay* r, const Change* change, const ChangeStep* step)
{
  for (int i = 0; i < step->n_lines; ++i) {
    const int line = step->lines[i];
    if (step->does == CHANGE_DOES_MUTE) {
      r->muted[step->desk][line] = true;
      continue;
    }
    if (!r->muted[step->desk][line]) {
      fail_msg("%s: %s sets %s unmuted", r->where, step->key, socket_of(r, line));
    }
    if (step->does == CHANGE_DOES_OFF || step->does == CHANGE_DOES_ON) {
      check_muted(r, line, "phantom");
    }
    if (step->does == CHANGE_DOES_OFF || step->does == CHANGE_DOES_ON) {
      // Common practice, no source: only the direct side of a passive split gives phantom
      assert_true(r->plant->desks[step->desk].is_direct);
      r->fed[line] = step->does == CHANGE_DOES_ON;
    }
    const Input* const here = r->in[line] ? input_of(r, r->to, r->in[line]) : NULL;
    const Kind* const kind = here ? &r->plant->kinds[here->kind] : NULL;
    if (step->does == CHANGE_DOES_ON &&
        (!kind || kind->phantom_harmless != ANSWER_YES || kind->is_ribbon)) {
      fail_msg("%s: phantom on at %s, where %s is", r->where, socket_of(r, line),
               r->in[line] ? r->in[line] : "nothing");
    }
  }
  TextOut lines = {.arena = &r->arena};
  for (int i = 0; i < step->n_lines; ++i) {
    text_add(&lines, "%s%d", i ? " " : "", r->plant->lines[step->lines[i]].number);
  }
  const FactBody body = {.from = r->plant->acts[r->from].name,
                         .act = r->plant->acts[r->to].name,
                         .step =
                           step->does == CHANGE_DOES_PATCH ? "patch" : change_does_word(step->does),
                         .at = r->plant->desks[step->desk].name,
                         .detail = text_done(&lines)};
  tell(r, FACT_CHANGE_STEP, &body, change->people[step->person].role);
}

static void
play_hand(Replay* r, const Change* change, const ChangeStep* step)
{
  const Plug* const plug = &change->plugged.plugs[step->plug];
  const char* const source = plug->next ? plug->next->source : plug->was->source;
  const char* const was = plug->was ? plug->was->source : source;
  const char* const act = r->plant->acts[r->to].name;
  const char* const from = r->plant->acts[r->from].name;
  const char* const socket = arena_copy(&r->arena, socket_of(r, step->line));
  if (step->does == CHANGE_DOES_STRIKE || step->does == CHANGE_DOES_HOLD) {
    pull(r, step->line, NULL);
    tell(r, FACT_PLUGGED, &(FactBody){.place = socket, .what = "", .act = act, .from = from},
         change->people[step->person].role);
    return;
  }
  if (step->does == CHANGE_DOES_CABLE) {
    const Input* const input = input_of(r, r->to, source);
    pull(r, step->line, NULL);
    put_in(r, step->line, source);
    tell(r, input->line == step->line ? FACT_PLUGGED : FACT_MOVED,
         input->line == step->line
           ? &(FactBody){.place = socket, .what = source, .act = act, .from = from}
           : &(FactBody){.line = r->plant->lines[input->line].number,
                         .way = socket,
                         .act = act,
                         .from = from},
         change->people[step->person].role);
    return;
  }
  if (r->in[step->line]) { // Out with what is not needed first
    pull(r, step->line, NULL);
  }
  if (step->does == CHANGE_DOES_MOVE) {
    assert_int_equal(r->plant->lines[step->from].box, r->plant->lines[step->line].box);
    pull(r, step->from, r->in[step->from] && text_same(r->in[step->from], source) ? source : was);
  }
  put_in(r, step->line, source);
  const Input* const input = input_of(r, r->to, source);
  if (input->line == step->line) {
    tell(r, FACT_PLUGGED, &(FactBody){.place = socket, .what = source, .act = act, .from = from},
         change->people[step->person].role);
  } else {
    tell(r, FACT_MOVED,
         &(FactBody){
           .line = r->plant->lines[input->line].number, .way = socket, .act = act, .from = from},
         change->people[step->person].role);
  }
}

// Nobody is at two places, what comes before is done before, no two are at one socket.
static void
check_times(const Replay* r, const Change* change)
{
  for (int p = 0; p < change->n_people; ++p) {
    const ChangePerson* const person = &change->people[p];
    double free_s = 0.0;
    int place = person->place;
    for (int i = 0; i < person->n_steps; ++i) {
      const ChangeStep* const step = &change->steps[person->steps[i]];
      if (step->is_done) {
        continue;
      }
      assert_int_equal(step->person, p);
      if (step->start_s < free_s - 1e-6 ||
          step->seconds < plant_walk_s(r->plant, place, step->place) - 1e-6) {
        fail_msg("%s: %s is in two places at %s", r->where, person->name, step->key);
      }
      for (int k = 0; k < step->n_after; ++k) {
        const ChangeStep* const before = &change->steps[step->after[k]];
        assert_true(before->is_done ||
                    before->start_s + before->seconds <= step->start_s + step->seconds + 1e-6);
      }
      free_s = step->start_s + step->seconds;
      place = step->place;
    }
  }
}

int
replay_play(Replay* r, const Change* change, int n)
{
  bool* const played = arena_array(&r->arena, (size_t)change->n_steps, sizeof(bool));
  int n_played = 0;
  check_times(r, change);
  while (n_played < n) {
    int next = -1;
    for (int i = 0; i < change->n_steps; ++i) {
      const ChangeStep* const step = &change->steps[i];
      const double end_s = step->start_s + step->seconds;
      if (!step->is_done && !played[i] &&
          (next < 0 || end_s < change->steps[next].start_s + change->steps[next].seconds - 1e-9)) {
        next = i;
      }
    }
    if (next < 0) {
      break;
    }
    const ChangeStep* const step = &change->steps[next];
    for (int k = 0; k < step->n_after; ++k) {
      if (!change->steps[step->after[k]].is_done && !played[step->after[k]]) {
        fail_msg("%s: %s comes before %s", r->where, step->key, change->steps[step->after[k]].key);
      }
    }
    if (step->desk >= 0) {
      play_desk(r, change, step);
    } else {
      play_hand(r, change, step);
    }
    played[next] = true;
    ++n_played;
  }
  return n_played;
}

void
replay_check_end(const Replay* r, int n_short)
{
  int n_missing = 0;
  for (int i = 0; i < r->plant->n_inputs; ++i) {
    const Input* const input = &r->plant->inputs[i];
    if (input->act != r->to) {
      continue;
    }
    int at = -1;
    for (int l = 0; l < r->plant->n_lines; ++l) {
      // What stays is called as before by the stage, as nobody touched it
      const Input* const was = r->in[l] ? input_of(r, r->from, r->in[l]) : NULL;
      const bool kept = r->in[l] && !input_of(r, r->to, r->in[l]) && was && was->line == l &&
                        input->line == l && was->kind == input->kind;
      if (r->in[l] && (text_same(r->in[l], input->source) || kept)) {
        at = l;
      }
    }
    n_missing += at < 0;
    if (at >= 0 && input->wants_phantom == ANSWER_YES && !r->fed[at]) {
      fail_msg("%s: %s has no phantom", r->where, input->source);
    }
    if (at >= 0 && input->wants_phantom == ANSWER_NO && r->fed[at]) {
      fail_msg("%s: %s has phantom", r->where, input->source);
    }
    if (at >= 0 && r->taped[at]) {
      fail_msg("%s: %s is on what is taped off", r->where, input->source);
    }
  }
  if (n_missing != n_short) {
    fail_msg("%s: %d sources are not plugged, %d were said to be short", r->where, n_missing,
             n_short);
  }
  for (int l = 0; l < r->plant->n_lines; ++l) {
    const Input* const was = r->in[l] ? input_of(r, r->from, r->in[l]) : NULL;
    bool wanted = r->in[l] && input_of(r, r->to, r->in[l]);
    for (int i = 0; i < r->plant->n_inputs && was; ++i) {
      const Input* const next = &r->plant->inputs[i];
      wanted = wanted || (next->act == r->to && next->line == l && next->kind == was->kind);
    }
    if (r->in[l] && !wanted) {
      fail_msg("%s: %s is still in %s", r->where, r->in[l], socket_of(r, l));
    }
  }
}
