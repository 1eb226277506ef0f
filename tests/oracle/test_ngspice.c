// SPDX-License-Identifier: GPL-3.0-or-later

/*
  ngspice as oracle. Random 3-contact lines (2 to 8 sections, transformer, side branch, 0 to 2
  faults, a tester of 0 to 6 lamps, batteries, a meter), every joint tied to earth by 1 Gohm in both
  programs; what the port code says of them against what ngspice says of a deck written part by part
  without the port code (oracle/net.h).

  One process a case, held to 5 s of time. Lamp currents are ngspice's own diode currents. A case it
  refuses is counted. Where the two differ by more than the tolerance, the dense long double solve
  decides: at direct current by putting our lamp currents in and asking whether each lamp's own law
  gives them back.

  200 cases; 2,000 with LINEWALK_LONG=1. Says "N passed, N failed"; without ngspice, skipped.
*/

#include "base/rng.h"
#include "oracle/net.h"

#include <unistd.h>

// Volts are held to 1e-4 of themselves, counting none smaller than 1 uV.
#define AC_FLOOR_V 1e-10

/// Written into every deck: gmin [S], reltol, abstol [A], vntol [V].
static const char* const deck_options =
  ".options gmin=1e-15 reltol=1e-7 abstol=1e-15 vntol=1e-10 itl1=1000 temp=27 tnom=27\n";

/// kT/q at 27 C with the constants ngspice carries.
static const double deck_thermal_v = 1.38064852e-23 * 300.15 / 1.6021766208e-19;

enum { ELEMENTS = 16, EDITS = 128 };

typedef struct {
  int n_elements;
  int n_edits;
  ChainElement elements[ELEMENTS];
  ChainEdit edits[EDITS];
  int joint;
  ChainSide side;
  LampTester tester;
  double meter_ohm; ///< Between contacts 2 and 3
} Case;

typedef struct {
  int n_cases, n_refused, n_lamps, n_volts, n_decided, n_flips, n_failed;
  double worst_lamp, worst_volt;
} Tally;

static ChainLeaf
random_source(Rng* rng)
{
  ChainLeaf s = chain_leaf_nothing();
  s.drive = (ChainDrive)rng_below(rng, 5);
  s.emf_v = 1.0;
  s.source_ohm = rng_log(rng, 20.0, 2000.0);
  s.leg_f = rng_log(rng, 1e-12, 1e-9);
  if (rng_below(rng, 3) == 0) {
    s.supply_ohm = rng_log(rng, 1000.0, 20000.0);
    s.load_ohm = s.supply_ohm > 5000.0 ? 0.0 : 3.0 * s.supply_ohm;
  }
  if (rng_below(rng, 4) == 0) {
    s.sender_v[0] = 12.0;
    s.sender_v[1] = 6.0;
    s.sender_ohm[0] = s.sender_ohm[1] = rng_log(rng, 50.0, 1000.0);
  }
  return s;
}

static ChainLeaf
random_desk(Rng* rng)
{
  ChainLeaf d = chain_leaf_nothing();
  if (rng_below(rng, 4) > 0) {
    d.feed_v = rng_below(rng, 4) > 0 ? 48.0 : 0.0;
    d.feed_ohm[0] = 6800.0;
    d.feed_ohm[1] = 6800.0 * (1.0 + 0.01 * (rng_unit(rng) - 0.5));
  }
  d.input_ohm = rng_below(rng, 2) > 0 ? 2000.0 : (double)INFINITY;
  d.leg_earth_ohm = isinf(d.input_ohm) ? 1000.0 : (double)INFINITY;
  d.input_blocked = rng_below(rng, 4) > 0;
  d.leg_earth_f[0] = d.leg_earth_f[1] = rng_log(rng, 1e-11, 1e-9);
  d.earth_ohm = rng_below(rng, 8) > 0 ? 0.01 : (double)INFINITY;
  return d;
}

static Section
random_section(Rng* rng)
{
  Section s = {.n = 3};
  for (int k = 0; k < 3; ++k) {
    s.series_ohm[k] = rng_log(rng, 0.01, 30.0);
    s.pair_f[k] = rng_log(rng, 1e-12, 2e-8);
    s.earth_f[k] = rng_log(rng, 1e-13, 1e-9);
    s.earth_siemens[k] = 2e-9;
  }
  return s;
}

