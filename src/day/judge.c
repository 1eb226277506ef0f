// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/judge.h"

#include "base/text.h"
#include "day/verdict.h"

#include <math.h>
#include <string.h>

/*
  First what everything shows, each reading by itself, as faults and findings; then the state, which
  is the worst of them; then what to do, which follows from the state.
*/

// ---- Sentences ----

#define SAY_CAUTION                                                                                \
  "Only on a cable that is unplugged at both ends: no microphone, no desk, nothing on it."
#define SAY_CAUTION_LOUD                                                                           \
  "Only on a cable that is unplugged at both ends: an amplifier's output can exceed 50 V, and a "  \
  "bridged one has no earthed side."
#define SAY_LOOSE "Loose: breaks counted while it was flexed: %d."
#define SAY_STOOD "It stood %d s of flexing without a break."
#define SAY_TOO_SHORT "No break in %d s: only %d s without one clear a cable."
#define SAY_HOW_LONG "No break, but how long was it flexed? Only %d s without one clear a cable."
#define SAY_PICTURE_GOOD "The picture %s is that of a good cable on this tester."
#define SAY_PICTURE_ALSO "The picture %s also comes from: %s."
#define SAY_PICTURE_ONE "The picture %s means %s."
#define SAY_PICTURE_MANY "The picture %s means one of: %s."
#define SAY_PICTURE_NONE                                                                           \
  "No single fault gives the picture %s: several at once, or the tester. Try the known-good "      \
  "cable."
#define SAY_PICTURE_HIDES                                                                          \
  "The picture %s is that of a good cable on this tester, and of: %s. It cannot tell them apart: " \
  "judge by brightness beside the known-good cable, or measure what is wired to what."
#define SAY_PICTURE_BATTERY                                                                        \
  "The picture %s means %s, or a good cable while the sender's battery is in backwards: try the "  \
  "known-good cable first."
#define CANNOT_FILM                                                                                \
  "Contacts with a film, and strands that hold still: those show when it is flexed."
#define CANNOT_LEAK "Damp: a leak shows on an insulation meter only."
#define CANNOT_SHORTS "Shorts between contacts: ohms end to end do not show them."
#define CANNOT_WIRING "What is wired to what: it was not measured."
#define CANNOT_LAMPS "A few ohms in a conductor, or a leak of many kilohms: lamps hardly change."
#define DO_TAPE "Tape off both ends so that it cannot be plugged, and write on the tape: %s."
#define DO_MEND                                                                                    \
  "Mend it at the bench: open the socket end first (most breaks are within 5 cm of a connector, "  \
  "that end more than the other: common practice, no source)."
#define DO_LOOK "Mend it at the bench: open both connectors and look."
#define DO_MARK "If it was made so on purpose, mark it at both ends; else mend it."
#define DO_CLEAN "Clean its contacts and read it again; if it stays high, mend it."
#define DO_DRY "Dry it and measure again."
#define DO_USE_TAPED                                                                               \
  "Use it. If it is taped off it stays so until it stands 60 s of flexing without a break."
#define DO_CLEAR "Use it; if it was taped off, take the tape off."
#define DO_FLEX_ON "Flex both ends on until %d s are full; one break and it is taped off."
#define DO_MEASURE "Measure what is missing, then ask again; until then it is not proven."
#define DO_AGAIN "Read it again before anything is taped off."

const char*
judge_state_word(JudgeState state)
{
  static const char* const words[] = {"sound", "not sound", "not cleared", "not proven"};
  return words[state];
}

static void
judge_flex(Verdict* w)
{
  const JudgeReadings* const in = w->in;
  if (in->breaks > 0) {
    verdict_fault(w, "loose", "not told", arena_format(w->arena, SAY_LOOSE, in->breaks));
  } else if (in->seconds < 0) {
    verdict_find(w, arena_format(w->arena, SAY_HOW_LONG, JUDGE_FLEX_S));
  } else if (in->seconds < JUDGE_FLEX_S) {
    verdict_find(w, arena_format(w->arena, SAY_TOO_SHORT, in->seconds, JUDGE_FLEX_S));
  } else {
    verdict_find(w, arena_format(w->arena, SAY_STOOD, in->seconds));
  }
}

