// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/status.h"

#include <pango/pango.h>
#include <stdint.h>

/*
  The fonts of this machine, for one canvas: DejaVu Sans first, and for letters it does not have
  whatever else is installed, except fonts that print in colours.

  The set is read afresh for each canvas, so a font that was installed a minute ago counts.
*/

typedef struct CanvasFonts CanvasFonts;

/// @return STATUS_IO with the package to install when there is no font at all.
Status
fonts_new(CanvasFonts** fonts, Error* error);

/// Legal on NULL.
void
fonts_free(CanvasFonts* fonts);

/// A layout of its own, to be let go with g_object_unref. One unit of its sizes is 1 mm.
PangoLayout*
fonts_layout(const CanvasFonts* fonts);

/// Height of DejaVu Sans's capitals and digits over its size: 1493 of 2048 units, from the font's
/// own tables (OS/2 sCapHeight; the digits reach 1493 as well).
#define FONTS_CAPITAL_RATIO (1493.0 / 2048.0)

/// The package of Debian 12 that has a font, black only, for a character that was in none.
const char*
fonts_package(uint32_t letter);
