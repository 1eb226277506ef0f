// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/tell.h"

#include "base/text.h"
#include "day/mark.h"
#include "day/outputs.h"
#include "day/pass.h"
#include "day/plugged.h"
#include "day/readback.h"
#include "day/repair.h"
#include "face/line_view.h"

#include <stdlib.h>
#include <string.h>

/*
  A row of `makers` for each sort. What a telling lacks is said by the word the sender used, since
  it is one and the same on the command line and on the wire.
*/

enum { TELL_CLEAR_SECONDS = 60 }; ///< What a flex check must stand (issue rule of the house)

static const char* const words[TELL_COUNT] = {
#define TELL_WORD(name, word) word,
  TELL_LIST(TELL_WORD)
#undef TELL_WORD
};

const char*
tell_word(TellSort sort)
{
  return (unsigned)sort < TELL_COUNT ? words[sort] : "unknown";
}

static Status
missing(const Face* face, const Telling* telling, const char* what)
{
  return error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0, "%s: \"%s\" is missing.",
                   tell_word(telling->sort), what);
}

static const char*
act_of(const OpenShow* show)
{
  return show->act < 0 ? "" : show->act_word;
}

// A sentence that could not be made is no reason to lose the fact.
static const char*
or_nothing(const char* sentence)
{
  return sentence ? sentence : "";
}

const FoldFact*
tell_fact(const OpenShow* show, const char* id)
{
  for (size_t i = 0; id && i < show->fold.all.n_facts; ++i) {
    if (!strcmp(show->fold.all.facts[i]->fact.id, id)) {
      return show->fold.all.facts[i];
    }
  }
  return NULL;
}

// Find the line and settle the act that uses it.
static Status
find_line(const Face* face, OpenShow* show, const Telling* telling, int* line)
{
  Status st;
  if (!telling->line) {
    return missing(face, telling, "line");
  }
  TRY(st, show_act(face, show, -1));
  TRY(st, show_line(face, show, telling->line, line));
  return show_act(face, show, *line);
}

// ---- saw ----

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
place_check(const Face* face, const OpenShow* show, int line, const Telling* telling, Check* check)
{
  const Plant* const plant = &show->plant;
  const char* const check_word = telling->check;
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
  const char* const at = telling->at;
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
  const bool socket_only = out.sort == CHECK_LAMPS || out.sort == CHECK_OHMS ||
                           out.sort == CHECK_FLEX || out.sort == CHECK_BOX ||
                           out.sort == CHECK_SENT;
  if (out.sort == CHECK_BOX && !plant_is_digital(plant, line)) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "Box %.40s is not digital: it has no lamps to look at.",
                     plant->boxes[plant->lines[line].box].name);
  }
  if (out.sort == CHECK_VOLTS && out.desk >= 0 && plant_is_digital(plant, line)) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "Line %d goes into a digital box: a desk's input has no volts of it.",
                     plant->lines[line].number);
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

// The line is on its own way again: in the act that answers, or else in the newest act before it
// that left it elsewhere.
static Status
make_back(const Face* face, OpenShow* show, int line, Told* told)
{
  const Plant* const plant = &show->plant;
  const Loan* loans = NULL;
  int n = 0;
  Status st;
  TRY(st, loan_list(face->arena, plant, &show->fold, &loans, &n));
  const Loan* loan = loan_of(loans, n, show->act, line);
  for (int i = 0; i < n && !loan_of(loans, n, show->act, line); ++i) {
    const bool is_newer = loans[i].line == line && loan_is_due(&loans[i], show->act) &&
                          (!loan || loans[i].act > loan->act);
    loan = is_newer ? &loans[i] : loan;
  }
  if (!loan) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "Line %d is on its own way: there is nothing to give back.",
                     plant->lines[line].number);
  }
  const FactBody body = {.line = plant->lines[line].number,
                         .way = "",
                         .act = loan->act < 0 ? "" : plant->acts[loan->act].name};
  *told = (Told){
    FACT_MOVED, body, line,
    or_nothing(arena_format(face->arena, "Written down: line %d is off %s and on its own way.",
                            body.line, loan->way))};
  return STATUS_OK;
}

