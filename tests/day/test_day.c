// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/planted.h"
#include "day/proof.h"
#include "day/words.h"
#include "stage/lists.h"

#include <string.h>

/*
  States of a line, ways round, the act in force, undo and the read-through of all sentences, on the
  demo event.
*/

static const NextOptions home = {0};

static LineState
state_of(Planted* p)
{
  LineProof proof;
  assert_int_equal(proof_line(planted_situation(p), &p->arena, p->line, &proof), STATUS_OK);
  assert_non_null(proof.say);
  return proof.at[0];
}

static void
a_line_earns_its_state(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  planted_init(&p, plant, "act2", 41);
  assert_int_equal(state_of(&p), STATE_UNPROVEN);
  planted_saw(&p, "level", "nothing", "foh");
  assert_int_equal(state_of(&p), STATE_BAD);
  planted_deinit(&p);

  planted_init(&p, plant, "act2", 41);
  planted_saw(&p, "level", "normal", "foh");
  planted_saw(&p, "crackle", "some", "foh");
  planted_saw(&p, "level", "normal", "foh");
  assert_int_equal(state_of(&p), STATE_SUSPECT); // It comes and goes: no level clears it
  planted_saw(&p, "flex", "passes", "socket");
  assert_int_not_equal(state_of(&p), STATE_SUSPECT); // Sixty seconds on the tester do
  planted_deinit(&p);

  for (int l = 0; l < plant->n_lines; ++l) {
    if (!plant_input(plant, plant_act(plant, "act2"), l)) {
      planted_init(&p, plant, "act2", plant->lines[l].number);
      assert_int_equal(state_of(&p), STATE_UNUSED);
      planted_deinit(&p);
      break;
    }
  }
  arena_deinit(&arena);
}

static void
ways_round_take_nothing_that_is_needed(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  for (int act = 0; act < plant->n_acts; ++act) {
    Situation* s = NULL;
    assert_int_equal(situation_new(&arena, plant, act, NULL, &s), STATUS_OK);
    for (int l = 0; l < plant->n_lines; ++l) {
      const AroundWay* ways = NULL;
      int n = 0;
      assert_int_equal(around_ways(s, &arena, l, &ways, &n), STATUS_OK);
      for (int i = 0; i < n; ++i) {
        assert_true(i == 0 || ways[i - 1].seconds <= ways[i].seconds);
        const Input* const now = plant_input(plant, act, ways[i].uses_line);
        if (strncmp(ways[i].way, "line ", 5) == 0) { // Its own live spare
          assert_non_null(now);
          assert_non_null(strstr(now->source, "spare"));
        } else {
          assert_null(now);
          assert_null(plant_input(plant, act + 1, ways[i].uses_line));
        }
      }
    }
  }
  arena_deinit(&arena);
}

static void
undo_brings_the_odds_back_bit_for_bit(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  planted_init(&p, plant, "act2", 41);
  planted_saw(&p, "level", "nothing", "foh");
  const Suspect* before = NULL;
  const Suspect* after = NULL;
  int n = 0;
  int m = 0;
  assert_int_equal(situation_suspects(planted_situation(&p), &p.arena, p.line, &before, &n),
                   STATUS_OK);
  planted_saw(&p, "seen", "no", "foh");
  assert_int_equal(situation_suspects(planted_situation(&p), &p.arena, p.line, &after, &m),
                   STATUS_OK);
  assert_true(before[0].prob != after[0].prob); // It did say something
  FactBody body = {.id = p.facts[p.n_facts - 1].id};
  Error error = {0};
  Fact* const undo = &p.facts[p.n_facts];
  assert_int_equal(
    fact_make(&p.arena, FACT_VOIDED, &body, "2031-06-14T15:23:00Z", "", "", undo, &error),
    STATUS_OK);
  undo->seq = (int64_t)++p.n_facts;
  assert_int_equal(situation_suspects(planted_situation(&p), &p.arena, p.line, &after, &m),
                   STATUS_OK);
  assert_int_equal(n, m);
  for (int i = 0; i < n; ++i) {
    assert_int_equal(before[i].row, after[i].row);
    assert_memory_equal(&before[i].prob, &after[i].prob, sizeof(double));
  }
  planted_deinit(&p);
  arena_deinit(&arena);
}

static void
every_choice_makes_its_fact(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  planted_init(&p, plant, "act2", 45);
  planted_saw(&p, "level", "nothing", "foh");
  const Situation* const s = planted_situation(&p);
  RescueScreen screen;
  assert_int_equal(rescue_screen(s, &p.arena, p.line, &home, &screen), STATUS_OK);
  assert_int_equal(screen.state, RESCUE_STEP);
  for (int i = 0; i < screen.n_choices; ++i) {
    const char key = screen.choices[i].key;
    FactKind kind = FACT_NOTE;
    FactBody body = {0};
    const Status st = rescue_answer(s, &p.arena, &screen, p.line, key, &kind, &body);
    if (key == 'q' || key == 'u') {
      assert_int_equal(st, STATUS_NO);
      continue;
    }
    assert_int_equal(st, STATUS_OK);
    assert_int_equal(body.line, 45);
    assert_int_equal(kind, key == 'w'                 ? FACT_MOVED
                           : key == 'c' || key == 'e' ? FACT_STEP_REFUSED
                                                      : FACT_READING);
  }
  FactKind kind = FACT_NOTE;
  FactBody body = {0};
  assert_int_equal(rescue_answer(s, &p.arena, &screen, p.line, 'z', &kind, &body), STATUS_BAD_ARG);
  NextOptions late = {.since_s = 61.0};
  assert_int_equal(rescue_screen(s, &p.arena, p.line, &late, &screen), STATUS_OK);
  assert_int_equal(screen.state, RESCUE_ROUND); // After a minute without a cause
  planted_deinit(&p);
  arena_deinit(&arena);
}

