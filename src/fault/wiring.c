// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/wiring.h"

#include <string.h>

/*
  Two halves. Forward: faults are applied to the plan and what hangs together is found by union-find
  over contacts and the lengths of wires. Backward: contacts fall into groups that neither a reading
  nor the plan connects; within a group all sets of cost 1, then 2, 3, 4 are tried, each by the
  forward half, until some explain the reading. So an explanation is never believed, it is checked.

  Groups may be looked at one by one because the cheapest explanation never mixes them: a fault that
  ties two groups together would show as a tie, unless crossings at both ends undo it, and crossings
  of least cost lie within the cycles they make (the factors of a permutation into fewest
  transpositions are noncrossing partitions of its cycles: Brady 2001, "A partial order on the
  symmetric group").
*/

enum { MAX_COST = 4, MAX_CANDIDATES = 2560 };

// The plan with the wires that lead nowhere.
typedef struct {
  const WiringPlan* plan;
  WiringWire wires[WIRING_ALL];
  int n_wires; ///< All
} Model;

// Contacts, wires and joins that hang together, and which net each contact should be seen in.
typedef struct {
  int nodes[WIRING_NODES];
  int n_nodes;
  int wires[WIRING_ALL];
  int n_wires;
  int joins[WIRING_CONTACTS];
  int n_joins;
} Cluster;

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

static int
end_of(const WiringWire* wire, WiringPlace end)
{
  return end == WIRING_NEAR ? wire->near : wire->far;
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
        has_wire = has_wire || end_of(&plan->wires[w], end) == c;
      }
      if (!has_wire) {
        wires[n++] = end == WIRING_NEAR ? (WiringWire){c, 0} : (WiringWire){0, c};
      }
    }
  }
  return n;
}

static void
model_init(Model* model, const WiringPlan* plan)
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

// ---- Forward ----

// Who hangs together: contacts 0..WIRING_NODES, then the lengths of wires. The root is the lowest.
typedef struct {
  unsigned char up[WIRING_NODES + WIRING_ALL];
} Union;

static int
root_of(Union* u, int node)
{
  while (u->up[node] != node) {
    u->up[node] = u->up[u->up[node]];
    node = u->up[node];
  }
  return node;
}

static void
tie(Union* u, int a, int b)
{
  const int x = root_of(u, a);
  const int y = root_of(u, b);
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

static bool
fault_fits(const Model* model, const WiringFault* fault)
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
        if (fault->at[i] >= model->n_wires || !end_of(&model->wires[fault->at[i]], fault->place)) {
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

// One wire with what the faults make of it.
static void
tie_wire(const Model* model, int w, const WiringFault* const faults[], int n, Union* u)
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
        at[f->place] = end_of(&model->wires[f->at[(k + 1) % f->n]], f->place);
      }
    }
  }
  for (WiringPlace end = WIRING_NEAR; end <= WIRING_FAR; ++end) {
    if (at[end] && !is_open[end]) {
      tie(u, wiring_node(end, at[end]), length_of(w));
    }
  }
}

static void
forward(const Model* model, const Cluster* cluster, const WiringFault* const faults[], int n,
        Union* u)
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
      tie(u, wiring_node(join->end, join->a), wiring_node(join->end, join->b));
    }
  }
  for (int k = 0; k < n; ++k) {
    const WiringFault* const f = faults[k];
    if (f->sort == WIRING_SHORT && f->place == WIRING_ALONG) {
      tie(u, length_of(f->at[0]), length_of(f->at[1]));
    } else if (f->sort == WIRING_SHORT) {
      tie(u, wiring_node(f->place, f->at[0]), wiring_node(f->place, f->at[1]));
    }
  }
}

