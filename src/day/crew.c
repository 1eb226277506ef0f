// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/crew.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

/*
  One pass over the facts in force, in the order of the log. `task_of` says for each person which
  entry of `tasks` they have in hand; an entry that is over stays in the list, marked by person -1,
  and is left out at the end.
*/

typedef struct {
  const Plant* plant;
  Crew* crew;
  CrewTask* tasks;
  double* taken_s; ///< [n_tasks]
  int task_of[POLICY_MAX_PEOPLE];
} Watch;

// Days from 1970-01-01 to a date of the proleptic Gregorian calendar: years begin in March, so that
// the leap day is their last.
static long
days_to(int year, int month, int day)
{
  const int y = month > 2 ? year : year - 1;
  const int era = y / 400;
  const int of_era = y - era * 400;
  const int of_year = (153 * (month > 2 ? month - 3 : month + 9) + 2) / 5 + day - 1;
  return (long)era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719468;
}

bool
crew_time_s(const char* time, double* seconds)
{
  int year = 0;
  int month = 0;
  int day = 0;
  int hour = 0;
  int minute = 0;
  int second = 0;
  if (!time ||
      sscanf(time, "%4d-%2d-%2dT%2d:%2d:%2d", &year, &month, &day, &hour, &minute, &second) != 6) {
    return false;
  }
  if (year < 1970 || month < 1 || month > 12 || day < 1 || day > 31) {
    return false;
  }
  *seconds =
    (double)days_to(year, month, day) * 86400.0 + hour * 3600.0 + minute * 60.0 + (double)second;
  return true;
}

// The step of a word. False when it names none.
static bool
step_of(const Plant* plant, const char* word, Step* step)
{
  char what[80];
  (void)snprintf(what, sizeof(what), "%s", word);
  Step out = {.desk = -1, .ear_desk = -1, .check = {CHECK_LEVEL, -1}};
  char* const at = strstr(what, " at ");
  if (at) {
    out.desk = plant_desk(plant, at + 4);
    *at = '\0';
  }
  out.check.desk = out.desk;
  if (text_begins(what, "swap ")) {
    out.does = STEP_REPAIR;
    if (!repair_of(what + 5, &out.repair)) {
      return false;
    }
  } else if (!predict_check_of(what, &out.check.sort)) {
    return false;
  }
  step_touch(&out);
  *step = out;
  return true;
}

// Place of a word on the wire: a place of the list, a desk, a socket or a tail.
static int
place_of(const Plant* plant, const char* word)
{
  int line = -1;
  int desk = -1;
  const int place = word && word[0] ? plant_place(plant, word) : -1;
  if (place >= 0 || !word || !word[0]) {
    return place;
  }
  if (text_begins(word, "tail")) {
    return plant_place(plant, "split");
  }
  if (!situation_place(plant, word, &line, &desk)) {
    return -1;
  }
  return desk >= 0   ? plant->desks[desk].place
         : line >= 0 ? plant->boxes[plant->lines[line].box].place
                     : -1;
}

// Where a fact was told or read.
static int
fact_place(const Plant* plant, const FoldFact* f)
{
  const FactBody* const b = &f->body;
  const int told = place_of(plant, f->fact.place);
  const char* const at = b->desk && b->desk[0] ? b->desk : b->at;
  const int line = plant_line(plant, b->line);
  if (told < 0 && line >= 0 && at && text_same(at, "socket")) {
    return plant->boxes[plant->lines[line].box].place;
  }
  return told >= 0 ? told : place_of(plant, at);
}

static void
end_task(Watch* w, int person)
{
  if (w->task_of[person] >= 0) {
    w->tasks[w->task_of[person]].person = -1;
    w->task_of[person] = -1;
    w->crew->people[person].is_busy = false;
  }
}

static void
take_step(Watch* w, const FoldFact* f)
{
  Step step;
  const Plant* const plant = w->plant;
  const int line = plant_line(plant, f->body.line);
  int who = -1;
  for (int i = 0; i < w->crew->n_people; ++i) {
    if (text_same(w->crew->people[i].role, f->fact.role) &&
        (who < 0 || (w->task_of[who] >= 0 && w->task_of[i] < 0))) {
      who = i;
    }
  }
  if (who < 0 || line < 0 || !f->body.step || !step_of(plant, f->body.step, &step)) {
    return;
  }
  end_task(w, who); // They went on to another one
  const int place = fact_place(plant, f);
  NextPerson* const person = &w->crew->people[who];
  person->place = place >= 0 ? place : person->place;
  person->is_busy = true;
  step.line = line;
  step.person = who;
  step.place = person->place;
  const double own_s = f->body.seconds > 0 ? f->body.seconds : CREW_STEP_S;
  double taken_s = 0.0;
  w->task_of[who] = w->crew->n_tasks;
  w->taken_s[w->crew->n_tasks] = crew_time_s(f->fact.time, &taken_s) ? taken_s : -1.0;
  w->tasks[w->crew->n_tasks++] = (CrewTask){.person = who, .step = step, .own_s = own_s};
}

