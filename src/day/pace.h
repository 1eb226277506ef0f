// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/plant.h"

/*
  How fast a crew goes: what usual practice says, pulled to what they do.

  From one line to the next it takes a *gap*. While people work, gaps are spread around a mean in
  ratios (log-normal), and the mean itself wanders as people warm up and tire; now and then there is
  a pause instead, which says nothing of the pace. So there are three unknowns,

      mean seconds a line   x   spread of single gaps   x   how often there is a pause

  and the odds of each combination stand in one table, started from quick, usual and slow of the
  crew's times, and multiplied with every gap by

      (1 - pause) * [gap as work]  +  pause * [gap as a pause]

  so that a break is a break and no slow line. Before each gap the odds of the mean spread a little
  to its neighbours: what was seen an hour ago counts less than what was seen just now.

  Pure. A Pace is plain data; whoever made it owns it.
*/

enum {
  PACE_MEANS = 64, ///< From PACE_LOW_S on, even steps in ratio up to PACE_HIGH_S
  PACE_SPREADS = 6,
  PACE_PAUSES = 6,
  PACE_CELLS = PACE_MEANS * PACE_SPREADS * PACE_PAUSES
};

/// A lamp pass by two goes through 50 lines in under a minute (common practice, no source): about
/// 1 s a line is the quickest; 200 s is slower than any line that is merely proven (assumed).
#define PACE_LOW_S 1.0
#define PACE_HIGH_S 200.0

/// How much the mean wanders from one line to the next, as standard deviation of its ratio:
/// 2 in 100, so 14 in 100 over fifty lines. Assumed.
#define PACE_WANDER_RATIO 0.02

/// A gap longer than this is no pause but the end of a session: 30 min, assumed.
#define PACE_SESSION_S 1800.0

typedef struct {
  double odds[PACE_CELLS]; ///< Row-major [mean][spread][pause], sums to 1
  double sum[PACE_CELLS];  ///< Running sums of `odds` for pace_pick
  double pause_logs;       ///< Log of the middle length of a pause
  double pause_spread;
  double n_lines;  ///< Lines whose gaps were taken in
  double n_pauses; ///< Expected pauses among them
} Pace;

/// One combination.
typedef struct {
  double mean_s; ///< Of a gap that is work
  double spread; ///< Standard deviation of its log
  double pause_prob;
} PaceCell;

/// Usual practice. `line` and `pause`: quick and slow are what 1 in 10 are beyond on each side.
void
pace_start(Pace* pace, const StepTime* line, const StepTime* pause);

/// Take in one gap: `n_lines` (> 0, may be a part of one) took `gap_s` in all. Gaps of no length
/// and those beyond PACE_SESSION_S are left aside; false then.
bool
pace_take(Pace* pace, double gap_s, double n_lines);

/// Nobody has read anything for `waited_s`: the gap under way is at least that long.
void
pace_wait(Pace* pace, double waited_s);

/// A combination by its odds; `unit` in [0, 1).
PaceCell
pace_pick(const Pace* pace, double unit);

/// Seconds a line that the crew's mean is below with this probability.
double
pace_mean_s(const Pace* pace, double prob);

/// How long a gap of this combination takes from now on when `waited_s` of it have gone by: work is
/// what is left of the line, pause what comes before that. `unit` in [0, 1), `z` standard normal;
/// with nothing waited the gap is work by `z` and with pause_prob a pause by `pause_z`.
typedef struct {
  double work_s, pause_s;
} PaceGap;

PaceGap
pace_gap(const Pace* pace, const PaceCell* cell, double waited_s, double unit, double z,
         double pause_z);

/// What is left of a time that is log-normal about `log_middle`, given that it is longer than
/// `waited_s`; `z` standard normal says where.
double
pace_rest_s(double log_middle, double spread, double waited_s, double z);

/// Standard normal: below `z`; and the number that a share of `prob` is below, to 1e-9.
double
pace_normal(double z);
double
pace_normal_at(double prob);
