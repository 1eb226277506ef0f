// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/prove_view.h"

#include "base/text.h"
#include "face/line_view.h"

const char*
prove_way(const Args* args)
{
  if (!args->meter) {
    return args->way;
  }
  const char* const at = pass_word(text_same(args->meter, "desk") ? PASS_DESK_VOLTS : PASS_VOLTS);
  return !args->way || text_same(args->way, pass_word(PASS_VOLTS)) || text_same(args->way, at)
           ? at
           : NULL;
}

Status
prove_check_way(const Face* face)
{
  return !prove_way(face->args) && face->args->meter
           ? error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                       "--meter says where volts are measured: it goes with --way volts.")
           : STATUS_OK;
}

Status
prove_ask(const Face* face, const OpenShow* show, ProveAsk* ask)
{
  const Args* const args = face->args;
  const Plant* const plant = &show->plant;
  ProveAsk out = {.box = -1, .line = -1};
  for (int d = plant->n_desks - 1; d >= 0; --d) {
    out.desk = plant->desks[d].is_direct ? d : out.desk;
  }
  if (args->from) {
    out.desk = plant_desk(plant, args->from);
    if (out.desk < 0) {
      return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "There is no desk \"%.40s\" in this show: write foh, mon or broadcast.",
                       args->from);
    }
  }
  const char* const way = prove_way(args);
  out.has_way = pass_of(way, &out.way);
  if (out.has_way && out.way == PASS_DESK_VOLTS && args->from) {
    bool reaches = false;
    for (int l = 0; l < plant->n_lines; ++l) {
      reaches = reaches || pass_reaches(show->situation, l, out.way, out.desk);
    }
    if (!reaches) {
      return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "No line's phantom stands at the %s: its side is isolated or digital, so a "
                       "meter there reads the same whatever the line is like.",
                       plant->desks[out.desk].say);
    }
  }
  const char* const box = args->n_words > 1 ? args->words[1] : NULL;
  const char* const name = box && text_begins(box, "box ") ? box + 4 : box;
  for (int b = 0; name && b < plant->n_boxes; ++b) {
    out.box = text_same(plant->boxes[b].name, name) ? b : out.box;
  }
  if (box && out.box < 0) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "There is no box \"%.40s\" in this show; the first is %s.", box,
                     plant->n_boxes ? plant->boxes[0].name : "none");
  }
  Status st = STATUS_OK;
  TRY(st, args->go ? show_line(face, show, args->go, &out.line) : STATUS_OK);
  *ask = out;
  return STATUS_OK;
}

static json_t*
fact_json(const ProveFact* fact)
{
  if (!fact->verb) {
    return json_null();
  }
  const struct {
    const char *key, *text;
  } texts[] = {{"check", fact->check}, {"reading", fact->reading}, {"at", fact->at},
               {"what", fact->what},   {"to", fact->to},           {"text", fact->text},
               {"fact", fact->fact},   {"act", fact->act}};
  json_t* const object = json_object();
  json_object_set_new(object, "verb", json_words(fact->verb));
  if (fact->line > 0) {
    json_object_set_new(object, "line", json_integer(fact->line));
  }
  for (size_t i = 0; i < sizeof(texts) / sizeof(texts[0]); ++i) {
    if (texts[i].text) {
      json_object_set_new(object, texts[i].key, json_words(texts[i].text));
    }
  }
  if (fact->is_urgent) {
    json_object_set_new(object, "urgent", json_true());
  }
  return object;
}

Status
prove_telling(const Face* face, const ProveFact* fact, const char* answer, Telling* telling)
{
  Telling out = {.sort = TELL_COUNT,
                 .check = fact->check,
                 .reading = fact->reading,
                 .at = fact->at,
                 .what = fact->what,
                 .to = fact->to,
                 .text = fact->text,
                 .of = fact->fact,
                 .is_urgent = fact->is_urgent,
                 .seconds = -1,
                 .count = -1};
  for (int i = 0; i < TELL_COUNT; ++i) {
    out.sort = text_same(tell_word((TellSort)i), fact->verb) ? (TellSort)i : out.sort;
  }
  if (answer) {
    out.reading = arena_format(face->arena, "%s%s", fact->reading ? fact->reading : "", answer);
  }
  if (fact->line > 0) {
    out.line = arena_format(face->arena, "%d", fact->line);
  }
  if ((answer && !out.reading) || (fact->line > 0 && !out.line)) {
    return STATUS_NO_MEMORY;
  }
  *telling = out;
  return STATUS_OK;
}

// ---- The answer ----

static json_t*
ways_json(const Situation* s)
{
  json_t* const list = json_array();
  for (int w = 0; w < PASS_WAYS; ++w) {
    json_t* const way = json_object();
    const char* const refusal = pass_refusal(s, (PassWay)w);
    json_object_set_new(way, "way", json_words(pass_word((PassWay)w)));
    json_object_set_new(way, "say", json_words(pass_say((PassWay)w)));
    json_object_set_new(way, "seconds", json_figure(pass_line_s(s->plant, (PassWay)w)));
    json_object_set_new(way, "may", json_boolean(!refusal));
    json_object_set_new(way, "why_not", json_words(refusal));
    json_array_append_new(list, way);
  }
  return list;
}

