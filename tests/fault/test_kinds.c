// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Every kind of source and every in-line thing, from its row of the lists to what a check shows.
  Trade rows are common practice, no source; supply volts are those of an independent netlist of the
  same stage (2.2 k supply resistors, 4 mA), as are the three desks of the split.
*/

#include "fault/shared.h"
#include "fault/template.h"
#include "stage/lists.h"
#include "support/check.h"
#include "support/folder.h"

#include <math.h>
#include <string.h>

typedef struct {
  Arena arena;
  Plant plant;
  Predictor* predictor;
} Stage;

static const char boxes_csv[] = "box,sockets,first_line,tail_m\nA,4,1,15\nB,4,5,20\n";
static const char lines_csv[] = "line,box,socket,foh,mon,broadcast\n1,A,1,1,1,1\n2,A,2,2,2,2\n"
                                "3,A,3,3,3,3\n4,A,4,4,4,4\n5,B,1,5,5,5\n6,B,2,6,6,6\n7,B,3,7,7,7\n";

static void
stage_init(Stage* s, const char* inputs, const char* split)
{
  memset(s, 0, sizeof(*s));
  arena_init(&s->arena, NULL);
  const ListText lists[] = {{"boxes.csv", boxes_csv, sizeof(boxes_csv) - 1},
                            {"lines.csv", lines_csv, sizeof(lines_csv) - 1},
                            {"inputs-act1.csv", inputs, strlen(inputs)},
                            {"split.csv", split, split ? strlen(split) : 0}};
  Error error = {0};
  if (lists_build(&s->arena, lists, split ? 4 : 3, 0, &s->plant, &error) != STATUS_OK) {
    fail_msg("%s:%d: %s", error.file, error.line, error.text);
  }
  assert_int_equal(predictor_new(&s->arena, &s->plant, 0, &s->predictor), STATUS_OK);
}

static const View*
see(Stage* s, int line, Fault fault)
{
  const Condition c = {line - 1, line - 1, line - 1, fault};
  const View* view = NULL;
  assert_int_equal(predictor_view(s->predictor, &c, &view), STATUS_OK);
  return view;
}

static const Fault none = {PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0};

static Fault
bad(PartSort part, FaultMode mode, int a, int b, int which)
{
  return (Fault){part, mode, a, b, which, 1.0};
}

static const char*
shows(Stage* s, int line, CheckSort sort, int desk, const View* view)
{
  const Check check = {sort, desk};
  return predict_key_text(&s->arena, &s->plant, 0, check, line - 1,
                          predict_shows(&s->plant, line - 1, check, view, NULL));
}

// ---- What a fault is called ----

static void
a_fault_is_spoken_as_people_say_it(void** state)
{
  (void)state;
  static const struct {
    FaultMode mode;
    int a, b;
    const char *wire, *spoken;
  } rows[] = {
    {FAULT_OPEN, 3, 0, "open 3", "contact 3 open"},
    {FAULT_SHORT, 1, 2, "short 1-2", "1 and 2 shorted"},
    {FAULT_LEAK, 1, 3, "leak 1-3", "damp between 1 and 3"},
    {FAULT_LOOSE, 2, 0, "loose 2", "contact 2 loose"},
    {FAULT_OPEN, 0, 0, "open", "open"}, // No contact to name
    {FAULT_FLAT_BATTERY, 0, 0, "flat battery", "a flat battery"},
    {FAULT_LEAD_OUT, 0, 0, "lead out", "lead out"},
    {FAULT_LEAD_OUT, 1, 2, "lead out 1-2", "lead 1 and 2 out"},
  };
  char name[24];
  char spoken[CATALOGUE_SPOKEN_BYTES];
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const Fault fault = {PART_CABLE, rows[i].mode, rows[i].a, rows[i].b, -1, 1.0};
    assert_string_equal(catalogue_name(&fault, name), rows[i].wire);
    assert_string_equal(catalogue_spoken(&fault, spoken), rows[i].spoken);
  }
  for (int mode = 0; mode < FAULT_MODE_COUNT; ++mode) { // None was forgotten, none is cut off
    const Fault fault = {PART_CABLE, (FaultMode)mode, 0, 0, -1, 1.0};
    const size_t n = strlen(catalogue_spoken(&fault, spoken));
    assert_true(n > 0 && n + 1 < sizeof(spoken));
  }
}

