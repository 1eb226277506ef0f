// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  A circuit as a plain list of parts between numbered nodes (0 = earth), written from the elements
  and edits of a line without any of the product's port code; printed as a deck for ngspice, or
  solved densely in long double as the referee between ngspice and us. The room stands at 0 V here.
*/

#include "circuit/chain.h"
#include "circuit/lamp.h"

#include <complex.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NET_PARTS = 4000, NET_NODES = 600 };

typedef enum { NET_R, NET_C, NET_L, NET_I, NET_T } NetKind;

/// R, C, L: value between a and b. I: value driven into a, out of b. T: ideal transformer a b to c
/// d.
typedef struct {
  NetKind kind;
  int a, b, c, d;
  double value;
} NetPart;

typedef struct {
  bool ac;
  int n; ///< Contacts of a joint
  int n_parts;
  int n_nodes; ///< Node numbers used, earth not counted
  NetPart parts[NET_PARTS];
} Net;

static inline int
net_node(Net* net)
{
  return ++net->n_nodes;
}

static inline void
net_add(Net* net, NetKind kind, int a, int b, double value)
{
  const bool nothing = kind == NET_R ? isinf(value) : value == 0.0;
  if (!nothing && a != b) {
    net->parts[net->n_parts++] =
      (NetPart){kind, a, b, 0, 0, kind == NET_R ? fmax(value, PORT_SHORT_OHM) : value};
  }
}

/// Resistance in series with a contact: its new node.
static inline int
net_through(Net* net, int node, double ohm)
{
  if (ohm == 0.0) {
    return node;
  }
  const int far = net_node(net);
  if (isfinite(ohm)) {
    net->parts[net->n_parts++] = (NetPart){NET_R, node, far, 0, 0, ohm};
  }
  return far;
}

static inline void
net_leaf(Net* net, const ChainLeaf* l, const int at[])
{
  const bool meets = !net->ac && isfinite(l->supply_ohm) && l->load_ohm > 0.0;
  const int fed = meets ? net_node(net) : at[0]; // Where both supply resistors meet
  if (meets) {
    net_add(net, NET_R, fed, at[0], l->load_ohm);
  }
  for (int leg = 0; leg < 2; ++leg) {
    const int node = at[1 + leg];
    net_add(net, NET_R, node, 0, l->feed_ohm[leg]);
    if (net->ac) {
      net_add(net, NET_C, node, at[0], l->leg_f);
      net_add(net, NET_C, node, 0, l->leg_earth_f[leg]);
    } else {
      net_add(net, NET_I, node, 0, l->feed_v / l->feed_ohm[leg]);
      net_add(net, NET_R, node, fed, l->supply_ohm);
      net_add(net, NET_R, node, at[0], l->sender_ohm[leg]);
      net_add(net, NET_I, node, at[0], l->sender_v[leg] / l->sender_ohm[leg]);
    }
    if (net->ac || !l->input_blocked) {
      net_add(net, NET_R, node, 0, l->leg_earth_ohm);
    }
  }
  if (net->ac || !l->input_blocked) {
    net_add(net, NET_R, at[1], at[2], l->input_ohm);
  }
  net_add(net, NET_R, at[0], 0, l->earth_ohm);
  net_add(net, NET_C, at[0], 0, net->ac ? l->room_f : 0.0);
  const double drive_a = net->ac ? l->emf_v / l->source_ohm : 0.0;
  switch (l->drive) {
    case CHAIN_DRIVE_NONE:
      break;
    case CHAIN_DRIVE_FLOATING:
      net_add(net, NET_R, at[1], at[2], l->source_ohm);
      net_add(net, NET_I, at[1], at[2], drive_a);
      break;
    case CHAIN_DRIVE_BOTH:
    case CHAIN_DRIVE_ONE:
      if (net->ac) {
        const bool both = l->drive == CHAIN_DRIVE_BOTH;
        net_add(net, NET_R, at[1], at[0], l->source_ohm);
        net_add(net, NET_R, at[2], at[0], l->source_ohm);
        net_add(net, NET_I, at[1], at[0], both ? 0.5 * drive_a : drive_a);
        net_add(net, NET_I, at[0], at[2], both ? 0.5 * drive_a : 0.0);
      }
      break;
    case CHAIN_DRIVE_UNBALANCED:
      net_add(net, NET_R, at[2], at[0], 0.01);
      net_add(net, NET_R, at[1], at[0], l->source_ohm);
      net_add(net, NET_I, at[1], at[0], drive_a);
      break;
  }
}