// "move=D8" is what `next` gives for a way round: the line runs on it now.
static Status
make_move(const Face* face, OpenShow* show, int line, const char* way, Told* told)
{
  const Plant* const plant = &show->plant;
  Loan loan;
  if (text_same(way, "back")) {
    return make_back(face, show, line, told);
  }
  if (!loan_read(plant, show->act, line, way, &loan)) {
    return error_set(
      face->error, STATUS_BAD_INPUT, NULL, 0, 0,
      "Line %d cannot move to \"%.60s\": write a spare socket (D8), \"line 43\", another input of "
      "a desk (foh 39), \"mon from foh\", \"mon side broadcast\", or back.",
      plant->lines[line].number, way);
  }
  const FactBody body = {.line = plant->lines[line].number, .way = way, .act = act_of(show)};
  *told = (Told){
    FACT_MOVED, body, line,
    or_nothing(arena_format(face->arena, "Written down: line %d runs on %s now.", body.line, way))};
  return STATUS_OK;
}

static Status
make_saw(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  int line = -1;
  int key = 0;
  Check check;
  Status st;
  TRY(st, find_line(face, show, telling, &line));
  if (!telling->check || !telling->reading) {
    return missing(face, telling, telling->check ? "reading" : "check");
  }
  if (text_same(telling->check, "move")) {
    return make_move(face, show, line, telling->reading, told);
  }
  TRY(st, place_check(face, show, line, telling, &check));
  TRY(st,
      predict_key_of(&show->plant, show->act, check, line, telling->reading, &key, face->error));
  const char* const at = check.desk >= 0 ? show->plant.desks[check.desk].name : "socket";
  const FactBody body = {.line = show->plant.lines[line].number,
                         .check = telling->check,
                         .reading = telling->reading,
                         .at = at,
                         .act = act_of(show)};
  *told = (Told){FACT_READING, body, line,
                 or_nothing(arena_format(face->arena, "Line %d: %s=%s at %s, written down.",
                                         body.line, body.check, body.reading, at))};
  return STATUS_OK;
}

// ---- plug, tape, clear ----

static Status
make_plug(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  if (!telling->place || !telling->what) {
    return missing(face, telling, telling->place ? "what" : "place");
  }
  const int line = plant_socket(&show->plant, telling->place);
  if (line < 0) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "There is no socket \"%.60s\": write a box and its socket, as in A6.",
                     telling->place);
  }
  Status st;
  TRY(st, show_act(face, show, line));
  const char* const what = text_same(telling->what, "nothing") ? "" : telling->what;
  bool is_listed = !what[0];
  for (int i = 0; i < show->plant.n_inputs; ++i) {
    is_listed = is_listed || (show->plant.inputs[i].act == show->act &&
                              text_same(show->plant.inputs[i].source, what));
  }
  char text[40];
  const char* const socket = arena_copy(face->arena, line_socket(&show->plant, line, text));
  if (!socket) {
    return STATUS_NO_MEMORY;
  }
  const FactBody body = {.place = socket, .what = what, .act = act_of(show)};
  *told =
    (Told){FACT_PLUGGED, body, line,
           or_nothing(arena_format(face->arena, "%s: %s is plugged there now.%s", socket,
                                   what[0] ? what : "nothing",
                                   is_listed ? "" : " No list of this act has that source."))};
  return STATUS_OK;
}

static Status
make_tape(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  if (!telling->item) {
    return missing(face, telling, "item");
  }
  Status st;
  TRY(st, show_act(face, show, -1));
  const FactBody body = {.item = telling->item, .why = telling->why};
  *told = (Told){FACT_TAPED_OFF, body, -1,
                 or_nothing(arena_format(
                   face->arena,
                   "%s is taped off. Put the tape on so that it cannot be plugged; only a flex "
                   "check of 60 s clears it.",
                   telling->item))};
  return STATUS_OK;
}

