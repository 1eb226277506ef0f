// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/judge.h"

#include "base/text.h"
#include "fault/notation.h"
#include "stage/lists.h"
#include "support/check.h"

#include <string.h>

/*
  Rows of what a person has in hand and what must be said of it. The faults of the wiring are held
  to all their classes in tests/fault/test_wiring.c; here it is their names, places, limits, what
  the readings cannot tell, and what to do.
*/

typedef struct {
  const char* name;
  const char* cable;
  const char* wired;
  const char* near;
  const char* far;
  const char* ohms;
  double length_m, mm2, celsius;
  bool by_620;
  double insulation_mohm; ///< 0 = not measured
  int breaks, seconds;    ///< -1 = not flexed
  JudgeState want;
  const char* faults; ///< All names
  const char* where;  ///< Of the first
  const char* says;   ///< Somewhere in what is said
  const char* never;  ///< Nowhere
} Row;

#define NO_FLEX -1, -1
#define NO_OHMS NULL, 0, 0, 20, false

static const Row rows[] = {
  {"sound", "3-pin", "1-1 2-2 3-3", NULL, NULL, NO_OHMS, 0, NO_FLEX, JUDGE_SOUND, "", NULL,
   "strands that hold still", "Tape off"},
  {"an open cannot be placed", "3-pin", "1-1 2-2 3 open", NULL, NULL, NO_OHMS, 0, NO_FLEX,
   JUDGE_NOT_SOUND, "open 3", "not told", "Which end broke does not show", NULL},
  {"nor a short", "3-pin", "1-1,2 2-1,2 3-3", NULL, NULL, NO_OHMS, 0, NO_FLEX, JUDGE_NOT_SOUND,
   "short 1-2", "not told", "Where along the cable does not show", NULL},
  {"but a short before a break can", "3-pin", "1-1 2-1 3-3", "1-2", NULL, NO_OHMS, 0, NO_FLEX,
   JUDGE_NOT_SOUND, "open 2, short 1-2", "not told", "on the near side of the break", NULL},
  {"and beyond it", "3-pin", "1-1,2 2 open 3-3", NULL, "1-2", NO_OHMS, 0, NO_FLEX, JUDGE_NOT_SOUND,
   "open 2, short 1-2", "not told", "on the far side of the break", NULL},
  {"the shell sits in one end", "3-pin", "rest right", NULL, "1-shell", NO_OHMS, 0, NO_FLEX,
   JUDGE_NOT_SOUND, "short 1-shell", "far end", "at the far end", NULL},
  {"crossed, at either end", "3-pin", "1-1 2-3 3-2", NULL, NULL, NO_OHMS, 0, NO_FLEX,
   JUDGE_NOT_SOUND, "crossed 2-3", "not told", "just how a 3-pin crossed is wired",
   "socket end first"},
  {"crossed on purpose", "3-pin crossed", "1-1 2-3 3-2", NULL, NULL, NO_OHMS, 0, NO_FLEX,
   JUDGE_SOUND, "", NULL, "Use it", NULL},
  {"a straight one is wrong there", "3-pin crossed", "1-1 2-2 3-3", NULL, NULL, NO_OHMS, 0, NO_FLEX,
   JUDGE_NOT_SOUND, "crossed 2-3", "not told", "just how a 3-pin is wired", NULL},
  {"rotated", "3-pin", "1-2 2-3 3-1", NULL, NULL, NO_OHMS, 0, NO_FLEX, JUDGE_NOT_SOUND,
   "rotated 1-2-3", "not told", "one crossing at each", NULL},
  {"all joined", "3-pin", "1-1,2,3 2-1,2,3 3-1,2,3", NULL, NULL, NO_OHMS, 0, NO_FLEX,
   JUDGE_NOT_SOUND, "short 1-2-3", "not told", "Short 1-2-3", NULL},
  {"the bridge is missing", "jack to 3-pin", "t-2 s-1", NULL, NULL, NO_OHMS, 0, NO_FLEX,
   JUDGE_NOT_SOUND, "no bridge 1-3", "far end", "bridge 1-3 at the far end", NULL},
  {"the bridge is there", "jack to 3-pin", "t-2 s-1,3", NULL, NULL, NO_OHMS, 0, NO_FLEX,
   JUDGE_SOUND, "", NULL, "Use it", NULL},
  {"pairs crossed", "4-pole", "1+=2+ 1-=2- 2+=1+ 2-=1-", NULL, NULL, NO_OHMS, 0, NO_FLEX,
   JUDGE_NOT_SOUND, "crossed 1+/2+, crossed 1-/2-", "not told", "4-pole pairs crossed", NULL},
  {"an amplifier's caution", "8-pole", "rest right", NULL, NULL, NO_OHMS, 0, NO_FLEX, JUDGE_SOUND,
   "", NULL, "50 V", NULL},
  {"split pairs are blind", "network lead", "1..8 right", NULL, NULL, NO_OHMS, 0, NO_FLEX,
   JUDGE_SOUND, "", NULL, "twisted with the wrong partner", NULL},
  {"only two tried", "3-pin", "1-1 2-2", NULL, NULL, NO_OHMS, 0, NO_FLEX, JUDGE_NOT_PROVEN, "",
   NULL, "Not measured: 3", "Tape off"},
  {"contradictions", "3-pin", "1-1 2-1 3-3", "none", NULL, NO_OHMS, 0, NO_FLEX, JUDGE_NOT_PROVEN,
   "", NULL, "contradict each other", "Tape off"},
  {"too many to tell apart", "3-pin", "1-2 2-2,3 3-2,3", NULL, NULL, NO_OHMS, 0, NO_FLEX,
   JUDGE_NOT_PROVEN, "", NULL, "contradict", NULL},
  {"many in a multipin", "multipin 25", "5 open 12-14 14-12 rest right", NULL, NULL, NO_OHMS, 0,
   NO_FLEX, JUDGE_NOT_SOUND, "open 5, crossed 12-14", "not told", "the other 22 right", NULL},
  // 20 m of 0.22 mm2: 1.77 + 0.02 ohm
  {"within the limit", "3-pin", NULL, NULL, NULL, "1=0.9 2=1.75 3=1.6", 20, 0.22, 20, false, 0,
   NO_FLEX, JUDGE_SOUND, "", NULL, "At most 1.79 ohm", "differ by"},
  {"far below a maximum is fine", "3-pin", NULL, NULL, NULL, "1=0.2 2=0.9 3=0.9", 20, 0.22, 20,
   false, 0, NO_FLEX, JUDGE_SOUND, "", NULL, "Shorts between contacts", NULL},
  {"over it", "3-pin", NULL, NULL, NULL, "1=0.9 2=1.6 3=2.9", 20, 0.22, 20, false, 0, NO_FLEX,
   JUDGE_NOT_SOUND, "high 3", "not told", "78 dB of common-mode rejection", "socket end first"},
  // 1.90 at 60 C is 1.64 at 20 C: x 254.5 / 294.5
  {"a hot cable", "3-pin", NULL, NULL, NULL, "1=0.9 2=1.9 3=1.9", 20, 0.22, 60, false, 0, NO_FLEX,
   JUDGE_SOUND, "", NULL, "60 C", NULL},
  {"the same one cold", "3-pin", NULL, NULL, NULL, "1=0.9 2=1.9 3=1.9", 20, 0.22, 20, false, 0,
   NO_FLEX, JUDGE_NOT_SOUND, "high 2, high 3", "not told", "at most 1.79", NULL},
  {"620 by name", "3-pin", NULL, NULL, NULL, "1=0.9 2=2.5 3=2.5", 20, 0.22, 20, true, 0, NO_FLEX,
   JUDGE_SOUND, "", NULL, "1 ohm + conductor", NULL},
  {"620 flat rejects long ones, and says so", "3-pin", NULL, NULL, NULL, "1=0.9 2=2.5 3=2.5", 0, 0,
   20, true, 0, NO_FLEX, JUDGE_NOT_SOUND, "high 2, high 3", "not told", "flat 2 ohm rejects", NULL},
  {"no limit without a cable", "3-pin", NULL, NULL, NULL, "1=0.9 2=2.5 3=2.5", 0, 0, 20, false, 0,
   NO_FLEX, JUDGE_NOT_PROVEN, "", NULL, "No limit was applied", NULL},
  // 100 m of 2.5 mm2: plain 0.798 + 0.02, tinned 0.821 + 0.02
  {"tinned copper", "2-pole", NULL, NULL, NULL, "1+=0.83 1-=0.80", 100, 2.5, 20, false, 0, NO_FLEX,
   JUDGE_SOUND, "", NULL, "within tinned", NULL},
  {"beyond tinned", "2-pole", NULL, NULL, NULL, "1+=0.85 1-=0.80", 100, 2.5, 20, false, 0, NO_FLEX,
   JUDGE_NOT_SOUND, "high 1+", "not told", "IEC 60228", NULL},
  {"ohms open, and wiring says it too", "3-pin", "1-1 2-2 3 open", NULL, NULL, "1=0.9 2=1.6 3=open",
   20, 0.22, 20, false, 0, NO_FLEX, JUDGE_NOT_SOUND, "open 3", "not told", "Open 3", NULL},
  {"dry", "3-pin", "rest right", NULL, NULL, NO_OHMS, 500, NO_FLEX, JUDGE_SOUND, "", NULL,
   "from memory", "a leak shows on"},
  {"damp", "3-pin", "rest right", NULL, NULL, NO_OHMS, 20, NO_FLEX, JUDGE_NOT_SOUND, "leak",
   "not told", "Dry it", NULL},
  {"flexed too short", "3-pin", NULL, NULL, NULL, NO_OHMS, 0, 0, 59, JUDGE_NOT_CLEARED, "", NULL,
   "No break in 59 s", "Use it"},
  {"flexed, nobody knows how long", "3-pin", NULL, NULL, NULL, NO_OHMS, 0, 0, -1, JUDGE_NOT_CLEARED,
   "", NULL, "how long", "Use it"},
  {"flexed long enough", "3-pin", NULL, NULL, NULL, NO_OHMS, 0, 0, 60, JUDGE_SOUND, "", NULL,
   "take the tape off", "strands that hold"},
  {"one break", "3-pin", "rest right", NULL, NULL, NO_OHMS, 0, 1, 60, JUDGE_NOT_SOUND, "loose",
   "not told", "flexed: 1.", NULL},
};

