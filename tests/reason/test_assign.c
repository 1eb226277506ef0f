// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "reason/assign.h"
#include "support/check.h"

#include <stdbool.h>
#include <string.h>

/*
  The assignment against every assignment there is, tier by tier; sizes nobody has; and memory that
  runs out.
*/

enum { MOST = 8 };

typedef struct {
  int n_rows, n_columns, n_tiers;
  unsigned char allowed[MOST * MOST];
  short cost[MOST * MOST * ASSIGN_TIERS];
  short without[MOST * ASSIGN_TIERS];
} Case;

static AssignProblem
problem_of(const Case* c)
{
  return (AssignProblem){c->n_rows, c->n_columns, c->n_tiers, c->allowed, c->cost, c->without};
}

// ---- Every assignment ----

typedef struct {
  const Case* c;
  long best[ASSIGN_TIERS];
  bool any;
} Search;

static int
compare(const long* a, const long* b, int n)
{
  for (int t = 0; t < n; ++t) {
    if (a[t] != b[t]) {
      return a[t] < b[t] ? -1 : 1;
    }
  }
  return 0;
}

static void
try_row(Search* s, int row, unsigned taken, const long* so_far)
{
  const Case* const c = s->c;
  if (row == c->n_rows) {
    if (!s->any || compare(so_far, s->best, c->n_tiers) < 0) {
      memcpy(s->best, so_far, sizeof(s->best));
      s->any = true;
    }
    return;
  }
  for (int column = -1; column < c->n_columns; ++column) {
    long sum[ASSIGN_TIERS] = {0};
    const int at = row * c->n_columns + column;
    if (column >= 0 && (!c->allowed[at] || (taken >> column & 1u))) {
      continue;
    }
    for (int t = 0; t < c->n_tiers; ++t) {
      sum[t] =
        so_far[t] + (column < 0 ? c->without[row * c->n_tiers + t] : c->cost[at * c->n_tiers + t]);
    }
    try_row(s, row + 1, column < 0 ? taken : taken | 1u << column, sum);
  }
}

// What an answer costs, and that it is one.
static void
check_answer(const Case* c, const Assignment* a, const char* name)
{
  long sum[ASSIGN_TIERS] = {0};
  unsigned taken = 0;
  int n_without = 0;
  for (int row = 0; row < c->n_rows; ++row) {
    const int column = a->column[row];
    n_without += column < 0;
    if (column >= 0) {
      assert_in_range(column, 0, c->n_columns - 1);
      assert_false(taken >> column & 1u);
      assert_true(c->allowed[row * c->n_columns + column]);
      taken |= 1u << column;
    }
    for (int t = 0; t < c->n_tiers; ++t) {
      sum[t] += column < 0 ? c->without[row * c->n_tiers + t]
                           : c->cost[(row * c->n_columns + column) * c->n_tiers + t];
    }
  }
  assert_int_equal(n_without, a->n_without);
  for (int t = 0; t < c->n_tiers; ++t) {
    if (sum[t] != a->cost[t]) {
      fail_msg("%s: tier %d is said to cost %ld and costs %ld", name, t, a->cost[t], sum[t]);
    }
  }
}

static Case
random_case(Rng* rng, int most_rows, int most_columns)
{
  Case c = {.n_rows = 1 + rng_below(rng, most_rows),
            .n_columns = 1 + rng_below(rng, most_columns),
            .n_tiers = 1 + rng_below(rng, ASSIGN_TIERS)};
  for (int i = 0; i < c.n_rows * c.n_columns; ++i) {
    c.allowed[i] = rng_below(rng, 5) > 0;
    for (int t = 0; t < c.n_tiers; ++t) {
      c.cost[i * c.n_tiers + t] = (short)rng_below(rng, t + 1 < c.n_tiers ? 3 : 100);
    }
  }
  for (int i = 0; i < c.n_rows * c.n_tiers; ++i) {
    c.without[i] = (short)(i % c.n_tiers == 0 ? 1 + rng_below(rng, 4) : 0);
  }
  return c;
}

