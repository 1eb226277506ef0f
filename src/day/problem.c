// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/problem.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

#define ROW_FLOOR_PROB 1e-7
#define NEW_LINE_S 240.0 // Run a new line across the stage: 4 to 7 minutes, usual practice

static uint32_t
home_people(const Problem* p)
{
  return p->at_desk[p->options->home_desk];
}

static void
add_people(Problem* p)
{
  const Plant* const plant = p->s->plant;
  int n = 0;
  int home[POLICY_MAX_PEOPLE];
  uint32_t busy = 0;
  for (int i = 0; i < p->options->n_people && n < POLICY_MAX_PEOPLE; ++i) {
    const NextPerson* const person = &p->options->people[i];
    p->roles[n] = person->role;
    home[n] = person->home;
    busy |= person->is_busy ? 1u << n : 0u;
    p->zones[n++] = person->place;
  }
  for (int i = 0; i < plant->n_people && p->options->n_people == 0; ++i) {
    for (int k = 0; k < plant->people[i].count && n < POLICY_MAX_PEOPLE; ++k) {
      p->roles[n] = plant->people[i].role;
      home[n] = plant->people[i].place;
      p->zones[n++] = plant->people[i].place;
    }
  }
  if (n == 0) {
    p->roles[n] = "whoever is at the desk";
    home[n] = plant->desks[p->options->home_desk].place;
    p->zones[n++] = plant->desks[p->options->home_desk].place;
    p->roles[n] = "whoever is on stage";
    home[n] = plant->boxes[plant->lines[p->line].box].place;
    p->zones[n++] = plant->boxes[plant->lines[p->line].box].place;
  }
  for (int i = 0; i < n; ++i) {
    bool desk = false;
    for (int d = 0; d < plant->n_desks; ++d) {
      if (home[i] == plant->desks[d].place) {
        p->at_desk[d] |= 1u << i;
        desk = true;
      }
    }
    // The system tech stands at the tower but belongs to the amplifiers: still at that desk's side.
    p->on_stage |= desk ? 0u : 1u << i;
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    p->at_desk[d] = p->at_desk[d] ? p->at_desk[d] : (1u << n) - 1u;
  }
  p->on_stage = p->on_stage ? p->on_stage : (1u << n) - 1u;
  p->policy.n_people = n;
  p->policy.person_zone = p->zones;
  p->policy.free_people = (n >= 32 ? 0xFFFFFFFFu : (1u << n) - 1u) & ~busy;
}

double
problem_ask_s(const Problem* p, uint32_t people)
{
  if (p->options->is_silent || (people & home_people(p))) {
    return 0.0;
  }
  return p->options->nobody_answers
           ? plant_time_s(p->s->plant, "find a person by voice", 30.0)
           : plant_time_s(p->s->plant, "ask over the intercom and be answered", 20.0);
}

static bool
seen_already(const Problem* p, Check check)
{
  for (int i = 0; i < p->s->n_seen; ++i) {
    const Seen* const seen = &p->s->seen[i];
    if (seen->line == p->line && seen->check.sort == check.sort && seen->check.desk == check.desk) {
      return true; // A second look shares the cause of a misreading with the first
    }
  }
  return false;
}

static bool
refused(const Problem* p, const char* word)
{
  char key[160];
  (void)snprintf(key, sizeof(key), "%d|%s", p->s->plant->lines[p->line].number, word);
  for (int i = 0; i < p->s->n_refused; ++i) {
    if (text_same(p->s->refused[i], key)) {
      return true;
    }
  }
  return false;
}

