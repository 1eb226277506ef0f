// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/predict.h"

#include "fault/shared.h"
#include "stage/lists.h"
#include "support/check.h"

#include <string.h>

/*
  Laws of the predictions, on a small show with every way a source can drive a line and three desks.
  Checks whose readings are a closed list of words must be a distribution over them. Checks with an
  open list (inputs that move, sources, pictures, hunts) only have to call nothing impossible: what
  misreading is spread over is "the usual few" there.
*/

static const char inputs_csv[] = "channel,source,pickup,phantom,box,socket\n"
                                 "1,voice,dyn-vocal,no,A,1\n"
                                 "2,piano,cond-small,yes,A,2\n"
                                 "3,clip,cond-clip,yes,A,3\n"
                                 "4,bass,di-active,yes,A,4\n"
                                 "5,guitar,ribbon,no,A,5\n"
                                 "6,radio,rx-line,no,A,6\n"
                                 "7,keys,line-unbal,no,A,7\n"
                                 "8,track,play-iso,no,B,1\n";
static const char boxes_csv[] = "box,sockets,first_line,tail_m\nA,8,1,15\nB,4,9,15\n";
static const char lines_csv[] =
  "line,box,socket,foh,mon,broadcast\n1,A,1,1,1,1\n2,A,2,2,2,2\n3,A,3,3,3,3\n4,A,4,4,4,4\n"
  "5,A,5,5,5,5\n6,A,6,6,6,6\n7,A,7,7,7,7\n8,A,8,8,8,8\n9,B,1,9,9,9\n10,B,2,10,10,10\n"
  "11,B,3,11,11,11\n12,B,4,12,12,12\n";

static void
small_show(Arena* arena, Plant* plant)
{
  const ListText lists[] = {{"boxes.csv", boxes_csv, sizeof(boxes_csv) - 1},
                            {"lines.csv", lines_csv, sizeof(lines_csv) - 1},
                            {"inputs-act1.csv", inputs_csv, sizeof(inputs_csv) - 1}};
  Error error = {0};
  if (lists_build(arena, lists, 3, 0, plant, &error) != STATUS_OK) {
    fail_msg("%s:%d: %s", error.file, error.line, error.text);
  }
  assert_int_equal(plant->n_desks, 3);
}

static int
n_words(CheckSort sort)
{
  static const int n[CHECK_COUNT] = {5, 2, 3, 3, 2, 2, 6, 6, 0, 4, 2, 2, 5, 2, 0};
  return n[sort];
}

static bool
is_closed(Check check)
{
  return check.sort != CHECK_SEEN && check.sort != CHECK_LAMPS && check.sort != CHECK_SENT &&
         check.sort != CHECK_HUNT && !(check.sort == CHECK_LOOK && check.desk < 0);
}

static void
check_view(const Plant* plant, int line, const View* view, const View* known)
{
  for (int sort = 0; sort < CHECK_COUNT; ++sort) {
    for (int d = -1; d < plant->n_desks; ++d) {
      const Check check = {(CheckSort)sort, d};
      double sum = 0.0;
      for (int key = 0; key < n_words(check.sort); ++key) {
        const double p = predict_prob(plant, line, check, view, known, key);
        if (!(p > 0.0)) {
          fail_msg("line %d, %s key %d: %g", line, predict_check_word(check.sort), key, p);
        }
        sum += p;
      }
      if (is_closed(check) && !(sum <= 1.0 + 1e-9 && sum > 0.0)) {
        fail_msg("line %d, %s: %.12g", line, predict_check_word(check.sort), sum);
      }
      int keys[PREDICT_MAX_KEYS];
      const int n = predict_keys(plant, line, check, view, known, keys);
      for (int k = 0; k < n; ++k) {
        assert_true(predict_prob(plant, line, check, view, known, keys[k]) > 0.0);
      }
    }
  }
}

static void
predictions_are_odds_and_equal_circuits_are_one(void** state)
{
  (void)state;
  Arena arena;
  Plant plant;
  Predictor* predictor = NULL;
  arena_init(&arena, NULL);
  small_show(&arena, &plant);
  assert_int_equal(predictor_new(&arena, &plant, 0, &predictor), STATUS_OK);
  for (int l = 0; l < plant.n_lines; ++l) {
    const Fault* faults = NULL;
    int n = 0;
    double sum = 0.0;
    assert_int_equal(catalogue_line(&arena, &plant, 0, l, &faults, &n), STATUS_OK);
    for (int i = 0; i < n; ++i) {
      const Condition c = {l, plant_input(&plant, 0, l) ? l : -1, l, faults[i]};
      const Condition good = {l, PREDICT_KNOWN_GOOD, l, faults[i]};
      const View* view = NULL;
      const View* known = NULL;
      assert_int_equal(predictor_view(predictor, &c, &view), STATUS_OK);
      assert_int_equal(predictor_view(predictor, &good, &known), STATUS_OK);
      check_view(&plant, l, view, known);
      const View* again = NULL;
      assert_int_equal(predictor_view(predictor, &c, &again), STATUS_OK);
      assert_ptr_equal(again, view);
      assert_true(faults[i].prob > 0.0);
      sum += faults[i].prob;
    }
    CHECK_NEAR("catalogue", sum, 1.0, 1e-12);
  }
  int n_circuits = 0;
  int n_views = 0;
  predictor_counts(predictor, &n_circuits, &n_views);
  printf("figure: small_show_circuits %d circuits\nfigure: small_show_views %d views\n", n_circuits,
         n_views);
  assert_true(2 * n_circuits < n_views);
  const SharedState* states = NULL;
  int n = 0;
  double sum = 0.0;
  assert_int_equal(shared_list(&arena, &plant, 0, true, &states, &n), STATUS_OK);
  for (int i = 0; i < n; ++i) {
    sum += states[i].prob;
  }
  CHECK_NEAR("shared states", sum, 1.0, 1e-12);
  arena_deinit(&arena);
}

