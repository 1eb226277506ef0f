// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/repair.h"
#include "face/line_view.h"
#include "face/verb.h"

#include <stdio.h>
#include <string.h>

/*
  Verbs that add a fact: saw, plug, tape, clear, undo. Each is checked against the plant first, so
  that a fact that nobody could understand later never gets in, and each answers with how things
  stand after it.
*/

typedef Status (*Teller)(const Face* face, OpenShow* show);

static Status
with_show(const Face* face, Teller teller)
{
  OpenShow show;
  Status st;
  TRY(st, show_open(face, face->args->words[0], STORE_WRITE, &show));
  st = teller(face, &show);
  const Status closed = store_close(show.store, st == STATUS_OK ? face->error : NULL);
  return st == STATUS_OK ? closed : st;
}

static json_t*
told_json(const OpenShow* show, const char* kind, const char* id, bool is_new)
{
  json_t* const answer = json_answer(show->act_word);
  json_object_set_new(answer, "fact", json_words(kind));
  json_object_set_new(answer, "id", json_words(id));
  json_object_set_new(answer, "counted", json_boolean(is_new));
  return answer;
}

// How things stand on a line after a fact about it.
static Status
answer_told(const Face* face, OpenShow* show, int line, FactKind kind, const char* id, bool is_new,
            const char* sentence)
{
  Status st;
  TRY(st, show_refold(face, show, false));
  TRY(st, show_situate(face, show, line));
  if (face->args->json) {
    json_t* const answer = told_json(show, fact_kind_word(kind), id, is_new);
    json_t* const one = line_json(face, show, line, true);
    if (!one) {
      json_decref(answer);
      return STATUS_NO_MEMORY;
    }
    json_object_set_new(answer, "line", one);
    return json_answer_print(answer, face->args, face->screen->out, face->error);
  }
  screen_say(face->screen, PAINT_PLAIN, "%s%s", sentence,
             is_new ? "" : " It was told before and does not count again.");
  show_say_act(face, show);
  if (kind == FACT_READING && show->act >= 0 && !plant_input(&show->plant, show->act, line)) {
    screen_say(face->screen, PAINT_WARN,
               "Nothing plays on line %d in this act. If another line was meant, take it back with "
               "undo.",
               show->plant.lines[line].number);
  }
  return line_say_now(face, show, line);
}

static const char*
act_of(const OpenShow* show)
{
  return show->act < 0 ? "" : show->act_word;
}

// ---- saw ----

// "swap cable=better", in one word of the shell or in several.
static Status
read_saw(const Face* face, const char** check, const char** reading)
{
  TextOut all = {.arena = face->arena};
  for (int i = 2; i < face->args->n_words; ++i) {
    text_add(&all, "%s%s", i > 2 ? " " : "", face->args->words[i]);
  }
  const char* const text = text_done(&all);
  const char* const equals = text ? strchr(text, '=') : NULL;
  if (!text) {
    return STATUS_NO_MEMORY;
  }
  if (!equals || equals == text || !equals[1] || strchr(equals + 1, '=')) {
    return error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                     "Write one CHECK=READING, as in level=nothing or \"swap cable=better\": see "
                     "\"linewalk help saw\".");
  }
  *check = arena_text(face->arena, text, (size_t)(equals - text));
  *reading = equals + 1;
  return *check ? STATUS_OK : STATUS_NO_MEMORY;
}

// Whether a word may be the tag of an item: it is on a list, or has a digit in it.
static bool
is_tag(const Plant* plant, const char* word)
{
  bool found = strpbrk(word, "0123456789") != NULL;
  for (int i = 0; i < plant->n_items && !found; ++i) {
    found = text_same(plant->items[i].tag, word);
  }
  return found;
}