static Status
fill_outcomes(Problem* p, ProblemCheck* plan, PolicyCheck* check)
{
  double weight[64];
  int keys[64];
  int n = 0;
  for (int i = 0; i < p->n_rows; ++i) { // What could be read, by how likely it is
    const View* const view = p->sights[i].view;
    const View* const known = plan->check.sort == CHECK_HUNT ? p->sights[i].known : NULL;
    double prob[PREDICT_MAX_KEYS];
    int shown[PREDICT_MAX_KEYS];
    const int n_shown = predict_keys(p->s->plant, p->line, plan->check, view, known, shown);
    predict_probs(p->s->plant, p->line, plan->check, view, known, shown, n_shown, prob);
    for (int k = 0; k < n_shown; ++k) {
      int at = 0;
      while (at < n && keys[at] != shown[k]) {
        ++at;
      }
      if (at == n && n < 64) {
        keys[n] = shown[k];
        weight[n++] = 0.0;
      }
      if (at < n) {
        weight[at] += p->prob[i] * prob[k];
      }
    }
  }
  plan->n_keys = 0;
  while (plan->n_keys < POLICY_MAX_OUTCOMES - 1 && plan->n_keys < n) {
    int best = -1;
    for (int k = 0; k < n; ++k) {
      best = weight[k] >= 0.0 && (best < 0 || weight[k] > weight[best]) ? k : best;
    }
    if (best < 0) {
      break;
    }
    plan->keys[plan->n_keys++] = keys[best];
    weight[best] = -1.0;
  }
  check->n_outcomes = plan->n_keys + 1;
  double* const like =
    arena_array(p->arena, (size_t)check->n_outcomes * (size_t)p->n_rows, sizeof(double));
  if (!like) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < p->n_rows; ++i) {
    double prob[POLICY_MAX_OUTCOMES];
    double sum = 0.0;
    situation_probs(p->s, p->line, &p->sights[i], plan->check, plan->keys, plan->n_keys, prob);
    for (int k = 0; k < plan->n_keys; ++k) {
      like[k * p->n_rows + i] = prob[k];
      sum += prob[k];
    }
    if (sum > 1.0) { // Rounding, or more keys than readings a person has
      for (int k = 0; k < plan->n_keys; ++k) {
        like[k * p->n_rows + i] /= sum;
      }
      sum = 1.0;
    }
    like[plan->n_keys * p->n_rows + i] = 1.0 - sum;
  }
  check->like = like;
  return STATUS_OK;
}

static Status
add_check(Problem* p, CheckSort sort, int desk, double seconds)
{
  const Plant* const plant = p->s->plant;
  ProblemCheck* const plan = &p->plans[p->policy.n_checks];
  PolicyCheck* const check = &p->checks[p->policy.n_checks];
  plan->check = (Check){sort, desk};
  const Step step = {.does = STEP_CHECK, .check = plan->check, .desk = desk};
  const char* const word = step_word(p->arena, plant, &step);
  if (!word) {
    return STATUS_NO_MEMORY;
  }
  if (p->policy.n_checks == PROBLEM_MAX_CHECKS || seen_already(p, plan->check) ||
      refused(p, word) || !harm_allows(p->s, p->line, plan->check, plan->unplug, &plan->n_unplug)) {
    return STATUS_OK;
  }
  const bool at_desk = desk >= 0 && sort != CHECK_HUNT && sort != CHECK_CRACKLE;
  check->people = at_desk ? p->at_desk[desk] : p->on_stage;
  if (at_desk && desk != p->options->home_desk && p->options->nobody_answers) {
    return STATUS_OK;
  }
  check->zone = at_desk ? plant->desks[desk].place : plant->boxes[plant->lines[p->line].box].place;
  check->seconds = seconds + problem_ask_s(p, check->people) + 10.0 * plan->n_unplug;
  check->allowed = true;
  Status st = STATUS_OK;
  TRY(st, fill_outcomes(p, plan, check));
  ++p->policy.n_checks;
  return STATUS_OK;
}

