// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/outputs_inside.h"

#include "base/text.h"

#include <math.h>

/*
  How each circuit stands: what was read and good, what a reading says against it now, what the odds
  say, and what nobody has looked at yet.
*/

#define SUSPECT_PROB 0.2 // Some fault above 1 in 5
#define PROVEN_PROB 0.98 // Less than 1 in 50 left for all of them

bool
outputs_is_good(const Outputs* o, const OutputSeen* s)
{
  const OutputStanding* const st = &o->standing[s->circuit];
  if (s->check == OUT_IMPEDANCE) {
    return outputs_impedance_is_good(o, s);
  }
  if (s->check != OUT_OHMS) {
    return s->key == 0;
  }
  const Wrong none = {.sort = WRONG_NONE, .other = -1};
  const double ohm = outputs_ohm(o, s->circuit, &none, s->at);
  if (isinf(s->ohm) || isinf(ohm) || isnan(ohm)) {
    return isnan(ohm) ? !isinf(s->ohm) : isinf(s->ohm) == isinf(ohm);
  }
  if (s->at == OUT_AT_AMP) {
    // Twice or half of it no weather makes, twins or not
    return !st->twin.is_off && s->ohm > 0.6 * ohm && s->ohm < 1.6 * ohm;
  }
  return s->ohm > 0.8 * ohm && s->ohm < 1.3 * ohm;
}

static unsigned
needed(const OutputCircuit* c)
{
  if (c->transmitter[0]) {
    return 1u << OUT_NAME;
  }
  return 1u << OUT_OHMS | 1u << OUT_PLAYS | 1u << OUT_PULSE |
         (c->preset[0] ? 1u << OUT_PRESET : 0u) | (c->mix ? 0u : 1u << OUT_TONE);
}

// ---- Whom a reading is about ----

// What is read of an amplifier's front or a zone's drive line is so for all that hang on it.
static bool
is_about(const Outputs* o, int circuit, const OutputSeen* r)
{
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const OutputCircuit* const other = &o->plant->outputs[r->circuit];
  const bool amp = c->amp[0] && text_same(other->amp, c->amp);
  switch (r->check) {
    case OUT_PRESET:
      return r->circuit == circuit || (amp && (r->is_group || text_same(c->preset, other->preset)));
    case OUT_LIGHT:
      return r->circuit == circuit || amp;
    case OUT_TONE:
    case OUT_HUM:
      return r->circuit == circuit || (c->zone && !c->mix && !other->mix && other->zone == c->zone);
    default:
      return r->circuit == circuit;
  }
}

bool
outputs_tells_of(const Outputs* o, int circuit, const OutputSeen* r)
{
  if (r->check >= OUT_REPAIR || !is_about(o, circuit, r)) {
    return false;
  }
  // Told of one circuit, an amplifier's lights or preset speak against that one
  return r->circuit == circuit || r->is_group || r->check == OUT_TONE || r->check == OUT_HUM;
}

// ---- How it stands ----

// What was read and good, and what a reading says against it now: bits 1 << OutputCheck. The later
// reading of a kind counts. @return The check that was read bad last, or -1.
static int
look_back(const Outputs* o, int circuit, unsigned* seen)
{
  unsigned bad = 0;
  int last = -1;
  *seen = 0;
  for (int k = 0; k < o->n_seen; ++k) {
    const OutputSeen* const r = &o->seen[k];
    if (r->check >= OUT_REPAIR || !is_about(o, circuit, r)) {
      continue;
    }
    const unsigned bit = 1u << r->check;
    const bool good = outputs_is_good(o, r);
    *seen = good ? *seen | bit : *seen & ~bit;
    if (!good && outputs_tells_of(o, circuit, r)) {
      bad |= bit;
      last = (int)r->check;
    } else if (good) {
      bad &= ~bit;
    }
  }
  for (int k = 0; k < OUT_REPAIR && !(last >= 0 && bad >> last & 1u); ++k) {
    last = bad >> k & 1u ? k : last;
  }
  return bad ? last : -1;
}

