// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "sheet/frame.h"
#include "sheet/letters.h"
#include "sheet/print.h"
#include "sheet/wording.h"

#include <math.h>
#include <string.h>

/*
  Stage plot: a field for each part of the stage, audience at the bottom, and in it the boxes that
  stand there with what is plugged into them. Places are words ("stage right, mid"), not metres, so
  the plot says which part of the stage and no more. Stage right is the performer's right: on the
  left of the paper.

                  upstage
      SR  +--------+--------+--------+  SL
          |        |   A    |        |
          |   B    |        |   C    |
          |        |   D    |        |
          +--------+--------+--------+
                  audience
*/

enum { SIDE = 3, CELL_BOXES = 16 };

#define EMPTY_PART 0.34   ///< Of a field with boxes
#define CROWDED_PART 0.08 ///< The same where many boxes are in one field
#define BOX_W_MM 50.0     ///< Of a box with its names
#define BOX_H_MM 32.0

enum { CROWD = 3 };

static bool
says(const char* text, const char* word)
{
  for (const char* c = text; *c; ++c) {
    if (text_begins(c, word)) {
      return true;
    }
  }
  return false;
}

// Which field a place is in, by its words; false when they say nothing.
static bool
field_of(const char* place, int* column, int* row)
{
  const bool right = says(place, "stage right") || says(place, "stage-right");
  const bool left = says(place, "stage left") || says(place, "stage-left");
  const bool up = says(place, "upstage") || says(place, "riser");
  const bool down = says(place, "downstage") || says(place, "edge");
  const bool middle = says(place, "centre") || says(place, "center") || says(place, "mid");
  *column = right && !left ? 0 : left && !right ? 2 : 1;
  *row = up ? 0 : down ? 2 : 1;
  return right || left || up || down || middle;
}

typedef struct {
  int boxes[CELL_BOXES];
  int n;
} Field;

static int
count_inputs(const Order* order, int box)
{
  int n = 0;
  for (int i = 0; i < order->plant->n_lines; ++i) {
    n += order->plant->lines[i].box == box && plant_input(order->plant, order->act, i) != NULL;
  }
  return n;
}

// Mixes whose boxes stand at the box: "mix 1 down stage SR, mix 2 down stage centre".
static const char*
mixes_at(const Order* order, Canvas* canvas, int b)
{
  const Plant* const plant = order->plant;
  TextOut out = {.arena = canvas->arena};
  for (int i = 0; i < plant->n_outputs; ++i) {
    const OutputCircuit* const mix = &plant->outputs[i];
    if (mix->mix > 0 && mix->place >= 0 && mix->place == plant->boxes[b].place) {
      text_add(&out, "%smix %d %s", out.n_bytes ? ", " : "", mix->mix, mix->zone_name);
    }
  }
  const char* const text = text_done(&out);
  return text ? text : "";
}

