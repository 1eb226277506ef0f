// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/verdict.h"

#include <string.h>

/*
  What is wired to what, in words: each group of wires that do not belong together is one sentence,
  with its place where that shows and with "could be either" where it does not.
*/

// ---- Sentences ----

#define SAY_OPEN "Open %s: it does not reach the other end. %s"
#define SAY_SHORT "Short %s: these are joined and should not be. %s"
#define SAY_SHORT_ANY "Where along the cable does not show."
#define SAY_SHORT_SIDE "It lies on the %s side of the break."
#define SAY_AT_END "It is at the %s end."
#define SAY_CROSSED                                                                                \
  "Crossed %s: each leads where the other should. Made at one end or at the other: no tester can " \
  "tell."
#define SAY_ROTATED                                                                                \
  "Rotated %s: each leads where the next should. Made at one end, at the other, or one crossing "  \
  "at each: no tester can tell."
#define SAY_NO_JOIN "The bridge %s at the %s end is missing."
#define SAY_SEVERAL                                                                                \
  "Several faults at once: %s would explain it, and so would %d other sets of faults. Open both "  \
  "connectors and look."
#define SAY_SEVERAL_BIG                                                                            \
  "Many faults at once: %s would explain it, and others would too. Open both connectors and look."
#define SAY_OTHERWISE                                                                              \
  "No small set of faults explains this wiring: perhaps it is a cable of another sort. If it was " \
  "made so, give what it should be with --plan."
#define SAY_CLASH                                                                                  \
  "These readings contradict each other: %s %s and %s %s hang together through others, yet were "  \
  "read as apart. Something comes and goes, or a probe slipped: read them again."
#define SAY_WIRED_AS "This is just how a %s is wired."
#define CANNOT_SPLIT                                                                               \
  "Pairs twisted with the wrong partner, and two crossings that undo each other: the contacts "    \
  "are "                                                                                           \
  "right all the same."
#define CANNOT_SHELL "The shells: they were not measured."
#define CANNOT_WITHIN                                                                              \
  "Whether contacts that lead nowhere are joined: the ends were not tried within."

// ---- Faults of the wiring, without their places ----

// The wires a fault is about, ascending for shorts; crossings in the sense of the far end.
typedef struct {
  WiringSort sort;
  int n;
  int wire[WIRING_CONTACTS];
} Bare;

static Bare
bare_of(const Verdict* w, const WiringFault* f)
{
  Bare b = {f->sort, f->n, {0}};
  for (int i = 0; i < f->n; ++i) {
    b.wire[i] = f->at[i];
    if (f->sort == WIRING_SHORT && f->place != WIRING_ALONG) {
      b.wire[i] = verdict_wire_at(w, f->place, f->at[i]);
    }
    if (f->sort == WIRING_CROSSED && f->place == WIRING_NEAR) {
      b.wire[i] = f->at[(f->n - i) % f->n];
    }
  }
  if (f->sort == WIRING_SHORT && b.wire[0] > b.wire[1]) {
    const int first = b.wire[0];
    b.wire[0] = b.wire[1];
    b.wire[1] = first;
  }
  return b;
}

static bool
bare_same(const Bare* a, const Bare* b)
{
  return a->sort == b->sort && a->n == b->n &&
         !memcmp(a->wire, b->wire, (size_t)a->n * sizeof(a->wire[0]));
}

static const char*
bare_name(const Verdict* w, const Bare* b)
{
  const char* names[WIRING_CONTACTS];
  const WiringPlan* const plan = &w->in->connector->plan;
  if (b->sort == WIRING_NO_JOIN) {
    const WiringJoin* const join = &plan->joins[b->wire[0]];
    names[0] = verdict_contact(w, join->end, join->a);
    names[1] = verdict_contact(w, join->end, join->b);
    return arena_format(w->arena, "no bridge %s%s%s", names[0], verdict_stroke(names[0]), names[1]);
  }
  for (int i = 0; i < b->n; ++i) {
    names[i] = verdict_wire(w, b->wire[i]);
  }
  const char* const all = verdict_join(w, names, b->n);
  const char* const word = b->sort == WIRING_OPEN    ? "open"
                           : b->sort == WIRING_SHORT ? "short"
                           : b->n == 2               ? "crossed"
                                                     : "rotated";
  return all ? arena_format(w->arena, "%s %s", word, all) : NULL;
}

// Places a fault can be at: bits of WiringPlace over all sets of a group.
static int
places_of(const Verdict* w, const WiringGroup* group, const Bare* bare)
{
  int places = 0;
  for (int s = 0; s < group->n_sets; ++s) {
    for (int i = 0; i < group->sets[s].n; ++i) {
      const Bare b = bare_of(w, &group->sets[s].faults[i]);
      places |= bare_same(&b, bare) ? 1 << group->sets[s].faults[i].place : 0;
    }
  }
  return places;
}

