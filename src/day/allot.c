// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/allot.h"

#include "day/allot_build.h"

#include "base/text.h"
#include "day/need.h"
#include "day/words.h"
#include "fault/paper.h"
#include "reason/assign.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/*
  The rows of the assignment are the plugs that have no socket yet, its columns the sockets nobody
  has a right to. Each rule is one line of `set_costs`.
*/

#define SHORTER_M 0.01

// Room for one problem after another.
typedef struct {
  unsigned char* allowed;
  short *cost, *without;
  bool* fixed;
} Grid;

enum { T_SHORT, T_BENT, T_MOVED, T_METRES, T_NEAR, TIERS };

// What is the same for a source wherever it goes.
typedef struct {
  const Input* input;
  int listed; ///< Line its list names; -1 = none
  int home;   ///< Box
  bool is_vocal, is_di, needs_phantom;
  bool has_line; ///< Some act has its name on a line
  bool* fixed;   ///< [n_lines] on this one
} Row;

static int
listed_line(const Plant* plant, const Plug* plug)
{
  return plug->leg == 0 ? plug->next->line : plant_line(plant, plug->next->y_line);
}

// `fixed` [n_lines] is the caller's.
static Row
row_of(const AllotBuild* w, int plug, bool* fixed)
{
  const Plant* const plant = w->plant;
  const Input* const input = w->p->plugs[plug].next;
  const Kind* const kind = &plant->kinds[input->kind];
  Row row = {.input = input,
             .listed = listed_line(plant, &w->p->plugs[plug]),
             .home = allot_home_box(plant, input),
             .is_vocal = need_is_voice(plant, input),
             .is_di = !kind->is_microphone && kind->has_jack,
             .needs_phantom = paper_needs_phantom(plant, input),
             .fixed = fixed};
  memset(fixed, 0, (size_t)plant->n_lines * sizeof(bool));
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const other = &plant->inputs[i];
    if (other->line >= 0 && text_same(other->source, input->source)) {
      row.has_line = true;
      fixed[other->line] = true;
    }
  }
  return row;
}

static bool
gets_phantom(const Plant* plant, int line)
{
  for (int d = 0; d < plant->n_desks; ++d) {
    if (plant->lines[line].desk_input[d] > 0 && paper_phantom_gets_there(plant, d, line)) {
      return true;
    }
  }
  return false;
}

static bool
bends_spare(const AllotBuild* w, const Row* row, int line)
{
  return w->plant->lines[line].is_spare && row->listed != line;
}

static bool
bends_vocal(const Row* row, int line)
{
  return row->is_vocal && row->has_line && !row->fixed[line];
}

// Rules that a source on this line bends.
static int
n_bent(const AllotBuild* w, const Row* row, int line)
{
  const bool far = row->is_di && row->home >= 0 && row->home != w->plant->lines[line].box;
  return bends_vocal(row, line) + far + bends_spare(w, row, line);
}

// ---- The assignment ----

// Whether the plug that is in a socket now may stay there and serve this one.
static bool
stays(const AllotBuild* w, int plug, int line)
{
  const Plug* const want = &w->p->plugs[plug];
  const int here = w->p->now[line];
  if (here < 0 || w->p->now_at[plug] >= 0) {
    return here == plug;
  }
  const Plug* const has = &w->p->plugs[here];
  return !has->next && has->was && has->leg == want->leg && plugged_may_stay(has->was, want->next);
}

static void
set_costs(const AllotBuild* w, const Row* row, int plug, int line, unsigned char* allowed,
          short* cost)
{
  const Plant* const plant = w->plant;
  const Line* const l = &plant->lines[line];
  const double metres = allot_cable_m(plant, row->home, l->box);
  const int off = row->listed < 0 ? 0
                  : plant->lines[row->listed].box != l->box
                    ? 100
                    : abs(plant->lines[row->listed].socket - l->socket);
  const bool closed = w->options->closed && w->options->closed[line];
  *allowed = !w->out.taped[line] && !closed &&
             !(row->needs_phantom && !gets_phantom(plant, line)) &&
             CABLE_OWN_BOX_M + metres <= w->reach_m[plug];
  cost[T_SHORT] = 0;
  cost[T_BENT] = (short)n_bent(w, row, line);
  cost[T_MOVED] = !stays(w, plug, line);
  cost[T_METRES] = (short)(metres > 9999.0 ? 9999.0 : metres + 0.5);
  cost[T_NEAR] = (short)((w->after[line] ? 200 : 0) + (off < 100 ? off : 100));
}

