// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/pace.h"

#include <math.h>

/*
  Work is log-normal about its own mean: log gap = log mean - spread^2 / 2 + spread * z, so that the
  sum of many gaps goes by the mean and not by the middle. The average of k gaps that were told at
  once has 1/k of the variance of one.
*/

// Spreads of single gaps and how often they come: usual practice, no source. A strict loop keeps
// within 15 in 100; a stage with three people shouting does not keep within 2 to 1.
static const double spreads[PACE_SPREADS] = {0.05, 0.15, 0.30, 0.45, 0.65, 0.90};
static const double spread_odds[PACE_SPREADS] = {0.04, 0.11, 0.25, 0.30, 0.20, 0.10};

// Pauses a line: from hardly one in five hundred to one in twelve, on average one in eighty, which
// at 20 s a line is one in half an hour; assumed.
static const double pauses[PACE_PAUSES] = {0.002, 0.005, 0.01, 0.02, 0.04, 0.08};
static const double pause_odds[PACE_PAUSES] = {0.20, 0.27, 0.27, 0.16, 0.07, 0.03};

// Ratio of 1 in 10 to 9 in 10 of a normal, in standard deviations: 2 * 1.2816.
#define TENTHS 2.5631

// One crew in ten is nothing like usual: quicker or slower by a factor of e or so. Assumed.
#define UNUSUAL_PROB 0.1
#define UNUSUAL_SPREAD 1.0

#define SQRT_HALF 0.70710678118654752440
#define SQRT_TWO_PI 2.50662827463100050242

static double
step_of_mean(void)
{
  return log(PACE_HIGH_S / PACE_LOW_S) / (PACE_MEANS - 1);
}

static double
log_mean(int i)
{
  return log(PACE_LOW_S) + step_of_mean() * i;
}

double
pace_normal(double z)
{
  return 0.5 * erfc(-z * SQRT_HALF);
}

double
pace_normal_at(double prob)
{
  double low = -9.0;
  double high = 9.0;
  while (high - low > 1e-9) {
    const double middle = 0.5 * (low + high);
    if (pace_normal(middle) < prob) {
      low = middle;
    } else {
      high = middle;
    }
  }
  return 0.5 * (low + high);
}

static double
density(double x, double mean, double spread)
{
  const double z = (x - mean) / spread;
  return exp(-0.5 * z * z) / (spread * SQRT_TWO_PI);
}

static double
spread_of(const StepTime* time)
{
  const double ratio = isfinite(time->slow_s) && time->quick_s > 0.0 ? time->slow_s / time->quick_s
                                                                     : 4.0; // Slow is "never"
  return fmax(log(ratio) / TENTHS, 0.05);
}

// Odds to sum 1, and their running sums.
static void
settle(Pace* pace)
{
  double all = 0.0;
  double sum = 0.0;
  for (int i = 0; i < PACE_CELLS; ++i) {
    all += pace->odds[i];
  }
  for (int i = 0; i < PACE_CELLS; ++i) {
    pace->odds[i] /= all;
    sum += pace->odds[i];
    pace->sum[i] = sum;
  }
}

void
pace_start(Pace* pace, const StepTime* line, const StepTime* pause)
{
  const double usual = log(fmin(fmax(line->usual_s, PACE_LOW_S), PACE_HIGH_S));
  const double spread = spread_of(line);
  *pace = (Pace){.pause_logs = log(fmax(pause->usual_s, 1.0)), .pause_spread = spread_of(pause)};
  for (int i = 0; i < PACE_CELLS; ++i) {
    const double mean = log_mean(i / (PACE_SPREADS * PACE_PAUSES));
    const double prob = (1.0 - UNUSUAL_PROB) * density(mean, usual, spread) +
                        UNUSUAL_PROB * density(mean, usual, UNUSUAL_SPREAD);
    pace->odds[i] =
      prob * spread_odds[i / PACE_PAUSES % PACE_SPREADS] * pause_odds[i % PACE_PAUSES];
  }
  settle(pace);
}

// Odds of the mean to its neighbours: a walk of PACE_WANDER_RATIO a line. At the ends it stays.
static void
wander(Pace* pace, double n_lines)
{
  enum { ROW = PACE_SPREADS * PACE_PAUSES };
  const double ratio = PACE_WANDER_RATIO / step_of_mean();
  const double part = fmin(0.5 * ratio * ratio * n_lines, 0.25); // Each way
  double before[ROW];
  for (int k = 0; k < ROW; ++k) {
    before[k] = pace->odds[k];
  }
  for (int m = 0; m < PACE_MEANS; ++m) {
    for (int k = 0; k < ROW; ++k) {
      double* const here = &pace->odds[m * ROW + k];
      const double was = *here;
      const double after = m + 1 < PACE_MEANS ? here[ROW] : was;
      *here = (1.0 - 2.0 * part) * was + part * (before[k] + after);
      before[k] = was;
    }
  }
}