/// An end made of branches. A branch's source is a current beside its resistor.
static inline void
net_branches(Net* net, const ChainParts* parts, const int at[])
{
  for (int i = 0; i < parts->n_branches; ++i) {
    const ChainBranch* const b = &parts->branches[i];
    const bool blocked = isfinite(b->series_f);
    if (net->ac ? b->direct_only : blocked) {
      continue;
    }
    const int from = at[b->a];
    const int to = b->b < 0 ? 0 : at[b->b];
    const double ohm = fmax(b->ohm, PORT_SHORT_OHM);
    int middle = to;
    if (blocked) {
      middle = b->ohm > 0.0 ? net_node(net) : from;
      net_add(net, NET_C, middle, to, b->series_f);
    }
    if (middle != from) {
      net_add(net, NET_R, from, middle, b->ohm);
      net_add(net, NET_I, from, middle, (net->ac ? b->emf_v : b->battery_v) / ohm);
    }
  }
}

/// The end in force at an element, its own or what it was replaced by.
static inline void
net_end(Net* net, const ChainElement* e, int element, const ChainEdit* edits, int n_edits,
        const int at[])
{
  const ChainLeaf* leaf = e->kind == CHAIN_LEAF ? &e->as.leaf : NULL;
  const ChainParts* parts = e->kind == CHAIN_PARTS ? &e->as.parts : NULL;
  for (int i = 0; i < n_edits; ++i) {
    if (edits[i].element == element && edits[i].change == CHAIN_REPLACE) {
      parts = edits[i].parts;
      leaf = parts ? NULL : edits[i].leaf;
    }
  }
  if (parts) {
    net_branches(net, parts, at);
  } else {
    net_leaf(net, leaf, at);
  }
}

static inline void
net_adaptor(Net* net, const ChainAdaptor* a, int at[])
{
  int far[PORT_MAX];
  for (int c = 0; c < net->n; ++c) {
    far[c] = a->map[c] < 0 ? net_node(net) : at[a->map[c]];
  }
  for (int d = 0; d < net->n; ++d) {
    at[d] = far[d];
    for (int c = 0; c < d; ++c) {
      net_add(net, NET_R, far[c], far[d], a->join_ohm[port_pair(c, d)]);
    }
  }
}

static inline void
net_half(Net* net, const Section* s, const int at[])
{
  for (int b = 0; b < net->n; ++b) {
    net_add(net, NET_R, at[b], 0, 2.0 / s->earth_siemens[b]);
    net_add(net, NET_C, at[b], 0, net->ac ? 0.5 * (s->earth_f[b] + s->room_f[b]) : 0.0);
    for (int a = 0; a < b; ++a) {
      net_add(net, NET_R, at[a], at[b], 2.0 / s->pair_siemens[port_pair(a, b)]);
      net_add(net, NET_C, at[a], at[b], net->ac ? 0.5 * s->pair_f[port_pair(a, b)] : 0.0);
    }
  }
}

static inline void
net_transformer(Net* net, const ChainTransformer* t, int at[])
{
  at[0] = net_through(net, at[0], t->lift_ohm);
  int p[2], q[2];
  for (int leg = 0; leg < 2; ++leg) {
    int node = at[1 + leg];
    if (isfinite(t->block_f)) {
      const int far = net_node(net);
      net_add(net, NET_C, node, far, net->ac ? t->block_f : 0.0);
      node = far;
    }
    p[leg] = net->ac ? net_through(net, node, 0.5 * t->primary_ohm) : node;
    q[leg] = net_node(net);
    net_add(net, NET_R, p[leg], q[leg], 2.0 * t->insulation_ohm);
    net_add(net, NET_C, p[leg], q[leg], net->ac ? 0.5 * t->winding_f : 0.0);
  }
  if (net->ac) {
    net_add(net, NET_L, p[0], p[1], t->primary_h);
    net->parts[net->n_parts++] = (NetPart){NET_T, p[0], p[1], q[0], q[1], t->ratio};
    at[1] = net_through(net, q[0], 0.5 * t->secondary_ohm);
    at[2] = net_through(net, q[1], 0.5 * t->secondary_ohm);
  } else {
    net_add(net, NET_R, p[0], p[1], t->primary_ohm);
    net_add(net, NET_R, q[0], q[1], t->secondary_ohm);
    at[1] = q[0];
    at[2] = q[1];
  }
}

