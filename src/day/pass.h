// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/situation.h"

/*
  A pass: line after line proven in one way, and what that proves.

      way         needs                     at the socket             read
      heard       the act's own sources     plays or speaks           level at a desk
      microphone  known-good microphone     in the socket, speaks     level at a desk
      lamp        lamp tester, phantom      unplugged, tester in      lamps at the socket
      volts       meter, phantom            meter in line             volts at the socket
      desk-volts  meter, phantom            as it is                  volts at the desk's input

  Microphone, lamp and volts prove bare copper, whatever is planned there: their readings are facts
  of the bare lines and count in every act. Lamp and volts need nobody at the other end once phantom
  is on.

  Volts at the desk's input need nobody on stage, and see what hangs on the line from there:

      desk [6.8 k] o--- pair --- tail --- cable --- source          a source that draws 4 mA: 34.4 V
                   |                                                 on both, or one leg alone at
                meter: 2 and 3 against 1                             20.8 V; one that draws nothing,
                                                                     or an empty socket: 48 V

  Nothing plugged, or a coil: only what touches contact 1 shows, no break and no crossing. A source
  that draws: every break of a leg or the shield shows too. An isolated side gives and gets no
  phantom: a meter there reads 0 V whatever the line is like, so nothing is proven by it. A line
  through a digital box has no copper at the desk.

  A reading shows a fault *away* when the line's circuit with that fault would show something else
  there than a line in order does, and what was read is at most PASS_SHOWN_RATIO as likely with the
  fault as without. That is the prediction table and nothing beside it; so a pass proves the parts
  its circuits go through, each for the faults that show there, until one of them is touched, moved
  or taped off (day/situation leaves such readings out). What no reading shows away was not seen.

  Pure but for the situation's predictor: one thread.
*/

typedef enum {
  PASS_HEARD,
  PASS_MICROPHONE,
  PASS_LAMP,
  PASS_VOLTS,
  PASS_DESK_VOLTS,
  PASS_WAYS
} PassWay;

/// A reading that a fault would give half as often as a line in order speaks against the fault.
#define PASS_SHOWN_RATIO 0.5

/// "heard", "microphone", "lamp", "volts", "desk-volts": the word in facts and on the wire.
const char*
pass_word(PassWay way);

bool
pass_of(const char* word, PassWay* way);

/// "walked microphone", "phantom and lamp", ... as people say it.
const char*
pass_say(PassWay way);

/// Whether a way proves bare copper; its facts then carry the act "".
bool
pass_is_bare(PassWay way);

/// Whether somebody at a desk must hear it.
bool
pass_has_ear(PassWay way);

/// Whether phantom is on meanwhile, on lines whose far end is not proven.
bool
pass_has_phantom(PassWay way);

/// Why a way cannot be gone in this act with the kit at hand, one sentence; NULL = it can.
const char*
pass_refusal(const Situation* situation, PassWay way);

/// Whether a line can be gone through by a way from a desk: it is heard there, or its meter there
/// stands in the line's phantom and nothing on the line must be kept from it.
bool
pass_reaches(const Situation* situation, int line, PassWay way, int desk);

/// The check of a way; `desk` is who hears it or where the meter stands, ignored at the socket.
Check
pass_check(PassWay way, int desk);

/// Usual seconds for one line by a way, between its neighbours of the same box (times list).
double
pass_line_s(const Plant* plant, PassWay way);

/// What a line in order shows to a way: the key of "good".
Status
pass_good_key(const Situation* situation, int line, PassWay way, int desk, int* key);

/// What can be made of one line to see a fault.
typedef struct {
  Check check;
  double seconds; ///< Handling, without the walk
} PassCheck;

/// One fault of a line, with what was and could be seen of it.
typedef struct {
  const Fault* fault;
  double prob;  ///< Now
  bool is_seen; ///< A reading shows it away
  int best;     ///< Cheapest of the checks that would see it; -1 = none at hand would
} PassFault;

typedef struct {
  PassFault* faults; ///< [n] in the order of the catalogue, FAULT_NONE and ELSE left out
  int n;
  const PassCheck* checks; ///< [n_checks] that can be made with the kit at hand without harm
  int n_checks;
  int best; ///< The check that sees most odds of what is unseen per second; -1 = nothing is left
} PassLine;

/// What of a line was not seen, and what would see it. @param[out] line_out In `arena`; untouched
/// on error. @return STATUS_OK, STATUS_NO_MEMORY.
Status
pass_line(const Situation* situation, Arena* arena, int line, PassLine* line_out);

/// The same for all local faults of a line at once: sets `bit` in `sees` [n_locals] where it would,
/// of those that `wanted` [n_locals] names.
Status
pass_would_see_all(const Situation* situation, int line, Check check, bool is_walked,
                   const bool* wanted, unsigned char* sees, unsigned char bit);

/// "listen at the monitor desk, 5 s"; in `arena`, NULL = no memory.
const char*
pass_check_say(Arena* arena, const Plant* plant, const PassCheck* check);

/// Whether a reading shows a fault of its line away.
Status
pass_shows(const Situation* situation, const Seen* seen, const Fault* fault, bool* shows);

/// Whether any reading so far shows it away.
Status
pass_seen(const Situation* situation, int line, const Fault* fault, bool* is_seen);

/// Whether the good reading of a check would show a fault away. `is_walked` as in Seen.
Status
pass_would_see(const Situation* situation, int line, Check check, bool is_walked,
               const Fault* fault, bool* sees);
