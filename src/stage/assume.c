// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/digital.h"
#include "stage/rows.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/*
  What nobody listed, and whether what they listed holds together.

  A crew with one input list must get a working plant. Each thing assumed is marked and said in one
  sentence; usual values: boxes of 12, tails of 15 m, a 50 m multicore, one desk and no split,
  90 s between the mixing tower and the stage, 12 s on it (usual practice, no source).
*/

enum { USUAL_SOCKETS = 12, USUAL_LINES = 48 };
static const double usual_tail_m = 15.0;
static const double usual_multicore_m = 50.0;
static const double usual_tower_s = 90.0;
static const double usual_stage_s = 12.0;

static const struct {
  const char* name;
  const char* say;
  const char* place;
} desks[PLANT_DESKS] = {{"foh", "house desk", "tower"},
                        {"mon", "monitor desk", "monitors"},
                        {"broadcast", "broadcast desk", "truck"}};

const char*
assume_desk_say(int desk)
{
  return desks[desk].say;
}

// ---- Boxes ----

static int
by_name(const void* a, const void* b)
{
  const DraftBox* const one = a;
  const DraftBox* const two = b;
  return strcasecmp(one->box.name, two->box.name);
}

// Where inputs say both their line and their socket, boxes begin where these say: every box, or
// none. A box then ends where the next begins, or with its usual sockets.
static bool
lines_of_boxes(Draft* draft)
{
  int first[DRAFT_MAX_BOXES] = {0};
  int n_used[DRAFT_MAX_BOXES] = {0};
  int n_sockets[DRAFT_MAX_BOXES] = {0};
  for (int i = 0; i < draft->inputs.n; ++i) {
    const DraftInput* const in = &draft->inputs.at[i];
    const int box = in->box[0] ? draft_box(draft, in->box) : -1;
    if (box < 0) {
      continue;
    }
    const int from = in->line > 0 ? in->line - in->socket + 1 : first[box];
    if ((in->line > 0 && from < 1) || (first[box] && first[box] != from)) {
      return false;
    }
    first[box] = from;
    n_used[box] = in->socket > n_used[box] ? in->socket : n_used[box];
  }
  for (int b = 0; b < draft->boxes.n; ++b) {
    n_sockets[b] = draft->boxes.at[b].box.n_sockets;
    for (int k = 0; k < draft->boxes.n; ++k) {
      const int room = first[k] - first[b];
      const bool is_next = k != b && room >= 0;
      n_sockets[b] = is_next && room < n_sockets[b] ? room : n_sockets[b];
    }
    if (first[b] == 0 || n_sockets[b] < n_used[b]) {
      return false;
    }
  }
  for (int b = 0; b < draft->boxes.n; ++b) {
    draft->boxes.at[b].box.first_line = first[b];
    draft->boxes.at[b].box.n_sockets = n_sockets[b];
  }
  return true;
}

// Boxes as the inputs name them; sorted, so that line numbers do not hang on the order of rows.
static Status
boxes_of_inputs(Draft* draft)
{
  Status st = STATUS_OK;
  for (int i = 0; i < draft->inputs.n; ++i) {
    const DraftInput* const in = &draft->inputs.at[i];
    int box = 0;
    if (in->box[0]) {
      const int n = in->socket > USUAL_SOCKETS ? in->socket : USUAL_SOCKETS;
      TRY(st, draft_box_named(draft, in->box, n, &box));
    }
  }
  if (draft->boxes.n == 0) {
    return STATUS_OK;
  }
  qsort(draft->boxes.at, (size_t)draft->boxes.n, sizeof(draft->boxes.at[0]), by_name);
  if (lines_of_boxes(draft)) {
    return draft_assume(draft,
                        "No boxes list: the %d boxes that the inputs name are taken to begin "
                        "at the lines the inputs say, with %d sockets or as many as fit.",
                        draft->boxes.n, USUAL_SOCKETS);
  }
  return draft_assume(draft,
                      "No boxes list: the %d boxes that the inputs name are taken to have "
                      "%d sockets (or as many as are used), lines counted through in order "
                      "of their names.",
                      draft->boxes.n, USUAL_SOCKETS);
}

