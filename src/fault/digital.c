// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/digital.h"

#include <assert.h>

/*
  Chances come from the odds list (kinds/odds.csv, usual practice); what a share means for a box is
  said beside its row there. A preamplifier's settings are one thing for all desks and are listed
  once, at the desk that owns the box, because that is where they are put right.

  A box with two network leads runs on the second when the first is out. Nobody hears that, and the
  lamps of the box alone show it; unless the second lead was never made, and then all is lost as
  with one lead. "Never made" has a row of its own in the odds list: its share is of boxes with two
  leads.
*/

// Where gain goes when another desk owns it: what that desk last had there. Half of the channels
// lie far down, some are too loud, some are right by chance (assumed, no source); see
// `View.is_adrift`.
#define WRONG_LEVEL_DB 20.0 // As everywhere: a pad, or the gain of another act's source
#define NOISE_DBV (-100.0)  // A noisy preamplifier, called audible by the limits of fault/predict

typedef struct {
  Fault* faults;
  int n;
} List;

static void
add(List* list, PartSort part, FaultMode mode, int desk, double prob)
{
  if (prob > 0.0) {
    assert(list->n < DIGITAL_MAX_FAULTS);
    list->faults[list->n++] = (Fault){part, mode, 0, 0, desk, prob};
  }
}

int
digital_faults(const Plant* plant, int line, const Kind* kind, Fault faults[DIGITAL_MAX_FAULTS])
{
  List list = {faults, 0};
  const int owner = plant_phantom_desk(plant, line);
  const double settings = plant_odds(plant, "desk", "muted or pad or gain") * CATALOGUE_BAD_PROB;
  const double dead = plant_odds(plant, "preamplifier", "dead or noisy") * CATALOGUE_BAD_PROB;
  add(&list, PART_PREAMP, FAULT_DEAD, owner, dead * 0.5);
  add(&list, PART_PREAMP, FAULT_NOISY, owner, dead * 0.5);
  add(&list, PART_PREAMP, FAULT_PAD_IN, owner, settings * 0.25);
  add(&list, PART_PREAMP, FAULT_WRONG_LEVEL, owner, settings * 0.25);
  if (kind && kind->needs_phantom == ANSWER_YES) {
    add(&list, PART_PREAMP, FAULT_PHANTOM_OFF, owner,
        plant_odds(plant, "desk", "phantom off") * CATALOGUE_BAD_PROB);
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    if (plant->lines[line].desk_input[d]) {
      add(&list, PART_DESK, FAULT_MUTED, d, settings * 0.5);
      add(&list, PART_DESK, FAULT_WRONG_PATCH, d,
          plant_odds(plant, "desk", "wrong patch") * CATALOGUE_BAD_PROB);
    }
  }
  return list.n;
}

// ---- Shared states ----

// Whether anything on a box needs phantom in an act.
static bool
needs_phantom(const Plant* plant, int act, int box)
{
  for (int l = 0; l < plant->n_lines; ++l) {
    const Input* const input = plant->lines[l].box == box ? plant_input(plant, act, l) : NULL;
    if (input && plant->kinds[input->kind].needs_phantom == ANSWER_YES) {
      return true;
    }
  }
  return false;
}

int
digital_states(const Plant* plant, int act, int box, DigitalState states[DIGITAL_MAX_STATES])
{
  const Box* const b = &plant->boxes[box];
  if (!b->is_digital) {
    return 0;
  }
  int n = 0;
  const double bad = CATALOGUE_BAD_PROB;
  const double out = plant_odds(plant, "network lead", "out") * bad;
  const double never_made = plant_odds(plant, "second network lead", "never made");
  if (b->n_leads == 2) {
    states[n++] =
      (DigitalState){SHARED_LEAD, out * never_made, {PART_LEAD, FAULT_LEAD_OUT, 1, 2, -1, 1.0}};
    states[n++] = (DigitalState){
      SHARED_LEAD_HELD, out * (1.0 - never_made), {PART_LEAD, FAULT_LEAD_OUT, 1, 0, -1, 1.0}};
  } else {
    states[n++] = (DigitalState){SHARED_LEAD, out, {PART_LEAD, FAULT_LEAD_OUT, 0, 0, -1, 1.0}};
  }
  states[n++] = (DigitalState){SHARED_POWER,
                               plant_odds(plant, "box power", "off") * bad,
                               {PART_POWER, FAULT_NO_POWER, 0, 0, -1, 1.0}};
  states[n++] = (DigitalState){SHARED_CLOCK,
                               plant_odds(plant, "box clock", "wrong") * bad,
                               {PART_CLOCK, FAULT_WRONG_CLOCK, 0, 0, -1, 1.0}};
  if (plant->n_desks > 1) {
    states[n++] = (DigitalState){SHARED_OWNER,
                                 plant_odds(plant, "box owner", "wrong desk") * bad,
                                 {PART_OWNER, FAULT_WRONG_OWNER, 0, 0, b->owner, 1.0}};
  }
  if (needs_phantom(plant, act, box)) {
    states[n++] =
      (DigitalState){SHARED_PHANTOM,
                     plant_odds(plant, "box phantom", "off or set at the wrong desk") * bad,
                     {PART_OWNER, FAULT_PHANTOM_OFF, 0, 0, b->owner, 1.0}};
  }
  return n;
}