// Where a check is made, as a Check; what stands in --at must fit it.
static Status
place_check(const Face* face, const OpenShow* show, int line, const char* check_word, Check* check)
{
  const Plant* const plant = &show->plant;
  Check out = {CHECK_LEVEL, -1};
  if (text_begins(check_word, "swap")) {
    RepairSort repair;
    const char* blank = strchr(check_word, ' ');
    out.sort = CHECK_SWAP;
    if (blank && repair_of(blank + 1, &repair) && repair == REPAIR_CABLE &&
        !text_same(blank + 1, repair_word(REPAIR_CABLE)) && !is_tag(plant, blank + 1)) {
      blank = NULL; // A slip of the pen is no cable
    }
    if (!blank || !repair_of(blank + 1, &repair)) {
      return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "Swap what? Write \"swap cable=better\"; also source, battery, plug, "
                       "desk, tail, switch, lift, in-line, input, side, socket, lead, power, "
                       "clock, owner, or a tag.");
    }
  } else if (!predict_check_of(check_word, &out.sort)) {
    return error_set(
      face->error, STATUS_BAD_INPUT, NULL, 0, 0,
      "There is no check \"%.40s\": level, tone, hum, crackle, polarity, seen, look, "
      "volts, lamps, sent, ohms, flex, box, hunt, swap ITEM.",
      check_word);
  }
  int place_line = line;
  const char* const at = face->args->at;
  if (at && !situation_place(plant, at, &place_line, &out.desk)) {
    return error_set(
      face->error, STATUS_BAD_INPUT, NULL, 0, 0,
      "There is no place \"%.60s\": write a socket (A6, socket) or a desk (foh, mon, "
      "broadcast).",
      at);
  }
  if (place_line != line) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "\"%.60s\" is on line %d, not on line %d.", at,
                     plant->lines[place_line].number, plant->lines[line].number);
  }
  const bool desk_only = out.sort <= CHECK_SEEN || out.sort == CHECK_HUNT;
  const bool socket_only = out.sort == CHECK_VOLTS || out.sort == CHECK_LAMPS ||
                           out.sort == CHECK_OHMS || out.sort == CHECK_FLEX ||
                           out.sort == CHECK_BOX || out.sort == CHECK_SENT;
  if (out.sort == CHECK_BOX && !plant_is_digital(plant, line)) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "Box %.40s is not digital: it has no lamps to look at.",
                     plant->boxes[plant->lines[line].box].name);
  }
  if (at && ((desk_only && out.desk < 0) || (socket_only && out.desk >= 0))) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "%s is read at %s, not at \"%.40s\".", check_word,
                     desk_only ? "a desk" : "the box socket", at);
  }
  if (!at && (desk_only || out.sort == CHECK_LOOK)) {
    out.desk = 0;
  }
  if (out.desk >= 0 && plant->lines[line].desk_input[out.desk] == 0) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0, "Line %d does not go to the %s.",
                     plant->lines[line].number, plant->desks[out.desk].say);
  }
  *check = out;
  return STATUS_OK;
}

// "move=D8" is what `next` gives for a way round: the line runs on it now.
static Status
tell_move(const Face* face, OpenShow* show, int line, const char* way)
{
  const Plant* const plant = &show->plant;
  int number = 0;
  int to = -1;
  int desk = -1;
  if (text_begins(way, "line ") && text_whole(way + 5, 1, FACT_LINE_MAX, &number)) {
    to = plant_line(plant, number);
  } else {
    (void)situation_place(plant, way, &to, &desk);
  }
  if (to < 0 || to == line) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "Line %d cannot move to \"%.60s\": write a spare socket (D8) or \"line 43\".",
                     plant->lines[line].number, way);
  }
  const FactBody body = {.line = plant->lines[line].number, .way = way, .act = act_of(show)};
  bool is_new = false;
  const char* id = NULL;
  Status st;
  TRY(st, show_tell(face, show, FACT_MOVED, &body, &is_new, &id));
  const char* const sentence =
    arena_format(face->arena, "Written down: line %d runs on %s now.", body.line, way);
  return answer_told(face, show, line, FACT_MOVED, id, is_new, sentence ? sentence : "");
}

static Status
tell_saw(const Face* face, OpenShow* show)
{
  const char* check_word = NULL;
  const char* reading = NULL;
  int line = -1;
  int key = 0;
  Check check;
  Status st;
  TRY(st, read_saw(face, &check_word, &reading));
  TRY(st, show_act(face, show, -1));
  TRY(st, show_line(face, show, face->args->words[1], &line));
  TRY(st, show_act(face, show, line));
  if (text_same(check_word, "move")) {
    return tell_move(face, show, line, reading);
  }
  TRY(st, place_check(face, show, line, check_word, &check));
  TRY(st, predict_key_of(&show->plant, show->act, check, line, reading, &key, face->error));
  const char* const at = check.desk >= 0 ? show->plant.desks[check.desk].name : "socket";
  const FactBody body = {.line = show->plant.lines[line].number,
                         .check = check_word,
                         .reading = reading,
                         .at = at,
                         .act = act_of(show)};
  bool is_new = false;
  const char* id = NULL;
  TRY(st, show_tell(face, show, FACT_READING, &body, &is_new, &id));
  const char* const sentence = arena_format(face->arena, "Line %d: %s=%s at %s, written down.",
                                            body.line, check_word, reading, at);
  return answer_told(face, show, line, FACT_READING, id, is_new, sentence ? sentence : "");
}

