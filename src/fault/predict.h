// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/catalogue.h"
#include "fault/shared.h"
#include "stage/plant.h"

#include <stdbool.h>

/*
  What each check would show, were a given thing wrong.

  A *view* is everything a line shows in one condition (what is plugged there, which fault it has):
  levels at each desk, phantom volts in line at the socket, the lamp picture, the ohms of the source
  side. Views come from circuits (fault/template) and are worked out once for every condition that
  differs electrically. Turning a view into what a person would say is done here: soft thresholds,
  and a chance of misreading that is never zero, so that no single reading is ever proof.

  A reading is a *key*: a small number that stands for a word ("far down"), a socket or input number
  ("on 46") or a lamp picture. Keys have a fixed text both ways.
*/

typedef enum {
  CHECK_LEVEL,    ///< At a desk: what is heard on the channel
  CHECK_TONE,     ///< At a desk: full or thin
  CHECK_HUM,      ///< At a desk
  CHECK_CRACKLE,  ///< At a desk, while somebody moves plugs and cable
  CHECK_POLARITY, ///< At a desk, against a known neighbour
  CHECK_SEEN,     ///< At a desk: does the input meter move, or another one
  CHECK_LOOK,     ///< At a desk: settings; at a socket: what is plugged there
  CHECK_VOLTS,    ///< In line, phantom on: volts of 2 and 3 against 1; at the socket, or at a desk
                  ///< between the line's plug and the desk's input
  CHECK_LAMPS,    ///< Tester in the socket, source unplugged, phantom on
  CHECK_OHMS,     ///< Meter on the source's cable, unplugged at the socket: 2-3
  CHECK_FLEX,     ///< The cable on a tester, moved for 60 s
  CHECK_SWAP,     ///< A repair and whether it helped; see day/
  CHECK_BOX,      ///< At a digital box: what its lamps for power, network and clock show
  CHECK_HUNT,     ///< Known-good microphone in the socket: which line does it arrive on
  CHECK_SENT,     ///< The cable alone: sender on its microphone end, tester on the other
  CHECK_COUNT
} CheckSort;

typedef struct {
  CheckSort sort;
  int desk; ///< At this desk; -1 = at the line's box socket
} Check;

/// Reading keys that are words. Keys from PREDICT_ON up are "on N" with N = key - PREDICT_ON; keys
/// from PREDICT_SOURCE up name the line whose source is meant; from PREDICT_PICTURE up a picture:
/// a letter a lamp, G R lit, g r lit but clearly weaker than on a good line, d dim, . dark.
enum {
  PREDICT_ON = 1000,
  PREDICT_SOURCE = 2000,
  PREDICT_PICTURE = 4000,
  PREDICT_MAX_KEYS = 12,
  PREDICT_MAX_WORDS = 10
};
enum { LEVEL_NOTHING, LEVEL_FAR_DOWN, LEVEL_LOW, LEVEL_NORMAL, LEVEL_OVER };
enum { TONE_FULL, TONE_THIN };
enum { HUM_NONE, HUM_AUDIBLE, HUM_LOUD };
enum { CRACKLE_NONE, CRACKLE_SOME, CRACKLE_ON_TOUCH };
enum { POLARITY_SAME, POLARITY_INVERTED };
enum { SEEN_YES, SEEN_NO };
enum { LOOK_FINE, LOOK_MUTED, LOOK_PATCH, LOOK_PHANTOM, LOOK_PAD, LOOK_GAIN };
/// Of a digital box, as the desk shows it: owned by another desk, on the wrong clock, not there.
enum { LOOK_OWNER = LOOK_GAIN + 1, LOOK_CLOCK, LOOK_LOST };
enum { LOOK_NOTHING_PLUGGED = 10 };
enum { VOLTS_FULL, VOLTS_SAGGED, VOLTS_NONE, VOLTS_TWO_LOW, VOLTS_THREE_LOW, VOLTS_REVERSED };
enum { OHMS_RIGHT, OHMS_OPEN, OHMS_SHORT, OHMS_ODD };
enum { FLEX_PASSES, FLEX_BREAKS };
enum { SWAP_BETTER, SWAP_SAME };
enum { HUNT_HERE, HUNT_NOWHERE };
enum { BOX_FINE, BOX_DARK, BOX_NO_LINK, BOX_ONE_LINK, BOX_CLOCK };