static json_t*
ready_json(const ProveReady* ready, int n)
{
  json_t* const list = json_array();
  for (int i = 0; i < n; ++i) {
    json_t* const one = json_object();
    json_object_set_new(one, "place", json_words(ready[i].place));
    json_object_set_new(one, "say", json_words(ready[i].say));
    json_object_set_new(one, "is_ready", json_boolean(ready[i].is_ready));
    json_object_set_new(one, "fact", fact_json(&ready[i].fact));
    json_array_append_new(list, one);
  }
  return list;
}

static json_t*
counts_json(json_t* object, const int n[PROVE_IS])
{
  for (int i = 0; i < PROVE_IS; ++i) {
    json_object_set_new(object, prove_word((ProveIs)i), json_integer(n[i]));
  }
  return object;
}

static json_t*
boxes_json(const Plant* plant, const Prove* p)
{
  json_t* const list = json_array();
  for (int b = 0; b < plant->n_boxes; ++b) {
    int n[PROVE_IS] = {0};
    for (int i = 0; i < p->n_lines; ++i) {
      n[p->lines[i].is] += plant->lines[p->lines[i].line].box == b;
    }
    json_t* const box = json_object();
    json_object_set_new(box, "box", json_words(plant->boxes[b].name));
    json_object_set_new(box, "name", json_words(plant->boxes[b].meaning));
    json_array_append_new(list, counts_json(box, n));
  }
  return list;
}

static json_t*
lines_json(const OpenShow* show, const Prove* p, int box)
{
  const Plant* const plant = &show->plant;
  json_t* const list = json_array();
  for (int i = 0; i < p->n_lines; ++i) {
    const ProveLine* const l = &p->lines[i];
    const Line* const copper = &plant->lines[l->line];
    if (box >= 0 && copper->box != box) {
      continue;
    }
    json_t* const one = json_object();
    json_object_set_new(one, "line", json_integer(copper->number));
    json_object_set_new(one, "box", json_words(plant->boxes[copper->box].name));
    json_object_set_new(one, "socket", json_integer(copper->socket));
    json_object_set_new(one, "source", json_words(line_source(show, l->line)));
    json_object_set_new(one, "spare", json_boolean(copper->is_spare));
    json_object_set_new(one, "input", json_integer(l->input));
    json_object_set_new(one, "is", json_words(prove_word(l->is)));
    json_object_set_new(one, "found", json_words(l->found));
    json_object_set_new(one, "fact", json_words(l->fact));
    json_object_set_new(one, "good", fact_json(&l->good));
    json_array_append_new(list, one);
  }
  return list;
}

static json_t*
at_json(const OpenShow* show, const Prove* p)
{
  static const char* const asks[] = {NULL, "input", "picture"};
  if (p->at < 0 || !p->has_way) {
    return json_null();
  }
  const Plant* const plant = &show->plant;
  const int line = p->lines[p->at].line;
  char socket[40];
  json_t* const at = json_object();
  json_object_set_new(at, "line", json_integer(plant->lines[line].number));
  json_object_set_new(at, "socket", json_words(line_socket(plant, line, socket)));
  json_object_set_new(at, "source", json_words(line_source(show, line)));
  json_object_set_new(at, "say", json_words(p->say));
  json_object_set_new(at, "caution", json_words(p->caution));
  json_t* const keys = json_array();
  for (int i = 0; i < p->n_keys; ++i) {
    const ProveKey* const k = &p->keys[i];
    const char key[2] = {k->key, '\0'};
    json_t* const one = json_object();
    json_object_set_new(one, "key", json_words(key));
    json_object_set_new(one, "word", json_words(k->word));
    json_object_set_new(one, "say", json_words(k->say));
    json_object_set_new(one, "asks", json_words(asks[k->asks]));
    json_object_set_new(one, "fact", fact_json(&k->fact));
    json_array_append_new(keys, one);
  }
  json_object_set_new(at, "keys", keys);
  return at;
}

Status
prove_round(const Face* face, const OpenShow* show, const ProveAsk* ask, const Prove* prove,
            Round* round)
{
  Crew crew;
  char now[FACT_TIME_ROOM];
  Status st;
  fact_time_now(now);
  TRY(st, crew_now(face->arena, &show->plant, &show->fold, now, ask->desk, -1, &crew));
  const RoundAsk about = {ask->desk, face->args->nobody_answers, crew.people, crew.n_people};
  return round_plan(show->situation, prove, face->arena, &about, round);
}

