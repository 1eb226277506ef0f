// SPDX-License-Identifier: GPL-3.0-or-later
#include "circuit/port.h"

#include "circuit/kernel.h"

#include <float.h>

static double
siemens(double ohm)
{
  assert(ohm >= 0.0);
  return num_siemens(ohm);
}

void
view_init(View v)
{
  const size_t size = (size_t)num_width(v.kind) * sizeof(double);
  assert(v.n >= 1 && v.n <= PORT_MAX);
  memset(v.g, 0, (size_t)(v.n * (v.n - 1) / 2) * size);
  memset(v.t, 0, (size_t)(v.n * (v.n - 1) / 2) * size);
  memset(v.e, 0, (size_t)v.n * size);
  memset(v.j, 0, (size_t)v.n * size);
}

/*
  Copying and adding go over four runs of doubles. Three contacts have runs of 3 numbers each, whose
  length the compiler is told.
*/

NUM_INLINE void
run_copy(double* restrict to, const double* restrict from, int n)
{
  for (int i = 0; i < n; ++i) {
    to[i] = from[i];
  }
}

NUM_INLINE void
run_sum(double* restrict to, const double* restrict from, int n)
{
  for (int i = 0; i < n; ++i) {
    to[i] += from[i];
  }
}

NUM_INLINE void
copy_of_kind(NumKind kind, int n, View to, View from)
{
  const int width = num_width(kind);
  run_copy(to.g, from.g, n * (n - 1) / 2 * width);
  run_copy(to.t, from.t, n * (n - 1) / 2 * width);
  run_copy(to.e, from.e, n * width);
  run_copy(to.j, from.j, n * width);
}

NUM_INLINE void
sum_of_kind(NumKind kind, int n, View v, View other)
{
  const int width = num_width(kind);
  run_sum(v.g, other.g, n * (n - 1) / 2 * width);
  run_sum(v.t, other.t, n * (n - 1) / 2 * width);
  run_sum(v.e, other.e, n * width);
  run_sum(v.j, other.j, n * width);
}

void
view_copy(View to, View from)
{
  assert(to.n == from.n && to.kind == from.kind);
  if (to.n != 3) {
    copy_of_kind(to.kind, to.n, to, from);
  } else if (to.kind == NUM_DC) {
    copy_of_kind(NUM_DC, 3, to, from);
  } else {
    copy_of_kind(NUM_AC, 3, to, from);
  }
}

/// The three contacts of nearly every line get code of their own, with everything unrolled.
NUM_INLINE void
series_of_kind(NumKind kind, View v, int contact, Num z, bool is_real, bool open)
{
  if (v.n != 3) {
    kernel_series(kind, v.n, v, contact, z, is_real, open);
  } else if (contact == 0) {
    kernel_series(kind, 3, v, 0, z, is_real, open);
  } else if (contact == 1) {
    kernel_series(kind, 3, v, 1, z, is_real, open);
  } else {
    kernel_series(kind, 3, v, 2, z, is_real, open);
  }
}

void
view_series(View v, int contact, const Num* z)
{
  assert(contact >= 0 && contact < v.n);
  if (v.kind == NUM_DC) {
    series_of_kind(NUM_DC, v, contact, *z, false, false);
  } else {
    series_of_kind(NUM_AC, v, contact, *z, false, false);
  }
}

void
view_open(View v, int contact)
{
  assert(contact >= 0 && contact < v.n);
  if (v.kind == NUM_DC) {
    series_of_kind(NUM_DC, v, contact, num_real(NUM_DC, 0.0), true, true);
  } else {
    series_of_kind(NUM_AC, v, contact, num_real(NUM_AC, 0.0), true, true);
  }
}

void
view_series_ohm(View v, int contact, double ohm)
{
  assert(contact >= 0 && contact < v.n && ohm >= 0.0);
  if (ohm > DBL_MAX) {
    view_open(v, contact);
  } else if (v.kind == NUM_DC) {
    series_of_kind(NUM_DC, v, contact, num_real(NUM_DC, ohm), true, false);
  } else {
    series_of_kind(NUM_AC, v, contact, num_real(NUM_AC, ohm), true, false);
  }
}

