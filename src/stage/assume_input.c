// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/rows.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/*
  Whether lists that speak of each other hold together: each act's inputs onto the line they name,
  tags of items, no channel of a desk told twice.
*/

// ---- Inputs on lines ----

// How a line is spoken of on this list: by its socket.
static Status
line_of(Draft* draft, const Plant* so_far, const DraftInput* in, int* at)
{
  const List* const list = in->list;
  const TableRow* const row = in->row;
  *at = -1;
  if (in->line) {
    *at = plant_line(so_far, in->line);
    if (*at < 0) {
      return draft_bad(draft, list, row, FIELD_LINE,
                       "There is no line %d: correct the number, or add it to the lines list.",
                       in->line);
    }
  }
  if (in->box[0]) {
    const Field field = list->at[FIELD_PATCH] >= 0 ? FIELD_PATCH : FIELD_BOX;
    const Field number =
      list->at[FIELD_PATCH] < 0 && list->at[FIELD_SOCKET] >= 0 ? FIELD_SOCKET : field;
    const int box = draft_box(draft, in->box);
    if (box < 0) {
      return draft_bad(draft, list, row, field,
                       "There is no box %.40s on the boxes list: correct the name, or add the box "
                       "there.",
                       in->box);
    }
    int found = -1;
    for (int i = 0; i < draft->lines.n; ++i) {
      const Line* const line = &draft->lines.at[i];
      found = line->box == box && line->socket == in->socket ? i : found;
    }
    const Box* const named = &draft->boxes.at[box].box;
    if (found < 0 && in->socket > named->n_sockets) {
      return draft_bad(
        draft, list, row, number,
        "Box %.40s has %d sockets, so there is no socket %d: correct one of the two.", named->name,
        named->n_sockets, in->socket);
    }
    if (found < 0) {
      return draft_bad(draft, list, row, number,
                       "Socket %.40s%d is on no line of the lines list: add the line there.",
                       named->name, in->socket);
    }
    if (*at >= 0 && *at != found) {
      return draft_bad(draft, list, row, number,
                       "Socket %.40s%d is line %d, and this row says line %d: correct one of the "
                       "two.",
                       named->name, in->socket, draft->lines.at[found].number, in->line);
    }
    *at = found;
  }
  if (*at >= 0 || list->at[FIELD_LINE] >= 0 || list->at[FIELD_BOX] >= 0 ||
      list->at[FIELD_PATCH] >= 0) {
    return STATUS_OK; // Placed, or left on no line on purpose
  }
  *at = plant_line(so_far, in->input.channel);
  if (*at < 0) {
    return draft_bad(draft, list, row, FIELD_CHANNEL,
                     "Channel %d has no box and socket here, and there is no line %d: add the "
                     "columns box and socket.",
                     in->input.channel, in->input.channel);
  }
  return STATUS_OK;
}

// ---- Items by their tags ----

static int
by_tag(const void* a, const void* b)
{
  const DraftItem* const one = *(const DraftItem* const*)a;
  const DraftItem* const two = *(const DraftItem* const*)b;
  const int way = strcasecmp(one->item.tag, two->item.tag);
  return way ? way : (one > two) - (one < two);
}

Status
assume_items(Draft* draft)
{
  const DraftItem** const order =
    arena_array(draft->arena, (size_t)draft->items.n, sizeof(const DraftItem*));
  if (!order) {
    return draft_no_memory(draft);
  }
  for (int i = 0; i < draft->items.n; ++i) {
    order[i] = &draft->items.at[i];
  }
  qsort(order, (size_t)draft->items.n, sizeof(order[0]), by_tag);
  for (int i = 1; i < draft->items.n; ++i) {
    if (strcasecmp(order[i]->item.tag, order[i - 1]->item.tag) == 0) {
      return draft_bad(draft, order[i]->list, order[i]->row, FIELD_TAG,
                       "Item %.40s is listed twice (also line %d of %.60s): keep one row, or give "
                       "the other its own tag.",
                       order[i]->item.tag, order[i - 1]->row->line, order[i - 1]->list->name);
    }
  }
  draft->by_tag = order;
  return STATUS_OK;
}

