// SPDX-License-Identifier: GPL-3.0-or-later
/*
  A rehearsal for people: what its machine does with each key, what it never gives away, and the
  laws of the world that answers.

  LINEWALK_LONG=1: more worlds and draws.
*/
#include "day/cause.h"
#include "day/planted.h"
#include "day/practice.h"
#include "stage/lists.h"

#include <string.h>

typedef struct {
  Arena arena;
  const Plant* plant;
  Situation* base; ///< Of act2
} Stage;

/// In place: the predictor keeps the arena's address.
static void
stage_init(Stage* stage)
{
  *stage = (Stage){0};
  arena_init(&stage->arena, NULL);
  stage->plant = planted_demo(&stage->arena);
  const int act = plant_act(stage->plant, "act2");
  assert_int_equal(situation_new(&stage->arena, stage->plant, act, NULL, &stage->base), STATUS_OK);
}

static World
hidden(Stage* stage, int number, const char* text, uint64_t seed)
{
  WorldCause cause;
  const char* fits[8];
  int n = 0;
  World world;
  const int line = plant_line(stage->plant, number);
  if (cause_of(&stage->arena, stage->base, line, text, &cause, fits, &n) != STATUS_OK) {
    fail_msg("%s: %d fit", text, n);
  }
  if (world_hide(stage->base, &cause, seed, &world) != STATUS_OK) {
    fail_msg("nobody would notice %s", text);
  }
  return world;
}

static World
drawn(const WorldUrn* urn, Rng* rng, uint64_t seed)
{
  World world;
  assert_int_equal(world_draw(urn, rng, seed, -1, &world), STATUS_OK);
  return world;
}

static Practice*
practice_of(Stage* stage, const World* world, int n_people)
{
  const PracticeOptions options = {.n_people = n_people};
  Practice* p = NULL;
  assert_int_equal(practice_new(&stage->arena, stage->base, world, &options, &p), STATUS_OK);
  return p;
}

static PracticeScreen
screen_of(const Practice* p)
{
  PracticeScreen screen;
  assert_int_equal(practice_screen(p, &screen), STATUS_OK);
  return screen;
}

/// Press the key of the first choice that says `text`.
static void
choose(Practice* p, const char* text)
{
  const PracticeScreen screen = screen_of(p);
  for (int i = 0; i < screen.n_choices; ++i) {
    if (strstr(screen.choices[i].say, text)) {
      assert_int_equal(practice_key(p, &screen, screen.choices[i].key), STATUS_OK);
      return;
    }
  }
  fail_msg("no choice says %s", text);
}

/// Seconds by hand from demo/times.csv and demo/places.csv.
static void
the_clock_is_the_storys_own(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  // A seed whose world lets the first repair help: 94 in 100 do
  const World world = hidden(&stage, 45, "house desk input 45: muted", 1);
  static const struct {
    const char *place, *step;
    double after_s[2]; ///< For one person, for two
  } rows[] = {
    // One: tower to box D 90 s through the crowd, look at a socket 8 s. Two: one stands there.
    {"To box D, to look", "follow the cable", {98.0, 8.0}},
    // One is at box D now: move a plug there, for the known-good microphone, 30 s.
    {"To box D, to look", "plug the known-good microphone", {128.0, 38.0}},
    // Back to the tower 85 s, a look at one channel 10 s; two: the other one never left.
    {"To the house desk.", "look at channel", {223.0, 48.0}},
    // Put it right 10 s, and listen 5 s.
    {"To the house desk.", "put channel 45 right", {238.0, 63.0}},
  };
  for (int people = 1; people <= 2; ++people) {
    Practice* const p = practice_of(&stage, &world, people);
    for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
      assert_int_equal(screen_of(p).state, PRACTICE_WHERE);
      choose(p, rows[i].place);
      assert_int_equal(screen_of(p).state, PRACTICE_WHAT);
      choose(p, rows[i].step);
      CHECK_NEAR(rows[i].step, practice_seconds(p), rows[i].after_s[people - 1], 1e-9);
    }
    assert_int_equal(screen_of(p).state, PRACTICE_SOUND);
    int n = 0;
    const PracticeMove* const moves = practice_moves(p, &n);
    assert_int_equal(n, 4);
    assert_string_equal(moves[2].answer, "it is muted");
    assert_string_equal(moves[3].answer, "there is sound now");
    PracticeEnd end;
    assert_int_equal(practice_end(p, &end), STATUS_OK);
    assert_string_equal(end.truth, "It was this: house desk input 45 (muted).");
    assert_true(end.is_named);
    CHECK_NEAR("yours", end.seconds, rows[3].after_s[people - 1], 1e-9);
  }
  arena_deinit(&stage.arena);
}

