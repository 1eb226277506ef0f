// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/moved.h"

#include "base/text.h"
#include "day/words.h"

/// A suspect's odds by a list: its part, or its state, in all its faults.
static double
odds_in(const Suspect list[], int n, const Suspect* suspect)
{
  double prob = 0.0;
  for (int i = 0; i < n; ++i) {
    prob += situation_same_part(&list[i], suspect) ? list[i].prob : 0.0;
  }
  return prob;
}

static const char*
one_say(Arena* arena, const Situation* s, int line, const Suspect* suspect, const double prob[2])
{
  const WordsFill fill = {
    .first = suspect->state ? shared_say(arena, s->plant, s->act, suspect->state)
                            : catalogue_part(arena, s->plant, s->act, line, &suspect->fault),
    .found = words_odds(arena, prob[0]),
    .odds = words_odds(arena, prob[1])};
  if (!fill.first || !fill.found || !fill.odds) {
    return NULL;
  }
  return words_say(arena, text_same(fill.found, fill.odds) ? WORDS_ODDS_STILL : WORDS_ODDS_MOVED,
                   &fill);
}

Status
moved_say(Arena* arena, const Situation* was, const Situation* now, int line, const char** say)
{
  const Situation* const both[2] = {was, now};
  const Suspect* lists[2];
  const Suspect* tops[2];
  const char* says[2] = {"", ""};
  int n[2];
  Status st = STATUS_OK;
  for (int i = 0; i < 2; ++i) {
    double prob = 0.0;
    TRY(st, situation_suspects(both[i], arena, line, &lists[i], &n[i]));
    tops[i] = situation_top(lists[i], n[i], &prob);
  }
  if (tops[0] && tops[1] && situation_same_part(tops[0], tops[1])) {
    tops[0] = NULL;
  }
  for (int i = 0; i < 2; ++i) {
    if (tops[i]) {
      const double prob[2] = {odds_in(lists[0], n[0], tops[i]), odds_in(lists[1], n[1], tops[i])};
      says[i] = one_say(arena, now, line, tops[i], prob);
    }
  }
  if (!says[0] || !says[1]) {
    return STATUS_NO_MEMORY;
  }
  const char* const all =
    arena_format(arena, "%s%s%s", says[1], says[0][0] && says[1][0] ? " " : "", says[0]);
  *say = all ? all : *say;
  return all ? STATUS_OK : STATUS_NO_MEMORY;
}
