// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/judge.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  First what everything shows, each reading by itself, as faults and findings; then the state, which
  is the worst of them; then what to do, which follows from the state.
*/

// ---- Sentences ----

#define SAY_CAUTION                                                                                \
  "Only on a cable that is unplugged at both ends: no microphone, no desk, nothing on it."
#define SAY_CAUTION_LOUD                                                                           \
  "Only on a cable that is unplugged at both ends: an amplifier's output can exceed 50 V, and a "  \
  "bridged one has no earthed side."
#define SAY_OPEN "Open %s: it does not reach the other end. %s"
#define SAY_OPEN_EITHER "Which end broke does not show."
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
#define SAY_HIGH "High %s: %s ohm, at most %s ohm is right."
#define SAY_HIGH_OPEN "Open %s: no ohms end to end. " SAY_OPEN_EITHER
#define SAY_TINNED "%s reads above plain copper's limit and within tinned copper's (%s ohm): good."
#define SAY_LEGS                                                                                   \
  "%s and %s differ by %s ohm: at an input of 10 kohm a leg %d dB of common-mode rejection are "   \
  "left. No limit for continuity says anything of what is heard."
#define SAY_LEAK                                                                                   \
  "Leak: %s Mohm between contacts, at least 100 Mohm is right (IPC/WHMA-A-620 default for short "  \
  "assemblies, from memory)."
#define SAY_DRY "Insulation: %s Mohm, at least 100 Mohm is right (IPC/WHMA-A-620, from memory)."
#define SAY_LOOSE "Loose: breaks counted while it was flexed: %d."
#define SAY_STOOD "It stood %d s of flexing without a break."
#define SAY_TOO_SHORT "No break in %d s: only %d s without one clear a cable."
#define SAY_HOW_LONG "No break, but how long was it flexed? Only %d s without one clear a cable."
#define SAY_PICTURE_GOOD "The picture %s is that of a good cable on this tester."
#define SAY_PICTURE_ALSO "The picture %s also comes from: %s."
#define SAY_PICTURE_ONE "The picture %s means %s."
#define SAY_PICTURE_MANY "The picture %s means one of: %s."
#define SAY_PICTURE_NONE                                                                           \
  "No single fault gives the picture %s: several at once, or the tester. Try the known-good "      \
  "cable."
#define SAY_PICTURE_HIDES                                                                          \
  "The picture %s is that of a good cable on this tester, and of: %s. It cannot tell them apart: " \
  "judge by brightness beside the known-good cable, or measure what is wired to what."
#define SAY_PICTURE_BATTERY                                                                        \
  "The picture %s means %s, or a good cable while the sender's battery is in backwards: try the "  \
  "known-good cable first."
#define SAY_NOT_MEASURED "Not measured: %s."
#define SAY_NO_LIMIT                                                                               \
  "No limit was applied to the ohms: give --length and --section or --awg, or --limit 620."
#define SAY_FLAT_LIMIT                                                                             \
  "A flat 2 ohm rejects good long cables (0.22 mm2 from about 22 m on): give length and section."

#define CANNOT_FILM                                                                                \
  "Contacts with a film, and strands that hold still: those show when it is flexed."
#define CANNOT_SPLIT                                                                               \
  "Pairs twisted with the wrong partner, and two crossings that undo each other: the contacts "    \
  "are "                                                                                           \
  "right all the same."
#define CANNOT_LEAK "Damp: a leak shows on an insulation meter only."
#define CANNOT_SHELL "The shells: they were not measured."
#define CANNOT_SHORTS "Shorts between contacts: ohms end to end do not show them."
#define CANNOT_WIRING "What is wired to what: it was not measured."
#define CANNOT_WITHIN                                                                              \
  "Whether contacts that lead nowhere are joined: the ends were not tried within."
#define CANNOT_LAMPS "A few ohms in a conductor, or a leak of many kilohms: lamps hardly change."
#define CANNOT_LEADS "The meter's own leads: join its tips first and take that off."

#define DO_TAPE "Tape off both ends so that it cannot be plugged, and write on the tape: %s."
#define DO_MEND                                                                                    \
  "Mend it at the bench: open the socket end first (most breaks are within 5 cm of a connector, "  \
  "that end more than the other: common practice, no source)."
