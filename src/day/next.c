// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/next.h"

#include "base/text.h"
#include "day/words.h"
#include "reason/ahead.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MAX_CHECKS = 40, MAX_REPAIRS = 24, MAX_STEPS = 8 };

#define ROW_FLOOR_PROB 1e-7
#define HARM_PROB 1e-3   // A plug this likely to sit in the socket is pulled before phantom goes on
#define NEW_LINE_S 240.0 // Run a new line across the stage: 4 to 7 minutes, usual practice

typedef struct {
  Check check;
  int keys[POLICY_MAX_OUTCOMES]; ///< The last outcome is "anything else"
  int n_keys;
  int unplug[8];
  int n_unplug;
} CheckPlan;

typedef struct {
  RepairSort sort;
  int desk;
  bool gives_phantom;
  bool unplug_all; ///< More must be unplugged than a step can name
  int unplug[8];
  int n_unplug;
} RepairPlan;

typedef struct {
  const Situation* s;
  Arena* arena;
  const NextOptions* options;
  int line;
  const Suspect* rows; ///< Those that count, most likely first
  int n_rows;
  double* prob;
  CheckPlan plans[MAX_CHECKS];
  PolicyCheck checks[MAX_CHECKS];
  RepairPlan repair_plans[MAX_REPAIRS];
  PolicyRepair repairs[MAX_REPAIRS];
  PolicyProblem problem;
  const char* roles[POLICY_MAX_PEOPLE];
  int zones[POLICY_MAX_PEOPLE];
  uint32_t at_desk[PLANT_DESKS], on_stage;
  const AroundWay* ways;
  int n_ways;
  bool is_plain; ///< Say nothing of what is likely
} Work;

// What must never get phantom or a tester's current: "ask" is as good as no.
static bool
is_harmful(const Situation* s, int line)
{
  const Input* const input = plant_input(s->plant, s->act, line);
  return plant_is_harmful(s->plant, input);
}

// A ribbon on the line, be it at the other end of a Y-lead.
static bool
has_ribbon(const Situation* s, int line)
{
  const Plant* const plant = s->plant;
  const Input* const input = plant_input(plant, s->act, line);
  const int other = input && input->y_line ? plant_line(plant, input->y_line) : -1;
  const Input* const same = other >= 0 ? plant_input(plant, s->act, other) : NULL;
  return input && (plant->kinds[input->kind].is_ribbon ||
                   (input->y_kind && plant->kinds[input->y_kind - 1].is_ribbon) ||
                   (same && plant->kinds[same->kind].is_ribbon));
}

// Whether a source that can be hurt goes through the same stage patch panel: patched one hole off
// it sits in this line's socket, whatever box it is meant for.
static bool
panel_harmful(const Situation* s, int line)
{
  const Plant* const plant = s->plant;
  const Input* const own = plant_input(plant, s->act, line);
  for (int i = 0; own && i < own->n_through; ++i) {
    for (int l = 0; plant->inlines[own->through[i]].sort == INLINE_PANEL && l < plant->n_lines;
         ++l) {
      const Input* const input = l == line ? NULL : plant_input(plant, s->act, l);
      for (int k = 0; input && k < input->n_through; ++k) {
        if (input->through[k] == own->through[i] && is_harmful(s, l)) {
          return true;
        }
      }
    }
  }
  return false;
}

// Where the plug of a line's source is now: a way round over a spare line takes the plug along, one
// over a line that is live already leaves it where it was.
static int
plug_at(const Situation* s, int line)
{
  const int to = s->moved_to[line];
  return to >= 0 && !plant_input(s->plant, s->act, to) ? to : line;
}

// Harmful sources whose plug could be what really sits in a line's socket: those of its box. False
// when they are more than a step can name.
static bool
list_harmful(const Situation* s, int line, int unplug[8], int* n)
{
  const Plant* const plant = s->plant;
  for (int l = 0; l < plant->n_lines; ++l) {
    if (l != line && is_harmful(s, l) &&
        plant->lines[plug_at(s, l)].box == plant->lines[line].box) {
      if (*n == 8) {
        return false;
      }
      unplug[(*n)++] = l;
    }
  }
  return true;
}

bool
next_allowed(const Situation* s, int line, StepDoes does, Check check, RepairSort repair,
             int unplug[8], int* n_unplug)
{
  (void)repair; // What is said of phantom at a desk: see `phantom_unplug`
  *n_unplug = 0;
  if (does != STEP_CHECK) {
    return true;
  }
  switch (check.sort) {
    case CHECK_VOLTS: // Phantom through the source while it is plugged
      return !is_harmful(s, line) && !panel_harmful(s, line) &&
             list_harmful(s, line, unplug, n_unplug);
    case CHECK_LAMPS:
      // The tester takes the source's place, so its own plug is out; but the plug out of its
      // socket may hang anywhere, and a plug in the wrong socket would get the phantom instead.
      if (is_harmful(s, line)) {
        unplug[(*n_unplug)++] = line;
      }
      return list_harmful(s, line, unplug, n_unplug);
    case CHECK_OHMS: { // A meter's current through whatever the plug in the socket belongs to
      int any[8];
      int n = 0;
      const Input* const input = plant_input(s->plant, s->act, line);
      const bool fed = input && input->y_line; // Phantom of the other line may stand on it
      return !fed && !is_harmful(s, line) && !panel_harmful(s, line) &&
             list_harmful(s, line, any, &n) && n == 0;
    }
    default:
      return true;
  }
}

static uint32_t
home_people(const Work* w)
{
  return w->at_desk[w->options->home_desk];
}

static void
add_people(Work* w)
{
  const Plant* const plant = w->s->plant;
  int n = 0;
  int home[POLICY_MAX_PEOPLE];
  uint32_t busy = 0;
  for (int i = 0; i < w->options->n_people && n < POLICY_MAX_PEOPLE; ++i) {
    const NextPerson* const person = &w->options->people[i];
    w->roles[n] = person->role;
    home[n] = person->home;
    busy |= person->is_busy ? 1u << n : 0u;
    w->zones[n++] = person->place;
  }
  for (int i = 0; i < plant->n_people && w->options->n_people == 0; ++i) {
    for (int k = 0; k < plant->people[i].count && n < POLICY_MAX_PEOPLE; ++k) {
      w->roles[n] = plant->people[i].role;
      home[n] = plant->people[i].place;
      w->zones[n++] = plant->people[i].place;
    }
  }
  if (n == 0) {
    w->roles[n] = "whoever is at the desk";
    home[n] = plant->desks[w->options->home_desk].place;
    w->zones[n++] = plant->desks[w->options->home_desk].place;
    w->roles[n] = "whoever is on stage";
    home[n] = plant->boxes[plant->lines[w->line].box].place;
    w->zones[n++] = plant->boxes[plant->lines[w->line].box].place;
  }
  for (int i = 0; i < n; ++i) {
    bool desk = false;
    for (int d = 0; d < plant->n_desks; ++d) {
      if (home[i] == plant->desks[d].place) {
        w->at_desk[d] |= 1u << i;
        desk = true;
      }
    }
    // The system tech stands at the tower but belongs to the amplifiers: still at that desk's side.
    w->on_stage |= desk ? 0u : 1u << i;
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    w->at_desk[d] = w->at_desk[d] ? w->at_desk[d] : (1u << n) - 1u;
  }
  w->on_stage = w->on_stage ? w->on_stage : (1u << n) - 1u;
  w->problem.n_people = n;
  w->problem.person_zone = w->zones;
  w->problem.free_people = (n >= 32 ? 0xFFFFFFFFu : (1u << n) - 1u) & ~busy;
}

