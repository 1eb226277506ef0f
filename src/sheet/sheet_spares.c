// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "sheet/grid.h"
#include "sheet/print.h"
#include "sheet/wording.h"

#include <string.h>

/*
  Spares card: what to reach for when something dies. Free sockets box by box (free in the next act
  too, so that the way round need not be given back in a changeover), those kept as spares first;
  what of the kit is where; and cables by kind and length.
*/

static bool
is_taped(const Order* order, const char* name)
{
  return order->fold && fold_is_taped_off(order->fold, name);
}

// Sockets of a box that are free, as "A15, A16"; spares or the others.
static const char*
free_sockets(const Order* order, Canvas* canvas, int box, bool spares)
{
  const Plant* const plant = order->plant;
  const Today* const today = order_today(order);
  TextOut out = {.arena = canvas->arena};
  for (int i = 0; i < plant->n_lines; ++i) {
    const Line* const line = &plant->lines[i];
    char name[80];
    const bool is_used = !plant_is_free(plant, order->act, i) || today->lent[i] ||
                         today->taped[i] || order_input(order, order->act, i);
    if (line->box != box || line->is_spare != spares || is_used) {
      continue;
    }
    (void)snprintf(name, sizeof(name), "%s%d", plant->boxes[box].name, line->socket);
    if (!is_taped(order, name)) {
      text_add(&out, "%s%s (line %d)", out.n_bytes ? ", " : "", name, line->number);
    }
  }
  const char* const text = text_done(&out);
  return !text ? "" : text[0] ? text : "none";
}

static void
draw_sockets(const Order* order, Frame* frame)
{
  const Letters big = {.height_mm = 5.0, .least_mm = 2.4, .is_bold = true};
  const Letters list = {.height_mm = 3.1, .least_mm = 2.2, .lines = 8};
  const GridColumn columns[] = {{"box", 20.0, big},
                                {"", 40.0, {.height_mm = 3.1, .least_mm = 2.2, .lines = 2}},
                                {"spare sockets", 65.0, list},
                                {"other free sockets", 65.0, list}};
  Grid grid = {.frame = frame, .columns = columns, .n_columns = 4, .row_mm = 8.4};
  frame_head(frame, "Sockets and lines");
  grid_begin(&grid);
  for (int b = 0; b < order->plant->n_boxes; ++b) {
    const Box* const box = &order->plant->boxes[b];
    const GridCell cells[] = {{CELL_TEXT, box->name},
                              {CELL_TEXT, box->meaning},
                              {CELL_TEXT, free_sockets(order, frame->canvas, b, true)},
                              {CELL_TEXT, free_sockets(order, frame->canvas, b, false)}};
    grid_row(&grid, cells);
  }
  grid_end(&grid);
}

static void
draw_kit(const Order* order, Frame* frame)
{
  const Plant* const plant = order->plant;
  const Letters text = {.height_mm = 2.6, .least_mm = 2.0, .lines = 2};
  const GridColumn columns[] = {
    {"kit", 90.0, text}, {"count", 20.0, text}, {"where", 50.0, text}, {"taken by", 30.0, text}};
  Grid grid = {.frame = frame, .columns = columns, .n_columns = 4, .row_mm = 5.0};
  frame_head(frame, "Kit and spares at hand");
  if (plant->n_kit == 0) {
    frame_say(frame, "No list says what kit there is.", 3.0, false);
    return;
  }
  grid_begin(&grid);
  for (int i = 0; i < plant->n_kit; ++i) {
    const KitItem* const kit = &plant->kit[i];
    const GridCell cells[] = {
      {CELL_TEXT, kit->name},
      {CELL_TEXT, canvas_format(frame->canvas, "%d", kit->count)},
      {CELL_TEXT, kit->place >= 0 && kit->place < plant->n_places ? plant->places[kit->place] : ""},
      {CELL_TEXT, ""}};
    grid_row(&grid, cells);
  }
  grid_end(&grid);
}

static bool
is_same_sort(const Item* a, const Item* b)
{
  return text_same(a->kind, b->kind) && a->length_m == b->length_m;
}

static void
draw_cables(const Order* order, Frame* frame)
{
  const Plant* const plant = order->plant;
  const Letters text = {.height_mm = 2.6, .least_mm = 2.0, .lines = 2};
  const GridColumn columns[] = {
    {"cable", 60.0, text},
    {"length", 25.0, text},
    {"good on the list", 30.0, text},
    {"taped off, mending or out", 75.0, {.height_mm = 2.6, .least_mm = 1.9, .lines = 4}}};
  Grid grid = {.frame = frame, .columns = columns, .n_columns = 4, .row_mm = 5.0};
  if (plant->n_items == 0) {
    return;
  }
  frame_head(frame, "Cables on the list");
  grid_begin(&grid);
  for (int i = 0; i < plant->n_items; ++i) {
    const Item* const item = &plant->items[i];
    TextOut out = {.arena = frame->canvas->arena};
    bool is_first = true;
    int n_good = 0;
    for (int k = 0; k < i && is_first; ++k) {
      is_first = !is_same_sort(item, &plant->items[k]);
    }
    for (int k = i; k < plant->n_items && is_first; ++k) {
      const Item* const other = &plant->items[k];
      const bool is_good = text_same(other->state, "good") && !is_taped(order, other->tag);
      if (is_same_sort(item, other)) {
        n_good += is_good;
        if (!is_good) {
          text_add(&out, "%s%s", out.n_bytes ? ", " : "", other->tag);
        }
      }
    }
    if (is_first) {
      const char* const aside = text_done(&out);
      const GridCell cells[] = {{CELL_TEXT, item->kind},
                                {CELL_TEXT, item->length_m > 0.0
                                              ? canvas_format(frame->canvas, "%g m", item->length_m)
                                              : ""},
                                {CELL_TEXT, canvas_format(frame->canvas, "%d", n_good)},
                                {CELL_TEXT, aside ? aside : ""}};
      grid_row(&grid, cells);
    }
  }
  grid_end(&grid);
}

void
sheet_spares(const Order* order, Canvas* canvas)
{
  Frame frame = {.order = order,
                 .canvas = canvas,
                 .title = "Spares card",
                 .about = WORDING_SPARES,
                 .is_of_act = true};
  frame_begin(&frame);
  frame_say(&frame, WORDING_SPARE, 2.6, true);
  draw_sockets(order, &frame);
  draw_kit(order, &frame);
  draw_cables(order, &frame);
}
