// SPDX-License-Identifier: GPL-3.0-or-later
#include "speaker/network.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

#define TWO_PI 6.28318530717958647692
#define DEG_PER_RAD 57.29577951308232087680

int
network_add(Network* net, NetworkKind kind, double value)
{
  assert(kind <= NETWORK_FARAD && value >= 0.0);
  if (net->n == NETWORK_MAX) {
    return -1;
  }
  net->nodes[net->n] = (NetworkNode){kind, value, -1, -1};
  return net->n++;
}

int
network_join(Network* net, NetworkKind kind, int a, int b)
{
  assert(kind == NETWORK_SERIES || kind == NETWORK_PARALLEL);
  if (net->n == NETWORK_MAX || a < 0 || b < 0) {
    return -1;
  }
  assert(a < net->n && b < net->n);
  net->nodes[net->n] = (NetworkNode){kind, 0.0, a, b};
  return net->n++;
}

static double
dc_parallel(double a, double b)
{
  return isinf(a) ? b : isinf(b) ? a : a + b > 0.0 ? a * b / (a + b) : 0.0;
}

static double
dc_of(const NetworkNode* node, const double ohm[])
{
  switch (node->kind) {
    case NETWORK_OHM:
      return node->value;
    case NETWORK_HENRY:
      return 0.0;
    case NETWORK_FARAD:
      return INFINITY;
    case NETWORK_SERIES:
      return ohm[node->a] + ohm[node->b];
    case NETWORK_PARALLEL:
      break;
  }
  return dc_parallel(ohm[node->a], ohm[node->b]);
}

double
network_dc(const Network* net, double ohm[])
{
  double own[NETWORK_MAX];
  double* const at = ohm ? ohm : own;
  assert(net->n > 0);
  for (int i = 0; i < net->n; ++i) {
    at[i] = dc_of(&net->nodes[i], at);
  }
  return at[net->n - 1];
}

static const NetworkOhm open_ohm = {0.0, 0.0, true};

static NetworkOhm
ac_series(NetworkOhm a, NetworkOhm b)
{
  return a.is_open || b.is_open ? open_ohm
                                : (NetworkOhm){a.re_ohm + b.re_ohm, a.im_ohm + b.im_ohm, false};
}

// a b / (a + b). Without loss a coil and a capacitor can add to nothing: then it is open.
static NetworkOhm
ac_parallel(NetworkOhm a, NetworkOhm b)
{
  if (a.is_open || b.is_open) {
    return a.is_open ? b : a;
  }
  const double re = a.re_ohm + b.re_ohm;
  const double im = a.im_ohm + b.im_ohm;
  const double square = re * re + im * im;
  const double up_re = a.re_ohm * b.re_ohm - a.im_ohm * b.im_ohm;
  const double up_im = a.re_ohm * b.im_ohm + a.im_ohm * b.re_ohm;
  if (!(square > 0.0)) {
    return up_re == 0.0 && up_im == 0.0 ? (NetworkOhm){0.0, 0.0, false} : open_ohm;
  }
  return (NetworkOhm){(up_re * re + up_im * im) / square, (up_im * re - up_re * im) / square,
                      false};
}

static NetworkOhm
ac_of(const NetworkNode* node, double hz, const NetworkOhm ohm[])
{
  switch (node->kind) {
    case NETWORK_OHM:
      return isinf(node->value) ? open_ohm : (NetworkOhm){node->value, 0.0, false};
    case NETWORK_HENRY:
      return isinf(node->value) ? open_ohm : (NetworkOhm){0.0, TWO_PI * hz * node->value, false};
    case NETWORK_FARAD:
      return node->value > 0.0 ? (NetworkOhm){0.0, -1.0 / (TWO_PI * hz * node->value), false}
                               : open_ohm;
    case NETWORK_SERIES:
      return ac_series(ohm[node->a], ohm[node->b]);
    case NETWORK_PARALLEL:
      break;
  }
  return ac_parallel(ohm[node->a], ohm[node->b]);
}

NetworkOhm
network_ac(const Network* net, double hz, NetworkOhm ohm[])
{
  NetworkOhm own[NETWORK_MAX];
  NetworkOhm* const at = ohm ? ohm : own;
  assert(net->n > 0 && hz > 0.0);
  for (int i = 0; i < net->n; ++i) {
    at[i] = ac_of(&net->nodes[i], hz, at);
  }
  return at[net->n - 1];
}

double
network_size_ohm(NetworkOhm z)
{
  return z.is_open ? (double)INFINITY : hypot(z.re_ohm, z.im_ohm);
}

double
network_phase_deg(NetworkOhm z)
{
  return z.is_open || (z.re_ohm == 0.0 && z.im_ohm == 0.0)
           ? 0.0
           : DEG_PER_RAD * atan2(z.im_ohm, z.re_ohm);
}

// All impedances, direct current included.
static void
impedances(const Network* net, double hz, NetworkOhm z[])
{
  if (hz > 0.0) {
    (void)network_ac(net, hz, z);
    return;
  }
  double ohm[NETWORK_MAX];
  (void)network_dc(net, ohm);
  for (int i = 0; i < net->n; ++i) {
    z[i] = isinf(ohm[i]) ? open_ohm : (NetworkOhm){ohm[i], 0.0, false};
  }
}

// From the whole back to its parts: in series all carry the same current, in parallel all have the
// same volts. Only sizes are followed, since watts need no more.
void
network_watts(const Network* net, double hz, double volts, double watts[])
{
  NetworkOhm z[NETWORK_MAX];
  double amps[NETWORK_MAX];
  assert(net->n > 0 && hz >= 0.0);
  impedances(net, hz, z);
  const int whole = net->n - 1;
  const double size = network_size_ohm(z[whole]);
  for (int i = 0; i < net->n; ++i) {
    amps[i] = 0.0;
  }
  amps[whole] = size > 0.0 ? volts / size : (double)INFINITY;
  for (int i = whole; i >= 0; --i) {
    const NetworkNode* const node = &net->nodes[i];
    watts[i] =
      amps[i] > 0.0 && !z[i].is_open && z[i].re_ohm > 0.0 ? amps[i] * amps[i] * z[i].re_ohm : 0.0;
    if (node->kind == NETWORK_SERIES) {
      amps[node->a] = amps[i];
      amps[node->b] = amps[i];
    } else if (node->kind == NETWORK_PARALLEL) {
      const double across = z[i].is_open ? 0.0 : amps[i] * network_size_ohm(z[i]);
      const double a = network_size_ohm(z[node->a]);
      const double b = network_size_ohm(z[node->b]);
      // A short takes all of it
      amps[node->a] = a > 0.0 ? across / a : b > 0.0 ? amps[i] : 0.5 * amps[i];
      amps[node->b] = b > 0.0 ? across / b : a > 0.0 ? amps[i] : 0.5 * amps[i];
    }
  }
}
