// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "circuit/port.h"

/*
  A piece of n-contact cable: resistance along, leakage and capacitance across, half of what lies
  across at each end.

       near o---+----[series]----+---o far
              half              half
                |                |

  Short of an eighth of a wavelength (some 2 km at 20 kHz) one piece a cable is enough.
  All zero but `n` is a joint of no resistance: conductances are in siemens so that nothing said
  means nothing there. `room_f` couples a contact to the room's potential: where hum comes from.
  The room's part counts as capacitance to earth with a drive.
*/
typedef struct {
  int n;                           ///< Contacts, as the port's
  double series_ohm[PORT_MAX];     ///< Along each contact [ohm]; INFINITY = broken
  double pair_siemens[PORT_PAIRS]; ///< Leakage between contacts [S], by port_pair
  double pair_f[PORT_PAIRS];       ///< Capacitance between contacts [F], by port_pair
  double earth_siemens[PORT_MAX];  ///< Leakage to earth [S]
  double earth_f[PORT_MAX];        ///< Capacitance to earth [F]
  double room_f[PORT_MAX];         ///< Capacitance to the room [F]
} Section;

/// Pass a port along: what was seen at one end is afterwards seen at the other. The same from
/// either side. Any thread.
void
section_pass(const Section* section, Port* port);

void
section_pass_ac(const Section* section, const PortTones* tones, PortAc* port);
