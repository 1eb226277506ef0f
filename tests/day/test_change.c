// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "base/text.h"
#include "day/need.h"
#include "day/planted.h"
#include "day/replay.h"
#include "stage/lists.h"

#include <glpk.h>
#include <string.h>
#include <strings.h>

/*
  Between acts: the plan against every assignment there is and against a mixed-integer programme
  written another way, and played by a stage that knows only the rules, with a tail dying at every
  step.
*/

static const ChangeOptions usual = {.now = "2031-06-14T17:52:00Z"};

static const Plant*
the_demo(void)
{
  static Arena arena;
  static const Plant* plant;
  if (!plant) {
    arena_init(&arena, NULL);
    plant = planted_demo(&arena);
  }
  return plant;
}

static void
make(Arena* arena, const Plant* plant, const Fold* fold, int from, int to,
     const ChangeOptions* options, Change* change)
{
  assert_int_equal(change_plan(arena, plant, fold, from, to, options, change), STATUS_OK);
}

// ---- What stays, what goes: rows worked out from the demo's lists by hand ----

typedef struct {
  const char *from, *to;
  const char* socket;
  ChangeDo does;
  const char* source;
  const char* came_from; ///< "" = new, or out
} Row;

static const Row rows[] = {
  // The same source in the same socket
  {"act2", "act3", "D1", CHANGE_KEEP, "vocal SR", "D1"},
  {"act2", "act4", "A1", CHANGE_KEEP, "kick in", "A1"},
  // Another name, the same kind at the same place: the plug stays
  {"act2", "act3", "D5", CHANGE_KEEP, "caller", "D5"},
  {"act2", "act3", "B1", CHANGE_KEEP, "fiddle", "B1"},
  {"act2", "act4", "A6", CHANGE_KEEP, "rack tom 1", "A6"},
  {"act3", "act4", "A10", CHANGE_KEEP, "overhead L", "A10"},
  // Another kind in the same socket: out with one, in with the other
  {"act2", "act3", "B3", CHANGE_STRIKE, "guitar 1", ""},
  {"act2", "act3", "B3", CHANGE_PLUG, "mandolin", ""},
  {"act3", "act4", "B3", CHANGE_STRIKE, "mandolin", ""},
  {"act3", "act4", "B3", CHANGE_PLUG, "guitar 1", ""},
  // The player's own clip leaves with the player
  {"act1", "act3", "C1", CHANGE_STRIKE, "trumpet 1", ""},
  {"act1", "act3", "C1", CHANGE_PLUG, "squeezebox L", ""},
  // The one source that changes its socket
  {"act2", "act4", "B6", CHANGE_MOVE, "acoustic DI", "B5"},
  {"act4", "act2", "B5", CHANGE_MOVE, "acoustic DI", "B6"},
};

static void
rows_of_the_demo(void** state)
{
  (void)state;
  const Plant* const plant = the_demo();
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const Row* const row = &rows[i];
    Arena arena;
    Change change;
    bool found = false;
    arena_init(&arena, NULL);
    make(&arena, plant, NULL, plant_act(plant, row->from), plant_act(plant, row->to), &usual,
         &change);
    for (int m = 0; m < change.n_moves; ++m) {
      const ChangeMove* const move = &change.moves[m];
      if (move->line == plant_socket(plant, row->socket) && move->does == row->does) {
        found = true;
        assert_string_equal(move->source, row->source);
        assert_string_equal(move->from < 0 ? "" : allot_socket(&arena, plant, move->from),
                            row->came_from);
      }
    }
    if (!found) {
      fail_msg("%s to %s: no such move at %s", row->from, row->to, row->socket);
    }
    arena_deinit(&arena);
  }
}

// ---- The least number of plugs ----

// The rules, written down again for a source that may go anywhere.
typedef struct {
  long without, bent, moved;
} Cost;

typedef struct {
  const Plant* plant;
  int from, to;
  const Input* inputs[64]; ///< Those that are to be placed
  int n_inputs;
  int sockets[64];
  int n_sockets;
  Cost cost[64][64];
} Choice;

static bool
says(const char* text, const char* word)
{
  for (const char* at = text; *at; ++at) {
    if (!strncasecmp(at, word, strlen(word))) {
      return true;
    }
  }
  return false;
}

static bool
sings(const Plant* plant, const Input* input)
{
  return says(plant->kinds[input->kind].name, "vocal") || says(input->source, "vocal") ||
         says(input->source, "voice");
}

static bool
is_vocal_input(const Plant* plant, const Input* input)
{
  return sings(plant, input);
}

static const Input*
same_source(const Plant* plant, int act, const Input* input)
{
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const other = &plant->inputs[i];
    if (other->act == act && text_same(other->source, input->source) &&
        other->kind == input->kind) {
      return other;
    }
  }
  return NULL;
}

static long
moves(const Choice* f, const Input* input, int line)
{
  const Input* const own = same_source(f->plant, f->from, input);
  const Input* const here = plant_input(f->plant, f->from, line);
  if (own && own->line >= 0) {
    return own->line != line;
  }
  const bool stays =
    here && here->kind == input->kind && !same_source(f->plant, f->to, here) &&
    (!here->position[0] || !input->position[0] || text_same(here->position, input->position)) &&
    !text_begins(here->stand, "own") && !text_begins(input->stand, "own");
  return !stays;
}