static void
draw_box(const Order* order, Canvas* canvas, Room room, int b)
{
  const Plant* const plant = order->plant;
  const Box* const box = &plant->boxes[b];
  const double head = fmin(9.0, room.h_mm * 0.3);
  canvas_frame(canvas, room, 0.5);
  canvas_fill(canvas, (Room){room.x_mm, room.y_mm, head + 2.0, head}, true);
  if (canvas->cairo) {
    cairo_set_source_rgb(canvas->cairo, 1.0, 1.0, 1.0);
  }
  (void)letters_draw(
    canvas, (Room){room.x_mm + 0.5, room.y_mm + 0.3, head + 1.0, head - 0.6}, box->name,
    (Letters){.height_mm = head * 0.75, .least_mm = 1.5, .is_bold = true, .align = LETTERS_CENTRE});
  if (canvas->cairo) {
    cairo_set_source_rgb(canvas->cairo, 0.0, 0.0, 0.0);
  }
  (void)letters_draw(
    canvas, (Room){room.x_mm + head + 3.5, room.y_mm + 0.3, room.w_mm - head - 4.5, head - 0.6},
    box->where[0] ? canvas_format(canvas, "%s (%s)", box->meaning, box->where) : box->meaning,
    (Letters){.height_mm = 2.4, .least_mm = 1.5, .lines = 2, .is_bold = true});
  const int n = count_inputs(order, b);
  const int n_columns = room.w_mm > 44.0 && n > 4 ? 2 : 1;
  const int n_rows = n > 0 ? (n + n_columns - 1) / n_columns : 1;
  const char* const mixes = mixes_at(order, canvas, b);
  const double foot = mixes[0] ? fmin(7.0, room.h_mm * 0.16) : 0.0;
  const double high = fmin(6.4, (room.h_mm - head - foot - 1.5) / n_rows);
  const double wide = room.w_mm / n_columns;
  const double id_w = fmin(7.0, wide * 0.2);
  int k = 0;
  if (mixes[0]) {
    canvas_line(canvas, room.x_mm, room.y_mm + room.h_mm - foot, room.x_mm + room.w_mm,
                room.y_mm + room.h_mm - foot, 0.15);
  }
  (void)letters_draw(
    canvas,
    (Room){room.x_mm + 1.0, room.y_mm + room.h_mm - foot + 0.3, room.w_mm - 2.0, foot - 0.6}, mixes,
    (Letters){.height_mm = 2.2, .least_mm = 1.3, .lines = 2});
  for (int s = 1; s <= box->n_sockets; ++s) {
    const int line = order_socket_line(plant, b, s);
    const Input* const input = line >= 0 ? plant_input(plant, order->act, line) : NULL;
    if (!input) {
      continue;
    }
    const double x = room.x_mm + k / n_rows * wide + 1.0;
    const double y = room.y_mm + head + 0.8 + k % n_rows * high;
    const double letters = fmin(3.1, high * 0.6);
    (void)letters_draw(canvas, (Room){x, y, id_w, high}, canvas_format(canvas, "%d", s),
                       (Letters){.height_mm = letters, .least_mm = 0.8, .is_bold = true});
    (void)letters_draw(canvas, (Room){x + id_w + 1.0, y, wide - id_w - 3.0, high},
                       order_source(input),
                       (Letters){.height_mm = letters, .least_mm = fmin(1.5, letters)});
    ++k;
  }
}

// Where fields begin: those with boxes get the room.
static void
share(const bool has[SIDE], double empty, double from, double length, double at[SIDE + 1])
{
  double parts = 0.0;
  for (int i = 0; i < SIDE; ++i) {
    parts += has[i] ? 1.0 : empty;
  }
  at[0] = from;
  for (int i = 0; i < SIDE; ++i) {
    at[i + 1] = at[i] + length * (has[i] ? 1.0 : empty) / parts;
  }
}

// How many boxes of a field stand side by side, so that each has as much room as can be.
static int
abreast(int n, double w_mm, double h_mm)
{
  int best = 1;
  double best_room = 0.0;
  for (int k = 1; k <= n; ++k) {
    const int n_rows = (n + k - 1) / k;
    const double room = fmin(w_mm / k / BOX_W_MM, h_mm / n_rows / BOX_H_MM);
    best = room > best_room + 1e-9 ? k : best;
    best_room = fmax(best_room, room);
  }
  return best;
}

static void
draw_field(const Order* order, Canvas* canvas, Room room, const Field* field)
{
  const int n_abreast = abreast(field->n, room.w_mm, room.h_mm);
  const int n_rows = (field->n + n_abreast - 1) / n_abreast;
  const double w = room.w_mm / n_abreast;
  const double h = room.h_mm / n_rows;
  for (int i = 0; i < field->n; ++i) {
    draw_box(order, canvas,
             (Room){room.x_mm + i % n_abreast * w + 1.5, room.y_mm + i / n_abreast * h + 1.5,
                    w - 3.0, h - 3.0},
             field->boxes[i]);
  }
}

