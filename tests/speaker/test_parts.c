// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Loudspeaker circuits as parts: what every circuit of the reference event should read, healthy and
  with a fault, against the figures its own lists give; and rows worked out by hand.
*/

#include "speaker/limit.h"
#include "speaker/parts.h"
#include "stage/lists.h"
#include "support/check.h"
#include "support/folder.h"

#include <string.h>

static void
plant_of(Arena* arena, const char* name, const char* text, Plant* plant)
{
  ListText lists[FOLDER_MAX_LISTS] = {{name, text, text ? strlen(text) : 0}};
  const int n = text ? 1 : folder_read(arena, DEMO_DIR, lists);
  Error error = {0};
  if (lists_build(arena, lists, n, 0, plant, &error) != STATUS_OK) {
    fail_msg("%s:%d: %s", error.file, error.line, error.text);
  }
}

static double
reads(const Parts* parts, FailMode mode, FailPart part, int at)
{
  const Fail fail = {mode, part, at, NULL};
  PartsView view;
  parts_view(parts, &fail, 20.0, 20.0, &view);
  assert_true(view.is_known);
  return view.amp_ohm;
}

// outputs.csv and monitors.csv: expect_dcr_ohm, dcr_if_one_box_missing, dcr_if_one_driver_open.
// The lists round to 0.01 ohm and take 0.0175 ohm mm2/m; ours is 1/58 (IEC 60028).
static void
the_lists_own_figures(void** state)
{
  (void)state;
  Arena arena;
  Plant plant;
  int n_expect = 0, n_missing = 0, n_driver = 0;
  double worst = 0.0;
  arena_init(&arena, NULL);
  plant_of(&arena, NULL, NULL, &plant);
  for (int i = 0; i < plant.n_outputs; ++i) {
    const OutputCircuit* const c = &plant.outputs[i];
    const Parts parts = parts_of(c);
    if (!(c->expect_ohm > 0.0)) {
      assert_true(c->transmitter[0] && !parts.has_ohms);
      continue;
    }
    const double ohm = reads(&parts, FAIL_NONE, FAIL_AT_CABLE, 0);
    CHECK_NEAR(c->name, ohm, c->expect_ohm, 0.01);
    worst = fmax(worst, fabs(ohm - c->expect_ohm));
    ++n_expect;
    if (c->box_missing_ohm > 0.0) {
      CHECK_NEAR(c->name, reads(&parts, FAIL_OPEN, FAIL_AT_BOX, parts.n_boxes), c->box_missing_ohm,
                 0.01);
      CHECK_NEAR(c->name, reads(&parts, FAIL_OPEN, FAIL_AT_LINK, parts.n_boxes - 1),
                 c->box_missing_ohm, 0.01);
      ++n_missing;
    }
    if (c->driver_open_ohm > 0.0) {
      assert_int_equal(parts.n_drivers, 2);
      CHECK_NEAR(c->name, reads(&parts, FAIL_OPEN, FAIL_AT_DRIVER, 1), c->driver_open_ohm, 0.01);
      ++n_driver;
    }
  }
  assert_int_equal(n_expect, 38 + 6);
  assert_int_equal(n_missing, 38);
  assert_int_equal(n_driver, 14);
  check_figure("outputs_worst_expected_ohm", worst, "ohm");
  arena_deinit(&arena);
}

static const char two_boxes[] =
  "circuit,amp,amp_channel,pins,cable_m,cable_mm2,link_m,boxes,drivers,nominal_ohm,load_ohm\n"
  "a,A,1,1+ 1-,29,4,5.8,3,2,2.667,2\n"
  "b,A,2,2+ 2-,29,4,5.8,2,1,8,6\n";

