// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "day/around.h"
#include "day/cable.h"
#include "day/planted.h"
#include "day/world.h"
#include "stage/lists.h"

#include <math.h>
#include <string.h>

/*
  What a way round is worth, held to playing it: causes are hidden on the demo, somebody complains
  and reads a little more, and each way's stated odds are set beside whether it goes round what was
  hidden. What goes round what is written here again, from the wiring alone. And the cables that are
  left over, by hand.
*/

// ---- Calibration ----

enum { BINS = 5, READINGS = 8 };

// By the wiring: a plug in another socket leaves copper, split and desk input behind; its own cable
// and source come along, and so does a channel's mute. Another source leaves all of it behind.
static bool
goes_round(const World* w, const AroundWay* way)
{
  const SharedState* const state = w->cause.state;
  const Fault* const fault = &w->cause.fault;
  const bool touches = state && way->uses_line >= 0 && shared_touch(state, way->uses_line);
  const bool desk_input =
    !state && fault->part == PART_DESK && fault->mode == FAULT_DEAD && fault->desk == way->desk;
  const bool desk_side = state ? state->sort == SHARED_SPLIT_SIDE && state->desk == way->desk
                               : fault->part == PART_SPLIT && fault->desk == way->desk;
  switch (way->sort) {
    case WAY_SOCKET:
      return state ? !touches || shared_moves_plugs(state->sort)
                   : fault->part != PART_SOURCE && fault->part != PART_THROUGH &&
                       fault->part != PART_CABLE &&
                       !(fault->part == PART_DESK && fault->mode == FAULT_MUTED);
    case WAY_SPARE:
      return !state || !touches || shared_moves_plugs(state->sort);
    case WAY_INPUT:
      return desk_input;
    case WAY_FEED:
      return desk_input || desk_side;
    case WAY_SIDE:
      return desk_side;
    default:
      return state && (state->sort == SHARED_LEAD || state->sort == SHARED_LEAD_HELD);
  }
}

typedef struct {
  int n;
  double stated, held;
  double square; ///< Sum of what each hidden cause is off by, squared: its ways go together
} Tally;

static void
tally_add(Tally* t, int n, double stated, double held)
{
  t->n += n;
  t->stated += stated;
  t->held += held;
  t->square += (held - stated) * (held - stated);
}

// One more word on the line: what every desk hears, or how one of them is set.
static void
read_more(const World* w, Rng* rng, Seen seen[], int* n)
{
  const Plant* const plant = w->plant;
  const int how = rng_below(rng, 4);
  for (int d = 0; d < plant->n_desks && how > 0; ++d) {
    const Check checks[2] = {{CHECK_LEVEL, d}, {CHECK_LOOK, d}};
    for (int k = 0; k < (how > 1 ? 2 : 1); ++k) {
      int key = 0;
      bool is_new = *n < READINGS && plant->lines[w->cause.line].desk_input[d] > 0;
      for (int i = 0; i < *n && is_new; ++i) {
        is_new = seen[i].check.sort != checks[k].sort || seen[i].check.desk != d;
      }
      if (is_new && world_check(w, checks[k], &key) == STATUS_OK) {
        seen[(*n)++] = (Seen){.line = w->cause.line, .check = checks[k], .key = key};
      }
    }
  }
}

