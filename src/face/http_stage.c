// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_stage.h"

#include "base/text.h"
#include "face/json.h"

#include <string.h>

// When doors open by the running order: the time of the row that says "doors"; null = it does not.
static json_t*
doors_json(const OpenShow* show)
{
  json_t* doors = NULL;
  Arena arena;
  arena_init(&arena, NULL);
  for (int i = 0; i < show->n_lists && !doors; ++i) {
    const ListText* const list = &show->lists[i];
    Table table = {0};
    const bool is_day =
      table_read(&arena, list->name, list->bytes, list->n_bytes, &table, NULL) == STATUS_OK &&
      table.n_rows > 0 && lists_sort(&arena, &table) == LIST_DAY;
    for (int r = 1; is_day && r < table.n_rows && !doors; ++r) {
      const TableRow* const row = &table.rows[r];
      const char* time = NULL;
      bool says_doors = false;
      for (int c = 0; c < row->n_cells; ++c) {
        const char* const text = row->cells[c].text;
        const bool is_time =
          strlen(text) == 5 && text[2] == ':' && strspn(text, "0123456789:") == 5;
        time = is_time && !time ? text : time;
        says_doors = says_doors || text_same(text, "doors");
      }
      doors = says_doors && time ? json_words(time) : NULL;
    }
  }
  arena_deinit(&arena);
  return doors ? doors : json_null();
}

char*
http_stage_text(const OpenShow* show)
{
  const Plant* const plant = &show->plant;
  json_t* const stage = json_object();
  json_t* const boxes = json_array();
  json_t* const desks = json_array();
  for (int b = 0; b < plant->n_boxes; ++b) {
    const Box* const box = &plant->boxes[b];
    json_t* const one = json_object();
    json_object_set_new(one, "box", json_words(box->name));
    json_object_set_new(one, "name", json_words(box->meaning));
    json_object_set_new(
      one, "place",
      json_words(box->place >= 0 && box->place < plant->n_places ? plant->places[box->place] : ""));
    json_object_set_new(one, "sockets", json_integer(box->n_sockets));
    json_array_append_new(boxes, one);
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    json_t* const one = json_object();
    json_object_set_new(one, "desk", json_words(plant->desks[d].name));
    json_object_set_new(one, "say", json_words(plant->desks[d].say));
    json_array_append_new(desks, one);
  }
  json_object_set_new(stage, "boxes", boxes);
  json_object_set_new(stage, "desks", desks);
  json_object_set_new(stage, "doors", doors_json(show));
  char* const text = json_dumps(stage, JSON_COMPACT | JSON_PRESERVE_ORDER);
  json_decref(stage);
  return text;
}

const char*
http_stage_role(const Plant* plant, const char* place, const char* who, const char* role)
{
  const int desk = plant_desk(plant, place);
  const int at = desk >= 0 ? plant->desks[desk].place : -1;
  for (int i = 0; i < plant->n_people; ++i) {
    if (who && text_same(plant->people[i].role, who)) {
      return plant->people[i].role;
    }
  }
  for (int i = 0; i < plant->n_people; ++i) {
    bool is_box = false;
    for (int b = 0; b < plant->n_boxes && desk < 0; ++b) {
      is_box = is_box || plant->boxes[b].place == plant->people[i].place;
    }
    if ((at >= 0 && plant->people[i].place == at) || (is_box && !strcmp(place, "stage"))) {
      return plant->people[i].role;
    }
  }
  return role;
}
