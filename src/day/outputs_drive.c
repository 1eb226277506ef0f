// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/outputs_inside.h"

#include "base/text.h"

#include <string.h>

/*
  Drive lines and returns: what feeds each zone's amplifiers and each mix, what may be wrong with
  it, and how it stands.

      desk, processor ----- drive line of a zone ------+---- amplifier
                                                       +---- amplifier
      desk ---------------- return of a mix -----------+---- amplifier or transmitter

  Each fault is solved as a circuit by fault/drive.h, once for all lines of the same figures; its
  words (as the sheet says, low, nothing; no hum, some, loud) carry their chances from there. A
  return is a drive line too, as long as the multicore, its ends as usual. Swapped plugs are no
  fault of one line: day/outputs_wrongs.c lists them for two at once.

  A drive line is proven by readings that see its own faults: a level (tone at the input, or its
  circuits playing right) and a polarity (pulse on any of its circuits), with less than 1 in 50 left
  for anything wrong with it. A transmitter has no pulse; its name alone must arrive.
*/

#define RETURN_M 50.0          // Where no list says how long the multicore is: usual practice
#define OUTPUT_OHM 50.0        // As stage/rows_drive.c has it: usual practice
#define INPUT_OHM 20000.0      // As stage/rows_drive.c has it: usual practice
#define PROVEN_PROB 0.02       // Less than 1 in 50
#define DRIVE_SUSPECT_PROB 0.2 // Above 1 in 5

// ---- What there is ----

static bool
is_alike(const DriveLine* a, const DriveLine* b)
{
  return a->cable_m == b->cable_m && a->output_ohm == b->output_ohm && a->amp_ohm == b->amp_ohm &&
         a->is_lifted == b->is_lifted;
}

static void
words_of(const Plant* plant, const DriveCircuit* circuit, OutputDriveFault* f)
{
  DriveView view;
  double level[DRIVE_WORDS];
  double hum[DRIVE_WORDS];
  drive_view(circuit, plant_own_meter(plant), 0, &f->fault, &view);
  drive_words(plant, circuit, CHECK_LEVEL, &view, level);
  drive_words(plant, circuit, CHECK_HUM, &view, hum);
  f->tone[OUT_TONE_NORMAL] = level[LEVEL_NORMAL] + level[LEVEL_OVER];
  f->tone[OUT_TONE_LOW] = level[LEVEL_LOW];
  f->tone[OUT_TONE_NOTHING] = level[LEVEL_FAR_DOWN] + level[LEVEL_NOTHING];
  memcpy(f->hum, hum, sizeof(f->hum));
  f->level_db = view.level_db;
  f->sign = f->tone[OUT_TONE_NOTHING] > 0.5 ? 0 : view.sign;
}

// What may be wrong with drive line `at`, as fault/drive.h has it of one that stands alone: its
// shares add up to 1 with that of swapped plugs.
static Status
faults_of(Arena* arena, const Plant* plant, OutputDrive* drives, int at)
{
  OutputDrive* const d = &drives[at];
  Plant* const alone = arena_array(arena, 1, sizeof(Plant));
  const DriveFault* listed = NULL;
  int n_listed = 0;
  Status st;
  if (!alone) {
    return STATUS_NO_MEMORY;
  }
  *alone = *plant;
  alone->drives = &d->line;
  alone->n_drives = 1;
  TRY(st, drive_faults(arena, alone, 0, &listed, &n_listed));
  OutputDriveFault* const faults = arena_array(arena, (size_t)n_listed, sizeof(*faults));
  const DriveCircuit* circuit = NULL;
  const double swapped = plant_odds(plant, "drive line", "swapped") * CATALOGUE_BAD_PROB;
  double sum = swapped;
  int same = 0;
  if (!faults) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < n_listed; ++i) {
    if (listed[i].mode != FAULT_SOMETHING_ELSE) { // Each circuit has that of its own
      faults[d->n_faults++].fault = listed[i];
      sum += i ? listed[i].prob : 0.0;
    }
  }
  while (same < at &&
         !(drives[same].n_faults == d->n_faults && is_alike(&drives[same].line, &d->line))) {
    ++same;
  }
  if (same == at) {
    TRY(st, drive_build(arena, plant_own_meter(plant), &d->line, &circuit));
  }
  for (int i = 0; i < d->n_faults; ++i) {
    OutputDriveFault* const f = &faults[i];
    if (circuit) {
      words_of(plant, circuit, f);
    } else {
      *f = drives[same].faults[i];
    }
    f->share = i && sum > 0.0 ? listed[i].prob / sum : 0.0;
  }
  d->swapped_share = sum > 0.0 ? swapped / sum : 0.0;
  d->faults = faults;
  return STATUS_OK;
}

