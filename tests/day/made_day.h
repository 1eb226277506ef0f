// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/forecast.h"

/*
  A day of proving lines that was made by other rules than the forecast plays it by, to hold the
  forecast to.

                      a made day                              the forecast
    pace of a crew    even over 11 to 32 s                    log-normal about the usual 20 s
    single gaps       a least time and then a sum of waits    log-normal
    over the day      a straight drift, in some days a jump   a random walk
    breaks            come in time, last 2 to 9 min, even     a chance a line, log-normal
    faults            each line by its share of the odds      by the odds of the situation
                      list; a tail now and then
    mending           things tried in a habit's order, each   one sum by kind, log-normal
                      time from a triangle of quick, usual
                      and slow; one in three days some
                      faults are left to the end
    told              desk by desk, seconds apart; after a
                      repair heard again at every desk

  What both share is the list of usual times: the scale of the forecast before anything was told.
*/

typedef struct {
  const Plant* plant; ///< Bare lines of it are proven
  int n_facts;
  const Fact* facts; ///< Those told by `now_s`
  double now_s;      ///< Seconds since 1970
  double done_s;     ///< When the last line was in truth proven
} MadeDay;

/// A plant of bare lines with three desks; `n_boxes` boxes of 12.
Status
made_plant(Arena* arena, int n_boxes, Plant* plant);

/// Kinds of days. What the others bring is in nobody's model: how far the bands hold there is
/// measured and not asked for.
typedef enum {
  MADE_USUAL,
  MADE_TWICE_AS_SLOW, ///< From somewhere in the middle half of the lines on: after lunch
  MADE_CLUMP,         ///< A run of six lines of one box, four in five of them broken deep
  MADE_STOP,          ///< Nobody does anything for twenty minutes, somewhere
  MADE_SORTS
} MadeSort;

/// Draw a day and a moment in it.
Status
made_day(Arena* arena, const Plant* plant, MadeSort sort, uint64_t seed, MadeDay* day);

enum { MADE_BINS = 10 };

/// How forecasts did over many days.
typedef struct {
  int n;                   ///< Days with something left to prove at their moment
  int n_held;              ///< The band held the truth
  int n_below;             ///< Done before the band
  int n_within[MADE_BINS]; ///< The middle 10, 20, ... 100 of a hundred held it
  int n_said[MADE_BINS];   ///< Chances stated by tenths, each for a time drawn by itself
  int n_came[MADE_BINS];
  double width_s; ///< Mean of the bands
} MadeTally;

/// Days `first` to `first + n - 1`. @param n_draws Of each forecast.
Status
made_tally(const Plant* const plants[], int n_plants, MadeSort sort, int first, int n, int n_draws,
           MadeTally* tally);

/// The calibration plot, in `arena`; NULL = no memory.
const char*
made_plot(Arena* arena, const MadeTally* tally);

/// What docs/forecast.svg is made of.
enum { MADE_PLOT_DAYS = 1000, MADE_PLOT_DRAWS = 500 };