static void
add_round(json_t* answer, const Plant* plant, const Round* round)
{
  json_t* const order = json_array();
  json_t* const unproven = json_array();
  for (int i = 0; i < round->n_stops; ++i) {
    const RoundStop* const stop = &round->stops[i];
    json_t* const one = json_object();
    json_object_set_new(one, "box", json_words(plant->boxes[stop->box].name));
    json_object_set_new(one, "way", json_words(pass_word(stop->way)));
    json_object_set_new(one, "who", json_words(round->who));
    json_object_set_new(one, "lines", json_integer(stop->n_lines));
    json_object_set_new(one, "finds", json_figure(stop->finds));
    json_object_set_new(one, "walk_s", json_figure(stop->walk_s));
    json_object_set_new(one, "seconds", json_figure(stop->seconds));
    json_object_set_new(one, "done_s", json_figure(stop->done_s));
    json_array_append_new(order, one);
  }
  for (int i = 0; i < round->n_unproven; ++i) {
    json_t* const one = json_object();
    json_object_set_new(one, "fault", json_words(round->unproven[i].fault));
    json_object_set_new(one, "prob", json_figure(round->unproven[i].prob));
    json_object_set_new(one, "say", json_words(round->unproven[i].say));
    json_array_append_new(unproven, one);
  }
  json_object_set_new(answer, "order", order);
  json_object_set_new(answer, "seconds", json_figure(round->seconds));
  json_object_set_new(answer, "finds", json_figure(round->finds));
  json_object_set_new(answer, "order_is_best", json_boolean(round->is_best));
  json_object_set_new(answer, "stays_unproven", unproven);
}

Status
prove_answer(const Face* face, const OpenShow* show, const ProveAsk* ask, const Prove* p,
             const Round* round)
{
  static const char* const states[] = {"choose", "ready", "go", "done"};
  const Plant* const plant = &show->plant;
  json_t* const answer = json_answer(show->act_word);
  json_object_set_new(answer, "list", json_words(show_mark(face, show)));
  json_object_set_new(answer, "state", json_words(states[p->state]));
  json_object_set_new(answer, "ways", ways_json(show->situation));
  json_object_set_new(answer, "way", json_words(p->has_way ? pass_word(p->way) : NULL));
  json_object_set_new(answer, "box",
                      json_words(ask->box >= 0 ? plant->boxes[ask->box].name : NULL));
  json_object_set_new(answer, "desk", json_words(plant->desks[p->desk].name));
  json_object_set_new(answer, "begin", fact_json(&p->begin));
  json_object_set_new(answer, "ready", ready_json(p->ready, p->n_ready));
  json_object_set_new(answer, "boxes", boxes_json(plant, p));
  json_object_set_new(answer, "lines", lines_json(show, p, ask->box));
  json_object_set_new(answer, "at", at_json(show, p));
  json_object_set_new(answer, "last",
                      p->last >= 0 ? json_integer(plant->lines[p->lines[p->last].line].number)
                                   : json_null());
  json_t* const gaps = json_array();
  for (int i = 0; i < p->n_gaps; ++i) {
    json_array_append_new(gaps, json_integer(plant->lines[p->lines[p->gaps[i]].line].number));
  }
  json_object_set_new(answer, "gaps", gaps);
  json_object_set_new(answer, "order_mistake", json_words(p->order));
  json_object_set_new(answer, "take_back", fact_json(&p->take_back));
  json_object_set_new(answer, "counts", counts_json(json_object(), p->n));
  json_object_set_new(answer, "pace_s", p->pace_s > 0.0 ? json_figure(p->pace_s) : json_null());
  json_object_set_new(answer, "left_s", json_figure(p->left_s));
  json_object_set_new(answer, "summary", json_words(p->summary));
  if (round) {
    add_round(answer, plant, round);
  }
  json_object_set_new(answer, "usual_practice", json_true());
  return json_answer_print(answer, face->args, face->screen->out, face->error);
}

Status
prove_hunt_answer(const Face* face, const OpenShow* show, int line, const ProveHunt* hunt)
{
  const Plant* const plant = &show->plant;
  json_t* const answer = json_answer(show->act_word);
  json_t* const sockets = json_array();
  for (int i = 0; i < hunt->n_spots; ++i) {
    char socket[40];
    json_t* const one = json_object();
    json_object_set_new(one, "line", json_integer(plant->lines[hunt->spots[i].line].number));
    json_object_set_new(one, "socket", json_words(line_socket(plant, hunt->spots[i].line, socket)));
    json_object_set_new(one, "found", fact_json(&hunt->spots[i].found));
    json_array_append_new(sockets, one);
  }
  json_object_set_new(answer, "list", json_words(show_mark(face, show)));
  json_object_set_new(answer, "hunt", json_integer(plant->lines[line].number));
  json_object_set_new(answer, "say", json_words(hunt->say));
  json_object_set_new(answer, "caution", json_words(hunt->caution));
  json_object_set_new(answer, "begin", fact_json(&hunt->begin));
  json_object_set_new(answer, "ready", ready_json(hunt->ready, hunt->n_ready));
  json_object_set_new(answer, "sockets", sockets);
  return json_answer_print(answer, face->args, face->screen->out, face->error);
}