// The listed line of a zone, or a usual one.
static void
line_of(const Plant* plant, const OutputCircuit* c, OutputDrive* d)
{
  d->line = (DriveLine){.zone = c->zone,
                        .zone_name = c->zone_name,
                        .desk_output = c->mix ? c->desk_output : "",
                        .cable_m = plant->multicore_m > 0.0 ? plant->multicore_m : RETURN_M,
                        .output_ohm = OUTPUT_OHM,
                        .amp_ohm = INPUT_OHM,
                        .is_assumed = true};
  for (int i = 0; !c->mix && i < plant->n_drives; ++i) {
    if (plant->drives[i].zone == c->zone) {
      d->line = plant->drives[i];
      d->is_listed = true;
      return;
    }
  }
}

Status
outputs_drives(Arena* arena, Outputs* o)
{
  const Plant* const plant = o->plant;
  OutputDrive* const drives = arena_array(arena, (size_t)o->n, sizeof(OutputDrive));
  int* const of = arena_array(arena, (size_t)o->n, sizeof(int));
  int* const all = arena_array(arena, (size_t)o->n, sizeof(int));
  int n = 0;
  int n_all = 0;
  Status st = STATUS_OK;
  if (!drives || !of || !all) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < o->n; ++i) {
    of[i] = -1;
  }
  for (int i = 0; i < o->n; ++i) {
    const OutputCircuit* const c = &plant->outputs[i];
    if (of[i] >= 0 || (!c->mix && !c->zone)) {
      continue; // Nobody said what feeds it
    }
    OutputDrive* const d = &drives[n];
    *d = (OutputDrive){.zone = c->mix ? 0 : c->zone, .mix = c->mix, .circuits = &all[n_all]};
    for (int k = i; k < o->n; ++k) {
      const OutputCircuit* const other = &plant->outputs[k];
      if (c->mix ? k == i : !other->mix && other->zone == c->zone) {
        of[k] = n;
        all[n_all++] = k;
        ++d->n;
      }
    }
    line_of(plant, c, d);
    TRY(st, faults_of(arena, plant, drives, n));
    ++n;
  }
  o->drives = drives;
  o->n_drives = n;
  o->drive_of = of;
  return STATUS_OK;
}

const char*
outputs_drive_text(const OutputDrive* d, const Outputs* o, Arena* arena)
{
  if (d->mix) {
    const char* const pair = o->plant->outputs[d->circuits[0]].return_pair;
    return pair[0] ? arena_format(arena, "return %s", pair)
                   : arena_format(arena, "return of mix %d", d->mix);
  }
  return arena_format(arena, "drive %d", d->is_listed ? d->line.number : d->zone);
}

// ---- How it stands ----

Status
outputs_drive_suspects(const Outputs* o, Arena* arena, int drive, const OutputSuspect** list,
                       int* n)
{
  const int circuit = o->drives[drive].circuits[0]; // All it feeds share its faults
  const int rows = belief_n_hyps(o->belief, circuit);
  double* const prob = arena_array(arena, (size_t)rows, sizeof(double));
  OutputSuspect* const out = arena_array(arena, (size_t)rows, sizeof(OutputSuspect));
  int m = 0;
  if (!prob || !out) {
    return STATUS_NO_MEMORY;
  }
  belief_hyps(o->belief, circuit, prob);
  for (int r = 0; r < rows; ++r) {
    const Wrong w = outputs_wrong(o, circuit, r);
    if (w.sort != WRONG_DRIVE && w.sort != WRONG_DRIVE_OTHER) {
      continue;
    }
    int at = m++;
    while (at > 0 && out[at - 1].prob < prob[r]) {
      out[at] = out[at - 1];
      --at;
    }
    out[at] = (OutputSuspect){w, prob[r]};
  }
  *list = out;
  *n = m;
  return STATUS_OK;
}

// Presets of the amplifiers it feeds, one each: the last that was read of it.
static void
count_presets(const Outputs* o, const OutputDrive* d, OutputDriveStanding* s)
{
  for (int i = 0; i < d->n; ++i) {
    const OutputCircuit* const c = &o->plant->outputs[d->circuits[i]];
    bool is_first = c->preset[0] != '\0';
    int key = -1;
    for (int k = 0; k < i; ++k) {
      const OutputCircuit* const before = &o->plant->outputs[d->circuits[k]];
      is_first = is_first && !(c->amp[0] && text_same(before->amp, c->amp) &&
                               text_same(before->preset, c->preset));
    }
    for (int k = 0; k < o->n_seen; ++k) {
      const OutputSeen* const r = &o->seen[k];
      const OutputCircuit* const of = &o->plant->outputs[r->circuit];
      const bool same =
        r->circuit == d->circuits[i] || (c->amp[0] && text_same(of->amp, c->amp) &&
                                         (r->is_group || text_same(of->preset, c->preset)));
      key = r->check == OUT_PRESET && same ? r->key : key;
    }
    s->n_right += is_first && key == PRESET_RIGHT;
    s->n_wrong += is_first && key == PRESET_WRONG;
    s->n_not_read += is_first && key < 0;
  }
}

