// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/lists.h"

/*
  What the benchmarks have in common: one clock, one way to give up, and two plants.

  A benchmark measures the process it is, so that other work on the machine does not count; it
  leaves when what it measures does not work, and never for being slow. One thread.
*/

/// Time this process has used so far.
double
measure_ms(void);
double
measure_s(void);

/// Leave with `what` on standard error unless `good`.
void
measure_must(bool good, const char* what);

/**
   The demo event out of the folder that LINEWALK_DEMO names (default "demo").
   @param names Lists wanted [n], NULL = all of them by name. @param[out] plant In `arena`.
*/
void
measure_demo(Arena* arena, const char* const names[], int n, Plant* plant);

enum { MEASURE_ACTS = 8, MEASURE_LINES = 192 };

typedef enum {
  MEASURE_NO_DESKS, ///< No desk has said what it has
  MEASURE_AS_LISTED,
  MEASURE_HUNDRED_WRONG ///< As listed but for about a hundred of 4,608 channels that are open
} MeasureDesks;

typedef struct {
  int box_sockets;    ///< 24 or 48
  bool wanders;       ///< Every third source plays in all acts, on another socket each time
  MeasureDesks desks; ///< What the three desks have in every act
  bool has_kit;       ///< Known-good microphone, lamp tester and hand meter on stage
} MeasureFestival;

/// A festival of 8 acts on 192 lines at three desks. @param[out] plant In `arena`.
void
measure_festival(Arena* arena, const MeasureFestival* ask, Plant* plant);