// Every set of the group has the same faults but for their places.
static bool
all_alike(const Verdict* w, const WiringGroup* group)
{
  for (int s = 1; s < group->n_sets; ++s) {
    bool taken[16] = {false};
    if (group->sets[s].n != group->sets[0].n || group->sets[s].n > 16) {
      return false;
    }
    for (int i = 0; i < group->sets[s].n; ++i) {
      const Bare a = bare_of(w, &group->sets[s].faults[i]);
      bool found = false;
      for (int k = 0; k < group->sets[0].n && !found; ++k) {
        const Bare b = bare_of(w, &group->sets[0].faults[k]);
        found = !taken[k] && bare_same(&a, &b);
        taken[k] = taken[k] || found;
      }
      if (!found) {
        return false;
      }
    }
  }
  return group->n_sets > 0;
}

enum { AT_NEAR = 1 << WIRING_NEAR, AT_FAR = 1 << WIRING_FAR, AT_ALONG = 1 << WIRING_ALONG };

static void
say_short(Verdict* w, const char* name, int places, bool broken)
{
  const bool any = (places & AT_NEAR && places & AT_FAR) || places == AT_ALONG;
  const char* const end = places & AT_NEAR ? "near" : "far";
  const char* const tail =
    any ? SAY_SHORT_ANY : arena_format(w->arena, broken ? SAY_SHORT_SIDE : SAY_AT_END, end);
  verdict_fault(w, name,
                any                ? "not told"
                : places & AT_NEAR ? "near end"
                                   : "far end",
                tail && name ? arena_format(w->arena, SAY_SHORT, name + strlen("short "), tail)
                             : NULL);
}

static void
say_bare(Verdict* w, const WiringGroup* group, const Bare* bare, bool broken)
{
  const char* const name = bare_name(w, bare);
  const int places = places_of(w, group, bare);
  if (!name) {
    w->no_memory = true;
    return;
  }
  if (bare->sort == WIRING_SHORT) {
    say_short(w, name, places, broken);
  } else if (bare->sort == WIRING_OPEN) {
    const bool either = places == (AT_NEAR | AT_FAR);
    const char* const end = places & AT_NEAR ? "near" : "far";
    const char* const tail = either ? SAY_OPEN_EITHER : arena_format(w->arena, SAY_AT_END, end);
    verdict_fault(w, name,
                  either             ? "not told"
                  : places & AT_NEAR ? "near end"
                                     : "far end",
                  tail ? arena_format(w->arena, SAY_OPEN, name + strlen("open "), tail) : NULL);
  } else if (bare->sort == WIRING_CROSSED) {
    w->crossed = true;
    verdict_fault(w, name, "not told",
                  arena_format(w->arena, bare->n == 2 ? SAY_CROSSED : SAY_ROTATED,
                               name + strlen(bare->n == 2 ? "crossed " : "rotated ")));
  } else {
    const WiringJoin* const join = &w->in->connector->plan.joins[bare->wire[0]];
    const bool near = join->end == WIRING_NEAR;
    verdict_fault(
      w, name, near ? "near end" : "far end",
      arena_format(w->arena, SAY_NO_JOIN, name + strlen("no bridge "), near ? "near" : "far"));
  }
}

// A group whose contacts all hang together: "short 1-2-3".
static bool
say_one_short(Verdict* w, const WiringGroup* group)
{
  const char* names[2][WIRING_CONTACTS];
  int n[2] = {0, 0};
  for (int i = 0; i < group->n_nodes; ++i) {
    const int node = group->nodes[i];
    const int end = node >= WIRING_CONTACTS;
    if (w->v.net[node] != w->v.net[group->nodes[0]]) {
      return false;
    }
    names[end][n[end]++] = verdict_node(w, node);
  }
  int places = 0;
  for (int s = 0; s < group->n_sets; ++s) {
    for (int i = 0; i < group->sets[s].n; ++i) {
      if (group->sets[s].faults[i].sort != WIRING_SHORT) {
        return false;
      }
      places |= 1 << group->sets[s].faults[i].place;
    }
  }
  const int end = n[1] > n[0];
  const char* const all = verdict_join(w, names[end], n[end]);
  say_short(w, all ? arena_format(w->arena, "short %s", all) : NULL, places, false);
  return true;
}

