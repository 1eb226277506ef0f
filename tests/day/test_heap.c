// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/heap.h"

#include "base/rng.h"
#include "support/check.h"

#include <string.h>

/*
  The conversation as rows of keys with the state and the verdicts that must follow, the count by
  hand, and a simulation: heaps with a tester that goes bad in the middle.
*/

static void
cable(Arena* arena, const char* name, Connector* c)
{
  Error error = {0};
  if (connector_find(arena, name, c, &error) != STATUS_OK) {
    fail_msg("%s", error.text);
  }
}

// One key, looked up among the choices as a person sees them. Tags count up by themselves.
static void
press(Heap* heap, const Connector* c, Arena* arena, char key, int* n_tags)
{
  HeapScreen s;
  if (heap->state == HEAP_ASK_TAG && key != 'u') {
    assert_int_equal(heap_tag(heap, arena_format(arena, "M%03d", ++*n_tags)), STATUS_OK);
  }
  if (key == 'u') {
    assert_int_equal(heap_take_back(heap), STATUS_OK);
    return;
  }
  assert_int_equal(heap_screen(heap, c, arena, &s), STATUS_OK);
  for (int i = 0; i < s.n_choices; ++i) {
    if (s.choices[i].key == key) {
      const Status st = key == 'n'   ? heap_no_known_good(heap)
                        : key == 'd' ? heap_tester_changed(heap)
                                     : heap_reading(heap, s.choices[i].reading);
      assert_int_equal(st, STATUS_OK);
      return;
    }
  }
  fail_msg("no key %c in state %d", key, heap->state);
}

// u use, t tape off, a test again, w waits; old rows in capitals
static const struct {
  const char* name;
  const char* keys;
  HeapState state;
  const char* verdicts;
} rows[] = {
  {"all good", "gggg", HEAP_ASK_TAG, "uuuu"},
  {"one bad", "g3g", HEAP_ASK_TAG, "utu"},
  {"two alike: the tester, before the second is taped off", "g33", HEAP_ASK_KNOWN_GOOD, "utw"},
  {"the known-good cable is good: go on", "g33g", HEAP_ASK_TAG, "utt"},
  {"the known-good cable shows it too", "g333", HEAP_ASK_TESTER, "uaa"},
  {"and then the tester is changed", "g333dg", HEAP_ASK_TAG, "uaau"},
  {"the known-good cable shows something else", "g332", HEAP_ASK_TESTER, "uaa"},
  {"none here: nothing more is taped off", "g33n3", HEAP_ASK_TAG, "uaaa"},
  {"a good one ends the doubt", "g33ng3", HEAP_ASK_TAG, "uaaut"},
  {"different faults are a bad heap", "1a2c3", HEAP_ASK_TAG, "ttttt"},
  {"a good one between breaks the run", "3g3g3", HEAP_ASK_TAG, "tutut"},
  {"something else says nothing either way", "3e3", HEAP_ASK_KNOWN_GOOD, "ttw"},
  {"what is seen while in doubt is doubted too", "3e33", HEAP_ASK_TESTER, "aaa"},
  {"after the known-good cable spoke it takes three again", "33g333", HEAP_ASK_KNOWN_GOOD, "ttttw"},
  {"breaks are no tester's", "ffff", HEAP_ASK_TAG, "tttt"},
  {"one mirrored picture is laid aside", "gm", HEAP_ASK_TAG, "ua"},
  {"two mirrored: the battery?", "gmm", HEAP_ASK_KNOWN_GOOD, "uaw"},
  {"it is the battery", "gmmm", HEAP_ASK_TESTER, "uaa"},
  {"it is the cables", "gmmg", HEAP_ASK_TAG, "utt"},
  {"taken back", "g3u", HEAP_ASK_TAG, "u"},
  {"the known-good cable's answer taken back", "g333u", HEAP_ASK_KNOWN_GOOD, "utw"},
};

static void
test_rows(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Arena arena;
    Heap heap;
    Connector c;
    int n_tags = 0;
    char got[32] = "";
    arena_init(&arena, NULL);
    cable(&arena, "3-pin", &c);
    heap_init(&heap, &arena);
    for (const char* key = rows[i].keys; *key; ++key) {
      press(&heap, &c, &arena, *key, &n_tags);
    }
    for (int k = 0; k < heap.n_cables; ++k) {
      got[k] = "utaw"[heap.cables[k].verdict];
    }
    if (heap.state != rows[i].state || strcmp(got, rows[i].verdicts) != 0) {
      fail_msg("%s (%s): state %d, %s, want %d, %s", rows[i].name, rows[i].keys, heap.state, got,
               rows[i].state, rows[i].verdicts);
    }
    arena_deinit(&arena);
  }
}

