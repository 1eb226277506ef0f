// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/screen.h"

/*
  A QR code on a terminal, two rows of modules a line.

  A camera wants dark on light with a light border four modules wide (ISO/IEC 18004). Where colours
  may be used they are set; where not, the light modules are drawn, which is right on a dark
  terminal.
*/

/// @return false: it does not fit the screen or cannot be made; nothing was drawn then.
bool
qr_view_say(const Screen* screen, const char* text);