// A group in which every contact leads to one of the other end: crossed, or rotated.
static bool
say_one_cycle(Verdict* w, const WiringGroup* group)
{
  Bare cycle = {WIRING_CROSSED, 0, {0}};
  for (int i = 0; i < group->n_nodes; ++i) {
    int n[2] = {0, 0};
    for (int k = 0; k < group->n_nodes; ++k) {
      n[group->nodes[k] >= WIRING_CONTACTS] +=
        w->v.net[group->nodes[k]] == w->v.net[group->nodes[i]];
    }
    if (n[0] != 1 || n[1] != 1) {
      return false;
    }
  }
  int wire = verdict_wire_at(w, WIRING_NEAR, group->nodes[0] + 1);
  do {
    cycle.wire[cycle.n++] = wire;
    int far = 0;
    for (int k = 0; k < group->n_nodes; ++k) {
      const int node = group->nodes[k];
      if (node >= WIRING_CONTACTS &&
          w->v.net[node] == w->v.net[wiring_node(WIRING_NEAR, w->wires[wire].near)]) {
        far = node - WIRING_CONTACTS + 1;
      }
    }
    wire = verdict_wire_at(w, WIRING_FAR, far);
  } while (wire != cycle.wire[0] && w->wires[wire].near && cycle.n < WIRING_CONTACTS);
  if (wire != cycle.wire[0]) {
    return false;
  }
  say_bare(w, group, &cycle, false);
  return true;
}

static void
say_several(Verdict* w, const WiringGroup* group)
{
  if (group->n_sets == 0) {
    verdict_fault(w, "wired otherwise", "not told", SAY_OTHERWISE);
    return;
  }
  TextOut names = {.arena = w->arena};
  for (int i = 0; i < group->sets[0].n; ++i) {
    const Bare b = bare_of(w, &group->sets[0].faults[i]);
    const char* const name = bare_name(w, &b);
    w->no_memory = w->no_memory || !name;
    text_add(&names, "%s%s", i ? " and " : "", name ? name : "");
  }
  const char* const all = text_done(&names);
  w->no_memory = w->no_memory || !all;
  verdict_fault(w, all, "not told",
                group->is_whole
                  ? arena_format(w->arena, SAY_SEVERAL, all ? all : "", group->n_sets - 1)
                  : arena_format(w->arena, SAY_SEVERAL_BIG, all ? all : ""));
}

static void
say_group(Verdict* w, const WiringGroup* group)
{
  if (say_one_cycle(w, group) || (group->n_sets > 0 && say_one_short(w, group))) {
    return;
  }
  if (!all_alike(w, group)) {
    say_several(w, group);
    return;
  }
  bool broken = false;
  for (int i = 0; i < group->sets[0].n; ++i) {
    broken = broken || group->sets[0].faults[i].sort == WIRING_OPEN;
  }
  for (int i = 0; i < group->sets[0].n; ++i) {
    const Bare b = bare_of(w, &group->sets[0].faults[i]);
    say_bare(w, group, &b, broken);
  }
}

// ---- Wiring ----

// A near contact with one straight wire that is joined to its own far contact and to no other.
static bool
is_as_wanted(const Verdict* w, int near)
{
  const WiringPlan* const plan = &w->in->connector->plan;
  int wanted = 0;
  for (int i = 0; i < plan->n_wires; ++i) {
    wanted = plan->wires[i].near != near ? wanted : wanted ? -1 : plan->wires[i].far;
  }
  for (int far = 1; far <= plan->n[WIRING_FAR]; ++far) {
    const int mark = w->v.known[wiring_node(WIRING_NEAR, near)][wiring_node(WIRING_FAR, far)];
    if (mark != (far == wanted ? WIRING_JOINED : WIRING_APART)) {
      return false;
    }
  }
  return wanted > 0;
}

enum { WIRED_WHOLE = 9 }; ///< Cables of more contacts are told by what is not as wanted

static const char*
wired_text(const Verdict* w)
{
  const WiringPlan* const plan = &w->in->connector->plan;
  TextOut out = {.arena = w->arena};
  int n_right = 0;
  for (int near = 1; near <= wiring_contacts(plan, WIRING_NEAR); ++near) {
    const int a = wiring_node(WIRING_NEAR, near);
    const char* const name = verdict_contact(w, WIRING_NEAR, near);
    const char* const stroke = strcmp(verdict_stroke(name), "/") == 0 ? "=" : "-";
    int n = 0;
    bool apart = near <= plan->n[WIRING_NEAR];
    if (plan->n[WIRING_NEAR] > WIRED_WHOLE && is_as_wanted(w, near)) {
      ++n_right;
      continue;
    }
    for (int far = 1; far <= wiring_contacts(plan, WIRING_FAR); ++far) {
      const int mark = w->v.known[a][wiring_node(WIRING_FAR, far)];
      if (mark == WIRING_JOINED) {
        text_add(&out, "%s%s%s%s",
                 n             ? ","
                 : out.n_bytes ? " "
                               : "",
                 n ? "" : name, n ? "" : stroke, verdict_contact(w, WIRING_FAR, far));
        ++n;
      }
      apart = apart && (mark == WIRING_APART || far > plan->n[WIRING_FAR]);
    }
    if (n == 0 && apart) {
      text_add(&out, "%s%s open", out.n_bytes ? " " : "", name);
    }
  }
  if (n_right > 0) {
    text_add(&out, "%s%d right", out.n_bytes ? ", the other " : "all ", n_right);
  }
  return text_done(&out);
}

