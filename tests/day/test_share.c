// SPDX-License-Identifier: GPL-3.0-or-later
/*
  Who is where, who is busy, and steps for everybody at once, on the demo event.

  The law of what may be done at the same time is written down here a second time, from the words of
  the job alone and not from the code: one joint, one desk, one tester, no plug moved while phantom
  may come on.

  LINEWALK_LONG=1: 400 random stages instead of 25.
*/
#include "base/rng.h"
#include "day/planted.h"
#include "day/share.h"
#include "stage/lists.h"

#include <string.h>

static const NextOptions home = {0};

#define TAKEN_AT "2031-06-14T15:22:00Z"

static const NextPerson*
person(const Crew* crew, const char* role)
{
  for (int i = 0; i < crew->n_people; ++i) {
    if (strcmp(crew->people[i].role, role) == 0) {
      return &crew->people[i];
    }
  }
  fail_msg("nobody is %s", role);
  return NULL;
}

static Crew
crew_at(Planted* p, const char* now)
{
  Crew crew;
  assert_int_equal(crew_now(&p->arena, p->plant, planted_fold(p), now, 0, p->line, &crew),
                   STATUS_OK);
  return crew;
}

static void
take(Planted* p, const char* role, int line, const char* step, const char* at, int seconds)
{
  const FactBody body = {.line = line, .step = step, .at = at, .seconds = seconds};
  planted_tell(p, FACT_STEP_TAKEN, &body, TAKEN_AT, "", role);
}

static void
answer(Planted* p, const char* role, const char* place, int line, const char* check,
       const char* reading, const char* at)
{
  const FactBody body = {.line = line, .check = check, .reading = reading, .at = at, .act = "act2"};
  planted_tell(p, FACT_READING, &body, "2031-06-14T15:22:20Z", place, role);
}

static void
times_are_read(void** state)
{
  (void)state;
  // date -u -d 2031-06-14T15:22:07Z +%s; the leap days of 2000 and 2028 by `date` too
  static const struct {
    const char* text;
    bool is_time;
    double want_s;
  } rows[] = {
    {"1970-01-01T00:00:00Z", true, 0.0},
    {"2031-06-14T15:22:07Z", true, 1939216927.0},
    {"2000-02-29T23:59:59.500Z", true, 951868799.0},
    {"2028-03-01T00:00:00Z", true, 1835481600.0},
    {"yesterday", false, -1.0},
    {"2031-13-14T15:22:07Z", false, -1.0},
    {"", false, -1.0},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    double seconds = -1.0;
    assert_true(crew_time_s(rows[i].text, &seconds) == rows[i].is_time);
    if (seconds != rows[i].want_s) {
      fail_msg("%s: %.1f s, want %.1f", rows[i].text, seconds, rows[i].want_s);
    }
  }
}

static void
the_crew_is_where_it_last_told_something(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  planted_init(&p, plant, "act2", 41);
  Crew crew = crew_at(&p, TAKEN_AT);
  assert_int_equal(crew.n_people, 8); // crew.csv: six roles of one, two hands
  assert_int_equal(person(&crew, "stage patch")->place, plant_place(plant, "split"));
  answer(&p, "stage patch", "", 41, "look", "vocal SR", "D1"); // Read at the box: stands there
  crew = crew_at(&p, TAKEN_AT);
  assert_int_equal(person(&crew, "stage patch")->place, plant_place(plant, "box D"));
  answer(&p, "stage patch", "monitors", 41, "level", "nothing", "mon"); // Told from there
  crew = crew_at(&p, TAKEN_AT);
  assert_int_equal(person(&crew, "stage patch")->place, plant_place(plant, "monitors"));
  take(&p, "stage patch", 6, "lamps at socket", "A6", 25); // On the way to box A
  crew = crew_at(&p, TAKEN_AT);
  assert_int_equal(person(&crew, "stage patch")->place, plant_place(plant, "box A"));
  assert_int_equal(person(&crew, "stage manager")->place, plant_place(plant, "box B"));
  planted_deinit(&p);
  arena_deinit(&arena);
}

