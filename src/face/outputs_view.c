// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/outputs_view.h"

#include "base/text.h"
#include "face/outputs_load.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  A stage hand reads one line a circuit: its number first, then the word of its state, what was
  read, what it should read. Whatever is assumed says so.
*/

const char*
outputs_state_word(OutputState state)
{
  static const char* const words[] = {[OUTPUT_PROVEN] = "proven",
                                      [OUTPUT_UNPROVEN] = "unproven",
                                      [OUTPUT_SUSPECT] = "suspect",
                                      [OUTPUT_BAD] = "bad"};
  return (unsigned)state <= OUTPUT_BAD ? words[state] : "unknown";
}

Paint
outputs_paint(OutputState state)
{
  return state == OUTPUT_PROVEN    ? PAINT_GOOD
         : state == OUTPUT_SUSPECT ? PAINT_WARN
         : state == OUTPUT_BAD     ? PAINT_BAD
                                   : PAINT_PLAIN;
}

static const char*
ohms_text(double ohm, char text[16])
{
  if (isnan(ohm)) {
    return "not known";
  }
  if (isinf(ohm)) {
    return "open";
  }
  (void)snprintf(text, 16, "%.2f ohm", ohm);
  return text;
}

void
outputs_say_step(const Face* face, const OutputStep* step)
{
  const Screen* const screen = face->screen;
  char time[32];
  char lead[64];
  (void)snprintf(lead, sizeof(lead), "Next (%s): ", screen_seconds(step->seconds, time));
  screen_item(screen, PAINT_WARN, "Caution: ", step->caution);
  screen_item(screen, PAINT_STRONG, lead, step->say);
  screen_item(screen, PAINT_PLAIN, "Why: ", step->why);
  TextOut out = {.arena = face->arena};
  text_add(&out, "linewalk outputs %s \"%s\" \"%s=%s\"%s%s%s", face->args->words[0], step->name,
           step->check, step->n_readings ? step->readings[0] : "OHMS",
           step->at[0] ? " --at \"" : "", step->at, step->at[0] ? "\"" : "");
  for (int i = 1; i < step->n_readings; ++i) {
    text_add(&out, "%s%s", i == 1 ? "  (or " : ", ", step->readings[i]);
  }
  text_add(&out, step->n_readings > 1 ? ")" : "");
  const char* const tell = text_done(&out);
  screen_item(screen, PAINT_FAINT, "Then: ", tell ? tell : "");
}

static void
say_load(const Face* face, const Outputs* o, int circuit, const OutputFor* what)
{
  const Screen* const screen = face->screen;
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const Parts* const p = &o->parts[circuit];
  const OutputLoad w = outputs_load(o, circuit, what);
  const double loss_db = what->loss_db;
  const double volts = what->volts;
  if (!(w.load.nominal_ohm > 0.0)) {
    screen_say(screen, PAINT_PLAIN, "The list gives no load in ohms.");
    return;
  }
  screen_say(
    screen, w.load.is_too_low ? PAINT_BAD : PAINT_PLAIN,
    "Load: %.2g ohm nominal, may fall to %.3g (80 %%, IEC 60268-5); the amplifier allows %.3g%s%s",
    w.load.nominal_ohm, w.load.least_ohm, w.load.allowed_ohm,
    w.load.allowed_is_assumed ? " (assumed: the list does not say)" : "",
    w.load.is_too_low ? ": TOO LOW." : ".");
  if (p->has_ohms && p->load_ohm < PARTS_DCR_SUSPECT_RATIO * w.load.nominal_ohm) {
    screen_say(
      screen, PAINT_WARN,
      "The listed %.2f ohm are under 0.6 of the nominal: suspect (common practice, no source).",
      p->load_ohm);
  }
  screen_say(screen, PAINT_PLAIN,
             "Cable: %.2f to %.2f ohm out and back at 20 C%s. At most %.2f dB lost, damping %.0f "
             "by the cable; it "
             "takes %.1f %% of what is drawn, the load loses %.1f %%.",
             w.loop_ohm, w.loop_max_ohm, p->cable_is_listed ? " (as listed)" : "", -w.cable.loss_db,
             w.cable.damping_ratio, 100.0 * w.cable.cable_ratio,
             100.0 * (1.0 - w.cable.load_ratio));
  if (w.has_section && w.section_mm2 > 0.0) {
    screen_say(screen, PAINT_PLAIN,
               "For %.2g dB: at most %.0f m of this section, or %.4g mm2 for this length.", loss_db,
               w.longest_m, w.section_mm2);
  } else if (w.has_section) {
    screen_say(screen, PAINT_PLAIN,
               "For %.2g dB: at most %.0f m of this section; no section of the table does it.",
               loss_db, w.longest_m);
  }
  screen_say(
    screen, PAINT_PLAIN,
    "At %.3g V rms and the nominal load: %.0f W drawn, %.1f W in the cable, %.0f W in each of %d "
    "drivers%s. "
    "%.3g V are %s.",
    volts, w.watts.drawn_w, w.watts.cable_w, w.n_drivers ? w.watts.load_w / w.n_drivers : 0.0,
    w.n_drivers, p->drivers_are_assumed ? " (one a box assumed)" : "", volts,
    limit_volts_text(limit_of_volts(volts)));
  if (w.power.is_known) {
    const char* const at =
      w.high_hz > w.low_hz
        ? arena_format(face->arena, "From %.4g to %.4g Hz (even by octaves)", w.low_hz, w.high_hz)
        : arena_format(face->arena, "At %.4g Hz", w.low_hz);
    screen_say(
      screen, PAINT_PLAIN,
      "%s by the circuit itself: %.3g ohm, %.0f W drawn, %.1f W in the cable, %.0f W in a "
      "driver%s%s. The cone is taken to stand still.",
      at ? at : "", w.power.size_ohm, w.power.drawn_w, w.power.cable_w, w.power.driver_w,
      w.power.high_w > 0.0 ? arena_format(face->arena, ", %.1f W in a high one", w.power.high_w)
                           : "",
      w.power.coil_is_known ? "" : "; coils as their direct ohms, no inductance is listed");
  }
  if (w.volts_full > 0.0) {
    screen_say(screen, w.volts_full > LIMIT_ELV_V ? PAINT_WARN : PAINT_PLAIN,
               "In full it gives %.0f V: %s.", w.volts_full,
               limit_volts_text(limit_of_volts(w.volts_full)));
  }
  if (c->mode == OUTPUT_BRIDGED) {
    screen_say(screen, PAINT_WARN,
               "Bridged: neither pole is earth; each channel works into %.2g ohm.",
               w.load.channel_ohm);
  }
}

