// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/proof.h"

#include "base/text.h"
#include "day/pass.h"

static const char* const state_words[STATE_COUNT] = {"unused",   "proven",  "moved",
                                                     "unproven", "suspect", "bad"};

const char*
proof_word(LineState state)
{
  return state < STATE_COUNT ? state_words[state] : "";
}

int
proof_heard(const Situation* s, int line, int desk)
{
  int word = -1;
  bool is_of_bare = false; // The word is of the bare line: a good one takes back such a bad one
  for (int i = 0; i < s->n_seen; ++i) {
    const Seen* const seen = &s->seen[i];
    if (seen->line != line || seen->check.desk != desk) {
      continue;
    }
    if (seen->is_walked) { // What plays in the act was not heard by it
      const bool bad = situation_is_complaint(s, seen);
      word = bad ? 1 : word == 1 && is_of_bare ? -1 : word;
      is_of_bare = bad || is_of_bare;
      continue;
    }
    is_of_bare = false;
    switch (seen->check.sort) {
      case CHECK_LEVEL:
        word = seen->key != LEVEL_NORMAL;
        break;
      case CHECK_HUM:
        word = seen->key != HUM_NONE ? 1 : word;
        break;
      case CHECK_CRACKLE:
        word = seen->key != CRACKLE_NONE ? 1 : word;
        break;
      case CHECK_SEEN:
        word = seen->key != SEEN_YES ? 1 : word;
        break;
      default:
        break;
    }
  }
  return word;
}

static bool
loose_not_cleared(const Situation* s, int line)
{
  bool loose = false;
  for (int i = 0; i < s->n_seen; ++i) {
    const Seen* const seen = &s->seen[i];
    if (seen->line == line) {
      loose = loose || (seen->check.sort == CHECK_CRACKLE && seen->key != CRACKLE_NONE);
      loose = loose && !(seen->check.sort == CHECK_FLEX && seen->key == FLEX_PASSES);
    }
  }
  return loose;
}

Status
proof_box(const Situation* s, Arena* arena, int line, const SharedState** box, double* prob)
{
  const Plant* const plant = s->plant;
  const Input* const input = plant_input(plant, s->act, line);
  const bool fed = input && plant->kinds[input->kind].needs_phantom == ANSWER_YES;
  double* const all = arena_array(arena, (size_t)s->n_states, sizeof(double));
  if (!all) {
    return STATUS_NO_MEMORY;
  }
  *box = NULL;
  *prob = 0.0;
  belief_states(s->belief, all);
  for (int i = 0; i < s->n_states; ++i) {
    const SharedState* const state = &s->states[i];
    if (shared_is_of_box(state->sort) && state->box == plant->lines[line].box && all[i] > *prob &&
        (fed || state->sort != SHARED_PHANTOM)) {
      *box = state;
      *prob = all[i];
    }
  }
  return STATUS_OK;
}

static Status
collect(const Situation* s, Arena* arena, int line, LineProof* proof, double* worst, double* all)
{
  const int n = s->model.n_locals[line];
  double* const now = arena_array(arena, (size_t)n, sizeof(double));
  if (!now) {
    return STATUS_NO_MEMORY;
  }
  belief_locals(s->belief, line, now);
  Status st = STATUS_OK;
  *all = 1.0 - now[0];
  for (int i = 1; i < n; ++i) {
    const Fault* const f = &s->locals[line][i];
    char name[24];
    *worst = now[i] > *worst ? now[i] : *worst;
    bool seen = false;
    TRY(st, pass_seen(s, line, f, &seen));
    // One word stands for a contact pair however many parts could have it
    if (seen || f->part == PART_ELSE || f->part == PART_SOURCE) {
      continue;
    }
    (void)catalogue_name(f, name);
    bool said = false;
    for (int k = 0; k < proof->n_not_seen; ++k) {
      said = said || text_same(proof->not_seen[k], name);
    }
    if (!said && proof->n_not_seen < 12) {
      proof->not_seen[proof->n_not_seen] = arena_copy(arena, name);
      if (!proof->not_seen[proof->n_not_seen++]) {
        return STATUS_NO_MEMORY;
      }
    }
  }
  return STATUS_OK;
}