// Somebody who took a step is busy, not late before twice its time, and free once it is answered.
static void
who_took_a_step_is_busy_until_it_is_answered(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  static const struct {
    const char* name;
    const char *role, *check, *reading, *at;
    int line;
    bool busy;
  } rows[] = {
    {"their own reading", "stage patch", "volts", "none", "socket", 41, false},
    {"somebody types their reading", "", "volts", "none", "D1", 41, false},
    {"another check by nobody in particular", "", "level", "nothing", "foh", 41, true},
    {"another line's volts", "", "volts", "none", "A6", 6, true},
    {"they tell something else", "stage patch", "level", "nothing", "foh", 6, false},
    {"there is sound on the line", "", "swap cable", "better", "socket", 41, false},
    {"a swap that did not help", "", "swap cable", "same", "socket", 41, true},
    {"another role reads something", "stage manager", "level", "nothing", "mon", 41, true},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Planted p;
    planted_init(&p, plant, "act2", 41);
    take(&p, "stage patch", 41, "volts at socket", "D1", 30);
    Crew crew = crew_at(&p, "2031-06-14T15:22:59Z");
    assert_true(person(&crew, "stage patch")->is_busy);
    assert_int_equal(crew.n_tasks, 1);
    assert_false(crew.tasks[0].is_late);
    crew = crew_at(&p, "2031-06-14T15:23:01Z"); // 61 s, more than twice 30
    assert_true(crew.tasks[0].is_late);
    assert_true(person(&crew, "stage patch")->is_busy); // Not to be asked, whatever happened
    answer(&p, rows[i].role, "", rows[i].line, rows[i].check, rows[i].reading, rows[i].at);
    crew = crew_at(&p, "2031-06-14T15:22:40Z");
    if (person(&crew, "stage patch")->is_busy != rows[i].busy) {
      fail_msg("%s: %s", rows[i].name, rows[i].busy ? "free" : "still busy");
    }
    planted_deinit(&p);
  }
  // Two hands of one role: the second step goes to the second of them.
  Planted p;
  planted_init(&p, plant, "act2", 41);
  take(&p, "stage sound hands", 41, "swap cable", "D1", 30);
  take(&p, "stage sound hands", 6, "swap cable", "A6", 30);
  Crew crew = crew_at(&p, TAKEN_AT);
  assert_int_equal(crew.n_tasks, 2);
  assert_int_not_equal(crew.tasks[0].person, crew.tasks[1].person);
  answer(&p, "stage sound hands", "", 6, "swap cable", "same", "socket");
  crew = crew_at(&p, TAKEN_AT);
  assert_int_equal(crew.n_tasks, 1);
  assert_int_equal(plant->lines[crew.tasks[0].step.line].number, 41);
  planted_deinit(&p);
  arena_deinit(&arena);
}

// ---- The law ----

static bool
moves(const Step* s)
{
  if (s->does == STEP_CHECK) {
    return s->check.sort == CHECK_VOLTS || s->check.sort == CHECK_LAMPS ||
           s->check.sort == CHECK_OHMS || s->check.sort == CHECK_FLEX ||
           s->check.sort == CHECK_SENT || s->check.sort == CHECK_HUNT ||
           s->check.sort == CHECK_CRACKLE;
  }
  return s->desk < 0;
}

static bool
powers(const Step* s)
{
  return s->does == STEP_CHECK
           ? s->check.sort == CHECK_VOLTS || s->check.sort == CHECK_LAMPS
           : s->brings_phantom; // Whether a desk's settings bring it: test_cautions
}

static bool
is_box_wide(const Step* s)
{
  return s->does == STEP_REPAIR && (s->repair == REPAIR_TAIL || s->repair == REPAIR_PLUG ||
                                    s->repair == REPAIR_SOCKET || s->repair == REPAIR_INLINE);
}

static bool
uses_tester(const Step* s)
{
  return s->does == STEP_CHECK && (s->check.sort == CHECK_LAMPS || s->check.sort == CHECK_FLEX ||
                                   s->check.sort == CHECK_SENT);
}

static const char*
harm(const Plant* plant, const Step* a, const Step* b)
{
  const bool stage_a = strcmp(a->at, plant->desks[0].name) != 0 && a->desk < 0;
  const bool stage_b = strcmp(b->at, plant->desks[0].name) != 0 && b->desk < 0;
  if (a->person == b->person) {
    return "one person twice";
  }
  if (a->at && b->at && strcmp(a->at, b->at) == 0) {
    return "two people at one joint";
  }
  if ((powers(a) && moves(b)) || (powers(b) && moves(a))) {
    return "a plug moves while phantom may come on";
  }
  if (a->line == b->line &&
      (moves(a) || moves(b) || a->does != STEP_CHECK || b->does != STEP_CHECK)) {
    return "one line touched by one and used by another";
  }
  if (stage_a && stage_b && plant->lines[a->line].box == plant->lines[b->line].box &&
      (is_box_wide(a) || is_box_wide(b))) {
    return "a box's tail or plugs under somebody's hands";
  }
  for (int i = 0; i < a->n_unplug; ++i) {
    if (a->unplug[i] == b->line && stage_b) {
      return "a plug to be pulled is in somebody's hands";
    }
  }
  return uses_tester(a) && uses_tester(b) ? "one tester in two places" : NULL;
}

