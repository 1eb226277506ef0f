// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"

/*
  One part of a workbook: out of the zip in pieces, through the parser, to three functions.

  Private to the stage room; with sheet_part.c the only place that knows libzip and expat. A part
  never stands in memory as a whole. It ends with an error when it is longer than
  SHEET_MAX_PART_BYTES, deeper than 32 elements, no well-formed XML, or has a document type, so
  entities cannot be declared. Element names come without their prefix.
*/

typedef struct SheetPart SheetPart;

struct SheetPart {
  Arena* arena;
  const char* file; ///< For errors
  Error* error;
  // Any of these may be NULL; `attributes` are names and values in turn, ended by NULL
  void (*start)(SheetPart* part, const char* name, const char** attributes);
  void (*text)(SheetPart* part, const char* text, size_t n);
  void (*end)(SheetPart* part, const char* name);
  // Kept by sheet_part_read
  void* parser;
  Status status; ///< STATUS_OK until something stopped the part
  int depth;
};

/// Read a part by its name in the zip. @return STATUS_NOT_FOUND when there is none of that name,
/// without filling the error; else as sheet_open.
Status
sheet_part_read(SheetPart* part, const char* bytes, size_t n_bytes, const char* name);

/// Stop reading with this status and sentence; the first word counts. For the three functions.
void
sheet_part_stop(SheetPart* part, Status status, const char* format, ...)
  __attribute__((format(printf, 3, 4)));

/// The same for want of memory.
void
sheet_part_no_memory(SheetPart* part);
