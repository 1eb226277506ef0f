// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/line_view.h"
#include "face/predict_rows.h"
#include "face/verb.h"
#include "fault/digital.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  `predict`: what a check would show, fault by fault, on a line nobody has read yet; a drive line is
  another circuit and another place (predict_drive.c).
*/

typedef struct {
  PredictRow* rows;
  const View** views; ///< [n]
  int n;
  Check check;
  int line;
} Shown;

static Status
add_row(const Face* face, const OpenShow* show, Shown* table, const Condition* condition,
        const char* part, const char* fault, int* good_key)
{
  const View* view = NULL;
  const View* known = NULL;
  const Condition hunt = {condition->line, PREDICT_KNOWN_GOOD, condition->line, condition->fault};
  Predictor* const predictor = show->situation->predictor;
  Status st;
  TRY(st, predictor_view(predictor, condition, &view));
  if (view->is_anything) {
    table->views[table->n] = view;
    table->rows[table->n++] = (PredictRow){part, fault, "anything", false, false, NULL};
    return part && fault ? STATUS_OK : STATUS_NO_MEMORY;
  }
  if (table->check.sort == CHECK_HUNT) {
    TRY(st, predictor_view(predictor, &hunt, &known));
  }
  const int key = predict_shows(&show->plant, table->line, table->check, view, known);
  *good_key = table->n == 0 ? key : *good_key;
  const char* const shows =
    predict_key_text(face->arena, &show->plant, show->act, table->check, table->line, key);
  if (!part || !fault || !shows) {
    return STATUS_NO_MEMORY;
  }
  table->views[table->n] = view;
  table->rows[table->n++] = (PredictRow){part, fault, shows, key != *good_key, false, NULL};
  return STATUS_OK;
}

static Status
fill(const Face* face, const OpenShow* show, Shown* table)
{
  const Situation* const s = show->situation;
  const Plant* const plant = &show->plant;
  const int line = table->line;
  const int n_locals = s->model.n_locals[line];
  int good_key = 0;
  Status st;
  table->rows = arena_array(face->arena, (size_t)(n_locals + s->n_states), sizeof(PredictRow));
  table->views = arena_array(face->arena, (size_t)(n_locals + s->n_states), sizeof(const View*));
  if (!table->rows || !table->views) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < n_locals; ++i) {
    const Fault* const f = &s->locals[line][i];
    char name[24];
    const int plugged = situation_plugged(s, line, table->check, false);
    const Condition condition = {line, plugged, line, *f};
    const char* const part =
      f->mode == FAULT_NONE ? "the line" : catalogue_part(face->arena, plant, show->act, line, f);
    TRY(st, add_row(face, show, table, &condition, part,
                    arena_copy(face->arena, catalogue_name(f, name)), &good_key));
  }
  for (int i = 1; i < s->n_states; ++i) {
    if (shared_touch(&s->states[i], line)) {
      static const Fault none = {PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0};
      Condition condition = situation_supposed(plant, show->act, line, &s->states[i], &none);
      const int plugged = situation_plugged(s, line, table->check, false);
      condition.plugged = plugged == PREDICT_EMPTY ? plugged : condition.plugged;
      const char* const say = shared_say(face->arena, plant, show->act, &s->states[i]);
      const SharedSort sort = s->states[i].sort;
      char name[24];
      const char* const of_box = digital_is_state(sort)
                                   ? arena_copy(face->arena, catalogue_name(&condition.fault, name))
                                   : NULL;
      TRY(st, add_row(face, show, table, &condition, say,
                      of_box                ? of_box
                      : sort == SHARED_TAIL ? "not locked"
                      : sort == SHARED_BANK ? "phantom off"
                      : sort == SHARED_SPLIT_SIDE || sort == SHARED_DESK || sort == SHARED_Y
                        ? "dead"
                        : "wrong socket",
                      &good_key));
      table->rows[table->n - 1].is_shared = true;
      if (sort == SHARED_SWAP || sort == SHARED_MOVED) {
        const int other = s->states[i].from == line ? s->states[i].to : s->states[i].from;
        table->rows[table->n - 1].socket =
          arena_format(face->arena, "%s%d", plant->boxes[plant->lines[other].box].name,
                       plant->lines[other].socket);
      }
    }
  }
  return STATUS_OK;
}

// A key for each lamp by its contacts: "lamp21_a"; of two lamps across the same pair the second is
// called by its number too, "lamp21_2_a".
static void
lamps_json(const Plant* plant, const double lamps_a[], json_t* values)
{
  const Tester* const tester = plant_own_tester(plant, 3);
  for (int i = 0, lamp = 0; tester && i < tester->n_parts; ++i) {
    const TesterPart* const part = &tester->parts[i];
    if (part->sort != TESTER_LAMP) {
      continue;
    }
    char key[32];
    (void)snprintf(key, sizeof(key), "lamp%d%d_a", part->from, part->to);
    if (json_object_get(values, key)) {
      (void)snprintf(key, sizeof(key), "lamp%d%d_%d_a", part->from, part->to, lamp + 1);
    }
    json_object_set_new(values, key, json_figure(lamps_a[lamp++]));
  }
}

