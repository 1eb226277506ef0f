// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/circuit_read.h"

#include "circuit/conductor.h"

#include <math.h>
#include <string.h>

/*
  What leads from joint to joint: cables, mated plugs, transformers, adaptors.
*/

double
circuit_copper_ohm(double length_m, double section_mm2)
{
  return length_m * CONDUCTOR_COPPER_OHM_MM2_PER_M / section_mm2;
}

/// Microphone cable, a metre of it: legs, shield, capacitance between the legs, to the shield, and
/// from the shield to the room. Common practice, no source; the figures of fault/template.h.
static void
like_microphone_cable(Section* s, double m)
{
  s->series_ohm[0] = CIRCUIT_SHIELD_OHM_PER_M * m;
  s->series_ohm[1] = s->series_ohm[2] = CIRCUIT_LEG_OHM_PER_M * m;
  s->pair_f[port_pair(1, 2)] = 60e-12 * m;
  s->pair_f[port_pair(0, 1)] = s->pair_f[port_pair(0, 2)] = 100e-12 * m;
  s->room_f[0] = 10e-12 * m;
}

static Status
capacitances(const Reading* r, const JsonAt* at, int near, double m, Section* s)
{
  static const char* const keys[] = {"between", "pf", "pf_per_m", NULL};
  const JsonAt list = json_in_member(at, "capacitances");
  size_t n = 0;
  Status st;
  if (!list.value) {
    return STATUS_OK;
  }
  TRY(st, json_in_count(r->in, &list, 0, CIRCUIT_BRANCHES, &n));
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    int a = 0;
    int b = 0;
    double pf = 0.0;
    double pf_per_m = 0.0;
    TRY(st, json_in_keys(r->in, &one, keys));
    TRY(st, circuit_between(r, near, &one, true, &a, &b));
    TRY(st, json_in_number(r->in, &one, "pf", 0.0, 1e9, false, &pf));
    TRY(st, json_in_number(r->in, &one, "pf_per_m", 0.0, 1e6, false, &pf_per_m));
    const double farad = 1e-12 * (pf + pf_per_m * m);
    double* const place = b == CHAIN_EARTH  ? &s->earth_f[a]
                          : b == CHAIN_ROOM ? &s->room_f[a]
                                            : &s->pair_f[port_pair(a, b)];
    *place += farad;
  }
  return STATUS_OK;
}

static Status
leaks(const Reading* r, const JsonAt* at, int near, Section* s)
{
  static const char* const keys[] = {"between", "ohm", NULL};
  const JsonAt list = json_in_member(at, "leaks");
  size_t n = 0;
  Status st;
  if (!list.value) {
    return STATUS_OK;
  }
  TRY(st, json_in_count(r->in, &list, 0, CIRCUIT_BRANCHES, &n));
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    int a = 0;
    int b = 0;
    double ohm = 0.0;
    TRY(st, json_in_keys(r->in, &one, keys));
    TRY(st, circuit_between(r, near, &one, true, &a, &b));
    TRY(st, json_in_number(r->in, &one, "ohm", 1e-3, 1e15, true, &ohm));
    if (b == CHAIN_ROOM) {
      return json_in_wrong(r->in, &one, "A leak goes to a contact or to earth, not to the room.");
    }
    *(b == CHAIN_EARTH ? &s->earth_siemens[a] : &s->pair_siemens[port_pair(a, b)]) += 1.0 / ohm;
  }
  return STATUS_OK;
}