Status
verb_saw(const Face* face)
{
  return with_show(face, tell_saw);
}

// ---- plug ----

static Status
tell_plug(const Face* face, OpenShow* show)
{
  const char* const place = face->args->words[1];
  const char* what = face->args->words[2];
  const int line = plant_socket(&show->plant, place);
  if (line < 0) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "There is no socket \"%.60s\": write a box and its socket, as in A6.", place);
  }
  Status st;
  TRY(st, show_act(face, show, line));
  what = text_same(what, "nothing") ? "" : what;
  bool is_listed = !what[0];
  for (int i = 0; i < show->plant.n_inputs; ++i) {
    is_listed = is_listed || (show->plant.inputs[i].act == show->act &&
                              text_same(show->plant.inputs[i].source, what));
  }
  char socket[40];
  const FactBody body = {
    .place = line_socket(&show->plant, line, socket), .what = what, .act = act_of(show)};
  bool is_new = false;
  const char* id = NULL;
  TRY(st, show_tell(face, show, FACT_PLUGGED, &body, &is_new, &id));
  const char* const sentence =
    arena_format(face->arena, "%s: %s is plugged there now.%s", socket, what[0] ? what : "nothing",
                 is_listed ? "" : " No list of this act has that source.");
  return answer_told(face, show, line, FACT_PLUGGED, id, is_new, sentence ? sentence : "");
}

Status
verb_plug(const Face* face)
{
  return with_show(face, tell_plug);
}

// ---- tape, clear ----

static Status
answer_item(const Face* face, const OpenShow* show, FactKind kind, const char* id, bool is_new,
            const char* sentence)
{
  if (face->args->json) {
    json_t* const answer = told_json(show, id ? fact_kind_word(kind) : NULL, id, is_new);
    json_object_set_new(answer, "item", json_words(face->args->words[1]));
    json_object_set_new(answer, "taped_off",
                        json_boolean(fold_is_taped_off(&show->fold, face->args->words[1])));
    json_object_set_new(answer, "say", json_words(sentence));
    return json_answer_print(answer, face->args, face->screen->out, face->error);
  }
  screen_say(face->screen, PAINT_PLAIN, "%s%s", sentence,
             is_new || !id ? "" : " It was told before and does not count again.");
  return STATUS_OK;
}

static Status
tell_item(const Face* face, OpenShow* show, FactKind kind, const FactBody* body,
          const char* sentence)
{
  bool is_new = false;
  const char* id = NULL;
  Status st;
  TRY(st, show_act(face, show, -1));
  TRY(st, show_tell(face, show, kind, body, &is_new, &id));
  TRY(st, show_refold(face, show, false));
  return answer_item(face, show, kind, id, is_new, sentence);
}

static Status
tell_tape(const Face* face, OpenShow* show)
{
  const char* const item = face->args->words[1];
  const FactBody body = {.item = item, .why = face->args->why};
  const char* const sentence =
    arena_format(face->arena,
                 "%s is taped off. Put the tape on so that it cannot be plugged; only a flex check "
                 "of 60 s clears it.",
                 item);
  return sentence ? tell_item(face, show, FACT_TAPED_OFF, &body, sentence) : STATUS_NO_MEMORY;
}

Status
verb_tape(const Face* face)
{
  return with_show(face, tell_tape);
}

enum { CLEAR_SECONDS = 60 }; ///< What a flex check must stand (issue rule of the house)

