// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/remains.h"

#include "reason/route.h"

#include <string.h>

static int
box_at(Remains* remains, RemainsBox boxes[], int box)
{
  int i = 0;
  while (i < remains->n_boxes && boxes[i].box != box) {
    ++i;
  }
  if (i == remains->n_boxes) {
    boxes[remains->n_boxes++] = (RemainsBox){.box = box};
  }
  return i;
}

// What may be found: the line's own faults by kind. What touches many lines is drawn by itself.
static Status
read_faults(const Situation* s, Arena* arena, RemainsLine* out)
{
  const int n = s->model.n_locals[out->line];
  double* const odds = arena_array(arena, (size_t)n, sizeof(double));
  if (!odds) {
    return STATUS_NO_MEMORY;
  }
  belief_locals(s->belief, out->line, odds);
  double sum = 0.0;
  for (int i = 1; i < n; ++i) {
    out->kind_prob[mend_kind_of_fault(&s->locals[out->line][i])] += odds[i];
    sum += odds[i];
  }
  out->bad_prob = out->is_bad ? 1.0 : sum;
  double running = 0.0;
  for (int k = 0; k < MEND_KINDS; ++k) {
    running += sum > 0.0 ? out->kind_prob[k] / sum : 1.0 / MEND_KINDS;
    out->kind_prob[k] = running;
  }
  out->kind_prob[MEND_KINDS - 1] = 1.0;
  return STATUS_OK;
}

// Whether every desk has heard it.
static bool
read_desks(const Situation* s, RemainsLine* out)
{
  const Plant* const plant = s->plant;
  int n = 0;
  int n_direct = 0;
  for (int d = 0; d < plant->n_desks; ++d) {
    if (plant->lines[out->line].desk_input[d]) {
      const bool left = proof_heard(s, out->line, d) < 0;
      const bool direct = plant->desks[d].is_direct || plant_is_digital(plant, out->line);
      ++n;
      n_direct += direct;
      out->n_desks += left;
      out->n_direct += left && direct;
    }
  }
  const bool heard = out->n_desks == 0;
  if (heard) { // Heard everywhere, but something is not seen yet, or is wrong
    out->n_desks = n;
    out->n_direct = n_direct;
  }
  out->share = n > 0 ? (double)out->n_desks / n : 1.0;
  out->direct_share = n > 0 ? (double)out->n_direct / n : 1.0;
  return heard;
}

static void
read_states(const Situation* s, const double odds[], Remains* out, RemainsState states[])
{
  for (int i = 1; i < s->n_states; ++i) {
    const SharedState* const state = &s->states[i];
    for (int l = 0; l < out->n_lines && state->sort != SHARED_TESTER; ++l) {
      if (shared_touch(state, out->lines[l].line)) {
        states[out->n_states++] = (RemainsState){odds[i], mend_kind_of_state(state), l};
        break;
      }
    }
  }
}

Status
remains_read(Arena* arena, const Situation* s, Remains* remains)
{
  const Plant* const plant = s->plant;
  RemainsLine* const lines = arena_array(arena, (size_t)plant->n_lines, sizeof(*lines));
  RemainsBox* const boxes = arena_array(arena, (size_t)plant->n_boxes, sizeof(*boxes));
  RemainsState* const states = arena_array(arena, (size_t)s->n_states, sizeof(*states));
  double* const odds = arena_array(arena, (size_t)s->n_states, sizeof(double));
  Remains out = {.situation = s, .lines = lines, .boxes = boxes, .states = states};
  Status st = STATUS_OK;
  if (!lines || !boxes || !states || !odds) {
    return STATUS_NO_MEMORY;
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    LineProof proof;
    TRY(st, proof_line(s, arena, l, &proof));
    if (proof.state == STATE_UNUSED) {
      continue;
    }
    RemainsBox* const box = &boxes[box_at(&out, boxes, plant->lines[l].box)];
    const bool ready = proof.state == STATE_PROVEN || proof.state == STATE_MOVED;
    const bool bad = proof.state == STATE_BAD;
    ++box->n_needed;
    ++out.n_needed;
    box->n_ready += ready;
    box->n_bad += bad;
    out.n_ready += ready;
    out.n_moved += proof.state == STATE_MOVED;
    out.n_bad += bad;
    if (!ready) {
      RemainsLine* const line = &lines[out.n_lines++];
      *line = (RemainsLine){.line = l, .is_bad = bad};
      out.n_heard += read_desks(s, line) && !bad;
      TRY(st, read_faults(s, arena, line));
    }
  }
  belief_states(s->belief, odds);
  read_states(s, odds, &out, states);
  mend_times(plant, out.mend_s);
  *remains = out;
  return STATUS_OK;
}

