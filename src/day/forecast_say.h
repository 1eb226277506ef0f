// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/forecast.h"

/*
  The sentences of a forecast, whole, in one place.
*/

/// Fills `say` and `rests_on`. @return STATUS_NO_MEMORY.
Status
forecast_say(Arena* arena, const Plant* plant, const ForecastAsk* ask, Forecast* forecast);

/// Fills `say` of one thing that would help; everything else of it is known.
Status
forecast_say_help(Arena* arena, const Plant* plant, const Forecast* forecast, ForecastHelp* help);
