// SPDX-License-Identifier: GPL-3.0-or-later
#include "reason/assign.h"
#include "support/check.h"

#include <glpk.h>
#include <stdbool.h>
#include <string.h>

/*
  Assignments whose best answer is published or plain, each with where it is from; and a flow of a
  textbook through the routine the assignment is made of.
*/

typedef struct {
  const char* name;
  int n;
  short cost[16];
  bool is_most; ///< The largest sum is wanted
  long want;
  int column[4]; ///< From 1; 0 = not published
} Row;

static const Row rows[] = {
  {"Kuhn 1955, The Hungarian method, ratings of four people for four jobs",
   4,
   {8, 7, 9, 9, 5, 2, 7, 8, 6, 1, 4, 9, 2, 3, 2, 6},
   true,
   27,
   {1, 3, 4, 2}},
  {"OR-tools sample, workers and tasks",
   4,
   {90, 76, 75, 70, 35, 85, 55, 65, 125, 95, 90, 105, 45, 110, 95, 115},
   false,
   265,
   {0}},
  {"SciPy linear_sum_assignment, the example of its page",
   3,
   {4, 1, 3, 2, 0, 5, 3, 2, 2},
   false,
   5,
   {2, 1, 3}},
  // The dear ones together are the dearest: the least pairs 1 with 4, 2 with 3 (rearrangement)
  {"i times j, by hand",
   4,
   {1, 2, 3, 4, 2, 4, 6, 8, 3, 6, 9, 12, 4, 8, 12, 16},
   false,
   20,
   {4, 3, 2, 1}},
  {"9 2 7 8, an example of many lectures (from memory), summed by hand",
   4,
   {9, 2, 7, 8, 6, 4, 3, 7, 5, 8, 1, 8, 7, 6, 9, 4},
   false,
   13,
   {2, 1, 3, 4}},
};

static void
published_assignments(void** state)
{
  (void)state;
  for (size_t r = 0; r < sizeof(rows) / sizeof(rows[0]); ++r) {
    const Row* const row = &rows[r];
    unsigned char allowed[16];
    short cost[16];
    const short without[4] = {ASSIGN_MAX_COST, ASSIGN_MAX_COST, ASSIGN_MAX_COST, ASSIGN_MAX_COST};
    long sum = 0;
    Arena arena;
    Assignment a;
    memset(allowed, 1, sizeof(allowed));
    for (int i = 0; i < row->n * row->n; ++i) {
      cost[i] = (short)(row->is_most ? 100 - row->cost[i] : row->cost[i]);
    }
    const AssignProblem problem = {row->n, row->n, 1, allowed, cost, without};
    arena_init(&arena, NULL);
    assert_int_equal(assign_best(&problem, &arena, &a), STATUS_OK);
    for (int i = 0; i < row->n; ++i) {
      sum += row->cost[i * row->n + a.column[i]];
      if (row->column[0] && a.column[i] != row->column[i] - 1) {
        fail_msg("%s: row %d got column %d", row->name, i + 1, a.column[i] + 1);
      }
    }
    if (sum != row->want) {
      fail_msg("%s: got %ld, want %ld", row->name, sum, row->want);
    }
    arena_deinit(&arena);
  }
}

// Bradley, Hax, Magnanti: Applied Mathematical Programming, 1977, fig. 8.1: 150.
static void
a_textbook_flow(void** state)
{
  (void)state;
  typedef struct {
    double supply, potential;
  } Node;
  typedef struct {
    double low, cap, cost, flow;
  } Link;
  static const int arcs[][4] = {{0, 1, 15, 4}, {0, 2, 8, 4},  {1, 2, 20, 2},
                                {1, 3, 4, 2},  {1, 4, 10, 6}, {2, 3, 15, 1},
                                {2, 4, 4, 3},  {3, 4, 20, 2}, {4, 2, 5, 3}};
  static const double supplies[] = {20, 0, 0, -5, -15};
  double sum = 0.0;
  (void)glp_term_out(GLP_OFF);
  glp_graph* const graph = glp_create_graph((int)sizeof(Node), (int)sizeof(Link));
  (void)glp_add_vertices(graph, 5);
  for (int v = 0; v < 5; ++v) {
    *(Node*)graph->v[v + 1]->data = (Node){supplies[v], 0.0};
  }
  for (size_t i = 0; i < sizeof(arcs) / sizeof(arcs[0]); ++i) {
    glp_arc* const arc = glp_add_arc(graph, arcs[i][0] + 1, arcs[i][1] + 1);
    *(Link*)arc->data = (Link){0.0, arcs[i][2], arcs[i][3], 0.0};
  }
  assert_int_equal(glp_mincost_okalg(graph, (int)offsetof(Node, supply), (int)offsetof(Link, low),
                                     (int)offsetof(Link, cap), (int)offsetof(Link, cost), &sum,
                                     (int)offsetof(Link, flow), (int)offsetof(Node, potential)),
                   0);
  CHECK_NEAR("Bradley, Hax, Magnanti fig. 8.1", sum, 150.0, 0.0);
  // The sign of the prices that assign.c leans on: an optimum uses no arc whose reduced cost is
  // above 0, and fills every one below
  for (int v = 1; v <= 5; ++v) {
    for (const glp_arc* arc = graph->v[v]->out; arc; arc = arc->t_next) {
      const Link* const link = arc->data;
      const double reduced = link->cost - (((const Node*)arc->tail->data)->potential -
                                           ((const Node*)arc->head->data)->potential);
      assert_true(reduced <= 0.0 || link->flow == 0.0);
      assert_true(reduced >= 0.0 || link->flow == link->cap);
    }
  }
  glp_delete_graph(graph);
  (void)glp_free_env();
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(published_assignments),
    cmocka_unit_test(a_textbook_flow),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
