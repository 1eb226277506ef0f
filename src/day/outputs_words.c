// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/outputs.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  Readings of outputs as people type them, and back. One table says which words a check has, at what
  places it is made and of whom it is told.
*/

enum { OF_CIRCUIT = 1, OF_AMP = 2, OF_ZONE = 4 };

static const struct {
  const char* word;
  const char* keys[PLAYS_WORDS + 1];
  const char* place; ///< "link" or "box": where else than at the amplifier; NULL = nowhere
  unsigned of;       ///< Whom a reading may be told of
} checks[OUT_CHECKS] = {
  [OUT_PRESET] = {"preset", {"right", "wrong"}, NULL, OF_CIRCUIT | OF_AMP},
  [OUT_LIGHT] = {"light", {"fine", "protects", "dark"}, NULL, OF_CIRCUIT | OF_AMP},
  [OUT_TONE] = {"tone", {"normal", "low", "nothing"}, NULL, OF_CIRCUIT | OF_ZONE},
  [OUT_HUM] = {"hum", {"none", "audible", "loud"}, NULL, OF_CIRCUIT | OF_ZONE},
  [OUT_NAME] = {"name", {"yes", "nothing"}, NULL, OF_CIRCUIT | OF_ZONE},
  [OUT_OHMS] = {"ohms", {NULL}, "link", OF_CIRCUIT},
  [OUT_PLAYS] = {"plays", {"right", "nothing", "quiet", "dull", "other"}, "box", OF_CIRCUIT},
  [OUT_PULSE] = {"pulse", {"same", "inverted", "nothing"}, "box", OF_CIRCUIT},
  [OUT_SUM] = {"sum", {"louder", "weaker"}, NULL, OF_CIRCUIT},
  [OUT_IMPEDANCE] = {"impedance", {NULL}, NULL, OF_CIRCUIT},
  [OUT_REPAIR] = {"repair", {"better", "same"}, NULL, OF_CIRCUIT | OF_AMP | OF_ZONE}};

static const char* const fix_words[FIX_COUNT] = {
  [FIX_PRESET] = "load preset",   [FIX_SWITCH] = "switch on",   [FIX_DRIVE] = "swap drive",
  [FIX_PATCH] = "move plug",      [FIX_PLUG] = "lock plug",     [FIX_CABLE] = "swap cable",
  [FIX_LINK] = "swap link",       [FIX_BOX] = "swap box",       [FIX_TAP] = "set tap",
  [FIX_UNMUTE] = "unmute output", [FIX_OUTPUT] = "move output", [FIX_CONTENT] = "set mix",
  [FIX_NOTE] = "note it"};

const char*
outputs_check_word(OutputCheck check)
{
  return (unsigned)check < OUT_CHECKS ? checks[check].word : "unknown";
}

const char*
outputs_key_word(OutputCheck check, int key)
{
  return (unsigned)check < OUT_CHECKS && key >= 0 && key < PLAYS_WORDS ? checks[check].keys[key]
                                                                       : NULL;
}

const char*
outputs_at_text(Arena* arena, OutputCheck check, int at)
{
  if (check == OUT_OHMS && at <= 0) {
    return at == OUT_AT_CABLE ? "cable" : "amp";
  }
  return at > 0 && checks[check].place ? arena_format(arena, "%s %d", checks[check].place, at) : "";
}

const char*
outputs_fix_text(Arena* arena, OutputFix fix, int at)
{
  return fix == FIX_LINK || fix == FIX_BOX || fix == FIX_TAP
           ? arena_format(arena, "%s %d", fix_words[fix], at)
           : fix_words[fix];
}

// "zone 5", or a drive line by its number: the zone that it feeds.
static bool
zone_of(const Plant* plant, const char* name, int* zone)
{
  const char* const number = text_begins(name, "zone ")         ? name + 5
                             : text_begins(name, "drive line ") ? name + 11
                             : text_begins(name, "drive ")      ? name + 6
                                                                : NULL;
  if (!number || !text_whole(number, 1, 9999, zone)) {
    return false;
  }
  for (int i = 0; number != name + 5 && i < plant->n_drives; ++i) {
    if (plant->drives[i].number == *zone && plant->drives[i].zone) {
      *zone = plant->drives[i].zone;
      break;
    }
  }
  return true;
}