// Copper 1/58: 29 m of 4 mm2 are 2 x 29 / 232 = 0.25 ohm out and back, a link of 5.8 m 0.05.
// a: each box 6 ohm, each driver 12; b: each box 12 ohm.
static void
every_fault_by_hand(void** state)
{
  (void)state;
  Arena arena;
  Plant plant;
  arena_init(&arena, NULL);
  plant_of(&arena, "outputs.csv", two_boxes, &plant);
  const Parts a = parts_of(&plant.outputs[0]);
  const Parts b = parts_of(&plant.outputs[1]);
  const double box3 = 0.05 + 6.0;                       // Into link 2
  const double box2 = 0.05 + 6.0 * box3 / (6.0 + box3); // Into link 1
  const double good = 0.25 + 6.0 * box2 / (6.0 + box2);
  const double other2 = 0.05 + 12.0;
  const double other1 = 12.0 * other2 / (12.0 + other2);
  const double mixed = 0.05 + 12.0; // From link 1 on it is b's second box
  const struct {
    const char* name;
    Fail fail;
    double amp_ohm, link1_ohm, link2_ohm, far_open_ohm;
    double play; ///< Sum of shares of the three boxes
    int sign3;   ///< Of the third box
  } rows[] = {
    {"good", {FAIL_NONE, FAIL_AT_CABLE, 0, NULL}, good, box2, box3, INFINITY, 3.0, 1},
    {"pole open", {FAIL_OPEN, FAIL_AT_CABLE, 0, NULL}, INFINITY, box2, box3, INFINITY, 0.0, 0},
    {"bad contact", {FAIL_HIGH, FAIL_AT_CABLE, 0, NULL}, good + 1.5, box2, box3, INFINITY, 3.0, 1},
    {"short", {FAIL_SHORT, FAIL_AT_CABLE, 0, NULL}, 0.125, box2, box3, 0.125, 0.0, 0},
    {"link 1 out", {FAIL_OPEN, FAIL_AT_LINK, 1, NULL}, 6.25, INFINITY, box3, INFINITY, 1.0, 0},
    {"link 2 out",
     {FAIL_OPEN, FAIL_AT_LINK, 2, NULL},
     0.25 + 6.0 * 6.05 / 12.05,
     6.05,
     INFINITY,
     INFINITY,
     2.0,
     0},
    {"link 1 short",
     {FAIL_SHORT, FAIL_AT_LINK, 1, NULL},
     0.25 + 6.0 * 0.025 / 6.025,
     0.025,
     box3,
     INFINITY,
     0.0,
     0},
    {"link 1 reversed",
     {FAIL_REVERSED, FAIL_AT_LINK, 1, NULL},
     good,
     box2,
     box3,
     INFINITY,
     3.0,
     -1},
    {"box 2 missing",
     {FAIL_OPEN, FAIL_AT_BOX, 2, NULL},
     0.25 + 6.0 * 6.1 / 12.1,
     6.1,
     box3,
     INFINITY,
     2.0,
     1},
    {"box 3 reversed", {FAIL_REVERSED, FAIL_AT_BOX, 3, NULL}, good, box2, box3, INFINITY, 3.0, -1},
    {"driver of box 1",
     {FAIL_OPEN, FAIL_AT_DRIVER, 1, NULL},
     0.25 + 12.0 * box2 / (12.0 + box2),
     box2,
     box3,
     INFINITY,
     2.5,
     1},
    {"driver of box 3 shorted",
     {FAIL_SHORT, FAIL_AT_DRIVER, 3, NULL},
     0.25 + 6.0 * (0.05 + 6.0 * 0.05 / 6.05) / (6.0 + (0.05 + 6.0 * 0.05 / 6.05)),
     0.05 + 6.0 * 0.05 / 6.05,
     0.05,
     INFINITY,
     0.0,
     0},
    {"pairs crossed in the cable",
     {FAIL_CROSSED, FAIL_AT_CABLE, 0, &b},
     0.25 + other1,
     other2,
     INFINITY,
     INFINITY,
     3.0,
     1},
    {"pairs crossed in link 1",
     {FAIL_CROSSED, FAIL_AT_LINK, 1, &b},
     0.25 + 6.0 * mixed / (6.0 + mixed),
     mixed,
     INFINITY,
     INFINITY,
     3.0,
     1},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    PartsView v;
    parts_view(&a, &rows[i].fail, 20.0, 20.0, &v);
    const double got[] = {v.amp_ohm, v.link_ohm[0], v.link_ohm[1], v.far_open_ohm};
    const double want[] = {rows[i].amp_ohm, rows[i].link1_ohm, rows[i].link2_ohm,
                           rows[i].far_open_ohm};
    for (int k = 0; k < 4; ++k) {
      if (isinf(want[k])) {
        assert_true(isinf(got[k]));
      } else {
        CHECK_NEAR(rows[i].name, got[k], want[k], 1e-9);
      }
    }
    CHECK_NEAR(rows[i].name, v.share[0] + v.share[1] + v.share[2], rows[i].play, 1e-12);
    assert_int_equal(v.sign[2], rows[i].sign3);
    assert_int_equal(v.is_other, rows[i].fail.mode == FAIL_CROSSED);
  }
  // At 50 C copper reads (234.5 + 50) / 254.5 = 1.1179 of it: 11.8 % up
  PartsView hot;
  parts_view(&a, &rows[0].fail, 50.0, 50.0, &hot);
  CHECK_NEAR("hot", hot.amp_ohm / good, 1.117878, 1e-6);
  arena_deinit(&arena);
}

