// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/order.h"

#include "day/mark.h"

void
order_paper_mm(const Order* order, double* w_mm, double* h_mm)
{
  const bool is_letter = order->paper == PAPER_LETTER;
  *w_mm = is_letter ? 215.9 : 210.0;
  *h_mm = is_letter ? 279.4 : 297.0;
}

double
order_tape_high_mm(int tape_mm)
{
  return tape_mm == 9 ? 6.5 : tape_mm == 12 ? 9.0 : tape_mm == 24 ? 18.0 : 0.0;
}

const char*
order_act(const Order* order)
{
  return order->act < 0 ? "bare lines" : order->plant->acts[order->act].name;
}

const char*
order_mark(const Order* order, char mark[16])
{
  return mark_act(order->listed, order->fold, order->act, mark);
}

const char*
order_stamp(const Order* order, Canvas* canvas)
{
  char mark[MARK_ROOM];
  const char* const list = order_mark(order, mark);
  const int n_changed = order->today ? order_today(order)->n_changed : 0;
  const char* const changed = n_changed ? canvas_format(canvas, ", %d changed", n_changed) : "";
  return list[0] ? canvas_format(canvas, "%s, list %s%s", order_act(order), list, changed)
                 : order_act(order);
}

const Today*
order_today(const Order* order)
{
  return order->today ? order->today[order->act < 0 ? order->plant->n_acts : order->act] : NULL;
}

const Input*
order_input(const Order* order, int act, int line)
{
  const Today* const today = order->today && act >= 0 ? order->today[act] : NULL;
  return plant_input(today ? &today->plant : order->plant, act, line);
}

int
order_before(const Order* order)
{
  return order->act < 0 ? -1 : order->act - 1;
}

const char*
order_line_address(const Order* order, Canvas* canvas, int line_number)
{
  return order->address && order->address[0]
           ? canvas_format(canvas, "%s/#%d", order->address, line_number)
           : NULL;
}

int
order_socket_line(const Plant* plant, int box, int socket)
{
  for (int i = 0; i < plant->n_lines; ++i) {
    if (plant->lines[i].box == box && plant->lines[i].socket == socket) {
      return i;
    }
  }
  return -1;
}

int
order_channel(const Order* order, int desk, int line)
{
  const DeskRow* const row = plant_desk_row(order->plant, order->act, desk, line);
  if (row && row->channel > 0) {
    return row->channel;
  }
  const Input* const input = plant_input(order->plant, order->act, line);
  return input ? input->channel : 0;
}

const char*
order_source(const Input* input)
{
  return input->source && input->source[0] ? input->source : "(no name)";
}
