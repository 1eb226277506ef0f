// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"
#include "base/table.h"

#include <stdbool.h>

/*
  What people answered when a list was not understood, kept as a list of its own.

      under    written        means
      heading  Mic Choice     pickup      the column of that heading is the microphone or DI
      heading  FX             kept        the column is kept and not used
      pickup   Model 7        dyn-inst    that word under pickup
      phantom  own            yes
      patch    tbc            nothing     the cell is read as if it were empty
      row      Backline: ask  note        a row that is no input: section, note, title, left out; or
                                          input, when it is one after all
      act      v3 final.csv   act2        the act of the input list of that name

  Private to the stage room. Headings are compared by their letters and digits, the rest as people
  type it, without case. A later row stands over an earlier one that says the same written under the
  same. Being a list, it is kept in the show, exported, edited and taken back like any other.
*/

typedef struct {
  const char* under;
  const char* written;
  const char* means;
} MappingRow;

typedef struct {
  const MappingRow* rows; ///< [n_rows], none says the same written under the same twice
  int n_rows;
} Mapping;

/// Whether a table is such a list: by its three headings.
bool
mapping_is(const Table* table);

/// Read all such lists among `tables` [n_tables], in their order. Other tables are passed over.
/// @param[out] mapping Lives in `arena`; untouched on error.
/// @return STATUS_BAD_INPUT with the place (an empty cell, a word that means nothing here),
/// STATUS_LIMIT, STATUS_NO_MEMORY.
Status
mapping_read(Arena* arena, const Table* const* tables, int n_tables, Mapping* mapping,
             Error* error);

/// Whether words can be written under this: heading, row, act, or a question of heading.h.
bool
mapping_is_under(const char* word);

/// What it means, NULL when nobody answered. `mapping` may be NULL.
const char*
mapping_means(const Mapping* mapping, const char* under, const char* written);

/// The mapping with rows over it (later ones win), as the CSV of a list.
Status
mapping_write(Arena* arena, const Mapping* mapping, const MappingRow* more, int n_more,
              const char** bytes, size_t* n_bytes);
