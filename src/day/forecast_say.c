// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/forecast_say.h"

#include "base/text.h"
#include "day/words.h"

#include <math.h>

static const char*
minutes(Arena* arena, double seconds)
{
  const double minute = fabs(seconds) / 60.0;
  return minute < 1.0     ? "less than a minute"
         : minute < 119.5 ? arena_format(arena, "%.0f min", minute)
                          : arena_format(arena, "%.0f h %.0f min", floor(minute / 60.0),
                                         floor(fmod(minute, 60.0)));
}

// When the last line is proven, eight times in ten: from the minute before to the minute after.
static const char*
band(Arena* arena, const ForecastAsk* ask, const Forecast* f)
{
  char low[8];
  char high[8];
  const double now_s = ask->now_s - ask->midnight_s;
  return arena_format(arena, "Likely ready between %s and %s",
                      forecast_clock(now_s + f->low_s, low),
                      forecast_clock(now_s + f->high_s + 59.999, high));
}

static const char*
state_say(Arena* arena, const ForecastAsk* ask, const Forecast* f)
{
  const Remains* const r = &f->remains;
  const int left = r->n_needed - r->n_ready;
  const char* const when = band(arena, ask, f);
  const char* const ago = isnan(f->by_s) ? "" : minutes(arena, f->by_s);
  const char* const chance = isnan(f->chance) ? "" : words_chance(arena, f->chance);
  if (!when || !ago || !chance) {
    return NULL;
  }
  if (r->n_needed == 0) {
    return "This act needs no line: nothing is plugged in it.";
  }
  if (f->is_ready && r->n_moved > 0) {
    return arena_format(arena, "Ready: all %d lines are proven or run on a way round (%d do).",
                        r->n_needed, r->n_moved);
  }
  if (f->is_ready) {
    return arena_format(arena, "Ready: all %d lines are proven.", r->n_needed);
  }
  if (f->by_sort == FORECAST_NO_TIME) {
    return arena_format(arena,
                        "%d of %d lines are left. %s, 8 times in 10. The running order does not "
                        "say when doors open: ask for another time, as in --by 18:00.",
                        left, r->n_needed, when);
  }
  if (f->by_sort == FORECAST_OTHER_DAY) {
    return arena_format(arena,
                        "%d of %d lines are left. %s, 8 times in 10. The doors of the running "
                        "order are on another day: ask for another time, as in --by 18:00.",
                        left, r->n_needed, when);
  }
  if (f->by_s <= 0.0) {
    return arena_format(arena,
                        f->by_sort == FORECAST_SAID
                          ? "%s is past, %s ago: %d of %d lines are not proven. %s, 8 times in 10."
                          : "Doors were at %s, %s ago: %d of %d lines are not proven. %s, 8 times "
                            "in 10.",
                        f->by, ago, left, r->n_needed, when);
  }
  return arena_format(arena,
                      f->by_sort == FORECAST_DOORS
                        ? "All %d lines proven by doors at %s: %s. %s, 8 times in 10."
                      : f->by_sort == FORECAST_ACT
                        ? "All %d lines proven when the act begins at %s: %s. %s, 8 times in 10."
                        : "All %d lines proven by %s: %s. %s, 8 times in 10.",
                      r->n_needed, f->by, chance, when);
}

static const char*
rests_say(Arena* arena, const Forecast* f)
{
  const Going* const going = &f->going;
  const int n = (int)(going->pace.n_lines + 0.5);
  const char* const hands = going->n_hands == 1
                              ? "one person on stage"
                              : arena_format(arena, "%d people on stage", going->n_hands);
  if (!hands || f->is_ready) {
    return hands ? "" : NULL;
  }
  if (going->n_tested > 0) {
    return arena_format(
      arena,
      "Rests on the pace of %d lines by ear and %.0f by %s told so far, %s; %d are "
      "still before that pass, and all %d have to be heard.",
      n, going->by_tester[going->kind].n_lines, going->kind == GOING_LAMP ? "lamp" : "meter", hands,
      going->n_to_test, f->remains.n_lines);
  }
  if (n == 0) {
    return arena_format(
      arena, "Rests on usual practice alone: %s, nothing told yet that shows a pace.", hands);
  }
  if (n < FORECAST_LEARNED_LINES) {
    return arena_format(arena,
                        "Rests on usual practice and on %d %s told so far, %s: too few to know "
                        "this crew.",
                        n, n == 1 ? "line" : "lines", hands);
  }
  return arena_format(arena,
                      "Rests on the pace of %d lines told so far, %s; how often something is wrong "
                      "and how long mending takes is usual practice%s.",
                      n, hands, going->n_mended > 0 ? " and what was mended today" : "");
}

Status
forecast_say(Arena* arena, const Plant* plant, const ForecastAsk* ask, Forecast* f)
{
  (void)plant;
  f->say = state_say(arena, ask, f);
  const char* const rests = rests_say(arena, f);
  f->rests_on = rests && rests[0]
                  ? arena_format(arena, "%s %s", rests,
                                 "A long stop, a crew that gets slower or many faults at once are "
                                 "not foreseen.")
                  : rests;
  return f->say && f->rests_on ? STATUS_OK : STATUS_NO_MEMORY;
}

Status
forecast_say_help(Arena* arena, const Plant* plant, const Forecast* f, ForecastHelp* help)
{
  const char* const sooner = minutes(arena, help->sooner_s);
  // Only where it says something else than without it
  const bool has_chance = !isnan(help->chance) && f->by_s > 0.0;
  const char* chance = has_chance ? words_chance(arena, help->chance) : "";
  const char* const before = has_chance ? words_chance(arena, f->chance) : "";
  const char* const box = help->box >= 0 ? plant->boxes[help->box].name : "";
  const char* what = NULL;
  if (!sooner || !chance || !before) {
    return STATUS_NO_MEMORY;
  }
  chance = text_same(chance, before) ? "" : chance;
  switch (help->sort) {
    case FORECAST_PROVER:
      what = !box[0] ? arena_format(arena, "One more person on stage")
             : f->going.n_hands == 1
               ? arena_format(arena, "A second person on stage, who begins at box %s", box)
               : arena_format(arena, "One more person on stage, who begins at box %s", box);
      break;
    case FORECAST_MENDER:
      what = "Somebody else mends what is found, and the check goes on";
      break;
    case FORECAST_BEGIN:
      what = "Begin the line check now, and not when the running order says";
      break;
    case FORECAST_ORDER:
      what = arena_format(arena, "Go on with box %s", box);
      break;
    case FORECAST_ROUND:
      what = "Take a way round for what is bad now, and mend it afterwards";
      break;
    case FORECAST_NO_PAUSE:
      what = "Go on without a pause until all is proven";
      break;
    case FORECAST_DIRECT:
      what = "Leave out the isolated sides, which then stay unproven";
      break;
  }
  help->say = !what       ? NULL
              : chance[0] ? arena_format(arena, "%s: %s sooner, %s in time.", what, sooner, chance)
                          : arena_format(arena, "%s: %s sooner.", what, sooner);
  return help->say ? STATUS_OK : STATUS_NO_MEMORY;
}
