// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "base/text.h"
#include "day/pass.h"
#include "day/playout.h"
#include "made_day.h"
#include "stage/lists.h"
#include "support/check.h"

#include <string.h>

/*
  The forecast: its parts by hand, its laws, and how its bands hold over days made by other rules
  (made_day.h).
*/

// ---- Playing the rest out ----

static const struct {
  const char* name;
  PlayoutJob jobs[4];
  int n_jobs, n_hands;
  bool has_mender;
  double want_s; ///< By hand, beside the row
} plays[] = {
  {"nothing left", {{0, 0, 0}}, 0, 1, false, 0.0},
  {"one line", {{13, 7, 0}}, 1, 1, false, 20.0},
  {"three lines, constant pace, no faults",
   {{13, 7, 0}, {13, 7, 0}, {13, 7, 0}},
   3,
   1,
   false,
   60.0},
  // Person 1: 13, heard 20; person 2: 13, heard after the first 27; person 1 from 20: 33, heard 40
  {"two people", {{13, 7, 0}, {13, 7, 0}, {13, 7, 0}}, 3, 2, false, 40.0},
  // All three plug by 13; the desks hear them one after the other: 20, 27, 34
  {"the desks hear one at a time", {{13, 7, 0}, {13, 7, 0}, {13, 7, 0}}, 3, 3, false, 34.0},
  {"more people than lines", {{13, 7, 0}}, 1, 5, false, 20.0},
  {"whoever finds it mends it", {{13, 7, 60}, {13, 7, 0}}, 2, 1, false, 100.0},
  // Found at 20 and mended until 80, while the second line is heard at 40
  {"somebody else mends", {{13, 7, 60}, {13, 7, 0}}, 2, 1, true, 80.0},
  // Found at 20 and 40: mended until 80, then until 140
  {"one after the other", {{13, 7, 60}, {13, 7, 60}}, 2, 1, true, 140.0},
  // The second person goes on: heard 27, 47, 67 behind the search that ends at 80
  {"a search beside the pass",
   {{13, 7, 60}, {13, 7, 0}, {13, 7, 0}, {13, 7, 0}},
   4,
   2,
   false,
   80.0},
};

static void
the_rest_is_played_out(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(plays) / sizeof(plays[0]); ++i) {
    CHECK_NEAR(
      plays[i].name,
      playout_finish_s(plays[i].jobs, plays[i].n_jobs, plays[i].n_hands, plays[i].has_mender),
      plays[i].want_s, 1e-9);
  }
}

static void
one_more_on_stage_is_never_later(void** state)
{
  (void)state;
  const uint64_t seed = 70415;
  const int n = check_count(2000, 200000);
  Rng rng;
  rng_init(&rng, seed);
  for (int k = 0; k < n; ++k) {
    PlayoutJob jobs[40];
    const int n_jobs = 1 + rng_below(&rng, 40);
    for (int j = 0; j < n_jobs; ++j) {
      jobs[j] = (PlayoutJob){rng_log(&rng, 1.0, 60.0), rng_log(&rng, 1.0, 20.0),
                             rng_unit(&rng) < 0.2 ? rng_log(&rng, 10.0, 900.0) : 0.0};
    }
    const bool mender = rng_unit(&rng) < 0.5;
    double before_s = INFINITY;
    for (int hands = 1; hands <= PLAYOUT_HANDS; ++hands) {
      const double done_s = playout_finish_s(jobs, n_jobs, hands, mender);
      if (done_s > before_s + 1e-9) {
        fail_msg("seed %llu, case %d: %d people take %.3f s, %d take %.3f s",
                 (unsigned long long)seed, k, hands, done_s, hands - 1, before_s);
      }
      before_s = done_s;
    }
  }
}

// ---- Pace ----

static const StepTime usual_line = {"", 12.5, 20.0, 31.0, ""};
static const StepTime usual_pause = {"", 90.0, 240.0, 660.0, ""};

static void
the_normal_is_the_normal(void** state)
{
  (void)state;
  // Tables of the standard normal: 0.9 at 1.281552, 0.975 at 1.959964, 0.5 at 0
  CHECK_NEAR("0.9", pace_normal_at(0.9), 1.281552, 1e-6);
  CHECK_NEAR("0.975", pace_normal_at(0.975), 1.959964, 1e-6);
  CHECK_NEAR("middle", pace_normal_at(0.5), 0.0, 1e-8);
  CHECK_NEAR("back", pace_normal(1.281552), 0.9, 1e-6);
}

static void
a_pace_begins_with_usual_practice(void** state)
{
  (void)state;
  static Pace pace;
  pace_start(&pace, &usual_line, &usual_pause);
  // 1 in 10 of the usual crews is quicker than 12.5 s and 1 in 10 slower than 31; the one crew in
  // ten that is like nothing usual takes each a little further out. Steps of the table: 9 in 100.
  CHECK_NEAR("middle", pace_mean_s(&pace, 0.5), 20.0, 0.5);
  CHECK_NEAR("quick", pace_mean_s(&pace, 0.1), 12.1, 0.7);
  CHECK_NEAR("slow", pace_mean_s(&pace, 0.9), 33.0, 1.8);
}

