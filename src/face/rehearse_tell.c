// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/rehearse_tell.h"

#include "day/words.h"
#include "face/line_view.h"
#include "face/play_view.h"

#include <stdio.h>
#include <string.h>

/*
  A rescue as it would be told afterwards, to somebody who was not there. Read as it stands it is
  plain text with some stars in it; rendered it is a numbered list, a step each.
*/

#define ROUND_FIRST_S 60.0 ///< From here on `rescue` has the way round first

enum { OTHERS_NAMED = 2 }; ///< Complaints of other lines told one by one, per step

typedef struct {
  const Face* face;
  const OpenShow* show;
  Practice* practice;
  int n_steps;
  int n_heard;
  bool is_round_told;
} Tale;

static void
tell_item(const Tale* tale, const char* lead, const char* text)
{
  screen_item(tale->face->screen, PAINT_PLAIN, lead, text ? text : "");
}

static void
tell_head(const Tale* tale, const PracticeScreen* screen, const char* likely)
{
  const int line = practice_line(tale->practice);
  char socket[40];
  screen_say(tale->face->screen, PAINT_PLAIN, "**%s** Line %d, socket %s, %s. %s",
             screen->complaint, tale->show->plant.lines[line].number,
             line_socket(&tale->show->plant, line, socket), tale->show->act_word, likely);
  screen_gap(tale->face->screen);
}

/// What was complained of before a time, and is not told yet.
static void
tell_heard(Tale* tale, double until_s)
{
  Arena* const arena = tale->face->arena;
  int n = 0;
  char clock[16];
  const PracticeHeard* const heard = practice_heard(tale->practice, &n);
  while (n > 0 && heard[n - 1].at_s > until_s) {
    --n;
  }
  for (int i = tale->n_heard; i < n && i < tale->n_heard + OTHERS_NAMED; ++i) {
    tell_item(tale, "   - ",
              arena_format(arena, "%s: %s", play_view_clock(heard[i].at_s, clock), heard[i].say));
  }
  const int n_more = n - tale->n_heard - OTHERS_NAMED;
  if (n_more > 0) {
    tell_item(tale, "   - ",
              arena_format(arena, "%s: the same of %d more line%s by now.",
                           play_view_clock(heard[n - 1].at_s, clock), n_more,
                           n_more == 1 ? "" : "s"));
  }
  tale->n_heard = n;
}

static Status
tell_round(Tale* tale)
{
  PracticeRound round;
  char clock[16];
  char takes[32];
  Status st = STATUS_OK;
  if (tale->is_round_told || practice_seconds(tale->practice) < ROUND_FIRST_S) {
    return STATUS_OK;
  }
  TRY(st, practice_round(tale->practice, &round));
  tale->is_round_told = true;
  tell_item(tale, "   - ",
            arena_format(tale->face->arena,
                         "%s: a minute is gone, and from now on the way round stands first "
                         "(about %s): %s It is told here to the end all the same.",
                         play_view_clock(practice_seconds(tale->practice), clock),
                         screen_seconds(round.seconds, takes), round.say));
  return STATUS_OK;
}

/// Where a step is done, unless its sentence begins with that.
static const char*
place_of(const Tale* tale, const Step* step)
{
  return step && step->desk < 0 && step->place >= 0 && strncmp(step->say, "At ", 3) != 0
           ? tale->show->plant.places[step->place]
           : "";
}

static Status
tell_step(Tale* tale)
{
  Arena* const arena = tale->face->arena;
  Practice* const practice = tale->practice;
  const Step* step = NULL;
  const char* likely = NULL;
  const char* moved = NULL;
  char lead[16];
  char clock[16];
  char seconds[32];
  int n = 0;
  PracticeRound round;
  Status st = STATUS_OK;
  TRY(st, practice_advice(practice, &step, &likely));
  TRY(st, practice_round(practice, &round));
  TRY(st, step ? practice_take(practice, step) : practice_go_round(practice));
  const PracticeMove* const move = &practice_moves(practice, &n)[n - 1];
  (void)snprintf(lead, sizeof(lead), "%d. ", ++tale->n_steps);
  const char* const place = place_of(tale, step);
  tell_item(tale, lead,
            arena_format(arena, "**%s, %s%s%s, %s.** %s", play_view_clock(move->start_s, clock),
                         move->who, place[0] ? " at " : "", place,
                         screen_seconds(move->seconds, seconds), move->say));
  if (step && step->caution[0]) {
    tell_item(tale, "   - ", arena_format(arena, "First: %s", step->caution));
  }
  if (step) {
    tell_item(tale, "   - ", arena_format(arena, "Why: %s", step->why));
  }
  for (int i = 0; !step && round.way && i < round.way->n_desks; ++i) {
    const AroundDesk* const desk = &round.way->desks[i];
    tell_item(
      tale, "   - ",
      arena_format(arena, "At the %s: %s", tale->show->plant.desks[desk->desk].say, desk->say));
  }
  const double end_s = move->start_s + move->seconds;
  tell_heard(tale, end_s - 0.5);
  tell_item(tale, "   - ",
            arena_format(arena, "%s: **%s.**", play_view_clock(end_s, clock), move->answer));
  tell_heard(tale, end_s);
  PracticeScreen screen;
  TRY(st, practice_screen(practice, &screen));
  if (screen.state == PRACTICE_WHERE) {
    TRY(st, practice_moved(practice, &moved));
    tell_item(tale, "   - ", arena_format(arena, "Odds: %s", moved));
    TRY(st, tell_round(tale));
  }
  return STATUS_OK;
}

static Status
tell_end(const Tale* tale, const PracticeScreen* screen)
{
  Arena* const arena = tale->face->arena;
  const Step* step = NULL;
  const char* likely = NULL;
  PracticeEnd end;
  char took[32];
  char knowing[32];
  char habit[32];
  Status st = STATUS_OK;
  TRY(st, practice_end(tale->practice, &end));
  screen_gap(tale->face->screen);
  if (screen->state == PRACTICE_SOUND) {
    TRY(st, practice_advice(tale->practice, &step, &likely));
    screen_say(tale->face->screen, PAINT_PLAIN, "%s", likely);
    screen_gap(tale->face->screen);
  }
  tell_item(tale, "- ", end.truth);
  tell_item(tale, "- ", end.after);
  tell_item(tale, "- ",
            arena_format(arena,
                         "It took %s, in %d step%s. Who knows the cause from the start takes %s; "
                         "going by habit takes %s.",
                         screen_seconds(end.seconds, took), tale->n_steps,
                         tale->n_steps == 1 ? "" : "s", screen_seconds(end.floor_s, knowing),
                         screen_seconds(end.habit_s, habit)));
  return STATUS_OK;
}

Status
rehearse_tell(const Face* face, const OpenShow* show, Practice* practice)
{
  Tale tale = {.face = face, .show = show, .practice = practice};
  PracticeScreen screen;
  const Step* step = NULL;
  const char* likely = NULL;
  Status st = STATUS_OK;
  TRY(st, practice_screen(practice, &screen));
  TRY(st, practice_advice(practice, &step, &likely));
  tell_head(&tale, &screen, likely);
  while (screen.state == PRACTICE_WHERE) {
    TRY(st, tell_step(&tale));
    TRY(st, practice_screen(practice, &screen));
  }
  return tell_end(&tale, &screen);
}
