// SPDX-License-Identifier: GPL-3.0-or-later

/*
  How fast the circuit room answers: a 6-section phantom line, 20 faults at either end of every
  section, looked at from joint 0. Distinct cases each; with libngspice at build time, its alter
  loop on a line of the same size beside them in the same run, and the ratio.
*/

#include "circuit/lamp.h"
#include "published/stage_line.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#ifdef HAVE_NGSPICE
#include <ngspice/sharedspice.h>
#endif

enum { SECTIONS = 6, FAULTS = 20 };

static double
now_s(void)
{
  struct timespec t;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static const Chain*
six_sections(Arena* arena)
{
  ChainElement e[SECTIONS + 2];
  e[0] = (ChainElement){
    .kind = CHAIN_LEAF, .near = -1, .far = 0, .as.leaf = line_source(CHAIN_DRIVE_FLOATING, 200.0)};
  for (int i = 1; i <= SECTIONS; ++i) {
    e[i] = (ChainElement){.kind = CHAIN_SECTION,
                          .near = i - 1,
                          .far = i,
                          .as.section = line_cable(5.0 + 3.0 * i, 0.03)};
  }
  e[SECTIONS + 1] =
    (ChainElement){.kind = CHAIN_LEAF, .near = SECTIONS, .far = -1, .as.leaf = line_desk()};
  const Chain* chain = NULL;
  return chain_build(arena, 3, e, SECTIONS + 2, NULL, &chain) == STATUS_OK ? chain : NULL;
}

/// The k-th of endless distinct faults.
static ChainEdit
fault(int k)
{
  const int kind = k % FAULTS;
  ChainEdit f = {.element = 1 + k / FAULTS % SECTIONS,
                 .end = (ChainEnd)(k / FAULTS / SECTIONS % 2),
                 .a = kind % 3,
                 .b = (kind + 1) % 3,
                 .map = {0, 2, 1}};
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
  const double start_s = now_s();
  for (int i = 0; i < RUNS; ++i) {
    snprintf(command, sizeof(command), "alter r%d%d = %g", i % SECTIONS, 1 + i % 2, 1.0 + 0.37 * i);
    ngSpice_Command(command);
    snprintf(command, sizeof(command), "op");
    ngSpice_Command(command);
    snprintf(command, sizeof(command), "destroy all");
    ngSpice_Command(command);
  }
  return RUNS / (now_s() - start_s);
}
#endif

int
main(int argc, char** argv)
{
  const int n_cases = argc > 1 ? atoi(argv[1]) : 400000;
  Arena arena;
  arena_init(&arena, NULL);
  const Chain* const chain = six_sections(&arena);
  if (!chain) {
    return 1;
  }
  LampTester tester = {.n_lamps = 3,
                       .lamps = {{1, 0, 1500.0, lamp_green(), lamp_red()},
                                 {2, 0, 220.0, lamp_green(), lamp_red()},
                                 {1, 2, 2200.0, lamp_green(), lamp_red()}}};
  lamp_ready(&tester, 3);
  double check = 0.0;
  long n_rounds = 0;
  double start_s = now_s();
  for (int k = 0; k < n_cases; ++k) {
    const ChainEdit edit = fault(k);
    Port port;
    double lamp_a[3];
    int rounds = 0;
    chain_look(chain, edit.element - 1, CHAIN_TO_DESK, &edit, 1, &port);
    if (lamp_solve(&tester, &port, lamp_a, NULL, &rounds) == STATUS_OK) {
      check += lamp_a[0];
    }
    n_rounds += rounds;
  }
  const double lamp_rate = n_cases / (now_s() - start_s);
  printf("figure: circuit_lamps %.0f cases/s\n", lamp_rate);
  printf("figure: circuit_lamp_rounds %.2f rounds\n", (double)n_rounds / n_cases);
  // Meter checks: six meters at a joint share the look; each a resistance across a pair and a solve
  start_s = now_s();
  for (int k = 0; k < n_cases; ++k) {
    const ChainEdit edit = fault(k);
    Port port;
    chain_look(chain, edit.element - 1, CHAIN_TO_DESK, &edit, 1, &port);
    for (int meter = 0; meter < 6; ++meter) {
      Port with = port;
      double v[PORT_MAX];
      port_source(&with, meter % 3, (meter + 1) % 3, meter < 3 ? 0.0 : 9.0, meter < 3 ? 1e7 : 1e3);
      port_solve(&with, v);
      check += v[1] - v[2];
    }
  }
  printf("figure: circuit_meters %.0f checks/s\n", 6.0 * n_cases / (now_s() - start_s));
  start_s = now_s();
  for (int k = 0; k < n_cases; ++k) {
    const ChainEdit edit = fault(k);
    PortAc port;
    PortNumber v[PORT_MAX];
    chain_look_ac(chain, edit.element - 1, CHAIN_BOTH, &edit, 1, &port);
    port_ac_solve(&port, v);
    check += v[1].re[0];
  }
  printf("figure: circuit_ac %.0f frequencies/s\n", PORT_LANES * n_cases / (now_s() - start_s));
#ifdef HAVE_NGSPICE
  const double their_rate = ngspice_rate();
  printf("figure: circuit_ngspice_alter %.0f cases/s\n", their_rate);
  printf("figure: circuit_lamps_over_ngspice %.0f ratio\n", lamp_rate / their_rate);
#endif
  arena_deinit(&arena);
  printf("check %.17g\n", check);
  return 0;
}
