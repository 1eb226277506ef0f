// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "day/planted.h"
#include "day/replay.h"

#include <string.h>

/*
  The hands of a change: chains and rings taken apart, orders against the shortest walk, splits
  against every split and, where there are too many, against what no split can be ready before.
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

// ---- On the demo ----

// The least walking over boxes from a start by trying every order.
static double
walk_by_trying(const Plant* plant, int place, unsigned left)
{
  double best = left ? 1e9 : 0.0;
  for (int b = 0; b < plant->n_boxes; ++b) {
    if (left >> b & 1u) {
      const double way = plant_walk_s(plant, place, plant->boxes[b].place) +
                         walk_by_trying(plant, plant->boxes[b].place, left & ~(1u << b));
      best = way < best ? way : best;
    }
  }
  return best;
}

static void
hands_walk_the_shortest_way(void** state)
{
  (void)state;
  const Plant* const plant = the_demo();
  for (int from = 0; from < plant->n_acts; ++from) {
    for (int to = 0; to < plant->n_acts; ++to) {
      for (int n = 1; from != to && n <= 3; ++n) {
        Arena arena;
        Change change;
        arena_init(&arena, NULL);
        make(&arena, plant, NULL, from, to, &(ChangeOptions){.now = usual.now, .n_hands = n},
             &change);
        for (int p = 0; p < n; ++p) {
          const ChangePerson* const who = &change.people[p];
          unsigned boxes = 0;
          double walked = 0.0;
          int place = who->place;
          for (int i = 0; i < who->n_steps; ++i) {
            const ChangeStep* const step = &change.steps[who->steps[i]];
            walked += plant_walk_s(plant, place, step->place);
            place = step->place;
            boxes |= 1u << plant->lines[step->line].box;
          }
          CHECK_NEAR(who->name, walked, walk_by_trying(plant, who->place, boxes), 1e-9);
        }
        arena_deinit(&arena);
      }
    }
  }
}

// Two hands, few units: no other split is ready much earlier.
static void
split_against_every_split(void** state)
{
  (void)state;
  const Plant* const plant = the_demo();
  const int n = check_count(60, 400);
  double worst = 1.0;
  for (int k = 0; k < n; ++k) {
    Rng rng;
    Arena arena;
    HandStep* steps = NULL;
    HandPlan plan;
    int now[REPLAY_LINES] = {0};
    int now_at[16];
    int target[REPLAY_LINES] = {0};
    int target_at[16];
    int n_steps = 0;
    int n_units = 0;
    const int start[2] = {plant_place(plant, "split"), plant_place(plant, "box D")};
    rng_init(&rng, 500 + (uint64_t)k);
    arena_init(&arena, NULL);
    for (int l = 0; l < plant->n_lines; ++l) {
      now[l] = target[l] = -1;
    }
    const int n_plugs = 2 + rng_below(&rng, 7);
    for (int i = 0; i < n_plugs; ++i) {
      int line = 0;
      do {
        line = rng_below(&rng, plant->n_lines);
      } while (now[line] >= 0 || target[line] >= 0);
      const bool strikes = rng_below(&rng, 2);
      now_at[i] = strikes ? line : -1;
      target_at[i] = strikes ? -1 : line;
      *(strikes ? &now[line] : &target[line]) = i;
    }
    assert_int_equal(
      hands_steps(&arena, plant, now, now_at, target, target_at, NULL, &steps, &n_steps, &n_units),
      STATUS_OK);
    assert_int_equal(n_steps, n_plugs);
    assert_int_equal(n_units, n_plugs);
    assert_int_equal(hands_plan(&arena, plant, start, 2, NULL, steps, n_steps, n_units, &plan),
                     STATUS_OK);
    double best = 1e9;
    for (unsigned split = 0; split < 1u << n_units; ++split) {
      double last = 0.0;
      for (int h = 0; h < 2; ++h) {
        unsigned boxes = 0;
        double work = 0.0;
        for (int i = 0; i < n_steps; ++i) {
          if ((int)(split >> steps[i].unit & 1u) == h) {
            boxes |= 1u << plant->lines[steps[i].line].box;
            work += steps[i].handle_s;
          }
        }
        for (unsigned b = boxes; b; b &= b - 1) {
          work += HANDS_VISIT_S;
        }
        work += walk_by_trying(plant, start[h], boxes);
        last = work > last ? work : last;
      }
      best = last < best ? last : best;
    }
    assert_true(plan.end_s >= best - 1e-9);
    worst = plan.end_s / best > worst ? plan.end_s / best : worst;
    arena_deinit(&arena);
  }
  check_figure("change_split_worst_ratio", worst, "times_the_best");
  assert_true(worst < 1.25);
}

// ---- A made stage: walks that are not the same both ways ----

enum { MADE_BOXES = 12, MADE_SOCKETS = 6, MADE_LINES = MADE_BOXES * MADE_SOCKETS, MADE_HANDS = 3 };

typedef struct {
  Plant plant;
  Box boxes[MADE_BOXES];
  Line lines[MADE_LINES];
  double walk_s[(MADE_BOXES + MADE_HANDS) * (MADE_BOXES + MADE_HANDS)];
  int start[MADE_HANDS];
  int now[MADE_LINES], target[MADE_LINES], now_at[MADE_LINES], target_at[MADE_LINES];
  HandStep* steps;
  int n_steps, n_units;
} Made;

// Walks of 5 to 60 s, each way its own; `n_plugs` come new or go.
static void
made_init(Made* m, Arena* arena, Rng* rng, int n_boxes, int n_plugs)
{
  const int n_places = n_boxes + MADE_HANDS;
  memset(m, 0, sizeof(*m));
  for (int i = 0; i < n_places * n_places; ++i) {
    m->walk_s[i] = i / n_places == i % n_places ? 0.0 : 5.0 + rng_below(rng, 56);
  }
  for (int h = 0; h < MADE_HANDS; ++h) {
    m->start[h] = n_boxes + h;
  }
  for (int l = 0; l < n_boxes * MADE_SOCKETS; ++l) {
    m->boxes[l / MADE_SOCKETS] = (Box){.name = "X", .place = l / MADE_SOCKETS};
    m->lines[l] = (Line){.number = l + 1, .box = l / MADE_SOCKETS, .socket = 1 + l % MADE_SOCKETS};
    m->now[l] = m->target[l] = -1;
  }
  m->plant = (Plant){.boxes = m->boxes,
                     .n_boxes = n_boxes,
                     .lines = m->lines,
                     .n_lines = n_boxes * MADE_SOCKETS,
                     .n_places = n_places,
                     .walk_s = m->walk_s};
  for (int i = 0; i < n_plugs; ++i) {
    // Every box has something, then wherever it falls
    int line = i < n_boxes ? i * MADE_SOCKETS : 0;
    while (m->now[line] >= 0 || m->target[line] >= 0) {
      line = rng_below(rng, m->plant.n_lines);
    }
    const bool strikes = rng_below(rng, 2);
    m->now_at[i] = strikes ? line : -1;
    m->target_at[i] = strikes ? -1 : line;
    *(strikes ? &m->now[line] : &m->target[line]) = i;
  }
  assert_int_equal(hands_steps(arena, &m->plant, m->now, m->now_at, m->target, m->target_at, NULL,
                               &m->steps, &m->n_steps, &m->n_units),
                   STATUS_OK);
  assert_int_equal(m->n_units, n_plugs);
}

static double
made_walk_s(const Made* m, int from, int to)
{
  return m->walk_s[from * m->plant.n_places + to];
}

// The least walk over every set of boxes from a start, by the set and where it ends [Held, Karp
// 1962]; `least` [1 << n_boxes].
static void
held_karp(const Made* m, int start, double* least)
{
  static double ends[1 << MADE_BOXES][MADE_BOXES];
  const int n = m->plant.n_boxes;
  least[0] = 0.0;
  for (unsigned set = 1; set < 1u << n; ++set) {
    least[set] = 1e12;
    for (int last = 0; last < n; ++last) {
      const unsigned before = set & ~(1u << last);
      double best = before ? 1e12 : made_walk_s(m, start, last);
      if (!(set >> last & 1u)) {
        continue;
      }
      for (int b = 0; b < n; ++b) {
        const double way = before >> b & 1u ? ends[before][b] + made_walk_s(m, b, last) : 1e12;
        best = way < best ? way : best;
      }
      ends[set][last] = best;
      least[set] = best < least[set] ? best : least[set];
    }
  }
}

// One hand, up to 12 boxes: its walk is the shortest there is.
static void
orders_against_held_karp(void** state)
{
  (void)state;
  static double least[1 << MADE_BOXES];
  const int n = check_count(40, 400);
  for (int k = 0; k < n; ++k) {
    static Made made;
    Rng rng;
    Arena arena;
    HandPlan plan;
    double walked = 0.0;
    rng_init(&rng, 900 + (uint64_t)k);
    arena_init(&arena, NULL);
    const int n_boxes = 1 + k % MADE_BOXES;
    made_init(&made, &arena, &rng, n_boxes, n_boxes + rng_below(&rng, n_boxes + 1));
    assert_int_equal(hands_plan(&arena, &made.plant, made.start, 1, NULL, made.steps, made.n_steps,
                                made.n_units, &plan),
                     STATUS_OK);
    held_karp(&made, made.start[0], least);
    int place = made.start[0];
    unsigned boxes = 0;
    for (int i = 0; i < plan.hands[0].n; ++i) {
      const int box = made.lines[made.steps[plan.hands[0].order[i]].line].box;
      walked += made_walk_s(&made, place, box);
      place = box;
      boxes |= 1u << box;
    }
    assert_int_equal(boxes, (1u << n_boxes) - 1);
    if (walked > least[boxes] + 1e-9 || walked < least[boxes] - 1e-9) {
      fail_msg("seed %d, %d boxes: walks %g s, Held-Karp %g s", 900 + k, n_boxes, walked,
               least[boxes]);
    }
    CHECK_NEAR("said", plan.hands[0].walked_s, walked, 1e-9);
    arena_deinit(&arena);
  }
}

/*
  No split is ready before this. Say for every box which hands come there: each of them walks at
  least the shortest way over their boxes and makes their visits, and any set of hands must do all
  the handling of the boxes where nobody else comes. So for each saying, with T(H) = (what the hands
  of H walk and visit + the handling only they can do) / |H|, the last is not ready before the
  greatest T(H); and over all sayings not before the least of those. Handling is taken to be divided
  at will, which is what makes it a bound.
*/
static double
bound_s(const Plant* plant, const HandStep* steps, int n_steps, double* const walks[], int n_hands)
{
  const int n = plant->n_boxes;
  const int n_sets = (1 << n_hands) - 1;
  double handle_s[MADE_BOXES] = {0.0};
  long n_sayings = 1;
  double best = 1e12;
  for (int i = 0; i < n_steps; ++i) {
    handle_s[plant->lines[steps[i].line].box] += steps[i].handle_s;
  }
  for (int b = 0; b < n; ++b) {
    n_sayings *= handle_s[b] > 0.0 ? n_sets : 1;
  }
  for (long saying = 0; saying < n_sayings; ++saying) {
    unsigned who[MADE_BOXES] = {0};
    unsigned boxes[MADE_HANDS] = {0};
    double worst = 0.0;
    long rest = saying;
    for (int b = 0; b < n; ++b) {
      if (handle_s[b] > 0.0) {
        who[b] = 1 + (unsigned)(rest % n_sets);
        rest /= n_sets;
      }
      for (int h = 0; h < n_hands; ++h) {
        boxes[h] |= who[b] >> h & 1u ? 1u << b : 0;
      }
    }
    for (unsigned set = 1; set <= (unsigned)n_sets; ++set) {
      double sum = 0.0;
      int size = 0;
      for (int h = 0; h < n_hands; ++h) {
        if (set >> h & 1u) {
          ++size;
          sum += walks[h][boxes[h]];
          for (unsigned b = boxes[h]; b; b &= b - 1) {
            sum += HANDS_VISIT_S;
          }
        }
      }
      for (int b = 0; b < n; ++b) {
        sum += who[b] && !(who[b] & ~set) ? handle_s[b] : 0.0;
      }
      worst = sum / size > worst ? sum / size : worst;
    }
    best = worst < best ? worst : best;
  }
  return best;
}

