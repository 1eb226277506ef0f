// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/paper.h"

#include "stage/lists.h"
#include "support/check.h"

#include <string.h>

/*
  What one row of a desk says, thing by thing, and what it weighs. The stage: one box, house desk on
  the split's direct side, monitors behind a transformer; an act with one source of each sort.
*/

#define BOXES "box,sockets,first_line\nA,12,1\n"
#define LINES                                                                                      \
  "line,box,socket,split_channel,foh_input,mon_input,spare\n"                                      \
  "1,A,1,1,1,1,no\n2,A,2,2,2,2,no\n3,A,3,3,3,3,no\n4,A,4,4,4,4,no\n5,A,5,5,5,5,no\n"               \
  "6,A,6,6,6,6,no\n7,A,7,7,7,7,no\n8,A,8,8,8,8,no\n9,A,9,9,9,9,yes\n"
#define SPLIT "split,sides,direct_side\nS1,1,foh\n"
#define INPUTS                                                                                     \
  "channel,source,pickup,phantom,box,socket,through\n"                                             \
  "1,vocal SR,dyn-vocal,no,A,1,\n2,vocal SRC,dyn-vocal,no,A,2,\n3,overhead "                       \
  "L,cond-small,yes,A,3,\n"                                                                        \
  "4,piano ribbon,ribbon,no,A,4,\n5,lead radio,rx-line,no,A,5,\n6,bass DI,di-active,yes,A,6,\n"    \
  "7,keys,line-bal,ask,A,7,pad 20\n8,mystery,theremin,,A,8,\n"
#define HEAD "act,desk,desk_channel,line,name_on_desk,gives_phantom,pad_db,gain_db,muted\n"

static void
stage(Arena* arena, const char* split, const char* desk, Plant* plant)
{
  const ListText lists[] = {
    {"boxes.csv", BOXES, strlen(BOXES)},    {"lines.csv", LINES, strlen(LINES)},
    {"split.csv", split, strlen(split)},    {"inputs-act1.csv", INPUTS, strlen(INPUTS)},
    {"desk-patch.csv", desk, strlen(desk)},
  };
  Error error = {0};
  if (lists_build(arena, lists, 5, 0, plant, &error) != STATUS_OK) {
    fail_msg("%s:%d:%d: %s", error.file, error.line, error.column, error.text);
  }
}

