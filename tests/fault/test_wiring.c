// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/wiring.h"

#include "base/rng.h"
#include "support/check.h"

#include <string.h>

/*
  The true classes are found here without a line of wiring.c: faults become edges between contacts
  and wires, labels spread along the edges until nothing changes, and faults whose contacts carry
  the same labels are one class. Every class is then judged, and what the judge lists must be the
  smallest members of the class, all of them and nothing else.
*/

enum { MAX_N = 8, MAX_NODES = 3 * MAX_N };

typedef struct {
  const char* name;
  int n;
  int far_of[MAX_N]; ///< 0-based: near contact i is wired to this far contact
} Cable;

static const Cable cables[] = {
  {"3 straight", 3, {0, 1, 2}},
  {"3 with 2 and 3 crossed on purpose", 3, {0, 2, 1}},
  {"4 straight", 4, {0, 1, 2, 3}},
  {"4 with pairs crossed", 4, {2, 3, 0, 1}},
  {"8 straight", 8, {0, 1, 2, 3, 4, 5, 6, 7}},
};

static void
plan_of(const Cable* cable, WiringWire wires[MAX_N], WiringPlan* plan)
{
  for (int i = 0; i < cable->n; ++i) {
    wires[i] = (WiringWire){i + 1, cable->far_of[i] + 1};
  }
  *plan = (WiringPlan){{cable->n, cable->n}, {false, false}, wires, cable->n, NULL, 0};
}

// ---- The oracle ----

// Labels of near contacts 0..n-1 and far contacts n..2n-1: the lowest contact each hangs together
// with.
static void
spread(const Cable* cable, const WiringFault* const faults[], int n_faults, signed char label[])
{
  const int n = cable->n;
  int edges[64][2];
  int n_edges = 0;
  for (int w = 0; w < n; ++w) {
    int end[2] = {w, cable->far_of[w]}; // Contact this wire's ends sit on
    bool broken[2] = {false, false};
    for (int f = 0; f < n_faults; ++f) {
      const WiringFault* const x = faults[f];
      if (x->sort == WIRING_OPEN && x->at[0] == w) {
        broken[x->place] = true;
      }
      if (x->sort == WIRING_CROSSED) {
        for (int i = 0; i < x->n; ++i) {
          if (x->at[i] == w) {
            const int other = x->at[i + 1 == x->n ? 0 : i + 1];
            end[x->place] = x->place == WIRING_NEAR ? other : cable->far_of[other];
          }
        }
      }
    }
    if (!broken[0]) {
      edges[n_edges][0] = 2 * n + w;
      edges[n_edges++][1] = end[0];
    }
    if (!broken[1]) {
      edges[n_edges][0] = 2 * n + w;
      edges[n_edges++][1] = n + end[1];
    }
  }
  for (int f = 0; f < n_faults; ++f) {
    const WiringFault* const x = faults[f];
    if (x->sort == WIRING_SHORT) {
      const int base = x->place == WIRING_NEAR ? -1 : x->place == WIRING_FAR ? n - 1 : 2 * n;
      edges[n_edges][0] = base + x->at[0];
      edges[n_edges++][1] = base + x->at[1];
    }
  }
  signed char all[MAX_NODES];
  for (int i = 0; i < 3 * n; ++i) {
    all[i] = (signed char)i;
  }
  for (bool moved = true; moved;) {
    moved = false;
    for (int e = 0; e < n_edges; ++e) {
      signed char* const a = &all[edges[e][0]];
      signed char* const b = &all[edges[e][1]];
      if (*a != *b) {
        *a = *b = *a < *b ? *a : *b;
        moved = true;
      }
    }
  }
  memcpy(label, all, (size_t)(2 * n));
}