static void
readings_of(Arena* arena, const Row* row, Connector* connector, Conductor* conductor,
            JudgeReadings* r)
{
  Error error = {0};
  Status st = connector_find(arena, row->cable, connector, &error);
  *r = (JudgeReadings){.connector = connector,
                       .has_wiring = row->wired || row->near || row->far,
                       .has_ohms = row->ohms != NULL,
                       .length_m = row->length_m,
                       .celsius = row->celsius,
                       .rule = row->by_620 ? CONDUCTOR_BY_620 : CONDUCTOR_BY_COPPER,
                       .insulation_ohm =
                         row->insulation_mohm > 0 ? 1e6 * row->insulation_mohm : (double)NAN,
                       .breaks = row->breaks,
                       .seconds = row->seconds};
  if (st == STATUS_OK && row->mm2 > 0) {
    st = conductor_of_mm2(row->mm2, conductor);
    r->conductor = conductor;
  }
  if (st == STATUS_OK && row->wired) {
    st = notation_wired(connector, "wired", row->wired, &r->seen, &error);
  }
  if (st == STATUS_OK && row->near) {
    st = notation_within(connector, WIRING_NEAR, "near", row->near, &r->seen, &error);
  }
  if (st == STATUS_OK && row->far) {
    st = notation_within(connector, WIRING_FAR, "far", row->far, &r->seen, &error);
  }
  if (st == STATUS_OK && row->ohms) {
    st = notation_ohms(connector, "ohms", row->ohms, r->ohm, &error);
  }
  if (st != STATUS_OK) {
    fail_msg("%s: %s", row->name, error.text);
  }
}

