// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/outputs_load.h"
#include "face/outputs_view.h"

#include <math.h>

/*
  Circuits, mixes and drive lines in JSON (docs/schema/outputs.json).
*/

// Ohms for JSON: "open" where there is no path, null where nothing is known.
static json_t*
ohms_json(double ohm)
{
  return isinf(ohm) ? json_string("open") : json_figure(ohm);
}

static json_t*
seen_json(unsigned bits)
{
  json_t* const seen = json_array();
  for (int k = 0; k < OUT_REPAIR; ++k) {
    if (bits >> k & 1u) {
      json_array_append_new(seen, json_words(outputs_check_word((OutputCheck)k)));
    }
  }
  return seen;
}

// The last reading of an impedance, point by point.
static json_t*
impedances_json(const Outputs* o, int circuit)
{
  const OutputSeen* last = NULL;
  json_t* const all = json_array();
  for (int i = 0; i < o->n_seen; ++i) {
    last = o->seen[i].circuit == circuit && o->seen[i].check == OUT_IMPEDANCE ? &o->seen[i] : last;
  }
  for (int k = 0; last && k < last->n_points; ++k) {
    int n_like = 0;
    const double off = outputs_impedance_off(o, last, k, &n_like);
    json_t* const one = json_object();
    json_object_set_new(one, "hz", json_figure(last->point_hz[k]));
    json_object_set_new(one, "ohm", ohms_json(last->point_ohm[k]));
    json_object_set_new(one, "like", json_integer(n_like));
    json_object_set_new(one, "off_percent", isinf(off) ? json_null() : json_figure(100.0 * off));
    json_array_append_new(all, one);
  }
  return all;
}

json_t*
outputs_json_row(const Outputs* o, int circuit)
{
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const OutputStanding* const s = &o->standing[circuit];
  static const char* const modes[] = {"single", "bridged", "parallel"};
  json_t* const row = json_object();
  const int place = o->place[circuit];
  json_object_set_new(row, "circuit", json_words(c->name));
  json_object_set_new(row, "zone", c->mix ? json_null() : json_integer(c->zone));
  json_object_set_new(row, "mix", c->mix ? json_integer(c->mix) : json_null());
  json_object_set_new(row, "name", json_words(c->zone_name));
  json_object_set_new(row, "band", json_words(c->band));
  json_object_set_new(row, "amp", json_words(c->amp));
  json_object_set_new(row, "channel", json_integer(c->amp_channel));
  json_object_set_new(row, "mode", json_words(modes[c->mode]));
  json_object_set_new(row, "transmitter", json_words(c->transmitter));
  json_object_set_new(row, "pins", json_words(c->pins));
  json_object_set_new(row, "boxes", json_integer(c->n_boxes));
  json_object_set_new(row, "preset", json_words(c->preset));
  json_object_set_new(row, "at", json_words(place >= 0 ? o->plant->places[place] : ""));
  json_object_set_new(row, "hangs", json_boolean(outputs_hangs(c)));
  json_object_set_new(row, "state", json_words(outputs_state_word(s->state)));
  json_object_set_new(row, "say", json_words(s->say));
  json_object_set_new(row, "unplugged", json_boolean(s->is_unplugged));
  json_object_set_new(row, "ohm", s->has_ohms ? ohms_json(s->ohm) : json_null());
  json_object_set_new(row, "expect_ohm",
                      s->expect_ohm > 0.0 ? json_figure(s->expect_ohm) : json_null());
  json_object_set_new(row, "now_ohm", s->now_ohm > 0.0 ? json_figure(s->now_ohm) : json_null());
  json_object_set_new(row, "twins", json_integer(s->twin.n_like));
  json_object_set_new(row, "off_percent",
                      s->twin.n_like > 0 ? json_figure(100.0 * s->twin.off_ratio) : json_null());
  json_object_set_new(row, "own_percent", json_figure(100.0 * s->twin.own_ratio));
  json_object_set_new(row, "off", json_boolean(s->twin.is_off));
  json_object_set_new(row, "celsius", json_figure(s->twin.celsius));
  json_object_set_new(row, "celsius_given", json_boolean(s->twin.scale_is_given));
  json_object_set_new(row, "impedances", impedances_json(o, circuit));
  json_object_set_new(row, "seen", seen_json(s->seen));
  return row;
}

json_t*
outputs_json_step(const Outputs* o, const OutputStep* step)
{
  static const char* const does[] = {"check", "repair", "ask"};
  json_t* const one = json_object();
  json_object_set_new(one, "circuit", json_words(o->plant->outputs[step->circuit].name));
  json_object_set_new(one, "tell", json_words(step->name));
  json_object_set_new(one, "does", json_words(does[step->does]));
  json_object_set_new(one, "check", json_words(step->check));
  json_object_set_new(one, "at", json_words(step->at));
  json_object_set_new(one, "for", json_words(step->for_what));
  json_object_set_new(one, "say", json_words(step->say));
  json_object_set_new(one, "why", json_words(step->why));
  json_object_set_new(one, "caution", json_words(step->caution));
  json_object_set_new(one, "seconds", json_figure(step->seconds));
  json_object_set_new(one, "readings", json_list(step->readings, step->n_readings));
  return one;
}