static void
take_gaps(Pace* pace, double gap_s, int n)
{
  for (int i = 0; i < n; ++i) {
    assert_true(pace_take(pace, gap_s, 1.0));
  }
}

static void
a_pace_follows_the_crew_and_no_break(void** state)
{
  (void)state;
  static Pace pace;
  pace_start(&pace, &usual_line, &usual_pause);
  take_gaps(&pace, 10.0, 40);
  const double without_s = pace_mean_s(&pace, 0.5);
  CHECK_NEAR("ten seconds a line", without_s, 10.0, 0.6); // Half a step of the table
  assert_true(pace.n_pauses < 0.2);
  assert_true(pace_take(&pace, 600.0, 1.0));
  CHECK_NEAR("a break of ten minutes", pace_mean_s(&pace, 0.5), without_s, 0.3);
  CHECK_NEAR("is a pause", pace.n_pauses, 1.0, 0.15);
  CHECK_NEAR("lines", pace.n_lines, 41.0, 1e-9);
  assert_false(pace_take(&pace, PACE_SESSION_S + 1.0, 1.0));
  assert_false(pace_take(&pace, 0.0, 1.0));
  CHECK_NEAR("what is no gap counts nowhere", pace.n_lines, 41.0, 1e-9);
  // As many again at twice the time: what was seen just now counts for more
  take_gaps(&pace, 20.0, 40);
  assert_true(pace_mean_s(&pace, 0.5) > 15.0);
}

static void
lines_told_at_once_are_one_gap(void** state)
{
  (void)state;
  static Pace pace;
  pace_start(&pace, &usual_line, &usual_pause);
  for (int i = 0; i < 6; ++i) {
    assert_true(pace_take(&pace, 144.0, 12.0)); // Twelve at a time: 12 s each
  }
  CHECK_NEAR("twelve seconds a line", pace_mean_s(&pace, 0.5), 12.0, 1.0);
  CHECK_NEAR("lines", pace.n_lines, 72.0, 1e-9);
  double sum = 0.0;
  for (int i = 0; i < PACE_CELLS; ++i) {
    assert_true(pace.odds[i] >= 0.0);
    sum += pace.odds[i];
  }
  CHECK_NEAR("odds", sum, 1.0, 1e-9);
}

static void
what_has_been_waited_is_over(void** state)
{
  (void)state;
  static Pace pace;
  pace_start(&pace, &usual_line, &usual_pause);
  take_gaps(&pace, 20.0, 30);
  const PaceCell cell = {20.0, 0.3, 0.01};
  const double log_middle = log(20.0) - 0.5 * 0.3 * 0.3;
  // Nothing waited: the gap itself
  CHECK_NEAR("whole", pace_gap(&pace, &cell, 0.0, 0.5, 0.0, 0.0).work_s, exp(log_middle), 1e-9);
  // By hand: above its own middle a half is left; the middle of that half is where 3/4 are below
  CHECK_NEAR("rest", pace_rest_s(log_middle, 0.3, exp(log_middle), 0.0),
             exp(log_middle + 0.3 * 0.674490) - exp(log_middle), 1e-4);
  // After five minutes it is a pause, whatever its odds were
  const PaceGap gap = pace_gap(&pace, &cell, 300.0, 0.5, 0.0, 0.0);
  assert_true(gap.pause_s > 0.0);
  CHECK_NEAR("and the line is still to do", gap.work_s, exp(log_middle), 1e-9);
}

// ---- A stage, and what is told of it ----

typedef struct {
  int at_s; ///< After ten in the morning
  int line;
  const char* check;
  const char* reading;
  const char* at;
  const char* place;
} Told;

typedef struct {
  Arena arena;
  Plant plant;
  Fact facts[400];
  int n_facts;
  Fold fold;
  Situation* situation;
  double ten_s; ///< Ten in the morning, seconds since 1970
} Stage;

static void
stage_begin(Stage* stage, int n_boxes)
{
  arena_init(&stage->arena, NULL);
  stage->n_facts = 0;
  assert_int_equal(made_plant(&stage->arena, n_boxes, &stage->plant), STATUS_OK);
  assert_true(going_time_s("2031-06-14T10:00:00Z", &stage->ten_s));
}

static void
stage_fact(Stage* stage, double at_s, FactKind kind, const FactBody* body, const char* place)
{
  const int whole = (int)at_s;
  char time[FACT_TIME_ROOM];
  (void)snprintf(time, sizeof(time), "2031-06-14T%02d:%02d:%02d.%03dZ", 10 + whole / 3600,
                 whole / 60 % 60, whole % 60, (int)((at_s - whole) * 1000.0));
  Fact* const fact = &stage->facts[stage->n_facts++];
  assert_int_equal(fact_make(&stage->arena, kind, body, arena_copy(&stage->arena, time), place,
                             "somebody", fact, NULL),
                   STATUS_OK);
  fact->seq = stage->n_facts;
}

static void
stage_tell(Stage* stage, double at_s, int line, const char* check, const char* reading,
           const char* at, const char* place)
{
  const FactBody body = {.line = line, .check = check, .reading = reading, .at = at};
  stage_fact(stage, at_s, FACT_READING, &body, place);
}

