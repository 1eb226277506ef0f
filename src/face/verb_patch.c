// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/table.h"
#include "base/text.h"
#include "day/around.h"
#include "day/daypatch.h"
#include "face/difference.h"
#include "face/json.h"
#include "face/line_view.h"
#include "face/verb.h"

#include <string.h>

/*
  `patch`: sockets for what the acts' lists leave open. Alone it says what each way costs; with a
  way it shows what would be written; with --yes each list that changes becomes a newer version.

  A list is written by setting its box and socket cells, everything else in it stays. What comes out
  is read again before it is taken, and refused unless every source sits where the plan has it.
*/

typedef struct {
  Daypatch ways[DAYPATCH_WAYS];
  bool has_way;
  DaypatchWay way;
  const bool* blocked;
  ListText* lists; ///< [n_lists] newer ones in their place
  int* written;    ///< [n_written] index of those that change
  int n_written;
  const char* const* changes;
  int n_changes;
  bool is_taken;
} Patch;

static Status
find_blocked(const Face* face, OpenShow* show, Patch* patch)
{
  bool* const blocked = arena_array(face->arena, (size_t)show->plant.n_lines, sizeof(bool));
  Status st;
  if (!blocked) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, show_situate(face, show, -1));
  for (int l = 0; l < show->plant.n_lines; ++l) {
    blocked[l] = around_is_taped(show->situation, l) || show->situation->is_accused[l];
  }
  patch->blocked = blocked;
  return STATUS_OK;
}

// ---- Writing the lists ----

// The column with one of these headings; one is added at the end when there is none.
static Status
column_of(Arena* arena, Table* table, int head, const char* const names[], int* column)
{
  TableRow* const row = &table->rows[head];
  for (int c = 0; c < row->n_cells; ++c) {
    for (int k = 0; names[k]; ++k) {
      if (text_same(row->cells[c].text, names[k])) {
        *column = c;
        return STATUS_OK;
      }
    }
  }
  int widest = 0;
  for (int r = 0; r < table->n_rows; ++r) {
    widest = table->rows[r].n_cells > widest ? table->rows[r].n_cells : widest;
  }
  *column = widest;
  TableCell* const cells = arena_array(arena, (size_t)widest + 1, sizeof(TableCell));
  if (!cells) {
    return STATUS_NO_MEMORY;
  }
  for (int c = 0; c <= widest; ++c) {
    cells[c] = c < row->n_cells ? row->cells[c] : (TableCell){"", row->line, 1};
  }
  cells[widest].text = names[0];
  row->cells = cells;
  row->n_cells = widest + 1;
  return STATUS_OK;
}

static Status
set_cell(Arena* arena, TableRow* row, int column, const char* text)
{
  if (!text) {
    return STATUS_NO_MEMORY;
  }
  if (column >= row->n_cells) {
    TableCell* const cells = arena_array(arena, (size_t)column + 1, sizeof(TableCell));
    if (!cells) {
      return STATUS_NO_MEMORY;
    }
    for (int c = 0; c <= column; ++c) {
      cells[c] = c < row->n_cells ? row->cells[c] : (TableCell){"", row->line, 1};
    }
    row->cells = cells;
    row->n_cells = column + 1;
  }
  row->cells[column].text = text;
  return STATUS_OK;
}

// The heading row: the first with a cell that names the sources; -1 = there is none.
static int
heading_of(const Table* table, int* source)
{
  static const char* const names[] = {"source", "instrument", "input", "name", "what", NULL};
  for (int k = 0; names[k]; ++k) {
    for (int r = 0; r < table->n_rows && r < 20; ++r) {
      for (int c = 0; c < table->rows[r].n_cells; ++c) {
        if (text_same(table->rows[r].cells[c].text, names[k])) {
          *source = c;
          return r;
        }
      }
    }
  }
  return -1;
}

