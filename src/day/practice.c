// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/practice.h"

#include "base/text.h"
#include "day/reading.h"
#include "day/rescue.h"
#include "day/words.h"

#include <ctype.h>
#include <string.h>

/*
  Everything follows from the readings so far: the situation after them gives the steps, their words
  and the odds, exactly as in a show. What is kept besides is where people stand and the clock.
*/

/// Where a step is done, as a person would go there.
typedef enum { AT_DESK, AT_BOX, AT_SOURCE, AT_SPLIT } PlaceSort;

typedef struct {
  PlaceSort sort;
  int desk; ///< Of AT_DESK, else -1
} Place;

enum { MAX_PLACES = PLANT_DESKS + 3 };

struct Practice {
  Arena* arena;
  const Situation* base;
  World world;
  PracticeOptions options;
  NextOptions next;
  NextPerson people[2];
  const char* complaint;
  Seen seen[PRACTICE_MOVES + 1];
  int n_seen;
  PracticeMove moves[PRACTICE_MOVES];
  int n_moves;
  double spent_s;
  const Situation* now; ///< After what was seen
  PracticeState state;
  Place at; ///< PRACTICE_WHAT: where
};

// ---- Words ----

static WordsFill
fill_of(const Practice* p, int desk)
{
  const Plant* const plant = p->base->plant;
  const Line* const line = &plant->lines[p->world.cause.line];
  const Input* const input = plant_input(plant, p->base->act, p->world.cause.line);
  return (WordsFill){.desk = plant->desks[desk >= 0 ? desk : 0].say,
                     .input = arena_format(p->arena, "%d", line->desk_input[desk >= 0 ? desk : 0]),
                     .source = input ? input->source : "the known-good microphone",
                     .box = plant->boxes[line->box].name};
}

static const char*
complaint_say(const Practice* p, Check check, int key)
{
  static const Sentence levels[] = {WORDS_SAYS_NOTHING, WORDS_SAYS_FAR_DOWN, WORDS_SAYS_LOW,
                                    WORDS_SAYS_LOW, WORDS_SAYS_OVER};
  const WordsFill fill = fill_of(p, check.desk);
  const Sentence sentence = check.sort == CHECK_LEVEL ? levels[key]
                            : check.sort == CHECK_HUM
                              ? key == HUM_LOUD ? WORDS_SAYS_HUM_LOUD : WORDS_SAYS_HUM
                            : key == CRACKLE_ON_TOUCH ? WORDS_SAYS_TOUCH
                                                      : WORDS_SAYS_CRACKLE;
  return fill.input ? words_say(p->arena, sentence, &fill) : NULL;
}

static const char*
place_say(const Practice* p, Place place)
{
  static const Sentence sentences[] = {WORDS_PLACE_DESK, WORDS_PLACE_BOX, WORDS_PLACE_SOURCE,
                                       WORDS_PLACE_SPLIT};
  const WordsFill fill = fill_of(p, place.desk);
  return fill.input ? words_say(p->arena, sentences[place.sort], &fill) : NULL;
}

const char*
practice_cause_say(Arena* arena, const Situation* base, const WorldCause* cause)
{
  if (cause->state) {
    return shared_say(arena, base->plant, base->act, cause->state);
  }
  char name[24];
  const char* const part =
    catalogue_part(arena, base->plant, base->act, cause->line, &cause->fault);
  return part ? arena_format(arena, "%s: %s", part, catalogue_name(&cause->fault, name)) : NULL;
}

static const char*
truth_say(const Practice* p)
{
  const WorldCause* const cause = &p->world.cause;
  char name[24] = "";
  WordsFill fill = {.fault = name};
  fill.first = cause->state ? practice_cause_say(p->arena, p->base, cause)
                            : catalogue_part(p->arena, p->base->plant, p->base->act, cause->line,
                                             &cause->fault);
  if (!cause->state) {
    (void)catalogue_name(&cause->fault, name);
  }
  return fill.first ? words_say(p->arena, cause->state ? WORDS_TRUTH_SHARED : WORDS_TRUTH, &fill)
                    : NULL;
}