// What the odds were before: those of the same show with nothing read, of what is wrong once
// something speaks against the line.
static void
odds_before_are_those_of_nothing_read(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Plant* const plant = planted_demo(&arena);
  Planted p;
  planted_init(&p, plant, "act2", 45);
  for (int k = 0; k < 3; ++k) { // Nothing read; read as it should be; silent
    if (k > 0) {
      planted_saw(&p, "level", k == 1 ? "normal" : "nothing", k == 1 ? "mon" : "foh");
    }
    const Situation* const s = planted_situation(&p);
    Situation* fresh = NULL;
    const double* before = NULL;
    int n = 0;
    assert_int_equal(situation_before(s, &p.arena, p.line, &before, &n), STATUS_OK);
    assert_int_equal(situation_after(&p.arena, s, NULL, 0, &fresh), STATUS_OK);
    assert_int_equal(n, belief_n_hyps(fresh->belief, p.line));
    double* const want = arena_array(&p.arena, (size_t)n, sizeof(double));
    belief_hyps(fresh->belief, p.line, want);
    double healthy = 0.0;
    double sum = 0.0;
    for (int row = 0; row < n; ++row) { // Row 0 is the line in order: catalogue.h, FAULT_NONE first
      healthy = row == 0 ? want[row] : healthy;
      sum += before[row];
      const double share = k < 2 ? want[row] : row == 0 ? 0.0 : want[row] / (1.0 - healthy);
      CHECK_NEAR("odds before", before[row], share, 1e-12);
    }
    CHECK_NEAR("sum", sum, 1.0, 1e-9);
  }
  planted_deinit(&p);
  arena_deinit(&arena);
}

static void
an_act_is_always_in_force(void** state)
{
  (void)state;
  static const Act acts[] = {{"act1", "15:00", "15:30", "2031-06-14"},
                             {"act2", "15:45", "16:30", "2031-06-14"}};
  static const Act undated[] = {{"act1", "15:00", "15:30", ""}, {"act2", "15:45", "16:30", ""}};
  static const Input inputs[] = {{.act = 1, .source = "voice", .line = 0}};
  static const Line lines[] = {{1, 0, 1, 1, 1, {1, 0, 0}, false}};
  Plant plant = {
    .acts = acts, .n_acts = 2, .inputs = inputs, .n_inputs = 1, .lines = lines, .n_lines = 1};
  assert_int_equal(situation_act(&plant, NULL, "2031-06-14", "15:10", 0), 0);
  assert_int_equal(situation_act(&plant, NULL, "2031-06-14", "15:40", 0), 1);
  assert_int_equal(situation_act(&plant, NULL, "2031-06-15", "15:10", 0), 1); // Another day
  plant.acts = undated;
  assert_int_equal(situation_act(&plant, NULL, "2031-06-14", "15:10", 0), 1); // First that uses it
  assert_int_equal(situation_act(&plant, NULL, "2031-06-14", "15:10", -1), 0);
  plant.n_acts = 0;
  assert_int_equal(situation_act(&plant, NULL, "2031-06-14", "15:10", 0), -1);
}

static void
every_sentence_is_whole(void** state)
{
  (void)state;
  static const char* const known[] = {"desk",   "input", "source", "socket", "box",  "line",
                                      "way",    "found", "first",  "second", "odds", "fault",
                                      "unplug", "spare", "item",   "lamps",  "near", "who"};
  for (int i = 0; i < WORDS_COUNT; ++i) {
    const char* const text = words_raw((Sentence)i);
    const char last = text[strlen(text) - 1];
    if (last != '.' && last != '?') {
      fail_msg("does not end: %s", text);
    }
    for (const char* at = strchr(text, '{'); at; at = strchr(at + 1, '{')) {
      const char* const end = strchr(at, '}');
      assert_non_null(end);
      bool fits = false;
      for (size_t k = 0; k < sizeof(known) / sizeof(known[0]); ++k) {
        fits = fits || (strlen(known[k]) == (size_t)(end - at - 1) &&
                        strncmp(known[k], at + 1, strlen(known[k])) == 0);
      }
      if (!fits) {
        fail_msg("unknown gap: %s", text);
      }
    }
  }
}

static Status
some_work(Arena* arena, const Plant* plant, int line)
{
  Situation* s = NULL;
  NextAdvice advice;
  LineProof proof;
  const AroundWay* ways = NULL;
  int n = 0;
  RescueScreen screen;
  Status st = STATUS_OK;
  TRY(st, situation_new(arena, plant, 0, NULL, &s));
  TRY(st, next_advise(s, arena, line, &home, &advice));
  TRY(st, proof_line(s, arena, line, &proof));
  TRY(st, around_ways(s, arena, line, &ways, &n));
  return rescue_screen(s, arena, line, &home, &screen);
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
    const Status st = some_work(&arena, &plant, 0);
    if (st != (at == 0 ? STATUS_OK : STATUS_NO_MEMORY)) {
      fail_msg("request %d of %d: status %d", at, n, (int)st);
    }
    if (at == 0) {
      n = heap.n_requests;
      step = failing_step(n, 200);
    }
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
  }
  arena_deinit(&of_plant);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_line_earns_its_state),
    cmocka_unit_test(ways_round_take_nothing_that_is_needed),
    cmocka_unit_test(undo_brings_the_odds_back_bit_for_bit),
    cmocka_unit_test(every_choice_makes_its_fact),
    cmocka_unit_test(odds_before_are_those_of_nothing_read),
    cmocka_unit_test(an_act_is_always_in_force),
    cmocka_unit_test(every_sentence_is_whole),
    cmocka_unit_test(every_allocation_may_fail),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
