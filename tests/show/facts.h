// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  Random facts for tests of the show room: few words, so that they meet each other often, and
  voids that name earlier facts, voids among them.
*/

#include "base/rng.h"
#include "show/event.h"

#include <stdlib.h>

enum { MAKE = 3 }; // Of today's show files; tests of migrations bring them further

#define FACTS_TIME "2031-06-14T15:22:07Z"

static inline const char*
facts_word(Rng* rng)
{
  static const char* const words[] = {"A6", " a6 ", "B1", "M041", "m041", "tail C", "caf\xC3\xA9"};
  return words[rng_below(rng, (int)(sizeof(words) / sizeof(words[0])))];
}

/// One random fact; a void names one of the `n` facts before it. Everything lives in `arena`.
static inline Fact
facts_random(Arena* arena, Rng* rng, const Fact* before, size_t n)
{
  FactKind kind = (FactKind)rng_below(rng, FACT_KIND_COUNT);
  if (rng_below(rng, 4) == 0) {
    kind = FACT_VOIDED;
  }
  if (kind == FACT_VOIDED && n == 0) {
    kind = FACT_NOTE;
  }
  FactBody b = {0};
  switch (kind) {
    case FACT_PLUGGED:
      b.place = facts_word(rng);
      b.what = rng_below(rng, 3) ? facts_word(rng) : "";
      b.act = rng_below(rng, 2) ? "act1" : NULL;
      break;
    case FACT_READING:
      b.line = 1 + rng_below(rng, 4);
      b.check = "lamps";
      b.reading = facts_word(rng);
      break;
    case FACT_OUTPUT_READING:
      b.circuit = facts_word(rng);
      b.check = "ohms";
      b.reading = rng_below(rng, 2) ? "1.62" : "open";
      b.at = rng_below(rng, 2) ? "amp" : NULL;
      break;
    case FACT_TAPED_OFF:
    case FACT_CLEARED:
      b.item = facts_word(rng);
      break;
    case FACT_MOVED:
      b.line = 1 + rng_below(rng, 4);
      b.way = rng_below(rng, 3) ? facts_word(rng) : "";
      b.act = rng_below(rng, 2) ? "act1" : NULL;
      break;
    case FACT_STEP_TAKEN:
    case FACT_STEP_REFUSED:
    case FACT_STEP_DONE:
      b.line = 1 + rng_below(rng, 4);
      b.step = facts_word(rng);
      b.why = kind == FACT_STEP_REFUSED ? "cannot" : NULL;
      break;
    case FACT_LIST_IMPORTED:
      b.list = facts_word(rng);
      b.version = facts_word(rng);
      b.text = "a,\"b\nc\"\n";
      break;
    case FACT_KIT:
      b.kit = facts_word(rng);
      b.count = rng_below(rng, 3);
      break;
    case FACT_ACT_IN_FORCE:
      b.act = facts_word(rng);
      break;
    case FACT_DESK_READ:
      b.desk = rng_below(rng, 2) ? "foh" : "mon";
      b.line = 1 + rng_below(rng, 4);
      b.channel = 1 + rng_below(rng, 4);
      b.name = facts_word(rng);
      b.patch = rng_below(rng, 2) ? "none" : NULL;
      b.phantom = "no";
      b.act = rng_below(rng, 2) ? "act1" : NULL;
      break;
    case FACT_HOLDS:
      b.desk = rng_below(rng, 2) ? "stage" : "mon";
      b.version = facts_word(rng);
      b.act = rng_below(rng, 2) ? "act1" : NULL;
      break;
    case FACT_CHANGE_STEP:
      b.from = "act1";
      b.act = rng_below(rng, 2) ? "act2" : "";
      b.step = facts_word(rng);
      b.at = rng_below(rng, 2) ? "foh" : NULL;
      b.detail = rng_below(rng, 2) ? "1 2 17" : NULL;
      break;
    case FACT_PASS_BEGUN:
      b.how = facts_word(rng);
      b.act = rng_below(rng, 2) ? "" : NULL;
      break;
    case FACT_READY:
      b.desk = rng_below(rng, 2) ? "stage" : "mon";
      break;
    case FACT_SKIPPED:
      b.line = 1 + rng_below(rng, 4);
      b.desk = rng_below(rng, 2) ? "foh" : NULL;
      break;
    case FACT_NOTE:
      b.text = facts_word(rng);
      break;
    case FACT_MESSAGE:
      b.to = "stage";
      b.text = facts_word(rng);
      b.urgent = rng_below(rng, 2);
      break;
    case FACT_MESSAGE_SEEN:
      b.id = "message-0001";
      break;
    case FACT_VOIDED:
      b.id = before[rng_below(rng, (int)n)].id;
      break;
    case FACT_KIND_COUNT:
      break;
  }
  Fact fact;
  if (fact_make(arena, kind, &b, FACTS_TIME, facts_word(rng), "stage", &fact, NULL) != STATUS_OK) {
    abort();
  }
  fact.seq = (int64_t)n + 1;
  return fact;
}