static const struct {
  const char* name;
  const char* desk; ///< Rows below HEAD
  int at;           ///< 0 house, 1 monitors
  int line;
  PaperThing thing;
  PaperWord want;
} rows[] = {
  // Phantom: whom it gets to, who needs it, whom it hurts
  {"a condenser gets it", "act1,foh,3,3,overhead L,yes,0,25,yes\n", 0, 3, PAPER_PHANTOM,
   PAPER_AGREES},
  {"a condenser does not", "act1,foh,3,3,overhead L,no,0,25,yes\n", 0, 3, PAPER_PHANTOM,
   PAPER_DISAGREES},
  {"an active DI does not", "act1,foh,6,6,bass DI,no,0,20,yes\n", 0, 6, PAPER_PHANTOM,
   PAPER_DISAGREES},
  {"a ribbon gets it", "act1,foh,4,4,piano ribbon,yes,0,45,yes\n", 0, 4, PAPER_PHANTOM,
   PAPER_DISAGREES},
  {"a ribbon does not", "act1,foh,4,4,piano ribbon,no,0,45,yes\n", 0, 4, PAPER_PHANTOM,
   PAPER_AGREES},
  {"a receiver, which must be asked, gets it", "act1,foh,5,5,lead radio,yes,20,0,yes\n", 0, 5,
   PAPER_PHANTOM, PAPER_DISAGREES},
  {"a line output of which the list says to ask gets it", "act1,foh,7,7,keys,yes,0,15,yes\n", 0, 7,
   PAPER_PHANTOM, PAPER_DISAGREES},
  {"a moving coil gets it and the list says no", "act1,foh,1,1,vocal SR,yes,0,35,yes\n", 0, 1,
   PAPER_PHANTOM, PAPER_DISAGREES},
  {"monitors need not give any", "act1,mon,3,3,overhead L,no,0,25,yes\n", 1, 3, PAPER_PHANTOM,
   PAPER_AGREES},
  {"monitors give it behind a transformer", "act1,mon,3,3,overhead L,yes,0,25,yes\n", 1, 3,
   PAPER_PHANTOM, PAPER_DISAGREES},
  {"nobody said", "act1,foh,3,3,overhead L,,0,25,yes\n", 0, 3, PAPER_PHANTOM, PAPER_UNKNOWN},
  {"no row at all", "act1,foh,4,4,piano ribbon,no,0,45,yes\n", 1, 3, PAPER_PHANTOM, PAPER_UNKNOWN},
  // Patch: whatever the channel, its name and its line belong together
  {"own order", "act1,foh,23,1,vocal SR,no,0,35,yes\n", 0, 1, PAPER_PATCH, PAPER_AGREES},
  {"short name", "act1,foh,3,3,OH-L,yes,0,25,yes\n", 0, 3, PAPER_PATCH, PAPER_AGREES},
  {"crossed", "act1,foh,1,2,vocal SR,no,0,35,yes\nact1,foh,2,1,vocal SRC,no,0,35,yes\n", 0, 1,
   PAPER_PATCH, PAPER_DISAGREES},
  // "vocal SR" is the other's very name, though its letters come in "vocal SRC" in order
  {"names crossed", "act1,mon,1,1,vocal SRC,no,0,35,yes\nact1,mon,2,2,vocal SR,no,0,35,yes\n", 1, 2,
   PAPER_PATCH, PAPER_DISAGREES},
  {"its name takes nothing", "act1,foh,1,0,vocal SR,no,0,35,yes\n", 0, 1, PAPER_PATCH,
   PAPER_DISAGREES},
  {"left out of a list", "act1,foh,2,2,vocal SRC,no,0,35,yes\n", 0, 1, PAPER_PATCH,
   PAPER_DISAGREES},
  {"nothing listed at that desk", "act1,foh,2,2,vocal SRC,no,0,35,yes\n", 1, 1, PAPER_PATCH,
   PAPER_UNKNOWN},
  {"a name nobody knows", "act1,foh,1,1,zither,no,0,35,yes\n", 0, 1, PAPER_PATCH, PAPER_UNKNOWN},
  {"no name", "act1,foh,1,1,,no,0,35,yes\n", 0, 1, PAPER_PATCH, PAPER_UNKNOWN},
  {"bare lines as numbered", "bare lines,foh,5,5,line 5,no,0,30,yes\n", 0, 5, PAPER_PATCH,
   PAPER_AGREES},
  {"bare lines crossed", "bare lines,foh,5,6,line 5,no,0,30,yes\n", 0, 5, PAPER_PATCH,
   PAPER_DISAGREES},
  // Pad: -35 + 30 - 20 = -25 dB; a receiver +4 + 0 - 20; keys +4 through a pad of 20 dB
  {"pad left in", "act1,foh,1,1,vocal SR,no,20,30,yes\n", 0, 1, PAPER_PAD, PAPER_DISAGREES},
  {"pad in and the gain makes up", "act1,foh,1,1,vocal SR,no,20,50,yes\n", 0, 1, PAPER_PAD,
   PAPER_AGREES},
  {"pad in, gain not read", "act1,foh,1,1,vocal SR,no,20,,yes\n", 0, 1, PAPER_PAD, PAPER_DISAGREES},
  {"pad not read", "act1,foh,1,1,vocal SR,no,,30,yes\n", 0, 1, PAPER_PAD, PAPER_UNKNOWN},
  {"a receiver wants it", "act1,foh,5,5,lead radio,no,20,0,yes\n", 0, 5, PAPER_PAD, PAPER_AGREES},
  {"a receiver without", "act1,foh,5,5,lead radio,no,0,0,yes\n", 0, 5, PAPER_PAD, PAPER_DISAGREES},
  {"a barrel pad does it", "act1,foh,7,7,keys,no,0,15,yes\n", 0, 7, PAPER_PAD, PAPER_AGREES},
  {"bare lines, pad left in", "bare lines,foh,3,3,line 3,no,20,30,yes\n", 0, 3, PAPER_PAD,
   PAPER_DISAGREES},
  {"a kind nobody knows", "act1,foh,8,8,mystery,no,20,30,yes\n", 0, 8, PAPER_PAD, PAPER_UNKNOWN},
  // Gain: 0 dB is 35 below, 60 dB 25 above, 20 dB 15 below what a moving coil wants
  {"gain down", "act1,foh,1,1,vocal SR,no,0,0,yes\n", 0, 1, PAPER_GAIN, PAPER_DISAGREES},
  {"gain up", "act1,foh,1,1,vocal SR,no,0,60,yes\n", 0, 1, PAPER_GAIN, PAPER_DISAGREES},
  {"gain within reason", "act1,foh,1,1,vocal SR,no,0,20,yes\n", 0, 1, PAPER_GAIN, PAPER_AGREES},
  {"it is the pad, not the gain", "act1,foh,1,1,vocal SR,no,20,30,yes\n", 0, 1, PAPER_GAIN,
   PAPER_UNKNOWN},
  {"gain not read", "act1,foh,1,1,vocal SR,no,0,,yes\n", 0, 1, PAPER_GAIN, PAPER_UNKNOWN},
};

