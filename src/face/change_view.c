// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/change_view.h"

#include "base/text.h"
#include "day/crew.h"
#include "day/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  A change as JSON and in words. In words it is read in the dark by somebody with a plug in each
  hand: the desks first, then a list for each hand, box by box, one row a plug.
*/

static const char*
act_word(const OpenShow* show, int act)
{
  return act < 0 ? "bare lines" : show->plant.acts[act].name;
}

static const char*
act_told(const OpenShow* show, int act)
{
  return act < 0 ? "" : show->plant.acts[act].name;
}

// ---- What a tick becomes ----

// FNV-1a, 64 bits: tells steps apart, guards nothing.
static uint64_t
hash_of(const char* text)
{
  uint64_t hash = 14695981039346656037ULL;
  for (; *text; ++text) {
    hash = (hash ^ (unsigned char)*text) * 1099511628211ULL;
  }
  return hash;
}

// The same step ticked by two phones is one fact; after an undo the next tick is a new one.
static const char*
tick_id(const Face* face, const OpenShow* show, const Change* change, const ChangeStep* step,
        const char* rest)
{
  const char* const whole = arena_format(face->arena, "%s|%s|%s|%s", act_told(show, change->from),
                                         act_told(show, change->to), step->key, rest);
  if (!whole) {
    return NULL;
  }
  char start[40];
  int n = 0;
  (void)snprintf(start, sizeof(start), "change-%016llx-", (unsigned long long)hash_of(whole));
  for (size_t i = 0; i < show->fold.all.n_facts; ++i) {
    n += !strncmp(show->fold.all.facts[i]->fact.id, start, strlen(start));
  }
  return arena_format(face->arena, "%s%d", start, n + 1);
}

static const char*
lines_text(const Face* face, const OpenShow* show, const ChangeStep* step)
{
  TextOut out = {.arena = face->arena};
  for (int i = 0; i < step->n_lines; ++i) {
    text_add(&out, "%s%d", i > 0 ? " " : "", show->plant.lines[step->lines[i]].number);
  }
  return text_done(&out);
}

Status
change_view_tick(const Face* face, const OpenShow* show, const Change* change,
                 const ChangeStep* step, ChangeTick* tick)
{
  ChangeTick out = {.who = change->people[step->person].role};
  const char* rest = NULL;
  if (step->desk >= 0) {
    out.step = step->does == CHANGE_DOES_PATCH ? "patch" : change_does_word(step->does);
    out.at = show->plant.desks[step->desk].name;
    rest = out.lines = lines_text(face, show, step);
  } else {
    const bool is_in = step->does == CHANGE_DOES_PLUG || step->does == CHANGE_DOES_MOVE;
    out.place = allot_socket(face->arena, &show->plant, step->line);
    rest = out.what = is_in ? plugged_name(&change->plugged.plugs[step->plug]) : "nothing";
    rest = out.place ? rest : NULL;
  }
  out.id = rest ? tick_id(face, show, change, step, rest) : NULL;
  if (!out.id) {
    return STATUS_NO_MEMORY;
  }
  *tick = out;
  return STATUS_OK;
}

// ---- JSON ----

static void
set_text(json_t* object, const char* key, const char* text)
{
  if (text) {
    json_object_set_new(object, key, json_words(text));
  }
}

static json_t*
tick_json(const Face* face, const OpenShow* show, const Change* change, const ChangeStep* step)
{
  ChangeTick tick;
  if (step->is_done || change_view_tick(face, show, change, step, &tick) != STATUS_OK) {
    return json_null();
  }
  json_t* const fact = json_object();
  json_object_set_new(fact, "id", json_words(tick.id));
  json_object_set_new(fact, "verb", json_words("change"));
  json_object_set_new(fact, "from", json_words(act_word(show, change->from)));
  json_object_set_new(fact, "act", json_words(act_word(show, change->to)));
  set_text(fact, "place", tick.place);
  set_text(fact, "what", tick.what);
  set_text(fact, "step", tick.step);
  set_text(fact, "at", tick.at);
  set_text(fact, "lines", tick.lines);
  set_text(fact, "who", tick.who);
  return fact;
}

static json_t*
socket_words(const Face* face, const OpenShow* show, int line)
{
  return line >= 0 ? json_words(allot_socket(face->arena, &show->plant, line)) : json_null();
}

