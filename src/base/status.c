// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/status.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

const char*
status_text(Status status)
{
  static const char* const texts[] = {
#define STATUS_TEXT(name, text) text,
    STATUS_LIST(STATUS_TEXT)
#undef STATUS_TEXT
  };
  return (unsigned)status < STATUS_COUNT ? texts[status] : "Unknown status.";
}

// A cut in the middle of a UTF-8 character would make the whole sentence invalid JSON.
static void
trim_to_character(char* text, size_t size)
{
  size_t n = strnlen(text, size);
  if (n + 1 < size) {
    return; // Nothing was cut
  }
  while (n > 0 && ((unsigned char)text[n - 1] & 0xC0u) == 0x80u) {
    --n;
  }
  if (n > 0 && ((unsigned char)text[n - 1] & 0x80u)) {
    --n;
  }
  text[n] = '\0';
}

Status
error_set(Error* error, Status status, const char* file, int line, int column, const char* format,
          ...)
{
  if (!error) {
    return status;
  }
  memset(error, 0, sizeof(*error));
  error->status = status;
  error->line = line;
  error->column = column;
  if (file) {
    (void)snprintf(error->file, sizeof(error->file), "%s", file);
    trim_to_character(error->file, sizeof(error->file));
  }
  va_list args;
  va_start(args, format);
  (void)vsnprintf(error->text, sizeof(error->text), format, args);
  va_end(args);
  trim_to_character(error->text, sizeof(error->text));
  return status;
}
