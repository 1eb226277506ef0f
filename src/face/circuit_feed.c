// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/circuit_read.h"

#include <math.h>

/*
  The feed question: a feed, what is in between, a microphone. A feed is a variant's name or written
  out; the same goes for a desk's feed in a circuit.
*/

// A member in thousandths: milliamperes to amperes.
static Status
milli(const JsonIn* in, const JsonAt* at, const char* key, bool needed, double* value)
{
  double thousandths = NAN;
  Status st;
  TRY(st, json_in_number(in, at, key, 0.0, 1e6, needed, &thousandths));
  *value = isnan(thousandths) ? *value : 1e-3 * thousandths;
  return STATUS_OK;
}

static Status
named(const JsonIn* in, const JsonAt* at, const Feed feeds[], int n_feeds, Feed* feed)
{
  const char* words[DRAWN_ELEMENTS + 1] = {NULL};
  const char* name = NULL;
  Status st;
  TRY(st, json_in_text_at(in, at, DRAWN_NAME_BYTES, &name));
  const Feed* const found = feed_find(feeds, n_feeds, name);
  for (int i = 0; i < n_feeds && i < DRAWN_ELEMENTS; ++i) {
    words[i] = feeds[i].name;
  }
  if (!found) {
    const char* const nearest = json_in_nearest(name, words);
    return nearest
             ? json_in_wrong(in, at, "There is no feed \"%s\": did you mean \"%s\"?", name, nearest)
             : json_in_wrong(in, at,
                             "There is no feed \"%s\": P48, P24, P12, P12L, SP48, A-B, or write it "
                             "out: {\"supply_v\": 18, \"leg_ohm\": 680}.",
                             name);
  }
  *feed = *found;
  return STATUS_OK;
}

// One resistance for both legs, or a list of two where the caller can use it.
static Status
leg_ohms(const JsonIn* in, const JsonAt* at, double legs[2])
{
  const JsonAt here = json_in_member(at, "leg_ohm");
  size_t n = 0;
  Status st;
  if (!json_is_array(here.value)) {
    TRY(st, json_in_number(in, at, "leg_ohm", PORT_SHORT_OHM, 1e9, true, &legs[0]));
    legs[1] = legs[0];
    return STATUS_OK;
  }
  TRY(st, json_in_count(in, &here, 2, 2, &n));
  for (size_t leg = 0; leg < 2; ++leg) {
    const JsonAt one = json_in_item(&here, leg);
    legs[leg] = json_number_value(one.value);
    if (!json_is_number(one.value) || !(legs[leg] >= PORT_SHORT_OHM && legs[leg] <= 1e9)) {
      return json_in_wrong(in, &one, "Here should stand a resistance from %g to 1e9 ohm.",
                           PORT_SHORT_OHM);
    }
  }
  return STATUS_OK;
}

Status
circuit_feed(const JsonIn* in, const JsonAt* at, const Feed feeds[], int n_feeds, Feed* feed,
             double legs[2])
{
  static const char* const keys[] = {"name",       "supply_v",    "leg_ohm",     "between_legs",
                                     "common_ohm", "greatest_ma", "tolerance_v", NULL};
  Status st;
  if (json_is_string(at->value)) {
    TRY(st, named(in, at, feeds, n_feeds, feed));
    if (legs) {
      legs[0] = legs[1] = feed->leg_ohm;
    }
    return STATUS_OK;
  }
  Feed made = {.name = "a feed of its own",
               .also = "",
               .tolerance_v = NAN,
               .leg_tolerance_ratio = NAN,
               .greatest_a = NAN,
               .source = "given by hand"};
  double both[2] = {0.0, 0.0};
  TRY(st, json_in_keys(in, at, keys));
  TRY(st, json_in_text(in, at, "name", DRAWN_NAME_BYTES, false, &made.name));
  TRY(st, json_in_number(in, at, "supply_v", legs ? 0.0 : 1e-3, 1e3, true, &made.supply_v));
  TRY(st, json_in_number(in, at, "tolerance_v", 0.0, 1e3, false, &made.tolerance_v));
  TRY(st, json_in_number(in, at, "common_ohm", 0.0, 1e9, false, &made.common_ohm));
  TRY(st, json_in_bool(in, at, "between_legs", &made.between_legs));
  TRY(st, milli(in, at, "greatest_ma", false, &made.greatest_a));
  TRY(st, leg_ohms(in, at, both));
  if (both[0] != both[1] && (!legs || made.between_legs)) {
    return json_in_wrong(in, at, "Here both legs have one resistance: \"leg_ohm\": 680.");
  }
  made.leg_ohm = both[0];
  if (legs) {
    legs[0] = both[0];
    legs[1] = both[1];
  }
  *feed = made;
  return STATUS_OK;
}

