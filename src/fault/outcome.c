// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/outcome.h"

#include <math.h>

#define HUM_LOOP_DBV (-70.0) // Usual practice; the limits of "audible" and "loud" are in predict.c
#define HUM_OPEN_INPUT_DBV (-75.0)
#define HUM_OPEN_JACK_DBV (-100.0)

static void
quieter(View* v, double db)
{
  for (int d = 0; d < PLANT_DESKS; ++d) {
    v->level_db[d] += db;
    v->meter_db[d] += db;
  }
}

static void
hums(View* v, double dbv)
{
  for (int d = 0; d < PLANT_DESKS; ++d) {
    v->hum_dbv[d] = fmax(v->hum_dbv[d], dbv);
  }
}

// What switches, jacks and radio do. Hum levels are usual practice: a loop through two earths and
// an open high-impedance input are loud, the open jack of a passive box is heard.
void
outcome_source(View* v, const Kind* kind, const Fault* f)
{
  if (f->part != PART_SOURCE || !kind) {
    return;
  }
  switch (f->mode) {
    case FAULT_PAD_IN:
      quieter(v, -kind->pad_db);
      break;
    case FAULT_WRONG_LEVEL:
      quieter(v, -kind->low_level_db);
      break;
    case FAULT_LIFT:
      hums(v, HUM_LOOP_DBV);
      break;
    case FAULT_JACK_OUT:
      quieter(v, -300.0);
      hums(v, kind->supply_ohm > 0.0 || kind->has_battery ? HUM_OPEN_INPUT_DBV : HUM_OPEN_JACK_DBV);
      break;
    case FAULT_LOST: // Drops out and bursts by itself
      v->open_prob = 0.8;
      v->is_wet = true;
      break;
    case FAULT_MUTED:
    case FAULT_OFF:
    case FAULT_FLAT_BATTERY:
    case FAULT_DEAD:
      quieter(v, -300.0);
      break;
    default:
      break;
  }
}

void
outcome_through(View* v, const Plant* plant, const Input* input, const Fault* f)
{
  if (f->part != PART_THROUGH || !input || f->desk < 0 || f->desk >= input->n_through) {
    return;
  }
  const InlineSort sort = plant->inlines[input->through[f->desk]].sort;
  if (sort == INLINE_SUPPLY && (f->mode == FAULT_MISSING || f->mode == FAULT_FLAT_BATTERY)) {
    quieter(v, -300.0); // Nobody feeds the microphone
  } else if (sort == INLINE_TRANSFORMER && f->mode == FAULT_MISSING) {
    hums(v, HUM_LOOP_DBV); // It was there against the loop
  }
}

void
outcome_desk(View* v, const Fault* f)
{
  const int d = f->desk;
  if (f->part != PART_DESK || d < 0) {
    return;
  }
  switch (f->mode) {
    case FAULT_MUTED:
      v->level_db[d] = -300.0;
      v->look[d] = LOOK_MUTED;
      break;
    case FAULT_PAD_IN: // 20 dB, the usual pad
      v->level_db[d] -= 20.0;
      v->meter_db[d] -= 20.0;
      v->look[d] = LOOK_PAD;
      break;
    case FAULT_WRONG_LEVEL:
      v->level_db[d] -= 20.0;
      v->meter_db[d] -= 20.0;
      v->look[d] = LOOK_GAIN;
      break;
    case FAULT_WRONG_PATCH:
      v->level_db[d] = -300.0;
      v->meter_db[d] = -30.0; // Which meter a wrong patch shows depends on the desk: half and half
      v->look[d] = LOOK_PATCH;
      break;
    case FAULT_DEAD:
      v->level_db[d] = -300.0;
      v->meter_db[d] = -300.0;
      break;
    case FAULT_PHANTOM_OFF:
    case FAULT_PHANTOM_ON:
      v->look[d] = LOOK_PHANTOM;
      break;
    default:
      break;
  }
}

// Phantom on what must not get it: electronic outputs lose level and bass with no other sign (10 dB
// have been seen, from memory); a ribbon sounds on, until a leg touches contact 1.
void
outcome_phantom_on(View* v, const Kind* kind, const Fault* f)
{
  if (f->mode != FAULT_PHANTOM_ON || !kind || kind->drive == DRIVE_FLOATING) {
    return;
  }
  quieter(v, -10.0);
  for (int d = 0; d < PLANT_DESKS; ++d) {
    v->bass_db[d] -= 12.0;
  }
}