/// Faults of one end, met walking away from the source.
static inline void
net_edits(Net* net, int element, ChainEnd end, const ChainEdit* edits, int n_edits, int at[])
{
  for (int i = 0; i < n_edits; ++i) {
    const ChainEdit* const edit = &edits[i];
    if (edit->element != element || edit->end != end) {
      continue;
    }
    if (edit->change == CHAIN_SERIES) {
      at[edit->a] = net_through(net, at[edit->a], edit->ohm);
    } else if (edit->change == CHAIN_SHUNT) {
      net_add(net, NET_R, at[edit->a], at[edit->b], edit->ohm);
    } else if (edit->change == CHAIN_LEAK) {
      net_add(net, NET_R, at[edit->a], 0, edit->ohm);
    } else if (edit->change == CHAIN_PERMUTE) {
      int old[PORT_MAX];
      memcpy(old, at, (size_t)net->n * sizeof(int));
      for (int k = 0; k < net->n; ++k) {
        at[k] = old[edit->map[k]];
      }
    }
  }
}

/// Write a line as seen from a joint; `at` gets the joint's nodes, net->n of them.
static inline void
net_line(Net* net, const ChainElement* e, int n_elements, int joint, ChainSide side,
         const ChainEdit* edits, int n_edits, int at[])
{
  int joints[32][PORT_MAX];
  bool beyond[64] = {false}; // Whether the element begins at the joint or further on
  bool joint_beyond[32] = {false};
  joint_beyond[joint] = true;
  for (int i = 0; i < n_elements; ++i) {
    if (i > 0) {
      beyond[i] = joint_beyond[e[i].near];
      if (e[i].far >= 0) {
        joint_beyond[e[i].far] |= beyond[i];
      }
    }
  }
  if (side == CHAIN_TO_DESK) {
    for (int k = 0; k < net->n; ++k) {
      joints[joint][k] = net_node(net);
    }
  }
  for (int i = 0; i < n_elements; ++i) {
    if (side == (beyond[i] ? CHAIN_TO_SOURCE : CHAIN_TO_DESK)) {
      continue;
    }
    int n[PORT_MAX];
    if (i == 0) {
      for (int k = 0; k < net->n; ++k) {
        n[k] = net_node(net);
      }
      net_end(net, &e[i], i, edits, n_edits, n);
    } else {
      memcpy(n, joints[e[i].near], sizeof(n));
      net_edits(net, i, CHAIN_NEAR, edits, n_edits, n);
      if (e[i].kind == CHAIN_SECTION) {
        net_half(net, &e[i].as.section, n);
        for (int k = 0; k < net->n; ++k) {
          n[k] = net_through(net, n[k], e[i].as.section.series_ohm[k]);
        }
        net_half(net, &e[i].as.section, n);
      } else if (e[i].kind == CHAIN_TRANSFORMER) {
        net_transformer(net, &e[i].as.transformer, n);
      } else if (e[i].kind == CHAIN_ADAPTOR) {
        net_adaptor(net, &e[i].as.adaptor, n);
      } else {
        net_end(net, &e[i], i, edits, n_edits, n);
      }
    }
    if (e[i].far >= 0) {
      net_edits(net, i, CHAIN_FAR, edits, n_edits, n);
      memcpy(joints[e[i].far], n, sizeof(n));
    }
  }
  memcpy(at, joints[joint], (size_t)net->n * sizeof(int));
}

