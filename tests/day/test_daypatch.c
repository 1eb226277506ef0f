// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "day/daypatch.h"
#include "day/need.h"
#include "day/planted.h"
#include "day/plugged.h"
#include "stage/lists.h"

#include <string.h>

/*
  A patch for the day: rows worked out by hand, the rules on random days, and the fewest moves
  against every patch there is.
*/

enum {
  MAX_LINES = 10,
  MAX_ACTS = 5,
  MAX_IN_ACT = 8,
  MAX_INPUTS = MAX_ACTS * MAX_IN_ACT,
  BRUTE_IN_ACT = 4
};

typedef struct {
  Kind kinds[3];
  Box box;
  Line lines[MAX_LINES];
  Act acts[MAX_ACTS];
  Input inputs[MAX_INPUTS];
  bool blocked[MAX_LINES];
  Plant plant;
} Day;

// As kinds/needed.csv has them (usual practice, no source).
static const Needed needed[] = {
  {"vocal lead", "", NEEDED_MUST, true, false, ""},
  {"vocal", "", 9, true, false, ""},
  {"kick", "", 8, false, false, ""},
  {"guitar", "", 7, false, false, ""},
  {"keys", "", 7, false, false, ""},
  {"overhead", "", 6, false, false, ""},
  {"hat", "", 3, false, false, ""},
  {"R", "L", 2, false, true, ""},
  {"out", "in", 2, false, false, ""},
};

// A box of n sockets at one desk, the last of them a spare if asked for.
static void
day_init(Day* d, int n_lines, int n_acts)
{
  static const char* const names[MAX_ACTS] = {"act1", "act2", "act3", "act4", "act5"};
  memset(d, 0, sizeof(*d));
  d->kinds[0] = (Kind){.name = "dyn-inst",
                       .meaning = "",
                       .needs_phantom = ANSWER_NO,
                       .phantom_harmless = ANSWER_YES,
                       .is_microphone = true};
  d->kinds[1] = d->kinds[0];
  d->kinds[1].name = "cond-small";
  d->kinds[1].needs_phantom = ANSWER_YES;
  d->kinds[2] = d->kinds[0];
  d->kinds[2].name = "di-passive";
  d->kinds[2].is_microphone = false;
  d->box = (Box){.name = "A", .meaning = "stage box", .n_sockets = n_lines, .first_line = 1};
  for (int l = 0; l < n_lines; ++l) {
    d->lines[l] = (Line){.number = l + 1, .socket = l + 1, .pair = l + 1, .desk_input = {l + 1}};
  }
  for (int a = 0; a < n_acts; ++a) {
    d->acts[a] = (Act){names[a], "", "", ""};
  }
  d->plant = (Plant){.kinds = d->kinds,
                     .n_kinds = 3,
                     .boxes = &d->box,
                     .n_boxes = 1,
                     .lines = d->lines,
                     .n_lines = n_lines,
                     .acts = d->acts,
                     .n_acts = n_acts,
                     .inputs = d->inputs,
                     .needed = needed,
                     .n_needed = sizeof(needed) / sizeof(needed[0]),
                     .n_desks = 1};
  d->plant.desks[0] = (Desk){.name = "foh", .say = "house desk", .is_direct = true};
}

static void
add(Day* d, int act, const char* source, int kind)
{
  const int channel = ++d->plant.n_inputs;
  d->inputs[channel - 1] = (Input){.act = act,
                                   .channel = channel,
                                   .kind = kind,
                                   .source = source,
                                   .stand = "",
                                   .position = "",
                                   .note = "",
                                   .cable = "",
                                   .list = "",
                                   .line = -1};
}

static const DaypatchOptions usual = {0};

// ---- By hand ----