static json_t*
values_json(const Plant* plant, const Shown* table, const View* view)
{
  json_t* const values = json_object();
  const int d = table->check.desk;
  if (view->is_anything) {
    return values;
  }
  switch (table->check.sort) {
    case CHECK_VOLTS:
      json_object_set_new(values, "v21",
                          json_figure(d < 0 ? view->volts[0] : view->desk_volts[d][0]));
      json_object_set_new(values, "v31",
                          json_figure(d < 0 ? view->volts[1] : view->desk_volts[d][1]));
      if (d < 0) {
        json_object_set_new(values, "ma2", json_figure(1e3 * view->legs_a[0]));
        json_object_set_new(values, "ma3", json_figure(1e3 * view->legs_a[1]));
      }
      json_object_set_new(values, "source_v", json_figure(view->source_v));
      break;
    case CHECK_LAMPS:
      lamps_json(plant, view->lamps_a, values);
      break;
    case CHECK_SENT:
      lamps_json(plant, view->sent_a, values);
      break;
    case CHECK_OHMS:
      json_object_set_new(values, "r23_ohm", json_figure(view->r23_ohm));
      break;
    case CHECK_LEVEL:
      json_object_set_new(values, "level_db", json_figure(view->level_db[d]));
      break;
    case CHECK_TONE:
      json_object_set_new(values, "bass_db", json_figure(view->bass_db[d]));
      break;
    case CHECK_HUM:
      json_object_set_new(values, "hum_dbv", json_figure(view->hum_dbv[d]));
      break;
    case CHECK_POLARITY:
      json_object_set_new(values, "sign", json_integer(view->sign[d]));
      break;
    default:
      break;
  }
  return values;
}

// Whether what is heard depends on the input that the desk is taken to have, and not of a digital
// box.
static bool
hears_input(const Plant* plant, const Shown* table)
{
  return table->check.desk >= 0 && table->check.sort <= CHECK_POLARITY &&
         table->check.sort != CHECK_CRACKLE && !plant_is_digital(plant, table->line);
}

static Status
answer(const Face* face, const OpenShow* show, const Shown* table)
{
  const Plant* const plant = &show->plant;
  json_t* const object = json_answer(show->act_word);
  json_t* const rows = json_array();
  for (int i = 0; i < table->n; ++i) {
    json_array_append_new(
      rows, predict_row_json(&table->rows[i], values_json(plant, table, table->views[i])));
  }
  json_object_set_new(object, "line", json_integer(plant->lines[table->line].number));
  json_object_set_new(object, "check", json_words(predict_check_word(table->check.sort)));
  json_object_set_new(
    object, "at",
    json_words(table->check.desk >= 0 ? plant->desks[table->check.desk].name : "socket"));
  if (table->check.sort == CHECK_OHMS) {
    const Meter* const meter = plant_own_meter(plant);
    json_t* const by = json_object();
    json_object_set_new(by, "name", json_words(meter->name));
    json_object_set_new(by, "volts", json_figure(meter->emf_v));
    json_object_set_new(by, "ohm", json_figure(meter->ohm));
    json_object_set_new(object, "meter", by);
  }
  if (hears_input(plant, table)) {
    double between_ohm = 0.0;
    double each_ohm = 0.0;
    json_t* const input = json_object();
    const bool assumed =
      plant_desk_input(&plant->desks[table->check.desk], &between_ohm, &each_ohm);
    json_object_set_new(input, "between_ohm", json_figure(between_ohm));
    json_object_set_new(input, "each_ohm", json_figure(each_ohm));
    json_object_set_new(input, "assumed", json_boolean(assumed));
    json_object_set_new(object, "input", input);
  }
  json_object_set_new(object, "rows", rows);
  return json_answer_print(object, face->args, face->screen->out, face->error);
}

// What must be said before anybody reads this; NULL where a look or an ear is enough.
static const char*
caution(Check check)
{
  if (check.sort == CHECK_VOLTS && check.desk >= 0) {
    return "Mute the line at every desk, sends to in-ears too, headphones down; then phantom on "
           "for this channel, and never with a ribbon or another source that must not get it "
           "anywhere the line could end.";
  }
  switch (check.sort) {
    case CHECK_LAMPS:
    case CHECK_VOLTS:
      return "Mute the line at every desk, sends to in-ears too, headphones down; source out, "
             "then phantom on, and never with a ribbon anywhere the line could end.";
    case CHECK_SENT:
    case CHECK_FLEX:
      return "Mute the line at every desk, phantom off, wait 5 s, then the cable out at both "
             "ends. Never with a ribbon still on it.";
    case CHECK_OHMS:
      return "Mute the line at every desk, phantom off, wait 5 s, then unplug at the box. Never "
             "into a ribbon.";
    case CHECK_HUNT:
    case CHECK_CRACKLE:
      return "Mute the line at every desk, sends to in-ears too; who listens does so by "
             "headphones, turned down first.";
    default:
      return NULL;
  }
}