#define DO_LOOK "Mend it at the bench: open both connectors and look."
#define DO_MARK "If it was made so on purpose, mark it at both ends; else mend it."
#define DO_CLEAN "Clean its contacts and read it again; if it stays high, mend it."
#define DO_DRY "Dry it and measure again."
#define DO_USE "Use it."
#define DO_USE_TAPED                                                                               \
  "Use it. If it is taped off it stays so until it stands 60 s of flexing without a break."
#define DO_CLEAR "Use it; if it was taped off, take the tape off."
#define DO_FLEX_ON "Flex both ends on until %d s are full; one break and it is taped off."
#define DO_MEASURE "Measure what is missing, then ask again; until then it is not proven."
#define DO_AGAIN "Read it again before anything is taped off."

const char*
judge_state_word(JudgeState state)
{
  static const char* const words[] = {"sound", "not sound", "not cleared", "not proven"};
  return words[state];
}

// ---- Work ----

typedef struct {
  Arena* arena;
  const JudgeReadings* in;
  WiringWire wires[WIRING_ALL];
  int n_wires;
  WiringVerdict v;
  Judgement out;
  bool crossed, high, damp, wants_reading, read_again, no_memory;
} Work;

static void
add(Work* w, const char* list[JUDGE_SAYINGS], int* n, const char* text)
{
  w->no_memory = w->no_memory || !text;
  if (*n < JUDGE_SAYINGS) {
    list[(*n)++] = text;
  }
}

static void
find(Work* w, const char* text)
{
  add(w, w->out.found, &w->out.n_found, text);
}

static void
cannot(Work* w, const char* text)
{
  add(w, w->out.cannot, &w->out.n_cannot, text);
}

static void
todo(Work* w, const char* text)
{
  add(w, w->out.todo, &w->out.n_todo, text);
}

static void
add_fault(Work* w, const char* name, const char* where, const char* say)
{
  w->no_memory = w->no_memory || !name || !say;
  if (w->out.n_faults < JUDGE_FAULTS) {
    w->out.faults[w->out.n_faults++] = (JudgeFault){name, where, say};
  }
}

static const char*
contact_name(const Work* w, WiringPlace end, int contact)
{
  return connector_contact(w->in->connector, end, contact);
}

static const char*
node_name(const Work* w, int node)
{
  const WiringPlace end = node < WIRING_CONTACTS ? WIRING_NEAR : WIRING_FAR;
  return contact_name(w, end, node - (int)end * WIRING_CONTACTS + 1);
}

// "1-2", or "1+/2+" where a stroke could be read as a pole.
static const char*
stroke_of(const char* name)
{
  const size_t n = strlen(name);
  return n && (name[n - 1] == '+' || name[n - 1] == '-') ? "/" : "-";
}

static const char*
wire_name(const Work* w, int wire)
{
  const WiringWire* const x = &w->wires[wire];
  return x->near ? contact_name(w, WIRING_NEAR, x->near) : contact_name(w, WIRING_FAR, x->far);
}

static int
wire_at(const Work* w, WiringPlace end, int contact)
{
  for (int i = 0; i < w->n_wires; ++i) {
    if ((end == WIRING_NEAR ? w->wires[i].near : w->wires[i].far) == contact) {
      return i;
    }
  }
  return 0;
}

static const char*
join_names(const Work* w, const char* const names[], int n)
{
  TextOut out = {.arena = w->arena};
  for (int i = 0; i < n; ++i) {
    text_add(&out, "%s%s", i ? stroke_of(names[i - 1]) : "", names[i]);
  }
  return text_done(&out);
}

// ---- Faults of the wiring, without their places ----

// The wires a fault is about, ascending for shorts; crossings in the sense of the far end.
typedef struct {
  WiringSort sort;
  int n;
  int wire[WIRING_CONTACTS];
} Bare;

