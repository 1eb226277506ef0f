// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/around.h"
#include "day/daypatch.h"
#include "face/difference.h"
#include "face/json.h"
#include "face/line_view.h"
#include "face/patch_cells.h"
#include "face/verb.h"

/*
  `patch`: sockets for what the acts' lists leave open. Alone it says what each way costs; with a
  way it shows what would be written; with --yes each list that changes becomes a newer version.

  What is written (patch_cells) is read again before it is taken, and refused unless every source
  sits where the plan has it. All lists come in as one: one undo takes the whole patch back.
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
      const bool same =
        plan->line[i] < 0 ? !input->is_placed : plan->line[i] == input->line && input->is_placed;
      changes = changes || (text_same(input->list, show->lists[k].name) && !same);
    }
    if (changes) {
      TRY(st, patch_cells(face, show, plan, k, &patch->lists[k]));
      patch->written[patch->n_written++] = k;
    }
  }
  TRY(st,
      lists_build(face->arena, patch->lists, show->n_lists, show->n_bare_lines, &now, face->error));
  TRY(st, patch_cells_check(face, show, plan, &now));
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
  Fact* const facts = arena_array(face->arena, (size_t)patch->n_written, sizeof(Fact));
  const Args* const args = face->args;
  char now[FACT_TIME_ROOM];
  fact_time_now(now);
  if (!facts) {
    return STATUS_NO_MEMORY;
  }
  for (int k = 0; k < patch->n_written; ++k) {
    const ListText* const list = &patch->lists[patch->written[k]];
    const char* const version = arena_format(face->arena, "%d", next_version(show, list->name));
    FactBody body;
    Status st;
    if (!version) {
      return STATUS_NO_MEMORY;
    }
    TRY(st, show_list_body(face, list, version, "patch", &body));
    body.id = k > 0 ? facts[0].id : NULL; // They come in with the first, and go with it
    TRY(st, fact_make(face->arena, FACT_LIST_IMPORTED, &body, now, args->from ? args->from : "",
                      args->role ? args->role : "", &facts[k], face->error));
    if (k == 0 && args->id) {
      facts[0].id = args->id;
    }
  }
  Status st;
  TRY(st, store_append(show->store, facts, (size_t)patch->n_written, NULL, face->error));
  patch->is_taken = true;
  return STATUS_OK;
}

// ---- Saying it ----

static const char*
short_say(const Face* face, const OpenShow* show, const Daypatch* plan, const DaypatchShort* one)
{
  const Plant* const plant = &show->plant;
  const Input* const input = &plant->inputs[one->input];
  TextOut out = {.arena = face->arena};
  text_add(&out, "%s, %s: no socket is left for it%s.", plant->acts[input->act].name, input->source,
           one->need >= NEEDED_MUST ? ", and the act does not go on without it" : "");
  if (one->share >= 0 && one->with == one->input) {
    text_add(&out, " Played mono, %s and it can go on one line.", plant->inputs[one->share].source);
  } else if (one->share >= 0) {
    char socket[40];
    text_add(&out, " %s and %s, played mono, can go on one line: that leaves %s for it.",
             plant->inputs[one->share].source, plant->inputs[one->with].source,
             line_socket(plant, plan->line[one->with], socket));
  }
  return text_done(&out);
}

static json_t*
way_cost_json(const OpenShow* show, DaypatchWay way, const Daypatch* plan)
{
  const Plant* const plant = &show->plant;
  json_t* const one = json_object();
  json_t* const acts = json_array();
  json_t* const shorts = json_array();
  for (int i = 0; i < plan->n_short; ++i) {
    const DaypatchShort* const s = &plan->shorts[i];
    json_t* const row = json_object();
    json_object_set_new(row, "act", json_words(plant->acts[plant->inputs[s->input].act].name));
    json_object_set_new(row, "source", json_words(plant->inputs[s->input].source));
    json_object_set_new(row, "needed", json_integer(s->need));
    json_object_set_new(row, "must", json_boolean(s->need >= NEEDED_MUST));
    json_object_set_new(row, "could_share",
                        s->share < 0 ? json_null()
                                     : json_pack("[s, s]", plant->inputs[s->share].source,
                                                 plant->inputs[s->with].source));
    json_array_append_new(shorts, row);
  }
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
  json_object_set_new(one, "voices_moved", json_integer(plan->n_loose));
  json_object_set_new(one, "short", shorts);
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
  for (int i = 0; i < plan->n_short; ++i) {
    json_array_append_new(without, json_words(short_say(face, show, plan, &plan->shorts[i])));
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    if (plan->line[i] >= 0 && patch->has_way) {
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
    "each act in the order of its own list, channel for channel",
    "as few plugs moved over the day as can be"};
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
    if (plan->n_loose > 0) {
      text_add(&out, " Voices change their line %d time%s.", plan->n_loose,
               plan->n_loose == 1 ? "" : "s");
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

// How many short, act by act, and each by name, what is missed most first.
static Status
say_shorts(const Face* face, const OpenShow* show, const Daypatch* plan)
{
  for (int i = 0; i < plan->n_short; ++i) {
    const int act = show->plant.inputs[plan->shorts[i].input].act;
    const char* const text = short_say(face, show, plan, &plan->shorts[i]);
    int n = 0;
    for (int k = 0; k < plan->n_short; ++k) {
      n += show->plant.inputs[plan->shorts[k].input].act == act;
    }
    if (!text) {
      return STATUS_NO_MEMORY;
    }
    if (i == 0 || show->plant.inputs[plan->shorts[i - 1].input].act != act) {
      screen_say(face->screen, PAINT_WARN, "%s is %d socket%s short.", show->plant.acts[act].name,
                 n, n == 1 ? "" : "s");
    }
    screen_item(face->screen, PAINT_WARN, "- ", text);
  }
  if (plan->n_short > 0) {
    screen_say(face->screen, PAINT_FAINT,
               "Left out is what is missed least, by usual practice (no source). To say otherwise "
               "put x into a column \"must\" of the act's list, or import a list with the columns "
               "plays and needed.");
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
  screen_say(face->screen, PAINT_STRONG, "%d sources in %d act%s; %d have their socket by hand%s.",
             plant->n_inputs, plant->n_acts, plant->n_acts == 1 ? "" : "s", n_fixed,
             n_fixed > 0 ? " and keep it (--anew plans them too)" : "");
  screen_say(face->screen, PAINT_PLAIN,
             face->args->voices_move
               ? "Voices may change their line from act to act."
               : "In each way a voice keeps one line all day, also where its list has it elsewhere "
                 "in the order (--voices-move lets it change).");
  TRY(st, say_costs(face, show, patch));
  TRY(st, say_shorts(face, show, plan));
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
  } else if (patch->is_taken) {
    screen_say(face->screen, PAINT_PLAIN, "One undo takes all of it back.");
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
  const DaypatchOptions options = {patch.blocked, args->anew, args->voices_move};
  for (int k = 0; k < DAYPATCH_WAYS; ++k) {
    TRY(st, daypatch_plan(face->arena, &show->plant, &options, (DaypatchWay)k, &patch.ways[k]));
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
