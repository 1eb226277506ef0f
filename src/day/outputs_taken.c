// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/outputs_inside.h"

#include "base/text.h"

#include <math.h>

/*
  Readings of the day as the log has them, and each circuit against its like.

  A reading is of the part that was there when it was made: a repair that helped ends what was read
  before it. The meter's leads come off every reading after they were told.
*/

// ---- Readings of the day ----

Status
outputs_take(Arena* arena, const Plant* plant, const Fold* fold, Outputs* o)
{
  const size_t n_facts = fold ? fold->outputs.n_facts : 0;
  OutputSeen* const seen = arena_array(arena, n_facts * 4 + 1, sizeof(OutputSeen));
  TextOut aside = {.arena = arena};
  size_t room = n_facts * 4;
  int n = 0;
  o->air_c = (double)NAN;
  if (!seen) {
    return STATUS_NO_MEMORY;
  }
  for (size_t i = 0; i < n_facts; ++i) {
    const FactBody* const b = &fold->outputs.facts[i]->body;
    OutputSeen one;
    Error error = {0};
    if (outputs_read(plant, b->circuit, b->check, b->reading, b->at, &one, NULL, &error) !=
        STATUS_OK) {
      text_add(&aside, "%s%s %s=%s no longer fits the lists", aside.n_bytes ? "; " : "", b->circuit,
               b->check, b->reading);
      continue;
    }
    if (one.circuit < 0) {
      if (text_same(b->circuit, "meter")) {
        o->leads_ohm = one.ohm;
      } else {
        o->air_c = one.ohm;
      }
      continue;
    }
    if (one.check == OUT_CHECKS) {
      continue; // Plugged or not
    }
    one.order = i;
    if (one.check == OUT_OHMS && !isinf(one.ohm)) {
      one.ohm = fmax(one.ohm - o->leads_ohm, 0.0);
    }
    if (one.check == OUT_REPAIR &&
        one.key == 0) { // It helped: what was read before is of the old part
      int kept = 0;
      for (int k = 0; k < n; ++k) {
        if (!outputs_about(plant, seen[k].circuit, b->circuit)) {
          seen[kept++] = seen[k];
        }
      }
      n = kept;
      continue;
    }
    // A reading of an amplifier or a zone is one reading: it counts at the first of its circuits
    // and reaches the others through what they share
    if ((size_t)n < room) {
      seen[n++] = one;
    }
  }
  o->seen = seen;
  o->n_seen = n;
  o->left_aside = text_done(&aside);
  return o->left_aside ? STATUS_OK : STATUS_NO_MEMORY;
}

// ---- Twins ----

bool
outputs_alike(const OutputCircuit* a, const OutputCircuit* b)
{
  return text_same(a->band, b->band) && a->nominal_ohm == b->nominal_ohm &&
         a->n_boxes == b->n_boxes && a->load_ohm == b->load_ohm && a->n_drivers == b->n_drivers &&
         a->line_v == b->line_v && !a->mix == !b->mix;
}

Status
outputs_judge(Arena* arena, Outputs* o, OutputStanding* standing)
{
  const int n = o->n < TWIN_MAX ? o->n : TWIN_MAX;
  TwinReading* const r = arena_array(arena, (size_t)n, sizeof(TwinReading));
  TwinVerdict* const v = arena_array(arena, (size_t)n, sizeof(TwinVerdict));
  if (!r || !v) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < n; ++i) {
    const OutputCircuit* const c = &o->plant->outputs[i];
    const Wrong none = {.sort = WRONG_NONE, .other = -1};
    const double expect = outputs_ohm(o, i, &none, OUT_AT_AMP);
    int like = i;
    for (int k = i - 1; k >= 0; --k) {
      like = outputs_alike(c, &o->plant->outputs[k]) ? k : like;
    }
    r[i] = (TwinReading){.like = like,
                         .hang = c->mix ? 100000 : c->zone,
                         .ohm = (double)NAN,
                         .expect_ohm = isnan(expect) ? 0.0 : expect,
                         .last_ohm = (double)NAN,
                         .celsius = o->air_c};
    standing[i].expect_ohm = r[i].expect_ohm;
  }
  for (int i = 0; i < o->n_seen; ++i) {
    const OutputSeen* const s = &o->seen[i];
    if (s->check == OUT_OHMS && s->at == OUT_AT_AMP && s->circuit < n) {
      TwinReading* const t = &r[s->circuit];
      const double before = t->ohm;
      // Good: neither open nor far from what its list and any weather could make of it
      if (before > 0.8 * t->expect_ohm && before < 1.25 * t->expect_ohm) {
        t->last_ohm = before;
      }
      t->ohm = s->ohm > 0.0 && !isinf(s->ohm) ? s->ohm : (double)NAN;
      standing[s->circuit].has_ohms = true;
      standing[s->circuit].ohm = s->ohm;
    }
  }
  twin_judge(r, n, v);
  for (int i = 0; i < n; ++i) {
    standing[i].twin = v[i];
    standing[i].now_ohm = !isnan(v[i].should_ohm) ? v[i].should_ohm
                          : v[i].has_scale ? standing[i].expect_ohm * (234.5 + v[i].celsius) / 254.5
                                           : standing[i].expect_ohm;
  }
  return STATUS_OK;
}