static void
equals_every_assignment(void** state)
{
  (void)state;
  const int n = check_count(200, 400);
  const bool is_long = getenv("LINEWALK_LONG") != NULL;
  int n_short = 0;
  for (int i = 0; i < n; ++i) {
    Rng rng;
    Arena arena;
    Assignment a;
    char name[40];
    const long nothing[ASSIGN_TIERS] = {0};
    rng_init(&rng, 8000 + (uint64_t)i);
    const Case c = random_case(&rng, is_long && i % 20 == 0 ? MOST : 5, MOST);
    const AssignProblem problem = problem_of(&c);
    Search s = {.c = &c};
    (void)snprintf(name, sizeof(name), "seed %d", 8000 + i);
    arena_init(&arena, NULL);
    try_row(&s, 0, 0, nothing);
    assert_int_equal(assign_best(&problem, &arena, &a), STATUS_OK);
    check_answer(&c, &a, name);
    for (int t = 0; t < c.n_tiers; ++t) {
      if (a.cost[t] != s.best[t]) {
        fail_msg("%s: tier %d costs %ld, the best is %ld", name, t, a.cost[t], s.best[t]);
      }
    }
    n_short += a.n_without > 0;
    arena_deinit(&arena);
  }
  assert_true(n_short > n / 10 && n_short < n); // Both sorts are there
}

static void
a_tier_never_gives_way_to_a_later_one(void** state)
{
  (void)state;
  // Two rows, two columns: the second tier would gladly pay 1 of the first for 10000 of its own
  Case c = {.n_rows = 2, .n_columns = 2, .n_tiers = 2, .allowed = {1, 1, 1, 1}};
  const short cost[] = {0, 10000, 1, 0, 1, 0, 0, 10000};
  Arena arena;
  Assignment a;
  memcpy(c.cost, cost, sizeof(cost));
  c.without[0] = c.without[2] = 5;
  const AssignProblem problem = problem_of(&c);
  arena_init(&arena, NULL);
  assert_int_equal(assign_best(&problem, &arena, &a), STATUS_OK);
  assert_int_equal(a.column[0], 0);
  assert_int_equal(a.column[1], 1);
  assert_int_equal(a.cost[0], 0);
  assert_int_equal(a.cost[1], 20000);
  arena_deinit(&arena);
}

static void
the_same_again_and_again(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 4711);
  const Case c = random_case(&rng, MOST, MOST);
  const AssignProblem problem = problem_of(&c);
  int first[MOST];
  for (int i = 0; i < 20; ++i) {
    Arena arena;
    Assignment a;
    arena_init(&arena, NULL);
    assert_int_equal(assign_best(&problem, &arena, &a), STATUS_OK);
    if (i == 0) {
      memcpy(first, a.column, (size_t)c.n_rows * sizeof(int));
    }
    assert_memory_equal(first, a.column, (size_t)c.n_rows * sizeof(int));
    arena_deinit(&arena);
  }
}

static void
what_makes_no_sense_is_refused(void** state)
{
  (void)state;
  Arena arena;
  Assignment a = {.n_without = -7};
  Case c = {.n_rows = 1, .n_columns = 1, .n_tiers = 1, .allowed = {1}};
  arena_init(&arena, NULL);
  AssignProblem p = problem_of(&c);
  p.n_tiers = 0;
  assert_int_equal(assign_best(&p, &arena, &a), STATUS_BAD_ARG);
  p = problem_of(&c);
  p.n_rows = ASSIGN_MAX + 1;
  assert_int_equal(assign_best(&p, &arena, &a), STATUS_BAD_ARG);
  p = problem_of(&c);
  c.cost[0] = -1;
  assert_int_equal(assign_best(&p, &arena, &a), STATUS_BAD_ARG);
  c.cost[0] = ASSIGN_MAX_COST + 1;
  assert_int_equal(assign_best(&p, &arena, &a), STATUS_BAD_ARG);
  c.cost[0] = 0;
  c.without[0] = -1;
  assert_int_equal(assign_best(&p, &arena, &a), STATUS_BAD_ARG);
  assert_int_equal(a.n_without, -7);
  c.without[0] = 1;
  p.n_rows = 0; // Nobody wants anything: there is an answer
  assert_int_equal(assign_best(&p, &arena, &a), STATUS_OK);
  assert_int_equal(a.n_without, 0);
  arena_deinit(&arena);
}

static void
every_failed_request_is_said(void** state)
{
  (void)state;
  Rng rng;
  rng_init(&rng, 3);
  const Case c = random_case(&rng, 4, 4);
  const AssignProblem problem = problem_of(&c);
  for (int fail_at = 1;; ++fail_at) {
    FailingHeap heap = {.fail_at = fail_at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    Assignment a = {.n_without = -7};
    arena_init(&arena, &from);
    const Status st = assign_best(&problem, &arena, &a);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    if (st == STATUS_OK) {
      assert_true(fail_at > 1);
      return;
    }
    assert_int_equal(st, STATUS_NO_MEMORY);
    assert_int_equal(a.n_without, -7);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(equals_every_assignment),
    cmocka_unit_test(a_tier_never_gives_way_to_a_later_one),
    cmocka_unit_test(the_same_again_and_again),
    cmocka_unit_test(what_makes_no_sense_is_refused),
    cmocka_unit_test(every_failed_request_is_said),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
