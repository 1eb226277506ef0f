// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/verdict.h"

#include <math.h>
#include <string.h>

/*
  Ohms: each conductor against the limit that applies to it, the two legs of a pair against each
  other, and the insulation between contacts.
*/

// ---- Sentences ----

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
#define SAY_NO_LIMIT                                                                               \
  "No limit was applied to the ohms: give --length and --section or --awg, or --limit 620."
#define SAY_FLAT_LIMIT                                                                             \
  "A flat 2 ohm rejects good long cables (0.22 mm2 from about 22 m on): give length and section."
#define CANNOT_LEADS "The meter's own leads: join its tips first and take that off."

// ---- Ohms ----

// "1.6", "470", "0.02": as many places as a person would write.
static const char*
ohm_text(const Verdict* w, double ohm)
{
  return arena_format(w->arena, ohm < 0.1 ? "%.2g" : ohm < 10 ? "%.2f" : "%.0f", ohm);
}

static bool
is_found(const Verdict* w, const char* name)
{
  for (int i = 0; i < w->out.n_faults; ++i) {
    if (w->out.faults[i].name && !strcmp(w->out.faults[i].name, name)) {
      return true;
    }
  }
  return false;
}

static void
judge_conductor(Verdict* w, int contact, const ConductorLimit* limit)
{
  const double ohm = w->in->ohm[contact - 1];
  const char* const name = verdict_contact(w, WIRING_NEAR, contact);
  w->out.ohms[w->out.n_ohms++] = (JudgeOhms){name, ohm, limit->ohm};
  if (isinf(ohm)) {
    const char* const fault = arena_format(w->arena, "open %s", name);
    if (!fault || !is_found(w, fault)) {
      verdict_fault(w, fault, "not told", arena_format(w->arena, SAY_HIGH_OPEN, name));
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
      verdict_find(w, most ? arena_format(w->arena, SAY_TINNED, name, most) : NULL);
      return;
    }
  }
  const char* const got = ohm_text(w, ohm);
  const char* const most = ohm_text(w, limit->ohm);
  w->high = true;
  verdict_fault(w, arena_format(w->arena, "high %s", name), "not told",
                got && most ? arena_format(w->arena, SAY_HIGH, name, got, most) : NULL);
}

// Legs of a pair: what their difference leaves of common-mode rejection.
static void
judge_balance(Verdict* w)
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
    verdict_find(w, ohm ? arena_format(w->arena, SAY_LEGS,
                                       verdict_contact(w, WIRING_NEAR, c->pairs[worst][0]),
                                       verdict_contact(w, WIRING_NEAR, c->pairs[worst][1]), ohm,
                                       (int)(w->out.rejection_db + 0.5))
                        : NULL);
  }
}

void
judge_ohms(Verdict* w)
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
               verdict_contact(w, WIRING_NEAR, contact));
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
    verdict_find(w, text_done(&missing)
                      ? arena_format(w->arena, SAY_NOT_MEASURED, text_done(&missing))
                      : NULL);
  }
  judge_balance(w);
  verdict_cannot(w, CANNOT_LEADS);
}

void
judge_insulation(Verdict* w)
{
  const double ohm = w->in->insulation_ohm;
  const char* const text = arena_format(w->arena, "%.4g", 1e-6 * ohm);
  if (ohm < CONDUCTOR_INSULATION_OHM) {
    w->damp = true;
    verdict_fault(w, "leak", "not told", text ? arena_format(w->arena, SAY_LEAK, text) : NULL);
  } else {
    verdict_find(w, text ? arena_format(w->arena, SAY_DRY, text) : NULL);
  }
}