static void
set_socket(json_t* object, const OpenShow* show, int line)
{
  const Line* const l = line >= 0 ? &show->plant.lines[line] : NULL;
  json_object_set_new(object, "box", l ? json_words(show->plant.boxes[l->box].name) : json_null());
  json_object_set_new(object, "socket", l ? json_integer(l->socket) : json_null());
  json_object_set_new(object, "line", l ? json_integer(l->number) : json_null());
}

static json_t*
move_json(const Face* face, const OpenShow* show, const Change* change, const ChangeMove* move)
{
  static const char* const why[] = {
    [ALLOT_LISTED] = "listed", [ALLOT_CHOSEN] = "chosen", [ALLOT_INSTEAD] = "instead"};
  json_t* const one = json_object();
  json_object_set_new(one, "do", json_words(change_word(move->does)));
  set_socket(one, show, move->line);
  json_object_set_new(one, "source", json_words(move->source));
  json_object_set_new(one, "from", socket_words(face, show, move->from));
  json_object_set_new(one, "was", json_words(move->was));
  json_object_set_new(one, "say", json_words(move->say));
  json_object_set_new(one, "why", json_words(why[move->why]));
  json_object_set_new(one, "done", json_boolean(move->is_done));
  json_object_set_new(one, "step",
                      move->step >= 0 ? json_words(change->steps[move->step].key) : json_null());
  return one;
}

static json_t*
channel_json(const OpenShow* show, const ChangeChannel* c)
{
  static const char* const answers[] = {
    [ANSWER_NO] = "no", [ANSWER_YES] = "yes", [ANSWER_ASK] = "ask"};
  json_t* const one = json_object();
  json_t* const changes = json_array();
  json_object_set_new(one, "channel", json_integer(c->channel));
  json_object_set_new(one, "line", json_integer(show->plant.lines[c->line].number));
  json_object_set_new(one, "input", json_integer(c->input));
  json_object_set_new(one, "name", json_words(c->name));
  json_object_set_new(one, "was", json_words(c->was));
  json_object_set_new(one, "phantom", json_words(answers[c->phantom]));
  json_object_set_new(one, "pad", json_words(c->pad_in ? "in" : "out"));
  const struct {
    bool is;
    const char* word;
  } all[] = {{c->moves_input, "input"},
             {c->renames, "name"},
             {c->moves_pad, "pad"},
             {c->moves_phantom, "phantom"}};
  for (size_t i = 0; i < sizeof(all) / sizeof(all[0]); ++i) {
    if (all[i].is) {
      json_array_append_new(changes, json_words(all[i].word));
    }
  }
  json_object_set_new(one, "changes", changes);
  return one;
}

static json_t*
keys_json(const Change* change, const int steps[], int n)
{
  json_t* const keys = json_array();
  for (int i = 0; i < n; ++i) {
    json_array_append_new(keys, json_words(change->steps[steps[i]].key));
  }
  return keys;
}

static bool
is_ready(const Change* change, const ChangeStep* step)
{
  bool ready = !step->is_done;
  for (int i = 0; ready && i < step->n_after; ++i) {
    ready = change->steps[step->after[i]].is_done;
  }
  return ready;
}

static json_t*
done_json(const OpenShow* show, const ChangeStep* step)
{
  if (!step->done_by) {
    return json_null();
  }
  double time_s = 0.0;
  json_t* const by = json_object();
  json_object_set_new(by, "role", json_words(step->done_by->role));
  json_object_set_new(by, "place", json_words(step->done_by->place));
  json_object_set_new(
    by, "at_s", crew_time_s(step->done_by->time, &time_s) ? json_figure(time_s) : json_null());
  json_object_set_new(by, "id", json_words(step->done_by->id));
  (void)show;
  return by;
}

