// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "day/compare.h"
#include "day/mark.h"
#include "day/planted.h"
#include "day/readback.h"
#include "stage/lists.h"

#include <string.h>

/*
  Ways round and what comes of them. The law holds every way of random states to the rule, written
  here again from the rule alone: what the test itself plugged, taped off, moved and read is kept
  beside the facts, and around's own tests are not asked.
*/

// ---- Random states ----

enum { N_ACTS = 3, N_INPUTS = 60 };

typedef struct {
  Arena arena;
  Rng rng;
  uint64_t seed;
  Plant plant;
  int act;
  int line; ///< Whose ways are asked for
  Fact facts[96];
  size_t n_facts;
  bool is_taped[PLANT_MAX_LINES];   ///< By any of the names a line goes by
  bool is_accused[PLANT_MAX_LINES]; ///< Its newest word is against it
  bool is_plugged[PLANT_MAX_LINES]; ///< Somebody said so
  bool is_lent[PLANT_MAX_LINES];    ///< Something runs on it, or was moved away from it
  bool heard_good[PLANT_DESKS], heard_bad[PLANT_DESKS]; ///< Of `line`
  const Situation* s;
} State;

static bool
chance(State* w, int percent)
{
  return rng_below(&w->rng, 100) < percent;
}

static void
tell(State* w, FactKind kind, const FactBody* body)
{
  Error error = {0};
  Fact* const fact = &w->facts[w->n_facts];
  if (fact_make(&w->arena, kind, body, "2031-06-14T15:22:00Z", "", "", fact, &error) != STATUS_OK) {
    fail_msg("fact: %s", error.text);
  }
  fact->seq = (int64_t)++w->n_facts;
}

static const char*
socket_of(State* w, int line)
{
  const Line* const l = &w->plant.lines[line];
  return arena_format(&w->arena, "%s%d", w->plant.boxes[l->box].name, l->socket);
}

static void
random_plant(State* w, const Plant* base)
{
  static const char* const acts[] = {"act1", "act2", "act3"};
  Plant* const p = &w->plant;
  *p = *base;
  Line* const lines = arena_array(&w->arena, (size_t)p->n_lines, sizeof(Line));
  Act* const list = arena_array(&w->arena, N_ACTS, sizeof(Act));
  Input* const inputs = arena_array(&w->arena, (size_t)(N_ACTS * p->n_lines), sizeof(Input));
  KitItem* const kit = arena_array(&w->arena, 4, sizeof(KitItem));
  memcpy(lines, p->lines, (size_t)p->n_lines * sizeof(Line));
  const int used = 30 + rng_below(&w->rng, 60); // Per cent of the lines an act takes
  int n = 0;
  for (int l = 0; l < p->n_lines; ++l) {
    lines[l].is_spare = chance(w, 20);
    for (int d = 0; d < p->n_desks; ++d) { // Not every line goes to every desk
      lines[l].desk_input[d] = chance(w, 8) ? 0 : lines[l].desk_input[d];
    }
  }
  for (int a = 0; a < N_ACTS; ++a) {
    list[a] = (Act){acts[a], "", "", ""};
    for (int l = 0; l < p->n_lines; ++l) {
      if (chance(w, used)) {
        inputs[n] = (Input){.act = a,
                            .channel = l + 1,
                            .source = arena_format(&w->arena, "source %d", l + 1),
                            .kind = rng_below(&w->rng, p->n_kinds),
                            .wants_phantom = ANSWER_ASK,
                            .stand = "",
                            .position = "",
                            .note = "",
                            .cable = "",
                            .list = "",
                            .line = l};
        // The other end of a Y-lead sits in the socket beside it
        const bool has_y = l + 1 < p->n_lines && chance(w, 4);
        inputs[n].y_line = has_y ? lines[l + 1].number : 0;
        l += has_y;
        ++n;
      }
    }
  }
  for (int i = 0; i + 1 < n; ++i) { // A few sources have one that stands ready
    if (chance(w, 5) && inputs[i].act == inputs[i + 1].act) {
      inputs[i + 1].source = arena_format(&w->arena, "%s spare", inputs[i].source);
    }
  }
  kit[0] = (KitItem){"spare microphone cable 5 m", rng_below(&w->rng, 3), 0};
  kit[1] = (KitItem){"spare microphone cable 10 m", rng_below(&w->rng, 3), 0};
  kit[2] = (KitItem){"lamp tester", 1, 0};
  p->kit = kit;
  p->n_kit = chance(w, 20) ? 0 : 3;
  p->lines = lines;
  p->acts = list;
  p->n_acts = N_ACTS;
  p->inputs = inputs;
  p->n_inputs = n;
  p->desk_rows = NULL;
  p->n_desk_rows = 0;
  p->split.is_parallel = chance(w, 10);
}