bool
pace_take(Pace* pace, double gap_s, double n_lines)
{
  if (!(gap_s > 0.0) || gap_s > PACE_SESSION_S || !(n_lines > 0.0)) {
    return false;
  }
  wander(pace, n_lines);
  const double one = log(gap_s / n_lines);
  const double narrow = 1.0 / sqrt(fmax(n_lines, 1.0));
  const double as_pause = density(log(gap_s), pace->pause_logs, pace->pause_spread);
  double all = 0.0;
  double paused = 0.0;
  for (int i = 0; i < PACE_CELLS; i += PACE_PAUSES) {
    const double spread = spreads[i / PACE_PAUSES % PACE_SPREADS];
    const double mean = log_mean(i / (PACE_SPREADS * PACE_PAUSES)) - 0.5 * spread * spread;
    const double as_work = density(one, mean, spread * narrow);
    for (int k = 0; k < PACE_PAUSES; ++k) {
      const double none = n_lines == 1.0 ? 1.0 - pauses[k] : pow(1.0 - pauses[k], n_lines);
      const double a_pause = pace->odds[i + k] * (1.0 - none) * as_pause;
      // What neither explains says nothing, and must not leave the table empty
      pace->odds[i + k] *= none * as_work + (1.0 - none) * as_pause + 1e-12;
      all += pace->odds[i + k];
      paused += a_pause;
    }
  }
  pace->n_lines += n_lines;
  pace->n_pauses += paused / all;
  settle(pace);
  return true;
}

static double
work_beyond(double mean_s, double spread, double waited_s)
{
  return 1.0 - pace_normal((log(waited_s) - log(mean_s) + 0.5 * spread * spread) / spread);
}

static double
pause_beyond(const Pace* pace, double waited_s)
{
  return 1.0 - pace_normal((log(waited_s) - pace->pause_logs) / pace->pause_spread);
}

void
pace_wait(Pace* pace, double waited_s)
{
  if (!(waited_s > 0.0)) {
    return;
  }
  const double as_pause = pause_beyond(pace, waited_s);
  for (int i = 0; i < PACE_CELLS; i += PACE_PAUSES) {
    const double as_work = work_beyond(exp(log_mean(i / (PACE_SPREADS * PACE_PAUSES))),
                                       spreads[i / PACE_PAUSES % PACE_SPREADS], waited_s);
    for (int k = 0; k < PACE_PAUSES; ++k) {
      pace->odds[i + k] *= (1.0 - pauses[k]) * as_work + pauses[k] * as_pause + 1e-12;
    }
  }
  settle(pace);
}

PaceCell
pace_pick(const Pace* pace, double unit)
{
  int low = 0;
  int high = PACE_CELLS - 1;
  while (low < high) {
    const int middle = (low + high) / 2;
    if (pace->sum[middle] > unit) {
      high = middle;
    } else {
      low = middle + 1;
    }
  }
  return (PaceCell){exp(log_mean(low / (PACE_SPREADS * PACE_PAUSES))),
                    spreads[low / PACE_PAUSES % PACE_SPREADS], pauses[low % PACE_PAUSES]};
}

double
pace_mean_s(const Pace* pace, double prob)
{
  double sum = 0.0;
  for (int m = 0; m < PACE_MEANS; ++m) {
    double here = 0.0;
    for (int k = 0; k < PACE_SPREADS * PACE_PAUSES; ++k) {
      here += pace->odds[m * PACE_SPREADS * PACE_PAUSES + k];
    }
    if (sum + here >= prob || m + 1 == PACE_MEANS) {
      // Within the step as if its odds lay evenly in it
      const double part = here > 0.0 ? fmin((prob - sum) / here, 1.0) : 0.5;
      return exp(log_mean(m) + step_of_mean() * (part - 0.5));
    }
    sum += here;
  }
  return PACE_HIGH_S;
}

double
pace_rest_s(double log_middle, double spread, double waited_s, double z)
{
  const double gone = pace_normal((log(waited_s) - log_middle) / spread);
  const double at = fmin(gone + (1.0 - gone) * pace_normal(z), 1.0 - 1e-12);
  return fmax(exp(log_middle + spread * pace_normal_at(at)) - waited_s, 0.0);
}

PaceGap
pace_gap(const Pace* pace, const PaceCell* cell, double waited_s, double unit, double z,
         double pause_z)
{
  const double log_work = log(cell->mean_s) - 0.5 * cell->spread * cell->spread;
  const double whole_s = exp(log_work + cell->spread * z);
  if (!(waited_s > 0.0)) {
    const double pause_s = exp(pace->pause_logs + pace->pause_spread * pause_z);
    return (PaceGap){whole_s, unit < cell->pause_prob ? pause_s : 0.0};
  }
  const double as_work =
    (1.0 - cell->pause_prob) * work_beyond(cell->mean_s, cell->spread, waited_s) + 1e-12;
  const double as_pause = cell->pause_prob * pause_beyond(pace, waited_s) + 1e-12;
  if (unit * (as_work + as_pause) < as_work) {
    return (PaceGap){pace_rest_s(log_work, cell->spread, waited_s, z), 0.0};
  }
  return (PaceGap){whole_s, pace_rest_s(pace->pause_logs, pace->pause_spread, waited_s, pause_z)};
}