static Status
add_checks(Problem* p)
{
  const Plant* const plant = p->s->plant;
  const Line* const line = &plant->lines[p->line];
  const int home = p->options->home_desk;
  const double look = plant_time_s(plant, "see which channel is silent", 5.0);
  const double settings = plant_time_s(plant, "look at one channel at a desk", 10.0);
  const double tester = plant_time_s(plant, "plug a tester in one end", 10.0) +
                        plant_time_s(plant, "read a tester", 3.0) +
                        plant_time_s(plant, "phantom on and settled", 2.0);
  const double meter = plant_time_s(plant, "measure volts or ohms", 15.0);
  const bool has_kit = plant->n_kit > 0;
  const bool is_digital = plant_is_digital(plant, p->line);
  const bool used = plant_input(plant, p->s->act, p->line) != NULL;
  Status st = STATUS_OK;
  for (int d = 0; d < plant->n_desks; ++d) {
    if (line->desk_input[d]) {
      TRY(st, add_check(p, CHECK_LEVEL, d, look));
      TRY(st, add_check(p, CHECK_SEEN, d, look));
      TRY(st, add_check(p, CHECK_LOOK, d, settings));
    }
  }
  bool silent = false;
  for (int i = 0; i < p->s->n_seen; ++i) {
    const Seen* const seen = &p->s->seen[i];
    silent = seen->line == p->line && seen->check.sort == CHECK_LEVEL && seen->check.desk == home
               ? seen->key == LEVEL_NOTHING
               : silent;
  }
  if (line->desk_input[home] && !silent) { // Nobody can say how silence sounds
    TRY(st, add_check(p, CHECK_TONE, home, look));
    TRY(st, add_check(p, CHECK_HUM, home, look));
    TRY(st, add_check(p, CHECK_CRACKLE, home, settings));
    TRY(st, add_check(p, CHECK_POLARITY, home, settings));
  }
  if (is_digital) {
    TRY(st, add_check(p, CHECK_BOX, -1, plant_time_s(plant, "look at the lamps of a box", 8.0)));
  }
  if (used) {
    TRY(st, add_check(p, CHECK_LOOK, -1, plant_time_s(plant, "look at a socket", 8.0)));
  }
  if (has_kit && plant_kit(plant, "hand meter")) {
    TRY(st, add_check(p, CHECK_VOLTS, -1, meter));
    TRY(st, add_check(p, CHECK_OHMS, -1, meter));
  }
  if (has_kit && plant_kit(plant, "lamp tester")) {
    TRY(st, add_check(p, CHECK_LAMPS, -1, tester));
    if (used) {
      TRY(st, add_check(p, CHECK_FLEX, -1, 60.0 + tester));
    }
    if (used && plant_kit(plant, "sender") && predict_can_send(plant)) {
      TRY(st, add_check(p, CHECK_SENT, -1,
                        plant_time_s(plant, "plug a tester in both ends", 30.0) +
                          plant_time_s(plant, "read a tester", 3.0)));
    }
  }
  if (has_kit && plant_kit(plant, "known-good")) {
    TRY(st, add_check(p, CHECK_HUNT, home, plant_time_s(plant, "move a plug at a box", 30.0)));
  }
  return STATUS_OK;
}

bool
problem_is_of_box(RepairSort sort)
{
  return sort == REPAIR_LEAD || sort == REPAIR_POWER || sort == REPAIR_CLOCK ||
         sort == REPAIR_OWNER;
}

static Status
add_repair(Problem* p, RepairSort sort, int desk, int zone, uint32_t people, double seconds)
{
  const Step step = {.does = STEP_REPAIR, .repair = sort, .desk = desk};
  const char* const word = step_word(p->arena, p->s->plant, &step);
  if (!word) {
    return STATUS_NO_MEMORY;
  }
  int n_tried = 0;
  for (int i = 0; i < p->s->n_seen; ++i) {
    const Seen* const seen = &p->s->seen[i];
    RepairSort was = REPAIR_NONE;
    if (seen->line == p->line && seen->check.sort == CHECK_SWAP && repair_of(seen->item, &was)) {
      n_tried += was == sort && (seen->check.desk == desk || desk < 0);
    }
  }
  // The spare may have been bad, or a hand slipped: once more, but not for ever.
  if (n_tried > 1 || refused(p, word) || p->policy.n_repairs == PROBLEM_MAX_REPAIRS) {
    return STATUS_OK;
  }
  if (desk >= 0 && desk != p->options->home_desk && p->options->nobody_answers) {
    return STATUS_OK;
  }
  double* const fixes = arena_array(p->arena, (size_t)p->n_rows, sizeof(double));
  if (!fixes) {
    return STATUS_NO_MEMORY;
  }
  double any = 0.0;
  for (int i = 0; i < p->n_rows; ++i) {
    const Suspect* const row = &p->rows[i];
    const bool none = !row->state && row->fault.mode == FAULT_NONE;
    fixes[i] = !none && repair_fixes(sort, desk, row->state, &row->fault) ? REPAIR_HELPS_PROB : 0.0;
    any += fixes[i];
  }
  if (any <= 0.0) {
    return STATUS_OK;
  }
  ProblemRepair* const plan = &p->repair_plans[p->policy.n_repairs];
  *plan = (ProblemRepair){.sort = sort, .desk = desk};
  plan->gives_phantom =
    sort == REPAIR_DESK &&
    harm_takes_phantom(p->s, p->line, desk, p->rows, p->n_rows, plan->unplug, &plan->n_unplug);
  if (sort == REPAIR_POWER || sort == REPAIR_OWNER) {
    plan->unplug_all = !harm_in_box(p->s, p->line, plan->unplug, &plan->n_unplug);
  }
  p->repairs[p->policy.n_repairs++] = (PolicyRepair){
    zone, seconds + problem_ask_s(p, people) + 10.0 * plan->n_unplug, people, fixes, true};
  return STATUS_OK;
}