static const char*
act_name(const State* w)
{
  return w->act >= 0 ? w->plant.acts[w->act].name : "";
}

static void
random_tape(State* w)
{
  const Plant* const p = &w->plant;
  const int line = rng_below(&w->rng, p->n_lines);
  const Line* const l = &p->lines[line];
  const Box* const box = &p->boxes[l->box];
  const int how = rng_below(&w->rng, 8);
  const bool of_box = how == 6 || how == 7;
  const char* item = socket_of(w, line);
  item = how == 1   ? arena_format(&w->arena, "line %d", l->number)
         : how == 2 ? arena_format(&w->arena, "pair %d", l->pair)
         : how == 3 ? arena_format(&w->arena, "split %d", l->split_channel)
         : how == 4 ? arena_format(&w->arena, "box %s %d", box->name, l->socket)
         : how == 6 ? arena_format(&w->arena, "tail %s", box->name)
         : how == 7 ? arena_format(&w->arena, "Box %s", box->name)
                    : item;
  const FactBody body = {.item = item};
  tell(w, FACT_TAPED_OFF, &body);
  for (int k = 0; k < p->n_lines; ++k) {
    w->is_taped[k] = w->is_taped[k] || k == line || (of_box && p->lines[k].box == l->box);
  }
}

static void
random_reading(State* w, int line)
{
  const int desk = rng_below(&w->rng, w->plant.n_desks);
  const bool good = chance(w, 50);
  const int other = chance(w, 70) || line == w->line ? w->act : rng_below(&w->rng, N_ACTS);
  const FactBody body = {.line = w->plant.lines[line].number,
                         .check = "level",
                         .reading = good ? "normal" : "nothing",
                         .at = w->plant.desks[desk].name,
                         .act = other >= 0 ? w->plant.acts[other].name : ""};
  if (w->plant.lines[line].desk_input[desk] == 0) {
    return;
  }
  tell(w, FACT_READING, &body);
  w->is_accused[line] = !good;
  if (line == w->line) {
    w->heard_good[desk] = good;
    w->heard_bad[desk] = !good;
  }
}

// One desk alone hears nothing although all is set as it should be: its own side, or its own input.
static void
one_deaf_desk(State* w)
{
  const Plant* const p = &w->plant;
  const int deaf = rng_below(&w->rng, p->n_desks);
  for (int d = 0; d < p->n_desks; ++d) {
    FactBody body = {.line = p->lines[w->line].number,
                     .check = "level",
                     .reading = d == deaf ? "nothing" : "normal",
                     .at = p->desks[d].name,
                     .act = act_name(w)};
    if (p->lines[w->line].desk_input[d] > 0) {
      tell(w, FACT_READING, &body);
      w->heard_good[d] = d != deaf;
      w->heard_bad[d] = d == deaf;
      body.check = "look";
      body.reading = "fine";
      tell(w, FACT_READING, &body);
    }
  }
}

static void
random_facts(State* w)
{
  const Plant* const p = &w->plant;
  for (int i = rng_below(&w->rng, 4); i > 0; --i) {
    random_tape(w);
  }
  const bool deaf = chance(w, 30);
  for (int i = rng_below(&w->rng, 5); i > 0 && !deaf; --i) {
    random_reading(w, w->line);
  }
  if (deaf) {
    one_deaf_desk(w);
  }
  for (int i = rng_below(&w->rng, 4); i > 0; --i) {
    random_reading(w, rng_below(&w->rng, p->n_lines));
  }
  for (int i = rng_below(&w->rng, 3); i > 0; --i) {
    const int line = rng_below(&w->rng, p->n_lines);
    const FactBody body = {
      .place = socket_of(w, line), .what = chance(w, 70) ? "a horn" : "", .act = act_name(w)};
    tell(w, FACT_PLUGGED, &body);
    w->is_plugged[line] = body.what[0] != '\0';
  }
  for (int i = rng_below(&w->rng, 3); i > 0; --i) {
    const int from = rng_below(&w->rng, p->n_lines);
    const int to = rng_below(&w->rng, p->n_lines);
    const int act = chance(w, 60) ? w->act : rng_below(&w->rng, N_ACTS);
    if (from == to || from == w->line || w->is_lent[from] || w->is_lent[to]) {
      continue;
    }
    const FactBody body = {.line = p->lines[from].number,
                           .way = socket_of(w, to),
                           .act = act >= 0 ? p->acts[act].name : ""};
    tell(w, FACT_MOVED, &body);
    w->is_lent[from] = w->is_lent[to] = true;
  }
}

