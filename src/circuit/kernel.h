// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "circuit/port.h"
#include "circuit/section.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/*
  The one body of code behind Port and PortAc. Private to this room.

  A `Num` is either a double (NUM_DC) or four complex numbers (NUM_AC). Every function below takes
  the kind first; where it is a constant, the compiler keeps only the half that is used. Kernels are
  always inlined with constant kind and, for the three contacts of nearly every line, constant
  number of contacts; `view_` functions choose among them at run time.

  Lanes are written as pairs of doubles, which every machine of interest has registers for. Each
  lane's sum is done in the same order everywhere, so results do not depend on the compiler.
*/

typedef enum { NUM_DC, NUM_AC } NumKind;

typedef double NumPair __attribute__((vector_size(16), may_alias));
typedef unsigned long long NumBits __attribute__((vector_size(16), may_alias));

typedef struct {
  double d;             ///< NUM_DC
  NumPair re[2], im[2]; ///< NUM_AC: lanes 0 1, 2 3
} Num;

/// A port of either kind, borrowed: numbers lie `num_width(kind)` doubles apart.
typedef struct {
  NumKind kind;
  int n;
  double* g;
  double* t;
  double* e;
  double* j;
} View;

#ifdef __SANITIZE_ADDRESS__ // A checked build need not be quick, but it should be built quickly
#define NUM_INLINE static inline
#else
#define NUM_INLINE static inline __attribute__((always_inline))
#endif

NUM_INLINE int
num_width(NumKind kind)
{
  return kind == NUM_DC ? 1 : 2 * PORT_LANES;
}

NUM_INLINE Num
num_real(NumKind kind, double value)
{
  Num r = {0};
  if (kind == NUM_DC) {
    r.d = value;
  } else {
    r.re[0] = r.re[1] = (NumPair){value, value};
  }
  return r;
}

/// What lies across: nothing lets through more than a short does.
static inline double
num_siemens(double ohm)
{
  return 1.0 / (ohm > PORT_SHORT_OHM ? ohm : PORT_SHORT_OHM);
}

NUM_INLINE Num
num_get(NumKind kind, const double* from, int index)
{
  Num r = {0};
  if (kind == NUM_DC) {
    r.d = from[index];
  } else {
    const NumPair* const p = (const NumPair*)(const void*)(from + index * num_width(kind));
    r.re[0] = p[0];
    r.re[1] = p[1];
    r.im[0] = p[2];
    r.im[1] = p[3];
  }
  return r;
}

NUM_INLINE void
num_put(NumKind kind, double* to, int index, Num a)
{
  if (kind == NUM_DC) {
    to[index] = a.d;
  } else {
    NumPair* const p = (NumPair*)(void*)(to + index * num_width(kind));
    p[0] = a.re[0];
    p[1] = a.re[1];
    p[2] = a.im[0];
    p[3] = a.im[1];
  }
}

NUM_INLINE Num
num_add(NumKind kind, Num a, Num b)
{
  Num r = {0};
  if (kind == NUM_DC) {
    r.d = a.d + b.d;
  } else {
    for (int i = 0; i < 2; ++i) {
      r.re[i] = a.re[i] + b.re[i];
      r.im[i] = a.im[i] + b.im[i];
    }
  }
  return r;
}

NUM_INLINE Num
num_sub(NumKind kind, Num a, Num b)
{
  Num r = {0};
  if (kind == NUM_DC) {
    r.d = a.d - b.d;
  } else {
    for (int i = 0; i < 2; ++i) {
      r.re[i] = a.re[i] - b.re[i];
      r.im[i] = a.im[i] - b.im[i];
    }
  }
  return r;
}

NUM_INLINE Num
num_mul(NumKind kind, Num a, Num b)
{
  Num r = {0};
  if (kind == NUM_DC) {
    r.d = a.d * b.d;
  } else {
    for (int i = 0; i < 2; ++i) {
      r.re[i] = a.re[i] * b.re[i] - a.im[i] * b.im[i];
      r.im[i] = a.re[i] * b.im[i] + a.im[i] * b.re[i];
    }
  }
  return r;
}

NUM_INLINE Num
num_scale(NumKind kind, Num a, double factor)
{
  Num r = {0};
  if (kind == NUM_DC) {
    r.d = a.d * factor;
  } else {
    for (int i = 0; i < 2; ++i) {
      r.re[i] = a.re[i] * factor;
      r.im[i] = a.im[i] * factor;
    }
  }
  return r;
}

