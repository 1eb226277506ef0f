// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/heading.h"

/*
  What each sort of list is known by: its columns, by the names people give them, in one table.

  Private to the heading_* files.
*/

/// NEED: no list of this sort without it. ANY: at least one of these. MAY: welcome.
typedef enum { MAY, ANY, NEED } HeadingWeight;

typedef struct {
  Field field;
  HeadingWeight weight;
  const char* names; ///< Plain names between bars; the first is said in messages
} Heading;

/// The headings of a sort [*n]; static.
const Heading*
heading_of(ListSort sort, int* n);