// ---- Every kind, every check ----

static int
walk_check(Stage* s, const char* kind, Check check)
{
  const Fault* faults = NULL;
  int n = 0;
  int good = 0;
  int n_differ = 0;
  assert_int_equal(catalogue_line(&s->arena, &s->plant, 0, 0, &faults, &n), STATUS_OK);
  for (int i = 0; i < n; ++i) {
    const Condition hunt = {0, PREDICT_KNOWN_GOOD, 0, faults[i]};
    const View* known = NULL;
    const View* const view = see(s, 1, faults[i]);
    if (view->is_anything) {
      continue;
    }
    assert_int_equal(predictor_view(s->predictor, &hunt, &known), STATUS_OK);
    const int key = predict_shows(&s->plant, 0, check, view, known);
    const char* const text = predict_key_text(&s->arena, &s->plant, 0, check, 0, key);
    char name[24];
    if (!text || strstr(text, "?") || strstr(text, "unknown") ||
        !strcmp(catalogue_name(&faults[i], name), "")) {
      fail_msg("%s, %s: %s", kind, predict_check_word(check.sort), text ? text : "nothing");
    }
    good = i == 0 ? key : good;
    n_differ += key != good;
  }
  return n_differ;
}

static void
every_kind_answers_every_check_that_fits(void** state)
{
  (void)state;
  static const CheckSort at_desk[] = {CHECK_LEVEL,    CHECK_TONE, CHECK_HUM,  CHECK_CRACKLE,
                                      CHECK_POLARITY, CHECK_SEEN, CHECK_LOOK, CHECK_HUNT};
  static const CheckSort at_socket[] = {CHECK_VOLTS, CHECK_LAMPS, CHECK_OHMS, CHECK_FLEX};
  Arena arena;
  Plant built_in;
  Error error = {0};
  arena_init(&arena, NULL);
  assert_int_equal(lists_build(&arena, NULL, 0, 4, &built_in, &error), STATUS_OK);
  int n_rows = 0;
  for (int k = 0; k < built_in.n_kinds; ++k) {
    const Kind* const kind = &built_in.kinds[k];
    assert_false(kind->is_assumed);
    assert_true(kind->figures[0] != '\0'); // Every row says where its numbers are from
    char inputs[200];
    (void)snprintf(inputs, sizeof(inputs), "channel,source,pickup,box,socket\n1,it,%s,A,1\n",
                   kind->name);
    Stage s;
    stage_init(&s, inputs, NULL);
    for (size_t i = 0; i < sizeof(at_desk) / sizeof(at_desk[0]); ++i) {
      for (int d = 0; d < s.plant.n_desks; ++d) {
        const int n = walk_check(&s, kind->name, (Check){at_desk[i], d});
        if (n == 0) {
          fail_msg("%s: %s at desk %d sees no fault", kind->name, predict_check_word(at_desk[i]),
                   d);
        }
        ++n_rows;
      }
    }
    for (size_t i = 0; i < sizeof(at_socket) / sizeof(at_socket[0]); ++i) {
      if (walk_check(&s, kind->name, (Check){at_socket[i], -1}) == 0) {
        fail_msg("%s: %s sees no fault", kind->name, predict_check_word(at_socket[i]));
      }
      ++n_rows;
    }
    arena_deinit(&s.arena);
  }
  printf("figure: kinds_by_checks %d answered\n", n_rows);
  arena_deinit(&arena);
}

