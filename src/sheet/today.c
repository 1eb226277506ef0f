// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/today.h"

#include "base/text.h"
#include "day/words.h"

#include <string.h>

typedef struct {
  Arena* arena;
  const Plant* listed;
  const Fold* fold;
  int act;
  const Loan* loans;
  int n_loans;
  Plugged plugged;
  Allotment allotment;
  Today out;
  const char** says;
} Work;

static Status
say(Work* w, const char* text)
{
  w->says[w->out.n_says++] = text;
  return text ? STATUS_OK : STATUS_NO_MEMORY;
}

// ---- Ways round ----

static Status
take_loans(Work* w)
{
  const Plant* const plant = w->listed;
  bool* const lent = arena_array(w->arena, (size_t)plant->n_lines, sizeof(bool));
  Status st = lent ? STATUS_OK : STATUS_NO_MEMORY;
  for (int i = 0; i < w->n_loans && st == STATUS_OK; ++i) {
    const Loan* const loan = &w->loans[i];
    const bool holds = loan->act < 0 || loan->act == w->act;
    for (int l = 0; l < plant->n_lines; ++l) {
      lent[l] = lent[l] || loan_occupies(loan, l);
    }
    if (loan->sort != WAY_NONE && (holds || loan_is_due(loan, w->act))) {
      const char* const what = loan_say(w->arena, plant, loan);
      st = !what ? STATUS_NO_MEMORY
                 : say(w, arena_format(
                            w->arena, holds ? "On a way round: %s." : "Not given back: %s.", what));
    }
  }
  w->out.lent = lent;
  return st;
}

// ---- What goes where ----

// Why a source is not where its list has it, in the words of the change.
static const char*
why_elsewhere(const Work* w, int plug, int listed, int line)
{
  const Plant* const plant = &w->out.plant;
  const Input* const input = w->plugged.plugs[plug].next;
  const WordsFill fill = {.source = input->source,
                          .socket = allot_socket(w->arena, plant, line),
                          .line = arena_format(w->arena, "%d", plant->lines[line].number),
                          .item = plant->acts[w->act].name,
                          .found = listed >= 0 ? w->allotment.taped[listed] : NULL};
  if (!fill.socket || !fill.line) {
    return NULL;
  }
  return words_say(w->arena,
                   w->allotment.why[plug] == ALLOT_INSTEAD && fill.found ? WORDS_CHANGE_WHY_INSTEAD
                                                                         : WORDS_CHANGE_WHY_CHOSEN,
                   &fill);
}

// Put each source on the socket the change gives it.
static Status
lay_targets(Work* w)
{
  Plant* const plant = &w->out.plant;
  Input* const inputs = arena_array(w->arena, (size_t)plant->n_inputs, sizeof(Input));
  if (!inputs) {
    return STATUS_NO_MEMORY;
  }
  memcpy(inputs, plant->inputs, (size_t)plant->n_inputs * sizeof(Input));
  for (int i = 0; i < w->plugged.n_plugs; ++i) {
    const Plug* const plug = &w->plugged.plugs[i];
    const int to = w->allotment.target_at[i];
    if (!plug->next) {
      continue;
    }
    Input* const input = &inputs[plug->next - plant->inputs];
    const int listed = plug->leg == 0 ? plug->next->line : plant_line(plant, plug->next->y_line);
    if (to == listed) {
      continue;
    }
    if (plug->leg == 0) {
      input->line = to;
    } else {
      input->y_line = to >= 0 ? plant->lines[to].number : 0;
    }
    ++w->out.n_changed;
    Status st = STATUS_OK;
    if (to >= 0) {
      TRY(st, say(w, why_elsewhere(w, i, listed, to)));
    }
  }
  plant->inputs = inputs;
  return STATUS_OK;
}

static Status
take_change(Work* w)
{
  const Plant laid = w->out.plant; // Plugs point into it
  const AllotOptions options = {.closed = w->out.lent};
  ChangeMove* moves = NULL;
  Status st = STATUS_OK;
  TRY(st, plugged_now(w->arena, &laid, w->fold, w->act - 1, w->act, &w->plugged));
  TRY(st, allot_sockets(w->arena, &laid, w->fold, &w->plugged, &options, &w->allotment));
  TRY(st, change_moves(w->arena, &laid, &w->plugged, &w->allotment, &moves, &w->out.n_moves));
  w->out.moves = moves;
  w->out.plugs = w->plugged.plugs;
  w->out.taped = w->allotment.taped;
  const size_t most = (size_t)(w->out.n_says + w->plugged.n_plugs + w->allotment.n_shorts);
  w->says = arena_grow(w->arena, w->says, (size_t)w->out.n_says, most, sizeof(*w->says));
  if (!w->says) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, lay_targets(w));
  for (int i = 0; i < w->allotment.n_shorts; ++i) {
    TRY(st, say(w, w->allotment.shorts[i].why));
  }
  return STATUS_OK;
}

Status
today_make(Arena* arena, const Plant* plant, const Fold* fold, int act, Today* today)
{
  Work w = {.arena = arena, .listed = plant, .fold = fold, .act = act};
  Status st = STATUS_OK;
  TRY(st, loan_list(arena, plant, fold, &w.loans, &w.n_loans));
  w.says = arena_array(arena, (size_t)w.n_loans + 1, sizeof(*w.says));
  if (!w.says) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, take_loans(&w));
  TRY(st, loan_lay(arena, plant, w.loans, w.n_loans, act, &w.out.plant));
  if (act >= 0) {
    TRY(st, take_change(&w));
  } else {
    w.out.taped = arena_array(arena, (size_t)plant->n_lines, sizeof(*w.out.taped));
    st = w.out.taped ? STATUS_OK : STATUS_NO_MEMORY;
  }
  w.out.says = w.says;
  if (st == STATUS_OK) {
    *today = w.out;
  }
  return st;
}

void
today_at(const Today* today, int line, const ChangeMove** out, const ChangeMove** in)
{
  *out = NULL;
  *in = NULL;
  for (int i = 0; i < today->n_moves; ++i) {
    const ChangeMove* const move = &today->moves[i];
    if (move->line == line) {
      *(move->does == CHANGE_STRIKE ? out : in) = move;
    }
  }
}