/// a times a number whose imaginary parts are nothing.
NUM_INLINE Num
num_times(NumKind kind, Num a, Num real)
{
  Num r = {0};
  if (kind == NUM_DC) {
    r.d = a.d * real.d;
  } else {
    for (int i = 0; i < 2; ++i) {
      r.re[i] = a.re[i] * real.re[i];
      r.im[i] = a.im[i] * real.re[i];
    }
  }
  return r;
}

/// 1/a, with 1/0 := 0: a node that nothing hangs on takes part in nothing.
NUM_INLINE Num
num_inverse(NumKind kind, Num a)
{
  Num r = {0};
  if (kind == NUM_DC) {
    r.d = a.d == 0.0 ? 0.0 : 1.0 / a.d;
  } else {
    for (int i = 0; i < 2; ++i) {
      const NumPair size = a.re[i] * a.re[i] + a.im[i] * a.im[i];
      const NumBits some = (NumBits)(size != (NumPair){0.0, 0.0});
      const NumPair over = (NumPair)((NumBits)((NumPair){1.0, 1.0} / size) & some);
      r.re[i] = a.re[i] * over;
      r.im[i] = -a.im[i] * over;
    }
  }
  return r;
}

/// Whether the number is exactly zero, for NUM_AC in any lane.
NUM_INLINE bool
num_is_zero(NumKind kind, Num a)
{
  if (kind == NUM_DC) {
    return a.d == 0.0;
  }
  NumBits zero = {0, 0};
  for (int i = 0; i < 2; ++i) {
    zero |= (NumBits)(a.re[i] == (NumPair){0.0, 0.0}) & (NumBits)(a.im[i] == (NumPair){0.0, 0.0});
  }
  return (zero[0] | zero[1]) != 0;
}

/// Whether the number is anything but zero, for NUM_AC in any lane.
NUM_INLINE bool
num_is_some(NumKind kind, Num a)
{
  if (kind == NUM_DC) {
    return a.d != 0.0;
  }
  NumBits some = {0, 0};
  for (int i = 0; i < 2; ++i) {
    some |= (NumBits)a.re[i] | (NumBits)a.im[i];
  }
  some += some; // The sign of a zero does not count
  return (some[0] | some[1]) != 0;
}

/// Add a number in place.
NUM_INLINE void
num_gain(NumKind kind, double* to, int index, Num a)
{
  num_put(kind, to, index, num_add(kind, num_get(kind, to, index), a));
}

NUM_INLINE View
view_dc(const Port* port)
{
  Port* const p = (Port*)(uintptr_t)port;
  return (View){NUM_DC, p->n, p->g, p->t, p->e, p->j};
}

NUM_INLINE View
view_ac(const PortAc* port)
{
  PortAc* const p = (PortAc*)(uintptr_t)port;
  return (View){NUM_AC, p->n, p->g[0].re, p->t[0].re, p->e[0].re, p->j[0].re};
}

/// Room for a port of either kind.
typedef struct {
  _Alignas(16) double g[PORT_PAIRS * 2 * PORT_LANES];
  _Alignas(16) double t[PORT_PAIRS * 2 * PORT_LANES];
  _Alignas(16) double e[PORT_MAX * 2 * PORT_LANES];
  _Alignas(16) double j[PORT_MAX * 2 * PORT_LANES];
} Scratch;

static inline View
view_scratch(NumKind kind, int n, Scratch* scratch)
{
  return (View){kind, n, scratch->g, scratch->t, scratch->e, scratch->j};
}

/// The current driven from contact a through the branch into contact b.
NUM_INLINE Num
kernel_driven(NumKind kind, View v, int a, int b)
{
  const Num into_higher = num_get(kind, v.t, port_pair(a, b));
  return a < b ? into_higher : num_scale(kind, into_higher, -1.0);
}

/// Drive a current more from contact a into contact b.
NUM_INLINE void
kernel_drive(NumKind kind, View v, int a, int b, Num current)
{
  num_gain(kind, v.t, port_pair(a, b), a < b ? current : num_scale(kind, current, -1.0));
}

