// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/connector.h"

/*
  What a person with a continuity tester or an ohmmeter writes down, in as few strokes as they would
  use on tape.

  wired, end to end: near contact, a stroke (- = : or >), the far contacts it was joined to.

      1-1 2-3 3-2         1 to 1, 2 and 3 crossed
      1-1 2-2,3 3 open    2 reaches 2 and 3, 3 reaches nothing
      tip-tip s-s         words may be cut
      1+=1+ 1-=1-         poles: any other stroke reads better
      12-14 14-12 rest right      every contact not named goes where it should
      1..24 right         these do
      2-2?                joined to 2; the others were not tried

  A contact that is named was tried against every far contact (the shell left out, unless it is
  named somewhere), unless a ? says otherwise; a contact that is not named was not measured.

  within one end: contacts that are joined there; "none" when all were tried and none were. Giving
  it says that the whole end was tried (shell as above); with ? only these.

      1-2    1-2-3    none    shell-1

  ohms, end to end: near contact, a stroke, ohms along its own wire, or open.

      1=0.4 2=1.6 3=1.6      3 open

  Errors name the column where the unreadable word begins, from 1. Pure; any thread.
*/

/// Read what is wired to what into `seen` (marks are added). @param name For errors, as "--wired".
Status
notation_wired(const Connector* connector, const char* name, const char* text, WiringSeen* seen,
               Error* error);

/// Read what is joined within one end.
Status
notation_within(const Connector* connector, WiringPlace end, const char* name, const char* text,
                WiringSeen* seen, Error* error);

/// Read ohms by near contact: [WIRING_CONTACTS] NAN where nothing is said, INFINITY for open.
/// Untouched on error. 0 to 1e9.
Status
notation_ohms(const Connector* connector, const char* name, const char* text,
              double ohm[WIRING_CONTACTS], Error* error);

/// Read what should be wired to what into a plan that replaces the connector's: the notation of
/// wired, each contact once, no marks of doubt; wires in `arena`.
Status
notation_plan(Arena* arena, const Connector* connector, const char* name, const char* text,
              WiringPlan* plan, Error* error);