// ---- What can be done ----

static Place
place_of(const Step* step)
{
  const bool check = step->does == STEP_CHECK;
  const bool at_desk =
    step->desk >= 0 &&
    !(check && (step->check.sort == CHECK_HUNT || step->check.sort == CHECK_CRACKLE));
  if (at_desk) {
    return (Place){AT_DESK, step->desk};
  }
  if (!check && step->repair == REPAIR_TAIL) {
    return (Place){AT_SPLIT, -1};
  }
  const bool source = !check && (step->repair == REPAIR_SWITCH || step->repair == REPAIR_SOURCE ||
                                 step->repair == REPAIR_LIFT || step->repair == REPAIR_INLINE);
  return (Place){source ? AT_SOURCE : AT_BOX, -1};
}

static bool
same_place(Place a, Place b)
{
  return a.sort == b.sort && a.desk == b.desk;
}

/// Options as they are now: people where they stand, what is left of the deadline.
static NextOptions
options_now(const Practice* p)
{
  NextOptions next = p->next;
  const double left_s = p->options.deadline_s - p->spent_s;
  next.people = p->people;
  next.n_people = p->options.n_people;
  next.deadline_s = left_s > 0.0 ? left_s : 0.0;
  return next;
}

static Status
steps_now(const Practice* p, const Step** steps, int* n)
{
  const NextOptions next = options_now(p);
  return next_choices(p->now, p->arena, p->world.cause.line, &next, steps, n);
}

/// The places where something can be done: where it goes quickest first.
static int
list_places(const Step steps[], int n, Place places[MAX_PLACES], double seconds[MAX_PLACES],
            int counts[MAX_PLACES])
{
  int n_places = 0;
  for (int i = 0; i < n; ++i) {
    const Place place = place_of(&steps[i]);
    int at = 0;
    while (at < n_places && !same_place(places[at], place)) {
      ++at;
    }
    if (at == n_places) {
      places[n_places++] = place;
      seconds[at] = steps[i].seconds;
      counts[at] = 0;
    }
    seconds[at] = steps[i].seconds < seconds[at] ? steps[i].seconds : seconds[at];
    ++counts[at];
  }
  return n_places;
}

static Status
round_now(const Practice* p, const char** say, PolicyService* service)
{
  static const WordsFill none;
  NextOptions next = options_now(p);
  NextProblem problem;
  const AroundWay* ways = NULL;
  int n_ways = 0;
  Status st = STATUS_OK;
  next.goes_round = true;
  TRY(st, next_problem(p->now, p->arena, p->world.cause.line, &next, &problem));
  TRY(st, around_ways(p->now, p->arena, p->world.cause.line, &ways, &n_ways));
  *service = problem.problem.service;
  *say = n_ways && ways[0].seconds <= service->seconds ? ways[0].say
                                                       : words_say(p->arena, WORDS_NEW_LINE, &none);
  return *say ? STATUS_OK : STATUS_NO_MEMORY;
}

/// Who walks to a zone soonest, and how long that takes.
static int
nearest(const Practice* p, uint32_t people, int zone, double* walk_s)
{
  const Plant* const plant = p->base->plant;
  int best = -1;
  for (int i = 0; i < p->options.n_people; ++i) {
    const double walk =
      zone == POLICY_ANYWHERE ? 0.0 : plant->walk_s[p->people[i].place * plant->n_places + zone];
    if ((people >> i & 1u) && (best < 0 || walk < *walk_s)) {
      best = i;
      *walk_s = walk;
    }
  }
  return best;
}

static double
round_seconds(const Practice* p, const PolicyService* service, int* person)
{
  double walk_s = 0.0;
  *person = nearest(p, service->people, service->zone, &walk_s);
  return walk_s + service->seconds;
}

static char
key_of(int i)
{
  return i < 9 ? (char)('1' + i) : (char)('a' + i - 9);
}

