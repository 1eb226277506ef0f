// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/show_open.h"
#include "fault/connector.h"

/*
  `judge --heap`: the conversation of day/heap, drawn. A tag is typed (or scanned) as a line, a
  reading is one key; in a pipe both are lines. After every cable the verdicts stand whole in the
  CSV, so that nothing is lost when the bench is left or the power goes.
*/

/// @return STATUS_OK when all that were tested are judged and none is to be tested again or was
/// taped off; STATUS_NO otherwise; STATUS_EXISTS for a file that is there (without --force);
/// STATUS_IO.
Status
heap_talk(const Face* face, const Connector* connector);