// Whom a name means, seen from one circuit; 0 = not this one.
static unsigned
means(const Plant* plant, int circuit, const char* name)
{
  const OutputCircuit* const c = &plant->outputs[circuit];
  int zone = 0;
  if (plant_output(plant, name) == circuit) {
    return OF_CIRCUIT;
  }
  if (c->amp[0] && text_same(c->amp, name)) {
    return OF_AMP;
  }
  if (c->mix && c->return_pair[0] && text_begins(name, "return ") &&
      text_same(name + 7, c->return_pair)) {
    return OF_CIRCUIT;
  }
  return zone_of(plant, name, &zone) && c->zone == zone && !c->mix ? OF_ZONE : 0;
}

bool
outputs_about(const Plant* plant, int circuit, const char* name)
{
  return means(plant, circuit, name) != 0;
}

static Status
check_of(const char* word, OutputSeen* seen, Error* error)
{
  for (int i = 0; i < OUT_REPAIR; ++i) {
    if (text_same(checks[i].word, word)) {
      seen->check = (OutputCheck)i;
      return STATUS_OK;
    }
  }
  for (int f = 0; f < FIX_COUNT; ++f) {
    const size_t n = strlen(fix_words[f]);
    const bool counts = f == FIX_LINK || f == FIX_BOX || f == FIX_TAP;
    if (text_begins(word, fix_words[f]) && (counts ? word[n] == ' ' : !word[n])) {
      seen->check = OUT_REPAIR;
      seen->fix = (OutputFix)f;
      if (!counts || text_whole(word + n + 1, 1, OUTPUT_MAX_BOXES, &seen->at)) {
        return STATUS_OK;
      }
    }
  }
  return error_set(
    error, STATUS_BAD_INPUT, NULL, 0, 0,
    "There is no check \"%.40s\" on an output: ohms, impedance, preset, tone, hum, name, light, "
    "plays, pulse, sum; or what was done: load preset, switch on, swap drive, move "
    "plug, lock plug, swap cable, swap link 1, swap box 1, set tap 1, unmute output, move output, "
    "set mix, "
    "note it.",
    word);
}

static Status
place_of(const OutputCircuit* c, const char* at, OutputSeen* seen, Error* error)
{
  const char* const place = checks[seen->check].place;
  const int most = seen->check == OUT_OHMS ? c->n_boxes - 1 : c->n_boxes;
  if (!at || !at[0] || text_same(at, "amp") || text_same(at, "amplifier")) {
    return STATUS_OK;
  }
  if (seen->check == OUT_OHMS && text_same(at, "cable")) {
    seen->at = OUT_AT_CABLE;
    return STATUS_OK;
  }
  if (place) {
    const size_t n = strlen(place);
    if (text_begins(at, place) && at[n] == ' ' && text_whole(at + n + 1, 1, most, &seen->at)) {
      return STATUS_OK;
    }
  }
  return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                   place ? "%s is not read at \"%.40s\": write amp%s, or %s 1 to %s %d."
                         : "%s is read at the amplifier, not at \"%.40s\".",
                   checks[seen->check].word, at,
                   seen->check == OUT_OHMS ? ", cable (far end unplugged)" : "", place ? place : "",
                   place ? place : "", most);
}

static Status
ohms_of(const char* reading, OutputSeen* seen, Error* error)
{
  char number[40];
  size_t n = 0;
  while (reading[n] && n + 1 < sizeof(number) && reading[n] != ' ') {
    number[n] = reading[n];
    ++n;
  }
  number[n] = '\0';
  const char* const unit = reading + n + strspn(reading + n, " ");
  double ohm = 0.0;
  if (text_same(reading, "open") || text_same(reading, "o")) {
    ohm = (double)INFINITY;
  } else if (text_same(reading, "short") || text_same(reading, "s")) {
    ohm = 0.0;
  } else if (!text_number(number, 0.0, 1e7, &ohm) ||
             (*unit && !text_same(unit, "ohm") && !text_same(unit, "ohms"))) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "\"%.40s\" are no ohms: write a number as in 1.62, or open, or short.",
                     reading);
  }
  // Over 100 ohm is open: common practice, no source
  seen->ohm = ohm > 100.0 ? (double)INFINITY : ohm;
  return STATUS_OK;
}

