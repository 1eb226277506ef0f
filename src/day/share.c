// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/share.h"

#include "day/proof.h"

#include <math.h>
#include <string.h>

enum { MAX_SHARED = 3 * POLICY_MAX_PEOPLE, MAX_TRIED = 3 };

#define GROUP_PROB 0.5 // From here a line with a reading against it is told by what it shares

// ---- What a step touches ----

static bool
is_whole_box(const Step* s)
{
  if (s->does == STEP_CHECK) {
    return s->check.sort == CHECK_BOX;
  }
  switch (s->repair) {
    case REPAIR_TAIL:
    case REPAIR_LEAD:
    case REPAIR_POWER:
    case REPAIR_CLOCK:
    case REPAIR_OWNER:
    case REPAIR_PLUG: // The plug comes out of whichever socket it is in
    case REPAIR_SOCKET:
    case REPAIR_INLINE:
      return true;
    default:
      return false;
  }
}

static bool
is_at_desk(const Step* s)
{
  return s->does == STEP_CHECK ? s->desk >= 0 && s->ear_desk < 0 : s->desk >= 0;
}

static bool
is_at_stage(const Step* s)
{
  return !is_at_desk(s) || is_whole_box(s);
}

// Looks and listens: nothing changes by it.
static bool
is_passive(const Step* s)
{
  return s->does == STEP_CHECK && !s->moves_plug && !s->brings_phantom;
}

// The desks that a step needs, as bits.
static unsigned
desks_of(const Step* s)
{
  return (is_at_desk(s) ? 1u << s->desk : 0u) | (s->ear_desk >= 0 ? 1u << s->ear_desk : 0u);
}

// Whether two lines have a source or an in-line thing in common: one thing, two sockets.
static bool
share_item(const Situation* s, int a, int b)
{
  const Plant* const plant = s->plant;
  const Input* const x = plant_input(plant, s->act, a);
  const Input* const y = plant_input(plant, s->act, b);
  if ((x && x->y_line == plant->lines[b].number) || (y && y->y_line == plant->lines[a].number)) {
    return true;
  }
  for (int i = 0; x && y && i < x->n_through; ++i) {
    for (int k = 0; k < y->n_through; ++k) {
      if (x->through[i] == y->through[k] && plant->inlines[x->through[i]].sort == INLINE_PANEL) {
        return true;
      }
    }
  }
  return x && y && x->cable && x->cable[0] && y->cable && strcmp(x->cable, y->cable) == 0;
}

static bool
unplugs(const Step* s, int line)
{
  for (int i = 0; i < s->n_unplug; ++i) {
    if (s->unplug[i] == line) {
      return true;
    }
  }
  return false;
}

// One joint, one box as a whole, one thing on two lines, or a plug the other has to pull.
static bool
meet_on_stage(const Situation* s, const Step* a, const Step* b)
{
  const Line* const lines = s->plant->lines;
  if (unplugs(a, b->line) || unplugs(b, a->line)) {
    return true;
  }
  for (int i = 0; i < a->n_unplug; ++i) {
    if (unplugs(b, a->unplug[i])) {
      return true;
    }
  }
  if (!is_at_stage(a) || !is_at_stage(b)) {
    return false;
  }
  return a->line == b->line || share_item(s, a->line, b->line) ||
         ((is_whole_box(a) || is_whole_box(b)) && lines[a->line].box == lines[b->line].box);
}

// What the kit must have for a step; NULL = nothing.
static const char*
kit_of(const Step* s)
{
  if (s->does != STEP_CHECK) {
    return s->repair == REPAIR_CABLE ? "spare microphone cable" : NULL;
  }
  switch (s->check.sort) {
    case CHECK_LAMPS:
    case CHECK_FLEX:
    case CHECK_SENT:
      return "lamp tester";
    case CHECK_VOLTS:
    case CHECK_OHMS:
      return "hand meter";
    case CHECK_HUNT:
      return "known-good";
    default:
      return NULL;
  }
}