static Status
write_list(const Face* face, const OpenShow* show, const Daypatch* plan, int at, Patch* patch)
{
  static const char* const boxes[] = {"box", "stage box", NULL};
  static const char* const sockets[] = {"socket", "box socket", NULL};
  const ListText* const list = &show->lists[at];
  const Plant* const plant = &show->plant;
  Table table;
  int source = 0;
  int box = 0;
  int socket = 0;
  Status st;
  TRY(st, table_read(face->arena, list->name, list->bytes, list->n_bytes, &table, face->error));
  const int head = heading_of(&table, &source);
  if (head < 0) {
    return error_set(
      face->error, STATUS_BAD_INPUT, list->name, 1, 1,
      "No column of this list is called \"source\": call it so, that the sockets can "
      "be written beside it.");
  }
  TRY(st, column_of(face->arena, &table, head, boxes, &box));
  TRY(st, column_of(face->arena, &table, head, sockets, &socket));
  int next = 0; // Rows come in the order of the inputs
  for (int r = head + 1; r < table.n_rows; ++r) {
    TableRow* const row = &table.rows[r];
    const char* const text = table_cell(row, source)->text;
    int i = next;
    while (i < plant->n_inputs && !(text_same(plant->inputs[i].list, list->name) &&
                                    text_same(plant->inputs[i].source, text))) {
      ++i;
    }
    if (i == plant->n_inputs) {
      continue; // A section, a note, a row without a source
    }
    next = i + 1;
    if (plan->fixed[i]) {
      continue;
    }
    if (plan->line[i] < 0) { // Its old socket may be another's now
      TRY(st, set_cell(face->arena, row, box, ""));
      TRY(st, set_cell(face->arena, row, socket, ""));
      continue;
    }
    const Line* const line = &plant->lines[plan->line[i]];
    TRY(st, set_cell(face->arena, row, box, plant->boxes[line->box].name));
    TRY(st, set_cell(face->arena, row, socket, arena_format(face->arena, "%d", line->socket)));
  }
  ListText* const newer = &patch->lists[at];
  TRY(st, table_write(face->arena, &table, &newer->bytes, &newer->n_bytes));
  patch->written[patch->n_written++] = at;
  return STATUS_OK;
}

static Status
check_written(const Face* face, const OpenShow* show, const Daypatch* plan, const Plant* now)
{
  const Plant* const plant = &show->plant;
  for (int i = 0; i < plant->n_inputs; ++i) {
    if (plan->line[i] >= 0 &&
        (i >= now->n_inputs || !text_same(now->inputs[i].source, plant->inputs[i].source) ||
         now->inputs[i].line != plan->line[i])) {
      char want[40];
      return error_set(face->error, STATUS_BAD_INPUT, plant->inputs[i].list, 0, 0,
                       "The sockets cannot be written into this list (%.60s, %s): give it a column "
                       "box and a column socket, and no other that says where.",
                       plant->inputs[i].source, line_socket(plant, plan->line[i], want));
    }
  }
  return STATUS_OK;
}

static Status
write_lists(const Face* face, const OpenShow* show, Patch* patch)
{
  const Daypatch* const plan = &patch->ways[patch->way];
  const Plant* const plant = &show->plant;
  Plant now;
  Status st;
  patch->lists = arena_array(face->arena, (size_t)show->n_lists, sizeof(ListText));
  patch->written = arena_array(face->arena, (size_t)show->n_lists, sizeof(int));
  if (!patch->lists || !patch->written) {
    return STATUS_NO_MEMORY;
  }
  for (int k = 0; k < show->n_lists; ++k) {
    bool changes = false;
    patch->lists[k] = show->lists[k];
    for (int i = 0; i < plant->n_inputs; ++i) {
      const Input* const input = &plant->inputs[i];
      changes = changes || (text_same(input->list, show->lists[k].name) && plan->line[i] >= 0 &&
                            (plan->line[i] != input->line || !input->is_placed));
    }
    if (changes) {
      TRY(st, write_list(face, show, plan, k, patch));
    }
  }
  TRY(st,
      lists_build(face->arena, patch->lists, show->n_lists, show->n_bare_lines, &now, face->error));
  TRY(st, check_written(face, show, plan, &now));
  return difference_plants(face->arena, plant, &now, &patch->changes, &patch->n_changes);
}

// How often a list was taken in, and once more.
static int
next_version(const OpenShow* show, const char* name)
{
  int n = 1;
  for (size_t i = 0; i < show->fold.all.n_facts; ++i) {
    const FoldFact* const f = show->fold.all.facts[i];
    n += f->in_force && f->fact.kind == FACT_LIST_IMPORTED && text_same(f->body.list, name);
  }
  return n;
}

static Status
take(const Face* face, OpenShow* show, Patch* patch)
{
  for (int k = 0; k < patch->n_written; ++k) {
    const ListText* const list = &patch->lists[patch->written[k]];
    const char* const version = arena_format(face->arena, "%d", next_version(show, list->name));
    FactBody body;
    bool is_new = false;
    Status st;
    if (!version) {
      return STATUS_NO_MEMORY;
    }
    TRY(st, show_list_body(face, list, version, "patch", &body));
    TRY(st, show_tell(face, show, FACT_LIST_IMPORTED, &body, &is_new, NULL));
  }
  patch->is_taken = true;
  return STATUS_OK;
}