static long
bends(const Choice* f, const Input* input, int line)
{
  const Plant* const plant = f->plant;
  const Line* const l = &plant->lines[line];
  long n = l->is_spare && input->line != line;
  if (sings(plant, input)) {
    bool has_line = false;
    bool here = false;
    for (int i = 0; i < plant->n_inputs; ++i) {
      const Input* const other = &plant->inputs[i];
      if (other->line >= 0 && text_same(other->source, input->source)) {
        has_line = true;
        here = here || other->line == line;
      }
    }
    n += has_line && !here;
  }
  const Kind* const kind = &plant->kinds[input->kind];
  if (kind->has_jack && !kind->is_microphone) {
    int most = 0;
    int home = input->line >= 0 ? plant->lines[input->line].box : -1;
    for (int b = 0; input->line < 0 && b < plant->n_boxes; ++b) {
      int count = 0;
      for (int i = 0; i < plant->n_inputs; ++i) {
        const Input* const other = &plant->inputs[i];
        count += other->line >= 0 && plant->lines[other->line].box == b && input->position[0] &&
                 text_same(other->position, input->position);
      }
      if (count > most) {
        most = count;
        home = b;
      }
    }
    n += home >= 0 && home != l->box;
  }
  return n;
}

static void
set_free(Choice* f, const Plant* plant, int from, int to)
{
  bool taken[64] = {false};
  *f = (Choice){.plant = plant, .from = from, .to = to};
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    if (input->act == to && input->line >= 0 && is_vocal_input(plant, input)) {
      taken[input->line] = true;
    } else if (input->act == to) {
      f->inputs[f->n_inputs++] = input;
    }
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    if (!taken[l]) {
      f->sockets[f->n_sockets++] = l;
    }
  }
  for (int i = 0; i < f->n_inputs; ++i) {
    for (int s = 0; s < f->n_sockets; ++s) {
      f->cost[i][s] =
        (Cost){0, bends(f, f->inputs[i], f->sockets[s]), moves(f, f->inputs[i], f->sockets[s])};
    }
  }
}

// What the plan came to, by the same rules.
static Cost
cost_of(const Choice* f, const Allotment* a, const Plugged* p)
{
  Cost sum = {0, 0, 0};
  for (int i = 0; i < f->n_inputs; ++i) {
    int at = -1;
    for (int k = 0; k < p->n_plugs; ++k) {
      at = p->plugs[k].next == f->inputs[i] && a->target_at[k] >= 0 ? a->target_at[k] : at;
    }
    if (at < 0) {
      sum.without += need_of(f->plant, f->inputs[i]);
      continue;
    }
    for (int s = 0; s < f->n_sockets; ++s) {
      sum.bent += f->sockets[s] == at ? f->cost[i][s].bent : 0;
      sum.moved += f->sockets[s] == at ? f->cost[i][s].moved : 0;
    }
  }
  return sum;
}

static bool
is_less(Cost a, Cost b)
{
  return a.without != b.without ? a.without < b.without
         : a.bent != b.bent     ? a.bent < b.bent
                                : a.moved < b.moved;
}

static void
try_input(const Choice* f, int i, unsigned taken, Cost so_far, Cost* best)
{
  if (!is_less(so_far, *best)) {
    return;
  }
  if (i == f->n_inputs) {
    *best = so_far;
    return;
  }
  for (int s = 0; s < f->n_sockets; ++s) {
    if (!(taken >> s & 1u)) {
      const Cost c = f->cost[i][s];
      try_input(f, i + 1, taken | 1u << s,
                (Cost){so_far.without, so_far.bent + c.bent, so_far.moved + c.moved}, best);
    }
  }
  try_input(f, i + 1, taken,
            (Cost){so_far.without + need_of(f->plant, f->inputs[i]), so_far.bent, so_far.moved},
            best);
}