static void
check_rows(Day* d, DaypatchWay way, const int want[], int n_moved, int n_short)
{
  Arena arena;
  Daypatch got;
  arena_init(&arena, NULL);
  assert_int_equal(
    daypatch_plan(&arena, &d->plant, &(DaypatchOptions){.blocked = d->blocked}, way, &got),
    STATUS_OK);
  for (int i = 0; want && i < d->plant.n_inputs; ++i) {
    const int socket = got.line[i] < 0 ? 0 : d->lines[got.line[i]].socket;
    if (socket != want[i]) {
      fail_msg("%s: %s of %s: socket %d, want %d", daypatch_word(way), d->inputs[i].source,
               d->acts[d->inputs[i].act].name, socket, want[i]);
    }
  }
  assert_int_equal(got.n_moved, n_moved);
  assert_int_equal(got.n_short, n_short);
  arena_deinit(&arena);
}

static void
rows_by_hand(void** state)
{
  (void)state;
  Day d;
  day_init(&d, 6, 2);
  d.lines[5].is_spare = true; // Kept
  add(&d, 0, "kick", 0);
  add(&d, 0, "guitar 1", 2);
  add(&d, 0, "bass", 1);
  add(&d, 1, "keys", 2);
  add(&d, 1, "kick", 0);
  add(&d, 1, "guitar 1", 2);
  add(&d, 1, "guitar 2", 2);
  // Kick has 1, the first guitar 2, bass 3; keys comes next in the day, then the second guitar: two
  // new plugs, keys on 4 and guitar 2 on 5
  check_rows(&d, DAYPATCH_FAMILIES, (const int[]){1, 2, 3, 4, 1, 2, 5}, 2, 0);
  // Channel for channel. Keys after kick: other kind, moved. Kick after guitar 1: moved. Guitar 1
  // after bass: moved. Guitar 2 on an empty socket: moved
  check_rows(&d, DAYPATCH_ORDER, (const int[]){1, 2, 3, 1, 2, 3, 4}, 4, 0);
  // Kick and guitar 1 stay; bass is of no kind that comes. Two new plugs, whatever is done
  check_rows(&d, DAYPATCH_FEWEST, NULL, 2, 0);
  // A socket a list gives stays: kick of act 2 on 3, so it moves too
  d.inputs[4].line = 2;
  d.inputs[4].is_placed = true;
  check_rows(&d, DAYPATCH_ORDER, (const int[]){1, 2, 3, 1, 3, 2, 4}, 3, 0);
}

static void
what_must_hold_holds(void** state)
{
  (void)state;
  Day d;
  // Taped off, a spare, and a line the direct side has no desk on: two sockets are left for what
  // needs phantom, three for what does not
  day_init(&d, 5, 1);
  d.blocked[0] = true;
  d.lines[4].is_spare = true;
  d.lines[1].desk_input[0] = 0;
  d.lines[1].desk_input[1] = 2;
  d.plant.n_desks = 2;
  d.plant.desks[1] = (Desk){.name = "mon", .say = "monitor desk"};
  add(&d, 0, "hi-hat", 1);
  add(&d, 0, "ride", 1);
  add(&d, 0, "snare", 0);
  const int want[] = {3, 4, 2}; // By hand: phantom gets to 3 and 4 alone, so the snare has 2
  for (int way = 0; way < DAYPATCH_WAYS; ++way) {
    check_rows(&d, (DaypatchWay)way, way == DAYPATCH_FEWEST ? NULL : want, 0, 0);
  }
  d.inputs[2].kind = 1; // Three need phantom, and two sockets have it
  for (int way = 0; way < DAYPATCH_WAYS; ++way) {
    check_rows(&d, (DaypatchWay)way, NULL, 0, 1);
  }
  add(&d, 0, "tom", 0); // Takes the third
  add(&d, 0, "cowbell", 0);
  for (int way = 0; way < DAYPATCH_WAYS; ++way) {
    check_rows(&d, (DaypatchWay)way, NULL, 0, 2);
  }
  // A vocal keeps its line although others would like it, in all ways
  day_init(&d, 4, 2);
  add(&d, 0, "kick", 0);
  add(&d, 0, "vocal lead", 0);
  add(&d, 1, "vocal lead", 0);
  add(&d, 1, "kick", 0);
  for (int way = 0; way < DAYPATCH_WAYS; ++way) {
    Arena arena;
    Daypatch got;
    arena_init(&arena, NULL);
    assert_int_equal(daypatch_plan(&arena, &d.plant, &usual, (DaypatchWay)way, &got), STATUS_OK);
    assert_int_equal(got.line[1], got.line[2]);
    arena_deinit(&arena);
  }
}