static void
random_state(State* w, const Plant* base, uint64_t seed)
{
  memset(w, 0, sizeof(*w));
  arena_init(&w->arena, NULL);
  rng_init(&w->rng, seed);
  w->seed = seed;
  random_plant(w, base);
  w->act = chance(w, 85) ? rng_below(&w->rng, N_ACTS) : -1;
  w->line = rng_below(&w->rng, w->plant.n_lines);
  for (int i = 0; i < 20 && w->act >= 0 && !plant_input(&w->plant, w->act, w->line); ++i) {
    w->line = rng_below(&w->rng, w->plant.n_lines);
  }
  random_facts(w);
  Fold* const fold = arena_array(&w->arena, 1, sizeof(Fold));
  Situation* s = NULL;
  Error error = {0};
  assert_int_equal(fold_make(&w->arena, w->facts, w->n_facts, fold, &error), STATUS_OK);
  assert_int_equal(situation_new(&w->arena, &w->plant, w->act, fold, &s), STATUS_OK);
  w->s = s;
}

// ---- The rule ----

static bool
takes(const Plant* p, int act, int line)
{
  for (int i = 0; i < p->n_inputs; ++i) {
    const Input* const input = &p->inputs[i];
    if (input->act == act &&
        (input->line == line || (input->y_line && input->y_line == p->lines[line].number))) {
      return true;
    }
  }
  return false;
}

static bool
is_wanted(const State* w, int line)
{
  if (w->act >= 0) {
    return takes(&w->plant, w->act, line) || takes(&w->plant, w->act + 1, line);
  }
  return takes(&w->plant, 0, line) || takes(&w->plant, 1, line) || takes(&w->plant, 2, line);
}

// Odds that something of the copper is wrong, by the belief itself.
static double
bad_prob(State* w, int line)
{
  const int n = w->s->model.n_locals[line];
  double* const now = arena_array(&w->arena, (size_t)n, sizeof(double));
  belief_locals(w->s->belief, line, now);
  double sum = 0.0;
  for (int i = 1; i < n; ++i) {
    const PartSort part = w->s->locals[line][i].part;
    sum += part == PART_SOURCE || part == PART_CABLE || part == PART_THROUGH || part == PART_ELSE
             ? 0.0
             : now[i];
  }
  return sum;
}

