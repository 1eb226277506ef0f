// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/solve_view.h"

#include "base/text.h"
#include "face/json.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  Figures as a meter would show them: four digits, and nothing below what the arithmetic can carry.
  A contact that hangs in the air has no volts, and says so.
*/

#define LEAST_V 0.5e-6
#define LEAST_A 0.5e-9

// Four digits, no more than four behind the point, no zeros at the end.
static void
add_figure(TextOut* out, double value, double least)
{
  char text[32];
  if (isnan(value)) {
    text_add(out, "floating");
    return;
  }
  value = fabs(value) < least ? 0.0 : value;
  if (fabs(value) >= 1.0) {
    text_add(out, "%.4g", value);
    return;
  }
  (void)snprintf(text, sizeof(text), "%.4f", value);
  size_t n = strlen(text);
  while (text[n - 1] == '0') {
    text[--n] = '\0';
  }
  text[n - (text[n - 1] == '.')] = '\0';
  text_add(out, "%s", strcmp(text, "-0") ? text : "0");
}

static void
add_amps(TextOut* out, double a)
{
  const bool whole = fabs(a) >= 1.0;
  add_figure(out, whole ? a : 1e3 * a, 1e3 * LEAST_A);
  text_add(out, whole ? " A" : " mA");
}

static void
add_hertz(TextOut* out, double hz)
{
  text_add(out, hz >= 1000.0 ? "%.4g kHz" : "%.4g Hz", hz >= 1000.0 ? 1e-3 * hz : hz);
}

// One indented paragraph of what was built.
static Status
item(const Face* face, Paint paint, const char* name, const TextOut* out)
{
  const char* const lead = arena_format(face->arena, "  %s: ", name);
  const char* const text = text_done(out);
  if (!lead || !text) {
    return STATUS_NO_MEMORY;
  }
  screen_cell(face->screen, paint, lead, 0);
  screen_rest(face->screen, paint, text_width(lead), 6, text);
  return STATUS_OK;
}

// "2=48, 3=48": no blank in it, so that a line's end cannot part a contact from its figure.
static void
add_contacts(TextOut* out, const Drawn* d, const DrawnJoint* joint, const double value[],
             int except, double factor, double least)
{
  const char* comma = "";
  for (int i = 0; i < d->n_contacts && joint->contacts[i]; ++i) {
    if (i != except) {
      text_add(out, "%s%s=", comma, joint->contacts[i]);
      add_figure(out, factor * value[i], least);
      comma = ", ";
    }
  }
}

static void
add_ohm(TextOut* out, double ohm)
{
  if (isfinite(ohm)) {
    text_add(out,
             ohm >= 1e6   ? "%.4g Mohm"
             : ohm >= 1e3 ? "%.4g kohm"
                          : "%.4g ohm",
             ohm >= 1e6   ? 1e-6 * ohm
             : ohm >= 1e3 ? 1e-3 * ohm
                          : ohm);
  } else {
    text_add(out, "open");
  }
}

static void
add_ohms(TextOut* out, const Drawn* d, const DrawnJoint* joint, const DrawnLook* look,
         const DrawnSeen* seen)
{
  text_add(out, "; %s to %s with every source dead: ", joint->contacts[look->ohm_a],
           joint->contacts[look->ohm_b]);
  add_ohm(out, seen->direct_ohm);
  for (int k = 0; k < d->n_tones; ++k) {
    text_add(out, ", ");
    add_ohm(out, seen->ohm[k]);
    text_add(out, " at ");
    add_hertz(out, d->tones[k].hz);
  }
}

static Status
say_joints(const Face* face, const Drawn* d, const DrawnAnswer* answer)
{
  static const char* const sides[] = {", towards the first end alone", ", away from it alone", ""};
  if (d->n_looks > 0) {
    screen_say(face->screen, PAINT_STRONG, "Direct current at the joints");
  }
  for (int i = 0; i < d->n_looks; ++i) {
    const DrawnLook* const look = &d->looks[i];
    const DrawnJoint* const joint = &d->joints[look->joint];
    const DrawnSeen* const seen = &answer->seen[i];
    TextOut out = {.arena = face->arena};
    text_add(&out, "volts against %s%s: ", joint->contacts[look->against], sides[look->side]);
    add_contacts(&out, d, joint, seen->contact_v, look->against, 1.0, LEAST_V);
    bool flows = false;
    for (int c = 0; c < d->n_contacts; ++c) {
      flows = flows || fabs(seen->near_a[c]) >= LEAST_A;
    }
    if (flows) {
      text_add(&out, "; milliamps towards the first end: ");
      add_contacts(&out, d, joint, seen->near_a, -1, 1e3, 1e3 * LEAST_A);
    }
    if (seen->ohm) {
      add_ohms(&out, d, joint, look, seen);
    }
    Status st;
    TRY(st, item(face, PAINT_PLAIN, joint->name, &out));
  }
  return STATUS_OK;
}

