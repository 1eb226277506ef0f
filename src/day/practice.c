// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/practice.h"

#include "base/text.h"
#include "day/cause.h"
#include "day/moved.h"
#include "day/reading.h"
#include "day/rehearse.h"
#include "day/rescue.h"
#include "day/words.h"

#include <string.h>

/*
  Everything follows from the readings so far: the situation after them gives the steps, their words
  and the odds, exactly as in a show. What is kept besides is where people stand and the clock.
*/

/// Where a step is done, as a person would go there.
typedef enum { AT_DESK, AT_BOX, AT_BOX_MEND, AT_SOURCE, AT_SPLIT } PlaceSort;

typedef struct {
  PlaceSort sort;
  int desk; ///< Of AT_DESK, else -1
} Place;

enum { MAX_PLACES = PLANT_DESKS + 4, MAX_VAIN = 4 };

struct Practice {
  Arena* arena;
  const Situation* base;
  World world;
  PracticeOptions options;
  NextOptions next;
  NextPerson* people; ///< [next.n_people]
  const char* complaint;
  Seen* seen; ///< [PRACTICE_MOVES + 1 + n_others]
  int n_seen;
  int* others; ///< [n_others] lines that will be come to, in this order
  int n_others;
  int n_asked; ///< How many of them were come to
  PracticeHeard* heard;
  int n_heard;
  PracticeMove moves[PRACTICE_MOVES];
  int n_moves;
  double spent_s;
  const Situation* now;       ///< After what was seen
  const Situation* was;       ///< Before the last step
  Step last;                  ///< The last step; its words may be gone
  const char* vain[MAX_VAIN]; ///< [n_vain] ways round that did not help
  int n_vain;
  PracticeState state;
  Place at; ///< PRACTICE_WHAT: where
};

// ---- Words ----

static WordsFill
fill_on(const Practice* p, int l, int desk)
{
  const Plant* const plant = p->base->plant;
  const Line* const line = &plant->lines[l];
  const Input* const input = plant_input(plant, p->base->act, l);
  return (WordsFill){.desk = plant->desks[desk >= 0 ? desk : 0].say,
                     .input = arena_format(p->arena, "%d", line->desk_input[desk >= 0 ? desk : 0]),
                     .source = input ? input->source : "the known-good microphone",
                     .box = plant->boxes[line->box].name};
}

static WordsFill
fill_of(const Practice* p, int desk)
{
  return fill_on(p, p->world.cause.line, desk);
}

static const char*
complaint_say(const Practice* p, int line, Check check, int key)
{
  static const Sentence levels[] = {WORDS_SAYS_NOTHING, WORDS_SAYS_FAR_DOWN, WORDS_SAYS_LOW,
                                    WORDS_SAYS_LOW, WORDS_SAYS_OVER};
  const WordsFill fill = fill_on(p, line, check.desk);
  const Sentence sentence = check.sort == CHECK_LEVEL ? levels[key]
                            : check.sort == CHECK_HUM
                              ? key == HUM_LOUD ? WORDS_SAYS_HUM_LOUD : WORDS_SAYS_HUM
                            : key == CRACKLE_ON_TOUCH ? WORDS_SAYS_TOUCH
                                                      : WORDS_SAYS_CRACKLE;
  return fill.input ? words_say(p->arena, sentence, &fill) : NULL;
}

/// "30, 31, 32 and 9 more"
static const char*
others_say(const Practice* p)
{
  enum { NAMED = 8 };
  TextOut out = {.arena = p->arena};
  if (p->n_heard == 0) {
    return "";
  }
  for (int i = 0; i < p->n_heard && i < NAMED; ++i) {
    text_add(&out, "%s%d", i ? ", " : "", p->base->plant->lines[p->heard[i].line].number);
  }
  if (p->n_heard > NAMED) {
    text_add(&out, " and %d more", p->n_heard - NAMED);
  }
  const WordsFill fill = {.line = text_done(&out)};
  return fill.line ? words_say(p->arena, WORDS_SAYS_OTHERS, &fill) : NULL;
}