static Status
boxes_of_lines(Draft* draft, int n_lines)
{
  Status st = STATUS_OK;
  int n = n_lines;
  for (int i = 0; n_lines == 0 && i < draft->inputs.n; ++i) {
    const DraftInput* const in = &draft->inputs.at[i];
    const int number = in->line ? in->line : in->input.channel;
    n = number > n ? number : n;
  }
  n = n ? n : USUAL_LINES;
  if (n > PLANT_MAX_LINES) {
    return error_set(
      draft->error, STATUS_LIMIT, NULL, 0, 0,
      "%d lines are more than the %d a show can hold: split them over several shows.", n,
      PLANT_MAX_LINES);
  }
  for (int first = 1; first <= n; first += USUAL_SOCKETS) {
    const int k = (first - 1) / USUAL_SOCKETS;
    const int left = n - first + 1;
    const char* const name = k < 26
                               ? arena_format(draft->arena, "%c", 'A' + k)
                               : arena_format(draft->arena, "%c%c", 'A' + k / 26 - 1, 'A' + k % 26);
    int box = 0;
    if (!name) {
      return draft_no_memory(draft);
    }
    TRY(st, draft_box_named(draft, name, left < USUAL_SOCKETS ? left : USUAL_SOCKETS, &box));
    draft->boxes.at[box].box.first_line = first;
  }
  return draft_assume(draft,
                      "No boxes and no lines list: %d lines on boxes of %d sockets are "
                      "assumed, box A first.",
                      n, USUAL_SOCKETS);
}

// The box that a box joins, -1 when it joins something else.
static int
joined(const Draft* draft, int box)
{
  const char* const joins = draft->boxes.at[box].joins;
  const int at = draft_box(draft, joins);
  return at < 0 && text_begins(joins, "box ") ? draft_box(draft, joins + 4) : at;
}

static Status
check_loops(const Draft* draft)
{
  for (int b = 0; b < draft->boxes.n; ++b) {
    int at = joined(draft, b);
    for (int steps = 0; at >= 0 && at != b && steps < draft->boxes.n; ++steps) {
      at = joined(draft, at);
    }
    if (at == b) {
      return draft_bad(draft, draft->boxes.at[b].list, draft->boxes.at[b].row, FIELD_JOINS,
                       "Box %.40s joins at %.60s, and from there its lines come back to box %.40s: "
                       "one of these boxes must join at the split.",
                       draft->boxes.at[b].box.name, draft->boxes.at[b].joins,
                       draft->boxes.at[b].box.name);
    }
  }
  return STATUS_OK;
}

// A first line for every box: by the lines list, else counted on from the box before.
static Status
number_boxes(Draft* draft)
{
  int next = 1;
  for (int b = 0; b < draft->boxes.n; ++b) {
    Box* const box = &draft->boxes.at[b].box;
    for (int i = 0; box->first_line == 0 && i < draft->lines.n; ++i) {
      const Line* const line = &draft->lines.at[i];
      const int first = line->number - line->socket + 1;
      box->first_line = line->box == b && first > 0 ? first : 0;
    }
    box->first_line = box->first_line ? box->first_line : next;
    next = box->first_line + box->n_sockets;
    for (int k = 0; draft->lines.n == 0 && k < b; ++k) {
      const Box* const other = &draft->boxes.at[k].box;
      if (box->first_line < other->first_line + other->n_sockets &&
          other->first_line < box->first_line + box->n_sockets) {
        return draft_bad(draft, draft->boxes.at[b].list, draft->boxes.at[b].row, FIELD_FIRST_LINE,
                         "Box %.40s has lines %d to %d and box %.40s lines %d to %d: one line "
                         "cannot be in both.",
                         box->name, box->first_line, box->first_line + box->n_sockets - 1,
                         other->name, other->first_line, other->first_line + other->n_sockets - 1);
      }
    }
  }
  return STATUS_OK;
}

static Status
measure_tails(Draft* draft)
{
  int n_assumed = 0;
  for (int b = 0; b < draft->boxes.n; ++b) {
    Box* const box = &draft->boxes.at[b].box;
    if (box->tail_m < 0.0) {
      box->tail_m = usual_tail_m;
      ++n_assumed;
    }
  }
  return n_assumed ? draft_assume(draft, "%d tails have no length: %g m is assumed.", n_assumed,
                                  usual_tail_m)
                   : STATUS_OK;
}

// ---- Lines, desks, split ----

static bool
listed_spare(const char* spares, int socket)
{
  for (const char* p = spares; *p;) {
    if (*p < '0' || *p > '9') {
      ++p;
      continue;
    }
    if (strtol(p, (char**)&p, 10) == socket) {
      return true;
    }
  }
  return false;
}