static void
keys_that_are_no_step(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  const World world = hidden(&stage, 45, "house desk input 45: muted", 1);
  Practice* const p = practice_of(&stage, &world, 2);
  PracticeScreen screen = screen_of(p);
  assert_string_equal(screen.complaint,
                      "The house desk says: nothing from vocal lead on channel 45.");
  assert_int_equal(practice_key(p, &screen, 'z'), STATUS_BAD_ARG);
  assert_int_equal(practice_key(p, &screen, '0'), STATUS_BAD_ARG); // Nowhere to go back from
  assert_int_equal(practice_key(p, &screen, '?'), STATUS_OK);
  assert_int_equal(screen_of(p).state, PRACTICE_WHERE);
  choose(p, "To box D, to look");
  choose(p, "somewhere else");
  assert_int_equal(screen_of(p).state, PRACTICE_WHERE);
  CHECK_NEAR("none of it takes time", practice_seconds(p), 0.0, 0.0);
  // The way round: from box D, where somebody stands, as long as `around` says
  const AroundWay* ways = NULL;
  int n = 0;
  assert_int_equal(around_ways(stage.base, &stage.arena, plant_line(stage.plant, 45), &ways, &n),
                   STATUS_OK);
  assert_true(n > 0);
  choose(p, "go round: ");
  assert_int_equal(screen_of(p).state, PRACTICE_ROUND);
  CHECK_NEAR("way round", practice_seconds(p), ways[0].seconds, 1e-9);
  assert_int_equal(screen_of(p).n_choices, 0);
  Practice* const other = practice_of(&stage, &world, 2);
  screen = screen_of(other);
  assert_int_equal(practice_key(other, &screen, 'q'), STATUS_OK);
  assert_int_equal(screen_of(other).state, PRACTICE_LEFT);
  PracticeEnd end;
  assert_int_equal(practice_end(other, &end), STATUS_OK);
  assert_false(end.is_named); // Leaving names nothing
  const PracticeOptions three = {.n_people = 3};
  Practice* none = NULL;
  assert_int_equal(practice_new(&stage.arena, stage.base, &world, &three, &none), STATUS_BAD_ARG);
  assert_null(none);
  arena_deinit(&stage.arena);
}

/// A way round that takes the bad part along does not help, is not offered again, and counts as
/// what it is: the plug in another socket, and nothing better.
static void
a_way_round_in_vain(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  const World world = hidden(&stage, 41, "the cable in D1: short 2-3", 1);
  Practice* const p = practice_of(&stage, &world, 2);
  PracticeRound first;
  PracticeRound second;
  assert_int_equal(practice_round(p, &first), STATUS_OK);
  assert_non_null(first.way); // D2: nothing is plugged there in act 2
  assert_true(first.takes_plug);
  assert_int_equal(practice_go_round(p), STATUS_OK);
  assert_int_equal(screen_of(p).state, PRACTICE_WHERE);
  int n = 0;
  assert_string_equal(practice_moves(p, &n)[0].answer, "no change, and the plug goes back");
  CHECK_NEAR("its time", practice_seconds(p), first.seconds, 1e-9);
  assert_int_equal(practice_round(p, &second), STATUS_OK);
  assert_true(!second.way || strcmp(second.way->way, first.way->way) != 0);
  for (int i = 0; i < 8 && screen_of(p).state == PRACTICE_WHERE; ++i) {
    assert_int_equal(practice_go_round(p), STATUS_OK);
  }
  assert_int_equal(screen_of(p).state, PRACTICE_ROUND); // A new line passes everything
  const char* moved = NULL;
  assert_int_equal(practice_moved(p, &moved), STATUS_OK);
  assert_non_null(strstr(moved, "The cable in D1: "));
  arena_deinit(&stage.arena);
}

/// What a way round passes, by hand: the plug takes source and cable along; a whole tail, a split
/// side or a desk holds for every line of its own.
static void
what_a_way_round_passes(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  static const struct {
    int line;
    const char* cause;
    int over;
    bool takes_plug;
    bool want;
  } rows[] = {
    {41, "the cable in D1: short 2-3", 42, true, false},
    {41, "the source (vocal SR): dead", 42, true, false},
    {41, "socket D1: open 2", 42, true, true},
    // Its channel gets the other line patched to it, and is muted as before; the spare has its own
    {41, "house desk input 41: muted", 42, true, false},
    {45, "house desk input 45: muted", 43, false, true},
    {45, "the cable in D5: short 2-3", 43, false, true}, // The spare singer's microphone
    {45, "the tail of box D", 43, false, false},
    {45, "the tail of box D", 42, true, false},
    {45, "the tail of box D", 15, true, true}, // A15
    {45, "the plug of vocal lead is in D6", 42, true, true},
    {45, "the house desk hears nothing", 43, false, false},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const World world = hidden(&stage, rows[i].line, rows[i].cause, 1);
    if (world_goes_round(&world, plant_line(stage.plant, rows[i].over), rows[i].takes_plug) !=
        rows[i].want) {
      fail_msg("%s over line %d: want %d", rows[i].cause, rows[i].over, rows[i].want);
    }
    assert_false(world_goes_round(&world, -1, false)); // No network lead here
  }
  arena_deinit(&stage.arena);
}

