// SPDX-License-Identifier: GPL-3.0-or-later

/*
  How fast the circuit room answers: a 6-section phantom line and a 6-section line of eight
  loudspeaker poles, 20 faults at either end of every section, looked at from joint 0. Distinct
  cases each; with libngspice at build time, its alter loop on a line of the same size beside them
  in the same run, and the ratio.

  bench_circuit [CASES [ROW]]: with ROW (lamps, meters, ac, lamps_8, meters_8, ac_8) that row alone,
  for counting its instructions: `valgrind --tool=callgrind bench_circuit 20000 meters`.
*/

#include "circuit/lamp.h"
#include "measure.h"
#include "published/stage_line.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#ifdef HAVE_NGSPICE
#include <ngspice/sharedspice.h>
#endif

enum { SECTIONS = 6, FAULTS = 20 };

static const Chain*
built(Arena* arena, int n_contacts, ChainElement e[SECTIONS + 2])
{
  e[0].near = -1;
  e[SECTIONS + 1].near = SECTIONS;
  e[SECTIONS + 1].far = -1;
  for (int i = 1; i <= SECTIONS; ++i) {
    e[i].kind = CHAIN_SECTION;
    e[i].near = i - 1;
    e[i].far = i;
  }
  const Chain* chain = NULL;
  return chain_build(arena, n_contacts, e, SECTIONS + 2, NULL, &chain) == STATUS_OK ? chain : NULL;
}

static const Chain*
phantom_line(Arena* arena)
{
  ChainElement e[SECTIONS + 2] = {{.kind = CHAIN_LEAF}};
  e[0].as.leaf = line_source(CHAIN_DRIVE_FLOATING, 200.0);
  for (int i = 1; i <= SECTIONS; ++i) {
    e[i].as.section = line_cable(5.0 + 3.0 * i, 0.03);
  }
  e[SECTIONS + 1].kind = CHAIN_LEAF;
  e[SECTIONS + 1].as.leaf = line_desk();
  return built(arena, 3, e);
}

/// Four amplifier channels, cable of 2.5 mm2 (8 milliohm and 100 pF a metre and pair), 8 ohm each.
static const Chain*
pole_line(Arena* arena)
{
  ChainBranch amplifier[8];
  ChainBranch speakers[4];
  ChainElement e[SECTIONS + 2] = {{.kind = CHAIN_PARTS}};
  for (int i = 0; i < 4; ++i) {
    amplifier[2 * i] = (ChainBranch){
      .a = 2 * i, .b = 2 * i + 1, .ohm = 0.05, .series_f = INFINITY, .emf_v = 1.0 + 0.1 * i};
    amplifier[2 * i + 1] =
      (ChainBranch){.a = 2 * i + 1, .b = CHAIN_EARTH, .ohm = 0.01, .series_f = INFINITY};
    speakers[i] = (ChainBranch){.a = 2 * i, .b = 2 * i + 1, .ohm = 8.0, .series_f = INFINITY};
  }
  e[0].as.parts = (ChainParts){amplifier, 8};
  for (int i = 1; i <= SECTIONS; ++i) {
    const double m = 5.0 + 3.0 * i;
    Section* const s = &e[i].as.section;
    s->n = 8;
    for (int c = 0; c < 8; ++c) {
      s->series_ohm[c] = 0.008 * m;
      if (c % 2 == 1) {
        s->pair_f[port_pair(c - 1, c)] = 100e-12 * m;
      }
    }
  }
  e[SECTIONS + 1].kind = CHAIN_PARTS;
  e[SECTIONS + 1].as.parts = (ChainParts){speakers, 4};
  return built(arena, 8, e);
}

/// The k-th of endless distinct faults.
static ChainEdit
fault(int n_contacts, int k)
{
  const int kind = k % FAULTS;
  ChainEdit f = {.element = 1 + k / FAULTS % SECTIONS,
                 .end = (ChainEnd)(k / FAULTS / SECTIONS % 2),
                 .a = kind % n_contacts,
                 .b = (kind + 1) % n_contacts,
                 .map = {0, 2, 1, 3, 4, 5, 6, 7}};
  f.change = kind < 9    ? CHAIN_SERIES
             : kind < 15 ? CHAIN_SHUNT
             : kind < 19 ? CHAIN_LEAK
                         : CHAIN_PERMUTE;
  f.ohm = kind < 3 ? (double)INFINITY : 1.0 + 0.37 * k;
  return f;
}