NUM_INLINE void
series_of_three(View v, int contact, double ohm)
{
  if (ohm > DBL_MAX) {
    kernel_series(NUM_DC, 3, v, contact, num_real(NUM_DC, 0.0), true, true);
  } else if (ohm != 0.0) {
    kernel_series(NUM_DC, 3, v, contact, num_real(NUM_DC, ohm), true, false);
  }
}

void
view_series_all(View v, const double ohm[])
{
  if (v.kind == NUM_AC || v.n != 3) {
    for (int k = 0; k < v.n; ++k) {
      if (ohm[k] != 0.0) {
        view_series_ohm(v, k, ohm[k]);
      }
    }
    return;
  }
  double g[3], t[3], e[3], j[3]; // Kept in registers from the first contact to the last
  const View w = {NUM_DC, 3, g, t, e, j};
  copy_of_kind(NUM_DC, 3, w, v);
  series_of_three(w, 0, ohm[0]);
  series_of_three(w, 1, ohm[1]);
  series_of_three(w, 2, ohm[2]);
  copy_of_kind(NUM_DC, 3, v, w);
}

NUM_INLINE void
permute_of_kind(NumKind kind, View v, const uint8_t map[])
{
  double g[PORT_PAIRS * 2 * PORT_LANES] __attribute__((aligned(16)));
  double t[PORT_PAIRS * 2 * PORT_LANES] __attribute__((aligned(16)));
  double e[PORT_MAX * 2 * PORT_LANES] __attribute__((aligned(16)));
  double j[PORT_MAX * 2 * PORT_LANES] __attribute__((aligned(16)));
  const View old = {kind, v.n, g, t, e, j};
  view_copy(old, v);
  for (int b = 0; b < v.n; ++b) {
    assert(map[b] < v.n);
    num_put(kind, v.e, b, num_get(kind, e, map[b]));
    num_put(kind, v.j, b, num_get(kind, j, map[b]));
    for (int a = 0; a < b; ++a) {
      assert(map[a] != map[b]);
      num_put(kind, v.g, port_pair(a, b), num_get(kind, g, port_pair(map[a], map[b])));
      num_put(kind, v.t, port_pair(a, b), kernel_driven(kind, old, map[a], map[b]));
    }
  }
}

void
view_permute(View v, const uint8_t map[])
{
  if (v.kind == NUM_DC) {
    permute_of_kind(NUM_DC, v, map);
  } else {
    permute_of_kind(NUM_AC, v, map);
  }
}

void
view_sum(View v, View other)
{
  assert(v.n == other.n && v.kind == other.kind);
  if (v.n != 3) {
    sum_of_kind(v.kind, v.n, v, other);
  } else if (v.kind == NUM_DC) {
    sum_of_kind(NUM_DC, 3, v, other);
  } else {
    sum_of_kind(NUM_AC, 3, v, other);
  }
}