// Whether a good cable gives this picture while the sender's battery is the wrong way round.
static bool
is_mirrored(Verdict* w)
{
  const Card* const card = w->in->reversed;
  int* const rows = card ? arena_array(w->arena, (size_t)card->n_rows, sizeof(int)) : NULL;
  w->no_memory = w->no_memory || (card && !rows);
  const int n = rows ? card_showing(card, w->in->picture, rows) : 0;
  for (int i = 0; i < n; ++i) {
    if (card->rows[rows[i]].fault.mode == FAULT_NONE) {
      return true;
    }
  }
  return false;
}

static Status
judge_lamps(Verdict* w, Error* error)
{
  const Card* const card = w->in->card;
  int* const rows = arena_array(w->arena, (size_t)card->n_rows, sizeof(int));
  if (!rows) {
    return STATUS_NO_MEMORY;
  }
  const char* const picture = w->in->picture;
  const int n = card_showing(card, picture, rows);
  if (n < 0) {
    return error_set(
      error, STATUS_BAD_INPUT, "--lamps", 1, 1,
      "\"%.20s\" is no picture of the tester \"%.40s\": %d letters, one a lamp: G, R, . "
      "dark, d dim.",
      picture, card->tester->name, card->n_lamps);
  }
  TextOut names = {.arena = w->arena};
  bool good = false;
  bool hides = false; // A fault that matters looks like a good cable
  for (int i = 0; i < n; ++i) {
    const CardRow* const row = &card->rows[rows[i]];
    good = good || row->fault.mode == FAULT_NONE;
    hides = hides || (row->fault.mode != FAULT_NONE && row->fault.mode != FAULT_HIGH &&
                      row->fault.mode != FAULT_LEAK);
    if (row->fault.mode != FAULT_NONE) {
      char said[CARD_NAME_BYTES];
      card_fault_say(&row->fault, said);
      text_add(&names, "%s%s", names.n_bytes ? ", " : "", said);
    }
  }
  const char* const all = text_done(&names);
  if (!all) {
    return STATUS_NO_MEMORY;
  }
  if (n == 0) {
    w->wants_reading = true;
    verdict_find(w, arena_format(w->arena, SAY_PICTURE_NONE, picture));
  } else if (good && hides) {
    w->wants_reading = true;
    verdict_find(w, arena_format(w->arena, SAY_PICTURE_HIDES, picture, all));
  } else if (good) {
    verdict_find(w, arena_format(w->arena, SAY_PICTURE_GOOD, picture));
    if (all[0]) {
      verdict_cannot(w, arena_format(w->arena, SAY_PICTURE_ALSO, picture, all));
    }
  } else if (is_mirrored(w)) {
    w->read_again = true;
    verdict_find(w, arena_format(w->arena, SAY_PICTURE_BATTERY, picture, all));
  } else {
    const bool one = n == 1;
    w->crossed = w->crossed || (one && card->rows[rows[0]].fault.mode == FAULT_CROSSED);
    verdict_fault(w, one ? all : arena_format(w->arena, "one of %s", all), "not told",
                  arena_format(w->arena, one ? SAY_PICTURE_ONE : SAY_PICTURE_MANY, picture, all));
  }
  verdict_cannot(w, CANNOT_LAMPS);
  return STATUS_OK;
}

static void
settle(Verdict* w)
{
  const JudgeReadings* const in = w->in;
  Judgement* const out = &w->out;
  const bool flexed = in->breaks == 0 && in->seconds >= JUDGE_FLEX_S;
  if (!in->has_wiring && !in->card) {
    verdict_cannot(w, in->has_ohms ? CANNOT_SHORTS : CANNOT_WIRING);
  }
  if (!flexed && in->breaks <= 0) {
    verdict_cannot(w, CANNOT_FILM);
  }
  if (isnan(in->insulation_ohm)) {
    verdict_cannot(w, CANNOT_LEAK);
  }
  out->state = out->n_faults > 0                   ? JUDGE_NOT_SOUND
               : in->breaks == 0 && !flexed        ? JUDGE_NOT_CLEARED
               : w->wants_reading || w->read_again ? JUDGE_NOT_PROVEN
                                                   : JUDGE_SOUND;
}

