// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"
#include "fault/connector.h"

#include <stdbool.h>

/*
  A heap of cables on a bench, one after another, and the tester watched while it is used.

      tag --> reading (one key) --> verdict --> next tag ...
                   |
                   +-- the same new fault again: is it the heap, or the tester?
                          |
                     known-good cable --> good: go on, this cable is taped off
                                     \--> the same: the tester's connector; the run is tested again

  The count is Bayes with two explanations for a run of r cables that show one fault: each of them
  has it (p each), or the tester went bad somewhere in the run (t before each cable):

      odds of the tester = t (1 + p + ... + p^(r-1)) / p^r

  p starts at HEAP_CABLE_PROB and learns from the heap: what this heap shows often is less of a
  surprise. The known-good cable is asked for as soon as the tester is more likely than not, and at
  the third cable of a run whatever the count says; until then nothing more is taped off. After the
  known-good cable spoke for the tester a new run begins, and the heap has shown that it has this
  fault.

  A two-ended tester with its sender's battery in backwards mirrors every picture, and a good cable
  then looks like one with 1 and 2 crossed: two mirrored pictures in a row ask for the known-good
  cable.

  A run is broken by a cable that reads good or has one other fault; "something else" says nothing
  either way, since a dead contact in the tester adds itself to whatever a cable has. A tester that
  comes and goes is not found by this.

  The machine is a list of what was told; every state follows from it, so taking the last one back
  is leaving it out. Pure; lives in its arena.
*/

/// A cable of a heap shows just this one fault; a tester goes bad in just this way before a cable;
/// its battery is put in backwards. Usual practice, no source.
#define HEAP_CABLE_PROB 0.01
#define HEAP_TESTER_PROB 0.002
#define HEAP_BATTERY_PROB 0.005
/// So many cables of usual practice stand behind HEAP_CABLE_PROB.
#define HEAP_CABLE_WEIGHT 20.0

enum {
  HEAP_RUN_MOST = 3, ///< The known-good cable is asked for at the latest at this cable of a run
  HEAP_MIRRORED_MOST = 2,
  HEAP_TAG_BYTES = 40,
  HEAP_CHOICES = 20
};

typedef enum {
  HEAP_GOOD,
  HEAP_OPEN,     ///< Contact a
  HEAP_SHORT,    ///< Contacts a < b
  HEAP_CROSSED,  ///< Contacts a < b
  HEAP_BREAKS,   ///< While it was flexed
  HEAP_MIRRORED, ///< The good picture, every colour the other way
  HEAP_ELSE      ///< Anything else, or several at once
} HeapSort;

typedef struct {
  HeapSort sort;
  int a, b; ///< From 1, 0 = none
} HeapReading;

typedef enum {
  HEAP_USE,
  HEAP_TAPE_OFF,
  HEAP_TEST_AGAIN, ///< The tester is not to be believed about it
  HEAP_WAITS       ///< For the known-good cable
} HeapVerdict;

typedef struct {
  const char* tag;
  HeapReading reading;
  HeapVerdict verdict;
  bool is_old; ///< A later row has the same tag: that one counts
} HeapCable;

typedef enum {
  HEAP_ASK_TAG,
  HEAP_ASK_READING,
  HEAP_ASK_KNOWN_GOOD, ///< Answers: its reading, or that there is none
  HEAP_ASK_TESTER      ///< The tester is bad: answer when it was mended or changed
} HeapState;

typedef enum { HEAP_TOLD_TAG, HEAP_TOLD_READING, HEAP_TOLD_NONE, HEAP_TOLD_CHANGED } HeapTold;

/// One thing that was told.
typedef struct {
  HeapTold sort;
  const char* tag;
  HeapReading reading;
} HeapEvent;

typedef struct {
  Arena* arena;
  HeapEvent* events; ///< [n_events]
  int n_events, n_room;
  HeapCable* cables; ///< [n_cables] in the order they were tested
  int n_cables, n_cable_room;
  // What follows
  HeapState state;
  const char* tag;        ///< HEAP_ASK_READING: whose reading
  HeapReading suspect;    ///< Fault of the run
  int run_start;          ///< First cable of the run; n_cables = no run
  int run_most;           ///< At this length the known-good cable is asked for
  bool is_doubted;        ///< There was no known-good cable: the run stays in doubt
  double tester_prob;     ///< Odds of the tester for the run, as a probability
  HeapReading known_good; ///< HEAP_ASK_TESTER: what the known-good cable showed
  int n_taped;            ///< Cables taped off at this moment
} Heap;

/// Start an empty heap. Nothing is allocated yet.
void
heap_init(Heap* heap, Arena* arena);

/// Each is taken in the state that asks for it, else STATUS_BAD_ARG and nothing changes;
/// STATUS_NO_MEMORY likewise. A tag is cut to HEAP_TAG_BYTES at a whole character.
Status
heap_tag(Heap* heap, const char* tag);

Status
heap_reading(Heap* heap, HeapReading reading);

/// In HEAP_ASK_KNOWN_GOOD: there is no known-good cable here.
Status
heap_no_known_good(Heap* heap);

/// In HEAP_ASK_TESTER: the tester was mended or changed, or its battery turned.
Status
heap_tester_changed(Heap* heap);

/// Take back the last thing that was told (a reading with its tag). STATUS_NO when there is none.
Status
heap_take_back(Heap* heap);

/// Whether two readings are the same fault.
bool
heap_same(HeapReading a, HeapReading b);

/// The tester's odds for a run of `run` cables, given how many of `n_before` cables before it
/// showed the same fault.
double
heap_tester_prob(HeapSort sort, int run, int n_same_before, int n_before);

// ---- What to show ----

typedef struct {
  char key; ///< Lower case
  const char* say;
  HeapReading reading;
  int asks; ///< Contacts still to be typed: 0, 1 or 2
} HeapChoice;

typedef struct {
  HeapState state;
  const char* headline;
  const char* say;                  ///< "" if nothing
  HeapChoice choices[HEAP_CHOICES]; ///< None in HEAP_ASK_TAG: a tag is typed
  int n_choices;
} HeapScreen;

/// The choices of a state: readings, 'n' no known-good cable, 'd' done, 'u' take back, 'q' leave.
Status
heap_screen(const Heap* heap, const Connector* connector, Arena* arena, HeapScreen* screen);

/// "open 3", "short 1-2", "breaks when flexed", "good", ...
const char*
heap_reading_name(const Connector* connector, HeapReading reading, Arena* arena);

/// "use", "tape off", "test again", "waits for the known-good cable".
const char*
heap_verdict_word(HeapVerdict verdict);

/// Contacts typed after a key: "3", or "1-2". False when they are none of this cable's.
bool
heap_contacts(const Connector* connector, const char* text, int asks, HeapReading* reading);
