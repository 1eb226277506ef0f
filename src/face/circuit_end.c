// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/circuit_read.h"

#include <math.h>
#include <string.h>

/*
  What a line ends in. Source and desk are the leaves that circuit/chain.h knows by their figures;
  everything else is made of branches, and so is a desk whose feed lies between the legs.
*/

/// Stands for a capacitor that lets all signal through and no direct current [F].
#define BIG_F 1.0

/// Contact 1 to earth, or an amplifier's minus, when nothing is said [ohm]: a short wire. Assumed.
#define WIRE_OHM 0.01

// A leaf's pair of figures: one number for both legs, or two.
static Status
two_legs(const Reading* r, const JsonAt* at, const char* key, double low, double high,
         double out[2])
{
  const JsonAt here = json_in_member(at, key);
  Status st;
  if (!json_is_array(here.value)) {
    TRY(st, json_in_number(r->in, at, key, low, high, false, &out[0]));
    out[1] = here.value ? out[0] : out[1];
    return STATUS_OK;
  }
  size_t n = 0;
  TRY(st, json_in_count(r->in, &here, 2, 2, &n));
  for (size_t leg = 0; leg < 2; ++leg) {
    const JsonAt one = json_in_item(&here, leg);
    const double value = json_number_value(one.value);
    if (!json_is_number(one.value) || !(value >= low && value <= high)) {
      return json_in_wrong(r->in, &one, "Here should stand a number from %g to %g.", low, high);
    }
    out[leg] = value;
  }
  return STATUS_OK;
}

static Status
source(const Reading* r, const JsonAt* at, ChainLeaf* leaf)
{
  static const char* const keys[] = {"name",       "kind",       "at",     "drive",
                                     "emf_v",      "source_ohm", "leg_pf", "room_pf",
                                     "supply_ohm", "earth_ohm",  NULL};
  static const char* const drives[] = {"none",    "floating",   "both legs",
                                       "one leg", "unbalanced", NULL};
  int drive = 0;
  double leg_pf = 0.0;
  double room_pf = 0.0;
  Status st;
  TRY(st, json_in_keys(r->in, at, keys));
  TRY(st, json_in_word(r->in, at, "drive", drives, true, &drive));
  leaf->drive = (ChainDrive)drive;
  leaf->emf_v = 1.0;
  TRY(st, json_in_number(r->in, at, "emf_v", -1e6, 1e6, false, &leaf->emf_v));
  TRY(st, json_in_number(r->in, at, "source_ohm", PORT_SHORT_OHM, 1e12, drive != CHAIN_DRIVE_NONE,
                         &leaf->source_ohm));
  TRY(st, json_in_number(r->in, at, "supply_ohm", 0.0, 1e12, false, &leaf->supply_ohm));
  TRY(st, json_in_number(r->in, at, "earth_ohm", 0.0, 1e12, false, &leaf->earth_ohm));
  TRY(st, json_in_number(r->in, at, "leg_pf", 0.0, 1e9, false, &leg_pf));
  TRY(st, json_in_number(r->in, at, "room_pf", 0.0, 1e9, false, &room_pf));
  leaf->leg_f = 1e-12 * leg_pf;
  leaf->room_f = 1e-12 * room_pf;
  return STATUS_OK;
}

/// A desk that feeds between the legs: plus on contact 2, minus on 3 and, through its resistor, on
/// earth, as such supplies are built.
static Status
desk_between(const Reading* r, const Feed* feed, const ChainLeaf* leaf, ChainElement* e,
             DrawnElement* about)
{
  const ChainBranch made[] = {
    {0, CHAIN_EARTH, leaf->earth_ohm, INFINITY, 0.0, 0.0, false},
    {1, CHAIN_EARTH, feed->leg_ohm, INFINITY, 0.0, feed->supply_v, false},
    {2, CHAIN_EARTH, feed->leg_ohm, INFINITY, 0.0, 0.0, false},
    {1, 2, leaf->input_ohm, leaf->input_blocked ? BIG_F : (double)INFINITY, 0.0, 0.0, false},
  };
  const int n = isinf(leaf->input_ohm) ? 3 : 4;
  ChainBranch* const branches = arena_array(r->in->arena, 4, sizeof(ChainBranch));
  const char** const said = arena_array(r->in->arena, 4, sizeof(char*));
  if (!branches || !said) {
    return circuit_no_memory(r);
  }
  memcpy(branches, made, sizeof(made));
  e->kind = CHAIN_PARTS;
  e->as.parts = (ChainParts){branches, n};
  about->branch_names = said;
  return STATUS_OK;
}