#define WANT(state_, one, what)                                                                    \
  do {                                                                                             \
    if (!(what)) {                                                                                 \
      fail_msg("seed %llu, act %d, line %d, way %s: not so: %s",                                   \
               (unsigned long long)(state_)->seed, (state_)->act,                                  \
               (state_)->plant.lines[(state_)->line].number, (one)->way, #what);                   \
    }                                                                                              \
  } while (0)

static void
check_line(State* w, const AroundWay* way, int line)
{
  WANT(w, way, line >= 0 && line != w->line);
  WANT(w, way, !is_wanted(w, line));
  WANT(w, way, !w->is_taped[line]);
  WANT(w, way, !w->is_accused[line]);
  WANT(w, way, !w->is_plugged[line]);
  WANT(w, way, !w->is_lent[line]);
  WANT(w, way, bad_prob(w, line) <= 0.2);
}

static void
check_cable(State* w, const AroundWay* way)
{
  const Plant* const p = &w->plant;
  const int from = p->boxes[p->lines[w->line].box].place;
  const int to = p->boxes[p->lines[way->uses_line].box].place;
  const double there_s = p->walk_s[from * p->n_places + to];
  const double back_s = p->walk_s[to * p->n_places + from];
  const double far_m = from == to ? 0.0 : 0.8 * (there_s < back_s ? there_s : back_s);
  if (w->act < 0) {
    WANT(w, way, way->cable_m == 0.0);
    return;
  }
  WANT(w, way, way->cable_m >= far_m - 1e-9);
  if (p->n_kit > 0 &&
      far_m > 0.0) { // Out of cables that are there: n of 5 m and m of 10 m, two at most
    bool found = false;
    for (int five = 0; five <= 2 && five <= p->kit[0].count; ++five) {
      for (int ten = 0; five + ten <= 2 && ten <= p->kit[1].count; ++ten) {
        found = found || way->cable_m == 5.0 * five + 10.0 * ten;
      }
    }
    WANT(w, way, found);
  }
}

static int
n_heard(const State* w, const bool heard[])
{
  return heard[0] + heard[1] + heard[2] + 0 * w->act;
}

static void
check_way(State* w, const AroundWay* way, int n_of[WAY_COUNT])
{
  const Plant* const p = &w->plant;
  const Input* const input = plant_input(p, w->act, w->line);
  const Kind* const kind = input ? &p->kinds[input->kind] : NULL;
  const bool fed = kind && kind->needs_phantom == ANSWER_YES;
  const int direct = 0; // The house desk of the demo
  Loan as;
  ++n_of[way->sort];
  WANT(w, way, loan_read(p, w->act, w->line, way->way, &as) && as.sort == way->sort);
  WANT(w, way, w->act < 0 || input);
  switch (way->sort) {
    case WAY_SOCKET:
      check_line(w, way, way->uses_line);
      check_cable(w, way);
      WANT(w, way, as.to == way->uses_line);
      WANT(w, way, !fed || p->lines[way->uses_line].desk_input[direct] > 0);
      break;
    case WAY_SPARE: {
      const Input* const spare = plant_input(p, w->act, way->uses_line);
      WANT(w, way,
           spare && strstr(spare->source, "spare") &&
             !strncmp(spare->source, input->source, strlen(input->source)));
      WANT(w, way,
           !w->is_taped[way->uses_line] && !w->is_accused[way->uses_line] &&
             !w->is_lent[way->uses_line]);
      WANT(w, way, bad_prob(w, way->uses_line) <= 0.2);
      break;
    }
    case WAY_INPUT:
      check_line(w, way, way->lender);
      WANT(w, way, p->lines[way->lender].desk_input[way->desk] == as.input);
      WANT(w, way, w->heard_bad[way->desk] && n_heard(w, w->heard_bad) == 1);
      WANT(w, way, n_heard(w, w->heard_good) > 0);
      break;
    case WAY_FEED:
      WANT(w, way, w->heard_bad[way->desk] && w->heard_good[as.other]);
      break;
    case WAY_SIDE:
      WANT(w, way, w->heard_bad[way->desk] && !p->split.is_parallel);
      WANT(w, way, as.other != direct && p->lines[w->line].desk_input[as.other] > 0);
      WANT(w, way, way->desk != direct || (input && !fed && !plant_is_harmful(p, input)));
      break;
    default:
      WANT(w, way, false); // No box of the demo is digital
  }
  WANT(w, way, way->people >= 1 && way->seconds > 0.0);
}

static void
no_way_round_breaks_the_rule(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const base = planted_demo(&arena);
  const int n_states = check_count(250, 10000);
  int n_of[WAY_COUNT] = {0};
  int n_none = 0;
  printf("seeds 20310800 on, %d states\n", n_states);
  for (int i = 0; i < n_states; ++i) {
    State w;
    const AroundWay* ways = NULL;
    int n = 0;
    random_state(&w, base, 20310800u + (uint64_t)i);
    assert_int_equal(around_ways(w.s, &w.arena, w.line, &ways, &n), STATUS_OK);
    for (int k = 0; k < n; ++k) {
      check_way(&w, &ways[k], n_of);
      WANT(&w, &ways[k],
           k == 0 || ways[k - 1].seconds < ways[k].seconds ||
             (ways[k - 1].seconds == ways[k].seconds && ways[k - 1].people <= ways[k].people));
    }
    n_none += n == 0;
    arena_deinit(&w.arena);
  }
  for (int sort = WAY_SOCKET; sort < WAY_COUNT; ++sort) {
    printf("%s %d  ", loan_sort_word((WaySort)sort), n_of[sort]);
    assert_true(sort == WAY_LEAD || n_of[sort] > 0); // The law saw every sort
  }
  printf("none %d\n", n_none);
  arena_deinit(&arena);
}

// ---- The listed ways round ----

// The faults of the reference event whose way round is listed; what was read is what the list says.
static void
listed_ways_are_among_the_first_two(void** state)
{
  (void)state;
  static const struct {
    const char* name;
    const char* act;
    int line;
    const char* saw[3][3];
    const char* want[2]; ///< Any of them
  } rows[] = {
    {"F01 contact 3 open at the socket",
     NULL,
     6,
     {{"level", "far down", "foh"}, {"level", "far down", "mon"}, {"tone", "thin", "foh"}},
     {"A15", NULL}},
    {"F02 isolated side of the split open",
     NULL,
     22,
     {{"level", "normal", "foh"}, {"level", "nothing", "mon"}, {NULL, NULL, NULL}},
     {"B11", "mon from foh"}},
    {"F17 rain in the socket",
     "act4",
     44,
     {{"crackle", "some", "foh"}, {"level", "low", "foh"}, {NULL, NULL, NULL}},
     {"D8", NULL}},
  };
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Planted p;
    const AroundWay* ways = NULL;
    int n = 0;
    planted_init(&p, plant, rows[i].act, rows[i].line);
    for (int k = 0; k < 3 && rows[i].saw[k][0]; ++k) {
      planted_saw(&p, rows[i].saw[k][0], rows[i].saw[k][1], rows[i].saw[k][2]);
    }
    assert_int_equal(around_ways(planted_situation(&p), &p.arena, p.line, &ways, &n), STATUS_OK);
    for (int m = 0; m < 2 && rows[i].want[m]; ++m) {
      const bool found = (n > 0 && !strcmp(ways[0].way, rows[i].want[m])) ||
                         (n > 1 && !strcmp(ways[1].way, rows[i].want[m]));
      if (!found) {
        fail_msg("%s: %s is not among the first two (%s, %s)", rows[i].name, rows[i].want[m],
                 n > 0 ? ways[0].way : "none", n > 1 ? ways[1].way : "none");
      }
    }
    planted_deinit(&p);
  }
  arena_deinit(&arena);
}

