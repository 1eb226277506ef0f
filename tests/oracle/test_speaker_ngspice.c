// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Random loudspeaker networks, as speaker/network works them out, against ngspice: drivers (coil,
  inductance, the resonance of its cone as R, L and C), passive boxes (capacitor, coil across the
  high driver, pad), cable, links, boxes in parallel, or any tree of such parts. Each at 61
  frequencies from 20 Hz to 20 kHz: size to 0.1 %, phase to 0.1 degree, and the watts of one of its
  resistors to 0.2 %. Twenty in a deck, each with its own source of 1 V, so that what flows is the
  admittance.

  20 networks; 500 with LINEWALK_LONG=1. Says "N passed, N failed"; without ngspice, skipped.
*/

#include "base/rng.h"
#include "speaker/network.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { POINTS = 61, FEW = 20, MANY = 500 };

static int
add(Network* n, NetworkKind kind, double value)
{
  return network_add(n, kind, value);
}

static int
join(Network* n, NetworkKind kind, int a, int b)
{
  return network_join(n, kind, a, b);
}

// Coil with its inductance, behind which the cone's resonance stands as R, L and C in parallel.
static int
driver(Network* n, Rng* rng, double ohm)
{
  const double hz = rng_log(rng, 30.0, 1500.0);
  const double farad = rng_log(rng, 5e-5, 1e-3);
  const double w = 2.0 * 3.14159265358979 * hz;
  const int coil = add(n, NETWORK_OHM, ohm);
  const int le = add(n, NETWORK_HENRY, rng_log(rng, 5e-5, 2e-3));
  const int both = join(n, NETWORK_SERIES, coil, le);
  const int r = add(n, NETWORK_OHM, rng_log(rng, 5.0, 80.0));
  const int l = add(n, NETWORK_HENRY, 1.0 / (w * w * farad));
  const int c = add(n, NETWORK_FARAD, farad);
  const int rl = join(n, NETWORK_PARALLEL, r, l);
  const int cone = join(n, NETWORK_PARALLEL, rl, c);
  return join(n, NETWORK_SERIES, both, cone);
}

static int
box(Network* n, Rng* rng)
{
  int low = driver(n, rng, rng_log(rng, 2.0, 12.0));
  if (rng_below(rng, 2)) {
    return low;
  }
  if (rng_below(rng, 2)) {
    const int coil = add(n, NETWORK_HENRY, rng_log(rng, 1e-4, 3e-3));
    const int copper = add(n, NETWORK_OHM, rng_log(rng, 0.05, 0.6));
    const int both = join(n, NETWORK_SERIES, coil, copper);
    low = join(n, NETWORK_SERIES, both, low);
  }
  int high = driver(n, rng, rng_log(rng, 3.0, 12.0));
  if (rng_below(rng, 2)) {
    const int across = add(n, NETWORK_HENRY, rng_log(rng, 1e-4, 2e-3));
    const int copper = add(n, NETWORK_OHM, rng_log(rng, 0.05, 0.6));
    const int both = join(n, NETWORK_SERIES, across, copper);
    high = join(n, NETWORK_PARALLEL, high, both);
  }
  const int c = add(n, NETWORK_FARAD, rng_log(rng, 1e-6, 1e-4));
  high = join(n, NETWORK_SERIES, c, high);
  return join(n, NETWORK_PARALLEL, low, high);
}

static int
wire(Network* n, Rng* rng, int behind)
{
  const int r = add(n, NETWORK_OHM, rng_log(rng, 0.01, 2.0));
  const int l = add(n, NETWORK_HENRY, rng_log(rng, 1e-7, 5e-5));
  const int both = join(n, NETWORK_SERIES, r, l);
  const int c = add(n, NETWORK_FARAD, rng_log(rng, 1e-10, 1e-8));
  const int across = join(n, NETWORK_PARALLEL, behind, c);
  return join(n, NETWORK_SERIES, both, across);
}

