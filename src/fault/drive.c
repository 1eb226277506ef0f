// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/drive.h"

#include "fault/tester.h"

#include <math.h>
#include <string.h>

#define EARTH_OHM 0.1          // Mains earth of a rack: usual practice
#define AMP_EARTH_OHM 0.01     // The amplifier's own is what everything is counted from
#define INPUT_APART_RATIO 1.01 // Of the input's two halves (assumed)
#define EARTHS_APART_V 0.01    // Open circuit, mains frequency (assumed, no source)
#define ROOM_V 230.0
// predict.c judges hum at the gain of a line check. An amplifier's input gets line level: 40 dB
// less of a rise makes it audible (usual practice, no source).
#define HUM_LESS_DB 40.0

enum { LANE_LOW, LANE_MIDDLE, LANE_HIGH, LANE_HUM, MAX_FAULTS = 32 };

// ---- What could be wrong ----

static const struct {
  FaultMode mode;
  int a, b;
  const char* row; ///< Of the odds list, where "drive line"
  double weight;   ///< Of the row's share, both ends together
} contacts[] = {
  {FAULT_OPEN, 1, 0, "open", 1.0 / 3.0},   {FAULT_OPEN, 2, 0, "open", 1.0 / 3.0},
  {FAULT_OPEN, 3, 0, "open", 1.0 / 3.0},   {FAULT_HIGH, 2, 0, "high", 0.5},
  {FAULT_HIGH, 3, 0, "high", 0.5},         {FAULT_SHORT, 1, 2, "short", 1.0 / 3.0},
  {FAULT_SHORT, 1, 3, "short", 1.0 / 3.0}, {FAULT_SHORT, 2, 3, "short", 1.0 / 3.0},
  {FAULT_CROSSED, 2, 3, "crossed", 1.0},
};

typedef struct {
  DriveFault* faults;
  int n;
  double sum;
} List;

static void
add(List* list, DrivePart part, FaultMode mode, int a, int b, int other, double share)
{
  const double prob = share * CATALOGUE_BAD_PROB;
  if (prob > 0.0) {
    list->faults[list->n++] = (DriveFault){part, mode, a, b, other, prob};
    list->sum += prob;
  }
}

Status
drive_faults(Arena* arena, const Plant* plant, int drive, const DriveFault** faults, int* n)
{
  List list = {arena_array(arena, MAX_FAULTS, sizeof(DriveFault)), 0, 0.0};
  if (!list.faults) {
    return STATUS_NO_MEMORY;
  }
  const double output = plant_odds(plant, "processor output", "muted or dead");
  const double swapped = plant_odds(plant, "drive line", "swapped");
  list.n = 1; // FAULT_NONE takes what the others leave
  add(&list, DRIVE_OUTPUT, FAULT_MUTED, 0, 0, -1, 0.5 * output);
  add(&list, DRIVE_OUTPUT, FAULT_DEAD, 0, 0, -1, 0.5 * output);
  for (int part = DRIVE_AT_OUTPUT; part <= DRIVE_AT_AMPLIFIER; ++part) {
    for (size_t i = 0; i < sizeof(contacts) / sizeof(contacts[0]); ++i) {
      add(&list, (DrivePart)part, contacts[i].mode, contacts[i].a, contacts[i].b, -1,
          0.5 * contacts[i].weight * plant_odds(plant, "drive line", contacts[i].row));
    }
    for (int other = drive - 1; other <= drive + 1; other += 2) {
      if (other >= 0 && other < plant->n_drives) {
        add(&list, (DrivePart)part, FAULT_WRONG_SOCKET, 0, 0, other, 0.25 * swapped);
      }
    }
  }
  add(&list, DRIVE_NOWHERE, FAULT_SOMETHING_ELSE, 0, 0, -1,
      plant_odds(plant, "something else", "not on this list") + 1e-3);
  list.faults[0] = (DriveFault){DRIVE_NOWHERE, FAULT_NONE, 0, 0, -1, 1.0 - list.sum};
  *faults = list.faults;
  *n = list.n;
  return STATUS_OK;
}

// ---- The circuit ----

static ChainBranch
resistor(int a, int b, double ohm, double emf_v)
{
  return (ChainBranch){.a = a, .b = b, .ohm = ohm, .series_f = INFINITY, .emf_v = emf_v};
}

static void
look(const DriveCircuit* c, const Meter* meter, const ChainEdit edits[], int n,
     ChainHeard heard[PORT_LANES], double* r23_ohm)
{
  Port port;
  chain_transfer(c->chain, DRIVE_ELEMENT_AMP, edits, n, heard);
  chain_look(c->chain, DRIVE_JOINT_AMP, CHAIN_TO_SOURCE, edits, n, &port);
  *r23_ohm = tester_ohm(meter, &port);
}