// What a 70 or 100 V line should read, as far as anybody can say.
static void
say_line(const Face* face, const Outputs* o, int circuit)
{
  const Screen* const screen = face->screen;
  const PartsLine line = parts_line(&o->plant->outputs[circuit]);
  char one[16];
  char two[16];
  screen_say(screen, PAINT_PLAIN,
             "A line with transformers: what its windings read at direct current is not known, so "
             "ohms only tell an open from a closed circuit.");
  if (!line.is_known) {
    screen_say(screen, PAINT_PLAIN, "The list names no tap, so its load is not known either.");
    return;
  }
  screen_say(
    screen, PAINT_PLAIN,
    "By its taps it is %s at 1 kHz for an impedance meter; may fall to 80 %% (IEC 60268-5). "
    "One box less: %s; a tap a step too high: %s.",
    ohms_text(line.size_ohm, one), ohms_text(line.missing_ohm, two),
    arena_format(face->arena, "%.2f ohm", line.tap_high_ohm));
  if (line.amp_w > 0.0) {
    screen_say(screen, line.is_too_much ? PAINT_BAD : PAINT_PLAIN,
               "Taps: %.4g W of the amplifier's %.4g W%s.", line.taps_w, line.amp_w,
               line.is_too_much ? ": more than 80 %, TOO MUCH (usual practice, no source)"
                                : ", 80 % may be used (usual practice, no source)");
  } else {
    screen_say(screen, PAINT_PLAIN, "Taps: %.4g W; what the amplifier gives is not listed.",
               line.taps_w);
  }
}

static void
say_impedances(const Face* face, const Outputs* o, int circuit)
{
  const OutputSeen* last = NULL;
  for (int i = 0; i < o->n_seen; ++i) {
    last = o->seen[i].circuit == circuit && o->seen[i].check == OUT_IMPEDANCE ? &o->seen[i] : last;
  }
  for (int k = 0; last && k < last->n_points; ++k) {
    int n = 0;
    char one[16];
    const double off = outputs_impedance_off(o, last, k, &n);
    const char* const against =
      isnan(off) || isinf(off) ? ""
      : n
        ? arena_format(face->arena, ", %+.0f %% against %d of its like", 100.0 * off, n)
        : arena_format(face->arena, ", %+.0f %% against the list, which says little", 100.0 * off);
    screen_say(face->screen, PAINT_PLAIN, "Impedance at %.4g Hz: %s%s.", last->point_hz[k],
               ohms_text(last->point_ohm[k], one), against ? against : "");
  }
}