static const char*
all_said(Arena* arena, const Judgement* j)
{
  TextOut out = {.arena = arena};
  text_add(&out, "%s\n%s\n%s\n%s\n", j->caution, j->headline, j->wired, j->limit);
  for (int i = 0; i < j->n_faults; ++i) {
    text_add(&out, "%s\n", j->faults[i].say);
  }
  for (int i = 0; i < j->n_found; ++i) {
    text_add(&out, "%s\n", j->found[i]);
  }
  for (int i = 0; i < j->n_cannot; ++i) {
    text_add(&out, "%s\n", j->cannot[i]);
  }
  for (int i = 0; i < j->n_todo; ++i) {
    text_add(&out, "%s\n", j->todo[i]);
  }
  return text_done(&out);
}

static void
test_rows(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const Row* const row = &rows[i];
    Arena arena;
    Connector connector;
    Conductor conductor;
    JudgeReadings r;
    Judgement j;
    Error error = {0};
    arena_init(&arena, NULL);
    readings_of(&arena, row, &connector, &conductor, &r);
    assert_int_equal(judge_cable(&arena, &r, &j, &error), STATUS_OK);
    const char* const names = judge_fault_names(&arena, &j);
    const char* const said = all_said(&arena, &j);
    if (j.state != row->want || strcmp(names, row->faults) != 0 ||
        (row->where && strcmp(j.faults[0].where, row->where) != 0) || !strstr(said, row->says) ||
        (row->never && strstr(said, row->never))) {
      fail_msg("%s: %s, \"%s\", want %s, \"%s\", saying \"%s\":\n%s", row->name,
               judge_state_word(j.state), names, judge_state_word(row->want), row->faults,
               row->says, said);
    }
    assert_true(j.n_todo > 0 && j.caution[0] && j.headline[0]);
    arena_deinit(&arena);
  }
}