static Status
say_ends(const Face* face, const Drawn* d, const DrawnAnswer* answer)
{
  Status st;
  if (answer->n_inside > 0) {
    screen_say(face->screen, PAINT_STRONG, "Direct current inside the ends");
  }
  for (int i = 0; i < answer->n_inside; ++i) {
    const DrawnInside* const inside = &answer->inside[i];
    TextOut out = {.arena = face->arena};
    text_add(&out, "volts against %s: ", solve_joint_of(d, inside->element)->contacts[0]);
    add_contacts(&out, d, solve_joint_of(d, inside->element), inside->contact_v, 0, 1.0, LEAST_V);
    if (fabs(inside->coil_a) >= LEAST_A) {
      text_add(&out, "; through it from 2 to 3: ");
      add_amps(&out, inside->coil_a);
    }
    TRY(st, item(face, PAINT_PLAIN, d->about[inside->element].name, &out));
  }
  return STATUS_OK;
}

static Status
say_lamps(const Face* face, const Drawn* d, const DrawnAnswer* answer)
{
  static const char* const sides[] = {"on what comes from the first end", "on what lies beyond",
                                      "with everything plugged"};
  Status st;
  if (d->n_testers > 0) {
    screen_say(face->screen, PAINT_STRONG, "Lamps (G, R lit; d dim; a point dark)");
  }
  for (int i = 0; i < d->n_testers; ++i) {
    const DrawnTester* const tester = &d->testers[i];
    const DrawnLit* const lit = &answer->lit[i];
    const DrawnJoint* const joint = &d->joints[tester->joint];
    TextOut out = {.arena = face->arena};
    if (lit->status != STATUS_OK) {
      text_add(&out, "at %s %s: the lamps' currents do not settle", joint->name,
               sides[tester->side]);
    } else {
      text_add(&out, "%s at %s, %s", lit->picture, joint->name, sides[tester->side]);
    }
    for (int k = 0; k < tester->lamps.n_lamps && lit->status == STATUS_OK; ++k) {
      text_add(&out, "%s%s-%s %s", k ? ", " : ": ", joint->contacts[tester->lamps.lamps[k].a],
               joint->contacts[tester->lamps.lamps[k].b], solve_lamp_word(lit->lamp_a[k]));
      if (fabs(lit->lamp_a[k]) >= LAMP_DIM_A) {
        text_add(&out, " ");
        add_amps(&out, lit->lamp_a[k]);
      }
    }
    TRY(st, item(face, PAINT_PLAIN, tester->name, &out));
  }
  return STATUS_OK;
}

// A figure a frequency, in the order of the heading: level, in brackets what the faults change and
// the current of a branch.
static void
add_tones(TextOut* out, const Drawn* d, const DrawnEar* ear)
{
  for (int k = 0; k < d->n_tones; ++k) {
    const DrawnHeard* const h = &ear->heard[k];
    const bool changes = !isnan(h->change_db);
    const bool flows = !isnan(h->current_a);
    text_add(out, "%s", k ? ", " : "");
    if (h->sign == 0) {
      text_add(out, "nothing");
      continue;
    }
    text_add(out, "%.1f%s", h->dbv, changes || flows ? " (" : "");
    if (changes) {
      text_add(out, "%+.1f%s", fabs(h->change_db) < 0.05 ? 0.0 : h->change_db, flows ? "; " : "");
    }
    if (flows) {
      add_amps(out, h->current_a);
    }
    text_add(out, "%s%s", changes || flows ? ")" : "", h->sign < 0 ? " inverted" : "");
  }
}

// Whether anything drives signal at all.
static bool
is_driven(const Drawn* d)
{
  for (int i = 0; i < d->n_tones; ++i) {
    if (d->tones[i].room_v != 0.0) {
      return true;
    }
  }
  for (int i = 0; i < d->n_elements; ++i) {
    const ChainElement* const e = &d->elements[i];
    if (e->kind == CHAIN_LEAF && e->as.leaf.drive != CHAIN_DRIVE_NONE && e->as.leaf.emf_v != 0.0) {
      return true;
    }
    for (int b = 0; e->kind == CHAIN_PARTS && b < e->as.parts.n_branches; ++b) {
      if (e->as.parts.branches[b].emf_v != 0.0) {
        return true;
      }
    }
  }
  return false;
}

static Status
say_signal_heading(const Face* face, const Drawn* d)
{
  TextOut out = {.arena = face->arena};
  text_add(&out, "Signal at ");
  for (int k = 0; k < d->n_tones; ++k) {
    text_add(&out, "%s", k ? ", " : "");
    add_hertz(&out, d->tones[k].hz);
  }
  text_add(&out, ", in dBV%s",
           d->n_edits > 0 ? " (in brackets the dB that the faults change)" : "");
  const char* const text = text_done(&out);
  if (!text) {
    return STATUS_NO_MEMORY;
  }
  screen_say(face->screen, PAINT_STRONG, "%s", text);
  return STATUS_OK;
}

