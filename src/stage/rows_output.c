// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "stage/cell.h"
#include "stage/rows.h"

#include <math.h>
#include <string.h>

/*
  The rows of loudspeaker circuits and of monitor mixes.

    desk output - amplifier channel ==== poles ==== boxes in parallel, drivers in each

  A circuit is known by its name, a mix by its number ("mix 3"); both are one list to the rooms
  above. How many drivers of a band a box has is mostly not written anywhere, but a list that says
  what one open driver would read has said it.
*/

enum { MAX_OUTPUTS = 400 };

const char*
output_pole_text(int pole)
{
  static const char* const names[OUTPUT_MAX_POLES] = {"1+", "1-", "2+", "2-",
                                                      "3+", "3-", "4+", "4-"};
  return pole >= 0 && pole < OUTPUT_MAX_POLES ? names[pole] : "?";
}

int
output_poles(const char* text, int poles[OUTPUT_MAX_POLES])
{
  int found[OUTPUT_MAX_POLES];
  int n = 0;
  for (const char* p = text; *p;) {
    if (strchr(" /,;&", *p)) {
      ++p;
      continue;
    }
    const bool is_pole = p[0] >= '1' && p[0] <= '4' && (p[1] == '+' || p[1] == '-');
    if (!is_pole || n == OUTPUT_MAX_POLES) {
      return 0;
    }
    found[n] = 2 * (p[0] - '1') + (p[1] == '-');
    for (int i = 0; i < n; ++i) {
      if (found[i] == found[n]) {
        return 0;
      }
    }
    ++n;
    p += 2;
  }
  if (n < 2 || n % 2) {
    return 0;
  }
  // More than two are told apart by their signs; two are "to" and "back" as written
  int at = 0;
  for (int sign = 0; n > 2 && sign < 2; ++sign) {
    int same = 0;
    for (int i = 0; i < n; ++i) {
      if (found[i] % 2 == sign) {
        poles[at++] = found[i];
        ++same;
      }
    }
    if (same != n / 2) {
      return 0;
    }
  }
  for (int i = 0; n == 2 && i < n; ++i) {
    poles[i] = found[i];
  }
  return n;
}

static Status
read_pins(const Draft* draft, const List* list, const TableRow* row, OutputCircuit* out)
{
  out->pins = cell_text(list, row, FIELD_PINS);
  if (cell_says_nothing(out->pins)) {
    out->pins = "";
    return STATUS_OK;
  }
  if (out->transmitter[0]) {
    out->is_stereo = text_same(out->pins, "stereo");
    return STATUS_OK;
  }
  out->n_poles = output_poles(out->pins, out->poles);
  return out->n_poles ? STATUS_OK
                      : draft_bad(draft, list, row, FIELD_PINS,
                                  "\"%.40s\" is no pair of poles: write it like \"1+ 1-\" or "
                                  "\"2+ 2-\".",
                                  out->pins);
}

static Status
read_mode(const Draft* draft, const List* list, const TableRow* row, OutputMode* mode)
{
  static const char* const words[] = {"single", "bridged", "parallel"};
  const char* const text = cell_text(list, row, FIELD_MODE);
  if (cell_says_nothing(text)) {
    return STATUS_OK;
  }
  for (int i = 0; i < 3; ++i) {
    if (text_same(text, words[i])) {
      *mode = (OutputMode)i;
      return STATUS_OK;
    }
  }
  return draft_bad(draft, list, row, FIELD_MODE,
                   "\"%.40s\" is no way to run an amplifier: write single, bridged or parallel.",
                   text);
}

// Length and copper of cable and links.
static Status
read_cable(const Draft* draft, const List* list, const TableRow* row, OutputCircuit* out)
{
  Status st = STATUS_OK;
  out->awg = -1;
  out->cable = cell_text(list, row, FIELD_CABLE);
  TRY(st, cell_number(draft, list, row, FIELD_LENGTH_M, 0.0, 1000.0, 0.0, &out->cable_m));
  TRY(st, cell_number(draft, list, row, FIELD_LINK_M, 0.0, 1000.0, 0.0, &out->link_m));
  TRY(st, cell_number(draft, list, row, FIELD_MM2, 0.05, 50.0, 0.0, &out->cable_mm2));
  TRY(st, cell_whole(draft, list, row, FIELD_AWG, 0, 40, -1, &out->awg));
  if (out->awg >= 0 && !(out->cable_mm2 > 0.0)) {
    const double mm = 0.127 * pow(92.0, (36.0 - out->awg) / 39.0); // ASTM B258
    out->cable_mm2 = 0.25 * 3.14159265358979323846 * mm * mm;
  }
  return STATUS_OK;
}