static json_t*
step_json_of(const Face* face, const OpenShow* show, const Change* change, const ChangeStep* step)
{
  json_t* const one = json_object();
  json_t* const lines = json_array();
  json_t* const channels = json_array();
  const char* const box = step->line >= 0  ? NULL
                          : step->box >= 0 ? show->plant.boxes[step->box].name
                                           : NULL;
  json_object_set_new(one, "step", json_words(step->key));
  json_object_set_new(one, "does", json_words(change_does_word(step->does)));
  json_object_set_new(one, "person", json_integer(step->person + 1));
  json_object_set_new(one, "who", json_words(change->people[step->person].role));
  json_object_set_new(one, "at", json_words(show->plant.places[step->place]));
  json_object_set_new(
    one, "desk", step->desk >= 0 ? json_words(show->plant.desks[step->desk].name) : json_null());
  set_socket(one, show, step->line);
  if (box) {
    json_object_set_new(one, "box", json_words(box));
  }
  json_object_set_new(one, "source",
                      step->plug >= 0 ? json_words(plugged_name(&change->plugged.plugs[step->plug]))
                                      : json_null());
  json_object_set_new(one, "from", socket_words(face, show, step->from));
  json_object_set_new(one, "say", json_words(step->say));
  json_object_set_new(one, "why", json_words(step->why));
  json_object_set_new(one, "caution", json_words(step->caution));
  json_object_set_new(one, "seconds", json_figure(step->seconds));
  json_object_set_new(one, "starts_s", json_figure(step->start_s));
  json_object_set_new(one, "after", keys_json(change, step->after, step->n_after));
  json_object_set_new(one, "ready", json_boolean(is_ready(change, step)));
  json_object_set_new(one, "done", json_boolean(step->is_done));
  json_object_set_new(one, "done_by", done_json(show, step));
  for (int i = 0; i < step->n_lines; ++i) {
    json_array_append_new(lines, json_integer(show->plant.lines[step->lines[i]].number));
  }
  for (int i = 0; i < step->n_channels; ++i) {
    json_array_append_new(channels, channel_json(show, &step->channels[i]));
  }
  json_object_set_new(one, "lines", lines);
  json_object_set_new(one, "channels", channels);
  json_object_set_new(one, "tick", tick_json(face, show, change, step));
  return one;
}

static json_t*
person_json(const OpenShow* show, const Change* change, int p)
{
  const ChangePerson* const person = &change->people[p];
  json_t* const one = json_object();
  int n_done = 0;
  for (int i = 0; i < person->n_steps; ++i) {
    n_done += change->steps[person->steps[i]].is_done;
  }
  json_object_set_new(one, "person", json_integer(p + 1));
  json_object_set_new(one, "who", json_words(person->role));
  json_object_set_new(one, "name", json_words(person->name));
  json_object_set_new(one, "at", json_words(show->plant.places[person->place]));
  json_object_set_new(one, "desk",
                      person->desk >= 0 ? json_words(show->plant.desks[person->desk].name)
                                        : json_null());
  json_object_set_new(one, "steps", keys_json(change, person->steps, person->n_steps));
  json_object_set_new(one, "done", json_integer(n_done));
  json_object_set_new(one, "seconds", json_figure(person->seconds));
  return one;
}

static const char*
deadline_say(const Face* face, const Change* change, const Deadline* deadline, double late_s)
{
  char late[32];
  char needs[32];
  char has[32];
  (void)screen_seconds(late_s, late);
  (void)screen_seconds(change->seconds, needs);
  (void)screen_seconds(deadline->seconds, has);
  if (late_s > 0.0) {
    return arena_format(face->arena,
                        "The act should have begun at %s, %s ago: what is left takes %s.",
                        deadline->by, late, needs);
  }
  if (deadline->sort == DEADLINE_NONE) {
    return "";
  }
  const char* const by = deadline->by[0] ? arena_format(face->arena, " (by %s)", deadline->by) : "";
  return !by ? NULL
             : arena_format(face->arena,
                            change->fits ? "It fits: %s of %s%s."
                                         : "It does not fit: it takes %s, and there are %s%s.",
                            needs, has, by);
}

static json_t*
deadline_json(const Face* face, const Change* change, const Deadline* deadline, double late_s)
{
  if (deadline->sort == DEADLINE_NONE && late_s <= 0.0) {
    return json_null();
  }
  json_t* const object = json_object();
  json_object_set_new(object, "seconds", json_figure(late_s > 0.0 ? -late_s : deadline->seconds));
  json_object_set_new(object, "by", json_words(deadline->by));
  json_object_set_new(object, "say", json_words(deadline_say(face, change, deadline, late_s)));
  return object;
}