// ---- Who is left without ----

// By hand: how much each is needed stands in `needed`.
static void
what_is_missed_least_is_left_out(void** state)
{
  (void)state;
  static const struct {
    const char* name;
    int n_lines, n_phantom; ///< The first so many sockets have phantom
    const char* sources[5];
    int kinds[5];
    int fixed[5]; ///< Socket its list gives; 0 = none
    int must;     ///< Number of the source the list marks; 0 = none
    const char* left[3];
    const char* share[2]; ///< Of the first that is left: on one line with
  } rows[] = {
    {"second of a pair before anything else",
     3,
     3,
     {"kick in", "kick out", "keys L", "vocal lead"},
     {0, 0, 2, 0},
     {0},
     0,
     {"kick out"},
     {NULL}},
    {"what comes first in the list is no more",
     1,
     1,
     {"hat", "guitar", "vocal lead"},
     {0, 0, 0},
     {0},
     0,
     {"guitar", "hat"},
     {NULL}},
    {"phantom: one socket has it",
     3,
     1,
     {"hat", "overhead", "kick in"},
     {1, 1, 0},
     {0},
     0,
     {"hat"},
     {NULL}},
    {"a voice leaves the socket with phantom",
     2,
     1,
     {"vocal lead", "overhead"},
     {0, 1},
     {0},
     0,
     {NULL},
     {NULL}},
    {"the list says what must be", 1, 1, {"guitar", "hat"}, {0, 0}, {0}, 2, {"guitar"}, {NULL}},
    {"what a list gives stays",
     1,
     1,
     {"hat", "vocal lead"},
     {0, 0},
     {1, 0},
     0,
     {"vocal lead"},
     {NULL}},
    {"two musts and one socket", 1, 1, {"vocal lead", "hat"}, {0, 0}, {0}, 2, {"hat"}, {NULL}},
    {"keys on one line by themselves",
     2,
     2,
     {"keys L", "keys R", "kick in"},
     {2, 2, 0},
     {0},
     0,
     {"keys R"},
     {"keys L", "keys R"}},
    {"keys by hand leave one to the kick",
     2,
     2,
     {"keys L", "keys R", "kick in"},
     {2, 2, 0},
     {1, 2, 0},
     0,
     {"kick in"},
     {"keys L", "keys R"}},
    {"microphones do not go on one line",
     2,
     2,
     {"overhead L", "overhead R", "kick in"},
     {1, 1, 0},
     {0},
     0,
     {"overhead R"},
     {NULL}},
  };
  for (size_t r = 0; r < sizeof(rows) / sizeof(rows[0]); ++r) {
    Day d;
    day_init(&d, rows[r].n_lines, 1);
    d.plant.n_desks = 2;
    d.plant.desks[1] = (Desk){.name = "mon", .say = "monitor desk"};
    for (int l = rows[r].n_phantom; l < rows[r].n_lines; ++l) {
      d.lines[l].desk_input[0] = 0;
      d.lines[l].desk_input[1] = l + 1;
    }
    for (int i = 0; i < 5 && rows[r].sources[i]; ++i) {
      add(&d, 0, rows[r].sources[i], rows[r].kinds[i]);
      d.inputs[i].is_must = rows[r].must == i + 1;
      d.inputs[i].is_placed = rows[r].fixed[i] > 0;
      d.inputs[i].line = rows[r].fixed[i] - 1;
    }
    for (int way = 0; way < DAYPATCH_WAYS; ++way) {
      Arena arena;
      Daypatch got;
      arena_init(&arena, NULL);
      assert_int_equal(daypatch_plan(&arena, &d.plant, &usual, (DaypatchWay)way, &got), STATUS_OK);
      for (int k = 0; k < 3; ++k) {
        const char* const want = rows[r].left[k] ? rows[r].left[k] : "";
        const char* const is = k < got.n_short ? d.inputs[got.shorts[k].input].source : "";
        if (strcmp(want, is) != 0) {
          fail_msg("%s, %s: number %d left out is \"%s\", want \"%s\"", rows[r].name,
                   daypatch_word((DaypatchWay)way), k + 1, is, want);
        }
      }
      const DaypatchShort* const first = got.n_short ? &got.shorts[0] : NULL;
      const char* const share =
        first && first->share >= 0 ? d.inputs[first->share].source : "nobody";
      if (strcmp(share, rows[r].share[0] ? rows[r].share[0] : "nobody") != 0 ||
          (rows[r].share[1] && strcmp(d.inputs[first->with].source, rows[r].share[1]) != 0)) {
        fail_msg("%s, %s: shares with %s", rows[r].name, daypatch_word((DaypatchWay)way), share);
      }
      arena_deinit(&arena);
    }
  }
}