static void
seen_of(const Cable* cable, const signed char label[], WiringSeen* seen)
{
  memset(seen, 0, sizeof(*seen));
  for (int i = 0; i < 2 * cable->n; ++i) {
    for (int k = 0; k < 2 * cable->n; ++k) {
      const int a =
        i < cable->n ? wiring_node(WIRING_NEAR, i + 1) : wiring_node(WIRING_FAR, i - cable->n + 1);
      const int b =
        k < cable->n ? wiring_node(WIRING_NEAR, k + 1) : wiring_node(WIRING_FAR, k - cable->n + 1);
      seen->mark[a][b] = label[i] == label[k] ? WIRING_JOINED : WIRING_APART;
    }
  }
}

// ---- Every fault, every set of them up to a cost ----

enum { MAX_COST = 4 };

typedef struct {
  WiringFault* list;
  int n;
} Faults;

static void
put(Faults* all, WiringSort sort, WiringPlace place, int n, const int at[])
{
  WiringFault* const f = &all->list[all->n++];
  *f = (WiringFault){sort, place, n, {0}};
  for (int i = 0; i < n; ++i) {
    f->at[i] = (unsigned char)at[i];
  }
}

static void
put_cycles(Faults* all, WiringPlace place, int n_wires, int length, int depth, int at[])
{
  if (depth == length) {
    put(all, WIRING_CROSSED, place, length, at);
    return;
  }
  for (int w = depth ? at[0] + 1 : 0; w < n_wires; ++w) {
    bool used = false;
    for (int k = 0; k < depth; ++k) {
      used = used || at[k] == w;
    }
    if (!used) {
      at[depth] = w;
      put_cycles(all, place, n_wires, length, depth + 1, at);
    }
  }
}

static void
every_fault(int n, int longest, Faults* all)
{
  int at[MAX_N];
  for (int place = 0; place < 2; ++place) {
    for (int w = 0; w < n; ++w) {
      put(all, WIRING_OPEN, (WiringPlace)place, 1, &w);
    }
  }
  for (int place = 0; place < 3; ++place) {
    for (int a = 0; a < n; ++a) {
      for (int b = a + 1; b < n; ++b) {
        const int base = place == WIRING_ALONG ? 0 : 1;
        const int pair[2] = {a + base, b + base};
        put(all, WIRING_SHORT, (WiringPlace)place, 2, pair);
      }
    }
  }
  for (int length = 2; length <= longest; ++length) {
    put_cycles(all, WIRING_NEAR, n, length, 0, at);
    put_cycles(all, WIRING_FAR, n, length, 0, at);
  }
}

static bool
clash(const WiringFault* a, const WiringFault* b)
{
  bool shared = false;
  for (int i = 0; i < a->n; ++i) {
    for (int k = 0; k < b->n; ++k) {
      shared = shared || a->at[i] == b->at[k];
    }
  }
  return shared && a->sort == WIRING_CROSSED && b->sort == WIRING_CROSSED && a->place == b->place;
}

static int
cost_of(const WiringFault* f)
{
  return f->sort == WIRING_CROSSED ? f->n - 1 : 1;
}

// ---- Classes ----

typedef struct {
  signed char label[2 * MAX_N];
  signed char cost;
  signed char n;
  short at[MAX_COST]; ///< Indices into the list of faults, ascending
} Case;

static int
case_order(const void* a_, const void* b_)
{
  const Case* const a = a_;
  const Case* const b = b_;
  const int order = memcmp(a->label, b->label, sizeof(a->label));
  if (order) {
    return order;
  }
  if (a->cost != b->cost || a->n != b->n) {
    return a->cost != b->cost ? a->cost - b->cost : a->n - b->n;
  }
  for (int i = 0; i < a->n; ++i) {
    if (a->at[i] != b->at[i]) {
      return a->at[i] - b->at[i];
    }
  }
  return 0;
}

typedef struct {
  const Cable* cable;
  const Faults* all;
  int limit;
  Case* cases;
  int n, n_room;
} Enumeration;