/*
  Star-mesh of the old contact k seen from behind z. With S everything at k and s_x the current
  driven from k into x (s of earth: -j_k),

     w = z / (1 + z S), f = 1 / (1 + z S); open: w = 1 / S, f = 0
     new g_xy += g_kx g_ky w
     new current from x into y += (g_kx s_y - g_ky s_x) w
     new g_kx and all else at k = old times f

  Currents stay with their branches, so that what leaves one end of a source arrives at the other
  end to the last digit: a source in a group that hardly anything ties to earth does not lift it.
*/
NUM_INLINE void
kernel_series(NumKind kind, int n, View v, int k, Num z, bool is_real, bool open)
{
  const Num none = num_real(kind, 0.0);
  const Num ek = num_get(kind, v.e, k);
  const Num jk = num_get(kind, v.j, k);
  // What leads from k to the others; nothing to itself, so that loops that cost little need not
  // leave it out
  const bool leaves_out = n == 3 || kind == NUM_AC;
  Num g[PORT_MAX], into[PORT_MAX], part[PORT_MAX];
  Num all = ek;
  bool has_source = false;
  for (int b = 0; b < n; ++b) {
    g[b] = b == k ? none : num_get(kind, v.g, port_pair(k, b));
    into[b] = b == k ? none : kernel_driven(kind, v, k, b);
    all = num_add(kind, all, g[b]);
    has_source |= num_is_some(kind, into[b]);
  }
  Num f = none;
  Num w;
  if (open) {
    w = num_inverse(kind, all);
  } else if (is_real) {
    f = num_inverse(kind, num_add(kind, num_real(kind, 1.0), num_times(kind, all, z)));
    w = num_times(kind, f, z);
  } else {
    f = num_inverse(kind, num_add(kind, num_real(kind, 1.0), num_mul(kind, z, all)));
    w = num_mul(kind, z, f);
  }
  for (int b = 0; b < n; ++b) {
    if (leaves_out && b == k) {
      continue;
    }
    part[b] = num_mul(kind, g[b], w);
    num_gain(kind, v.e, b, num_mul(kind, part[b], ek));
    num_gain(kind, v.j, b, num_mul(kind, part[b], jk));
    for (int a = 0; a < b; ++a) {
      if (leaves_out && a == k) {
        continue;
      }
      num_gain(kind, v.g, port_pair(a, b), num_mul(kind, part[b], g[a]));
    }
  }
  if (has_source) { // Most contacts have none between them: phantom drives against earth
    const Num part_e = num_mul(kind, ek, w);
    for (int b = 0; b < n; ++b) {
      if (leaves_out && b == k) {
        continue;
      }
      num_gain(kind, v.j, b, num_mul(kind, part_e, into[b]));
      for (int a = 0; a < b; ++a) {
        if (leaves_out && a == k) {
          continue;
        }
        num_gain(kind, v.t, port_pair(a, b),
                 num_sub(kind, num_mul(kind, part[a], into[b]), num_mul(kind, part[b], into[a])));
      }
    }
    for (int b = 0; b < n; ++b) {
      if (b != k) {
        const Num s = open ? none : num_mul(kind, into[b], f);
        num_put(kind, v.t, port_pair(k, b), k < b ? s : num_scale(kind, s, -1.0));
      }
    }
  }
  num_put(kind, v.e, k, open ? none : num_mul(kind, ek, f));
  num_put(kind, v.j, k, open ? none : num_mul(kind, jk, f));
  for (int b = 0; b < n; ++b) {
    if (b != k) {
      num_put(kind, v.g, port_pair(k, b), open ? none : num_mul(kind, g[b], f));
    }
  }
}