static void
the_stated_chance_holds(void** state)
{
  (void)state;
  Arena arena;
  Tally bins[BINS] = {{0}};
  Tally sorts[WAY_COUNT] = {{0}};
  Tally all = {0};
  const int n_lines = check_count(60, 1000);
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Situation* bases[8] = {NULL};
  const WorldUrn* urns[8] = {NULL};
  assert_true(plant->n_acts > 1 && plant->n_acts <= 8);
  for (int a = 0; a < plant->n_acts; ++a) {
    assert_int_equal(situation_new(&arena, plant, a, NULL, &bases[a]), STATUS_OK);
    assert_int_equal(world_urn(&arena, bases[a], &urns[a]), STATUS_OK);
  }
  Rng rng;
  rng_init(&rng, 20311700);
  printf("seed 20311700, %d lines\n", n_lines);
  for (int i = 0; i < n_lines; ++i) {
    const int act = rng_below(&rng, plant->n_acts);
    Arena one;
    World w;
    Seen seen[READINGS];
    Check check;
    int key = 0;
    Situation* s = NULL;
    const AroundWay* ways = NULL;
    int n = 0;
    int n_seen = 0;
    arena_init(&one, NULL);
    assert_int_equal(world_draw(urns[act], &rng, 20311700u + 4096u * (uint64_t)i, 0, &w),
                     STATUS_OK);
    assert_int_equal(world_complaint(&w, &check, &key), STATUS_OK);
    seen[n_seen++] = (Seen){.line = w.cause.line, .check = check, .key = key};
    read_more(&w, &rng, seen, &n_seen);
    assert_int_equal(situation_after(&one, bases[act], seen, n_seen, &s), STATUS_OK);
    assert_int_equal(around_ways(s, &one, w.cause.line, &ways, &n), STATUS_OK);
    double stated_all = 0.0;
    double held_all = 0.0;
    for (int k = 0; k < n; ++k) {
      const double stated = ways[k].helps_prob;
      const double held = goes_round(&w, &ways[k]);
      assert_true(stated >= 0.0 && stated <= 1.0 + 1e-9); // Somebody complained
      const int bin = (int)(stated * BINS);
      tally_add(&bins[bin < BINS ? bin : BINS - 1], 1, stated, held);
      tally_add(&sorts[ways[k].sort], 1, stated, held);
      stated_all += stated;
      held_all += held;
    }
    tally_add(&all, n, stated_all, held_all);
    arena_deinit(&one);
  }
  for (int b = 0; b < BINS; ++b) {
    if (bins[b].n > 0) {
      printf("stated %d to %d in 100: %d ways, on average stated %.3f, held %.3f\n", 100 * b / BINS,
             100 * (b + 1) / BINS, bins[b].n, bins[b].stated / bins[b].n, bins[b].held / bins[b].n);
    }
  }
  for (int k = 0; k < WAY_COUNT; ++k) {
    if (sorts[k].n > 0) {
      printf("%s: %d ways, stated %.3f, held %.3f\n", loan_sort_word((WaySort)k), sorts[k].n,
             sorts[k].stated / sorts[k].n, sorts[k].held / sorts[k].n);
    }
  }
  const double off = (all.held - all.stated) / all.n;
  const double noise = sqrt(all.square) / all.n;
  check_figure("ways_helps_stated", all.stated / all.n, "share");
  check_figure("ways_helps_held", all.held / all.n, "share");
  check_figure("ways_helps_noise", noise, "share");
  if (fabs(off) > 4.0 * noise) {
    fail_msg("stated %.4f and held %.4f, and the noise is %.4f", all.stated / all.n,
             all.held / all.n, noise);
  }
  arena_deinit(&arena);
}

// ---- What does not help ----

static double
helps(Planted* p, const char* way)
{
  const AroundWay* ways = NULL;
  int n = 0;
  assert_int_equal(around_ways(planted_situation(p), &p->arena, p->line, &ways, &n), STATUS_OK);
  for (int i = 0; i < n; ++i) {
    if (!strcmp(ways[i].way, way)) {
      return ways[i].helps_prob;
    }
  }
  fail_msg("no way %s", way);
  return -1.0;
}

// A desk that hears nothing and says its channel is muted: the plug in another socket is patched to
// that very channel. Another source has a channel of its own.
static void
a_muted_channel_is_not_gone_round(void** state)
{
  (void)state;
  Arena arena;
  Planted p;
  arena_init(&arena, NULL);
  planted_init(&p, planted_demo(&arena), "act2", 45);
  planted_saw(&p, "level", "nothing", "foh");
  assert_true(helps(&p, "D8") > 0.3); // It may be the socket, the tail, the split
  planted_saw(&p, "look", "muted", "foh");
  assert_true(helps(&p, "D8") < 0.1);
  assert_true(helps(&p, "line 43") > 0.8);
  planted_deinit(&p);
  // A wrong patch is gone round: the desk patches anew
  planted_init(&p, p.plant, "act2", 45);
  planted_saw(&p, "level", "nothing", "foh");
  planted_saw(&p, "look", "patch", "foh");
  assert_true(helps(&p, "D8") > 0.8);
  planted_deinit(&p);
  arena_deinit(&arena);
}

// ---- Cables ----

static const char boxes[] = "box,sockets,first_line\nA,4,1\nB,4,5\nC,4,9\n";
static const char places[] = "from,to,seconds\nbox A,box B,10\nbox B,box A,30\nbox A,box C,25\n"
                             "box C,box A,25\nbox B,box C,20\nbox C,box B,20\n";
static const char inputs[] = "act,channel,source,pickup,box,socket,cable\n"
                             "one,1,kick,dyn-inst,A,1,M1\none,2,snare,dyn-inst,A,2,\n"
                             "two,1,horn,dyn-inst,B,1,\n";
static const char cables[] = "cable,kind,length_m,state\nM1,mic,20,good\nM2,mic,20,good\n"
                             "M3,mic,5,good\nM4,mic,10,good\nM5,mic,15,repair\nM6,mic,2.5,good\n"
                             "T1,tail 8,30,good\n";