static void
test_count_by_hand(void** state)
{
  (void)state;
  // t = 0.002, p = 0.01: 0.002 / (0.002 + 0.01); 0.002 * 1.01 / (0.00202 + 0.0001)
  CHECK_NEAR("one", heap_tester_prob(HEAP_OPEN, 1, 0, 0), 1.0 / 6.0, 1e-12);
  CHECK_NEAR("two", heap_tester_prob(HEAP_OPEN, 2, 0, 0), 0.00202 / 0.00212, 1e-12);
  // 3 of 40 before: p = 3.2 / 60; two in a row are no news: 0.002 * (1 + p) / p^2
  const double p = 3.2 / 60.0;
  const double odds = 0.002 * (1 + p) / (p * p);
  CHECK_NEAR("a heap that has it often", heap_tester_prob(HEAP_OPEN, 2, 3, 40), odds / (1 + odds),
             1e-12);
  assert_true(heap_tester_prob(HEAP_OPEN, 2, 3, 40) < 0.5);
}

// Whatever the heap showed before: the third in a row of a run asks.
static void
test_third_in_a_row_always_asks(void** state)
{
  (void)state;
  Arena arena;
  Heap heap;
  Connector c;
  int n_tags = 0;
  arena_init(&arena, NULL);
  cable(&arena, "3-pin", &c);
  heap_init(&heap, &arena);
  for (int i = 0; i < 20; ++i) { // Half the heap has it
    press(&heap, &c, &arena, '3', &n_tags);
    press(&heap, &c, &arena, 'g', &n_tags);
  }
  assert_int_equal(heap.state, HEAP_ASK_TAG);
  press(&heap, &c, &arena, '3', &n_tags);
  press(&heap, &c, &arena, '3', &n_tags);
  assert_int_equal(heap.state, HEAP_ASK_TAG); // No news in this heap
  press(&heap, &c, &arena, '3', &n_tags);
  assert_int_equal(heap.state, HEAP_ASK_KNOWN_GOOD);
  arena_deinit(&arena);
}

static void
test_same_tag_again(void** state)
{
  (void)state;
  Arena arena;
  Heap heap;
  arena_init(&arena, NULL);
  heap_init(&heap, &arena);
  assert_int_equal(heap_reading(&heap, (HeapReading){HEAP_GOOD, 0, 0}), STATUS_BAD_ARG);
  assert_int_equal(heap_take_back(&heap), STATUS_NO);
  assert_int_equal(heap_tag(&heap, "m1"), STATUS_OK);
  assert_int_equal(heap_tag(&heap, "m2"), STATUS_BAD_ARG);
  assert_int_equal(heap_tester_changed(&heap), STATUS_BAD_ARG);
  assert_int_equal(heap_no_known_good(&heap), STATUS_BAD_ARG);
  assert_int_equal(heap_reading(&heap, (HeapReading){HEAP_OPEN, 1, 0}), STATUS_OK);
  assert_int_equal(heap_tag(&heap, "M1"), STATUS_OK);
  assert_int_equal(heap_reading(&heap, (HeapReading){HEAP_GOOD, 0, 0}), STATUS_OK);
  assert_true(heap.cables[0].is_old && !heap.cables[1].is_old);
  assert_int_equal(heap_take_back(&heap), STATUS_OK);
  assert_true(heap.n_cables == 1 && !heap.cables[0].is_old);
  // Cut at a whole character
  assert_int_equal(heap_tag(&heap, "aaaaaaaaaabbbbbbbbbbccccccccccddddddddd\xc3\xa9"), STATUS_OK);
  assert_int_equal(strlen(heap.tag), 39);
  arena_deinit(&arena);
}

static void
test_typed_contacts(void** state)
{
  (void)state;
  static const struct {
    const char *cable, *text;
    int asks, a, b; ///< 0 = refused
  } typed[] = {{"4-pole", "1+/2-", 2, 1, 4},    {"4-pole", "2- 1+", 2, 1, 4},
               {"4-pole", "1+", 2, 0, 0},       {"4-pole", "1+1+", 2, 0, 0},
               {"4-pole", "1+/2-x", 2, 0, 0},   {"multipin 37", "12-14", 2, 12, 14},
               {"multipin 37", "37", 1, 37, 0}, {"multipin 37", "38", 1, 0, 0},
               {"jack", "tip", 1, 1, 0}};
  for (size_t i = 0; i < sizeof(typed) / sizeof(typed[0]); ++i) {
    Arena arena;
    Connector c;
    HeapReading r = {HEAP_SHORT, 0, 0};
    arena_init(&arena, NULL);
    cable(&arena, typed[i].cable, &c);
    const bool good = heap_contacts(&c, typed[i].text, typed[i].asks, &r);
    if (good != (typed[i].a > 0) || r.a != typed[i].a || r.b != typed[i].b) {
      fail_msg("%s: %d, %d %d", typed[i].text, good, r.a, r.b);
    }
    arena_deinit(&arena);
  }
}