static void
enumerate(Enumeration* e, Case now, int first)
{
  const WiringFault* list[MAX_COST];
  for (int i = 0; i < now.n; ++i) {
    list[i] = &e->all->list[now.at[i]];
  }
  if (e->n == e->n_room) {
    e->n_room = 2 * e->n_room + 1000;
    e->cases = realloc(e->cases, (size_t)e->n_room * sizeof(Case));
    assert_non_null(e->cases);
  }
  memset(now.label, 0, sizeof(now.label));
  spread(e->cable, list, now.n, now.label);
  e->cases[e->n++] = now;
  for (int i = first; i < e->all->n; ++i) {
    const int cost = cost_of(&e->all->list[i]);
    bool fits = now.cost + cost <= e->limit;
    for (int k = 0; k < now.n; ++k) {
      fits = fits && !clash(list[k], &e->all->list[i]);
    }
    if (fits) {
      Case more = now;
      more.at[more.n++] = (short)i;
      more.cost = (signed char)(more.cost + cost);
      enumerate(e, more, i + 1);
    }
  }
}

static int
index_of(const Faults* all, const WiringFault* fault)
{
  for (int i = 0; i < all->n; ++i) {
    const WiringFault* const f = &all->list[i];
    if (f->sort == fault->sort && f->place == fault->place && f->n == fault->n &&
        !memcmp(f->at, fault->at, sizeof(f->at))) {
      return i;
    }
  }
  fail_msg("a fault that no cable can have");
  return -1;
}

enum { MAX_MEMBERS = 8192 };

// What the judge lists for one class, as cases: the product of its groups, from group `g` on.
static void
cases_of(const Faults* all, const WiringVerdict* v, int g, Case now, Case* cases, int* n)
{
  if (g == v->n_groups) {
    for (int i = 1; i < now.n; ++i) { // Ascending
      for (int k = i; k > 0 && now.at[k] < now.at[k - 1]; --k) {
        const short at = now.at[k];
        now.at[k] = now.at[k - 1];
        now.at[k - 1] = at;
      }
    }
    assert_true(*n < MAX_MEMBERS);
    cases[(*n)++] = now;
    return;
  }
  for (int s = 0; s < v->groups[g].n_sets; ++s) {
    const WiringSet* const set = &v->groups[g].sets[s];
    Case more = now;
    for (int i = 0; i < set->n; ++i) {
      assert_true(more.n < MAX_COST);
      more.at[more.n++] = (short)index_of(all, &set->faults[i]);
      more.cost = (signed char)(more.cost + cost_of(&set->faults[i]));
    }
    cases_of(all, v, g + 1, more, cases, n);
  }
}

// cases[0..n) are one class: what the judge says of it must be its cheapest members, all of them.
static void
check_class(const Enumeration* e, const Case* cases, int n, Case* said)
{
  WiringWire wires[MAX_N];
  WiringPlan plan;
  WiringSeen seen;
  WiringVerdict v;
  Arena arena;
  arena_init(&arena, NULL);
  plan_of(e->cable, wires, &plan);
  seen_of(e->cable, cases[0].label, &seen);
  assert_int_equal(wiring_judge(&arena, &plan, &seen, &v), STATUS_OK);
  assert_false(v.clashes);
  assert_int_equal(v.n_wires_unknown + v.n_pairs_unknown, 0);
  for (int g = 0; g < v.n_groups; ++g) {
    assert_true(v.groups[g].is_whole && v.groups[g].is_sure && v.groups[g].n_sets > 0);
  }
  int n_cheapest = 0;
  while (n_cheapest < n && cases[n_cheapest].cost == cases[0].cost) {
    ++n_cheapest;
  }
  int n_said = 0;
  Case start;
  memset(&start, 0, sizeof(start));
  memcpy(start.label, cases[0].label, sizeof(start.label));
  cases_of(e->all, &v, 0, start, said, &n_said);
  qsort(said, (size_t)n_said, sizeof(Case), case_order);
  if (n_said != n_cheapest) {
    fail_msg("%s: %d sets said, %d there are of cost %d, first %d %d", e->cable->name, n_said,
             n_cheapest, cases[0].cost, cases[0].at[0], cases[0].at[1]);
  }
  for (int i = 0; i < n_said; ++i) {
    assert_int_equal(case_order(&said[i], &cases[i]), 0);
  }
  arena_deinit(&arena);
}