/*
  With A, B all that hangs on a and b besides the branch between them, the pair's common mode can
  only go where A and B lead. Eliminating it in closed form leaves, with x any other contact:

     across c, d    ratio^2 (g_ab + A B / (A + B))
     x to c, -d     ratio (B g_ax - A g_bx) / (A + B)
     x to y         (g_ax + g_bx) (g_ay + g_by) / (A + B)
     from d into c  ratio (B j_a - A j_b) / (A + B) - ratio s_ab
     from x into y  ((g_ax + g_bx) s_y - (g_ay + g_by) s_x) / (A + B)

  where earth is one of the x, its signed branch being cancelled by the others' sum; j_a is all that
  is driven into a but from b, s_x what is driven from a and b into x, s_ab from a into b. If A + B
  is zero the pair floats and its current is the difference alone.
*/
NUM_INLINE void
transformer_of_kind(NumKind kind, View v, int a, int b, int c, int d, double ratio)
{
  const int n = v.n;
  const Num gab = num_get(kind, v.g, port_pair(a, b));
  const Num ea = num_get(kind, v.e, a);
  const Num eb = num_get(kind, v.e, b);
  Num all_a = ea;
  Num all_b = eb;
  for (int x = 0; x < n; ++x) {
    if (x != a && x != b) {
      all_a = num_add(kind, all_a, num_get(kind, v.g, port_pair(a, x)));
      all_b = num_add(kind, all_b, num_get(kind, v.g, port_pair(b, x)));
    }
  }
  const Num all = num_add(kind, all_a, all_b);
  const Num over = num_inverse(kind, all);
  const Num part_a = num_mul(kind, all_a, over);
  const Num part_b = num_mul(kind, all_b, over);
  const Num ja = num_get(kind, v.j, a);
  const Num jb = num_get(kind, v.j, b);
  const Num both_j = num_mul(kind, num_add(kind, ja, jb), over);
  const Num both_e = num_mul(kind, num_add(kind, ea, eb), over);
  Num both[PORT_MAX];
  Num both_s[PORT_MAX];
  Num into_a = ja;
  Num into_b = jb;
  Num signed_part[PORT_MAX];
  for (int x = 0; x < n; ++x) {
    if (x != a && x != b) {
      const Num ga = num_get(kind, v.g, port_pair(a, x));
      const Num gb = num_get(kind, v.g, port_pair(b, x));
      const Num sa = kernel_driven(kind, v, a, x);
      const Num sb = kernel_driven(kind, v, b, x);
      both[x] = num_add(kind, ga, gb);
      both_s[x] = num_add(kind, sa, sb);
      into_a = num_sub(kind, into_a, sa);
      into_b = num_sub(kind, into_b, sb);
      signed_part[x] =
        num_scale(kind, num_sub(kind, num_mul(kind, part_b, ga), num_mul(kind, part_a, gb)), ratio);
    }
  }
  for (int y = 0; y < n; ++y) {
    if (y == a || y == b) {
      continue;
    }
    num_gain(kind, v.j, y, num_mul(kind, both[y], both_j));
    num_gain(kind, v.j, y, num_mul(kind, both_s[y], both_e));
    num_gain(kind, v.e, y, num_mul(kind, both[y], both_e));
    const Num part = num_mul(kind, both[y], over);
    for (int x = 0; x < y; ++x) {
      if (x != a && x != b) {
        num_gain(kind, v.g, port_pair(x, y), num_mul(kind, part, both[x]));
        kernel_drive(kind, v, x, y,
                     num_mul(kind,
                             num_sub(kind, num_mul(kind, both[x], both_s[y]),
                                     num_mul(kind, both[y], both_s[x])),
                             over));
      }
    }
  }
  const Num minus = num_real(kind, -1.0);
  for (int x = 0; x < n; ++x) {
    if (x != a && x != b && x != c) {
      num_gain(kind, v.g, port_pair(x, c), signed_part[x]);
    }
    if (x != a && x != b && x != d) {
      num_gain(kind, v.g, port_pair(x, d), num_mul(kind, minus, signed_part[x]));
    }
  }
  const Num to_earth =
    num_scale(kind, num_sub(kind, num_mul(kind, part_b, ea), num_mul(kind, part_a, eb)), ratio);
  num_gain(kind, v.e, c, to_earth);
  num_gain(kind, v.e, d, num_mul(kind, minus, to_earth));
  const Num across = num_add(kind, gab, num_mul(kind, all_a, part_b));
  num_gain(kind, v.g, port_pair(c, d), num_scale(kind, across, ratio * ratio));
  const Num driven = num_is_zero(kind, all) ? num_scale(kind, num_sub(kind, into_a, into_b), 0.5)
                                            : num_sub(kind, num_mul(kind, part_b, into_a),
                                                      num_mul(kind, part_a, into_b));
  kernel_drive(kind, v, d, c,
               num_scale(kind, num_sub(kind, driven, kernel_driven(kind, v, a, b)), ratio));
  // Close the gap: what stays keeps its order.
  int stays[PORT_MAX];
  int n_stay = 0;
  for (int x = 0; x < n; ++x) {
    if (x != a && x != b) {
      stays[n_stay++] = x;
    }
  }
  for (int y = 0; y < n_stay; ++y) {
    num_put(kind, v.e, y, num_get(kind, v.e, stays[y]));
    num_put(kind, v.j, y, num_get(kind, v.j, stays[y]));
    for (int x = 0; x < y; ++x) {
      num_put(kind, v.g, port_pair(x, y), num_get(kind, v.g, port_pair(stays[x], stays[y])));
      num_put(kind, v.t, port_pair(x, y), num_get(kind, v.t, port_pair(stays[x], stays[y])));
    }
  }
}

