// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/forecast.h"
#include "face/json.h"
#include "face/show_open.h"

/*
  A forecast on the screen and in JSON.
*/

/// Into `answer`; `points` [n_points] what was foretold before.
void
forecast_view_json(const OpenShow* show, const ForecastAsk* ask, const Forecast* forecast,
                   const ForecastPoint* points, int n_points, json_t* answer);

void
forecast_view_say(const Face* face, const OpenShow* show, const Forecast* forecast);
