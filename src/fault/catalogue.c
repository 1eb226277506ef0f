// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/catalogue.h"

#include "base/text.h"
#include "fault/digital.h"
#include "fault/paper.h"

#include <stdio.h>
#include <string.h>

// How a share of the odds list divides. Opens, poor contacts and shorts of connectors in general
// are 61/23/16 (SD-18, part requirement guide, connectors); the division among contacts is common
// practice, no source: all three alike, a crossing or a rotation (bad repair) rare.
typedef struct {
  PartSort part;
  FaultMode mode;
  int a, b;
  double weight; ///< Of the row's share
} Division;

static const Division cable_open[] = {
  {PART_CABLE, FAULT_OPEN, 1, 0, 0.26},    {PART_CABLE, FAULT_OPEN, 2, 0, 0.26},
  {PART_CABLE, FAULT_OPEN, 3, 0, 0.26},    {PART_CABLE, FAULT_HIGH, 1, 0, 0.04},
  {PART_CABLE, FAULT_HIGH, 2, 0, 0.04},    {PART_CABLE, FAULT_HIGH, 3, 0, 0.04},
  {PART_CABLE, FAULT_CROSSED, 2, 3, 0.05}, {PART_CABLE, FAULT_CROSSED, 1, 2, 0.02},
  {PART_CABLE, FAULT_CROSSED, 1, 3, 0.02}, {PART_CABLE, FAULT_ROTATED, 0, 0, 0.01},
};
static const Division cable_loose[] = {
  {PART_CABLE, FAULT_LOOSE, 1, 0, 0.3},
  {PART_CABLE, FAULT_LOOSE, 2, 0, 0.35},
  {PART_CABLE, FAULT_LOOSE, 3, 0, 0.35},
};
static const Division cable_short[] = {
  {PART_CABLE, FAULT_SHORT, 1, 2, 0.3},  {PART_CABLE, FAULT_SHORT, 1, 3, 0.3},
  {PART_CABLE, FAULT_SHORT, 2, 3, 0.3},  {PART_CABLE, FAULT_LEAK, 1, 2, 0.035},
  {PART_CABLE, FAULT_LEAK, 1, 3, 0.035}, {PART_CABLE, FAULT_LEAK, 2, 3, 0.03},
};
static const Division box_socket[] = {
  {PART_SOCKET, FAULT_OPEN, 1, 0, 0.2},  {PART_SOCKET, FAULT_OPEN, 2, 0, 0.2},
  {PART_SOCKET, FAULT_OPEN, 3, 0, 0.2},  {PART_SOCKET, FAULT_LOOSE, 2, 0, 0.1},
  {PART_SOCKET, FAULT_LOOSE, 3, 0, 0.1}, {PART_SOCKET, FAULT_LEAK, 1, 2, 0.07},
  {PART_SOCKET, FAULT_LEAK, 1, 3, 0.07}, {PART_SOCKET, FAULT_HIGH, 2, 0, 0.03},
  {PART_SOCKET, FAULT_HIGH, 3, 0, 0.03},
};
static const Division pair[] = {
  {PART_PAIR, FAULT_OPEN, 1, 0, 0.15},  {PART_PAIR, FAULT_OPEN, 2, 0, 0.22},
  {PART_PAIR, FAULT_OPEN, 3, 0, 0.22},  {PART_PAIR, FAULT_SHORT, 1, 2, 0.12},
  {PART_PAIR, FAULT_SHORT, 1, 3, 0.12}, {PART_PAIR, FAULT_SHORT, 2, 3, 0.17},
};
static const Division tail_way[] = {
  {PART_TAIL, FAULT_OPEN, 1, 0, 0.15},  {PART_TAIL, FAULT_OPEN, 2, 0, 0.22},
  {PART_TAIL, FAULT_OPEN, 3, 0, 0.22},  {PART_TAIL, FAULT_SHORT, 1, 2, 0.12},
  {PART_TAIL, FAULT_SHORT, 1, 3, 0.12}, {PART_TAIL, FAULT_SHORT, 2, 3, 0.17},
};

// One thing in line: two more mated pairs. A panel's contacts come loose more than they break.
static const Division thing[] = {
  {PART_THROUGH, FAULT_OPEN, 1, 0, 0.2},   {PART_THROUGH, FAULT_OPEN, 2, 0, 0.2},
  {PART_THROUGH, FAULT_OPEN, 3, 0, 0.2},   {PART_THROUGH, FAULT_LOOSE, 2, 0, 0.12},
  {PART_THROUGH, FAULT_LOOSE, 3, 0, 0.12}, {PART_THROUGH, FAULT_SHORT, 1, 2, 0.05},
  {PART_THROUGH, FAULT_SHORT, 1, 3, 0.05}, {PART_THROUGH, FAULT_SHORT, 2, 3, 0.06},
};

