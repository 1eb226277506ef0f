// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/outputs_load.h"

#include "base/text.h"

#include <math.h>

/*
  What an amplifier works into: what the circuit is rated at against what it allows, what the cable
  takes, what each driver gets; and what each fault would read. The arithmetic is speaker/'s.
*/

// Where nobody says: in the middle of what the band plays, assumed.
static void
usual_hz(const OutputCircuit* c, const OutputFor* what, OutputLoad* w)
{
  const bool low = text_same(c->band, "low") || text_same(c->band, "sub");
  const double usual = low ? 100.0 : text_same(c->band, "high") ? 4000.0 : 1000.0;
  w->low_hz = what->low_hz > 0.0 ? what->low_hz : usual;
  w->high_hz = what->high_hz > 0.0 ? what->high_hz : w->low_hz;
}

OutputLoad
outputs_load(const Outputs* o, int circuit, const OutputFor* what)
{
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const Parts* const p = &o->parts[circuit];
  OutputLoad w = {
    .load = limit_load(c), .loop_ohm = p->cable_ohm, .loop_max_ohm = p->cable_max_ohm};
  const double loss_db = what->loss_db;
  const double volts = what->volts;
  Conductor copper;
  usual_hz(c, what, &w);
  w.power = parts_power(p, w.low_hz, w.high_hz, volts);
  w.line = parts_line(c);
  w.n_drivers = p->n_boxes * p->n_drivers;
  if (w.load.nominal_ohm > 0.0) {
    w.cable = cable_figures(w.loop_max_ohm, w.load.nominal_ohm, 0.0);
    w.watts = cable_watts(w.loop_max_ohm, w.load.nominal_ohm, volts);
    if (c->cable_m > 0.0) {
      w.section_mm2 = cable_section_mm2(c->cable_m, w.load.nominal_ohm, loss_db);
    }
    if (c->cable_mm2 > 0.0 && conductor_of_mm2(c->cable_mm2, &copper) == STATUS_OK) {
      w.longest_m = cable_longest_m(&copper, w.load.nominal_ohm, loss_db);
      w.has_section = true;
    }
    w.volts_full = c->line_v > 0.0  ? c->line_v
                   : c->amp_w > 0.0 ? limit_volts(c->amp_w, w.load.nominal_ohm)
                                    : 0.0;
  }
  return w;
}

Status
outputs_rows(const Outputs* o, Arena* arena, int circuit, OutputRow rows[OUTPUT_MAX_ROWS], int* n)
{
  const OutputSuspect* list = NULL;
  int n_list = 0;
  int m = 0;
  Status st;
  TRY(st, outputs_suspects(o, arena, circuit, &list, &n_list));
  for (int i = 0; i < n_list && m < OUTPUT_MAX_ROWS; ++i) {
    const Wrong* const w = &list[i].wrong;
    OutputRow r = {outputs_fault_text(o, arena, circuit, w),
                   outputs_part_text(o, arena, circuit, w), list[i].prob,
                   outputs_ohm(o, circuit, w, OUT_AT_AMP), ""};
    const int key = outputs_shows(o, circuit, w, OUT_PLAYS, 0, &(double){0});
    if (!r.fault || !r.part) {
      return STATUS_NO_MEMORY;
    }
    if (w->sort == WRONG_ELSE) {
      r.ohm = (double)NAN;
    }
    r.plays = w->sort == WRONG_ELSE ? "anything"
              : key >= OUT_KEY_ON
                ? arena_format(arena, "on %s", o->plant->outputs[key - OUT_KEY_ON].name)
                : outputs_key_word(OUT_PLAYS, key);
    if (!r.plays) {
      return STATUS_NO_MEMORY;
    }
    rows[m++] = r;
  }
  *n = m;
  return STATUS_OK;
}