// Whether sources (bits) can all have a socket, tried out one by one.
static bool
all_fit(const Day* d, int first, int n, unsigned set, int at, unsigned taken)
{
  while (at < n && !(set >> at & 1u)) {
    ++at;
  }
  if (at == n) {
    return true;
  }
  const Input* const input = &d->inputs[first + at];
  for (int l = 0; l < d->plant.n_lines; ++l) {
    const bool may = input->is_placed ? input->line == l
                                      : !d->lines[l].is_spare && !d->blocked[l] &&
                                          (input->kind != 1 || d->lines[l].desk_input[0] > 0);
    if (may && !(taken >> l & 1u) && all_fit(d, first, n, set, at + 1, taken | 1u << l)) {
      return true;
    }
  }
  return false;
}

// The law: of the sets that can all have a socket, what lists give among them, no set loses less;
// and no source left out is needed more than one that keeps a socket and could have given way.
static void
nothing_left_out_is_missed_more(void** state)
{
  (void)state;
  static const char* const names[] = {"kick in",    "kick out", "keys L", "keys R",
                                      "vocal lead", "vocal 2",  "hat",    "horn"};
  const int n_days = check_count(150, 3000);
  int n_short = 0;
  printf("seeds 20311500 on, %d days\n", n_days);
  for (int s = 0; s < n_days; ++s) {
    Rng rng;
    Day d;
    rng_init(&rng, 20311500u + (uint64_t)s);
    day_init(&d, 2 + rng_below(&rng, 4), 2);
    d.plant.n_desks = 2;
    d.plant.desks[1] = (Desk){.name = "mon", .say = "monitor desk"};
    for (int l = 0; l < d.plant.n_lines; ++l) {
      d.lines[l].desk_input[1] = l + 1;
      d.lines[l].desk_input[0] = rng_below(&rng, 3) ? l + 1 : 0;
    }
    d.blocked[rng_below(&rng, d.plant.n_lines)] = rng_below(&rng, 3) == 0;
    for (int a = 0; a < 2; ++a) {
      const int from = rng_below(&rng, 8);
      const int n = 2 + rng_below(&rng, 4);
      for (int k = 0; k < n; ++k) {
        const int name = (from + k * 3) % 8;
        add(&d, a, names[name], name == 2 || name == 3 ? 2 : rng_below(&rng, 2));
        d.inputs[d.plant.n_inputs - 1].is_must = rng_below(&rng, 8) == 0;
      }
      Input* const one = &d.inputs[d.plant.n_inputs - 1];
      one->is_placed = rng_below(&rng, 4) == 0;
      one->line = one->is_placed ? rng_below(&rng, d.plant.n_lines) : -1;
    }
    for (int k = 0; k < 2 * DAYPATCH_WAYS; ++k) {
      const DaypatchWay way = (DaypatchWay)(k / 2);
      const DaypatchOptions options = {.blocked = d.blocked, .voices_move = k % 2};
      Arena arena;
      Daypatch got;
      int lost = 0;
      arena_init(&arena, NULL);
      assert_int_equal(daypatch_plan(&arena, &d.plant, &options, way, &got), STATUS_OK);
      n_short += got.n_short;
      for (int a = 0, first = 0, n = 0; a < 2; ++a, first += n) {
        unsigned kept = 0;
        unsigned fixed = 0;
        int best = 1 << 20;
        for (n = 0; first + n < d.plant.n_inputs && d.inputs[first + n].act == a; ++n) {
          kept |= got.line[first + n] >= 0 ? 1u << n : 0u;
          fixed |= d.inputs[first + n].is_placed ? 1u << n : 0u;
        }
        for (unsigned set = 0; set < 1u << n; ++set) {
          int sum = 0;
          for (int i = 0; i < n; ++i) {
            sum += set >> i & 1u ? 0 : need_of(&d.plant, &d.inputs[first + i]);
          }
          best =
            sum < best && (set & fixed) == fixed && all_fit(&d, first, n, set, 0, 0) ? sum : best;
        }
        lost += best;
        for (int x = 0; x < n; ++x) {
          for (int y = 0; y < n && !(kept >> x & 1u); ++y) {
            const bool gives =
              (kept >> y & 1u) && !(fixed >> y & 1u) &&
              need_of(&d.plant, &d.inputs[first + y]) < need_of(&d.plant, &d.inputs[first + x]);
            if (gives && all_fit(&d, first, n, (kept | 1u << x) & ~(1u << y), 0, 0)) {
              fail_msg("seed %d, %s: %s is left out and %s could have given way", 20311500 + s,
                       daypatch_word(way), d.inputs[first + x].source, d.inputs[first + y].source);
            }
          }
        }
      }
      if (lost != got.lost) {
        fail_msg("seed %d, %s, voices move %d: %d lost, and the least is %d", 20311500 + s,
                 daypatch_word(way), k % 2, got.lost, lost);
      }
      arena_deinit(&arena);
    }
  }
  assert_true(n_short > n_days); // The law saw days with too few sockets
}

