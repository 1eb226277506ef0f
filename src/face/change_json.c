// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/change_view.h"

#include "day/crew.h"
#include "day/words.h"

/*
  A change as JSON (docs/schema/change.json). What can be told of a step stands in it as the fact to
  send, whole: `tick` when it is done, `heard` when the stage heard the desk say so, `anyway` when
  it shall not wait for a desk; an `offer` has the fact that takes it.
*/

static void
set_text(json_t* object, const char* key, const char* text)
{
  if (text) {
    json_object_set_new(object, key, json_words(text));
  }
}

static json_t*
fact_json(const OpenShow* show, const Change* change, const ChangeTick* tick)
{
  json_t* const fact = json_object();
  json_object_set_new(fact, "id", json_words(tick->id));
  json_object_set_new(fact, "verb", json_words("change"));
  json_object_set_new(fact, "from", json_words(change_view_act(show, change->from)));
  json_object_set_new(fact, "act", json_words(change_view_act(show, change->to)));
  set_text(fact, "place", tick->place);
  set_text(fact, "what", tick->what);
  set_text(fact, "step", tick->step);
  set_text(fact, "at", tick->at);
  set_text(fact, "lines", tick->lines);
  set_text(fact, "who", tick->who);
  return fact;
}

static json_t*
tick_json(const Face* face, const OpenShow* show, const Change* change, const ChangeStep* step,
          ChangeTell tell, bool is_due)
{
  ChangeTick tick;
  if (!is_due || step->is_done ||
      change_view_tick(face, show, change, step, tell, &tick) != STATUS_OK) {
    return json_null();
  }
  return fact_json(show, change, &tick);
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

// Who told something, from where and when.
static json_t*
told_json(const Fact* fact)
{
  double time_s = 0.0;
  if (!fact) {
    return json_null();
  }
  json_t* const by = json_object();
  json_object_set_new(by, "role", json_words(fact->role));
  json_object_set_new(by, "place", json_words(fact->place));
  json_object_set_new(by, "at_s",
                      crew_time_s(fact->time, &time_s) ? json_figure(time_s) : json_null());
  json_object_set_new(by, "id", json_words(fact->id));
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
  json_object_set_new(one, "cable_m",
                      step->cable_m > 0.0 ? json_figure(step->cable_m) : json_null());
  json_object_set_new(one, "seconds", json_figure(step->seconds));
  json_object_set_new(one, "starts_s", json_figure(step->start_s));
  json_object_set_new(one, "after", keys_json(change, step->after, step->n_after));
  json_object_set_new(one, "ready", json_boolean(is_ready(change, step)));
  json_object_set_new(one, "done", json_boolean(step->is_done));
  json_object_set_new(one, "done_by", told_json(step->done_by));
  json_object_set_new(one, "heard_only", json_boolean(step->is_heard));
  json_object_set_new(one, "gone_on", told_json(step->anyway));
  json_object_set_new(one, "taken", told_json(step->taken));
  for (int i = 0; i < step->n_lines; ++i) {
    json_array_append_new(lines, json_integer(show->plant.lines[step->lines[i]].number));
  }
  for (int i = 0; i < step->n_channels; ++i) {
    json_array_append_new(channels, channel_json(show, &step->channels[i]));
  }
  json_object_set_new(one, "lines", lines);
  json_object_set_new(one, "channels", channels);
  json_object_set_new(one, "tick", tick_json(face, show, change, step, CHANGE_TELL_DONE, true));
  json_object_set_new(one, "heard",
                      tick_json(face, show, change, step, CHANGE_TELL_HEARD, change_is_gate(step)));
  json_object_set_new(one, "anyway",
                      tick_json(face, show, change, step, CHANGE_TELL_ANYWAY,
                                step->desk < 0 && change_waits(change, step, 0) >= 0));
  return one;
}

static json_t*
offer_json(const Face* face, const OpenShow* show, const Change* change, const ChangePerson* person)
{
  const char* sockets = NULL;
  const char* names = NULL;
  char earlier[32];
  ChangeTick tick;
  if (person->n_offer == 0 ||
      change_view_offer(face, show, change, person, &sockets, &names) != STATUS_OK ||
      change_view_take(face, show, change, person, &tick) != STATUS_OK) {
    return json_null();
  }
  const WordsFill fill = {
    .socket = sockets, .who = names, .odds = screen_seconds(person->offer_s, earlier)};
  json_t* const one = json_object();
  json_object_set_new(one, "steps", keys_json(change, person->offer, person->n_offer));
  json_object_set_new(one, "whose", json_words(names));
  json_object_set_new(one, "saves_s", json_figure(person->offer_s));
  json_object_set_new(one, "say", json_words(words_say(face->arena, WORDS_CHANGE_OFFER, &fill)));
  json_object_set_new(one, "tick", fact_json(show, change, &tick));
  return one;
}

static json_t*
person_json(const Face* face, const OpenShow* show, const Change* change, int p)
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
  json_object_set_new(one, "offer", offer_json(face, show, change, person));
  return one;
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
  json_object_set_new(object, "say",
                      json_words(change_view_deadline(face, change, deadline, late_s)));
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
  json_t* const answer = json_answer(change_view_act(show, change->to));
  json_t* const moves = json_array();
  json_t* const people = json_array();
  json_t* const steps = json_array();
  int n_done = 0;
  for (int i = 0; i < change->n_moves; ++i) {
    json_array_append_new(moves, move_json(face, show, change, &change->moves[i]));
  }
  for (int i = 0; i < change->n_people; ++i) {
    json_array_append_new(people, person_json(face, show, change, i));
  }
  for (int i = 0; i < change->n_steps; ++i) {
    n_done += change->steps[i].is_done;
    json_array_append_new(steps, step_json_of(face, show, change, &change->steps[i]));
  }
  json_object_set_new(answer, "from", json_words(change_view_act(show, change->from)));
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