static Status
make_clear(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  const char* const item = telling->item;
  const char* no = NULL;
  if (!item) {
    return missing(face, telling, "item");
  }
  if (!fold_is_taped_off(&show->fold, item)) {
    no = arena_format(face->arena, "%s is not taped off.", item);
  } else if (telling->seconds < TELL_CLEAR_SECONDS) {
    no =
      arena_format(face->arena,
                   "%s stays taped off: only a flex check of %d s clears it%s; when it stood one, "
                   "give --seconds %d.",
                   item, TELL_CLEAR_SECONDS, telling->seconds < 0 ? "" : ", this one was shorter",
                   TELL_CLEAR_SECONDS);
  } else if (telling->breaks > 0) {
    no = arena_format(face->arena, "%s stays taped off: it broke %d times in %d s.", item,
                      telling->breaks, telling->seconds);
  }
  Status st;
  TRY(st, show_act(face, show, -1));
  if (no) {
    *told = (Told){.kind = FACT_CLEARED, .line = -1, .say = no};
    return STATUS_NO;
  }
  const FactBody body = {.item = item, .seconds = telling->seconds, .how = "flex check, 0 breaks"};
  *told = (Told){FACT_CLEARED, body, -1,
                 or_nothing(arena_format(face->arena, "%s is cleared: it stood %d s of flexing.",
                                         item, telling->seconds))};
  return STATUS_OK;
}

// ---- now, kit ----

static Status
make_now(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  if (!telling->act) {
    return missing(face, telling, "act");
  }
  // --act and ACT are read by the same rule
  Args args = *face->args;
  args.act = telling->act;
  const Face asked = {face->arena, &args, face->screen, face->error, face->kept};
  Status st;
  TRY(st, show_act(&asked, show, -1));
  const FactBody body = {.act = act_of(show)};
  *told =
    (Told){FACT_ACT_IN_FORCE, body, -1,
           or_nothing(arena_format(face->arena, "In force for everybody: %s.", show->act_word))};
  return STATUS_OK;
}

static Status
make_kit(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  if (!telling->item || telling->count < 0) {
    return missing(face, telling, telling->item ? "count" : "item");
  }
  (void)show;
  const FactBody body = {.kit = telling->item, .count = telling->count};
  *told =
    (Told){FACT_KIT, body, -1,
           or_nothing(arena_format(face->arena, "Kit at hand: %d %s.", body.count, body.kit))};
  return STATUS_OK;
}

// ---- take, refuse ----

// "swap plug", "level at foh", "volts at socket": as crew_step_word words a step.
static const char*
step_word(const Face* face, const OpenShow* show, const Telling* telling)
{
  if (telling->step) {
    return telling->step;
  }
  const char* const at = telling->at && plant_desk(&show->plant, telling->at) >= 0 ? telling->at
                         : text_begins(telling->check, "swap ")                    ? NULL
                                                                                   : "socket";
  return arena_format(face->arena, "%s%s%s", telling->check, at ? " at " : "", at ? at : "");
}

// A desk that says it follows a way round names one that was taken, and is one it concerns.
static Status
check_follows(const Face* face, const OpenShow* show, int line, const Telling* telling)
{
  const Plant* const plant = &show->plant;
  const char* const at = telling->at ? telling->at : "";
  const int desk = at[0] ? plant_desk(plant, at) : -1;
  const Loan* loans = NULL;
  int n = 0;
  bool any = false;
  Status st;
  TRY(st, loan_list(face->arena, plant, &show->fold, &loans, &n));
  for (int i = 0; i < n; ++i) {
    const char* const step = loan_step(face->arena, &loans[i]);
    if (!step) {
      return STATUS_NO_MEMORY;
    }
    const bool is_it = loans[i].line == line && text_same(step, telling->step);
    any = any || is_it;
    if (is_it && desk >= 0 && loans[i].concerns[desk]) {
      return STATUS_OK;
    }
  }
  return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                   !any
                     ? "Line %d does not run on \"%.60s\" now: there is nothing to follow."
                     : "On line %d, \"%.60s\" asks nothing of \"%.40s\": give the desk with --at "
                       "or as \"at\".",
                   plant->lines[line].number, telling->step, at);
}