/// With nobody counted the crew list plays: its roles, where they start, and the same clock for
/// those who know the cause and those who go by habit. By hand: the house engineer looks 10 s and
/// listens 5 s; the microphone first takes a stage hand 5 s of listening, 15 s of swapping.
static void
the_crew_plays(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  const World world = hidden(&stage, 41, "house desk input 41: muted", 1);
  const PracticeOptions options = {.n_people = 0};
  Practice* p = NULL;
  assert_int_equal(practice_new(&stage.arena, stage.base, &world, &options, &p), STATUS_OK);
  choose(p, "To vocal SR.");
  choose(p, "Swap vocal SR");
  CHECK_NEAR("microphone", practice_seconds(p), 20.0, 1e-9);
  choose(p, "To the house desk.");
  choose(p, "put channel 41 right");
  int n = 0;
  const PracticeMove* const moves = practice_moves(p, &n);
  assert_int_equal(n, 2);
  assert_string_equal(moves[0].who, "stage sound hands");
  assert_string_equal(moves[1].who, "front-of-house engineer");
  assert_int_equal(screen_of(p).state, PRACTICE_SOUND);
  PracticeEnd end;
  assert_int_equal(practice_end(p, &end), STATUS_OK);
  CHECK_NEAR("knowing", end.floor_s, 15.0, 1e-9);
  // Microphone 20 s, cable 35 s, another socket 30 + 15 + 5 s, the house desk 15 s
  CHECK_NEAR("habit", end.habit_s, 120.0, 1e-9);
  assert_non_null(strstr(end.after, "Store the scene"));
  const char* moved = NULL;
  assert_int_equal(practice_moved(p, &moved), STATUS_OK);
  assert_non_null(strstr(moved, "House desk input 41: "));
  arena_deinit(&stage.arena);
}

/// Once there is sound the part is dealt with as what it is. Seeds whose world lets a repair help.
static void
what_to_do_with_the_part(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  static const struct {
    int line;
    const char *cause, *says;
  } rows[] = {
    {45, "the cable in D5: open 2", "Tape over both ends of each cable"},
    {45, "the tail of box D is not", "Every line of box D is unproven"},
    {45, "house desk input 45: muted", "Store the scene"},
    {45, "house desk input 45: dead", "Tape over input 45 of the house desk"},
    {45, "the plug of vocal lead is in D6", "no part is bad"},
    {45, "flat battery", "what was found at vocal lead"},
    {41, "the source (vocal SR): dead", "Tape what came out"},
    {21, "phantom is off on inputs 17 to 24", "one by one"},
    {41, "split 41, mon side: open 2", "its side to the monitor desk is bad"},
    {41, "socket D1: open 2", "Tape over socket D1"},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const World world = hidden(&stage, rows[i].line, rows[i].cause, 1);
    Practice* const p = practice_of(&stage, &world, 2);
    while (screen_of(p).state == PRACTICE_WHERE) {
      const Step* step = NULL;
      const char* likely = NULL;
      assert_int_equal(practice_advice(p, &step, &likely), STATUS_OK);
      assert_int_equal(step ? practice_take(p, step) : practice_go_round(p), STATUS_OK);
    }
    PracticeEnd end;
    assert_int_equal(practice_end(p, &end), STATUS_OK);
    if (screen_of(p).state != PRACTICE_SOUND || !strstr(end.after, rows[i].says)) {
      fail_msg("%s: %s", rows[i].cause, end.after);
    }
  }
  arena_deinit(&stage.arena);
}

/// Everything a screen shows, as one text.
static const char*
text_of(Arena* arena, const PracticeScreen* s)
{
  const char* text = arena_format(arena, "%s|%s", s->complaint, s->at);
  for (int i = 0; i < s->n_choices; ++i) {
    const PracticeChoice* const c = &s->choices[i];
    text = arena_format(arena, "%s\n%c %s %s %.3f %d %s", text, c->key, c->say,
                        c->step ? c->step->caution : "", c->seconds, c->n_steps,
                        c->step ? c->step->why : "");
  }
  return text;
}