static void
what_a_list_leaves_out(void** state)
{
  (void)state;
  static const char text[] =
    "circuit,amp,mode,pins,cable_m,cable_mm2,awg,boxes,nominal_ohm,line_v,tap_w,amp_min_ohm\n"
    "bare,A,,,,,,2,4,,,\n"
    "line,B,,1+ 1-,100,1.5,,10,,100,20,\n"
    "bridge,C,bridged,1+ 2+,20,,12,1,4,,,8\n"
    "doubled,D,,1+ 2+ 1- 2-,20,4,,1,8,,,\n"
    "low,E,,1+ 1-,20,4,,4,2,,,4\n";
  Arena arena;
  Plant plant;
  arena_init(&arena, NULL);
  plant_of(&arena, "outputs.csv", text, &plant);
  const Parts bare = parts_of(&plant.outputs[0]);
  assert_true(bare.has_ohms && bare.load_is_assumed && bare.cable_is_listed);
  CHECK_NEAR("0.7 of nominal", bare.load_ohm, 2.8, 1e-12);
  const Parts line = parts_of(&plant.outputs[1]);
  assert_true(line.is_line && !line.has_ohms);
  CHECK_NEAR("100 V, 200 W", limit_load(&plant.outputs[1]).nominal_ohm, 50.0, 1e-12);
  const Parts bridge = parts_of(&plant.outputs[2]); // AWG 12: 5.211 ohm/km (ASTM B258)
  CHECK_NEAR("awg 12", bridge.cable_ohm, 40.0 * 5.211e-3, 2e-5);
  const LimitLoad load = limit_load(&plant.outputs[2]);
  assert_true(load.is_too_low && !load.allowed_is_assumed);
  CHECK_NEAR("each channel of a bridge", load.channel_ohm, 2.0, 1e-12);
  assert_int_equal(plant.outputs[2].poles[0], 0);
  assert_int_equal(plant.outputs[2].poles[1], 2);
  const Parts doubled = parts_of(&plant.outputs[3]);
  CHECK_NEAR("two pairs", doubled.cable_ohm, 0.5 * 40.0 / 58.0 / 4.0, 1e-9);
  assert_true(limit_load(&plant.outputs[4]).is_too_low);
  arena_deinit(&arena);
}

