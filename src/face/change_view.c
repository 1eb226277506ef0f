// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/change_view.h"

#include "base/text.h"
#include "day/words.h"

#include <stdio.h>

/*
  A change in words, read in the dark by somebody with a plug in each hand: the desks first, then a
  list for each hand, box by box, one row a plug.
*/

const char*
change_view_deadline(const Face* face, const Change* change, const Deadline* deadline,
                     double late_s)
{
  char late[32];
  char needs[32];
  char has[32];
  (void)screen_seconds(late_s, late);
  (void)screen_seconds(change->seconds, needs);
  (void)screen_seconds(deadline->seconds, has);
  if (late_s > 0.0) {
    return arena_format(face->arena,
                        "The act should have begun at %s, %s ago: what is left takes %s.",
                        deadline->by, late, needs);
  }
  if (deadline->sort == DEADLINE_NONE) {
    return "";
  }
  const char* const by = deadline->by[0] ? arena_format(face->arena, " (by %s)", deadline->by) : "";
  return !by ? NULL
             : arena_format(face->arena,
                            change->fits ? "It fits: %s of %s%s."
                                         : "It does not fit: it takes %s, and there are %s%s.",
                            needs, has, by);
}

static void
say_caution(const Face* face, const char* lead, const ChangeStep* step)
{
  if (step->caution[0] && !step->is_done) {
    screen_item(face->screen, PAINT_WARN, lead, step->caution);
  }
}

// Waiting for a desk's word is no empty box: nobody ticks it by habit.
static const char*
tick_mark(const Change* change, const ChangeStep* step)
{
  return step->is_done                                          ? "[x]"
         : step->desk < 0 && change_waits(change, step, 0) >= 0 ? " - "
                                                                : "[ ]";
}

static const char*
done_say(const Face* face, const ChangeStep* step)
{
  const char* const role = step->done_by && step->done_by->role[0] ? step->done_by->role : "";
  return !step->is_done ? ""
         : role[0] ? arena_format(face->arena, step->is_heard ? " Heard: %s." : " Done: %s.", role)
                   : (step->is_heard ? " Heard." : " Done.");
}

// One row of a hand: what comes out, what goes in.
static const char*
row_say(const Face* face, const OpenShow* show, const Change* change, const ChangeStep* step)
{
  const int here = change->plugged.now[step->line];
  const bool comes_out = here >= 0 && here != step->plug && change->allotment.target_at[here] < 0;
  const WordsFill fill = {
    .source = plugged_name(&change->plugged.plugs[step->plug]),
    .found = comes_out ? plugged_name(&change->plugged.plugs[here]) : NULL,
    .way = step->from >= 0 ? allot_socket(face->arena, &show->plant, step->from) : NULL};
  switch (step->does) {
    case CHANGE_DOES_STRIKE:
      return words_say(face->arena, WORDS_CHANGE_ROW_OUT, &fill);
    case CHANGE_DOES_HOLD:
      return words_say(face->arena, WORDS_CHANGE_ROW_HOLD, &fill);
    case CHANGE_DOES_CABLE:
      return words_say(face->arena, WORDS_CHANGE_ROW_CABLE, &fill);
    default:
      break;
  }
  return words_say(face->arena,
                   step->from >= 0
                     ? (comes_out ? WORDS_CHANGE_ROW_FROM_OVER : WORDS_CHANGE_ROW_FROM)
                     : (comes_out ? WORDS_CHANGE_ROW_OVER : WORDS_CHANGE_ROW_IN),
                   &fill);
}

static void
say_row(const Face* face, const OpenShow* show, const Change* change, const ChangeStep* step)
{
  char lead[40];
  const char* const row = row_say(face, show, change, step);
  const char* const done = done_say(face, step);
  const char* const text =
    arena_format(face->arena, "%s%s", row ? row : step->say, done ? done : "");
  (void)snprintf(lead, sizeof(lead), "  %s %-4s ", tick_mark(change, step), step->key);
  screen_item(face->screen, step->is_done ? PAINT_FAINT : PAINT_PLAIN, lead,
              text ? text : step->say);
  const Input* const input = step->plug >= 0 ? change->plugged.plugs[step->plug].next : NULL;
  const bool is_instead = change->allotment.why[step->plug] == ALLOT_INSTEAD;
  if (plant_is_harmful(&show->plant, input)) {
    say_caution(face, "           ", step);
  }
  if (is_instead && !step->is_done) {
    screen_item(face->screen, PAINT_WARN, "           ", step->why);
  }
}