/// What is hidden shows in no word: two causes with one complaint make the same screens, and each
/// key stands for one thing.
static void
nothing_is_given_away(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  static const char* const causes[] = {"house desk input 45: muted", "the cable in D5: short 2-3",
                                       "the plug of vocal lead is in D6 instead of D5"};
  const char* first[10] = {NULL};
  for (size_t i = 0; i < sizeof(causes) / sizeof(causes[0]); ++i) {
    World world = hidden(&stage, 45, causes[i], 4);
    Check check = {CHECK_LEVEL, -1};
    int key = -1;
    for (int k = 0; k < 100 && !(check.desk == 0 && key == LEVEL_NOTHING); ++k) {
      ++world.seed; // One where "nothing" is what the house desk says
      (void)world_complaint(&world, &check, &key);
    }
    Practice* const p = practice_of(&stage, &world, 2);
    PracticeScreen where = screen_of(p);
    int n = 0;
    for (int k = 0; k <= where.n_choices; ++k) {
      PracticeScreen screen = where;
      if (k > 0 && where.choices[k - 1].n_steps == 0) {
        break;
      }
      if (k > 0) {
        assert_int_equal(practice_key(p, &where, where.choices[k - 1].key), STATUS_OK);
        screen = screen_of(p);
        assert_int_equal(screen.state, PRACTICE_WHAT);
        assert_int_equal(practice_key(p, &screen, '0'), STATUS_OK);
      }
      for (int a = 0; a < screen.n_choices; ++a) {
        for (int b = 0; b < a; ++b) {
          assert_int_not_equal(screen.choices[a].key, screen.choices[b].key);
        }
        assert_true(!screen.choices[a].step || !screen.choices[a].step->why[0]);
      }
      const char* const text = text_of(&stage.arena, &screen);
      assert_non_null(text);
      if (i == 0) {
        first[n] = text;
      }
      assert_string_equal(text, first[n]);
      ++n;
    }
    assert_true(n >= 5); // Desks, box, source, split
  }
  arena_deinit(&stage.arena);
}

/// A play of any keys ends, never takes back a second, and the same keys are the same play.
static void
any_keys_end(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  const WorldUrn* urn = NULL;
  assert_int_equal(world_urn(&stage.arena, stage.base, &urn), STATUS_OK);
  const int n_worlds = check_count(6, 30);
  for (int i = 0; i < n_worlds; ++i) {
    const uint64_t seed = 900 + (uint64_t)i;
    double took[2] = {0.0};
    int moves[2] = {0};
    for (int again = 0; again < 2; ++again) {
      Rng rng;
      rng_init(&rng, seed);
      const World world = drawn(urn, &rng, seed);
      Practice* const p = practice_of(&stage, &world, 1 + i % 2);
      for (int k = 0;; ++k) {
        const PracticeScreen screen = screen_of(p);
        if (screen.state != PRACTICE_WHERE && screen.state != PRACTICE_WHAT) {
          break;
        }
        if (k > 400) {
          fail_msg("seed %d does not end", (int)seed);
        }
        const double before = practice_seconds(p);
        int n_plain = 0;
        while (screen.choices[n_plain].key != '0' && screen.choices[n_plain].key != 'w') {
          ++n_plain;
        }
        const char key = n_plain == 0 ? 'w' : screen.choices[rng_below(&rng, n_plain)].key;
        assert_int_equal(practice_key(p, &screen, key), STATUS_OK);
        if (practice_seconds(p) < before) {
          fail_msg("seed %d: the clock ran back", (int)seed);
        }
      }
      took[again] = practice_seconds(p);
      (void)practice_moves(p, &moves[again]);
    }
    CHECK_NEAR("the same play", took[1], took[0], 0.0);
    assert_int_equal(moves[1], moves[0]);
  }
  printf("%d worlds, seeds from 900\n", n_worlds);
  arena_deinit(&stage.arena);
}

/// What the end says of the advice is what the advice does when it is followed.
static void
the_advice_plays_the_same_world(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  const WorldUrn* urn = NULL;
  assert_int_equal(world_urn(&stage.arena, stage.base, &urn), STATUS_OK);
  for (int i = 0; i < check_count(4, 20); ++i) {
    Rng rng;
    rng_init(&rng, 70 + (uint64_t)i);
    const World world = drawn(urn, &rng, 70 + (uint64_t)i);
    Practice* const p = practice_of(&stage, &world, 2);
    PracticeEnd before;
    assert_int_equal(practice_end(p, &before), STATUS_OK);
    const char* first = NULL;
    while (screen_of(p).state == PRACTICE_WHERE) {
      const Step* step = NULL;
      const char* likely = NULL;
      assert_int_equal(practice_advice(p, &step, &likely), STATUS_OK);
      first = first ? first : step ? step->say : "";
      assert_int_equal(step ? practice_take(p, step) : practice_go_round(p), STATUS_OK);
    }
    int n = 0;
    (void)practice_moves(p, &n);
    CHECK_NEAR("seconds", before.advice_s, practice_seconds(p), 1e-9);
    assert_int_equal(before.advice_steps, n);
    assert_int_equal(before.advice_found, screen_of(p).state == PRACTICE_SOUND);
    assert_string_equal(before.after, ""); // Nothing is mended yet
    PracticeEnd end;
    assert_int_equal(practice_end(p, &end), STATUS_OK);
    assert_true(end.after[0] != '\0');
    assert_true(end.floor_s > 0.0 && end.habit_s > 0.0);
    assert_string_equal(before.first ? before.first->say : "", first);
  }
  arena_deinit(&stage.arena);
}

