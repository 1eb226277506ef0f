// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/forecast_view.h"
#include "face/verb.h"

#include <math.h>
#include <time.h>

/*
  `forecast`: will every line be proven by doors. The answer is "no" when it is less likely than
  not.
*/

static Status
ask_of(const Face* face, char today[16], ForecastAsk* ask)
{
  const time_t now = time(NULL);
  struct tm local;
  if (!localtime_r(&now, &local) || !strftime(today, 16, "%Y-%m-%d", &local)) {
    return error_set(face->error, STATUS_IO, NULL, 0, 0, "This machine has no clock.");
  }
  double of_day_s = local.tm_hour * 3600.0 + local.tm_min * 60.0 + local.tm_sec;
  if (face->args->clock && !forecast_clock_s(face->args->clock, &of_day_s)) {
    return error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                     "--clock takes a time of the day, as in 13:00, not \"%.40s\".",
                     face->args->clock);
  }
  *ask = (ForecastAsk){.now_s = (double)now,
                       .midnight_s = (double)now - of_day_s,
                       .today = today,
                       .by = face->args->by,
                       .n_hands = face->args->n_hands};
  return STATUS_OK;
}

static Status
run_forecast(const Face* face, OpenShow* show)
{
  char today[16];
  ForecastAsk ask;
  Forecast forecast;
  const ForecastPoint* points = NULL;
  int n_points = 0;
  Status st;
  TRY(st, ask_of(face, today, &ask));
  TRY(st, show_situate(face, show, -1));
  st = forecast_make(face->arena, show->situation, &show->fold, &ask, &forecast);
  if (st == STATUS_BAD_ARG) {
    return error_set(face->error, st, NULL, 0, 0,
                     "--by takes a time of the day, as in 18:00, not \"%.40s\".", ask.by);
  }
  if (st == STATUS_OK && face->args->json) {
    json_t* const answer = json_answer(show->act_word);
    st = forecast_past(face->arena, show->situation, &show->fold, &ask, &points, &n_points);
    forecast_view_json(show, &ask, &forecast, points, n_points, answer);
    const Status printed = json_answer_print(answer, face->args, face->screen->out, face->error);
    st = st == STATUS_OK ? printed : st;
  } else if (st == STATUS_OK) {
    forecast_view_say(face, show, &forecast);
  }
  return st == STATUS_OK && forecast.chance < 0.5 ? STATUS_NO : st;
}

Status
verb_forecast(const Face* face)
{
  OpenShow show;
  Status st;
  TRY(st, show_open(face, face->args->words[0], STORE_READ, &show));
  st = run_forecast(face, &show);
  const bool said = st == STATUS_OK || st == STATUS_NO;
  const Status closed = store_close(show.store, said ? face->error : NULL);
  return said && closed != STATUS_OK ? closed : st;
}