static void
random_readings(Planted* p, Rng* rng, int n)
{
  static const char* const readings[][3] = {
    {"level", "nothing", "foh"}, {"level", "far down", "foh"}, {"seen", "no", "foh"},
    {"hum", "audible", "foh"},   {"crackle", "some", "foh"},   {"level", "nothing", "mon"},
    {"look", "fine", "foh"},     {"level", "normal", "mon"},
  };
  for (int i = 0; i < n; ++i) {
    const Input* input = NULL;
    int l = 0;
    while (!input) {
      l = rng_below(rng, p->plant->n_lines);
      input = plant_input(p->plant, p->act, l);
    }
    const size_t k = (size_t)(rng_below(rng, sizeof(readings) / sizeof(readings[0])));
    planted_saw_line(p, p->plant->lines[l].number, readings[k][0], readings[k][1], readings[k][2]);
  }
}

static void
check_plan(const Planted* p, const Crew* crew, const SharePlan* plan, int n_meanwhile[1])
{
  for (int i = 0; i < plan->n_steps; ++i) {
    const ShareStep* const one = &plan->steps[i];
    const Step* const a = one->step;
    if (one->when == SHARE_INSTEAD) {
      continue;
    }
    n_meanwhile[0] += one->when == SHARE_MEANWHILE;
    if (crew->people[a->person].is_busy) {
      fail_msg("%s is busy and was asked", crew->people[a->person].role);
    }
    assert_string_equal(crew->people[a->person].role, a->who);
    const bool two_ended =
      a->does == STEP_CHECK && (a->check.sort == CHECK_HUNT || a->check.sort == CHECK_CRACKLE);
    if (two_ended) {
      assert_true(one->ear >= 0 && one->ear != a->person && !crew->people[one->ear].is_busy);
      assert_int_equal(crew->people[one->ear].place, p->plant->desks[a->check.desk].place);
    }
    for (int k = 0; k < plan->n_steps; ++k) {
      const ShareStep* const other = &plan->steps[k];
      if (k == i || other->when == SHARE_INSTEAD) {
        continue;
      }
      const char* const why = harm(p->plant, a, other->step);
      if (why) {
        fail_msg("%s: %s for line %d and %s for line %d", why, a->check_word,
                 p->plant->lines[a->line].number, other->step->check_word,
                 p->plant->lines[other->step->line].number);
      }
      assert_true(one->ear < 0 || (one->ear != other->step->person && one->ear != other->ear));
    }
    for (int k = 0; k < crew->n_tasks; ++k) {
      const Step* const held = &crew->tasks[k].step;
      if (!crew->tasks[k].is_late) {
        assert_false((powers(held) && moves(a)) || (powers(a) && moves(held)));
        assert_false(held->line == a->line && held->desk < 0 && a->desk < 0);
      }
    }
  }
}