static bool
same_line(const Situation* s, const Step* a, const Step* b)
{
  const Line* const lines = s->plant->lines;
  return a->line == b->line || share_item(s, a->line, b->line) ||
         ((is_whole_box(a) || is_whole_box(b)) && lines[a->line].box == lines[b->line].box);
}

bool
share_together(const Situation* s, const Step* a, const Step* b)
{
  if ((desks_of(a) & desks_of(b)) || meet_on_stage(s, a, b)) {
    return false;
  }
  if ((a->brings_phantom && b->moves_plug) || (b->brings_phantom && a->moves_plug)) {
    return false;
  }
  const Step* const both[2] = {a, b};
  return (!same_line(s, a, b) || (is_passive(a) && is_passive(b))) && share_fits(s, both, 1, b);
}

bool
share_fits(const Situation* s, const Step* const others[], int n_others, const Step* step)
{
  const char* const kit = kit_of(step);
  int n_same = 1;
  for (int i = 0; i < n_others; ++i) {
    n_same += kit && kit_of(others[i]) && strcmp(kit_of(others[i]), kit) == 0;
  }
  // Without a list of the kit one of each is assumed, and cables enough
  const int n_kit = !kit                   ? n_same
                    : s->plant->n_kit == 0 ? (step->does == STEP_CHECK ? 1 : n_same)
                    : step->repair == REPAIR_CABLE && !plant_kit(s->plant, kit)
                      ? plant_kit(s->plant, "spare cable")
                      : plant_kit(s->plant, kit);
  return n_same <= n_kit;
}

// ---- The plan ----

typedef struct {
  const Situation* s;
  Arena* arena;
  NextOptions options;
  NextPerson* people; ///< [options.n_people] Busy as the plan fills
  const Crew* crew;
  ShareStep* steps;
  int n_steps;
  const Step* doing[MAX_SHARED + POLICY_MAX_PEOPLE]; ///< Held steps and those of the plan
  int n_doing;
  bool* is_done; ///< [n_lines of the plant] told with another line
} Share;

/// A line and what goes with it.
typedef struct {
  int line;
  const int* lines;
  int n_lines;
  const SharedState* state;
  NextAdvice advice;
  const Step* first; ///< What is done on it: of the plan, or held; NULL = nothing
} ShareLine;

static int
ear_for(const Share* w, const Step* step)
{
  for (int i = 0; step->ear_desk >= 0 && i < w->options.n_people; ++i) {
    if (i != step->person && !w->people[i].is_busy &&
        w->people[i].place == w->s->plant->desks[step->ear_desk].place) {
      return i;
    }
  }
  return -1;
}

// When the other end does not answer one person can be found by voice; whoever else is to do
// something, or to listen, must stand beside whoever asks.
static bool
can_be_told(const Share* w, const Step* step)
{
  const int here = w->s->plant->desks[w->options.home_desk].place;
  return !w->options.nobody_answers ||
         ((w->n_steps == 0 || w->people[step->person].place == here) &&
          (step->ear_desk < 0 || w->s->plant->desks[step->ear_desk].place == here));
}

static bool
can_be_done(const Share* w, const Step* step)
{
  for (int i = 0; i < w->n_doing; ++i) {
    if (!share_together(w->s, w->doing[i], step)) {
      return false;
    }
  }
  return !w->people[step->person].is_busy && can_be_told(w, step) &&
         share_fits(w->s, w->doing, w->n_doing, step) &&
         (step->ear_desk < 0 || ear_for(w, step) >= 0);
}

static void
add(Share* w, const Step* step, ShareWhen when, const ShareLine* of, double saves_s)
{
  const int ear = when == SHARE_INSTEAD ? -1 : ear_for(w, step);
  w->steps[w->n_steps++] = (ShareStep){step, when, of->lines, of->n_lines, of->state, ear, saves_s};
  if (when == SHARE_INSTEAD) {
    return;
  }
  w->doing[w->n_doing++] = step;
  w->people[step->person].is_busy = true;
  if (ear >= 0) {
    w->people[ear].is_busy = true;
  }
}