static void
a_voice_moves_only_where_somebody_would_go_without(void** state)
{
  (void)state;
  Day d;
  // Socket 1 has phantom. Act 2 needs it for the overhead, and its list gives the kick socket 2:
  // the voice, on 1 or 2 in act 1, cannot stay in both acts. With a third socket it is on that all
  // day.
  for (int n_lines = 2; n_lines <= 3; ++n_lines) {
    day_init(&d, n_lines, 2);
    d.plant.n_desks = 2;
    d.plant.desks[1] = (Desk){.name = "mon", .say = "monitor desk"};
    for (int l = 1; l < n_lines; ++l) {
      d.lines[l].desk_input[0] = 0;
      d.lines[l].desk_input[1] = l + 1;
    }
    add(&d, 0, "vocal lead", 0);
    add(&d, 0, "overhead", 1);
    add(&d, 1, "vocal lead", 0);
    add(&d, 1, "kick in", 0);
    d.inputs[3].is_placed = true;
    d.inputs[3].line = 1;
    for (int way = 0; way < DAYPATCH_WAYS; ++way) {
      Arena arena;
      Daypatch got;
      arena_init(&arena, NULL);
      assert_int_equal(daypatch_plan(&arena, &d.plant, &usual, (DaypatchWay)way, &got), STATUS_OK);
      assert_int_equal(got.n_short, 0);
      assert_int_equal(got.n_loose, n_lines == 2);
      arena_deinit(&arena);
    }
  }
  // In the order of the list, channel for channel, once voices may move: 1 and then 2
  day_init(&d, 3, 2);
  add(&d, 0, "vocal lead", 0);
  add(&d, 1, "kick in", 0);
  add(&d, 1, "vocal lead", 0);
  for (int moves = 0; moves < 2; ++moves) {
    Arena arena;
    Daypatch got;
    arena_init(&arena, NULL);
    const DaypatchOptions options = {.voices_move = moves};
    assert_int_equal(daypatch_plan(&arena, &d.plant, &options, DAYPATCH_ORDER, &got), STATUS_OK);
    assert_int_equal(got.line[0], 0);
    assert_int_equal(got.line[1], moves ? 0 : 1);
    assert_int_equal(got.line[2], moves ? 1 : 0);
    assert_int_equal(got.n_loose, moves);
    arena_deinit(&arena);
  }
}