/// The deck's parts, one a line; E and F with a 0 V source make the ideal transformer.
static inline void
net_print(const Net* net, FILE* out)
{
  for (int i = 0; i < net->n_parts; ++i) {
    const NetPart* const p = &net->parts[i];
    switch (p->kind) {
      case NET_R:
      case NET_C:
      case NET_L:
        fprintf(out, "%c%d %d %d %.17g\n", "RCL"[p->kind], i, p -> a, p -> b, p -> value);
        break;
      case NET_I: // A deck's current flows from its first node through the source to its second
        fprintf(out, net->ac ? "I%d %d %d dc 0 ac %.17g\n" : "I%d %d %d %.17g\n", i, p->b, p->a,
                p->value);
        break;
      case NET_T:
        fprintf(out, "E%d %d x%d %d %d %.17g\nV%d %d x%d 0\nF%d %d %d V%d %.17g\n", i, p->c, i,
                p->a, p->b, 1.0 / p->value, i, p->d, i, i, p->a, p->b, i, 1.0 / p->value);
        break;
    }
  }
}

/// The referee: dense nodal solve with pivoting. volts [n_nodes + 1]. False when it is singular.
static inline bool
net_solve(const Net* net, double hz, long double complex volts[])
{
  const int n_nodes = net->n_nodes;
  int n = n_nodes;
  for (int i = 0; i < net->n_parts; ++i) {
    n += net->parts[i].kind == NET_T;
  }
  const int width = n + 1;
  long double complex* const m = calloc((size_t)(n * width), sizeof(*m));
#define AT(row, column) m[((row)-1) * width + (column)-1]
  int branch = n_nodes;
  const long double complex jw = 2.0L * 3.14159265358979323846L * hz * I;
  for (int i = 0; i < net->n_parts; ++i) {
    const NetPart* const p = &net->parts[i];
    long double complex y = 0.0L;
    switch (p->kind) {
      case NET_R:
        y = 1.0L / p->value;
        break;
      case NET_C:
        y = jw * p->value;
        break;
      case NET_L:
        y = 1.0L / (jw * p->value);
        break;
      case NET_I:
        if (p->a) {
          AT(p->a, n + 1) += p->value;
        }
        if (p->b) {
          AT(p->b, n + 1) -= p->value;
        }
        break;
      case NET_T: {
        ++branch; // Unknown: current into the primary
        const int node[4] = {p->a, p->b, p->c, p->d};
        const long double weight[4] = {1.0L, -1.0L, -(long double)p->value, (long double)p->value};
        for (int k = 0; k < 4; ++k) {
          AT(node[k], branch) += weight[k];
          AT(branch, node[k]) += weight[k];
        }
        break;
      }
    }
    if (y != 0.0L) {
      if (p->a) {
        AT(p->a, p->a) += y;
      }
      if (p->b) {
        AT(p->b, p->b) += y;
      }
      if (p->a && p->b) {
        AT(p->a, p->b) -= y;
        AT(p->b, p->a) -= y;
      }
    }
  }
  bool sound = true;
  for (int k = 1; k <= n && sound; ++k) {
    int best = k;
    for (int r = k + 1; r <= n; ++r) {
      best = cabsl(AT(r, k)) > cabsl(AT(best, k)) ? r : best;
    }
    sound = cabsl(AT(best, k)) > 0.0L;
    for (int c = 1; sound && c <= width; ++c) {
      const long double complex swap = AT(k, c);
      AT(k, c) = AT(best, c);
      AT(best, c) = swap;
    }
    for (int r = k + 1; sound && r <= n; ++r) {
      const long double complex f = AT(r, k) / AT(k, k);
      for (int c = k; f != 0.0L && c <= width; ++c) {
        AT(r, c) -= f * AT(k, c);
      }
    }
  }
  for (int k = n; k >= 1 && sound; --k) {
    for (int c = k + 1; c <= n; ++c) {
      AT(k, width) -= AT(k, c) * AT(c, width);
    }
    AT(k, width) /= AT(k, k);
  }
  volts[0] = 0.0L;
  for (int k = 1; k <= n_nodes && sound; ++k) {
    volts[k] = AT(k, width);
  }
#undef AT
  free(m);
  return sound;
}