// Another sort of cable with these connectors that is wired just as this one.
static const char*
wired_as(Verdict* w)
{
  const Connector* const own = w->in->connector;
  const Connector* list = NULL;
  int n = 0;
  if (connector_list(w->arena, &list, &n) != STATUS_OK) {
    w->no_memory = true;
    return "";
  }
  for (int i = 0; i < n; ++i) {
    const Connector* const c = &list[i];
    bool fits = text_same(c->name, own->name) == false;
    for (int end = 0; end < 2 && fits; ++end) {
      fits =
        c->plan.n[end] == own->plan.n[end] && c->plan.has_shell[end] == own->plan.has_shell[end];
      for (int k = 0; fits && k < c->plan.n[end]; ++k) {
        fits = text_same(c->contact[end][k], own->contact[end][k]);
      }
    }
    WiringVerdict v;
    if (!fits) {
      continue;
    }
    if (wiring_judge(w->arena, &c->plan, &w->in->seen, &v) != STATUS_OK) {
      w->no_memory = true;
      return "";
    }
    if (!v.clashes && v.n_groups == 0 && v.n_wires_unknown + v.n_pairs_unknown == 0) {
      return c->name;
    }
  }
  return "";
}

static const char*
not_measured_text(const Verdict* w)
{
  const WiringPlan* const plan = &w->in->connector->plan;
  TextOut out = {.arena = w->arena};
  for (int i = 0; i < plan->n_wires; ++i) {
    const int a = wiring_node(WIRING_NEAR, plan->wires[i].near);
    const int b = wiring_node(WIRING_FAR, plan->wires[i].far);
    if (w->v.known[a][b] == WIRING_UNKNOWN) {
      text_add(&out, "%s%s", out.n_bytes ? ", " : "", verdict_wire(w, i));
    }
  }
  for (int j = 0; j < plan->n_joins; ++j) {
    const WiringJoin* const join = &plan->joins[j];
    if (w->v.known[wiring_node(join->end, join->a)][wiring_node(join->end, join->b)] ==
        WIRING_UNKNOWN) {
      text_add(&out, "%sthe bridge in the %s end", out.n_bytes ? ", " : "",
               join->end == WIRING_NEAR ? "near" : "far");
    }
  }
  return text_done(&out);
}

static void
judge_clash(Verdict* w)
{
  const int a = w->v.clash_a;
  const int b = w->v.clash_b;
  w->read_again = true;
  verdict_find(w, arena_format(w->arena, SAY_CLASH, a < WIRING_CONTACTS ? "near" : "far",
                               verdict_node(w, a), b < WIRING_CONTACTS ? "near" : "far",
                               verdict_node(w, b)));
}

Status
judge_wiring(Verdict* w)
{
  const WiringPlan* const plan = &w->in->connector->plan;
  Status st;
  TRY(st, wiring_judge(w->arena, plan, &w->in->seen, &w->v));
  if (w->v.clashes) {
    judge_clash(w);
    return STATUS_OK;
  }
  w->out.wired = wired_text(w);
  for (int g = 0; g < w->v.n_groups; ++g) {
    say_group(w, &w->v.groups[g]);
  }
  w->out.wired_as = w->v.n_groups ? wired_as(w) : "";
  if (w->out.wired_as[0]) {
    verdict_find(w, arena_format(w->arena, SAY_WIRED_AS, w->out.wired_as));
  }
  if (w->v.n_wires_unknown > 0) {
    const char* const text = not_measured_text(w);
    w->wants_reading = true;
    verdict_find(w, text ? arena_format(w->arena, SAY_NOT_MEASURED, text) : NULL);
  }
  if (w->v.n_pairs_unknown > 0) {
    w->wants_reading = w->wants_reading || w->v.n_groups == 0;
    verdict_cannot(w, CANNOT_WITHIN);
  }
  if (w->in->connector->n_pairs > 1) {
    verdict_cannot(w, CANNOT_SPLIT);
  }
  for (int end = 0; end < 2; ++end) {
    if (plan->has_shell[end] && !w->v.measured[wiring_node((WiringPlace)end, plan->n[end] + 1)]) {
      verdict_cannot(w, CANNOT_SHELL);
      break;
    }
  }
  return STATUS_OK;
}
