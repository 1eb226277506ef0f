// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/wiring.h"

#include "fault/explain.h"
#include "fault/net.h"

#include <string.h>

/*
  Two halves. Forward (net): faults are applied to the plan and what hangs together is found by
  union-find over contacts and the lengths of wires. Backward (explain): contacts fall into groups
  that neither a reading nor the plan connects; within a group sets of faults are tried, each by the
  forward half, until some explain the reading.

  Groups may be looked at one by one because the cheapest explanation never mixes them: a fault that
  ties two groups together would show as a tie, unless crossings at both ends undo it, and crossings
  of least cost lie within the cycles they make (the factors of a permutation into fewest
  transpositions are noncrossing partitions of its cycles: Brady 2001, "A partial order on the
  symmetric group").
*/

Status
wiring_check(const WiringPlan* plan)
{
  if (plan->n_wires < 1 || plan->n_wires > WIRING_WIRES || plan->n_joins < 0 ||
      plan->n_joins > WIRING_CONTACTS) {
    return STATUS_BAD_ARG;
  }
  for (int e = 0; e < 2; ++e) {
    if (plan->n[e] < 1 || plan->n[e] >= WIRING_CONTACTS) {
      return STATUS_BAD_ARG;
    }
  }
  for (int w = 0; w < plan->n_wires; ++w) {
    const WiringWire* const wire = &plan->wires[w];
    if (wire->near < 1 || wire->near > wiring_contacts(plan, WIRING_NEAR) || wire->far < 1 ||
        wire->far > wiring_contacts(plan, WIRING_FAR)) {
      return STATUS_BAD_ARG;
    }
  }
  for (int j = 0; j < plan->n_joins; ++j) {
    const WiringJoin* const join = &plan->joins[j];
    if ((join->end != WIRING_NEAR && join->end != WIRING_FAR) || join->a < 1 || join->b < 1 ||
        join->a == join->b || join->a > wiring_contacts(plan, join->end) ||
        join->b > wiring_contacts(plan, join->end)) {
      return STATUS_BAD_ARG;
    }
  }
  return STATUS_OK;
}

int
wiring_wires(const WiringPlan* plan, WiringWire wires[WIRING_ALL])
{
  int n = 0;
  for (; n < plan->n_wires; ++n) {
    wires[n] = plan->wires[n];
  }
  for (WiringPlace end = WIRING_NEAR; end <= WIRING_FAR; ++end) {
    for (int c = 1; c <= wiring_contacts(plan, end); ++c) {
      bool has_wire = false;
      for (int w = 0; w < plan->n_wires; ++w) {
        has_wire = has_wire || net_end_of(&plan->wires[w], end) == c;
      }
      if (!has_wire) {
        wires[n++] = end == WIRING_NEAR ? (WiringWire){c, 0} : (WiringWire){0, c};
      }
    }
  }
  return n;
}

int
wiring_cost(const WiringFault* fault)
{
  return fault->sort == WIRING_CROSSED ? fault->n - 1 : 1;
}

static bool
fault_fits(const NetModel* model, const WiringFault* fault)
{
  const WiringPlan* const plan = model->plan;
  switch (fault->sort) {
    case WIRING_OPEN:
      return fault->n == 1 && fault->at[0] < plan->n_wires && fault->place != WIRING_ALONG;
    case WIRING_NO_JOIN:
      return fault->n == 1 && fault->at[0] < plan->n_joins;
    case WIRING_SHORT:
      return fault->n == 2 && fault->at[0] < fault->at[1] &&
             (fault->place == WIRING_ALONG
                ? fault->at[1] < model->n_wires
                : fault->at[0] >= 1 && fault->at[1] <= wiring_contacts(plan, fault->place));
    case WIRING_CROSSED:
      if (fault->n < 2 || fault->n > WIRING_CONTACTS || fault->place == WIRING_ALONG) {
        return false;
      }
      for (int i = 0; i < fault->n; ++i) {
        if (fault->at[i] >= model->n_wires ||
            !net_end_of(&model->wires[fault->at[i]], fault->place)) {
          return false;
        }
        for (int k = 0; k < i; ++k) {
          if (fault->at[k] == fault->at[i]) {
            return false;
          }
        }
      }
      return true;
    default:
      return false;
  }
}