// Two boxes with up to 8 sockets in all, two acts, some sources without a socket.
static const Plant*
small_stage(Arena* arena, Rng* rng)
{
  static const char* const names[] = {"kick in",    "kick out", "snare",      "keys L",  "keys R",
                                      "vocal lead", "guitar",   "guitar alt", "bass DI", "fiddle"};
  static const char* const kinds[] = {"dyn-inst",   "dyn-inst",  "cond-small", "di-passive",
                                      "di-passive", "dyn-vocal", "dyn-inst",   "ribbon",
                                      "di-active",  "cond-clip"};
  static const char* const places[] = {"stage left", "stage right"};
  TextOut boxes = {.arena = arena};
  TextOut inputs = {.arena = arena};
  const int n_a = 1 + rng_below(rng, 4);
  const int n_b = 1 + rng_below(rng, 4);
  text_add(&boxes, "box,sockets,first_line,spare_sockets\nA,%d,1,%d\nB,%d,%d,\n", n_a, n_a, n_b,
           n_a + 1);
  text_add(&inputs, "act,channel,source,pickup,phantom,position,box,socket\n");
  for (int act = 1; act <= 2; ++act) {
    bool used[2][5] = {{false}};
    int n = 0;
    for (int k = 0; k < 10 && n < 7; ++k) {
      if (rng_below(rng, 2)) {
        continue;
      }
      const int box = rng_below(rng, 2);
      const int socket = 1 + rng_below(rng, box ? n_b : n_a);
      const bool placed = !used[box][socket] && rng_below(rng, 3) > 0;
      used[box][socket] = used[box][socket] || placed;
      text_add(&inputs, "act%d,%d,%s,%s,,%s,", act, ++n, names[k], kinds[k], places[box]);
      text_add(&inputs, placed ? "%c,%d\n" : ",\n", 'A' + box, socket);
    }
    if (n == 0) {
      text_add(&inputs, "act%d,1,announce,dyn-inst,,,A,1\n", act);
    }
  }
  const ListText lists[] = {{"boxes.csv", text_done(&boxes), boxes.n_bytes},
                            {"inputs.csv", text_done(&inputs), inputs.n_bytes}};
  Plant* const plant = arena_array(arena, 1, sizeof(*plant));
  Error error = {0};
  if (lists_build(arena, lists, 2, 0, plant, &error) != STATUS_OK) {
    fail_msg("%s:%d: %s\n%s", error.file, error.line, error.text, text_done(&inputs));
  }
  return plant;
}

static void
fewest_plugs_of_every_assignment(void** state)
{
  (void)state;
  const int n = check_count(200, 2000);
  int n_short = 0;
  int n_bent = 0;
  for (int i = 0; i < n; ++i) {
    Rng rng;
    Arena arena;
    Plugged plugged;
    Allotment a;
    Choice f;
    Cost best = {1000, 1000, 1000};
    rng_init(&rng, 9000 + (uint64_t)i);
    arena_init(&arena, NULL);
    const Plant* const plant = small_stage(&arena, &rng);
    assert_int_equal(plugged_now(&arena, plant, NULL, 0, 1, &plugged), STATUS_OK);
    assert_int_equal(
      allot_sockets(&arena, plant, NULL, &plugged, &(AllotOptions){.is_free = true}, &a),
      STATUS_OK);
    set_free(&f, plant, 0, 1);
    try_input(&f, 0, 0, (Cost){0, 0, 0}, &best);
    const Cost got = cost_of(&f, &a, &plugged);
    if (is_less(best, got) || is_less(got, best)) {
      fail_msg("seed %d: without %ld, bent %ld, moved %ld; the best is %ld, %ld, %ld", 9000 + i,
               got.without, got.bent, got.moved, best.without, best.bent, best.moved);
    }
    n_short += a.n_shorts > 0;
    n_bent += best.bent > 0;
    arena_deinit(&arena);
  }
  assert_true(n_short > n / 20 && n_bent > n / 20);
}

// The same question as a mixed-integer programme: one column for each source in each socket,
// weights instead of tiers, solved by branch and bound on the simplex method.
static Cost
by_programme(const Choice* f)
{
  glp_prob* const lp = glp_create_prob();
  glp_iocp how;
  Cost sum = {0, 0, 0};
  (void)glp_term_out(GLP_OFF);
  const int n_cells = f->n_inputs * (f->n_sockets + 1);
  glp_set_obj_dir(lp, GLP_MIN);
  (void)glp_add_rows(lp, f->n_inputs + f->n_sockets);
  (void)glp_add_cols(lp, n_cells);
  for (int i = 0; i < f->n_inputs; ++i) {
    glp_set_row_bnds(lp, i + 1, GLP_FX, 1.0, 1.0);
  }
  for (int s = 0; s < f->n_sockets; ++s) {
    glp_set_row_bnds(lp, f->n_inputs + s + 1, GLP_UP, 0.0, 1.0);
  }
  for (int i = 0; i < f->n_inputs; ++i) {
    for (int s = 0; s <= f->n_sockets; ++s) {
      const int column = i * (f->n_sockets + 1) + s + 1;
      const bool out = s == f->n_sockets;
      const int at[3] = {0, i + 1, f->n_inputs + s + 1};
      const double one[3] = {0.0, 1.0, 1.0};
      glp_set_mat_col(lp, column, out ? 1 : 2, at, one);
      glp_set_col_kind(lp, column, GLP_BV);
      glp_set_obj_coef(lp, column,
                       out ? 1e4 * need_of(f->plant, f->inputs[i])
                           : 1e2 * (double)f->cost[i][s].bent + (double)f->cost[i][s].moved);
    }
  }
  glp_init_iocp(&how);
  how.presolve = GLP_ON;
  assert_int_equal(glp_intopt(lp, &how), 0);
  assert_int_equal(glp_mip_status(lp), GLP_OPT);
  const long all = (long)(glp_mip_obj_val(lp) + 0.5);
  sum = (Cost){all / 10000, all % 10000 / 100, all % 100};
  glp_delete_prob(lp);
  (void)glp_free_env();
  return sum;
}