static Status
tell_clear(const Face* face, OpenShow* show)
{
  const Args* const args = face->args;
  const char* const item = args->words[1];
  const char* no = NULL;
  if (!fold_is_taped_off(&show->fold, item)) {
    no = arena_format(face->arena, "%s is not taped off.", item);
  } else if (args->seconds < CLEAR_SECONDS) {
    no = arena_format(
      face->arena,
      "%s stays taped off: only a flex check of %d s clears it%s; when it stood one, "
      "give --seconds %d.",
      item, CLEAR_SECONDS, args->seconds < 0 ? "" : ", this one was shorter", CLEAR_SECONDS);
  } else if (args->breaks > 0) {
    no = arena_format(face->arena, "%s stays taped off: it broke %d times in %d s.", item,
                      args->breaks, args->seconds);
  }
  Status st;
  if (no) {
    TRY(st, show_act(face, show, -1));
    TRY(st, answer_item(face, show, FACT_CLEARED, NULL, false, no));
    return STATUS_NO;
  }
  const FactBody body = {.item = item, .seconds = args->seconds, .how = "flex check, 0 breaks"};
  const char* const sentence =
    arena_format(face->arena, "%s is cleared: it stood %d s of flexing.", item, args->seconds);
  return sentence ? tell_item(face, show, FACT_CLEARED, &body, sentence) : STATUS_NO_MEMORY;
}

Status
verb_clear(const Face* face)
{
  return with_show(face, tell_clear);
}

// ---- undo ----

static const FoldFact*
fact_of(const OpenShow* show, const char* id)
{
  for (size_t i = 0; id && i < show->fold.all.n_facts; ++i) {
    if (!strcmp(show->fold.all.facts[i]->fact.id, id)) {
      return show->fold.all.facts[i];
    }
  }
  return NULL;
}

static const char*
fact_said(const Face* face, const FoldFact* f)
{
  const FactBody* const b = &f->body;
  switch (f->fact.kind) {
    case FACT_READING:
      return arena_format(face->arena, "line %d: %s=%s", b->line, b->check, b->reading);
    case FACT_PLUGGED:
      return arena_format(face->arena, "%s: %s", b->place, b->what[0] ? b->what : "nothing");
    case FACT_TAPED_OFF:
    case FACT_CLEARED:
      return arena_format(face->arena, "%s %s", b->item,
                          f->fact.kind == FACT_CLEARED ? "cleared" : "taped off");
    case FACT_MOVED:
      return arena_format(face->arena, "line %d on way %s", b->line, b->way);
    case FACT_LIST_IMPORTED:
      return arena_format(face->arena, "list %s, version %s", b->list, b->version);
    case FACT_KIT:
      return arena_format(face->arena, "kit: %d %s", b->count, b->kit);
    case FACT_ACT_IN_FORCE:
      return arena_format(face->arena, "act in force: %s", b->act[0] ? b->act : "bare lines");
    case FACT_STEP_TAKEN:
    case FACT_STEP_REFUSED:
      return arena_format(face->arena, "line %d: %s", b->line, b->step);
    default:
      return arena_copy(face->arena, b->text ? b->text : "");
  }
}

static Status
tell_undo(const Face* face, OpenShow* show)
{
  const FoldFact* const newest = fact_of(show, fold_undo_id(&show->fold));
  const Args* const args = face->args;
  Status st;
  TRY(st, show_act(face, show, -1));
  if (!newest || !strcmp(newest->fact.role, SHOW_BEGINS)) {
    if (args->json) {
      json_t* const answer = json_answer(show->act_word);
      json_object_set_new(answer, "undone", json_null());
      TRY(st, json_answer_print(answer, args, face->screen->out, face->error));
    } else {
      screen_say(face->screen, PAINT_PLAIN,
                 "There is nothing left to take back: the lists the show began with stay.");
    }
    return STATUS_NO;
  }
  const char* const said = fact_said(face, newest);
  char now[FACT_TIME_ROOM];
  char made[FACT_ID_ROOM];
  fact_time_now(now);
  TRY(st, store_void(show->store, newest->fact.id, args->why, now, args->from ? args->from : "",
                     args->role ? args->role : "", made, face->error));
  TRY(st, show_refold(face, show, false));
  TRY(st, show_act(face, show, -1));
  if (args->json) {
    json_t* const answer = told_json(show, "voided", made, true);
    json_t* const undone = json_object();
    json_object_set_new(undone, "id", json_words(newest->fact.id));
    json_object_set_new(undone, "fact", json_words(fact_kind_word(newest->fact.kind)));
    json_object_set_new(undone, "say", json_words(said));
    json_object_set_new(answer, "undone", undone);
    return json_answer_print(answer, args, face->screen->out, face->error);
  }
  screen_say(face->screen, PAINT_PLAIN, "Taken back: %s.", said ? said : "");
  show_say_act(face, show);
  return STATUS_OK;
}

Status
verb_undo(const Face* face)
{
  return with_show(face, tell_undo);
}