// Whose word this hand waits for: each desk's step once.
static void
say_waits(const Face* face, const Change* change, const ChangePerson* person)
{
  TextOut out = {.arena = face->arena};
  for (int g = 0; g < change->n_steps; ++g) {
    bool waits = false;
    for (int i = 0; change_is_gate(&change->steps[g]) && i < person->n_steps; ++i) {
      const ChangeStep* const step = &change->steps[person->steps[i]];
      for (int k = change_waits(change, step, 0); k >= 0; k = change_waits(change, step, k + 1)) {
        waits = waits || step->after[k] == g;
      }
    }
    if (waits) {
      text_add(&out, "%s\"%s\"", out.n_bytes ? ", " : "", change->steps[g].key);
    }
  }
  const char* const keys = out.n_bytes ? text_done(&out) : NULL;
  if (keys) {
    screen_item(face->screen, PAINT_WARN, " Waits for ", keys);
  }
}

static void
say_offer(const Face* face, const OpenShow* show, const Change* change, const ChangePerson* person)
{
  const char* sockets = NULL;
  const char* names = NULL;
  char earlier[32];
  if (person->n_offer == 0 ||
      change_view_offer(face, show, change, person, &sockets, &names) != STATUS_OK) {
    return;
  }
  const WordsFill fill = {
    .socket = sockets, .who = names, .odds = screen_seconds(person->offer_s, earlier)};
  const char* const say = words_say(face->arena, WORDS_CHANGE_OFFER, &fill);
  screen_gap(face->screen);
  screen_say(face->screen, PAINT_STRONG, "%s:", person->name);
  screen_item(face->screen, PAINT_PLAIN, "  > ", say ? say : sockets);
  screen_say(face->screen, PAINT_FAINT, "    --takes \"%s\"", person->name);
}

static void
say_hand(const Face* face, const OpenShow* show, const Change* change, const ChangePerson* person)
{
  char time[32];
  int place = -1;
  if (person->n_steps == 0) {
    return;
  }
  screen_gap(face->screen);
  screen_say(face->screen, PAINT_STRONG, "%s, about %s:", person->name,
             screen_seconds(person->seconds, time));
  say_waits(face, change, person);
  for (int i = 0; i < person->n_steps; ++i) {
    const ChangeStep* const step = &change->steps[person->steps[i]];
    if (step->place != place) {
      place = step->place;
      screen_say(face->screen, PAINT_STRONG, " %s", show->plant.places[place]);
    }
    say_row(face, show, change, step);
  }
}

static void
say_channel(const Face* face, const ChangeChannel* c)
{
  char lead[32];
  TextOut out = {.arena = face->arena};
  (void)snprintf(lead, sizeof(lead), "      ch %-3d ", c->channel);
  text_add(&out, "%s", c->name);
  if (c->moves_input) {
    text_add(&out, ", input %d", c->input);
  }
  if (c->moves_pad) {
    text_add(&out, ", pad %s", c->pad_in ? "in" : "out");
  }
  if (c->renames && c->was[0]) {
    text_add(&out, " (was %s)", c->was);
  }
  const char* const text = text_done(&out);
  screen_item(face->screen, PAINT_PLAIN, lead, text ? text : c->name);
}

static void
say_desk_step(const Face* face, const Change* change, const ChangeStep* step)
{
  char lead[16];
  const char* const text = arena_format(face->arena, "%s%s", step->say, done_say(face, step));
  (void)snprintf(lead, sizeof(lead), "  %s ", tick_mark(change, step));
  screen_item(face->screen, step->is_done ? PAINT_FAINT : PAINT_PLAIN, lead,
              text ? text : step->say);
  if (step->does == CHANGE_DOES_PATCH) { // The rest stands in the heading
    say_caution(face, "      ", step);
  }
  for (int i = 0; i < step->n_channels && !step->is_done; ++i) {
    say_channel(face, &step->channels[i]);
  }
}

static void
say_desk(const Face* face, const Change* change, const ChangePerson* person, bool first)
{
  bool said = false;
  for (int i = 0; i < person->n_steps; ++i) {
    const ChangeStep* const step = &change->steps[person->steps[i]];
    const bool is_first = step->does == CHANGE_DOES_MUTE || step->does == CHANGE_DOES_OFF;
    if (is_first == first) {
      if (!said) {
        screen_say(face->screen, PAINT_STRONG, " %s", person->name);
      }
      said = true;
      say_desk_step(face, change, step);
    }
  }
}