static Status
desk(const Reading* r, const JsonAt* at, ChainElement* e, DrawnElement* about)
{
  static const char* const keys[] = {
    "name",          "kind",          "at",           "feed",      "input_ohm",
    "leg_earth_ohm", "input_blocked", "leg_earth_pf", "earth_ohm", NULL};
  ChainLeaf* const leaf = &e->as.leaf;
  double pf[2] = {0.0, 0.0};
  Status st;
  leaf->earth_ohm = WIRE_OHM;
  leaf->input_blocked = true; // Inputs that can feed phantom are
  about->is_desk = true;
  TRY(st, json_in_keys(r->in, at, keys));
  TRY(st, json_in_number(r->in, at, "input_ohm", 0.0, 1e12, false, &leaf->input_ohm));
  TRY(st, json_in_number(r->in, at, "leg_earth_ohm", 0.0, 1e12, false, &leaf->leg_earth_ohm));
  TRY(st, json_in_bool(r->in, at, "input_blocked", &leaf->input_blocked));
  TRY(st, two_legs(r, at, "leg_earth_pf", 0.0, 1e9, pf));
  TRY(st, json_in_number(r->in, at, "earth_ohm", 0.0, 1e12, false, &leaf->earth_ohm));
  leaf->leg_earth_f[0] = 1e-12 * pf[0];
  leaf->leg_earth_f[1] = 1e-12 * pf[1];
  const JsonAt here = json_in_member(at, "feed");
  if (!here.value) {
    return STATUS_OK;
  }
  Feed feed;
  TRY(st, circuit_feed(r->in, &here, r->feeds, r->n_feeds, &feed, leaf->feed_ohm));
  if (feed.between_legs) {
    if (!isinf(leaf->leg_earth_ohm) || pf[0] > 0.0 || pf[1] > 0.0) {
      return json_in_wrong(r->in, at,
                           "A desk that feeds between the legs knows \"input_ohm\", "
                           "\"input_blocked\" and \"earth_ohm\": leave the others out.");
    }
    return desk_between(r, &feed, leaf, e, about);
  }
  if (feed.common_ohm > 0.0) {
    return json_in_wrong(r->in, &here,
                         "\"common_ohm\" belongs to a feed question: put it into "
                         "\"leg_ohm\" here.");
  }
  leaf->feed_v = feed.supply_v;
  return STATUS_OK;
}

/// A growing list of branches.
typedef struct {
  ChainBranch* branches; ///< [room]
  const char** names;
  int n;
} Branches;

// The list under `key`, and room for `each` branches an entry.
static Status
list_of(const Reading* r, const JsonAt* at, const char* key, int each, JsonAt* list, size_t* n,
        Branches* b)
{
  *list = json_in_member(at, key);
  Status st;
  if (!list->value) {
    return json_in_wrong(r->in, at, "\"%s\" is missing here.", key);
  }
  TRY(st, json_in_count(r->in, list, 1, CIRCUIT_BRANCHES, n));
  b->branches = arena_array(r->in->arena, *n * (size_t)each, sizeof(ChainBranch));
  b->names = arena_array(r->in->arena, *n * (size_t)each, sizeof(char*));
  return b->branches && b->names ? STATUS_OK : circuit_no_memory(r);
}

static void
add(Branches* b, ChainBranch branch, const char* name)
{
  b->branches[b->n] = branch;
  b->names[b->n++] = name;
}