static Status
make_step(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  static const FactKind kinds[] = {
    [TELL_TAKE] = FACT_STEP_TAKEN, [TELL_REFUSE] = FACT_STEP_REFUSED, [TELL_DONE] = FACT_STEP_DONE};
  static const char* const says[] = {[TELL_TAKE] = "taken", [TELL_DONE] = "done"};
  const TellSort sort = telling->sort;
  int line = -1;
  Status st;
  TRY(st, find_line(face, show, telling, &line));
  if (!telling->step && !telling->check) {
    return missing(face, telling, "check");
  }
  if (sort == TELL_REFUSE && !telling->why) {
    return missing(face, telling, "why");
  }
  if (sort == TELL_DONE && telling->step && text_begins(telling->step, "way ")) {
    TRY(st, check_follows(face, show, line, telling));
  }
  FactBody body = {.line = show->plant.lines[line].number,
                   .step = step_word(face, show, telling),
                   .at = telling->at};
  if (!body.step) {
    return STATUS_NO_MEMORY;
  }
  body.seconds = sort == TELL_TAKE && telling->seconds > 0 ? telling->seconds : 0;
  body.why = sort == TELL_REFUSE ? telling->why : NULL;
  *told = (Told){kinds[sort], body, line,
                 or_nothing(sort == TELL_REFUSE
                              ? arena_format(face->arena, "Line %d: %s is handed back (%s).",
                                             body.line, body.step, body.why)
                              : arena_format(face->arena, "Line %d: %s is %s.", body.line,
                                             body.step, says[sort]))};
  return STATUS_OK;
}

// ---- say, seen ----

static Status
make_say(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  static const char* const places[] = {"foh", "mon", "broadcast", "stage", "amps", "all"};
  bool is_place = false;
  int line = -1;
  Status st;
  if (!telling->to || !telling->text) {
    return missing(face, telling, telling->to ? "text" : "to");
  }
  for (size_t i = 0; i < sizeof(places) / sizeof(places[0]); ++i) {
    is_place = is_place || !strcmp(places[i], telling->to);
  }
  if (!is_place) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "There is no place \"%.40s\" to send to: foh, mon, broadcast, stage, amps or "
                     "all.",
                     telling->to);
  }
  if (telling->line) {
    TRY(st, find_line(face, show, telling, &line));
  }
  const FactBody body = {.to = telling->to,
                         .text = telling->text,
                         .line = line >= 0 ? show->plant.lines[line].number : 0,
                         .urgent = telling->is_urgent};
  *told =
    (Told){FACT_MESSAGE, body, line,
           or_nothing(arena_format(face->arena, "Sent to %s: %s", telling->to, telling->text))};
  return STATUS_OK;
}

static Status
make_seen(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  const FoldFact* const message = tell_fact(show, telling->of);
  if (!telling->of) {
    return missing(face, telling, "of");
  }
  if (!message || message->fact.kind != FACT_MESSAGE) {
    return error_set(face->error, STATUS_NOT_FOUND, NULL, 0, 0, "There is no such message.");
  }
  const FactBody body = {.id = message->fact.id};
  *told = (Told){FACT_MESSAGE_SEEN, body, -1, "Seen."};
  return STATUS_OK;
}

// ---- read, holds ----

static Status
plug_of(const Face* face, const OpenShow* show, int* line)
{
  const Loan* loans = NULL;
  int n = 0;
  Status st;
  TRY(st, loan_list(face->arena, &show->plant, &show->fold, &loans, &n));
  *line = loan_plug_at(&show->plant, loans, n, show->act, *line);
  return STATUS_OK;
}

static Status
make_read(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  int line = -1;
  Status st;
  TRY(st, find_line(face, show, telling, &line));
  const int desk = telling->at ? plant_desk(&show->plant, telling->at) : -1;
  if (desk < 0) {
    return telling->at
             ? error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                         "There is no desk \"%.40s\": write foh, mon or broadcast.", telling->at)
             : missing(face, telling, "at");
  }
  ReadbackRow* rows = NULL;
  int n = 0;
  const Plant* now = NULL;
  TRY(st, show_as_moved(face, show, &now));
  TRY(st, plug_of(face, show, &line)); // A line that was moved is read where it runs
  TRY(st, readback_rows(face->arena, now, show->act, desk, READBACK_BY_LINE, &rows, &n));
  for (int i = 0; i < n; ++i) {
    if (rows[i].line == line) {
      FactBody body;
      TRY(st, readback_body(face->arena, now, show->act, desk, &rows[i],
                            telling->reading ? telling->reading : "", &body, face->error));
      *told = (Told){
        FACT_DESK_READ, body, line,
        or_nothing(arena_format(
          face->arena, "Line %d at the %s: read, %s.", body.line, show->plant.desks[desk].say,
          telling->reading && telling->reading[0] ? telling->reading : "as it should be"))};
      return STATUS_OK;
    }
  }
  return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                   "The %s has nothing to read on line %d in %s.", show->plant.desks[desk].say,
                   show->plant.lines[line].number, show->act_word);
}