static void
nobody_gets_in_anybodys_way(void** state)
{
  (void)state;
  const uint64_t seed = 20310614;
  const int n_stages = getenv("LINEWALK_LONG") ? 400 : 25;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Rng rng;
  rng_init(&rng, seed);
  printf("seed %llu\n", (unsigned long long)seed);
  int n_steps = 0;
  int n_meanwhile = 0;
  int n_most = 0;
  for (int i = 0; i < n_stages; ++i) {
    static const char* const acts[] = {"act1", "act2", "act3", "act4"};
    static const char* const held[] = {"volts at socket", "lamps at socket", "swap cable",
                                       "look at socket",  "swap plug",       "swap tail"};
    Planted p;
    planted_init(&p, plant, acts[rng_below(&rng, 4)], 41);
    random_readings(&p, &rng, 2 + rng_below(&rng, 7));
    const int number = plant->lines[rng_below(&rng, plant->n_lines)].number;
    if (rng_below(&rng, 2)) {
      take(&p, "stage sound hands", number, held[rng_below(&rng, 6)], "", 30);
    }
    const Situation* const s = planted_situation(&p);
    const Crew crew =
      crew_at(&p, rng_below(&rng, 2) ? "2031-06-14T15:22:30Z" : "2031-06-14T15:30:00Z");
    int lines[64];
    int n = 0;
    for (int k = 0; k < s->n_seen; ++k) {
      bool is_in = !situation_is_complaint(s, &s->seen[k]);
      for (int m = 0; m < n; ++m) {
        is_in = is_in || lines[m] == s->seen[k].line;
      }
      if (!is_in) {
        lines[n++] = s->seen[k].line;
      }
    }
    SharePlan plan;
    assert_int_equal(share_plan(s, &p.arena, lines, n, &home, &crew, false, &plan), STATUS_OK);
    check_plan(&p, &crew, &plan, &n_meanwhile);
    n_steps += plan.n_steps;
    n_most = plan.n_steps > n_most ? plan.n_steps : n_most;
    planted_deinit(&p);
  }
  printf("figure: share_steps_per_stage %.2f steps\n", (double)n_steps / n_stages);
  printf("figure: share_meanwhile_per_stage %.2f steps\n", (double)n_meanwhile / n_stages);
  assert_true(n_most >= 3); // The law is held where there is something to hold
  assert_true(n_meanwhile > 0);
  arena_deinit(&arena);
}

// The rows of share_together by themselves: what a rescue in a hurry would do wrong.
static void
pairs_that_must_not_meet(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  planted_init(&p, plant, "act2", 41);
  const Situation* const s = planted_situation(&p);
  static const struct {
    const char* name;
    int line[2];
    StepDoes does[2];
    CheckSort check[2];
    RepairSort repair[2];
    int desk[2];
    bool together;
  } rows[] = {
    {"two cables in two boxes",
     {6, 41},
     {STEP_REPAIR, STEP_REPAIR},
     {0, 0},
     {REPAIR_CABLE, REPAIR_CABLE},
     {-1, -1},
     true},
    {"a cable while lamps bring phantom elsewhere",
     {6, 41},
     {STEP_REPAIR, STEP_CHECK},
     {0, CHECK_LAMPS},
     {REPAIR_CABLE, 0},
     {-1, -1},
     false},
    {"a desk put right while a plug moves",
     {6, 41},
     {STEP_REPAIR, STEP_REPAIR},
     {0, 0},
     {REPAIR_DESK, REPAIR_PLUG},
     {0, -1},
     false},
    {"a look at a socket while lamps bring phantom elsewhere",
     {6, 41},
     {STEP_CHECK, STEP_CHECK},
     {CHECK_LOOK, CHECK_LAMPS},
     {0, 0},
     {-1, -1},
     true},
    {"one listens while the other swaps the cable",
     {41, 41},
     {STEP_CHECK, STEP_REPAIR},
     {CHECK_LEVEL, 0},
     {0, REPAIR_CABLE},
     {0, -1},
     false},
    {"two desks listen to one line",
     {41, 41},
     {STEP_CHECK, STEP_CHECK},
     {CHECK_LEVEL, CHECK_SEEN},
     {0, 0},
     {0, 1},
     true},
    {"two people at one desk",
     {6, 41},
     {STEP_CHECK, STEP_CHECK},
     {CHECK_LEVEL, CHECK_LOOK},
     {0, 0},
     {0, 0},
     false},
    {"a tail under somebody's plug",
     {6, 7},
     {STEP_REPAIR, STEP_REPAIR},
     {0, 0},
     {REPAIR_TAIL, REPAIR_CABLE},
     {-1, -1},
     false},
    {"one meter in two places",
     {6, 41},
     {STEP_CHECK, STEP_CHECK},
     {CHECK_OHMS, CHECK_OHMS},
     {0, 0},
     {-1, -1},
     false},
    {"a desk listens elsewhere while a cable is swapped",
     {6, 41},
     {STEP_CHECK, STEP_REPAIR},
     {CHECK_SEEN, 0},
     {0, REPAIR_CABLE},
     {0, -1},
     true},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Step step[2];
    for (int k = 0; k < 2; ++k) {
      step[k] = (Step){.line = plant_line(plant, rows[i].line[k]),
                       .does = rows[i].does[k],
                       .check = {rows[i].check[k], rows[i].desk[k]},
                       .repair = rows[i].repair[k],
                       .desk = rows[i].desk[k]};
      step_touch(&step[k]);
    }
    if (share_together(s, &step[0], &step[1]) != rows[i].together ||
        share_together(s, &step[1], &step[0]) != rows[i].together) {
      fail_msg("%s: %s", rows[i].name, rows[i].together ? "refused" : "allowed");
    }
  }
  planted_deinit(&p);
  arena_deinit(&arena);
}