static void
random_network(Network* n, Rng* rng)
{
  n->n = 0;
  const int n_boxes = 1 + rng_below(rng, 4);
  int all = wire(n, rng, box(n, rng));
  for (int i = 1; i < n_boxes; ++i) {
    const int own = box(n, rng);
    all = join(n, NETWORK_PARALLEL, own, all);
    all = wire(n, rng, all);
  }
  if (rng_below(rng, 6) == 0) { // A short half way, or nearly one
    const int r = add(n, NETWORK_OHM, rng_log(rng, 1e-3, 1.0));
    all = join(n, NETWORK_PARALLEL, all, r);
    const int last = add(n, NETWORK_OHM, rng_log(rng, 0.01, 1.0));
    (void)join(n, NETWORK_SERIES, last, all);
  }
}

// The resistor of a network whose watts are compared, and its two nodes in the deck.
typedef struct {
  int at;
  char from[32], to[32];
} Watched;

static int
some_resistor(const Network* n, Rng* rng)
{
  int at = rng_below(rng, n->n);
  while (n->nodes[at].kind != NETWORK_OHM) { // Each has its cable's
    at = (at + 1) % n->n;
  }
  return at;
}

// The part between two nodes of the deck, parts of it first.
static void
emit(FILE* out, const Network* n, int at, int number, const char* from, const char* to, int* count,
     Watched* watched)
{
  if (at == watched->at) {
    (void)snprintf(watched->from, sizeof(watched->from), "%s", from);
    (void)snprintf(watched->to, sizeof(watched->to), "%s", to);
  }
  static const char letters[] = {'r', 'l', 'c'};
  const NetworkNode* const node = &n->nodes[at];
  if (node->kind <= NETWORK_FARAD) {
    (void)fprintf(out, "%c%d_%d %s %s %.17g\n", letters[node->kind], number, at, from, to,
                  node->value);
    return;
  }
  char middle[32];
  (void)snprintf(middle, sizeof(middle), "m%d_%d", number, (*count)++);
  const bool series = node->kind == NETWORK_SERIES;
  emit(out, n, node->a, number, from, series ? middle : to, count, watched);
  emit(out, n, node->b, number, series ? middle : from, to, count, watched);
}

static bool
write_deck(const char* deck, const char* data, const Network nets[], Watched watched[], int n_nets)
{
  FILE* const out = fopen(deck, "w");
  if (!out) {
    return false;
  }
  (void)fprintf(out, "loudspeaker networks\n");
  for (int i = 0; i < n_nets; ++i) {
    int count = 0;
    (void)fprintf(out, "v%d in%d 0 dc 0 ac 1\n", i, i);
    char from[32];
    (void)snprintf(from, sizeof(from), "in%d", i);
    emit(out, &nets[i], nets[i].n - 1, i, from, "0", &count, &watched[i]);
  }
  (void)fprintf(out, ".options gmin=1e-15 reltol=1e-7 abstol=1e-15\n.control\nset "
                     "wr_vecnames\nset numdgt=14\nac dec 20 20 20000\n");
  for (int i = 0; i < n_nets; ++i) {
    const bool earthed = !strcmp(watched[i].to, "0");
    (void)fprintf(out, "let w%d = v(%s)%s%s%s\n", i, watched[i].from, earthed ? "" : "-v(",
                  earthed ? "" : watched[i].to, earthed ? "" : ")");
  }
  (void)fprintf(out, "wrdata %s", data);
  for (int i = 0; i < n_nets; ++i) {
    (void)fprintf(out, " i(v%d) w%d", i, i);
  }
  (void)fprintf(out, "\nquit\n.endc\n.end\n");
  return fclose(out) == 0;
}