// ---- Every patch there is ----

typedef struct {
  int line[BRUTE_IN_ACT];
} Map;

enum { MAX_MAPS = 2600 };

static bool
stays(const Input* was, const Input* next)
{
  return (!strcmp(was->source, next->source) && was->kind == next->kind) ||
         plugged_may_stay(was, next);
}

static int
all_maps(const Day* d, int first, int n, Map* maps)
{
  int n_maps = 0;
  Map now = {{0}};
  const int n_choices = d->plant.n_lines + 1;
  long total = 1;
  for (int i = 0; i < n; ++i) {
    total *= n_choices;
  }
  for (long code = 0; code < total; ++code) {
    long rest = code;
    bool good = true;
    for (int i = 0; i < n && good; ++i) {
      const Input* const input = &d->inputs[first + i];
      now.line[i] = (int)(rest % n_choices) - 1;
      rest /= n_choices;
      const int l = now.line[i];
      good =
        l < 0 || (input->is_placed ? input->line == l : !d->lines[l].is_spare && !d->blocked[l]);
      good = good && !(input->is_placed && l < 0);
      for (int k = 0; k < i && good; ++k) {
        good = l < 0 || now.line[k] != l;
      }
    }
    if (good) {
      assert_true(n_maps < MAX_MAPS);
      maps[n_maps++] = now;
    }
  }
  return n_maps;
}

// What is needed least left out, then fewest moved, over all patches: 1000 * lost + moved.
static int
brute(const Day* d)
{
  static Map maps[2][MAX_MAPS];
  static int cost[2][MAX_MAPS];
  int n_before = 0;
  int first_before = 0;
  int n_maps_before = 0;
  int best = 0;
  for (int a = 0; a < d->plant.n_acts; ++a) {
    int first = 0;
    int n = 0;
    for (int i = 0; i < d->plant.n_inputs; ++i) {
      first = d->inputs[i].act == a && n == 0 ? i : first;
      n += d->inputs[i].act == a;
    }
    Map* const now = maps[a % 2];
    const Map* const before = maps[1 - a % 2];
    const int n_now = all_maps(d, first, n, now);
    best = 1 << 20;
    for (int m = 0; m < n_now; ++m) {
      int least = 1 << 20;
      for (int p = 0; p < (a == 0 ? 1 : n_maps_before); ++p) {
        int sum = a == 0 ? 0 : cost[1 - a % 2][p];
        for (int i = 0; i < n; ++i) {
          bool kept = now[m].line[i] < 0 || a == 0;
          for (int k = 0; k < n_before && !kept; ++k) {
            kept = before[p].line[k] == now[m].line[i] &&
                   stays(&d->inputs[first_before + k], &d->inputs[first + i]);
          }
          sum +=
            (now[m].line[i] < 0 ? 1000 * need_of(&d->plant, &d->inputs[first + i]) : 0) + !kept;
        }
        least = sum < least ? sum : least;
      }
      cost[a % 2][m] = least;
      best = least < best ? least : best;
    }
    n_before = n;
    first_before = first;
    n_maps_before = n_now;
  }
  return best;
}