// The likeliest fault, a drive line counted as one whatever end of it it is.
static Status
likeliest(const Outputs* o, Arena* arena, int circuit, Wrong* likely, double* worst, double* none)
{
  const OutputSuspect* list = NULL;
  int n = 0;
  double drive = 0.0;
  Status st;
  *likely = (Wrong){.sort = WRONG_NONE, .other = -1};
  *worst = 0.0;
  *none = 0.0;
  TRY(st, outputs_suspects(o, arena, circuit, &list, &n));
  for (int k = n - 1; k >= 0; --k) {
    const Wrong* const w = &list[k].wrong;
    drive += w->sort == WRONG_DRIVE ? list[k].prob : 0.0;
    const double prob = w->sort == WRONG_DRIVE ? drive : list[k].prob;
    if (w->sort == WRONG_NONE) {
      *none = prob;
    } else if (prob >= *worst) {
      *likely = *w;
      *worst = prob;
    }
  }
  return STATUS_OK;
}

static Status
say_of(const Outputs* o, Arena* arena, int circuit, int bad, const Wrong* likely, double worst,
       unsigned missing, OutputStanding* s)
{
  static const char* const says[OUT_CHECKS] = {
    "preset", "lights", "tone at its input", "hum", "its own name", "ohms", "what plays",
    "pulse",  "sum",    "impedance",         ""};
  TextOut out = {.arena = arena};
  if (bad >= 0) {
    text_add(&out, "%s not as it should be", outputs_check_word((OutputCheck)bad));
  } else if (s->twin.is_off) {
    text_add(&out, s->twin.off_by_own ? "ohms not as at its last reading" : "ohms not as its like");
  } else if (worst > SUSPECT_PROB) {
    const char* const fault = outputs_fault_text(o, arena, circuit, likely);
    const char* const part = outputs_part_text(o, arena, circuit, likely);
    if (!fault || !part) {
      return STATUS_NO_MEMORY;
    }
    text_add(&out, "perhaps %s, %s", fault, part);
  } else if (!s->seen) {
    text_add(&out, "nothing read yet");
  } else {
    for (int k = 0, first = 1; k < OUT_CHECKS; ++k) {
      if (missing >> k & 1u) {
        text_add(&out, "%s%s", first ? "not seen: " : ", ", says[k]);
        first = 0;
      }
    }
  }
  if (s->is_noted) {
    text_add(&out, "; noted, lived with");
  }
  s->say = text_done(&out);
  return s->say ? STATUS_OK : STATUS_NO_MEMORY;
}

Status
outputs_stand(Arena* arena, Outputs* o, const Fold* fold, OutputStanding* standing)
{
  Status st = STATUS_OK;
  for (int i = 0; i < o->n; ++i) {
    OutputStanding* const s = &standing[i];
    Wrong likely;
    double worst = 0.0;
    double none = 0.0;
    s->is_unplugged = outputs_unplugged(o->plant, fold, i);
    for (int k = 0; k < o->n_seen; ++k) {
      const OutputSeen* const r = &o->seen[k];
      s->is_noted =
        s->is_noted || (r->circuit == i && r->check == OUT_REPAIR && r->fix == FIX_NOTE);
    }
    const int bad = look_back(o, i, &s->seen);
    TRY(st, likeliest(o, arena, i, &likely, &worst, &none));
    // Of a line with transformers an impedance says what its direct ohms cannot
    const bool instead = o->parts[i].is_line && s->seen >> OUT_IMPEDANCE & 1u;
    const unsigned missing =
      needed(&o->plant->outputs[i]) & ~(s->seen | (instead ? 1u << OUT_OHMS : 0u));
    s->state = bad >= 0                                 ? OUTPUT_BAD
               : worst > SUSPECT_PROB || s->twin.is_off ? OUTPUT_SUSPECT
               : !missing && none > PROVEN_PROB         ? OUTPUT_PROVEN
                                                        : OUTPUT_UNPROVEN;
    TRY(st, say_of(o, arena, i, bad, &likely, worst, missing, s));
  }
  return STATUS_OK;
}
