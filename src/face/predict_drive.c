// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/predict_rows.h"
#include "fault/drive.h"

#include <math.h>
#include <string.h>

/*
  `predict SHOW "drive N" CHECK`: what a check at the amplifier of a drive line would show. The
  amplifier is a place where things get loud, so what must be so before the check stands above the
  rows, on the screen and in the JSON.
*/

typedef struct {
  const Plant* plant;
  const Meter* meter;
  const DriveLine* drive;
  const DriveCircuit* circuit;
  CheckSort sort;
  PredictRow* rows;
  DriveView* views;
  int n;
} DriveTable;

static Status
no_such_drive(const Face* face, const Plant* plant)
{
  TextOut out = {.arena = face->arena};
  for (int i = 0; i < plant->n_drives; ++i) {
    text_add(&out, "%sdrive %d", i ? ", " : "", plant->drives[i].number);
  }
  const char* const there = text_done(&out);
  return !there ? STATUS_NO_MEMORY
         : there[0]
           ? error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "There is no %.40s in this show. There are: %.250s.", face->args->words[1],
                       there)
           : error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "There is no %.40s: this show has no list of drive lines. Import one with "
                       "the columns drive_line and cable_m.",
                       face->args->words[1]);
}

static Status
fill(const Face* face, DriveTable* table, int drive)
{
  const DriveFault* faults = NULL;
  int n = 0;
  int good_key = 0;
  Status st = STATUS_OK;
  TRY(st, drive_faults(face->arena, table->plant, drive, &faults, &n));
  TRY(st, drive_build(face->arena, table->meter, table->drive, &table->circuit));
  table->rows = arena_array(face->arena, (size_t)n, sizeof(PredictRow));
  table->views = arena_array(face->arena, (size_t)n, sizeof(DriveView));
  if (!table->rows || !table->views) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < n; ++i) {
    DriveView* const view = &table->views[i];
    drive_view(table->circuit, table->meter, drive, &faults[i], view);
    const int key = drive_shows(table->plant, table->circuit, table->sort, view);
    good_key = i == 0 ? key : good_key;
    const Fault as_line = {PART_ELSE, faults[i].mode, faults[i].a, faults[i].b, -1, 1.0};
    char name[24];
    const PredictRow row = {
      .part = drive_part(face->arena, table->plant, drive, &faults[i]),
      .fault = arena_copy(face->arena, catalogue_name(&as_line, name)),
      .shows = view->is_anything ? "anything"
                                 : drive_key_text(face->arena, table->plant, table->sort, key),
      .sees = !view->is_anything && key != good_key,
      .is_shared = faults[i].mode == FAULT_WRONG_SOCKET};
    if (!row.part || !row.fault || !row.shows) {
      return STATUS_NO_MEMORY;
    }
    table->rows[table->n++] = row;
  }
  return STATUS_OK;
}

static json_t*
values_json(const DriveTable* table, const DriveView* view)
{
  json_t* const values = json_object();
  if (view->is_anything) {
    return values;
  }
  switch (table->sort) {
    case CHECK_LEVEL:
      json_object_set_new(values, "level_db", json_figure(view->level_db));
      json_object_set_new(values, "level_dbu",
                          json_figure(table->drive->level_dbu + view->level_db));
      break;
    case CHECK_TONE:
      json_object_set_new(values, "bass_db", json_figure(view->bass_db));
      break;
    case CHECK_HUM:
      json_object_set_new(values, "hum_dbv", json_figure(view->hum_dbv));
      break;
    case CHECK_POLARITY:
      json_object_set_new(values, "sign", json_integer(view->sign));
      break;
    case CHECK_OHMS:
      json_object_set_new(values, "r23_ohm", json_figure(view->r23_ohm));
      break;
    default:
      break;
  }
  return values;
}