static Status
make_holds(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  Status st;
  TRY(st, show_act(face, show, -1));
  const char* const place = telling->at ? mark_place(&show->plant, telling->at) : NULL;
  if (!telling->at || !telling->what || !telling->what[0]) {
    return missing(face, telling, telling->at ? "what" : "at");
  }
  if (!place || show->act < 0) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     place ? "Bare lines have no list of their own: put an act in force, or give "
                             "--act."
                           : "\"%.40s\" holds no list: write foh, mon, broadcast or stage.",
                     telling->at);
  }
  const FactBody body = {.desk = place, .version = telling->what, .act = act_of(show)};
  *told = (Told){FACT_HOLDS, body, -1,
                 or_nothing(arena_format(face->arena, "%s: %s holds %s.", show->act_word, place,
                                         telling->what))};
  return STATUS_OK;
}

// ---- change ----

// An act by its name, or bare lines.
static bool
act_of_word(const Plant* plant, const char* word, int* act)
{
  *act = plant_act(plant, word);
  return *act >= 0 || text_same(word, "bare lines") || text_same(word, "nothing");
}

// The numbers of lines there are, once each and in the order they came.
static Status
lines_of(const Face* face, const OpenShow* show, const char* text, const char** lines)
{
  TextOut out = {.arena = face->arena};
  for (const char* at = text; *at;) {
    char* end = NULL;
    const long number = strtol(at, &end, 10);
    if (end == at || number < 1 || number > FACT_LINE_MAX ||
        plant_line(&show->plant, (int)number) < 0) {
      return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "\"%.40s\" are no numbers of lines: write them with blanks between.", text);
    }
    text_add(&out, "%s%ld", out.n_bytes ? " " : "", number);
    at = end + strspn(end, " ,");
  }
  *lines = text_done(&out);
  return *lines ? STATUS_OK : STATUS_NO_MEMORY;
}

// Whether somebody of the crew list is called so, "stage sound hands" or "stage sound hands 2".
static bool
is_hand(const Plant* plant, const char* name)
{
  bool is = text_same(name, "whoever is on stage");
  for (int i = 0; i < plant->n_people; ++i) {
    is = is || text_begins(name, plant->people[i].role);
  }
  return is;
}

// What hands tell of lines: that they go on before a desk has muted, or whose they are now.
static Status
make_change_hands(const Face* face, const OpenShow* show, const Telling* telling,
                  ChangeStepSort sort, FactBody body, Told* told)
{
  const char* lines = NULL;
  const bool takes = sort == CHANGE_STEP_TAKE;
  Status st;
  if (!telling->lines || (takes && !telling->at)) {
    return missing(face, telling, telling->lines ? "at" : "lines");
  }
  if (takes && !is_hand(&show->plant, telling->at)) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "Nobody on the crew list is called \"%.60s\".", telling->at);
  }
  TRY(st, lines_of(face, show, telling->lines, &lines));
  body.detail = lines;
  body.at = takes ? telling->at : NULL;
  *told = (Told){
    FACT_CHANGE_STEP, body, -1,
    or_nothing(takes ? arena_format(face->arena, "%s takes over lines %s.", telling->at, lines)
                     : arena_format(face->arena,
                                    "Lines %s are gone on with before every desk said "
                                    "that it is muted.",
                                    lines))};
  return STATUS_OK;
}