static Status
read_load(const Draft* draft, const List* list, const TableRow* row, OutputCircuit* out)
{
  static const struct {
    Field field;
    size_t offset;
    double high;
  } ohms[] = {{FIELD_NOMINAL_OHM, offsetof(OutputCircuit, nominal_ohm), 1e4},
              {FIELD_LOAD_OHM, offsetof(OutputCircuit, load_ohm), 1e4},
              {FIELD_CABLE_OHM, offsetof(OutputCircuit, cable_ohm), 100.0},
              {FIELD_EXPECT_OHM, offsetof(OutputCircuit, expect_ohm), 1e4},
              {FIELD_MISSING_OHM, offsetof(OutputCircuit, box_missing_ohm), 1e4},
              {FIELD_DRIVER_OHM, offsetof(OutputCircuit, driver_open_ohm), 1e4},
              {FIELD_HIGH_OHM, offsetof(OutputCircuit, high_ohm), 1e4},
              {FIELD_HIGH_UF, offsetof(OutputCircuit, high_uf), 1e4},
              {FIELD_COIL_MH, offsetof(OutputCircuit, coil_mh), 1e3},
              {FIELD_AMP_MIN_OHM, offsetof(OutputCircuit, amp_min_ohm), 1e3},
              {FIELD_AMP_W, offsetof(OutputCircuit, amp_w), 1e5},
              {FIELD_LINE_V, offsetof(OutputCircuit, line_v), 200.0},
              {FIELD_TAP_W, offsetof(OutputCircuit, tap_w), 1e4}};
  Status st = STATUS_OK;
  for (size_t i = 0; i < sizeof(ohms) / sizeof(ohms[0]); ++i) {
    double* const to = (double*)(void*)((char*)out + ohms[i].offset);
    TRY(st, cell_number(draft, list, row, ohms[i].field, 0.0, ohms[i].high, 0.0, to));
  }
  TRY(st, cell_whole(draft, list, row, FIELD_BOXES, 1, OUTPUT_MAX_BOXES, 1, &out->n_boxes));
  return cell_whole(draft, list, row, FIELD_DRIVERS, 1, OUTPUT_MAX_DRIVERS, 0, &out->n_drivers);
}

// Drivers in all from what one less would read: R N / (N - 1) = what it says less the cable.
static void
count_drivers(OutputCircuit* out)
{
  const double cable = out->expect_ohm - out->load_ohm;
  if (out->n_drivers || !(out->driver_open_ohm > 0.0 && out->load_ohm > 0.0 && cable >= 0.0)) {
    return;
  }
  const double ratio = (out->driver_open_ohm - cable) / out->load_ohm;
  if (ratio > 1.02) {
    const int in_all = (int)lround(ratio / (ratio - 1.0));
    const int each = in_all / out->n_boxes;
    out->n_drivers =
      each >= 1 && each <= OUTPUT_MAX_DRIVERS && each * out->n_boxes == in_all ? each : 0;
  }
}

static Status
add(Draft* draft, const List* list, const TableRow* row, Field field, OutputCircuit* out)
{
  for (int i = 0; i < draft->outputs.n; ++i) {
    if (text_same(draft->outputs.at[i].name, out->name)) {
      return draft_bad(draft, list, row, field,
                       "\"%.40s\" is listed twice: keep one row, or correct the name.", out->name);
    }
  }
  if (draft->outputs.n == MAX_OUTPUTS) {
    return error_set(draft->error, STATUS_LIMIT, list->name, row->line, 1,
                     "More than %d circuits and mixes: split them over several shows.",
                     MAX_OUTPUTS);
  }
  count_drivers(out);
  if (!MAKE_ROOM(draft->arena, draft->outputs)) {
    return draft_no_memory(draft);
  }
  draft->outputs.at[draft->outputs.n++] = *out;
  return STATUS_OK;
}