// Watts from the circuit itself; null where it has no ohms of its own.
static json_t*
power_json(const OutputLoad* w)
{
  const PartsPower* const p = &w->power;
  json_t* const all = p->is_known ? json_object() : json_null();
  if (p->is_known) {
    json_object_set_new(all, "hz", json_figure(w->low_hz));
    json_object_set_new(all, "to_hz", json_figure(w->high_hz));
    json_object_set_new(all, "impedance_ohm", json_figure(p->size_ohm));
    json_object_set_new(all, "coil_known", json_boolean(p->coil_is_known));
    json_object_set_new(all, "drawn_w", json_figure(p->drawn_w));
    json_object_set_new(all, "cable_w", json_figure(p->cable_w));
    json_object_set_new(all, "driver_w", json_figure(p->driver_w));
    json_object_set_new(all, "high_w", p->high_w > 0.0 ? json_figure(p->high_w) : json_null());
  }
  return all;
}

// A 70 or 100 V line; null for any other circuit, and where the list names no tap.
static json_t*
line_json(const PartsLine* line, const OutputCircuit* c)
{
  json_t* const all = line->is_known ? json_object() : json_null();
  if (line->is_known) {
    json_object_set_new(all, "volts", json_figure(c->line_v));
    json_object_set_new(all, "tap_w", json_figure(c->tap_w));
    json_object_set_new(all, "taps_w", json_figure(line->taps_w));
    json_object_set_new(all, "amp_w", line->amp_w > 0.0 ? json_figure(line->amp_w) : json_null());
    json_object_set_new(all, "too_much", json_boolean(line->is_too_much));
    json_object_set_new(all, "impedance_ohm", json_figure(line->size_ohm));
    json_object_set_new(all, "box_missing_ohm", ohms_json(line->missing_ohm));
    json_object_set_new(all, "tap_high_ohm", json_figure(line->tap_high_ohm));
  }
  return all;
}

static json_t*
load_json(const OutputLoad* w, const Parts* p, const OutputCircuit* c, double loss_db, double volts)
{
  json_t* const all = json_object();
  json_object_set_new(all, "nominal_ohm",
                      w->load.nominal_ohm > 0.0 ? json_figure(w->load.nominal_ohm) : json_null());
  json_object_set_new(all, "least_ohm", json_figure(w->load.least_ohm));
  json_object_set_new(all, "channel_ohm", json_figure(w->load.channel_ohm));
  json_object_set_new(all, "allowed_ohm", json_figure(w->load.allowed_ohm));
  json_object_set_new(all, "allowed_assumed", json_boolean(w->load.allowed_is_assumed));
  json_object_set_new(all, "too_low", json_boolean(w->load.is_too_low));
  json_object_set_new(all, "load_dc_ohm", p->has_ohms ? json_figure(p->load_ohm) : json_null());
  json_object_set_new(all, "load_assumed", json_boolean(p->load_is_assumed));
  json_object_set_new(all, "cable_m", c->cable_m > 0.0 ? json_figure(c->cable_m) : json_null());
  json_object_set_new(all, "cable_mm2",
                      c->cable_mm2 > 0.0 ? json_figure(c->cable_mm2) : json_null());
  json_object_set_new(all, "cable_ohm", json_figure(w->loop_ohm));
  json_object_set_new(all, "cable_max_ohm", json_figure(w->loop_max_ohm));
  json_object_set_new(all, "loss_db", json_figure(w->cable.loss_db));
  json_object_set_new(all, "cable_takes_percent", json_figure(100.0 * w->cable.cable_ratio));
  json_object_set_new(
    all, "load_loses_percent",
    json_figure(w->load.nominal_ohm > 0.0 ? 100.0 * (1.0 - w->cable.load_ratio) : (double)NAN));
  json_object_set_new(all, "damping", json_figure(w->cable.damping_ratio));
  json_object_set_new(all, "for_loss_db", json_figure(loss_db));
  json_object_set_new(all, "longest_m", w->has_section ? json_figure(w->longest_m) : json_null());
  json_object_set_new(all, "section_mm2",
                      w->section_mm2 > 0.0 ? json_figure(w->section_mm2) : json_null());
  json_object_set_new(all, "volts", json_figure(volts));
  json_object_set_new(all, "drawn_w", json_figure(w->watts.drawn_w));
  json_object_set_new(all, "cable_w", json_figure(w->watts.cable_w));
  json_object_set_new(all, "driver_w",
                      w->n_drivers > 0 ? json_figure(w->watts.load_w / w->n_drivers) : json_null());
  json_object_set_new(all, "power", power_json(w));
  json_object_set_new(all, "line", line_json(&w->line, c));
  json_object_set_new(all, "volts_are", json_words(limit_volts_text(limit_of_volts(volts))));
  json_object_set_new(all, "amp_volts",
                      w->volts_full > 0.0 ? json_figure(w->volts_full) : json_null());
  return all;
}