// The project's own best tester with its sender: the pictures of the card, three lamps lit on a
// good cable stay lit when the middle contact opens, and a reversed battery mirrors.
static void
test_lamps(void** state)
{
  (void)state;
  static const struct {
    const char* picture;
    JudgeState want;
    const char* faults;
    const char* says;
  } lamps[] = {
    {"GGG", JUDGE_NOT_PROVEN, "", "open 3"},
    {"RRR", JUDGE_NOT_PROVEN, "", "battery is in backwards"},
    {"GRG", JUDGE_NOT_SOUND, "one of open 1, crossed 1-3, 10k in 1", "one of: open 1"},
    {"G.G", JUDGE_NOT_SOUND, "short 1-3", "means short 1-3"},
    {"...", JUDGE_NOT_PROVEN, "", "known-good cable"},
  };
  Arena arena;
  Plant plant;
  Card cards[2];
  Connector connector;
  Error error = {0};
  arena_init(&arena, NULL);
  assert_int_equal(lists_build(&arena, NULL, 0, 1, &plant, &error), STATUS_OK);
  assert_int_equal(connector_find(&arena, "3-pin", &connector, &error), STATUS_OK);
  const Tester* const tester = plant_tester(&plant, "usual");
  assert_non_null(tester);
  assert_int_equal(card_build(&arena, tester, CARD_SENDER, &cards[0]), STATUS_OK);
  assert_int_equal(card_build(&arena, tester, CARD_REVERSED, &cards[1]), STATUS_OK);
  for (size_t i = 0; i < sizeof(lamps) / sizeof(lamps[0]); ++i) {
    const JudgeReadings r = {.connector = &connector,
                             .celsius = 20,
                             .insulation_ohm = NAN,
                             .breaks = -1,
                             .seconds = -1,
                             .card = &cards[0],
                             .reversed = &cards[1],
                             .picture = lamps[i].picture};
    Judgement j;
    assert_int_equal(judge_cable(&arena, &r, &j, &error), STATUS_OK);
    if (j.state != lamps[i].want || strcmp(judge_fault_names(&arena, &j), lamps[i].faults) != 0 ||
        !strstr(all_said(&arena, &j), lamps[i].says)) {
      fail_msg("%s: %s, %s\n%s", lamps[i].picture, judge_state_word(j.state),
               judge_fault_names(&arena, &j), all_said(&arena, &j));
    }
  }
  const JudgeReadings bad = {.connector = &connector,
                             .insulation_ohm = NAN,
                             .breaks = -1,
                             .card = &cards[0],
                             .picture = "GX"};
  Judgement untouched = {.n_todo = -1};
  assert_int_equal(judge_cable(&arena, &bad, &untouched, &error), STATUS_BAD_INPUT);
  assert_int_equal(untouched.n_todo, -1);
  arena_deinit(&arena);
}

static void
test_nothing_read(void** state)
{
  (void)state;
  Arena arena;
  Connector connector;
  Error error = {0};
  Judgement j;
  arena_init(&arena, NULL);
  assert_int_equal(connector_find(&arena, "3-pin", &connector, &error), STATUS_OK);
  const JudgeReadings none = {.connector = &connector, .insulation_ohm = NAN, .breaks = -1};
  assert_int_equal(judge_cable(&arena, &none, &j, &error), STATUS_BAD_ARG);
  arena_deinit(&arena);
}

static void
test_every_allocation_fails_once(void** state)
{
  (void)state;
  Arena lasting;
  Connector connector;
  Conductor conductor;
  JudgeReadings r;
  const Row row = {"all at once",
                   "3-pin",
                   "1-1 2-1 3 open",
                   "1-2",
                   "none",
                   "1=0.9 2=9 3=open",
                   20,
                   0.22,
                   20,
                   false,
                   20,
                   2,
                   30,
                   JUDGE_NOT_SOUND,
                   "",
                   NULL,
                   "",
                   NULL};
  arena_init(&lasting, NULL);
  readings_of(&lasting, &row, &connector, &conductor, &r);
  for (int fail_at = 0, n = 1; fail_at <= n; ++fail_at) {
    FailingHeap heap = {.fail_at = fail_at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    Judgement j = {.n_todo = -1};
    arena_init(&arena, &from);
    const Status st = judge_cable(&arena, &r, &j, NULL);
    assert_int_equal(st, fail_at ? STATUS_NO_MEMORY : STATUS_OK);
    assert_true(fail_at ? j.n_todo == -1 : j.n_todo > 0);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    n = fail_at ? n : heap.n_requests;
  }
  arena_deinit(&lasting);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_rows),
    cmocka_unit_test(test_lamps),
    cmocka_unit_test(test_nothing_read),
    cmocka_unit_test(test_every_allocation_fails_once),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