// No source of the reference event is of a kind nobody knows, and each line answers for itself.
static void
every_line_of_the_demo_answers(void** state)
{
  (void)state;
  Stage s = {0};
  ListText lists[FOLDER_MAX_LISTS];
  Error error = {0};
  int n_lines = 0;
  arena_init(&s.arena, NULL);
  const int n = folder_read(&s.arena, DEMO_DIR, lists);
  assert_int_equal(lists_build(&s.arena, lists, n, 0, &s.plant, &error), STATUS_OK);
  for (int act = 0; act < s.plant.n_acts; ++act) {
    Predictor* predictor = NULL;
    assert_int_equal(predictor_new(&s.arena, &s.plant, act, &predictor), STATUS_OK);
    for (int l = 0; l < s.plant.n_lines; ++l) {
      const Input* const input = plant_input(&s.plant, act, l);
      if (!input) {
        continue;
      }
      const View* view = NULL;
      const Condition sound = {l, l, l, none};
      assert_false(s.plant.kinds[input->kind].is_assumed);
      assert_int_equal(predictor_view(predictor, &sound, &view), STATUS_OK);
      for (int d = 0; d < s.plant.n_desks; ++d) {
        const Check level = {CHECK_LEVEL, d};
        assert_int_equal(predict_shows(&s.plant, l, level, view, NULL), LEVEL_NORMAL);
      }
      for (int sort = 0; sort < CHECK_COUNT; ++sort) {
        const Check check = {(CheckSort)sort, sort <= CHECK_LOOK ? 0 : -1};
        const int key = predict_shows(&s.plant, l, check, view, view);
        const char* const text = predict_key_text(&s.arena, &s.plant, act, check, l, key);
        if (!text || strchr(text, '?')) {
          fail_msg("act %d, line %d: %s", act, l + 1, predict_check_word((CheckSort)sort));
        }
      }
      ++n_lines;
    }
  }
  printf("figure: demo_lines_by_act %d answered\n", n_lines);
  assert_true(n_lines > 100);
  arena_deinit(&s.arena);
}

// ---- What phantom leaves ----

static void
supply_decides_first(void** state)
{
  (void)state;
  enum { PLAIN, OPEN_LEG, SHORT_LEG, CROSSED, DEAD_SHIELD };
  static const struct {
    const char* name;
    bool split; ///< Unblocked primaries of two sides: 30 ohm across the legs
    int fault;
    double volts, within;
  } rows[] = {
    {"plain", false, PLAIN, 30.0, 0.1}, // 48 - 2 mA x 9 k, by hand
    {"plain, a leg open", false, OPEN_LEG, 12.0, 0.1},
    {"split, a leg open", true, OPEN_LEG, 25.5, 0.2},
    {"plain, 1-2 short", false, SHORT_LEG, 3.6, 0.2},
    {"split, 1-2 short", true, SHORT_LEG, 0.1, 0.1},
    {"no return", false, DEAD_SHIELD, 0.0, 1e-9},
  };
  const Kind kind = {.needs_phantom = ANSWER_YES,
                     .supply_ohm = 2200.0,
                     .draw_a = 0.004,
                     .full_v = 9.0,
                     .least_v = 3.0};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Port port;
    port_init(&port, 3);
    port_source_to_earth(&port, 1, 48.0, 6800.0);
    port_source_to_earth(&port, 2, 48.0, 6800.0);
    port_earth(&port, 0, 0.01);
    if (rows[i].split) {
      port_shunt(&port, 1, 2, 30.0);
    }
    if (rows[i].fault == SHORT_LEG) {
      port_shunt(&port, 0, 1, 0.1);
    } else if (rows[i].fault != PLAIN) {
      port_open(&port, rows[i].fault == OPEN_LEG ? 1 : 0);
    }
    double load_ohm = 0.0;
    CHECK_NEAR(rows[i].name, template_supply_v(&kind, &port, &load_ohm), rows[i].volts,
               rows[i].within);
    assert_true(load_ohm > 0.0);
  }
  Port crossed; // Contact 1 sits on a feed: the circuit gets it the wrong way round
  port_init(&crossed, 3);
  port_source_to_earth(&crossed, 0, 48.0, 6800.0);
  port_source_to_earth(&crossed, 2, 48.0, 6800.0);
  port_earth(&crossed, 1, 0.01);
  double load_ohm = 0.0;
  assert_true(template_supply_v(&kind, &crossed, &load_ohm) < -3.0);
}