Status
wiring_matrix(const WiringPlan* plan, const WiringFault* faults, int n, WiringSeen* seen)
{
  NetModel model;
  NetCluster all;
  NetUnion u;
  const WiringFault* list[EXPLAIN_FAULTS];
  if (wiring_check(plan) != STATUS_OK || n < 0 || n > EXPLAIN_FAULTS) {
    return STATUS_BAD_ARG;
  }
  net_model(&model, plan);
  for (int i = 0; i < n; ++i) {
    list[i] = &faults[i];
    if (!fault_fits(&model, list[i])) {
      return STATUS_BAD_ARG;
    }
    for (int k = 0; k < i; ++k) {
      if (net_share_a_wire(list[i], list[k])) {
        return STATUS_BAD_ARG;
      }
    }
  }
  net_all(&model, &all);
  net_forward(&model, &all, list, n, &u);
  memset(seen, WIRING_UNKNOWN, sizeof(*seen));
  for (int i = 0; i < all.n_nodes; ++i) {
    for (int k = 0; k < all.n_nodes; ++k) {
      const int a = all.nodes[i];
      const int b = all.nodes[k];
      seen->mark[a][b] = net_root(&u, a) == net_root(&u, b) ? WIRING_JOINED : WIRING_APART;
    }
  }
  return STATUS_OK;
}

void
wiring_mark(WiringSeen* seen, int node_a, int node_b, WiringMark mark)
{
  seen->mark[node_a][node_b] = (unsigned char)mark;
  seen->mark[node_b][node_a] = (unsigned char)mark;
}

// ---- What follows from the marks ----

// Joined goes through; apart holds between everything joined to either. False: they contradict.
static bool
close_marks(const NetCluster* all, const WiringSeen* seen, WiringVerdict* v)
{
  NetUnion u;
  for (int i = 0; i < all->n_nodes; ++i) {
    u.up[all->nodes[i]] = (unsigned char)all->nodes[i];
  }
  for (int i = 0; i < all->n_nodes; ++i) {
    for (int k = 0; k < i; ++k) {
      if (seen->mark[all->nodes[i]][all->nodes[k]] == WIRING_JOINED ||
          seen->mark[all->nodes[k]][all->nodes[i]] == WIRING_JOINED) {
        net_tie(&u, all->nodes[i], all->nodes[k]);
      }
    }
  }
  unsigned char apart[WIRING_NODES][WIRING_NODES];
  memset(apart, 0, sizeof(apart));
  for (int i = 0; i < all->n_nodes; ++i) {
    for (int k = 0; k < all->n_nodes; ++k) {
      const int a = all->nodes[i];
      const int b = all->nodes[k];
      if (a == b || (seen->mark[a][b] != WIRING_APART && seen->mark[b][a] != WIRING_APART)) {
        continue;
      }
      if (net_root(&u, a) == net_root(&u, b)) {
        *v = (WiringVerdict){.clashes = true, .clash_a = a < b ? a : b, .clash_b = a < b ? b : a};
        return false;
      }
      apart[net_root(&u, a)][net_root(&u, b)] = apart[net_root(&u, b)][net_root(&u, a)] = 1;
    }
  }
  for (int i = 0; i < all->n_nodes; ++i) {
    for (int k = 0; k < all->n_nodes; ++k) {
      const int a = all->nodes[i];
      const int b = all->nodes[k];
      v->known[a][b] = net_root(&u, a) == net_root(&u, b)             ? WIRING_JOINED
                       : apart[net_root(&u, a)][net_root(&u, b)] != 0 ? WIRING_APART
                                                                      : WIRING_UNKNOWN;
      v->measured[a] = v->measured[a] || (a != b && v->known[a][b] != WIRING_UNKNOWN);
    }
  }
  return true;
}

// A wanted tie of which nothing is known is taken to be there; returns whether it was unknown.
static bool
assume(const NetCluster* all, WiringVerdict* v, unsigned char full[WIRING_NODES][WIRING_NODES],
       int a, int b)
{
  const bool unknown = v->known[a][b] == WIRING_UNKNOWN;
  if (full[a][b] != WIRING_UNKNOWN) {
    return unknown;
  }
  // Whole nets become one; whatever is apart from either is apart from both
  for (int i = 0; i < all->n_nodes; ++i) {
    const int x = all->nodes[i];
    const bool with_a = full[x][a] == WIRING_JOINED;
    for (int k = 0; k < all->n_nodes && with_a; ++k) {
      const int y = all->nodes[k];
      if (full[y][b] == WIRING_JOINED) {
        full[x][y] = full[y][x] = WIRING_JOINED;
      }
    }
  }
  for (int i = 0; i < all->n_nodes; ++i) {
    const int x = all->nodes[i];
    for (int k = 0; k < all->n_nodes && full[x][a] == WIRING_JOINED; ++k) {
      const int y = all->nodes[k];
      if (full[a][y] == WIRING_APART || full[b][y] == WIRING_APART) {
        full[x][y] = full[y][x] = WIRING_APART;
      }
    }
  }
  return unknown;
}