static int
by_number(const void* a, const void* b)
{
  const Line* const one = a;
  const Line* const two = b;
  return (one->number > two->number) - (one->number < two->number);
}

static Status
make_lines(Draft* draft)
{
  for (int b = 0; b < draft->boxes.n; ++b) {
    const Box* const box = &draft->boxes.at[b].box;
    for (int s = 1; s <= box->n_sockets; ++s) {
      const int number = box->first_line + s - 1;
      if (draft->lines.n == PLANT_MAX_LINES) {
        return error_set(draft->error, STATUS_LIMIT, NULL, 0, 0,
                         "The boxes have more than %d lines: split them over several shows.",
                         PLANT_MAX_LINES);
      }
      if (!MAKE_ROOM(draft->arena, draft->lines)) {
        return draft_no_memory(draft);
      }
      draft->lines.at[draft->lines.n++] =
        (Line){.number = number,
               .box = b,
               .socket = s,
               .pair = box->is_digital ? 0 : number,
               .split_channel = box->is_digital ? 0 : number,
               .is_spare = listed_spare(draft->boxes.at[b].spares, s)};
    }
  }
  return STATUS_OK;
}

// A desk that no line names an input of has line n on input n.
static Status
make_desk_inputs(Draft* draft)
{
  Status st = STATUS_OK;
  draft->has_desk[DESK_FOH] =
    draft->has_desk[DESK_FOH] || !(draft->has_desk[DESK_MON] || draft->has_desk[DESK_BROADCAST]);
  for (int k = 0; k < PLANT_DESKS; ++k) {
    bool listed = !draft->has_desk[k];
    for (int i = 0; i < draft->lines.n; ++i) {
      listed = listed || draft->lines.at[i].desk_input[k] > 0;
    }
    for (int i = 0; !listed && i < draft->lines.n; ++i) {
      draft->lines.at[i].desk_input[k] = draft->lines.at[i].number;
    }
    if (!listed) {
      TRY(st, draft_assume(draft,
                           "The %s is assumed to have line 1 on input 1, line 2 on input 2 "
                           "and so on.",
                           desks[k].say));
    }
  }
  return STATUS_OK;
}

static Status
make_split(Draft* draft)
{
  const int n_desks = draft->has_desk[0] + draft->has_desk[1] + draft->has_desk[2];
  if (draft->has_split) {
    return STATUS_OK;
  }
  draft->split = (Split){.name = n_desks > 1 ? "S1" : "",
                         .primary_ohm = 60.0,
                         .secondary_ohm = 60.0,
                         .primary_h = 5.0,
                         .is_lifted = true,
                         .is_assumed = true};
  draft->direct = draft->has_desk[DESK_FOH] ? DESK_FOH : DESK_MON;
  if (digital_only(draft)) {
    draft->split.name = "";
    return STATUS_OK; // No line has a split, so none is assumed
  }
  if (n_desks > 1) {
    return draft_assume(draft,
                        "No split list: a transformer split with its direct side to the %s "
                        "and contact 1 lifted on the others is assumed.",
                        desks[draft->direct].say);
  }
  return draft_assume(draft, "No split list and one desk: no split is assumed.");
}

// ---- Places ----

static Status
place_things(Draft* draft)
{
  Status st = STATUS_OK;
  int place = 0;
  if (!digital_only(draft)) {
    TRY(st, draft_place(draft, "split", &place));
  }
  for (int k = 0; k < PLANT_DESKS; ++k) {
    if (draft->has_desk[k]) {
      TRY(st, draft_place(draft, desks[k].place, &place));
    }
  }
  for (int b = 0; b < draft->boxes.n; ++b) {
    Box* const box = &draft->boxes.at[b].box;
    const char* const name = arena_format(draft->arena, "box %s", box->name);
    if (!name) {
      return draft_no_memory(draft);
    }
    TRY(st, draft_place(draft, name, &box->place));
  }
  return STATUS_OK;
}

// ---- Multicore and tails by the items list ----

