// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/solve_view.h"

#include "base/text.h"
#include "face/json.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  What `solve` answers as JSON, and what in it may hurt.
*/

#define LEAST_V 0.5e-6
#define LEAST_A 0.5e-9

static const char*
side_word(ChainSide side)
{
  static const char* const words[] = {"near", "far", "both"};
  return words[side];
}

static json_t*
contacts_json(const DrawnJoint* joint, int n_contacts, const double contact_v[],
              const double near_a[])
{
  json_t* const list = json_array();
  for (int i = 0; i < n_contacts && joint->contacts[i]; ++i) {
    json_t* const one = json_object();
    json_object_set_new(one, "contact", json_words(joint->contacts[i]));
    json_object_set_new(one, "v", json_figure(contact_v[i]));
    if (near_a && !isnan(near_a[i])) {
      json_object_set_new(one, "near_a", json_figure(near_a[i]));
    }
    json_array_append_new(list, one);
  }
  return list;
}

/// Ohms between two contacts, null = open.
static json_t*
ohms_json(const Drawn* d, const DrawnJoint* joint, const DrawnLook* look, const DrawnSeen* seen)
{
  const char* const between[] = {joint->contacts[look->ohm_a], joint->contacts[look->ohm_b]};
  json_t* const ohms = json_object();
  json_t* const tones = json_array();
  for (int k = 0; k < d->n_tones; ++k) {
    json_t* const tone = json_object();
    json_object_set_new(tone, "hz", json_figure(d->tones[k].hz));
    json_object_set_new(tone, "ohm", json_figure(seen->ohm[k]));
    json_array_append_new(tones, tone);
  }
  json_object_set_new(ohms, "between", json_list(between, 2));
  json_object_set_new(ohms, "direct_ohm", json_figure(seen->direct_ohm));
  json_object_set_new(ohms, "tones", tones);
  return ohms;
}

static json_t*
joints_json(const Drawn* d, const DrawnAnswer* answer)
{
  json_t* const list = json_array();
  for (int i = 0; i < d->n_looks; ++i) {
    const DrawnLook* const look = &d->looks[i];
    const DrawnJoint* const joint = &d->joints[look->joint];
    const DrawnSeen* const seen = &answer->seen[i];
    json_t* const one = json_object();
    json_object_set_new(one, "joint", json_words(joint->name));
    json_object_set_new(one, "looks", json_words(side_word(look->side)));
    json_object_set_new(one, "against", json_words(joint->contacts[look->against]));
    json_object_set_new(one, "contacts",
                        contacts_json(joint, d->n_contacts, seen->contact_v, seen->near_a));
    if (seen->ohm) {
      json_object_set_new(one, "ohms", ohms_json(d, joint, look, seen));
    }
    json_array_append_new(list, one);
  }
  return list;
}

/// The joint an element's own contacts are named by.
const DrawnJoint*
solve_joint_of(const Drawn* d, int element)
{
  const ChainElement* const e = &d->elements[element];
  return &d->joints[e->near < 0 ? e->far : e->near];
}

static json_t*
ends_json(const Drawn* d, const DrawnAnswer* answer)
{
  json_t* const list = json_array();
  for (int i = 0; i < answer->n_inside; ++i) {
    const DrawnInside* const inside = &answer->inside[i];
    json_t* const one = json_object();
    json_object_set_new(one, "end", json_words(d->about[inside->element].name));
    json_object_set_new(one, "coil_a", json_figure(inside->coil_a));
    json_object_set_new(
      one, "contacts",
      contacts_json(solve_joint_of(d, inside->element), d->n_contacts, inside->contact_v, NULL));
    json_array_append_new(list, one);
  }
  return list;
}

const char*
solve_lamp_word(double current_a)
{
  const double size_a = fabs(current_a);
  return size_a < LAMP_DIM_A   ? "dark"
         : size_a < LAMP_LIT_A ? (current_a > 0.0 ? "dim green" : "dim red")
         : current_a > 0.0     ? "green"
                               : "red";
}