// The other boxes with work left, in the order they are gone to, behind `first`.
static Status
order_boxes(const Remains* r, Arena* arena, int first, bool is_shortest, int sequence[], int* n)
{
  const Plant* const plant = r->situation->plant;
  int rest[ROUTE_MAX];
  double* const walk_s =
    arena_array(arena, (size_t)(ROUTE_MAX + 1) * (ROUTE_MAX + 1), sizeof(double));
  int n_rest = 0;
  if (!walk_s) {
    return STATUS_NO_MEMORY;
  }
  sequence[(*n)++] = first;
  for (int k = 1; k < r->n_boxes; ++k) { // On from the first one, and round
    const int b = (first + k) % r->n_boxes;
    bool has_work = false;
    for (int i = 0; i < r->n_lines; ++i) {
      has_work = has_work || plant->lines[r->lines[i].line].box == r->boxes[b].box;
    }
    if (has_work && is_shortest && n_rest < ROUTE_MAX) {
      rest[n_rest++] = b;
    } else if (has_work) {
      sequence[(*n)++] = b;
    }
  }
  if (n_rest == 0) {
    return STATUS_OK;
  }
  for (int i = 0; i <= n_rest; ++i) {
    for (int k = 0; k <= n_rest; ++k) {
      const int from = plant->boxes[r->boxes[i < n_rest ? rest[i] : first].box].place;
      const int to = plant->boxes[r->boxes[k < n_rest ? rest[k] : first].box].place;
      walk_s[i * (n_rest + 1) + k] = plant_walk_s(plant, from, to);
    }
  }
  const RouteProblem problem = {.n = n_rest, .walk_s = walk_s};
  Route route;
  Status st = STATUS_OK;
  TRY(st, route_plan(&problem, ROUTE_SHORTEST, arena, &route));
  for (int i = 0; i < n_rest; ++i) {
    sequence[(*n)++] = rest[route.order[i]];
  }
  return STATUS_OK;
}

Status
remains_order(const Remains* r, Arena* arena, int first, int after, bool is_shortest, int order[],
              double walk_s[])
{
  const Plant* const plant = r->situation->plant;
  int* const sequence = arena_array(arena, (size_t)r->n_boxes + 1, sizeof(int));
  int n_boxes = 0;
  int n = 0;
  Status st = STATUS_OK;
  if (!sequence) {
    return STATUS_NO_MEMORY;
  }
  if (r->n_boxes > 0) {
    TRY(st, order_boxes(r, arena, first, is_shortest, sequence, &n_boxes));
  }
  for (int bad = 0; bad <= 1; ++bad) {
    for (int b = 0; b < n_boxes; ++b) {
      for (int round = 0; round <= 1; ++round) { // Behind the last line told, then before it
        for (int i = 0; i < r->n_lines; ++i) {
          const RemainsLine* const line = &r->lines[i];
          const bool before = after >= 0 && line->line < after;
          if (line->is_bad == (bad == 1) && before == (round == 1) &&
              plant->lines[line->line].box == r->boxes[sequence[b]].box) {
            order[n++] = i;
          }
        }
      }
    }
  }
  int box = after >= 0 ? plant->lines[after].box : -1;
  for (int k = 0; k < n; ++k) {
    const int next = plant->lines[r->lines[order[k]].line].box;
    walk_s[k] = box < 0 || box == next
                  ? 0.0
                  : plant_walk_s(plant, plant->boxes[box].place, plant->boxes[next].place);
    box = next;
  }
  return STATUS_OK;
}
