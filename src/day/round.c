// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/round.h"

#include "base/text.h"
#include "reason/route.h"

#include <stdlib.h>
#include <string.h>

typedef struct {
  const Situation* s;
  const Prove* prove;
  const RoundAsk* ask;
  Arena* arena;
  bool may[PASS_WAYS];
  int n_lines;
  unsigned char** sees; ///< [n_lines][its locals] a bit a way, 0 = seen already or by none
  bool** is_left;       ///< [n_lines][its locals] nothing has shown it away
  double** now;         ///< [n_lines][its locals]
} Walk;

static bool
takes(const Walk* w, int line, PassWay way)
{
  const Plant* const plant = w->s->plant;
  const bool used = w->s->act < 0 || plant_input(plant, w->s->act, line) != NULL ||
                    (pass_is_bare(way) && plant->lines[line].is_spare);
  if (!used || !pass_reaches(w->s, line, way, w->ask->desk)) {
    return false;
  }
  for (int i = 0; i < w->prove->n_lines && w->prove->has_way && w->prove->way == way; ++i) {
    const ProveLine* const l = &w->prove->lines[i];
    if (l->line == line && (l->is == PROVE_GOOD || l->is == PROVE_BAD)) {
      return false;
    }
  }
  return true;
}

static Status
look_at_line(Walk* w, int line)
{
  const Situation* const s = w->s;
  const int n = s->model.n_locals[line];
  Status st = STATUS_OK;
  w->sees[line] = arena_array(w->arena, (size_t)n, 1);
  w->is_left[line] = arena_array(w->arena, (size_t)n, sizeof(bool));
  w->now[line] = arena_array(w->arena, (size_t)n, sizeof(double));
  if (!w->sees[line] || !w->is_left[line] || !w->now[line]) {
    return STATUS_NO_MEMORY;
  }
  belief_locals(s->belief, line, w->now[line]);
  for (int i = 0; i < n; ++i) {
    const Fault* const f = &s->locals[line][i];
    bool seen = false;
    if (f->part == PART_ELSE) {
      continue;
    }
    TRY(st, pass_seen(s, line, f, &seen));
    w->is_left[line][i] = !seen;
  }
  for (int k = 0; k < PASS_WAYS; ++k) {
    const PassWay way = (PassWay)k;
    if (w->may[k] && takes(w, line, way)) {
      TRY(st, pass_would_see_all(s, line, pass_check(way, w->ask->desk), pass_is_bare(way),
                                 w->is_left[line], w->sees[line], (unsigned char)(1u << k)));
    }
  }
  return STATUS_OK;
}

// What a way would find in a box of what no way before it takes, and over how many lines.
static double
finds_of(const Walk* w, int box, PassWay way, unsigned taken, int* n_lines)
{
  const Plant* const plant = w->s->plant;
  double sum = 0.0;
  *n_lines = 0;
  for (int l = 0; l < w->n_lines; ++l) {
    if (plant->lines[l].box != box || !takes(w, l, way)) {
      continue;
    }
    *n_lines += 1;
    for (int i = 0; i < w->s->model.n_locals[l]; ++i) {
      const unsigned sees = w->sees[l][i];
      sum += (sees >> way & 1u) && !(sees & taken) ? w->now[l][i] : 0.0;
    }
  }
  return sum;
}

// The stops of one box: the way that finds most a second, then what is left by the next best.
static void
add_stops(const Walk* w, int box, RoundStop* stops, int* n_stops)
{
  unsigned taken = 0;
  for (;;) {
    RoundStop best = {.box = -1};
    double best_rate = 0.0;
    for (int k = 0; k < PASS_WAYS; ++k) {
      int n = 0;
      const double finds =
        w->may[k] && !(taken >> k & 1u) ? finds_of(w, box, (PassWay)k, taken, &n) : 0.0;
      const double seconds = n * pass_line_s(w->s->plant, (PassWay)k);
      const double least = taken ? ROUND_LEAST_FINDS : 0.0; // A box is gone through once at least
      if (finds > 0.0 && finds >= least && finds / seconds > best_rate) {
        best_rate = finds / seconds;
        best = (RoundStop){box, (PassWay)k, n, finds, 0.0, seconds, 0.0};
      }
    }
    if (best.box < 0 || *n_stops == ROUTE_MAX) {
      return;
    }
    taken |= 1u << best.way;
    stops[(*n_stops)++] = best;
  }
}