// One point of an impedance reading, "8.2@1000", "8.2 ohm @ 1 kHz" or "open@1000"; `text` is cut.
static bool
point_of(char* text, double* ohm, double* hz)
{
  char* const at = strchr(text, '@');
  char number[24];
  if (!at) {
    return false;
  }
  *at = '\0';
  for (int side = 0; side < 2; ++side) {
    const char* const from = (side ? at + 1 : text) + strspn(side ? at + 1 : text, " ");
    const size_t n = strcspn(from, " kohHz");
    const char* const unit = from + n + strspn(from + n, " ");
    const bool kilo = side && text_begins(unit, "k");
    if (!side && text_begins(from, "open")) {
      *ohm = (double)INFINITY;
      continue;
    }
    if (n == 0 || n >= sizeof(number)) {
      return false;
    }
    memcpy(number, from, n);
    number[n] = '\0';
    double* const to = side ? hz : ohm;
    if (!text_number(number, side ? 0.0 : 0.01, side ? 1e5 : 1e6, to)) {
      return false;
    }
    *to *= kilo ? 1000.0 : 1.0;
  }
  return *hz >= 10.0 && *hz <= 1e5;
}

// Several points are told with semicolons or commas and a space between them.
static Status
impedance_of(const char* reading, OutputSeen* seen, Error* error)
{
  char text[240];
  bool good = strlen(reading) < sizeof(text);
  int n = 0;
  (void)snprintf(text, sizeof(text), "%s", reading);
  for (char* from = text; good && *from;) {
    char* end = from;
    while (*end && *end != ';' && !(*end == ',' && end[1] == ' ')) {
      ++end;
    }
    char* const next = *end ? end + 1 : end;
    *end = '\0';
    good = n < OUTPUT_MAX_POINTS && point_of(from, &seen->point_ohm[n], &seen->point_hz[n]);
    ++n;
    from = next + strspn(next, " ");
  }
  if (!good || n == 0) {
    return error_set(
      error, STATUS_BAD_INPUT, NULL, 0, 0,
      "\"%.60s\" is no impedance: write ohms@hertz, as in 8.2@1000, or up to %d of them "
      "with semicolons between.",
      reading, OUTPUT_MAX_POINTS);
  }
  seen->n_points = n;
  return STATUS_OK;
}

// A tone in decibels against the sheet: from -3 on right, from -20 on low.
static bool
tone_of(const char* reading, int* key)
{
  char number[24];
  double db = 0.0;
  (void)snprintf(number, sizeof(number), "%s", reading);
  number[strcspn(number, " d")] = '\0';
  if (!number[0] || !text_number(number, -200.0, 60.0, &db)) {
    return false;
  }
  *key = db > -3.0 ? OUT_TONE_NORMAL : db > -20.0 ? OUT_TONE_LOW : OUT_TONE_NOTHING;
  return true;
}

static Status
key_of(const Plant* plant, const OutputCircuit* c, const char* reading, OutputSeen* seen,
       Error* error)
{
  for (int k = 0; k < PLAYS_WORDS && checks[seen->check].keys[k]; ++k) {
    if (text_same(checks[seen->check].keys[k], reading)) {
      seen->key = k;
      return STATUS_OK;
    }
  }
  if (seen->check == OUT_REPAIR && seen->fix == FIX_NOTE && text_same(reading, "noted")) {
    seen->key = 1;
    return STATUS_OK;
  }
  if (seen->check == OUT_TONE && tone_of(reading, &seen->key)) {
    return STATUS_OK;
  }
  if (seen->check == OUT_PRESET) { // Its name as the amplifier shows it
    seen->key = c->preset[0] && text_same(reading, c->preset) ? PRESET_RIGHT : PRESET_WRONG;
    if (c->preset[0]) {
      return STATUS_OK;
    }
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "The list names no preset for %s: say right or wrong.", c->name);
  }
  if ((seen->check == OUT_NAME || seen->check == OUT_PLAYS) && text_begins(reading, "on ")) {
    for (int i = 0; i < plant->n_outputs; ++i) {
      if (outputs_about(plant, i, reading + 3)) {
        seen->key = OUT_KEY_ON + i;
        return STATUS_OK;
      }
    }
  }
  char fits[160] = "";
  for (int k = 0; k < PLAYS_WORDS && checks[seen->check].keys[k]; ++k) {
    const size_t n = strlen(fits);
    (void)snprintf(fits + n, sizeof(fits) - n, "%s%s", k ? ", " : "", checks[seen->check].keys[k]);
  }
  return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                   "\"%.40s\" is nothing that %s can show: %s%s.", reading,
                   checks[seen->check].word, fits,
                   seen->check == OUT_NAME || seen->check == OUT_PLAYS ? ", on CIRCUIT"
                   : seen->check == OUT_TONE                           ? ", or decibels"
                                                                       : "");
}