// ---- Names of ways ----

static void
a_way_is_read_by_its_name(void** state)
{
  (void)state;
  static const struct {
    const char *act, *way;
    int line;
    WaySort sort; ///< WAY_NONE = refused
    int to;       ///< Number
    int desk, other, input;
  } rows[] = {
    {"act2", "D8", 45, WAY_SOCKET, 48, -1, -1, 0},
    {"act2", "d 8", 45, WAY_SOCKET, 48, -1, -1, 0},
    {"act2", "line 48", 45, WAY_SOCKET, 48, -1, -1, 0},
    {"act2", "line 43", 45, WAY_SPARE, 43, -1, -1, 0}, // Its spare sits there
    {"act2", "D3", 45, WAY_SPARE, 43, -1, -1, 0},
    {"act2", "foh 48", 45, WAY_INPUT, 45, 0, -1, 48},
    {"act2", "mon 99", 45, WAY_INPUT, 45, 1, -1, 99}, // An input of no line
    {"act2", "mon from foh", 45, WAY_FEED, 45, 1, 0, 0},
    {"act2", "monitor desk from house desk", 45, WAY_FEED, 45, 1, 0, 0},
    {"act2", "mon side broadcast", 45, WAY_SIDE, 45, 1, 2, 0},
    {"act2", "", 45, WAY_NONE, 0, 0, 0, 0},
    {"act2", "D5", 45, WAY_NONE, 0, 0, 0, 0},      // Where it is
    {"act2", "line 45", 45, WAY_NONE, 0, 0, 0, 0}, // The same
    {"act2", "foh 45", 45, WAY_NONE, 0, 0, 0, 0},  // The same
    {"act2", "foh from foh", 45, WAY_NONE, 0, 0, 0, 0},
    {"act2", "box D", 45, WAY_NONE, 0, 0, 0, 0}, // Not digital
    {"act2", "D9", 45, WAY_NONE, 0, 0, 0, 0},
    {"act2", "line 49", 45, WAY_NONE, 0, 0, 0, 0},
    {"act2", "the moon", 45, WAY_NONE, 0, 0, 0, 0},
    {"act2", " from ", 45, WAY_NONE, 0, 0, 0, 0},
    {"act2", "foh ", 45, WAY_NONE, 0, 0, 0, 0},
  };
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Loan loan = {.sort = WAY_COUNT};
    const bool good = loan_read(plant, plant_act(plant, rows[i].act),
                                plant_line(plant, rows[i].line), rows[i].way, &loan);
    if (good != (rows[i].sort != WAY_NONE) || (!good && loan.sort != WAY_COUNT) ||
        (good && (loan.sort != rows[i].sort || plant->lines[loan.to].number != rows[i].to ||
                  loan.desk != rows[i].desk || loan.other != rows[i].other ||
                  loan.input != rows[i].input))) {
      fail_msg("\"%s\": %s, sort %d, to %d, desk %d, other %d, input %d", rows[i].way,
               good ? "read" : "refused", (int)loan.sort, good ? plant->lines[loan.to].number : 0,
               loan.desk, loan.other, loan.input);
    }
  }
  arena_deinit(&arena);
}