// Many plugs, two and three hands: how far from what no split can be ready before.
static void
split_against_a_bound(void** state)
{
  (void)state;
  const int n = check_count(24, 200);
  double worst = 1.0;
  double sum = 0.0;
  int seed = 0;
  for (int k = 0; k < n; ++k) {
    static Made made;
    static double walked[MADE_HANDS][1 << MADE_BOXES];
    double* const walks[MADE_HANDS] = {walked[0], walked[1], walked[2]};
    Rng rng;
    Arena arena;
    HandPlan plan;
    rng_init(&rng, 1300 + (uint64_t)k);
    arena_init(&arena, NULL);
    const int n_boxes = 3 + k % 3;
    const int n_hands = 2 + k / 3 % 2;
    made_init(&made, &arena, &rng, n_boxes, 18 + rng_below(&rng, n_boxes * MADE_SOCKETS - 17));
    assert_int_equal(hands_plan(&arena, &made.plant, made.start, n_hands, NULL, made.steps,
                                made.n_steps, made.n_units, &plan),
                     STATUS_OK);
    for (int h = 0; h < n_hands; ++h) {
      held_karp(&made, made.start[h], walked[h]);
    }
    const double bound = bound_s(&made.plant, made.steps, made.n_steps, walks, n_hands);
    if (plan.end_s < bound - 1e-6) {
      fail_msg("seed %d: ready at %g s, before the bound of %g s", 1300 + k, plan.end_s, bound);
    }
    sum += plan.end_s / bound;
    seed = plan.end_s / bound > worst ? 1300 + k : seed;
    worst = plan.end_s / bound > worst ? plan.end_s / bound : worst;
    arena_deinit(&arena);
  }
  check_figure("change_split_over_bound_mean", sum / n, "times_the_bound");
  check_figure("change_split_over_bound_worst", worst, "times_the_bound");
  if (worst > 1.15) {
    fail_msg("seed %d: %g times the bound", seed, worst);
  }
}