static void
the_cables_left_over_by_hand(void** state)
{
  (void)state;
  static const struct {
    const char* name;
    const char* kit;   ///< NULL = no list of the kit
    bool has_cables;   ///< The list of cables
    int act;           ///< Index
    const char* taped; ///< NULL = nothing
    const char* way;   ///< Line 1 runs on it; NULL = on its own
    int n;             ///< Left over
    double left[8];
    double reach_m, gives_m; ///< Asked for; 0 = there is none
    bool is_assumed;
  } rows[] = {
    {"the kit says",
     "kit,count\nspare microphone cable 5 m,2\nspare microphone cable 10 m,1\n",
     true,
     0,
     NULL,
     NULL,
     3,
     {5, 5, 10},
     12,
     15,
     false},
    {"two of the shortest",
     "kit,count\nspare microphone cable 5 m,2\n",
     true,
     0,
     NULL,
     NULL,
     2,
     {5, 5},
     8,
     10,
     false},
    {"none left of the kit",
     "kit,count\nspare microphone cable 5 m,0\n",
     true,
     0,
     NULL,
     NULL,
     0,
     {0},
     1,
     0,
     false},
    // A to B is 0.8 * 10 = 8 m: the way took the 10 m one
    {"a way has one",
     "kit,count\nspare microphone cable 5 m,2\nspare microphone cable 10 m,1\n",
     true,
     0,
     NULL,
     "B2",
     2,
     {5, 5},
     8,
     10,
     false},
    // Two 5 m ones make the 8 m
    {"a way has two",
     "kit,count\nspare microphone cable 5 m,3\n",
     true,
     0,
     NULL,
     "B2",
     1,
     {5},
     8,
     0,
     false},
    {"within the box none is needed",
     "kit,count\nspare microphone cable 5 m,1\n",
     true,
     0,
     NULL,
     "A3",
     1,
     {5},
     4,
     5,
     false},
    // Of act one: M1 is the kick's; the snare takes the shortest of 5 m and more, M3. M5 is broken
    {"the list of cables", NULL, true, 0, NULL, NULL, 3, {2.5, 10, 20}, 11, 12.5, false},
    // Act two: the horn takes M3
    {"in another act", NULL, true, 1, NULL, NULL, 4, {2.5, 10, 20, 20}, 21, 22.5, false},
    {"taped off is none", NULL, true, 1, "M2", NULL, 3, {2.5, 10, 20}, 35, 0, false},
    {"bare lines use none", NULL, true, -1, NULL, NULL, 5, {2.5, 5, 10, 20, 20}, 1, 2.5, false},
    {"nobody says a length", NULL, false, 0, NULL, NULL, 0, {0}, 7.5, 8, true},
    {"a spare without a length, and a list",
     "kit,count\nspare cable,3\n",
     true,
     0,
     NULL,
     NULL,
     3,
     {2.5, 10, 20},
     1,
     2.5,
     false},
    {"no spare in the kit",
     "kit,count\nlamp tester,1\n",
     false,
     0,
     NULL,
     NULL,
     0,
     {0},
     1,
     0,
     false},
  };
  for (size_t r = 0; r < sizeof(rows) / sizeof(rows[0]); ++r) {
    ListText lists[5] = {{"boxes.csv", boxes, sizeof(boxes) - 1},
                         {"places.csv", places, sizeof(places) - 1},
                         {"inputs.csv", inputs, sizeof(inputs) - 1}};
    int n_lists = 3;
    if (rows[r].kit) {
      lists[n_lists++] = (ListText){"kit.csv", rows[r].kit, strlen(rows[r].kit)};
    }
    if (rows[r].has_cables) {
      lists[n_lists++] = (ListText){"cables.csv", cables, sizeof(cables) - 1};
    }
    Arena arena;
    Plant plant;
    Cables left = {.n = -1};
    Loan loan;
    Error error = {0};
    double gives_m = 0.0;
    arena_init(&arena, NULL);
    if (lists_build(&arena, lists, n_lists, 0, &plant, &error) != STATUS_OK) {
      fail_msg("%s: %s", error.file, error.text);
    }
    const bool lent = rows[r].way != NULL;
    assert_true(!lent || loan_read(&plant, rows[r].act, 0, rows[r].way, &loan));
    assert_int_equal(cable_left(&arena, &plant, &rows[r].taped, rows[r].taped != NULL, rows[r].act,
                                &loan, lent, &left),
                     STATUS_OK);
    bool same = left.n == rows[r].n && left.is_assumed == rows[r].is_assumed;
    for (int i = 0; same && i < left.n; ++i) {
      same = left.length_m[i] == rows[r].left[i];
    }
    const bool found = cable_find(&left, rows[r].reach_m, &gives_m);
    if (!same || found != (rows[r].gives_m > 0.0) || gives_m != rows[r].gives_m) {
      fail_msg("%s: %d left, assumed %d; %g m gives %g m", rows[r].name, left.n, left.is_assumed,
               rows[r].reach_m, gives_m);
    }
    arena_deinit(&arena);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_stated_chance_holds),
    cmocka_unit_test(a_muted_channel_is_not_gone_round),
    cmocka_unit_test(the_cables_left_over_by_hand),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