static bool
anybody_free(const Share* w)
{
  for (int i = 0; i < w->options.n_people; ++i) {
    if (!w->people[i].is_busy) {
      return true;
    }
  }
  return false;
}

// What a line's trouble shares with others: its likeliest cause, when it touches several.
static Status
cause(const Share* w, int line, const SharedState** state)
{
  const Suspect* list = NULL;
  int n = 0;
  double prob = 0.0;
  bool is_told = false;
  Status st = STATUS_OK;
  TRY(st, situation_suspects(w->s, w->arena, line, &list, &n));
  const Suspect* const top = situation_top(list, n, &prob);
  for (int i = 0; i < w->s->n_seen; ++i) {
    is_told =
      is_told || (w->s->seen[i].line == line && situation_is_complaint(w->s, &w->s->seen[i]));
  }
  *state = top && top->state && top->state->n_touches > 1 &&
               prob > (is_told ? GROUP_PROB : PROOF_SUSPECT_PROB)
             ? top->state
             : NULL;
  return STATUS_OK;
}

static Status
group(Share* w, const int lines[], int n_lines, int at, ShareLine* out)
{
  Status st = STATUS_OK;
  int* const all = arena_array(w->arena, (size_t)(n_lines - at), sizeof(int));
  if (!all) {
    return STATUS_NO_MEMORY;
  }
  *out = (ShareLine){.line = lines[at], .lines = all, .n_lines = 1};
  all[0] = lines[at];
  TRY(st, cause(w, lines[at], &out->state));
  for (int i = at + 1; out->state && i < n_lines; ++i) {
    const SharedState* same = NULL;
    TRY(st, cause(w, lines[i], &same));
    if (same == out->state) {
      all[out->n_lines++] = lines[i];
      w->is_done[lines[i]] = true;
    }
  }
  out->state = out->n_lines > 1 ? out->state : NULL;
  return STATUS_OK;
}

// The first step of a line: held by somebody, else the best that fits.
static Status
first_step(Share* w, ShareLine* line)
{
  Status st = STATUS_OK;
  TRY(st, next_advise(w->s, w->arena, line->line, &w->options, &line->advice));
  for (int i = 0; i < w->crew->n_tasks; ++i) {
    const CrewTask* const task = &w->crew->tasks[i];
    if (!task->is_late && task->step.line == line->line && !line->first) {
      line->first = &task->step;
    }
  }
  for (int i = 0; i < line->advice.n_steps && !line->first; ++i) {
    if (can_be_done(w, &line->advice.steps[i])) {
      line->first = &line->advice.steps[i];
      add(w, line->first, SHARE_NOW, line, 0.0);
    }
  }
  return STATUS_OK;
}

// ---- Meanwhile ----

typedef struct {
  const NextProblem* next;
  PolicyProblem p;
  int* zones;
  double* prob;
  Arena* scratch;
} Weigh;

static int
find_check(const NextProblem* next, const Step* step)
{
  for (int i = 0; i < next->problem.n_checks && step->does == STEP_CHECK; ++i) {
    if (next->checks[i].sort == step->check.sort && next->checks[i].desk == step->check.desk) {
      return i;
    }
  }
  return -1;
}

static int
find_repair(const NextProblem* next, const Step* step)
{
  for (int i = 0; i < next->problem.n_repairs && step->does == STEP_REPAIR; ++i) {
    if (next->repairs[i] == step->repair && next->repair_desks[i] == step->desk) {
      return i;
    }
  }
  return -1;
}