bool
digital_is_state(SharedSort sort)
{
  return sort == SHARED_LEAD || sort == SHARED_LEAD_HELD || sort == SHARED_POWER ||
         sort == SHARED_CLOCK || sort == SHARED_OWNER || sort == SHARED_PHANTOM;
}

// ---- Views ----

bool
digital_cuts_phantom(const Fault* fault)
{
  return fault->part == PART_POWER || ((fault->part == PART_PREAMP || fault->part == PART_OWNER) &&
                                       fault->mode == FAULT_PHANTOM_OFF);
}

// Every desk hears the same leaf, so what happens to one happens to all.
static void
all_desks(View* view, const Plant* plant, double change_db)
{
  for (int d = 0; d < plant->n_desks; ++d) {
    view->level_db[d] += change_db;
    view->meter_db[d] += change_db;
  }
}

static void
all_look(View* view, const Plant* plant, int look)
{
  for (int d = 0; d < plant->n_desks; ++d) {
    view->look[d] = look;
  }
}

static void
lose_box(View* view, const Plant* plant, int lamps)
{
  all_desks(view, plant, -300.0);
  all_look(view, plant, LOOK_LOST);
  view->box = lamps;
}

static void
apply_preamp(View* view, const Plant* plant, int owner, FaultMode mode)
{
  switch (mode) {
    case FAULT_DEAD:
      all_desks(view, plant, -300.0);
      break;
    case FAULT_NOISY:
      view->is_wet = true; // It crackles by itself, as a wet contact does
      for (int d = 0; d < plant->n_desks; ++d) {
        view->hum_dbv[d] = view->hum_dbv[d] > NOISE_DBV ? view->hum_dbv[d] : NOISE_DBV;
      }
      break;
    case FAULT_PAD_IN:
      all_desks(view, plant, -WRONG_LEVEL_DB);
      view->look[owner] = LOOK_PAD;
      break;
    case FAULT_WRONG_LEVEL:
      all_desks(view, plant, -WRONG_LEVEL_DB);
      view->look[owner] = LOOK_GAIN;
      break;
    case FAULT_PHANTOM_OFF:
      view->look[owner] = LOOK_PHANTOM;
      break;
    default:
      break;
  }
}

void
digital_apply(View* view, const Plant* plant, int line, const Fault* fault)
{
  if (!plant_is_digital(plant, line)) {
    return;
  }
  const int owner = plant_phantom_desk(plant, line);
  switch (fault->part) {
    case PART_PREAMP:
      apply_preamp(view, plant, owner, fault->mode);
      break;
    case PART_LEAD:
      if (fault->a == 1 && fault->b == 0) {
        view->box = BOX_ONE_LINK;
      } else {
        lose_box(view, plant, BOX_NO_LINK);
      }
      break;
    case PART_POWER:
      lose_box(view, plant, BOX_DARK);
      break;
    case PART_CLOCK:
      view->is_clicking = true;
      view->box = BOX_CLOCK;
      all_look(view, plant, LOOK_CLOCK);
      break;
    case PART_OWNER:
      if (fault->mode == FAULT_WRONG_OWNER) {
        view->is_adrift = true;
        all_look(view, plant, LOOK_OWNER);
      } else { // The other desks may show it on: that goes nowhere
        view->look[owner] = LOOK_PHANTOM;
      }
      break;
    default:
      break;
  }
}

// ---- Words ----

const char*
digital_part(Arena* arena, const Plant* plant, int line, const Fault* fault)
{
  const Line* const l = &plant->lines[line];
  const char* const box = plant->boxes[l->box].name;
  switch (fault->part) {
    case PART_PREAMP:
      return arena_format(arena, "preamplifier %s%d", box, l->socket);
    case PART_LEAD:
      return arena_format(arena, "the network lead of box %s", box);
    case PART_POWER:
      return arena_format(arena, "the power of box %s", box);
    case PART_CLOCK:
      return arena_format(arena, "the clock of box %s", box);
    case PART_OWNER:
      return arena_format(arena, "the owner of box %s", box);
    default:
      return NULL;
  }
}

const char*
digital_say(Arena* arena, const Plant* plant, const SharedState* state)
{
  const Box* const box = &plant->boxes[state->box];
  const char* const owner = plant->desks[box->owner].say;
  switch (state->sort) {
    case SHARED_LEAD:
      return box->n_leads == 2
               ? arena_format(arena, "both network leads of box %s are out", box->name)
               : arena_format(arena, "the network lead of box %s is out", box->name);
    case SHARED_LEAD_HELD:
      return arena_format(
        arena, "the first network lead of box %s is out and the second carries it", box->name);
    case SHARED_POWER:
      return arena_format(arena, "box %s has no power", box->name);
    case SHARED_CLOCK:
      return arena_format(arena, "the clock of box %s is wrong: it should follow the %s", box->name,
                          box->clock);
    case SHARED_OWNER:
      return arena_format(arena, "another desk has the gain of box %s instead of the %s", box->name,
                          owner);
    case SHARED_PHANTOM:
      return arena_format(arena, "phantom is off on all of box %s: only the %s can set it",
                          box->name, owner);
    default:
      return NULL;
  }
}