typedef struct {
  Fault* faults;
  int n;
  double sum;  ///< Of the chances before paper was read
  double more; ///< What paper adds to it; below 0 where most of it agrees
} List;

static void
add_read(List* list, PartSort part, FaultMode mode, int a, int b, int desk, double prob,
         double ratio)
{
  if (prob > 0.0) {
    list->faults[list->n++] = (Fault){part, mode, a, b, desk, prob * ratio};
    list->sum += prob;
    list->more += prob * ratio - prob;
  }
}

static void
add(List* list, PartSort part, FaultMode mode, int a, int b, int desk, double prob)
{
  add_read(list, part, mode, a, b, desk, prob, 1.0);
}

static void
divide(List* list, double share, const Division* rows, size_t n_rows)
{
  for (size_t i = 0; i < n_rows; ++i) {
    add(list, rows[i].part, rows[i].mode, rows[i].a, rows[i].b, -1,
        share * rows[i].weight * CATALOGUE_BAD_PROB);
  }
}

#define DIVIDE(list, share, rows) divide(list, share, rows, sizeof(rows) / sizeof((rows)[0]))

static void
add_source(List* list, const Plant* plant, const Kind* kind)
{
  const double share =
    plant_odds(plant, "source", "dead, switched off or flat battery") * CATALOGUE_BAD_PROB;
  // Where phantom feeds it too, a flat battery is not missed.
  const bool battery =
    (kind->has_battery && kind->needs_phantom != ANSWER_YES) || kind->is_radio || kind->needs_ab;
  const double muted = kind->is_radio ? 0.15 : 0.0;
  const double off = (kind->has_switch ? 0.4 : 0.0) - muted;
  const double flat = !battery ? 0.0 : kind->is_radio ? 0.35 : 0.3;
  add(list, PART_SOURCE, FAULT_DEAD, 0, 0, -1, share * (1.0 - off - muted - flat));
  add(list, PART_SOURCE, FAULT_OFF, 0, 0, -1, share * off);
  add(list, PART_SOURCE, FAULT_MUTED, 0, 0, -1, share * muted);
  add(list, PART_SOURCE, FAULT_FLAT_BATTERY, 0, 0, -1, share * flat);
}

// What only some kinds can have: their jack, pad, level switch, lift switch, radio way.
static void
add_own(List* list, const Plant* plant, const Kind* kind)
{
  const double set =
    plant_odds(plant, "source", "jack out, pad in or wrong level") * CATALOGUE_BAD_PROB;
  const double jack = kind->has_jack ? 0.5 : 0.0;
  const double pad = kind->pad_db > 0.0 ? 0.3 : 0.0;
  const double level = kind->low_level_db > 0.0 ? 0.5 : 0.0;
  add(list, PART_SOURCE, FAULT_JACK_OUT, 0, 0, -1, set * jack);
  add(list, PART_SOURCE, FAULT_PAD_IN, 0, 0, -1, set * pad);
  add(list, PART_SOURCE, FAULT_WRONG_LEVEL, 0, 0, -1, set * level);
  if (kind->has_lift && kind->needs_phantom != ANSWER_YES) { // Else contact 1 is its return
    add(list, PART_SOURCE, FAULT_LIFT, 0, 0, -1,
        plant_odds(plant, "source", "hum loop") * CATALOGUE_BAD_PROB);
  }
  if (kind->is_radio) {
    add(list, PART_SOURCE, FAULT_LOST, 0, 0, -1,
        plant_odds(plant, "source", "transmitter lost") * CATALOGUE_BAD_PROB);
  }
}

// Whether anybody has pads and adaptors about: what nobody brought is not left in.
static bool
has_things(const Plant* plant)
{
  for (int i = 0; i < plant->n_inputs; ++i) {
    if (plant->inputs[i].n_through > 0) {
      return true;
    }
  }
  return false;
}