// One line a frequency: for each network frequency, real, imaginary.
static void
compare(FILE* in, const Network nets[], const Watched watched[], int n_nets, int* n_points,
        int* n_bad, double* worst_size, double* worst_deg, double* worst_watts)
{
  char head[256 * FEW];
  if (!fgets(head, sizeof(head), in)) {
    return;
  }
  for (int p = 0; p < POINTS; ++p) {
    for (int i = 0; i < n_nets; ++i) {
      double hz = 0.0, re = 0.0, im = 0.0;
      if (fscanf(in, "%lf %lf %lf", &hz, &re, &im) != 3) {
        return;
      }
      double across_re = 0.0, across_im = 0.0;
      if (fscanf(in, "%lf %lf %lf", &hz, &across_re, &across_im) != 3) {
        return;
      }
      double watts[NETWORK_MAX];
      network_watts(&nets[i], hz, 1.0, watts);
      const int at = watched[i].at;
      const double heat = (across_re * across_re + across_im * across_im) / nets[i].nodes[at].value;
      // Below a billionth of what is drawn rounding of either program decides
      const double apart = fabs(watts[at] - heat) / fmax(heat, 1e-9 * watts[nets[i].n - 1]);
      const NetworkOhm z = network_ac(&nets[i], hz, NULL);
      const double size = 1.0 / hypot(re, im);
      const double deg = atan2(im, -re) * 180.0 / 3.14159265358979323846; // Z = -1 / I
      const double off = fabs(network_size_ohm(z) / size - 1.0);
      const double turn = fabs(remainder(network_phase_deg(z) - deg, 360.0));
      *worst_size = fmax(*worst_size, off);
      *worst_deg = fmax(*worst_deg, turn);
      *worst_watts = fmax(*worst_watts, apart);
      *n_bad += !(off <= 1e-3 && turn <= 0.1 && apart <= 2e-3);
      ++*n_points;
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
  const int n_nets = longer && longer[0] == '1' ? MANY : FEW;
  Network* const nets = malloc((size_t)n_nets * sizeof(Network));
  Watched* const watched = calloc((size_t)n_nets, sizeof(Watched));
  char folder[] = "/tmp/linewalk-speaker-XXXXXX";
  char deck[64], data[64], command[256];
  Rng rng;
  int n_points = 0, n_bad = 0;
  double worst_size = 0.0, worst_deg = 0.0, worst_watts = 0.0;
  rng_init(&rng, 60268);
  printf("seed 60268\n");
  if (!nets || !watched || !mkdtemp(folder)) {
    printf("0 passed, 1 failed\n");
    return 1;
  }
  for (int i = 0; i < n_nets; ++i) {
    random_network(&nets[i], &rng);
  }
  for (int i = 0; i < n_nets; ++i) { // After all of them: the networks stay those they were
    watched[i].at = some_resistor(&nets[i], &rng);
  }
  (void)snprintf(deck, sizeof(deck), "%s/deck.cir", folder);
  (void)snprintf(data, sizeof(data), "%s/out.data", folder);
  (void)snprintf(command, sizeof(command), "ngspice -b %s >/dev/null 2>&1", deck);
  for (int i = 0; i < n_nets; i += FEW) {
    FILE* in = NULL;
    if (write_deck(deck, data, nets + i, watched + i, FEW) && system(command) >= 0) {
      in = fopen(data, "r");
    }
    if (in) {
      compare(in, nets + i, watched + i, FEW, &n_points, &n_bad, &worst_size, &worst_deg,
              &worst_watts);
      (void)fclose(in);
    }
    (void)remove(data);
  }
  (void)remove(deck);
  (void)rmdir(folder);
  free(nets);
  free(watched);
  printf("figure: oracle_speaker_networks %d networks\n", n_nets);
  printf("figure: oracle_speaker_points %d points\n", n_points);
  printf("figure: oracle_speaker_worst_size %.3g of itself\n", worst_size);
  printf("figure: oracle_speaker_worst_phase %.3g degrees\n", worst_deg);
  printf("figure: oracle_speaker_worst_watts %.3g of itself\n", worst_watts);
  n_bad += n_points != n_nets * POINTS; // It must have answered at every one
  printf("%d passed, %d failed\n", n_points > n_bad ? n_points - n_bad : 0, n_bad);
  return n_bad != 0;
}