// F13: the third silent line names the tail, and ten lines get one step.
static void
ten_lines_of_one_tail_get_one_step(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  planted_init(&p, plant, "act4", 29);
  int lines[64];
  int n = 0;
  for (int l = 0; l < plant->n_lines; ++l) {
    if (plant_input(plant, p.act, l) && plant->lines[l].box == plant->lines[p.line].box) {
      lines[n++] = l;
    }
  }
  assert_int_equal(n, 10); // inputs-act4.csv: C1 to C10
  for (int i = 0; i < 3; ++i) {
    planted_saw_line(&p, plant->lines[lines[i]].number, "level", "nothing", "foh");
  }
  const Crew crew = crew_at(&p, TAKEN_AT);
  SharePlan plan;
  assert_int_equal(
    share_plan(planted_situation(&p), &p.arena, lines, n, &home, &crew, false, &plan), STATUS_OK);
  int n_now = 0;
  for (int i = 0; i < plan.n_steps; ++i) {
    n_now += plan.steps[i].when == SHARE_NOW;
  }
  assert_int_equal(n_now, 1);
  assert_int_equal(plan.steps[0].n_lines, 10);
  assert_non_null(plan.steps[0].state);
  assert_int_equal(plan.steps[0].state->sort, SHARED_TAIL);
  assert_string_equal(plan.steps[0].step->at, "tail C");
  planted_deinit(&p);
  arena_deinit(&arena);
}

static Status
some_plan(Arena* arena, const Plant* plant, const Fold* fold)
{
  const int lines[] = {0};
  Situation* s = NULL;
  Crew crew;
  SharePlan plan;
  Status st = STATUS_OK;
  TRY(st, situation_new(arena, plant, 0, fold, &s));
  TRY(st, crew_now(arena, plant, fold, TAKEN_AT, 0, 0, &crew));
  return share_plan(s, arena, lines, 1, &home, &crew, true, &plan);
}

static void
every_allocation_may_fail(void** state)
{
  (void)state;
  static const char inputs[] =
    "channel,source,pickup,phantom,box,socket\n1,voice,dyn-vocal,no,A,1\n";
  const ListText list = {"inputs-act1.csv", inputs, sizeof(inputs) - 1};
  Arena of_plant;
  Plant plant;
  Error error = {0};
  Fold fold = {0};
  Fact facts[2];
  arena_init(&of_plant, NULL);
  assert_int_equal(lists_build(&of_plant, &list, 1, 4, &plant, &error), STATUS_OK);
  const FactBody body = {.line = 1, .check = "level", .reading = "nothing", .at = "foh"};
  const FactBody taken = {.line = 1, .step = "look at foh", .at = "foh", .seconds = 10};
  assert_int_equal(fact_make(&of_plant, FACT_READING, &body, TAKEN_AT, "", "", &facts[0], &error),
                   STATUS_OK);
  assert_int_equal(fact_make(&of_plant, FACT_STEP_TAKEN, &taken, TAKEN_AT, "",
                             "whoever is at the desk", &facts[1], &error),
                   STATUS_OK);
  facts[0].seq = 1;
  facts[1].seq = 2;
  assert_int_equal(fold_make(&of_plant, facts, 2, &fold, &error), STATUS_OK);
  int n = 1;
  for (int at = 0; at <= n; ++at) { // First a good run, which counts
    FailingHeap heap = {.fail_at = at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &from);
    assert_int_equal(some_plan(&arena, &plant, &fold), at == 0 ? STATUS_OK : STATUS_NO_MEMORY);
    n = at == 0 ? heap.n_requests : n;
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
  }
  printf("%d allocations failed once each\n", n);
  arena_deinit(&of_plant);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(times_are_read),
    cmocka_unit_test(the_crew_is_where_it_last_told_something),
    cmocka_unit_test(who_took_a_step_is_busy_until_it_is_answered),
    cmocka_unit_test(pairs_that_must_not_meet),
    cmocka_unit_test(nobody_gets_in_anybodys_way),
    cmocka_unit_test(ten_lines_of_one_tail_get_one_step),
    cmocka_unit_test(every_allocation_may_fail),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
