// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/going.h"
#include "day/remains.h"

/*
  Will every line be proven by doors? And what would help most?

      log --going--> pace, hands, who is mending      \
                                                        played to the end many times --> band,
  chance situation --remains--> lines left, odds of faults /

  Each time the rest of the day is drawn anew: how fast this crew really goes and how its pace
  wanders, when they pause, which lines show a fault and of what kind, how long each search takes,
  what takes many lines down at once. How often that is done in time is the chance; the times
  between which the middle eight of ten end are the band.

  What could be done about it is tried on the very same draws, so that luck cancels out of the
  difference: one more person, somebody who mends, another order, beginning now, ways round for what
  is bad, no pause. Leaving out the isolated sides is offered only where the clock leaves no better
  choice, because those sides stay unproven.

  What it does not know: whether somebody is called away, lists that change, or faults a pass cannot
  hear. Same facts, clock and seed in, same answer out.
*/

enum { FORECAST_DRAWS = 1000, FORECAST_PAST_DRAWS = 300, FORECAST_PAST = 24, FORECAST_HELPS = 16 };

#define FORECAST_SEED 20310614U

/// A look back costs as the lines do: 24 of them up to 64 lines, 8 with 192, so that an answer
/// stays a matter of a second.
#define FORECAST_PAST_WORK (FORECAST_PAST * 64)

/// The band holds the middle eight of ten.
#define FORECAST_LOW_PROB 0.1
#define FORECAST_HIGH_PROB 0.9

/// What saves less is not worth telling anybody: a minute, or 2 in 100 of the chance. Assumed.
#define FORECAST_HELPS_S 60.0
#define FORECAST_HELPS_PROB 0.02

/// Below this chance it is time to leave something out. Assumed.
#define FORECAST_GIVE_UP_PROB 0.8

/// Lines after which the crew's own pace counts more than usual practice: with gaps that spread by
/// half and a usual range of 1 to 2.5 it takes about four; ten to be on the safe side.
#define FORECAST_LEARNED_LINES 10

typedef struct {
  double now_s;      ///< Seconds since 1970
  double midnight_s; ///< When today began, by the clock on the wall
  const char* today; ///< "2031-06-14"; "" = not known
  const char* by;    ///< Time of the day somebody asked for; NULL = doors
  int n_hands;       ///< People on stage who prove; 0 = from the log
  int n_draws;       ///< 0 = FORECAST_DRAWS
  uint64_t seed;     ///< 0 = FORECAST_SEED
} ForecastAsk;

typedef enum {
  FORECAST_NO_TIME,   ///< Nobody said, and the running order has no doors
  FORECAST_OTHER_DAY, ///< It has them on another day
  FORECAST_SAID,
  FORECAST_DOORS,
  FORECAST_ACT ///< Doors are open: the act's own beginning
} ForecastBy;

typedef enum {
  FORECAST_PROVER, ///< One more person on stage
  FORECAST_MENDER, ///< Somebody else mends what is found
  FORECAST_BEGIN,  ///< Begin now and not when the running order says
  FORECAST_ORDER,  ///< Begin with another box
  FORECAST_ROUND,  ///< Ways round for what is bad now
  FORECAST_NO_PAUSE,
  FORECAST_DIRECT ///< Leave out the isolated sides: they stay unproven
} ForecastHelpSort;

typedef struct {
  ForecastHelpSort sort;
  const char* say; ///< One sentence
  int box;         ///< Index; -1 where it names none
  double sooner_s; ///< On average
  double chance;   ///< Of being in time then; NAN without a time
} ForecastHelp;

typedef struct {
  ForecastBy by_sort;
  char by[8];      ///< "14:00"; "" = no time
  double by_s;     ///< From now, below 0 = past; NAN = no time
  bool is_undated; ///< Doors of a running order without a date, taken for today's
  double chance;   ///< All proven in time; 1 only when they are, NAN without a time
  double low_s;    ///< Band and middle of when the last is proven, from now
  double middle_s;
  double high_s;
  const double* finish_s; ///< [n_draws] of each draw, soonest first; NULL when nothing is left
  int n_draws;
  double start_s; ///< The running order begins the line check so long from now; 0 = under way
  bool is_ready;  ///< Nothing is left
  Remains remains;
  Going going;
  const ForecastHelp* helps; ///< [n_helps] that help, most first
  int n_helps;
  const char* say;      ///< Chance and band, one or two sentences
  const char* rests_on; ///< What it was worked out from
} Forecast;

/**
   @param fold The facts `situation` was made of.
   @param[out] forecast Lives in `arena`, borrows the situation; untouched on error.
   @return STATUS_OK; STATUS_BAD_ARG when `by` is no time of the day; STATUS_NO_MEMORY.
*/
Status
forecast_make(Arena* arena, const Situation* situation, const Fold* fold, const ForecastAsk* ask,
              Forecast* forecast);

/// What was foretold at an earlier moment of the log.
typedef struct {
  int64_t seq;
  double at_s; ///< Seconds since 1970; so are low and high
  double chance;
  double low_s, high_s;
  int n_ready;
} ForecastPoint;

/**
   The forecast as it was at up to FORECAST_PAST moments of the log (fewer with many lines), evenly
   over the readings of this session: each from the facts that were known then, with the lists of
   now.
   @param[out] points [*n] in `arena`, oldest first; untouched on error.
*/
Status
forecast_past(Arena* arena, const Situation* situation, const Fold* fold, const ForecastAsk* ask,
              const ForecastPoint** points, int* n);

/// Seconds after midnight of "14:00" ("25:30" is after the next midnight); false when a text is no
/// time of the day.
bool
forecast_clock_s(const char* text, double* seconds);

/// "14:00" of a moment so long after midnight; seconds cut off. Into `text`.
const char*
forecast_clock(double after_midnight_s, char text[8]);