json_t*
outputs_json_whole(const Outputs* o, Arena* arena, int circuit, const OutputFor* what)
{
  const Parts* const p = &o->parts[circuit];
  const OutputLoad w = outputs_load(o, circuit, what);
  const Wrong none = {.sort = WRONG_NONE, .other = -1};
  OutputRow rows[OUTPUT_MAX_ROWS];
  int n = 0;
  if (outputs_rows(o, arena, circuit, rows, &n) != STATUS_OK) {
    return NULL;
  }
  json_t* const all = outputs_json_row(o, circuit);
  json_t* const odds = json_array();
  json_t* const links = json_array();
  for (int i = 0; i < n; ++i) {
    json_t* const one = json_object();
    json_object_set_new(one, "part", json_words(rows[i].part));
    json_object_set_new(one, "fault", json_words(rows[i].fault));
    json_object_set_new(one, "prob", json_figure(rows[i].prob));
    json_object_set_new(one, "reads_ohm", ohms_json(rows[i].ohm));
    json_object_set_new(one, "plays", json_words(rows[i].plays));
    json_array_append_new(odds, one);
  }
  for (int k = 1; p->has_ohms && k < p->n_boxes; ++k) {
    json_t* const one = json_object();
    json_object_set_new(one, "link", json_integer(k));
    json_object_set_new(one, "ohm", ohms_json(outputs_ohm(o, circuit, &none, k)));
    json_array_append_new(links, one);
  }
  json_object_set_new(all, "load",
                      load_json(&w, p, &o->plant->outputs[circuit], what->loss_db, what->volts));
  json_object_set_new(all, "links", links);
  json_object_set_new(all, "odds", odds);
  return all;
}

json_t*
outputs_json_drive(const Outputs* o, Arena* arena, int drive)
{
  const OutputDrive* const d = &o->drives[drive];
  const OutputDriveStanding* const s = &o->drive_standing[drive];
  const OutputCircuit* const c = &o->plant->outputs[d->circuits[0]];
  const char* const name = outputs_drive_text(d, o, arena);
  const OutputSuspect* list = NULL;
  int n = 0;
  if (!name || outputs_drive_suspects(o, arena, drive, &list, &n) != STATUS_OK) {
    return NULL;
  }
  json_t* const one = json_object();
  json_t* const odds = json_array();
  json_t* const presets = json_object();
  for (int i = 0; i < n && i < 3; ++i) {
    const char* const fault = outputs_fault_text(o, arena, d->circuits[0], &list[i].wrong);
    const char* const part = outputs_part_text(o, arena, d->circuits[0], &list[i].wrong);
    json_t* const row = json_object();
    json_object_set_new(row, "part", json_words(part ? part : ""));
    json_object_set_new(row, "fault", json_words(fault ? fault : ""));
    json_object_set_new(row, "prob", json_figure(list[i].prob));
    json_array_append_new(odds, row);
  }
  json_object_set_new(presets, "right", json_integer(s->n_right));
  json_object_set_new(presets, "wrong", json_integer(s->n_wrong));
  json_object_set_new(presets, "not_read", json_integer(s->n_not_read));
  json_object_set_new(one, "drive", json_words(name));
  json_object_set_new(one, "tell",
                      json_words(d->mix ? c->name : arena_format(arena, "zone %d", d->zone)));
  json_object_set_new(one, "zone", d->mix ? json_null() : json_integer(d->zone));
  json_object_set_new(one, "mix", d->mix ? json_integer(d->mix) : json_null());
  json_object_set_new(one, "name", json_words(c->zone_name));
  json_object_set_new(one, "desk_output", json_words(d->line.desk_output));
  json_object_set_new(one, "listed", json_boolean(d->is_listed));
  json_object_set_new(one, "level_dbu",
                      d->is_listed ? json_figure(d->line.level_dbu) : json_null());
  json_object_set_new(one, "state", json_words(outputs_state_word(s->state)));
  json_object_set_new(one, "say", json_words(s->say));
  json_object_set_new(one, "bad_prob", json_figure(s->bad_prob));
  json_object_set_new(one, "presets", presets);
  json_object_set_new(one, "seen", seen_json(s->seen));
  json_object_set_new(one, "odds", odds);
  json_object_set_new(one, "caution",
                      json_words(outputs_caution(c, OUTPUT_DOES_CHECK, OUT_TONE, FIX_DRIVE)));
  return one;
}