static void
fewest_plugs_of_a_mixed_integer_programme(void** state)
{
  (void)state;
  const Plant* const plant = the_demo();
  for (int from = 0; from < plant->n_acts; ++from) {
    for (int to = 0; to < plant->n_acts; ++to) {
      Arena arena;
      Change listed;
      Change chosen;
      Choice f;
      if (from == to) {
        continue;
      }
      arena_init(&arena, NULL);
      make(&arena, plant, NULL, from, to, &usual, &listed);
      make(&arena, plant, NULL, from, to, &(ChangeOptions){.now = usual.now, .is_free = true},
           &chosen);
      set_free(&f, plant, from, to);
      const Cost want = by_programme(&f);
      const Cost got = cost_of(&f, &chosen.allotment, &chosen.plugged);
      if (is_less(want, got) || is_less(got, want)) {
        fail_msg("%s to %s: without %ld, bent %ld, moved %ld; the programme has %ld, %ld, %ld",
                 plant->acts[from].name, plant->acts[to].name, got.without, got.bent, got.moved,
                 want.without, want.bent, want.moved);
      }
      // By the lists: one for each source that is not where its like was
      long moved = 0;
      for (int i = 0; i < plant->n_inputs; ++i) {
        if (plant->inputs[i].act == to) {
          moved += moves(&f, &plant->inputs[i], plant->inputs[i].line);
        }
      }
      assert_int_equal(listed.n_moved + listed.n_plugged, moved);
      assert_int_equal(listed.n_kept + moved, listed.n_kept + listed.n_moved + listed.n_plugged);
      char name[64];
      (void)snprintf(name, sizeof(name), "change_%s_%s_plugs", plant->acts[from].name,
                     plant->acts[to].name);
      check_figure(name, (double)moved, "plugs");
      (void)snprintf(name, sizeof(name), "change_%s_%s_plugs_chosen", plant->acts[from].name,
                     plant->acts[to].name);
      check_figure(name, (double)(chosen.n_moved + chosen.n_plugged), "plugs");
      arena_deinit(&arena);
    }
  }
}

// ---- Played ----

static void
every_pair_can_be_played(void** state)
{
  (void)state;
  const Plant* const plant = the_demo();
  for (int from = 0; from < plant->n_acts; ++from) {
    for (int to = 0; to < plant->n_acts; ++to) {
      for (int hands = 1; from != to && hands <= 4; ++hands) {
        Replay r;
        Arena arena;
        Change change;
        char where[60];
        arena_init(&arena, NULL);
        replay_init(&r, plant, from, to);
        (void)snprintf(where, sizeof(where), "act%d to act%d, %d hands", from + 1, to + 1, hands);
        r.where = where;
        make(&arena, plant, NULL, from, to,
             &(ChangeOptions){.now = usual.now, .n_hands = hands, .is_free = hands == 3}, &change);
        (void)replay_play(&r, &change, change.n_steps);
        if (hands != 3) { // Kept under another name in a socket that is not the listed one
          replay_check_end(&r, 0);
        }
        // Told, the same plan is done
        Change after;
        make(&arena, plant, replay_fold(&r), from, to,
             &(ChangeOptions){.now = usual.now, .n_hands = hands, .is_free = hands == 3}, &after);
        for (int i = 0; i < after.n_steps; ++i) {
          if (!after.steps[i].is_done) {
            fail_msg("%s: %s is left", where, after.steps[i].key);
          }
        }
        assert_int_equal(after.n_plugged + after.n_moved, change.n_plugged + change.n_moved);
        assert_int_equal(after.n_kept, change.n_kept);
        assert_int_equal(after.n_struck, change.n_struck);
        replay_deinit(&r);
        arena_deinit(&arena);
      }
    }
  }
}

// The tail of a box dies after each step of act 3 to act 4: what is left is planned anew, and
// played to its end.
static void
a_tail_dies_at_every_step(void** state)
{
  (void)state;
  const Plant* const plant = the_demo();
  const int from = plant_act(plant, "act3");
  const int to = plant_act(plant, "act4");
  const ChangeOptions two = {.now = usual.now, .n_hands = 2};
  const int step = check_count(3, 1);
  int n_plans = 0;
  for (int box = 0; box < plant->n_boxes; ++box) {
    int n_steps = 1;
    for (int dies = box % step; dies <= n_steps; dies += step) {
      Replay r;
      Arena arena;
      Change change;
      Change again;
      char where[60];
      arena_init(&arena, NULL);
      replay_init(&r, plant, from, to);
      (void)snprintf(where, sizeof(where), "tail %s after %d steps", plant->boxes[box].name, dies);
      r.where = where;
      make(&arena, plant, NULL, from, to, &two, &change);
      n_steps = change.n_steps;
      (void)replay_play(&r, &change, dies);
      replay_tape_tail(&r, box);
      make(&arena, plant, replay_fold(&r), from, to, &two, &again);
      (void)replay_play(&r, &again, again.n_steps);
      replay_check_end(&r, again.allotment.n_shorts);
      // As many are short as there are sources too many: every socket left is used
      int n_inputs = 0;
      for (int i = 0; i < plant->n_inputs; ++i) {
        n_inputs += plant->inputs[i].act == to;
      }
      const int n_left = plant->n_lines - plant->boxes[box].n_sockets;
      assert_int_equal(again.allotment.n_shorts, n_inputs > n_left ? n_inputs - n_left : 0);
      ++n_plans;
      replay_deinit(&r);
      arena_deinit(&arena);
    }
  }
  check_figure("change_replans_played", n_plans, "plans");
}