static Status
parts(const Reading* r, const JsonAt* at, int joint, Branches* b)
{
  static const char* const keys[] = {"name", "kind", "at", "branches", NULL};
  static const char* const own[] = {"name",  "between",   "ohm", "series_uf",
                                    "emf_v", "battery_v", NULL};
  JsonAt list;
  size_t n = 0;
  Status st;
  TRY(st, json_in_keys(r->in, at, keys));
  TRY(st, list_of(r, at, "branches", 1, &list, &n, b));
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    ChainBranch branch = {.series_f = INFINITY};
    const char* name = NULL;
    double uf = INFINITY;
    TRY(st, json_in_keys(r->in, &one, own));
    TRY(st, json_in_text(r->in, &one, "name", DRAWN_NAME_BYTES, false, &name));
    TRY(st, circuit_between(r, joint, &one, true, &branch.a, &branch.b));
    TRY(st, json_in_number(r->in, &one, "ohm", 0.0, 1e12, true, &branch.ohm));
    TRY(st, json_in_number(r->in, &one, "series_uf", 1e-6, 1e6, false, &uf));
    TRY(st, json_in_number(r->in, &one, "emf_v", -1e6, 1e6, false, &branch.emf_v));
    TRY(st, json_in_number(r->in, &one, "battery_v", -1e6, 1e6, false, &branch.battery_v));
    branch.series_f = 1e-6 * uf;
    add(b, branch, name);
  }
  return STATUS_OK;
}

static Status
sender_outputs(const Reading* r, const JsonAt* at, int joint, Branches* b)
{
  static const char* const own[] = {"between", "v", "ohm", NULL};
  JsonAt list;
  size_t n = 0;
  Status st;
  TRY(st, list_of(r, at, "outputs", 1, &list, &n, b));
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    ChainBranch branch = {.series_f = INFINITY};
    TRY(st, json_in_keys(r->in, &one, own));
    TRY(st, circuit_between(r, joint, &one, true, &branch.a, &branch.b));
    TRY(st, json_in_number(r->in, &one, "v", -1e3, 1e3, true, &branch.battery_v));
    TRY(st, json_in_number(r->in, &one, "ohm", 1e-3, 1e12, true, &branch.ohm));
    add(b, branch, NULL);
  }
  return STATUS_OK;
}

// The sender of a tester that has one.
static Status
sender_of(const Reading* r, const JsonAt* at, const Tester* t, Branches* b)
{
  const int n = tester_count(t, TESTER_SENDER);
  if (n == 0 || t->n_contacts > r->n_contacts) {
    return json_in_wrong(r->in, at,
                         n == 0 ? "The tester \"%s\" has no sender."
                                : "The tester \"%s\" has more contacts than this line.",
                         t->name);
  }
  b->branches = arena_array(r->in->arena, (size_t)n, sizeof(ChainBranch));
  b->names = arena_array(r->in->arena, (size_t)n, sizeof(char*));
  if (!b->branches || !b->names) {
    return circuit_no_memory(r);
  }
  for (int i = 0; i < t->n_parts; ++i) {
    const TesterPart* const p = &t->parts[i];
    if (p->sort == TESTER_SENDER) {
      add(b,
          (ChainBranch){p->from - 1, p->to > 0 ? p->to - 1 : CHAIN_EARTH, p->ohm, INFINITY, 0.0,
                        p->volts, false},
          NULL);
    }
  }
  return STATUS_OK;
}

static Status
sender(const Reading* r, const JsonAt* at, int joint, Branches* b)
{
  static const char* const keys[] = {"name", "kind", "at", "outputs", "tester", NULL};
  const char* words[DRAWN_ELEMENTS + 1] = {NULL};
  int which = -1;
  Status st;
  TRY(st, json_in_keys(r->in, at, keys));
  for (int i = 0; i < r->n_testers && i < DRAWN_ELEMENTS; ++i) {
    words[i] = r->testers[i].name;
  }
  TRY(st, json_in_word(r->in, at, "tester", words, false, &which));
  return which >= 0 ? sender_of(r, at, &r->testers[which], b) : sender_outputs(r, at, joint, b);
}