#ifdef HAVE_NGSPICE
static int
quiet(char* text, int id, void* user)
{
  (void)text;
  (void)id;
  (void)user;
  return 0;
}

static int
leave(int status, NG_BOOL now, NG_BOOL quit, int id, void* user)
{
  (void)now;
  (void)quit;
  (void)id;
  (void)user;
  return status;
}

/// Cases a second of `alter one resistor, op` on the same line with three lamps.
static double
ngspice_rate(void)
{
  ngSpice_Init(quiet, quiet, leave, NULL, NULL, NULL, NULL);
  static char lines[64][80];
  char* deck[65];
  int n = 0;
  snprintf(lines[n++], 80, "line");
  for (int i = 0; i < SECTIONS; ++i) {
    for (int k = 0; k < 3; ++k) {
      snprintf(lines[n++], 80, "R%d%d n%d%d n%d%d %g", i, k, i, k, i + 1, k,
               (k == 0 ? 0.03 : 0.08) * (8.0 + 3.0 * i));
    }
  }
  snprintf(lines[n++], 80, "Re n60 0 0.01");
  snprintf(lines[n++], 80, "V1 s 0 48");
  snprintf(lines[n++], 80, "Rf2 s n61 6810");
  snprintf(lines[n++], 80, "Rf3 s n62 6810");
  static const int at[3][2] = {{1, 0}, {2, 0}, {1, 2}};
  static const double ohm[3] = {1500.0, 220.0, 2200.0};
  for (int i = 0; i < 3; ++i) {
    snprintf(lines[n++], 80, "RL%d n0%d m%d %g", i, at[i][0], i, ohm[i]);
    snprintf(lines[n++], 80, "DG%d m%d n0%d green", i, i, at[i][1]);
    snprintf(lines[n++], 80, "DR%d n0%d m%d red", i, at[i][1], i);
  }
  snprintf(lines[n++], 80, ".model green D(IS=1e-20 N=1.9 RS=10)");
  snprintf(lines[n++], 80, ".model red D(IS=1e-18 N=1.8 RS=10)");
  snprintf(lines[n++], 80, ".end");
  for (int i = 0; i < n; ++i) {
    deck[i] = lines[i];
  }
  deck[n] = NULL;
  if (ngSpice_Circ(deck) != 0) {
    return 0.0;
  }
  enum { RUNS = 2000 };
  char command[80];
  const double start_s = measure_s();
  for (int i = 0; i < RUNS; ++i) {
    snprintf(command, sizeof(command), "alter r%d%d = %g", i % SECTIONS, 1 + i % 2, 1.0 + 0.37 * i);
    ngSpice_Command(command);
    snprintf(command, sizeof(command), "op");
    ngSpice_Command(command);
    snprintf(command, sizeof(command), "destroy all");
    ngSpice_Command(command);
  }
  return RUNS / (measure_s() - start_s);
}
#endif

/// One row: what is looked at and how often; the sum keeps the compiler from leaving work out.
typedef struct {
  const Chain* chain;
  int n_contacts;
  int n_cases;
  double sum;
} Row;

static double
lamps(Row* row, double* rounds_a_case)
{
  static const int at[2][3][2] = {{{1, 0}, {2, 0}, {1, 2}}, {{0, 2}, {1, 3}, {0, 4}}};
  static const double ohm[3] = {1500.0, 220.0, 2200.0};
  const int wide = row->n_contacts > 3;
  LampTester tester = {.n_lamps = 3};
  for (int i = 0; i < 3; ++i) {
    tester.lamps[i] = (Lamp){at[wide][i][0], at[wide][i][1], ohm[i], lamp_green(), lamp_red()};
  }
  if (wide) { // Nothing feeds loudspeaker poles but the tester's own battery
    tester.n_batteries = 2;
    tester.batteries[0] = (LampBattery){0, 3, 9.0, 100.0};
    tester.batteries[1] = (LampBattery){0, 5, 9.0, 100.0};
  }
  if (lamp_ready(&tester, row->n_contacts) != STATUS_OK) {
    return 0.0;
  }
  long n_rounds = 0;
  const double start_s = measure_s();
  for (int k = 0; k < row->n_cases; ++k) {
    const ChainEdit edit = fault(row->n_contacts, k);
    Port port;
    double lamp_a[3];
    int rounds = 0;
    chain_look(row->chain, edit.element - 1, CHAIN_TO_DESK, &edit, 1, &port);
    if (lamp_solve(&tester, &port, lamp_a, NULL, &rounds) == STATUS_OK) {
      row->sum += lamp_a[0];
    }
    n_rounds += rounds;
  }
  *rounds_a_case = (double)n_rounds / row->n_cases;
  return row->n_cases / (measure_s() - start_s);
}

