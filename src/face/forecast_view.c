// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/forecast_view.h"

#include <math.h>

static json_t*
clock_json(const ForecastAsk* ask, double from_now_s)
{
  char text[8];
  return json_words(forecast_clock(ask->now_s - ask->midnight_s + from_now_s, text));
}

// From the minute in which it begins to the minute in which it has ended.
static json_t*
band_json(const ForecastAsk* ask, double low_s, double high_s)
{
  json_t* const pair = json_array();
  json_array_append_new(pair, clock_json(ask, low_s));
  json_array_append_new(pair, clock_json(ask, high_s + 59.999));
  return pair;
}

static json_t*
boxes_json(const OpenShow* show, const Remains* r)
{
  json_t* const list = json_array();
  for (int i = 0; i < r->n_boxes; ++i) {
    json_t* const one = json_object();
    json_object_set_new(one, "box", json_words(show->plant.boxes[r->boxes[i].box].name));
    json_object_set_new(one, "needed", json_integer(r->boxes[i].n_needed));
    json_object_set_new(one, "ready", json_integer(r->boxes[i].n_ready));
    json_object_set_new(one, "bad", json_integer(r->boxes[i].n_bad));
    json_array_append_new(list, one);
  }
  return list;
}

static json_t*
pace_json(const OpenShow* show, const Going* going)
{
  json_t* const pace = json_object();
  json_object_set_new(pace, "seconds_a_line", json_figure(pace_mean_s(&going->pace, 0.5)));
  json_object_set_new(pace, "low_s", json_figure(pace_mean_s(&going->pace, FORECAST_LOW_PROB)));
  json_object_set_new(pace, "high_s", json_figure(pace_mean_s(&going->pace, FORECAST_HIGH_PROB)));
  json_object_set_new(pace, "usual_s",
                      json_figure(going_line_time(&show->plant, show->act).usual_s));
  json_object_set_new(pace, "lines", json_figure(going->pace.n_lines));
  json_object_set_new(pace, "pauses", json_figure(going->pace.n_pauses));
  json_object_set_new(pace, "hands", json_integer(going->n_hands));
  json_t* const testers = json_array();
  for (int k = GOING_EAR + 1; k < GOING_KINDS; ++k) {
    const Pace* const own = &going->by_tester[k];
    const StepTime usual = going_tester_time(&show->plant, (GoingKind)k);
    json_t* const one = json_object();
    json_object_set_new(one, "by", json_words(k == GOING_LAMP ? "lamp" : "meter"));
    json_object_set_new(one, "seconds_a_line", json_figure(pace_mean_s(own, 0.5)));
    json_object_set_new(one, "usual_s", json_figure(usual.usual_s));
    json_object_set_new(one, "lines", json_figure(own->n_lines));
    json_array_append_new(testers, one);
  }
  json_object_set_new(pace, "testers", testers);
  json_object_set_new(pace, "to_test", json_integer(going->n_to_test));
  return pace;
}

static json_t*
helps_json(const Forecast* f)
{
  static const char* const words[] = {
    [FORECAST_PROVER] = "prover",   [FORECAST_MENDER] = "mender",
    [FORECAST_BEGIN] = "begin",     [FORECAST_ORDER] = "order",
    [FORECAST_ROUND] = "way round", [FORECAST_NO_PAUSE] = "no pause",
    [FORECAST_DIRECT] = "leave out"};
  json_t* const list = json_array();
  for (int i = 0; i < f->n_helps; ++i) {
    json_t* const one = json_object();
    json_object_set_new(one, "what", json_words(words[f->helps[i].sort]));
    json_object_set_new(one, "say", json_words(f->helps[i].say));
    json_object_set_new(one, "minutes_sooner", json_figure(f->helps[i].sooner_s / 60.0));
    json_object_set_new(one, "chance", json_figure(f->helps[i].chance));
    json_array_append_new(list, one);
  }
  return list;
}

static json_t*
history_json(const ForecastAsk* ask, const ForecastPoint* points, int n)
{
  json_t* const list = json_array();
  for (int i = 0; i < n; ++i) {
    json_t* const one = json_object();
    json_object_set_new(one, "seq", json_integer((json_int_t)points[i].seq));
    json_object_set_new(one, "at", clock_json(ask, points[i].at_s - ask->now_s));
    json_object_set_new(one, "at_s", json_figure(points[i].at_s));
    json_object_set_new(one, "chance", json_figure(points[i].chance));
    json_object_set_new(
      one, "ready_by", band_json(ask, points[i].low_s - ask->now_s, points[i].high_s - ask->now_s));
    json_object_set_new(one, "low_s", json_figure(points[i].low_s));
    json_object_set_new(one, "high_s", json_figure(points[i].high_s));
    json_object_set_new(one, "ready", json_integer(points[i].n_ready));
    json_array_append_new(list, one);
  }
  return list;
}

