// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/mend.h"
#include "day/pace.h"
#include "day/situation.h"

/*
  How the proving goes so far, read off the log.

  Readings at desks come in *visits*: one line, heard at one desk after the other. From the start of
  one visit to the start of the next is a gap; a visit that brings word from one desk of three is a
  third of a line. What was told within a second is one visit of several lines (a crew that writes
  down a whole box at once). A gap in which somebody complained, repaired, plugged or was given a
  step is no pace: if its line sounded again before the next one was read, it says how long finding
  and mending took.

  What a lamp tester or a meter read in a pass of its own is a visit too, of one whole line and of
  that kind: a line by lamp takes a second or two and says nothing of how long hearing one takes. So
  each kind has a pace of its own, and a gap from one kind to another is none. A line is not heard
  by it: what a pass by tester still has before it is work that comes before the lines to hear.

  Only readings of the act asked for count, and only those of the last GOING_DAY_S before now.
*/

/// Kinds of pass by what is read.
typedef enum { GOING_EAR, GOING_LAMP, GOING_METER, GOING_KINDS } GoingKind;

#define GOING_DAY_S 86400.0
#define GOING_AT_ONCE_S 1.0

/// A search nobody has said anything of for so long is not going on any more: 20 min, assumed.
#define GOING_MEND_S 1200.0

/// People who told something within so long before the last word are at work: 20 min, assumed.
#define GOING_HANDS_S 1200.0

typedef struct {
  Pace pace;                   ///< By ear, with what has been waited since the last word taken in
  Pace by_tester[GOING_KINDS]; ///< The same of the other kinds; GOING_EAR is not used
  GoingKind kind;              ///< Of the last visit
  int n_tested;       ///< Lines read by a pass of that kind this session, if it is not by ear
  int n_to_test;      ///< Lines such a pass has still before it; 0 once lines are heard
  int n_visits;       ///< Of all kinds
  int n_hands;        ///< On stage: those who told from there, at least 1
  int last_line;      ///< Index, -1 = nothing read yet
  double first_s;     ///< Of the first visit, seconds since 1970
  double last_s;      ///< Start of the last one
  double waited_s;    ///< Since the last word while work goes on; else 0
  bool is_mending;    ///< The last line told was bad and has not been read good since
  bool has_rested;    ///< There were readings, and then none for a session's end
  double mend_log;    ///< Log of how much longer this crew takes to mend than the times say
  double mend_spread; ///< Standard deviation of that
  int n_mended;       ///< It was learned from
} Going;

/**
   @param fold The facts `situation` was made of.
   @param now_s Seconds since 1970. @param n_hands Said by somebody; 0 = from the log.
   @param[out] going Untouched on error. @return STATUS_NO_MEMORY.
*/
Status
going_read(Arena* arena, const Situation* situation, const Fold* fold, double now_s, int n_hands,
           Going* going);

/// The row of the crew's times for one line by lamp or meter.
StepTime
going_tester_time(const Plant* plant, GoingKind kind);

/// The row of the crew's times for one line of this act, at the desks alone, and for a pause.
StepTime
going_line_time(const Plant* plant, int act);
StepTime
going_listen_time(const Plant* plant, int act);
StepTime
going_pause_time(const Plant* plant);

/// A time of a fact in seconds since 1970 with its fraction; false when it is none.
bool
going_time_s(const char* time, double* seconds);