static void
words_follow_the_supply(void** state)
{
  (void)state;
  static const char inputs[] = "channel,source,pickup,phantom,box,socket\n"
                               "1,overhead,cond-small,yes,A,1\n2,bass,di-active,yes,A,2\n"
                               "3,lapel,cond-clip,yes,A,3\n";
  Stage s;
  stage_init(&s, inputs, NULL);
  const Fault open2 = bad(PART_CABLE, FAULT_OPEN, 2, 0, -1);
  const Fault open1 = bad(PART_CABLE, FAULT_OPEN, 1, 0, -1);
  const Fault off = bad(PART_DESK, FAULT_PHANTOM_OFF, 0, 0, 0);
  assert_string_equal(shows(&s, 1, CHECK_LEVEL, 0, see(&s, 1, none)), "normal");
  assert_string_equal(shows(&s, 1, CHECK_LEVEL, 0, see(&s, 1, open2)), "nothing"); // Not on one leg
  assert_string_equal(shows(&s, 2, CHECK_LEVEL, 0, see(&s, 2, open2)), "far down");
  assert_string_equal(shows(&s, 3, CHECK_LEVEL, 0, see(&s, 3, open1)), "nothing");
  assert_string_equal(shows(&s, 1, CHECK_LEVEL, 1, see(&s, 1, off)), "nothing");
  // A DI on its battery hides missing phantom, or works badly: nobody can be sure
  assert_true(see(&s, 2, off)->open_prob > 0.5);
  // 3.5 mA through two feeds: 48 - 1.75 x 6.8
  CHECK_NEAR("volts in line", see(&s, 1, none)->volts[0], 36.1, 0.3);
  arena_deinit(&s.arena);
}

// ---- In line ----

static void
what_stands_in_line(void** state)
{
  (void)state;
  static const char inputs[] = "channel,source,pickup,phantom,box,socket,through\n"
                               "1,snare,dyn-inst,no,A,1,pad 20\n"
                               "2,snare below,dyn-inst,no,A,2,polarity adaptor\n"
                               "3,keys,line-unbal,no,A,3,isolating box\n"
                               "4,film,cond-ab,no,A,4,a-b supply\n"
                               "5,voice,dyn-vocal,no,B,1,panel\n"
                               "6,piano,cond-small,yes,B,2,isolating box\n"
                               "7,two,dyn-inst,no,B,3,y-lead with dyn-inst\n";
  Stage s;
  stage_init(&s, inputs, NULL);
  const struct {
    const char* name;
    int line;
    Fault fault;
    CheckSort check;
    const char* says;
  } rows[] = {
    {"pad as listed", 1, none, CHECK_LEVEL, "normal"},
    {"pad forgotten", 1, bad(PART_THROUGH, FAULT_MISSING, 0, 0, 0), CHECK_LEVEL, "over"},
    {"pad left in", 5, bad(PART_THROUGH, FAULT_PAD_IN, 0, 0, -1), CHECK_LEVEL, "far down"},
    {"turned round on purpose", 2, none, CHECK_POLARITY, "inverted"},
    {"adaptor forgotten", 2, bad(PART_THROUGH, FAULT_MISSING, 0, 0, 0), CHECK_POLARITY, "same"},
    {"adaptor left in", 5, bad(PART_THROUGH, FAULT_CROSSED, 2, 3, -1), CHECK_POLARITY, "inverted"},
    {"isolated", 3, none, CHECK_HUM, "none"},
    {"isolating box forgotten", 3, bad(PART_THROUGH, FAULT_MISSING, 0, 0, 0), CHECK_HUM, "loud"},
    {"isolating box open", 3, bad(PART_THROUGH, FAULT_OPEN, 2, 0, 0), CHECK_LEVEL, "nothing"},
    {"A-B fed", 4, none, CHECK_LEVEL, "normal"},
    {"A-B supply flat", 4, bad(PART_THROUGH, FAULT_FLAT_BATTERY, 0, 0, 0), CHECK_LEVEL, "nothing"},
    {"A-B supply forgotten", 4, bad(PART_THROUGH, FAULT_MISSING, 0, 0, 0), CHECK_LEVEL, "nothing"},
    {"panel", 5, none, CHECK_LEVEL, "normal"},
    {"panel contact open", 5, bad(PART_THROUGH, FAULT_OPEN, 3, 0, 0), CHECK_LEVEL, "far down"},
    {"no phantom through a transformer", 6, none, CHECK_LEVEL, "nothing"},
    {"two on one socket", 7, none, CHECK_LEVEL, "normal"},
    // 0.1 ohm beside 200, 200 and three inputs of 2 k: 20 log10(0.1 / 87)
    {"their Y-lead shorted", 7, bad(PART_THROUGH, FAULT_SHORT, 2, 3, 0), CHECK_LEVEL, "far down"},
  };
  int n_bad = 0;
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const View* const view = see(&s, rows[i].line, rows[i].fault);
    const char* const got = shows(&s, rows[i].line, rows[i].check, 0, view);
    if (strcmp(got, rows[i].says) != 0) {
      printf("%s: got %s (%.1f dB, %.1f dBV), want %s\n", rows[i].name, got, view->level_db[0],
             view->hum_dbv[0], rows[i].says);
      ++n_bad;
    }
  }
  assert_int_equal(n_bad, 0);
  // A 10 dB pad in place of the 20 dB one, by its own resistors: 9.9 and 20.3 dB into 2 k
  CHECK_NEAR("another pad", see(&s, 1, bad(PART_THROUGH, FAULT_WRONG_LEVEL, 0, 0, 0))->level_db[0],
             10.4, 1.5);
  CHECK_NEAR("Y-lead shorted", see(&s, 7, bad(PART_THROUGH, FAULT_SHORT, 2, 3, 0))->level_db[0],
             -58.8, 1.0);
  // 620 + 200 + 620 over 150 ohm: 146 to 133 by hand for 50 to 600 ohm of coil
  assert_string_equal(shows(&s, 1, CHECK_OHMS, -1, see(&s, 1, none)), "right");
  CHECK_NEAR("ohms through a pad", see(&s, 1, none)->r23_ohm, 1440.0 * 150.0 / 1590.0, 3.0);
  assert_string_equal(shows(&s, 3, CHECK_OHMS, -1, see(&s, 3, none)), "right"); // The winding
  arena_deinit(&s.arena);
}

