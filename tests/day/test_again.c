// SPDX-License-Identifier: GPL-3.0-or-later
/*
  What comes and goes, looks repeated, and hands that slip.

  Odds are held against numbers worked out by hand from the chances of single looks: a look again
  is with chance 0.8 a copy of the one before (kinds/odds.csv, usual practice), so n equal looks of
  chance p have the chance p (0.8 + 0.2 p)^(n - 1), and one that differs then 0.2 q.
*/
#include "base/rng.h"
#include "day/planted.h"
#include "day/rescue.h"

#include <math.h>
#include <string.h>

static const NextOptions home = {0};

static int
row_of(Planted* p, const Situation* s, Fault fault)
{
  const Suspect* list = NULL;
  int n = 0;
  assert_int_equal(situation_suspects(s, &p->arena, p->line, &list, &n), STATUS_OK);
  for (int i = 0; i < n; ++i) {
    if (!list[i].state && catalogue_same(&list[i].fault, &fault)) {
      return list[i].row;
    }
  }
  return -1;
}

// Odds of a row of the whole list, the healthy line included.
static double
odds(Planted* p, const Situation* s, int row)
{
  double* const prob =
    arena_array(&p->arena, (size_t)belief_n_hyps(s->belief, p->line), sizeof(double));
  belief_hyps(s->belief, p->line, prob);
  return prob[row];
}

static const Fault cable_open = {PART_CABLE, FAULT_OPEN, 2, 0, -1, 1};
static const Fault cable_loose = {PART_CABLE, FAULT_LOOSE, 2, 0, -1, 1};
static const Fault nothing_wrong = {PART_ELSE, FAULT_NONE, 0, 0, -1, 1};

static void
a_look_again_adds_little(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  planted_init(&p, plant, "act2", 41);
  const Situation* const start = planted_situation(&p);
  const int good = row_of(&p, start, nothing_wrong);
  const int bad = row_of(&p, start, cable_open);
  assert_true(good >= 0 && bad >= 0);
  const Check look = {CHECK_LEVEL, 0};
  double p_good = 0.0;
  double p_bad = 0.0;
  assert_int_equal(situation_prob(start, p.line, good, look, LEVEL_NOTHING, &p_good), STATUS_OK);
  assert_int_equal(situation_prob(start, p.line, bad, look, LEVEL_NOTHING, &p_bad), STATUS_OK);
  assert_true(p_bad > p_good);
  const double start_ratio = odds(&p, start, bad) / odds(&p, start, good);
  double last = start_ratio;
  double first_step = 0.0;
  for (int n = 1; n <= 3; ++n) {
    planted_saw(&p, "level", "nothing", "foh");
    const Situation* const s = planted_situation(&p);
    const double ratio = odds(&p, s, bad) / odds(&p, s, good);
    const double want =
      start_ratio * p_bad / p_good * pow((0.8 + 0.2 * p_bad) / (0.8 + 0.2 * p_good), n - 1);
    if (fabs(ratio / want - 1.0) > 1e-9) {
      fail_msg("%d looks: ratio %.9g, want %.9g", n, ratio, want);
    }
    if (n == 1) {
      first_step = ratio / last;
    } else { // 1 / 0.8 at most
      assert_true(ratio / last < 1.2501);
      assert_true(ratio / last < first_step);
    }
    last = ratio;
  }
  // A look that differs counts in full.
  double q_good = 0.0;
  double q_bad = 0.0;
  assert_int_equal(situation_prob(start, p.line, good, look, LEVEL_NORMAL, &q_good), STATUS_OK);
  assert_int_equal(situation_prob(start, p.line, bad, look, LEVEL_NORMAL, &q_bad), STATUS_OK);
  planted_saw(&p, "level", "normal", "foh");
  const Situation* const s = planted_situation(&p);
  const double ratio = odds(&p, s, bad) / odds(&p, s, good);
  assert_true(fabs(ratio / (last * q_bad / q_good) - 1.0) < 1e-9);
  planted_deinit(&p);
  arena_deinit(&arena);
}