// ---- Cables ----

// How many good cables of 12.2 m and more there are decides how many sources reach from box B to
// another one (9, 10 and 12 s of the way: 12.2, 13 and 14.6 m).
static void
long_cables_are_counted(void** state)
{
  (void)state;
  for (int n_long = 0; n_long <= 12; n_long += check_count(3, 1)) {
    const Plant* const demo = the_demo();
    Plant plant = *demo;
    Item items[64];
    Replay r;
    Arena arena;
    Change change;
    char where[40];
    const int box = 1;
    arena_init(&arena, NULL);
    for (int i = 0; i < 50 + n_long; ++i) {
      items[i] = (Item){.tag = arena_format(&arena, "X%d", i),
                        .kind = "mic",
                        .length_m = i < 50 ? 10.0 : 15.0,
                        .state = "good"};
    }
    plant.items = items;
    plant.n_items = 50 + n_long;
    (void)snprintf(where, sizeof(where), "%d long cables", n_long);
    replay_init(&r, &plant, plant_act(&plant, "act3"), plant_act(&plant, "act4"));
    r.where = where;
    replay_tape_tail(&r, box);
    make(&arena, &plant, replay_fold(&r), r.from, r.to, &usual, &change);
    (void)replay_play(&r, &change, change.n_steps);
    replay_check_end(&r, change.allotment.n_shorts);
    replay_check_cables(&r);
    // Box B has 10 sources of act 4; without a tail only those with a long cable play
    int n_far = 0;
    for (int l = 0; l < plant.n_lines; ++l) {
      n_far += change.allotment.cable_m[l] > 0.0;
      assert_true(change.allotment.cable_m[l] <= 0.0 || change.allotment.cable_m[l] >= 13.0);
    }
    const int n_sources = n_far + change.allotment.n_shorts;
    assert_int_equal(n_sources, 10);
    assert_int_equal(n_far, n_long < 6 ? n_long : 6);
    for (int i = 0; i < change.allotment.n_shorts; ++i) {
      // Six sockets are free at other boxes: below that it is the cables
      const char* const why = change.allotment.shorts[i].why;
      if (!strstr(why, "no good one is left") != (n_long >= 6)) {
        fail_msg("%s: %s", where, why);
      }
    }
    replay_deinit(&r);
    arena_deinit(&arena);
  }
}

// A source by its name among the steps of the hands that are left.
static const ChangeStep*
step_of(const Change* change, const char* key, bool is_done)
{
  for (int i = 0; i < change->n_steps; ++i) {
    if (text_same(change->steps[i].key, key) && change->steps[i].is_done == is_done) {
      return &change->steps[i];
    }
  }
  return NULL;
}

// The same where there must be one.
static const ChangeStep*
the_step(const Change* change, const char* key, bool is_done)
{
  const ChangeStep* const step = step_of(change, key, is_done);
  if (!step) {
    fail_msg("there is no step %s", key);
  }
  return step ? step : change->steps;
}

// A cable dies: of a plug that stays it is changed, by the same rules as any plug; of one that is
// still to come another one is taken; of one that was done it comes again.
static void
a_cable_dies(void** state)
{
  (void)state;
  const Plant* const plant = the_demo();
  Replay r;
  Arena arena;
  Change change;
  Change again;
  arena_init(&arena, NULL);
  replay_init(&r, plant, plant_act(plant, "act3"), plant_act(plant, "act4"));
  const ChangeOptions two = {.now = usual.now, .n_hands = 2};
  make(&arena, plant, NULL, r.from, r.to, &two, &change);
  assert_null(step_of(&change, "D4", false)); // vocal SL stays as it is
  (void)replay_play(&r, &change, 12);
  make(&arena, plant, replay_fold(&r), r.from, r.to, &two, &change);
  const ChangeStep* done = change.steps;
  for (int i = 0; i < change.n_steps; ++i) {
    const bool is_it = change.steps[i].is_done && change.steps[i].does == CHANGE_DOES_PLUG;
    done = is_it ? &change.steps[i] : done;
  }
  assert_int_equal(done->does, CHANGE_DOES_PLUG);
  const char* const cables[] = {"cable D4", arena_format(&arena, "cable %s", done->key),
                                "cable B10"};
  for (size_t i = 0; i < 3; ++i) {
    replay_tape(&r, cables[i]);
  }
  make(&arena, plant, replay_fold(&r), r.from, r.to, &two, &again);
  const ChangeStep* const kept = the_step(&again, "D4", false);
  const ChangeStep* const anew = the_step(&again, done->key, false);
  const ChangeStep* const comes = the_step(&again, "B10", false);
  assert_int_equal(kept->does, CHANGE_DOES_CABLE);
  assert_int_equal(anew->does, CHANGE_DOES_CABLE);
  assert_non_null(strstr(kept->why, "able D4 is taped off"));
  assert_int_equal(comes->does, CHANGE_DOES_PLUG);
  assert_non_null(strstr(comes->say, "Not with cable B10"));
  (void)replay_play(&r, &again, again.n_steps);
  replay_check_end(&r, 0);
  make(&arena, plant, replay_fold(&r), r.from, r.to, &two, &again);
  for (int i = 0; i < again.n_steps; ++i) {
    assert_true(again.steps[i].is_done);
  }
  assert_int_equal(the_step(&again, "D4", true)->does, CHANGE_DOES_CABLE);
  replay_deinit(&r);
  arena_deinit(&arena);
}