// A line heard at all three desks within the second.
static void
stage_hear(Stage* stage, double at_s, int line, const char* reading)
{
  stage_tell(stage, at_s, line, "level", reading, "foh", "foh");
  stage_tell(stage, at_s + 0.2, line, "level", reading, "mon", "mon");
  stage_tell(stage, at_s + 0.4, line, "level", reading, "broadcast", "broadcast");
}

static void
stage_fold(Stage* stage)
{
  assert_int_equal(
    fold_make(&stage->arena, stage->facts, (size_t)stage->n_facts, &stage->fold, NULL), STATUS_OK);
  assert_int_equal(situation_new(&stage->arena, &stage->plant, -1, &stage->fold, &stage->situation),
                   STATUS_OK);
}

static Going
stage_going(Stage* stage, double now_s)
{
  static Going going;
  stage_fold(stage);
  assert_int_equal(
    going_read(&stage->arena, stage->situation, &stage->fold, stage->ten_s + now_s, 0, &going),
    STATUS_OK);
  return going;
}

static ForecastAsk
ask_at(const Stage* stage, double now_s)
{
  return (ForecastAsk){
    .now_s = stage->ten_s + now_s, .midnight_s = stage->ten_s - 36000.0, .today = "2031-06-14"};
}

static Forecast
stage_forecast(Stage* stage, const ForecastAsk* ask)
{
  static Forecast forecast;
  assert_int_equal(forecast_make(&stage->arena, stage->situation, &stage->fold, ask, &forecast),
                   STATUS_OK);
  return forecast;
}

static void
the_log_is_read_in_visits(void** state)
{
  (void)state;
  Stage stage;
  stage_begin(&stage, 2);
  for (int l = 1; l <= 5; ++l) {
    stage_hear(&stage, 20.0 * (l - 1), l, "normal"); // At 0, 20, 40, 60, 80 s
  }
  Going g = stage_going(&stage, 90.0);
  assert_int_equal(g.n_visits, 5);
  CHECK_NEAR("four gaps of one line", g.pace.n_lines, 4.0, 1e-9);
  assert_int_equal(g.last_line, 4);
  CHECK_NEAR("waited since the last began", g.waited_s, 10.0, 1e-3);
  assert_int_equal(g.n_hands, 1);
  // Heard at one desk of three: a third of a line. Told from the stage by two people: two at work
  stage_tell(&stage, 100.0, 6, "level", "normal", "foh", "stage");
  stage_tell(&stage, 110.0, 7, "level", "normal", "foh", "box B");
  g = stage_going(&stage, 115.0);
  CHECK_NEAR("four lines and two thirds", g.pace.n_lines, 4.0 + 2.0 / 3.0, 1e-9);
  assert_int_equal(g.n_hands, 2);
  // Nobody tells anything for an hour
  g = stage_going(&stage, 3800.0);
  assert_true(g.has_rested);
  CHECK_NEAR("nothing is waited for", g.waited_s, 0.0, 0.0);
  // What is told later than now is not known
  g = stage_going(&stage, 50.0);
  assert_int_equal(g.n_visits, 3);
  arena_deinit(&stage.arena);
}

// A lamp reading as a line in order gives it, in the socket.
static void
stage_lamp(Stage* stage, double at_s, int line)
{
  Situation* s = NULL;
  int key = 0;
  assert_int_equal(situation_new(&stage->arena, &stage->plant, -1, NULL, &s), STATUS_OK);
  assert_int_equal(pass_good_key(s, line - 1, PASS_LAMP, -1, &key), STATUS_OK);
  const char* const reading =
    predict_key_text(&stage->arena, &stage->plant, -1, (Check){CHECK_LAMPS, -1}, line - 1, key);
  stage_tell(stage, at_s, line, "lamps", reading, "socket", "stage");
}

static void
stage_pass(Stage* stage, double at_s, const char* how)
{
  const FactBody body = {.how = how, .act = ""};
  stage_fact(stage, at_s, FACT_PASS_BEGUN, &body, "stage");
}