Status
drive_build(Arena* arena, const Meter* meter, const DriveLine* drive, const DriveCircuit** circuit)
{
  // Tones are listened to in a quiet room; in the last lane only an output's earth has an emf
  static const PortTones tones = {.hz = {100.0, 1000.0, 10000.0, 50.0},
                                  .emf_v = {1.0, 1.0, 1.0, 1.0},
                                  .room_v = {0.0, 0.0, 0.0, ROOM_V}};
  Status st = STATUS_OK;
  DriveCircuit* const c = arena_array(arena, 1, sizeof(DriveCircuit));
  if (!c) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < 3; ++i) {
    const double ohm = i < 2 ? drive->output_ohm : EARTH_OHM;
    const int from = i < 2 ? i + 1 : 0;
    const int to = i < 2 ? 0 : CHAIN_EARTH;
    c->playing[i] = resistor(from, to, ohm, i == 0 ? 0.5 : i == 1 ? -0.5 : 0.0);
    c->humming[i] = resistor(from, to, ohm, i < 2 ? 0.0 : EARTHS_APART_V);
  }
  c->amp[0] = resistor(1, CHAIN_EARTH, 0.5 * drive->amp_ohm, 0.0);
  c->amp[1] = resistor(2, CHAIN_EARTH, 0.5 * drive->amp_ohm * INPUT_APART_RATIO, 0.0);
  c->amp[2] = resistor(0, CHAIN_EARTH, AMP_EARTH_OHM, 0.0);
  c->humming_part = (ChainParts){c->humming, 3};
  ChainElement elements[3] = {
    [DRIVE_ELEMENT_OUTPUT] = {.kind = CHAIN_PARTS, .near = -1, .far = 0},
    [DRIVE_ELEMENT_CABLE] = template_cable(0, DRIVE_JOINT_AMP, drive->cable_m),
    [DRIVE_ELEMENT_AMP] = {.kind = CHAIN_PARTS, .near = DRIVE_JOINT_AMP, .far = -1}};
  elements[DRIVE_ELEMENT_OUTPUT].as.parts = (ChainParts){c->playing, 3};
  elements[DRIVE_ELEMENT_AMP].as.parts = (ChainParts){c->amp, drive->is_lifted ? 2 : 3};
  TRY(st, chain_build(arena, 3, elements, 3, &tones, &c->chain));
  ChainHeard heard[PORT_LANES];
  look(c, meter, NULL, 0, heard, &c->r23_ohm);
  c->level_db = heard[LANE_MIDDLE].db;
  c->bass_db = heard[LANE_LOW].db - heard[LANE_HIGH].db;
  *circuit = c;
  return STATUS_OK;
}

int
drive_edits(const DriveFault* fault, ChainEdit edits[TEMPLATE_MAX_EDITS])
{
  if (fault->part != DRIVE_AT_OUTPUT && fault->part != DRIVE_AT_AMPLIFIER) {
    return 0;
  }
  return template_contacts(fault->mode, fault->a, fault->b, DRIVE_ELEMENT_CABLE,
                           fault->part == DRIVE_AT_OUTPUT ? CHAIN_NEAR : CHAIN_FAR, edits);
}

void
drive_view(const DriveCircuit* circuit, const Meter* meter, int drive, const DriveFault* fault,
           DriveView* view)
{
  ChainEdit edits[TEMPLATE_MAX_EDITS + 1];
  ChainHeard heard[PORT_LANES];
  memset(view, 0, sizeof(*view));
  view->arrives_at = drive;
  if (fault->mode == FAULT_SOMETHING_ELSE) {
    view->is_anything = true;
    return;
  }
  const int n = drive_edits(fault, edits);
  look(circuit, meter, edits, n, heard, &view->r23_ohm);
  view->level_db = fmax(heard[LANE_MIDDLE].db - circuit->level_db, CHAIN_SILENT_DB);
  view->bass_db = heard[LANE_LOW].db - heard[LANE_HIGH].db - circuit->bass_db;
  view->sign = heard[LANE_MIDDLE].inverted ? -1 : 1;
  edits[n] = (ChainEdit){.element = DRIVE_ELEMENT_OUTPUT,
                         .end = CHAIN_FAR,
                         .change = CHAIN_REPLACE,
                         .parts = &circuit->humming_part};
  chain_transfer(circuit->chain, DRIVE_ELEMENT_AMP, edits, n + 1, heard);
  view->hum_dbv = heard[LANE_HUM].db;
  const bool is_swapped = fault->mode == FAULT_WRONG_SOCKET;
  if (is_swapped || fault->part == DRIVE_OUTPUT) { // Copper as good as its neighbour's
    view->level_db = CHAIN_SILENT_DB;
    view->bass_db = 0.0;
    view->sign = 0;
    view->arrives_at = is_swapped ? fault->other : -1;
  }
}