// "monitor desk and broadcast desk not heard"; after what is there, if anything.
static void
add_list(TextOut* out, const char* const names[], int n, const char* what)
{
  for (int i = 0; i < n; ++i) {
    text_add(out, "%s%s",
             i == 0      ? (out->n_bytes ? "; " : "")
             : i + 1 < n ? ", "
                         : " and ",
             names[i]);
  }
  if (n > 0) {
    text_add(out, " %s", what);
  }
}

static const char*
reason(const Situation* s, Arena* arena, int line, const LineProof* proof,
       const SharedState* suspected)
{
  const Plant* const plant = s->plant;
  TextOut out = {.arena = arena};
  bool any = false;
  bool bad = s->repaired_by[line] != NULL;
  for (int i = 0; i < s->n_seen; ++i) {
    any = any || s->seen[i].line == line;
    bad = bad || (s->seen[i].line == line && situation_is_complaint(s, &s->seen[i]));
  }
  if (!any) {
    text_add(&out, "nothing read yet");
    if (suspected) {
      const char* const say = shared_say(arena, plant, s->act, suspected);
      if (!say) {
        return NULL;
      }
      text_add(&out, "; %s", say);
    }
    return text_done(&out);
  }
  const char* names[PLANT_DESKS];
  int n = 0;
  for (int d = 0; d < plant->n_desks; ++d) {
    if (plant->lines[line].desk_input[d] && proof_heard(s, line, d) < 0) {
      names[n++] = plant->desks[d].say;
    }
  }
  add_list(&out, names, n, "not heard");
  if (!bad) { // Else the question is what it is, and nobody asks what else was not looked for
    add_list(&out, proof->not_seen, proof->n_not_seen < 3 ? proof->n_not_seen : 3, "not seen");
  }
  return text_done(&out);
}

// What one desk alone has another way leaves the others where they were.
static bool
runs_elsewhere(const Situation* s, int line, int desk)
{
  const Loan* const loan = loan_of(s->loans, s->n_loans, s->act, line);
  return loan &&
         (loan->desk < 0 || loan->desk == desk || (loan->sort == WAY_SIDE && loan->other == desk));
}

Status
proof_line(const Situation* s, Arena* arena, int line, LineProof* proof)
{
  const Plant* const plant = s->plant;
  LineProof out = {.state = STATE_UNUSED, .say = ""};
  double worst = 0.0;
  double all = 0.0;
  Status st = STATUS_OK;
  TRY(st, collect(s, arena, line, &out, &worst, &all));
  const bool used = s->act < 0 || plant_input(plant, s->act, line) != NULL;
  double of_box = 0.0;
  const SharedState* box = NULL;
  TRY(st, proof_box(s, arena, line, &box, &of_box));
  worst = of_box > worst ? of_box : worst;
  for (int d = 0; d < PLANT_DESKS; ++d) {
    out.at[d] = STATE_UNUSED;
    if (!used || d >= plant->n_desks || plant->lines[line].desk_input[d] == 0) {
      continue;
    }
    const int word = proof_heard(s, line, d);
    if (runs_elsewhere(s, line, d)) {
      out.at[d] = STATE_MOVED;
    } else if (s->repaired_by[line]) {
      out.at[d] = STATE_UNPROVEN; // Sound is back; nobody has read the new part yet
    } else if (word == 1) {
      out.at[d] = STATE_BAD;
    } else if (worst > PROOF_SUSPECT_PROB || all > PROOF_SUSPECT_PROB ||
               loose_not_cleared(s, line)) {
      out.at[d] = STATE_SUSPECT;
    } else {
      out.at[d] = word == 0 && all < PROOF_GOOD_PROB ? STATE_PROVEN : STATE_UNPROVEN;
    }
    out.state = out.at[d] > out.state ? out.at[d] : out.state;
  }
  out.say = used ? reason(s, arena, line, &out, of_box > PROOF_SUSPECT_PROB ? box : NULL)
                 : "no source in this act";
  if (!out.say) {
    return STATUS_NO_MEMORY;
  }
  *proof = out;
  return STATUS_OK;
}
