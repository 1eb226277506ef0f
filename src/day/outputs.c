// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/outputs.h"

#include "base/text.h"
#include "day/outputs_wrongs.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/*
  Readings, twins, hypotheses, odds, and from them how each circuit stands.
*/

// ---- Where things are ----

bool
outputs_hangs(const OutputCircuit* c)
{
  for (const char* p = c->note; *p; ++p) {
    if (text_begins(p, "hang") || text_begins(p, "flown")) {
      return true;
    }
  }
  return false;
}

// "amps house left" for a zone whose name says "house left"; a mix's amplifiers stand with the
// monitor desk; what says nothing stands at the first amplifier place.
static int
place_of(const Plant* plant, const OutputCircuit* c)
{
  int first = -1;
  if (!c->mix && c->place >= 0) {
    return c->place;
  }
  if (c->mix) {
    return plant_place(plant, "monitors");
  }
  for (int i = 0; i < plant->n_places; ++i) {
    const char* const place = plant->places[i];
    const bool is_amps = text_begins(place, "amps");
    const char* const side =
      is_amps ? place + strcspn(place, " ") + strspn(place + strcspn(place, " "), " ") : place;
    first = is_amps && first < 0 ? i : first;
    for (const char* p = c->zone_name; side[0] && *p; ++p) {
      if (text_begins(p, side)) {
        return i;
      }
    }
  }
  return first;
}

int
outputs_cable(const Plant* plant, int circuit, int circuits[], int max)
{
  const OutputCircuit* const own = &plant->outputs[circuit];
  int n = 0;
  bool apart = true;
  for (int i = 0; i < plant->n_outputs && n < max; ++i) {
    const OutputCircuit* const c = &plant->outputs[i];
    const bool named = own->cable[0] && text_same(own->cable, c->cable);
    // Without a name: the same amplifier and place, other poles
    const bool likely = !own->cable[0] && !c->cable[0] && own->amp[0] &&
                        text_same(own->amp, c->amp) && own->n_poles && c->n_poles &&
                        own->zone == c->zone && own->mix == c->mix;
    if (i == circuit || named || likely) {
      circuits[n++] = i;
    }
  }
  for (int i = 0; i < n; ++i) {
    for (int k = 0; k < i; ++k) {
      apart = apart && plant->outputs[circuits[i]].poles[0] != plant->outputs[circuits[k]].poles[0];
    }
  }
  if (!apart) { // Two on one pair: cables of their own
    circuits[0] = circuit;
    return 1;
  }
  return n;
}

// ---- The belief ----

Wrong
outputs_wrong(const Outputs* o, int circuit, int row)
{
  const BeliefHyp h = belief_hyp(o->belief, circuit, row);
  if (h.group < 0) {
    return o->locals[circuit][h.local];
  }
  return o->shared[h.state - 1].wrongs[h.group];
}

static Status
weigh(Arena* arena, Outputs* o)
{
  for (int i = 0; i < o->n_seen; ++i) {
    const OutputSeen* const seen = &o->seen[i];
    const int rows = belief_n_hyps(o->belief, seen->circuit);
    double* const like = arena_array(arena, (size_t)rows, sizeof(double));
    if (!like) {
      return STATUS_NO_MEMORY;
    }
    for (int r = 0; r < rows; ++r) {
      const Wrong w = outputs_wrong(o, seen->circuit, r);
      like[r] = outputs_like(o, seen->circuit, &w, seen);
    }
    (void)belief_update(o->belief, seen->circuit, like); // Nothing has no chance: it cannot fail
  }
  return STATUS_OK;
}

// ---- Readings of the day ----

static Status
take_facts(Arena* arena, const Plant* plant, const Fold* fold, Outputs* o)
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

static bool
is_alike(const OutputCircuit* a, const OutputCircuit* b)
{
  return text_same(a->band, b->band) && a->nominal_ohm == b->nominal_ohm &&
         a->n_boxes == b->n_boxes && a->load_ohm == b->load_ohm && a->n_drivers == b->n_drivers &&
         a->line_v == b->line_v && !a->mix == !b->mix;
}

static Status
judge_twins(Arena* arena, Outputs* o, OutputStanding* standing)
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
      like = is_alike(c, &o->plant->outputs[k]) ? k : like;
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

// ---- How it stands ----

