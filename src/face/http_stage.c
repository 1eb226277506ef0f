// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_stage.h"

#include "base/text.h"
#include "face/json.h"

#include <string.h>

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
  json_object_set_new(stage, "doors",
                      plant->doors.opens[0] ? json_words(plant->doors.opens) : json_null());
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