static const char*
place_say(const Practice* p, Place place)
{
  static const Sentence sentences[] = {WORDS_PLACE_DESK, WORDS_PLACE_BOX, WORDS_PLACE_BOX_MEND,
                                       WORDS_PLACE_SOURCE, WORDS_PLACE_SPLIT};
  const WordsFill fill = fill_of(p, place.desk);
  return fill.input ? words_say(p->arena, sentences[place.sort], &fill) : NULL;
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
  return (Place){source ? AT_SOURCE : check ? AT_BOX : AT_BOX_MEND, -1};
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

/// Who walks to a zone soonest, and how long that takes.
static int
nearest(const Practice* p, uint32_t people, int zone, double* walk_s)
{
  const Plant* const plant = p->base->plant;
  int best = -1;
  for (int i = 0; i < p->next.n_people; ++i) {
    const double walk =
      zone == POLICY_ANYWHERE ? 0.0 : plant->walk_s[p->people[i].place * plant->n_places + zone];
    if ((people >> i & 1u) && (best < 0 || walk < *walk_s)) {
      best = i;
      *walk_s = walk;
    }
  }
  return best;
}

static bool
is_vain(const Practice* p, const AroundWay* way)
{
  bool vain = false;
  for (int i = 0; i < p->n_vain; ++i) {
    vain = vain || !strcmp(p->vain[i], way->way);
  }
  return vain || p->n_vain == MAX_VAIN;
}

Status
practice_round(const Practice* p, PracticeRound* round)
{
  static const WordsFill none;
  const Plant* const plant = p->base->plant;
  const int line = p->world.cause.line;
  NextOptions next = options_now(p);
  NextProblem problem;
  const AroundWay* ways = NULL;
  int n_ways = 0;
  Status st = STATUS_OK;
  next.goes_round = false; // Then the service is a new line
  TRY(st, next_problem(p->now, p->arena, line, &next, &problem));
  TRY(st, around_ways(p->now, p->arena, line, &ways, &n_ways));
  const PolicyService* const service = &problem.problem.service;
  PracticeRound out = {0};
  for (int i = 0; i < n_ways && !out.way; ++i) {
    out.way = is_vain(p, &ways[i]) || ways[i].seconds > service->seconds ? NULL : &ways[i];
  }
  out.seconds = out.way ? out.way->seconds : service->seconds;
  out.say = out.way ? out.way->say : words_say(p->arena, WORDS_NEW_LINE, &none);
  const WaySort sort = out.way ? out.way->sort : WAY_NONE;
  out.takes_plug = sort == WAY_SOCKET;
  double walk_s = 0.0;
  const int person = nearest(p, service->people, service->zone, &walk_s);
  const bool at_desk = sort == WAY_INPUT || sort == WAY_FEED;
  out.who = sort == WAY_SPARE ? "every desk"
            : at_desk         ? plant->desks[out.way->desk].say
            : person >= 0     ? p->people[person].role
                              : "somebody";
  out.seconds += sort == WAY_SPARE || at_desk ? 0.0 : walk_s;
  *round = out;
  return out.say ? STATUS_OK : STATUS_NO_MEMORY;
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
  PracticeScreen out = {
    .state = p->state, .complaint = p->complaint, .others = others_say(p), .at = ""};
  if (!out.others) {
    return STATUS_NO_MEMORY;
  }
  if (p->state == PRACTICE_WHERE || p->state == PRACTICE_WHAT) {
    const Step* steps = NULL;
    int n = 0;
    PracticeRound round;
    Status st = STATUS_OK;
    TRY(st, steps_now(p, &steps, &n));
    TRY(st,
        p->state == PRACTICE_WHERE ? list_where(p, steps, n, &out) : list_what(p, steps, n, &out));
    TRY(st, practice_round(p, &round));
    const char* const say = arena_format(p->arena, "go round: %s", round.say);
    if (!say) {
      return STATUS_NO_MEMORY;
    }
    add_choice(&out, (PracticeChoice){'w', say, NULL, round.seconds, 0});
    add_choice(&out, (PracticeChoice){'?', "what would the advice do now?", NULL, 0.0, 0});
    add_choice(&out, (PracticeChoice){'q', "leave, and be told what it was", NULL, 0.0, 0});
  }
  *screen = out;
  return STATUS_OK;
}

// ---- Doing it ----

/// Complaints of other lines up to a time on the clock, behind what was seen.
static Status
hear_others(const Practice* p, double until_s, int* n_seen, int* n_asked, int* n_heard)
{
  const double look_s = plant_time_s(p->base->plant, "see which channel is silent", 5.0);
  for (; *n_asked < p->n_others && (*n_asked + 1) * look_s <= until_s + 1e-9; ++*n_asked) {
    Seen seen = {.line = p->others[*n_asked], .check = {CHECK_LEVEL, 0}};
    const Status st = world_complaint_on(&p->world, seen.line, &seen.check, &seen.key);
    if (st == STATUS_NO_SOLUTION) {
      continue; // Nobody notices anything there
    }
    PracticeHeard heard = {(*n_asked + 1) * look_s, seen.line, NULL};
    if (st != STATUS_OK || !(heard.say = complaint_say(p, seen.line, seen.check, seen.key))) {
      return st != STATUS_OK ? st : STATUS_NO_MEMORY;
    }
    p->seen[(*n_seen)++] = seen;
    p->heard[(*n_heard)++] = heard;
  }
  return STATUS_OK;
}

/// What was seen, and what others complained of meanwhile. A repair that helped ends it.
static Status
take_in(Practice* p, const Seen* seen, PracticeMove move)
{
  Situation* after = NULL;
  int n_seen = p->n_seen + 1;
  int n_asked = p->n_asked;
  int n_heard = p->n_heard;
  Status st = STATUS_OK;
  p->seen[p->n_seen] = *seen;
  if (!(seen->check.sort == CHECK_SWAP && seen->key == SWAP_BETTER)) {
    TRY(st, hear_others(p, p->spent_s + move.seconds, &n_seen, &n_asked, &n_heard));
  }
  TRY(st, situation_after(p->arena, p->base, p->seen, n_seen, &after));
  p->n_seen = n_seen;
  p->n_asked = n_asked;
  p->n_heard = n_heard;
  p->was = p->now;
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
  Seen seen = {.line = line, .check = step->check};
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
    const bool lamps = step->check.sort == CHECK_LAMPS || step->check.sort == CHECK_SENT;
    answer = !reading ? NULL
             : lamps  ? arena_format(p->arena, "the lamps show \"%s\"", reading)
                      : reading_say(p->now, p->arena, line, step->check, reading);
  } else {
    helped =
      world_repair(&p->world, step->repair, step->desk, attempts(p, step->repair, step->desk));
    seen = (Seen){.line = line,
                  .check = {CHECK_SWAP, step->desk},
                  .key = helped ? SWAP_BETTER : SWAP_SAME,
                  .item = repair_word(step->repair)};
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
  p->last = *step;
  p->state = helped ? PRACTICE_SOUND : PRACTICE_WHERE;
  return STATUS_OK;
}

// What one desk alone has another way mends that desk's side and input, and nothing else.
static bool
round_helps(const Practice* p, const PracticeRound* round)
{
  const AroundWay* const way = round->way;
  if (!way || way->desk < 0) {
    return !way || world_goes_round(&p->world, way->uses_line, round->takes_plug);
  }
  const WorldCause* const cause = &p->world.cause;
  const bool side = repair_fixes(REPAIR_SIDE, way->desk, cause->state, &cause->fault);
  const bool input = repair_fixes(REPAIR_INPUT, way->desk, cause->state, &cause->fault);
  return way->sort == WAY_INPUT ? input : way->sort == WAY_SIDE ? side : side || input;
}

Status
practice_go_round(Practice* p)
{
  PracticeRound round;
  Status st = STATUS_OK;
  if (p->n_moves == PRACTICE_MOVES) {
    p->state = PRACTICE_LEFT;
    return STATUS_OK;
  }
  TRY(st, practice_round(p, &round));
  const bool helps = round_helps(p, &round);
  const PracticeMove move = {p->spent_s, round.seconds, round.who, round.say,
                             helps              ? "it sounds, and the fault is still there"
                             : round.takes_plug ? "no change, and the plug goes back"
                                                : "no change"};
  if (!helps && round.takes_plug) { // The plug in another socket, and nothing better: a reading
    const Seen seen = {.line = p->world.cause.line,
                       .check = {CHECK_SWAP, -1},
                       .key = SWAP_SAME,
                       .item = repair_word(REPAIR_SOCKET)};
    TRY(st, take_in(p, &seen, move));
  } else {
    p->moves[p->n_moves++] = move;
    p->spent_s += round.seconds;
  }
  if (!helps) {
    p->vain[p->n_vain++] = round.way->way;
  }
  p->state = helps ? PRACTICE_ROUND : PRACTICE_WHERE;
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

Status
practice_moved(const Practice* p, const char** say)
{
  if (p->n_moves == 0) {
    *say = "";
    return STATUS_OK;
  }
  return moved_say(p->arena, p->was, p->now, p->world.cause.line, say);
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

const PracticeHeard*
practice_heard(const Practice* p, int* n)
{
  *n = p->n_heard;
  return p->heard;
}

int
practice_line(const Practice* p)
{
  return p->world.cause.line;
}

Status
practice_end(const Practice* p, PracticeEnd* end)
{
  PracticeEnd out = {
    .truth = cause_truth(p->arena, p->base, &p->world.cause),
    .after = p->state == PRACTICE_SOUND ? cause_mended(p->arena, p->base, &p->world.cause, &p->last)
             : p->state == PRACTICE_ROUND ? cause_passed(p->arena, p->base, &p->world.cause)
                                          : "",
    .seconds = p->spent_s};
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
  const RehearseOptions same = {.goes_round = p->options.goes_round,
                                .asks = p->options.asks,
                                .n_people = p->options.n_people,
                                .deadline_s = p->options.deadline_s};
  TRY(st, rehearse_one(p->arena, p->base, &p->world, REHEARSE_FLOOR, &same, &out.floor_s));
  TRY(st, rehearse_one(p->arena, p->base, &p->world, REHEARSE_HABIT, &same, &out.habit_s));
  *end = out;
  return out.truth && out.after ? STATUS_OK : STATUS_NO_MEMORY;
}

// ---- Beginning ----

Status
practice_new(Arena* arena, const Situation* base, const World* world,
             const PracticeOptions* options, Practice** practice)
{
  if (options->n_people < 0 || options->n_people > 2) {
    return STATUS_BAD_ARG;
  }
  const Plant* const plant = base->plant;
  Practice* const p = arena_array(arena, 1, sizeof(Practice));
  int* const others = arena_array(arena, (size_t)plant->n_lines, sizeof(int));
  Seen seen = {.line = world->cause.line, .check = {CHECK_LEVEL, 0}};
  Status st = STATUS_OK;
  if (!p || !others) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, world_complaint(world, &seen.check, &seen.key));
  *p = (Practice){.arena = arena, .base = base, .world = *world, .options = *options};
  p->others = others;
  p->n_others = world_others(world, others, plant->n_lines);
  p->seen = arena_array(arena, PRACTICE_MOVES + 1 + (size_t)p->n_others, sizeof(Seen));
  p->heard = arena_array(arena, (size_t)p->n_others + 1, sizeof(PracticeHeard));
  p->next = (NextOptions){
    .home_desk = seen.check.desk, .is_silent = !options->asks, .goes_round = options->goes_round};
  TRY(st, rehearse_people(arena, plant, options->n_people, seen.check.desk, seen.line, &p->people,
                          &p->next.n_people));
  p->complaint = complaint_say(p, seen.line, seen.check, seen.key);
  if (!p->complaint || !p->seen || !p->heard) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, take_in(p, &seen, (PracticeMove){0}));
  *practice = p;
  return STATUS_OK;
}
