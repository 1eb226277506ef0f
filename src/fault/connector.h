// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/wiring.h"

/*
  Cables by their connectors: what the contacts of each end are called, and what should be wired to
  what. A row of kinds/connectors.csv is one sort of cable.

    connector, also   its name; other names with a bar between them
    near, far         names of the contacts, in order: "1 2 3", "tip ring sleeve", "1+ 1- 2+ 2-",
  "1..8"; "1..N" takes its count from the name ("multipin 37", 2 to 37) shell             yes: each
  end has a shell, which should be joined to nothing wires             "straight", or near=far for
  every wire; contacts that are not named stay empty joins             bridges that belong there:
  "far 1=3" pairs             near contacts of balanced or twisted pairs figures           where
  this is from

  "Near" is the end named first, or the one you hold; only for a cable with the same at both ends is
  it free to choose.
*/

enum { CONNECTOR_PAIRS = 20 };

typedef struct {
  const char* name;              ///< "multipin 37" with its count
  const char* const* contact[2]; ///< [plan.n[end] + shell] names at the near and far end
  WiringPlan plan;
  int pairs[CONNECTOR_PAIRS][2]; ///< Near contacts
  int n_pairs;
  bool same_ends; ///< Both ends have contacts of the same names
  const char* figures;
} Connector;

/// All rows, "multipin" as `multipin 37`. Lives in `arena`; untouched on error.
/// @return STATUS_OK, STATUS_NO_MEMORY.
Status
connector_list(Arena* arena, const Connector** list, int* n);

/// The cable of a name or one of its other names. @return STATUS_BAD_INPUT with what there is.
Status
connector_find(Arena* arena, const char* name, Connector* connector, Error* error);

/// Read rows from bytes (the built-in list, or another of the same shape). Names errors with line
/// and column. @param count Contacts of "1..N"; 0 = 37.
Status
connector_read(Arena* arena, const char* file, const char* bytes, size_t n_bytes, int count,
               const Connector** list, int* n, Error* error);

/// The name of a contact at an end, from 1; "" outside.
const char*
connector_contact(const Connector* connector, WiringPlace end, int contact);

/// The contact whose name stands at the start of a text, letters in any case; a word may be cut
/// ("t" for tip) as long as it is one. @param[out] length Bytes of it. @return contact from 1; 0 =
/// none, -1 = several fit.
int
connector_contact_at(const Connector* connector, WiringPlace end, const char* text, int* length);