// ---- A loan ----

static void
move(Planted* p, const char* way, const char* act)
{
  const FactBody body = {
    .line = p->plant->lines[p->line].number, .way = way, .act = act ? act : ""};
  planted_tell(p, FACT_MOVED, &body, "2031-06-14T15:22:00Z", "", "");
}

static void
done(Planted* p, const char* step, const char* desk)
{
  const FactBody body = {.line = p->plant->lines[p->line].number, .step = step, .at = desk};
  planted_tell(p, FACT_STEP_DONE, &body, "2031-06-14T15:22:00Z", "", "");
}

// How many desks compare names for not following on the line.
static int
n_behind(Planted* p, bool is_on_48)
{
  Comparison found;
  int n = 0;
  const Fold* const fold = planted_fold(p);
  Plant now = *p->plant; // As a show has it: what was read back lies over the desks' lists
  assert_int_equal(readback_overlay(&p->arena, p->plant, p->plant->desk_rows, p->plant->n_desk_rows,
                                    fold, &now.desk_rows, &now.n_desk_rows),
                   STATUS_OK);
  assert_int_equal(compare_all(&p->arena, &now, fold, p->act, &found), STATUS_OK);
  for (int i = 0; i < found.n; ++i) {
    n += found.list[i].line == p->line && found.list[i].what == COMPARE_PATCH;
    // The line it runs on is no disagreement, and no spare taken by mistake
    if (found.list[i].line == plant_line(p->plant, 48) && is_on_48) {
      fail_msg("on line 48: %s", found.list[i].say);
    }
  }
  return n;
}

static const char*
mark_now(Planted* p, char mark[MARK_ROOM])
{
  return mark_act(p->plant, planted_fold(p), p->act, mark);
}

static void
every_desk_is_asked_to_follow(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  char before[MARK_ROOM];
  char away[MARK_ROOM];
  char back[MARK_ROOM];
  planted_init(&p, plant, "act2", 45);
  (void)mark_now(&p, before);
  assert_int_equal(n_behind(&p, true), 0);
  move(&p, "D8", "act2");
  (void)mark_now(&p, away);
  assert_true(strncmp(before, away, 3) != 0); // Other letters: another list
  assert_int_equal(away[4], before[4] + 1);   // And a newer one
  assert_int_equal(n_behind(&p, true), 3);
  done(&p, "way D8", "foh");
  assert_int_equal(n_behind(&p, true), 2);
  const FactBody held = {.desk = "mon", .version = away, .act = "act2"};
  planted_tell(&p, FACT_HOLDS, &held, "2031-06-14T15:22:00Z", "", "");
  assert_int_equal(n_behind(&p, true), 1);
  const FactBody read = {
    .desk = "broadcast", .line = 48, .act = "act2", .channel = 45, .patch = "48"};
  planted_tell(&p, FACT_DESK_READ, &read, "2031-06-14T15:22:00Z", "", "");
  assert_int_equal(n_behind(&p, true), 0);
  // What was said before it moved again says nothing of where it is now
  move(&p, "A15", "act2");
  assert_int_equal(n_behind(&p, false), 3);
  done(&p, "way D8", "foh");
  assert_int_equal(n_behind(&p, false), 3);
  done(&p, "way A15", "foh");
  assert_int_equal(n_behind(&p, false), 2);
  // Given back: every desk that followed one of the two, or told what it holds meanwhile, puts back
  move(&p, "", "act2");
  (void)mark_now(&p, back);
  assert_int_equal(strncmp(before, back, 3), 0); // It says the same as at first
  assert_int_equal(back[4], before[4] + 3);
  assert_int_equal(n_behind(&p, false), 3);
  done(&p, "way back", "foh");
  done(&p, "way back", "mon");
  assert_int_equal(n_behind(&p, false), 1);
  const FactBody again = {
    .desk = "broadcast", .line = 45, .act = "act2", .channel = 45, .patch = "45"};
  planted_tell(&p, FACT_DESK_READ, &again, "2031-06-14T15:22:00Z", "", "");
  assert_int_equal(n_behind(&p, true), 0);
  // The same way once more is another loan: who followed the first has not followed this one
  move(&p, "D8", "act2");
  assert_int_equal(n_behind(&p, false), 3);
  planted_deinit(&p);
  arena_deinit(&arena);
}

