// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stddef.h>

/*
  How every function of the house says how it went.

  A function that can fail returns a Status and writes its results only on STATUS_OK. Work on text
  or files also fills an Error owned by the caller, which can say where the fault lies and what to
  do about it. The list is an X-macro so that a code cannot exist without its sentence.
*/

/// name, sentence for a person
#define STATUS_LIST(X)                                                                             \
  X(STATUS_OK, "Done.")                                                                            \
  X(STATUS_BAD_ARG, "A value handed to this step makes no sense.")                                 \
  X(STATUS_NO_MEMORY, "There is not enough memory.")                                               \
  X(STATUS_BAD_INPUT, "Something in the input cannot be understood.")                              \
  X(STATUS_NOT_FOUND, "There is no such thing in this show.")                                      \
  X(STATUS_EXISTS, "It is already there.")                                                         \
  X(STATUS_LIMIT, "That is more than can be handled.")                                             \
  X(STATUS_NO_SOLUTION, "The circuit or the sum has no answer.")                                   \
  X(STATUS_IO, "The file could not be read or written.")                                           \
  X(STATUS_FULL, "The disk is full.")                                                              \
  X(STATUS_LOCKED, "Another program is using the file.")                                           \
  X(STATUS_NEWER, "The file was made by a newer Linewalk.")                                        \
  X(STATUS_NOT_OURS, "The file is not a Linewalk show.")                                           \
  X(STATUS_DAMAGED, "The file is damaged.")                                                        \
  X(STATUS_NO, "The answer is no.")

typedef enum {
#define STATUS_ENUM(name, text) name,
  STATUS_LIST(STATUS_ENUM)
#undef STATUS_ENUM
    STATUS_COUNT
} Status;

/// What went wrong and where. Plain data, owned by the caller; all zero means "nothing said".
typedef struct {
  Status status;
  int line;       ///< 1-based line in the named file; 0 = no position
  int column;     ///< 1-based column (bytes for JSON, cells for a table); 0 = no position
  char file[160]; ///< File the position is in, as the user named it; may be empty
  char text[400]; ///< One sentence: what is wrong and what to do
} Error;

/// The sentence of a code; never NULL, also for a value outside the enum. Any thread.
const char*
status_text(Status status);

/**
   Fill an error and hand the status back, so that a failing function can `return error_set(...)`.

   @param error May be NULL: then only the status is returned.
   @param file  May be NULL. Text that does not fit is cut at a whole character.
   @return `status`, always.
*/
Status
error_set(Error* error, Status status, const char* file, int line, int column, const char* format,
          ...) __attribute__((format(printf, 6, 7)));

/// Return early when a step fails.
#define TRY(st, expr)                                                                              \
  do {                                                                                             \
    if (((st) = (expr)) != STATUS_OK) {                                                            \
      return (st);                                                                                 \
    }                                                                                              \
  } while (0)