/// An output drives plus against minus; minus is earthed. A bridged one drives both against earth,
/// half each: neither side is earthed.
static Status
amplifier(const Reading* r, const JsonAt* at, int joint, Branches* b)
{
  static const char* const keys[] = {"name", "kind", "at", "outputs", NULL};
  static const char* const own[] = {"name", "between", "emf_v", "ohm", "bridged", NULL};
  JsonAt list;
  size_t n = 0;
  Status st;
  TRY(st, json_in_keys(r->in, at, keys));
  TRY(st, list_of(r, at, "outputs", 2, &list, &n, b));
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    ChainBranch plus = {.series_f = INFINITY, .emf_v = 1.0};
    const char* name = NULL;
    bool bridged = false;
    int minus = 0;
    TRY(st, json_in_keys(r->in, &one, own));
    TRY(st, json_in_text(r->in, &one, "name", DRAWN_NAME_BYTES, false, &name));
    TRY(st, circuit_between(r, joint, &one, false, &plus.a, &minus));
    TRY(st, json_in_number(r->in, &one, "emf_v", -1e3, 1e3, false, &plus.emf_v));
    TRY(st, json_in_number(r->in, &one, "ohm", 1e-3, 1e6, true, &plus.ohm));
    TRY(st, json_in_bool(r->in, &one, "bridged", &bridged));
    ChainBranch other = {minus, CHAIN_EARTH, WIRE_OHM, INFINITY, 0.0, 0.0, false};
    plus.b = minus;
    if (bridged) {
      plus.b = CHAIN_EARTH;
      plus.ohm *= 0.5;
      plus.emf_v *= 0.5;
      other.ohm = plus.ohm;
      other.emf_v = -plus.emf_v;
    }
    add(b, plus, name);
    add(b, other, bridged ? name : NULL);
  }
  return STATUS_OK;
}

static Status
loudspeaker(const Reading* r, const JsonAt* at, int joint, Branches* b)
{
  static const char* const keys[] = {"name", "kind", "at", "loads", NULL};
  static const char* const own[] = {"name", "between", "ohm", "series_uf", NULL};
  JsonAt list;
  size_t n = 0;
  Status st;
  TRY(st, json_in_keys(r->in, at, keys));
  TRY(st, list_of(r, at, "loads", 1, &list, &n, b));
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    ChainBranch branch = {.series_f = INFINITY};
    const char* name = NULL;
    double uf = INFINITY;
    TRY(st, json_in_keys(r->in, &one, own));
    TRY(st, json_in_text(r->in, &one, "name", DRAWN_NAME_BYTES, false, &name));
    TRY(st, circuit_between(r, joint, &one, false, &branch.a, &branch.b));
    TRY(st, json_in_number(r->in, &one, "ohm", 1e-3, 1e6, true, &branch.ohm));
    TRY(st, json_in_number(r->in, &one, "series_uf", 1e-6, 1e6, false, &uf));
    branch.series_f = 1e-6 * uf;
    add(b, branch, name);
  }
  return STATUS_OK;
}

Status
circuit_end(Reading* r, const JsonAt* at, int kind, int joint, ChainElement* e, DrawnElement* about)
{
  Branches b = {.n = 0};
  Status st;
  if (kind == CIRCUIT_SOURCE || kind == CIRCUIT_DESK) {
    if (r->n_contacts < 3) {
      return json_in_wrong(r->in, at,
                           "Source and desk have contacts 1, 2 and 3: write an end of so "
                           "few contacts as \"parts\".");
    }
    e->kind = CHAIN_LEAF;
    e->as.leaf = chain_leaf_nothing();
    return kind == CIRCUIT_SOURCE ? source(r, at, &e->as.leaf) : desk(r, at, e, about);
  }
  e->kind = CHAIN_PARTS;
  switch (kind) {
    case CIRCUIT_SENDER:
      TRY(st, sender(r, at, joint, &b));
      break;
    case CIRCUIT_AMPLIFIER:
      TRY(st, amplifier(r, at, joint, &b));
      break;
    case CIRCUIT_LOUDSPEAKER:
      TRY(st, loudspeaker(r, at, joint, &b));
      break;
    default:
      TRY(st, parts(r, at, joint, &b));
      break;
  }
  e->as.parts = (ChainParts){b.branches, b.n};
  about->branch_names = b.names;
  return STATUS_OK;
}