static json_t*
leave_json(const Face* face, const OpenShow* show, const Change* change)
{
  json_t* const list = json_array();
  for (int i = 0; i < change->n_leave; ++i) {
    const ChangeLeave* const leave = &change->leave[i];
    json_t* const one = json_object();
    json_object_set_new(one, "source",
                        json_words(plugged_name(&change->plugged.plugs[leave->plug])));
    json_object_set_new(one, "socket",
                        socket_words(face, show, change->allotment.target_at[leave->plug]));
    json_object_set_new(one, "saves_s", json_figure(leave->saves_s));
    json_object_set_new(one, "why", json_words(leave->why));
    json_array_append_new(list, one);
  }
  return list;
}

static json_t*
shorts_json(const Change* change)
{
  json_t* const list = json_array();
  for (int i = 0; i < change->allotment.n_shorts; ++i) {
    const AllotShort* const one = &change->allotment.shorts[i];
    json_t* const object = json_object();
    json_object_set_new(object, "source",
                        json_words(plugged_name(&change->plugged.plugs[one->plug])));
    json_object_set_new(object, "share", json_words(one->twin ? one->twin->source : NULL));
    json_object_set_new(object, "say", json_words(one->why));
    json_array_append_new(list, object);
  }
  return list;
}

json_t*
change_view_json(const Face* face, const OpenShow* show, const Change* change,
                 const Deadline* deadline, double late_s)
{
  json_t* const answer = json_answer(act_word(show, change->to));
  json_t* const moves = json_array();
  json_t* const people = json_array();
  json_t* const steps = json_array();
  int n_done = 0;
  for (int i = 0; i < change->n_moves; ++i) {
    json_array_append_new(moves, move_json(face, show, change, &change->moves[i]));
  }
  for (int i = 0; i < change->n_people; ++i) {
    json_array_append_new(people, person_json(show, change, i));
  }
  for (int i = 0; i < change->n_steps; ++i) {
    n_done += change->steps[i].is_done;
    json_array_append_new(steps, step_json_of(face, show, change, &change->steps[i]));
  }
  json_object_set_new(answer, "from", json_words(act_word(show, change->from)));
  json_object_set_new(answer, "list", json_words(show_mark(face, show)));
  json_object_set_new(answer, "moves", moves);
  json_object_set_new(answer, "plugs_moved", json_integer(change->n_moved + change->n_plugged));
  json_object_set_new(answer, "kept", json_integer(change->n_kept));
  json_object_set_new(answer, "moved", json_integer(change->n_moved));
  json_object_set_new(answer, "plugged", json_integer(change->n_plugged));
  json_object_set_new(answer, "struck", json_integer(change->n_struck));
  json_object_set_new(answer, "people", people);
  json_object_set_new(answer, "steps", steps);
  json_object_set_new(answer, "steps_done", json_integer(n_done));
  json_object_set_new(answer, "seconds", json_figure(change->seconds));
  json_object_set_new(answer, "gate_s", json_figure(change->gate_s));
  json_object_set_new(answer, "deadline", deadline_json(face, change, deadline, late_s));
  json_object_set_new(answer, "fits", json_boolean(change->fits));
  json_object_set_new(answer, "leave_out", leave_json(face, show, change));
  json_object_set_new(answer, "left_s", json_figure(change->left_s));
  json_object_set_new(answer, "short", shorts_json(change));
  json_object_set_new(answer, "notes", json_list(change->notes, change->n_notes));
  json_object_set_new(answer, "usual_practice", json_true());
  return answer;
}

// ---- In words ----

static void
say_caution(const Face* face, const char* lead, const ChangeStep* step)
{
  if (step->caution[0] && !step->is_done) {
    screen_item(face->screen, PAINT_WARN, lead, step->caution);
  }
}

static const char*
tick_mark(const ChangeStep* step)
{
  return step->is_done ? "[x]" : "[ ]";
}

static const char*
done_say(const Face* face, const ChangeStep* step)
{
  const char* const role = step->done_by && step->done_by->role[0] ? step->done_by->role : "";
  return !step->is_done ? "" : role[0] ? arena_format(face->arena, " Done: %s.", role) : " Done.";
}