static Status
cable(const JsonIn* in, const JsonAt* at, FeedWay* way)
{
  static const char* const keys[] = {"length_m",   "section_mm2", "shield_mm2", "leg_ohm",
                                     "shield_ohm", "like",        NULL};
  static const char* const likes[] = {"microphone cable", NULL};
  double m = NAN;
  double mm2 = NAN;
  double shield_mm2 = NAN;
  double leg_ohm = NAN;
  int like = -1;
  Status st;
  TRY(st, json_in_keys(in, at, keys));
  TRY(st, json_in_number(in, at, "length_m", 0.0, 1e5, false, &m));
  TRY(st, json_in_number(in, at, "section_mm2", 1e-3, 1e3, false, &mm2));
  TRY(st, json_in_number(in, at, "shield_mm2", 1e-3, 1e3, false, &shield_mm2));
  TRY(st, json_in_number(in, at, "leg_ohm", 0.0, 1e9, false, &leg_ohm));
  TRY(st, json_in_word(in, at, "like", likes, false, &like));
  const int n_ways = !isnan(mm2) + !isnan(leg_ohm) + (like >= 0);
  if (n_ways != 1 || (isnan(leg_ohm) && isnan(m))) {
    return json_in_wrong(in, at,
                         "A cable is \"length_m\" with \"section_mm2\" or with \"like\": "
                         "\"microphone cable\", or else \"leg_ohm\" and \"shield_ohm\".");
  }
  if (!isnan(leg_ohm)) {
    way->cable_leg_ohm = way->cable_shield_ohm = leg_ohm;
  } else if (like >= 0) {
    way->cable_leg_ohm = CIRCUIT_LEG_OHM_PER_M * m;
    way->cable_shield_ohm = CIRCUIT_SHIELD_OHM_PER_M * m;
  } else {
    way->cable_leg_ohm = circuit_copper_ohm(m, mm2);
    way->cable_shield_ohm = circuit_copper_ohm(m, isnan(shield_mm2) ? mm2 : shield_mm2);
  }
  return json_in_number(in, at, "shield_ohm", 0.0, 1e9, false, &way->cable_shield_ohm);
}

static Status
in_line(const JsonIn* in, const JsonAt* at, FeedWay* way)
{
  static const char* const keys[] = {"leg_ohm", "drop_v", "draw_ma", "blocks", NULL};
  Status st;
  TRY(st, json_in_keys(in, at, keys));
  TRY(st, json_in_number(in, at, "leg_ohm", 0.0, 1e9, false, &way->inline_leg_ohm));
  TRY(st, json_in_number(in, at, "drop_v", 0.0, 1e3, false, &way->inline_drop_v));
  TRY(st, milli(in, at, "draw_ma", false, &way->inline_draw_a));
  return json_in_bool(in, at, "blocks", &way->inline_blocks);
}

static Status
microphone(const JsonIn* in, const JsonAt* at, FeedQuestion* q)
{
  static const char* const keys[] = {"name",
                                     "kind",
                                     "feed_least_v",
                                     "feed_greatest_v",
                                     "contacts_least_v",
                                     "contacts_greatest_v",
                                     "draw_ma",
                                     "load_ohm",
                                     "coil_ohm",
                                     NULL};
  // In the order of FeedMicSort
  static const char* const kinds[] = {
    "unknown", "condenser", "A-B condenser", "moving coil", "ribbon", "passive transformer", NULL};
  FeedMicrophone* const m = &q->microphone;
  int kind = 0;
  Status st;
  *m = (FeedMicrophone){FEED_MIC_UNKNOWN, NAN, NAN, NAN, NAN, NAN, NAN, NAN};
  TRY(st, json_in_keys(in, at, keys));
  TRY(st, json_in_text(in, at, "name", DRAWN_NAME_BYTES, false, &q->microphone_name));
  TRY(st, json_in_word(in, at, "kind", kinds, true, &kind));
  TRY(st, json_in_number(in, at, "feed_least_v", 0.0, 1e3, false, &m->feed_least_v));
  TRY(st, json_in_number(in, at, "feed_greatest_v", 0.0, 1e3, false, &m->feed_greatest_v));
  TRY(st, json_in_number(in, at, "contacts_least_v", 0.0, 1e3, false, &m->contacts_least_v));
  TRY(st, json_in_number(in, at, "contacts_greatest_v", 0.0, 1e3, false, &m->contacts_greatest_v));
  TRY(st, milli(in, at, "draw_ma", false, &m->draw_a));
  TRY(st, json_in_number(in, at, "load_ohm", 1e-3, 1e12, false, &m->load_ohm));
  TRY(st, json_in_number(in, at, "coil_ohm", 0.0, 1e9, false, &m->coil_ohm));
  m->sort = (FeedMicSort)kind;
  if (!isnan(m->draw_a) && !isnan(m->load_ohm)) {
    return json_in_wrong(in, at,
                         "A microphone draws \"draw_ma\" or is a resistor of \"load_ohm\": "
                         "write one of them.");
  }
  return STATUS_OK;
}

Status
circuit_feed_question(const JsonIn* in, const JsonAt* root, FeedQuestion* q)
{
  static const char* const keys[] = {"title",  "note",       "feed", "cable",
                                     "inline", "microphone", NULL};
  const JsonAt feed = json_in_member(root, "feed");
  const JsonAt way = json_in_member(root, "cable");
  const JsonAt device = json_in_member(root, "inline");
  const JsonAt mic = json_in_member(root, "microphone");
  Status st;
  TRY(st, json_in_keys(in, root, keys));
  if (!feed.value || !mic.value) {
    return json_in_wrong(in, root,
                         "A question about a feed has \"feed\" and \"microphone\"; here is "
                         "no \"%s\".",
                         feed.value ? "microphone" : "feed");
  }
  TRY(st, circuit_feed(in, &feed, q->variants, q->n_variants, &q->feed, NULL));
  if (way.value) {
    TRY(st, cable(in, &way, &q->way));
  }
  if (device.value) {
    TRY(st, in_line(in, &device, &q->way));
  }
  return microphone(in, &mic, q);
}