static bool
is_item(const Draft* draft, const char* tag)
{
  int low = 0;
  int high = draft->items.n;
  while (low < high) {
    const int middle = low + (high - low) / 2;
    if (strcasecmp(draft->by_tag[middle]->item.tag, tag) < 0) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low < draft->items.n && strcasecmp(draft->by_tag[low]->item.tag, tag) == 0;
}

// A cable is plugged once in an act, and stands on the items list if there is one.
static Status
check_cable(const Draft* draft, int i)
{
  const DraftInput* const in = &draft->inputs.at[i];
  if (!in->input.cable[0]) {
    return STATUS_OK;
  }
  if (draft->items.n > 0 && !is_item(draft, in->input.cable)) {
    return draft_bad(draft, in->list, in->row, FIELD_TAG,
                     "There is no item %.40s on the items list: correct the tag, or add it there.",
                     in->input.cable);
  }
  for (int k = 0; k < i; ++k) {
    const DraftInput* const other = &draft->inputs.at[k];
    if (other->input.act == in->input.act && text_same(other->input.cable, in->input.cable)) {
      return draft_bad(draft, in->list, in->row, FIELD_TAG,
                       "Item %.40s is plugged twice in this act (also line %d of %.60s): it can be "
                       "in one place.",
                       in->input.cable, other->row->line, other->list->name);
    }
  }
  return STATUS_OK;
}

static Status
place_act(Draft* draft, const Plant* so_far, int act, int* taken)
{
  Status st = STATUS_OK;
  for (int i = 0; i < draft->inputs.n; ++i) {
    DraftInput* const in = &draft->inputs.at[i];
    if (in->input.act != act) {
      continue;
    }
    TRY(st, line_of(draft, so_far, in, &in->input.line));
    TRY(st, check_cable(draft, i));
    if (in->input.line < 0) {
      continue;
    }
    const int other = taken[in->input.line] - 1;
    if (other >= 0) {
      const Line* const line = &draft->lines.at[in->input.line];
      const Field field = in->list->at[FIELD_PATCH] >= 0    ? FIELD_PATCH
                          : in->list->at[FIELD_SOCKET] >= 0 ? FIELD_SOCKET
                          : in->list->at[FIELD_BOX] >= 0    ? FIELD_BOX
                          : in->list->at[FIELD_LINE] >= 0   ? FIELD_LINE
                                                            : FIELD_CHANNEL;
      return draft_bad(draft, in->list, in->row, field,
                       "Socket %.40s%d (line %d) is already taken by \"%.40s\" (line %d of "
                       "%.60s): give \"%.40s\" another socket.",
                       draft->boxes.at[line->box].box.name, line->socket, line->number,
                       draft->inputs.at[other].input.source, draft->inputs.at[other].row->line,
                       draft->inputs.at[other].list->name, in->input.source);
    }
    taken[in->input.line] = i + 1;
  }
  return STATUS_OK;
}

Status
assume_inputs(Draft* draft)
{
  Status st = STATUS_OK;
  Box* const boxes = arena_array(draft->arena, (size_t)draft->boxes.n, sizeof(Box));
  const Plant so_far = {
    .lines = draft->lines.at, .n_lines = draft->lines.n, .boxes = boxes, .n_boxes = draft->boxes.n};
  DraftInput* const ordered =
    arena_array(draft->arena, (size_t)draft->inputs.n, sizeof(DraftInput));
  int* const taken = arena_array(draft->arena, (size_t)draft->lines.n, sizeof(int));
  if (!ordered || !taken || !boxes) {
    return draft_no_memory(draft);
  }
  for (int i = 0; i < draft->boxes.n; ++i) {
    boxes[i] = draft->boxes.at[i].box;
  }
  int n = 0;
  const List* last = NULL;
  for (int act = 0; act < draft->acts.n; ++act) {
    memset(taken, 0, (size_t)draft->lines.n * sizeof(int));
    TRY(st, place_act(draft, &so_far, act, taken));
    TRY(st, rows_through(draft, &so_far, act));
    for (int i = 0; i < draft->inputs.n; ++i) {
      const DraftInput* const in = &draft->inputs.at[i];
      if (in->input.act != act) {
        continue;
      }
      ordered[n++] = *in;
      const int* const at = in->list->at;
      if (in->list != last && at[FIELD_BOX] < 0 && at[FIELD_LINE] < 0 && at[FIELD_PATCH] < 0) {
        TRY(st, draft_assume(draft,
                             "%.80s names no sockets: channel 1 is taken to be on line 1, "
                             "channel 2 on line 2 and so on.",
                             in->list->name));
      }
      last = in->list;
    }
  }
  draft->inputs.at = ordered;
  draft->inputs.room = draft->inputs.n;
  return STATUS_OK;
}

// ---- Doubles ----

static int
by_channel(const void* a, const void* b)
{
  const DraftDeskRow* const one = *(const DraftDeskRow* const*)a;
  const DraftDeskRow* const two = *(const DraftDeskRow* const*)b;
  const int ways[] = {one->desk_row.act - two->desk_row.act,
                      one->desk_row.desk - two->desk_row.desk,
                      one->desk_row.channel - two->desk_row.channel, (one > two) - (one < two)};
  int k = 0;
  while (k < 3 && ways[k] == 0) {
    ++k;
  }
  return ways[k];
}

Status
assume_desk_rows(Draft* draft)
{
  const Plant so_far = {.lines = draft->lines.at, .n_lines = draft->lines.n};
  const DraftDeskRow** const order =
    arena_array(draft->arena, (size_t)draft->desk_rows.n, sizeof(const DraftDeskRow*));
  if (!order) {
    return draft_no_memory(draft);
  }
  for (int i = 0; i < draft->desk_rows.n; ++i) {
    order[i] = &draft->desk_rows.at[i];
    if (order[i]->desk_row.line && plant_line(&so_far, order[i]->desk_row.line) < 0) {
      return draft_bad(draft, order[i]->list, order[i]->row, FIELD_LINE,
                       "There is no line %d: correct the number, or add it to the lines list.",
                       order[i]->desk_row.line);
    }
  }
  qsort(order, (size_t)draft->desk_rows.n, sizeof(order[0]), by_channel);
  for (int i = 1; i < draft->desk_rows.n; ++i) {
    const DeskRow* const one = &order[i - 1]->desk_row;
    const DeskRow* const two = &order[i]->desk_row;
    if (one->act == two->act && one->desk == two->desk && one->channel == two->channel) {
      return draft_bad(draft, order[i]->list, order[i]->row, FIELD_CHANNEL,
                       "Channel %d of the %s is listed twice in this act (also line %d of %.60s): "
                       "keep one row.",
                       two->channel, assume_desk_say(two->desk), order[i - 1]->row->line,
                       order[i - 1]->list->name);
    }
  }
  return STATUS_OK;
}
