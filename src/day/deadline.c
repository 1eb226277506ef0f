// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/deadline.h"

#include "base/text.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

#define ON_AIR "on air, "
#define ON_AIR_REST "on air, any other"
#define ON_AIR_REST_S 180.0 // One song, 3 to 4 minutes; usual practice

// Minutes since midnight; -1 when a text is no time of the day.
static int
minute_of(const char* clock)
{
  int hour = 0;
  int minute = 0;
  if (!clock || sscanf(clock, "%2d:%2d", &hour, &minute) != 2 || hour < 0 || hour > 23 ||
      minute < 0 || minute > 59) {
    return -1;
  }
  return hour * 60 + minute;
}

// Whether a word stands in a name, ignoring ASCII case, as a word of its own.
static bool
has_word(const char* name, const char* word)
{
  const size_t n = strlen(word);
  for (const char* at = name; n > 0 && *at; ++at) {
    const bool begins = at == name || !isalnum((unsigned char)at[-1]);
    if (begins && text_begins(at, word) && !isalnum((unsigned char)at[n])) {
      return true;
    }
  }
  return false;
}

static double
budget_s(const Plant* plant, int act, int line)
{
  const Input* const input = line >= 0 ? plant_input(plant, act, line) : NULL;
  for (int i = 0; input && i < plant->n_times; ++i) {
    const char* const step = plant->times[i].step;
    if (text_begins(step, ON_AIR) && has_word(input->source, step + strlen(ON_AIR))) {
      return plant->times[i].usual_s;
    }
  }
  return input ? plant_time_s(plant, ON_AIR_REST, ON_AIR_REST_S) : 0.0;
}

Deadline
deadline_of(const Plant* plant, int act, int line, const char* today, const char* clock,
            double minutes)
{
  Deadline out = {DEADLINE_NONE, 0.0, ""};
  const int now = minute_of(clock);
  const Act* const a = act >= 0 ? &plant->acts[act] : NULL;
  const int start = a ? minute_of(a->start) : -1;
  const int end = a ? minute_of(a->end) : -1;
  if (minutes > 0.0) {
    out.sort = DEADLINE_SAID;
    out.seconds = minutes * 60.0;
  } else if (a && now >= 0 && start >= 0 && today && a->date[0] && !strcmp(a->date, today)) {
    if (now < start) {
      out.sort = DEADLINE_ACT;
      out.seconds = 60.0 * (start - now);
    } else if (now < end) {
      out.seconds = budget_s(plant, act, line);
      out.sort = out.seconds > 0.0 ? DEADLINE_ON_AIR : DEADLINE_NONE;
    }
  }
  if (out.seconds >= 60.0 && now >= 0 && out.seconds < 24.0 * 3600.0) {
    const int by = (now + (int)(out.seconds / 60.0)) % (24 * 60);
    (void)snprintf(out.by, sizeof(out.by), "%02d:%02d", (by / 60) % 24, by % 60);
  }
  return out;
}