static void
say_desks(const Face* face, const Change* change, bool first)
{
  bool any = false;
  for (int i = 0; i < change->n_steps; ++i) {
    const ChangeDoes does = change->steps[i].does;
    any = any || (change->steps[i].desk >= 0 &&
                  (does == CHANGE_DOES_MUTE || does == CHANGE_DOES_OFF) == first);
  }
  if (!any) {
    return;
  }
  screen_gap(face->screen);
  screen_say(face->screen, PAINT_STRONG,
             first ? "First, before any plug is touched, one desk after the other says so:"
                   : "Then at the desks, still muted everywhere, headphones down:");
  for (int p = 0; p < change->n_people; ++p) {
    if (change->people[p].desk >= 0) {
      say_desk(face, change, &change->people[p], first);
    }
  }
}

// Once for all hands.
static void
say_why_wait(const Face* face, const Change* change)
{
  bool waits = false;
  for (int i = 0; i < change->n_steps; ++i) {
    waits = waits || (change->steps[i].desk < 0 && change_waits(change, &change->steps[i], 0) >= 0);
  }
  if (waits) {
    screen_item(face->screen, PAINT_WARN, " - ",
                "waits for a desk's word: a plug pulled on an open line pops in the loudspeakers. "
                "--done STEP when the desk says so; with --anyway a row is done all the same, and "
                "that is written down.");
  }
}

static void
say_head(const Face* face, const OpenShow* show, const Change* change, const Deadline* deadline,
         double late_s)
{
  const Screen* const screen = face->screen;
  char time[32];
  const char* const mark = show_mark(face, show);
  int n_left = 0;
  for (int i = 0; i < change->n_steps; ++i) {
    n_left += !change->steps[i].is_done;
  }
  screen_say(screen, PAINT_STRONG, "%s to %s%s%s: %d to plug, %d to move, %d to pull, %d stay.",
             change_view_act(show, change->from), change_view_act(show, change->to),
             mark[0] ? ", list " : "", mark, change->n_plugged, change->n_moved, change->n_struck,
             change->n_kept);
  if (n_left == 0) {
    screen_say(screen, PAINT_GOOD,
               "All of it is done. Line check next: prove it, channel by channel.");
  } else {
    screen_say(screen, PAINT_PLAIN, "%d of %d steps left, about %s (usual practice).", n_left,
               change->n_steps, screen_seconds(change->seconds, time));
  }
  const char* const say = change_view_deadline(face, change, deadline, late_s);
  if (say && say[0]) {
    screen_say(screen, change->fits ? PAINT_PLAIN : PAINT_WARN, "%s", say);
  }
  if (change->n_leave > 0) {
    screen_say(screen, PAINT_WARN,
               "Leave out first, and it takes about %s:", screen_seconds(change->left_s, time));
    for (int i = 0; i < change->n_leave; ++i) {
      screen_item(screen, PAINT_PLAIN, "  - ", change->leave[i].why);
    }
  }
  if (change->allotment.n_shorts > 0) {
    screen_say(screen, PAINT_BAD, "%d %s of the next act %s no socket:", change->allotment.n_shorts,
               change->allotment.n_shorts == 1 ? "source" : "sources",
               change->allotment.n_shorts == 1 ? "has" : "have");
    for (int i = 0; i < change->allotment.n_shorts; ++i) {
      screen_item(screen, PAINT_PLAIN, "  - ", change->allotment.shorts[i].why);
    }
  }
  for (int i = 0; i < change->n_notes; ++i) {
    screen_item(screen, PAINT_WARN, "Note: ", change->notes[i]);
  }
}

Status
change_view_say(const Face* face, const OpenShow* show, const Change* change,
                const Deadline* deadline, double late_s)
{
  bool renamed = false;
  say_head(face, show, change, deadline, late_s);
  say_desks(face, change, true);
  say_why_wait(face, change);
  for (int p = 0; p < change->n_people; ++p) {
    if (change->people[p].desk < 0) {
      say_hand(face, show, change, &change->people[p]);
    }
  }
  for (int p = 0; p < change->n_people; ++p) {
    say_offer(face, show, change, &change->people[p]);
  }
  say_desks(face, change, false);
  for (int i = 0; i < change->n_moves; ++i) {
    const ChangeMove* const move = &change->moves[i];
    if (move->does == CHANGE_KEEP) {
      if (!renamed) {
        screen_gap(face->screen);
        screen_say(face->screen, PAINT_STRONG, "Stays plugged:");
      }
      renamed = true;
      screen_item(face->screen, PAINT_PLAIN, "  = ", move->say);
    }
  }
  return STATUS_OK;
}