// Whether a reading is what a healthy circuit shows.
static bool
is_good(const Outputs* o, const OutputSeen* s)
{
  const OutputStanding* const st = &o->standing[s->circuit];
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

static Status
stand(Arena* arena, Outputs* o, const Fold* fold, OutputStanding* standing)
{
  static const char* const says[OUT_CHECKS] = {
    "preset", "lights", "tone at its input", "hum", "its own name", "ohms", "what plays", "pulse",
    "sum",    ""};
  Status st = STATUS_OK;
  for (int i = 0; i < o->n; ++i) {
    const OutputCircuit* const c = &o->plant->outputs[i];
    OutputStanding* const s = &standing[i];
    const char* bad = NULL;
    unsigned seen = 0;
    s->is_unplugged = outputs_unplugged(o->plant, fold, i);
    for (int k = 0; k < o->n_seen; ++k) {
      const OutputSeen* const r = &o->seen[k];
      const bool own = r->circuit == i;
      // Told of the amplifier or the zone it counts for all of them
      const OutputCircuit* const other = &o->plant->outputs[r->circuit];
      const bool amp =
        ((r->check == OUT_PRESET && (r->is_group || text_same(c->preset, other->preset))) ||
         r->check == OUT_LIGHT) &&
        c->amp[0] && text_same(other->amp, c->amp);
      const bool zone = (r->check == OUT_TONE || r->check == OUT_HUM) && c->zone && !c->mix &&
                        !other->mix && other->zone == c->zone;
      s->is_noted = s->is_noted || (own && r->check == OUT_REPAIR && r->fix == FIX_NOTE);
      if ((own || amp || zone) && r->check < OUT_REPAIR) {
        const bool good = is_good(o, r);
        seen = good ? seen | 1u << r->check : seen & ~(1u << r->check);
        if (!good && own) {
          bad = outputs_check_word(r->check);
        } else if (good && own && bad && bad == outputs_check_word(r->check)) {
          bad = NULL;
        }
      }
    }
    s->seen = seen;
    const OutputSuspect* list = NULL;
    int n = 0;
    double worst = 0.0;
    double none = 0.0;
    Wrong likely = {.sort = WRONG_NONE, .other = -1};
    TRY(st, outputs_suspects(o, arena, i, &list, &n));
    for (int k = 0; k < n; ++k) {
      if (list[k].wrong.sort == WRONG_NONE) {
        none = list[k].prob;
      } else {
        likely = list[k].prob > worst ? list[k].wrong : likely;
        worst = fmax(worst, list[k].prob);
      }
    }
    const unsigned missing = needed(c) & ~seen;
    s->state = bad                             ? OUTPUT_BAD
               : worst > 0.2 || s->twin.is_off ? OUTPUT_SUSPECT
               : !missing && none > 0.98       ? OUTPUT_PROVEN
                                               : OUTPUT_UNPROVEN;
    TextOut out = {.arena = arena};
    if (bad) {
      text_add(&out, "%s not as it should be", bad);
    } else if (s->twin.is_off) {
      text_add(&out,
               s->twin.off_by_own ? "ohms not as at its last reading" : "ohms not as its like");
    } else if (worst > 0.2) {
      const char* const fault = outputs_fault_text(o, arena, i, &likely);
      const char* const part = outputs_part_text(o, arena, i, &likely);
      if (!fault || !part) {
        return STATUS_NO_MEMORY;
      }
      text_add(&out, "perhaps %s, %s", fault, part);
    } else if (!seen) {
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
    if (!s->say) {
      return STATUS_NO_MEMORY;
    }
  }
  return STATUS_OK;
}

// ---- Odds ----

static bool
same_wrong(const Wrong* a, const Wrong* b)
{
  return a->sort == b->sort && a->other == b->other && a->fail.mode == b->fail.mode &&
         a->fail.part == b->fail.part && a->fail.at == b->fail.at;
}

static int
by_prob(const void* a, const void* b)
{
  const OutputSuspect* const one = a;
  const OutputSuspect* const two = b;
  return one->prob > two->prob ? -1 : one->prob < two->prob;
}

Status
outputs_suspects(const Outputs* o, Arena* arena, int circuit, const OutputSuspect** list, int* n)
{
  const int rows = belief_n_hyps(o->belief, circuit);
  double* const prob = arena_array(arena, (size_t)rows, sizeof(double));
  OutputSuspect* const out = arena_array(arena, (size_t)rows, sizeof(OutputSuspect));
  const bool is_bad = o->standing[circuit].state == OUTPUT_BAD;
  double sum = 0.0;
  int m = 0;
  if (!prob || !out) {
    return STATUS_NO_MEMORY;
  }
  belief_hyps(o->belief, circuit, prob);
  for (int r = 0; r < rows; ++r) {
    const Wrong w = outputs_wrong(o, circuit, r);
    int k = 0;
    if (is_bad && w.sort == WRONG_NONE) {
      continue;
    }
    sum += prob[r];
    while (k < m && !same_wrong(&out[k].wrong, &w)) {
      ++k;
    }
    out[k].wrong = w;
    out[k].prob += prob[r];
    m += k == m;
  }
  for (int k = 0; k < m && sum > 0.0; ++k) {
    out[k].prob /= sum;
  }
  qsort(out, (size_t)m, sizeof(*out), by_prob);
  *list = out;
  *n = m;
  return STATUS_OK;
}

Status
outputs_new(Arena* arena, const Plant* plant, const Fold* fold, Outputs** outputs)
{
  Status st = STATUS_OK;
  Outputs* const o = arena_array(arena, 1, sizeof(Outputs));
  Parts* const parts = arena_array(arena, (size_t)plant->n_outputs, sizeof(Parts));
  int* const place = arena_array(arena, (size_t)plant->n_outputs, sizeof(int));
  OutputStanding* const standing =
    arena_array(arena, (size_t)plant->n_outputs, sizeof(OutputStanding));
  if (!o || !parts || !place || !standing) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < plant->n_outputs; ++i) {
    parts[i] = parts_of(&plant->outputs[i]);
    place[i] = place_of(plant, &plant->outputs[i]);
  }
  *o = (Outputs){.plant = plant,
                 .n = plant->n_outputs,
                 .parts = parts,
                 .place = place,
                 .standing = standing,
                 .left_aside = ""};
  TRY(st, take_facts(arena, plant, fold, o));
  TRY(st, judge_twins(arena, o, standing));
  if (o->n > 0) {
    TRY(st, outputs_wrongs(arena, o));
    TRY(st, weigh(arena, o));
    TRY(st, stand(arena, o, fold, standing));
  }
  *outputs = o;
  return STATUS_OK;
}

// ---- Faults in words ----

const char*
outputs_fault_text(const Outputs* o, Arena* arena, int circuit, const Wrong* w)
{
  static const char* const sorts[] = {[WRONG_NONE] = "none",
                                      [WRONG_NOT_MADE] = "pair not made",
                                      [WRONG_PRESET] = "wrong preset",
                                      [WRONG_OFF] = "off",
                                      [WRONG_CHANNEL] = "muted",
                                      [WRONG_DRIVE_LEG] = "drive leg open",
                                      [WRONG_DRIVE_DEAD] = "drive dead",
                                      [WRONG_DRIVE_REVERSED] = "drive reversed",
                                      [WRONG_ELSE] = "something else"};
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const char* const other = w->other >= 0 ? o->plant->outputs[w->other].name : "";
  switch (w->sort) {
    case WRONG_PART:
      break;
    case WRONG_DRIVE_OTHER:
      return arena_format(arena, "fed from %s", other);
    case WRONG_PLUGS:
      return arena_format(arena, "plugs swapped with %s", other);
    default:
      return sorts[w->sort];
  }
  switch (w->fail.mode) {
    case FAIL_OPEN:
      return w->fail.part == FAIL_AT_DRIVER ? "driver open"
             : w->fail.part == FAIL_AT_BOX  ? "box missing"
             : w->fail.part == FAIL_AT_LINK ? "link out"
             : c->n_poles ? arena_format(arena, "open %s", output_pole_text(c->poles[0]))
                          : "open";
    case FAIL_HIGH:
      return "high";
    case FAIL_SHORT:
      return w->fail.part == FAIL_AT_DRIVER ? "driver short" : "short";
    case FAIL_REVERSED:
      return "reversed";
    case FAIL_CROSSED:
      return "pairs crossed";
    default:
      return "none";
  }
}

const char*
outputs_part_text(const Outputs* o, Arena* arena, int circuit, const Wrong* w)
{
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  switch (w->sort) {
    case WRONG_PART:
      return w->fail.part == FAIL_AT_CABLE  ? "cable"
             : w->fail.part == FAIL_AT_LINK ? arena_format(arena, "link %d", w->fail.at)
                                            : arena_format(arena, "box %d", w->fail.at);
    case WRONG_NOT_MADE:
      return "cable";
    case WRONG_PRESET:
    case WRONG_OFF:
      return c->amp[0] ? arena_format(arena, "amplifier %s", c->amp) : "transmitter";
    case WRONG_CHANNEL:
      return c->amp[0] ? arena_format(arena, "amplifier %s channel %d", c->amp, c->amp_channel)
                       : "transmitter";
    case WRONG_DRIVE_LEG:
    case WRONG_DRIVE_DEAD:
    case WRONG_DRIVE_REVERSED:
    case WRONG_DRIVE_OTHER:
      return c->mix ? arena_format(arena, "return %s", c->return_pair)
                    : arena_format(arena, "drive line of zone %d", c->zone);
    case WRONG_PLUGS:
      return "amplifier plugs";
    default:
      return w->sort == WRONG_NONE ? "none" : "somewhere else";
  }
}
