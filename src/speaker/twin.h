// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stdbool.h>

/*
  Each circuit against its like.

  What a circuit should read is never known well: a driver's ohms are its own, and copper reads 3.9
  % more for each 10 K, so a hang in the sun at 50 C is 12 % up and nothing is wrong with it. Its
  neighbour says more than any list. So:

      y     reading against the list's figure, as a logarithm
      t     what temperature does to all of a hang: the median of y over it (or a temperature that
            somebody entered), held to -20 ... 80 C, beyond which it is no temperature
      d     y - t
      off   d against the median d of all circuits that are alike, the one in question left out

  Medians, so that one bad circuit does not move what it is held against; the spread is the median
  absolute deviation. A second yardstick is the circuit's own last good reading, what all circuits
  changed by since then taken out. A reading is off when one of the two says so by more than 8 %:
  never by the list alone. Of two that have only each other, the one further from its list is off.

  Source of the 8 %: common practice, no source. Pure; any thread; fixed order.
*/

#define TWIN_OFF_RATIO 0.08

enum { TWIN_MAX = 512 };

typedef struct {
  int like;          ///< Circuits of the same number are alike
  int hang;          ///< Circuits of the same number share their temperature
  double ohm;        ///< Read, leads nulled, > 0; NAN = nothing read, or open or short
  double expect_ohm; ///< By the list at 20 C, > 0
  double last_ohm;   ///< Its last good reading before this one; NAN = none
  double celsius;    ///< Entered for this hang; NAN = not said
} TwinReading;

typedef struct {
  bool is_read;
  bool has_scale;      ///< Something says how warm it is
  bool scale_is_given; ///< A temperature was entered
  double celsius;      ///< Of the copper, given or inferred; NAN without
  int n_like;          ///< Others of its like that were read
  double should_ohm;   ///< What its like say it should read here and now; NAN without
  double off_ratio;    ///< Reading over that, less 1; 0 without
  double spread_ratio; ///< Median absolute deviation of its like; 0 below three
  double own_ratio;    ///< Against its own last good reading, less 1; NAN without
  bool is_off;         ///< By its like or by its own last reading
  bool off_by_own;     ///< Its own last reading says so
} TwinVerdict;

/// @param readings, verdicts [n], n <= TWIN_MAX.
void
twin_judge(const TwinReading readings[], int n, TwinVerdict verdicts[]);

/// Median of n values (n > 0); sorts them. Of an even number the mean of the middle two.
double
twin_median(double values[], int n);