static void
fewest_is_the_least_there_is(void** state)
{
  (void)state;
  static const char* const names[] = {"kick in", "kick out", "guitar", "hat", "horn", "pipe"};
  static const char* const places[] = {"", "left", "right"};
  const int n_days = check_count(60, 1000);
  int n_proven = 0;
  printf("seeds 20310900 on, %d days\n", n_days);
  for (int s = 0; s < n_days; ++s) {
    Rng rng;
    Day d;
    rng_init(&rng, 20310900u + (uint64_t)s);
    day_init(&d, 3 + rng_below(&rng, 3), 2 + rng_below(&rng, 2));
    d.blocked[rng_below(&rng, d.plant.n_lines)] = rng_below(&rng, 3) == 0;
    d.lines[rng_below(&rng, d.plant.n_lines)].is_spare = rng_below(&rng, 3) == 0;
    for (int a = 0; a < d.plant.n_acts; ++a) {
      const int n = 1 + rng_below(&rng, BRUTE_IN_ACT);
      bool used[6] = {false};
      for (int k = 0; k < n; ++k) {
        const int name = rng_below(&rng, 6);
        if (used[name]) {
          continue;
        }
        used[name] = true;
        add(&d, a, names[name], rng_below(&rng, 2));
        Input* const input = &d.inputs[d.plant.n_inputs - 1];
        input->position = places[rng_below(&rng, 3)];
        const int line = rng_below(&rng, d.plant.n_lines);
        bool is_free = true;
        for (int i = 0; i + 1 < d.plant.n_inputs; ++i) {
          is_free = is_free && !(d.inputs[i].act == a && d.inputs[i].line == line);
        }
        if (rng_below(&rng, 5) == 0 && is_free) { // By hand
          input->line = line;
          input->is_placed = true;
        }
      }
    }
    Arena arena;
    Daypatch got[DAYPATCH_WAYS];
    arena_init(&arena, NULL);
    for (int way = 0; way < DAYPATCH_WAYS; ++way) {
      assert_int_equal(daypatch_plan(&arena, &d.plant, &(DaypatchOptions){.blocked = d.blocked},
                                     (DaypatchWay)way, &got[way]),
                       STATUS_OK);
      for (int i = 0; i < d.plant.n_inputs; ++i) { // Each by itself where it may be
        const int l = got[way].line[i];
        assert_true(!d.inputs[i].is_placed || l == d.inputs[i].line);
        assert_true(l < 0 || d.inputs[i].is_placed || (!d.blocked[l] && !d.lines[l].is_spare));
        for (int k = 0; k < i; ++k) {
          assert_true(l < 0 || d.inputs[k].act != d.inputs[i].act || got[way].line[k] != l);
        }
      }
    }
    const Daypatch* const best = &got[DAYPATCH_FEWEST];
    const int want = brute(&d);
    if (1000 * best->lost + best->n_moved != want) {
      fail_msg("seed %d: %d lost, %d moved, and the least is %d and %d", 20310900 + s, best->lost,
               best->n_moved, want / 1000, want % 1000);
    }
    assert_true(best->n_moved >= best->least);
    n_proven += best->n_moved == best->least;
    for (int way = 0; way < DAYPATCH_WAYS; ++way) {
      assert_int_equal(best->n_short, got[way].n_short);
      assert_int_equal(best->lost, got[way].lost);
      assert_true(best->n_moved <= got[way].n_moved);
    }
    arena_deinit(&arena);
  }
  printf("the bound is met on %d of %d\n", n_proven, n_days);
}

// Days with more than six starts' worth of sources whose least is known by the bound: found among
// 240 by leaving out what an act costs the one after it, with which the search ends a plug higher
// on each of these (over all 240 it ends 4 plugs higher, at 2162).
static void
an_act_looks_at_the_one_after_it(void** state)
{
  (void)state;
  static const char* const names[] = {"kick in", "kick out", "guitar", "hat",  "horn",
                                      "pipe",    "drum",     "bell",   "harp", "saw"};
  static const char* const places[] = {"left", "right", "middle"};
  static const int days[] = {58, 98, 159, 164, 174};
  for (size_t i = 0; i < sizeof(days) / sizeof(days[0]); ++i) {
    const int s = days[i];
    Rng rng;
    Day d;
    Arena arena;
    Daypatch got;
    rng_init(&rng, 20311900u + (uint64_t)s);
    day_init(&d, 8, 5);
    for (int a = 0; a < 5; ++a) {
      const int from = rng_below(&rng, 10);
      for (int k = 0; k < 6; ++k) {
        add(&d, a, names[(from + 3 * k) % 10], rng_below(&rng, 2));
        d.inputs[d.plant.n_inputs - 1].position = places[rng_below(&rng, 3)];
      }
    }
    for (int l = 0; l < 4; ++l) { // Half of the lines give no phantom
      d.lines[l].desk_input[0] = 0;
      d.lines[l].desk_input[1] = l + 1;
    }
    d.plant.n_desks = 2;
    d.plant.desks[1] = (Desk){.name = "mon", .say = "monitor desk"};
    arena_init(&arena, NULL);
    assert_int_equal(daypatch_plan(&arena, &d.plant, &usual, DAYPATCH_FEWEST, &got), STATUS_OK);
    if (got.n_moved != got.least) {
      fail_msg("seed %d: %d moved, and the least is %d", 20311900 + s, got.n_moved, got.least);
    }
    arena_deinit(&arena);
  }
}

