// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/tidy.h"

/*
  An input list while it is tidied. Shared by the tidy_* files and nobody else.
*/

/// How a row looks before it is decided what it is.
typedef enum { LOOK_INPUT, LOOK_LONE, LOOK_WORDS, LOOK_HEADING } TidyLooks;

typedef struct {
  Draft* draft;
  List* list;
  Field number;     ///< What inputs are numbered by; FIELD_COUNT = by nothing
  bool is_numbered; ///< Most inputs are
  TidyLooks* looks; ///< [rows]
  int first;        ///< First and last row that looks like an input
  int last;
  GROWING(TableRow) rows;
  GROWING(AsideRow) aside;
  const char* box; ///< Of the row before
  int n_carried;
  int first_carried;
} Tidy;

/// Whether a row says something in a field.
bool
tidy_has(const List* list, const TableRow* row, Field field);

/// Take a row as an input, or as several.
Status
tidy_take(Tidy* tidy, const TableRow* given);