static void
readings_go_to_text_and_back(void** state)
{
  (void)state;
  Arena arena;
  Plant plant;
  arena_init(&arena, NULL);
  small_show(&arena, &plant);
  for (int sort = 0; sort < CHECK_COUNT; ++sort) {
    const Check check = {(CheckSort)sort, sort == CHECK_LAMPS || sort == CHECK_SENT ? -1 : 0};
    int keys[240];
    int n = n_words(check.sort);
    for (int k = 0; k < n; ++k) {
      keys[k] = k;
    }
    for (int k = 0; (sort == CHECK_LAMPS || sort == CHECK_SENT) && k < 216; ++k) {
      // Three lamps, six states each, three bits a lamp behind a leading 1
      keys[n++] = PREDICT_PICTURE + 512 + 64 * (k / 36) + 8 * (k / 6 % 6) + k % 6;
    }
    if (sort == CHECK_SEEN) {
      keys[n++] = PREDICT_ON + 7;
    }
    for (int k = 0; k < n; ++k) {
      const char* const text = predict_key_text(&arena, &plant, 0, check, 0, keys[k]);
      int back = -1;
      assert_int_equal(predict_key_of(&plant, 0, check, 0, text, &back, NULL), STATUS_OK);
      assert_int_equal(back, keys[k]);
    }
    int untouched = 77;
    Error error = {0};
    assert_int_equal(predict_key_of(&plant, 0, check, 0, "purple", &untouched, &error),
                     STATUS_BAD_INPUT);
    assert_int_equal(untouched, 77);
    assert_non_null(strstr(error.text, "purple"));
    if (n_words(check.sort)) { // It says what fits
      assert_non_null(strstr(error.text, sort == CHECK_HUNT
                                           ? "nothing"
                                           : predict_key_text(&arena, &plant, 0, check, 0, 0)));
    }
  }
  const Check socket = {CHECK_LOOK, -1};
  int key = -1;
  assert_int_equal(predict_key_of(&plant, 0, socket, 0, "Piano", &key, NULL), STATUS_OK);
  assert_int_equal(key, PREDICT_SOURCE + 1);
  assert_int_equal(predict_key_of(&plant, 0, socket, 0, "nothing", &key, NULL), STATUS_OK);
  assert_int_equal(key, LOOK_NOTHING_PLUGGED);
  const Check volts = {CHECK_VOLTS, -1};
  assert_int_equal(predict_key_of(&plant, 0, volts, 0, "34.4,34.4", &key, NULL), STATUS_OK);
  assert_int_equal(key, VOLTS_SAGGED);
  static const struct {
    const char* text;
    int key; ///< -1 = no reading
  } counted[] = {{"passes", FLEX_PASSES},
                 {"breaks", FLEX_BREAKS},
                 {"3 breaks in 60", FLEX_BREAKS},
                 {"3 breaks in 60 s", FLEX_BREAKS},
                 {"1 break", FLEX_BREAKS},
                 {"Breaks 3", FLEX_BREAKS},
                 {"0 breaks in 60", FLEX_PASSES},
                 {"breaks 0", FLEX_PASSES},
                 {"breaks three", -1},
                 {"3", -1},
                 {"-2 breaks", -1},
                 {"3 breaks in a while", -1},
                 {"3 breaks in 0", -1},
                 {"3 breakages", -1}};
  const Check flex = {CHECK_FLEX, -1};
  for (size_t i = 0; i < sizeof(counted) / sizeof(counted[0]); ++i) {
    key = -1;
    if ((predict_key_of(&plant, 0, flex, 0, counted[i].text, &key, NULL) == STATUS_OK) !=
          (counted[i].key >= 0) ||
        key != counted[i].key) {
      fail_msg("%s: got %d", counted[i].text, key);
    }
  }
  arena_deinit(&arena);
}

static Status
some_work(Arena* arena, const Plant* plant)
{
  Predictor* predictor = NULL;
  const Fault* faults = NULL;
  const SharedState* states = NULL;
  const View* view = NULL;
  int n = 0;
  Status st = STATUS_OK;
  TRY(st, predictor_new(arena, plant, 0, &predictor));
  TRY(st, catalogue_line(arena, plant, 0, 1, &faults, &n));
  for (int l = 0; l < plant->n_lines; ++l) {
    for (int i = 0; i < n; ++i) {
      const Condition c = {l, l, l, faults[i]};
      TRY(st, predictor_view(predictor, &c, &view));
    }
  }
  return shared_list(arena, plant, 0, true, &states, &n);
}

static void
every_allocation_may_fail(void** state)
{
  (void)state;
  Arena of_plant;
  Plant plant;
  arena_init(&of_plant, NULL);
  small_show(&of_plant, &plant);
  int n = 1;
  int step = 1;
  for (int at = 0; at <= n; at += step) { // First a good run, which counts
    FailingHeap heap = {.fail_at = at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &from);
    const Status st = some_work(&arena, &plant);
    assert_int_equal(st, at == 0 ? STATUS_OK : STATUS_NO_MEMORY);
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
    cmocka_unit_test(predictions_are_odds_and_equal_circuits_are_one),
    cmocka_unit_test(readings_go_to_text_and_back),
    cmocka_unit_test(every_allocation_may_fail),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