static Bare
bare_of(const Work* w, const WiringFault* f)
{
  Bare b = {f->sort, f->n, {0}};
  for (int i = 0; i < f->n; ++i) {
    b.wire[i] = f->at[i];
    if (f->sort == WIRING_SHORT && f->place != WIRING_ALONG) {
      b.wire[i] = wire_at(w, f->place, f->at[i]);
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
bare_name(const Work* w, const Bare* b)
{
  const char* names[WIRING_CONTACTS];
  const WiringPlan* const plan = &w->in->connector->plan;
  if (b->sort == WIRING_NO_JOIN) {
    const WiringJoin* const join = &plan->joins[b->wire[0]];
    names[0] = contact_name(w, join->end, join->a);
    names[1] = contact_name(w, join->end, join->b);
    return arena_format(w->arena, "no bridge %s%s%s", names[0], stroke_of(names[0]), names[1]);
  }
  for (int i = 0; i < b->n; ++i) {
    names[i] = wire_name(w, b->wire[i]);
  }
  const char* const all = join_names(w, names, b->n);
  const char* const word = b->sort == WIRING_OPEN    ? "open"
                           : b->sort == WIRING_SHORT ? "short"
                           : b->n == 2               ? "crossed"
                                                     : "rotated";
  return all ? arena_format(w->arena, "%s %s", word, all) : NULL;
}

// Places a fault can be at: bits of WiringPlace over all sets of a group.
static int
places_of(const Work* w, const WiringGroup* group, const Bare* bare)
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
all_alike(const Work* w, const WiringGroup* group)
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
say_short(Work* w, const char* name, int places, bool broken)
{
  const bool any = (places & AT_NEAR && places & AT_FAR) || places == AT_ALONG;
  const char* const end = places & AT_NEAR ? "near" : "far";
  const char* const tail =
    any ? SAY_SHORT_ANY : arena_format(w->arena, broken ? SAY_SHORT_SIDE : SAY_AT_END, end);
  add_fault(w, name,
            any                ? "not told"
            : places & AT_NEAR ? "near end"
                               : "far end",
            tail && name ? arena_format(w->arena, SAY_SHORT, name + strlen("short "), tail) : NULL);
}

static void
say_bare(Work* w, const WiringGroup* group, const Bare* bare, bool broken)
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
    add_fault(w, name,
              either             ? "not told"
              : places & AT_NEAR ? "near end"
                                 : "far end",
              tail ? arena_format(w->arena, SAY_OPEN, name + strlen("open "), tail) : NULL);
  } else if (bare->sort == WIRING_CROSSED) {
    w->crossed = true;
    add_fault(w, name, "not told",
              arena_format(w->arena, bare->n == 2 ? SAY_CROSSED : SAY_ROTATED,
                           name + strlen(bare->n == 2 ? "crossed " : "rotated ")));
  } else {
    const WiringJoin* const join = &w->in->connector->plan.joins[bare->wire[0]];
    const bool near = join->end == WIRING_NEAR;
    add_fault(
      w, name, near ? "near end" : "far end",
      arena_format(w->arena, SAY_NO_JOIN, name + strlen("no bridge "), near ? "near" : "far"));
  }
}

// A group whose contacts all hang together: "short 1-2-3".
static bool
say_one_short(Work* w, const WiringGroup* group)
{
  const char* names[2][WIRING_CONTACTS];
  int n[2] = {0, 0};
  for (int i = 0; i < group->n_nodes; ++i) {
    const int node = group->nodes[i];
    const int end = node >= WIRING_CONTACTS;
    if (w->v.net[node] != w->v.net[group->nodes[0]]) {
      return false;
    }
    names[end][n[end]++] = node_name(w, node);
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
  const char* const all = join_names(w, names[end], n[end]);
  say_short(w, all ? arena_format(w->arena, "short %s", all) : NULL, places, false);
  return true;
}

// A group in which every contact leads to one of the other end: crossed, or rotated.
static bool
say_one_cycle(Work* w, const WiringGroup* group)
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
  int wire = wire_at(w, WIRING_NEAR, group->nodes[0] + 1);
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
    wire = wire_at(w, WIRING_FAR, far);
  } while (wire != cycle.wire[0] && w->wires[wire].near && cycle.n < WIRING_CONTACTS);
  if (wire != cycle.wire[0]) {
    return false;
  }
  say_bare(w, group, &cycle, false);
  return true;
}