static double
source_swap_s(const Plant* plant, const Kind* kind)
{
  if (kind && !kind->is_microphone) {
    return plant_time_s(plant, "swap a DI", 40.0);
  }
  if (kind && strstr(kind->name, "vocal")) {
    return plant_time_s(plant, "swap a vocal microphone", 15.0);
  }
  return plant_time_s(plant, "swap a clip or drum microphone", 30.0);
}

// What can be done to a digital box as a whole.
static Status
add_box_repairs(Problem* p)
{
  const Plant* const plant = p->s->plant;
  const Box* const box = &plant->boxes[plant->lines[p->line].box];
  const int desk = box->owner;
  const int at_desk = plant->desks[desk].place;
  Status st = STATUS_OK;
  TRY(st, add_repair(p, REPAIR_LEAD, -1, box->place, p->on_stage,
                     plant_time_s(plant, "lock or swap a network lead", 40.0)));
  TRY(st, add_repair(p, REPAIR_POWER, -1, box->place, p->on_stage,
                     plant_time_s(plant, "give a box power and let it start", 60.0)));
  TRY(st, add_repair(p, REPAIR_CLOCK, desk, at_desk, p->at_desk[desk],
                     plant_time_s(plant, "set the clock of a box", 30.0)));
  return add_repair(p, REPAIR_OWNER, desk, at_desk, p->at_desk[desk],
                    plant_time_s(plant, "take over the gain of a box", 20.0));
}

static Status
add_repairs(Problem* p)
{
  const Plant* const plant = p->s->plant;
  const Line* const line = &plant->lines[p->line];
  const Input* const input = plant_input(plant, p->s->act, p->line);
  const Kind* const kind = input ? &plant->kinds[input->kind] : NULL;
  const int box = plant->boxes[line->box].place;
  const bool is_digital = plant_is_digital(plant, p->line);
  const int split = plant_place(plant, "split") >= 0 ? plant_place(plant, "split") : box;
  const double plug = plant_time_s(plant, "move a plug at a box", 30.0);
  const double patch = plant_time_s(plant, "soft patch one input at one desk", 15.0);
  Status st = STATUS_OK;
  if (input) {
    const double look = plant_time_s(plant, "look at a source's switches", 10.0);
    TRY(st, add_repair(p, REPAIR_SWITCH, -1, box, p->on_stage, look));
    TRY(st, add_repair(p, REPAIR_LIFT, -1, box, p->on_stage, look));
    TRY(st, add_repair(p, REPAIR_INLINE, -1, box, p->on_stage,
                       plant_time_s(plant, "look at or swap an in-line thing", 20.0)));
    TRY(st, add_repair(p, REPAIR_SOURCE, -1, box, p->on_stage, source_swap_s(plant, kind)));
    if (plant->n_kit == 0 || plant_kit(plant, "spare microphone cable") > 0 ||
        plant_kit(plant, "spare cable") > 0) { // No list of the kit: a spare cable is assumed
      TRY(st, add_repair(p, REPAIR_CABLE, -1, box, p->on_stage,
                         plant_time_s(plant, "swap a cable", 30.0)));
    }
    TRY(st, add_repair(p, REPAIR_PLUG, -1, box, p->on_stage, plug));
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    if (line->desk_input[d]) {
      TRY(st, add_repair(p, REPAIR_DESK, d, plant->desks[d].place, p->at_desk[d],
                         plant_time_s(plant, "look at one channel at a desk", 10.0)));
      if (is_digital) { // Behind the preamplifier no input of a desk stands alone
        continue;
      }
      TRY(st, add_repair(p, REPAIR_INPUT, d, plant->desks[d].place, p->at_desk[d], patch));
      if (!plant->desks[d].is_direct) {
        TRY(st, add_repair(p, REPAIR_SIDE, d, plant->desks[d].place, p->at_desk[d], 2.0 * patch));
      }
    }
  }
  if (is_digital) {
    TRY(st, add_box_repairs(p));
  } else {
    TRY(st, add_repair(p, REPAIR_TAIL, -1, split, p->on_stage,
                       plant_time_s(plant, "unlock, look at and lock a multipin", 45.0)));
  }
  for (int i = 0; i < p->n_ways; ++i) {
    if (p->ways[i].sort == WAY_SOCKET && plant->lines[p->ways[i].uses_line].box == line->box) {
      TRY(st, add_repair(p, REPAIR_SOCKET, -1, box, p->on_stage, plug + patch));
      break;
    }
  }
  return STATUS_OK;
}

