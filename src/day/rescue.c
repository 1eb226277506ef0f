// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/rescue.h"

#include "base/text.h"
#include "day/proof.h"
#include "day/words.h"

#include <stdio.h>
#include <string.h>

#define ROUND_FIRST_S                                                                              \
  60.0 // Without a cause by then the way round comes first (design, usual practice)
#define OR_ELSE_PROB 0.05    // A second cause of the same sort is told from here (assumed)
#define STANDS_OUT_PROB 0.25 // Below it no cause is called the likely one (assumed)

// What else could have taken several lines, when one thing most likely did: the next likeliest of
// its sort. NULL when there is none to speak of.
static const SharedState*
or_else(const Suspect list[], int n, const Suspect* top, double* prob)
{
  const Suspect* second = NULL;
  *prob = 0.0;
  if (!top->state || top->state->n_touches < 3 || shared_moves_plugs(top->state->sort)) {
    return NULL;
  }
  for (int i = 0; i < n; ++i) {
    double sum = 0.0;
    for (int k = 0; k < n; ++k) {
      sum += situation_same_part(&list[i], &list[k]) ? list[k].prob : 0.0;
    }
    if (list[i].state && list[i].state->n_touches > 2 && !situation_same_part(top, &list[i]) &&
        sum > *prob + 1e-12) {
      *prob = sum;
      second = &list[i];
    }
  }
  return *prob >= OR_ELSE_PROB ? second->state : NULL;
}

const char*
rescue_likely(const Situation* s, Arena* arena, int line)
{
  const Suspect* list = NULL;
  int n = 0;
  if (situation_suspects(s, arena, line, &list, &n) != STATUS_OK) {
    return NULL;
  }
  WordsFill fill = {.line = arena_format(arena, "%d", s->plant->lines[line].number)};
  bool trouble = s->repaired_by[line] != NULL;
  for (int i = 0; i < s->n_seen; ++i) {
    trouble = trouble || (s->seen[i].line == line && situation_is_complaint(s, &s->seen[i]));
  }
  double sum = 0.0;
  double of_box = 0.0;
  const Suspect* const top = situation_top(list, n, &sum);
  const SharedState* box = NULL;
  if (proof_box(s, arena, line, &box, &of_box) != STATUS_OK) {
    return NULL;
  }
  // The trouble of its neighbours is its own
  trouble = trouble || of_box > PROOF_SUSPECT_PROB;
  // So is what lists and desks say of it, before anybody has listened
  trouble = trouble || (top && sum > PROOF_SUSPECT_PROB);
  if (!fill.line) {
    return NULL;
  }
  if (!top || !trouble) {
    return words_say(arena, WORDS_SOUND, &fill);
  }
  char spoken[CATALOGUE_SPOKEN_BYTES];
  fill.first = top->state ? shared_say(arena, s->plant, s->act, top->state)
                          : catalogue_part(arena, s->plant, s->act, line, &top->fault);
  fill.fault = catalogue_spoken(&top->fault, spoken);
  fill.odds = words_odds(arena, sum);
  if (!fill.first || !fill.odds) {
    return NULL;
  }
  if (s->judged[line]) {
    static const Fault cable = {PART_CABLE, FAULT_NONE, 0, 0, -1, 0};
    fill.first = catalogue_part(arena, s->plant, s->act, line, &cable);
    fill.fault = s->judged[line];
    return !fill.first ? NULL
                       : words_say(arena,
                                   text_same(s->judged[line], "sound") ? WORDS_IT_IS_HIDDEN
                                                                       : WORDS_IT_IS_SHOWN,
                                   &fill);
  }
  if (s->repaired_by[line]) {
    RepairSort repair = REPAIR_NONE;
    (void)repair_of(s->repaired_by[line], &repair);
    const bool took_out =
      repair == REPAIR_CABLE || repair == REPAIR_SOURCE || repair == REPAIR_INLINE;
    const bool is_open = sum < STANDS_OUT_PROB;
    if (is_open && !top->state) {
      fill.first = catalogue_said(arena, fill.first, fill.fault);
    }
    return !fill.first ? NULL
                       : words_say(arena,
                                   is_open      ? WORDS_IT_IS_OPEN
                                   : top->state ? WORDS_IT_IS_SHARED
                                   : took_out   ? WORDS_IT_IS
                                                : WORDS_IT_IS_SET,
                                   &fill);
  }
  double other = 0.0;
  const SharedState* const second = or_else(list, n, top, &other);
  if (second && sum >= STANDS_OUT_PROB) {
    fill.second = shared_say(arena, s->plant, s->act, second);
    fill.found = words_odds(arena, other);
    return fill.second && fill.found ? words_say(arena, WORDS_LIKELY_OR, &fill) : NULL;
  }
  if (top->state) {
    return words_say(arena, sum < STANDS_OUT_PROB ? WORDS_OPEN_SHARED : WORDS_LIKELY_SHARED, &fill);
  }
  return words_say(arena, sum < STANDS_OUT_PROB ? WORDS_OPEN : WORDS_LIKELY, &fill);
}

