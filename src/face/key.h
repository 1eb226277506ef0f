// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/screen.h"

#include <stdbool.h>

/*
  One key, or one line of a pipe.

  The terminal is raw only while a key is awaited, and what ends the wait (a key, the end of input,
  a signal) first puts it back. Signals are taken as events while waiting, not in a handler, so
  there is nothing a handler would have to know; the caller closes what it holds and raises the
  signal again.
*/

typedef struct {
  bool is_keys;           ///< One key at a time on a terminal; else one answer a line
  double start_s;         ///< Monotonic clock when the conversation began
  int signal;             ///< Signal that ended the wait; 0 = none
  const char* clock_says; ///< Behind the running clock: "on this line"
} Keys;

enum {
  KEY_END = -1,  ///< Input is over, or a signal
  KEY_LATER = -2 ///< `until_s` has come: draw again
};

/// Look at stdin and the screen; starts the clock.
void
keys_init(Keys* keys, const Screen* screen);

/// Seconds since the conversation began.
double
keys_seconds(const Keys* keys);

/// The next key, lower case; in a pipe the first character of the next line that has one.
/// On a terminal the clock of the line runs on the last row while waiting.
/// @param until_s  Seconds since the start at which to give KEY_LATER; 0 = never (a pipe never
/// does).
int
keys_next(Keys* keys, const Screen* screen, double until_s);
