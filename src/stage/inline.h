// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stdbool.h>

/*
  What may sit between a source and its box socket, as plain numbers a practitioner can edit
  (kinds/inline.csv, or an in-line list of the crew's own). An input list names them from the source
  on: "pad 20 + polarity adaptor". Like a kind a row names a circuit in words and knows none.

      source --[in-line things]-- cable --[panel]-- box socket
*/

typedef enum {
  INLINE_PAD,         ///< "pad": resistors in both legs, one across them on the desk's side
  INLINE_CROSSED,     ///< "polarity adaptor": contacts 2 and 3 crossed on purpose
  INLINE_JOINED,      ///< "unbalanced adaptor": contacts 1 and 3 joined
  INLINE_TRANSFORMER, ///< "transformer": no direct current passes
  INLINE_SUPPLY,      ///< "A-B supply": feeds the source from its own battery, passes no direct
                      ///< current on
  INLINE_Y,           ///< "Y-lead": one source to two sockets, or two sources to one
  INLINE_PANEL,       ///< "panel": a stage patch panel, on the socket's side of the cable
  INLINE_SORTS
} InlineSort;

typedef struct {
  const char* name;    ///< "pad 20"
  const char* meaning; ///< "20 dB pad in a barrel"
  const char* caution; ///< May be ""
  const char* figures; ///< Where the numbers are from
  InlineSort sort;
  double series_ohm;    ///< Pad: in each leg [ohm]; any other: resistance of a contact
  double shunt_ohm;     ///< Pad: across the legs [ohm], > 0
  double primary_ohm;   ///< Transformer, supply: winding towards the source [ohm], > 0
  double secondary_ohm; ///< Towards the desk [ohm], > 0
  double primary_h;     ///< [H], > 0
  double ratio;         ///< Turns primary over secondary, > 0
  bool is_lifted;       ///< Transformer: contact 1 does not go through
} Inline;
