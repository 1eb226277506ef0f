// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stdbool.h>
#include <stdint.h>

/*
  What is seen from a place on a line towards one side: a port.

        contact 0 o---+---[g]---+---o contact 1      g: conductance between two contacts
                      |   (t>)  |                    t: current driven from contact to contact
                     [e]       [e]                   e: conductance from a contact to earth
                     (j)       (j)                   j: current driven from earth into a contact
        earth --------+---------+

  The Norton equivalent is kept as branches, not as a matrix. Eliminating a node is the star-mesh
  rule g_jk += g_ij g_ik / S with S the sum of everything at the node: for resistors nothing is ever
  subtracted, so 1 milliohm beside 1 teraohm costs no digits, no pivoting and no small leak to help
  the sums are needed, an open contact is an exact row of zeros and a wire of 0 ohm is exact too.
  A group of contacts with no path to earth shows itself as S == 0 exactly. Sources between contacts
  stay between contacts (t), so a source in a group that leaks alone tie to earth lifts it by what
  those leaks make of it and not by what rounding does to the two ends of its current.

  Contacts count from 0 here: contact 1 of a plug is index 0. A `Port` is direct current; a `PortAc`
  holds PORT_LANES frequencies at once, each number being [re, im][lane]. The two share one body of
  code (circuit/kernel.h). Both are plain data, may be copied by assignment, and never allocate: any
  thread, also an audio thread. Indices out of range are programmer's mistakes (assert).

  Resistances: `ohm` INFINITY is an exact open everywhere. `ohm` 0 is exact in series; between two
  contacts or to earth anything below PORT_SHORT_OHM counts as PORT_SHORT_OHM. Never negative.
*/

enum {
  PORT_MAX = 8,                               ///< Contacts a port can have
  PORT_LANES = 4,                             ///< Frequencies a PortAc holds
  PORT_PAIRS = PORT_MAX * (PORT_MAX - 1) / 2, ///< Pairs of contacts
};

/// Least resistance that can lie across two contacts [ohm].
#define PORT_SHORT_OHM 1e-6

/// Index of the pair a, b (a != b) in `g`; the first n(n-1)/2 belong to an n-contact port.
static inline int
port_pair(int a, int b)
{
  return a < b ? (b * (b - 1) >> 1) + a : (a * (a - 1) >> 1) + b;
}

/// Direct current. All in siemens and amperes; entries beyond `n` mean nothing.
typedef struct {
  int n;
  double g[PORT_PAIRS];
  double t[PORT_PAIRS]; ///< From the lower contact into the higher
  double e[PORT_MAX];
  double j[PORT_MAX];
} Port;

/// One complex number per lane; lane k belongs to frequency k.
typedef struct {
  _Alignas(16) double re[PORT_LANES];
  double im[PORT_LANES];
} PortNumber;

/// Alternating current, PORT_LANES frequencies at once (complex siemens and amperes).
typedef struct {
  int n;
  PortNumber g[PORT_PAIRS];
  PortNumber t[PORT_PAIRS]; ///< From the lower contact into the higher
  PortNumber e[PORT_MAX];
  PortNumber j[PORT_MAX];
} PortAc;

/// What drives each lane of an alternating look.
typedef struct {
  double hz[PORT_LANES];    ///< > 0
  double emf_v[PORT_LANES]; ///< Factor on every source's own emf: 1 to listen to it, 0 to hear hum
  double
    room_v[PORT_LANES]; ///< Potential of the room (mains wiring, lamps, steel) against earth [V]
} PortTones;

/// Nothing plugged: n contacts (1 to PORT_MAX), all open.
void
port_init(Port* port, int n);

/// What assignment does, but only as much as the contacts need.
static inline void
port_copy(Port* to, const Port* from)
{
  const int n = from->n;
  to->n = n;
  if (n == 3) { // Nearly always; a length the compiler knows
    for (int i = 0; i < 3; ++i) {
      to->g[i] = from->g[i];
      to->t[i] = from->t[i];
      to->e[i] = from->e[i];
      to->j[i] = from->j[i];
    }
    return;
  }
  for (int i = 0; i < n * (n - 1) / 2; ++i) {
    to->g[i] = from->g[i];
    to->t[i] = from->t[i];
  }
  for (int i = 0; i < n; ++i) {
    to->e[i] = from->e[i];
    to->j[i] = from->j[i];
  }
}

/// Move a contact behind a resistance: the contact is afterwards the far end of it.
void
port_series(Port* port, int contact, double ohm);

/// Cut a contact: afterwards it leads nowhere, and what hung on it stays in the port's inside.
void
port_open(Port* port, int contact);

/// Put a resistance across two contacts.
void
port_shunt(Port* port, int a, int b, double ohm);

/// Put a resistance from a contact to earth.
void
port_earth(Port* port, int contact, double ohm);

/// Drive a current into a contact [A].
void
port_inject(Port* port, int contact, double current_a);

/// A battery `emf_v` (plus at a) with its series resistance between two contacts; `ohm` > 0.
void
port_source(Port* port, int a, int b, double emf_v, double ohm);

/// A supply `feed_v` above earth feeding a contact through `ohm` > 0.
void
port_source_to_earth(Port* port, int contact, double feed_v, double ohm);

/// Rewire: new contact c is what was contact map[c]; map is a permutation [n].
void
port_permute(Port* port, const uint8_t map[]);

/// Join a second port of the same n contact by contact (two sides of a joint, a splitter).
void
port_sum(Port* port, const Port* other);

/**
   Put an ideal transformer between contacts a, b and contacts c, d (four different ones), then drop
   a and b: contacts above them move down.

       a o--+     +--o c      v_a - v_b = ratio (v_c - v_d)
            )|| ||(           what enters at a leaves at b; what enters at c leaves at d
       b o--+     +--o d

   c and d may carry branches already (windings' capacitance, insulation). This gives branches of
   either sign, the one place where digits can be lost: give an isolating barrier its real
   insulation. At direct current it is the caller's business not to use it.
*/
void
port_transformer(Port* port, int a, int b, int c, int d, double ratio);

/**
   Volts of every contact against earth.

   @param[out] contact_v [n].
   @return Bit mask of floating contacts: those whose group has no path to earth. Of such a group
   only differences mean anything; the lowest contact is its 0 V. Current driven into a floating
   group as a whole has nowhere to go and is dropped: never model a meter as an ideal current.
*/
uint32_t
port_solve(const Port* port, double contact_v[]);

/*
  The same for alternating current. Impedances are one complex number per lane, finite; an open is
  port_ac_open. Admittances are added with port_ac_shunt and port_ac_earth.
*/

void
port_ac_init(PortAc* port, int n);

void
port_ac_series(PortAc* port, int contact, const PortNumber* ohm);

void
port_ac_open(PortAc* port, int contact);

void
port_ac_shunt(PortAc* port, int a, int b, const PortNumber* siemens);

void
port_ac_earth(PortAc* port, int contact, const PortNumber* siemens);

void
port_ac_inject(PortAc* port, int contact, const PortNumber* current_a);

void
port_ac_permute(PortAc* port, const uint8_t map[]);

void
port_ac_sum(PortAc* port, const PortAc* other);

void
port_ac_transformer(PortAc* port, int a, int b, int c, int d, double ratio);

/// @return Mask as port_solve; a contact counts as floating when it does so in any lane.
uint32_t
port_ac_solve(const PortAc* port, PortNumber contact_v[]);
