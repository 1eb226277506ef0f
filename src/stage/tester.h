// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stdbool.h>

/*
  Testers and meters as data: what lies between which contacts of the crew's own box.

      lamps' end                                      sender's end (a second box, or a second plug)

        2 o--[ohm]--lamp--o 1                           2 o--[110]--+
        3 o--[ohm]--lamp--o 1         the cable         3 o--[220]--+-- 12 V against contact 1
        2 o--[ohm]--lamp--o 3                           3 o--[220]------ 0 V: the divider's foot

  A row of kinds/testers.csv, or of a testers list that the crew imports, is one lamp, one battery
  or one branch of the sender; the rows of one name are one tester. Contacts count from 1; contact 0
  is the earth of the box, which batteries and senders may use. A lamp is green when current flows
  from its first contact to its second, red the other way. A meter is a voltage behind a resistance.
  This room knows no circuit: fault/tester turns the words into one.

  Read-only after reading; lives in the arena of its plant; any thread.
*/

enum {
  TESTER_MIN_CONTACTS = 2,
  TESTER_MAX_CONTACTS = 8,
  TESTER_MAX_LAMPS = 6,     ///< As many as a picture has letters
  TESTER_MAX_BATTERIES = 3, ///< In the lamps' end
  TESTER_MAX_SENDER = 16    ///< Branches of the sender
};

typedef enum {
  TESTER_LAMP,    ///< A resistor with a lamp behind it, between two contacts of the lamps' end
  TESTER_BATTERY, ///< In the lamps' end: plus at `from`
  TESTER_SENDER   ///< At the other end of the cable: volts at `from` against `to`, behind ohm
} TesterPartSort;

typedef struct {
  TesterPartSort sort;
  int from, to;   ///< Contacts from 1; `to` 0 = earth of the box (not for a lamp)
  double ohm;     ///< > 0
  double volts;   ///< Of a battery or sender; 0 for a plain resistor of the sender [V]
  double green_v; ///< Forward volts over the junction at 1 mA, 1 to 6; 0 = shows no green
  double red_v;   ///< The same for red; one of the two is above 0 for a lamp
} TesterPart;

typedef struct {
  const char* name;      ///< "usual"
  const char* connector; ///< "3-pin", "jack", "4-pole", "8-pole" or "": how contacts are called
  const char* note;      ///< One sentence for people, may be ""
  int n_contacts;        ///< TESTER_MIN_CONTACTS to TESTER_MAX_CONTACTS
  const TesterPart* parts;
  int n_parts;
  const char* figures; ///< Where the numbers are from
  bool is_own;         ///< From a list of the crew's, not built in
} Tester;

typedef struct {
  const char* name; ///< "needle meter"
  double emf_v;     ///< What it puts across what it measures, open [V], > 0
  double ohm;       ///< Behind this [ohm], > 0
  const char* note;
  const char* figures;
} Meter;

/// How many parts of a sort a tester has.
int
tester_count(const Tester* tester, TesterPartSort sort);

/// What a contact is called on a connector: "2", "tip", "1+"; "earth" for 0. `name` [8].
void
tester_contact_name(const char* connector, int contact, char name[8]);

/// A contact by its number or its name on that connector, 0 = earth; -1 when there is none such.
int
tester_contact_of(const char* connector, const char* text);