static void
a_pass_by_lamp_has_a_pace_of_its_own(void** state)
{
  (void)state;
  Stage stage;
  stage_begin(&stage, 2);
  stage_lamp(&stage, 0.0, 1); // By hand, in no pass: it counts in the odds alone
  Going g = stage_going(&stage, 1.0);
  assert_int_equal(g.n_visits, 0);
  stage_pass(&stage, 2.0, "lamp");
  for (int l = 1; l <= 10; ++l) {
    stage_lamp(&stage, 10.0 + 2.0 * l, l); // Every 2 s, at 12 to 30 s
  }
  g = stage_going(&stage, 31.0);
  assert_int_equal(g.kind, GOING_LAMP);
  CHECK_NEAR("nine gaps by lamp", g.by_tester[GOING_LAMP].n_lines, 9.0, 1e-9);
  CHECK_NEAR("two seconds each", pace_mean_s(&g.by_tester[GOING_LAMP], 0.5), 2.0, 0.25);
  CHECK_NEAR("none by ear", g.pace.n_lines, 0.0, 0.0);
  CHECK_NEAR("none by meter", g.by_tester[GOING_METER].n_lines, 0.0, 0.0);
  assert_int_equal(g.n_tested, 10);
  assert_int_equal(g.n_to_test, 14); // Of 24
  CHECK_NEAR("nobody waits for an ear", g.waited_s, 0.0, 0.0);
  ForecastAsk ask = ask_at(&stage, 31.0);
  const Forecast under_way = stage_forecast(&stage, &ask);
  assert_non_null(strstr(under_way.rests_on, "0 lines by ear and 9 by lamp"));
  assert_non_null(strstr(under_way.rests_on, "14 are still before that pass, and all 24"));
  // The rest of the pass comes before the ears: 14 lines at 2 s, and a pause in eighty lines
  const double to_test_s = 14 * (2.0 + 240.0 / 80.0);
  for (int l = 11; l <= 24; ++l) {
    stage_lamp(&stage, 10.0 + 2.0 * l, l);
  }
  stage_fold(&stage);
  ask = ask_at(&stage, 59.0);
  const Forecast lamped = stage_forecast(&stage, &ask);
  assert_int_equal(lamped.going.n_to_test, 0);
  CHECK_NEAR("what it had before it", under_way.middle_s - lamped.middle_s, to_test_s,
             to_test_s / 2);
  // Then by ear: a gap from one kind to the other is none, and a lamp looked at again is a search
  stage_pass(&stage, 60.0, "microphone");
  for (int l = 1; l <= 5; ++l) {
    stage_hear(&stage, 100.0 + 20.0 * l, l, "normal");
  }
  stage_lamp(&stage, 215.0, 5);
  stage_hear(&stage, 220.0, 6, "normal");
  g = stage_going(&stage, 221.0);
  assert_int_equal(g.kind, GOING_EAR);
  CHECK_NEAR("five gaps by ear", g.pace.n_lines, 5.0, 1e-9);
  CHECK_NEAR("the lamp's stay", g.by_tester[GOING_LAMP].n_lines, 23.0, 1e-9);
  assert_int_equal(g.n_to_test, 0);
  arena_deinit(&stage.arena);
}

static void
a_search_is_no_pace(void** state)
{
  (void)state;
  Stage stage;
  stage_begin(&stage, 2);
  for (int l = 1; l <= 4; ++l) {
    stage_hear(&stage, 20.0 * (l - 1), l, "normal");
  }
  stage_hear(&stage, 80.0, 5, "nothing");
  Going g = stage_going(&stage, 100.0);
  assert_true(g.is_mending);
  CHECK_NEAR("three gaps and the one before the bad line", g.pace.n_lines, 4.0, 1e-9);
  stage_tell(&stage, 200.0, 5, "swap cable", "same", NULL, "foh");
  stage_tell(&stage, 300.0, 5, "swap socket", "better", NULL, "foh");
  stage_hear(&stage, 310.0, 5, "normal");
  stage_hear(&stage, 330.0, 6, "normal");
  g = stage_going(&stage, 340.0);
  assert_false(g.is_mending);
  assert_int_equal(g.n_mended, 1);
  CHECK_NEAR("the search is none of it", g.pace.n_lines, 4.0, 1e-9);
  // 250 s less a line of 20 s or so, against 95 s by the times: slower than usual, but one search
  // alone moves it by a quarter of the way: 0.35^2 / (0.35^2 + 0.6^2) = 0.254; log(230/95) = 0.884
  CHECK_NEAR("mends slower", g.mend_log, 0.254 * 0.884, 0.01);
  // Left for later: the next gap begins with another line, and nothing was mended
  stage_hear(&stage, 350.0, 7, "nothing");
  stage_hear(&stage, 370.0, 8, "normal");
  stage_hear(&stage, 390.0, 9, "normal");
  g = stage_going(&stage, 391.0);
  assert_int_equal(g.n_mended, 1);
  // 1 to 5, 6 to 7 and 8 to 9; not the search at 5, and not the gap that began with a bad line
  CHECK_NEAR("six gaps", g.pace.n_lines, 6.0, 1e-9);
  assert_false(g.is_mending);
  arena_deinit(&stage.arena);
}

static void
mending_takes_what_the_times_say(void** state)
{
  (void)state;
  // By hand from kinds/times.csv: seen 5 and asked 20, then desk 10, plug 30, cable 30, source 15,
  // another socket 30 and three desks of 15, multipin 45
  static const double want_s[MEND_KINDS] = {35.0, 65.0, 95.0, 110.0, 185.0, 230.0};
  Stage stage;
  double got_s[MEND_KINDS];
  stage_begin(&stage, 1);
  mend_times(&stage.plant, got_s);
  for (int k = 0; k < MEND_KINDS; ++k) {
    CHECK_NEAR("kind", got_s[k], want_s[k], 1e-9);
  }
  arena_deinit(&stage.arena);
}