static Status
begin(Problem* p)
{
  const Plant* const plant = p->s->plant;
  const Suspect* all = NULL;
  int n = 0;
  Status st = STATUS_OK;
  TRY(st, situation_suspects(p->s, p->arena, p->line, &all, &n));
  while (p->n_rows < n && all[p->n_rows].prob > ROW_FLOOR_PROB) {
    ++p->n_rows;
  }
  p->rows = all;
  p->prob = arena_array(p->arena, (size_t)p->n_rows, sizeof(double));
  p->sights = arena_array(p->arena, (size_t)p->n_rows, sizeof(Sight));
  if (!p->prob || !p->sights) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < p->n_rows; ++i) {
    TRY(st, situation_sight(p->s, p->line, all[i].row, true, &p->sights[i]));
  }
  double sum = 0.0;
  for (int i = 0; i < p->n_rows; ++i) {
    sum += all[i].prob;
  }
  for (int i = 0; i < p->n_rows; ++i) {
    p->prob[i] = all[i].prob / sum;
  }
  TRY(st, around_ways(p->s, p->arena, p->line, &p->ways, &p->n_ways));
  add_people(p);
  p->policy.n_hyps = p->n_rows;
  p->policy.prob = p->prob;
  p->policy.n_zones = plant->n_places;
  p->policy.walk_s = plant->walk_s;
  p->policy.verify_s = plant_time_s(plant, "see which channel is silent", 5.0);
  p->policy.deadline_s = p->options->deadline_s;
  TRY(st, add_checks(p));
  TRY(st, add_repairs(p));
  p->policy.checks = p->checks;
  p->policy.repairs = p->repairs;
  // What ends every search is a whole new line from source to desk; the ways round proper are shown
  // beside the search and never counted as finding the cause, unless asked for.
  p->policy.service =
    (PolicyService){plant->boxes[plant->lines[p->line].box].place, NEW_LINE_S, p->on_stage, true};
  if (p->options->goes_round && p->n_ways > 0 && p->ways[0].seconds < NEW_LINE_S) {
    p->policy.service.seconds = p->ways[0].seconds;
  }
  return STATUS_OK;
}

Status
problem_new(const Situation* s, Arena* arena, int line, const NextOptions* options,
            Problem** problem)
{
  Problem* const p = arena_array(arena, 1, sizeof(Problem));
  if (!p) {
    return STATUS_NO_MEMORY;
  }
  *p = (Problem){.s = s, .arena = arena, .options = options, .line = line};
  Status st = STATUS_OK;
  TRY(st, begin(p));
  *problem = p;
  return STATUS_OK;
}
