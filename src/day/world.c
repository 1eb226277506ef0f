// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/world.h"

#include "day/repair.h"

struct WorldUrn {
  const Situation* base;
  WorldCause* causes;
  double* prob; ///< [n] running sums
  int n;
};

static const Fault no_fault = {PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0};

static Condition
condition_of(const World* w, int line)
{
  return line == w->cause.line
           ? w->condition
           : situation_supposed(w->plant, w->cause.act, line, w->cause.state, &no_fault);
}

static Status
view_of(const World* w, int line, const View** view, const View** known)
{
  const Condition now = condition_of(w, line);
  const Condition good = {line, PREDICT_KNOWN_GOOD, line, now.fault};
  Status st = STATUS_OK;
  TRY(st, predictor_view(w->predictor, &now, view));
  return predictor_view(w->predictor, &good, known);
}

static World
hidden(const Situation* base, const WorldCause* cause, uint64_t seed)
{
  return (World){
    base->plant, base->predictor, *cause,
    situation_supposed(base->plant, base->act, cause->line, cause->state, &cause->fault), seed};
}

static void
put(WorldUrn* urn, const WorldCause* cause, double prob)
{
  urn->causes[urn->n] = *cause;
  urn->prob[urn->n] = (urn->n ? urn->prob[urn->n - 1] : 0.0) + prob;
  ++urn->n;
}

Status
world_urn(Arena* arena, const Situation* base, const WorldUrn** urn)
{
  const Plant* const plant = base->plant;
  size_t n_most = 0;
  for (int l = 0; l < plant->n_lines; ++l) {
    n_most += (size_t)base->model.n_locals[l];
  }
  for (int i = 0; i < base->n_states; ++i) {
    n_most += (size_t)base->states[i].n_touches;
  }
  WorldUrn* const made = arena_array(arena, 1, sizeof(WorldUrn));
  if (!made) {
    return STATUS_NO_MEMORY;
  }
  *made = (WorldUrn){base, arena_array(arena, n_most, sizeof(WorldCause)),
                     arena_array(arena, n_most, sizeof(double)), 0};
  if (!made->causes || !made->prob) {
    return STATUS_NO_MEMORY;
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    for (int i = 0; i < base->model.n_locals[l] && plant_input(plant, base->act, l); ++i) {
      const Fault* const fault = &base->locals[l][i];
      if (fault->mode != FAULT_NONE && fault->mode != FAULT_SOMETHING_ELSE) {
        const WorldCause cause = {base->act, l, *fault, NULL};
        put(made, &cause, fault->prob);
      }
    }
  }
  for (int i = 1; i < base->n_states; ++i) {
    const SharedState* const state = &base->states[i];
    const int first = made->n;
    // Whichever of its lines is complained of first: all alike.
    for (int k = 0; k < state->n_touches && state->sort != SHARED_TESTER; ++k) {
      const WorldCause cause = {base->act, state->touches[k].line, no_fault, state};
      if (plant_input(plant, base->act, cause.line)) {
        put(made, &cause, state->prob);
      }
    }
    const int n_in = made->n - first;
    for (int k = 0; k < n_in; ++k) {
      made->prob[first + k] =
        (first ? made->prob[first - 1] : 0.0) + state->prob * (k + 1) / (double)n_in;
    }
  }
  if (made->n == 0) {
    return STATUS_NO_SOLUTION;
  }
  *urn = made;
  return STATUS_OK;
}

/// Uniform in [0, 1), the same for the same question to the same world.
static double
chance_of(const World* w, int line, int what, int which, int desk)
{
  Rng rng;
  rng_init(&rng, w->seed);
  const uint64_t start = rng_bits(&rng);
  const uint64_t beside = (uint64_t)(unsigned)(line - w->cause.line) & 0xFFFFu;
  rng_init(&rng, start ^ (beside << 48) ^ ((uint64_t)(unsigned)what << 40) ^
                   ((uint64_t)(unsigned)which << 20) ^ (uint64_t)(unsigned)(desk + 2));
  return rng_unit(&rng);
}

static Status
check_on(const World* w, int line, Check check, int* key)
{
  const View* view = NULL;
  const View* known = NULL;
  Status st = STATUS_OK;
  TRY(st, view_of(w, line, &view, &known));
  int keys[PREDICT_MAX_KEYS + PREDICT_MAX_WORDS];
  double prob[PREDICT_MAX_KEYS + PREDICT_MAX_WORDS];
  int n = predict_keys(w->plant, line, check, view, known, keys);
  const int n_shown = n;
  for (int word = 0; word < predict_words(w->plant, line, check); ++word) {
    bool is_there = false;
    for (int i = 0; i < n_shown; ++i) {
      is_there = is_there || keys[i] == word;
    }
    if (!is_there) {
      keys[n++] = word;
    }
  }
  double shown = 0.0;
  double words = 0.0;
  for (int i = 0; i < n; ++i) {
    prob[i] = predict_prob(w->plant, line, check, view, known, keys[i]);
    *(i < n_shown ? &shown : &words) += prob[i];
  }
  // Every misreading falls on a word, be it one that was meant for a number nobody lists
  for (int i = n_shown; i < n && words > 0.0 && shown < 1.0; ++i) {
    prob[i] *= (1.0 - shown) / words;
  }
  const double sum = n > n_shown && words > 0.0 && shown < 1.0 ? 1.0 : shown + words;
  double at = chance_of(w, line, 1, (int)check.sort, check.desk) * sum;
  int i = 0;
  while (i + 1 < n && at >= prob[i]) {
    at -= prob[i++];
  }
  *key = keys[i];
  return STATUS_OK;
}