static void
say_ohms(const Face* face, const Outputs* o, int circuit)
{
  const Screen* const screen = face->screen;
  const OutputStanding* const s = &o->standing[circuit];
  const Parts* const p = &o->parts[circuit];
  const Wrong none = {.sort = WRONG_NONE, .other = -1};
  char one[16];
  char two[16];
  if (p->is_line) {
    say_line(face, o, circuit);
    return;
  }
  if (!p->has_ohms) {
    return;
  }
  screen_say(screen, PAINT_PLAIN, "Ohms at the amplifier's end: %s by the list at 20 C%s.",
             ohms_text(s->expect_ohm, one), p->load_is_assumed ? " (0.7 of nominal assumed)" : "");
  if (s->has_ohms) {
    screen_say(screen, s->twin.is_off ? PAINT_BAD : PAINT_PLAIN, "Read: %s.",
               ohms_text(s->ohm, one));
  }
  if (s->twin.is_read && s->twin.n_like > 0) {
    screen_say(screen, s->twin.is_off ? PAINT_BAD : PAINT_PLAIN,
               "Its like (%d read) say %s here and now: %+.1f %%%s.", s->twin.n_like,
               ohms_text(s->twin.should_ohm, two), 100.0 * s->twin.off_ratio,
               s->twin.is_off ? ", more than 8 % off" : "");
  } else if (s->twin.is_read) {
    screen_say(screen, PAINT_PLAIN,
               "Nothing like it was read yet: by the list alone nothing is called off.");
  }
  if (s->twin.is_read && !isnan(s->twin.own_ratio)) {
    screen_say(screen, s->twin.off_by_own ? PAINT_BAD : PAINT_PLAIN,
               "Against its own last good reading: %+.1f %%.", 100.0 * s->twin.own_ratio);
  }
  if (s->twin.has_scale) {
    screen_say(screen, PAINT_PLAIN,
               "Copper at %.0f C (%s); it reads 3.9 %% more for each 10 K (common practice).",
               s->twin.celsius, s->twin.scale_is_given ? "entered" : "from what its hang reads");
  }
  for (int k = 1; k < p->n_boxes; ++k) {
    screen_say(screen, PAINT_PLAIN, "Into link %d, pulled out of box %d: %s.", k, k,
               ohms_text(outputs_ohm(o, circuit, &none, k), one));
  }
}

Status
outputs_say_whole(const Face* face, const Outputs* o, int circuit, const OutputFor* what)
{
  const Screen* const screen = face->screen;
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const OutputStanding* const s = &o->standing[circuit];
  OutputRow rows[OUTPUT_MAX_ROWS];
  int n = 0;
  Status st;
  screen_say(screen, outputs_paint(s->state), "%s  %s: %s", c->name, outputs_state_word(s->state),
             s->say);
  screen_say(screen, PAINT_PLAIN, "%s%s%s%s%s%s%s%s", c->zone_name, c->band[0] ? ", " : "", c->band,
             c->amp[0]           ? ", "
             : c->transmitter[0] ? ", "
                                 : "",
             c->amp[0] ? c->amp : c->transmitter,
             c->amp_channel ? arena_format(face->arena, " channel %d", c->amp_channel) : "",
             c->pins[0] ? arena_format(face->arena, ", %s", c->pins) : "",
             c->amp[0] ? (s->is_unplugged ? ", unplugged from it" : ", PLUGGED: may be live") : "");
  if (!c->transmitter[0]) {
    say_ohms(face, o, circuit);
    say_impedances(face, o, circuit);
    say_load(face, o, circuit, what);
  }
  TRY(st, outputs_rows(o, face->arena, circuit, rows, &n));
  screen_gap(screen);
  screen_say(screen, PAINT_STRONG,
             "What it may be, what it then reads at the amplifier's end and plays:");
  for (int i = 0; i < n && i < 12; ++i) {
    char one[16];
    char lead[24];
    if (rows[i].prob < 0.005) {
      (void)snprintf(lead, sizeof(lead), "   <1 in 100  ");
    } else {
      (void)snprintf(lead, sizeof(lead), "  %3.0f in 100  ", 100.0 * rows[i].prob);
    }
    const char* const text = arena_format(face->arena, "%s, %s: %s, %s", rows[i].fault,
                                          rows[i].part, ohms_text(rows[i].ohm, one), rows[i].plays);
    screen_item(screen, PAINT_PLAIN, lead, text ? text : "");
  }
  screen_say(screen, PAINT_FAINT, "Odds and times are usual practice, no source.");
  return STATUS_OK;
}

void
outputs_say_drive(const Face* face, const Outputs* o, int drive)
{
  const OutputDrive* const d = &o->drives[drive];
  const OutputDriveStanding* const s = &o->drive_standing[drive];
  const char* const name = outputs_drive_text(d, o, face->arena);
  const char* const level =
    d->is_listed ? arena_format(face->arena, ", %g dBu at the amplifier", d->line.level_dbu) : "";
  const char* const say =
    arena_format(face->arena, "%s%s%s%s", d->line.desk_output, level ? level : "",
                 s->say[0] && d->line.desk_output[0] ? ": " : "", s->say);
  screen_cell(face->screen, PAINT_STRONG, name ? name : "", 14); // "return R10 R11"
  screen_cell(face->screen, PAINT_PLAIN, "", 1);
  screen_cell(face->screen, outputs_paint(s->state), outputs_state_word(s->state), 9);
  screen_rest(face->screen, PAINT_PLAIN, 24, 16, say ? say : "");
}

