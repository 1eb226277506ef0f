// SPDX-License-Identifier: GPL-3.0-or-later
#include "reason/assign.h"

#include <glpk.h>
#include <setjmp.h>
#include <stdbool.h>
#include <stddef.h>

/*
  Nodes 1 to n_rows are the rows, then the columns, then the sink. An arc keeps which column it
  leads to (-1 = without), so that a tier's cost can be looked up anew each time.

  Prices: with potentials pi an arc's reduced cost is cost - (pi of its tail - pi of its head)
  [Bertsekas: Linear Network Optimization, 1991, ch. 1: complementary slackness]. Above 0 no optimum
  uses the arc, below 0 every optimum fills it; the next tier gets low = cap = 0 or low = cap = 1
  there.
*/

typedef struct {
  double supply, potential;
} Node;

typedef struct {
  double low, cap, cost, flow;
  int row, column; ///< row -1: from a column to the sink
} Link;

typedef struct {
  const AssignProblem* problem;
  glp_graph* graph;
  int* column;
  long cost[ASSIGN_TIERS];
  Status status;
} Work;

static bool
is_good(const AssignProblem* p)
{
  if (p->n_rows < 0 || p->n_columns < 0 || p->n_rows > ASSIGN_MAX || p->n_columns > ASSIGN_MAX ||
      p->n_tiers < 1 || p->n_tiers > ASSIGN_TIERS) {
    return false;
  }
  for (int i = 0; i < p->n_rows * p->n_tiers; ++i) {
    if (p->without[i] < 0 || p->without[i] > ASSIGN_MAX_COST) {
      return false;
    }
  }
  for (int i = 0; i < p->n_rows * p->n_columns; ++i) {
    for (int t = 0; p->allowed[i] && t < p->n_tiers; ++t) {
      const short cost = p->cost[(size_t)i * (size_t)p->n_tiers + (size_t)t];
      if (cost < 0 || cost > ASSIGN_MAX_COST) {
        return false;
      }
    }
  }
  return true;
}

static void
add_link(Work* w, int tail, int head, int row, int column)
{
  Link* const link = glp_add_arc(w->graph, tail, head)->data;
  *link = (Link){0.0, 1.0, 0.0, 0.0, row, column};
}

static void
build(Work* w)
{
  const AssignProblem* const p = w->problem;
  const int sink = p->n_rows + p->n_columns + 1;
  w->graph = glp_create_graph((int)sizeof(Node), (int)sizeof(Link));
  (void)glp_add_vertices(w->graph, sink);
  for (int v = 1; v <= sink; ++v) {
    const double supply = v <= p->n_rows ? 1.0 : v == sink ? -(double)p->n_rows : 0.0;
    *(Node*)w->graph->v[v]->data = (Node){supply, 0.0};
  }
  for (int row = 0; row < p->n_rows; ++row) {
    for (int c = 0; c < p->n_columns; ++c) {
      if (p->allowed[row * p->n_columns + c]) {
        add_link(w, row + 1, p->n_rows + c + 1, row, c);
      }
    }
    add_link(w, row + 1, sink, row, -1);
  }
  for (int c = 0; c < p->n_columns; ++c) {
    add_link(w, p->n_rows + c + 1, sink, -1, c);
  }
}

static int
link_cost(const AssignProblem* p, const Link* link, int tier)
{
  const size_t n_tiers = (size_t)p->n_tiers;
  if (link->row < 0) {
    return 0;
  }
  const size_t row = (size_t)link->row;
  return link->column < 0
           ? p->without[row * n_tiers + (size_t)tier]
           : p->cost[(row * (size_t)p->n_columns + (size_t)link->column) * n_tiers + (size_t)tier];
}

typedef void (*Each)(Work* w, int tier, glp_arc* arc);

static void
each_link(Work* w, int tier, Each each)
{
  for (int v = 1; v <= w->graph->nv; ++v) {
    for (glp_arc* arc = w->graph->v[v]->out; arc; arc = arc->t_next) {
      each(w, tier, arc);
    }
  }
}

static void
set_cost(Work* w, int tier, glp_arc* arc)
{
  Link* const link = arc->data;
  link->cost = link_cost(w->problem, link, tier);
}

// What this tier settles stays settled.
static void
settle(Work* w, int tier, glp_arc* arc)
{
  Link* const link = arc->data;
  const Node* const tail = arc->tail->data;
  const Node* const head = arc->head->data;
  const double reduced = link->cost - (tail->potential - head->potential);
  w->cost[tier] += link->flow > 0.5 ? (long)link->cost : 0;
  if (link->low == link->cap) {
    return; // Settled by a tier before
  }
  if (reduced > 0.5) {
    link->cap = 0.0;
  } else if (reduced < -0.5) {
    link->low = link->cap;
  }
}

static void
take(Work* w, int tier, glp_arc* arc)
{
  const Link* const link = arc->data;
  (void)tier;
  if (link->row >= 0 && link->flow > 0.5) {
    w->column[link->row] = link->column;
  }
}

static void
solve(Work* w)
{
  build(w);
  for (int tier = 0; tier < w->problem->n_tiers; ++tier) {
    double sum = 0.0;
    each_link(w, tier, set_cost);
    const int failed = glp_mincost_okalg(
      w->graph, (int)offsetof(Node, supply), (int)offsetof(Link, low), (int)offsetof(Link, cap),
      (int)offsetof(Link, cost), &sum, (int)offsetof(Link, flow), (int)offsetof(Node, potential));
    if (failed) { // Everybody may go without, so there is always an answer
      w->status = STATUS_LIMIT;
      return;
    }
    each_link(w, tier, settle);
  }
  each_link(w, 0, take);
  w->status = STATUS_OK;
}

// GLPK ends the program when it has no memory, unless its hook never comes back.
static void
give_up(void* user)
{
  longjmp(*(jmp_buf*)user, 1);
}

Status
assign_best(const AssignProblem* problem, Arena* arena, Assignment* assignment)
{
  if (!is_good(problem)) {
    return STATUS_BAD_ARG;
  }
  Work* const work = arena_array(arena, 1, sizeof(*work));
  int* const column = arena_array(arena, (size_t)problem->n_rows, sizeof(int));
  jmp_buf back;
  if (!work || !column) {
    return STATUS_NO_MEMORY;
  }
  *work = (Work){.problem = problem, .column = column, .status = STATUS_NO_MEMORY};
  (void)glp_term_out(GLP_OFF);
  if (!setjmp(back)) {
    glp_error_hook(give_up, &back);
    solve(work);
    glp_delete_graph(work->graph);
    glp_error_hook(NULL, NULL);
  }
  (void)glp_free_env(); // Also what a failed request left half made
  if (work->status != STATUS_OK) {
    return work->status;
  }
  Assignment out = {.column = column};
  for (int t = 0; t < ASSIGN_TIERS; ++t) {
    out.cost[t] = work->cost[t];
  }
  for (int row = 0; row < problem->n_rows; ++row) {
    out.n_without += column[row] < 0;
  }
  *assignment = out;
  return STATUS_OK;
}