// ---- Saying it ----

static const char*
short_say(const Face* face, const OpenShow* show, const Daypatch* plan, int i)
{
  const Plant* const plant = &show->plant;
  const Input* const input = &plant->inputs[i];
  for (int k = 0; k < plant->n_inputs; ++k) {
    const int other = plan->line[k] >= 0 || k == i ? daypatch_sharer(plant, k) : -1;
    if (plant->inputs[k].act == input->act && other >= 0) {
      return arena_format(face->arena,
                          "%s, %s: no socket is left for it. %s and %s could share a line.",
                          plant->acts[input->act].name, input->source, plant->inputs[k].source,
                          plant->inputs[other].source);
    }
  }
  return arena_format(face->arena, "%s, %s: no socket is left for it.",
                      plant->acts[input->act].name, input->source);
}

static json_t*
way_cost_json(const OpenShow* show, DaypatchWay way, const Daypatch* plan)
{
  const Plant* const plant = &show->plant;
  json_t* const one = json_object();
  json_t* const acts = json_array();
  for (int a = 1; a < plant->n_acts; ++a) {
    json_t* const change = json_object();
    json_object_set_new(change, "from", json_words(plant->acts[a - 1].name));
    json_object_set_new(change, "to", json_words(plant->acts[a].name));
    json_object_set_new(change, "plugs_moved", json_integer(plan->moved[a]));
    json_array_append_new(acts, change);
  }
  json_object_set_new(one, "way", json_words(daypatch_word(way)));
  json_object_set_new(one, "plugs_moved", json_integer(plan->n_moved));
  json_object_set_new(one, "least", json_integer(plan->least));
  json_object_set_new(one, "changeovers", acts);
  json_object_set_new(one, "without_socket", json_integer(plan->n_short));
  json_object_set_new(one, "far", json_integer(plan->n_far));
  return one;
}

static Status
answer(const Face* face, const OpenShow* show, const Patch* patch)
{
  const Plant* const plant = &show->plant;
  const Daypatch* const plan = &patch->ways[patch->has_way ? patch->way : DAYPATCH_FEWEST];
  json_t* const object = json_answer(NULL);
  json_t* const ways = json_array();
  json_t* const rows = json_array();
  json_t* const without = json_array();
  for (int k = 0; k < DAYPATCH_WAYS; ++k) {
    json_array_append_new(ways, way_cost_json(show, (DaypatchWay)k, &patch->ways[k]));
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    if (plan->line[i] < 0) {
      json_array_append_new(without, json_words(short_say(face, show, plan, i)));
    } else if (patch->has_way) {
      const Line* const line = &plant->lines[plan->line[i]];
      json_t* const row = json_object();
      json_object_set_new(row, "act", json_words(plant->acts[plant->inputs[i].act].name));
      json_object_set_new(row, "source", json_words(plant->inputs[i].source));
      json_object_set_new(row, "line", json_integer(line->number));
      json_object_set_new(row, "box", json_words(plant->boxes[line->box].name));
      json_object_set_new(row, "socket", json_integer(line->socket));
      json_object_set_new(row, "by_hand", json_boolean(plan->fixed[i]));
      json_array_append_new(rows, row);
    }
  }
  json_object_set_new(object, "ways", ways);
  json_object_set_new(object, "way",
                      patch->has_way ? json_words(daypatch_word(patch->way)) : json_null());
  json_object_set_new(object, "rows", rows);
  json_object_set_new(object, "without_socket", without);
  json_object_set_new(object, "changes", json_list(patch->changes, patch->n_changes));
  json_object_set_new(object, "taken", json_boolean(patch->is_taken));
  return json_answer_print(object, face->args, face->screen->out, face->error);
}