// A bad row stops the import with its place.
static void
rows_that_make_no_sense(void** state)
{
  (void)state;
  static const struct {
    const char *name, *text, *says;
    int line;
  } rows[] = {
    {"outputs.csv", "circuit,amp,pins\nx,A,1+\n", "no pair of poles", 2},
    {"outputs.csv", "circuit,amp,pins\nx,A,1+ 5-\n", "no pair of poles", 2},
    {"outputs.csv", "circuit,amp,pins\nx,A,1+ 1+\n", "no pair of poles", 2},
    {"outputs.csv", "circuit,amp\nx,A\ny,A\nX,B\n", "listed twice", 4},
    {"outputs.csv", "circuit,amp,mode\nx,A,loud\n", "no way to run", 2},
    {"outputs.csv", "circuit,amp,boxes\nx,A,99\n", "whole number", 2},
    {"outputs.csv", "circuit,amp,load_ohm\nx,A,-3\n", "load_ohm", 2},
    {"monitors.csv", "mix,feeds\n1,amp MA1 ch x\n", "no amplifier channel", 2},
    {"monitors.csv", "mix,feeds\n1,amp MA1 ch 1\n1,amp MA1 ch 2\n", "listed twice", 3},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Arena arena;
    Plant plant;
    Error error = {0};
    arena_init(&arena, NULL);
    const ListText list = {rows[i].name, rows[i].text, strlen(rows[i].text)};
    assert_int_equal(lists_build(&arena, &list, 1, 0, &plant, &error), STATUS_BAD_INPUT);
    if (!strstr(error.text, rows[i].says) || error.line != rows[i].line || error.column < 1) {
      fail_msg("row %zu: %d:%d: %s", i, error.line, error.column, error.text);
    }
    arena_deinit(&arena);
  }
}

// Power from the circuit itself. The published example: 24.5 V, 8 ohm, 160 ft of AWG 10 at 0.00204
// ohm a foot and loop: 0.3264 ohm; 72.09 W drawn, 2.83 in the cable, 69.26 in the load. With 1 mH
// in the coil and f = 8 / (2 pi 1e-3) = 1273.24 Hz the branch is 8 + 8j: |Z| = |8.3264 + 8j|
// = 11.5469, and 600.25 / 133.329 = 4.50202 A2 give 36.0162 W in the driver and 1.46946 in the
// cable.
static void
power_of_the_circuit_itself(void** state)
{
  (void)state;
  Parts p = {.has_ohms = true,
             .n_boxes = 1,
             .n_drivers = 1,
             .load_ohm = 8.0,
             .driver_ohm = 8.0,
             .cable_ohm = 0.3264};
  PartsPower w = parts_power(&p, 1000.0, 1000.0, 24.5);
  assert_true(w.is_known && !w.coil_is_known);
  CHECK_NEAR("drawn", w.drawn_w, 72.09, 0.005);
  CHECK_NEAR("cable", w.cable_w, 2.83, 0.005);
  CHECK_NEAR("load", w.driver_w, 69.26, 0.005);
  p.coil_h = 1e-3;
  w = parts_power(&p, 1273.2395447, 1273.2395447, 24.5);
  assert_true(w.coil_is_known);
  CHECK_NEAR("|Z|", w.size_ohm, 11.5469, 1e-3);
  CHECK_NEAR("driver", w.driver_w, 36.0162, 2e-3);
  CHECK_NEAR("cable", w.cable_w, 1.46946, 2e-4);
  // A band between two frequencies takes between what they take; even by octaves
  const double low = parts_power(&p, 100.0, 100.0, 24.5).driver_w;
  const double high = parts_power(&p, 4000.0, 4000.0, 24.5).driver_w;
  w = parts_power(&p, 100.0, 4000.0, 24.5);
  assert_true(w.driver_w < low && w.driver_w > high);
  CHECK_NEAR("nothing else takes any", w.drawn_w, w.driver_w + w.cable_w, 1e-9);
  // High driver behind its capacitor: 8 ohm behind 20 uF at 994.718 Hz is 8 - 8j, half the watts of
  // 8
  p = (Parts){.has_ohms = true,
              .n_boxes = 1,
              .n_drivers = 1,
              .load_ohm = 8.0,
              .driver_ohm = 8.0,
              .high_ohm = 8.0,
              .high_f = 20e-6};
  w = parts_power(&p, 994.71839432, 994.71839432, 8.0);
  CHECK_NEAR("low", w.driver_w, 8.0, 1e-9);
  CHECK_NEAR("high", w.high_w, 4.0, 1e-6);
  p.has_ohms = false;
  assert_false(parts_power(&p, 100.0, 100.0, 8.0).is_known);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_lists_own_figures),       cmocka_unit_test(every_fault_by_hand),
    cmocka_unit_test(what_a_list_leaves_out),      cmocka_unit_test(rows_that_make_no_sense),
    cmocka_unit_test(power_of_the_circuit_itself),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