// The least cost in all, each plug with cables of its reach at most.
static Status
solve(AllotBuild* w, Grid* g, Assignment* best)
{
  for (int r = 0; r < w->n_rows; ++r) {
    const Row row = row_of(w, w->rows[r], g->fixed);
    g->without[r * TIERS + T_SHORT] = (short)need_of(w->plant, row.input);
    for (int c = 0; c < w->n_columns; ++c) {
      const size_t at = (size_t)r * (size_t)w->n_columns + (size_t)c;
      set_costs(w, &row, w->rows[r], w->columns[c], &g->allowed[at], &g->cost[at * TIERS]);
    }
  }
  const AssignProblem problem = {w->n_rows, w->n_columns, TIERS, g->allowed, g->cost, g->without};
  return assign_best(&problem, w->arena, best);
}

static void
place(AllotBuild* w, const Assignment* best)
{
  for (int r = 0; r < w->n_rows; ++r) {
    const int was = w->out.target_at[w->rows[r]];
    if (was >= 0) {
      w->out.target[was] = -1;
      w->out.target_at[w->rows[r]] = -1;
    }
  }
  for (int r = 0; r < w->n_rows; ++r) {
    if (best->column[r] >= 0) {
      const int line = w->columns[best->column[r]];
      w->out.target[line] = w->rows[r];
      w->out.target_at[w->rows[r]] = line;
    }
  }
}

// Whether a row is to be asked before another to do with a shorter cable: what is easiest missed,
// the last of the list first.
static bool
gives_way_before(const AllotBuild* w, int a, int b)
{
  const int weight_a = need_of(w->plant, w->p->plugs[w->rows[a]].next);
  const int weight_b = need_of(w->plant, w->p->plugs[w->rows[b]].next);
  return weight_a != weight_b ? weight_a < weight_b : a > b;
}

static bool
is_less(const Assignment* a, const Assignment* b)
{
  for (int t = 0; t < TIERS; ++t) {
    if (a->cost[t] != b->cost[t]) {
      return a->cost[t] < b->cost[t];
    }
  }
  return false;
}

enum { ASKED = 8 }; ///< Sources of which the one is sought that can best do with a shorter cable

// More cables of a length are needed than there are: one source of those that have one does with
// less, the one by which the whole gets worse least.
static Status
shorten_one(AllotBuild* w, Grid* g, double metres, bool* found)
{
  bool* const asked = arena_array(w->arena, (size_t)w->n_rows, sizeof(bool));
  int chosen = -1;
  Assignment least;
  Status st;
  if (!asked) {
    return STATUS_NO_MEMORY;
  }
  for (int k = 0; k < ASKED; ++k) {
    int row = -1;
    Assignment tried;
    for (int r = 0; r < w->n_rows; ++r) {
      const int line = w->out.target_at[w->rows[r]];
      const bool has = line >= 0 && w->need_m[line] >= metres - 1e-9 && !asked[r];
      row = has && (row < 0 || gives_way_before(w, r, row)) ? r : row;
    }
    if (row < 0) {
      break;
    }
    asked[row] = true;
    double* const reach_m = &w->reach_m[w->rows[row]];
    const double had_m = *reach_m;
    *reach_m = metres - SHORTER_M;
    TRY(st, solve(w, g, &tried));
    *reach_m = had_m;
    if (chosen < 0 || is_less(&tried, &least)) {
      chosen = row;
      least = tried;
    }
  }
  *found = chosen >= 0;
  if (*found) {
    w->reach_m[w->rows[chosen]] = metres - SHORTER_M;
    place(w, &least);
  }
  return STATUS_OK;
}

static Status
assign(AllotBuild* w)
{
  const size_t n = (size_t)w->n_rows * (size_t)w->n_columns;
  Grid g = {.allowed = arena_array(w->arena, n, 1),
            .cost = arena_array(w->arena, n * TIERS, sizeof(short)),
            .without = arena_array(w->arena, (size_t)w->n_rows * TIERS, sizeof(short)),
            .fixed = arena_array(w->arena, (size_t)w->plant->n_lines, sizeof(bool))};
  Assignment best;
  double metres = 0.0;
  bool goes_on = true;
  Status st;
  if (!g.allowed || !g.cost || !g.without || !g.fixed) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, solve(w, &g, &best));
  place(w, &best);
  while (goes_on && allot_cable_excess(w, &metres) > 0) {
    TRY(st, shorten_one(w, &g, metres, &goes_on));
  }
  return STATUS_OK;
}

