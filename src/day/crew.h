// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/next.h"
#include "show/fold.h"

/*
  Where everybody is, and who has their hands full: the crew list and what the show's facts say of
  it.

  People start where the crew list has them. Whoever told something stands where they told it
  from, or where they read it. Whoever took a step is busy until they answer, be it with the
  reading, by handing the step back or with anything else they tell; somebody else's word on the
  same step, or sound on that line again, frees them too. While their step is *held* nobody else
  gets it. When twice its own time has gone by they count as not answering: still not asked, but
  the step is free for others and the plan goes on without them.

  Facts name a role and not a person: of several people of one role the first who is free took the
  step, and the one whose line it was has answered.

  Pure: no clock, the caller says how late it is. Any thread.
*/

/// Seconds to wait for an answer, for each second the step itself takes: twice, assumed. The crew's
/// own times.csv may have another figure in the row CREW_WAIT.
#define CREW_WAIT "wait for an answer, per second of the step"
#define CREW_WAIT_RATIO 2.0

/// A step taken by somebody who did not say how long it takes; usual practice, no source.
#define CREW_STEP_S 30.0

/// A step under way.
typedef struct {
  int person;
  Step step;    ///< Line, what it does and where, whom it touches; no words
  double age_s; ///< Since it was taken, >= 0
  double own_s; ///< What it takes
  bool is_late; ///< No answer for too long
} CrewTask;

typedef struct {
  NextPerson* people; ///< [n_people] for NextOptions; busy ones are marked
  int n_people;
  const CrewTask* tasks; ///< [n_tasks] in the order they were taken
  int n_tasks;
} Crew;

/**
   The crew now.

   @param fold NULL = nothing told.
   @param now "2031-06-14T15:22:07Z": how late it is. A text that is no time makes nobody late.
   @param home_desk,line Without a crew list: one person at that desk and one at the box of that
   line
   (-1 = the first box).
   @param[out] crew Lives in `arena`; untouched on error.
   @return STATUS_NO_MEMORY.
*/
Status
crew_now(Arena* arena, const Plant* plant, const Fold* fold, const char* now, int home_desk,
         int line, Crew* crew);

/// A time as facts carry it, in seconds since 1970 began; false when it is none.
bool
crew_time_s(const char* time, double* seconds);