static json_t*
lamps_json(const Drawn* d, const DrawnAnswer* answer)
{
  json_t* const list = json_array();
  for (int i = 0; i < d->n_testers; ++i) {
    const DrawnTester* const tester = &d->testers[i];
    const DrawnLit* const lit = &answer->lit[i];
    const DrawnJoint* const joint = &d->joints[tester->joint];
    const bool settled = lit->status == STATUS_OK;
    json_t* const one = json_object();
    json_t* const lamps = json_array();
    for (int k = 0; k < tester->lamps.n_lamps && settled; ++k) {
      json_t* const lamp = json_object();
      json_object_set_new(lamp, "from", json_words(joint->contacts[tester->lamps.lamps[k].a]));
      json_object_set_new(lamp, "to", json_words(joint->contacts[tester->lamps.lamps[k].b]));
      json_object_set_new(lamp, "current_a", json_figure(lit->lamp_a[k]));
      json_object_set_new(lamp, "state", json_words(solve_lamp_word(lit->lamp_a[k])));
      json_array_append_new(lamps, lamp);
    }
    json_object_set_new(one, "tester", json_words(tester->name));
    json_object_set_new(one, "joint", json_words(joint->name));
    json_object_set_new(one, "looks", json_words(side_word(tester->side)));
    json_object_set_new(one, "picture", json_words(settled ? lit->picture : NULL));
    json_object_set_new(one, "lamps", lamps);
    json_object_set_new(one, "contacts",
                        settled ? contacts_json(joint, d->n_contacts, lit->contact_v, NULL)
                                : json_array());
    json_array_append_new(list, one);
  }
  return list;
}

/// What a branch leads to: a contact, earth or the room.
static const char*
far_word(const DrawnJoint* joint, int contact)
{
  return contact == CHAIN_EARTH  ? "earth"
         : contact == CHAIN_ROOM ? "room"
                                 : joint->contacts[contact];
}

void
solve_ear_contacts(const Drawn* d, const DrawnEar* ear, const char* out[2])
{
  const DrawnJoint* const joint = solve_joint_of(d, ear->element);
  const ChainBranch* const b =
    ear->branch < 0 ? NULL : &d->elements[ear->element].as.parts.branches[ear->branch];
  out[0] = joint->contacts[b ? b->a : 1];
  out[1] = far_word(joint, b ? b->b : 2);
}

const char*
solve_branch_name(const Drawn* d, const DrawnEar* ear)
{
  const char* const* const names = d->about[ear->element].branch_names;
  return ear->branch < 0 || !names ? NULL : names[ear->branch];
}

static json_t*
heard_json(const Drawn* d, const DrawnAnswer* answer)
{
  json_t* const list = json_array();
  for (int i = 0; i < answer->n_ears; ++i) {
    const DrawnEar* const ear = &answer->ears[i];
    const char* between[2];
    solve_ear_contacts(d, ear, between);
    json_t* const one = json_object();
    json_t* const tones = json_array();
    for (int k = 0; k < d->n_tones; ++k) {
      const DrawnHeard* const h = &ear->heard[k];
      const bool silent = h->sign == 0;
      json_t* const tone = json_object();
      json_object_set_new(tone, "hz", json_figure(d->tones[k].hz));
      json_object_set_new(tone, "level_dbv", json_figure(silent ? (double)NAN : h->dbv));
      json_object_set_new(tone, "change_db", json_figure(silent ? (double)NAN : h->change_db));
      json_object_set_new(tone, "sign", json_integer(h->sign));
      json_object_set_new(tone, "current_a", json_figure(h->current_a));
      json_array_append_new(tones, tone);
    }
    json_object_set_new(one, "end", json_words(d->about[ear->element].name));
    json_object_set_new(one, "branch", json_words(solve_branch_name(d, ear)));
    json_object_set_new(one, "between", json_list(between, 2));
    json_object_set_new(one, "direct_v", json_figure(ear->across_v));
    json_object_set_new(one, "direct_a", json_figure(ear->through_a));
    json_object_set_new(one, "tones", tones);
    json_array_append_new(list, one);
  }
  return list;
}

