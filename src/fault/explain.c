// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/explain.h"

/*
  All sets of cost 1, then 2, 3, 4 are tried, each by the forward half (net), until some explain the
  reading. So an explanation is never believed, it is checked. Where that would take too long one
  set is constructed from the reading, and checked as well.
*/

enum { MAX_COST = 4 };

// ---- Candidates ----

typedef struct {
  WiringFault* list;
  int n;
  bool is_full; ///< No room for more
} Candidates;

static void
add_fault(Candidates* c, WiringSort sort, WiringPlace place, const int at[], int n)
{
  if (c->n == EXPLAIN_CANDIDATES) {
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
add_crossings(Candidates* c, const NetModel* model, const NetCluster* cluster, int longest)
{
  for (WiringPlace end = WIRING_NEAR; end <= WIRING_FAR; ++end) {
    int wires[WIRING_ALL];
    int at[WIRING_ALL];
    int n = 0;
    for (int i = 0; i < cluster->n_wires; ++i) {
      if (net_end_of(&model->wires[cluster->wires[i]], end)) {
        wires[n++] = cluster->wires[i];
      }
    }
    for (int length = 2; length <= longest && length <= n; ++length) {
      add_cycles(c, end, wires, n, at, 0, length);
    }
  }
}

static void
add_candidates(Candidates* c, const NetModel* model, const NetCluster* cluster,
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
  const NetModel* model;
  const NetCluster* cluster;
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

// All sets of candidates with rising index from `first` that cost `left`, added to those chosen.
static void
try_sets(Search* s, const WiringFault* chosen[], int n, int left, int first)
{
  if (left == 0) {
    if (net_explains(s->model, s->cluster, s->net, chosen, n)) {
      keep_set(s, chosen, n);
    }
    return;
  }
  for (int i = first; i < s->candidates->n && !s->no_memory; ++i) {
    const WiringFault* const f = &s->candidates->list[i];
    bool fits = wiring_cost(f) <= left;
    for (int k = 0; k < n; ++k) {
      fits = fits && !net_share_a_wire(chosen[k], f);
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
net_at(const NetModel* model, const int net[WIRING_NODES], int slot, WiringPlace end)
{
  return net[wiring_node(end, net_end_of(&model->wires[slot], end))];
}

// Own wires that are seen, then others that would be, then what is left as broken wires.
static void
lay_wires(const NetModel* model, const NetCluster* cluster, const int net[WIRING_NODES], Layout* l)
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
add_cycles_of(Candidates* c, const NetCluster* cluster, WiringPlace end, const int slot[WIRING_ALL])
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
fill_slots(const NetModel* model, const NetCluster* cluster, WiringPlace end, int slot[WIRING_ALL])
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
      for (int k = 0; k < cluster->n_wires && slot[w] < 0 && net_end_of(&model->wires[w], end);
           ++k) {
        const int s = cluster->wires[k];
        if (net_end_of(&model->wires[s], end) && !taken[s] && (pass == 1 || s == w)) {
          slot[w] = s;
          taken[s] = true;
        }
      }
    }
  }
}

static void
place_wires(const NetModel* model, const NetCluster* cluster, const Layout* l, Candidates* c)
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
join_nets(const NetModel* model, const NetCluster* cluster, const int net[WIRING_NODES],
          Candidates* c)
{
  for (int i = 0; i < cluster->n_nodes; ++i) {
    for (int k = i + 1; k < cluster->n_nodes; ++k) {
      const int a = cluster->nodes[i];
      const int b = cluster->nodes[k];
      const WiringPlace end = a < WIRING_CONTACTS ? WIRING_NEAR : WIRING_FAR;
      if ((b < WIRING_CONTACTS) != (end == WIRING_NEAR) || net[a] != net[b] ||
          c->n >= EXPLAIN_FAULTS) {
        continue;
      }
      const WiringFault* list[EXPLAIN_FAULTS];
      for (int f = 0; f < c->n; ++f) {
        list[f] = &c->list[f];
      }
      NetUnion u;
      net_forward(model, cluster, list, c->n, &u);
      if (net_root(&u, a) != net_root(&u, b)) {
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
  const NetModel* const model = s->model;
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
  const WiringFault* list[EXPLAIN_FAULTS];
  for (int f = 0; f < c->n && f < EXPLAIN_FAULTS; ++f) {
    list[f] = &c->list[f];
  }
  if (c->n <= EXPLAIN_FAULTS && net_explains(model, s->cluster, s->net, list, c->n)) {
    keep_set(s, list, c->n);
  }
}

// How many separate things the plan makes of a cluster. A fault of cost w ties at most w + 1 of
// them together, so a cluster of k needs a cost of k - 1.
static int
n_apart_as_wanted(const NetModel* model, const NetCluster* cluster)
{
  NetUnion u;
  int n = 0;
  net_forward(model, cluster, NULL, 0, &u);
  for (int i = 0; i < cluster->n_nodes; ++i) {
    n += net_root(&u, cluster->nodes[i]) == cluster->nodes[i];
  }
  return n;
}

Status
explain_group(Arena* arena, const NetModel* model, const NetCluster* cluster,
              const WiringVerdict* v, WiringFault* room, WiringGroup* group)
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