// ---- The walk ----

static Status
walk_from(const Walk* w, const RoundStop* stops, int n, int start, Route* route)
{
  const Plant* const plant = w->s->plant;
  const size_t side = (size_t)n + 1;
  double* const walk_s = arena_array(w->arena, side * side, sizeof(double));
  double* const handle_s = arena_array(w->arena, (size_t)n, sizeof(double));
  double* const weight = arena_array(w->arena, (size_t)n, sizeof(double));
  if (!walk_s || !handle_s || !weight) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i <= n; ++i) {
    const int from = i < n ? plant->boxes[stops[i].box].place : start;
    for (int k = 0; k <= n; ++k) {
      const int to = k < n ? plant->boxes[stops[k].box].place : start;
      walk_s[(size_t)i * side + (size_t)k] = from >= 0 ? plant_walk_s(plant, from, to) : 0.0;
    }
    if (i < n) {
      handle_s[i] = stops[i].seconds;
      weight[i] = stops[i].finds;
    }
  }
  const RouteProblem problem = {n, walk_s, handle_s, weight, false};
  return route_plan(&problem, ROUTE_SOONEST, w->arena, route);
}

static bool
is_on_stage(const Plant* plant, const NextPerson* person)
{
  for (int d = 0; d < plant->n_desks; ++d) {
    if (person->home == plant->desks[d].place) {
      return false;
    }
  }
  return true;
}

// The person whose walk finds soonest; two who stand at one place have the same.
static Status
best_walk(const Walk* w, const RoundStop* stops, int n, Route* route, const char** who)
{
  int tried[POLICY_MAX_PEOPLE];
  int n_tried = 0;
  Status st = STATUS_OK;
  *who = "";
  for (int i = 0; i < w->ask->n_people && n_tried < POLICY_MAX_PEOPLE; ++i) {
    const NextPerson* const person = &w->ask->people[i];
    bool known = person->is_busy || !is_on_stage(w->s->plant, person);
    for (int k = 0; k < n_tried; ++k) {
      known = known || tried[k] == person->place;
    }
    if (known) {
      continue;
    }
    Route one;
    tried[n_tried++] = person->place;
    TRY(st, walk_from(w, stops, n, person->place, &one));
    if (n_tried == 1 || one.waited < route->waited) {
      *route = one;
      *who = person->role;
    }
  }
  return n_tried ? STATUS_OK
                 : walk_from(w, stops, n, n ? w->s->plant->boxes[stops[0].box].place : -1, route);
}

static Status
put_in_order(const Walk* w, const RoundStop* stops, int n, const Route* route, Round* round)
{
  RoundStop* const list = arena_array(w->arena, (size_t)n, sizeof(RoundStop));
  if (!list) {
    return STATUS_NO_MEMORY;
  }
  double before = 0.0;
  for (int i = 0; i < n; ++i) {
    list[i] = stops[route->order[i]];
    list[i].done_s = route->found_s[i];
    list[i].walk_s = route->found_s[i] - before - list[i].seconds;
    list[i].walk_s = list[i].walk_s > 1e-6 ? list[i].walk_s : 0.0; // Less is rounding
    before = route->found_s[i];
    round->finds += list[i].finds;
  }
  round->stops = list;
  round->n_stops = n;
  round->seconds = before;
  round->is_best = route->is_exact;
  return STATUS_OK;
}

// ---- What stays ----

typedef struct {
  const char* name;
  double prob;
  double most; ///< Its likeliest line
  int line;
  const Fault* fault;
} Stays;

static int
by_prob(const void* a_, const void* b_)
{
  const Stays* const a = a_;
  const Stays* const b = b_;
  return a->prob != b->prob ? (a->prob > b->prob ? -1 : 1) : strcmp(a->name, b->name);
}