static void
what_remains_is_counted(void** state)
{
  (void)state;
  Stage stage;
  Remains r;
  stage_begin(&stage, 2);
  stage_hear(&stage, 0.0, 1, "normal");
  stage_tell(&stage, 20.0, 2, "level", "normal", "foh", "foh");
  stage_hear(&stage, 40.0, 13, "nothing");
  stage_fold(&stage);
  assert_int_equal(remains_read(&stage.arena, stage.situation, &r), STATUS_OK);
  assert_int_equal(r.n_needed, 24);
  assert_int_equal(r.n_ready, 1);
  assert_int_equal(r.n_bad, 1);
  assert_int_equal(r.n_lines, 23);
  assert_int_equal(r.n_boxes, 2);
  assert_int_equal(r.boxes[0].n_ready, 1);
  assert_int_equal(r.boxes[1].n_bad, 1);
  CHECK_NEAR("two desks of three left", r.lines[0].share, 2.0 / 3.0, 1e-9);
  CHECK_NEAR("without the isolated ones nothing is", r.lines[0].direct_share, 0.0, 1e-9);
  assert_int_equal(r.n_heard, 0);
  CHECK_NEAR("nothing told: all of it", r.lines[1].share, 1.0, 1e-9);
  CHECK_NEAR("one in three is direct", r.lines[1].direct_share, 1.0 / 3.0, 1e-9);
  int order[24];
  double walk_s[24];
  // Behind line 13: 14 to 24, box A from its first line on, the bad one last
  assert_int_equal(remains_order(&r, &stage.arena, 1, 12, false, order, walk_s), STATUS_OK);
  assert_int_equal(r.lines[order[0]].line, 13);
  assert_int_equal(r.lines[order[11]].line, 1);
  assert_int_equal(r.lines[order[22]].line, 12);
  const double over_s =
    plant_walk_s(&stage.plant, stage.plant.boxes[1].place, stage.plant.boxes[0].place);
  assert_true(over_s > 0.0);
  CHECK_NEAR("walked once over", walk_s[11], over_s, 1e-9);
  CHECK_NEAR("no walk within a box", walk_s[10], 0.0, 0.0);
  arena_deinit(&stage.arena);
}

// ---- The forecast ----

// When a crew comes to a line that takes 20 s for each and walks from box to box.
static double
steady_s(const Stage* stage, int line)
{
  const double walk_s = plant_walk_s(&stage->plant, stage->plant.boxes[0].place,
                                     stage->plant.boxes[stage->plant.n_boxes > 1].place);
  return 20.0 * (line - 1) + walk_s * ((line - 1) / 12);
}

static void
a_steady_crew_ends_when_it_should(void** state)
{
  (void)state;
  Stage stage;
  stage_begin(&stage, 3);
  for (int l = 1; l <= 24; ++l) {
    stage_hear(&stage, steady_s(&stage, l), l, "normal");
  }
  stage_fold(&stage);
  const ForecastAsk ask = ask_at(&stage, steady_s(&stage, 24) + 0.5);
  const Forecast f = stage_forecast(&stage, &ask);
  // Twelve left at 20 s: 240 s, and the walk to the third box. One day in three has a pause or a
  // fault among twelve lines (by hand: 1 - 0.98^12 * 0.987^12 = 0.33), so the middle of all days is
  // where three quarters of the others end: two thirds of their standard deviation later, which is
  // some 6 in 100 (table, wandering, spread of gaps).
  const double plain_s =
    240.0 + plant_walk_s(&stage.plant, stage.plant.boxes[1].place, stage.plant.boxes[2].place);
  CHECK_NEAR("middle", f.middle_s, plain_s * 1.04, plain_s * 0.04);
  CHECK_NEAR("early", f.low_s, plain_s * 0.96, plain_s * 0.05);
  assert_true(f.high_s > f.middle_s);
  assert_true(f.high_s < 700.0);
  assert_true(isnan(f.chance) && f.by_sort == FORECAST_NO_TIME);
  assert_non_null(strstr(f.say, "12 of 36 lines are left. Likely ready between 10:1"));
  assert_non_null(strstr(f.say, "--by 18:00"));
  assert_non_null(strstr(f.rests_on, "Rests on the pace of 23 lines told so far"));
  const Forecast again = stage_forecast(&stage, &ask);
  assert_true(again.low_s == f.low_s && again.high_s == f.high_s); // To the last bit
  arena_deinit(&stage.arena);
}

static void
all_proven_is_ready(void** state)
{
  (void)state;
  Stage stage;
  stage_begin(&stage, 1);
  for (int l = 1; l <= 12; ++l) {
    stage_hear(&stage, 20.0 * l, l, "normal");
  }
  stage_fold(&stage);
  ForecastAsk ask = ask_at(&stage, 300.0);
  ask.by = "11:00";
  Forecast f = stage_forecast(&stage, &ask);
  assert_true(f.is_ready && f.chance == 1.0 && f.n_helps == 0);
  assert_string_equal(f.say, "Ready: all 12 lines are proven.");
  ask.by = "09:00"; // Ready is ready, also when the time is past
  f = stage_forecast(&stage, &ask);
  assert_true(f.is_ready && f.chance == 1.0);
  arena_deinit(&stage.arena);
}