static Status
find_long_items(Draft* draft)
{
  for (int i = 0; i < draft->items.n; ++i) {
    const Item* const item = &draft->items.at[i].item;
    if (text_begins(item->kind, "multicore") && item->length_m > draft->multicore_m) {
      draft->multicore_m = item->length_m;
    }
  }
  // A tail is known when the stores have exactly one with these ways and this length
  for (int b = 0; b < draft->boxes.n; ++b) {
    Box* const box = &draft->boxes.at[b].box;
    const char* const kind = arena_format(draft->arena, "tail %d", box->n_sockets);
    const char* tag = "";
    int n = 0;
    if (box->is_digital) {
      continue;
    }
    if (!kind) {
      return draft_no_memory(draft);
    }
    for (int i = 0; i < draft->items.n; ++i) {
      const Item* const item = &draft->items.at[i].item;
      if (text_same(item->kind, kind) && item->length_m == box->tail_m) {
        tag = item->tag;
        ++n;
      }
    }
    box->tail_tag = box->tail_tag[0] ? box->tail_tag : n == 1 ? tag : "";
  }
  if (draft->multicore_m > 0.0) {
    return STATUS_OK;
  }
  draft->multicore_m = usual_multicore_m;
  if (digital_only(draft)) {
    return STATUS_OK; // Nothing runs through it
  }
  return draft_assume(draft, "No multicore is listed: %g m is assumed.", usual_multicore_m);
}

Status
assume_plant(Draft* draft, int n_bare_lines)
{
  Status st = STATUS_OK;
  if (draft->boxes.n == 0) {
    draft->has_boxes = false;
    TRY(st, boxes_of_inputs(draft));
    if (draft->boxes.n > 0 && n_bare_lines > 0) {
      TRY(st, draft_leave(draft,
                          "%d lines were asked for; the boxes that the inputs name count "
                          "instead.",
                          n_bare_lines));
    }
    TRY(st, draft->boxes.n == 0 ? boxes_of_lines(draft, n_bare_lines) : STATUS_OK);
  }
  draft->has_boxes = true;
  TRY(st, check_loops(draft));
  TRY(st, number_boxes(draft));
  TRY(st, measure_tails(draft));
  TRY(st, draft->lines.n == 0 ? make_lines(draft) : STATUS_OK);
  qsort(draft->lines.at, (size_t)draft->lines.n, sizeof(draft->lines.at[0]), by_number);
  TRY(st, make_desk_inputs(draft));
  TRY(st, digital_assume(draft));
  TRY(st, make_split(draft));
  TRY(st, place_things(draft));
  return find_long_items(draft);
}

// ---- Handing over ----

Status
assume_walks(Draft* draft, double** walk_s)
{
  const int n = draft->places.n;
  double* const out = arena_array(draft->arena, (size_t)n * (size_t)n, sizeof(double));
  if (!out) {
    return draft_no_memory(draft);
  }
  for (int i = 0; i < n * n; ++i) {
    out[i] = -1.0;
  }
  for (int i = 0; i < draft->walks.n; ++i) {
    const Walk* const walk = &draft->walks.at[i];
    out[walk->from * n + walk->to] = walk->seconds;
  }
  const char* first_from = NULL;
  const char* first_to = NULL;
  int n_assumed = 0;
  for (int from = 0; from < n; ++from) {
    for (int to = 0; to < n; ++to) {
      double* const here = &out[from * n + to];
      if (from == to) {
        *here = 0.0;
      } else if (*here < 0.0 && out[to * n + from] >= 0.0) {
        *here = out[to * n + from]; // The way back takes as long, unless it is listed
      } else if (*here < 0.0) {
        const bool far =
          text_same(draft->places.at[from], "tower") || text_same(draft->places.at[to], "tower");
        *here = far ? usual_tower_s : usual_stage_s;
        first_from = first_from ? first_from : draft->places.at[from];
        first_to = first_to ? first_to : draft->places.at[to];
        ++n_assumed;
      }
    }
  }
  *walk_s = out;
  return n_assumed == 0
           ? STATUS_OK
           : draft_assume(draft,
                          "Walking times are not listed for some places (from %.40s to "
                          "%.40s, for one): %g s to and from the tower and %g s on stage "
                          "are assumed.",
                          first_from, first_to, usual_tower_s, usual_stage_s);
}

void
assume_desks(const Draft* draft, Plant* plant)
{
  for (int k = 0; k < PLANT_DESKS; ++k) {
    if (draft->has_desk[k]) {
      const Plant so_far = {.places = draft->places.at, .n_places = draft->places.n};
      plant->desks[plant->n_desks++] = (Desk){.name = desks[k].name,
                                              .say = desks[k].say,
                                              .place = plant_place(&so_far, desks[k].place),
                                              .is_direct = draft->direct == k,
                                              .between_ohm = draft->between_ohm[k],
                                              .each_ohm = draft->each_ohm[k]};
    }
  }
}