// A desk that held the list before, and follows, holds the list in force without telling its mark.
static void
who_follows_holds_the_list_in_force(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  char before[MARK_ROOM];
  planted_init(&p, plant, "act2", 45);
  (void)mark_now(&p, before);
  const FactBody held = {.desk = "foh", .version = before, .act = "act2"};
  const FactBody old = {.desk = "mon", .version = "QLR 1", .act = "act2"};
  planted_tell(&p, FACT_HOLDS, &held, "2031-06-14T15:22:00Z", "", "");
  planted_tell(&p, FACT_HOLDS, &old, "2031-06-14T15:22:00Z", "", "");
  const struct {
    const char *way, *step;
    MarkWord house;
  } rows[] = {{NULL, NULL, MARK_SAME},
              {"D8", NULL, MARK_BEHIND},
              {NULL, "way D8", MARK_SAME},
              {"A15", NULL, MARK_BEHIND},
              {NULL, "way A15", MARK_SAME}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    if (rows[i].way) {
      move(&p, rows[i].way, "act2");
    }
    if (rows[i].step) {
      done(&p, rows[i].step, "foh");
    }
    MarkHeld now[MARK_PLACES];
    const Loan* loans = NULL;
    int n_loans = 0;
    const Fold* const fold = planted_fold(&p);
    assert_int_equal(loan_list(&p.arena, plant, fold, &loans, &n_loans), STATUS_OK);
    const int n = mark_held(plant, fold, p.act, loans, n_loans, now);
    for (int k = 0; k < n; ++k) {
      if (now[k].desk == 0 && now[k].word != rows[i].house) {
        fail_msg("row %zu: the house desk is %d", i, (int)now[k].word);
      }
      assert_true(now[k].desk != 1 || now[k].word == MARK_OTHER); // Another list stays one
    }
  }
  planted_deinit(&p);
  arena_deinit(&arena);
}

static void
a_loan_is_due_when_its_act_is_over(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  const Loan* loans = NULL;
  int n = 0;
  planted_init(&p, plant, "act2", 45);
  move(&p, "D8", "act2");
  assert_int_equal(loan_list(&p.arena, plant, planted_fold(&p), &loans, &n), STATUS_OK);
  assert_int_equal(n, 1);
  for (int act = 0; act < plant->n_acts; ++act) {
    const int due = act > plant_act(plant, "act2");
    assert_int_equal(loan_is_due(&loans[0], act), due);
    assert_int_equal(loan_of(loans, n, act, p.line) != NULL, act == plant_act(plant, "act2"));
    const int plug = loan_plug_at(plant, loans, n, act, p.line);
    assert_int_equal(plant->lines[plug].number, act == plant_act(plant, "act2") ? 48 : 45);
  }
  // As long as it is out its socket is no way round for anybody, whatever the act
  Situation* s = NULL;
  const AroundWay* ways = NULL;
  int n_ways = 0;
  assert_int_equal(situation_new(&p.arena, plant, plant_act(plant, "act3"), planted_fold(&p), &s),
                   STATUS_OK);
  assert_int_equal(around_ways(s, &p.arena, plant_line(plant, 42), &ways, &n_ways), STATUS_OK);
  for (int i = 0; i < n_ways; ++i) {
    assert_string_not_equal(ways[i].way, "D8");
  }
  LoanBack back;
  assert_int_equal(loan_back(&p.arena, plant, &loans[0], &back), STATUS_OK);
  assert_non_null(strstr(back.say, "from D8 back to D5"));
  assert_non_null(strstr(back.caution, "Phantom off on D5 and D8")); // A radio receiver: ask is no
  assert_string_equal(plant->places[back.place], "box D");
  assert_string_equal(back.desks[0], "Patch input 45 to the channel of vocal lead again.");
  // Told on bare lines it holds in every act, and is never due
  move(&p, "", "act2");
  move(&p, "D8", NULL);
  assert_int_equal(loan_list(&p.arena, plant, planted_fold(&p), &loans, &n), STATUS_OK);
  assert_int_equal(n, 1);
  for (int act = -1; act < plant->n_acts; ++act) {
    assert_false(loan_is_due(&loans[0], act));
    assert_non_null(loan_of(loans, n, act, p.line));
  }
  planted_deinit(&p);
  arena_deinit(&arena);
}