// mass times the expected seconds of repair alone behind a branch.
static Status
behind(Weigh* w, const double* weight, double* cost, double* mass)
{
  double sum = 0.0;
  for (int i = 0; i < w->p.n_hyps; ++i) {
    sum += weight[i];
  }
  *cost = 0.0;
  *mass = sum;
  if (sum < 1e-9) {
    return STATUS_OK;
  }
  for (int i = 0; i < w->p.n_hyps; ++i) {
    w->prob[i] = weight[i] / sum;
  }
  PolicyPlan plan;
  Status st = STATUS_OK;
  TRY(st, policy_ecr(&w->p, w->scratch, &plan));
  *cost = sum * plan.seconds;
  return STATUS_OK;
}

// Seconds that a second look at the same time saves on average; 0 when in some likely finding of
// the first it would cost some.
static Status
saving(Weigh* w, const Step* first, const Step* second, double* saves_s)
{
  const PolicyProblem* const all = &w->next->problem;
  const int check = find_check(w->next, first);
  const int repair = find_repair(w->next, first);
  const int other = find_check(w->next, second);
  const int n = all->n_hyps;
  double* const weight = arena_array(w->scratch, (size_t)n, sizeof(double));
  double* const deeper = arena_array(w->scratch, (size_t)n, sizeof(double));
  *saves_s = 0.0;
  if (!weight || !deeper) {
    return STATUS_NO_MEMORY;
  }
  if (other < 0 || (check < 0 && repair < 0)) {
    return STATUS_OK;
  }
  const double later_s = second->seconds > first->seconds ? second->seconds - first->seconds : 0.0;
  const int n_branches = check >= 0 ? all->checks[check].n_outcomes : 1;
  double saved = 0.0;
  Status st = STATUS_OK;
  for (int k = 0; k < n_branches; ++k) {
    for (int i = 0; i < n; ++i) {
      weight[i] = all->prob[i] * (check >= 0 ? all->checks[check].like[k * n + i]
                                             : 1.0 - all->repairs[repair].fixes[i]);
    }
    const int stood = all->person_zone[second->person];
    double alone = 0.0;
    double mass = 0.0;
    double with = 0.0;
    w->zones[second->person] = stood;
    TRY(st, behind(w, weight, &alone, &mass));
    w->zones[second->person] = second->place;
    for (int m = 0; m < all->checks[other].n_outcomes; ++m) {
      double cost = 0.0;
      double part = 0.0;
      for (int i = 0; i < n; ++i) {
        deeper[i] = weight[i] * all->checks[other].like[m * n + i];
      }
      TRY(st, behind(w, deeper, &cost, &part));
      with += cost;
    }
    const double gain = alone - with - mass * later_s;
    if (mass > 0.1 && gain < 0.0) {
      return STATUS_OK;
    }
    saved += gain;
  }
  *saves_s = saved;
  return STATUS_OK;
}

static Status
weigh_line(Share* w, const ShareLine* line, Arena* scratch)
{
  NextProblem next;
  NextAdvice advice;
  Status st = STATUS_OK;
  NextOptions options = w->options;
  options.looks_once = true;
  TRY(st, next_advise(w->s, w->arena, line->line, &options, &advice));
  TRY(st, next_problem(w->s, scratch, line->line, &options, &next));
  Weigh weigh = {&next, next.problem, NULL, NULL, scratch};
  weigh.zones = arena_array(scratch, (size_t)next.problem.n_people, sizeof(int));
  weigh.prob = arena_array(scratch, (size_t)next.problem.n_hyps, sizeof(double));
  if (!weigh.zones || !weigh.prob) {
    return STATUS_NO_MEMORY;
  }
  memcpy(weigh.zones, next.problem.person_zone, (size_t)next.problem.n_people * sizeof(int));
  weigh.zones[line->first->person] = line->first->place;
  weigh.p.person_zone = weigh.zones;
  weigh.p.prob = weigh.prob;
  weigh.p.free_people = UINT32_MAX >> (POLICY_MAX_PEOPLE - weigh.p.n_people);
  const Step* best = NULL;
  double most_s = SHARE_PAYS_S;
  int n_tried = 0;
  for (int i = 0; i < advice.n_steps && n_tried < MAX_TRIED; ++i) {
    const Step* const step = &advice.steps[i];
    double saves_s = 0.0;
    if (is_passive(step) && can_be_done(w, step)) {
      ++n_tried;
      TRY(st, saving(&weigh, line->first, step, &saves_s));
    }
    if (saves_s > most_s) {
      most_s = saves_s;
      best = step;
    }
  }
  if (best) {
    add(w, best, SHARE_MEANWHILE, line, most_s);
  }
  return STATUS_OK;
}

