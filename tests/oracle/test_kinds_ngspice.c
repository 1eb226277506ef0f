// SPDX-License-Identifier: GPL-3.0-or-later

/*
  The circuit of every kind of source, as fault/template draws it for a plant of three desks, and of
  every in-line thing behind a microphone, against ngspice (oracle/against.h): well, with a leg lost
  and with a short in the cable, seen from both sides of the box's socket by the usual three lamps,
  by volts and by four tones. Without LINEWALK_LONG each line is well or has one of the faults, in
  turn. Says "N passed, N failed"; without ngspice, skipped.
*/

#include "fault/template.h"
#include "oracle/against.h"
#include "stage/lists.h"

static const char boxes_csv[] = "box,sockets,first_line,tail_m\nA,2,1,15\n";
static const char lines_csv[] = "line,box,socket,foh,mon,broadcast\n1,A,1,1,1,1\n2,A,2,2,2,2\n";
static const char inputs_csv[] =
  "channel,source,pickup,phantom,box,socket\n1,voice,dyn-vocal,no,A,1\n";

typedef struct {
  AgainstTally dc, ac;
  int n_lines;
} Sum;

/// A line well and with two faults in its cable, from either side of the socket.
static bool
compare(Arena* arena, const Plant* plant, const TemplateWant* want, Sum* sum)
{
  const PortTones tones = {.hz = {50.0, 100.0, 1000.0, 10000.0}, .emf_v = {1, 1, 1, 1}};
  static const int lamps[3][2] = {{1, 0}, {2, 0}, {1, 2}};
  static const double ohm[3] = {1500.0, 220.0, 2200.0};
  LampTester testers[2] = {{.n_lamps = 3}, {.n_lamps = 0}};
  for (int i = 0; i < 3; ++i) {
    testers[0].lamps[i] = (Lamp){lamps[i][0], lamps[i][1], ohm[i], lamp_green(), lamp_red()};
  }
  Template t;
  if (template_build(arena, plant, want, &t) != STATUS_OK ||
      lamp_ready(&testers[0], 3) != STATUS_OK || lamp_ready(&testers[1], 3) != STATUS_OK) {
    return false;
  }
  const ChainEdit faults[] = {
    {.element = t.cable, .end = CHAIN_FAR, .change = CHAIN_SERIES, .a = 2, .ohm = INFINITY},
    {.element = t.cable, .end = CHAIN_NEAR, .change = CHAIN_SHUNT, .a = 0, .b = 1, .ohm = 0.1}};
  const char* const longer = getenv("LINEWALK_LONG");
  const bool is_long = longer && longer[0] == '1';
  const int first = is_long ? -1 : sum->n_lines / 3 % 3 - 1;
  for (int fault = first; fault < (is_long ? 2 : first + 1); ++fault) {
    for (int side = CHAIN_TO_SOURCE; side <= CHAIN_BOTH; ++side) {
      if (!against_line(sum->n_lines++, t.chain, &tones, fault < 0 ? NULL : &faults[fault],
                        fault >= 0, t.joint_socket, (ChainSide)side, &testers[side == CHAIN_BOTH],
                        &sum->dc, &sum->ac)) {
        return false;
      }
    }
  }
  return true;
}

int
main(void)
{
  if (system("command -v ngspice >/dev/null 2>&1") != 0) {
    printf("ngspice is not here: skipped\n1 passed, 0 failed\n");
    return 0;
  }
  Arena arena;
  arena_init(&arena, NULL);
  Plant plant;
  Error error = {0};
  const ListText lists[] = {{"boxes.csv", boxes_csv, sizeof(boxes_csv) - 1},
                            {"lines.csv", lines_csv, sizeof(lines_csv) - 1},
                            {"inputs-act1.csv", inputs_csv, sizeof(inputs_csv) - 1}};
  if (lists_build(&arena, lists, 3, 0, &plant, &error) != STATUS_OK) {
    printf("%s:%d: %s\n0 passed, 1 failed\n", error.file, error.line, error.text);
    return 1;
  }
  Sum sum = {0};
  int n_unbuilt = 0;
  const Kind* microphone = NULL; // Fed by phantom, so that what stands in line matters
  for (int i = 0; i < plant.n_kinds; ++i) {
    const Kind* const kind = &plant.kinds[i];
    const TemplateWant want = {.line = 0, .kind = kind, .cable_m = 10.0, .y_line = -1};
    microphone = !microphone && kind->needs_phantom == ANSWER_YES ? kind : microphone;
    if (!compare(&arena, &plant, &want, &sum)) {
      printf("kind %s cannot be built\n", kind->name);
      ++n_unbuilt;
    }
  }
  for (int i = 0; i < plant.n_inlines; ++i) {
    TemplateWant want = {.line = 0, .kind = microphone, .cable_m = 10.0, .y_line = -1};
    want.things[want.n_things++] = &plant.inlines[i];
    if (!compare(&arena, &plant, &want, &sum)) {
      printf("in-line thing %d cannot be built\n", i);
      ++n_unbuilt;
    }
  }
  printf("figure: oracle_kinds %d kinds\n", plant.n_kinds);
  printf("figure: oracle_inline_things %d things\n", plant.n_inlines);
  printf("figure: oracle_kinds_lamp_currents %d compared\n", sum.dc.n_lamps);
  printf("figure: oracle_kinds_lamps_lit_dark_differ %d lamps\n", sum.dc.n_flips);
  printf("figure: oracle_kinds_volts %d compared\n", sum.dc.n_volts + sum.ac.n_volts);
  printf("figure: oracle_kinds_beyond_bound %d values\n", sum.dc.n_failed + sum.ac.n_failed);
  printf("refused: %d direct, %d alternating of %d\n", sum.dc.n_refused, sum.ac.n_refused,
         sum.n_lines);
  const bool too_many = sum.dc.n_refused + sum.ac.n_refused > sum.n_lines / 4 || sum.n_lines == 0;
  const int n_bad = n_unbuilt + sum.dc.n_flips + sum.dc.n_failed + sum.ac.n_failed + too_many;
  printf("%d passed, %d failed\n", 2 * sum.n_lines > n_bad ? 2 * sum.n_lines - n_bad : 0, n_bad);
  arena_deinit(&arena);
  return n_bad != 0;
}