static void
say_todo(Verdict* w)
{
  const Judgement* const out = &w->out;
  const bool flexed = w->in->breaks == 0 && w->in->seconds >= JUDGE_FLEX_S;
  if (w->read_again) {
    verdict_todo(w, DO_AGAIN);
  }
  switch (out->state) {
    case JUDGE_NOT_SOUND: {
      const char* const names = judge_fault_names(w->arena, out);
      bool breaks = false;
      bool only_high = true;
      bool only_crossed = true;
      for (int i = 0; i < out->n_faults; ++i) {
        const char* const name = out->faults[i].name;
        breaks = breaks || text_begins(name, "open") || text_begins(name, "loose");
        only_high = only_high && (text_begins(name, "high") || text_begins(name, "leak"));
        only_crossed = only_crossed && text_begins(name, "crossed");
      }
      if (w->high && only_high) {
        verdict_todo(w, DO_CLEAN);
      }
      if (w->damp) {
        verdict_todo(w, DO_DRY);
      }
      verdict_todo(w, names ? arena_format(w->arena, DO_TAPE, names) : NULL);
      if (w->crossed || out->wired_as[0]) {
        verdict_todo(w, DO_MARK);
      }
      if (breaks) {
        verdict_todo(w, DO_MEND);
      } else if (!only_high && !only_crossed) {
        verdict_todo(w, DO_LOOK);
      }
      break;
    }
    case JUDGE_NOT_CLEARED:
      verdict_todo(w, arena_format(w->arena, DO_FLEX_ON, JUDGE_FLEX_S));
      break;
    case JUDGE_NOT_PROVEN:
      if (!w->read_again) {
        verdict_todo(w, DO_MEASURE);
      }
      break;
    default:
      verdict_todo(w, flexed ? DO_CLEAR : DO_USE_TAPED);
      break;
  }
}

const char*
judge_fault_names(Arena* arena, const Judgement* judgement)
{
  TextOut out = {.arena = arena};
  for (int i = 0; i < judgement->n_faults; ++i) {
    text_add(&out, "%s%s", i ? ", " : "", judgement->faults[i].name);
  }
  return text_done(&out);
}

const char*
judge_caution(const Connector* connector)
{
  return strcmp(verdict_stroke(connector_contact(connector, WIRING_NEAR, 1)), "/") == 0
           ? SAY_CAUTION_LOUD
           : SAY_CAUTION;
}

Status
judge_cable(Arena* arena, const JudgeReadings* in, Judgement* judgement, Error* error)
{
  if (!in->has_wiring && !in->has_ohms && isnan(in->insulation_ohm) && in->breaks < 0 &&
      !in->card) {
    return error_set(error, STATUS_BAD_ARG, NULL, 0, 0,
                     "Say what was read: --wired, --ohms, --insulation, --lamps or --flex.");
  }
  Verdict* const w = arena_array(arena, 1, sizeof(Verdict));
  if (!w) {
    return STATUS_NO_MEMORY;
  }
  w->arena = arena;
  w->in = in;
  w->n_wires = wiring_wires(&in->connector->plan, w->wires);
  w->out = (Judgement){.wired = "",
                       .wired_as = "",
                       .limit = "",
                       .balance_ohm = NAN,
                       .rejection_db = NAN,
                       .caution = judge_caution(in->connector)};
  Status st;
  if (in->has_wiring) {
    TRY(st, judge_wiring(w));
  }
  if (in->card) {
    TRY(st, judge_lamps(w, error));
  }
  if (in->has_ohms) {
    judge_ohms(w);
  }
  if (!isnan(in->insulation_ohm)) {
    judge_insulation(w);
  }
  if (in->breaks >= 0) {
    judge_flex(w);
  }
  settle(w);
  say_todo(w);
  const char* const names = judge_fault_names(arena, &w->out);
  static const char* const heads[] = {"Sound, as far as these readings go.", NULL,
                                      "Not cleared yet.",
                                      "Nothing wrong seen so far, but it is not proven."};
  w->out.headline = w->out.state == JUDGE_NOT_SOUND
                      ? (names ? arena_format(arena, "Not sound: %s.", names) : NULL)
                      : heads[w->out.state];
  if (w->no_memory || !w->out.headline || !w->out.wired) {
    return STATUS_NO_MEMORY;
  }
  *judgement = w->out;
  return STATUS_OK;
}
