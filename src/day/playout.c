// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/playout.h"

#include <math.h>

double
playout_finish_s(const PlayoutJob jobs[], int n_jobs, int n_hands, bool has_mender)
{
  double free_s[PLAYOUT_HANDS] = {0.0};
  double desk_s = 0.0;
  double mender_s = 0.0;
  double last_s = 0.0;
  const int n = n_hands < PLAYOUT_HANDS ? n_hands : PLAYOUT_HANDS;
  for (int j = 0; j < n_jobs; ++j) {
    int who = 0;
    for (int i = 1; i < n; ++i) {
      who = free_s[i] < free_s[who] ? i : who;
    }
    desk_s = fmax(free_s[who] + jobs[j].hand_s, desk_s) + jobs[j].listen_s;
    double done_s = desk_s;
    if (jobs[j].mend_s > 0.0 && has_mender) {
      mender_s = fmax(mender_s, desk_s) + jobs[j].mend_s;
      last_s = fmax(last_s, mender_s);
    } else {
      done_s += jobs[j].mend_s;
    }
    free_s[who] = done_s;
    last_s = fmax(last_s, done_s);
  }
  return last_s;
}