static void
add_choice(PracticeScreen* screen, PracticeChoice choice)
{
  screen->choices[screen->n_choices++] = choice;
}

static Status
list_where(const Practice* p, const Step steps[], int n, PracticeScreen* screen)
{
  Place places[MAX_PLACES];
  double seconds[MAX_PLACES];
  int counts[MAX_PLACES];
  const int n_places = list_places(steps, n, places, seconds, counts);
  for (int i = 0; i < n_places; ++i) {
    const char* const say = place_say(p, places[i]);
    if (!say) {
      return STATUS_NO_MEMORY;
    }
    add_choice(screen, (PracticeChoice){key_of(i), say, NULL, seconds[i], counts[i]});
  }
  return STATUS_OK;
}

static Status
list_what(const Practice* p, const Step steps[], int n, PracticeScreen* screen)
{
  screen->at = place_say(p, p->at);
  for (int i = 0; i < n && screen->n_choices < PRACTICE_CHOICES - 4; ++i) {
    if (same_place(place_of(&steps[i]), p->at)) {
      add_choice(screen, (PracticeChoice){key_of(screen->n_choices), steps[i].say, &steps[i],
                                          steps[i].seconds, 0});
    }
  }
  add_choice(screen, (PracticeChoice){'0', "somewhere else", NULL, 0.0, 0});
  return screen->at ? STATUS_OK : STATUS_NO_MEMORY;
}

Status
practice_screen(const Practice* p, PracticeScreen* screen)
{
  PracticeScreen out = {.state = p->state, .complaint = p->complaint, .at = ""};
  if (p->state == PRACTICE_WHERE || p->state == PRACTICE_WHAT) {
    const Step* steps = NULL;
    int n = 0;
    PolicyService service;
    int person = -1;
    const char* round = NULL;
    Status st = STATUS_OK;
    TRY(st, steps_now(p, &steps, &n));
    TRY(st,
        p->state == PRACTICE_WHERE ? list_where(p, steps, n, &out) : list_what(p, steps, n, &out));
    TRY(st, round_now(p, &round, &service));
    const char* const say = arena_format(p->arena, "go round: %s", round);
    if (!say) {
      return STATUS_NO_MEMORY;
    }
    add_choice(&out, (PracticeChoice){'w', say, NULL, round_seconds(p, &service, &person), 0});
    add_choice(&out, (PracticeChoice){'?', "what would the advice do now?", NULL, 0.0, 0});
    add_choice(&out, (PracticeChoice){'q', "leave, and be told what it was", NULL, 0.0, 0});
  }
  *screen = out;
  return STATUS_OK;
}

// ---- Doing it ----

static Status
take_in(Practice* p, const Seen* seen, PracticeMove move)
{
  Situation* after = NULL;
  Status st = STATUS_OK;
  p->seen[p->n_seen] = *seen;
  TRY(st, situation_after(p->arena, p->base, p->seen, p->n_seen + 1, &after));
  ++p->n_seen;
  p->now = after;
  if (move.say) {
    p->moves[p->n_moves++] = move;
    p->spent_s += move.seconds;
  }
  return STATUS_OK;
}

/// How often a repair was tried before.
static int
attempts(const Practice* p, RepairSort repair, int desk)
{
  int n = 0;
  for (int i = 0; i < p->n_seen; ++i) {
    n += p->seen[i].check.sort == CHECK_SWAP && p->seen[i].check.desk == desk &&
         !strcmp(p->seen[i].item, repair_word(repair));
  }
  return n;
}