// How often a loose contact is open while nobody moves it, and how often it stands as it did at the
// look before: kinds/odds.csv, usual practice.
#define STILL_OPEN 0.15
#define AS_BEFORE 0.8

// The ratio of loose to healthy after n sound looks, worked out by hand: the contact is open or
// closed, and stays so with chance AS_BEFORE. A healthy line and a closed contact sound alike.
static double
after_sound_looks(double sound, double sound_good, int n, bool same_look)
{
  const double if_open = (sound - (1.0 - STILL_OPEN) * sound_good) / STILL_OPEN;
  double open = STILL_OPEN;
  double ratio = 1.0;
  for (int k = 0; k < n; ++k) {
    const double copied = same_look && k > 0 ? 0.8 : 0.0;
    const double bad = open * (copied + (1.0 - copied) * if_open);
    const double good = (1.0 - open) * (copied + (1.0 - copied) * sound_good);
    ratio *= (bad + good) / (copied + (1.0 - copied) * sound_good);
    open = AS_BEFORE * bad / (bad + good) + (1.0 - AS_BEFORE) * STILL_OPEN;
  }
  return ratio;
}

// Sound, sound and sound again: a contact that comes and goes is hardly cleared, by the first look
// as little as by the third. Sixty seconds of bending do it.
static void
only_bending_clears_what_comes_and_goes(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  static const char* const desks[2][3] = {{"foh", "foh", "foh"}, {"foh", "mon", "broadcast"}};
  for (int k = 0; k < 2; ++k) {
    Planted p;
    planted_init(&p, plant, "act2", 41);
    const Situation* s = planted_situation(&p);
    const int good = row_of(&p, s, nothing_wrong);
    const int loose = row_of(&p, s, cable_loose);
    assert_true(good >= 0 && loose >= 0);
    double sound = 0.0;
    double sound_good = 0.0;
    const Check level = {CHECK_LEVEL, 0};
    assert_int_equal(situation_prob(s, p.line, loose, level, LEVEL_NORMAL, &sound), STATUS_OK);
    assert_int_equal(situation_prob(s, p.line, good, level, LEVEL_NORMAL, &sound_good), STATUS_OK);
    const double start = odds(&p, s, loose) / odds(&p, s, good);
    double heard = start;
    for (int i = 0; i < 3; ++i) {
      planted_saw(&p, "level", "normal", desks[k][i]);
      s = planted_situation(&p);
      heard = odds(&p, s, loose) / odds(&p, s, good);
      const double want = after_sound_looks(sound, sound_good, i + 1, k == 0);
      if (fabs(heard / start / want - 1.0) > 1e-9) {
        fail_msg("%d looks at %s: %.9g of before, want %.9g", i + 1, desks[k][i], heard / start,
                 want);
      }
      assert_true(heard / start > (i == 0 ? 0.8 : 0.75)); // 0.5 would be: half cleared
    }
    planted_saw(&p, "flex", "passes", "socket");
    s = planted_situation(&p);
    const double bent = odds(&p, s, loose) / odds(&p, s, good);
    check_figure("loose_after_three_sound_looks", heard / start, "of_before");
    check_figure("loose_after_one_flex_check", bent / heard, "of_before");
    assert_true(bent / heard < 0.2); // 0.1 and misreading against 1: a flex check misses one in ten
    planted_deinit(&p);
  }
  arena_deinit(&arena);
}