// The lists with the loans over them: what a changeover or a sheet starts from.
static void
loans_lie_over_the_lists(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  Plant laid;
  const Loan* loans = NULL;
  int n = 0;
  const int act = plant_act(plant, "act2");
  const int to = plant_line(plant, 48);
  planted_init(&p, plant, "act2", 45);
  move(&p, "D8", "act2");
  assert_int_equal(loan_list(&p.arena, plant, planted_fold(&p), &loans, &n), STATUS_OK);
  assert_int_equal(loan_lay(&p.arena, plant, loans, n, act, &laid), STATUS_OK);
  assert_null(plant_input(&laid, act, p.line));
  assert_string_equal(plant_input(&laid, act, to)->source, "vocal lead");
  assert_true(plant->lines[to].is_spare && !laid.lines[to].is_spare);
  assert_non_null(plant_input(plant, act, p.line)); // The lists are as they were
  const int other = plant_act(plant, "act4");
  assert_int_equal(loan_lay(&p.arena, plant, loans, n, other, &laid), STATUS_OK);
  assert_ptr_equal(laid.inputs, plant->inputs);
  move(&p, "foh 48", "act2");
  assert_int_equal(loan_list(&p.arena, plant, planted_fold(&p), &loans, &n), STATUS_OK);
  assert_int_equal(loan_lay(&p.arena, plant, loans, n, act, &laid), STATUS_OK);
  assert_int_equal(laid.lines[p.line].desk_input[0], 48);
  assert_int_equal(laid.lines[p.line].desk_input[1], 45);
  assert_int_equal(laid.lines[to].desk_input[0], 0);
  planted_deinit(&p);
  arena_deinit(&arena);
}

// ---- Memory ----

static Status
some_work(Arena* arena, const Plant* plant, const Fold* fold)
{
  const Loan* loans = NULL;
  int n = 0;
  Plant laid;
  Comparison found;
  Situation* s = NULL;
  const AroundWay* ways = NULL;
  int n_ways = 0;
  Status st = STATUS_OK;
  TRY(st, loan_list(arena, plant, fold, &loans, &n));
  TRY(st, loan_lay(arena, plant, loans, n, 0, &laid));
  for (int i = 0; i < n; ++i) {
    LoanBack back;
    TRY(st, loan_back(arena, plant, &loans[i], &back));
    if (!loan_say(arena, plant, &loans[i]) || !loan_step(arena, &loans[i]) ||
        !loan_desk_say(arena, plant, &loans[i], 0)) {
      return STATUS_NO_MEMORY;
    }
  }
  TRY(st, compare_all(arena, plant, fold, 0, &found));
  TRY(st, situation_new(arena, plant, 0, fold, &s));
  return around_ways(s, arena, 1, &ways, &n_ways);
}

static void
every_allocation_may_fail(void** state)
{
  (void)state;
  static const char inputs[] = "channel,source,pickup,phantom,box,socket\n"
                               "1,voice,dyn-vocal,no,A,1\n2,guitar,di-passive,no,A,2\n";
  const ListText list = {"inputs-act1.csv", inputs, sizeof(inputs) - 1};
  Arena of_plant;
  Plant plant;
  Fold fold;
  Error error = {0};
  arena_init(&of_plant, NULL);
  assert_int_equal(lists_build(&of_plant, &list, 1, 6, &plant, &error), STATUS_OK);
  Planted p;
  planted_init(&p, &plant, "act1", 1);
  move(&p, "A4", "act1");
  done(&p, "way A4", "foh");
  move(&p, "", "act1");
  p.line = 1;
  planted_saw(&p, "level", "nothing", "foh");
  move(&p, "foh 5", "act1");
  assert_int_equal(fold_make(&of_plant, p.facts, p.n_facts, &fold, &error), STATUS_OK);
  int n = 1;
  int step = 1;
  for (int at = 0; at <= n; at += step) { // First a good run, which counts
    FailingHeap heap = {.fail_at = at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &from);
    const Status st = some_work(&arena, &plant, &fold);
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
  planted_deinit(&p);
  arena_deinit(&of_plant);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(listed_ways_are_among_the_first_two),
    cmocka_unit_test(a_way_is_read_by_its_name),
    cmocka_unit_test(every_desk_is_asked_to_follow),
    cmocka_unit_test(who_follows_holds_the_list_in_force),
    cmocka_unit_test(a_loan_is_due_when_its_act_is_over),
    cmocka_unit_test(loans_lie_over_the_lists),
    cmocka_unit_test(every_allocation_may_fail),
    cmocka_unit_test(no_way_round_breaks_the_rule),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
