// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "sheet/canvas.h"

/*
  A QR code (ISO/IEC 18004) in black squares, with the light border of four modules it asks for. A
  camera and a bad printer want modules of half a millimetre at least.
*/

#define SQUARE_LEAST_MM 0.5 ///< A module
enum { SQUARE_BORDER = 4 };

/// Modules along one side with both borders; 0 = cannot be made.
int
square_modules(const char* text);

/**
   Draw at the right end of a room, in the middle of its height, as large as it can be, at most
   `most_mm` a module.

   @return the side it takes with its border [mm]; 0, and nothing drawn, when a module would be
   smaller than SQUARE_LEAST_MM, or there is no text or too much of it.
*/
double
square_draw(Canvas* canvas, Room room, double most_mm, const char* text);