static void
each_thing_is_judged_by_itself(void** state)
{
  (void)state;
  static const char* const words[] = {"unknown", "agrees", "disagrees"};
  int n_bad = 0;
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Arena arena;
    Plant plant;
    char desk[600];
    arena_init(&arena, NULL);
    (void)snprintf(desk, sizeof(desk), "%s%s", HEAD, rows[i].desk);
    stage(&arena, SPLIT, desk, &plant);
    const int act = strstr(rows[i].desk, "bare") ? -1 : 0;
    const PaperWord got =
      paper_says(&plant, act, rows[i].at, plant_line(&plant, rows[i].line), rows[i].thing);
    if (got != rows[i].want) {
      print_error("%s: got %s, want %s\n", rows[i].name, words[got], words[rows[i].want]);
      ++n_bad;
    }
    arena_deinit(&arena);
  }
  assert_int_equal(n_bad, 0);
}

// Without transformers every desk's phantom gets to every line.
static void
a_split_without_transformers_lets_phantom_through(void** state)
{
  (void)state;
  static const char parallel[] = "split,sides,direct_side,parallel\nS1,1,foh,yes\n";
  Arena arena;
  Plant plant;
  arena_init(&arena, NULL);
  stage(&arena, parallel,
        HEAD "act1,mon,4,4,piano ribbon,yes,0,45,yes\nact1,mon,3,3,overhead L,yes,0,25,yes\n",
        &plant);
  assert_int_equal(paper_says(&plant, 0, 1, 3, PAPER_PHANTOM), PAPER_DISAGREES);
  assert_int_equal(paper_says(&plant, 0, 1, 2, PAPER_PHANTOM), PAPER_AGREES);
  arena_deinit(&arena);
}

static const struct {
  const char* name;
  bool is_read;
  PaperWord word;
  double prob, want; ///< Chance after, by hand: prob f / (prob f + (1 - prob) n)
} weights[] = {
  {"nothing said", false, PAPER_UNKNOWN, 0.0012, 0.0012},
  // f = 0.7 * 0.95 + 0.3 * 0.0012 = 0.66536, n = 0.7 * 0.0005 + 0.00036 = 0.00071
  {"a list says so", false, PAPER_DISAGREES, 0.0012, 0.529612},
  // f = 0.97 * 0.95 + 0.03 * 0.0012 = 0.921536, n = 0.97 * 0.0005 + 0.000036 = 0.000521
  {"a read-back says so", true, PAPER_DISAGREES, 0.0012, 0.680009},
  // f = 1 - 0.66536 = 0.33464, n = 1 - 0.00071 = 0.99929
  {"a list says it is right", false, PAPER_AGREES, 0.0012, 0.000402174},
  {"a read-back says it is right", true, PAPER_AGREES, 0.0012, 0.0000943},
  {"what cannot be stays so", false, PAPER_DISAGREES, 0.0, 0.0},
  {"what is certain stays so", false, PAPER_AGREES, 1.0, 1.0},
};

static void
a_word_weighs_what_bayes_says(void** state)
{
  (void)state;
  Arena arena;
  Plant plant;
  arena_init(&arena, NULL);
  stage(&arena, SPLIT, HEAD "act1,foh,1,1,vocal SR,no,0,35,yes\n", &plant);
  for (size_t i = 0; i < sizeof(weights) / sizeof(weights[0]); ++i) {
    const double prob = weights[i].prob;
    const double ratio = paper_ratio(&plant, weights[i].is_read, weights[i].word, prob);
    CHECK_NEAR(weights[i].name, prob * ratio / (prob * ratio + 1.0 - prob), weights[i].want, 1e-6);
  }
  arena_deinit(&arena);
}