static void
say_input(const Face* face, const Desk* desk)
{
  double between_ohm = 0.0;
  double each_ohm = 0.0;
  const bool assumed = plant_desk_input(desk, &between_ohm, &each_ohm);
  char between[64] = "";
  char each[64] = "";
  if (isfinite(between_ohm)) {
    (void)snprintf(between, sizeof(between), "%g kohm between the legs", between_ohm / 1e3);
  }
  if (isfinite(each_ohm)) {
    (void)snprintf(each, sizeof(each), "%g kohm from each leg to earth", each_ohm / 1e3);
  }
  screen_say(face->screen, PAINT_PLAIN, "Input of the %s: %s%s%s%s.", desk->say, between,
             between[0] && each[0] ? ", " : "", each,
             assumed ? " (assumed, usual practice; with 1 kohm from each leg to earth a lost leg "
                       "costs less)"
                     : "");
}

static void
say(const Face* face, const OpenShow* show, const Shown* table)
{
  const Plant* const plant = &show->plant;
  const int desk = table->check.desk;
  show_say_act(face, show);
  screen_say(face->screen, PAINT_STRONG,
             "Line %d, %s at the %s: what each fault would most likely show",
             plant->lines[table->line].number, predict_check_word(table->check.sort),
             desk >= 0 ? plant->desks[desk].say : "socket");
  if (table->check.sort == CHECK_LAMPS || table->check.sort == CHECK_SENT) {
    char names[PREDICT_LAMPS_BYTES];
    predict_lamps(plant, names);
    screen_say(
      face->screen, PAINT_PLAIN,
      "Lamps %s: G and R lit, g and r lit but clearly weaker than on a good line, d dim, a "
      "point dark.",
      names);
  }
  if (table->check.sort == CHECK_OHMS) {
    const Meter* const meter = plant_own_meter(plant);
    screen_say(face->screen, PAINT_PLAIN, "Meter: %s, %g V behind %g ohm.", meter->name,
               meter->emf_v, meter->ohm);
  }
  if (hears_input(plant, table)) {
    say_input(face, &plant->desks[desk]);
  }
  const char* const how = caution(table->check);
  if (how) {
    screen_item(face->screen, PAINT_WARN, "First: ", how);
  }
  predict_rows_say(face, table->rows, table->n);
}

static Status
run_predict(const Face* face, OpenShow* show, Shown* table)
{
  const Plant* const plant = &show->plant;
  const char* const word = face->args->words[2];
  const char* const at = face->args->at;
  int place_line = -1;
  Status st;
  TRY(st, show_find(face, show, face->args->words[1], &table->line));
  // What each fault would show does not depend on what was seen today
  TRY(st, situation_new(face->arena, plant, show->act, NULL, &show->situation));
  if (!predict_check_of(word, &table->check.sort) || table->check.sort == CHECK_SWAP) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "Nothing can be foretold for \"%.40s\": level, tone, hum, crackle, polarity, "
                     "seen, look, volts, lamps, sent, ohms, flex, box or hunt.",
                     word);
  }
  table->check.desk = -1;
  if (at && !situation_place(plant, at, &place_line, &table->check.desk)) {
    return error_set(
      face->error, STATUS_BAD_INPUT, NULL, 0, 0,
      "There is no place \"%.60s\": write a socket (A6, socket) or a desk (foh, mon, "
      "broadcast).",
      at);
  }
  const CheckSort sort = table->check.sort;
  if (sort == CHECK_BOX && !plant_is_digital(plant, table->line)) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "Box %.40s is not digital: it has no lamps to look at.",
                     plant->boxes[plant->lines[table->line].box].name);
  }
  if (sort == CHECK_SENT && !predict_can_send(plant)) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "The lamp tester of this show has no sender: nothing can be sent through a "
                     "cable.");
  }
  if (sort == CHECK_VOLTS && table->check.desk >= 0 && plant_is_digital(plant, table->line)) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "Line %d goes into a digital box: a desk's input has no volts of it.",
                     plant->lines[table->line].number);
  }
  const bool at_desk = sort <= CHECK_SEEN || sort == CHECK_HUNT;
  if (at_desk && table->check.desk < 0) {
    table->check.desk = 0;
  } else if (!at_desk && sort != CHECK_LOOK && sort != CHECK_VOLTS) {
    table->check.desk = -1;
  } else if (sort == CHECK_LOOK && !at) {
    table->check.desk = 0;
  }
  return fill(face, show, table);
}

Status
verb_predict(const Face* face)
{
  OpenShow show;
  Shown table = {.n = 0};
  Status st;
  TRY(st, show_open(face, face->args->words[0], STORE_READ, &show));
  bool sees = false;
  int drive = -1;
  if (plant_drive(&show.plant, face->args->words[1], &drive)) {
    st = predict_drive(face, &show, drive, &sees);
  } else {
    st = run_predict(face, &show, &table);
    if (st == STATUS_OK && face->args->json) {
      st = answer(face, &show, &table);
    } else if (st == STATUS_OK) {
      say(face, &show, &table);
    }
  }
  (void)store_close(show.store, NULL);
  for (int i = 0; i < table.n; ++i) {
    sees = sees || table.rows[i].sees;
  }
  return st == STATUS_OK && !sees ? STATUS_NO : st;
}
