// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  A line looked at by the circuit room and by ngspice, and what they say compared.

      AgainstTally dc = {0}, ac = {0};
      against_line(number, chain, faults, n_faults, joint, CHAIN_TO_DESK, &tester, &dc, &ac);

  takes any built line (a template's chain, say), ties every joint to earth by 1 Gohm a contact in
  both programs, because ngspice cannot do without, and compares lamps, direct volts (of a look
  without lamps) and, without the tester, alternating volts. The deck is written part by part from
  the chain's elements without any port code (oracle/net.h). The room stands at 0 V in both.

  One process a look, held to 5 s of time. Lamp currents are ngspice's own diode currents. A look it
  refuses is counted. Where the two differ by more than the tolerance, the dense long double solve
  decides: at direct current by putting our lamp currents in and asking whether each lamp's own law
  gives them back.
*/

#include "oracle/net.h"

#include <unistd.h>

// Volts are held to 1e-4 of themselves, counting none smaller than 1 uV; lamps to 1e-3 and 1 nA.
#define AGAINST_FLOOR_V 1e-10

/// Written into every deck: gmin [S], reltol, abstol [A], vntol [V].
static const char* const against_options =
  ".options gmin=1e-15 reltol=1e-7 abstol=1e-15 vntol=1e-10 itl1=1000 temp=27 tnom=27\n";

/// kT/q at 27 C with the constants ngspice carries.
static const double against_thermal_v = 1.38064852e-23 * 300.15 / 1.6021766208e-19;

enum { AGAINST_EDITS = 700 };

/// What was compared, and how it came out; n_failed counts what neither ngspice nor the dense solve
/// agrees with.
typedef struct {
  int n_looks, n_refused, n_lamps, n_volts, n_decided, n_flips, n_failed;
  double worst_lamp, worst_volt;
} AgainstTally;

/// A look as both programs get it.
typedef struct {
  int number; ///< What to call it when it differs
  int n;      ///< Contacts
  const ChainElement* elements;
  int n_elements;
  const ChainEdit* edits; ///< Ties and faults
  int n_edits;
  int joint;
  ChainSide side;
  const LampTester* tester;
} AgainstLook;

/// Run a deck; numbers after the marks "r1 = " and so on land in values. Returns how many came.
static inline int
against_run(const Net* net, const AgainstLook* c, const int at[], const double hz[],
            double values[])
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
    for (int i = 0; i < c->tester->n_lamps; ++i) {
      const Lamp* const l = &c->tester->lamps[i];
      fprintf(deck, "RL%d %d m%d %.17g\nDG%d m%d %d green%d\nDR%d %d m%d red%d\n", i, at[l->a], i,
              l->ohm, i, i, at[l->b], i, i, at[l->b], i, i);
      const LampDiode d[] = {l->green, l->red};
      for (int k = 0; k < 2; ++k) {
        fprintf(deck, ".model %s%d D(IS=%.17g N=%.17g RS=%.17g)\n", k == 0 ? "green" : "red", i,
                d[k].saturation_a, d[k].slope_v / against_thermal_v, d[k].series_ohm);
      }
    }
  }
  fprintf(deck, "%s.control\nset numdgt=15\n", against_options);
  int n_wanted = 0;
  if (net->ac) {
    for (int lane = 0; lane < PORT_LANES; ++lane) {
      fprintf(deck, "ac lin 1 %.17g %.17g\n", hz[lane], hz[lane]);
      for (int k = 0; k < c->n; ++k, n_wanted += 2) {
        fprintf(deck, "let r%d = real(v(%d))\nlet r%d = imag(v(%d))\nprint r%d r%d\n", n_wanted,
                at[k], n_wanted + 1, at[k], n_wanted, n_wanted + 1);
      }
    }
  } else {
    fprintf(deck, "op\n");
    for (int k = 0; k < c->n; ++k, ++n_wanted) {
      fprintf(deck, "let r%d = v(%d)\nprint r%d\n", n_wanted, at[k], n_wanted);
    }
    for (int i = 0; i < c->tester->n_lamps; ++i, ++n_wanted) {
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

static inline void
against_put_batteries(Net* net, const AgainstLook* c, const int at[])
{
  for (int i = 0; i < c->tester->n_batteries; ++i) {
    const LampBattery* const b = &c->tester->batteries[i];
    const int to = b->b < 0 ? 0 : at[b->b];
    net_add(net, NET_R, at[b->a], to, b->ohm);
    net_add(net, NET_I, at[b->a], to, b->emf_v / b->ohm);
  }
}

/// A lamp's current at some volts by halving an interval on v = i R + slope log(1 + i / I).
static inline double
against_lamp_law(const Lamp* l, double across_v)
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

static inline bool
against_referee(const Net* net, const AgainstLook* c, const int at[], const double lamp_a[])
{
  Net with = *net;
  for (int i = 0; i < c->tester->n_lamps; ++i) {
    const Lamp* const l = &c->tester->lamps[i];
    net_add(&with, NET_I, at[l->b], at[l->a], lamp_a[i]);
  }
  long double complex volts[NET_NODES];
  if (!net_solve(&with, 0.0, volts)) {
    return false;
  }
  for (int i = 0; i < c->tester->n_lamps; ++i) {
    const Lamp* const l = &c->tester->lamps[i];
    const double across_v = (double)creall(volts[at[l->a]] - volts[at[l->b]]);
    if (fabs(against_lamp_law(l, across_v) - lamp_a[i]) > 1e-3 * fabs(lamp_a[i]) + 1e-9) {
      return false;
    }
  }
  return true;
}

static inline void
against_direct(const AgainstLook* c, const Chain* chain, AgainstTally* t)
{
  Net net = {.n = c->n};
  int at[PORT_MAX];
  net_line(&net, c->elements, c->n_elements, c->joint, c->side, c->edits, c->n_edits, at);
  against_put_batteries(&net, c, at);
  double theirs[PORT_MAX + LAMP_MAX];
  double lamp_a[LAMP_MAX];
  Port port;
  chain_look(chain, c->joint, c->side, c->edits, c->n_edits, &port);
  double ours_v[PORT_MAX];
  ++t->n_looks;
  if (lamp_solve(c->tester, &port, lamp_a, ours_v, NULL) != STATUS_OK) {
    printf("look %d: ours did not settle\n", c->number);
    ++t->n_failed;
    return;
  }
  if (against_run(&net, c, at, NULL, theirs) == 0) {
    ++t->n_refused;
    t->n_failed += !against_referee(&net, c, at, lamp_a);
    return;
  }
  for (int k = 0; k < c->n && c->tester->n_lamps == 0; ++k) {
    ++t->n_volts;
    const double off_v = fabs(ours_v[k] - theirs[k]);
    if (off_v > 1e-4 * fabs(theirs[k]) + AGAINST_FLOOR_V) {
      long double complex exact[NET_NODES];
      const bool right = net_solve(&net, 0.0, exact) &&
                         fabs(ours_v[k] - (double)creall(exact[at[k]])) <=
                           1e-4 * fabs((double)creall(exact[at[k]])) + AGAINST_FLOOR_V;
      ++t->n_decided;
      t->n_failed += !right;
      printf(
        "look %d: direct, contact %d differs, the dense solve says %s (%.3g V off of %.3g V)\n",
        c->number, k + 1, right ? "ours" : "not ours", off_v, fabs(theirs[k]));
    } else {
      t->worst_volt = fmax(t->worst_volt, off_v / (fabs(theirs[k]) + 1e4 * AGAINST_FLOOR_V));
    }
  }
  bool apart = false;
  for (int i = 0; i < c->tester->n_lamps; ++i) {
    const double want_a = theirs[c->n + i];
    const double off_a = fabs(lamp_a[i] - want_a);
    t->worst_lamp = fmax(t->worst_lamp, off_a / (fabs(want_a) + 1e-6));
    apart |= off_a > 1e-3 * fabs(want_a) + 1e-9;
    t->n_flips += (fabs(lamp_a[i]) >= LAMP_LIT_A) != (fabs(want_a) >= LAMP_LIT_A);
    ++t->n_lamps;
  }
  if (apart) {
    const bool ours = against_referee(&net, c, at, lamp_a);
    printf("look %d: lamps differ, the dense solve says %s\n", c->number,
           ours ? "ours" : "ngspice");
    ++t->n_decided;
    t->n_failed += !ours;
  }
}

static inline void
against_alternating(const AgainstLook* c, const Chain* chain, const PortTones* tones,
                    AgainstTally* t)
{
  Net net = {.ac = true, .n = c->n};
  int at[PORT_MAX];
  net_line(&net, c->elements, c->n_elements, c->joint, c->side, c->edits, c->n_edits, at);
  PortAc port;
  PortNumber ours[PORT_MAX];
  chain_look_ac(chain, c->joint, c->side, c->edits, c->n_edits, &port);
  port_ac_solve(&port, ours);
  double theirs[2 * PORT_MAX * PORT_LANES];
  ++t->n_looks;
  const bool refused = against_run(&net, c, at, tones->hz, theirs) == 0;
  t->n_refused += refused;
  for (int lane = 0; lane < PORT_LANES; ++lane) {
    long double complex exact[NET_NODES];
    bool solved = false;
    for (int k = 0; k < c->n; ++k) {
      const double complex mine = ours[k].re[lane] + ours[k].im[lane] * (double complex)I;
      double complex want = refused ? (double)NAN
                                    : theirs[2 * (c->n * lane + k)] +
                                        theirs[2 * (c->n * lane + k) + 1] * (double complex)I;
      ++t->n_volts;
      if (cabs(mine - want) <= 1e-4 * cabs(want) + AGAINST_FLOOR_V) {
        t->worst_volt =
          fmax(t->worst_volt, cabs(mine - want) / (cabs(want) + 1e4 * AGAINST_FLOOR_V));
        continue;
      }
      if (!solved && !net_solve(&net, tones->hz[lane], exact)) {
        ++t->n_failed;
        return;
      }
      solved = true;
      want = (double complex)exact[at[k]];
      const bool right = cabs(mine - want) <= 1e-4 * cabs(want) + AGAINST_FLOOR_V;
      t->n_decided += !refused;
      t->n_failed += !right;
      if (!refused || !right) {
        printf(
          "look %d: %g Hz, contact %d differs, the dense solve says %s (%.3g V off of %.3g V)\n",
          c->number, tones->hz[lane], k + 1, right ? "ours" : "not ours", cabs(mine - want),
          cabs(want));
      }
    }
  }
}

/// Compare one look at a built line; see the head of this file. `number` names it in what is
/// printed. False, and counted as failed, when the line cannot be built again.
static inline bool
against_line(int number, const Chain* chain, const PortTones* tones, const ChainEdit* faults,
             int n_faults, int joint, ChainSide side, const LampTester* tester, AgainstTally* dc,
             AgainstTally* ac)
{
  static ChainEdit edits[AGAINST_EDITS]; // Too many for a stack under the sanitizers
  AgainstLook look = {.number = number,
                      .n = chain_contacts(chain),
                      .edits = edits,
                      .joint = joint,
                      .side = side,
                      .tester = tester};
  look.elements = chain_elements(chain, &look.n_elements);
  // Ties lie outside the faults at either end of an element
  for (int end = CHAIN_NEAR; end <= CHAIN_FAR; ++end) {
    for (int i = 0; i < look.n_elements; ++i) {
      for (int k = 0; k < look.n && (end == CHAIN_NEAR ? i > 0 : look.elements[i].far >= 0); ++k) {
        edits[look.n_edits++] =
          (ChainEdit){.element = i, .end = (ChainEnd)end, .change = CHAIN_LEAK, .a = k, .ohm = 1e9};
      }
    }
    for (int i = 0; i < n_faults && end == CHAIN_NEAR; ++i) {
      edits[look.n_edits++] = faults[i];
    }
  }
  if (look.n_edits > AGAINST_EDITS - 16) {
    ++dc->n_failed;
    return false;
  }
  Arena arena;
  arena_init(&arena, NULL);
  const Chain* built = NULL;
  const bool is_built =
    chain_build(&arena, look.n, look.elements, look.n_elements, tones, &built) == STATUS_OK;
  if (is_built) {
    against_direct(&look, built, dc);
    against_alternating(&look, built, tones, ac);
  } else {
    ++dc->n_failed;
  }
  arena_deinit(&arena);
  return is_built;
}