// Half of what goes wrong by hand is forgotten or taken for another, half left in by mistake
// (usual practice, no source).
static void
add_through(List* list, const Plant* plant, const Input* input)
{
  const double open = plant_odds(plant, "in-line", "open or loose") * CATALOGUE_BAD_PROB;
  const double wrong =
    plant_odds(plant, "in-line", "wrong, missing or left in") * CATALOGUE_BAD_PROB;
  if (!has_things(plant)) {
    return;
  }
  bool pad = false;
  bool crossed = false;
  for (int i = 0; i < input->n_through; ++i) {
    const InlineSort sort = plant->inlines[input->through[i]].sort;
    pad = pad || sort == INLINE_PAD;
    crossed = crossed || sort == INLINE_CROSSED;
    for (size_t k = 0; k < sizeof(thing) / sizeof(thing[0]); ++k) {
      add(list, PART_THROUGH, thing[k].mode, thing[k].a, thing[k].b, i, open * thing[k].weight);
    }
    if (sort == INLINE_PAD || sort == INLINE_CROSSED || sort == INLINE_TRANSFORMER ||
        sort == INLINE_SUPPLY) {
      add(list, PART_THROUGH, FAULT_MISSING, 0, 0, i, wrong);
    }
    if (sort == INLINE_PAD) {
      add(list, PART_THROUGH, FAULT_WRONG_LEVEL, 0, 0, i, wrong);
    }
    if (sort == INLINE_SUPPLY) {
      add(list, PART_THROUGH, FAULT_FLAT_BATTERY, 0, 0, i, wrong);
    }
  }
  if (!pad) {
    add(list, PART_THROUGH, FAULT_PAD_IN, 0, 0, -1, 0.5 * wrong);
  }
  if (!crossed) {
    add(list, PART_THROUGH, FAULT_CROSSED, 2, 3, -1, 0.5 * wrong);
  }
}

static void
add_digital(List* list, const Plant* plant, int act, int line, const Kind* kind)
{
  Fault faults[DIGITAL_MAX_FAULTS];
  const int n = digital_faults(plant, line, kind, faults);
  for (int i = 0; i < n; ++i) {
    PaperLine paper;
    paper_line(plant, act, faults[i].desk, line, &paper);
    add_read(
      list, faults[i].part, faults[i].mode, 0, 0, faults[i].desk, faults[i].prob,
      paper_fault_ratio(plant, act, faults[i].desk, line, &paper, faults[i].mode, faults[i].prob));
  }
}

static void
add_copper(List* list, const Plant* plant)
{
  DIVIDE(list, plant_odds(plant, "multicore pair", "open or short"), pair);
  // One way of a tail: as likely as one pair of the multicore (usual practice).
  DIVIDE(list, plant_odds(plant, "multicore pair", "open or short"), tail_way);
}

static void
add_desk(List* list, const Plant* plant, int act, const Kind* kind, int line, int desk,
         double scale)
{
  if (plant->lines[line].desk_input[desk] == 0) {
    return;
  }
  const double settings = plant_odds(plant, "desk", "muted or pad or gain") * scale;
  const bool must_not = plant_is_harmful(plant, plant_input(plant, act, line));
  PaperLine paper;
  paper_line(plant, act, desk, line, &paper);
  const struct {
    FaultMode mode;
    double prob;
    bool may;
  } set[] = {
    {FAULT_MUTED, settings * 0.5, true},
    {FAULT_PAD_IN, settings * 0.25, true},
    {FAULT_WRONG_LEVEL, settings * 0.25, true},
    {FAULT_WRONG_PATCH, plant_odds(plant, "desk", "wrong patch") * scale, true},
    {FAULT_DEAD, plant_odds(plant, "desk input", "dead") * scale, true},
    {FAULT_PHANTOM_OFF, plant_odds(plant, "desk", "phantom off") * scale,
     plant->desks[desk].is_direct && kind && kind->needs_phantom == ANSWER_YES},
    {FAULT_PHANTOM_ON, plant_odds(plant, "desk", "phantom on") * scale,
     plant->desks[desk].is_direct && must_not},
  };
  for (size_t i = 0; i < sizeof(set) / sizeof(set[0]); ++i) {
    add_read(list, PART_DESK, set[i].mode, 0, 0, desk, set[i].may ? set[i].prob : 0.0,
             paper_fault_ratio(plant, act, desk, line, &paper, set[i].mode, set[i].prob));
  }
  if (!plant->desks[desk].is_direct) {
    add(list, PART_SPLIT, FAULT_OPEN, 2, 0, desk, plant_odds(plant, "split side", "open") * scale);
  }
}