// The law: whatever sound looks are taken, in whatever order, what is loose keeps most of its odds
// against a line in order, and one pass of bending takes most of them.
static void
still_looks_hardly_clear_what_is_loose(void** state)
{
  (void)state;
  const uint64_t seed = 20310707;
  const int n_runs = check_count(12, 400);
  static const struct {
    const char *check, *sound;
  } looks[] = {
    {"level", "normal"}, {"seen", "yes"}, {"tone", "full"}, {"hum", "none"}, {"look", "fine"}};
  static const char* const desks[] = {"foh", "mon", "broadcast"};
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Rng rng;
  rng_init(&rng, seed);
  printf("seed %llu\n", (unsigned long long)seed);
  double least = 1.0;
  for (int run = 0; run < n_runs; ++run) {
    Planted p;
    planted_init(&p, plant, "act2", 41);
    const Situation* s = planted_situation(&p);
    const int good = row_of(&p, s, nothing_wrong);
    const int loose = row_of(&p, s, cable_loose);
    const double start = odds(&p, s, loose) / odds(&p, s, good);
    const int n = 1 + rng_below(&rng, 6);
    for (int i = 0; i < n; ++i) {
      const int k = rng_below(&rng, 5);
      planted_saw(&p, looks[k].check, looks[k].sound, desks[rng_below(&rng, 3)]);
    }
    s = planted_situation(&p);
    const double still = odds(&p, s, loose) / odds(&p, s, good);
    planted_saw(&p, "flex", "passes", "socket");
    s = planted_situation(&p);
    const double bent = odds(&p, s, loose) / odds(&p, s, good);
    least = still / start < least ? still / start : least;
    if (still / start < 0.7 || bent / still > 0.2) {
      fail_msg("run %d, %d looks: %.3f of before, then %.3f", run, n, still / start, bent / still);
    }
    planted_deinit(&p);
  }
  check_figure("loose_least_after_still_looks", least, "of_before");
  arena_deinit(&arena);
}

// Silent, then sound with nothing touched: that is how a loose contact looks, and no open one.
static void
what_comes_back_by_itself_is_loose(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  planted_init(&p, plant, "act2", 41);
  planted_saw(&p, "level", "far down", "foh");
  const Situation* s = planted_situation(&p);
  const int loose = row_of(&p, s, cable_loose);
  const int open = row_of(&p, s, cable_open);
  const double silent = odds(&p, s, loose) / odds(&p, s, open);
  double next = 0.0;
  const Check level_mon = {CHECK_LEVEL, 1};
  assert_int_equal(situation_prob(s, p.line, loose, level_mon, LEVEL_NORMAL, &next), STATUS_OK);
  assert_true(next < 0.5); // It stands open still, as likely as not
  planted_saw(&p, "level", "normal", "mon");
  s = planted_situation(&p);
  const double back = odds(&p, s, loose) / odds(&p, s, open);
  assert_true(back > 5.0 * silent);
  planted_deinit(&p);
  arena_deinit(&arena);
}

static void
undo(Planted* p)
{
  const FactBody body = {.id = p->facts[p->n_facts - 1].id};
  planted_tell(p, FACT_VOIDED, &body, "2031-06-14T15:24:00Z", "", "");
}

// A wrong key: the step, the reason, the odds and the states of all lines go back with it.
static void
a_wrong_key_is_taken_back_whole(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  planted_init(&p, plant, "act2", 41);
  planted_saw(&p, "level", "nothing", "foh");
  RescueScreen before;
  RescueScreen wrong;
  RescueScreen after;
  const Situation* const s = planted_situation(&p);
  assert_int_equal(rescue_screen(s, &p.arena, p.line, &home, &before), STATUS_OK);
  FactKind kind = FACT_NOTE;
  FactBody body = {0};
  assert_int_equal(rescue_answer(s, &p.arena, &before, p.line, '2', &kind, &body), STATUS_OK);
  planted_tell(&p, kind, &body, "2031-06-14T15:23:00Z", "", "");
  assert_int_equal(rescue_screen(planted_situation(&p), &p.arena, p.line, &home, &wrong),
                   STATUS_OK);
  assert_true(strcmp(wrong.headline, before.headline) != 0 ||
              strcmp(wrong.likely, before.likely) != 0);
  undo(&p);
  const Situation* const back = planted_situation(&p);
  assert_int_equal(rescue_screen(back, &p.arena, p.line, &home, &after), STATUS_OK);
  assert_string_equal(after.headline, before.headline);
  assert_string_equal(after.why, before.why);
  assert_string_equal(after.likely, before.likely);
  assert_string_equal(after.caution, before.caution);
  assert_int_equal(after.n_choices, before.n_choices);
  for (int l = 0; l < plant->n_lines; ++l) {
    LineProof was;
    LineProof is;
    assert_int_equal(proof_line(s, &p.arena, l, &was), STATUS_OK);
    assert_int_equal(proof_line(back, &p.arena, l, &is), STATUS_OK);
    assert_int_equal(was.state, is.state);
  }
  // "There is sound" by mistake ends the rescue, and comes back as well.
  planted_saw(&p, "swap cable", "better", "socket");
  assert_int_equal(rescue_screen(planted_situation(&p), &p.arena, p.line, &home, &wrong),
                   STATUS_OK);
  assert_int_equal(wrong.state, RESCUE_DONE);
  undo(&p);
  assert_int_equal(rescue_screen(planted_situation(&p), &p.arena, p.line, &home, &after),
                   STATUS_OK);
  assert_string_equal(after.headline, before.headline);
  planted_deinit(&p);
  arena_deinit(&arena);
}