static Status
say_heard(const Face* face, const Drawn* d, const DrawnAnswer* answer)
{
  bool is_headed = false;
  Status st;
  for (int i = 0; i < answer->n_ears && is_driven(d); ++i) {
    const DrawnEar* const ear = &answer->ears[i];
    const char* const name = solve_branch_name(d, ear);
    const char* between[2];
    if (ear->branch >= 0 && !name) {
      continue; // Nobody gave it a name: JSON alone has it
    }
    if (!is_headed) {
      TRY(st, say_signal_heading(face, d));
      is_headed = true;
    }
    solve_ear_contacts(d, ear, between);
    TextOut out = {.arena = face->arena};
    text_add(&out, "%s%s%s to %s: ", name ? name : "", name ? ", " : "", between[0], between[1]);
    add_tones(&out, d, ear);
    if (!isnan(ear->through_a) && fabs(ear->through_a) >= LEAST_A) {
      text_add(&out, "; direct ");
      add_figure(&out, ear->across_v, LEAST_V);
      text_add(&out, " V ");
      add_amps(&out, ear->through_a);
    }
    TRY(st, item(face, PAINT_PLAIN, d->about[ear->element].name, &out));
  }
  return STATUS_OK;
}

Status
solve_line_say(const Face* face, const CircuitFile* file, const DrawnAnswer* answer)
{
  const Drawn* const d = &file->drawn;
  Status st;
  if (file->title) {
    screen_say(face->screen, PAINT_STRONG, "%s", file->title);
  }
  if (solve_caution(file, answer)[0]) {
    screen_item(face->screen, PAINT_WARN, "Caution: ", solve_caution(file, answer));
  }
  TRY(st, say_joints(face, d, answer));
  TRY(st, say_ends(face, d, answer));
  TRY(st, say_lamps(face, d, answer));
  return say_heard(face, d, answer);
}

static void
say_feed_figures(const Face* face, const FeedQuestion* q, const FeedAnswer* a)
{
  const Screen* const s = face->screen;
  if (!isnan(a->draw_a) && !isnan(a->power_w) && q->microphone.sort <= FEED_MIC_AB) {
    screen_say(s, PAINT_PLAIN, "It draws %.2f mA, %.1f mW.", 1e3 * a->draw_a, 1e3 * a->power_w);
  }
  if (!isnan(a->left_a) && q->microphone.sort <= FEED_MIC_AB && !q->way.inline_blocks) {
    if (a->left_a >= 0.0) {
      screen_say(s, PAINT_PLAIN, "Left of the %.0f mA that the standard allows: %.2f mA.",
                 1e3 * q->feed.greatest_a, 1e3 * a->left_a);
    } else {
      screen_say(s, PAINT_PLAIN, "%.2f mA more than the %.0f mA that the standard allows.",
                 -1e3 * a->left_a, 1e3 * q->feed.greatest_a);
    }
  }
  if (a->verdict != FEED_RUNS && q->microphone.sort != FEED_MIC_UNKNOWN) {
    TextOut out = {.arena = face->arena};
    for (int i = 0; i < q->n_variants; ++i) {
      if (solve_would_run(q, i)) {
        text_add(&out, "%s%s", out.n_bytes ? ", " : "", q->variants[i].name);
      }
    }
    const char* const names = text_done(&out);
    if (names && names[0] && q->microphone.sort > FEED_MIC_AB) {
      screen_say(s, PAINT_PLAIN, "It needs no feed; these do it no harm on a sound cable: %s.",
                 names);
    } else if (names && names[0]) {
      screen_say(s, PAINT_PLAIN, "It would run on %s.", names);
    } else if (names && q->microphone.sort <= FEED_MIC_AB) {
      screen_say(s, PAINT_PLAIN, "No feed known here is sure to run it.");
    }
  }
  if (!isnan(a->available_w) && a->available_w > 0.0 && a->verdict != FEED_HARMFUL) {
    screen_say(s, PAINT_PLAIN, "The most any microphone could have here: %.1f mW, at %.2f mA.",
               1e3 * a->available_w, 1e3 * a->available_a);
  }
  if (q->feed.mark) {
    screen_say(s, PAINT_FAINT, "Figures of %s: %s. %s", q->feed.name, q->feed.source,
               q->feed.mark == 'S' ? "Seen in public text, not in the standard itself."
                                   : "From memory: verify before relying on it.");
  }
}

Status
solve_feed_say(const Face* face, const CircuitFile* file, const FeedAnswer* a)
{
  const FeedQuestion* const q = &file->feed;
  const Screen* const s = face->screen;
  const Paint paint = a->verdict == FEED_RUNS      ? PAINT_GOOD
                      : a->verdict == FEED_UNKNOWN ? PAINT_WARN
                                                   : PAINT_BAD;
  if (file->title) {
    screen_say(s, PAINT_STRONG, "%s", file->title);
  }
  if (a->caution[0]) {
    screen_item(s, PAINT_WARN, "Caution: ", a->caution);
  }
  screen_say(s, paint, "%s on %s: %s.", q->microphone_name ? q->microphone_name : "Microphone",
             q->feed.name, feed_verdict_word(a->verdict));
  screen_say(s, PAINT_PLAIN, "%s", a->reason);
  say_feed_figures(face, q, a);
  return STATUS_OK;
}