// Telling somebody else what to do costs the intercom; nobody there means finding them by voice.
static double
ask_s(const Work* w, uint32_t people)
{
  if (w->options->is_silent || (people & home_people(w))) {
    return 0.0;
  }
  return w->options->nobody_answers
           ? plant_time_s(w->s->plant, "find a person by voice", 30.0)
           : plant_time_s(w->s->plant, "ask over the intercom and be answered", 20.0);
}

static bool
seen_already(const Work* w, Check check)
{
  for (int i = 0; i < w->s->n_seen; ++i) {
    const Seen* const seen = &w->s->seen[i];
    if (seen->line == w->line && seen->check.sort == check.sort && seen->check.desk == check.desk) {
      return true; // A second look shares the cause of a misreading with the first
    }
  }
  return false;
}

static bool
refused(const Work* w, const char* step)
{
  char key[160];
  (void)snprintf(key, sizeof(key), "%d|%s", w->s->plant->lines[w->line].number, step);
  for (int i = 0; i < w->s->n_refused; ++i) {
    if (text_same(w->s->refused[i], key)) {
      return true;
    }
  }
  return false;
}

static void
check_step_word(const Work* w, Check check, char word[64])
{
  (void)snprintf(word, 64, "%s at %s", predict_check_word(check.sort),
                 check.desk >= 0 ? w->s->plant->desks[check.desk].name : "socket");
}

static void
repair_step_word(const Work* w, RepairSort sort, int desk, char word[64])
{
  (void)snprintf(word, 64, "swap %s%s%s", repair_word(sort), desk >= 0 ? " at " : "",
                 desk >= 0 ? w->s->plant->desks[desk].name : "");
}

static Status
fill_outcomes(Work* w, CheckPlan* plan, PolicyCheck* check)
{
  double weight[64];
  int keys[64];
  int n = 0;
  Status st = STATUS_OK;
  for (int i = 0; i < w->n_rows; ++i) { // What could be read, by how likely it is
    const Condition c = situation_condition(w->s, w->line, w->rows[i].row);
    const View* view = NULL;
    const View* known = NULL;
    TRY(st, predictor_view(w->s->predictor, &c, &view));
    if (plan->check.sort == CHECK_HUNT && !view->is_anything) {
      const Condition good = {w->line, PREDICT_KNOWN_GOOD, w->line, c.fault};
      TRY(st, predictor_view(w->s->predictor, &good, &known));
    }
    int shown[PREDICT_MAX_KEYS];
    const int n_shown = predict_keys(w->s->plant, w->line, plan->check, view, known, shown);
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
        weight[at] +=
          w->prob[i] * predict_prob(w->s->plant, w->line, plan->check, view, known, shown[k]);
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
    arena_array(w->arena, (size_t)check->n_outcomes * (size_t)w->n_rows, sizeof(double));
  if (!like) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < w->n_rows; ++i) {
    double sum = 0.0;
    for (int k = 0; k < plan->n_keys; ++k) {
      double p = 0.0;
      TRY(st, situation_prob(w->s, w->line, w->rows[i].row, plan->check, plan->keys[k], &p));
      like[k * w->n_rows + i] = p;
      sum += p;
    }
    if (sum > 1.0) { // Rounding, or more keys than readings a person has
      for (int k = 0; k < plan->n_keys; ++k) {
        like[k * w->n_rows + i] /= sum;
      }
      sum = 1.0;
    }
    like[plan->n_keys * w->n_rows + i] = 1.0 - sum;
  }
  check->like = like;
  return STATUS_OK;
}

static Status
add_check(Work* w, CheckSort sort, int desk, double seconds)
{
  const Plant* const plant = w->s->plant;
  CheckPlan* const plan = &w->plans[w->problem.n_checks];
  PolicyCheck* const check = &w->checks[w->problem.n_checks];
  plan->check = (Check){sort, desk};
  char word[64];
  check_step_word(w, plan->check, word);
  if (w->problem.n_checks == MAX_CHECKS || seen_already(w, plan->check) || refused(w, word) ||
      !next_allowed(w->s, w->line, STEP_CHECK, plan->check, REPAIR_NONE, plan->unplug,
                    &plan->n_unplug)) {
    return STATUS_OK;
  }
  const bool at_desk = desk >= 0 && sort != CHECK_HUNT && sort != CHECK_CRACKLE;
  check->people = at_desk ? w->at_desk[desk] : w->on_stage;
  if (at_desk && desk != w->options->home_desk && w->options->nobody_answers) {
    return STATUS_OK;
  }
  check->zone = at_desk ? plant->desks[desk].place : plant->boxes[plant->lines[w->line].box].place;
  check->seconds = seconds + ask_s(w, check->people) + 10.0 * plan->n_unplug;
  check->allowed = true;
  Status st = STATUS_OK;
  TRY(st, fill_outcomes(w, plan, check));
  ++w->problem.n_checks;
  return STATUS_OK;
}

static Status
add_checks(Work* w)
{
  const Plant* const plant = w->s->plant;
  const Line* const line = &plant->lines[w->line];
  const int home = w->options->home_desk;
  const double look = plant_time_s(plant, "see which channel is silent", 5.0);
  const double settings = plant_time_s(plant, "look at one channel at a desk", 10.0);
  const double tester = plant_time_s(plant, "plug a tester in one end", 10.0) +
                        plant_time_s(plant, "read a tester", 3.0) +
                        plant_time_s(plant, "phantom on and settled", 2.0);
  const double meter = plant_time_s(plant, "measure volts or ohms", 15.0);
  const bool has_kit = plant->n_kit > 0;
  const bool is_digital = plant_is_digital(plant, w->line);
  const bool used = plant_input(plant, w->s->act, w->line) != NULL;
  Status st = STATUS_OK;
  for (int d = 0; d < plant->n_desks; ++d) {
    if (line->desk_input[d]) {
      TRY(st, add_check(w, CHECK_LEVEL, d, look));
      TRY(st, add_check(w, CHECK_SEEN, d, look));
      TRY(st, add_check(w, CHECK_LOOK, d, settings));
    }
  }
  bool silent = false;
  for (int i = 0; i < w->s->n_seen; ++i) {
    const Seen* const seen = &w->s->seen[i];
    silent = seen->line == w->line && seen->check.sort == CHECK_LEVEL && seen->check.desk == home
               ? seen->key == LEVEL_NOTHING
               : silent;
  }
  if (line->desk_input[home] && !silent) { // Nobody can say how silence sounds
    TRY(st, add_check(w, CHECK_TONE, home, look));
    TRY(st, add_check(w, CHECK_HUM, home, look));
    TRY(st, add_check(w, CHECK_CRACKLE, home, settings));
    TRY(st, add_check(w, CHECK_POLARITY, home, settings));
  }
  if (is_digital) {
    TRY(st, add_check(w, CHECK_BOX, -1, plant_time_s(plant, "look at the lamps of a box", 8.0)));
  }
  if (used) {
    TRY(st, add_check(w, CHECK_LOOK, -1, plant_time_s(plant, "look at a socket", 8.0)));
  }
  if (has_kit && plant_kit(plant, "hand meter")) {
    TRY(st, add_check(w, CHECK_VOLTS, -1, meter));
    TRY(st, add_check(w, CHECK_OHMS, -1, meter));
  }
  if (has_kit && plant_kit(plant, "lamp tester")) {
    TRY(st, add_check(w, CHECK_LAMPS, -1, tester));
    if (used) {
      TRY(st, add_check(w, CHECK_FLEX, -1, 60.0 + tester));
    }
    if (used && plant_kit(plant, "sender") && predict_can_send(plant)) {
      TRY(st, add_check(w, CHECK_SENT, -1,
                        plant_time_s(plant, "plug a tester in both ends", 30.0) +
                          plant_time_s(plant, "read a tester", 3.0)));
    }
  }
  if (has_kit && plant_kit(plant, "known-good")) {
    TRY(st, add_check(w, CHECK_HUNT, home, plant_time_s(plant, "move a plug at a box", 30.0)));
  }
  return STATUS_OK;
}