static Status
cable(const Reading* r, const JsonAt* at, int near, Section* s)
{
  static const char* const keys[] = {"name",        "kind",         "from", "to",        "length_m",
                                     "section_mm2", "shield_mm2",   "ohm",  "ohm_per_m", "like",
                                     "leaks",       "capacitances", NULL};
  static const char* const likes[] = {"microphone cable", NULL};
  double m = NAN;
  double mm2 = NAN;
  double shield_mm2 = NAN;
  double ohm[PORT_MAX];
  int like = -1;
  bool by_ohm = false;
  bool by_m = false;
  Status st;
  TRY(st, json_in_keys(r->in, at, keys));
  TRY(st, json_in_number(r->in, at, "length_m", 0.0, 1e5, false, &m));
  TRY(st, json_in_number(r->in, at, "section_mm2", 1e-3, 1e3, false, &mm2));
  TRY(st, json_in_number(r->in, at, "shield_mm2", 1e-3, 1e3, false, &shield_mm2));
  TRY(st, json_in_word(r->in, at, "like", likes, false, &like));
  TRY(st, circuit_each(r, at, "ohm_per_m", 1e6, ohm, &by_m));
  for (int i = 0; by_m && i < r->n_contacts; ++i) {
    ohm[i] *= m;
  }
  if (!by_m) {
    TRY(st, circuit_each(r, at, "ohm", 1e12, ohm, &by_ohm));
  }
  const int n_ways = (like >= 0) + by_m + by_ohm + !isnan(mm2);
  if (n_ways != 1) {
    return json_in_wrong(
      r->in, at,
      "A cable has its ohms from one of \"section_mm2\", \"ohm_per_m\", \"ohm\" or "
      "\"like\"; here are %d of them.",
      n_ways);
  }
  if (isnan(m) && !by_ohm) {
    return json_in_wrong(r->in, at, "\"length_m\" is missing here.");
  }
  m = isnan(m) ? 0.0 : m;
  if (like >= 0 && r->n_contacts != 3) {
    return json_in_wrong(r->in, at, "\"microphone cable\" has 3 contacts: give this one its ohms.");
  }
  if (like >= 0) {
    like_microphone_cable(s, m);
  } else if (!isnan(mm2)) {
    for (int i = 0; i < r->n_contacts; ++i) {
      s->series_ohm[i] = circuit_copper_ohm(m, i == 0 && !isnan(shield_mm2) ? shield_mm2 : mm2);
    }
  } else {
    memcpy(s->series_ohm, ohm, sizeof(ohm));
  }
  TRY(st, capacitances(r, at, near, m, s));
  return leaks(r, at, near, s);
}

static Status
transformer(const Reading* r, const JsonAt* at, ChainTransformer* t)
{
  static const char* const keys[] = {"name",        "kind",          "from",       "to",
                                     "primary_ohm", "secondary_ohm", "primary_h",  "ratio",
                                     "block_uf",    "lift_ohm",      "winding_pf", "insulation_ohm",
                                     NULL};
  double block_uf = INFINITY;
  double winding_pf = 0.0;
  Status st;
  // Contact 1 is lifted unless something is said of it; windings are insulated by 10 Gohm (assumed)
  *t = (ChainTransformer){.ratio = 1.0, .lift_ohm = INFINITY, .insulation_ohm = 1e10};
  TRY(st, json_in_keys(r->in, at, keys));
  TRY(st, json_in_number(r->in, at, "primary_ohm", 0.0, 1e6, true, &t->primary_ohm));
  TRY(st, json_in_number(r->in, at, "secondary_ohm", 0.0, 1e6, true, &t->secondary_ohm));
  TRY(st, json_in_number(r->in, at, "primary_h", 1e-6, 1e6, true, &t->primary_h));
  TRY(st, json_in_number(r->in, at, "ratio", 1e-3, 1e3, false, &t->ratio));
  TRY(st, json_in_number(r->in, at, "block_uf", 1e-6, 1e6, false, &block_uf));
  TRY(st, json_in_number(r->in, at, "lift_ohm", 0.0, 1e12, false, &t->lift_ohm));
  TRY(st, json_in_number(r->in, at, "winding_pf", 0.0, 1e6, false, &winding_pf));
  TRY(st, json_in_number(r->in, at, "insulation_ohm", 1.0, 1e15, false, &t->insulation_ohm));
  t->block_f = 1e-6 * block_uf;
  t->winding_f = 1e-12 * winding_pf;
  if (r->n_contacts < 3 || r->n_contacts + 2 > PORT_MAX) {
    return json_in_wrong(r->in, at, "A transformer stands in a line of 3 to %d contacts.",
                         PORT_MAX - 2);
  }
  return STATUS_OK;
}

// The far connector's own names, fewer than the line has if it has fewer.
static Status
far_names(const Reading* r, const JsonAt* at, DrawnJoint* far)
{
  const JsonAt list = json_in_member(at, "to_contacts");
  size_t n = 0;
  Status st;
  if (!list.value) {
    return STATUS_OK;
  }
  TRY(st, json_in_count(r->in, &list, 1, (size_t)r->n_contacts, &n));
  memset(far->contacts, 0, sizeof(far->contacts));
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    TRY(st, json_in_text_at(r->in, &one, CIRCUIT_NAME_BYTES, &far->contacts[i]));
    for (size_t k = 0; k < i; ++k) {
      if (!strcmp(far->contacts[k], far->contacts[i])) {
        return json_in_wrong(r->in, &one, "There are two contacts \"%s\".", far->contacts[i]);
      }
    }
  }
  return STATUS_OK;
}