void
view_transformer(View v, int a, int b, int c, int d, double ratio)
{
  assert(a != b && a != c && a != d && b != c && b != d && c != d);
  assert(a >= 0 && b >= 0 && c >= 0 && d >= 0 && a < v.n && b < v.n && c < v.n && d < v.n);
  if (v.kind == NUM_DC) {
    transformer_of_kind(NUM_DC, v, a, b, c, d, ratio);
  } else {
    transformer_of_kind(NUM_AC, v, a, b, c, d, ratio);
  }
}

/// kernel_solve for direct current at three contacts, nine of ten solves there are: the same sums
/// in the same order, written out. Whatever floats is left to the kernel.
NUM_INLINE uint32_t
solve_three(View v, double* contact_v)
{
  const double g02 = v.g[1], g12 = v.g[2];
  const double t02 = v.t[1], t12 = v.t[2];
  const double all2 = v.e[2] + g02 + g12;
  const double over2 = 1.0 / all2;
  const double part0 = g02 * over2;
  const double part1 = g12 * over2;
  const double part_e = v.e[2] * over2;
  const double e0 = v.e[0] + part0 * v.e[2];
  const double e1 = v.e[1] + part1 * v.e[2];
  const double j0 = v.j[0] + (part0 * v.j[2] - part_e * t02);
  const double j1 = v.j[1] + (part1 * v.j[2] - part_e * t12);
  const double g01 = v.g[0] + part1 * g02;
  const double t01 = v.t[0] + (part1 * t02 - t12 * over2 * g02);
  const double all1 = e1 + g01;
  const double over1 = 1.0 / all1;
  const double part = g01 * over1;
  const double all0 = e0 + part * e1;
  if (!(all0 > 0.0 && all1 > 0.0 && all2 > 0.0)) {
    return kernel_solve(NUM_DC, 3, v, contact_v);
  }
  const double v0 = (j0 + (part * j1 - e1 * over1 * t01)) * (1.0 / all0);
  const double v1 = (j1 + t01 + g01 * v0) * over1;
  contact_v[0] = v0;
  contact_v[1] = v1;
  contact_v[2] = (v.j[2] + t02 + t12 + g02 * v0 + g12 * v1) * over2;
  return 0;
}

uint32_t
view_solve(View v, double* contact_v)
{
  if (v.kind == NUM_AC) {
    return v.n == 3 ? kernel_solve(NUM_AC, 3, v, contact_v)
                    : kernel_solve(NUM_AC, v.n, v, contact_v);
  }
  switch (v.n) { // A jack, a microphone line, two and four pairs of poles
    case 2:
      return kernel_solve(NUM_DC, 2, v, contact_v);
    case 3:
      return solve_three(v, contact_v);
    case 4:
      return kernel_solve(NUM_DC, 4, v, contact_v);
    case 8:
      return kernel_solve(NUM_DC, 8, v, contact_v);
    default:
      return kernel_solve(NUM_DC, v.n, v, contact_v);
  }
}