static ChainTransformer
random_transformer(Rng* rng)
{
  return (ChainTransformer){.primary_ohm = rng_log(rng, 20.0, 500.0),
                            .secondary_ohm = rng_log(rng, 20.0, 500.0),
                            .primary_h = rng_log(rng, 0.5, 50.0),
                            .ratio = rng_below(rng, 2) > 0 ? 1.0 : rng_log(rng, 0.1, 10.0),
                            .block_f = rng_below(rng, 2) > 0 ? 47e-6 : (double)INFINITY,
                            .lift_ohm = rng_below(rng, 2) > 0 ? (double)INFINITY : 0.01,
                            .winding_f = rng_log(rng, 1e-11, 5e-10),
                            .insulation_ohm = 1e10};
}

static ChainEdit
random_fault(Rng* rng, int element)
{
  ChainEdit f = {.element = element, .end = (ChainEnd)rng_below(rng, 2), .a = rng_below(rng, 3)};
  f.b = (f.a + 1 + rng_below(rng, 2)) % 3;
  switch (rng_below(rng, 5)) {
    case 0:
      f.ohm = (double)INFINITY;
      break;
    case 1:
      f.ohm = rng_log(rng, 1.0, 1e9);
      break;
    case 2:
      f.change = CHAIN_SHUNT;
      f.ohm = rng_log(rng, 1e-3, 10.0);
      break;
    case 3:
      f.change = rng_below(rng, 2) > 0 ? CHAIN_SHUNT : CHAIN_LEAK;
      f.ohm = rng_log(rng, 10.0, 1e9);
      break;
    default:
      f.change = CHAIN_PERMUTE;
      for (int k = 0; k < 3; ++k) {
        f.map[k] = (uint8_t)(k == f.a ? f.b : k == f.b ? f.a : k);
      }
  }
  return f;
}

static void
tie(Case* c, int element, ChainEnd end)
{
  for (int k = 0; k < 3; ++k) {
    c->edits[c->n_edits++] =
      (ChainEdit){.element = element, .end = end, .change = CHAIN_LEAK, .a = k, .ohm = 1e9};
  }
}

static void
random_case(Rng* rng, Case* c)
{
  memset(c, 0, sizeof(*c));
  const int n_sections = 2 + rng_below(rng, 7);
  const int transformer = rng_below(rng, 4) == 0 ? 1 + rng_below(rng, n_sections) : -1;
  int n = 0;
  c->elements[n++] =
    (ChainElement){.kind = CHAIN_LEAF, .near = -1, .far = 0, .as.leaf = random_source(rng)};
  for (int i = 1; i <= n_sections; ++i, ++n) {
    c->elements[n] = (ChainElement){.kind = CHAIN_SECTION, .near = i - 1, .far = i};
    if (i == transformer) {
      c->elements[n].kind = CHAIN_TRANSFORMER;
      c->elements[n].as.transformer = random_transformer(rng);
    } else {
      c->elements[n].as.section = random_section(rng);
    }
  }
  c->elements[n++] =
    (ChainElement){.kind = CHAIN_LEAF, .near = n_sections, .far = -1, .as.leaf = random_desk(rng)};
  if (rng_below(rng, 3) == 0) {
    const int at = rng_below(rng, n_sections);
    c->elements[n++] = (ChainElement){
      .kind = CHAIN_SECTION, .near = at, .far = n_sections + 1, .as.section = random_section(rng)};
    c->elements[n++] = (ChainElement){
      .kind = CHAIN_LEAF, .near = n_sections + 1, .far = -1, .as.leaf = random_desk(rng)};
  }
  c->n_elements = n;
  // Ties lie outside the faults at either end of an element
  for (int i = 1; i < n; ++i) {
    tie(c, i, CHAIN_NEAR);
  }
  for (int n_faults = rng_below(rng, 3); n_faults > 0; --n_faults) {
    c->edits[c->n_edits++] = random_fault(rng, 1 + rng_below(rng, n_sections));
  }
  for (int i = 0; i < n; ++i) {
    if (c->elements[i].far >= 0) {
      tie(c, i, CHAIN_FAR);
    }
  }
  c->joint = rng_below(rng, n_sections + 1);
  c->side = (ChainSide)rng_below(rng, 3);
  c->meter_ohm = rng_below(rng, 2) > 0 ? 1e7 : (double)INFINITY;
  c->tester.n_lamps = rng_below(rng, LAMP_MAX + 1);
  for (int i = 0; i < c->tester.n_lamps; ++i) {
    const int a = rng_below(rng, 3);
    c->tester.lamps[i] =
      (Lamp){a, (a + 1 + rng_below(rng, 2)) % 3, rng_log(rng, 47.0, 1e4), lamp_green(), lamp_red()};
  }
  c->tester.n_batteries = rng_below(rng, 3) == 0;
  const int a = rng_below(rng, 3);
  c->tester.batteries[0] = (LampBattery){a, (a + 1) % 3, 9.0, 1000.0};
  lamp_ready(&c->tester, 3);
}