Status
world_check(const World* w, Check check, int* key)
{
  return check_on(w, w->cause.line, check, key);
}

int
world_others(const World* w, int lines[], int most)
{
  const SharedState* const state = w->cause.state;
  const int n_lines = w->plant->n_lines;
  int n = 0;
  for (int i = 1; state && i < n_lines && n < most; ++i) {
    const int line = (w->cause.line + i) % n_lines;
    if (shared_touch(state, line) && plant_input(w->plant, w->cause.act, line)) {
      lines[n++] = line;
    }
  }
  return n;
}

Status
world_complaint(const World* w, Check* check, int* key)
{
  return world_complaint_on(w, w->cause.line, check, key);
}

Status
world_complaint_on(const World* w, int line, Check* check, int* key)
{
  static const struct {
    CheckSort sort;
    int fine;
  } heard[] = {{CHECK_LEVEL, LEVEL_NORMAL}, {CHECK_HUM, HUM_NONE}, {CHECK_CRACKLE, CRACKLE_NONE}};
  for (size_t i = 0; i < sizeof(heard) / sizeof(heard[0]); ++i) {
    for (int d = 0; d < w->plant->n_desks; ++d) {
      const Check now = {heard[i].sort, d};
      int shows = heard[i].fine;
      if (!w->plant->lines[line].desk_input[d]) {
        continue;
      }
      Status st = STATUS_OK;
      TRY(st, check_on(w, line, now, &shows));
      if (shows != heard[i].fine) {
        *check = now;
        *key = shows;
        return STATUS_OK;
      }
    }
  }
  return STATUS_NO_SOLUTION;
}

Status
world_draw(const WorldUrn* urn, Rng* rng, uint64_t seed, int desk, World* world)
{
  enum { TRIES = 1000 }; // Most causes are noticed; a plant where none is ends here all the same
  for (int try = 0; try < TRIES; ++try) {
    const double at = rng_unit(rng) * urn->prob[urn->n - 1];
    int i = 0;
    while (i + 1 < urn->n && urn->prob[i] <= at) {
      ++i;
    }
    Check check;
    int key = 0;
    const World w = hidden(urn->base, &urn->causes[i], seed + (uint64_t)try);
    const Status st = world_complaint(&w, &check, &key);
    if (st == STATUS_OK && (desk < 0 || check.desk == desk)) {
      *world = w;
      return STATUS_OK;
    }
    if (st != STATUS_OK && st != STATUS_NO_SOLUTION) {
      return st;
    }
  }
  return STATUS_NO_SOLUTION;
}

Status
world_hide(const Situation* base, const WorldCause* cause, uint64_t seed, World* world)
{
  const World w = hidden(base, cause, seed);
  Check check;
  int key = 0;
  Status st = STATUS_OK;
  TRY(st, world_complaint(&w, &check, &key));
  *world = w;
  return STATUS_OK;
}

bool
world_repair(const World* w, RepairSort repair, int desk, int attempt)
{
  return repair_fixes(repair, desk, w->cause.state, &w->cause.fault) &&
         chance_of(w, w->cause.line, 2 + attempt, (int)repair, desk) < REPAIR_HELPS_PROB;
}

bool
world_goes_round(const World* w, int over_line, bool takes_plug)
{
  const SharedState* const state = w->cause.state;
  const PartSort part = w->cause.fault.part;
  if (over_line < 0) {
    return state && (state->sort == SHARED_LEAD || state->sort == SHARED_LEAD_HELD);
  }
  if (state) { // Plugs are seen to be wrong when one is taken in hand
    return shared_moves_plugs(state->sort) || !shared_touch(state, over_line);
  }
  const bool comes_along = part == PART_SOURCE || part == PART_THROUGH || part == PART_CABLE ||
                           (part == PART_DESK && w->cause.fault.mode == FAULT_MUTED);
  return !takes_plug || !comes_along; // The channel is patched to the other line, and stays muted
}

bool
world_is_part(const World* w, const Suspect* suspect)
{
  const Suspect cause = {0, w->cause.state, w->cause.fault, 1.0};
  return situation_same_part(&cause, suspect);
}