// "meter leads=0.12" and "air celsius=31": of no circuit.
static Status
of_none(const char* circuit, const char* check, const char* reading, bool* is_such,
        OutputSeen* seen, Error* error)
{
  const bool leads = text_same(circuit, "meter");
  double value = 0.0;
  *is_such = leads || text_same(circuit, "air");
  if (!*is_such) {
    return STATUS_OK;
  }
  if (!text_same(check, leads ? "leads" : "celsius")) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0, "Of %s only \"%s\" is told.",
                     leads ? "the meter" : "the air", leads ? "leads=0.12" : "celsius=31");
  }
  if (!text_number(reading, leads ? 0.0 : -40.0, leads ? 5.0 : 90.0, &value)) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                     leads ? "\"%.40s\" are no ohms of a meter's leads: 0 to 5."
                           : "\"%.40s\" is no temperature: -40 to 90 C.",
                     reading);
  }
  *seen = (OutputSeen){.circuit = -1, .check = OUT_OHMS, .ohm = value};
  return STATUS_OK;
}

Status
outputs_read(const Plant* plant, const char* circuit, const char* check, const char* reading,
             const char* at, OutputSeen* seen, int* n_about, Error* error)
{
  OutputSeen out = {.circuit = -1};
  bool is_such = false;
  int n = 0;
  unsigned of = 0;
  Status st;
  TRY(st, of_none(circuit, check, reading, &is_such, seen, error));
  if (is_such) {
    return STATUS_OK;
  }
  for (int i = 0; i < plant->n_outputs; ++i) {
    const unsigned is = means(plant, i, circuit);
    of |= is;
    out.circuit = is && out.circuit < 0 ? i : out.circuit;
    n += is != 0;
  }
  if (!n) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                     plant->n_outputs
                       ? "There is no circuit, mix, amplifier or zone \"%.40s\" on the lists."
                       : "There is no \"%.40s\": this show has no list of loudspeaker circuits. "
                         "Import one with the columns circuit, amp and load_dcr_ohm.",
                     circuit);
  }
  const OutputCircuit* const c = &plant->outputs[out.circuit];
  if (text_same(check, OUTPUTS_MARK)) {
    if (!text_same(reading, OUTPUTS_UNPLUGGED) && !text_same(reading, OUTPUTS_PLUGGED)) {
      return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "An amplifier is \"unplugged\" from its loudspeakers or \"plugged\", not "
                       "\"%.40s\".",
                       reading);
    }
    out.check = OUT_CHECKS;
  } else {
    TRY(st, check_of(check, &out, error));
    if (!(checks[out.check].of & of)) {
      return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "%s is told of one circuit at a time, as in \"%s %s=...\".", check, c->name,
                       check);
    }
    out.is_group = !(of & OF_CIRCUIT);
    TRY(st, out.check == OUT_REPAIR ? STATUS_OK : place_of(c, at, &out, error));
    TRY(st, out.check == OUT_OHMS        ? ohms_of(reading, &out, error)
            : out.check == OUT_IMPEDANCE ? impedance_of(reading, &out, error)
                                         : key_of(plant, c, reading, &out, error));
  }
  *seen = out;
  if (n_about) {
    *n_about = n;
  }
  return STATUS_OK;
}

bool
outputs_unplugged(const Plant* plant, const Fold* fold, int circuit)
{
  bool is_unplugged = false;
  for (size_t i = 0; fold && i < fold->outputs.n_facts; ++i) {
    const FactBody* const b = &fold->outputs.facts[i]->body;
    if (text_same(b->check, OUTPUTS_MARK) && outputs_about(plant, circuit, b->circuit)) {
      is_unplugged = text_same(b->reading, OUTPUTS_UNPLUGGED);
    }
  }
  return is_unplugged;
}