static Status
leads(Reading* r, const JsonAt* at, int near, int far, ChainAdaptor* a)
{
  const JsonAt object = json_in_member(at, "leads");
  const char* key;
  json_t* value;
  Status st;
  if (!json_is_object(object.value)) {
    return json_in_wrong(r->in, at,
                         "An adaptor has \"leads\": for each far contact the near one it "
                         "comes from, such as {\"tip\": \"2\"}.");
  }
  memset(a->map, -1, sizeof(a->map));
  json_object_foreach(object.value, key, value)
  {
    const JsonAt one = {&object, key, 0, value};
    int from = -1;
    int to = -1;
    for (int i = 0; i < r->n_contacts && r->joints[far].contacts[i]; ++i) {
      to = strcmp(r->joints[far].contacts[i], key) ? to : i;
    }
    if (to < 0) {
      const JsonAt wrong = {&object, key, 0, NULL};
      return json_in_wrong(r->in, &wrong, "There is no contact \"%.20s\" at the far side.", key);
    }
    if (json_is_null(value)) {
      continue;
    }
    TRY(st, circuit_contact(r, near, &one, &from));
    for (int i = 0; i < r->n_contacts; ++i) {
      if (a->map[i] == from) {
        return json_in_wrong(r->in, &one,
                             "Contact \"%s\" leads to two far ones: lead it to one and "
                             "write the other under \"joined\".",
                             r->joints[near].contacts[from]);
      }
    }
    a->map[to] = (int8_t)from;
  }
  return STATUS_OK;
}

static Status
adaptor(Reading* r, const JsonAt* at, int near, ChainAdaptor* a, DrawnJoint* far)
{
  static const char* const keys[] = {"name",  "kind",        "from",   "to",
                                     "leads", "to_contacts", "joined", NULL};
  static const char* const join_keys[] = {"between", "ohm", NULL};
  const int far_joint = (int)(far - r->joints);
  const JsonAt list = json_in_member(at, "joined");
  size_t n = 0;
  Status st;
  TRY(st, json_in_keys(r->in, at, keys));
  TRY(st, far_names(r, at, far));
  *a = chain_adaptor_straight();
  TRY(st, leads(r, at, near, far_joint, a));
  if (list.value) {
    TRY(st, json_in_count(r->in, &list, 0, PORT_PAIRS, &n));
  }
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    int x = 0;
    int y = 0;
    double ohm = 0.0;
    TRY(st, json_in_keys(r->in, &one, join_keys));
    TRY(st, circuit_between(r, far_joint, &one, false, &x, &y));
    TRY(st, json_in_number(r->in, &one, "ohm", 0.0, 1e12, false, &ohm));
    a->join_ohm[port_pair(x, y)] = ohm;
  }
  return STATUS_OK;
}

Status
circuit_way(Reading* r, const JsonAt* at, int kind, int near, ChainElement* e, DrawnJoint* far)
{
  static const char* const plug_keys[] = {"name", "kind", "from", "to", "ohm", NULL};
  bool is_there = false;
  Status st;
  switch (kind) {
    case CIRCUIT_TRANSFORMER:
      e->kind = CHAIN_TRANSFORMER;
      return transformer(r, at, &e->as.transformer);
    case CIRCUIT_ADAPTOR:
      e->kind = CHAIN_ADAPTOR;
      return adaptor(r, at, near, &e->as.adaptor, far);
    case CIRCUIT_CABLE:
      e->kind = CHAIN_SECTION;
      e->as.section = (Section){.n = r->n_contacts};
      return cable(r, at, near, &e->as.section);
    default:
      e->kind = CHAIN_SECTION;
      e->as.section = (Section){.n = r->n_contacts};
      TRY(st, json_in_keys(r->in, at, plug_keys));
      TRY(st, circuit_each(r, at, "ohm", 1e12, e->as.section.series_ohm, &is_there));
      return is_there ? STATUS_OK
                      : json_in_wrong(r->in, at, "\"ohm\" is missing here: what a contact has.");
  }
}