static void
causes_by_their_words(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  static const struct {
    const char* text;
    Status want;
    const char* says; ///< NULL = none
  } rows[] = {
    {"the cable in D5: open 3", STATUS_OK, "the cable in D5: open 3"},
    {"CABLE IN D5: OPEN 3", STATUS_OK, "the cable in D5: open 3"},
    {"house desk input 45: pad", STATUS_OK, "house desk input 45: pad in"},
    {"tail of box D", STATUS_OK, "the tail of box D is not locked home"},
    {"open 3", STATUS_NO_SOLUTION, NULL},     // Of the cable, the socket, the pair ...
    {"three mice", STATUS_NO_SOLUTION, NULL}, // None
    {"tester", STATUS_NO_SOLUTION, NULL},     // A lying tester cannot be hidden
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    WorldCause cause;
    const char* fits[8];
    int n = -1;
    const int line = plant_line(stage.plant, 45);
    const Status st = cause_of(&stage.arena, stage.base, line, rows[i].text, &cause, fits, &n);
    if (st != rows[i].want) {
      fail_msg("%s: status %d, %d fit, first %s", rows[i].text, (int)st, n, n ? fits[0] : "none");
    }
    if (rows[i].says) {
      assert_string_equal(cause_say(&stage.arena, stage.base, &cause), rows[i].says);
    }
  }
  arena_deinit(&stage.arena);
}

/// A tail takes all its lines down, and the line check comes to one every 5 s ("see which channel
/// is silent" in demo/times.csv), onwards from the one complained of. Act 2 has 41, 43 and 45 on
/// box D.
static void
others_complain_line_by_line(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  static const struct {
    const char* cause;
    int n_heard; ///< After 5 s and 10 s more
    const char* others;
  } rows[] = {
    {"the tail of box D is not locked home", 2,
     "By now there are complaints of other lines too: 41, 43."},
    {"house desk input 45: muted", 0, ""}, // A fault of its own takes no other down
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const World world = hidden(&stage, 45, rows[i].cause, 1);
    Practice* const p = practice_of(&stage, &world, 2);
    int n = -1;
    (void)practice_heard(p, &n);
    assert_int_equal(n, 0);
    assert_string_equal(screen_of(p).others, "");
    choose(p, "To the house desk.");
    choose(p, "watch the input meters"); // 5 s
    const PracticeHeard* heard = practice_heard(p, &n);
    assert_int_equal(n, rows[i].n_heard / 2);
    choose(p, "To the house desk.");
    choose(p, "look at channel"); // 10 s
    heard = practice_heard(p, &n);
    assert_int_equal(n, rows[i].n_heard);
    for (int k = 0; k < n; ++k) {
      CHECK_NEAR("a look each", heard[k].at_s, 5.0 * (k + 1), 1e-9);
      assert_int_equal(stage.plant->lines[heard[k].line].number, 41 + 2 * k);
    }
    assert_string_equal(screen_of(p).others, rows[i].others);
  }
  arena_deinit(&stage.arena);
}

/// With the third silent line at the latest the tail is what is most likely, whoever misreads:
/// tests/day/test_groups.c holds the odds, this the rehearsal to it.
static void
a_tail_is_named_by_its_third_line(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  int n_named = 0;
  const int n = check_count(5, 40);
  for (int seed = 1; seed <= n; ++seed) {
    const World world = hidden(&stage, 45, "the tail of box D", (uint64_t)seed);
    Practice* const p = practice_of(&stage, &world, 2);
    choose(p, "To the house desk.");
    choose(p, "look at channel"); // 10 s: 41 and 43 are silent too
    const Step* step = NULL;
    const char* likely = NULL;
    assert_int_equal(practice_advice(p, &step, &likely), STATUS_OK);
    n_named += strstr(likely, "the tail of box D") != NULL;
  }
  printf("%d of %d named, seeds from 1\n", n_named, n);
  assert_true(n_named >= n - (n + 19) / 20); // A misread line in twenty
  arena_deinit(&stage.arena);
}

// ---- Laws of the world ----