// ---- Chains and rings ----

static void
chains_and_rings(void** state)
{
  (void)state;
  const Plant* const plant = the_demo();
  for (int k = 0; k < 300; ++k) {
    Rng rng;
    Arena arena;
    HandStep* steps = NULL;
    HandPlan plan;
    int now[REPLAY_LINES] = {0};
    int target[REPLAY_LINES] = {0};
    int now_at[12];
    int target_at[12];
    int in[REPLAY_LINES];
    bool held[12] = {false};
    int n = 0;
    int n_units = 0;
    const int start[2] = {plant_place(plant, "split"), plant_place(plant, "box A")};
    rng_init(&rng, 700 + (uint64_t)k);
    arena_init(&arena, NULL);
    for (int l = 0; l < plant->n_lines; ++l) {
      now[l] = target[l] = -1;
    }
    for (int i = 0; i < 12;
         ++i) { // Ten neighbouring sockets over two boxes: chains and rings abound
      const int a = 10 + rng_below(&rng, 12);
      const int b = 10 + rng_below(&rng, 12);
      now_at[i] = now[a] < 0 ? a : -1;
      target_at[i] = target[b] < 0 && rng_below(&rng, 5) ? b : -1;
      if (now_at[i] >= 0) {
        now[a] = i;
      }
      if (target_at[i] >= 0) {
        target[b] = i;
      }
    }
    assert_int_equal(
      hands_steps(&arena, plant, now, now_at, target, target_at, NULL, &steps, &n, &n_units),
      STATUS_OK);
    assert_int_equal(hands_plan(&arena, plant, start, 2, NULL, steps, n, n_units, &plan),
                     STATUS_OK);
    memcpy(in, now, sizeof(in));
    // By the clock of both hands
    for (int done = 0; done < n; ++done) {
      int next = -1;
      for (int i = 0; i < n; ++i) {
        next = steps[i].hand >= 0 && (next < 0 || steps[i].end_s < steps[next].end_s) ? i : next;
      }
      HandStep* const s = &steps[next];
      if (s->does == HAND_HOLD || s->does == HAND_STRIKE) {
        assert_int_equal(in[s->line], s->plug);
        in[s->line] = -1;
        held[s->plug] = s->does == HAND_HOLD;
      } else {
        if (s->out >= 0) {
          assert_int_equal(in[s->line], s->out);
          in[s->line] = -1;
        }
        if (s->does == HAND_MOVE) {
          assert_int_equal(in[s->from], s->plug);
          assert_int_equal(plant->lines[s->from].box, plant->lines[s->line].box);
          in[s->from] = -1;
        } else {
          assert_true(s->from < 0 || held[s->plug]);
        }
        assert_int_equal(in[s->line], -1);
        in[s->line] = s->plug;
      }
      s->hand = -1 - s->hand;
    }
    assert_memory_equal(in, target, (size_t)plant->n_lines * sizeof(int));
    arena_deinit(&arena);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(hands_walk_the_shortest_way),
    cmocka_unit_test(split_against_every_split),
    cmocka_unit_test(orders_against_held_karp),
    cmocka_unit_test(split_against_a_bound),
    cmocka_unit_test(chains_and_rings),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