// Of two readings of one kind the later counts. @return What speaks against the line now, or -1.
static int
look_at_readings(const Outputs* o, const OutputDrive* d, OutputDriveStanding* s)
{
  unsigned bad = 0;
  for (int k = 0; k < o->n_seen; ++k) {
    const OutputSeen* const r = &o->seen[k];
    bool own = false;
    for (int i = 0; i < d->n; ++i) {
      own = own || d->circuits[i] == r->circuit;
    }
    if (!own || r->check >= OUT_REPAIR) {
      continue;
    }
    const unsigned bit = 1u << r->check;
    const bool good = outputs_is_good(o, r);
    // What one circuit plays or shows of a pulse is enough to see the line; only what is read at
    // the amplifier's input speaks against it and nothing else
    if (good) {
      s->seen |= bit;
      bad &= ~bit;
    } else if (r->check == OUT_TONE || r->check == OUT_HUM) {
      s->seen &= ~bit;
      bad |= bit;
    }
  }
  return bad >> OUT_TONE & 1u ? OUT_TONE : bad >> OUT_HUM & 1u ? OUT_HUM : -1;
}

static const char*
missing_of(const OutputDrive* d, const Outputs* o, unsigned seen)
{
  if (o->plant->outputs[d->circuits[0]].transmitter[0]) {
    return seen >> OUT_NAME & 1u ? "" : "its own name";
  }
  const bool level = (seen >> OUT_TONE | seen >> OUT_PLAYS) & 1u;
  const bool sign = seen >> OUT_PULSE & 1u;
  const char* const at = d->mix ? "what plays, or a tone" : "tone at the amplifier";
  return level && sign ? ""
         : level       ? "polarity"
         : sign        ? at
         : d->mix      ? "what plays, polarity"
                       : "tone at the amplifier, polarity";
}

static Status
stand_one(Arena* arena, const Outputs* o, int drive, OutputDriveStanding* s)
{
  const OutputDrive* const d = &o->drives[drive];
  const OutputSuspect* list = NULL;
  int n = 0;
  Status st;
  TextOut out = {.arena = arena};
  TRY(st, outputs_drive_suspects(o, arena, drive, &list, &n));
  for (int i = 0; i < n; ++i) {
    s->bad_prob += list[i].prob;
  }
  count_presets(o, d, s);
  const int bad = look_at_readings(o, d, s);
  const char* const missing = missing_of(d, o, s->seen);
  s->state = bad >= 0                                   ? OUTPUT_BAD
             : s->bad_prob > DRIVE_SUSPECT_PROB         ? OUTPUT_SUSPECT
             : !missing[0] && s->bad_prob < PROVEN_PROB ? OUTPUT_PROVEN
                                                        : OUTPUT_UNPROVEN;
  if (s->state >= OUTPUT_SUSPECT && n > 0) {
    const int circuit = d->circuits[0];
    const char* const fault = outputs_fault_text(o, arena, circuit, &list[0].wrong);
    const char* const part = outputs_part_text(o, arena, circuit, &list[0].wrong);
    if (!fault || !part) {
      return STATUS_NO_MEMORY;
    }
    text_add(&out, "%s%sperhaps %s, %s",
             bad == OUT_TONE  ? "tone not as it should be"
             : bad == OUT_HUM ? "it hums"
                              : "",
             bad >= 0 ? "; " : "", fault, part);
  } else if (missing[0]) {
    text_add(&out, "not seen: %s", missing);
  } else if (s->state != OUTPUT_PROVEN) {
    text_add(&out, "about %.0f in 100 that something is wrong with it", 100.0 * s->bad_prob);
  }
  if (s->n_wrong) {
    text_add(&out, "%s%d preset%s wrong", out.n_bytes ? "; " : "", s->n_wrong,
             s->n_wrong > 1 ? "s" : "");
  }
  s->say = text_done(&out);
  return s->say ? STATUS_OK : STATUS_NO_MEMORY;
}

Status
outputs_stand_drives(Arena* arena, const Outputs* o, OutputDriveStanding* standing)
{
  Status st = STATUS_OK;
  for (int i = 0; i < o->n_drives; ++i) {
    TRY(st, stand_one(arena, o, i, &standing[i]));
  }
  return STATUS_OK;
}