Status
practice_take(Practice* p, const Step* step)
{
  const int line = p->world.cause.line;
  Status st = STATUS_OK;
  Seen seen = {line, step->check, 0, NULL};
  bool helped = false;
  const char* answer = NULL;
  if (p->n_moves == PRACTICE_MOVES) {
    p->state = PRACTICE_LEFT;
    return STATUS_OK;
  }
  if (step->does == STEP_CHECK) {
    TRY(st, world_check(&p->world, step->check, &seen.key));
    const char* const reading =
      predict_key_text(p->arena, p->base->plant, p->base->act, step->check, line, seen.key);
    answer = reading ? reading_say(p->now, p->arena, line, step->check, reading) : NULL;
  } else {
    helped =
      world_repair(&p->world, step->repair, step->desk, attempts(p, step->repair, step->desk));
    seen = (Seen){
      line, {CHECK_SWAP, step->desk}, helped ? SWAP_BETTER : SWAP_SAME, repair_word(step->repair)};
    answer = helped ? "there is sound now" : "no change";
  }
  if (!answer) {
    return STATUS_NO_MEMORY;
  }
  TRY(st,
      take_in(p, &seen, (PracticeMove){p->spent_s, step->seconds, step->who, step->say, answer}));
  if (step->place >= 0) {
    p->people[step->person].place = step->place;
  }
  p->state = helped ? PRACTICE_SOUND : PRACTICE_WHERE;
  return STATUS_OK;
}

Status
practice_go_round(Practice* p)
{
  PolicyService service;
  int person = -1;
  const char* say = NULL;
  Status st = STATUS_OK;
  TRY(st, round_now(p, &say, &service));
  const double seconds = round_seconds(p, &service, &person);
  if (p->n_moves < PRACTICE_MOVES) {
    p->moves[p->n_moves++] =
      (PracticeMove){p->spent_s, seconds, person >= 0 ? p->people[person].role : "somebody", say,
                     "it sounds, and the fault is still there"};
  }
  p->spent_s += seconds;
  p->state = PRACTICE_ROUND;
  return STATUS_OK;
}

Status
practice_key(Practice* p, const PracticeScreen* screen, char key)
{
  const PracticeChoice* choice = NULL;
  for (int i = 0; i < screen->n_choices && !choice; ++i) {
    choice = screen->choices[i].key == key ? &screen->choices[i] : NULL;
  }
  if (!choice) {
    return STATUS_BAD_ARG;
  }
  if (choice->step) {
    return practice_take(p, choice->step);
  }
  if (key == 'w') {
    return practice_go_round(p);
  }
  if (key == 'q') {
    p->state = PRACTICE_LEFT;
  } else if (key == '0') {
    p->state = PRACTICE_WHERE;
  } else if (key != '?') {
    const Step* steps = NULL;
    int n = 0;
    Place places[MAX_PLACES];
    double seconds[MAX_PLACES];
    int counts[MAX_PLACES];
    Status st = STATUS_OK;
    TRY(st, steps_now(p, &steps, &n));
    const int n_places = list_places(steps, n, places, seconds, counts);
    for (int i = 0; i < n_places; ++i) {
      p->at = key_of(i) == key ? places[i] : p->at;
    }
    p->state = PRACTICE_WHAT;
  }
  return STATUS_OK;
}

// ---- The advice ----

Status
practice_advice(const Practice* p, const Step** step, const char** likely)
{
  const NextOptions next = options_now(p);
  NextAdvice advice = {0};
  Status st = STATUS_OK;
  TRY(st, next_advise(p->now, p->arena, p->world.cause.line, &next, &advice));
  *likely = rescue_likely(p->now, p->arena, p->world.cause.line);
  *step = advice.n_steps && !advice.goes_round ? &advice.steps[0] : NULL;
  return *likely ? STATUS_OK : STATUS_NO_MEMORY;
}

/// Let the advice play to the end; its first step on the way.
static Status
play_out(Practice* p, const Step** first)
{
  Status st = STATUS_OK;
  while (p->state == PRACTICE_WHERE) {
    const Step* step = NULL;
    const char* likely = NULL;
    TRY(st, practice_advice(p, &step, &likely));
    *first = p->n_moves == 0 ? step : *first;
    TRY(st, step ? practice_take(p, step) : practice_go_round(p));
  }
  return STATUS_OK;
}

double
practice_seconds(const Practice* p)
{
  return p->spent_s;
}

const PracticeMove*
practice_moves(const Practice* p, int* n)
{
  *n = p->n_moves;
  return p->moves;
}

