// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/draft.h"

/*
  One cell as a word, a number or an answer.

  Private to the stage room. An empty cell, or a column that the list does not have, gives the
  fallback; a cell that makes no sense is STATUS_BAD_INPUT with its place, what stands there and
  what may stand there. Results are written on STATUS_OK only.
*/

/// The text of a cell, "" when it is empty or the list has no such column.
const char*
cell_text(const List* list, const TableRow* row, Field field);

/// The heading over a field, as the list has it.
const char*
cell_heading(const List* list, Field field);

/// An empty cell, or one that says in words that it is empty: "-", "n/a", "none".
bool
cell_says_nothing(const char* text);

/// A whole number in [low, high].
Status
cell_whole(const Draft* draft, const List* list, const TableRow* row, Field field, int low,
           int high, int fallback, int* value);

/// A number in [low, high]; decimal point or comma; its own unit after it is read over ("5 m").
Status
cell_number(const Draft* draft, const List* list, const TableRow* row, Field field, double low,
            double high, double fallback, double* value);

/// Yes, no or ask in the words people use ("x", "on", "48V", "-"); false when it is none of them.
bool
cell_answer_of(const char* text, Answer* answer);

Status
cell_answer(const Draft* draft, const List* list, const TableRow* row, Field field, Answer fallback,
            Answer* answer);

/// A flag keeps its value when the cell is empty; "ask" counts as no.
Status
cell_flag(const Draft* draft, const List* list, const TableRow* row, Field field, bool* flag);

/// A place, added to the draft when it is new; "split" when the cell is empty.
Status
cell_place(Draft* draft, const List* list, const TableRow* row, Field field, int* place);

/// A time of day, "18:15" (also "18.15", "18h15"; hours to 29 for a night that goes on), kept as
/// HH:MM; "" stays "".
Status
cell_clock(const Draft* draft, const List* list, const TableRow* row, Field field,
           const char** clock);

/// A date, 2031-06-14; "" stays "".
Status
cell_date(const Draft* draft, const List* list, const TableRow* row, Field field,
          const char** date);