void
solve_line_json(const CircuitFile* file, const DrawnAnswer* answer, json_t* object)
{
  const Drawn* const d = &file->drawn;
  json_object_set_new(object, "caution", json_words(solve_caution(file, answer)));
  json_object_set_new(object, "joints", joints_json(d, answer));
  json_object_set_new(object, "ends", ends_json(d, answer));
  json_object_set_new(object, "lamps", lamps_json(d, answer));
  json_object_set_new(object, "heard", heard_json(d, answer));
}

/// Whether another of the known feeds, put in this one's place, runs the microphone.
bool
solve_would_run(const FeedQuestion* q, int variant)
{
  FeedAnswer other;
  return feed_judge(q->variants, q->n_variants, &q->variants[variant], &q->way, &q->microphone,
                    &other) == STATUS_OK &&
         other.verdict == FEED_RUNS;
}

json_t*
solve_feed_json(const FeedQuestion* q, const FeedAnswer* a)
{
  json_t* const runs_on = json_array();
  for (int i = 0; i < q->n_variants; ++i) {
    if (solve_would_run(q, i)) {
      json_array_append_new(runs_on, json_words(q->variants[i].name));
    }
  }
  const char mark[2] = {q->feed.mark, '\0'};
  json_t* const one = json_object();
  json_object_set_new(one, "feed", json_words(q->feed.name));
  json_object_set_new(one, "verdict", json_words(feed_verdict_word(a->verdict)));
  json_object_set_new(one, "reason", json_words(a->reason));
  json_object_set_new(one, "caution", json_words(a->caution));
  json_object_set_new(one, "leg_v", json_figure(a->leg_v));
  json_object_set_new(one, "between_v", json_figure(a->between_v));
  json_object_set_new(one, "needed_v", json_figure(a->needed_v));
  json_object_set_new(one, "draw_a", json_figure(a->draw_a));
  json_object_set_new(one, "left_a", json_figure(a->left_a));
  json_object_set_new(one, "greatest_a", json_figure(q->feed.greatest_a));
  json_object_set_new(one, "power_w", json_figure(a->power_w));
  json_object_set_new(one, "available_w", json_figure(a->available_w));
  json_object_set_new(one, "available_a", json_figure(a->available_a));
  json_object_set_new(one, "coil_a", json_figure(a->coil_a));
  json_object_set_new(one, "coil_w", json_figure(a->coil_w));
  json_object_set_new(one, "runs_on", runs_on);
  json_object_set_new(one, "source", json_words(q->feed.source));
  json_object_set_new(one, "mark", json_words(mark[0] ? mark : NULL));
  return one;
}

/// Direct current that harms a ribbon [A], and volts that harm people [V rms]: limits of this
/// house.
#define RIBBON_A 0.1e-3
#define TOUCH_V 50.0

const char*
solve_caution(const CircuitFile* file, const DrawnAnswer* answer)
{
  const Drawn* const d = &file->drawn;
  double coil_a = 0.0;
  double most_dbv = CHAIN_SILENT_DB;
  for (int i = 0; i < answer->n_inside; ++i) {
    coil_a = fmax(coil_a, fabs(answer->inside[i].coil_a)); // fmax leaves NAN out
  }
  for (int i = 0; i < answer->n_ears; ++i) {
    for (int k = 0; k < d->n_tones; ++k) {
      most_dbv = fmax(most_dbv, answer->ears[i].heard[k].dbv);
    }
  }
  if (20.0 * log10(TOUCH_V) < most_dbv) {
    return "More than 50 V rms between contacts here: amplifier off before anything is unplugged "
           "or "
           "touched.";
  }
  return coil_a > RIBBON_A ? "Direct current flows through the source: a ribbon here would be "
                             "harmed. Feed off, wait "
                             "5 s, before anything is plugged."
                           : "";
}