static Status
meanwhile(Share* w, const ShareLine* line)
{
  if (!line->first || !anybody_free(w)) {
    return STATUS_OK;
  }
  Arena scratch;
  arena_init(&scratch, &w->arena->from);
  const Status st = weigh_line(w, line, &scratch);
  arena_deinit(&scratch);
  return st;
}

// ---- All together ----

static void
add_others(Share* w, const ShareLine* line)
{
  for (int i = 0; i < line->advice.n_steps && w->n_steps < MAX_SHARED; ++i) {
    bool is_in = false;
    for (int k = 0; k < w->n_steps; ++k) {
      const Step* const a = w->steps[k].step;
      const Step* const b = &line->advice.steps[i];
      is_in = is_in || (a->does == b->does && a->check.sort == b->check.sort &&
                        a->repair == b->repair && a->desk == b->desk);
    }
    if (!is_in) {
      add(w, &line->advice.steps[i], SHARE_INSTEAD, line, 0.0);
    }
  }
}

static Status
take_crew(Share* w)
{
  const size_t n = (size_t)w->crew->n_people;
  w->people = arena_array(w->arena, n, sizeof(NextPerson));
  w->steps = arena_array(w->arena, MAX_SHARED, sizeof(ShareStep));
  w->is_done = arena_array(w->arena, (size_t)w->s->plant->n_lines, sizeof(bool));
  if (!w->people || !w->steps || !w->is_done) {
    return STATUS_NO_MEMORY;
  }
  memcpy(w->people, w->crew->people, n * sizeof(NextPerson));
  w->options.people = w->people;
  w->options.n_people = (int)n;
  for (int i = 0; i < w->crew->n_tasks; ++i) {
    if (!w->crew->tasks[i].is_late) {
      w->doing[w->n_doing++] = &w->crew->tasks[i].step;
    }
  }
  return STATUS_OK;
}

Status
share_plan(const Situation* s, Arena* arena, const int lines[], int n_lines,
           const NextOptions* options, const Crew* crew, bool wants_others, SharePlan* plan)
{
  Share* const w = arena_array(arena, 1, sizeof(Share));
  ShareLine* const of = arena_array(arena, (size_t)n_lines, sizeof(ShareLine));
  if (!w || !of) {
    return STATUS_NO_MEMORY;
  }
  *w = (Share){.s = s, .arena = arena, .options = *options, .crew = crew};
  Status st = STATUS_OK;
  TRY(st, take_crew(w));
  int n = 0;
  for (int i = 0; i < n_lines && anybody_free(w); ++i) {
    if (!w->is_done[lines[i]]) {
      w->options.looks_once = options->looks_once || n > 0;
      TRY(st, group(w, lines, n_lines, i, &of[n]));
      TRY(st, first_step(w, &of[n++]));
    }
  }
  for (int i = 0; i < n; ++i) {
    TRY(st, meanwhile(w, &of[i]));
  }
  if (wants_others && n > 0) {
    add_others(w, &of[0]);
  }
  *plan = (SharePlan){.steps = w->steps, .n_steps = w->n_steps, .is_usual = true};
  if (n > 0) {
    plan->seconds = of[0].advice.seconds;
    plan->chance = of[0].advice.chance;
    plan->goes_round = of[0].advice.goes_round;
  }
  return STATUS_OK;
}