static void
draw_fields(const Order* order, Canvas* canvas, Room stage, Field fields[SIDE][SIDE])
{
  bool has_row[SIDE] = {false};
  bool has_column[SIDE] = {false};
  double empty = EMPTY_PART;
  double x[SIDE + 1];
  double y[SIDE + 1];
  for (int r = 0; r < SIDE; ++r) {
    for (int c = 0; c < SIDE; ++c) {
      empty = fields[r][c].n > CROWD ? CROWDED_PART : empty;
      has_row[r] = has_row[r] || fields[r][c].n > 0;
      has_column[c] = has_column[c] || fields[r][c].n > 0;
    }
  }
  share(has_column, empty, stage.x_mm, stage.w_mm, x);
  share(has_row, empty, stage.y_mm, stage.h_mm, y);
  for (int r = 0; r < SIDE; ++r) {
    for (int c = 0; c < SIDE; ++c) {
      draw_field(order, canvas, (Room){x[c], y[r], x[c + 1] - x[c], y[r + 1] - y[r]},
                 &fields[r][c]);
    }
  }
}

static void
draw_edges(Canvas* canvas, Room stage)
{
  const Letters big = {.height_mm = 5.0, .least_mm = 3.0, .is_bold = true, .align = LETTERS_CENTRE};
  const Letters small = {.height_mm = 2.2, .least_mm = 1.6, .align = LETTERS_CENTRE, .lines = 2};
  const double middle = stage.y_mm + stage.h_mm / 2.0;
  canvas_frame(canvas, stage, 0.7);
  (void)letters_draw(canvas, (Room){stage.x_mm - 15.0, middle - 5.0, 14.0, 8.0}, "SR", big);
  (void)letters_draw(canvas, (Room){stage.x_mm - 15.0, middle + 4.0, 14.0, 8.0}, "stage right",
                     small);
  (void)letters_draw(canvas, (Room){stage.x_mm + stage.w_mm + 1.0, middle - 5.0, 14.0, 8.0}, "SL",
                     big);
  (void)letters_draw(canvas, (Room){stage.x_mm + stage.w_mm + 1.0, middle + 4.0, 14.0, 8.0},
                     "stage left", small);
  (void)letters_draw(canvas, (Room){stage.x_mm, stage.y_mm + stage.h_mm + 1.5, stage.w_mm, 7.0},
                     "AUDIENCE", big);
}

void
sheet_plot(const Order* order, Canvas* canvas)
{
  const Plant* const plant = order->plant;
  Field fields[SIDE][SIDE] = {{{{0}, 0}}};
  TextOut lost = {.arena = canvas->arena};
  Frame frame = {.order = order,
                 .canvas = canvas,
                 .title = "Stage plot",
                 .about = WORDING_PLOT,
                 .is_of_act = true,
                 .is_wide = true};
  frame_begin(&frame);
  for (int b = 0; b < plant->n_boxes; ++b) {
    const Box* const box = &plant->boxes[b];
    int column = 1;
    int row = 1;
    const bool is_placed = field_of(box->where, &column, &row) ||
                           (!box->where[0] && field_of(box->meaning, &column, &row));
    Field* const field = &fields[row][column];
    if (is_placed && field->n < CELL_BOXES) {
      field->boxes[field->n++] = b;
    } else {
      text_add(&lost, "%s %s", lost.n_bytes ? "," : "", box->name);
    }
  }
  const char* const without = text_done(&lost);
  const bool has_lost = without && without[0];
  const Room stage = {frame.left_mm + 16.0, frame.top_mm + 1.0,
                      frame.right_mm - frame.left_mm - 32.0,
                      frame.bottom_mm - frame.top_mm - (has_lost ? 22.0 : 11.0)};
  draw_edges(canvas, stage);
  draw_fields(order, canvas, stage, fields);
  if (has_lost) {
    frame.at_mm = stage.y_mm + stage.h_mm + 10.0;
    frame_say(&frame, canvas_format(canvas, "%s box%s.", WORDING_NOT_PLACED, without), 2.6, false);
  }
}