typedef struct {
  bool is_anything;             ///< "Something else": any reading is as likely as any other
  double level_db[PLANT_DESKS]; ///< Heard, against the planned source on a healthy line [dB]
  double meter_db[PLANT_DESKS]; ///< Same at the input meter (before mute and patch)
  double bass_db[PLANT_DESKS];  ///< 100 Hz against 10 kHz, change from healthy [dB]
  int sign[PLANT_DESKS];        ///< +1, -1
  double hum_dbv[PLANT_DESKS];  ///< With 230 V of room potential [dBV]
  double open_prob; ///< What comes and goes: chance that it is gone at a look, nobody moving it
  bool is_loose;
  bool is_wet;                 ///< It crackles without being touched: a leak, a lost transmitter
  bool is_clicking;            ///< A wrong clock: clicks, whatever is plugged
  bool is_adrift;              ///< Gain set for something else: mostly far down, at times too loud
  int box;                     ///< Lamps of a digital box: BOX_FINE ... BOX_CLOCK
  int look[PLANT_DESKS];       ///< LOOK_FINE ... LOOK_LOST
  int plugged;                 ///< Line index whose source is in the socket; -1 = nothing
  int arrives_at[PLANT_DESKS]; ///< Line index where the planned source can be seen; -1 = nowhere
  double volts[2];             ///< In line at the socket: contacts 2 and 3 against 1 [V]
  double desk_volts[PLANT_DESKS][2]; ///< The same in line at each desk's input [V]
  char lamps[8];                     ///< Picture of the crew's own tester at the socket
  char lamps_weak[8]; ///< The same with g, r where a lamp is weaker than on a good line
  double weak_prob;   ///< Chance that a person says so
  double lamps_a[TESTER_MAX_LAMPS]; ///< Its currents [A]
  char sent[8], sent_weak[8];       ///< The same for the cable alone with the tester's sender
  double sent_weak_prob;
  double sent_a[TESTER_MAX_LAMPS];
  double legs_a[2]; ///< Current that a meter in line sees in contacts 2 and 3 of the socket [A]
  double source_v;  ///< What phantom leaves for the circuit of a source it feeds [V]; NAN = none
  double r23_ohm;   ///< Source side of the socket; INFINITY = open
  double r23_planned_low, r23_planned_high; ///< What the planned source should read; 0, 0 = unknown
} View;

/// What a view is asked for.
typedef struct {
  int line;    ///< Index
  int plugged; ///< Line index whose source and cable sit in this line's socket; -1 = nothing;
               ///< PREDICT_KNOWN_GOOD = the known-good microphone on a good cable;
               ///< PREDICT_EMPTY = nothing, whatever the act plans there
  int own_at;  ///< Line index where this line's own source sits; -1 = unplugged
  Fault fault; ///< One fault of this line or of the cable and source plugged here
} Condition;

enum { PREDICT_KNOWN_GOOD = -2, PREDICT_EMPTY = -3 };

typedef struct Predictor Predictor;

/**
   A predictor for one act; keeps the views it has worked out. Lives in `arena`, which also takes
   the views as they come. Not for two threads at once.
*/
Status
predictor_new(Arena* arena, const Plant* plant, int act, Predictor** predictor);

/// The view of a condition, worked out or remembered; borrowed, lives as long as the predictor.
Status
predictor_view(Predictor* predictor, const Condition* condition, const View** view);

/// How many distinct circuits have been solved so far, and how many views were asked for.
void
predictor_counts(const Predictor* predictor, int* n_circuits, int* n_views);

/**
   Probability of a reading, misreading included; > 0 for every key.
   @param known  View with the known-good microphone plugged (same fault), needed for CHECK_HUNT;
                 may be NULL for other checks.
*/
double
predict_prob(const Plant* plant, int line, Check check, const View* view, const View* known,
             int key);

/// The same for `n_keys` readings at once. `probs` [n_keys].
void
predict_probs(const Plant* plant, int line, Check check, const View* view, const View* known,
              const int* keys, int n_keys, double* probs);

/// The keys a view can show with more than misreading's chance [<= PREDICT_MAX_KEYS]; returns how
/// many.
int
predict_keys(const Plant* plant, int line, Check check, const View* view, const View* known,
             int keys[PREDICT_MAX_KEYS]);

/// How many words a check has as readings on this line: keys 0 to this - 1.
int
predict_words(const Plant* plant, int line, Check check);

/// The key a view shows most likely.
int
predict_shows(const Plant* plant, int line, Check check, const View* view, const View* known);

enum { PREDICT_LAMPS_BYTES = 18 * TESTER_MAX_LAMPS };

/// The lamps of the crew's own tester in the order of a picture: "2-1, 3-1, 2-3".
void
predict_lamps(const Plant* plant, char names[PREDICT_LAMPS_BYTES]);

/// Whether the crew's own tester has a sender, so that CHECK_SENT can be made at all.
bool
predict_can_send(const Plant* plant);

/// "level", "tone", ...: the word on the wire.
const char*
predict_check_word(CheckSort sort);

/// The check of a word; false when there is none.
bool
predict_check_of(const char* word, CheckSort* sort);

/// A key as text ("far down", "on 46", "G.R", "vocal lead"); in `arena`, NULL = no memory.
const char*
predict_key_text(Arena* arena, const Plant* plant, int act, Check check, int line, int key);

/**
   A reading typed by a person, as a key. Volts may be given as numbers ("34.4,34.4"), ohms as a
   number or "open", a flex check by its counted breaks ("3 breaks in 60", "breaks 3"); a look at a
   socket takes a source's name or "nothing".
   @return STATUS_OK; STATUS_BAD_INPUT with the words that fit, `key` untouched.
*/
Status
predict_key_of(const Plant* plant, int act, Check check, int line, const char* text, int* key,
               Error* error);
