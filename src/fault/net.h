// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/wiring.h"

/*
  What hangs together in a cable with given faults: union-find over the contacts of both ends and
  the lengths of the wires between them. Private to wiring.c and explain.c.

  Nothing here allocates or fails; plans and faults must be good (wiring_check). Any thread.
*/

/// The plan with the wires that lead nowhere.
typedef struct {
  const WiringPlan* plan;
  WiringWire wires[WIRING_ALL];
  int n_wires; ///< All
} NetModel;

/// Contacts, wires and joins that hang together, and which net each contact should be seen in.
typedef struct {
  int nodes[WIRING_NODES];
  int n_nodes;
  int wires[WIRING_ALL];
  int n_wires;
  int joins[WIRING_CONTACTS];
  int n_joins;
} NetCluster;

/// Who hangs together: contacts 0..WIRING_NODES, then the lengths of wires. The root is the lowest.
typedef struct {
  unsigned char up[WIRING_NODES + WIRING_ALL];
} NetUnion;

/// The contact a wire has at an end; 0 = none.
int
net_end_of(const WiringWire* wire, WiringPlace end);

void
net_model(NetModel* model, const WiringPlan* plan);

/// Everything there is, as one cluster.
void
net_all(const NetModel* model, NetCluster* all);

/// The part of all that hangs together with `seed` in `together`.
void
net_at_seed(const NetModel* model, const NetCluster* all, NetUnion* together, int seed,
            NetCluster* cluster);

/// The lowest node that hangs together with this one.
int
net_root(NetUnion* together, int node);

void
net_tie(NetUnion* together, int a, int b);

/// What hangs together in a cluster with these faults. `faults` [n].
void
net_forward(const NetModel* model, const NetCluster* cluster, const WiringFault* const faults[],
            int n, NetUnion* together);

/// Whether faults make the cluster's contacts hang together exactly as seen. `net`: for each
/// contact the lowest one it was seen joined to.
bool
net_explains(const NetModel* model, const NetCluster* cluster, const int net[WIRING_NODES],
             const WiringFault* const faults[], int n);

/// Two crossings of one end that touch the same wire: together they mean nothing.
bool
net_share_a_wire(const WiringFault* a, const WiringFault* b);