static void
check_forward(const Enumeration* e, const Case* c)
{
  WiringWire wires[MAX_N];
  WiringPlan plan;
  WiringSeen seen;
  WiringSeen want;
  WiringFault flat[MAX_COST];
  plan_of(e->cable, wires, &plan);
  for (int i = 0; i < c->n; ++i) {
    flat[i] = e->all->list[c->at[i]];
  }
  seen_of(e->cable, c->label, &want);
  assert_int_equal(wiring_matrix(&plan, flat, c->n, &seen), STATUS_OK);
  assert_memory_equal(&seen, &want, sizeof(seen));
}

static void
check_cable(const Cable* cable, int limit)
{
  Faults all = {calloc(40000, sizeof(WiringFault)), 0};
  Case* const said = calloc(MAX_MEMBERS, sizeof(Case));
  assert_non_null(all.list);
  assert_non_null(said);
  every_fault(cable->n, limit + 1 < cable->n ? limit + 1 : cable->n, &all);
  Enumeration e = {cable, &all, limit, NULL, 0, 0};
  Case start;
  memset(&start, 0, sizeof(start));
  enumerate(&e, start, 0);
  for (int i = 0; i < e.n; ++i) {
    check_forward(&e, &e.cases[i]);
  }
  qsort(e.cases, (size_t)e.n, sizeof(Case), case_order);
  int n_classes = 0;
  for (int i = 0; i < e.n;) {
    int k = i + 1;
    while (k < e.n && !memcmp(e.cases[k].label, e.cases[i].label, sizeof(e.cases[i].label))) {
      ++k;
    }
    check_class(&e, &e.cases[i], k - i, said);
    ++n_classes;
    i = k;
  }
  printf("%s: %d sets of faults up to cost %d in %d classes, each judged right\n", cable->name, e.n,
         limit, n_classes);
  free(e.cases);
  free(all.list);
  free(said);
}

static void
test_small_cables(void** state)
{
  (void)state;
  for (int i = 0; i < 4; ++i) {
    check_cable(&cables[i], check_count(cables[i].n == 3 ? 4 : 3, 4));
  }
}

static void
test_eight_contacts(void** state)
{
  (void)state;
  check_cable(&cables[4], check_count(2, 3));
}

// Any two faults of eight contacts, long crossings among them: the matrix is the oracle's, and what
// is said gives the same matrix and costs no more.
static void
test_eight_contacts_long_crossings(void** state)
{
  (void)state;
  const Cable* const cable = &cables[4];
  Faults all = {calloc(40000, sizeof(WiringFault)), 0};
  assert_non_null(all.list);
  every_fault(cable->n, cable->n, &all);
  const uint64_t seed = 20310614;
  const int n_tries = check_count(400, 10000);
  Rng rng;
  rng_init(&rng, seed);
  printf("seed %llu\n", (unsigned long long)seed);
  WiringWire wires[MAX_N];
  WiringPlan plan;
  plan_of(cable, wires, &plan);
  for (int t = 0; t < n_tries; ++t) {
    const WiringFault* list[2] = {&all.list[rng_below(&rng, all.n)],
                                  &all.list[rng_below(&rng, t % 2 ? 156 : all.n)]};
    const int n = clash(list[0], list[1]) ? 1 : 2;
    const WiringFault flat[2] = {*list[0], *list[1]};
    signed char label[2 * MAX_N];
    WiringSeen seen;
    WiringSeen want;
    WiringVerdict v;
    spread(cable, list, n, label);
    seen_of(cable, label, &want);
    assert_int_equal(wiring_matrix(&plan, flat, n, &seen), STATUS_OK);
    assert_memory_equal(&seen, &want, sizeof(seen));
    Arena arena;
    arena_init(&arena, NULL);
    assert_int_equal(wiring_judge(&arena, &plan, &seen, &v), STATUS_OK);
    WiringFault said[64];
    int n_said = 0;
    int cost = 0;
    for (int g = 0; g < v.n_groups; ++g) {
      assert_true(v.groups[g].n_sets > 0);
      cost += v.groups[g].cost;
      for (int i = 0; i < v.groups[g].sets[0].n; ++i) {
        said[n_said++] = v.groups[g].sets[0].faults[i];
      }
    }
    assert_true(cost <= cost_of(list[0]) + (n > 1 ? cost_of(list[1]) : 0));
    assert_int_equal(wiring_matrix(&plan, said, n_said, &seen), STATUS_OK);
    assert_memory_equal(&seen, &want, sizeof(seen));
    arena_deinit(&arena);
  }
  free(all.list);
}