static const Fault desk_muted = {PART_DESK, FAULT_MUTED, 0, 0, 0, 1};

// The situation without the newest `n` facts.
static const Situation*
start_of(Planted* p, size_t n)
{
  p->n_facts -= n;
  const Situation* const s = planted_situation(p);
  p->n_facts += n;
  return s;
}

static bool
offers_cable(Planted* p)
{
  NextProblem next;
  assert_int_equal(next_problem(planted_situation(p), &p->arena, p->line, &home, &next), STATUS_OK);
  for (int i = 0; i < next.problem.n_repairs; ++i) {
    if (next.repairs[i] == REPAIR_CABLE) {
      return true;
    }
  }
  return false;
}

// The spare may be bad or the plug not home: a swap that did not help may be tried once more, and
// its odds never went to nothing; after the second time it is not asked for again.
static void
a_swap_that_failed_is_tried_once_more(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  planted_init(&p, plant, "act2", 41);
  planted_saw(&p, "level", "far down", "foh");
  planted_saw(&p, "tone", "thin", "foh");
  planted_saw(&p, "seen", "yes", "foh");
  planted_saw(&p, "look", "vocal SR", "socket");
  assert_true(offers_cable(&p));
  const Situation* s = planted_situation(&p);
  const int cable = row_of(&p, s, cable_open);
  const double before = odds(&p, s, cable);
  planted_saw(&p, "swap cable", "same", "socket");
  s = planted_situation(&p);
  const double after = odds(&p, s, cable);
  assert_true(after > 0.0 && after < 0.5 * before);
  // By hand: a swap ends what it is made for 94 times in 100 (usual practice), and is misread as
  // often as misread.csv says, so against what it cannot mend the cable keeps 0.06 / (1 - 0.02).
  const int desk = row_of(&p, s, desk_muted);
  const Situation* const start = start_of(&p, 1);
  const double ratio = odds(&p, start, cable) / odds(&p, start, desk);
  const double misread = plant_misread_prob(plant, "swap");
  CHECK_NEAR("a bad spare", after / odds(&p, s, desk), ratio * 0.06 / (1.0 - misread),
             1e-9 * ratio);
  assert_true(offers_cable(&p));
  planted_saw(&p, "swap cable", "same", "socket");
  assert_false(offers_cable(&p));
  assert_true(odds(&p, planted_situation(&p), cable) > 0.0);
  planted_deinit(&p);
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_look_again_adds_little),
    cmocka_unit_test(only_bending_clears_what_comes_and_goes),
    cmocka_unit_test(still_looks_hardly_clear_what_is_loose),
    cmocka_unit_test(what_comes_back_by_itself_is_loose),
    cmocka_unit_test(a_wrong_key_is_taken_back_whole),
    cmocka_unit_test(a_swap_that_failed_is_tried_once_more),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