static void
a_source_on_two_lines_is_lost_on_both(void** state)
{
  (void)state;
  static const char inputs[] = "channel,source,pickup,phantom,box,socket,through\n"
                               "1,voice,dyn-vocal,no,A,1,y-lead to B1\n5,voice,dyn-vocal,no,B,1,\n"
                               "2,left,dyn-inst,no,A,2,panel\n6,right,dyn-inst,no,B,2,panel\n";
  Stage s;
  stage_init(&s, inputs, NULL);
  const SharedState* states = NULL;
  int n = 0;
  int n_y = 0;
  int n_panel = 0;
  assert_int_equal(shared_list(&s.arena, &s.plant, 0, false, &states, &n), STATUS_OK);
  for (int i = 0; i < n; ++i) {
    for (int k = 0; states[i].sort == SHARED_Y && k < 2; ++k) {
      const SharedTouch* const t = &states[i].touches[k];
      assert_true(t->line == 0 || t->line == 4);
      assert_string_equal(shows(&s, t->line + 1, CHECK_LEVEL, 0, see(&s, t->line + 1, t->fault)),
                          "nothing");
      ++n_y;
    }
    if (states[i].sort == SHARED_PANEL) {
      assert_int_equal(states[i].n_touches, 2);
      n_panel += states[i].touches[0].plugged == 5 || states[i].touches[1].plugged == 1;
    }
  }
  assert_int_equal(n_y, 4);
  assert_int_equal(n_panel, 2);
  // The other line's input loads the source: 200 ohm into six inputs of 2 k instead of three
  CHECK_NEAR("both sound", see(&s, 1, none)->level_db[0], 0.0, 1e-9);
  arena_deinit(&s.arena);
}

// ---- Splits ----