// Sockets by right: where the list has it, unless all may be chosen anew, and then still the
// voices.
static void
place_listed(AllotBuild* w)
{
  for (int i = 0; i < w->p->n_plugs; ++i) {
    const Plug* const plug = &w->p->plugs[i];
    w->out.target_at[i] = -1;
    if (!plug->next || (w->options->left_out && w->options->left_out[i])) {
      continue;
    }
    const int line = listed_line(w->plant, plug);
    const bool fixed = line >= 0 && (!w->options->is_free || need_is_voice(w->plant, plug->next));
    w->out.why[i] = line < 0 || !fixed ? ALLOT_CHOSEN : ALLOT_LISTED;
    if (fixed && !w->out.taped[line] && w->out.target[line] < 0) {
      w->out.target[line] = i;
      w->out.target_at[i] = line;
    } else {
      w->out.why[i] = fixed ? ALLOT_INSTEAD : ALLOT_CHOSEN;
      w->rows[w->n_rows++] = i;
    }
  }
  for (int l = 0; l < w->plant->n_lines; ++l) {
    if (w->out.target[l] < 0) {
      w->columns[w->n_columns++] = l;
    }
  }
}

// A plug that stays and serves another source from now on is one thing and not two.
static void
join(AllotBuild* w)
{
  for (int l = 0; l < w->plant->n_lines; ++l) {
    const int plug = w->out.target[l];
    const int here = w->p->now[l];
    if (plug >= 0 && here >= 0 && here != plug && w->p->before_at[plug] < 0 && stays(w, plug, l)) {
      w->p->plugs[here].next = w->p->plugs[plug].next;
      w->p->plugs[plug].next = NULL;
      w->out.target[l] = here;
      w->out.target_at[here] = l;
      w->out.target_at[plug] = -1;
      w->out.why[here] = w->out.why[plug];
    }
  }
}

// ---- What had to give way ----

static const char*
bent_say(AllotBuild* w, const Row* row, int line)
{
  const Plant* const plant = w->plant;
  const WordsFill fill = {.source = row->input->source,
                          .socket = allot_socket(w->arena, plant, line),
                          .box = row->home >= 0 ? plant->boxes[row->home].name : ""};
  const Sentence sentence = bends_spare(w, row, line) ? WORDS_CHANGE_BENT_SPARE
                            : bends_vocal(row, line)  ? WORDS_CHANGE_BENT_VOCAL
                                                      : WORDS_CHANGE_BENT_DI;
  return fill.socket ? words_say(w->arena, sentence, &fill) : NULL;
}

// Whether there is a cable of that length left for a plug.
static bool
is_in_reach(const AllotBuild* w, int plug, double metres)
{
  int n_used = 0;
  for (int l = 0; l < w->plant->n_lines; ++l) {
    n_used += w->need_m[l] >= metres - 1e-9;
  }
  return metres <= CABLE_OWN_BOX_M || !w->are_listed ||
         (metres <= w->reach_m[plug] && n_used < allot_cable_count(w, metres));
}

// The cable a source without a socket would need to the nearest that is free; 0 = none is free.
static double
missing_m(const AllotBuild* w, int plug)
{
  const Plant* const plant = w->plant;
  const Input* const input = w->p->plugs[plug].next;
  const int home = allot_home_box(plant, input);
  double best_m = 0.0;
  for (int l = 0; l < plant->n_lines; ++l) {
    const double metres = CABLE_OWN_BOX_M + allot_cable_m(plant, home, plant->lines[l].box);
    const bool serves = w->out.target[l] < 0 && !w->out.taped[l] &&
                        (!paper_needs_phantom(plant, input) || gets_phantom(plant, l));
    if (serves && is_in_reach(w, plug, metres)) {
      return 0.0;
    }
    if (serves && (best_m <= 0.0 || metres < best_m)) {
      best_m = metres;
    }
  }
  return best_m;
}

static const char*
metres_say(AllotBuild* w, double metres)
{
  return arena_format(w->arena, "%.0f", ceil(metres));
}

// What the cables have to do with it: a source that does with a shorter one, or too few in all.
static void
tell_cables(AllotBuild* w, const char** bent, const double reach_m[])
{
  int n_plugs = 0;
  for (int i = 0; i < w->p->n_plugs; ++i) {
    const int line = w->out.target_at[i];
    n_plugs += line >= 0 && w->p->plugs[i].leg == 0;
    if (line >= 0 && w->reach_m[i] < reach_m[i]) {
      const WordsFill fill = {.source = w->p->plugs[i].next->source,
                              .socket = allot_socket(w->arena, w->plant, line),
                              .item = metres_say(w, w->reach_m[i])};
      bent[w->out.n_bent++] =
        fill.socket && fill.item ? words_say(w->arena, WORDS_CHANGE_BENT_CABLE, &fill) : NULL;
      w->failed = w->failed || !bent[w->out.n_bent - 1];
    }
  }
  const int n_own = allot_cable_count(w, CABLE_OWN_BOX_M);
  if (w->are_listed && n_own < n_plugs) {
    const WordsFill fill = {.input = arena_format(w->arena, "%d", n_plugs),
                            .item = metres_say(w, CABLE_OWN_BOX_M),
                            .found = arena_format(w->arena, "%d", n_own)};
    bent[w->out.n_bent++] = fill.input && fill.item && fill.found
                              ? words_say(w->arena, WORDS_CHANGE_FEW_CABLES, &fill)
                              : NULL;
    w->failed = w->failed || !bent[w->out.n_bent - 1];
  }
}