static Status
make_change_step(const Face* face, const OpenShow* show, const Telling* telling, const char* from,
                 Told* told)
{
  ChangeStepSort sort;
  const char* lines = NULL;
  const int desk = telling->at ? plant_desk(&show->plant, telling->at) : -1;
  Status st;
  if (!change_step_of(telling->step, &sort)) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "There is no step \"%.40s\" of a change: begin, mute, phantom off, patch, "
                     "phantom on, heard mute, heard phantom off, anyway or take.",
                     telling->step);
  }
  FactBody body = {.from = from, .act = act_of(show), .step = change_step_word(sort)};
  if (sort == CHANGE_STEP_BEGIN) {
    *told = (Told){FACT_CHANGE_STEP, body, -1,
                   "The change begins anew: what was told of it before does not count any more."};
    return STATUS_OK;
  }
  if (sort == CHANGE_STEP_ANYWAY || sort == CHANGE_STEP_TAKE) {
    return make_change_hands(face, show, telling, sort, body, told);
  }
  if (desk < 0 || !telling->lines) {
    return desk < 0 && telling->at
             ? error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                         "There is no desk \"%.40s\": write foh, mon or broadcast.", telling->at)
             : missing(face, telling, desk < 0 ? "at" : "lines");
  }
  TRY(st, lines_of(face, show, telling->lines, &lines));
  body.at = show->plant.desks[desk].name;
  body.detail = lines;
  *told = (Told){FACT_CHANGE_STEP, body, -1,
                 or_nothing(arena_format(face->arena, "%s at the %s: done for lines %s.", body.step,
                                         show->plant.desks[desk].say, lines))};
  return STATUS_OK;
}

// A source on a socket that its list does not name runs on another line from then on, which the
// rest of the show must know.
static Status
make_change(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  int from = -1;
  Status st;
  if (!telling->before || !face->args->act) {
    return missing(face, telling, telling->before ? "act" : "from");
  }
  if (!act_of_word(&show->plant, telling->before, &from)) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0, "There is no act \"%.40s\".",
                     telling->before);
  }
  TRY(st, show_act(face, show, -1));
  const char* const before = from < 0 ? "" : show->plant.acts[from].name;
  if (from == show->act) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "A change goes from one act to another.");
  }
  if (telling->step) {
    return make_change_step(face, show, telling, before, told);
  }
  TRY(st, make_plug(face, show, telling, told));
  told->body.from = before;
  const Plant* const plant = &show->plant;
  for (int i = 0; i < plant->n_inputs && told->body.what[0]; ++i) {
    const Input* const input = &plant->inputs[i];
    if (input->act != show->act || input->line < 0 || !text_same(input->source, told->body.what) ||
        plant_line(plant, input->y_line) == told->line) {
      continue;
    }
    const int number = plant->lines[input->line].number;
    bool is_away = false;
    for (size_t k = 0; k < show->fold.moved.n_facts; ++k) {
      const FactBody* const b = &show->fold.moved.facts[k]->body;
      is_away = is_away || (b->line == number && b->act && text_same(b->act, act_of(show)));
    }
    if (input->line != told->line || is_away) {
      const FactBody body = {.line = number,
                             .way = input->line == told->line ? "" : told->body.place,
                             .act = act_of(show),
                             .from = before};
      told->kind = FACT_MOVED;
      told->body = body;
      return STATUS_OK; // The body has no `what` any more
    }
  }
  return STATUS_OK;
}

// ---- pass, ready, skip ----

static Status
make_pass(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  PassWay way;
  Status st;
  if (!telling->what) {
    return missing(face, telling, "what");
  }
  TRY(st, show_act(face, show, -1));
  if (!pass_of(telling->what, &way)) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "There is no way \"%.40s\" to prove lines: heard, microphone, lamp, volts, "
                     "desk-volts.",
                     telling->what);
  }
  const FactBody body = {.how = pass_word(way), .act = act_of(show)};
  *told = (Told){
    FACT_PASS_BEGUN, body, -1,
    or_nothing(arena_format(face->arena, "%s: a pass begins, %s.", show->act_word, pass_say(way)))};
  return STATUS_OK;
}

static Status
make_ready(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  Status st;
  TRY(st, show_act(face, show, -1));
  const char* const place = telling->at ? mark_place(&show->plant, telling->at) : NULL;
  if (!telling->at) {
    return missing(face, telling, "at");
  }
  if (!place) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "\"%.40s\" cannot be ready: write foh, mon, broadcast or stage.", telling->at);
  }
  const int desk = plant_desk(&show->plant, place);
  const FactBody body = {.desk = place, .act = act_of(show)};
  *told =
    (Told){FACT_READY, body, -1,
           or_nothing(
             desk >= 0 ? arena_format(face->arena, "The %s has muted.", show->plant.desks[desk].say)
                       : arena_copy(face->arena, "Stage: what must be unplugged is unplugged."))};
  return STATUS_OK;
}

