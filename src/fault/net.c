// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/net.h"

int
net_end_of(const WiringWire* wire, WiringPlace end)
{
  return end == WIRING_NEAR ? wire->near : wire->far;
}

void
net_model(NetModel* model, const WiringPlan* plan)
{
  model->plan = plan;
  model->n_wires = wiring_wires(plan, model->wires);
}

static bool
is_contact(const WiringPlan* plan, int node)
{
  const WiringPlace end = node < WIRING_CONTACTS ? WIRING_NEAR : WIRING_FAR;
  return node - (int)end * WIRING_CONTACTS < wiring_contacts(plan, end);
}

int
net_root(NetUnion* u, int node)
{
  while (u->up[node] != node) {
    u->up[node] = u->up[u->up[node]];
    node = u->up[node];
  }
  return node;
}

void
net_tie(NetUnion* u, int a, int b)
{
  const int x = net_root(u, a);
  const int y = net_root(u, b);
  if (x < y) {
    u->up[y] = (unsigned char)x;
  } else {
    u->up[x] = (unsigned char)y;
  }
}

static int
length_of(int wire)
{
  return WIRING_NODES + wire;
}

// One wire with what the faults make of it.
static void
tie_wire(const NetModel* model, int w, const WiringFault* const faults[], int n, NetUnion* u)
{
  int at[2] = {model->wires[w].near, model->wires[w].far};
  bool is_open[2] = {false, false};
  for (int i = 0; i < n; ++i) {
    const WiringFault* const f = faults[i];
    if (f->sort == WIRING_OPEN && f->at[0] == w) {
      is_open[f->place] = true;
    }
    for (int k = 0; f->sort == WIRING_CROSSED && k < f->n; ++k) {
      if (f->at[k] == w) {
        at[f->place] = net_end_of(&model->wires[f->at[(k + 1) % f->n]], f->place);
      }
    }
  }
  for (WiringPlace end = WIRING_NEAR; end <= WIRING_FAR; ++end) {
    if (at[end] && !is_open[end]) {
      net_tie(u, wiring_node(end, at[end]), length_of(w));
    }
  }
}

void
net_forward(const NetModel* model, const NetCluster* cluster, const WiringFault* const faults[],
            int n, NetUnion* u)
{
  const WiringPlan* const plan = model->plan;
  for (int i = 0; i < cluster->n_nodes; ++i) {
    u->up[cluster->nodes[i]] = (unsigned char)cluster->nodes[i];
  }
  for (int i = 0; i < cluster->n_wires; ++i) {
    u->up[length_of(cluster->wires[i])] = (unsigned char)length_of(cluster->wires[i]);
  }
  for (int i = 0; i < cluster->n_wires; ++i) {
    tie_wire(model, cluster->wires[i], faults, n, u);
  }
  for (int i = 0; i < cluster->n_joins; ++i) {
    const WiringJoin* const join = &plan->joins[cluster->joins[i]];
    bool is_there = true;
    for (int k = 0; k < n; ++k) {
      is_there =
        is_there && !(faults[k]->sort == WIRING_NO_JOIN && faults[k]->at[0] == cluster->joins[i]);
    }
    if (is_there) {
      net_tie(u, wiring_node(join->end, join->a), wiring_node(join->end, join->b));
    }
  }
  for (int k = 0; k < n; ++k) {
    const WiringFault* const f = faults[k];
    if (f->sort == WIRING_SHORT && f->place == WIRING_ALONG) {
      net_tie(u, length_of(f->at[0]), length_of(f->at[1]));
    } else if (f->sort == WIRING_SHORT) {
      net_tie(u, wiring_node(f->place, f->at[0]), wiring_node(f->place, f->at[1]));
    }
  }
}

void
net_all(const NetModel* model, NetCluster* all)
{
  *all = (NetCluster){.n_nodes = 0};
  for (int node = 0; node < WIRING_NODES; ++node) {
    if (is_contact(model->plan, node)) {
      all->nodes[all->n_nodes++] = node;
    }
  }
  for (; all->n_wires < model->n_wires; ++all->n_wires) {
    all->wires[all->n_wires] = all->n_wires;
  }
  for (; all->n_joins < model->plan->n_joins; ++all->n_joins) {
    all->joins[all->n_joins] = all->n_joins;
  }
}

bool
net_share_a_wire(const WiringFault* a, const WiringFault* b)
{
  if (a->sort != WIRING_CROSSED || b->sort != WIRING_CROSSED || a->place != b->place) {
    return false;
  }
  for (int i = 0; i < a->n; ++i) {
    for (int k = 0; k < b->n; ++k) {
      if (a->at[i] == b->at[k]) {
        return true;
      }
    }
  }
  return false;
}

// The part of all that hangs together with `seed` in `u`.
void
net_at_seed(const NetModel* model, const NetCluster* all, NetUnion* u, int seed,
            NetCluster* cluster)
{
  const WiringPlan* const plan = model->plan;
  *cluster = (NetCluster){.n_nodes = 0};
  for (int i = 0; i < all->n_nodes; ++i) {
    if (net_root(u, all->nodes[i]) == seed) {
      cluster->nodes[cluster->n_nodes++] = all->nodes[i];
    }
  }
  for (int w = 0; w < model->n_wires; ++w) {
    const WiringWire* const wire = &model->wires[w];
    const int node =
      wire->near ? wiring_node(WIRING_NEAR, wire->near) : wiring_node(WIRING_FAR, wire->far);
    if (net_root(u, node) == seed) {
      cluster->wires[cluster->n_wires++] = w;
    }
  }
  for (int j = 0; j < plan->n_joins; ++j) {
    if (net_root(u, wiring_node(plan->joins[j].end, plan->joins[j].a)) == seed) {
      cluster->joins[cluster->n_joins++] = j;
    }
  }
}

// Whether faults make the cluster's contacts hang together exactly as seen.
bool
net_explains(const NetModel* model, const NetCluster* cluster, const int net[WIRING_NODES],
             const WiringFault* const faults[], int n)
{
  NetUnion u;
  short root_to_net[WIRING_NODES + WIRING_ALL];
  short net_to_root[WIRING_NODES];
  net_forward(model, cluster, faults, n, &u);
  for (int i = 0; i < cluster->n_nodes; ++i) {
    root_to_net[net_root(&u, cluster->nodes[i])] = -1;
    net_to_root[net[cluster->nodes[i]]] = -1;
  }
  for (int i = 0; i < cluster->n_nodes; ++i) {
    const int root = net_root(&u, cluster->nodes[i]);
    const int seen = net[cluster->nodes[i]];
    if (root_to_net[root] < 0 && net_to_root[seen] < 0) {
      root_to_net[root] = (short)seen;
      net_to_root[seen] = (short)root;
    }
    if (root_to_net[root] != seen || net_to_root[seen] != root) {
      return false;
    }
  }
  return true;
}