// One row of a hand: what comes out, what goes in.
static const char*
row_say(const Face* face, const OpenShow* show, const Change* change, const ChangeStep* step)
{
  const int here = change->plugged.now[step->line];
  const bool comes_out = here >= 0 && here != step->plug && change->allotment.target_at[here] < 0;
  const WordsFill fill = {
    .source = plugged_name(&change->plugged.plugs[step->plug]),
    .found = comes_out ? plugged_name(&change->plugged.plugs[here]) : NULL,
    .way = step->from >= 0 ? allot_socket(face->arena, &show->plant, step->from) : NULL};
  switch (step->does) {
    case CHANGE_DOES_STRIKE:
      return words_say(face->arena, WORDS_CHANGE_ROW_OUT, &fill);
    case CHANGE_DOES_HOLD:
      return words_say(face->arena, WORDS_CHANGE_ROW_HOLD, &fill);
    default:
      break;
  }
  return words_say(face->arena,
                   step->from >= 0
                     ? (comes_out ? WORDS_CHANGE_ROW_FROM_OVER : WORDS_CHANGE_ROW_FROM)
                     : (comes_out ? WORDS_CHANGE_ROW_OVER : WORDS_CHANGE_ROW_IN),
                   &fill);
}

static void
say_row(const Face* face, const OpenShow* show, const Change* change, const ChangeStep* step)
{
  char lead[40];
  const char* const row = row_say(face, show, change, step);
  const char* const done = done_say(face, step);
  const char* const text =
    arena_format(face->arena, "%s%s", row ? row : step->say, done ? done : "");
  (void)snprintf(lead, sizeof(lead), "  %s %-4s ", tick_mark(step), step->key);
  screen_item(face->screen, step->is_done ? PAINT_FAINT : PAINT_PLAIN, lead,
              text ? text : step->say);
  const Input* const input = step->plug >= 0 ? change->plugged.plugs[step->plug].next : NULL;
  const bool is_instead = change->allotment.why[step->plug] == ALLOT_INSTEAD;
  if (plant_is_harmful(&show->plant, input)) {
    say_caution(face, "           ", step);
  }
  if (is_instead && !step->is_done) {
    screen_item(face->screen, PAINT_WARN, "           ", step->why);
  }
}

static void
say_hand(const Face* face, const OpenShow* show, const Change* change, const ChangePerson* person)
{
  char time[32];
  int place = -1;
  if (person->n_steps == 0) {
    return;
  }
  screen_gap(face->screen);
  screen_say(face->screen, PAINT_STRONG, "%s, about %s:", person->name,
             screen_seconds(person->seconds, time));
  for (int i = 0; i < person->n_steps; ++i) {
    const ChangeStep* const step = &change->steps[person->steps[i]];
    if (step->place != place) {
      place = step->place;
      screen_say(face->screen, PAINT_STRONG, " %s", show->plant.places[place]);
    }
    say_row(face, show, change, step);
  }
}

static void
say_channel(const Face* face, const ChangeChannel* c)
{
  char lead[32];
  TextOut out = {.arena = face->arena};
  (void)snprintf(lead, sizeof(lead), "      ch %-3d ", c->channel);
  text_add(&out, "%s", c->name);
  if (c->moves_input) {
    text_add(&out, ", input %d", c->input);
  }
  if (c->moves_pad) {
    text_add(&out, ", pad %s", c->pad_in ? "in" : "out");
  }
  if (c->renames && c->was[0]) {
    text_add(&out, " (was %s)", c->was);
  }
  const char* const text = text_done(&out);
  screen_item(face->screen, PAINT_PLAIN, lead, text ? text : c->name);
}

static void
say_desk_step(const Face* face, const ChangeStep* step)
{
  char lead[16];
  const char* const text = arena_format(face->arena, "%s%s", step->say, done_say(face, step));
  (void)snprintf(lead, sizeof(lead), "  %s ", tick_mark(step));
  screen_item(face->screen, step->is_done ? PAINT_FAINT : PAINT_PLAIN, lead,
              text ? text : step->say);
  if (step->does == CHANGE_DOES_PATCH) { // The rest stands in the heading
    say_caution(face, "      ", step);
  }
  for (int i = 0; i < step->n_channels && !step->is_done; ++i) {
    say_channel(face, &step->channels[i]);
  }
}