static Status
make_skip(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  int line = -1;
  Status st;
  TRY(st, find_line(face, show, telling, &line));
  const int desk = telling->at ? plant_desk(&show->plant, telling->at) : -1;
  const FactBody body = {.line = show->plant.lines[line].number,
                         .act = act_of(show),
                         .desk = desk >= 0 ? show->plant.desks[desk].name : NULL,
                         .why = telling->why};
  *told = (Told){FACT_SKIPPED, body, line,
                 or_nothing(arena_format(face->arena, "Line %d is skipped for now.", body.line))};
  return STATUS_OK;
}

// ---- output ----

// Ohms on a circuit that may be live hurt people and meters: no such reading is taken.
static Status
refuse_live(const Face* face, const OpenShow* show, const OutputSeen* seen)
{
  const OutputCircuit* const c = &show->plant.outputs[seen->circuit];
  if (c->transmitter[0]) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "%s ends in %s: there are no ohms to read.", c->name, c->transmitter);
  }
  if (outputs_unplugged(&show->plant, &show->fold, seen->circuit)) {
    return STATUS_OK;
  }
  const char* const amp = c->amp[0] ? c->amp : c->name;
  return error_set(
    face->error, STATUS_BAD_INPUT, NULL, 0, 0,
    "%s is not told to be unplugged, so %s may be live (outputs can exceed 50 V rms): no "
    "ohms are taken there. Mute it, pull its loudspeaker plug, and say \"%s "
    "amplifier=unplugged\" first.",
    amp, c->name, amp);
}

static Status
make_output(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  OutputSeen seen;
  int n_about = 0;
  Status st;
  if (!telling->circuit || !telling->check || !telling->reading) {
    return missing(face, telling,
                   !telling->circuit ? "circuit"
                   : telling->check  ? "reading"
                                     : "check");
  }
  TRY(st, show_act(face, show, -1));
  TRY(st, outputs_read(&show->plant, telling->circuit, telling->check, telling->reading,
                       telling->at, &seen, &n_about, face->error));
  if (seen.circuit >= 0 && (seen.check == OUT_OHMS || seen.check == OUT_IMPEDANCE)) {
    TRY(st, refuse_live(face, show, &seen));
  }
  const FactBody body = {.circuit = telling->circuit,
                         .check = telling->check,
                         .reading = telling->reading,
                         .at = telling->at};
  const char* const at = telling->at ? telling->at : "";
  *told = (Told){FACT_OUTPUT_READING, body, -1,
                 or_nothing(arena_format(face->arena, "%s: %s=%s%s%s, written down.", body.circuit,
                                         body.check, body.reading, at[0] ? " at " : "", at))};
  return STATUS_OK;
}

// ---- undo ----