// ---- Simulation ----

typedef struct {
  int n_found, n_within_three, n_taped_wrong, n_taped_meanwhile, n_blamed_wrong, n_asked;
} Tally;

typedef struct {
  double bad_prob;   ///< A cable of the heap has one fault
  bool tester_goes;  ///< In the middle, at one contact
  double shows_prob; ///< Of a bad tester: it shows its fault this often (1 = always)
  bool simplifies;   ///< Of two faults at once a person presses the key of one, half of the time
} World;

static HeapReading
reading_of(Rng* rng, const World* world, HeapReading own, HeapReading tester)
{
  const bool adds = tester.sort != HEAP_GOOD && rng_unit(rng) < world->shows_prob;
  if (!adds || heap_same(own, tester)) {
    return own;
  }
  if (own.sort == HEAP_GOOD) {
    return tester;
  }
  const int key = world->simplifies ? rng_below(rng, 4) : 0;
  return key == 2 ? own : key == 3 ? tester : (HeapReading){HEAP_ELSE, 0, 0};
}

static HeapReading
any_fault(Rng* rng)
{
  static const HeapReading faults[] = {
    {HEAP_OPEN, 1, 0},   {HEAP_OPEN, 2, 0},   {HEAP_OPEN, 3, 0},  {HEAP_OPEN, 2, 0},
    {HEAP_OPEN, 3, 0},   {HEAP_SHORT, 1, 2},  {HEAP_SHORT, 1, 3}, {HEAP_CROSSED, 2, 3},
    {HEAP_BREAKS, 0, 0}, {HEAP_BREAKS, 0, 0},
  };
  return faults[rng_below(rng, 10)];
}

static void
run_heap(Rng* rng, const World* world, Tally* tally)
{
  static const HeapReading good = {HEAP_GOOD, 0, 0};
  Arena arena;
  Heap heap;
  bool is_good[60] = {false};
  HeapReading tester = good;
  const int n = 60;
  const int goes_at = 20 + rng_below(rng, 20);
  int shown = 0; // Cables the bad tester spoilt before it was found
  bool found = false;
  arena_init(&arena, NULL);
  heap_init(&heap, &arena);
  for (int i = 0; i < n; ++i) {
    if (world->tester_goes && i == goes_at) {
      tester = (HeapReading){HEAP_OPEN, 1 + rng_below(rng, 3), 0};
    }
    const HeapReading own = rng_unit(rng) < world->bad_prob ? any_fault(rng) : good;
    is_good[i] = own.sort == HEAP_GOOD;
    assert_int_equal(heap_tag(&heap, arena_format(&arena, "M%d", i)), STATUS_OK);
    const HeapReading seen = reading_of(rng, world, own, tester);
    shown += !found && tester.sort != HEAP_GOOD && heap_same(seen, tester);
    assert_int_equal(heap_reading(&heap, seen), STATUS_OK);
    if (heap.state == HEAP_ASK_KNOWN_GOOD) {
      ++tally->n_asked;
      for (int k = heap.run_start; k < i && tester.sort != HEAP_GOOD; ++k) {
        tally->n_taped_meanwhile += is_good[k] && heap.cables[k].verdict == HEAP_TAPE_OFF;
      }
      assert_int_equal(heap_reading(&heap, reading_of(rng, world, good, tester)), STATUS_OK);
    }
    if (heap.state == HEAP_ASK_TESTER) {
      tally->n_found += tester.sort != HEAP_GOOD;
      tally->n_within_three += tester.sort != HEAP_GOOD && shown <= 3;
      tally->n_blamed_wrong += tester.sort == HEAP_GOOD;
      found = true;
      tester = good;
      assert_int_equal(heap_tester_changed(&heap), STATUS_OK);
    }
  }
  for (int i = 0; i < n; ++i) {
    tally->n_taped_wrong += is_good[i] && heap.cables[i].verdict == HEAP_TAPE_OFF;
  }
  arena_deinit(&arena);
}