static void
add_choice(RescueScreen* screen, char key, const char* say)
{
  screen->choices[screen->n_choices++] = (RescueChoice){key, say};
}

static const char*
round_key(Arena* arena, const AroundWay* way)
{
  const char first = way->say[0]; // The sentence goes on where the key's own words stopped
  return arena_format(arena, "go round, about %d s: %c%s", (int)(way->seconds + 0.5),
                      first >= 'A' && first <= 'Z' ? first - 'A' + 'a' : first, way->say + 1);
}

// Sound is back, or the line runs another way.
static Status
screen_done(const Situation* s, Arena* arena, int line, RescueScreen* out)
{
  const Loan* const loan = loan_of(s->loans, s->n_loans, s->act, line);
  const int number = s->plant->lines[line].number;
  out->state = RESCUE_DONE;
  out->headline = !loan ? arena_format(arena, "Line %d has sound again.", number)
                  : loan->sort == WAY_LEAD
                    ? arena_format(arena, "Line %d runs on another network lead.", number)
                  : loan->to != loan->line
                    ? arena_format(arena, "Line %d runs on a way round (line %d).", number,
                                   s->plant->lines[loan->to].number)
                    : arena_format(arena, "Line %d runs on a way round (%s).", number, loan->way);
  add_choice(out, 'u', "take the last answer back");
  add_choice(out, 'q', "leave");
  return out->headline ? STATUS_OK : STATUS_NO_MEMORY;
}

// The step of this line that somebody has in hand, worded; NULL when nobody has one, or it makes no
// sense any more.
static Status
held_step(const Situation* s, Arena* arena, int line, const NextOptions* options, const Crew* crew,
          const Step** step)
{
  const CrewTask* task = NULL;
  for (int i = 0; i < crew->n_tasks && !task; ++i) {
    task = crew->tasks[i].step.line == line && !crew->tasks[i].is_late ? &crew->tasks[i] : NULL;
  }
  *step = NULL;
  if (!task) {
    return STATUS_OK;
  }
  NextPerson* const people = arena_array(arena, (size_t)crew->n_people, sizeof(NextPerson));
  if (!people) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < crew->n_people; ++i) {
    people[i] = crew->people[i];
    people[i].is_busy = i != task->person;
  }
  NextOptions theirs = *options;
  theirs.people = people;
  theirs.n_people = crew->n_people;
  const Step* all = NULL;
  int n = 0;
  Status st = STATUS_OK;
  TRY(st, next_choices(s, arena, line, &theirs, &all, &n));
  for (int i = 0; i < n; ++i) {
    const Step* const a = &all[i];
    const Step* const b = &task->step;
    const bool same =
      a->does == b->does && a->desk == b->desk &&
      (a->does == STEP_CHECK ? a->check.sort == b->check.sort : a->repair == b->repair);
    if (same) {
      const WordsFill fill = {.who = crew->people[task->person].role};
      Step* const held = (Step*)a; // Made here: its reason is ours to say
      held->why = words_say(arena, WORDS_WHY_HELD, &fill);
      *step = held;
      return held->why ? STATUS_OK : STATUS_NO_MEMORY;
    }
  }
  return STATUS_OK;
}

// Who does what on this line now: what is held, what comes first, what helps meanwhile.
static Status
steps_in_hand(const Situation* s, Arena* arena, int line, const NextOptions* options,
              const Crew* crew, RescueScreen* out, bool* goes_round)
{
  const Step* held = NULL;
  SharePlan plan;
  Status st = STATUS_OK;
  TRY(st, held_step(s, arena, line, options, crew, &held));
  TRY(st, share_plan(s, arena, &line, 1, options, crew, false, &plan));
  if (held) {
    int* const own = arena_array(arena, 1, sizeof(int));
    if (!own) {
      return STATUS_NO_MEMORY;
    }
    *own = line;
    out->in_hand[out->n_in_hand++] =
      (ShareStep){.step = held, .when = SHARE_NOW, .lines = own, .n_lines = 1, .ear = -1};
  }
  for (int i = 0; i < plan.n_steps && out->n_in_hand < RESCUE_MAX_IN_HAND; ++i) {
    out->in_hand[out->n_in_hand++] = plan.steps[i];
  }
  *goes_round = plan.goes_round;
  return STATUS_OK;
}

static bool
anybody_free(const Crew* crew)
{
  bool is_free = false;
  for (int i = 0; i < crew->n_people; ++i) {
    is_free = is_free || !crew->people[i].is_busy;
  }
  return is_free;
}

