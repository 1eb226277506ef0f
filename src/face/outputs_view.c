// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/outputs_view.h"

#include "base/text.h"
#include "speaker/cable.h"
#include "speaker/limit.h"

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

// ---- Figures ----

// Ohms for JSON: "open" where there is no path, null where nothing is known.
static json_t*
ohms_json(double ohm)
{
  return isinf(ohm) ? json_string("open") : json_figure(ohm);
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

static json_t*
seen_json(const OutputStanding* s)
{
  json_t* const seen = json_array();
  for (int k = 0; k < OUT_REPAIR; ++k) {
    if (s->seen >> k & 1u) {
      json_array_append_new(seen, json_words(outputs_check_word((OutputCheck)k)));
    }
  }
  return seen;
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
  json_object_set_new(row, "seen", seen_json(s));
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

// ---- One circuit whole ----

typedef struct {
  LimitLoad load;
  double loop_ohm, loop_max_ohm;
  CableFigures cable;
  double longest_m, section_mm2;
  bool has_section;
  CableWatts watts;
  int n_drivers;
  double volts_full; ///< Of the power the list gives; 0 = not said
} Whole;

static Whole
whole_of(const Outputs* o, int circuit, double loss_db, double volts)
{
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const Parts* const p = &o->parts[circuit];
  Whole w = {.load = limit_load(c), .loop_ohm = p->cable_ohm, .loop_max_ohm = p->cable_max_ohm};
  Conductor copper;
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

static json_t*
load_json(const Whole* w, const Parts* p, const OutputCircuit* c, double loss_db, double volts)
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
  json_object_set_new(all, "volts_are", json_words(limit_volts_text(limit_of_volts(volts))));
  json_object_set_new(all, "amp_volts",
                      w->volts_full > 0.0 ? json_figure(w->volts_full) : json_null());
  return all;
}

enum { MOST_ODDS = 40 };

// What each fault reads and how likely it is now, most likely first; equal ones (which of two
// boxes) stand together.
typedef struct {
  const char* fault;
  const char* part;
  double prob;
  double ohm;
  const char* plays;
} Row;

static Status
rows_of(const Outputs* o, Arena* arena, int circuit, Row rows[MOST_ODDS], int* n)
{
  const OutputSuspect* list = NULL;
  int n_list = 0;
  int m = 0;
  Status st;
  TRY(st, outputs_suspects(o, arena, circuit, &list, &n_list));
  for (int i = 0; i < n_list && m < MOST_ODDS; ++i) {
    const Wrong* const w = &list[i].wrong;
    Row r = {outputs_fault_text(o, arena, circuit, w), outputs_part_text(o, arena, circuit, w),
             list[i].prob, outputs_ohm(o, circuit, w, OUT_AT_AMP), ""};
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

json_t*
outputs_json_whole(const Outputs* o, Arena* arena, int circuit, double loss_db, double volts)
{
  const Parts* const p = &o->parts[circuit];
  const Whole w = whole_of(o, circuit, loss_db, volts);
  const Wrong none = {.sort = WRONG_NONE, .other = -1};
  Row rows[MOST_ODDS];
  int n = 0;
  if (rows_of(o, arena, circuit, rows, &n) != STATUS_OK) {
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
  json_object_set_new(all, "load", load_json(&w, p, &o->plant->outputs[circuit], loss_db, volts));
  json_object_set_new(all, "links", links);
  json_object_set_new(all, "odds", odds);
  return all;
}

// ---- Words ----

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
say_load(const Face* face, const Outputs* o, int circuit, double loss_db, double volts)
{
  const Screen* const screen = face->screen;
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const Parts* const p = &o->parts[circuit];
  const Whole w = whole_of(o, circuit, loss_db, volts);
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
  screen_say(screen, PAINT_PLAIN,
             "At %.3g V rms: %.0f W drawn, %.1f W in the cable, %.0f W in each of %d drivers%s. "
             "%.3g V are %s.",
             volts, w.watts.drawn_w, w.watts.cable_w,
             w.n_drivers ? w.watts.load_w / w.n_drivers : 0.0, w.n_drivers,
             p->drivers_are_assumed ? " (one a box assumed)" : "", volts,
             limit_volts_text(limit_of_volts(volts)));
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
    screen_say(screen, PAINT_PLAIN,
               "A line with transformers: ohms only tell an open from a closed circuit.");
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
outputs_say_whole(const Face* face, const Outputs* o, int circuit, double loss_db, double volts)
{
  const Screen* const screen = face->screen;
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const OutputStanding* const s = &o->standing[circuit];
  Row rows[MOST_ODDS];
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
    say_load(face, o, circuit, loss_db, volts);
  }
  TRY(st, rows_of(o, face->arena, circuit, rows, &n));
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
outputs_say_zones(const Face* face, const Outputs* o)
{
  const Screen* const screen = face->screen;
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

Status
outputs_next(const Face* face, const Outputs* o, const char* name, OutputStep* step, bool* has)
{
  int worst = -1;
  Status st = STATUS_OK;
  *has = false;
  for (int i = 0; i < o->n; ++i) {
    const OutputStanding* const s = &o->standing[i];
    const bool about = !name || outputs_about(o->plant, i, name);
    if (about && s->state >= OUTPUT_SUSPECT && !s->is_noted &&
        (worst < 0 || s->state > o->standing[worst].state)) {
      worst = i;
    }
  }
  if (worst >= 0) {
    OutputAdvice advice;
    TRY(st, outputs_advise(o, face->arena, worst, &advice));
    if (advice.n_steps > 0) {
      *step = advice.steps[0];
      *has = true;
      return STATUS_OK;
    }
  }
  const OutputStop* stops = NULL;
  int n = 0;
  TRY(st, outputs_round(o, face->arena, -1, &stops, &n, NULL));
  for (int i = 0; i < n && !*has; ++i) {
    if (!stops[i].is_done && !o->standing[stops[i].circuit].is_noted &&
        (!name || outputs_about(o->plant, stops[i].circuit, name))) {
      TRY(st, outputs_routine(o, face->arena, stops[i].circuit, stops[i].check, 0, step));
      step->seconds = stops[i].seconds;
      *has = true;
    }
  }
  return STATUS_OK;
}