static void
say_desk(const Face* face, const Change* change, const ChangePerson* person, bool first)
{
  bool said = false;
  for (int i = 0; i < person->n_steps; ++i) {
    const ChangeStep* const step = &change->steps[person->steps[i]];
    const bool is_first = step->does == CHANGE_DOES_MUTE || step->does == CHANGE_DOES_OFF;
    if (is_first == first) {
      if (!said) {
        screen_say(face->screen, PAINT_STRONG, " %s", person->name);
      }
      said = true;
      say_desk_step(face, step);
    }
  }
}

static void
say_desks(const Face* face, const Change* change, bool first)
{
  bool any = false;
  for (int i = 0; i < change->n_steps; ++i) {
    const ChangeDoes does = change->steps[i].does;
    any = any || (change->steps[i].desk >= 0 &&
                  (does == CHANGE_DOES_MUTE || does == CHANGE_DOES_OFF) == first);
  }
  if (!any) {
    return;
  }
  screen_gap(face->screen);
  screen_say(face->screen, PAINT_STRONG,
             first ? "First, before any plug is touched, one desk after the other says so:"
                   : "Then at the desks, still muted everywhere, headphones down:");
  for (int p = 0; p < change->n_people; ++p) {
    if (change->people[p].desk >= 0) {
      say_desk(face, change, &change->people[p], first);
    }
  }
}

static void
say_head(const Face* face, const OpenShow* show, const Change* change, const Deadline* deadline,
         double late_s)
{
  const Screen* const screen = face->screen;
  char time[32];
  const char* const mark = show_mark(face, show);
  int n_left = 0;
  for (int i = 0; i < change->n_steps; ++i) {
    n_left += !change->steps[i].is_done;
  }
  screen_say(screen, PAINT_STRONG, "%s to %s%s%s: %d to plug, %d to move, %d to pull, %d stay.",
             act_word(show, change->from), act_word(show, change->to), mark[0] ? ", list " : "",
             mark, change->n_plugged, change->n_moved, change->n_struck, change->n_kept);
  if (n_left == 0) {
    screen_say(screen, PAINT_GOOD,
               "All of it is done. Line check next: prove it, channel by channel.");
  } else {
    screen_say(screen, PAINT_PLAIN, "%d of %d steps left, about %s (usual practice).", n_left,
               change->n_steps, screen_seconds(change->seconds, time));
  }
  const char* const say = deadline_say(face, change, deadline, late_s);
  if (say && say[0]) {
    screen_say(screen, change->fits ? PAINT_PLAIN : PAINT_WARN, "%s", say);
  }
  if (change->n_leave > 0) {
    screen_say(screen, PAINT_WARN,
               "Leave out first, and it takes about %s:", screen_seconds(change->left_s, time));
    for (int i = 0; i < change->n_leave; ++i) {
      screen_item(screen, PAINT_PLAIN, "  - ", change->leave[i].why);
    }
  }
  if (change->allotment.n_shorts > 0) {
    screen_say(screen, PAINT_BAD, "%d %s of the next act %s no socket:", change->allotment.n_shorts,
               change->allotment.n_shorts == 1 ? "source" : "sources",
               change->allotment.n_shorts == 1 ? "has" : "have");
    for (int i = 0; i < change->allotment.n_shorts; ++i) {
      screen_item(screen, PAINT_PLAIN, "  - ", change->allotment.shorts[i].why);
    }
  }
  for (int i = 0; i < change->n_notes; ++i) {
    screen_item(screen, PAINT_WARN, "Note: ", change->notes[i]);
  }
}

Status
change_view_say(const Face* face, const OpenShow* show, const Change* change,
                const Deadline* deadline, double late_s)
{
  bool renamed = false;
  say_head(face, show, change, deadline, late_s);
  say_desks(face, change, true);
  for (int p = 0; p < change->n_people; ++p) {
    if (change->people[p].desk < 0) {
      say_hand(face, show, change, &change->people[p]);
    }
  }
  say_desks(face, change, false);
  for (int i = 0; i < change->n_moves; ++i) {
    const ChangeMove* const move = &change->moves[i];
    if (move->does == CHANGE_KEEP) {
      if (!renamed) {
        screen_gap(face->screen);
        screen_say(face->screen, PAINT_STRONG, "Stays plugged:");
      }
      renamed = true;
      screen_item(face->screen, PAINT_PLAIN, "  = ", move->say);
    }
  }
  return STATUS_OK;
}