static void
add_choices(Arena* arena, RescueScreen* out)
{
  const Step* const step = out->step;
  const bool round_first = out->state == RESCUE_ROUND;
  if (round_first) {
    add_choice(out, 'w', "done: it runs on the way round");
  }
  for (int i = 0; step && i < step->n_readings; ++i) {
    add_choice(out, (char)('1' + i), step->reading_says[i]);
  }
  if (step) {
    add_choice(out, 'c', "cannot do that");
    add_choice(out, 'e', "somebody else did it already");
  }
  if (out->n_in_hand > 1) {
    const Step* const other = out->in_hand[(out->at + 1) % out->n_in_hand].step;
    add_choice(out, 'm', arena_format(arena, "answer for %s instead", other->who));
  }
  if (!round_first && out->n_ways > 0) {
    add_choice(out, 'w', round_key(arena, &out->ways[0]));
  }
  add_choice(out, 'u', "take the last answer back");
  add_choice(out, 'q', "leave");
}

Status
rescue_with(const Situation* s, Arena* arena, int line, const NextOptions* options,
            const Crew* crew, int at, RescueScreen* screen)
{
  static const WordsFill none;
  RescueScreen out = {.state = RESCUE_STEP, .why = "", .caution = ""};
  bool goes_round = false;
  Status st = STATUS_OK;
  out.likely = rescue_likely(s, arena, line);
  if (!out.likely) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, around_ways(s, arena, line, &out.ways, &out.n_ways));
  if (s->repaired_by[line] || s->moved_to[line] >= 0) {
    TRY(st, screen_done(s, arena, line, &out));
    *screen = out;
    return STATUS_OK;
  }
  TRY(st, steps_in_hand(s, arena, line, options, crew, &out, &goes_round));
  out.at = at > 0 && at < out.n_in_hand ? at : 0;
  out.step = out.n_in_hand > 0 ? out.in_hand[out.at].step : NULL;
  const bool waits = !out.step && !anybody_free(crew);
  // After a minute without a cause the way round comes first; so it does when it is the better bet.
  if (out.n_ways > 0 && !waits && (!out.step || options->since_s >= ROUND_FIRST_S || goes_round)) {
    out.state = RESCUE_ROUND;
    out.headline = out.ways[0].say;
    out.caution = out.ways[0].caution;
    out.why = words_say(
      arena, options->since_s >= ROUND_FIRST_S ? WORDS_WHY_ROUND : WORDS_WHY_ROUND_BET, &none);
  } else if (!out.step) {
    out.state = waits ? RESCUE_WAIT : RESCUE_STUCK;
    out.headline = words_say(arena, waits ? WORDS_WAIT : WORDS_STUCK, &none);
  } else {
    out.headline = out.step->say;
    out.why = out.step->why;
    out.caution = out.step->caution;
  }
  add_choices(arena, &out);
  for (int i = 0; i < out.n_choices; ++i) {
    if (!out.choices[i].say) {
      return STATUS_NO_MEMORY;
    }
  }
  if (!out.headline || !out.why) {
    return STATUS_NO_MEMORY;
  }
  *screen = out;
  return STATUS_OK;
}

Status
rescue_screen(const Situation* s, Arena* arena, int line, const NextOptions* options,
              RescueScreen* screen)
{
  Crew crew;
  Status st = STATUS_OK;
  TRY(st, crew_now(arena, s->plant, NULL, "", options->home_desk, line, &crew));
  return rescue_with(s, arena, line, options, &crew, 0, screen);
}

Status
rescue_answer(const Situation* s, Arena* arena, const RescueScreen* screen, int line, char key,
              FactKind* kind, FactBody* body)
{
  bool offered = false;
  for (int i = 0; i < screen->n_choices; ++i) {
    offered = offered || screen->choices[i].key == key;
  }
  if (!offered) {
    return STATUS_BAD_ARG;
  }
  FactBody out = {.line = s->plant->lines[line].number,
                  .act = s->act >= 0 ? s->plant->acts[s->act].name : ""};
  const Step* const step = screen->step;
  if (key >= '1' && key <= '0' + STEP_MAX_READINGS) {
    out.check = step->check_word;
    out.reading = step->readings[key - '1'];
    const bool at_desk = step->desk >= 0;
    out.at = at_desk ? s->plant->desks[step->desk].name : "socket";
    *kind = FACT_READING;
  } else if (key == 'w') {
    out.way = screen->ways[0].way;
    *kind = FACT_MOVED;
  } else if (key == 'c' || key == 'e') {
    out.act = NULL; // A step is refused whatever the act is called
    out.step = step_word(arena, s->plant, step);
    out.why = key == 'c' ? "cannot" : "somebody else did";
    *kind = FACT_STEP_REFUSED;
    if (!out.step) {
      return STATUS_NO_MEMORY;
    }
  } else {
    return STATUS_NO;
  }
  *body = out;
  return STATUS_OK;
}