static Status
say_costs(const Face* face, const OpenShow* show, const Patch* patch)
{
  static const char* const does[DAYPATCH_WAYS] = {
    "each family of sources has sockets of its own, the same all day",
    "each act in the order of its own list", "as few plugs moved over the day as can be"};
  for (int k = 0; k < DAYPATCH_WAYS; ++k) {
    const Daypatch* const plan = &patch->ways[k];
    TextOut out = {.arena = face->arena};
    text_add(&out, "%s: %s. %d plugs put in over the day", daypatch_word((DaypatchWay)k), does[k],
             plan->n_moved);
    for (int a = 1; a < show->plant.n_acts; ++a) {
      text_add(&out, "%s%s %d", a == 1 ? " (" : ", ", show->plant.acts[a].name, plan->moved[a]);
    }
    text_add(&out, "%s.", show->plant.n_acts > 1 ? ")" : "");
    if (k == DAYPATCH_FEWEST && plan->n_moved == plan->least) {
      text_add(&out, " Fewer cannot be.");
    }
    if (plan->n_far > 0) {
      text_add(&out, " %d not in their player's box.", plan->n_far);
    }
    if (plan->n_short > 0) {
      text_add(&out, " %d without a socket.", plan->n_short);
    }
    const char* const text = text_done(&out);
    if (!text) {
      return STATUS_NO_MEMORY;
    }
    screen_item(face->screen, PAINT_PLAIN, "- ", text);
  }
  return STATUS_OK;
}

static Status
say(const Face* face, const OpenShow* show, const Patch* patch)
{
  const Plant* const plant = &show->plant;
  const Daypatch* const plan = &patch->ways[patch->has_way ? patch->way : DAYPATCH_FEWEST];
  int n_fixed = 0;
  Status st;
  for (int i = 0; i < plant->n_inputs; ++i) {
    n_fixed += plan->fixed[i];
  }
  screen_say(face->screen, PAINT_STRONG, "%d sources in %d acts; %d have their socket by hand%s.",
             plant->n_inputs, plant->n_acts, n_fixed,
             n_fixed > 0 ? " and keep it (--anew plans them too)" : "");
  TRY(st, say_costs(face, show, patch));
  for (int i = 0; i < plant->n_inputs; ++i) {
    const char* const text = plan->line[i] < 0 ? short_say(face, show, plan, i) : "";
    if (!text) {
      return STATUS_NO_MEMORY;
    }
    if (text[0]) {
      screen_item(face->screen, PAINT_WARN, "- ", text);
    }
  }
  if (!patch->has_way) {
    screen_say(face->screen, PAINT_PLAIN, "Choose one: patch SHOW families, order or fewest.");
    return STATUS_OK;
  }
  screen_say(face->screen, PAINT_STRONG,
             patch->n_changes == 0 && patch->n_written == 0 ? "By %s nothing changes."
             : patch->is_taken                              ? "Taken, by %s:"
                                                            : "By %s it would be:",
             daypatch_word(patch->way));
  for (int i = 0; i < patch->n_changes; ++i) {
    screen_item(face->screen, PAINT_PLAIN, "- ", patch->changes[i]);
  }
  if (!patch->is_taken && patch->n_written > 0) {
    screen_say(face->screen, PAINT_PLAIN, "Not taken. Give --yes to take it.");
  }
  return STATUS_OK;
}

static Status
run(const Face* face, OpenShow* show)
{
  const Args* const args = face->args;
  Patch patch = {.has_way = args->n_words == 2};
  Status st;
  if (patch.has_way && !daypatch_of(args->words[1], &patch.way)) {
    return error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                     "\"%.40s\" is no way to patch a day: write families, order or fewest.",
                     args->words[1]);
  }
  if (args->yes && !patch.has_way) {
    return error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                     "Which way? Write families, order or fewest before --yes.");
  }
  TRY(st, find_blocked(face, show, &patch));
  for (int k = 0; k < DAYPATCH_WAYS; ++k) {
    TRY(st, daypatch_plan(face->arena, &show->plant, patch.blocked, args->anew, (DaypatchWay)k,
                          &patch.ways[k]));
  }
  if (patch.has_way) {
    TRY(st, write_lists(face, show, &patch));
    if (args->yes && patch.n_written > 0) {
      TRY(st, take(face, show, &patch));
    }
  }
  TRY(st, args->json ? answer(face, show, &patch) : say(face, show, &patch));
  return patch.ways[patch.has_way ? patch.way : DAYPATCH_FEWEST].n_short > 0 ? STATUS_NO
                                                                             : STATUS_OK;
}

Status
verb_patch(const Face* face)
{
  OpenShow show;
  Status st;
  TRY(st, show_open(face, face->args->words[0], face->args->yes ? STORE_WRITE : STORE_READ, &show));
  st = run(face, &show);
  const bool said = st == STATUS_OK || st == STATUS_NO;
  const Status closed = store_close(show.store, said ? face->error : NULL);
  return said && closed != STATUS_OK ? closed : st;
}