static void
say_several(Work* w, const WiringGroup* group)
{
  if (group->n_sets == 0) {
    add_fault(w, "wired otherwise", "not told", SAY_OTHERWISE);
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
  add_fault(w, all, "not told",
            group->is_whole ? arena_format(w->arena, SAY_SEVERAL, all ? all : "", group->n_sets - 1)
                            : arena_format(w->arena, SAY_SEVERAL_BIG, all ? all : ""));
}

static void
say_group(Work* w, const WiringGroup* group)
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
is_as_wanted(const Work* w, int near)
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
wired_text(const Work* w)
{
  const WiringPlan* const plan = &w->in->connector->plan;
  TextOut out = {.arena = w->arena};
  int n_right = 0;
  for (int near = 1; near <= wiring_contacts(plan, WIRING_NEAR); ++near) {
    const int a = wiring_node(WIRING_NEAR, near);
    const char* const name = contact_name(w, WIRING_NEAR, near);
    const char* const stroke = strcmp(stroke_of(name), "/") == 0 ? "=" : "-";
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
                 n ? "" : name, n ? "" : stroke, contact_name(w, WIRING_FAR, far));
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
wired_as(Work* w)
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
not_measured_text(const Work* w)
{
  const WiringPlan* const plan = &w->in->connector->plan;
  TextOut out = {.arena = w->arena};
  for (int i = 0; i < plan->n_wires; ++i) {
    const int a = wiring_node(WIRING_NEAR, plan->wires[i].near);
    const int b = wiring_node(WIRING_FAR, plan->wires[i].far);
    if (w->v.known[a][b] == WIRING_UNKNOWN) {
      text_add(&out, "%s%s", out.n_bytes ? ", " : "", wire_name(w, i));
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
judge_clash(Work* w)
{
  const int a = w->v.clash_a;
  const int b = w->v.clash_b;
  w->read_again = true;
  find(w, arena_format(w->arena, SAY_CLASH, a < WIRING_CONTACTS ? "near" : "far", node_name(w, a),
                       b < WIRING_CONTACTS ? "near" : "far", node_name(w, b)));
}

static Status
judge_wiring(Work* w)
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
    find(w, arena_format(w->arena, SAY_WIRED_AS, w->out.wired_as));
  }
  if (w->v.n_wires_unknown > 0) {
    const char* const text = not_measured_text(w);
    w->wants_reading = true;
    find(w, text ? arena_format(w->arena, SAY_NOT_MEASURED, text) : NULL);
  }
  if (w->v.n_pairs_unknown > 0) {
    w->wants_reading = w->wants_reading || w->v.n_groups == 0;
    cannot(w, CANNOT_WITHIN);
  }
  if (w->in->connector->n_pairs > 1) {
    cannot(w, CANNOT_SPLIT);
  }
  for (int end = 0; end < 2; ++end) {
    if (plan->has_shell[end] && !w->v.measured[wiring_node((WiringPlace)end, plan->n[end] + 1)]) {
      cannot(w, CANNOT_SHELL);
      break;
    }
  }
  return STATUS_OK;
}

// ---- Ohms ----

// "1.6", "470", "0.02": as many places as a person would write.
static const char*
ohm_text(const Work* w, double ohm)
{
  return arena_format(w->arena, ohm < 0.1 ? "%.2g" : ohm < 10 ? "%.2f" : "%.0f", ohm);
}

static bool
is_found(const Work* w, const char* name)
{
  for (int i = 0; i < w->out.n_faults; ++i) {
    if (w->out.faults[i].name && !strcmp(w->out.faults[i].name, name)) {
      return true;
    }
  }
  return false;
}

static void
judge_conductor(Work* w, int contact, const ConductorLimit* limit)
{
  const double ohm = w->in->ohm[contact - 1];
  const char* const name = contact_name(w, WIRING_NEAR, contact);
  w->out.ohms[w->out.n_ohms++] = (JudgeOhms){name, ohm, limit->ohm};
  if (isinf(ohm)) {
    const char* const fault = arena_format(w->arena, "open %s", name);
    if (!fault || !is_found(w, fault)) {
      add_fault(w, fault, "not told", arena_format(w->arena, SAY_HIGH_OPEN, name));
    }
    return;
  }
  if (isnan(limit->ohm) || ohm <= limit->ohm) {
    return;
  }
  const Conductor* const c = w->in->conductor;
  const double tinned = c ? 0.001 * conductor_iec60228_ohm_per_km(c->mm2, true) : 0.0;
  if (tinned > 0.0 && w->in->rule == CONDUCTOR_BY_COPPER) {
    const double more =
      conductor_at_c(w->in->length_m * (tinned - c->max_ohm_per_m), w->in->celsius);
    if (ohm <= limit->ohm + more) {
      const char* const most = ohm_text(w, limit->ohm + more);
      find(w, most ? arena_format(w->arena, SAY_TINNED, name, most) : NULL);
      return;
    }
  }
  const char* const got = ohm_text(w, ohm);
  const char* const most = ohm_text(w, limit->ohm);
  w->high = true;
  add_fault(w, arena_format(w->arena, "high %s", name), "not told",
            got && most ? arena_format(w->arena, SAY_HIGH, name, got, most) : NULL);
}

// Legs of a pair: what their difference leaves of common-mode rejection.
static void
judge_balance(Work* w)
{
  const Connector* const c = w->in->connector;
  int worst = -1;
  for (int p = 0; p < c->n_pairs; ++p) {
    const double a = w->in->ohm[c->pairs[p][0] - 1];
    const double b = w->in->ohm[c->pairs[p][1] - 1];
    if (isfinite(a) && isfinite(b) && (worst < 0 || fabs(a - b) > w->out.balance_ohm)) {
      w->out.balance_ohm = fabs(a - b);
      // A source of 100 ohm a leg; the figure hardly depends on it
      w->out.rejection_db = conductor_rejection_db(100.0 + a, 100.0 + b, 10e3);
      worst = p;
    }
  }
  if (worst >= 0 && w->out.balance_ohm >= 0.3) {
    const char* const ohm = ohm_text(w, w->out.balance_ohm);
    find(w, ohm ? arena_format(w->arena, SAY_LEGS, contact_name(w, WIRING_NEAR, c->pairs[worst][0]),
                               contact_name(w, WIRING_NEAR, c->pairs[worst][1]), ohm,
                               (int)(w->out.rejection_db + 0.5))
                : NULL);
  }
}

static void
judge_ohms(Work* w)
{
  const JudgeReadings* const in = w->in;
  const WiringPlan* const plan = &in->connector->plan;
  const ConductorLimit limit =
    conductor_limit(in->rule, in->conductor, in->length_m, in->celsius, 2);
  TextOut missing = {.arena = w->arena};
  for (int contact = 1; contact <= wiring_contacts(plan, WIRING_NEAR); ++contact) {
    bool has_wire = false;
    for (int i = 0; i < plan->n_wires; ++i) {
      has_wire = has_wire || plan->wires[i].near == contact;
    }
    if (!isnan(in->ohm[contact - 1])) {
      if (has_wire) {
        judge_conductor(w, contact, &limit);
      }
    } else if (has_wire) {
      text_add(&missing, "%s%s", missing.n_bytes ? ", " : "the ohms of ",
               contact_name(w, WIRING_NEAR, contact));
    }
  }
  if (isnan(limit.ohm)) {
    w->out.limit = SAY_NO_LIMIT;
    w->wants_reading = true;
  } else {
    const char* const most = ohm_text(w, limit.ohm);
    w->out.limit =
      in->rule == CONDUCTOR_BY_620
        ? arena_format(w->arena, "At most %s ohm end to end: %s.%s", most ? most : "", limit.source,
                       limit.copper_ohm > 0.0 ? "" : " " SAY_FLAT_LIMIT)
        : arena_format(
            w->arena,
            "At most %s ohm end to end: %.4g m at %.4g ohm/km, %.3g C; %s; and 2 contacts "
            "of 10 mohm (from memory, not normative).",
            most ? most : "", in->length_m, 1000.0 * in->conductor->max_ohm_per_m, in->celsius,
            limit.source);
    w->no_memory = w->no_memory || !w->out.limit || !most;
  }
  if (missing.n_bytes && !in->has_wiring) {
    w->wants_reading = true;
    find(w, text_done(&missing) ? arena_format(w->arena, SAY_NOT_MEASURED, text_done(&missing))
                                : NULL);
  }
  judge_balance(w);
  cannot(w, CANNOT_LEADS);
}

// ---- The rest ----

static void
judge_insulation(Work* w)
{
  const double ohm = w->in->insulation_ohm;
  const char* const text = arena_format(w->arena, "%.4g", 1e-6 * ohm);
  if (ohm < CONDUCTOR_INSULATION_OHM) {
    w->damp = true;
    add_fault(w, "leak", "not told", text ? arena_format(w->arena, SAY_LEAK, text) : NULL);
  } else {
    find(w, text ? arena_format(w->arena, SAY_DRY, text) : NULL);
  }
}

static void
judge_flex(Work* w)
{
  const JudgeReadings* const in = w->in;
  if (in->breaks > 0) {
    add_fault(w, "loose", "not told", arena_format(w->arena, SAY_LOOSE, in->breaks));
  } else if (in->seconds < 0) {
    find(w, arena_format(w->arena, SAY_HOW_LONG, JUDGE_FLEX_S));
  } else if (in->seconds < JUDGE_FLEX_S) {
    find(w, arena_format(w->arena, SAY_TOO_SHORT, in->seconds, JUDGE_FLEX_S));
  } else {
    find(w, arena_format(w->arena, SAY_STOOD, in->seconds));
  }
}

// Whether a good cable gives this picture while the sender's battery is the wrong way round.
static bool
is_mirrored(Work* w)
{
  const Card* const card = w->in->reversed;
  int* const rows = card ? arena_array(w->arena, (size_t)card->n_rows, sizeof(int)) : NULL;
  w->no_memory = w->no_memory || (card && !rows);
  const int n = rows ? card_showing(card, w->in->picture, rows) : 0;
  for (int i = 0; i < n; ++i) {
    if (card->rows[rows[i]].fault.mode == FAULT_NONE) {
      return true;
    }
  }
  return false;
}

static Status
judge_lamps(Work* w, Error* error)
{
  const Card* const card = w->in->card;
  int* const rows = arena_array(w->arena, (size_t)card->n_rows, sizeof(int));
  if (!rows) {
    return STATUS_NO_MEMORY;
  }
  const char* const picture = w->in->picture;
  const int n = card_showing(card, picture, rows);
  if (n < 0) {
    return error_set(
      error, STATUS_BAD_INPUT, "--lamps", 1, 1,
      "\"%.20s\" is no picture of the tester \"%.40s\": %d letters, one a lamp: G, R, . "
      "dark, d dim.",
      picture, card->tester->name, card->n_lamps);
  }
  TextOut names = {.arena = w->arena};
  bool good = false;
  bool hides = false; // A fault that matters looks like a good cable
  for (int i = 0; i < n; ++i) {
    const CardRow* const row = &card->rows[rows[i]];
    good = good || row->fault.mode == FAULT_NONE;
    hides = hides || (row->fault.mode != FAULT_NONE && row->fault.mode != FAULT_HIGH &&
                      row->fault.mode != FAULT_LEAK);
    if (row->fault.mode != FAULT_NONE) {
      char said[CARD_NAME_BYTES];
      card_fault_say(&row->fault, said);
      text_add(&names, "%s%s", names.n_bytes ? ", " : "", said);
    }
  }
  const char* const all = text_done(&names);
  if (!all) {
    return STATUS_NO_MEMORY;
  }
  if (n == 0) {
    w->wants_reading = true;
    find(w, arena_format(w->arena, SAY_PICTURE_NONE, picture));
  } else if (good && hides) {
    w->wants_reading = true;
    find(w, arena_format(w->arena, SAY_PICTURE_HIDES, picture, all));
  } else if (good) {
    find(w, arena_format(w->arena, SAY_PICTURE_GOOD, picture));
    if (all[0]) {
      cannot(w, arena_format(w->arena, SAY_PICTURE_ALSO, picture, all));
    }
  } else if (is_mirrored(w)) {
    w->read_again = true;
    find(w, arena_format(w->arena, SAY_PICTURE_BATTERY, picture, all));
  } else {
    const bool one = n == 1;
    w->crossed = w->crossed || (one && card->rows[rows[0]].fault.mode == FAULT_CROSSED);
    add_fault(w, one ? all : arena_format(w->arena, "one of %s", all), "not told",
              arena_format(w->arena, one ? SAY_PICTURE_ONE : SAY_PICTURE_MANY, picture, all));
  }
  cannot(w, CANNOT_LAMPS);
  return STATUS_OK;
}

static void
settle(Work* w)
{
  const JudgeReadings* const in = w->in;
  Judgement* const out = &w->out;
  const bool flexed = in->breaks == 0 && in->seconds >= JUDGE_FLEX_S;
  if (!in->has_wiring && !in->card) {
    cannot(w, in->has_ohms ? CANNOT_SHORTS : CANNOT_WIRING);
  }
  if (!flexed && in->breaks <= 0) {
    cannot(w, CANNOT_FILM);
  }
  if (isnan(in->insulation_ohm)) {
    cannot(w, CANNOT_LEAK);
  }
  out->state = out->n_faults > 0                   ? JUDGE_NOT_SOUND
               : in->breaks == 0 && !flexed        ? JUDGE_NOT_CLEARED
               : w->wants_reading || w->read_again ? JUDGE_NOT_PROVEN
                                                   : JUDGE_SOUND;
}

static void
say_todo(Work* w)
{
  const Judgement* const out = &w->out;
  const bool flexed = w->in->breaks == 0 && w->in->seconds >= JUDGE_FLEX_S;
  if (w->read_again) {
    todo(w, DO_AGAIN);
  }
  switch (out->state) {
    case JUDGE_NOT_SOUND: {
      const char* const names = judge_fault_names(w->arena, out);
      bool breaks = false;
      bool only_high = true;
      bool only_crossed = true;
      for (int i = 0; i < out->n_faults; ++i) {
        const char* const name = out->faults[i].name;
        breaks = breaks || text_begins(name, "open") || text_begins(name, "loose");
        only_high = only_high && (text_begins(name, "high") || text_begins(name, "leak"));
        only_crossed = only_crossed && text_begins(name, "crossed");
      }
      if (w->high && only_high) {
        todo(w, DO_CLEAN);
      }
      if (w->damp) {
        todo(w, DO_DRY);
      }
      todo(w, names ? arena_format(w->arena, DO_TAPE, names) : NULL);
      if (w->crossed || out->wired_as[0]) {
        todo(w, DO_MARK);
      }
      if (breaks) {
        todo(w, DO_MEND);
      } else if (!only_high && !only_crossed) {
        todo(w, DO_LOOK);
      }
      break;
    }
    case JUDGE_NOT_CLEARED:
      todo(w, arena_format(w->arena, DO_FLEX_ON, JUDGE_FLEX_S));
      break;
    case JUDGE_NOT_PROVEN:
      if (!w->read_again) {
        todo(w, DO_MEASURE);
      }
      break;
    default:
      todo(w, flexed ? DO_CLEAR : DO_USE_TAPED);
      break;
  }
}

const char*
judge_fault_names(Arena* arena, const Judgement* judgement)
{
  TextOut out = {.arena = arena};
  for (int i = 0; i < judgement->n_faults; ++i) {
    text_add(&out, "%s%s", i ? ", " : "", judgement->faults[i].name);
  }
  return text_done(&out);
}

const char*
judge_caution(const Connector* connector)
{
  return strcmp(stroke_of(connector_contact(connector, WIRING_NEAR, 1)), "/") == 0
           ? SAY_CAUTION_LOUD
           : SAY_CAUTION;
}

Status
judge_cable(Arena* arena, const JudgeReadings* in, Judgement* judgement, Error* error)
{
  if (!in->has_wiring && !in->has_ohms && isnan(in->insulation_ohm) && in->breaks < 0 &&
      !in->card) {
    return error_set(error, STATUS_BAD_ARG, NULL, 0, 0,
                     "Say what was read: --wired, --ohms, --insulation, --lamps or --flex.");
  }
  Work* const w = arena_array(arena, 1, sizeof(Work));
  if (!w) {
    return STATUS_NO_MEMORY;
  }
  w->arena = arena;
  w->in = in;
  w->n_wires = wiring_wires(&in->connector->plan, w->wires);
  w->out = (Judgement){.wired = "",
                       .wired_as = "",
                       .limit = "",
                       .balance_ohm = NAN,
                       .rejection_db = NAN,
                       .caution = judge_caution(in->connector)};
  Status st;
  if (in->has_wiring) {
    TRY(st, judge_wiring(w));
  }
  if (in->card) {
    TRY(st, judge_lamps(w, error));
  }
  if (in->has_ohms) {
    judge_ohms(w);
  }
  if (!isnan(in->insulation_ohm)) {
    judge_insulation(w);
  }
  if (in->breaks >= 0) {
    judge_flex(w);
  }
  settle(w);
  say_todo(w);
  const char* const names = judge_fault_names(arena, &w->out);
  static const char* const heads[] = {"Sound, as far as these readings go.", NULL,
                                      "Not cleared yet.",
                                      "Nothing wrong seen so far, but it is not proven."};
  w->out.headline = w->out.state == JUDGE_NOT_SOUND
                      ? (names ? arena_format(arena, "Not sound: %s.", names) : NULL)
                      : heads[w->out.state];
  if (w->no_memory || !w->out.headline || !w->out.wired) {
    return STATUS_NO_MEMORY;
  }
  *judgement = w->out;
  return STATUS_OK;
}