void
port_init(Port* port, int n)
{
  port->n = n;
  view_init(view_dc(port));
}

void
port_series(Port* port, int contact, double ohm)
{
  view_series_ohm(view_dc(port), contact, ohm);
}

void
port_open(Port* port, int contact)
{
  view_open(view_dc(port), contact);
}

void
port_shunt(Port* port, int a, int b, double ohm)
{
  assert(a != b && a >= 0 && b >= 0 && a < port->n && b < port->n);
  port->g[port_pair(a, b)] += siemens(ohm);
}

void
port_earth(Port* port, int contact, double ohm)
{
  assert(contact >= 0 && contact < port->n);
  port->e[contact] += siemens(ohm);
}

void
port_inject(Port* port, int contact, double current_a)
{
  assert(contact >= 0 && contact < port->n);
  port->j[contact] += current_a;
}

void
port_source(Port* port, int a, int b, double emf_v, double ohm)
{
  assert(a != b && (unsigned)a < (unsigned)port->n && (unsigned)b < (unsigned)port->n);
  const double across = siemens(ohm);
  const double current_a = emf_v * across;
  port->g[port_pair(a, b)] += across;
  port->t[port_pair(a, b)] += a < b ? -current_a : current_a;
}

void
port_source_to_earth(Port* port, int contact, double feed_v, double ohm)
{
  port_earth(port, contact, ohm);
  port->j[contact] += feed_v * siemens(ohm);
}

void
port_permute(Port* port, const uint8_t map[])
{
  view_permute(view_dc(port), map);
}

void
port_sum(Port* port, const Port* other)
{
  view_sum(view_dc(port), view_dc(other));
}

void
port_transformer(Port* port, int a, int b, int c, int d, double ratio)
{
  view_transformer(view_dc(port), a, b, c, d, ratio);
  port->n -= 2;
}

uint32_t
port_solve(const Port* port, double contact_v[])
{
  if (port->n == 3) {
    return solve_three(view_dc(port), contact_v);
  }
  return view_solve(view_dc(port), contact_v);
}

void
port_ac_init(PortAc* port, int n)
{
  port->n = n;
  view_init(view_ac(port));
}

void
port_ac_series(PortAc* port, int contact, const PortNumber* ohm)
{
  const Num z = num_get(NUM_AC, ohm->re, 0);
  view_series(view_ac(port), contact, &z);
}

void
port_ac_open(PortAc* port, int contact)
{
  view_open(view_ac(port), contact);
}

void
port_ac_shunt(PortAc* port, int a, int b, const PortNumber* siemens_added)
{
  assert(a != b && a >= 0 && b >= 0 && a < port->n && b < port->n);
  num_gain(NUM_AC, port->g[0].re, port_pair(a, b), num_get(NUM_AC, siemens_added->re, 0));
}

void
port_ac_earth(PortAc* port, int contact, const PortNumber* siemens_added)
{
  assert(contact >= 0 && contact < port->n);
  num_gain(NUM_AC, port->e[0].re, contact, num_get(NUM_AC, siemens_added->re, 0));
}

void
port_ac_inject(PortAc* port, int contact, const PortNumber* current_a)
{
  assert(contact >= 0 && contact < port->n);
  num_gain(NUM_AC, port->j[0].re, contact, num_get(NUM_AC, current_a->re, 0));
}

void
port_ac_permute(PortAc* port, const uint8_t map[])
{
  view_permute(view_ac(port), map);
}

void
port_ac_sum(PortAc* port, const PortAc* other)
{
  view_sum(view_ac(port), view_ac(other));
}

void
port_ac_transformer(PortAc* port, int a, int b, int c, int d, double ratio)
{
  view_transformer(view_ac(port), a, b, c, d, ratio);
  port->n -= 2;
}

uint32_t
port_ac_solve(const PortAc* port, PortNumber contact_v[])
{
  return view_solve(view_ac(port), contact_v[0].re);
}