/// Six meters at a joint share the look; each is a resistance across a pair and a solve.
static double
meters(Row* row)
{
  const double start_s = measure_s();
  for (int k = 0; k < row->n_cases; ++k) {
    const ChainEdit edit = fault(row->n_contacts, k);
    Port port;
    chain_look(row->chain, edit.element - 1, CHAIN_TO_DESK, &edit, 1, &port);
    for (int meter = 0; meter < 6; ++meter) {
      Port with;
      double v[PORT_MAX];
      port_copy(&with, &port);
      port_source(&with, meter % 3, (meter + 1) % 3, meter < 3 ? 0.0 : 9.0, meter < 3 ? 1e7 : 1e3);
      port_solve(&with, v);
      row->sum += v[1] - v[2];
    }
  }
  return 6.0 * row->n_cases / (measure_s() - start_s);
}

static double
signals(Row* row)
{
  const double start_s = measure_s();
  for (int k = 0; k < row->n_cases; ++k) {
    const ChainEdit edit = fault(row->n_contacts, k);
    PortAc port;
    PortNumber v[PORT_MAX];
    chain_look_ac(row->chain, edit.element - 1, CHAIN_BOTH, &edit, 1, &port);
    port_ac_solve(&port, v);
    row->sum += v[1].re[0];
  }
  return PORT_LANES * row->n_cases / (measure_s() - start_s);
}

int
main(int argc, char** argv)
{
  const int n_cases = argc > 1 ? atoi(argv[1]) : 400000;
  const char* const only = argc > 2 ? argv[2] : NULL;
  Arena arena;
  arena_init(&arena, NULL);
  Row rows[2] = {{phantom_line(&arena), 3, n_cases, 0.0}, {pole_line(&arena), 8, n_cases / 8, 0.0}};
  if (n_cases < 8 || !rows[0].chain || !rows[1].chain) {
    return 1;
  }
  double lamp_rate = 0.0;
  for (int i = 0; i < 2; ++i) {
    static const char* const ends[2] = {"", "_8"};
    char name[3][20];
    snprintf(name[0], sizeof(name[0]), "lamps%s", ends[i]);
    snprintf(name[1], sizeof(name[1]), "meters%s", ends[i]);
    snprintf(name[2], sizeof(name[2]), "ac%s", ends[i]);
    if (!only || strcmp(only, name[0]) == 0) {
      double rounds;
      const double rate = lamps(&rows[i], &rounds);
      lamp_rate = i == 0 ? rate : lamp_rate;
      printf("figure: circuit_%s %.0f cases/s\n", name[0], rate);
      printf("figure: circuit_lamp_rounds%s %.2f rounds\n", ends[i], rounds);
    }
    if (!only || strcmp(only, name[1]) == 0) {
      printf("figure: circuit_%s %.0f checks/s\n", name[1], meters(&rows[i]));
    }
    if (!only || strcmp(only, name[2]) == 0) {
      printf("figure: circuit_%s %.0f frequencies/s\n", name[2], signals(&rows[i]));
    }
  }
#ifdef HAVE_NGSPICE
  if (!only) {
    const double their_rate = ngspice_rate();
    printf("figure: circuit_ngspice_alter %.0f cases/s\n", their_rate);
    printf("figure: circuit_lamps_over_ngspice %.0f ratio\n", lamp_rate / their_rate);
  }
#endif
  arena_deinit(&arena);
  printf("check %.17g %.17g\n", rows[0].sum, rows[1].sum);
  return 0;
}