static void
an_act_without_sources_needs_nothing(void** state)
{
  (void)state;
  Arena arena;
  Plant plant;
  Fold fold;
  Situation* s = NULL;
  Forecast f;
  arena_init(&arena, NULL);
  const char day[] = "start,end,what,who\n15:00,16:00,act 1 on,act 1\n";
  const char boxes[] = "box,sockets,first_line\nA,8,1\n";
  const ListText lists[] = {{"day.csv", day, sizeof(day) - 1},
                            {"boxes.csv", boxes, sizeof(boxes) - 1}};
  assert_int_equal(lists_build(&arena, lists, 2, 0, &plant, NULL), STATUS_OK);
  assert_int_equal(fold_make(&arena, NULL, 0, &fold, NULL), STATUS_OK);
  assert_int_equal(situation_new(&arena, &plant, 0, &fold, &s), STATUS_OK);
  const ForecastAsk ask = {.now_s = 1e9, .midnight_s = 1e9 - 36000.0, .today = ""};
  assert_int_equal(forecast_make(&arena, s, &fold, &ask, &f), STATUS_OK);
  assert_int_equal(f.remains.n_needed, 0);
  assert_non_null(strstr(f.say, "needs no line"));
  const ForecastPoint* points = NULL;
  int n = -1;
  assert_int_equal(forecast_past(&arena, s, &fold, &ask, &points, &n), STATUS_OK);
  assert_int_equal(n, 0);
  arena_deinit(&arena);
}

static const struct {
  const char* name;
  Doors doors;
  const char* by;
  double now_s; ///< After ten in the morning
  ForecastBy want;
  const char* want_by;
  double want_s, want_start_s; ///< By hand
  const char* says;
} times[] = {
  {"doors",
   {"14:00", "", "2031-06-14"},
   NULL,
   0,
   FORECAST_DOORS,
   "14:00",
   14400,
   0,
   "proven by doors at 14:00: better than 9 in 10"},
  {"doors of no date", {"14:00", "", ""}, NULL, 0, FORECAST_DOORS, "14:00", 14400, 0, "by doors"},
  {"doors of another day",
   {"14:00", "", "2031-06-15"},
   NULL,
   0,
   FORECAST_OTHER_DAY,
   "",
   NAN,
   0,
   "on another day"},
  {"no doors", {"", "", ""}, NULL, 0, FORECAST_NO_TIME, "", NAN, 0, "does not say when doors open"},
  {"doors are past",
   {"14:00", "", "2031-06-14"},
   NULL,
   15120,
   FORECAST_DOORS,
   "14:00",
   -720,
   0,
   "Doors were at 14:00, 12 min ago: 12 of 12 lines are not proven."},
  {"asked for",
   {"14:00", "", "2031-06-14"},
   "10:10",
   0,
   FORECAST_SAID,
   "10:10",
   600,
   0,
   "proven by 10:10"},
  {"asked for and past",
   {"", "", ""},
   "09:45",
   0,
   FORECAST_SAID,
   "09:45",
   -900,
   0,
   "09:45 is past, 15 min ago"},
  {"after midnight", {"", "", ""}, "00:30", 46800, FORECAST_SAID, "00:30", 5400, 0, "by 00:30"},
  {"the check begins later",
   {"14:00", "10:45", "2031-06-14"},
   NULL,
   0,
   FORECAST_DOORS,
   "14:00",
   14400,
   2700,
   "by doors"},
  {"the check should have begun",
   {"14:00", "09:45", "2031-06-14"},
   NULL,
   0,
   FORECAST_DOORS,
   "14:00",
   14400,
   0,
   "by doors"},
};

static void
the_clock_says_by_when(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(times) / sizeof(times[0]); ++i) {
    Stage stage;
    stage_begin(&stage, 1);
    stage.plant.doors = times[i].doors;
    stage_fold(&stage);
    ForecastAsk ask = ask_at(&stage, times[i].now_s);
    ask.by = times[i].by;
    const Forecast f = stage_forecast(&stage, &ask);
    assert_int_equal(f.by_sort, times[i].want);
    assert_string_equal(f.by, times[i].want_by);
    if (isnan(times[i].want_s)) {
      assert_true(isnan(f.by_s) && isnan(f.chance));
    } else {
      CHECK_NEAR(times[i].name, f.by_s, times[i].want_s, 1e-6);
      assert_true(f.chance >= 0.0 && f.chance < 1.0);
      assert_true(f.by_s > 0.0 || f.chance == 0.0);
    }
    CHECK_NEAR(times[i].name, f.start_s, times[i].want_start_s, 1e-6);
    if (!strstr(f.say, times[i].says)) {
      fail_msg("%s: \"%s\" does not say \"%s\"", times[i].name, f.say, times[i].says);
    }
    if (f.start_s > 0.0) { // Beginning now is then worth what is waited
      bool is_said = false;
      for (int k = 0; k < f.n_helps; ++k) {
        is_said = is_said || (f.helps[k].sort == FORECAST_BEGIN &&
                              fabs(f.helps[k].sooner_s - f.start_s) < 1e-6);
      }
      assert_true(is_said);
    }
    arena_deinit(&stage.arena);
  }
  static const char* const none[] = {"noon", "", "25", "12:60", "30:00", "12:5", ":30"};
  for (size_t i = 0; i < sizeof(none) / sizeof(none[0]); ++i) {
    double seconds = 0.0;
    assert_false(forecast_clock_s(none[i], &seconds));
  }
  char text[8];
  assert_string_equal(forecast_clock(90061.0, text), "01:01"); // A day, an hour, a minute, a second
  assert_string_equal(forecast_clock(-60.0, text), "23:59");
}

