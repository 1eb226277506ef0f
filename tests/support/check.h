// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  What every test program shares: cmocka with its headers in the order it needs, an allocator that
  fails the n-th request, and a number check that prints case, got and want.
*/

// clang-format off
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>
// clang-format on

#include "base/arena.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/// Heap that fails request number `fail_at` (1-based; 0 = never) and counts all requests.
typedef struct {
  int n_requests;
  int fail_at;
  int n_live; ///< Blocks given and not yet taken back: must be 0 at the end
} FailingHeap;

static inline void*
failing_get(void* user, size_t n_bytes)
{
  FailingHeap* const heap = user;
  if (++heap->n_requests == heap->fail_at) {
    return NULL;
  }
  ++heap->n_live;
  return malloc(n_bytes);
}

static inline void
failing_put(void* user, void* block)
{
  FailingHeap* const heap = user;
  --heap->n_live;
  free(block);
}

/// Blocks of one byte: every piece an arena hands out is a request of its own that can fail.
static inline Allocator
failing_allocator(FailingHeap* heap)
{
  return (Allocator){failing_get, failing_put, heap, 1};
}

/// Fails the running test unless |got - want| <= tolerance; says which case.
#define CHECK_NEAR(name, got, want, tolerance)                                                     \
  do {                                                                                             \
    const double got_ = (got);                                                                     \
    const double want_ = (want);                                                                   \
    if (!(fabs(got_ - want_) <= (tolerance))) {                                                    \
      fail_msg("%s: got %.12g, want %.12g +-%.3g", (name), got_, want_, (double)(tolerance));      \
    }                                                                                              \
  } while (0)

/// How many random cases to try: `few` in `make test`, `many` in `make long` (LINEWALK_LONG set).
static inline int
check_count(int few, int many)
{
  return getenv("LINEWALK_LONG") ? many : few;
}

/// How far apart the requests lie that a test fails: every one of `n` in `make long`, else every
/// k-th, so that at most `few` are; it says so.
static inline int
failing_step(int n, int few)
{
  const int step = getenv("LINEWALK_LONG") || n <= few ? 1 : (n + few - 1) / few;
  printf("%d requests for memory; one in %d fails, each by itself\n", n, step);
  return step;
}

/// State a measured figure; `make long` collects these. No blanks in `name`.
static inline void
check_figure(const char* name, double value, const char* unit)
{
  printf("figure: %s %.6g %s\n", name, value, unit);
}
