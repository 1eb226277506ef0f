// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  Set-based diagnosis by plain enumeration: the oracle that knows nothing of odds.

  A Device has up to 8 parts; a *candidate* is the bit set of its faulty parts, whose outputs may
  then be anything. `predict` says what a candidate together with the observations makes of one
  quantity. A conflict is a set of parts that cannot all be good, a diagnosis a set of parts whose
  fault explains everything; minimal diagnoses are the minimal hitting sets of the minimal
  conflicts (Reiter 1987).
*/

#include <stdbool.h>

enum { DEVICE_UNSEEN = -1000, DEVICE_UNPREDICTED = 1000, DEVICE_INCONSISTENT = 1001 };

typedef struct {
  int n_parts;
  int n_quantities; ///< At most 8
  int (*predict)(unsigned faulty, const int* observed, int quantity);
} Device;

/// Which of the 2^n_parts candidates the observations leave.
static inline bool
device_consistent(const Device* device, unsigned faulty, const int* observed)
{
  return device->predict(faulty, observed, 0) != DEVICE_INCONSISTENT;
}

/// The sets that have no proper subset in the list. @param[out] minimal [n]. @return How many.
static inline int
sets_minimal(const unsigned* sets, int n, unsigned* minimal)
{
  int n_kept = 0;
  for (int i = 0; i < n; ++i) {
    bool keep = true;
    for (int k = 0; k < n; ++k) {
      keep = keep && (sets[k] == sets[i] || (sets[k] & sets[i]) != sets[k]);
    }
    if (keep) {
      minimal[n_kept++] = sets[i];
    }
  }
  return n_kept;
}

/// Minimal sets of parts that have one in common with each of `sets`, by value. [256] at most.
static inline int
sets_hitting(const unsigned* sets, int n, int n_parts, unsigned* hitting)
{
  unsigned all[256];
  int n_all = 0;
  for (unsigned h = 0; h < 1u << n_parts; ++h) {
    bool hits = true;
    for (int i = 0; i < n; ++i) {
      hits = hits && (sets[i] & h);
    }
    if (hits) {
      all[n_all++] = h;
    }
  }
  return sets_minimal(all, n_all, hitting);
}

/// Minimal conflicts (`conflicts` true) or minimal diagnoses after the observations, by value.
static inline int
device_minimal(const Device* device, const int* observed, bool conflicts, unsigned* minimal)
{
  unsigned all[256];
  int n_all = 0;
  const unsigned parts = (1u << device->n_parts) - 1;
  for (unsigned set = 0; set <= parts; ++set) {
    if (device_consistent(device, conflicts ? parts & ~set : set, observed) != conflicts) {
      all[n_all++] = set;
    }
  }
  return sets_minimal(all, n_all, minimal);
}