int
practice_line(const Practice* p)
{
  return p->world.cause.line;
}

Status
practice_end(const Practice* p, PracticeEnd* end)
{
  PracticeEnd out = {.truth = truth_say(p), .seconds = p->spent_s};
  Practice* other = NULL;
  const Suspect* list = NULL;
  int n = 0;
  double prob = 0.0;
  Status st = STATUS_OK;
  TRY(st, situation_suspects(p->now, p->arena, p->world.cause.line, &list, &n));
  const Suspect* const top = situation_top(list, n, &prob);
  out.is_named = p->state == PRACTICE_SOUND && top && world_is_part(&p->world, top);
  TRY(st, practice_new(p->arena, p->base, &p->world, &p->options, &other));
  TRY(st, play_out(other, &out.first));
  out.advice_s = other->spent_s;
  out.advice_steps = other->n_moves;
  out.advice_found = other->state == PRACTICE_SOUND;
  *end = out;
  return out.truth ? STATUS_OK : STATUS_NO_MEMORY;
}

// ---- Beginning ----

Status
practice_new(Arena* arena, const Situation* base, const World* world,
             const PracticeOptions* options, Practice** practice)
{
  if (options->n_people < 1 || options->n_people > 2) {
    return STATUS_BAD_ARG;
  }
  Practice* const p = arena_array(arena, 1, sizeof(Practice));
  Seen seen = {world->cause.line, {CHECK_LEVEL, 0}, 0, NULL};
  Status st = STATUS_OK;
  if (!p) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, world_complaint(world, &seen.check, &seen.key));
  *p = (Practice){.arena = arena, .base = base, .world = *world, .options = *options};
  const Plant* const plant = base->plant;
  const int desk = plant->desks[seen.check.desk].place;
  const int stage = plant->boxes[plant->lines[world->cause.line].box].place;
  p->people[0] = (NextPerson){"engineer", desk, desk, false};
  p->people[1] = (NextPerson){"stage hand", stage, stage, false};
  p->next = (NextOptions){.home_desk = seen.check.desk, .is_silent = !options->asks};
  p->complaint = complaint_say(p, seen.check, seen.key);
  if (!p->complaint) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, take_in(p, &seen, (PracticeMove){0}));
  *practice = p;
  return STATUS_OK;
}

static bool
holds(const char* text, const char* part)
{
  const size_t n = strlen(part);
  for (; *text; ++text) {
    size_t i = 0;
    while (i < n && text[i] && tolower((unsigned char)text[i]) == tolower((unsigned char)part[i])) {
      ++i;
    }
    if (i == n) {
      return true;
    }
  }
  return false;
}

Status
practice_cause_of(Arena* arena, const Situation* base, int line, const char* text,
                  WorldCause* cause, const char* fits[8], int* n_fits)
{
  static const Fault none = {PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0};
  const int n_locals = base->model.n_locals[line];
  WorldCause only = {0};
  bool is_exact = false;
  int n = 0;
  *n_fits = 0;
  for (int i = 0; i < n_locals + base->n_states - 1; ++i) {
    const SharedState* const state = i < n_locals ? NULL : &base->states[i - n_locals + 1];
    const Fault* const fault = state ? &none : &base->locals[line][i];
    if (state ? state->sort == SHARED_TESTER || !shared_touch(state, line)
              : fault->mode == FAULT_NONE || fault->mode == FAULT_SOMETHING_ELSE) {
      continue;
    }
    const WorldCause one = {base->act, line, *fault, state};
    const char* const say = practice_cause_say(arena, base, &one);
    if (!say) {
      return STATUS_NO_MEMORY;
    }
    const bool exact = text_same(say, text);
    if (holds(say, text) && !is_exact) {
      only = one;
      is_exact = exact;
      ++n;
      if (*n_fits < 8) {
        fits[(*n_fits)++] = say;
      }
    }
  }
  if (n != 1 && !is_exact) {
    return STATUS_NO_SOLUTION;
  }
  *cause = only;
  return STATUS_OK;
}