Status
catalogue_line(Arena* arena, const Plant* plant, int act, int line, const Fault** faults, int* n)
{
  List list = {arena_array(arena, CATALOGUE_MAX_FAULTS, sizeof(Fault)), 0, 0.0, 0.0};
  if (!list.faults) {
    return STATUS_NO_MEMORY;
  }
  const Input* const input = plant_input(plant, act, line);
  const Kind* const kind = input ? &plant->kinds[input->kind] : NULL;
  list.n = 1; // FAULT_NONE takes what the others leave
  if (kind) {
    if (!input->y_line) { // A source on two lines is a shared state: see fault/shared.h
      add_source(&list, plant, kind);
    }
    add_own(&list, plant, kind);
    add_through(&list, plant, input);
    DIVIDE(&list, plant_odds(plant, "cable", "open"), cable_open);
    DIVIDE(&list, plant_odds(plant, "cable", "loose"), cable_loose);
    DIVIDE(&list, plant_odds(plant, "cable", "short"), cable_short);
  }
  DIVIDE(&list, plant_odds(plant, "box socket", "open or loose"), box_socket);
  const bool is_digital = plant_is_digital(plant, line);
  if (is_digital) {
    add_digital(&list, plant, act, line, kind);
  } else {
    add_copper(&list, plant);
  }
  for (int d = 0; !is_digital && d < plant->n_desks; ++d) {
    // The list's desk share is for the desk that reports; each desk has its own chance of it.
    add_desk(&list, plant, act, kind, line, d, CATALOGUE_BAD_PROB);
  }
  add(&list, PART_ELSE, FAULT_SOMETHING_ELSE, 0, 0, -1,
      (plant_odds(plant, "something else", "not on this list") + 1e-3) * CATALOGUE_BAD_PROB);
  list.faults[0] = (Fault){PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0 - list.sum};
  // One of them is true, so what paper says of one of them is said against all others
  for (int i = 0; i < list.n; ++i) {
    list.faults[i].prob /= 1.0 + list.more;
  }
  *faults = list.faults;
  *n = list.n;
  return STATUS_OK;
}

static const char* const mode_words[FAULT_MODE_COUNT] = {
  [FAULT_NONE] = "none",
  [FAULT_OPEN] = "open",
  [FAULT_HIGH] = "high",
  [FAULT_SHORT] = "short",
  [FAULT_LEAK] = "leak",
  [FAULT_CROSSED] = "crossed",
  [FAULT_ROTATED] = "rotated",
  [FAULT_LOOSE] = "loose",
  [FAULT_DEAD] = "dead",
  [FAULT_OFF] = "off",
  [FAULT_FLAT_BATTERY] = "flat battery",
  [FAULT_PHANTOM_OFF] = "phantom off",
  [FAULT_PAD_IN] = "pad in",
  [FAULT_WRONG_LEVEL] = "wrong level",
  [FAULT_MUTED] = "muted",
  [FAULT_WRONG_PATCH] = "wrong patch",
  [FAULT_WRONG_SOCKET] = "wrong socket",
  [FAULT_NOT_LOCKED] = "not locked",
  [FAULT_NOISY] = "noisy",
  [FAULT_LEAD_OUT] = "lead out",
  [FAULT_NO_POWER] = "no power",
  [FAULT_WRONG_CLOCK] = "wrong clock",
  [FAULT_WRONG_OWNER] = "wrong owner",
  [FAULT_PHANTOM_ON] = "phantom on",
  [FAULT_LIFT] = "lift",
  [FAULT_JACK_OUT] = "jack out",
  [FAULT_LOST] = "transmitter lost",
  [FAULT_MISSING] = "missing",
  [FAULT_SOMETHING_ELSE] = "something else",
};

const char*
catalogue_name(const Fault* fault, char text[24])
{
  const char* const word = mode_words[fault->mode];
  if (fault->b) {
    (void)snprintf(text, 24, "%s %d-%d", word, fault->a, fault->b);
  } else if (fault->a) {
    (void)snprintf(text, 24, "%s %d", word, fault->a);
  } else {
    (void)snprintf(text, 24, "%s", word);
  }
  return text;
}