// ---- In words ----

bool
drive_can(CheckSort sort)
{
  return sort == CHECK_LEVEL || sort == CHECK_TONE || sort == CHECK_HUM || sort == CHECK_POLARITY ||
         sort == CHECK_SEEN || sort == CHECK_OHMS;
}

// As a line of the input side has it, so that both are judged by the same words.
static View
as_line(const DriveCircuit* circuit, const DriveView* view)
{
  return (View){.is_anything = view->is_anything,
                .level_db = {view->level_db},
                .bass_db = {view->bass_db},
                .sign = {view->sign},
                .hum_dbv = {view->hum_dbv - HUM_LESS_DB},
                .r23_ohm = view->r23_ohm,
                .r23_planned_low = circuit->r23_ohm,
                .r23_planned_high = circuit->r23_ohm};
}

int
drive_shows(const Plant* plant, const DriveCircuit* circuit, CheckSort sort, const DriveView* view)
{
  const int own = view->arrives_at;
  const View line = as_line(circuit, view);
  const int level = predict_shows(plant, 0, (Check){CHECK_LEVEL, 0}, &line, NULL);
  if (sort ==
      CHECK_SEEN) { // An input's light shows what is less than 30 dB down, as predict.c has it
    return view->sign == 0 && own >= 0 ? PREDICT_ON + plant->drives[own].number
           : view->level_db > -30.0    ? SEEN_YES
                                       : SEEN_NO;
  }
  if ((sort == CHECK_TONE || sort == CHECK_POLARITY) && level == LEVEL_NOTHING) {
    return DRIVE_NOTHING;
  }
  return predict_shows(plant, 0, (Check){sort, sort == CHECK_OHMS ? -1 : 0}, &line, NULL);
}

void
drive_words(const Plant* plant, const DriveCircuit* circuit, CheckSort sort, const DriveView* view,
            double probs[DRIVE_WORDS])
{
  static const int keys[DRIVE_WORDS] = {0, 1, 2, 3, 4};
  const View line = as_line(circuit, view);
  const int n = sort == CHECK_LEVEL ? DRIVE_WORDS : 3;
  memset(probs, 0, DRIVE_WORDS * sizeof(double));
  predict_probs(plant, 0, (Check){sort, 0}, &line, NULL, keys, n, probs);
}

const char*
drive_key_text(Arena* arena, const Plant* plant, CheckSort sort, int key)
{
  return key == DRIVE_NOTHING ? arena_copy(arena, "nothing")
                              : predict_key_text(arena, plant, -1, (Check){sort, 0}, 0, key);
}

static const char*
named(Arena* arena, const DriveLine* drive)
{
  return drive->zone_name[0] ? arena_format(arena, "drive %d (%s)", drive->number, drive->zone_name)
                             : arena_format(arena, "drive %d", drive->number);
}

const char*
drive_part(Arena* arena, const Plant* plant, int drive, const DriveFault* fault)
{
  const DriveLine* const own = &plant->drives[drive];
  const bool at_output = fault->part == DRIVE_AT_OUTPUT;
  const char* const output = own->processor_out
                               ? arena_format(arena, "processor output %d", own->processor_out)
                               : arena_copy(arena, "the processor's output");
  if (!output) {
    return NULL;
  }
  if (fault->mode == FAULT_WRONG_SOCKET) {
    const char* const other = named(arena, &plant->drives[fault->other]);
    return other ? arena_format(arena, "swapped with %s at the %s", other,
                                at_output ? "processor" : "amplifiers")
                 : NULL;
  }
  switch (fault->part) {
    case DRIVE_OUTPUT:
      return output;
    case DRIVE_AT_OUTPUT:
      return arena_format(arena, "its plug at %s", output);
    case DRIVE_AT_AMPLIFIER:
      return arena_copy(arena, "its plug at the amplifier");
    default:
      return arena_copy(arena, fault->mode == FAULT_NONE ? "the line" : "somewhere else");
  }
}

const char*
drive_caution(CheckSort sort)
{
  switch (sort) {
    case CHECK_OHMS:
      return "Mute the processor's output and turn the amplifier's channels down before the plug "
             "is "
             "pulled. The meter goes on this plug only, never on an amplifier's outputs.";
    case CHECK_HUM:
      return "Processor output muted, amplifier channels down, headphones turned down: hum is read "
             "at the amplifier's input, never by turning the loudspeakers up. Never lift "
             "protective "
             "earth; contact 1 is lifted at one end of a drive line only.";
    default:
      return "Channels of every amplifier down, not only this one's (a swapped line plays "
             "elsewhere), "
             "before anything is plugged and while the tone is on: it is read at the amplifier's "
             "input, not heard. Begin the tone at -40 dBu and raise it to the level of the list at "
             "most; warn people near the loudspeakers.";
  }
}