// Whether a reading is the answer to a step.
static bool
answers(const Plant* plant, const Step* step, const FoldFact* f)
{
  const FactBody* const b = &f->body;
  if (plant_line(plant, b->line) != step->line) {
    return false;
  }
  if (f->fact.kind != FACT_READING || !b->check) {
    return f->fact.kind == FACT_MOVED; // It runs on a way round: whatever they were at is over
  }
  if (text_begins(b->check, "swap")) {
    RepairSort repair = REPAIR_NONE;
    const char* const item = strchr(b->check, ' ');
    (void)repair_of(item ? item + 1 : "cable", &repair);
    const bool is_it = step->does == STEP_REPAIR && repair == step->repair;
    return is_it || (b->reading && text_same(b->reading, "better")); // Sound: all is over
  }
  CheckSort sort = CHECK_LEVEL;
  const char* const at = b->desk && b->desk[0] ? b->desk : b->at;
  int line = step->line;
  int desk = -1;
  (void)(at && situation_place(plant, at, &line, &desk));
  return step->does == STEP_CHECK && predict_check_of(b->check, &sort) &&
         sort == step->check.sort && (step->check.desk < 0 || desk < 0 || desk == step->check.desk);
}

// Something was told: whoever told it is where they say, and their step is over; so is any step it
// answers.
static void
hear(Watch* w, const FoldFact* f)
{
  int teller = -1;
  const int line = plant_line(w->plant, f->body.line);
  for (int i = 0; i < w->crew->n_people; ++i) {
    if (!f->fact.role || !f->fact.role[0] || !text_same(w->crew->people[i].role, f->fact.role)) {
      continue;
    }
    // Of several of one role: the one at this line, else one with empty hands.
    const int rank = w->task_of[i] < 0 ? 1 : w->tasks[w->task_of[i]].step.line == line ? 0 : 2;
    const int best = teller < 0                                       ? 3
                     : w->task_of[teller] < 0                         ? 1
                     : w->tasks[w->task_of[teller]].step.line == line ? 0
                                                                      : 2;
    teller = rank < best ? i : teller;
  }
  if (teller >= 0) {
    const int place = fact_place(w->plant, f);
    w->crew->people[teller].place = place >= 0 ? place : w->crew->people[teller].place;
    end_task(w, teller);
  }
  for (int i = 0; i < w->crew->n_people; ++i) {
    if (w->task_of[i] >= 0 && answers(w->plant, &w->tasks[w->task_of[i]].step, f)) {
      end_task(w, i);
    }
  }
}

static Status
list_people(Arena* arena, const Plant* plant, int home_desk, int line, Crew* crew)
{
  int n = 0;
  for (int i = 0; i < plant->n_people; ++i) {
    n += plant->people[i].count;
  }
  n = n > POLICY_MAX_PEOPLE ? POLICY_MAX_PEOPLE : n < 2 ? 2 : n;
  crew->people = arena_array(arena, (size_t)n, sizeof(NextPerson));
  if (!crew->people) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < plant->n_people; ++i) {
    for (int k = 0; k < plant->people[i].count && crew->n_people < POLICY_MAX_PEOPLE; ++k) {
      const int place = plant->people[i].place;
      crew->people[crew->n_people++] = (NextPerson){plant->people[i].role, place, place, false};
    }
  }
  if (crew->n_people == 0 && plant->n_desks > 0 && plant->n_boxes > 0) {
    const int desk = plant->desks[home_desk].place;
    const int box = plant->boxes[line >= 0 ? plant->lines[line].box : 0].place;
    crew->people[0] = (NextPerson){"whoever is at the desk", desk, desk, false};
    crew->people[1] = (NextPerson){"whoever is on stage", box, box, false};
    crew->n_people = 2;
  }
  return STATUS_OK;
}

Status
crew_now(Arena* arena, const Plant* plant, const Fold* fold, const char* now, int home_desk,
         int line, Crew* crew)
{
  static const Fold nothing;
  const FoldSet all = fold ? fold->all : nothing.all;
  Crew out = {0};
  Watch w = {.plant = plant, .crew = &out};
  Status st = STATUS_OK;
  TRY(st, list_people(arena, plant, home_desk, line, &out));
  size_t n_taken = 0;
  for (size_t i = 0; i < all.n_facts; ++i) {
    n_taken += all.facts[i]->fact.kind == FACT_STEP_TAKEN;
  }
  w.tasks = arena_array(arena, n_taken, sizeof(CrewTask));
  w.taken_s = arena_array(arena, n_taken, sizeof(double));
  if (!w.tasks || !w.taken_s) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < POLICY_MAX_PEOPLE; ++i) {
    w.task_of[i] = -1;
  }
  for (size_t i = 0; i < all.n_facts; ++i) {
    const FoldFact* const f = all.facts[i];
    if (f->in_force && f->fact.kind == FACT_STEP_TAKEN) {
      take_step(&w, f);
    } else if (f->in_force &&
               (f->fact.kind == FACT_READING || f->fact.kind == FACT_MOVED ||
                f->fact.kind == FACT_STEP_REFUSED || f->fact.kind == FACT_STEP_DONE)) {
      hear(&w, f);
    }
  }
  double now_s = 0.0;
  const bool has_clock = crew_time_s(now, &now_s);
  const double wait_ratio = plant_time_s(plant, CREW_WAIT, CREW_WAIT_RATIO);
  int n = 0;
  for (int i = 0; i < out.n_tasks; ++i) {
    CrewTask task = w.tasks[i];
    const bool is_timed = has_clock && w.taken_s[i] >= 0.0 && now_s > w.taken_s[i];
    if (task.person >= 0) {
      task.age_s = is_timed ? now_s - w.taken_s[i] : 0.0;
      task.is_late = task.age_s > wait_ratio * task.own_s;
      w.tasks[n++] = task;
    }
  }
  out.n_tasks = n;
  out.tasks = w.tasks;
  *crew = out;
  return STATUS_OK;
}