static Status
read_place(Draft* draft, const List* list, const TableRow* row, OutputCircuit* out)
{
  out->place_name = cell_text(list, row, FIELD_PLACE);
  out->place = -1;
  return cell_says_nothing(out->place_name)
           ? STATUS_OK
           : cell_place(draft, list, row, FIELD_PLACE, &out->place);
}

Status
rows_output(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  OutputCircuit out = {.name = cell_text(list, row, FIELD_CIRCUIT),
                       .zone_name = cell_text(list, row, FIELD_ZONE_NAME),
                       .band = cell_text(list, row, FIELD_BAND),
                       .amp = cell_text(list, row, FIELD_AMP),
                       .preset = cell_text(list, row, FIELD_PRESET),
                       .note = cell_text(list, row, FIELD_NOTE),
                       .transmitter = "",
                       .desk_output = "",
                       .return_pair = ""};
  TRY(st, cell_whole(draft, list, row, FIELD_ZONE, 1, 9999, 0, &out.zone));
  TRY(st, cell_whole(draft, list, row, FIELD_AMP_CHANNEL, 1, 64, 0, &out.amp_channel));
  TRY(st, read_pins(draft, list, row, &out));
  TRY(st, read_mode(draft, list, row, &out.mode));
  TRY(st, read_cable(draft, list, row, &out));
  TRY(st, read_load(draft, list, row, &out));
  TRY(st, read_place(draft, list, row, &out));
  return add(draft, list, row, FIELD_CIRCUIT, &out);
}

// "amp MA1 ch 1": the amplifier and its channel; anything else is a transmitter's name.
static Status
read_feeds(Draft* draft, const List* list, const TableRow* row, OutputCircuit* out)
{
  const char* const text = cell_text(list, row, FIELD_FEEDS);
  out->amp = "";
  out->transmitter = "";
  if (!text_begins(text, "amp ")) {
    out->transmitter = text;
    return STATUS_OK;
  }
  const char* const name = text + 4;
  const size_t n = strcspn(name, " ");
  const char* rest = name + n + strspn(name + n, " ");
  out->amp = arena_text(draft->arena, name, n);
  if (!out->amp) {
    return draft_no_memory(draft);
  }
  if (text_begins(rest, "channel ")) {
    rest += 8;
  } else if (text_begins(rest, "ch ")) {
    rest += 3;
  }
  if (!n || (*rest && !text_whole(rest, 1, 64, &out->amp_channel))) {
    return draft_bad(draft, list, row, FIELD_FEEDS,
                     "\"%.40s\" is no amplifier channel: write it like \"amp MA1 ch 2\".", text);
  }
  return STATUS_OK;
}

Status
rows_monitor(Draft* draft, const List* list, const TableRow* row)
{
  Status st = STATUS_OK;
  OutputCircuit out = {.zone_name = cell_text(list, row, FIELD_NAME),
                       .band = "",
                       .preset = cell_text(list, row, FIELD_PRESET),
                       .note = cell_text(list, row, FIELD_NOTE),
                       .desk_output = cell_text(list, row, FIELD_DESK_OUTPUT),
                       .return_pair = cell_text(list, row, FIELD_RETURN_PAIR)};
  TRY(st, cell_whole(draft, list, row, FIELD_MIX, 1, 999, 0, &out.mix));
  out.name = arena_format(draft->arena, "mix %d", out.mix);
  if (!out.name) {
    return draft_no_memory(draft);
  }
  TRY(st, read_feeds(draft, list, row, &out));
  TRY(st, read_pins(draft, list, row, &out));
  TRY(st, read_mode(draft, list, row, &out.mode));
  TRY(st, read_cable(draft, list, row, &out));
  TRY(st, read_load(draft, list, row, &out));
  TRY(st, read_place(draft, list, row, &out));
  return add(draft, list, row, FIELD_MIX, &out);
}
