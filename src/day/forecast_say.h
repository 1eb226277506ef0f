// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/forecast.h"

/*
  The sentences of a forecast, whole, in one place; and how a forecast of now and one of an earlier
  moment are made alike. Private to forecast*.c.
*/

/// Everything of a forecast but its sentences. With `is_past` no ways round and nothing that would
/// help. @param[out] out Zero on entry, its sentences ""; half filled on error.
Status
forecast_foretell(Arena* arena, const Situation* situation, const Fold* fold,
                  const ForecastAsk* ask, bool is_past, Forecast* out);

/// Fills `say` and `rests_on`. @return STATUS_NO_MEMORY.
Status
forecast_say(Arena* arena, const Plant* plant, const ForecastAsk* ask, Forecast* forecast);

/// Fills `say` of one thing that would help; everything else of it is known.
Status
forecast_say_help(Arena* arena, const Plant* plant, const Forecast* forecast, ForecastHelp* help);