// ---- Desks that have not said so ----

static void
hands_wait_for_desks(void** state)
{
  (void)state;
  const Plant* const plant = the_demo();
  Replay r;
  Arena arena;
  Change change;
  int n_gates = 0;
  arena_init(&arena, NULL);
  replay_init(&r, plant, plant_act(plant, "act3"), plant_act(plant, "act4"));
  make(&arena, plant, NULL, r.from, r.to, &usual, &change);
  const ChangeStep* step = the_step(&change, "B3", false);
  for (int k = change_waits(&change, step, 0); k >= 0; k = change_waits(&change, step, k + 1)) {
    ++n_gates;
  }
  assert_int_equal(n_gates, 4); // Three desks muted, phantom off at one: a DI was there
  // Gone on anyway: B3 waits no more, B4 does, and it is said until the desks have muted
  replay_anyway(&r, &change, step);
  make(&arena, plant, replay_fold(&r), r.from, r.to, &usual, &change);
  assert_int_equal(change_waits(&change, the_step(&change, "B3", false), 0), -1);
  assert_non_null(the_step(&change, "B3", false)->anyway);
  assert_true(change_waits(&change, the_step(&change, "B4", false), 0) >= 0);
  assert_int_equal(change.n_notes, 1);
  assert_non_null(strstr(change.notes[0], "B3 was gone on with"));
  // Heard: done for everybody, told by who heard it
  for (int turn = 0; turn < 2; ++turn) {
    for (int i = 0; i < change.n_steps; ++i) {
      const ChangeStep* const gate = &change.steps[i];
      if (change_is_gate(gate) && (gate->does == CHANGE_DOES_MUTE) == (turn == 0)) {
        replay_hear(&r, &change, gate);
      }
    }
  }
  make(&arena, plant, replay_fold(&r), r.from, r.to, &usual, &change);
  assert_int_equal(change.n_notes, 0);
  for (int i = 0; i < change.n_steps; ++i) {
    assert_false(change_is_gate(&change.steps[i]));
    if (change.steps[i].does == CHANGE_DOES_MUTE) {
      assert_true(change.steps[i].is_heard);
      assert_string_equal(change.steps[i].done_by->role, "stage patch");
    }
    // Muted is not set: every desk still has its channels before it
    assert_true(change.steps[i].does != CHANGE_DOES_PATCH || !change.steps[i].is_done);
  }
  (void)replay_play(&r, &change, change.n_steps);
  replay_check_end(&r, 0);
  replay_deinit(&r);
  arena_deinit(&arena);
}

// ---- Hands who are done ----

// Plays only one hand's steps (and the desks') as far as they go.
static void
play_one(Replay* r, Arena* arena, int hand, const ChangeOptions* options)
{
  for (;;) {
    Change change;
    Change one;
    make(arena, r->plant, replay_fold(r), r->from, r->to, options, &change);
    one = change;
    ChangeStep* const only = arena_array(arena, (size_t)change.n_steps, sizeof(ChangeStep));
    int n = 0;
    memcpy(only, change.steps, (size_t)change.n_steps * sizeof(ChangeStep));
    for (int i = 0; i < change.n_steps; ++i) {
      const bool theirs = only[i].person == hand || change_is_gate(&only[i]);
      n += theirs && !only[i].is_done;
      only[i].is_done = only[i].is_done || !theirs;
    }
    one.steps = only;
    if (n == 0) {
      return;
    }
    assert_int_equal(replay_play(r, &one, 1), 1);
  }
}

