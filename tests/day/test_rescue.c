// SPDX-License-Identifier: GPL-3.0-or-later
/*
  The conversation of a rescue, with a crew: who is asked, and who is left alone.

  The law (nobody busy is asked; a step for two only when somebody stands at each end; when nobody
  answers, only people beside whoever asks get more than the one step) is written here from those
  words, on random stages of the demo event; rows beside it hold the single cases.

  LINEWALK_LONG=1: 300 random stages instead of 24.
*/
#include "base/rng.h"
#include "day/planted.h"

#include <string.h>

static const NextOptions home = {0};

#define TAKEN_AT "2031-06-14T15:22:00Z"

static RescueScreen
screen_of(Planted* p, const NextOptions* options, const Crew* crew, int at)
{
  RescueScreen screen;
  assert_int_equal(
    rescue_with(planted_situation(p), &p->arena, p->line, options, crew, at, &screen), STATUS_OK);
  return screen;
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
take(Planted* p, const char* role, int line, const char* step, const char* at)
{
  const FactBody body = {.line = line, .step = step, .at = at, .seconds = 30};
  planted_tell(p, FACT_STEP_TAKEN, &body, TAKEN_AT, "", role);
}

static bool
offers(const RescueScreen* screen, char key)
{
  for (int i = 0; i < screen->n_choices; ++i) {
    if (screen->choices[i].key == key) {
      return true;
    }
  }
  return false;
}

// ---- The law ----

static void
random_complaints(Planted* p, Rng* rng)
{
  static const char* const readings[][3] = {
    {"level", "nothing", "foh"}, {"crackle", "some", "foh"}, {"level", "normal", "foh"},
    {"level", "low", "mon"},     {"hum", "audible", "foh"},  {"seen", "no", "foh"},
    {"level", "nothing", "mon"}, {"look", "fine", "foh"},
  };
  const int n = 1 + rng_below(rng, 4);
  for (int i = 0; i < n; ++i) {
    const char* const* const r = readings[rng_below(rng, 8)];
    planted_saw(p, r[0], r[1], r[2]);
  }
}

// Everything but a step for two is refused.
static void
refuse_the_rest(Planted* p, const Crew* crew)
{
  const NextOptions options = {.people = crew->people, .n_people = crew->n_people};
  const Step* all = NULL;
  int n = 0;
  assert_int_equal(next_choices(planted_situation(p), &p->arena, p->line, &options, &all, &n),
                   STATUS_OK);
  for (int k = 0; k < n; ++k) {
    const bool for_two = all[k].does == STEP_CHECK &&
                         (all[k].check.sort == CHECK_CRACKLE || all[k].check.sort == CHECK_HUNT);
    const FactBody body = {.line = p->plant->lines[p->line].number,
                           .step = step_word(&p->arena, p->plant, &all[k]),
                           .why = "cannot"};
    if (!for_two) {
      planted_tell(p, FACT_STEP_REFUSED, &body, TAKEN_AT, "", "");
    }
  }
}

static int
random_used_line(const Planted* p, Rng* rng)
{
  for (;;) {
    const int l = rng_below(rng, p->plant->n_lines);
    if (plant_input(p->plant, p->act, l)) {
      return l;
    }
  }
}

static void
check_screen(const Planted* p, const NextOptions* options, const Crew* crew,
             const RescueScreen* screen, int n[2])
{
  const int here = p->plant->desks[options->home_desk].place;
  for (int i = 0; i < screen->n_in_hand; ++i) {
    const ShareStep* const one = &screen->in_hand[i];
    const Step* const a = one->step;
    const bool two_ended =
      a->does == STEP_CHECK && (a->check.sort == CHECK_HUNT || a->check.sort == CHECK_CRACKLE);
    assert_int_equal(a->line, p->line);
    assert_false(crew->people[a->person].is_busy);
    n[1] += two_ended;
    if (two_ended) {
      assert_true(one->ear >= 0 && one->ear != a->person && !crew->people[one->ear].is_busy);
      assert_int_equal(crew->people[one->ear].place, p->plant->desks[a->check.desk].place);
    }
    if (options->nobody_answers && i > 0) {
      assert_int_equal(crew->people[a->person].place, here);
    }
    for (int k = 0; k < i; ++k) {
      const ShareStep* const other = &screen->in_hand[k];
      assert_int_not_equal(other->step->person, a->person);
      assert_true(other->ear < 0 || other->ear != a->person);
    }
  }
  n[0] += screen->n_in_hand > 1;
}

static void
nobody_is_asked_who_cannot(void** state)
{
  (void)state;
  const uint64_t seed = 20310705;
  const int n_stages = check_count(24, 300);
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Rng rng;
  rng_init(&rng, seed);
  printf("seed %llu\n", (unsigned long long)seed);
  int n_two[2] = {0, 0};   // Two people with something to do; a step for two
  int n_alone[2] = {0, 0}; // The same with one person on site
  for (int i = 0; i < n_stages; ++i) {
    static const char* const acts[] = {"act1", "act2", "act3", "act4"};
    Planted p;
    planted_init(&p, plant, acts[rng_below(&rng, 4)], 41);
    p.line = random_used_line(&p, &rng);
    random_complaints(&p, &rng);
    const Crew all = crew_at(&p, TAKEN_AT);
    if (rng_below(&rng, 2)) {
      refuse_the_rest(&p, &all);
    }
    NextPerson people[POLICY_MAX_PEOPLE];
    memcpy(people, all.people, (size_t)all.n_people * sizeof(NextPerson));
    for (int k = 0; k < all.n_people; ++k) {
      people[k].is_busy = rng_below(&rng, 3) == 0;
      people[k].place = rng_below(&rng, 2) ? people[k].place : rng_below(&rng, plant->n_places);
    }
    const Crew crew = {.people = people, .n_people = all.n_people};
    const NextOptions options = {.nobody_answers = rng_below(&rng, 3) == 0};
    const RescueScreen screen = screen_of(&p, &options, &crew, 0);
    check_screen(&p, &options, &crew, &screen, n_two);
    const Crew alone = {.people = people, .n_people = 1};
    people[0].is_busy = false;
    const RescueScreen by_one = screen_of(&p, &options, &alone, 0);
    check_screen(&p, &options, &alone, &by_one, n_alone);
    planted_deinit(&p);
  }
  assert_true(n_two[0] > 0 && n_two[1] > 0); // The law was put to the test
  assert_int_equal(n_alone[0], 0);
  assert_int_equal(n_alone[1], 0);
  arena_deinit(&arena);
}

// ---- Single cases ----

// Crackle is heard by somebody while somebody else moves the cable; alone there is other advice.
static void
a_step_for_two_waits_for_an_ear(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  const int foh = plant->desks[0].place;
  const int box = plant_place(plant, "box D");
  static const struct {
    const char* name;
    bool ear_at_desk, ear_busy, want;
  } rows[] = {
    {"somebody at the desk", true, false, true},
    {"the ear is busy", true, true, false},
    {"both stand on stage", false, false, false},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Planted p;
    planted_init(&p, plant, "act2", 41);
    planted_saw(&p, "level", "far down", "foh");
    NextPerson people[2] = {{"hand", box, box, false},
                            {"engineer", foh, rows[i].ear_at_desk ? foh : box, rows[i].ear_busy}};
    const Crew crew = {.people = people, .n_people = 2};
    // Only the steps for two are left
    people[1].is_busy = false;
    refuse_the_rest(&p, &crew);
    people[1].is_busy = rows[i].ear_busy;
    const RescueScreen screen = screen_of(&p, &home, &crew, 0);
    const bool asked = screen.step != NULL;
    assert_true(!asked || screen.in_hand[0].ear == 1);
    if (asked != rows[i].want) {
      fail_msg("%s: %s", rows[i].name, asked ? "asked" : "not asked");
    }
    planted_deinit(&p);
  }
  arena_deinit(&arena);
}

// A step that somebody took is theirs until they answer; then it goes on.
static void
a_step_taken_stays_theirs(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  planted_init(&p, plant, "act2", 41);
  planted_saw(&p, "level", "nothing", "foh");
  take(&p, "stage patch", 41, "look at socket", "D1");
  Crew crew = crew_at(&p, TAKEN_AT);
  RescueScreen screen = screen_of(&p, &home, &crew, 0);
  assert_non_null(screen.step);
  assert_string_equal(screen.step->who, "stage patch");
  assert_int_equal(screen.step->check.sort, CHECK_LOOK);
  assert_int_equal(screen.step->desk, -1);
  assert_string_equal(screen.why, "Stage patch took this step and has not answered yet.");
  FactKind kind;
  FactBody body;
  assert_int_equal(
    rescue_answer(planted_situation(&p), &p.arena, &screen, p.line, '1', &kind, &body), STATUS_OK);
  assert_string_equal(body.check, "look");
  planted_saw(&p, body.check, body.reading, body.at);
  crew = crew_at(&p, TAKEN_AT);
  assert_int_equal(crew.n_tasks, 0);
  screen = screen_of(&p, &home, &crew, 0);
  assert_true(!screen.step || screen.step->check.sort != CHECK_LOOK || screen.step->desk >= 0);
  planted_deinit(&p);
  arena_deinit(&arena);
}

static void
with_everybody_busy_it_waits(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  planted_init(&p, plant, "act2", 41);
  planted_saw(&p, "level", "nothing", "foh");
  const Crew all = crew_at(&p, TAKEN_AT);
  NextPerson people[POLICY_MAX_PEOPLE];
  memcpy(people, all.people, (size_t)all.n_people * sizeof(NextPerson));
  for (int k = 0; k < all.n_people; ++k) {
    people[k].is_busy = true;
  }
  const Crew crew = {.people = people, .n_people = all.n_people};
  const RescueScreen screen = screen_of(&p, &home, &crew, 0);
  assert_int_equal(screen.state, RESCUE_WAIT);
  assert_null(screen.step);
  assert_true(offers(&screen, 'w') && offers(&screen, 'u') && offers(&screen, 'q'));
  assert_false(offers(&screen, '1') || offers(&screen, 'c') || offers(&screen, 'm'));
  planted_deinit(&p);
  arena_deinit(&arena);
}

// With two steps in hand m turns to the other one, and its readings make its own facts.
static void
the_other_step_can_be_answered_first(void** state)
{
  (void)state;
  const uint64_t seed = 20310706;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Rng rng;
  rng_init(&rng, seed);
  printf("seed %llu\n", (unsigned long long)seed);
  int n_found = 0;
  for (int i = 0; i < 200 && n_found < 3; ++i) {
    Planted p;
    planted_init(&p, plant, "act2", 41);
    p.line = random_used_line(&p, &rng);
    random_complaints(&p, &rng);
    const Crew crew = crew_at(&p, TAKEN_AT);
    const RescueScreen first = screen_of(&p, &home, &crew, 0);
    if (first.n_in_hand == 2 && first.state == RESCUE_STEP) {
      ++n_found;
      assert_true(offers(&first, 'm'));
      const RescueScreen second = screen_of(&p, &home, &crew, 1);
      assert_int_equal(second.at, 1);
      assert_string_equal(second.headline, first.in_hand[1].step->say);
      FactKind kind;
      FactBody body;
      assert_int_equal(
        rescue_answer(planted_situation(&p), &p.arena, &second, p.line, '1', &kind, &body),
        STATUS_OK);
      assert_int_equal(kind, FACT_READING);
      assert_string_equal(body.check, first.in_hand[1].step->check_word);
      assert_int_equal(
        rescue_answer(planted_situation(&p), &p.arena, &first, p.line, 'm', &kind, &body),
        STATUS_NO);
      const RescueScreen past = screen_of(&p, &home, &crew, 2);
      assert_string_equal(past.headline, first.headline);
    }
    planted_deinit(&p);
  }
  assert_int_equal(n_found, 3);
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(nobody_is_asked_who_cannot),
    cmocka_unit_test(a_step_for_two_waits_for_an_ear),
    cmocka_unit_test(a_step_taken_stays_theirs),
    cmocka_unit_test(with_everybody_busy_it_waits),
    cmocka_unit_test(the_other_step_can_be_answered_first),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