const char*
tell_said(Arena* arena, const FoldFact* f)
{
  const FactBody* const b = &f->body;
  switch (f->fact.kind) {
    case FACT_READING:
      return arena_format(arena, "line %d: %s=%s", b->line, b->check, b->reading);
    case FACT_OUTPUT_READING:
      return arena_format(arena, "%s: %s=%s", b->circuit, b->check, b->reading);
    case FACT_PLUGGED:
      return arena_format(arena, "%s: %s", b->place, b->what[0] ? b->what : "nothing");
    case FACT_TAPED_OFF:
    case FACT_CLEARED:
      return arena_format(arena, "%s %s", b->item,
                          f->fact.kind == FACT_CLEARED ? "cleared" : "taped off");
    case FACT_MOVED:
      return b->way[0] ? arena_format(arena, "line %d on way %s", b->line, b->way)
                       : arena_format(arena, "line %d on its own way", b->line);
    case FACT_LIST_IMPORTED:
      return arena_format(arena, "list %s, version %s", b->list, b->version);
    case FACT_KIT:
      return arena_format(arena, "kit: %d %s", b->count, b->kit);
    case FACT_ACT_IN_FORCE:
      return arena_format(arena, "act in force: %s", b->act[0] ? b->act : "bare lines");
    case FACT_STEP_TAKEN:
      return arena_format(arena, "line %d: %s taken", b->line, b->step);
    case FACT_STEP_REFUSED:
      return arena_format(arena, "line %d: %s handed back (%s)", b->line, b->step, b->why);
    case FACT_STEP_DONE:
      return arena_format(arena, "line %d: %s done", b->line, b->step);
    case FACT_MESSAGE_SEEN:
      return arena_copy(arena, "seen");
    case FACT_VOIDED:
      return arena_copy(arena, "taken back");
    case FACT_DESK_READ:
      return arena_format(arena, "line %d as read at %s", b->line, b->desk);
    case FACT_HOLDS:
      return arena_format(arena, "%s holds %s", b->desk, b->version);
    case FACT_CHANGE_STEP:
      return b->at && b->detail && text_same(b->step, change_step_word(CHANGE_STEP_TAKE))
               ? arena_format(arena, "change to %s: %s takes over lines %s", b->act, b->at,
                              b->detail)
             : b->at ? arena_format(arena, "change to %s: %s at %s", b->act, b->step, b->at)
             : b->detail
               ? arena_format(arena, "change to %s: %s, lines %s", b->act, b->step, b->detail)
               : arena_format(arena, "change to %s: %s", b->act, b->step);
    case FACT_PASS_BEGUN:
      return arena_format(arena, "a pass begun: %s", b->how);
    case FACT_READY:
      return arena_format(arena, "%s ready", b->desk);
    case FACT_SKIPPED:
      return arena_format(arena, "line %d skipped", b->line);
    default:
      return arena_copy(arena, b->text ? b->text : "");
  }
}

const char*
tell_undone(const Face* face, const OpenShow* show, const FoldFact* taken_back)
{
  const char* const said = tell_said(face->arena, taken_back);
  int n = 0;
  for (size_t i = 0; i < show->fold.all.n_facts; ++i) {
    n += show->fold.all.facts[i] != taken_back &&
         fold_undo_of(&show->fold, show->fold.all.facts[i]) == taken_back;
  }
  return !said || n == 0 ? said
                         : arena_format(face->arena, "%s, and %d more list%s that came in with it",
                                        said, n, n == 1 ? "" : "s");
}

static Status
make_undo(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  const FoldFact* taken_back =
    tell_fact(show, telling->of ? telling->of : fold_undo_id(&show->fold));
  taken_back = taken_back ? fold_undo_of(&show->fold, taken_back) : NULL;
  if (!taken_back || !taken_back->in_force || !strcmp(taken_back->fact.role, SHOW_BEGINS)) {
    return error_set(face->error, STATUS_NOT_FOUND, NULL, 0, 0,
                     !taken_back            ? "There is no such fact to take back."
                     : taken_back->in_force ? "The lists the show began with stay."
                                            : "That was taken back before.");
  }
  Status st;
  TRY(st, show_act(face, show, -1));
  const FactBody body = {.id = taken_back->fact.id, .why = telling->why};
  *told = (Told){FACT_VOIDED, body, -1,
                 or_nothing(arena_format(face->arena, "Taken back: %s.",
                                         or_nothing(tell_undone(face, show, taken_back))))};
  return STATUS_OK;
}

Status
tell_check(const Face* face, OpenShow* show, const Telling* telling, Told* told)
{
  static Status (*const makers[TELL_COUNT])(const Face*, OpenShow*, const Telling*, Told*) = {
    [TELL_SAW] = make_saw,       [TELL_PLUG] = make_plug,   [TELL_TAPE] = make_tape,
    [TELL_CLEAR] = make_clear,   [TELL_UNDO] = make_undo,   [TELL_NOW] = make_now,
    [TELL_KIT] = make_kit,       [TELL_TAKE] = make_step,   [TELL_REFUSE] = make_step,
    [TELL_DONE] = make_step,     [TELL_SAY] = make_say,     [TELL_SEEN] = make_seen,
    [TELL_READ] = make_read,     [TELL_HOLDS] = make_holds, [TELL_CHANGE] = make_change,
    [TELL_PASS] = make_pass,     [TELL_READY] = make_ready, [TELL_SKIP] = make_skip,
    [TELL_OUTPUT] = make_output,
  };
  return (unsigned)telling->sort < TELL_COUNT
           ? makers[telling->sort](face, show, telling, told)
           : error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0, "There is no such thing to tell.");
}
