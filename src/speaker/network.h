// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/status.h"

#include <stdbool.h>

/*
  What an amplifier sees: resistors, coils and capacitors in series and in parallel.

      o--[cable]--+--[break]--[coil]--+         series and parallel only, two terminals:
                  |                   |         nodes in one array, what is made of others
      o-----------+-------------------+         stands behind them

  A pair of poles with all that hangs on it is such a network as long as nothing joins it to another
  pair, so no equations have to be solved: one pass from the parts to the whole gives what is seen,
  one pass back gives what each part gets. Open and short are exact: an ohm may be 0 or INFINITY,
  and at direct current a capacitor is open and a coil is a wire.

  Pure, allocates nothing; any thread. Fixed order of every sum.
*/

typedef enum {
  NETWORK_OHM,     ///< value [ohm], 0 to INFINITY
  NETWORK_HENRY,   ///< value [H], >= 0
  NETWORK_FARAD,   ///< value [F], > 0
  NETWORK_SERIES,  ///< Of nodes a and b
  NETWORK_PARALLEL ///< Of nodes a and b
} NetworkKind;

typedef struct {
  NetworkKind kind;
  double value;
  int a, b; ///< Both less than the node's own index
} NetworkNode;

enum { NETWORK_MAX = 1200 };

/// The last node is the whole.
typedef struct {
  int n;
  NetworkNode nodes[NETWORK_MAX];
} Network;

/// Add a node; its index, or -1 when there is no room or a part of it is not there (also -1), so
/// that a long composition checks its last index once.
int
network_add(Network* net, NetworkKind kind, double value);
int
network_join(Network* net, NetworkKind kind, int a, int b);

/// Ohms at direct current; INFINITY = open. `ohm` [n] takes every node's, may be NULL.
double
network_dc(const Network* net, double ohm[]);

/// An impedance.
typedef struct {
  double re_ohm, im_ohm;
  bool is_open;
} NetworkOhm;

/// At a frequency > 0. `ohm` [n] takes every node's, may be NULL.
NetworkOhm
network_ac(const Network* net, double hz, NetworkOhm ohm[]);

/// Size; INFINITY = open.
double
network_size_ohm(NetworkOhm z);

/// Phase, -90 to 90 for what has no source; 0 for an open.
double
network_phase_deg(NetworkOhm z);

/// Watts that each node turns into heat with `volts` rms across the whole at `hz` (0 = direct
/// current). @param[out] watts [n].
void
network_watts(const Network* net, double hz, double volts, double watts[]);