/// Run a deck; numbers after the marks "r1 = " and so on land in values. Returns how many came.
static int
run_deck(const Net* net, const Case* c, const int at[3], const double hz[], double values[])
{
  char path[] = "/tmp/linewalk-oracle-XXXXXX";
  const int fd = mkstemp(path);
  FILE* const deck = fd < 0 ? NULL : fdopen(fd, "w");
  if (!deck) {
    return 0;
  }
  fprintf(deck, "line\n");
  net_print(net, deck);
  if (!net->ac) {
    for (int i = 0; i < c->tester.n_lamps; ++i) {
      const Lamp* const l = &c->tester.lamps[i];
      fprintf(deck, "RL%d %d m%d %.17g\nDG%d m%d %d green\nDR%d %d m%d red\n", i, at[l->a], i,
              l->ohm, i, i, at[l->b], i, at[l->b], i);
    }
    const LampDiode d[] = {lamp_green(), lamp_red()};
    for (int i = 0; i < 2; ++i) {
      fprintf(deck, ".model %s D(IS=%.17g N=%.17g RS=%.17g)\n", i == 0 ? "green" : "red",
              d[i].saturation_a, d[i].slope_v / deck_thermal_v, d[i].series_ohm);
    }
  }
  fprintf(deck, "%s.control\nset numdgt=15\n", deck_options);
  int n_wanted = 0;
  if (net->ac) {
    for (int lane = 0; lane < PORT_LANES; ++lane) {
      fprintf(deck, "ac lin 1 %.17g %.17g\n", hz[lane], hz[lane]);
      for (int k = 0; k < 3; ++k, n_wanted += 2) {
        fprintf(deck, "let r%d = real(v(%d))\nlet r%d = imag(v(%d))\nprint r%d r%d\n", n_wanted,
                at[k], n_wanted + 1, at[k], n_wanted, n_wanted + 1);
      }
    }
  } else {
    fprintf(deck, "op\n");
    for (int k = 0; k < 3; ++k, ++n_wanted) {
      fprintf(deck, "let r%d = v(%d)\nprint r%d\n", n_wanted, at[k], n_wanted);
    }
    for (int i = 0; i < c->tester.n_lamps; ++i, ++n_wanted) {
      fprintf(deck, "let r%d = @dg%d[id] - @dr%d[id]\nprint r%d\n", n_wanted, i, i, n_wanted);
    }
  }
  fprintf(deck, "quit\n.endc\n.end\n");
  fclose(deck);
  char command[128];
  snprintf(command, sizeof(command), "timeout 5 ngspice -b %s 2>/dev/null </dev/null", path);
  FILE* const out = popen(command, "r");
  int n_got = 0;
  char text[256];
  while (out && fgets(text, sizeof(text), out)) {
    int index;
    double value;
    if (sscanf(text, "r%d = %lf", &index, &value) == 2 && index == n_got && index < n_wanted) {
      values[n_got++] = value;
    }
  }
  if (out) {
    pclose(out);
  }
  unlink(path);
  return n_got == n_wanted ? n_got : 0;
}

