// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "sheet/grid.h"
#include "sheet/print.h"
#include "sheet/wording.h"
#include "speaker/parts.h"

#include <math.h>
#include <string.h>

/*
  Loudspeaker card, zone by zone, and monitor card, mix by mix: what each amplifier should read,
  what it reads with a box or a driver missing, and room for what it did read. Ohms are the list's;
  where it gives none they are reckoned from the parts and marked "about".
*/

static const char*
ohms(Canvas* canvas, double ohm)
{
  return ohm > 0.0 ? canvas_format(canvas, "%.2f", ohm) : "";
}

static const char*
expected(Canvas* canvas, const OutputCircuit* circuit)
{
  const Parts parts = parts_of(circuit);
  if (circuit->expect_ohm > 0.0) {
    return ohms(canvas, circuit->expect_ohm);
  }
  return parts.has_ohms && parts.load_ohm > 0.0
           ? canvas_format(canvas, "about %.1f", parts.load_ohm + parts.cable_ohm)
           : "";
}

static const char*
amplifier(Canvas* canvas, const OutputCircuit* circuit)
{
  static const char* const modes[] = {
    [OUTPUT_SINGLE] = "", [OUTPUT_BRIDGED] = " BRIDGED", [OUTPUT_PARALLEL] = " parallel"};
  if (!circuit->amp[0]) {
    return circuit->transmitter;
  }
  return circuit->amp_channel > 0
           ? canvas_format(canvas, "%s ch %d%s", circuit->amp, circuit->amp_channel,
                           modes[circuit->mode])
           : canvas_format(canvas, "%s%s", circuit->amp, modes[circuit->mode]);
}

static const char*
boxes(Canvas* canvas, const OutputCircuit* circuit)
{
  return circuit->amp[0] && circuit->n_boxes > 0 ? canvas_format(canvas, "%d", circuit->n_boxes)
                                                 : "";
}

// ---- Loudspeakers ----

enum { CIRCUIT_COLUMNS = 13 };

static void
cells_of(Canvas* canvas, const OutputCircuit* circuit, GridCell cells[CIRCUIT_COLUMNS])
{
  const char* const where = circuit->note[0] ? circuit->note : circuit->place_name;
  const GridCell made[] = {{CELL_TEXT, circuit->name},
                           {CELL_TEXT, circuit->band},
                           {CELL_TEXT, amplifier(canvas, circuit)},
                           {CELL_TEXT, circuit->pins},
                           {CELL_TEXT, boxes(canvas, circuit)},
                           {CELL_TEXT, where},
                           {CELL_TEXT, expected(canvas, circuit)},
                           {CELL_TEXT, ohms(canvas, circuit->box_missing_ohm)},
                           {CELL_TEXT, ohms(canvas, circuit->driver_open_ohm)},
                           {CELL_TEXT, ""},
                           {CELL_TEXT, ""},
                           {CELL_TEXT, ""},
                           {CELL_TICK, NULL}};
  memcpy(cells, made, sizeof(made));
}

static bool
is_of_zone(const OutputCircuit* circuit, const OutputCircuit* of)
{
  return circuit->mix == 0 && circuit->zone == of->zone &&
         text_same(circuit->zone_name, of->zone_name);
}

static bool
is_first_of_zone(const Plant* plant, int at)
{
  for (int i = 0; i < at; ++i) {
    if (is_of_zone(&plant->outputs[i], &plant->outputs[at])) {
      return false;
    }
  }
  return true;
}

static void
draw_zone(const Order* order, Frame* frame, int first)
{
  const Plant* const plant = order->plant;
  const OutputCircuit* const of = &plant->outputs[first];
  const Letters big = {.height_mm = 3.4, .least_mm = 2.2, .is_bold = true};
  const Letters ohm = {.height_mm = 3.0, .least_mm = 2.0, .is_bold = true};
  const Letters text = {.height_mm = 2.4, .least_mm = 1.7, .lines = 2};
  const GridColumn columns[] = {{"circuit", 20.0, big},
                                {"band", 16.0, text},
                                {"amplifier", 32.0, text},
                                {"pins", 20.0, text},
                                {"boxes", 12.0, text},
                                {"where", 34.0, text},
                                {"should read, ohm", 23.0, ohm},
                                {"a box missing", 19.0, text},
                                {"a driver open", 19.0, text},
                                {"got, ohm", 24.0, text},
                                {"pulse + or -", 17.0, text},
                                {"level", 19.0, text},
                                {"good", 12.0, {.align = LETTERS_CENTRE}}};
  Grid grid = {.frame = frame,
               .columns = columns,
               .n_columns = sizeof(columns) / sizeof(columns[0]),
               .row_mm = 7.6,
               .head_mm = 7.0};
  // A zone stands on one page where it can: its card is carried to its amplifiers
  double need_mm = 8.0 + grid.head_mm + 4.0;
  grid_lay(&grid);
  for (int i = first; i < plant->n_outputs; ++i) {
    if (is_of_zone(&plant->outputs[i], of)) {
      GridCell cells[CIRCUIT_COLUMNS];
      cells_of(frame->canvas, &plant->outputs[i], cells);
      need_mm += grid_row_mm(&grid, cells);
    }
  }
  (void)frame_room(frame, fmin(need_mm, frame->bottom_mm - frame->top_mm));
  frame_head(frame, of->zone > 0
                      ? canvas_format(frame->canvas, "Zone %d: %s     temperature ________",
                                      of->zone, of->zone_name)
                      : canvas_format(frame->canvas, "%s     temperature ________",
                                      of->zone_name[0] ? of->zone_name : "No zone"));
  grid_begin(&grid);
  for (int i = first; i < plant->n_outputs; ++i) {
    if (is_of_zone(&plant->outputs[i], of)) {
      GridCell cells[CIRCUIT_COLUMNS];
      cells_of(frame->canvas, &plant->outputs[i], cells);
      grid_row(&grid, cells);
    }
  }
  grid_end(&grid);
}