static void
what_helps_is_ranked(void** state)
{
  (void)state;
  Stage stage;
  stage_begin(&stage, 4);
  for (int l = 1; l <= 8; ++l) {
    stage_hear(&stage, 20.0 * (l - 1), l, "normal");
  }
  stage_fold(&stage);
  ForecastAsk ask = ask_at(&stage, 150.0);
  ask.by = "10:30";
  Forecast f = stage_forecast(&stage, &ask);
  // Forty left at 20 s by one person; two are heard every 13.5 s at most, so a third or so is saved
  assert_true(f.n_helps > 0);
  assert_int_equal(f.helps[0].sort, FORECAST_PROVER);
  assert_int_equal(f.helps[0].box, 3); // The box gone to last
  assert_true(f.helps[0].sooner_s > 200.0 && f.helps[0].sooner_s < 500.0);
  assert_non_null(strstr(f.helps[0].say, "A second person on stage, who begins at box D: "));
  for (int i = 0; i < f.n_helps; ++i) {
    assert_true(f.helps[i].sooner_s > 0.0);
    assert_true(f.helps[i].sort != FORECAST_DIRECT); // There is time enough
  }
  ask.by = "10:09"; // There is not
  f = stage_forecast(&stage, &ask);
  bool leaves = false;
  for (int i = 0; i < f.n_helps; ++i) {
    leaves =
      leaves || (f.helps[i].sort == FORECAST_DIRECT && strstr(f.helps[i].say, "stay unproven"));
  }
  assert_true(f.chance < FORECAST_GIVE_UP_PROB && leaves);
  arena_deinit(&stage.arena);
}

// One more line told good at the pace so far, against nobody having told anything yet: never a
// worse chance. The same streams of chance serve each line, so a line that is done takes its own
// time out of every draw; only the pace is drawn anew, from odds that are no slower. What is left
// is the noise of drawing: 1,000 draws at 1 in 2 stray by 0.016, and they are mostly the same
// draws.
static void
one_more_good_line_never_harms(void** state)
{
  (void)state;
  for (int told = 2; told <= 10; ++told) {
    double chance[2];
    for (int more = 0; more <= 1; ++more) {
      Stage stage;
      stage_begin(&stage, 1);
      for (int l = 1; l <= told + more; ++l) {
        stage_hear(&stage, steady_s(&stage, l), l, "normal");
      }
      stage_fold(&stage);
      ForecastAsk ask = ask_at(&stage, 20.0 * told + 0.5);
      ask.by = "10:05";
      chance[more] = stage_forecast(&stage, &ask).chance;
      arena_deinit(&stage.arena);
    }
    if (chance[1] < chance[0] - 0.016) {
      fail_msg("%d lines told: %.3f, one more: %.3f", told, chance[0], chance[1]);
    }
  }
}

static void
the_past_is_foretold_as_it_was(void** state)
{
  (void)state;
  Stage stage;
  const ForecastPoint* points = NULL;
  int n = 0;
  stage_begin(&stage, 2);
  stage_hear(&stage, -7200.0 + 7200.0, 1, "normal");
  for (int l = 2; l <= 20; ++l) {
    stage_hear(&stage, 20.0 * (l - 1), l, "normal");
  }
  stage_fold(&stage);
  ForecastAsk ask = ask_at(&stage, 400.0);
  ask.by = "10:20";
  assert_int_equal(forecast_past(&stage.arena, stage.situation, &stage.fold, &ask, &points, &n),
                   STATUS_OK);
  assert_int_equal(n, FORECAST_PAST);
  for (int i = 0; i < n; ++i) {
    assert_true(points[i].low_s <= points[i].high_s && points[i].at_s <= ask.now_s);
    assert_true(i == 0 ||
                (points[i].seq > points[i - 1].seq && points[i].n_ready >= points[i - 1].n_ready));
  }
  assert_int_equal(points[0].seq, 1);
  assert_int_equal(points[n - 1].seq, 60);
  assert_int_equal(points[n - 1].n_ready, 20);
  // The band closes as lines are told: at the first reading 23 and more are to come, at the last 4
  assert_true(points[0].high_s - points[0].low_s >
              3.0 * (points[n - 1].high_s - points[n - 1].low_s));
  // What was foretold at a moment is what the facts until then foretell
  stage.n_facts = (int)points[n / 2].seq;
  stage_fold(&stage);
  ForecastAsk then = ask;
  then.now_s = points[n / 2].at_s;
  then.n_draws = FORECAST_PAST_DRAWS;
  const Forecast f = stage_forecast(&stage, &then);
  CHECK_NEAR("low", points[n / 2].low_s - then.now_s, f.low_s, 1e-6);
  CHECK_NEAR("chance", points[n / 2].chance, f.chance, 1e-12);
  arena_deinit(&stage.arena);
}