static void
put_tester(Net* net, const Case* c, const int at[3])
{
  net_add(net, NET_R, at[1], at[2], c->meter_ohm);
  for (int i = 0; i < c->tester.n_batteries && !net->ac; ++i) {
    const LampBattery* const b = &c->tester.batteries[i];
    net_add(net, NET_R, at[b->a], at[b->b], b->ohm);
    net_add(net, NET_I, at[b->a], at[b->b], b->emf_v / b->ohm);
  }
}

/// A lamp's current at some volts by halving an interval on v = i R + slope log(1 + i / I).
static double
lamp_law(const Lamp* l, double across_v)
{
  const LampDiode* const d = across_v < 0.0 ? &l->red : &l->green;
  double low = 0.0;
  double high = fabs(across_v) / (l->ohm + d->series_ohm);
  for (int i = 0; i < 200; ++i) {
    const double middle = 0.5 * (low + high);
    const double v =
      middle * (l->ohm + d->series_ohm) + d->slope_v * log1p(middle / d->saturation_a);
    *(v > fabs(across_v) ? &high : &low) = middle;
  }
  return across_v < 0.0 ? -low : low;
}

static bool
referee_dc(const Net* net, const Case* c, const int at[3], const double lamp_a[])
{
  Net with = *net;
  for (int i = 0; i < c->tester.n_lamps; ++i) {
    const Lamp* const l = &c->tester.lamps[i];
    net_add(&with, NET_I, at[l->b], at[l->a], lamp_a[i]);
  }
  long double complex volts[NET_NODES];
  if (!net_solve(&with, 0.0, volts)) {
    return false;
  }
  for (int i = 0; i < c->tester.n_lamps; ++i) {
    const Lamp* const l = &c->tester.lamps[i];
    const double across_v = (double)creall(volts[at[l->a]] - volts[at[l->b]]);
    if (fabs(lamp_law(l, across_v) - lamp_a[i]) > 1e-3 * fabs(lamp_a[i]) + 1e-9) {
      return false;
    }
  }
  return true;
}

static void
compare_dc(int number, const Case* c, const Chain* chain, Tally* t)
{
  Net net = {0};
  int at[3];
  net_line(&net, c->elements, c->n_elements, c->joint, c->side, c->edits, c->n_edits, at);
  put_tester(&net, c, at);
  double theirs[3 + LAMP_MAX];
  double lamp_a[LAMP_MAX];
  Port port;
  chain_look(chain, c->joint, c->side, c->edits, c->n_edits, &port);
  port_shunt(&port, 1, 2, c->meter_ohm);
  if (lamp_solve(&c->tester, &port, lamp_a, NULL, NULL) != STATUS_OK) {
    printf("case %d: ours did not settle\n", number);
    ++t->n_failed;
    return;
  }
  if (run_deck(&net, c, at, NULL, theirs) == 0) {
    ++t->n_refused;
    t->n_failed += !referee_dc(&net, c, at, lamp_a);
    return;
  }
  bool apart = false;
  for (int i = 0; i < c->tester.n_lamps; ++i) {
    const double want_a = theirs[3 + i];
    const double off_a = fabs(lamp_a[i] - want_a);
    t->worst_lamp = fmax(t->worst_lamp, off_a / (fabs(want_a) + 1e-6));
    apart |= off_a > 1e-3 * fabs(want_a) + 1e-9;
    t->n_flips += (fabs(lamp_a[i]) >= LAMP_LIT_A) != (fabs(want_a) >= LAMP_LIT_A);
    ++t->n_lamps;
  }
  if (apart) {
    const bool ours = referee_dc(&net, c, at, lamp_a);
    printf("case %d: lamps differ, the dense solve says %s\n", number, ours ? "ours" : "ngspice");
    ++t->n_decided;
    t->n_failed += !ours;
  }
}

