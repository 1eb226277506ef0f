// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "fault/catalogue.h"
#include "fault/tester.h"

/*
  What every fault shows on a tester: the card in its lid.

      under phantom   desk (48 V) ==== 60 m ==== fault ==== 10 m ==== lamps
      sender          sender      ==== 60 m ==== fault ==== 10 m ==== lamps
      reversed        the same, the sender's battery the wrong way round
      alone           nothing     ==== 60 m ==== fault ==== 10 m ==== lamps and their battery

  One line, 60 m and 10 m with the fault between them, stands for all: lamps answer to kilohms, and
  70 m of cable have 6 ohm. The same rows hold for a cable of any usual length on its own.

  Faults of an n-contact cable: none; each contact open; each pair short (0.1 ohm) and crossed; the
  two rotations of three contacts; from four contacts on each two pairs (1-2, 3-4, ...) crossed;
  each contact with 1 and with 10 kohm in it; 10 kohm between each pair. Lamp by lamp 0.3 mA is lit
  and 0.05 mA dim (circuit/lamp.h).

  Two faults *look the same* when every lamp is lit in the same colour in both, or in neither (dim
  counts as dark: nobody should have to judge a glimmer). They may still be told by *brightness*
  when a lamp that is lit in both differs by CARD_BRIGHT_RATIO or more.

  Everything lives in the arena it was made in, read-only, any thread. Pure.
*/

/// Currents of this ratio are easy to tell apart by eye beside the known picture (no source).
#define CARD_BRIGHT_RATIO 2.0

typedef enum {
  CARD_PHANTOM,  ///< Only for testers of three contacts
  CARD_SENDER,   ///< Only for testers with a sender
  CARD_REVERSED, ///< The same
  CARD_ALONE,    ///< Only for testers with a battery in the lamps' end
  CARD_SITUATIONS
} CardSituation;

enum { CARD_MAX_FAULTS = 1 + 2 * 8 + 8 + 3 * 28 + 2 + 6, CARD_NAME_BYTES = 40 };

/// A fault of one cable. `mode` is one of NONE, OPEN, SHORT, CROSSED, ROTATED, HIGH, LEAK;
/// CROSSED with n_pairs 2 crosses the pair that begins at a with the pair that begins at b.
typedef struct {
  FaultMode mode;
  int a, b;              ///< Contacts from 1, 0 = not used; of a leak or short a < b
  int n_pairs;           ///< 1; 2 = two pairs crossed as wholes
  double ohm;            ///< Of SHORT, HIGH, LEAK
  uint8_t map[PORT_MAX]; ///< Of CROSSED, ROTATED: contact c of the lamps' end is map[c], from 0
  char name[CARD_NAME_BYTES]; ///< "open 3", "high 2 1k", "rotated 231", "pairs crossed 1/3"
} CardFault;

typedef struct {
  CardFault fault;
  double lamp_a[LAMP_MAX];    ///< Positive is green [A]
  char picture[LAMP_MAX + 1]; ///< G, R, d, .
  int looks_as;               ///< First row that looks the same: its own index when it is the first
} CardRow;

typedef struct {
  const Tester* tester; ///< Borrowed
  CardSituation situation;
  int n_lamps;
  const CardRow* rows; ///< rows[0] is "none"
  int n_rows;
} Card;

/// The faults of a cable of n contacts, called as on its connector; returns how many.
int
card_faults(int n_contacts, const char* connector, CardFault faults[CARD_MAX_FAULTS]);

/// A fault as people say it: "1k in 2" for "high 2 1k", "10k across 1-3" for a leak, else its name.
void
card_fault_say(const CardFault* fault, char text[CARD_NAME_BYTES]);

/// Whether a situation fits a tester.
bool
card_fits(const Tester* tester, CardSituation situation);

/// What the lamps' end of the line shows with a fault on it, before lamps are plugged.
void
card_port(const Tester* tester, CardSituation situation, const CardFault* fault, Port* port);

/// What the lamps' plug shows with the sender on one cable of that length and a fault at the
/// sender's end of it. `fault` as card_faults makes them, any `ohm`.
void
card_cable(const Tester* tester, const CardFault* fault, double cable_m, Port* port);

/**
   Work out a card.

   @return STATUS_OK; STATUS_BAD_ARG when the situation does not fit or the tester is none;
   STATUS_NO_MEMORY; STATUS_NO_SOLUTION if a lamp circuit does not settle. `card` untouched on
   error.
*/
Status
card_build(Arena* arena, const Tester* tester, CardSituation situation, Card* card);

/// The picture with dim as dark, as people read it. text [LAMP_MAX + 1].
void
card_read(const CardRow* row, char text[LAMP_MAX + 1]);

/// Whether two rows look the same.
bool
card_same(const Card* card, int one, int two);

/// The largest ratio of a lamp that is lit in the same colour in both rows; 1 when none is.
double
card_ratio(const Card* card, int one, int two);

/**
   Which faults of a cable show this picture: one letter a lamp in the tester's order, G R lit, "."
   dark, d dim (counts as dark), in any case.

   @param[out] rows [card->n_rows] their indices in `card->rows`.
   @return How many; -1 when the text is no picture of this tester.
*/
int
card_showing(const Card* card, const char* picture, int rows[]);

/// A lamp as people call it: "2-1", "1+/2-". name [16].
void
card_lamp_name(const Tester* tester, int lamp, char name[16]);