static const char*
short_say(AllotBuild* w, int plug, const Input* twin)
{
  const double metres = missing_m(w, plug);
  const WordsFill fill = {.source = w->p->plugs[plug].next->source,
                          .first = twin ? twin->source : "",
                          .item = metres > 0.0 ? metres_say(w, metres) : ""};
  return !fill.item ? NULL
                    : words_say(w->arena,
                                metres > 0.0 ? WORDS_CHANGE_SHORT_CABLE
                                : twin       ? WORDS_CHANGE_SHORT_SHARE
                                             : WORDS_CHANGE_SHORT,
                                &fill);
}

static Status
tell(AllotBuild* w, const double reach_m[])
{
  const size_t room = 2 * (size_t)w->p->n_plugs + 1;
  const char** const bent = arena_array(w->arena, room, sizeof(char*));
  AllotShort* const shorts = arena_array(w->arena, room, sizeof(AllotShort));
  bool* const fixed = arena_array(w->arena, (size_t)w->plant->n_lines, sizeof(bool));
  if (!bent || !shorts || !fixed) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < w->p->n_plugs; ++i) {
    const Plug* const plug = &w->p->plugs[i];
    const int line = w->out.target_at[i];
    const bool out = w->options->left_out && w->options->left_out[i];
    if (!plug->next || out) {
      continue;
    }
    w->out.n_moved += line >= 0 && w->p->before_at[i] != line;
    if (line >= 0 && w->out.why[i] != ALLOT_LISTED) {
      const Row row = row_of(w, i, fixed);
      if (n_bent(w, &row, line) > 0) {
        bent[w->out.n_bent++] = bent_say(w, &row, line);
        w->failed = w->failed || !bent[w->out.n_bent - 1];
      }
    } else if (line < 0) {
      const Input* const twin = need_twin(w->plant, plug->next);
      const char* const why = short_say(w, i, twin);
      shorts[w->out.n_shorts++] = (AllotShort){i, twin, why};
      w->failed = w->failed || !why;
    }
  }
  tell_cables(w, bent, reach_m);
  w->out.bent = bent;
  w->out.shorts = shorts;
  return w->failed ? STATUS_NO_MEMORY : STATUS_OK;
}

Status
allot_sockets(Arena* arena, const Plant* plant, const Fold* fold, Plugged* plugged,
              const AllotOptions* options, Allotment* allotment)
{
  const size_t n_plugs = (size_t)plugged->n_plugs;
  const size_t n_lines = (size_t)plant->n_lines;
  AllotBuild w = {.arena = arena, .plant = plant, .fold = fold, .p = plugged, .options = options};
  Status st;
  w.out.target = arena_array(arena, n_lines, sizeof(int));
  w.out.target_at = arena_array(arena, n_plugs, sizeof(int));
  w.out.why = arena_array(arena, n_plugs, sizeof(AllotWhy));
  w.rows = arena_array(arena, n_plugs, sizeof(int));
  w.columns = arena_array(arena, n_lines, sizeof(int));
  w.after = arena_array(arena, n_lines, sizeof(bool));
  if (!w.out.target || !w.out.target_at || !w.out.why || !w.rows || !w.columns || !w.after) {
    return STATUS_NO_MEMORY;
  }
  for (size_t l = 0; l < n_lines; ++l) {
    w.out.target[l] = -1;
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    if (plugged->to >= 0 && plant->inputs[i].act == plugged->to + 1 && plant->inputs[i].line >= 0) {
      w.after[plant->inputs[i].line] = true;
    }
  }
  TRY(st, allot_cable_init(&w));
  double* const reach_m = arena_array(arena, n_plugs, sizeof(double));
  if (!reach_m) {
    return STATUS_NO_MEMORY;
  }
  memcpy(reach_m, w.reach_m, n_plugs * sizeof(double));
  TRY(st, allot_tape(&w));
  place_listed(&w);
  if (w.n_rows > 0) {
    TRY(st, assign(&w));
  }
  join(&w);
  double metres = 0.0;
  (void)allot_cable_excess(&w, &metres);
  TRY(st, allot_cable_lengths(&w));
  TRY(st, tell(&w, reach_m));
  *allotment = w.out;
  return STATUS_OK;
}