// One hand is done before the other began: what is offered is nobody's first step, all is ready
// earlier with it, by the plan's own times as well; taken it is theirs, taken back it is not; and
// what died gives it without asking.
static void
who_is_done_takes_from_others(void** state)
{
  (void)state;
  const Plant* const plant = the_demo();
  const ChangeOptions two = {.now = usual.now, .n_hands = 2};
  for (int how = 0; how < 3; ++how) {
    Replay r;
    Arena arena;
    Change before;
    Change after;
    arena_init(&arena, NULL);
    replay_init(&r, plant, plant_act(plant, "act3"), plant_act(plant, "act4"));
    make(&arena, plant, NULL, r.from, r.to, &two, &before);
    assert_int_equal(before.people[0].n_offer + before.people[1].n_offer, 0);
    play_one(&r, &arena, 1, &two);
    make(&arena, plant, replay_fold(&r), r.from, r.to, &two, &before);
    const ChangePerson* const idle = &before.people[1];
    assert_true(idle->n_offer > 0 && idle->offer_s >= 60.0);
    assert_int_equal(before.people[0].n_offer, 0);
    for (int i = 0; i < idle->n_offer; ++i) {
      assert_int_equal(before.steps[idle->offer[i]].person, 0);
      assert_int_not_equal(idle->offer[i], before.people[0].steps[0]);
    }
    if (how == 2) { // The tail of a box whose plugs are all in: nothing is new for the other
      replay_tape(&r, "cable D4");
    } else {
      replay_take(&r, &before, idle);
    }
    make(&arena, plant, replay_fold(&r), r.from, r.to, &two, &after);
    int n_given = 0;
    for (int i = 0; i < after.n_steps; ++i) {
      n_given += !after.steps[i].is_done && after.steps[i].person == 1;
      assert_true(how == 2 || after.steps[i].is_done || after.steps[i].person != 1 ||
                  after.steps[i].taken);
    }
    assert_true(n_given >= idle->n_offer);
    double hands_before_s = 0.0;
    double hands_after_s = 0.0;
    for (int p = 0; p < 2; ++p) {
      hands_before_s =
        before.people[p].seconds > hands_before_s ? before.people[p].seconds : hands_before_s;
      hands_after_s =
        after.people[p].seconds > hands_after_s ? after.people[p].seconds : hands_after_s;
    }
    if (how == 0) {
      CHECK_NEAR("earlier", hands_before_s - hands_after_s, idle->offer_s, 1e-6);
      // Half of it done, it is still theirs
      (void)replay_play(&r, &after, 4);
      make(&arena, plant, replay_fold(&r), r.from, r.to, &two, &after);
      (void)replay_play(&r, &after, after.n_steps);
      replay_check_end(&r, 0);
    } else if (how == 1) {
      r.facts[r.n_facts - 1].id = "take-0001";
      Fact* const undo = &r.facts[r.n_facts++];
      assert_int_equal(fact_make(&r.arena, FACT_VOIDED, &(FactBody){.id = "take-0001"},
                                 "2031-06-14T17:56:00Z", "", "", undo, NULL),
                       STATUS_OK);
      undo->seq = (int64_t)r.n_facts;
      make(&arena, plant, replay_fold(&r), r.from, r.to, &two, &after);
      for (int i = 0; i < after.n_steps; ++i) {
        assert_true(after.steps[i].is_done || after.steps[i].person != 1);
      }
    } else {
      assert_true(hands_after_s < hands_before_s);
      (void)replay_play(&r, &after, after.n_steps);
      replay_check_end(&r, 0);
    }
    replay_deinit(&r);
    arena_deinit(&arena);
  }
}

// ---- Clear words ----

static void
too_many_sources_are_said(void** state)
{
  (void)state;
  static const char boxes[] = "box,sockets,first_line,spare_sockets\nA,3,1,3\n";
  static const char inputs[] = "act,channel,source,pickup,phantom,position,box,socket\n"
                               "act1,1,vocal lead,dyn-vocal,no,downstage,A,1\n"
                               "act2,1,kick in,dyn-inst,no,riser,,\n"
                               "act2,2,kick out,dyn-inst,no,riser,,\n"
                               "act2,3,vocal lead,dyn-vocal,no,downstage,,\n"
                               "act2,4,guitar,dyn-inst,no,riser,,\n";
  const ListText lists[] = {{"boxes.csv", boxes, sizeof(boxes) - 1},
                            {"inputs.csv", inputs, sizeof(inputs) - 1}};
  Arena arena;
  Plant plant;
  Change change;
  arena_init(&arena, NULL);
  assert_int_equal(lists_build(&arena, lists, 2, 0, &plant, NULL), STATUS_OK);
  make(&arena, &plant, NULL, 0, 1, &usual, &change);
  assert_int_equal(change.allotment.n_shorts, 1);
  const AllotShort* const one = &change.allotment.shorts[0];
  assert_string_equal(change.plugged.plugs[one->plug].next->source, "kick out"); // Second of a pair
  assert_string_equal(one->twin->source, "kick in");
  assert_int_equal(change.allotment.n_bent, 1); // The spare socket had to be used
  assert_int_equal(change.n_kept, 1);           // The vocal is where it was
  arena_deinit(&arena);
}