const char*
catalogue_spoken(const Fault* fault, char text[CATALOGUE_SPOKEN_BYTES])
{
  static const struct {
    const char *lead, *tail; ///< Before and after the contacts, where the mode has some
  } said[FAULT_MODE_COUNT] = {
    [FAULT_NONE] = {"nothing wrong", ""},
    [FAULT_OPEN] = {"contact ", " open"},
    [FAULT_HIGH] = {"contact ", " poor"},
    [FAULT_SHORT] = {"", " shorted"},
    [FAULT_LEAK] = {"damp between ", ""},
    [FAULT_CROSSED] = {"", " crossed"},
    [FAULT_ROTATED] = {"all contacts one further on", ""},
    [FAULT_LOOSE] = {"contact ", " loose"},
    [FAULT_DEAD] = {"dead", ""},
    [FAULT_OFF] = {"switched off", ""},
    [FAULT_FLAT_BATTERY] = {"a flat battery", ""},
    [FAULT_PHANTOM_OFF] = {"phantom off", ""},
    [FAULT_PAD_IN] = {"the pad in", ""},
    [FAULT_WRONG_LEVEL] = {"the level set wrong", ""},
    [FAULT_MUTED] = {"muted", ""},
    [FAULT_WRONG_PATCH] = {"patched wrong", ""},
    [FAULT_WRONG_SOCKET] = {"in the wrong socket", ""},
    [FAULT_NOT_LOCKED] = {"not locked home", ""},
    [FAULT_NOISY] = {"noisy", ""},
    [FAULT_LEAD_OUT] = {"lead ", " out"},
    [FAULT_NO_POWER] = {"no power", ""},
    [FAULT_WRONG_CLOCK] = {"the wrong clock", ""},
    [FAULT_WRONG_OWNER] = {"the wrong desk", ""},
    [FAULT_PHANTOM_ON] = {"phantom on", ""},
    [FAULT_LIFT] = {"a hum loop", ""},
    [FAULT_JACK_OUT] = {"the jack not home", ""},
    [FAULT_LOST] = {"the transmitter lost", ""},
    [FAULT_MISSING] = {"missing", ""},
    [FAULT_SOMETHING_ELSE] = {"something else", ""},
  };
  const char* const lead = said[fault->mode].lead;
  const char* const tail = said[fault->mode].tail;
  if (fault->b) {
    (void)snprintf(text, CATALOGUE_SPOKEN_BYTES, "%s%d and %d%s", lead, fault->a, fault->b, tail);
  } else if (fault->a) {
    (void)snprintf(text, CATALOGUE_SPOKEN_BYTES, "%s%d%s", lead, fault->a, tail);
  } else { // Of a part with one contact, or none worth naming
    (void)snprintf(text, CATALOGUE_SPOKEN_BYTES, "%s",
                   tail[0] ? catalogue_name(fault, (char[24]){0}) : lead);
  }
  return text;
}

const char*
catalogue_part(Arena* arena, const Plant* plant, int act, int line, const Fault* fault)
{
  const Line* const copper = &plant->lines[line];
  const Box* const box = &plant->boxes[copper->box];
  const Input* const input = plant_input(plant, act, line);
  switch (fault->part) {
    case PART_SOURCE:
      return arena_format(arena, "the source (%s)",
                          input ? input->source : "known-good microphone");
    case PART_THROUGH:
      if (input && fault->desk >= 0 && fault->desk < input->n_through) {
        return arena_format(arena, "the %s of %s", plant->inlines[input->through[fault->desk]].name,
                            input->source);
      }
      return arena_format(arena, "something left in line between %s and %s%d",
                          input ? input->source : "the source", box->name, copper->socket);
    case PART_CABLE:
      return arena_format(arena, "the cable in %s%d", box->name, copper->socket);
    case PART_PLUG:
      return arena_format(arena, "the plug meant for %s%d", box->name, copper->socket);
    case PART_SOCKET:
      return arena_format(arena, "socket %s%d", box->name, copper->socket);
    case PART_PREAMP:
    case PART_LEAD:
    case PART_POWER:
    case PART_CLOCK:
    case PART_OWNER:
      return digital_part(arena, plant, line, fault);
    case PART_TAIL:
      return arena_format(arena, "tail %s", box->name);
    case PART_SPLIT:
      return arena_format(arena, "split %d, %s side", copper->split_channel,
                          fault->desk >= 0 ? plant->desks[fault->desk].name : "every");
    case PART_PAIR:
      return arena_format(arena, "multicore pair %d", copper->pair);
    case PART_DESK:
      return arena_format(arena, "%s input %d", plant->desks[fault->desk].say,
                          copper->desk_input[fault->desk]);
    case PART_TESTER:
      return arena_copy(arena, "the tester");
    default:
      return arena_copy(arena, "somewhere else");
  }
}

const char*
catalogue_said(Arena* arena, const char* part, const char* fault)
{
  const size_t n = strlen(part);
  return n && part[n - 1] == ')' ? arena_format(arena, "%.*s, %s)", (int)(n - 1), part, fault)
                                 : arena_format(arena, "%s (%s)", part, fault);
}

int
catalogue_same(const Fault* a, const Fault* b)
{
  return a->part == b->part && a->mode == b->mode && a->a == b->a && a->b == b->b &&
         a->desk == b->desk;
}