static void
splits_of_two_and_three_ways(void** state)
{
  (void)state;
  static const char inputs[] =
    "channel,source,pickup,phantom,box,socket\n1,voice,dyn-vocal,no,A,1\n2,out,line-bal,no,A,2\n";
  static const char head[] = "split,primary_ohm,secondary_ohm,primary_h,blocked_by_capacitors,"
                             "contact1_lifted,parallel\n";
  char open[200];
  char blocked[200];
  char parallel[200];
  (void)snprintf(open, sizeof(open), "%sS1,60,60,5,no,yes,no\n", head);
  (void)snprintf(blocked, sizeof(blocked), "%sS1,60,60,5,yes,yes,no\n", head);
  (void)snprintf(parallel, sizeof(parallel), "%sS1,60,60,5,no,no,yes\n", head);
  Stage coils;
  Stage caps;
  Stage joined;
  stage_init(&coils, inputs, open);
  stage_init(&caps, inputs, blocked);
  stage_init(&joined, inputs, parallel);
  const Fault leg = bad(PART_PAIR, FAULT_OPEN, 2, 0, -1);
  const Fault shorted = bad(PART_PAIR, FAULT_SHORT, 2, 3, -1);
  // Desks do not share a fault past the split: 0.8 dB up, 62 dB down (independent netlist)
  CHECK_NEAR("others, house leg open", see(&coils, 1, leg)->level_db[1], 0.8, 0.5);
  CHECK_NEAR("others, house pair shorted", see(&coils, 1, shorted)->level_db[1], -62.0, 4.0);
  assert_true(see(&joined, 1, shorted)->level_db[1] < -40.0);
  for (int d = 0; d < 3; ++d) {
    CHECK_NEAR("healthy", see(&joined, 1, none)->level_db[d], 0.0, 1e-9);
  }
  // Primaries join the legs for direct current; capacitors or no transformers do not
  assert_string_equal(see(&caps, 1, none)->lamps, see(&joined, 1, none)->lamps);
  assert_string_not_equal(see(&coils, 1, none)->lamps, see(&caps, 1, none)->lamps);
  // Without transformers a broken shield of the source is mended by nobody: still no level lost
  CHECK_NEAR("shield", see(&joined, 1, bad(PART_CABLE, FAULT_OPEN, 1, 0, -1))->level_db[2], 0.0,
             0.5);
  arena_deinit(&coils.arena);
  arena_deinit(&caps.arena);
  arena_deinit(&joined.arena);
}

// ---- What the trade knows ----