// ---- Multipins ----

// A fault of a straight cable of n, at random.
static WiringFault
any_fault(Rng* rng, int n)
{
  const int a = rng_below(rng, n);
  const int b = (a + 1 + rng_below(rng, n - 1)) % n;
  const int low = a < b ? a : b;
  const int high = a < b ? b : a;
  const int sort = rng_below(rng, 3);
  if (sort == 0) {
    return (WiringFault){WIRING_OPEN, (WiringPlace)rng_below(rng, 2), 1, {(unsigned char)a}};
  }
  if (sort == 1) {
    const WiringPlace place = (WiringPlace)rng_below(rng, 3);
    const int base = place == WIRING_ALONG ? 0 : 1;
    return (WiringFault){
      WIRING_SHORT, place, 2, {(unsigned char)(low + base), (unsigned char)(high + base)}};
  }
  WiringFault f = {WIRING_CROSSED,
                   (WiringPlace)rng_below(rng, 2),
                   2 + (n > 2 ? rng_below(rng, 2) : 0),
                   {(unsigned char)low, (unsigned char)high}};
  for (int c = rng_below(rng, n); f.n == 3 && !f.at[2]; c = (c + 1) % n) {
    f.at[2] = (unsigned char)(c > low && c != high ? c : 0);
    f.n = c == n - 1 && !f.at[2] && low >= n - 2 ? 2 : f.n;
  }
  return f;
}

static bool
same_fault(const WiringFault* a, const WiringFault* b)
{
  return a->sort == b->sort && a->place == b->place && a->n == b->n &&
         !memcmp(a->at, b->at, sizeof(a->at));
}

// Whether one of a group's sets was planted, whole.
static bool
has_planted(const WiringGroup* group, const WiringFault planted[], int n)
{
  for (int s = 0; s < group->n_sets; ++s) {
    int n_found = 0;
    for (int i = 0; i < n; ++i) {
      for (int k = 0; k < group->sets[s].n; ++k) {
        n_found += same_fault(&planted[i], &group->sets[s].faults[k]);
      }
    }
    if (n_found == group->sets[s].n) {
      return true;
    }
  }
  return false;
}