static void
time_is_short(void** state)
{
  (void)state;
  const Plant* const plant = the_demo();
  const int from = plant_act(plant, "act3");
  const int to = plant_act(plant, "act4");
  Arena arena;
  Change all;
  Change most;
  Change late;
  arena_init(&arena, NULL);
  make(&arena, plant, NULL, from, to, &usual, &all);
  assert_true(all.fits);
  assert_int_equal(all.n_leave, 0);
  make(&arena, plant, NULL, from, to,
       &(ChangeOptions){.now = usual.now, .deadline_s = all.seconds - 30.0}, &most);
  assert_false(most.fits);
  assert_true(most.n_leave > 0);
  assert_true(most.left_s <= all.seconds - 30.0);
  int last_weight = 0;
  for (int i = 0; i < most.n_leave; ++i) {
    const Input* const input = most.plugged.plugs[most.leave[i].plug].next;
    assert_true(need_of(plant, input) < NEEDED_VOICE);
    last_weight = need_of(plant, input);
  }
  assert_true(last_weight >= 1);
  make(&arena, plant, NULL, from, to, &(ChangeOptions){.now = usual.now, .deadline_s = -60.0},
       &late);
  assert_false(late.fits);
  for (int i = 0; i < late.n_leave; ++i) {
    assert_true(need_of(plant, late.plugged.plugs[late.leave[i].plug].next) < NEEDED_VOICE);
  }
  assert_int_equal(change_plan(&arena, plant, NULL, to, to, &usual, &late), STATUS_BAD_ARG);
  arena_deinit(&arena);
}

static void
what_was_told_before_does_not_count(void** state)
{
  (void)state;
  const Plant* const plant = the_demo();
  const int from = plant_act(plant, "act3");
  const int to = plant_act(plant, "act4");
  const struct {
    FactKind kind;
    FactBody body;
    int n_done;
  } told[] = {
    // A sound check in the morning, nobody said which act gives way
    {FACT_PLUGGED, {.place = "B3", .what = "guitar 1", .act = "act4"}, 0},
    {FACT_PLUGGED, {.place = "B3", .what = "guitar 1", .act = "act4", .from = "act3"}, 1},
    {FACT_CHANGE_STEP, {.from = "act3", .act = "act4", .step = "begin"}, 0},
    {FACT_PLUGGED, {.place = "B4", .what = "guitar 1 alt", .act = "act4", .from = "act3"}, 1},
    {FACT_ACT_IN_FORCE, {.act = "act3"}, 0},
    {FACT_PLUGGED, {.place = "B3", .what = "guitar 1", .act = "act4"}, 1},
  };
  Fact facts[6];
  Arena arena;
  arena_init(&arena, NULL);
  for (size_t i = 0; i < 6; ++i) {
    Fold fold;
    Change change;
    int n_done = 0;
    assert_int_equal(fact_make(&arena, told[i].kind, &told[i].body, "2031-06-14T11:00:00Z", "",
                               "stage patch", &facts[i], NULL),
                     STATUS_OK);
    facts[i].seq = (int64_t)i + 1;
    assert_int_equal(fold_make(&arena, facts, i + 1, &fold, NULL), STATUS_OK);
    make(&arena, plant, &fold, from, to, &usual, &change);
    for (int k = 0; k < change.n_steps; ++k) {
      n_done += change.steps[k].is_done;
      if (change.steps[k].is_done) {
        assert_string_equal(change.steps[k].done_by->role, "stage patch");
      }
    }
    assert_int_equal(n_done, told[i].n_done);
  }
  arena_deinit(&arena);
}

static void
every_failed_request_is_said(void** state)
{
  (void)state;
  const Plant* const plant = the_demo();
  FailingHeap count = {0};
  const Allocator counting = failing_allocator(&count);
  Arena arena;
  Change change;
  const ChangeOptions options = {.now = usual.now, .is_free = true, .deadline_s = 200.0};
  // Half done, a cable and a tail dead: the split anew and its offers ask for memory too
  Replay r;
  replay_init(&r, plant, 1, 2);
  arena_init(&arena, NULL);
  make(&arena, plant, NULL, 1, 2, &options, &change);
  (void)replay_play(&r, &change, 10);
  arena_deinit(&arena);
  replay_tape(&r, "cable D1");
  replay_tape_tail(&r, 1);
  const Fold* const fold = replay_fold(&r);
  arena_init(&arena, &counting);
  make(&arena, plant, fold, 1, 2, &options, &change);
  arena_deinit(&arena);
  const int step = failing_step(count.n_requests, 60);
  for (int fail_at = 1; fail_at <= count.n_requests; fail_at += step) {
    FailingHeap heap = {.fail_at = fail_at};
    const Allocator from = failing_allocator(&heap);
    change.n_steps = -7;
    arena_init(&arena, &from);
    const Status st = change_plan(&arena, plant, fold, 1, 2, &options, &change);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    assert_int_equal(st, STATUS_NO_MEMORY);
    assert_int_equal(change.n_steps, -7);
  }
  replay_deinit(&r);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(rows_of_the_demo),
    cmocka_unit_test(fewest_plugs_of_every_assignment),
    cmocka_unit_test(fewest_plugs_of_a_mixed_integer_programme),
    cmocka_unit_test(every_pair_can_be_played),
    cmocka_unit_test(a_tail_dies_at_every_step),
    cmocka_unit_test(long_cables_are_counted),
    cmocka_unit_test(a_cable_dies),
    cmocka_unit_test(hands_wait_for_desks),
    cmocka_unit_test(who_is_done_takes_from_others),
    cmocka_unit_test(too_many_sources_are_said),
    cmocka_unit_test(time_is_short),
    cmocka_unit_test(what_was_told_before_does_not_count),
    cmocka_unit_test(every_failed_request_is_said),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
