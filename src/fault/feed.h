// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"

#include <stdbool.h>

/*
  Will this feed run this microphone?

      phantom                                     A-B (between the legs)

      supply --+--[leg]--[cable]--- 2 --+         supply + --[leg]--[cable]--- 2 --+
               +--[leg]--[cable]--- 3 --+ draw                                   draw
      0 V -----[common]--[shield]-- 1 --+         supply - --[leg]--[cable]--- 3 --+

  A phantom feed pushes the same current down both legs and takes it back through contact 1: nothing
  flows between the legs, so a coil there feels none of it while the cable is sound. An A-B feed
  drives its current straight through whatever lies between the legs.

  Volts are those at the microphone's own contacts. A figure that is not known is NAN, on the way in
  and on the way out, and an answer that would hang on it is "unknown".
*/

/// One way of feeding: a row of kinds/feeds.csv, or a feed written down by hand.
typedef struct {
  const char* name;
  const char* also;           ///< Other names, | between them; "" = none
  double supply_v;            ///< Open-circuit volts, > 0
  double tolerance_v;         ///< The standard's, either way; NAN not known
  double leg_ohm;             ///< In each leg, >= 0
  double leg_tolerance_ratio; ///< Of leg_ohm, either way; NAN not known
  double common_ohm;          ///< Before the legs part, such as a battery's inside, >= 0
  bool between_legs;          ///< A-B: plus on contact 2, minus on contact 3
  double greatest_a;          ///< Most the standard lets a microphone draw; NAN not known
  const char* source;
  char mark; ///< S seen in public text, M from memory; 0 = given by hand
} Feed;

/// What is between feed and microphone. All zero = nothing.
typedef struct {
  double cable_leg_ohm;    ///< Each of conductors 2 and 3
  double cable_shield_ohm; ///< Conductor 1
  double inline_leg_ohm;   ///< A device at the microphone's end, in each leg
  double inline_drop_v;    ///< Volts it takes whatever the current
  double inline_draw_a;    ///< Current it draws for itself
  bool inline_blocks;      ///< It uses the feed and passes none on
} FeedWay;

typedef enum {
  FEED_MIC_UNKNOWN,
  FEED_MIC_PHANTOM,     ///< Electronics fed from both legs against contact 1
  FEED_MIC_AB,          ///< Electronics fed between the legs
  FEED_MIC_COIL,        ///< Moving coil: needs no feed
  FEED_MIC_RIBBON,      ///< Passive ribbon: needs none, suffers from any current
  FEED_MIC_TRANSFORMER, ///< Passive transformer output (DI box): needs none
} FeedMicSort;

/// A microphone as its paper tells; NAN where it is silent.
typedef struct {
  FeedMicSort sort;
  double feed_least_v;        ///< Least nominal supply its paper names (the 12 of "12 to 48 V")
  double feed_greatest_v;     ///< Greatest
  double contacts_least_v;    ///< Least volts at its own contacts; rules over feed_least_v
  double contacts_greatest_v; ///< Most it stands there
  double draw_a;              ///< Constant current, both legs together; or
  double load_ohm;            ///< one resistor from both legs together to 1 (A-B: from 2 to 3)
  double coil_ohm;            ///< Between contacts 2 and 3 for direct current
} FeedMicrophone;

typedef enum {
  FEED_UNKNOWN,
  FEED_RUNS,
  FEED_RUNS_NOT,
  FEED_OUTSIDE, ///< Works, but draws more than the standard lets it
  FEED_HARMFUL, ///< Do not plug it
} FeedVerdict;

typedef struct {
  FeedVerdict verdict;
  double leg_v;       ///< Each leg against contact 1 at the microphone; NAN for A-B or not known
  double between_v;   ///< Contact 2 against 3 there
  double needed_v;    ///< What it needs, same place; NAN not known or none
  double draw_a;      ///< Drawn by the microphone
  double left_a;      ///< The standard's greatest less all that is drawn; below 0 = too much; NAN
                      ///< where either is not known
  double power_w;     ///< Into the microphone
  double available_w; ///< Most a microphone here could have, within greatest_a where known
  double available_a; ///< At this current
  double coil_a;      ///< Direct current between contacts 2 and 3
  double coil_w;      ///< Its heat
  char reason[320];   ///< One sentence
  char caution[320];  ///< "" = none
} FeedAnswer;

/// "runs", "does not run", "outside the standard's limit", "harmful", "unknown".
const char*
feed_verdict_word(FeedVerdict verdict);

/**
   The variants known: kinds/feeds.csv, compiled in.

   @param[out] feeds [*n_feeds], in the arena; untouched on error.
   @return STATUS_OK; STATUS_NO_MEMORY.
*/
Status
feed_variants(Arena* arena, const Feed** feeds, int* n_feeds);

/// The variant of a name or other name, case ignored; NULL when there is none.
const Feed*
feed_find(const Feed feeds[], int n_feeds, const char* name);

/**
   Judge. A paper that says "12 to 48 V" names supplies, not volts at the contacts: such a
   microphone is taken to run on whatever leaves it as much as the variant of that nominal voltage,
   at the bottom of its tolerance, would (common practice, no source). Between two nominal voltages,
   or without a variant of that voltage, the paper's figure is taken for volts at the contacts.

   @param variants [n_variants] from feed_variants; `feed` may be one of them or another.
   @return STATUS_OK; STATUS_BAD_ARG if a figure is negative, infinite or, where NAN is not allowed,
   NAN. Untouched then. Pure; any thread. Source: Kirchhoff; variants as their rows say.
*/
Status
feed_judge(const Feed variants[], int n_variants, const Feed* feed, const FeedWay* way,
           const FeedMicrophone* microphone, FeedAnswer* answer);