static bool
is_shell(const WiringPlan* plan, int node)
{
  return (plan->has_shell[WIRING_NEAR] && node == wiring_node(WIRING_NEAR, plan->n[0] + 1)) ||
         (plan->has_shell[WIRING_FAR] && node == wiring_node(WIRING_FAR, plan->n[1] + 1));
}

static void
complete(const WiringPlan* plan, const NetCluster* all, WiringVerdict* v)
{
  unsigned char full[WIRING_NODES][WIRING_NODES];
  memcpy(full, v->known, sizeof(full));
  for (int w = 0; w < plan->n_wires; ++w) {
    v->n_wires_unknown += assume(all, v, full, wiring_node(WIRING_NEAR, plan->wires[w].near),
                                 wiring_node(WIRING_FAR, plan->wires[w].far));
  }
  for (int j = 0; j < plan->n_joins; ++j) {
    const WiringJoin* const join = &plan->joins[j];
    v->n_wires_unknown +=
      assume(all, v, full, wiring_node(join->end, join->a), wiring_node(join->end, join->b));
  }
  for (int node = 0; node < WIRING_NODES; ++node) {
    v->net[node] = -1;
  }
  for (int i = 0; i < all->n_nodes; ++i) {
    const int a = all->nodes[i];
    for (int k = 0; k <= i && v->net[a] < 0; ++k) {
      v->net[a] = full[a][all->nodes[k]] == WIRING_JOINED ? all->nodes[k] : -1;
    }
    for (int k = 0; k < i; ++k) {
      const int b = all->nodes[k];
      v->n_pairs_unknown +=
        full[a][b] == WIRING_UNKNOWN && !is_shell(plan, a) && !is_shell(plan, b);
    }
  }
}

static void
tie_seen_and_wanted(const NetModel* model, const NetCluster* all, const int net[WIRING_NODES],
                    NetUnion* u)
{
  const WiringPlan* const plan = model->plan;
  for (int i = 0; i < all->n_nodes; ++i) {
    u->up[all->nodes[i]] = (unsigned char)all->nodes[i];
  }
  for (int i = 0; i < all->n_nodes; ++i) {
    net_tie(u, all->nodes[i], net[all->nodes[i]]);
  }
  for (int w = 0; w < plan->n_wires; ++w) {
    net_tie(u, wiring_node(WIRING_NEAR, plan->wires[w].near),
            wiring_node(WIRING_FAR, plan->wires[w].far));
  }
  for (int j = 0; j < plan->n_joins; ++j) {
    net_tie(u, wiring_node(plan->joins[j].end, plan->joins[j].a),
            wiring_node(plan->joins[j].end, plan->joins[j].b));
  }
}

Status
wiring_judge(Arena* arena, const WiringPlan* plan, const WiringSeen* seen, WiringVerdict* verdict)
{
  Status st = STATUS_OK;
  TRY(st, wiring_check(plan));
  NetModel* const model = arena_array(arena, 1, sizeof(NetModel));
  NetCluster* const all = arena_array(arena, 2, sizeof(NetCluster));
  WiringVerdict* const v = arena_array(arena, 1, sizeof(WiringVerdict));
  WiringGroup* const groups = arena_array(arena, WIRING_NODES, sizeof(WiringGroup));
  WiringFault* const room = arena_array(arena, EXPLAIN_CANDIDATES, sizeof(WiringFault));
  if (!model || !all || !v || !groups || !room) {
    return STATUS_NO_MEMORY;
  }
  NetCluster* const cluster = &all[1];
  net_model(model, plan);
  net_all(model, all);
  if (!close_marks(all, seen, v)) {
    *verdict = *v;
    return STATUS_OK;
  }
  complete(plan, all, v);
  NetUnion u;
  tie_seen_and_wanted(model, all, v->net, &u);
  v->groups = groups;
  for (int i = 0; i < all->n_nodes; ++i) {
    const int seed = all->nodes[i];
    if (net_root(&u, seed) != seed) {
      continue;
    }
    net_at_seed(model, all, &u, seed, cluster);
    if (!net_explains(model, cluster, v->net, NULL, 0)) {
      TRY(st, explain_group(arena, model, cluster, v, room, &groups[v->n_groups]));
      ++v->n_groups;
    }
  }
  *verdict = *v;
  return STATUS_OK;
}