static void
compare_ac(int number, const Case* c, const Chain* chain, const PortTones* tones, Tally* t)
{
  Net net = {.ac = true};
  int at[3];
  net_line(&net, c->elements, c->n_elements, c->joint, c->side, c->edits, c->n_edits, at);
  put_tester(&net, c, at);
  PortAc port;
  PortNumber ours[3];
  chain_look_ac(chain, c->joint, c->side, c->edits, c->n_edits, &port);
  PortNumber meter = {{0}, {0}};
  for (int lane = 0; lane < PORT_LANES; ++lane) {
    meter.re[lane] = 1.0 / c->meter_ohm;
  }
  port_ac_shunt(&port, 1, 2, &meter);
  port_ac_solve(&port, ours);
  double theirs[6 * PORT_LANES];
  const bool refused = run_deck(&net, c, at, tones->hz, theirs) == 0;
  t->n_refused += refused;
  for (int lane = 0; lane < PORT_LANES; ++lane) {
    long double complex exact[NET_NODES];
    bool solved = false;
    for (int k = 0; k < 3; ++k) {
      const double complex mine = CMPLX(ours[k].re[lane], ours[k].im[lane]);
      double complex want =
        refused ? (double)NAN : CMPLX(theirs[6 * lane + 2 * k], theirs[6 * lane + 2 * k + 1]);
      ++t->n_volts;
      if (cabs(mine - want) <= 1e-4 * cabs(want) + AC_FLOOR_V) {
        t->worst_volt = fmax(t->worst_volt, cabs(mine - want) / (cabs(want) + 1e4 * AC_FLOOR_V));
        continue;
      }
      if (!solved && !net_solve(&net, tones->hz[lane], exact)) {
        ++t->n_failed;
        return;
      }
      solved = true;
      want = (double complex)exact[at[k]];
      const bool right = cabs(mine - want) <= 1e-4 * cabs(want) + AC_FLOOR_V;
      t->n_decided += !refused;
      t->n_failed += !right;
      if (!refused || !right) {
        printf(
          "case %d: %g Hz, contact %d differs, the dense solve says %s (%.3g V off of %.3g V)\n",
          number, tones->hz[lane], k + 1, right ? "ours" : "not ours", cabs(mine - want),
          cabs(want));
      }
    }
  }
}

int
main(void)
{
  if (system("command -v ngspice >/dev/null 2>&1") != 0) {
    printf("ngspice is not here: skipped\n1 passed, 0 failed\n");
    return 0;
  }
  const char* const longer = getenv("LINEWALK_LONG");
  const int n_cases = longer && longer[0] == '1' ? 2000 : 200;
  const PortTones tones = {.hz = {50.0, 100.0, 1000.0, 10000.0}, .emf_v = {1, 1, 1, 1}};
  Rng rng;
  rng_init(&rng, 2026);
  Tally dc = {0};
  Tally ac = {0};
  for (int i = 0; i < n_cases; ++i) {
    Case c;
    random_case(&rng, &c);
    Arena arena;
    arena_init(&arena, NULL);
    const Chain* chain = NULL;
    if (chain_build(&arena, 3, c.elements, c.n_elements, &tones, &chain) != STATUS_OK) {
      printf("case %d cannot be built\n1 passed, 1 failed\n", i);
      return 1;
    }
    compare_dc(i, &c, chain, &dc);
    compare_ac(i, &c, chain, &tones, &ac);
    arena_deinit(&arena);
  }
  printf("seed 2026, %d lines; deck: %s", n_cases, deck_options);
  printf("figure: oracle_lamp_currents %d compared\n", dc.n_lamps);
  printf("figure: oracle_lamps_lit_dark_differ %d lamps\n", dc.n_flips);
  printf("figure: oracle_lamp_worst %.2g relative\n", dc.worst_lamp);
  printf("figure: oracle_ac_volts %d compared\n", ac.n_volts);
  printf("figure: oracle_ac_volts_beyond_1e-4 %d volts\n", ac.n_failed);
  printf("direct: %d lamps, %d lit/dark differ, worst %.2g, %d decided, %d refused, %d failed\n",
         dc.n_lamps, dc.n_flips, dc.worst_lamp, dc.n_decided, dc.n_refused, dc.n_failed);
  printf("alternating: %d volts, worst %.2g, %d decided, %d refused, %d failed\n", ac.n_volts,
         ac.worst_volt, ac.n_decided, ac.n_refused, ac.n_failed);
  const bool too_many = dc.n_refused > n_cases / 4 || ac.n_refused > n_cases / 4;
  const int n_bad = dc.n_flips + dc.n_failed + ac.n_failed + too_many;
  printf("%d passed, %d failed\n", 2 * n_cases - n_bad, n_bad);
  return n_bad != 0;
}