/// Eliminate from the last contact down, as kernel_series does an open one, then put volts back in
/// from the first up.
NUM_INLINE uint32_t
kernel_solve(NumKind kind, int n, View v, double* contact_v)
{
  Scratch scratch;
  const View w = view_scratch(kind, n, &scratch);
  Num over[PORT_MAX];
  uint32_t gauge = 0;
  for (int i = 0; i < n * (n - 1) / 2; ++i) {
    num_put(kind, w.g, i, num_get(kind, v.g, i));
    num_put(kind, w.t, i, num_get(kind, v.t, i));
  }
  for (int i = 0; i < n; ++i) {
    num_put(kind, w.e, i, num_get(kind, v.e, i));
    num_put(kind, w.j, i, num_get(kind, v.j, i));
  }
  for (int k = n - 1; k >= 0; --k) {
    const int row = k * (k - 1) / 2; // Of the pairs b, k with b < k
    const Num ek = num_get(kind, w.e, k);
    const Num jk = num_get(kind, w.j, k);
    Num all = ek;
    for (int b = 0; b < k; ++b) {
      all = num_add(kind, all, num_get(kind, w.g, row + b));
    }
    over[k] = num_inverse(kind, all);
    gauge |= (uint32_t)num_is_zero(kind, all) << k;
    const Num part_e = num_mul(kind, ek, over[k]);
    for (int b = 0; b < k; ++b) {
      const Num from_b = num_get(kind, w.t, row + b); // Into k, that is
      const Num part_b = num_mul(kind, num_get(kind, w.g, row + b), over[k]);
      const Num from_b_over = num_mul(kind, from_b, over[k]);
      num_gain(kind, w.e, b, num_mul(kind, part_b, ek));
      num_gain(kind, w.j, b,
               num_sub(kind, num_mul(kind, part_b, jk), num_mul(kind, part_e, from_b)));
      for (int a = 0; a < b; ++a) {
        const Num ga = num_get(kind, w.g, row + a);
        const int ab = b * (b - 1) / 2 + a;
        num_gain(kind, w.g, ab, num_mul(kind, part_b, ga));
        num_gain(kind, w.t, ab,
                 num_sub(kind, num_mul(kind, part_b, num_get(kind, w.t, row + a)),
                         num_mul(kind, from_b_over, ga)));
      }
    }
  }
  Num volts[PORT_MAX];
  uint32_t floating = gauge;
  for (int k = 0; k < n; ++k) {
    Num sum = num_get(kind, w.j, k);
    for (int b = 0; b < k; ++b) {
      sum = num_add(kind, sum, num_get(kind, w.t, k * (k - 1) / 2 + b));
    }
    for (int b = 0; b < k; ++b) {
      sum = num_add(kind, sum, num_mul(kind, num_get(kind, w.g, k * (k - 1) / 2 + b), volts[b]));
    }
    volts[k] = num_mul(kind, sum, over[k]);
    num_put(kind, contact_v, k, volts[k]);
  }
  // A contact held only by floating ones floats with them.
  for (int k = 1; gauge != 0 && k < n; ++k) {
    for (int b = 0; b < k; ++b) {
      if ((floating >> b & 1) != 0 && !num_is_zero(kind, num_get(kind, w.g, k * (k - 1) / 2 + b))) {
        floating |= 1u << k;
      }
    }
  }
  return floating;
}

/// siemens + j 2 pi f farad in every lane.
NUM_INLINE Num
num_admittance(NumKind kind, const PortTones* tones, double siemens, double farad)
{
  Num r = num_real(kind, siemens);
  if (kind == NUM_AC) {
    const double turn_f = 2.0 * 3.14159265358979323846 * farad;
    r.im[0] = (NumPair){turn_f * tones->hz[0], turn_f * tones->hz[1]};
    r.im[1] = (NumPair){turn_f * tones->hz[2], turn_f * tones->hz[3]};
  }
  return r;
}

/// One drive per lane.
NUM_INLINE Num
num_lanes(const double value[PORT_LANES])
{
  Num r = {0};
  r.re[0] = (NumPair){value[0], value[1]};
  r.re[1] = (NumPair){value[2], value[3]};
  return r;
}

/// Add an admittance to an entry of v.g or v.e; capacitance counts for NUM_AC only.
static inline void
view_admit(View v, double* where, int index, const PortTones* tones, double siemens, double farad)
{
  if (v.kind == NUM_DC) {
    where[index] += siemens;
  } else {
    num_gain(NUM_AC, where, index, num_admittance(NUM_AC, tones, siemens, farad));
  }
}

/// Drive a contact from the room's potential through a capacitance (its admittance comes apart).
static inline void
view_room(View v, int contact, const PortTones* tones, double farad)
{
  num_gain(NUM_AC, v.j, contact,
           num_mul(NUM_AC, num_admittance(NUM_AC, tones, 0.0, farad), num_lanes(tones->room_v)));
}

/// In every kind, choose the kernel.
void
view_init(View v);
void
view_copy(View to, View from);
void
view_series(View v, int contact, const Num* z);
void
view_open(View v, int contact);
void
view_series_ohm(View v, int contact, double ohm);
/// Every contact behind its own resistance, from the first to the last.
void
view_series_all(View v, const double ohm[]);
void
view_permute(View v, const uint8_t map[]);
void
view_sum(View v, View other);
/// Drops contacts a and b of v: the caller's n falls by two.
void
view_transformer(View v, int a, int b, int c, int d, double ratio);
uint32_t
view_solve(View v, double* contact_v);

/// Half of what lies across a section, at one end of it; `tones` NULL for NUM_DC.
void
view_section_half(View v, const Section* section, const PortTones* tones);

/// A section passed in either kind; `tones` NULL for NUM_DC.
void
view_section(View v, const Section* section, const PortTones* tones);