void
sheet_speaker(const Order* order, Canvas* canvas)
{
  const Plant* const plant = order->plant;
  int n = 0;
  Frame frame = {.order = order,
                 .canvas = canvas,
                 .title = "Loudspeaker card",
                 .about = WORDING_OUTPUTS,
                 .is_wide = true};
  frame_begin(&frame);
  frame_say(&frame, WORDING_SPEAKER, 2.3, true);
  for (int i = 0; i < plant->n_outputs; ++i) {
    if (plant->outputs[i].mix == 0 && is_first_of_zone(plant, i)) {
      draw_zone(order, &frame, i);
      ++n;
    }
  }
  if (n == 0) {
    frame_say(&frame, WORDING_NO_OUTPUTS, 3.0, false);
  }
}

// ---- Monitors ----

void
sheet_monitor(const Order* order, Canvas* canvas)
{
  const Plant* const plant = order->plant;
  const Letters big = {.height_mm = 3.6, .least_mm = 2.2, .is_bold = true};
  const Letters name = {.height_mm = 3.2, .least_mm = 2.0, .lines = 2, .is_bold = true};
  const Letters ohm = {.height_mm = 3.0, .least_mm = 2.0, .is_bold = true};
  const Letters text = {.height_mm = 2.6, .least_mm = 1.8, .lines = 2};
  const GridColumn columns[] = {{"mix", 14.0, big},
                                {"name", 46.0, name},
                                {"desk output", 26.0, text},
                                {"return", 20.0, text},
                                {"feeds", 42.0, text},
                                {"pins", 18.0, text},
                                {"boxes", 13.0, text},
                                {"where", 24.0, text},
                                {"should read, ohm", 23.0, ohm},
                                {"got, ohm", 24.0, text},
                                {"heard", 13.0, {.align = LETTERS_CENTRE}}};
  Grid grid = {.columns = columns,
               .n_columns = sizeof(columns) / sizeof(columns[0]),
               .row_mm = 8.6,
               .head_mm = 7.0};
  Frame frame = {.order = order,
                 .canvas = canvas,
                 .title = "Monitor card",
                 .about = WORDING_OUTPUTS,
                 .is_wide = true};
  frame_begin(&frame);
  frame_say(&frame, WORDING_MONITOR, 2.3, true);
  grid.frame = &frame;
  for (int i = 0; i < plant->n_outputs; ++i) {
    const OutputCircuit* const mix = &plant->outputs[i];
    const char* const pins = mix->is_stereo                         ? "stereo"
                             : mix->transmitter[0] && !mix->pins[0] ? "mono"
                                                                    : mix->pins;
    if (mix->mix == 0) {
      continue;
    }
    if (grid.n_rows == 0) {
      grid_begin(&grid);
    }
    const GridCell cells[] = {{CELL_TEXT, canvas_format(canvas, "%d", mix->mix)},
                              {CELL_TEXT, mix->zone_name},
                              {CELL_TEXT, mix->desk_output},
                              {CELL_TEXT, mix->return_pair},
                              {CELL_TEXT, amplifier(canvas, mix)},
                              {CELL_TEXT, pins},
                              {CELL_TEXT, boxes(canvas, mix)},
                              {CELL_TEXT, mix->place_name},
                              {CELL_TEXT, expected(canvas, mix)},
                              {CELL_TEXT, ""},
                              {CELL_TICK, NULL}};
    grid_row(&grid, cells);
  }
  if (grid.n_rows == 0) {
    frame_say(&frame, WORDING_NO_MIXES, 3.0, false);
  } else {
    grid_end(&grid);
  }
}