// The demo's own lists planned anew: what no list gives must hold everywhere.
static void
the_demo_is_planned_anew(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  int moved[DAYPATCH_WAYS];
  for (int way = 0; way < DAYPATCH_WAYS; ++way) {
    Daypatch got;
    assert_int_equal(
      daypatch_plan(&arena, plant, &(DaypatchOptions){.anew = true}, (DaypatchWay)way, &got),
      STATUS_OK);
    assert_int_equal(got.n_short, 0);
    moved[way] = got.n_moved;
    for (int i = 0; i < plant->n_inputs; ++i) {
      const Input* const input = &plant->inputs[i];
      const Line* const line = &plant->lines[got.line[i]];
      assert_false(line->is_spare);
      assert_true(plant->kinds[input->kind].is_microphone || plant->kinds[input->kind].is_radio ||
                  daypatch_is_near(plant, input, got.line[i]));
    }
    check_figure(way == 0   ? "patch_families_moved"
                 : way == 1 ? "patch_order_moved"
                            : "patch_fewest_moved",
                 got.n_moved, "plugs");
    check_figure("patch_least", got.least, "plugs");
  }
  assert_true(moved[DAYPATCH_FEWEST] <= moved[DAYPATCH_FAMILIES]);
  assert_true(moved[DAYPATCH_FEWEST] <= moved[DAYPATCH_ORDER]);
  Daypatch kept; // With what the lists give nothing is left to plan
  assert_int_equal(daypatch_plan(&arena, plant, &usual, DAYPATCH_FEWEST, &kept), STATUS_OK);
  for (int i = 0; i < plant->n_inputs; ++i) {
    assert_int_equal(kept.line[i], plant->inputs[i].line);
  }
  arena_deinit(&arena);
}

static void
every_allocation_may_fail(void** state)
{
  (void)state;
  Day d;
  day_init(&d, 4, 2);
  add(&d, 0, "kick", 0);
  add(&d, 0, "vocal", 0);
  add(&d, 1, "keys", 2);
  add(&d, 1, "vocal", 0);
  int n = 1;
  int step = 1;
  for (int at = 0; at <= n; at += step) { // First a good run, which counts
    FailingHeap heap = {.fail_at = at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    Daypatch got;
    arena_init(&arena, &from);
    const Status st = daypatch_plan(&arena, &d.plant, &usual, DAYPATCH_FEWEST, &got);
    if (st != (at == 0 ? STATUS_OK : STATUS_NO_MEMORY)) {
      fail_msg("request %d of %d: status %d", at, n, (int)st);
    }
    if (at == 0) {
      n = heap.n_requests;
      step = failing_step(n, 200);
    }
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(rows_by_hand),
    cmocka_unit_test(what_must_hold_holds),
    cmocka_unit_test(what_is_missed_least_is_left_out),
    cmocka_unit_test(nothing_left_out_is_missed_more),
    cmocka_unit_test(a_voice_moves_only_where_somebody_would_go_without),
    cmocka_unit_test(fewest_is_the_least_there_is),
    cmocka_unit_test(an_act_looks_at_the_one_after_it),
    cmocka_unit_test(the_demo_is_planned_anew),
    cmocka_unit_test(every_allocation_may_fail),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