static void
check_multipin(Rng* rng, int n, int* n_exact, int* n_groups)
{
  WiringWire wires[37];
  for (int i = 0; i < n; ++i) {
    wires[i] = (WiringWire){i + 1, i + 1};
  }
  const WiringPlan plan = {{n, n}, {true, true}, wires, n, NULL, 0};
  WiringFault planted[6];
  int n_planted = 0;
  const int n_wanted = 1 + rng_below(rng, 6);
  while (n_planted < n_wanted) {
    planted[n_planted] = any_fault(rng, n);
    bool fits = true;
    for (int i = 0; i < n_planted; ++i) {
      fits = fits && !clash(&planted[i], &planted[n_planted]);
    }
    n_planted += fits;
  }
  WiringSeen seen;
  WiringSeen again;
  WiringVerdict v;
  Arena arena;
  arena_init(&arena, NULL);
  assert_int_equal(wiring_matrix(&plan, planted, n_planted, &seen), STATUS_OK);
  assert_int_equal(wiring_judge(&arena, &plan, &seen, &v), STATUS_OK);
  WiringFault said[64];
  int n_said = 0;
  int cost = 0;
  int said_cost = 0;
  bool is_whole = true;
  bool is_planted = true;
  for (int i = 0; i < n_planted; ++i) {
    cost += cost_of(&planted[i]);
  }
  for (int g = 0; g < v.n_groups; ++g) {
    const WiringGroup* const group = &v.groups[g];
    assert_true(group->n_sets > 0 && group->is_sure);
    ++*n_groups;
    *n_exact += group->is_whole;
    is_whole = is_whole && group->is_whole;
    is_planted = is_planted && has_planted(group, planted, n_planted);
    said_cost += group->cost;
    for (int i = 0; i < group->sets[0].n; ++i) {
      said[n_said++] = group->sets[0].faults[i];
    }
  }
  // The least, and if nothing cheaper explains it, what was planted is among it
  assert_true(!is_whole || said_cost < cost || (said_cost == cost && is_planted));
  assert_int_equal(wiring_matrix(&plan, said, n_said, &again), STATUS_OK);
  assert_memory_equal(&seen, &again, sizeof(seen));
  arena_deinit(&arena);
}

static void
test_multipins(void** state)
{
  (void)state;
  const uint64_t seed = 7302;
  const int n_tries = check_count(100, 5000);
  Rng rng;
  int n_exact = 0;
  int n_groups = 0;
  rng_init(&rng, seed);
  printf("seed %llu\n", (unsigned long long)seed);
  for (int t = 0; t < n_tries; ++t) {
    check_multipin(&rng, t % 2 ? 25 : 37, &n_exact, &n_groups);
  }
  check_figure("wiring_multipins", n_tries, "cables");
  check_figure("wiring_multipin_groups_whole", 100.0 * n_exact / n_groups, "%");
}

// ---- Rows ----

typedef struct {
  const char* name;
  const char* joined;  ///< "N1F1N2 N3F3": each to the next joined, the rest of a word not measured,
                       ///< everything else apart
  const char* unknown; ///< Words of two
  bool clashes;
  int n_groups, n_wires_unknown, n_pairs_unknown;
  int n_sets; ///< Of the first group
  WiringSort sort;
  int places; ///< Of the fault of that sort in the first group: bits NEAR 1, FAR 2, ALONG 4
} Row;

static int
node_of(const char* at)
{
  return wiring_node(at[0] == 'N' ? WIRING_NEAR : WIRING_FAR, at[1] - '0');
}

static void
mark_words(WiringSeen* seen, const char* words, WiringMark next, WiringMark other)
{
  for (const char* at = words; *at;) {
    const size_t n = strcspn(at, " ");
    for (size_t i = 0; i < n; i += 2) {
      for (size_t k = 0; k < i; k += 2) {
        wiring_mark(seen, node_of(at + i), node_of(at + k), i - k == 2 ? next : other);
      }
    }
    at += n + (at[n] == ' ');
  }
}

// 3 contacts straight, a shell at the far end (contact 4), and an unbalanced lead: tip to 2, sleeve
// to 1, 1 and 3 joined. Sets counted by hand: see each row.
static const WiringWire straight[] = {{1, 1}, {2, 2}, {3, 3}};
static const WiringPlan plain = {{3, 3}, {false, true}, straight, 3, NULL, 0};
static const WiringWire unbalanced_wires[] = {{1, 2}, {2, 1}};
static const WiringJoin unbalanced_joins[] = {{WIRING_FAR, 1, 3}};
static const WiringPlan unbalanced = {{2, 3}, {false, false},   unbalanced_wires,
                                      2,      unbalanced_joins, 1};