static void
trade_rows(void** state)
{
  (void)state;
  static const char inputs[] = "channel,source,pickup,phantom,box,socket\n"
                               "1,voice,dyn-vocal,no,A,1\n2,laptop,line-impedance,no,A,2\n"
                               "3,keys,di-passive,no,A,3\n4,radio,rx-line,no,A,4\n"
                               "5,dj,line-unbal,no,B,1\n6,talk,tb-mic,no,B,2\n";
  Stage s;
  stage_init(&s, inputs, NULL);
  const struct {
    const char* name;
    int line;
    Fault fault;
    CheckSort check;
    const char* says[2];
  } rows[] = {
    {"floating, leg open",
     1,
     bad(PART_CABLE, FAULT_OPEN, 2, 0, -1),
     CHECK_LEVEL,
     {"nothing", "far down"}},
    {"floating, 1-3 short: level near normal",
     1,
     bad(PART_CABLE, FAULT_SHORT, 1, 3, -1),
     CHECK_LEVEL,
     {"normal"}},
    {"and it hums", 1, bad(PART_CABLE, FAULT_SHORT, 1, 3, -1), CHECK_HUM, {"audible", "loud"}},
    {"floating, 1 open: works with buzz",
     1,
     bad(PART_CABLE, FAULT_OPEN, 1, 0, -1),
     CHECK_LEVEL,
     {"normal"}},
    {"the buzz", 1, bad(PART_CABLE, FAULT_OPEN, 1, 0, -1), CHECK_HUM, {"audible", "loud"}},
    {"2-3 short: silence", 1, bad(PART_CABLE, FAULT_SHORT, 2, 3, -1), CHECK_LEVEL, {"nothing"}},
    {"impedance-balanced, hot leg open: dead",
     2,
     bad(PART_CABLE, FAULT_OPEN, 2, 0, -1),
     CHECK_LEVEL,
     {"nothing"}},
    // "Same level" holds for inputs of 1 k from each leg to earth; ours has 2 k between the legs
    {"impedance-balanced, cold leg open: sounds on",
     2,
     bad(PART_CABLE, FAULT_OPEN, 3, 0, -1),
     CHECK_LEVEL,
     {"low", "far down"}},
    {"with hum", 2, bad(PART_CABLE, FAULT_OPEN, 3, 0, -1), CHECK_HUM, {"audible", "loud"}},
    {"passive DI, jack not home: dead",
     3,
     bad(PART_SOURCE, FAULT_JACK_OUT, 0, 0, -1),
     CHECK_LEVEL,
     {"nothing"}},
    {"with hum", 3, bad(PART_SOURCE, FAULT_JACK_OUT, 0, 0, -1), CHECK_HUM, {"audible"}},
    {"and the winding reads", 3, bad(PART_SOURCE, FAULT_JACK_OUT, 0, 0, -1), CHECK_OHMS, {"right"}},
    {"passive DI, pad in", 3, bad(PART_SOURCE, FAULT_PAD_IN, 0, 0, -1), CHECK_LEVEL, {"far down"}},
    {"passive DI, hum loop", 3, bad(PART_SOURCE, FAULT_LIFT, 0, 0, -1), CHECK_HUM, {"loud"}},
    {"at full level", 3, bad(PART_SOURCE, FAULT_LIFT, 0, 0, -1), CHECK_LEVEL, {"normal"}},
    {"radio at microphone level: 35 dB down",
     4,
     bad(PART_SOURCE, FAULT_WRONG_LEVEL, 0, 0, -1),
     CHECK_LEVEL,
     {"far down"}},
    {"radio muted", 4, bad(PART_SOURCE, FAULT_MUTED, 0, 0, -1), CHECK_LEVEL, {"nothing"}},
    {"radio without transmitter: drops and bursts",
     4,
     bad(PART_SOURCE, FAULT_LOST, 0, 0, -1),
     CHECK_CRACKLE,
     {"some"}},
    {"unbalanced, phantom on", 5, bad(PART_DESK, FAULT_PHANTOM_ON, 0, 0, 0), CHECK_LEVEL, {"low"}},
    {"seen at the desk", 5, bad(PART_DESK, FAULT_PHANTOM_ON, 0, 0, 0), CHECK_LOOK, {"phantom"}},
    {"talkback switched off", 6, bad(PART_SOURCE, FAULT_OFF, 0, 0, -1), CHECK_LEVEL, {"nothing"}},
  };
  int n_bad = 0;
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    const int desk = rows[i].check == CHECK_OHMS ? -1 : 0;
    const View* const view = see(&s, rows[i].line, rows[i].fault);
    const char* const got = shows(&s, rows[i].line, rows[i].check, desk, view);
    if (strcmp(got, rows[i].says[0]) != 0 &&
        !(rows[i].says[1] && strcmp(got, rows[i].says[1]) == 0)) {
      printf("%s: got %s (%.1f dB, %.1f dBV), want %s\n", rows[i].name, got, view->level_db[0],
             view->hum_dbv[0], rows[i].says[0]);
      ++n_bad;
    }
  }
  assert_int_equal(n_bad, 0);
  const View* const leg = see(&s, 1, bad(PART_CABLE, FAULT_OPEN, 2, 0, -1));
  assert_true(leg->level_db[0] < -20.0 && leg->bass_db[0] < -9.0); // Thin, 20 dB down or more
  arena_deinit(&s.arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_fault_is_spoken_as_people_say_it),
    cmocka_unit_test(every_kind_answers_every_check_that_fits),
    cmocka_unit_test(every_line_of_the_demo_answers),
    cmocka_unit_test(supply_decides_first),
    cmocka_unit_test(words_follow_the_supply),
    cmocka_unit_test(what_stands_in_line),
    cmocka_unit_test(a_source_on_two_lines_is_lost_on_both),
    cmocka_unit_test(splits_of_two_and_three_ways),
    cmocka_unit_test(trade_rows),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