static void
every_allocation_may_fail(void** state)
{
  (void)state;
  Stage stage;
  stage_begin(&stage, 1);
  // A few readings of one desk: a look back for each, and each fails at every request in turn
  for (int l = 1; l <= 3; ++l) {
    stage_tell(&stage, 20.0 * (l - 1), l, "level", l == 3 ? "nothing" : "normal", "foh", "foh");
  }
  stage_fold(&stage);
  ForecastAsk ask = ask_at(&stage, 130.0);
  ask.by = "10:05";
  ask.n_draws = 10;
  int n_requests = 0;
  int step = 1;
  for (int fail_at = 0; fail_at == 0 || fail_at <= n_requests; fail_at += fail_at ? step : 1) {
    FailingHeap heap = {.fail_at = fail_at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    Forecast f = {.say = "untouched"};
    const ForecastPoint* points = NULL;
    int n = -1;
    arena_init(&arena, &from);
    Status st = forecast_make(&arena, stage.situation, &stage.fold, &ask, &f);
    assert_true(st == STATUS_OK || !strcmp(f.say, "untouched"));
    if (st == STATUS_OK) {
      st = forecast_past(&arena, stage.situation, &stage.fold, &ask, &points, &n);
      assert_true(st == STATUS_OK || (n == -1 && !points));
    }
    assert_int_equal(st, fail_at ? STATUS_NO_MEMORY : STATUS_OK);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    if (!fail_at) {
      n_requests = heap.n_requests;
      step = getenv("LINEWALK_LONG") ? (n_requests + 999) / 1000 : failing_step(n_requests, 60);
    }
  }
  arena_deinit(&stage.arena);
}

static void
bands_hold_over_made_days(void** state)
{
  (void)state;
  const bool is_long = getenv("LINEWALK_LONG") != NULL;
  const int n = check_count(100, MADE_PLOT_DAYS);
  Plant plants[2];
  const Plant* const both[2] = {&plants[0], &plants[1]};
  MadeTally tally;
  Arena arena;
  arena_init(&arena, NULL);
  // In the small count the smaller plants, for the sanitizers' sake
  assert_int_equal(made_plant(&arena, is_long ? 4 : 1, &plants[0]), STATUS_OK);
  assert_int_equal(made_plant(&arena, 2, &plants[1]), STATUS_OK);
  assert_int_equal(made_tally(both, 2, MADE_USUAL, 0, n, is_long ? MADE_PLOT_DRAWS : 200, &tally),
                   STATUS_OK);
  const double held = 100.0 * tally.n_held / tally.n;
  check_figure("forecast_days", tally.n, "days");
  check_figure("forecast_80_band_held", held, "percent");
  check_figure("forecast_band_mean", tally.width_s / 60.0, "min");
  assert_true(tally.n >= n - n / 20); // Hardly a day is done before it is asked about
  const double low = is_long ? 74.0 : 70.0;
  const double high = is_long ? 86.0 : 90.0;
  if (held < low || held > high) {
    fail_msg("the band that should hold 80 in 100 held %.1f (%d of %d)", held, tally.n_held,
             tally.n);
  }
  if (is_long) {
    char* const room = arena_array(&arena, 1 << 17, 1);
    FILE* const file = fopen(FORECAST_SVG, "rb");
    assert_true(room && file);
    const size_t got = file ? fread(room, 1, (1 << 17) - 1, file) : 0;
    assert_int_equal(file ? fclose(file) : 0, 0);
    assert_true(got > 0);
    assert_string_equal(room, made_plot(&arena, &tally)); // forecast_plot > docs/forecast.svg
  }
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_rest_is_played_out),
    cmocka_unit_test(one_more_on_stage_is_never_later),
    cmocka_unit_test(the_normal_is_the_normal),
    cmocka_unit_test(a_pace_begins_with_usual_practice),
    cmocka_unit_test(a_pace_follows_the_crew_and_no_break),
    cmocka_unit_test(lines_told_at_once_are_one_gap),
    cmocka_unit_test(what_has_been_waited_is_over),
    cmocka_unit_test(the_log_is_read_in_visits),
    cmocka_unit_test(a_pass_by_lamp_has_a_pace_of_its_own),
    cmocka_unit_test(a_search_is_no_pace),
    cmocka_unit_test(mending_takes_what_the_times_say),
    cmocka_unit_test(what_remains_is_counted),
    cmocka_unit_test(a_steady_crew_ends_when_it_should),
    cmocka_unit_test(all_proven_is_ready),
    cmocka_unit_test(an_act_without_sources_needs_nothing),
    cmocka_unit_test(the_clock_says_by_when),
    cmocka_unit_test(what_helps_is_ranked),
    cmocka_unit_test(one_more_good_line_never_harms),
    cmocka_unit_test(the_past_is_foretold_as_it_was),
    cmocka_unit_test(every_allocation_may_fail),
    cmocka_unit_test(bands_hold_over_made_days),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