void
outputs_say_zones(const Face* face, const Outputs* o)
{
  const Screen* const screen = face->screen;
  screen_say(screen, PAINT_FAINT, "Circuit, state, ohms read / as they should read now.");
  for (int i = 0; i < o->n; ++i) {
    const OutputCircuit* const c = &o->plant->outputs[i];
    const OutputCircuit* const before = i ? &o->plant->outputs[i - 1] : NULL;
    const OutputStanding* const s = &o->standing[i];
    char ohm[16] = "";
    char want[16] = "";
    if (!before || before->zone != c->zone || !before->mix != !c->mix) {
      screen_gap(screen);
      if (c->mix) {
        screen_say(screen, PAINT_STRONG, "Monitor mixes");
      } else {
        screen_say(screen, PAINT_STRONG, "Zone %d, %s", c->zone, c->zone_name);
      }
      for (int d = 0; d < o->n_drives; ++d) { // A mix's return stands with all of them
        if (c->mix ? o->drives[d].mix != 0 : o->drive_of[i] == d) {
          outputs_say_drive(face, o, d);
        }
      }
    }
    if (s->has_ohms) {
      (void)snprintf(ohm, sizeof(ohm), isinf(s->ohm) ? "open" : "%.2f", s->ohm);
    }
    if (s->now_ohm > 0.0) {
      (void)snprintf(want, sizeof(want), "%.2f", s->now_ohm);
    }
    screen_cell(screen, PAINT_STRONG, c->name, 7);
    screen_cell(screen, outputs_paint(s->state), outputs_state_word(s->state), 9);
    screen_cell(screen, PAINT_PLAIN, ohm[0] ? ohm : "-", 7);
    screen_cell(screen, PAINT_FAINT, want[0] ? arena_format(face->arena, "/%s", want) : "", 8);
    screen_rest(screen, PAINT_PLAIN, 31, 16,
                c->mix ? arena_format(face->arena, "%s; %s", c->zone_name, s->say) : s->say);
  }
}

Status
outputs_say_card(const Face* face, const Outputs* o, const char* name)
{
  FILE* const out = face->screen->out;
  const char* zone = NULL;
  for (int i = 0; i < o->n; ++i) {
    const OutputCircuit* const c = &o->plant->outputs[i];
    const OutputStanding* const s = &o->standing[i];
    const char* const title = c->mix ? "Monitor mixes" : c->zone_name;
    char want[16] = "     -";
    char got[16] = "______";
    if (name && !outputs_about(o->plant, i, name)) {
      continue;
    }
    if (!zone || strcmp(zone, title) != 0) {
      (void)fprintf(out, "%s%s\n", zone ? "\n" : "", title);
      (void)fprintf(out, "%-7s %-6s %-2s %-9s %6s %6s %-5s %-5s %s\n", "circuit", "amp", "ch",
                    "pins", "ohm", "got", "pulse", "plays", "preset");
      zone = title;
    }
    if (s->expect_ohm > 0.0) {
      (void)snprintf(want, sizeof(want), "%6.2f", s->expect_ohm);
    }
    if (s->has_ohms) {
      (void)snprintf(got, sizeof(got), isinf(s->ohm) ? "  open" : "%6.2f", s->ohm);
    }
    (void)fprintf(
      out, "%-7s %-6s %-2d %-9s %6s %6s %-5s %-5s %s\n", c->name, c->amp[0] ? c->amp : "-",
      c->amp_channel, c->pins, want, got, s->seen >> OUT_PULSE & 1u ? "  +" : "[   ]",
      s->seen >> OUT_PLAYS & 1u ? " yes" : "[   ]", c->preset[0] ? c->preset : c->transmitter);
  }
  if (!zone) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "There is no circuit, mix, amplifier or zone \"%.40s\" on the lists.",
                     name ? name : "");
  }
  (void)fprintf(out, "\nTemperature ____ C   leads ____ ohm\n");
  screen_say(face->screen, PAINT_PLAIN,
             "Ohms at 20 C, the meter's leads taken off. Compare twins, not lists; 4- and 8-pole "
             "cables are proven with both ends far apart (common practice, no source).");
  screen_item(face->screen, PAINT_WARN, "Caution: ",
              outputs_caution(&o->plant->outputs[0], OUTPUT_DOES_CHECK, OUT_OHMS, FIX_PRESET));
  return STATUS_OK;
}