void
forecast_view_json(const OpenShow* show, const ForecastAsk* ask, const Forecast* f,
                   const ForecastPoint* points, int n_points, json_t* answer)
{
  static const char* const why[] = {[FORECAST_NO_TIME] = "none",
                                    [FORECAST_OTHER_DAY] = "another day",
                                    [FORECAST_SAID] = "said",
                                    [FORECAST_DOORS] = "doors",
                                    [FORECAST_ACT] = "act"};
  const Remains* const r = &f->remains;
  json_t* const lines = json_object();
  const bool has_band = !f->is_ready;
  json_object_set_new(answer, "chance", json_figure(f->chance));
  json_object_set_new(answer, "ready_by",
                      has_band ? band_json(ask, f->low_s, f->high_s) : json_null());
  json_object_set_new(answer, "helps_most", json_words(f->n_helps > 0 ? f->helps[0].say : ""));
  json_object_set_new(answer, "say", json_words(f->say));
  json_object_set_new(answer, "rests_on", json_words(f->rests_on));
  json_object_set_new(answer, "ready", json_boolean(f->is_ready && r->n_needed > 0));
  json_object_set_new(answer, "by", f->by[0] ? json_words(f->by) : json_null());
  json_object_set_new(answer, "by_why", json_words(why[f->by_sort]));
  json_object_set_new(answer, "by_undated", json_boolean(f->is_undated));
  json_object_set_new(answer, "by_s", json_figure(ask->now_s + f->by_s));
  json_object_set_new(answer, "now", clock_json(ask, 0.0));
  json_object_set_new(answer, "now_s", json_figure(ask->now_s));
  json_object_set_new(answer, "low_s", has_band ? json_figure(ask->now_s + f->low_s) : json_null());
  json_object_set_new(answer, "middle_s",
                      has_band ? json_figure(ask->now_s + f->middle_s) : json_null());
  json_object_set_new(answer, "high_s",
                      has_band ? json_figure(ask->now_s + f->high_s) : json_null());
  json_object_set_new(lines, "needed", json_integer(r->n_needed));
  json_object_set_new(lines, "ready", json_integer(r->n_ready));
  json_object_set_new(lines, "moved", json_integer(r->n_moved));
  json_object_set_new(lines, "bad", json_integer(r->n_bad));
  json_object_set_new(lines, "heard", json_integer(r->n_heard));
  json_object_set_new(answer, "lines", lines);
  json_object_set_new(answer, "boxes", boxes_json(show, r));
  json_object_set_new(answer, "pace", pace_json(show, &f->going));
  json_object_set_new(answer, "helps", helps_json(f));
  json_object_set_new(answer, "history", history_json(ask, points, n_points));
  // Odds, and how long mending takes, always are
  json_object_set_new(answer, "usual_practice", json_true());
}

static void
say_boxes(const Face* face, const OpenShow* show, const Remains* r)
{
  for (int i = 0; i < r->n_boxes; ++i) {
    const RemainsBox* const box = &r->boxes[i];
    const char* const lead =
      arena_format(face->arena, "Box %s: ", show->plant.boxes[box->box].name);
    const char* const text =
      box->n_bad > 0 ? arena_format(face->arena, "%d of %d proven, %d bad", box->n_ready,
                                    box->n_needed, box->n_bad)
                     : arena_format(face->arena, "%d of %d proven", box->n_ready, box->n_needed);
    screen_item(face->screen,
                box->n_bad > 0                  ? PAINT_BAD
                : box->n_ready == box->n_needed ? PAINT_GOOD
                                                : PAINT_PLAIN,
                lead ? lead : "", text ? text : "");
  }
}

static void
say_pace(const Face* face, const Forecast* f)
{
  const Going* const going = &f->going;
  char usual[32];
  char low[32];
  char high[32];
  (void)screen_seconds(pace_mean_s(&going->pace, 0.5), usual);
  (void)screen_seconds(pace_mean_s(&going->pace, FORECAST_LOW_PROB), low);
  (void)screen_seconds(pace_mean_s(&going->pace, FORECAST_HIGH_PROB), high);
  screen_say(face->screen, PAINT_PLAIN, "Pace: about %s a line (%s to %s)%s.", usual, low, high,
             going->pace.n_pauses >= 0.5 ? ", pauses left out" : "");
  if (f->start_s > 0.0) {
    screen_say(face->screen, PAINT_PLAIN,
               "Counted from when the running order begins the line check, in %s.",
               screen_seconds(f->start_s, usual));
  }
  if (going->has_rested) {
    screen_say(face->screen, PAINT_PLAIN,
               "Nothing has been told for a while: counted as if the check went on now.");
  }
  if (going->is_mending) {
    screen_say(face->screen, PAINT_PLAIN, "Somebody is at what was told bad last.");
  }
}

void
forecast_view_say(const Face* face, const OpenShow* show, const Forecast* f)
{
  const Screen* const screen = face->screen;
  show_say_act(face, show);
  screen_gap(screen);
  screen_say(screen,
             f->is_ready                            ? PAINT_GOOD
             : !isnan(f->chance) && f->chance < 0.5 ? PAINT_BAD
                                                    : PAINT_STRONG,
             "%s", f->say);
  if (f->is_undated) {
    screen_say(screen, PAINT_PLAIN,
               "The running order has no date: its doors are taken as today's.");
  }
  screen_gap(screen);
  say_boxes(face, show, &f->remains);
  if (f->is_ready) {
    return;
  }
  if (f->remains.n_heard > 0) {
    screen_say(screen, PAINT_WARN,
               f->remains.n_heard == 1
                 ? "%d line was heard at every desk and is not proven by that: \"lines\" says what "
                   "was not seen."
                 : "%d lines were heard at every desk and are not proven by that: \"lines\" says "
                   "what was not seen.",
               f->remains.n_heard);
  }
  say_pace(face, f);
  screen_gap(screen);
  if (f->n_helps == 0) {
    screen_say(screen, PAINT_PLAIN, "Nothing looked at here saves a minute: go on as you do.");
  }
  for (int i = 0; i < f->n_helps; ++i) {
    screen_item(screen, i == 0 ? PAINT_STRONG : PAINT_PLAIN,
                i == 0 ? "Helps most: " : "Or: ", f->helps[i].say);
  }
  screen_gap(screen);
  screen_say(screen, PAINT_PLAIN, "%s", f->rests_on);
}