static void
cluster_of_all(const Model* model, Cluster* all)
{
  *all = (Cluster){.n_nodes = 0};
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

static bool
share_a_wire(const WiringFault* a, const WiringFault* b)
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

enum { MATRIX_FAULTS = 256 };

Status
wiring_matrix(const WiringPlan* plan, const WiringFault* faults, int n, WiringSeen* seen)
{
  Model model;
  Cluster all;
  Union u;
  const WiringFault* list[MATRIX_FAULTS];
  if (wiring_check(plan) != STATUS_OK || n < 0 || n > MATRIX_FAULTS) {
    return STATUS_BAD_ARG;
  }
  model_init(&model, plan);
  for (int i = 0; i < n; ++i) {
    list[i] = &faults[i];
    if (!fault_fits(&model, list[i])) {
      return STATUS_BAD_ARG;
    }
    for (int k = 0; k < i; ++k) {
      if (share_a_wire(list[i], list[k])) {
        return STATUS_BAD_ARG;
      }
    }
  }
  cluster_of_all(&model, &all);
  forward(&model, &all, list, n, &u);
  memset(seen, WIRING_UNKNOWN, sizeof(*seen));
  for (int i = 0; i < all.n_nodes; ++i) {
    for (int k = 0; k < all.n_nodes; ++k) {
      const int a = all.nodes[i];
      const int b = all.nodes[k];
      seen->mark[a][b] = root_of(&u, a) == root_of(&u, b) ? WIRING_JOINED : WIRING_APART;
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
close_marks(const Cluster* all, const WiringSeen* seen, WiringVerdict* v)
{
  Union u;
  for (int i = 0; i < all->n_nodes; ++i) {
    u.up[all->nodes[i]] = (unsigned char)all->nodes[i];
  }
  for (int i = 0; i < all->n_nodes; ++i) {
    for (int k = 0; k < i; ++k) {
      if (seen->mark[all->nodes[i]][all->nodes[k]] == WIRING_JOINED ||
          seen->mark[all->nodes[k]][all->nodes[i]] == WIRING_JOINED) {
        tie(&u, all->nodes[i], all->nodes[k]);
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
      if (root_of(&u, a) == root_of(&u, b)) {
        *v = (WiringVerdict){.clashes = true, .clash_a = a < b ? a : b, .clash_b = a < b ? b : a};
        return false;
      }
      apart[root_of(&u, a)][root_of(&u, b)] = apart[root_of(&u, b)][root_of(&u, a)] = 1;
    }
  }
  for (int i = 0; i < all->n_nodes; ++i) {
    for (int k = 0; k < all->n_nodes; ++k) {
      const int a = all->nodes[i];
      const int b = all->nodes[k];
      v->known[a][b] = root_of(&u, a) == root_of(&u, b)             ? WIRING_JOINED
                       : apart[root_of(&u, a)][root_of(&u, b)] != 0 ? WIRING_APART
                                                                    : WIRING_UNKNOWN;
      v->measured[a] = v->measured[a] || (a != b && v->known[a][b] != WIRING_UNKNOWN);
    }
  }
  return true;
}

// A wanted tie of which nothing is known is taken to be there; returns whether it was unknown.
static bool
assume(const Cluster* all, WiringVerdict* v, unsigned char full[WIRING_NODES][WIRING_NODES], int a,
       int b)
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
complete(const WiringPlan* plan, const Cluster* all, WiringVerdict* v)
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

// ---- Groups ----

// The part of all that hangs together with `seed` in `u`.
static void
cluster_at(const Model* model, const Cluster* all, Union* u, int seed, Cluster* cluster)
{
  const WiringPlan* const plan = model->plan;
  *cluster = (Cluster){.n_nodes = 0};
  for (int i = 0; i < all->n_nodes; ++i) {
    if (root_of(u, all->nodes[i]) == seed) {
      cluster->nodes[cluster->n_nodes++] = all->nodes[i];
    }
  }
  for (int w = 0; w < model->n_wires; ++w) {
    const WiringWire* const wire = &model->wires[w];
    const int node =
      wire->near ? wiring_node(WIRING_NEAR, wire->near) : wiring_node(WIRING_FAR, wire->far);
    if (root_of(u, node) == seed) {
      cluster->wires[cluster->n_wires++] = w;
    }
  }
  for (int j = 0; j < plan->n_joins; ++j) {
    if (root_of(u, wiring_node(plan->joins[j].end, plan->joins[j].a)) == seed) {
      cluster->joins[cluster->n_joins++] = j;
    }
  }
}

// Whether faults make the cluster's contacts hang together exactly as seen.
static bool
explains(const Model* model, const Cluster* cluster, const int net[WIRING_NODES],
         const WiringFault* const faults[], int n)
{
  Union u;
  short root_to_net[WIRING_NODES + WIRING_ALL];
  short net_to_root[WIRING_NODES];
  forward(model, cluster, faults, n, &u);
  for (int i = 0; i < cluster->n_nodes; ++i) {
    root_to_net[root_of(&u, cluster->nodes[i])] = -1;
    net_to_root[net[cluster->nodes[i]]] = -1;
  }
  for (int i = 0; i < cluster->n_nodes; ++i) {
    const int root = root_of(&u, cluster->nodes[i]);
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

// ---- Candidates ----

typedef struct {
  WiringFault* list;
  int n;
  bool is_full; ///< No room for more
} Candidates;

static void
add_fault(Candidates* c, WiringSort sort, WiringPlace place, const int at[], int n)
{
  if (c->n == MAX_CANDIDATES) {
    c->is_full = true;
    return;
  }
  WiringFault* const f = &c->list[c->n++];
  *f = (WiringFault){sort, place, n, {0}};
  int first = 0; // Cycles are written from their lowest wire
  for (int i = 1; sort == WIRING_CROSSED && i < n; ++i) {
    first = at[i] < at[first] ? i : first;
  }
  for (int i = 0; i < n; ++i) {
    f->at[i] = (unsigned char)at[(first + i) % n];
  }
}

// All cycles of `length` over `wires`, lowest first.
static void
add_cycles(Candidates* c, WiringPlace end, const int wires[], int n_wires, int at[], int depth,
           int length)
{
  if (depth == length) {
    add_fault(c, WIRING_CROSSED, end, at, length);
    return;
  }
  for (int i = 0; i < n_wires; ++i) {
    bool used = depth > 0 && wires[i] < at[0];
    for (int k = 0; k < depth; ++k) {
      used = used || at[k] == wires[i];
    }
    if (!used) {
      at[depth] = wires[i];
      add_cycles(c, end, wires, n_wires, at, depth + 1, length);
    }
  }
}

static void
add_crossings(Candidates* c, const Model* model, const Cluster* cluster, int longest)
{
  for (WiringPlace end = WIRING_NEAR; end <= WIRING_FAR; ++end) {
    int wires[WIRING_ALL];
    int at[WIRING_ALL];
    int n = 0;
    for (int i = 0; i < cluster->n_wires; ++i) {
      if (end_of(&model->wires[cluster->wires[i]], end)) {
        wires[n++] = cluster->wires[i];
      }
    }
    for (int length = 2; length <= longest && length <= n; ++length) {
      add_cycles(c, end, wires, n, at, 0, length);
    }
  }
}

static void
add_candidates(Candidates* c, const Model* model, const Cluster* cluster,
               const int net[WIRING_NODES], int cost)
{
  c->n = 0;
  c->is_full = false;
  for (int i = 0; i < cluster->n_wires; ++i) {
    const int w = cluster->wires[i];
    if (w < model->plan->n_wires) {
      add_fault(c, WIRING_OPEN, WIRING_NEAR, &w, 1);
      add_fault(c, WIRING_OPEN, WIRING_FAR, &w, 1);
    }
  }
  for (int i = 0; i < cluster->n_joins; ++i) {
    add_fault(c, WIRING_NO_JOIN, model->plan->joins[cluster->joins[i]].end, &cluster->joins[i], 1);
  }
  for (int i = 0; i < cluster->n_nodes; ++i) {
    for (int k = i + 1; k < cluster->n_nodes; ++k) {
      const int a = cluster->nodes[i];
      const int b = cluster->nodes[k];
      const WiringPlace end = a < WIRING_CONTACTS ? WIRING_NEAR : WIRING_FAR;
      const int pair[2] = {a - (int)end * WIRING_CONTACTS + 1, b - (int)end * WIRING_CONTACTS + 1};
      // A short that is not seen as joined cannot be there
      if ((b < WIRING_CONTACTS) == (end == WIRING_NEAR) && net[a] == net[b]) {
        add_fault(c, WIRING_SHORT, end, pair, 2);
      }
    }
  }
  for (int i = 0; i < cluster->n_wires; ++i) {
    for (int k = i + 1; k < cluster->n_wires; ++k) {
      const int pair[2] = {cluster->wires[i], cluster->wires[k]};
      add_fault(c, WIRING_SHORT, WIRING_ALONG, pair, 2);
    }
  }
  add_crossings(c, model, cluster, cost + 1);
}

// ---- Search ----

typedef struct {
  Arena* arena;
  const Model* model;
  const Cluster* cluster;
  const int* net;
  const Candidates* candidates;
  WiringSet* sets;
  int n_sets;
  int n_room;
  bool no_memory;
} Search;

static void
keep_set(Search* s, const WiringFault* const faults[], int n)
{
  if (s->n_sets == s->n_room) {
    const int n_room = s->n_room ? 2 * s->n_room : 8;
    WiringSet* const more =
      arena_grow(s->arena, s->sets, (size_t)s->n_sets, (size_t)n_room, sizeof(WiringSet));
    if (!more) {
      s->no_memory = true;
      return;
    }
    s->sets = more;
    s->n_room = n_room;
  }
  WiringFault* const copy = arena_array(s->arena, (size_t)n, sizeof(WiringFault));
  if (!copy) {
    s->no_memory = true;
    return;
  }
  for (int i = 0; i < n; ++i) {
    copy[i] = *faults[i];
  }
  s->sets[s->n_sets++] = (WiringSet){copy, n};
}

int
wiring_cost(const WiringFault* fault)
{
  return fault->sort == WIRING_CROSSED ? fault->n - 1 : 1;
}

// All sets of candidates with rising index from `first` that cost `left`, added to those chosen.
static void
try_sets(Search* s, const WiringFault* chosen[], int n, int left, int first)
{
  if (left == 0) {
    if (explains(s->model, s->cluster, s->net, chosen, n)) {
      keep_set(s, chosen, n);
    }
    return;
  }
  for (int i = first; i < s->candidates->n && !s->no_memory; ++i) {
    const WiringFault* const f = &s->candidates->list[i];
    bool fits = wiring_cost(f) <= left;
    for (int k = 0; k < n; ++k) {
      fits = fits && !share_a_wire(chosen[k], f);
    }
    if (fits) {
      chosen[n] = f;
      try_sets(s, chosen, n + 1, left - wiring_cost(f), i + 1);
    }
  }
}

// How many sets cost so much: the coefficient of x^cost in the product of (1 + x^w).
static double
n_sets_of(const Candidates* c, int cost)
{
  double n[MAX_COST + 1] = {1.0};
  for (int i = 0; i < c->n; ++i) {
    for (int k = cost; k >= wiring_cost(&c->list[i]); --k) {
      n[k] += n[k - wiring_cost(&c->list[i])];
    }
  }
  return n[cost];
}

// ---- Construction, where trying takes too long ----

// How wires are taken to lie: which wire goes from which near slot to which far one. A slot is
// named by the wire that belongs in it.
typedef struct {
  int far_of[WIRING_ALL];  ///< By near slot: its far slot; -1 = none
  int near_of[WIRING_ALL]; ///< By far slot
  bool within[WIRING_ALL]; ///< By near slot: both ends were seen joined
  int n_pairs;
} Layout;

static void
lay(Layout* l, int near_slot, int far_slot, bool within)
{
  l->far_of[near_slot] = far_slot;
  l->near_of[far_slot] = near_slot;
  l->within[near_slot] = within;
  ++l->n_pairs;
}

static int
net_at(const Model* model, const int net[WIRING_NODES], int slot, WiringPlace end)
{
  return net[wiring_node(end, end_of(&model->wires[slot], end))];
}

// Own wires that are seen, then others that would be, then what is left as broken wires.
static void
lay_wires(const Model* model, const Cluster* cluster, const int net[WIRING_NODES], Layout* l)
{
  int n_real = 0;
  l->n_pairs = 0;
  for (int w = 0; w < WIRING_ALL; ++w) {
    l->far_of[w] = l->near_of[w] = -1;
    l->within[w] = false;
  }
  for (int i = 0; i < cluster->n_wires; ++i) {
    n_real += cluster->wires[i] < model->plan->n_wires;
  }
  for (int pass = 0; pass < 4; ++pass) {
    for (int i = 0; i < cluster->n_wires; ++i) {
      const int p = cluster->wires[i];
      for (int k = 0; k < cluster->n_wires && l->far_of[p] < 0 && model->wires[p].near; ++k) {
        const int q = cluster->wires[k];
        if (!model->wires[q].far || l->near_of[q] >= 0 || l->n_pairs == n_real) {
          continue;
        }
        const bool within = net_at(model, net, p, WIRING_NEAR) == net_at(model, net, q, WIRING_FAR);
        const bool own = p == q;
        if (pass == 0 ? own && within : pass == 1 ? within : pass == 2 ? own : true) {
          lay(l, p, q, within);
        }
      }
    }
  }
}

// Cycles of a map from a wire to the slot its end sits in.
static void
add_cycles_of(Candidates* c, const Cluster* cluster, WiringPlace end, const int slot[WIRING_ALL])
{
  bool done[WIRING_ALL] = {false};
  for (int i = 0; i < cluster->n_wires; ++i) {
    int at[WIRING_ALL];
    int n = 0;
    for (int w = cluster->wires[i]; w >= 0 && !done[w] && slot[w] >= 0; w = slot[w]) {
      done[w] = true;
      at[n++] = w;
    }
    if (n > 1 && n <= WIRING_CONTACTS) {
      add_fault(c, WIRING_CROSSED, end, at, n);
    }
  }
}

static void
fill_slots(const Model* model, const Cluster* cluster, WiringPlace end, int slot[WIRING_ALL])
{
  bool taken[WIRING_ALL] = {false};
  for (int i = 0; i < cluster->n_wires; ++i) {
    if (slot[cluster->wires[i]] >= 0) {
      taken[slot[cluster->wires[i]]] = true;
    }
  }
  for (int pass = 0; pass < 2; ++pass) { // In their own slot first
    for (int i = 0; i < cluster->n_wires; ++i) {
      const int w = cluster->wires[i];
      for (int k = 0; k < cluster->n_wires && slot[w] < 0 && end_of(&model->wires[w], end); ++k) {
        const int s = cluster->wires[k];
        if (end_of(&model->wires[s], end) && !taken[s] && (pass == 1 || s == w)) {
          slot[w] = s;
          taken[s] = true;
        }
      }
    }
  }
}

static void
place_wires(const Model* model, const Cluster* cluster, const Layout* l, Candidates* c)
{
  int slot[2][WIRING_ALL];
  bool used[WIRING_ALL] = {false};
  for (int w = 0; w < WIRING_ALL; ++w) {
    slot[0][w] = slot[1][w] = -1;
  }
  for (int pass = 0; pass < 3; ++pass) { // By the near slot, by the far slot, any
    for (int i = 0; i < cluster->n_wires; ++i) {
      const int p = cluster->wires[i];
      const int q = l->far_of[p];
      if (q < 0) {
        continue;
      }
      int w = -1;
      for (int k = 0; k < cluster->n_wires && w < 0; ++k) {
        const int v = cluster->wires[k];
        w =
          v < model->plan->n_wires && !used[v] && (pass == 2 || v == (pass == 0 ? p : q)) ? v : -1;
      }
      bool is_laid = false;
      for (int k = 0; k < cluster->n_wires; ++k) {
        is_laid = is_laid || slot[0][cluster->wires[k]] == p;
      }
      if (w < 0 || is_laid) {
        continue;
      }
      used[w] = true;
      slot[0][w] = p;
      slot[1][w] = q;
      if (!l->within[p]) {
        add_fault(c, WIRING_OPEN, WIRING_NEAR, &w, 1);
      }
    }
  }
  for (WiringPlace end = WIRING_NEAR; end <= WIRING_FAR; ++end) {
    fill_slots(model, cluster, end, slot[end]);
    add_cycles_of(c, cluster, end, slot[end]);
  }
}

static void
join_nets(const Model* model, const Cluster* cluster, const int net[WIRING_NODES], Candidates* c)
{
  for (int i = 0; i < cluster->n_nodes; ++i) {
    for (int k = i + 1; k < cluster->n_nodes; ++k) {
      const int a = cluster->nodes[i];
      const int b = cluster->nodes[k];
      const WiringPlace end = a < WIRING_CONTACTS ? WIRING_NEAR : WIRING_FAR;
      if ((b < WIRING_CONTACTS) != (end == WIRING_NEAR) || net[a] != net[b] ||
          c->n >= MATRIX_FAULTS) {
        continue;
      }
      const WiringFault* list[MATRIX_FAULTS];
      for (int f = 0; f < c->n; ++f) {
        list[f] = &c->list[f];
      }
      Union u;
      forward(model, cluster, list, c->n, &u);
      if (root_of(&u, a) != root_of(&u, b)) {
        const int pair[2] = {a - (int)end * WIRING_CONTACTS + 1,
                             b - (int)end * WIRING_CONTACTS + 1};
        add_fault(c, WIRING_SHORT, end, pair, 2);
      }
    }
  }
}

// One set that explains the cluster, or none; `c` has room and is empty.
static void
construct(Search* s, Candidates* c)
{
  const Model* const model = s->model;
  Layout layout;
  lay_wires(model, s->cluster, s->net, &layout);
  for (int i = 0; i < s->cluster->n_joins; ++i) {
    const WiringJoin* const join = &model->plan->joins[s->cluster->joins[i]];
    if (s->net[wiring_node(join->end, join->a)] != s->net[wiring_node(join->end, join->b)]) {
      add_fault(c, WIRING_NO_JOIN, join->end, &s->cluster->joins[i], 1);
    }
  }
  place_wires(model, s->cluster, &layout, c);
  join_nets(model, s->cluster, s->net, c);
  const WiringFault* list[MATRIX_FAULTS];
  for (int f = 0; f < c->n && f < MATRIX_FAULTS; ++f) {
    list[f] = &c->list[f];
  }
  if (c->n <= MATRIX_FAULTS && explains(model, s->cluster, s->net, list, c->n)) {
    keep_set(s, list, c->n);
  }
}

// How many separate things the plan makes of a cluster. A fault of cost w ties at most w + 1 of
// them together, so a cluster of k needs a cost of k - 1.
static int
n_apart_as_wanted(const Model* model, const Cluster* cluster)
{
  Union u;
  int n = 0;
  forward(model, cluster, NULL, 0, &u);
  for (int i = 0; i < cluster->n_nodes; ++i) {
    n += root_of(&u, cluster->nodes[i]) == cluster->nodes[i];
  }
  return n;
}

static Status
judge_group(Arena* arena, const Model* model, const Cluster* cluster, const WiringVerdict* v,
            WiringFault* room, WiringGroup* group)
{
  Candidates c = {room, 0, false};
  Search s = {.arena = arena, .model = model, .cluster = cluster, .net = v->net, .candidates = &c};
  int* const nodes = arena_array(arena, (size_t)cluster->n_nodes, sizeof(int));
  const WiringFault* chosen[MAX_COST];
  if (!nodes) {
    return STATUS_NO_MEMORY;
  }
  WiringGroup out = {
    .nodes = nodes, .n_nodes = cluster->n_nodes, .is_whole = true, .is_sure = true};
  const int n_apart = n_apart_as_wanted(model, cluster);
  const int least = n_apart > 2 ? n_apart - 1 : 1;
  double tries = 0.0;
  for (int cost = least; cost <= MAX_COST && !s.n_sets && !s.no_memory; ++cost) {
    add_candidates(&c, model, cluster, v->net, cost);
    tries += n_sets_of(&c, cost);
    if (c.is_full || tries > WIRING_TRIES) {
      break;
    }
    try_sets(&s, chosen, 0, cost, 0);
    out.cost = cost;
  }
  if (!s.n_sets && !s.no_memory) {
    c.n = 0;
    c.is_full = false;
    construct(&s, &c);
    out.is_whole = false;
    out.cost = 0;
    for (int i = 0; i < c.n; ++i) {
      out.cost += wiring_cost(&c.list[i]);
    }
  }
  if (s.no_memory) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < cluster->n_nodes; ++i) {
    nodes[i] = cluster->nodes[i];
    for (int k = 0; k < i; ++k) {
      out.is_sure = out.is_sure && v->known[nodes[i]][nodes[k]] != WIRING_UNKNOWN;
    }
  }
  out.sets = s.sets;
  out.n_sets = s.n_sets;
  *group = out;
  return STATUS_OK;
}

static void
tie_seen_and_wanted(const Model* model, const Cluster* all, const int net[WIRING_NODES], Union* u)
{
  const WiringPlan* const plan = model->plan;
  for (int i = 0; i < all->n_nodes; ++i) {
    u->up[all->nodes[i]] = (unsigned char)all->nodes[i];
  }
  for (int i = 0; i < all->n_nodes; ++i) {
    tie(u, all->nodes[i], net[all->nodes[i]]);
  }
  for (int w = 0; w < plan->n_wires; ++w) {
    tie(u, wiring_node(WIRING_NEAR, plan->wires[w].near),
        wiring_node(WIRING_FAR, plan->wires[w].far));
  }
  for (int j = 0; j < plan->n_joins; ++j) {
    tie(u, wiring_node(plan->joins[j].end, plan->joins[j].a),
        wiring_node(plan->joins[j].end, plan->joins[j].b));
  }
}

Status
wiring_judge(Arena* arena, const WiringPlan* plan, const WiringSeen* seen, WiringVerdict* verdict)
{
  Status st = STATUS_OK;
  TRY(st, wiring_check(plan));
  Model* const model = arena_array(arena, 1, sizeof(Model));
  Cluster* const all = arena_array(arena, 2, sizeof(Cluster));
  WiringVerdict* const v = arena_array(arena, 1, sizeof(WiringVerdict));
  WiringGroup* const groups = arena_array(arena, WIRING_NODES, sizeof(WiringGroup));
  WiringFault* const room = arena_array(arena, MAX_CANDIDATES, sizeof(WiringFault));
  if (!model || !all || !v || !groups || !room) {
    return STATUS_NO_MEMORY;
  }
  Cluster* const cluster = &all[1];
  model_init(model, plan);
  cluster_of_all(model, all);
  if (!close_marks(all, seen, v)) {
    *verdict = *v;
    return STATUS_OK;
  }
  complete(plan, all, v);
  Union u;
  tie_seen_and_wanted(model, all, v->net, &u);
  v->groups = groups;
  for (int i = 0; i < all->n_nodes; ++i) {
    const int seed = all->nodes[i];
    if (root_of(&u, seed) != seed) {
      continue;
    }
    cluster_at(model, all, &u, seed, cluster);
    if (!explains(model, cluster, v->net, NULL, 0)) {
      TRY(st, judge_group(arena, model, cluster, v, room, &groups[v->n_groups]));
      ++v->n_groups;
    }
  }
  *verdict = *v;
  return STATUS_OK;
}