// Whether putting a desk right may switch phantom on for this line, and which plugs must be out
// first: harmful ones that may sit in its socket, by the odds or by a move.
static bool
phantom_unplug(const Work* w, int desk, int unplug[8], int* n_unplug)
{
  const Plant* const plant = w->s->plant;
  const Input* const input = plant_input(plant, w->s->act, w->line);
  *n_unplug = 0;
  if (!input || plant_phantom_desk(plant, w->line) != desk || is_harmful(w->s, w->line) ||
      panel_harmful(w->s, w->line) || plant->kinds[input->kind].needs_phantom != ANSWER_YES) {
    return false;
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    double here = plug_at(w->s, l) == w->line ? 1.0 : 0.0;
    for (int i = 0; i < w->n_rows; ++i) {
      const SharedState* const state = w->rows[i].state;
      here += state && shared_touch(state, w->line)->plugged == l ? w->rows[i].prob : 0.0;
    }
    if (l != w->line && here > HARM_PROB && is_harmful(w->s, l)) {
      if (*n_unplug == 8) {
        *n_unplug = 0;
        return false;
      }
      unplug[(*n_unplug)++] = l;
    }
  }
  return true;
}

// The harmful sources plugged in a line's box; false when they are more than a step can name. They
// must be out before a box gets power or another owner: it comes back with settings nobody has seen
// here, phantom among them. A lead that goes in again finds the box as it was.
static bool
box_harmful(const Work* w, int unplug[8], int* n_unplug)
{
  const Plant* const plant = w->s->plant;
  *n_unplug = 0;
  for (int l = 0; l < plant->n_lines; ++l) {
    if (is_harmful(w->s, l) && plant->lines[plug_at(w->s, l)].box == plant->lines[w->line].box) {
      if (*n_unplug == 8) {
        *n_unplug = 0;
        return false;
      }
      unplug[(*n_unplug)++] = l;
    }
  }
  return true;
}

static bool
is_of_box(RepairSort sort)
{
  return sort == REPAIR_LEAD || sort == REPAIR_POWER || sort == REPAIR_CLOCK ||
         sort == REPAIR_OWNER;
}

