// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/sheet_part.h"

#include "stage/sheet.h"

#include <expat.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <zip.h>

enum { PIECE_BYTES = 32 * 1024, MAX_DEPTH = 32 };

void
sheet_part_stop(SheetPart* part, Status status, const char* format, ...)
{
  if (part->status != STATUS_OK) {
    return; // The first word counts
  }
  char text[400];
  va_list args;
  va_start(args, format);
  (void)vsnprintf(text, sizeof(text), format, args);
  va_end(args);
  part->status = error_set(part->error, status, part->file, 0, 0, "%s", text);
  (void)XML_StopParser(part->parser, XML_FALSE);
}

void
sheet_part_no_memory(SheetPart* part)
{
  sheet_part_stop(part, STATUS_NO_MEMORY, "There is not enough memory for this workbook.");
}

static const char*
local_name(const char* name)
{
  const char* const colon = strrchr(name, ':');
  return colon ? colon + 1 : name;
}

static void
on_start(void* user, const XML_Char* name, const XML_Char** attributes)
{
  SheetPart* const part = user;
  if (part->status != STATUS_OK) {
    return;
  }
  if (++part->depth > MAX_DEPTH) {
    sheet_part_stop(part, STATUS_BAD_INPUT,
                    "This workbook is nested deeper than any spreadsheet writes it.");
    return;
  }
  if (part->start) {
    part->start(part, local_name(name), attributes);
  }
}

static void
on_end(void* user, const XML_Char* name)
{
  SheetPart* const part = user;
  --part->depth;
  if (part->end && part->status == STATUS_OK) {
    part->end(part, local_name(name));
  }
}

static void
on_text(void* user, const XML_Char* text, int n)
{
  SheetPart* const part = user;
  if (part->text && part->status == STATUS_OK) {
    part->text(part, text, (size_t)n);
  }
}

static void
on_document_type(void* user, const XML_Char* name, const XML_Char* system, const XML_Char* public,
                 int has_own)
{
  (void)name;
  (void)system;
  (void)public;
  (void)has_own;
  sheet_part_stop(user, STATUS_BAD_INPUT,
                  "This workbook declares a document type, which no spreadsheet writes: it is not "
                  "read.");
}

static Status
damaged(SheetPart* part, const char* why)
{
  return error_set(
    part->error, STATUS_BAD_INPUT, part->file, 0, 0,
    "This workbook is damaged (%.80s): save it again from where it was made, or save "
    "the sheet as CSV.",
    why);
}

static Status
parse(SheetPart* part, zip_file_t* file)
{
  size_t n_all = 0;
  for (;;) {
    void* const piece = XML_GetBuffer(part->parser, PIECE_BYTES);
    if (!piece) {
      return error_set(part->error, STATUS_NO_MEMORY, part->file, 0, 0,
                       "There is not enough memory for this workbook.");
    }
    const zip_int64_t got = zip_fread(file, piece, PIECE_BYTES);
    if (got < 0) {
      return damaged(part, zip_error_strerror(zip_file_get_error(file)));
    }
    n_all += (size_t)got;
    if (n_all > SHEET_MAX_PART_BYTES) {
      return error_set(part->error, STATUS_LIMIT, part->file, 0, 0,
                       "This workbook unpacks to more than %d MB: is it the right file? Save the "
                       "one sheet as CSV.",
                       SHEET_MAX_PART_BYTES / (1024 * 1024));
    }
    const enum XML_Status went = XML_ParseBuffer(part->parser, (int)got, got == 0);
    if (part->status != STATUS_OK) {
      return part->status;
    }
    if (went != XML_STATUS_OK) {
      const enum XML_Error why = XML_GetErrorCode(part->parser);
      return why == XML_ERROR_NO_MEMORY ? error_set(part->error, STATUS_NO_MEMORY, part->file, 0, 0,
                                                    "There is not enough memory for this workbook.")
                                        : damaged(part, XML_ErrorString(why));
    }
    if (got == 0) {
      return STATUS_OK;
    }
  }
}

static Status
read_from(SheetPart* part, zip_t* zip, const char* name)
{
  const zip_int64_t at = zip_name_locate(zip, name, ZIP_FL_NOCASE);
  if (at < 0) {
    return STATUS_NOT_FOUND;
  }
  zip_file_t* const file = zip_fopen_index(zip, (zip_uint64_t)at, 0);
  if (!file) {
    return damaged(part, zip_error_strerror(zip_get_error(zip)));
  }
  Status st = STATUS_NO_MEMORY;
  part->parser = XML_ParserCreate(NULL);
  part->status = STATUS_OK;
  part->depth = 0;
  if (part->parser) {
    XML_SetUserData(part->parser, part);
    XML_SetElementHandler(part->parser, on_start, on_end);
    XML_SetCharacterDataHandler(part->parser, on_text);
    XML_SetStartDoctypeDeclHandler(part->parser, on_document_type);
    st = parse(part, file);
    XML_ParserFree(part->parser);
    part->parser = NULL;
  } else {
    st =
      error_set(part->error, st, part->file, 0, 0, "There is not enough memory for this workbook.");
  }
  (void)zip_fclose(file);
  return st;
}

Status
sheet_part_read(SheetPart* part, const char* bytes, size_t n_bytes, const char* name)
{
  zip_error_t why;
  zip_error_init(&why);
  zip_source_t* const source = zip_source_buffer_create(bytes, n_bytes, 0, &why);
  zip_t* const zip = source ? zip_open_from_source(source, ZIP_RDONLY, &why) : NULL;
  if (!zip) {
    if (source) {
      zip_source_free(source);
    }
    const Status st = zip_error_code_zip(&why) == ZIP_ER_MEMORY
                        ? error_set(part->error, STATUS_NO_MEMORY, part->file, 0, 0,
                                    "There is not enough memory for this workbook.")
                        : damaged(part, zip_error_strerror(&why));
    zip_error_fini(&why);
    return st;
  }
  const Status st = read_from(part, zip, name);
  zip_discard(zip);
  zip_error_fini(&why);
  return st;
}