static Status
answer(const Face* face, const OpenShow* show, const DriveTable* table)
{
  json_t* const object = json_answer(show->act_word);
  json_t* const rows = json_array();
  for (int i = 0; i < table->n; ++i) {
    json_array_append_new(rows,
                          predict_row_json(&table->rows[i], values_json(table, &table->views[i])));
  }
  json_object_set_new(object, "drive", json_integer(table->drive->number));
  json_object_set_new(object, "feeds", json_words(table->drive->zone_name));
  json_object_set_new(object, "check", json_words(predict_check_word(table->sort)));
  json_object_set_new(object, "at", json_words("amplifier"));
  json_object_set_new(object, "caution", json_words(drive_caution(table->sort)));
  json_object_set_new(object, "output_ohm", json_figure(table->drive->output_ohm));
  json_object_set_new(object, "amp_input_ohm", json_figure(table->drive->amp_ohm));
  json_object_set_new(object, "assumed", json_boolean(table->drive->is_assumed));
  if (table->sort == CHECK_OHMS) {
    json_t* const by = json_object();
    json_object_set_new(by, "name", json_words(table->meter->name));
    json_object_set_new(by, "volts", json_figure(table->meter->emf_v));
    json_object_set_new(by, "ohm", json_figure(table->meter->ohm));
    json_object_set_new(object, "meter", by);
  }
  json_object_set_new(object, "rows", rows);
  return json_answer_print(object, face->args, face->screen->out, face->error);
}

static void
say(const Face* face, const OpenShow* show, const DriveTable* table)
{
  const DriveLine* const d = table->drive;
  const char* const feeds = d->zone_name[0] ? d->zone_name : "nobody named what it feeds";
  show_say_act(face, show);
  screen_say(face->screen, PAINT_STRONG,
             "Drive %d (%s), %s at the amplifier: what each fault would most likely show",
             d->number, feeds, predict_check_word(table->sort));
  screen_item(face->screen, PAINT_WARN, "Caution: ", drive_caution(table->sort));
  screen_say(
    face->screen, PAINT_PLAIN,
    "Taken: output of %g ohm in each leg, %g m of cable, amplifier input of %g kohm between "
    "the legs%s, contact 1 %s.",
    d->output_ohm, d->cable_m, d->amp_ohm / 1e3,
    d->is_assumed ? " (usual practice where the list is silent)" : "",
    d->is_lifted ? "lifted at the amplifier" : "earthed at both ends");
  if (table->sort == CHECK_LEVEL) {
    screen_say(face->screen, PAINT_PLAIN,
               "With the desk's usual tone a good line reads %g dBu here (drive list).",
               d->level_dbu);
  } else if (table->sort == CHECK_OHMS) {
    screen_say(face->screen, PAINT_PLAIN,
               "Meter: %s, %g V behind %g ohm, across 2-3 of the plug. A good line reads %.0f ohm, "
               "or open where the output has capacitors: then its neighbour reads open too.",
               table->meter->name, table->meter->emf_v, table->meter->ohm, table->circuit->r23_ohm);
  } else if (table->sort == CHECK_SEEN) {
    screen_say(face->screen, PAINT_PLAIN,
               "Tone, or the name spoken, on this drive line alone: does this amplifier's input "
               "light move, or another one's?");
  }
  predict_rows_say(face, table->rows, table->n);
}

Status
predict_drive(const Face* face, OpenShow* show, int drive, bool* sees)
{
  DriveTable table = {.plant = &show->plant, .meter = plant_own_meter(&show->plant)};
  const char* const word = face->args->words[2];
  const char* const at = face->args->at;
  Status st = STATUS_OK;
  if (drive < 0) {
    return no_such_drive(face, &show->plant);
  }
  table.drive = &show->plant.drives[drive];
  if (!predict_check_of(word, &table.sort) || !drive_can(table.sort)) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "Nothing can be foretold for \"%.40s\" on a drive line: level, tone, hum, "
                     "polarity, seen or ohms.",
                     word);
  }
  if (at && !text_same(at, "amplifier") && !text_same(at, "amp")) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "A drive line is looked at from its amplifier, not from \"%.60s\": leave --at "
                     "out.",
                     at);
  }
  TRY(st, show_act(face, show, -1));
  TRY(st, fill(face, &table, drive));
  for (int i = 0; i < table.n; ++i) {
    *sees = *sees || table.rows[i].sees;
  }
  if (face->args->json) {
    return answer(face, show, &table);
  }
  say(face, show, &table);
  return STATUS_OK;
}