/// Each line of a shared cause answers for itself, the same each time; the one complained of first
/// as if it were alone.
static void
other_lines_answer_for_themselves(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  int lines[64];
  const World world = hidden(&stage, 45, "the tail of box D", 3);
  assert_int_equal(world_others(&world, lines, 64), 2);
  assert_int_equal(world_others(&world, lines, 1), 1);
  const World own = hidden(&stage, 45, "house desk input 45: muted", 3);
  assert_int_equal(world_others(&own, lines, 64), 0);
  int n_differ = 0;
  World w = world;
  for (w.seed = 0; w.seed < 2000; ++w.seed) {
    Check check[3];
    int key[3];
    const int at[] = {plant_line(stage.plant, 45), plant_line(stage.plant, 41),
                      plant_line(stage.plant, 45)};
    for (int i = 0; i < 3; ++i) {
      const Status st = world_complaint_on(&w, at[i], &check[i], &key[i]);
      if (st == STATUS_NO_SOLUTION) {
        check[i] = (Check){CHECK_LEVEL, -1};
        key[i] = LEVEL_NORMAL;
      } else {
        assert_int_equal(st, STATUS_OK);
      }
    }
    assert_int_equal(check[2].desk, check[0].desk);
    assert_int_equal(key[2], key[0]);
    n_differ += key[1] != key[0] || check[1].desk != check[0].desk;
  }
  assert_in_range(n_differ, 20, 400); // Misread 2 in 100 each, not together
  arena_deinit(&stage.arena);
}

/// Asked again, in whatever order, the world gives the answer it gave.
static void
the_same_question_the_same_answer(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  const WorldUrn* urn = NULL;
  assert_int_equal(world_urn(&stage.arena, stage.base, &urn), STATUS_OK);
  Rng rng;
  rng_init(&rng, 5);
  const int n_worlds = check_count(40, 1000);
  for (int i = 0; i < n_worlds; ++i) {
    const uint64_t seed = rng_bits(&rng);
    const World world = drawn(urn, &rng, seed);
    static const Check asks[] = {{CHECK_LEVEL, 0}, {CHECK_SEEN, 0},   {CHECK_LOOK, 0},
                                 {CHECK_LOOK, -1}, {CHECK_LAMPS, -1}, {CHECK_HUM, 0}};
    enum { N = sizeof(asks) / sizeof(asks[0]) };
    int first[N];
    for (int k = 0; k < N; ++k) {
      assert_int_equal(world_check(&world, asks[k], &first[k]), STATUS_OK);
    }
    for (int k = N - 1; k >= 0; --k) {
      int again = -1;
      assert_int_equal(world_check(&world, asks[k], &again), STATUS_OK);
      assert_int_equal(again, first[k]);
    }
  }
  printf("%d worlds, seed 5\n", n_worlds);
  arena_deinit(&stage.arena);
}

/// Misreadings come as often as demo/misread.csv says. The cause leaves no doubt what is shown (one
/// key alone), so that every other answer is a misreading. Bound: four standard errors.
static void
misreadings_come_as_listed(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  static const struct {
    int line;
    const char* cause;
    Check check;
    int shows;
    double misread; ///< demo/misread.csv
  } rows[] = {
    {45, "house desk input 45: muted", {CHECK_LEVEL, 0}, LEVEL_NOTHING, 0.02},
    {45, "house desk input 45: muted", {CHECK_LOOK, 0}, LOOK_MUTED, 0.01},
    {45, "the cable in D5: short 2-3", {CHECK_SEEN, 0}, SEEN_NO, 0.02},
    {3, "the cable in A3: open 2", {CHECK_OHMS, -1}, OHMS_OPEN, 0.03},
    {45, "the cable in D5: short 2-3", {CHECK_FLEX, -1}, FLEX_PASSES, 0.05},
  };
  const int n = check_count(20000, 100000);
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    int n_wrong = 0;
    World world = hidden(&stage, rows[i].line, rows[i].cause, 0);
    for (int k = 0; k < n; ++k) {
      world.seed = 31 * (uint64_t)k + 7;
      int key = -1;
      assert_int_equal(world_check(&world, rows[i].check, &key), STATUS_OK);
      n_wrong += key != rows[i].shows;
    }
    const double p = rows[i].misread;
    char name[96];
    (void)snprintf(name, sizeof(name), "%s, %s", rows[i].cause,
                   predict_check_word(rows[i].check.sort));
    CHECK_NEAR(name, n_wrong / (double)n, p, 4.0 * sqrt(p * (1.0 - p) / n));
  }
  printf("%d worlds a row, seeds 31 k + 7\n", n);
  arena_deinit(&stage.arena);
}