static const Row plain_rows[] = {
  {"sound", "N1F1 N2F2 N3F3", "", false, 0, 0, 0, 0, WIRING_OPEN, 0},
  // near or far joint
  {"open 3", "N1F1 N2F2", "", false, 1, 0, 0, 2, WIRING_OPEN, 3},
  {"crossed 2-3", "N1F1 N2F3 N3F2", "", false, 1, 0, 0, 2, WIRING_CROSSED, 3},
  // near contacts, far contacts, along
  {"short 1-2", "F1N1N2F2 N3F3", "", false, 1, 0, 0, 3, WIRING_SHORT, 7},
  // The break lies beyond the short: short near with the break at either joint, or along with it
  // far
  {"short 1-2 near, 2 open beyond", "F1N1N2 N3F3", "", false, 1, 0, 0, 3, WIRING_SHORT, 5},
  {"short 1-2 far, 2 open before", "N1F1F2 N3F3", "", false, 1, 0, 0, 3, WIRING_SHORT, 6},
  // The shell can only touch its own end: at the contacts, or behind the joint
  {"shell on 1", "F4N1F1 N2F2 N3F3", "", false, 1, 0, 0, 2, WIRING_SHORT, 6},
  {"3 not measured", "N1F1 N2F2", "N3F3", false, 0, 1, 0, 0, WIRING_OPEN, 0},
  {"ends not measured within, two open", "N1F1", "N2N3 F2F3", false, 2, 0, 2, 2, WIRING_OPEN, 3},
  {"1 and 2 joined to the same, but apart", "N1F1 N2F1 N3F3", "", true, 0, 0, 0, 0, WIRING_OPEN, 0},
};

static const Row unbalanced_rows[] = {
  {"sound", "N1F2 N2F1F3", "", false, 0, 0, 0, 0, WIRING_OPEN, 0},
  {"bridge missing", "N1F2 N2F1", "", false, 1, 0, 0, 1, WIRING_NO_JOIN, 2},
  {"sleeve open", "N1F2 F1F3", "", false, 1, 0, 0, 2, WIRING_OPEN, 3},
  // The sleeve's wire sits on 2 and the tip's on 1, or the two are exchanged at the jack
  {"tip and sleeve crossed", "N1F1F3 N2F2", "", false, 1, 0, 0, 2, WIRING_CROSSED, 3},
};

static void
check_row(const WiringPlan* plan, const Row* row)
{
  WiringSeen seen;
  WiringVerdict v;
  Arena arena;
  arena_init(&arena, NULL);
  memset(&seen, WIRING_APART, sizeof(seen));
  for (int i = 0; i < WIRING_NODES; ++i) {
    seen.mark[i][i] = WIRING_JOINED;
  }
  mark_words(&seen, row->joined, WIRING_JOINED, WIRING_UNKNOWN);
  mark_words(&seen, row->unknown, WIRING_UNKNOWN, WIRING_UNKNOWN);
  assert_int_equal(wiring_judge(&arena, plan, &seen, &v), STATUS_OK);
  int places = 0;
  for (int s = 0; v.n_groups && s < v.groups[0].n_sets; ++s) {
    for (int i = 0; i < v.groups[0].sets[s].n; ++i) {
      const WiringFault* const f = &v.groups[0].sets[s].faults[i];
      places |= f->sort == row->sort ? 1 << f->place : 0;
    }
  }
  const int n_sets = v.n_groups ? v.groups[0].n_sets : 0;
  if (v.clashes != row->clashes || v.n_groups != row->n_groups ||
      v.n_wires_unknown != row->n_wires_unknown || v.n_pairs_unknown != row->n_pairs_unknown ||
      n_sets != row->n_sets || places != row->places) {
    fail_msg("%s: clashes %d, groups %d, unknown %d and %d, sets %d, places %d", row->name,
             v.clashes, v.n_groups, v.n_wires_unknown, v.n_pairs_unknown, n_sets, places);
  }
  arena_deinit(&arena);
}