static Status
add_repair(Work* w, RepairSort sort, int desk, int zone, uint32_t people, double seconds)
{
  char word[64];
  repair_step_word(w, sort, desk, word);
  int n_tried = 0;
  for (int i = 0; i < w->s->n_seen; ++i) {
    const Seen* const seen = &w->s->seen[i];
    RepairSort was = REPAIR_NONE;
    if (seen->line == w->line && seen->check.sort == CHECK_SWAP && repair_of(seen->item, &was)) {
      n_tried += was == sort && (seen->check.desk == desk || desk < 0);
    }
  }
  // The spare may have been bad, or a hand slipped: once more, but not for ever.
  if (n_tried > 1 || refused(w, word) || w->problem.n_repairs == MAX_REPAIRS) {
    return STATUS_OK;
  }
  if (desk >= 0 && desk != w->options->home_desk && w->options->nobody_answers) {
    return STATUS_OK;
  }
  double* const fixes = arena_array(w->arena, (size_t)w->n_rows, sizeof(double));
  if (!fixes) {
    return STATUS_NO_MEMORY;
  }
  double any = 0.0;
  for (int i = 0; i < w->n_rows; ++i) {
    const Suspect* const row = &w->rows[i];
    const bool none = !row->state && row->fault.mode == FAULT_NONE;
    fixes[i] = !none && repair_fixes(sort, desk, row->state, &row->fault) ? REPAIR_HELPS_PROB : 0.0;
    any += fixes[i];
  }
  if (any <= 0.0) {
    return STATUS_OK;
  }
  RepairPlan* const plan = &w->repair_plans[w->problem.n_repairs];
  *plan = (RepairPlan){.sort = sort, .desk = desk};
  plan->gives_phantom =
    sort == REPAIR_DESK && phantom_unplug(w, desk, plan->unplug, &plan->n_unplug);
  if (sort == REPAIR_POWER || sort == REPAIR_OWNER) {
    plan->unplug_all = !box_harmful(w, plan->unplug, &plan->n_unplug);
  }
  w->repairs[w->problem.n_repairs++] =
    (PolicyRepair){zone, seconds + ask_s(w, people) + 10.0 * plan->n_unplug, people, fixes, true};
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
add_box_repairs(Work* w)
{
  const Plant* const plant = w->s->plant;
  const Box* const box = &plant->boxes[plant->lines[w->line].box];
  const int desk = box->owner;
  const int at_desk = plant->desks[desk].place;
  Status st = STATUS_OK;
  TRY(st, add_repair(w, REPAIR_LEAD, -1, box->place, w->on_stage,
                     plant_time_s(plant, "lock or swap a network lead", 40.0)));
  TRY(st, add_repair(w, REPAIR_POWER, -1, box->place, w->on_stage,
                     plant_time_s(plant, "give a box power and let it start", 60.0)));
  TRY(st, add_repair(w, REPAIR_CLOCK, desk, at_desk, w->at_desk[desk],
                     plant_time_s(plant, "set the clock of a box", 30.0)));
  return add_repair(w, REPAIR_OWNER, desk, at_desk, w->at_desk[desk],
                    plant_time_s(plant, "take over the gain of a box", 20.0));
}

static Status
add_repairs(Work* w)
{
  const Plant* const plant = w->s->plant;
  const Line* const line = &plant->lines[w->line];
  const Input* const input = plant_input(plant, w->s->act, w->line);
  const Kind* const kind = input ? &plant->kinds[input->kind] : NULL;
  const int box = plant->boxes[line->box].place;
  const bool is_digital = plant_is_digital(plant, w->line);
  const int split = plant_place(plant, "split") >= 0 ? plant_place(plant, "split") : box;
  const double plug = plant_time_s(plant, "move a plug at a box", 30.0);
  const double patch = plant_time_s(plant, "soft patch one input at one desk", 15.0);
  Status st = STATUS_OK;
  if (input) {
    const double look = plant_time_s(plant, "look at a source's switches", 10.0);
    TRY(st, add_repair(w, REPAIR_SWITCH, -1, box, w->on_stage, look));
    TRY(st, add_repair(w, REPAIR_LIFT, -1, box, w->on_stage, look));
    TRY(st, add_repair(w, REPAIR_INLINE, -1, box, w->on_stage,
                       plant_time_s(plant, "look at or swap an in-line thing", 20.0)));
    TRY(st, add_repair(w, REPAIR_SOURCE, -1, box, w->on_stage, source_swap_s(plant, kind)));
    if (plant->n_kit == 0 || plant_kit(plant, "spare microphone cable") > 0 ||
        plant_kit(plant, "spare cable") > 0) { // No list of the kit: a spare cable is assumed
      TRY(st, add_repair(w, REPAIR_CABLE, -1, box, w->on_stage,
                         plant_time_s(plant, "swap a cable", 30.0)));
    }
    TRY(st, add_repair(w, REPAIR_PLUG, -1, box, w->on_stage, plug));
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    if (line->desk_input[d]) {
      TRY(st, add_repair(w, REPAIR_DESK, d, plant->desks[d].place, w->at_desk[d],
                         plant_time_s(plant, "look at one channel at a desk", 10.0)));
      if (is_digital) { // Behind the preamplifier no input of a desk stands alone
        continue;
      }
      TRY(st, add_repair(w, REPAIR_INPUT, d, plant->desks[d].place, w->at_desk[d], patch));
      if (!plant->desks[d].is_direct) {
        TRY(st, add_repair(w, REPAIR_SIDE, d, plant->desks[d].place, w->at_desk[d], 2.0 * patch));
      }
    }
  }
  if (is_digital) {
    TRY(st, add_box_repairs(w));
  } else {
    TRY(st, add_repair(w, REPAIR_TAIL, -1, split, w->on_stage,
                       plant_time_s(plant, "unlock, look at and lock a multipin", 45.0)));
  }
  for (int i = 0; i < w->n_ways; ++i) {
    if (w->ways[i].uses_line >= 0 && plant->lines[w->ways[i].uses_line].box == line->box &&
        !plant_input(plant, w->s->act, w->ways[i].uses_line)) {
      TRY(st, add_repair(w, REPAIR_SOCKET, -1, box, w->on_stage, plug + patch));
      break;
    }
  }
  return STATUS_OK;
}

// Words for one suspect: part and fault, or what the shared state says.
static const char*
suspect_say(const Work* w, const Suspect* suspect)
{
  if (suspect->state) {
    return shared_say(w->arena, w->s->plant, w->s->act, suspect->state);
  }
  char name[24];
  const char* const part =
    catalogue_part(w->arena, w->s->plant, w->s->act, w->line, &suspect->fault);
  return part ? catalogue_said(w->arena, part, catalogue_name(&suspect->fault, name)) : NULL;
}

static const char*
list_sockets(const Work* w, const int lines[], int n)
{
  TextOut out = {.arena = w->arena};
  const Plant* const plant = w->s->plant;
  for (int i = 0; i < n; ++i) {
    const Line* const l = &plant->lines[plug_at(w->s, lines[i])];
    const Input* const input = plant_input(plant, w->s->act, lines[i]);
    text_add(&out, "%s%s%d (%s)", i ? ", " : "", plant->boxes[l->box].name, l->socket,
             input ? input->source : "unknown");
  }
  return text_done(&out);
}

static WordsFill
common_fill(const Work* w, int desk)
{
  const Plant* const plant = w->s->plant;
  const Line* const line = &plant->lines[w->line];
  const Input* const input = plant_input(plant, w->s->act, w->line);
  const int d = desk >= 0 ? desk : w->options->home_desk;
  return (WordsFill){
    .desk = plant->desks[d].say,
    .input = arena_format(w->arena, "%d", line->desk_input[d]),
    .source = input ? input->source : "the known-good microphone",
    .socket = arena_format(w->arena, "%s%d", plant->boxes[line->box].name, line->socket),
    .box = plant->boxes[line->box].name,
    .line = arena_format(w->arena, "%d", line->number),
  };
}

static bool
is_filled(const WordsFill* fill)
{
  return fill->input && fill->source && fill->socket && fill->line;
}

static Sentence
check_sentence(Check check, bool is_digital)
{
  static const Sentence sentences[CHECK_COUNT] = {
    WORDS_LEVEL, WORDS_TONE,       WORDS_HUM,       WORDS_CRACKLE, WORDS_POLARITY,
    WORDS_SEEN,  WORDS_LOOK_DESK,  WORDS_VOLTS,     WORDS_LAMPS,   WORDS_OHMS,
    WORDS_FLEX,  WORDS_SWAP_CABLE, WORDS_BOX_LAMPS, WORDS_HUNT,    WORDS_SENT};
  if (check.sort == CHECK_LOOK && check.desk >= 0 && is_digital) {
    return WORDS_LOOK_DIGITAL;
  }
  return check.sort == CHECK_LOOK && check.desk < 0 ? WORDS_LOOK_SOCKET : sentences[check.sort];
}

// What a step costs whoever does it, as part of its reason.
static const char*
near_say(const Work* w, const PolicyAction* action)
{
  const int own_s = (int)(action->own_s + 0.5);
  return action->walk_s < 0.5 ? arena_format(w->arena, "%d s from where you stand", own_s)
                              : arena_format(w->arena, "%d s with the walk", own_s);
}

// Whether a check parts what is left about evenly: its likeliest reading has no more than two
// thirds of the odds, and no less than a third.
static bool
halves(const Work* w, const PolicyCheck* check)
{
  double most = 0.0;
  for (int k = 0; k < check->n_outcomes; ++k) {
    double mass = 0.0;
    for (int i = 0; i < w->n_rows; ++i) {
      mass += w->prob[i] * check->like[k * w->n_rows + i];
    }
    most = mass > most ? mass : most;
  }
  return most > 1.0 / 3.0 && most < 2.0 / 3.0;
}

// The two likeliest suspects that the check's likeliest readings would name differently.
static Status
check_why(const Work* w, const PolicyAction* action, const PolicyCheck* check, const char** why)
{
  int shows[2] = {-1, -1};
  const Suspect* named[2] = {NULL, NULL};
  for (int i = 0; i < w->n_rows && !named[1]; ++i) {
    if (!w->rows[i].state &&
        (w->rows[i].fault.mode == FAULT_NONE || w->rows[i].fault.mode == FAULT_SOMETHING_ELSE)) {
      continue;
    }
    int best = 0;
    for (int k = 1; k < check->n_outcomes; ++k) {
      if (check->like[k * w->n_rows + i] > check->like[best * w->n_rows + i]) {
        best = k;
      }
    }
    if (shows[0] < 0 || best != shows[0]) {
      const int at = shows[0] < 0 ? 0 : 1;
      shows[at] = best;
      named[at] = &w->rows[i];
    }
  }
  WordsFill fill = {.near = near_say(w, action)};
  if (named[0]) {
    fill.first = suspect_say(w, named[0]);
  }
  if (named[1]) {
    fill.second = suspect_say(w, named[1]);
  }
  if (!fill.near || (named[0] && !fill.first) || (named[1] && !fill.second)) {
    return STATUS_NO_MEMORY;
  }
  *why = w->s->n_seen == 0 && !named[0] ? words_say(w->arena, WORDS_WHY_FIRST, &fill)
         : named[1]
           ? words_say(w->arena, halves(w, check) ? WORDS_WHY_HALF : WORDS_WHY_SPLIT, &fill)
           : words_say(w->arena, WORDS_WHY_ONE, &fill);
  return *why ? STATUS_OK : STATUS_NO_MEMORY;
}

static bool
speaks_english_outcome(Check check, int key)
{
  return !(check.sort == CHECK_LOOK && check.desk < 0 && key < 10);
}

static Status
check_step(const Work* w, const PolicyChoice* choice, Step* step)
{
  const CheckPlan* const plan = &w->plans[choice->action.index];
  const PolicyCheck* const check = &w->checks[choice->action.index];
  const Check c = plan->check;
  WordsFill fill = common_fill(w, c.desk);
  char lamps[PREDICT_LAMPS_BYTES];
  predict_lamps(w->s->plant, lamps);
  fill.lamps = lamps;
  if (!is_filled(&fill)) {
    return STATUS_NO_MEMORY;
  }
  const bool is_digital = plant_is_digital(w->s->plant, w->line);
  const int n_words = is_digital && c.sort == CHECK_LOOK ? LOOK_LOST + 1 : 6;
  step->does = STEP_CHECK;
  step->check = c;
  step->desk = c.desk;
  step->check_word = predict_check_word(c.sort);
  const bool at_desk = c.desk >= 0 && c.sort != CHECK_HUNT && c.sort != CHECK_CRACKLE;
  step->at = at_desk ? w->s->plant->desks[c.desk].name : fill.socket;
  step->say = words_say(w->arena, check_sentence(c, is_digital), &fill);
  step->caution = "";
  memcpy(step->unplug, plan->unplug, sizeof(step->unplug));
  step->n_unplug = plan->n_unplug;
  if (c.sort == CHECK_LAMPS || c.sort == CHECK_VOLTS) {
    step->needs_mute = true;
    fill.unplug = list_sockets(w, plan->unplug, plan->n_unplug);
    if (!fill.unplug) {
      return STATUS_NO_MEMORY;
    }
    step->caution = words_say(w->arena, plan->n_unplug ? WORDS_UNPLUG : WORDS_MUTE_PHANTOM, &fill);
  } else if (c.sort == CHECK_OHMS || c.sort == CHECK_FLEX || c.sort == CHECK_SENT ||
             c.sort == CHECK_HUNT || c.sort == CHECK_CRACKLE) {
    step->needs_mute = true;
    const bool no_phantom = is_harmful(w->s, w->line);
    step->caution = words_say(w->arena,
                              has_ribbon(w->s, w->line)                         ? WORDS_RIBBON
                              : no_phantom                                      ? WORDS_NO_PHANTOM
                              : c.sort == CHECK_HUNT || c.sort == CHECK_CRACKLE ? WORDS_MUTE_LISTEN
                                                                                : WORDS_MUTE,
                              &fill);
  }
  for (int k = 0; k < plan->n_keys && step->n_readings < STEP_MAX_READINGS; ++k) {
    if (speaks_english_outcome(c, plan->keys[k])) {
      const char* const text =
        predict_key_text(w->arena, w->s->plant, w->s->act, c, w->line, plan->keys[k]);
      if (!text) {
        return STATUS_NO_MEMORY;
      }
      step->readings[step->n_readings++] = text;
    }
  }
  // The plain words a person may say that nothing in the odds expects
  for (int key = 0;
       key < n_words && step->n_readings < STEP_MAX_READINGS &&
       !(c.sort == CHECK_LOOK && c.desk < 0) && c.sort != CHECK_LAMPS && c.sort != CHECK_SENT;
       ++key) {
    const char* const text = predict_key_text(w->arena, w->s->plant, w->s->act, c, w->line, key);
    if (!text) {
      return STATUS_NO_MEMORY;
    }
    bool listed = strcmp(text, "?") == 0;
    for (int i = 0; i < step->n_readings; ++i) {
      listed = listed || text_same(step->readings[i], text);
    }
    if (!listed) {
      step->readings[step->n_readings++] = text;
    }
  }
  step->why = "";
  return w->is_plain ? STATUS_OK : check_why(w, &choice->action, check, &step->why);
}

// What a repair mends most likely, and how likely all it mends is.
static const Suspect*
mended(const Work* w, const RepairPlan* plan, double* sum)
{
  const Suspect* first = NULL;
  *sum = 0.0;
  for (int i = 0; i < w->n_rows; ++i) {
    const Suspect* const row = &w->rows[i];
    if ((row->state || row->fault.mode != FAULT_NONE) &&
        repair_fixes(plan->sort, plan->desk, row->state, &row->fault)) {
      first = first ? first : row;
      *sum += row->prob;
    }
  }
  return first;
}

// Which caution a repair needs; fills its gaps. `other` is the second socket a plug is moved at.
static Status
repair_caution(const Work* w, const RepairPlan* plan, int other, WordsFill* fill, Sentence* caution)
{
  const Plant* const plant = w->s->plant;
  const bool harmful = is_harmful(w->s, w->line);
  *caution = harmful ? WORDS_NO_PHANTOM : WORDS_MUTE;
  if (plan->gives_phantom) {
    *caution = plan->n_unplug ? WORDS_UNPLUG : WORDS_MUTE_PHANTOM;
    fill->unplug = list_sockets(w, plan->unplug, plan->n_unplug);
    return fill->unplug ? STATUS_OK : STATUS_NO_MEMORY;
  }
  if (plan->sort == REPAIR_LEAD) {
    int harmed[8];
    int n = 0;
    const bool named = box_harmful(w, harmed, &n);
    *caution = !named ? WORDS_BOX_LEAD_ALL : n ? WORDS_BOX_LEAD : WORDS_BOX_CAUTION;
    fill->desk = plant->desks[plant_phantom_desk(plant, w->line)].say;
    fill->unplug = list_sockets(w, harmed, n);
    return fill->unplug ? STATUS_OK : STATUS_NO_MEMORY;
  }
  if (plan->n_unplug && is_of_box(plan->sort)) {
    *caution = WORDS_BOX_UNPLUG;
    fill->unplug = list_sockets(w, plan->unplug, plan->n_unplug);
    return fill->unplug ? STATUS_OK : STATUS_NO_MEMORY;
  }
  if (plan->sort == REPAIR_TAIL || is_of_box(plan->sort)) {
    *caution = plan->unplug_all ? WORDS_BOX_UNPLUG_ALL : WORDS_BOX_CAUTION;
  } else if (other >= 0) {
    const Line* const l = &plant->lines[other];
    int harmed[2];
    int n = 0;
    if (harmful) {
      harmed[n++] = w->line;
    }
    if (is_harmful(w->s, other)) {
      harmed[n++] = other;
    }
    *caution = n ? WORDS_NO_PHANTOM_TWO : WORDS_MUTE_TWO;
    fill->found = arena_format(w->arena, "%s%d", plant->boxes[l->box].name, l->socket);
    fill->unplug = list_sockets(w, harmed, n);
    return fill->found && fill->unplug ? STATUS_OK : STATUS_NO_MEMORY;
  } else if (plan->sort == REPAIR_PLUG) {
    *caution = harmful ? WORDS_NO_PHANTOM_BOX : WORDS_BOX_CAUTION;
  } else if (harmful && has_ribbon(w->s, w->line) && plan->sort != REPAIR_INPUT) {
    *caution = WORDS_RIBBON;
  }
  return STATUS_OK;
}

// What the list says stands in line, as a person names it.
static const char*
things_say(const Work* w)
{
  const Plant* const plant = w->s->plant;
  const Input* const input = plant_input(plant, w->s->act, w->line);
  TextOut out = {.arena = w->arena};
  for (int i = 0; input && i < input->n_through; ++i) {
    text_add(&out, "%s%s", i ? ", then " : "", plant->inlines[input->through[i]].name);
  }
  return input && input->n_through ? text_done(&out) : "nothing";
}

// The switches a source has, by its kind.
static Sentence
switch_sentence(const Work* w)
{
  const Input* const input = plant_input(w->s->plant, w->s->act, w->line);
  const Kind* const kind = input ? &w->s->plant->kinds[input->kind] : NULL;
  return kind && kind->is_radio                           ? WORDS_SWITCH_RADIO
         : kind && (kind->has_jack || kind->pad_db > 0.0) ? WORDS_SWITCH_BOX
                                                          : WORDS_SWITCH;
}

static Status
repair_step(const Work* w, const PolicyChoice* choice, Step* step)
{
  static const Sentence sentences[REPAIR_COUNT] = {
    WORDS_STUCK, WORDS_SWITCH, WORDS_SWAP_SOURCE, WORDS_SWAP_CABLE, WORDS_PLUG, WORDS_DESK,
    WORDS_TAIL,  WORDS_INPUT,  WORDS_SIDE,        WORDS_SOCKET,     WORDS_LEAD, WORDS_POWER,
    WORDS_CLOCK, WORDS_OWNER,  WORDS_LIFT,        WORDS_INLINE};
  const Plant* const plant = w->s->plant;
  const RepairPlan* const plan = &w->repair_plans[choice->action.index];
  double sum = 0.0;
  const Suspect* const first = mended(w, plan, &sum);
  WordsFill fill = common_fill(w, plan->desk);
  if (!is_filled(&fill)) {
    return STATUS_NO_MEMORY;
  }
  Sentence sentence = plan->gives_phantom ? WORDS_DESK_PHANTOM : sentences[plan->sort];
  if (plant_is_digital(plant, w->line)) {
    const Box* const box = &plant->boxes[plant->lines[w->line].box];
    sentence = plan->sort == REPAIR_DESK && plan->desk != box->owner ? WORDS_DESK_GUEST : sentence;
    sentence = plan->sort == REPAIR_LEAD && plant_kit(plant, "spare network lead")
                 ? WORDS_LEAD_SPARE
                 : sentence;
    fill.item = plan->sort == REPAIR_POWER ? box->power : box->clock;
  }
  const bool takes_phantom = plan->sort == REPAIR_DESK && is_harmful(w->s, w->line) &&
                             plant_phantom_desk(plant, w->line) == plan->desk;
  if (takes_phantom && sentence == WORDS_DESK) {
    sentence = WORDS_DESK_NO_PHANTOM;
  }
  if (plan->sort == REPAIR_INLINE) {
    const bool panel = !w->is_plain && first && first->state && first->state->sort == SHARED_PANEL;
    sentence = panel ? WORDS_PANEL : sentence;
    fill.item = things_say(w);
  } else if (plan->sort == REPAIR_SWITCH) {
    sentence = switch_sentence(w);
  }
  Status st = STATUS_OK;
  int other = -1; // The second socket a plug is moved at
  if (w->is_plain) {
    // Which plug, which setting: for the odds to say
  } else if (plan->sort == REPAIR_PLUG && first && first->state && first->prob > 0.5 * sum) {
    const SharedState* const state = first->state;
    if (state->sort == SHARED_SWAP || state->sort == SHARED_MOVED) {
      other = state->from == w->line ? state->to : state->from;
      const Line* const l = &plant->lines[other];
      fill.found = arena_format(w->arena, "%s%d", plant->boxes[l->box].name, l->socket);
      if (!fill.found) {
        return STATUS_NO_MEMORY;
      }
      sentence = state->sort == SHARED_SWAP ? WORDS_PLUG_SWAP : WORDS_PLUG_FROM;
    }
  } else if (plan->gives_phantom && first && !first->state &&
             first->fault.mode == FAULT_PHANTOM_OFF && first->prob > 0.5 * sum) {
    sentence = WORDS_PHANTOM;
  } else if (plan->gives_phantom && first && first->state && first->state->sort == SHARED_PHANTOM) {
    sentence = WORDS_PHANTOM_BOX;
  }
  for (int i = 0; i < w->n_ways && !fill.way; ++i) {
    if (w->ways[i].uses_line >= 0 && !plant_input(plant, w->s->act, w->ways[i].uses_line)) {
      fill.way = w->ways[i].way;
      other = plan->sort == REPAIR_SOCKET ? w->ways[i].uses_line : other;
    }
  }
  fill.first = first ? suspect_say(w, first) : "";
  fill.odds = words_odds(w->arena, sum);
  fill.near = near_say(w, &choice->action);
  if (!fill.first || !fill.odds || !fill.near || (plan->sort == REPAIR_INLINE && !fill.item)) {
    return STATUS_NO_MEMORY;
  }
  step->does = STEP_REPAIR;
  step->repair = plan->sort;
  step->desk = plan->desk;
  step->check_word = arena_format(w->arena, "swap %s", repair_word(plan->sort));
  step->at = plan->desk >= 0             ? plant->desks[plan->desk].name
             : plan->sort == REPAIR_TAIL ? arena_format(w->arena, "tail %s", fill.box)
                                         : fill.socket;
  step->say = words_say(w->arena, sentence, &fill);
  step->why = w->is_plain ? "" : words_say(w->arena, WORDS_WHY_REPAIR, &fill);
  memcpy(step->unplug, plan->unplug, sizeof(step->unplug));
  step->n_unplug = plan->n_unplug;
  step->needs_mute = plan->gives_phantom || takes_phantom ||
                     (plan->sort != REPAIR_DESK && plan->sort != REPAIR_SIDE);
  Sentence caution = WORDS_MUTE;
  TRY(st, repair_caution(w, plan, other, &fill, &caution));
  step->caution = step->needs_mute ? words_say(w->arena, caution, &fill) : "";
  step->readings[0] = "better";
  step->readings[1] = "same";
  step->n_readings = 2;
  return STATUS_OK;
}

static const char*
reading_say(const Work* w, const Step* step, const char* reading)
{
  if (step->does == STEP_REPAIR) {
    return text_same(reading, "better") ? "there is sound now" : "no change";
  }
  static const struct {
    CheckSort sort;
    const char *reading, *say;
  } plain[] = {
    {CHECK_LEVEL, "nothing", "nothing arrives"},
    {CHECK_LEVEL, "far down", "almost nothing, 20 to 40 dB down"},
    {CHECK_LEVEL, "low", "lower than it should be"},
    {CHECK_LEVEL, "normal", "it sounds right"},
    {CHECK_LEVEL, "over", "far too loud"},
    {CHECK_SEEN, "yes", "its own meter moves"},
    {CHECK_SEEN, "no", "no meter moves"},
    {CHECK_TONE, "full", "full, bass and all"},
    {CHECK_TONE, "thin", "thin, the bass is gone"},
    {CHECK_HUM, "none", "no hum"},
    {CHECK_HUM, "audible", "it hums"},
    {CHECK_HUM, "loud", "it hums loudly"},
    {CHECK_CRACKLE, "none", "it is clean"},
    {CHECK_CRACKLE, "some", "it crackles by itself"},
    {CHECK_CRACKLE, "on touch", "it crackles when touched"},
    {CHECK_POLARITY, "same", "the same as its neighbour"},
    {CHECK_POLARITY, "inverted", "the other way round"},
    {CHECK_LOOK, "fine", "all as the list says"},
    {CHECK_LOOK, "muted", "it is muted"},
    {CHECK_LOOK, "patch", "it is patched from the wrong input"},
    {CHECK_LOOK, "phantom", "phantom is off and should be on"},
    {CHECK_LOOK, "pad", "the pad is in and should not be"},
    {CHECK_LOOK, "gain", "the gain is far off"},
    {CHECK_LOOK, "owner", "another desk owns the gain of the box"},
    {CHECK_LOOK, "clock", "the box follows the wrong clock"},
    {CHECK_LOOK, "lost", "the desk does not see the box at all"},
    {CHECK_BOX, "fine", "all lamps as they should be"},
    {CHECK_BOX, "dark", "all dark: it has no power"},
    {CHECK_BOX, "no link", "power, but no network"},
    {CHECK_BOX, "one link", "one of its two network leads is out"},
    {CHECK_BOX, "clock", "the clock lamp blinks or is red"},
    {CHECK_VOLTS, "full", "both near 48 V"},
    {CHECK_VOLTS, "sagged", "both alike, lower than 44 V"},
    {CHECK_VOLTS, "none", "both near 0 V"},
    {CHECK_VOLTS, "2 low", "2 is lower than 3"},
    {CHECK_VOLTS, "3 low", "3 is lower than 2"},
    {CHECK_VOLTS, "reversed", "negative"},
    {CHECK_OHMS, "right", "as it should be for this source"},
    {CHECK_OHMS, "open", "open, no reading"},
    {CHECK_OHMS, "short", "close to 0 ohm"},
    {CHECK_OHMS, "odd", "some other value"},
    {CHECK_HUNT, "nothing", "it is not heard"},
    {CHECK_FLEX, "passes", "it stays whole"},
    {CHECK_FLEX, "breaks", "it breaks when bent"},
  };
  if (step->check.sort == CHECK_LOOK && text_same(reading, "phantom") &&
      is_harmful(w->s, w->line)) {
    return "phantom is on and must not be";
  }
  for (size_t i = 0; i < sizeof(plain) / sizeof(plain[0]); ++i) {
    if (plain[i].sort == step->check.sort && text_same(plain[i].reading, reading)) {
      return plain[i].say;
    }
  }
  if (step->check.sort == CHECK_SEEN) {
    return arena_format(w->arena, "the meter of input %s moves instead", reading + 3);
  }
  if (step->check.sort == CHECK_HUNT) {
    return "it is heard there";
  }
  if (step->check.sort == CHECK_LOOK && step->check.desk < 0) {
    return text_same(reading, "nothing") ? "nothing is plugged there"
                                         : arena_format(w->arena, "the cable of %s", reading);
  }
  return reading;
}

void
next_touch(Step* step)
{
  const CheckSort sort = step->check.sort;
  step->ear_desk = -1;
  if (step->does == STEP_CHECK) {
    const bool looks = sort == CHECK_LOOK || sort == CHECK_BOX;
    step->ear_desk = sort == CHECK_HUNT || sort == CHECK_CRACKLE ? step->check.desk : -1;
    step->brings_phantom = sort == CHECK_VOLTS || sort == CHECK_LAMPS;
    step->moves_plug = step->ear_desk >= 0 || (step->check.desk < 0 && !looks);
    return;
  }
  // A box that comes back, or obeys another desk, has settings nobody has seen here.
  step->brings_phantom = step->repair == REPAIR_DESK || step->repair == REPAIR_LEAD ||
                         step->repair == REPAIR_POWER || step->repair == REPAIR_OWNER;
  step->moves_plug = step->repair != REPAIR_DESK && step->repair != REPAIR_INPUT &&
                     step->repair != REPAIR_SIDE && step->repair != REPAIR_CLOCK &&
                     step->repair != REPAIR_OWNER;
}

static Status
finish(const Work* w, const PolicyChoice* choice, Step* step)
{
  const PolicyAction* const action = &choice->action;
  step->line = w->line;
  step->person = action->person;
  step->place =
    action->kind == POLICY_CHECK ? w->checks[action->index].zone : w->repairs[action->index].zone;
  next_touch(step);
  if (step->does == STEP_REPAIR && step->repair == REPAIR_DESK) {
    step->brings_phantom = w->repair_plans[action->index].gives_phantom;
  }
  step->who = w->roles[choice->action.person];
  step->seconds = choice->action.own_s;
  step->expected_s = choice->seconds;
  step->chance = choice->chance;
  for (int i = 0; i < step->n_readings; ++i) {
    step->reading_says[i] = step->readings[i] ? reading_say(w, step, step->readings[i]) : NULL;
    if (!step->reading_says[i]) {
      return STATUS_NO_MEMORY;
    }
  }
  return step->say && step->why && step->caution && step->at && step->check_word ? STATUS_OK
                                                                                 : STATUS_NO_MEMORY;
}

static Status
begin(Work* w)
{
  const Plant* const plant = w->s->plant;
  const Suspect* all = NULL;
  int n = 0;
  Status st = STATUS_OK;
  TRY(st, situation_suspects(w->s, w->arena, w->line, &all, &n));
  while (w->n_rows < n && all[w->n_rows].prob > ROW_FLOOR_PROB) {
    ++w->n_rows;
  }
  w->rows = all;
  w->prob = arena_array(w->arena, (size_t)w->n_rows, sizeof(double));
  if (!w->prob) {
    return STATUS_NO_MEMORY;
  }
  double sum = 0.0;
  for (int i = 0; i < w->n_rows; ++i) {
    sum += all[i].prob;
  }
  for (int i = 0; i < w->n_rows; ++i) {
    w->prob[i] = all[i].prob / sum;
  }
  TRY(st, around_ways(w->s, w->arena, w->line, &w->ways, &w->n_ways));
  add_people(w);
  w->problem.n_hyps = w->n_rows;
  w->problem.prob = w->prob;
  w->problem.n_zones = plant->n_places;
  w->problem.walk_s = plant->walk_s;
  w->problem.verify_s = plant_time_s(plant, "see which channel is silent", 5.0);
  w->problem.deadline_s = w->options->deadline_s;
  TRY(st, add_checks(w));
  TRY(st, add_repairs(w));
  w->problem.checks = w->checks;
  w->problem.repairs = w->repairs;
  // What ends every search is a whole new line from source to desk; the ways round proper are shown
  // beside the search and never counted as finding the cause, unless asked for.
  w->problem.service =
    (PolicyService){plant->boxes[plant->lines[w->line].box].place, NEW_LINE_S, w->on_stage, true};
  if (w->options->goes_round && w->n_ways > 0 && w->ways[0].seconds < NEW_LINE_S) {
    w->problem.service.seconds = w->ways[0].seconds;
  }
  return STATUS_OK;
}

Status
next_problem(const Situation* s, Arena* arena, int line, const NextOptions* options,
             NextProblem* problem)
{
  Work* const w = arena_array(arena, 1, sizeof(Work));
  Check* const checks = arena_array(arena, MAX_CHECKS, sizeof(Check));
  RepairSort* const repairs = arena_array(arena, MAX_REPAIRS, sizeof(RepairSort));
  int* const desks = arena_array(arena, MAX_REPAIRS, sizeof(int));
  if (!w || !checks || !repairs || !desks) {
    return STATUS_NO_MEMORY;
  }
  *w = (Work){.s = s, .arena = arena, .options = options, .line = line};
  Status st = STATUS_OK;
  TRY(st, begin(w));
  for (int i = 0; i < w->problem.n_checks; ++i) {
    checks[i] = w->plans[i].check;
  }
  for (int i = 0; i < w->problem.n_repairs; ++i) {
    repairs[i] = w->repair_plans[i].sort;
    desks[i] = w->repair_plans[i].desk;
  }
  *problem = (NextProblem){w->problem, w->rows, checks, repairs, desks};
  return STATUS_OK;
}

Status
next_advise(const Situation* s, Arena* arena, int line, const NextOptions* options,
            NextAdvice* advice)
{
  Work* const w = arena_array(arena, 1, sizeof(Work));
  Step* const steps = arena_array(arena, MAX_STEPS, sizeof(Step));
  if (!w || !steps) {
    return STATUS_NO_MEMORY;
  }
  *w = (Work){.s = s, .arena = arena, .options = options, .line = line};
  Status st = STATUS_OK;
  TRY(st, begin(w));
  NextAdvice out = {.is_usual = true};
  PolicyProblem merged;
  const AheadOptions ahead = options->looks_once ? ahead_one_step() : ahead_usual();
  AheadAnswer answer;
  TRY(st, policy_merge(&w->problem, arena, &merged, NULL));
  TRY(st, ahead_rank(&merged, options->deadline_s > 0.0 ? POLICY_BY_CHANCE : POLICY_BY_SECONDS,
                     &ahead, arena, &answer));
  PolicyChoice* const choices = answer.choices;
  const int n = answer.n_choices;
  out.goes_round = n > 0 && choices[0].action.kind == POLICY_SERVICE;
  for (int i = 0; i < n && out.n_steps < MAX_STEPS; ++i) {
    Step* const step = &steps[out.n_steps];
    *step = (Step){.desk = -1};
    switch (choices[i].action.kind) {
      case POLICY_CHECK:
        TRY(st, check_step(w, &choices[i], step));
        break;
      case POLICY_REPAIR:
        TRY(st, repair_step(w, &choices[i], step));
        break;
      default: // The new line is what is left when nothing else is: rescue says so
        continue;
    }
    TRY(st, finish(w, &choices[i], step));
    ++out.n_steps;
  }
  out.steps = steps;
  if (n) {
    out.seconds = choices[0].seconds;
    out.chance = choices[0].chance;
  }
  *advice = out;
  return STATUS_OK;
}

/// A choice by hand: who is nearest, and what it takes from there. Person -1 when nobody can.
static PolicyChoice
by_hand(const Work* w, PolicyKind kind, int index)
{
  const PolicyProblem* const p = &w->problem;
  const bool check = kind == POLICY_CHECK;
  const int zone = check ? w->checks[index].zone : w->repairs[index].zone;
  const uint32_t people = (check ? w->checks[index].people : w->repairs[index].people);
  PolicyAction a = {.kind = kind, .index = index, .person = -1};
  for (int i = 0; i < p->n_people; ++i) {
    const double walk =
      zone == POLICY_ANYWHERE ? 0.0 : p->walk_s[p->person_zone[i] * p->n_zones + zone];
    if ((people & p->free_people) >> i & 1u && (a.person < 0 || walk < a.walk_s)) {
      a.person = i;
      a.walk_s = walk;
    }
  }
  a.own_s = a.walk_s + (check ? w->checks[index].seconds : w->repairs[index].seconds + p->verify_s);
  return (PolicyChoice){.action = a};
}

Status
next_choices(const Situation* s, Arena* arena, int line, const NextOptions* options,
             const Step** steps, int* n)
{
  Work* const w = arena_array(arena, 1, sizeof(Work));
  Step* const all = arena_array(arena, MAX_CHECKS + MAX_REPAIRS, sizeof(Step));
  if (!w || !all) {
    return STATUS_NO_MEMORY;
  }
  *w = (Work){.s = s, .arena = arena, .options = options, .line = line, .is_plain = true};
  Status st = STATUS_OK;
  TRY(st, begin(w));
  int at = 0;
  for (int i = 0; i < w->problem.n_checks + w->problem.n_repairs; ++i) {
    const bool check = i < w->problem.n_checks;
    const PolicyChoice choice =
      by_hand(w, check ? POLICY_CHECK : POLICY_REPAIR, check ? i : i - w->problem.n_checks);
    if (choice.action.person >= 0) {
      all[at] = (Step){.desk = -1};
      TRY(st, check ? check_step(w, &choice, &all[at]) : repair_step(w, &choice, &all[at]));
      TRY(st, finish(w, &choice, &all[at]));
      ++at;
    }
  }
  *steps = all;
  *n = at;
  return STATUS_OK;
}

const char*
next_reading_say(const Situation* s, Arena* arena, int line, Check check, const char* reading)
{
  Work* const w = arena_array(arena, 1, sizeof(Work));
  const Step step = {.does = STEP_CHECK, .check = check};
  if (!w) {
    return NULL;
  }
  *w = (Work){.s = s, .arena = arena, .line = line};
  return reading_say(w, &step, reading);
}