static Status
cheapest(const Walk* w, const Stays* stays, const char** say)
{
  PassLine line;
  Status st = STATUS_OK;
  TRY(st, pass_line(w->s, w->arena, stays->line, &line));
  *say = "";
  for (int i = 0; i < line.n; ++i) {
    if (line.faults[i].fault == stays->fault && line.faults[i].best >= 0) {
      *say = pass_check_say(w->arena, w->s->plant, &line.checks[line.faults[i].best]);
    }
  }
  return *say ? STATUS_OK : STATUS_NO_MEMORY;
}

static Status
list_unproven(const Walk* w, unsigned ways_of_box[], Round* round)
{
  enum { MOST = 64 };
  Stays list[MOST] = {{0}};
  int n = 0;
  const Plant* const plant = w->s->plant;
  Status st = STATUS_OK;
  for (int l = 0; l < w->n_lines; ++l) {
    if (w->s->act >= 0 && !plant_input(plant, w->s->act, l)) {
      continue;
    }
    for (int i = 0; i < w->s->model.n_locals[l]; ++i) {
      const Fault* const f = &w->s->locals[l][i];
      char name[24];
      int at = 0;
      if (!w->is_left[l][i] || (w->sees[l][i] & ways_of_box[plant->lines[l].box])) {
        continue;
      }
      (void)catalogue_name(f, name);
      while (at < n && strcmp(list[at].name, name) != 0) {
        ++at;
      }
      if (at == MOST) {
        continue;
      }
      if (at == n) {
        list[n++] = (Stays){arena_copy(w->arena, name), 0.0, 0.0, l, f};
        if (!list[at].name) {
          return STATUS_NO_MEMORY;
        }
      }
      list[at].prob += w->now[l][i];
      if (w->now[l][i] > list[at].most) {
        list[at].most = w->now[l][i];
        list[at].line = l;
        list[at].fault = f;
      }
    }
  }
  qsort(list, (size_t)n, sizeof(Stays), by_prob);
  n = n < ROUND_UNPROVEN ? n : ROUND_UNPROVEN;
  RoundUnproven* const out = arena_array(w->arena, (size_t)n, sizeof(RoundUnproven));
  if (!out) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < n; ++i) {
    out[i] = (RoundUnproven){list[i].name, list[i].prob, ""};
    TRY(st, cheapest(w, &list[i], &out[i].say));
  }
  round->unproven = out;
  round->n_unproven = n;
  return STATUS_OK;
}

Status
round_plan(const Situation* s, const Prove* prove, Arena* arena, const RoundAsk* ask, Round* round)
{
  const Plant* const plant = s->plant;
  const size_t n_lines = (size_t)plant->n_lines;
  Walk w = {.s = s, .prove = prove, .ask = ask, .arena = arena, .n_lines = plant->n_lines};
  RoundStop* const stops = arena_array(arena, ROUTE_MAX, sizeof(RoundStop));
  unsigned* const ways = arena_array(arena, (size_t)plant->n_boxes, sizeof(unsigned));
  w.sees = arena_array(arena, n_lines, sizeof(*w.sees));
  w.is_left = arena_array(arena, n_lines, sizeof(*w.is_left));
  w.now = arena_array(arena, n_lines, sizeof(*w.now));
  if (!stops || !ways || !w.sees || !w.is_left || !w.now) {
    return STATUS_NO_MEMORY;
  }
  for (int k = 0; k < PASS_WAYS; ++k) {
    w.may[k] = k != PASS_DESK_VOLTS && // Nobody walks for it
               !pass_refusal(s, (PassWay)k) && !(ask->nobody_answers && pass_has_ear((PassWay)k));
  }
  Status st = STATUS_OK;
  for (int l = 0; l < plant->n_lines; ++l) {
    TRY(st, look_at_line(&w, l));
  }
  int n = 0;
  for (int b = 0; b < plant->n_boxes; ++b) {
    add_stops(&w, b, stops, &n);
  }
  for (int i = 0; i < n; ++i) {
    ways[stops[i].box] |= 1u << stops[i].way;
  }
  Round out = {.who = ""};
  Route route = {0};
  TRY(st, best_walk(&w, stops, n, &route, &out.who));
  TRY(st, put_in_order(&w, stops, n, &route, &out));
  TRY(st, list_unproven(&w, ways, &out));
  *round = out;
  return STATUS_OK;
}