static void
test_rows(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(plain_rows) / sizeof(plain_rows[0]); ++i) {
    check_row(&plain, &plain_rows[i]);
  }
  for (size_t i = 0; i < sizeof(unbalanced_rows) / sizeof(unbalanced_rows[0]); ++i) {
    check_row(&unbalanced, &unbalanced_rows[i]);
  }
}

static void
test_split_pair_is_straight(void** state)
{
  (void)state;
  const WiringWire wires[4] = {{1, 1}, {2, 2}, {3, 3}, {4, 4}};
  const WiringPlan plan = {{4, 4}, {false, false}, wires, 4, NULL, 0};
  const WiringFault split[2] = {{WIRING_CROSSED, WIRING_NEAR, 2, {1, 2}},
                                {WIRING_CROSSED, WIRING_FAR, 2, {1, 2}}};
  WiringSeen straight_seen;
  WiringSeen seen;
  assert_int_equal(wiring_matrix(&plan, NULL, 0, &straight_seen), STATUS_OK);
  assert_int_equal(wiring_matrix(&plan, split, 2, &seen), STATUS_OK);
  assert_memory_equal(&seen, &straight_seen, sizeof(seen));
}

static void
test_bad_plans_and_faults(void** state)
{
  (void)state;
  const WiringWire wires[2] = {{1, 1}, {2, 3}};
  const WiringPlan bad = {{2, 2}, {false, false}, wires, 2, NULL, 0};
  const WiringPlan good = {{2, 3}, {false, false}, wires, 2, NULL, 0};
  const WiringFault faults[] = {
    {WIRING_OPEN, WIRING_ALONG, 1, {0}},      {WIRING_OPEN, WIRING_NEAR, 1, {2}},
    {WIRING_SHORT, WIRING_NEAR, 2, {2, 1}},   {WIRING_SHORT, WIRING_FAR, 2, {1, 4}},
    {WIRING_CROSSED, WIRING_NEAR, 1, {0}},    {WIRING_CROSSED, WIRING_NEAR, 2, {0, 0}},
    {WIRING_CROSSED, WIRING_NEAR, 2, {0, 2}}, // 2 is far only
    {WIRING_NO_JOIN, WIRING_FAR, 1, {0}}};
  WiringSeen seen;
  assert_int_equal(wiring_matrix(&bad, NULL, 0, &seen), STATUS_BAD_ARG);
  for (size_t i = 0; i < sizeof(faults) / sizeof(faults[0]); ++i) {
    assert_int_equal(wiring_matrix(&good, &faults[i], 1, &seen), STATUS_BAD_ARG);
  }
}

static void
test_every_allocation_fails_once(void** state)
{
  (void)state;
  const WiringFault faults[3] = {{WIRING_SHORT, WIRING_NEAR, 2, {1, 2}},
                                 {WIRING_SHORT, WIRING_FAR, 2, {2, 3}},
                                 {WIRING_OPEN, WIRING_NEAR, 1, {0}}};
  WiringSeen seen;
  assert_int_equal(wiring_matrix(&plain, faults, 3, &seen), STATUS_OK);
  for (int fail_at = 0, n = 1; fail_at <= n; ++fail_at) {
    FailingHeap heap = {.fail_at = fail_at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    WiringVerdict v = {.n_groups = -1};
    arena_init(&arena, &from);
    const Status st = wiring_judge(&arena, &plain, &seen, &v);
    assert_int_equal(st, fail_at ? STATUS_NO_MEMORY : STATUS_OK);
    assert_true(fail_at ? v.n_groups == -1 : v.n_groups == 1);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    n = fail_at ? n : heap.n_requests;
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_small_cables),
    cmocka_unit_test(test_eight_contacts),
    cmocka_unit_test(test_eight_contacts_long_crossings),
    cmocka_unit_test(test_multipins),
    cmocka_unit_test(test_rows),
    cmocka_unit_test(test_split_pair_is_straight),
    cmocka_unit_test(test_bad_plans_and_faults),
    cmocka_unit_test(test_every_allocation_fails_once),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