// Which fault of the catalogue a row speaks of, by its chance before and after.
static void
a_disagreement_is_a_reading_of_its_fault(void** state)
{
  (void)state;
  static const struct {
    const char* desk;
    int line;
    FaultMode mode;
    int way; ///< 1: likelier than without the row, -1: less likely, 0: as likely
  } cases[] = {
    {"act1,foh,6,6,bass DI,no,0,20,yes\n", 6, FAULT_PHANTOM_OFF, 1},
    {"act1,foh,6,6,bass DI,yes,0,20,yes\n", 6, FAULT_PHANTOM_OFF, -1},
    {"act1,foh,4,4,piano ribbon,yes,0,45,yes\n", 4, FAULT_PHANTOM_ON, 1},
    {"act1,foh,1,1,vocal SR,no,20,30,yes\n", 1, FAULT_PAD_IN, 1},
    {"act1,foh,1,1,vocal SR,no,0,35,yes\n", 1, FAULT_PAD_IN, -1},
    // A pad that is out where it is wanted is no pad left in
    {"act1,foh,5,5,lead radio,no,0,0,yes\n", 5, FAULT_PAD_IN, -1},
    {"act1,foh,1,1,vocal SR,no,0,0,yes\n", 1, FAULT_WRONG_LEVEL, 1},
    // Too much gain is not what "wrong level" stands for: far down
    {"act1,foh,1,1,vocal SR,no,0,60,yes\n", 1, FAULT_WRONG_LEVEL, 0},
    {"act1,foh,1,2,vocal SR,no,0,35,yes\n", 1, FAULT_WRONG_PATCH, 1},
    {"act1,foh,9,1,vocal SR,no,0,35,yes\n", 1, FAULT_WRONG_PATCH, -1},
    // Muted is how a line waits for its act
    {"act1,foh,1,1,vocal SR,no,0,35,yes\n", 1, FAULT_MUTED, 0},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    double prob[2] = {0.0, 0.0};
    for (int k = 0; k < 2; ++k) {
      Arena arena;
      Plant plant;
      char desk[400];
      const Fault* faults = NULL;
      int n = 0;
      arena_init(&arena, NULL);
      // The row of another act says nothing of this one
      (void)snprintf(desk, sizeof(desk), "%s%s", HEAD,
                     k ? cases[i].desk : "act2,foh,1,1,vocal SR,no,20,0,yes\n");
      stage(&arena, SPLIT, desk, &plant);
      const int line = plant_line(&plant, cases[i].line);
      assert_int_equal(catalogue_line(&arena, &plant, 0, line, &faults, &n), STATUS_OK);
      for (int f = 0; f < n; ++f) {
        if (faults[f].mode == cases[i].mode && faults[f].desk == 0) {
          prob[k] = faults[f].prob / faults[0].prob; // Against nothing being wrong
        }
      }
      arena_deinit(&arena);
    }
    const int way = prob[1] > prob[0] * 1.000001 ? 1 : prob[1] < prob[0] * 0.999999 ? -1 : 0;
    if (way != cases[i].way || !(prob[0] > 0.0)) {
      fail_msg("%s: %.6g without, %.6g with", cases[i].desk, prob[0], prob[1]);
    }
  }
}

// A list that was moved under every desk: each speaks against the line, and the chances of all that
// may be wrong with it still sum to one.
static void
many_disagreements_stay_chances(void** state)
{
  (void)state;
  Arena arena;
  Plant plant;
  arena_init(&arena, NULL);
  stage(&arena, SPLIT,
        HEAD "act1,foh,1,2,vocal SR,no,20,0,yes\nact1,foh,4,4,piano ribbon,yes,20,0,yes\n"
             "act1,mon,1,2,vocal SR,no,20,0,yes\nact1,mon,4,3,piano ribbon,yes,20,80,yes\n"
             "act1,foh,6,6,bass DI,no,20,0,yes\nact1,mon,6,6,vocal SRC,yes,0,80,yes\n",
        &plant);
  for (int l = 0; l < plant.n_lines; ++l) {
    const Fault* faults = NULL;
    int n = 0;
    double sum = 0.0;
    assert_int_equal(catalogue_line(&arena, &plant, 0, l, &faults, &n), STATUS_OK);
    for (int i = 0; i < n; ++i) {
      assert_true(faults[i].prob >= 0.0);
      sum += faults[i].prob;
    }
    CHECK_NEAR("all that may be wrong", sum, 1.0, 1e-12);
  }
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(each_thing_is_judged_by_itself),
    cmocka_unit_test(a_split_without_transformers_lets_phantom_through),
    cmocka_unit_test(a_word_weighs_what_bayes_says),
    cmocka_unit_test(a_disagreement_is_a_reading_of_its_fault),
    cmocka_unit_test(many_disagreements_stay_chances),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