/// A repair for the cause helps REPAIR_HELPS_PROB of the times, at every attempt; any other never.
static void
repairs_help_as_often_as_stated(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  World world = hidden(&stage, 45, "the cable in D5: open 2", 0);
  const int n = check_count(20000, 100000);
  const double p = REPAIR_HELPS_PROB;
  for (int attempt = 0; attempt < 2; ++attempt) {
    int n_helped = 0;
    for (int k = 0; k < n; ++k) {
      world.seed = 17 * (uint64_t)k + 3;
      n_helped += world_repair(&world, REPAIR_CABLE, -1, attempt);
      assert_false(world_repair(&world, REPAIR_SOURCE, -1, attempt));
      assert_false(world_repair(&world, REPAIR_DESK, 0, attempt));
    }
    CHECK_NEAR("helps", n_helped / (double)n, p, 4.0 * sqrt(p * (1.0 - p) / n));
  }
  printf("%d worlds, seeds 17 k + 3\n", n);
  arena_deinit(&stage.arena);
}

enum { MAX_CELLS = 48 * 60 + 600 };

typedef struct {
  WorldCause cause;
  double odds;
  int n;
} Cell;

/// Chance that some desk hears something wrong, misreading included: each question of level, hum
/// and crackle at each desk is answered by itself. What is not shown falls on the other words.
static double
noticed(const Stage* stage, const WorldCause* cause)
{
  static const Check heard[] = {
    {CHECK_LEVEL, LEVEL_NORMAL}, {CHECK_HUM, HUM_NONE}, {CHECK_CRACKLE, CRACKLE_NONE}};
  const Situation* const base = stage->base;
  const Condition condition =
    situation_supposed(stage->plant, base->act, cause->line, cause->state, &cause->fault);
  const View* view = NULL;
  assert_int_equal(predictor_view(base->predictor, &condition, &view), STATUS_OK);
  double none = 1.0;
  for (size_t i = 0; i < sizeof(heard) / sizeof(heard[0]); ++i) {
    const int fine = heard[i].desk; // The row's second number is the reading
    for (int d = 0; d < stage->plant->n_desks; ++d) {
      const Check check = {heard[i].sort, d};
      int keys[PREDICT_MAX_KEYS];
      double shown = 0.0;
      double words = 0.0;
      bool is_shown = false;
      if (!stage->plant->lines[cause->line].desk_input[d]) {
        continue;
      }
      const int n = predict_keys(stage->plant, cause->line, check, view, NULL, keys);
      for (int k = 0; k < n; ++k) {
        shown += predict_prob(stage->plant, cause->line, check, view, NULL, keys[k]);
        is_shown = is_shown || keys[k] == fine;
      }
      for (int word = 0; word < predict_words(stage->plant, cause->line, check); ++word) {
        bool listed = false;
        for (int k = 0; k < n; ++k) {
          listed = listed || keys[k] == word;
        }
        words += listed ? 0.0 : predict_prob(stage->plant, cause->line, check, view, NULL, word);
      }
      const double p = predict_prob(stage->plant, cause->line, check, view, NULL, fine);
      none *= is_shown ? p : p * (1.0 - shown) / words;
    }
  }
  return 1.0 - none;
}

/// The odds of everything, times the chance that somebody notices; one cell a line and fault, one a
/// shared state and line: counted here from the lists of faults, not from the urn.
static int
cells_of(const Stage* stage, Cell* cells)
{
  const Plant* const plant = stage->plant;
  const Situation* const base = stage->base;
  static const Fault none = {PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0};
  int n = 0;
  for (int l = 0; l < plant->n_lines; ++l) {
    for (int i = 0; i < base->model.n_locals[l]; ++i) {
      const Fault* const fault = &base->locals[l][i];
      const WorldCause cause = {base->act, l, *fault, NULL};
      if (plant_input(plant, base->act, l) && fault->mode != FAULT_NONE &&
          fault->mode != FAULT_SOMETHING_ELSE) {
        cells[n++] = (Cell){cause, fault->prob * noticed(stage, &cause), 0};
      }
    }
  }
  for (int i = 1; i < base->n_states; ++i) {
    const SharedState* const state = &base->states[i];
    const int first = n;
    for (int k = 0; k < state->n_touches && state->sort != SHARED_TESTER; ++k) {
      const WorldCause cause = {base->act, state->touches[k].line, none, state};
      if (plant_input(plant, base->act, cause.line)) {
        cells[n++] = (Cell){cause, state->prob * noticed(stage, &cause), 0};
      }
    }
    for (int k = first; k < n; ++k) {
      cells[k].odds /= n - first;
    }
  }
  return n;
}