static Tally
simulate(uint64_t seed, const World* world, int n)
{
  Rng rng;
  Tally tally = {0};
  rng_init(&rng, seed);
  for (int i = 0; i < n; ++i) {
    run_heap(&rng, world, &tally);
  }
  return tally;
}

// Heaps of 60 with a tester that goes bad at one contact between the 20th and the 40th cable.
static void
test_tester_goes_bad_in_the_middle(void** state)
{
  (void)state;
  const uint64_t seed = 60;
  const int n = check_count(400, 20000);
  printf("seed %llu\n", (unsigned long long)seed);
  const World worlds[] = {{0.10, true, 1.0, false},
                          {0.30, true, 1.0, false},
                          {0.10, true, 0.7, false},
                          {0.10, false, 1.0, false},
                          {0.10, true, 1.0, true}};
  const Tally usual = simulate(seed, &worlds[0], n);
  const Tally rough = simulate(seed, &worlds[1], n);
  const Tally flaky = simulate(seed, &worlds[2], n);
  const Tally sound = simulate(seed, &worlds[3], n);
  const Tally hasty = simulate(seed, &worlds[4], n);
  // A tester that always shows its fault is found in every heap, and within three cables that show
  // it
  assert_int_equal(usual.n_found, n);
  assert_int_equal(usual.n_within_three, n);
  assert_int_equal(rough.n_found, n);
  assert_int_equal(rough.n_within_three, n);
  // It is blamed only when the known-good cable shows the fault too, which a good one never does
  assert_int_equal(usual.n_blamed_wrong + rough.n_blamed_wrong + sound.n_blamed_wrong, 0);
  assert_int_equal(sound.n_taped_wrong, 0);
  // What stands as taped off at the end was not spoilt by the tester
  assert_int_equal(usual.n_taped_wrong, 0);
  check_figure("heap_found_within_three", 100.0 * usual.n_within_three / n, "%");
  check_figure("heap_taped_wrong", (double)usual.n_taped_wrong / n, "cables_a_heap");
  check_figure("heap_taped_meanwhile", (double)usual.n_taped_meanwhile / n, "cables_a_heap");
  check_figure("heap_one_key_for_two_found", 100.0 * hasty.n_found / n, "%");
  check_figure("heap_one_key_for_two_within_three", 100.0 * hasty.n_within_three / n, "%");
  check_figure("heap_one_key_for_two_taped_wrong", (double)hasty.n_taped_wrong / n,
               "cables_a_heap");
  check_figure("heap_blamed_wrong", 100.0 * (usual.n_blamed_wrong + sound.n_blamed_wrong) / (2 * n),
               "%");
  check_figure("heap_asked_in_vain", (double)sound.n_asked / n, "times_a_heap");
  check_figure("heap_rough_asked", (double)rough.n_asked / n, "times_a_heap");
  check_figure("heap_flaky_tester_found", 100.0 * flaky.n_found / n, "%");
  check_figure("heap_flaky_tester_taped_wrong", (double)flaky.n_taped_wrong / n, "cables_a_heap");
}

static void
test_every_allocation_fails_once(void** state)
{
  (void)state;
  for (int fail_at = 0, n = 1; fail_at <= n; ++fail_at) {
    FailingHeap failing = {.fail_at = fail_at};
    const Allocator from = failing_allocator(&failing);
    Arena arena;
    Heap heap;
    Status st = STATUS_OK;
    arena_init(&arena, &from);
    heap_init(&heap, &arena);
    for (int i = 0; i < 2000 && st == STATUS_OK; ++i) {
      const int n_events = heap.n_events;
      st = heap_tag(&heap, "M");
      if (st == STATUS_OK) {
        st = heap_reading(&heap, (HeapReading){HEAP_GOOD, 0, 0});
      }
      assert_true(st == STATUS_OK || heap.n_events <= n_events + 1);
    }
    assert_int_equal(st, fail_at ? STATUS_NO_MEMORY : STATUS_OK);
    arena_deinit(&arena);
    assert_int_equal(failing.n_live, 0);
    n = fail_at ? n : failing.n_requests;
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_rows),
    cmocka_unit_test(test_count_by_hand),
    cmocka_unit_test(test_third_in_a_row_always_asks),
    cmocka_unit_test(test_same_tag_again),
    cmocka_unit_test(test_typed_contacts),
    cmocka_unit_test(test_tester_goes_bad_in_the_middle),
    cmocka_unit_test(test_every_allocation_fails_once),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