/// Chi-square over all cells expected five times or more, the others as one. Bound: its mean and
/// four standard deviations.
static void
the_urn_follows_its_odds(void** state)
{
  (void)state;
  Stage stage;
  stage_init(&stage);
  const WorldUrn* urn = NULL;
  assert_int_equal(world_urn(&stage.arena, stage.base, &urn), STATUS_OK);
  Cell* const cells = arena_array(&stage.arena, MAX_CELLS, sizeof(Cell));
  const int n_cells = cells_of(&stage, cells);
  assert_in_range(n_cells, 100, MAX_CELLS);
  double sum = 0.0;
  for (int c = 0; c < n_cells; ++c) {
    sum += cells[c].odds;
  }
  const int n = check_count(20000, 100000);
  Rng rng;
  rng_init(&rng, 11);
  for (int i = 0; i < n; ++i) {
    const WorldCause cause = drawn(urn, &rng, rng_bits(&rng)).cause;
    int at = 0;
    while (at < n_cells &&
           !(cells[at].cause.line == cause.line && cells[at].cause.state == cause.state &&
             catalogue_same(&cells[at].cause.fault, &cause.fault))) {
      ++at;
    }
    assert_true(at < n_cells);
    ++cells[at].n;
  }
  double chi2 = 0.0;
  double rest = 0.0;
  int n_rest = 0;
  int n_terms = 0;
  for (int c = 0; c < n_cells; ++c) {
    const double want = n * cells[c].odds / sum;
    if (want >= 5.0) {
      chi2 += (cells[c].n - want) * (cells[c].n - want) / want;
      ++n_terms;
    } else {
      rest += want;
      n_rest += cells[c].n;
    }
  }
  if (rest >= 5.0) {
    chi2 += (n_rest - rest) * (n_rest - rest) / rest;
    ++n_terms;
  }
  const double free = n_terms - 1.0;
  printf("%d draws, seed 11: chi-square %.1f over %d cells\n", n, chi2, n_terms);
  if (!(chi2 <= free + 4.0 * sqrt(2.0 * free)) || n_terms < 50) {
    fail_msg("chi-square %.1f for %d cells", chi2, n_terms);
  }
  arena_deinit(&stage.arena);
}

// ---- Memory ----

static Status
some_play(Arena* arena, const Plant* plant)
{
  Situation* base = NULL;
  World world;
  Practice* p = NULL;
  PracticeScreen screen;
  PracticeEnd end;
  const Step* step = NULL;
  const char* likely = NULL;
  const PracticeOptions options = {.n_people = 2, .asks = true, .deadline_s = 120.0};
  Status st = STATUS_OK;
  TRY(st, situation_new(arena, plant, 0, NULL, &base));
  st = STATUS_NO_SOLUTION;
  for (int i = 1; st == STATUS_NO_SOLUTION && i < base->model.n_locals[0]; ++i) {
    const WorldCause cause = {0, 0, base->locals[0][i], NULL};
    st = world_hide(base, &cause, 2, &world);
  }
  if (st != STATUS_OK) {
    return st;
  }
  TRY(st, practice_new(arena, base, &world, &options, &p));
  TRY(st, practice_screen(p, &screen));
  TRY(st, practice_key(p, &screen, '1'));
  TRY(st, practice_screen(p, &screen));
  TRY(st, practice_key(p, &screen, '1'));
  TRY(st, practice_advice(p, &step, &likely));
  TRY(st, practice_moved(p, &likely));
  return practice_end(p, &end);
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
  arena_init(&of_plant, NULL);
  if (lists_build(&of_plant, &list, 1, 4, &plant, &error) != STATUS_OK) {
    fail_msg("%s", error.text);
  }
  int n = 1;
  int step = 1;
  for (int at = 0; at <= n; at += step) { // First a good run, which counts
    FailingHeap heap = {.fail_at = at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &from);
    const Status st = some_play(&arena, &plant);
    if (st != (at == 0 ? STATUS_OK : STATUS_NO_MEMORY)) {
      fail_msg("request %d of %d: status %d", at, n, (int)st);
    }
    if (at == 0) {
      n = heap.n_requests;
      step = failing_step(n, 150);
    }
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
  }
  printf("%d allocations, every %d. failed\n", n, step);
  arena_deinit(&of_plant);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_clock_is_the_storys_own),
    cmocka_unit_test(keys_that_are_no_step),
    cmocka_unit_test(a_way_round_in_vain),
    cmocka_unit_test(what_a_way_round_passes),
    cmocka_unit_test(the_crew_plays),
    cmocka_unit_test(what_to_do_with_the_part),
    cmocka_unit_test(nothing_is_given_away),
    cmocka_unit_test(any_keys_end),
    cmocka_unit_test(the_advice_plays_the_same_world),
    cmocka_unit_test(causes_by_their_words),
    cmocka_unit_test(others_complain_line_by_line),
    cmocka_unit_test(a_tail_is_named_by_its_third_line),
    cmocka_unit_test(other_lines_answer_for_themselves),
    cmocka_unit_test(the_same_question_the_same_answer),
    cmocka_unit_test(misreadings_come_as_listed),
    cmocka_unit_test(repairs_help_as_often_as_stated),
    cmocka_unit_test(the_urn_follows_its_odds),
    cmocka_unit_test(every_allocation_may_fail),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
